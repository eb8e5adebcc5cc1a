//! Judges whether squitters agree with the replies and registers of the same source.

use super::{Finding, Judge};
use crate::profile::mistake::SAME_SOURCE_DIFFERS;
use crate::profile::{SettingId, Severity};
use crate::track::agreement::Statement;

/// Where squitter and replies differ at least twice: one may be a moment, or a damaged reply.
pub fn findings(judge: &Judge<'_>) -> Vec<Finding> {
    let seen = &judge.tally.agreement;
    let often = seen
        .first
        .iter()
        .filter(|(one, _)| seen.differs.get(&one.reply.field()).is_some_and(|evidence| evidence.frames >= 2));
    often
        .map(|(one, evidence)| {
            let field = one.reply.field();
            let times = seen.differs.get(&field).map_or(0, |evidence| evidence.frames);
            let what = format!(
                "{field}: squitters between two replies that agree say something else ({times} times); the first such \
                 squitter says {}, the replies say {}",
                one.squitter, one.reply
            );
            let setting = match one.reply {
                Statement::Identification(_) => SettingId::AircraftIdentification,
                Statement::ModeA(_) => SettingId::VfrModeACode,
                Statement::PressureAltitude { .. } => SettingId::AltitudeSourceKind,
            };
            judge.finding(Severity::Warning, &SAME_SOURCE_DIFFERS, what, [*evidence]).about(setting)
        })
        .collect()
}
