//! Tables: one row a frame, and the same columns for every capture.
//!
//! First stand the columns that every frame has, then one for each name among the meanings of the downlink formats and the
//! squitter's messages: messages that say the same thing under the same name share a column. A register's meanings have
//! columns only where the register was named. An empty cell is "no data", or something that this frame does not say, or
//! does not say as long as the version in force is unknown.

pub mod csv;
#[cfg(feature = "parquet")]
pub mod parquet;

use super::json::Place;
use super::reading::Reading;
use crate::code::table::Table;
use crate::code::{RegisterNumber, Value, Version};
use crate::downlink::{Decoded, FORMATS, Parity, payload_name};
use crate::message::Message;
use crate::register;
use crate::track::{Observation, VersionInForce};
use std::borrow::Cow;
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
    ("frame", Kind::Text, "The frame in hexadecimal"),
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
            rows: Vec::new(),
            values: match column.kind {
                Kind::Bool => Values::Bool(Vec::new()),
                Kind::Integer => Values::Integer(Vec::new()),
                Kind::Decimal => Values::Decimal(Vec::new()),
                Kind::Text => Values::Text(Vec::new()),
            },
        };
        Batch { rows: 0, columns: self.list.iter().map(empty).collect() }
    }
}

/// Some rows of a table, column by column.
#[derive(Clone, Debug)]
pub struct Batch {
    rows: u32,
    columns: Vec<Cells>,
}

/// The cells of a column that hold something.
#[derive(Clone, Debug)]
struct Cells {
    /// In which row each stands.
    rows: Vec<u32>,
    values: Values,
}

#[derive(Clone, Debug)]
enum Values {
    Bool(Vec<bool>),
    Integer(Vec<i64>),
    Decimal(Vec<f64>),
    Text(Vec<Cow<'static, str>>),
}

impl Cells {
    fn put(&mut self, row: u32, value: Value) {
        match (&mut self.values, value) {
            (_, Value::Null) => return,
            (Values::Bool(cells), Value::Bool(yes)) => cells.push(yes),
            (Values::Integer(cells), Value::Integer(number)) => cells.push(number),
            (Values::Decimal(cells), Value::Decimal(number)) => cells.push(number),
            (Values::Decimal(cells), Value::Integer(number)) => cells.push(number as f64),
            (Values::Text(cells), Value::Text(text)) => cells.push(text),
            (Values::Text(cells), other) => cells.push(serde_json::Value::from(other).to_string().into()),
            // No column is narrower than what it holds: a test goes through the codes.
            _ => return,
        }
        self.rows.push(row);
    }
}

impl Batch {
    /// How many rows it has.
    pub fn rows(&self) -> usize {
        self.rows as usize
    }

    /// Appends a frame.
    pub fn push(&mut self, columns: &Columns, place: &Place<'_>, decoded: &Decoded, observation: &Observation) {
        let row = self.rows;
        self.rows += 1;
        let mut cells = self.columns.iter_mut();
        let mut next = |value: Value| {
            if let Some(cells) = cells.next() {
                cells.put(row, value);
            }
        };
        let text = |text: &'static str| Value::Text(Cow::Borrowed(text));
        let parity = decoded.parity();
        let interrogator = if let Parity::Interrogator(code) = parity { Some(code) } else { None };
        // In the order of the columns that every frame has.
        next(place.file.map_or(Value::Null, |file| Value::Text(file.to_owned().into())));
        next(if place.file.is_some() { Value::Integer(place.line as i64) } else { Value::Null });
        next(place.time.map_or(Value::Null, Value::Decimal));
        next(Value::Text(decoded.frame.to_string().into()));
        next(Value::Integer(decoded.frame.downlink_format().into()));
        next(decoded.address().map_or(Value::Null, |address| Value::Text(address.to_string().into())));
        next(if parity == Parity::Overlaid { Value::Bool(observation.address_confirmed) } else { Value::Null });
        next(text(parity.key()));
        next(interrogator.map_or(Value::Null, |code| text(code.kind())));
        next(interrogator.map_or(Value::Null, |code| Value::Integer(code.code().into())));
        next(text(decoded.message()));
        next(match observation.version {
            VersionInForce::Known(version) => Value::Integer(version.number().into()),
            VersionInForce::NoSource(number) => Value::Integer(number.into()),
            VersionInForce::Unknown => Value::Null,
        });
        let position = observation.position;
        next(position.map_or(Value::Null, |(at, _)| Value::decimal(at.latitude_deg, 6)));
        next(position.map_or(Value::Null, |(at, _)| Value::decimal(at.longitude_deg, 6)));
        next(position.map_or(Value::Null, |(_, method)| text(method.key())));
        if let Some(register) = decoded.register {
            self.put(columns, "register", row, Value::Text(register.to_string().into()));
        }
        for (name, meaning) in Reading::new(decoded, observation.version).fields {
            self.put(columns, name, row, meaning.value);
        }
    }

    fn put(&mut self, columns: &Columns, name: &str, row: u32, value: Value) {
        if let Some(place) = columns.places.get(name) {
            let cells = &mut self.columns[*place];
            // A reply and the register in it may say the same; one of them is enough.
            if cells.rows.last() != Some(&row) {
                cells.put(row, value);
            }
        }
    }

    /// Appends the rows of another batch with the same columns.
    pub fn append(&mut self, other: Self) {
        for (mine, theirs) in self.columns.iter_mut().zip(other.columns) {
            mine.rows.extend(theirs.rows.iter().map(|row| row + self.rows));
            match (&mut mine.values, theirs.values) {
                (Values::Bool(mine), Values::Bool(theirs)) => mine.extend(theirs),
                (Values::Integer(mine), Values::Integer(theirs)) => mine.extend(theirs),
                (Values::Decimal(mine), Values::Decimal(theirs)) => mine.extend(theirs),
                (Values::Text(mine), Values::Text(theirs)) => mine.extend(theirs),
                _ => {}
            }
        }
        self.rows += other.rows;
    }
}
