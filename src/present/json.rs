//! JSON: one object per frame, emission or comparison.

use super::by_version::{self, Part};
use super::json_values::{decimal, natural, plain, quoted, value};
use super::on_air;
use super::track_output;
use crate::code::table::{BEYOND, Entry, Row};
use crate::code::{MeaningData, Value as Spoken, Version};
use crate::downlink::{Decoded, PAYLOAD_KEY, Parity};
use crate::frame::{Address, Frame};
use crate::onair::{Decision, Emission};
use crate::profile::Problem;
use crate::register::inference::ALL_ZERO;
use crate::track::{Observation, VersionInForce};
#[cfg(feature = "cli")]
use schemars::JsonSchema;
use serde::Serialize;
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

/// Writes one frame as an object: place, envelope, meanings, raw codes, what the frames before add. Captures are long, so
/// it is written without a detour.
pub fn write_frame(place: &Place<'_>, decoded: &Decoded, observation: &Observation, out: &mut Vec<u8>) {
    out.push(b'{');
    write_envelope(place, decoded, observation, out);
    write_fields(decoded, observation.version, out);
    if let Some(note) = by_version::note(decoded, observation.version) {
        entry("note", &note, out);
    }
    write_codes(decoded, out);
    track_output::write(observation, out);
    close(out);
    out.pop();
}

/// Writes the meanings that hold, and while the version is not known what each version says beside them.
fn write_fields(decoded: &Decoded, version: VersionInForce, out: &mut Vec<u8>) {
    let (envelope, payload) = Part::of(decoded);
    out.extend_from_slice(b"\"fields\":{");
    let first = envelope.say(version, |_, entry, said| write_field(&envelope, entry, said, out));
    let second = payload.map_or(0, |part| part.say(version, |_, entry, said| write_field(&part, entry, said, out)));
    if let Some(register) = decoded.register.filter(|_| !decoded.entries().any(|(name, ..)| name == "register")) {
        entry("register", &register.to_string(), out);
    }
    close(out);
    if version != VersionInForce::Unknown || first | second == 0 {
        return;
    }
    out.extend_from_slice(b"\"by_version\":{");
    for version in Version::ALL {
        let before = out.len();
        out.extend_from_slice(&[b'"', b'0' + version.number(), b'"', b':', b'{']);
        let none = out.len();
        envelope.say_only(first, version, |entry, said| write_field(&envelope, entry, said, out));
        if let Some(part) = payload {
            part.say_only(second, version, |entry, said| write_field(&part, entry, said, out));
        }
        if out.len() == none { out.truncate(before) } else { close(out) }
    }
    if out.ends_with(b"{") {
        out.truncate(out.len() - b"\"by_version\":{".len());
    } else {
        close(out);
    }
}

/// Writes what a field says.
#[inline]
fn write_field(part: &Part, entry: &Entry<'static>, said: &MeaningData, out: &mut Vec<u8>) {
    if part.pair.is_none() {
        entry.quoted().write(out);
    } else {
        plain(part.name(entry.field()), out);
        out.push(b':');
    }
    value(&said.value, out);
    out.push(b',');
    let more = |end: &str, out: &mut Vec<u8>| {
        out.push(b'"');
        out.extend_from_slice(part.name(entry.field()).as_bytes());
        out.extend_from_slice(end.as_bytes());
        out.extend_from_slice(b"\":");
    };
    if said.beyond {
        more(BEYOND, out);
        value(&Spoken::Bool(true), out);
        out.push(b',');
    }
    if let Some(word) = said.name {
        more("_meaning", out);
        plain(word, out);
        out.push(b',');
    }
}

/// Writes the code of every row, the payload's rows in the place of the whole payload.
fn write_codes(decoded: &Decoded, out: &mut Vec<u8>) {
    out.extend_from_slice(b"\"codes\":{");
    let (envelope, payload) = Part::of(decoded);
    let envelope = Part { pattern: decoded.overlaid_pattern(), ..envelope };
    for row in envelope.table.rows {
        match payload {
            Some(part) if row.key == PAYLOAD_KEY => part.table.rows.iter().for_each(|row| write_code(&part, row, out)),
            _ => write_code(&envelope, row, out),
        }
    }
    close(out);
}

#[inline]
fn write_code(part: &Part, row: &Row, out: &mut Vec<u8>) {
    if part.pair.is_none() {
        row.quoted[0].write(out);
    } else {
        plain(part.name(row.key), out);
        out.push(b':');
    }
    natural(part.table.code(row, part.pattern), out);
    out.push(b',');
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

/// Writes what comes before the fields.
fn write_envelope(place: &Place<'_>, decoded: &Decoded, observation: &Observation, out: &mut Vec<u8>) {
    if let Some(file) = place.file {
        out.extend_from_slice(b"\"file\":");
        quoted(file, out);
        out.extend_from_slice(b",\"line\":");
        natural(place.line, out);
        out.push(b',');
    }
    if let Some(time) = place.time {
        out.extend_from_slice(b"\"time\":");
        decimal(time, out);
        out.push(b',');
    }
    let frame = &decoded.frame;
    let parity = decoded.parity();
    out.extend_from_slice(b"\"frame\":\"");
    out.extend_from_slice(frame.encode_hex(&mut [0; Frame::MOST_DIGITS]).as_bytes());
    out.extend_from_slice(b"\",\"downlink_format\":");
    natural(frame.downlink_format().into(), out);
    match decoded.address() {
        Some(address) => {
            out.extend_from_slice(b",\"address\":\"");
            out.extend_from_slice(address.encode_hex(&mut [0; Address::DIGITS]).as_bytes());
            out.extend_from_slice(b"\",");
        }
        None => out.extend_from_slice(b",\"address\":null,"),
    }
    out.extend_from_slice(b"\"parity\":");
    plain(parity.key(), out);
    out.push(b',');
    match parity {
        Parity::Overlaid => {
            out.extend_from_slice(b"\"address_recovered\":true,\"address_confirmed\":");
            value(&Spoken::Bool(observation.address_confirmed), out);
            out.push(b',');
        }
        Parity::Interrogator(code) => {
            out.extend_from_slice(b"\"interrogator_code\":{\"kind\":");
            plain(code.kind(), out);
            out.extend_from_slice(b",\"code\":");
            natural(code.code().into(), out);
            out.extend_from_slice(b"},");
        }
        Parity::Valid | Parity::Invalid => {}
    }
    out.extend_from_slice(b"\"message\":");
    plain(decoded.message(), out);
    out.push(b',');
    if let Some(overlay) = observation.possible_data_overlay {
        entry("possible_data_overlay", &track_output::data_overlay(overlay), out);
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

/// A field that the install decides, or presets.
#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct DecisionEntry {
    /// JSON pointers of the settings behind it.
    settings: Vec<String>,
    /// The field.
    field: &'static str,
    /// First and last frame bit, from 1.
    bits: [u8; 2],
    /// The code.
    code: u64,
    /// What it says, as `decode` has it.
    value: Value,
    /// The same in words.
    meaning: String,
    /// How an observed code is judged.
    rule: &'static str,
    /// There for what the crew may change: the preset.
    #[serde(skip_serializing_if = "Option::is_none")]
    preset: Option<Value>,
}

impl From<&Decision> for DecisionEntry {
    fn from(decision: &Decision) -> Self {
        let meaning = decision.expected();
        Self {
            settings: decision.settings.iter().map(|setting| setting.pointer().to_owned()).collect(),
            field: decision.field,
            bits: [decision.span.first, decision.span.last],
            code: decision.code,
            value: meaning.value.into(),
            meaning: meaning.text.to_string(),
            rule: decision.rule.key(),
            preset: decision.preset().map(|preset| preset.value.into()),
        }
    }
}

/// A frame that an install sends.
#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct EmissionEntry {
    /// The message.
    message: &'static str,
    /// `airborne`, `on_ground` or `both`.
    when: &'static str,
    /// 14 or 28 hexadecimal digits.
    frame: String,
    /// As many digits: a bit is 1 where the install decides it.
    decided: String,
    /// There, and true, if the address is in the parity and so decided too.
    #[serde(skip_serializing_if = "Option::is_none")]
    address_decided: Option<bool>,
    /// There for a reply: what asks for it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[serde(rename = "asked_by")]
    reply_to: Option<&'static str>,
    /// What the install decides.
    settings: Vec<DecisionEntry>,
    /// There if the install presets something that the crew uses or not.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    when_used: Vec<DecisionEntry>,
    /// There if no source settles something for this install.
    #[serde(skip_serializing_if = "Option::is_none")]
    not_settled: Option<&'static str>,
}

/// One frame that an install sends.
pub fn emission(emission: &Emission) -> Value {
    json!(EmissionEntry {
        message: emission_message(emission),
        when: emission.when.key(),
        frame: emission.frame.to_string(),
        decided: emission.decided_digits(),
        address_decided: emission.address_in_parity.then_some(true),
        reply_to: emission.reply_to,
        settings: emission.decisions.iter().map(DecisionEntry::from).collect(),
        when_used: emission.used.iter().map(DecisionEntry::from).collect(),
        not_settled: emission.unsettled,
    })
}

/// The message's name: a register inside a reply goes by the reply's name.
pub fn emission_message(emission: &Emission) -> &'static str {
    if emission.address_in_parity { emission.envelope.message } else { emission.table.message }
}

/// A problem of a profile.
#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct ProblemEntry {
    /// The profile.
    file: String,
    /// The line, from 1; 0 if the setting is not in the file.
    line: usize,
    /// The column, from 1; 0 if the setting is not in the file.
    column: usize,
    /// JSON pointer.
    pointer: String,
    /// `error`, `warning` or `note`.
    severity: &'static str,
    /// What is wrong.
    reason: String,
    /// What to do.
    correction: String,
    /// The rule or check behind it.
    rule: &'static str,
    /// Where the setting is on the air; `null` if it is not.
    on_the_air_at: Option<String>,
}

/// The same as a value.
pub fn problem(file: &str, problem: &Problem) -> Value {
    json!(ProblemEntry {
        file: file.to_owned(),
        line: problem.line,
        column: problem.column,
        pointer: problem.pointer.clone(),
        severity: problem.severity.word(),
        reason: problem.reason.clone(),
        correction: problem.correction.clone(),
        rule: problem.rule,
        on_the_air_at: on_air::briefly(&problem.pointer),
    })
}
