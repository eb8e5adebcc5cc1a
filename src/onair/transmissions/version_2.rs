//! Squitters of version 2 (DO-260B, ED-102A; ICAO Doc 9871 appendix C), and those that all versions share.

use super::formats::SQUITTER;
use super::{Sending, convert, fill, grids, layer, moved, rows, transmission, typed};
use crate::code::{Altitude12, Bits, CodeError, CprFormat, TypeCode, Version, VerticalRateSource};
use crate::message::{
    AirbornePosition, AirborneVelocityGround, AircraftIdentification, AircraftStatus, NoPosition,
    OperationalStatusAirborne, OperationalStatusSurface, SurfacePosition, TargetState,
};
use crate::onair::conversions::{
    CATEGORY, MODE_A, STEP_IN_MESSAGE, airborne_type_code, below_70_w, category_bits, crew_enters_it, flag,
    gives_advisories, gva_code, is_heading, is_magnetic, lateral, longitudinal, mode_a_bits, nacp_code, nacv_code,
    nic_baro, per, same, sda_code, sil_code, single, size, squitter_altitude_tells, step, step_without_position,
    supplement_a, supplement_b, surface_supplement_a, surface_supplement_c, surface_type_code, version_code,
};
use crate::onair::unit::Unit;
use crate::onair::{Kinematics, Stream, flight_fields};

transmission! {
    /// No position
    NO_POSITION: in &SQUITTER, versions 0 to 3, Either, Sending::Every(Stream::Position),
    if "there is no position" |unit| !unit.has_position();
    NoPosition, flight |unit| Ok(NoPosition {
        altitude: unit.altitude_without_position()?,
        surveillance_status: unit.surveillance_status(),
        ..NoPosition::from_bits(0)
    });
    bits STEP_IN_MESSAGE <- [altitude_resolution] with step_without_position => Equal, seen_if(squitter_altitude_tells);
}

/// An airborne position of any version. Without a stated NIC the radius is unknown.
#[allow(clippy::unnecessary_wraps)] // The list takes what may fail.
pub(super) fn airborne(unit: &Unit<'_>) -> Result<AirbornePosition, CodeError> {
    Ok(AirbornePosition {
        type_code: TypeCode::new(18),
        surveillance_status: unit.surveillance_status(),
        cpr_format: CprFormat::from_bits(unit.odd.into()),
        ..AirbornePosition::from_bits(0)
    })
}

#[allow(clippy::unnecessary_wraps)] // The list takes what may fail.
pub(super) fn airborne_moved(
    message: AirbornePosition,
    motion: &Kinematics,
    altitude: Altitude12,
) -> Result<AirbornePosition, CodeError> {
    Ok(flight_fields::airborne_position(message, motion, altitude))
}

/// A surface position of any version.
#[allow(clippy::unnecessary_wraps)] // The list takes what may fail.
pub(super) fn surface(unit: &Unit<'_>) -> Result<SurfacePosition, CodeError> {
    Ok(SurfacePosition {
        type_code: TypeCode::new(8),
        cpr_format: CprFormat::from_bits(unit.odd.into()),
        ..SurfacePosition::from_bits(0)
    })
}

transmission! {
    /// Airborne position
    AIRBORNE_POSITION: in &SQUITTER, versions 2 to 3, Airborne, Sending::Every(Stream::Position), on both_grids;
    AirbornePosition, flight airborne, moved airborne_moved;
    row type_code <- [nic] as airborne_type_code => Quality, by_version();
    row antenna_or_nic_supplement_b <- [nic] as supplement_b => Quality, by_version();
    bits STEP_IN_MESSAGE <- [altitude_resolution] with step => Equal, seen_if(squitter_altitude_tells);
    row utc_synchronised <- [utc_synchronised] as flag => State;
}

transmission! {
    /// Surface position
    SURFACE_POSITION: in &SQUITTER, versions 2 to 3, Surface, Sending::Every(Stream::Position), on both_grids;
    SurfacePosition, flight surface, moved |message, motion, _| flight_fields::surface_position(message, motion, Version::Two);
    row type_code <- [nic] as surface_type_code => Quality, by_version();
    row utc_synchronised <- [utc_synchronised] as flag => State;
}

transmission! {
    /// Aircraft identification and category
    IDENTIFICATION: in &SQUITTER, versions 0 to 3, Either, Sending::Every(Stream::Identification);
    AircraftIdentification;
    bits CATEGORY <- [emitter_category] as category_bits => Equal;
    row characters <- [aircraft_identification] as same => Equal, unless(crew_enters_it);
}

transmission! {
    /// Emergency state and Mode A code
    AIRCRAFT_STATUS: in &SQUITTER, versions 2 to 3, Either, Sending::Every(Stream::AircraftStatus);
    AircraftStatus, flight |unit| Ok(AircraftStatus {
        emergency_state: unit.emergency(),
        mode_a: unit.mode_a(),
        ..AircraftStatus::from_bits(AircraftStatus::TABLE.template as u64)
    });
    bits MODE_A <- [vfr_mode_a_code] as mode_a_bits => WhenUsed, beside_the_frame();
}

transmission! {
    /// Airborne velocity
    VELOCITY: in &SQUITTER, versions 0 to 3, Airborne, Sending::Every(Stream::Velocity);
    AirborneVelocityGround, flight |_| Ok(AirborneVelocityGround {
        vertical_rate_source: VerticalRateSource::from_bits(1),
        ..AirborneVelocityGround::from_bits(AirborneVelocityGround::TABLE.template as u64)
    }), moved |message, motion, _| flight_fields::velocity(message, motion);
    row nacv <- [nacv] as nacv_code => Quality, by_version();
}

transmission! {
    /// Operational status, in the air
    OPERATIONAL_STATUS_AIRBORNE: in &SQUITTER, versions 2 to 2, Airborne, Sending::Every(Stream::OperationalStatus);
    OperationalStatusAirborne, flight |unit| Ok(OperationalStatusAirborne {
        ident_active: unit.ident(),
        ..OperationalStatusAirborne::from_bits(OperationalStatusAirborne::TABLE.template as u64)
    });
    row acas_operational <- [acas] as gives_advisories => State;
    row es_1090_in <- [es_1090_in] as flag => Equal;
    row sends_air_referenced_velocity <- [sends_air_referenced_velocity] as flag => Equal;
    row sends_target_state <- [sends_target_state] as flag => Equal;
    row uat_in <- [uat_in] as flag => Equal;
    row single_antenna <- [antenna] as single => Equal;
    row sda <- [system_design_assurance] as sda_code => Quality;
    row version_number <- [mops_version] as version_code => Equal;
    row nic_supplement_a <- [nic] as supplement_a => Quality;
    row nacp <- [nacp] as nacp_code => Quality;
    row gva <- [gva] as gva_code => Quality;
    row sil <- [sil] as sil_code => Quality;
    row nic_baro <- [altitude_source_kind, altitude_cross_checked] maybe nic_baro => Equal;
    row sil_supplement <- [sil_supplement] as per => Equal;
}

transmission! {
    /// Operational status, on the ground
    OPERATIONAL_STATUS_SURFACE: in &SQUITTER, versions 2 to 2, Surface, Sending::Every(Stream::OperationalStatus);
    OperationalStatusSurface, flight |unit| Ok(OperationalStatusSurface {
        ident_active: unit.ident(),
        ..OperationalStatusSurface::from_bits(OperationalStatusSurface::TABLE.template as u64)
    });
    row es_1090_in <- [es_1090_in] as flag => Equal;
    row uat_in <- [uat_in] as flag => Equal;
    row nacv <- [nacv] as nacv_code => Quality;
    row nic_supplement_c <- [nic] as surface_supplement_c => Quality;
    row below_70_w <- [transmit_power] as below_70_w => Equal;
    row length_width <- [length, width] as size => Equal;
    row single_antenna <- [antenna] as single => Equal;
    row sda <- [system_design_assurance] as sda_code => Quality;
    row antenna_offset_lateral <- [antenna_from_centre_line] as lateral => Equal;
    row antenna_offset_longitudinal <- [antenna_from_nose] as longitudinal => Equal;
    row version_number <- [mops_version] as version_code => Equal;
    row nic_supplement_a <- [nic] as surface_supplement_a => Quality;
    row nacp <- [nacp] as nacp_code => Quality;
    row sil <- [sil] as sil_code => Quality;
    row surface_heading <- [surface_direction] as is_heading => Equal;
    row magnetic_reference <- [surface_direction_reference] as is_magnetic => Equal;
    row sil_supplement <- [sil_supplement] as per => Equal;
}

transmission! {
    /// Target state and status
    TARGET_STATE: in &SQUITTER, versions 2 to 3, Airborne, Sending::Every(Stream::TargetState),
    if "the install sends target states" |unit| unit.profile.sends_target_state.get() == Some(&true);
    TargetState;
    row sil_supplement <- [sil_supplement] as per => Equal;
    row nacp <- [nacp] as nacp_code => Quality;
    row nic_baro <- [altitude_source_kind, altitude_cross_checked] maybe nic_baro => Equal;
    row sil <- [sil] as sil_code => Quality;
    row acas_operational <- [acas] as gives_advisories => State;
}
