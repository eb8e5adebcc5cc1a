//! Register 2,2: where the antennas are.

use super::part::{parts, steps};
use crate::code::table::table;
use crate::code::{AntennaKind, Number};
use crate::frame::Span;

table! {
    /// Register 2,2: where the antennas are.
    AntennaPositions: u64, 56 bits = "register_2_2", "register 2,2, antenna positions",
    when "register 2,2",
    template 0;
    1..=3 antenna_1_kind: AntennaKind => "antenna_1_kind", "What antenna 1 is for", "D87";
    4..=9 antenna_1_x: Number<6>, "Antenna 1: metres from the nose along the centre line", "D87";
    10..=14 antenna_1_z: Number<5>, "Antenna 1: metres above the ground", "D87";
    15..=17 antenna_2_kind: AntennaKind => "antenna_2_kind", "What antenna 2 is for", "D87";
    18..=23 antenna_2_x: Number<6>, "Antenna 2: metres from the nose along the centre line", "D87";
    24..=28 antenna_2_z: Number<5>, "Antenna 2: metres above the ground", "D87";
    29..=31 antenna_3_kind: AntennaKind => "antenna_3_kind", "What antenna 3 is for", "D87";
    32..=37 antenna_3_x: Number<6>, "Antenna 3: metres from the nose along the centre line", "D87";
    38..=42 antenna_3_z: Number<5>, "Antenna 3: metres above the ground", "D87";
    43..=45 antenna_4_kind: AntennaKind => "antenna_4_kind", "What antenna 4 is for", "D87";
    46..=51 antenna_4_x: Number<6>, "Antenna 4: metres from the nose along the centre line", "D87";
    52..=56 antenna_4_z: Number<5>, "Antenna 4: metres above the ground", "D87";
    derived [X1, Z1, X2, Z2, X3, Z3, X4, Z4]
}

parts! {
    X1 = "antenna_1_from_nose_m", "Antenna 1: from the nose along the centre line, 1 m a step; 0 no data", status Span::new(4, 9), 4..=9, steps(1.0, 1.0, " m");
    Z1 = "antenna_1_from_ground_m", "Antenna 1: above the ground, 1 m a step; 0 no data", status Span::new(10, 14), 10..=14, steps(1.0, 1.0, " m");
    X2 = "antenna_2_from_nose_m", "Antenna 2: from the nose along the centre line, 1 m a step; 0 no data", status Span::new(18, 23), 18..=23, steps(1.0, 1.0, " m");
    Z2 = "antenna_2_from_ground_m", "Antenna 2: above the ground, 1 m a step; 0 no data", status Span::new(24, 28), 24..=28, steps(1.0, 1.0, " m");
    X3 = "antenna_3_from_nose_m", "Antenna 3: from the nose along the centre line, 1 m a step; 0 no data", status Span::new(32, 37), 32..=37, steps(1.0, 1.0, " m");
    Z3 = "antenna_3_from_ground_m", "Antenna 3: above the ground, 1 m a step; 0 no data", status Span::new(38, 42), 38..=42, steps(1.0, 1.0, " m");
    X4 = "antenna_4_from_nose_m", "Antenna 4: from the nose along the centre line, 1 m a step; 0 no data", status Span::new(46, 51), 46..=51, steps(1.0, 1.0, " m");
    Z4 = "antenna_4_from_ground_m", "Antenna 4: above the ground, 1 m a step; 0 no data", status Span::new(52, 56), 52..=56, steps(1.0, 1.0, " m");
}
