//! Remembers what needs more than one frame: the version in force, positions, air or ground, heights, and whether what
//! an aircraft says in two ways agrees.
//!
//! Memory is kept only for addresses heard in the clear with valid parity, so that corrupt replies invent nothing, and for
//! at most [`MOST_AIRCRAFT`] of them: beyond that the one not heard for longest goes, and is counted.

pub mod agreement;
mod data_overlay;
mod height;
mod position;
pub mod state;
mod version;

pub use agreement::Disagreement;
pub use data_overlay::DataOverlay;
pub use height::Heights;
pub use position::{Basis, Method, Refusal};
pub use version::{VERSION_0_AFTER_S, VersionInForce};

use crate::code::Bits;
use crate::code::compact_position::Position;
use crate::downlink::{Decoded, Parity};
use crate::frame::Address;
use crate::message::Message;
use agreement::AgreementMemory;
use height::HeightMemory;
use lru::LruCache;
use position::PositionMemory;
use state::StateMemory;
use std::num::NonZeroUsize;
use version::VersionMemory;

/// Seconds from one time to another, as their decimals say it, to a microsecond: 10.001 and 20.001 are 10 s apart, which
/// the nearest binary fractions are not.
///
/// ```
/// assert_eq!(squitterlab::track::seconds_between(10.001, 20.001), 10.0);
/// assert!(20.001 - 10.001 > 10.0);
/// ```
pub fn seconds_between(from: f64, to: f64) -> f64 {
    (microseconds(to) - microseconds(from)) as f64 / 1e6
}

/// The nearest whole number of microseconds; cheaper than rounding a float where the machine cannot.
fn microseconds(seconds: f64) -> i64 {
    let exact = seconds * 1e6;
    (exact + if exact < 0.0 { -0.5 } else { 0.5 }) as i64
}

/// How many aircraft are remembered.
pub const MOST_AIRCRAFT: usize = 65_536;

/// What the frames so far add to a frame.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub struct Observation {
    /// The version to read it in.
    pub version: VersionInForce,
    /// Where the aircraft is.
    pub position: Option<(Position, Method)>,
    /// What the position was found from.
    pub basis: Option<Basis>,
    /// Why a position message gives no position, where there was something to find it from.
    pub position_refused: Option<Refusal>,
    /// Whether its address was heard in the clear.
    pub address_confirmed: bool,
    /// Where the address was not heard, but would have been with a register number XORed onto it.
    pub possible_data_overlay: Option<DataOverlay>,
    /// Whether the aircraft is in the air or on the ground.
    pub state: Option<state::State>,
    /// That this frame changes it.
    pub change: Option<state::StateChange>,
    /// That the frame says both.
    pub contradiction: Option<state::Contradiction>,
    /// Pressure altitude and geometric height together.
    pub heights: Option<Heights>,
    /// That this reply shows a squitter before it to disagree with the replies around it.
    pub disagreement: Option<Disagreement>,
}

impl Observation {
    const fn new(version: VersionInForce) -> Self {
        Self {
            version,
            position: None,
            basis: None,
            position_refused: None,
            address_confirmed: false,
            possible_data_overlay: None,
            state: None,
            change: None,
            contradiction: None,
            heights: None,
            disagreement: None,
        }
    }

    fn locate(&mut self, found: position::Found) {
        match found {
            Some(Ok(located)) => {
                self.position = Some((located.position, located.method));
                self.basis = Some(located.basis);
            }
            Some(Err(refusal)) => self.position_refused = Some(refusal),
            None => {}
        }
    }
}

/// Follows one aircraft, whose frames somebody else picks out.
#[derive(Clone, Debug, Default)]
pub struct Follower(Option<Box<Aircraft>>);

impl Follower {
    /// Observes an undamaged frame of the aircraft, with the squitter's message in it, and says what the frames so far add
    /// to it: nothing until its address was heard in the clear.
    pub(crate) fn observe(&mut self, decoded: &Decoded, message: Option<&Message>, time: Option<f64>) -> Observation {
        let proved = decoded.proves_address();
        let unknown = Observation::new(VersionInForce::Unknown);
        if proved {
            self.0.get_or_insert_default();
        }
        match &mut self.0 {
            Some(aircraft) => aircraft.observe(decoded, message.filter(|_| proved), time, None, None, unknown),
            None => unknown,
        }
    }
}

/// What is remembered of an aircraft.
#[derive(Clone, Debug, Default)]
struct Aircraft {
    version: VersionMemory,
    positions: PositionMemory,
    state: StateMemory,
    heights: HeightMemory,
    agreement: AgreementMemory,
}

/// Follows every aircraft of a stream.
#[derive(Debug)]
pub struct Tracker {
    aircraft: LruCache<Address, Aircraft>,
    /// How many of them share each lower sixteen bits: a register number lies over the upper eight only.
    lower_bits: Vec<u16>,
    evicted: u64,
    reference: Option<Position>,
    given: Option<VersionInForce>,
}

impl Tracker {
    /// A tracker with a reference position and a given version, where there are such.
    ///
    /// ```
    /// use squitterlab::cpr::Position;
    /// use squitterlab::track::{Tracker, VersionInForce};
    /// // The place of the receiver, for one position alone; and every aircraft read in version 2.
    /// let mut tracker = Tracker::new(Some(Position { latitude_deg: 52.0, longitude_deg: 4.0 }), Some(2));
    /// let frame: squitterlab::Frame = "8D40621D58C382D690C8AC2863A7".parse().unwrap();
    /// let seen = tracker.observe(&frame.decode(), None);
    /// assert_eq!(seen.version.known(), Some(squitterlab::Version::Two));
    /// assert!(seen.position.is_some());
    /// ```
    pub fn new(reference: Option<Position>, version: Option<u8>) -> Self {
        Self {
            aircraft: LruCache::new(NonZeroUsize::new(MOST_AIRCRAFT).unwrap_or(NonZeroUsize::MIN)),
            lower_bits: vec![0; 1 << 16],
            evicted: 0,
            reference,
            given: version.map(VersionInForce::from_number),
        }
    }

    /// How many aircraft had to be forgotten.
    ///
    /// ```
    /// use squitterlab::track::Tracker;
    /// assert_eq!(Tracker::new(None, None).evicted(), 0);
    /// ```
    pub fn evicted(&self) -> u64 {
        self.evicted
    }

    /// Takes a frame in, and says what the frames so far add to it.
    ///
    /// ```
    /// use squitterlab::{Frame, track::Tracker};
    /// // The handbook's example of an odd and an even position of one aircraft.
    /// let mut tracker = Tracker::new(None, None);
    /// let [odd, even] = ["8D40621D58C386435CC412692AD6", "8D40621D58C382D690C8AC2863A7"];
    /// let [odd, even] = [odd, even].map(|digits| digits.parse::<Frame>().unwrap().decode());
    /// assert_eq!(tracker.observe(&odd, Some(0.0)).position, None);
    /// let (position, _) = tracker.observe(&even, Some(2.0)).position.unwrap();
    /// assert!((position.latitude_deg - 52.25720).abs() < 1e-5 && (position.longitude_deg - 3.91937).abs() < 1e-5);
    /// ```
    pub fn observe(&mut self, decoded: &Decoded, time: Option<f64>) -> Observation {
        let mut unknown = Observation::new(self.given.unwrap_or(VersionInForce::Unknown));
        let Some(address) = decoded.address() else { return unknown };
        let (reference, given) = (self.reference, self.given);
        let (proved, message) = (decoded.proves_address(), decoded.squitter());
        if message.is_none() && decoded.parity() == Parity::Valid {
            unknown.locate(position::relayed(decoded, reference));
        }
        // A damaged frame adds nothing and calls nobody back, but is still read in the version of its aircraft.
        let damaged = decoded.parity() == Parity::Invalid;
        let known = if damaged { self.aircraft.peek_mut(&address) } else { self.aircraft.get_mut(&address) };
        let aircraft = match known {
            Some(aircraft) => aircraft,
            None if proved => self.remember(address),
            None => return Observation { possible_data_overlay: self.data_overlay(decoded, address), ..unknown },
        };
        if damaged {
            return aircraft.add(given, &unknown);
        }
        aircraft.observe(decoded, message.as_ref().filter(|_| proved), time, reference, given, unknown)
    }

    fn remember(&mut self, address: Address) -> &mut Aircraft {
        self.lower_bits[address.bits() as usize & 0xFFFF] += 1;
        if let Some((forgotten, _)) = self.aircraft.push(address, Aircraft::default()) {
            self.lower_bits[forgotten.bits() as usize & 0xFFFF] -= 1;
            self.evicted += 1;
        }
        // It is there by now, so nothing is inserted.
        self.aircraft.get_or_insert_mut(address, Aircraft::default)
    }

    fn data_overlay(&self, decoded: &Decoded, recovered: Address) -> Option<DataOverlay> {
        if self.lower_bits[recovered.bits() as usize & 0xFFFF] == 0 {
            return None;
        }
        data_overlay::find(decoded, recovered, |address| self.aircraft.contains(&address))
    }
}

impl Aircraft {
    /// Observes a frame that is not damaged; `message` is that of a squitter that proves its address.
    fn observe(
        &mut self,
        decoded: &Decoded,
        message: Option<&Message>,
        time: Option<f64>,
        reference: Option<Position>,
        given: Option<VersionInForce>,
        mut seen: Observation,
    ) -> Observation {
        match message {
            Some(message) => self.observe_squitter(message, time, reference, given, &mut seen),
            None => self.observe_reply(decoded, time, &mut seen),
        }
        self.observe_state(decoded, message, decoded.proves_address(), time, &mut seen);
        self.add(given, &seen)
    }

    /// What is remembered, beside what a frame adds.
    fn add(&self, given: Option<VersionInForce>, seen: &Observation) -> Observation {
        let version = given.unwrap_or_else(|| self.version.in_force());
        Observation { address_confirmed: true, state: self.state.state(), version, ..*seen }
    }

    fn observe_squitter(
        &mut self,
        message: &Message,
        time: Option<f64>,
        reference: Option<Position>,
        given: Option<VersionInForce>,
        seen: &mut Observation,
    ) {
        if let Some(number) = message.version_number() {
            self.version.observe(number.bits() as u8);
        }
        if matches!(message, Message::AirbornePosition(_) | Message::SurfacePosition(_)) {
            self.version.observe_position(time);
        }
        seen.locate(self.positions.observe(message, time, reference));
        seen.heights = self.heights.observe(message, time);
        let version = given.unwrap_or_else(|| self.version.in_force());
        if let Some(said) = agreement::squitter_says(message, version) {
            self.agreement.observe_squitter(said, time);
        }
    }

    fn observe_reply(&mut self, decoded: &Decoded, time: Option<f64>, seen: &mut Observation) {
        for said in [agreement::reply_says(decoded), agreement::register_says(decoded)].into_iter().flatten() {
            let disagreement = self.agreement.observe_reply(said, time);
            seen.disagreement = seen.disagreement.or(disagreement);
        }
    }

    fn observe_state(
        &mut self,
        decoded: &Decoded,
        message: Option<&Message>,
        proved: bool,
        time: Option<f64>,
        seen: &mut Observation,
    ) {
        let envelope = state::envelope_says(decoded);
        let message = message.and_then(state::message_says);
        if let (Some(envelope), Some(message)) = (envelope, message)
            && envelope.0 != message.0
        {
            seen.contradiction = Some(state::Contradiction { envelope, message });
        }
        // The kind of message is what a receiver has to go by.
        if let Some(said) = message.or(envelope) {
            seen.change = self.state.observe(said, proved, time);
        }
    }
}
