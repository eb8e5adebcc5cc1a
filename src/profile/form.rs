//! Checks JSON against its published schema, and says in people's words what does not fit: where, why, and what to write.
//! What the schemas of this program use is understood: types, keys, choices, ranges, lists.

use super::json_spans::{JsonError, Lines, Node, NodeKind, message, quoted};
use super::suggestion_among;
use serde::de::DeserializeOwned;
use serde_json::{Map, Value, json};
use std::fmt;

/// What is wrong with a text that has a schema: where, why, and what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Misfit {
    /// Line, from 1; 0 where the fault belongs to no text.
    pub line: usize,
    /// Column, from 1; 0 where the fault belongs to no text.
    pub column: usize,
    /// JSON pointer; empty for the whole text.
    pub pointer: String,
    /// What is wrong.
    pub reason: String,
    /// What to do.
    pub correction: String,
}

impl std::error::Error for Misfit {}

impl fmt::Display for Misfit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.line > 0 {
            write!(f, "{}:{}: ", self.line, self.column)?;
        }
        if !self.pointer.is_empty() {
            write!(f, "{}: ", self.pointer)?;
        }
        write!(f, "{}; {}", self.reason, self.correction)
    }
}

impl From<JsonError> for Misfit {
    fn from(JsonError { line, column, reason, correction }: JsonError) -> Self {
        Self { line, column, pointer: String::new(), reason: format!("not valid JSON: {reason}"), correction }
    }
}

/// A text that fits its schema, with the places of what is in it.
#[derive(Debug)]
pub struct JsonForm<'t> {
    text: &'t str,
    root: Node,
}

impl<'t> JsonForm<'t> {
    /// Reads a text.
    ///
    /// # Errors
    /// [`Misfit`] for text that is not JSON.
    pub fn read(text: &'t str) -> Result<Self, Misfit> {
        Ok(Self { text, root: Node::parse(text)? })
    }

    /// Whether the object has this key.
    pub fn has(&self, key: &str) -> bool {
        self.root.member(key).is_some()
    }

    /// What the text says, once it fits the schema.
    ///
    /// # Errors
    /// [`Misfit`] for the first thing that does not fit.
    pub fn of<T: DeserializeOwned>(&self, schema: &Value) -> Result<T, Misfit> {
        fits(&self.root, schema, "").map_err(|Unfit { at, pointer, reason, correction }| {
            let (line, column) = Lines::new(self.text).place(at);
            Misfit { line, column, pointer: message(pointer), reason: message(reason), correction: message(correction) }
        })?;
        // The schema says all that the type needs; a test holds the two together.
        serde_json::from_value(value(&self.root))
            .map_err(|_| self.wrong("", "this does not have the form of its schema", "compare it with the example"))
    }

    /// A fault of what is at a pointer, or of the nearest thing around it.
    pub fn wrong(&self, pointer: &str, reason: impl Into<String>, correction: impl Into<String>) -> Misfit {
        let mut node = &self.root;
        for key in pointer.split('/').skip(1) {
            let inner = match &node.kind {
                NodeKind::List(items) => key.parse().ok().and_then(|at: usize| items.get(at)),
                _ => node.member(key).map(|member| &member.node),
            };
            let Some(inner) = inner else { break };
            node = inner;
        }
        let (line, column) = Lines::new(self.text).place(node.at);
        let (reason, correction) = (message(reason.into()), message(correction.into()));
        Misfit { line, column, pointer: pointer.to_owned(), reason, correction }
    }
}

/// The value without its places; a whole number as one.
fn value(node: &Node) -> Value {
    match &node.kind {
        NodeKind::Null => Value::Null,
        NodeKind::Bool(yes) => json!(yes),
        NodeKind::Number(number) if number.fract() == 0.0 && number.abs() < 1e15 => json!(*number as i64),
        NodeKind::Number(number) => json!(number),
        NodeKind::Text(text) => json!(text),
        NodeKind::List(items) => items.iter().map(value).collect(),
        NodeKind::Object(members) => {
            members.iter().map(|member| (member.key.clone(), value(&member.node))).collect::<Map<_, _>>().into()
        }
    }
}

/// What does not fit, at a place in octets.
struct Unfit {
    at: usize,
    pointer: String,
    reason: String,
    correction: String,
}

fn fits(node: &Node, schema: &Value, pointer: &str) -> Result<(), Unfit> {
    let unfit = |at: usize, pointer: &str, reason: String, correction: String| {
        Err(Unfit { at, pointer: pointer.to_owned(), reason, correction })
    };
    if let Some(choices) = schema["enum"].as_array() {
        let known: Vec<&str> = choices.iter().filter_map(Value::as_str).collect();
        return match &node.kind {
            NodeKind::Text(text) if known.contains(&text.as_str()) => Ok(()),
            NodeKind::Text(text) => {
                let reason = format!("{} is not one of the choices", quoted(text));
                unfit(node.at, pointer, reason, suggestion_among(text, &known))
            }
            _ => {
                let reason = format!("{} is not a text", node.kind_in_words());
                unfit(node.at, pointer, reason, format!("write one of: {}", known.join(", ")))
            }
        };
    }
    let types: Vec<&str> = match &schema["type"] {
        Value::Array(types) => types.iter().filter_map(Value::as_str).collect(),
        one => one.as_str().into_iter().collect(),
    };
    // A schema that names no type takes anything.
    if types.is_empty() {
        return Ok(());
    }
    let is = |name: &str| match &node.kind {
        NodeKind::Null => name == "null",
        NodeKind::Bool(_) => name == "boolean",
        NodeKind::Number(number) => name == "number" || name == "integer" && number.fract() == 0.0,
        NodeKind::Text(_) => name == "string",
        NodeKind::List(_) => name == "array",
        NodeKind::Object(_) => name == "object",
    };
    // A schema that names no type takes any.
    if !types.is_empty() && !types.iter().any(|name| is(name)) {
        let reason =
            format!("{} is not {}", node.kind_in_words(), types.first().map_or("right here", |name| article(name)));
        return unfit(node.at, pointer, reason, wanted(schema, &node.kind));
    }
    match &node.kind {
        NodeKind::Number(number) => {
            let beyond =
                |bound: &Value, past: fn(&f64, &f64) -> bool| bound.as_f64().is_some_and(|bound| past(number, &bound));
            if beyond(&schema["minimum"], f64::lt) || beyond(&schema["maximum"], f64::gt) {
                return unfit(node.at, pointer, format!("{number} is out of range"), wanted(schema, &NodeKind::Null));
            }
        }
        NodeKind::List(items) => {
            let count = items.len() as u64;
            let (least, most) = (schema["minItems"].as_u64(), schema["maxItems"].as_u64());
            if least.is_some_and(|least| count < least) || most.is_some_and(|most| count > most) {
                let many = match (least, most) {
                    (Some(least), Some(most)) if least == most => format!("exactly {least}"),
                    (Some(least), None) => format!("at least {least}"),
                    (_, most) => format!("at most {}", most.unwrap_or(u64::MAX)),
                };
                let reason = if count == 0 { "the list is empty".to_owned() } else { format!("the list has {count}") };
                return unfit(
                    node.at,
                    pointer,
                    reason,
                    format!("write {many}: {}", wanted(&schema["items"], &NodeKind::Null)),
                );
            }
            for (at, item) in items.iter().enumerate() {
                fits(item, &schema["items"], &format!("{pointer}/{at}"))?;
            }
        }
        NodeKind::Object(members) => {
            let properties = schema["properties"].as_object();
            let known: Vec<&str> = properties.into_iter().flat_map(Map::keys).map(String::as_str).collect();
            for (at, member) in members.iter().enumerate() {
                let inner = format!("{pointer}/{}", member.key);
                if members[..at].iter().any(|before| before.key == member.key) {
                    let reason = format!("the key {} is here a second time", quoted(&member.key));
                    return unfit(member.key_at, &inner, reason, "keep one of them".to_owned());
                }
                let Some(schema) = properties.and_then(|properties| properties.get(&member.key)) else {
                    let reason = format!("the key {} is not known here", quoted(&member.key));
                    return unfit(member.key_at, &inner, reason, suggestion_among(&member.key, &known));
                };
                fits(&member.node, schema, &inner)?;
            }
            for key in schema["required"].as_array().into_iter().flatten().filter_map(Value::as_str) {
                if node.member(key).is_none() {
                    let inner = format!("{pointer}/{key}");
                    let schema = properties.and_then(|properties| properties.get(key)).unwrap_or(&Value::Null);
                    let correction = format!("add {key:?}: {}", wanted(schema, &NodeKind::Null));
                    return unfit(node.at, &inner, format!("{key:?} is missing"), correction);
                }
            }
        }
        _ => {}
    }
    Ok(())
}

fn article(name: &str) -> &'static str {
    match name {
        "boolean" => "true or false",
        "number" => "a number",
        "integer" => "a whole number",
        "string" => "a text",
        "array" => "a list",
        "object" => "an object",
        _ => "null",
    }
}

/// What to write, by the schema; `found` is what was written instead.
fn wanted(schema: &Value, found: &NodeKind) -> String {
    let name = schema["type"].as_str().or_else(|| schema["type"][0].as_str()).unwrap_or_default();
    let example = &schema["examples"][0];
    match (name, found) {
        ("number" | "integer", NodeKind::Text(text)) if text.trim().parse::<f64>().is_ok() => {
            format!("write {} without quotation marks", text.trim())
        }
        ("string", NodeKind::Number(number)) => format!("write \"{number}\" in quotation marks"),
        ("boolean", _) => "write true or false".to_owned(),
        ("number" | "integer", _) => match (&schema["minimum"], &schema["maximum"]) {
            (Value::Null, _) | (_, Value::Null) => format!("write {}", article(name)),
            (least, most) => format!("write {} from {least} to {most}", article(name)),
        },
        _ if !example.is_null() => format!("write {} such as {example}", article(name)),
        ("array", _) => "write a list, from [ to ]".to_owned(),
        ("object", _) => "write an object, from { to }".to_owned(),
        _ => format!("write {} in quotation marks", article(name)),
    }
}
