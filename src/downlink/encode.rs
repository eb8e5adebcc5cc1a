//! Builds a frame from its raw codes, or from meanings.

use super::pairs::{Pair, combinations};
use super::{Decoded, ExtendedSquitter, FORMATS, PAYLOAD_KEY, UnassignedShort, WholePayload};
use crate::code::table::{Table, TableError, Wanted};
use crate::code::{Rounded, Version, Worked};
use crate::frame::{Address, Frame, Span};
use crate::message::{Message, OperationalStatusSurface, SurfacePosition};
use crate::register;
use serde_json::{Map, Value};
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// Why codes or meanings make no frame.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum EncodeError {
    /// A code is not a whole number, or is too wide for its row.
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

/// A message in its envelope, as it can be asked for.
struct Candidate {
    envelope: &'static Table,
    /// What recognises the payload, and its table; `None` if the envelope is built alone.
    inside: Option<(&'static Pair, &'static Table)>,
    /// The key of every row.
    keys: Vec<&'static str>,
}

impl Candidate {
    fn new((envelope, pair, payload): (&'static Table, Option<&'static Pair>, Option<&'static Table>)) -> Self {
        let inside = pair.zip(payload);
        let own = envelope.rows.iter().filter(|row| inside.is_none() || row.key != PAYLOAD_KEY).map(|row| row.key);
        let within = inside.into_iter().flat_map(|(pair, table)| table.rows.iter().map(|row| pair.name(row.key)));
        let keys = own.chain(within).collect();
        Self { envelope, inside, keys }
    }

    /// The table that the message is named after.
    fn table(&self) -> &'static Table {
        self.inside.map_or(self.envelope, |(_, payload)| payload)
    }

    fn is_named(&self, name: &str) -> bool {
        [self.table().message, self.table().title].contains(&name)
    }
}

/// Whatever codes can be codes of.
static CANDIDATES: LazyLock<Vec<Candidate>> = LazyLock::new(|| combinations().map(Candidate::new).collect());

/// Whatever meanings can be put into. A payload that only a register number tells apart is built by the name of the register
/// ; the envelopes whose payload anything can be are built by their own name, with the payload kept whole.
static NAMED: LazyLock<Vec<Candidate>> = LazyLock::new(|| {
    let by_register = |table: &Table| register::TABLES.iter().any(|(_, register)| *register == table);
    let inside = combinations().filter(|(_, pair, payload)| match (pair, payload) {
        (Some(pair), Some(payload)) if pair.is_by_register() => by_register(payload),
        (_, payload) => payload.is_some_and(|payload| payload != WholePayload::TABLE),
    });
    let alone = FORMATS.into_iter().filter(|envelope| !envelope.message.starts_with("extended_squitter"));
    inside.chain(alone.map(|envelope| (envelope, None, None))).map(Candidate::new).collect()
});

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

/// Builds a frame out of raw codes alone: one key per row, as the JSON of a decoded frame has them.
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
    let fits = |candidate: &&Candidate| {
        candidate.keys.len() == codes.len() && candidate.keys.iter().all(|key| codes.contains_key(*key))
    };
    let mut contradiction = None;
    for candidate in CANDIDATES.iter().filter(fits) {
        let frame = pack(codes, candidate)?;
        let decoded = Decoded::new(frame);
        if decoded.envelope == candidate.envelope
            && candidate.inside.is_none_or(|(_, table)| can_be_read(&decoded, table))
        {
            return Ok(frame);
        }
        let meant = if decoded.envelope == candidate.envelope { candidate.table() } else { candidate.envelope };
        contradiction.get_or_insert(EncodeError::Contradiction {
            keys: meant.title,
            keys_when: meant.applies,
            values: decoded.title(),
        });
    }
    Err(contradiction.unwrap_or_else(|| keys_fit_nothing(codes)))
}

/// What the keys come nearest to, and what is missing or too much.
fn keys_fit_nothing(codes: &Map<String, Value>) -> EncodeError {
    let off = |candidate: &&Candidate| {
        let matched = candidate.keys.iter().filter(|key| codes.contains_key(**key)).count();
        candidate.keys.len() + codes.len() - 2 * matched
    };
    let Some(nearest) = CANDIDATES.iter().min_by_key(off) else {
        return EncodeError::Missing("codes: none given".to_owned());
    };
    let missing = nearest.keys.iter().filter(|key| !codes.contains_key(**key)).map(|key| format!("+{key}"));
    let extra = codes.keys().filter(|key| !nearest.keys.contains(&key.as_str())).map(|key| format!("-{key}"));
    EncodeError::Keys { nearest: nearest.table().title, difference: missing.chain(extra).collect::<Vec<_>>().join(" ") }
}

fn pack(codes: &Map<String, Value>, candidate: &Candidate) -> Result<Frame, EncodeError> {
    let envelope = candidate.envelope;
    let mut pattern = 0;
    for row in envelope.rows {
        if let (PAYLOAD_KEY, Some((pair, payload))) = (row.key, candidate.inside) {
            let mut inside = 0;
            for row in payload.rows {
                inside = payload.with_code(row, inside, code(codes, pair.name(row.key), row.span.width())?);
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
    if decoded.pair().is_some_and(Pair::is_by_register) {
        let messages =
            Version::ALL.map(Some).into_iter().chain([None]).map(|version| Message::table_in(payload.bits, version));
        return is_register(table) || table == WholePayload::TABLE || messages.into_iter().any(|read| read == table);
    }
    let versions = Version::ALL.map(Some).into_iter().chain([None]);
    let readings = versions.map(|version| decoded.in_version(version)).chain([decoded.in_version_not_held()]);
    readings.into_iter().any(|read| read.payload.is_some_and(|p| p.table == table))
}

fn is_register(table: &Table) -> bool {
    register::TABLES.iter().any(|(_, register)| *register == table)
}

/// A frame made out of meanings, and what it turned out to be.
#[derive(Clone, Debug)]
pub struct Encoded {
    /// The frame, with right parity.
    pub frame: Frame,
    /// The table of the message asked for.
    pub table: &'static Table,
    /// The values that are sent otherwise than asked, since no code is nearer.
    pub rounded: Vec<Rounded>,
    /// What was wanted of the envelope and of its payload, each with its table and the pattern that came of it.
    made: Vec<Made>,
    version: Version,
}

#[derive(Clone, Debug)]
struct Made {
    table: &'static Table,
    fields: BTreeMap<String, String>,
    pattern: u128,
}

impl Encoded {
    /// The arithmetic from what was wanted to the bits, field by field.
    ///
    /// ```
    /// use squitterlab::{Version, downlink::encode_meanings};
    /// let wanted = [("address", "A5C035"), ("mode_a_code", "1200")];
    /// let wanted = wanted.map(|(field, value)| (field.to_owned(), value.to_owned())).into();
    /// let encoded = encode_meanings("surveillance_identity_reply", &wanted, Version::Two).unwrap();
    /// assert_eq!(encoded.steps()[0].steps.last().unwrap().to_string(), "in hexadecimal: bits 0100000001000 = 0808");
    /// ```
    pub fn steps(&self) -> Vec<Worked> {
        let of =
            |made: &Made| made.table.steps_to(&Wanted { fields: &made.fields, version: self.version }, made.pattern);
        self.made.iter().flat_map(of).map(|(title, steps)| Worked { title, steps }).collect()
    }
}

/// Every name that [`encode_meanings`] knows.
///
/// ```
/// assert!(squitterlab::downlink::encodable().contains(&"airborne_velocity"));
/// ```
pub fn encodable() -> Vec<&'static str> {
    let mut names: Vec<_> = NAMED.iter().map(|candidate| candidate.table().message).collect();
    names.sort_unstable();
    names.dedup();
    names
}

/// Builds one frame out of meanings. `address` is always wanted; for a squitter `capability` too can be given, and
/// among messages of one name (velocity over the ground or through the air, status airborne or on the ground) the
/// first that has all the fields and the wanted subtype is taken. A table's title in place of the name takes that table.
///
/// ```
/// use squitterlab::{Version, downlink::encode_meanings};
/// let wanted = [("address", "4840D6"), ("emitter_category", "A0"), ("aircraft_identification", "KLM1023")];
/// let wanted = wanted.map(|(field, value)| (field.to_owned(), value.to_owned())).into();
/// let encoded = encode_meanings("aircraft_identification", &wanted, Version::Two).unwrap();
/// assert_eq!(encoded.frame.to_string(), "8D4840D6202CC371C32CE0576098");
/// ```
///
/// # Errors
/// [`EncodeError`] for an unknown message, an unknown field, and a meaning that no code has.
pub fn encode_meanings(
    name: &str,
    fields: &BTreeMap<String, String>,
    version: Version,
) -> Result<Encoded, EncodeError> {
    let mut first_error = None;
    for candidate in NAMED.iter().filter(|candidate| candidate.is_named(name)) {
        match encode_one(candidate, fields, version) {
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
    candidate: &Candidate,
    fields: &BTreeMap<String, String>,
    version: Version,
) -> Result<Encoded, EncodeError> {
    let envelope = candidate.envelope;
    let payload = candidate.inside.map(|(_, payload)| payload);
    let mut outer = BTreeMap::new();
    let mut inner = BTreeMap::new();
    for (field, meaning) in fields {
        // A field goes by the name that decoding gives it in this envelope.
        let inside = candidate.inside.and_then(|(pair, table)| table.every_name().find(|own| pair.name(own) == field));
        match (inside, candidate.inside) {
            (Some(own), _) => inner.insert(own.to_owned(), meaning.clone()),
            // A reply has its address in the parity, which no table knows.
            (None, Some(_)) if field != "address" && !envelope.has_name(field) => {
                inner.insert(field.clone(), meaning.clone())
            }
            (None, _) => outer.insert(field.clone(), meaning.clone()),
        };
    }
    // A surface message comes from an aircraft that knows the ground.
    let surface =
        payload.is_some_and(|table| table == SurfacePosition::TABLE || table == OperationalStatusSurface::TABLE);
    if surface && envelope == ExtendedSquitter::TABLE {
        outer.entry("capability".to_owned()).or_insert_with(|| "4".to_owned());
    }
    let overlay = overlay(envelope, &mut outer)?;
    let (mut pattern, mut rounded) = envelope.encode_noting(&Wanted { fields: &outer, version })?;
    let mut made = Vec::new();
    if let Some((pair, table)) = candidate.inside {
        let (bits, inside) = table.encode_noting(&Wanted { fields: &inner, version })?;
        rounded.extend(inside);
        made.push(Made { table, fields: inner, pattern: bits });
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
        if let Some(read) = read.filter(|read| *read != table && !pair.is_by_register()) {
            return Err(EncodeError::Contradiction { keys: table.title, keys_when: table.applies, values: read.title });
        }
    }
    let frame = Frame::from_pattern(pattern, envelope.bits).with_overlay(overlay);
    made.insert(0, Made { table: envelope, fields: outer, pattern });
    Ok(Encoded { frame, table: candidate.table(), rounded, made, version })
}

/// What the parity is overlaid with, taken out of the fields of the envelope.
fn overlay(envelope: &Table, fields: &mut BTreeMap<String, String>) -> Result<u32, EncodeError> {
    let missing = |what: &str| EncodeError::Missing(format!("address is missing: {what}give it with address=ABCDEF"));
    let in_clear = envelope.rows.iter().find(|row| row.span == ADDRESS_IN_CLEAR);
    if let Some(row) = in_clear.filter(|row| !fields.contains_key(row.key)) {
        // The row goes by another name where it may hold something else too.
        let given = fields.remove("address").ok_or_else(|| missing(""))?;
        fields.insert(row.key.to_owned(), address(&given)?.to_string());
    }
    let overlay = fields.remove("parity_overlay").map(|given| address(&given)).transpose()?;
    if in_clear.is_some() || envelope.message == UnassignedShort::TABLE.message {
        return Ok(overlay.unwrap_or(0));
    }
    let given = fields.remove("address").map(|given| address(&given)).transpose()?;
    given.or(overlay).ok_or_else(|| missing("this reply carries it in its parity, "))
}

/// Where a frame has its address, if it is in the clear.
const ADDRESS_IN_CLEAR: Span = Span::new(9, 32);

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
