//! Keeps where the aircraft was: positions of timed pairs, thinned so that any length of capture keeps a bounded
//! number.

use super::tally::ObservedFrame;
use crate::code::compact_position::Position;
use crate::track::state::AirGround;
use crate::track::{Method, Observation};
use std::collections::BTreeMap;

/// A position on the way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TrackPoint {
    /// When, in seconds.
    pub time: f64,
    /// Where.
    pub position: Position,
    /// Whether it was on the ground.
    pub on_ground: bool,
}

/// The first position in each of at most [`GroundTrack::MOST_POINTS`] stretches of time, laid out from time 0.
#[derive(Clone, Debug, PartialEq)]
pub struct GroundTrack {
    width_s: f64,
    points: BTreeMap<i64, TrackPoint>,
}

impl Default for GroundTrack {
    fn default() -> Self {
        Self { width_s: 1.0, points: BTreeMap::new() }
    }
}

impl GroundTrack {
    /// How many points are kept.
    pub const MOST_POINTS: i64 = 256;

    pub fn observe(&mut self, heard: &ObservedFrame<'_>, seen: &Observation) {
        let (Some(time), Some((position, Method::Global))) = (heard.evidence.time, seen.position) else { return };
        let on_ground = seen.state.is_some_and(|state| state.is == AirGround::OnGround);
        self.put(TrackPoint { time, position, on_ground });
        self.coarsen();
    }

    /// The points in order of time.
    pub fn points(&self) -> impl Iterator<Item = &TrackPoint> {
        self.points.values()
    }

    fn put(&mut self, point: TrackPoint) {
        let at = (point.time / self.width_s).floor() as i64;
        let kept = self.points.entry(at).or_insert(point);
        if point.time < kept.time {
            *kept = point;
        }
    }

    fn coarsen(&mut self) {
        while let (Some((first, _)), Some((last, _))) = (self.points.first_key_value(), self.points.last_key_value()) {
            if last.saturating_sub(*first) < Self::MOST_POINTS {
                break;
            }
            self.double();
        }
    }

    fn double(&mut self) {
        self.width_s *= 2.0;
        for point in std::mem::take(&mut self.points).into_values() {
            self.put(point);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_position_of_each_stretch_is_kept() {
        let points: Vec<TrackPoint> = (0..700)
            .map(|at| TrackPoint {
                time: f64::from(at) * 1.7,
                position: Position { latitude_deg: f64::from(at) / 10.0, longitude_deg: 0.0 },
                on_ground: at < 20,
            })
            .collect();
        let mut path = GroundTrack::default();
        for point in &points {
            path.put(*point);
            path.coarsen();
        }
        assert!(path.width_s > 4.0 && path.points.len() <= 256 && path.points.len() > 100);
        for point in path.points() {
            let stretch = (point.time / path.width_s).floor();
            let first = points.iter().find(|other| (other.time / path.width_s).floor() >= stretch);
            assert_eq!(first, Some(point));
        }
    }
}
