//! Mistakes in how large the aircraft is, and where its position antenna stands.

use super::{Candidate, Mistake, Often, PRACTICE, changed};
use crate::profile::{FromCentreLine, FromNose, Length, Profile, SettingId, Stated};

const SIZE: &[SettingId] = &[SettingId::Length, SettingId::Width];
const OFFSET: &[SettingId] = &[SettingId::AntennaFromNose, SettingId::AntennaFromCentreLine];

/// A size in feet typed as metres.
pub const FEET_AS_METRES: Mistake = Mistake {
    cause: "feet_as_metres",
    often: Often::Common,
    settings: SIZE,
    what: "a size in feet was entered as metres",
    correction: "enter the size in metres",
    source: PRACTICE,
    candidates: |profile| sizes(profile, |length| length.number_in("ft").map(Length::metres), "feet entered as metres"),
};

/// A size in metres typed as feet.
pub const METRES_AS_FEET: Mistake = Mistake {
    cause: "metres_as_feet",
    often: Often::Seldom,
    settings: SIZE,
    what: "a size in metres was entered as feet",
    correction: "enter the size in the unit that the menu asks for",
    source: PRACTICE,
    candidates: |profile| {
        sizes(profile, |length| Some(Length::metres(length.in_metres() * 0.3048)), "metres entered as feet")
    },
};

/// Length and width in each other's place.
pub const LENGTH_WIDTH_SWAPPED: Mistake = Mistake {
    cause: "length_width_swapped",
    often: Often::Seldom,
    settings: SIZE,
    what: "length and width changed places",
    correction: "enter length over all and span, each in its place",
    source: PRACTICE,
    candidates: |profile| {
        changed(profile, "length and width changed places", |wrong| {
            std::mem::swap(&mut wrong.length, &mut wrong.width);
        })
    },
};

/// No size.
pub const SIZE_NOT_SET: Mistake = Mistake {
    cause: "size_not_set",
    often: Often::Common,
    settings: SIZE,
    what: "the size was never set",
    correction: "measure the aircraft and enter its size",
    source: "code 0 is \"no data\" in version 2: ICAO Doc 9871 draft, page 224",
    candidates: |profile| {
        changed(profile, "the code says \"no data\"", |wrong| {
            wrong.length = Stated::Is(Length::metres(0.0));
            wrong.width = Stated::Is(Length::metres(0.0));
        })
    },
};

/// The antenna on the other side.
pub const OFFSET_WRONG_SIDE: Mistake = Mistake {
    cause: "offset_wrong_side",
    often: Often::Common,
    settings: OFFSET,
    what: "the antenna was entered on the other side of the centre line",
    correction: "left and right are seen from the pilot's seat; enter the side again",
    source: "1 is right: ICAO Doc 9871 draft, page 227",
    candidates: |profile| {
        let other = match profile.antenna_from_centre_line.get() {
            Some(FromCentreLine::Left(length)) => FromCentreLine::Right(*length),
            Some(FromCentreLine::Right(length)) => FromCentreLine::Left(*length),
            _ => return Vec::new(),
        };
        changed(profile, "the other side of the centre line", |wrong| {
            wrong.antenna_from_centre_line = Stated::Is(other);
        })
    },
};

/// No antenna offset.
pub const OFFSET_NOT_SET: Mistake = Mistake {
    cause: "offset_not_set",
    often: Often::Common,
    settings: OFFSET,
    what: "the antenna offset was never set; \"no data\" is another code than zero",
    correction: "measure from the nose aft and from the centre line, and enter both",
    source: "ICAO Doc 9871 draft, page 227",
    candidates: |profile| {
        let mut candidates = changed(profile, "both distances say \"no data\"", |wrong| {
            wrong.antenna_from_centre_line = Stated::Is(FromCentreLine::NotKnown);
            wrong.antenna_from_nose = Stated::Is(FromNose::NotKnown);
        });
        candidates.extend(changed(profile, "the distance from the centre line says \"no data\"", |wrong| {
            wrong.antenna_from_centre_line = Stated::Is(FromCentreLine::NotKnown);
        }));
        candidates.extend(changed(profile, "the distance from the nose says \"no data\"", |wrong| {
            wrong.antenna_from_nose = Stated::Is(FromNose::NotKnown);
        }));
        candidates
    },
};

/// An antenna distance in the other unit.
pub const OFFSET_UNIT: Mistake = Mistake {
    cause: "offset_unit",
    often: Often::Common,
    settings: OFFSET,
    what: "an antenna distance was entered in the other unit",
    correction: "enter the distances in metres",
    source: PRACTICE,
    candidates: |profile| {
        let feet = |length: Length| length.number_in("ft").map(Length::metres);
        let metres = |length: Length| Some(Length::metres(length.in_metres() * 0.3048));
        let mut candidates = offsets(profile, feet, "feet entered as metres");
        candidates.extend(offsets(profile, metres, "metres entered as feet"));
        candidates
    },
};

/// The length ends before the tail.
pub const TAIL_LEFT_OUT: Mistake = Mistake {
    cause: "tail_left_out",
    often: Often::Common,
    settings: SIZE,
    what: "the length was taken without tail or propeller",
    correction: "enter the length over all, propeller and tail included",
    source: PRACTICE,
    candidates: |profile| {
        let Some(length) = profile.length.get().copied() else { return Vec::new() };
        [5, 10, 15, 20]
            .into_iter()
            .flat_map(|per_cent| {
                let shorter = Length::metres(length.in_metres() * f64::from(100 - per_cent) / 100.0);
                changed(profile, &format!("a length {per_cent} % too short"), |wrong| {
                    wrong.length = Stated::Is(shorter);
                })
            })
            .collect()
    },
};

/// Measured from somewhere else than the nose.
pub const OFFSET_WRONG_REFERENCE: Mistake = Mistake {
    cause: "offset_wrong_reference",
    often: Often::Common,
    settings: OFFSET,
    what: "the antenna was measured from the middle or the tail of the aircraft, not from its nose",
    correction: "measure with a tape from the nose aft",
    source: "ICAO Doc 9871 draft, page 227: the distance counts from the nose",
    candidates: |profile| {
        let (Some(length), Some(FromNose::Measured(nose))) =
            (profile.length.get(), profile.antenna_from_nose.get().copied())
        else {
            return Vec::new();
        };
        let (length, nose) = (length.in_metres(), nose.in_metres());
        [((nose - length / 2.0).abs(), "from the middle"), (length - nose, "from the tail")]
            .into_iter()
            .filter(|(metres, _)| *metres > 0.0)
            .flat_map(|(metres, detail)| {
                changed(profile, detail, |wrong| {
                    wrong.antenna_from_nose = Stated::Is(FromNose::Measured(Length::metres(metres)));
                })
            })
            .collect()
    },
};

/// Zero for "not known".
pub const OFFSET_ZERO: Mistake = Mistake {
    cause: "offset_zero",
    often: Often::Seldom,
    settings: OFFSET,
    what: "the distance from the centre line was left at zero, which claims an antenna on the line",
    correction: "measure from the centre line; where it is not known, say so: that is another code than zero",
    source: "ICAO Doc 9871 draft, page 227: 000 is no data, 100 is zero",
    candidates: |profile| match profile.antenna_from_centre_line.get() {
        None | Some(FromCentreLine::Zero) => Vec::new(),
        Some(_) => changed(profile, "the code says \"on the centre line\"", |wrong| {
            wrong.antenna_from_centre_line = Stated::Is(FromCentreLine::Zero);
        }),
    },
};

fn sizes(profile: &Profile, wrong: impl Fn(Length) -> Option<Length>, detail: &str) -> Vec<Candidate> {
    let (length, width) = (profile.length.get().copied(), profile.width.get().copied());
    let (wrong_length, wrong_width) = (length.and_then(&wrong), width.and_then(&wrong));
    let mut candidates = Vec::new();
    for (which, length, width) in [
        ("length and width", wrong_length, wrong_width),
        ("length", wrong_length, width),
        ("width", length, wrong_width),
    ] {
        if let (Some(length), Some(width)) = (length, width) {
            candidates.extend(changed(profile, &format!("{which}: {detail}"), |wrong| {
                (wrong.length, wrong.width) = (Stated::Is(length), Stated::Is(width));
            }));
        }
    }
    candidates
}

fn offsets(profile: &Profile, wrong: impl Fn(Length) -> Option<Length>, detail: &str) -> Vec<Candidate> {
    let nose = match profile.antenna_from_nose.get() {
        Some(FromNose::Measured(length)) => wrong(*length).map(FromNose::Measured),
        _ => None,
    };
    let across = profile.antenna_from_centre_line.get().and_then(|offset| offset.with_length(&wrong));
    let mut candidates = Vec::new();
    if let (Some(nose), Some(across)) = (nose, across) {
        candidates.extend(changed(profile, &format!("both distances: {detail}"), |wrong| {
            wrong.antenna_from_nose = Stated::Is(nose);
            wrong.antenna_from_centre_line = Stated::Is(across);
        }));
    }
    if let Some(nose) = nose {
        candidates.extend(changed(profile, &format!("from the nose: {detail}"), |wrong| {
            wrong.antenna_from_nose = Stated::Is(nose);
        }));
    }
    if let Some(across) = across {
        candidates.extend(changed(profile, &format!("from the centre line: {detail}"), |wrong| {
            wrong.antenna_from_centre_line = Stated::Is(across);
        }));
    }
    candidates
}
