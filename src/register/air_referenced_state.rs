//! Register 5,3: speed and heading through the air.

use super::quantity::{quantities, steps, turn};
use crate::code::table::table;
use crate::code::{Flag, Number, Sign};

table! {
    /// Register 5,3: speed and heading through the air.
    AirReferencedState: u64, 56 bits = "register_5_3", "register 5,3, air-referenced state vector",
    when "register 5,3",
    template 0;
    1..=1 heading_status: Flag, "Whether the heading holds", "memory";
    2..=2 heading_sign: Sign, "West", "memory";
    3..=12 heading: Number<10>, "Magnetic heading, 90/512 degree a step", "memory";
    13..=13 indicated_airspeed_status: Flag, "Whether the indicated airspeed holds", "memory";
    14..=23 indicated_airspeed: Number<10>, "Indicated airspeed, 1 kt a step", "memory";
    24..=24 mach_status: Flag, "Whether the Mach number holds", "memory";
    25..=33 mach: Number<9>, "Mach number, 0.008 a step", "memory";
    34..=34 true_airspeed_status: Flag, "Whether the true airspeed holds", "memory";
    35..=46 true_airspeed: Number<12>, "True airspeed, 0.5 kt a step", "memory";
    47..=47 altitude_rate_status: Flag, "Whether the altitude rate holds", "memory";
    48..=48 altitude_rate_sign: Sign, "Down", "memory";
    49..=56 altitude_rate: Number<8>, "Altitude rate, 64 ft/min a step", "memory";
    derived of Self::DERIVED
}

quantities! {
    AirReferencedState;
    fn magnetic_heading_deg = "magnetic_heading_deg", "Heading, clockwise from magnetic north; 90/512 degree a step", if heading_status, heading_sign & heading, turn();
    fn indicated_airspeed_kt = "indicated_airspeed_kt", "Indicated airspeed", if indicated_airspeed_status, indicated_airspeed, steps(1.0, 1.0, " kt").at_most(500.0, 1.0);
    fn mach_number = "mach", "Mach number, 0.008 a step", if mach_status, mach, steps(8.0, 1000.0, "").at_most(1.0, 2.0);
    fn true_airspeed_kt = "true_airspeed_kt", "True airspeed, 0.5 kt a step", if true_airspeed_status, true_airspeed, steps(1.0, 2.0, " kt").at_most(600.0, 1.8);
    fn altitude_rate_fpm = "altitude_rate_fpm", "Altitude rate, up positive; 64 ft/min a step", if altitude_rate_status, altitude_rate_sign & altitude_rate, steps(64.0, 1.0, " ft/min").at_most(6000.0, 1.4);
}
