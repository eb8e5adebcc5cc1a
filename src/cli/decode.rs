//! `decode`: captured text to decoded frames.

use super::dataset::{self, By, Dataset, Sorter};
use super::input::{Captures, Folders, captures, expanded};
use super::output::{Sink, complain, print, reader_gone, remark, report_end};
use super::progress::Progress;
use super::{Outcome, Threads, Times, position, register, whole};
use clap::{Args, ValueEnum};
use squitterlab::capture::{Accounting, BufferPool, End, Record, Source, blocks, frame_by_hand, ordered_pool};
use squitterlab::code::RegisterNumber;
use squitterlab::code::compact_position::Position;
use squitterlab::downlink::Decoded;
use squitterlab::frame::Frame;
use squitterlab::present::json::{self, Place};
use squitterlab::present::table::{Batch, Columns, Tabulator, csv, parquet};
use squitterlab::present::{schema, text};
use squitterlab::track::{Observation, Tracker};
use std::fs;
use std::io::{self, Write};
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::sync::Arc;

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  squitterlab decode vectors/demo/good_air.txt
  squitterlab decode --frame 8DA5C0355826852F727E44BE557D \\
      --reference 44.5,-103.25 --format json
  zcat night.txt.gz | squitterlab decode - --format json
  squitterlab decode vectors/demo/good_air.txt --format parquet \\
      --out-dir tables --by message --column receiver=north")]
pub struct Arguments {
    /// Captured text, plain, gzip or zstd; a folder; a pattern with * and ? in quotation marks; - or nothing is standard input
    #[arg(value_name = "FILE")]
    files: Vec<PathBuf>,
    /// A frame as hexadecimal digits; repeatable
    #[arg(long, value_name = "HEX", value_parser = frame_by_hand)]
    frame: Vec<Frame>,
    /// Text, one JSON object per frame, or a table with one row per frame
    #[arg(long, value_enum, default_value_t = Format::Text)]
    pub format: Format,
    /// A position near the aircraft: within 180 NM in the air, 45 NM on the ground
    #[arg(long, value_name = "LAT,LON", value_parser = position, allow_hyphen_values = true)]
    reference: Option<Position>,
    /// The register that Comm-B replies carry
    #[arg(long, value_name = "B,N", value_parser = register)]
    register: Option<RegisterNumber>,
    /// Read every aircraft's messages in this version of the standard
    #[arg(long, value_name = "N", value_parser = whole::<u8>(0..=7))]
    version_in_force: Option<u8>,
    #[command(flatten)]
    times: Times,
    #[command(flatten)]
    threads: Threads,
    /// Write to this file instead of standard output
    #[arg(long, value_name = "FILE", group = "written")]
    out: Option<PathBuf>,
    /// Write a table for each message into this folder; captures that are in it already are left out
    #[arg(long, value_name = "DIR", value_parser = super::folder(), group = "written", conflicts_with = "frame")]
    out_dir: Option<PathBuf>,
    /// How these tables are split: by message, and after a comma by hour, date or source
    #[arg(long, value_name = "MESSAGE[,CUT]", default_value = "message")]
    #[arg(requires = "out_dir", conflicts_with_all = ["out", "frame"])]
    by: By,
    /// An extra column in each table, with the same text in every row; repeatable
    #[arg(long, value_name = "NAME=VALUE", value_parser = column)]
    column: Vec<(String, String)>,
    /// Overwrite the file if it is there; with --out-dir, decode anew what is in the folder already
    #[arg(long, requires = "written")]
    pub force: bool,
    /// Print a JSON Schema: of a frame's object, or of the manifest of a folder of tables
    #[arg(long, value_enum, value_name = "SHAPE", num_args = 0..=1, default_missing_value = "frame")]
    schema: Option<Shape>,
}

/// What a schema is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Shape {
    /// A frame's object
    Frame,
    /// The manifest of a capture in a folder of tables
    Manifest,
}

/// What the frames are written as.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// For people
    Text,
    /// One object per line, for programs
    Json,
    /// A table with one row per frame, comma-separated
    Csv,
    /// The same table as a Parquet file
    Parquet,
}

/// Reads a column that is the same in every row.
fn column(text: &str) -> Result<(String, String), String> {
    let wanted = "write a name of small letters, digits and _, then = and the text, such as receiver=north";
    let (name, value) = text.split_once('=').ok_or(wanted)?;
    let is_plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_';
    let begins_with_a_letter = name.starts_with(|c: char| c.is_ascii_lowercase());
    if begins_with_a_letter && name.chars().all(is_plain) {
        Ok((name.to_owned(), value.to_owned()))
    } else {
        Err(format!("{name:?} cannot be the name of a column; {wanted}"))
    }
}

impl Arguments {
    fn is_table(&self) -> bool {
        matches!(self.format, Format::Csv | Format::Parquet)
    }

    /// What decides how a capture is decoded and cut, as a manifest has it.
    pub fn options(&self, by: &str) -> serde_json::Value {
        let columns: serde_json::Map<_, _> =
            self.column.iter().map(|(name, value)| (name.clone(), value.clone().into())).collect();
        serde_json::json!({
            "format": if self.format == Format::Csv { "csv" } else { "parquet" },
            "by": by,
            "column": columns,
            "reference": self.reference.map(|at| [at.latitude_deg, at.longitude_deg]),
            "register": self.register.map(|register| register.to_string()),
            "version_in_force": self.version_in_force,
            "time_format": self.times.form_name(),
            "zone": self.times.zone_name(),
        })
    }
}

pub fn run(arguments: &Arguments) -> io::Result<Outcome> {
    if let Some(shape) = arguments.schema {
        let text = match shape {
            Shape::Frame => schema::printed(&schema::decode()),
            Shape::Manifest => {
                format!("{:#}\n", schema::schema::<dataset::Manifest>("A capture in a folder of tables", "manifest/1"))
            }
        };
        return print(&text).map(|()| Outcome::Done);
    }
    let mut names = arguments.files.clone();
    if names.is_empty() && arguments.frame.is_empty() {
        names.push("-".into());
    }
    let only_of_tables = |what: &str| {
        complain(&format!("{what} is of tables; add --format parquet or --format csv"));
        Ok(Outcome::Failed)
    };
    if !arguments.is_table() && arguments.out_dir.is_some() {
        return only_of_tables("--out-dir");
    }
    if !arguments.is_table() && !arguments.column.is_empty() {
        return only_of_tables("--column");
    }
    let mut columns: Vec<&str> = arguments.column.iter().map(|(name, _)| name.as_str()).collect();
    columns.sort_unstable();
    if let Some([twice, _]) = columns.array_windows().find(|[one, other]| one == other) {
        complain(&format!("--column {twice}: given twice; keep one, or give one of them another name"));
        return Ok(Outcome::Failed);
    }
    let Times { time_format, zone } = &arguments.times;
    if names.is_empty() && (time_format.is_some() || zone.is_some()) {
        let why = "--time-format and --zone are for captures; a frame by hand has no time";
        complain(&format!("{why}: name a capture, or leave them out"));
        return Ok(Outcome::Failed);
    }
    let Some(names) = expanded(&names, Folders::Searched { except: arguments.out_dir.as_deref() }) else {
        return Ok(Outcome::Failed);
    };
    if let Some(folder) = &arguments.out_dir {
        return decode_into(arguments, &names, folder);
    }
    let Some(Captures { sources, missing }) = captures(&names) else { return Ok(Outcome::Failed) };
    let not_written = |why: &str| {
        if let Some(out) = &arguments.out {
            complain(&format!("{}: not written, since {why}", out.display()));
        }
        Ok(Outcome::Failed)
    };
    if arguments.out.is_some() && !missing.is_empty() {
        for why in &missing {
            complain(why);
        }
        return not_written("not all captures are there");
    }
    let mut sink = Sink::open(arguments.out.as_deref(), arguments.force)?;
    match decode_all(arguments, sources, &mut sink)? {
        // What could not be read whole leaves no file that looks whole.
        Outcome::Failed if arguments.out.is_some() => {
            not_written("not all could be read; without --out, what can be read goes to standard output")
        }
        outcome => sink.close().map(|()| outcome),
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
    /// With the last frames of a block: how much of the source was read with it, and the account of its lines.
    read: Option<(u64, Accounting)>,
    /// With the last frames of a source.
    end: Option<Ended>,
}

/// What is known at the end of a source.
struct Ended {
    how: End,
    accounting: Accounting,
    digest: Option<String>,
    /// How many aircraft were forgotten so far.
    evicted: u64,
}

/// This many octets are read at a time: what is written of them is thirty times as much.
const BLOCK: usize = 1 << 15;
/// Of tables by message more at a time, since each of them has only some of the rows.
const BLOCK_BY_MESSAGE: usize = 1 << 16;

/// A table is made by at most this many threads, so that no more than 64 MiB are needed (measured).
const MOST_FOR_A_TABLE: usize = 2;

/// Follows the aircraft through everything that is to be decoded, in order.
fn chunks(
    arguments: &Arguments,
    sources: Vec<Source>,
    spare: BufferPool<Seen>,
) -> impl Iterator<Item = Chunk> + Send + use<> {
    let register = arguments.register;
    let mut tracker = Tracker::new(arguments.reference, arguments.version_in_force);
    let see = move |tracker: &mut Tracker, record: Record| Seen {
        observation: tracker.observe(&decoded(record.frame, register), record.time),
        record,
    };
    let by_hand = arguments.frame.iter().map(|frame| Record { line: 0, time: None, frame: *frame });
    let by_hand =
        Chunk { source: None, seen: by_hand.map(|record| see(&mut tracker, record)).collect(), read: None, end: None };
    let (mut accounting, clock) = (Accounting::default(), arguments.times.clock());
    let by_itself = arguments.out_dir.is_some();
    let (reference, version) = (arguments.reference, arguments.version_in_force);
    let octets = if by_itself { BLOCK_BY_MESSAGE } else { BLOCK };
    let mut last = 0;
    let captured = blocks(sources, octets, by_itself || arguments.format == Format::Parquet).map(move |block| {
        if by_itself && block.source != last {
            tracker = Tracker::new(reference, version);
            last = block.source;
        }
        let mut seen = spare.take();
        let of_block = block.read(&clock, |record| {
            // With nobody left to read it only the account of the lines is wanted.
            if !reader_gone() {
                seen.push(see(&mut tracker, record));
            }
            ControlFlow::Continue(())
        });
        accounting.add(&of_block);
        let accounting = block.end.is_some().then(|| std::mem::take(&mut accounting));
        let end = block.end.zip(accounting).map(|(how, accounting)| Ended {
            how,
            accounting,
            digest: block.digest,
            evicted: tracker.evicted(),
        });
        Chunk { source: Some(block.source), seen, read: Some((block.octets, of_block)), end }
    });
    std::iter::once(by_hand).chain(captured)
}

fn decoded(frame: Frame, register: Option<RegisterNumber>) -> Decoded {
    let decoded = Decoded::new(frame);
    register.map_or(decoded, |register| decoded.with_register(register))
}

fn decode_all(arguments: &Arguments, sources: Vec<Source>, sink: &mut Sink) -> io::Result<Outcome> {
    let names: Arc<[String]> = sources.iter().map(Source::name).collect();
    let has_end: Vec<bool> = sources.iter().map(has_end).collect();
    // Only tables have columns.
    let mut columns = if arguments.is_table() { Columns::new(arguments.register) } else { Columns::default() };
    for (name, value) in &arguments.column {
        columns = match columns.with_constant(name, value) {
            Ok(columns) => columns,
            Err(error) => {
                complain(&format!("--column {name}: {error}"));
                return Ok(Outcome::Failed);
            }
        };
    }
    let columns = Arc::new(columns);
    let threads = arguments.threads.count();
    let threads = if arguments.format == Format::Parquet { threads.min(MOST_FOR_A_TABLE) } else { threads };
    let mut output = Output::new(arguments.format, sink, &columns, threads)?;
    let (format, register) = (arguments.format, arguments.register);
    let (spare, spare_seen) = (BufferPool::default(), BufferPool::default());
    let renderer = {
        let (names, spare, spare_seen) = (Arc::clone(&names), spare.clone(), spare_seen.clone());
        move || {
            let (names, spare, spare_seen) = (Arc::clone(&names), spare.clone(), spare_seen.clone());
            let mut tabulator = Tabulator::new(Arc::clone(&columns));
            move |mut chunk: Chunk| {
                let file = chunk.source.map(|source| names[source].as_str());
                let mut text = spare.take();
                for Seen { record, observation } in &chunk.seen {
                    let place = &Place { file, line: record.line, time: record.time };
                    let decoded = &observation.version.read(decoded(record.frame, register));
                    match format {
                        Format::Text => text.extend_from_slice(text::frame(place, decoded, observation).as_bytes()),
                        Format::Json => {
                            json::write_frame(place, decoded, observation, &mut text);
                            text.push(b'\n');
                        }
                        Format::Csv | Format::Parquet => tabulator.push(place, decoded, observation),
                    }
                }
                chunk.seen.clear();
                spare_seen.give(chunk.seen);
                let batch = tabulator.take();
                if format == Format::Csv {
                    csv::rows(&batch, &mut text);
                }
                (text, batch, chunk.source, chunk.read, chunk.end)
            }
        }
    };
    let mut outcome = Outcome::Done;
    let mut forgotten = 0;
    let mut progress = Progress::new(&sources, arguments.out.is_none());
    for (mut text, batch, source, read, end) in ordered_pool(threads, chunks(arguments, sources, spare_seen), renderer)
    {
        output.write(&text, &batch)?;
        text.clear();
        spare.give(text);
        let Some(source) = source else { continue };
        if let Some((octets, accounting)) = read {
            progress.at(source, octets, &accounting);
        }
        let Some(ended) = end else {
            if reader_gone() && !has_end[source] {
                break;
            }
            continue;
        };
        output.flush()?;
        let name = &names[source];
        forgotten = ended.evicted;
        outcome = if report_end(name, &ended.how) { outcome } else { Outcome::Failed };
        remark(&text::folded(&format!("{name}: "), 4, &ended.accounting.to_string()));
        output.note(name, &ended);
    }
    output.close()?;
    if forgotten > 0 {
        remark(&format!("{forgotten} aircraft were forgotten because the memory was full\n"));
    }
    Ok(outcome)
}

/// Decodes into a folder of tables, each capture by itself.
fn decode_into(arguments: &Arguments, names: &[PathBuf], folder: &Path) -> io::Result<Outcome> {
    let tables = match dataset::tables(arguments.register, &arguments.column) {
        Ok(tables) => tables,
        Err(why) => {
            complain(&format!("--column: {why}"));
            return Ok(Outcome::Failed);
        }
    };
    let threads = arguments.threads.count();
    let threads = if arguments.format == Format::Parquet { threads.min(MOST_FOR_A_TABLE) } else { threads };
    let mut dataset = Dataset::open(arguments, folder, arguments.by, &tables, threads)?;
    let (mut new, mut there) = (Vec::new(), 0);
    for path in names {
        let name = path.display().to_string();
        match dataset.has(&name) {
            Ok(true) => there += 1,
            Ok(false) => new.push(path.clone()),
            Err(why) => {
                complain(&why);
                return Ok(Outcome::Failed);
            }
        }
    }
    if there > 0 {
        let captures = if there == 1 { "1 capture is".to_owned() } else { format!("{there} captures are") };
        remark(&format!(
            "{captures} in this data set already, unchanged, and left out
"
        ));
    }
    // What cannot be opened says so when its turn comes.
    let Some(Captures { sources, .. }) = captures(&new) else { return Ok(Outcome::Failed) };
    let names: Arc<[String]> = sources.iter().map(Source::name).collect();
    let (register, is_text, by) = (arguments.register, arguments.format == Format::Csv, arguments.by);
    let spare_seen = BufferPool::default();
    let sorter = {
        let (names, spare_seen) = (Arc::clone(&names), spare_seen.clone());
        move || {
            let (names, spare_seen) = (Arc::clone(&names), spare_seen.clone());
            let mut sorter = Sorter::new(by, is_text, &tables);
            move |mut chunk: Chunk| {
                let file = chunk.source.map(|source| names[source].as_str());
                for Seen { record, observation } in &chunk.seen {
                    let place = &Place { file, line: record.line, time: record.time };
                    let decoded = &observation.version.read(decoded(record.frame, register));
                    sorter.push(place, decoded, observation);
                }
                chunk.seen.clear();
                spare_seen.give(chunk.seen);
                (sorter.take(), chunk.source, chunk.read, chunk.end)
            }
        }
    };
    let (mut outcome, mut forgotten) = (Outcome::Done, 0);
    let mut progress = Progress::new(&sources, false);
    for (rows, source, read, end) in ordered_pool(threads, chunks(arguments, sources, spare_seen), sorter) {
        let Some(source) = source else { continue };
        let name = &names[source];
        for (key, rows) in &rows {
            dataset.write(name, *key, rows)?;
        }
        if let Some((octets, accounting)) = read {
            progress.at(source, octets, &accounting);
        }
        let Some(ended) = end else { continue };
        forgotten += ended.evicted;
        report_end(name, &ended.how);
        remark(&text::folded(&format!("{name}: "), 4, &ended.accounting.to_string()));
        if dataset.end(name, &ended.how, &ended.accounting, ended.digest)? == Outcome::Failed {
            outcome = Outcome::Failed;
        }
    }
    if forgotten > 0 {
        remark(&format!("{forgotten} aircraft were forgotten because the memory was full\n"));
    }
    Ok(outcome)
}

/// Whether reading this source comes to an end. If the reader of the results goes away, files are still read to their end,
/// since whether they are whole decides the exit status; standard input and devices may go on for ever, and are left.
fn has_end(source: &Source) -> bool {
    match source {
        Source::File(path) => fs::metadata(path).map_or(true, |file| file.is_file()),
        Source::StandardInput => false,
    }
}

/// Where decoded frames go.
enum Output<'a> {
    Lines(&'a mut Sink),
    /// And what is to be said of its sources.
    Parquet(Box<parquet::Writer<&'a mut Sink>>, Vec<serde_json::Value>),
}

impl<'a> Output<'a> {
    fn new(format: Format, sink: &'a mut Sink, columns: &Arc<Columns>, threads: usize) -> io::Result<Self> {
        match format {
            Format::Csv => sink.write_all(csv::names(columns).as_bytes())?,
            Format::Parquet => {
                let writer = parquet::Writer::new(sink, Arc::clone(columns), threads)?;
                return Ok(Self::Parquet(Box::new(writer), Vec::new()));
            }
            Format::Text | Format::Json => {}
        }
        Ok(Self::Lines(sink))
    }

    fn write(&mut self, text: &[u8], batch: &Batch) -> io::Result<()> {
        match self {
            Self::Lines(sink) => sink.write_all(text),
            Self::Parquet(writer, _) => writer.push(batch),
        }
    }

    fn flush(&mut self) -> io::Result<()> {
        match self {
            Self::Lines(sink) => sink.flush(),
            // Its rows are written a group at a time.
            Self::Parquet(..) => Ok(()),
        }
    }

    /// Says of the whole table where it comes from, if its format has a place for that.
    fn note(&mut self, name: &str, ended: &Ended) {
        match self {
            Self::Lines(_) => {}
            Self::Parquet(_, sources) => {
                let mut about = serde_json::json!(ended.accounting);
                about["file"] = name.into();
                about["sha256"] = ended.digest.clone().into();
                about["read_whole"] = (!matches!(ended.how, End::Broken(_))).into();
                sources.push(about);
            }
        }
    }

    fn close(self) -> io::Result<()> {
        match self {
            Self::Lines(sink) => sink.flush(),
            Self::Parquet(mut writer, sources) => {
                writer.note("sources", &serde_json::Value::from(sources).to_string());
                writer.close()?.flush()
            }
        }
    }
}
