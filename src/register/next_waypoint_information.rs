//! Register 4,3: how far the next waypoint is.

use super::quantity::{quantities, steps, turn};
use crate::code::table::table;
use crate::code::{Flag, Number, Reserved, Sign};

table! {
    /// Register 4,3: how far the next waypoint is.
    NextWaypointInformation: u64, 56 bits = "register_4_3", "register 4,3, next waypoint information",
    when "register 4,3",
    template 0;
    1..=1 bearing_status: Flag, "Whether the bearing holds", "A3-71";
    2..=2 bearing_sign: Sign, "West", "A3-71";
    3..=12 bearing: Number<10>, "Bearing of the waypoint, 360/2048 degree a step", "A3-71";
    13..=13 time_status: Flag, "Whether the time holds", "A3-71";
    14..=25 time: Number<12>, "Time to the waypoint, 0.1 min a step", "A3-71";
    26..=26 distance_status: Flag, "Whether the distance holds", "A3-71";
    27..=42 distance: Number<16>, "Distance to the waypoint, 0.1 NM a step", "A3-71";
    43..=56 reserved_43_56: Reserved<14>, "Reserved", "A3-71";
    derived of Self::DERIVED
}

quantities! {
    NextWaypointInformation;
    fn waypoint_bearing_deg = "waypoint_bearing_deg", "Bearing of the next waypoint, clockwise from north, 360/2048 degree a step", if bearing_status, bearing_sign & bearing, turn();
    fn time_to_waypoint_min = "time_to_waypoint_min", "Time to the next waypoint, 0.1 min a step", if time_status, time, steps(1.0, 10.0, " min");
    fn distance_to_waypoint_nm = "distance_to_waypoint_nm", "Distance to the next waypoint, 0.1 NM a step", if distance_status, distance, steps(1.0, 10.0, " NM");
}
