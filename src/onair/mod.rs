//! Makes the frames that an install puts on the air: each with its value, the bits that the install decides, and the
//! setting behind each.

mod conversions;
mod emissions;
#[cfg_attr(not(feature = "lab"), allow(dead_code, reason = "the rehearsal uses what is left"))]
mod flight_fields;
#[cfg(feature = "lab")]
mod rehearsal;
#[cfg_attr(not(feature = "lab"), allow(dead_code, reason = "the rehearsal uses what is left"))]
mod schedule;
mod situation;
mod transmissions;
mod unit;

pub use emissions::{EmissionError, Flight, emissions, version_of, why_not_on_air};
pub(crate) use emissions::{emissions_laid_out, not_in, what_is_unknown, why_in_no_frame};
pub use flight_fields::Kinematics;
#[cfg(feature = "lab")]
pub use rehearsal::*;
#[doc(hidden)]
pub use schedule::{
    Condition, INTERVALS, Interval, SquitterKind, Stream, interval_of, intervals_of, longest_interval_s,
};
pub use situation::Situation;
pub use transmissions::{Format, Layer, OnlyIf, Part, Sending, TRANSMISSIONS, Transmission};

use crate::code::table::Table;
use crate::code::{Meaning, Version};
use crate::frame::{Frame, Span};
use crate::profile::SettingId;
use serde::{Serialize, Serializer};

/// In which state a frame is sent.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum When {
    /// In the air.
    Airborne,
    /// On the ground.
    OnGround,
    /// In the air and on the ground alike.
    Both,
}

impl Serialize for When {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(self.key())
    }
}

impl When {
    /// The word in text and JSON.
    ///
    /// ```
    /// use squitterlab::onair::When;
    /// assert_eq!(When::OnGround.key(), "on_ground");
    /// ```
    pub const fn key(self) -> &'static str {
        match self {
            Self::Airborne => "airborne",
            Self::OnGround => "on_ground",
            Self::Both => "both",
        }
    }

    /// The same for people.
    ///
    /// ```
    /// use squitterlab::onair::When;
    /// assert_eq!(When::OnGround.words(), "on the ground");
    /// ```
    pub const fn words(self) -> &'static str {
        match self {
            Self::Airborne => "in the air",
            Self::OnGround => "on the ground",
            Self::Both => "in the air and on the ground",
        }
    }
}

/// How an observed value is compared with the one that the install decides.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rule {
    /// It must be equal.
    Equal,
    /// A quality category: lower is a dip while it is short and rare, higher may claim more than is approved.
    Quality,
    /// A state that comes and goes: claimed where the install lacks it is wrong, absent is the crew's or the source's doing.
    State,
    /// The crew decides when it is used, so it never differs.
    WhenUsed,
}

impl Serialize for Rule {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(self.key())
    }
}

impl Rule {
    /// The word in JSON.
    ///
    /// ```
    /// use squitterlab::onair::Rule;
    /// assert_eq!(Rule::WhenUsed.key(), "when_used");
    /// ```
    pub const fn key(self) -> &'static str {
        match self {
            Self::Equal => "equal",
            Self::Quality => "quality",
            Self::State => "state",
            Self::WhenUsed => "when_used",
        }
    }
}

/// A field of a frame that the install decides.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Decision {
    /// The settings behind it.
    pub settings: &'static [SettingId],
    /// The field's name.
    pub field: &'static str,
    /// Frame bits.
    pub span: Span,
    /// The code that the install gives it.
    pub code: u64,
    /// Other codes that say the same of the install, where the flight chooses among them.
    pub also: &'static [u64],
    /// What a code says.
    pub meaning: fn(u64, Version) -> Meaning,
    /// The version of the standard that it says it in.
    pub version: Version,
    /// How an observed code is compared with it.
    pub rule: Rule,
    /// Whether its meaning depends on the version in force.
    pub by_version: bool,
    /// Whether an observed frame says anything of it, where not every frame does.
    pub applies: Option<fn(&Frame) -> bool>,
    /// The preset of what the crew may change, where the frame has another code.
    pub preset: Option<u64>,
}

impl Decision {
    /// Whether an observed code agrees with the install's.
    ///
    /// ```
    /// use squitterlab::{Profile, onair::{Flight, emissions}, profile::SettingId};
    /// let profile = Profile::read(r#"{"aircraft": {"address": "A5C035", "emitter_category": "A1"}}"#).profile;
    /// let frames = emissions(&profile, Flight::Unknown).unwrap();
    /// let mut decisions = frames.iter().flat_map(|emission| &emission.decisions);
    /// let category = decisions.find(|decision| decision.settings == [SettingId::EmitterCategory]).unwrap();
    /// assert!(category.agrees(category.code) && !category.agrees(category.code ^ 1));
    /// ```
    pub fn agrees(&self, observed: u64) -> bool {
        let equal = observed == self.code || self.also.contains(&observed);
        equal || self.rule == Rule::Quality && observed >= self.code
    }

    /// Whether a frame says anything of it.
    pub(crate) fn applies_to(&self, frame: &Frame) -> bool {
        self.applies.is_none_or(|applies| applies(frame))
    }

    /// What the install's code says.
    ///
    /// ```
    /// use squitterlab::{Profile, onair::{Flight, emissions}, profile::SettingId};
    /// let profile = Profile::read(r#"{"aircraft": {"address": "A5C035", "emitter_category": "A1"}}"#).profile;
    /// let frames = emissions(&profile, Flight::Unknown).unwrap();
    /// let mut decisions = frames.iter().flat_map(|emission| &emission.decisions);
    /// let address = decisions.find(|decision| decision.settings == [SettingId::Address]).unwrap();
    /// assert_eq!(address.expected().value, "A5C035");
    /// ```
    pub fn expected(&self) -> Meaning {
        (self.meaning)(self.code, self.version)
    }

    /// What the preset says, where the frame has another code.
    pub(crate) fn preset(&self) -> Option<Meaning> {
        self.preset.map(|code| (self.meaning)(code, self.version))
    }
}

/// A frame that the configured unit sends.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Emission {
    /// Its entry in the list of transmissions.
    pub transmission: &'static Transmission,
    /// The table that names the message.
    pub table: &'static Table,
    /// The table of the format around it.
    pub envelope: &'static Table,
    /// In which state.
    pub when: When,
    /// The bits.
    pub frame: Frame,
    /// The fields that the install decides.
    pub decisions: Vec<Decision>,
    /// Fields that the install presets and the crew uses or not: shown, never decided.
    pub used: Vec<Decision>,
    /// Whether the address is in the parity, and so is decided beside the data bits.
    pub address_in_parity: bool,
    /// The request that it answers, if it is not a squitter.
    pub reply_to: Option<&'static str>,
    /// What of it no source held settles for this install: neither the install nor the flight decides it here.
    pub unsettled: Option<&'static str>,
}

impl Emission {
    /// Whether a setting is in it.
    ///
    /// ```
    /// use squitterlab::{Profile, onair::{Flight, emissions}, profile::SettingId};
    /// let profile = Profile::read(r#"{"aircraft": {"address": "A5C035"}}"#).profile;
    /// let frames = emissions(&profile, Flight::Unknown).unwrap();
    /// assert!(frames.iter().all(|emission| emission.carries(SettingId::Address)));
    /// ```
    pub fn carries(&self, setting: SettingId) -> bool {
        let mut decisions = self.decisions.iter().chain(&self.used);
        decisions.any(|decision| decision.settings.contains(&setting))
            || self.address_in_parity && setting == SettingId::Address
    }

    /// Ones where the install decides the bit; the parity is left out.
    ///
    /// ```
    /// use squitterlab::{Profile, onair::{Flight, emissions}};
    /// let profile = Profile::read(r#"{"aircraft": {"address": "A5C035"}}"#).profile;
    /// let squitter = emissions(&profile, Flight::Unknown).unwrap().into_iter().find(|emission| emission.frame.length() == 112);
    /// // The address, bits 9 to 32 of 112, is the install's.
    /// assert_eq!(squitter.unwrap().decided() >> (112 - 32) & 0xFFFFFF, 0xFFFFFF);
    /// ```
    pub fn decided(&self) -> u128 {
        let length = self.frame.length();
        self.decisions.iter().fold(0, |mask, decision| mask | decision.span.mask(length))
    }

    /// The same as hexadecimal digits, as many as the frame has.
    ///
    /// ```
    /// use squitterlab::{Profile, onair::{Flight, emissions}};
    /// let profile = Profile::read(r#"{"aircraft": {"address": "A5C035"}}"#).profile;
    /// let squitter = emissions(&profile, Flight::Unknown).unwrap().into_iter().find(|emission| emission.frame.length() == 112);
    /// assert_eq!(&squitter.unwrap().decided_digits()[2..8], "FFFFFF");
    /// ```
    pub fn decided_digits(&self) -> String {
        Frame::from_pattern(self.decided(), self.frame.length()).to_string()
    }
}
