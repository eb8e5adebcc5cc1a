//! `readback`: what a person reads off a test set is judged as captured frames are, and is never called a frame.

use crate::ask::seven_installs;
use crate::installs::{complete, partly_stated};
use crate::long_run::cases;
use crate::program::{Folder, PROFILE, Pipe, flat, profile, run, run_with};
use crate::random::Random;
use crate::terminal::Terminal;
use squitterlab::compare::readback::{
    LineVerdict, ReadStep, Readings, check, figure_key, figures, form, lines, read_back, read_form, stops_before,
};
use squitterlab::compare::{Install, Verdict};
use squitterlab::onair::{Flight, When, emissions};
use squitterlab::profile::figures::{FIGURES, Judged};
use squitterlab::profile::mistake::MISTAKES;
use squitterlab::profile::{Profile, SettingId, Stated};
use std::collections::HashSet;
use std::path::Path;

const DEMO_FORM: &str = "vectors/demo/readback.txt";

fn install(profile: Profile) -> Install {
    Install::new("mine.json", profile).expect("an install")
}

/// A figure that every class of unit admits (14 CFR part 43 appendix F).
fn right_figure(id: &str) -> &'static str {
    match id {
        "reply_frequency" => "1090.2 MHz",
        "suppression_equal" => "0.3 %",
        "suppression_9_db" => "99 %",
        "sensitivity_a" | "sensitivity_c" => "-73 dBm",
        "sensitivity_s" => "-74 dBm",
        "power" => "230 W",
        "isolation" => "24 dB",
        "replies_to_own" | "replies_to_all_call" => "yes",
        "replies_to_others" | "replies_to_short_p4" => "no",
        "mode_c_altitude" | "format_4_altitude" => "1500",
        "mode_a_code" | "format_5_code" => "7776",
        "squitter_spacing" => "1 s",
        other => panic!("say here what is right for {other}"),
    }
}

/// What a test set shows of an aircraft that is set up like this, for every line of a form: in words or as codes.
fn shown(of: &Install, as_codes: bool) -> Readings {
    let mut readings = Readings::new();
    for line in lines(of) {
        let (words, code) = line.expected();
        let typed = match code.filter(|_| as_codes) {
            Some(code) => format!("code {code}"),
            // Where air and ground have a code each, the set shows one.
            None => words.split("; or ").next().expect("words").trim_matches('"').to_owned(),
        };
        readings.put(&line.key(), &typed);
    }
    for figure in figures(of) {
        readings.put(&figure_key(figure), right_figure(figure.id));
    }
    readings
}

#[test]
fn what_a_right_install_shows_agrees_in_words_and_in_codes() {
    let mut random = Random(0x4EAD);
    let mut judged = 0;
    for _ in 0..cases(40) {
        let install = install(complete(&mut random));
        let keys: HashSet<String> = lines(&install).iter().map(squitterlab::compare::readback::ReadLine::key).collect();
        assert_eq!(keys.len(), lines(&install).len(), "each line has a name of its own: {keys:?}");
        assert!(keys.iter().all(|key| !key.contains([':', '['])), "{keys:?}");
        for as_codes in [false, true] {
            let readings = shown(&install, as_codes);
            for line in lines(&install) {
                let typed = readings.get(&line.key()).expect("it was typed");
                assert_eq!(check(&install, &line.key(), typed), Ok(()), "{}", line.key());
            }
            let report = read_back(&install, &readings);
            let frames = emissions(install.profile(), Flight::Healthy).expect("frames");
            let decisions = frames.iter().flat_map(|frame| &frame.decisions);
            let decided: HashSet<_> = decisions.map(|decision| decision.settings).collect();
            for line in &report.lines {
                // Only what the crew sets may be anything.
                let right = if decided.contains(line.settings) { LineVerdict::Agrees } else { LineVerdict::Recorded };
                assert_eq!(line.verdict, right, "{line:?} of {}", install.profile().json());
                judged += usize::from(line.verdict == LineVerdict::Agrees);
            }
            assert_eq!((report.verdict, report.not_read), (Verdict::Agrees, 0), "{report:?}");
            assert!(report.findings.is_empty(), "{:?}", report.findings);
            // Through a form and back nothing is lost.
            assert_eq!(read_form(&install, &form(&install, &readings, &["a stop"])), Ok(readings));
        }
    }
    assert!(judged > 1500, "{judged}");
}

#[test]
fn every_decided_field_is_a_line_of_the_step_that_shows_it() {
    for (name, profile) in seven_installs() {
        let install = install(profile.clone());
        let lines = lines(&install);
        // Nobody waits for a position source to fail.
        let frames = emissions(&profile, Flight::Healthy).expect("frames").into_iter();
        for emission in frames.filter(|emission| emission.table.message != "no_position") {
            for decision in emission.decisions.iter().chain(&emission.used) {
                let step = match (emission.reply_to, emission.when) {
                    (Some(_), _) => ReadStep::Interrogation,
                    (None, When::OnGround) => ReadStep::Ground,
                    (None, _) => ReadStep::Air,
                };
                let found = lines.iter().any(|line| line.step == step && line.settings == decision.settings);
                assert!(found, "{name}: {} in {}", decision.field, emission.table.title);
            }
        }
    }
}

#[test]
fn what_is_left_open_takes_no_line_from_what_is_stated() {
    let random = &mut Random(0x0AC7_1E5D);
    let mut level_1 = 0;
    for _ in 0..cases(150) {
        let profile = complete(random);
        let profile = partly_stated(random, &profile);
        let Ok(install) = Install::new("mine.json", profile.clone()) else { continue };
        level_1 += usize::from(profile.mode_s_level.get().is_some_and(|level| level.0 == 1));
        let lines = lines(&install);
        let frames = emissions(&profile, Flight::Healthy).expect("frames").into_iter();
        for emission in frames.filter(|emission| emission.table.message != "no_position") {
            for decision in emission.decisions.iter().chain(&emission.used) {
                let is_stated = |id: &SettingId| matches!(id.setting().stated(&profile), Stated::Is(_));
                let found = lines.iter().any(|line| line.settings == decision.settings);
                let all_stated = decision.settings.iter().all(is_stated);
                assert!(found || !all_stated, "{} in {}: {}", decision.field, emission.table.title, profile.json());
            }
        }
    }
    assert!(level_1 > 5, "{level_1} units that answer and send no extended squitter");
}

#[test]
fn every_mistake_that_shows_is_explained_by_it_or_by_what_shows_the_same() {
    let right = install(profile(&[]));
    let (mut tried, mut found) = (0, 0);
    for mistake in MISTAKES {
        for (wrong, detail) in (mistake.candidates)(right.profile()).into_iter().take(3) {
            let Ok(wrong) = Install::new("wrong.json", wrong) else { continue };
            let readings = shown(&wrong, false);
            let report = read_back(&right, &readings);
            if report.differ == 0 {
                continue;
            }
            tried += 1;
            assert_eq!(report.verdict, Verdict::Differs);
            let causes: Vec<&str> = report
                .findings
                .iter()
                .flat_map(|finding| {
                    let others = finding.alternatives.iter().map(|other| other.cause);
                    std::iter::once(finding.cause).chain(finding.and_cause).chain(others)
                })
                .collect();
            found += usize::from(causes.contains(&mistake.cause));
            // Every line that differs is explained by something.
            for line in report.lines.iter().filter(|line| line.verdict == LineVerdict::Differs) {
                let explained = |setting| report.findings.iter().any(|finding| finding.explains.contains(setting));
                assert!(line.settings.iter().all(explained), "{} ({detail}): {line:?}", mistake.cause);
            }
        }
    }
    assert!(tried > 40, "{tried}");
    // The others show what a likelier mistake shows too, of which only some are named.
    assert!(found * 10 >= tried * 9, "{found} of {tried}");
}

#[test]
fn the_state_that_is_shown_is_that_of_the_step() {
    let install = install(profile(&[]));
    let whole = shown(&install, false);
    // Capability 4 is on the ground and 5 in the air (Annex 10 Volume IV, as the handbook gives it).
    let key = |step: &str| format!("{step} / Mode S level; Air/ground input (capability)");
    for (ground, air, cause) in [
        ("4", "5", None),
        ("5", "4", Some("air_ground_inverted")),
        ("5", "5", Some("air_ground_not_wired")),
        ("4", "4", Some("air_ground_not_wired")),
        ("6", "6", Some("air_ground_not_wired")),
    ] {
        let mut some = whole.clone();
        some.put(&key("ground"), ground);
        some.put(&key("air"), air);
        let report = read_back(&install, &some);
        let causes: Vec<&str> = report.findings.iter().map(|finding| finding.cause).collect();
        assert_eq!(causes, Vec::from_iter(cause), "{ground} {air}: {:?}", report.findings);
        assert_eq!(report.verdict == Verdict::Differs, cause.is_some());
    }
}

/// Source: EASA SIB 2011-15 (coupling, the ground state, air traffic control), as `profile/stops.rs` names it.
#[test]
fn each_step_begins_with_what_must_be_so_before_it() {
    let wired = install(profile(&[]));
    let kind = "\"air_ground\": {\"kind\": \"switch\", \"active_means\": \"on_ground\"},";
    let without = install(profile(&[(kind, "\"air_ground\": {\"kind\": \"none\"},")]));
    let (air, replies) = ("Never force the airborne state", "Interrogate with a test set on a direct coupling only");
    let ground = "A unit without an air/ground input sends airborne messages on the ground too";
    for (install, step, begins) in [
        (&wired, ReadStep::Ground, None),
        (&wired, ReadStep::Air, Some(air)),
        (&wired, ReadStep::Interrogation, Some(replies)),
        (&without, ReadStep::Ground, Some(ground)),
        (&without, ReadStep::Air, Some(air)),
        (&without, ReadStep::Interrogation, Some(replies)),
    ] {
        let stops = step.stops(install);
        assert_eq!(stops.len(), usize::from(begins.is_some()), "{step:?}: {stops:?}");
        for (stop, begins) in stops.iter().zip(begins) {
            assert!(stop.starts_with(begins), "{step:?}: {stop}");
            // And on the form that is printed.
            let printed = form(install, &Readings::new(), &stops_before(install));
            assert!(flat(&printed.replace("\n#", "\n")).contains(begins), "{step:?}: {printed}");
        }
    }
}

#[test]
fn blank_is_not_read_and_is_said() {
    let install = install(profile(&[]));
    let all = lines(&install);
    let nothing = read_back(&install, &Readings::new());
    assert!(nothing.is_empty());
    assert_eq!((nothing.verdict, nothing.not_read, nothing.agree), (Verdict::Incomplete, all.len(), 0));
    let whole = shown(&install, false);
    for line in &all {
        let mut some = whole.clone();
        some.put(&line.key(), "  ");
        let report = read_back(&install, &some);
        let open: Vec<String> = report
            .lines
            .iter()
            .filter(|line| line.verdict == LineVerdict::NotRead)
            .map(|line| format!("{} / {}", line.step.word(), line.name))
            .collect();
        assert_eq!(open, [line.key()]);
        assert_eq!(report.verdict, Verdict::Incomplete);
        assert!(report.first_line().contains("1 not read"), "{}", report.first_line());
    }
    for figure in figures(&install) {
        let mut some = whole.clone();
        some.put(&figure_key(figure), "");
        assert_eq!(read_back(&install, &some).verdict, Verdict::Incomplete, "{}", figure.name);
    }
    // Isolation is of installs with two antennas only.
    assert!(figures(&install).all(|figure| figure.id != "isolation"));
    let two = crate::readback::install(profile(&[("\"single\"", "\"diversity\"")]));
    assert!(figures(&two).any(|figure| figure.id == "isolation"));
}

#[test]
fn figures_are_judged_by_the_published_limits_only() {
    // 14 CFR part 43 appendix F (a) to (j), eCFR issue of 24 August 2026 (page seen).
    let outside = |figure: &str| {
        FIGURES.iter().find(|one| one.id == figure).map(|one| format!("{} is required {}", one.limits, one.clause))
    };
    for (id, typed, wanted) in [
        ("reply_frequency", "1089.0", "within"),
        ("reply_frequency", "1091 MHz", "within"),
        ("reply_frequency", "1092.9", "within_for_some_classes"),
        ("reply_frequency", "1087", "within_for_some_classes"),
        ("reply_frequency", "1093.1", "outside"),
        ("reply_frequency", "1086,9 MHz", "outside"),
        ("suppression_equal", "1 %", "within"),
        ("suppression_equal", "1.1", "outside"),
        ("suppression_9_db", "90", "within"),
        ("suppression_9_db", "89.9 %", "outside"),
        ("sensitivity_a", "-77", "within"),
        ("sensitivity_a", "−69 dBm", "within"),
        ("sensitivity_a", "-77.1 dBm", "outside"),
        ("sensitivity_a", "-68.9", "outside"),
        ("sensitivity_s", "-77", "within"),
        ("sensitivity_s", "-71", "within"),
        ("sensitivity_s", "-70.9", "outside"),
        ("power", "125 W", "within"),
        ("power", "124 W", "within_for_some_classes"),
        ("power", "70", "within_for_some_classes"),
        ("power", "69 W", "outside"),
        ("power", "500 W", "within"),
        ("power", "501 W", "outside"),
        ("power", "21.0 dBW", "within"),
        ("power", "18.5 dBW", "within_for_some_classes"),
        ("power", "18.4 dbw", "outside"),
        ("power", "27.1 dBW", "outside"),
        ("isolation", "20", "within"),
        ("isolation", "19.9 dB", "outside"),
        ("replies_to_own", "yes", "within"),
        ("replies_to_own", "no", "outside"),
        ("replies_to_others", "no", "within"),
        ("replies_to_others", "Yes", "outside"),
        ("replies_to_short_p4", "yes", "outside"),
        ("squitter_spacing", "1.4 s", "recorded"),
        ("mode_c_altitude", "1500", "recorded"),
    ] {
        let figure = FIGURES.iter().find(|figure| figure.id == id).expect("a figure");
        let judged = figure.judge(typed, |_| None).unwrap_or_else(|fault| panic!("{id} {typed}: {fault:?}"));
        assert_eq!(judged.key(), wanted, "{id} {typed}");
        if let Judged::Outside(words) = judged {
            assert_eq!(Some(words), outside(id));
        }
    }
    // What goes with another figure.
    for (id, typed, other, wanted) in [
        ("sensitivity_c", "-72", "-73 dBm", "within"),
        ("sensitivity_c", "-71.9", "-73 dBm", "outside"),
        ("format_4_altitude", "1500 ft", "1500", "within"),
        ("format_4_altitude", "-100", "-100", "within"),
        ("format_4_altitude", "-100", "100", "outside"),
        ("format_4_altitude", "1600", "1500", "outside"),
        ("format_5_code", "7776", "7776", "within"),
        ("format_5_code", "7775", "7776", "outside"),
    ] {
        let figure = FIGURES.iter().find(|figure| figure.id == id).expect("a figure");
        assert_eq!(
            figure.judge(typed, |_| Some(other.to_owned())).expect("read").key(),
            wanted,
            "{id} {typed} {other}"
        );
    }
    // What cannot have been read says what can.
    for figure in FIGURES {
        for typed in ["perhaps", "--", "1 2 3 x", "nan", "inf"] {
            let fault = figure.judge(typed, |_| None).err();
            let digits = typed.contains('1') && figure.given() == "digits";
            assert!(
                digits || fault.is_some_and(|fault| fault.correction.starts_with("write ")),
                "{} {typed}",
                figure.name
            );
        }
    }
}

#[test]
fn a_form_that_does_not_fit_is_refused_with_line_reason_and_correction() {
    let install = install(profile(&[]));
    let blank = form(&install, &Readings::new(), &[]);
    assert_eq!(read_form(&install, &blank), Ok(Readings::new()));
    let line = |of: &str| blank.lines().position(|line| line.starts_with(of)).expect("a line") + 1;
    for (was, typed, at, words) in [
        (
            "Aircraft: N47QX, A5C035",
            "Aircraft: N48QX, 5AE7B4",
            line("Aircraft"),
            &["this form is of N48QX, 5AE7B4", "A5C035"][..],
        ),
        (
            "ground / Emitter category",
            "ground / Emiter category",
            line("ground / Emitter"),
            &["Emiter", "did you mean \"ground / Emitter category\""],
        ),
        (
            "ground / Emitter category [set and number, such as A1]:",
            "ground / Emitter category",
            line("ground / Emitter"),
            &["no colon", "write what the line is, a colon, and what is shown"],
        ),
        (
            "ground / Emitter category [set and number, such as A1]:",
            "ground / Emitter category: A9",
            line("ground / Emitter"),
            &["\"A9\""],
        ),
        (
            "figure / power [W or dBW]:",
            "figure / power: strong",
            line("figure / power"),
            &["strong", "write a number and W or dBW"],
        ),
        (
            "ground / 1090ES receiver [yes or no]:",
            "ground / 1090ES receiver: maybe",
            line("ground / 1090ES"),
            &["maybe", "write one of: no (code 0); yes (code 1)"],
        ),
    ] {
        assert!(blank.contains(was), "{was}: {blank}");
        let error = read_form(&install, &blank.replace(was, typed)).expect_err(typed);
        assert_eq!(error.line, at, "{error}");
        // The page says it too, and has no options.
        assert!(!error.to_string().contains("--"), "{error}");
        for word in words {
            assert!(error.to_string().contains(word), "{word}: {error}");
        }
    }
    // A form that is kept is not so long that it could not be read.
    for key in ["date", "ground / Emitter category"] {
        let long = |length: usize| read_form(&install, &format!("{key}: {}\n", "x".repeat(length)));
        let said = long(1001).expect_err("too long").to_string();
        assert!(said.contains(&format!("{key}: 1001 characters are too many")), "{said}");
        assert!(said.ends_with("write at most 1000"), "{said}");
        assert_eq!(long(1000).is_ok(), key == "date");
    }
    let twice = blank.clone() + "date: today\ndate: tomorrow\n";
    assert!(read_form(&install, &twice).expect_err("twice").reason.contains("a second time"));
}

#[test]
fn the_command_says_what_differs_and_that_it_is_no_capture() {
    let folder = Folder::new("readback_command");
    let (record, blank) = (folder.path("record.html"), folder.path("blank.txt"));
    let said = run(&["readback", PROFILE, DEMO_FORM, "--record", &record]).exits(1);
    assert!(said.out.lines().all(|line| line.chars().count() <= 80), "{}", said.out);
    let told = flat(&said.out);
    for words in [
        "read by a person from a test set or a report; no captured frame is among it",
        "verdict: differs",
        "prefix_left_off",
        "not read (what would be shown)",
        "side-lobe suppression",
    ] {
        assert!(told.contains(words), "{words}: {}", said.out);
    }
    let page = std::fs::read_to_string(&record).expect("the record");
    let demo = std::fs::read(DEMO_FORM).expect("the form");
    let digest = squitterlab::capture::sha256(&demo);
    for words in ["read by a person from a test set", "Read-back record", &digest] {
        assert!(page.contains(words), "{words}");
    }
    // The digest is that of the file, a mark of the byte order and all.
    let marked = [b"\xEF\xBB\xBF", &demo[..]].concat();
    let (read, other) = (folder.file("marked.txt", &marked), folder.path("other.html"));
    run(&["readback", PROFILE, &read, "--record", &other]).exits(1);
    let digest = squitterlab::capture::sha256(&marked);
    assert!(std::fs::read_to_string(&other).expect("the record").contains(&digest));
    assert!(!page.contains("Captured frames were compared"), "it is never mixed up with frames");
    let object = run(&["readback", PROFILE, DEMO_FORM, "--format", "json"]).exits(1).object();
    let schema: serde_json::Value = serde_json::from_str(&run(&["readback", "--schema"]).exits(0).out).expect("JSON");
    assert!(jsonschema::validator_for(&schema).expect("a schema").is_valid(&object), "{object}");
    assert_eq!(object["schema"], "readback/1");
    assert!(object.pointer("/capture").is_none() && object["evidence"].as_str().expect("text").contains("person"));
    // A form that is printed is read back, and says nothing.
    let printed = run(&["readback", PROFILE, "--form"]).exits(0).out;
    std::fs::write(&blank, &printed).expect("a file");
    assert!(printed.contains("# STOP  Couple the unit directly") && printed.contains("# Figures of the test set"));
    for line in lines(&install(profile(&[]))).iter().filter(|line| line.settings != [SettingId::Address]) {
        let expected = line.expected().0;
        // What is expected is not on it, but where the choices are.
        let own = printed.lines().find(|text| text.starts_with(&line.key())).expect("a line");
        let hint = ["yes", "no", "A1", "8"];
        assert!(
            hint.contains(&expected.as_str()) || !own.split_once(':').expect("a colon").1.contains(&expected),
            "{own}"
        );
    }
    run(&["readback", PROFILE, &blank]).exits(2).complains_of(&["nothing was read"]);
    run_with(&["readback", PROFILE, "-"], printed.as_bytes()).exits(2);
    // All of it right.
    let demo = Install::new(PROFILE, profile(&[])).expect("an install");
    let right = form(&demo, &shown(&demo, false), &[]);
    run_with(&["readback", PROFILE, "-", "--complete"], right.as_bytes()).exits(0);
    let some: String =
        right.lines().filter(|line| !line.starts_with("figure")).fold(String::new(), |all, line| all + line + "\n");
    run_with(&["readback", PROFILE, "-"], some.as_bytes()).exits(0);
    run_with(&["readback", PROFILE, "-", "--complete"], some.as_bytes()).exits(1);
    // Answers one after another say the same as the form; a wrong one ends it with its line.
    let answers = |readings: &Readings| {
        let head = "Somebody\n2026-11-28\ntest set\n\n\n".to_owned();
        let values = lines(&demo)
            .iter()
            .map(|line| readings.get(&line.key()).unwrap_or_default().to_owned() + "\n")
            .collect::<String>();
        let figures =
            figures(&demo).map(|figure| readings.get(&figure_key(figure)).unwrap_or_default().to_owned() + "\n");
        head + &values + &figures.collect::<String>()
    };
    let kept = folder.path("kept.txt");
    let said = run_with(&["readback", PROFILE, "--keep", &kept], answers(&shown(&demo, false)).as_bytes()).exits(0);
    assert!(said.out.contains("verdict: agrees"), "{}", said.out);
    let again = run(&["readback", PROFILE, &kept]).exits(0);
    assert!(said.out.ends_with(&again.out), "{}", again.out);
    let object =
        run_with(&["readback", PROFILE, "--format", "json"], answers(&shown(&demo, true)).as_bytes()).exits(0).object();
    assert_eq!(object["verdict"], "agrees");
    run_with(&["readback", PROFILE], b"me\n\n\n\n\n4\nA5C0\n").exits(2).complains_of(&[
        "answer in line 7",
        "\"A5C0\"",
        "24-bit aircraft address",
    ]);
}

#[test]
fn every_answer_of_a_pipe_is_kept_before_the_next_one_comes() {
    let folder = Folder::new("readback_pipe");
    let kept = folder.path("kept.txt");
    let mut pipe = Pipe::start(&["readback", PROFILE, "--keep", &kept]);
    for (line, key, typed) in [("me\n", "read by", "me"), ("# later\ntoday\n", "date", "today")] {
        pipe.say(line);
        pipe.until(|| {
            let form = std::fs::read_to_string(&kept).unwrap_or_default();
            form.lines().any(|line| line.starts_with(key) && line.ends_with(&format!(": {typed}")))
        });
    }
    pipe.interrupt();
    let said = run_with(&["readback", PROFILE, "--keep", &kept], b"a test set\n").exits(2);
    assert!(!said.out.contains(") date") && said.out.contains(") read from"), "{}", said.out);
    assert!(std::fs::read_to_string(&kept).expect("the form").contains("a test set"));
    // What cannot be kept is said before anything is asked.
    let said = run_with(&["readback", PROFILE, "--keep", &folder.path("no/kept.txt")], b"me\n").exits(2);
    said.complains_of(&["no/kept.txt"]);
    assert_eq!(said.out, "");
}

/// Answers at a terminal as readings say, leaving once with Ctrl-C in the middle.
fn at_the_terminal(
    file: &str,
    kept: &str,
    readings: &Readings,
    folder: &Path,
    leave_after: Option<usize>,
) -> (i32, String) {
    let mut terminal = Terminal::start(&["readback", file, "--keep", kept], folder);
    let mut answered = 0;
    loop {
        let said = terminal.wait_for(&["\n(", "; verdict: "]);
        if said.ends_with("; verdict: ") {
            break;
        }
        let heading = terminal.wait_for(&["Esc: back; "]);
        // The key may be folded over lines, indented by four; what may be given follows, indented by two.
        let (_, key) = heading.split_once(") ").expect("a number and a key");
        let ends = |at: &usize| !key[at + 3..].starts_with(' ');
        let end = key.match_indices("\n  ").map(|(at, _)| at).find(ends).expect("what may be given");
        let key = &key[..end];
        if leave_after == Some(answered) {
            terminal.press("\u{3}");
            continue;
        }
        answered += 1;
        terminal.press(&format!("{}\r", readings.get(&flat(key)).unwrap_or_default()));
    }
    terminal.ends()
}

#[test]
fn seven_installs_of_seven_states_are_read_back_at_a_terminal() {
    let folder = Folder::new("readback_terminal");
    for (at, (mark, profile)) in seven_installs().into_iter().enumerate() {
        let file = folder.file(&format!("{mark}.json"), format!("{:#}\n", profile.json()));
        let kept = folder.path(&format!("{mark}.txt"));
        let install = Install::new(&file, profile.clone()).expect("an install");
        let mut readings = shown(&install, at % 2 == 0);
        for (key, typed) in [
            ("read by", "A. Technician"),
            ("date", "2026-11-28"),
            ("read from", "test set"),
            ("instrument", "invented"),
            ("place and coupling", "bench, direct"),
        ] {
            readings.put(key, typed);
        }
        let here = folder.path(".");
        // Leaves in the middle, and comes back: what was answered is not asked again.
        let (status, text) = at_the_terminal(&file, &kept, &readings, Path::new(&here), Some(12));
        assert_eq!(status, 0, "{text}");
        assert!(flat(&text).contains("verdict: incomplete"), "{text}");
        let (status, text) = at_the_terminal(&file, &kept, &readings, Path::new(&here), None);
        assert_eq!(status, 0, "{mark}: {text}");
        assert!(!text.contains(") read by"), "{text}");
        assert!(text.contains("STOP  Couple the unit directly"), "{text}");
        let form = std::fs::read_to_string(&kept).expect("the form");
        assert_eq!(read_form(&install, &form), Ok(readings.clone()), "{mark}");
        assert_eq!(read_back(&install, &readings).verdict, Verdict::Agrees, "{mark}");
        // One value wrong, and it differs.
        let wrong = form.replace("such as A1]: ", "such as A1]: A5 ");
        assert_ne!(wrong, form);
        let other = if form.contains("such as A1]: code") { "such as A1]: code 37" } else { "such as A1]: A5" };
        let wrong: String = form
            .lines()
            .map(|line| match line.split_once("such as A1]:") {
                Some((key, _)) => format!("{key}{other}\n"),
                None => format!("{line}\n"),
            })
            .collect();
        let said = run_with(&["readback", &file, "-"], wrong.as_bytes()).exits(1);
        assert!(said.out.contains("category_wrong"), "{mark}: {}", said.out);
    }
}
