//! Parquet: the same table in columns, for engines that read only what a question needs. A row group is a stretch of the
//! capture, so it can be passed over by its times; the addresses of each have a Bloom filter.

use super::{Batch, Cells, Columns, Kind, Values};
use bytes::Bytes;
use parquet::basic::{Compression, LogicalType, Repetition, Type as Physical};
use parquet::column::writer::ColumnWriter;
use parquet::data_type::ByteArray;
use parquet::errors::{ParquetError, Result};
use parquet::file::metadata::KeyValue;
use parquet::file::properties::WriterProperties;
use parquet::file::writer::SerializedFileWriter;
use parquet::schema::types::{ColumnPath, Type};
use std::borrow::Cow;
use std::io::{self, Write};
use std::sync::Arc;

/// How many rows are kept in memory, and then written as a group.
const GROUP: usize = 1 << 16;

/// Writes a table.
pub struct Writer<W: Write + Send> {
    file: SerializedFileWriter<W>,
    columns: Columns,
    group: Batch,
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
    /// Begins a file with these columns.
    ///
    /// # Errors
    /// As the output has them.
    pub fn new(out: W, columns: Columns) -> io::Result<Self> {
        let (address, text) = (ColumnPath::from("address"), |kind| kind == Kind::Text);
        let mut properties = WriterProperties::builder()
            .set_compression(Compression::SNAPPY)
            .set_created_by(concat!("squitterlab ", env!("CARGO_PKG_VERSION")).to_owned())
            .set_dictionary_enabled(false)
            .set_column_bloom_filter_enabled(address, true);
        // Of text there are few different ones, but for the frames.
        for column in columns.list().iter().filter(|column| text(column.kind) && column.name != "frame") {
            properties = properties.set_column_dictionary_enabled(ColumnPath::from(column.name), true);
        }
        let file = SerializedFileWriter::new(out, schema(&columns).map_err(named)?, Arc::new(properties.build()));
        Ok(Self { file: file.map_err(named)?, group: columns.batch(), columns })
    }

    /// Appends rows.
    ///
    /// # Errors
    /// As the output has them.
    pub fn push(&mut self, batch: Batch) -> io::Result<()> {
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
        let group = std::mem::replace(&mut self.group, self.columns.batch());
        if group.rows == 0 {
            return Ok(());
        }
        let mut writer = self.file.next_row_group()?;
        let mut levels = Vec::new();
        for cells in group.columns {
            levels.clear();
            levels.resize(group.rows as usize, 0);
            for row in &cells.rows {
                levels[*row as usize] = 1;
            }
            if let Some(mut column) = writer.next_column()? {
                write(column.untyped(), cells, &levels)?;
                column.close()?;
            }
        }
        writer.close().map(drop)
    }
}

fn schema(columns: &Columns) -> Result<Arc<Type>> {
    let field = |name: &str, kind| {
        let (physical, logical) = match kind {
            Kind::Bool => (Physical::BOOLEAN, None),
            Kind::Integer => (Physical::INT64, None),
            Kind::Decimal => (Physical::DOUBLE, None),
            Kind::Text => (Physical::BYTE_ARRAY, Some(LogicalType::String)),
        };
        let field = Type::primitive_type_builder(name, physical).with_repetition(Repetition::OPTIONAL);
        field.with_logical_type(logical).build().map(Arc::new)
    };
    let fields = columns.list().iter().map(|column| field(column.name, column.kind)).collect::<Result<Vec<_>>>()?;
    Type::group_type_builder("frames").with_fields(fields).build().map(Arc::new)
}

fn write(column: &mut ColumnWriter<'_>, cells: Cells, levels: &[i16]) -> Result<()> {
    let levels = Some(levels);
    let text = |text| match text {
        Cow::Borrowed(text) => ByteArray::from(Bytes::from_static(str::as_bytes(text))),
        Cow::Owned(text) => ByteArray::from(String::into_bytes(text)),
    };
    match (column, cells.values) {
        (ColumnWriter::BoolColumnWriter(column), Values::Bool(values)) => column.write_batch(&values, levels, None),
        (ColumnWriter::Int64ColumnWriter(column), Values::Integer(values)) => column.write_batch(&values, levels, None),
        (ColumnWriter::DoubleColumnWriter(column), Values::Decimal(values)) => {
            column.write_batch(&values, levels, None)
        }
        (ColumnWriter::ByteArrayColumnWriter(column), Values::Text(values)) => {
            let values: Vec<ByteArray> = values.into_iter().map(text).collect();
            column.write_batch(&values, levels, None)
        }
        _ => Err(ParquetError::General("a column of another kind than its cells".to_owned())),
    }
    .map(drop)
}
