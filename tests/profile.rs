//! `profile`: new, check, schema; every bad profile gets its place, a reason and a correction.

use crate::program::{Folder, PROFILE, Said, flat, profile_text, run};
use serde_json::{Value, json};
use squitterlab::profile::{self, Profile, rule_set};

/// Checks a profile that is the demo with pieces replaced, in JSON.
fn check(name: &str, pieces: &[(&str, &str)]) -> (Said, Vec<Value>) {
    check_bytes(name, profile_text(pieces).as_bytes())
}

fn check_bytes(name: &str, bytes: &[u8]) -> (Said, Vec<Value>) {
    let folder = Folder::new(name);
    let file = folder.file("profile.json", bytes);
    let said = run(&["profile", "check", &file, "--format", "json", "--rules", "none"]);
    let problems = said.objects();
    (said, problems)
}

/// The one problem of this weight.
#[track_caller]
fn only<'a>(problems: &'a [Value], severity: &str) -> &'a Value {
    let found: Vec<&Value> = problems.iter().filter(|problem| problem["severity"] == severity).collect();
    assert_eq!(found.len(), 1, "{problems:#?}");
    found[0]
}

/// The line of a piece of text, from 1.
fn line_of(text: &str, piece: &str) -> usize {
    text[..text.find(piece).expect("the piece")].matches('\n').count() + 1
}

/// One error in this place: exit status 1, and these words in its reason and correction.
#[track_caller]
fn one_error(name: &str, piece: (&str, &str), pointer: &str, reason: &str, correction: &str) {
    let line = line_of(&profile_text(&[]), piece.0);
    let (said, problems) = check(name, &[piece]);
    said.exits(1);
    let problem = only(&problems, "error");
    assert_eq!(problem["pointer"], pointer, "{problem}");
    assert_eq!(problem["line"], line, "{problem}");
    assert!(problem["column"].as_u64().is_some_and(|column| column > 0), "{problem}");
    assert!(problem["reason"].as_str().expect("text").contains(reason), "{problem}");
    assert!(problem["correction"].as_str().expect("text").contains(correction), "{problem}");
    assert_ne!(problem["rule"], "", "{problem}");
}

#[test]
fn new_derives_what_can_be_derived_and_leaves_the_rest_to_be_filled_in() {
    let profile = run(&["profile", "new", "--registration", "N47QX"]).exits(0);
    let profile: Value = serde_json::from_str(&profile.out).expect("JSON");
    assert_eq!(profile["aircraft"]["registration"], "N47QX");
    // The same pair stands in the demo profile; the arithmetic is the FAA's (tests of the registry).
    assert_eq!(profile["aircraft"]["address"], "A5C035");
    assert_eq!(profile["aircraft"]["aircraft_identification"], "N47QX");
    assert_eq!(profile["aircraft"]["emitter_category"], Value::Null);
    assert_eq!(profile["position_source"]["antenna_offset"]["from_nose"], Value::Null);
    assert!(profile["receivers"].as_object().expect("an object").contains_key("uat_in"));
}

#[test]
fn new_of_another_state_leaves_the_address_open_and_writes_no_hyphen_on_the_air() {
    let profile = run(&["profile", "new", "--registration", "D-EABC"]).exits(0);
    let profile: Value = serde_json::from_str(&profile.out).expect("JSON");
    assert_eq!(profile["aircraft"]["registration"], "D-EABC");
    assert_eq!(profile["aircraft"]["address"], Value::Null);
    assert_eq!(profile["aircraft"]["aircraft_identification"], "DEABC");
}

#[test]
fn new_refuses_what_is_no_mark() {
    for (mark, why) in [
        ("N0", "digit 1 to 9"),
        ("N123456", "a mark has 1 to 5"),
        ("", "2 to 10"),
        ("N47 QX", "not a registration mark"),
    ] {
        let said = run(&["profile", "new", "--registration", mark]).exits(2);
        assert_eq!(said.out, "");
        said.complains_of(&["--registration", why]);
    }
    run(&["profile", "new"]).exits(2).complains_of(&["--registration"]);
}

#[test]
fn new_writes_a_file_once() {
    let folder = Folder::new("new_writes");
    let file = folder.path("n47qx.json");
    let arguments = ["profile", "new", "--registration", "N47QX", "--out", &file];
    run(&arguments).exits(0);
    let first = std::fs::read(&file).expect("the profile");
    run(&arguments).exits(2).complains_of(&["there already", "--force"]);
    assert_eq!(std::fs::read(&file).expect("the profile"), first);
    run(&[&arguments[..], &["--force"]].concat()).exits(0);
    assert_eq!(folder.names(), ["n47qx.json"]);
    // What was made has no errors, and says what is open.
    let said = run(&["profile", "check", &file]).exits(0);
    assert!(flat(&said.out).contains("/aircraft/length: still to be filled in"), "{}", said.out);
    assert!(flat(&said.out).contains(": 0 errors, 0 warnings"), "{}", said.out);
    run(&["profile", "new", "--registration", "N47QX", "--out", &folder.path("no/such/folder.json")]).exits(2);
}

#[test]
fn the_demo_profile_is_clean_under_every_rule_set() {
    for rules in ["none", "united_states", "europe", "europe_light", "united_kingdom", "australia", "new_zealand"] {
        let said = run(&["profile", "check", PROFILE, "--rules", rules, "--format", "json"]).exits(0);
        let severities: Vec<Value> = said.objects().iter().map(|problem| problem["severity"].clone()).collect();
        assert_eq!(severities, ["note", "note"], "{rules}: only the data link is not stated");
    }
}

#[test]
fn every_problem_has_all_its_keys() {
    let (_, problems) = check("keys", &[("\"nic\": 8", "\"nic\": \"8\""), ("{\"ft\": 27.2}", "{\"m\": 270}")]);
    assert!(problems.len() >= 3, "an error, a warning and notes: {problems:?}");
    for problem in problems {
        let keys: Vec<&str> = problem.as_object().expect("an object").keys().map(String::as_str).collect();
        assert_eq!(
            keys,
            ["file", "line", "column", "pointer", "severity", "reason", "correction", "rule", "on_the_air_at"]
        );
    }
}

#[test]
fn a_wrong_type_is_an_error_with_its_place() {
    one_error(
        "type_nic",
        ("\"nic\": 8", "\"nic\": \"good\""),
        "/position_source/nic",
        "\"good\"",
        "whole number from 0",
    );
    one_error(
        "type_flag",
        ("\"es_1090_in\": true", "\"es_1090_in\": \"perhaps\""),
        "/receivers/es_1090_in",
        "\"perhaps\"",
        "true or false",
    );
    one_error("type_address", ("\"address\": \"A5C035\"", "\"address\": 5"), "/aircraft/address", "number 5", "A5C035");
    one_error(
        "type_object",
        ("{\"es_1090_in\": true, \"uat_in\": true}", "true"),
        "/receivers",
        "an object belongs",
        "es_1090_in",
    );
}

#[test]
fn a_bare_length_is_refused_because_feet_get_typed_as_metres() {
    one_error("bare", ("{\"ft\": 27.2}", "27.2"), "/aircraft/length", "no unit", "{\"m\": 27.2} or {\"ft\": 27.2}");
    one_error(
        "unit",
        ("{\"kt\": 145}", "{\"knots\": 145}"),
        "/aircraft/maximum_cruise_true_airspeed",
        "\"knots\"",
        "{\"kt\": 1}",
    );
    one_error("negative", ("{\"ft\": 27.2}", "{\"ft\": -27.2}"), "/aircraft/length", "-27.2", "0 or more");
    one_error(
        "two_units",
        ("{\"ft\": 27.2}", "{\"ft\": 27.2, \"m\": 8.3}"),
        "/aircraft/length",
        "one unit",
        "{\"m\": 1}",
    );
}

#[test]
fn an_unknown_key_is_an_error_with_a_suggestion() {
    one_error("misspelt", ("\"width\"", "\"widht\""), "/aircraft/widht", "not known", "did you mean \"width\"?");
    one_error(
        "misplaced",
        ("\"nic\": 8", "\"nic\": 8, \"emitter_category\": \"A1\""),
        "/position_source/emitter_category",
        "not known here",
        "it belongs at /aircraft/emitter_category",
    );
    one_error(
        "top",
        ("\"notes\"", "\"sil\": 3, \"notes\""),
        "/sil",
        "not known here",
        "it belongs at /position_source/sil",
    );
    one_error(
        "nothing_like_it",
        ("\"notes\"", "\"qqqq\": 3, \"notes\""),
        "/qqqq",
        "not known here",
        "known here: aircraft, transponder",
    );
    one_error(
        "in_a_length",
        ("{\"ft\": 27.2}", "{\"feet\": 27.2}"),
        "/aircraft/length",
        "\"feet\" is not a unit",
        "{\"ft\": 1}",
    );
}

#[test]
fn a_misspelt_group_is_one_error_without_a_note_on_each_setting_in_it() {
    let (said, problems) = check("misspelt_group", &[("\"transponder\"", "\"transpnder\"")]);
    said.exits(1);
    assert!(only(&problems, "error")["correction"].as_str().expect("text").contains("\"transponder\""));
    let inside = |problem: &&Value| problem["pointer"].as_str().expect("text").starts_with("/transponder/");
    assert_eq!(problems.iter().filter(inside).count(), 0, "notes on settings that are there");
}

#[test]
fn a_repeated_key_is_an_error_wherever_it_stands() {
    one_error("twice", ("\"nic\": 8", "\"nic\": 8, \"nic\": 7"), "/position_source/nic", "second time", "keep one");
    one_error("group_twice", ("\"notes\"", "\"receivers\": null, \"notes\""), "/receivers", "second time", "keep one");
    let (said, problems) = check("unit_twice", &[("{\"ft\": 27.2}", "{\"ft\": 27.2, \"ft\": 28}")]);
    said.exits(1);
    assert_eq!(only(&problems, "error")["pointer"], "/aircraft/length");
}

#[test]
fn a_repeated_side_is_an_error_and_not_the_first_of_both() {
    let piece = ("\"side\": \"left\"", "\"side\": \"left\", \"side\": \"right\"");
    let (said, problems) = check("side_twice", &[piece]);
    said.exits(1);
    assert_eq!(only(&problems, "error")["pointer"], "/position_source/antenna_offset/from_centre_line");
}

#[test]
fn antenna_distances_say_what_they_mean() {
    const NOSE: &str = "/position_source/antenna_offset/from_nose";
    const CENTRE: &str = "/position_source/antenna_offset/from_centre_line";
    const ACROSS: &str = "{\"side\": \"left\", \"m\": 0.6}";
    one_error("nose_zero", ("{\"m\": 3.1}", "{\"m\": 0}"), NOSE, "0 m from the nose", "not_known");
    one_error("side_wrong", ("\"left\"", "\"up\""), CENTRE, "\"left\" nor \"right\"", "\"side\": \"left\"");
    one_error("side_missing", (ACROSS, "{\"m\": 0.6}"), CENTRE, "needs its side", "\"side\": \"left\"");
    one_error("side_bare", (ACROSS, "0"), CENTRE, "bare 0", "{\"m\": 0}");
    // Zero and not known are two things, and both can be said.
    for (name, value) in [("zero", "{\"m\": 0}"), ("not_known", "\"not_known\"")] {
        check(name, &[(ACROSS, value)]).0.exits(0);
    }
    for (name, value) in [("sensor", "\"applied_by_sensor\""), ("nose_not_known", "\"not_known\"")] {
        check(name, &[("{\"m\": 3.1}", value)]).0.exits(0);
    }
}

#[test]
fn values_out_of_range_are_errors_with_the_range() {
    one_error("nic", ("\"nic\": 8", "\"nic\": 12"), "/position_source/nic", "12", "0 to 11");
    one_error("nacp", ("\"nacp\": 9", "\"nacp\": -1"), "/position_source/nacp", "-1", "0 to 11");
    one_error("half", ("\"sil\": 3", "\"sil\": 2.5"), "/position_source/sil", "2.5", "whole number");
    one_error(
        "step",
        ("\"resolution_ft\": 100", "\"resolution_ft\": 50"),
        "/transponder/altitude_source/resolution_ft",
        "50",
        "25 or 100",
    );
    one_error("code", ("\"1200\"", "\"1280\""), "/transponder/vfr_mode_a_code", "1280", "0 to 7");
    one_error("category", ("\"A1\"", "\"E1\""), "/aircraft/emitter_category", "E1", "A1");
    one_error("choice", ("\"single\"", "\"one\""), "/transponder/antenna", "one", "\"single\", \"diversity\"");
    one_error("octal", ("\"address\": \"A5C035\"", "\"address\": \"51340065\""), "/aircraft/address", "six", "octal");
}

#[test]
fn doubts_are_warnings_that_block_nothing() {
    for (name, piece, pointer, words) in [
        ("large", ("{\"ft\": 27.2}", "{\"m\": 90}"), "/aircraft/length", "outside the 4 to 20 m"),
        ("version_1", ("\"mops_version\": 2", "\"mops_version\": 1"), "/transponder/mops_version", "old software"),
        ("version_3", ("\"mops_version\": 2", "\"mops_version\": 3"), "/transponder/mops_version", "public text"),
        ("category", ("\"A1\"", "\"A0\""), "/aircraft/emitter_category", "no information"),
        ("sil", ("\"sil\": 3", "\"sil\": 0"), "/position_source/sil", "unknown"),
        ("address", ("\"address\": \"A5C035\"", "\"address\": \"A5C036\""), "/aircraft/address", "A5C035"),
    ] {
        let (said, problems) = check(&format!("doubt_{name}"), &[piece]);
        said.exits(0);
        let problem = only(&problems, "warning");
        assert_eq!(problem["pointer"], pointer);
        assert!(problem["reason"].as_str().expect("text").contains(words), "{problem}");
    }
}

/// What is changed in the demo, the doubt that it deserves, and one more change with which it is gone.
type Doubt =
    (&'static [(&'static str, &'static str)], &'static str, &'static str, &'static str, (&'static str, &'static str));

const DOUBTS: &[Doubt] = &[
    (
        &[
            ("/aircraft/emitter_category", r#""A6""#),
            ("/aircraft/length", r#"{"m": 28}"#),
            ("/aircraft/width", r#"{"m": 6}"#),
        ],
        "warning",
        "/aircraft/length",
        "is slender for",
        ("/aircraft/width", r#"{"m": 12}"#),
    ),
    (
        &[("/position_source/antenna_offset/from_nose", r#"{"m": 7.5}"#)],
        "note",
        "/position_source/antenna_offset/from_nose",
        "is at the tail of an aircraft of 8.29 m",
        ("/aircraft/length", r#"{"m": 9}"#),
    ),
    (
        &[("/position_source/antenna_offset/from_centre_line", r#"{"side": "right", "m": 3.5}"#)],
        "warning",
        "/position_source/antenna_offset/from_centre_line",
        "is far out on a wing of 5.50 m",
        ("/aircraft/width", r#"{"m": 14.5}"#),
    ),
    (
        &[("/transponder/altitude_source/kind", r#""bus""#)],
        "warning",
        "/transponder/altitude_source/resolution_ft",
        "usually better than 100 ft",
        ("/transponder/altitude_source/resolution_ft", "25"),
    ),
    (
        &[("/transponder/air_ground/kind", r#""automatic""#), ("/aircraft/emitter_category", r#""A7""#)],
        "warning",
        "/transponder/air_ground/kind",
        "hovers or drifts",
        ("/aircraft/emitter_category", r#""A1""#),
    ),
    (
        &[("/aircraft/emitter_category", r#""A3""#)],
        "warning",
        "/transponder/acas",
        "usually carries collision avoidance",
        ("/transponder/acas", r#""resolution""#),
    ),
    (
        &[("/aircraft/emitter_category", r#""B1""#), ("/transponder/antenna", r#""diversity""#)],
        "warning",
        "/transponder/antenna",
        "two antennas are rare in category B1",
        ("/transponder/antenna", r#""single""#),
    ),
    (
        &[("/aircraft/address_valid_from", r#""2026-03-02""#), ("/aircraft/address_valid_until", r#""2026-03-01""#)],
        "error",
        "/aircraft/address_valid_until",
        "the last day is before the first",
        ("/aircraft/address_valid_until", r#""2026-03-02""#),
    ),
    (
        &[("/transponder/air_ground/airborne_above", r#"{"kt": 40}"#)],
        "note",
        "/transponder/air_ground/airborne_above",
        "does not find air and ground out by itself",
        ("/transponder/air_ground/kind", r#""automatic""#),
    ),
    (
        &[("/verification/test_set/make", r#""invented""#)],
        "note",
        "/verification/test_set/make",
        "without the last day of its calibration",
        ("/verification/test_set/calibrated_until", r#""2027-01-31""#),
    ),
    (
        &[("/verification/done_by", r#""A. Person""#), ("/verification/checked_by", r#"" a. person""#)],
        "note",
        "/verification/checked_by",
        "who did it checked it",
        ("/verification/checked_by", r#""B. Person""#),
    ),
    (
        &[("/aircraft/emitter_category", r#""A4""#), ("/aircraft/maximum_take_off_weight", r#"{"kg": 20000}"#)],
        "warning",
        "/aircraft/maximum_take_off_weight",
        "is very light for this kind of aircraft (large aeroplane",
        ("/aircraft/maximum_take_off_weight", r#"{"kg": 100000}"#),
    ),
    (
        &[("/aircraft/emitter_category", r#""A6""#), ("/aircraft/maximum_take_off_weight", r#"{"lb": 1400}"#)],
        "warning",
        "/aircraft/maximum_take_off_weight",
        "is very light for this kind of aircraft",
        ("/aircraft/maximum_take_off_weight", r#"{"lb": 1600}"#),
    ),
];

#[test]
fn a_profile_that_deserves_a_doubt_gets_it_and_one_beside_it_does_not() {
    let rules = rule_set("none").expect("rules");
    for (changes, severity, pointer, words, remedy) in DOUBTS {
        let doubted = |changes: &[(&str, &str)]| {
            let mut object: Value = serde_json::from_str(&profile_text(&[])).expect("JSON");
            for (pointer, value) in changes {
                let place = pointer.split('/').skip(1).fold(&mut object, |node, key| &mut node[key]);
                *place = serde_json::from_str(value).expect("JSON");
            }
            let reading = Profile::read(&object.to_string());
            assert!(!reading.is_unreadable(), "{object}: {:?}", reading.problems);
            let problems = profile::check(&reading, rules);
            let mut found = problems.iter().filter(|found| found.pointer == *pointer && found.reason.contains(words));
            found.next().map(|found| found.severity.word().to_owned())
        };
        assert_eq!(doubted(changes).as_deref(), Some(*severity), "{changes:?}");
        let with_remedy = [changes, &[*remedy][..]].concat();
        assert_eq!(doubted(&with_remedy), None, "{with_remedy:?}");
        assert_eq!(doubted(&[]), None, "the demo: {words}");
    }
}

#[test]
fn what_is_left_out_and_what_is_null_are_told_apart() {
    let (said, problems) = check("null", &[("{\"ft\": 27.2}", "null"), ("\"width\": {\"m\": 11.0},", "")]);
    said.exits(0);
    let reason = |pointer: &str| {
        let found = problems.iter().find(|problem| problem["pointer"] == pointer).expect("a note");
        (found["severity"].clone(), found["reason"].as_str().expect("text").to_owned())
    };
    assert_eq!(reason("/aircraft/length"), (json!("note"), "still to be filled in".to_owned()));
    let (severity, words) = reason("/aircraft/width");
    assert_eq!(severity, "note");
    assert!(words.starts_with("not stated"), "{words}");
}

#[test]
fn broken_json_is_one_error_with_its_place() {
    let whole = profile_text(&[]);
    for (name, text, line) in [
        ("cut", &whole[..300], whole[..300].lines().count()),
        ("empty", "", 1),
        ("two_commas", &whole.replace("\"nacv\": 2,", "\"nacv\": 2,,"), line_of(&whole, "\"nacv\": 2,")),
        ("behind", &format!("{whole}x"), whole.lines().count() + 1),
    ] {
        let (said, problems) = check_bytes(&format!("broken_{name}"), text.as_bytes());
        said.exits(1);
        let problem = only(&problems, "error");
        assert_eq!((problems.len(), &problem["line"]), (1, &json!(line)), "{name}: {problem}");
        assert!(problem["reason"].as_str().expect("text").starts_with("not valid JSON: "), "{problem}");
    }
}

#[test]
fn deep_nesting_is_refused_and_not_followed() {
    for (open, close, depth) in [("[", "]", 100_000), ("{\"a\":", "}", 60), ("[", "]", 60)] {
        let text = format!("{{\"aircraft\": {}1{}}}", open.repeat(depth), close.repeat(depth));
        let (said, problems) = check_bytes("deep", text.as_bytes());
        said.exits(1);
        assert!(only(&problems, "error")["reason"].as_str().expect("text").contains("nested too deeply"));
    }
}

#[test]
fn a_profile_is_an_object() {
    for (name, text) in [("list", "[]"), ("number", "5"), ("null", "null")] {
        let (said, problems) = check_bytes(&format!("root_{name}"), text.as_bytes());
        said.exits(1);
        assert_eq!(only(&problems, "error")["pointer"], "", "{name}");
    }
}

#[test]
fn files_that_cannot_be_read_exit_with_2_and_are_named() {
    let folder = Folder::new("unreadable");
    let text = profile_text(&[]);
    let utf_16: Vec<u8> = format!("\u{FEFF}{text}").encode_utf16().flat_map(u16::to_le_bytes).collect();
    let latin_1 = [text.as_bytes(), b"\xE9"].concat();
    for (file, words) in [
        (folder.path("not_there.json"), "cannot be read"),
        (folder.path("."), "directory"),
        (folder.file("utf_16.json", utf_16), "UTF-16"),
        (folder.file("latin_1.json", latin_1), "not UTF-8"),
    ] {
        run(&["profile", "check", &file]).exits(2).complains_of(&[&flat(&file), words]);
        // The others are looked at all the same.
        let said = run(&["profile", "check", &file, PROFILE]).exits(2);
        assert!(said.out.contains(&format!("{PROFILE}: 0 errors")), "{}", said.out);
    }
    // A mark at the start and lines ended as Windows does are no fault.
    let windows = format!("\u{FEFF}{}", text.replace('\n', "\r\n"));
    run(&["profile", "check", &folder.file("windows.json", windows)]).exits(0);
}

#[test]
fn rules_are_listed_and_unknown_ones_are_refused() {
    let said = run(&["profile", "check", "--list-rules"]).exits(0);
    for name in ["none", "united_states", "europe", "united_kingdom", "canada", "australia", "new_zealand"] {
        assert!(said.out.contains(&format!("\n  {name}: ")), "{name}");
    }
    run(&["profile", "check", PROFILE, "--rules", "moon"]).exits(2).complains_of(&["\"moon\"", "united_states"]);
    run(&["profile", "check"]).exits(2).complains_of(&["<FILE>"]);
}

#[test]
fn minimum_values_that_were_seen_are_errors_and_those_from_memory_are_notes() {
    let floor = |problems: &[Value], pointer: &str| {
        let is_it = |problem: &&Value| problem["pointer"] == pointer && problem["rule"] == "floor";
        problems.iter().find(is_it).cloned()
    };
    let folder = Folder::new("floors");
    // 14 CFR 91.227(c)(1)(i) to (v), eCFR issue of 3 September 2026 (page seen): the least, and one less.
    for (piece, least, pointer, clause) in [
        ("\"nacp\": 9", 8, "/position_source/nacp", "91.227(c)(1)(i)"),
        ("\"nacv\": 2", 1, "/position_source/nacv", "91.227(c)(1)(ii)"),
        ("\"nic\": 8", 7, "/position_source/nic", "91.227(c)(1)(iii)"),
        ("\"system_design_assurance\": 2", 2, "/transponder/system_design_assurance", "91.227(c)(1)(iv)"),
        ("\"sil\": 3", 3, "/position_source/sil", "91.227(c)(1)(v)"),
    ] {
        let name = piece.split(':').next().expect("a key");
        for stated in 0..=least {
            let text = profile_text(&[(piece, &format!("{name}: {stated}"))]);
            let file = folder.file("profile.json", text);
            let said = run(&["profile", "check", &file, "--rules", "united_states", "--format", "json"]);
            let Some(found) = floor(&said.objects(), pointer) else {
                assert_eq!(stated, least, "{name} {stated}: {}", said.out);
                continue;
            };
            said.exits(1);
            assert!(stated < least, "{found}");
            assert_eq!(found["severity"], "error", "{found}");
            let reason = found["reason"].as_str().expect("text");
            for words in [clause, "91.225(a) and (b)", "3 September 2026"] {
                assert!(reason.contains(words), "{words}: {reason}");
            }
            run(&["profile", "check", &file, "--rules", "none"]).exits(0);
            // The mark is of the United States, so its rules are taken where none are named.
            let said = run(&["profile", "check", &file]).exits(1);
            assert!(flat(&said.out).contains("checked against united_states"), "{}", said.out);
        }
    }
    // CS-ACNS: NIC 6 from memory, for heavy and fast aircraft.
    let heavy =
        ("\"emitter_category\": \"A1\"", "\"maximum_take_off_weight\": {\"kg\": 5800}, \"emitter_category\": \"A1\"");
    let file = folder.file("heavy.json", profile_text(&[("\"nic\": 8", "\"nic\": 5"), heavy]));
    let said = run(&["profile", "check", &file, "--rules", "europe", "--format", "json"]).exits(0);
    assert_eq!(floor(&said.objects(), "/position_source/nic").expect("a minimum")["severity"], "note");
}

#[test]
fn the_schema_knows_every_key_of_the_demo_and_no_other() {
    fn keys(value: &Value, schema: &Value, at: &str) {
        let Value::Object(object) = value else { return };
        let Some(properties) = schema["properties"].as_object() else { return };
        assert_eq!(schema["additionalProperties"], false, "{at}");
        for (key, value) in object {
            let inner = properties.get(key).unwrap_or_else(|| panic!("{at}/{key} is not in the schema"));
            keys(value, inner, &format!("{at}/{key}"));
        }
    }
    let schema: Value = serde_json::from_str(&run(&["profile", "schema"]).exits(0).out).expect("JSON");
    assert!(schema["$schema"].as_str().expect("text").starts_with("https://json-schema.org/"));
    let demo: Value = serde_json::from_str(&profile_text(&[])).expect("JSON");
    keys(&demo, &schema, "");
    assert_eq!(schema["properties"]["aircraft"]["properties"]["length"]["anyOf"][1], json!({"type": "null"}));
}

#[test]
fn colour_is_for_terminals_and_never_with_no_color() {
    const ESCAPE: char = '\u{1b}';
    let folder = Folder::new("colour");
    let file = folder.file("bad.json", "[]");
    let plain = ["profile", "check", file.as_str()];
    assert!(!run(&plain).exits(1).out.contains(ESCAPE));
    assert!(!run(&[&plain[..], &["--color", "never"]].concat()).exits(1).out.contains(ESCAPE));
    let always = [&plain[..], &["--color", "always"]].concat();
    assert!(run(&always).exits(1).out.contains(ESCAPE));
    let said = crate::program::finish(crate::program::command(&always).env("NO_COLOR", "1"), b"").exits(1);
    assert!(!said.out.contains(ESCAPE), "never with NO_COLOR: {:?}", said.out);
    run(&[&plain[..], &["--color", "sometimes"]].concat()).exits(2).complains_of(&["auto, always, never"]);
}

#[test]
fn the_published_schema_is_the_one_that_the_program_prints() {
    for (name, arguments) in [
        ("profile", &["profile", "schema"][..]),
        ("rules", &["profile", "schema", "--rules"]),
        ("comparison", &["compare", "--schema"]),
        ("series", &["compare", "--schema", "series"]),
        ("readback", &["readback", "--schema"]),
        ("watch", &["watch", "--schema"]),
        ("frame", &["decode", "--schema"]),
        ("manifest", &["decode", "--schema", "manifest"]),
        ("emission", &["onair", "--schema"]),
        ("address", &["address", "--schema"]),
        ("altitude", &["altitude", "--schema"]),
        ("problem", &["profile", "check", "--schema"]),
        ("draft", &["profile", "from-capture", "--schema"]),
    ] {
        let file = format!("{}/vectors/schema/{name}.schema.json", env!("CARGO_MANIFEST_DIR"));
        let printed = run(arguments).exits(0).out;
        if std::env::var_os("UPDATE_SCHEMA").is_some() {
            std::fs::write(&file, &printed).expect("the schema is written");
        }
        let published = std::fs::read_to_string(&file).expect("the schema is there");
        assert!(
            printed == published,
            "{name}.schema.json is not what the program prints; `UPDATE_SCHEMA=1 cargo test --test commands schema` writes it"
        );
    }
}

/// What is wrong with a setting is told with its places on the air, and those are the places of `profile where`.
#[test]
fn what_is_wrong_is_told_with_where_it_is_on_the_air() {
    let folder = crate::program::Folder::new("profile_on_the_air");
    let mut told = 0;
    for setting in squitterlab::profile::SETTINGS {
        let mut object: Value = serde_json::from_str(&profile_text(&[])).expect("the demo");
        let Some(place) = object.pointer_mut(setting.pointer) else { continue };
        // No setting is a list in a list.
        *place = serde_json::json!([[]]);
        let file = folder.file("wrong.json", object.to_string());
        let said = run(&["profile", "check", &file]).exits(1).out;
        let json = run(&["profile", "check", &file, "--format", "json"]).exits(1).objects();
        let wrong = json.iter().find(|one| one["severity"] == "error").expect("an error");
        let place = run(&["profile", "where", setting.pointer]).exits(0).out;
        match wrong["on_the_air_at"].as_str() {
            Some(at) => {
                told += 1;
                assert!(crate::program::flat(&said).contains(&format!("on the air at: {at}")), "{said}");
                let first = at.split(',').next().expect("a place");
                let (message, bits) = first.split_once(' ').expect("message and bits");
                assert!(!message.is_empty() && crate::program::flat(&place).contains(bits), "{first}: {place}");
            }
            None => assert!(setting.never.is_some() || !place.contains("version 2 "), "{}: {place}", setting.pointer),
        }
    }
    assert!(told > 25, "{told}");
}
