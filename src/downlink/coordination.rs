//! Decodes the message field of format 16 where it says how two aircraft avoid each other (first octet 30,
//! hexadecimal). With another first octet it holds the register that the interrogation named, which the reply does not
//! say.

use crate::code::acas::{ADVISORY, COMPLEMENTS};
use crate::code::table::table;
use crate::code::{Flag, Number, Reserved};

table! {
    /// The coordination reply: the bits of register 3,0 without the threat.
    CoordinationReply: u64, 56 bits = "coordination_reply", "ACAS coordination reply",
    when "format 16, first octet of the message field 30 (hexadecimal)",
    template 0x30 << 48;
    1..=4 definition_1: Number<4> => "definition_1", "Kind of message, first part (VDS1): 3", "HM4";
    5..=8 definition_2: Number<4> => "definition_2", "Kind of message, second part (VDS2): 0", "HM4";
    9..=9 one_sense: Flag, "One threat, or several and one sense for all", "A4-77 HM4";
    10..=10 advisory_10: Flag, "Corrective; with mixed senses: correction upward", "HM4";
    11..=11 advisory_11: Flag, "Downward sense; with mixed senses: positive climb", "HM4";
    12..=12 advisory_12: Flag, "Increased rate; with mixed senses: correction downward", "HM4";
    13..=13 advisory_13: Flag, "Sense reversal; with mixed senses: positive descent", "HM4";
    14..=14 altitude_crossing: Flag, "Altitude crossing", "HM4";
    15..=15 advisory_15: Flag, "Positive, else vertical speed limit; with mixed senses: sense reversal", "HM4";
    16..=22 reserved_16_22: Reserved<7>, "Reserved for ACAS III", "HM4";
    23..=23 not_below: Flag, "Complement: do not pass below", "A4-77 HM4";
    24..=24 not_above: Flag, "Complement: do not pass above", "A4-77 HM4";
    25..=25 not_left: Flag, "Complement: do not turn left", "A4-77 HM4";
    26..=26 not_right: Flag, "Complement: do not turn right", "A4-77 HM4";
    27..=27 advisory_terminated: Flag => "advisory_terminated", "The advisory has ended, and is sent for 18 s more", "A4-77 HM4";
    28..=28 multiple_threats: Flag => "multiple_threats", "Two or more threats", "A4-77 HM4";
    29..=56 reserved_29_56: Reserved<28>, "Spare, zero", "HM4";
    derived [ADVISORY, COMPLEMENTS]
}
