//! Squitters of version 1 (DO-260A; ICAO Doc 9871 draft, appendix B) where they are not those of version 2.
//!
//! Not in any message of this version: the receivers, the design assurance, the accuracy of geometric height, what the
//! integrity level counts by, the distances of the antenna, and the Mode A code.

use super::formats::SQUITTER;
use super::version_2::{airborne, airborne_moved, surface};
use super::{Sending, convert, fill, grids, layer, moved, rows, transmission, typed};
use crate::code::Version;
use crate::message::{
    AirbornePosition, AircraftStatus, OperationalStatusAirborneVersion1, OperationalStatusSurfaceVersion1,
    SurfacePosition, TargetStateVersion1,
};
use crate::onair::conversions::{
    STEP_IN_MESSAGE, airborne_type_code_version_1, at_reference_point, below_70_w, flag, gives_no_advisories,
    is_heading, is_magnetic, nacp_code, nic_baro, sil_code, single, size_version_1, squitter_altitude_tells, step,
    supplement_version_1, surface_supplement_version_1, surface_type_code_version_1, version_code,
};
use crate::onair::{Stream, flight_fields};

transmission! {
    /// Airborne position
    AIRBORNE_POSITION: in &SQUITTER, versions 1 to 1, Airborne, Sending::Every(Stream::Position), on both_grids;
    AirbornePosition, flight airborne, moved airborne_moved;
    row type_code <- [nic] as airborne_type_code_version_1 => Quality, by_version();
    // The flag of one antenna is here, and in no status (sense from memory).
    row antenna_or_nic_supplement_b <- [antenna] as single => Equal, by_version();
    bits STEP_IN_MESSAGE <- [altitude_resolution] with step => Equal, seen_if(squitter_altitude_tells);
    row utc_synchronised <- [utc_synchronised] as flag => State;
}

transmission! {
    /// Surface position
    SURFACE_POSITION: in &SQUITTER, versions 1 to 1, Surface, Sending::Every(Stream::Position), on both_grids;
    SurfacePosition, flight surface, moved |message, motion, _| flight_fields::surface_position(message, motion, Version::One);
    row type_code <- [nic] as surface_type_code_version_1 => Quality, by_version();
    row utc_synchronised <- [utc_synchronised] as flag => State;
}

transmission! {
    /// Emergency state
    EMERGENCY: in &SQUITTER, versions 0 to 1, Either, Sending::Every(Stream::AircraftStatus),
    if "an emergency is on" |unit| unit.has_emergency();
    AircraftStatus, flight |unit| Ok(AircraftStatus {
        emergency_state: unit.emergency(),
        ..AircraftStatus::from_bits(AircraftStatus::TABLE.template as u64)
    });
}

transmission! {
    /// Operational status, in the air
    OPERATIONAL_STATUS_AIRBORNE: in &SQUITTER, versions 1 to 1, Airborne, Sending::Every(Stream::OperationalStatus);
    OperationalStatusAirborneVersion1, flight |unit| Ok(OperationalStatusAirborneVersion1 {
        ident_active: unit.ident(),
        ..OperationalStatusAirborneVersion1::from_bits(OperationalStatusAirborneVersion1::TABLE.template as u64)
    });
    row acas_not_operational <- [acas] as gives_no_advisories => State;
    row sends_air_referenced_velocity <- [sends_air_referenced_velocity] as flag => Equal;
    row sends_target_state <- [sends_target_state] as flag => Equal;
    row version_number <- [mops_version] as version_code => Equal;
    row nic_supplement_a <- [nic] as supplement_version_1 => Quality;
    row nacp <- [nacp] as nacp_code => Quality;
    row sil <- [sil] as sil_code => Quality;
    row nic_baro <- [altitude_source_kind, altitude_cross_checked] maybe nic_baro => Equal;
}

transmission! {
    /// Operational status, on the ground
    OPERATIONAL_STATUS_SURFACE: in &SQUITTER, versions 1 to 1, Surface, Sending::Every(Stream::OperationalStatus);
    OperationalStatusSurfaceVersion1, flight |unit| Ok(OperationalStatusSurfaceVersion1 {
        ident_active: unit.ident(),
        ..OperationalStatusSurfaceVersion1::from_bits(OperationalStatusSurfaceVersion1::TABLE.template as u64)
    });
    // ICAO Doc 9871 draft, page 156.
    row position_at_reference_point <- [antenna_from_nose] as at_reference_point => Equal;
    row below_70_w <- [transmit_power] as below_70_w => Equal;
    row length_width <- [length, width] as size_version_1 => Equal;
    row version_number <- [mops_version] as version_code => Equal;
    row nic_supplement_a <- [nic] as surface_supplement_version_1 => Quality;
    row nacp <- [nacp] as nacp_code => Quality;
    row sil <- [sil] as sil_code => Quality;
    row surface_heading <- [surface_direction] as is_heading => Equal;
    row magnetic_reference <- [surface_direction_reference] as is_magnetic => Equal;
}

transmission! {
    /// Target state and status
    TARGET_STATE: in &SQUITTER, versions 1 to 1, Airborne, Sending::Every(Stream::TargetState),
    if "the install sends target states" |unit| unit.profile.sends_target_state.get() == Some(&true);
    TargetStateVersion1, flight |unit| Ok(TargetStateVersion1 {
        emergency_state: unit.emergency(),
        ..TargetStateVersion1::from_bits(TargetStateVersion1::TABLE.template as u64)
    });
    row nacp <- [nacp] as nacp_code => Quality;
    row nic_baro <- [altitude_source_kind, altitude_cross_checked] maybe nic_baro => Equal;
    row sil <- [sil] as sil_code => Quality;
    row acas_not_operational <- [acas] as gives_no_advisories => State;
}
