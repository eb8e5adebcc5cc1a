//! Register 2,0: aircraft identification.

use super::inference::{Weigher, assigned};
use crate::code::table::table;
use crate::code::{Bits, Characters, Identification, RegisterNumber};

table! {
    /// Register 2,0: the same eight characters as in the squitter.
    AircraftIdentificationRegister: u64, 56 bits = "register_2_0", "register 2,0, aircraft identification",
    when "register 2,0",
    template 0x20 << 48;
    1..=8 register_number: RegisterNumber => "register", "The register's own number", "HM6";
    9..=56 characters: Identification => "aircraft_identification", "Eight characters of six bits", "HM6";
}

/// What only this register forbids.
pub(super) fn rules(w: &mut Weigher) {
    let identification = Identification::from_bits(w.field(9, 56));
    let is_assigned = Characters::<48>::from_bits(w.field(9, 56)).is_assigned();
    assigned(w, is_assigned, 8.0, "identification");
    w.odd(is_assigned && !identification.is_well_formed(), || {
        "there is a space before the end of the identification".to_owned()
    });
}
