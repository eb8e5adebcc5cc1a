//! The reference: every message, every field with its bits, code table and source, in words and as JSON.

use super::text::folded;
use crate::code::table::{Derived, Row, Table};
use crate::code::{SOURCES, Version, source_in_full};
pub use crate::downlink::tables;
use serde_json::{Value, json};
use std::fmt::Write;

/// Fields of up to so many bits have their codes listed one by one: in words, and as JSON.
const LISTED_BITS: [u8; 2] = [5, 7];

/// One line of a code table: the codes, the versions that it holds in, and what they mean there.
struct Line {
    first: u64,
    last: u64,
    versions: Vec<Version>,
    text: String,
}

/// The code table of a row; nothing where its codes are too many, or only numbers.
fn codes(row: &Row, table: &Table, most_bits: u8) -> Vec<Line> {
    let width = row.span.width();
    if row.is_reserved() || width > most_bits {
        return Vec::new();
    }
    let versions = table.version.map_or_else(|| Version::ALL.to_vec(), |version| vec![version]);
    let mut lines: Vec<Line> = Vec::new();
    let mut is_list = false;
    for code in 0..1u64 << width {
        let mut here: Vec<Line> = Vec::new();
        for version in &versions {
            let text = (row.meaning)(code, *version).text.to_string();
            is_list |= text != code.to_string();
            match here.iter_mut().find(|line| line.text == text) {
                Some(line) => line.versions.push(*version),
                None => here.push(Line { first: code, last: code, versions: vec![*version], text }),
            }
        }
        // Codes that mean the same in a row are one line.
        match (lines.last_mut(), here.as_slice()) {
            (Some(last), [only]) if last.text == only.text && last.versions == only.versions => last.last = code,
            _ => lines.append(&mut here),
        }
    }
    if is_list { lines } else { Vec::new() }
}

/// The versions of a line, where it does not hold in all that the table is for.
fn versions(line: &Line, table: &Table) -> Option<Vec<u8>> {
    let all = if table.version.is_some() { 1 } else { Version::ALL.len() };
    (line.versions.len() < all).then(|| line.versions.iter().map(|version| version.number()).collect())
}

/// The reference in words.
pub fn text() -> String {
    let mut out = String::from(
        "Bits count from 1, in the message or register itself; message bit 1 is frame bit 33.\n\
         A name in brackets is that of the meaning, where it is another than that of the code.\n\n",
    );
    for table in tables() {
        let _ = writeln!(out, "{} ({}, {} bits)", table.title, table.message, table.bits);
        out += &folded("  when: ", 8, table.applies);
        for row in table.rows {
            text_of_row(&mut out, row, table);
        }
        for Derived { field, about, .. } in table.derived {
            out += &folded("  -       ", 10, &format!("{field}: {about}"));
        }
        out.push('\n');
    }
    out.push_str("sources\n");
    for (mark, document) in SOURCES {
        out += &folded(&format!("  {mark:<7} "), 10, document);
    }
    out
}

fn text_of_row(out: &mut String, row: &Row, table: &Table) {
    let name = row.field.filter(|field| *field != row.key).map_or(String::new(), |field| format!(" [{field}]"));
    *out += &folded(&format!("  {:<7} ", row.span.to_string()), 10, &format!("{}{name}: {}", row.key, row.about));
    let lines = codes(row, table, LISTED_BITS[0]);
    if lines.is_empty() {
        *out += &folded("          ", 10, row.rule);
    }
    for line in &lines {
        let codes =
            if line.first == line.last { line.first.to_string() } else { format!("{}-{}", line.first, line.last) };
        let only = versions(line, table).map_or(String::new(), |numbers| {
            let numbers: Vec<String> = numbers.iter().map(u8::to_string).collect();
            format!("version {}: ", numbers.join(" and "))
        });
        *out += &folded(&format!("          {codes:<6} "), 17, &format!("{only}{}", line.text));
    }
    *out += &folded("          source: ", 18, row.source);
}

/// The reference as JSON.
pub fn json() -> Value {
    let sources: Vec<Value> =
        SOURCES.iter().map(|(mark, document)| json!({"mark": mark, "document": document})).collect();
    json!({"messages": tables().into_iter().map(json_of_table).collect::<Vec<_>>(), "sources": sources})
}

fn json_of_table(table: &'static Table) -> Value {
    let derived: Vec<Value> = table.derived.iter().map(|d| json!({"field": d.field, "about": d.about})).collect();
    json!({
        "message": table.message, "title": table.title, "when": table.applies, "bits": table.bits,
        "version": table.version.map(Version::number),
        "rows": table.rows.iter().map(|row| json_of_row(row, table)).collect::<Vec<_>>(),
        "derived": derived,
    })
}

fn json_of_row(row: &Row, table: &Table) -> Value {
    let codes: Vec<Value> = codes(row, table, LISTED_BITS[1])
        .iter()
        .map(|line| {
            let mut object = json!({"codes": [line.first, line.last], "meaning": line.text});
            if let (Value::Object(object), Some(versions)) = (&mut object, versions(line, table)) {
                object.insert("versions".to_owned(), json!(versions));
            }
            object
        })
        .collect();
    let sources: Vec<Value> =
        row.source.split_whitespace().map(|mark| json!({"mark": mark, "document": source_in_full(mark)})).collect();
    json!({
        "bits": [row.span.first, row.span.last], "key": row.key, "field": row.field, "reserved": row.is_reserved(),
        "about": row.about, "rule": row.rule, "codes": codes, "sources": sources,
    })
}
