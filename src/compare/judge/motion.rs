//! Judges whether an aircraft moves as its messages say.

use super::limits::ENOUGH_FRAMES;
use super::{Finding, Judge};
use crate::compare::observe::{APART_S, BEYOND, TOGETHER_S};
use crate::profile::Severity;
use crate::profile::mistake::{MOTION_DIFFERS, TWO_AIRCRAFT};

/// What moves otherwise than it says.
pub fn findings(judge: &Judge<'_>) -> Vec<Finding> {
    let seen = &judge.tally.motion;
    let mut findings = Vec::new();
    for (name, unit, difference) in seen.comparisons() {
        if !difference.counts() {
            continue;
        }
        let what = format!(
            "{name}: {:.1} % of {} comparisons over {APART_S} to {TOGETHER_S} s differ by more than {BEYOND} times \
             the noise, longest unbroken run {}; largest difference {:.0} {unit}, where {:.0} {unit} is noise",
            difference.run.per_cent(),
            difference.run.total,
            difference.run.longest.frames,
            difference.largest,
            difference.noise,
        );
        findings.push(judge.finding(Severity::Warning, &MOTION_DIFFERS, what, difference.evidence));
    }
    if let Some(jumps) = seen.jumps.filter(|jumps| jumps.frames >= 3) {
        let until = match (jumps.time, seen.last_jump) {
            (Some(first), Some(last)) => format!(" between {first:.1} and {last:.1} s"),
            _ => String::new(),
        };
        let what = format!("{} positions that this aircraft cannot have reached{until}", jumps.frames);
        let severity = if jumps.frames >= ENOUGH_FRAMES { Severity::Error } else { Severity::Warning };
        findings.push(judge.finding(severity, &TWO_AIRCRAFT, what, [jumps]));
    }
    findings
}
