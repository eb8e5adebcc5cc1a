//! Register 5,2: position, fine.
//!
//! The places are from memory, and no source for the steps is held: the values stand as plain numbers.

use super::part::{bit, of, parts};
use crate::code::table::table;
use crate::code::{Flag, Number};

table! {
    /// Register 5,2: position, fine.
    PositionFine: u64, 56 bits = "register_5_2", "register 5,2, position report, fine",
    when "register 5,2",
    template 0;
    1..=1 position_status: Flag, "Whether the position holds", "memory";
    2..=5 source: Number<4>, "Figure of merit or source of the position", "memory";
    6..=23 latitude_fine: Number<18>, "Fine part of the latitude", "memory";
    24..=41 longitude_fine: Number<18>, "Fine part of the longitude", "memory";
    42..=56 fine_altitude: Number<15>, "Altitude", "memory";
    derived [SOURCE, LATITUDE, LONGITUDE, ALTITUDE]
}

parts! {
    SOURCE = "position_source_code", "Figure of merit or source, as a number", status bit(1), 2..=5, of::<Number<4>>();
    LATITUDE = "latitude_fine", "Fine part of the latitude, in steps of unconfirmed size", status bit(1), 6..=23, of::<Number<18>>();
    LONGITUDE = "longitude_fine", "Fine part of the longitude, in steps of unconfirmed size", status bit(1), 24..=41, of::<Number<18>>();
    ALTITUDE = "altitude_fine", "Altitude, in steps of unconfirmed size", status bit(1), 42..=56, of::<Number<15>>();
}
