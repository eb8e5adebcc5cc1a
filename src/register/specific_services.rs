//! Registers 1,D to 1,F: which channels of the Mode S specific protocol (MSP) have a service: one bit per channel for the
//! uplink, and one for the downlink (1,E: Doc 9871, draft, page 83; the others from memory).

use crate::code::table::table;
use crate::code::{Flag, Reserved};

/// One table per register: bit, and the key that is the field too.
macro_rules! services {
    (
        $name:ident = $message:literal, $title:literal, when $applies:literal, $source:literal;
        uplink $( $bit:literal $key:ident ),+; $( reserved $first:literal to $last:literal $reserved:ident: $width:literal; )?
        downlink $( $down_bit:literal $down_key:ident ),+; $( reserved $down_first:literal to $down_last:literal $down_reserved:ident: $down_width:literal; )?
    ) => {
        table! {
            #[doc = concat!("The ", $title, ".")]
            $name: u64, 56 bits = $message, $title,
            when $applies,
            template 0;
            $( $bit..=$bit $key: Flag => stringify!($key), "Uplink channel with a service", $source; )+
            $( $first..=$last $reserved: Reserved<$width>, "Reserved", $source; )?
            $( $down_bit..=$down_bit $down_key: Flag => stringify!($down_key), "Downlink channel with a service", $source; )+
            $( $down_first..=$down_last $down_reserved: Reserved<$down_width>, "Reserved", $source; )?
        }
    };
}

services! {
    SpecificServices1 = "register_1_d", "register 1,D, MSP channels 1 to 28", when "register 1,D", "memory";
    uplink
        1 uplink_channel_1, 2 uplink_channel_2, 3 uplink_channel_3, 4 uplink_channel_4, 5 uplink_channel_5,
        6 uplink_channel_6, 7 uplink_channel_7, 8 uplink_channel_8, 9 uplink_channel_9, 10 uplink_channel_10,
        11 uplink_channel_11, 12 uplink_channel_12, 13 uplink_channel_13, 14 uplink_channel_14, 15 uplink_channel_15,
        16 uplink_channel_16, 17 uplink_channel_17, 18 uplink_channel_18, 19 uplink_channel_19, 20 uplink_channel_20,
        21 uplink_channel_21, 22 uplink_channel_22, 23 uplink_channel_23, 24 uplink_channel_24, 25 uplink_channel_25,
        26 uplink_channel_26, 27 uplink_channel_27, 28 uplink_channel_28;
    downlink
        29 downlink_channel_1, 30 downlink_channel_2, 31 downlink_channel_3, 32 downlink_channel_4,
        33 downlink_channel_5, 34 downlink_channel_6, 35 downlink_channel_7, 36 downlink_channel_8,
        37 downlink_channel_9, 38 downlink_channel_10, 39 downlink_channel_11, 40 downlink_channel_12,
        41 downlink_channel_13, 42 downlink_channel_14, 43 downlink_channel_15, 44 downlink_channel_16,
        45 downlink_channel_17, 46 downlink_channel_18, 47 downlink_channel_19, 48 downlink_channel_20,
        49 downlink_channel_21, 50 downlink_channel_22, 51 downlink_channel_23, 52 downlink_channel_24,
        53 downlink_channel_25, 54 downlink_channel_26, 55 downlink_channel_27, 56 downlink_channel_28;
}

services! {
    SpecificServices2 = "register_1_e", "register 1,E, MSP channels 29 to 56", when "register 1,E", "D83";
    uplink
        1 uplink_channel_29, 2 uplink_channel_30, 3 uplink_channel_31, 4 uplink_channel_32, 5 uplink_channel_33,
        6 uplink_channel_34, 7 uplink_channel_35, 8 uplink_channel_36, 9 uplink_channel_37, 10 uplink_channel_38,
        11 uplink_channel_39, 12 uplink_channel_40, 13 uplink_channel_41, 14 uplink_channel_42, 15 uplink_channel_43,
        16 uplink_channel_44, 17 uplink_channel_45, 18 uplink_channel_46, 19 uplink_channel_47, 20 uplink_channel_48,
        21 uplink_channel_49, 22 uplink_channel_50, 23 uplink_channel_51, 24 uplink_channel_52, 25 uplink_channel_53,
        26 uplink_channel_54, 27 uplink_channel_55, 28 uplink_channel_56;
    downlink
        29 downlink_channel_29, 30 downlink_channel_30, 31 downlink_channel_31, 32 downlink_channel_32,
        33 downlink_channel_33, 34 downlink_channel_34, 35 downlink_channel_35, 36 downlink_channel_36,
        37 downlink_channel_37, 38 downlink_channel_38, 39 downlink_channel_39, 40 downlink_channel_40,
        41 downlink_channel_41, 42 downlink_channel_42, 43 downlink_channel_43, 44 downlink_channel_44,
        45 downlink_channel_45, 46 downlink_channel_46, 47 downlink_channel_47, 48 downlink_channel_48,
        49 downlink_channel_49, 50 downlink_channel_50, 51 downlink_channel_51, 52 downlink_channel_52,
        53 downlink_channel_53, 54 downlink_channel_54, 55 downlink_channel_55, 56 downlink_channel_56;
}

services! {
    SpecificServices3 = "register_1_f", "register 1,F, MSP channels 57 to 63", when "register 1,F", "memory";
    uplink
        1 uplink_channel_57, 2 uplink_channel_58, 3 uplink_channel_59, 4 uplink_channel_60, 5 uplink_channel_61,
        6 uplink_channel_62, 7 uplink_channel_63;
    reserved 8 to 28 reserved_8_28: 21;
    downlink
        29 downlink_channel_57, 30 downlink_channel_58, 31 downlink_channel_59, 32 downlink_channel_60,
        33 downlink_channel_61, 34 downlink_channel_62, 35 downlink_channel_63;
    reserved 36 to 56 reserved_36_56: 21;
}
