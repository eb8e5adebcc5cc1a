//! Frames to rows.

use super::{Batch, Cell, Columns, EVERY, Kind, Values, WORD, Words, place};
use crate::code::table::{BEYOND, Table};
use crate::code::{Said, Value};
use crate::downlink::{Decoded, Pair, Parity};
use crate::frame::Address;
use crate::present::json::Place;
use crate::present::reading::Part;
use crate::track::{Observation, VersionInForce};
use std::collections::HashMap;
use std::ptr;

/// All words are forgotten once this many are known: most of them are addresses and identifications.
const MOST_WORDS: usize = 1 << 16;

/// Makes rows of frames.
pub struct Tabulator {
    columns: Columns,
    /// Where the columns of the entries of each table are, and of each table in a pair that renames some. They stand in the
    /// program, so their place tells them apart.
    layouts: HashMap<(*const Pair, *const Table), Vec<Name>, foldhash::fast::FixedState>,
    known: Known,
    /// The rows so far; their text is among the known words.
    batch: Batch,
}

impl Tabulator {
    /// One that has made none.
    pub fn new(columns: Columns) -> Self {
        let batch = columns.batch();
        Self { columns, layouts: HashMap::default(), known: Known::default(), batch }
    }

    /// Appends a row.
    pub fn push(&mut self, of: &Place<'_>, decoded: &Decoded, observation: &Observation) {
        let (parity, address) = (decoded.parity(), decoded.address());
        let interrogator = if let Parity::Interrogator(code) = parity { Some(code) } else { None };
        let version = match observation.version {
            VersionInForce::Known(version) => Some(version.number()),
            VersionInForce::NoSource(number) => Some(number),
            VersionInForce::Unknown => None,
        };
        let position = observation.position;
        let degrees = |value| if let Value::Decimal(value) = Value::decimal(value, 6) { value } else { value };
        let known = &mut self.known;
        let every: [Option<Cell>; EVERY.len()] = [
            of.file.map(|name| known.file(name)),
            of.file.map(|_| Cell::Integer(of.line as i64)),
            of.time.map(Cell::Decimal),
            Some(Cell::Frame(decoded.frame)),
            Some(Cell::Integer(decoded.frame.downlink_format().into())),
            address.map(|address| known.address(address)),
            (parity == Parity::Overlaid).then_some(Cell::Bool(observation.address_confirmed)),
            Some(known.fixed(parity.key())),
            interrogator.map(|code| known.fixed(code.kind())),
            interrogator.map(|code| Cell::Integer(code.code().into())),
            Some(known.fixed(decoded.message())),
            version.map(|number| Cell::Integer(number.into())),
            position.map(|(at, _)| Cell::Decimal(degrees(at.latitude_deg))),
            position.map(|(at, _)| Cell::Decimal(degrees(at.longitude_deg))),
            position.map(|(_, method)| known.fixed(method.key())),
        ];
        for (column, cell) in every.into_iter().enumerate() {
            if let Some(cell) = cell {
                self.batch.put(column, cell);
            }
        }
        if let (Some(register), Some(column)) = (decoded.register, self.columns.places.get("register")) {
            self.batch.put(*column, known.text(&register.to_string()));
        }
        let (envelope, payload) = Part::of(decoded);
        for part in [Some(envelope), payload].into_iter().flatten() {
            let key = (part.pair.map_or(ptr::null(), ptr::from_ref), ptr::from_ref(part.table));
            let layout = self.layouts.entry(key).or_insert_with(|| layout(&part, &self.columns));
            part.say(observation.version, |at, _, said| put(&mut self.batch, known, &layout[at], said));
        }
        self.batch.rows += 1;
    }

    /// Hands out the rows so far, with the words that are in them.
    pub fn take(&mut self) -> Batch {
        let empty = self.batch.as_large();
        let mut batch = std::mem::replace(&mut self.batch, empty);
        let known = &self.known.words;
        let mut places = vec![None; known.len()];
        for cells in &mut batch.columns {
            let Values::Text(words) = &mut cells.values else { continue };
            for word in words {
                let at = *word as usize;
                *word = *places[at].get_or_insert_with(|| place(&mut batch.words, &known[at]));
            }
        }
        if self.known.words.len() > MOST_WORDS {
            self.known = Known::default();
        }
        batch
    }
}

type Places<T> = HashMap<T, u32, foldhash::fast::FixedState>;

/// The words that cells point to.
#[derive(Default)]
struct Known {
    words: Words,
    /// Where words are that stand in the program: their own place there tells them apart.
    fixed: Places<(usize, usize)>,
    /// Where addresses are in hexadecimal.
    addresses: Places<Address>,
    /// Where the name of the capture is.
    file: Option<u32>,
}

/// The columns of a field: what it says, the word in place of a number, and that it is past the end of its scale.
#[derive(Default)]
struct Name {
    value: Option<(usize, Kind)>,
    word: Option<usize>,
    beyond: Option<usize>,
}

/// The columns of every entry of a table, by its number.
fn layout(part: &Part, columns: &Columns) -> Vec<Name> {
    let name = |field: &'static str| {
        let (field, find) = (part.name(field), |name: &str| columns.places.get(name).copied());
        Name {
            value: find(field).map(|column| (column, columns.list[column].kind)),
            word: find(&format!("{field}{WORD}")),
            beyond: find(&format!("{field}{BEYOND}")),
        }
    };
    let rows = part.table.rows.iter().map(|row| row.field.map(name).unwrap_or_default());
    rows.chain(part.table.derived.iter().map(|derived| name(derived.field))).collect()
}

/// Puts what a field says into its columns.
#[inline]
fn put(batch: &mut Batch, known: &mut Known, name: &Name, said: &Said) {
    let Some((column, kind)) = name.value else { return };
    if let (true, Some(column)) = (said.beyond, name.beyond) {
        batch.put(column, Cell::Bool(true));
    }
    let cell = match (kind, &said.value) {
        (_, Value::Null) => return,
        (Kind::Text, Value::Word(word)) => known.fixed(word),
        (_, Value::Word(word)) => {
            if let Some(column) = name.word {
                batch.put(column, known.fixed(word));
            }
            return;
        }
        (_, Value::Text(text)) => match text.as_str() {
            Some(text) => known.text(text),
            None => known.text(&text.to_string()),
        },
        (Kind::Text, value) => known.text(&value.to_string()),
        (Kind::Decimal, Value::Integer(number)) => Cell::Decimal(*number as f64),
        (_, Value::Bool(yes)) => Cell::Bool(*yes),
        (_, Value::Integer(number)) => Cell::Integer(*number),
        (_, Value::Decimal(number)) => Cell::Decimal(*number),
    };
    batch.put(column, cell);
}

impl Known {
    fn text(&mut self, text: &str) -> Cell {
        Cell::Text(place(&mut self.words, text))
    }

    /// The name of the capture, which is mostly that of the row before.
    fn file(&mut self, name: &str) -> Cell {
        let known = self.file.filter(|word| self.words.get_index(*word as usize).is_some_and(|known| **known == *name));
        Cell::Text(*self.file.insert(known.unwrap_or_else(|| place(&mut self.words, name))))
    }

    /// The same for text that stands in the program.
    fn fixed(&mut self, text: &'static str) -> Cell {
        let key = (text.as_ptr().addr(), text.len());
        Cell::Text(*self.fixed.entry(key).or_insert_with(|| place(&mut self.words, text)))
    }

    fn address(&mut self, address: Address) -> Cell {
        Cell::Text(*self.addresses.entry(address).or_insert_with(|| place(&mut self.words, &address.to_string())))
    }
}
