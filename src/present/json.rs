//! JSON: one object a frame, an emission, or a comparison.

use super::observed;
use super::reading::{Field, Reading};
use crate::capture::Accounting;
use crate::downlink::{Decoded, Parity};
use crate::onair::{Decision, Emission};
use crate::profile::Problem;
use crate::register::inference::ALL_ZERO;
use crate::track::Observation;
use serde_json::{Map, Value, json};

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

fn fields(fields: Vec<Field>) -> Map<String, Value> {
    let mut map = Map::new();
    for (name, meaning) in fields {
        map.insert(name.to_owned(), meaning.value.into());
        if let Some(word) = meaning.name {
            map.insert(format!("{name}_meaning"), json!(word));
        }
    }
    map
}

/// One frame: place, envelope, meanings, raw codes, position.
pub fn frame(place: &Place<'_>, decoded: &Decoded, observation: &Observation) -> Value {
    let mut object = Map::new();
    let mut put = |key: &str, value: Value| {
        object.insert(key.to_owned(), value);
    };
    if let Some(file) = place.file {
        put("file", json!(file));
        put("line", json!(place.line));
    }
    if let Some(time) = place.time {
        put("time", json!(time));
    }
    put("frame", json!(decoded.frame.to_string()));
    put("downlink_format", json!(decoded.frame.downlink_format()));
    put("address", json!(decoded.address().map(|address| address.to_string())));
    let parity = decoded.parity();
    put(
        "parity",
        json!(match parity {
            Parity::Valid => "valid",
            Parity::Invalid => "invalid",
            Parity::Interrogator(_) => "interrogator",
            Parity::Overlaid => "overlaid",
        }),
    );
    match parity {
        Parity::Overlaid => {
            put("address_recovered", json!(true));
            put("address_confirmed", json!(observation.address_confirmed));
        }
        Parity::Interrogator(code) => put("interrogator_code", json!({"kind": code.kind(), "code": code.code()})),
        Parity::Valid | Parity::Invalid => {}
    }
    put("message", json!(decoded.message()));
    if let Some(overlay) = observation.possible_data_overlay {
        put("possible_data_overlay", observed::data_overlay(overlay));
    }
    if let Some(register) = decoded.register {
        put("register", json!(register.to_string()));
        if let Some(opinion) = decoded.opinion().filter(|opinion| !opinion.against.is_empty()) {
            put("against", json!(opinion.against));
        }
    }
    if let Some(possible) = decoded.possible_registers() {
        let registers: Vec<Value> = possible
            .iter()
            .map(|o| json!({"register": o.register.to_string(), "for": o.supports, "against": o.against}))
            .collect();
        put("registers", Value::Array(registers));
        if decoded.frame.message_field() == 0 {
            put("registers_note", json!(ALL_ZERO));
        }
    }
    let reading = Reading::new(decoded, observation.version);
    let mut meanings = fields(reading.fields);
    if let Some(register) = decoded.register {
        meanings.entry("register").or_insert(json!(register.to_string()));
    }
    put("fields", Value::Object(meanings));
    if !reading.by_version.is_empty() {
        let by_version: Map<String, Value> = reading
            .by_version
            .into_iter()
            .map(|(version, own)| (version.number().to_string(), Value::Object(fields(own))))
            .collect();
        put("by_version", Value::Object(by_version));
    }
    if let Some(note) = reading.note {
        put("note", json!(note));
    }
    put("codes", Value::Object(codes(decoded)));
    observed::put(&mut object, observation);
    Value::Object(object)
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
