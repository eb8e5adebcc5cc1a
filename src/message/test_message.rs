//! Test messages: type code 23.

use crate::code::table::{Derived, table};
use crate::code::{Code, MeaningKind, ModeA, Number, Reserved, TypeCode, Version};

table! {
    /// A test message, free to say anything: type code 23, subtype 0.
    Test: u64, 56 bits = "test", "test message",
    when "type code 23, subtype 0",
    template 23 << 51;
    1..=5 type_code: TypeCode => "type_code", "Type code 23", "D166 memory";
    6..=8 subtype: Number<3> => "subtype", "0, test", "D166 memory";
    9..=32 data_9_32: Number<24>, "As received, first part: the sender is free", "memory";
    33..=56 data_33_56: Number<24>, "As received, second part: the sender is free", "memory";
}

table! {
    /// The Mode A code before version 2 gave it a place in the aircraft status: type code 23, subtype 7.
    TestModeA: u64, 56 bits = "test", "test message with the Mode A code, version 1",
    when "type code 23, subtype 7, until another version than 1 is in force",
    template 23 << 51 | 7 << 48;
    1..=5 type_code: TypeCode => "type_code", "Type code 23", "D166 memory";
    6..=8 subtype: Number<3> => "subtype", "7 (Doc 9871 draft, page 166, reserves it; its use in one State from memory)", "D166 memory";
    9..=21 mode_a: ModeA, "Mode A code", "HM3 memory";
    22..=56 reserved_22_56: Reserved<35>, "Reserved", "memory";
    derived [MODE_A_CODE]
}

const MODE_A_CODE: Derived =
    Derived::new("mode_a_code", "Mode A code, four octal digits (version 1)", MeaningKind::Text, |pattern, version| {
        (version == Version::One).then(|| TestModeA::from_bits(pattern as u64).mode_a.meaning(version))
    })
    .varying()
    .written(|wanted, pattern| {
        let mode_a = ModeA::from_meaning(wanted.get("mode_a_code").unwrap_or_default(), wanted.version)?;
        Ok(TestModeA { mode_a, ..TestModeA::from_bits(pattern as u64) }.bits().into())
    });
