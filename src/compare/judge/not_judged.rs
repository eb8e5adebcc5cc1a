//! Lists the checks that could not be made, each with its reason: silence never means "right".

use super::{Judge, NotJudged, SettingVerdict};
use crate::compare::observe::QualityMeasure;
use crate::onair::When;
use crate::profile::{SettingId, names};

/// What needs times, each by its identifier and for people.
const NEED_TIMES: [(&str, &str); 6] = [
    ("intervals", "how often each message comes"),
    ("reception", "how much was received"),
    ("motion", "whether positions, velocity and altitude go together"),
    ("two_aircraft", "whether two aircraft send one address"),
    ("ident_duration", "how long ident lasts"),
    ("low_quality_duration", "how long low quality lasts"),
];

/// Every check that could not be made.
pub fn checks(judge: &Judge<'_>, settings: &[SettingVerdict]) -> Vec<NotJudged> {
    let tally = judge.tally;
    let mut checks = Vec::new();
    let mut put = |check: &'static str, reason: &'static str, words: String, needed: bool| {
        checks.push(NotJudged { check, reason, words, needed });
    };
    if tally.in_clear == 0 && tally.replies == 0 {
        put("everything", "not_heard", "everything: the aircraft was not heard".to_owned(), true);
        return checks;
    }
    if judge.times_not_understood > 0 {
        let words = format!(
            "everything that needs times: {} lines have a time that is not understood (seconds, or ISO 8601 with its zone)",
            judge.times_not_understood
        );
        put("times", "not_understood", words, false);
    }
    if let Some(restarts) = tally.times.restarts {
        let first = judge.shown(&restarts);
        let words = format!(
            "what lies before and after a restart of the clock is judged apart: times go back {} time{} in this \
             aircraft's frames, first at {}:{}",
            restarts.frames,
            if restarts.frames == 1 { "" } else { "s" },
            first.file,
            first.line
        );
        put("times", "clock_restarted", words, false);
    }
    if tally.times.ends.is_none() {
        for (check, words) in NEED_TIMES {
            put(check, "no_times", format!("{words}: the capture has no times that were understood"), false);
        }
    } else {
        for (when, heard) in [(When::Airborne, tally.coherence.airborne), (When::OnGround, tally.coherence.on_ground)] {
            if heard > 0 && judge.reception(when).is_none() {
                let state = when.words();
                let words = format!("how often each message comes {state}: too little was heard to know the reception");
                put("intervals", "too_few_frames", words, false);
            }
        }
        if tally.motion.comparisons().iter().all(|(.., difference)| difference.run.total == 0) {
            let words = "whether positions, velocity and altitude go together: no stretch of flight with all of them";
            put("motion", "too_few_frames", words.to_owned(), false);
        }
    }
    for (check, count, words) in [
        ("airborne_state", tally.coherence.airborne, "what is sent in the air: no airborne message was received"),
        ("ground_state", tally.coherence.on_ground, "what is sent on the ground: no such message was received"),
    ] {
        if count == 0 {
            put(check, "state_not_heard", words.to_owned(), false);
        }
    }
    if tally.replies == 0 {
        put("replies", "no_replies", "what replies say: none was heard, or nobody interrogated".to_owned(), false);
    } else if tally.in_clear == 0 {
        let words = "what replies say: the address was not heard in the clear".to_owned();
        put("replies", "address_not_heard_in_the_clear", words, false);
    }
    if !judge.version_known {
        let (reason, words) = if tally.versions.is_empty() {
            ("version_not_heard", "quality: no operational status says which version the unit sends")
        } else {
            ("version_differs", "quality: the unit sends another version than the profile states")
        };
        put("quality", reason, words.to_owned(), false);
    }
    let once: Vec<SettingId> =
        settings.iter().filter(|setting| setting.is_shown_once()).map(|setting| setting.setting).collect();
    if !once.is_empty() {
        let words = format!("proof: seen in one frame only, which shows but does not prove: {}", names(&once));
        put("proof", "one_frame", words, true);
    }
    for floor in judge.floors() {
        let seen = match QualityMeasure::of(floor.setting) {
            Some(measure) => judge.version_known && !judge.tally.quality.values(measure).seen.is_empty(),
            None => judge.anywhere(floor.setting).any(|place| !judge.codes(place).is_empty()),
        };
        if !seen {
            let words = format!("the minimum of {} for {}: not seen", judge.rules.title, floor.setting.pointer());
            put("minimum", "not_seen", words, floor.is_confirmed());
        }
    }
    checks
}
