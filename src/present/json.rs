//! JSON: one object a frame, an emission, or a comparison.

use super::observed;
use super::reading::{Field, Reading};
use crate::capture::Accounting;
use crate::code::{RegisterNumber, Version};
use crate::downlink::{Decoded, Parity};
use crate::onair::{Decision, Emission};
use crate::profile::Problem;
use crate::register::inference::ALL_ZERO;
use crate::track::Observation;
use serde::ser::{Serialize, SerializeMap, Serializer};
use serde_json::{Map, Value, json};
use std::fmt::Display;

/// Where a frame was captured.
#[derive(Clone, Copy, Debug, Default)]
pub struct Place<'a> {
    /// The file; none for a frame given by hand.
    pub file: Option<&'a str>,
    /// The line, from 1.
    pub line: u64,
    /// Seconds.
    pub time: Option<f64>,
}

/// Written as JSON by what it prints.
struct Printed<T>(T);

impl<T: Display> Serialize for Printed<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(&self.0)
    }
}

/// Meanings by name, and the register that the reply carries where none of them says it.
struct Meanings<'a>(&'a [Field], Option<RegisterNumber>);

impl Serialize for Meanings<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut object = serializer.serialize_map(None)?;
        for (name, meaning) in self.0 {
            object.serialize_entry(name, &meaning.value)?;
            if let Some(word) = meaning.name {
                object.serialize_entry(&Printed(format_args!("{name}_meaning")), word)?;
            }
        }
        if let Some(register) = self.1.filter(|_| self.0.iter().all(|(name, _)| *name != "register")) {
            object.serialize_entry("register", &Printed(register))?;
        }
        object.end()
    }
}

struct ByVersion<'a>(&'a [(Version, Vec<Field>)]);

impl Serialize for ByVersion<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_map(self.0.iter().map(|(version, own)| (Printed(version.number()), Meanings(own, None))))
    }
}

struct Codes<'a>(&'a Decoded);

impl Serialize for Codes<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_map(self.0.rows().iter().map(|placed| (placed.key, placed.code)))
    }
}

/// One frame: place, envelope, meanings, raw codes, what the frames before add. It is written without a detour, since
/// captures are long.
#[derive(Clone, Copy, Debug)]
pub struct Shown<'a> {
    /// Where it was captured.
    pub place: &'a Place<'a>,
    /// The frame.
    pub decoded: &'a Decoded,
    /// What the frames before add to it.
    pub observation: &'a Observation,
}

impl Serialize for Shown<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let Self { place, decoded, observation } = self;
        let mut object = serializer.serialize_map(None)?;
        if let Some(file) = place.file {
            object.serialize_entry("file", file)?;
            object.serialize_entry("line", &place.line)?;
        }
        if let Some(time) = place.time {
            object.serialize_entry("time", &time)?;
        }
        object.serialize_entry("frame", &Printed(decoded.frame))?;
        object.serialize_entry("downlink_format", &decoded.frame.downlink_format())?;
        object.serialize_entry("address", &decoded.address().map(Printed))?;
        let parity = decoded.parity();
        object.serialize_entry("parity", parity.key())?;
        match parity {
            Parity::Overlaid => {
                object.serialize_entry("address_recovered", &true)?;
                object.serialize_entry("address_confirmed", &observation.address_confirmed)?;
            }
            Parity::Interrogator(code) => {
                object.serialize_entry("interrogator_code", &json!({"kind": code.kind(), "code": code.code()}))?;
            }
            Parity::Valid | Parity::Invalid => {}
        }
        object.serialize_entry("message", decoded.message())?;
        if let Some(overlay) = observation.possible_data_overlay {
            object.serialize_entry("possible_data_overlay", &observed::data_overlay(overlay))?;
        }
        if let Some(register) = decoded.register {
            object.serialize_entry("register", &Printed(register))?;
            if let Some(opinion) = decoded.opinion().filter(|opinion| !opinion.against.is_empty()) {
                object.serialize_entry("against", &opinion.against)?;
            }
        }
        if let Some(possible) = decoded.possible_registers() {
            let registers: Vec<Value> = possible
                .iter()
                .map(|o| json!({"register": o.register.to_string(), "for": o.supports, "against": o.against}))
                .collect();
            object.serialize_entry("registers", &registers)?;
            if decoded.frame.message_field() == 0 {
                object.serialize_entry("registers_note", ALL_ZERO)?;
            }
        }
        let reading = Reading::new(decoded, observation.version);
        object.serialize_entry("fields", &Meanings(&reading.fields, decoded.register))?;
        if !reading.by_version.is_empty() {
            object.serialize_entry("by_version", &ByVersion(&reading.by_version))?;
        }
        if let Some(note) = reading.note {
            object.serialize_entry("note", &note)?;
        }
        object.serialize_entry("codes", &Codes(decoded))?;
        let mut rest = Map::new();
        observed::put(&mut rest, observation);
        for (key, value) in &rest {
            object.serialize_entry(key, value)?;
        }
        object.end()
    }
}

/// One frame as a value.
pub fn frame(place: &Place<'_>, decoded: &Decoded, observation: &Observation) -> Value {
    serde_json::to_value(Shown { place, decoded, observation }).unwrap_or_default()
}

/// Every row's raw code by key; enough to build the frame again.
///
/// ```
/// use squitterlab::{downlink::{Decoded, encode_codes}, frame::Frame, present::json::codes};
/// let frame: Frame = "8D40621D58C382D690C8AC2863A7".parse().unwrap();
/// assert_eq!(encode_codes(&codes(&Decoded::new(frame))).unwrap(), frame);
/// ```
pub fn codes(decoded: &Decoded) -> Map<String, Value> {
    decoded.rows().into_iter().map(|placed| (placed.key.to_owned(), json!(placed.code))).collect()
}

fn decision(decision: &Decision) -> Value {
    let meaning = decision.expected();
    json!({
        "settings": decision.settings,
        "field": decision.field,
        "bits": [decision.span.first, decision.span.last],
        "code": decision.code,
        "value": Value::from(meaning.value),
        "meaning": meaning.text,
        "rule": decision.rule.key(),
    })
}

/// One frame that an install sends.
pub fn emission(emission: &Emission) -> Value {
    let mut object = json!({
        "message": emission_message(emission),
        "when": emission.when.key(),
        "frame": emission.frame.to_string(),
        "decided": emission.decided_digits(),
    });
    if let Value::Object(object) = &mut object {
        if emission.address_in_parity {
            object.insert("address_decided".to_owned(), json!(true));
        }
        if let Some(asked_by) = emission.asked_by {
            object.insert("asked_by".to_owned(), json!(asked_by));
        }
        let settings: Vec<Value> = emission.decisions.iter().map(decision).collect();
        object.insert("settings".to_owned(), Value::Array(settings));
        if !emission.used.is_empty() {
            let used: Vec<Value> = emission.used.iter().map(decision).collect();
            object.insert("when_used".to_owned(), Value::Array(used));
        }
    }
    object
}

/// The message's name: a register inside a reply goes by the reply's name.
pub fn emission_message(emission: &Emission) -> &'static str {
    if emission.address_in_parity { emission.envelope.message } else { emission.table.message }
}

/// The account of the lines.
pub fn accounting(accounting: &Accounting) -> Map<String, Value> {
    let skipped: Map<String, Value> =
        accounting.skipped.iter().map(|(reason, count)| (reason.key().to_owned(), json!(count))).collect();
    let mut map = Map::new();
    map.insert("lines".to_owned(), json!(accounting.lines()));
    map.insert("frames".to_owned(), json!(accounting.frames));
    map.insert("comments".to_owned(), json!(accounting.comments));
    map.insert("skipped".to_owned(), Value::Object(skipped));
    map
}

/// A problem of a profile.
pub fn problem(file: &str, problem: &Problem) -> Value {
    json!({
        "file": file, "line": problem.line, "column": problem.column, "pointer": problem.pointer,
        "severity": problem.severity.word(), "reason": problem.reason, "correction": problem.correction,
        "rule": problem.rule,
    })
}
