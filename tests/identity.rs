//! `profile identity`: every place where an identity lives, before and after.

use crate::program::{Folder, PROFILE, flat, profile_text, run};

#[test]
fn a_re_registration_names_every_place_with_its_value_before_and_after() {
    // N47QX = A5C035, N12345 = A061D9: the arithmetic of the FAA's marks (tests of the registry).
    let said = flat(&run(&["profile", "identity", "N47QX", "N12345"]).exits(0).out);
    let bits = |address: u32| format!("{address:024b}");
    for words in [
        "Change of identity: N47QX to N12345",
        "[ ] Transponder: 24-bit address before A5C035 (octal 51340065) after A061D9 (octal 50060731)",
        "[ ] Second transponder: 24-bit address before A5C035 after A061D9",
        "[ ] Transponder: aircraft identification before N47QX after N12345",
        &format!(
            "406 MHz emergency locator before A5C035, as bits {} after A061D9, as bits {}",
            bits(0xA5_C035),
            bits(0xA0_61D9)
        ),
        "message bits 44 to 67",
        "REG/N47QX CODE/A5C035 after REG/N12345 CODE/A061D9",
        "keep a dated copy of the entry in the register of United States",
        "to be compared by hand:",
    ] {
        assert!(said.contains(words), "{words:?} is not in {said}");
    }
    let wide = run(&["profile", "identity", "N47QX", "N12345"]).exits(0).out;
    assert!(wide.lines().all(|line| line.chars().count() <= 80), "{wide}");
}

#[test]
fn marks_of_other_states_leave_the_address_to_the_register_and_know_home_and_abroad() {
    let said = flat(&run(&["profile", "identity", "D-EABC", "zk-abc"]).exits(0).out);
    assert!(said.contains("24-bit address before ____________ after ____________"), "{said}");
    assert!(said.contains("aircraft identification before DEABC after ABC"), "{said}");
    assert!(said.contains("after ABC at home, ZKABC abroad"), "{said}");
    assert!(said.contains("register of New Zealand"), "{said}");
    run(&["profile", "identity", "D-EABC", "nowhere.json"]).exits(2).complains_of(&["\"nowhere.json\""]);
    run(&["profile", "identity", "1234", "N1"]).exits(2).complains_of(&["nationality mark"]);
}

#[test]
fn a_moved_unit_is_told_each_setting_that_goes_with_the_aircraft() {
    let folder = Folder::new("identity_moved");
    let other = folder.file(
        "other.json",
        profile_text(&[
            ("\"registration\": \"N47QX\"", "\"registration\": \"N12345\""),
            ("A5C035", "A061D9"),
            ("\"aircraft_identification\": \"N47QX\"", "\"aircraft_identification\": \"N12345\""),
            ("{\"ft\": 27.2}", "{\"ft\": 56}"),
            ("\"emitter_category\": \"A1\"", "\"emitter_category\": \"A2\""),
            ("{\"m\": 3.1}", "{\"m\": 8.1}"),
            ("\"uat_in\": true", "\"uat_in\": false"),
        ]),
    );
    let sheet = run(&["profile", "identity", PROFILE, &other, "--format", "json"]).exits(0).object();
    let mut differing: Vec<&str> = sheet["differing"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|each| each["name"].as_str().expect("a name"))
        .collect();
    differing.sort_unstable();
    assert_eq!(differing, ["Aircraft length", "Antenna, distance from the nose", "Emitter category", "UAT receiver"]);
    // The same aircraft twice: no place changes, and nothing differs.
    let same = run(&["profile", "identity", PROFILE, PROFILE, "--format", "json"]).exits(0).object();
    assert_eq!(same["differing"].as_array().map(Vec::len), Some(0));
    for place in same["places"].as_array().expect("a list") {
        assert_eq!(place["before"], place["after"]);
    }
    let text = flat(&run(&["profile", "identity", PROFILE, &other]).exits(0).out);
    assert!(text.contains("Aircraft length: 27.2 ft (8.29 m), now 56 ft (17.07 m)"), "{text}");
}

#[test]
fn a_temporary_address_is_on_the_sheet_with_its_days() {
    let folder = Folder::new("identity_privacy");
    let file = folder.file("mine.json", profile_text(&[]));
    let private = folder.file("private.json", profile_text(&[]));
    let set = [
        "address",
        "A7F001",
        "address_kind",
        "privacy",
        "address_valid_from",
        "2026-12-01",
        "address_valid_until",
        "2027-01-31",
    ];
    run(&[&["profile", "set", private.as_str()][..], &set[..]].concat()).exits(0);
    let said = flat(&run(&["profile", "identity", &file, &private]).exits(0).out);
    assert!(said.contains("after a privacy address, from 2026-12-01 until 2027-01-31"), "{said}");
    assert!(said.contains("set the lasting address back on the last day"), "{said}");
    assert!(!flat(&run(&["profile", "identity", &file, &file]).exits(0).out).contains("Temporary or privacy"));
}
