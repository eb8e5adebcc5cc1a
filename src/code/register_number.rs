//! The number of a Comm-B register, written with a comma: `2,0`.

use super::{Code, CodeError, Meaning, MeaningKind, Text, Value, Version, bits};

bits! {
    /// Two hexadecimal digits that name a register.
    #[doc(alias = "BDS")]
    RegisterNumber(u8: 8)
}

impl RegisterNumber {
    /// The register with these two digits as one octet.
    ///
    /// ```
    /// use squitterlab::code::RegisterNumber;
    /// assert_eq!(RegisterNumber::new(0x20).to_string(), "2,0");
    /// ```
    pub const fn new(number: u8) -> Self {
        Self(number)
    }
}

impl std::fmt::Display for RegisterNumber {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{:X},{:X}", self.0 >> 4, self.0 & 15)
    }
}

impl std::str::FromStr for RegisterNumber {
    type Err = CodeError;

    fn from_str(text: &str) -> Result<Self, CodeError> {
        let digit = |text: &str| u8::from_str_radix(text, 16).ok().filter(|digit| text.len() == 1 && *digit < 16);
        text.trim().split_once(',').and_then(|(high, low)| Some(Self(digit(high)? << 4 | digit(low)?))).ok_or_else(
            || {
                CodeError::Refused(format!(
                    "{text:?} is not a register: two hexadecimal digits with a comma, such as 2,0"
                ))
            },
        )
    }
}

impl Code for RegisterNumber {
    const RULE: &'static str = "the register's own number";
    const KIND: MeaningKind = MeaningKind::Text;

    fn meaning(self, version: Version) -> Meaning {
        let digit = |digit: u8| b"0123456789ABCDEF"[usize::from(digit)];
        let text = Text::few([digit(self.0 >> 4), b',', digit(self.0 & 15)]);
        Meaning::written(Value::Text(text), self.0.into(), version, |bits, _, f| write!(f, "{}", Self(bits as u8)))
    }

    fn from_meaning(wanted: &str, _version: Version) -> Result<Self, CodeError> {
        wanted.parse()
    }
}
