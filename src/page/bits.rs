//! Bits: a frame to look at and to change, and frames out of meanings.

use super::{Refusal, text};
use crate::capture::frame_by_hand;
use crate::code::compact_position::Position;
use crate::code::table::{Row, Table};
use crate::code::{RegisterNumber, Version};
use crate::downlink::{Decoded, Parity, Placed, encodable, encode_meanings};
use crate::frame::{Address, Frame};
use crate::present::{html, json, reference};
use crate::register;
use crate::track::Tracker;
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// The frame of a request: its digits, or a line of a capture that has it.
pub fn frame(request: &Value, key: &str) -> Result<Frame, Refusal> {
    let given = text(request, key);
    if given.trim().is_empty() {
        return Err("paste a frame: 14 or 28 hexadecimal digits".to_owned());
    }
    frame_by_hand(given).map_err(|error| error.to_string())
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

/// The frame with parity that fits: XORed with the overlay that it had before bits were changed, where its format
/// allows one, else plain.
fn with_right_parity(frame: Frame, before: u32) -> Frame {
    let kept = frame.with_overlay(before);
    match Decoded::new(kept).parity() {
        Parity::Invalid => frame.with_overlay(0),
        _ => kept,
    }
}

/// The number of a version; `None` for an empty text.
fn version(request: &Value) -> Result<Option<u8>, Refusal> {
    match request.get("version").unwrap_or(&Value::Null) {
        Value::Null => Ok(None),
        Value::String(text) if text.trim().is_empty() => Ok(None),
        Value::String(text) => match text.trim().parse() {
            Ok(number @ 0..=7) => Ok(Some(number)),
            _ => Err(format!("{text:?} is not a version of the standard; it is a number from 0 to 7")),
        },
        other => Err(format!("{other} is not a version of the standard; it is a text such as \"2\"")),
    }
}

/// The overlay that the parity is set with; `None` if it is to be left as it is.
fn overlay(request: &Value) -> Result<Option<u32>, Refusal> {
    match request.get("set_parity").unwrap_or(&Value::Null) {
        Value::Null => Ok(None),
        Value::String(digits) => match Address::from_hex(digits) {
            Ok(overlay) => Ok(Some(overlay.bits())),
            Err(error) => Err(format!("{digits:?} is not an overlay to set the parity with: {error}")),
        },
        other => Err(format!("{other} is not an overlay; it is a text of six hexadecimal digits")),
    }
}

/// A frame with one field changed to what is wanted, by its place among the rows; its overlay stays.
fn with_field(decoded: &Decoded, set: &Value, version: Version) -> Result<Frame, Refusal> {
    let frame = decoded.frame;
    let placed = placed(decoded, set)?;
    let wanted = text(set, "value");
    let code =
        (placed.row.from_meaning)(wanted, placed.version.unwrap_or(version)).map_err(|error| error.to_string())?;
    if code >> placed.span.width() != 0 {
        return Err(format!("{wanted:?} does not fit into {} bits", placed.span.width()));
    }
    let mask = placed.span.mask(frame.length());
    let pattern = frame.pattern() & !mask | u128::from(code) << (frame.length() - placed.span.last);
    Ok(Frame::from_pattern(pattern, frame.length()).with_overlay(frame.overlay()))
}

fn placed(decoded: &Decoded, request: &Value) -> Result<Placed, Refusal> {
    let at = request.get("at").and_then(Value::as_u64).and_then(|at| usize::try_from(at).ok());
    let rows = decoded.rows();
    at.and_then(|at| rows.get(at).copied())
        .ok_or_else(|| format!("the frame has fields 0 to {}", rows.len().saturating_sub(1)))
}

/// A frame of a request as it is to be read.
fn read(frame: Frame, request: &Value) -> Result<Decoded, Refusal> {
    let decoded = Decoded::new(frame);
    match text(request, "register") {
        "" => Ok(decoded),
        given => {
            let register: RegisterNumber = given.parse().map_err(|error: crate::code::CodeError| error.to_string())?;
            Ok(decoded.with_register(register))
        }
    }
}

/// A frame to look at, after the requested changes; `before` is the frame that the change is compared with.
pub fn explain(request: &Value) -> Result<Value, Refusal> {
    let version = version(request)?;
    let set_parity = overlay(request)?;
    let mut tracker = Tracker::new(place(request, "reference")?, version);
    let mut frame = frame(request, "frame")?;
    if let Some(bit) = request.get("flip").filter(|bit| !bit.is_null()) {
        let bit = bit.as_u64().and_then(|bit| u8::try_from(bit).ok()).filter(|bit| (1..=frame.length()).contains(bit));
        frame = frame.flipped(bit.ok_or_else(|| format!("a frame of {} bits has no such bit", frame.length()))?);
    }
    if let Some(set) = request.get("set").filter(|set| !set.is_null()) {
        let known = version.and_then(Version::from_number).unwrap_or(Version::Two);
        frame = with_field(&read(frame, request)?, set, known)?;
    }
    if let Some(overlay) = set_parity {
        frame = with_right_parity(frame, overlay);
    }
    let decoded = read(frame, request)?;
    let observation = tracker.observe(&decoded, None);
    let changed = match text(request, "before") {
        "" => None,
        _ => html::change(&read(self::frame(request, "before")?, request)?, &decoded, &observation),
    };
    let looked_at = html::looked_at(&decoded, &observation);
    Ok(json!({
        "frame": frame.to_string(),
        "overlay": format!("{:06X}", frame.overlay()),
        "holds": decoded.parity() != Parity::Invalid,
        "carries_register": matches!(frame.downlink_format(), 20 | 21) && frame.length() == 112,
        "title": html::field::capital(decoded.title()),
        "lead": looked_at.lead.into_string(),
        "ruler": looked_at.ruler.into_string(),
        "table": looked_at.table.into_string(),
        "cards": looked_at.cards.into_iter().map(maud::PreEscaped::into_string).collect::<Vec<_>>(),
        "further": looked_at.further.into_string(),
        "changed": changed.map(maud::PreEscaped::into_string),
        "json": json::frame(&json::Place::default(), &decoded, &observation),
    }))
}

/// What a field of a frame can be made to say.
pub fn field(request: &Value) -> Result<Value, Refusal> {
    let known = version(request)?.and_then(Version::from_number).unwrap_or(Version::Two);
    let decoded = read(frame(request, "frame")?, request)?;
    let placed = placed(&decoded, request)?;
    let version = placed.version.unwrap_or(known);
    Ok(json!({
        "choices": choices(placed.row, version),
        "now": (placed.row.meaning)(placed.code, version).value.to_string(),
        "rule": placed.row.rule,
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

/// Invented values with which a message is made before anybody has said anything; what stands together is taken together
/// or not at all. A field that is not here keeps the pattern of its message.
const INVENTED: &[&[(&str, &str)]] = &[
    &[("latitude_deg", "44.5"), ("longitude_deg", "-103.25")],
    &[("ground_speed_kt", "118"), ("track_deg", "270")],
    &[("heading_deg", "268.6"), ("airspeed_kt", "112")],
    &[("aircraft_identification", "N47QX")],
    &[("emitter_category", "A1")],
    &[("pressure_altitude_ft", "4500")],
    &[("vertical_rate_fpm", "-320")],
    &[("geometric_minus_pressure_ft", "150")],
    &[("mode_a_code", "1200")],
    &[("selected_altitude_ft", "4512")],
    &[("barometric_setting_hpa", "1013.6")],
    &[("nacp", "9")],
    &[("nacv", "2")],
    &[("sil", "3")],
    &[("gva", "2")],
    &[("sda", "2")],
    &[("es_1090_in", "true")],
    &[("uat_in", "true")],
    &[("single_antenna", "true")],
    &[("length_width_code", "1")],
    &[("antenna_offset_lateral_m", "-2")],
    &[("antenna_offset_longitudinal_m", "4")],
    &[("mcp_fcu_selected_altitude_ft", "4512")],
    &[("wind_speed_kt", "24"), ("wind_direction_deg", "284")],
    &[("static_air_temperature_c", "-12")],
    &[("roll_deg", "-3.5")],
    &[("true_airspeed_kt", "120")],
    &[("magnetic_heading_deg", "259.4")],
    &[("indicated_airspeed_kt", "112")],
    &[("barometric_altitude_rate_fpm", "-320")],
];

/// The groups that messages are chosen from, each with what it is.
const GROUPS: &[(&str, &str)] = &[
    ("Squitters", "what the unit sends by itself"),
    ("Replies", "what it answers to an interrogation"),
    ("Registers", "what a reply can carry, by its number"),
    ("Rebroadcasts", "what a ground station sends of others"),
];

/// Which group a message is in; `None` for patterns that nobody makes on purpose.
fn group(table: &Table) -> Option<&'static str> {
    let nothing =
        ["reserved", "unassigned", "payload", "military", "extended_squitter", "extended_squitter_other", "comm_d"];
    if nothing.contains(&table.message) || table.title.contains("not held") {
        return None;
    }
    let is_reply = table.applies.starts_with("downlink format") || table.message == "coordination_reply";
    let at = match (table.message.starts_with("register_"), table.applies.starts_with("format 18"), is_reply) {
        (true, ..) => 2,
        (_, true, _) => 3,
        (.., true) => 1,
        _ => 0,
    };
    Some(GROUPS[at].0)
}

/// The order in which squitters are learnt; the others follow.
const FIRST: &[&str] =
    &["aircraft_identification", "airborne_position", "airborne_velocity", "surface_position", "operational_status"];

/// The tables that a message is made from, by group.
fn offered() -> Vec<(&'static str, &'static Table)> {
    let known = encodable();
    let is_known = |table: &&Table| known.contains(&table.message);
    let mut all: Vec<_> =
        reference::tables().into_iter().filter(is_known).filter_map(|table| Some((group(table)?, table))).collect();
    let place = |group: &str| GROUPS.iter().position(|(name, _)| *name == group);
    let rank = |table: &Table| FIRST.iter().position(|name| *name == table.message).unwrap_or(FIRST.len());
    all.sort_by_key(|(group, table)| (place(group), rank(table)));
    all
}

/// Every message that can be made, and the registers.
// Every answer has the same shape.
#[allow(clippy::unnecessary_wraps)]
pub fn messages(_: &Value) -> Result<Value, Refusal> {
    let all: Vec<Value> = offered()
        .into_iter()
        .map(|(group, table)| {
            json!({"group": group, "message": table.message, "title": table.title, "applies": table.applies})
        })
        .collect();
    let groups: Vec<Value> = GROUPS.iter().map(|(name, about)| json!({"name": name, "about": about})).collect();
    let registers: Vec<Value> = register::TABLES
        .iter()
        .map(|(number, table)| json!({"register": number.to_string(), "title": table.title}))
        .collect();
    Ok(json!({"groups": groups, "messages": all, "registers": registers}))
}

/// The version in which a message is made: its own, or the first in which these bits are this message.
fn version_of(table: &Table) -> Version {
    let address = BTreeMap::from([("address".to_owned(), "A5C035".to_owned())]);
    let can_be_made = |version: &Version| encode_meanings(table.title, &address, *version).is_ok();
    let known = [Version::Two, Version::One, Version::Zero, Version::Three].into_iter().find(can_be_made);
    table.version.or(known).unwrap_or(Version::Two)
}

/// The invented values that a message can say together.
fn invented(table: &Table, version: Version) -> BTreeMap<String, String> {
    let mut fields = BTreeMap::from([("address".to_owned(), "A5C035".to_owned())]);
    let settable = table.settable();
    for together in INVENTED.iter().filter(|together| together.iter().all(|(name, _)| settable.contains(name))) {
        let mut with = fields.clone();
        with.extend(together.iter().map(|(name, value)| ((*name).to_owned(), (*value).to_owned())));
        if encode_meanings(table.title, &with, version).is_ok() {
            fields = with;
        }
    }
    fields
}

/// The fields that a message takes, with an invented value where there is one.
pub fn fields(request: &Value) -> Result<Value, Refusal> {
    let title = text(request, "title");
    let Some((_, table)) = offered().into_iter().find(|(_, table)| table.title == title) else {
        return Err(format!("there is no message {title:?} to be made"));
    };
    let version = version_of(table);
    let values = invented(table, version);
    let row = |name: &str| table.rows.iter().find(|row| row.field == Some(name) || row.key == name);
    let derived = |name: &str| table.derived.iter().find(|derived| derived.field == name);
    let mut names = table.settable();
    if !names.contains(&"address") {
        names.insert(0, "address");
    }
    let all: Vec<Value> = names
        .into_iter()
        .map(|name| {
            let (row, derived) = (row(name), derived(name));
            // What several rows say together comes before the rows themselves.
            let is_code = derived.is_none()
                && row.is_some_and(|row| row.field != Some(name) || row.key == "type_code" || row.key == "subtype");
            let about = match (name, derived, row) {
                (_, Some(derived), _) => derived.about,
                (_, _, Some(row)) => row.about,
                _ => "Six hexadecimal digits",
            };
            json!({
                "name": name,
                "plain": html::field::plain(name),
                "about": about,
                "rule": row.filter(|_| derived.is_none()).map_or("", |row| row.rule),
                "choices": row.filter(|_| derived.is_none()).map_or_else(Vec::new, |row| choices(row, version)),
                "is_code": is_code,
                "value": values.get(name),
            })
        })
        .collect();
    Ok(json!({"applies": table.applies, "fields": all, "version": version.number().to_string()}))
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
    let version = version(request)?.and_then(Version::from_number).unwrap_or(Version::Two);
    let made = encode_meanings(text(request, "message"), &fields, version).map_err(|error| error.to_string())?;
    let notes: Vec<String> = made.rounded.iter().map(ToString::to_string).collect();
    Ok(json!({"frame": made.frame.to_string(), "notes": notes}))
}
