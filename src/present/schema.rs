//! The published shapes of JSON: JSON Schemas made from the same declarations that write it. A key that a schema does not
//! require is absent only where its description says so; no other key ever comes.

use super::address::Answer;
use super::altitude::{AnswerEntry, DiagnosisEntry, MissesOfSetEntry, ProofEntry};
use super::draft::DraftEntry;
use super::json::{EmissionEntry, ProblemEntry};
use super::run_form::RunEntry;
use super::table::{Columns, Layout};
use super::track_output::Entries;
use crate::code::MeaningKind;
use crate::code::table::{BEYOND, Entry};
use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use schemars::transform::{RecursiveTransform, Transform};
use serde_json::{Map, Value, json};
use std::collections::BTreeMap;

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

/// The JSON Schema of a decoded frame. Fields and codes follow from the tables of the messages; a name is described once.
pub fn decode() -> Value {
    let mut root = schema::<DecodedEntry>("A frame, decoded", "frame/1");
    let messages = Columns::messages();
    let mut shared = BTreeMap::new();
    let mut of_messages = Vec::new();
    for message in &messages {
        let layouts: Vec<Layout> = Layout::everywhere().filter(|layout| layout.message() == *message).collect();
        let fields = format!("fields_of_{message}");
        let required = fields_into(&layouts, &fields, &mut shared);
        let one = json!({"$ref": format!("#/$defs/{fields}")});
        let codes = codes(&layouts, &mut shared);
        of_messages.push(json!({"if": {"properties": {"message": {"const": message}}}, "then": {"properties": {
            "fields": {"$ref": one["$ref"], "required": required}, "by_version": {"additionalProperties": one}, "codes": codes}}}));
    }
    root["properties"]["message"]["enum"] = json!(messages);
    root["allOf"] = json!(of_messages);
    for name in ["fields", "by_version", "codes"] {
        if let Some(property) = root["properties"][name].as_object_mut() {
            property.remove("additionalProperties");
        }
    }
    root["properties"]["by_version"]["propertyNames"] = json!({"enum": ["0", "1", "2", "3"]});
    if let Some(defs) = root["$defs"].as_object_mut() {
        defs.extend(shared);
    }
    root
}

/// What the fields of a message may be, in any of its layouts, as a shared description of this name. Gives the names that
/// every layout has in every version.
fn fields_into(layouts: &[Layout], name: &str, shared: &mut BTreeMap<String, Value>) -> Vec<&'static str> {
    let mut properties = Map::new();
    let mut names: Vec<&'static str> = Vec::new();
    for (name, entry) in layouts.iter().flat_map(|layout| layout.entries().collect::<Vec<_>>()) {
        let types: &[&str] = match entry.kind() {
            MeaningKind::Flag => &["boolean", "null"],
            MeaningKind::Integer => &["integer", "null"],
            MeaningKind::Decimal => &["number", "null"],
            MeaningKind::Word | MeaningKind::Text => &["string", "null"],
            MeaningKind::IntegerOrWord => &["integer", "string", "null"],
        };
        let described =
            shared.entry(format!("field_{name}")).or_insert_with(|| json!({"description": entry.about(), "type": []}));
        if let Some(known) = described["type"].as_array_mut() {
            let new = types.iter().map(|each| json!(each)).filter(|each| !known.contains(each)).collect::<Vec<_>>();
            known.extend(new);
        }
        properties.insert(name.to_owned(), json!({"$ref": format!("#/$defs/field_{name}")}));
        if entry.is_capped() {
            properties.insert(format!("{name}{BEYOND}"), json!({"$ref": "#/$defs/beyond"}));
        }
        if matches!(entry.kind(), MeaningKind::Integer) {
            properties.insert(format!("{name}_meaning"), json!({"$ref": "#/$defs/meaning"}));
        }
        if !names.contains(&name) {
            names.push(name);
        }
    }
    let beyond = "There, and true, for the last code of the scale, which also stands for everything past the number";
    let meaning = "There if the number is one of a list: what it stands for";
    shared.insert("beyond".to_owned(), json!({"const": true, "description": beyond}));
    shared.insert("meaning".to_owned(), json!({"type": "string", "description": meaning}));
    if layouts.iter().any(|layout| layout.pair.is_some_and(crate::downlink::Pair::is_by_register)) {
        properties.insert("register".to_owned(), json!({"type": "string", "description": "There if it was named"}));
    }
    shared.insert(name.to_owned(), json!({"type": "object", "properties": properties, "additionalProperties": false}));
    let always = |name: &&'static str| {
        let is_in = |(own, entry): (&'static str, Entry<'static>)| {
            own == *name && matches!(entry, Entry::Row(..)) && !entry.varies()
        };
        layouts.iter().all(|layout| layout.entries().any(is_in))
    };
    names.into_iter().filter(always).collect()
}

/// The codes of a message: whole numbers, each as wide as its field.
fn codes(layouts: &[Layout], shared: &mut BTreeMap<String, Value>) -> Value {
    let mut widths: BTreeMap<&'static str, u8> = BTreeMap::new();
    let mut names: Vec<&'static str> = Vec::new();
    for (name, row, _) in layouts.iter().flat_map(Layout::rows) {
        let width = widths.entry(name).or_insert_with(|| {
            names.push(name);
            0
        });
        *width = row.span.width().max(*width);
    }
    let mut properties = Map::new();
    for name in &names {
        let width = widths[name];
        let bits = format!("bits_{width}");
        properties.insert((*name).to_owned(), json!({"$ref": format!("#/$defs/{bits}")}));
        shared.insert(bits, json!({"type": "integer", "minimum": 0, "maximum": (1u64 << width) - 1}));
    }
    let always = |name: &&'static str| layouts.iter().all(|layout| layout.rows().any(|(own, ..)| own == *name));
    let required: Vec<&'static str> = names.into_iter().filter(always).collect();
    json!({"properties": properties, "required": required, "additionalProperties": false})
}

/// A schema as text: a line for each of its definitions and cases, which may be hundreds.
pub fn printed(schema: &Value) -> String {
    let lines = |open: char, close: char, all: Vec<String>| format!("{open}\n  {}\n{close}", all.join(",\n  "));
    let of = |key: &str, value: &Value| match value {
        Value::Object(all) if key == "$defs" || key == "properties" => {
            lines('{', '}', all.iter().map(|(key, value)| format!("{}: {value}", json!(key))).collect())
        }
        Value::Array(all) if key == "allOf" => lines('[', ']', all.iter().map(Value::to_string).collect()),
        value => value.to_string(),
    };
    let keys = schema.as_object().into_iter().flatten();
    lines('{', '}', keys.map(|(key, value)| format!("{}: {}", json!(key), of(key, value))).collect()) + "\n"
}
