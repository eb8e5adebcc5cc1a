//! Register 5,1: position, coarse.

use super::inference::Weigher;
use super::quantity::{quantities, steps};
use crate::code::table::table;
use crate::code::{Flag, Number, Sign};

table! {
    /// Register 5,1: position, coarse.
    PositionCoarse: u64, 56 bits = "register_5_1", "register 5,1, position report, coarse",
    when "register 5,1",
    template 0;
    1..=1 position_status: Flag, "Whether the position holds", "D98";
    2..=2 latitude_sign: Sign, "South", "D98";
    3..=21 latitude: Number<19>, "Latitude, 360/1 048 576 degree a step", "D98";
    22..=22 longitude_sign: Sign, "West", "D98";
    23..=41 longitude: Number<19>, "Longitude, 360/1 048 576 degree a step", "D98";
    42..=42 pressure_altitude_sign: Sign, "Sign", "D98";
    43..=56 pressure_altitude: Number<14>, "Pressure altitude, 8 ft a step", "D98";
    derived of Self::DERIVED
}

quantities! {
    PositionCoarse;
    fn latitude_deg = "latitude_deg", "Latitude, 360/1 048 576 degree a step", if position_status, latitude_sign & latitude, steps(360.0, 1_048_576.0, " deg").at_most(90.0, 1.0);
    fn longitude_deg = "longitude_deg", "Longitude, 360/1 048 576 degree a step", if position_status, longitude_sign & longitude, steps(360.0, 1_048_576.0, " deg");
    fn coarse_pressure_altitude_ft = "coarse_pressure_altitude_ft", "Pressure altitude, 8 ft a step", if position_status, pressure_altitude_sign & pressure_altitude, steps(8.0, 1.0, " ft");
}

/// The altitude is about that of the reply.
pub(super) fn together(w: &mut Weigher) {
    w.same_altitude(w.value("coarse_pressure_altitude_ft"));
}
