//! Tables: one row a frame, and the same columns for every capture.
//!
//! First stand the columns that every frame has, then one for each name among the meanings of the downlink formats and the
//! squitter's messages: messages that say the same thing under the same name share a column. A register's meanings have
//! columns only where the register was named. An empty cell is "no data", or something that this frame does not say, or
//! does not say as long as the version in force is unknown.

#[cfg(feature = "parquet")]
mod chunk;
pub mod csv;
#[cfg(feature = "parquet")]
pub mod parquet;

use super::json::Place;
use super::phrases::{Language, Phrases};
use super::reading;
use crate::code::table::Table;
use crate::code::{Meaning, RegisterNumber, Value, Version};
use crate::downlink::{Decoded, FORMATS, Parity, payload_name, sender};
use crate::frame::Frame;
use crate::message::Message;
use crate::register;
use crate::track::{Observation, VersionInForce};
use indexmap::IndexSet;
use std::collections::HashMap;

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
    fn of(value: &Value) -> Option<Self> {
        match value {
            Value::Null => None,
            Value::Bool(_) => Some(Self::Bool),
            Value::Integer(_) => Some(Self::Integer),
            Value::Decimal(_) => Some(Self::Decimal),
            Value::Text(_) => Some(Self::Text),
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
    pub name: &'static str,
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
    ("address", Kind::Text, "Aircraft address, in clear or recovered from the parity"),
    ("address_confirmed", Kind::Bool, "For a recovered address, whether it was heard in clear before"),
    ("parity", Kind::Text, "What the last 24 bits say"),
    ("interrogator_kind", Kind::Text, "II or SI, for a reply to an interrogator"),
    ("interrogator_code", Kind::Integer, "The interrogator's code"),
    ("message", Kind::Text, "What the frame is"),
    ("version_in_force", Kind::Integer, "The version that its sender was last heard to follow"),
    ("position_latitude_deg", Kind::Decimal, "Latitude, found from this frame and those before"),
    ("position_longitude_deg", Kind::Decimal, "Longitude, found from this frame and those before"),
    ("position_method", Kind::Text, "How the position was found"),
];

/// The columns of a table.
#[derive(Clone, Debug)]
pub struct Columns {
    list: Vec<Column>,
    places: HashMap<&'static str, usize, foldhash::fast::FixedState>,
}

impl Columns {
    /// The columns for every capture, and those of a register that replies are read as.
    pub fn new(register: Option<RegisterNumber>) -> Self {
        let mut columns = Self { list: Vec::new(), places: HashMap::default() };
        for (name, kind, about) in EVERY {
            columns.add(name, *kind, about);
        }
        for table in FORMATS.into_iter().chain(Message::TABLES.iter().copied()) {
            columns.add_all(table, |name| name);
        }
        for (number, table) in register::TABLES {
            if register == Some(*number) {
                columns.add("register", Kind::Text, "The register");
                columns.add_all(table, |name| payload_name(FORMATS[8], payload_name(FORMATS[9], name)));
            }
        }
        columns
    }

    /// All of them, in order.
    pub fn list(&self) -> &[Column] {
        &self.list
    }

    fn add(&mut self, name: &'static str, kind: Kind, about: &'static str) {
        if let Some(place) = self.places.get(name) {
            let known = &mut self.list[*place];
            known.kind = known.kind.with(kind);
        } else {
            self.places.insert(name, self.list.len());
            self.list.push(Column { name, kind, about });
        }
    }

    /// A column for each meaning of a table. What its cells are is found by looking at what its codes mean: every code of
    /// a short field, and some of each long one.
    fn add_all(&mut self, table: &'static Table, named: impl Fn(&'static str) -> &'static str) {
        const SOME: u64 = 256;
        let spread = |n: u64| n.wrapping_mul(0x9E37_79B9_7F4A_7C15);
        for version in Version::ALL {
            let version = table.version.unwrap_or(version);
            for row in table.rows {
                let Some(field) = row.field else { continue };
                let width = row.span.width();
                let codes = (0..1u64 << width.min(8)).map(|n| if width <= 8 { n } else { spread(n) >> (64 - width) });
                for kind in codes.filter_map(|code| Kind::of(&(row.meaning)(code, version).value)) {
                    self.add(named(field), kind, row.about);
                }
            }
            for derived in table.derived {
                let patterns = (0..SOME).map(|n| {
                    let noise = u128::from(spread(n)) << 64 | u128::from(spread(n + SOME));
                    table.template | noise >> (128 - table.bits) & !(31 << (table.bits - 5))
                });
                let kinds = patterns.filter_map(|pattern| Kind::of(&(derived.read)(pattern, version)?.value));
                for kind in kinds {
                    self.add(named(derived.field), kind, derived.about);
                }
            }
        }
    }

    /// An empty batch of rows.
    pub fn batch(&self) -> Batch {
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

/// A bit a row; those behind the last are zero.
#[derive(Clone, Debug, Default)]
struct Bits(Vec<u64>);

impl Bits {
    fn set(&mut self, at: usize) {
        let word = at / 64;
        if word >= self.0.len() {
            self.0.resize(word + 1, 0);
        }
        self.0[word] |= 1 << (at % 64);
    }

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
enum Cell<'a> {
    Bool(bool),
    Integer(i64),
    Decimal(f64),
    Text(&'a str),
    Frame(Frame),
}

impl<'a> Cell<'a> {
    fn new(value: &'a Value) -> Option<Self> {
        match value {
            Value::Null => None,
            Value::Bool(yes) => Some(Self::Bool(*yes)),
            Value::Integer(number) => Some(Self::Integer(*number)),
            Value::Decimal(number) => Some(Self::Decimal(*number)),
            Value::Text(text) => Some(Self::Text(text)),
        }
    }
}

fn place(words: &mut Words, word: &str) -> u32 {
    words.get_index_of(word).unwrap_or_else(|| words.insert_full(word.into()).0) as u32
}

/// Meanings are remembered as their columns and values.
impl Language for Columns {
    type Piece = (usize, Value);
    type Name = Option<usize>;

    fn name(&self, field: &str) -> Option<usize> {
        self.places.get(field).copied()
    }

    fn say(name: &Option<usize>, meaning: &Meaning, out: &mut Vec<(usize, Value)>) {
        if let Some(column) = name {
            out.push((*column, meaning.value.clone()));
        }
    }
}

/// Makes rows of frames.
pub struct Tabulator {
    columns: Columns,
    phrases: Phrases<Columns>,
    /// What the frame says.
    said: Vec<(usize, Value)>,
}

impl Tabulator {
    /// One that has made none.
    pub fn new(columns: Columns) -> Self {
        Self { phrases: Phrases::new(columns.clone()), columns, said: Vec::new() }
    }

    /// An empty batch of rows.
    pub fn batch(&mut self) -> Batch {
        self.phrases.make_room();
        self.columns.batch()
    }

    /// Appends a frame to a batch.
    pub fn push(&mut self, batch: &mut Batch, of: &Place<'_>, decoded: &Decoded, observation: &Observation) {
        let (parity, address) = sender(&decoded.frame);
        let interrogator = if let Parity::Interrogator(code) = parity { Some(code) } else { None };
        let version = match observation.version {
            VersionInForce::Known(version) => Some(version.number()),
            VersionInForce::NoSource(number) => Some(number),
            VersionInForce::Unknown => None,
        };
        let address = address.map(|address| address.to_string());
        let position = observation.position;
        let degrees = |value| if let Value::Decimal(value) = Value::decimal(value, 6) { value } else { value };
        let every: [Option<Cell>; EVERY.len()] = [
            of.file.map(Cell::Text),
            of.file.map(|_| Cell::Integer(of.line as i64)),
            of.time.map(Cell::Decimal),
            Some(Cell::Frame(decoded.frame)),
            Some(Cell::Integer(decoded.frame.downlink_format().into())),
            address.as_deref().map(Cell::Text),
            (parity == Parity::Overlaid).then_some(Cell::Bool(observation.address_confirmed)),
            Some(Cell::Text(parity.key())),
            interrogator.map(|code| Cell::Text(code.kind())),
            interrogator.map(|code| Cell::Integer(code.code().into())),
            Some(Cell::Text(decoded.message())),
            version.map(|number| Cell::Integer(number.into())),
            position.map(|(at, _)| Cell::Decimal(degrees(at.latitude_deg))),
            position.map(|(at, _)| Cell::Decimal(degrees(at.longitude_deg))),
            position.map(|(_, method)| Cell::Text(method.key())),
        ];
        for (column, cell) in every.into_iter().enumerate() {
            if let Some(cell) = cell {
                batch.put(column, cell);
            }
        }
        if let (Some(register), Some(column)) = (decoded.register, self.columns.name("register")) {
            batch.put(column, Cell::Text(&register.to_string()));
        }
        self.said.clear();
        self.phrases.fields(decoded, reading::asked(observation.version).0, &mut self.said);
        for (column, value) in &self.said {
            if let Some(cell) = Cell::new(value) {
                batch.put(*column, cell);
            }
        }
        batch.rows += 1;
    }
}

impl Batch {
    /// How many rows it has.
    pub fn rows(&self) -> usize {
        self.rows
    }

    /// Puts something into a cell of the row to come.
    fn put(&mut self, column: usize, cell: Cell<'_>) {
        let Some(cells) = self.columns.get_mut(column) else { return };
        // A reply and the register in it may say the same; one of them is enough.
        if cells.present.get(self.rows) {
            return;
        }
        match (&mut cells.values, cell) {
            (Values::Bool(cells), Cell::Bool(yes)) => cells.push(yes),
            (Values::Integer(cells), Cell::Integer(number)) => cells.push(number),
            (Values::Decimal(cells), Cell::Decimal(number)) => cells.push(number),
            (Values::Decimal(cells), Cell::Integer(number)) => cells.push(number as f64),
            (Values::Frame(cells), Cell::Frame(frame)) => cells.push(frame),
            (Values::Text(cells), Cell::Text(text)) => cells.push(place(&mut self.words, text)),
            (Values::Text(cells), Cell::Bool(yes)) => cells.push(place(&mut self.words, &yes.to_string())),
            (Values::Text(cells), Cell::Integer(number)) => cells.push(place(&mut self.words, &number.to_string())),
            (Values::Text(cells), Cell::Decimal(number)) => {
                cells.push(place(&mut self.words, &serde_json::Value::from(number).to_string()));
            }
            // No column is narrower than what it holds: a test goes through the codes.
            _ => return,
        }
        cells.present.set(self.rows);
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
            (0..rows).filter(|row| row % 7 == 0).for_each(|row| bits.set(row));
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
