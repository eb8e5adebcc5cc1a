//! Angles clockwise from north: 360 degrees cut into 32, 128 or 1024 steps.

use super::{
    Bits, Code, CodeError, Linear, Meaning, MeaningKind, Step, Value, Version, Wording, bits, bits_step, decimals,
    finite, number,
};

fn nearest(degrees: f64, steps: u32) -> u64 {
    // A value that rounds to 360 becomes 0.
    (degrees.rem_euclid(360.0) / 360.0 * f64::from(steps)).round() as u64 % u64::from(steps)
}

/// From degrees to the step of an angle: what rounds to a whole turn is 0.
pub(crate) fn turned(degrees: f64, scale: Linear, code: u64, width: u8) -> Vec<Step> {
    let whole = scale.exact(360.0).round() as i64;
    let mut steps = Vec::new();
    let within = degrees.rem_euclid(360.0);
    if (within - degrees).abs() > 1e-9 {
        steps.push(
            Step::new(format!("{} mod 360", decimals(degrees, 6)), decimals(within, 6))
                .explained("clockwise from north"),
        );
    }
    let nearest = scale.exact(within).round() as i64;
    steps.extend(scale.counted(within, nearest));
    if nearest == whole {
        steps.push(Step::new(format!("{whole} mod {whole}"), "0").explained("a whole turn is none"));
    }
    steps.extend(scale.sent(within, code as i64));
    steps.push(bits_step(code, width));
    steps
}

macro_rules! angle {
    ($(#[$doc:meta])* $name:ident : $width:literal, $rule:literal) => {
        bits! { $(#[$doc])* $name(u16: $width) }

        impl $name {
            const SCALE: Linear = Linear::new(360.0, (1u16 << $width) as f64, " deg");

            /// Degrees, 0 up to but not 360.
            ///
            /// ```
            /// use squitterlab::code::{Angle7, Bits};
            /// assert_eq!(Angle7::from_bits(32).degrees(), 90.0);
            /// ```
            pub fn degrees(self) -> f64 {
                f64::from(self.0) * 360.0 / f64::from(1u16 << $width)
            }

            /// The nearest step; any number of turns is taken off first.
            ///
            /// ```
            /// use squitterlab::code::{Angle7, Bits};
            /// assert_eq!(Angle7::from_degrees(-90.0).unwrap().bits(), 96);
            /// assert!(Angle7::from_degrees(f64::NAN).is_err());
            /// ```
            ///
            /// # Errors
            /// [`CodeError::NotANumber`] for infinities and "not a number".
            pub fn from_degrees(degrees: f64) -> Result<Self, CodeError> {
                finite(degrees).map(|degrees| Self::from_bits(nearest(degrees, 1 << $width)))
            }
        }

        impl Code for $name {
            const RULE: &'static str = $rule;
            const KIND: MeaningKind = MeaningKind::Decimal;
            const UNIT: &'static str = "deg";

            fn meaning(self, _version: Version) -> Meaning {
                Meaning::new(Value::decimal(self.degrees(), 6), Wording::hundredths(self.degrees(), "deg"))
            }

            fn from_meaning(wanted: &str, _version: Version) -> Result<Self, CodeError> {
                number(wanted).and_then(Self::from_degrees)
            }

            fn steps(self, _version: Version) -> Vec<Step> {
                vec![Self::SCALE.read(self.0.into())]
            }

            fn steps_to(self, wanted: &str, _version: Version) -> Vec<Step> {
                let Ok(degrees) = number(wanted) else { return Vec::new() };
                turned(degrees, Self::SCALE, self.bits(), $width)
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
