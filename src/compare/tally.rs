//! What a capture showed of one address, field by field. Tallies add up, so any split of the work gives one answer.

use crate::code::{Altitude12, Bits, Version};
use crate::downlink::Decoded;
use crate::frame::{Frame, Span};
use crate::message::Message;
use crate::onair::{Emission, When};
use std::collections::BTreeMap;

/// Frames that showed one thing, and the first of them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Evidence {
    /// How many frames.
    pub frames: u64,
    /// Which file, from 0.
    pub file: usize,
    /// Which line, from 1.
    pub line: u64,
    /// The frame.
    pub frame: Frame,
}

impl Evidence {
    /// Adds frames that showed the same; the first of them all stays the example.
    pub(super) fn add(&mut self, other: &Self) {
        let first = if (other.file, other.line) < (self.file, self.line) { *other } else { *self };
        *self = Self { frames: self.frames + other.frames, ..first };
    }
}

/// How long a value stayed bad: a run that can be joined to the run of the next part.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Run {
    /// Observations.
    pub total: u64,
    /// Bad ones.
    pub bad: u64,
    /// The longest unbroken row of bad ones.
    pub longest: u64,
    head: u64,
    tail: u64,
}

impl Run {
    fn one(bad: bool) -> Self {
        let one = u64::from(bad);
        Self { total: 1, bad: one, longest: one, head: one, tail: one }
    }

    /// This run, then another.
    #[must_use]
    pub fn then(self, next: Self) -> Self {
        Self {
            total: self.total + next.total,
            bad: self.bad + next.bad,
            longest: self.longest.max(next.longest).max(self.tail + next.head),
            head: if self.bad == self.total { self.total + next.head } else { self.head },
            tail: if next.bad == next.total { next.total + self.tail } else { next.tail },
        }
    }
}

/// What was observed of one decided field.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Observed {
    /// Each code with its evidence.
    pub codes: BTreeMap<u64, Evidence>,
    /// Whether the code agreed, frame after frame.
    pub run: Run,
}

/// Everything observed of one address.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Frames that carry the address in clear with valid parity.
    pub in_clear: u64,
    /// Replies that carry the address in their parity.
    pub replies: u64,
    /// For every expected frame, its decided fields and then its used ones.
    pub fields: Vec<Vec<Observed>>,
    /// Version numbers heard.
    pub versions: BTreeMap<u8, Evidence>,
    /// Position messages that carried a position.
    pub positions: u64,
    /// Position messages of type code 0.
    pub without_position: u64,
    /// Position messages by (surface, type code, supplement B).
    pub radii: BTreeMap<(bool, u8, u8), Evidence>,
    /// Operational status by (surface, supplement A, supplement C).
    pub supplements: BTreeMap<(bool, u8, u8), Evidence>,
    /// Surface messages that move faster than any taxiing aircraft.
    pub fast_on_surface: Option<Evidence>,
    /// Grey codes that no altitude has.
    pub illegal_altitudes: Option<Evidence>,
    /// Identifications heard, as codes.
    pub identifications: BTreeMap<u64, Evidence>,
}

fn note<K: Ord>(into: &mut BTreeMap<K, Evidence>, key: K, evidence: &Evidence) {
    into.entry(key).and_modify(|known| known.add(evidence)).or_insert(*evidence);
}

/// No aircraft taxies faster (tool default).
const FAST_KT: f64 = 100.0;

fn note_one(into: &mut Option<Evidence>, evidence: &Evidence) {
    match into {
        Some(known) => known.add(evidence),
        None => *into = Some(*evidence),
    }
}

impl Tally {
    /// An empty tally for these expected frames.
    pub fn new(expected: &[Emission]) -> Self {
        let empty = |emission: &Emission| vec![Observed::default(); emission.decisions.len() + emission.used.len()];
        Self { fields: expected.iter().map(empty).collect(), ..Self::default() }
    }

    /// Takes in one frame of this address.
    pub fn observe(&mut self, expected: &[Emission], decoded: &Decoded, file: usize, line: u64) {
        let evidence = Evidence { frames: 1, file, line, frame: decoded.frame };
        if decoded.proves_address() {
            self.in_clear += 1;
        } else {
            self.replies += 1;
        }
        if let Some(message) = decoded.squitter() {
            self.note_message(&message, &evidence);
        }
        let Some(at) = matching(expected, decoded) else { return };
        let emission = &expected[at];
        // A status of another version has its number in the same place, and nothing else that can be compared.
        let only_version =
            decoded.payload.is_some_and(|payload| payload.table != emission.table) && decoded.squitter().is_some();
        let frame = &decoded.frame;
        for (decision, observed) in emission.decisions.iter().chain(&emission.used).zip(&mut self.fields[at]) {
            let outside_message = decision.span.last <= 32;
            if !(decision.applies)(frame) || only_version && decision.field != "version" && !outside_message {
                continue;
            }
            let code = frame.field(decision.span);
            note(&mut observed.codes, code, &evidence);
            observed.run = observed.run.then(Run::one(!decision.agrees(code)));
        }
    }

    fn note_message(&mut self, message: &Message, evidence: &Evidence) {
        if let Some(number) = message.version_number() {
            note(&mut self.versions, number.bits() as u8, evidence);
        }
        match message {
            Message::NoPosition(_) => self.without_position += 1,
            Message::AirbornePosition(m) => {
                self.positions += 1;
                if !m.is_geometric() && m.altitude != Altitude12::NO_DATA && m.altitude.feet().is_none() {
                    note_one(&mut self.illegal_altitudes, evidence);
                }
                let supplement = m.antenna_or_nic_supplement_b.bits() as u8;
                note(&mut self.radii, (false, m.type_code.number(), supplement), evidence);
            }
            Message::SurfacePosition(m) => {
                self.positions += 1;
                note(&mut self.radii, (true, m.type_code.number(), 0), evidence);
                if m.movement.knots(Version::Two).is_some_and(|(least, _)| least >= FAST_KT) {
                    note_one(&mut self.fast_on_surface, evidence);
                }
            }
            Message::AircraftIdentification(m) => note(&mut self.identifications, m.characters.bits(), evidence),
            Message::OperationalStatusAirborne(m) => {
                note(&mut self.supplements, (false, m.nic_supplement_a.bits() as u8, 0), evidence);
            }
            Message::OperationalStatusSurface(m) => {
                let (a, c) = (m.nic_supplement_a.bits() as u8, m.nic_supplement_c.bits() as u8);
                note(&mut self.supplements, (true, a, c), evidence);
            }
            _ => {}
        }
    }

    /// Adds what a later part of the capture showed.
    pub fn add(&mut self, later: &Self) {
        self.in_clear += later.in_clear;
        self.replies += later.replies;
        self.positions += later.positions;
        self.without_position += later.without_position;
        for (mine, theirs) in self.fields.iter_mut().flatten().zip(later.fields.iter().flatten()) {
            for (code, evidence) in &theirs.codes {
                note(&mut mine.codes, *code, evidence);
            }
            mine.run = mine.run.then(theirs.run);
        }
        for (mine, theirs) in [
            (&mut self.fast_on_surface, &later.fast_on_surface),
            (&mut self.illegal_altitudes, &later.illegal_altitudes),
        ] {
            if let Some(evidence) = theirs {
                note_one(mine, evidence);
            }
        }
        for (key, evidence) in &later.versions {
            note(&mut self.versions, *key, evidence);
        }
        for (key, evidence) in &later.radii {
            note(&mut self.radii, *key, evidence);
        }
        for (key, evidence) in &later.supplements {
            note(&mut self.supplements, *key, evidence);
        }
        for (key, evidence) in &later.identifications {
            note(&mut self.identifications, *key, evidence);
        }
    }
}

/// Which expected frame an observed one is to be held against.
fn matching(expected: &[Emission], decoded: &Decoded) -> Option<usize> {
    let format = decoded.frame.downlink_format();
    let table = decoded.payload.map_or(decoded.envelope, |payload| payload.table);
    let on_ground = matches!(format, 11 | 17) && decoded.frame.field(Span::new(6, 8)) == 4;
    // A status in another version than the expected one stands for it: its number is there to be compared.
    let status = decoded.squitter().filter(|message| message.version_number().is_some());
    let status = status.and_then(|message| match message.bits() >> 48 & 7 {
        subtype @ (0 | 1) => Some(subtype == 1),
        _ => None,
    });
    let fits = |emission: &Emission| {
        if emission.envelope != decoded.envelope {
            return false;
        }
        match (format, status) {
            (_, Some(surface)) => {
                emission.table.message == "operational_status" && surface == (emission.when == When::OnGround)
            }
            (0, _) => {
                let airspeed = |frame: &Frame| frame.field(Span::new(14, 17)) >= 8;
                airspeed(&emission.frame) == airspeed(&decoded.frame)
            }
            // Only registers that carry their own number can be told apart.
            (20, _) => {
                emission.frame.field(Span::new(33, 40)) == decoded.frame.field(Span::new(33, 40))
                    && emission.frame.field(Span::new(33, 40)) != 0
            }
            _ => emission.table == table,
        }
    };
    let mut all = (0..expected.len()).filter(|at| fits(&expected[*at]));
    let first = all.next()?;
    // Where air and ground differ in nothing but the capability, the observed capability chooses.
    all.find(|at| on_ground && expected[*at].when == When::OnGround).or(Some(first))
}
