//! Value codes: bits on one side, meaning on the other, one file a code, each with its published table.
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

pub use altitude::{Altitude12, Altitude13, GREY_CODE_TOP_FT};
pub use angle::{Angle5, Angle7, Angle10};
pub use antenna_offset::{LateralOffset, LongitudinalOffset};
pub use capability::{ApplicationField, Capability, ControlField};
pub use characters::Characters;
pub use coarse_speed::CoarseSpeed;
pub use emergency_state::EmergencyState;
pub use emitter_category::{CategoryCode, EmitterCategory};
pub use flag::Flag;
pub use flight_status::{DownlinkRequest, FlightStatus, ReservationKind, VerticalStatus};
pub use identification::{Identification, IdentificationError};
pub use intent_change::IntentChange;
pub use later_lists::{DetectAndAvoid, TransmitPower};
pub use length_width::LengthWidth;
pub use mode_1::Mode1;
pub use mode_a::ModeA;
pub use movement::Movement;
pub use number::{Number, Overlay, Reserved};
pub use quality::{
    Gva, Nacp, Nacv, NicBaro, PositionCodes, RadiusOfContainment, Sda, Sil, SilSupplement, integrity_of_version_0,
    navigation_integrity, position_codes, position_codes_in, vertical_protection_limit,
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

use std::borrow::Cow;
use std::cell::OnceCell;

/// A version of the 1090ES standard for which a source is held, as numbered on the air (ME 41-43 of type code 31).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
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
    pub const fn number(self) -> u8 {
        self as u8
    }

    /// The version with this number on the air; `None` from 4 up, since no source is held.
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

/// What a code says, as data.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// The standard's "no data".
    Null,
    /// Yes or no.
    Bool(bool),
    /// A whole number; its unit stands in the field's name.
    Integer(i64),
    /// A number; its unit stands in the field's name.
    Decimal(f64),
    /// Text.
    Text(Cow<'static, str>),
}

impl Value {
    /// A number rounded to `places` decimal places.
    pub fn decimal(value: f64, places: u8) -> Self {
        Self::Decimal(Self::rounded(value, places))
    }

    /// The same as a plain number.
    pub fn rounded(value: f64, places: u8) -> f64 {
        let scale = 10f64.powi(i32::from(places));
        let rounded = (value * scale).round() / scale;
        if rounded == 0.0 { 0.0 } else { rounded }
    }
}

impl serde::Serialize for Value {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Null => serializer.serialize_unit(),
            Self::Bool(yes) => serializer.serialize_bool(*yes),
            Self::Integer(number) => serializer.serialize_i64(*number),
            Self::Decimal(number) => serializer.serialize_f64(*number),
            Self::Text(text) => serializer.serialize_str(text),
        }
    }
}

impl From<Value> for serde_json::Value {
    fn from(value: Value) -> Self {
        match value {
            Value::Null => Self::Null,
            Value::Bool(yes) => Self::Bool(yes),
            Value::Integer(number) => Self::from(number),
            Value::Decimal(number) => Self::from(number),
            Value::Text(text) => Self::from(text.into_owned()),
        }
    }
}

/// What a code says: as data, and in words.
#[derive(Clone, Debug, PartialEq)]
pub struct Meaning {
    /// As data.
    pub value: Value,
    /// For a value that is only a number in a list: what the number stands for, in fixed `snake_case`.
    pub name: Option<&'static str>,
    /// Whether this is the last code of a scale, which also holds everything past the number.
    pub beyond: bool,
    /// Whether it is only what lies past the number, and the number itself has no code.
    pub past: bool,
    /// In words, for a person.
    pub text: Words,
}

impl Meaning {
    /// A meaning in data and words.
    pub fn new(value: Value, text: impl Into<Words>) -> Self {
        Self { value, name: None, beyond: false, past: false, text: text.into() }
    }

    /// In words, with the number before them where the value is a number in a list: `9, below 30 m`.
    pub fn words(&self) -> Cow<'_, str> {
        match (&self.value, self.name) {
            (Value::Integer(number), Some(_)) => format!("{number}, {}", self.text).into(),
            _ => Cow::Borrowed(&self.text),
        }
    }

    /// The same of the last code of a scale: the number, or anything past it.
    #[must_use]
    pub fn or_beyond(mut self) -> Self {
        self.beyond = true;
        self
    }

    /// What lies past the end of a scale: the end as a number, and that it is more than that.
    pub fn past(end: f64, unit: &'static str) -> Self {
        let words = Words::later([end, 0.0], unit, |[end, _], unit| {
            if end < 0.0 { format!("below {end} {unit}") } else { format!("more than {end} {unit}") }
        });
        let value = if end.fract() == 0.0 { Value::Integer(end as i64) } else { Value::Decimal(end) };
        Self { past: true, ..Self::new(value, words).or_beyond() }
    }

    /// Whether another meaning says the same as data.
    pub fn says_the_same(&self, other: &Self) -> bool {
        (&self.value, self.name, self.beyond) == (&other.value, other.name, other.beyond)
    }

    /// "No data", and why.
    pub fn none(text: impl Into<Words>) -> Self {
        Self::new(Value::Null, text)
    }

    /// A whole number with its unit, written as one.
    pub fn integer(number: i64, unit: &'static str) -> Self {
        let words = Words::later([number as f64, 0.0], unit, |[number, _], unit| {
            format!("{} {unit}", spaced(number as i64)).trim_end().to_owned()
        });
        Self::new(Value::Integer(number), words)
    }
}

/// Words for a person. Most are never read, a capture being long, so those that have to be made up are made up then.
#[derive(Clone, Debug)]
pub struct Words(Wording);

#[derive(Clone, Debug)]
enum Wording {
    Ready(Cow<'static, str>),
    Later { of: [f64; 2], word: &'static str, write: fn([f64; 2], &'static str) -> String, read: OnceCell<String> },
}

impl Words {
    /// Words made of up to two numbers and a word, once somebody reads them.
    pub const fn later(of: [f64; 2], word: &'static str, write: fn([f64; 2], &'static str) -> String) -> Self {
        Self(Wording::Later { of, word, write, read: OnceCell::new() })
    }
}

impl std::ops::Deref for Words {
    type Target = str;

    fn deref(&self) -> &str {
        match &self.0 {
            Wording::Ready(text) => text,
            Wording::Later { of, word, write, read } => read.get_or_init(|| write(*of, word)),
        }
    }
}

impl<T: Into<Cow<'static, str>>> From<T> for Words {
    fn from(text: T) -> Self {
        Self(Wording::Ready(text.into()))
    }
}

impl PartialEq for Words {
    fn eq(&self, other: &Self) -> bool {
        **self == **other
    }
}

impl std::fmt::Display for Words {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self)
    }
}

impl serde::Serialize for Words {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self)
    }
}

/// A whole number with a thin grouping that people read: `38 000`.
pub fn spaced(number: i64) -> String {
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
    pub fn out_of_range(found: impl ToString, least: impl ToString, most: impl ToString, unit: &'static str) -> Self {
        Self::OutOfRange { found: found.to_string(), least: least.to_string(), most: most.to_string(), unit }
    }
}

/// The lossless half of a code: a newtype over exactly its bits.
pub trait Bits: Copy + Eq + Sized {
    /// How many bits.
    const WIDTH: u8;
    /// The code with these low bits; any pattern is a code.
    fn from_bits(bits: u64) -> Self;
    /// The bits.
    fn bits(self) -> u64;
}

/// The view: what a pattern means, and which pattern says a wanted meaning.
pub trait Code: Bits {
    /// One line: the rule from bits to meaning.
    const RULE: &'static str;

    /// Whether a code of it stands for everything past the end of its scale.
    const CAPPED: bool = false;

    /// What the pattern says in this version of the standard.
    fn meaning(self, version: Version) -> Meaning;

    /// The code that says what was wanted, in the words or numbers of the JSON field.
    ///
    /// # Errors
    /// [`CodeError`] where no code says it; nothing is clamped silently.
    fn from_meaning(wanted: &str, version: Version) -> Result<Self, CodeError>;

    /// The arithmetic from bits to meaning, a line a step; empty where there is none to follow.
    fn steps(self, _version: Version) -> Vec<String> {
        Vec::new()
    }
}

/// Reads a number as people write it.
///
/// # Errors
/// [`CodeError::NotANumber`], also for infinities and "nan".
pub fn number(wanted: &str) -> Result<f64, CodeError> {
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
pub fn is_no_data(wanted: &str) -> bool {
    matches!(wanted.trim(), "null" | "none" | "no_data")
}

/// Declares a newtype over exactly so many bits.
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
