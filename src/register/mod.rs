//! Comm-B registers: 56 bits that a ground station asks for by number, one file a register.

mod aircraft_identification;
mod common_usage;
mod data_link_capability;

pub use aircraft_identification::AircraftIdentificationRegister;
pub use common_usage::{CommonUsage, usage_bit};
pub use data_link_capability::DataLinkCapability;

use crate::code::RegisterNumber;
use crate::code::table::Table;

/// Every register that is divided into fields here, with its number.
pub const TABLES: [(RegisterNumber, &Table); 3] = [
    (RegisterNumber::new(0x10), DataLinkCapability::TABLE),
    (RegisterNumber::new(0x17), CommonUsage::TABLE),
    (RegisterNumber::new(0x20), AircraftIdentificationRegister::TABLE),
];

/// The table of a register, if it is divided here.
pub fn table(number: RegisterNumber) -> Option<&'static Table> {
    TABLES.iter().find(|(register, _)| *register == number).map(|(_, table)| *table)
}
