//! The 24-bit parity of Mode S: ICAO Annex 10 Volume IV, 3.1.2.3.3.

use crc::{Algorithm, Crc, Table};

/// How many bits at the end of a frame are parity.
pub const PARITY_BITS: u8 = 24;

/// Generator x^24 + x^23 + … + x^12 + x^10 + x^3 + 1, hexadecimal 1FFF409 (handbook, chapter 10).
const ALGORITHM: Algorithm<u32> = Algorithm {
    width: 24,
    poly: 0xFF_F409,
    init: 0,
    refin: false,
    refout: false,
    xorout: 0,
    check: 0x05_4268,
    residue: 0,
};

static PARITY: Crc<u32, Table<16>> = Crc::<u32, Table<16>>::new(&ALGORITHM);

// The crate takes `check` on trust, so the build asks once.
const _: () = assert!(Crc::<u32, Table<1>>::new(&ALGORITHM).checksum(b"123456789") == ALGORITHM.check);

/// The 24-bit parity of these octets: the remainder after 24 zero bits are appended.
///
/// Source: ICAO Annex 10 Volume IV, 3.1.2.3.3. The worked example is the handbook's (chapter 10):
///
/// ```
/// use squitterlab::frame::parity_of;
/// let data = [0x8D, 0x40, 0x6B, 0x90, 0x20, 0x15, 0xA6, 0x78, 0xD4, 0xD2, 0x20];
/// assert_eq!(parity_of(&data), 0xAA4BDA);
/// ```
#[inline]
#[doc(alias = "CRC")]
pub fn parity_of(data: &[u8]) -> u32 {
    let mut padded = [0; 16];
    match 16usize.checked_sub(data.len()) {
        Some(start) => {
            padded[start..].copy_from_slice(data);
            of_block(padded)
        }
        None => PARITY.checksum(data),
    }
}

/// The parity of what comes after the leading zeros: they leave a register that starts at zero alone, and sixteen octets
/// are one step of the table.
#[inline]
pub(super) fn of_block(padded: [u8; 16]) -> u32 {
    PARITY.checksum(&padded)
}
