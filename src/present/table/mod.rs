//! Tables: one row per frame, and the same columns for every capture.
//!
//! First stand the columns that every frame has, then one for each name among the meanings of the downlink formats and the
//! squitter's messages: messages that say the same thing under the same name share a column. A register's meanings have
//! columns only where the register was named. An empty cell is "no data", or something that this frame does not say, or
//! does not say as long as the version in force is unknown.

#[cfg(feature = "parquet")]
mod chunk;
pub mod csv;
#[cfg_attr(not(feature = "parquet"), path = "without_parquet.rs")]
pub mod parquet;
mod tabulator;

pub use tabulator::Tabulator;

use crate::code::table::{BEYOND, Table};
use crate::code::{self, RegisterNumber};
use crate::downlink::{FORMATS, PAIRS};
use crate::frame::Frame;
use indexmap::IndexSet;
use std::borrow::Cow;
use std::collections::{HashMap, HashSet};

/// What the cells of a column are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Yes or no.
    Bool,
    /// Whole numbers.
    Integer,
    /// Numbers.
    Decimal,
    /// Text.
    Text,
    /// Frames in hexadecimal: text that is seldom the same twice.
    Frame,
}

impl Kind {
    /// Of what these values are put into: the words of numbers that may be words have a column of their own.
    const fn of(values: code::Kind) -> Self {
        match values {
            code::Kind::Flag => Self::Bool,
            code::Kind::Integer | code::Kind::IntegerOrWord => Self::Integer,
            code::Kind::Decimal => Self::Decimal,
            code::Kind::Word | code::Kind::Text => Self::Text,
        }
    }

    /// The kind that holds both.
    fn with(self, other: Self) -> Self {
        match (self, other) {
            (a, b) if a == b => a,
            (Self::Integer, Self::Decimal) | (Self::Decimal, Self::Integer) => Self::Decimal,
            _ => Self::Text,
        }
    }
}

/// A column.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Column {
    /// Its name, the unit at its end.
    pub name: Cow<'static, str>,
    /// What its cells are.
    pub kind: Kind,
    /// One line of explanation.
    pub about: &'static str,
}

/// The columns that every frame has, in front of the others.
const EVERY: &[(&str, Kind, &str)] = &[
    ("file", Kind::Text, "The capture"),
    ("line", Kind::Integer, "The line, from 1"),
    ("time", Kind::Decimal, "Seconds, as given or since 1970"),
    ("frame", Kind::Frame, "The frame in hexadecimal"),
    ("downlink_format", Kind::Integer, "Downlink format"),
    ("address", Kind::Text, "Aircraft address, in the clear or recovered from the parity"),
    ("address_confirmed", Kind::Bool, "For a recovered address, whether it was heard in the clear before"),
    ("parity", Kind::Text, "What the last 24 bits say"),
    ("interrogator_kind", Kind::Text, "II or SI, for a reply to an interrogator"),
    ("interrogator_code", Kind::Integer, "The interrogator's code"),
    ("message", Kind::Text, "What the frame is"),
    ("version_in_force", Kind::Integer, "The version that its sender was last heard to follow"),
    ("position_latitude_deg", Kind::Decimal, "Latitude, found from this frame and those before"),
    ("position_longitude_deg", Kind::Decimal, "Longitude, found from this frame and those before"),
    ("position_method", Kind::Text, "How the position was found"),
];

/// What the name of the column of words ends with, beside a column of numbers that may be words.
pub const WORD: &str = "_word";

/// The columns of a table.
#[derive(Clone, Debug, Default)]
pub struct Columns {
    list: Vec<Column>,
    places: HashMap<Cow<'static, str>, usize, foldhash::fast::FixedState>,
}

impl Columns {
    /// The columns for every capture, and those of a register that replies are read as.
    pub fn new(register: Option<RegisterNumber>) -> Self {
        let mut columns = Self { list: Vec::new(), places: HashMap::default() };
        for (name, kind, about) in EVERY {
            columns.add(*name, *kind, about);
        }
        for table in FORMATS {
            columns.add_all(table, |name| name);
        }
        let mut met = HashSet::new();
        for pair in PAIRS.iter().filter(|pair| pair.is_as_squitter()) {
            // Where nothing is renamed the same message is the same columns.
            for table in pair.payloads.iter().filter(|table| met.insert((table.title, pair.renamed))) {
                columns.add_all(table, |name| pair.name(name));
            }
        }
        if let Some(number) = register {
            columns.add("register", Kind::Text, "The register");
            for pair in PAIRS {
                for table in pair.tables_of(number) {
                    columns.add_all(table, |name| pair.name(name));
                }
            }
        }
        columns
    }

    /// All of them, in order.
    pub fn list(&self) -> &[Column] {
        &self.list
    }

    /// Beside a field whose scale ends, a column that says whether this is past it.
    fn add_beyond(&mut self, name: &str, capped: bool) {
        if capped {
            let about = "Yes for the last code of the scale, which also stands for everything past the number";
            self.add(format!("{name}{BEYOND}"), Kind::Bool, about);
        }
    }

    fn add(&mut self, name: impl Into<Cow<'static, str>>, kind: Kind, about: &'static str) {
        let name = name.into();
        if let Some(place) = self.places.get(&name) {
            let known = &mut self.list[*place];
            known.kind = known.kind.with(kind);
        } else {
            self.places.insert(name.clone(), self.list.len());
            self.list.push(Column { name, kind, about });
        }
    }

    /// A column for each meaning of a table that can be read in a single frame.
    fn add_all(&mut self, table: &'static Table, named: impl Fn(&'static str) -> &'static str) {
        for entry in table.entries().filter(|entry| !entry.takes_several_messages()) {
            let (name, kind) = (named(entry.field()), entry.kind());
            self.add(name, Kind::of(kind), entry.about());
            if kind == code::Kind::IntegerOrWord {
                self.add(format!("{name}{WORD}"), Kind::Text, "The word that stands in place of the number");
            }
            self.add_beyond(name, entry.is_capped());
        }
    }

    /// A batch without rows.
    fn batch(&self) -> Batch {
        let empty = |column: &Column| Cells {
            present: Bits::default(),
            values: match column.kind {
                Kind::Bool => Values::Bool(Vec::new()),
                Kind::Integer => Values::Integer(Vec::new()),
                Kind::Decimal => Values::Decimal(Vec::new()),
                Kind::Text => Values::Text(Vec::new()),
                Kind::Frame => Values::Frame(Vec::new()),
            },
        };
        Batch { rows: 0, columns: self.list.iter().map(empty).collect(), words: Words::default() }
    }
}

/// Some rows of a table, column by column.
#[derive(Clone, Debug)]
pub struct Batch {
    rows: usize,
    columns: Vec<Cells>,
    words: Words,
}

/// All text of a batch, each once, in the order in which it came up.
type Words = IndexSet<Box<str>, foldhash::fast::FixedState>;

/// The cells of a column that hold something.
#[derive(Clone, Debug)]
struct Cells {
    /// In which rows they stand.
    present: Bits,
    values: Values,
}

#[derive(Clone, Debug)]
enum Values {
    Bool(Vec<bool>),
    Integer(Vec<i64>),
    Decimal(Vec<f64>),
    /// Places among the words.
    Text(Vec<u32>),
    Frame(Vec<Frame>),
}

/// A bit a row, in words; those behind the last are zero.
#[derive(Clone, Debug, Default)]
struct Bits(Vec<u64>);

impl Bits {
    /// In steps of so many words they grow.
    const AT_ONCE: usize = 16;

    /// Sets a bit, and says whether it was not set before.
    fn set(&mut self, at: usize) -> bool {
        let (place, bit) = (at / 64, 1 << (at % 64));
        if let Some(word) = self.0.get_mut(place) {
            let before = *word;
            *word = before | bit;
            return before & bit == 0;
        }
        self.0.resize((place + 1).next_multiple_of(Self::AT_ONCE), 0);
        self.0[place] = bit;
        true
    }

    #[cfg(test)]
    fn get(&self, at: usize) -> bool {
        self.0.get(at / 64).is_some_and(|word| word >> (at % 64) & 1 == 1)
    }

    /// Puts others behind the first `len`.
    fn append(&mut self, len: usize, others: &Self) {
        let (first, shift) = (len / 64, len % 64);
        if others.0.is_empty() {
            return;
        }
        self.0.resize(first + others.0.len() + 1, 0);
        for (at, word) in (first..).zip(&others.0) {
            self.0[at] |= word << shift;
            // In two steps, as no shift by all 64 bits is allowed.
            self.0[at + 1] |= word >> 1 >> (63 - shift);
        }
    }
}

/// What is put into a cell.
#[derive(Clone, Copy, Debug)]
enum Cell {
    Bool(bool),
    Integer(i64),
    Decimal(f64),
    /// The place of a word.
    Text(u32),
    Frame(Frame),
}

/// The place of a word among others.
fn place(words: &mut Words, word: &str) -> u32 {
    words.get_index_of(word).unwrap_or_else(|| words.insert_full(word.into()).0) as u32
}

impl Batch {
    /// How many rows it has.
    pub fn rows(&self) -> usize {
        self.rows
    }

    /// Puts something into a cell of the row to come.
    fn put(&mut self, column: usize, cell: Cell) {
        let Some(cells) = self.columns.get_mut(column) else { return };
        // A reply and the register in it may say the same; one of them is enough.
        if !cells.present.set(self.rows) {
            return;
        }
        match (&mut cells.values, cell) {
            (Values::Bool(cells), Cell::Bool(yes)) => cells.push(yes),
            (Values::Integer(cells), Cell::Integer(number)) => cells.push(number),
            (Values::Decimal(cells), Cell::Decimal(number)) => cells.push(number),
            (Values::Text(cells), Cell::Text(word)) => cells.push(word),
            (Values::Frame(cells), Cell::Frame(frame)) => cells.push(frame),
            // No column is narrower than what it holds: a test goes through the codes.
            _ => cells.present.0[self.rows / 64] &= !(1 << (self.rows % 64)),
        }
    }

    /// Appends the rows of another batch with the same columns.
    pub fn append(&mut self, other: &Self) {
        let places: Vec<u32> = other.words.iter().map(|word| place(&mut self.words, word)).collect();
        for (mine, theirs) in self.columns.iter_mut().zip(&other.columns) {
            mine.present.append(self.rows, &theirs.present);
            match (&mut mine.values, &theirs.values) {
                (Values::Bool(mine), Values::Bool(theirs)) => mine.extend_from_slice(theirs),
                (Values::Integer(mine), Values::Integer(theirs)) => mine.extend_from_slice(theirs),
                (Values::Decimal(mine), Values::Decimal(theirs)) => mine.extend_from_slice(theirs),
                (Values::Text(mine), Values::Text(theirs)) => {
                    mine.extend(theirs.iter().map(|word| places[*word as usize]));
                }
                (Values::Frame(mine), Values::Frame(theirs)) => mine.extend_from_slice(theirs),
                _ => {}
            }
        }
        self.rows += other.rows;
    }

    /// One without rows, with room for as much as is in this one.
    fn as_large(&self) -> Self {
        let empty = |cells: &Cells| Cells {
            present: Bits::default(),
            values: match &cells.values {
                Values::Bool(values) => Values::Bool(Vec::with_capacity(values.len())),
                Values::Integer(values) => Values::Integer(Vec::with_capacity(values.len())),
                Values::Decimal(values) => Values::Decimal(Vec::with_capacity(values.len())),
                Values::Text(values) => Values::Text(Vec::with_capacity(values.len())),
                Values::Frame(values) => Values::Frame(Vec::with_capacity(values.len())),
            },
        };
        Self { rows: 0, columns: self.columns.iter().map(empty).collect(), words: Words::default() }
    }

    /// Forgets all rows, and keeps the room that they took.
    pub fn clear(&mut self) {
        self.rows = 0;
        self.words.clear();
        for cells in &mut self.columns {
            cells.present.0.clear();
            match &mut cells.values {
                Values::Bool(values) => values.clear(),
                Values::Integer(values) => values.clear(),
                Values::Decimal(values) => values.clear(),
                Values::Text(values) => values.clear(),
                Values::Frame(values) => values.clear(),
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Bits;

    #[test]
    fn bits_are_appended_behind_any_number_of_others() {
        let sevenths = |rows| {
            let mut bits = Bits::default();
            (0..rows).filter(|row| row % 7 == 0).for_each(|row| assert!(bits.set(row)));
            bits
        };
        for rows in (0..=130).chain([640]) {
            for others in [0, 1, 63, 64, 65, 200] {
                let mut bits = sevenths(rows);
                bits.append(rows, &sevenths(others));
                for row in 0..rows + others + 200 {
                    let expected = if row < rows { row % 7 == 0 } else { row < rows + others && (row - rows) % 7 == 0 };
                    assert_eq!(bits.get(row), expected, "{rows} {others} {row}");
                }
            }
        }
    }
}
