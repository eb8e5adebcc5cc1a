//! Shows which flipped bits could explain bad parity: always marked as a guess.

use super::text::folded;
use crate::downlink::repair::Repair;
use crate::downlink::{Decoded, Parity};
use crate::frame::{Frame, Span};
use serde_json::{Value, json};

/// Frames shown; more than this many say only that nothing is sure.
const SHOWN: usize = 8;

/// Why there is nothing to guess, or how the guesses are to be taken.
fn remark(frame: &Frame, repairs: &[Repair]) -> &'static str {
    match (Decoded::new(*frame).parity(), repairs) {
        (Parity::Valid | Parity::Interrogator(_), _) => "the parity holds: there is nothing to explain",
        (Parity::Overlaid, []) => {
            "the parity of this format carries the address, so a damaged frame looks like one of another aircraft: \
             there is nothing to explain it by"
        }
        (_, []) => "no one or two flipped bits explain this frame",
        _ => {
            "a guess, not a finding: the fewest flipped bits after which the parity holds; more damage can look the same"
        }
    }
}

fn flips(frame: &Frame, repair: &Repair) -> String {
    let flip = |bit: &u8| {
        let received = frame.field(Span::new(*bit, *bit));
        let message = if frame.length() == 112 && (33..=88).contains(bit) {
            format!(" (message bit {})", bit - 32)
        } else {
            String::new()
        };
        format!("bit {bit}{message} was sent as {}, received as {received}", 1 - received)
    };
    repair.bits.iter().map(flip).collect::<Vec<_>>().join("; ")
}

fn overlay_words(decoded: &Decoded) -> String {
    match decoded.parity() {
        Parity::Interrogator(code) => format!(", interrogator code {} {}", code.kind(), code.code()),
        _ => String::new(),
    }
}

/// The guesses in words.
pub fn text(frame: &Frame, repairs: &[Repair]) -> String {
    let mut out = String::from("\n");
    out += &folded("repair: ", 4, remark(frame, repairs));
    for repair in repairs.iter().take(SHOWN) {
        let decoded = Decoded::new(repair.frame);
        let address = decoded.address().map(|address| format!(", address {address}")).unwrap_or_default();
        let what = format!("{}  {}{address}{}", repair.frame, decoded.title(), overlay_words(&decoded));
        out += &folded("    ", 8, &what);
        out += &folded("        ", 8, &flips(frame, repair));
    }
    if repairs.len() > SHOWN {
        out += &folded("    ", 4, &format!("and {} more that explain it as well", repairs.len() - SHOWN));
    }
    out
}

/// The guesses as JSON.
pub fn json(frame: &Frame, repairs: &[Repair]) -> Value {
    let guesses: Vec<Value> = repairs
        .iter()
        .map(|repair| {
            let decoded = Decoded::new(repair.frame);
            json!({"flipped_bits": repair.bits, "frame": repair.frame.to_string(), "message": decoded.message(),
                "address": decoded.address().map(|address| address.to_string())})
        })
        .collect();
    json!({"guess": true, "remark": remark(frame, repairs), "explanations": guesses})
}
