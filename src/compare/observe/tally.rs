//! Gathers what a capture shows of one address, field by field. Frames of one address are observed one after the other,
//! so the answer does not depend on how the reading is split.

use super::agreement::Agreement;
use super::air_ground::AirGroundConsistency;
use super::alerts::Alerts;
use super::altitude::Altitudes;
use super::evidence::{Evidence, Seen};
use super::ground_track::GroundTrack;
use super::intervals::Intervals;
use super::motion::Motion;
use super::presence::Presence;
use super::quality::{Bounds, Quality};
use super::times::Times;
use crate::code::{Bits, Version};
use crate::compare::install::{Expected, matching};
use crate::downlink::Decoded;
use crate::frame::Span;
use crate::message::Message;
use crate::onair::Decision;
use crate::profile::SettingId;
use crate::track::{Observation, VersionInForce};

/// A frame of the aircraft, as everything that gathers evidence gets it.
#[derive(Debug)]
pub struct ObservedFrame<'a> {
    pub decoded: &'a Decoded,
    /// The squitter's message.
    pub message: Option<Message>,
    pub evidence: Evidence,
    /// What quality is compared with.
    pub bounds: &'a [Bounds; 6],
    /// The version that the install sends.
    pub version: Version,
}

/// What was observed of the fields of one expected frame.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Fields {
    /// Frames that agree in all that can be compared at once.
    agreeing: Option<Evidence>,
    /// The codes of each field in the other frames, and of fields that are looked at one by one.
    codes: Vec<Seen<u64>>,
}

/// Everything observed of one address.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tally {
    /// Frames that carry the address in the clear with valid parity.
    pub in_clear: u64,
    /// Replies that carry the address in their parity.
    pub replies: u64,
    /// When they came.
    pub times: Times,
    /// For every expected frame, its fields.
    fields: Vec<Fields>,
    /// Version numbers heard.
    pub versions: Seen<u8>,
    /// Position messages that carried a position.
    pub positions: u64,
    /// Position messages of type code 0.
    pub without_position: u64,
    /// Identifications heard, as codes.
    pub identifications: Seen<u64>,
    /// Mode A codes heard, as bits.
    pub mode_a: Seen<u64>,
    /// Quality over the capture.
    pub quality: Quality,
    /// How often each message came.
    pub intervals: Intervals,
    /// Air and ground.
    pub coherence: AirGroundConsistency,
    /// Squitters against replies.
    pub agreement: Agreement,
    /// How positions move.
    pub motion: Motion,
    /// Where it was.
    pub path: GroundTrack,
    /// Altitude codes.
    pub altitudes: Altitudes,
    /// Positions and altitudes that are missing.
    pub presence: Presence,
    /// Emergency and ident.
    pub alerts: Alerts,
    /// The version that the messages so far are read in.
    pub version_in_force: Option<VersionInForce>,
    /// The first position message.
    pub first_position: Option<Evidence>,
}

impl Tally {
    /// An empty tally for these expected frames.
    pub fn new(expected: &[Expected]) -> Self {
        let empty = |one: &Expected| Fields { agreeing: None, codes: vec![Seen::new(); one.decisions().count()] };
        Self { fields: expected.iter().map(empty).collect(), ..Self::default() }
    }

    /// The codes that were observed of a field.
    pub fn codes(&self, expected: &[Expected], emission: usize, decision: usize) -> Seen<u64> {
        let (Some(fields), Some(one)) = (self.fields.get(emission), expected.get(emission)) else { return Seen::new() };
        let mut codes = fields.codes.get(decision).cloned().unwrap_or_default();
        if let (Some(true), Some(agreeing)) = (one.at_once.get(decision), &fields.agreeing) {
            codes.note(one.emission.decisions[decision].code, agreeing);
        }
        codes
    }

    /// What takes what the frames before a frame add to it, and all else: the two may be gathered at once.
    pub fn halves(&mut self) -> (Tracked<'_>, Single<'_>) {
        let Self { coherence, intervals, agreement, motion, path, version_in_force, .. } = self;
        let tracked = Tracked { coherence, intervals, agreement, motion, path, version_in_force };
        let Self { in_clear, replies, times, fields, versions, positions, without_position, .. } = self;
        let Self { first_position, identifications, mode_a, quality, altitudes, presence, alerts, .. } = self;
        let messages = Messages { versions, positions, without_position, first_position, identifications, mode_a };
        (tracked, Single { in_clear, replies, times, fields, messages, quality, altitudes, presence, alerts })
    }
}

/// The parts of a tally that take what the frames before a frame add to it.
pub struct Tracked<'a> {
    coherence: &'a mut AirGroundConsistency,
    intervals: &'a mut Intervals,
    agreement: &'a mut Agreement,
    motion: &'a mut Motion,
    path: &'a mut GroundTrack,
    version_in_force: &'a mut Option<VersionInForce>,
}

impl Tracked<'_> {
    /// Observes one frame of this address, with what the frames before it add to it.
    pub fn observe(&mut self, heard: &ObservedFrame<'_>, seen: &Observation) {
        self.coherence.observe(heard, seen);
        self.intervals.observe(heard, self.coherence.said_lately(heard.evidence.time));
        self.agreement.observe(heard, seen);
        self.motion.observe(heard, seen);
        self.path.observe(heard, seen);
        *self.version_in_force = Some(seen.version);
    }
}

/// The parts of a tally that take a frame by itself.
pub struct Single<'a> {
    in_clear: &'a mut u64,
    replies: &'a mut u64,
    times: &'a mut Times,
    fields: &'a mut [Fields],
    messages: Messages<'a>,
    quality: &'a mut Quality,
    altitudes: &'a mut Altitudes,
    presence: &'a mut Presence,
    alerts: &'a mut Alerts,
}

impl Single<'_> {
    /// Observes one frame of this address.
    pub fn observe(&mut self, expected: &[Expected], heard: &ObservedFrame<'_>) {
        let decoded = heard.decoded;
        *if decoded.proves_address() { &mut *self.in_clear } else { &mut *self.replies } += 1;
        self.times.observe(&heard.evidence);
        self.messages.observe(heard);
        self.quality.observe(heard);
        self.altitudes.observe(heard);
        self.presence.observe(heard);
        self.alerts.observe(heard);
        let Some(at) = matching(expected, heard.decoded, heard.message) else { return };
        let expected = &expected[at];
        let fields = &mut self.fields[at];
        // A status of another version has its number in the same place, and nothing else that can be compared.
        let only_version =
            heard.message.is_some() && decoded.payload.is_some_and(|payload| payload.table != expected.emission.table);
        let frame = &decoded.frame;
        let agrees = !only_version && (frame.pattern() ^ expected.emission.frame.pattern()) & expected.care == 0;
        if agrees && expected.care != 0 {
            Evidence::note(&mut fields.agreeing, &heard.evidence);
        }
        let note = |(decision, codes): (&Decision, &mut Seen<u64>)| {
            let other_layout =
                only_version && !decision.settings.contains(&SettingId::MopsVersion) && decision.span.last > 32;
            if !other_layout && decision.applies_to(frame) {
                codes.note(frame.field(decision.span), &heard.evidence);
            }
        };
        if agrees {
            let codes = &mut fields.codes;
            expected.one_by_one.iter().for_each(|at| {
                if let (Some(decision), Some(codes)) = (expected.decision(*at), codes.get_mut(*at)) {
                    note((decision, codes));
                }
            });
        } else {
            expected.decisions().zip(&mut fields.codes).for_each(note);
        }
    }
}

/// What the messages say of themselves.
struct Messages<'a> {
    versions: &'a mut Seen<u8>,
    positions: &'a mut u64,
    without_position: &'a mut u64,
    first_position: &'a mut Option<Evidence>,
    identifications: &'a mut Seen<u64>,
    mode_a: &'a mut Seen<u64>,
}

impl Messages<'_> {
    fn observe(&mut self, heard: &ObservedFrame<'_>) {
        let evidence = &heard.evidence;
        if let Some(number) = heard.message.and_then(|message| message.version_number()) {
            self.versions.note(number.bits() as u8, evidence);
        }
        match &heard.message {
            Some(Message::NoPosition(_)) => *self.without_position += 1,
            Some(Message::AirbornePosition(_) | Message::SurfacePosition(_)) => {
                *self.positions += 1;
                self.first_position.get_or_insert(*evidence);
            }
            Some(Message::AircraftIdentification(m)) => self.identifications.note(m.characters.bits(), evidence),
            None if matches!(heard.decoded.frame.downlink_format(), 5 | 21) => {
                self.mode_a.note(heard.decoded.frame.field(Span::new(20, 32)), evidence);
            }
            _ => {}
        }
    }
}
