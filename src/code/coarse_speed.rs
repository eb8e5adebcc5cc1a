//! Ground speed of the TIS-B coarse position: steps of 32 kt (from memory).

use super::{
    Bits, Code, CodeError, Linear, Meaning, MeaningKind, Step, Value, Version, bits, bits_step, decimals, finite,
    is_no_data, number,
};

bits! {
    /// Six bits of ground speed.
    ///
    /// ```
    /// use squitterlab::code::{Bits, CoarseSpeed};
    /// assert_eq!(CoarseSpeed::from_bits(2).knots(), Some((16, Some(48))));
    /// assert_eq!(CoarseSpeed::from_knots(48.0).unwrap().bits(), 3);
    /// ```
    CoarseSpeed(u8: 6)
}

impl CoarseSpeed {
    const MOST: u8 = 63;
    /// Lower edges, from code 2 on.
    const EDGES: Linear = Linear { first: 2, offset: 16.0, ..Linear::new(32.0, 1.0, " kt") };

    /// Lower edge, and the upper one that is no longer part of it, in knots; none for no data.
    ///
    /// ```
    /// use squitterlab::code::{Bits, CoarseSpeed};
    /// assert_eq!(CoarseSpeed::from_bits(0).knots(), None);
    /// let (from, to) = CoarseSpeed::from_knots(120.0).unwrap().knots().unwrap();
    /// assert!(from <= 120 && to.unwrap() > 120);
    /// ```
    pub fn knots(self) -> Option<(u16, Option<u16>)> {
        let edge = |code: u8| 32 * (u16::from(code) - 2) + 16;
        match self.0 {
            0 => None,
            1 => Some((0, Some(16))),
            Self::MOST => Some((edge(Self::MOST), None)),
            code => Some((edge(code), Some(edge(code + 1)))),
        }
    }

    /// The code whose range holds this speed.
    ///
    /// ```
    /// use squitterlab::code::CoarseSpeed;
    /// assert_eq!(CoarseSpeed::from_knots(100.0).unwrap(), CoarseSpeed::from_knots(105.0).unwrap());
    /// assert!(CoarseSpeed::from_knots(-1.0).is_err());
    /// ```
    ///
    /// # Errors
    /// [`CodeError::OutOfRange`] for a negative speed, [`CodeError::NotANumber`] for infinities and "not a number".
    pub fn from_knots(knots: f64) -> Result<Self, CodeError> {
        if finite(knots)? < 0.0 {
            return Err(CodeError::out_of_range(knots, 0, "any speed", " kt"));
        }
        Ok(Self(((knots + 16.0) / 32.0 + 1.0).floor().min(f64::from(Self::MOST)) as u8))
    }
}

impl Code for CoarseSpeed {
    const RULE: &'static str = "0 no data, 1 below 16 kt, then steps of 32 kt; the lower edge is reported";
    const KIND: MeaningKind = MeaningKind::Integer;
    const UNIT: &'static str = "kt";
    const CAPPED: bool = true;

    fn meaning(self, version: Version) -> Meaning {
        let Some((low, high)) = self.knots() else { return Meaning::none("no data") };
        let meaning = Meaning::written(Value::Integer(low.into()), self.bits(), version, |code, _, f| {
            match Self::from_bits(code).knots().unwrap_or_default() {
                (low, Some(high)) => write!(f, "{low} kt up to, not including, {high} kt"),
                (low, None) => write!(f, "{low} kt or more"),
            }
        });
        if high.is_none() { meaning.or_beyond() } else { meaning }
    }

    fn from_meaning(wanted: &str, _version: Version) -> Result<Self, CodeError> {
        if is_no_data(wanted) { Ok(Self::from_bits(0)) } else { Self::from_knots(number(wanted)?) }
    }

    fn steps(self, _version: Version) -> Vec<Step> {
        match self.0 {
            0 => Vec::new(),
            1 => vec![Step::note("code 1 is the first range, from 0 kt")],
            code => vec![Self::EDGES.read(code.into()).explained("the lower edge")],
        }
    }

    fn steps_to(self, wanted: &str, _version: Version) -> Vec<Step> {
        let Ok(knots) = number(wanted) else { return Vec::new() };
        let exact = ((knots + 16.0) / 32.0 + 1.0).floor();
        let mut steps = vec![
            Step::new(format!("floor(({} + 16) / 32 + 1)", decimals(knots, 6)), decimals(exact, 0))
                .explained("code 1 ends at 16 kt, and each code after it 32 kt later"),
        ];
        if exact > f64::from(Self::MOST) {
            steps.push(Step::note(format!("the last code, {}, holds everything beyond", Self::MOST)));
        }
        steps.extend(self.knots().map(|(low, _)| Step::note(format!("what is sent: {low} kt, the lower edge"))));
        steps.push(bits_step(self.bits(), Self::WIDTH));
        steps
    }
}
