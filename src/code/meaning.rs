//! The meaning of a code: a value, and words that are written only when somebody reads them. Nothing of it is
//! allocated.

use super::{Version, spaced};
use std::fmt::{self, Formatter, Write};

/// What the values of a code are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum MeaningKind {
    /// Yes or no.
    Flag,
    /// Whole numbers.
    Integer,
    /// Numbers.
    Decimal,
    /// Words of a list.
    Word,
    /// Text that is made of the code.
    Text,
    /// Whole numbers, or a word in place of one.
    IntegerOrWord,
}

impl MeaningKind {
    /// Whether a code of this kind may say such a value; "no data" is of every kind.
    ///
    /// ```
    /// use squitterlab::code::{MeaningKind, Value};
    /// assert!(MeaningKind::Integer.holds(&Value::Integer(8)) && MeaningKind::Integer.holds(&Value::Null));
    /// assert!(!MeaningKind::Integer.holds(&Value::Decimal(8.5)));
    /// ```
    pub const fn holds(self, value: &Value) -> bool {
        matches!(
            (self, value),
            (_, Value::Null)
                | (Self::Flag, Value::Bool(_))
                | (Self::Integer | Self::IntegerOrWord | Self::Decimal, Value::Integer(_))
                | (Self::Decimal, Value::Decimal(_))
                | (Self::Word | Self::IntegerOrWord, Value::Word(_))
                | (Self::Text, Value::Text(_))
        )
    }
}

/// What a code says, as data.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum Value {
    /// The standard's "no data".
    Null,
    /// Yes or no.
    Bool(bool),
    /// A whole number; its unit is in the field's name.
    Integer(i64),
    /// A number; its unit is in the field's name.
    Decimal(f64),
    /// A word of a list, in fixed `snake_case`.
    Word(&'static str),
    /// Text that is made of the code.
    Text(Text),
}

impl Value {
    /// A number rounded to `places` decimal places.
    pub(crate) fn decimal(value: f64, places: u8) -> Self {
        Self::Decimal(Self::rounded(value, places))
    }

    /// The same as a plain number.
    pub(crate) fn rounded(value: f64, places: u8) -> f64 {
        const SCALES: [f64; 8] = [1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7];
        let scale = SCALES.get(usize::from(places)).copied().unwrap_or_else(|| 10f64.powi(i32::from(places)));
        let rounded = (value * scale).round() / scale;
        if rounded == 0.0 { 0.0 } else { rounded }
    }

    /// As a number, if it is one.
    ///
    /// ```
    /// use squitterlab::code::Value;
    /// assert_eq!((Value::Integer(8).number(), Value::Word("none").number()), (Some(8.0), None));
    /// ```
    pub const fn number(&self) -> Option<f64> {
        match self {
            Self::Integer(number) => Some(*number as f64),
            Self::Decimal(number) => Some(*number),
            Self::Null | Self::Bool(_) | Self::Word(_) | Self::Text(_) => None,
        }
    }
}

/// Whether it is this word or text.
impl PartialEq<&str> for Value {
    fn eq(&self, other: &&str) -> bool {
        match self {
            Self::Word(word) => word == other,
            Self::Text(text) => text == other,
            _ => false,
        }
    }
}

/// As in JSON, but without quotation marks.
impl fmt::Display for Value {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        match self {
            Self::Null => f.write_str("null"),
            Self::Bool(yes) => write!(f, "{yes}"),
            Self::Integer(number) => write!(f, "{number}"),
            Self::Decimal(number) => write!(f, "{number}"),
            Self::Word(word) => f.write_str(word),
            Self::Text(text) => write!(f, "{text}"),
        }
    }
}

impl serde::Serialize for Value {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Null => serializer.serialize_unit(),
            Self::Bool(yes) => serializer.serialize_bool(*yes),
            Self::Integer(number) => serializer.serialize_i64(*number),
            Self::Decimal(number) => serializer.serialize_f64(*number),
            Self::Word(word) => serializer.serialize_str(word),
            Self::Text(text) => serializer.collect_str(text),
        }
    }
}

impl From<Value> for serde_json::Value {
    fn from(value: Value) -> Self {
        match value {
            Value::Null => Self::Null,
            Value::Bool(yes) => Self::Bool(yes),
            Value::Integer(number) => Self::from(number),
            Value::Decimal(number) => Self::from(number),
            Value::Word(word) => Self::from(word),
            Value::Text(text) => Self::from(text.to_string()),
        }
    }
}

/// Writes what a code says, in a version of the standard.
pub type WriteWords = fn(u64, Version, &mut Formatter<'_>) -> fmt::Result;

/// A code, and how what it says is written.
#[derive(Clone, Copy)]
struct Written {
    code: u64,
    version: Version,
    write: WriteWords,
}

impl fmt::Display for Written {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        (self.write)(self.code, self.version, f)
    }
}

/// Text that a code says: a few characters, or more that are written when they are read.
#[derive(Clone, Copy)]
pub struct Text(Characters);

#[derive(Clone, Copy)]
enum Characters {
    Few { octets: [u8; Text::FEW], length: u8 },
    Many(Written),
}

impl Text {
    /// This many characters are kept as they are.
    pub const FEW: usize = 14;

    /// Up to 14 ASCII characters, of which none has to be escaped in JSON or CSV.
    pub(crate) fn few(characters: impl IntoIterator<Item = u8>) -> Self {
        let (mut octets, mut length) = ([0; Self::FEW], 0);
        for (place, character) in octets.iter_mut().zip(characters) {
            *place = character;
            length += 1;
        }
        Self(Characters::Few { octets, length })
    }

    /// Text that is written when it is read.
    pub(crate) fn many(code: u64, version: Version, write: WriteWords) -> Self {
        Self(Characters::Many(Written { code, version, write }))
    }

    /// The text, where it is short; none of its characters has to be escaped in JSON or CSV.
    ///
    /// ```
    /// use squitterlab::code::{Code, Identification, Value, Version};
    /// let text: Identification = "N47QX".parse().unwrap();
    /// let Value::Text(text) = text.meaning(Version::Two).value else { panic!() };
    /// assert_eq!(text.as_str(), Some("N47QX"));
    /// ```
    pub fn as_str(&self) -> Option<&str> {
        match &self.0 {
            Characters::Few { octets, length } => std::str::from_utf8(&octets[..usize::from(*length)]).ok(),
            Characters::Many(_) => None,
        }
    }

    /// The characters of a short text with zeros behind them, and how many there are.
    pub(crate) fn padded(&self) -> Option<(&[u8; Self::FEW], usize)> {
        match &self.0 {
            Characters::Few { octets, length } => Some((octets, usize::from(*length))),
            Characters::Many(_) => None,
        }
    }
}

impl fmt::Display for Text {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        match &self.0 {
            Characters::Few { .. } => f.write_str(self.as_str().unwrap_or_default()),
            Characters::Many(written) => written.fmt(f),
        }
    }
}

impl fmt::Debug for Text {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(&self.to_string(), f)
    }
}

impl PartialEq for Text {
    fn eq(&self, other: &Self) -> bool {
        match (self.padded(), other.padded()) {
            (Some(one), Some(other)) => one == other,
            _ => self.to_string() == other.to_string(),
        }
    }
}

impl PartialEq<&str> for Text {
    fn eq(&self, other: &&str) -> bool {
        is_written_as(self, other)
    }
}

/// Whether something is written as this text.
fn is_written_as(written: &impl fmt::Display, text: &str) -> bool {
    struct Rest<'a>(&'a str);
    impl Write for Rest<'_> {
        fn write_str(&mut self, written: &str) -> fmt::Result {
            self.0 = self.0.strip_prefix(written).ok_or(fmt::Error)?;
            Ok(())
        }
    }
    let mut rest = Rest(text);
    write!(rest, "{written}").is_ok() && rest.0.is_empty()
}

/// Words for a person: they are written when they are read.
#[derive(Clone, Copy)]
pub struct Wording(How);

#[derive(Clone, Copy)]
enum How {
    Fixed(&'static str),
    /// A whole number, its digits in groups, and its unit.
    Integer(i64, &'static str),
    /// A number with two decimal places, and its unit.
    Hundredths(f64, &'static str),
    /// A number, and its unit.
    Number(f64, &'static str),
    /// What lies past the end of a scale.
    Past(f64, &'static str),
    Written(Written),
}

impl Wording {
    /// Words that are made of a code when they are read.
    pub(crate) const fn written(code: u64, version: Version, write: WriteWords) -> Self {
        Self(How::Written(Written { code, version, write }))
    }

    /// A number and its unit.
    pub(crate) const fn number(number: f64, unit: &'static str) -> Self {
        Self(How::Number(number, unit))
    }

    /// A number with two decimal places, and its unit.
    pub(crate) const fn hundredths(number: f64, unit: &'static str) -> Self {
        Self(How::Hundredths(number, unit))
    }
}

impl From<&'static str> for Wording {
    fn from(words: &'static str) -> Self {
        Self(How::Fixed(words))
    }
}

impl fmt::Display for Wording {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        match self.0 {
            How::Fixed(words) => f.write_str(words),
            How::Integer(number, "") => f.write_str(&spaced(number)),
            How::Integer(number, unit) => write!(f, "{} {unit}", spaced(number)),
            How::Number(number, "") => write!(f, "{number}"),
            How::Number(number, unit) => write!(f, "{number} {unit}"),
            How::Hundredths(number, unit) => write!(f, "{number:.2} {unit}"),
            How::Past(end, unit) if end < 0.0 => write!(f, "below {end} {unit}"),
            How::Past(end, unit) => write!(f, "more than {end} {unit}"),
            How::Written(written) => written.fmt(f),
        }
    }
}

impl fmt::Debug for Wording {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(&self.to_string(), f)
    }
}

impl PartialEq for Wording {
    fn eq(&self, other: &Self) -> bool {
        is_written_as(self, &other.to_string())
    }
}

impl PartialEq<&str> for Wording {
    fn eq(&self, other: &&str) -> bool {
        is_written_as(self, other)
    }
}

impl serde::Serialize for Wording {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

/// What a code says as data: what machines read of a [`Meaning`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeaningData {
    /// The value.
    pub value: Value,
    /// For a value that is only a number in a list: what the number stands for, in fixed `snake_case`.
    pub name: Option<&'static str>,
    /// Whether this is the last code of a scale, which also holds everything past the number.
    pub beyond: bool,
}

/// What a code says: as data, and in words.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Meaning {
    /// As data.
    pub value: Value,
    /// For a value that is only a number in a list: what the number stands for, in fixed `snake_case`.
    pub name: Option<&'static str>,
    /// Whether this is the last code of a scale, which also holds everything past the number.
    pub beyond: bool,
    /// Whether it is only what lies past the number, and the number itself has no code.
    pub past: bool,
    /// In words, for a person.
    pub text: Wording,
}

impl Meaning {
    /// A meaning in data and words.
    #[inline]
    pub(crate) fn new(value: Value, text: impl Into<Wording>) -> Self {
        Self { value, name: None, beyond: false, past: false, text: text.into() }
    }

    /// A meaning whose words are made of a code when they are read.
    #[inline]
    pub(crate) fn written(value: Value, code: u64, version: Version, write: WriteWords) -> Self {
        Self::new(value, Wording::written(code, version, write))
    }

    /// In words, with the number before them where the value is a number in a list: `9, below 30 m`.
    ///
    /// ```
    /// use squitterlab::code::{Bits, Code, Sil, Version};
    /// let sil = Sil::from_bits(3);
    /// assert!(sil.meaning(Version::Two).words().to_string().starts_with("3, "));
    /// ```
    pub fn words(&self) -> impl fmt::Display + '_ {
        fmt::from_fn(|f| {
            if let (Value::Integer(number), Some(_)) = (&self.value, self.name) {
                write!(f, "{number}, ")?;
            }
            write!(f, "{}", self.text)
        })
    }

    /// What machines read of it.
    ///
    /// ```
    /// use squitterlab::code::{Altitude12, Bits, Code, Value, Version};
    /// let said = Altitude12::from_bits(0xC38).meaning(Version::Two).said();
    /// assert_eq!(said.value, Value::Integer(38_000));
    /// ```
    #[inline]
    pub const fn said(&self) -> MeaningData {
        MeaningData { value: self.value, name: self.name, beyond: self.beyond }
    }

    /// The same of the last code of a scale: the number, or anything past it.
    #[inline]
    #[must_use]
    pub(crate) const fn or_beyond(mut self) -> Self {
        self.beyond = true;
        self
    }

    /// What lies past the end of a scale: the end as a number, and that it is more than that.
    #[inline]
    pub(crate) fn past(end: f64, unit: &'static str) -> Self {
        let value = if end.fract() == 0.0 { Value::Integer(end as i64) } else { Value::Decimal(end) };
        Self { past: true, ..Self::new(value, Wording(How::Past(end, unit))).or_beyond() }
    }

    /// Whether another meaning says the same as data.
    pub(crate) fn says_the_same(&self, other: &Self) -> bool {
        self.said() == other.said()
    }

    /// "No data", and why.
    #[inline]
    pub(crate) fn none(text: impl Into<Wording>) -> Self {
        Self::new(Value::Null, text)
    }

    /// A whole number with its unit, written as one.
    #[inline]
    pub(crate) fn integer(number: i64, unit: &'static str) -> Self {
        Self::new(Value::Integer(number), Wording(How::Integer(number, unit)))
    }
}
