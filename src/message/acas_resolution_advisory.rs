//! ACAS resolution advisory broadcast: type code 28, subtype 2. Bits 9 to 56 are those of register 3,0.

use crate::code::acas::{
    ADVISORY, COMPLEMENTS, THREAT_ADDRESS, THREAT_ALTITUDE, THREAT_BEARING, THREAT_RANGE, ThreatKind,
};
use crate::code::table::table;
use crate::code::{Flag, Number, Reserved, TypeCode};

table! {
    /// What the collision avoidance advises: type code 28, subtype 2. What bits 10 to 15 say depends on bits 9 and 28.
    AcasResolutionAdvisory: u64, 56 bits = "acas_resolution_advisory", "ACAS resolution advisory broadcast",
    when "type code 28, subtype 2, not in version 0",
    template 28 << 51 | 2 << 48;
    1..=5 type_code: TypeCode => "type_code", "Type code 28", "D172 H1";
    6..=8 subtype: Number<3> => "subtype", "2, resolution advisory", "D172 H1";
    9..=9 one_sense: Flag, "One threat, or several and one sense for all", "HM4 HM6 AX";
    10..=10 advisory_10: Flag, "Corrective; with mixed senses: correction upward", "HM4 HM6 AX";
    11..=11 advisory_11: Flag, "Downward sense; with mixed senses: positive climb", "HM4 HM6 AX";
    12..=12 advisory_12: Flag, "Increased rate; with mixed senses: correction downward", "HM4 HM6 AX";
    13..=13 advisory_13: Flag, "Sense reversal; with mixed senses: positive descent", "HM4 HM6 AX";
    14..=14 altitude_crossing: Flag, "Altitude crossing", "HM4 HM6 AX";
    15..=15 advisory_15: Flag, "Positive, else vertical speed limit; with mixed senses: sense reversal", "HM4 HM6 AX";
    16..=22 reserved_16_22: Reserved<7>, "Reserved for ACAS III", "HM4 HM6 AX";
    23..=23 not_below: Flag, "Complement: do not pass below", "HM4 HM6 AX";
    24..=24 not_above: Flag, "Complement: do not pass above", "HM4 HM6 AX";
    25..=25 not_left: Flag, "Complement: do not turn left", "HM6 AX";
    26..=26 not_right: Flag, "Complement: do not turn right", "HM6 AX";
    27..=27 advisory_terminated: Flag => "advisory_terminated", "The advisory has ended; the broadcast goes on for some seconds", "D166 HM4 AX";
    28..=28 multiple_threats: Flag => "multiple_threats", "Two or more threats", "HM4 HM6 AX";
    29..=30 threat_kind: ThreatKind => "threat_kind", "How the threat is identified", "HM6 AX";
    31..=56 threat_identity: Number<26>, "The threat: by kind 24 bits of address, or altitude, range and bearing", "HM6 AX";
    derived [ADVISORY, COMPLEMENTS, THREAT_ADDRESS, THREAT_ALTITUDE, THREAT_RANGE, THREAT_BEARING]
}
