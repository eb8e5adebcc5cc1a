//! Holds some rows of a table, column by column.

use super::{ColumnType, Columns, Extract, Origin};
use crate::code::{RegisterNumber, Text};
use crate::frame::{Address, Frame};
use std::sync::Arc;

/// Some rows of a table, column by column.
#[derive(Clone, Debug)]
pub struct Batch {
    pub(super) of: Arc<Columns>,
    pub(super) rows: usize,
    /// One for each column; those that follow from the frame hold nothing.
    pub(super) cells: Vec<Cells>,
    /// The frame of each row, what its parity is overlaid with, and its layout: the codes follow from these.
    pub(super) frames: Vec<Frame>,
    pub(super) overlays: Vec<u32>,
    pub(super) layouts: Vec<u8>,
}

/// The cells of a column that hold something.
#[derive(Clone, Debug)]
pub(super) struct Cells {
    pub(super) present: Present,
    pub(super) values: Values,
}

#[derive(Clone, Debug)]
pub(super) enum Values {
    Bool(Vec<bool>),
    Integer(Vec<i64>),
    Decimal(Vec<f64>),
    /// Text that is in the program.
    Word(Vec<&'static str>),
    /// Text one after another, and where each ends.
    Text(Vec<u8>, Vec<u32>),
    /// Text that is the same for many rows, and for how many.
    Runs(Vec<(Arc<str>, u32)>),
    Address(Vec<Address>),
    /// Registers one after another, and where those of each row end.
    Registers(Vec<RegisterNumber>, Vec<u32>),
}

/// What is put into a cell.
#[derive(Clone, Copy, Debug)]
pub(super) enum Cell<'a> {
    Bool(bool),
    Integer(i64),
    Decimal(f64),
    Word(&'static str),
    Text(&'a str),
    Code(Text),
    Address(Address),
    Registers(&'a [RegisterNumber]),
}

impl Values {
    fn new(kind: ColumnType) -> Self {
        match kind {
            ColumnType::Bool => Self::Bool(Vec::new()),
            ColumnType::Code | ColumnType::Integer | ColumnType::Time => Self::Integer(Vec::new()),
            ColumnType::Decimal => Self::Decimal(Vec::new()),
            ColumnType::Word => Self::Word(Vec::new()),
            ColumnType::Text | ColumnType::Frame => Self::Text(Vec::new(), Vec::new()),
            ColumnType::File => Self::Runs(Vec::new()),
            ColumnType::Address => Self::Address(Vec::new()),
            ColumnType::Registers => Self::Registers(Vec::new(), Vec::new()),
        }
    }

    /// Appends what a cell holds. False where it is of another kind, which no column is: a test goes through the codes.
    #[inline]
    fn push(&mut self, cell: Cell<'_>) -> bool {
        match (self, cell) {
            (Self::Bool(values), Cell::Bool(yes)) => values.push(yes),
            (Self::Integer(values), Cell::Integer(number)) => values.push(number),
            (Self::Decimal(values), Cell::Decimal(number)) => values.push(number),
            (Self::Decimal(values), Cell::Integer(number)) => values.push(number as f64),
            (Self::Word(values), Cell::Word(word)) => values.push(word),
            (Self::Address(values), Cell::Address(address)) => values.push(address),
            (Self::Text(octets, ends), Cell::Text(text) | Cell::Word(text)) => {
                octets.extend_from_slice(text.as_bytes());
                ends.push(octets.len() as u32);
            }
            (Self::Text(octets, ends), Cell::Code(text)) => {
                match text.as_str() {
                    Some(text) => octets.extend_from_slice(text.as_bytes()),
                    None => octets.extend_from_slice(text.to_string().as_bytes()),
                }
                ends.push(octets.len() as u32);
            }
            (Self::Text(octets, ends), Cell::Integer(number)) => {
                octets.extend_from_slice(itoa::Buffer::new().format(number).as_bytes());
                ends.push(octets.len() as u32);
            }
            (Self::Text(octets, ends), Cell::Decimal(number)) => {
                octets.extend_from_slice(number.to_string().as_bytes());
                ends.push(octets.len() as u32);
            }
            (Self::Runs(runs), Cell::Text(text)) => match runs.last_mut() {
                Some((last, count)) if **last == *text => *count += 1,
                _ => runs.push((text.into(), 1)),
            },
            (Self::Registers(all, ends), Cell::Registers(registers)) => {
                all.extend_from_slice(registers);
                ends.push(all.len() as u32);
            }
            _ => return false,
        }
        true
    }

    fn append(&mut self, other: &Self) {
        let shifted = |mine: &mut Vec<u32>, by: usize, theirs: &[u32]| {
            mine.extend(theirs.iter().map(|end| end + by as u32));
        };
        match (self, other) {
            (Self::Bool(mine), Self::Bool(theirs)) => mine.extend_from_slice(theirs),
            (Self::Integer(mine), Self::Integer(theirs)) => mine.extend_from_slice(theirs),
            (Self::Decimal(mine), Self::Decimal(theirs)) => mine.extend_from_slice(theirs),
            (Self::Word(mine), Self::Word(theirs)) => mine.extend_from_slice(theirs),
            (Self::Address(mine), Self::Address(theirs)) => mine.extend_from_slice(theirs),
            (Self::Text(mine, ends), Self::Text(theirs, their_ends)) => {
                shifted(ends, mine.len(), their_ends);
                mine.extend_from_slice(theirs);
            }
            (Self::Registers(mine, ends), Self::Registers(theirs, their_ends)) => {
                shifted(ends, mine.len(), their_ends);
                mine.extend_from_slice(theirs);
            }
            (Self::Runs(mine), Self::Runs(theirs)) => {
                for (text, count) in theirs {
                    match mine.last_mut() {
                        Some((last, before)) if last == text => *before += count,
                        _ => mine.push((Arc::clone(text), *count)),
                    }
                }
            }
            // The columns are the same.
            _ => {}
        }
    }

    fn clear(&mut self) {
        match self {
            Self::Bool(values) => values.clear(),
            Self::Integer(values) => values.clear(),
            Self::Decimal(values) => values.clear(),
            Self::Word(values) => values.clear(),
            Self::Address(values) => values.clear(),
            Self::Runs(values) => values.clear(),
            Self::Text(octets, ends) => {
                octets.clear();
                ends.clear();
            }
            Self::Registers(all, ends) => {
                all.clear();
                ends.clear();
            }
        }
    }

    /// One without values, with room for about as many.
    fn as_large(&self) -> Self {
        match self {
            Self::Bool(values) => Self::Bool(Vec::with_capacity(values.len())),
            Self::Integer(values) => Self::Integer(Vec::with_capacity(values.len())),
            Self::Decimal(values) => Self::Decimal(Vec::with_capacity(values.len())),
            Self::Word(values) => Self::Word(Vec::with_capacity(values.len())),
            Self::Address(values) => Self::Address(Vec::with_capacity(values.len())),
            Self::Runs(_) => Self::Runs(Vec::new()),
            Self::Text(octets, ends) => Self::Text(Vec::with_capacity(octets.len()), Vec::with_capacity(ends.len())),
            Self::Registers(all, ends) => {
                Self::Registers(Vec::with_capacity(all.len()), Vec::with_capacity(ends.len()))
            }
        }
    }
}

/// In which rows a column holds something: in the first few and in no other, or where a bit is set.
#[derive(Clone, Debug, Default)]
pub(super) struct Present {
    count: usize,
    /// Empty as long as there is no gap.
    bits: Vec<u64>,
}

impl Present {
    /// The bits grow in steps of this many words.
    const AT_ONCE: usize = 16;

    /// Marks a row, which is the last marked one or one behind it. False where it was marked before.
    #[inline]
    fn set(&mut self, row: usize) -> bool {
        if self.bits.is_empty() {
            if row == self.count {
                self.count += 1;
                return true;
            }
            if row < self.count {
                return false;
            }
            self.bits = ones(self.count);
        }
        let (place, bit) = (row / 64, 1 << (row % 64));
        if place >= self.bits.len() {
            self.bits.resize((place + 1).next_multiple_of(Self::AT_ONCE), 0);
        }
        let before = self.bits[place];
        self.bits[place] = before | bit;
        self.count += usize::from(before & bit == 0);
        before & bit == 0
    }

    /// Takes back the last row that was marked.
    fn unset(&mut self, row: usize) {
        self.count -= 1;
        if let Some(word) = self.bits.get_mut(row / 64) {
            *word &= !(1 << (row % 64));
        }
    }

    /// How many rows are marked.
    pub(super) fn count(&self) -> usize {
        self.count
    }

    /// A bit for each of a number of rows.
    pub(super) fn words(&self, rows: usize) -> impl Iterator<Item = u64> + '_ {
        let full = if self.bits.is_empty() { self.count } else { 0 };
        (0..rows.div_ceil(64)).map(move |place| {
            let of_full = match full.saturating_sub(place * 64) {
                0 => 0,
                rows @ 1..64 => (1 << rows) - 1,
                _ => u64::MAX,
            };
            of_full | self.bits.get(place).copied().unwrap_or(0)
        })
    }

    /// Puts those of others after the first rows, whose number is given.
    fn append(&mut self, rows: usize, others: &Self, their_rows: usize) {
        if others.count == 0 {
            return;
        }
        if self.bits.is_empty() && self.count == rows && others.bits.is_empty() {
            self.count += others.count;
            return;
        }
        if self.bits.is_empty() {
            self.bits = ones(self.count);
        }
        let (first, shift) = (rows / 64, rows % 64);
        let needed = (rows + their_rows).div_ceil(64) + 1;
        if self.bits.len() < needed {
            self.bits.resize(needed, 0);
        }
        for (at, word) in (first..).zip(others.words(their_rows)) {
            self.bits[at] |= word << shift;
            // In two steps, as no shift by all 64 bits is allowed.
            self.bits[at + 1] |= word >> 1 >> (63 - shift);
        }
        self.count += others.count;
    }

    fn clear(&mut self) {
        self.count = 0;
        self.bits.clear();
    }

    /// Where these rows, in order, are marked.
    pub(super) fn of(marked: impl Iterator<Item = bool>) -> Self {
        let mut present = Self::default();
        for (row, _) in marked.enumerate().filter(|(_, marked)| *marked) {
            present.set(row);
        }
        present
    }
}

fn ones(count: usize) -> Vec<u64> {
    let full = Present { count, bits: Vec::new() };
    let mut bits: Vec<u64> = full.words(count).collect();
    bits.resize((count / 64 + 1).next_multiple_of(Present::AT_ONCE), 0);
    bits
}

impl Batch {
    /// One without rows.
    pub fn new(of: Arc<Columns>) -> Self {
        let cells =
            of.list().iter().map(|column| Cells { present: Present::default(), values: Values::new(column.kind) });
        let cells = cells.collect();
        Self { of, rows: 0, cells, frames: Vec::new(), overlays: Vec::new(), layouts: Vec::new() }
    }

    /// How many rows it has.
    pub fn rows(&self) -> usize {
        self.rows
    }

    /// Its columns.
    pub fn columns(&self) -> &Arc<Columns> {
        &self.of
    }

    /// Puts something into a cell of the row to come.
    #[inline]
    pub(super) fn put(&mut self, column: usize, cell: Cell<'_>) {
        let Some(cells) = self.cells.get_mut(column) else { return };
        // A reply and the register in it may say the same; one of them is enough.
        if cells.present.set(self.rows) && !cells.values.push(cell) {
            cells.present.unset(self.rows);
        }
    }

    /// Ends the row.
    pub(super) fn end_row(&mut self, frame: Frame, overlay: u32, layout: u8) {
        self.frames.push(frame);
        self.overlays.push(overlay);
        self.layouts.push(layout);
        self.rows += 1;
    }

    /// Appends the rows of another batch with the same columns.
    pub fn append(&mut self, other: &Self) {
        for (mine, theirs) in self.cells.iter_mut().zip(&other.cells).filter(|(_, theirs)| theirs.present.count > 0) {
            mine.present.append(self.rows, &theirs.present, other.rows);
            mine.values.append(&theirs.values);
        }
        self.frames.extend_from_slice(&other.frames);
        self.overlays.extend_from_slice(&other.overlays);
        self.layouts.extend_from_slice(&other.layouts);
        self.rows += other.rows;
    }

    /// One without rows, with room for as much as is in this one.
    pub(super) fn as_large(&self) -> Self {
        let empty = |cells: &Cells| Cells { present: Present::default(), values: cells.values.as_large() };
        Self {
            of: Arc::clone(&self.of),
            rows: 0,
            cells: self.cells.iter().map(empty).collect(),
            frames: Vec::with_capacity(self.rows),
            overlays: Vec::with_capacity(self.rows),
            layouts: Vec::with_capacity(self.rows),
        }
    }

    /// Forgets all rows, and keeps the room that they took.
    pub fn clear(&mut self) {
        self.rows = 0;
        self.frames.clear();
        self.overlays.clear();
        self.layouts.clear();
        for cells in &mut self.cells {
            cells.present.clear();
            cells.values.clear();
        }
    }

    /// In which rows a column holds something.
    pub(super) fn present(&self, column: usize) -> Present {
        match &self.of.list()[column].origin {
            Origin::Cell => self.cells[column].present.clone(),
            Origin::Frame | Origin::Constant(_) => Present { count: self.rows, bits: Vec::new() },
            Origin::Code(extracts) if extracts.iter().all(Option::is_some) => {
                Present { count: self.rows, bits: Vec::new() }
            }
            Origin::Code(extracts) => {
                Present::of(self.layouts.iter().map(|layout| extracts[usize::from(*layout)].is_some()))
            }
        }
    }

    /// The codes of a column, for the rows that have one.
    pub(super) fn codes<'a>(&'a self, extracts: &'a [Option<Extract>]) -> impl Iterator<Item = i64> + 'a {
        let rows = self.frames.iter().zip(&self.overlays).zip(&self.layouts);
        rows.filter_map(|((frame, overlay), layout)| Some(extracts[usize::from(*layout)]?.of(frame, *overlay)))
    }
}

#[cfg(test)]
mod tests {
    use super::Present;

    #[test]
    fn marks_are_appended_behind_any_number_of_others() {
        let sevenths = |rows: usize, from: usize| Present::of((0..rows).map(|row| row >= from && row % 7 == 0));
        let all = |rows: usize, _: usize| Present::of((0..rows).map(|_| true));
        let first = |rows: usize, most: usize| Present::of((0..rows).map(|row| row < most));
        let make: [fn(usize, usize) -> Present; 3] = [sevenths, all, first];
        let marked = |present: &Present, rows: usize| -> Vec<bool> {
            let words: Vec<u64> = present.words(rows).collect();
            (0..rows).map(|row| words[row / 64] >> (row % 64) & 1 == 1).collect()
        };
        for (one, other) in (0..9).map(|at| (make[at / 3], make[at % 3])) {
            for rows in (0..=130).chain([640]) {
                for their_rows in [0, 1, 63, 64, 65, 200] {
                    let (mut mine, theirs) = (one(rows, 40), other(their_rows, 40));
                    let expected = [marked(&mine, rows), marked(&theirs, their_rows)].concat();
                    mine.append(rows, &theirs, their_rows);
                    assert_eq!(marked(&mine, rows + their_rows), expected, "{rows} {their_rows}");
                    assert_eq!(mine.count(), expected.iter().filter(|yes| **yes).count());
                    // One more row can be marked behind them.
                    assert!(mine.set(rows + their_rows) && !mine.set(rows + their_rows));
                    let more = marked(&mine, rows + their_rows + 1);
                    assert_eq!((&more[..rows + their_rows], more[rows + their_rows]), (&expected[..], true));
                }
            }
        }
    }
}
