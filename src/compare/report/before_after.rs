//! Compares two reports on one aircraft: what changed, as after a repair or a power cycle.

use super::{Finding, Report, SeenValue, SettingStatus};
use crate::profile::{SettingId, Severity};
#[cfg(feature = "cli")]
use schemars::JsonSchema;
use serde::Serialize;
use std::sync::Arc;

/// A setting that was seen in both captures with other values.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[cfg_attr(feature = "cli", schemars(deny_unknown_fields))]
pub struct ChangedSetting {
    /// Which.
    #[cfg_attr(feature = "cli", schemars(with = "String"))]
    pub setting: SettingId,
    /// What was seen before.
    pub before: Vec<SeenValue>,
    /// What was seen after.
    pub after: Vec<SeenValue>,
    /// What became of it before.
    pub verdict_before: SettingStatus,
    /// What became of it after.
    pub verdict_after: SettingStatus,
}

/// A cause that was found, and the setting that it is about.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[cfg_attr(feature = "cli", schemars(deny_unknown_fields))]
pub struct ReportedCause {
    /// The fixed identifier.
    pub cause: &'static str,
    /// The setting, if it is about one; an empty text in JSON where not.
    #[serde(serialize_with = "super::about")]
    #[cfg_attr(feature = "cli", schemars(with = "String"))]
    pub setting: Option<SettingId>,
}

impl std::fmt::Display for ReportedCause {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.setting {
            Some(setting) => write!(f, "{} ({})", self.cause, setting.name()),
            None => f.write_str(self.cause),
        }
    }
}

/// What changed between two captures.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[cfg_attr(feature = "cli", schemars(deny_unknown_fields))]
#[non_exhaustive]
pub struct Change {
    /// The files of the capture before.
    #[cfg_attr(feature = "cli", schemars(with = "Vec<String>"))]
    pub before: Vec<Arc<str>>,
    /// The addresses under which the aircraft was heard, where they differ.
    pub addresses: Option<(String, String)>,
    /// Settings that changed.
    pub settings: Vec<ChangedSetting>,
    /// How many were seen in both with the same values.
    pub same: usize,
    /// Settings seen in one of the two only: nothing can be said of them.
    #[cfg_attr(feature = "cli", schemars(with = "Vec<String>"))]
    pub only_one: Vec<SettingId>,
    /// Causes that are no longer found.
    pub gone: Vec<ReportedCause>,
    /// Causes that were not found before.
    pub new: Vec<ReportedCause>,
    /// Causes found before and after.
    pub still: Vec<ReportedCause>,
}

/// What changed from one report to another of the same install.
///
/// ```
/// use squitterlab::{Fleet, Install, Profile, compare::change, profile::rule_set};
/// let profile = Profile::read(r#"{"aircraft": {"address": "A5C035", "emitter_category": "A1"}}"#).profile;
/// let install = Install::new("own", profile).unwrap();
/// let report = || Fleet::new(vec![install.clone()], rule_set("none").unwrap()).reports().next().unwrap();
/// // Nothing was heard, before or after.
/// assert!(change(&report(), &report()).settings.is_empty());
/// ```
pub fn change(before: &Report, after: &Report) -> Change {
    let heard = |report: &Report| report.heard_as.map_or("not heard".to_owned(), |address| address.to_string());
    let (old, new) = (causes(before), causes(after));
    let mut change = Change {
        before: before.capture.files.clone(),
        addresses: (before.heard_as != after.heard_as).then(|| (heard(before), heard(after))),
        settings: Vec::new(),
        same: 0,
        only_one: Vec::new(),
        gone: old.iter().filter(|cause| !new.contains(cause)).cloned().collect(),
        still: old.iter().filter(|cause| new.contains(cause)).cloned().collect(),
        new: new.into_iter().filter(|cause| !old.contains(cause)).collect(),
    };
    for (old, new) in before.settings.iter().zip(&after.settings) {
        match (old.observed.is_empty(), new.observed.is_empty()) {
            (true, true) => {}
            (false, false) if same(&old.observed, &new.observed) => change.same += 1,
            (false, false) => change.settings.push(ChangedSetting {
                setting: new.setting,
                before: old.observed.clone(),
                after: new.observed.clone(),
                verdict_before: old.status,
                verdict_after: new.status,
            }),
            _ => change.only_one.push(new.setting),
        }
    }
    change
}

impl From<&Finding> for ReportedCause {
    fn from(finding: &Finding) -> Self {
        Self { cause: finding.cause, setting: finding.setting }
    }
}

/// The causes of errors and warnings.
fn causes(report: &Report) -> Vec<ReportedCause> {
    let told = report.findings.iter().filter(|finding| finding.severity != Severity::Note);
    told.map(ReportedCause::from).collect()
}

/// Whether the same values were seen, however often.
fn same(old: &[SeenValue], new: &[SeenValue]) -> bool {
    let in_other = |one: &SeenValue, other: &[SeenValue]| other.iter().any(|seen| seen.value == one.value);
    old.iter().all(|seen| in_other(seen, new)) && new.iter().all(|seen| in_other(seen, old))
}
