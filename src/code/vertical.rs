//! Vertical rate, and geometric height against pressure altitude, of the airborne velocity message.

use super::enumeration::enumeration;
use super::{Bits, Code, CodeError, Linear, Meaning, MeaningKind, Value, Version, bits, finite};

bits! {
    /// One bit before a magnitude: 0 plus, 1 minus.
    Sign(u8: 1)
}

impl Sign {
    /// `magnitude` with this sign.
    ///
    /// ```
    /// use squitterlab::code::Sign;
    /// assert_eq!(Sign::of(-1.0).apply(832), -832);
    /// ```
    pub const fn apply(self, magnitude: i32) -> i32 {
        if self.0 == 1 { -magnitude } else { magnitude }
    }

    /// The sign of a number.
    ///
    /// ```
    /// use squitterlab::code::{Bits, Sign};
    /// assert_eq!((Sign::of(64.0).bits(), Sign::of(-64.0).bits()), (0, 1));
    /// ```
    pub const fn of(number: f64) -> Self {
        Self((number < 0.0) as u8)
    }
}

impl Code for Sign {
    const RULE: &'static str = "0 plus, 1 minus";
    const KIND: MeaningKind = MeaningKind::Integer;

    fn meaning(self, _version: Version) -> Meaning {
        Meaning::new(Value::Integer(self.0.into()), if self.0 == 1 { "minus" } else { "plus" })
    }

    fn from_meaning(wanted: &str, version: Version) -> Result<Self, CodeError> {
        super::Number::<1>::from_meaning(wanted, version).map(|n| Self(n.bits() as u8))
    }
}

macro_rules! magnitude {
    ($(#[$doc:meta])* $name:ident : $width:literal, $kind:ident, step $step:literal $unit:literal $suffix:literal, $rule:literal) => {
        bits! { $(#[$doc])* $name(u16: $width) }

        impl $name {
            /// No data.
            pub const NO_DATA: Self = Self(0);
            const MOST: u16 = (1 << $width) - 1;
            pub(crate) const SCALE: Linear = Linear::from_one($step as f64, concat!(" ", $unit));

            /// The end of the scale: code by code half a step past the last number.
            const END: f64 = (Self::MOST as f64 - 1.5) * $step as f64;

            /// The magnitude; none for no data and for "more than the scale".
            ///
            /// ```
            /// use squitterlab::code::{Bits, VerticalRate};
            /// assert_eq!((VerticalRate::from_bits(14).magnitude(), VerticalRate::from_bits(0).magnitude()), (Some(832), None));
            /// ```
            pub fn magnitude(self) -> Option<i32> {
                (1..Self::MOST).contains(&self.0).then(|| (i32::from(self.0) - 1) * $step)
            }

            /// With a sign, as a message says it.
            pub(crate) fn signed(self, sign: Sign, version: Version) -> Meaning {
                match self.magnitude() {
                    Some(magnitude) => Meaning::integer(sign.apply(magnitude).into(), $unit),
                    None if self == Self::NO_DATA => self.meaning(version),
                    None => Meaning::past(f64::from(sign.apply(1)) * Self::END, $unit),
                }
            }

            /// The nearest step, whatever the sign; the last code for anything beyond the scale, as it says "more than".
            ///
            /// ```
            /// use squitterlab::code::{Bits, VerticalRate};
            /// assert_eq!(VerticalRate::from_magnitude(-832.0).unwrap().bits(), 14);
            /// assert!(VerticalRate::from_magnitude(f64::NAN).is_err());
            /// ```
            ///
            /// # Errors
            /// [`CodeError::NotANumber`] for infinities and "not a number".
            pub fn from_magnitude(magnitude: f64) -> Result<Self, CodeError> {
                let steps = (finite(magnitude)?.abs() / f64::from($step)).round();
                Ok(Self((steps + 1.0).min(f64::from(Self::MOST)) as u16))
            }
        }

        impl Code for $name {
            const RULE: &'static str = $rule;
            const KIND: MeaningKind = MeaningKind::$kind;
            const UNIT: &'static str = $suffix;
            const CAPPED: bool = true;

            fn meaning(self, version: Version) -> Meaning {
                match self.magnitude() {
                    Some(magnitude) => {
                        Meaning::written(Value::Integer(magnitude.into()), self.bits(), version, |code, _, f| {
                            write!(f, "({code} - 1) x {} = {} {}", $step, (code - 1) * $step, $unit)
                        })
                    }
                    None if self.0 == 0 => Meaning::none("no data"),
                    None => Meaning::past(Self::END, $unit),
                }
            }

            fn from_meaning(wanted: &str, version: Version) -> Result<Self, CodeError> {
                super::Number::<$width>::from_meaning(wanted, version).map(|n| Self(n.bits() as u16))
            }
        }
    };
}

magnitude! {
    /// Nine bits: 0 no data, n for 64(n - 1) ft/min, 511 for more than 32 608 ft/min.
    VerticalRate: 9, Integer, step 64 "ft/min" "fpm", "0 no data, n: 64(n - 1) ft/min, 511: more than 32 608 ft/min"
}

magnitude! {
    /// Seven bits: 0 no data, n for 25(n - 1) ft, 127 for more than 3137.5 ft (from memory).
    GeometricDifference: 7, Decimal, step 25 "ft" "ft", "0 no data, n: 25(n - 1) ft, 127: more than 3137.5 ft"
}

enumeration! {
    /// What the vertical rate was measured by.
    VerticalRateSource(u8: 1) AsText,
    0 = "gnss", "geometric (GNSS)";
    1 = "barometric", "barometric";
}
