//! Checks of what is for the record: kinds of addresses and their dates, thresholds.

use super::{Check, error, note};
use crate::profile::{AddressKind, AirGroundKind, Profile, SettingId};

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
];
