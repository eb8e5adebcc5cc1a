//! `compare` with many profiles: a table, the aircraft out of place, and what is near an address that nobody sent.

use crate::program::{
    Folder, PROFILE, Said, capture, command, finish, flat, in_the_air, profile, profile_text, run, run_with,
};

const FLEET: &str = "vectors/demo/fleet";
const HEARD: &str = "vectors/demo/fleet.txt";

fn row<'a>(said: &'a Said, aircraft: &str) -> &'a str {
    said.out.lines().find(|line| line.starts_with(aircraft)).unwrap_or_else(|| panic!("{aircraft}: {}", said.out))
}

#[test]
fn a_folder_of_profiles_gives_a_table_and_who_is_out_of_place() {
    let said = run(&["compare", FLEET, "--capture", HEARD]).exits(1);
    assert!(said.out.lines().next().expect("a line").ends_with("verdict: differs"), "{}", said.out);
    assert!(said.out.contains("3 profiles: 0 agree, 1 differ, 1 incomplete, 1 not heard"), "{}", said.out);
    assert!(row(&said, "N47QX").contains(" incomplete "), "{}", said.out);
    assert!(row(&said, "N48QX").contains(" differs "), "{}", said.out);
    // The aircraft that differs comes first, with what was expected and seen, why, and what to do.
    let at = |words: &str| said.out.find(words).unwrap_or_else(|| panic!("{words}: {}", said.out));
    assert!(at("\nN48QX") < at("address_digits_transposed") && at("address_digits_transposed") < at("\nN47QX"));
    assert!(flat(&said.out).contains("expected A5E7B4, seen 5AE7B4") && said.out.contains("enter the"));
    assert!(said.out.contains("heard under a wrong address") && said.out.contains("\nnot heard\n  1 of 3; "));
    let named = run(&["compare", FLEET, "--capture", HEARD, "--list-unheard"]).exits(1);
    assert!(named.out.contains("\nnot heard\n  N49QX\n"), "{}", named.out);
    let only = run(&["compare", FLEET, "--capture", HEARD, "--only", "differs"]).exits(1);
    assert!(only.out.contains("\nN48QX") && !only.out.contains("\nN47QX"), "{}", only.out);
    assert!(said.out.lines().all(|line| line.chars().count() <= 100), "{}", said.out);
    assert!(said.out.contains("CAUTION"));
    assert!(!said.out.contains("likely cause"), "details come on request");
}

#[test]
fn details_are_the_single_comparisons_after_the_table() {
    let table = run(&["compare", FLEET, "--capture", HEARD]);
    let said = run(&["compare", FLEET, "--capture", HEARD, "--details"]).exits(1);
    let details = said.out.strip_prefix(&table.out).expect("the table first");
    for (aircraft, status) in [("n47qx", 0), ("n48qx", 1)] {
        let single = run(&["compare", &format!("{FLEET}/{aircraft}.json"), "--capture", HEARD]).exits(status);
        assert!(details.contains(&single.out), "{aircraft}: {details}");
    }
}

#[test]
fn json_stays_one_object_a_profile() {
    let objects = run(&["compare", FLEET, "--capture", HEARD, "--format", "json"]).exits(1).objects();
    let names: Vec<&str> = objects.iter().map(|object| object["profile"].as_str().expect("text")).collect();
    assert_eq!(names, ["n47qx", "n48qx", "n49qx"].map(|name| format!("{FLEET}/{name}.json")));
    assert_eq!(objects[2]["heard_as"], serde_json::Value::Null);
}

#[test]
fn a_file_of_a_folder_that_is_no_profile_is_reported_and_the_run_goes_on() {
    let folder = Folder::new("fleet_mixed");
    folder.file("a.json", profile_text(&[]));
    folder.file("b.json", profile_text(&[("\"A5C035\"", "\"A5C0\"")]));
    folder.file("c.json", "[1, 2]");
    folder.file("d.txt", "no profile, and not taken for one");
    let heard = capture(&profile(&[]), &[&in_the_air()], 3);
    let said = run_with(&["compare", &folder.path(""), "--capture", "-"], heard.as_bytes()).exits(2);
    assert!(said.out.lines().next().is_some_and(|line| line.ends_with("verdict: incomplete")), "{said:?}");
    assert!(!said.err.contains("d.txt"), "{said:?}");
    said.complains_of(&["b.json:4:", "/aircraft/address", "c.json", "correct them first"]);
    // One that was named stops the run before anything is read.
    let said = run_with(&["compare", PROFILE, &folder.path("b.json"), "--capture", "-"], heard.as_bytes()).exits(2);
    assert_eq!(said.out, "");
}

#[test]
fn a_folder_without_profiles_is_refused() {
    let folder = Folder::new("fleet_empty");
    run(&["compare", &folder.path(""), "--capture", HEARD]).exits(2).complains_of(&["no profile is in this folder"]);
}

#[test]
fn two_profiles_with_one_address_are_told() {
    let folder = Folder::new("fleet_shared");
    let other = folder.file("other.json", profile_text(&[("\"length\": {\"ft\": 27.2}", "\"length\": {\"ft\": 90}")]));
    let heard = capture(&profile(&[]), &[&in_the_air()], 3);
    let said = run_with(&["compare", PROFILE, &other, "--capture", "-"], heard.as_bytes()).exits(0);
    assert!(said.out.contains("the same address in several profiles"), "{}", said.out);
    assert!(flat(&said.out).contains("A5C035: vectors/demo/profile.json,"), "{}", said.out);
}

/// One aircraft of the fleet under the address of another: both are told.
#[test]
fn an_aircraft_under_the_address_of_another_of_the_fleet_is_found() {
    let swapped = profile(&[("\"A5C035\"", "\"A5C3EC\"")]);
    let heard = capture(&swapped, &[&in_the_air()], 3);
    let folder = Folder::new("fleet_swapped");
    let own = folder.file("own.json", profile_text(&[]));
    let text = profile_text(&[("\"A5C035\"", "\"A5C3EC\"")]).replace("N47QX", "N48QX");
    let other = folder.file("other.json", text);
    let said = run_with(&["compare", &own, &other, "--capture", "-"], heard.as_bytes()).exits(1);
    assert!(row(&said, "N47QX").contains("A5C3EC"), "{}", said.out);
    assert!(said.out.contains("stale_identification"), "{}", said.out);
    assert!(flat(&said.out).contains("it is the address of N48QX"), "{}", said.out);
    assert!(flat(&said.out).contains("it is the identification of N47QX"), "{}", said.out);
    assert!(said.out.contains("A5C3EC instead of A5C035, the address of N48QX"), "{}", said.out);
}

/// Neither address nor identification say whose frames they are; the address nearly does.
#[test]
fn a_near_address_with_a_blank_identification_is_hinted_at() {
    for (address, how) in [
        ("A5C053", "address_digits_transposed: digits 5 and 6 changed places"),
        ("A5C235", "address_one_bit: address bit 15 is inverted"),
        ("A7C03E", "two digits differ"),
    ] {
        for text in ["        ", "TEST"] {
            let wrong = profile_text(&[("\"address\": \"A5C035\"", &format!("\"address\": \"{address}\""))]).replace(
                "\"aircraft_identification\": \"N47QX\"",
                &format!("\"aircraft_identification\": {}", if text == "TEST" { "\"TEST\"" } else { "null" }),
            );
            let reading = squitterlab::profile::Profile::read(&wrong);
            let heard = capture(&reading.profile, &[&in_the_air()], 3);
            let said = run_with(&["compare", PROFILE, "--capture", "-"], heard.as_bytes()).exits(2);
            assert!(flat(&said.out).contains(&format!("{address} ({how})")), "{said:?}");
            said.complains_of(&["near A5C035", &format!("{address} ({how})")]);
        }
    }
}

#[test]
fn a_far_address_gives_no_hint() {
    let far = profile(&[("\"A5C035\"", "\"3C1234\"")]);
    let heard = capture(&far, &[&in_the_air()], 3);
    let mut wanted = profile_text(&[]).replace("N47QX", "N49QX");
    wanted = wanted.replace("A5C035", "A5C7A3");
    let folder = Folder::new("fleet_far");
    let file = folder.file("far.json", wanted);
    let said = run_with(&["compare", &file, "--capture", "-"], heard.as_bytes()).exits(2);
    assert!(!said.err.contains("near") && !said.out.contains("near"), "{said:?}");
}

/// Files of this process may grow to a few kilobytes only: the record does not fit, and no part of it stays.
#[test]
#[cfg(unix)]
fn a_record_that_cannot_be_written_leaves_nothing_behind() {
    let folder = Folder::new("fleet_full");
    let record = folder.path("record.html");
    let line = format!(
        "trap '' XFSZ; ulimit -f 4; exec {} compare {PROFILE} --capture vectors/demo/faulty.txt --record {record}",
        env!("CARGO_BIN_EXE_squitterlab")
    );
    let mut shell = std::process::Command::new("sh");
    shell.args(["-c", &line]).current_dir(env!("CARGO_MANIFEST_DIR"));
    finish(&mut shell, b"").exits(2);
    assert_eq!(folder.names(), Vec::<String>::new());
    let record = folder.path("whole.html");
    let whole = command(&["compare", PROFILE, "--capture", "vectors/demo/faulty.txt", "--record", &record]).output();
    assert_eq!(whole.expect("it runs").status.code(), Some(1));
    assert_eq!(folder.names(), ["whole.html"]);
}

#[test]
fn what_is_chosen_by_its_verdict_is_chosen_in_every_form() {
    let compared = |more: &[&str]| {
        let all = [&["compare", "vectors/demo/fleet", "--capture", "vectors/demo/fleet.txt"], more].concat();
        run(&all).exits(1).out
    };
    for (only, count) in [("differs", 1), ("agrees", 0)] {
        let json = compared(&["--only", only, "--format", "json"]);
        assert_eq!(json.lines().count(), count, "{only}");
        assert!(json.lines().all(|line| line.contains(&format!("\"verdict\":\"{only}\""))), "{only}");
        let text = compared(&["--only", only, "--details"]);
        assert_eq!(text.matches("\nprofile vectors").count(), count, "{only}: {text}");
    }
    // Of one profile that is not shown the verdict is told all the same.
    let said = run(&["compare", PROFILE, "--capture", "vectors/demo/faulty.txt", "--only", "agrees"]).exits(1);
    assert!(said.out.lines().count() == 1 && said.out.contains("verdict: differs"), "{}", said.out);
}
