//! Rehearses a flight: the stream of frames that a configured unit would send on the standard's schedule.
//!
//! Files only: a frame here is a number with a time. Everything follows from the inputs and one seed.

mod background_aircraft;
mod capture_writer;
mod flight_path;
mod planted_mistakes;
mod rate_limit;
mod reception_model;
mod seeded_random;
mod template;
mod traffic;
mod unit_inputs;

#[doc(hidden)]
pub use capture_writer::CaptureWriter;
pub use flight_path::{FlightError, FlightPath, FlightPoint, QualityOverride};
pub use planted_mistakes::{PlantError, Planted};
// The traffic of many aircraft, and what a receiver makes of it.
#[doc(hidden)]
pub use reception_model::{ReceivedLine, Receiver, ReceptionModel};
pub(crate) use seeded_random::Random;
#[doc(hidden)]
pub use traffic::Traffic;

use super::schedule::{CHANGED_FOR_MS, LOW_RATE_AFTER_MS, MOST_IN_60_S, ONE_PLACE_M};
use super::{Condition, EmissionError, Flight, Interval, Kinematics, Stream, emissions, interval_of, version_of};
use crate::code::compact_position::Position;
use crate::frame::Frame;
use crate::profile::wiring::Fault;
use crate::profile::{AirGroundKind, Profile, Stated};
use background_aircraft::invented;
use rate_limit::RateLimit;
use rayon::prelude::*;
use std::sync::Arc;
use template::{Template, Templates};
use unit_inputs::{AltitudeInput, antenna_place, displaced, takes_for_airborne};

/// An install as it is set and as it is wired. They differ where a mistake was made.
#[derive(Clone, Debug)]
pub struct Installation {
    /// What is set in the unit.
    pub configured: Profile,
    /// What is true of the aircraft: its wires, its switch, its antenna's place.
    pub actual: Profile,
    /// What is wrong with the altitude wires.
    pub altitude_wiring: Fault,
}

impl From<Profile> for Installation {
    /// All as it should be.
    fn from(profile: Profile) -> Self {
        Self { configured: profile.clone(), actual: profile, altitude_wiring: Fault::None }
    }
}

/// A frame that goes out.
#[derive(Clone, Copy, Debug)]
#[non_exhaustive]
pub struct Sent {
    /// When, in milliseconds from the start.
    pub time_ms: u64,
    /// What.
    pub frame: Frame,
    /// The name of the message.
    pub message: &'static str,
    /// Why now.
    pub why: Why,
}

impl Sent {
    /// When, in seconds from the start.
    ///
    /// ```
    /// use squitterlab::{Profile, onair::{FlightPath, Rehearsal}};
    /// let profile = Profile::read(r#"{"aircraft": {"address": "A5C035"}}"#).profile;
    /// let mut rehearsal = Rehearsal::new(profile, FlightPath::demo(), 1).unwrap();
    /// assert!(rehearsal.next().unwrap().time_s() < 15.0);
    /// ```
    pub fn time_s(&self) -> f64 {
        self.time_ms as f64 / 1000.0
    }
}

/// Why a frame goes out.
#[derive(Clone, Copy, Debug)]
#[non_exhaustive]
pub enum Why {
    /// Its interval is over.
    Scheduled(&'static Interval),
    /// An interrogation asked for it.
    Asked(&'static str),
}

/// When a squitter is next.
#[derive(Clone, Copy, Debug)]
struct Due {
    at_ms: u64,
    last_ms: Option<u64>,
    interval: &'static Interval,
}

/// Questions that come in, each as often as the others.
#[derive(Clone, Copy, Debug)]
struct Asked {
    every_ms: u64,
    at_ms: u64,
    /// Which reply is next.
    next: usize,
}

/// An install flown through a flight: an iterator of frames that never ends.
///
/// ```
/// use squitterlab::onair::{FlightPath, Rehearsal};
/// use squitterlab::profile::Profile;
///
/// let profile = Profile::read(r#"{"aircraft": {"address": "A5C035"}}"#).profile;
/// let rehearsal = Rehearsal::new(profile, FlightPath::demo(), 1).unwrap();
/// let minute: Vec<_> = rehearsal.take_while(|sent| sent.time_ms < 60_000).collect();
/// assert!(minute.windows(2).all(|pair| pair[0].time_ms < pair[1].time_ms));
/// ```
#[derive(Clone, Debug)]
pub struct Rehearsal {
    installation: Arc<Installation>,
    path: Arc<FlightPath>,
    /// Metres north and east of the flight.
    beside: Option<(f64, f64)>,
    antenna: Option<(f64, f64)>,
    altitude: AltitudeInput,
    random: Random,
    leg: usize,
    now: Condition,
    quality: QualityOverride,
    mode_a_until_ms: u64,
    quality_until_ms: u64,
    /// Where the aircraft was when it last moved, and when.
    place: Option<(Position, u64)>,
    look_ms: u64,
    dues: [Option<Due>; Stream::ALL.len()],
    asked: Option<Asked>,
    odd: bool,
    templates: Templates,
    minute: RateLimit,
}

impl Rehearsal {
    /// An install at the start of a flight.
    ///
    /// ```
    /// use squitterlab::{Profile, onair::{FlightPath, Rehearsal}};
    /// let profile = Profile::read(r#"{"aircraft": {"address": "A5C035"}}"#).profile;
    /// let first = |seed| Rehearsal::new(profile.clone(), FlightPath::demo(), seed).unwrap().next().unwrap().frame;
    /// // One seed gives the same frames for ever.
    /// assert_eq!(first(1), first(1));
    /// assert!(Rehearsal::new(Profile::default(), FlightPath::demo(), 1).is_err());
    /// ```
    ///
    /// # Errors
    /// As of [`emissions`]: no address, another version, a setting or a value of the flight without code.
    pub fn new(
        installation: impl Into<Installation>,
        path: impl Into<Arc<FlightPath>>,
        seed: u64,
    ) -> Result<Self, EmissionError> {
        let installation = Arc::new(installation.into());
        let path = path.into();
        // Values between two points lie between theirs, so what holds at every point holds all along.
        for point in path.points() {
            emissions(&point.quality.of(&installation.configured), Flight::Situation(&point.situation))?;
        }
        Ok(Self::started(installation, path, Random::new(seed, 0), None))
    }

    /// An install, and `others` invented: much as this one is wired, each under an invented address and identification,
    /// and flying beside it.
    ///
    /// ```
    /// use squitterlab::{Profile, onair::{FlightPath, Rehearsal}};
    /// let profile = Profile::read(r#"{"aircraft": {"address": "A5C035"}}"#).profile;
    /// assert_eq!(Rehearsal::with_others(profile, FlightPath::demo(), 1, 3).unwrap().len(), 4);
    /// ```
    ///
    /// # Errors
    /// As of [`Rehearsal::new`].
    pub fn with_others(
        installation: impl Into<Installation>,
        path: impl Into<Arc<FlightPath>>,
        seed: u64,
        others: u32,
    ) -> Result<Vec<Self>, EmissionError> {
        let first = Self::new(installation, path, seed)?;
        // Aircraft do not know of each other.
        let others: Vec<Self> = (1..=others).into_par_iter().map(|number| first.beside(number, seed)).collect();
        Ok([vec![first], others].concat())
    }

    /// Another aircraft like this one.
    fn beside(&self, number: u32, seed: u64) -> Self {
        let mut random = Random::new(seed, number.into());
        let (profile, place) = invented(&self.installation.actual, number, &mut random);
        Self::started(Arc::new(profile.into()), Arc::clone(&self.path), random, Some(place))
    }

    fn started(
        installation: Arc<Installation>,
        path: Arc<FlightPath>,
        random: Random,
        beside: Option<(f64, f64)>,
    ) -> Self {
        let mut rehearsal = Self {
            beside,
            antenna: antenna_place(&installation.actual),
            altitude: AltitudeInput::new(&installation),
            random,
            leg: 0,
            now: Condition::default(),
            quality: path.point(0).quality,
            mode_a_until_ms: 0,
            quality_until_ms: 0,
            place: None,
            look_ms: 0,
            dues: [None; Stream::ALL.len()],
            asked: None,
            odd: false,
            templates: Templates::default(),
            minute: RateLimit::new(),
            installation,
            path,
        };
        rehearsal.begin_leg(0, 0);
        rehearsal.look(0);
        rehearsal
    }

    /// The same, interrogated this many times a second, up to 1000: it answers with each of its replies in turn.
    ///
    /// ```
    /// use squitterlab::{Profile, onair::{FlightPath, Rehearsal}};
    /// let profile = Profile::read(r#"{"aircraft": {"address": "A5C035"}}"#).profile;
    /// let rehearsal = Rehearsal::new(profile, FlightPath::demo(), 1).unwrap().interrogated(10.0);
    /// // A surveillance reply, downlink format 4 or 5.
    /// let mut minute = rehearsal.take_while(|sent| sent.time_ms < 60_000);
    /// assert!(minute.any(|sent| matches!(sent.frame.downlink_format(), 4 | 5)));
    /// ```
    #[must_use]
    pub fn interrogated(mut self, a_second: f64) -> Self {
        let every_ms = (1000.0 / a_second.clamp(0.001, 1000.0)).round() as u64;
        self.asked = Some(Asked { every_ms, at_ms: self.random.between(0, every_ms), next: 0 });
        self
    }

    /// The most frames that it sends in a second, about.
    pub(super) fn most_a_second(&self) -> f64 {
        let squitters = f64::from(MOST_IN_60_S) / 60.0 + 1.0;
        squitters + self.asked.map_or(0.0, |asked| 1000.0 / asked.every_ms.max(1) as f64)
    }

    /// The next frame, if it goes out before a time.
    pub(super) fn next_before(&mut self, end_ms: u64) -> Option<Sent> {
        let (time_ms, stream) = self.next_due(end_ms)?;
        match stream {
            Some(stream) => self.squitter(time_ms, stream),
            None => self.reply(time_ms),
        }
    }

    /// When the next frame goes out, if that is before a time, and which squitter it is; a reply is none.
    fn next_due(&mut self, end_ms: u64) -> Option<(u64, Option<Stream>)> {
        loop {
            let (at, due) = self.soonest();
            if at.min(self.look_ms) >= end_ms {
                return None;
            }
            if self.look_ms <= at {
                self.look(self.look_ms);
                continue;
            }
            let Some(stream) = due.filter(|stream| stream.is_status()) else { return Some((at, due)) };
            self.minute.reach(at);
            if self.minute.has_room(stream, self.now) {
                return Some((at, due));
            }
            // It waits until there is room, whatever its interval says.
            let later = (at / 1000 + 1) * 1000 + self.random.between(0, 999);
            if let Some(due) = &mut self.dues[stream as usize] {
                due.at_ms = later;
            }
        }
    }

    fn soonest(&self) -> (u64, Option<Stream>) {
        let mut soonest = (self.asked.map_or(u64::MAX, |asked| asked.at_ms), None);
        for (due, stream) in self.dues.iter().zip(Stream::ALL) {
            if let Some(due) = due
                && due.at_ms < soonest.0
            {
                soonest = (due.at_ms, Some(stream));
            }
        }
        soonest
    }

    // What changes ---------------------------------------------------------------------------------------------------

    fn look(&mut self, time_ms: u64) {
        while let Some(end) = self.path.leg_end(self.leg).filter(|end| *end <= time_ms) {
            self.begin_leg(self.leg + 1, end);
        }
        self.now.mode_a_changed = time_ms < self.mode_a_until_ms;
        self.now.quality_changed = time_ms < self.quality_until_ms;
        let mut next = self.path.leg_end(self.leg).unwrap_or(u64::MAX);
        for until in [self.mode_a_until_ms, self.quality_until_ms] {
            if until > time_ms {
                next = next.min(until);
            }
        }
        self.now.moving = !self.now.airborne && self.is_moving(time_ms);
        if !self.now.airborne {
            next = next.min(time_ms + 500);
        }
        self.look_ms = next;
        self.reschedule(time_ms);
    }

    /// Whether the aircraft left its place lately.
    fn is_moving(&mut self, time_ms: u64) -> bool {
        let Some(here) = self.path.motion_on(self.leg, time_ms).position else { return false };
        match self.place {
            Some((place, since)) if here.distance_nm(place) * 1852.0 <= ONE_PLACE_M => {
                self.now.moving && time_ms - since < LOW_RATE_AFTER_MS
            }
            known => {
                self.place = Some((here, time_ms));
                // The first look knows no earlier place.
                known.is_some()
            }
        }
    }

    fn begin_leg(&mut self, leg: usize, time_ms: u64) {
        let before = self.path.point(self.leg).situation.mode_a();
        self.leg = leg;
        let point = self.path.point(leg);
        let mut situation = self.path.situation_on(leg, time_ms);
        let mode_a = situation.mode_a();
        if mode_a != before {
            self.mode_a_until_ms = time_ms + CHANGED_FOR_MS;
        }
        let watched = |quality: QualityOverride| (quality.nic, quality.nacp, quality.sil);
        if watched(point.quality) != watched(self.quality) {
            self.quality_until_ms = time_ms + CHANGED_FOR_MS;
        }
        self.quality = point.quality;
        situation.airborne = takes_for_airborne(&self.installation, situation.airborne);
        let set = self.quality.of(&self.installation.configured);
        let on_surface = !situation.airborne && set.air_ground_kind.get() != Some(&AirGroundKind::None);
        self.now.airborne = !on_surface;
        self.now.emergency = situation.emergency_state != 0;
        self.now.mode_a_unused = mode_a.is_some_and(|code| code.digits() == [1, 0, 0, 0]);
        self.now.target_state = set.sends_target_state.get() == Some(&true);
        self.now.before_version_2 = version_of(&set) < 2;
        // Every point was tried at the start.
        // Who sends no acquisition squitter answers all-calls with the same frame all the same.
        let mut asked = set.clone();
        asked.acquisition_squitter = Stated::NotStated;
        let emissions = emissions(&asked, Flight::Situation(&situation)).unwrap_or_default();
        self.templates = Templates::new(&emissions, &set);
        if set.acquisition_squitter.get() == Some(&false) {
            self.templates.squitters[Stream::Acquisition as usize] = [None, None];
        }
    }

    // The schedule ---------------------------------------------------------------------------------------------------

    fn reschedule(&mut self, time_ms: u64) {
        for stream in Stream::ALL {
            let at = stream as usize;
            let sends = self.templates.squitters[at].iter().any(Option::is_some);
            let interval = interval_of(stream, &self.now).filter(|_| sends);
            let known = self.dues[at];
            self.dues[at] = match (known, interval) {
                (_, None) => None,
                (Some(due), Some(interval)) if std::ptr::eq(due.interval, interval) => Some(due),
                // The new rhythm counts from the last message of the kind; the first one may come at once.
                (known, Some(interval)) => {
                    let last_ms = known.and_then(|due| due.last_ms);
                    Some(Due { at_ms: self.draw(stream, last_ms, time_ms, interval), last_ms, interval })
                }
            };
        }
    }

    /// A time within the interval after the last, not before now, at which nothing else goes out.
    fn draw(&mut self, stream: Stream, last_ms: Option<u64>, now_ms: u64, interval: &'static Interval) -> u64 {
        let (least, most) = (u64::from(interval.window_ms.0), u64::from(interval.window_ms.1));
        let (dues, asked) = (self.dues, self.asked);
        let taken = |at: u64| {
            asked.is_some_and(|asked| asked.at_ms == at)
                || Stream::ALL
                    .into_iter()
                    .zip(dues)
                    .any(|(other, due)| other != stream && due.is_some_and(|due| due.at_ms == at))
        };
        loop {
            let mut at = match last_ms {
                Some(last) => self.random.between(last + least, last + most),
                None => now_ms + self.random.between(0, most),
            };
            if at < now_ms {
                // The new rhythm is quicker, and its time is over: at once.
                at = now_ms;
                while taken(at) {
                    at += 1;
                }
            }
            if !taken(at) {
                return at;
            }
        }
    }

    // Frames ---------------------------------------------------------------------------------------------------------

    /// The numbers that the position source and the altitude source give at a time, in the antenna's place.
    ///
    /// ```
    /// use squitterlab::{Profile, onair::{FlightPath, Rehearsal}};
    /// let profile = Profile::read(r#"{"aircraft": {"address": "A5C035"}}"#).profile;
    /// let rehearsal = Rehearsal::new(profile, FlightPath::demo(), 1).unwrap();
    /// assert!(rehearsal.motion(0).position.is_some());
    /// ```
    pub fn motion(&self, time_ms: u64) -> Kinematics {
        let leg = self.path.leg_at(time_ms);
        self.motion_on(leg, time_ms)
    }

    fn motion_on(&self, leg: usize, time_ms: u64) -> Kinematics {
        let mut motion = self.path.motion_on(leg, time_ms);
        if let (Some(position), Some((ahead, right)), Some(track)) = (motion.position, self.antenna, motion.track_deg) {
            let (sine, cosine) = track.to_radians().sin_cos();
            motion.position = Some(displaced(position, ahead * cosine - right * sine, ahead * sine + right * cosine));
        }
        if let (Some(position), Some((north, east))) = (motion.position, self.beside) {
            motion.position = Some(displaced(position, north, east));
        }
        motion
    }

    fn filled(&self, template: &Template, time_ms: u64) -> Frame {
        let motion = self.motion_on(self.leg, time_ms);
        template.filled(&motion, self.altitude.code(motion.pressure_altitude_ft))
    }

    fn reply(&mut self, time_ms: u64) -> Option<Sent> {
        let mut asked = self.asked?;
        let replies = &self.templates.replies;
        let template = *replies.get(asked.next % replies.len().max(1))?;
        asked.next += 1;
        // Questions come unevenly; an answer waits for a squitter that goes out.
        asked.at_ms = time_ms + 1 + self.random.between(asked.every_ms / 2, asked.every_ms + asked.every_ms / 2);
        while self.dues.iter().flatten().any(|due| due.at_ms == asked.at_ms) {
            asked.at_ms += 1;
        }
        self.asked = Some(asked);
        let frame = self.filled(&template, time_ms);
        Some(Sent { time_ms, frame, message: template.message, why: Why::Asked(template.reply_to?) })
    }

    fn squitter(&mut self, time_ms: u64, stream: Stream) -> Option<Sent> {
        let at = stream as usize;
        let due = self.dues[at]?;
        let [even, odd] = self.templates.squitters[at];
        let template = if self.odd && stream == Stream::Position { odd.or(even) } else { even.or(odd) }?;
        if stream == Stream::Position {
            self.odd = !self.odd;
        }
        let frame = match stream {
            Stream::Position | Stream::Velocity => self.filled(&template, time_ms),
            _ => template.frame,
        };
        if stream != Stream::Acquisition {
            self.minute.reach(time_ms);
            self.minute.note(stream);
        }
        let at_ms = self.draw(stream, Some(time_ms), time_ms + 1, due.interval);
        self.dues[at] = Some(Due { at_ms, last_ms: Some(time_ms), interval: due.interval });
        Some(Sent { time_ms, frame, message: template.message, why: Why::Scheduled(due.interval) })
    }
}

impl Iterator for Rehearsal {
    type Item = Sent;

    fn next(&mut self) -> Option<Sent> {
        self.next_before(u64::MAX)
    }
}
