//! How often each message came: gaps between frames of one kind. A silence is no gap; it is time without reception.

use super::evidence::SILENCE_S;
use super::report::Finding;
use super::tally::Heard;
use super::verdict::Judge;
use crate::downlink::Parity;
use crate::frame::Span;
use crate::message::Message;
use crate::onair::{Interval, Stream, TRANSMISSIONS, Transmission, When, intervals_of};
use crate::profile::Severity;
use crate::profile::mistake::{INTERVAL_OFF, MESSAGE_MISSING};
use crate::track::state::AirGround;

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
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Gaps {
    /// How many came, copies left out.
    pub frames: u64,
    /// Copies of one frame by several receivers.
    pub copies: u64,
    /// Gaps by tenths of a second; empty before the first.
    pub tenths: Vec<u32>,
    /// The time that all gaps cover together, in microseconds.
    pub covered_us: u64,
    /// How many silences there were.
    pub silences: u64,
    ends: Option<(f64, f64)>,
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
            self.tenths.resize(TENTHS, 0);
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

    /// Gaps of `from_s` and more, but less than `to_s`, to a tenth of a second.
    pub fn within(&self, from_s: f64, to_s: f64) -> u64 {
        let at = |seconds: f64| ((seconds * 10.0).round() as usize).min(TENTHS);
        let counted = self.tenths.get(at(from_s)..at(to_s)).unwrap_or_default();
        counted.iter().map(|tenth| u64::from(*tenth)).sum()
    }
}

/// Every kind of squitter over time; only frames with times count.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Intervals {
    kinds: [Gaps; KINDS.len()],
}

impl Intervals {
    /// `state` is what squitters said lately by their kind: the capability may be the fault that is looked for.
    pub(super) fn take(&mut self, heard: &Heard<'_>, state: Option<AirGround>) {
        if let (Some(time), Some(kind)) = (heard.evidence.time, kind_of(heard, state)) {
            self.kinds[kind].take(time);
        }
    }

    /// Each kind with its gaps.
    pub fn kinds(&self) -> impl Iterator<Item = (Kind, &Gaps)> {
        KINDS.into_iter().zip(&self.kinds)
    }
}

fn kind_of(heard: &Heard<'_>, state: Option<AirGround>) -> Option<usize> {
    let capability = heard.decoded.frame.field(Span::new(6, 8)) == 4;
    let on_ground = state.map_or(capability, |state| state == AirGround::OnGround);
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

// Against the standard -----------------------------------------------------------------------------------------------

/// Less than this, and nothing is said of reception (tool default).
const LEAST_S: f64 = 20.0;
/// So many frames of a kind have to be expected before their absence says something (tool default).
const ENOUGH: f64 = 8.0;
/// So many gaps have to be there before their length says something (tool default).
const ENOUGH_GAPS: u64 = 60;
/// A rhythm in which a silence means more than a lost frame or two (tool default).
const FAST_S: f64 = 1.2;
/// What a receiver's clock and a late frame may add (tool default).
const SLACK_S: f64 = 0.1;

impl Kind {
    /// Its name in the schedule.
    pub fn stream(self) -> Option<Stream> {
        let of_this = |transmission: &&Transmission| transmission.table().message == self.message;
        TRANSMISSIONS.iter().filter(of_this).find_map(Transmission::stream)
    }

    /// Every interval that the standard gives it in this state, whatever else holds.
    pub fn intervals(self) -> Vec<&'static Interval> {
        self.stream().map_or_else(Vec::new, |stream| intervals_of(stream, !self.on_ground, false))
    }

    /// The shortest and the longest of them, in seconds.
    pub fn window_s(self) -> Option<(f64, f64)> {
        let all = self.intervals();
        let seconds = |ms: u32| f64::from(ms) / 1000.0;
        let least = all.iter().map(|interval| interval.window_ms.0).min()?;
        let most = all.iter().map(|interval| interval.window_ms.1).max()?;
        Some((seconds(least), seconds(most)))
    }

    /// The mean of its slowest rhythm, in seconds.
    fn slowest_s(self) -> Option<f64> {
        let slowest = self.intervals().into_iter().max_by_key(|interval| interval.window_ms.1)?;
        Some(f64::from(slowest.window_ms.0 + slowest.window_ms.1) / 2000.0)
    }
}

/// How much of what was sent came through, reckoned from one kind of message that always has one rhythm.
///
/// A unit that sends too seldom looks the same as frames that got lost; the gaps tell the two apart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reception {
    /// The kind it is reckoned from.
    pub by: Kind,
    /// The share that came through, 0 to 1.
    pub share: f64,
    /// Over how many seconds.
    pub covered_s: f64,
}

/// One kind of message: seen, and expected.
#[derive(Clone, Debug, PartialEq)]
pub struct Element {
    /// Which.
    pub kind: Kind,
    /// How many came.
    pub seen: u64,
    /// How many would have come at the slowest rhythm with this reception; none where reception is not known.
    pub expected: Option<f64>,
    /// Shortest and longest interval of the standard, in seconds.
    pub window_s: (f64, f64),
    /// How many gaps there were, and how many of them were no longer than the longest interval.
    pub gaps: (u64, u64),
    /// How many gaps were shorter than the shortest interval.
    pub short: u64,
}

/// What was received in one state.
pub(super) fn reception(seen: &Intervals, on_ground: bool) -> Option<Reception> {
    // Whether acquisition squitters go out on the ground, and how often, no source held settles.
    let one_rhythm = |(kind, _): &(Kind, &Gaps)| {
        kind.on_ground == on_ground && kind.intervals().len() == 1 && kind.stream() != Some(Stream::Acquisition)
    };
    let long = |(_, gaps): &(Kind, &Gaps)| gaps.covered_s() >= LEAST_S && gaps.count() > 0;
    let reckoned = seen.kinds().filter(one_rhythm).filter(long).filter_map(|(kind, gaps)| {
        let share = gaps.count() as f64 * kind.slowest_s()? / gaps.covered_s();
        Some(Reception { by: kind, share: share.min(1.0), covered_s: gaps.covered_s() })
    });
    // A slow rhythm is cut by silences, so that fast ones come first; of them the best, since one may be missing for
    // other reasons than loss.
    reckoned.max_by_key(|one| (one.by.slowest_s().is_some_and(|slowest| slowest <= FAST_S), (one.share * 1e6) as u64))
}

/// Every kind that the install sends, seen and expected.
pub(super) fn elements(judge: &Judge<'_>) -> Vec<Element> {
    let seen = &judge.tally.intervals;
    let sends = |kind: Kind| {
        judge.install.expected.iter().filter(|expected| expected.sent).map(|expected| &expected.emission).any(
            |emission| {
                let state = if kind.on_ground { When::OnGround } else { When::Airborne };
                emission.asked_by.is_none()
                    && emission.table.message == kind.message
                    && (emission.when == state || emission.when == When::Both)
            },
        )
    };
    let mut elements = Vec::new();
    for (kind, gaps) in seen.kinds().filter(|(kind, _)| sends(*kind)) {
        let (Some(window_s), Some(slowest)) = (kind.window_s(), kind.slowest_s()) else { continue };
        let same_state = seen.kinds().filter(|(other, _)| other.on_ground == kind.on_ground);
        let listened = same_state.map(|(_, gaps)| gaps.covered_s()).fold(0.0, f64::max);
        let received = reception(seen, kind.on_ground);
        elements.push(Element {
            kind,
            seen: gaps.frames - gaps.copies,
            expected: received.map(|received| listened / slowest * received.share),
            window_s,
            gaps: (gaps.count(), gaps.within(0.0, window_s.1 + SLACK_S)),
            short: gaps.within(0.0, (window_s.0 - SLACK_S).max(0.0)),
        });
    }
    elements.retain(|element| element.seen > 0 || element.expected.is_some());
    elements
}

/// What came too seldom, too often, or not at all.
pub(super) fn findings(judge: &Judge<'_>) -> Vec<Finding> {
    let seen = &judge.tally.intervals;
    let mut findings = Vec::new();
    // The interval of the acquisition squitter is from memory, so nothing is found by it.
    let judged = elements(judge).into_iter().filter(|element| element.kind.stream() != Some(Stream::Acquisition));
    for element in judged {
        let state = if element.kind.on_ground { "on the ground" } else { "in the air" };
        let name = element.kind.message;
        let Some(received) = reception(seen, element.kind.on_ground) else { continue };
        let assumed = format!(
            "{:.0} % of {} received over {:.0} s",
            received.share * 100.0,
            received.by.message,
            received.covered_s
        );
        // No emergency, and the code that means none: then this message does not go out.
        let may_be_silent = element.kind.stream() == Some(Stream::AircraftStatus);
        if element.seen == 0 && !may_be_silent && element.expected.is_some_and(|expected| expected >= ENOUGH) {
            let what =
                format!("{name} {state}: none seen, {:.0} expected ({assumed})", element.expected.unwrap_or_default());
            findings.push(Finding::of(Severity::Warning, &MESSAGE_MISSING, what, Vec::new()));
        }
        let (gaps, in_time) = element.gaps;
        if gaps < ENOUGH_GAPS {
            continue;
        }
        let (least, most) = element.window_s;
        let share = |part: u64| part as f64 / gaps as f64;
        if share(element.short) > 0.1 {
            let what = format!(
                "{name} {state}: {:.0} % of {gaps} gaps are shorter than {least} s, the shortest interval",
                share(element.short) * 100.0
            );
            findings.push(Finding::of(Severity::Note, &INTERVAL_OFF, what, Vec::new()));
        } else if share(in_time) < received.share / 5.0 {
            let what = format!(
                "{name} {state}: {:.0} % of {gaps} gaps are no longer than {most} s, the longest interval, although {assumed}",
                share(in_time) * 100.0
            );
            findings.push(Finding::of(Severity::Note, &INTERVAL_OFF, what, Vec::new()));
        }
    }
    findings
}
