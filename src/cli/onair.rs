//! `onair`: the frames of an install.

use super::Outcome;
use super::output::{Sink, complain, print, remark};
use super::profile::{read_profile, read_text};
use clap::{Args, ValueEnum};
use squitterlab::onair::{Flight, Situation, emissions, not_in};
use squitterlab::present::html::record;
use squitterlab::present::{json, text};
use std::io::{self, Write};
use std::path::PathBuf;

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  squitterlab onair vectors/demo/profile.json
  squitterlab onair vectors/demo/profile.json \\
      --situation vectors/demo/situation.json --format hex")]
pub struct Arguments {
    /// The install profile
    profile: PathBuf,
    /// What the flight does: state, position, altitude, speed, code
    #[arg(long, value_name = "FILE")]
    situation: Option<PathBuf>,
    /// Text to read beside a test set, JSON, or just the frames
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
    /// Write the record too: one HTML file to read, print and keep
    #[arg(long, value_name = "FILE.html")]
    record: Option<PathBuf>,
    /// Overwrite the record if it is there
    #[arg(long, requires = "record")]
    force: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Format {
    /// For people
    Text,
    /// One object per line, for programs
    Json,
    /// One frame per line, ready for decode and compare
    Hex,
}

pub fn run(arguments: &Arguments) -> io::Result<Outcome> {
    let Some(profile) = read_profile(&arguments.profile) else { return Ok(Outcome::Failed) };
    let name = arguments.profile.display();
    let situation = match &arguments.situation {
        None => None,
        Some(file) => {
            let Some(text) = read_text(file) else { return Ok(Outcome::Failed) };
            match Situation::read(&text) {
                Ok(situation) => Some(situation),
                Err(error) => {
                    complain(&format!("{}:{error}", file.display()));
                    return Ok(Outcome::Failed);
                }
            }
        }
    };
    let flight = situation.as_ref().map_or(Flight::Unknown, Flight::Situation);
    let frames = match emissions(&profile, flight) {
        Ok(frames) => frames,
        Err(error) => {
            complain(&format!("{name}: {error}"));
            return Ok(Outcome::Failed);
        }
    };
    if let Some(path) = &arguments.record {
        let mut sink = Sink::open(Some(path), arguments.force)?;
        let source = record::source(&name.to_string());
        sink.write_all(record::transmitted(&profile, &frames, &source, &record::now()).as_bytes())?;
        sink.close()?;
    }
    match arguments.format {
        Format::Text => print(&text::emissions(&frames, &not_in(&profile, &frames)))?,
        Format::Json | Format::Hex => {
            remark(&text::cautions());
            for frame in &frames {
                let line = match arguments.format {
                    Format::Json => json::emission(frame).to_string(),
                    _ => frame.frame.to_string(),
                };
                print(&format!("{line}\n"))?;
            }
        }
    }
    Ok(Outcome::Done)
}
