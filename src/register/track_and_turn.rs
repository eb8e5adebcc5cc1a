//! Register 5,0: track and turn.

use super::part::{Kind, bit, parts, steps};
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
    derived [ROLL, TRACK, GROUND_SPEED, TRACK_RATE, TRUE_AIRSPEED]
}

parts! {
    ROLL = "roll_deg", "Roll angle, left wing down negative; 45/256 degree a step", status bit(1), 2..=11 signed, steps(45.0, 256.0, " deg");
    TRACK = "track_deg", "Track over the ground, clockwise from true north; 90/512 degree a step", status bit(12), 13..=23 signed, Kind::Turn;
    GROUND_SPEED = "ground_speed_kt", "Speed over the ground, 2 kt a step", status bit(24), 25..=34, steps(2.0, 1.0, " kt");
    TRACK_RATE = "track_rate_deg_per_s", "Turn of the track, left negative; 8/256 degree a second a step", status bit(35), 36..=45 signed, steps(8.0, 256.0, " deg/s");
    TRUE_AIRSPEED = "true_airspeed_kt", "True airspeed, 2 kt a step", status bit(46), 47..=56, steps(2.0, 1.0, " kt");
}
