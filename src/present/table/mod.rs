//! Tables: one row per frame. The wide table has the same columns for every capture; the table of one message has the
//! columns that this message may fill, its raw codes beside their meanings.
//!
//! First come the columns that every frame may fill, then one for each name among the meanings: messages that say the
//! same thing under the same name share a column, and a name has one type in every table. A register's meanings have
//! columns only where the register was named. An empty cell is "no data", or something that this frame does not say, or
//! does not say as long as the version in force is unknown.

mod batch;
#[cfg(feature = "parquet")]
mod chunk;
pub mod csv;
#[cfg_attr(not(feature = "parquet"), path = "parquet_stub.rs")]
pub mod parquet;
mod tabulator;
mod times;

pub use batch::Batch;
pub use tabulator::Tabulator;
pub use times::{Slice, microseconds};

use crate::code::table::{BEYOND, Entry, Row, Table};
use crate::code::{self, RegisterNumber};
use crate::downlink::{self, FORMATS, PAIRS, PAYLOAD_KEY, PAYLOAD_OFFSET, Pair};
use crate::frame::{Frame, PARITY_BITS};
use std::borrow::Cow;
use std::collections::{HashMap, HashSet};
use std::sync::{Arc, LazyLock};

/// The version of the columns: it changes where a column is taken away, renamed or given another type.
pub const SCHEMA: &str = "table/1";

/// What the cells of a column are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ColumnType {
    /// Yes or no.
    Bool,
    /// Raw codes of at most 31 bits.
    Code,
    /// Whole numbers.
    Integer,
    /// Numbers.
    Decimal,
    /// Words of a list.
    Word,
    /// Text.
    Text,
    /// The names of captures: text that is the same for many rows.
    File,
    /// Moments, in microseconds since 1970.
    Time,
    /// Aircraft addresses: six hexadecimal digits.
    Address,
    /// A list of registers.
    Registers,
    /// Frames in hexadecimal: text that is seldom the same twice.
    Frame,
}

impl ColumnType {
    /// Of what these values are put into: the words of numbers that may be words have a column of their own.
    const fn of(values: code::MeaningKind) -> Self {
        match values {
            code::MeaningKind::Flag => Self::Bool,
            code::MeaningKind::Integer | code::MeaningKind::IntegerOrWord => Self::Integer,
            code::MeaningKind::Decimal => Self::Decimal,
            code::MeaningKind::Word => Self::Word,
            code::MeaningKind::Text => Self::Text,
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
#[derive(Clone, Debug)]
pub struct Column {
    /// Its name, the unit at its end.
    pub name: Cow<'static, str>,
    /// What its cells are.
    pub kind: ColumnType,
    /// One line of explanation.
    pub about: &'static str,
    origin: Origin,
}

/// Where the values of a column come from.
#[derive(Clone, Debug)]
enum Origin {
    /// They are put into its cells.
    Cell,
    /// The frame itself.
    Frame,
    /// A raw code, taken from the frame; by layout, which may have it or not.
    Code(Box<[Option<Extract>]>),
    /// The same for every row.
    Constant(Arc<str>),
}

/// Where in a frame the bits of a code are.
#[derive(Clone, Copy, Debug)]
pub(super) struct Extract {
    /// How many bits come behind them.
    behind: u8,
    mask: u64,
}

impl Extract {
    /// Of a row in a frame of this length; `offset` is the number of bits in front of the message that the row is part of.
    fn new(row: &Row, offset: u8, length: u8) -> Self {
        let span = row.span.shifted(offset);
        Self { behind: length - span.last, mask: u64::MAX >> (64 - span.width()) }
    }

    /// The code. The code of the parity is what it is overlaid with.
    #[inline]
    fn of(self, frame: &Frame, overlay: u32) -> i64 {
        let pattern = if self.behind < PARITY_BITS {
            frame.pattern() >> PARITY_BITS << PARITY_BITS | u128::from(overlay)
        } else {
            frame.pattern()
        };
        ((pattern >> self.behind) as u64 & self.mask) as i64
    }
}

/// How frames may be read: an envelope, and its payload.
#[derive(Clone, Copy, Debug)]
pub(super) struct Layout {
    envelope: &'static Table,
    pub(super) pair: Option<&'static Pair>,
    payload: Option<&'static Table>,
}

impl Layout {
    /// Every one there is.
    pub(super) fn everywhere() -> impl Iterator<Item = Self> {
        downlink::combinations().map(|(envelope, pair, payload)| Self { envelope, pair, payload })
    }

    /// Every one that is met. A register is known only where it was named.
    fn all(register: Option<RegisterNumber>) -> impl Iterator<Item = Self> {
        Self::everywhere().filter(move |layout| match (layout.pair, layout.payload) {
            (Some(pair), Some(payload)) if pair.is_by_register() => {
                payload.message == "payload"
                    || register.is_some_and(|register| pair.tables_of(register).contains(&payload))
            }
            _ => true,
        })
    }

    /// The message that such a frame is.
    pub(super) fn message(&self) -> &'static str {
        downlink::naming(self.envelope, self.payload).message
    }

    /// The meanings of envelope and payload that can be read in a single frame, each with its name.
    pub(super) fn entries(&self) -> impl Iterator<Item = (&'static str, Entry<'static>)> {
        let pair = self.pair;
        let own = self.envelope.entries().map(|entry| (entry.field(), entry));
        let inside = self.payload.into_iter().flat_map(Table::entries);
        let inside = inside.map(move |entry| (pair.map_or(entry.field(), |pair| pair.name(entry.field())), entry));
        own.chain(inside).filter(|(_, entry)| !entry.takes_several_messages())
    }

    /// The rows of envelope and payload, each with its name and its place.
    pub(super) fn rows(&self) -> impl Iterator<Item = (&'static str, &'static Row, Extract)> {
        let (envelope, pair) = (self.envelope, self.pair);
        let is_split = self.payload.is_some();
        let own = envelope.rows.iter().filter(move |row| !(is_split && row.key == PAYLOAD_KEY));
        let own = own.map(move |row| (row.key, row, Extract::new(row, 0, envelope.bits)));
        let inside = self.payload.into_iter().flat_map(|payload| payload.rows);
        own.chain(inside.map(move |row| {
            let name = pair.map_or(row.key, |pair| pair.name(row.key));
            (name, row, Extract::new(row, PAYLOAD_OFFSET, envelope.bits))
        }))
    }
}

/// The columns that every frame may fill, in front of the others.
const EVERY: &[(&str, ColumnType, &str)] = &[
    ("file", ColumnType::File, "The capture"),
    ("line", ColumnType::Integer, "The line, from 1"),
    (
        "time",
        ColumnType::Time,
        "When it was received, in UTC, to a microsecond; where the capture says seconds since 1970 or a date",
    ),
    ("relative_time_s", ColumnType::Decimal, "The time as a number of seconds, where it counts from anything else"),
    ("frame", ColumnType::Frame, "The frame in hexadecimal"),
    ("downlink_format", ColumnType::Integer, "Downlink format"),
    ("address", ColumnType::Address, "Aircraft address, in the clear or recovered from the parity"),
    ("address_confirmed", ColumnType::Bool, "For a recovered address, whether it was heard in the clear before"),
    ("parity", ColumnType::Word, "What the last 24 bits say"),
    ("interrogator_kind", ColumnType::Word, "II or SI, for a reply to an interrogator"),
    ("interrogator_code", ColumnType::Integer, "The interrogator's code"),
    ("message", ColumnType::Word, "What the frame is"),
    ("version_in_force", ColumnType::Integer, "The version that its sender was last heard to follow"),
    ("position_latitude_deg", ColumnType::Decimal, "Latitude, found from this frame and those before"),
    ("position_longitude_deg", ColumnType::Decimal, "Longitude, found from this frame and those before"),
    ("position_method", ColumnType::Word, "How the position was found"),
];

/// Of those behind them, what few frames fill: what the frames before add, and what a reply may carry.
const SELDOM: &[(&str, ColumnType, &str)] = &[
    ("position_refused", ColumnType::Text, "Why a position message gives no position"),
    ("contradiction_field", ColumnType::Word, "The field of the envelope that contradicts the message in the frame"),
    ("contradiction_envelope", ColumnType::Word, "In the air or on the ground, as that field says"),
    ("contradiction_message", ColumnType::Word, "In the air or on the ground, as the message says"),
    ("state_change_from", ColumnType::Word, "In the air or on the ground until this frame"),
    ("state_change_from_by", ColumnType::Word, "Which field or message said so first"),
    ("state_change_to", ColumnType::Word, "In the air or on the ground since this frame"),
    ("state_change_to_by", ColumnType::Word, "Which field or message says so"),
    (
        "heights_pressure_altitude_ft",
        ColumnType::Integer,
        "Pressure altitude, sent or computed from the difference before",
    ),
    (
        "heights_geometric_height_ft",
        ColumnType::Integer,
        "Geometric height, sent or computed from the difference before",
    ),
    ("heights_sent", ColumnType::Word, "Which of the two heights was sent"),
    ("heights_difference_age_s", ColumnType::Decimal, "How old the difference of the heights is"),
    (
        "disagreement_field",
        ColumnType::Word,
        "The field in which a squitter before disagrees with the replies around it",
    ),
    ("disagreement_replies", ColumnType::Text, "What the replies say"),
    ("disagreement_squitter", ColumnType::Text, "What the squitter between them said"),
    (
        "data_overlay_address",
        ColumnType::Address,
        "The address that it may be, if a register number was XORed onto the parity",
    ),
    ("data_overlay_register", ColumnType::Text, "That register"),
    (
        "registers",
        ColumnType::Registers,
        "For a Comm-B reply whose register nobody named: every register that it may be, the likeliest first",
    ),
];

/// What the name of the column of words ends with, beside a column of numbers that may be words.
pub const WORD: &str = "_word";
/// What the name of the column of a raw code begins with.
pub const CODE: &str = "code_";

/// The one kind of each name among the meanings, whichever table it is in.
static KINDS: LazyLock<HashMap<&'static str, ColumnType>> = LazyLock::new(|| {
    let mut kinds: HashMap<&'static str, ColumnType> = HashMap::new();
    for (name, entry) in Layout::everywhere().flat_map(|layout| layout.entries().collect::<Vec<_>>()) {
        let kind = ColumnType::of(entry.kind());
        kinds.entry(name).and_modify(|known| *known = known.with(kind)).or_insert(kind);
    }
    for (name, kind, _) in EVERY.iter().chain(SELDOM) {
        kinds.insert(name, *kind);
    }
    kinds
});

/// The columns of a table.
#[derive(Clone, Debug, Default)]
pub struct Columns {
    list: Vec<Column>,
    places: HashMap<Cow<'static, str>, usize, foldhash::fast::FixedState>,
    /// The layouts that the frames of its rows may have; empty where raw codes have no columns.
    layouts: Vec<Layout>,
}

impl Columns {
    /// The columns of the wide table: for every capture, and those of a register that replies are read as.
    pub fn new(register: Option<RegisterNumber>) -> Self {
        let mut columns = Self::default();
        columns.add_every(EVERY);
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
            columns.add_register();
            for pair in PAIRS {
                for table in pair.tables_of(number) {
                    columns.add_all(table, |name| pair.name(name));
                }
            }
        }
        columns.add_every(SELDOM);
        columns
    }

    /// The names of all messages, each of which has a table of its own.
    pub fn messages() -> Vec<&'static str> {
        let mut all: Vec<&'static str> = Vec::new();
        for message in Layout::all(None).map(|layout| layout.message()) {
            if !all.contains(&message) {
                all.push(message);
            }
        }
        all
    }

    /// The columns of the table of one message, which does not say its own name: the folder does.
    pub fn of_message(message: &str, register: Option<RegisterNumber>) -> Self {
        let mut columns = Self::default();
        columns.add_every(EVERY.iter().filter(|(name, ..)| *name != "message"));
        let layouts: Vec<Layout> = Layout::all(register).filter(|layout| layout.message() == message).collect();
        for layout in &layouts {
            columns.add_all(layout.envelope, |name| name);
            if let Some(payload) = layout.payload {
                columns.add_all(payload, |name| layout.pair.map_or(name, |pair| pair.name(name)));
            }
        }
        if register.is_some() && layouts.iter().any(|layout| layout.pair.is_some_and(Pair::is_by_register)) {
            columns.add_register();
        }
        columns.add_every(SELDOM);
        columns.add_codes(&layouts);
        columns.layouts = layouts;
        columns
    }

    /// The same with a column more, which says the same in every row.
    ///
    /// # Errors
    /// There is a column of this name.
    pub fn with_constant(mut self, name: &str, value: &str) -> Result<Self, NameTaken> {
        if self.places.contains_key(name) {
            return Err(NameTaken(name.to_owned()));
        }
        let about = "The same in every row, as it was given";
        self.insert(name.to_owned().into(), ColumnType::Text, about, Origin::Constant(value.into()));
        Ok(self)
    }

    /// All of them, in order.
    pub fn list(&self) -> &[Column] {
        &self.list
    }

    fn add_every<'a>(&mut self, every: impl IntoIterator<Item = &'a (&'static str, ColumnType, &'static str)>) {
        for (name, kind, about) in every {
            let origin = if *kind == ColumnType::Frame { Origin::Frame } else { Origin::Cell };
            self.insert((*name).into(), *kind, about, origin);
        }
    }

    fn add_register(&mut self) {
        self.add("register", ColumnType::Text, "The register");
    }

    fn insert(&mut self, name: Cow<'static, str>, kind: ColumnType, about: &'static str, origin: Origin) {
        self.places.insert(name.clone(), self.list.len());
        self.list.push(Column { name, kind, about, origin });
    }

    fn add(&mut self, name: impl Into<Cow<'static, str>>, kind: ColumnType, about: &'static str) {
        let name = name.into();
        if !self.places.contains_key(&name) {
            self.insert(name, kind, about, Origin::Cell);
        }
    }

    /// A column for each meaning of a table that can be read in a single frame.
    fn add_all(&mut self, table: &'static Table, named: impl Fn(&'static str) -> &'static str) {
        for entry in table.entries().filter(|entry| !entry.takes_several_messages()) {
            let (name, kind) = (named(entry.field()), entry.kind());
            self.add(name, KINDS.get(name).copied().unwrap_or(ColumnType::of(kind)), entry.about());
            if kind == code::MeaningKind::IntegerOrWord {
                self.add(format!("{name}{WORD}"), ColumnType::Word, "The word that replaces the number");
            }
            if entry.is_capped() {
                let about = "Yes for the last code of the scale, which also stands for everything past the number";
                self.add(format!("{name}{BEYOND}"), ColumnType::Bool, about);
            }
        }
    }

    /// A column for each raw code of these layouts.
    fn add_codes(&mut self, layouts: &[Layout]) {
        for (at, layout) in layouts.iter().enumerate() {
            for (name, row, extract) in layout.rows() {
                let name = format!("{CODE}{name}");
                let place = self.places.get(&*name).copied().unwrap_or_else(|| {
                    let origin = Origin::Code(vec![None; layouts.len()].into());
                    self.insert(name.into(), ColumnType::Code, row.about, origin);
                    self.list.len() - 1
                });
                let column = &mut self.list[place];
                if row.span.width() > 31 {
                    column.kind = ColumnType::Integer;
                }
                if let Origin::Code(extracts) = &mut column.origin {
                    extracts[at] = Some(extract);
                }
            }
        }
    }
}

/// A column that was to be added has the name of another.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("the table has a column {0} of its own; choose another name")]
pub struct NameTaken(String);

#[cfg(test)]
mod tests {
    use super::*;
    use crate::downlink::Decoded;
    use crate::present::json::{Place, codes};
    use crate::track::Tracker;

    /// Every message, and the wide table: a name is there once, and means the same kind of thing everywhere.
    #[test]
    fn a_name_is_there_once_and_has_one_kind_in_every_table() {
        let mut kinds: HashMap<String, ColumnType> = HashMap::new();
        let messages = Columns::messages();
        assert!(messages.len() > 20, "{messages:?}");
        let registers = [None, Some("5,0".parse().expect("a register"))];
        for register in registers {
            let tables = messages.iter().map(|message| Columns::of_message(message, register));
            for columns in tables.chain([Columns::new(register)]) {
                let mut met = HashSet::new();
                for column in columns.list() {
                    assert!(met.insert(column.name.clone()), "{} is there twice", column.name);
                    let known = *kinds.entry(column.name.to_string()).or_insert(column.kind);
                    // A code may be wider in one message than in another.
                    let is_code = column.name.starts_with(CODE);
                    assert!(known == column.kind || is_code, "{}: {known:?} and {:?}", column.name, column.kind);
                    assert!(!column.about.is_empty(), "{}", column.name);
                }
            }
        }
    }

    /// Random frames of every format, read in every version and as any register: each has a declared layout, and the code
    /// columns of its table are the codes of its JSON, no more and no less.
    #[test]
    fn the_codes_of_a_row_are_those_of_the_object() {
        let mut random = rand_pcg::Pcg64Mcg::new(0x5EED_5EED);
        let mut next = || {
            use rand_pcg::rand_core::Rng as _;
            random.next_u64()
        };
        let registers: Vec<RegisterNumber> = ["0,5", "0,8", "1,0", "1,7", "2,0", "4,0", "4,4", "5,0", "6,0", "6,5"]
            .map(|r| r.parse().expect("one"))
            .into();
        let tables: Vec<HashMap<&str, Arc<Columns>>> = [None]
            .into_iter()
            .chain(registers.iter().copied().map(Some))
            .map(|register| {
                let of = |message| (message, Arc::new(Columns::of_message(message, register)));
                Columns::messages().into_iter().map(of).collect()
            })
            .collect();
        let mut tabulators: HashMap<(usize, &str), Tabulator> = HashMap::new();
        let mut compared = 0;
        for at in 0..60_000u64 {
            let pattern = u128::from(next()) << 64 | u128::from(next());
            let format = u128::from(at % 32);
            let frame = if matches!(at % 32, 0 | 4 | 5 | 11) || at % 97 == 0 {
                Frame::from_pattern(format << 51 | pattern & ((1 << 51) - 1), 56)
            } else {
                Frame::from_pattern(format << 107 | pattern & ((1 << 107) - 1), 112)
            };
            let which = at as usize % tables.len();
            let register = which.checked_sub(1).map(|which| registers[which]);
            let decoded = Decoded::new(frame);
            let decoded = register.map_or(decoded, |register| decoded.with_register(register));
            let version = (at % 7 < 6).then_some((at % 6) as u8);
            let observation = Tracker::new(None, version).observe(&decoded, None);
            let decoded = observation.version.read(decoded);
            let message = decoded.message();
            let columns = tables[which].get(message).unwrap_or_else(|| panic!("no table of {message}"));
            let payload = decoded.payload.map(|payload| payload.table);
            let layout = columns.layouts.iter().find(|l| l.envelope == decoded.envelope && l.payload == payload);
            assert!(layout.is_some(), "{frame} as {register:?} in {version:?}: {message} has no such layout");
            let tabulator = tabulators.entry((which, message)).or_insert_with(|| Tabulator::new(Arc::clone(columns)));
            tabulator.push(&Place::default(), &decoded, &observation);
            let batch = tabulator.take();
            let mut found = serde_json::Map::new();
            for column in columns.list() {
                if let (Origin::Code(extracts), Some(name)) = (&column.origin, column.name.strip_prefix(CODE))
                    && let Some(code) = batch.codes(extracts).next()
                {
                    found.insert(name.to_owned(), code.into());
                }
            }
            let expected = codes(&decoded);
            assert_eq!(found.len(), expected.len(), "{frame}");
            assert!(
                expected.iter().all(|(name, code)| found.get(name) == Some(code)),
                "{frame}: {found:?} {expected:?}"
            );
            compared += found.len();
        }
        assert!(compared > 300_000, "{compared}");
    }
}
