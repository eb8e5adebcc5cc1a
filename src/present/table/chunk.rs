//! The cells of one column as a column chunk of a Parquet file.

use super::{Bits, Cells, Values};
use crate::frame::Frame;
use bytes::{Bytes, BytesMut};
use parquet::column::writer::{ColumnCloseResult, ColumnWriter, get_column_writer};
use parquet::data_type::ByteArray;
use parquet::errors::{ParquetError, Result};
use parquet::file::properties::WriterPropertiesPtr;
use parquet::file::writer::{SerializedPageWriter, TrackedWrite};
use parquet::schema::types::ColumnDescPtr;

/// Writes the chunk of a column into memory; `rows` is how many rows there are, and `words` what text cells point to.
pub fn write(
    column: &ColumnDescPtr,
    properties: &WriterPropertiesPtr,
    rows: usize,
    cells: &Cells,
    words: &[ByteArray],
) -> Result<(Bytes, ColumnCloseResult)> {
    let mut out = TrackedWrite::new(Vec::new());
    let pages = Box::new(SerializedPageWriter::new(&mut out));
    let mut writer = get_column_writer(column.clone(), properties.clone(), pages);
    let levels = levels(&cells.present, rows);
    let levels = Some(&*levels);
    match (&mut writer, &cells.values) {
        (ColumnWriter::BoolColumnWriter(writer), Values::Bool(values)) => writer.write_batch(values, levels, None),
        (ColumnWriter::Int64ColumnWriter(writer), Values::Integer(values)) => writer.write_batch(values, levels, None),
        (ColumnWriter::DoubleColumnWriter(writer), Values::Decimal(values)) => writer.write_batch(values, levels, None),
        (ColumnWriter::ByteArrayColumnWriter(writer), Values::Text(values)) => {
            let values: Vec<ByteArray> = values.iter().map(|word| words[*word as usize].clone()).collect();
            writer.write_batch(&values, levels, None)
        }
        (ColumnWriter::ByteArrayColumnWriter(writer), Values::Frame(frames)) => {
            writer.write_batch(&digits(frames), levels, None)
        }
        _ => Err(ParquetError::General("a column of another kind than its cells".to_owned())),
    }?;
    let closed = writer.close()?;
    Ok((Bytes::from(out.into_inner()?), closed))
}

/// The definition level of each row: 1 where it holds something.
fn levels(present: &Bits, rows: usize) -> Vec<i16> {
    let words = present.0.iter().copied().chain(std::iter::repeat(0));
    let mut levels: Vec<i16> = words
        .take(rows.div_ceil(64))
        .flat_map(|word| std::array::from_fn::<i16, 64, _>(|at| (word >> at & 1) as i16))
        .collect();
    levels.truncate(rows);
    levels
}

/// Frames in hexadecimal, all in one piece of memory.
fn digits(frames: &[Frame]) -> Vec<ByteArray> {
    let mut all = BytesMut::with_capacity(frames.len() * Frame::MOST_DIGITS);
    frames
        .iter()
        .map(|frame| {
            all.extend_from_slice(frame.encode_hex(&mut [0; Frame::MOST_DIGITS]).as_bytes());
            ByteArray::from(all.split().freeze())
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::parquet::Writer;
    use super::super::{Cell, Columns, place};
    use bytes::Bytes;
    use parquet::bloom_filter::Sbbf;
    use parquet::file::reader::{FileReader, SerializedFileReader};
    use parquet::record::Field;

    /// Columns that hold little or everything, with values enough for indices of any width, read back by the crate.
    #[test]
    fn a_chunk_holds_its_cells() {
        const ROWS: usize = 3_000;
        let columns = Columns::new(None);
        let at = |name| columns.places[name];
        let (text, full, number, yes) = (at("address"), at("message"), at("line"), at("address_confirmed"));
        let counted = at("downlink_format");
        // Numbers near one another and far apart, seldom the same twice.
        let (near, far) = (at("cpr_latitude"), at("cpr_longitude"));
        let walk = |row: usize| (row * row * 7919 % 1_000_003) as i64 - 500_000;
        for words in [1, 2, 3, 4, 5, 16, 17, 255, 256, 257, 1024, 1025, ROWS] {
            let mut batch = columns.batch();
            for row in 0..ROWS {
                if row % 3 == 1 || row > 2_500 {
                    let word = place(&mut batch.words, &format!("word {}", row * row % words));
                    batch.put(text, Cell::Text(word));
                }
                let word = place(&mut batch.words, "always the same");
                batch.put(full, Cell::Text(word));
                if row == words {
                    batch.put(number, Cell::Integer(-7));
                }
                for (column, value) in [(near, walk(row)), (far, walk(row) << 40)] {
                    if row < words {
                        batch.put(column, Cell::Integer(value));
                    }
                }
                batch.put(counted, Cell::Integer((row % words) as i64 - 5));
                if row % 5 == 0 {
                    batch.put(yes, Cell::Bool(row % 2 == 0));
                }
                batch.rows += 1;
            }
            let mut writer = Writer::new(Vec::new(), columns.clone(), 2).expect("memory");
            writer.push(&batch).expect("memory");
            let file = SerializedFileReader::new(Bytes::from(writer.close().expect("memory"))).expect("Parquet");
            let mut row = 0;
            for cells in file.get_row_iter(None).expect("rows") {
                for (column, (_, field)) in cells.expect("a row").get_column_iter().enumerate() {
                    let expected = if column == text && (row % 3 == 1 || row > 2_500) {
                        Field::Str(format!("word {}", row * row % words))
                    } else if column == full {
                        Field::Str("always the same".to_owned())
                    } else if column == near && row < words {
                        Field::Long(walk(row))
                    } else if column == far && row < words {
                        Field::Long(walk(row) << 40)
                    } else if column == counted {
                        Field::Long((row % words) as i64 - 5)
                    } else if column == number && row == words {
                        Field::Long(-7)
                    } else if column == yes && row % 5 == 0 {
                        Field::Bool(row % 2 == 0)
                    } else {
                        Field::Null
                    };
                    assert_eq!(*field, expected, "{words} words, row {row}, column {column}");
                }
                row += 1;
            }
            assert_eq!(row, ROWS);
            let group = file.metadata().row_group(0);
            let known = group.column(number).statistics().expect("statistics");
            let value = (words < ROWS).then_some((-7i64).to_le_bytes());
            assert_eq!(known.min_bytes_opt(), value.as_ref().map(|value| &value[..]));
            assert_eq!(known.null_count_opt(), Some((ROWS - usize::from(words < ROWS)) as u64));
        }
    }

    #[test]
    fn the_statistics_of_frames_are_in_the_order_of_their_digits() {
        let columns = Columns::new(None);
        let mut frames =
            ["0D40621D58C382D690C8AC2863A7", "8D40621D58C382D690C8AC2863A7", "02E187180C16F1", "A0001718000000"];
        frames.sort_unstable();
        let mut batch = columns.batch();
        for frame in frames {
            batch.put(columns.places["frame"], Cell::Frame(frame.parse().expect("a frame")));
            batch.rows += 1;
        }
        let mut writer = Writer::new(Vec::new(), columns.clone(), 2).expect("memory");
        writer.push(&batch).expect("memory");
        let file = SerializedFileReader::new(Bytes::from(writer.close().expect("memory"))).expect("Parquet");
        let known = file.metadata().row_group(0).column(columns.places["frame"]).statistics().expect("statistics");
        assert_eq!(known.min_bytes_opt(), Some(frames[0].as_bytes()));
        assert_eq!(known.max_bytes_opt(), Some(frames[3].as_bytes()));
    }

    #[test]
    fn every_address_passes_the_filter_of_its_group_and_few_others_do() {
        const ADDRESSES: u32 = 1000;
        let columns = Columns::new(None);
        let address = columns.places["address"];
        let mut batch = columns.batch();
        for at in 0..ADDRESSES {
            let word = place(&mut batch.words, &format!("{:06X}", at * 7919));
            batch.put(address, Cell::Text(word));
            batch.rows += 1;
        }
        let mut writer = Writer::new(Vec::new(), columns.clone(), 2).expect("memory");
        writer.push(&batch).expect("memory");
        let octets = Bytes::from(writer.close().expect("memory"));
        let file = SerializedFileReader::new(octets.clone()).expect("Parquet");
        let chunk = file.metadata().row_group(0).column(address);
        let filter = Sbbf::read_from_column_chunk(chunk, &octets).expect("octets").expect("a filter");
        let passes = |number: u32| filter.check(format!("{number:06X}").as_str());
        assert!((0..ADDRESSES).all(|at| passes(at * 7919)));
        let others = (0..ADDRESSES).filter(|at| passes(at * 7919 + 1)).count();
        assert!(others < 30, "{others}");
    }
}
