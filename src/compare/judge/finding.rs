//! Makes findings, merges those of one cause, and puts them in order.

use super::{Doubt, Finding, Judge, Shown};
use crate::compare::observe::Evidence;
use crate::onair::{SquitterKind, Stream, When};
use crate::profile::mistake::{
    AIR_GROUND_CONTRADICTION, MESSAGE_MISSING, Mistake, SOFTWARE_VERSION, UNIT_MOVED, causes,
};
use crate::profile::{SETTINGS, SettingId, Severity};
use std::fmt::Write;

/// At most this many frames are shown as the evidence of a finding.
const MOST_EXAMPLES: usize = 4;

impl Judge<'_> {
    /// A frame with the name of its file.
    pub fn shown(&self, evidence: &Evidence) -> Shown {
        Shown {
            file: self.files.get(evidence.file).cloned().unwrap_or_default(),
            line: evidence.line,
            frame: evidence.frame,
            frames: evidence.frames,
            time: evidence.time,
            file_number: evidence.file,
        }
    }

    /// A finding that a mistake explains.
    pub fn finding(
        &self,
        severity: Severity,
        mistake: &Mistake,
        what: String,
        evidence: impl IntoIterator<Item = Evidence>,
    ) -> Finding {
        let mut finding = Finding {
            severity,
            cause: mistake.cause,
            and_cause: None,
            setting: mistake.settings.first().copied(),
            message: None,
            what,
            likely_cause: mistake.what.to_owned(),
            correction: mistake.correction.to_owned(),
            rule: mistake.source.to_owned(),
            how_often: None,
            explains: Vec::new(),
            leaves: Vec::new(),
            refutes: Vec::new(),
            alternatives: Vec::new(),
            evidence: evidence.into_iter().map(|evidence| self.shown(&evidence)).collect(),
        };
        few(&mut finding);
        finding
    }
}

impl Finding {
    /// An error of this kind shows these settings to be wrong, whatever their own fields say.
    #[must_use]
    pub(crate) fn refuting(mut self, settings: &[SettingId]) -> Self {
        if self.severity == Severity::Error {
            self.refutes = settings.to_vec();
        }
        self
    }

    /// The same, with these frames.
    #[must_use]
    pub(crate) fn showing(mut self, evidence: Vec<Shown>) -> Self {
        self.evidence = evidence;
        few(&mut self);
        self
    }

    /// The same, about one message.
    #[must_use]
    pub(crate) fn in_message(self, message: &'static str) -> Self {
        Self { message: Some(message), ..self }
    }

    /// The same, about another setting.
    #[must_use]
    pub(crate) fn about(self, setting: SettingId) -> Self {
        Self { setting: Some(setting), ..self }
    }
}

/// Keeps the first examples only.
fn few(finding: &mut Finding) {
    finding.evidence.sort_by_key(|shown| (shown.file_number, shown.line));
    finding.evidence.dedup_by_key(|shown| (shown.file_number, shown.line));
    finding.evidence.truncate(MOST_EXAMPLES);
}

/// Sorts findings, the most serious first, and drops what another finding already says.
pub fn most_serious_first(mut findings: Vec<Finding>) -> Vec<Finding> {
    findings.sort_by_key(importance);
    let mut told = merge_findings(findings);
    fold(&mut told);
    for finding in &mut told {
        finding.how_often = causes().find(|mistake| mistake.cause == finding.cause).map(|mistake| mistake.often);
    }
    told
}

/// Says in each correction where the profile itself is in doubt.
pub fn doubt(findings: &mut [Finding], doubts: &[Doubt]) {
    for Finding { setting, explains, correction, .. } in
        findings.iter_mut().filter(|finding| finding.severity != Severity::Note)
    {
        Doubt::put_first(doubts, |touched| *setting == Some(touched) || explains.contains(&touched), correction);
    }
}

/// What a finding is worth among those of one severity: many settings at once first, then the order of a profile.
fn importance(finding: &Finding) -> (Severity, bool, Option<usize>) {
    let place = SETTINGS.iter().position(|setting| Some(setting.id) == finding.setting);
    (finding.severity, finding.cause != UNIT_MOVED.cause, place)
}

/// Merges a cause that was found in two ways into one finding, with what each showed.
fn merge_findings(findings: Vec<Finding>) -> Vec<Finding> {
    let mut told: Vec<Finding> = Vec::new();
    for finding in findings {
        let covers = |known: &&mut Finding| {
            known.cause == finding.cause
                && known.severity < finding.severity
                && (known.setting == finding.setting
                    || finding.setting.is_some_and(|setting| known.explains.contains(&setting)))
        };
        match told.iter_mut().find(covers) {
            Some(known) => {
                let _ = write!(known.what, "; {}", finding.what);
                known.evidence.extend(finding.evidence);
            }
            None => told.push(finding),
        }
    }
    told
}

/// What follows from another finding is not reported as a fault of its own: a unit of version 0 sends no operational status,
/// and a contradiction of air and ground makes messages look missing.
fn fold(findings: &mut Vec<Finding>) {
    let has = |cause: &str| findings.iter().any(|f| f.cause == cause && f.severity == Severity::Error);
    let (old, contradictory) = (has(SOFTWARE_VERSION.cause), has(AIR_GROUND_CONTRADICTION.cause));
    let status = SquitterKind { stream: Stream::OperationalStatus, when: When::Airborne }.message();
    findings.retain(|finding| {
        let missing = finding.cause == MESSAGE_MISSING.cause;
        !(missing && (contradictory || old && finding.message == Some(status)))
    });
}
