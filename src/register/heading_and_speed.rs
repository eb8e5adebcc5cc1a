//! Register 6,0: heading and speed.

use super::quantity::{quantities, steps, turn};
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
    derived of Self::DERIVED
}

quantities! {
    HeadingAndSpeed;
    fn magnetic_heading_deg = "magnetic_heading_deg", "Heading, clockwise from magnetic north; 90/512 degree a step", if heading_status, heading_sign & heading, turn();
    fn indicated_airspeed_kt = "indicated_airspeed_kt", "Indicated airspeed", if indicated_airspeed_status, indicated_airspeed, steps(1.0, 1.0, " kt").at_most(500.0, 1.0);
    fn mach_number = "mach", "Mach number, 0.004 a step", if mach_status, mach, steps(4.0, 1000.0, "").at_most(1.0, 2.0);
    fn barometric_altitude_rate_fpm = "barometric_altitude_rate_fpm", "Rate of the pressure altitude from air data, unfiltered, up positive; 32 ft/min a step", if barometric_rate_status, barometric_rate_sign & barometric_rate, steps(32.0, 1.0, " ft/min").at_most(6000.0, 1.4);
    fn inertial_vertical_velocity_fpm = "inertial_vertical_velocity_fpm", "Vertical velocity from inertial or satellite navigation, up positive; 32 ft/min a step", if inertial_rate_status, inertial_rate_sign & inertial_rate, steps(32.0, 1.0, " ft/min").at_most(6000.0, 1.4);
}
