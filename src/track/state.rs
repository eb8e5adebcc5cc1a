//! Remembers whether an aircraft is in the air or on the ground, which message said so, and since when.

use crate::code::{Bits, Capability, FlightStatus, VerticalStatus};
use crate::downlink::Decoded;
use crate::frame::Span;
use crate::message::Message;

/// In the air or on the ground.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum AirGround {
    /// In the air.
    Airborne,
    /// On the ground.
    OnGround,
}

impl AirGround {
    /// The word in JSON.
    ///
    /// ```
    /// use squitterlab::track::state::AirGround;
    /// assert_eq!(AirGround::OnGround.key(), "on_ground");
    /// ```
    pub const fn key(self) -> &'static str {
        match self {
            Self::Airborne => "airborne",
            Self::OnGround => "on_ground",
        }
    }

    /// The word for people.
    ///
    /// ```
    /// use squitterlab::track::state::AirGround;
    /// assert_eq!(AirGround::OnGround.words(), "on the ground");
    /// ```
    pub const fn words(self) -> &'static str {
        match self {
            Self::Airborne => "airborne",
            Self::OnGround => "on the ground",
        }
    }
}

/// What says whether an aircraft is in the air: the name of the field or message.
pub type Witness = &'static str;

/// An aircraft's state.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct State {
    /// In the air or on the ground.
    pub is: AirGround,
    /// When that was first heard, in seconds; `None` if the capture has no times.
    pub since_s: Option<f64>,
    /// What said so first.
    pub by: Witness,
}

/// What a frame does to the state of its aircraft.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StateChange {
    /// The state before.
    pub from: State,
    /// The state now.
    pub to: State,
}

/// A frame that says both: its envelope the one, its message the other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Contradiction {
    /// What the envelope says, and which field.
    pub envelope: (AirGround, Witness),
    /// What the message says, and which.
    pub message: (AirGround, Witness),
}

/// What the envelope of a frame says: capability (formats 11 and 17), flight status (4, 5, 20, 21), vertical status
/// (0, 16). Annex 10 Volume IV; handbook, Mode S part, chapters 2 to 4. Codes that leave it open say nothing.
pub(crate) fn envelope_says(decoded: &Decoded) -> Option<(AirGround, Witness)> {
    let three = decoded.frame.field(Span::new(6, 8));
    match (decoded.frame.downlink_format(), decoded.frame.length()) {
        (11, 56) | (17, 112) => match Capability::from_bits(three) {
            Capability::ON_GROUND => Some((AirGround::OnGround, "capability")),
            Capability::AIRBORNE => Some((AirGround::Airborne, "capability")),
            _ => None,
        },
        (4 | 5, 56) | (20 | 21, 112) => match FlightStatus::from_bits(three).bits() {
            0 | 2 => Some((AirGround::Airborne, "flight_status")),
            1 | 3 => Some((AirGround::OnGround, "flight_status")),
            _ => None,
        },
        (0, 56) | (16, 112) => Some(match VerticalStatus::from_bits(three >> 2).bits() {
            0 => (AirGround::Airborne, "vertical_status"),
            _ => (AirGround::OnGround, "vertical_status"),
        }),
        _ => None,
    }
}

/// What a squitter says by its kind: airborne and surface messages go out in the one state only.
pub(crate) fn message_says(message: &Message) -> Option<(AirGround, Witness)> {
    let bits = message.bits();
    let is = match (bits >> 51 & 31, bits >> 48 & 7) {
        (5..=8, _) | (31, 1) => AirGround::OnGround,
        (9..=18 | 20..=22, _) | (19, 1..=4) | (31, 0) => AirGround::Airborne,
        _ => return None,
    };
    Some((is, message.table().message))
}

/// What is remembered of an aircraft's state.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct StateMemory {
    state: Option<State>,
    /// The last reply said the other: a second one is believed, since a damaged reply can pass for this aircraft's.
    doubted: bool,
}

impl StateMemory {
    pub fn state(&self) -> Option<State> {
        self.state
    }

    /// Observes what a frame says. A frame without a proof of its address has to say it twice.
    pub fn observe(&mut self, said: (AirGround, Witness), proved: bool, time: Option<f64>) -> Option<StateChange> {
        let to = State { is: said.0, since_s: time, by: said.1 };
        let from = match self.state {
            Some(state) if state.is == said.0 => {
                self.doubted = false;
                return None;
            }
            before => before,
        };
        if !proved && !std::mem::replace(&mut self.doubted, true) {
            return None;
        }
        self.doubted = false;
        self.state = Some(to);
        from.map(|from| StateChange { from, to })
    }
}
