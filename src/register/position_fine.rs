//! Register 5,2: position, fine. It goes with register 5,1, whose status bit is the same.
//!
//! The fine parts are what is left of latitude and longitude within 180/128 degrees. Whether the altitude is pressure
//! altitude or geometric height follows from the source; the two editions seen number their lists of sources differently,
//! so that the source is given as a number.

use super::quantity::{of, quantities, steps};
use crate::code::table::table;
use crate::code::{Flag, Number, Sign};

table! {
    /// Register 5,2: position, fine.
    PositionFine: u64, 56 bits = "register_5_2", "register 5,2, position report, fine",
    when "register 5,2",
    template 0;
    1..=1 position_status: Flag, "Whether the position holds; the same in register 5,1", "A3-73 D99";
    2..=5 source: Number<4>, "Figure of merit or source of the position; the editions number it differently; 0 is loss of navigation, or unknown", "A3-73 D99";
    6..=23 latitude_fine: Number<18>, "Fine part of the latitude, 90/16 777 216 degree a step", "A3-73 D99";
    24..=41 longitude_fine: Number<18>, "Fine part of the longitude, 90/16 777 216 degree a step", "A3-73 D99";
    42..=42 fine_altitude_sign: Sign, "Sign", "A3-73 D99";
    43..=56 fine_altitude: Number<14>, "Pressure altitude or geometric height, as the source says, 8 ft a step", "A3-73 D99";
    derived of Self::DERIVED
}

quantities! {
    PositionFine;
    "position_source_code", "Figure of merit or source, as a number", if position_status, source, of::<Number<4>>();
    fn latitude_fine_deg = "latitude_fine_deg", "Fine part of the latitude, 90/16 777 216 degree a step", if position_status, latitude_fine, steps(90.0, 16_777_216.0, " deg");
    fn longitude_fine_deg = "longitude_fine_deg", "Fine part of the longitude, 90/16 777 216 degree a step", if position_status, longitude_fine, steps(90.0, 16_777_216.0, " deg");
    fn fine_altitude_ft = "fine_altitude_ft", "Pressure altitude or geometric height, as the source says, 8 ft a step", if position_status, fine_altitude_sign & fine_altitude, steps(8.0, 1.0, " ft");
}
