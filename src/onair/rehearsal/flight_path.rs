//! Describes a flight over time: points with what the flight does from then on, and everything in between.
//!
//! Between two points the position moves on the geodesic (a well-kept crate does that) at one speed, and numbers that both
//! points state change evenly. Ground speed, track and vertical rate that a point leaves out are those of the leg that
//! begins there. A value that is not a number holds until the next point; the last point holds for ever.

use crate::code::compact_position::Position;
use crate::onair::{Kinematics, Situation};
use crate::profile::{JsonForm, Misfit, Profile, Stated, Whole, rule_set_of_state};
use geographiclib_rs::{DirectGeodesic, Geodesic, InverseGeodesic};
use serde::Deserialize;
use serde_json::Value;
use std::sync::LazyLock;

/// On a piece of the geodesic this long, the straight line between latitudes and longitudes is less than a tenth of a
/// metre off, divided by the cosine of the latitude: far below a step of the position code.
const PIECE_M: f64 = 1852.0;
/// What the built-in flight has wherever the crew sets the code of visual flight.
const DEMO_VFR_CODE: &str = "1200";
/// The most pieces of all legs together, a nautical mile each: nine times round the earth, and memory that can be had.
const MOST_PLACES: usize = 200_000;
const KNOT_M_S: f64 = 1852.0 / 3600.0;

/// Quality that a flight has for a while; what is left out is the profile's healthy value.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct QualityOverride {
    /// Navigation integrity category.
    pub nic: Option<u8>,
    /// Accuracy category of position.
    pub nacp: Option<u8>,
    /// Accuracy category of velocity.
    pub nacv: Option<u8>,
    /// Geometric vertical accuracy.
    pub gva: Option<u8>,
    /// Source integrity level.
    pub sil: Option<u8>,
}

impl QualityOverride {
    /// The profile as this quality lets it appear. A dip is a profile too.
    pub(super) fn of(self, profile: &Profile) -> Profile {
        let mut profile = profile.clone();
        if let Some(nic) = self.nic {
            profile.nic = Stated::Is(Whole(nic));
        }
        if let Some(nacp) = self.nacp {
            profile.nacp = Stated::Is(Whole(nacp));
        }
        if let Some(nacv) = self.nacv {
            profile.nacv = Stated::Is(Whole(nacv));
        }
        if let Some(gva) = self.gva {
            profile.gva = Stated::Is(Whole(gva));
        }
        if let Some(sil) = self.sil {
            profile.sil = Stated::Is(Whole(sil));
        }
        profile
    }
}

/// A point of a flight: what holds from here on.
#[derive(Clone, Debug, PartialEq)]
pub struct FlightPoint {
    /// When, in milliseconds.
    pub time_ms: u64,
    /// What the flight does here.
    pub situation: Situation,
    /// The quality until the next point.
    pub quality: QualityOverride,
}

/// Why these points are not a flight.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("point {number}: {reason}; {correction}")]
pub struct FlightError {
    /// Which point, from 1.
    pub number: usize,
    /// What is wrong.
    pub reason: String,
    /// What to do.
    pub correction: &'static str,
}

static SCHEMA: LazyLock<Value> = LazyLock::new(|| {
    // Part of the program; a test reads it.
    serde_json::from_str(include_str!("../../../vectors/schema/flight.schema.json")).unwrap_or_default()
});

/// A file of a flight, as it is written.
#[derive(Deserialize)]
struct Written {
    flight: Vec<WrittenPoint>,
}

#[derive(Deserialize)]
struct WrittenPoint {
    time_s: f64,
    quality: Option<QualityOverride>,
    #[serde(flatten)]
    situation: Situation,
}

/// A number that changes evenly along a leg.
type Even = Option<(f64, f64)>;

#[derive(Clone, Debug)]
struct Leg {
    point: FlightPoint,
    /// None after the last point.
    end_ms: Option<u64>,
    /// Places evenly spaced in time, their longitudes running on beyond 180; empty for no position.
    places: Vec<(f64, f64)>,
    altitude: Even,
    difference: Even,
    speed: Even,
    track: Even,
    rate: Even,
}

/// A flight from its first point on.
#[derive(Clone, Debug)]
pub struct FlightPath {
    legs: Vec<Leg>,
}

impl FlightPath {
    /// One situation that never changes, its place included.
    ///
    /// ```
    /// use squitterlab::onair::{FlightPath, Situation};
    /// let parked = Situation::read(r#"{"airborne": false, "ground_speed_kt": 0}"#).unwrap();
    /// assert!(!FlightPath::fixed(parked).situation(60_000).airborne);
    /// ```
    pub fn fixed(situation: Situation) -> Self {
        let point = FlightPoint { time_ms: 0, situation, quality: QualityOverride::default() };
        Self { legs: vec![Leg::last(point, None)] }
    }

    /// The built-in flight: parked, taxi, take-off, circuit, landing, parked, at an invented place.
    ///
    /// ```
    /// use squitterlab::onair::FlightPath;
    /// let flight = FlightPath::demo();
    /// assert!(!flight.situation(0).airborne && flight.duration_ms() > 60_000);
    /// ```
    pub fn demo() -> Self {
        // A test reads it, so this cannot fail.
        Self::read(include_str!("../../../vectors/demo/flight.json")).unwrap_or(Self::fixed(Situation::default()))
    }

    /// The same flight as the crew of this install flies it: the code of visual flight is the preset, or, where none is
    /// stated, that of the State of registry, as far as its rules give one.
    ///
    /// ```
    /// use squitterlab::{Profile, onair::FlightPath};
    /// let text = r#"{"transponder": {"vfr_mode_a_code": "7000"}}"#;
    /// let flight = FlightPath::demo_of(&Profile::read(text).profile);
    /// let codes = |time_s: u64| flight.situation(1000 * time_s).mode_a_code;
    /// assert!((0..flight.duration_ms() / 1000).any(|time_s| codes(time_s).as_deref() == Some("7000")));
    /// ```
    pub fn demo_of(profile: &Profile) -> Self {
        let of_the_state = || rule_set_of_state(profile)?.0.vfr_mode_a_code_of(profile).map(|rule| rule.code.clone());
        let own = profile.vfr_mode_a_code.get().map(ToString::to_string).or_else(of_the_state);
        let mut demo = Self::demo();
        if let Some(own) = own {
            let visual = |situation: &Situation| situation.mode_a_code.as_deref() == Some(DEMO_VFR_CODE);
            for leg in demo.legs.iter_mut().filter(|leg| visual(&leg.point.situation)) {
                leg.point.situation.mode_a_code = Some(own.clone());
            }
        }
        demo
    }

    /// Reads a flight, or one situation, from JSON.
    ///
    /// ```
    /// use squitterlab::onair::FlightPath;
    /// let taxi = r#"{"flight": [
    ///     {"time_s": 0, "airborne": false, "latitude_deg": 44.5, "longitude_deg": -103.25},
    ///     {"time_s": 100, "airborne": false, "latitude_deg": 44.505, "longitude_deg": -103.25}]}"#;
    /// let speed = FlightPath::read(taxi).unwrap().motion(50_000).ground_speed_kt.unwrap();
    /// assert!((speed - 10.8).abs() < 0.1);
    /// ```
    ///
    /// # Errors
    /// [`Misfit`] with the place, what is wrong and what to write.
    pub fn read(text: &str) -> Result<Self, Misfit> {
        let form = JsonForm::read(text)?;
        if !form.has("flight") {
            return Situation::read(text).map(Self::fixed);
        }
        let written: Written = form.of(&SCHEMA)?;
        let mut points = Vec::new();
        for (at, point) in written.flight.into_iter().enumerate() {
            point.situation.check(&form, &format!("/flight/{at}"))?;
            points.push(FlightPoint {
                time_ms: (point.time_s * 1000.0).round() as u64,
                situation: point.situation,
                quality: point.quality.unwrap_or_default(),
            });
        }
        Self::new(points).map_err(|FlightError { number, reason, correction }| {
            form.wrong(
                &format!("/flight/{}", number.saturating_sub(1)),
                format!("point {number}: {reason}"),
                correction,
            )
        })
    }

    /// A flight through these points.
    ///
    /// ```
    /// use squitterlab::onair::{FlightPath, FlightPoint, QualityOverride, Situation};
    /// let situation = Situation::read(r#"{"airborne": true, "pressure_altitude_ft": 4500}"#).unwrap();
    /// let point = |time_ms| FlightPoint { time_ms, situation: situation.clone(), quality: QualityOverride::default() };
    /// assert_eq!(FlightPath::new(vec![point(0), point(60_000)]).unwrap().duration_ms(), 60_000);
    /// assert!(FlightPath::new(Vec::new()).is_err());
    /// ```
    ///
    /// # Errors
    /// [`FlightError`] for no point, a first one that is not at 0, times that do not rise, impossible speeds, and more
    /// than 200 000 NM.
    pub fn new(points: Vec<FlightPoint>) -> Result<Self, FlightError> {
        let mut legs: Vec<Leg> = Vec::new();
        let (mut track, mut places) = (None, 0);
        let mut points = points.into_iter().enumerate().peekable();
        if points.peek().is_none() {
            let (reason, correction) = ("the flight has no point".to_owned(), "give it at least one");
            return Err(FlightError { number: 1, reason, correction });
        }
        while let Some((at, point)) = points.next() {
            let wrong = |reason: String, correction| Err(FlightError { number: at + 1, reason, correction });
            if at == 0 && point.time_ms != 0 {
                return wrong("the first point is not at the start".to_owned(), "write \"time_s\": 0");
            }
            let leg = match points.peek() {
                None => Leg::last(point, track),
                Some((_, next)) if next.time_ms <= point.time_ms => {
                    return wrong("the next point is not later".to_owned(), "write the points in order of \"time_s\"");
                }
                Some((_, next)) => match Leg::between(point, next, track) {
                    Ok(leg) => leg,
                    Err(reason) => return wrong(reason, "give it more time"),
                },
            };
            places += leg.places.len();
            if places > MOST_PLACES {
                return wrong(format!("the flight is longer than {MOST_PLACES} NM up to here"), "make it shorter");
            }
            track = leg.track.map(|(_, to)| to);
            legs.push(leg);
        }
        Ok(Self { legs })
    }

    /// Its points.
    pub(crate) fn points(&self) -> impl Iterator<Item = &FlightPoint> {
        self.legs.iter().map(|leg| &leg.point)
    }

    /// When its last point is reached.
    ///
    /// ```
    /// use squitterlab::onair::{FlightPath, Situation};
    /// let parked = Situation::read(r#"{"airborne": false}"#).unwrap();
    /// assert_eq!(FlightPath::fixed(parked).duration_ms(), 0);
    /// ```
    pub fn duration_ms(&self) -> u64 {
        self.legs.last().map_or(0, |leg| leg.point.time_ms)
    }

    /// Its numbers at a time.
    ///
    /// ```
    /// use squitterlab::onair::{FlightPath, Situation};
    /// let level = Situation::read(r#"{"airborne": true, "pressure_altitude_ft": 4500}"#).unwrap();
    /// assert_eq!(FlightPath::fixed(level).motion(1_000).pressure_altitude_ft, Some(4500.0));
    /// ```
    pub fn motion(&self, time_ms: u64) -> Kinematics {
        self.motion_on(self.leg_at(time_ms), time_ms)
    }

    /// Everything at a time.
    ///
    /// ```
    /// use squitterlab::onair::FlightPath;
    /// let flight = FlightPath::demo();
    /// assert!((0..flight.duration_ms()).step_by(1000).any(|time_ms| flight.situation(time_ms).airborne));
    /// ```
    pub fn situation(&self, time_ms: u64) -> Situation {
        self.situation_on(self.leg_at(time_ms), time_ms)
    }

    pub(super) fn leg_at(&self, time_ms: u64) -> usize {
        self.legs.partition_point(|leg| leg.point.time_ms <= time_ms).saturating_sub(1)
    }

    pub(super) fn leg_end(&self, leg: usize) -> Option<u64> {
        self.legs[leg].end_ms
    }

    pub(super) fn point(&self, leg: usize) -> &FlightPoint {
        &self.legs[leg].point
    }

    pub(super) fn situation_on(&self, leg: usize, time_ms: u64) -> Situation {
        let motion = self.motion_on(leg, time_ms);
        let fixed = &self.legs[leg].point.situation;
        Situation {
            latitude_deg: motion.position.map(|position| position.latitude_deg),
            longitude_deg: motion.position.map(|position| position.longitude_deg),
            pressure_altitude_ft: motion.pressure_altitude_ft,
            geometric_minus_pressure_ft: motion.geometric_minus_pressure_ft,
            ground_speed_kt: motion.ground_speed_kt,
            track_deg: motion.track_deg,
            vertical_rate_fpm: motion.vertical_rate_fpm,
            ..fixed.clone()
        }
    }

    #[inline]
    pub(super) fn motion_on(&self, leg: usize, time_ms: u64) -> Kinematics {
        let leg = &self.legs[leg];
        let way = leg.end_ms.map_or(0.0, |end| {
            let whole = (end - leg.point.time_ms) as f64;
            (time_ms.saturating_sub(leg.point.time_ms) as f64 / whole).min(1.0)
        });
        let even = |even: Even| even.map(|(from, to)| from + (to - from) * way);
        let position = match leg.places[..] {
            [] => None,
            [only] => Some(only),
            _ => {
                let place = way * (leg.places.len() - 1) as f64;
                let at = (place as usize).min(leg.places.len() - 2);
                let part = place - at as f64;
                let ((a, b), (c, d)) = (leg.places[at], leg.places[at + 1]);
                Some((a + (c - a) * part, b + (d - b) * part))
            }
        };
        Kinematics {
            position: position
                .map(|(latitude_deg, longitude)| Position { latitude_deg, longitude_deg: turned(longitude) }),
            pressure_altitude_ft: even(leg.altitude),
            geometric_minus_pressure_ft: even(leg.difference),
            ground_speed_kt: even(leg.speed),
            track_deg: even(leg.track).map(|track| track.rem_euclid(360.0)),
            vertical_rate_fpm: even(leg.rate),
        }
    }
}

/// A longitude from -180 up to but not 180.
fn turned(longitude_deg: f64) -> f64 {
    if (-180.0..180.0).contains(&longitude_deg) {
        longitude_deg
    } else {
        (longitude_deg + 180.0).rem_euclid(360.0) - 180.0
    }
}

impl Leg {
    /// The leg after the last point: nothing moves.
    fn last(point: FlightPoint, track: Option<f64>) -> Self {
        let still = |number: Option<f64>| number.map(|number| (number, number));
        let here = &point.situation;
        Self {
            places: here.position().map(|place| (place.latitude_deg, place.longitude_deg)).into_iter().collect(),
            altitude: still(here.pressure_altitude_ft),
            difference: still(here.geometric_minus_pressure_ft),
            speed: still(here.ground_speed_kt),
            track: still(here.track_deg.or(track)),
            rate: still(here.vertical_rate_fpm),
            end_ms: None,
            point,
        }
    }

    fn between(point: FlightPoint, next: &FlightPoint, track_before: Option<f64>) -> Result<Self, String> {
        let (here, there) = (&point.situation, &next.situation);
        let seconds = (next.time_ms - point.time_ms) as f64 / 1000.0;
        let even = |from: Option<f64>, to: Option<f64>| from.map(|from| (from, to.unwrap_or(from)));
        let mut places = Vec::new();
        let (mut leg_speed, mut leg_track) = (None, track_before);
        if let Some(from) = here.position() {
            let to = there.position().unwrap_or(from);
            let earth = Geodesic::wgs84();
            let (distance, azimuth, _, _): (f64, f64, f64, f64) =
                earth.inverse(from.latitude_deg, from.longitude_deg, to.latitude_deg, to.longitude_deg);
            let knots = distance / seconds / KNOT_M_S;
            if knots > 4000.0 {
                return Err(format!("the leg from here would need {knots:.0} kt"));
            }
            leg_speed = Some(knots);
            if distance > 0.1 {
                leg_track = Some(azimuth.rem_euclid(360.0));
            }
            let pieces = (distance / PIECE_M).ceil().max(1.0) as usize;
            let mut longitude = from.longitude_deg;
            for piece in 0..=pieces {
                let way = distance * piece as f64 / pieces as f64;
                let (latitude, next): (f64, f64) = earth.direct(from.latitude_deg, from.longitude_deg, azimuth, way);
                longitude += turned(next - longitude);
                places.push((latitude, longitude));
            }
        }
        let altitude = even(here.pressure_altitude_ft, there.pressure_altitude_ft);
        let leg_rate = altitude.map(|(from, to)| (to - from) / seconds * 60.0);
        if leg_rate.is_some_and(|rate| rate.abs() > 40_000.0) {
            return Err("the leg from here would climb or descend at more than 40 000 ft/min".to_owned());
        }
        // What is left out is the leg's.
        let or_leg = |stated: Option<f64>, next: Option<f64>, leg: Option<f64>| match stated {
            Some(_) => even(stated, next),
            None => leg.map(|leg| (leg, leg)),
        };
        let track = or_leg(here.track_deg, there.track_deg, leg_track)
            // The shorter way round.
            .map(|(from, to)| (from, from + turned(to - from)));
        Ok(Self {
            places,
            altitude,
            difference: even(here.geometric_minus_pressure_ft, there.geometric_minus_pressure_ft),
            speed: or_leg(here.ground_speed_kt, there.ground_speed_kt, leg_speed),
            track,
            rate: or_leg(here.vertical_rate_fpm, there.vertical_rate_fpm, leg_rate),
            end_ms: Some(next.time_ms),
            point,
        })
    }
}
