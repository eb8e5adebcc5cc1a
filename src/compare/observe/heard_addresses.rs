//! Keeps the addresses heard in the clear, to name those that a profile's own address may have become if nothing can be
//! tied to the profile.

use crate::downlink::Parity;
use crate::frame::{Address, Frame};
use std::sync::atomic::{AtomicU64, Ordering};

/// A bit for every address: whether it was heard in the clear with valid parity. Bits are only ever set, so the order in
/// which frames are read changes nothing.
#[derive(Debug)]
pub struct HeardAddresses(Vec<AtomicU64>);

impl HeardAddresses {
    pub fn new() -> Self {
        Self((0..1 << 18).map(|_| AtomicU64::new(0)).collect())
    }

    /// Notes who sent a frame. Format 18 is sent by anything but a transponder.
    pub fn note(&self, frame: &Frame, parity: Parity, address: Address) {
        let (word, bit) = place(address);
        // Without a branch: which frames are replies cannot be predicted.
        let bit = if parity == Parity::Valid && frame.downlink_format() != 18 { bit } else { 0 };
        // Nearly always it is known, and reading is cheaper than writing.
        if !self.0[word].load(Ordering::Relaxed) & bit != 0 {
            self.0[word].fetch_or(bit, Ordering::Relaxed);
        }
    }

    pub fn contains(&self, address: Address) -> bool {
        let (word, bit) = place(address);
        self.0[word].load(Ordering::Relaxed) & bit != 0
    }
}

/// Where an address has its bit. An odd factor spreads addresses that follow a pattern, which would otherwise compete for
/// the same lines of the cache. The factor is our own choice.
const fn place(address: Address) -> (usize, u64) {
    let spread = address.bits().wrapping_mul(0x9E_3779) & 0xFF_FFFF;
    ((spread >> 6) as usize, 1 << (spread & 63))
}
