//! `explain`: a frame as a bit ruler, and the reference of all messages.

use super::output::{complain, fitted, print, print_ruled};
use super::{Format, Outcome, position, register, whole};
use clap::Args;
use serde_json::json;
use squitterlab::code::RegisterNumber;
use squitterlab::code::compact_position::Position;
use squitterlab::downlink::Decoded;
use squitterlab::downlink::repair::repairs;
use squitterlab::frame::Frame;
use squitterlab::present::json::{self, Place};
use squitterlab::present::{glossary, parity_repair, reference, ruler, text, worked};
use squitterlab::track::Tracker;
use std::io;

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  squitterlab explain 8DA5C035213B4DD16208206CA0A9
  squitterlab explain \"8DA5 C035 5826 852F 727E 44BE 557D\" --steps
  squitterlab explain 8DA5C0355826852F727E44BE557C --repair
  squitterlab explain --list
  squitterlab explain --list airborne_position
  squitterlab explain --term NIC")]
pub struct Arguments {
    /// A frame as 14 or 28 hexadecimal digits; spaces inside one quoted argument are allowed
    #[arg(value_name = "HEX", required_unless_present_any = ["list", "term"], value_parser = squitterlab::capture::frame_by_hand)]
    frames: Vec<Frame>,
    /// Show the arithmetic so that it can be followed by hand
    #[arg(long)]
    steps: bool,
    /// For a frame with bad parity, the fewest flipped bits that explain it: a guess
    #[arg(long)]
    repair: bool,
    /// The reference: an index, or what goes by this name: a message, a table, a word to search for, all
    #[arg(long, value_name = "NAME", num_args = 0..=1, default_missing_value = "", conflicts_with_all = OF_FRAMES)]
    list: Option<String>,
    /// What a term means, in two sentences; without WORD all terms
    #[arg(long, value_name = "WORD", num_args = 0..=1, default_missing_value = "")]
    #[arg(conflicts_with_all = OF_FRAMES, conflicts_with_all = ["list", "format"])]
    term: Option<String>,
    /// The register that a Comm-B reply carries
    #[arg(long, value_name = "B,N", value_parser = register)]
    register: Option<RegisterNumber>,
    /// Read the message in this version of the standard
    #[arg(long, value_name = "N", value_parser = whole::<u8>(0..=7))]
    version_in_force: Option<u8>,
    /// A position near the aircraft: within 180 NM in the air, 45 NM on the ground
    #[arg(long, value_name = "LAT,LON", value_parser = position, allow_hyphen_values = true)]
    reference: Option<Position>,
    /// Text, or JSON as `decode` writes it
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

/// The arguments that only frames have a use for.
const OF_FRAMES: [&str; 6] = ["frames", "steps", "repair", "register", "version_in_force", "reference"];

/// What of the reference goes by a name.
fn list(name: &str, format: Format) -> io::Result<Outcome> {
    let found = match (format, name) {
        (Format::Text, "") => Some(reference::index()),
        (Format::Text, name) => reference::named(name),
        (Format::Json, "" | "all") => Some(format!("{}\n", reference::json())),
        (Format::Json, name) => reference::json_named(name).map(|found| format!("{found}\n")),
    };
    if let Some(text) = found {
        print(&text)?;
        return Ok(Outcome::Done);
    }
    complain(&format!(
        "--list {name:?}: no message, table or field has this in its name; explain --list shows what there is"
    ));
    Ok(Outcome::Failed)
}

/// What a term means.
fn term(word: &str) -> io::Result<Outcome> {
    let one = |term: &glossary::Term| text::folded(&format!("{}: ", term.name), 4, term.about);
    if word.is_empty() {
        print(&glossary::TERMS.iter().map(one).collect::<String>())?;
        return Ok(Outcome::Done);
    }
    if let Some(term) = glossary::find(word) {
        print(&one(term))?;
        return Ok(Outcome::Done);
    }
    let like = glossary::like(word);
    let hint = if like.is_empty() {
        "explain --term lists all".to_owned()
    } else {
        format!("did you mean {}?", like.join(", "))
    };
    complain(&format!("--term {word:?}: not in the glossary; {hint}"));
    Ok(Outcome::Failed)
}

pub fn run(arguments: &Arguments) -> io::Result<Outcome> {
    fitted(|| explain(arguments))
}

fn explain(arguments: &Arguments) -> io::Result<Outcome> {
    if let Some(name) = &arguments.list {
        return list(name, arguments.format);
    }
    if let Some(word) = &arguments.term {
        return term(word);
    }
    let repair = |frame: &Frame| arguments.repair.then(|| repairs(frame));
    let mut tracker = Tracker::new(arguments.reference, arguments.version_in_force);
    for (at, frame) in arguments.frames.iter().enumerate() {
        let mut decoded = Decoded::new(*frame);
        if let Some(register) = arguments.register {
            decoded = decoded.with_register(register);
            if decoded.register.is_none() {
                complain("--register: only replies of formats 20 and 21 carry a register; it is ignored here");
            }
        }
        let observation = tracker.observe(&decoded, None);
        let decoded = observation.version.read(decoded);
        match arguments.format {
            Format::Json => {
                let mut object = json::frame(&Place::default(), &decoded, &observation);
                if let Some(object) = object.as_object_mut() {
                    if arguments.steps {
                        object.insert("steps".to_owned(), json!(worked::read(&decoded, &observation)));
                    }
                    if let Some(repairs) = repair(frame) {
                        object.insert("repair".to_owned(), parity_repair::json(frame, &repairs));
                    }
                }
                print(&format!("{object}\n"))?;
            }
            Format::Text => {
                let gap = if at == 0 { "" } else { "\n" };
                let mut text = ruler::explanation(&decoded, &observation, arguments.steps);
                if let Some(repairs) = repair(frame) {
                    text += &parity_repair::text(frame, &repairs);
                }
                print_ruled(&format!("{gap}{text}"))?;
            }
        }
    }
    Ok(Outcome::Done)
}
