//! `decode`: captured text to decoded frames.

use super::output::{Sink, remark, report_end};
use super::{Format, Outcome, Threads, position, register};
use clap::Args;
use squitterlab::capture::{Accounting, End, Record, Source, blocks, in_order};
use squitterlab::code::RegisterNumber;
use squitterlab::code::compact_position::Position;
use squitterlab::downlink::Decoded;
use squitterlab::frame::Frame;
use squitterlab::present::json::{self, Place};
use squitterlab::present::text;
use squitterlab::track::{Observation, Tracker};
use std::io::{self, Write};
use std::ops::ControlFlow;
use std::path::PathBuf;
use std::sync::Arc;

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
    #[command(flatten)]
    threads: Threads,
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

/// A frame with what the frames before it add.
struct Seen {
    record: Record,
    observation: Observation,
}

/// Frames of one source, few enough that what is shown of them takes little memory.
struct Chunk {
    /// Which source; none for frames given by hand.
    source: Option<usize>,
    seen: Vec<Seen>,
    /// With the last frames of a source: how it ended, the account of its lines, and how many aircraft were forgotten so
    /// far.
    end: Option<(End, Accounting, u64)>,
}

const CHUNK: usize = 1024;

/// Follows the aircraft through everything that is to be decoded, in order.
fn chunks(arguments: &Arguments, sources: Vec<Source>) -> impl Iterator<Item = Chunk> + Send + use<> {
    let register = arguments.register;
    let mut tracker = Tracker::new(arguments.reference, arguments.version_in_force);
    let see = move |tracker: &mut Tracker, record: Record| Seen {
        observation: tracker.observe(&decoded(record.frame, register), record.time),
        record,
    };
    let by_hand = arguments.frame.iter().map(|frame| Record { line: 0, time: None, frame: *frame });
    let by_hand = Chunk { source: None, seen: by_hand.map(|record| see(&mut tracker, record)).collect(), end: None };
    let mut accounting = Accounting::default();
    let captured = blocks(sources).flat_map(move |block| {
        let new = || Chunk { source: Some(block.source), seen: Vec::with_capacity(CHUNK), end: None };
        let (mut chunks, mut chunk) = (Vec::new(), new());
        accounting.add(&block.read(|record| {
            if chunk.seen.len() == CHUNK {
                chunks.push(std::mem::replace(&mut chunk, new()));
            }
            chunk.seen.push(see(&mut tracker, record));
            ControlFlow::Continue(())
        }));
        chunk.end = block.end.map(|end| (end, std::mem::take(&mut accounting), tracker.evicted()));
        chunks.push(chunk);
        chunks
    });
    std::iter::once(by_hand).chain(captured)
}

fn decoded(frame: Frame, register: Option<RegisterNumber>) -> Decoded {
    let decoded = Decoded::new(frame);
    register.map_or(decoded, |register| decoded.with_register(register))
}

fn decode_all(arguments: &Arguments, sink: &mut Sink) -> io::Result<Outcome> {
    let mut sources: Vec<Source> = arguments.files.iter().map(|name| Source::from(name.as_str())).collect();
    if sources.is_empty() && arguments.frame.is_empty() {
        sources.push(Source::StandardInput);
    }
    let names: Arc<[String]> = sources.iter().map(Source::name).collect();
    let (format, register) = (arguments.format, arguments.register);
    let render = {
        let names = Arc::clone(&names);
        move |chunk: Chunk| {
            let mut shown = Vec::new();
            let file = chunk.source.map(|source| names[source].as_str());
            for Seen { record, observation } in &chunk.seen {
                let place = Place { file, line: record.line, time: record.time };
                let decoded = decoded(record.frame, register).in_version(observation.version.known());
                match format {
                    Format::Text => shown.extend_from_slice(text::frame(&place, &decoded, observation).as_bytes()),
                    Format::Json => {
                        // Writing to memory cannot fail.
                        let _ = writeln!(shown, "{}", json::frame(&place, &decoded, observation));
                    }
                }
            }
            (shown, chunk.source, chunk.end)
        }
    };
    let mut outcome = Outcome::Done;
    let mut forgotten = 0;
    for (shown, source, end) in in_order(arguments.threads.count(), chunks(arguments, sources), render) {
        sink.write_all(&shown)?;
        let (Some(source), Some((end, accounting, evicted))) = (source, end) else { continue };
        sink.flush()?;
        let name = &names[source];
        forgotten = evicted;
        outcome = if report_end(name, &end) { outcome } else { Outcome::Failed };
        remark(&text::folded(&format!("{name}: "), 4, &accounting.to_string()));
    }
    if forgotten > 0 {
        remark(&format!("{forgotten} aircraft were forgotten, the memory being full\n"));
    }
    Ok(outcome)
}
