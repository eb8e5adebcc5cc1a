//! The number of a Comm-B register, written with a comma: `2,0`.

use super::{Code, CodeError, Meaning, Value, Version, bits};

bits! {
    /// Two hexadecimal digits that name a register.
    RegisterNumber(u8: 8)
}

impl RegisterNumber {
    /// The register with these two digits as one octet.
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

    fn meaning(self, _version: Version) -> Meaning {
        Meaning::new(Value::Text(self.to_string().into()), self.to_string())
    }

    fn from_meaning(wanted: &str, _version: Version) -> Result<Self, CodeError> {
        wanted.parse()
    }
}
