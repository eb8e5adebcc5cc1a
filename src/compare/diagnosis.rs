//! Why a value differs: the wrong profile whose bits are the observed ones. The encoder is the explanation engine.

use super::Install;
use super::tally::Tally;
use crate::onair::{Decision, Emission, Flight, emissions};
use crate::profile::Profile;
use crate::profile::mistake::{MISTAKES, Mistake};

/// A field whose observed code is not the expected one.
#[derive(Clone, Copy, Debug)]
pub(super) struct Difference {
    /// Which expected frame.
    pub emission: usize,
    /// Which of its decisions.
    pub decision: usize,
    /// The code seen most.
    pub code: u64,
}

/// A mistake that explains some of the differences.
#[derive(Clone, Debug)]
pub(super) struct Explanation {
    pub mistake: &'static Mistake,
    pub detail: String,
    /// Which differences it explains, by their place in the list.
    pub explains: Vec<usize>,
}

/// Mistakes that explain the differences, best first; each difference is explained once, and some may be left.
pub(super) fn explain(install: &Install, tally: &Tally, differences: &[Difference]) -> Vec<Explanation> {
    let mut open: Vec<usize> = (0..differences.len()).collect();
    let candidates = candidates(install, differences);
    let mut explanations = Vec::new();
    while !open.is_empty() {
        let best = candidates
            .iter()
            .filter_map(|candidate| {
                let explains: Vec<usize> =
                    open.iter().copied().filter(|at| candidate.predicts(install, &differences[*at])).collect();
                let against = candidate.contradictions(install, tally, differences);
                (!explains.is_empty()).then_some((candidate, explains, against))
            })
            // The first of equals is the likelier one, so later ones must be better.
            .reduce(|best, next| {
                let worth =
                    |(_, explains, against): &(_, Vec<usize>, usize)| (explains.len() as i64) - 2 * (*against as i64);
                if worth(&next) > worth(&best) { next } else { best }
            });
        let Some((candidate, explains, against)) = best else { break };
        if against >= explains.len() {
            break;
        }
        open.retain(|at| !explains.contains(at));
        explanations.push(Explanation { mistake: candidate.mistake, detail: candidate.detail.clone(), explains });
    }
    explanations
}

struct Supposed {
    mistake: &'static Mistake,
    detail: String,
    emissions: Vec<Emission>,
}

fn candidates(install: &Install, differences: &[Difference]) -> Vec<Supposed> {
    let touched: Vec<&str> = differences
        .iter()
        .flat_map(|difference| install.expected[difference.emission].decisions[difference.decision].settings)
        .copied()
        .collect();
    MISTAKES
        .iter()
        .filter(|mistake| mistake.settings.iter().any(|setting| touched.contains(setting)))
        .flat_map(|mistake| {
            (mistake.candidates)(&install.profile)
                .into_iter()
                .filter_map(move |(profile, detail)| Some(Supposed { mistake, detail, emissions: supposed(&profile)? }))
        })
        .collect()
}

fn supposed(profile: &Profile) -> Option<Vec<Emission>> {
    emissions(profile, Flight::Healthy).ok()
}

impl Supposed {
    /// The code that the wrong profile would have sent in the place of a decision.
    fn code(&self, install: &Install, emission: usize, decision: usize) -> Option<u64> {
        let emission = &install.expected[emission];
        let decision: &Decision = &emission.decisions[decision];
        self.emissions
            .iter()
            .filter(|other| other.table == emission.table && other.asked_by == emission.asked_by)
            // A state that the wrong profile does not tell apart is one frame.
            .find(|other| other.when == emission.when || other.when == crate::onair::When::Both)
            .and_then(|other| other.decisions.iter().find(|other| other.field == decision.field))
            .map(|other| other.code)
    }

    fn predicts(&self, install: &Install, difference: &Difference) -> bool {
        self.code(install, difference.emission, difference.decision) == Some(difference.code)
    }

    /// How many observed fields speak against it: it would have sent something else there.
    fn contradictions(&self, install: &Install, tally: &Tally, differences: &[Difference]) -> usize {
        let mut against = 0;
        for (emission, fields) in tally.fields.iter().enumerate() {
            for (decision, observed) in fields.iter().take(install.expected[emission].decisions.len()).enumerate() {
                let right = &install.expected[emission].decisions[decision];
                let Some(wrong) = self.code(install, emission, decision) else { continue };
                let differs = differences.iter().any(|d| (d.emission, d.decision) == (emission, decision));
                if !observed.codes.is_empty()
                    && !differs
                    && !right.agrees(wrong)
                    && !observed.codes.contains_key(&wrong)
                {
                    against += 1;
                }
            }
        }
        against
    }
}
