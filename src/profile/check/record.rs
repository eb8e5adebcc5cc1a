//! Checks of what is for the record: kinds of addresses and their dates, thresholds.

use super::{Check, error, note, warning};
use crate::profile::{AddressKind, AirGroundKind, HeightReference, Profile, Quantity, SettingId};

/// Whether the address need not be the one that belongs to the mark.
pub(super) fn has_passing_address(profile: &Profile) -> bool {
    matches!(profile.address_kind.get(), Some(AddressKind::Temporary | AddressKind::Privacy))
}

pub(super) const CHECKS: &[Check] = &[
    Check {
        name: "address_dates",
        about: "a temporary or privacy address has the days on which it may be used, in their order",
        source: "common practice, no source: such an address is lent for a time",
        run: |profile, _, found| {
            let (from, until) = (profile.address_valid_from.get(), profile.address_valid_until.get());
            if let (Some(from), Some(until)) = (from, until)
                && until < from
            {
                found.push(error(
                    SettingId::AddressValidUntil,
                    "the last day is before the first".to_owned(),
                    "compare both days with the letter of the authority".to_owned(),
                ));
            }
            if has_passing_address(profile) && (from.is_none() || until.is_none()) {
                found.push(note(
                    SettingId::AddressKind,
                    "the address is not the lasting one, and the days on which it may be used are not on record"
                        .to_owned(),
                    "state the first and the last day, from the letter of the authority".to_owned(),
                ));
            }
        },
    },
    Check {
        name: "threshold_used",
        about: "a speed above which the unit is airborne belongs to a unit that finds out by itself",
        source: "common practice, no source",
        run: |profile, _, found| {
            let by_itself = profile.air_ground_kind.get() == Some(&AirGroundKind::Automatic);
            if profile.airborne_above.get().is_some() && profile.air_ground_kind.get().is_some() && !by_itself {
                found.push(note(
                    SettingId::AirborneAbove,
                    "a threshold is stated, but the unit does not find air and ground out by itself".to_owned(),
                    "take it out, or correct the kind of air/ground input".to_owned(),
                ));
            }
        },
    },
    Check {
        name: "threshold_plausible",
        about: "a speed above which the unit is airborne is above taxi speed and below approach speed",
        source: "common practice, no source; tool defaults",
        run: |profile, _, found| {
            let Some(speed) = profile.airborne_above.get() else { return };
            let why = match speed.in_knots() {
                knots if knots < 20.0 => {
                    "is a speed at which aircraft taxi: they would be reported airborne on the ground"
                }
                knots if knots > 100.0 => {
                    "is a speed at which light aircraft fly: they would be reported on the ground in the air"
                }
                _ => return,
            };
            found.push(warning(
                SettingId::AirborneAbove,
                format!("{} {why}", speed.words()),
                "take the speed from the manual of the unit, for this aircraft's stall speed".to_owned(),
            ));
        },
    },
    Check {
        name: "height_reference",
        about: "the geometric height counts from the ellipsoid",
        source: "EASA, as the trade sheet reports it: a source that gives only mean sea level must not be connected unless the transmitter converts it with the same model",
        run: |profile, _, found| {
            if profile.geometric_height.get() == Some(&HeightReference::SeaLevel) {
                found.push(warning(
                    SettingId::GeometricHeight,
                    "a height above mean sea level would be sent as one above the ellipsoid".to_owned(),
                    "connect a height above the ellipsoid, unless the transponder converts it with the source's own model"
                        .to_owned(),
                ));
            }
        },
    },
    Check {
        name: "second_transponder",
        about: "a second transponder is set up and captured by itself, with the same address",
        source: "EASA AMC1 ACNS.D.ADSB.020: shown right for each transmit unit",
        run: |profile, _, found| {
            if profile.second_transponder.get() == Some(&true) {
                found.push(note(
                    SettingId::SecondTransponder,
                    "this profile is of one unit; the other has the same address and settings of its own".to_owned(),
                    "keep a profile of each unit, and capture each while the other is switched off".to_owned(),
                ));
            }
        },
    },
    Check {
        name: "test_on_record",
        about: "the test set was calibrated on the day of the test, the coupling is none that radiates, and somebody else checked",
        source: "common practice, no source; a second person reads from the source: the same",
        run: |profile, _, found| {
            if let (Some(until), Some(day)) = (profile.test_set_calibrated_until.get(), profile.test_day.get())
                && until < day
            {
                found.push(warning(
                    SettingId::TestSetCalibratedUntil,
                    format!("the calibration ended on {}, before the test on {}", until.words(), day.words()),
                    "use a test set with a calibration that is in force, or correct the days".to_owned(),
                ));
            }
            if profile.test_set.get().is_some() && profile.test_set_calibrated_until.get().is_none() {
                found.push(note(
                    SettingId::TestSet,
                    "a test set is on record without the last day of its calibration".to_owned(),
                    "state it, from the label of the test set".to_owned(),
                ));
            }
            if let (Some(done), Some(checked)) = (profile.done_by.get(), profile.checked_by.get())
                && done.0.trim().to_lowercase() == checked.0.trim().to_lowercase()
            {
                found.push(note(
                    SettingId::CheckedBy,
                    "who did it checked it".to_owned(),
                    "have a second person read every setting from its source, not from the screen".to_owned(),
                ));
            }
        },
    },
];
