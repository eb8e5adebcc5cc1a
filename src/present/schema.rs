//! The published shapes of JSON: JSON Schemas made from the same declarations that write it. A key that a schema does not
//! require is absent only where its description says so; no other key ever comes.

use super::address::Answer;
use super::altitude::{AnswerEntry, DiagnosisEntry, MissesOfSetEntry, ProofEntry};
use super::draft::DraftEntry;
use super::json::{EmissionEntry, ProblemEntry};
use super::observed::Entries;
use super::run_form::RunEntry;
use super::table::{Columns, Layout};
use crate::code::Kind;
use crate::code::table::{BEYOND, Entry};
use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use schemars::transform::{RecursiveTransform, Transform};
use serde_json::{Map, Value, json};

/// The JSON Schema of what `address` says of one argument.
pub fn address() -> Value {
    schema::<Answer>("A mark or an address, looked up", "address/1")
}

/// The JSON Schema of what `altitude` says: of altitudes and codes, of readings, of a ceiling, of test altitudes, of a run.
pub fn altitude() -> Value {
    schema::<AltitudeAnswer>("Altitudes, codes and wires", "altitude/1")
}

/// The JSON Schema of a frame that an install sends.
pub fn onair() -> Value {
    schema::<EmissionEntry>("A frame that an install sends", "emission/1")
}

/// The JSON Schema of a problem of a profile.
pub fn problem() -> Value {
    schema::<ProblemEntry>("A problem of a profile", "problem/1")
}

/// The JSON Schema of a drafted profile.
pub fn draft() -> Value {
    schema::<DraftEntry>("A profile drafted from captures", "draft/1")
}

/// The JSON Schema of any type, in which no key is allowed that is not named.
pub fn schema<T: JsonSchema>(title: &str, version: &str) -> Value {
    let settings = SchemaSettings::draft2020_12().for_serialize();
    let mut schema = settings.into_generator().into_root_schema_for::<T>();
    schema.insert("title".to_owned(), json!(title));
    schema.insert("$id".to_owned(), json!(format!("squitterlab:{version}")));
    RecursiveTransform(|schema: &mut schemars::Schema| {
        if schema.get("properties").is_some() && schema.get("additionalProperties").is_none() {
            schema.insert("additionalProperties".to_owned(), json!(false));
        }
    })
    .transform(&mut schema);
    schema.to_value()
}

/// One of what `altitude` says.
#[derive(JsonSchema)]
#[serde(untagged)]
#[allow(dead_code, reason = "the shapes stand for what is written")]
enum AltitudeAnswer {
    Answer(AnswerEntry),
    Diagnosis(DiagnosisEntry),
    Proof(ProofEntry),
    Misses(MissesOfSetEntry),
    Run(RunEntry),
}

/// A decoded frame, as `decode` writes it; its fields and codes are those of its message.
#[derive(JsonSchema)]
#[allow(dead_code, reason = "it stands for what is written without a detour")]
struct DecodedEntry {
    /// The capture; absent for a frame given by hand.
    #[serde(skip_serializing_if = "Option::is_none")]
    file: Option<String>,
    /// The line, from 1; absent for a frame given by hand.
    #[serde(skip_serializing_if = "Option::is_none")]
    line: Option<u64>,
    /// Seconds, as given or since 1970; absent if the line has no time.
    #[serde(skip_serializing_if = "Option::is_none")]
    time: Option<f64>,
    /// 14 or 28 hexadecimal digits.
    #[schemars(regex(pattern = r"^([0-9A-F]{14}|[0-9A-F]{28})$"))]
    frame: String,
    /// The downlink format.
    #[schemars(range(min = 0, max = 31))]
    downlink_format: u8,
    /// Six hexadecimal digits; `null` if the format has no address.
    address: Option<String>,
    /// `valid`, `invalid`, `overlaid` or `interrogator`.
    #[schemars(regex(pattern = r"^(valid|invalid|overlaid|interrogator)$"))]
    parity: String,
    /// There, and true, if the parity is overlaid: the address is recovered from it.
    #[serde(skip_serializing_if = "Option::is_none")]
    address_recovered: Option<bool>,
    /// There if the parity is overlaid: whether the address was heard in the clear before.
    #[serde(skip_serializing_if = "Option::is_none")]
    address_confirmed: Option<bool>,
    /// There if the parity is that of a reply to an interrogator.
    #[serde(skip_serializing_if = "Option::is_none")]
    interrogator_code: Option<InterrogatorEntry>,
    /// The message.
    message: String,
    /// There if the address is not known, and would be with a register number XORed onto the parity.
    #[serde(skip_serializing_if = "Option::is_none")]
    possible_data_overlay: Option<DataOverlayEntry>,
    /// There if the register of a Comm-B reply was named.
    #[serde(skip_serializing_if = "Option::is_none")]
    register: Option<String>,
    /// There if something speaks against that register.
    #[serde(skip_serializing_if = "Option::is_none")]
    against: Option<Vec<String>>,
    /// There for a Comm-B reply whose register nobody named: those that it may be, the likeliest first.
    #[serde(skip_serializing_if = "Option::is_none")]
    registers: Option<Vec<RegisterEntry>>,
    /// There if the register holds nothing but zeros.
    #[serde(skip_serializing_if = "Option::is_none")]
    registers_note: Option<String>,
    /// What the fields say. A name is absent if this layout of the message does not have it, or if its meaning depends on the
    /// version and that is not known: then it is under `by_version`.
    fields: Map<String, Value>,
    /// There as long as the version is not known and some fields depend on it: what they say in each version.
    #[serde(skip_serializing_if = "Option::is_none")]
    by_version: Option<Map<String, Value>>,
    /// There if something has to be known of how it was read.
    #[serde(skip_serializing_if = "Option::is_none")]
    note: Option<String>,
    /// The code of every row, which is enough to build the frame again.
    codes: Map<String, Value>,
    /// There if the position is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    position: Option<PositionEntry>,
    #[serde(flatten)]
    observed: Entries,
}

/// Which interrogator a reply answers.
#[derive(JsonSchema)]
#[allow(dead_code, reason = "it stands for what is written without a detour")]
struct InterrogatorEntry {
    /// `II` or `SI`.
    kind: String,
    /// The code.
    code: u8,
}

/// An address that would be known, if a register number was XORed onto the parity.
#[derive(JsonSchema)]
#[allow(dead_code, reason = "it stands for what is written without a detour")]
struct DataOverlayEntry {
    /// The address.
    address: String,
    /// The register.
    register: String,
    /// There if others would fit too: how many.
    #[serde(skip_serializing_if = "Option::is_none")]
    others: Option<u8>,
}

/// A register that a reply may carry.
#[derive(JsonSchema)]
#[allow(dead_code, reason = "it stands for what is written without a detour")]
struct RegisterEntry {
    /// The register.
    register: String,
    /// What speaks for it.
    #[serde(rename = "for")]
    supports: Vec<String>,
    /// What speaks against it.
    against: Vec<String>,
}

/// A position.
#[derive(JsonSchema)]
#[allow(dead_code, reason = "it stands for what is written without a detour")]
struct PositionEntry {
    /// Latitude, north positive.
    #[schemars(range(min = -90.0, max = 90.0))]
    latitude_deg: f64,
    /// Longitude, east positive.
    #[schemars(range(min = -180.0, max = 180.0))]
    longitude_deg: f64,
    /// `global`, `global_untimed` or `local`.
    method: String,
}

/// The JSON Schema of a decoded frame. Fields and codes follow from the tables of the messages.
pub fn decode() -> Value {
    let mut root = schema::<DecodedEntry>("A frame, decoded", "frame/1");
    let messages = Columns::messages();
    let of_message = |message: &&str| {
        let layouts: Vec<Layout> = Layout::everywhere().filter(|layout| layout.message() == *message).collect();
        let fields = fields(&layouts);
        let by_version = json!({"type": "object", "additionalProperties": false,
            "patternProperties": {"^[0-3]$": without_required(&fields)}});
        json!({"if": {"properties": {"message": {"const": message}}},
            "then": {"properties": {"fields": fields, "by_version": by_version, "codes": codes(&layouts)}}})
    };
    let all: Vec<Value> = messages.iter().map(of_message).collect();
    root["properties"]["message"]["enum"] = json!(messages);
    root["allOf"] = json!(all);
    for name in ["fields", "by_version", "codes"] {
        if let Some(property) = root["properties"][name].as_object_mut() {
            property.remove("additionalProperties");
        }
    }
    root
}

fn without_required(schema: &Value) -> Value {
    let mut schema = schema.clone();
    if let Some(schema) = schema.as_object_mut() {
        schema.remove("required");
    }
    schema
}

/// What the fields of a message may be, in any of its layouts; required are those that every layout says in every version.
fn fields(layouts: &[Layout]) -> Value {
    let (mut properties, mut required) = (Map::new(), Vec::new());
    let of = |layout: &Layout| -> Vec<(&'static str, Entry<'static>)> { layout.entries().collect() };
    for (name, entry) in layouts.iter().flat_map(of) {
        let types: &[&str] = match entry.kind() {
            Kind::Flag => &["boolean", "null"],
            Kind::Integer => &["integer", "null"],
            // A number past the end of a scale may be a whole one.
            Kind::Decimal => &["number", "null"],
            Kind::Word | Kind::Text => &["string", "null"],
            Kind::IntegerOrWord => &["integer", "string", "null"],
        };
        let property = properties.entry(name).or_insert_with(|| json!({"type": [], "description": entry.about()}));
        for each in types {
            if let Some(known) = property["type"].as_array_mut().filter(|known| !known.contains(&json!(each))) {
                known.push(json!(each));
            }
        }
        if entry.is_capped() {
            let about = "There, and true, for the last code of the scale, which also stands for everything past the number";
            properties.insert(format!("{name}{BEYOND}"), json!({"const": true, "description": about}));
        }
        if matches!(entry.kind(), Kind::Integer) {
            let about = "There if the number is one of a list: what it stands for";
            properties.insert(format!("{name}_meaning"), json!({"type": "string", "description": about}));
        }
    }
    for name in properties.keys() {
        let always = |layout: &Layout| {
            layout.entries().any(|(own, entry)| own == name && matches!(entry, Entry::Row(..)) && !entry.varies())
        };
        if layouts.iter().all(always) {
            required.push(name.clone());
        }
    }
    if layouts.iter().any(|layout| layout.pair.is_some_and(crate::downlink::Pair::is_by_register)) {
        properties.entry("register").or_insert(json!({"type": "string", "description": "There if it was named"}));
    }
    json!({"type": "object", "properties": properties, "required": required, "additionalProperties": false})
}

/// The codes of a message: whole numbers of so many bits.
fn codes(layouts: &[Layout]) -> Value {
    let mut properties: Map<String, Value> = Map::new();
    for (name, row, _) in layouts.iter().flat_map(Layout::rows) {
        let most = (1u64 << row.span.width()) - 1;
        let property = properties.entry(name).or_insert_with(|| json!({"type": "integer", "minimum": 0, "maximum": most}));
        if property["maximum"].as_u64().is_some_and(|known| known < most) {
            property["maximum"] = json!(most);
        }
    }
    let always = |name: &&String| layouts.iter().all(|layout| layout.rows().any(|(own, ..)| own == name.as_str()));
    let required: Vec<&String> = properties.keys().filter(always).collect();
    json!({"type": "object", "properties": properties, "required": required, "additionalProperties": false})
}
