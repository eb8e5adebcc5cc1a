//! The cells of one column as a column chunk of a Parquet file: pages one after another, where that is shorter behind a
//! dictionary.
//!
//! The crate's own column writer takes a level for each row of each column and looks each text up; this one costs only
//! for the cells that hold something. Page headers, indices, filters and the file around them are the crate's.

use super::batch::{Batch, Present, Values};
use super::{ColumnType, Origin};
use crate::frame::{Address, Frame};
use bytes::Bytes;
use indexmap::IndexSet;
use parquet::basic::{Compression, Encoding, PageType, Type as Physical};
use parquet::bloom_filter::Sbbf;
use parquet::column::page::{CompressedPage, Page, PageWriter};
use parquet::column::writer::ColumnCloseResult;
use parquet::data_type::ByteArray;
use parquet::errors::{ParquetError, Result};
use parquet::file::metadata::{ColumnChunkMetaData, ColumnIndexBuilder, OffsetIndexBuilder, PageEncodingStats};
use parquet::file::reader::{ChunkReader, Length};
use parquet::file::statistics::{Statistics, ValueStatistics};
use parquet::file::writer::{SerializedPageWriter, TrackedWrite};
use parquet::schema::types::ColumnDescPtr;
use std::collections::VecDeque;
use std::io::{self, Read};

/// How many of the addresses that are not there a Bloom filter lets through.
const LET_THROUGH: f64 = 0.01;
/// The column with a Bloom filter.
const FILTERED: &str = "address";
/// The columns by which pages can be passed over: what queries select by.
const INDEXED: [&str; 6] =
    ["line", "time", "relative_time_s", "address", "position_latitude_deg", "position_longitude_deg"];

/// Whole numbers below this may have a dictionary.
const SMALL: usize = 1 << 13;
/// So often must each number of a dictionary be in its first page on average.
const OFTEN: usize = 4;
/// With more in it a dictionary is not used for later pages.
const MOST_IN_DICTIONARY: usize = 1 << 16;
/// Numbers that are not so far apart are written as differences from one to the next.
const FAR_APART: u64 = 1 << 31;

type Set<T> = IndexSet<T, foldhash::fast::FixedState>;

/// What pages are written with.
pub(super) struct Press {
    compressor: snap::raw::Encoder,
    /// The page in the making.
    page: Vec<u8>,
    compressed: Vec<u8>,
    /// Whole numbers of the page, or places in the dictionary.
    numbers: Vec<i64>,
    places: Vec<u32>,
}

impl Press {
    pub(super) fn new() -> Self {
        Self {
            compressor: snap::raw::Encoder::new(),
            page: Vec::new(),
            compressed: Vec::new(),
            numbers: Vec::new(),
            places: Vec::new(),
        }
    }

    /// The page as it stands, or compressed.
    fn packed(&mut self, codec: Compression) -> Result<Bytes> {
        if codec == Compression::UNCOMPRESSED {
            return Ok(Bytes::copy_from_slice(&self.page));
        }
        let length = self.compress()?;
        Ok(Bytes::copy_from_slice(&self.compressed[..length]))
    }

    fn compress(&mut self) -> Result<usize> {
        let most = snap::raw::max_compress_len(self.page.len());
        if self.compressed.len() < most {
            self.compressed.resize(most, 0);
        }
        let length = self.compressor.compress(&self.page, &mut self.compressed);
        length.map_err(|error| ParquetError::External(error.into()))
    }
}

/// What was met so far, in the order in which it came up: a place among these is what a page holds.
enum Dictionary {
    /// For each small number its place, from 1; 0 where it was not met.
    Small(Vec<u32>, Vec<i64>),
    Words(Set<&'static str>),
    Texts(Set<Box<[u8]>>),
    Addresses(Set<Address>),
}

impl Dictionary {
    fn of(kind: ColumnType) -> Option<Self> {
        match kind {
            ColumnType::Code | ColumnType::Integer => Some(Self::Small(Vec::new(), Vec::new())),
            ColumnType::Word => Some(Self::Words(Set::default())),
            ColumnType::Text | ColumnType::File | ColumnType::Registers => Some(Self::Texts(Set::default())),
            ColumnType::Address => Some(Self::Addresses(Set::default())),
            ColumnType::Bool | ColumnType::Decimal | ColumnType::Time | ColumnType::Frame => None,
        }
    }

    fn len(&self) -> usize {
        match self {
            Self::Small(_, all) => all.len(),
            Self::Words(all) => all.len(),
            Self::Texts(all) => all.len(),
            Self::Addresses(all) => all.len(),
        }
    }

    /// The text at a place; empty if it is not text.
    fn text(&self, place: usize) -> &[u8] {
        match self {
            Self::Small(..) | Self::Addresses(_) => &[],
            Self::Words(all) => all.get_index(place).map_or(&[], |word| word.as_bytes()),
            Self::Texts(all) => all.get_index(place).map_or(&[], |text| text),
        }
    }

    /// All of it as a page.
    fn write(&self, is_wide: bool, page: &mut Vec<u8>) {
        match self {
            Self::Small(_, all) => plain_numbers(all, is_wide, page),
            Self::Addresses(all) => {
                all.iter().for_each(|address| plain_text(address.to_string().as_bytes(), page));
            }
            Self::Words(_) | Self::Texts(_) => {
                (0..self.len()).for_each(|place| plain_text(self.text(place), page));
            }
        }
    }
}

/// The least and the most of some values.
#[derive(Clone, Debug, PartialEq)]
enum Extent {
    Bool(bool, bool),
    Integer(i64, i64),
    Decimal(f64, f64),
    Text(Vec<u8>, Vec<u8>),
}

impl Extent {
    fn of_numbers(values: &[i64]) -> Option<Self> {
        let first = *values.first()?;
        // A fold, which is done for several numbers at once.
        let (least, most) = values.iter().fold((first, first), |(a, b), value| (a.min(*value), b.max(*value)));
        Some(Self::Integer(least, most))
    }

    fn of_decimals(values: &[f64]) -> Option<Self> {
        let first = *values.first()?;
        let (least, most) = values.iter().fold((first, first), |(a, b), value| (a.min(*value), b.max(*value)));
        // Zero of either sign is the same number: the bounds hold for both.
        Some(Self::Decimal(if least == 0.0 { -0.0 } else { least }, if most == 0.0 { 0.0 } else { most }))
    }

    fn of_texts<'a>(mut texts: impl Iterator<Item = &'a [u8]>) -> Option<Self> {
        let first = texts.next()?;
        let (least, most) = texts.fold((first, first), |(a, b), text| (a.min(text), b.max(text)));
        Some(Self::Text(least.to_vec(), most.to_vec()))
    }

    fn with(self, other: Self) -> Self {
        match (self, other) {
            (Self::Bool(a, b), Self::Bool(c, d)) => Self::Bool(a & c, b | d),
            (Self::Integer(a, b), Self::Integer(c, d)) => Self::Integer(a.min(c), b.max(d)),
            (Self::Decimal(a, b), Self::Decimal(c, d)) => Self::Decimal(a.min(c), b.max(d)),
            (Self::Text(a, b), Self::Text(c, d)) => Self::Text(a.min(c), b.max(d)),
            (mine, _) => mine,
        }
    }

    /// Both as a page index holds them.
    fn octets(&self, is_wide: bool) -> (Vec<u8>, Vec<u8>) {
        match self {
            Self::Bool(least, most) => (vec![u8::from(*least)], vec![u8::from(*most)]),
            Self::Integer(least, most) if is_wide => (least.to_le_bytes().to_vec(), most.to_le_bytes().to_vec()),
            Self::Integer(least, most) => {
                ((*least as i32).to_le_bytes().to_vec(), (*most as i32).to_le_bytes().to_vec())
            }
            Self::Decimal(least, most) => (least.to_le_bytes().to_vec(), most.to_le_bytes().to_vec()),
            Self::Text(least, most) => (least.clone(), most.clone()),
        }
    }

    fn statistics(extent: Option<Self>, physical: Physical, nulls: u64) -> Statistics {
        let nulls = Some(nulls);
        match (extent, physical) {
            (Some(Self::Bool(least, most)), _) => Statistics::boolean(Some(least), Some(most), None, nulls, false),
            (Some(Self::Integer(least, most)), Physical::INT32) => {
                Statistics::int32(Some(least as i32), Some(most as i32), None, nulls, false)
            }
            (Some(Self::Integer(least, most)), _) => Statistics::int64(Some(least), Some(most), None, nulls, false),
            (Some(Self::Decimal(least, most)), _) => {
                // No number of a table is none.
                ValueStatistics::new(Some(least), Some(most), None, nulls, false).with_nan_count(Some(0)).into()
            }
            (Some(Self::Text(least, most)), _) => {
                Statistics::byte_array(Some(least.into()), Some(most.into()), None, nulls, false)
            }
            (None, Physical::BOOLEAN) => Statistics::boolean(None, None, None, nulls, false),
            (None, Physical::INT32) => Statistics::int32(None, None, None, nulls, false),
            (None, Physical::INT64) => Statistics::int64(None, None, None, nulls, false),
            (None, Physical::DOUBLE) => {
                ValueStatistics::<f64>::new(None, None, None, nulls, false).with_nan_count(Some(0)).into()
            }
            (None, _) => Statistics::byte_array(None::<ByteArray>, None, None, nulls, false),
        }
    }
}

/// One page of a chunk: where it is behind the dictionary, how long, of how many rows.
struct Location {
    offset: i64,
    octets: i32,
    rows: i64,
}

/// A column chunk in the making.
pub(super) struct Chunk {
    column: ColumnDescPtr,
    kind: ColumnType,
    /// Whole numbers of 64 bits, not of 32.
    is_wide: bool,
    /// The pages, headers and all.
    pages: VecDeque<Bytes>,
    octets: usize,
    uncompressed: usize,
    locations: Vec<Location>,
    /// Of the columns by which pages are passed over.
    index: Option<ColumnIndexBuilder>,
    dictionary: Option<Dictionary>,
    /// Whether later pages may use it.
    is_dictionary_open: bool,
    extent: Option<Extent>,
    rows: u64,
    values: u64,
    nulls: u64,
    /// Whether some page holds something, and whether all of that is in the dictionary.
    is_begun: bool,
    is_all_in_dictionary: bool,
    /// How many pages are written behind the dictionary, plain, and as differences.
    encodings: [i32; 3],
}

const ENCODINGS: [Encoding; 3] = [Encoding::RLE_DICTIONARY, Encoding::PLAIN, Encoding::DELTA_BINARY_PACKED];

impl Chunk {
    pub(super) fn new(column: ColumnDescPtr, kind: ColumnType) -> Self {
        let is_indexed = INDEXED.contains(&column.name()) && kind != ColumnType::Registers;
        Self {
            is_wide: column.physical_type() != Physical::INT32,
            index: is_indexed.then(|| ColumnIndexBuilder::new(column.physical_type())),
            column,
            kind,
            pages: VecDeque::new(),
            octets: 0,
            uncompressed: 0,
            locations: Vec::new(),
            dictionary: Dictionary::of(kind),
            is_dictionary_open: true,
            extent: None,
            rows: 0,
            values: 0,
            nulls: 0,
            is_begun: false,
            is_all_in_dictionary: true,
            encodings: [0; 3],
        }
    }

    /// About how much memory it takes.
    pub(super) fn octets(&self) -> usize {
        self.octets + self.dictionary.as_ref().map_or(0, |dictionary| dictionary.len() * 24)
    }

    /// Adds a page: all rows of a column of a batch.
    pub(super) fn write(&mut self, press: &mut Press, batch: &Batch, column: usize) -> Result<()> {
        if self.dictionary.as_ref().is_some_and(|dictionary| dictionary.len() > MOST_IN_DICTIONARY) {
            self.is_dictionary_open = false;
        }
        press.page.clear();
        let present = batch.present(column);
        let mut values = batch.rows as u64;
        let nulls = values - present.count() as u64;
        if let (ColumnType::Registers, Values::Registers(_, ends)) = (self.kind, &batch.cells[column].values) {
            values = list_levels(&present, ends, batch.rows, press);
        } else {
            levels(&present, batch.rows, &mut press.page);
        }
        let (encoding, extent) = if present.count() == 0 {
            (Encoding::PLAIN, None)
        } else {
            let (encoding, extent) = self.encode(press, batch, column);
            self.is_begun = true;
            self.is_all_in_dictionary &= encoding == Encoding::RLE_DICTIONARY;
            (encoding, extent)
        };
        let uncompressed = press.page.len();
        let buf = press.packed(self.codec())?;
        let page = Page::DataPage {
            buf,
            num_values: values as u32,
            encoding,
            def_level_encoding: Encoding::RLE,
            rep_level_encoding: Encoding::RLE,
            statistics: None,
        };
        let (octets, length) = header_and_page(page, uncompressed)?;
        self.uncompressed += length;
        if let Some(at) = ENCODINGS.iter().position(|known| *known == encoding) {
            self.encodings[at] += 1;
        }
        let (offset, length) = (self.octets as i64, octets.len() as i32);
        self.locations.push(Location { offset, octets: length, rows: batch.rows as i64 });
        self.octets += octets.len();
        self.pages.push_back(octets);
        if let Some(index) = &mut self.index {
            let (least, most) = extent.as_ref().map(|extent| extent.octets(self.is_wide)).unwrap_or_default();
            let not_numbers = (self.kind == ColumnType::Decimal).then_some(0);
            index.append(extent.is_none(), least, most, nulls as i64, not_numbers);
        }
        self.extent = match (self.extent.take(), extent) {
            (Some(before), Some(now)) => Some(before.with(now)),
            (before, now) => before.or(now),
        };
        self.rows += batch.rows as u64;
        self.values += values;
        self.nulls += nulls;
        Ok(())
    }

    /// Digits of frames do not become shorter.
    fn codec(&self) -> Compression {
        if self.kind == ColumnType::Frame { Compression::UNCOMPRESSED } else { Compression::SNAPPY }
    }

    /// Writes the values of a column behind the levels of the page.
    fn encode(&mut self, press: &mut Press, batch: &Batch, column: usize) -> (Encoding, Option<Extent>) {
        let constant;
        let values = match &batch.of.list()[column].origin {
            Origin::Frame => return (Encoding::PLAIN, frames(&batch.frames, &mut press.page)),
            Origin::Code(extracts) => {
                press.numbers.clear();
                press.numbers.extend(batch.codes(extracts));
                return self.numbers(press);
            }
            Origin::Constant(value) => {
                constant = Values::Runs(vec![(value.clone(), batch.rows as u32)]);
                &constant
            }
            Origin::Cell => &batch.cells[column].values,
        };
        match values {
            Values::Integer(values) => {
                press.numbers.clear();
                press.numbers.extend_from_slice(values);
                self.numbers(press)
            }
            Values::Bool(values) => {
                let octet = |eight: &[bool]| eight.iter().rev().fold(0, |all, yes| all << 1 | u8::from(*yes));
                press.page.extend(values.chunks(8).map(octet));
                let (any, all) = (values.contains(&true), !values.contains(&false));
                (Encoding::PLAIN, Some(Extent::Bool(all, any)))
            }
            Values::Decimal(values) => {
                press.page.extend(values.iter().flat_map(|value| value.to_le_bytes()));
                (Encoding::PLAIN, Extent::of_decimals(values))
            }
            _ => self.texts(press, values),
        }
    }

    /// Whole numbers: behind a dictionary where they are small and come up often, else as differences, else as they are.
    fn numbers(&mut self, press: &mut Press) -> (Encoding, Option<Extent>) {
        let extent = Extent::of_numbers(&press.numbers);
        let Some(Extent::Integer(least, most)) = extent else { return (Encoding::PLAIN, extent) };
        let is_first = !self.is_begun;
        let is_small = least >= 0 && most < SMALL as i64;
        if let (Some(Dictionary::Small(places, all)), true) =
            (&mut self.dictionary, is_small && self.is_dictionary_open)
        {
            places.resize(SMALL, 0);
            press.places.clear();
            for number in &press.numbers {
                let place = &mut places[*number as usize];
                if *place == 0 {
                    all.push(*number);
                    *place = all.len() as u32;
                }
                press.places.push(*place - 1);
            }
            if !is_first || all.len() * OFTEN <= press.numbers.len().max(4 * OFTEN) {
                indices(&press.places, all.len(), &mut press.page);
                return (Encoding::RLE_DICTIONARY, extent);
            }
        }
        self.is_dictionary_open = false;
        if is_first {
            self.dictionary = None;
        }
        if most.abs_diff(least) < FAR_APART {
            differences(&press.numbers, &mut press.page);
            return (Encoding::DELTA_BINARY_PACKED, extent);
        }
        plain_numbers(&press.numbers, self.is_wide, &mut press.page);
        (Encoding::PLAIN, extent)
    }

    /// Text, behind a dictionary as long as that is not too large.
    fn texts(&mut self, press: &mut Press, values: &Values) -> (Encoding, Option<Extent>) {
        if !self.is_dictionary_open {
            return (Encoding::PLAIN, plain_texts(values, &mut press.page));
        }
        let Some(dictionary) = &mut self.dictionary else {
            return (Encoding::PLAIN, plain_texts(values, &mut press.page));
        };
        let places = &mut press.places;
        places.clear();
        let extent = match (&mut *dictionary, values) {
            (Dictionary::Words(all), Values::Word(words)) => {
                // Most say what the one before says.
                let mut last: Option<(&str, u32)> = None;
                for word in words {
                    let place = match last {
                        Some((before, place)) if std::ptr::eq(before, *word) => place,
                        _ => all.insert_full(word).0 as u32,
                    };
                    last = Some((word, place));
                    places.push(place);
                }
                None
            }
            (Dictionary::Addresses(all), Values::Address(addresses)) => {
                places.extend(addresses.iter().map(|address| all.insert_full(*address).0 as u32));
                let text = |address: Option<&Address>| address.map(|address| address.to_string().into_bytes());
                // Their digits are in the order of their numbers.
                text(addresses.iter().min()).zip(text(addresses.iter().max())).map(|(a, b)| Extent::Text(a, b))
            }
            (Dictionary::Texts(all), values) => {
                each_text(values, |text, count| {
                    let place = all.get_index_of(text).unwrap_or_else(|| all.insert_full(text.into()).0);
                    places.extend(std::iter::repeat_n(place as u32, count));
                });
                None
            }
            _ => None,
        };
        indices(places, dictionary.len(), &mut press.page);
        let extent = extent.or_else(|| {
            let mut met = vec![false; dictionary.len()];
            for place in &*places {
                met[*place as usize] = true;
            }
            let met = met.iter().enumerate().filter(|(_, met)| **met);
            Extent::of_texts(met.map(|(place, _)| dictionary.text(place)))
        });
        (Encoding::RLE_DICTIONARY, extent)
    }

    /// The chunk whole: its octets, and what the file says of it.
    pub(super) fn finish(mut self, press: &mut Press) -> Result<(Pages, ColumnCloseResult)> {
        let codec = self.codec();
        let is_dictionary = self.encodings[0] > 0;
        let mut dictionary_length = 0;
        let mut filter = None;
        if let Some(dictionary) = self.dictionary.take().filter(|_| is_dictionary) {
            press.page.clear();
            dictionary.write(self.is_wide, &mut press.page);
            let uncompressed = press.page.len();
            let (buf, num_values) = (press.packed(codec)?, dictionary.len() as u32);
            let page = Page::DictionaryPage { buf, num_values, encoding: Encoding::PLAIN, is_sorted: false };
            let (octets, length) = header_and_page(page, uncompressed)?;
            self.uncompressed += length;
            self.octets += octets.len();
            dictionary_length = octets.len() as i64;
            self.pages.push_front(octets);
            // What is not in the dictionary would not pass.
            if let (FILTERED, true, Dictionary::Addresses(all)) =
                (self.column.name(), self.is_all_in_dictionary, &dictionary)
            {
                let mut addresses = Sbbf::new_with_ndv_fpp(all.len() as u64, LET_THROUGH)?;
                all.iter().for_each(|address| addresses.insert(address.to_string().as_bytes()));
                filter = Some(addresses);
            }
        }
        let mut encodings = vec![Encoding::RLE];
        let mut page_encodings = Vec::new();
        for (encoding, count) in ENCODINGS.into_iter().zip(self.encodings).filter(|(_, count)| *count > 0) {
            encodings.push(encoding);
            page_encodings.push(PageEncodingStats { page_type: PageType::DATA_PAGE, encoding, count });
        }
        if is_dictionary {
            if !encodings.contains(&Encoding::PLAIN) {
                encodings.push(Encoding::PLAIN);
            }
            let (page_type, encoding) = (PageType::DICTIONARY_PAGE, Encoding::PLAIN);
            page_encodings.insert(0, PageEncodingStats { page_type, encoding, count: 1 });
        }
        let statistics = Extent::statistics(self.extent.take(), self.column.physical_type(), self.nulls);
        let metadata = ColumnChunkMetaData::builder(self.column.clone())
            .set_encodings(encodings)
            .set_page_encoding_stats(page_encodings)
            .set_compression_codec(codec.into())
            .set_num_values(self.values as i64)
            .set_total_compressed_size(self.octets as i64)
            .set_total_uncompressed_size(self.uncompressed as i64)
            .set_dictionary_page_offset(is_dictionary.then_some(0))
            .set_data_page_offset(dictionary_length)
            .set_statistics(statistics)
            .build()?;
        let mut offsets = OffsetIndexBuilder::new();
        for Location { offset, octets, rows } in &self.locations {
            offsets.append_offset_and_size(dictionary_length + offset, *octets);
            offsets.append_row_count(*rows);
        }
        let closed = ColumnCloseResult {
            bytes_written: self.octets as u64,
            rows_written: self.rows,
            metadata,
            bloom_filter: filter,
            column_index: self.index.map(ColumnIndexBuilder::build).transpose()?,
            offset_index: Some(offsets.build()),
        };
        Ok((Pages { pages: self.pages.into(), octets: self.octets as u64 }, closed))
    }
}

/// A page behind its header, and how long both would be if the page were not compressed.
fn header_and_page(page: Page, uncompressed: usize) -> Result<(Bytes, usize)> {
    let mut out = TrackedWrite::new(Vec::with_capacity(page.buffer().len() + 64));
    let compressed = page.buffer().len();
    SerializedPageWriter::new(&mut out).write_page(CompressedPage::new(page, uncompressed))?;
    let octets = out.into_inner()?;
    let length = octets.len() - compressed + uncompressed;
    Ok((octets.into(), length))
}

/// The pages of a chunk, to be read one after another.
pub(super) struct Pages {
    pages: Vec<Bytes>,
    octets: u64,
}

impl Length for Pages {
    fn len(&self) -> u64 {
        self.octets
    }
}

impl ChunkReader for Pages {
    type T = InOrder;

    fn get_read(&self, start: u64) -> Result<InOrder> {
        let mut pages: VecDeque<Bytes> = self.pages.iter().cloned().collect();
        let mut left = start as usize;
        while let Some(page) = pages.pop_front() {
            if left < page.len() {
                pages.push_front(page.slice(left..));
                break;
            }
            left -= page.len();
        }
        Ok(InOrder(pages))
    }

    fn get_bytes(&self, start: u64, length: usize) -> Result<Bytes> {
        let mut octets = Vec::with_capacity(length);
        self.get_read(start)?.take(length as u64).read_to_end(&mut octets)?;
        Ok(octets.into())
    }
}

/// What is left of the pages.
pub(super) struct InOrder(VecDeque<Bytes>);

impl Read for InOrder {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let Some(page) = self.0.front_mut() else { return Ok(0) };
        let got = page.len().min(into.len());
        into[..got].copy_from_slice(&page.split_to(got));
        if page.is_empty() {
            self.0.pop_front();
        }
        Ok(got)
    }
}

/// Frames as their digits, and the first and the last of them in the order of their digits.
fn frames(frames: &[Frame], page: &mut Vec<u8>) -> Option<Extent> {
    for frame in frames {
        plain_text(frame.encode_hex(&mut [0; Frame::MOST_DIGITS]).as_bytes(), page);
    }
    let order = |frame: &&Frame| (frame.pattern() << (112 - frame.length()), frame.length());
    let text = |frame: &Frame| frame.to_string().into_bytes();
    let (least, most) = (frames.iter().min_by_key(order)?, frames.iter().max_by_key(order)?);
    Some(Extent::Text(text(least), text(most)))
}

/// Every text of a column, and how many times it comes up in a row.
fn each_text(values: &Values, mut each: impl FnMut(&[u8], usize)) {
    match values {
        Values::Text(octets, ends) => {
            let mut start = 0;
            for end in ends {
                each(&octets[start..*end as usize], 1);
                start = *end as usize;
            }
        }
        Values::Runs(runs) => runs.iter().for_each(|(text, count)| each(text.as_bytes(), *count as usize)),
        Values::Word(words) => words.iter().for_each(|word| each(word.as_bytes(), 1)),
        Values::Address(all) => {
            for address in all {
                each(address.encode_hex(&mut [0; Address::DIGITS]).as_bytes(), 1);
            }
        }
        Values::Registers(all, _) => all.iter().for_each(|register| each(register.to_string().as_bytes(), 1)),
        // These are no text.
        Values::Bool(_) | Values::Integer(_) | Values::Decimal(_) => {}
    }
}

fn plain_texts(values: &Values, page: &mut Vec<u8>) -> Option<Extent> {
    let mut extent: Option<(Vec<u8>, Vec<u8>)> = None;
    each_text(values, |text, count| {
        (0..count).for_each(|_| plain_text(text, page));
        let (least, most) = extent.get_or_insert_with(|| (text.to_vec(), text.to_vec()));
        if text < least.as_slice() {
            *least = text.to_vec();
        } else if text > most.as_slice() {
            *most = text.to_vec();
        }
    });
    extent.map(|(least, most)| Extent::Text(least, most))
}

fn plain_numbers(numbers: &[i64], is_wide: bool, page: &mut Vec<u8>) {
    if is_wide {
        page.extend(numbers.iter().flat_map(|number| number.to_le_bytes()));
    } else {
        page.extend(numbers.iter().flat_map(|number| (*number as i32).to_le_bytes()));
    }
}

/// Text as it is in a page: after its length.
fn plain_text(text: &[u8], page: &mut Vec<u8>) {
    page.extend_from_slice(&(text.len() as u32).to_le_bytes());
    page.extend_from_slice(text);
}

/// Something behind its length.
fn behind_length(page: &mut Vec<u8>, write: impl FnOnce(&mut Vec<u8>)) {
    let start = page.len();
    page.extend_from_slice(&[0; 4]);
    write(page);
    let length = (page.len() - start - 4) as u32;
    page[start..start + 4].copy_from_slice(&length.to_le_bytes());
}

/// The definition levels of a page, 1 in the rows that hold something.
fn levels(present: &Present, rows: usize, page: &mut Vec<u8>) {
    behind_length(page, |page| {
        if present.count() == 0 || present.count() == rows {
            varint((rows as u64) << 1, page);
            page.push(u8::from(present.count() > 0));
        } else {
            let octets = rows.div_ceil(8);
            varint((octets as u64) << 1 | 1, page);
            let end = page.len() + octets;
            page.extend(present.words(rows).flat_map(u64::to_le_bytes));
            page.resize(end, 0);
        }
    });
}

/// The levels of a column of lists, and how many there are: repetition 0 begins a row; definition 0 means no list, 1 an empty
/// one, 2 something in it.
fn list_levels(present: &Present, ends: &[u32], rows: usize, press: &mut Press) -> u64 {
    let (mut repetition, mut definition) = (Vec::new(), Vec::new());
    let words: Vec<u64> = present.words(rows).collect();
    let (mut lists, mut start) = (ends.iter(), 0);
    for row in 0..rows {
        let is_there = words[row / 64] >> (row % 64) & 1 == 1;
        let Some(end) = lists.as_slice().first().filter(|_| is_there) else {
            repetition.push(0);
            definition.push(0);
            continue;
        };
        lists.next();
        repetition.push(0);
        definition.push(if *end > start { 2 } else { 1 });
        for _ in start + 1..*end {
            repetition.push(1);
            definition.push(2);
        }
        start = *end;
    }
    behind_length(&mut press.page, |page| packed(&repetition, 1, page));
    behind_length(&mut press.page, |page| packed(&definition, 2, page));
    repetition.len() as u64
}

/// Places in a dictionary of this many entries.
fn indices(places: &[u32], of: usize, page: &mut Vec<u8>) {
    let width = of.saturating_sub(1).checked_ilog2().map_or(0, |log| log as u8 + 1);
    page.push(width);
    match places.first() {
        // One run where all are the same.
        Some(first) if places.iter().all(|place| place == first) => {
            varint((places.len() as u64) << 1, page);
            page.extend_from_slice(&first.to_le_bytes()[..usize::from(width.div_ceil(8))]);
        }
        _ => packed(places, width, page),
    }
}

/// Numbers of `width` bits: one run where there is nothing to tell apart, else eight at a time in as many octets.
fn packed(numbers: &[u32], width: u8, page: &mut Vec<u8>) {
    if width == 0 {
        return varint((numbers.len() as u64) << 1, page);
    }
    let eights = numbers.len().div_ceil(8);
    varint((eights as u64) << 1 | 1, page);
    pack(numbers.iter().copied(), 8 * eights, width, page);
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
    use super::super::batch::Cell;
    use super::super::parquet::Writer;
    use super::super::{Batch, Columns};
    use super::*;
    use parquet::file::reader::{FileReader, SerializedFileReader};
    use parquet::record::Field;
    use std::sync::Arc;

    /// Words that are in the program, as many as a test may want.
    const WORDS: [&str; 5] = ["valid", "invalid", "overlaid", "interrogator", "none"];

    fn written(columns: &Arc<Columns>, batches: &[Batch]) -> Bytes {
        let mut writer = Writer::new(Vec::new(), Arc::clone(columns), 2).expect("memory");
        for batch in batches {
            writer.push(batch).expect("memory");
        }
        Bytes::from(writer.close().expect("memory"))
    }

    /// A frame that is not the next one's.
    fn frame(row: usize) -> Frame {
        Frame::from_pattern(0xA000_1838_CA38_0031_4400_00F2_4177 ^ (row as u128 * 7919) << 24, 112)
    }

    /// Columns that hold little or everything, in several pages, with values enough for indices of any width, and more
    /// than a dictionary takes: read back by the crate.
    #[test]
    fn a_chunk_holds_its_cells() {
        const ROWS: usize = 3_000;
        const BATCHES: usize = 4;
        let columns = Arc::new(Columns::new(None));
        let at = |name: &str| columns.places[name];
        let (text, word, number, yes) =
            (at("aircraft_identification"), at("parity"), at("line"), at("address_confirmed"));
        let (file, address, list, decimal) = (at("file"), at("address"), at("registers"), at("track_deg"));
        let (near, far, counted, time) = (at("cpr_latitude"), at("cpr_longitude"), at("downlink_format"), at("time"));
        let walk = |row: usize| (row * row * 7919 % 1_000_003) as i64 - 500_000;
        let is_text = |row: usize| row % 3 == 1 || row % ROWS > 2_500;
        let registers = ["4,0", "5,0", "6,0"].map(|register| register.parse().expect("a register"));
        for words in [1, 2, 3, 4, 5, 16, 17, 255, 256, 257, 1024, 1025, 5_000, 20_000] {
            let batch = |number_of_batch: usize| {
                let mut batch = Batch::new(Arc::clone(&columns));
                for row in number_of_batch * ROWS..(number_of_batch + 1) * ROWS {
                    if is_text(row) {
                        batch.put(text, Cell::Text(&format!("word {}", row * row % words)));
                    }
                    batch.put(word, Cell::Word(WORDS[row % words % WORDS.len()]));
                    batch.put(file, Cell::Text(&format!("file {}", row / 1_700)));
                    batch.put(address, Cell::Address(Address::new((row % words * 65_537 % 0xFF_FFFF) as u32)));
                    if row == words {
                        batch.put(number, Cell::Integer(-7));
                    }
                    for (column, value) in [(near, walk(row)), (far, walk(row) << 40)] {
                        if row < words {
                            batch.put(column, Cell::Integer(value));
                        }
                    }
                    batch.put(counted, Cell::Integer((row % words) as i64));
                    if row % 5 == 0 {
                        batch.put(yes, Cell::Bool(row % 2 == 0));
                        batch.put(decimal, Cell::Decimal(walk(row) as f64 / 8.0));
                        batch.put(time, Cell::Integer(walk(row)));
                    }
                    if row % 7 < 3 {
                        batch.put(list, Cell::Registers(&registers[..row % 4]));
                    }
                    batch.end_row(frame(row), 0, 0);
                }
                batch
            };
            let file_of = written(&columns, &(0..BATCHES).map(batch).collect::<Vec<_>>());
            let reader = SerializedFileReader::new(file_of).expect("Parquet");
            let mut row = 0;
            for cells in reader.get_row_iter(None).expect("rows") {
                for (column, (_, field)) in cells.expect("a row").get_column_iter().enumerate() {
                    let expected = if column == text && is_text(row) {
                        Field::Str(format!("word {}", row * row % words))
                    } else if column == word {
                        Field::Str(WORDS[row % words % WORDS.len()].to_owned())
                    } else if column == file {
                        Field::Str(format!("file {}", row / 1_700))
                    } else if column == address {
                        Field::Str(format!("{:06X}", row % words * 65_537 % 0xFF_FFFF))
                    } else if column == at("frame") {
                        Field::Str(frame(row).to_string())
                    } else if column == near && row < words {
                        Field::Long(walk(row))
                    } else if column == far && row < words {
                        Field::Long(walk(row) << 40)
                    } else if column == counted {
                        Field::Long((row % words) as i64)
                    } else if column == number && row == words {
                        Field::Long(-7)
                    } else if column == yes && row % 5 == 0 {
                        Field::Bool(row % 2 == 0)
                    } else if column == decimal && row % 5 == 0 {
                        Field::Double(walk(row) as f64 / 8.0)
                    } else if column == time && row % 5 == 0 {
                        Field::TimestampMicros(walk(row))
                    } else if column == list && row % 7 < 3 {
                        let Field::ListInternal(all) = field else { panic!("{field}") };
                        let texts: Vec<String> = all.elements().iter().map(ToString::to_string).collect();
                        let expected: Vec<String> =
                            registers[..row % 4].iter().map(|register| format!("{:?}", register.to_string())).collect();
                        assert_eq!(texts, expected, "row {row}");
                        continue;
                    } else {
                        Field::Null
                    };
                    assert_eq!(*field, expected, "{words} words, row {row}, column {}", columns.list()[column].name);
                }
                row += 1;
            }
            assert_eq!(row, ROWS * BATCHES);
            let group = reader.metadata().row_group(0);
            let of = |place: usize| {
                group
                    .columns()
                    .iter()
                    .find(|c| c.column_descr().name() == columns.list()[place].name)
                    .expect("a column")
            };
            let known = of(number).statistics().expect("statistics");
            let value = (words < ROWS * BATCHES).then_some((-7i64).to_le_bytes());
            assert_eq!(known.min_bytes_opt(), value.as_ref().map(|value| &value[..]));
            assert_eq!(known.null_count_opt(), Some((ROWS * BATCHES - usize::from(value.is_some())) as u64));
            let least = |column| of(column).statistics().and_then(|known| known.min_bytes_opt().map(<[u8]>::to_vec));
            let rows = || (0..ROWS * BATCHES).filter(|row| row % 5 == 0);
            let decimals = rows().map(|row| walk(row) as f64 / 8.0).min_by(f64::total_cmp).expect("some");
            assert_eq!(least(decimal), Some(decimals.to_le_bytes().to_vec()));
            let texts =
                (0..ROWS * BATCHES).filter(|row| is_text(*row)).map(|row| format!("word {}", row * row % words));
            assert_eq!(least(text), texts.min().map(String::into_bytes));
        }
    }

    #[test]
    fn the_statistics_of_frames_are_in_the_order_of_their_digits() {
        let columns = Arc::new(Columns::new(None));
        let mut frames =
            ["0D40621D58C382D690C8AC2863A7", "8D40621D58C382D690C8AC2863A7", "02E187180C16F1", "A0001718000000"];
        frames.sort_unstable();
        let mut batch = Batch::new(Arc::clone(&columns));
        for frame in frames {
            batch.end_row(frame.parse().expect("a frame"), 0, 0);
        }
        let file = SerializedFileReader::new(written(&columns, &[batch])).expect("Parquet");
        let known = file.metadata().row_group(0).column(columns.places["frame"]).statistics().expect("statistics");
        assert_eq!(known.min_bytes_opt(), Some(frames[0].as_bytes()));
        assert_eq!(known.max_bytes_opt(), Some(frames[3].as_bytes()));
    }

    #[test]
    fn every_address_passes_the_filter_of_its_group_and_few_others_do() {
        const ADDRESSES: u32 = 1000;
        let columns = Arc::new(Columns::new(None));
        let address = columns.places["address"];
        let mut batch = Batch::new(Arc::clone(&columns));
        for at in 0..ADDRESSES {
            batch.put(address, Cell::Address(Address::new(at * 7919)));
            batch.end_row(frame(0), 0, 0);
        }
        let octets = written(&columns, &[batch]);
        let file = SerializedFileReader::new(octets.clone()).expect("Parquet");
        let chunk = file.metadata().row_group(0).column(address);
        let filter = Sbbf::read_from_column_chunk(chunk, &octets).expect("octets").expect("a filter");
        let passes = |number: u32| filter.check(format!("{number:06X}").as_str());
        assert!((0..ADDRESSES).all(|at| passes(at * 7919)));
        let others = (0..ADDRESSES).filter(|at| passes(at * 7919 + 1)).count();
        assert!(others < 30, "{others}");
    }

    /// What most engines know as the order of bounds, for every column: they use no others.
    #[test]
    fn the_bounds_of_every_column_are_in_the_usual_order() {
        for columns in [Columns::new(None), Columns::of_message("airborne_position", None)] {
            let columns = Arc::new(columns);
            let mut batch = Batch::new(Arc::clone(&columns));
            batch.put(columns.places["position_latitude_deg"], Cell::Decimal(0.0));
            batch.end_row(frame(1), 0, 0);
            let file = SerializedFileReader::new(written(&columns, &[batch])).expect("Parquet");
            let metadata = file.metadata().file_metadata();
            let orders = metadata.column_orders().expect("orders");
            assert_eq!(orders.len(), columns.list().len());
            let usual = |order: &parquet::basic::ColumnOrder| format!("{order:?}").starts_with("TYPE_DEFINED_ORDER");
            assert!(orders.iter().all(usual), "{orders:?}");
            // Zero of either sign is within the bounds.
            let known = file.metadata().row_group(0).column(columns.places["position_latitude_deg"]).statistics();
            assert_eq!(known.and_then(|known| known.min_bytes_opt()), Some(&(-0.0f64).to_le_bytes()[..]));
        }
    }
}
