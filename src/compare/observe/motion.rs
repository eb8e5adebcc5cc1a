//! Compares how positions move with the velocity that is sent, altitude with vertical rate, and direction with track.
//!
//! Every comparison states the noise that the codes themselves make, and counts only what is well beyond it. Only
//! positions from timed pairs count.

use super::evidence::{Evidence, Run, follows};
use super::tally::ObservedFrame;
use crate::code::compact_position::Position;
use crate::message::Message;
use crate::track::seconds_between;
use crate::track::{Method, Observation, Refusal};

/// Positions are compared over at least this long, since their grain is large against a second of flight.
pub const APART_S: f64 = 5.0;
/// And at most this long, since nobody flies straight for ever.
pub const TOGETHER_S: f64 = 15.0;
/// A velocity belongs to a position within this long.
const FRESH_S: f64 = 1.5;
/// Grain of a position in the air (own arithmetic: a zone of 360/60 degrees in 2^17 parts).
const GRAIN_M: f64 = 5.1;
/// Below this speed a direction means nothing.
const LEAST_KT: f64 = 30.0;
/// What differs by less than this many times its noise is not reported (tool default).
pub const BEYOND: f64 = 3.0;
/// This many comparisons in a row, and this many of a hundred, make a finding (tool default).
const IN_A_ROW: u64 = 3;
const PER_CENT: f64 = 10.0;

const NM_M: f64 = 1852.0;
const KT_M_S: f64 = NM_M / 3600.0;

/// Differences between what is said and what follows from other messages.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Difference {
    /// In a row, beyond the noise.
    pub run: Run,
    /// The largest, in the unit of the comparison.
    pub largest: f64,
    /// The noise of that comparison, in the same unit.
    pub noise: f64,
    /// Where it was largest beyond its noise.
    pub evidence: Option<Evidence>,
    worst: f64,
}

impl Difference {
    fn observe(&mut self, difference: f64, noise: f64, evidence: &Evidence) {
        self.run.observe(difference > BEYOND * noise, evidence.time);
        if difference / noise > self.worst {
            (self.worst, self.largest, self.noise) = (difference / noise, difference, noise);
            self.evidence = Some(*evidence);
        }
    }

    /// Whether it is more than an accident.
    pub fn counts(&self) -> bool {
        self.run.longest.frames >= IN_A_ROW && self.run.per_cent() >= PER_CENT
    }
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct Velocity {
    time: f64,
    east_kt: f64,
    north_kt: f64,
    rate_fpm: Option<f64>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct Point {
    time: f64,
    position: Position,
    altitude_ft: Option<i32>,
    step_ft: f64,
    velocity: Velocity,
}

/// What was seen of motion.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Motion {
    /// Positions against velocity, in knots.
    pub velocity: Difference,
    /// Altitude against vertical rate, in feet a minute.
    pub vertical: Difference,
    /// Direction of motion against track, in degrees.
    pub track: Difference,
    /// Positions where the aircraft cannot have flown to.
    pub jumps: Option<Evidence>,
    /// The last such.
    pub last_jump: Option<f64>,
    /// Positions from timed pairs.
    pub positions: u64,
    heard: Option<Velocity>,
    from: Option<Point>,
}

impl Motion {
    pub fn observe(&mut self, heard: &ObservedFrame<'_>, seen: &Observation) {
        let Some(time) = heard.evidence.time else { return };
        if seen.position_refused == Some(Refusal::Jump) {
            Evidence::note(&mut self.jumps, &heard.evidence);
            self.last_jump = Some(time);
        }
        match &heard.message {
            Some(Message::AirborneVelocityGround(m)) => {
                let rate = m.vertical_rate.magnitude().map(|rate| f64::from(m.vertical_rate_sign.apply(rate)));
                self.heard = m.components_kt().map(|(east, north)| Velocity {
                    time,
                    east_kt: east.into(),
                    north_kt: north.into(),
                    rate_fpm: rate,
                });
            }
            Some(Message::AirbornePosition(m)) => {
                let Some((position, Method::Global)) = seen.position else { return };
                self.positions += 1;
                let Some(velocity) =
                    self.heard.filter(|velocity| (0.0..=FRESH_S).contains(&seconds_between(velocity.time, time)))
                else {
                    return;
                };
                let altitude_ft = m.altitude.feet().filter(|_| !m.is_geometric());
                let step_ft = if m.altitude.is_quarter() { 25.0 } else { 100.0 };
                self.arrive(Point { time, position, altitude_ft, step_ft, velocity }, &heard.evidence);
            }
            Some(Message::SurfacePosition(_)) => self.from = None,
            _ => {}
        }
    }

    fn arrive(&mut self, now: Point, evidence: &Evidence) {
        let Some(from) =
            self.from.filter(|from| follows(from.time, now.time) && seconds_between(from.time, now.time) <= TOGETHER_S)
        else {
            self.from = Some(now);
            return;
        };
        let seconds = seconds_between(from.time, now.time);
        if seconds < APART_S {
            return;
        }
        self.from = Some(now);
        let (a, b) = (from.velocity, now.velocity);
        let (turn_east, turn_north) = (b.east_kt - a.east_kt, b.north_kt - a.north_kt);
        // In a turn or while speeding up the mean of the two ends is off by about an eighth of the change.
        let change = turn_east.hypot(turn_north);
        let (east, north) = flown_m(from.position, now.position);
        let (east, north) = (east / seconds / KT_M_S, north / seconds / KT_M_S);
        let (said_east, said_north) = (f64::midpoint(a.east_kt, b.east_kt), f64::midpoint(a.north_kt, b.north_kt));
        let difference = (east - said_east).hypot(north - said_north);
        let noise = 2.0 * GRAIN_M / seconds / KT_M_S + 0.7 + change / 4.0;
        self.velocity.observe(difference, noise, evidence);
        let (said, moved) = (said_east.hypot(said_north), east.hypot(north));
        if said.min(moved) >= LEAST_KT {
            let angle = |east: f64, north: f64| east.atan2(north).to_degrees();
            let off = (angle(east, north) - angle(said_east, said_north)).rem_euclid(360.0);
            self.track.observe(off.min(360.0 - off), (noise / said.min(moved)).atan().to_degrees() + 0.5, evidence);
        }
        if let (Some(low), Some(high), Some(first), Some(last)) =
            (from.altitude_ft, now.altitude_ft, a.rate_fpm, b.rate_fpm)
        {
            let climbed = f64::from(high - low) * 60.0 / seconds;
            let noise = from.step_ft.max(now.step_ft) * 60.0 / seconds + 64.0 + (last - first).abs() / 2.0;
            self.vertical.observe((climbed - f64::midpoint(first, last)).abs(), noise, evidence);
        }
    }

    /// Each comparison with its name, its unit and its numbers.
    pub fn comparisons(&self) -> [(&'static str, &'static str, &Difference); 3] {
        [
            ("position compared with velocity", "kt", &self.velocity),
            ("altitude compared with vertical rate", "ft/min", &self.vertical),
            ("direction of motion compared with track", "deg", &self.track),
        ]
    }
}

/// East and north between two positions that are near each other, on a sphere.
fn flown_m(from: Position, to: Position) -> (f64, f64) {
    let degree_m = 60.0 * NM_M;
    let middle = f64::midpoint(from.latitude_deg, to.latitude_deg).to_radians();
    let east = (to.longitude_deg - from.longitude_deg + 540.0).rem_euclid(360.0) - 180.0;
    (east * degree_m * middle.cos(), (to.latitude_deg - from.latitude_deg) * degree_m)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_difference_counts_when_it_lasts_and_is_no_rarity() {
        let frame = "8D4840D6202CC371C32CE0576098".parse().expect("a frame");
        // Which comparisons are beyond the noise.
        let counts = |beyond: &str| {
            let mut difference = Difference::default();
            for (at, mark) in (0_u32..).zip(beyond.chars()) {
                let evidence = Evidence { frames: 1, file: 0, line: 1, time: Some(f64::from(at)), frame };
                difference.observe(if mark == 'x' { 3.1 } else { 2.9 }, 1.0, &evidence);
            }
            difference.counts()
        };
        assert!(counts("xxx") && counts("..xxx.....") && counts(&format!("xxx{}", ".".repeat(27))));
        assert!(!counts(&format!("xxx{}", ".".repeat(28))), "less than ten of a hundred");
        assert!(
            !counts("xx.xx.xx.xx") && !counts("xx") && !counts("..........") && !counts(""),
            "never three in a row"
        );
    }
}
