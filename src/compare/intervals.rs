//! How often each message came: gaps between frames of one kind. A silence is no gap; it is time without reception.

use super::evidence::SILENCE_S;
use super::tally::Heard;
use crate::downlink::Parity;
use crate::frame::Span;
use crate::message::Message;

/// Two frames of one kind closer than this are one, heard by two receivers (tool default: no squitter comes so soon).
const DUPLICATE_S: f64 = 0.02;

/// Gaps are counted in tenths of a second.
const TENTHS: usize = SILENCE_S as usize * 10;

/// A kind of squitter with a schedule of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Kind {
    /// The message's name.
    pub message: &'static str,
    /// Whether it is sent on the ground.
    pub on_ground: bool,
}

/// Every kind. A position of type code 0 stands in the place of the position that there is none of.
pub const KINDS: [Kind; 12] = {
    const fn kind(message: &'static str, on_ground: bool) -> Kind {
        Kind { message, on_ground }
    }
    [
        kind("airborne_position", false),
        kind("surface_position", true),
        kind("airborne_velocity", false),
        kind("aircraft_identification", false),
        kind("aircraft_identification", true),
        kind("aircraft_status", false),
        kind("aircraft_status", true),
        kind("target_state_and_status", false),
        kind("operational_status", false),
        kind("operational_status", true),
        kind("all_call_reply", false),
        kind("all_call_reply", true),
    ]
};

/// Frames of one kind over time.
#[derive(Clone, Debug, PartialEq)]
pub struct Gaps {
    /// How many came, copies left out.
    pub frames: u64,
    /// Copies of one frame by several receivers.
    pub copies: u64,
    /// Gaps by tenths of a second.
    pub tenths: Vec<u32>,
    /// The time that all gaps cover together, in microseconds.
    pub covered_us: u64,
    /// How many silences there were.
    pub silences: u64,
    ends: Option<(f64, f64)>,
}

impl Default for Gaps {
    fn default() -> Self {
        Self { frames: 0, copies: 0, tenths: vec![0; TENTHS], covered_us: 0, silences: 0, ends: None }
    }
}

impl Gaps {
    fn take(&mut self, time: f64) {
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
            self.tenths[tenth] += 1;
            self.covered_us += (gap * 1e6).round() as u64;
        } else {
            self.silences += 1;
        }
    }

    fn add(&mut self, later: &Self) {
        self.ends = match (self.ends, later.ends) {
            (Some((first, before)), Some((after, last))) => {
                self.between(before, after);
                Some((first, last))
            }
            (ends, None) | (None, ends) => ends,
        };
        self.frames += later.frames;
        self.copies += later.copies;
        self.covered_us += later.covered_us;
        self.silences += later.silences;
        for (mine, theirs) in self.tenths.iter_mut().zip(&later.tenths) {
            *mine += theirs;
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

    /// Gaps of `from_s` and more, but less than `to_s`, to a tenth of a second.
    pub fn within(&self, from_s: f64, to_s: f64) -> u64 {
        let at = |seconds: f64| ((seconds * 10.0).round() as usize).min(TENTHS);
        self.tenths[at(from_s)..at(to_s).max(at(from_s))].iter().map(|tenth| u64::from(*tenth)).sum()
    }
}

/// Every kind of squitter over time; only frames with times count.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Intervals {
    kinds: [Gaps; KINDS.len()],
}

impl Intervals {
    pub(super) fn take(&mut self, heard: &Heard<'_>) {
        if let (Some(time), Some(kind)) = (heard.evidence.time, kind_of(heard)) {
            self.kinds[kind].take(time);
        }
    }

    pub(super) fn add(&mut self, later: &Self) {
        for (mine, theirs) in self.kinds.iter_mut().zip(&later.kinds) {
            mine.add(theirs);
        }
    }

    /// Each kind with its gaps.
    pub fn kinds(&self) -> impl Iterator<Item = (Kind, &Gaps)> {
        KINDS.into_iter().zip(&self.kinds)
    }
}

fn kind_of(heard: &Heard<'_>) -> Option<usize> {
    let on_ground = heard.decoded.frame.field(Span::new(6, 8)) == 4;
    let message = match &heard.message {
        Some(Message::NoPosition(_)) if on_ground => "surface_position",
        Some(Message::NoPosition(_)) => "airborne_position",
        Some(message) => message.table().message,
        None if heard.decoded.frame.downlink_format() == 11 && heard.decoded.parity() == Parity::Valid => {
            "all_call_reply"
        }
        None => return None,
    };
    let on_ground = match message {
        "surface_position" => true,
        "airborne_position" | "airborne_velocity" | "target_state_and_status" => false,
        "operational_status" => heard.decoded.frame.field(Span::new(38, 40)) == 1,
        _ => on_ground,
    };
    KINDS.iter().position(|kind| *kind == Kind { message, on_ground })
}
