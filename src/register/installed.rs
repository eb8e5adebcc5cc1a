//! Registers 1,8 to 1,C: which registers are installed, in flight and on the ground alike (register 1,7 says which have
//! data at present).
//!
//! One bit a register, counted from the last bit of 1,8 (from memory; that register 2,0 is bit 25 agrees with Doc 9871,
//! draft, page 290).

use crate::code::table::table;
use crate::code::{Flag, Reserved};

/// One table per register; bit, and the key that is the field too.
macro_rules! installed {
    (
        $name:ident = $message:literal, $title:literal, when $applies:literal;
        $( reserved $last:literal $reserved:ident: $width:literal; )?
        $( $bit:literal $key:ident ),+
    ) => {
        table! {
            #[doc = concat!("The ", $title, ".")]
            $name: u64, 56 bits = $message, $title,
            when $applies,
            template 0;
            $( 1..=$last $reserved: Reserved<$width>, "Reserved", "memory"; )?
            $( $bit..=$bit $key: Flag => stringify!($key), "Register installed", "D290 memory"; )+
        }
    };
}

installed! {
    Installed1 = "register_1_8", "register 1,8, registers installed, 0,1 to 3,8",
    when "register 1,8";
    1 register_3_8, 2 register_3_7, 3 register_3_6, 4 register_3_5, 5 register_3_4, 6 register_3_3,
    7 register_3_2, 8 register_3_1, 9 register_3_0, 10 register_2_f, 11 register_2_e,
    12 register_2_d, 13 register_2_c, 14 register_2_b, 15 register_2_a, 16 register_2_9,
    17 register_2_8, 18 register_2_7, 19 register_2_6, 20 register_2_5, 21 register_2_4,
    22 register_2_3, 23 register_2_2, 24 register_2_1, 25 register_2_0, 26 register_1_f,
    27 register_1_e, 28 register_1_d, 29 register_1_c, 30 register_1_b, 31 register_1_a,
    32 register_1_9, 33 register_1_8, 34 register_1_7, 35 register_1_6, 36 register_1_5,
    37 register_1_4, 38 register_1_3, 39 register_1_2, 40 register_1_1, 41 register_1_0,
    42 register_0_f, 43 register_0_e, 44 register_0_d, 45 register_0_c, 46 register_0_b,
    47 register_0_a, 48 register_0_9, 49 register_0_8, 50 register_0_7, 51 register_0_6,
    52 register_0_5, 53 register_0_4, 54 register_0_3, 55 register_0_2, 56 register_0_1
}

installed! {
    Installed2 = "register_1_9", "register 1,9, registers installed, 3,9 to 7,0",
    when "register 1,9";
    1 register_7_0, 2 register_6_f, 3 register_6_e, 4 register_6_d, 5 register_6_c, 6 register_6_b,
    7 register_6_a, 8 register_6_9, 9 register_6_8, 10 register_6_7, 11 register_6_6,
    12 register_6_5, 13 register_6_4, 14 register_6_3, 15 register_6_2, 16 register_6_1,
    17 register_6_0, 18 register_5_f, 19 register_5_e, 20 register_5_d, 21 register_5_c,
    22 register_5_b, 23 register_5_a, 24 register_5_9, 25 register_5_8, 26 register_5_7,
    27 register_5_6, 28 register_5_5, 29 register_5_4, 30 register_5_3, 31 register_5_2,
    32 register_5_1, 33 register_5_0, 34 register_4_f, 35 register_4_e, 36 register_4_d,
    37 register_4_c, 38 register_4_b, 39 register_4_a, 40 register_4_9, 41 register_4_8,
    42 register_4_7, 43 register_4_6, 44 register_4_5, 45 register_4_4, 46 register_4_3,
    47 register_4_2, 48 register_4_1, 49 register_4_0, 50 register_3_f, 51 register_3_e,
    52 register_3_d, 53 register_3_c, 54 register_3_b, 55 register_3_a, 56 register_3_9
}

installed! {
    Installed3 = "register_1_a", "register 1,A, registers installed, 7,1 to A,8",
    when "register 1,A";
    1 register_a_8, 2 register_a_7, 3 register_a_6, 4 register_a_5, 5 register_a_4, 6 register_a_3,
    7 register_a_2, 8 register_a_1, 9 register_a_0, 10 register_9_f, 11 register_9_e,
    12 register_9_d, 13 register_9_c, 14 register_9_b, 15 register_9_a, 16 register_9_9,
    17 register_9_8, 18 register_9_7, 19 register_9_6, 20 register_9_5, 21 register_9_4,
    22 register_9_3, 23 register_9_2, 24 register_9_1, 25 register_9_0, 26 register_8_f,
    27 register_8_e, 28 register_8_d, 29 register_8_c, 30 register_8_b, 31 register_8_a,
    32 register_8_9, 33 register_8_8, 34 register_8_7, 35 register_8_6, 36 register_8_5,
    37 register_8_4, 38 register_8_3, 39 register_8_2, 40 register_8_1, 41 register_8_0,
    42 register_7_f, 43 register_7_e, 44 register_7_d, 45 register_7_c, 46 register_7_b,
    47 register_7_a, 48 register_7_9, 49 register_7_8, 50 register_7_7, 51 register_7_6,
    52 register_7_5, 53 register_7_4, 54 register_7_3, 55 register_7_2, 56 register_7_1
}

installed! {
    Installed4 = "register_1_b", "register 1,B, registers installed, A,9 to E,0",
    when "register 1,B";
    1 register_e_0, 2 register_d_f, 3 register_d_e, 4 register_d_d, 5 register_d_c, 6 register_d_b,
    7 register_d_a, 8 register_d_9, 9 register_d_8, 10 register_d_7, 11 register_d_6,
    12 register_d_5, 13 register_d_4, 14 register_d_3, 15 register_d_2, 16 register_d_1,
    17 register_d_0, 18 register_c_f, 19 register_c_e, 20 register_c_d, 21 register_c_c,
    22 register_c_b, 23 register_c_a, 24 register_c_9, 25 register_c_8, 26 register_c_7,
    27 register_c_6, 28 register_c_5, 29 register_c_4, 30 register_c_3, 31 register_c_2,
    32 register_c_1, 33 register_c_0, 34 register_b_f, 35 register_b_e, 36 register_b_d,
    37 register_b_c, 38 register_b_b, 39 register_b_a, 40 register_b_9, 41 register_b_8,
    42 register_b_7, 43 register_b_6, 44 register_b_5, 45 register_b_4, 46 register_b_3,
    47 register_b_2, 48 register_b_1, 49 register_b_0, 50 register_a_f, 51 register_a_e,
    52 register_a_d, 53 register_a_c, 54 register_a_b, 55 register_a_a, 56 register_a_9
}

installed! {
    Installed5 = "register_1_c", "register 1,C, registers installed, E,1 to F,F",
    when "register 1,C";
    reserved 25 reserved_1_25: 25;
    26 register_f_f, 27 register_f_e, 28 register_f_d, 29 register_f_c, 30 register_f_b,
    31 register_f_a, 32 register_f_9, 33 register_f_8, 34 register_f_7, 35 register_f_6,
    36 register_f_5, 37 register_f_4, 38 register_f_3, 39 register_f_2, 40 register_f_1,
    41 register_f_0, 42 register_e_f, 43 register_e_e, 44 register_e_d, 45 register_e_c,
    46 register_e_b, 47 register_e_a, 48 register_e_9, 49 register_e_8, 50 register_e_7,
    51 register_e_6, 52 register_e_5, 53 register_e_4, 54 register_e_3, 55 register_e_2,
    56 register_e_1
}
