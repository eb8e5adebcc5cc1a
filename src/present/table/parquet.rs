//! Parquet: the same table in columns, for engines that read only what a question needs. A row group is a stretch of the
//! capture, so it can be passed over by its times; the addresses of each have a Bloom filter, and its pages an index.

use super::chunk::{Chunk, Pages, Press};
use super::{Batch, ColumnType, Columns, SCHEMA};
use parquet::basic::{LogicalType, Repetition, TimeUnit, Type as Physical};
use parquet::column::writer::ColumnCloseResult;
use parquet::errors::{ParquetError, Result};
use parquet::file::metadata::KeyValue;
use parquet::file::properties::WriterProperties;
use parquet::file::writer::SerializedFileWriter;
use parquet::schema::types::Type;
use std::io::{self, Write};
use std::panic::resume_unwind;
use std::sync::Arc;
use std::sync::{Mutex, PoisonError};
use std::thread;

/// How many rows are a page of each column.
pub const PAGE: usize = 1 << 12;

/// The most rows of a group.
const GROUP: u64 = 1 << 20;

/// Of one file, more than this in memory is written as a group.
const MOST_IN_MEMORY: usize = 24 << 20;

/// About how much memory a row takes before it is part of a page.
const WAITING_ROW: usize = 300;

/// Writes a table.
pub struct Writer<W: Write + Send> {
    file: SerializedFileWriter<Footed<W>>,
    columns: Arc<Columns>,
    /// Rows that are not yet a page.
    waiting: Batch,
    /// The group in the making.
    chunks: Vec<Chunk>,
    rows_of_group: u64,
    rows: u64,
    page: usize,
    most_in_memory: usize,
    /// How many threads write the columns of a group.
    threads: usize,
}

fn named(error: ParquetError) -> io::Error {
    match error {
        ParquetError::External(error) => match error.downcast::<io::Error>() {
            Ok(error) => *error,
            Err(error) => io::Error::other(error),
        },
        error => io::Error::other(error),
    }
}

impl<W: Write + Send> Writer<W> {
    /// Begins a file with these columns, whose pages this many threads write; it is the same file for any number.
    ///
    /// # Errors
    /// As the output has them.
    pub fn new(out: W, columns: Arc<Columns>, threads: usize) -> io::Result<Self> {
        let properties = WriterProperties::builder()
            .set_created_by(concat!("squitterlab ", env!("CARGO_PKG_VERSION")).to_owned())
            .build();
        let out = Footed { inner: out, held: None };
        let file = SerializedFileWriter::new(out, schema(&columns).map_err(named)?, Arc::new(properties));
        let mut writer = Self {
            file: file.map_err(named)?,
            waiting: Batch::new(Arc::clone(&columns)),
            columns,
            chunks: Vec::new(),
            rows_of_group: 0,
            rows: 0,
            page: PAGE,
            most_in_memory: MOST_IN_MEMORY,
            threads,
        };
        writer.note("schema", SCHEMA);
        writer.note("program", concat!("squitterlab ", env!("CARGO_PKG_VERSION")));
        Ok(writer)
    }

    /// Appends rows.
    ///
    /// # Errors
    /// As the output has them.
    pub fn push(&mut self, batch: &Batch) -> io::Result<()> {
        self.waiting.append(batch);
        self.rows += batch.rows() as u64;
        if self.waiting.rows() >= self.page {
            self.write_page().map_err(named)?;
            if self.rows_of_group >= GROUP || self.octets() > self.most_in_memory {
                self.end_group()?;
            }
        }
        Ok(())
    }

    /// How many rows were appended.
    pub fn rows(&self) -> u64 {
        self.rows
    }

    /// About how much memory the group in the making takes.
    pub fn octets(&self) -> usize {
        self.chunks.iter().map(Chunk::octets).sum::<usize>() + self.waiting.rows() * WAITING_ROW
    }

    /// Says something of the whole file.
    pub fn note(&mut self, key: &str, value: &str) {
        self.file.append_key_value_metadata(KeyValue::new(key.to_owned(), value.to_owned()));
    }

    /// Ends the file.
    ///
    /// # Errors
    /// As the output has them.
    pub fn close(mut self) -> io::Result<W> {
        self.end_group()?;
        self.file.flush()?;
        self.file.inner_mut().held = Some(Vec::new());
        let columns = self.file.schema_descr().num_columns();
        self.file.into_inner().map_err(named)?.release(columns)
    }

    /// Makes pages of the rows that wait, a column after the other.
    fn write_page(&mut self) -> Result<()> {
        if self.waiting.rows() == 0 {
            return Ok(());
        }
        if self.chunks.is_empty() {
            let descriptions = self.file.schema_descr().columns();
            let columns = descriptions.iter().zip(self.columns.list());
            self.chunks = columns.map(|(description, column)| Chunk::new(description.clone(), column.kind)).collect();
        }
        self.rows_of_group += self.waiting.rows() as u64;
        let waiting = &self.waiting;
        let each = |press: &mut Press, (column, chunk): (usize, &mut Chunk)| chunk.write(press, waiting, column);
        spread(self.threads, self.chunks.iter_mut().enumerate(), each)?;
        self.waiting.clear();
        Ok(())
    }

    /// Writes what is in memory as a group of its own.
    ///
    /// # Errors
    /// As the output has them.
    pub fn end_group(&mut self) -> io::Result<()> {
        self.write_page().and_then(|()| self.write_group()).map_err(named)
    }

    fn write_group(&mut self) -> Result<()> {
        if self.chunks.is_empty() {
            return Ok(());
        }
        let mut group = self.file.next_row_group()?;
        let mut press = Press::new();
        for chunk in self.chunks.drain(..) {
            let (pages, closed): (Pages, ColumnCloseResult) = chunk.finish(&mut press)?;
            group.append_column(&pages, closed)?;
        }
        self.rows_of_group = 0;
        group.close().map(drop)
    }
}

/// Does work on all of these: each thread takes the next one that nobody has taken.
fn spread<T: Send>(
    threads: usize,
    all: impl Iterator<Item = T> + Send,
    each: impl Fn(&mut Press, T) -> Result<()> + Sync,
) -> Result<()> {
    let all = Mutex::new(all);
    let work = || {
        let mut press = Press::new();
        loop {
            let next = all.lock().unwrap_or_else(PoisonError::into_inner).next();
            let Some(next) = next else { return Ok(()) };
            each(&mut press, next)?;
        }
    };
    thread::scope(|scope| {
        // If the system has no more threads to give, those that there are do the work.
        let start = |_| thread::Builder::new().spawn_scoped(scope, work).ok();
        let others: Vec<_> = (1..threads).map_while(start).collect();
        work()?;
        others.into_iter().try_for_each(|other| other.join().unwrap_or_else(|panic| resume_unwind(panic)))
    })
}

fn schema(columns: &Columns) -> Result<Arc<Type>> {
    let text = || Some(LogicalType::String);
    let field = |name: &str, kind| {
        let (physical, logical) = match kind {
            ColumnType::Bool => (Physical::BOOLEAN, None),
            ColumnType::Code => (Physical::INT32, None),
            ColumnType::Integer => (Physical::INT64, None),
            ColumnType::Time => (Physical::INT64, Some(LogicalType::timestamp(true, TimeUnit::MICROS))),
            ColumnType::Decimal => (Physical::DOUBLE, None),
            ColumnType::Word | ColumnType::Text | ColumnType::File | ColumnType::Address | ColumnType::Frame => {
                (Physical::BYTE_ARRAY, text())
            }
            ColumnType::Registers => return list(name, text()),
        };
        let field = Type::primitive_type_builder(name, physical).with_repetition(Repetition::OPTIONAL);
        field.with_logical_type(logical).build().map(Arc::new)
    };
    let fields = columns.list().iter().map(|column| field(&column.name, column.kind)).collect::<Result<Vec<_>>>()?;
    Type::group_type_builder("frames").with_fields(fields).build().map(Arc::new)
}

/// A list of texts, in the three storeys that the format asks for.
fn list(name: &str, of: Option<LogicalType>) -> Result<Arc<Type>> {
    let element = Type::primitive_type_builder("element", Physical::BYTE_ARRAY).with_repetition(Repetition::REQUIRED);
    let element = Arc::new(element.with_logical_type(of).build()?);
    let all = Type::group_type_builder("list").with_repetition(Repetition::REPEATED).with_fields(vec![element]);
    let all = Arc::new(all.build()?);
    let list = Type::group_type_builder(name).with_repetition(Repetition::OPTIONAL).with_fields(vec![all]);
    list.with_logical_type(Some(LogicalType::List)).build().map(Arc::new)
}

/// An output whose end is held until it is known whole: the crate says of columns of numbers with decimals that their
/// bounds are in an order that most engines do not know, and then do not use. None of these numbers is "not a number",
/// so the bounds are the same in the order that every engine knows, and the end says that one.
struct Footed<W> {
    inner: W,
    held: Option<Vec<u8>>,
}

impl<W: Write> Footed<W> {
    /// Writes the end with the usual order for this many columns.
    fn release(mut self, columns: usize) -> io::Result<W> {
        if let Some(mut end) = self.held.take() {
            // The orders are the last of the description: a field each, of a number, without content; then the end of the
            // description, its length in four octets, and four letters.
            const ORDER: usize = 3;
            const USUAL: u8 = 0x1C;
            let after = end.len().saturating_sub(4 + 4 + 1);
            if let Some(orders) = after.checked_sub(ORDER * columns).map(|first| &mut end[first..after])
                && orders.chunks_exact(ORDER).all(|order| order[0] & 0x0F == USUAL & 0x0F && order[1..] == [0, 0])
            {
                orders.chunks_exact_mut(ORDER).for_each(|order| order[0] = USUAL);
            }
            self.inner.write_all(&end)?;
        }
        Ok(self.inner)
    }
}

impl<W: Write> Write for Footed<W> {
    fn write(&mut self, octets: &[u8]) -> io::Result<usize> {
        match &mut self.held {
            Some(held) => held.write(octets),
            None => self.inner.write(octets),
        }
    }

    fn flush(&mut self) -> io::Result<()> {
        self.inner.flush()
    }
}
