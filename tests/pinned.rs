//! What `decode` and `explain` print of random frames of every kind, held fast by a hash: the inside may change, what people
//! and scripts read may not change with it. When an output is to change, `PINNED_OUTPUTS=DIR` writes all of it into files, before and
//! after, to look at the difference; then the new hash goes here.

use crate::random::Random;
use squitterlab::capture::sha256;
use squitterlab::code::RegisterNumber;
use squitterlab::downlink::Decoded;
use squitterlab::frame::{Frame, Span};
use squitterlab::present::json::{self, Place};
use squitterlab::present::table::{Columns, Tabulator, csv};
use squitterlab::present::{ruler, text};
use squitterlab::track::{Observation, Tracker};

const SEED: u64 = 20_261_127;

/// The registers that a reply may be read as; what is added to the program does not change which frames are tried.
const REGISTERS: [u8; 38] = [
    0x07, 0x10, 0x17, 0x18, 0x19, 0x1A, 0x1B, 0x1C, 0x20, 0x21, 0x22, 0x30, 0x40, 0x41, 0x42, 0x43, 0x44, 0x45, 0x48,
    0x50, 0x51, 0x52, 0x53, 0x60, 0xE3, 0xE4, 0xE5, 0xE6, 0xF1, 0xF2, 0x05, 0x06, 0x08, 0x09, 0x0A, 0x61, 0x62, 0x65,
];

/// A frame with the register that it is read as, and the version in force; bits are dense or sparse, so that every code of
/// every field comes up, "no data" among them.
struct Frames {
    random: Random,
    trackers: Vec<(Option<u8>, Tracker)>,
    line: u64,
}

impl Frames {
    fn new() -> Self {
        let versions = [None, Some(0), Some(1), Some(2), Some(3), Some(5)];
        let trackers = versions.map(|version| (version, Tracker::new(None, version))).into();
        Self { random: Random(SEED), trackers, line: 0 }
    }

    fn frame(&mut self) -> Frame {
        let random = &mut self.random;
        let format = match random.next() % 20 {
            0..=7 => 17,
            8..=10 => 18,
            11 | 12 => 20,
            13 | 14 => 21,
            15 => 19,
            _ => random.next() % 32,
        };
        let length = match format {
            17..=21 => 112,
            _ if random.next().is_multiple_of(8) => 56 + 56 * (random.next() % 2) as u8,
            0..=15 => 56,
            _ => 112,
        };
        let mut pattern = u128::from(random.next()) << 64 | u128::from(random.next());
        match random.next() % 4 {
            0 => pattern &= u128::from(random.next()) << 64 | u128::from(random.next()),
            1 => pattern |= u128::from(random.next()) << 64 | u128::from(random.next()),
            _ => {}
        }
        pattern >>= 128 - length;
        let put = |pattern: &mut u128, span: Span, code: u64| {
            *pattern = *pattern & !span.mask(length) | u128::from(code) << (length - span.last);
        };
        put(&mut pattern, Span::new(1, 5), format);
        if length == 112 {
            put(&mut pattern, Span::new(33, 37), random.next() % 32);
            if random.next().is_multiple_of(2) {
                put(&mut pattern, Span::new(38, 40), random.next() % 3);
            }
        }
        let frame = Frame::from_pattern(pattern, length);
        if random.next().is_multiple_of(2) { frame.with_overlay(0) } else { frame }
    }

    fn next(&mut self) -> (Place<'static>, Decoded, Observation) {
        let mut decoded = Decoded::new(self.frame());
        let choice = self.random.next() as usize;
        if let Some(number) = REGISTERS.get(choice % (REGISTERS.len() + 8)) {
            decoded = decoded.with_register(RegisterNumber::new(*number));
        }
        let at = self.random.next() as usize % self.trackers.len();
        self.line += 1;
        let time = (!self.line.is_multiple_of(3)).then_some(self.line as f64 / 64.0);
        let observation = self.trackers[at].1.observe(&decoded, time);
        let file = (!self.line.is_multiple_of(5)).then_some("a \"night\".txt");
        (Place { file, line: self.line, time }, observation.version.read(decoded), observation)
    }
}

fn assert_pinned(what: &str, output: impl AsRef<[u8]>, expected: &str) {
    write(what, &output);
    assert_eq!(&sha256(output.as_ref())[..32], expected, "{what}");
}

fn write(what: &str, output: &impl AsRef<[u8]>) {
    if let Ok(folder) = std::env::var("PINNED_OUTPUTS") {
        std::fs::write(std::path::Path::new(&folder).join(what), output.as_ref()).expect("a folder");
    }
}

#[test]
fn json_is_what_it_was() {
    let (mut frames, mut out) = (Frames::new(), Vec::new());
    for _ in 0..200_000 {
        let (place, decoded, observation) = frames.next();
        json::write_frame(&place, &decoded, &observation, &mut out);
        out.push(b'\n');
    }
    assert_pinned("json", out, "f72871cc1092b71f3868c2a26c6e9391");
}

#[test]
fn tables_are_what_they_were() {
    let mut all = Vec::new();
    for (name, register, expected) in [
        ("csv", None, "7befca7d0b84494e52b48bed010831b1"),
        ("csv_4_4", Some("4,4"), "18511d07c16dae0d815278cbc59d734b"),
        ("csv_6_5", Some("6,5"), "9d617493f58c9b252bb1ed416cc115ab"),
    ] {
        let register = register.map(|register: &str| register.parse().expect("a register"));
        let columns = Columns::new(register);
        let (mut frames, mut out) = (Frames::new(), csv::names(&columns).into_bytes());
        let mut tabulator = Tabulator::new(columns);
        for _ in 0..50 {
            for _ in 0..1_000 {
                let (place, mut decoded, observation) = frames.next();
                if let Some(register) = register {
                    decoded = decoded.with_register(register);
                }
                tabulator.push(&place, &decoded, &observation);
            }
            csv::rows(&tabulator.take(), &mut out);
        }
        write(name, &out);
        all.push((name, out, expected));
    }
    for (name, out, expected) in all {
        assert_pinned(name, out, expected);
    }
}

#[test]
fn text_is_what_it_was() {
    let (mut frames, mut out) = (Frames::new(), String::new());
    for _ in 0..40_000 {
        let (place, decoded, observation) = frames.next();
        out += &text::frame(&place, &decoded, &observation);
    }
    assert_pinned("text", out, "b65bbd0b72633b1ea932b51ae2d33e9c");
}

#[test]
fn explanations_are_what_they_were() {
    let (mut frames, mut out) = (Frames::new(), String::new());
    for _ in 0..8_000 {
        let (_, decoded, observation) = frames.next();
        out += &ruler::explanation(&decoded, &observation, true);
    }
    out += &squitterlab::present::reference::text();
    out += &squitterlab::present::reference::json().to_string();
    assert_pinned("explanations", out, "15eb75898971aa3012600623e9f3b733");
}
