//! The cells of one column as a column chunk of a Parquet file: one data page, for text behind a dictionary.
//!
//! A frame has few of the columns. The crate's own column writer takes a level for each row of each column; this one
//! costs only for the cells that hold something.

use super::{Bits, Cells, Values, Words};
use crate::frame::Frame;
use bytes::Bytes;
use parquet::basic::{Compression, Encoding, PageType};
use parquet::bloom_filter::Sbbf;
use parquet::column::page::{CompressedPage, Page, PageWriter};
use parquet::column::writer::ColumnCloseResult;
use parquet::data_type::ByteArray;
use parquet::errors::{ParquetError, Result};
use parquet::file::metadata::{ColumnChunkMetaData, PageEncodingStats};
use parquet::file::statistics::{Statistics, ValueStatistics};
use parquet::file::writer::{SerializedPageWriter, TrackedWrite};
use parquet::schema::types::ColumnDescPtr;

/// How many of the addresses that are not there a Bloom filter lets through.
const LET_THROUGH: f64 = 0.01;

/// So far apart may whole numbers be that get a dictionary.
const FAR_APART: u64 = 1 << 16;
/// Numbers that are not so far apart stand as differences from one to the next.
const FAR_APART_AS_DIFFERENCES: u64 = 1 << 31;
/// So often must each number of a dictionary stand in the column on average.
const OFTEN: usize = 4;

/// What chunks are written with.
pub struct Press {
    compressor: snap::raw::Encoder,
    /// The page in the making.
    page: Vec<u8>,
    compressed: Vec<u8>,
    /// Where in the dictionary of the column each of what may be in it stands, from 1; 0 where it does not.
    places: Vec<u32>,
    /// What is in the dictionary: places of words, or whole numbers, counted from the least of the column.
    dictionary: Vec<u32>,
    /// Of a column of whole numbers the least and the most.
    extent: Option<(i64, i64)>,
}

impl Press {
    pub fn new() -> Self {
        Self {
            compressor: snap::raw::Encoder::new(),
            page: Vec::new(),
            compressed: Vec::new(),
            places: Vec::new(),
            dictionary: Vec::new(),
            extent: None,
        }
    }

    /// Writes the chunk of a column; `rows` is how many rows there are. Where pages are in the output is counted from its
    /// beginning.
    pub fn write(
        &mut self,
        column: &ColumnDescPtr,
        rows: usize,
        cells: &Cells,
        words: &Words,
        bloom_filter: bool,
        out: &mut TrackedWrite<Vec<u8>>,
    ) -> Result<ColumnCloseResult> {
        let mut pages = SerializedPageWriter::new(out);
        let mut sizes = Sizes::default();
        let count = len(&cells.values);
        self.collect(&cells.values, words.len());
        let is_dictionary = !self.dictionary.is_empty();
        if is_dictionary {
            self.page.clear();
            self.dictionary_values(&cells.values, words);
            let (uncompressed, buf) = self.compressed()?;
            let num_values = self.dictionary.len() as u32;
            let page = Page::DictionaryPage { buf, num_values, encoding: Encoding::PLAIN, is_sorted: false };
            sizes.dictionary_offset = Some(sizes.write(&mut pages, page, uncompressed)?);
        }
        let filter = bloom_filter.then(|| self.bloom_filter(words)).transpose()?;
        self.page.clear();
        levels(&cells.present, count, rows, &mut self.page);
        let encoding = if is_dictionary {
            self.indices(&cells.values);
            Encoding::RLE_DICTIONARY
        } else {
            self.values(&cells.values)
        };
        let (uncompressed, buf) = self.compressed()?;
        let page = Page::DataPage {
            buf,
            num_values: rows as u32,
            encoding,
            def_level_encoding: Encoding::RLE,
            rep_level_encoding: Encoding::RLE,
            statistics: None,
        };
        let data_offset = sizes.write(&mut pages, page, uncompressed)?;
        let mut encodings = vec![Encoding::RLE, encoding];
        let mut metadata = ColumnChunkMetaData::builder(column.clone());
        if is_dictionary {
            encodings.push(Encoding::PLAIN);
            // So that a reader knows that all values are in the dictionary.
            let pages = |page_type, encoding| PageEncodingStats { page_type, encoding, count: 1 };
            metadata = metadata.set_page_encoding_stats(vec![
                pages(PageType::DICTIONARY_PAGE, Encoding::PLAIN),
                pages(PageType::DATA_PAGE, Encoding::RLE_DICTIONARY),
            ]);
        }
        let metadata = metadata
            .set_encodings(encodings)
            .set_compression(Compression::SNAPPY)
            .set_num_values(rows as i64)
            .set_total_compressed_size(sizes.compressed)
            .set_total_uncompressed_size(sizes.uncompressed)
            .set_data_page_offset(data_offset)
            .set_dictionary_page_offset(sizes.dictionary_offset)
            .set_statistics(self.statistics(&cells.values, words, (rows - count) as u64))
            .build()?;
        Ok(ColumnCloseResult {
            bytes_written: sizes.compressed as u64,
            rows_written: rows as u64,
            metadata,
            bloom_filter: filter,
            column_index: None,
            offset_index: None,
        })
    }

    /// The dictionary of a column, in the order in which its values come up; empty where there is better none.
    fn collect(&mut self, values: &Values, words: usize) {
        self.dictionary.clear();
        self.places.clear();
        match values {
            Values::Text(values) => self.collect_from(values.iter().copied(), words),
            Values::Integer(values) => {
                self.extent = extent(values);
                let Some((least, most)) = self.extent else { return };
                let apart = most.abs_diff(least);
                if apart < FAR_APART {
                    self.collect_from(values.iter().map(|value| value.abs_diff(least) as u32), apart as usize + 1);
                    if self.dictionary.len() * OFTEN > values.len() {
                        self.dictionary.clear();
                    }
                }
            }
            Values::Bool(_) | Values::Decimal(_) | Values::Frame(_) => {}
        }
    }

    fn collect_from(&mut self, values: impl Iterator<Item = u32>, bound: usize) {
        self.places.resize(bound, 0);
        for value in values {
            let place = &mut self.places[value as usize];
            if *place == 0 {
                self.dictionary.push(value);
                *place = self.dictionary.len() as u32;
            }
        }
    }

    fn dictionary_values(&mut self, values: &Values, words: &Words) {
        let page = &mut self.page;
        if let (Values::Integer(_), Some((least, _))) = (values, self.extent) {
            page.extend(self.dictionary.iter().flat_map(|above| (least + i64::from(*above)).to_le_bytes()));
        } else {
            for word in &self.dictionary {
                plain_text(&words[*word as usize], page);
            }
        }
    }

    /// A filter that all words of the dictionary pass.
    fn bloom_filter(&self, words: &Words) -> Result<Sbbf> {
        let mut filter = Sbbf::new_with_ndv_fpp(self.dictionary.len() as u64, LET_THROUGH)?;
        for word in &self.dictionary {
            filter.insert(words[*word as usize].as_bytes());
        }
        Ok(filter)
    }

    /// Where in the dictionary the values are.
    fn indices(&mut self, values: &Values) {
        let width = self.dictionary.len().saturating_sub(1).checked_ilog2().map_or(0, |log| log as u8 + 1);
        let (page, places) = (&mut self.page, &self.places);
        page.push(width);
        let at = |value: u32| places[value as usize] - 1;
        match values {
            Values::Integer(values) => {
                let least = self.extent.map_or(0, |(least, _)| least);
                packed(values.iter().map(|value| at(value.abs_diff(least) as u32)), values.len(), width, page);
            }
            Values::Text(words) => packed(words.iter().map(|word| at(*word)), words.len(), width, page),
            Values::Bool(_) | Values::Decimal(_) | Values::Frame(_) => {}
        }
    }

    /// The values themselves, and how they are written.
    fn values(&mut self, values: &Values) -> Encoding {
        let page = &mut self.page;
        match values {
            Values::Integer(values)
                if self.extent.is_some_and(|(least, most)| most.abs_diff(least) < FAR_APART_AS_DIFFERENCES) =>
            {
                differences(values, page);
                return Encoding::DELTA_BINARY_PACKED;
            }
            Values::Bool(values) => {
                let octet = |eight: &[bool]| eight.iter().rev().fold(0, |all, yes| all << 1 | u8::from(*yes));
                page.extend(values.chunks(8).map(octet));
            }
            Values::Integer(values) => page.extend(values.iter().flat_map(|value| value.to_le_bytes())),
            Values::Decimal(values) => page.extend(values.iter().flat_map(|value| value.to_le_bytes())),
            Values::Frame(values) => {
                for frame in values {
                    plain_text(frame.encode_hex(&mut [0; Frame::MOST_DIGITS]), page);
                }
            }
            // Text that is there is in a dictionary.
            Values::Text(_) => {}
        }
        Encoding::PLAIN
    }

    fn statistics(&self, values: &Values, words: &Words, empty: u64) -> Statistics {
        match values {
            Values::Bool(values) => Statistics::boolean(
                values.iter().min().copied(),
                values.iter().max().copied(),
                None,
                Some(empty),
                false,
            ),
            Values::Integer(_) => {
                let (least, most) = self.extent.unzip();
                Statistics::int64(least, most, None, Some(empty), false)
            }
            Values::Decimal(values) => {
                let least = values.iter().copied().min_by(f64::total_cmp);
                let most = values.iter().copied().max_by(f64::total_cmp);
                // No number of a table is none.
                ValueStatistics::new(least, most, None, Some(empty), false).with_nan_count(Some(0)).into()
            }
            Values::Text(_) => {
                let words = || self.dictionary.iter().map(|word| &*words[*word as usize]);
                Statistics::byte_array(
                    words().min().map(ByteArray::from),
                    words().max().map(ByteArray::from),
                    None,
                    Some(empty),
                    false,
                )
            }
            Values::Frame(frames) => {
                let text = |frame: &Frame| ByteArray::from(frame.encode_hex(&mut [0; Frame::MOST_DIGITS]));
                // In the order of their digits.
                let order = |frame: &&Frame| (frame.pattern() << (112 - frame.length()), frame.length());
                let (least, most) = (frames.iter().min_by_key(order), frames.iter().max_by_key(order));
                Statistics::byte_array(least.map(text), most.map(text), None, Some(empty), false)
            }
        }
    }

    /// The page compressed, behind the size that it had.
    fn compressed(&mut self) -> Result<(usize, Bytes)> {
        let most = snap::raw::max_compress_len(self.page.len());
        if self.compressed.len() < most {
            self.compressed.resize(most, 0);
        }
        let length = self.compressor.compress(&self.page, &mut self.compressed);
        let length = length.map_err(|error| ParquetError::External(error.into()))?;
        Ok((self.page.len(), Bytes::copy_from_slice(&self.compressed[..length])))
    }
}

/// What the pages of a chunk come to.
#[derive(Default)]
struct Sizes {
    compressed: i64,
    uncompressed: i64,
    dictionary_offset: Option<i64>,
}

impl Sizes {
    /// Writes a page, and says where it is.
    fn write(&mut self, pages: &mut impl PageWriter, page: Page, uncompressed: usize) -> Result<i64> {
        let written = pages.write_page(CompressedPage::new(page, uncompressed))?;
        self.compressed += written.compressed_size as i64;
        self.uncompressed += written.uncompressed_size as i64;
        Ok(written.offset as i64)
    }
}

fn len(values: &Values) -> usize {
    match values {
        Values::Bool(values) => values.len(),
        Values::Integer(values) => values.len(),
        Values::Decimal(values) => values.len(),
        Values::Text(values) => values.len(),
        Values::Frame(values) => values.len(),
    }
}

/// The least and the most of some numbers.
fn extent(values: &[i64]) -> Option<(i64, i64)> {
    let first = *values.first()?;
    // A fold, which is done for several numbers at once.
    Some(values.iter().fold((first, first), |(least, most), value| (least.min(*value), most.max(*value))))
}

/// Text as it stands in a page: behind its length.
fn plain_text(text: &str, page: &mut Vec<u8>) {
    page.extend_from_slice(&(text.len() as u32).to_le_bytes());
    page.extend_from_slice(text.as_bytes());
}

/// The definition levels of a page, 1 in the rows that hold something, behind the length of it all.
fn levels(present: &Bits, count: usize, rows: usize, page: &mut Vec<u8>) {
    let start = page.len();
    page.extend_from_slice(&[0; 4]);
    if count == 0 || count == rows {
        varint((rows as u64) << 1, page);
        page.push(u8::from(count > 0));
    } else {
        let octets = rows.div_ceil(8);
        varint((octets as u64) << 1 | 1, page);
        let first = page.len();
        page.extend(present.0.iter().flat_map(|word| word.to_le_bytes()));
        page.resize(first + octets, 0);
    }
    let length = (page.len() - start - 4) as u32;
    page[start..start + 4].copy_from_slice(&length.to_le_bytes());
}

/// Numbers of `width` bits: one run where there is nothing to tell apart, else eight at a time in as many octets.
fn packed(numbers: impl Iterator<Item = u32>, count: usize, width: u8, page: &mut Vec<u8>) {
    if width == 0 {
        return varint((count as u64) << 1, page);
    }
    let eights = count.div_ceil(8);
    varint((eights as u64) << 1 | 1, page);
    pack(numbers, 8 * eights, width, page);
}

/// Room for `count` numbers of `width` bits, eight of them in as many octets, and the numbers in the front of it.
fn pack(numbers: impl Iterator<Item = u32>, count: usize, width: u8, page: &mut Vec<u8>) {
    let end = page.len() + count / 8 * usize::from(width);
    let (mut waiting, mut bits) = (0u64, 0);
    for number in numbers {
        waiting |= u64::from(number) << bits;
        bits += width;
        if bits >= 32 {
            page.extend_from_slice(&(waiting as u32).to_le_bytes());
            waiting >>= 32;
            bits -= 32;
        }
    }
    page.extend_from_slice(&waiting.to_le_bytes());
    page.resize(end, 0);
}

/// Whole numbers as differences from one to the next: blocks of four parts, with the least difference of the block and
/// what each other one is above it, in as few bits as the part needs.
fn differences(values: &[i64], page: &mut Vec<u8>) {
    const PART: usize = 32;
    const PARTS: usize = 4;
    let signed = |number: i64, page: &mut Vec<u8>| varint((number << 1 ^ number >> 63) as u64, page);
    varint((PART * PARTS) as u64, page);
    varint(PARTS as u64, page);
    varint(values.len() as u64, page);
    signed(values.first().copied().unwrap_or(0), page);
    let mut block = Vec::with_capacity(PART * PARTS);
    let mut before = values;
    while before.len() > 1 {
        let last = (before.len() - 1).min(PART * PARTS);
        block.clear();
        block.extend(before[..=last].windows(2).map(|pair| pair[1] - pair[0]));
        before = &before[last..];
        let least = block.iter().copied().min().unwrap_or(0);
        signed(least, page);
        let above = |part: &[i64]| part.iter().map(|difference| (difference - least) as u32).max().unwrap_or(0);
        let widths: [u8; PARTS] = std::array::from_fn(|at| {
            let part = block.chunks(PART).nth(at).unwrap_or(&[]);
            above(part).checked_ilog2().map_or(0, |log| log as u8 + 1)
        });
        page.extend_from_slice(&widths);
        for (part, width) in block.chunks(PART).zip(widths) {
            pack(part.iter().map(|difference| (difference - least) as u32), PART, width, page);
        }
    }
}

/// A number of any size, seven bits an octet.
fn varint(mut number: u64, page: &mut Vec<u8>) {
    while number >= 0x80 {
        page.push(number as u8 | 0x80);
        number >>= 7;
    }
    page.push(number as u8);
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
