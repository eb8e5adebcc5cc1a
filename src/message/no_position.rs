//! No position: type code 0, airborne or on the ground.

use super::position;
use crate::code::table::{Derived, table};
use crate::code::{Altitude12, Code, MeaningKind, Reserved, SurveillanceStatus, TypeCode, Version};

table! {
    /// The position is missing; pressure altitude may still be there: type code 0.
    NoPosition: u64, 56 bits = "no_position", "no position",
    when "type code 0",
    template 0;
    1..=5 type_code: TypeCode => "type_code", "Type code 0", "D140 A3-64";
    6..=7 surveillance_status: SurveillanceStatus => "surveillance_status", "Alert or ident", "A3-64";
    8..=8 reserved_8_8: Reserved<1>, "Zero", "A3-64";
    9..=20 altitude: Altitude12, "Pressure altitude", "D140 A3-64";
    21..=56 reserved_21_56: Reserved<36>, "Zero: no position", "D140 A3-64";
    derived [PRESSURE_ALTITUDE, NUCP]
}

const PRESSURE_ALTITUDE: Derived =
    Derived::new("pressure_altitude_ft", "Altitude on 1013.25 hPa", MeaningKind::Integer, |pattern, version| {
        Some(NoPosition::from_bits(pattern as u64).altitude.meaning(version))
    })
    .written(|wanted, pattern| {
        let altitude = Altitude12::from_meaning(wanted.get("pressure_altitude_ft").unwrap_or_default(), Version::Two)?;
        Ok(NoPosition { altitude, ..NoPosition::from_bits(pattern as u64) }.bits().into())
    })
    .shown_back(|wanted, pattern| {
        let altitude = NoPosition::from_bits(pattern as u64).altitude;
        altitude.steps_to(wanted.get("pressure_altitude_ft").unwrap_or_default(), wanted.version)
    });

const NUCP: Derived =
    Derived::new("nucp", "Navigation uncertainty category (version 0)", MeaningKind::Integer, |pattern, version| {
        position::uncertainty(NoPosition::from_bits(pattern as u64).type_code, version)
    })
    .varying();
