//! `profile from-capture`: what a draft states is what the install sends, and its own capture never speaks against it.

use crate::installs::complete;
use crate::long_run::cases;
use crate::program::{Folder, GOOD, PROFILE, flat, profile, run, run_with};
use crate::random::Random;
use squitterlab::capture::Record;
use squitterlab::compare::{Draft, Drafting, Fleet, Install, SettingStatus, Sightings, Verdict, Why};
use squitterlab::onair::{Emission, Flight, FlightPath, Rehearsal, emissions};
use squitterlab::profile::{Profile, RuleSet, SETTINGS, SettingId, Stated};

fn rehearsed(install: &Profile, seed: u64) -> Vec<Record> {
    let path = FlightPath::demo();
    let end = path.duration_ms();
    let rehearsal = Rehearsal::new(install.clone(), path, seed).expect("a rehearsal").interrogated(2.0);
    let sent = rehearsal.take_while(|sent| sent.time_ms < end).enumerate();
    sent.map(|(at, sent)| Record { line: at as u64 + 1, time: Some(sent.time_s()), frame: sent.frame }).collect()
}

fn drafts(records: &[Record]) -> Vec<Draft> {
    let mut heard = Sightings::new();
    for record in records {
        heard.observe(record);
    }
    let mut drafting = Drafting::new(&heard.aircraft()).expect("a drafting");
    drafting.fleet().begin("capture");
    for record in records {
        drafting.fleet().observe(record);
    }
    drafting.drafts().expect("drafts")
}

fn compared(profile: Profile, records: &[Record]) -> squitterlab::compare::Report {
    let mut fleet = Fleet::new(vec![Install::new("draft", profile).expect("an install")], &RuleSet::default());
    fleet.begin("capture");
    for record in records {
        fleet.observe(record);
    }
    fleet.reports().next().expect("a report")
}

/// The codes that a setting decides, message by message.
fn codes(profile: &Profile, setting: SettingId) -> Vec<(&'static str, String, &'static str, u64)> {
    let frames = emissions(profile, Flight::Healthy).expect("frames");
    let of = |frame: Emission| {
        let (name, when) = (frame.transmission.name, format!("{:?}", frame.when));
        let decisions = frame.decisions.into_iter().chain(frame.used);
        let own = decisions.filter(move |decision| decision.settings.contains(&setting));
        own.map(move |decision| (name, when.clone(), decision.field, decision.code)).collect::<Vec<_>>()
    };
    frames.into_iter().flat_map(of).collect()
}

#[test]
fn a_draft_states_what_the_install_sends_and_never_differs_from_its_own_capture() {
    let mut random = Random(0xD4AF7);
    let mut stated = 0;
    for round in 0..u64::from(cases(20)) {
        let install = complete(&mut random);
        let records = rehearsed(&install, round);
        let mut all = drafts(&records);
        assert_eq!(all.len(), 1, "round {round}");
        let mut draft = all.remove(0);
        assert_eq!(Some(&draft.address), install.address.get());
        // Nothing has to be taken back where the flight is steady.
        let report = compared(draft.profile(), &records);
        let differs = || report.settings.iter().filter(|setting| setting.status == SettingStatus::Differs);
        let told: Vec<_> = differs().map(|setting| (setting.setting, &setting.meaning, &setting.observed)).collect();
        assert!(told.is_empty(), "round {round}: {told:?} of {}", install.json());
        assert_ne!(report.verdict, Verdict::Differs, "round {round}: {:?}", report.findings);
        let before = draft.stated();
        draft.correct(&report);
        assert_eq!(draft.stated(), before);
        // Every statement sends what the install sends.
        for drafted in draft.settings.iter().filter(|drafted| drafted.value.is_some()) {
            let setting = drafted.setting;
            let typed = drafted.value.as_deref().expect("a value");
            let with = setting.with_typed(&install, typed).expect("a value");
            assert_eq!(
                codes(&with, setting.id),
                codes(&install, setting.id),
                "round {round}: {}: {typed} for {}",
                setting.name,
                setting.value(&install)
            );
            stated += 1;
        }
        // And nothing is left open that only one value sends.
        for setting in
            [SettingId::EmitterCategory, SettingId::Antenna, SettingId::Nacp, SettingId::Sil, SettingId::Es1090In]
        {
            let seen = !codes(&install, setting).is_empty() && report.reception.len() == 2;
            let drafted = draft.settings.iter().find(|drafted| drafted.setting.id == setting).expect("a line");
            assert!(drafted.value.is_some() || !seen, "round {round}: {}: {:?}", drafted.setting.name, drafted.why);
        }
    }
    assert!(stated > 300, "{stated}");
}

/// On the surface version 2 has no code for a NIC of 1 to 5: it goes out as 0 (source: H7, type codes 5 to 8).
#[test]
fn a_nic_that_the_ground_cannot_tell_is_stated_from_the_air_only() {
    for nic in 0..=11_u8 {
        let install = profile(&[("\"nic\": 8", &format!("\"nic\": {nic}"))]);
        let flight = rehearsed(&install, u64::from(nic));
        let is_airborne = |record: &&Record| record.frame.downlink_format() == 17 && record.frame.bit(8);
        let off = flight.iter().position(|record| is_airborne(&record)).expect("it takes off");
        let drafted = |records: &[Record]| {
            let draft = drafts(records).remove(0);
            let own = draft.settings.into_iter().find(|drafted| drafted.setting.id == SettingId::Nic).expect("a line");
            (own.value, own.why)
        };
        assert_eq!(drafted(&flight), (Some(nic.to_string()), Why::Seen), "{nic}");
        let ground = match nic {
            0..=5 => (None, Why::OneOf((0..=5).map(|nic| nic.to_string()).collect())),
            _ => (Some(nic.to_string()), Why::Seen),
        };
        assert_eq!(drafted(&flight[..off]), ground, "{nic}");
    }
}

#[test]
fn ranges_and_classes_are_said_and_are_no_measures() {
    let mut random = Random(0x7A9E);
    for round in 0..u64::from(cases(10)) {
        let install = complete(&mut random);
        let drafts = drafts(&rehearsed(&install, round));
        for drafted in &drafts[0].settings {
            let measures = [
                SettingId::Length,
                SettingId::Width,
                SettingId::MaximumCruiseTrueAirspeed,
                SettingId::MaximumTakeOffWeight,
                SettingId::AntennaFromNose,
            ];
            if measures.contains(&drafted.setting.id) {
                let words = drafted.value.as_deref().unwrap_or("not_known");
                assert!(["not_known", "applied_by_sensor"].contains(&words), "{}: {words}", drafted.setting.name);
                assert!(drafted.seen.is_empty() || drafted.value.is_some() || drafted.why == Why::Range, "{drafted:?}");
            }
            // Whatever was seen of a setting is told, stated or not.
            if drafted.value.is_some() && drafted.setting.id != SettingId::Address && drafted.why == Why::Seen {
                assert!(!drafted.seen.is_empty(), "{drafted:?}");
            }
        }
        // What the crew sets is not the preset.
        let code = drafts[0].settings.iter().find(|drafted| drafted.setting.id == SettingId::VfrModeACode);
        assert_eq!(code.expect("a line").value, None);
    }
}

#[test]
fn the_draft_is_a_profile_with_what_was_seen_in_comments() {
    let folder = Folder::new("from_capture");
    let faulty = "vectors/demo/faulty.txt";
    run(&["profile", "from-capture", faulty]).exits(2).complains_of(&["2 aircraft", "--address", "A5C035", "47QX"]);
    let file = folder.path("found.json");
    run(&["profile", "from-capture", faulty, "--address", "a5c035", "--out", &file]).exits(0);
    let text = std::fs::read_to_string(&file).expect("a draft");
    for words in [
        "// Drafted from what A5C035 sent: vectors/demo/faulty.txt",
        "\"aircraft_identification\": \"47QX\"",
        "\"emitter_category\": \"A2\"",
        "\"length\": null",
        "length_width_code: up to 35 m long and 33 m wide, code 4, in 7 frames, first in line 7",
        "its arithmetic N47QX",
    ] {
        // Comments are folded.
        let plain = text.lines().map(|line| line.trim().trim_start_matches("// ")).collect::<Vec<_>>().join(" ");
        assert!(text.contains(words) || plain.contains(words.trim_start_matches("// ")), "{words}: {text}");
    }
    assert!(text.lines().all(|line| line.chars().count() <= 101), "{text}");
    // It is read without a fault, and its own capture does not speak against what it states.
    run(&["profile", "check", &file, "--rules", "none"]).exits(0);
    let compared = run(&["compare", &file, "--capture", faulty, "--format", "json"]).object();
    let differs = compared["settings"].as_array().expect("settings").iter().filter(|one| one["verdict"] == "differs");
    assert_eq!(differs.count(), 0, "{compared}");
    // As data: every setting with its reason, and the profile.
    let data = run(&["profile", "from-capture", faulty, "--address", "A5C035", "--format", "json"]).exits(0).object();
    let read = squitterlab::profile::Profile::read(&text).profile;
    assert_eq!(data["profile"], read.json());
    for setting in SETTINGS.iter().filter(|setting| setting.in_new_profile) {
        let rows = data["settings"].as_array().expect("settings");
        let row =
            rows.iter().find(|row| row["setting"] == setting.pointer).unwrap_or_else(|| panic!("{}", setting.name));
        assert_eq!(row["state"] == "stated", matches!(setting.stated(&read), Stated::Is(_)), "{row}");
        assert!(row["why"].is_string(), "{row}");
    }
    // The same from standard input, which is read once.
    let piped = run_with(&["profile", "from-capture", "-", "--address", "A5C035"], &std::fs::read(faulty).expect("it"))
        .exits(0);
    assert_eq!(piped.out, text.replace(faulty, "-"));
}

#[test]
fn blanks_of_a_profile_are_filled_and_differences_listed() {
    let folder = Folder::new("from_capture_merge");
    let before = crate::program::profile_text(&[
        ("\"nic\": 8", "\"nic\": null"),
        ("\"antenna\": \"single\"", "\"antenna\": null /* to be looked up */, \"transmit_power\": \"70_w_or_more\""),
    ]);
    let file = folder.file("mine.json", &before);
    let said = run(&["profile", "from-capture", GOOD[0], GOOD[1], "--merge", &file]).exits(0);
    assert_eq!(
        said.out,
        before.replace("\"nic\": null", "\"nic\": 8").replace("\"antenna\": null", "\"antenna\": \"single\"")
    );
    assert!(flat(&said.err).contains("2 blanks filled, 0 differences"), "{}", said.err);
    assert_eq!(std::fs::read_to_string(&file).expect("the profile"), before, "the file itself stays");
    let said = run(&["profile", "from-capture", "vectors/demo/faulty.txt", "--merge", PROFILE]).exits(1);
    let told = flat(&said.err);
    for words in [
        "differs: Aircraft identification: the profile says N47QX; seen 47QX",
        "Aircraft length: the profile says 27.2 ft",
        "UAT receiver",
    ] {
        assert!(told.contains(words), "{words}: {told}");
    }
    let data = run(&["profile", "from-capture", "vectors/demo/faulty.txt", "--merge", PROFILE, "--format", "json"])
        .exits(1)
        .object();
    // What makes one code with something that is open does not differ yet.
    let open =
        folder.file("open.json", crate::program::profile_text(&[("\"width\": {\"m\": 11.0}", "\"width\": null")]));
    let said = run(&["profile", "from-capture", "vectors/demo/faulty.txt", "--merge", &open]).exits(1);
    assert!(!said.err.contains("Aircraft length") && said.err.contains("UAT receiver"), "{}", said.err);
    // What differs is what a comparison finds to differ.
    let compared =
        run(&["compare", PROFILE, "--capture", "vectors/demo/faulty.txt", "--format", "json"]).exits(1).object();
    let mut wanted: Vec<&str> = compared["settings"]
        .as_array()
        .expect("settings")
        .iter()
        .filter(|one| one["verdict"] == "differs")
        .map(|one| one["setting"].as_str().expect("a name"))
        .collect();
    let mut listed: Vec<&str> = data["merged"]["differs"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|one| one["setting"].as_str().expect("a name"))
        .collect();
    wanted.sort_unstable();
    listed.sort_unstable();
    assert_eq!(listed, wanted);
}

#[test]
fn a_fleet_begins_with_a_draft_for_everybody() {
    let folder = Folder::new("from_capture_each");
    let dir = folder.path("fleet");
    let capture = "vectors/demo/fleet.txt";
    let said = run(&["profile", "from-capture", capture, "--each", &dir]).exits(0);
    assert!(
        said.out.contains("A5C035") && said.out.contains("5AE7B4") && said.out.contains("aircraft drafted"),
        "{}",
        said.out
    );
    let names: Vec<String> = std::fs::read_dir(&dir)
        .expect("a folder")
        .map(|entry| entry.expect("a file").file_name().into_string().expect("text"))
        .collect();
    assert_eq!(names.len(), said.out.lines().count() - 1);
    run(&["profile", "from-capture", capture, "--each", &dir]).exits(2).complains_of(&["there already", "--force"]);
    run(&["profile", "from-capture", capture, "--each", &dir, "--force"]).exits(0);
    let compared = run(&["compare", &dir, "--capture", capture, "--format", "json"]);
    for report in compared.objects() {
        let differs = report["settings"].as_array().expect("settings").iter().filter(|one| one["verdict"] == "differs");
        assert_eq!(differs.count(), 0, "{report}");
    }
    // One for each alone is the same.
    for name in &names {
        let address = name.trim_end_matches(".json");
        let alone = run(&["profile", "from-capture", capture, "--address", address]).exits(0);
        assert_eq!(alone.out, std::fs::read_to_string(format!("{dir}/{name}")).expect("a draft"));
    }
}
