//! What needs memory across frames: position pairs, the version in force, addresses heard in clear.
//!
//! Memory is kept only for addresses heard in clear with valid parity, so that corrupt replies invent nothing, and for
//! at most [`MOST_AIRCRAFT`] of them: beyond that the one not heard for longest goes, and is counted.

use crate::code::compact_position::{Grid, Position, Word, global};
use crate::code::{RegisterNumber, Version};
use crate::downlink::Decoded;
use crate::frame::Address;
use crate::message::Message;
use crate::message::position::Carries;
use crate::register::inference;
use lru::LruCache;
use std::num::NonZeroUsize;

/// How many aircraft are remembered.
pub const MOST_AIRCRAFT: usize = 65_536;

/// Pairs in the air hold for 10 s (Doc 9871 draft, page 59; handbook, chapter 3).
const AIRBORNE_PAIR_S: f64 = 10.0;
/// Pairs on the surface hold for 50 s, or 25 s above 25 kt or at an unknown speed (from memory).
const SURFACE_SLOW_PAIR_S: f64 = 50.0;
const SURFACE_FAST_PAIR_S: f64 = 25.0;
const SURFACE_FAST_KT: f64 = 25.0;
/// A last position is a reference for this long (handbook, chapter 3, says 10 s where no speed is known).
const LAST_POSITION_S: f64 = 10.0;
/// Version 0 is concluded from this long of position messages without an operational status (our default).
pub const VERSION_0_AFTER_S: f64 = 30.0;

/// Which version of the standard an aircraft's messages are read in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum VersionInForce {
    /// No operational status was heard, and too little to conclude version 0.
    Unknown,
    /// Heard, concluded or given.
    Known(Version),
    /// Heard, but no source is held for it.
    NoSource(u8),
}

impl VersionInForce {
    /// The version behind a number from the air.
    pub fn from_number(number: u8) -> Self {
        Version::from_number(number).map_or(Self::NoSource(number), Self::Known)
    }
}

/// How a position was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    /// From an even and an odd frame close in time.
    Global,
    /// From an even and an odd frame that follow one another, without times; supports no finding.
    GlobalUntimed,
    /// From one frame and a reference, or the aircraft's last position.
    Local,
}

impl Method {
    /// The method in JSON.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Global => "global",
            Self::GlobalUntimed => "global_untimed",
            Self::Local => "local",
        }
    }
}

/// What the frames so far add to a frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Observation {
    /// The version to read it in.
    pub version: VersionInForce,
    /// Where the aircraft is.
    pub position: Option<(Position, Method)>,
    /// Whether its address was heard in clear.
    pub address_confirmed: bool,
    /// Where the address was not heard, but would have been with a register number laid over it.
    pub possible_data_overlay: Option<DataOverlay>,
}

/// A Comm-B reply whose parity may be overlaid with a register number besides the address: on request its top eight
/// bits are (handbook, Mode S part, chapter 1).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DataOverlay {
    /// An address heard in clear.
    pub address: Address,
    /// The register number that makes it the recovered one.
    pub register: RegisterNumber,
    /// How many other addresses heard in clear would fit too, with another register.
    pub others: u8,
}

#[derive(Clone, Copy, Debug)]
struct Heard {
    word: Word,
    grid: Grid,
    time: Option<f64>,
    number: u64,
}

/// What is remembered of an aircraft.
#[derive(Clone, Debug, Default)]
struct Aircraft {
    version: Option<u8>,
    first_position_s: Option<f64>,
    last_position_s: Option<f64>,
    positions: u64,
    /// The latest even and odd word.
    words: [Option<Heard>; 2],
    last: Option<(Position, Option<f64>)>,
}

/// Follows every aircraft of a stream.
#[derive(Debug)]
pub struct Tracker {
    aircraft: LruCache<Address, Aircraft>,
    evicted: u64,
    reference: Option<Position>,
    given: Option<u8>,
}

impl Tracker {
    /// A tracker with a reference position and a given version, where there are such.
    pub fn new(reference: Option<Position>, version: Option<u8>) -> Self {
        let most = NonZeroUsize::new(MOST_AIRCRAFT).unwrap_or(NonZeroUsize::MIN);
        Self { aircraft: LruCache::new(most), evicted: 0, reference, given: version }
    }

    /// How many aircraft had to be forgotten.
    pub fn evicted(&self) -> u64 {
        self.evicted
    }

    /// Takes a frame in, and says what the frames so far add to it.
    pub fn observe(&mut self, decoded: &Decoded, time: Option<f64>) -> Observation {
        let unknown = Observation {
            version: self.given.map_or(VersionInForce::Unknown, VersionInForce::from_number),
            position: None,
            address_confirmed: false,
            possible_data_overlay: None,
        };
        let Some(address) = decoded.address() else { return unknown };
        if decoded.proves_address() {
            if self.aircraft.len() == MOST_AIRCRAFT && !self.aircraft.contains(&address) {
                self.evicted += 1;
            }
            let aircraft = self.aircraft.get_or_insert_mut(address, Aircraft::default);
            let position = decoded.squitter().and_then(|message| aircraft.take_in(message, time, self.reference));
            let version = self.given.map_or_else(|| aircraft.version(), VersionInForce::from_number);
            return Observation { version, position, address_confirmed: true, possible_data_overlay: None };
        }
        match self.aircraft.peek(&address) {
            // A damaged frame adds nothing, but is still read in the version of its aircraft.
            Some(aircraft) => Observation {
                version: self.given.map_or_else(|| aircraft.version(), VersionInForce::from_number),
                position: None,
                address_confirmed: true,
                possible_data_overlay: None,
            },
            None => Observation { possible_data_overlay: self.data_overlay(decoded, address), ..unknown },
        }
    }

    /// The known address from which the recovered one differs by a register number in its top eight bits. Among several,
    /// one whose register can be what the payload holds comes first.
    fn data_overlay(&self, decoded: &Decoded, recovered: Address) -> Option<DataOverlay> {
        let (20 | 21, Some(payload)) = (decoded.frame.downlink_format(), decoded.payload) else { return None };
        let fits = |number: &RegisterNumber| inference::obeys(*number, payload.bits).unwrap_or(false);
        let mut found: Option<DataOverlay> = None;
        for number in 1..=u8::MAX {
            let address = Address::new(recovered.bits() ^ u32::from(number) << 16);
            if !self.aircraft.contains(&address) {
                continue;
            }
            let register = RegisterNumber::new(number);
            found = Some(match found {
                None => DataOverlay { address, register, others: 0 },
                Some(first) if fits(&register) && !fits(&first.register) => {
                    DataOverlay { address, register, others: first.others + 1 }
                }
                Some(first) => DataOverlay { others: first.others + 1, ..first },
            });
        }
        found
    }
}

impl Aircraft {
    fn version(&self) -> VersionInForce {
        match (self.version, self.first_position_s, self.last_position_s) {
            (Some(number), ..) => VersionInForce::from_number(number),
            (None, Some(first), Some(last)) if last - first >= VERSION_0_AFTER_S => {
                VersionInForce::Known(Version::Zero)
            }
            _ => VersionInForce::Unknown,
        }
    }

    fn take_in(
        &mut self,
        message: Message,
        time: Option<f64>,
        reference: Option<Position>,
    ) -> Option<(Position, Method)> {
        let pair_s = match &message {
            Message::OperationalStatusAirborne(m) => return self.hear_version(m.version_number),
            Message::OperationalStatusSurface(m) => return self.hear_version(m.version_number),
            Message::OperationalStatusOther(m) => return self.hear_version(m.version_number),
            Message::AirbornePosition(_) => AIRBORNE_PAIR_S,
            Message::SurfacePosition(m) => match m.movement.knots(Version::Zero) {
                Some((_, most)) if most <= SURFACE_FAST_KT => SURFACE_SLOW_PAIR_S,
                _ => SURFACE_FAST_PAIR_S,
            },
            _ => return None,
        };
        let (word, grid) = match &message {
            Message::AirbornePosition(m) => (m.word(), Grid::Airborne),
            Message::SurfacePosition(m) => (m.word(), Grid::Surface),
            _ => return None,
        };
        self.positions += 1;
        if time.is_some() {
            self.first_position_s = self.first_position_s.or(time);
            self.last_position_s = time;
        }
        let now = Heard { word, grid, time, number: self.positions };
        let partner = self.words[usize::from(!word.odd)];
        self.words[usize::from(word.odd)] = Some(now);
        let found = partner
            .and_then(|partner| self.pair(partner, now, pair_s, reference))
            .or_else(|| self.local(now, reference));
        if let Some((position, _)) = found {
            self.last = Some((position, time));
        }
        found
    }

    fn hear_version(&mut self, number: crate::code::VersionNumber) -> Option<(Position, Method)> {
        self.version = Some(crate::code::Bits::bits(number) as u8);
        None
    }

    fn pair(&self, partner: Heard, now: Heard, pair_s: f64, reference: Option<Position>) -> Option<(Position, Method)> {
        let method = match (partner.time, now.time) {
            (Some(then), Some(time)) if (0.0..=pair_s).contains(&(time - then)) => Method::Global,
            (None, None) if partner.number + 1 == now.number => Method::GlobalUntimed,
            _ => return None,
        };
        if partner.grid != now.grid {
            return None;
        }
        // The aircraft's own last position says more than the site.
        let reference = self.last.map(|(position, _)| position).or(reference);
        global(partner.word, now.word, now.grid, reference).ok().map(|pair| (pair.position, method))
    }

    fn local(&self, now: Heard, reference: Option<Position>) -> Option<(Position, Method)> {
        let recent = self.last.filter(|(_, then)| {
            matches!((then, now.time), (Some(then), Some(time)) if (0.0..=LAST_POSITION_S).contains(&(time - then)))
        });
        let reference = recent.map(|(position, _)| position).or(reference)?;
        Some((now.word.local(reference, now.grid), Method::Local))
    }
}
