//! Register 3,0: the active resolution advisory of the collision avoidance.

use super::inference::Weigher;
use crate::code::acas::{
    ADVISORY, COMPLEMENTS, THREAT_ADDRESS, THREAT_ALTITUDE, THREAT_BEARING, THREAT_RANGE, ThreatKind,
};
use crate::code::table::table;
use crate::code::{Flag, Number, RegisterNumber, Reserved};

table! {
    /// Register 3,0: the active resolution advisory. What bits 10 to 15 say depends on bits 9 and 28.
    ActiveResolutionAdvisory: u64, 56 bits = "register_3_0", "register 3,0, ACAS active resolution advisory",
    when "register 3,0",
    template 0x30 << 48;
    1..=8 register_number: RegisterNumber => "register", "The register's own number", "SB HM6";
    9..=9 one_sense: Flag, "One threat, or several and one sense for all", "A4-77 SB HM4 HM6";
    10..=10 advisory_10: Flag, "Corrective; with mixed senses: correction upward", "HM4 HM6";
    11..=11 advisory_11: Flag, "Downward sense; with mixed senses: positive climb", "HM4 HM6";
    12..=12 advisory_12: Flag, "Increased rate; with mixed senses: correction downward", "HM4 HM6";
    13..=13 advisory_13: Flag, "Sense reversal; with mixed senses: positive descent", "HM4 HM6";
    14..=14 altitude_crossing: Flag, "Altitude crossing", "HM4 HM6";
    15..=15 advisory_15: Flag, "Positive, else vertical speed limit; with mixed senses: sense reversal", "HM4 HM6";
    16..=22 reserved_16_22: Reserved<7>, "Reserved for ACAS III", "HM4 HM6";
    23..=23 not_below: Flag, "Complement: do not pass below", "A4-77 HM4 HM6";
    24..=24 not_above: Flag, "Complement: do not pass above", "A4-77 HM4 HM6";
    25..=25 not_left: Flag, "Complement: do not turn left", "A4-77 HM6";
    26..=26 not_right: Flag, "Complement: do not turn right", "A4-77 HM6";
    27..=27 advisory_terminated: Flag => "advisory_terminated", "The advisory has ended, and is sent for 18 s more", "A4-77 HM4";
    28..=28 multiple_threats: Flag => "multiple_threats", "Two or more threats", "A4-77 HM4 HM6";
    29..=30 threat_kind: ThreatKind => "threat_kind", "How the threat is identified", "A4-78 HM6";
    31..=56 threat_identity: Number<26>, "The threat: by kind 24 bits of address, or altitude, range and bearing", "A4-78 HM6";
    derived [ADVISORY, COMPLEMENTS, THREAT_ADDRESS, THREAT_ALTITUDE, THREAT_RANGE, THREAT_BEARING]
}

/// What only this register forbids.
pub(super) fn rules(w: &mut Weigher) {
    w.threat_kind();
    w.odd(!w.is_set(9) && !w.is_set(28) && w.field(10, 15) != 0, || {
        "bits 10-15 are not zero, though bits 9 and 28 say that there is no advisory".to_owned()
    });
    w.odd(w.field(29, 30) == 0 && w.field(31, 56) != 0, || {
        "a threat is identified, though its kind says that it is not".to_owned()
    });
}
