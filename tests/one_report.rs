//! Text, JSON, page and record are written from one report: whatever the capture, they say the same verdict, the same
//! settings, findings and checks not made, with the same exit status.

use crate::browser::Page;
use crate::page::verdict;
use crate::program::{Folder, flat, run};
use crate::random::Random;
use crate::{installs, long_run};
use serde_json::Value;
use squitterlab::onair::{FlightPath, Rehearsal};
use squitterlab::profile::Profile;
use squitterlab::profile::mistake::MISTAKES;
use std::fmt::Write;

/// What a fault or none makes of an install.
fn mistaken(random: &mut Random, install: &Profile) -> Profile {
    let mut wrong = install.clone();
    for _ in 0..random.next() % 3 {
        let made = (installs::pick(random, MISTAKES).candidates)(&wrong);
        if !made.is_empty() {
            wrong = installs::pick(random, &made).0.clone();
        }
    }
    wrong
}

/// A capture: of the install as it should be, with mistakes, of another one, damaged, cut, without times, junk, or empty.
fn capture(random: &mut Random, install: &Profile) -> String {
    if installs::one_in(random, 12) {
        return ["", "\n\n# nothing\n", "no frame here\n8D4840\n\u{1b}[31mred\n"][(random.next() % 3) as usize]
            .to_owned();
    }
    let sender = match random.next() % 8 {
        0 => installs::complete(random),
        1 | 2 => install.clone(),
        _ => mistaken(random, install),
    };
    let airborne = installs::one_in(random, 2);
    let code = installs::code_of(install);
    let path = if installs::one_in(random, 4) {
        FlightPath::demo()
    } else {
        FlightPath::fixed(installs::situation(random, airborne, Some(&code)))
    };
    let Ok(rehearsal) = Rehearsal::new(sender, path, random.next()) else { return String::new() };
    let rehearsal = if installs::one_in(random, 2) { rehearsal.interrogated(2.0) } else { rehearsal };
    let end = [500, 2_000, 20_000, 60_000, 200_000, 400_000][(random.next() % 6) as usize];
    let (timed, loss) = (!installs::one_in(random, 5), random.next() % 5 + 1);
    let mut text = String::new();
    for sent in rehearsal.take_while(|sent| sent.time_ms < end) {
        if random.next().is_multiple_of(loss + 1) {
            continue;
        }
        let mut frame = sent.frame.to_string();
        match random.next() % 60 {
            0 => frame.truncate(11),
            1 => frame.replace_range(3..4, "0"),
            2 => text.push_str("<b>&amp; not a frame</b>\n"),
            _ => {}
        }
        let _ = if timed { writeln!(text, "{:.3} {frame}", sent.time_s()) } else { writeln!(text, "{frame}") };
    }
    text
}

/// What a person reads of a document: no markup, one space between words.
fn read(html: &str) -> String {
    let body = html.split_once("<body>").map_or(html, |(_, body)| body);
    let mut text = String::new();
    for piece in body.split('<') {
        let after = piece.split_once('>').map_or(piece, |(_, after)| after);
        text.push_str(after);
        text.push(' ');
    }
    let text = text.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&");
    close(&flat(&text))
}

/// Without spaces before marks, which markup leaves between two pieces.
fn close(text: &str) -> String {
    text.replace("( ", "(")
        .replace(" )", ")")
        .replace(" ,", ",")
        .replace(" ;", ";")
        .replace(" .", ".")
        .replace(" :", ":")
}

fn text_of<'a>(value: &'a Value, key: &str) -> &'a str {
    value[key].as_str().unwrap_or_else(|| panic!("{key}: {value}"))
}

/// The order in which these texts stand in a larger one, each after the one before.
#[track_caller]
fn stands_in_order(place: &str, said: &str, wanted: &[String]) {
    let mut rest = said;
    for piece in wanted {
        let piece = close(&flat(piece));
        let Some(at) = rest.find(&piece) else { panic!("{place} does not say, in its place: {piece}\n\n{said}") };
        rest = &rest[at + piece.len()..];
    }
}

#[test]
fn text_json_page_and_record_say_the_same_of_any_capture() {
    let page = Page::start(&[]);
    let folder = Folder::new("one_report");
    let schema = serde_json::from_str(&run(&["compare", "--schema"]).exits(0).out).expect("a schema");
    let schema = jsonschema::validator_for(&schema).expect("a sound schema");
    let random = &mut Random(0x0EE0);
    let (mut verdicts, mut told) = (std::collections::BTreeMap::<String, u32>::new(), 0);
    for round in 0..long_run::cases(300) {
        let install = installs::complete(random);
        let profile = if round % 3 == 0 { installs::partly_stated(random, &install) } else { install.clone() };
        let written = profile.json().to_string();
        let lines = capture(random, &install);
        let (profile, name) = (folder.file("profile.json", &written), folder.file("capture.txt", &lines));
        let record = folder.path(&format!("record_{round}.html"));
        let arguments = ["compare", &profile, "--capture", &name];
        let text = run(&[&arguments[..], &["--record", &record]].concat());
        let json = run(&[&arguments[..], &["--format", "json"]].concat());
        if json.out.is_empty() {
            // A profile that cannot be put on the air is refused by all.
            assert_eq!((text.status, json.status), (2, 2), "{}", json.err);
            verdict(&page, &written, &[("capture.txt", lines.as_bytes())]).is(422);
            continue;
        }
        let report = json.object();
        if let Err(error) = schema.validate(&report) {
            panic!("{}: {error}\n{report:#}", error.instance_path());
        }
        let heard = !report["heard_as"].is_null();
        let status = match (heard, text_of(&report, "verdict")) {
            (false, _) => 2,
            (true, "differs") => 1,
            (true, _) => 0,
        };
        assert_eq!((text.status, json.status), (status, status), "{}", text.out);
        *verdicts.entry(format!("{heard} {}", text_of(&report, "verdict"))).or_default() += 1;

        let number = |key: &str| report[key].as_u64().unwrap_or_else(|| panic!("{key}"));
        let plural = |count: u64| if count == 1 { "" } else { "s" };
        let first = format!(
            "{} of {} settings proved, {} not filled in, {} not seen; {} fault{}, {} warning{}; verdict: {}",
            number("proved"),
            number("provable"),
            number("not_filled_in"),
            number("not_seen"),
            number("faults"),
            plural(number("faults")),
            number("warnings"),
            plural(number("warnings")),
            text_of(&report, "verdict")
        );
        assert_eq!(text.out.lines().next(), Some(&first[..]));

        // The page's answer: the same report, but for the names that it has for the files.
        let answer = verdict(&page, &written, &[("capture.txt", lines.as_bytes())]).is(200).json();
        for key in ["verdict", "proved", "provable", "faults", "warnings", "not_judged", "near_addresses", "not_heard"]
        {
            assert_eq!(answer["report"][key], report[key], "{key}");
        }
        let without_files = |value: &Value| value.to_string().replace(&name, "capture.txt");
        for key in ["settings", "findings", "quality", "elements", "intervals", "motion", "path", "air_ground"] {
            assert_eq!(without_files(&answer["report"][key]), without_files(&report[key]), "{key}");
        }
        let document = std::fs::read_to_string(&record).expect("a record");
        let readings = [
            ("the text", close(&flat(&text.out)), false),
            ("the page", read(text_of(&answer, "html")), true),
            ("the page's record", read(text_of(&answer, "record")), true),
            ("the record", read(&document), true),
        ];
        let findings = report["findings"].as_array().expect("findings");
        told += findings.len();
        for (place, said, is_html) in &readings {
            assert!(said.contains(&first), "{place}: {first}\n\n{said}");
            for other in ["agrees", "differs", "incomplete"].iter().filter(|word| !first.ends_with(**word)) {
                assert!(!said.contains(&format!("verdict: {other}")), "{place}");
            }
            let findings: Vec<String> = findings
                .iter()
                .flat_map(|finding| {
                    let (what, likely) = (text_of(finding, "what"), text_of(finding, "likely_cause"));
                    let correction = text_of(finding, "correction");
                    // For people a setting goes by its plain name.
                    let pointer = text_of(finding, "setting");
                    let named = || {
                        let row = report["settings"].as_array().expect("settings").iter();
                        let mut row = row.filter(|row| text_of(row, "setting") == pointer);
                        row.next().map_or("the capture as a whole", |row| text_of(row, "name"))
                    };
                    let mark = if *is_html { ":" } else { "" };
                    let lead = format!("{}{mark} {}", text_of(finding, "severity"), named());
                    [lead, what.to_owned(), likely.to_owned(), correction.to_owned()]
                })
                .collect();
            stands_in_order(place, said, &findings);
            for check in report["not_judged"].as_array().expect("a list") {
                assert!(said.contains(&close(&flat(text_of(check, "words")))), "{place}: {check}\n\n{said}");
            }
            for near in report["near_addresses"].as_array().expect("a list") {
                assert!(said.contains(text_of(near, "address")), "{place}: {near}");
            }
            if let Some(why) = report["not_heard"].as_str() {
                assert!(said.contains(why), "{place}: {why}");
            }
            // Every setting under its fate.
            for setting in report["settings"].as_array().expect("settings") {
                let (name, fate) = (text_of(setting, "setting"), text_of(setting, "verdict"));
                if *is_html {
                    let row = said.split(&format!(" {name} ")).any(|after| {
                        let word = [
                            ("not_on_air", "\u{2013} never on the air"),
                            ("agrees", "\u{2713} agrees"),
                            ("differs", "\u{2260} differs"),
                            ("not_seen", "? not seen"),
                            ("not_filled_in", "? not filled in"),
                            ("not_stated", "\u{2013} not stated"),
                        ];
                        let word = word.iter().find(|(key, _)| *key == fate).expect("a fate").1;
                        // A preset that the crew uses or not is shown, and nothing is missed where it is not seen.
                        let only_shown = setting["rule"] == "when_used" && fate == "not_seen";
                        let word = if only_shown { "\u{2013} not judged" } else { word };
                        let about = after.find(['\u{2013}', '\u{2713}', '\u{2260}', '?']);
                        about.is_some_and(|at| after[at..].starts_with(word))
                    });
                    assert!(row, "{place}: {name} {fate}\n\n{said}");
                } else if fate != "differs" {
                    let title = [
                        ("not_filled_in", "not filled in"),
                        ("not_seen", "not in this capture, and what would show it"),
                        ("not_on_air", "never on the air, or not by this install"),
                        ("not_stated", "not stated in the profile, so nothing is expected"),
                        ("agrees", "agrees"),
                    ];
                    let title = title.iter().find(|(key, _)| *key == fate).expect("a fate").1;
                    let is_shown_only = setting["rule"] == "when_used" && fate == "not_seen";
                    let title = if is_shown_only { "shown only, not judged" } else { title };
                    let plain = text_of(setting, "name");
                    let sections = text.out.split("\n\n").filter(|section| section.starts_with(title));
                    let listed = sections.flat_map(str::lines).any(|line| {
                        line.strip_prefix("  ")
                            .is_some_and(|line| line.strip_prefix(plain).is_some_and(|rest| rest.starts_with(':')))
                    });
                    assert!(listed, "{name} {fate}\n\n{}", text.out);
                }
            }
        }
    }
    assert!(verdicts.len() >= 4 && told > 150, "all kinds of ends were met: {verdicts:?}, {told} findings");
}
