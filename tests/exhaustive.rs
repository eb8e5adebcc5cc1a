//! Every code of every field, against a second implementation written from the publications' text.
//!
//! Where a code has few enough patterns, none is left out. The second implementations work differently from the
//! library on purpose (tables where it computes, whole numbers where it has fractions), so that a shared slip is unlikely.

use squitterlab::code::table::{Table, Wanted};
use squitterlab::code::{
    Altitude12, Altitude13, Angle5, Angle7, Angle10, Bits, CoarseSpeed, Code, CruiseSpeedClass, EmergencyState,
    EmitterCategory, GeometricDifference, Identification, LateralOffset, LengthWidth, LongitudinalOffset, ModeA,
    Movement, Number, RadiusOfContainment, RegisterNumber, Sign, Speed, Value, Version, VerticalRate, Wires,
    navigation_integrity, position_codes,
};
use squitterlab::downlink::{Decoded, FORMATS, InterrogatorCode, Parity};
use squitterlab::frame::Frame;
use squitterlab::message::{AirborneVelocityAir, AirborneVelocityGround, Message, TisBCoarsePosition, ground_station};
use squitterlab::register;
use std::collections::{BTreeMap, BTreeSet};

// ---- altitude: handbook, Mode S part, chapter 3; encyclopaedia article "Gillham code"

/// Names of the twelve bits of the squitter's altitude, first bit first.
const ALTITUDE_BITS: [&str; 12] = ["C1", "A1", "C2", "A2", "C4", "A4", "B1", "Q", "B2", "D2", "B4", "D4"];

/// The 100-ft code of an altitude, built wire by wire: 500-ft count in Gray code on D2 D4 A1 A2 A4 B1 B2 B4, then the
/// five-step list 001 011 010 110 100 on C1 C2 C4, backwards where the count is odd.
fn grey_code(feet: i32) -> u16 {
    let hundreds = (feet + 1200) / 100;
    let (count, mut rest) = (hundreds / 5, hundreds % 5);
    if count % 2 == 1 {
        rest = 4 - rest;
    }
    let gray = count ^ (count >> 1);
    let c = ["001", "011", "010", "110", "100"][rest as usize];
    let mut on: Vec<&str> = Vec::new();
    for (place, name) in ["B4", "B2", "B1", "A4", "A2", "A1", "D4", "D2"].into_iter().enumerate() {
        if gray & (1 << place) != 0 {
            on.push(name);
        }
    }
    on.extend(["C1", "C2", "C4"].into_iter().zip(c.chars()).filter(|(_, bit)| *bit == '1').map(|(name, _)| name));
    ALTITUDE_BITS.iter().fold(0, |code, name| code * 2 + u16::from(on.contains(name)))
}

/// The 25-ft code: Q set, and the eleven other bits count from -1000 ft.
fn quarter_code(count: u16) -> u16 {
    let digits = format!("{count:011b}");
    let text = format!("{}1{}", &digits[..7], &digits[7..]);
    u16::from_str_radix(&text, 2).unwrap()
}

/// Every legal twelve-bit code with its altitude.
fn altitudes() -> BTreeMap<u16, i32> {
    let quarter = (0..2048).map(|count| (quarter_code(count), 25 * i32::from(count) - 1000));
    let grey = (-1200..=126_700).step_by(100).map(|feet| (grey_code(feet), feet));
    quarter.chain(grey).collect()
}

#[test]
fn every_altitude_code_of_a_squitter() {
    let legal = altitudes();
    // No two altitudes share a code: 2048 steps of 25 ft and 1280 of 100 ft.
    assert_eq!(legal.len(), 2048 + 1280);
    for bits in 0..4096 {
        let code = Altitude12::from_bits(bits);
        assert_eq!(code.bits(), bits);
        assert_eq!(code.feet(), legal.get(&(bits as u16)).copied(), "code {bits:03X}");
        assert_eq!(code.is_quarter(), bits & 0x10 != 0, "code {bits:03X}");
    }
    for (bits, feet) in legal {
        let step = if bits & 0x10 == 0 { 100 } else { 25 };
        let found = Altitude12::from_feet(f64::from(feet), step);
        if feet < -1000 {
            // The code table starts lower than what may be sent.
            assert!(found.is_err(), "{feet} ft");
        } else {
            assert_eq!(found.unwrap().bits(), u64::from(bits), "{feet} ft in steps of {step}");
        }
    }
}

#[test]
fn every_altitude_code_of_a_reply() {
    let legal = altitudes();
    for bits in 0..8192_u64 {
        let text = format!("{bits:013b}");
        // M is the seventh bit; with M set no confirmed source gives a unit.
        let twelve = u16::from_str_radix(&format!("{}{}", &text[..6], &text[7..]), 2).unwrap();
        let metric = &text[6..7] == "1";
        let code = Altitude13::from_bits(bits);
        assert_eq!(code.bits(), bits);
        assert_eq!(code.feet(), legal.get(&twelve).copied().filter(|_| !metric), "code {bits:04X}");
        let without = code.without_metric_bit();
        assert_eq!(without.map(Bits::bits), (!metric).then_some(u64::from(twelve)), "code {bits:04X}");
        if let Some(without) = without {
            assert_eq!(without.with_metric_bit(), code);
        }
    }
}

#[test]
fn every_foot_takes_the_nearest_code() {
    let feet_of = |feet: i32, step| Altitude12::from_feet(f64::from(feet), step).ok().and_then(Altitude12::feet);
    for feet in -1012..=50_187 {
        let found = feet_of(feet, 25).unwrap_or_else(|| panic!("{feet} ft has no code"));
        assert!((found - feet).abs() * 2 <= 25, "{feet} ft is sent as {found} ft");
    }
    for feet in -1050..=126_750 {
        let found = feet_of(feet, 100).unwrap_or_else(|| panic!("{feet} ft has no code"));
        assert!((found - feet).abs() * 2 <= 100, "{feet} ft is sent as {found} ft");
    }
    // Above the last 25-ft code only the 100-ft code reaches.
    for feet in 50_188..=126_750 {
        assert!((feet_of(feet, 25).unwrap() - feet).abs() * 2 <= 100, "{feet} ft");
    }
    for feet in [-100_000, -1200, -1100, -1051, 126_751, 126_800, 1_000_000] {
        assert_eq!((feet_of(feet, 25), feet_of(feet, 100)), (None, None), "{feet} ft");
    }
    for feet in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        assert!(Altitude12::from_feet(feet, 25).is_err() && Altitude12::from_feet(feet, 100).is_err());
    }
}

// ---- Mode A code: handbook, Mode S part, chapter 3

/// Names of the thirteen bits, first bit first.
const IDENTITY_BITS: [&str; 13] = ["C1", "A1", "C2", "A2", "C4", "A4", "X", "B1", "D1", "B2", "D2", "B4", "D4"];

fn identity_code(digits: [u8; 4]) -> u64 {
    IDENTITY_BITS.iter().fold(0, |code, name| {
        let on = match name.split_at(1) {
            ("X", _) => false,
            (letter, weight) => {
                let digit = digits["ABCD".find(letter).unwrap()];
                digit & weight.parse::<u8>().unwrap() != 0
            }
        };
        code * 2 + u64::from(on)
    })
}

#[test]
fn every_identity_and_every_pattern() {
    let mut known = BTreeMap::new();
    for number in 0..4096_u16 {
        let digits = [9, 6, 3, 0].map(|shift| (number >> shift & 7) as u8);
        let text: String = digits.iter().map(u8::to_string).collect();
        let bits = identity_code(digits);
        assert_eq!(text.parse::<ModeA>().unwrap().bits(), bits, "{text}");
        assert_eq!(ModeA::from_bits(bits).to_string(), text);
        assert_eq!(ModeA::from_bits(bits).digits(), digits);
        assert!(known.insert(bits, text).is_none());
    }
    let x = 1 << 6;
    for bits in 0..8192 {
        let code = ModeA::from_bits(bits);
        assert_eq!(code.bits(), bits);
        // X is sent as 0 and does not count when it is not.
        assert_eq!(code.to_string(), known[&(bits & !x)], "pattern {bits:04X}");
    }
    for wrong in ["", "8000", "0008", "120", "12000", "12.0", "-120", "7 00", "１２００"] {
        assert!(wrong.parse::<ModeA>().is_err(), "{wrong:?}");
    }
}

// ---- characters: handbook, ADS-B part, chapter 2

#[test]
fn every_character_in_every_place() {
    let assigned: BTreeMap<u64, char> =
        (1..=26).zip('A'..='Z').chain([(32, ' ')]).chain((48..=57).zip('0'..='9')).collect();
    assert_eq!(assigned.len(), 37);
    let z = 26;
    for place in 0..8 {
        for code in 0..64 {
            let codes: Vec<u64> = (0..8).map(|at| if at == place { code } else { z }).collect();
            let bits = codes.iter().fold(0, |bits, code| bits << 6 | code);
            let found = Identification::from_bits(bits);
            assert_eq!(found.bits(), bits);
            assert_eq!(found.characters().map(u64::from).to_vec(), codes);
            let shown = assigned.get(&code).copied().unwrap_or('?');
            let text: String = (0..8).map(|at| if at == place { shown } else { 'Z' }).collect();
            assert_eq!(found.to_string(), text.trim_end(), "code {code} in place {place}");
            // A space is only right behind the last character.
            let well_formed = assigned.contains_key(&code) && (code != 32 || place == 7);
            assert_eq!(found.is_well_formed(), well_formed, "code {code} in place {place}");
            if assigned.contains_key(&code) {
                assert_eq!(text.parse::<Identification>().unwrap().bits(), bits, "{text:?}");
            } else {
                assert!(text.parse::<Identification>().is_err(), "{text:?}");
            }
        }
    }
    let letters: BTreeSet<char> = assigned.values().copied().collect();
    for character in (0..0x1_0000).filter_map(char::from_u32) {
        let parsed = character.to_string().parse::<Identification>();
        assert_eq!(parsed.is_ok(), letters.contains(&character), "{character:?}");
    }
    assert!("ABCDEFGHI".parse::<Identification>().is_err());
    assert_eq!("".parse::<Identification>().unwrap().bits(), 0x8208_2082_0820);
}

// ---- movement: Annex 10 Volume III, Amendment 77, page 52, and handbook, ADS-B part, chapter 4, for versions 0 and 1;
// version 2 from memory of DO-260B

/// Edges in 1/48 kt, which both versions' steps (1/8 and 7/48 kt and more) count in whole numbers.
fn movement_edges(version: Version) -> BTreeMap<u8, (i64, i64)> {
    let two = version >= Version::Two;
    let mut edges = BTreeMap::new();
    let mut edge = if two { 0 } else { 6 };
    edges.insert(1, (0, edge));
    for code in 2..=123 {
        let step = match code {
            2 if two => 6,
            3..=8 if two => 7,
            2..=8 => 6,
            9..=12 => 12,
            13..=38 => 24,
            39..=93 => 48,
            94..=108 => 96,
            _ => 240,
        };
        edges.insert(code, (edge, edge + step));
        edge += step;
    }
    assert_eq!(edge, 175 * 48, "the steps end at 175 kt");
    edges
}

#[test]
fn every_movement_code_in_every_version() {
    for version in Version::ALL {
        let edges = movement_edges(version);
        let code = |knots: f64| Movement::from_knots(knots, version).unwrap().bits() as u8;
        for bits in 0..128 {
            let movement = Movement::from_bits(bits);
            assert_eq!(movement.bits(), bits);
            let meaning = movement.meaning(version).value;
            let Some((low, high)) = edges.get(&(bits as u8)) else {
                if bits == 124 {
                    assert_eq!(movement.knots(version), Some((175.0, f64::INFINITY)));
                    assert_eq!(meaning, Value::Decimal(175.0));
                    assert_eq!((code(175.1), code(5000.0)), (124, 124));
                } else {
                    assert_eq!(movement.knots(version), None, "code {bits}");
                    assert_eq!(meaning, Value::Null, "code {bits}");
                }
                continue;
            };
            let (low_kt, high_kt) = (*low as f64 / 48.0, *high as f64 / 48.0);
            let (found_low, found_high) = movement.knots(version).unwrap();
            assert!((found_low - low_kt).abs() < 1e-9 && (found_high - high_kt).abs() < 1e-9, "code {bits}");
            // The field is a value of the range to four places: the lower edge in versions 0 and 1, which close there.
            let Value::Decimal(shown) = meaning else { panic!("code {bits}: {meaning:?}") };
            let most = if version >= Version::Two { high_kt } else { low_kt };
            assert!((low_kt - 0.000_05..=most + 0.000_05).contains(&shown), "code {bits}: {shown}");
            // The value in the middle of the range comes back as the code, and so does all that is clearly inside.
            for part in [0.001, 0.25, 0.5, 0.75, 0.999] {
                let knots = low_kt + (high_kt - low_kt) * part;
                assert_eq!(u64::from(code(knots)), bits, "{knots} kt in version {}", version.number());
            }
        }
        // The edges themselves: closed on the left in versions 0 and 1, on the right in version 2. Edges that are no
        // multiple of 1/16 kt have no exact number, so they are not asked for.
        for (bits, (low, high)) in &edges {
            for (edge, belongs) in [(low, version < Version::Two), (high, version >= Version::Two)] {
                if edge % 3 == 0 && low < high {
                    let knots = *edge as f64 / 48.0;
                    assert_eq!(code(knots) == *bits, belongs, "{knots} kt in version {}", version.number());
                }
            }
        }
        assert_eq!(code(0.0), 1);
        assert!(Movement::from_knots(-0.1, version).is_err() && Movement::from_knots(f64::NAN, version).is_err());
    }
}

// ---- length and width: Doc 9871 draft, pages 162 and 224

/// Upper bounds in decimetres: one length and two widths for each of the eight length codes.
const BOXES_DM: [(u32, [u32; 2]); 8] = [
    (150, [115, 230]),
    (250, [285, 340]),
    (350, [330, 380]),
    (450, [395, 450]),
    (550, [450, 520]),
    (650, [595, 670]),
    (750, [725, 800]),
    (850, [800, 900]),
];

/// The smallest length code that holds the length, then the width bit; where the width does not fit, the next length
/// code whose width fits. Version 2 has no first box (its code says "no data"), so the second one stands in.
fn box_of(length_dm: u32, width_dm: u32) -> u64 {
    let Some(smallest) = BOXES_DM.iter().position(|(length, _)| length_dm <= *length) else { return 15 };
    for (at, (_, widths)) in BOXES_DM.iter().enumerate().skip(smallest) {
        if let Some(bit) = widths.iter().position(|width| width_dm <= *width) {
            return (2 * at + bit).max(1) as u64;
        }
    }
    15
}

#[test]
fn every_length_and_width_to_the_decimetre() {
    for length_dm in 1..=950 {
        for width_dm in 1..=1000 {
            let (length, width) = (f64::from(length_dm) / 10.0, f64::from(width_dm) / 10.0);
            let found = LengthWidth::from_metres(length, width).unwrap().bits();
            assert_eq!(found, box_of(length_dm, width_dm), "{length} m by {width} m");
        }
    }
    // The example of the draft, page 224; its answer is from memory.
    assert_eq!(box_of(240, 500), 9);
    for bits in 0..16 {
        let code = LengthWidth::from_bits(bits);
        let (length, widths) = BOXES_DM[(bits / 2) as usize];
        let bounds = Some((f64::from(length) / 10.0, f64::from(widths[(bits % 2) as usize]) / 10.0));
        assert_eq!(code.bounds_m(Version::One), bounds, "code {bits}");
        assert_eq!(code.bounds_m(Version::Two), bounds.filter(|_| bits != 0), "code {bits}");
        assert_eq!(code.meaning(Version::Two).value, Value::Integer(bits as i64));
    }
    for wrong in [0.0, -1.0, f64::NAN] {
        assert!(LengthWidth::from_metres(wrong, 10.0).is_err() && LengthWidth::from_metres(10.0, wrong).is_err());
    }
}

// ---- antenna offset: Doc 9871 draft, page 227; longitudinal codes from memory

#[test]
fn every_antenna_offset() {
    let lateral = [None, Some(-2), Some(-4), Some(-6), Some(0), Some(2), Some(4), Some(6)];
    for (bits, metres) in lateral.into_iter().enumerate() {
        assert_eq!(LateralOffset::from_bits(bits as u64).metres(), metres, "code {bits}");
    }
    for decimetres in -150..=150_i32 {
        // Upper bound in steps of 2 m, 6 m for anything beyond; zero lies on the right.
        let steps = [0, 20, 40].iter().filter(|bound| decimetres.abs() > **bound).count() as u64;
        let bits = if decimetres < 0 { steps } else { 4 + steps };
        let found = LateralOffset::from_metres(f64::from(decimetres) / 10.0).unwrap();
        assert_eq!(found.bits(), bits, "{decimetres} dm");
        assert_ne!(found, LateralOffset::NO_DATA, "a distance is never sent as no data");
    }
    for bits in 0..32 {
        let code = LongitudinalOffset::from_bits(bits);
        assert_eq!(code.metres(), (bits > 1).then(|| 2 * (bits as u8 - 1)), "code {bits}");
    }
    for decimetres in 1..=900_u32 {
        let bits = (2..=31).find(|code| decimetres <= 20 * (code - 1)).unwrap_or(31);
        let found = LongitudinalOffset::from_metres(f64::from(decimetres) / 10.0).unwrap();
        assert_eq!(found.bits(), u64::from(bits), "{decimetres} dm");
    }
    for wrong in [0.0, -0.1, f64::NAN, f64::INFINITY] {
        assert!(LongitudinalOffset::from_metres(wrong).is_err(), "{wrong} m");
    }
}

// ---- emitter categories: Doc 9871 draft, page 250; handbook, ADS-B part, chapter 2

#[test]
fn every_emitter_category() {
    let known = [
        "A1 light",
        "A2 small",
        "A3 large",
        "A4 high-vortex",
        "A5 heavy",
        "A6 high performance",
        "A7 rotorcraft",
        "B1 glider",
        "B2 lighter than air",
        "B3 parachutist",
        "B4 ultralight",
        "B6 unmanned",
        "B7 space",
        "C1 surface vehicle, emergency",
        "C2 surface vehicle, service",
        "C3 ground obstruction",
    ];
    // Version 2 only, from memory.
    let later = ["C4 cluster obstacle", "C5 line obstacle"];
    for (set, letter) in ["D", "C", "B", "A"].into_iter().enumerate() {
        for number in 0..8_u64 {
            let type_code = set as u8 + 1;
            let text = format!("{letter}{number}");
            let bits = u64::from(type_code) << 51 | number << 48;
            let Message::AircraftIdentification(message) = Message::decode(bits) else { panic!("{text}") };
            let category = message.emitter_category().unwrap();
            assert_eq!(category.to_string(), text);
            assert_eq!(text.parse::<EmitterCategory>().unwrap(), category);
            assert_eq!((category.type_code(), u64::from(category.number())), (type_code, number));
            for version in Version::ALL {
                let mut words = known.iter().chain(later.iter().filter(|_| version >= Version::Two));
                let wanted = match words.find(|line| line.starts_with(&text)) {
                    Some(line) => &line[3..],
                    None if number == 0 => "no category",
                    None => "reserved",
                };
                let found = category.words(version);
                assert!(found.starts_with(wanted), "{text} in version {}: {found:?}", version.number());
            }
        }
    }
    for wrong in ["", "A", "A8", "E1", "a1", "A10", "1A"] {
        assert!(wrong.parse::<EmitterCategory>().is_err(), "{wrong:?}");
    }
}

// ---- overlays of format 11: layout quoted from Annex 10 in a public answer, map of SI codes from memory

#[test]
fn every_overlay_of_an_all_call_reply() {
    let told = |overlay: u32| {
        let (label, code) = (overlay >> 4 & 7, overlay & 15);
        match (overlay >> 7, label) {
            (0, 0) if code > 0 => Some(("II", code)),
            // SI codes run from 1 to 63; the first of label 1 would be SI 0.
            (0, 1..=4) if (label, code) != (1, 0) => Some(("SI", 16 * (label - 1) + code)),
            _ => None,
        }
    };
    for overlay in 0..1 << 24 {
        let found = InterrogatorCode::from_overlay(overlay).map(|code| (code.kind(), u32::from(code.code())));
        assert!(found == told(overlay), "overlay {overlay}: {found:?}");
    }
    // A published reply (public question 43844), with each overlay in turn.
    let published: Frame = "5D406FDB0D62DD".parse().unwrap();
    for overlay in 0..256 {
        let reply = Decoded::new(published.with_overlay(overlay));
        let parity = match (overlay, InterrogatorCode::from_overlay(overlay)) {
            (0, _) => Parity::Valid,
            (_, Some(code)) => Parity::Interrogator(code),
            (_, None) => Parity::Invalid,
        };
        assert_eq!(reply.parity(), parity, "overlay {overlay}");
        assert_eq!(reply.proves_address(), overlay == 0, "overlay {overlay}");
        assert_eq!(reply.frame().overlay(), overlay);
    }
}

// ---- NIC: Doc 9871 draft, pages 158 and 192; handbook, ADS-B part, chapter 7

/// Type code, supplement A, supplement B or C, NIC, radius in tenths of a metre; an empty supplement does not apply.
const NIC_VERSION_2: &str = "
    5 0 0 11 75    6 0 0 10 250    7 1 0 9 750     7 0 0 8 1852
    8 1 1 7 3704   8 1 0 6 5556    8 0 1 6 11112   8 0 0 0 -
    9 0 0 11 75    10 0 0 10 250   11 1 1 9 750    11 0 0 8 1852
    12 0 0 7 3704  13 0 1 6 5556   13 0 0 6 9260   13 1 1 6 11112
    14 0 0 5 18520 15 0 0 4 37040  16 1 1 3 74080  16 0 0 2 148160
    17 0 0 1 370400 18 0 0 0 -
    20 . . 11 75   21 . . 10 250   22 . . 0 -";
const NIC_VERSION_1: &str = "
    5 0 . 11 75    6 0 . 10 250    7 1 . 9 750     7 0 . 8 1852    8 0 . 0 -
    9 0 . 11 75    10 0 . 10 250   11 1 . 9 750    11 0 . 8 1852
    12 0 . 7 3704  13 1 . 6 11112  13 0 . 6 9260
    14 0 . 5 18520 15 0 . 4 37040  16 1 . 3 74080  16 0 . 2 148160
    17 0 . 1 370400 18 0 . 0 -
    20 0 . 11 75   21 0 . 10 250   22 0 . 0 -";

/// One row; a radius of none is larger than all others.
#[derive(Clone, Copy, Debug, PartialEq)]
struct NicRow {
    type_code: u8,
    a: Option<u8>,
    other: Option<u8>,
    nic: u8,
    radius_dm: Option<u32>,
}

fn nic_rows(text: &str) -> Vec<NicRow> {
    let words: Vec<_> = text.split_whitespace().collect();
    let rows: Vec<_> = words
        .chunks(5)
        .map(|row| NicRow {
            type_code: row[0].parse().unwrap(),
            a: row[1].parse().ok(),
            other: row[2].parse().ok(),
            nic: row[3].parse().unwrap(),
            radius_dm: row[4].parse().ok(),
        })
        .collect();
    assert_eq!(words.len(), 5 * rows.len());
    rows
}

fn wider(radius: Option<u32>) -> u32 {
    radius.unwrap_or(u32::MAX)
}

fn radius_dm(radius: RadiusOfContainment) -> Option<u32> {
    match radius {
        RadiusOfContainment::Unknown => None,
        RadiusOfContainment::Below(metres) => Some((metres * 10.0).round() as u32),
    }
}

/// Rows that fit what was heard of the supplements.
fn fitting(rows: &[NicRow], type_code: u8, a: Option<u8>, other: Option<u8>) -> Vec<NicRow> {
    let agrees = |listed: Option<u8>, heard: Option<u8>| listed.is_none() || heard.is_none() || listed == heard;
    rows.iter().copied().filter(|r| r.type_code == type_code && agrees(r.a, a) && agrees(r.other, other)).collect()
}

/// Calls with the second supplement where it belongs: B in the air, C on the surface.
fn integrity(type_code: u8, a: Option<u8>, other: Option<u8>, version: Version) -> Option<(u8, RadiusOfContainment)> {
    let (b, c) = if type_code < 9 { (None, other) } else { (other, None) };
    navigation_integrity(type_code, a, b, c, version)
}

#[test]
fn every_nic_row_and_every_unlisted_combination() {
    for (version, text) in [(Version::One, NIC_VERSION_1), (Version::Two, NIC_VERSION_2)] {
        let rows = nic_rows(text);
        for type_code in 0..32 {
            for a in 0..2 {
                for other in 0..2 {
                    let fits = fitting(&rows, type_code, Some(a), Some(other));
                    // What is not listed takes the widest radius of its type code (our rule, from memory).
                    let of_type = rows.iter().copied().filter(|row| row.type_code == type_code);
                    let row = fits.first().copied().or(of_type.max_by_key(|row| wider(row.radius_dm)));
                    assert!(fits.len() <= 1, "type code {type_code}, {a}, {other}");
                    let found = integrity(type_code, Some(a), Some(other), version);
                    assert_eq!(
                        found.map(|(nic, _)| nic),
                        row.map(|row| row.nic),
                        "type code {type_code}, {a}, {other}"
                    );
                    assert_eq!(found.map(|(_, r)| radius_dm(r)), row.map(|row| row.radius_dm), "type code {type_code}");
                    assert_eq!(integrity(type_code, Some(a), Some(other), Version::Zero), None);
                }
            }
        }
    }
}

/// While a supplement is not yet heard, nothing better is claimed than every listed row that may still apply.
#[test]
fn an_unheard_supplement_never_makes_the_integrity_better() {
    let mut wrong = Vec::new();
    for (version, text) in [(Version::One, NIC_VERSION_1), (Version::Two, NIC_VERSION_2)] {
        let rows = nic_rows(text);
        for type_code in 0..32 {
            for (a, other) in [(None, None), (None, Some(0)), (None, Some(1)), (Some(0), None), (Some(1), None)] {
                let fits = fitting(&rows, type_code, a, other);
                let Some((nic, radius)) = integrity(type_code, a, other, version) else { continue };
                let widest = fits.iter().map(|row| wider(row.radius_dm)).max().unwrap_or(0);
                if fits.iter().any(|row| row.nic != nic) || wider(radius_dm(radius)) < widest {
                    wrong.push(format!(
                        "version {}, type code {type_code}, A {a:?}, B or C {other:?}: NIC {nic}, {radius:?}, but a row of {widest} dm may apply",
                        version.number()
                    ));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_nic_has_the_codes_that_say_it() {
    let rows = nic_rows(NIC_VERSION_2);
    for nic in 0..=11 {
        let codes = position_codes(nic, Version::Two).unwrap();
        let (type_code, a, b) = codes.airborne;
        assert!(matches!(type_code, 9..=18), "NIC {nic}");
        assert_eq!(fitting(&rows, type_code, Some(a), Some(b))[0].nic, nic, "in the air");
        let (type_code, a, c) = codes.surface;
        assert!(matches!(type_code, 5..=8), "NIC {nic}");
        // The surface has nothing between 0.6 NM and unknown.
        let sent = if (1..=5).contains(&nic) { 0 } else { nic };
        assert_eq!(fitting(&rows, type_code, Some(a), Some(c))[0].nic, sent, "on the surface");
        for (type_code, a, other) in [codes.airborne, codes.surface] {
            // Of several radii under one NIC the widest is claimed: a NIC alone does not say more.
            let row = fitting(&rows, type_code, Some(a), Some(other))[0];
            let surface = type_code < 9;
            let same = rows.iter().filter(|r| r.nic == row.nic && (r.type_code < 9) == surface && r.type_code < 19);
            assert_eq!(Some(wider(row.radius_dm)), same.map(|row| wider(row.radius_dm)).max(), "NIC {nic}");
        }
    }
    assert!((12..=255).all(|nic| position_codes(nic, Version::Two).is_err()));
}

// ---- velocity: Doc 9871 draft, pages 69, 251 and 252; handbook, ADS-B part, chapter 5; last codes from memory

fn field(fields: &[(&'static str, squitterlab::code::Meaning)], name: &str) -> Value {
    fields.iter().find(|(field, _)| *field == name).unwrap_or_else(|| panic!("no field {name}")).1.value
}

#[test]
fn every_speed_code_in_both_steps() {
    for (subtype, step) in [(1, 1), (2, 4), (3, 1), (4, 4)] {
        assert_eq!(Speed::step_kt(subtype), step);
        for bits in 0..1024_u16 {
            let speed = Speed::from_bits(bits.into());
            let knots = (1..=1022).contains(&bits).then(|| (bits - 1) * step);
            assert_eq!(speed.knots(step), knots, "code {bits}");
            if let Some(knots) = knots {
                assert_eq!(Speed::from_knots(knots.into(), step).unwrap(), speed);
                // Anything nearer than half a step to either side is this code.
                let little = f64::from(step) * 0.499;
                assert_eq!(Speed::from_knots(f64::from(knots) + little, step).unwrap(), speed);
                if knots > 0 {
                    assert_eq!(Speed::from_knots(f64::from(knots) - little, step).unwrap(), speed);
                }
            }
            // The whole message, with either sign.
            for minus in [0, 1] {
                // The last code is more than the end of the scale, which is half a step below its own place.
                let value = |minus: u64| {
                    let sign = if minus == 1 { -1 } else { 1 };
                    match (knots, bits) {
                        (Some(n), _) => Value::Integer(sign * i64::from(n)),
                        (None, 0) => Value::Null,
                        (None, _) if step == 4 => Value::Integer(sign * 4086),
                        (None, _) => Value::Decimal(sign as f64 * 1021.5),
                    }
                };
                let head = 19 << 51 | u64::from(subtype) << 48;
                if subtype < 3 {
                    let bits = head | minus << 42 | u64::from(bits) << 32 | minus << 31 | u64::from(bits) << 21;
                    let fields = AirborneVelocityGround::TABLE.fields(bits.into(), Version::Two);
                    assert_eq!(field(&fields, "east_velocity_kt"), value(minus), "code {bits}");
                    assert_eq!(field(&fields, "north_velocity_kt"), value(minus), "code {bits}");
                } else {
                    let bits = head | minus << 31 | u64::from(bits) << 21;
                    let fields = AirborneVelocityAir::TABLE.fields(bits.into(), Version::Two);
                    assert_eq!(field(&fields, "airspeed_kt"), value(0), "code {bits}");
                    let kind = if minus == 1 { "true" } else { "indicated" };
                    assert_eq!(field(&fields, "airspeed_kind"), Value::Word(kind));
                }
            }
        }
        // The last code starts half a step below its own place.
        let beyond = 1021.5 * f64::from(step);
        assert_eq!(Speed::from_knots(beyond, step).unwrap().bits(), 1023);
        assert_eq!(Speed::from_knots(beyond - 0.01, step).unwrap().bits(), 1022);
        assert_eq!(Speed::from_knots(1e9, step).unwrap().bits(), 1023);
        // There are no steps to be told of: what lies there is only known to be more.
        assert_eq!(Speed::from_bits(1023).meaning(Version::Two).words().to_string(), "more than the scale");
        assert!(Speed::from_knots(-1.0, step).is_err() && Speed::from_knots(f64::NAN, step).is_err());
    }
}

#[test]
fn every_pair_of_small_components_gives_speed_and_track() {
    for east in -40..=40_i32 {
        for north in -40..=40_i32 {
            let part = |n: i32| u64::from(n < 0) << 10 | u64::from(n.unsigned_abs() + 1);
            let bits = 19 << 51 | 1 << 48 | part(east) << 32 | part(north) << 21;
            let message = AirborneVelocityGround::from_bits(bits);
            assert_eq!(message.components_kt(), Some((east, north)));
            let (speed, track) = message.speed_and_track().unwrap();
            assert!((speed * speed - f64::from(east * east + north * north)).abs() < 1e-9);
            assert!((0.0..360.0).contains(&track), "{east}, {north}: {track}");
            // Going that far that way ends at the components.
            let (back_east, back_north) = (speed * track.to_radians().sin(), speed * track.to_radians().cos());
            assert!((back_east - f64::from(east)).abs() < 1e-9 && (back_north - f64::from(north)).abs() < 1e-9);
        }
    }
}

#[test]
fn every_vertical_rate_and_geometric_difference() {
    for sign in [0, 1] {
        let signed =
            |magnitude: Option<i64>| magnitude.map_or(Value::Null, |n| Value::Integer(if sign == 1 { -n } else { n }));
        for code in 0..512_u64 {
            let rate = VerticalRate::from_bits(code);
            let magnitude = (1..=510).contains(&code).then(|| 64 * (code as i64 - 1));
            assert_eq!(rate.magnitude().map(i64::from), magnitude, "code {code}");
            for subtype in 1..=4_u64 {
                let bits = 19 << 51 | subtype << 48 | sign << 19 | code << 10;
                let table = Message::decode(bits).table();
                let fields = table.fields(bits.into(), Version::Two);
                // 511 is more than the end of the scale.
                let told = if code == 511 { signed(Some(32_608)) } else { signed(magnitude) };
                assert_eq!(field(&fields, "vertical_rate_fpm"), told, "code {code}");
            }
            if let Some(fpm) = magnitude {
                for near in [-31, 0, 31] {
                    assert_eq!(VerticalRate::from_magnitude((fpm + near).max(0) as f64), Ok(rate), "{fpm} ft/min");
                }
            }
        }
        for code in 0..128_u64 {
            let difference = GeometricDifference::from_bits(code);
            let magnitude = (1..=126).contains(&code).then(|| 25 * (code as i64 - 1));
            assert_eq!(difference.magnitude().map(i64::from), magnitude, "code {code}");
            for subtype in 1..=4_u64 {
                let bits = 19 << 51 | subtype << 48 | sign << 7 | code;
                let fields = Message::decode(bits).table().fields(bits.into(), Version::Two);
                let end = Value::Decimal(if sign == 1 { -3137.5 } else { 3137.5 });
                let told = if code == 127 { end } else { signed(magnitude) };
                assert_eq!(field(&fields, "geometric_minus_pressure_ft"), told, "code {code}");
            }
            if let Some(feet) = magnitude {
                for near in [-12, 0, 12] {
                    assert_eq!(
                        GeometricDifference::from_magnitude((feet + near).max(0) as f64),
                        Ok(difference),
                        "{feet} ft"
                    );
                }
            }
        }
    }
    assert_eq!(VerticalRate::from_magnitude(32_608.0).unwrap().bits(), 511);
    assert_eq!(VerticalRate::from_magnitude(32_607.0).unwrap().bits(), 510);
    assert_eq!(GeometricDifference::from_magnitude(3137.5).unwrap().bits(), 127);
    assert_eq!(GeometricDifference::from_magnitude(3137.4).unwrap().bits(), 126);
    assert_eq!([0.0, -0.0, 5.0, -5.0].map(|n| Sign::of(n).bits()), [0, 0, 0, 1]);
}

// ---- angles: Doc 9871 draft, pages 143 and 252; handbook, ADS-B part, chapters 4 and 5

fn every_angle_of(steps: u64, degrees: fn(u64) -> f64, code: fn(f64) -> u64) {
    let step = 360.0 / steps as f64;
    for bits in 0..steps {
        let at = bits as f64 * step;
        assert!((degrees(bits) - at).abs() < 1e-12, "code {bits}");
        for turns in [-2.0, -1.0, 0.0, 1.0, 3.0] {
            for near in [-0.499, 0.0, 0.499] {
                let angle = at + near * step + 360.0 * turns;
                assert_eq!(code(angle), bits, "{angle} degrees");
            }
        }
    }
    // What rounds to a full turn is north again.
    assert_eq!(code(360.0 - step * 0.4), 0);
}

#[test]
fn every_angle() {
    macro_rules! every {
        ($steps:literal, $angle:ident) => {
            every_angle_of(
                $steps,
                |bits| $angle::from_bits(bits).degrees(),
                |at| $angle::from_degrees(at).unwrap().bits(),
            );
        };
    }
    every!(32, Angle5);
    every!(128, Angle7);
    every!(1024, Angle10);
}

// ---- numbers that are none

/// Every function of a code that takes a number, and whether it refuses one.
type Takes = (&'static str, &'static str, fn(f64) -> bool);

const TAKES: [Takes; 12] = [
    ("altitude.rs", "from_feet", |x| [25, 100].iter().all(|step| Altitude12::from_feet(x, *step).is_err())),
    ("angle.rs", "from_degrees", |x| {
        Angle5::from_degrees(x).is_err() && Angle7::from_degrees(x).is_err() && Angle10::from_degrees(x).is_err()
    }),
    ("antenna_offset.rs", "from_metres", |x| LateralOffset::from_metres(x).is_err()),
    ("antenna_offset.rs", "from_metres", |x| LongitudinalOffset::from_metres(x).is_err()),
    ("coarse_speed.rs", "from_knots", |x| CoarseSpeed::from_knots(x).is_err()),
    ("length_width.rs", "from_metres", |x| {
        LengthWidth::from_metres(x, 10.0).is_err() && LengthWidth::from_metres(10.0, x).is_err()
    }),
    ("movement.rs", "from_knots", |x| Version::ALL.iter().all(|version| Movement::from_knots(x, *version).is_err())),
    ("reply_information.rs", "from_knots", |x| CruiseSpeedClass::from_knots(x).is_err()),
    ("speed.rs", "from_knots", |x| [1, 4].iter().all(|step| Speed::from_knots(x, *step).is_err())),
    ("vertical.rs", "from_magnitude", |x| {
        VerticalRate::from_magnitude(x).is_err() && GeometricDifference::from_magnitude(x).is_err()
    }),
    ("wires.rs", "from_feet", |x| Wires::from_feet(x).is_err()),
    ("airborne_velocity.rs", "with_velocity", |x| {
        let message = AirborneVelocityGround::from_bits(0);
        message.with_velocity(x, 1.0).is_err() && message.with_velocity(1.0, x).is_err()
    }),
];

#[test]
fn infinities_and_not_a_number_have_no_code() {
    for (file, function, refuses) in TAKES {
        for number in [f64::NAN, -f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            assert!(refuses(number), "{file}: {function}({number})");
        }
        assert!(!refuses(7.0), "{file}: {function} refuses everything");
    }
    // None is left out: what takes a number and makes a code has a name that says from what.
    let mut found = Vec::new();
    for folder in ["src/code", "src/message", "src/register"] {
        for entry in std::fs::read_dir(folder).expect("the source") {
            let path = entry.expect("an entry").path();
            let text = std::fs::read_to_string(&path).expect("text");
            for line in text.lines().map(str::trim).filter(|line| line.starts_with("pub fn ") && line.contains(": f64"))
            {
                let name = line["pub fn ".len()..].split('(').next().expect("a name");
                if name.starts_with("from_") || name.starts_with("with_") {
                    found.push((path.file_name().expect("a name").to_string_lossy().into_owned(), name.to_owned()));
                }
            }
        }
    }
    found.sort();
    let mut listed: Vec<_> = TAKES.iter().map(|(file, name, _)| ((*file).to_owned(), (*name).to_owned())).collect();
    listed.sort();
    assert_eq!(found, listed);
}

// ---- cruise airspeed classes: Annex 10 Volume IV, from memory

#[test]
fn every_cruise_airspeed_class() {
    for tenths in 1..=20_000_u32 {
        let code = match tenths {
            1..=750 => 9,
            751..=1500 => 10,
            1501..=3000 => 11,
            3001..=6000 => 12,
            6001..=12_000 => 13,
            _ => 14,
        };
        let found = CruiseSpeedClass::from_knots(f64::from(tenths) / 10.0).unwrap().reply_information();
        assert_eq!(found.bits(), code, "{tenths} tenths of a knot");
    }
    assert!([0.0, -1.0, f64::NAN].iter().all(|wrong| CruiseSpeedClass::from_knots(*wrong).is_err()));
}

// ---- which message: Doc 9871 draft, pages 140, 157, 166, 172, 174, 192, 209, 218, 251; Annex 10 III, page 75 for
// ---- version 0; subtype 7 of type code 23, and type code 24, from memory

/// The message, and the version whose layout alone it is.
fn message_of(type_code: u64, subtype: u64, own: u64, in_force: Option<Version>) -> (&'static str, Option<Version>) {
    use Version::{One, Three, Two, Zero};
    match type_code {
        0 => ("no_position", None),
        1..=4 => ("aircraft_identification", None),
        5..=8 => ("surface_position", None),
        9..=18 | 20..=22 => ("airborne_position", None),
        19 if (1..=4).contains(&subtype) => ("airborne_velocity", None),
        23 if subtype == 0 => ("test", None),
        23 if subtype == 7 && in_force.is_none_or(|version| version == One) => ("test", None),
        24 if subtype == 1 && in_force != Some(One) => ("surface_system_status", None),
        28 if subtype == 1 => ("aircraft_status", None),
        28 if subtype == 2 && in_force != Some(Zero) => ("acas_resolution_advisory", None),
        29 if in_force == Some(Zero) => ("trajectory_change_point", Some(Zero)),
        29 => ("target_state_and_status", [Some(One), Some(Two), None, None][subtype as usize >> 1]),
        30 if in_force == Some(Zero) => ("operational_coordination", Some(Zero)),
        31 => {
            let layout = match (own, subtype) {
                (0, 0) => Some(Zero),
                (1, 0 | 1) => Some(One),
                (2, 0 | 1) => Some(Two),
                (3, 0 | 1) => Some(Three),
                _ => None,
            };
            ("operational_status", layout)
        }
        _ => ("reserved", None),
    }
}

#[test]
fn every_type_code_subtype_and_version() {
    for type_code in 0..32_u64 {
        for subtype in 0..8_u64 {
            for own in 0..8_u64 {
                for in_force in Version::ALL.map(Some).into_iter().chain([None]) {
                    let bits = type_code << 51 | subtype << 48 | own << 13;
                    let message = Message::decode_in(bits, in_force);
                    let found = (message.table().message, message.table().version);
                    let wanted = message_of(type_code, subtype, own, in_force);
                    assert_eq!(found, wanted, "type code {type_code}, subtype {subtype}, {own}, {in_force:?}");
                    assert_eq!(message.bits(), bits);
                    let number = (type_code == 31).then_some(own);
                    assert_eq!(message.version_number().map(Bits::bits), number, "type code {type_code}");
                }
                let bits = type_code << 51 | subtype << 48 | own << 13;
                assert_eq!(Message::decode(bits), Message::decode_in(bits, None));
            }
        }
    }
}

/// Annex 10 Volume III, Amendment 77 (version 0, which ends at 5), Doc 9871 draft, page 172, and the exchange standard for
/// version 3 (category 021, item 200): every state, both ways.
#[test]
fn every_emergency_state_by_version() {
    for version in Version::ALL {
        let last = [5, 6, 6, 7][usize::from(version.number())];
        for code in 0..8 {
            let state = EmergencyState::from_bits(code);
            let meaning = state.meaning(version);
            let name = meaning.name.expect("a name");
            assert_eq!(meaning.value, Value::Integer(code as i64));
            assert_eq!(name == "reserved", code > last, "{code} in {version:?}");
            for wanted in [code.to_string(), name.to_owned()] {
                let found = EmergencyState::from_meaning(&wanted, version);
                let sent = version != Version::Zero || code <= last;
                assert_eq!(found.ok(), sent.then_some(state), "{wanted} in {version:?}");
            }
        }
        for (name, code, versions) in [
            ("medical", 2, &[0, 1, 2][..]),
            ("unmanned_lost_link", 2, &[3]),
            ("downed_aircraft", 6, &[1, 2]),
            ("distress_automatic", 6, &[3]),
            ("distress_manual", 7, &[3]),
        ] {
            let found = EmergencyState::from_meaning(name, version).map(Bits::bits).ok();
            assert_eq!(found, versions.contains(&version.number()).then_some(code), "{name} in {version:?}");
        }
    }
}

/// Version 3 divides the first two metres, and has no upper end (exchange standard, category 021, TAO).
#[test]
fn every_longitudinal_offset_of_version_3() {
    for code in 0..32_u64 {
        let meaning = LongitudinalOffset::from_bits(code).meaning(Version::Three);
        let metres = match code {
            0 => Value::Null,
            1 => Value::Integer(1),
            31 => Value::Integer(58),
            _ => Value::Integer(2 * (code as i64 - 1)),
        };
        assert_eq!((meaning.value, meaning.beyond), (metres, code == 31), "code {code}");
    }
    for decimetres in 0..=620_u64 {
        let wanted = match decimetres {
            0..=10 => 1,
            _ => (2..31).find(|code| decimetres <= 20 * (code - 1)).unwrap_or(31),
        };
        let metres = (decimetres as f64 / 10.0).to_string();
        let found = LongitudinalOffset::from_meaning(&metres, Version::Three).map(Bits::bits);
        assert_eq!(found, Ok(wanted), "{metres} m");
    }
    assert!(LongitudinalOffset::from_meaning("applied_by_sensor", Version::Three).is_err());
}

// ---- past the end of a scale

/// Every table that reads a frame.
fn tables() -> impl Iterator<Item = &'static Table> {
    let registers = register::TABLES.iter().map(|(_, table)| *table);
    FORMATS.into_iter().chain(Message::TABLES.iter().copied()).chain(ground_station::TABLES).chain(registers)
}

/// What is past the end of a scale is a number that says so, in the rows that are declared to have an end and in no
/// others, and the same number past its end gives the same code again. So it is never taken for "no data".
#[test]
fn what_is_past_the_end_of_a_scale_is_never_no_data() {
    let number = |value: &Value| match value {
        Value::Integer(number) => Some(*number as f64),
        Value::Decimal(number) => Some(*number),
        _ => None,
    };
    let wanted = |field: &str, value: f64| {
        BTreeMap::from([(field.to_owned(), value.to_string()), (format!("{field}_beyond"), "true".to_owned())])
    };
    let (mut ends, mut derived_ends) = (0, 0);
    for table in tables() {
        for row in table.rows.iter().filter(|row| row.span.width() <= 13) {
            for version in Version::ALL.map(|version| table.version.unwrap_or(version)) {
                let mut past = 0;
                for code in 0..1_u64 << row.span.width() {
                    let meaning = (row.meaning)(code, version);
                    if !meaning.beyond {
                        continue;
                    }
                    past += 1;
                    assert!(row.capped, "{}: {} is not declared to have an end", table.title, row.key);
                    let end = number(&meaning.value).unwrap_or_else(|| panic!("{} {code}: no number", row.key));
                    let Some(field) = row.field else { continue };
                    ends += 1;
                    let pattern = table.encode(&Wanted { fields: &wanted(field, end), version }).expect("a code");
                    assert_eq!(table.code(row, pattern), code, "{}: {field} past {end}", table.title);
                }
                // One code, or one for each sign or side.
                assert_eq!((1..=2).contains(&past), row.capped, "{}: {} {version:?}: {past}", table.title, row.key);
            }
        }
        for derived in table.derived {
            let mut past = 0;
            let mut state = 0x9E37_79B9_7F4A_7C15_u64;
            for n in 0..30_000_u32 {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                let noise = u128::from(state) << 64 | u128::from(state.rotate_left(23) ^ u64::from(n));
                let pattern = table.template | noise >> (128 - table.bits) & !(31 << (table.bits - 5));
                for version in [Version::Zero, Version::Two] {
                    let Some(meaning) = (derived.read)(pattern, table.version.unwrap_or(version)) else { continue };
                    if !meaning.beyond {
                        continue;
                    }
                    past += 1;
                    assert!(derived.capped, "{}: {} is not declared to have an end", table.title, derived.field);
                    assert!(number(&meaning.value).is_some(), "{}: no number", derived.field);
                }
            }
            assert_eq!(past > 0, derived.capped, "{}: {}: {past}", table.title, derived.field);
            derived_ends += usize::from(derived.capped);
        }
    }
    assert!(ends >= 10 && derived_ends >= 10, "{ends} {derived_ends}");
}

/// The derived values of a velocity message come back as they are, whatever their codes.
#[test]
fn every_last_velocity_code_comes_back_from_its_meaning() {
    for (message, fields) in [
        ("ground", &["east_velocity_kt", "north_velocity_kt", "vertical_rate_fpm", "geometric_minus_pressure_ft"][..]),
        ("air", &["airspeed_kt", "vertical_rate_fpm", "geometric_minus_pressure_ft"]),
    ] {
        for subtype in if message == "ground" { [1, 2] } else { [3, 4] } {
            for minus in [0_u64, 1] {
                let signs = if message == "ground" { 1 << 42 | 1 << 31 } else { 0 } | 1 << 19 | 1 << 7;
                let ones = if message == "ground" { 1023 << 32 } else { 0 } | 1023 << 21 | 511 << 10 | 127;
                let bits = 19 << 51 | subtype << 48 | ones | (signs * minus);
                let table = Message::decode(bits).table();
                let read = table.fields(bits.into(), Version::Two);
                let mut wanted = BTreeMap::from([("subtype".to_owned(), subtype.to_string())]);
                for name in fields {
                    let (_, meaning) = read.iter().find(|(field, _)| field == name).expect("the field");
                    assert!(meaning.beyond, "{name}: {meaning:?}");
                    wanted.insert((*name).to_owned(), serde_json::Value::from(meaning.value).to_string());
                    wanted.insert(format!("{name}_beyond"), "true".to_owned());
                }
                let back = table.encode(&Wanted { fields: &wanted, version: Version::Two }).expect("a message");
                assert_eq!(back, u128::from(bits), "{wanted:?}");
            }
        }
    }
}

/// TIS-B coarse speed (from memory): no data, below 16 kt, then steps of 32 kt, open at the end.
#[test]
fn every_coarse_speed_and_five_bit_angle() {
    for code in 0..64_i32 {
        let speed = CoarseSpeed::from_bits(code as u64);
        let low = if code == 1 { 0 } else { 32 * (code - 2) + 16 };
        let wanted = if code == 0 { Value::Null } else { Value::Integer(low.into()) };
        assert_eq!(speed.meaning(Version::Two).value, wanted, "{code}");
        if code == 0 {
            assert_eq!(CoarseSpeed::from_meaning("null", Version::Two), Ok(speed));
            continue;
        }
        let high = if code == 63 { 9999 } else { 32 * (code - 1) + 16 };
        for knots in [f64::from(low), f64::from(high) - 0.001] {
            assert_eq!(CoarseSpeed::from_knots(knots), Ok(speed), "{knots}");
        }
    }
    for code in 0..32_u32 {
        let bits = 1_u64 << 36 | u64::from(code) << 31;
        let fields = TisBCoarsePosition::TABLE.fields(bits.into(), Version::Two);
        let (_, track) = fields.iter().find(|(name, _)| *name == "track_deg").expect("a track");
        assert_eq!(track.value, Value::Decimal(f64::from(code) * 11.25), "{code}");
    }
}

#[test]
fn every_register_number() {
    for number in 0..=255_u8 {
        let text = format!("{:X},{:X}", number / 16, number % 16);
        let register: RegisterNumber = text.parse().unwrap();
        assert_eq!(register, RegisterNumber::new(number));
        assert_eq!(register.to_string(), text);
        assert_eq!(text.to_lowercase().parse::<RegisterNumber>().unwrap(), register);
    }
    for wrong in ["", ",", "2", "20", "2,", ",0", "2,00", "G,0", "2.0", "+2,0", "2,+0"] {
        assert!(wrong.parse::<RegisterNumber>().is_err(), "{wrong:?}");
    }
}

// ---- plain numbers: own arithmetic

#[test]
fn every_plain_number_is_read_however_it_is_written() {
    let read = |text: &str| Number::<8>::from_meaning(text, Version::Two).ok().map(Number::bits);
    for number in 0..256_u64 {
        for text in [format!("{number}"), format!(" {number} "), format!("{number}.0"), format!("{number}e0")] {
            assert_eq!(read(&text), Some(number), "{text}");
        }
        assert_eq!(read(&format!("{number}.5")), None);
    }
    for text in ["256", "256.0", "-1", "-1.0", "-0.5", "1e3", "1e300", "", "x"] {
        assert_eq!(read(text), None, "{text}");
    }
    // More bits than a float keeps.
    let most = (1 << 56) - 1;
    assert_eq!(Number::<56>::from_meaning(&most.to_string(), Version::Two).ok().map(Number::bits), Some(most));
}
