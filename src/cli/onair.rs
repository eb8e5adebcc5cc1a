//! `onair`: the frames of an install.

use super::output::{complain, made, print, remark};
use super::profile::{named_setting, read_profile, read_text};
use super::{Outcome, RecordFile};
use clap::{Args, ValueEnum};
use squitterlab::onair::{Flight, Situation, emissions, not_in, what_is_unknown};
use squitterlab::present::html::record;
use squitterlab::present::{json, schema, text};
use std::io;
use std::path::PathBuf;

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  squitterlab onair vectors/demo/profile.json
  squitterlab onair vectors/demo/profile.json --setting length
  squitterlab onair vectors/demo/profile.json --only operational_status
  squitterlab onair vectors/demo/profile.json \\
      --situation vectors/demo/situation.json --format hex")]
pub struct Arguments {
    /// The install profile
    #[arg(required_unless_present = "schema")]
    profile: Option<PathBuf>,
    /// What the flight does: state, position, altitude, speed, code
    #[arg(long, value_name = "FILE")]
    situation: Option<PathBuf>,
    /// Only this message: its name, as in JSON or in the text
    #[arg(long, value_name = "MESSAGE")]
    only: Option<String>,
    /// Only frames that carry this setting: its name, its id or its JSON pointer
    #[arg(long, value_name = "SETTING")]
    setting: Option<String>,
    /// Text to read beside a test set, JSON, or just the frames
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
    #[command(flatten)]
    record: RecordFile,
    /// Print the JSON Schema of an object
    #[arg(long)]
    schema: bool,
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

/// A name as it is compared: letters and digits only.
fn plain(name: &str) -> String {
    name.chars().filter(char::is_ascii_alphanumeric).collect::<String>().to_lowercase()
}

pub fn run(arguments: &Arguments) -> io::Result<Outcome> {
    let Some(file) = arguments.profile.as_ref().filter(|_| !arguments.schema) else {
        return print(&format!("{:#}\n", schema::onair())).map(|()| Outcome::Done);
    };
    let Some(profile) = read_profile(file) else { return Ok(Outcome::Failed) };
    let name = file.display();
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
    if let Some(unknown) = what_is_unknown(&profile) {
        remark(&text::folded(&format!("{name}: "), 2, unknown));
    }
    let mut unseen = not_in(&profile, &frames);
    let all: Vec<&'static str> = frames.iter().map(json::emission_message).collect();
    let mut frames = frames;
    if let Some(text) = &arguments.only {
        let wanted = plain(text);
        frames.retain(|frame| {
            [json::emission_message(frame), frame.table.message, frame.table.title, frame.envelope.title]
                .iter()
                .any(|name| plain(name) == wanted)
        });
        if frames.is_empty() {
            let mut known = all;
            known.dedup();
            complain(&format!("--only: {name} sends no message {text:?}; it sends {}", known.join(", ")));
            return Ok(Outcome::Failed);
        }
        unseen.clear();
    }
    if let Some(text) = &arguments.setting {
        let Some(setting) = named_setting(text) else { return Ok(Outcome::Failed) };
        frames.retain(|frame| frame.carries(setting));
        unseen.retain(|(other, _)| *other == setting);
        if frames.is_empty() {
            let why = unseen.first().map_or("it is not stated", |(_, why)| why.as_str());
            remark(&format!("{} is in none of these frames: {why}\n", setting.name()));
            return Ok(Outcome::Done);
        }
    }
    let sink = arguments.record.open()?;
    match arguments.format {
        Format::Text => print(&text::emissions(&frames, &unseen))?,
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
    if let Some(sink) = sink {
        let source = record::source(file);
        sink.write_whole(record::transmitted(&profile, &frames, &source, &made()?).as_bytes())?;
    }
    Ok(Outcome::Done)
}
