//! Plain numbers, reserved bits, and the parity overlay.

use super::{Bits, Code, CodeError, Meaning, MeaningKind, Text, Value, Version, number};
use crate::frame::Address;

/// A plain number of `W` bits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Number<const W: u8>(u64);

impl<const W: u8> Bits for Number<W> {
    const WIDTH: u8 = W;
    #[inline]
    fn from_bits(bits: u64) -> Self {
        Self(bits & ((1 << W) - 1))
    }
    #[inline]
    fn bits(self) -> u64 {
        self.0
    }
}

impl<const W: u8> Code for Number<W> {
    const RULE: &'static str = "a plain number";
    const KIND: MeaningKind = MeaningKind::Integer;

    fn meaning(self, _version: Version) -> Meaning {
        Meaning::integer(self.0 as i64, "")
    }

    fn from_meaning(wanted: &str, _version: Version) -> Result<Self, CodeError> {
        let most = (1u64 << W) - 1;
        // A whole number of many bits is not whole in a float.
        let given = match wanted.trim().parse() {
            Ok(given) => Some(given),
            Err(_) => Some(number(wanted)?)
                .filter(|given| *given >= 0.0 && *given < (1u64 << W) as f64 && given.fract() == 0.0)
                .map(|given| given as u64),
        };
        given.filter(|given| *given <= most).map(Self).ok_or_else(|| CodeError::out_of_range(wanted, 0, most, ""))
    }
}

/// Bits that the standard keeps for itself: sent as zero, kept as received.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Reserved<const W: u8>(u64);

impl<const W: u8> Reserved<W> {
    /// All zeros, as the standard requires.
    pub const ZERO: Self = Self(0);
}

impl<const W: u8> Bits for Reserved<W> {
    const WIDTH: u8 = W;
    #[inline]
    fn from_bits(bits: u64) -> Self {
        Self(bits & ((1 << W) - 1))
    }
    #[inline]
    fn bits(self) -> u64 {
        self.0
    }
}

impl<const W: u8> Code for Reserved<W> {
    const RULE: &'static str = "reserved: sent as zero";
    const KIND: MeaningKind = MeaningKind::Integer;

    fn meaning(self, _version: Version) -> Meaning {
        Meaning::new(
            Value::Integer(self.0 as i64),
            if self.0 == 0 { "reserved, zero" } else { "reserved, but not zero" },
        )
    }

    fn from_meaning(wanted: &str, version: Version) -> Result<Self, CodeError> {
        Number::<W>::from_meaning(wanted, version).map(|n| Self(n.0))
    }
}

/// The 24 bits that the parity is overlaid with: zero, an interrogator code or an address.
///
/// On the air stand the parity of all bits before, exclusive-or this overlay; with the bits before, either gives the other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Overlay(u32);

impl Bits for Overlay {
    const WIDTH: u8 = 24;
    fn from_bits(bits: u64) -> Self {
        Self((bits & 0xFF_FFFF) as u32)
    }
    fn bits(self) -> u64 {
        u64::from(self.0)
    }
}

impl Code for Overlay {
    const RULE: &'static str = "parity of the bits before, exclusive-or the overlay";
    const KIND: MeaningKind = MeaningKind::Integer;

    fn meaning(self, _version: Version) -> Meaning {
        Meaning::written(Value::Integer(self.0.into()), self.0.into(), Version::Two, |overlay, _, f| match overlay {
            0 => f.write_str("parity of the bits before, nothing XORed onto it"),
            _ => write!(f, "parity of the bits before, overlaid with {overlay:06X}"),
        })
    }

    fn from_meaning(wanted: &str, version: Version) -> Result<Self, CodeError> {
        match Address::from_hex(wanted) {
            Ok(address) => Ok(Self(address.bits())),
            Err(_) => Number::<24>::from_meaning(wanted, version).map(|n| Self(n.0 as u32)),
        }
    }
}

impl Bits for Address {
    const WIDTH: u8 = 24;
    fn from_bits(bits: u64) -> Self {
        Self::new(bits as u32)
    }
    fn bits(self) -> u64 {
        u64::from(Address::bits(self))
    }
}

impl Code for Address {
    const RULE: &'static str = "the 24-bit aircraft address";
    const KIND: MeaningKind = MeaningKind::Text;

    fn meaning(self, version: Version) -> Meaning {
        let mut digits = [0; Self::DIGITS];
        let text = Text::few(self.encode_hex(&mut digits).bytes());
        Meaning::written(Value::Text(text), self.bits().into(), version, |bits, _, f| {
            write!(f, "{}", Self::new(bits as u32))
        })
    }

    fn from_meaning(wanted: &str, _version: Version) -> Result<Self, CodeError> {
        Self::from_hex(wanted).map_err(|error| CodeError::Refused(format!("{wanted:?}: {error}")))
    }
}
