//! Turns frames into rows.

use super::batch::Cell;
use super::{Batch, ColumnType, Columns, EVERY, WORD, microseconds};
use crate::code::table::{BEYOND, Table};
use crate::code::{MeaningData, RegisterNumber, Value};
use crate::downlink::{Decoded, Parity};
use crate::present::by_version::Part;
use crate::present::json::Place;
use crate::track::{Observation, VersionInForce};
use std::ptr;
use std::sync::Arc;

/// Makes rows of frames.
pub struct Tabulator {
    /// Where the columns of the entries of each layout are, by the places of its tables in the program.
    layouts: Vec<Places>,
    /// Which of them stands for a pair of tables that was seen not long ago.
    recent: [Option<Recent>; RECENT],
    /// The rows so far.
    batch: Batch,
    /// The columns that every frame may fill, and those that few do.
    every: [Option<usize>; EVERY.len()],
    seldom: Seldom,
    registers: Vec<RegisterNumber>,
}

/// How many pairs of tables are found without a search.
const RECENT: usize = 64;

#[derive(Clone, Copy)]
struct Recent {
    envelope: *const Table,
    payload: *const Table,
    layout: usize,
}

// The tables are in the program and never change.
struct Places {
    envelope: &'static Table,
    payload: Option<&'static Table>,
    of_envelope: Vec<Name>,
    of_payload: Vec<Name>,
    /// Its number among the layouts of the table.
    number: u8,
}

/// The columns of a field: what it says, the word in place of a number, and that it is past the end of its scale.
#[derive(Clone, Default)]
struct Name {
    value: Option<(usize, ColumnType)>,
    word: Option<usize>,
    beyond: Option<usize>,
}

/// Where the columns are that few frames fill.
struct Seldom {
    position_refused: Option<usize>,
    contradiction: [Option<usize>; 3],
    state_change: [Option<usize>; 4],
    heights: [Option<usize>; 4],
    disagreement: [Option<usize>; 3],
    data_overlay: [Option<usize>; 2],
    registers: Option<usize>,
    register: Option<usize>,
}

impl Seldom {
    fn new(columns: &Columns) -> Self {
        let find = |name: &str| columns.places.get(name).copied();
        Self {
            position_refused: find("position_refused"),
            contradiction: ["contradiction_field", "contradiction_envelope", "contradiction_message"].map(find),
            state_change: ["state_change_from", "state_change_from_by", "state_change_to", "state_change_to_by"]
                .map(find),
            heights: [
                "heights_pressure_altitude_ft",
                "heights_geometric_height_ft",
                "heights_sent",
                "heights_difference_age_s",
            ]
            .map(find),
            disagreement: ["disagreement_field", "disagreement_replies", "disagreement_squitter"].map(find),
            data_overlay: ["data_overlay_address", "data_overlay_register"].map(find),
            registers: find("registers"),
            register: find("register"),
        }
    }
}

fn fill<const N: usize>(batch: &mut Batch, columns: &[Option<usize>; N], cells: [Cell<'_>; N]) {
    for (column, cell) in columns.iter().zip(cells) {
        if let Some(column) = column {
            batch.put(*column, cell);
        }
    }
}

impl Tabulator {
    /// One that has made none.
    pub fn new(columns: impl Into<Arc<Columns>>) -> Self {
        let columns: Arc<Columns> = columns.into();
        let mut every = [None; EVERY.len()];
        for (place, (name, ..)) in every.iter_mut().zip(EVERY) {
            *place = columns.places.get(*name).copied();
        }
        Self {
            layouts: Vec::new(),
            recent: [None; RECENT],
            every,
            seldom: Seldom::new(&columns),
            batch: Batch::new(columns),
            registers: Vec::new(),
        }
    }

    /// The layout of a frame, whose places are found once.
    #[inline]
    fn layout(&mut self, decoded: &Decoded) -> usize {
        let envelope = ptr::from_ref(decoded.envelope);
        let payload = decoded.payload.map_or(ptr::null(), |payload| ptr::from_ref(payload.table));
        let slot = (envelope.addr() >> 5 ^ payload.addr() >> 4 ^ payload.addr() >> 9) % RECENT;
        match self.recent[slot] {
            Some(recent) if recent.envelope == envelope && recent.payload == payload => recent.layout,
            _ => {
                let layout = self.find_layout(decoded);
                self.recent[slot] = Some(Recent { envelope, payload, layout });
                layout
            }
        }
    }

    #[cold]
    fn find_layout(&mut self, decoded: &Decoded) -> usize {
        let payload = decoded.payload.map(|payload| payload.table);
        let known =
            self.layouts.iter().position(|known| known.envelope == decoded.envelope && known.payload == payload);
        known.unwrap_or_else(|| {
            let columns = Arc::clone(&self.batch.of);
            let (envelope, inside) = Part::of(decoded);
            let declared = |layout: &super::Layout| layout.envelope == decoded.envelope && layout.payload == payload;
            self.layouts.push(Places {
                envelope: decoded.envelope,
                payload,
                of_envelope: names(&envelope, &columns),
                of_payload: inside.map(|part| names(&part, &columns)).unwrap_or_default(),
                // The wide table has no layouts, and no use for their numbers.
                number: columns.layouts.iter().position(declared).unwrap_or_default() as u8,
            });
            self.layouts.len() - 1
        })
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
        let moment = of.time.and_then(microseconds);
        let every: [Option<Cell<'_>>; EVERY.len()] = [
            of.file.map(Cell::Text),
            of.file.map(|_| Cell::Integer(of.line as i64)),
            moment.map(Cell::Integer),
            of.time.filter(|_| moment.is_none()).map(Cell::Decimal),
            None,
            Some(Cell::Integer(decoded.frame.downlink_format().into())),
            address.map(Cell::Address),
            (parity == Parity::Overlaid).then_some(Cell::Bool(observation.address_confirmed)),
            Some(Cell::Word(parity.key())),
            interrogator.map(|code| Cell::Word(code.kind())),
            interrogator.map(|code| Cell::Integer(code.code().into())),
            Some(Cell::Word(decoded.message())),
            version.map(|number| Cell::Integer(number.into())),
            position.map(|(at, _)| Cell::Decimal(degrees(at.latitude_deg))),
            position.map(|(at, _)| Cell::Decimal(degrees(at.longitude_deg))),
            position.map(|(_, method)| Cell::Word(method.key())),
        ];
        for (column, cell) in self.every.iter().zip(every) {
            if let (Some(column), Some(cell)) = (column, cell) {
                self.batch.put(*column, cell);
            }
        }
        self.push_seldom(decoded, observation);
        let layout = self.layout(decoded);
        let Places { of_envelope, of_payload, number, .. } = &self.layouts[layout];
        let (envelope, payload) = Part::of(decoded);
        let batch = &mut self.batch;
        envelope.say(observation.version, |at, _, said| put(batch, &of_envelope[at], said));
        if let Some(part) = payload {
            part.say(observation.version, |at, _, said| put(batch, &of_payload[at], said));
        }
        batch.end_row(decoded.frame, decoded.overlay(), *number);
    }

    /// What few frames say: what the frames before add, and the registers that a reply may carry.
    #[inline]
    fn push_seldom(&mut self, decoded: &Decoded, observation: &Observation) {
        let (seldom, batch) = (&self.seldom, &mut self.batch);
        if let (Some(refusal), Some(column)) = (observation.position_refused, seldom.position_refused) {
            batch.put(column, Cell::Text(&refusal.to_string()));
        }
        if let Some(contradiction) = observation.contradiction {
            let ((says, by), (message, _)) = (contradiction.envelope, contradiction.message);
            fill(batch, &seldom.contradiction, [by, says.key(), message.key()].map(Cell::Word));
        }
        if let Some(change) = observation.change {
            let words = [change.from.is.key(), change.from.by, change.to.is.key(), change.to.by];
            fill(batch, &seldom.state_change, words.map(Cell::Word));
        }
        if let Some(heights) = observation.heights {
            let cells = [
                Cell::Integer(heights.pressure_altitude_ft.into()),
                Cell::Integer(heights.geometric_height_ft.into()),
                Cell::Word(heights.sent()),
                Cell::Decimal(Value::rounded(heights.difference_age_s, 3)),
            ];
            fill(batch, &seldom.heights, cells);
        }
        if let Some(disagreement) = observation.disagreement {
            let (replies, squitter) = (disagreement.reply.to_string(), disagreement.squitter.to_string());
            let cells = [Cell::Word(disagreement.reply.field()), Cell::Text(&replies), Cell::Text(&squitter)];
            fill(batch, &seldom.disagreement, cells);
        }
        if let Some(overlay) = observation.possible_data_overlay {
            let register = overlay.register.to_string();
            fill(batch, &seldom.data_overlay, [Cell::Address(overlay.address), Cell::Text(&register)]);
        }
        if let (Some(register), Some(column)) = (decoded.register, seldom.register) {
            batch.put(column, Cell::Text(&register.to_string()));
        }
        if let (Some(possible), Some(column)) = (decoded.possible_registers(), seldom.registers) {
            self.registers.clear();
            self.registers.extend(possible.iter().map(|opinion| opinion.register));
            batch.put(column, Cell::Registers(&self.registers));
        }
    }

    /// How many rows there are so far.
    pub fn rows(&self) -> usize {
        self.batch.rows()
    }

    /// Hands out the rows so far.
    pub fn take(&mut self) -> Batch {
        let empty = self.batch.as_large();
        std::mem::replace(&mut self.batch, empty)
    }
}

/// The columns of every entry of a table, by its number.
fn names(part: &Part, columns: &Columns) -> Vec<Name> {
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
fn put(batch: &mut Batch, name: &Name, said: &MeaningData) {
    let Some((column, kind)) = name.value else { return };
    if let (true, Some(column)) = (said.beyond, name.beyond) {
        batch.put(column, Cell::Bool(true));
    }
    let cell = match said.value {
        Value::Null => return,
        Value::Word(word) if kind == ColumnType::Word || kind == ColumnType::Text => Cell::Word(word),
        Value::Word(word) => {
            if let Some(column) = name.word {
                batch.put(column, Cell::Word(word));
            }
            return;
        }
        Value::Text(text) => Cell::Code(text),
        Value::Bool(yes) => Cell::Bool(yes),
        Value::Integer(number) => Cell::Integer(number),
        Value::Decimal(number) => Cell::Decimal(number),
    };
    batch.put(column, cell);
}
