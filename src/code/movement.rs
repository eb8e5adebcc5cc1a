//! Movement on the surface: speed in steps that widen.
//!
//! Versions 0 and 1 close each range on the left (Annex 10 III, Amendment 77; handbook, chapter 4), version 2 on the
//! right, with other steps below 1 kt (from memory). The value reported is always the lower edge; the words give both.

use super::{
    Bits, Code, CodeError, Meaning, MeaningKind, Step, Value, Version, bits, bits_step, decimals, finite, is_no_data,
    number,
};
use std::fmt;

bits! {
    /// The seven bits of the movement field.
    Movement(u8: 7)
}

/// First code, lower edge of its range in knots, step in knots.
type Range = (u8, f64, f64);

const RANGES_0_1: &[Range] = &[
    (2, 0.125, 0.125),
    (9, 1.0, 0.25),
    (13, 2.0, 0.5),
    (39, 15.0, 1.0),
    (94, 70.0, 2.0),
    (109, 100.0, 5.0),
    (124, 175.0, f64::INFINITY),
];

/// The step in knots of version 2 below 1 kt.
const SEVENTH: f64 = 7.0 / 48.0;

/// Below 1 kt version 2 counts 0.2700833 km/h, which is 7/48 kt.
const RANGES_2: &[Range] = &[
    (2, 0.0, 0.125),
    (3, 0.125, SEVENTH),
    (9, 1.0, 0.25),
    (13, 2.0, 0.5),
    (39, 15.0, 1.0),
    (94, 70.0, 2.0),
    (109, 100.0, 5.0),
    (124, 175.0, f64::INFINITY),
];

const fn ranges(version: Version) -> &'static [Range] {
    match version {
        Version::Zero | Version::One => RANGES_0_1,
        Version::Two | Version::Three => RANGES_2,
    }
}

impl Movement {
    /// No information.
    pub const NO_DATA: Self = Self(0);

    /// The code whose range holds this speed.
    ///
    /// ```
    /// use squitterlab::code::{Movement, Version};
    /// let (from, to) = Movement::from_knots(17.2, Version::Two).unwrap().knots(Version::Two).unwrap();
    /// assert!(from <= 17.2 && 17.2 < to);
    /// assert!(Movement::from_knots(-1.0, Version::Two).is_err());
    /// ```
    ///
    /// # Errors
    /// [`CodeError::OutOfRange`] for a negative speed, [`CodeError::NotANumber`] for infinities and "not a number".
    pub fn from_knots(knots: f64, version: Version) -> Result<Self, CodeError> {
        if finite(knots)? < 0.0 {
            return Err(CodeError::out_of_range(knots, 0, "any speed", " kt"));
        }
        let closed_right = version >= Version::Two;
        let holds = |low: f64| if closed_right { knots > low } else { knots >= low };
        let Some((first, low, step)) = ranges(version).iter().rev().find(|(_, low, _)| holds(*low)) else {
            return Ok(Self(1));
        };
        let steps = (knots - low) / step;
        let offset = if closed_right { (steps.ceil() - 1.0).max(0.0) } else { steps.floor() };
        // The rounding of a range's own edge must not reach into the next range.
        let last = ranges(version).iter().map(|(code, ..)| *code).find(|code| code > first).unwrap_or(125) - 1;
        Ok(Self((first + offset as u8).min(last)))
    }

    /// Lower and upper edge in knots (the upper one infinite for the last code); none for 0 and the reserved codes.
    ///
    /// ```
    /// use squitterlab::code::{Bits, Movement, Version};
    /// // Code 39: 15 kt up to 16 kt. Code 0 says nothing.
    /// assert_eq!(Movement::from_bits(39).knots(Version::Two), Some((15.0, 16.0)));
    /// assert_eq!(Movement::from_bits(0).knots(Version::Two), None);
    /// ```
    pub fn knots(self, version: Version) -> Option<(f64, f64)> {
        match self.0 {
            1 if version >= Version::Two => Some((0.0, 0.0)),
            1 => Some((0.0, 0.125)),
            2..=124 => {
                let (first, low, step) = ranges(version).iter().rev().find(|(first, ..)| self.0 >= *first)?;
                if step.is_infinite() {
                    return Some((*low, *step));
                }
                let edge = |steps: u8| low + f64::from(steps) * step;
                Some((edge(self.0 - first), edge(self.0 - first + 1)))
            }
            _ => None,
        }
    }
}

impl Movement {
    /// What code 1 stands for.
    fn stopped(version: Version) -> &'static str {
        if version >= Version::Two {
            "code 1 stands for an aircraft that has stopped"
        } else {
            "code 1 is below 0.125 kt"
        }
    }

    /// The edges in words; version 2 closes each range on the right.
    fn range(code: u64, version: Version, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let trim = |knots: f64| (knots * 10_000.0).round() / 10_000.0;
        let (low, high) = Self::from_bits(code).knots(version).unwrap_or_default();
        let (low, high) = (trim(low), trim(high));
        match (version >= Version::Two, high.is_infinite()) {
            (true, true) => write!(f, "more than {low} kt"),
            (false, true) => write!(f, "{low} kt or more"),
            (true, false) => write!(f, "more than {low}, up to {high} kt"),
            (false, false) => write!(f, "{low} kt up to, not including, {high} kt"),
        }
    }
}

impl Code for Movement {
    const RULE: &'static str = "0 no data, 1 stopped, then ranges of 1/8 to 5 kt; the lower edge is reported";
    const KIND: MeaningKind = MeaningKind::Decimal;
    const UNIT: &'static str = "kt";
    const VARIES: bool = true;
    const CAPPED: bool = true;

    fn meaning(self, version: Version) -> Meaning {
        match (self.0, self.knots(version)) {
            (0, _) => Meaning::none("no information"),
            (1, Some((low, _))) => Meaning::new(Value::decimal(low, 4), "stopped"),
            (_, Some((low, high))) => {
                let meaning = Meaning::written(Value::decimal(low, 4), self.bits(), version, Self::range);
                if high.is_infinite() { meaning.or_beyond() } else { meaning }
            }
            (_, None) => Meaning::none(match self.0 {
                125 if version >= Version::Two => "reserved for decelerating",
                126 if version >= Version::Two => "reserved for accelerating",
                127 if version >= Version::Two => "reserved for backing up",
                _ => "reserved",
            }),
        }
    }

    fn from_meaning(wanted: &str, version: Version) -> Result<Self, CodeError> {
        if is_no_data(wanted) { Ok(Self::NO_DATA) } else { Self::from_knots(number(wanted)?, version) }
    }

    fn steps(self, version: Version) -> Vec<Step> {
        if self.0 == 1 {
            return vec![Step::note(Self::stopped(version))];
        }
        let range = ranges(version).iter().rev().find(|(first, ..)| self.0 >= *first && self.0 < 124);
        let Some((first, low, step)) = range else { return Vec::new() };
        vec![
            Step::new(
                format!("{low} + ({} - {first}) x {}", self.0, in_words(*step)),
                format!("{} kt", decimals(low + f64::from(self.0 - first) * step, 4)),
            )
            .explained(format!("code {} is in the range from {first}; its lower edge", self.0)),
        ]
    }

    fn steps_to(self, wanted: &str, version: Version) -> Vec<Step> {
        let Ok(knots) = number(wanted) else { return Vec::new() };
        let Some((first, low, step)) = ranges(version).iter().rev().find(|(first, ..)| self.0 >= *first) else {
            return vec![Step::note(Self::stopped(version)), bits_step(self.bits(), Self::WIDTH)];
        };
        if step.is_infinite() {
            return vec![Step::note(format!("code {first} stands for everything from {low} kt up"))];
        }
        let exact = (knots - low) / step;
        let steps = self.0 - first;
        let closed = version >= Version::Two;
        let whole =
            if closed { format!("ceil({}) - 1", decimals(exact, 6)) } else { format!("floor({})", decimals(exact, 6)) };
        let why = if closed {
            "each range includes its upper edge, so the whole steps below it"
        } else {
            "each range includes its lower edge, so the whole steps"
        };
        vec![
            Step::note(format!("{} kt is in the range that begins at {low} kt with code {first}", decimals(knots, 6))),
            Step::new(
                format!(
                    "({} - {low}) {}",
                    decimals(knots, 6),
                    if *step == SEVENTH { "x 48 / 7".to_owned() } else { format!("/ {step}") }
                ),
                decimals(exact, 6),
            )
            .explained("steps in it"),
            Step::new(whole, steps.to_string()).explained(why),
            Step::new(format!("{first} + {steps}"), self.0.to_string()).explained("the code"),
            bits_step(self.bits(), Self::WIDTH),
        ]
    }
}

/// A step in knots that is exact.
fn in_words(step: f64) -> String {
    if step == SEVENTH { "7 / 48".to_owned() } else { step.to_string() }
}
