//! Register F,2: Mode 1, Mode 2 and Mode A codes, for squitters of format 19.

use super::inference::Weigher;
use super::quantity::{of, quantities};
use crate::code::table::table;
use crate::code::{Flag, Mode1, ModeA, Number, Reserved};

table! {
    /// Register F,2: Mode 1, Mode 2 and Mode A codes, for squitters of format 19.
    MilitarySquitters: u64, 56 bits = "register_f_2", "register F,2, military applications for format 19",
    when "register F,2",
    template 0;
    1..=5 type_code: Number<5> => "type_code", "0", "A3-76 memory";
    6..=6 mode_1_status: Flag, "Whether the Mode 1 code holds", "A3-76 memory";
    7..=7 mode_1_four_digits: Flag, "The Mode 1 code has four octal digits, else two", "A3-76 memory";
    8..=20 mode_1: ModeA, "Mode 1 code, C1 A1 C2 A2 C4 A4 X B1 D1 B2 D2 B4 D4", "A3-76 memory";
    21..=21 mode_2_status: Flag, "Whether the Mode 2 code holds", "A3-76 memory";
    22..=34 mode_2: ModeA, "Mode 2 code, in the same order", "A3-76 memory";
    35..=35 military_mode_a_status: Flag, "Whether the Mode A code holds", "A3-76 memory";
    36..=48 military_mode_a: ModeA, "Mode A code, in the same order", "A3-76 memory";
    49..=56 reserved_49_56: Reserved<8>, "Reserved", "A3-76 memory";
    derived of Self::DERIVED
}

quantities! {
    MilitarySquitters;
    "mode_1_code", "Mode 1 code, two or four octal digits", if mode_1_status, mode_1_four_digits & mode_1, of::<Mode1>();
    "mode_2_code", "Mode 2 code, four octal digits", if mode_2_status, mode_2, of::<ModeA>();
    "military_mode_a_code", "Mode A code, four octal digits", if military_mode_a_status, military_mode_a, of::<ModeA>();
}

/// What only this register forbids.
pub(super) fn rules(w: &mut Weigher) {
    let type_code = w.field(1, 5);
    w.must(type_code == 0, 5.0, || "type code 0".to_owned(), || format!("type code {type_code} is not 0"));
}
