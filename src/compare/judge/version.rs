//! Judges a unit that never sends an operational status: it is of version 0, if enough was received to say so.

use super::{Finding, Judge, intervals};
use crate::profile::Severity;
use crate::profile::mistake::SOFTWARE_VERSION;
use crate::track::VersionInForce;

/// With fewer operational statuses than this expected, their absence says nothing (tool default).
const ENOUGH_STATUSES: f64 = 12.0;

/// Version 0 is concluded as `decode` does, from 30 s of positions without an operational status, and only where the
/// reception would have let enough of them through.
pub fn findings(judge: &Judge<'_>) -> Vec<Finding> {
    let stated = judge.install.profile.mops_version.get().map(|version| version.0);
    let Some(stated) = stated.filter(|stated| *stated > 0) else { return Vec::new() };
    let concluded = judge.tally.versions.is_empty()
        && judge.tally.version_in_force == Some(VersionInForce::Known(crate::code::Version::Zero));
    let expected = intervals::statuses_expected(judge);
    if !concluded || expected < ENOUGH_STATUSES {
        return Vec::new();
    }
    let what = format!(
        "expected version {stated}, and no operational status came where about {expected:.0} were to be expected: a unit \
         that sends none is of version 0"
    );
    let finding = judge.finding(Severity::Error, &SOFTWARE_VERSION, what, judge.tally.first_position);
    vec![finding.refuting(SOFTWARE_VERSION.settings)]
}
