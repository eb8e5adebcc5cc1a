//! `explain`: a frame as a bit ruler, and the reference of all messages.

use super::output::{complain, print};
use super::{Format, Outcome, position, register};
use clap::Args;
use serde_json::json;
use squitterlab::code::RegisterNumber;
use squitterlab::code::compact_position::Position;
use squitterlab::downlink::Decoded;
use squitterlab::downlink::repair::repairs;
use squitterlab::frame::Frame;
use squitterlab::present::json::{self, Place};
use squitterlab::present::{guess, reference, ruler, worked};
use squitterlab::track::Tracker;
use std::io;

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  squitterlab explain 8DA5C035213B4DD16208206CA0A9
  squitterlab explain \"8DA5 C035 5826 852F 727E 44BE 557D\" --steps
  squitterlab explain 8DA5C0355826852F727E44BE557C --repair
  squitterlab explain --list")]
pub struct Arguments {
    /// A frame as 14 or 28 hexadecimal digits; spaces inside one quoted argument are allowed
    #[arg(value_name = "HEX", required_unless_present = "list", value_parser = super::decode::frame)]
    frames: Vec<Frame>,
    /// Show the arithmetic so that it can be followed by hand
    #[arg(long)]
    steps: bool,
    /// For a frame with bad parity, the fewest flipped bits that explain it: a guess
    #[arg(long)]
    repair: bool,
    /// The reference of all messages and fields
    #[arg(long)]
    list: bool,
    /// The register that a Comm-B reply carries
    #[arg(long, value_name = "B,N", value_parser = register)]
    register: Option<RegisterNumber>,
    /// Read the message in this version of the standard
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u8).range(0..=7))]
    version_in_force: Option<u8>,
    /// A position near the aircraft: within 180 NM in the air, 45 NM on the ground
    #[arg(long, value_name = "LAT,LON", value_parser = position, allow_hyphen_values = true)]
    reference: Option<Position>,
    /// Text, or JSON as `decode` writes it
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

pub fn run(arguments: &Arguments) -> io::Result<Outcome> {
    if arguments.list {
        print(&match arguments.format {
            Format::Text => reference::text(),
            Format::Json => format!("{}\n", reference::json()),
        })?;
        return Ok(Outcome::Done);
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
                        object.insert("repair".to_owned(), guess::json(frame, &repairs));
                    }
                }
                print(&format!("{object}\n"))?;
            }
            Format::Text => {
                let gap = if at == 0 { "" } else { "\n" };
                let mut text = ruler::explanation(&decoded, &observation, arguments.steps);
                if let Some(repairs) = repair(frame) {
                    text += &guess::text(frame, &repairs);
                }
                print(&format!("{gap}{text}"))?;
            }
        }
    }
    Ok(Outcome::Done)
}
