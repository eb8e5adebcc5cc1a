//! Causes without a wrong profile: they are judged from what was seen.

use super::{Mistake, Often, PRACTICE};
use crate::profile::SettingId;

/// A cause that is judged from what was seen.
const fn judged(
    cause: &'static str,
    settings: &'static [SettingId],
    what: &'static str,
    correction: &'static str,
    source: &'static str,
) -> Mistake {
    Mistake { cause, often: Often::Common, settings, what, correction, source, candidates: |_| Vec::new() }
}

/// Said where the unit sends "no data" for what the install states.
pub const NEVER_ENTERED: Mistake = judged(
    "never_entered",
    &[],
    "the unit sends the code for no data: the value was never entered, or was lost",
    "enter the value of the profile, and read it back from the unit",
    PRACTICE,
);

/// Said where every position message is one of no position.
pub const POSITION_MISSING: Mistake = judged(
    "position_missing",
    &[SettingId::Nic],
    "the position source gives no position: not wired, not set up, without a sky view, or not yet started",
    "check the wiring and the protocol between the position source and the unit, then the sky view of its antenna",
    PRACTICE,
);

/// Said where pressure altitude is not sent.
pub const ALTITUDE_MISSING: Mistake = judged(
    "altitude_missing",
    &[SettingId::AltitudeSourceKind],
    "the altitude source gives no altitude: not wired, not powered, not warm, or altitude reporting is off",
    "switch altitude reporting on, let the source warm up, then check its power and its wiring",
    "FAA list of typical faults: missing barometric altitude",
);

/// Said where geometric height is sent in the place of pressure altitude.
pub const GEOMETRIC_IN_PLACE: Mistake = judged(
    "geometric_height_in_place",
    &[SettingId::AltitudeSourceKind],
    "the unit has no pressure altitude, and sends geometric height in its place",
    "check the altitude source and its wiring; the unit falls back to geometric height without it",
    "FAA list of typical faults: missing barometric altitude",
);

/// Said where an emergency code and what announces it differ.
pub const EMERGENCY_CONTRADICTION: Mistake = judged(
    "emergency_contradiction",
    &[SettingId::VfrModeACode],
    "the Mode A code and what announces an emergency do not say the same",
    "check where the unit takes the Mode A code from, and whether two units or two control panels are in use",
    "EASA AMC1 ACNS.D.ADSB.080: the emergency bits follow the code",
);

/// Said where ident does not end.
pub const IDENT_STUCK: Mistake = judged(
    "ident_stuck",
    &[SettingId::VfrModeACode],
    "the ident button, or its wire, stays active",
    "check the ident button and its wiring",
    "Annex 10 Volume IV, as the handbook gives it: 18 s after the button",
);

/// For an identification that is not a text that can be entered.
pub const IDENTIFICATION_MALFORMED: Mistake = judged(
    "identification_malformed",
    &[SettingId::AircraftIdentification],
    "the identification has characters or spaces that no identification has",
    "enter the letters and digits only, one after the other",
    "ICAO Annex 10 alphabet (facts of the handbook, chapter 2)",
);

/// Said where a quality value was lower at times.
pub const QUALITY_DIPS: Mistake = judged(
    "quality_dips",
    &[],
    "the sky view, interference, or the start of the position source",
    "none from this alone; check whether it is there in every flight",
    "tool default: how rare and how short a dip is",
);

/// Said where a quality value claims more than the install states.
pub const QUALITY_EXCESS: Mistake = judged(
    "quality_excess",
    &[],
    "the unit claims more than the approval of the install states",
    "set the value of the approval data; a higher one needs an approval of its own",
    PRACTICE,
);

/// Said where a quality value is a code that the standard reserves.
pub const QUALITY_RESERVED: Mistake = judged(
    "quality_reserved",
    &[],
    "the unit sends a code that the standard reserves, which means no quality",
    "check the software and the set-up of the unit, and what the position source gives it",
    "handbook, ADS-B part, chapter 7: tables of the quality categories",
);

/// Said where what was seen is below a regulator's minimum.
pub const BELOW_MINIMUM: Mistake = judged(
    "below_floor",
    &[],
    "the install's own value, or the position source",
    "compare with the rule itself, and with the approval data",
    "the rule set in force",
);
