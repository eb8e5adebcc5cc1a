//! Frames to rows.

use super::{Batch, Cell, Columns, EVERY, Kind, Values, Words, place};
use crate::code::table::BEYOND;
use crate::code::{Meaning, Value};
use crate::downlink::{Decoded, Parity};
use crate::frame::Address;
use crate::present::json::Place;
use crate::present::phrases::{Language, Phrases};
use crate::present::reading;
use crate::track::{Observation, VersionInForce};
use std::collections::HashMap;

/// Everything is forgotten once this many words are known: most of them are addresses and identifications.
const MOST_WORDS: usize = 1 << 16;

/// Makes rows of frames.
pub struct Tabulator {
    phrases: Phrases<InCells>,
    /// The rows so far; their text is that of the language.
    batch: Batch,
    /// What the frame says.
    said: Vec<(usize, Cell)>,
}

impl Tabulator {
    /// One that has made none.
    pub fn new(columns: Columns) -> Self {
        let batch = columns.batch();
        let phrases = Phrases::new(InCells {
            columns,
            words: Words::default(),
            fixed: Places::default(),
            addresses: Places::default(),
            file: None,
        });
        Self { phrases, batch, said: Vec::new() }
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
        let language = &mut self.phrases.language;
        let every: [Option<Cell>; EVERY.len()] = [
            of.file.map(|name| language.file(name)),
            of.file.map(|_| Cell::Integer(of.line as i64)),
            of.time.map(Cell::Decimal),
            Some(Cell::Frame(decoded.frame)),
            Some(Cell::Integer(decoded.frame.downlink_format().into())),
            address.map(|address| language.address(address)),
            (parity == Parity::Overlaid).then_some(Cell::Bool(observation.address_confirmed)),
            Some(language.fixed(parity.key())),
            interrogator.map(|code| language.fixed(code.kind())),
            interrogator.map(|code| Cell::Integer(code.code().into())),
            Some(language.fixed(decoded.message())),
            version.map(|number| Cell::Integer(number.into())),
            position.map(|(at, _)| Cell::Decimal(degrees(at.latitude_deg))),
            position.map(|(at, _)| Cell::Decimal(degrees(at.longitude_deg))),
            position.map(|(_, method)| language.fixed(method.key())),
        ];
        for (column, cell) in every.into_iter().enumerate() {
            if let Some(cell) = cell {
                self.batch.put(column, cell);
            }
        }
        if let (Some(register), Some(column)) = (decoded.register, language.name("register").value) {
            self.batch.put(column, language.text(&register.to_string()));
        }
        self.said.clear();
        let places = self.phrases.places(decoded);
        self.phrases.fields(decoded, places, reading::asked(observation.version).0, &mut self.said);
        for (column, cell) in &self.said {
            self.batch.put(*column, *cell);
        }
        self.batch.rows += 1;
    }

    /// Hands out the rows so far, with the words that are in them.
    pub fn take(&mut self) -> Batch {
        let empty = self.batch.as_large();
        let mut batch = std::mem::replace(&mut self.batch, empty);
        let known = &self.phrases.language.words;
        let mut places = vec![None; known.len()];
        for cells in &mut batch.columns {
            let Values::Text(words) = &mut cells.values else { continue };
            for word in words {
                let at = *word as usize;
                *word = *places[at].get_or_insert_with(|| place(&mut batch.words, &known[at]));
            }
        }
        self.phrases.make_room();
        if self.phrases.language.words.len() > MOST_WORDS {
            // What is remembered speaks of them.
            self.phrases.forget();
            self.phrases.language.forget();
        }
        batch
    }
}

type Places<T> = HashMap<T, u32, foldhash::fast::FixedState>;

/// Meanings as cells of their columns.
struct InCells {
    columns: Columns,
    words: Words,
    /// Where words are that stand in the program: their own place there tells them apart.
    fixed: Places<(usize, usize)>,
    /// Where addresses are in hexadecimal.
    addresses: Places<Address>,
    /// Where the name of the capture is.
    file: Option<u32>,
}

/// The columns of a field: what it says, and that it is past the end of its scale.
struct Name {
    value: Option<usize>,
    beyond: Option<usize>,
}

impl Language for InCells {
    type Piece = (usize, Cell);
    type Name = Name;

    fn name(&self, field: &str) -> Name {
        let place = |name: &str| self.columns.places.get(name).copied();
        Name { value: place(field), beyond: place(&format!("{field}{BEYOND}")) }
    }

    fn say(&mut self, name: &Name, meaning: &Meaning, out: &mut Vec<(usize, Cell)>) {
        let Some(column) = name.value else { return };
        if let (true, Some(column)) = (meaning.beyond, name.beyond) {
            out.push((column, Cell::Bool(true)));
        }
        let cell = match (self.columns.list[column].kind, &meaning.value) {
            (_, Value::Null) => return,
            (_, Value::Text(text)) => self.text(text),
            (Kind::Text, value) => self.text(&serde_json::Value::from(value.clone()).to_string()),
            (Kind::Decimal, Value::Integer(number)) => Cell::Decimal(*number as f64),
            (_, Value::Bool(yes)) => Cell::Bool(*yes),
            (_, Value::Integer(number)) => Cell::Integer(*number),
            (_, Value::Decimal(number)) => Cell::Decimal(*number),
        };
        out.push((column, cell));
    }
}

impl InCells {
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

    fn forget(&mut self) {
        self.words.clear();
        self.fixed.clear();
        self.addresses.clear();
    }
}
