//! Register 4,1: the next waypoint by name.

use super::inference::{Weigher, assigned};
use super::quantity::{of, quantities};
use crate::code::table::table;
use crate::code::{Bits, Characters, Flag, Reserved};

table! {
    /// Register 4,1: the next waypoint by name.
    NextWaypoint: u64, 56 bits = "register_4_1", "register 4,1, next waypoint",
    when "register 4,1",
    template 0;
    1..=1 waypoint_status: Flag, "Whether the name holds", "A3-71";
    2..=55 waypoint: Characters<54>, "Name of the waypoint, nine characters of six bits", "A3-71";
    56..=56 reserved_56_56: Reserved<1>, "Reserved", "A3-71";
    derived of Self::DERIVED
}

quantities! {
    NextWaypoint;
    "waypoint", "Name of the next waypoint", if waypoint_status, waypoint, of::<Characters<54>>();
}

/// What only this register forbids.
pub(super) fn rules(w: &mut Weigher) {
    if w.is_set(1) {
        assigned(w, Characters::<54>::from_bits(w.field(2, 55)).is_assigned(), 9.0, "waypoint");
    }
}
