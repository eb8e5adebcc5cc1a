//! TIS-B fine position, airborne and on the ground: format 18, control fields 2 and 5. One bit differs from what an
//! aircraft sends: the place of the IMF (from memory).

use super::airborne_position::{GEOMETRIC_HEIGHT, NIC_WITHOUT_B, PRESSURE_ALTITUDE};
use super::surface_position::TRACK;
use super::{AirbornePosition, SurfacePosition, position};
use crate::code::table::table;
use crate::code::{Altitude12, Angle7, CprFormat, Flag, Movement, Number, Reserved, SurveillanceStatus, TypeCode};

table! {
    /// Where a ground station sees an aircraft in the air: TIS-B, type codes 9 to 18 and 20 to 22.
    TisBAirbornePosition: u64, 56 bits = "airborne_position", "TIS-B airborne position",
    when "format 18, control fields 2 and 5, type codes 9 to 18 and 20 to 22",
    template 11 << 51;
    1..=5 type_code: TypeCode => "type_code", "Type code: radius of containment and kind of altitude", "D192 H3 H7";
    6..=7 surveillance_status: SurveillanceStatus => "surveillance_status", "Alert or ident", "A3-64 H3";
    8..=8 imf: Number<1> => "imf", "IMF: with the control field it says what the address is", "memory";
    9..=20 altitude: Altitude12, "Altitude: pressure altitude for type codes 9 to 18, geometric height for 20 to 22", "A3-64 H3";
    21..=21 reserved_21_21: Reserved<1>, "Zero: no time bit in TIS-B", "memory";
    22..=22 cpr_format: CprFormat => "cpr_format", "Even or odd position grid", "A3-64 D202 H3";
    23..=39 cpr_latitude: Number<17> => "cpr_latitude", "Place of the latitude in its cell", "A3-64 H3";
    40..=56 cpr_longitude: Number<17> => "cpr_longitude", "Place of the longitude in its cell", "A3-64 H3";
    derived [
        PRESSURE_ALTITUDE, GEOMETRIC_HEIGHT, NIC_WITHOUT_B, position::latitude::<AirbornePosition>(),
        position::longitude::<AirbornePosition>(),
    ]
}

table! {
    /// Where a ground station sees an aircraft on the ground: TIS-B, type codes 5 to 8.
    TisBSurfacePosition: u64, 56 bits = "surface_position", "TIS-B surface position",
    when "format 18, control fields 2 and 5, type codes 5 to 8",
    template 7 << 51;
    1..=5 type_code: TypeCode => "type_code", "Type code: radius of containment", "D192 H4 H7";
    6..=12 movement: Movement => "ground_speed_kt", "Movement: ground speed, as the lower edge of its range", "H4 A3-52";
    13..=13 track_status: Flag => "track_valid", "Whether the direction holds", "D143 A3-52 H4";
    14..=20 track: Angle7, "Ground track or heading", "D143 D202 A3-52 H4";
    21..=21 imf: Number<1> => "imf", "IMF: with the control field it says what the address is", "memory";
    22..=22 cpr_format: CprFormat => "cpr_format", "Even or odd position grid", "A3-52 D202 H4";
    23..=39 cpr_latitude: Number<17> => "cpr_latitude", "Place of the latitude in its cell", "H4";
    40..=56 cpr_longitude: Number<17> => "cpr_longitude", "Place of the longitude in its cell", "H4";
    derived [TRACK, position::latitude::<SurfacePosition>(), position::longitude::<SurfacePosition>()]
}
