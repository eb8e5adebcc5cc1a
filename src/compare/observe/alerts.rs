//! Gathers emergency and ident: the Mode A code, the emergency state, and the bits that announce both.

use super::evidence::{Evidence, Watched};
use super::tally::ObservedFrame;
use crate::code::{Bits, ModeA};
use crate::frame::Span;
use crate::message::Message;
use crate::track::seconds_between;

/// A Mode A code speaks for frames at most this much later (tool default; a change of code takes a few seconds).
const FRESH_S: f64 = 10.0;

/// What announces an emergency or an ident.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Announced {
    /// The emergency state of the aircraft status.
    EmergencyState,
    /// The surveillance status of positions.
    SurveillanceStatus,
    /// The flight status of replies.
    FlightStatus,
    /// The ident bit of the operational status.
    OperationalStatus,
}

impl Announced {
    /// All of them.
    pub const ALL: [Self; 4] =
        [Self::EmergencyState, Self::SurveillanceStatus, Self::FlightStatus, Self::OperationalStatus];

    /// The field, for people.
    pub const fn words(self) -> &'static str {
        match self {
            Self::EmergencyState => "the emergency state of the aircraft status",
            Self::SurveillanceStatus => "the surveillance status of positions",
            Self::FlightStatus => "the flight status of replies",
            Self::OperationalStatus => "the operational status",
        }
    }
}

/// Emergency and ident over the capture.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Alerts {
    /// While the Mode A code is 7500, 7600 or 7700: whether a field fails to say so.
    pub silent: [Watched; Announced::ALL.len()],
    /// An emergency state that belongs to a Mode A code, beside another code.
    pub unmatched: Watched,
    /// Whether ident is announced.
    pub ident: [Watched; Announced::ALL.len()],
    /// The last Mode A code and its time.
    code: Option<(ModeA, Option<f64>)>,
}

/// The codes of unlawful interference, radio failure and emergency.
fn is_emergency(code: ModeA) -> bool {
    matches!(code.digits(), [7, 5..=7, 0, 0])
}

impl Alerts {
    pub fn observe(&mut self, heard: &ObservedFrame<'_>) {
        let (frame, evidence) = (&heard.decoded.frame, &heard.evidence);
        let format = frame.downlink_format();
        match &heard.message {
            Some(Message::AircraftStatus(m)) => {
                // Where the message has a code of its own it is the one to compare with.
                let own = Some(m.mode_a).filter(|code| code.bits() != 0);
                let Some(code) = own.or_else(|| self.recent(evidence)) else { return };
                let state = m.emergency_state.bits();
                if is_emergency(code) {
                    self.silent[Announced::EmergencyState as usize].observe(state == 0, evidence);
                } else if own.is_some() {
                    // 1, 4 and 5 go with 7700, 7600 and 7500; the other states need no code.
                    self.unmatched.observe(matches!(state, 1 | 4 | 5), evidence);
                }
            }
            Some(Message::AirbornePosition(m)) => {
                let status = m.surveillance_status.bits();
                self.announced(Announced::SurveillanceStatus, status == 1, status == 3, evidence);
            }
            Some(Message::OperationalStatusAirborne(m)) => {
                self.ident[Announced::OperationalStatus as usize].observe(m.ident_active.is_set(), evidence);
            }
            Some(Message::OperationalStatusSurface(m)) => {
                self.ident[Announced::OperationalStatus as usize].observe(m.ident_active.is_set(), evidence);
            }
            None if matches!(format, 4 | 5 | 20 | 21) => {
                if matches!(format, 5 | 21) {
                    self.code = Some((ModeA::from_bits(frame.field(Span::new(20, 32))), evidence.time));
                }
                let status = frame.field(Span::new(6, 8));
                // 4 is alert and ident together.
                self.announced(Announced::FlightStatus, matches!(status, 2..=4), matches!(status, 4 | 5), evidence);
            }
            _ => {}
        }
    }

    fn announced(&mut self, by: Announced, alert: bool, ident: bool, evidence: &Evidence) {
        self.ident[by as usize].observe(ident, evidence);
        if self.recent(evidence).is_some_and(is_emergency) {
            self.silent[by as usize].observe(!alert, evidence);
        }
    }

    /// The last Mode A code, while it is fresh.
    fn recent(&self, evidence: &Evidence) -> Option<ModeA> {
        let (code, then) = self.code?;
        match (then, evidence.time) {
            (Some(then), Some(now)) => (0.0..=FRESH_S).contains(&seconds_between(then, now)).then_some(code),
            _ => Some(code),
        }
    }
}
