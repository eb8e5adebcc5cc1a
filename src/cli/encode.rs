//! `encode`: frames out of codes, or out of meanings.

use super::Outcome;
use super::output::{complain, print, reader_gone, standard_output};
use clap::Args;
use squitterlab::code::Version;
use squitterlab::downlink::{encode_codes, encode_meanings};
use std::collections::BTreeMap;
use std::fs::File;
use std::io::{self, BufRead, BufReader, Write};
use std::path::PathBuf;

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  squitterlab decode capture.txt --format json | squitterlab encode
  squitterlab encode --message aircraft_identification --set address=A5C035 \\
      --set aircraft_identification=N47QX --set emitter_category=A1

Frames made here are for reading and for tests of programs: never radiate them.")]
pub struct Arguments {
    /// Decoded JSON, one object a line; - or nothing is standard input
    #[arg(value_name = "FILE", conflicts_with = "message")]
    file: Option<PathBuf>,
    /// Build one frame of this message out of meanings
    #[arg(long, value_name = "NAME")]
    message: Option<String>,
    /// A field and what it is to say; repeatable
    #[arg(long, value_name = "FIELD=VALUE", requires = "message", value_parser = assignment)]
    set: Vec<(String, String)>,
    /// The version of the standard to say it in
    #[arg(long, value_name = "N", default_value_t = 2, value_parser = clap::value_parser!(u8).range(0..=2))]
    version_in_force: u8,
}

fn assignment(text: &str) -> Result<(String, String), String> {
    let (field, value) = text.split_once('=').ok_or("write FIELD=VALUE, such as ground_speed_kt=118")?;
    Ok((field.trim().to_owned(), value.to_owned()))
}

pub fn run(arguments: &Arguments) -> io::Result<Outcome> {
    if let Some(message) = &arguments.message {
        return one(message, arguments);
    }
    let file = arguments.file.as_deref().filter(|file| *file != "-");
    let from_standard_input = file.is_none();
    let input: Box<dyn BufRead> = match file {
        None => Box::new(io::stdin().lock()),
        Some(file) => match File::open(file) {
            Ok(file) => Box::new(BufReader::new(file)),
            Err(error) => {
                complain(&format!("{}: cannot be opened: {error}", file.display()));
                return Ok(Outcome::Failed);
            }
        },
    };
    let name = arguments.file.as_ref().map_or_else(|| "-".to_owned(), |file| file.display().to_string());
    let mut out = io::BufWriter::new(standard_output());
    let mut outcome = Outcome::Done;
    for (at, line) in input.split(b'\n').enumerate() {
        let line = line.map_err(|error| io::Error::new(error.kind(), format!("{name}: cannot be read: {error}")))?;
        let line = line.trim_ascii();
        if line.is_empty() || line.starts_with(b"#") {
            continue;
        }
        match frame_of(line) {
            Ok(frame) => writeln!(out, "{frame}")?,
            Err(reason) => {
                out.flush()?;
                complain(&format!("{name}:{}: {reason}", at + 1));
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

fn frame_of(line: &[u8]) -> Result<String, String> {
    let object: serde_json::Value =
        serde_json::from_slice(line).map_err(|error| format!("this is no JSON: {error}"))?;
    let codes = object
        .get("codes")
        .and_then(serde_json::Value::as_object)
        .ok_or("no object \"codes\" in it; write what decode --format json prints")?;
    encode_codes(codes).map(|frame| frame.to_string()).map_err(|error| error.to_string())
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
    match encode_meanings(message, &fields, version) {
        Ok(encoded) => {
            print(&format!("{}\n", encoded.frame))?;
            Ok(Outcome::Done)
        }
        Err(error) => {
            complain(&error.to_string());
            Ok(Outcome::Failed)
        }
    }
}
