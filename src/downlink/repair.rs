//! Finds the fewest flipped bits that explain bad parity. Always a guess: nothing that judges a capture uses it.

use super::{Decoded, Parity};
use crate::frame::{Frame, PARITY_BITS};

/// Bits that were flipped, and the frame without that.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Repair {
    /// The flipped bits, from 1.
    pub bits: Vec<u8>,
    /// The frame as it then was sent.
    pub frame: Frame,
}

/// Every frame that one flipped bit away has a parity that holds, or else two bits; those without an interrogator's
/// code XORed onto the parity come first. Empty if the parity holds, or no such frame is that near.
///
/// A frame that carries its address in the parity has none that could be bad, but it may be one that was sent in the clear,
/// with a flipped bit in its format. Two frames in the clear differ in at least six bits (computed), so that an extended
/// squitter has at most one explanation; an all-call reply, which may carry any of 78 interrogator codes, can have many.
///
/// ```
/// use squitterlab::downlink::repair::repairs;
/// let damaged = "8D40621D58C382D690C8AC2863A6".parse().unwrap();
/// let found = repairs(&damaged);
/// assert_eq!((found.len(), &found[0].bits[..]), (1, &[112][..]));
/// assert_eq!(found[0].frame.to_string(), "8D40621D58C382D690C8AC2863A7");
/// ```
pub fn repairs(frame: &Frame) -> Vec<Repair> {
    if matches!(Decoded::new(*frame).parity(), Parity::Valid | Parity::Interrogator(_)) {
        return Vec::new();
    }
    let overlay = frame.overlay();
    let of_bit = overlays(frame.length());
    let length = frame.length();
    let holds = |bits: &[u8]| {
        let left = bits.iter().fold(overlay, |left, bit| left ^ of_bit[usize::from(*bit) - 1]);
        // No overlay of 80 or more holds in any format, which spares the look at most pairs.
        if left >= 80 {
            return None;
        }
        let frame = flipped(frame, bits);
        let decoded = Decoded::new(frame);
        let holds = matches!(decoded.parity(), Parity::Valid | Parity::Interrogator(_)) && decoded.address().is_some();
        holds.then(|| Repair { bits: bits.to_vec(), frame })
    };
    let mut found: Vec<Repair> = (1..=length).filter_map(|bit| holds(&[bit])).collect();
    if found.is_empty() {
        let pairs = (1..length).flat_map(|first| (first + 1..=length).map(move |second| [first, second]));
        found = pairs.filter_map(|pair| holds(&pair)).collect();
    }
    found.sort_by_key(|repair| repair.frame.overlay() != 0);
    found
}

fn flipped(frame: &Frame, bits: &[u8]) -> Frame {
    let length = frame.length();
    Frame::from_pattern(bits.iter().fold(frame.pattern(), |pattern, bit| pattern ^ 1 << (length - bit)), length)
}

/// What each bit alone changes in the parity of a frame of this length.
fn overlays(length: u8) -> Vec<u32> {
    let mut overlays: Vec<u32> =
        (1..=length - PARITY_BITS).map(|bit| Frame::from_pattern(1 << (length - bit), length).overlay()).collect();
    overlays.extend((0..PARITY_BITS).rev().map(|place| 1 << place));
    overlays
}
