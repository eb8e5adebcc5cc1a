//! Compares what one aircraft says in two ways, squitter and reply. In a right install both come from one source.
//!
//! Aircraft identification in the squitter and in register 2,0; Mode A code in formats 5 and 21 and in type code 28;
//! pressure altitude in formats 0, 4, 16 and 20 and in the squitter (14 CFR 91.217(b); EASA CS-ACNS for identification).
//!
//! A value may change between two messages, and a damaged reply can pass for this aircraft's. So a squitter is judged
//! only between two replies that agree: what changed in between would have had to change back.

use super::seconds_between;
use crate::code::{Altitude12, Altitude13, Bits, Identification, ModeA, Version};
use crate::downlink::Decoded;
use crate::frame::Span;
use crate::message::Message;
use crate::register::AircraftIdentificationRegister;
use crate::track::VersionInForce;

/// Replies around a squitter's altitude are at most this far apart: more than a turn of a ground antenna (tool default).
const ALTITUDE_S: f64 = 15.0;
/// Other replies, where there are times, so far: nobody changes a code and takes it back so soon (tool default).
const OTHER_S: f64 = 60.0;

/// A value that an aircraft says in more than one kind of message.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Statement {
    /// Aircraft identification.
    Identification(Identification),
    /// Mode A code.
    ModeA(ModeA),
    /// Pressure altitude.
    PressureAltitude {
        /// In feet.
        feet: i32,
        /// The step of its code in feet: 25 or 100.
        step_ft: i32,
    },
}

/// How many kinds of [`Statement`] there are.
const KINDS: usize = 3;

impl Statement {
    /// The field's name in JSON.
    pub(crate) const fn field(self) -> &'static str {
        match self {
            Self::Identification(_) => "aircraft_identification",
            Self::ModeA(_) => "mode_a_code",
            Self::PressureAltitude { .. } => "pressure_altitude_ft",
        }
    }

    const fn kind(self) -> usize {
        match self {
            Self::Identification(_) => 0,
            Self::ModeA(_) => 1,
            Self::PressureAltitude { .. } => 2,
        }
    }

    fn altitude(code: Altitude12) -> Option<Self> {
        let step_ft = if code.is_quarter() { 25 } else { 100 };
        code.feet().map(|feet| Self::PressureAltitude { feet, step_ft })
    }

    fn identification(code: Identification) -> Option<Self> {
        code.is_well_formed().then_some(Self::Identification(code))
    }

    fn mode_a(code: ModeA) -> Option<Self> {
        // 0000 is what is sent where nothing is, and the X bit does not count.
        (code.digits() != [0; 4]).then(|| Self::ModeA(ModeA::from_digits(code.digits())))
    }
}

/// The value in words: the identification, four octal digits, or feet.
impl std::fmt::Display for Statement {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Identification(code) => code.fmt(f),
            Self::ModeA(code) => code.fmt(f),
            Self::PressureAltitude { feet, .. } => write!(f, "{feet} ft"),
        }
    }
}

/// What a squitter says; "no data" says nothing. The Mode A code of type code 28 is there in version 2 only.
pub(crate) fn squitter_says(message: &Message, version: VersionInForce) -> Option<Statement> {
    match message {
        Message::AircraftIdentification(m) => Statement::identification(m.characters),
        Message::AircraftStatus(m) if version.known() >= Some(Version::Two) => Statement::mode_a(m.mode_a),
        Message::AirbornePosition(m) if !m.is_geometric() => Statement::altitude(m.altitude),
        Message::NoPosition(m) => Statement::altitude(m.altitude),
        _ => None,
    }
}

/// What a reply says beside its payload: altitude or Mode A code; "no data" says nothing.
pub(crate) fn reply_says(decoded: &Decoded) -> Option<Statement> {
    let code = decoded.frame.field(Span::new(20, 32));
    match (decoded.frame.downlink_format(), decoded.frame.length()) {
        (0 | 4, 56) | (16 | 20, 112) => Altitude13::from_bits(code).without_metric_bit().and_then(Statement::altitude),
        (5, 56) | (21, 112) => Statement::mode_a(ModeA::from_bits(code)),
        _ => None,
    }
}

/// The identification in a Comm-B payload that carries the number of register 2,0 and obeys its rules.
pub(crate) fn register_says(decoded: &Decoded) -> Option<Statement> {
    let (20 | 21, Some(payload)) = (decoded.frame.downlink_format(), decoded.payload) else { return None };
    (payload.bits >> 48 == AircraftIdentificationRegister::TABLE.template as u64 >> 48)
        .then(|| AircraftIdentificationRegister::from_bits(payload.bits).characters)
        .and_then(Statement::identification)
}

/// Whether what a squitter says agrees with the replies before and after it, `seconds` apart where there are times.
/// `None` if they do not compare: the replies differ or lie too far apart, or altitudes without times.
///
/// ```
/// use squitterlab::track::agreement::{Statement, agrees};
/// let altitude = |feet| Statement::PressureAltitude { feet, step_ft: 25 };
/// assert_eq!(agrees(altitude(5000), altitude(5050), altitude(5100), Some(4.0)), Some(true));
/// assert_eq!(agrees(altitude(5000), altitude(5500), altitude(5100), Some(4.0)), Some(false));
/// assert_eq!(agrees(altitude(5000), altitude(5500), altitude(5100), None), None);
/// ```
pub fn agrees(before: Statement, squitter: Statement, after: Statement, seconds: Option<f64>) -> Option<bool> {
    if let (
        Statement::PressureAltitude { feet: before, step_ft: first },
        Statement::PressureAltitude { feet, step_ft: second },
        Statement::PressureAltitude { feet: after, step_ft: third },
    ) = (before, squitter, after)
    {
        let step = first.max(second).max(third);
        let between = before.min(after) - step..=before.max(after) + step;
        return seconds.filter(|seconds| *seconds <= ALTITUDE_S).map(|_| between.contains(&feet));
    }
    let comparable =
        before.kind() == squitter.kind() && before == after && seconds.is_none_or(|seconds| seconds <= OTHER_S);
    comparable.then(|| squitter == before)
}

/// A squitter that says something else than the replies before and after it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Disagreement {
    /// What the replies say.
    pub reply: Statement,
    /// What the squitter says.
    pub squitter: Statement,
    /// When the squitter was heard, in seconds.
    pub squitter_time: Option<f64>,
}

#[derive(Clone, Copy, Debug)]
struct Heard {
    said: Statement,
    time: Option<f64>,
}

/// The latest reply of each kind, and the latest squitter after it.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct AgreementMemory {
    kinds: [(Option<Heard>, Option<Heard>); KINDS],
}

impl AgreementMemory {
    pub fn observe_squitter(&mut self, said: Statement, time: Option<f64>) {
        self.kinds[said.kind()].1 = Some(Heard { said, time });
    }

    pub fn observe_reply(&mut self, said: Statement, time: Option<f64>) -> Option<Disagreement> {
        let (before, squitter) = &mut self.kinds[said.kind()];
        let earlier = before.replace(Heard { said, time });
        let (before, squitter) = (earlier?, squitter.take()?);
        let seconds = match (before.time, squitter.time, time) {
            (Some(then), Some(_), Some(now)) if now >= then => Some(seconds_between(then, now)),
            (None, None, None) => None,
            _ => return None,
        };
        let differs = agrees(before.said, squitter.said, said, seconds) == Some(false);
        differs.then_some(Disagreement { reply: said, squitter: squitter.said, squitter_time: squitter.time })
    }
}
