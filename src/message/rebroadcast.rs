//! ADS-R: what another link's aircraft sent, repeated by a ground station in format 18, control field 6. The message
//! stays as it was, but for the one bit that becomes the IMF (all of it from memory).

use super::airborne_position::{GEOMETRIC_HEIGHT, NIC_WITHOUT_B, PRESSURE_ALTITUDE};
use super::{
    AcasResolutionAdvisory, AirbornePosition, AirborneVelocityAir, AirborneVelocityGround, AircraftStatus,
    OperationalStatusAirborne, OperationalStatusAirborneVersion1, OperationalStatusSurface,
    OperationalStatusSurfaceVersion1, SurfacePosition, TargetState, TargetStateVersion1, position,
};
use crate::code::acas::{ADVISORY, COMPLEMENTS, THREAT_ADDRESS, THREAT_ALTITUDE, THREAT_RANGE};
use crate::code::table::{Derived, Row, Table, names, row, rows_with, table};
use crate::code::{Altitude12, CprFormat, Meaning, MeaningKind, Number, SurveillanceStatus, TypeCode, Version};

table! {
    /// Airborne position, repeated. Where its IMF stands is settled for version 1 only.
    AirbornePositionRebroadcast: u64, 56 bits = "airborne_position", "airborne position, rebroadcast (ADS-R)",
    when "format 18, control field 6, type codes 9 to 18 and 20 to 22",
    template 11 << 51;
    1..=5 type_code: TypeCode => "type_code", "Type code: radius of containment and kind of altitude", "D192 H3 H7";
    6..=7 surveillance_status: SurveillanceStatus => "surveillance_status", "Alert or ident", "A3-64 H3";
    8..=8 data_8_8: Number<1>, "As received: the IMF in version 1; in version 2 no source held settles whether it is the NIC supplement B or the IMF", "memory";
    9..=20 altitude: Altitude12, "Altitude: pressure altitude for type codes 9 to 18, geometric height for 20 to 22", "A3-64 H3";
    21..=21 data_21_21: Number<1>, "As received: no source held settles whether it is the time bit or, in version 2, the IMF", "memory";
    22..=22 cpr_format: CprFormat => "cpr_format", "Even or odd position grid", "A3-64 D202 H3";
    23..=39 cpr_latitude: Number<17> => "cpr_latitude", "Place of the latitude in its cell", "A3-64 H3";
    40..=56 cpr_longitude: Number<17> => "cpr_longitude", "Place of the longitude in its cell", "A3-64 H3";
    derived [
        IMF, PRESSURE_ALTITUDE, GEOMETRIC_HEIGHT, NIC_WITHOUT_B, position::latitude::<AirbornePosition>(),
        position::longitude::<AirbornePosition>(),
    ]
}

const IMF: Derived = Derived::new("imf", "IMF (version 1, from memory)", MeaningKind::Integer, |pattern, version| {
    let bit = AirbornePositionRebroadcast::data_8_8.span.of(pattern, 56);
    (version == Version::One).then(|| Meaning::integer(bit as i64, ""))
})
.varying();

/// The IMF in each place where it stands.
macro_rules! imf {
    ($bit:literal ..= $same:literal) => {
        row!($bit..=$same, imf: Number<1> => "imf", "IMF: 0 ICAO address; 1 anonymous address, ground vehicle or obstruction", "memory")
    };
}

/// The first, unless there is another.
macro_rules! otherwise {
    ($usual:expr) => {
        $usual
    };
    ($usual:expr, $other:expr) => {
        $other
    };
}

/// Declares tables in which one bit is another than in the original.
macro_rules! rebroadcast {
    ($(
        $name:ident = $original:ident, $title:literal, when $applies:literal, $bit:expr
        $(, rest $rest:literal)? $(, derived $derived:expr)?;
    )+) => {
        $(
            const $name: &Table = {
                const ORIGINAL: &Table = $original::TABLE;
                const ROWS: [Row; ORIGINAL.rows.len() $(+ { let _ = $rest; 1 })?] =
                    rows_with(ORIGINAL.rows, $bit, names!(concat!("" $(, $rest)?), None));
                &Table {
                    message: ORIGINAL.message,
                    title: $title,
                    applies: concat!("format 18, control field 6, ", $applies),
                    bits: ORIGINAL.bits,
                    version: ORIGINAL.version,
                    template: ORIGINAL.template,
                    rows: &ROWS,
                    derived: otherwise!(ORIGINAL.derived $(, $derived)?),
                }
            };
        )+

        /// The tables of repeated messages, beside the originals.
        pub(super) const TABLES: &[(&Table, &Table)] = &[
            (AirbornePosition::TABLE, AirbornePositionRebroadcast::TABLE),
            $( ($original::TABLE, $name) ),+
        ];
    };
}

rebroadcast! {
    SURFACE_POSITION = SurfacePosition, "surface position, rebroadcast (ADS-R)",
        when "type codes 5 to 8", imf!(21..=21);
    VELOCITY_GROUND = AirborneVelocityGround, "airborne velocity over the ground, rebroadcast (ADS-R)",
        when "type code 19, subtypes 1 and 2", imf!(9..=9);
    VELOCITY_AIR = AirborneVelocityAir, "airborne velocity through the air, rebroadcast (ADS-R)",
        when "type code 19, subtypes 3 and 4", imf!(9..=9);
    AIRCRAFT_STATUS = AircraftStatus, "aircraft status, rebroadcast (ADS-R)",
        when "type code 28, subtype 1", imf!(56..=56), rest "reserved_25_55";
    TARGET_STATE = TargetState, "target state and status, version 2, rebroadcast (ADS-R)",
        when "type code 29, subtype 1", imf!(51..=51);
    TARGET_STATE_VERSION_1 = TargetStateVersion1, "target state and status, version 1, rebroadcast (ADS-R)",
        when "type code 29, subtype 0", imf!(51..=51), rest "reserved_47_50";
    STATUS_AIRBORNE = OperationalStatusAirborne, "operational status, airborne, version 2, rebroadcast (ADS-R)",
        when "type code 31, subtype 0, version 2", imf!(56..=56);
    STATUS_SURFACE = OperationalStatusSurface, "operational status, on the ground, version 2, rebroadcast (ADS-R)",
        when "type code 31, subtype 1, version 2", imf!(56..=56);
    STATUS_AIRBORNE_VERSION_1 = OperationalStatusAirborneVersion1,
        "operational status, airborne, version 1, rebroadcast (ADS-R)",
        when "type code 31, subtype 0, version 1", imf!(56..=56), rest "reserved_55_55";
    STATUS_SURFACE_VERSION_1 = OperationalStatusSurfaceVersion1,
        "operational status, on the ground, version 1, rebroadcast (ADS-R)",
        when "type code 31, subtype 1, version 1", imf!(56..=56), rest "reserved_55_55";
    // The IMF of type code 28 would be the last bit, where this message has part of its threat.
    RESOLUTION_ADVISORY = AcasResolutionAdvisory, "ACAS resolution advisory broadcast, rebroadcast (ADS-R)",
        when "type code 28, subtype 2",
        row!(56..=56, data_56_56: Number<1>, "As received: no source held settles whether it is part of the threat or the IMF", "memory"),
        rest "threat_identity", derived &[ADVISORY, COMPLEMENTS, THREAT_ADDRESS, THREAT_ALTITUDE, THREAT_RANGE];
}
