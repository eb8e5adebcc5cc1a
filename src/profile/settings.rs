//! The settings of an install: one line each, from which the model, its reading, its writing and its schema follow.

use super::antenna_offset::{FromCentreLine, FromNose};
use super::choice::{
    Acas, ActiveMeans, AddressKind, AirGroundKind, AircraftKind, AltitudeSourceKind, Antenna, Coupling, DirectionKind,
    HeightReference, IdentificationSource, North, SilPer, TransmitPower,
};
use super::follows::applies;
use super::json_spans::{Node, NodeKind};
use super::quantity::{
    Choice, Date, Fault, Length, Mark, Quantity, Registers, Speed, StandardVersion, StepFt, Text, ValueKind, Weight,
    Whole,
};
use crate::code::table::optional;
use crate::code::{EmitterCategory, Identification, ModeA};
use crate::frame::Address;
use serde::de::Error;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use serde_json::{Map, Value, json};
use std::borrow::Cow;
use std::fmt;

/// Whether a setting is stated.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Stated<T> {
    /// Left out: nothing is expected of it.
    #[default]
    NotStated,
    /// `null`: still to be filled in; nothing is expected of it yet.
    ToBeFilledIn,
    /// Stated.
    Is(T),
}

impl<T> Stated<T> {
    /// The value, if it is stated.
    ///
    /// ```
    /// use squitterlab::profile::Stated;
    /// assert_eq!((Stated::Is(8).get(), Stated::<u8>::ToBeFilledIn.get()), (Some(&8), None));
    /// ```
    pub fn get(&self) -> Option<&T> {
        match self {
            Self::Is(value) => Some(value),
            _ => None,
        }
    }

    /// The same with another value.
    ///
    /// ```
    /// use squitterlab::profile::Stated;
    /// assert_eq!(Stated::Is(8).map(|nic| *nic > 6), Stated::Is(true));
    /// ```
    pub fn map<U>(&self, with: impl FnOnce(&T) -> U) -> Stated<U> {
        match self {
            Self::NotStated => Stated::NotStated,
            Self::ToBeFilledIn => Stated::ToBeFilledIn,
            Self::Is(value) => Stated::Is(with(value)),
        }
    }
}

/// Where the value of a setting is taken from, in the order of work at the aircraft: papers, tape, boxes, wires.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Work {
    /// The State's register and the certificate.
    Register,
    /// Whoever operates the aircraft.
    Operator,
    /// Type certificate data or the flight manual.
    TypeData,
    /// A tape at the aircraft.
    Tape,
    /// The equipment list.
    EquipmentList,
    /// The aeronautical information publication of the State.
    Publication,
    /// The transponder's data plate and manual.
    DataPlate,
    /// The approval of the position source and of its pairing.
    ApprovalData,
    /// The wiring, before power is on.
    Wiring,
    /// Whoever keeps the record.
    Record,
}

impl Work {
    /// In words that follow "from".
    ///
    /// ```
    /// use squitterlab::profile::SETTINGS;
    /// assert!(SETTINGS.iter().all(|setting| setting.taken_from.words().starts_with(char::is_alphabetic)));
    /// ```
    pub const fn words(self) -> &'static str {
        match self {
            Self::Register => "the State's register and the certificate",
            Self::Operator => "the operator, who knows whether the aircraft flies under call signs",
            Self::TypeData => "the type certificate data or the flight manual",
            Self::Tape => "a tape at the aircraft, or the three-view drawing",
            Self::EquipmentList => "the equipment list",
            Self::Publication => "the AIP of the State of operation",
            Self::DataPlate => "the transponder's data plate and manual",
            Self::ApprovalData => "the approval data of the position source and of its pairing",
            Self::Wiring => "the wiring, before power is on",
            Self::Record => "whoever keeps the record",
        }
    }
}

/// All about a setting.
#[derive(Clone, Copy, Debug)]
pub struct Setting {
    /// Which one it is.
    pub id: SettingId,
    /// Its plain name, two to six words.
    pub name: &'static str,
    /// Its JSON pointer.
    pub pointer: &'static str,
    /// One line of explanation.
    pub about: &'static str,
    /// Where its value is taken from.
    pub taken_from: Work,
    /// What is usual, in words.
    pub typical: Option<&'static str>,
    /// Whether nobody misses it if it is left out.
    pub optional: bool,
    /// Whether a new profile has it, still to be filled in.
    pub in_new_profile: bool,
    /// Why it is never on the air, if so.
    pub never: Option<&'static str>,
    /// What kind of value it is.
    pub kind: ValueKind,
    /// The units that it may be given in.
    pub units: &'static [&'static str],
    /// The words to choose from, each with its meaning.
    pub options: &'static [Choice],
    /// What a person gives, if units and choices do not say it.
    given: fn() -> String,
    /// Its JSON Schema.
    pub schema: fn() -> Value,
    /// Its value in words, as the profile has it.
    words: fn(&Profile) -> Stated<String>,
    /// What to know of its value that nobody else says.
    pub mind: fn(&Profile) -> Option<&'static str>,
    /// Its value as a small whole number, if it is one and is stated.
    pub number: fn(&Profile) -> Option<u8>,
    /// Whether these words say more than its code on the air, as "one antenna" says more than "yes".
    pub says_more: bool,
    /// The profile with each of its choices, where it is a choice.
    pub choices: fn(&Profile) -> Vec<Profile>,
    /// The profile with this value, as a person types it.
    with: fn(&Profile, &str) -> Result<Profile, Fault>,
    /// The profile with this setting still to be filled in.
    pub opened: fn(&Profile) -> Profile,
}

macro_rules! settings {
    ($(
        $id:ident $field:ident $pointer:literal: $type:ty {
            name: $name:literal,
            about: $about:literal,
            from: $work:ident,
            $(typical: $typical:literal,)?
            $(never: $never:literal,)?
            $(optional: $optional:ident,)?
            $(new: $new:ident,)?
            $(mind: $mind:expr,)?
        }
    )+) => {
        /// A setting of an install.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        #[non_exhaustive]
        pub enum SettingId {
            $( #[doc = concat!($name, " (`", $pointer, "`).")] $id, )+
        }

        impl SettingId {
            /// Every setting, in the order of a profile.
            pub const ALL: &'static [Self] = &[$( Self::$id ),+];

            /// Its name in programs.
            ///
            /// ```
            /// use squitterlab::profile::SettingId;
            /// assert_eq!(SettingId::EmitterCategory.id(), "emitter_category");
            /// ```
            pub const fn id(self) -> &'static str {
                match self { $( Self::$id => stringify!($field), )+ }
            }

            /// Its plain name.
            ///
            /// ```
            /// use squitterlab::profile::SettingId;
            /// assert_eq!(SettingId::EmitterCategory.name(), "Emitter category");
            /// ```
            pub const fn name(self) -> &'static str {
                match self { $( Self::$id => $name, )+ }
            }

            /// Its JSON pointer.
            ///
            /// ```
            /// use squitterlab::profile::SettingId;
            /// assert_eq!(SettingId::EmitterCategory.pointer(), "/aircraft/emitter_category");
            /// ```
            pub const fn pointer(self) -> &'static str {
                match self { $( Self::$id => $pointer, )+ }
            }

            /// Why it is never on the air, if so.
            ///
            /// ```
            /// use squitterlab::profile::SettingId;
            /// assert!(SettingId::Registration.never().is_some() && SettingId::EmitterCategory.never().is_none());
            /// ```
            pub const fn never(self) -> Option<&'static str> {
                match self { $( Self::$id => optional!($($never)?), )+ }
            }
        }

        /// The id of each setting under the name of its field, so that a list need not type both.
        #[allow(non_upper_case_globals, dead_code)]
        pub(crate) mod id_of {
            use super::SettingId;
            $( pub(crate) const $field: SettingId = SettingId::$id; )+
        }

        /// An install: what a technician sets in the transponder, and what the aircraft is.
        #[derive(Clone, Debug, Default, PartialEq)]
        pub struct Profile {
            $( #[doc = concat!($about, " (`", $pointer, "`).")] pub $field: Stated<$type>, )+
        }

        /// Every setting, in the order of a profile.
        pub static SETTINGS: &[Setting] = &[$(
            Setting {
                id: SettingId::$id,
                name: $name,
                pointer: $pointer,
                about: $about,
                taken_from: Work::$work,
                typical: optional!($($typical)?),
                optional: given!($($optional)?),
                in_new_profile: !given!($($new)?),
                never: SettingId::$id.never(),
                kind: <$type as Quantity>::KIND,
                units: <$type as Quantity>::UNITS,
                options: <$type as Quantity>::OPTIONS,
                given: <$type as Quantity>::given,
                schema: <$type as Quantity>::schema,
                words: |profile| profile.$field.map(Quantity::words),
                mind: |profile| profile.$field.get().and_then(minding(optional!($($mind)?))),
                number: |profile| profile.$field.get().and_then(Quantity::number),
                says_more: <$type as Quantity>::SAYS_MORE,
                choices: |profile| {
                    let choices = <$type as Quantity>::choices().into_iter();
                    choices.map(|value| Profile { $field: Stated::Is(value), ..profile.clone() }).collect()
                },
                with: |profile, text| {
                    let value = <$type as Quantity>::from_words(text)?;
                    Ok(Profile { $field: Stated::Is(value), ..profile.clone() })
                },
                opened: |profile| Profile { $field: Stated::ToBeFilledIn, ..profile.clone() },
            }
        ),+];

        impl Profile {
            /// Reads every setting from a tree; `fault` is called for each value that does not fit.
            pub(super) fn from_tree(root: &Node, mut fault: impl FnMut(SettingId, &Node, super::quantity::Fault)) -> Self {
                Self { $(
                    $field: match find(root, $pointer) {
                        None => Stated::NotStated,
                        Some(Node { kind: NodeKind::Null, .. }) => Stated::ToBeFilledIn,
                        Some(node) => match <$type as Quantity>::read(node) {
                            Ok(value) => Stated::Is(value),
                            Err(why) => {
                                fault(SettingId::$id, node, why);
                                Stated::NotStated
                            }
                        },
                    },
                )+ }
            }

            /// A profile in which everything is still to be filled in but what is for the record only.
            ///
            /// ```
            /// use squitterlab::{Profile, profile::Stated};
            /// assert_eq!(Profile::to_be_filled_in().emitter_category, Stated::ToBeFilledIn);
            /// ```
            pub fn to_be_filled_in() -> Self {
                Self { $( $field: open!($($new)?), )+ }
            }

            /// The profile, with what it leaves open taken from another.
            ///
            /// ```
            /// use squitterlab::Profile;
            /// let read = |text| Profile::read(text).profile;
            /// let own = read(r#"{"aircraft": {"emitter_category": "A1"}}"#);
            /// let both = own.or(&read(r#"{"aircraft": {"emitter_category": "A3", "address": "A5C035"}}"#));
            /// assert_eq!(both.emitter_category.get().unwrap().to_string(), "A1");
            /// assert_eq!(both.address.get().unwrap().to_string(), "A5C035");
            /// ```
            #[must_use]
            pub fn or(mut self, other: &Self) -> Self {
                $( if self.$field.get().is_none() { self.$field = other.$field.clone(); } )+
                self
            }

            /// The profile as JSON.
            ///
            /// ```
            /// use squitterlab::Profile;
            /// let text = r#"{"aircraft":{"address":"A5C035"}}"#;
            /// assert_eq!(Profile::read(text).profile.json().to_string(), text);
            /// ```
            pub fn json(&self) -> Value {
                let mut root = json!({});
                $(
                    match &self.$field {
                        Stated::NotStated => {}
                        Stated::ToBeFilledIn => put(&mut root, $pointer, Value::Null),
                        Stated::Is(value) => put(&mut root, $pointer, value.json()),
                    }
                )+
                root
            }
        }
    };
}

/// What is minded of a value: nothing, if the list says nothing.
fn minding<T>(mind: Option<fn(&T) -> &'static str>) -> impl Fn(&T) -> Option<&'static str> {
    move |value| mind.map(|mind| mind(value))
}

/// What a new profile says of a setting.
macro_rules! open {
    () => {
        Stated::ToBeFilledIn
    };
    (left_out) => {
        Stated::NotStated
    };
}

/// Whether a word of the list was given.
macro_rules! given {
    () => {
        false
    };
    ($word:ident) => {
        true
    };
}

impl Setting {
    /// Its value in words, if it is stated. What an install of this kind does not have is never still to be filled in.
    ///
    /// ```
    /// use squitterlab::profile::{Profile, SettingId, Stated};
    /// let read = |text| Profile::read(text).profile;
    /// let switch = SettingId::AirGroundActive.setting();
    /// let open = read(r#"{"transponder": {"air_ground": {"kind": "switch", "active_means": null}}}"#);
    /// assert_eq!(switch.stated(&open), Stated::ToBeFilledIn);
    /// // Without a switch there is nothing to fill in.
    /// let without = read(r#"{"transponder": {"air_ground": {"kind": "none", "active_means": null}}}"#);
    /// assert_eq!(switch.stated(&without), Stated::NotStated);
    /// ```
    pub fn stated(&self, profile: &Profile) -> Stated<String> {
        match (self.words)(profile) {
            Stated::ToBeFilledIn if !applies(profile, self.id) => Stated::NotStated,
            stated => stated,
        }
    }

    /// Whether a record of this install has a line for it: what few installs have, only if they state it.
    pub(crate) fn is_on_record(&self, profile: &Profile) -> bool {
        self.in_new_profile || !matches!(self.stated(profile), Stated::NotStated)
    }

    /// The profile with another value of this setting, given as a person types it: `26 ft 11 in`, `yes`, `DO-260B`.
    ///
    /// ```
    /// use squitterlab::profile::{Profile, SettingId};
    /// let length = SettingId::Length.setting();
    /// let profile = length.with_typed(&Profile::default(), "26 ft 11 in").unwrap();
    /// assert_eq!(length.value(&profile), serde_json::json!({"ft": 26, "in": 11}));
    /// let fault = length.with_typed(&profile, "8.2").unwrap_err();
    /// assert!(fault.correction.contains("8.2 m or 8.2 ft"), "{}", fault.correction);
    /// ```
    ///
    /// # Errors
    /// [`Fault`] with the reason, and what to type instead.
    pub fn with_typed(&self, profile: &Profile, text: &str) -> Result<Profile, Fault> {
        // A correction has what is to be typed in quotation marks.
        let quoted = text.trim().strip_prefix('"').and_then(|text| text.strip_suffix('"'));
        (self.with)(profile, quoted.unwrap_or(text)).map_err(|fault| {
            // What to write in a file is not what to type.
            let correction = match (self.kind, text.trim().parse::<f64>()) {
                (ValueKind::Text, _) if self.id == SettingId::Address => {
                    let mark = profile.registration.get().map(|mark| mark.0.as_str());
                    super::quantity::address(text.trim(), mark).err().unwrap_or(fault.clone()).correction
                }
                (ValueKind::Text | ValueKind::List, _) => fault.correction,
                (ValueKind::Measure, Ok(number))
                    if number.is_finite() && self.id != SettingId::AntennaFromCentreLine =>
                {
                    let ways: Vec<String> =
                        self.units.iter().map(|unit| format!("{number} {}", unit.replace('_', "/"))).collect();
                    format!("add the unit: {}", ways.join(" or "))
                }
                (ValueKind::Number, _) if self.options.is_empty() => fault.correction,
                _ => format!("type {}", self.values_in_words().replace("km_h", "km/h")),
            };
            Fault { correction, ..fault }
        })
    }

    /// Its value as JSON; `null` if it is not stated.
    ///
    /// ```
    /// use squitterlab::{Profile, profile::SettingId};
    /// let profile = Profile::read(r#"{"aircraft": {"length": {"ft": 27.2}}}"#).profile;
    /// assert_eq!(SettingId::Length.setting().value(&profile), serde_json::json!({"ft": 27.2}));
    /// ```
    pub fn value(&self, profile: &Profile) -> Value {
        profile.json().pointer(self.pointer).cloned().unwrap_or(Value::Null)
    }

    /// What its value may be, in words.
    ///
    /// ```
    /// use squitterlab::profile::SettingId;
    /// assert!(SettingId::Antenna.setting().values_in_words().contains("diversity"));
    /// ```
    pub fn values_in_words(&self) -> String {
        let given = (self.given)();
        if !given.is_empty() {
            return given;
        }
        let choice = |choice: &Choice| {
            let words = format!("{} ({})", choice.word, choice.words);
            if choice.word == choice.words { choice.word.to_owned() } else { words }
        };
        let choices = self.options.iter().map(choice).collect::<Vec<_>>().join(", ");
        let units = self.units.join(", ");
        match self.kind {
            ValueKind::Choice => format!("one of {choices}"),
            ValueKind::YesNo => "yes or no".to_owned(),
            ValueKind::Measure if choices.is_empty() => format!("a number with its unit: {units}"),
            ValueKind::Measure => format!("a number with its unit ({units}), or {choices}"),
            ValueKind::Number if !choices.is_empty() => format!("one of {choices}"),
            ValueKind::Number => "a whole number".to_owned(),
            ValueKind::List => "a list".to_owned(),
            ValueKind::Text => "text".to_owned(),
        }
    }

    /// Whether a rule can ask for at least some number of it.
    pub(crate) fn can_have_floor(&self) -> bool {
        self.kind == ValueKind::Number && self.units.is_empty()
    }
}

/// A setting is printed as its JSON pointer.
impl fmt::Display for SettingId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.pointer())
    }
}

impl Serialize for SettingId {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.pointer())
    }
}

impl<'de> Deserialize<'de> for SettingId {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let pointer = Cow::<str>::deserialize(deserializer)?;
        Self::at(&pointer).ok_or_else(|| D::Error::custom(format!("{pointer:?} is not a setting")))
    }
}

/// The plain names of some settings in one text; a name may have a comma in it.
pub(crate) fn names(settings: &[SettingId]) -> String {
    settings.iter().map(|setting| setting.name()).collect::<Vec<_>>().join("; ")
}

/// The pointers of some settings in one text.
pub(crate) fn joined(settings: &[SettingId], separator: &str) -> String {
    settings.iter().map(|setting| setting.pointer()).collect::<Vec<_>>().join(separator)
}

impl SettingId {
    /// Whether it is of the aircraft itself, not of what is fitted to it.
    pub(crate) fn is_of_aircraft(self) -> bool {
        self.pointer().starts_with("/aircraft/")
    }

    /// Whether it is of the equipment or of the test, for the record.
    ///
    /// ```
    /// use squitterlab::profile::SettingId;
    /// assert!(!SettingId::Length.is_for_the_record());
    /// assert!(SettingId::ALL.iter().any(|setting| setting.is_for_the_record()));
    /// ```
    pub fn is_for_the_record(self) -> bool {
        self.pointer().starts_with("/equipment/") || self.pointer().starts_with("/verification/")
    }

    /// All about it.
    ///
    /// ```
    /// use squitterlab::profile::SettingId;
    /// assert_eq!(SettingId::Length.setting().pointer, "/aircraft/length");
    /// ```
    pub fn setting(self) -> &'static Setting {
        &SETTINGS[self as usize]
    }

    /// The setting at a JSON pointer.
    ///
    /// ```
    /// use squitterlab::profile::SettingId;
    /// assert_eq!(SettingId::at("/aircraft/length"), Some(SettingId::Length));
    /// assert_eq!(SettingId::at("/aircraft"), None);
    /// ```
    pub fn at(pointer: &str) -> Option<Self> {
        SETTINGS.iter().find(|setting| setting.pointer == pointer).map(|setting| setting.id)
    }

    /// The setting with this id, pointer or plain name; case, spaces and punctuation of a name do not matter.
    ///
    /// ```
    /// use squitterlab::profile::SettingId;
    /// assert_eq!(SettingId::named("length"), Some(SettingId::Length));
    /// assert_eq!(SettingId::named("aircraft length"), Some(SettingId::Length));
    /// assert_eq!(SettingId::named("/aircraft/length"), Some(SettingId::Length));
    /// ```
    pub fn named(text: &str) -> Option<Self> {
        let plain = |text: &str| text.chars().filter(char::is_ascii_alphanumeric).collect::<String>().to_lowercase();
        let given = plain(text);
        Self::at(text).or_else(|| {
            Self::ALL.iter().copied().find(|setting| plain(setting.id()) == given || plain(setting.name()) == given)
        })
    }
}

settings! {
    Registration registration "/aircraft/registration": Mark {
        name: "Registration mark",
        about: "Registration mark, as painted",
        from: Register,
        typical: "an N and up to five more in the United States; nationality mark, hyphen and letters elsewhere",
        never: "never sent; address and identification are",
    }
    Address address "/aircraft/address": Address {
        name: "24-bit aircraft address",
        about: "The 24-bit address that the State of registry assigned",
        from: Register,
        typical: "six hexadecimal digits",
    }
    AddressKind address_kind "/aircraft/address_kind": AddressKind {
        name: "Kind of address",
        about: "Whether the address is the State's lasting one, a temporary one or a privacy one",
        from: Register,
        typical: "permanent",
        never: "never sent; the address is",
        optional: yes,
        new: left_out,
    }
    AddressValidFrom address_valid_from "/aircraft/address_valid_from": Date {
        name: "Address valid from",
        about: "First day of a temporary or privacy address",
        from: Register,
        never: "never sent; it is for the record",
        optional: yes,
        new: left_out,
    }
    AddressValidUntil address_valid_until "/aircraft/address_valid_until": Date {
        name: "Address valid until",
        about: "Last day of a temporary or privacy address",
        from: Register,
        never: "never sent; it is for the record",
        optional: yes,
        new: left_out,
    }
    AircraftIdentification aircraft_identification "/aircraft/aircraft_identification": Identification {
        name: "Aircraft identification",
        about: "Aircraft identification, letter for letter as in the flight plan, else the registration in the State's form",
        from: Register,
        typical: "the registration without hyphen, or the operator's letters and a number",
    }
    IdentificationSource identification_source "/aircraft/identification_source": IdentificationSource {
        name: "Who enters the identification",
        about: "Who enters the aircraft identification",
        from: Operator,
        typical: "fixed in private aircraft, entered by the crew in airliners",
        never: "never sent; it says who may change the identification",
    }
    Kind kind "/aircraft/kind": AircraftKind {
        name: "Kind of aircraft",
        about: "Kind of aircraft; never on the air, but the emitter category follows from it",
        from: TypeData,
        typical: "aeroplane",
        never: "never sent; the emitter category follows from it",
        optional: yes,
    }
    MaximumTakeOffWeight maximum_take_off_weight "/aircraft/maximum_take_off_weight": Weight {
        name: "Maximum take-off weight",
        about: "Certified maximum take-off weight; never on the air, but the emitter category follows from it",
        from: TypeData,
        typical: "the figure of the type certificate, not of today's load",
        never: "never sent; the emitter category follows from it",
        optional: yes,
    }
    EmitterCategory emitter_category "/aircraft/emitter_category": EmitterCategory {
        name: "Emitter category",
        about: "Emitter category, set and number",
        from: TypeData,
        typical: "A1 below 15 500 lb, A7 rotorcraft, B1 glider",
    }
    Length length "/aircraft/length": Length {
        name: "Aircraft length",
        about: "Length over all, propeller and tail included",
        from: Tape,
        typical: "6 to 15 m of a light aeroplane",
    }
    Width width "/aircraft/width": Length {
        name: "Aircraft width (span)",
        about: "Width over all: the span",
        from: Tape,
        typical: "8 to 18 m of a light aeroplane",
    }
    MaximumCruiseTrueAirspeed maximum_cruise_true_airspeed "/aircraft/maximum_cruise_true_airspeed": Speed {
        name: "Maximum cruise true airspeed",
        about: "Maximum cruise true airspeed (not a never-exceed speed)",
        from: TypeData,
        typical: "100 to 200 kt of a light aeroplane",
        mind: |_| "on the air only in replies to an acquisition interrogation, so a quiet capture cannot show it",
    }
    MopsVersion mops_version "/transponder/mops_version": StandardVersion {
        name: "Version of the standard",
        about: "Version of the standard that the unit sends",
        from: DataPlate,
        typical: "2 (DO-260B, ED-102A)",
    }
    ModeSLevel mode_s_level "/transponder/mode_s_level": Whole<1, 5> {
        name: "Mode S level",
        about: "Mode S level of the transponder",
        from: DataPlate,
        typical: "2",
    }
    Antenna antenna "/transponder/antenna": Antenna {
        name: "Transponder antennas",
        about: "One antenna or two",
        from: EquipmentList,
        typical: "one in light aircraft, two above 5700 kg or 250 kt",
    }
    TransmitPower transmit_power "/transponder/transmit_power": TransmitPower {
        name: "Transmit power class",
        about: "Transmit power at the antenna, below 70 W or not",
        from: DataPlate,
        typical: "70 W or more",
        optional: yes,
        new: left_out,
    }
    AcquisitionSquitter acquisition_squitter "/transponder/acquisition_squitter": bool {
        name: "Acquisition squitter",
        about: "Whether all-call replies go out unasked, about once a second",
        from: DataPlate,
        typical: "yes",
        never: "in no bit; it decides whether all-call replies go out unasked",
        optional: yes,
        new: left_out,
    }
    SecondTransponder second_transponder "/transponder/second_transponder": bool {
        name: "Second transponder",
        about: "A second transponder is fitted; it has settings of its own",
        from: EquipmentList,
        typical: "no in light aircraft",
        never: "never sent; each unit is set up and captured by itself",
        optional: yes,
        new: left_out,
    }
    VfrModeACode vfr_mode_a_code "/transponder/vfr_mode_a_code": ModeA {
        name: "Mode A code, visual flight",
        about: "Preset Mode A code for visual flight (conspicuity code)",
        from: Publication,
        typical: "1200 in the United States, 7000 in most of Europe",
    }
    AltitudeSourceKind altitude_source_kind "/transponder/altitude_source/kind": AltitudeSourceKind {
        name: "Altitude source",
        about: "Where the pressure altitude comes from",
        from: Wiring,
        typical: "grey code on wires in older light aircraft, serial or built in otherwise",
    }
    AltitudeResolution altitude_resolution "/transponder/altitude_source/resolution_ft": StepFt {
        name: "Altitude source, step",
        about: "Step of the altitude source",
        from: Wiring,
        typical: "100 ft on grey-code wires, 25 ft otherwise",
    }
    AltitudeCrossChecked altitude_cross_checked "/transponder/altitude_source/cross_checked": bool {
        name: "Altitude source, cross-checked",
        about: "Whether a second source checks the pressure altitude",
        from: Wiring,
        typical: "no for one encoder on grey-code wires",
    }
    AirGroundKind air_ground_kind "/transponder/air_ground/kind": AirGroundKind {
        name: "Air/ground input",
        about: "How the unit knows air from ground",
        from: Wiring,
        typical: "a squat switch, or found by the unit from speed",
    }
    AirGroundActive air_ground_active "/transponder/air_ground/active_means": ActiveMeans {
        name: "Air/ground switch, active state",
        about: "What an active air/ground switch means",
        from: Wiring,
        typical: "depends on the switch: try both states",
        never: "never sent; it shows only as the right state at the right time, so try both states",
    }
    AirborneAbove airborne_above "/transponder/air_ground/airborne_above": Speed {
        name: "Air/ground, airborne above",
        about: "Speed above which the unit takes itself for airborne",
        from: DataPlate,
        never: "never sent; it is for the record",
        optional: yes,
        new: left_out,
    }
    Acas acas "/transponder/acas": Acas {
        name: "Collision avoidance",
        about: "Collision avoidance on board",
        from: EquipmentList,
        typical: "none in light aircraft",
    }
    SystemDesignAssurance system_design_assurance "/transponder/system_design_assurance": Whole<0, 3> {
        name: "System design assurance (SDA)",
        about: "System design assurance (SDA)",
        from: ApprovalData,
        typical: "2",
    }
    SendsTargetState sends_target_state "/transponder/sends/target_state": bool {
        name: "Target state messages",
        about: "Whether target state messages are sent",
        from: DataPlate,
        typical: "no in light aircraft",
    }
    SendsAirReferencedVelocity sends_air_referenced_velocity "/transponder/sends/air_referenced_velocity": bool {
        name: "Air-referenced velocity",
        about: "Whether air-referenced velocity is sent",
        from: DataPlate,
        typical: "no in light aircraft",
    }
    DataLinkRegisters data_link_registers "/transponder/data_link/registers": Registers {
        name: "Registers served",
        about: "Registers that the install serves",
        from: DataPlate,
        typical: "1,0 1,7 2,0",
    }
    DataLinkSiCodes data_link_si_codes "/transponder/data_link/si_codes": bool {
        name: "SI codes understood",
        about: "Whether the unit understands SI codes",
        from: DataPlate,
        typical: "yes",
    }
    Nic nic "/position_source/nic": Whole<0, 11> {
        name: "Position integrity (NIC)",
        about: "Navigation integrity category when all is well",
        from: ApprovalData,
        typical: "7 or 8 with satellite navigation",
    }
    Nacp nacp "/position_source/nacp": Whole<0, 11> {
        name: "Position accuracy (NACp)",
        about: "Accuracy category of position when all is well",
        from: ApprovalData,
        typical: "8 or 9 with satellite navigation",
    }
    Nacv nacv "/position_source/nacv": Whole<0, 4> {
        name: "Velocity accuracy (NACv)",
        about: "Accuracy category of velocity when all is well",
        from: ApprovalData,
        typical: "1 or 2",
    }
    Gva gva "/position_source/gva": Whole<0, 2> {
        name: "Geometric height accuracy (GVA)",
        about: "Geometric vertical accuracy when all is well",
        from: ApprovalData,
        typical: "2",
    }
    GeometricHeight geometric_height "/position_source/geometric_height": HeightReference {
        name: "Geometric height, reference",
        about: "What the geometric height of the position source counts from",
        from: ApprovalData,
        typical: "the ellipsoid",
        never: "never sent; it shows only as the difference between geometric height and pressure altitude",
        optional: yes,
        new: left_out,
    }
    Sil sil "/position_source/sil": Whole<0, 3> {
        name: "Source integrity level (SIL)",
        about: "Source integrity level (SIL)",
        from: ApprovalData,
        typical: "3",
    }
    SilSupplement sil_supplement "/position_source/sil_supplement": SilPer {
        name: "SIL, counted by",
        about: "What the source integrity level counts by",
        from: ApprovalData,
        typical: "per flight hour with satellite navigation",
    }
    AntennaFromNose antenna_from_nose "/position_source/antenna_offset/from_nose": FromNose {
        name: "Antenna, distance from the nose",
        about: "Position antenna, from the nose aft",
        from: Tape,
        typical: "more than 0, less than the length",
    }
    AntennaFromCentreLine antenna_from_centre_line "/position_source/antenna_offset/from_centre_line": FromCentreLine {
        name: "Antenna, distance from the centre line",
        about: "Position antenna, from the centre line",
        from: Tape,
        typical: "0 on the centre line, which is another code than not known",
    }
    SurfaceDirection surface_direction "/position_source/surface_direction/kind": DirectionKind {
        name: "Direction sent on the ground",
        about: "Which direction surface positions carry",
        from: Wiring,
        typical: "ground track",
    }
    SurfaceDirectionReference surface_direction_reference "/position_source/surface_direction/reference": North {
        name: "Direction on the ground, north",
        about: "From which north that direction counts",
        from: Wiring,
        typical: "true north of a ground track",
    }
    UtcSynchronised utc_synchronised "/position_source/utc_synchronised": bool {
        name: "Positions timed to UTC",
        about: "Whether positions are timed to UTC (time mark wired)",
        from: Wiring,
        typical: "no; yes only with the time mark wired",
    }
    Es1090In es_1090_in "/receivers/es_1090_in": bool {
        name: "1090ES receiver",
        about: "A 1090ES receiver is carried and works",
        from: EquipmentList,
        typical: "what the equipment list says",
        mind: |carried| if *carried {
            "if none is carried after all, the ground sends traffic that nobody receives, and nothing shows that"
        } else {
            "if one is carried after all, the ground sends it no traffic, and nothing shows that"
        },
    }
    UatIn uat_in "/receivers/uat_in": bool {
        name: "UAT receiver",
        about: "A UAT receiver is carried and works",
        from: EquipmentList,
        typical: "no outside the United States",
        mind: |carried| if *carried {
            "if none is carried after all, the ground sends traffic that nobody receives, and nothing shows that"
        } else {
            "if one is carried after all, the ground sends it no traffic, and nothing shows that"
        },
    }
    TransponderMake transponder_make "/equipment/transponder/make": Text {
        name: "Transponder, make",
        about: "Transponder, make; for the record",
        from: EquipmentList,
        never: "never sent; it is for the record",
        optional: yes,
        new: left_out,
    }
    TransponderPartNumber transponder_part_number "/equipment/transponder/part_number": Text {
        name: "Transponder, part number",
        about: "Transponder, part number; for the record",
        from: EquipmentList,
        never: "never sent; it is for the record",
        optional: yes,
        new: left_out,
    }
    TransponderSerialNumber transponder_serial_number "/equipment/transponder/serial_number": Text {
        name: "Transponder, serial number",
        about: "Transponder, serial number; for the record",
        from: EquipmentList,
        never: "never sent; it is for the record",
        optional: yes,
        new: left_out,
    }
    TransponderSoftware transponder_software "/equipment/transponder/software": Text {
        name: "Transponder, software",
        about: "Transponder, software; for the record",
        from: EquipmentList,
        never: "never sent; it is for the record",
        optional: yes,
        new: left_out,
    }
    PositionSourceMake position_source_make "/equipment/position_source/make": Text {
        name: "Position source, make",
        about: "Position source, make; for the record",
        from: EquipmentList,
        never: "never sent; it is for the record",
        optional: yes,
        new: left_out,
    }
    PositionSourcePartNumber position_source_part_number "/equipment/position_source/part_number": Text {
        name: "Position source, part number",
        about: "Position source, part number; for the record",
        from: EquipmentList,
        never: "never sent; it is for the record",
        optional: yes,
        new: left_out,
    }
    PositionSourceSerialNumber position_source_serial_number "/equipment/position_source/serial_number": Text {
        name: "Position source, serial number",
        about: "Position source, serial number; for the record",
        from: EquipmentList,
        never: "never sent; it is for the record",
        optional: yes,
        new: left_out,
    }
    PositionSourceSoftware position_source_software "/equipment/position_source/software": Text {
        name: "Position source, software",
        about: "Position source, software; for the record",
        from: EquipmentList,
        never: "never sent; it is for the record",
        optional: yes,
        new: left_out,
    }
    AltitudeEncoderMake altitude_encoder_make "/equipment/altitude_encoder/make": Text {
        name: "Altitude encoder, make",
        about: "Altitude encoder, make; for the record",
        from: EquipmentList,
        never: "never sent; it is for the record",
        optional: yes,
        new: left_out,
    }
    AltitudeEncoderPartNumber altitude_encoder_part_number "/equipment/altitude_encoder/part_number": Text {
        name: "Altitude encoder, part number",
        about: "Altitude encoder, part number; for the record",
        from: EquipmentList,
        never: "never sent; it is for the record",
        optional: yes,
        new: left_out,
    }
    AltitudeEncoderSerialNumber altitude_encoder_serial_number "/equipment/altitude_encoder/serial_number": Text {
        name: "Altitude encoder, serial number",
        about: "Altitude encoder, serial number; for the record",
        from: EquipmentList,
        never: "never sent; it is for the record",
        optional: yes,
        new: left_out,
    }
    AltitudeEncoderSoftware altitude_encoder_software "/equipment/altitude_encoder/software": Text {
        name: "Altitude encoder, software",
        about: "Altitude encoder, software; for the record",
        from: EquipmentList,
        never: "never sent; it is for the record",
        optional: yes,
        new: left_out,
    }
    AntennaMake antenna_make "/equipment/antenna/make": Text {
        name: "Antenna, make",
        about: "Antenna, make; for the record",
        from: EquipmentList,
        never: "never sent; it is for the record",
        optional: yes,
        new: left_out,
    }
    AntennaPartNumber antenna_part_number "/equipment/antenna/part_number": Text {
        name: "Antenna, part number",
        about: "Antenna, part number; for the record",
        from: EquipmentList,
        never: "never sent; it is for the record",
        optional: yes,
        new: left_out,
    }
    AntennaSerialNumber antenna_serial_number "/equipment/antenna/serial_number": Text {
        name: "Antenna, serial number",
        about: "Antenna, serial number; for the record",
        from: EquipmentList,
        never: "never sent; it is for the record",
        optional: yes,
        new: left_out,
    }
    PairingApproval pairing_approval "/equipment/pairing_approval": Text {
        name: "Pairing approval",
        about: "Approval of this transponder with this position source; for the record",
        from: ApprovalData,
        never: "never sent; it is for the record",
        optional: yes,
        new: left_out,
    }
    TestSet test_set "/verification/test_set/make": Text {
        name: "Test set, make",
        about: "Test set with which the install is proved; for the record",
        from: Record,
        never: "never sent; it is for the record",
        optional: yes,
        new: left_out,
    }
    TestSetSerialNumber test_set_serial_number "/verification/test_set/serial_number": Text {
        name: "Test set, serial number",
        about: "Test set, serial number; for the record",
        from: Record,
        never: "never sent; it is for the record",
        optional: yes,
        new: left_out,
    }
    TestSetCalibratedUntil test_set_calibrated_until "/verification/test_set/calibrated_until": Date {
        name: "Test set, calibrated until",
        about: "Last day of the calibration of the test set; for the record",
        from: Record,
        never: "never sent; it is for the record",
        optional: yes,
        new: left_out,
    }
    TestCoupling test_coupling "/verification/coupling": Coupling {
        name: "Test set, coupling",
        about: "How the test set is connected; for the record",
        from: Record,
        never: "never sent; it is for the record",
        optional: yes,
        new: left_out,
    }
    TestPlace test_place "/verification/place": Text {
        name: "Place of the test",
        about: "Where the install is proved; for the record",
        from: Record,
        never: "never sent; it is for the record",
        optional: yes,
        new: left_out,
    }
    TestDay test_day "/verification/day": Date {
        name: "Day of the test",
        about: "On which day the install is proved; for the record",
        from: Record,
        never: "never sent; it is for the record",
        optional: yes,
        new: left_out,
    }
    DoneBy done_by "/verification/done_by": Text {
        name: "Done by",
        about: "Who sets up and proves the install; for the record",
        from: Record,
        never: "never sent; it is for the record",
        optional: yes,
        new: left_out,
    }
    CheckedBy checked_by "/verification/checked_by": Text {
        name: "Checked by",
        about: "Who reads every setting back from its source, not from the screen; for the record",
        from: Record,
        never: "never sent; it is for the record",
        optional: yes,
        new: left_out,
    }
    Notes notes "/notes": Text {
        name: "Notes",
        about: "Anything else; never on the air",
        from: Record,
        never: "never sent",
        optional: yes,
        new: left_out,
    }
}

/// The node at a pointer. A `null` on the way means all that would be below it.
fn find<'n>(root: &'n Node, pointer: &str) -> Option<&'n Node> {
    let mut node = root;
    for key in pointer.split('/').skip(1) {
        if node.kind == NodeKind::Null {
            break;
        }
        node = &node.member(key)?.node;
    }
    Some(node)
}

pub(super) fn put(root: &mut Value, pointer: &str, value: Value) {
    let mut node = root;
    for key in pointer.split('/').skip(1) {
        if !node.is_object() {
            *node = Value::Object(Map::new());
        }
        node = match node {
            Value::Object(map) => map.entry(key).or_insert(Value::Null),
            other => other,
        };
    }
    *node = value;
}

/// The keys that an object at this pointer may have.
pub(super) fn keys_below(pointer: &str) -> Vec<&'static str> {
    let mut keys = Vec::new();
    for setting in SETTINGS {
        if let Some(rest) = setting.pointer.strip_prefix(pointer).and_then(|rest| rest.strip_prefix('/')) {
            let key = rest.split('/').next().unwrap_or_default();
            if !keys.contains(&key) {
                keys.push(key);
            }
        }
    }
    keys
}

/// The setting at a pointer.
///
/// ```
/// use squitterlab::profile::setting;
/// assert!(setting("/aircraft/length").is_some() && setting("/aircraft").is_none());
/// ```
pub fn setting(pointer: &str) -> Option<&'static Setting> {
    SettingId::at(pointer).map(SettingId::setting)
}

/// The JSON Schema of a profile.
///
/// ```
/// use squitterlab::profile::schema;
/// assert!(schema()["properties"]["aircraft"]["properties"]["length"].is_object());
/// ```
pub fn schema() -> Value {
    fn object(pointer: &str) -> Value {
        let properties: Map<String, Value> = keys_below(pointer)
            .into_iter()
            .map(|key| {
                let pointer = format!("{pointer}/{key}");
                let value = match setting(&pointer) {
                    Some(setting) => {
                        let any_of = json!([(setting.schema)(), {"type": "null"}]);
                        json!({"title": setting.name, "description": setting.about, "anyOf": any_of})
                    }
                    None => object(&pointer),
                };
                (key.to_owned(), value)
            })
            .collect();
        json!({"type": ["object", "null"], "properties": properties, "additionalProperties": false})
    }
    let mut schema = json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "squitterlab install profile",
        "description": "What a technician sets in a 1090ES transponder. A setting left out is not stated; null is still to be filled in.",
    });
    if let (Value::Object(schema), Value::Object(mut body)) = (&mut schema, object("")) {
        body.insert("type".to_owned(), json!("object"));
        schema.append(&mut body);
    }
    schema
}
