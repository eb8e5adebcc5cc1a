//! Position and pressure altitude that are never sent, or that something else stands in for.

use super::super::evidence::Watched;
use super::super::report::Finding;
use super::super::verdict::Judge;
use super::limits::{extent, severity_of};
use crate::profile::Severity;
use crate::profile::mistake::{ALTITUDE_MISSING, GEOMETRIC_IN_PLACE, Mistake, POSITION_MISSING};

/// What is missing where it belongs.
pub fn findings(judge: &Judge<'_>) -> Vec<Finding> {
    let seen = &judge.tally.presence;
    let missing = |watched: &Watched, mistake: &Mistake, what: &str| {
        let severity = severity_of(watched, &judge.dips)?;
        let what = format!("{what}, {}", extent(&watched.run));
        let mut finding = Finding::of(severity, mistake, what, watched.first.into_iter().collect());
        if severity == Severity::Error {
            finding.refutes = mistake.settings.to_vec();
        }
        Some(finding)
    };
    [
        missing(&seen.position, &POSITION_MISSING, "position messages in the air say that there is none (type code 0)"),
        missing(
            &seen.surface_position,
            &POSITION_MISSING,
            "position messages on the ground say that there is none (type code 0)",
        ),
        missing(&seen.squitter_altitude, &ALTITUDE_MISSING, "squitters in the air carry no pressure altitude"),
        missing(&seen.reply_altitude, &ALTITUDE_MISSING, "replies carry no pressure altitude"),
        missing(
            &seen.geometric,
            &GEOMETRIC_IN_PLACE,
            "airborne positions carry geometric height in the place of pressure altitude (type codes 20 to 22)",
        ),
    ]
    .into_iter()
    .flatten()
    .collect()
}
