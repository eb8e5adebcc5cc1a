//! Judges position and pressure altitude that are never sent, or that another value replaces.

use super::limits::{extent, severity_of};
use super::{Finding, Judge};
use crate::compare::observe::Watched;
use crate::profile::mistake::{ALTITUDE_MISSING, GEOMETRIC_IN_PLACE, Mistake, POSITION_MISSING};

/// What is missing where it belongs.
pub fn findings(judge: &Judge<'_>) -> Vec<Finding> {
    let seen = &judge.tally.presence;
    let missing = |watched: &Watched, mistake: &Mistake, what: &str| {
        let severity = severity_of(watched, &judge.dips)?;
        let what = format!("{what}, {}", extent(&watched.run));
        Some(judge.finding(severity, mistake, what, watched.first).refuting(mistake.settings))
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
