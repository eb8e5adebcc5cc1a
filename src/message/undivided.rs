//! Messages that are named here and kept whole: their payload stands as received, in pieces that any JSON reader holds.

use crate::code::table::table;
use crate::code::{Number, TypeCode, VersionNumber};

/// Declares messages whose payload is kept whole behind the type code.
macro_rules! undivided {
    ($( $name:ident = $message:literal, $title:literal, when $applies:literal, template $template:expr; )+) => {
        $(
            table! {
                #[doc = concat!("Kept whole: ", $applies, ".")]
                $name: u64, 56 bits = $message, $title, when $applies, template $template;
                1..=5 type_code: TypeCode => "type_code", "Type code", "D192 D140 H1";
                6..=32 data_6_32: Number<27>, "The payload as received, first part", "D140";
                33..=56 data_33_56: Number<24>, "The payload as received, second part", "D140";
            }
        )+
    };
}

undivided! {
    Test = "test", "test message", when "type code 23", template 23 << 51;
    SurfaceSystemStatus = "surface_system_status", "surface system status",
        when "type code 24, subtype 1 (from memory)", template 24 << 51 | 1 << 48;
    AcasResolutionAdvisory = "acas_resolution_advisory", "ACAS resolution advisory broadcast",
        when "type code 28, subtype 2", template 28 << 51 | 2 << 48;
    TargetStateOther = "target_state_and_status", "target state and status, layout not held",
        when "type code 29, another subtype than 1", template 29 << 51;
    ReservedMessage = "reserved", "reserved",
        when "every type code and subtype that no other message claims", template 25 << 51;
}

table! {
    /// Operational status in a version whose layout is not divided here.
    OperationalStatusOther: u64, 56 bits = "operational_status", "operational status, layout not held",
    when "type code 31 in another version than 2, or another subtype than 0 and 1",
    template 31 << 51;
    1..=5 type_code: TypeCode => "type_code", "Type code 31", "D218 H6";
    6..=8 subtype: Number<3> => "subtype", "0 airborne, 1 on the ground", "D218 H6";
    9..=40 data_9_40: Number<32>, "As received", "D218";
    41..=43 version_number: VersionNumber => "version", "Version of the standard", "D157 H1 H6";
    44..=56 data_44_56: Number<13>, "As received", "D218";
}
