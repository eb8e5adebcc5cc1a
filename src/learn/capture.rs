//! Makes "Find the mistake in a capture": the invented demo install, set up with one mistake, rehearsed and received.
//! Only mistakes that a comparison finds, and finds alone, are asked for.

use super::answer::Answer;
use super::exercise::{DEMO, Exercise, new, offered, one, slips, titled};
use crate::capture::Record;
use crate::code::Step;
use crate::compare::{ExpectedFrames, Finding, Fleet, Install};
use crate::downlink::Decoded;
use crate::onair::{FlightPath, Installation, Planted, Random, Rehearsal, why_not_on_air};
use crate::profile::mistake::{MISTAKES, Mistake};
use crate::profile::{Profile, SettingId, Severity, Stated, rule_set};
use std::collections::BTreeSet;

/// When the receiver listens to the demo flight, in seconds: parked before take-off, and in the climb.
const LISTENS: [(u64, u64); 2] = [(170, 182), (255, 267)];

/// Of the frames after the first of their kind, one in this many is heard.
const HEARD: u64 = 5;

pub(super) fn find_mistake_in_capture(random: &mut Random) -> Option<Exercise> {
    let profile = Profile::read(DEMO).profile;
    let mistake: &'static Mistake = one(random, MISTAKES)?;
    let (installation, planted) = Installation::from(profile.clone()).variants_with(mistake).into_iter().next()?;
    let heard = capture(installation, random)?;
    let install = Install::new("demo", profile.clone()).ok()?;
    let expected = install.expected();
    let found = only_finding(install, &heard).filter(|found| found.cause == mistake.cause)?;
    let is_open = |other: &'static Mistake| {
        let explains = found.alternatives.iter().any(|alternative| alternative.cause == other.cause);
        (!explains).then(|| contradicted(other, &profile, &heard)).flatten()
    };
    let (at, offered) = offered(random, mistake, is_open)?;
    let answer = Answer::Word(letter(at));
    let wrong = offered.iter().enumerate();
    let wrong = wrong.filter_map(|(at, (_, why))| Some((Answer::Word(letter(at)), why.clone()?))).collect();
    let mut given = vec!["The install, as its profile has it:".to_owned()];
    given.extend(stated(&profile));
    given.push("What a receiver wrote down, seconds and frame:".to_owned());
    given.extend(heard.iter().map(|record| format!("{:8.3} {}", record.time.unwrap_or_default(), record.frame)));
    given.extend(offered.iter().enumerate().map(|(at, (offer, _))| format!("{}) {}", letter(at), offer.what)));
    // Only what stands in the bits of a frame can be seen by whoever reads them.
    let differs = |decoded: &Decoded| {
        mistake.settings.iter().any(|setting| expected.differing_bits(decoded, Some(*setting)) != 0)
    };
    let decoded = heard.iter().map(|record| Decoded::new(record.frame)).find(differs)?;
    let names: Vec<&str> = mistake.settings.iter().map(|setting| setting.setting().name).collect();
    Some(Exercise {
        given,
        hints: vec![
            format!("it shows in the message: {}", decoded.title()),
            format!("look at the frame {}", decoded.frame),
            format!("it is about: {}", names.join(", ")),
        ],
        slips: slips(&answer, wrong),
        solution: titled("mistake", explained(&found, &planted, &expected, &decoded)),
        ..new(
            "The demo aircraft (invented) was set up with one mistake, and this is a part of what was received of it. What went wrong? Give the letter.",
            answer,
        )
    })
}

pub(super) fn letter(at: usize) -> String {
    char::from(b'a' + at as u8).to_string()
}

/// What the receiver writes down: the first frame of every kind in each state, and some of the others.
fn capture(installation: Installation, random: &mut Random) -> Option<Vec<Record>> {
    let path = FlightPath::demo_of(&installation.actual);
    let rehearsal = Rehearsal::new(installation, path, random.between(0, u64::from(u32::MAX))).ok()?.interrogated(0.5);
    let end_ms = LISTENS.iter().map(|(_, to)| to * 1000).max()?;
    let mut kinds = BTreeSet::new();
    let mut heard = Vec::new();
    for sent in rehearsal.take_while(|sent| sent.time_ms < end_ms) {
        let listens = |(from, to): &(u64, u64)| (from * 1000..to * 1000).contains(&sent.time_ms);
        let Some(window) = LISTENS.iter().position(listens) else { continue };
        let decoded = Decoded::new(sent.frame);
        let is_first = kinds.insert((window, sent.frame.downlink_format(), decoded.title(), sent.message));
        if is_first || random.between(1, HEARD) == 1 {
            let line = heard.len() as u64 + 1;
            heard.push(Record { line, time: Some(sent.time_s()), frame: sent.frame });
        }
    }
    Some(heard)
}

/// What a comparison finds, if it is one fault alone.
fn only_finding(install: Install, heard: &[Record]) -> Option<Finding> {
    let mut fleet = Fleet::new(vec![install], rule_set("none")?);
    fleet.begin("capture");
    for record in heard {
        fleet.observe(record);
    }
    let mut report = fleet.reports().next()?;
    report.findings.retain(|finding| finding.severity != Severity::Note);
    let found = report.findings.pop()?;
    (report.findings.is_empty() && found.and_cause.is_none()).then_some(found)
}

/// Where the capture speaks against a mistake: what it would have sent, and what was heard.
fn contradicted(mistake: &Mistake, profile: &Profile, heard: &[Record]) -> Option<String> {
    let (wrong, _) = (mistake.candidates)(profile).into_iter().next()?;
    let expected = Install::new("wrong", wrong).ok()?.expected();
    heard.iter().find_map(|record| {
        let decoded = Decoded::new(record.frame);
        let mut fields = mistake.settings.iter().flat_map(|setting| expected.fields_of(&decoded, *setting));
        let (decision, code) = fields.find(|(decision, code)| !decision.agrees(*code))?;
        Some(format!(
            "with that mistake frame bits {} of {} would be: {}; here they are: {}",
            decision.span,
            decoded.title(),
            decision.expected().words(),
            (decision.meaning)(code, decision.version).words()
        ))
    })
}

/// The settings that appear on the air, each with its value.
fn stated(profile: &Profile) -> Vec<String> {
    let on_air = SettingId::ALL.iter().filter(|setting| why_not_on_air(profile, **setting).is_none());
    let value = |setting: &SettingId| match setting.setting().stated(profile) {
        Stated::Is(words) => Some(format!("{}: {words}", setting.setting().name)),
        Stated::NotStated | Stated::ToBeFilledIn => None,
    };
    on_air.filter_map(value).collect()
}

fn explained(found: &Finding, planted: &Planted, expected: &ExpectedFrames, shown: &Decoded) -> Vec<Step> {
    let mut steps = vec![Step::note(format!("the frame {}: {}", shown.frame, shown.title()))];
    for setting in planted.mistake.settings {
        for (decision, code) in expected.fields_of(shown, *setting) {
            let words = (decision.meaning)(code, decision.version);
            let said = format!("frame bits {}: {}", decision.span, words.words());
            let step = Step::note(if decision.agrees(code) {
                format!("{said}, as it should be")
            } else {
                format!("{said}; it should be {}", decision.expected().words())
            });
            // Several settings may share a field.
            if !steps.contains(&step) {
                steps.push(step);
            }
        }
    }
    steps.push(Step::note(format!("{} ({})", planted.mistake.what, planted.detail)));
    steps.push(Step::note(format!("what a comparison says: {}", found.what)));
    steps.push(Step::note(format!("what to do: {}", planted.mistake.correction)));
    steps
}
