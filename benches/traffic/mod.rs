//! Invented mixed traffic of any size: the same numbers give the same lines.

use squitterlab::frame::Frame;
use std::io::{self, Write};

#[derive(Clone, Copy)]
enum Kind {
    /// Format 17 with this message field.
    Squitter(u64),
    /// Format 11.
    AllCall,
    /// A reply of 56 bits with these first 32.
    Short(u32),
    /// A reply of 112 bits with these first 32, and this register.
    CommB(u32, u64),
}

/// How many of a hundred frames are of each kind, about as a receiver hears them (our own choice). The message fields are
/// those of published examples (handbook), but for the operational status, which is invented.
const KINDS: [(u32, Kind); 11] = [
    (24, Kind::Squitter(0x58_C382_D690_C8AC)),
    (22, Kind::Squitter(0x99_4409_9408_3817)),
    (6, Kind::Squitter(0x20_2CC3_71C3_2CE0)),
    (5, Kind::Squitter(0xF8_1000_0600_4980)),
    (3, Kind::Squitter(0x3A_AB23_8733_C8CD)),
    (14, Kind::AllCall),
    (10, Kind::Short(0x2000_1718)),
    (6, Kind::Short(0x2A00_516D)),
    (6, Kind::Short(0x02E1_9718)),
    (2, Kind::CommB(0xA000_1838, 0xCA_3800_3144_0000)),
    (2, Kind::CommB(0xA000_0139, 0x38_1539_41A0_0000)),
];

/// A generator of our own that is good enough to choose with (splitmix64, public domain).
fn mix(seed: u64) -> u64 {
    let seed = seed.wrapping_mul(0x9E37_79B9_7F4A_7C15);
    let seed = (seed ^ (seed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    let seed = (seed ^ (seed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    seed ^ (seed >> 31)
}

/// The address of an aircraft; the first is the demo's.
fn address(aircraft: u64) -> u32 {
    ((0xA5_C035 + aircraft * 0x1_0001) & 0xFF_FFFF) as u32
}

/// Frame number `at` of traffic of so many aircraft; one in a hundred has a wrong bit.
pub fn frame(at: u64, aircraft: u64) -> Frame {
    let chance = mix(at);
    let (mut pick, who) = ((chance % 100) as u32, (chance >> 8) % aircraft);
    let kind = KINDS.iter().find(|(share, _)| pick.checked_sub(*share).map(|rest| pick = rest).is_none());
    let address = address(who);
    let long = |first: u32, field: u64| u128::from(first) << 80 | u128::from(field) << 24;
    let (pattern, length, overlay) = match kind.map_or(Kind::AllCall, |(_, kind)| *kind) {
        Kind::Squitter(field) => (long(0x8D << 24 | address, field ^ varied(field, chance >> 20)), 112, 0),
        Kind::AllCall => (u128::from(0x5D << 24 | address) << 24, 56, 0),
        Kind::Short(first) => (u128::from(first) << 24, 56, address),
        Kind::CommB(first, field) => (long(first, field), 112, address),
    };
    let frame = Frame::from_pattern(pattern, length).with_overlay(overlay);
    if chance >> 57 == 0 { frame.flipped(20 + (chance >> 50) as u8 % 30) } else { frame }
}

/// What changes from frame to frame: position, speed, rate of climb, the digits of the identification.
fn varied(field: u64, noise: u64) -> u64 {
    noise
        & match field >> 51 {
            7 | 11 => 0x7_FFFF_FFFF,
            19 => 0x3F_07E0_7C00,
            4 => 0x7_01C0,
            _ => 0,
        }
}

/// Writes so many lines, a frame each.
pub fn write(out: &mut impl Write, lines: u64, aircraft: u64) -> io::Result<()> {
    for at in 0..lines {
        writeln!(out, "{}", frame(at, aircraft))?;
    }
    Ok(())
}
