//! TIS-B coarse position: format 18, control field 3 (Doc 9871 draft, page 186; step of the track and codes of the speed
//! from memory). It has no type code.

use super::position;
use crate::code::table::{Derived, table};
use crate::code::{
    Altitude12, Angle5, CoarseSpeed, Code, CprFormat, Flag, Meaning, MeaningKind, Number, SurveillanceStatus, number,
};

table! {
    /// Where a ground station sees an aircraft, coarsely: position words of 12 bits.
    TisBCoarsePosition: u64, 56 bits = "tis_b_coarse_position", "TIS-B coarse position",
    when "format 18, control field 3",
    template 0;
    1..=1 imf: Number<1> => "imf", "IMF: 0 24-bit aircraft address, 1 Mode A code and track file (meaning from memory)", "D186 memory";
    2..=3 surveillance_status: SurveillanceStatus => "surveillance_status", "Alert or ident", "D186";
    4..=7 service_volume: Number<4> => "service_volume", "Which service volume the station serves", "D186";
    8..=19 altitude: Altitude12 => "pressure_altitude_ft", "Pressure altitude", "D186";
    20..=20 track_status: Flag => "track_valid", "Whether the track holds", "D186";
    21..=25 track: Angle5, "Track over the ground", "D186 memory";
    26..=31 ground_speed: CoarseSpeed => "ground_speed_kt", "Ground speed, as the lower edge of its range", "D186 memory";
    32..=32 cpr_format: CprFormat => "cpr_format", "Even or odd position grid", "D186";
    33..=44 cpr_latitude: Number<12> => "cpr_latitude", "Place of the latitude in its cell, 12 bits", "D186";
    45..=56 cpr_longitude: Number<12> => "cpr_longitude", "Place of the longitude in its cell, 12 bits", "D186";
    derived [TRACK, position::latitude::<TisBCoarsePosition>(), position::longitude::<TisBCoarsePosition>()]
}

fn read(pattern: u128) -> TisBCoarsePosition {
    TisBCoarsePosition::from_bits(pattern as u64)
}

const TRACK: Derived = Derived::new(
    "track_deg",
    "Track over the ground, clockwise from north",
    MeaningKind::Decimal,
    |pattern, version| {
        let message = read(pattern);
        Some(if message.track_status.is_set() { message.track.meaning(version) } else { Meaning::none("not valid") })
    },
)
.written(|wanted, pattern| {
    let track = number(wanted.get("track_deg").unwrap_or_default()).and_then(Angle5::from_degrees)?;
    Ok(TisBCoarsePosition { track, track_status: Flag::YES, ..read(pattern) }.bits().into())
})
.shown_back(|wanted, pattern| {
    read(pattern).track.steps_to(wanted.get("track_deg").unwrap_or_default(), wanted.version)
});

position::carries!(TisBCoarsePosition, Coarse);
