//! The way back: a frame out of its raw codes, or out of meanings.

use super::{
    CommBAltitude, CommBIdentity, CoordinationReply, Decoded, ExtendedSquitter, ExtendedSquitterOther, FORMATS,
    LongAirAir, PAYLOAD_KEY, WholePayload, payload_name,
};
use crate::code::Version;
use crate::code::table::{Table, TableError, Wanted};
use crate::frame::{Address, Frame};
use crate::message::{Message, OperationalStatusSurface, SurfacePosition, ground_station};
use crate::register;
use serde_json::{Map, Value};
use std::collections::BTreeMap;

/// Why codes or meanings make no frame.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum EncodeError {
    /// A code is no whole number, or is too wide for its row.
    #[error("codes: {key} is {found}; {bits} bits hold 0 to {most}")]
    Code {
        /// The row.
        key: String,
        /// What was given.
        found: String,
        /// The width of the row.
        bits: u8,
        /// The most that it holds.
        most: u64,
    },
    /// The keys are not those of any format and message.
    #[error("codes: the keys fit no message; {nearest} would need: {difference}")]
    Keys {
        /// The message that misses least.
        nearest: &'static str,
        /// What is missing (+) and what is too much (-).
        difference: String,
    },
    /// The codes were for one message, and their values make another.
    #[error("codes: the keys are those of {keys} ({keys_when}), but the values make {values}")]
    Contradiction {
        /// The message whose keys were given.
        keys: &'static str,
        /// When a frame is that message.
        keys_when: &'static str,
        /// The message that the values make.
        values: &'static str,
    },
    /// No message has this name.
    #[error("no message {name:?}; there are: {known}")]
    UnknownMessage {
        /// The name given.
        name: String,
        /// The names there are.
        known: String,
    },
    /// A setting of a message.
    #[error(transparent)]
    Table(#[from] TableError),
    /// Something needed is missing.
    #[error("{0}")]
    Missing(String),
}

/// Every payload table that a format can hold.
fn payloads(envelope: &Table) -> Vec<&'static Table> {
    if !envelope.rows.iter().any(|row| row.key == PAYLOAD_KEY) {
        return Vec::new();
    }
    let squitters = Message::TABLES.iter().copied();
    let whole = [WholePayload::TABLE];
    match envelope.message {
        "extended_squitter" => squitters.collect(),
        "extended_squitter_other" => squitters.chain(ground_station::TABLES).collect(),
        "long_air_air_surveillance" => [CoordinationReply::TABLE].into_iter().chain(whole).collect(),
        "military" => squitters.chain(whole).collect(),
        "comm_b_altitude_reply" | "comm_b_identity_reply" => {
            register::TABLES.iter().map(|(_, table)| *table).chain(squitters).chain(whole).collect()
        }
        _ => whole.to_vec(),
    }
}

fn code(codes: &Map<String, Value>, key: &str, bits: u8) -> Result<u64, EncodeError> {
    let found = codes.get(key).unwrap_or(&Value::Null);
    let most = (1u64 << bits) - 1;
    found.as_u64().filter(|code| *code <= most).ok_or_else(|| EncodeError::Code {
        key: key.to_owned(),
        found: found.to_string(),
        bits,
        most,
    })
}

fn keys<'a>(envelope: &'a Table, payload: Option<&'a Table>) -> impl Iterator<Item = &'static str> + 'a {
    let own = envelope.rows.iter().filter(move |row| payload.is_none() || row.key != PAYLOAD_KEY).map(|row| row.key);
    let inside = payload.into_iter().flat_map(|payload| payload.rows);
    own.chain(inside.map(move |row| payload_name(envelope, row.key)))
}

/// Builds a frame out of raw codes alone: one key a row, as the JSON of a decoded frame has them.
///
/// # Errors
/// [`EncodeError`] for keys that fit no message, for codes that do not fit their rows, and for values that make another
/// message than the keys do.
///
/// ```
/// use squitterlab::downlink::encode_codes;
/// let codes = serde_json::json!({"downlink_format": 17, "capability": 5, "address": 0x4840D6, "type_code": 4,
///     "category": 0, "characters": 0x2CC371C32CE0u64, "parity_overlay": 0});
/// let frame = encode_codes(codes.as_object().unwrap()).unwrap();
/// assert_eq!(frame.to_string(), "8D4840D6202CC371C32CE0576098");
/// ```
pub fn encode_codes(codes: &Map<String, Value>) -> Result<Frame, EncodeError> {
    let mut nearest: Option<(usize, &Table, Option<&Table>)> = None;
    let mut contradiction = None;
    for envelope in FORMATS {
        let inside = payloads(envelope);
        let choices: Vec<Option<&Table>> =
            if inside.is_empty() { vec![None] } else { inside.into_iter().map(Some).collect() };
        for payload in choices {
            let all: Vec<_> = keys(envelope, payload).collect();
            let matched = all.iter().filter(|key| codes.contains_key(**key)).count();
            let off = all.len() + codes.len() - 2 * matched;
            if nearest.is_none_or(|(least, ..)| off < least) {
                nearest = Some((off, envelope, payload));
            }
            if off > 0 {
                continue;
            }
            let frame = pack(codes, envelope, payload)?;
            let decoded = Decoded::new(frame);
            if decoded.envelope == envelope && payload.is_none_or(|table| can_be_read(&decoded, table)) {
                return Ok(frame);
            }
            let meant = payload.filter(|_| decoded.envelope == envelope).unwrap_or(envelope);
            contradiction.get_or_insert(EncodeError::Contradiction {
                keys: meant.title,
                keys_when: meant.applies,
                values: decoded.title(),
            });
        }
    }
    if let Some(contradiction) = contradiction {
        return Err(contradiction);
    }
    let Some((_, envelope, payload)) = nearest else {
        return Err(EncodeError::Missing("codes: none given".to_owned()));
    };
    let all: Vec<_> = keys(envelope, payload).collect();
    let missing = all.iter().filter(|key| !codes.contains_key(**key)).map(|key| format!("+{key}"));
    let extra = codes.keys().filter(|key| !all.contains(&key.as_str())).map(|key| format!("-{key}"));
    Err(EncodeError::Keys {
        nearest: payload.unwrap_or(envelope).title,
        difference: missing.chain(extra).collect::<Vec<_>>().join(" "),
    })
}

fn pack(codes: &Map<String, Value>, envelope: &Table, payload: Option<&Table>) -> Result<Frame, EncodeError> {
    let mut pattern = 0;
    for row in envelope.rows {
        if let (PAYLOAD_KEY, Some(payload)) = (row.key, payload) {
            let mut inside = 0;
            for row in payload.rows {
                let key = payload_name(envelope, row.key);
                inside = payload.with_code(row, inside, code(codes, key, row.span.width())?);
            }
            pattern = envelope.with_code(row, pattern, inside as u64);
        } else if row.key != "parity_overlay" {
            pattern = envelope.with_code(row, pattern, code(codes, row.key, row.span.width())?);
        }
    }
    let overlay = code(codes, "parity_overlay", 24)?;
    Ok(Frame::from_pattern(pattern, envelope.bits).with_overlay(overlay as u32))
}

/// Whether the payload is this message in some reading. Two things are not in the frame, and the keys tell them: the
/// version in force for the sender, and which register a reply carries.
fn can_be_read(decoded: &Decoded, table: &Table) -> bool {
    let Some(payload) = decoded.payload else { return false };
    if is_comm_b(decoded.envelope) && (is_register(table) || Message::decode(payload.bits).table() == table) {
        return true;
    }
    let versions = Version::ALL.map(Some).into_iter().chain([None]);
    let readings = versions.map(|version| decoded.in_version(version)).chain([decoded.in_version_not_held()]);
    readings.into_iter().any(|read| read.payload.is_some_and(|p| p.table == table))
}

fn is_comm_b(envelope: &Table) -> bool {
    [CommBAltitude::TABLE, CommBIdentity::TABLE].contains(&envelope)
}

fn is_register(table: &Table) -> bool {
    register::TABLES.iter().any(|(_, register)| *register == table)
}

/// A frame made out of meanings, and what it turned out to be.
#[derive(Clone, Copy, Debug)]
pub struct Encoded {
    /// The frame, with right parity.
    pub frame: Frame,
    /// The table of the message asked for.
    pub table: &'static Table,
}

/// Tables under this name, or the one under this title; for a squitter the most fitting is tried first, and a register goes into the reply that has
/// the other fields.
fn named(name: &str) -> Vec<(&'static Table, Option<&'static Table>)> {
    let squitters = Message::TABLES.iter().map(|table| (ExtendedSquitter::TABLE, Some(*table)));
    let not_by_transponders = payloads(ExtendedSquitterOther::TABLE);
    let not_by_transponders = not_by_transponders.into_iter().map(|table| (ExtendedSquitterOther::TABLE, Some(table)));
    let others = FORMATS.into_iter().filter(|envelope| !envelope.message.starts_with("extended_squitter"));
    let replies = [CommBAltitude::TABLE, CommBIdentity::TABLE];
    let registers = register::TABLES.iter().flat_map(|(_, table)| replies.map(|envelope| (envelope, Some(*table))));
    squitters
        .chain(not_by_transponders)
        .chain(others.map(|envelope| (envelope, None)))
        .chain([(LongAirAir::TABLE, Some(CoordinationReply::TABLE))])
        .chain(registers)
        .filter(|(envelope, payload)| {
            [payload.unwrap_or(envelope).message, payload.unwrap_or(envelope).title].contains(&name)
        })
        .collect()
}

/// Every name that [`encode_meanings`] knows.
pub fn encodable() -> Vec<&'static str> {
    let squitters = payloads(ExtendedSquitterOther::TABLE).into_iter().map(|table| table.message);
    let others = FORMATS.iter().map(|table| table.message).filter(|name| !name.starts_with("extended_squitter"));
    let registers = register::TABLES.iter().map(|(_, table)| table.message);
    let mut names: Vec<_> =
        squitters.chain(others).chain(registers).chain([CoordinationReply::TABLE.message]).collect();
    names.sort_unstable();
    names.dedup();
    names
}

/// Builds one frame out of meanings. `address` is always wanted; for a squitter `capability` too can be given, and
/// among messages of one name (velocity over the ground or through the air, status airborne or on the ground) the
/// first that has all the fields and the wanted subtype is taken. A table's title in place of the name takes that table.
///
/// # Errors
/// [`EncodeError`] for an unknown message, an unknown field, and a meaning that no code has.
pub fn encode_meanings(
    name: &str,
    fields: &BTreeMap<String, String>,
    version: Version,
) -> Result<Encoded, EncodeError> {
    let choices = named(name);
    let mut first_error = None;
    for (envelope, payload) in choices {
        match encode_one(envelope, payload, fields, version) {
            Ok(encoded) => return Ok(encoded),
            // The error of the table that was meant: one that knows all the names says more than one that does not.
            Err(error) => {
                let unknown =
                    |error: &EncodeError| matches!(error, EncodeError::Table(TableError::UnknownField { .. }));
                if first_error.as_ref().is_none_or(|first| unknown(first) && !unknown(&error)) {
                    first_error = Some(error);
                }
            }
        }
    }
    Err(first_error
        .unwrap_or_else(|| EncodeError::UnknownMessage { name: name.to_owned(), known: encodable().join(", ") }))
}

fn encode_one(
    envelope: &'static Table,
    payload: Option<&'static Table>,
    fields: &BTreeMap<String, String>,
    version: Version,
) -> Result<Encoded, EncodeError> {
    let mut outer = BTreeMap::new();
    let mut inner = BTreeMap::new();
    for (field, meaning) in fields {
        let belongs = |table: &Table| {
            table.rows.iter().any(|row| row.field == Some(field) || row.key == field)
                || table.derived.iter().any(|derived| derived.field == field)
        };
        let side = match payload {
            // A reply has its address in the parity, which no table knows.
            Some(_) if field == "address" => &mut outer,
            Some(payload) if belongs(payload) || !belongs(envelope) => &mut inner,
            _ => &mut outer,
        };
        side.insert(field.clone(), meaning.clone());
    }
    // A surface message comes from an aircraft that knows the ground.
    let surface =
        payload.is_some_and(|table| table == SurfacePosition::TABLE || table == OperationalStatusSurface::TABLE);
    if surface && envelope == ExtendedSquitter::TABLE {
        outer.entry("capability".to_owned()).or_insert_with(|| "4".to_owned());
    }
    let clear = envelope.rows.iter().any(|row| row.key == "address");
    let overlay = if clear || envelope.message == "unassigned" {
        if clear && !outer.contains_key("address") {
            return Err(EncodeError::Missing("address is missing: give it with address=ABCDEF".to_owned()));
        }
        outer.remove("parity_overlay").map(|given| address(&given)).transpose()?.unwrap_or(0)
    } else {
        let given = outer.remove("address").or_else(|| outer.remove("parity_overlay")).ok_or_else(|| {
            EncodeError::Missing(
                "address is missing: this reply carries it in its parity, give it with address=ABCDEF".to_owned(),
            )
        })?;
        address(&given)?
    };
    let mut pattern = envelope.encode(&Wanted { fields: &outer, version })?;
    if let Some(table) = payload {
        let bits = table.encode(&Wanted { fields: &inner, version })?;
        if let Some(row) = envelope.rows.iter().find(|row| row.key == PAYLOAD_KEY) {
            pattern = envelope.with_code(row, pattern, bits as u64);
        }
        // Who sends is part of which message it is: the first control field that makes this one.
        if let Some(row) = envelope.rows.iter().find(|row| row.key == "control_field")
            && !outer.contains_key("control_field")
        {
            let choices = (0..8).map(|control| envelope.with_code(row, pattern, control));
            let fits = |pattern: &u128| payload_of(envelope, *pattern, table, version) == Some(table);
            pattern = choices.into_iter().find(fits).unwrap_or(pattern);
        }
        let read = payload_of(envelope, pattern, table, version);
        if let Some(read) = read.filter(|read| *read != table && !is_register(table)) {
            return Err(EncodeError::Contradiction { keys: table.title, keys_when: table.applies, values: read.title });
        }
    }
    let frame = Frame::from_pattern(pattern, envelope.bits).with_overlay(overlay);
    Ok(Encoded { frame, table: payload.unwrap_or(envelope) })
}

/// How the payload of a frame is read in the version that the wanted table belongs to, or else in this one.
fn payload_of(envelope: &Table, pattern: u128, wanted: &Table, version: Version) -> Option<&'static Table> {
    let decoded = Decoded::new(Frame::from_pattern(pattern, envelope.bits));
    decoded.in_version(wanted.version.or(Some(version))).payload.map(|payload| payload.table)
}

fn address(given: &str) -> Result<u32, EncodeError> {
    Address::from_hex(given)
        .map(Address::bits)
        .map_err(|error| EncodeError::Missing(format!("address {given:?}: {error}")))
}
