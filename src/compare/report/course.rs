//! Numbers over the capture: quality, air and ground, reception, intervals, motion, altitude, path.

use super::{thousandths, thousandths_if_any, written};
use crate::frame::Frame;
use crate::onair::When;
use crate::profile::SettingId;
#[cfg(feature = "cli")]
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeMap;

/// How often, and how long in a row, something was bad.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct Stretch {
    /// Frames that could have shown it.
    pub frames: u64,
    /// Frames that did.
    pub bad: u64,
    /// The same of a hundred.
    #[serde(serialize_with = "thousandths")]
    pub per_cent: f64,
    /// Frames in the longest unbroken row.
    pub longest_frames: u64,
    /// Its length, where there are times.
    #[serde(serialize_with = "thousandths_if_any")]
    pub longest_seconds: Option<f64>,
    /// When it began.
    pub from: Option<f64>,
}

/// Less than a bound.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[cfg_attr(feature = "cli", schemars(deny_unknown_fields))]
pub struct Below {
    /// How often, and how long.
    #[serde(flatten)]
    pub stretch: Stretch,
    /// The bound.
    pub bound: u8,
    /// The clause of the rule that sets it, if a rule does.
    pub clause: Option<String>,
    /// Whether a page confirmed that clause.
    pub confirmed: Option<String>,
    /// The first line that is lower.
    pub first_line: Option<u64>,
}

/// The least and the most of a number in each stretch of time: from, least, most, frames.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[cfg_attr(feature = "cli", schemars(deny_unknown_fields))]
pub struct Course {
    /// How long a stretch is, in seconds.
    pub width_s: f64,
    /// Each stretch that has something.
    pub bins: Vec<(f64, f64, f64, u64)>,
}

/// A quality category over the capture.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[cfg_attr(feature = "cli", schemars(deny_unknown_fields))]
pub struct Quality {
    /// The standard's name for it.
    pub measure: &'static str,
    /// The setting that states it.
    #[cfg_attr(feature = "cli", schemars(with = "String"))]
    pub setting: SettingId,
    /// Frames of each value.
    pub values: BTreeMap<u8, u64>,
    /// Less than the install states.
    pub below_stated: Option<Below>,
    /// Less than the rules want.
    pub below_floor: Option<Below>,
    /// Its course, where there are times.
    pub course: Course,
}

/// A change between air and ground.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[cfg_attr(feature = "cli", schemars(deny_unknown_fields))]
pub struct Transition {
    /// What it is from here on.
    #[cfg_attr(feature = "cli", schemars(with = "String"))]
    pub to: When,
    /// What said so first.
    pub by: &'static str,
    /// When, in seconds.
    pub time: Option<f64>,
    /// The line.
    pub line: u64,
    /// The frame.
    #[serde(serialize_with = "written")]
    #[cfg_attr(feature = "cli", schemars(with = "String"))]
    pub frame: Frame,
}

/// Air and ground.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[cfg_attr(feature = "cli", schemars(deny_unknown_fields))]
pub struct AirGround {
    /// Airborne messages.
    pub airborne_messages: u64,
    /// Messages of the ground.
    pub surface_messages: u64,
    /// The state that was heard first, then every change.
    pub timeline: Vec<Transition>,
    /// Frames whose envelope and message say different things.
    pub contradictory: Stretch,
    /// Airborne velocities slower than any flying aircraft with wings.
    pub slow_airborne: Stretch,
    /// Surface messages faster than any taxiing aircraft.
    pub fast_on_ground: Stretch,
}

/// How much of what was sent came through, estimated from one kind of message that always has one rhythm.
///
/// A unit that sends too seldom looks the same as frames that got lost; the gaps tell the two apart.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[cfg_attr(feature = "cli", schemars(deny_unknown_fields))]
pub struct Reception {
    /// In which state.
    #[cfg_attr(feature = "cli", schemars(with = "String"))]
    pub when: When,
    /// The message that it is estimated from.
    pub by: &'static str,
    /// The share that came through, 0 to 1.
    #[serde(serialize_with = "thousandths")]
    pub share: f64,
    /// Over how many seconds.
    #[serde(serialize_with = "thousandths")]
    pub covered_s: f64,
}

/// One kind of message: seen, and expected.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[cfg_attr(feature = "cli", schemars(deny_unknown_fields))]
pub struct Element {
    /// The message's name.
    pub message: &'static str,
    /// In which state.
    #[cfg_attr(feature = "cli", schemars(with = "String"))]
    pub when: When,
    /// How many came.
    pub seen: u64,
    /// How many would have come at the slowest rhythm with this reception; nothing if reception is not known.
    #[serde(serialize_with = "thousandths_if_any")]
    pub expected: Option<f64>,
    /// Whether it has a faster rhythm too.
    pub at_least: bool,
    /// Shortest and longest interval of the standard, in seconds.
    pub window_s: (f64, f64),
    /// How many gaps there were.
    pub gaps: u64,
    /// How many of them were no longer than the longest interval.
    pub in_time: u64,
    /// How many were shorter than the shortest interval.
    pub too_short: u64,
}

/// The gaps between frames of one kind.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[cfg_attr(feature = "cli", schemars(deny_unknown_fields))]
pub struct Intervals {
    /// The message's name.
    pub message: &'static str,
    /// In which state.
    #[cfg_attr(feature = "cli", schemars(with = "String"))]
    pub when: When,
    /// How many frames came, copies left out.
    pub frames: u64,
    /// Copies of one frame by several receivers.
    pub copies: u64,
    /// How many silences there were.
    pub silences: u64,
    /// The time that all gaps cover together.
    #[serde(serialize_with = "thousandths")]
    pub covered_s: f64,
    /// The longest interval of the standard, where the install sends it.
    pub longest_s: Option<f64>,
    /// How many gaps of each length.
    pub gaps: Gaps,
    /// Frames over time, copies too.
    pub over_time: OverTime,
}

/// Counts in stretches of equal length.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[cfg_attr(feature = "cli", schemars(deny_unknown_fields))]
pub struct OverTime {
    /// How long a stretch is, in seconds.
    pub width_s: f64,
    /// Each stretch that has something: from when, and how many.
    pub bins: Vec<(f64, u32)>,
}

/// Gaps by their length to a tenth of a second: from, and how many.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[serde(transparent)]
pub struct Gaps(pub Vec<(f64, u32)>);

impl Gaps {
    /// How many there are.
    pub(crate) fn count(&self) -> u64 {
        self.0.iter().map(|(_, count)| u64::from(*count)).sum()
    }

    /// Those of this length and more.
    pub(crate) fn from(&self, seconds: f64) -> u64 {
        self.0.iter().filter(|(from, _)| *from >= seconds - 0.05).map(|(_, count)| u64::from(*count)).sum()
    }

    /// The length below which this share of the gaps is, in per cent, to a tenth of a second.
    pub(crate) fn percentile(&self, per_cent: u64) -> f64 {
        let wanted = self.count() * per_cent;
        let mut so_far = 0;
        let reached = self.0.iter().find(|(_, count)| {
            so_far += u64::from(*count);
            so_far * 100 >= wanted
        });
        reached.map_or(0.0, |(from, _)| from + 0.1)
    }
}

/// What was said compared with what follows from other messages.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[cfg_attr(feature = "cli", schemars(deny_unknown_fields))]
pub struct Motion {
    /// What with what.
    pub comparison: &'static str,
    /// The unit of the numbers.
    pub unit: &'static str,
    /// Beyond the noise.
    pub beyond_noise: Stretch,
    /// The largest difference.
    #[serde(serialize_with = "thousandths")]
    pub largest: f64,
    /// The noise of that comparison.
    #[serde(serialize_with = "thousandths")]
    pub noise: f64,
}

/// A position on the way.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[cfg_attr(feature = "cli", schemars(deny_unknown_fields))]
pub struct Point {
    /// When, in seconds.
    pub time: f64,
    /// Degrees north.
    pub latitude_deg: f64,
    /// Degrees east.
    pub longitude_deg: f64,
    /// In which state.
    #[cfg_attr(feature = "cli", schemars(with = "String"))]
    pub when: When,
}

/// One wire of the 100-ft code over time: in the stretches that have a code and are not listed it was open.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[cfg_attr(feature = "cli", schemars(deny_unknown_fields))]
pub struct WireOverTime {
    /// The wire.
    pub wire: &'static str,
    /// From when to when every code had it grounded.
    pub grounded: Vec<(f64, f64)>,
    /// From when to when it was grounded in some codes and open in others.
    pub both: Vec<(f64, f64)>,
}

/// What was seen of altitudes.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[cfg_attr(feature = "cli", schemars(deny_unknown_fields))]
pub struct Altitudes {
    /// Least and most pressure altitude.
    pub pressure_altitude_ft: Option<(i32, i32)>,
    /// Pressure altitude over time, where there are times.
    pub course: Course,
    /// The wires of the 100-ft code over time, where there are times and such codes.
    pub wires: Vec<WireOverTime>,
    /// How many different grey codes.
    pub grey_codes: usize,
    /// How many different codes of 25 ft.
    pub quarter_codes: usize,
    /// Geometric minus pressure altitude in feet, with how many velocities said so.
    pub geometric_minus_pressure_ft: BTreeMap<i32, u64>,
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The same from the gaps one by one, in order.
    #[test]
    fn a_share_of_the_gaps_is_below_the_percentile() {
        let tenths: [u32; 12] = [3, 3, 4, 5, 5, 5, 5, 6, 9, 9, 40, 41];
        for many in 1..=tenths.len() {
            let mut gaps = Gaps::default();
            for tenth in &tenths[..many] {
                let from = f64::from(*tenth) / 10.0;
                match gaps.0.iter_mut().find(|(known, _)| (*known - from).abs() < 1e-9) {
                    Some((_, count)) => *count += 1,
                    None => gaps.0.push((from, 1)),
                }
            }
            for per_cent in [1, 25, 50, 75, 95, 100] {
                let at = (many as u64 * per_cent).div_ceil(100) - 1;
                let wanted = f64::from(tenths[at as usize] + 1) / 10.0;
                assert!((gaps.percentile(per_cent) - wanted).abs() < 1e-9, "{per_cent} of {many}");
            }
        }
        assert!(Gaps::default().percentile(50).abs() < 1e-9);
    }
}
