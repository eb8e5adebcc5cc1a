//! Squitters of version 0 (DO-260; ICAO Doc 9871 draft, appendix A) where they are not those of later versions.
//!
//! Installs of this version send no operational status and no target state, so nothing says the version itself, nor any
//! accuracy, integrity level, size or capability. The type code of a position says its uncertainty (NUCp), and the three
//! bits of NACv in a velocity say NUCr.

use super::formats::SQUITTER;
use super::version_2::{airborne, airborne_moved, surface};
use super::{Sending, convert, fill, grids, layer, moved, rows, transmission, typed};
use crate::code::Version;
use crate::message::{AirbornePosition, SurfacePosition};
use crate::onair::conversions::{
    STEP_IN_MESSAGE, airborne_type_code_version_0, flag, single, squitter_altitude_tells, step,
    surface_type_code_version_0,
};
use crate::onair::{Stream, flight_fields};

transmission! {
    /// Airborne position
    AIRBORNE_POSITION: in &SQUITTER, versions 0 to 0, Airborne, Sending::Every(Stream::Position), on both_grids;
    AirbornePosition, flight airborne, moved airborne_moved;
    row type_code <- [nic] as airborne_type_code_version_0 => Quality, by_version();
    // Sense from memory.
    row antenna_or_nic_supplement_b <- [antenna] as single => Equal, by_version();
    bits STEP_IN_MESSAGE <- [altitude_resolution] with step => Equal, seen_if(squitter_altitude_tells);
    row utc_synchronised <- [utc_synchronised] as flag => State;
}

transmission! {
    /// Surface position
    SURFACE_POSITION: in &SQUITTER, versions 0 to 0, Surface, Sending::Every(Stream::Position), on both_grids;
    SurfacePosition, flight surface, moved |message, motion, _| flight_fields::surface_position(message, motion, Version::Zero);
    row type_code <- [nic] as surface_type_code_version_0 => Quality, by_version();
    row utc_synchronised <- [utc_synchronised] as flag => State;
}
