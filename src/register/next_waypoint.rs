//! Register 4,1: the next waypoint by name.

use super::part::{bit, of, parts};
use crate::code::table::table;
use crate::code::{Characters, Flag, Reserved};

table! {
    /// Register 4,1: the next waypoint by name.
    NextWaypoint: u64, 56 bits = "register_4_1", "register 4,1, next waypoint",
    when "register 4,1",
    template 0;
    1..=1 waypoint_status: Flag, "Whether the name holds", "A3-71";
    2..=55 waypoint: Characters<54>, "Name of the waypoint, nine characters of six bits", "A3-71";
    56..=56 reserved_56_56: Reserved<1>, "Reserved", "A3-71";
    derived [WAYPOINT]
}

parts! {
    WAYPOINT = "waypoint", "Name of the next waypoint", status bit(1), 2..=55, of::<Characters<54>>();
}
