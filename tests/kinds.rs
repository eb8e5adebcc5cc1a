//! What each code declares of its values beside what its values are: their kind, and whether the version has a part in them.

use crate::random::Random;
use squitterlab::code::table::{Entry, Table};
use squitterlab::code::{MeaningData, Value, Version};
use squitterlab::downlink::{Decoded, encode_meanings, tables};
use squitterlab::present::json::Place;
use squitterlab::present::table::{Columns, Tabulator, csv};
use squitterlab::track::Tracker;
use std::collections::BTreeMap;

/// Patterns in which each code of a row of up to 12 bits comes up; of wider rows, and of several together, some.
fn patterns(table: &Table, entry: &Entry<'_>) -> Vec<u128> {
    let mut random = Random(7);
    let mut any = || (u128::from(random.next()) << 64 | u128::from(random.next())) >> (128 - table.bits);
    match entry {
        Entry::Row(_, row) if row.span.width() <= 12 => {
            (0..1u64 << row.span.width()).map(|code| table.with_code(row, table.template, code)).collect()
        }
        Entry::Row(_, row) => {
            let most = (1u64 << row.span.width()) - 1;
            let some = (0..4096).map(|_| table.with_code(row, table.template, any() as u64 & most));
            some.chain([0, most].map(|code| table.with_code(row, table.template, code))).collect()
        }
        // The first five bits decide what many of the others mean; some scales end with ones only.
        Entry::Derived(..) => {
            let first: u128 = 31 << (table.bits - 5);
            let all = u128::MAX >> (128 - table.bits);
            let some = (0..8192).map(|n| match n % 4 {
                0 => table.template & first | any() & !first,
                1 => any(),
                2 => table.template | any() & any() & !first,
                _ => table.template | (any() | any()) & !first,
            });
            some.chain([0, all, table.template, table.template | !first & all]).collect()
        }
    }
}

/// Whether a word is in JSON and CSV as it is.
fn is_plain(word: &str) -> bool {
    !word.is_empty() && word.bytes().all(|octet| octet.is_ascii_lowercase() || octet.is_ascii_digit() || octet == b'_')
}

fn check(table: &Table, entry: &Entry<'_>, wrong: &mut Vec<String>) {
    let name = format!("{}/{}", table.title, entry.field());
    let (mut differs, mut exercised, mut beyond) = (false, false, false);
    for pattern in patterns(table, entry) {
        let said: Vec<Option<MeaningData>> = Version::ALL.iter().map(|version| entry.said(pattern, *version)).collect();
        differs |= said.iter().any(|other| *other != said[0]);
        for (version, said) in Version::ALL.into_iter().zip(&said) {
            if entry.meaning(pattern, version).map(|meaning| meaning.said()) != *said {
                wrong.push(format!("{name}: {pattern:X} says one thing as data and another in words"));
            }
            let Some(said) = said else { continue };
            exercised |= said.value != Value::Null;
            beyond |= said.beyond;
            if !entry.kind().holds(&said.value) {
                wrong.push(format!("{name}: {pattern:X} says {:?}, which is not {:?}", said.value, entry.kind()));
            }
            if let Value::Word(word) = said.value
                && !is_plain(word)
            {
                wrong.push(format!("{name}: {word:?} is not a plain word"));
            }
            if said.name.is_some_and(|word| !is_plain(word)) {
                wrong.push(format!("{name}: {:?} is not a plain word", said.name));
            }
        }
        if wrong.len() > 20 {
            return;
        }
    }
    if differs != entry.varies() {
        wrong.push(format!("{name}: declared as {}varying, and is not", if entry.varies() { "" } else { "not " }));
    }
    if exercised == entry.takes_several_messages() {
        wrong.push(format!("{name}: read from one message: {exercised}"));
    }
    if beyond && !entry.is_capped() {
        wrong.push(format!("{name}: past the end of a scale that is declared as endless"));
    }
}

#[test]
fn every_value_is_of_the_kind_that_its_code_declares() {
    let mut wrong = Vec::new();
    for table in tables() {
        for entry in table.entries() {
            check(table, &entry, &mut wrong);
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn the_unit_of_a_code_ends_the_name_of_its_field() {
    let (mut wrong, mut right) = (Vec::new(), 0);
    for table in tables() {
        for row in table.rows.iter().filter(|row| row.field.is_some() && !row.unit.is_empty()) {
            let field = row.field.unwrap_or_default();
            if field.ends_with(&format!("_{}", row.unit)) { right += 1 } else { wrong.push(field) }
        }
    }
    assert!(wrong.is_empty(), "{wrong:?}");
    assert!(right > 3, "{right}");
}

/// Doc 9871 draft, page 227: code 1 is "already applied by the position sensor", code 5 is up to 8 m.
#[test]
fn a_number_that_may_be_a_word_has_a_column_of_numbers_and_one_of_words() {
    let columns = Columns::new(None);
    let at = |name: &str| columns.list().iter().position(|column| column.name == name).expect(name);
    let (numbers, words) = (at("antenna_offset_longitudinal_m"), at("antenna_offset_longitudinal_m_word"));
    let mut tabulator = Tabulator::new(columns.clone());
    for offset in ["applied_by_sensor", "8", "null"] {
        let wanted = [("address", "A5C035"), ("antenna_offset_longitudinal_m", offset)];
        let wanted: BTreeMap<String, String> =
            wanted.into_iter().map(|(field, value)| (field.to_owned(), value.to_owned())).collect();
        let frame = encode_meanings("operational status, on the ground, version 2", &wanted, Version::Two)
            .expect("a frame")
            .frame;
        let decoded = Decoded::new(frame);
        let observation = Tracker::new(None, Some(2)).observe(&decoded, None);
        tabulator.push(&Place::default(), &observation.version.read(decoded), &observation);
    }
    let mut out = Vec::new();
    csv::rows(&tabulator.take(), &mut out);
    let rows: Vec<Vec<String>> = String::from_utf8(out)
        .expect("text")
        .lines()
        .map(|line| line.split(',').map(str::to_owned).collect())
        .collect();
    let cells: Vec<(&str, &str)> = rows.iter().map(|row| (&*row[numbers], &*row[words])).collect();
    assert_eq!(cells, [("", "applied_by_sensor"), ("8", ""), ("", "")]);
}
