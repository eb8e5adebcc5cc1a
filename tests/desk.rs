//! The entry errors of installers, each typed as a technician would: every one is caught before power is on, with a
//! message that names the correction. And size and offset codes against oracles of their own.
//!
//! What no desk can catch, since both values look right there, and the place where it shows:
//! the wires, straps and data protocol as they really are; an active-low switch that was taken for active-high; the last
//! call sign kept over a power cycle; a 27 ft distance on an aircraft of 90 ft typed as 27 m; knots for miles an hour
//! within one speed class; a mean-sea-level height fed for a geometric one; a sensor that freezes; the second unit and
//! the beacon. They need the aircraft, a capture of both states, or another box.

use crate::program::{Folder, Said, flat, profile_text, run, run_with};
use squitterlab::code::{Bits, LateralOffset, LengthWidth, LongitudinalOffset};

/// The demo profile with pieces replaced is caught with all of these words in the text that a person reads.
#[track_caller]
fn caught(pieces: &[(&str, &str)], words: &[&str]) {
    let said = run_with(&["profile", "check", "-"], profile_text(pieces).as_bytes());
    says(&said, words);
}

#[track_caller]
fn says(said: &Said, words: &[&str]) {
    let flat = flat(&said.out);
    for word in words {
        assert!(flat.contains(word), "{word:?} is not in: {}", said.out);
    }
}

const CATEGORY: &str = "\"emitter_category\": \"A1\"";
const ADDRESS: &str = "\"address\": \"A5C035\"";

#[test]
fn address_slips_name_the_right_address() {
    for (typed, words) in [
        ("000000", ["enter A5C035", "blank or returned unit"]),
        ("FFFFFF", ["enter A5C035", "blank or returned unit"]),
        // Octal 51340065: the whole form is refused with the hexadecimal one; its first six digits are explained.
        ("51340065", ["write \"A5C035\"", "octal form"]),
        ("513400", ["enter A5C035", "typed as hexadecimal"]),
        ("A5C053", ["enter A5C035", "digits 5 and 6 changed places"]),
        ("A5C034", ["enter A5C035", "address bit 24 is inverted"]),
        ("5A3FCA", ["enter A5C035", "inverted"]),
        ("AC03A5", ["enter A5C035", "reverse order"]),
        ("5A0C53", ["enter A5C035", "every octet"]),
    ] {
        caught(&[(ADDRESS, &format!("\"address\": \"{typed}\""))], &words);
    }
}

#[test]
fn an_address_of_another_state_is_told_from_the_mark() {
    caught(
        &[("\"registration\": \"N47QX\"", "\"registration\": \"D-EABC\"")],
        &["D is the nationality mark of Germany", "block of United States", "register of Germany"],
    );
}

#[test]
fn identification_slips_name_the_right_text() {
    const TEXT: &str = "\"aircraft_identification\": \"N47QX\"";
    for (typed, words) in [
        ("47QX", ["enter N47QX", "N was left off"]),
        ("N-47QX", ["write \"N47QX\"", "without hyphen"]),
        ("N 47QX", ["write \"N47QX\"", "hyphen or space"]),
        ("n47qx", ["write \"N47QX\"", "in capitals"]),
        ("", ["such as \"N47QX\"", "empty"]),
        ("TEST1234", ["enter N47QX", "sample"]),
        ("KLM1023", ["\"crew_entered\"", "looks like a call sign"]),
    ] {
        caught(&[(TEXT, &format!("\"aircraft_identification\": \"{typed}\""))], &words);
    }
    // Letter and digit that look alike: 8 for B.
    caught(
        &[
            ("\"registration\": \"N47QX\"", "\"registration\": \"N47QB\""),
            (TEXT, "\"aircraft_identification\": \"N47Q8\""),
        ],
        &["enter N47QB", "8 for B at place 5"],
    );
    for (typed, words) in
        [("KL1023", "two-letter designator"), ("1023", "no operator's letters"), ("KLM0102", "enter KLM102")]
    {
        caught(
            &[(TEXT, &format!("\"aircraft_identification\": \"{typed}\"")), ("\"fixed\"", "\"crew_entered\"")],
            &[words],
        );
    }
}

#[test]
fn the_form_of_the_state_decides_about_the_prefix() {
    // New Zealand leaves ZK out; the United States keep the N (both pages seen).
    for (mark, right) in [("ZK-ABC", "ABC"), ("N47QX", "N47QX"), ("D-EABC", "DEABC"), ("G-ABCD", "GABCD")] {
        let profile = run(&["profile", "new", "--registration", mark]).exits(0);
        assert!(profile.out.contains(&format!("\"aircraft_identification\": \"{right}\"")), "{}", profile.out);
    }
    let wrong = r#"{"aircraft": {"registration": "ZK-ABC", "aircraft_identification": "ZKABC", "identification_source": "fixed"}}"#;
    says(
        &run_with(&["profile", "check", "-"], wrong.as_bytes()),
        &["enter ABC", "without its nationality mark", "held against new_zealand"],
    );
}

#[test]
fn category_follows_from_kind_and_weight() {
    let with = |kind: &str, weight: &str, category: &str| {
        let said =
            run(&["profile", "new", "--registration", "N47QX", "--kind", kind, "--maximum-take-off-weight", weight]);
        assert!(said.out.contains(&format!("\"emitter_category\": \"{category}\"")), "{kind} {weight}: {}", said.out);
    };
    // ICAO Doc 9871 draft, page 250.
    for (weight, category) in [
        ("2550lb", "A1"),
        ("15499lb", "A1"),
        ("15500lb", "A2"),
        ("75000lb", "A2"),
        ("75001lb", "A3"),
        ("300000lb", "A3"),
        ("300001lb", "A5"),
        ("6900kg", "A1"),
        ("7100kg", "A2"),
        ("140000kg", "A5"),
    ] {
        with("aeroplane", weight, category);
    }
    for (kind, category) in [("rotorcraft", "A7"), ("glider", "B1"), ("high_vortex_aeroplane", "A4")] {
        with(kind, "20000lb", category);
    }
    caught(&[(CATEGORY, "\"emitter_category\": \"A0\"")], &["not \"light\"", "choose A1"]);
    caught(
        &[(
            CATEGORY,
            "\"kind\": \"aeroplane\", \"maximum_take_off_weight\": {\"lb\": 2550}, \"emitter_category\": \"A2\"",
        )],
        &["enter A1", "in the unit of its source"],
    );
    caught(
        &[(CATEGORY, "\"kind\": \"rotorcraft\", \"emitter_category\": \"A1\"")],
        &["enter A7", "the kind beats the weight"],
    );
}

#[test]
fn sizes_in_the_wrong_unit_or_place_are_told() {
    caught(
        &[("{\"ft\": 27.2}", "{\"m\": 27.2}")],
        &["27.2 ft (8.29 m) would fit", "were feet typed as metres?", "write {\"ft\":27.2}"],
    );
    caught(&[("{\"m\": 11.0}", "{\"ft\": 11.0}")], &["11 m would fit", "were metres typed as feet?"]);
    caught(
        &[("{\"ft\": 27.2}", "{\"m\": 11.0}"), ("\"width\": {\"m\": 11.0}", "\"width\": {\"ft\": 27.2}")],
        &["length and width look swapped"],
    );
    caught(&[("{\"ft\": 27.2}", "27.2")], &["a bare 27.2 has no unit", "write {\"m\": 27.2} or {\"ft\": 27.2}"]);
}

#[test]
fn antenna_offsets_in_the_wrong_unit_or_from_elsewhere_are_told() {
    caught(
        &[("{\"m\": 3.1}", "{\"m\": 13}")],
        &["behind an aircraft of 8.29 m", "were feet typed as metres?", "write {\"ft\":13.0}"],
    );
    caught(&[("{\"m\": 3.1}", "{\"m\": 0}")], &["no code says 0 m from the nose", "not_known"]);
    caught(&[("{\"m\": 3.1}", "{\"m\": 0.3}")], &["at the very nose", "from its datum"]);
    caught(&[("{\"m\": 3.1}", "{\"m\": -3.1}")], &["a length of -3.1 cannot be"]);
    caught(&[("\"m\": 0.6", "\"m\": 7.6")], &["beyond the wing tip", "write {\"side\":\"left\",\"ft\":7.6} if so"]);
}

#[test]
fn transponder_and_source_settings_that_contradict_each_other_are_told() {
    for (was, typed, words) in [
        ("\"1200\"", "\"7700\"", "such as 1200"),
        ("\"1200\"", "\"7000\"", "enter 1200"),
        ("\"resolution_ft\": 100", "\"resolution_ft\": 25", "write 100"),
        ("\"cross_checked\": false", "\"cross_checked\": true", "write false unless both are fitted"),
        ("\"mops_version\": 2", "\"mops_version\": 1", "service bulletin"),
        ("\"acas\": \"none\"", "\"acas\": \"resolution\"", "compare with the equipment list"),
        ("\"system_design_assurance\": 2", "\"system_design_assurance\": 0", "2 may be used"),
        ("\"system_design_assurance\": 2", "\"system_design_assurance\": 3", "enter 2 where approved units"),
        ("\"sil\": 3", "\"sil\": 0", "take SIL from the approval data"),
        ("\"per_hour\"", "\"per_sample\"", "write \"per_hour\""),
        ("\"nacv\": 2", "\"nacv\": 0", "enter 1 or 2"),
        ("\"nacv\": 2", "\"nacv\": 4", "enter 1 or 2"),
        ("\"nic\": 8", "\"nic\": 0", "check protocol and pairing"),
        ("\"gva\": 2", "\"gva\": 0", "enter 2 or 1"),
        ("\"utc_synchronised\": false", "\"utc_synchronised\": true", "write false unless the time mark"),
        ("\"reference\": \"true\"", "\"reference\": \"magnetic\"", "write \"true\" for a track"),
        ("\"es_1090_in\": true", "\"es_1090_in\": false", "the ground serves it no traffic"),
        ("\"uat_in\": true", "\"uat_in\": false", "the ground serves it no traffic"),
        ("{\"kind\": \"switch\", \"active_means\": \"on_ground\"}", "{\"kind\": \"none\"}", "wire the switch"),
        ("{\"kt\": 145}", "{\"kt\": 0}", "take the cruise true airspeed from the flight manual"),
        ("{\"kt\": 145}", "145", "write {\"kt\": 145}"),
        ("{\"kt\": 145}", "{\"kt\": 300}", "Europe wants two"),
        ("\"mode_s_level\": 2", "\"mode_s_level\": 1", "check the level on the data plate"),
    ] {
        caught(&[(was, typed)], &[words]);
    }
}

#[test]
fn what_is_open_is_listed_in_the_order_of_work() {
    let folder = Folder::new("desk_order");
    let file = folder.path("n47qx.json");
    run(&["profile", "new", "--registration", "N47QX", "--out", &file]).exits(0);
    let problems = run(&["profile", "check", &file, "--format", "json"]).exits(0).objects();
    let at = |pointer: &str| problems.iter().position(|problem| problem["pointer"] == pointer).expect(pointer);
    assert!(at("/aircraft/emitter_category") < at("/aircraft/length"));
    assert!(at("/aircraft/length") < at("/receivers/uat_in"));
    assert!(at("/receivers/uat_in") < at("/position_source/sil"));
    assert!(at("/position_source/sil") < at("/transponder/altitude_source/kind"));
    // What can be derived is asked of nobody.
    assert!(!problems.iter().any(|problem| problem["pointer"] == "/aircraft/address"), "{problems:?}");
}

#[test]
fn rules_of_ones_own_are_read_and_refused_with_place_and_correction() {
    let folder = Folder::new("own_rules");
    let own = |pointer: &str| {
        format!(
            "{{\"name\": \"ours\", \"title\": \"our shop\", \"date\": \"2026\", \"source\": \"our manual\",\n \"floors\": [\n  \
             {{\"setting\": \"{pointer}\", \"at_least\": 10, \"clause\": \"page 3\", \"confirmed\": \"page seen\"}}]}}"
        )
    };
    let good = folder.file("ours.json", own("/position_source/nacp"));
    let said = run(&["profile", "check", crate::program::PROFILE, "--rules", &good]).exits(1);
    says(&said, &["9 is below the 10 that our shop wants (page 3)", "held against ours"]);
    let bad = folder.file("bad.json", own("/position_source/nacpp"));
    run(&["profile", "check", crate::program::PROFILE, "--rules", &bad]).exits(2).complains_of(&[
        ":3:3: ",
        "can have no floor",
        "did you mean \"/position_source/nacp\"?",
    ]);
    let key = folder.file("key.json", own("/position_source/nacp").replace("clause", "claus"));
    run(&["profile", "check", crate::program::PROFILE, "--rules", &key])
        .exits(2)
        .complains_of(&["claus", "schema --rules"]);
    let schema = std::fs::read_to_string("vectors/schema/rules.schema.json").expect("the schema");
    assert_eq!(run(&["profile", "schema", "--rules"]).exits(0).out, schema);
}

#[test]
fn the_record_has_every_setting_its_place_and_a_box() {
    let said = run(&["profile", "sheet", crate::program::PROFILE]).exits(0);
    for setting in squitterlab::profile::SETTINGS.iter().filter(|setting| setting.in_new_profile) {
        assert!(said.out.contains(&format!("[ ] {} ", setting.pointer)), "{}", setting.pointer);
    }
    // Places: length and width at ME 21-24, the offsets at ME 33-40 (ICAO Doc 9871 draft, pages 162 and 227).
    says(
        &said,
        &[
            "not a release to service",
            "length_width_code 0001 (up to 15 m long and 23 m wide): bits 53-56, message 21-24",
            "8.29 m is within 15 m and 11.00 m within 23 m",
            "sent as 4 m, 0.90 m more, code 3 (00011)",
            "zero is 100, and 000 would say \"not known\"",
            "measured or looked up by ____",
        ],
    );
    let folder = Folder::new("desk_sheet");
    let svg = folder.path("antenna.svg");
    let record =
        run(&["profile", "sheet", crate::program::PROFILE, "--format", "json", "--drawing", &svg]).exits(0).object();
    let rows = record["settings"].as_array().expect("rows");
    let category = rows.iter().find(|row| row["setting"] == "/aircraft/emitter_category").expect("a row");
    assert_eq!(category["on_air"][0]["bits"], serde_json::json!([33, 40]));
    let drawing = std::fs::read_to_string(&svg).expect("the drawing");
    for words in ["<svg ", "15 m by 23 m", "4 m aft, 2 m left", "3.10 m from the nose, 0.60 m left of"] {
        assert!(drawing.contains(words), "{words}: {drawing}");
    }
}

/// The standard's procedure in decimetres: the shortest class that holds the length, then the narrower or the wider of
/// its two; else on to the next class (ICAO Doc 9871 draft, page 224).
fn size_code(length_dm: u32, width_dm: u32) -> u64 {
    const CLASSES: [(u32, u32, u32); 8] = [
        (150, 115, 230),
        (250, 285, 340),
        (350, 330, 380),
        (450, 395, 450),
        (550, 450, 520),
        (650, 595, 670),
        (750, 725, 800),
        (850, 800, 900),
    ];
    for (class, (length, narrow, wide)) in CLASSES.into_iter().enumerate() {
        if length_dm <= length && width_dm <= wide {
            // Code 0 is "no data" in version 2, so the first class has its wider box only.
            return 2 * class as u64 + u64::from(width_dm > narrow || class == 0);
        }
    }
    15
}

#[test]
fn every_size_on_a_grid_of_decimetres_has_the_code_of_the_procedure() {
    for length_dm in 1..=900 {
        for width_dm in 1..=950 {
            let code =
                LengthWidth::from_metres(f64::from(length_dm) / 10.0, f64::from(width_dm) / 10.0).expect("a code");
            assert_eq!(code.bits(), size_code(length_dm, width_dm), "{length_dm} dm by {width_dm} dm");
        }
    }
}

#[test]
fn every_offset_in_centimetres_is_rounded_up_to_its_step() {
    for cm in 1..=8000_u32 {
        let steps = u64::from(cm.div_ceil(200));
        let metres = f64::from(cm) / 100.0;
        // ICAO Doc 9871 draft, page 227; codes 2 to 31 from memory.
        assert_eq!(LongitudinalOffset::from_metres(metres).expect("a code").bits(), 1 + steps.min(30), "{cm} cm");
        assert_eq!(LateralOffset::from_metres(-metres).bits(), steps.min(3), "{cm} cm left");
        assert_eq!(LateralOffset::from_metres(metres).bits(), 4 + steps.min(3), "{cm} cm right");
    }
    assert_eq!(LateralOffset::from_metres(0.0).bits(), 4);
    assert!(LongitudinalOffset::from_metres(0.0).is_err());
}
