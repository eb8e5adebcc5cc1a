//! `--record`: one HTML file that asks for nothing, says everything, keeps markup as text, and prints.

use crate::browser::{Browser, check_html};
use crate::program::{Folder, GOOD, PROFILE, profile_text, run, run_with};
use serde_json::{Value, json};
use squitterlab::code::{Wire, Wires};

const FAULTY: &str = "vectors/demo/faulty.txt";

fn read(file: &str) -> String {
    std::fs::read_to_string(file).expect("the record is there")
}

/// The text between the tags, with the few entities that the templates write turned back.
fn shown(html: &str) -> String {
    let body = html.split_once("<body>").expect("a body").1;
    let mut text = String::new();
    let mut inside = false;
    for character in body.chars() {
        match character {
            '<' => inside = true,
            '>' if inside => {
                inside = false;
                text.push(' ');
            }
            _ if !inside => text.push(character),
            _ => {}
        }
    }
    let text = text.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Nothing is fetched and nothing runs.
#[track_caller]
fn stands_alone(html: &str) {
    let text = html.replace("http://www.w3.org/2000/svg", "");
    for word in ["http://", "https://", "<script", "<link", "<img", "<iframe", "@import", "url(", "javascript:", " on"]
    {
        let found =
            if word == " on" { text.contains(" onload=") || text.contains(" onclick=") } else { text.contains(word) };
        assert!(!found, "{word:?} is in the record");
    }
    assert!(html.contains("default-src 'none'"), "the record says itself that nothing may be fetched");
}

#[test]
fn the_record_of_a_comparison_says_what_the_comparison_says() {
    let folder = Folder::new("record_compare");
    let file = folder.path("record.html");
    let said = run(&[
        "compare",
        PROFILE,
        "--capture",
        FAULTY,
        "--rules",
        "united_states",
        "--format",
        "json",
        "--record",
        &file,
    ]);
    let report = said.exits(1).object();
    let html = read(&file);
    let text = shown(&html);
    stands_alone(&html);
    check_html(&[&file]);
    for finding in report["findings"].as_array().expect("a list") {
        for part in ["what", "likely_cause", "correction", "rule", "cause", "setting"] {
            let words = finding[part].as_str().expect("text");
            assert!(text.contains(&words.split_whitespace().collect::<Vec<_>>().join(" ")), "{part}: {words}");
        }
        for evidence in finding["evidence"].as_array().expect("a list") {
            assert!(text.contains(evidence["frame"].as_str().expect("text")), "{evidence}");
        }
    }
    let setting_statuses = [
        ("agrees", "\u{2713} agrees"),
        ("differs", "\u{2260} differs"),
        ("not_seen", "? not seen"),
        ("not_on_air", "never on the air"),
        ("not_filled_in", "? not filled in"),
        ("not_stated", "not stated"),
    ];
    for setting in report["settings"].as_array().expect("a list") {
        let (_, words) = setting_statuses.iter().find(|(key, _)| setting["verdict"] == *key).expect("a fate");
        // What is shown only is not missed, however often it was seen.
        let is_only_shown = setting["rule"] == "when_used" && setting["verdict"] == "not_seen";
        let words = if is_only_shown { &"\u{2013} not judged" } else { words };
        let row = format!("<code class=\"pointer\">{}</code>", setting["setting"].as_str().expect("text"));
        let table = html.split_once("Every setting and what became of it</caption>").expect("the table").1;
        let row = table.split_once(&row).expect("the setting's row").1.split_once("</tr>").expect("its end").0;
        assert!(row.contains(words), "{setting}: {row}");
        if setting["verdict"] == "not_seen" || setting["verdict"] == "not_on_air" {
            assert!(text.contains(setting["remark"].as_str().expect("a remark")), "{setting}");
        }
    }
    let proved = format!("{} of {} settings proved", report["proved"], report["provable"]);
    for words in [
        "N47QX",
        "A5C035",
        PROFILE,
        FAULTY,
        &proved,
        "Not a release to service",
        "not a release to service",
        "Signatures",
        "158 lines = 153 frames + 3 comments + 2 skipped",
        "900.989 s to 972.848 s",
        "14 CFR 91.227",
        "91.227(c)(1)(i)",
        "from memory",
        "page seen",
        &format!("squitterlab {}", env!("CARGO_PKG_VERSION")),
        "Update intervals",
        "The capture over time",
        "Air and ground in numbers",
        "End of record",
        "relate only to the unit and the times named",
        "14 CFR 43.9(a)",
        "deviations from the method",
        "Size and position antenna",
        "Ground track",
        "UTC",
    ] {
        assert!(text.contains(words), "{words:?} is not in the record");
    }
    for caution in squitterlab::present::CAUTIONS {
        assert!(text.contains(caution), "{caution}");
    }
    // Digests of what was given, as any other program computes them (sha256sum).
    let digest = |file: &str| squitterlab::capture::sha256(&std::fs::read(file).expect("a file"));
    assert!(text.contains(&digest(PROFILE)) && text.contains(&digest(FAULTY)));
}

#[test]
fn evidence_shows_the_bits_that_differ() {
    let folder = Folder::new("record_bits");
    let file = folder.path("record.html");
    run(&["compare", PROFILE, "--capture", FAULTY, "--record", &file]).exits(1);
    let html = read(&file);
    // Category A2 was sent for A1: of frame bits 38 to 40, 010 for 001.
    let finding = html.split_once("</span>: Emitter category</h3>").expect("the finding").1;
    let ruler = finding.split_once("class=\"against\"").expect("the bits").1.split_once("</table>").expect("its end").0;
    let wrong: Vec<&str> = ruler
        .split("<span class=\"bit")
        .filter(|cell| cell.split('>').next().is_some_and(|tag| tag.contains("wrong")))
        .map(|cell| cell.split("data-bit=\"").nth(1).and_then(|rest| rest.split('"').next()).expect("a bit"))
        .collect();
    assert_eq!(wrong, ["39", "40"]);
}

#[test]
fn a_record_is_not_overwritten_unasked_and_changes_no_answer() {
    let folder = Folder::new("record_force");
    let file = folder.file("record.html", "kept");
    let arguments = ["compare", PROFILE, "--capture", GOOD[0], GOOD[1], "--record", &file];
    run(&arguments).exits(2).complains_of(&["there already", "--force"]);
    assert_eq!(read(&file), "kept");
    let without = run(&arguments[..5]).exits(0);
    let with = run(&[&arguments[..], &["--force"]].concat()).exits(0);
    assert_eq!(without.out, with.out);
    assert!(shown(&read(&file)).contains("agrees: every setting"));
    assert_eq!(folder.names(), ["record.html"], "nothing half written is left");
}

#[test]
fn a_capture_from_standard_input_has_no_digest_and_a_silent_one_says_so() {
    let folder = Folder::new("record_input");
    let file = folder.path("record.html");
    let text = std::fs::read(GOOD[0]).expect("a capture");
    run_with(&["compare", PROFILE, "--capture", "-", "--record", &file], &text).exits(0);
    assert!(shown(&read(&file)).contains("not kept"));
    let file = folder.path("other.html");
    run_with(&["compare", PROFILE, "--capture", "-", "--record", &file], b"8D2F00012310534FDE0820497C15\n").exits(2);
    assert!(shown(&read(&file)).contains("it was not heard"));
    check_html(&[&file]);
}

#[test]
fn a_fleet_has_one_record() {
    let folder = Folder::new("record_fleet");
    let other = folder.file(
        "other.json",
        profile_text(&[
            ("\"address\": \"A5C035\"", "\"address\": \"A5C036\""),
            ("\"registration\": \"N47QX\"", "\"registration\": \"N47QY\""),
        ]),
    );
    let file = folder.path("record.html");
    run(&["compare", PROFILE, &other, "--capture", GOOD[0], GOOD[1], "--record", &file]);
    let text = shown(&read(&file));
    assert!(text.contains("2 installs") && text.contains("N47QX (A5C035)") && text.contains("N47QY (A5C036)"));
    // The overview comes first, with what the command says of the fleet.
    let said = run(&["compare", PROFILE, &other, "--capture", GOOD[0], GOOD[1]]);
    let lines: Vec<&str> = said.out.lines().take(2).collect();
    let overview = text.find("The fleet").expect("an overview");
    for line in lines {
        assert!(text.find(line).is_some_and(|at| at > overview), "{line}\n{text}");
    }
    assert!(text.find("N47QY (A5C036)").is_some_and(|at| at > overview));
    // What differs stands before what agrees, with what to do.
    let place = |aircraft: &str| text.find(aircraft).unwrap_or_else(|| panic!("{aircraft}\n{text}"));
    assert!(place("N47QY A5C036 differs") < place("N47QX A5C035 agrees"), "{text}");
    assert!(text.contains("enter the address again"), "{text}");
    check_html(&[&file]);
}

#[test]
fn the_record_of_what_an_install_sends() {
    let folder = Folder::new("record_onair");
    let file = folder.path("record.html");
    let frames = run(&["onair", PROFILE, "--format", "json", "--record", &file]).exits(0).objects();
    let html = read(&file);
    let text = shown(&html);
    stands_alone(&html);
    check_html(&[&file]);
    for frame in &frames {
        assert!(text.contains(frame["frame"].as_str().expect("text")), "{frame}");
        for decision in frame["settings"].as_array().expect("a list") {
            assert!(text.contains(decision["meaning"].as_str().expect("text")), "{decision}");
        }
    }
    assert!(text.contains("Not a release to service") && text.contains("Signatures"));
}

#[test]
fn the_record_of_the_intended_install() {
    let folder = Folder::new("record_sheet");
    let file = folder.path("record.html");
    let sheet = run(&["profile", "sheet", PROFILE, "--format", "json", "--record", &file]).exits(0).object();
    let html = read(&file);
    let text = shown(&html);
    stands_alone(&html);
    check_html(&[&file]);
    let settings = sheet["settings"].as_array().expect("a list");
    assert!(settings.len() > 30);
    for setting in settings {
        assert!(text.contains(setting["setting"].as_str().expect("a pointer")), "{setting}");
    }
    assert_eq!(text.matches('\u{2610}').count(), settings.len(), "a box to tick for each");
    assert!(text.contains("Not a release to service") && text.contains("Signatures") && html.contains("<svg"));
    run(&["profile", "sheet", PROFILE, "--record", &file]).exits(2).complains_of(&["there already", "--force"]);
}

#[test]
fn the_record_of_altitude_readings() {
    let folder = Folder::new("record_altitude");
    let file = folder.path("record.html");
    let readings = folder.file("readings.txt", "1000, 1000\n2900, 2000\n7100, 4900\n14800, 14700\n5000, -\n");
    run(&["altitude", "--readings", &readings, "--record", &file]).exits(1);
    let html = read(&file);
    let text = shown(&html);
    stands_alone(&html);
    check_html(&[&file]);
    for words in [
        "1 of 5 readings are exactly right",
        "2900 ft 2000 ft -900 ft \u{2260} no \u{2260} no",
        "no altitude",
        "14 800 ft 14 700 ft -100 ft \u{2260} no \u{2713} yes",
        "never a replacement",
    ] {
        assert!(text.contains(words), "{words:?} is not in {text}");
    }
    // One dot a reading that reports something, by its tolerance.
    assert_eq!((html.matches("<circle class=\"dot\"").count(), html.matches("<circle class=\"hit\"").count()), (2, 2));
    run(&["altitude", "14800", "--record", &file]).exits(2);
}

#[test]
fn the_record_of_an_altitude_run_says_what_the_command_says() {
    let folder = Folder::new("record_run");
    let file = folder.path("record.html");
    let form = folder
        .file("run.txt", "up 1000 | 1000, 1000, 1000, 1000\nup 4000 | 4000, 4200, 4200, 4200\ndown 1000 | 1010, -\n");
    let said = run(&["altitude", "--run", &form, "--record", &file]).exits(1);
    let html = read(&file);
    let text = shown(&html);
    stands_alone(&html);
    check_html(&[&file]);
    let lines = said.out.split_whitespace().collect::<Vec<_>>().join(" ");
    for words in [
        "beyond its tolerance",
        "4000 ft up (line 2): Mode C +200 ft",
        "Mode C sends no altitude",
        "4200 ft",
        "none",
        "Signatures",
        "14 CFR 43.9(a)",
    ] {
        assert!(text.contains(words), "{words:?} is not in {text}");
    }
    for words in
        ["4000 ft up (line 2): Mode C +200 ft", "Mode C sends no altitude", "1. Correspondence: 3 of 7 readings within"]
    {
        assert!(lines.contains(words) && text.contains(words), "{words}: {lines}");
    }
    run(&["altitude", "--form", "2000", "--record", &file]).exits(2);
}

#[test]
fn the_record_of_a_change_of_identity_has_every_place_and_setting() {
    let folder = Folder::new("record_identity");
    let file = folder.path("record.html");
    let sheet =
        run(&["profile", "identity", "N48QX", PROFILE, "--format", "json", "--record", &file]).exits(0).object();
    let html = read(&file);
    let text = shown(&html);
    stands_alone(&html);
    check_html(&[&file]);
    let places = sheet["places"].as_array().expect("places");
    assert!(places.len() > 3, "{sheet}");
    let boxes = places.len()
        + sheet["differing"].as_array().expect("a list").len()
        + sheet["to_be_compared"].as_array().expect("a list").len();
    assert_eq!(text.matches('\u{2610}').count(), boxes, "a box to tick for each");
    for place in places {
        for part in ["place", "before", "after", "how"] {
            let words = place[part].as_str().expect("text").split_whitespace().collect::<Vec<_>>().join(" ");
            assert!(text.contains(&words), "{part}: {words}");
        }
    }
    assert!(text.contains("Not a release to service") && text.contains("End of record"));
}

/// Markup in every text that a person can write.
const HOSTILE: &str = "<img src=x onerror=alert(1)><script>alert(2)</script>'&amp;";

#[test]
fn markup_in_profile_and_names_shows_as_text() {
    let folder = Folder::new("record_hostile");
    let notes = (
        "\"notes\": \"invented demo aircraft; the mark was not checked against any register\"",
        format!("\"notes\": \"{HOSTILE}\""),
    );
    let profile = folder.file("<b>profile&.json", profile_text(&[(notes.0, &notes.1)]));
    let capture = format!("<script>alert(3)</script>\n{}", read(FAULTY));
    let capture = folder.file("<img src=x>.txt", capture);
    for (arguments, status) in [
        (vec!["compare", &profile, "--capture", &capture], 1),
        (vec!["onair", &profile], 0),
        (vec!["profile", "sheet", &profile], 0),
    ] {
        let file = folder.path("record.html");
        run(&[&arguments[..], &["--record", &file, "--force"]].concat()).exits(status);
        let html = read(&file);
        stands_alone(&html);
        assert!(!html.contains("<b>") && shown(&html).contains(HOSTILE), "the notes show as they were written");
        check_html(&[&file]);
        let Some(browser) = Browser::open("hostile") else { continue };
        browser.go(&format!("file://{file}"));
        assert_eq!(browser.script("return document.querySelectorAll('script, img, b').length"), 0);
        assert!(browser.text("body").contains(HOSTILE));
        assert_eq!(browser.complaints(), Vec::<Value>::new());
    }
}

#[test]
fn the_record_is_read_on_any_screen_and_prints_on_both_papers() {
    let Some(browser) = Browser::open("record") else { return };
    let folder = Folder::new("record_paper");
    let file = folder.path("record.html");
    run(&["compare", PROFILE, "--capture", FAULTY, "--record", &file]).exits(1);
    browser.go(&format!("file://{file}"));
    for width in [360, 768, 1920] {
        browser.set_size(width, 900);
        browser.fits();
    }
    let colours =
        || browser.script("const style = getComputedStyle(document.body); return [style.backgroundColor, style.color]");
    let media = |name: &str, value: &str| {
        let features = serde_json::json!({"media": "", "features": [{"name": name, "value": value}]});
        browser.devtools("Emulation.setEmulatedMedia", &features);
    };
    media("prefers-color-scheme", "light");
    let light = colours();
    media("prefers-color-scheme", "dark");
    assert_ne!(light, colours(), "dark is another paper");
    // Between margins of 15 mm, at 96 to the inch.
    browser.devtools("Emulation.setEmulatedMedia", &serde_json::json!({"media": "print"}));
    for paper_mm in [210.0, 215.9f64] {
        browser.set_size(((paper_mm - 30.0) / 25.4 * 96.0) as u32, 1000);
        browser.fits();
    }
    browser.devtools("Emulation.setEmulatedMedia", &serde_json::json!({"media": ""}));
    browser.is_accessible("the record");
    assert_eq!(browser.complaints(), Vec::<Value>::new());
}

#[test]
fn a_record_on_paper_is_one_document_of_few_pages() {
    let Some(browser) = Browser::open("paper") else { return };
    let folder = Folder::new("record_pages");
    let fleet: Vec<String> =
        ["n47qx", "n48qx", "n49qx"].iter().map(|name| format!("vectors/demo/fleet/{name}.json")).collect();
    let fleet: Vec<&str> = fleet.iter().map(String::as_str).collect();
    let comparison = vec!["compare", PROFILE, "--capture", FAULTY];
    let of_fleet = [&["compare"], &fleet[..], &["--capture", "vectors/demo/fleet.txt"]].concat();
    for (arguments, head, first, most) in [
        (
            comparison,
            "Install comparison record: N47QX (A5C035)",
            &["7 settings differ", "Enter the identification", "Signatures", "SHA-256", "14 CFR 43.9(a)"][..],
            6,
        ),
        (of_fleet, "Install comparison record: 3 installs", &["The fleet", "N48QX", "N49QX", "Signatures"], 18),
        (vec!["profile", "sheet", PROFILE], "Intended install: N47QX (A5C035)", &["Checks of the profile"], 7),
    ] {
        let file = folder.path("record.html");
        run(&[&arguments[..], &["--record", &file, "--force"]].concat());
        browser.go(&format!("file://{file}"));
        for paper in [(8.27, 11.69), (8.5, 11.0)] {
            let pages = browser.printed(paper);
            if pages.is_empty() {
                return;
            }
            assert!(pages.len() <= most, "{head}: {} pages on {paper:?}", pages.len());
            let number = read(&file).split_once("End of record ").expect("an end").1[..14].to_owned();
            for (at, page) in (1..).zip(&pages) {
                for said in [head, &number, &format!("page {at} of {}", pages.len()), "relate only to the unit"] {
                    assert!(page.contains(said), "page {at} of {head} does not say {said:?}:\n{page}");
                }
            }
            for said in first {
                assert!(pages[0].contains(said), "page 1 of {head} does not say {said:?}:\n{}", pages[0]);
            }
            assert!(pages[pages.len() - 1].contains("End of record"));
        }
    }
}

/// A climb with half of its frames lost: the wires of each altitude that was received, the frames of each message, and what
/// the figures say of the reception.
#[test]
fn the_figures_over_time_show_the_wires_the_frames_and_half_reception() {
    let folder = Folder::new("record_figures");
    let capture = run(&["rehearse", PROFILE, "--for", "600", "--loss", "50", "--seed", "3"]).exits(0).out;
    let capture = folder.file("half.txt", capture);
    let file = folder.path("record.html");
    let report = run(&["compare", PROFILE, "--capture", &capture, "--format", "json", "--record", &file]).object();
    let within = |stretches: &Value, time: f64| {
        let all = stretches.as_array().expect("stretches");
        all.iter().any(|pair| (pair[0].as_f64().expect("from")..pair[1].as_f64().expect("to")).contains(&time))
    };
    let wires = report["altitudes"]["wires"].as_array().expect("wires");
    assert_eq!(wires.len(), Wire::ALL.len());
    let (mut seen, mut moved) = (0, 0);
    for frame in run(&["decode", &capture, "--format", "json"]).exits(0).objects() {
        if frame["message"] != "airborne_position" || frame["address"] != "A5C035" {
            continue;
        }
        let Some(feet) = frame["fields"]["pressure_altitude_ft"].as_f64() else { continue };
        let time = frame["time"].as_f64().expect("a time");
        let grounded = Wires::from_feet(feet).expect("an altitude of the code");
        for told in wires {
            let wire: Wire = told["wire"].as_str().expect("a wire").parse().expect("a wire");
            let (always, both) = (within(&told["grounded"], time), within(&told["both"], time));
            assert!(!(always && both), "{told} at {time}");
            assert!(if grounded.has(wire) { always || both } else { !always }, "{told} at {time}: {feet} ft");
            moved += u32::from(both);
        }
        seen += 1;
    }
    assert!(seen > 100 && moved > 0, "{seen} altitudes, {moved} wires that moved");
    for kind in report["intervals"].as_array().expect("intervals") {
        let counted: u64 =
            kind["over_time"]["bins"].as_array().expect("bins").iter().filter_map(|bin| bin[1].as_u64()).sum();
        assert_eq!(json!(counted), kind["frames"], "{kind}");
    }
    let text = shown(&read(&file));
    for received in report["reception"].as_array().expect("reception") {
        let share = received["share"].as_f64().expect("a share");
        assert!((0.4..0.6).contains(&share), "{received}");
        assert!(text.contains(&format!("about {:.0} % of the frames were received", share * 100.0)), "{received}");
    }
    assert!(text.contains("that is the reception, not the unit"), "{text}");
    check_html(&[&file]);
    // Everything received: no word of that.
    let whole = folder.file("whole.txt", run(&["rehearse", PROFILE, "--for", "300", "--seed", "3"]).exits(0).out);
    run(&["compare", PROFILE, "--capture", &whole, "--record", &file, "--force"]);
    let text = shown(&read(&file));
    assert!(text.contains("% of the frames were received") && !text.contains("not the unit"), "{text}");
}
