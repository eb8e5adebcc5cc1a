//! Aircraft identification: eight characters of six bits (handbook, ADS-B part, chapter 2).
//!
//! 1-26 are A to Z, 32 the space, 48-57 the digits; every other number is unassigned.

use super::{Code, CodeError, Meaning, MeaningKind, Step, Text, Value, Version, bits, is_no_data};
use std::fmt::{self, Write};

bits! {
    /// Eight characters of six bits, first character first.
    ///
    /// ```
    /// use squitterlab::code::{Bits, Identification};
    /// let code: Identification = "KLM1023".parse().unwrap();
    /// assert_eq!(code.bits(), 0x2CC371C32CE0);
    /// assert_eq!(code.to_string(), "KLM1023");
    /// assert!("KLM-1".parse::<Identification>().is_err());
    /// ```
    #[doc(alias("callsign", "flight ID"))]
    Identification(u64: 48)
}

/// Why text is not an aircraft identification.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum IdentificationError {
    /// More than eight characters.
    #[error("{text:?} has {length} characters; an aircraft identification has at most 8")]
    TooLong {
        /// What was given.
        text: String,
        /// How long it is.
        length: usize,
    },
    /// A character with no code.
    #[error("character {at} of {text:?} is {found:?}; only A to Z, 0 to 9 and spaces after them have a code")]
    Character {
        /// What was given.
        text: String,
        /// The place of the character, from 1.
        at: usize,
        /// The character.
        found: char,
    },
}

pub(super) const fn character(code: u8) -> Option<char> {
    match code {
        1..=26 => Some((b'A' + code - 1) as char),
        32 | 48..=57 => Some(code as char),
        _ => None,
    }
}

impl Identification {
    /// The eight six-bit codes.
    ///
    /// ```
    /// use squitterlab::code::Identification;
    /// // N is 14, digits are 48 and up, the space behind is 32.
    /// let text: Identification = "N47QX".parse().unwrap();
    /// assert_eq!(text.characters(), [14, 52, 55, 17, 24, 32, 32, 32]);
    /// ```
    pub fn characters(self) -> [u8; 8] {
        std::array::from_fn(|at| (self.0 >> (42 - 6 * at) & 0x3F) as u8)
    }

    /// Whether every character is assigned and spaces stand only behind the others.
    ///
    /// ```
    /// use squitterlab::code::{Bits, Identification};
    /// assert!("N47QX".parse::<Identification>().unwrap().is_well_formed());
    /// // Eight times the code 0, which no character has.
    /// assert!(!Identification::from_bits(0).is_well_formed());
    /// ```
    pub fn is_well_formed(self) -> bool {
        let text = self.characters().map(character);
        let length = text.iter().rposition(|character| *character != Some(' ')).map_or(0, |last| last + 1);
        length > 0 && text[..length].iter().all(|character| character.is_some_and(|character| character != ' '))
    }

    /// The characters, `?` for those that are not assigned, and how many of them come before the spaces at the end.
    fn text(self) -> ([u8; 8], usize) {
        let text =
            self.characters().map(|code| if character(code).is_some() { code | (code & 32 ^ 32) << 1 } else { b'?' });
        let length = text.iter().rposition(|character| *character != b' ').map_or(0, |last| last + 1);
        (text, length)
    }

    /// The same as a value.
    pub(crate) fn as_text(self) -> Text {
        let (text, length) = self.text();
        Text::few(text.into_iter().take(length))
    }

    fn in_words(self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "\"{self}\"")?;
        if self.is_well_formed() {
            return Ok(());
        }
        for (at, code) in self.characters().into_iter().enumerate() {
            if character(code).is_none() {
                write!(f, ", character {} is {code}, which is unassigned", at + 1)?;
            }
        }
        match self.text() {
            (_, 0) => f.write_str(", only spaces"),
            (text, length) if text[..length].contains(&b' ') => f.write_str(", a space before its end"),
            _ => Ok(()),
        }
    }
}

/// The text without the spaces behind it; an unassigned character is shown as `?`.
impl std::fmt::Display for Identification {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let (text, length) = self.text();
        text[..length].iter().try_for_each(|character| f.write_char((*character).into()))
    }
}

impl std::str::FromStr for Identification {
    type Err = IdentificationError;

    fn from_str(text: &str) -> Result<Self, IdentificationError> {
        let length = text.chars().count();
        if length > 8 {
            return Err(IdentificationError::TooLong { text: text.to_owned(), length });
        }
        let mut bits = 0;
        for (at, found) in text.chars().chain(std::iter::repeat(' ')).take(8).enumerate() {
            if !matches!(found, 'A'..='Z' | '0'..='9' | ' ') {
                return Err(IdentificationError::Character { text: text.to_owned(), at: at + 1, found });
            }
            // The six-bit code is the low end of the character's own.
            bits = bits << 6 | u64::from(found as u32 & 0x3F);
        }
        Ok(Self(bits))
    }
}

impl Code for Identification {
    const RULE: &'static str =
        "eight characters of six bits: 1-26 A to Z, 32 space, 48-57 digits; all zero: not available";
    const KIND: MeaningKind = MeaningKind::Text;

    fn meaning(self, version: Version) -> Meaning {
        if self.0 == 0 {
            return Meaning::none("not available");
        }
        Meaning::written(Value::Text(self.as_text()), self.0, version, |bits, _, f| Self(bits).in_words(f))
    }

    fn from_meaning(wanted: &str, _version: Version) -> Result<Self, CodeError> {
        if is_no_data(wanted) {
            return Ok(Self(0));
        }
        wanted.parse().map_err(|error: IdentificationError| CodeError::Refused(error.to_string()))
    }

    fn steps(self, _version: Version) -> Vec<Step> {
        self.characters().into_iter().enumerate().map(|(at, code)| read_character(at, code)).collect()
    }

    fn steps_to(self, _wanted: &str, _version: Version) -> Vec<Step> {
        self.characters().into_iter().enumerate().map(|(at, code)| written_character(at, code)).collect()
    }
}

/// From six bits to a character.
pub(super) fn read_character(at: usize, code: u8) -> Step {
    let says = match character(code) {
        Some(' ') => "space".to_owned(),
        Some(letter) => letter.to_string(),
        None => "unassigned".to_owned(),
    };
    Step::new(format!("{code:06b}"), format!("{code}, {says}")).explained(format!("character {}", at + 1))
}

/// From a character to six bits.
pub(super) fn written_character(at: usize, code: u8) -> Step {
    let step = match character(code) {
        Some(digit @ '0'..='9') => Step::new(format!("48 + {digit}"), format!("{code}, {code:06b}")),
        Some(letter @ 'A'..='Z') => {
            return Step::new(code.to_string(), format!("{code:06b}"))
                .explained(format!("character {}: {letter} is letter {code} of the alphabet", at + 1));
        }
        _ => Step::new(code.to_string(), format!("{code:06b}")),
    };
    step.explained(match character(code) {
        Some(digit @ '0'..='9') => format!("character {}: the digit {digit}", at + 1),
        _ => format!("character {}: space", at + 1),
    })
}
