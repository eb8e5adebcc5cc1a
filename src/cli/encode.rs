//! `encode`: frames built from codes, or from meanings.

use super::input::open;
use super::output::{complain, fitted, print, reader_gone, remark, standard_output};
use super::{Format, Outcome, whole};
use clap::Args;
use serde::de::{Deserialize, Deserializer, Error, IgnoredAny, MapAccess, Visitor};
use serde_json::error::Category;
use serde_json::value::RawValue;
use serde_json::{Map, Value, json};
use squitterlab::capture::LONGEST_LINE;
use squitterlab::code::Version;
use squitterlab::downlink::{encode_codes, encode_meanings};
use squitterlab::present::{text, worked};
use squitterlab::profile::{JsonError, Node, NodeKind};
use squitterlab::written::unmarked_octets;
use std::collections::BTreeMap;
use std::fmt;
use std::io::{self, BufRead, BufReader, Read, Write};
use std::path::{Path, PathBuf};

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  squitterlab decode capture.txt --format json | squitterlab encode
  squitterlab encode --message aircraft_identification --set address=A5C035 \\
      --set aircraft_identification=N47QX --set emitter_category=A1
  squitterlab encode --message airborne_position --set address=A5C035 --steps \\
      --set type_code=11 --set latitude_deg=44.5 --set longitude_deg=-103.25

Frames made here are for reading and for tests of programs: never radiate them.")]
pub struct Arguments {
    /// Decoded JSON, one object per line; - or nothing is standard input
    #[arg(value_name = "FILE", conflicts_with_all = ["message", "set", "exact", "steps", "format", "version_in_force"])]
    file: Option<PathBuf>,
    /// Build one frame of this message from meanings
    #[arg(long, value_name = "NAME")]
    message: Option<String>,
    /// A field and what it is to say; repeatable
    #[arg(long, value_name = "FIELD=VALUE", requires = "message", value_parser = assignment)]
    set: Vec<(String, String)>,
    /// Refuse a value that would be rounded, instead of saying so
    #[arg(long, requires = "message")]
    exact: bool,
    /// Show the arithmetic from the values to the bits, so that it can be followed by hand
    #[arg(long, requires = "message")]
    steps: bool,
    /// Text, or JSON with the steps as data
    #[arg(long, value_enum, requires = "message", default_value_t = Format::Text)]
    format: Format,
    /// The version of the standard to say it in
    #[arg(long, value_name = "N", default_value_t = 2, value_parser = whole::<u8>(0..=2), requires = "message")]
    version_in_force: u8,
}

fn assignment(text: &str) -> Result<(String, String), String> {
    let (field, value) = text.split_once('=').ok_or("write FIELD=VALUE, such as ground_speed_kt=118")?;
    Ok((field.trim().to_owned(), value.to_owned()))
}

pub fn run(arguments: &Arguments) -> io::Result<Outcome> {
    if let Some(message) = &arguments.message {
        return fitted(|| one(message, arguments));
    }
    let file = arguments.file.as_deref().unwrap_or(Path::new("-"));
    let from_standard_input = file == Path::new("-");
    let Some(input) = open(file) else { return Ok(Outcome::Failed) };
    let mut input = BufReader::new(input);
    let name = file.display();
    let unreadable = |error: io::Error| io::Error::new(error.kind(), format!("{name}: cannot be read: {error}"));
    let mut out = io::BufWriter::new(standard_output());
    let (mut outcome, mut is_cautioned) = (Outcome::Done, false);
    let mut line = Vec::new();
    for number in 1.. {
        let Some(length) = next_line(&mut input, &mut line).map_err(unreadable)? else { break };
        let line = unmarked_octets(&line).trim_ascii();
        if line.is_empty() || line.starts_with(b"#") {
            continue;
        }
        let frame = match length {
            Length::Whole => frame_of(line),
            Length::TooLong => Err(format!(
                "the line is longer than {LONGEST_LINE} bytes; write one object per line, as decode --format json does"
            )),
        };
        match frame {
            Ok(frame) => {
                caution(&mut is_cautioned);
                writeln!(out, "{frame}")?;
            }
            // An empty line keeps the frames beside the lines that they were made from.
            Err(reason) => {
                writeln!(out)?;
                out.flush()?;
                complain(&format!("{name}:{number}: {reason}"));
                outcome = Outcome::Failed;
            }
        }
        // A file is judged to its end; standard input may have none.
        if reader_gone() && from_standard_input {
            break;
        }
    }
    out.flush()?;
    Ok(outcome)
}

/// Whether a line was read to its end.
enum Length {
    Whole,
    TooLong,
}

/// Reads a line without its end; of one that is too long, only the beginning is kept.
fn next_line(input: &mut dyn BufRead, line: &mut Vec<u8>) -> io::Result<Option<Length>> {
    line.clear();
    if input.take(LONGEST_LINE as u64 + 1).read_until(b'\n', line)? == 0 {
        return Ok(None);
    }
    if line.ends_with(b"\n") || line.len() <= LONGEST_LINE {
        return Ok(Some(Length::Whole));
    }
    input.skip_until(b'\n')?;
    Ok(Some(Length::TooLong))
}

/// Says once what frames made here are not for.
fn caution(is_said: &mut bool) {
    if !std::mem::replace(is_said, true) {
        remark(&text::cautions());
    }
}

fn frame_of(line: &[u8]) -> Result<String, String> {
    let Line { codes } = serde_json::from_slice(line).map_err(|error| in_our_words(line, &error))?;
    let codes = codes.ok_or("no object \"codes\" in it; write what decode --format json prints")?;
    encode_codes(&codes).map(|frame| frame.to_string()).map_err(|error| error.to_string())
}

/// Why a line is not an object with codes, in the words of the reader that is made for people.
fn in_our_words(line: &[u8], error: &serde_json::Error) -> String {
    let Ok(text) = std::str::from_utf8(line) else {
        return "this is not UTF-8 text; write what decode --format json prints".to_owned();
    };
    match Node::parse(text) {
        Err(JsonError { column, reason, correction, .. }) => {
            format!("not valid JSON in column {column}: {reason}; {correction}")
        }
        Ok(node @ Node { kind: NodeKind::Object(_), .. }) => {
            let why = error.to_string();
            // What the parser adds is the place in its own piece of the line.
            let why = why.split(" at line ").next().unwrap_or_default();
            if error.classify() == Category::Data {
                why.to_owned()
            } else {
                format!("{} cannot be read", node.kind_in_words())
            }
        }
        Ok(node) => {
            format!("{} is where an object belongs; write what decode --format json prints", node.kind_in_words())
        }
    }
}

/// What of a JSON object makes a frame.
struct Line {
    codes: Option<Map<String, Value>>,
}

impl<'de> Deserialize<'de> for Line {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_map(Keys(|key: &str| key == "codes")).map(|mut members| Self {
            codes: match members.remove("codes") {
                Some(Value::Object(codes)) => Some(codes),
                _ => None,
            },
        })
    }
}

/// Reads an object whose keys are each given once, as far as they are `wanted`; objects inside are read in whole.
struct Keys<F>(F);

impl<'de, F: Fn(&str) -> bool> Visitor<'de> for Keys<F> {
    type Value = Map<String, Value>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a JSON object")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
        let mut members = Map::new();
        while let Some(key) = map.next_key::<String>()? {
            if !self.0(&key) {
                map.next_value::<IgnoredAny>()?;
                continue;
            }
            let OneOfEach(value) = map.next_value()?;
            if members.contains_key(&key) {
                return Err(A::Error::custom(format_args!("{key:?} is given twice; keep one")));
            }
            members.insert(key, value);
        }
        Ok(members)
    }
}

/// A value that, if it is an object, has no key twice.
struct OneOfEach(Value);

impl<'de> Deserialize<'de> for OneOfEach {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = <&RawValue>::deserialize(deserializer)?.get();
        let read = if text.starts_with('{') {
            serde_json::Deserializer::from_str(text).deserialize_map(Keys(|_: &str| true)).map(Value::Object)
        } else {
            serde_json::from_str(text)
        };
        read.map(Self).map_err(D::Error::custom)
    }
}

fn one(message: &str, arguments: &Arguments) -> io::Result<Outcome> {
    let mut fields = BTreeMap::new();
    for (field, value) in &arguments.set {
        if fields.insert(field.clone(), value.clone()).is_some() {
            complain(&format!("--set {field}: given twice; keep one"));
            return Ok(Outcome::Failed);
        }
    }
    let version = Version::from_number(arguments.version_in_force).unwrap_or(Version::Two);
    let encoded = match encode_meanings(message, &fields, version) {
        Ok(encoded) => encoded,
        Err(error) => {
            complain(&error.to_string());
            return Ok(Outcome::Failed);
        }
    };
    for rounded in &encoded.rounded {
        complain(&rounded.to_string());
    }
    if arguments.exact && !encoded.rounded.is_empty() {
        complain("--exact: no frame says exactly what you asked for; take the values above, or leave --exact out");
        return Ok(Outcome::Failed);
    }
    remark(&text::cautions());
    print(&match arguments.format {
        Format::Text if arguments.steps => format!("{}\n{}", encoded.frame, worked::text(&worked::written(&encoded))),
        Format::Text => format!("{}\n", encoded.frame),
        Format::Json => {
            let mut object = json!({"frame": encoded.frame.to_string(), "message": encoded.table.message});
            if arguments.steps {
                object["steps"] = json!(worked::written(&encoded));
            }
            format!("{object}\n")
        }
    })?;
    Ok(Outcome::Done)
}
