//! Same source: what squitters say against what replies and registers say.

use super::evidence::{Evidence, Seen, note};
use super::report::Finding;
use super::tally::Heard;
use super::verdict::Judge;
use crate::profile::mistake::SAME_SOURCE_DIFFERS;
use crate::profile::{SettingId, Severity};
use crate::track::Disagreement;

/// Squitters between two replies that say something else, by field.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Agreement {
    /// By the field's name.
    pub differs: Seen<&'static str>,
    /// The first of each field.
    pub first: Vec<(Disagreement, Evidence)>,
}

impl Agreement {
    pub(super) fn take(&mut self, heard: &Heard<'_>) {
        let Some(disagreement) = heard.seen.disagreement else { return };
        let field = disagreement.reply.field();
        if !self.differs.contains_key(field) {
            self.first.push((disagreement, heard.evidence));
        }
        note(&mut self.differs, field, &heard.evidence);
    }
}

/// Where squitter and replies differ at least twice: one may be a moment, or a damaged reply.
pub(super) fn findings(judge: &Judge<'_>) -> Vec<Finding> {
    let seen = &judge.tally.agreement;
    let often = seen
        .first
        .iter()
        .filter(|(one, _)| seen.differs.get(one.reply.field()).is_some_and(|evidence| evidence.frames >= 2));
    often
        .map(|(one, evidence)| {
            let field = one.reply.field();
            let times = seen.differs.get(field).map_or(0, |evidence| evidence.frames);
            let what = format!(
                "{field}: squitters between two replies that agree say something else ({times} times); the first such \
                 squitter says {}, the replies say {}",
                one.squitter, one.reply
            );
            let mut finding = Finding::of(Severity::Warning, &SAME_SOURCE_DIFFERS, what, vec![*evidence]);
            let setting = match field {
                "aircraft_identification" => SettingId::AircraftIdentification,
                "mode_a_code" => SettingId::VfrModeACode,
                _ => SettingId::AltitudeSourceKind,
            };
            finding.setting = Some(setting);
            finding
        })
        .collect()
}
