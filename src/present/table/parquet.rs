//! Parquet: the same table in columns, for engines that read only what a question needs. A row group is a stretch of the
//! capture, so it can be passed over by its times; the addresses of each have a Bloom filter.

use super::{Batch, Columns, Kind, chunk};
use parquet::basic::{Compression, LogicalType, Repetition, Type as Physical};
use parquet::data_type::ByteArray;
use parquet::errors::{ParquetError, Result};
use parquet::file::metadata::KeyValue;
use parquet::file::properties::{WriterProperties, WriterPropertiesPtr};
use parquet::file::writer::SerializedFileWriter;
use parquet::schema::types::{ColumnPath, Type};
use std::io::{self, Write};
use std::panic::resume_unwind;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

/// The column with a Bloom filter.
const FILTERED: &str = "address";

/// How many rows are kept in memory, and then written as a group.
const GROUP: usize = 1 << 16;

/// Writes a table.
pub struct Writer<W: Write + Send> {
    file: SerializedFileWriter<W>,
    properties: WriterPropertiesPtr,
    columns: Columns,
    group: Batch,
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
    /// Begins a file with these columns, whose groups so many threads write; it is the same file for any number.
    ///
    /// # Errors
    /// As the output has them.
    pub fn new(out: W, columns: Columns, threads: usize) -> io::Result<Self> {
        let mut properties = WriterProperties::builder()
            .set_compression(Compression::SNAPPY)
            .set_created_by(concat!("squitterlab ", env!("CARGO_PKG_VERSION")).to_owned())
            .set_dictionary_enabled(false)
            .set_column_bloom_filter_enabled(ColumnPath::from(FILTERED), true);
        // Of text there are few different ones.
        for column in columns.list().iter().filter(|column| column.kind == Kind::Text) {
            properties = properties.set_column_dictionary_enabled(ColumnPath::from(&*column.name), true);
        }
        let properties = Arc::new(properties.build());
        let file = SerializedFileWriter::new(out, schema(&columns).map_err(named)?, Arc::clone(&properties));
        Ok(Self { file: file.map_err(named)?, properties, group: columns.batch(), columns, threads })
    }

    /// Appends rows.
    ///
    /// # Errors
    /// As the output has them.
    pub fn push(&mut self, batch: &Batch) -> io::Result<()> {
        self.group.append(batch);
        if self.group.rows() >= GROUP { self.write_group().map_err(named) } else { Ok(()) }
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
        self.write_group().map_err(named)?;
        self.file.into_inner().map_err(named)
    }

    fn write_group(&mut self) -> Result<()> {
        if self.group.rows == 0 {
            return Ok(());
        }
        let (columns, cells, rows) = (self.columns.list().len(), &self.group.columns, self.group.rows);
        let words: Vec<ByteArray> = self.group.words.iter().map(|word| ByteArray::from(&**word)).collect();
        let descriptions = self.file.schema_descr().columns();
        let next = AtomicUsize::new(0);
        // Each thread takes the next column that nobody has taken.
        let written = || {
            let mut chunks = Vec::new();
            loop {
                let at = next.fetch_add(1, Ordering::Relaxed);
                if at >= columns {
                    return Ok::<_, ParquetError>(chunks);
                }
                let (octets, closed) = chunk::write(&descriptions[at], &self.properties, rows, &cells[at], &words)?;
                chunks.push((at, octets, closed));
            }
        };
        let mut chunks = thread::scope(|scope| {
            // If the system has no more threads to give, those that there are do the work.
            let start = |_| thread::Builder::new().spawn_scoped(scope, written).ok();
            let others: Vec<_> = (1..self.threads).map_while(start).collect();
            let mut chunks = written()?;
            for other in others {
                chunks.extend(other.join().unwrap_or_else(|panic| resume_unwind(panic))?);
            }
            Ok::<_, ParquetError>(chunks)
        })?;
        chunks.sort_by_key(|(at, ..)| *at);
        self.group.clear();
        let mut group = self.file.next_row_group()?;
        for (_, octets, closed) in chunks {
            group.append_column(&octets, closed)?;
        }
        group.close().map(drop)
    }
}

fn schema(columns: &Columns) -> Result<Arc<Type>> {
    let field = |name: &str, kind| {
        let (physical, logical) = match kind {
            Kind::Bool => (Physical::BOOLEAN, None),
            Kind::Integer => (Physical::INT64, None),
            Kind::Decimal => (Physical::DOUBLE, None),
            Kind::Text | Kind::Frame => (Physical::BYTE_ARRAY, Some(LogicalType::String)),
        };
        let field = Type::primitive_type_builder(name, physical).with_repetition(Repetition::OPTIONAL);
        field.with_logical_type(logical).build().map(Arc::new)
    };
    let fields = columns.list().iter().map(|column| field(&column.name, column.kind)).collect::<Result<Vec<_>>>()?;
    Type::group_type_builder("frames").with_fields(fields).build().map(Arc::new)
}
