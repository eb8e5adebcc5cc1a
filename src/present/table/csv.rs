//! Comma-separated values (RFC 4180): a line of names, then a line a frame.

use super::{Batch, Columns, Values};
use crate::frame::Frame;
use crate::present::json_values::{decimal, integer};
use std::borrow::Cow;

/// The line of names.
pub fn names(columns: &Columns) -> String {
    let names: Vec<&str> = columns.list().iter().map(|column| &*column.name).collect();
    names.join(",") + "\r\n"
}

/// A line for each row.
pub fn rows(batch: &Batch, out: &mut Vec<u8>) {
    let words: Vec<Cow<str>> = batch.words.iter().map(|word| quoted(word)).collect();
    // Most columns hold nothing in most rows: the ones that do are found for all rows at once, a bit each.
    let width = batch.columns.len().div_ceil(64);
    let mut present = vec![0u64; batch.rows * width];
    for (column, cells) in batch.columns.iter().enumerate() {
        for (first, bits) in cells.present.0.iter().enumerate() {
            each_bit(*bits, |at| present[(64 * first + at) * width + column / 64] |= 1 << (column % 64));
        }
    }
    let mut next = vec![0; batch.columns.len()];
    for row in present.chunks_exact(width) {
        let mut before = 0;
        for (first, bits) in row.iter().enumerate() {
            each_bit(*bits, |at| {
                let column = 64 * first + at;
                commas(column - before, out);
                before = column;
                value(&batch.columns[column].values, next[column], &words, out);
                next[column] += 1;
            });
        }
        // The last column has none behind it.
        commas(batch.columns.len() - 1 - before, out);
        out.extend_from_slice(b"\r\n");
    }
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

fn value(values: &Values, at: usize, words: &[Cow<str>], out: &mut Vec<u8>) {
    match values {
        Values::Bool(values) => out.extend_from_slice(if values[at] { b"true" } else { b"false" }),
        // As in JSON.
        Values::Integer(values) => integer(values[at], out),
        Values::Decimal(values) => decimal(values[at], out),
        Values::Text(values) => out.extend_from_slice(words[values[at] as usize].as_bytes()),
        Values::Frame(values) => {
            out.extend_from_slice(values[at].encode_hex(&mut [0; Frame::MOST_DIGITS]).as_bytes());
        }
    }
}
