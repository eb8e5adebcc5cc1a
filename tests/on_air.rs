//! Where settings are on the air: `profile where`, `onair --only` and `--setting`, and installs of every version through
//! every command.

use crate::program::{Folder, PROFILE, flat, profile_text, run};
use serde_json::{Value, json};
use squitterlab::Version;
use squitterlab::downlink::Decoded;
use squitterlab::onair::{Flight, TRANSMISSIONS, emissions, why_not_on_air};
use squitterlab::profile::{Profile, SETTINGS, SettingId, Stated};
use std::collections::{BTreeMap, BTreeSet};

/// The demo profile as a unit of this version.
fn of_version(version: u8) -> String {
    profile_text(&[("\"mops_version\": 2", &format!("\"mops_version\": {version}"))])
}

#[test]
fn one_setting_is_answered_in_one_screen() {
    let said = run(&["profile", "where", "antenna_from_nose"]).exits(0);
    assert!(said.out.lines().count() <= 24, "{}", said.out);
    // ICAO Doc 9871 draft, page 227: message bits 36 to 40 of the status on the ground; page 156: bit 11 in version 1.
    for piece in [
        "Antenna, distance from the nose",
        "/position_source/antenna_offset/from_nose",
        "message bits 36\u{2013}40, frame bits 68\u{2013}72",
        "Operational status, on the ground",
        "message bit 11, frame bit 43",
        "version 0",
        "do not send it",
    ] {
        assert!(flat(&said.out).contains(piece), "{piece}: {}", said.out);
    }
}

#[test]
fn every_name_of_every_setting_is_understood_and_a_misspelt_one_is_answered_with_the_nearest() {
    let all = run(&["profile", "where", "--format", "json"]).exits(0).objects();
    assert_eq!(all.len(), SETTINGS.len());
    for (object, setting) in all.iter().zip(SETTINGS) {
        assert_eq!(object["setting"], setting.pointer);
        assert_eq!(object["on_air"].as_array().expect("a list").is_empty(), setting.never.is_some(), "{object}");
    }
    for name in ["length", "/aircraft/length", "Aircraft length", "aircraft LENGTH"] {
        assert_eq!(run(&["profile", "where", name, "--format", "json"]).exits(0).object()["id"], "length");
    }
    let said = run(&["profile", "where", "lenght"]).exits(2);
    said.complains_of(&["lenght", "did you mean length"]);
}

#[test]
fn what_is_printed_is_what_frames_have() {
    // The list against the frames themselves: the same bits, in installs that state much.
    let printed = run(&["profile", "where", "--format", "json"]).exits(0).objects();
    let mut told: BTreeMap<String, BTreeSet<(String, String)>> = BTreeMap::new();
    for object in &printed {
        for place in object["on_air"].as_array().expect("a list") {
            let of = told.entry(object["setting"].as_str().expect("text").to_owned()).or_default();
            of.insert((place["title"].as_str().expect("text").to_owned(), place["bits"].to_string()));
        }
    }
    let mut checked = 0;
    for version in 0..=3 {
        let profile = Profile::read(&of_version(version)).profile;
        for emission in emissions(&profile, Flight::Healthy).expect("frames") {
            let own = Version::from_number(version);
            let read = Decoded::new(emission.frame).in_version(own).fields(own.expect("a version"));
            for decision in &emission.used {
                assert!(read.iter().any(|(name, _)| *name == decision.field), "{}: {read:?}", decision.field);
            }
            for decision in emission.decisions.iter().chain(&emission.used) {
                for setting in decision.settings {
                    let place = (
                        emission.transmission.about.trim().to_owned(),
                        json!([decision.span.first, decision.span.last]).to_string(),
                    );
                    assert!(told[setting.pointer()].contains(&place), "{setting} {place:?}");
                    checked += 1;
                }
            }
        }
    }
    assert!(checked > 150, "{checked}");
}

#[test]
fn frames_of_one_message_or_one_setting_can_be_asked_for() {
    let names = |arguments: &[&str]| -> Vec<String> {
        let said = run(&[&["onair", PROFILE, "--format", "json"], arguments].concat()).exits(0);
        said.objects().iter().map(|object| object["message"].as_str().expect("text").to_owned()).collect()
    };
    assert_eq!(names(&["--only", "operational_status"]), ["operational_status", "operational_status"]);
    assert_eq!(names(&["--only", "Operational Status, on the ground, version 2"]), ["operational_status"]);
    assert_eq!(names(&["--setting", "length"]), ["operational_status"]);
    // The address is in every frame, in the clear or in the parity.
    assert_eq!(names(&["--setting", "/aircraft/address"]).len(), names(&[]).len());
    let said = run(&["onair", PROFILE, "--only", "no_such_message"]).exits(2);
    said.complains_of(&["no_such_message", "operational_status", "airborne_velocity"]);
    run(&["onair", PROFILE, "--setting", "registration"]).exits(0).complains_of(&["never sent"]);
    run(&["onair", PROFILE, "--setting", "no such setting"]).exits(2).complains_of(&["did you mean"]);
}

#[test]
fn units_of_every_version_go_through_every_command() {
    let folder = Folder::new("versions");
    for version in 0..=3 {
        let profile = folder.file(&format!("version_{version}.json"), of_version(version));
        run(&["profile", "check", &profile, "--rules", "none"]).exits(0);
        run(&["profile", "sheet", &profile]).exits(0);
        let frames = run(&["onair", &profile, "--format", "json"]).exits(0).objects();
        let versions: BTreeSet<u64> = frames
            .iter()
            .flat_map(|frame| frame["settings"].as_array().cloned().unwrap_or_default())
            .filter(|field| field["field"] == "version")
            .map(|field| field["code"].as_u64().expect("a code"))
            .collect();
        // Nothing says version 0 (handbook, ADS-B part, chapter 1).
        assert_eq!(versions, if version == 0 { BTreeSet::new() } else { BTreeSet::from([version.into()]) });
        let statuses = frames.iter().filter(|frame| frame["message"] == "operational_status").count();
        assert_eq!(statuses, if version == 0 { 0 } else { 2 });
        let plan = run(&["compare", &profile, "--plan"]).exits(0);
        assert!(plan.out.contains("captures prove"), "{}", plan.out);
        let capture = folder.path(&format!("version_{version}.txt"));
        run(&["rehearse", &profile, "--for", "900", "--interrogated", "--out", &capture]).exits(0);
        let report = run(&["compare", &profile, "--capture", &capture, "--format", "json"]).exits(0).object();
        let differing: Vec<&Value> =
            report["settings"].as_array().expect("a list").iter().filter(|one| one["verdict"] == "differs").collect();
        assert!(differing.is_empty(), "version {version}: {differing:?}");
        assert_ne!(report["verdict"], "differs", "version {version}");
        let agreeing = |pointer: &str| {
            report["settings"]
                .as_array()
                .expect("a list")
                .iter()
                .any(|one| one["setting"] == pointer && one["verdict"] == "agrees")
        };
        for pointer in
            ["/aircraft/address", "/aircraft/emitter_category", "/position_source/nacv", "/position_source/nic"]
        {
            assert!(agreeing(pointer) || version == 3, "version {version}: {pointer}: {report}");
        }
    }
}

#[test]
fn settings_that_a_version_does_not_send_say_so() {
    let every_one_stated = Profile::read(&of_version(0)).profile;
    for version in 0..3u8 {
        let mut profile = every_one_stated.clone();
        profile.mops_version = Stated::Is(squitterlab::profile::StandardVersion(version));
        for setting in SettingId::ALL.iter().copied().filter(|setting| setting.never().is_none()) {
            let is_sent = TRANSMISSIONS.iter().any(|one| one.is_of(version) && one.places(setting).next().is_some());
            assert_eq!(why_not_on_air(&profile, setting).is_none(), is_sent, "version {version}: {setting}");
        }
    }
    // Doc 9871 draft, appendices A and B: no such field in any message of these versions.
    let why = |version: u8, setting| {
        let mut profile = every_one_stated.clone();
        profile.mops_version = Stated::Is(squitterlab::profile::StandardVersion(version));
        why_not_on_air(&profile, setting)
    };
    for setting in [SettingId::Es1090In, SettingId::UatIn, SettingId::SystemDesignAssurance, SettingId::Gva] {
        assert!(why(0, setting).is_some() && why(1, setting).is_some() && why(2, setting).is_none(), "{setting}");
    }
    for setting in [SettingId::Length, SettingId::Nacp, SettingId::Sil, SettingId::MopsVersion] {
        assert!(why(0, setting).is_some() && why(1, setting).is_none(), "{setting}");
    }
}
