//! What people read: settings in the words of their choices, and no turn of phrase that was dropped.

use crate::phrases::hits;
use crate::program::{GOOD, PROFILE, capture, flat, in_the_air, parked, profile, run};
use squitterlab::capture::{Record, read_lines};
use squitterlab::compare::{Fleet, Install, Report, SettingStatus};
use squitterlab::profile::{Profile, SETTINGS, SettingId, Stated, rule_set};
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
    let words = |profile: &Profile, at: usize| (SETTINGS[at].words)(profile).get().cloned();
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
    assert!(matches!((SETTINGS[0].words)(&base), Stated::Is(_)));
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
