//! What people read: settings in the words of their choices, and no turn of phrase that was dropped.

use crate::phrases::hits;
use crate::program::{GOOD, PROFILE, capture, flat, in_the_air, parked, profile, run};
use squitterlab::capture::{Record, read_lines};
use squitterlab::compare::{Doubt, Fleet, Install, Report, SettingStatus};
use squitterlab::present::sheet::Sheet;
use squitterlab::present::verdict::{report_json, report_text};
use squitterlab::profile::mistake::MISTAKES;
use squitterlab::profile::{Problem, Profile, SETTINGS, SettingId, Severity, Stated, applies, check, rule_set};
use std::ops::ControlFlow;

fn report(install: &Profile, sent: &Profile) -> Report {
    let mut fleet =
        Fleet::new(vec![Install::new("demo", install.clone()).expect("an install")], rule_set("none").expect("rules"));
    fleet.begin("capture");
    let text = capture(sent, &[&in_the_air(), &parked()], 3);
    read_lines(text.as_bytes(), 1, |record: Record| {
        fleet.observe(&record);
        ControlFlow::Continue(())
    });
    fleet.reports().next().expect("one report")
}

#[test]
fn a_choice_is_said_in_its_own_words_expected_and_seen() {
    let base = profile(&[]);
    let words = |profile: &Profile, at: usize| SETTINGS[at].stated(profile).get().cloned();
    let (mut right, mut wrong) = (0, 0);
    for (at, setting) in SETTINGS.iter().enumerate().filter(|(_, setting)| setting.says_more) {
        for sent in (setting.choices)(&base).into_iter().chain([base.clone()]) {
            let report = report(&base, &sent);
            let Some(row) = report.settings.iter().find(|row| row.setting == setting.id) else { continue };
            let (Some(expected), Some(chosen)) = (words(&base, at), words(&sent, at)) else { continue };
            // A code of several settings together has words of its own.
            let alone = row.meaning == expected;
            for seen in row.observed.iter().filter(|_| alone) {
                if seen.agrees && sent == base {
                    assert_eq!(seen.meaning, expected, "{}", setting.pointer);
                    right += 1;
                } else if !seen.agrees {
                    // Two choices may send the same code.
                    assert!(
                        seen.meaning.split(" or ").any(|text| text == chosen),
                        "{}: {seen:?}: {chosen}",
                        setting.pointer
                    );
                    wrong += 1;
                }
            }
            let is_flag = ["yes", "no"].contains(&expected.as_str());
            assert!(is_flag || !["yes", "no"].contains(&row.meaning.as_str()), "{row:?}");
            assert!(
                is_flag || row.observed.iter().all(|seen| !["yes", "no"].contains(&seen.meaning.as_str())),
                "{row:?}"
            );
        }
    }
    assert!(right > 8 && wrong > 5, "{right} right, {wrong} wrong");
}

#[test]
fn values_that_read_the_same_are_counted_together() {
    let said = run(&["compare", PROFILE, "--capture", GOOD[0], GOOD[1]]).exits(0);
    let text = flat(&said.out);
    for words in [
        "Transponder antennas: one antenna; seen one antenna in ",
        "Collision avoidance: none; seen none in ",
        "Direction sent on the ground: ground track; seen ground track in ",
    ] {
        assert!(text.contains(words), "{words}: {}", said.out);
    }
    assert!(!text.contains("seen none in 1 frame, none in"), "{text}");
    let base = profile(&[]);
    let antenna = report(&base, &base).settings.into_iter().find(|row| row.setting == SettingId::Antenna);
    assert_eq!(antenna.expect("a row").status, SettingStatus::Agrees);
    assert!(matches!(SETTINGS[0].stated(&base), Stated::Is(_)));
}

#[test]
fn nothing_that_is_printed_has_a_dropped_turn_of_phrase() {
    let mut all: Vec<Vec<&str>> = vec![
        vec!["profile", "check", PROFILE],
        vec!["profile", "check", PROFILE, "--rules", "none"],
        vec!["profile", "sheet", PROFILE],
        vec!["profile", "sheet", PROFILE, "--card"],
        vec!["profile", "identity", PROFILE, "N12345"],
        vec!["profile", "show", PROFILE],
        vec!["compare", PROFILE, "--plan"],
        vec!["compare", PROFILE, "--capture", GOOD[0], GOOD[1]],
        vec!["compare", PROFILE, "--capture", "vectors/demo/faulty.txt", "--rules", "united_states"],
        vec!["compare", "vectors/demo/fleet", "--capture", "vectors/demo/fleet.txt"],
        vec!["decode", GOOD[1]],
        vec!["--help"],
    ];
    for command in
        ["onair", "decode", "explain", "compare", "rehearse", "address", "page", "guide", "completions", "manual"]
    {
        all.push(vec![command, "--help"]);
    }
    for command in ["new", "ask", "set", "show", "identity", "check", "sheet", "schema"] {
        all.push(vec!["profile", command, "--help"]);
    }
    for arguments in all {
        let said = run(&arguments);
        for text in [&said.out, &said.err] {
            let hits = hits(text);
            assert!(hits.is_empty(), "{arguments:?}: {hits:?}");
        }
    }
}

/// A setting that an install of this kind does not have is never missed, whether its key is there with nothing or not at all.
#[test]
fn what_an_install_does_not_have_is_never_still_to_be_filled_in() {
    let base = profile(&[]);
    let mut tried = 0;
    for chosen in [SettingId::AirGroundKind, SettingId::AddressKind] {
        for with in (chosen.setting().choices)(&base) {
            for setting in SETTINGS.iter().filter(|setting| !applies(&with, setting.id)) {
                let mut text = with.json();
                let (group, key) = setting.pointer.rsplit_once('/').expect("a pointer");
                if let Some(group) = text.pointer_mut(group).and_then(serde_json::Value::as_object_mut) {
                    group.remove(key);
                }
                let without = Profile::read(&text.to_string()).profile;
                let open = (setting.opened)(&without);
                assert_ne!(without, open, "{}", setting.pointer);
                assert_eq!(setting.stated(&open), Stated::NotStated, "{}", setting.pointer);
                let [left_out, null] = [&without, &open].map(|profile| report(profile, profile));
                assert_eq!(left_out.first_line(), null.first_line(), "{}", setting.pointer);
                let rules = rule_set("united_states").expect("rules");
                let sheet = |profile: &Profile| Sheet::new("own", profile, Vec::new(), rules, "").text();
                assert_eq!(sheet(&without), sheet(&open), "{}", setting.pointer);
                tried += 1;
            }
        }
    }
    assert!(tried >= 5, "{tried}");
}

/// What is wrong in a profile is said wherever a capture is compared with it, and before a unit is called wrong for it.
#[test]
fn a_doubtful_profile_is_said_beside_what_differs() {
    let base = profile(&[]);
    let none = rule_set("none").expect("rules");
    assert!(report(&base, &base).profile_doubts.is_empty());
    let (mut doubtful, mut beside) = (0, 0);
    for mistake in MISTAKES {
        for (wrong, _) in (mistake.candidates)(&base).into_iter().take(2) {
            let problems = check(&wrong.clone().into(), none);
            let serious: Vec<&Problem> = problems.iter().filter(|problem| problem.severity != Severity::Note).collect();
            let Ok(install) = Install::new("own", wrong.clone()) else { continue };
            let report = report(install.profile(), &base);
            let told: Vec<&str> = report.profile_doubts.iter().map(|doubt| doubt.reason.as_str()).collect();
            assert_eq!(told.len(), serious.len(), "{}", mistake.cause);
            let (text, json) = (flat(&report_text(&report)), report_json(&report));
            for problem in serious {
                assert!(told.contains(&problem.reason.as_str()), "{}: {told:?}", mistake.cause);
                assert!(text.contains(&flat(&problem.reason)), "{}: {text}", mistake.cause);
                doubtful += 1;
            }
            assert_eq!(json["profile_doubts"].as_array().map(Vec::len), Some(told.len()));
            for finding in report.findings.iter().filter(|finding| finding.severity != Severity::Note) {
                let touched = |doubt: &&Doubt| {
                    finding.setting == Some(doubt.setting) || finding.explains.contains(&doubt.setting)
                };
                let doubt = report.profile_doubts.iter().find(touched);
                let begins = finding.correction.starts_with("see first whether the profile is right");
                assert_eq!(doubt.is_some(), begins, "{}: {}", mistake.cause, finding.correction);
                beside += usize::from(begins);
            }
        }
    }
    assert!(doubtful > 10 && beside > 5, "{doubtful} doubts, {beside} beside findings");
}

/// What a check quotes to be written is taken when it is typed, with its quotation marks or without, and settles the matter.
#[test]
fn what_a_correction_quotes_can_be_typed() {
    let base = profile(&[]);
    let none = rule_set("none").expect("rules");
    let mut tried = 0;
    for (id, typed) in [
        (SettingId::Length, "9 ft"),
        (SettingId::Length, "27.2 m"),
        (SettingId::Width, "11 ft"),
        (SettingId::Width, "110 m"),
        (SettingId::AntennaFromNose, "10.2 m"),
        (SettingId::AntennaFromCentreLine, "5 m left"),
    ] {
        let setting = id.setting();
        let wrong = setting.with_typed(&base, typed).expect("a value");
        let problems = check(&wrong.clone().into(), none);
        let about =
            problems.iter().find(|problem| problem.pointer == setting.pointer && problem.severity != Severity::Note);
        let Some(quoted) = about.and_then(|problem| problem.correction.strip_prefix("write \"")?.split_once('"'))
        else {
            continue;
        };
        for typed in [quoted.0.to_owned(), format!("\"{}\"", quoted.0)] {
            let right = setting.with_typed(&wrong, &typed).unwrap_or_else(|fault| panic!("{typed}: {fault:?}"));
            let left = check(&right.into(), none);
            assert!(!left.iter().any(|problem| about == Some(problem)), "{typed}: {left:?}");
        }
        tried += 1;
    }
    assert!(tried >= 3, "{tried}");
}

/// The first words of a choice are enough where they are no other's, in either spelling.
#[test]
fn a_choice_is_taken_by_its_first_words() {
    for (id, typed, chosen) in [
        (SettingId::AltitudeSourceKind, "grey code", "parallel"),
        (SettingId::Antenna, "one", "single"),
        (SettingId::Antenna, "Two antennas", "diversity"),
        (SettingId::Kind, "airplane", "aeroplane"),
        (SettingId::AntennaFromCentreLine, "on the center line", "0"),
    ] {
        let setting = id.setting();
        let [typed, chosen] = [typed, chosen].map(|text| setting.with_typed(&Profile::default(), text));
        assert_eq!(typed.expect("taken"), chosen.expect("taken"));
    }
    // Two begin so; one only goes on so; nothing begins so.
    for (id, typed) in [
        (SettingId::AddressKind, "a"),
        (SettingId::AirGroundActive, "active"),
        (SettingId::Antenna, "o"),
        (SettingId::Kind, "jet"),
    ] {
        assert!(id.setting().with_typed(&Profile::default(), typed).is_err(), "{typed}");
    }
}
