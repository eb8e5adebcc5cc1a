//! Register 2,0: aircraft identification.

use crate::code::table::table;
use crate::code::{Identification, RegisterNumber};

table! {
    /// Register 2,0: the same eight characters as in the squitter.
    AircraftIdentificationRegister: u64, 56 bits = "register_2_0", "register 2,0, aircraft identification",
    when "register 2,0",
    template 0x20 << 48;
    1..=8 register_number: RegisterNumber => "register", "The register's own number", "HM6";
    9..=56 characters: Identification => "aircraft_identification", "Eight characters of six bits", "HM6";
}
