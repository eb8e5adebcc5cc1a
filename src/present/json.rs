//! JSON: one object per frame, emission or comparison.

use super::observed;
use super::phrases::{Json, Phrases};
use super::reading::{self, Asked};
use crate::code::Version;
use crate::downlink::{Decoded, Parity};
use crate::frame::{Address, Frame};
use crate::onair::{Decision, Emission};
use crate::profile::Problem;
use crate::register::inference::ALL_ZERO;
use crate::track::Observation;
use serde::Serialize;
use serde_json::{Map, Value, json};
use std::cell::RefCell;

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

thread_local! {
    static PHRASES: RefCell<Phrases<Json>> = RefCell::new(Phrases::new(Json));
}

/// Writes one frame as an object: place, envelope, meanings, raw codes, what the frames before add. Captures are long, so
/// it is written without a detour.
pub fn write_frame(place: &Place<'_>, decoded: &Decoded, observation: &Observation, out: &mut Vec<u8>) {
    PHRASES.with_borrow_mut(|phrases| {
        phrases.make_room();
        out.push(b'{');
        write_envelope(place, decoded, observation, out);
        let (asked, others) = reading::asked(observation.version);
        let places = phrases.places(decoded);
        out.extend_from_slice(b"\"fields\":{");
        phrases.fields(decoded, places, asked, out);
        if let Some(register) =
            decoded.register.filter(|_| !asked.all(decoded).iter().any(|(name, _)| *name == "register"))
        {
            entry("register", &register.to_string(), out);
        }
        close(out);
        if others {
            let before = out.len();
            out.extend_from_slice(b"\"by_version\":{");
            let none = out.len();
            for version in Version::ALL {
                let before = out.len();
                out.extend_from_slice(&[b'"', b'0' + version.number(), b'"', b':', b'{']);
                let none = out.len();
                phrases.fields(decoded, places, Asked::Only(version), out);
                if out.len() == none { out.truncate(before) } else { close(out) }
            }
            if out.len() == none { out.truncate(before) } else { close(out) }
        }
        if let Some(note) = reading::note(decoded, observation.version) {
            entry("note", &note, out);
        }
        out.extend_from_slice(b"\"codes\":{");
        phrases.codes(decoded, places, out);
        close(out);
        observed::write(observation, out);
        close(out);
        out.pop();
    });
}

/// Ends an object whose entries each end with a comma, and goes on after it.
fn close(out: &mut Vec<u8>) {
    if out.last() == Some(&b',') {
        out.pop();
    }
    out.extend_from_slice(b"},");
}

/// An entry of an object, and a comma.
fn entry(name: &str, value: &(impl Serialize + ?Sized), out: &mut Vec<u8>) {
    out.push(b'"');
    out.extend_from_slice(name.as_bytes());
    out.extend_from_slice(b"\":");
    // Writing to memory cannot fail.
    drop(serde_json::to_writer(&mut *out, value));
    out.push(b',');
}

/// The same for a word that needs no escaping.
fn word(name: &str, word: &str, out: &mut Vec<u8>) {
    for part in ["\"", name, "\":\"", word, "\","] {
        out.extend_from_slice(part.as_bytes());
    }
}

/// Writes what stands before the fields.
fn write_envelope(place: &Place<'_>, decoded: &Decoded, observation: &Observation, out: &mut Vec<u8>) {
    let number = |name: &str, number: u64, out: &mut Vec<u8>| {
        for part in ["\"", name, "\":", itoa::Buffer::new().format(number), ","] {
            out.extend_from_slice(part.as_bytes());
        }
    };
    if let Some(file) = place.file {
        entry("file", file, out);
        number("line", place.line, out);
    }
    if let Some(time) = place.time {
        entry("time", &time, out);
    }
    let frame = &decoded.frame;
    let parity = decoded.parity();
    word("frame", frame.encode_hex(&mut [0; Frame::MOST_DIGITS]), out);
    number("downlink_format", frame.downlink_format().into(), out);
    match decoded.address() {
        Some(address) => word("address", address.encode_hex(&mut [0; Address::DIGITS]), out),
        None => out.extend_from_slice(b"\"address\":null,"),
    }
    word("parity", parity.key(), out);
    match parity {
        Parity::Overlaid => {
            entry("address_recovered", &true, out);
            entry("address_confirmed", &observation.address_confirmed, out);
        }
        Parity::Interrogator(code) => {
            entry("interrogator_code", &json!({"kind": code.kind(), "code": code.code()}), out);
        }
        Parity::Valid | Parity::Invalid => {}
    }
    word("message", decoded.message(), out);
    if let Some(overlay) = observation.possible_data_overlay {
        entry("possible_data_overlay", &observed::data_overlay(overlay), out);
    }
    if let Some(register) = decoded.register {
        entry("register", &register.to_string(), out);
        if let Some(opinion) = decoded.opinion().filter(|opinion| !opinion.against.is_empty()) {
            entry("against", &opinion.against, out);
        }
    }
    if let Some(possible) = decoded.possible_registers() {
        let registers: Vec<Value> = possible
            .iter()
            .map(|o| json!({"register": o.register.to_string(), "for": o.supports, "against": o.against}))
            .collect();
        entry("registers", &registers, out);
        if frame.message_field() == 0 {
            entry("registers_note", ALL_ZERO, out);
        }
    }
}

/// One frame as a value.
pub fn frame(place: &Place<'_>, decoded: &Decoded, observation: &Observation) -> Value {
    let mut text = Vec::new();
    write_frame(place, decoded, observation, &mut text);
    serde_json::from_slice(&text).unwrap_or_default()
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
    let mut object = json!({
        "settings": decision.settings,
        "field": decision.field,
        "bits": [decision.span.first, decision.span.last],
        "code": decision.code,
        "value": Value::from(meaning.value),
        "meaning": meaning.text,
        "rule": decision.rule.key(),
    });
    if let (Value::Object(object), Some(preset)) = (&mut object, decision.preset()) {
        object.insert("preset".to_owned(), Value::from(preset.value));
    }
    object
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
        if let Some(unsettled) = emission.unsettled {
            object.insert("not_settled".to_owned(), json!(unsettled));
        }
    }
    object
}

/// The message's name: a register inside a reply goes by the reply's name.
pub fn emission_message(emission: &Emission) -> &'static str {
    if emission.address_in_parity { emission.envelope.message } else { emission.table.message }
}

/// A problem of a profile.
pub fn problem(file: &str, problem: &Problem) -> Value {
    json!({
        "file": file, "line": problem.line, "column": problem.column, "pointer": problem.pointer,
        "severity": problem.severity.word(), "reason": problem.reason, "correction": problem.correction,
        "rule": problem.rule,
    })
}
