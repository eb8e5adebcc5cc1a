//! The arithmetic of a frame, both ways: from its bits to what they say, and from what was wanted to its bits.

use super::ruler::grouped;
use super::text::{folded, line, row, width};
use crate::code::{Step, Version, Worked, marked};
use crate::downlink::{Decoded, Encoded, InterrogatorCode, Parity};
use crate::frame::{Frame, parity_of};
use crate::track::{Observation, VersionInForce};

/// The arithmetic of everything in the frame that has some.
pub fn read(decoded: &Decoded, observation: &Observation) -> Vec<Worked> {
    let versions = match observation.version {
        VersionInForce::Known(version) => vec![version],
        _ => Version::ALL.to_vec(),
    };
    let mut all = Vec::new();
    let mut section = |title: &str, steps: &dyn Fn(Version) -> Vec<Step>| {
        let told = grouped(&versions, steps);
        let several = told.len() > 1;
        for (steps, numbers) in told.into_iter().filter(|(steps, _)| !steps.is_empty()) {
            let title = if several { format!("{title}, version {numbers}") } else { title.to_owned() };
            all.push(Worked { title, steps });
        }
    };
    section("parity", &|_| parity_steps(&decoded.frame));
    section("address", &|_| address(decoded));
    for placed in decoded.rows() {
        let steps = |version| (placed.row.steps)(placed.code, placed.version.unwrap_or(version));
        section(placed.key, &|version| marked(placed.row.memory(), steps(version)));
    }
    for (name, derived, pattern, own) in decoded.derived() {
        let steps = |version| (derived.steps)(pattern, own.unwrap_or(version));
        section(name, &|version| marked(decoded.memory_of(name, version), steps(version)));
    }
    if let Some(basis) = observation.basis {
        section("position", &|_| basis.steps());
    }
    all
}

/// How a frame was made of what was wanted.
pub fn written(encoded: &Encoded) -> Vec<Worked> {
    let mut all = encoded.steps();
    all.push(Worked { title: "parity".to_owned(), steps: parity_made(&encoded.frame) });
    all
}

/// The sections as text.
pub fn text(all: &[Worked]) -> String {
    let mut out = String::new();
    for Worked { title, steps } in all {
        out.push('\n');
        out += &line(4, &format!("steps: {title}"));
        out += &lines(4, steps);
    }
    out
}

/// Steps a line each; the rows of a table stay as they are.
pub fn lines(indent: usize, steps: &[Step]) -> String {
    // The widest table of bits under their names has 40 columns.
    let indent = if width() < indent + 40 { 0 } else { indent };
    let lead = " ".repeat(indent);
    let one = |step: &Step| {
        if step.is_row() {
            row(indent + 6, &format!("{lead}{step}"))
        } else {
            folded(&lead, indent + 4, &step.to_string())
        }
    };
    steps.iter().map(one).collect()
}

/// The rule, and the remainder octet by octet as one follows it by hand; the first octet bit by bit.
fn division(data: &[u8]) -> Vec<Step> {
    let mut steps = vec![
        Step::note("generator 1FFF409 (hexadecimal, 25 bits); data, then 24 zero bits, divided by it without carries"),
        Step::note(
            "for each octet: exclusive-or it to the top of the 24-bit remainder; eight times shift left, and where a one falls out exclusive-or FFF409",
        ),
    ];
    if let Some(first) = data.first() {
        steps.push(Step::note(format!(
            "the eight shifts of octet 1, {first:02X}, from remainder {:06X}:",
            u32::from(*first) << 16
        )));
        let mut remainder = u32::from(*first) << 16;
        for shift in 1..=8 {
            let (out, shifted) = (remainder >> 23 & 1, remainder << 1 & 0xFF_FFFF);
            remainder = if out == 1 { shifted ^ 0xFF_F409 } else { shifted };
            let then = if out == 1 { format!("{shifted:06X} xor FFF409 = ") } else { String::new() };
            steps.push(Step::note(format!("  shift {shift}: {out} falls out, {then}{remainder:06X}")));
        }
    }
    for (at, octet) in data.iter().enumerate() {
        steps.push(Step::note(format!("octet {:>2}, {octet:02X}: remainder {:06X}", at + 1, parity_of(&data[..=at]))));
    }
    steps
}

fn data(frame: &Frame) -> Vec<u8> {
    let octets = frame.octets();
    octets[..octets.len() - 3].to_vec()
}

/// The division of a frame that was received, and the overlay that is left.
pub fn parity_steps(frame: &Frame) -> Vec<Step> {
    let mut steps = division(&data(frame));
    steps.push(Step::note(format!(
        "last 24 bits {:06X}, exclusive-or remainder {:06X} = overlay {:06X}",
        frame.parity_field(),
        frame.parity(),
        frame.overlay()
    )));
    steps
}

/// The division of a frame that is made.
fn parity_made(frame: &Frame) -> Vec<Step> {
    let mut steps = division(&data(frame));
    let (remainder, overlay) = (frame.parity(), frame.overlay());
    steps.push(if overlay == 0 {
        Step::note(format!("the remainder {remainder:06X} is the last 24 bits; nothing is combined with it"))
    } else {
        Step::new(format!("{remainder:06X} xor {overlay:06X}"), format!("{:06X}", frame.parity_field()))
            .explained("the remainder with the overlay, as the last 24 bits")
    });
    steps
}

/// From the overlay to what it says: whole or not, an address, an interrogator.
fn address(decoded: &Decoded) -> Vec<Step> {
    let frame = &decoded.frame;
    let (field, remainder, overlay) = (frame.parity_field(), frame.parity(), frame.overlay());
    match decoded.parity() {
        Parity::Overlaid => vec![
            Step::new(format!("{field:06X} xor {remainder:06X}"), format!("{overlay:06X}")).explained(
                "this format carries the address only in its parity: the last 24 bits with the remainder taken off again",
            ),
            Step::note("a damaged frame gives another address, so compare it with one that was heard in the clear"),
        ],
        Parity::Interrogator(code) => vec![
            Step::new(format!("{overlay:06X}"), format!("bits {:07b}", overlay & 0x7F))
                .explained("an all-call reply has the interrogator's code in the last seven bits of the overlay"),
            match code {
                InterrogatorCode::Si(_) => Step::new(format!("{} - 16", overlay & 0x7F), format!("SI {}", code.code()))
                    .explained("17 to 79 are surveillance identifiers (SI), counted from 16 (from memory)"),
                InterrogatorCode::Ii(_) => {
                    Step::new(format!("{}", overlay & 0x7F), format!("II {}", code.code()))
                        .explained("1 to 15 are interrogator identifiers (II)")
                }
            },
        ],
        Parity::Valid | Parity::Invalid => Vec::new(),
    }
}
