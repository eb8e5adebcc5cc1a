//! Bits: a frame to look at and to change, and frames out of meanings.

use super::{Refusal, text};
use crate::code::compact_position::Position;
use crate::code::table::{Row, Table};
use crate::code::{RegisterNumber, Version};
use crate::downlink::{Decoded, Parity, encodable, encode_meanings};
use crate::frame::{Address, Frame};
use crate::present::{html, json, reference};
use crate::register;
use crate::track::Tracker;
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// The frame of a request.
pub fn frame(request: &Value, key: &str) -> Result<Frame, Refusal> {
    let digits: String = text(request, key).chars().filter(|c| !c.is_whitespace()).collect();
    if digits.is_empty() {
        return Err("paste a frame: 14 or 28 hexadecimal digits".to_owned());
    }
    digits.parse().map_err(|error: crate::frame::FrameError| error.to_string())
}

/// `LAT, LON` in degrees; nothing for an empty text.
pub fn place(request: &Value, key: &str) -> Result<Option<Position>, Refusal> {
    let given = text(request, key);
    if given.is_empty() {
        return Ok(None);
    }
    let parsed = given.split_once(',').and_then(|(latitude, longitude)| {
        let degrees = |text: &str, most: f64| text.trim().parse::<f64>().ok().filter(|degrees| degrees.abs() <= most);
        Some(Position { latitude_deg: degrees(latitude, 90.0)?, longitude_deg: degrees(longitude, 180.0)? })
    });
    parsed.map(Some).ok_or_else(|| {
        format!(
            "{given:?} is not a position; write latitude and longitude in degrees with a comma, such as 44.5, -103.25"
        )
    })
}

/// The frame with parity that fits: laid over with the overlay that it had before bits were changed, where its format
/// allows one, else plain.
fn with_right_parity(frame: Frame, before: u32) -> Frame {
    let kept = frame.with_overlay(before);
    match Decoded::new(kept).parity() {
        Parity::Invalid => frame.with_overlay(0),
        _ => kept,
    }
}

/// A frame as a ruler, after what is asked to be done to it.
pub fn explain(request: &Value) -> Result<Value, Refusal> {
    let mut frame = frame(request, "frame")?;
    if let Some(bit) = request.get("flip").filter(|bit| !bit.is_null()) {
        let bit = bit.as_u64().and_then(|bit| u8::try_from(bit).ok()).filter(|bit| (1..=frame.length()).contains(bit));
        frame = frame.flipped(bit.ok_or_else(|| format!("a frame of {} bits has no such bit", frame.length()))?);
    }
    if let Some(overlay) = request.get("set_parity").and_then(Value::as_str) {
        frame = with_right_parity(frame, Address::from_hex(overlay).map_or(0, Address::bits));
    }
    let version = text(request, "version").parse().ok();
    let mut tracker = Tracker::new(place(request, "reference")?, version);
    let mut decoded = Decoded::new(frame);
    let register: Option<RegisterNumber> = match text(request, "register") {
        "" => None,
        given => Some(given.parse().map_err(|error: crate::code::CodeError| error.to_string())?),
    };
    if let Some(register) = register {
        decoded = decoded.with_register(register);
    }
    let observation = tracker.observe(&decoded, None);
    Ok(json!({
        "frame": frame.to_string(),
        "overlay": format!("{:06X}", frame.overlay()),
        "carries_register": matches!(frame.downlink_format(), 20 | 21) && frame.length() == 112,
        "html": html::explanation(&decoded, &observation, 0, true, true).into_string(),
        "json": json::frame(&json::Place::default(), &decoded, &observation),
    }))
}

/// The codes of a short row that can be asked for by meaning, with their words.
fn choices(row: &Row, version: Version) -> Vec<Value> {
    if row.span.width() > 5 {
        return Vec::new();
    }
    (0..1u64 << row.span.width())
        .filter_map(|code| {
            let meaning = (row.meaning)(code, version);
            let wanted = meaning.value.to_string();
            let same = (row.from_meaning)(&wanted, version).ok() == Some(code);
            same.then(|| json!({"value": wanted, "words": meaning.words().to_string()}))
        })
        .collect()
}

fn fields(table: &Table) -> Vec<Value> {
    let version = table.version.unwrap_or(Version::Two);
    let row = |name: &str| table.rows.iter().find(|row| row.field == Some(name) || row.key == name);
    let derived = |name: &str| table.derived.iter().find(|derived| derived.field == name);
    table
        .settable()
        .into_iter()
        .map(|name| match (row(name), derived(name)) {
            (Some(row), _) => {
                json!({"name": name, "about": row.about, "rule": row.rule, "choices": choices(row, version)})
            }
            (None, derived) => {
                json!({"name": name, "about": derived.map_or("", |derived| derived.about), "rule": "", "choices": []})
            }
        })
        .collect()
}

/// Every message that can be made, with the fields that it takes.
pub fn messages() -> Value {
    let known = encodable();
    let all: Vec<Value> = reference::tables()
        .into_iter()
        .filter(|table| known.contains(&table.message))
        .map(|table| {
            json!({"message": table.message, "title": table.title, "applies": table.applies, "fields": fields(table)})
        })
        .collect();
    let registers: Vec<Value> = register::TABLES
        .iter()
        .map(|(number, table)| json!({"register": number.to_string(), "title": table.title}))
        .collect();
    json!({"messages": all, "registers": registers})
}

/// A frame out of a message's name and its fields; what is left empty is as in the message's template.
pub fn make(request: &Value) -> Result<Value, Refusal> {
    let fields: BTreeMap<String, String> = request
        .get("fields")
        .and_then(Value::as_object)
        .into_iter()
        .flatten()
        .filter_map(|(name, value)| Some((name.clone(), value.as_str()?.trim().to_owned())))
        .filter(|(_, value)| !value.is_empty())
        .collect();
    let version = text(request, "version").parse().ok().and_then(Version::from_number).unwrap_or(Version::Two);
    let made = encode_meanings(text(request, "message"), &fields, version).map_err(|error| error.to_string())?;
    let notes: Vec<String> = made.rounded.iter().map(ToString::to_string).collect();
    Ok(json!({"frame": made.frame.to_string(), "notes": notes}))
}
