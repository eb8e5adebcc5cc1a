//! Speed components and airspeed of the airborne velocity message.

use super::enumeration::enumeration;
use super::{Bits, Code, CodeError, Meaning, MeaningKind, Version, bits, finite};
use std::fmt;

bits! {
    /// Ten bits: 0 no data, n for (n - 1) steps, 1023 for more than the scale. A step is 1 kt, supersonic 4 kt.
    Speed(u16: 10)
}

impl Speed {
    /// No data.
    pub const NO_DATA: Self = Self(0);

    /// The step of a velocity subtype: 1 kt, and 4 kt in the supersonic subtypes 2 and 4.
    ///
    /// ```
    /// use squitterlab::code::Speed;
    /// assert_eq!((Speed::step_kt(1), Speed::step_kt(2)), (1, 4));
    /// ```
    pub const fn step_kt(subtype: u8) -> u16 {
        if matches!(subtype, 2 | 4) { 4 } else { 1 }
    }

    /// Knots; none for no data and for "more than the scale".
    ///
    /// ```
    /// use squitterlab::code::{Bits, Speed};
    /// assert_eq!((Speed::from_bits(10).knots(1), Speed::from_bits(0).knots(1)), (Some(9), None));
    /// ```
    pub fn knots(self, step_kt: u16) -> Option<u16> {
        (1..1023).contains(&self.0).then(|| (self.0 - 1) * step_kt)
    }

    /// The nearest step; 1023 from half a step below its own place up.
    ///
    /// ```
    /// use squitterlab::code::{Bits, Speed};
    /// assert_eq!(Speed::from_knots(9.0, 1).unwrap().bits(), 10);
    /// assert!(Speed::from_knots(-9.0, 1).is_err());
    /// ```
    ///
    /// # Errors
    /// [`CodeError::OutOfRange`] for a negative speed, [`CodeError::NotANumber`] for infinities and "not a number".
    pub fn from_knots(knots: f64, step_kt: u16) -> Result<Self, CodeError> {
        if finite(knots)? < 0.0 {
            return Err(CodeError::out_of_range(knots, 0, "any speed", " kt"));
        }
        Ok(Self(((knots / f64::from(step_kt)).round() + 1.0).min(1023.0) as u16))
    }

    /// The end of the scale in knots: what 1023 is more than.
    pub(crate) fn end_kt(step_kt: u16) -> f64 {
        1021.5 * f64::from(step_kt)
    }

    /// In words, with the step of the subtype.
    pub(crate) fn words(self, step_kt: u16) -> impl fmt::Display {
        fmt::from_fn(move |f| match self.0 {
            0 => f.write_str("no data"),
            1023 => write!(f, "more than {} kt", Self::end_kt(step_kt)),
            n => write!(f, "({n} - 1) x {step_kt} kt = {} kt", (n - 1) * step_kt),
        })
    }
}

impl Code for Speed {
    const RULE: &'static str = "0 no data, n: (n - 1) steps of 1 kt (supersonic 4 kt), 1023: more than the scale";
    const KIND: MeaningKind = MeaningKind::Decimal;
    const CAPPED: bool = true;

    fn meaning(self, _version: Version) -> Meaning {
        match self.0 {
            0 => Meaning::none("no data"),
            1023 => Meaning { text: "more than the scale".into(), ..Meaning::past(1021.5, "steps") },
            n => Meaning::integer(i64::from(n) - 1, "steps"),
        }
    }

    fn from_meaning(wanted: &str, version: Version) -> Result<Self, CodeError> {
        super::Number::<10>::from_meaning(wanted, version).map(|n| Self(n.bits() as u16))
    }
}

enumeration! {
    /// Which airspeed is sent.
    AirspeedKind(u8: 1) AsText,
    0 = "indicated", "indicated airspeed";
    1 = "true", "true airspeed";
}
