//! Every payload in every envelope, however it is chosen: no name twice, no key lost, and the same bits back.

use crate::random::Random;
use serde::de::{Deserialize, Deserializer, Error, MapAccess, SeqAccess, Visitor};
use serde_json::{Map, Value};
use squitterlab::code::table::{Table, TableError, Wanted};
use squitterlab::code::{CodeError, RegisterNumber, Version};
use squitterlab::downlink::{Decoded, FORMATS, PAIRS, encode_codes, encode_meanings, tables};
use squitterlab::frame::{Frame, Span};
use squitterlab::present::json::{self, Place};
use squitterlab::present::table::Columns;
use squitterlab::register;
use squitterlab::track::Tracker;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

/// JSON in which no object has a key twice, read from the text itself: a map would keep one of the two.
struct NoKeyTwice(Value);

impl<'de> Deserialize<'de> for NoKeyTwice {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Any;

        impl<'de> Visitor<'de> for Any {
            type Value = Value;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("JSON")
            }
            fn visit_unit<E>(self) -> Result<Value, E> {
                Ok(Value::Null)
            }
            fn visit_bool<E>(self, yes: bool) -> Result<Value, E> {
                Ok(yes.into())
            }
            fn visit_u64<E>(self, number: u64) -> Result<Value, E> {
                Ok(number.into())
            }
            fn visit_i64<E>(self, number: i64) -> Result<Value, E> {
                Ok(number.into())
            }
            fn visit_f64<E>(self, number: f64) -> Result<Value, E> {
                Ok(number.into())
            }
            fn visit_str<E>(self, text: &str) -> Result<Value, E> {
                Ok(text.into())
            }
            fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Value, A::Error> {
                let mut all = Vec::new();
                while let Some(NoKeyTwice(value)) = seq.next_element()? {
                    all.push(value);
                }
                Ok(all.into())
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Value, A::Error> {
                let mut all = Map::new();
                while let Some(key) = map.next_key::<String>()? {
                    let NoKeyTwice(value) = map.next_value()?;
                    if all.contains_key(&key) {
                        return Err(A::Error::custom(format_args!("{key} is there twice")));
                    }
                    all.insert(key, value);
                }
                Ok(all.into())
            }
        }

        deserializer.deserialize_any(Any).map(Self)
    }
}

#[test]
fn a_key_that_is_there_twice_is_found() {
    assert!(serde_json::from_str::<NoKeyTwice>("{\"a\": 1, \"b\": [{\"a\": 2}]}").is_ok());
    for text in ["{\"a\": 1, \"a\": 1}", "[{\"b\": {\"a\": 1, \"c\": 2, \"a\": 3}}]"] {
        assert!(serde_json::from_str::<NoKeyTwice>(text).is_err(), "{text}");
    }
}

/// The frame with other bits there.
fn with(frame: Frame, first: u8, last: u8, value: u64) -> Frame {
    let place = frame.length() - last;
    let mask = Span::new(first, last).mask(frame.length());
    Frame::from_pattern(frame.pattern() & !mask | u128::from(value) << place & mask, frame.length())
}

/// What was met.
#[derive(Default)]
struct Met {
    /// Titles of an envelope and of its payload.
    pairs: BTreeSet<(&'static str, Option<&'static str>)>,
    /// Fields that had something to say, and no column of the tables to say it in.
    without_column: BTreeSet<&'static str>,
}

/// Holds all that is asked of a frame, in a version in force (or none, or one that no source is held for).
fn holds(
    frame: Frame,
    register: Option<RegisterNumber>,
    version: Option<u8>,
    columns: Option<&Columns>,
    met: &mut Met,
) {
    let mut decoded = Decoded::new(frame);
    if let Some(number) = register {
        decoded = decoded.with_register(number);
    }
    let observation = Tracker::new(None, version).observe(&decoded, None);
    let decoded = observation.version.read(decoded);
    met.pairs.insert((decoded.envelope().title, decoded.payload().map(|payload| payload.table.title)));
    let what = || format!("{frame}, register {register:?}, version {version:?}");

    let mut text = Vec::new();
    json::write_frame(&Place::default(), &decoded, &observation, &mut text);
    let NoKeyTwice(object) = serde_json::from_slice(&text).unwrap_or_else(|error| panic!("{}: {error}", what()));
    // The same object where it is handed on as a value, as `explain` does.
    assert_eq!(json::frame(&Place::default(), &decoded, &observation), object, "{}", what());
    let codes = object["codes"].as_object().expect("codes");
    assert_eq!(codes, &json::codes(&decoded), "{}", what());
    assert_eq!(encode_codes(codes), Ok(frame), "{}", what());

    for version in Version::ALL {
        let fields = decoded.fields(version);
        let names: BTreeSet<_> = fields.iter().map(|(name, _)| *name).collect();
        assert_eq!(names.len(), fields.len(), "{}: a field is named twice in {names:?}", what());
        // Every field that a table can hold has its column.
        let named = |name: &str| columns.is_none_or(|columns| columns.list().iter().any(|column| column.name == name));
        for (name, meaning) in &fields {
            let is_empty = meaning.value == squitterlab::code::Value::Null;
            if !is_empty && !named(name) {
                met.without_column.insert(*name);
            }
        }
    }
}

const VERSIONS: [Option<u8>; 6] = [None, Some(0), Some(1), Some(2), Some(3), Some(7)];

/// Every format, every field behind it, every first octet of the message field (type code and subtype) and every version
/// in force; of an operational status every version that it says itself, of TIS-B both kinds of vertical rate.
#[test]
fn every_payload_in_every_envelope_comes_back_from_its_codes() {
    let mut random = Random(0x9A12);
    let mut met = Met::default();
    let columns = Columns::new(None);
    for format in 0..32 {
        for selected in 0..8 {
            for first in 0..=255 {
                // Where the message field decides nothing, a few of them are enough.
                let decides = matches!(format, 16..=19);
                if !decides && first % 64 != selected {
                    continue;
                }
                let any = Frame::from_pattern(u128::from(random.next()) << 64 | u128::from(random.next()), 112);
                let frame = with(with(with(any, 1, 5, format), 6, 8, selected), 33, 40, first);
                let frames: Vec<Frame> = match first >> 3 {
                    31 => (0..8).map(|said| with(frame, 73, 75, said)).collect(),
                    19 => (0..2).map(|geometric| with(frame, 68, 68, geometric)).collect(),
                    _ => vec![frame],
                };
                for frame in frames {
                    let pair = PAIRS.iter().find(|pair| {
                        pair.envelope == Decoded::new(frame).envelope() && pair.selected_by.contains(&(selected as u8))
                    });
                    let columns = pair.filter(|pair| pair.is_as_squitter()).map(|_| &columns);
                    for version in if decides { &VERSIONS[..] } else { &VERSIONS[..1] } {
                        holds(frame, None, *version, columns, &mut met);
                    }
                }
            }
            let any = Frame::from_pattern(u128::from(random.next()), 56);
            holds(with(with(any, 1, 5, format), 6, 8, selected), None, None, Some(&columns), &mut met);
        }
    }
    assert_eq!(met.without_column, BTreeSet::new());
    // What is declared is what there is.
    for envelope in FORMATS {
        let pairs: Vec<_> = PAIRS.iter().filter(|pair| pair.envelope == envelope).collect();
        let payloads: BTreeSet<_> = if pairs.is_empty() {
            [None].into()
        } else {
            let own = |pair: &&squitterlab::downlink::Pair| {
                let all = pair.payloads.iter().map(|table| Some(table.title));
                // Which register a reply carries is not in the frame.
                all.filter(|title| !pair.is_by_register() || *title == Some("payload, kept whole")).collect::<Vec<_>>()
            };
            pairs.iter().flat_map(own).collect()
        };
        let found: BTreeSet<_> =
            met.pairs.iter().filter(|(title, _)| *title == envelope.title).map(|(_, inside)| *inside).collect();
        assert_eq!(found, payloads, "{}", envelope.title);
    }
}

#[test]
fn every_register_in_every_reply_comes_back_from_its_codes() {
    let mut random = Random(0x4E97);
    let mut met = Met::default();
    for number in 0..=255_u8 {
        let register = RegisterNumber::new(number);
        let is_squitter = register::SQUITTER.contains(&register);
        let is_divided = is_squitter || register::TABLES.iter().any(|(known, _)| *known == register);
        let columns = is_divided.then(|| Columns::new(Some(register)));
        for format in [20, 21] {
            for version in &VERSIONS[..5] {
                // A register of the squitter is read by its type code and subtype.
                for first in 0..=255 {
                    if !is_squitter && ![0, 0x55, 0xFF, u64::from(number)].contains(&first) {
                        continue;
                    }
                    let any = Frame::from_pattern(u128::from(random.next()) << 64 | u128::from(random.next()), 112);
                    let frame = with(with(any, 1, 5, format), 33, 40, first);
                    let said: &[u64] = if is_squitter && first >> 3 == 31 { &[0, 1, 2, 3] } else { &[0] };
                    for said in said {
                        let frame = if said == &0 { frame } else { with(frame, 73, 75, *said) };
                        holds(frame, Some(register), *version, columns.as_ref(), &mut met);
                    }
                }
            }
        }
    }
    assert_eq!(met.without_column, BTreeSet::new());
    for pair in PAIRS.iter().filter(|pair| pair.is_by_register()) {
        for (number, table) in register::TABLES {
            assert!(met.pairs.contains(&(pair.envelope.title, Some(table.title))), "{number}");
            assert_eq!(pair.tables_of(*number), [*table]);
        }
        for number in register::SQUITTER {
            assert!(pair.tables_of(number).len() > 1, "{number}");
        }
    }
}

/// Two frames that lost 24 bits of their JSON, from trials with random frames (invented, as all bits are).
#[test]
fn a_test_message_in_format_19_keeps_both_of_its_stretches_of_24_bits() {
    for text in ["98ABCDEFB8123456789ABCC07E12", "988C0756B8DC28A5EEFD31A0237A"] {
        let frame: Frame = text.parse().expect("a frame");
        let codes = json::codes(&Decoded::new(frame));
        assert_eq!(codes["data_9_32"], frame.field(Span::new(9, 32)), "{text}");
        assert_eq!(codes["message_data_9_32"], frame.field(Span::new(41, 64)), "{text}");
        assert_eq!(encode_codes(&codes), Ok(frame));
    }
}

/// What a field is called in JSON is what it is called when it is set.
#[test]
fn a_renamed_field_is_set_by_the_name_that_decoding_gives_it() {
    let make = |message: &str, fields: &[(&str, &str)]| {
        let fields: BTreeMap<_, _> =
            fields.iter().map(|(name, value)| ((*name).to_owned(), (*value).to_owned())).collect();
        encode_meanings(message, &fields, Version::Two).unwrap_or_else(|error| panic!("{message}: {error}")).frame
    };
    // The military envelope says the address in a row of another name, and so does its test message.
    let fields = [
        ("address", "ABCDEF"),
        ("application_field", "0"),
        ("message_data_9_32", "1193046"),
        ("data_33_56", "7903932"),
    ];
    let frame = make("test message", &fields);
    assert_eq!(frame.to_string()[..22], "98ABCDEFB8123456789ABC"[..]);
    assert_eq!(frame.overlay(), 0);
}

#[test]
fn every_table_is_in_the_reference_once() {
    let titles: BTreeSet<_> = tables().iter().map(|table| table.title).collect();
    assert_eq!(titles.len(), tables().len());
    for table in PAIRS.iter().flat_map(|pair| pair.payloads).chain(&FORMATS) {
        assert!(titles.contains(table.title), "{}", table.title);
    }
}

/// What is asked of each field that can be set, in every message and register and every version: a number is sent as it
/// is, or a note says what is sent, or it is refused; and where it is refused with a range, both ends can be sent.
#[test]
fn no_number_is_changed_in_silence() {
    let mut random = Random(0x51E7);
    let (mut exact, mut noted, mut refused, mut ranges) = (0, 0, 0, 0);
    let mut wrong = BTreeMap::new();
    for table in tables() {
        for version in Version::ALL {
            // A position takes more than one message to read: tests/encode.rs and tests/compact_position.rs have it.
            let is_read = |field: &&str| !matches!(*field, "latitude_deg" | "longitude_deg");
            for field in table.settable().into_iter().filter(is_read) {
                let ask = |wish: &str| {
                    let mut fields: BTreeMap<_, _> =
                        partners(field).iter().map(|(k, v)| ((*k).to_owned(), (*v).to_owned())).collect();
                    fields.insert(field.to_owned(), wish.to_owned());
                    table.encode_noting(&Wanted { fields: &fields, version })
                };
                for scale in [1.0, 40.0, 400.0, 5_000.0, 60_000.0, 1e6, 1e9] {
                    let share = (random.next() >> 11) as f64 / (1_u64 << 52) as f64 - 1.0;
                    for wish in [(share * scale).round(), share * scale] {
                        let what = format!("{}: {field}={wish}, version {version:?}", table.title);
                        match ask(&wish.to_string()) {
                            Ok((pattern, notes)) if notes.iter().all(|note| note.field != field) => {
                                if !says(table, field, pattern, version, wish) {
                                    wrong.entry((table.title, field)).or_insert(format!("{what}: changed in silence"));
                                }
                                exact += 1;
                            }
                            Ok((_, notes)) => {
                                let note = notes.iter().find(|note| note.field == field).expect("a note");
                                assert_ne!(note.sent.as_deref(), Some(note.asked.as_str()), "{what}: {note}");
                                noted += 1;
                            }
                            Err(TableError::Field { error: CodeError::OutOfRange { least, most, .. }, .. }) => {
                                for end in [least, most] {
                                    if end.parse::<f64>().is_err() {
                                        continue;
                                    }
                                    if let Err(error) = ask(&end) {
                                        let why = format!("but the end of its range {end} is refused: {error}");
                                        wrong.entry((table.title, field)).or_insert(format!("{what}: {why}"));
                                    }
                                    ranges += 1;
                                }
                                refused += 1;
                            }
                            Err(_) => refused += 1,
                        }
                    }
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    // Each way out was taken many times, so none of them stands for all.
    assert!([exact, noted, refused, ranges].iter().all(|count| *count > 2000), "{exact} {noted} {refused} {ranges}");
}

/// Fields that are only taken together with another.
fn partners(field: &str) -> &'static [(&'static str, &'static str)] {
    match field {
        "ground_speed_kt" => &[("track_deg", "10")],
        "track_deg" => &[("ground_speed_kt", "100")],
        "geometric_height_ft" => &[("type_code", "20")],
        _ => &[],
    }
}

/// Whether a message says this number under that name, or has it as the bare code.
fn says(table: &Table, field: &str, pattern: u128, version: Version, wish: f64) -> bool {
    let version = table.version.unwrap_or(version);
    let as_code = table.rows.iter().any(|row| {
        (row.field == Some(field) || row.key == field) && (table.code(row, pattern) as f64 - wish).abs() < 1e-6
    });
    let by_key =
        table.rows.iter().filter(|row| row.key == field).map(|row| (row.meaning)(table.code(row, pattern), version));
    let named =
        table.fields(pattern, version).into_iter().filter(|(name, _)| *name == field).map(|(_, meaning)| meaning);
    as_code
        || by_key.chain(named).any(|meaning| {
            let said = match meaning.value {
                squitterlab::code::Value::Integer(number) => number as f64,
                squitterlab::code::Value::Decimal(number) => number,
                squitterlab::code::Value::Text(text) => text.to_string().parse().unwrap_or(f64::NAN),
                _ => f64::NAN,
            };
            let turns = if field.ends_with("_deg") { ((wish - said) / 360.0).round() } else { 0.0 };
            (said + 360.0 * turns - wish).abs() < 1e-6
        })
}
