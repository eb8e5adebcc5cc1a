//! The settings of an install: one line each, from which the model, its reading, its writing and its schema follow.

use super::choice::{
    Acas, ActiveMeans, AirGroundKind, AircraftKind, AltitudeSourceKind, Antenna, DirectionKind, IdentificationSource,
    North, SilPer,
};
use super::distance::{FromCentreLine, FromNose};
use super::located::{Kind, Node};
use super::quantity::{Length, Mark, Quantity, Registers, Speed, StepFt, Text, Weight, Whole};
use crate::code::{EmitterCategory, Identification, ModeA};
use crate::frame::Address;
use serde_json::{Map, Value, json};

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
    pub fn get(&self) -> Option<&T> {
        match self {
            Self::Is(value) => Some(value),
            _ => None,
        }
    }

    /// The same with another value.
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

/// Settings that are on paper only: nothing is expected of them, and leaving them out is not worth a note.
pub(super) const ON_PAPER: &[&str] = &["/aircraft/kind", "/aircraft/maximum_take_off_weight"];

/// All about a setting.
#[derive(Clone, Copy, Debug)]
pub struct Setting {
    /// Its JSON pointer.
    pub pointer: &'static str,
    /// One line of explanation.
    pub about: &'static str,
    /// Where its value is taken from.
    pub taken_from: Work,
    /// Its JSON Schema.
    pub schema: fn() -> Value,
    /// Its value in words, where it is stated.
    pub words: fn(&Profile) -> Stated<String>,
    /// Whether these words say more than its code on the air, as "one antenna" says more than "yes".
    pub says_more: bool,
    /// The profile with each of its choices, where it is a choice.
    pub choices: fn(&Profile) -> Vec<Profile>,
}

macro_rules! settings {
    ($( $pointer:literal $name:ident : $type:ty, $work:ident, $about:literal; )+) => {
        /// An install: what a technician sets in the transponder, and what the aircraft is.
        #[derive(Clone, Debug, Default, PartialEq)]
        pub struct Profile {
            $( #[doc = concat!($about, " (`", $pointer, "`).")] pub $name: Stated<$type>, )+
        }

        /// Every setting, in the order of a profile.
        pub static SETTINGS: &[Setting] = &[$(
            Setting {
                pointer: $pointer,
                about: $about,
                taken_from: Work::$work,
                schema: <$type as Quantity>::schema,
                words: |profile| profile.$name.map(Quantity::words),
                says_more: <$type as Quantity>::SAYS_MORE,
                choices: |profile| {
                    let choices = <$type as Quantity>::choices().into_iter();
                    choices.map(|value| Profile { $name: Stated::Is(value), ..profile.clone() }).collect()
                },
            }
        ),+];

        impl Profile {
            /// Reads every setting from a tree; `fault` is called for each value that does not fit.
            pub(super) fn from_tree(root: &Node, mut fault: impl FnMut(&'static str, &Node, super::quantity::Fault)) -> Self {
                Self { $(
                    $name: match find(root, $pointer) {
                        None => Stated::NotStated,
                        Some(Node { kind: Kind::Null, .. }) => Stated::ToBeFilledIn,
                        Some(node) => match <$type as Quantity>::read(node) {
                            Ok(value) => Stated::Is(value),
                            Err(why) => {
                                fault($pointer, node, why);
                                Stated::NotStated
                            }
                        },
                    },
                )+ }
            }

            /// A profile in which everything is still to be filled in.
            pub fn to_be_filled_in() -> Self {
                Self { $( $name: Stated::ToBeFilledIn, )+ }
            }

            /// The profile as JSON.
            pub fn json(&self) -> Value {
                let mut root = json!({});
                $(
                    match &self.$name {
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

settings! {
    "/aircraft/registration" registration: Mark, Register, "Registration mark, as painted";
    "/aircraft/address" address: Address, Register, "The 24-bit address that the State of registry assigned";
    "/aircraft/aircraft_identification" aircraft_identification: Identification, Register, "Aircraft identification, letter for letter as in the flight plan, else the registration in the State's form";
    "/aircraft/identification_source" identification_source: IdentificationSource, Operator, "Who enters the aircraft identification";
    "/aircraft/kind" kind: AircraftKind, TypeData, "Kind of aircraft; never on the air, but the emitter category follows from it";
    "/aircraft/maximum_take_off_weight" maximum_take_off_weight: Weight, TypeData, "Certified maximum take-off weight; never on the air, but the emitter category follows from it";
    "/aircraft/emitter_category" emitter_category: EmitterCategory, TypeData, "Emitter category, set and number";
    "/aircraft/length" length: Length, Tape, "Length over all, propeller and tail included";
    "/aircraft/width" width: Length, Tape, "Width over all: the span";
    "/aircraft/maximum_cruise_true_airspeed" maximum_cruise_true_airspeed: Speed, TypeData, "Maximum cruise true airspeed (not a never-exceed speed)";
    "/transponder/mops_version" mops_version: Whole<0, 7>, DataPlate, "Version of the standard that the unit sends";
    "/transponder/mode_s_level" mode_s_level: Whole<1, 5>, DataPlate, "Mode S level of the transponder";
    "/transponder/antenna" antenna: Antenna, EquipmentList, "One antenna or two";
    "/transponder/vfr_mode_a_code" vfr_mode_a_code: ModeA, Publication, "Preset Mode A code for visual flight (conspicuity code)";
    "/transponder/altitude_source/kind" altitude_source_kind: AltitudeSourceKind, Wiring, "Where the pressure altitude comes from";
    "/transponder/altitude_source/resolution_ft" altitude_resolution: StepFt, Wiring, "Step of the altitude source";
    "/transponder/altitude_source/cross_checked" altitude_cross_checked: bool, Wiring, "Whether a second source checks the pressure altitude";
    "/transponder/air_ground/kind" air_ground_kind: AirGroundKind, Wiring, "How the unit knows air from ground";
    "/transponder/air_ground/active_means" air_ground_active: ActiveMeans, Wiring, "What an active air/ground switch means";
    "/transponder/acas" acas: Acas, EquipmentList, "Collision avoidance on board";
    "/transponder/system_design_assurance" system_design_assurance: Whole<0, 3>, ApprovalData, "System design assurance (SDA)";
    "/transponder/sends/target_state" sends_target_state: bool, DataPlate, "Whether target state messages are sent";
    "/transponder/sends/air_referenced_velocity" sends_air_referenced_velocity: bool, DataPlate, "Whether air-referenced velocity is sent";
    "/transponder/data_link/registers" data_link_registers: Registers, DataPlate, "Registers that the install serves";
    "/transponder/data_link/si_codes" data_link_si_codes: bool, DataPlate, "Whether the unit understands SI codes";
    "/position_source/nic" nic: Whole<0, 11>, ApprovalData, "Navigation integrity category when all is well";
    "/position_source/nacp" nacp: Whole<0, 11>, ApprovalData, "Accuracy category of position when all is well";
    "/position_source/nacv" nacv: Whole<0, 4>, ApprovalData, "Accuracy category of velocity when all is well";
    "/position_source/gva" gva: Whole<0, 2>, ApprovalData, "Geometric vertical accuracy when all is well";
    "/position_source/sil" sil: Whole<0, 3>, ApprovalData, "Source integrity level (SIL)";
    "/position_source/sil_supplement" sil_supplement: SilPer, ApprovalData, "What the source integrity level counts by";
    "/position_source/antenna_offset/from_nose" antenna_from_nose: FromNose, Tape, "Position antenna, from the nose aft";
    "/position_source/antenna_offset/from_centre_line" antenna_from_centre_line: FromCentreLine, Tape, "Position antenna, from the centre line";
    "/position_source/surface_direction/kind" surface_direction: DirectionKind, Wiring, "Which direction surface positions carry";
    "/position_source/surface_direction/reference" surface_direction_reference: North, Wiring, "From which north that direction counts";
    "/position_source/utc_synchronised" utc_synchronised: bool, Wiring, "Whether positions are timed to UTC (time mark wired)";
    "/receivers/es_1090_in" es_1090_in: bool, EquipmentList, "A 1090ES receiver is carried and works";
    "/receivers/uat_in" uat_in: bool, EquipmentList, "A UAT receiver is carried and works";
    "/notes" notes: Text, Record, "Anything else; never on the air";
}

/// The node at a pointer. A `null` on the way stands for all that would be below it.
fn find<'n>(root: &'n Node, pointer: &str) -> Option<&'n Node> {
    let mut node = root;
    for key in pointer.split('/').skip(1) {
        if node.kind == Kind::Null {
            break;
        }
        node = &node.member(key)?.node;
    }
    Some(node)
}

fn put(root: &mut Value, pointer: &str, value: Value) {
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
pub fn setting(pointer: &str) -> Option<&'static Setting> {
    SETTINGS.iter().find(|setting| setting.pointer == pointer)
}

/// The JSON Schema of a profile.
pub fn schema() -> Value {
    fn object(pointer: &str) -> Value {
        let properties: Map<String, Value> = keys_below(pointer)
            .into_iter()
            .map(|key| {
                let pointer = format!("{pointer}/{key}");
                let value = match setting(&pointer) {
                    Some(setting) => {
                        json!({"description": setting.about, "anyOf": [(setting.schema)(), {"type": "null"}]})
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
