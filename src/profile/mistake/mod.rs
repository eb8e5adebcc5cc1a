//! The mistakes that installers make, as data: each turns a right profile into the wrong profiles that it leads to.
//!
//! A mistake is a profile too. The same table explains a capture (which wrong profile would have sent these bits?)
//! and makes practice captures.

mod airframe;
mod equipment;
mod identity;
mod judged;

pub use airframe::{
    FEET_AS_METRES, LENGTH_WIDTH_SWAPPED, METRES_AS_FEET, OFFSET_NOT_SET, OFFSET_UNIT, OFFSET_WRONG_REFERENCE,
    OFFSET_WRONG_SIDE, OFFSET_ZERO, SIZE_NOT_SET, TAIL_LEFT_OUT,
};
pub use equipment::{
    ACAS_FLAG, AIR_GROUND_NOT_WIRED, AIRSPEED_CLASS, ALTITUDE_RESOLUTION, ANTENNA_FLAG, CROSS_CHECK_FLAG,
    IN_CAPABILITY_EXCESS, IN_CAPABILITY_MISSING, INTEGRITY_NOT_PASSED, QUALITY_LEFT_AT_ZERO, SIL_SUPPLEMENT,
    SOFTWARE_VERSION,
};
pub(crate) use identity::is_sample;
pub use identity::{
    ADDRESS_BLANK, ADDRESS_COMPLEMENTED, ADDRESS_DIGITS_TRANSPOSED, ADDRESS_MIRRORED, ADDRESS_NIBBLES_SWAPPED,
    ADDRESS_OCTAL_AS_DECIMAL, ADDRESS_OCTAL_AS_HEX, ADDRESS_OCTETS_SWAPPED, ADDRESS_OF_ANOTHER_MARK, ADDRESS_ONE_BIT,
    ADDRESS_ONE_DIGIT, CATEGORY_NOT_SET, CATEGORY_WRONG, IDENTIFICATION_BLANK, IDENTIFICATION_CUT,
    IDENTIFICATION_PADDED, LEADING_ZEROS, LOOK_ALIKE, OPERATOR_CODE_MISSING, OPERATOR_CODE_OF_TWO, PREFIX_LEFT_OFF,
    SAMPLE_IDENTIFICATION, SEPARATOR_ENTERED, SYMBOL_MISSING, SYMBOL_TOO_MANY, SYMBOL_WRONG, SYMBOLS_TRANSPOSED,
};

pub use judged::{
    ALTITUDE_MISSING, BELOW_MINIMUM, EMERGENCY_CONTRADICTION, GEOMETRIC_IN_PLACE, IDENT_STUCK,
    IDENTIFICATION_MALFORMED, NEVER_ENTERED, POSITION_MISSING, QUALITY_DIPS, QUALITY_EXCESS, QUALITY_RESERVED,
};

use super::{ActiveMeans, Profile, SettingId, Stated};
use crate::code::{Bits, EmitterCategory};

/// A mistake: its name, what it touches, and the wrong profiles that it leads to.
#[derive(Clone, Copy, Debug)]
pub struct Mistake {
    /// The fixed identifier.
    pub cause: &'static str,
    /// How often it is the cause.
    pub often: Often,
    /// The settings that it changes.
    pub settings: &'static [SettingId],
    /// What happened, in a sentence.
    pub what: &'static str,
    /// What to do.
    pub correction: &'static str,
    /// Where it is known from.
    pub source: &'static str,
    /// The wrong profiles, likeliest first, each with its detail.
    pub candidates: fn(&Profile) -> Vec<Candidate>,
}

/// A wrong profile, and what exactly went wrong in it.
pub type Candidate = (Profile, String);

/// How often a mistake is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Often {
    /// Somebody counted, and it is said who.
    Counted(&'static str),
    /// It is met again and again (common practice, no source).
    Common,
    /// It is met, but seldom (common practice, no source).
    Seldom,
}

impl Often {
    /// In words, with the source.
    ///
    /// ```
    /// use squitterlab::profile::mistake::MISTAKES;
    /// assert!(MISTAKES.iter().all(|mistake| !mistake.often.words().is_empty()));
    /// ```
    pub const fn words(self) -> &'static str {
        match self {
            Self::Counted(words) => words,
            Self::Common => "common (common practice, no source)",
            Self::Seldom => "seldom (common practice, no source)",
        }
    }
}

impl Mistake {
    /// Whether it is made together with another one in the same settings, told in this order.
    pub(crate) fn pairs_with(&self, first: &Self) -> bool {
        let place = |mistake: &Self| MISTAKES.iter().position(|known| known.cause == mistake.cause);
        let one_setting = self.settings.iter().any(|setting| first.settings.contains(setting));
        one_setting && place(self) > place(first)
    }
}

const PRACTICE: &str = "common practice, no source";
const ONE_ADDRESS: &str = "ICAO rule, as summarised publicly: one aircraft, one address, also after a unit is moved";

/// Every mistake that is known: where two explain the same, the likelier first.
pub const MISTAKES: &[Mistake] = &[
    PREFIX_LEFT_OFF,
    LOOK_ALIKE,
    SAMPLE_IDENTIFICATION,
    SEPARATOR_ENTERED,
    IDENTIFICATION_BLANK,
    IDENTIFICATION_PADDED,
    LEADING_ZEROS,
    OPERATOR_CODE_MISSING,
    IDENTIFICATION_CUT,
    SYMBOLS_TRANSPOSED,
    SYMBOL_MISSING,
    SYMBOL_TOO_MANY,
    SYMBOL_WRONG,
    OPERATOR_CODE_OF_TWO,
    ADDRESS_BLANK,
    ADDRESS_OCTAL_AS_HEX,
    ADDRESS_OCTAL_AS_DECIMAL,
    ADDRESS_DIGITS_TRANSPOSED,
    ADDRESS_ONE_BIT,
    ADDRESS_ONE_DIGIT,
    ADDRESS_COMPLEMENTED,
    ADDRESS_MIRRORED,
    ADDRESS_NIBBLES_SWAPPED,
    ADDRESS_OCTETS_SWAPPED,
    ADDRESS_OF_ANOTHER_MARK,
    FEET_AS_METRES,
    SIZE_NOT_SET,
    METRES_AS_FEET,
    LENGTH_WIDTH_SWAPPED,
    TAIL_LEFT_OUT,
    OFFSET_WRONG_SIDE,
    OFFSET_NOT_SET,
    OFFSET_UNIT,
    OFFSET_WRONG_REFERENCE,
    OFFSET_ZERO,
    IN_CAPABILITY_MISSING,
    IN_CAPABILITY_EXCESS,
    ANTENNA_FLAG,
    QUALITY_LEFT_AT_ZERO,
    INTEGRITY_NOT_PASSED,
    SIL_SUPPLEMENT,
    SOFTWARE_VERSION,
    AIR_GROUND_NOT_WIRED,
    ALTITUDE_RESOLUTION,
    CROSS_CHECK_FLAG,
    ACAS_FLAG,
    AIRSPEED_CLASS,
    CATEGORY_NOT_SET,
    CATEGORY_WRONG,
];

/// The mistake with this identifier.
///
/// ```
/// use squitterlab::profile::mistake::mistake;
/// assert!(mistake("feet_as_metres").is_some() && mistake("nothing_wrong").is_none());
/// ```
pub fn mistake(cause: &str) -> Option<&'static Mistake> {
    MISTAKES.iter().find(|mistake| mistake.cause == cause)
}

fn changed(profile: &Profile, detail: &str, with: impl FnOnce(&mut Profile)) -> Vec<Candidate> {
    let mut wrong = profile.clone();
    with(&mut wrong);
    if wrong == *profile { Vec::new() } else { vec![(wrong, detail.to_owned())] }
}

/// What is said of a difference that no mistake of the table explains.
pub const UNEXPLAINED: Mistake = Mistake {
    cause: "value_differs",
    often: Often::Common,
    settings: &[],
    what: "the value on the air is not the one of the profile",
    correction: "compare the profile and the unit's set-up page with the source of the value",
    source: PRACTICE,
    candidates: |_| Vec::new(),
};

/// Said of an identification that no entry error explains: most likely the one of an earlier flight.
pub const STALE_IDENTIFICATION: Mistake = Mistake {
    cause: "stale_identification",
    often: Often::Common,
    settings: &[SettingId::AircraftIdentification],
    what: "the identification is another one altogether, as after an earlier flight or owner",
    correction: "enter the identification again, switch the unit off and on, and look again",
    source: PRACTICE,
    candidates: |profile| {
        identity::identifications(profile, |_| {
            ["FLT204", "XQ41"].map(|text| (text.to_owned(), format!("{text}, invented"))).to_vec()
        })
    },
};

/// Said where identification and category, or more, are another aircraft's.
pub const UNIT_MOVED: Mistake = Mistake {
    cause: "unit_moved",
    often: Often::Seldom,
    settings: &[SettingId::Address, SettingId::AircraftIdentification, SettingId::EmitterCategory],
    what: "several settings are another aircraft's: the unit may have been moved, or not set up after a repair",
    correction: "go through every setting of the unit, not only the address",
    source: ONE_ADDRESS,
    candidates: |profile| {
        (STALE_IDENTIFICATION.candidates)(profile)
            .into_iter()
            .zip([(3, 2), (1, 5)])
            .filter_map(|((mut wrong, detail), (set, number))| {
                let category = EmitterCategory::new(set, Bits::from_bits(number))?;
                wrong.emitter_category = Stated::Is(category);
                Some((wrong, format!("{detail}, {category}")))
            })
            .collect()
    },
};

/// Said where surface messages move as only a flying aircraft does.
pub const AIR_GROUND_INVERTED: Mistake = Mistake {
    cause: "air_ground_inverted",
    often: Often::Seldom,
    settings: &[SettingId::AirGroundActive],
    what: "the air/ground input has the wrong polarity: surface messages go out in flight",
    correction: "set what the active input means, and prove both states",
    source: "tool default: a surface message above 100 kt is not taxiing",
    candidates: |profile| {
        let other = match profile.air_ground_active.get() {
            Some(ActiveMeans::OnGround) => ActiveMeans::Airborne,
            Some(ActiveMeans::Airborne) => ActiveMeans::OnGround,
            None => return Vec::new(),
        };
        changed(profile, "the input's other sense", |wrong| wrong.air_ground_active = Stated::Is(other))
    },
};

/// Said where grey codes are such as no altitude has, or jump as no aircraft climbs.
pub const ALTITUDE_WIRE: Mistake = Mistake {
    cause: "altitude_wire",
    often: Often::Seldom,
    settings: &[SettingId::AltitudeSourceKind],
    what: "a wire of the altitude code is open, grounded, swapped or shorted",
    correction: "check the wires one by one against an altitude run with readings (the command altitude helps)",
    source: "own arithmetic over every altitude and every fault of one or two wires",
    candidates: |_| Vec::new(),
};

/// Said where frames say both states.
pub const AIR_GROUND_CONTRADICTION: Mistake = Mistake {
    cause: "air_ground_contradiction",
    often: Often::Common,
    settings: &[SettingId::AirGroundKind],
    what: "capability, status and kind of message do not say one state",
    correction: "look how the air/ground input reaches the unit, and prove both states",
    source: "Annex 10 Volume IV: capability, flight status and vertical status come from one input",
    candidates: |_| Vec::new(),
};

/// Said where squitter and replies differ.
pub const SAME_SOURCE_DIFFERS: Mistake = Mistake {
    cause: "same_source_differs",
    often: Often::Seldom,
    settings: &[SettingId::AircraftIdentification],
    what: "squitters and replies are fed from two sources, or from two units",
    correction: "look which source feeds each, and wire both to one",
    source: "EASA CS ACNS.D.ELS.015 and appendix H: the same source for both",
    candidates: |_| Vec::new(),
};

/// Said where the aircraft does not move as it says.
pub const MOTION_DIFFERS: Mistake = Mistake {
    cause: "motion_differs",
    often: Often::Seldom,
    settings: &[SettingId::Nacv],
    what: "position and velocity, altitude and rate, or direction and track are not of one moment or one source",
    correction: "look at the delay and the wiring of the position source, and at the altitude source",
    source: "tool default: three times the noise that the codes themselves make",
    candidates: |_| Vec::new(),
};

/// Said where positions jump between places.
pub const TWO_AIRCRAFT: Mistake = Mistake {
    cause: "two_aircraft",
    often: Often::Seldom,
    settings: &[SettingId::Address],
    what: "two aircraft send one address, or the position source jumps",
    correction: "check whether another aircraft has this address; if not, check the position source",
    source: ONE_ADDRESS,
    candidates: |_| Vec::new(),
};

/// Said where geometric height does not go with pressure altitude.
pub const GEOMETRIC_DIFFERENCE: Mistake = Mistake {
    cause: "geometric_difference",
    often: Often::Seldom,
    settings: &[SettingId::Gva],
    what: "the geometric height may be of the wrong reference, stuck, or not wired",
    correction: "compare it with a day of other pressure, and look what height the position source gives",
    source: "EASA AMC1 ACNS.D.ADSB.085",
    candidates: |_| Vec::new(),
};

/// Said where a message that the install sends did not come, though others did.
pub const MESSAGE_MISSING: Mistake = Mistake {
    cause: "message_missing",
    often: Often::Common,
    settings: &[SettingId::MopsVersion],
    what: "the unit does not send a message of its version, or lacks the data for it",
    correction: "check whether the unit is set up to send it, and whether the data for it reach the unit",
    source: "intervals: handbook, ADS-B part, chapter 1",
    candidates: |_| Vec::new(),
};

/// Said where a message comes more often or more seldom than the standard has it.
pub const INTERVAL_OFF: Mistake = Mistake {
    cause: "interval_off",
    often: Often::Seldom,
    settings: &[SettingId::MopsVersion],
    what: "the message comes at other intervals than the standard's: two units at once, another software load, or a \
           receiver that passes on only some frames, or some twice",
    correction: "look first whether the capture was thinned or put together, then whether two units send",
    source: "intervals: handbook, ADS-B part, chapter 1",
    candidates: |_| Vec::new(),
};

/// Said where the identification goes out under two addresses.
pub const SECOND_TRANSPONDER: Mistake = Mistake {
    cause: "second_transponder",
    often: Often::Common,
    settings: &[SettingId::Address],
    what: "a second transponder that was not set up, or another aircraft with the same identification",
    correction: "check whether this aircraft has a second unit, and set both up alike",
    source: ONE_ADDRESS,
    candidates: |_| Vec::new(),
};

/// Said where the visual-flight code of another region was seen, and never the one that is preset.
pub const VFR_CODE: Mistake = Mistake {
    cause: "vfr_code",
    often: Often::Seldom,
    settings: &[SettingId::VfrModeACode],
    what: "the preset code for visual flight is that of another region",
    correction: "preset the code that the State of operation requires",
    source: PRACTICE,
    candidates: |_| Vec::new(),
};

/// Causes that are not looked for among wrong profiles, but judged from what was seen.
pub const JUDGED: [Mistake; 25] = [
    NEVER_ENTERED,
    STALE_IDENTIFICATION,
    UNIT_MOVED,
    SECOND_TRANSPONDER,
    AIR_GROUND_INVERTED,
    AIR_GROUND_CONTRADICTION,
    ALTITUDE_WIRE,
    SAME_SOURCE_DIFFERS,
    MOTION_DIFFERS,
    TWO_AIRCRAFT,
    GEOMETRIC_DIFFERENCE,
    MESSAGE_MISSING,
    INTERVAL_OFF,
    VFR_CODE,
    POSITION_MISSING,
    ALTITUDE_MISSING,
    GEOMETRIC_IN_PLACE,
    EMERGENCY_CONTRADICTION,
    IDENT_STUCK,
    IDENTIFICATION_MALFORMED,
    QUALITY_DIPS,
    QUALITY_EXCESS,
    QUALITY_RESERVED,
    BELOW_MINIMUM,
    UNEXPLAINED,
];

/// Every cause: mistakes with a wrong profile, then those that are judged from what was heard.
///
/// ```
/// use squitterlab::profile::mistake::causes;
/// assert!(causes().any(|cause| cause.cause == "prefix_left_off"));
/// ```
pub fn causes() -> impl Iterator<Item = &'static Mistake> {
    MISTAKES.iter().chain(&JUDGED)
}
