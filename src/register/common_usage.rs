//! Register 1,7: which registers are in use at present.

use super::inference::Weigher;
use crate::code::table::table;
use crate::code::{Flag, RegisterNumber, Reserved};

/// One line per register: its bit, its number, its key.
macro_rules! usage {
    ($( $bit:literal $digits:literal $key:ident $number:literal; )+) => {
        table! {
            /// Register 1,7: one bit for each register in common use.
            CommonUsage: u64, 56 bits = "register_1_7", "register 1,7, common usage capability",
            when "register 1,7",
            template 0;
            $( $bit..=$bit $key: Flag => $digits, "Register in use", "D76 HM6"; )+
            25..=29 reserved_25_29: Reserved<5>, "Differs between editions of the standard", "D76 HM6";
            30..=56 reserved_30_56: Reserved<27>, "Reserved", "D76 HM6";
        }

        /// The bit of register 1,7 that says a register is in use; none for registers that it does not list.
        ///
        /// ```
        /// use squitterlab::register::usage_bit;
        /// assert_eq!(usage_bit("2,0".parse().unwrap()), Some(7));
        /// assert_eq!(usage_bit("E,3".parse().unwrap()), None);
        /// ```
        pub fn usage_bit(register: RegisterNumber) -> Option<u8> {
            [$( ($number, $bit) ),+].into_iter().find(|(number, _)| RegisterNumber::new(*number) == register).map(|(_, bit)| bit)
        }
    };
}

usage! {
    1 "register_0_5" register_0_5 0x05;
    2 "register_0_6" register_0_6 0x06;
    3 "register_0_7" register_0_7 0x07;
    4 "register_0_8" register_0_8 0x08;
    5 "register_0_9" register_0_9 0x09;
    6 "register_0_a" register_0_a 0x0A;
    7 "register_2_0" register_2_0 0x20;
    8 "register_2_1" register_2_1 0x21;
    9 "register_4_0" register_4_0 0x40;
    10 "register_4_1" register_4_1 0x41;
    11 "register_4_2" register_4_2 0x42;
    12 "register_4_3" register_4_3 0x43;
    13 "register_4_4" register_4_4 0x44;
    14 "register_4_5" register_4_5 0x45;
    15 "register_4_8" register_4_8 0x48;
    16 "register_5_0" register_5_0 0x50;
    17 "register_5_1" register_5_1 0x51;
    18 "register_5_2" register_5_2 0x52;
    19 "register_5_3" register_5_3 0x53;
    20 "register_5_4" register_5_4 0x54;
    21 "register_5_5" register_5_5 0x55;
    22 "register_5_6" register_5_6 0x56;
    23 "register_5_f" register_5_f 0x5F;
    24 "register_6_0" register_6_0 0x60;
}

/// What only this register forbids.
pub(super) fn rules(w: &mut Weigher) {
    w.must(
        w.is_set(7),
        1.0,
        || "bit 7 is set: register 2,0 is in use".to_owned(),
        || "bit 7 is 0, though every aircraft that has this register has 2,0".to_owned(),
    );
    w.likely(
        w.field(25, 28) == 0,
        4.0,
        || "bits 25-28 are zero".to_owned(),
        || "bits 25-28, which differ between editions, are not zero".to_owned(),
    );
    w.likely(
        !w.is_set(29),
        1.0,
        || "bit 29 is 0".to_owned(),
        || "bit 29 is set: register F,1, on military aircraft only".to_owned(),
    );
}
