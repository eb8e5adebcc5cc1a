//! Gathers what capability, flight status, vertical status, kind of message and speed say about air and ground.

use super::evidence::{Evidence, Run, Seen, follows};
use super::tally::ObservedFrame;
use crate::code::Version;
use crate::message::Message;
use crate::onair::When;
use crate::track::state::{AirGround, Witness, envelope_says, message_says};
use crate::track::{Observation, seconds_between};

/// No aircraft taxies faster (tool default).
pub const FAST_KT: f64 = 100.0;
/// Below this speed an aircraft with wings is on the ground (press report of 2017 on the United States monitor).
pub const SLOW_KT: f64 = 25.0;
/// So long in a row counted as airborne messages on the surface there (press report of 2017).
pub const SLOW_S: f64 = 35.0;
/// A reply is compared with a squitter at most this much older (tool default).
const TOGETHER_S: f64 = 2.0;
/// At most this many transitions are kept, the first ones.
const MOST_TRANSITIONS: usize = 64;

/// A change between air and ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Transition {
    /// What it is from here on.
    pub to: AirGround,
    /// What said so first.
    pub by: Witness,
    /// Where.
    pub evidence: Evidence,
}

/// What was seen of the state.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct AirGroundConsistency {
    /// Frames in a row whose envelope and message say different things.
    pub contradictory: Run,
    /// By what the envelope's field says and what the message says.
    pub contradictions: Seen<(Witness, bool, Witness)>,
    /// Replies that say another state than the squitters just before and after them, by the field of the reply.
    pub replies: Seen<(Witness, bool)>,
    /// Surface messages faster than any taxiing aircraft, in a row.
    pub fast_on_surface: Run,
    /// The first surface message that is too fast.
    pub fast: Option<Evidence>,
    /// Airborne velocities slower than any flying aircraft with wings, in a row.
    pub slow_in_the_air: Run,
    /// The first airborne velocity that is too slow.
    pub slow: Option<Evidence>,
    /// Airborne messages, and messages on the ground.
    pub airborne: u64,
    /// Messages of the ground.
    pub on_ground: u64,
    /// When the state changed.
    pub transitions: Vec<Transition>,
    /// The state that was heard first.
    pub first: Option<Transition>,
    /// What the last squitter of this part said, and when.
    last: Option<(AirGround, f64)>,
    /// A reply since then that said the other.
    doubt: Option<((Witness, bool), Evidence)>,
}

impl AirGroundConsistency {
    /// What the kind of the last squitter that tells the state said, while it is fresh.
    pub fn said_lately(&self, time: Option<f64>) -> Option<When> {
        let ((state, then), now) = (self.last?, time?);
        follows(then, now).then_some(match state {
            AirGround::Airborne => When::Airborne,
            AirGround::OnGround => When::OnGround,
        })
    }

    pub fn observe(&mut self, heard: &ObservedFrame<'_>, seen: &Observation) {
        let evidence = &heard.evidence;
        let time = evidence.time;
        let envelope = envelope_says(heard.decoded);
        let message = heard.message.as_ref().and_then(message_says);
        if let (Some((state, by)), Some(said)) = (envelope, message) {
            self.contradictory.observe(state != said.0, time);
            if state != said.0 {
                self.contradictions.note((by, state == AirGround::Airborne, said.1), evidence);
            }
        }
        if let (Some((state, by)), None, Some((last, then)), Some(now)) = (envelope, &heard.message, self.last, time)
            && state != last
            && by != "capability"
            && (0.0..=TOGETHER_S).contains(&(seconds_between(then, now)))
        {
            self.doubt = Some(((by, state == AirGround::Airborne), *evidence));
        }
        if let Some((state, _)) = message {
            // At a transition the reply is only the first to say it: the next squitter decides.
            if let (Some((reply, doubt)), Some(last)) = (self.doubt.take(), self.last)
                && state == last.0
                && let (Some(then), Some(now)) = (doubt.time, time)
                && (0.0..=TOGETHER_S).contains(&(seconds_between(then, now)))
            {
                self.replies.note(reply, &doubt);
            }
            match state {
                AirGround::Airborne => self.airborne += 1,
                AirGround::OnGround => self.on_ground += 1,
            }
            self.last = time.map(|time| (state, time));
        }
        if let (None, Some(state)) = (&self.first, seen.state) {
            self.first = Some(Transition { to: state.is, by: state.by, evidence: *evidence });
        }
        if let Some(change) = seen.change.filter(|_| self.transitions.len() < MOST_TRANSITIONS) {
            self.transitions.push(Transition { to: change.to.is, by: change.to.by, evidence: *evidence });
        }
        match &heard.message {
            Some(Message::SurfacePosition(m)) => {
                if let Some((least, _)) = m.movement.knots(Version::Two) {
                    self.fast_on_surface.observe(least >= FAST_KT, time);
                    if least >= FAST_KT {
                        Evidence::note(&mut self.fast, evidence);
                    }
                }
            }
            Some(Message::AirborneVelocityGround(m)) => {
                if let Some((knots, _)) = m.speed_and_track() {
                    self.slow_in_the_air.observe(knots < SLOW_KT, time);
                    if knots < SLOW_KT {
                        Evidence::note(&mut self.slow, evidence);
                    }
                }
            }
            _ => {}
        }
    }
}
