//! Gathers how often each message came: the gaps between frames of one kind. A silence is not a gap; it is time without
//! reception.

use super::evidence::{SILENCE_S, Series};
use super::tally::ObservedFrame;
use crate::downlink::Parity;
use crate::frame::Span;
use crate::message::Message;
use crate::onair::{SquitterKind, Stream, When};

/// Two frames of one kind closer than this are one, heard by two receivers (tool default: no squitter comes so soon).
const DUPLICATE_S: f64 = 0.02;

/// Gaps are counted in tenths of a second.
const TENTHS: usize = SILENCE_S as usize * 10;

/// Frames of one kind over time.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Gaps {
    /// How many came, copies left out.
    pub frames: u64,
    /// Copies of one frame by several receivers.
    pub copies: u64,
    /// Gaps by tenths of a second, up to the longest.
    pub tenths: Vec<u32>,
    /// The time that all gaps cover together, in microseconds.
    pub covered_us: u64,
    /// How many silences there were.
    pub silences: u64,
    ends: Option<(f64, f64)>,
}

impl Gaps {
    fn observe(&mut self, time: f64) {
        match self.ends {
            None => self.ends = Some((time, time)),
            Some((first, last)) => {
                self.between(last, time);
                self.ends = Some((first, time));
            }
        }
        self.frames += 1;
    }

    fn between(&mut self, before: f64, after: f64) {
        let gap = after - before;
        if (0.0..DUPLICATE_S).contains(&gap) {
            self.copies += 1;
        } else if (0.0..SILENCE_S).contains(&gap) {
            let tenth = ((gap * 10.0) as usize).min(TENTHS - 1);
            // Only as long as its longest gap: a large fleet has many.
            if self.tenths.len() <= tenth {
                self.tenths.resize(tenth + 1, 0);
            }
            self.tenths[tenth] += 1;
            self.covered_us += (gap * 1e6).round() as u64;
        } else {
            self.silences += 1;
        }
    }

    /// How many gaps were counted.
    pub fn count(&self) -> u64 {
        self.tenths.iter().map(|tenth| u64::from(*tenth)).sum()
    }

    /// The time that all gaps cover together.
    pub fn covered_s(&self) -> f64 {
        self.covered_us as f64 / 1e6
    }

    /// How many gaps of each length: from, in seconds, and how many.
    pub fn by_length(&self) -> impl Iterator<Item = (f64, u32)> {
        let tenths = self.tenths.iter().enumerate().filter(|(_, count)| **count > 0);
        tenths.map(|(tenth, count)| (tenth as f64 / 10.0, *count))
    }

    /// Gaps of `from_s` and more, but less than `to_s`, to a tenth of a second.
    pub fn within(&self, from_s: f64, to_s: f64) -> u64 {
        let at = |seconds: f64| ((seconds * 10.0).round() as usize).min(self.tenths.len());
        let counted = self.tenths.get(at(from_s)..at(to_s)).unwrap_or_default();
        counted.iter().map(|tenth| u64::from(*tenth)).sum()
    }
}

/// Every kind of squitter over time; only frames with times count.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Intervals {
    kinds: [Gaps; SquitterKind::ALL.len()],
    /// Frames of each kind over time, copies too.
    pub course: Series<[u32; SquitterKind::ALL.len()]>,
}

impl Intervals {
    /// `lately` is what squitters said lately by their kind: the capability may be the fault that is looked for.
    pub fn observe(&mut self, heard: &ObservedFrame<'_>, lately: Option<When>) {
        let Some(time) = heard.evidence.time else { return };
        let kind = kind_of(heard, lately).and_then(|kind| SquitterKind::ALL.iter().position(|known| *known == kind));
        if let Some(at) = kind {
            self.kinds[at].observe(time);
            let mut one = [0; SquitterKind::ALL.len()];
            one[at] = 1;
            self.course.observe(time, one);
        }
    }

    /// Each kind with its gaps.
    pub fn kinds(&self) -> impl Iterator<Item = (SquitterKind, &Gaps)> {
        SquitterKind::ALL.into_iter().zip(&self.kinds)
    }
}

fn kind_of(heard: &ObservedFrame<'_>, lately: Option<When>) -> Option<SquitterKind> {
    let frame = &heard.decoded.frame;
    let told = || {
        let capability = frame.field(Span::new(6, 8)) == 4;
        lately.unwrap_or(if capability { When::OnGround } else { When::Airborne })
    };
    let (stream, when) = match &heard.message {
        Some(Message::NoPosition(_)) => (Stream::Position, told()),
        Some(Message::AirbornePosition(_)) => (Stream::Position, When::Airborne),
        Some(Message::SurfacePosition(_)) => (Stream::Position, When::OnGround),
        Some(Message::AirborneVelocityGround(_) | Message::AirborneVelocityAir(_)) => {
            (Stream::Velocity, When::Airborne)
        }
        Some(Message::AircraftIdentification(_)) => (Stream::Identification, told()),
        Some(Message::AircraftStatus(_)) => (Stream::AircraftStatus, told()),
        Some(Message::TargetState(_) | Message::TargetStateVersion1(_) | Message::TargetStateOther(_)) => {
            (Stream::TargetState, When::Airborne)
        }
        Some(
            Message::OperationalStatusAirborne(_)
            | Message::OperationalStatusAirborneVersion1(_)
            | Message::OperationalStatusAirborneVersion3(_)
            | Message::OperationalStatusSurface(_)
            | Message::OperationalStatusSurfaceVersion1(_)
            | Message::OperationalStatusSurfaceVersion3(_)
            | Message::OperationalStatusVersion0(_)
            | Message::OperationalStatusOther(_),
        ) => {
            let surface = frame.field(Span::new(38, 40)) == 1;
            (Stream::OperationalStatus, if surface { When::OnGround } else { When::Airborne })
        }
        None if frame.downlink_format() == 11 && heard.decoded.parity() == Parity::Valid => {
            (Stream::Acquisition, told())
        }
        _ => return None,
    };
    Some(SquitterKind { stream, when })
}
