//! One bit: yes or no.

use super::{Bits, Code, CodeError, Meaning, MeaningKind, Value, Version, bits};

bits! {
    /// One bit that says yes (1) or no (0).
    Flag(u8: 1)
}

impl Flag {
    /// Yes.
    pub const YES: Self = Self(1);
    /// No.
    pub const NO: Self = Self(0);

    /// Yes or no.
    ///
    /// ```
    /// use squitterlab::code::{Bits, Flag};
    /// assert_eq!(Flag::new(true).bits(), 1);
    /// ```
    pub const fn new(yes: bool) -> Self {
        Self(yes as u8)
    }

    /// Whether the bit is 1.
    ///
    /// ```
    /// use squitterlab::code::{Bits, Flag};
    /// assert!(Flag::from_bits(1).is_set() && !Flag::from_bits(0).is_set());
    /// ```
    pub const fn is_set(self) -> bool {
        self.0 == 1
    }
}

impl Code for Flag {
    const RULE: &'static str = "1 yes, 0 no";
    const KIND: MeaningKind = MeaningKind::Flag;

    fn meaning(self, _version: Version) -> Meaning {
        Meaning::new(Value::Bool(self.is_set()), if self.is_set() { "yes" } else { "no" })
    }

    fn from_meaning(wanted: &str, _version: Version) -> Result<Self, CodeError> {
        match wanted.trim() {
            "1" | "true" | "yes" => Ok(Self::YES),
            "0" | "false" | "no" => Ok(Self::NO),
            _ => Err(CodeError::NotOneOf { found: wanted.to_owned(), known: "true, false".to_owned() }),
        }
    }
}

impl From<bool> for Flag {
    fn from(yes: bool) -> Self {
        Self::new(yes)
    }
}

impl Flag {
    /// The bit as 0 or 1, for fields that the standard numbers rather than answers.
    pub(crate) fn as_number(self) -> Meaning {
        Meaning::integer(self.bits() as i64, "")
    }
}
