//! The reference: every message, every field with its bits, code table and source, in words and as JSON.

use super::ruler::in_brackets;
use super::text::{folded, line, row, width};
use crate::code::table::{Derived, Row, Table};
use crate::code::{
    Code, EmitterCategory, SOURCES, TypeCode, Version, decimals, integrity_rows, position_uncertainty, source_in_full,
};
pub use crate::downlink::tables;
use crate::onair::{INTERVALS, Interval};
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::fmt::Write;

/// Fields of up to this many bits have their codes listed one by one: in words, and as JSON.
const LISTED_BITS: [u8; 2] = [5, 7];

/// One line of a code table: the codes, the versions that it holds in, and what they mean there.
struct Line {
    first: u64,
    last: u64,
    versions: Vec<Version>,
    text: String,
}

/// The code table of a row; nothing if its codes are too many, or only numbers.
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

/// A table that many messages share, with the way to find it.
struct Shared {
    name: &'static str,
    title: &'static str,
    /// The meaning whose codes it lists; empty for tables of their own.
    field: &'static str,
}

/// The tables that stand once.
const SHARED: &[Shared] = &[
    Shared {
        name: "type_codes",
        title: "type codes: the message, and of positions NIC, NUCp and radius",
        field: "type_code",
    },
    Shared { name: "registers", title: "Comm-B registers", field: "" },
    Shared { name: "movement", title: "ground speed on the surface", field: "ground_speed_kt" },
    Shared { name: "categories", title: "emitter categories", field: "" },
    Shared { name: "sizes", title: "length and width of the aircraft", field: "length_width_code" },
    Shared { name: "nacp", title: "accuracy of position", field: "nacp" },
    Shared { name: "nacv", title: "accuracy of velocity", field: "nacv" },
    Shared { name: "sil", title: "source integrity level", field: "sil" },
    Shared { name: "sda", title: "system design assurance", field: "sda" },
    Shared { name: "gva", title: "geometric vertical accuracy", field: "gva" },
    Shared { name: "emergency_states", title: "emergency and priority states", field: "emergency_state" },
    Shared { name: "intervals", title: "how often each squitter goes out", field: "" },
    Shared { name: "poster", title: "messages, registers and short frames, each as a row of its 56 bits", field: "" },
    Shared { name: "sources", title: "the documents behind the marks", field: "" },
];

/// The row whose codes a shared table lists.
fn listed(shared: &Shared) -> Option<(&'static Row, &'static Table)> {
    tables().into_iter().filter(|_| !shared.field.is_empty()).find_map(|table| {
        let is_it = |row: &&Row| row.field == Some(shared.field) || row.key == shared.field;
        Some((table.rows.iter().find(is_it)?, table))
    })
}

/// The shared table that has the codes of a row.
fn shared_by(row: &Row) -> Option<&'static Shared> {
    let fits = |shared: &&Shared| {
        row.field == Some(shared.field) && listed(shared).is_some_and(|(other, _)| other.rule == row.rule)
    };
    SHARED.iter().find(fits)
}

/// How the reference is to be read.
fn head() -> String {
    let lines = [
        "Bits count from 1, in the message or register itself; message bit 1 is frame bit 33.",
        "A name in brackets is that of the meaning, where it is another than that of the code.",
    ];
    lines.map(|text| line(2, text)).concat() + "\n"
}

/// A part of the index: its title, and what is in it, each with the name that finds it and what it is.
pub type Contents = (&'static str, Vec<(&'static str, String)>);

/// What there is.
///
/// ```
/// let contents = squitterlab::present::reference::contents();
/// assert!(contents.iter().any(|(_, names)| names.iter().any(|(name, _)| *name == "movement")));
/// ```
pub fn contents() -> [Contents; 3] {
    let mut messages: Vec<&'static Table> = tables();
    messages.retain(|table| !table.message.starts_with("register_"));
    messages.sort_by_key(|table| table.message);
    let messages = messages.into_iter().map(|table| (table.message, table.title.to_owned())).collect();
    let registers = crate::register::TABLES.iter();
    let registers = registers.map(|(number, table)| (table.message, format!("{number}: {}", table.applies))).collect();
    let shared = SHARED.iter().map(|shared| (shared.name, shared.title.to_owned())).collect();
    [("messages and replies", messages), ("registers", registers), ("tables that many messages share", shared)]
}

/// What there is, by name.
pub fn index() -> String {
    let mut out = folded(
        "",
        0,
        "One at a time: explain --list NAME, with a name of this index, the title of a message, or any word to search for. \
         explain --list all prints everything; explain --term WORD explains a term.",
    );
    for (title, names) in contents() {
        let _ = writeln!(out, "\n{title}");
        let mut last = "";
        for (name, words) in names {
            // Several tables may be of one message.
            let lead = if name == last { "" } else { name };
            last = name;
            // Where there is no room for two columns the name has a line of its own.
            if width() >= 60 {
                out += &folded(&format!("  {lead:<28} "), 31, &words);
                continue;
            }
            if !lead.is_empty() {
                out += &line(2, &format!("  {lead}"));
            }
            out += &folded("      ", 6, &words);
        }
    }
    out
}

/// What is found by a name: the tables of that message or title, a shared table, everything, or the places of a word.
///
/// ```
/// use squitterlab::present::reference;
/// assert!(reference::named("movement").unwrap().contains("175 kt"));
/// assert!(reference::named("zzz").is_none());
/// ```
pub fn named(name: &str) -> Option<String> {
    let wanted = name.trim().to_lowercase().replace([' ', '-'], "_");
    if wanted == "all" {
        return Some(text());
    }
    if let Some(shared) = SHARED.iter().find(|shared| shared.name == wanted) {
        return Some(shared_text(shared));
    }
    let same = |text: &str| text.to_lowercase().replace([' ', '-'], "_") == wanted;
    let found: Vec<&'static Table> =
        tables().into_iter().filter(|table| same(table.message) || same(table.title)).collect();
    if !found.is_empty() {
        let mut out = head();
        for table in &found {
            text_of_table(&mut out, table);
        }
        sources(&mut out, found.iter().flat_map(|table| table.rows).map(|row| row.source));
        return Some(out);
    }
    search(&name.trim().to_lowercase())
}

/// A place of a word: a table, and there a row or what is derived; nothing if the word is in the title.
type Place = (&'static Table, Vec<(Option<&'static Row>, &'static str, &'static str)>);

/// The messages and fields in which a word is.
fn places(word: &str) -> Vec<Place> {
    let has = |text: &str| text.to_lowercase().contains(word);
    let in_table = |table: &'static Table| {
        let rows = table.rows.iter().filter(|row| has(row.key) || row.field.is_some_and(has) || has(row.about));
        let derived = table.derived.iter().filter(|derived| has(derived.field) || has(derived.about));
        let rows = rows.map(|row| (Some(row), row.key, row.about));
        let found: Vec<_> = rows.chain(derived.map(|derived| (None, derived.field, derived.about))).collect();
        (!found.is_empty() || has(table.title)).then_some((table, found))
    };
    if word.chars().count() < 2 { Vec::new() } else { tables().into_iter().filter_map(in_table).collect() }
}

/// The same as text, with the documents behind what is found.
fn search(word: &str) -> Option<String> {
    let found = places(word);
    let mut out = String::new();
    for (table, lines) in &found {
        out += &line(2, &format!("{} ({})", table.title, table.message));
        for (row, name, about) in lines {
            let span = row.map_or_else(|| "-".to_owned(), |row| row.span.to_string());
            let memory = in_brackets(row.and_then(Row::memory));
            out += &folded(&format!("  {span:<7} "), 10, &format!("{name}: {about}{memory}"));
        }
    }
    sources(&mut out, found.iter().flat_map(|(_, lines)| lines).filter_map(|(row, ..)| row.map(|row| row.source)));
    (!found.is_empty()).then_some(out)
}

/// The documents behind the marks of some rows.
fn sources<'a>(out: &mut String, rows: impl Iterator<Item = &'a str>) {
    let marks: BTreeSet<&str> = rows.flat_map(str::split_whitespace).collect();
    if marks.is_empty() {
        return;
    }
    out.push_str("sources\n");
    for mark in marks {
        *out += &folded(&format!("  {mark:<7} "), 10, &source_in_full(mark).unwrap_or_default());
    }
}

fn shared_text(shared: &Shared) -> String {
    let mut out = line(2, shared.title);
    match shared.name {
        "type_codes" => type_codes(&mut out),
        "registers" => {
            for (number, table) in crate::register::TABLES {
                out += &folded(
                    &format!("  {:<7} ", number.to_string()),
                    10,
                    &format!("{} ({})", table.title, table.message),
                );
            }
        }
        "categories" => {
            for set in ["A", "B", "C", "D"] {
                for number in 0..8 {
                    let category = format!("{set}{number}").parse::<EmitterCategory>();
                    let meaning = category.map(|category| category.meaning(Version::Two).text.to_string());
                    out += &folded(&format!("  {set}{number}      "), 10, &meaning.unwrap_or_default());
                }
            }
            out += &line(4, "  type code 4 is set A, 3 B, 2 C, 1 D; the number is the three bits after it");
        }
        "intervals" => intervals(&mut out),
        "poster" => poster(&mut out),
        "sources" => {
            for (mark, document) in SOURCES {
                out += &folded(&format!("  {mark:<7} "), 10, document);
            }
        }
        _ => {
            if let Some((row, table)) = listed(shared) {
                for line in codes(row, table, 7) {
                    text_of_line(&mut out, &line, table, 2);
                }
                out += &folded("  source: ", 10, row.source);
                sources(&mut out, [row.source].into_iter());
            }
        }
    }
    out
}

/// How often each squitter goes out, in each condition.
fn intervals(out: &mut String) {
    let seconds = |ms: u32| decimals(f64::from(ms) / 1000.0, 2);
    let mut last = None;
    for Interval { stream, when, window_ms: (least, most), source, .. } in INTERVALS {
        if last.replace(stream) != Some(stream) {
            *out += &line(4, &format!("  {}", stream.words()));
        }
        *out += &folded("    ", 8, &format!("{when}: {} to {} s ({source})", seconds(*least), seconds(*most)));
    }
}

/// Letters of the fields, bit by bit; reserved bits are points.
fn poster(out: &mut String) {
    for table in tables().into_iter().filter(|table| table.bits == 56) {
        let mut bits = String::new();
        for (field, letter) in table.rows.iter().zip(('a'..='z').chain('A'..='Z').cycle()) {
            let letter = if field.is_reserved() { '.' } else { letter };
            bits.extend(std::iter::repeat_n(letter, field.span.width().into()));
        }
        *out += &row(4, &format!("  {bits}  {}", table.title));
    }
}

/// Type codes with what they say of the position in each version.
fn type_codes(out: &mut String) {
    for number in 0..32u8 {
        let code = TypeCode::new(number);
        let words = |version| code.meaning(version).text.to_string();
        let told = super::ruler::grouped(&Version::ALL, words);
        for (words, versions) in &told {
            let only = if told.len() > 1 { format!(" (version {versions})") } else { String::new() };
            let words = words.split_once(", ").map_or(words.as_str(), |(_, words)| words);
            *out += &folded(&format!("  {number:<3} "), 6, &format!("{words}{only}"));
        }
        if let Some(meaning) = position_uncertainty(number) {
            *out += &folded("        version 0: NUCp ", 12, &meaning.text.to_string());
        }
        for version in [Version::One, Version::Two] {
            for row in integrity_rows(version).into_iter().filter(|row| row.type_code == number) {
                let with = if row.supplements.is_empty() { String::new() } else { format!("{}: ", row.supplements) };
                let line = format!("{with}NIC {}, radius {}", row.nic, row.radius);
                *out += &folded(&format!("        version {}: ", version.number()), 12, &line);
            }
        }
    }
    sources(out, ["D192", "H7"].into_iter());
}

/// The reference in words.
pub fn text() -> String {
    let mut out = head();
    for table in tables() {
        text_of_table(&mut out, table);
    }
    // The list of documents is the last of them.
    for shared in SHARED {
        out += &shared_text(shared);
        out.push('\n');
    }
    out.truncate(out.trim_end().len());
    out + "\n"
}

fn text_of_table(out: &mut String, table: &Table) {
    *out += &line(2, &format!("{} ({}, {} bits)", table.title, table.message, table.bits));
    *out += &folded("  when: ", 8, table.applies);
    for row in table.rows {
        text_of_row(out, row, table);
    }
    for derived in table.derived {
        let Derived { field, about, .. } = derived;
        let memory = in_brackets(memory(table, derived));
        *out += &folded("  -       ", 10, &format!("{field}: {about}{memory}"));
    }
    out.push('\n');
}

/// How much of a derived meaning only memory supports, whatever the message says: as much as of any message of a few.
fn memory(table: &Table, derived: &Derived) -> Option<&'static str> {
    let rows = 0..=table.rows.len();
    // Nothing given, everything, and each row alone.
    let patterns =
        rows.map(|at| table.rows.get(at).map_or(table.template, |row| table.template | row.span.mask(table.bits)));
    let all = patterns.chain([(1 << table.bits) - 1]);
    all.flat_map(|pattern| Version::ALL.map(|version| table.memory_of(derived, pattern, version))).flatten().max()
}

/// One line of a code table.
fn text_of_line(out: &mut String, line: &Line, table: &Table, indent: usize) {
    let codes = if line.first == line.last { line.first.to_string() } else { format!("{}-{}", line.first, line.last) };
    let only = versions(line, table).map_or(String::new(), |numbers| {
        let numbers: Vec<String> = numbers.iter().map(u8::to_string).collect();
        format!("version {}: ", numbers.join(" and "))
    });
    let lead = format!("{:indent$}{codes:<6} ", "");
    *out += &folded(&lead, lead.len(), &format!("{only}{}", line.text));
}

fn text_of_row(out: &mut String, row: &Row, table: &Table) {
    let name = row.field.filter(|field| *field != row.key).map_or(String::new(), |field| format!(" [{field}]"));
    let memory = in_brackets(row.memory());
    *out +=
        &folded(&format!("  {:<7} ", row.span.to_string()), 10, &format!("{}{name}: {}{memory}", row.key, row.about));
    if let Some(shared) = shared_by(row) {
        *out += &folded("          ", 10, &format!("{}; explain --list {} has the codes", row.rule, shared.name));
    } else {
        let lines = codes(row, table, LISTED_BITS[0]);
        if lines.is_empty() {
            *out += &folded("          ", 10, row.rule);
        }
        for line in &lines {
            text_of_line(out, line, table, 10);
        }
    }
    *out += &folded("          source: ", 18, row.source);
}

/// What is found by a name, as [`named`] finds it, as JSON.
pub fn json_named(name: &str) -> Option<Value> {
    let wanted = name.trim().to_lowercase().replace([' ', '-'], "_");
    let same = |text: &str| text.to_lowercase().replace([' ', '-'], "_") == wanted;
    if let Some(shared) = SHARED.iter().find(|shared| shared.name == wanted) {
        let codes = listed(shared).filter(|_| shared.name != "type_codes").map(|(row, table)| json_of_row(row, table));
        let text = shared_text(shared);
        let lines: Vec<&str> = text.lines().skip(1).map(str::trim).collect();
        return Some(json!({"table": shared.name, "title": shared.title, "row": codes, "lines": lines}));
    }
    let found: Vec<Value> =
        tables().into_iter().filter(|table| same(table.message) || same(table.title)).map(json_of_table).collect();
    if !found.is_empty() {
        return Some(json!({"messages": found}));
    }
    let found = places(&name.trim().to_lowercase()).into_iter().map(|(table, lines)| {
        let place = |(row, name, about): (Option<&Row>, &str, &str)| {
            let bits = row.map(|row| [row.span.first, row.span.last]);
            json!({"bits": bits, "name": name, "about": about})
        };
        let places: Vec<Value> = lines.into_iter().map(place).collect();
        json!({"message": table.message, "title": table.title, "places": places})
    });
    let found: Vec<Value> = found.collect();
    (!found.is_empty()).then(|| json!({"found": found}))
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
