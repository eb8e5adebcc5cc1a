//! TIS-B velocity: type code 19 in format 18, control fields 2 and 5. Bit 36 says which of two layouts the last ten bits
//! have (IMF and accuracy Doc 9871 draft, pages 179 and 185; what else differs from ADS-B from memory).

use super::airborne_velocity::{AIRSPEED, EAST, GROUND_SPEED, HEADING, NORTH, TRACK, difference, vertical_rate};
use super::{AirborneVelocityAir, AirborneVelocityGround};
use crate::code::table::table;
use crate::code::{
    AirspeedKind, Angle10, Flag, GeometricDifference, Nacp, Nacv, Number, Reserved, Sign, Sil, Speed, TypeCode,
    VerticalRate,
};

/// What the four tables have in common, around how the velocity is given and what the last ten bits hold.
macro_rules! tis_b_velocity {
    (
        $(#[$doc:meta])* $name:ident = $title:literal, when $applies:literal, template $template:expr;
        velocity [ $($velocity:tt)* ] end [ $($end:tt)* ] derived [ $($derived:tt)* ]
    ) => {
        table! {
            $(#[$doc])*
            $name: u64, 56 bits = "airborne_velocity", $title, when $applies, template $template;
            1..=5 type_code: TypeCode => "type_code", "Type code 19", "D185 H5";
            6..=8 subtype: Number<3> => "subtype", "1 over the ground, 3 through the air, 2 and 4 the same supersonic", "D179 D261";
            9..=9 imf: Number<1> => "imf", "IMF: with the control field it says what the address is", "D179 D185";
            10..=13 nacp: Nacp => "nacp", "Accuracy of position", "D185";
            $($velocity)*
            36..=36 geometric_flag: Flag => "geometric_flag", "GEO: which layout the last ten bits have", "memory";
            37..=37 vertical_rate_sign: Sign, "Up (0) or down (1)", "H5 memory";
            38..=46 vertical_rate: VerticalRate, "Vertical rate", "H5 memory";
            47..=47 nic_supplement_a: Number<1> => "nic_supplement_a", "NIC supplement", "memory";
            $($end)*
            derived [ $($derived)* ]
        }
    };
}

/// The four tables: two ways to tell the velocity, two ends.
macro_rules! both_ends {
    (
        $plain:ident = $plain_title:literal, when $plain_applies:literal, template $plain_template:expr;
        $geometric:ident = $geometric_title:literal, when $geometric_applies:literal, template $geometric_template:expr;
        $velocity:tt, $message:ident, derived [ $($derived:tt)* ]
    ) => {
        tis_b_velocity! {
            #[doc = concat!("Velocity as a ground station sees it: ", $plain_applies, ".")]
            $plain = $plain_title, when $plain_applies, template $plain_template;
            velocity $velocity
            end [
                48..=50 nacv: Nacv => "nacv", "Accuracy of velocity", "memory";
                51..=52 sil: Sil => "sil", "Source integrity level", "memory";
                53..=56 reserved_53_56: Reserved<4>, "Reserved", "memory";
            ]
            derived [ $($derived)* vertical_rate::<$message>() ]
        }
        tis_b_velocity! {
            #[doc = concat!("Velocity as a ground station sees it: ", $geometric_applies, ".")]
            $geometric = $geometric_title, when $geometric_applies, template $geometric_template;
            velocity $velocity
            end [
                48..=48 reserved_48_48: Reserved<1>, "Reserved", "memory";
                49..=49 geometric_difference_sign: Sign, "Geometric height above (0) or below (1) pressure altitude", "H5 memory";
                50..=56 geometric_difference: GeometricDifference, "Geometric height minus pressure altitude", "H5 memory";
            ]
            derived [ $($derived)* vertical_rate::<$message>(), difference::<$message>() ]
        }
    };
}

both_ends! {
    TisBVelocityGround = "TIS-B velocity over the ground",
    when "format 18, control fields 2 and 5, type code 19, subtypes 1 and 2, bit 36 zero",
    template 19 << 51 | 1 << 48;
    TisBVelocityGroundGeometric = "TIS-B velocity over the ground, with geometric height",
    when "format 18, control fields 2 and 5, type code 19, subtypes 1 and 2, bit 36 one",
    template 19 << 51 | 1 << 48 | 1 << 20;
    [
        14..=14 east_west_direction: Sign, "East (0) or west (1)", "D185 H5";
        15..=24 east_west_velocity: Speed, "East-west speed", "D185 H5";
        25..=25 north_south_direction: Sign, "North (0) or south (1)", "D185 H5";
        26..=35 north_south_velocity: Speed, "North-south speed", "D185 H5";
    ],
    AirborneVelocityGround, derived [EAST, NORTH, GROUND_SPEED, TRACK,]
}

both_ends! {
    TisBVelocityAir = "TIS-B velocity through the air",
    when "format 18, control fields 2 and 5, type code 19, subtypes 3 and 4, bit 36 zero",
    template 19 << 51 | 3 << 48;
    TisBVelocityAirGeometric = "TIS-B velocity through the air, with geometric height",
    when "format 18, control fields 2 and 5, type code 19, subtypes 3 and 4, bit 36 one",
    template 19 << 51 | 3 << 48 | 1 << 20;
    [
        14..=14 heading_status: Flag => "heading_valid", "Whether the heading holds", "D185 H5";
        15..=24 heading: Angle10, "Heading", "D185 H5";
        25..=25 airspeed_kind: AirspeedKind => "airspeed_kind", "Indicated or true airspeed", "D185 H5";
        26..=35 airspeed: Speed, "Airspeed", "D185 H5";
    ],
    AirborneVelocityAir, derived [HEADING, AIRSPEED,]
}
