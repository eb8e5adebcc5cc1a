//! JSON with places: every value knows where it stands in the text, so that every fault can be pointed at.

use serde::Deserialize;
use serde::de::{Deserializer, MapAccess, SeqAccess, Visitor};
use serde_json::value::RawValue;
use std::borrow::Cow;
use std::fmt;

/// Deeper than any profile; a guard against text made to exhaust the stack.
const DEEPEST: usize = 32;

/// A JSON value with its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Node {
    /// Where it begins, in octets from the start of the text.
    pub at: usize,
    /// What it is.
    pub kind: Kind,
}

/// What a JSON value is.
#[derive(Clone, Debug, PartialEq)]
pub enum Kind {
    /// `null`
    Null,
    /// `true` or `false`
    Bool(bool),
    /// A number.
    Number(f64),
    /// A string.
    Text(String),
    /// An array.
    List(Vec<Node>),
    /// An object, in order, repeated keys included.
    Object(Vec<Member>),
}

/// A key and its value.
#[derive(Clone, Debug, PartialEq)]
pub struct Member {
    /// The key.
    pub key: String,
    /// Where the key stands.
    pub key_at: usize,
    /// The value.
    pub node: Node,
}

impl Node {
    /// Reads a JSON text.
    ///
    /// # Errors
    /// The parser's message with line and column for text that is no JSON.
    pub fn parse(text: &str) -> Result<Self, Syntax> {
        let bare = without_comments(text);
        let raw: &RawValue = serde_json::from_str(&bare).map_err(|error| Syntax::new(&error))?;
        inside(raw, &bare, 0)
    }

    /// The member with this key, the last where it is repeated.
    pub fn member(&self, key: &str) -> Option<&Member> {
        match &self.kind {
            Kind::Object(members) => members.iter().rev().find(|member| member.key == key),
            _ => None,
        }
    }

    /// What kind of value this is, for a message.
    pub fn kind_in_words(&self) -> String {
        match &self.kind {
            Kind::Null => "null".to_owned(),
            Kind::Bool(yes) => yes.to_string(),
            Kind::Number(number) => format!("the number {number}"),
            Kind::Text(text) => format!("the text {text:?}"),
            Kind::List(_) => "a list".to_owned(),
            Kind::Object(_) => "an object".to_owned(),
        }
    }
}

/// The text with blanks in place of its comments (`// to the end of the line`, `/* between */`), so that all else stays in
/// its place; the text itself if it has none.
pub fn without_comments(text: &str) -> Cow<'_, str> {
    let bytes = text.as_bytes();
    let mut bare: Option<Vec<u8>> = None;
    let (mut at, mut in_string) = (0, false);
    while at < bytes.len() {
        let end = match (in_string, bytes[at], bytes.get(at + 1)) {
            (true, b'\\', _) => {
                at += 2;
                continue;
            }
            (_, b'"', _) => {
                in_string = !in_string;
                at += 1;
                continue;
            }
            (false, b'/', Some(b'/')) => text[at..].find('\n').map_or(bytes.len(), |length| at + length),
            // A comment that does not end is left for the reader to complain of.
            (false, b'/', Some(b'*')) => text[at + 2..].find("*/").map_or(at, |length| at + 2 + length + 2),
            _ => at,
        };
        if end > at {
            for byte in &mut bare.get_or_insert_with(|| bytes.to_vec())[at..end] {
                if *byte != b'\n' {
                    *byte = b' ';
                }
            }
        }
        at = end.max(at + 1);
    }
    match bare.map(String::from_utf8) {
        Some(Ok(bare)) => Cow::Owned(bare),
        _ => Cow::Borrowed(text),
    }
}

/// Text that is no JSON, and where it stops being so.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Syntax {
    /// The parser's words.
    pub message: String,
    /// Line, from 1.
    pub line: usize,
    /// Column, from 1.
    pub column: usize,
}

impl Syntax {
    fn new(error: &serde_json::Error) -> Self {
        let message = error.to_string();
        let message = message.split(" at line ").next().unwrap_or_default().to_owned();
        Self { message, line: error.line().max(1), column: error.column().max(1) }
    }
}

/// Line and column (from 1, in characters) of a place in a text.
pub fn line_and_column(text: &str, at: usize) -> (usize, usize) {
    let before = text.get(..at).unwrap_or(text);
    let line = before.matches('\n').count() + 1;
    let column = before.rsplit('\n').next().map_or(0, |last| last.chars().count()) + 1;
    (line, column)
}

fn inside(raw: &RawValue, text: &str, depth: usize) -> Result<Node, Syntax> {
    // A raw value is a slice of the text it came from, so its place is a difference of addresses.
    let offset = |part: &str| part.as_ptr().addr().wrapping_sub(text.as_ptr().addr());
    let at = offset(raw.get());
    let fail = |error: serde_json::Error| Syntax::new(&error);
    if depth > DEEPEST {
        let (line, column) = line_and_column(text, at);
        return Err(Syntax { message: "nested too deeply".to_owned(), line, column });
    }
    let kind = match raw.get().as_bytes().first() {
        Some(b'{') => {
            let members: Members = serde_json::from_str(raw.get()).map_err(fail)?;
            let members = members.0.into_iter().map(|(Key(key), value)| {
                let node = inside(value, text, depth + 1)?;
                let key_at = if let Cow::Borrowed(key) = key { offset(key).saturating_sub(1) } else { node.at };
                Ok(Member { key: key.into_owned(), key_at, node })
            });
            Kind::Object(members.collect::<Result<_, Syntax>>()?)
        }
        Some(b'[') => {
            let items: Items = serde_json::from_str(raw.get()).map_err(fail)?;
            Kind::List(items.0.into_iter().map(|item| inside(item, text, depth + 1)).collect::<Result<_, _>>()?)
        }
        _ => match serde_json::from_str(raw.get()).map_err(fail)? {
            serde_json::Value::Bool(yes) => Kind::Bool(yes),
            serde_json::Value::Number(number) => Kind::Number(number.as_f64().unwrap_or(f64::NAN)),
            serde_json::Value::String(text) => Kind::Text(text),
            _ => Kind::Null,
        },
    };
    Ok(Node { at, kind })
}

struct Key<'a>(Cow<'a, str>);

impl<'de: 'a, 'a> Deserialize<'de> for Key<'a> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Keys;
        impl<'de> Visitor<'de> for Keys {
            type Value = Key<'de>;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a key")
            }
            fn visit_borrowed_str<E>(self, key: &'de str) -> Result<Key<'de>, E> {
                Ok(Key(Cow::Borrowed(key)))
            }
            fn visit_str<E>(self, key: &str) -> Result<Key<'de>, E> {
                Ok(Key(Cow::Owned(key.to_owned())))
            }
        }
        deserializer.deserialize_str(Keys)
    }
}

struct Members<'a>(Vec<(Key<'a>, &'a RawValue)>);

impl<'de: 'a, 'a> Deserialize<'de> for Members<'a> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Map;
        impl<'de> Visitor<'de> for Map {
            type Value = Members<'de>;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("an object")
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Members<'de>, A::Error> {
                let mut members = Vec::new();
                while let Some(entry) = map.next_entry()? {
                    members.push(entry);
                }
                Ok(Members(members))
            }
        }
        deserializer.deserialize_map(Map)
    }
}

struct Items<'a>(Vec<&'a RawValue>);

impl<'de: 'a, 'a> Deserialize<'de> for Items<'a> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct List;
        impl<'de> Visitor<'de> for List {
            type Value = Items<'de>;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a list")
            }
            fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Items<'de>, A::Error> {
                let mut items = Vec::new();
                while let Some(item) = list.next_element()? {
                    items.push(item);
                }
                Ok(Items(items))
            }
        }
        deserializer.deserialize_seq(List)
    }
}
