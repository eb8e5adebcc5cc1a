//! Where the position antenna is: across from the centre line, and back from the nose (Doc 9871 draft, page 227).
//!
//! Both are upper bounds in steps of 2 m. Zero and "no data" are different codes.

use super::{
    Bits, Code, CodeError, Meaning, MeaningKind, Step, Value, Version, bits, bits_step, decimals, finite, is_no_data,
    number,
};

bits! {
    /// Distance from the centre line: side (0 left, 1 right) and two bits of distance; 000 no data, 100 zero.
    LateralOffset(u8: 3)
}

bits! {
    /// Distance from the nose, aft: 0 no data, 1 already applied by the sensor (version 3: up to 1 m), n for up to
    /// 2(n - 1) m, 31 also for anything beyond.
    LongitudinalOffset(u8: 5)
}

impl LateralOffset {
    /// Not known.
    pub const NO_DATA: Self = Self(0);
    /// The last step, which also holds anything further out.
    const MOST_M: i8 = 6;

    /// `metres` to the left (negative) or right; the smallest step that holds it, 6 m for anything beyond.
    ///
    /// ```
    /// use squitterlab::code::LateralOffset;
    /// // 1.2 m to the left of the centre line is sent as 2 m.
    /// assert_eq!(LateralOffset::from_metres(-1.2).unwrap().metres(), Some(-2));
    /// ```
    ///
    /// # Errors
    /// [`CodeError::NotANumber`] for infinities and "not a number".
    pub fn from_metres(metres: f64) -> Result<Self, CodeError> {
        let steps = (finite(metres)?.abs() / 2.0).ceil().min(3.0) as u8;
        Ok(Self(if metres < 0.0 { steps } else { 4 | steps }))
    }

    /// Metres, left negative; none for no data.
    ///
    /// ```
    /// use squitterlab::code::{Bits, LateralOffset};
    /// assert_eq!(LateralOffset::from_metres(4.0).unwrap().metres(), Some(4));
    /// assert_eq!(LateralOffset::from_bits(0).metres(), None);
    /// ```
    pub fn metres(self) -> Option<i8> {
        match self.0 {
            0 => None,
            n @ 1..=3 => Some(-2 * n as i8),
            n => Some(2 * (n - 4) as i8),
        }
    }
}

impl Code for LateralOffset {
    const RULE: &'static str = "000 no data, 100 zero; left 001-011 and right 101-111: up to 2, 4, 6 m";
    const KIND: MeaningKind = MeaningKind::Integer;
    const UNIT: &'static str = "m";
    const CAPPED: bool = true;

    fn meaning(self, version: Version) -> Meaning {
        match self.metres() {
            None => Meaning::none("no data"),
            Some(0) => Meaning::new(Value::Integer(0), "on the centre line (0 m)"),
            Some(metres) => {
                let meaning = Meaning::written(Value::Integer(metres.into()), self.bits(), version, |code, _, f| {
                    let metres = Self::from_bits(code).metres().unwrap_or_default();
                    let side = if metres < 0 { "left" } else { "right" };
                    let more = if metres.abs() == Self::MOST_M { ", or more" } else { "" };
                    write!(f, "up to {} m {side} of the centre line{more}", metres.abs())
                });
                if metres.abs() == Self::MOST_M { meaning.or_beyond() } else { meaning }
            }
        }
    }

    fn from_meaning(wanted: &str, _version: Version) -> Result<Self, CodeError> {
        if is_no_data(wanted) { Ok(Self::NO_DATA) } else { number(wanted).and_then(Self::from_metres) }
    }

    fn steps(self, _version: Version) -> Vec<Step> {
        let Some(metres) = self.metres() else { return Vec::new() };
        let (first, side) = if metres < 0 { (0, "left") } else { (1, "right; the centre line itself is right") };
        vec![
            Step::note(format!("the first bit is {first}: {side}")),
            Step::new(format!("{} x 2", self.0 & 3), format!("{} m", metres.abs())).explained("steps of 2 m"),
        ]
    }

    fn steps_to(self, wanted: &str, _version: Version) -> Vec<Step> {
        let Ok(metres) = number(wanted) else { return Vec::new() };
        let (side, word) = if metres < 0.0 { ("0", "left") } else { ("1", "right; the centre line itself is right") };
        vec![
            Step::note(format!("{word}: the first bit is {side}")),
            bound(metres.abs(), 3, i64::from(self.0 & 3)),
            Step::new(format!("4 x {side} + {}", self.0 & 3), self.0.to_string())
                .explained("the first bit, then the steps"),
            bits_step(self.bits(), Self::WIDTH),
        ]
    }
}

/// Steps of 2 m that hold a distance; the last one holds everything beyond.
fn bound(metres: f64, last: i64, steps: i64) -> Step {
    let most = if metres / 2.0 > last as f64 { format!(", and at most {last}") } else { String::new() };
    let step = Step::new(format!("ceil({} / 2)", decimals(metres, 6)), decimals((metres / 2.0).ceil(), 0));
    let told = "steps of 2 m that hold the distance";
    if most.is_empty() { step.explained(told) } else { step.explained(format!("{told}{most}, so {steps}")) }
}

impl LongitudinalOffset {
    /// Not known.
    pub const NO_DATA: Self = Self(0);
    /// The position source already speaks of the reference point.
    pub const APPLIED_BY_SENSOR: Self = Self(1);

    /// `metres` back from the nose; the smallest step that holds it, 60 m for anything beyond.
    ///
    /// ```
    /// use squitterlab::code::LongitudinalOffset;
    /// assert_eq!(LongitudinalOffset::from_metres(3.1).unwrap().metres(), Some(4));
    /// assert!(LongitudinalOffset::from_metres(0.0).is_err());
    /// ```
    ///
    /// # Errors
    /// [`CodeError::OutOfRange`] for 0 m and less: no code says that; [`CodeError::NotANumber`] for infinities and "not a
    /// number".
    pub fn from_metres(metres: f64) -> Result<Self, CodeError> {
        if finite(metres)? <= 0.0 {
            return Err(CodeError::out_of_range(metres, "more than 0", 60, " m from the nose"));
        }
        Ok(Self((metres / 2.0).ceil().min(30.0) as u8 + 1))
    }

    /// The upper bound in metres; none for no data and for "applied by the sensor".
    ///
    /// ```
    /// use squitterlab::code::{Bits, LongitudinalOffset};
    /// assert_eq!(LongitudinalOffset::from_bits(2).metres(), Some(2));
    /// // Code 1: the sensor has applied the offset.
    /// assert_eq!(LongitudinalOffset::from_bits(1).metres(), None);
    /// ```
    pub fn metres(self) -> Option<u8> {
        (self.0 > 1).then(|| 2 * (self.0 - 1))
    }
}

impl Code for LongitudinalOffset {
    const RULE: &'static str =
        "0 no data, 1 applied by the sensor (version 3: up to 1 m), n: up to 2(n - 1) m from the nose";
    const KIND: MeaningKind = MeaningKind::IntegerOrWord;
    const UNIT: &'static str = "m";
    const VARIES: bool = true;
    const CAPPED: bool = true;

    fn meaning(self, version: Version) -> Meaning {
        let metres = match (self.0, version) {
            (1, Version::Three) => Some(1),
            // The last code has no upper bound; version 3 prints its lower one.
            (31, Version::Three) => {
                return Meaning::new(Value::Integer(58), "more than 58 m from the nose").or_beyond();
            }
            _ => self.metres(),
        };
        match (self.0, metres) {
            (31, Some(metres)) => {
                Meaning::new(Value::Integer(metres.into()), "up to 60 m from the nose, or more").or_beyond()
            }
            (_, Some(metres)) => {
                Meaning::written(Value::Integer(metres.into()), metres.into(), version, |metres, _, f| {
                    write!(f, "up to {metres} m from the nose")
                })
            }
            (1, None) => Meaning::new(Value::Word("applied_by_sensor"), "already applied by the position sensor"),
            _ => Meaning::none("no data"),
        }
    }

    fn from_meaning(wanted: &str, version: Version) -> Result<Self, CodeError> {
        match wanted.trim() {
            "applied_by_sensor" if version < Version::Three => Ok(Self::APPLIED_BY_SENSOR),
            other if is_no_data(other) => Ok(Self::NO_DATA),
            other if version >= Version::Three => match number(other)? {
                metres if metres < 0.0 => Err(CodeError::out_of_range(other, 0, 58, " m from the nose")),
                metres if metres <= 1.0 => Ok(Self(1)),
                metres => Self::from_metres(metres),
            },
            other => Self::from_metres(number(other)?),
        }
    }

    fn steps(self, version: Version) -> Vec<Step> {
        match (self.0, version) {
            (0, _) => Vec::new(),
            (1, Version::Three) => vec![Step::note("code 1 is up to 1 m")],
            (1, _) => vec![Step::note("code 1 says that the sensor has applied it")],
            (31, Version::Three) => {
                vec![
                    Step::new("(31 - 2) x 2", "58 m").explained("the last code holds everything beyond the one before"),
                ]
            }
            (code, _) => {
                vec![Step::new(format!("({code} - 1) x 2"), format!("{} m", 2 * (code - 1))).explained("up to")]
            }
        }
    }

    fn steps_to(self, wanted: &str, version: Version) -> Vec<Step> {
        let Ok(metres) = number(wanted) else { return Vec::new() };
        if version >= Version::Three && metres <= 1.0 {
            return vec![Step::note("up to 1 m is code 1"), bits_step(self.bits(), Self::WIDTH)];
        }
        let steps = i64::from(self.0) - 1;
        let taken = if version >= Version::Three {
            "code 1 is up to 1 m"
        } else {
            "code 1 says that the sensor has applied it"
        };
        vec![
            bound(metres, 30, steps),
            Step::new(format!("{steps} + 1"), self.0.to_string()).explained(format!("{taken}, so the code")),
            bits_step(self.bits(), Self::WIDTH),
        ]
    }
}
