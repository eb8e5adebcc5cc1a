//! `decode`: captured text to decoded frames.

use super::output::{Sink, complain, remark};
use super::{Format, Outcome, position, register};
use clap::Args;
use squitterlab::capture::{Record, Source};
use squitterlab::code::RegisterNumber;
use squitterlab::code::compact_position::Position;
use squitterlab::downlink::Decoded;
use squitterlab::frame::Frame;
use squitterlab::present::json::{self, Place};
use squitterlab::present::text;
use squitterlab::track::Tracker;
use std::io::{self, Write};
use std::ops::ControlFlow;
use std::path::PathBuf;

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  squitterlab decode vectors/demo/good_air.txt
  squitterlab decode --frame 8D40621D58C382D690C8AC2863A7 --reference 52.258,3.918 --format json
  zcat night.txt.gz | squitterlab decode - --format json")]
pub struct Arguments {
    /// Captured text, plain, gzip or zstd; - or nothing is standard input
    #[arg(value_name = "FILE")]
    files: Vec<String>,
    /// A frame as hexadecimal digits; repeatable
    #[arg(long, value_name = "HEX", value_parser = frame)]
    frame: Vec<Frame>,
    /// Text, or one JSON object a frame
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
    /// A position near the aircraft: within 180 NM in the air, 45 NM on the ground
    #[arg(long, value_name = "LAT,LON", value_parser = position, allow_hyphen_values = true)]
    reference: Option<Position>,
    /// The register that Comm-B replies carry
    #[arg(long, value_name = "B,N", value_parser = register)]
    register: Option<RegisterNumber>,
    /// Read every aircraft's messages in this version of the standard
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u8).range(0..=7))]
    version_in_force: Option<u8>,
    /// Write to this file instead of standard output
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// Overwrite the file if it is there
    #[arg(long)]
    force: bool,
}

/// Reads a frame given by hand: spaces inside are allowed.
pub fn frame(text: &str) -> Result<Frame, String> {
    let digits: String = text.chars().filter(|c| !c.is_whitespace()).collect();
    digits.parse().map_err(|error: squitterlab::frame::FrameError| error.to_string())
}

pub fn run(arguments: &Arguments) -> io::Result<Outcome> {
    let mut sink = Sink::open(arguments.out.as_deref(), arguments.force)?;
    match decode_all(arguments, &mut sink) {
        // What could not be read whole leaves no file that looks whole.
        Ok(Outcome::Failed) if arguments.out.is_some() => {
            sink.abandon();
            Ok(Outcome::Failed)
        }
        Ok(outcome) => {
            sink.close()?;
            Ok(outcome)
        }
        Err(error) => {
            sink.abandon();
            Err(error)
        }
    }
}

fn decode_all(arguments: &Arguments, sink: &mut Sink) -> io::Result<Outcome> {
    let mut tracker = Tracker::new(arguments.reference, arguments.version_in_force);
    let mut show = |place: &Place<'_>, frame: Frame, sink: &mut Sink| {
        let mut decoded = Decoded::new(frame);
        if let Some(register) = arguments.register {
            decoded = decoded.with_register(register);
        }
        let observation = tracker.observe(&decoded, place.time);
        let decoded = decoded.in_version(observation.version.known());
        match arguments.format {
            Format::Text => sink.write_all(text::frame(place, &decoded, &observation).as_bytes()),
            Format::Json => writeln!(sink, "{}", json::frame(place, &decoded, &observation)),
        }
    };
    for frame in &arguments.frame {
        show(&Place::default(), *frame, sink)?;
    }
    let mut sources: Vec<Source> = arguments.files.iter().map(|name| Source::from(name.as_str())).collect();
    if sources.is_empty() && arguments.frame.is_empty() {
        sources.push(Source::StandardInput);
    }
    let mut outcome = Outcome::Done;
    for source in &sources {
        let name = source.name();
        let mut trouble = None;
        let each = |record: Record| {
            let place = Place { file: Some(&name), line: record.line, time: record.time };
            match show(&place, record.frame, sink) {
                Ok(()) => ControlFlow::Continue(()),
                Err(error) => {
                    trouble = Some(error);
                    ControlFlow::Break(())
                }
            }
        };
        let read = source.read(each);
        if let Some(error) = trouble {
            return Err(error);
        }
        let accounting = match read {
            Ok(accounting) => accounting,
            Err((error, accounting)) => {
                complain(&error.to_string());
                outcome = Outcome::Failed;
                accounting
            }
        };
        sink.flush()?;
        remark(&text::folded(&format!("{name}: "), 4, &accounting.to_string()));
    }
    if tracker.evicted() > 0 {
        remark(&format!("{} aircraft were forgotten, the memory being full\n", tracker.evicted()));
    }
    Ok(outcome)
}
