//! Angles clockwise from north: 360 degrees cut into 32, 128 or 1024 steps.

use super::{Bits, Code, CodeError, Kind, Meaning, Value, Version, Wording, bits, finite, number};

fn nearest(degrees: f64, steps: u32) -> u64 {
    // A value that rounds to 360 becomes 0.
    (degrees.rem_euclid(360.0) / 360.0 * f64::from(steps)).round() as u64 % u64::from(steps)
}

macro_rules! angle {
    ($(#[$doc:meta])* $name:ident : $width:literal, $rule:literal) => {
        bits! { $(#[$doc])* $name(u16: $width) }

        impl $name {
            /// Degrees, 0 up to but not 360.
            pub fn degrees(self) -> f64 {
                f64::from(self.0) * 360.0 / f64::from(1u16 << $width)
            }

            /// The nearest step; any number of turns is taken off first.
            ///
            /// # Errors
            /// [`CodeError::NotANumber`] for infinities and "not a number".
            pub fn from_degrees(degrees: f64) -> Result<Self, CodeError> {
                finite(degrees).map(|degrees| Self::from_bits(nearest(degrees, 1 << $width)))
            }
        }

        impl Code for $name {
            const RULE: &'static str = $rule;
            const KIND: Kind = Kind::Decimal;
            const UNIT: &'static str = "deg";

            fn meaning(self, _version: Version) -> Meaning {
                Meaning::new(Value::decimal(self.degrees(), 6), Wording::hundredths(self.degrees(), "deg"))
            }

            fn from_meaning(wanted: &str, _version: Version) -> Result<Self, CodeError> {
                number(wanted).and_then(Self::from_degrees)
            }

            fn steps(self, _version: Version) -> Vec<String> {
                vec![format!("{} x 360 / {} = {} deg", self.0, 1u16 << $width, self.degrees())]
            }
        }
    };
}

angle! {
    /// Track of a TIS-B coarse position, 5 bits (step from memory).
    Angle5: 5, "360/32 degree a step, clockwise from north"
}
angle! {
    /// Heading or ground track on the surface, 7 bits.
    Angle7: 7, "360/128 degree a step, clockwise from north"
}
angle! {
    /// Heading in the airborne velocity message, 10 bits.
    Angle10: 10, "360/1024 degree a step, clockwise from north"
}
