//! Register 4,2: where the next waypoint is.

use super::part::{bit, parts, steps};
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
    derived [LATITUDE, LONGITUDE, ALTITUDE]
}

parts! {
    LATITUDE = "waypoint_latitude_deg", "Latitude of the next waypoint, 90/131 072 degree a step", status bit(1), 2..=20 signed, steps(90.0, 131_072.0, " deg");
    LONGITUDE = "waypoint_longitude_deg", "Longitude of the next waypoint, 90/131 072 degree a step", status bit(21), 22..=40 signed, steps(90.0, 131_072.0, " deg");
    ALTITUDE = "waypoint_crossing_altitude_ft", "Altitude at which to cross the next waypoint, 8 ft a step", status bit(41), 42..=56 signed, steps(8.0, 1.0, " ft");
}
