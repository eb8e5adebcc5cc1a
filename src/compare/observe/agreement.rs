//! Gathers where squitters disagree with the replies and registers of the same source.

use super::evidence::{Evidence, Seen};
use super::tally::ObservedFrame;
use crate::track::{Disagreement, Observation};

/// Squitters between two replies that say something else, by field.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Agreement {
    /// By the field's name.
    pub differs: Seen<&'static str>,
    /// The first of each field.
    pub first: Vec<(Disagreement, Evidence)>,
}

impl Agreement {
    pub fn observe(&mut self, heard: &ObservedFrame<'_>, seen: &Observation) {
        let Some(disagreement) = seen.disagreement else { return };
        let field = disagreement.reply.field();
        if !self.differs.contains_key(&field) {
            self.first.push((disagreement, heard.evidence));
        }
        self.differs.note(field, &heard.evidence);
    }
}
