//! Register 5,0: track and turn.

use super::inference::Weigher;
use super::quantity::{quantities, steps, turn};
use crate::code::table::table;
use crate::code::{Flag, Number, Sign};

table! {
    /// Register 5,0: track and turn.
    TrackAndTurn: u64, 56 bits = "register_5_0", "register 5,0, track and turn report",
    when "register 5,0",
    template 0;
    1..=1 roll_status: Flag, "Whether the roll angle holds", "D97 SB HM7";
    2..=2 roll_sign: Sign, "Left wing down", "D97 SB HM7";
    3..=11 roll: Number<9>, "Roll angle, 45/256 degree a step", "D97 SB HM7";
    12..=12 track_status: Flag, "Whether the track holds", "D97 SB HM7";
    13..=13 track_sign: Sign, "West", "D97 SB HM7";
    14..=23 track: Number<10>, "True track angle, 90/512 degree a step", "D97 SB HM7";
    24..=24 ground_speed_status: Flag, "Whether the ground speed holds", "D97 SB HM7";
    25..=34 ground_speed: Number<10>, "Ground speed, 2 kt a step", "D97 SB HM7";
    35..=35 track_rate_status: Flag, "Whether the track rate holds", "D97 SB HM7";
    36..=36 track_rate_sign: Sign, "Turning left", "D97 SB HM7";
    37..=45 track_rate: Number<9>, "Track angle rate, 8/256 degree a second a step", "D97 SB HM7";
    46..=46 true_airspeed_status: Flag, "Whether the true airspeed holds", "D97 SB HM7";
    47..=56 true_airspeed: Number<10>, "True airspeed, 2 kt a step", "D97 SB HM7";
    derived of Self::DERIVED
}

// Limits: the handbook has 500 kt of true airspeed, which long-haul traffic passes.
quantities! {
    TrackAndTurn;
    fn roll_deg = "roll_deg", "Roll angle, left wing down negative; 45/256 degree a step", if roll_status, roll_sign & roll, steps(45.0, 256.0, " deg").at_most(50.0, 0.8);
    fn track_deg = "track_deg", "Track over the ground, clockwise from true north; 90/512 degree a step", if track_status, track_sign & track, turn();
    fn ground_speed_kt = "ground_speed_kt", "Speed over the ground, 2 kt a step", if ground_speed_status, ground_speed, steps(2.0, 1.0, " kt").at_most(600.0, 1.8);
    fn track_rate_deg_per_s = "track_rate_deg_per_s", "Turn of the track, left negative; 8/256 degree a second a step", if track_rate_status, track_rate_sign & track_rate, steps(8.0, 256.0, " deg/s");
    fn true_airspeed_kt = "true_airspeed_kt", "True airspeed, 2 kt a step", if true_airspeed_status, true_airspeed, steps(2.0, 1.0, " kt").at_most(600.0, 1.8);
}

/// Speed over the ground and through the air are near one another.
pub(super) fn together(w: &mut Weigher) {
    if let (Some(ground), Some(air)) = (w.value("ground_speed_kt"), w.value("true_airspeed_kt")) {
        let apart = (ground - air).abs();
        w.likely(
            apart <= 200.0,
            1.0,
            || format!("ground speed and true airspeed are {apart} kt apart, not more than 200"),
            || format!("ground speed and true airspeed are {apart} kt apart, more than 200"),
        );
    }
}
