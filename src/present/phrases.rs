//! What the rows of the tables say, as JSON that is already written or as cells that are already filled: a capture says
//! the same few things over and over.

use super::reading::Asked;
use crate::code::table::{BEYOND, Row, Table};
use crate::code::{Meaning, Value};
use crate::downlink::{Decoded, PAYLOAD_KEY, Pair};
use std::collections::HashMap;
use std::ops::Range;
use std::ptr;

/// Neighbouring rows are remembered together up to so many bits, and a row of more bits is written anew each time.
const SHORT: u8 = 8;
/// Everything is forgotten once this many octets are remembered: a capture of noise says many things once.
const MOST: usize = 1 << 20;

/// In what a phrase is said.
pub trait Language {
    /// What phrases are made of.
    type Piece: Clone;
    /// The name of a field, ready for use.
    type Name;

    /// The name of a field.
    fn name(&self, field: &str) -> Self::Name;

    /// Says what a field means.
    fn say(&mut self, name: &Self::Name, meaning: &Meaning, out: &mut Vec<Self::Piece>);
}

/// Phrases for the rows of each table.
pub struct Phrases<L: Language> {
    /// In what they are said.
    pub language: L,
    /// Where the sheet of each table is, and of each table in a pair with an envelope. They stand in the program, so their
    /// place tells them apart.
    places: HashMap<(*const Pair, *const Table), usize, foldhash::fast::FixedState>,
    sheets: Vec<Sheet<L>>,
    /// Everything that is remembered, in no order.
    text: Vec<L::Piece>,
}

/// Where the sheets of a frame's tables are.
#[derive(Clone, Copy)]
pub struct Places {
    envelope: usize,
    payload: Option<usize>,
}

impl Phrases<Json> {
    /// Writes the code of every row, the payload's rows in the place of the whole payload.
    pub fn codes(&mut self, decoded: &Decoded, places: Places, out: &mut Vec<u8>) {
        let pattern = decoded.overlaid_pattern();
        let Places { envelope, payload } = places;
        let (Some(payload), Some(inside)) = (&decoded.payload, payload) else {
            return self.sheets[envelope].codes(0..usize::MAX, pattern, &mut self.text, out);
        };
        let at = self.sheets[envelope].payload;
        self.sheets[envelope].codes(0..at, pattern, &mut self.text, out);
        self.sheets[inside].codes(0..usize::MAX, payload.bits.into(), &mut self.text, out);
        self.sheets[envelope].codes(at + 1..usize::MAX, pattern, &mut self.text, out);
    }
}

impl<L: Language> Phrases<L> {
    /// None so far.
    pub fn new(language: L) -> Self {
        Self { language, places: HashMap::default(), sheets: Vec::new(), text: Vec::new() }
    }

    /// Where the sheets of a frame's tables are, until everything is forgotten.
    pub fn places(&mut self, decoded: &Decoded) -> Places {
        let envelope = self.place(None, decoded.envelope);
        Places { envelope, payload: decoded.payload.map(|payload| self.place(decoded.pair(), payload.table)) }
    }

    /// Says what is asked of a frame: rows of the envelope, what is derived from them, and the same of the payload.
    pub fn fields(&mut self, decoded: &Decoded, places: Places, asked: Asked, out: &mut Vec<L::Piece>) {
        let Places { envelope, payload } = places;
        self.sheets[envelope].fields(&mut self.language, asked, decoded.frame.pattern(), &mut self.text, out);
        if let (Some(payload), Some(inside)) = (&decoded.payload, payload) {
            self.sheets[inside].fields(&mut self.language, asked, payload.bits.into(), &mut self.text, out);
        }
    }

    /// Forgets everything if that is too much.
    pub fn make_room(&mut self) {
        if self.text.len() * size_of::<L::Piece>() > MOST {
            self.forget();
        }
    }

    /// Forgets everything.
    pub fn forget(&mut self) {
        self.places.clear();
        self.sheets.clear();
        self.text.clear();
    }

    fn place(&mut self, pair: Option<&'static Pair>, table: &'static Table) -> usize {
        let key = (pair.map_or(ptr::null(), ptr::from_ref), ptr::from_ref(table));
        *self.places.entry(key).or_insert_with(|| {
            self.sheets.push(Sheet::new(&self.language, pair, table));
            self.sheets.len() - 1
        })
    }
}

/// The phrases of one table.
struct Sheet<L: Language> {
    table: &'static Table,
    runs: Vec<Run<L>>,
    /// Which run is the payload, kept whole.
    payload: usize,
    /// Names of what is derived.
    derived: Vec<L::Name>,
}

/// Rows side by side, few enough bits together to be remembered, or one row.
struct Run<L: Language> {
    rows: &'static [Row],
    keys: Vec<L::Name>,
    fields: Vec<Option<L::Name>>,
    /// How many bits of the message stand behind it.
    behind: u8,
    /// How many patterns its bits have; none where they are not remembered.
    patterns: usize,
    /// For the codes and for whatever is asked of the fields: where in the text each pattern is; empty before the first.
    known: [Vec<Known>; 1 + Asked::COUNT],
}

/// A stretch of text.
#[derive(Clone, Copy, Debug)]
struct Known {
    start: u32,
    length: u32,
}

const UNKNOWN: Known = Known { start: u32::MAX, length: 0 };

impl<L: Language> Sheet<L> {
    fn new(language: &L, pair: Option<&'static Pair>, table: &'static Table) -> Self {
        let named = |name| pair.map_or(name, |pair| pair.name(name));
        let name = |name| language.name(named(name));
        let fits = |one: &Row, next: &Row| {
            next.span.last - one.span.first < SHORT && one.key != PAYLOAD_KEY && next.key != PAYLOAD_KEY
        };
        let mut runs = Vec::new();
        let mut rest = table.rows;
        while let [first, ..] = rest {
            let together = rest.iter().take_while(|row| ptr::eq(*row, first) || fits(first, row)).count();
            let (rows, after) = rest.split_at(together);
            rest = after;
            let last = rows[together - 1].span.last;
            let width = last + 1 - first.span.first;
            runs.push(Run {
                rows,
                keys: rows.iter().map(|row| name(row.key)).collect(),
                fields: rows.iter().map(|row| row.field.map(name)).collect(),
                behind: table.bits - last,
                patterns: if width <= SHORT { 1 << width } else { 0 },
                known: [const { Vec::new() }; 1 + Asked::COUNT],
            });
        }
        Self {
            table,
            payload: runs.iter().position(|run| run.rows[0].key == PAYLOAD_KEY).unwrap_or(runs.len()),
            runs,
            derived: table.derived.iter().map(|derived| name(derived.field)).collect(),
        }
    }

    fn fields(
        &mut self,
        language: &mut L,
        asked: Asked,
        pattern: u128,
        text: &mut Vec<L::Piece>,
        out: &mut Vec<L::Piece>,
    ) {
        let table = self.table;
        for run in &mut self.runs {
            run.say(1 + asked.number(), pattern, text, out, |run, out| {
                for (row, field) in run.rows.iter().zip(&run.fields) {
                    let Some(field) = field else { continue };
                    if let Some(meaning) = asked.of_row(table, row, pattern) {
                        language.say(field, &meaning, out);
                    }
                }
            });
        }
        for (derived, name) in table.derived.iter().zip(&self.derived) {
            if let Some(meaning) = asked.of_derived(table, derived, pattern) {
                language.say(name, &meaning, out);
            }
        }
    }
}

impl Sheet<Json> {
    fn codes(&mut self, runs: Range<usize>, pattern: u128, text: &mut Vec<u8>, out: &mut Vec<u8>) {
        let table = self.table;
        let last = runs.end.min(self.runs.len());
        for run in self.runs.get_mut(runs.start..last).unwrap_or_default() {
            run.say(0, pattern, text, out, |run, out| {
                for (row, key) in run.rows.iter().zip(&run.keys) {
                    out.extend_from_slice(&key.value);
                    out.extend_from_slice(itoa::Buffer::new().format(table.code(row, pattern)).as_bytes());
                    out.push(b',');
                }
            });
        }
    }
}

impl<L: Language> Run<L> {
    /// Says what it said before, or what `write` says.
    #[inline]
    fn say(
        &mut self,
        what: usize,
        pattern: u128,
        text: &mut Vec<L::Piece>,
        out: &mut Vec<L::Piece>,
        write: impl FnOnce(&Self, &mut Vec<L::Piece>),
    ) {
        let Some(mask) = self.patterns.checked_sub(1) else { return write(self, out) };
        let code = (pattern >> self.behind) as usize & mask;
        match self.known[what].get(code) {
            Some(Known { start, length }) if *start != UNKNOWN.start => {
                out.extend_from_slice(&text[*start as usize..][..*length as usize]);
            }
            _ => {
                let start = text.len();
                write(self, text);
                out.extend_from_slice(&text[start..]);
                self.known[what].resize(self.patterns, UNKNOWN);
                self.known[what][code] = Known { start: start as u32, length: (text.len() - start) as u32 };
            }
        }
    }
}

/// Entries of JSON objects: `"name":value,`.
pub struct Json;

/// A name as the key of an entry.
pub struct Name {
    /// `"name":`
    value: Box<[u8]>,
    /// `"name_meaning":`
    meaning: Box<[u8]>,
    /// `"name_beyond":true,`
    beyond: Box<[u8]>,
}

impl Language for Json {
    type Piece = u8;
    type Name = Name;

    fn name(&self, field: &str) -> Name {
        Name {
            value: format!("\"{field}\":").into_bytes().into(),
            meaning: format!("\"{field}_meaning\":").into_bytes().into(),
            beyond: format!("\"{field}{BEYOND}\":true,").into_bytes().into(),
        }
    }

    fn say(&mut self, name: &Name, meaning: &Meaning, out: &mut Vec<u8>) {
        out.extend_from_slice(&name.value);
        value(&meaning.value, out);
        out.push(b',');
        if meaning.beyond {
            out.extend_from_slice(&name.beyond);
        }
        if let Some(word) = meaning.name {
            out.extend_from_slice(&name.meaning);
            text(word, out);
            out.push(b',');
        }
    }
}

/// Writes a value.
fn value(value: &Value, out: &mut Vec<u8>) {
    match value {
        Value::Null => out.extend_from_slice(b"null"),
        Value::Bool(yes) => out.extend_from_slice(if *yes { b"true" } else { b"false" }),
        Value::Integer(number) => out.extend_from_slice(itoa::Buffer::new().format(*number).as_bytes()),
        // Writing to memory cannot fail.
        Value::Decimal(number) => drop(serde_json::to_writer(out, number)),
        Value::Text(words) => text(words, out),
    }
}

/// Writes text in quotes.
pub fn text(text: &str, out: &mut Vec<u8>) {
    drop(serde_json::to_writer(out, text));
}
