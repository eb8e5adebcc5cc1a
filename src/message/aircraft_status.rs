//! Aircraft status: type code 28; subtype 1 is emergency and Mode A code, register 6,1.

use crate::code::table::{Derived, table};
use crate::code::{Code, EmergencyState, MeaningKind, ModeA, Number, Reserved, TypeCode, Version};

table! {
    /// Emergency or priority state, and in version 2 the Mode A code: type code 28, subtype 1.
    AircraftStatus: u64, 56 bits = "aircraft_status", "aircraft status: emergency and Mode A code",
    when "type code 28, subtype 1",
    template 28 << 51 | 1 << 48;
    1..=5 type_code: TypeCode => "type_code", "Type code 28", "D172";
    6..=8 subtype: Number<3> => "subtype", "1, emergency or priority", "D172 A3-75 H1";
    9..=11 emergency_state: EmergencyState => "emergency_state", "Emergency or priority state, read by version", "D172 A3-75 AX";
    12..=24 mode_a: ModeA, "Version 2: Mode A code; before: reserved", "D172 HM3 memory";
    25..=56 reserved_25_56: Reserved<32>, "Reserved", "D172";
    derived [MODE_A_CODE]
}

const MODE_A_CODE: Derived =
    Derived::new("mode_a_code", "Mode A code, four octal digits (version 2)", MeaningKind::Text, |pattern, version| {
        (version >= Version::Two).then(|| AircraftStatus::from_bits(pattern as u64).mode_a.meaning(version))
    })
    .varying()
    .written(|wanted, pattern| {
        let mode_a = ModeA::from_meaning(wanted.get("mode_a_code").unwrap_or_default(), wanted.version)?;
        Ok(AircraftStatus { mode_a, ..AircraftStatus::from_bits(pattern as u64) }.bits().into())
    });
