//! Register 2,2: where the antennas are.

use super::quantity::{quantities, steps};
use crate::code::table::table;
use crate::code::{AntennaKind, Number};

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
    derived of Self::DERIVED
}

quantities! {
    AntennaPositions;
    fn antenna_1_from_nose_m = "antenna_1_from_nose_m", "Antenna 1: from the nose along the centre line, 1 m a step; 0 no data", if antenna_1_x, antenna_1_x, steps(1.0, 1.0, " m");
    fn antenna_1_from_ground_m = "antenna_1_from_ground_m", "Antenna 1: above the ground, 1 m a step; 0 no data", if antenna_1_z, antenna_1_z, steps(1.0, 1.0, " m");
    fn antenna_2_from_nose_m = "antenna_2_from_nose_m", "Antenna 2: from the nose along the centre line, 1 m a step; 0 no data", if antenna_2_x, antenna_2_x, steps(1.0, 1.0, " m");
    fn antenna_2_from_ground_m = "antenna_2_from_ground_m", "Antenna 2: above the ground, 1 m a step; 0 no data", if antenna_2_z, antenna_2_z, steps(1.0, 1.0, " m");
    fn antenna_3_from_nose_m = "antenna_3_from_nose_m", "Antenna 3: from the nose along the centre line, 1 m a step; 0 no data", if antenna_3_x, antenna_3_x, steps(1.0, 1.0, " m");
    fn antenna_3_from_ground_m = "antenna_3_from_ground_m", "Antenna 3: above the ground, 1 m a step; 0 no data", if antenna_3_z, antenna_3_z, steps(1.0, 1.0, " m");
    fn antenna_4_from_nose_m = "antenna_4_from_nose_m", "Antenna 4: from the nose along the centre line, 1 m a step; 0 no data", if antenna_4_x, antenna_4_x, steps(1.0, 1.0, " m");
    fn antenna_4_from_ground_m = "antenna_4_from_ground_m", "Antenna 4: above the ground, 1 m a step; 0 no data", if antenna_4_z, antenna_4_z, steps(1.0, 1.0, " m");
}
