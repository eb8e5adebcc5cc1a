//! Register F,1: Mode 1 and Mode 2 codes of military aircraft.

use super::quantity::{of, quantities};
use crate::code::table::table;
use crate::code::{Flag, Mode1, ModeA, Reserved};

table! {
    /// Register F,1: Mode 1 and Mode 2 codes of military aircraft.
    MilitaryReplies: u64, 56 bits = "register_f_1", "register F,1, military applications",
    when "register F,1",
    template 0;
    1..=1 mode_1_status: Flag, "Whether the Mode 1 code holds", "A3-76";
    2..=2 mode_1_four_digits: Flag, "The Mode 1 code has four octal digits, else two", "A3-76";
    3..=15 mode_1: ModeA, "Mode 1 code, C1 A1 C2 A2 C4 A4 X B1 D1 B2 D2 B4 D4", "A3-76";
    16..=16 mode_2_status: Flag, "Whether the Mode 2 code holds", "A3-76";
    17..=29 mode_2: ModeA, "Mode 2 code, in the same order", "A3-76";
    30..=56 reserved_30_56: Reserved<27>, "Reserved", "A3-76";
    derived of Self::DERIVED
}

quantities! {
    MilitaryReplies;
    "mode_1_code", "Mode 1 code, two or four octal digits", if mode_1_status, mode_1_four_digits & mode_1, of::<Mode1>();
    "mode_2_code", "Mode 2 code, four octal digits", if mode_2_status, mode_2, of::<ModeA>();
}
