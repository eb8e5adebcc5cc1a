//! Comma-separated values (RFC 4180): a line of names, then a line a frame.

use super::{Batch, Columns, Values};
use crate::frame::Frame;
use std::borrow::Cow;

/// The line of names.
pub fn names(columns: &Columns) -> String {
    let names: Vec<&str> = columns.list().iter().map(|column| &*column.name).collect();
    names.join(",") + "\r\n"
}

/// A line for each row.
pub fn rows(batch: &Batch, out: &mut Vec<u8>) {
    let words: Vec<Cow<str>> = batch.words.iter().map(|word| quoted(word)).collect();
    // Most columns hold nothing: each of the others with the commas before it, and which of its values comes next.
    let mut commas = 0;
    let mut columns = Vec::new();
    for cells in &batch.columns {
        if !cells.present.0.is_empty() {
            columns.push((std::mem::take(&mut commas), cells, 0));
        }
        commas += 1;
    }
    // The last column has none behind it.
    let after = commas - 1;
    for row in 0..batch.rows {
        for (commas, cells, next) in &mut columns {
            out.resize(out.len() + *commas, b',');
            if cells.present.get(row) {
                value(&cells.values, *next, &words, out);
                *next += 1;
            }
        }
        out.resize(out.len() + after, b',');
        out.extend_from_slice(b"\r\n");
    }
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
        Values::Integer(values) => out.extend_from_slice(itoa::Buffer::new().format(values[at]).as_bytes()),
        // As in JSON. Writing to memory cannot fail.
        Values::Decimal(values) => drop(serde_json::to_writer(out, &values[at])),
        Values::Text(values) => out.extend_from_slice(words[values[at] as usize].as_bytes()),
        Values::Frame(values) => {
            out.extend_from_slice(values[at].encode_hex(&mut [0; Frame::MOST_DIGITS]).as_bytes());
        }
    }
}
