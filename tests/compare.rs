//! `compare`: good captures agree, faults are found and named, and nothing is judged on too little.

use crate::program::{
    Folder, GOOD, PROFILE, Said, capture, command, finish, in_the_air, parked, profile, profile_text, run, run_with,
};
use serde_json::{Value, json};
use squitterlab::capture::Record;
use squitterlab::compare::{Fleet, Install, Report, Verdict, plan};
use squitterlab::frame::{Address, Frame};
use squitterlab::onair::{Emission, Flight, emissions, why_not_on_air};
use squitterlab::profile::mistake::{MISTAKES, Mistake};
use squitterlab::profile::{Profile, SETTINGS, SettingId, rule_set};
use std::fmt::Write as _;

fn compare(captured: &str) -> Said {
    run_with(&["compare", PROFILE, "--capture", "-", "--format", "json"], captured.as_bytes())
}

/// Compares with the demo profile, pieces of it replaced.
fn compare_with(name: &str, pieces: &[(&str, &str)], captured: &str) -> Said {
    let folder = Folder::new(&format!("compare_{name}"));
    let file = folder.file("profile.json", profile_text(pieces));
    run_with(&["compare", &file, "--capture", "-", "--format", "json"], captured.as_bytes())
}

#[track_caller]
fn setting<'a>(report: &'a Value, pointer: &str) -> &'a Value {
    let all = report["settings"].as_array().expect("a list");
    all.iter().find(|setting| setting["setting"] == pointer).unwrap_or_else(|| panic!("{pointer} is not there"))
}

#[track_caller]
fn fate(report: &Value, pointer: &str) -> String {
    setting(report, pointer)["verdict"].as_str().expect("text").to_owned()
}

fn findings<'a>(report: &'a Value, severity: &str) -> Vec<&'a Value> {
    report["findings"].as_array().expect("a list").iter().filter(|finding| finding["severity"] == severity).collect()
}

fn causes<'a>(report: &'a Value, severity: &str) -> Vec<&'a str> {
    findings(report, severity).iter().map(|finding| finding["cause"].as_str().expect("text")).collect()
}

/// A captured frame with frame bits `first` to `last` set to a code, and its parity made right again.
fn with_bits(frame: &str, first: u8, last: u8, code: u128) -> String {
    let frame: Frame = frame.parse().expect("a frame");
    let (length, overlay) = (frame.length(), frame.overlay());
    let mask = ((1u128 << (last - first + 1)) - 1) << (length - last);
    let pattern = frame.pattern() & !mask | code << (length - last);
    Frame::from_pattern(pattern, length).with_overlay(overlay).to_string()
}

/// Every frame of the text that `which` says yes to goes through `change`.
fn changed(text: &str, which: impl Fn(&str) -> bool, change: impl Fn(&str) -> String) -> String {
    text.lines().map(|line| if which(line) { change(line) } else { line.to_owned() } + "\n").collect()
}

/// The lines that `which` says no to.
fn without(text: &str, which: impl Fn(&str) -> bool) -> String {
    text.split_inclusive('\n').filter(|line| !which(line.trim_end())).collect()
}

fn good() -> String {
    capture(&profile(&[]), &[&in_the_air(), &parked()], 3)
}

// Type codes of the message (frame bits 33-37) with capability 4 or 5 in front.
fn is_squitter(line: &str, first_digits: &[&str]) -> bool {
    line.len() == 28 && line.starts_with('8') && first_digits.iter().any(|digits| line[8..].starts_with(digits))
}

/// Operational status, type code 31, subtypes 0 and 1.
fn is_status(line: &str) -> bool {
    is_squitter(line, &["F8", "F9"])
}

// The demo captures --------------------------------------------------------------------------------------------------

/// How many settings of the demo receiving can prove.
fn provable() -> usize {
    let all = plan(&Install::new("demo", profile(&[])).expect("an install")).provable;
    assert!(all >= 30, "{all}");
    all
}

#[test]
fn the_good_captures_prove_every_setting() {
    let said = run(&[&["compare", PROFILE, "--complete", "--capture"], &GOOD[..]].concat()).exits(0);
    let first = said.out.lines().next().expect("a line");
    let all = provable();
    assert_eq!(
        first,
        format!("{all} of {all} settings proved, 0 not filled in, 0 not seen; 0 faults, 0 warnings; verdict: agrees")
    );
    let json = run(&[&["compare", PROFILE, "--format", "json", "--capture"], &GOOD[..]].concat()).exits(0).object();
    assert_eq!(json["verdict"], "agrees");
    assert_eq!(json["findings"], json!([]));
    for setting in json["settings"].as_array().expect("a list") {
        // The demo states no optional setting; the crew uses the preset code or not.
        let fate = setting["verdict"].as_str().expect("text");
        assert!(["agrees", "not_on_air", "not_stated"].contains(&fate) || setting["rule"] == "when_used", "{setting}");
    }
}

#[test]
fn the_six_planted_faults_are_named_and_no_other() {
    let said = run(&["compare", PROFILE, "--capture", "vectors/demo/faulty.txt", "--format", "json"]).exits(1);
    let report = said.object();
    assert_eq!(report["verdict"], "differs");
    let mut errors: Vec<(&str, &str)> = findings(&report, "error")
        .iter()
        .map(|finding| (finding["cause"].as_str().expect("text"), finding["setting"].as_str().expect("text")))
        .collect();
    errors.sort_unstable();
    assert_eq!(
        errors,
        [
            ("category_wrong", "/aircraft/emitter_category"),
            ("feet_as_metres", "/aircraft/length"),
            ("in_capability_missing", "/receivers/uat_in"),
            ("offset_not_set", "/position_source/antenna_offset/from_centre_line"),
            ("prefix_left_off", "/aircraft/aircraft_identification"),
            ("quality_left_at_zero", "/position_source/sil"),
        ]
    );
    assert_eq!(causes(&report, "warning"), Vec::<&str>::new());
    // The evidence is really in the file.
    let text = std::fs::read_to_string("vectors/demo/faulty.txt").expect("the capture");
    for finding in findings(&report, "error") {
        let evidence = finding["evidence"].as_array().expect("a list");
        assert!(!evidence.is_empty());
        for evidence in evidence {
            assert_eq!(evidence["file"], "vectors/demo/faulty.txt");
            let line = usize::try_from(evidence["line"].as_u64().expect("a line")).expect("small");
            let frame = evidence["frame"].as_str().expect("text");
            assert!(text.lines().nth(line - 1).expect("a line").ends_with(frame), "{evidence}");
        }
    }
}

#[test]
fn a_slip_in_the_address_is_found_by_the_identification() {
    let said = run(&["compare", PROFILE, "--capture", "vectors/demo/wrong_address.txt", "--format", "json"]).exits(1);
    let report = said.object();
    assert_eq!(causes(&report, "error"), ["address_digits_transposed"]);
    assert_eq!(report["address"], "A5C035");
    let address = setting(&report, "/aircraft/address");
    assert_eq!((&address["verdict"], &address["observed"][0]["value"]), (&json!("differs"), &json!("A5C053")));
}

#[test]
fn the_ground_capture_alone_leaves_what_only_the_air_shows() {
    let arguments = ["compare", PROFILE, "--capture", GOOD[0], "--format", "json"];
    let report = run(&arguments).exits(0).object();
    assert_eq!(report["verdict"], "incomplete");
    // Replies and airborne messages only: format 0 and the airborne status.
    for pointer in [
        "/aircraft/maximum_cruise_true_airspeed",
        "/transponder/altitude_source/resolution_ft",
        "/transponder/altitude_source/kind",
        "/transponder/altitude_source/cross_checked",
        "/transponder/acas",
        "/transponder/sends/target_state",
        "/transponder/sends/air_referenced_velocity",
        "/position_source/gva",
    ] {
        assert_eq!(fate(&report, pointer), "not_seen", "{pointer}");
        let remark = setting(&report, pointer)["remark"].as_str().expect("what would show it").to_owned();
        assert!(remark.contains("in the air") || remark.contains("interrogation"), "{pointer}: {remark}");
    }
    assert_eq!(fate(&report, "/aircraft/length"), "agrees");
    run(&[&arguments[..], &["--complete"]].concat()).exits(1);
    // And the other way round.
    let air = run(&["compare", PROFILE, "--capture", GOOD[1], "--format", "json"]).exits(0).object();
    for pointer in
        ["/aircraft/length", "/position_source/antenna_offset/from_nose", "/position_source/surface_direction/kind"]
    {
        assert_eq!(fate(&air, pointer), "not_seen", "{pointer}");
    }
}

// The JSON -----------------------------------------------------------------------------------------------------------

#[test]
fn the_json_has_the_keys_that_programs_rely_on() {
    let report =
        run(&["compare", PROFILE, "--capture", "vectors/demo/faulty.txt", "--format", "json"]).exits(1).object();
    assert_eq!(report["profile"], PROFILE);
    let capture = &report["capture"];
    let number = |key: &str| capture[key].as_u64().expect("a number");
    let skipped: u64 = capture["skipped"].as_object().expect("an object").values().filter_map(Value::as_u64).sum();
    assert_eq!(number("lines"), number("frames") + number("comments") + skipped);
    let lines = std::fs::read_to_string("vectors/demo/faulty.txt").expect("the capture").lines().count();
    assert_eq!(number("lines"), lines as u64);
    assert_eq!((number("of_this_aircraft"), number("parity_invalid")), (138, 1));
    for setting in report["settings"].as_array().expect("a list") {
        let word = |key: &str| setting[key].as_str().expect("text").to_owned();
        let known = SETTINGS.iter().find(|known| known.pointer == word("setting")).expect("a setting");
        assert_eq!(word("name"), known.name);
        assert!(SETTINGS.iter().any(|known| known.pointer == word("setting")), "{setting}");
        assert!(["equal", "quality", "state", "when_used"].contains(&word("rule").as_str()), "{setting}");
        let fate = word("verdict");
        let setting_statuses = ["agrees", "differs", "not_seen", "not_on_air", "not_filled_in", "not_stated"];
        assert!(setting_statuses.contains(&fate.as_str()), "{setting}");
        let seen = setting["observed"].as_array().expect("a list");
        if ["agrees", "differs"].contains(&fate.as_str()) {
            assert!(!seen.is_empty(), "{setting}");
        }
        for seen in seen {
            assert!(seen["frames"].as_u64().is_some_and(|frames| frames > 0));
            assert!(seen["first_line"].as_u64().is_some_and(|line| line > 3));
            assert!(seen["file"].is_string() && seen["example"].is_string());
        }
        let expected = !setting["expected"].is_null() && setting["message"].is_string();
        assert!(["not_on_air", "not_stated"].contains(&fate.as_str()) || expected, "{setting}");
    }
    for finding in report["findings"].as_array().expect("a list") {
        for key in ["severity", "cause", "setting", "what", "likely_cause", "correction", "rule"] {
            assert!(finding[key].as_str().is_some_and(|text| !text.is_empty()), "{key}: {finding}");
        }
    }
}

#[test]
fn the_first_line_of_text_says_how_many_settings_are_proved() {
    let all = provable();
    // Eight are in the air only; the six faults are in seven settings.
    for (capture, wrong, not_seen, end) in [
        (GOOD[0], 0, 8, "0 faults, 0 warnings; verdict: incomplete"),
        ("vectors/demo/faulty.txt", 7, 0, "6 faults, 0 warnings; verdict: differs"),
        ("LICENSE", 0, all, "0 faults, 0 warnings; verdict: incomplete"),
    ] {
        let proved = all - wrong - not_seen;
        let first = format!("{proved} of {all} settings proved, 0 not filled in, {not_seen} not seen; {end}");
        let said = run(&["compare", PROFILE, "--capture", capture]);
        assert_eq!(said.out.lines().next(), Some(&first[..]), "{capture}");
    }
}

#[test]
fn a_fleet_is_one_report_a_profile() {
    let folder = Folder::new("fleet");
    let other = profile_text(&[("\"address\": \"A5C035\"", "\"address\": \"A5C036\"")]).replace("N47QX", "N47QY");
    let other = folder.file("other.json", other);
    let said = run(&["compare", PROFILE, &other, "--capture", GOOD[1], "--format", "json"]).exits(0);
    let reports = said.objects();
    assert_eq!(reports.len(), 2);
    assert_eq!((&reports[0]["address"], &reports[1]["address"]), (&json!("A5C035"), &json!("A5C036")));
    assert_eq!(reports[1]["capture"]["of_this_aircraft"], 0);
    run(&["compare", &other, "--capture", GOOD[1], "--format", "json"]).exits(2);
}

// The rules ----------------------------------------------------------------------------------------------------------

#[test]
fn every_setting_has_the_rule_of_its_kind() {
    let report = compare(&good()).exits(0).object();
    for (rule, pointers) in [
        (
            "equal",
            &[
                "/aircraft/address",
                "/aircraft/aircraft_identification",
                "/aircraft/emitter_category",
                "/aircraft/length",
                "/transponder/mops_version",
                "/transponder/mode_s_level",
                "/transponder/antenna",
                "/position_source/antenna_offset/from_nose",
                "/position_source/antenna_offset/from_centre_line",
                "/receivers/es_1090_in",
            ][..],
        ),
        (
            "quality",
            &[
                "/position_source/nic",
                "/position_source/nacp",
                "/position_source/nacv",
                "/position_source/gva",
                "/position_source/sil",
                "/transponder/system_design_assurance",
            ],
        ),
        ("state", &["/position_source/utc_synchronised", "/transponder/acas"]),
        ("when_used", &["/transponder/vfr_mode_a_code"]),
    ] {
        for pointer in pointers {
            assert_eq!(setting(&report, pointer)["rule"], rule, "{pointer}");
        }
    }
}

#[test]
fn quality_that_is_low_once_agrees_and_its_dip_is_a_note_and_met_once_it_differs() {
    // NACp is in bits 77-80 of a status; one of six is as expected.
    let text = good();
    let first = text.lines().position(is_status).expect("a status");
    let keep = text.lines().nth(first).expect("the line").to_owned();
    let mostly = changed(&text, is_status, |frame| with_bits(frame, 77, 80, 7)) + &keep + "\n";
    assert_eq!(fate(&compare(&mostly).exits(1).object(), "/position_source/nacp"), "differs");
    // One low frame among many in its place.
    let low = text.clone() + &format!("{keep}\n").repeat(30) + &with_bits(&keep, 77, 80, 7) + "\n";
    let report = compare(&low).exits(0).object();
    assert_eq!(report["verdict"], "agrees");
    assert_eq!(fate(&report, "/position_source/nacp"), "agrees");
    let notes = findings(&report, "note");
    assert_eq!(notes.len(), 1, "{notes:#?}");
    assert_eq!(notes[0]["setting"], "/position_source/nacp");
    let what = notes[0]["what"].as_str().expect("text");
    assert!(what.contains("1 of 37 frames"), "{what}");
    // And nothing but low is a difference.
    let never = changed(&text, is_status, |frame| with_bits(frame, 77, 80, 7));
    let report = compare(&never).exits(1).object();
    assert_eq!(fate(&report, "/position_source/nacp"), "differs");
    // Better than stated agrees.
    let better = changed(&text, is_status, |frame| with_bits(frame, 77, 80, 10));
    assert_eq!(fate(&compare(&better).exits(0).object(), "/position_source/nacp"), "agrees");
}

#[test]
fn the_limits_of_a_dip_and_what_decides_the_exit_status_can_be_set() {
    let text = good();
    let folder = Folder::new("compare_fail_on");
    let capture = folder.file("capture.txt", &text);
    // The frames send a NACv of 2: more than 1 is a warning.
    let file = folder.file("profile.json", profile_text(&[("\"nacv\": 2", "\"nacv\": 1")]));
    let said = run(&["compare", &file, "--capture", &capture]).exits(0);
    assert!(said.out.lines().next().is_some_and(|line| line.contains("0 faults, 1 warning; ")), "{}", said.out);
    run(&["compare", &file, "--capture", &capture, "--fail-on", "warning"]).exits(1);
    run(&["compare", PROFILE, "--capture", &capture, "--fail-on", "warning"]).exits(0);
    // A status in seven is low.
    let keep = text.lines().find(|line| is_status(line)).expect("a status").to_owned();
    let low = folder.file("low.txt", text.clone() + &with_bits(&keep, 77, 80, 7) + "\n");
    run(&["compare", PROFILE, "--capture", &low]).exits(1);
    run(&["compare", PROFILE, "--capture", &low, "--dips", "50,60"]).exits(0);
    run(&["compare", PROFILE, "--capture", &low, "--dips", "50"]).exits(2).complains_of(&["per cent and seconds"]);
    run(&["compare", PROFILE, "--capture", &low, "--dips", "101,5"]).exits(2).complains_of(&["0 to 100"]);
}

#[test]
fn the_longest_run_of_a_dip_is_told() {
    let text = good();
    let air: Vec<&str> = text.lines().filter(|line| is_squitter(line, &["F8"])).collect();
    let status = air[0];
    let low = with_bits(status, 77, 80, 7);
    let rows: String =
        [status, &low, &low, status, &low, &low, &low, status].map(|frame| format!("{frame}\n")).concat();
    let many = format!("{status}\n").repeat(200) + &rows;
    let report = compare(&many).exits(0).object();
    let what = findings(&report, "note")[0]["what"].as_str().expect("text").to_owned();
    assert!(what.contains("5 of 208 frames") && what.contains("longest run 3"), "{what}");
    // More often than the limits of a dip allow, it differs.
    assert_eq!(fate(&compare(&rows).exits(1).object(), "/position_source/nacp"), "differs");
}

#[test]
fn what_may_drop_must_be_exact_when_it_is_healthy() {
    // SIL is in bits 83-84 of a status.
    let text = changed(&good(), is_status, |frame| with_bits(frame, 83, 84, 3));
    let pieces = [("\"sil\": 3", "\"sil\": 2")];
    let report = compare_with("sil_above", &pieces, &text).exits(1).object();
    assert_eq!(fate(&report, "/position_source/sil"), "differs", "more than stated is not healthy");
    let keep = text.lines().find(|line| is_status(line)).expect("a status").to_owned();
    let dropped = changed(&text, is_status, |frame| with_bits(frame, 83, 84, 0)) + &keep + "\n";
    assert_eq!(fate(&compare(&dropped).exits(1).object(), "/position_source/sil"), "differs", "met once is not met");
    let rarely = text.clone() + &format!("{keep}\n").repeat(30) + &with_bits(&keep, 83, 84, 0) + "\n";
    let report = compare(&rarely).exits(0).object();
    assert_eq!(fate(&report, "/position_source/sil"), "agrees");
    assert_eq!(findings(&report, "note")[0]["setting"], "/position_source/sil");
}

#[test]
fn what_must_be_equal_differs_at_the_first_other_value() {
    let text = good();
    let identification = text.lines().find(|line| is_squitter(line, &["21"])).expect("an identification");
    let wrong = with_bits(identification, 38, 40, 2);
    let report = compare(&format!("{text}{wrong}\n")).exits(1).object();
    assert_eq!(fate(&report, "/aircraft/emitter_category"), "differs");
    let seen = setting(&report, "/aircraft/emitter_category")["observed"].as_array().expect("a list");
    assert_eq!(seen.iter().map(|seen| seen["value"].as_str().expect("text")).collect::<Vec<_>>(), ["A1", "A2"]);
}

#[test]
fn what_the_crew_uses_never_differs() {
    // Mode A code: bits 44-56 of an aircraft status, 20-32 of an identity reply; all ones is 7777.
    let is_status = |line: &str| is_squitter(line, &["E1"]);
    let text = changed(&good(), is_status, |frame| with_bits(frame, 44, 56, 0x1FBF));
    let text = changed(
        &text,
        |line| line.len() == 14 && line.starts_with('2') && line[..2] >= *"28",
        |frame| with_bits(frame, 20, 32, 0x1FBF),
    );
    let report = compare(&text).exits(0).object();
    assert_ne!(fate(&report, "/transponder/vfr_mode_a_code"), "differs");
    assert_eq!(findings(&report, "error").len(), 0);
    let pieces = [("\"fixed\"", "\"crew_entered\"")];
    let other = changed(&good(), |line| is_squitter(line, &["21"]), |frame| with_bits(frame, 41, 88, 0x0820_8208_2082));
    let report = compare_with("crew", &pieces, &other).exits(0).object();
    assert_eq!(setting(&report, "/aircraft/aircraft_identification")["rule"], "when_used");
    assert_ne!(fate(&report, "/aircraft/aircraft_identification"), "differs");
}

#[test]
fn low_quality_without_a_position_is_not_the_installs() {
    // Only position messages of type code 0 were heard, and every quality is zero.
    let text = run(&["onair", PROFILE, "--format", "hex"]).exits(0).out;
    let zero = changed(&text, is_status, |frame| with_bits(&with_bits(frame, 77, 80, 0), 83, 84, 0));
    let report = compare(&zero).exits(0).object();
    for pointer in ["/position_source/nacp", "/position_source/sil", "/position_source/nic"] {
        assert_eq!(fate(&report, pointer), "not_seen", "{pointer}");
    }
    assert_eq!(findings(&report, "error").len(), 0);
}

#[test]
fn a_setting_that_is_not_stated_is_not_judged() {
    let pieces = [("\"emitter_category\": \"A1\",", ""), ("\"sil\": 3", "\"sil\": null")];
    let text = changed(&good(), |line| is_squitter(line, &["21"]), |frame| with_bits(frame, 38, 40, 2));
    let report = compare_with("not_stated", &pieces, &text).exits(0).object();
    assert_eq!(report["verdict"], "incomplete", "something is still to be filled in");
    assert_eq!(fate(&report, "/aircraft/emitter_category"), "not_stated");
    assert_eq!(fate(&report, "/position_source/sil"), "not_filled_in");
    // What was seen of both is shown.
    for pointer in ["/aircraft/emitter_category", "/position_source/sil"] {
        assert!(!setting(&report, pointer)["observed"].as_array().expect("a list").is_empty(), "{pointer}");
    }
}

#[test]
fn without_an_air_ground_input_size_and_offset_are_not_on_the_air() {
    let pieces = [("{\"kind\": \"switch\", \"active_means\": \"on_ground\"}", "{\"kind\": \"none\"}")];
    let text = capture(&profile(&pieces), &[&in_the_air()], 3);
    let report = compare_with("no_input", &pieces, &text).exits(0).object();
    for pointer in ["/aircraft/length", "/aircraft/width", "/position_source/antenna_offset/from_nose"] {
        assert_eq!(fate(&report, pointer), "not_on_air", "{pointer}");
        assert!(setting(&report, pointer)["remark"].as_str().expect("a reason").contains("air/ground input"));
    }
    assert_eq!(report["verdict"], "agrees");
}

// What is too little to judge on -------------------------------------------------------------------------------------

const CLASS: &str = "/aircraft/maximum_cruise_true_airspeed";

#[test]
fn a_reply_counts_when_two_agree_and_the_address_was_heard_in_clear() {
    let air = capture(&profile(&[]), &[&in_the_air()], 1);
    let reply = air.lines().find(|line| line.starts_with("0005")).expect("a reply to an acquisition interrogation");
    let clear = air.lines().find(|line| line.starts_with("5D")).expect("an acquisition squitter");
    let one = compare(&format!("{clear}\n{reply}\n")).exits(0).object();
    assert_eq!(fate(&one, CLASS), "not_seen");
    let two = compare(&format!("{clear}\n{reply}\n{reply}\n")).exits(0).object();
    assert_eq!(fate(&two, CLASS), "agrees");
    let unconfirmed = compare(&format!("{reply}\n{reply}\n")).exits(2);
    assert_eq!(fate(&unconfirmed.object(), CLASS), "not_seen");
    // Wrong ones too need company: class 9 is up to 75 kt.
    let wrong = with_bits(reply, 14, 17, 9);
    let one = compare(&format!("{clear}\n{reply}\n{reply}\n{wrong}\n")).exits(0).object();
    assert_eq!(fate(&one, CLASS), "agrees");
    let two = compare(&format!("{clear}\n{wrong}\n{wrong}\n")).exits(1).object();
    assert_eq!((fate(&two, CLASS), causes(&two, "error")), ("differs".to_owned(), vec!["airspeed_class"]));
}

#[test]
fn a_frame_with_bad_parity_supports_nothing() {
    let text = good();
    let identification = text.lines().find(|line| is_squitter(line, &["21"])).expect("an identification");
    let wrong: Frame = with_bits(identification, 38, 40, 2).parse().expect("a frame");
    let damaged = wrong.with_overlay(1);
    let report = compare(&format!("{text}{damaged}\n")).exits(0).object();
    assert_eq!((&report["verdict"], &report["capture"]["parity_invalid"]), (&json!("agrees"), &json!(1)));
    run_with(&["compare", PROFILE, "--capture", "-"], format!("{damaged}\n").as_bytes()).exits(2);
}

#[test]
fn until_the_version_is_heard_what_depends_on_it_is_not_judged() {
    let text = without(&good(), is_status);
    // Bit 40 is a NIC supplement in version 2 and an antenna flag before; NACv is bits 43-45.
    let text = changed(&text, |line| is_squitter(line, &["99"]), |frame| with_bits(frame, 43, 45, 0));
    let report = compare(&text).exits(0).object();
    assert_eq!(report["verdict"], "incomplete");
    for pointer in ["/position_source/nic", "/position_source/nacv"] {
        assert_eq!(fate(&report, pointer), "not_seen", "{pointer}");
    }
    assert_eq!(fate(&report, "/aircraft/aircraft_identification"), "agrees");
}

#[test]
fn another_version_on_the_air_is_one_difference_and_not_many() {
    // The version is in bits 73-75 of a status; a version 1 status has other fields in the same places.
    let text = changed(&good(), is_status, |frame| with_bits(frame, 73, 75, 1));
    let report = compare(&text).exits(1).object();
    assert_eq!(causes(&report, "error"), ["software_version"]);
    assert_eq!(fate(&report, "/transponder/mops_version"), "differs");
    for pointer in ["/position_source/nacp", "/position_source/nic", "/receivers/uat_in", "/aircraft/length"] {
        assert_eq!(fate(&report, pointer), "not_seen", "{pointer}");
    }
}

#[test]
fn a_rebroadcast_by_the_ground_says_nothing_of_the_install() {
    // Format 18 with control field 2 or 6 is sent by a ground station, not by the transponder (from memory).
    for control in [2, 6] {
        let text = capture(&profile(&[]), &[&in_the_air()], 1);
        let squitters = text.lines().filter(|line| line.starts_with('8'));
        let rebroadcast: String = squitters.map(|line| with_bits(line, 1, 8, 18 << 3 | control) + "\n").collect();
        run_with(&["compare", PROFILE, "--capture", "-", "--format", "json"], rebroadcast.as_bytes()).exits(2);
    }
}

#[test]
fn another_aircraft_is_not_this_one() {
    let pieces = [("\"address\": \"A5C035\"", "\"address\": \"4840D6\"")];
    let other = without(&capture(&profile(&pieces), &[&in_the_air()], 2), |line| is_squitter(line, &["21"]));
    run_with(&["compare", PROFILE, "--capture", "-"], other.as_bytes())
        .exits(2)
        .complains_of(&["identification of a profile that was given"]);
    // A fleet's other aircraft in between changes nothing.
    let mixed = format!("{other}{}", good());
    assert_eq!(compare(&mixed).exits(0).object()["verdict"], "agrees");
}

// Mistakes -----------------------------------------------------------------------------------------------------------

fn observe(text: &str) -> Report {
    let rules = rule_set("none").expect("rules");
    let mut fleet = Fleet::new(vec![Install::new("demo", profile(&[])).expect("an install")], rules);
    fleet.begin("capture");
    for (line, frame) in text.lines().enumerate().filter(|(_, line)| !line.starts_with('#')) {
        fleet.observe(&Record { line: line as u64 + 1, time: None, frame: frame.parse().expect("a frame") });
    }
    fleet.reports().next().expect("one report")
}

/// What a wrong profile sends in flight and parked, each frame twice; none where it cannot be made.
fn sent(wrong: &Profile) -> Option<Vec<Emission>> {
    // No frame says version 0.
    why_not_on_air(wrong, SettingId::MopsVersion).is_none().then_some(())?;
    let (air, ground) = (in_the_air(), parked());
    let mut all = emissions(wrong, Flight::Situation(&air)).ok()?;
    all.extend(emissions(wrong, Flight::Situation(&ground)).ok()?);
    Some([all.clone(), all].concat())
}

fn frames(emissions: &[Emission]) -> String {
    emissions.iter().fold(String::new(), |mut text, emission| {
        writeln!(text, "{}", emission.frame).expect("text");
        text
    })
}

/// Every mistake that puts other bits on the air is named, or another one that would send the same bits is.
#[test]
fn every_mistake_that_shows_on_the_air_is_named() {
    let right = profile(&[]);
    let good = frames(&sent(&right).expect("frames"));
    // What each wrong profile sends, to know which mistakes look alike.
    let candidates: Vec<(&Mistake, String, String)> = MISTAKES
        .iter()
        .flat_map(|mistake| (mistake.candidates)(&right).into_iter().map(move |candidate| (mistake, candidate)))
        .filter_map(|(mistake, (wrong, detail))| Some((mistake, detail, frames(&sent(&wrong)?))))
        .filter(|(_, _, text)| *text != good)
        // No bit tells advisories from none outside replies to a tracking interrogation, and the flag may drop.
        .filter(|(mistake, detail, _)| mistake.cause != "acas_flag" || detail != "advisories only")
        .collect();
    let shown: Vec<&str> =
        MISTAKES.iter().map(|m| m.cause).filter(|cause| candidates.iter().any(|c| c.0.cause == *cause)).collect();
    assert!(shown.len() >= 22, "{shown:?}");
    let mut unnamed = Vec::new();
    for (mistake, detail, text) in &candidates {
        let report = observe(text);
        let named: Vec<&str> = report.findings.iter().map(|finding| finding.cause).collect();
        let alike = |cause: &str| candidates.iter().any(|(other, _, sent)| other.cause == cause && sent == text);
        let errors = report.findings.iter().filter(|f| f.severity == squitterlab::profile::Severity::Error).count();
        if report.verdict != Verdict::Differs || errors != 1 || !named.iter().any(|cause| alike(cause)) {
            unnamed.push(format!("{} ({detail}): {:?} {named:?}", mistake.cause, report.verdict));
        }
    }
    assert!(unnamed.is_empty(), "{} of {}: {unnamed:#?}", unnamed.len(), candidates.len());
}

/// A version that cannot be encoded is told by the version number alone.
#[test]
fn every_other_version_is_named() {
    for version in [0u8, 1, 3, 4, 5, 6, 7] {
        let text = changed(&good(), is_status, |frame| with_bits(frame, 73, 75, version.into()));
        let report = observe(&text);
        let causes: Vec<&str> = report.findings.iter().map(|finding| finding.cause).collect();
        assert_eq!(causes, ["software_version"], "version {version}");
    }
}

#[test]
fn every_cause_of_the_interface_is_in_the_list() {
    let said = run(&["compare", "--list-causes"]).exits(0);
    let listed: Vec<&str> =
        said.out.lines().filter(|line| !line.starts_with(' ')).filter_map(|line| line.split(':').next()).collect();
    let wanted = [
        "prefix_left_off",
        "look_alike",
        "stale_identification",
        "sample_identification",
        "address_octal_as_hex",
        "address_octal_as_decimal",
        "address_digits_transposed",
        "address_one_bit",
        "address_one_digit",
        "address_complemented",
        "address_mirrored",
        "address_blank",
        "address_of_another_mark",
        "category_wrong",
        "feet_as_metres",
        "metres_as_feet",
        "length_width_swapped",
        "size_not_set",
        "offset_wrong_side",
        "offset_not_set",
        "offset_unit",
        "in_capability_missing",
        "in_capability_excess",
        "antenna_flag",
        "quality_left_at_zero",
        "integrity_not_passed",
        "software_version",
        "air_ground_inverted",
        "air_ground_not_wired",
        "altitude_resolution",
        "altitude_wire",
        "airspeed_class",
        "unit_moved",
        "value_differs",
    ];
    let missing: Vec<&&str> = wanted.iter().filter(|cause| !listed.contains(*cause)).collect();
    assert!(missing.is_empty(), "{missing:?}");
}

#[test]
fn an_inverted_air_ground_input_is_named() {
    // A parked aircraft says "airborne": position, velocity zero and status of the air, never a surface message.
    let mut slow = in_the_air();
    (slow.ground_speed_kt, slow.vertical_rate_fpm) = (Some(0.0), Some(0.0));
    let mut fast = parked();
    fast.ground_speed_kt = Some(118.0);
    let text = capture(&profile(&[]), &[&slow, &fast], 5);
    let report = compare(&text).object();
    let named: Vec<&str> = ["error", "warning"].iter().flat_map(|severity| causes(&report, severity)).collect();
    assert!(named.contains(&"air_ground_inverted"), "118 kt on the ground, standing still in the air: {named:?}");
}

#[test]
fn an_identification_of_another_aircraft_is_stale_and_with_its_category_the_unit_was_moved() {
    let other = profile(&[("\"aircraft_identification\": \"N47QX\"", "\"aircraft_identification\": \"ABC123\"")]);
    let report = compare(&capture(&other, &[&in_the_air(), &parked()], 2)).exits(1).object();
    assert_eq!(causes(&report, "error"), ["stale_identification"]);
    let other = profile(&[
        ("\"aircraft_identification\": \"N47QX\"", "\"aircraft_identification\": \"ABC123\""),
        ("\"A1\"", "\"A3\""),
    ]);
    let report = compare(&capture(&other, &[&in_the_air(), &parked()], 2)).exits(1).object();
    assert_eq!(causes(&report, "error"), ["unit_moved", "stale_identification", "category_wrong"]);
    let explains = findings(&report, "error")[0]["explains"].as_array().expect("a list").len();
    assert_eq!(explains, 2, "identification and category");
}

#[test]
fn a_difference_without_a_better_explanation_is_still_told() {
    // GVA is in bits 81-82 of an airborne status: 1 is neither the 2 of the install nor a value left at zero.
    let text = changed(&good(), |line| is_squitter(line, &["F8"]), |frame| with_bits(frame, 81, 82, 1));
    let report = compare(&text).exits(1).object();
    assert_eq!(causes(&report, "error"), ["value_differs"]);
    assert_eq!(findings(&report, "error")[0]["setting"], "/position_source/gva");
}

#[test]
fn several_mistakes_at_once_are_told_apart() {
    let wrong = profile(&[
        ("\"address\": \"A5C035\"", "\"address\": \"A5C053\""),
        ("\"side\": \"left\"", "\"side\": \"right\""),
        ("\"single\"", "\"diversity\""),
        ("\"nacv\": 2", "\"nacv\": 0"),
    ]);
    let report = compare(&capture(&wrong, &[&in_the_air(), &parked()], 2)).exits(1).object();
    let mut found = causes(&report, "error");
    found.sort_unstable();
    assert_eq!(found, ["address_digits_transposed", "antenna_flag", "offset_wrong_side", "quality_left_at_zero"]);
}

#[test]
fn the_same_identification_under_two_addresses_is_a_second_transponder() {
    let other = profile(&[("\"address\": \"A5C035\"", "\"address\": \"A5C036\"")]);
    let text = good() + &capture(&other, &[&in_the_air()], 3);
    let report = compare(&text).exits(0).object();
    assert_eq!(causes(&report, "warning"), ["second_transponder"]);
    assert!(findings(&report, "warning")[0]["what"].as_str().expect("text").contains("A5C036"));
}

#[test]
fn a_wrong_address_with_a_wrong_identification_is_tied_where_both_are_slips_of_the_right_ones() {
    let wrong = |address: &str, identification: &str| {
        let address = format!("\"address\": \"{address}\"");
        let identification = format!("\"aircraft_identification\": \"{identification}\"");
        capture(
            &profile(&[
                ("\"address\": \"A5C035\"", address.as_str()),
                ("\"aircraft_identification\": \"N47QX\"", identification.as_str()),
            ]),
            &[&in_the_air(), &parked()],
            3,
        )
    };
    let report = compare(&wrong("A5C053", "47QX")).exits(1).object();
    assert_eq!(causes(&report, "error"), ["address_digits_transposed", "prefix_left_off"]);
    // Neither a slip of the address alone nor one of the identification alone makes another aircraft this one.
    for (address, identification) in [("A5C053", "ABC123"), ("4B1A37", "47QX"), ("A5C053", "N12345")] {
        run_with(&["compare", PROFILE, "--capture", "-"], wrong(address, identification).as_bytes()).exits(2);
    }
}

#[test]
fn a_visual_flight_code_of_another_region_is_noted() {
    let mut abroad = in_the_air();
    abroad.mode_a_code = Some("7000".to_owned());
    let report = compare(&capture(&profile(&[]), &[&abroad], 3)).exits(0).object();
    assert_eq!(causes(&report, "note"), ["vfr_code"]);
    // The preset, a code from air traffic control, and nothing heard say nothing.
    let mut assigned = in_the_air();
    assigned.mode_a_code = Some("4621".to_owned());
    for situations in [&[&abroad, &in_the_air()][..], &[&assigned]] {
        assert_eq!(findings(&compare(&capture(&profile(&[]), situations, 3)).exits(0).object(), "note").len(), 0);
    }
}

#[test]
fn causes_that_the_frames_cannot_tell_apart_are_said_to_be_so() {
    // A5C035 with its first bit inverted is one wrong bit, and one wrong digit.
    let other = profile(&[("\"address\": \"A5C035\"", "\"address\": \"25C035\"")]);
    let report = compare(&capture(&other, &[&in_the_air()], 3)).exits(1).object();
    let error = findings(&report, "error")[0];
    assert_eq!(error["cause"], "address_one_bit");
    let alike: Vec<&str> = error["alternatives"]
        .as_array()
        .expect("a list")
        .iter()
        .filter(|other| other["indistinguishable"] == true)
        .map(|other| other["cause"].as_str().expect("text"))
        .collect();
    assert_eq!(alike, ["address_one_digit"]);
}

// Plan, and before and after -----------------------------------------------------------------------------------------

#[test]
fn a_plan_proves_everything_that_can_be_proved_and_says_where_to_stop() {
    let plan = run(&["compare", PROFILE, "--plan", "--format", "json"]).exits(0).object();
    let captures = plan["captures"].as_array().expect("a list");
    let of = |capture: &Value, key: &str| -> Vec<String> {
        let list = capture[key].as_array().expect("a list").iter();
        list.map(|word| word.as_str().expect("text").to_owned()).collect()
    };
    let mut added: Vec<String> = captures.iter().flat_map(|capture| of(capture, "adds")).collect();
    added.sort_unstable();
    let all = added.len();
    added.dedup();
    assert_eq!(added.len(), all, "each setting is added once");
    assert!(all >= 30, "{all}");
    assert_eq!(plan["provable"], all);
    assert_eq!(of(&plan, "when_used"), ["/transponder/vfr_mode_a_code"]);
    assert!(of(&captures[0], "adds").contains(&"/aircraft/length".to_owned()), "the ground comes first");
    for capture in captures {
        assert!(!of(capture, "stops").is_empty(), "{capture}");
        assert!(capture["interrogated"] == true || capture["seconds"].as_f64().expect("a number") >= 5.0);
        if capture["when"] == "airborne" {
            assert!(of(capture, "stops")[0].contains("Never force the airborne state while the unit radiates"));
        }
    }
    let never = plan["never"].as_array().expect("a list");
    assert!(never.iter().any(|one| one["setting"] == "/aircraft/registration" && one["reason"] != ""));
    // The surface status of a parked aircraft comes every 5.2 s at the latest: seven of them at half reception.
    let size =
        captures[0]["wait_for"].as_array().expect("a list").iter().find(|way| way["message"] == "operational_status");
    assert_eq!(size.expect("the status")["seconds"], 37.0);
}

#[test]
fn without_an_air_ground_input_no_plan_waits_for_surface_messages() {
    let pieces = [("{\"kind\": \"switch\", \"active_means\": \"on_ground\"}", "{\"kind\": \"none\"}")];
    let folder = Folder::new("compare_plan_none");
    let file = folder.file("profile.json", profile_text(&pieces));
    let plan = run(&["compare", &file, "--plan", "--format", "json"]).exits(0).object();
    let never = plan["never"].as_array().expect("a list");
    assert!(never.iter().any(|one| one["setting"] == "/aircraft/length"));
    run(&["compare", &file, "--plan", "--capture", GOOD[0]]).exits(2);
}

/// Each capture of a plan stops for what is true of it; text, JSON and standard error say the same.
#[test]
fn the_stops_of_a_plan_follow_the_state_and_the_input() {
    let switch = "{\"kind\": \"switch\", \"active_means\": \"on_ground\"}";
    let folder = Folder::new("compare_plan_stops");
    for (kind, without) in [
        (switch, false),
        ("{\"kind\": \"automatic\"}", false),
        ("{\"kind\": \"none\"}", true),
        ("{\"kind\": null}", true),
    ] {
        let file = folder.file("profile.json", profile_text(&[(switch, kind)]));
        let said = run(&["compare", &file, "--plan", "--format", "json"]).exits(0);
        let plan = said.object();
        let joined = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
        let text = joined(&run(&["compare", &file, "--plan"]).exits(0).out);
        for capture in plan["captures"].as_array().expect("a list") {
            let stops: Vec<&str> =
                capture["stops"].as_array().expect("a list").iter().map(|stop| stop.as_str().expect("text")).collect();
            let has = |words: &str| stops.iter().any(|stop| stop.contains(words));
            assert_eq!(has("Never force the airborne state"), capture["when"] == "airborne", "{capture}");
            assert_eq!(has("without an air/ground input sends airborne messages"), without, "{kind}: {capture}");
            assert_eq!(has("Interrogate with a test set"), capture["interrogated"] == true, "{capture}");
            assert!(has("7776") && has("Never 7500, 7600, 7700, 7777") && has("air traffic control"), "{capture}");
            assert!(has("a hangar is not a shield") && has("standby between steps"), "{capture}");
            for stop in stops {
                assert!(text.contains(&format!("STOP {stop}")), "{stop}\n{text}");
                assert_eq!(joined(&said.err).matches(stop).count(), 1, "{stop}\n{}", said.err);
            }
        }
    }
}

#[test]
fn what_changed_since_an_earlier_capture_is_told() {
    let faulty = "vectors/demo/faulty.txt";
    let arguments = ["compare", PROFILE, "--format", "json", "--before", faulty, "--capture", GOOD[0], GOOD[1]];
    let report = run(&arguments).exits(0).object();
    let changes = &report["changes"];
    let changed: Vec<&str> = changes["settings"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|one| one["setting"].as_str().expect("text"))
        .collect();
    assert_eq!(
        changed,
        [
            "/aircraft/aircraft_identification",
            "/aircraft/emitter_category",
            "/aircraft/length",
            "/aircraft/width",
            "/position_source/sil",
            "/position_source/antenna_offset/from_centre_line",
            "/receivers/uat_in",
        ]
    );
    assert_eq!(changes["settings"][0]["before"][0]["value"], "47QX");
    assert_eq!(changes["settings"][0]["after"][0]["value"], "N47QX");
    assert_eq!((changes["gone"].as_array().map(Vec::len), changes["new"].as_array().map(Vec::len)), (Some(6), Some(0)));
    // The other way round the faults are new, and the ground alone says nothing of what the air showed.
    let arguments = ["compare", PROFILE, "--format", "json", "--before", GOOD[0], "--capture", faulty];
    let report = run(&arguments).exits(1).object();
    assert_eq!(report["changes"]["new"].as_array().map(Vec::len), Some(6));
    let only_one = report["changes"]["only_one"].as_array().expect("a list");
    assert!(only_one.contains(&json!("/position_source/gva")), "{only_one:?}");
    assert!(run(&["compare", PROFILE, "--capture", faulty, "--format", "json"]).object()["changes"].is_null());
}

// What the text looks like -------------------------------------------------------------------------------------------

#[test]
fn the_text_fits_a_terminal_and_begins_with_what_to_act_on() {
    for arguments in [
        &["compare", PROFILE, "--capture", "vectors/demo/faulty.txt"][..],
        &["compare", PROFILE, "--capture", GOOD[0]],
        &["compare", PROFILE, "--before", "vectors/demo/faulty.txt", "--capture", GOOD[0], GOOD[1]],
        &["compare", PROFILE, "--plan"],
        &["compare", "--list-causes"],
    ] {
        let said = run(arguments);
        let long = said.out.lines().find(|line| line.chars().count() > 100);
        assert_eq!(long, None, "{arguments:?}");
        assert!(!said.out.contains('\u{1b}'), "no colour where nobody sees it");
    }
    let text = run(&["compare", PROFILE, "--capture", "vectors/demo/faulty.txt"]).out;
    let place = |word: &str| text.find(word).unwrap_or_else(|| panic!("{word:?} is not in {text}"));
    assert!(place("settings proved") < place("faults, the most serious first"));
    assert!(place("faults, the most serious first") < place("never on the air"));
    assert!(place("never on the air") < place("capture: 158 lines"));
}

// Bad input ----------------------------------------------------------------------------------------------------------

#[test]
fn profiles_that_cannot_be_compared_are_refused() {
    let text = good();
    compare_with("v4", &[("\"mops_version\": 2", "\"mops_version\": 4")], &text)
        .exits(2)
        .complains_of(&["mops_version"]);
    compare_with("v7", &[("\"mops_version\": 2", "\"mops_version\": 7")], &text)
        .exits(2)
        .complains_of(&["mops_version"]);
    compare_with("no_address", &[("\"address\": \"A5C035\",", "")], &text)
        .exits(2)
        .complains_of(&["/aircraft/address"]);
    let said = compare_with("bare", &[("{\"ft\": 27.2}", "27.2")], &text).exits(2);
    assert_eq!(said.out, "");
    said.complains_of(&["/aircraft/length", "correct them first"]);
    run(&["compare", "no_such_profile.json", "--capture", GOOD[0]]).exits(2).complains_of(&["no_such_profile.json"]);
}

#[test]
fn captures_that_cannot_be_read_exit_with_2_and_are_named() {
    let said = run(&["compare", PROFILE, "--capture", "no_such_file.txt"]).exits(2);
    said.complains_of(&["no_such_file.txt"]);
    let said = run(&["compare", PROFILE, "--capture", GOOD[0], "no_such_file.txt", "--format", "json"]).exits(2);
    said.complains_of(&["no_such_file.txt"]);
    assert_eq!(fate(&said.object(), "/aircraft/length"), "agrees", "what was read is judged all the same");
    run(&["compare", PROFILE]).exits(2).complains_of(&["--capture"]);
    run(&["compare", "--capture", GOOD[0]]).exits(2).complains_of(&["<PROFILE>"]);
    run(&["compare", PROFILE, "--capture", GOOD[0], "--rules", "moon"]).exits(2).complains_of(&["\"moon\"", "europe"]);
}

#[test]
fn a_capture_that_cannot_be_opened_is_not_called_empty() {
    for capture in ["no_such_file.txt", "tests"] {
        let said = run(&["compare", PROFILE, "--capture", capture]).exits(2);
        assert!(!said.err.contains("the capture is empty"), "{}", said.err);
    }
}

#[test]
fn floors_of_a_regulator_are_held_against_what_was_seen() {
    // 14 CFR 91.227(c)(1)(i), page seen: NACp 8 or more.
    let pieces = [("\"nacp\": 9", "\"nacp\": 7")];
    let text = capture(&profile(&pieces), &[&in_the_air(), &parked()], 2);
    let folder = Folder::new("compare_floors");
    let file = folder.file("profile.json", profile_text(&pieces));
    let arguments = ["compare", &file, "--capture", "-", "--format", "json", "--rules", "united_states"];
    let report = run_with(&arguments, text.as_bytes()).exits(0).object();
    let warnings = findings(&report, "warning");
    assert_eq!(warnings.len(), 1, "{warnings:?}");
    assert_eq!(
        (&warnings[0]["cause"], &warnings[0]["setting"]),
        (&json!("below_floor"), &json!("/position_source/nacp"))
    );
    assert!(warnings[0]["rule"].as_str().expect("text").contains("91.227"));
}

#[test]
fn colour_never_stands_in_json() {
    let arguments =
        ["compare", PROFILE, "--capture", "vectors/demo/faulty.txt", "--format", "json", "--color", "always"];
    assert!(!finish(&mut command(&arguments), b"").exits(1).out.contains('\u{1b}'));
}

#[test]
fn the_address_of_the_demo_is_the_one_that_its_mistakes_turn_on() {
    // Guards the tests above: a palindrome or a blank would make mistakes that change nothing.
    assert_eq!(profile(&[]).address.get(), Some(&Address::new(0xA5_C035)));
}

#[test]
fn a_series_tells_each_capture_and_what_changed() {
    let folder = crate::program::Folder::new("series");
    // Three captures of one aircraft in the air: right, with another category, right again; given out of order.
    let lines = |begin: u32, pieces: &[(&str, &str)]| {
        let text = capture(&profile(pieces), &[&in_the_air()], 2);
        let timed = text.lines().filter(|line| !line.starts_with('#')).enumerate();
        let timed = timed.map(|(at, line)| format!("{} {line}", f64::from(begin) + at as f64 / 10.0));
        timed.collect::<Vec<_>>().join("\n")
    };
    let wrong = [("\"emitter_category\": \"A1\"", "\"emitter_category\": \"A2\"")];
    let monday = folder.file("monday.txt", lines(1_714_557_600, &[]));
    let tuesday = folder.file("tuesday.txt", lines(1_714_644_000, &wrong));
    let friday = folder.file("friday.txt", lines(1_714_903_200, &[]));
    let arguments = ["compare", PROFILE, "--series", &friday, &monday, &tuesday];
    let json = run(&[&arguments[..], &["--format", "json"]].concat()).exits(0).object();
    let schema = serde_json::from_str(&run(&["compare", "--schema", "series"]).exits(0).out).expect("a schema");
    jsonschema::validate(&schema, &json).expect("as the schema says");
    let files: Vec<&str> = json["captures"]
        .as_array()
        .expect("captures")
        .iter()
        .map(|one| one["files"][0].as_str().expect("a file"))
        .collect();
    assert_eq!(files, [&monday, &tuesday, &friday], "by time");
    let verdicts: Vec<&str> = json["captures"]
        .as_array()
        .expect("captures")
        .iter()
        .map(|one| one["verdict"].as_str().expect("a verdict"))
        .collect();
    assert_eq!((verdicts[1], verdicts[0] == verdicts[2]), ("differs", true));
    let settings = json["settings"].as_array().expect("settings");
    let category = settings.iter().find(|one| one["setting"] == "/aircraft/emitter_category").expect("the category");
    let course: Vec<(u64, &str)> = category["course"]
        .as_array()
        .expect("a course")
        .iter()
        .map(|since| (since["capture"].as_u64().expect("a number"), since["seen"][0].as_str().expect("words")))
        .collect();
    assert_eq!(course.iter().map(|(capture, _)| *capture).collect::<Vec<_>>(), [1, 2, 3]);
    assert!(course[0].1.starts_with("A1") && course[1].1.starts_with("A2") && course[0].1 == course[2].1, "{course:?}");
    // Nothing else changed, and every capture's own comparison says the same.
    let changed = settings.iter().filter(|one| one["course"].as_array().expect("a course").len() > 1);
    assert_eq!(changed.count(), 1, "{settings:#?}");
    for (at, file) in [&monday, &tuesday, &friday].into_iter().enumerate() {
        let alone = run(&["compare", PROFILE, "--capture", file, "--format", "json"]);
        let alone = alone.object();
        for key in ["verdict", "proved", "provable", "faults", "warnings"] {
            assert_eq!(json["captures"][at][key], alone[key], "{file} {key}");
        }
    }
    // The change from one to the next is that of --before.
    let before = run(&["compare", PROFILE, "--before", &monday, "--capture", &tuesday, "--format", "json"]).object();
    assert_eq!(json["captures"][1]["changes"], before["changes"]);
    // The last decides the exit status.
    run(&["compare", PROFILE, "--series", &monday, &tuesday]).exits(1);
    // Text and record have a row each.
    let record = folder.path("series.html");
    let text = run(&[&arguments[..], &["--record", &record]].concat()).exits(0).out;
    let document = std::fs::read_to_string(&record).expect("a record");
    for (number, file) in [(1, &monday), (2, &tuesday), (3, &friday)] {
        assert!(crate::program::flat(&text).contains(&format!("{number}. {file}, 2024-05-0")), "{text}");
        assert!(document.contains(&format!("{number}. {file}")));
    }
    assert!(text.contains("Emitter category: A1") && document.contains("Not a release to service."), "{text}");
    // Without times the order is the given one, and what was not heard is said.
    let other = folder.file("other.txt", "8D4840D6202CC371C32CE0576098\n");
    let said = run(&["compare", PROFILE, "--series", &other, &monday]).exits(0).out;
    assert!(said.contains("not heard") && said.find("other.txt") < said.find("monday.txt"), "{said}");
    run(&["compare", PROFILE, "--series", &other]).exits(2).complains_of(&["no valid frame"]);
}

#[test]
fn altitudes_of_a_coarse_source_that_is_announced_as_a_fine_one_are_told() {
    let pieces = [("\"kind\": \"parallel\", \"resolution_ft\": 100", "\"kind\": \"serial\", \"resolution_ft\": 25")];
    let fine = profile(&pieces);
    let climb = |step: i32| -> String {
        let at = |number: i32| {
            let text = std::fs::read_to_string(crate::program::SITUATION).expect("the demo situation");
            let mut object: Value = serde_json::from_str(&text).expect("JSON");
            object["pressure_altitude_ft"] = json!(3000 + number * step);
            squitterlab::onair::Situation::read(&object.to_string()).expect("a situation")
        };
        let all: Vec<_> = (0..20).map(at).collect();
        capture(&fine, &all.iter().collect::<Vec<_>>(), 1)
    };
    let told = |captured: &str| {
        let said = compare_with("coarse", &pieces, captured).object();
        let findings = said["findings"].as_array().expect("a list").clone();
        findings.into_iter().any(|finding| finding["what"].as_str().expect("text").contains("whole hundreds"))
    };
    assert!(told(&climb(100)), "only whole hundreds");
    assert!(!told(&climb(125)), "and others too");
}

#[test]
fn a_minimum_value_holds_where_the_profile_leaves_the_setting_open() {
    let stated = "\"system_design_assurance\": 2";
    for (sent, is_below) in [(1, true), (2, false)] {
        let install = profile(&[(stated, &format!("\"system_design_assurance\": {sent}"))]);
        let captured = capture(&install, &[&in_the_air(), &parked()], 30);
        let folder = Folder::new("compare_open_floor");
        let file = folder.file("profile.json", profile_text(&[(stated, "\"system_design_assurance\": null")]));
        let rules = ["--rules", "united_states", "--format", "json"];
        let said =
            run_with(&[&["compare", &file, "--capture", "-"][..], &rules].concat(), captured.as_bytes()).object();
        let findings = said["findings"].as_array().expect("a list");
        let mut below = findings.iter().filter(|finding| {
            finding["setting"] == "/transponder/system_design_assurance"
                && finding["what"].as_str().expect("text").contains("requires 2 or more; the best value seen is 1")
        });
        assert_eq!(below.next().map(|finding| finding["severity"].clone()), is_below.then(|| json!("error")), "{sent}");
    }
}

#[test]
fn times_that_are_not_understood_are_among_what_could_not_be_judged() {
    let good = GOOD.map(|file| std::fs::read_to_string(file).expect("the demo")).concat();
    let lines = good.lines().filter(|line| !line.starts_with('#'));
    let captured: Vec<String> =
        lines.map(|line| format!("10:00:00 {}\n", line.rsplit(' ').next().expect("a frame"))).collect();
    let said = compare(&captured.concat()).object();
    let reasons: Vec<&Value> =
        said["not_judged"].as_array().expect("a list").iter().map(|check| &check["reason"]).collect();
    assert!(reasons.contains(&&json!("not_understood")), "{reasons:?}");
}

#[test]
fn captures_are_named_by_a_pattern_too() {
    let folder = Folder::new("compare_patterns");
    for name in GOOD {
        let base = name.rsplit('/').next().expect("a name");
        folder.file(base, std::fs::read_to_string(name).expect("a capture"));
    }
    let json = |names: &[&str]| {
        let said = run(&[&["compare", PROFILE, "--format", "json", "--capture"], names].concat()).exits(0);
        serde_json::from_str::<Value>(&said.out).expect("JSON")
    };
    let one_by_one = json(&GOOD);
    let here = folder.path("");
    let report = json(&[&format!("{}/good_*.txt", here.trim_end_matches('/'))]);
    assert_eq!(report["provable"], one_by_one["provable"]);
    assert_eq!(report["capture"]["frames"], one_by_one["capture"]["frames"]);
    let said = run(&["compare", PROFILE, "--capture", &here]).exits(2);
    assert!(said.err.contains("this is a folder"), "{}", said.err);
    let said = run(&["compare", PROFILE, "--capture", "no-such-*.txt"]).exits(2);
    assert!(said.err.contains("no file fits this pattern"), "{}", said.err);
}

#[test]
fn a_capture_that_could_not_be_read_is_called_so() {
    let folder = Folder::new("compare_unread");
    let utf16: Vec<u8> = "8DA5C035\n".encode_utf16().flat_map(u16::to_le_bytes).collect();
    let file = folder.file("utf16.txt", [vec![0xFF, 0xFE], utf16].concat());
    let said = run(&["compare", PROFILE, "--capture", &file]).exits(2);
    assert!(said.out.contains("the capture could not be read"), "{}", said.out);
    assert!(!(said.out.clone() + &said.err).contains("empty"), "{} {}", said.out, said.err);
}
