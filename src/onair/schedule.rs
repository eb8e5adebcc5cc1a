//! Lists how often each squitter goes out, in every condition: one table, from which the rehearsal and every judgement
//! of intervals follow.

use super::{Emission, Format, TRANSMISSIONS, Transmission, When};
use crate::message::NoPosition;

/// A kind of squitter with a rhythm of its own. The interval counts from the last of the same kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stream {
    /// The acquisition squitter, format 11.
    Acquisition,
    /// Airborne and surface positions, or the message of no position.
    Position,
    /// Airborne velocity.
    Velocity,
    /// Aircraft identification.
    Identification,
    /// Emergency state and Mode A code.
    AircraftStatus,
    /// Operational status.
    OperationalStatus,
    /// Target state and status.
    TargetState,
}

impl Stream {
    /// Every kind.
    pub const ALL: [Self; 7] = [
        Self::Acquisition,
        Self::Position,
        Self::Velocity,
        Self::Identification,
        Self::AircraftStatus,
        Self::OperationalStatus,
        Self::TargetState,
    ];

    /// The kind of an emission; `None` for replies.
    pub fn of(emission: &Emission) -> Option<Self> {
        emission.transmission.stream()
    }

    /// Its messages, in the air and on the ground, in words.
    ///
    /// ```
    /// use squitterlab::onair::Stream;
    /// assert_eq!(Stream::Position.words(), "airborne position, surface position");
    /// assert_eq!(Stream::Velocity.words(), "airborne velocity");
    /// ```
    pub fn words(self) -> String {
        let kinds = SquitterKind::ALL.into_iter().filter(|kind| kind.stream == self);
        let mut names: Vec<String> = kinds.map(|kind| kind.message().replace('_', " ")).collect();
        names.dedup();
        names.join(", ")
    }

    /// Whether it counts against the limit of status and event-driven messages.
    pub const fn is_status(self) -> bool {
        matches!(self, Self::AircraftStatus | Self::OperationalStatus | Self::TargetState)
    }
}

/// What one state sends in a rhythm of its own. Without a position, type code 0 is sent in its place.
///
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct SquitterKind {
    /// What goes out.
    pub stream: Stream,
    /// In the air or on the ground.
    pub when: When,
}

impl SquitterKind {
    /// Every kind.
    pub const ALL: [Self; 12] = {
        use When::{Airborne, OnGround};
        const fn kind(stream: Stream, when: When) -> SquitterKind {
            SquitterKind { stream, when }
        }
        [
            kind(Stream::Position, Airborne),
            kind(Stream::Position, OnGround),
            kind(Stream::Velocity, Airborne),
            kind(Stream::Identification, Airborne),
            kind(Stream::Identification, OnGround),
            kind(Stream::AircraftStatus, Airborne),
            kind(Stream::AircraftStatus, OnGround),
            kind(Stream::TargetState, Airborne),
            kind(Stream::OperationalStatus, Airborne),
            kind(Stream::OperationalStatus, OnGround),
            kind(Stream::Acquisition, Airborne),
            kind(Stream::Acquisition, OnGround),
        ]
    };

    /// The kind of an emission; `None` for replies. Without an air/ground input everything is sent as in the air.
    pub fn of(emission: &Emission) -> Option<Self> {
        let when = if emission.when == When::OnGround { When::OnGround } else { When::Airborne };
        Stream::of(emission).map(|stream| Self { stream, when })
    }

    /// The message's name.
    pub fn message(self) -> &'static str {
        let other = if self.when == When::OnGround { Format::Airborne } else { Format::Surface };
        let is_it = |transmission: &&Transmission| {
            transmission.stream() == Some(self.stream)
                && transmission.format != other
                && transmission.table() != NoPosition::TABLE
        };
        TRANSMISSIONS.iter().find(is_it).map_or("", |transmission| transmission.table().message)
    }

    /// Every interval that the standard gives it, whatever else holds.
    pub fn intervals(self) -> Vec<&'static Interval> {
        intervals_of(self.stream, self.when != When::OnGround, false)
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
    pub fn slowest_s(self) -> Option<f64> {
        let slowest = self.intervals().into_iter().max_by_key(|interval| interval.window_ms.1)?;
        Some(f64::from(slowest.window_ms.0 + slowest.window_ms.1) / 2000.0)
    }
}

/// What decides the rhythm.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Condition {
    /// Airborne formats go out, not surface ones.
    pub airborne: bool,
    /// On the surface: it moves, or moved less than `LOW_RATE_AFTER_MS` ago.
    pub moving: bool,
    /// An emergency is on.
    pub emergency: bool,
    /// The Mode A code changed less than `CHANGED_FOR_MS` ago.
    pub mode_a_changed: bool,
    /// The Mode A code is the one that means that no code is used.
    pub mode_a_unused: bool,
    /// NIC supplements, NACp or SIL changed less than `CHANGED_FOR_MS` ago.
    pub quality_changed: bool,
    /// Target states go out.
    pub target_state: bool,
    /// The unit is of version 0 or 1.
    pub before_version_2: bool,
}

/// One line of the table.
#[derive(Clone, Copy, Debug)]
pub struct Interval {
    /// What goes out.
    pub stream: Stream,
    /// When the line holds, in words.
    pub when: &'static str,
    /// Shortest and longest interval in milliseconds; every one between is as likely.
    pub window_ms: (u32, u32),
    /// Where it comes from, and what of it only memory supports.
    pub source: &'static str,
    holds: fn(&Condition) -> bool,
}

/// How long a change of status or Mode A code is sent faster (24 s: handbook; the tolerance of 1 s from memory).
pub const CHANGED_FOR_MS: u64 = 24_000;
/// On the surface the rate falls after this long in one place (Doc 9871 draft, page 249).
pub const LOW_RATE_AFTER_MS: u64 = 30_000;
/// One place: positions no further apart (Doc 9871 draft, page 249; that the rate rises again from here is from memory).
pub const ONE_PLACE_M: f64 = 10.0;
/// Status and event-driven messages in any 60 s (2 a second: Doc 9871 draft, page 209).
pub const MOST_STATUS_IN_60_S: u32 = 120;
/// Extended squitters in any 60 s (6.2 a second: from memory).
pub const MOST_IN_60_S: u32 = 372;

const RATE: &str =
    "mean rate: handbook, ADS-B part, chapter 1; limits around it from memory of Annex 10 IV 3.1.2.8.6.4";

const fn interval(
    stream: Stream,
    when: &'static str,
    window_ms: (u32, u32),
    source: &'static str,
    holds: fn(&Condition) -> bool,
) -> Interval {
    Interval { stream, when, window_ms, source, holds }
}

/// Every interval; those of version 2 where nothing else is said. Of several lines that hold, the first counts.
pub static INTERVALS: &[Interval] = &[
    interval(Stream::Acquisition, "always", (800, 1200), "from memory of Annex 10 IV 3.1.2.8.5", |_| true),
    interval(Stream::Position, "in the air", (400, 600), RATE, |now| now.airborne),
    interval(Stream::Position, "on the surface, moving", (400, 600), RATE, |now| now.moving),
    interval(Stream::Position, "on the surface, not moving", (4800, 5200), RATE, |_| true),
    interval(Stream::Velocity, "in the air", (400, 600), RATE, |now| now.airborne),
    interval(Stream::Identification, "in the air, or on the surface and moving", (4800, 5200), RATE, |now| {
        now.airborne || now.moving
    }),
    interval(Stream::Identification, "on the surface, not moving", (9800, 10_200), RATE, |_| true),
    // Until version 2 the message has no Mode A code, and goes out only while there is an emergency.
    interval(
        Stream::AircraftStatus,
        "versions 0 and 1, while an emergency is on",
        (900, 1100),
        "once per second: Annex 10 III, pages 54 and 75, and Doc 9871 draft, page 172; limits: tool default",
        |now| now.before_version_2 && now.emergency,
    ),
    interval(Stream::AircraftStatus, "while an emergency is on", (700, 900), "from memory", |now| {
        now.emergency && !now.before_version_2
    }),
    interval(
        Stream::AircraftStatus,
        "24 s after the Mode A code changed",
        (700, 900),
        "mean rate: handbook, ADS-B part, chapter 1; 24 s and limits from memory",
        |now| now.mode_a_changed && !now.mode_a_unused && !now.before_version_2,
    ),
    // Without an emergency nothing is sent while the Mode A code is 1000 (from memory).
    interval(Stream::AircraftStatus, "no change, no emergency", (4800, 5200), RATE, |now| {
        !now.mode_a_unused && !now.before_version_2
    }),
    interval(
        Stream::OperationalStatus,
        "in the air without target states, 24 s after quality changed",
        (700, 900),
        "condition: Doc 9871 draft, page 218; mean rate and 24 s: handbook; limits from memory",
        |now| now.airborne && now.quality_changed && !now.target_state,
    ),
    interval(Stream::OperationalStatus, "in the air, no change or with target states", (2400, 2600), RATE, |now| {
        now.airborne
    }),
    interval(
        Stream::OperationalStatus,
        "on the surface and moving, 24 s after quality changed",
        (700, 900),
        RATE,
        |now| now.moving && now.quality_changed,
    ),
    interval(Stream::OperationalStatus, "on the surface and moving, no change", (2400, 2600), RATE, |now| now.moving),
    interval(
        Stream::OperationalStatus,
        "on the surface, not moving",
        (4800, 5200),
        "condition: Doc 9871 draft, page 218; mean rate: handbook; limits from memory",
        |_| true,
    ),
    interval(Stream::TargetState, "in the air", (1200, 1300), "Doc 9871 draft, pages 209 and 319", |now| {
        now.airborne && now.target_state
    }),
];

/// Every line that can hold for a kind in one state, in some condition.
pub fn intervals_of(stream: Stream, airborne: bool, before_version_2: bool) -> Vec<&'static Interval> {
    let mut found: Vec<&'static Interval> = Vec::new();
    for bits in 0..32 {
        let bit = |at: u8| bits >> at & 1 == 1;
        let now = Condition {
            airborne,
            moving: !airborne && bit(0),
            emergency: bit(1),
            mode_a_changed: bit(2),
            quality_changed: bit(3),
            target_state: bit(4),
            mode_a_unused: false,
            before_version_2,
        };
        if let Some(interval) = interval_of(stream, &now)
            && !found.iter().any(|known| std::ptr::eq(*known, interval))
        {
            found.push(interval);
        }
    }
    found
}

/// The line that holds; `None` if nothing of this kind goes out.
pub fn interval_of(stream: Stream, now: &Condition) -> Option<&'static Interval> {
    INTERVALS.iter().find(|interval| interval.stream == stream && (interval.holds)(now))
}

/// The longest time between two frames of this kind, in seconds, with every one received; none for replies.
///
/// On the ground the figure is that of a parked aircraft.
pub fn longest_interval_s(emission: &Emission) -> Option<f64> {
    let stream = Stream::of(emission)?;
    // Without an air/ground input airborne formats go out on the ground too.
    let only_airborne = emission.transmission.format == Format::Airborne;
    let now = Condition {
        airborne: emission.when != When::OnGround || only_airborne,
        target_state: true,
        ..Condition::default()
    };
    interval_of(stream, &now).map(|interval| f64::from(interval.window_ms.1) / 1000.0)
}
