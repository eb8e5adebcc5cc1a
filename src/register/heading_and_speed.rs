//! Register 6,0: heading and speed.

use super::part::{Kind, bit, parts, steps};
use crate::code::table::table;
use crate::code::{Flag, Number, Sign};

table! {
    /// Register 6,0: heading and speed.
    HeadingAndSpeed: u64, 56 bits = "register_6_0", "register 6,0, heading and speed report",
    when "register 6,0",
    template 0;
    1..=1 heading_status: Flag, "Whether the heading holds", "D103 SB HM7";
    2..=2 heading_sign: Sign, "West", "D103 SB HM7";
    3..=12 heading: Number<10>, "Magnetic heading, 90/512 degree a step", "D103 SB HM7";
    13..=13 indicated_airspeed_status: Flag, "Whether the indicated airspeed holds", "D103 SB HM7";
    14..=23 indicated_airspeed: Number<10>, "Indicated airspeed, 1 kt a step", "D103 SB HM7";
    24..=24 mach_status: Flag, "Whether the Mach number holds", "D103 SB HM7";
    25..=34 mach: Number<10>, "Mach number, 2.048/512 a step", "D103 SB HM7";
    35..=35 barometric_rate_status: Flag, "Whether the barometric altitude rate holds", "D103 SB HM7";
    36..=36 barometric_rate_sign: Sign, "Down", "D103 SB HM7";
    37..=45 barometric_rate: Number<9>, "Barometric altitude rate, 32 ft/min a step", "D103 SB HM7";
    46..=46 inertial_rate_status: Flag, "Whether the inertial vertical velocity holds", "D103 SB HM7";
    47..=47 inertial_rate_sign: Sign, "Down", "D103 SB HM7";
    48..=56 inertial_rate: Number<9>, "Inertial vertical velocity, 32 ft/min a step", "D103 SB HM7";
    derived [HEADING, INDICATED, MACH, BAROMETRIC, INERTIAL]
}

parts! {
    HEADING = "magnetic_heading_deg", "Heading, clockwise from magnetic north; 90/512 degree a step", status bit(1), 2..=12 signed, Kind::Turn;
    INDICATED = "indicated_airspeed_kt", "Indicated airspeed", status bit(13), 14..=23, steps(1.0, 1.0, " kt");
    MACH = "mach", "Mach number, 0.004 a step", status bit(24), 25..=34, steps(4.0, 1000.0, "");
    BAROMETRIC = "barometric_altitude_rate_fpm", "Rate of the pressure altitude from air data, unfiltered, up positive; 32 ft/min a step", status bit(35), 36..=45 signed, steps(32.0, 1.0, " ft/min");
    INERTIAL = "inertial_vertical_velocity_fpm", "Vertical velocity from inertial or satellite navigation, up positive; 32 ft/min a step", status bit(46), 47..=56 signed, steps(32.0, 1.0, " ft/min");
}
