//! A unit that never sends an operational status: version 0, where enough was heard to say so.

use super::super::intervals;
use super::super::report::Finding;
use super::super::verdict::Judge;
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
    let expected: f64 = intervals::elements(judge)
        .iter()
        .filter(|element| element.kind.message == "operational_status")
        .filter_map(|element| element.expected)
        .sum();
    if !concluded || expected < ENOUGH_STATUSES {
        return Vec::new();
    }
    let what = format!(
        "expected version {stated}, and no operational status came where about {expected:.0} were to be expected: a unit \
         that sends none is of version 0"
    );
    let evidence = judge.tally.first_position.into_iter().collect();
    let mut finding = Finding::of(Severity::Error, &SOFTWARE_VERSION, what, evidence);
    finding.refutes = SOFTWARE_VERSION.settings.to_vec();
    vec![finding]
}
