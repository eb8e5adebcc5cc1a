//! What holds for every pattern and for every table, whatever the values are.
//!
//! Random patterns come twice: from proptest, which shrinks what fails, and from plain seeded loops that reach each
//! downlink format, type code, subtype, version and register on purpose.

use crate::long_run::cases;
use crate::random::Random;
use crc_any::CRCu32;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use squitterlab::capture::{Accounting, Line, Record, read_line, read_lines};
use squitterlab::code::table::{Row, Table, Wanted};
use squitterlab::code::{RegisterNumber, Value, Version, source_in_full};
use squitterlab::downlink::{
    AllCall, CommBAltitude, CommBIdentity, CommD, CoordinationReply, Decoded, ExtendedSquitter, ExtendedSquitterOther,
    FORMATS, LongAirAir, Military, PAYLOAD_OFFSET, Parity, ShortAirAir, SurveillanceAltitude, SurveillanceIdentity,
    UnassignedLong, UnassignedShort, WholePayload, encode_codes,
};
use squitterlab::frame::{Address, Frame, FrameError, Span, parity_of};
use squitterlab::message::ground_station::{self, ReservedControlField, TisBManagement};
use squitterlab::message::{
    AcasResolutionAdvisory, AirbornePosition, AirbornePositionRebroadcast, AirborneVelocityAir, AirborneVelocityGround,
    AircraftIdentification, AircraftStatus, Message, NoPosition, OperationalCoordination, OperationalStatusAirborne,
    OperationalStatusAirborneVersion1, OperationalStatusAirborneVersion3, OperationalStatusOther,
    OperationalStatusSurface, OperationalStatusSurfaceVersion1, OperationalStatusSurfaceVersion3,
    OperationalStatusVersion0, ReservedMessage, SurfacePosition, SurfaceSystemStatus, TargetState, TargetStateOther,
    TargetStateVersion1, Test, TestModeA, TisBAirbornePosition, TisBCoarsePosition, TisBSurfacePosition,
    TisBVelocityAir, TisBVelocityAirGeometric, TisBVelocityGround, TisBVelocityGroundGeometric, TrajectoryChangePoint,
};
use squitterlab::register::{
    self, AcasSoftware, AcasType, ActiveResolutionAdvisory, AirReferencedState, AircraftIdentificationRegister,
    AntennaPositions, CommonUsage, DataLinkCapability, HeadingAndSpeed, Installed1, Installed2, Installed3, Installed4,
    Installed5, MilitaryReplies, MilitarySquitters, NextWaypoint, NextWaypointInformation, NextWaypointPosition,
    PositionCoarse, PositionFine, RegistrationRegister, SpecificServices1, SpecificServices2, SpecificServices3,
    SquitterStatus, TrackAndTurn, TransponderSoftware, TransponderType, VerticalIntention, VhfChannels, WeatherHazard,
    WeatherRoutine,
};
use std::collections::{BTreeMap, BTreeSet};
use std::ops::ControlFlow;

/// Frames whose source is named, for tests that need an intact one (handbook, chapters 3, 5, 7, 11 to 13, 16; public
/// question 43844).
const PUBLISHED: [&str; 9] = [
    "8D4840D6202CC371C32CE0576098",
    "8D40621D58C382D690C8AC2863A7",
    "8D485020994409940838175B284F",
    "8DA05F219B06B6AF189400CBC33F",
    "A0001838CA380031440000F24177",
    "A0000638FA81C10000000081A92F",
    "2000171806A983",
    "2A00516D492B80",
    "5D406FDB0D62DD",
];

impl Random {
    fn pattern(&mut self) -> u128 {
        u128::from(self.next()) << 64 | u128::from(self.next())
    }

    fn frame(&mut self, length: u8) -> Frame {
        let spare = 128 - u32::from(length);
        Frame::from_pattern(self.pattern() >> spare, length)
    }
}

/// A frame with these bits put in, from the standards' first bit on.
fn with(frame: Frame, span: Span, value: u64) -> Frame {
    let place = frame.length() - span.last;
    Frame::from_pattern(frame.pattern() & !span.mask(frame.length()) | u128::from(value) << place, frame.length())
}

fn tables() -> Vec<&'static Table> {
    let registers = register::TABLES.iter().map(|(_, table)| *table);
    let messages = Message::TABLES
        .iter()
        .copied()
        .chain(ground_station::TABLES)
        .chain([CoordinationReply::TABLE, WholePayload::TABLE]);
    messages.chain(FORMATS).chain(registers).collect()
}

/// All that must hold for a frame, whatever its bits, in each version where its layout is another.
fn holds(frame: Frame, register: Option<RegisterNumber>) -> Result<(), TestCaseError> {
    let decoded = register.map_or_else(|| Decoded::new(frame), |number| Decoded::new(frame).with_register(number));
    holds_as_read(&decoded)?;
    for (version, table) in decoded.other_layouts() {
        let read = decoded.in_version(Some(version));
        prop_assert_eq!(read.payload().map(|payload| payload.table), Some(table), "{}", frame);
        holds_as_read(&read)?;
    }
    Ok(())
}

fn holds_as_read(decoded: &Decoded) -> Result<(), TestCaseError> {
    let frame = decoded.frame();
    let rows = decoded.rows();

    // The rows tile the frame, and each holds the bits that a bit view sees there; the parity stands as its overlay.
    let (mut next, mut again) = (1, 0_u128);
    for placed in &rows {
        prop_assert_eq!(placed.span.first, next, "{}: {}", frame, placed.row.key);
        next = placed.span.last + 1;
        let seen = seen(frame, placed.span);
        let code = if placed.row.key == "parity_overlay" { frame.parity() as u64 ^ placed.code } else { placed.code };
        prop_assert_eq!(code, seen, "{}: {}", frame, placed.row.key);
        again |= u128::from(code) << (frame.length() - placed.span.last);
        if let Some(span) = placed.message_span {
            prop_assert_eq!(span.shifted(PAYLOAD_OFFSET), placed.span);
        }
    }
    prop_assert_eq!((next, again), (frame.length() + 1, frame.pattern()), "{}", frame);

    // The codes alone, as JSON has them, give the frame again.
    let codes: serde_json::Map<_, _> = rows.iter().map(|placed| (placed.key.to_owned(), placed.code.into())).collect();
    let twice = rows.iter().enumerate().find(|(at, placed)| rows[..*at].iter().any(|other| other.key == placed.key));
    prop_assert!(twice.is_none(), "{frame}: the key {} is used twice", twice.map_or("", |(_, placed)| placed.key));
    let text = serde_json::to_string(&codes).unwrap();
    let codes = serde_json::from_str(&text).unwrap();
    prop_assert_eq!(encode_codes(&codes), Ok(frame), "{}", text);

    // Meanings are there in every version, with names of their own.
    for version in Version::ALL {
        let fields = decoded.fields(version);
        let names: BTreeSet<_> = fields.iter().map(|(name, _)| *name).collect();
        prop_assert_eq!(names.len(), fields.len(), "{}: a field is named twice: {:?}", frame, fields);
        for (name, meaning) in &fields {
            prop_assert!(!meaning.text.to_string().trim().is_empty(), "{frame}: {name} says nothing");
            if let Value::Decimal(number) = meaning.value {
                prop_assert!(number.is_finite(), "{frame}: {name}");
            }
        }
        for placed in &rows {
            // Following the arithmetic never fails either.
            let _ = (placed.row.steps)(placed.code, version);
        }
        for (_, derived, pattern, layout) in decoded.derived() {
            let _ = (derived.steps)(pattern, layout.unwrap_or(version));
        }
    }

    // Hexadecimal in any case.
    let text = frame.to_string();
    prop_assert_eq!(text.len(), usize::from(frame.length()) / 4);
    prop_assert_eq!(text.parse(), Ok(frame));
    prop_assert_eq!(text.to_lowercase().parse(), Ok(frame));
    let mixed: String =
        text.chars().enumerate().map(|(n, c)| if n % 2 == 0 { c.to_ascii_lowercase() } else { c }).collect();
    prop_assert_eq!(mixed.parse(), Ok(frame));
    prop_assert_eq!(&text, &text.to_uppercase());

    // What the last 24 bits say fits the format, and no address is proved but by intact parity.
    let addressed = matches!((frame.downlink_format(), frame.length()), (0 | 4 | 5, 56) | (16 | 20 | 21 | 24, 112));
    match decoded.parity() {
        Parity::Overlaid => {
            prop_assert!(addressed, "{frame}");
            prop_assert_eq!(decoded.address().map(Address::bits), Some(frame.overlay()), "{}", frame);
        }
        Parity::Valid => prop_assert!(!addressed && frame.overlay() == 0, "{frame}"),
        Parity::Interrogator(_) => {
            prop_assert!(frame.downlink_format() == 11 && (1..80).contains(&frame.overlay()), "{frame}");
        }
        Parity::Invalid => prop_assert!(!addressed && frame.overlay() != 0, "{frame}"),
    }
    prop_assert!(!decoded.proves_address() || frame.overlay() == 0, "{frame}");

    // Any overlay can be put on, and changes nothing before it.
    for overlay in [0, 1, 0x4840D6, 0xFF_FFFF] {
        let laid = frame.with_overlay(overlay);
        prop_assert_eq!(laid.overlay(), overlay);
        prop_assert_eq!(laid.parity(), frame.parity());
        prop_assert_eq!(laid.pattern() >> 24, frame.pattern() >> 24);
    }
    prop_assert_eq!(frame.with_overlay(frame.overlay()), frame);
    Ok(())
}

/// The same for a test that tries no simpler frame where it fails.
fn must_hold(frame: Frame, register: Option<RegisterNumber>) {
    holds(frame, register).unwrap_or_else(|error| panic!("{error}"));
}

/// The bits as a bit view sees them.
fn seen(frame: Frame, span: Span) -> u64 {
    use bitvec::{field::BitField, order::Msb0, vec::BitVec};
    let bits = BitVec::<u8, Msb0>::from_vec(frame.octets());
    let bits = &bits[usize::from(span.first) - 1..usize::from(span.last)];
    bits.load_be::<u64>()
}

proptest! {
    // The same patterns in every run: what fails once fails always, and what passes is no luck.
    #![proptest_config(ProptestConfig {
        cases: cases(2000),
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(0x5EED),
        ..ProptestConfig::default()
    })]

    #[test]
    fn every_long_pattern_holds(octets: [u8; 14], register: Option<u8>) {
        holds(Frame::long(octets), register.map(RegisterNumber::new))?;
    }

    #[test]
    fn every_short_pattern_holds(octets: [u8; 7]) {
        holds(Frame::short(octets), None)?;
    }

    #[test]
    fn text_that_is_no_frame_is_told_why(text in "\\PC{0,40}") {
        let digits = text.chars().all(|c| c.is_ascii_hexdigit());
        match Frame::from_hex(&text) {
            Ok(frame) => prop_assert!(digits && text.eq_ignore_ascii_case(&frame.to_string())),
            Err(FrameError::Length { digits: n }) => prop_assert!(digits && n == text.len() && n != 14 && n != 28),
            Err(FrameError::Digit { at, found }) => {
                prop_assert_eq!(text.chars().nth(at - 1), Some(found));
                prop_assert!(!found.is_ascii_hexdigit() && text.chars().take(at - 1).all(|c| c.is_ascii_hexdigit()));
            }
            Err(other) => prop_assert!(false, "{}", other),
        }
    }

    #[test]
    fn hexadecimal_of_any_case_is_the_same_frame(text in "([0-9a-fA-F]{14}){1,2}") {
        prop_assert_eq!(Frame::from_hex(&text).unwrap().to_string(), text.to_uppercase());
    }

    #[test]
    fn fields_of_a_frame_are_its_bits(octets: [u8; 14], first in 1_u8..=112, width in 1_u8..=64) {
        let frame = Frame::long(octets);
        let span = Span::new(first, first.saturating_add(width - 1).min(112));
        prop_assert_eq!(frame.field(span), seen(frame, span));
    }
}

/// Of a span wider than a number its last 64 bits.
#[test]
fn a_wide_span_gives_its_last_bits() {
    let octets = std::array::from_fn(|at| at as u8 * 17 + 3);
    let frame = Frame::long(octets);
    let last = u64::from_be_bytes(octets[6..].try_into().expect("eight"));
    for first in [1, 48, 49] {
        assert_eq!(frame.field(Span::new(first, 112)), last);
    }
}

/// Lines in one text are read as each of them alone, however they end.
#[test]
fn a_text_is_read_line_by_line() {
    let (long, short) = ("8D4840D6202CC371C32CE0576098", "5D4840D63CBEE5");
    let lines = [
        long.to_owned(),
        short.to_owned(),
        String::new(),
        format!("12.5 {long}"),
        format!("12.5,{short}"),
        format!("# {long}"),
        "13 characters".to_owned(),
        format!("{short}{short}"),
        format!("{short} {short}"),
        format!("{{\"frame\": \"{short}\", \"time\": 3}}"),
        long.replace('8', "x"),
        short[..13].to_owned(),
        long.to_lowercase(),
    ];
    for end in ["\n", "\r\n"] {
        for first in &lines {
            for second in &lines {
                for last in [end, ""] {
                    let text = format!("{first}{end}{second}{last}");
                    let mut found = Vec::new();
                    let account = read_lines(text.as_bytes(), 7, |record| {
                        found.push(record);
                        ControlFlow::Continue(())
                    });
                    let mut wanted = Vec::new();
                    let mut counted = Accounting::default();
                    // What stands behind the last end is a line only where there is something.
                    for (number, line) in (7..).zip(text.lines()) {
                        let line = read_line(line.as_bytes());
                        counted.count(&line);
                        if let Line::Frame { frame, time, .. } = line {
                            wanted.push(Record { line: number, time, frame });
                        }
                    }
                    let plain = |records: &[Record]| {
                        records.iter().map(|record| (record.line, record.time, record.frame)).collect::<Vec<_>>()
                    };
                    assert_eq!((plain(&found), account), (plain(&wanted), counted), "{text:?}");
                }
            }
        }
    }
}

#[test]
fn every_downlink_format_holds_at_both_lengths() {
    let mut random = Random(0x0DF0);
    for format in 0..32 {
        for length in [56, 112] {
            for _ in 0..cases(100) {
                let frame = with(random.frame(length), Span::new(1, 5), format);
                assert_eq!(frame.downlink_format(), format.min(24) as u8);
                must_hold(frame, None);
            }
        }
    }
}

#[test]
fn every_type_code_subtype_and_version_holds() {
    let mut random = Random(0x7C19);
    for format in (0..cases(1)).flat_map(|_| [17, 18]) {
        for kind in 0..8 {
            for type_code in 0..32 {
                for subtype in 0..8 {
                    let frame = with(random.frame(112), Span::new(1, 5), format);
                    let frame = with(frame, Span::new(6, 8), kind);
                    let frame = with(frame, Span::new(33, 37), type_code);
                    let frame = with(frame, Span::new(38, 40), subtype);
                    // The version's place, which only operational status has.
                    for version in 0..if type_code == 31 { 8 } else { 1 } {
                        must_hold(with(frame, Span::new(73, 75), version), None);
                    }
                }
            }
        }
    }
}

#[test]
fn every_register_holds() {
    let mut random = Random(0xB0D5);
    for format in (0..cases(1)).flat_map(|_| [20, 21, 16, 17, 24]) {
        for number in 0..=255 {
            let frame = with(random.frame(112), Span::new(1, 5), format);
            must_hold(frame, Some(RegisterNumber::new(number)));
            // The register's own number in front, as 1,0 and 2,0 carry it.
            must_hold(with(frame, Span::new(33, 40), number.into()), Some(RegisterNumber::new(number)));
        }
    }
}

#[test]
fn extreme_patterns_hold() {
    for length in [56, 112] {
        for bit in 0..=length {
            // None, all, one, all but one, and all up to one.
            let all = u128::MAX >> (128 - u32::from(length));
            let one = if bit == 0 { 0 } else { 1 << (length - bit) };
            for pattern in [one, all ^ one, all >> bit.min(length - 1), all ^ (all >> bit.min(length - 1))] {
                must_hold(Frame::from_pattern(pattern, length), None);
            }
        }
    }
}

// ---- parity, against a general-purpose library and a division by hand

/// The remainder of the data followed by 24 zeros, divided bit by bit by the generator (handbook, chapter 10).
fn divided(data: &[u8]) -> u32 {
    let mut bits: Vec<u8> = data.iter().flat_map(|octet| (0..8).rev().map(move |at| octet >> at & 1)).collect();
    let length = bits.len();
    bits.extend([0; 24]);
    let generator = format!("{:b}", 0x1FF_F409).into_bytes();
    for start in 0..length {
        if bits[start] == 1 {
            for (at, digit) in generator.iter().enumerate() {
                bits[start + at] ^= digit - b'0';
            }
        }
    }
    bits[length..].iter().fold(0, |sum, bit| sum << 1 | u32::from(*bit))
}

fn independent(data: &[u8]) -> u32 {
    let mut crc = CRCu32::create_crc(0xFF_F409, 24, 0, 0, false);
    crc.digest(data);
    crc.get_crc()
}

#[test]
fn parity_is_that_of_two_other_implementations() {
    let mut random = Random(0xC4C);
    for length in 0..=40 {
        for _ in 0..50 {
            let data: Vec<u8> = (0..length).map(|_| random.next() as u8).collect();
            let parity = parity_of(&data);
            assert_eq!(parity, divided(&data), "{data:02X?}");
            assert_eq!(parity, independent(&data), "{data:02X?}");
        }
    }
    for text in PUBLISHED {
        let frame: Frame = text.parse().unwrap();
        let octets = frame.octets();
        let (data, last) = octets.split_at(octets.len() - 3);
        assert_eq!(frame.parity(), divided(data), "{text}");
        let received = last.iter().fold(0, |sum, octet| sum << 8 | u32::from(*octet));
        assert_eq!(frame.overlay(), divided(data) ^ received, "{text}");
    }
}

#[test]
fn parity_is_linear() {
    let mut random = Random(0x11EA);
    for _ in 0..2000 {
        let (one, other) = (random.frame(112), random.frame(112));
        let both = Frame::from_pattern(one.pattern() ^ other.pattern(), 112);
        assert_eq!(both.overlay(), one.overlay() ^ other.overlay());
    }
}

/// The overlay of each frame with one bit set: by linearity, flipping a bit changes the overlay by exactly this.
fn changes(length: u8) -> Vec<u32> {
    (1..=length).map(|bit| Frame::from_pattern(0, length).flipped(bit).overlay()).collect()
}

#[test]
fn up_to_five_flipped_bits_never_pass_as_intact() {
    let changes = changes(112);
    let all: Vec<_> = (0..changes.len()).collect();
    assert!(changes.iter().all(|change| *change != 0));
    // Two pairs that cancel would be three or four flipped bits (or a pair alone) that go unseen.
    let mut pairs = BTreeMap::new();
    for &a in &all {
        for &b in &all[a + 1..] {
            let change = changes[a] ^ changes[b];
            assert!(change != 0 && pairs.insert(change, (a, b)).is_none(), "bits {} and {}", a + 1, b + 1);
            assert!(!changes.contains(&change), "bits {} and {} look like one", a + 1, b + 1);
        }
    }
    let pairs: std::collections::HashSet<_> = pairs.into_keys().collect();
    for &a in &all {
        for &b in &all[a + 1..] {
            for &c in &all[b + 1..] {
                let change = changes[a] ^ changes[b] ^ changes[c];
                assert!(!pairs.contains(&change), "bits {}, {}, {} and two more", a + 1, b + 1, c + 1);
            }
        }
    }
}

#[test]
fn one_or_two_flipped_bits_of_published_squitters_are_seen() {
    for text in PUBLISHED.iter().filter(|text| text.starts_with("8D")) {
        let frame: Frame = text.parse().unwrap();
        assert_eq!(frame.overlay(), 0, "{text}");
        for one in 1..=112 {
            let damaged = frame.flipped(one);
            assert_ne!(damaged.overlay(), 0, "{text}, bit {one}");
            assert_ne!(damaged.bit(one), frame.bit(one));
            assert_eq!(damaged.flipped(one), frame);
            for other in one + 1..=112 {
                assert_ne!(damaged.flipped(other).overlay(), 0, "{text}, bits {one} and {other}");
            }
        }
        // There is no bit 0 and no bit 113.
        assert_eq!((frame.flipped(0), frame.flipped(113), frame.flipped(255)), (frame, frame, frame));
    }
}

// ---- the structs that each message has

macro_rules! keeps_its_bits {
    ($( $name:ident : $store:ty ),+ $(,)?) => {
        #[test]
        fn every_struct_keeps_its_bits() {
            let mut random = Random(0x57C7);
            $( {
                let table = $name::TABLE;
                let width = u32::from(table.bits);
                for round in 0..300_u32 {
                    let pattern = match round {
                        0 => 0,
                        1 => u128::MAX >> (128 - width),
                        n if n - 2 < width => 1 << (n - 2),
                        _ => random.pattern() >> (128 - width),
                    };
                    let taken = $name::from_bits(pattern as $store);
                    assert_eq!(u128::from(taken.bits()), pattern, "{}", table.title);
                    for row in table.rows {
                        let code = table.code(row, pattern);
                        // Putting a code back where it came from changes nothing; another one changes only there.
                        assert_eq!(table.with_code(row, pattern, code), pattern, "{}", row.key);
                        let other = table.with_code(row, pattern, !code);
                        assert_eq!(other ^ pattern, row.span.mask(table.bits), "{}", row.key);
                    }
                }
            } )+
            let told = [$( $name::TABLE.title ),+];
            let all: BTreeSet<_> = tables().iter().map(|table| table.title).filter(|title| !told.contains(title)).collect();
            // A repeated message has no struct of its own: it is the original with one bit renamed.
            assert!(all.iter().all(|title| title.ends_with("rebroadcast (ADS-R)")), "missing from this list: {all:?}");
        }
    };
}

keeps_its_bits! {
    NoPosition: u64, AircraftIdentification: u64, SurfacePosition: u64, AirbornePosition: u64,
    AirborneVelocityGround: u64, AirborneVelocityAir: u64, Test: u64, SurfaceSystemStatus: u64, AircraftStatus: u64,
    AcasResolutionAdvisory: u64, TargetState: u64, TargetStateVersion1: u64, TargetStateOther: u64,
    TrajectoryChangePoint: u64, OperationalCoordination: u64, TestModeA: u64, OperationalStatusAirborne: u64,
    OperationalStatusSurface: u64, OperationalStatusAirborneVersion1: u64, OperationalStatusSurfaceVersion1: u64,
    OperationalStatusVersion0: u64, OperationalStatusAirborneVersion3: u64, OperationalStatusSurfaceVersion3: u64, TisBAirbornePosition: u64, TisBSurfacePosition: u64, TisBVelocityGround: u64,
    TisBVelocityGroundGeometric: u64, TisBVelocityAir: u64, TisBVelocityAirGeometric: u64, TisBCoarsePosition: u64,
    TisBManagement: u64, ReservedControlField: u64, AirbornePositionRebroadcast: u64,
    OperationalStatusOther: u64, ReservedMessage: u64, DataLinkCapability: u64, CommonUsage: u64,
    AircraftIdentificationRegister: u64, AcasSoftware: u64, AcasType: u64, ActiveResolutionAdvisory: u64, AirReferencedState: u64, AntennaPositions: u64, HeadingAndSpeed: u64, Installed1: u64, Installed2: u64, Installed3: u64, Installed4: u64, Installed5: u64, MilitaryReplies: u64, MilitarySquitters: u64, NextWaypoint: u64, NextWaypointInformation: u64, NextWaypointPosition: u64, PositionCoarse: u64, PositionFine: u64, RegistrationRegister: u64, SpecificServices1: u64, SpecificServices2: u64, SpecificServices3: u64, SquitterStatus: u64, TrackAndTurn: u64, TransponderSoftware: u64, TransponderType: u64, VerticalIntention: u64, VhfChannels: u64, WeatherHazard: u64, WeatherRoutine: u64, WholePayload: u64, CoordinationReply: u64, ShortAirAir: u64, SurveillanceAltitude: u64,
    SurveillanceIdentity: u64, AllCall: u64, LongAirAir: u128, ExtendedSquitter: u128, ExtendedSquitterOther: u128,
    Military: u128, CommBAltitude: u128, CommBIdentity: u128, CommD: u128, UnassignedShort: u64, UnassignedLong: u128,
}

#[test]
fn every_message_keeps_its_bits() {
    let mut random = Random(0x3E55);
    for head in 0..256_u64 {
        for _ in 0..cases(50) {
            let bits = head << 48 | random.next() >> 16;
            for version in [None, Some(Version::Zero), Some(Version::One), Some(Version::Two)] {
                let message = Message::decode_in(bits, version);
                assert_eq!(message.bits(), bits, "{bits:014X} {version:?}");
                // A layout of one version only is never read in another that is in force, but for the two messages
                // that say themselves whose layout they have.
                let own = message.table().version;
                let says_itself = matches!(bits >> 51, 29 | 31) && own != Some(Version::Zero) || bits >> 51 == 31;
                assert!(own.is_none() || own == version || says_itself, "{bits:014X} {version:?}");
            }
        }
    }
}

// ---- the tables themselves

#[test]
fn every_template_is_its_own_message() {
    for table in Message::TABLES {
        assert_eq!(Message::decode_in(table.template as u64, table.version).table(), *table, "{}", table.title);
    }
    for table in FORMATS {
        let frame = Frame::from_pattern(table.template, table.bits);
        assert_eq!(Decoded::new(frame).envelope(), table, "{}", table.title);
    }
    for (number, table) in register::TABLES {
        assert_eq!(register::table(*number, 0), Some(*table), "{}", table.title);
        assert!(table.title.contains(&number.to_string()), "{}", table.title);
    }
}

#[test]
fn titles_are_unique() {
    let mut titles = BTreeSet::new();
    for table in tables() {
        assert!(titles.insert(table.title), "{:?} is the title of two tables", table.title);
        for text in [table.title, table.message, table.applies] {
            assert!(!text.trim().is_empty() && text.trim() == text, "{:?}", table.title);
        }
        assert!(snake_case(table.message), "{:?}", table.message);
    }
}

fn snake_case(name: &str) -> bool {
    let parts_hold = name.split('_').all(|part| !part.is_empty());
    name.starts_with(|c: char| c.is_ascii_lowercase())
        && parts_hold
        && name.bytes().all(|b| matches!(b, b'a'..=b'z' | b'0'..=b'9' | b'_'))
}

#[test]
fn every_row_has_a_key_words_a_rule_and_a_source() {
    for table in tables() {
        let mut next = 1;
        for row in table.rows {
            let what = format!("{}: {}", table.title, row.key);
            assert!(row.span.first == next && row.span.last >= next, "{what}: gap or overlap");
            next = row.span.last + 1;
            assert!(snake_case(row.key), "{what}");
            assert!(!row.about.trim().is_empty() && !row.about.ends_with('.'), "{what}: {:?}", row.about);
            assert!(!row.rule.trim().is_empty(), "{what}: no rule");
            assert!(!row.source.trim().is_empty(), "{what}: no source");
            for mark in row.source.split(' ') {
                assert!(source_in_full(mark).is_some(), "{what}: source {mark:?} is not known");
            }
            let name = format!("reserved_{}_{}", row.span.first, row.span.last);
            if row.key.starts_with("reserved") {
                assert_eq!(row.key, name, "{what}");
                assert!(row.is_reserved() && row.field.is_none(), "{what}");
            } else {
                assert!(!row.is_reserved(), "{what}");
            }
            if let Some(span) = row.key.strip_prefix("data_") {
                assert_eq!(span, format!("{}_{}", row.span.first, row.span.last), "{what}");
            }
        }
        assert_eq!(next, table.bits + 1, "{}", table.title);
    }
}

#[test]
fn keys_and_fields_are_unique_within_a_table() {
    for table in tables() {
        let mut keys = BTreeSet::new();
        let mut fields = BTreeSet::new();
        for row in table.rows {
            assert!(keys.insert(row.key), "{}: key {} twice", table.title, row.key);
            if let Some(field) = row.field {
                assert!(snake_case(field), "{}: {field}", table.title);
                assert!(fields.insert(field), "{}: field {field} twice", table.title);
            }
        }
        for derived in table.derived {
            assert!(snake_case(derived.field), "{}: {}", table.title, derived.field);
            assert!(fields.insert(derived.field), "{}: field {} twice", table.title, derived.field);
            assert!(!derived.about.trim().is_empty(), "{}: {}", table.title, derived.field);
        }
        // A field may share its name only with its own row's key: else setting it would set another row.
        for row in table.rows {
            let other = table.rows.iter().find(|other| other.field == Some(row.key) && other.key != row.key);
            assert!(other.is_none(), "{}: key {} is the field of another row", table.title, row.key);
        }
        let settable = table.settable();
        assert_eq!(settable.iter().collect::<BTreeSet<_>>().len(), settable.len(), "{}: {settable:?}", table.title);
    }
}

// ---- meanings that can be set

fn wanted(value: &Value) -> String {
    value.to_string()
}

/// Codes of a row to try: all of them where there are few.
fn codes(row: &Row, random: &mut Random) -> Vec<u64> {
    let width = row.span.width();
    if width <= 13 {
        return (0..1 << width).collect();
    }
    let mut codes: Vec<u64> = (0..2000).map(|_| random.next() >> (64 - width)).collect();
    if row.key == "characters" {
        // Random bits hardly ever spell eight assigned characters.
        let assigned: Vec<u64> = (1..=26).chain([32, 32, 32]).chain(48..=57).collect();
        let mut text = || (0..8).fold(0, |bits, _| bits << 6 | assigned[random.next() as usize % assigned.len()]);
        codes.extend((0..2000).map(|_| text()));
    }
    codes
}

/// A row that has a field takes what it says: the code that comes back means the same.
#[test]
fn what_a_row_says_can_be_said_again() {
    let mut random = Random(0x5E7);
    let (mut said, mut refused, mut wrong) = (0_u64, BTreeSet::new(), BTreeMap::new());
    for table in tables() {
        for row in table.rows.iter().filter(|row| row.field.is_some()) {
            for version in Version::ALL {
                for code in codes(row, &mut random) {
                    let meaning = (row.meaning)(code, version);
                    let again = (row.from_meaning)(&wanted(&meaning.value), version);
                    let what = format!("{}, {}, version {}", table.title, row.key, version.number());
                    match again.map(|again| (again, (row.meaning)(again, version))) {
                        Ok((_, same)) if same.value == meaning.value && same.name == meaning.name => said += 1,
                        // Version 2 closes the ranges of movement on the right; the lower edge is reported all the same, so
                        // that the versions agree wherever their ranges do, and belongs to the code before.
                        Ok((again, _)) if row.key == "movement" && version >= Version::Two && again <= code => {
                            said += 1;
                        }
                        Ok((again, same)) => {
                            let line = format!(
                                "code {code} says {:?}, which is sent as code {again}, {:?}",
                                meaning.value, same.value
                            );
                            wrong.entry(what).or_insert(line);
                        }
                        Err(_) if may_be_refused(row.key, &meaning.value) => {
                            refused.insert((row.key, wanted(&meaning.value)));
                        }
                        Err(error) => {
                            wrong
                                .entry(what)
                                .or_insert(format!("code {code} says {:?}, refused: {error}", meaning.value));
                        }
                    }
                }
            }
        }
    }
    assert!(said > 100_000, "{said}");
    // What may be refused was met, so each exception is a real one.
    assert!(refused.contains(&("altitude", "-1200".to_owned())), "{refused:?}");
    assert!(refused.iter().any(|(key, _)| *key == "characters"), "{refused:?}");
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// What a frame can say and nobody may send: grey codes below -1000 ft, characters without a letter.
fn may_be_refused(key: &str, value: &Value) -> bool {
    match (key, value) {
        ("altitude", Value::Integer(feet)) => *feet < -1000,
        // Several codes are reserved, so the word names none of them.
        ("source", Value::Word(word)) => *word == "reserved",
        ("characters", Value::Text(text)) => text.to_string().contains('?'),
        // Version 0 knows no name for these.
        ("emergency_state", Value::Integer(state)) => *state > 5,
        // Version 3 sends 0: a flag that is set says nothing.
        ("intent_change", Value::Null) => true,
        _ => false,
    }
}

/// The same for meanings that rows carry together, set in the message that said them.
#[test]
fn what_a_message_says_can_be_said_again() {
    let mut random = Random(0xDE41);
    let mut said: BTreeMap<&str, u64> = BTreeMap::new();
    for table in tables() {
        let codes_of_kind: Vec<_> =
            table.rows.iter().filter(|row| matches!(row.key, "type_code" | "subtype" | "version_number")).collect();
        for derived in table.derived {
            let Some(write) = derived.write else { continue };
            for _ in 0..3000 {
                let mut pattern = random.pattern() >> (128 - u32::from(table.bits));
                for row in &codes_of_kind {
                    let subtype_beside = row.key == "subtype" && random.next() & 1 == 0;
                    let code = table.code(row, table.template) + u64::from(subtype_beside);
                    pattern = table.with_code(row, pattern, code);
                }
                let version = Version::ALL[(random.next() % Version::ALL.len() as u64) as usize];
                let version = table.version.unwrap_or(version);
                // Speed and track are only taken together, so everything that is said goes in.
                let fields = table.fields(pattern, version);
                let all: BTreeMap<String, String> =
                    fields.iter().map(|(name, meaning)| ((*name).to_owned(), wanted(&meaning.value))).collect();
                let Some((_, meaning)) = fields.iter().find(|(name, _)| *name == derived.field) else { continue };
                let refused =
                    may_be_refused("altitude", &meaning.value) || may_be_refused("characters", &meaning.value);
                // What is past the end of a scale is sent with its end: tests/exhaustive.rs has it.
                if meaning.value == Value::Null || meaning.past || refused {
                    continue;
                }
                let again = write(&Wanted { fields: &all, version }, pattern)
                    .unwrap_or_else(|error| panic!("{}: {} {:?}: {error}", table.title, derived.field, meaning.value));
                let (_, found) =
                    table.fields(again, version).into_iter().find(|(name, _)| *name == derived.field).unwrap();
                assert_eq!(found.value, meaning.value, "{}: {}", table.title, derived.field);
                *said.entry(derived.field).or_default() += 1;
            }
        }
    }
    let met: Vec<_> = said.keys().copied().collect();
    let known = [
        "airspeed_kt",
        "east_velocity_kt",
        "emitter_category",
        "geometric_minus_pressure_ft",
        "ground_speed_kt",
        "heading_deg",
        "mode_a_code",
        "nic_supplement_b",
        "north_velocity_kt",
        "pressure_altitude_ft",
        "track_deg",
        "vertical_rate_fpm",
    ];
    for name in known {
        assert!(met.contains(&name), "{name} was never said: {said:?}");
    }
}
