//! Judges emergency and ident: an emergency that is not announced, an ident that does not end.

use super::limits::{IDENT_S, IDENT_STUCK_PER_CENT, IDENT_STUCK_S, extent, lasts};
use super::{Finding, Judge};
use crate::code::counted;
use crate::compare::observe::Announced;
use crate::profile::Severity;
use crate::profile::mistake::{EMERGENCY_CONTRADICTION, IDENT_STUCK};

/// What the Mode A code, the emergency state and the status bits say against each other.
pub fn findings(judge: &Judge<'_>) -> Vec<Finding> {
    let seen = &judge.tally.alerts;
    let mut findings = Vec::new();
    for by in Announced::ALL {
        let silent = &seen.silent[by as usize];
        let run = &silent.run;
        if run.bad >= 2 && lasts(run) {
            // Only the aircraft status has the word for it; the other two follow the code by themselves.
            let severity = if by == Announced::EmergencyState { Severity::Error } else { Severity::Warning };
            let what =
                format!("the Mode A code is 7500, 7600 or 7700, and {} does not say so, {}", by.words(), extent(run));
            findings.push(judge.finding(severity, &EMERGENCY_CONTRADICTION, what, silent.first));
        }
        let ident = &seen.ident[by as usize];
        if let Some(seconds) = ident.run.longest.seconds().filter(|seconds| *seconds > IDENT_S + 2.0) {
            let nearly_always = ident.run.per_cent() >= IDENT_STUCK_PER_CENT
                && ident.run.seconds().is_some_and(|seconds| seconds >= IDENT_STUCK_S);
            let stuck = seconds >= IDENT_STUCK_S || nearly_always;
            let severity = if stuck { Severity::Error } else { Severity::Warning };
            let what = format!(
                "{} announces ident in {} of {}, for {seconds:.1} s in a row; it lasts 18 s after the button is \
                 pressed",
                by.words(),
                ident.run.bad,
                counted(ident.run.total, "frame")
            );
            findings.push(judge.finding(severity, &IDENT_STUCK, what, ident.first));
        }
    }
    let run = &seen.unmatched.run;
    if run.bad >= 2 && lasts(run) {
        let what = format!(
            "the aircraft status announces an emergency that has a Mode A code of its own, and the code is another, {}",
            extent(run)
        );
        findings.push(judge.finding(Severity::Warning, &EMERGENCY_CONTRADICTION, what, seen.unmatched.first));
    }
    findings
}
