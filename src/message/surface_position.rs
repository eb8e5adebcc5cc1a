//! Surface position: type codes 5 to 8, register 0,6.

use super::position;
use crate::code::compact_position::{Grid, Position, Word};
use crate::code::table::{Derived, table};
use crate::code::{
    Angle7, Code, CodeError, CprFormat, Flag, Meaning, MeaningKind, Movement, Number, TypeCode, Version, number,
};

table! {
    /// Where the aircraft is on the ground, and how it moves: type codes 5 to 8.
    SurfacePosition: u64, 56 bits = "surface_position", "surface position",
    when "type codes 5 to 8",
    template 7 << 51;
    1..=5 type_code: TypeCode => "type_code", "Type code: radius of containment", "D192 H4 H7";
    6..=12 movement: Movement => "ground_speed_kt", "Movement: ground speed, as the lower edge of its range", "H4 A3-52";
    13..=13 track_status: Flag => "track_valid", "Whether the direction holds", "D143 A3-52 H4";
    14..=20 track: Angle7, "Ground track or heading", "D143 D202 A3-52 H4";
    21..=21 utc_synchronised: Flag => "utc_synchronised", "Time bit: the position belongs to a 0.2 s UTC epoch", "A3-52 H4";
    22..=22 cpr_format: CprFormat => "cpr_format", "Even or odd position grid", "A3-52 D202 H4";
    23..=39 cpr_latitude: Number<17> => "cpr_latitude", "Place of the latitude in its cell", "H4";
    40..=56 cpr_longitude: Number<17> => "cpr_longitude", "Place of the longitude in its cell", "H4";
    derived [
        TRACK, NUCP, NIC, position::latitude::<SurfacePosition>(), position::longitude::<SurfacePosition>(),
    ]
}

impl SurfacePosition {
    /// Type code 7, the position and movement in it.
    ///
    /// ```
    /// use squitterlab::{code::{CprFormat, Version}, cpr::Position, message::SurfacePosition};
    /// let here = Position { latitude_deg: 52.3, longitude_deg: 4.77 };
    /// let message = SurfacePosition::new(here, 17.0, 90.0, CprFormat::ODD, Version::Two).unwrap();
    /// assert_eq!((message.ground_speed_kt(Version::Two), message.track_deg()), (Some(16.0), Some(90.0)));
    /// assert!(message.position_near(here).distance_nm(here) < 0.01);
    /// ```
    ///
    /// # Errors
    /// [`CodeError`] for a speed or track without a code, or a latitude beyond a pole.
    pub fn new(
        position: Position,
        ground_speed_kt: f64,
        track_deg: f64,
        format: CprFormat,
        version: Version,
    ) -> Result<Self, CodeError> {
        let word = Word::encode(position, format == CprFormat::ODD, Grid::Surface)?;
        let empty = Self {
            movement: Movement::from_knots(ground_speed_kt, version)?,
            track_status: Flag::YES,
            track: Angle7::from_degrees(track_deg)?,
            cpr_format: format,
            ..Self::from_bits(Self::TABLE.template as u64)
        };
        Ok(Self::from_bits(position::Carries::with_word(empty, word)))
    }

    /// The position, if the aircraft is within 45 NM of a reference.
    ///
    /// ```
    /// use squitterlab::{cpr::Position, message::SurfacePosition};
    /// let message = SurfacePosition::from_bits(0x3A9A153237AEF0);
    /// let found = message.position_near(Position { latitude_deg: 51.99, longitude_deg: 4.375 });
    /// assert!((found.latitude_deg - 52.3206).abs() < 2e-3 && (found.longitude_deg - 4.7347).abs() < 2e-3);
    /// ```
    pub fn position_near(&self, reference: Position) -> Position {
        position::Carries::word(self).local(reference, Grid::Surface)
    }

    /// The position on this message's grid, for [`cpr::global`](crate::cpr::global) with one of the other grid.
    ///
    /// ```
    /// use squitterlab::message::SurfacePosition;
    /// assert!(!SurfacePosition::from_bits(0x3AAB238733C8CD).word().odd);
    /// ```
    pub fn word(&self) -> Word {
        position::Carries::word(self)
    }

    /// Lower edge of the range of ground speed, in knots; `None` for no data and for reserved codes.
    ///
    /// ```
    /// use squitterlab::{code::Version, message::SurfacePosition};
    /// assert_eq!(SurfacePosition::from_bits(0x3A9A153237AEF0).ground_speed_kt(Version::Two), Some(17.0));
    /// ```
    pub fn ground_speed_kt(&self, version: Version) -> Option<f64> {
        self.movement.knots(version).map(|(low, _)| low)
    }

    /// Ground track (or heading, as the operational status says) in degrees; `None` if it does not hold.
    ///
    /// ```
    /// use squitterlab::message::SurfacePosition;
    /// assert_eq!(SurfacePosition::from_bits(0x3A9A153237AEF0).track_deg(), Some(92.8125));
    /// ```
    pub fn track_deg(&self) -> Option<f64> {
        self.track_status.is_set().then(|| self.track.degrees())
    }
}

fn read(pattern: u128) -> SurfacePosition {
    SurfacePosition::from_bits(pattern as u64)
}

pub(super) const TRACK: Derived = Derived::new(
    "track_deg",
    "Ground track (versions 1 and 2: or heading, as the operational status says), clockwise from north",
    MeaningKind::Decimal,
    |pattern, version| {
        let message = read(pattern);
        Some(if message.track_status.is_set() { message.track.meaning(version) } else { Meaning::none("not valid") })
    },
)
.written(|wanted, pattern| {
    let track = number(wanted.get("track_deg").unwrap_or_default()).and_then(Angle7::from_degrees)?;
    Ok(SurfacePosition { track, track_status: Flag::YES, ..read(pattern) }.bits().into())
})
.shown_back(|wanted, pattern| {
    read(pattern).track.steps_to(wanted.get("track_deg").unwrap_or_default(), wanted.version)
});

const NUCP: Derived =
    Derived::new("nucp", "Navigation uncertainty category (version 0)", MeaningKind::Integer, |pattern, version| {
        position::uncertainty(read(pattern).type_code, version)
    })
    .varying();

const NIC: Derived = Derived::new(
    "nic",
    "Navigation integrity category, where it does not depend on the supplements of the operational status",
    MeaningKind::Integer,
    |pattern, version| position::integrity(read(pattern).type_code, None, version),
)
.varying();

position::carries!(SurfacePosition, Surface);
