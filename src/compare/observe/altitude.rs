//! Gathers pressure altitudes by their codes: wires of the grey code, the step of the source, and geometric height
//! beside it.

use super::evidence::{Evidence, Extent, MOST_VALUES, Ones, Seen, Series};
use super::tally::ObservedFrame;
use crate::code::{Altitude12, Bits};
use crate::message::Message;
use crate::track::seconds_between;
use std::collections::{BTreeMap, BTreeSet};

/// Two altitudes this far apart in time belong to one climb (tool default).
const TOGETHER_S: f64 = 2.0;
/// Altitude and vertical rate are compared over at least, and at most, this many seconds (tool default).
const LEAST_S: f64 = 10.0;
const MOST_S: f64 = 20.0;
/// No aircraft of this kind climbs faster: 6000 ft/min and a step of the code (tool default).
const FASTEST_FT_S: f64 = 100.0;
/// What was seen of altitudes.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Altitudes {
    /// Grey codes, as bits, legal or not.
    pub grey: Seen<u64>,
    /// Jumps that no climb makes, between two grey codes.
    pub jumps: Seen<(u64, u64)>,
    /// Two grey codes some seconds apart with the climb that the vertical rate makes of these, in hundreds of feet, where
    /// the two do not go together: a wire that is missing makes a climb of readings that run backwards.
    pub moves: Seen<(u64, u64, i32)>,
    /// Altitudes of the 25-ft code.
    pub quarters: BTreeSet<i32>,
    /// The first altitude of the 25-ft code.
    pub quarter: Option<Evidence>,
    /// Geometric minus pressure altitude in feet, with how many velocities said so.
    pub differences: BTreeMap<i32, u64>,
    /// Velocities that do not say it.
    pub without_difference: u64,
    /// The first velocity.
    pub velocity: Option<Evidence>,
    /// Least and most pressure altitude.
    pub range_ft: Option<(i32, i32)>,
    /// Pressure altitude over time.
    pub course: Series,
    /// The bits of grey codes over time, legal or not.
    pub wires: Series<Ones>,
    last: Option<(u64, f64)>,
    /// The latest vertical rate, and when.
    rate: Option<(f64, f64)>,
    /// A grey code with its time and the vertical rate then.
    from: Option<(u64, f64, f64)>,
}

impl Altitudes {
    pub fn observe(&mut self, heard: &ObservedFrame<'_>) {
        match &heard.message {
            Some(Message::AirbornePosition(m)) if !m.is_geometric() => self.altitude(m.altitude, &heard.evidence),
            Some(Message::NoPosition(m)) => self.altitude(m.altitude, &heard.evidence),
            Some(Message::AirborneVelocityGround(m)) => {
                let sign = m.geometric_difference_sign;
                let rate = m.vertical_rate.magnitude().map(|rate| f64::from(m.vertical_rate_sign.apply(rate)));
                self.rate = rate.zip(heard.evidence.time);
                Evidence::note(&mut self.velocity, &heard.evidence);
                match m.geometric_difference.magnitude() {
                    Some(feet) => *self.differences.entry(sign.apply(feet)).or_default() += 1,
                    None => self.without_difference += 1,
                }
            }
            _ => {}
        }
    }

    fn altitude(&mut self, code: Altitude12, evidence: &Evidence) {
        if code == Altitude12::NO_DATA {
            return;
        }
        if let Some(feet) = code.feet() {
            self.range_ft = Some(self.range_ft.map_or((feet, feet), |(low, high)| (low.min(feet), high.max(feet))));
            if let Some(time) = evidence.time {
                self.course.observe(time, Extent::of(feet.into()));
            }
        }
        if code.is_quarter() {
            Evidence::note(&mut self.quarter, evidence);
            self.quarters.extend(code.feet());
            if self.quarters.len() > MOST_VALUES {
                self.quarters.pop_last();
            }
            self.last = None;
            return;
        }
        self.grey.note(code.bits(), evidence);
        let Some(now) = evidence.time else { return };
        let bits = code.bits() as u16;
        self.wires.observe(now, Ones { ever: bits, always: bits });
        if let (Some((before, then)), Some(feet)) = (self.last, code.feet()) {
            let seconds = seconds_between(then, now);
            let from = Altitude12::from_bits(before).feet().unwrap_or(feet);
            let most = 100.0 + FASTEST_FT_S * seconds;
            if (0.0..=TOGETHER_S).contains(&seconds) && f64::from((feet - from).abs()) > most {
                self.jumps.note((before, code.bits()), evidence);
            }
        }
        if let Some(feet) = code.feet() {
            self.last = Some((code.bits(), now));
            self.climb(code, feet, now, evidence);
        }
    }

    /// Compares a grey code with one some seconds before and the vertical rate in between.
    fn climb(&mut self, code: Altitude12, feet: i32, now: f64, evidence: &Evidence) {
        let Some((rate, _)) = self.rate.filter(|(_, then)| (0.0..=TOGETHER_S).contains(&seconds_between(*then, now)))
        else {
            return;
        };
        let here = (code.bits(), now, rate);
        let Some((before, then, rate_then)) =
            self.from.filter(|(_, then, _)| (0.0..=MOST_S).contains(&seconds_between(*then, now)))
        else {
            self.from = Some(here);
            return;
        };
        let seconds = seconds_between(then, now);
        if seconds < LEAST_S {
            return;
        }
        self.from = Some(here);
        let climbed = f64::midpoint(rate, rate_then) * seconds / 60.0;
        let read = f64::from(feet - Altitude12::from_bits(before).feet().unwrap_or(feet));
        // A step at either end, the rate's own step, and its change in between.
        let noise = 200.0 + (rate - rate_then).abs() * seconds / 120.0 + climbed.abs() / 5.0;
        if (read - climbed).abs() > noise {
            self.moves.note((before, code.bits(), (climbed / 100.0).round() as i32), evidence);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Own arithmetic: 3000 ft/min for 12 seconds are 600 ft, give or take 200 for the steps and a fifth.
    #[test]
    fn only_a_climb_that_contradicts_the_vertical_rate_is_kept() {
        let frame = "8D4840D6202CC371C32CE0576098".parse().expect("a frame");
        for (rate, read, contradicts) in [
            (3000.0, 600, false),
            (3000.0, 300, false),
            (3000.0, 200, true),
            (3000.0, 1000, true),
            (3000.0, -600, true),
            (-3000.0, -600, false),
            (-3000.0, 600, true),
            (0.0, 200, false),
            (0.0, 300, true),
        ] {
            let mut seen = Altitudes::default();
            for (time, feet) in [(100.0, 5000), (112.0, 5000 + read)] {
                seen.rate = Some((rate, time));
                let code = Altitude12::from_feet(f64::from(feet), 100).expect("a code");
                seen.altitude(code, &Evidence { frames: 1, file: 0, line: 1, time: Some(time), frame });
            }
            assert_eq!(seen.moves.len(), usize::from(contradicts), "{rate} ft/min: {read} ft in 12 s");
        }
    }
}
