//! Comma-separated values (RFC 4180): a line of names, then a line per row.

use super::batch::{Batch, Values};
use super::times::Written;
use super::{ColumnType, Columns, Origin};
use crate::frame::{Address, Frame};
use crate::present::json_values::{decimal, integer};
use std::borrow::Cow;

/// The line of names.
pub fn names(columns: &Columns) -> String {
    let names: Vec<Cow<'_, str>> = columns.list().iter().map(|column| quoted(&column.name)).collect();
    names.join(",") + "\r\n"
}

/// A line for each row.
pub fn rows(batch: &Batch, out: &mut Vec<u8>) {
    let columns = batch.of.list();
    // Most columns hold nothing in most rows: the ones that do are found for all rows at once, a bit each.
    let width = columns.len().div_ceil(64);
    let mut present = vec![0u64; batch.rows * width];
    for column in 0..columns.len() {
        let marks = batch.present(column);
        if marks.count() == 0 {
            continue;
        }
        for (first, bits) in marks.words(batch.rows).enumerate() {
            each_bit(bits, |at| present[(64 * first + at) * width + column / 64] |= 1 << (column % 64));
        }
    }
    let mut next = vec![Next::default(); columns.len()];
    let constants: Vec<Cow<'_, str>> = columns.iter().map(constant).collect();
    let mut written = Written::default();
    for (row, present) in present.chunks_exact(width.max(1)).enumerate() {
        let mut before = 0;
        for (first, bits) in present.iter().enumerate() {
            each_bit(*bits, |at| {
                let column = 64 * first + at;
                commas(column - before, out);
                before = column;
                match &columns[column].origin {
                    Origin::Frame => {
                        let digits = &mut [0; Frame::MOST_DIGITS];
                        out.extend_from_slice(batch.frames[row].encode_hex(digits).as_bytes());
                    }
                    Origin::Constant(_) => out.extend_from_slice(constants[column].as_bytes()),
                    Origin::Code(extracts) => {
                        if let Some(extract) = extracts[usize::from(batch.layouts[row])] {
                            integer(extract.of(&batch.frames[row], batch.overlays[row]), out);
                        }
                    }
                    Origin::Cell if columns[column].kind == ColumnType::Time => {
                        if let Values::Integer(values) = &batch.cells[column].values {
                            written.write(values[next[column].at], out);
                        }
                        next[column].at += 1;
                    }
                    Origin::Cell => next[column].write(&batch.cells[column].values, out),
                }
            });
        }
        // The last column has none behind it.
        commas(columns.len() - 1 - before, out);
        out.extend_from_slice(b"\r\n");
    }
}

fn constant(column: &super::Column) -> Cow<'_, str> {
    if let Origin::Constant(value) = &column.origin { quoted(value) } else { "".into() }
}

/// The places of the ones, from the low end.
#[inline]
fn each_bit(bits: u64, mut each: impl FnMut(usize)) {
    let mut left = bits;
    while left != 0 {
        each(left.trailing_zeros() as usize);
        left &= left - 1;
    }
}

#[inline]
fn commas(count: usize, out: &mut Vec<u8>) {
    const AT_ONCE: usize = 16;
    let length = out.len() + count;
    // Most stretches are short.
    out.extend_from_slice(&[b','; AT_ONCE]);
    if count > AT_ONCE {
        out.resize(length, b',');
    }
    out.truncate(length);
}

fn quoted(word: &str) -> Cow<'_, str> {
    if word.contains(['"', ',', '\r', '\n']) {
        format!("\"{}\"", word.replace('"', "\"\"")).into()
    } else {
        word.into()
    }
}

fn text(octets: &[u8], out: &mut Vec<u8>) {
    if octets.iter().any(|octet| matches!(octet, b'"' | b',' | b'\r' | b'\n')) {
        out.extend_from_slice(quoted(&String::from_utf8_lossy(octets)).as_bytes());
    } else {
        out.extend_from_slice(octets);
    }
}

/// The next value of a column.
#[derive(Clone, Copy, Default)]
struct Next {
    at: usize,
    /// Within a run, how many rows of it are behind.
    run: u32,
    /// Where the text or list before ends.
    end: usize,
}

impl Next {
    #[inline]
    fn write(&mut self, values: &Values, out: &mut Vec<u8>) {
        let at = self.at;
        match values {
            Values::Bool(values) => out.extend_from_slice(if values[at] { b"true" } else { b"false" }),
            // As in JSON.
            Values::Integer(values) => integer(values[at], out),
            Values::Decimal(values) => decimal(values[at], out),
            Values::Word(values) => out.extend_from_slice(values[at].as_bytes()),
            Values::Address(values) => {
                out.extend_from_slice(values[at].encode_hex(&mut [0; Address::DIGITS]).as_bytes());
            }
            Values::Text(octets, ends) => {
                let end = ends[at] as usize;
                text(&octets[self.end..end], out);
                self.end = end;
            }
            Values::Runs(runs) => {
                let (name, count) = &runs[at];
                text(name.as_bytes(), out);
                self.run += 1;
                if self.run < *count {
                    return;
                }
                self.run = 0;
            }
            // A list as JSON writes it.
            Values::Registers(all, ends) => {
                let end = ends[at] as usize;
                let registers = all[self.end..end].iter().map(|register| format!("\"\"{register}\"\""));
                let registers: Vec<String> = registers.collect();
                out.extend_from_slice(format!("\"[{}]\"", registers.join(",")).as_bytes());
                self.end = end;
            }
        }
        self.at += 1;
    }
}
