//! Plants mistakes in a rehearsal, from the same table that explains a capture.

use super::Installation;
use super::Random;
use crate::code::Wire;
use crate::onair::{Flight, emissions, why_not_on_air};
use crate::profile::mistake::{AIR_GROUND_INVERTED, ALTITUDE_WIRE, Mistake, causes};
use crate::profile::wiring::Fault;
use crate::profile::{AirGroundKind, Profile};

/// A mistake that was planted, and what exactly is wrong.
#[derive(Clone, Debug)]
pub struct Planted {
    /// The mistake.
    pub mistake: &'static Mistake,
    /// What exactly.
    pub detail: String,
}

/// Why a mistake cannot be planted.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum PlantError {
    /// No such cause.
    #[error("no cause {0:?}; `squitterlab compare --list-causes` names them")]
    Unknown(String),
    /// This cause has no wrong profile, or the install sends the same frames with it, or none.
    #[error("{0} cannot be planted in this install, or changes no frame of it: {1}")]
    NoDifference(&'static str, &'static str),
    /// The mistake can be made in fewer ways here.
    #[error("{cause}:{wanted}: the ways to make this mistake here are {cause}:1 to {cause}:{ways}")]
    NoSuchWay {
        /// The mistake.
        cause: &'static str,
        /// In how many ways.
        ways: usize,
        /// Which was wanted, from 1.
        wanted: u64,
    },
}

impl Installation {
    /// Everything that this mistake can make of the install, likeliest first, where it changes a frame.
    pub(crate) fn variants_with(&self, mistake: &'static Mistake) -> Vec<(Self, Planted)> {
        let planted = |detail| Planted { mistake, detail };
        if mistake.cause == ALTITUDE_WIRE.cause {
            return wire_faults()
                .map(|wires| (Self { altitude_wiring: wires, ..self.clone() }, planted(wires.to_string())))
                .collect();
        }
        let right = emissions(&self.configured, Flight::Healthy).unwrap_or_default();
        // A unit of version 0 sends nothing that says its version, nor other units everything of theirs.
        let is_sent =
            |wrong: &Profile| mistake.settings.iter().any(|setting| why_not_on_air(wrong, *setting).is_none());
        let shows = |wrong: &Profile| {
            // The polarity of an input stands in no frame: it shows in which frames go out when.
            mistake.cause == AIR_GROUND_INVERTED.cause
                && self.configured.air_ground_kind.get() == Some(&AirGroundKind::Switch)
                || is_sent(wrong)
                    && emissions(wrong, Flight::Unknown).is_ok()
                    && emissions(wrong, Flight::Healthy).is_ok_and(|wrong| {
                        wrong.len() != right.len() || wrong.iter().zip(&right).any(|(a, b)| a.frame != b.frame)
                    })
        };
        (mistake.candidates)(&self.configured)
            .into_iter()
            .filter(|(wrong, _)| shows(wrong))
            .map(|(configured, detail)| (Self { configured, ..self.clone() }, planted(detail)))
            .collect()
    }

    /// What a mistake makes of the install: the likeliest for `choice` 0, then the others.
    ///
    /// ```
    /// use squitterlab::{Profile, onair::Installation};
    /// let profile = Profile::read(r#"{"aircraft": {"address": "A5C035", "aircraft_identification": "N47QX"}}"#).profile;
    /// let (wrong, planted) = Installation::from(profile).with_mistake("address_digits_transposed", 0).unwrap();
    /// assert_eq!(planted.mistake.cause, "address_digits_transposed");
    /// assert_ne!(wrong.configured.address, wrong.actual.address);
    /// ```
    ///
    /// # Errors
    /// [`PlantError`] for an unknown cause, for one that changes nothing here, and for a choice that is not there.
    pub fn with_mistake(&self, cause: &str, choice: u64) -> Result<(Self, Planted), PlantError> {
        let mistake =
            causes().find(|mistake| mistake.cause == cause).ok_or_else(|| PlantError::Unknown(cause.to_owned()))?;
        let mut ways = self.variants_with(mistake);
        if ways.is_empty() {
            return Err(PlantError::NoDifference(mistake.cause, mistake.what));
        }
        match usize::try_from(choice) {
            Ok(choice) if choice < ways.len() => Ok(ways.swap_remove(choice)),
            _ => {
                Err(PlantError::NoSuchWay { cause: mistake.cause, ways: ways.len(), wanted: choice.saturating_add(1) })
            }
        }
    }
}

impl Installation {
    /// The install with the mistakes of a practice seed: one to three of them, no two about one setting.
    #[must_use]
    pub(crate) fn practice(&self, seed: u64) -> (Self, Vec<Planted>) {
        let mut random = Random::new(seed, PRACTICE);
        let wanted = random.between(1, 3) as usize;
        let mut open: Vec<&'static Mistake> = causes().collect();
        let (mut installation, mut all) = (self.clone(), Vec::new());
        while all.len() < wanted && !open.is_empty() {
            let mistake = open.swap_remove(random.between(0, open.len() as u64 - 1) as usize);
            let mut ways = installation.variants_with(mistake);
            if ways.is_empty() {
                continue;
            }
            let (wrong, planted) = ways.swap_remove(random.between(0, ways.len() as u64 - 1) as usize);
            installation = wrong;
            all.push(planted);
            open.retain(|other| !other.settings.iter().any(|setting| mistake.settings.contains(setting)));
        }
        (installation, all)
    }
}

/// The stream of random numbers that no aircraft has.
const PRACTICE: u128 = (1 << 64) - 2;

/// Faults of one wire, the C wires first: those make codes that no altitude has.
fn wire_faults() -> impl Iterator<Item = Fault> {
    let is_c = |fault: &Fault| fault.wires().iter().any(|wire: &Wire| wire.name().starts_with('C'));
    Fault::singles().filter(is_c).chain(Fault::singles().filter(move |fault| !is_c(fault)))
}
