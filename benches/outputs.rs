//! What an output costs, in processor time of the whole program, beside a bare writer of the very same output: one that has
//! everything ready, decodes nothing, and only puts it together with the crates that the program uses.
//!
//! `cargo bench --bench outputs` measures a million frames of mixed traffic. The bare writer of tables compresses nothing.

mod traffic;

use itoa::Buffer;
use parquet::column::reader::{ColumnReader, ColumnReaderImpl};
use parquet::column::writer::ColumnWriter;
use parquet::data_type::DataType;
use parquet::errors::Result as Parquet;
use parquet::file::properties::WriterProperties;
use parquet::file::reader::{FileReader, SerializedFileReader};
use parquet::file::writer::SerializedFileWriter;
use parquet::schema::types::TypePtr;
use rustix::time::{ClockId, clock_gettime};
use std::fs::{self, File};
use std::hint::black_box;
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::Arc;
use std::time::Instant;

/// How often each is measured; the least counts.
const TURNS: usize = 3;
/// How many aircraft the traffic is of.
const AIRCRAFT: u64 = 200;

fn main() -> io::Result<()> {
    let frames = if std::env::args().any(|argument| argument == "--bench") { 1_000_000 } else { 2_000 };
    let room = Room::new()?;
    let capture = room.0.join("capture.txt");
    let mut out = BufWriter::new(File::create(&capture)?);
    traffic::write(&mut out, frames, AIRCRAFT)?;
    out.flush()?;
    println!("{frames} frames of mixed traffic; frames a second of processor time, and of the clock on two threads");
    for format in ["json", "csv"] {
        let written = room.0.join(format);
        let program = program(&capture, &["--format", format], Some(&written), frames)?;
        let text = fs::read(&written)?;
        let pieces = Piece::of(&text);
        let mut again = Vec::with_capacity(text.len() + 64);
        let bare = least(|| {
            again.clear();
            let start = thread_s();
            Piece::write(black_box(&pieces), &mut again);
            thread_s() - start
        });
        assert!(again == text, "the bare writer writes something else");
        told(format, &program, frames, bare, text.len());
    }
    let table = room.0.join("wide.parquet");
    let wide = program(&capture, &["--format", "parquet", "--out", path(&table), "--force"], None, frames)?;
    let bare = least(|| bare_parquet(std::slice::from_ref(&table)).expect("a table that was just written"));
    told("parquet, one wide table", &wide, frames, bare, fs::metadata(&table)?.len() as usize);
    let folder = room.0.join("tables");
    let arguments = ["--format", "parquet", "--out-dir", path(&folder), "--by", "message"];
    let mut best = Cost { processor_s: f64::INFINITY, clock_s: f64::INFINITY };
    for _ in 0..TURNS {
        let anew = |threads| {
            // Nothing is there the first time.
            drop(fs::remove_dir_all(&folder));
            run(&capture, &arguments, None, threads)
        };
        best = best.least(&anew(1)?, &anew(2)?);
    }
    let tables = tables(&folder)?;
    let octets = tables.iter().map(|table| fs::metadata(table).map(|data| data.len())).sum::<io::Result<u64>>()?;
    let bare = least(|| bare_parquet(&tables).expect("tables that were just written"));
    told("parquet, a table for each message", &best, frames, bare, octets as usize);
    Ok(())
}

fn told(what: &str, program: &Cost, frames: u64, bare_s: f64, octets: usize) {
    let rate = |seconds: f64| frames as f64 / seconds / 1e6;
    println!(
        "  {what:34} {:5.2} M/s, {:5.2} M/s by the clock; bare writer {:6.2} M/s; {} octets a frame",
        rate(program.processor_s),
        rate(program.clock_s),
        rate(bare_s),
        octets as u64 / frames,
    );
}

fn path(path: &Path) -> &str {
    path.to_str().expect("a temporary folder with a plain name")
}

/// A folder for as long as it is needed.
struct Room(PathBuf);

impl Room {
    fn new() -> io::Result<Self> {
        let room = std::env::temp_dir().join(format!("squitterlab-outputs-{}", std::process::id()));
        fs::create_dir_all(&room)?;
        Ok(Self(room))
    }
}

impl Drop for Room {
    fn drop(&mut self) {
        // Nothing is lost with a folder left behind.
        drop(fs::remove_dir_all(&self.0));
    }
}

fn least(mut seconds: impl FnMut() -> f64) -> f64 {
    (0..TURNS).map(|_| seconds()).fold(f64::INFINITY, f64::min)
}

/// Processor time of this thread, in seconds.
fn thread_s() -> f64 {
    let now = clock_gettime(ClockId::ThreadCPUTime);
    now.tv_sec as f64 + now.tv_nsec as f64 / 1e9
}

// The program ---------------------------------------------------------------------------------------------------------

/// Processor time on one thread; time by the clock on two.
struct Cost {
    processor_s: f64,
    clock_s: f64,
}

impl Cost {
    fn least(self, processor: &Self, clock: &Self) -> Self {
        Self { processor_s: self.processor_s.min(processor.processor_s), clock_s: self.clock_s.min(clock.clock_s) }
    }
}

fn program(capture: &Path, arguments: &[&str], out: Option<&Path>, frames: u64) -> io::Result<Cost> {
    let mut best = Cost { processor_s: f64::INFINITY, clock_s: f64::INFINITY };
    for _ in 0..if frames > 10_000 { TURNS } else { 1 } {
        best = best.least(&run(capture, arguments, out, 1)?, &run(capture, arguments, out, 2)?);
    }
    Ok(best)
}

fn run(capture: &Path, arguments: &[&str], out: Option<&Path>, threads: usize) -> io::Result<Cost> {
    let mut command = Command::new(env!("CARGO_BIN_EXE_squitterlab"));
    command.arg("decode").arg(capture).args(arguments).arg("--threads").arg(threads.to_string());
    command.stdout(out.map_or_else(|| Ok(Stdio::null()), |out| File::create(out).map(Stdio::from))?);
    let (before, start) = (children_s()?, Instant::now());
    let ended = command.stderr(Stdio::null()).status()?;
    let clock_s = start.elapsed().as_secs_f64();
    assert!(ended.success(), "{arguments:?}: {ended}");
    Ok(Cost { processor_s: children_s()? - before, clock_s })
}

/// Processor time of all ended children, in seconds, as the system counts it, in hundredths (proc(5): cutime, cstime).
fn children_s() -> io::Result<f64> {
    let text = fs::read_to_string("/proc/self/stat")?;
    let behind = text.rsplit_once(") ").map_or("", |(_, behind)| behind);
    let ticks = behind.split(' ').skip(13).take(2).map(|ticks| ticks.parse::<f64>().unwrap_or(f64::NAN));
    Ok(ticks.sum::<f64>() / 100.0)
}

// Text ----------------------------------------------------------------------------------------------------------------

/// What a text is put together from.
enum Piece<'a> {
    Text(&'a [u8]),
    Number(u64),
}

impl<'a> Piece<'a> {
    /// Takes a text apart: whole numbers, and what is between them.
    fn of(text: &'a [u8]) -> Vec<Self> {
        let (mut pieces, mut from, mut at) = (Vec::new(), 0, 0);
        let begins = |at: usize| matches!(text[at - 1], b':' | b',' | b'-' | b'[' | b'\n');
        while at < text.len() {
            let digits = text[at..].iter().take_while(|digit| digit.is_ascii_digit()).count();
            let ends = matches!(text.get(at + digits), Some(b',' | b'}' | b']' | b'.' | b'\n'));
            let is_number = at > 0 && begins(at) && ends && (1..=18).contains(&digits);
            if is_number && (digits == 1 || text[at] != b'0') {
                let number = text[at..at + digits].iter().fold(0, |sum, digit| sum * 10 + u64::from(digit - b'0'));
                pieces.extend([Self::Text(&text[from..at]), Self::Number(number)]);
                from = at + digits;
            }
            at += digits.max(1);
        }
        pieces.push(Self::Text(&text[from..]));
        pieces
    }

    fn write(pieces: &[Self], out: &mut Vec<u8>) {
        for piece in pieces {
            match piece {
                Self::Text(text) => out.extend_from_slice(text),
                Self::Number(number) => out.extend_from_slice(Buffer::new().format(*number).as_bytes()),
            }
        }
    }
}

// Tables --------------------------------------------------------------------------------------------------------------

/// The files of tables in a folder and what is in it.
fn tables(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() {
            found.extend(tables(&path)?);
        } else if path.extension().is_some_and(|end| end == "parquet") {
            found.push(path);
        }
    }
    Ok(found)
}

/// The cells of a column: values, and where there are some.
struct Cells<T: DataType> {
    values: Vec<T::T>,
    definition: Vec<i16>,
    repetition: Vec<i16>,
}

impl<T: DataType> Cells<T> {
    fn read(mut column: ColumnReaderImpl<T>) -> Parquet<Self> {
        let mut cells = Self { values: Vec::new(), definition: Vec::new(), repetition: Vec::new() };
        let Self { values, definition, repetition } = &mut cells;
        while column.read_records(usize::MAX, Some(definition), Some(repetition), values)?.0 > 0 {}
        Ok(cells)
    }
}

enum Column {
    Bool(Cells<parquet::data_type::BoolType>),
    Int32(Cells<parquet::data_type::Int32Type>),
    Int64(Cells<parquet::data_type::Int64Type>),
    Double(Cells<parquet::data_type::DoubleType>),
    Text(Cells<parquet::data_type::ByteArrayType>),
}

impl Column {
    fn read(column: ColumnReader) -> Parquet<Self> {
        Ok(match column {
            ColumnReader::BoolColumnReader(column) => Self::Bool(Cells::read(column)?),
            ColumnReader::Int32ColumnReader(column) => Self::Int32(Cells::read(column)?),
            ColumnReader::Int64ColumnReader(column) => Self::Int64(Cells::read(column)?),
            ColumnReader::DoubleColumnReader(column) => Self::Double(Cells::read(column)?),
            ColumnReader::ByteArrayColumnReader(column) => Self::Text(Cells::read(column)?),
            _ => panic!("a kind of column that no table has"),
        })
    }

    fn write(&self, column: &mut ColumnWriter<'_>) -> Parquet<usize> {
        macro_rules! write {
            ($cells:expr, $column:expr) => {{
                let repetition = (!$cells.repetition.is_empty()).then_some(&$cells.repetition[..]);
                $column.write_batch(&$cells.values, Some(&$cells.definition), repetition)
            }};
        }
        match (self, column) {
            (Self::Bool(cells), ColumnWriter::BoolColumnWriter(column)) => write!(cells, column),
            (Self::Int32(cells), ColumnWriter::Int32ColumnWriter(column)) => write!(cells, column),
            (Self::Int64(cells), ColumnWriter::Int64ColumnWriter(column)) => write!(cells, column),
            (Self::Double(cells), ColumnWriter::DoubleColumnWriter(column)) => write!(cells, column),
            (Self::Text(cells), ColumnWriter::ByteArrayColumnWriter(column)) => write!(cells, column),
            _ => panic!("a column is written as it was read"),
        }
    }
}

/// Seconds that the crate takes to write the columns of these tables, which are read into memory first.
fn bare_parquet(tables: &[PathBuf]) -> Parquet<f64> {
    let mut seconds = 0.0;
    for table in tables {
        let reader = SerializedFileReader::new(File::open(table)?)?;
        let schema: TypePtr = reader.metadata().file_metadata().schema_descr().root_schema_ptr();
        let properties = Arc::new(WriterProperties::builder().build());
        let mut writer = SerializedFileWriter::new(Vec::new(), schema, properties)?;
        for group in 0..reader.num_row_groups() {
            let group = reader.get_row_group(group)?;
            let columns = (0..group.num_columns()).map(|at| Column::read(group.get_column_reader(at)?));
            let columns = columns.collect::<Parquet<Vec<_>>>()?;
            let start = thread_s();
            let mut out = writer.next_row_group()?;
            for column in &columns {
                let mut next = out.next_column()?.expect("as many columns as were read");
                column.write(next.untyped())?;
                next.close()?;
            }
            out.close()?;
            seconds += thread_s() - start;
        }
        let start = thread_s();
        black_box(writer.into_inner()?);
        seconds += thread_s() - start;
    }
    Ok(seconds)
}
