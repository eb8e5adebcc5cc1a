//! Messages that are named here but not divided into fields: their payload is kept as received, in pieces that any JSON
//! reader holds.

use crate::code::table::table;
use crate::code::{Number, TypeCode, Version};

/// Declares messages whose payload is kept whole behind the type code.
macro_rules! undivided {
    ($(
        $name:ident = $message:literal, $title:literal, when $applies:literal,
        $(in version $version:expr,)? template $template:expr;
    )+) => {
        $(
            table! {
                #[doc = concat!("Kept whole: ", $applies, ".")]
                $name: u64, 56 bits = $message, $title, when $applies,
                $(in version $version,)? template $template;
                1..=5 type_code: TypeCode => "type_code", "Type code", "D192 D140 H1";
                6..=32 data_6_32: Number<27>, "The payload as received, first part", "D140";
                33..=56 data_33_56: Number<24>, "The payload as received, second part", "D140";
            }
        )+
    };
}

undivided! {
    SurfaceSystemStatus = "surface_system_status", "surface system status",
        when "type code 24, subtype 1, not in version 1 (from memory; the layout is a nation's own)",
        template 24 << 51 | 1 << 48;
    TargetStateOther = "target_state_and_status", "target state and status, layout not held",
        when "type code 29, subtype 2 or 3, and every subtype while a version of 3 or more is in force", template 29 << 51 | 2 << 49;
    TrajectoryChangePoint = "trajectory_change_point", "trajectory change point, layout not held",
        when "type code 29 while version 0 is in force", in version Version::Zero, template 29 << 51;
    OperationalCoordination = "operational_coordination", "operational coordination, layout not held",
        when "type code 30 while version 0 is in force", in version Version::Zero, template 30 << 51;
    ReservedMessage = "reserved", "reserved",
        when "every type code and subtype that no other message claims", template 25 << 51;
}
