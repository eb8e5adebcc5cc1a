//! Keeps the addresses heard in the clear, to name those that a profile's own address may have become if nothing can be
//! tied to the profile.

use super::Install;
use crate::downlink::Parity;
use crate::frame::{Address, Frame};
use crate::registry::slip::SLIPS;
use std::collections::HashSet;
use std::sync::atomic::{AtomicU64, Ordering};

/// At most so many near addresses are named for one profile.
const MOST_NEAR: usize = 4;

/// A bit for every address: whether it was heard in the clear with valid parity. Bits are only ever set, so the order in
/// which frames are read changes nothing.
#[derive(Debug)]
pub(super) struct InClear(Vec<AtomicU64>);

impl InClear {
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

    fn contains(&self, address: Address) -> bool {
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

/// An address that was heard in the clear and is near a profile's own.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NearAddress {
    /// The address.
    pub address: Address,
    /// What makes the one of the other.
    pub how: String,
}

/// The addresses heard in clear that a slip makes of the install's own, then those with two digits off. `others` says
/// which belong to another profile.
pub(super) fn near(install: &Install, heard: &InClear, others: impl Fn(Address) -> bool) -> Vec<NearAddress> {
    let own = install.address;
    let slips = SLIPS.iter().flat_map(|slip| {
        slip.of(own).into_iter().map(|(address, detail)| (address, format!("{}: {detail}", slip.name)))
    });
    let mut named = HashSet::from([own]);
    slips
        .chain(two_digits_off(own).map(|address| (address, "two digits differ".to_owned())))
        .filter(|(address, _)| heard.contains(*address) && !others(*address) && named.insert(*address))
        .map(|(address, how)| NearAddress { address, how })
        .take(MOST_NEAR)
        .collect()
}

fn two_digits_off(own: Address) -> impl Iterator<Item = Address> {
    let pairs = (0..6).flat_map(|a| (a + 1..6).map(move |b| (a, b)));
    pairs.flat_map(move |(a, b)| {
        let changes = (1..16).flat_map(|x| (1..16).map(move |y| (x, y)));
        changes.map(move |(x, y)| Address::new(own.bits() ^ x << (4 * a) ^ y << (4 * b)))
    })
}
