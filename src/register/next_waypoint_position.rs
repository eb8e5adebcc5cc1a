//! Register 4,2: where the next waypoint is.

use super::quantity::{quantities, steps};
use crate::code::table::table;
use crate::code::{Flag, Number, Sign};

table! {
    /// Register 4,2: where the next waypoint is.
    NextWaypointPosition: u64, 56 bits = "register_4_2", "register 4,2, next waypoint position",
    when "register 4,2",
    template 0;
    1..=1 latitude_status: Flag, "Whether the latitude holds", "A3-71";
    2..=2 latitude_sign: Sign, "South", "A3-71";
    3..=20 latitude: Number<18>, "Latitude of the waypoint, 90/131 072 degree a step", "A3-71";
    21..=21 longitude_status: Flag, "Whether the longitude holds", "A3-71";
    22..=22 longitude_sign: Sign, "West", "A3-71";
    23..=40 longitude: Number<18>, "Longitude of the waypoint, 90/131 072 degree a step", "A3-71";
    41..=41 crossing_altitude_status: Flag, "Whether the crossing altitude holds", "A3-71";
    42..=42 crossing_altitude_sign: Sign, "Sign", "A3-71";
    43..=56 crossing_altitude: Number<14>, "Altitude at which to cross the waypoint, 8 ft a step", "A3-71";
    derived of Self::DERIVED
}

quantities! {
    NextWaypointPosition;
    fn waypoint_latitude_deg = "waypoint_latitude_deg", "Latitude of the next waypoint, 90/131 072 degree a step", if latitude_status, latitude_sign & latitude, steps(90.0, 131_072.0, " deg").at_most(90.0, 1.0);
    fn waypoint_longitude_deg = "waypoint_longitude_deg", "Longitude of the next waypoint, 90/131 072 degree a step", if longitude_status, longitude_sign & longitude, steps(90.0, 131_072.0, " deg");
    fn waypoint_crossing_altitude_ft = "waypoint_crossing_altitude_ft", "Altitude at which to cross the next waypoint, 8 ft a step", if crossing_altitude_status, crossing_altitude_sign & crossing_altitude, steps(8.0, 1.0, " ft");
}
