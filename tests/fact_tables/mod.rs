//! Every row of the layout and code tables that the standards and the handbook print, transcribed from those tables (not
//! from the library), each with the mark of its source, and held against the library.
//!
//! Not repeated here: what `exhaustive.rs` (altitudes, Mode A, characters, movement, length and width, offsets, categories,
//! overlays, NIC, velocity, angles) and `registers.rs` (quantities of registers, inference) already compute anew.

mod codes;
mod layouts;
mod numbers;

use squitterlab::code::table::Row;
use squitterlab::code::{Meaning, Version};
use squitterlab::downlink::{CoordinationReply, Decoded, FORMATS, WholePayload};
use squitterlab::frame::Frame;
use squitterlab::message::{Message, ground_station};
use squitterlab::register;

/// What is read, in one line: `ME 58..` (the message field of a squitter), `CF2 58..` (the same in format 18 with this
/// control field), `REG 4,0` (a register in a reply), `MV 30` (the message field of format 16), `DF A0` (a whole frame by its first octet). A number behind a `v`
/// is the version in force.
#[derive(Clone, Copy)]
struct Reading<'a> {
    line: &'a str,
}

impl<'a> Reading<'a> {
    fn words(self) -> (&'a str, &'a str) {
        let mut words = self.line.split_whitespace();
        (words.next().unwrap(), words.next().unwrap())
    }

    fn version(self) -> Version {
        let number = self.line.split(" v").nth(1).map_or(2, |digit| digit.trim().parse().unwrap());
        Version::from_number(number).unwrap()
    }

    /// Bits of the message or register; of the frame for `DF`.
    fn bits(self) -> u8 {
        match self.words() {
            ("DF", octet) if u8::from_str_radix(octet, 16).unwrap() < 0x80 => 56,
            ("DF", _) => 112,
            _ => 56,
        }
    }

    /// The frame with these codes (first bit, last bit, code) put in.
    fn read(self, codes: &[(u8, u8, u64)]) -> Decoded {
        let (kind, what) = self.words();
        let hex = |digits: &str| {
            let bits = digits.len() as u32 * 4;
            u128::from_str_radix(digits, 16).unwrap() << (u32::from(self.bits()) - bits)
        };
        let mut pattern = if kind == "REG" { 0 } else { hex(what) };
        if kind == "REG" && ["1,0", "2,0", "3,0"].contains(&what) {
            // These three carry their own number (handbook, Mode S part, chapter 5).
            pattern = hex(&what.replace(',', ""));
        }
        for (first, last, code) in codes {
            let shift = self.bits() - last;
            let mask = ((1u128 << (last - first + 1)) - 1) << shift;
            pattern = pattern & !mask | u128::from(*code) << shift & mask;
        }
        let head: u128 = match kind {
            "DF" => return Decoded::new(Frame::from_pattern(pattern, self.bits())),
            "ME" => 17 << 107 | 5 << 104,
            "REG" => 20 << 107,
            "MV" => 16 << 107,
            control => 18 << 107 | control[2..].parse::<u128>().unwrap() << 104,
        };
        let decoded = Decoded::new(Frame::from_pattern(head | pattern << 24, 112).with_overlay(0));
        if kind == "REG" {
            decoded.with_register(what.parse().unwrap())
        } else {
            decoded.in_version(Some(self.version()))
        }
    }

    /// The rows, in bits of the message; of the frame for `DF`.
    fn rows(self) -> Vec<(u8, u8, &'static Row)> {
        let decoded = self.read(&[]);
        if self.words().0 == "DF" {
            return decoded.envelope().rows.iter().map(|row| (row.span.first, row.span.last, row)).collect();
        }
        let rows = decoded.rows().into_iter().filter_map(|placed| {
            let span = placed.message_span?;
            // Frame bit = message bit + 32.
            assert_eq!((placed.span.first, placed.span.last), (span.first + 32, span.last + 32));
            Some((span.first, span.last, placed.row))
        });
        rows.collect()
    }

    /// What a field says with these codes.
    fn says(self, field: &str, codes: &[(u8, u8, u64)]) -> Option<Meaning> {
        let fields = self.read(codes).fields(self.version());
        fields.into_iter().find(|(name, _)| *name == field).map(|(_, meaning)| meaning)
    }

    fn title(self) -> &'static str {
        let decoded = self.read(&[]);
        match decoded.payload() {
            Some(payload) if self.words().0 != "DF" => payload.table.title,
            _ => decoded.envelope().title,
        }
    }
}

/// A mark of the fact tables as the library writes it: `y219` is page 219 of the Doc 9871 draft, and so on.
fn mark(mark: &str) -> String {
    let pairs = [
        ("hbm-", "HM"),
        ("hb-", "H"),
        ("HB-A", "H"),
        ("HB-I", "HI"),
        ("HB-", "HM"),
        ("D-", "D"),
        ("A3-", "A3-"),
        ("A4-", "A4-"),
        ("S-BDS", "SB"),
        ("CF", "CF"),
        ("SE11", "SE"),
        ("AX", "AX"),
        ("AY", "AY"),
        ("MM", "MM"),
        ("V3", "V3"),
        ("mem", "memory"),
        ("M", "memory"),
        ("y", "D"),
        ("a", "A3-"),
    ];
    let (own, ours) = pairs.into_iter().find(|(own, _)| mark.starts_with(own)).unwrap_or_else(|| panic!("{mark}"));
    match ours {
        "memory" | "CF" | "SE" | "SB" | "HI" | "AX" | "AY" | "MM" | "V3" => ours.to_owned(),
        _ => format!("{ours}{}", &mark[own.len()..]),
    }
}

/// Whether every word of one of the alternatives (`a b|c`) is in the text.
fn mentions(text: &str, wanted: &str) -> bool {
    let text = text.to_lowercase().replace('_', " ");
    wanted.split('|').any(|phrase| phrase.split_whitespace().all(|word| text.contains(word)))
}

/// Rows of a table in text: `first-last marks words`, a line each.
fn lines(text: &str) -> impl Iterator<Item = (u8, u8, Vec<&str>, &str)> {
    text.lines().map(str::trim).filter(|line| !line.is_empty()).map(|line| {
        let mut parts = line.splitn(3, ' ');
        let place = parts.next().unwrap();
        let (first, last) = place.split_once('-').unwrap_or((place, place));
        let marks = parts.next().unwrap_or_else(|| panic!("{line}")).split(',').collect();
        (first.parse().unwrap(), last.parse().unwrap(), marks, parts.next().unwrap_or_else(|| panic!("{line}")))
    })
}

/// The rows of the library are the rows of the layout tables: same bits, a name that says the same, reserved where they
/// say reserved, and the mark of a source that they name; what they have from memory only is marked so.
#[test]
fn every_row_of_every_layout() {
    let mut wrong = Vec::new();
    for (line, text) in layouts::LAYOUTS {
        let reading = Reading { line };
        let rows = reading.rows();
        let mut next = 1;
        for (first, last, marks, words) in lines(text) {
            assert_eq!(first, next, "{line}: the transcription has a gap or overlap at bit {first}");
            next = last + 1;
            let inside: Vec<_> = rows.iter().filter(|(from, to, _)| *from <= last && *to >= first).collect();
            if words == "reserved" {
                if let Some((.., row)) = inside.iter().find(|(.., row)| !row.is_reserved()) {
                    wrong.push(format!("{line}: {first}-{last} is reserved, not {}", row.key));
                }
                continue;
            }
            if inside.first().is_none_or(|row| row.0 != first) || inside.last().is_none_or(|row| row.1 != last) {
                let found: Vec<_> = inside.iter().map(|(from, to, row)| format!("{from}-{to} {}", row.key)).collect();
                wrong.push(format!("{line}: {first}-{last} {words}: the library has {found:?}"));
                continue;
            }
            for (.., row) in &inside {
                let text = format!("{} {} {} {}", row.key, row.field.unwrap_or(""), row.about, row.rule);
                if !mentions(&text, words) {
                    wrong.push(format!("{line}: {first}-{last} is {words:?}, not {text:?}"));
                }
                let has = |wanted: &&str| row.source.split(' ').any(|own| own == mark(wanted));
                let (memory, pages): (Vec<&str>, Vec<&str>) = marks.iter().partition(|m| matches!(**m, "mem" | "M"));
                if !memory.iter().all(has) || !(pages.is_empty() || pages.iter().any(has)) {
                    wrong.push(format!(
                        "{line}: {first}-{last} {}: {:?}, but the fact has {marks:?}",
                        row.key, row.source
                    ));
                }
            }
        }
        assert_eq!(next, reading.bits() + 1, "{line}: the transcription does not reach the last bit");
    }
    assert!(wrong.is_empty(), "{} rows differ:\n{}", wrong.len(), wrong.join("\n"));
}

/// A message and the bit that is the IMF where a ground station repeats it (ADS-R); none where no bit is (all from memory).
const REPEATED: &[(&str, Option<u8>)] = &[
    ("00", None),
    ("20", None),
    ("38", Some(21)),
    ("99", Some(9)),
    ("9B", Some(9)),
    ("E1", Some(56)),
    ("E8 v1", Some(51)),
    ("EA v2", Some(51)),
    ("F8000000002000 v1", Some(56)),
    ("F9000000002000 v1", Some(56)),
    ("F8000000004000", Some(56)),
    ("F9000000004000", Some(56)),
    // The last bit is the threat's, and the IMF's as well: it is only kept.
    ("E2", Some(56)),
];

/// What a ground station repeats is laid out as what it heard, but for the IMF.
#[test]
fn every_repeated_message_differs_by_its_imf_alone() {
    for (message, imf) in REPEATED {
        let (heard, repeated) = (format!("ME {message}"), format!("CF6 {message}"));
        let (heard, repeated) = (Reading { line: &heard }.rows(), Reading { line: &repeated }.rows());
        for bit in 1..=56 {
            let at = |rows: &[(u8, u8, &'static Row)]| rows.iter().find(|row| row.0 <= bit && row.1 >= bit).unwrap().2;
            let (own, other) = (at(&heard), at(&repeated));
            if *imf != Some(bit) {
                assert_eq!((own.about, own.source), (other.about, other.source), "{message}, bit {bit}");
            } else if *message == "E2" {
                assert!(other.key.starts_with("data_") && other.about.contains("IMF"), "{message}, bit {bit}");
            } else {
                assert_eq!((other.key, other.field, other.source), ("imf", Some("imf"), "memory"), "{message}");
            }
        }
    }
}

/// No table of the library is without its transcription.
#[test]
fn every_table_of_the_library_is_transcribed() {
    let mut all: Vec<&str> = FORMATS.iter().chain(Message::TABLES).map(|table| table.title).collect();
    all.extend(register::TABLES.iter().map(|(_, table)| table.title));
    all.extend(ground_station::TABLES.iter().map(|table| table.title));
    all.extend([CoordinationReply::TABLE.title, WholePayload::TABLE.title]);
    let mut known: Vec<&str> = layouts::LAYOUTS.iter().map(|(line, _)| Reading { line }.title()).collect();
    known.extend(REPEATED.iter().map(|(message, _)| Reading { line: &format!("CF6 {message}") }.title()));
    let missing: Vec<_> =
        all.iter().filter(|title| !known.contains(title) && !layouts::WITHOUT.contains(title)).collect();
    assert!(missing.is_empty(), "{missing:?}");
    assert!(layouts::WITHOUT.iter().all(|title| all.contains(title) && !known.contains(title)));
}
