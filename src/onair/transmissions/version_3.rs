//! The operational status of version 3 (DO-260C, ED-102B), as far as public text says that it is as in version 2
//! (EUROCONTROL Cat 021 edition 2.7 and its expansion field edition 1.5, which copy the bits).
//!
//! Left undecided, since what the unit sends there is not known or differs: the power at the antenna (bits 17 and 18 in the
//! air, where a trajectory change stood), detect and avoid, the coordination of collision avoidance, supplement D, and the
//! distance of the antenna from the nose, whose steps differ.

use super::formats::SQUITTER;
use super::{Sending, convert, fill, grids, layer, moved, rows, transmission, typed};
use crate::message::{OperationalStatusAirborneVersion3, OperationalStatusSurfaceVersion3};
use crate::onair::Stream;
use crate::onair::conversions::{
    flag, gives_advisories, gva_code, is_heading, is_magnetic, lateral, nacp_code, nic_baro, per, sda_code, sil_code,
    single, size, supplement_a, surface_supplement_a, surface_supplement_c, version_code,
};

transmission! {
    /// Operational status, in the air
    OPERATIONAL_STATUS_AIRBORNE: in &SQUITTER, versions 3 to 3, Airborne, Sending::Every(Stream::OperationalStatus);
    OperationalStatusAirborneVersion3, flight |unit| Ok(OperationalStatusAirborneVersion3 {
        ident_active: unit.ident(),
        ..OperationalStatusAirborneVersion3::from_bits(OperationalStatusAirborneVersion3::TABLE.template as u64)
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
    OPERATIONAL_STATUS_SURFACE: in &SQUITTER, versions 3 to 3, Surface, Sending::Every(Stream::OperationalStatus);
    OperationalStatusSurfaceVersion3, flight |unit| Ok(OperationalStatusSurfaceVersion3 {
        ident_active: unit.ident(),
        ..OperationalStatusSurfaceVersion3::from_bits(OperationalStatusSurfaceVersion3::TABLE.template as u64)
    });
    row es_1090_in <- [es_1090_in] as flag => Equal;
    row uat_in <- [uat_in] as flag => Equal;
    row nic_supplement_c <- [nic] as surface_supplement_c => Quality;
    row length_width <- [length, width] as size => Equal;
    row single_antenna <- [antenna] as single => Equal;
    row sda <- [system_design_assurance] as sda_code => Quality;
    row antenna_offset_lateral <- [antenna_from_centre_line] as lateral => Equal;
    row version_number <- [mops_version] as version_code => Equal;
    row nic_supplement_a <- [nic] as surface_supplement_a => Quality;
    row nacp <- [nacp] as nacp_code => Quality;
    row sil <- [sil] as sil_code => Quality;
    row surface_heading <- [surface_direction] as is_heading => Equal;
    row magnetic_reference <- [surface_direction_reference] as is_magnetic => Equal;
    row sil_supplement <- [sil_supplement] as per => Equal;
}
