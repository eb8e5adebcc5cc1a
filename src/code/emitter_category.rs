//! Emitter category: a set A to D, which goes with type codes 4 to 1, and a number 0 to 7 in it.

use super::{Bits, Code, CodeError, Meaning, MeaningKind, Text, Value, Version, bits};
use std::fmt::{self, Write};

bits! {
    /// The number within the category set (ME 6-8).
    CategoryCode(u8: 3)
}

impl Code for CategoryCode {
    const RULE: &'static str = "the number within the set that the type code names";
    const KIND: MeaningKind = MeaningKind::Integer;

    fn meaning(self, _version: Version) -> Meaning {
        Meaning::integer(self.0.into(), "")
    }

    fn from_meaning(wanted: &str, version: Version) -> Result<Self, CodeError> {
        super::Number::<3>::from_meaning(wanted, version).map(|n| Self(n.bits() as u8))
    }
}

/// Set and number together, such as `A1`.
///
/// ```
/// use squitterlab::code::EmitterCategory;
/// let light: EmitterCategory = "A1".parse().unwrap();
/// assert_eq!((light.type_code(), light.number()), (4, 1));
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct EmitterCategory {
    type_code: u8,
    number: u8,
}

impl EmitterCategory {
    /// The category of type code 1 to 4 and number 0 to 7.
    ///
    /// ```
    /// use squitterlab::code::{Bits, CategoryCode, EmitterCategory};
    /// assert_eq!(EmitterCategory::new(4, CategoryCode::from_bits(1)).unwrap().to_string(), "A1");
    /// assert!(EmitterCategory::new(5, CategoryCode::from_bits(1)).is_none());
    /// ```
    pub const fn new(type_code: u8, number: CategoryCode) -> Option<Self> {
        if matches!(type_code, 1..=4) { Some(Self { type_code, number: number.0 }) } else { None }
    }

    /// The type code that names the set: 4 for A to 1 for D.
    ///
    /// ```
    /// use squitterlab::code::EmitterCategory;
    /// assert_eq!("A1".parse::<EmitterCategory>().unwrap().type_code(), 4);
    /// ```
    pub const fn type_code(self) -> u8 {
        self.type_code
    }

    /// The number within the set.
    ///
    /// ```
    /// use squitterlab::code::EmitterCategory;
    /// assert_eq!("A7".parse::<EmitterCategory>().unwrap().number(), 7);
    /// ```
    pub const fn number(self) -> u8 {
        self.number
    }

    /// The number as the code on the air.
    pub(crate) const fn code(self) -> CategoryCode {
        CategoryCode(self.number)
    }

    /// The letter of the set.
    ///
    /// ```
    /// use squitterlab::code::EmitterCategory;
    /// assert_eq!("B1".parse::<EmitterCategory>().unwrap().set(), 'B');
    /// ```
    pub const fn set(self) -> char {
        (b'A' + (4 - self.type_code)) as char
    }

    /// What the category is. Obstacles beyond C3 are known from version 2 on (that versions 0 and 1 lack
    /// them is from memory).
    ///
    /// ```
    /// use squitterlab::code::{EmitterCategory, Version};
    /// assert_eq!("A7".parse::<EmitterCategory>().unwrap().words(Version::Two), "rotorcraft");
    /// ```
    pub fn words(self, version: Version) -> &'static str {
        match (self.set(), self.number) {
            (_, 0) => "no category information",
            ('A', 1) => "light, below 15 500 lb (7000 kg)",
            ('A', 2) => "small, 15 500 to 75 000 lb (7000 to 34 000 kg)",
            ('A', 3) => "large, 75 000 to 300 000 lb (34 000 to 136 000 kg)",
            ('A', 4) => "high-vortex large",
            ('A', 5) => "heavy, above 300 000 lb (136 000 kg)",
            ('A', 6) => "high performance, more than 5 g and 400 kt",
            ('A', 7) => "rotorcraft",
            ('B', 1) => "glider or sailplane",
            ('B', 2) => "lighter than air",
            ('B', 3) => "parachutist or skydiver",
            ('B', 4) => "ultralight, hang-glider or paraglider",
            ('B', 6) => "unmanned aerial vehicle",
            ('B', 7) => "space or trans-atmospheric vehicle",
            ('C', 1) => "surface vehicle, emergency",
            ('C', 2) => "surface vehicle, service",
            ('C', 3) => "ground obstruction, point or tethered",
            ('C', 4) if version >= Version::Two => "cluster obstacle",
            ('C', 5) if version >= Version::Two => "line obstacle",
            _ => "reserved",
        }
    }

    /// Set and number as data, with the words.
    pub(crate) fn meaning(self, version: Version) -> Meaning {
        let text = Text::few([self.set() as u8, b'0' + self.number]);
        let code = u64::from(self.type_code) << 3 | u64::from(self.number);
        Meaning::written(Value::Text(text), code, version, |code, version, f| {
            let category = Self { type_code: (code >> 3) as u8, number: code as u8 & 7 };
            write!(f, "{category}: {}", category.words(version))
        })
    }
}

bits! {
    /// The first octet of an identification message: the type code says the set, and the number is behind it.
    CategoryOctet(u8: 8)
}

impl Code for CategoryOctet {
    const RULE: &'static str = "the type code says the set, D to A; the next three bits the number";
    const KIND: MeaningKind = MeaningKind::Text;

    fn meaning(self, version: Version) -> Meaning {
        EmitterCategory::new(self.0 >> 3, CategoryCode(self.0 & 7))
            .map_or_else(|| Meaning::none("none"), |category| category.meaning(version))
    }

    fn from_meaning(wanted: &str, _version: Version) -> Result<Self, CodeError> {
        wanted.parse().map(|category: EmitterCategory| Self(category.type_code << 3 | category.number))
    }
}

impl fmt::Display for EmitterCategory {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_char(self.set())?;
        f.write_char((b'0' + self.number).into())
    }
}

impl std::str::FromStr for EmitterCategory {
    type Err = CodeError;

    fn from_str(text: &str) -> Result<Self, CodeError> {
        match text.trim().as_bytes() {
            [set @ b'A'..=b'D', number @ b'0'..=b'7'] => {
                Ok(Self { type_code: 4 - (set - b'A'), number: number - b'0' })
            }
            _ => Err(CodeError::NotOneOf {
                found: text.to_owned(),
                known: "A0 to A7, B0 to B7, C0 to C7, D0 to D7".to_owned(),
            }),
        }
    }
}
