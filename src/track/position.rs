//! Finds positions across frames: pairs with their time limits, single frames near a known place, and what is too far
//! to be true.

use super::seconds_between;
use crate::code::compact_position::{Grid, PairError, Position, Word, global};
use crate::code::{Step, Version, position_steps};
use crate::downlink::Decoded;
use crate::message::position::Carries;
use crate::message::{AirbornePosition, Message, SurfacePosition, TisBCoarsePosition};

/// Pairs in the air hold for 10 s, about 3 NM of flight (Doc 9871 draft, page 59; handbook, chapter 3).
const AIRBORNE_PAIR_S: f64 = 10.0;
const AIRBORNE_PAIR_NM: f64 = 3.0;
/// Pairs on the surface hold for 50 s, or 25 s above 25 kt or at an unknown speed, and within 0.75 NM (from memory).
const SURFACE_SLOW_PAIR_S: f64 = 50.0;
const SURFACE_FAST_PAIR_S: f64 = 25.0;
const SURFACE_FAST_KT: f64 = 25.0;
const SURFACE_PAIR_NM: f64 = 0.75;
/// A last position is a reference for this long (handbook, chapter 3, says 10 s where no speed is known).
const LAST_POSITION_S: f64 = 10.0;
/// A position within 30 s of the last lies within 6 NM of it in the air, on the surface within 2.5 NM or, below 25 kt,
/// 0.75 NM (from memory of DO-260B 2.2.10, which says it of single frames; holding pairs to it too is our choice).
const JUMP_S: f64 = 30.0;
const AIRBORNE_JUMP_NM: f64 = 6.0;
const SURFACE_FAST_JUMP_NM: f64 = 2.5;
const SURFACE_SLOW_JUMP_NM: f64 = 0.75;

/// How a position was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
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
    ///
    /// ```
    /// use squitterlab::track::Method;
    /// assert_eq!(Method::GlobalUntimed.key(), "global_untimed");
    /// ```
    pub const fn key(self) -> &'static str {
        match self {
            Self::Global => "global",
            Self::GlobalUntimed => "global_untimed",
            Self::Local => "local",
        }
    }
}

/// What a position was found from, for showing how.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum Basis {
    /// An even and an odd word; on the surface with a reference.
    Pair {
        /// The older word.
        older: Word,
        /// The newest word, which the position belongs to.
        newest: Word,
        /// Their grid.
        grid: Grid,
        /// What decides among the places that fit.
        reference: Option<Position>,
    },
    /// One word near a reference.
    Near {
        /// The word.
        word: Word,
        /// Its grid.
        grid: Grid,
        /// The given reference, or the aircraft's last position.
        reference: Position,
    },
}

impl Basis {
    /// The arithmetic.
    ///
    /// ```
    /// use squitterlab::cpr::{Grid, Position, Word};
    /// use squitterlab::track::Basis;
    /// let here = Position { latitude_deg: 47.26, longitude_deg: 11.34 };
    /// let word = Word::encode(here, false, Grid::Airborne).unwrap();
    /// let basis = Basis::Near { word, grid: Grid::Airborne, reference: here };
    /// assert!(basis.steps().iter().any(|step| step.result == "47.259979 deg"));
    /// ```
    pub fn steps(&self) -> Vec<Step> {
        match *self {
            Self::Pair { older, newest, grid, reference } => position_steps::pair(older, newest, grid, reference),
            Self::Near { word, grid, reference } => position_steps::near(word, grid, reference),
        }
    }
}

/// Why a position message gives no position although there was something to find it from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum Refusal {
    /// The even and the odd word do not give one.
    #[error(transparent)]
    Pair(#[from] PairError),
    /// An aircraft cannot have flown from the one word to the other.
    #[error(
        "the even and the odd word lie farther apart than an aircraft moves in between (3 NM; on the ground 0.75 NM)"
    )]
    WordsApart,
    /// The place nearest to the reference is out of its reach.
    #[error(
        "no place that fits lies within reach of the reference (180 NM; on the ground 45 NM); give one nearer to the aircraft"
    )]
    OutOfReach,
    /// It does not go on from the last position.
    #[error(
        "too far from the position less than 30 s before (6 NM; on the ground 2.5 NM, or 0.75 NM below 25 kt); \
         a second one there would be believed"
    )]
    Jump,
}

/// A position message's word, with what decides how long it holds.
#[derive(Clone, Copy, Debug)]
pub(super) struct Heard {
    word: Word,
    grid: Grid,
    /// On the surface at no more than 25 kt.
    slow: bool,
    time: Option<f64>,
    number: u64,
}

/// The word and grid of a position message, and whether it is of a slow aircraft on the surface.
fn word_of(message: &Message) -> Option<(Word, Grid, bool)> {
    match message {
        Message::AirbornePosition(m) => Some((m.word(), Grid::Airborne, false)),
        Message::SurfacePosition(m) => {
            let slow = m.movement.knots(Version::Zero).is_some_and(|(_, most)| most <= SURFACE_FAST_KT);
            Some((m.word(), Grid::Surface, slow))
        }
        _ => None,
    }
}

/// The word and grid of a position that a ground station sends of an aircraft.
fn relayed_word(decoded: &Decoded) -> Option<(Word, Grid)> {
    let payload = decoded.payload.filter(|_| decoded.frame.downlink_format() == 18)?;
    let (message, bits) = (payload.table.message, payload.bits);
    if message == TisBCoarsePosition::TABLE.message {
        Some((TisBCoarsePosition::from_bits(bits).word(), Grid::Coarse))
    } else if message == AirbornePosition::TABLE.message {
        Some((AirbornePosition::from_bits(bits).word(), Grid::Airborne))
    } else {
        (message == SurfacePosition::TABLE.message).then(|| (SurfacePosition::from_bits(bits).word(), Grid::Surface))
    }
}

/// Where a ground station sees an aircraft, near a given reference. Nothing is remembered of it: its address can be that
/// of a track and not of an aircraft, so that two of its words need not be of one flight.
pub(super) fn relayed(decoded: &Decoded, reference: Option<Position>) -> Found {
    let (word, grid) = relayed_word(decoded)?;
    Some(near(word, grid, reference?))
}

/// The place of one word that is nearest to a reference, unless that is out of its reach.
fn near(word: Word, grid: Grid, reference: Position) -> Result<Located, Refusal> {
    let position = word.local(reference, grid);
    if position.is_within_nm(reference, grid.reach_nm()) {
        Ok(Located { position, method: Method::Local, basis: Basis::Near { word, grid, reference } })
    } else {
        Err(Refusal::OutOfReach)
    }
}

#[derive(Clone, Copy, Debug)]
struct Fix {
    position: Position,
    time: Option<f64>,
    grid: Grid,
    /// Of its newest word.
    number: u64,
}

/// What is remembered of an aircraft's positions.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct PositionMemory {
    count: u64,
    /// The latest even and odd word.
    words: [Option<Heard>; 2],
    last: Option<Fix>,
    /// A position that does not go on from the last one: a second one there takes over.
    rival: Option<Fix>,
}

/// A position, or why there is none; nothing if there was nothing to find it from.
pub(super) type Found = Option<Result<Located, Refusal>>;

/// Where, how, and from what.
#[derive(Clone, Copy, Debug)]
pub(super) struct Located {
    pub position: Position,
    pub method: Method,
    pub basis: Basis,
}

/// Seconds from one time to a later one, where there are both.
fn seconds_since(then: Option<f64>, now: Option<f64>) -> Option<f64> {
    Some(seconds_between(then?, now?)).filter(|seconds| *seconds >= 0.0)
}

impl PositionMemory {
    /// Takes a message in. Nothing for messages without a position word.
    pub fn observe(&mut self, message: &Message, time: Option<f64>, reference: Option<Position>) -> Found {
        let (word, grid, slow) = word_of(message)?;
        self.count += 1;
        let now = Heard { word, grid, slow, time, number: self.count };
        let partner = self.words[usize::from(!word.odd)];
        self.words[usize::from(word.odd)] = Some(now);
        let pair = partner.and_then(|partner| Some((self.pair(partner, now, reference)?, partner.number)));
        let pair = pair.map(|(found, since)| found.and_then(|found| self.accept(found, since, now)));
        if let Some(Ok(_)) = pair {
            return pair;
        }
        let alone = self.local(now, reference);
        let alone = alone.map(|found| found.and_then(|found| self.accept(found, now.number, now)));
        if let Some(Ok(_)) = alone { alone } else { pair.or(alone) }
    }

    fn pair(&self, partner: Heard, now: Heard, reference: Option<Position>) -> Found {
        let (most_s, most_nm) = match now.grid {
            Grid::Airborne | Grid::Coarse => (AIRBORNE_PAIR_S, AIRBORNE_PAIR_NM),
            Grid::Surface if now.slow && partner.slow => (SURFACE_SLOW_PAIR_S, SURFACE_PAIR_NM),
            Grid::Surface => (SURFACE_FAST_PAIR_S, SURFACE_PAIR_NM),
        };
        let method = match (partner.time, now.time) {
            (Some(then), Some(time)) if (0.0..=most_s).contains(&seconds_between(then, time)) => Method::Global,
            (None, None) if partner.number + 1 == now.number => Method::GlobalUntimed,
            _ => return None,
        };
        if partner.grid != now.grid {
            return None;
        }
        // The aircraft's own fresh position says more than the site, an old one less.
        let own = self.last.filter(|last| match (last.time, now.time) {
            (Some(then), Some(time)) => (0.0..=JUMP_S).contains(&seconds_between(then, time)),
            (None, None) => true,
            _ => false,
        });
        let near = own.map(|last| last.position).or(reference).or(self.last.map(|last| last.position));
        let found = global(partner.word, now.word, now.grid, near).map_err(Refusal::from).and_then(|pair| {
            let position = pair.position;
            let older = partner.word.local(position, now.grid);
            // The places that fit a surface pair lie 90 degrees apart, so one in reach is the one.
            let out_of_reach = |near| now.grid == Grid::Surface && !position.is_within_nm(near, now.grid.reach_nm());
            if !older.is_within_nm(position, most_nm) {
                Err(Refusal::WordsApart)
            } else if near.is_some_and(out_of_reach) {
                Err(Refusal::OutOfReach)
            } else {
                let basis = Basis::Pair { older: partner.word, newest: now.word, grid: now.grid, reference: near };
                Ok(Located { position, method, basis })
            }
        });
        Some(found)
    }

    fn local(&self, now: Heard, reference: Option<Position>) -> Found {
        let recent = self.last.filter(|last| seconds_since(last.time, now.time).is_some_and(|s| s <= LAST_POSITION_S));
        let reference = recent.map(|last| last.position).or(reference)?;
        Some(near(now.word, now.grid, reference))
    }

    /// Takes a position that was found from the words since number `since`, unless it does not go on from the last.
    fn accept(&mut self, found: Located, since: u64, now: Heard) -> Result<Located, Refusal> {
        let fix = Fix { position: found.position, time: now.time, grid: now.grid, number: now.number };
        let most_nm = |before: Fix| match (before.grid, now.grid) {
            (Grid::Surface, Grid::Surface) if now.slow => SURFACE_SLOW_JUMP_NM,
            (Grid::Surface, Grid::Surface) => SURFACE_FAST_JUMP_NM,
            _ => AIRBORNE_JUMP_NM,
        };
        let recent = |fix: &Fix| seconds_since(fix.time, now.time).is_some_and(|seconds| seconds <= JUMP_S);
        let goes_on = |before: Fix| before.position.is_within_nm(fix.position, most_nm(before));
        let last = self.last.filter(recent);
        let rival = self.rival.filter(|rival| recent(rival) && goes_on(*rival));
        // A word from elsewhere makes two bad pairs, with the one before and the one after it: they count once.
        if last.is_none_or(goes_on) || rival.is_some_and(|rival| rival.number < since) {
            self.last = Some(fix);
            self.rival = None;
            return Ok(found);
        }
        self.rival = rival.or(Some(fix));
        Err(Refusal::Jump)
    }
}
