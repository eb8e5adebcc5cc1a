//! Surface position: type codes 5 to 8, register 0,6.

use super::position;
use crate::code::table::{Derived, table};
use crate::code::{Angle7, Code, CprFormat, Flag, Meaning, Movement, Number, TypeCode, number};

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

fn read(pattern: u128) -> SurfacePosition {
    SurfacePosition::from_bits(pattern as u64)
}

pub(super) const TRACK: Derived = Derived::new(
    "track_deg",
    "Ground track (versions 1 and 2: or heading, as the operational status says), clockwise from north",
    |pattern, version| {
        let message = read(pattern);
        Some(if message.track_status.is_set() { message.track.meaning(version) } else { Meaning::none("not valid") })
    },
)
.written(|wanted, pattern| {
    let track = number(wanted.get("track_deg").unwrap_or_default()).and_then(Angle7::from_degrees)?;
    Ok(SurfacePosition { track, track_status: Flag::YES, ..read(pattern) }.bits().into())
});

const NUCP: Derived = Derived::new("nucp", "Navigation uncertainty category (version 0)", |pattern, version| {
    position::uncertainty(read(pattern).type_code, version)
});

const NIC: Derived = Derived::new(
    "nic",
    "Navigation integrity category, where it does not hang on the supplements of the operational status",
    |pattern, version| position::integrity(read(pattern).type_code, None, version),
);

position::carries!(SurfacePosition, Surface);
