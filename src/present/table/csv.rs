//! Comma-separated values (RFC 4180): a line of names, then a line a frame.

use super::{Batch, Cells, Columns, Values};
use std::io::Write;

/// The line of names.
pub fn names(columns: &Columns) -> String {
    let names: Vec<&str> = columns.list().iter().map(|column| column.name).collect();
    names.join(",") + "\r\n"
}

/// A line for each row.
pub fn rows(batch: &Batch, out: &mut Vec<u8>) {
    let mut cursors = vec![0; batch.columns.len()];
    for row in 0..batch.rows {
        for (at, (cells, cursor)) in batch.columns.iter().zip(&mut cursors).enumerate() {
            if at > 0 {
                out.push(b',');
            }
            if cells.rows.get(*cursor) == Some(&row) {
                cell(cells, *cursor, out);
                *cursor += 1;
            }
        }
        out.extend_from_slice(b"\r\n");
    }
}

fn cell(cells: &Cells, at: usize, out: &mut Vec<u8>) {
    match &cells.values {
        Values::Bool(values) => out.extend_from_slice(if values[at] { b"true" } else { b"false" }),
        Values::Integer(values) => out.extend_from_slice(itoa::Buffer::new().format(values[at]).as_bytes()),
        // As in JSON. Writing to memory cannot fail.
        Values::Decimal(values) => drop(serde_json::to_writer(out, &values[at])),
        Values::Text(values) if values[at].contains(['"', ',', '\r', '\n']) => {
            let _ = write!(out, "\"{}\"", values[at].replace('"', "\"\""));
        }
        Values::Text(values) => out.extend_from_slice(values[at].as_bytes()),
    }
}
