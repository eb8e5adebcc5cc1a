//! Exercises of seven levels, drawn from a seed: the same seed gives the same exercise again. All aircraft are invented.

// Kinds share one signature, and some always make an exercise.
#![allow(clippy::unnecessary_wraps)]

use super::answer::{Answer, Judged};
use super::capture::{find_mistake_in_capture, letter};
use super::lesson::{TOLD_APART, told_apart, wrong_bit};
use crate::code::compact_position::{Grid, Position, Word, global};
use crate::code::{Altitude12, Bits, Code, Identification, ModeA, Step, Version, VerticalRate, Wire, Wires, Worked};
use crate::code::{bits_step, position_steps, spaced};
use crate::compare::{ExpectedFrames, Install};
use crate::downlink::{Decoded, encode_meanings};
use crate::frame::{Frame, Span};
use crate::onair::{Flight, Random, emissions};
use crate::present::text::{folded, line, row, width};
use crate::present::worked;
use crate::profile::Profile;
use crate::profile::mistake::{MISTAKES, Mistake};
use crate::track::Tracker;
use std::fmt::Write;

pub(super) const DEMO: &str = include_str!("../../vectors/demo/profile.json");

/// The stream of random numbers that exercises are drawn from.
const EXERCISES: u128 = (1 << 64) - 4;

/// What a right answer is worth; each hint takes one off, and a second try another.
pub const WORTH: u32 = 4;

/// What a right answer is worth after this many hints and wrong tries; never nothing.
pub fn points(hints: u32, tries: u32) -> u32 {
    WORTH.saturating_sub(hints.saturating_add(tries)).max(1)
}

/// What an exercise has to say of its aircraft.
pub const INVENTED: &str = "All aircraft in these exercises are invented.";

/// An exercise with all that belongs to it.
#[derive(Clone, Debug)]
pub struct Exercise {
    /// 1 to 7, as the lessons.
    pub level: u8,
    /// Its kind.
    pub kind: &'static str,
    /// The question.
    pub task: String,
    /// What is given, a line each: frames, tables.
    pub given: Vec<String>,
    /// From mild to plain.
    pub hints: Vec<String>,
    /// What is right.
    pub answer: Answer,
    /// Wrong answers that people come to, and where they went wrong.
    pub slips: Vec<(Answer, String)>,
    /// The way to the answer.
    pub solution: Vec<Worked>,
}

impl Exercise {
    /// Judges what was written.
    pub fn judge(&self, text: &str) -> Judged {
        if self.answer.is_said_by(text) {
            return Judged::Right;
        }
        let slip = self.slips.iter().find(|(slip, _)| slip.is_said_by(text));
        Judged::Wrong(slip.map_or_else(|| self.answer.why_not(text), |(_, why)| why.clone()))
    }

    /// The task as text.
    pub fn text(&self) -> String {
        self.text_after("")
    }

    fn text_after(&self, lead: &str) -> String {
        let mut out = folded(lead, 0, &self.task);
        out.extend(self.given.iter().map(|given| row(6, &format!("    {given}"))));
        out
    }

    /// The solution as text.
    pub fn solved(&self) -> String {
        self.solved_after("")
    }

    fn solved_after(&self, lead: &str) -> String {
        let mut out = line(4, &format!("{lead}answer: {}", self.answer.shown()));
        for worked in &self.solution {
            if self.solution.len() > 1 {
                out += &line(4, &format!("  {}", worked.title));
            }
            out += &worked::lines(4, &worked.steps);
        }
        out
    }
}

type Make = fn(&mut Random) -> Option<Exercise>;

/// A kind of exercise.
#[derive(Clone, Copy, Debug)]
pub struct ExerciseKind {
    /// Its name.
    pub name: &'static str,
    /// 1 to 7.
    pub level: u8,
    make: Make,
}

const fn kind(level: u8, name: &'static str, make: Make) -> ExerciseKind {
    ExerciseKind { name, level, make }
}

/// Every kind, by level.
pub const KINDS: &[ExerciseKind] = &[
    kind(1, "hexadecimal_to_bits", hexadecimal_to_bits),
    kind(1, "bits_to_hexadecimal", bits_to_hexadecimal),
    kind(2, "read_format", read_format),
    kind(2, "read_address", read_address),
    kind(3, "read_identification", read_identification),
    kind(3, "write_identification", write_identification),
    kind(3, "read_code", read_code),
    kind(3, "write_code", write_code),
    kind(4, "read_altitude", read_altitude),
    kind(4, "write_altitude", write_altitude),
    kind(4, "find_wire", find_wire),
    kind(5, "read_velocity", read_velocity),
    kind(5, "read_vertical_rate", read_vertical_rate),
    kind(5, "write_vertical_rate", write_vertical_rate),
    kind(6, "read_position", read_position),
    kind(6, "write_latitude", write_latitude),
    kind(7, "set_parity", set_parity),
    kind(7, "find_flipped_bit", find_flipped_bit),
    kind(7, "read_overlaid_address", read_overlaid_address),
    kind(7, "find_register", find_register),
    kind(7, "find_mistake", find_mistake),
    kind(7, "find_mistake_in_capture", find_mistake_in_capture),
    kind(7, "build_frame", build_frame),
];

/// The exercise of a seed: of a level, of a kind, or of any.
///
/// ```
/// use squitterlab::learn::{Judged, exercise};
/// let one = exercise(7, Some(4), Some("read_altitude")).unwrap();
/// assert_eq!(one.judge(&one.answer.shown()), Judged::Right);
/// assert_eq!(one.task, exercise(7, Some(4), Some("read_altitude")).unwrap().task);
/// ```
pub fn exercise(seed: u64, level: Option<u8>, kind: Option<&str>) -> Option<Exercise> {
    let mut random = Random::new(seed, EXERCISES);
    let kind = *one(&mut random, &kinds(level, kind))?;
    drawn(&mut random, kind)
}

/// This many exercises of a seed, no two alike: every kind as often as the others, as far as the number goes, and in the
/// order of the ladder.
pub fn sheet(seed: u64, level: Option<u8>, kind: Option<&str>, count: usize) -> Vec<Exercise> {
    let mut random = Random::new(seed, EXERCISES);
    let kinds = kinds(level, kind);
    let mut all: Vec<(usize, Exercise)> = Vec::new();
    let mut left: Vec<&ExerciseKind> = Vec::new();
    // A kind may have fewer different exercises than are wanted of it.
    for _ in 0..count * 20 {
        if all.len() == count || kinds.is_empty() {
            break;
        }
        if left.is_empty() {
            left.clone_from(&kinds);
        }
        let kind = left.swap_remove(random.between(0, left.len() as u64 - 1) as usize);
        let place = KINDS.iter().position(|known| known.name == kind.name).unwrap_or_default();
        let new = drawn(&mut random, kind);
        let is_new = |new: &Exercise| !all.iter().any(|(_, other)| other.task == new.task && other.given == new.given);
        all.extend(new.filter(is_new).map(|new| (place, new)));
    }
    all.sort_by_key(|(place, _)| *place);
    all.into_iter().map(|(_, exercise)| exercise).collect()
}

/// Between the exercises of a sheet and their solutions.
const CUT: &str = "-------------------------------- cut here --------------------------------";

/// A sheet for a class to print: exercises, a line to cut along, and their solutions.
pub fn sheet_text(seed: u64, level: Option<u8>, kind: Option<&str>, count: usize) -> String {
    let all = sheet(seed, level, kind, count);
    let of = level.map_or_else(String::new, |level| format!(", level {level}"));
    let mut out = row(0, &format!("Exercises, seed {seed}{of}                    name ____________________"));
    out += &folded("", 0, INVENTED);
    for (at, exercise) in all.iter().enumerate() {
        let _ = write!(out, "\n{}", exercise.text_after(&format!("{}. ", at + 1)));
        out += "    answer _____________________________\n";
    }
    let cut = CUT.trim_matches('-');
    let dashes = "-".repeat(((width() - 1).min(CUT.len()) - cut.len()) / 2);
    let _ = write!(out, "\n{dashes}{cut}{dashes}\n\nSolutions, seed {seed}{of}\n");
    for (at, exercise) in all.iter().enumerate() {
        let _ = write!(out, "\n{}", exercise.solved_after(&format!("{}. ", at + 1)));
    }
    out
}

fn kinds(level: Option<u8>, name: Option<&str>) -> Vec<&'static ExerciseKind> {
    let fits = |kind: &&ExerciseKind| {
        level.is_none_or(|level| kind.level == level) && name.is_none_or(|name| kind.name == name)
    };
    KINDS.iter().filter(fits).collect()
}

fn drawn(random: &mut Random, kind: &ExerciseKind) -> Option<Exercise> {
    // Some draws make nothing that can be asked.
    (0..40).find_map(|_| (kind.make)(random)).map(|made| Exercise { level: kind.level, kind: kind.name, ..made })
}

pub(super) fn one<'a, T>(random: &mut Random, all: &'a [T]) -> Option<&'a T> {
    let last = all.len().checked_sub(1)?;
    all.get(random.between(0, last as u64) as usize)
}

pub(super) fn new(task: impl Into<String>, answer: Answer) -> Exercise {
    Exercise {
        level: 0,
        kind: "",
        task: task.into(),
        given: Vec::new(),
        hints: Vec::new(),
        answer,
        slips: Vec::new(),
        solution: Vec::new(),
    }
}

/// An invented address.
fn address(random: &mut Random) -> String {
    format!("{:06X}", random.between(0x10_0000, 0xEF_FFFF))
}

fn made(message: &str, fields: &[(&str, String)]) -> Option<Frame> {
    let fields = fields.iter().map(|(field, value)| ((*field).to_owned(), value.clone())).collect();
    encode_meanings(message, &fields, Version::Two).ok().map(|encoded| encoded.frame)
}

fn backwards(message: &str, fields: &[(&str, String)]) -> Vec<Worked> {
    let fields = fields.iter().map(|(field, value)| ((*field).to_owned(), value.clone())).collect();
    encode_meanings(message, &fields, Version::Two).map(|encoded| encoded.steps()).unwrap_or_default()
}

/// The arithmetic of a frame, of these titles.
fn forwards(frame: Frame, titles: &[&str]) -> Vec<Worked> {
    let decoded = Decoded::new(frame);
    let observation = Tracker::new(None, Some(2)).observe(&decoded, None);
    worked::read(&decoded, &observation).into_iter().filter(|worked| titles.contains(&worked.title.as_str())).collect()
}

pub(super) fn titled(title: &str, steps: Vec<Step>) -> Vec<Worked> {
    vec![Worked { title: title.to_owned(), steps }]
}

/// What somebody reads who takes the field one bit too early or too late.
fn beside(frame: Frame, span: Span, read: impl Fn(u64) -> Option<Answer>) -> Vec<(Answer, String)> {
    let moved = |by: i16, where_it_begins: &str| {
        let (first, last) = (i16::from(span.first) + by, i16::from(span.last) + by);
        let taken = Span::new(first as u8, last as u8);
        let answer = read(frame.field(taken))?;
        Some((answer, format!("you took bits {taken}; the field begins one {where_it_begins}")))
    };
    let inside = |by: i16| i16::from(span.first) + by >= 1 && i16::from(span.last) + by <= i16::from(frame.length());
    let both = [(1, "earlier"), (-1, "later")];
    both.into_iter().filter(|(by, _)| inside(*by)).filter_map(|(by, begins)| moved(by, begins)).collect()
}

/// Slips that differ from the right answer.
pub(super) fn slips(answer: &Answer, all: Vec<(Answer, String)>) -> Vec<(Answer, String)> {
    let mut kept: Vec<(Answer, String)> = Vec::new();
    for (slip, why) in all {
        let is_said = |other: &Answer| other.is_said_by(&slip.shown());
        if !is_said(answer) && !slip.is_said_by(&answer.shown()) && !kept.iter().any(|(other, _)| is_said(other)) {
            kept.push((slip, why));
        }
    }
    kept
}

fn in_frame(span: Span) -> String {
    format!("it is in frame bits {span}, message bits {}-{}", span.first - 32, span.last - 32)
}

fn hexadecimal_to_bits(random: &mut Random) -> Option<Exercise> {
    let octet = random.between(0x11, 0xFE);
    let answer = Answer::Bits { code: octet, width: 8 };
    Some(Exercise {
        hints: vec![
            "each digit is four bits; A is 10, F is 15".to_owned(),
            format!("the first digit is {:04b}", octet >> 4),
        ],
        slips: slips(
            &answer,
            vec![
                (
                    Answer::Bits { code: octet >> 4 | (octet & 15) << 4, width: 8 },
                    "the two digits are the other way round".to_owned(),
                ),
                (
                    Answer::Bits { code: (octet as u8).reverse_bits().into(), width: 8 },
                    "the bits are backwards: the first bit is worth 8 of each digit".to_owned(),
                ),
            ],
        ),
        solution: titled("bits", vec![bits_step(octet >> 4, 4), bits_step(octet & 15, 4), bits_step(octet, 8)]),
        ..new(format!("Write the octet {octet:02X} as eight bits."), answer)
    })
}

fn bits_to_hexadecimal(random: &mut Random) -> Option<Exercise> {
    let octet = random.between(0x11, 0xFE);
    let answer = Answer::Hex { digits: format!("{octet:02X}") };
    Some(Exercise {
        hints: vec![
            "take four bits at a time, weights 8, 4, 2 and 1".to_owned(),
            format!("the first digit is {:X}", octet >> 4),
        ],
        slips: slips(
            &answer,
            vec![
                (
                    Answer::Hex { digits: format!("{:X}{:X}", octet & 15, octet >> 4) },
                    "the two digits are the other way round".to_owned(),
                ),
                (Answer::Hex { digits: octet.to_string() }, "that is the decimal number".to_owned()),
            ],
        ),
        solution: titled("bits", vec![bits_step(octet >> 4, 4), bits_step(octet & 15, 4)]),
        ..new(format!("Write the bits {octet:08b} as two hexadecimal digits."), answer)
    })
}

/// A frame of any kind that carries something.
fn any_frame(random: &mut Random) -> Option<Frame> {
    let (feet, code) = (25 * random.between(40, 1_600), random.between(0, 0xFFF));
    let address = ("address", address(random));
    match random.between(0, 3) {
        0 => made("surveillance_altitude_reply", &[address, ("pressure_altitude_ft", feet.to_string())]),
        1 => made("surveillance_identity_reply", &[address, ("mode_a_code", format!("{code:04o}"))]),
        2 => made("airborne_position", &[address, ("pressure_altitude_ft", feet.to_string())]),
        _ => made("all_call_reply", &[address]),
    }
}

fn read_format(random: &mut Random) -> Option<Exercise> {
    let frame = any_frame(random)?;
    let format = frame.downlink_format();
    let number = |value: u64| Answer::Number { value: value as f64, near: 0.0, unit: "" };
    let answer = number(format.into());
    let first = frame.field(Span::new(1, 8));
    Some(Exercise {
        given: vec![frame.to_string()],
        hints: vec!["it is the first five bits".to_owned(), format!("the first octet is {first:08b}")],
        slips: slips(
            &answer,
            vec![
                (number(first >> 4), "you took four bits; the format has five".to_owned()),
                (number(first), "you took all eight bits of the octet; the format is the first five".to_owned()),
            ],
        ),
        solution: titled(
            "format",
            vec![
                Step::note(format!("the first two digits, {first:02X}, are {first:08b}")),
                Step::new(format!("{format:05b}"), format.to_string()).explained("the first five of these bits"),
            ],
        ),
        ..new("Which downlink format is this frame? Give the number.", answer)
    })
}

fn read_address(random: &mut Random) -> Option<Exercise> {
    let wanted = address(random);
    let frame = made("airborne_position", &[("address", wanted.clone())])?;
    let answer = Answer::Hex { digits: wanted };
    let text = frame.to_string();
    let digits = |from: usize| Answer::Hex { digits: text[from..from + 6].to_owned() };
    Some(Exercise {
        given: vec![text.clone()],
        hints: vec![
            "in an extended squitter it follows the first octet".to_owned(),
            "frame bits 9-32, hexadecimal digits 3 to 8".to_owned(),
        ],
        slips: slips(
            &answer,
            vec![
                (digits(1), "you began one digit too early: the first octet is format and capability".to_owned()),
                (digits(3), "you began one digit too late".to_owned()),
                (digits(22), "those are the last 24 bits, the parity".to_owned()),
            ],
        ),
        solution: titled(
            "address",
            vec![
                Step::note(format!("the first two digits, {}, are format and capability", &text[..2])),
                Step::note(format!("the next six digits, frame bits 9-32: {}", &text[2..8])),
            ],
        ),
        ..new("What is the aircraft address in this extended squitter? Give six hexadecimal digits.", answer)
    })
}

fn identification(random: &mut Random) -> String {
    let letters = |random: &mut Random| char::from(b'A' + random.between(0, 25) as u8);
    let head: String = (0..3).map(|_| letters(random)).collect();
    format!("{head}{}", random.between(10, 9_999))
}

fn read_identification(random: &mut Random) -> Option<Exercise> {
    let text = identification(random);
    let frame =
        made("aircraft_identification", &[("address", address(random)), ("aircraft_identification", text.clone())])?;
    let answer = Answer::Word(text);
    let span = Span::new(41, 88);
    let read = |bits: u64| {
        Some(Answer::Word(Identification::from_bits(bits).to_string())).filter(|answer| !answer.shown().contains('?'))
    };
    let first = frame.field(Span::new(41, 46)) as u8;
    let from_zero = |c: char| if c.is_ascii_uppercase() { char::from(b'A' + (c as u8 - b'A' + 1) % 26) } else { c };
    let mut all = beside(frame, span, read);
    let shifted: String = answer.shown().chars().map(from_zero).collect();
    all.push((Answer::Word(shifted), "every letter is one too far: A is 1, not 0".to_owned()));
    Some(Exercise {
        given: vec![frame.to_string()],
        hints: vec![
            "eight characters of six bits each: 1 to 26 are A to Z, 48 to 57 the digits, 32 the space".to_owned(),
            in_frame(span),
            format!("the first six bits are {first:06b}, which is {first}"),
        ],
        slips: slips(&answer, all),
        solution: forwards(frame, &["characters"]),
        ..new("Which aircraft identification does this frame carry?", answer)
    })
}

fn write_identification(random: &mut Random) -> Option<Exercise> {
    let text = identification(random);
    let code: Identification = text.parse().ok()?;
    let answer = Answer::Hex { digits: format!("{:012X}", code.bits()) };
    let ascii = text.bytes().chain(std::iter::repeat(b' ')).take(6).map(|octet| format!("{octet:02X}"));
    let short = code.bits() & !0x3F;
    Some(Exercise {
        hints: vec![
            "A is 1, B is 2; a digit is 48 and itself; fill up with spaces, 32".to_owned(),
            format!("the first digits are {:03X}", code.bits() >> 36),
        ],
        slips: slips(
            &answer,
            vec![
                (
                    Answer::Hex { digits: ascii.collect() },
                    "those are characters of eight bits; here each has six".to_owned(),
                ),
                (
                    Answer::Hex { digits: format!("{short:012X}") },
                    "the last character is a space, 100000, not zero".to_owned(),
                ),
            ],
        ),
        solution: titled("characters", code.steps_to(&text, Version::Two)),
        ..new(format!("Write the identification {text} as its 48 bits, in twelve hexadecimal digits."), answer)
    })
}

fn code_of(random: &mut Random) -> ModeA {
    ModeA::from_digits(std::array::from_fn(|_| random.between(0, 7) as u8))
}

fn read_code(random: &mut Random) -> Option<Exercise> {
    let code = code_of(random);
    let frame =
        made("surveillance_identity_reply", &[("address", address(random)), ("mode_a_code", code.to_string())])?;
    let answer = Answer::Word(code.to_string());
    let span = Span::new(20, 32);
    let mut all = beside(frame, span, |bits| Some(Answer::Word(ModeA::from_bits(bits).to_string())));
    let plain = code.bits() >> 7 << 6 | code.bits() & 0x3F;
    all.push((
        Answer::Word(format!("{plain:04o}")),
        "you read the bits in a row; they are interleaved, C1 A1 C2 A2 C4 A4 X B1 D1 B2 D2 B4 D4".to_owned(),
    ));
    Some(Exercise {
        given: vec![frame.to_string()],
        hints: vec![
            "the order is C1 A1 C2 A2 C4 A4 X B1 D1 B2 D2 B4 D4".to_owned(),
            "it is in frame bits 20-32".to_owned(),
            format!("the bits are {:013b}", code.bits()),
        ],
        slips: slips(&answer, all),
        solution: forwards(frame, &["mode_a"]),
        ..new("Which Mode A code does this reply of format 5 carry? Give four digits.", answer)
    })
}

fn write_code(random: &mut Random) -> Option<Exercise> {
    let code = code_of(random);
    let answer = Answer::Bits { code: code.bits(), width: 13 };
    let digits = code.digits().iter().fold(0u64, |bits, digit| bits << 3 | u64::from(*digit));
    let backwards = ModeA::from_digits(code.digits().map(|digit| (digit & 1) << 2 | digit & 2 | digit >> 2));
    Some(Exercise {
        hints: vec![
            "each digit is three bits, weights 4, 2 and 1".to_owned(),
            "the order is C1 A1 C2 A2 C4 A4 X B1 D1 B2 D2 B4 D4, X is 0".to_owned(),
        ],
        slips: slips(
            &answer,
            vec![
                (
                    Answer::Bits { code: digits >> 6 << 7 | digits & 0x3F, width: 13 },
                    "the digits are side by side; on the air they are interleaved".to_owned(),
                ),
                (
                    Answer::Bits { code: backwards.bits(), width: 13 },
                    "the weights are the other way round: A1 is worth 1, A4 is worth 4".to_owned(),
                ),
            ],
        ),
        solution: titled("mode_a_code", code.steps_to("", Version::Two)),
        ..new(format!("Write the Mode A code {code} as the thirteen bits of a reply."), answer)
    })
}

fn feet(value: i32) -> Answer {
    Answer::Number { value: value.into(), near: 0.0, unit: "ft" }
}

fn read_altitude(random: &mut Random) -> Option<Exercise> {
    let altitude = 25 * random.between(0, 1_900) as i32 - 1_000;
    let frame =
        made("airborne_position", &[("address", address(random)), ("pressure_altitude_ft", altitude.to_string())])?;
    let span = Span::new(41, 52);
    let code = Altitude12::from_bits(frame.field(span));
    let answer = feet(altitude);
    let mut all = beside(frame, span, |bits| Altitude12::from_bits(bits).feet().map(feet));
    all.push((feet(altitude + 1_000), "the scale begins at -1000 ft: take 1000 off".to_owned()));
    all.push((feet(25 * code.bits() as i32 - 1_000), "you left Q in: take the eighth bit out first".to_owned()));
    Some(Exercise {
        given: vec![frame.to_string()],
        hints: vec![
            "Q, the eighth of the twelve bits, is 1: the eleven others count 25 ft from -1000 ft".to_owned(),
            in_frame(span),
            format!("the bits are {:012b}", code.bits()),
        ],
        slips: slips(&answer, all),
        solution: forwards(frame, &["altitude"]),
        ..new("Which pressure altitude, in feet, does this airborne position carry?", answer)
    })
}

fn write_altitude(random: &mut Random) -> Option<Exercise> {
    let altitude = 25 * random.between(0, 1_900) as i32 - 1_000;
    let code = Altitude12::from_feet(altitude.into(), 25).ok()?;
    let bits = |code: u64| Answer::Bits { code, width: 12 };
    let answer = bits(code.bits());
    let steps = (altitude + 1_000) as u64 / 25;
    let grey = Altitude12::from_feet(altitude.into(), 100).ok()?;
    Some(Exercise {
        hints: vec![
            "count steps of 25 ft from -1000 ft".to_owned(),
            format!("{steps} in eleven bits is {steps:011b}"),
            "Q = 1 goes in as the eighth bit".to_owned(),
        ],
        slips: slips(
            &answer,
            vec![
                (bits(steps << 1 | 1), "Q is the eighth bit of twelve, not the last".to_owned()),
                (bits(steps), "Q is missing: a 1 goes in as the eighth bit".to_owned()),
                (
                    bits(grey.bits()),
                    "that is the 100-ft grey code; here the code with steps of 25 ft is wanted".to_owned(),
                ),
            ],
        ),
        solution: titled("altitude", code.steps_to(&altitude.to_string(), Version::Two)),
        ..new(
            format!("Write {} ft as the twelve bits of a squitter, in steps of 25 ft.", spaced(altitude.into())),
            answer,
        )
    })
}

fn find_wire(random: &mut Random) -> Option<Exercise> {
    let hundreds = random.between(0, 300) as i32 * 100;
    let right = Wires::from_feet(hundreds.into()).ok()?;
    let wire = *one(random, &Wire::ALL)?;
    let wrong = right.with(wire, !right.has(wire));
    // A transponder that shows no altitude at all says nothing of its wires.
    let shown = wrong.feet()?;
    let answer = Answer::Word(wire.name().to_owned());
    let other = |other: &Wire| {
        let there = right.with(*other, !right.has(*other)).feet();
        let why = there.map_or_else(
            || "no altitude would be shown".to_owned(),
            |feet| format!("{} ft would be shown", spaced(feet.into())),
        );
        (Answer::Word(other.name().to_owned()), format!("with {other} the other way round {why}"))
    };
    let others = Wire::ALL.iter().filter(|each| **each != wire).map(other).collect();
    let steps = |feet: i32| -> Option<Vec<Step>> {
        Some(Altitude12::from_feet(feet.into(), 100).ok()?.steps_to(&feet.to_string(), Version::Two))
    };
    let solution = vec![
        Worked { title: "what the encoder gives".to_owned(), steps: steps(hundreds)? },
        Worked { title: "what is shown".to_owned(), steps: steps(shown)? },
        Worked {
            title: "the difference".to_owned(),
            steps: vec![Step::note(format!("grounded {right}, and in the reading {wrong}: the difference is {wire}"))],
        },
    ];
    Some(Exercise {
        hints: vec![
            format!("at {} ft these are grounded: {right}", spaced(hundreds.into())),
            format!("in the reading these are grounded: {wrong}"),
        ],
        slips: slips(&answer, others),
        solution,
        ..new(
            format!(
                "The encoder gives {} ft, and the transponder shows {} ft. One wire is open or grounded all the time. Which one?",
                spaced(hundreds.into()),
                spaced(shown.into())
            ),
            answer,
        )
    })
}

fn velocity(random: &mut Random) -> Option<(Frame, i32, i32, i32)> {
    let component =
        |random: &mut Random| random.between(5, 400) as i32 * if random.between(0, 1) == 1 { -1 } else { 1 };
    let (east, north) = (component(random), component(random));
    let rate = 64 * component(random);
    let fields = [
        ("address", address(random)),
        ("east_velocity_kt", east.to_string()),
        ("north_velocity_kt", north.to_string()),
        ("vertical_rate_fpm", rate.to_string()),
    ];
    Some((made("airborne_velocity", &fields)?, east, north, rate))
}

fn read_velocity(random: &mut Random) -> Option<Exercise> {
    let (frame, east, north, _) = velocity(random)?;
    let is_speed = random.between(0, 1) == 0;
    let (east_f, north_f) = (f64::from(east), f64::from(north));
    let speed = |east: f64, north: f64| Answer::Number { value: east.hypot(north), near: 0.5, unit: "kt" };
    let track = |east: f64, north: f64| Answer::Number {
        value: east.atan2(north).to_degrees().rem_euclid(360.0),
        near: 0.5,
        unit: "deg",
    };
    let (answer, task, all) = if is_speed {
        (
            speed(east_f, north_f),
            "What is the ground speed in this frame, in knots?",
            vec![
                (
                    speed(east_f.abs() + 1.0, north_f.abs() + 1.0),
                    "code 1 says 0 kt: take one off each component".to_owned(),
                ),
                (
                    speed(east_f.abs() + north_f.abs(), 0.0),
                    "the components are at right angles: take the root of the sum of their squares".to_owned(),
                ),
            ],
        )
    } else {
        (
            track(east_f, north_f),
            "What is the track in this frame, in degrees from north?",
            vec![
                (track(north_f, east_f), "east and north are the other way round".to_owned()),
                (track(-east_f, -north_f), "both signs are the other way round".to_owned()),
                (track(-east_f, north_f), "the first direction bit says 0 east, 1 west".to_owned()),
                (track(east_f, -north_f), "the second direction bit says 0 north, 1 south".to_owned()),
            ],
        )
    };
    Some(Exercise {
        given: vec![frame.to_string()],
        hints: vec![
            "a direction bit and ten bits for each component; 0 no data, n: n - 1 knots".to_owned(),
            "east is in frame bits 46-56, north in 57-67".to_owned(),
            format!("east {east} kt, north {north} kt"),
        ],
        slips: slips(&answer, all),
        solution: forwards(frame, &["east_velocity_kt", "north_velocity_kt", "ground_speed_kt"]),
        ..new(task, answer)
    })
}

fn read_vertical_rate(random: &mut Random) -> Option<Exercise> {
    let (frame, .., rate) = velocity(random)?;
    let number = |value: i32| Answer::Number { value: value.into(), near: 0.0, unit: "ft/min" };
    let answer = number(rate);
    let span = Span::new(70, 78);
    let mut all =
        vec![(number(rate + 64 * rate.signum()), "code 1 says 0: take one off before multiplying by 64".to_owned())];
    all.extend(beside(frame, span, |bits| {
        let magnitude = VerticalRate::from_bits(bits).magnitude()?;
        Some(number(magnitude * rate.signum()))
    }));
    Some(Exercise {
        given: vec![frame.to_string()],
        hints: vec!["a sign bit, then nine bits; n says (n - 1) x 64 ft/min".to_owned(), in_frame(span)],
        slips: slips(&answer, all),
        solution: forwards(frame, &["vertical_rate_fpm"]),
        ..new("What is the vertical rate in this frame, in feet per minute, up positive?", answer)
    })
}

fn write_vertical_rate(random: &mut Random) -> Option<Exercise> {
    let rate = 64 * random.between(1, 400) as i32 * if random.between(0, 1) == 1 { -1 } else { 1 };
    let n = rate.unsigned_abs() as u64 / 64 + 1;
    let sign = u64::from(rate < 0) << 9;
    let bits = |code: u64| Answer::Bits { code, width: 10 };
    let answer = bits(sign | n);
    Some(Exercise {
        hints: vec![
            "the sign bit is 0 up, 1 down".to_owned(),
            format!("{} / 64 = {}", rate.abs(), n - 1),
            "code 1 says 0, so one more".to_owned(),
        ],
        slips: slips(
            &answer,
            vec![
                (bits(sign | (n - 1)), "code 1 says 0: the code is one more than the steps".to_owned()),
                (bits(sign ^ 1 << 9 | n), "the sign bit is 0 for up and 1 for down".to_owned()),
                (
                    bits((1024 - (n - 1)) & 0x3FF),
                    "that is two's complement; here a sign bit comes before the magnitude".to_owned(),
                ),
            ],
        ),
        solution: backwards(
            "airborne_velocity",
            &[("address", "A5C035".to_owned()), ("vertical_rate_fpm", rate.to_string())],
        ),
        ..new(format!("Write a vertical rate of {} ft/min as sign bit and nine bits.", spaced(rate.into())), answer)
    })
}

fn somewhere(random: &mut Random) -> Position {
    Position {
        latitude_deg: (random.between(0, 140_000) as f64 - 70_000.0) / 1_000.0,
        longitude_deg: (random.between(0, 359_000) as f64 - 179_500.0) / 1_000.0,
    }
}

fn read_position(random: &mut Random) -> Option<Exercise> {
    let place = somewhere(random);
    let address = address(random);
    let frame = |format: &str| {
        made(
            "airborne_position",
            &[
                ("address", address.clone()),
                ("cpr_format", format.to_owned()),
                ("latitude_deg", place.latitude_deg.to_string()),
                ("longitude_deg", place.longitude_deg.to_string()),
            ],
        )
    };
    let (even, odd) = (Word::of(place, false, Grid::Airborne), Word::of(place, true, Grid::Airborne));
    let found = global(even, odd, Grid::Airborne, None).ok()?;
    let answer = |latitude_deg: f64, longitude_deg: f64| Answer::Place { latitude_deg, longitude_deg };
    let right = answer(found.position.latitude_deg, found.position.longitude_deg);
    let cell = 360.0 / f64::from(found.zones);
    Some(Exercise {
        given: vec![frame("even")?.to_string(), frame("odd")?.to_string()],
        hints: vec![
            format!(
                "even word {} and {}, odd word {} and {}",
                even.latitude, even.longitude, odd.latitude, odd.longitude
            ),
            format!("the latitude zone index j is {}", found.latitude_zone),
            format!("there are {} longitude zones", found.zones),
        ],
        slips: slips(
            &right,
            vec![
                (
                    answer(found.position.latitude_deg, found.position.longitude_deg + cell),
                    "the longitude is one cell too far east".to_owned(),
                ),
                (
                    answer(found.position.latitude_deg + 6.0, found.position.longitude_deg),
                    "the latitude is one even cell too far north".to_owned(),
                ),
            ],
        ),
        solution: titled("position", position_steps::pair(even, odd, Grid::Airborne, None)),
        ..new(
            "Where is the aircraft that sent this even and this odd frame? The odd one is the newest. Give latitude and longitude in degrees, to three places.",
            right,
        )
    })
}

fn write_latitude(random: &mut Random) -> Option<Exercise> {
    let place = somewhere(random);
    let odd = random.between(0, 1) == 1;
    let (name, cells) = if odd { ("odd", 59.0) } else { ("even", 60.0) };
    let word = Word::of(place, odd, Grid::Airborne);
    let number = |value: u32| Answer::Number { value: value.into(), near: 0.0, unit: "" };
    let other = Word::of(place, !odd, Grid::Airborne);
    let answer = number(word.latitude);
    let mirrored = Word::of(Position { latitude_deg: -place.latitude_deg, ..place }, odd, Grid::Airborne);
    Some(Exercise {
        hints: vec![
            format!("a cell is 360 / {cells} deg"),
            "the place in the cell, from 0 up to 1, times 131072".to_owned(),
        ],
        slips: slips(
            &answer,
            vec![
                (number(other.latitude), format!("that is the word of the other format; {name} has {cells} cells")),
                (
                    number(mirrored.latitude),
                    "south is negative: the place counts from the southern end of the cell".to_owned(),
                ),
            ],
        ),
        solution: titled("latitude", position_steps::latitude_written(place, odd, Grid::Airborne)),
        ..new(
            format!(
                "Which 17-bit number is the latitude {} deg in the {name} format of an airborne position?",
                place.latitude_deg
            ),
            answer,
        )
    })
}

fn set_parity(random: &mut Random) -> Option<Exercise> {
    let frame = made("all_call_reply", &[("address", address(random))])?;
    let digits = frame.to_string();
    let answer = Answer::Hex { digits: digits[8..].to_owned() };
    let short = crate::frame::parity_of(&frame.octets()[..3]);
    Some(Exercise {
        given: vec![format!("{} ______", &digits[..8])],
        hints: vec![
            "divide by 1FFF409, octet by octet".to_owned(),
            format!("after the first octet the remainder is {:06X}", crate::frame::parity_of(&frame.octets()[..1])),
        ],
        slips: slips(
            &answer,
            vec![(Answer::Hex { digits: format!("{short:06X}") }, "one octet is missing: divide all four".to_owned())],
        ),
        solution: forwards(frame, &["parity"]),
        ..new(
            "The last 24 bits of this all-call reply are missing, and nothing is combined with them. What are they, in six hexadecimal digits?",
            answer,
        )
    })
}

fn find_flipped_bit(random: &mut Random) -> Option<Exercise> {
    let frame = made("all_call_reply", &[("address", address(random))])?;
    let bit = random.between(9, 32) as u8;
    let number = |value: u8| Answer::Number { value: value.into(), near: 0.0, unit: "" };
    let damaged = frame.flipped(bit);
    let answer = number(bit);
    Some(Exercise {
        given: vec![damaged.to_string()],
        hints: vec![
            format!("the division leaves {:06X}", damaged.overlay()),
            "a wrong bit 32 leaves FFF409, and each bit before it one shift to the left more".to_owned(),
            format!("it is in octet {}", (bit - 1) / 8 + 1),
        ],
        slips: slips(&answer, vec![(number(bit - 1), "bits count from 1, not from 0".to_owned())]),
        solution: {
            let mut all = forwards(damaged, &["parity"]);
            all.push(Worked { title: "which bit leaves this".to_owned(), steps: wrong_bit(damaged, bit) });
            all
        },
        ..new("One bit of this all-call reply was received wrongly. Which one, counted from 1?", answer)
    })
}

fn read_overlaid_address(random: &mut Random) -> Option<Exercise> {
    let wanted = address(random);
    let frame = made(
        "surveillance_altitude_reply",
        &[("address", wanted.clone()), ("pressure_altitude_ft", (100 * random.between(10, 300)).to_string())],
    )?;
    let answer = Answer::Hex { digits: wanted };
    let hex = |bits: u32| Answer::Hex { digits: format!("{bits:06X}") };
    Some(Exercise {
        given: vec![frame.to_string()],
        hints: vec![
            "divide the first 32 bits, and combine the remainder with the last 24 by exclusive or".to_owned(),
            format!("the remainder is {:06X}", frame.parity()),
        ],
        slips: slips(
            &answer,
            vec![
                (
                    hex(frame.parity_field()),
                    "those are the last 24 bits as sent: take the remainder off them".to_owned(),
                ),
                (hex(frame.parity()), "that is the remainder: combine it with the last 24 bits".to_owned()),
            ],
        ),
        solution: forwards(frame, &["parity", "address"]),
        ..new("Which aircraft sent this reply of format 4? Give its address.", answer)
    })
}

/// A field, the least and the most of it, and its step.
type Range = (&'static str, u64, u64, u64);

/// Registers that can be told from one another, with fields that they carry.
const REGISTERS: [(&str, &str, &[Range]); 4] = [
    ("2,0", "register_2_0", &[]),
    (
        "4,0",
        "register_4_0",
        &[("mcp_fcu_selected_altitude_ft", 64, 512, 16), ("barometric_setting_hpa", 1_000, 1_025, 1)],
    ),
    (
        "5,0",
        "register_5_0",
        &[
            ("roll_deg", 0, 20, 1),
            ("track_deg", 1, 350, 1),
            ("ground_speed_kt", 120, 250, 2),
            ("true_airspeed_kt", 120, 250, 2),
        ],
    ),
    (
        "6,0",
        "register_6_0",
        &[
            ("magnetic_heading_deg", 1, 350, 1),
            ("indicated_airspeed_kt", 200, 300, 1),
            ("barometric_altitude_rate_fpm", 0, 40, 32),
        ],
    ),
];

fn find_register(random: &mut Random) -> Option<Exercise> {
    let (number, message, fields) = one(random, &REGISTERS)?;
    let mut given =
        vec![("address", address(random)), ("pressure_altitude_ft", (100 * random.between(100, 300)).to_string())];
    if fields.is_empty() {
        given.push(("aircraft_identification", identification(random)));
    }
    given.extend(
        fields.iter().map(|(field, least, most, step)| (*field, (random.between(*least, *most) * step).to_string())),
    );
    let frame = made(message, &given)?;
    let decoded = Decoded::new(frame);
    let possible = decoded.possible_registers()?;
    // Only what the rules tell apart is asked: of the four registers, one alone may be this.
    let is = |opinion: &&crate::register::inference::Opinion, number: &str| opinion.register.to_string() == number;
    possible.iter().find(|opinion| is(opinion, number))?;
    let others = REGISTERS.iter().filter(|(other, ..)| other != number);
    if others.clone().any(|(other, ..)| possible.iter().any(|opinion| is(&opinion, other))) {
        return None;
    }
    let answer = Answer::Word((*number).to_owned());
    let against = |other: &str| {
        let number = TOLD_APART.into_iter().find(|number| number.to_string() == other)?;
        decoded.with_register(number).opinion()?.against.into_iter().next()
    };
    let others = others
        .map(|(other, ..)| {
            let why = against(other).unwrap_or_else(|| format!("no rule speaks for register {other}"));
            (Answer::Word((*other).to_owned()), why)
        })
        .collect();
    Some(Exercise {
        given: vec![frame.to_string()],
        hints: vec![
            "a status bit of 0 requires zeros after it; register 2,0 begins with 00100000".to_owned(),
            format!("the 56 bits are {:014X}", frame.message_field()),
        ],
        slips: slips(&answer, others),
        solution: titled("register", told_apart(&decoded)),
        ..new("Which register does this Comm-B reply carry: 2,0, 4,0, 5,0 or 6,0?", answer)
    })
}

/// A mistake of an installer that a comparison finds.
fn find_mistake(random: &mut Random) -> Option<Exercise> {
    let profile = Profile::read(DEMO).profile;
    let right = emissions(&profile, Flight::Healthy).ok()?;
    let expected = Install::new("demo", profile.clone()).ok()?.expected();
    let mistake: &'static Mistake = one(random, MISTAKES)?;
    let (_, detail, frames) = shown_by(mistake, &profile, &expected, &right)?;
    // Two mistakes that send the same frames cannot be told apart.
    let is_open = |other: &'static Mistake| {
        let there = shown_by(other, &profile, &expected, &right);
        let why = match &there {
            Some((.., theirs)) if *theirs == frames => return None,
            Some(_) => "it would send other frames",
            None => "it would change nothing that this install sends",
        };
        Some(format!("{}: {why}", other.what))
    };
    let (at, offered) = offered(random, mistake, is_open)?;
    let answer = Answer::Word(letter(at));
    let others = offered.iter().enumerate();
    let others = others.filter_map(|(at, (_, why))| Some((Answer::Word(letter(at)), why.clone()?))).collect();
    let mut given: Vec<String> = Vec::new();
    for frame in frames.iter().take(2) {
        let as_it_should = right
            .iter()
            .map(|emission| emission.frame)
            .min_by_key(|other| (other.length() != frame.length(), (other.pattern() ^ frame.pattern()).count_ones()))?;
        given.push(format!("as it should be  {as_it_should}"));
        given.push(format!("as it is sent    {frame}"));
    }
    given.extend(offered.iter().enumerate().map(|(at, (offer, _))| format!("{}) {}", letter(at), offer.what)));
    let first = Decoded::new(frames[0]);
    Some(Exercise {
        given,
        hints: vec![
            format!("the first frame is: {}", first.title()),
            "take exclusive or of the two frames, and find the field of the bits that differ".to_owned(),
        ],
        slips: slips(&answer, others),
        solution: titled(
            "mistake",
            vec![
                Step::note(format!("{} ({detail})", mistake.what)),
                Step::note(format!("what to do: {}", mistake.correction)),
            ],
        ),
        ..new("The demo aircraft (invented) was set up wrongly. What went wrong? Give the letter.", answer)
    })
}

/// Mistakes to choose from, with why each of the others is not the one.
pub(super) type Offered = Vec<(&'static Mistake, Option<String>)>;

/// The mistake among three others, and its place; `is_open` says why another one is wrong, if that can be said.
pub(super) fn offered(
    random: &mut Random,
    mistake: &'static Mistake,
    is_open: impl Fn(&'static Mistake) -> Option<String>,
) -> Option<(usize, Offered)> {
    let mut offered: Offered = vec![(mistake, None)];
    let mut left: Vec<&'static Mistake> = MISTAKES.iter().filter(|other| other.cause != mistake.cause).collect();
    while offered.len() < 4 && !left.is_empty() {
        let other = left.swap_remove(random.between(0, left.len() as u64 - 1) as usize);
        if let Some(why) = is_open(other) {
            offered.push((other, Some(why)));
        }
    }
    offered.sort_by_key(|(mistake, _)| mistake.cause);
    let at = offered.iter().position(|(_, why)| why.is_none())?;
    (offered.len() == 4).then_some((at, offered))
}

/// The wrong profile of a mistake, what exactly it is, and the frames in which a comparison finds it.
fn shown_by(
    mistake: &'static Mistake,
    profile: &Profile,
    expected: &ExpectedFrames,
    right: &[crate::onair::Emission],
) -> Option<(Profile, String, Vec<Frame>)> {
    let (wrong, detail) = (mistake.candidates)(profile).into_iter().next()?;
    let sent = emissions(&wrong, Flight::Healthy).ok()?;
    let frames: Vec<Frame> = sent
        .iter()
        .map(|emission| emission.frame)
        .filter(|frame| !right.iter().any(|other| other.frame == *frame))
        .filter(|frame| expected.differing_bits(&Decoded::new(*frame), None) != 0)
        .collect();
    (!frames.is_empty()).then_some((wrong, detail, frames))
}

fn build_frame(random: &mut Random) -> Option<Exercise> {
    let (text, address) = (identification(random), address(random));
    let fields = [
        ("address", address.clone()),
        ("aircraft_identification", text.clone()),
        ("emitter_category", "A1".to_owned()),
    ];
    let frame = made("aircraft_identification", &fields)?;
    let answer = Answer::Frame(frame);
    let other = made(
        "aircraft_identification",
        &[fields[0].clone(), fields[1].clone(), ("emitter_category", "A0".to_owned())],
    )?;
    Some(Exercise {
        hints: vec![
            "begin with 8D: format 17 and capability 5; then the address".to_owned(),
            "type code 4 and category 1 are 00100 001".to_owned(),
            format!("the frame without its parity is {}", &frame.to_string()[..22]),
        ],
        slips: slips(&answer, vec![(Answer::Frame(other), "the category is A1: type code 4, category 1".to_owned())]),
        solution: {
            let mut all = backwards("aircraft_identification", &fields);
            all.extend(forwards(frame, &["parity"]));
            all
        },
        ..new(
            format!(
                "Build the extended squitter of aircraft {address} (capability 5) with the identification {text} and category A1. Give all 28 hexadecimal digits."
            ),
            answer,
        )
    })
}
