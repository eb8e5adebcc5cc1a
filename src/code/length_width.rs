//! Length and width of the aircraft in one code (Doc 9871 draft, pages 162 and 224).

use super::{Bits, Code, CodeError, Meaning, MeaningKind, Value, Version, bits, finite};

bits! {
    /// The smallest of fifteen boxes that holds the aircraft.
    ///
    /// ```
    /// use squitterlab::code::{Bits, LengthWidth};
    /// assert_eq!(LengthWidth::from_metres(8.3, 11.0).unwrap().bits(), 1);
    /// // The standard's own example, a glider of 24 m by 50 m.
    /// assert_eq!(LengthWidth::from_metres(24.0, 50.0).unwrap().bits(), 9);
    /// ```
    LengthWidth(u8: 4)
}

/// Upper bounds of length and width in metres, by code. Code 0 is a box in version 1 and "no data" in version 2.
const BOUNDS_M: [(f64, f64); 16] = [
    (15.0, 11.5),
    (15.0, 23.0),
    (25.0, 28.5),
    (25.0, 34.0),
    (35.0, 33.0),
    (35.0, 38.0),
    (45.0, 39.5),
    (45.0, 45.0),
    (55.0, 45.0),
    (55.0, 52.0),
    (65.0, 59.5),
    (65.0, 67.0),
    (75.0, 72.5),
    (75.0, 80.0),
    (85.0, 80.0),
    (85.0, 90.0),
];

impl LengthWidth {
    /// Not set (version 2).
    pub const NO_DATA: Self = Self(0);

    /// The first code of version 2 whose two bounds both hold; 15 for anything larger than the last box.
    ///
    /// ```
    /// use squitterlab::code::{Bits, LengthWidth};
    /// // Up to 15 m long and 23 m wide is code 1.
    /// assert_eq!(LengthWidth::from_metres(8.3, 11.0).unwrap().bits(), 1);
    /// assert!(LengthWidth::from_metres(-1.0, 11.0).is_err());
    /// ```
    ///
    /// # Errors
    /// [`CodeError::Refused`] for a length or width that is not more than zero, [`CodeError::NotANumber`] for infinities and
    /// "not a number".
    pub fn from_metres(length_m: f64, width_m: f64) -> Result<Self, CodeError> {
        for (what, metres) in [("length", length_m), ("width", width_m)] {
            if finite(metres)? <= 0.0 {
                return Err(CodeError::Refused(format!("{what} of {metres} m: more than 0 m is needed")));
            }
        }
        let code = (1..15).find(|code| {
            let (length, width) = BOUNDS_M[usize::from(*code)];
            length_m <= length && width_m <= width
        });
        Ok(Self(code.unwrap_or(15)))
    }

    /// Upper bounds of length and width in metres; `None` if the code says nothing.
    ///
    /// ```
    /// use squitterlab::code::{LengthWidth, Version};
    /// let code = LengthWidth::from_metres(8.3, 11.0).unwrap();
    /// assert_eq!(code.bounds_m(Version::Two), Some((15.0, 23.0)));
    /// ```
    pub fn bounds_m(self, version: Version) -> Option<(f64, f64)> {
        (self.0 != 0 || version == Version::One).then(|| BOUNDS_M[usize::from(self.0)])
    }
}

impl Code for LengthWidth {
    const RULE: &'static str = "the first box of fifteen that holds length and width; 0 no data (version 2)";
    const KIND: MeaningKind = MeaningKind::Integer;

    fn meaning(self, version: Version) -> Meaning {
        Meaning::written(Value::Integer(self.0.into()), self.0.into(), version, |code, version, f| {
            match Self::from_bits(code).bounds_m(version) {
                None => f.write_str("no data"),
                Some(_) if code == 15 => f.write_str("up to 85 m long and 90 m wide, or larger"),
                Some((length, width)) => write!(f, "up to {length} m long and {width} m wide"),
            }
        })
    }

    fn from_meaning(wanted: &str, version: Version) -> Result<Self, CodeError> {
        super::Number::<4>::from_meaning(wanted, version).map(|n| Self(n.bits() as u8))
    }
}
