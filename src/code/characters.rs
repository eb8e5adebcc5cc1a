//! Characters of six bits in a row of fixed length, as registers hold waypoints, registrations and airline codes.

use super::identification::{character, read_character, written_character};
use super::{Bits, Code, CodeError, Meaning, MeaningKind, Step, Text, Value, Version, is_no_data};
use std::fmt::Write;

/// `W` bits: a sixth as many characters, first character first, in the alphabet of the aircraft identification.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Characters<const W: u8>(u64);

impl<const W: u8> Bits for Characters<W> {
    const WIDTH: u8 = W;
    fn from_bits(bits: u64) -> Self {
        Self(bits & ((1 << W) - 1))
    }
    fn bits(self) -> u64 {
        self.0
    }
}

impl<const W: u8> Characters<W> {
    fn codes(self) -> impl Iterator<Item = u8> {
        (0..W / 6).map(move |at| (self.0 >> (W - 6 * (at + 1)) & 0x3F) as u8)
    }

    /// The characters without the spaces behind them.
    fn text(self) -> impl Iterator<Item = u8> {
        let text = move || self.codes().map(|code| character(code).map_or(b'?', |character| character as u8));
        let length = text().enumerate().filter(|(_, character)| *character != b' ').last().map_or(0, |(at, _)| at + 1);
        text().take(length)
    }

    /// Whether every character is assigned.
    pub(crate) fn is_assigned(self) -> bool {
        self.codes().all(|code| character(code).is_some())
    }
}

/// The text without the spaces behind it; an unassigned character is shown as `?`.
impl<const W: u8> std::fmt::Display for Characters<W> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.text().try_for_each(|character| f.write_char(character.into()))
    }
}

impl<const W: u8> Code for Characters<W> {
    const RULE: &'static str = "characters of six bits: 1-26 A to Z, 32 space, 48-57 digits; all zero: not available";
    const KIND: MeaningKind = MeaningKind::Text;

    fn meaning(self, version: Version) -> Meaning {
        if self.0 == 0 {
            return Meaning::none("not available");
        }
        Meaning::written(Value::Text(Text::few(self.text())), self.0, version, |bits, _, f| {
            let code = Self(bits);
            write!(f, "\"{code}\"{}", if code.is_assigned() { "" } else { ", where ? is an unassigned character" })
        })
    }

    fn from_meaning(wanted: &str, _version: Version) -> Result<Self, CodeError> {
        if is_no_data(wanted) {
            return Ok(Self(0));
        }
        let most = usize::from(W / 6);
        if wanted.chars().count() > most || wanted.chars().any(|c| !matches!(c, 'A'..='Z' | '0'..='9' | ' ')) {
            return Err(CodeError::Refused(format!(
                "{wanted:?}: at most {most} of A to Z, 0 to 9 and space have codes"
            )));
        }
        // The six-bit code is the low end of the character's own.
        let codes = wanted.chars().chain(std::iter::repeat(' ')).take(most);
        Ok(Self(codes.fold(0, |bits, c| bits << 6 | u64::from(c as u32 & 0x3F))))
    }

    fn steps(self, _version: Version) -> Vec<Step> {
        self.codes().enumerate().map(|(at, code)| read_character(at, code)).collect()
    }

    fn steps_to(self, _wanted: &str, _version: Version) -> Vec<Step> {
        self.codes().enumerate().map(|(at, code)| written_character(at, code)).collect()
    }
}
