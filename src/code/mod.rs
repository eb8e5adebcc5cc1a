//! Value codes: bits on one side, meaning on the other, one file per code, each with its published table.
//!
//! A code is a newtype over exactly the bits on the air. [`Bits`] is the lossless half (any pattern is a code,
//! and gives back its pattern); [`Code`] is the view: what the pattern means, and which pattern says a wanted
//! meaning. A meaning can depend on the version of the standard that the aircraft sends.

pub mod acas;
pub mod compact_position;
mod enumeration;
pub mod position_steps;
mod source;
pub mod table;

mod altitude;
mod angle;
mod antenna_offset;
mod capability;
mod characters;
mod coarse_speed;
mod emergency_state;
mod emitter_category;
mod flag;
mod flight_status;
mod identification;
mod intent_change;
mod later_lists;
mod length_width;
mod meaning;
mod mode_1;
mod mode_a;
mod movement;
mod number;
mod quality;
mod register_lists;
mod register_number;
mod reply_information;
mod rounding;
mod speed;
mod surveillance_status;
mod target_state;
mod type_code;
mod uncertainty;
mod vertical;
mod wires;
mod worked;

pub use altitude::{Altitude12, Altitude13, AltitudeStep, GREY_CODE_TOP_FT};
pub(crate) use angle::turned;
pub use angle::{Angle5, Angle7, Angle10};
pub use antenna_offset::{LateralOffset, LongitudinalOffset};
pub use capability::{ApplicationField, Capability, ControlField};
pub use characters::Characters;
pub use coarse_speed::CoarseSpeed;
pub use emergency_state::EmergencyState;
pub use emitter_category::{CategoryCode, CategoryOctet, EmitterCategory};
pub use flag::Flag;
pub use flight_status::{DownlinkRequest, FlightStatus, ReservationKind, VerticalStatus};
pub use identification::{Identification, IdentificationError};
pub use intent_change::IntentChange;
pub use later_lists::{DetectAndAvoid, TransmitPower};
pub use length_width::LengthWidth;
pub use meaning::{Meaning, MeaningData, MeaningKind, Text, Value, Wording, WriteWords};
pub use mode_1::Mode1;
pub use mode_a::ModeA;
pub use movement::Movement;
pub use number::{Number, Overlay, Reserved};
pub(crate) use quality::integrity_of_version_0;
pub use quality::{
    Gva, IntegrityRow, Nacp, Nacv, NicBaro, PositionCodes, RadiusOfContainment, Sda, Sil, SilSupplement,
    integrity_rows, navigation_integrity, position_codes, vertical_protection_limit,
};
pub use register_lists::{
    AcasStandard, AntennaKind, AudioStatus, DownlinkThroughput, HazardLevel, SquitterAltitude, SquitterRate,
    SubnetworkVersion, TargetAltitudeSource, UnitNumberFormat, UplinkThroughput, WeatherSource,
};
pub use register_number::RegisterNumber;
pub use reply_information::{CruiseSpeedClass, ReplyInformation, SensitivityLevel};
pub use rounding::Rounded;
pub use source::{SOURCES, source_in_full};
pub use speed::{AirspeedKind, Speed};
pub use surveillance_status::SurveillanceStatus;
pub use target_state::{
    AltitudeCapability, HorizontalSource, TargetAltitudeType, TargetDirection, TargetMode, TrajectoryChange,
    VerticalSource,
};
pub use type_code::{CprFormat, TypeCode, VersionNumber};
pub use uncertainty::position_uncertainty;
pub use vertical::{GeometricDifference, Sign, VerticalRate, VerticalRateSource};
pub use wires::{AltitudePattern, GREY_CODE_BOTTOM_FT, Wire, Wires};
pub(crate) use worked::{Linear, bits as bits_step, decimals, marked};
pub use worked::{Step, Worked};

/// A version of the 1090ES standard for which a source is held, as numbered on the air (ME 41-43 of type code 31).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[non_exhaustive]
pub enum Version {
    /// DO-260, ICAO Doc 9871 Appendix A.
    Zero,
    /// DO-260A, Appendix B.
    One,
    /// DO-260B, Appendix C.
    Two,
    /// DO-260C, as far as public text says what it changes; the rest as in version 2.
    Three,
}

impl Version {
    /// All versions for which a source is held.
    pub const ALL: [Self; 4] = [Self::Zero, Self::One, Self::Two, Self::Three];

    /// The number on the air.
    ///
    /// ```
    /// use squitterlab::Version;
    /// assert_eq!(Version::Two.number(), 2);
    /// ```
    pub const fn number(self) -> u8 {
        self as u8
    }

    /// The version with this number on the air; `None` from 4 up, since no source is held.
    ///
    /// ```
    /// use squitterlab::Version;
    /// assert_eq!((Version::from_number(2), Version::from_number(4)), (Some(Version::Two), None));
    /// ```
    pub const fn from_number(number: u8) -> Option<Self> {
        match number {
            0 => Some(Self::Zero),
            1 => Some(Self::One),
            2 => Some(Self::Two),
            3 => Some(Self::Three),
            _ => None,
        }
    }
}

/// A number and what it counts, in the singular where it is one.
pub(crate) fn counted<N: Copy + std::fmt::Display + PartialEq + From<u8>>(count: N, what: &str) -> String {
    format!("{count} {what}{}", if count == N::from(1) { "" } else { "s" })
}

/// A whole number with a thin grouping that people read: `38 000`.
pub(crate) fn spaced(number: i64) -> String {
    let digits = number.unsigned_abs().to_string();
    let mut text = String::with_capacity(digits.len() + 4);
    if number < 0 {
        text.push('-');
    }
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && digits.len() > 4 && (digits.len() - at).is_multiple_of(3) {
            text.push(' ');
        }
        text.push(digit);
    }
    text
}

/// Why no code says what was wanted.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum CodeError {
    /// Text where a number belongs.
    #[error("{found:?} is not a number")]
    NotANumber {
        /// What was given.
        found: String,
    },
    /// A number outside what the code can say.
    #[error("{found} is outside {least} to {most}{unit}")]
    OutOfRange {
        /// What was given.
        found: String,
        /// The least that the code can say.
        least: String,
        /// The most that the code can say.
        most: String,
        /// The unit, with a space before it, or nothing.
        unit: &'static str,
    },
    /// A word that is not among those the code knows.
    #[error("{found:?} is not one of: {known}")]
    NotOneOf {
        /// What was given.
        found: String,
        /// What would have been understood.
        known: String,
    },
    /// Something else, told in full.
    #[error("{0}")]
    Refused(String),
}

impl CodeError {
    /// `found` is outside `least` to `most`.
    #[allow(clippy::needless_pass_by_value)]
    pub(crate) fn out_of_range(
        found: impl ToString,
        least: impl ToString,
        most: impl ToString,
        unit: &'static str,
    ) -> Self {
        Self::OutOfRange { found: found.to_string(), least: least.to_string(), most: most.to_string(), unit }
    }
}

/// The lossless half of a code: a newtype over exactly its bits.
pub trait Bits: Copy + Eq + Sized {
    /// How many bits.
    const WIDTH: u8;
    /// The code with these low bits; any pattern is a code.
    ///
    /// ```
    /// use squitterlab::code::{Bits, Flag};
    /// assert!(Flag::from_bits(1).is_set());
    /// ```
    fn from_bits(bits: u64) -> Self;
    /// The bits.
    ///
    /// ```
    /// use squitterlab::code::{Altitude12, Bits};
    /// assert_eq!(Altitude12::from_feet(38_000.0, 25).unwrap().bits(), 0xC38);
    /// ```
    fn bits(self) -> u64;
}

/// The view: what a pattern means, and which pattern says a wanted meaning.
pub trait Code: Bits {
    /// One line: the rule from bits to meaning.
    const RULE: &'static str;

    /// What its values are.
    const KIND: MeaningKind;

    /// The unit of its values, as it is written at the end of a field's name; empty if they have none.
    const UNIT: &'static str = "";

    /// Whether a value of it is another in another version of the standard.
    const VARIES: bool = false;

    /// Whether a code of it stands for everything past the end of its scale.
    const CAPPED: bool = false;

    /// What the pattern says in this version of the standard.
    ///
    /// ```
    /// use squitterlab::code::{Altitude12, Bits, Code, Version};
    /// assert_eq!(Altitude12::from_bits(0xC38).meaning(Version::Two).value.number(), Some(38_000.0));
    /// ```
    fn meaning(self, version: Version) -> Meaning;

    /// The code that says what was wanted, in the words or numbers of the JSON field.
    ///
    /// ```
    /// use squitterlab::code::{Altitude12, Bits, Code, Version};
    /// assert_eq!(Altitude12::from_meaning("38000", Version::Two).unwrap().bits(), 0xC38);
    /// assert!(Altitude12::from_meaning("high", Version::Two).is_err());
    /// ```
    ///
    /// # Errors
    /// [`CodeError`] where no code says it; nothing is clamped silently.
    fn from_meaning(wanted: &str, version: Version) -> Result<Self, CodeError>;

    /// The arithmetic from bits to meaning; empty if there is none to follow.
    ///
    /// ```
    /// use squitterlab::code::{Altitude12, Bits, Code, Version};
    /// let steps = Altitude12::from_bits(0xC38).steps(Version::Two);
    /// assert!(steps.iter().any(|step| step.to_string().contains("38000")));
    /// ```
    fn steps(self, _version: Version) -> Vec<Step> {
        Vec::new()
    }

    /// The arithmetic from what was wanted to this code; empty if there is none to follow.
    ///
    /// ```
    /// use squitterlab::code::{Altitude12, Bits, Code, Version};
    /// let steps = Altitude12::from_bits(0xC38).steps_to("38000", Version::Two);
    /// assert!(steps.iter().any(|step| step.to_string().contains("38000")));
    /// ```
    fn steps_to(self, _wanted: &str, _version: Version) -> Vec<Step> {
        Vec::new()
    }
}

/// Reads a number as people write it.
///
/// # Errors
/// [`CodeError::NotANumber`], also for infinities and "nan".
pub(crate) fn number(wanted: &str) -> Result<f64, CodeError> {
    wanted
        .trim()
        .parse::<f64>()
        .ok()
        .filter(|number| number.is_finite())
        .ok_or_else(|| CodeError::NotANumber { found: wanted.to_owned() })
}

/// Refuses infinities and "not a number": no code says them.
pub(crate) fn finite(number: f64) -> Result<f64, CodeError> {
    if number.is_finite() { Ok(number) } else { Err(CodeError::NotANumber { found: number.to_string() }) }
}

/// Whether the word stands for the standard's "no data".
pub(crate) fn is_no_data(wanted: &str) -> bool {
    matches!(wanted.trim(), "null" | "none" | "no_data")
}

/// Declares a newtype over exactly this many bits.
macro_rules! bits {
    ($(#[$doc:meta])* $name:ident($inner:ty : $width:literal)) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name($inner);

        impl $crate::code::Bits for $name {
            const WIDTH: u8 = $width;
            #[inline]
            fn from_bits(bits: u64) -> Self {
                Self((bits & ((1 << $width) - 1)) as $inner)
            }
            #[inline]
            fn bits(self) -> u64 {
                u64::from(self.0)
            }
        }
    };
}
pub(crate) use bits;
