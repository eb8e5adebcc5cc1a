//! Before and after: what changed between two captures of one aircraft, as after a repair or a power cycle.

use super::report::{Fate, Report, SeenValue};
use crate::profile::SettingId;

/// A setting that was seen in both captures with other values.
#[derive(Clone, Debug, PartialEq)]
pub struct ChangedSetting {
    /// Which.
    pub setting: SettingId,
    /// What became of it before, and after.
    pub fates: (Fate, Fate),
    /// What was seen before.
    pub before: Vec<SeenValue>,
    /// What was seen after.
    pub after: Vec<SeenValue>,
}

/// What changed between two captures.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// The files of the capture before.
    pub files: Vec<String>,
    /// The addresses under which the aircraft was heard, where they differ.
    pub addresses: Option<(String, String)>,
    /// Settings that changed.
    pub settings: Vec<ChangedSetting>,
    /// How many were seen in both with the same values.
    pub same: usize,
    /// Settings seen in one of the two only: nothing can be said of them.
    pub only_one: Vec<SettingId>,
    /// Causes that are found no more.
    pub gone: Vec<(&'static str, Option<SettingId>)>,
    /// Causes that were not found before.
    pub new: Vec<(&'static str, Option<SettingId>)>,
    /// Causes found before and after.
    pub still: Vec<(&'static str, Option<SettingId>)>,
}

/// What changed from one report to another of the same install.
pub fn change(before: &Report, after: &Report) -> Change {
    let heard = |report: &Report| report.heard_as.map_or("not heard".to_owned(), |address| address.to_string());
    let mut change = Change {
        files: before.files.clone(),
        addresses: (before.heard_as != after.heard_as).then(|| (heard(before), heard(after))),
        settings: Vec::new(),
        same: 0,
        only_one: Vec::new(),
        gone: Vec::new(),
        new: Vec::new(),
        still: Vec::new(),
    };
    for (old, new) in before.settings.iter().zip(&after.settings) {
        match (old.observed.is_empty(), new.observed.is_empty()) {
            (true, true) => {}
            (false, false) if same(&old.observed, &new.observed) => change.same += 1,
            (false, false) => change.settings.push(ChangedSetting {
                setting: new.setting,
                fates: (old.fate, new.fate),
                before: old.observed.clone(),
                after: new.observed.clone(),
            }),
            _ => change.only_one.push(new.setting),
        }
    }
    let causes = |report: &Report| -> Vec<(&'static str, Option<SettingId>)> {
        let told = report.findings.iter().filter(|finding| finding.severity != crate::profile::Severity::Note);
        told.map(|finding| (finding.cause, finding.setting)).collect()
    };
    let (old, new) = (causes(before), causes(after));
    change.gone = old.iter().filter(|cause| !new.contains(cause)).copied().collect();
    change.still = old.iter().filter(|cause| new.contains(cause)).copied().collect();
    change.new = new.into_iter().filter(|cause| !old.contains(cause)).collect();
    change
}

/// Whether the same values were seen, however often.
fn same(old: &[SeenValue], new: &[SeenValue]) -> bool {
    let in_other = |one: &SeenValue, other: &[SeenValue]| other.iter().any(|seen| seen.value == one.value);
    old.iter().all(|seen| in_other(seen, new)) && new.iter().all(|seen| in_other(seen, old))
}
