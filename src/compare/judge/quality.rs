//! Judges every quality category over the capture by what the install states and what a regulator requires.

use super::limits::{self, Dips};
use super::{Finding, Judge, Said, SeenValue, SettingStatus, SettingVerdict, Shown, excess};
use crate::compare::observe::{Bounds, QualityMeasure, Run, Values, Watched};
use crate::onair::Rule;
use crate::profile::mistake::{BELOW_MINIMUM, QUALITY_DIPS, QUALITY_EXCESS};
use crate::profile::{Binds, Confirmed, Floor, Severity};
use std::fmt::Write;

/// What a category says of its setting: low quality is a dip only while it is rare and short.
pub fn said(low: &Run, dips: &Dips) -> Said {
    if low.total == 0 {
        Said::Nothing
    } else if low.bad == 0 {
        Said::Right
    } else if low.bad < low.total && dips.allow(low) {
        Said::RightWithDips
    } else {
        Said::Wrong
    }
}

/// One category over the capture, with what it is compared with.
#[derive(Clone, Debug)]
pub struct Measured {
    /// Which.
    pub measure: QualityMeasure,
    /// What it is compared with.
    pub bounds: Bounds,
    /// The rule behind the regulator's minimum, if there is one: its clause, and whether a page confirmed it.
    pub required_by: Option<(String, Confirmed)>,
    /// What was seen.
    pub seen: Values,
}

/// The categories that were seen in the version that is judged.
pub fn measured(judge: &Judge<'_>) -> Vec<Measured> {
    if !judge.version_known {
        return Vec::new();
    }
    let measured = |(at, measure): (usize, QualityMeasure)| {
        let seen = judge.tally.quality.values(measure);
        let floor = judge.floors().iter().find(|floor| floor.setting == measure.setting());
        let required_by = floor.map(|floor| (floor.clause.clone(), floor.confirmed));
        (!seen.seen.is_empty()).then(|| Measured { measure, bounds: judge.bounds[at], required_by, seen })
    };
    QualityMeasure::ALL.into_iter().enumerate().filter_map(measured).collect()
}

/// How low quality ran: share, longest run, when first.
fn dip_words(below: &Watched, than: &str) -> String {
    let run = &below.run;
    let frames = if run.total == 1 { "frame" } else { "frames" };
    let mut text = format!("{} of {} {frames} below {than} ({:.1} %)", run.bad, run.total, run.per_cent());
    let _ = write!(text, ", longest run {}", run.longest.frames);
    text += if run.longest.frames == 1 { " frame" } else { " frames" };
    if let Some(seconds) = run.longest.seconds() {
        let _ = write!(text, " in {seconds:.1} s");
    }
    if let Some(time) = below.first.and_then(|first| first.time) {
        let _ = write!(text, ", first at {time:.1} s");
    }
    if run.is_constant() {
        let long = run.longest.seconds().is_some_and(|seconds| seconds >= limits::MINIMUM_BROKEN_S);
        text += if long && run.total >= limits::ENOUGH_FRAMES {
            "; constant in this capture: the install's value, or a source that never got better"
        } else {
            "; constant, but in too few frames or too short a time to tell the install's value from a source that is starting"
        };
    } else if run.is_at_the_start() {
        text += "; only at the start of the capture";
    }
    text
}

/// Notes on what was met and was lower or absent at times, and warnings of claims above what the install states.
pub fn dips(judge: &Judge<'_>, settings: &[SettingVerdict], measured: &[Measured]) -> Vec<Finding> {
    let mut findings = Vec::new();
    for setting in settings.iter().filter(|setting| setting.status == SettingStatus::Agrees) {
        let low = |seen: &&SeenValue| !seen.agrees;
        let evidence: Vec<Shown> = setting.observed.iter().filter(low).map(|seen| seen.evidence.clone()).collect();
        if evidence.is_empty() || !matches!(setting.rule, Rule::Quality | Rule::State) {
            continue;
        }
        let what = match measured.iter().find(|measured| measured.measure.setting() == setting.setting) {
            Some(measured) if measured.seen.wanted.run.bad > 0 => {
                format!("{}; {}", dip_words(&measured.seen.wanted, &setting.meaning), judge.dips.words())
            }
            Some(_) => continue,
            None => {
                let all: u64 = setting.observed.iter().map(|seen| seen.evidence.frames).sum();
                let bad: u64 = evidence.iter().map(|evidence| evidence.frames).sum();
                format!("{:.1} % of {all} frames other than {}", bad as f64 * 100.0 / all as f64, setting.meaning)
            }
        };
        let finding = judge.finding(Severity::Note, &QUALITY_DIPS, what, None).about(setting.setting);
        findings.push(finding.showing(evidence));
    }
    findings.extend(measured.iter().filter_map(|measured| claimed(judge, measured, settings)));
    findings
}

/// A claim above what the install states that is not an error by itself: NACv.
fn claimed(judge: &Judge<'_>, measured: &Measured, settings: &[SettingVerdict]) -> Option<Finding> {
    let wanted = measured.bounds.wanted.filter(|_| measured.measure == QualityMeasure::Nacv)?;
    let above = |value: u8| value > wanted && !measured.measure.is_reserved(value) && !excess(measured.measure, value);
    let (value, evidence) = measured.seen.seen.iter().rev().find(|(value, _)| above(**value))?;
    let setting = settings.iter().find(|setting| setting.setting == measured.measure.setting())?;
    let what = format!("expected {}, seen {value} in {} frames", setting.meaning, evidence.frames);
    Some(judge.finding(Severity::Warning, &QUALITY_EXCESS, what, [*evidence]).about(setting.setting))
}

/// What was seen, compared with a regulator's minimum values, as far as they bind this aircraft.
pub fn floors(judge: &Judge<'_>, measured: &[Measured]) -> Vec<Finding> {
    judge.floors().iter().filter_map(|floor| below_floor(judge, floor, measured)).collect()
}

fn below_floor(judge: &Judge<'_>, floor: &Floor, measured: &[Measured]) -> Option<Finding> {
    if !judge.quality_counts() {
        return None;
    }
    let least = floor.at_least;
    let title = &judge.rules.title;
    let (what, evidence, grave) = match measured.iter().find(|m| m.measure.setting() == floor.setting) {
        Some(measured) => {
            let below = &measured.seen.floor;
            let best = measured.seen.seen.keys().filter(|value| !measured.measure.is_reserved(**value)).max();
            let best = best
                .map_or_else(|| "no valid value was seen".to_owned(), |best| format!("the best value seen is {best}"));
            let what = format!("{title} requires {least} or more; {best}: {}", dip_words(below, &least.to_string()));
            let constant = below.run.is_constant();
            let grave = if constant && limits::lasting(&below.run, judge.tally.times.longest_s()) {
                Severity::Error
            } else if !constant && (judge.dips.allow(&below.run) || below.run.is_at_the_start()) {
                Severity::Note
            } else {
                Severity::Warning
            };
            (what, below.first?, grave)
        }
        None if QualityMeasure::of(floor.setting).is_some() => return None,
        None => {
            let (best, evidence) =
                judge.anywhere(floor.setting).flat_map(|place| judge.codes(place)).max_by_key(|(code, _)| *code)?;
            if best >= u64::from(least) {
                return None;
            }
            (format!("{title} requires {least} or more; the best value seen is {best}"), evidence, Severity::Error)
        }
    };
    let unseen = if floor.is_confirmed() { "" } else { "; this number is from memory" };
    // Whether the rule binds this aircraft may depend on a weight or a speed that is not stated.
    let binds = judge.rules.binds(&judge.install.profile) == Binds::Yes;
    let severity = if floor.is_confirmed() && binds { grave } else { Severity::Note };
    let mut finding = judge.finding(severity, &BELOW_MINIMUM, what, [evidence]).about(floor.setting);
    finding.rule = format!("{} ({}{unseen}); {}", floor.clause, judge.rules.date, limits::LASTING_WORDS);
    Some(finding)
}
