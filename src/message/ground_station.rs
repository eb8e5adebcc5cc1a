//! What ground stations send in format 18: TIS-B, ADS-R and their management. The control field says which (from memory,
//! and as a published answer quotes DO-260B).

use super::tis_b_velocity::{
    TisBVelocityAir, TisBVelocityAirGeometric, TisBVelocityGround, TisBVelocityGroundGeometric,
};
use super::{
    AircraftIdentification, Message, ReservedMessage, TisBAirbornePosition, TisBCoarsePosition, TisBSurfacePosition,
    rebroadcast,
};
use crate::code::table::{Table, same_text, table};
use crate::code::{Number, Version};

/// Messages that carry no type code and whose layout no source here gives.
macro_rules! kept_whole {
    ($name:ident = $message:literal, $title:literal, when $applies:literal) => {
        table! {
            #[doc = concat!("Kept whole: ", $applies, ".")]
            $name: u64, 56 bits = $message, $title, when $applies, template 0;
            1..=28 data_1_28: Number<28>, "As received, first half: no source is held for this layout", "CF memory";
            29..=56 data_29_56: Number<28>, "As received, second half: no source is held for this layout", "CF memory";
        }
    };
}
kept_whole!(TisBManagement = "tis_b_management", "TIS-B and ADS-R management", when "format 18, control field 4");
kept_whole!(ReservedControlField = "reserved", "reserved control field", when "format 18, control field 7");

/// Every table that only ground stations' messages have, those of [`rebroadcast`] apart.
const OWN: [&Table; 9] = [
    TisBAirbornePosition::TABLE,
    TisBSurfacePosition::TABLE,
    TisBVelocityGround::TABLE,
    TisBVelocityGroundGeometric::TABLE,
    TisBVelocityAir::TABLE,
    TisBVelocityAirGeometric::TABLE,
    TisBCoarsePosition::TABLE,
    TisBManagement::TABLE,
    ReservedControlField::TABLE,
];

/// Every table that only ground stations' messages have.
pub const TABLES: [&Table; OWN.len() + rebroadcast::TABLES.len()] = {
    let mut all = [OWN[0]; OWN.len() + rebroadcast::TABLES.len()];
    let mut at = 0;
    while at < all.len() {
        all[at] = if at < OWN.len() { OWN[at] } else { rebroadcast::TABLES[at - OWN.len()].1 };
        at += 1;
    }
    all
};

/// What the fine messages of TIS-B (control fields 2 and 5) are.
pub(crate) const FINE: [&Table; 8] = [
    AircraftIdentification::TABLE,
    TisBSurfacePosition::TABLE,
    TisBAirbornePosition::TABLE,
    TisBVelocityGround::TABLE,
    TisBVelocityGroundGeometric::TABLE,
    TisBVelocityAir::TABLE,
    TisBVelocityAirGeometric::TABLE,
    ReservedMessage::TABLE,
];

/// What repeated messages (control field 6) are: each message as repeated, or as it was where nothing in it changes.
pub(crate) const REBROADCAST: [&Table; Message::TABLES.len()] = {
    let mut all = [Message::TABLES[0]; Message::TABLES.len()];
    let mut at = 0;
    while at < all.len() {
        all[at] = Message::TABLES[at];
        let mut other = 0;
        while other < rebroadcast::TABLES.len() {
            if same_text(rebroadcast::TABLES[other].0.title, all[at].title) {
                all[at] = rebroadcast::TABLES[other].1;
            }
            other += 1;
        }
        at += 1;
    }
    all
};

/// The table of a repeated message, in the version in force where that is known.
pub(crate) fn rebroadcast(bits: u64, version: Option<Version>) -> &'static Table {
    let original = Message::table_in(bits, version);
    rebroadcast::TABLES.iter().find(|(table, _)| *table == original).map_or(original, |(_, table)| table)
}

/// The table of a fine message of TIS-B.
pub(crate) fn fine(bits: u64, _version: Option<Version>) -> &'static Table {
    let geometric = bits >> 20 & 1 == 1;
    match (bits >> 51 & 31, bits >> 48 & 7) {
        (1..=4, _) => AircraftIdentification::TABLE,
        (5..=8, _) => TisBSurfacePosition::TABLE,
        (9..=18 | 20..=22, _) => TisBAirbornePosition::TABLE,
        (19, 1 | 2) if geometric => TisBVelocityGroundGeometric::TABLE,
        (19, 1 | 2) => TisBVelocityGround::TABLE,
        (19, 3 | 4) if geometric => TisBVelocityAirGeometric::TABLE,
        (19, 3 | 4) => TisBVelocityAir::TABLE,
        _ => ReservedMessage::TABLE,
    }
}

/// The IMF of a message that is read with this table, in this version; `None` if the message has none, or its place
/// is not settled.
pub(crate) fn imf(table: &Table, bits: u64, version: Version) -> Option<bool> {
    let fields = table.fields(bits.into(), version);
    fields.iter().find(|(name, _)| *name == "imf").map(|(_, meaning)| meaning.value == crate::code::Value::Integer(1))
}
