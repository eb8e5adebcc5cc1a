//! Lists which payload may be in which envelope, how it is recognised, and what is renamed where an envelope and its
//! payload have a name in common.
//!
//! This is the only list of them. Decoding, encoding, the keys of JSON, the columns of tables, the reference and the tests
//! read it, and the build fails where two rows of one frame would go by the same name.

use super::{
    CommBAltitude, CommBIdentity, CoordinationReply, ExtendedSquitter, ExtendedSquitterOther, FORMATS, LongAirAir,
    Military, Reading, UnassignedLong, WholePayload,
};
use crate::code::table::{Table, same_text};
use crate::code::{RegisterNumber, Version};
use crate::message::{Message, TisBCoarsePosition, ground_station};
use crate::register;
use std::ptr;

/// How the payload of an envelope is recognised.
#[derive(Clone, Copy, Debug)]
pub(super) enum Recognised {
    /// It is always this one.
    Always(&'static Table),
    /// By type code and subtype, as in the squitter of a transponder.
    AsSquitter,
    /// By its own bits and the version in force.
    By(fn(u64, Option<Version>) -> &'static Table),
    /// By the register that was requested, which the frame does not say.
    ByRegister,
}

/// Payloads that may be in an envelope.
#[derive(Debug)]
pub struct Pair {
    /// The table of the format.
    pub envelope: &'static Table,
    /// The values of frame bits 6 to 8 (control field, application field) that promise such a payload.
    pub selected_by: &'static [u8],
    /// How the payload is recognised.
    pub(super) recognised: Recognised,
    /// Every table that it may be recognised as.
    pub payloads: &'static [&'static Table],
    /// Names of the payload that the envelope has too, each with the name that it goes by in this envelope.
    pub renamed: &'static [(&'static str, &'static str)],
}

/// Any value of bits 6 to 8.
const ANY: &[u8] = &[0, 1, 2, 3, 4, 5, 6, 7];
const WHOLE: Recognised = Recognised::Always(WholePayload::TABLE);

/// The pairs, one entry per way in which payloads are recognised.
pub const PAIRS: &[Pair] = &[
    Pair {
        envelope: ExtendedSquitter::TABLE,
        selected_by: ANY,
        recognised: Recognised::AsSquitter,
        payloads: Message::TABLES,
        renamed: &[],
    },
    // The control field of format 18 says which layout follows (from memory, and as a published answer quotes DO-260B).
    Pair {
        envelope: ExtendedSquitterOther::TABLE,
        selected_by: &[0, 1],
        recognised: Recognised::AsSquitter,
        payloads: Message::TABLES,
        renamed: &[],
    },
    Pair {
        envelope: ExtendedSquitterOther::TABLE,
        selected_by: &[2, 5],
        recognised: Recognised::By(ground_station::fine),
        payloads: &ground_station::FINE,
        renamed: &[],
    },
    Pair {
        envelope: ExtendedSquitterOther::TABLE,
        selected_by: &[3],
        recognised: Recognised::Always(TisBCoarsePosition::TABLE),
        payloads: &[TisBCoarsePosition::TABLE],
        renamed: &[],
    },
    Pair {
        envelope: ExtendedSquitterOther::TABLE,
        selected_by: &[4],
        recognised: Recognised::Always(ground_station::TisBManagement::TABLE),
        payloads: &[ground_station::TisBManagement::TABLE],
        renamed: &[],
    },
    Pair {
        envelope: ExtendedSquitterOther::TABLE,
        selected_by: &[6],
        recognised: Recognised::By(ground_station::rebroadcast),
        payloads: &ground_station::REBROADCAST,
        renamed: &[],
    },
    Pair {
        envelope: ExtendedSquitterOther::TABLE,
        selected_by: &[7],
        recognised: Recognised::Always(ground_station::ReservedControlField::TABLE),
        payloads: &[ground_station::ReservedControlField::TABLE],
        renamed: &[],
    },
    // Application field 0 promises the layout of format 17 (from memory).
    Pair {
        envelope: Military::TABLE,
        selected_by: &[0],
        recognised: Recognised::AsSquitter,
        payloads: Message::TABLES,
        // The envelope's own row is the address; a test message keeps the same bits of the message field.
        renamed: &[("data_9_32", "message_data_9_32")],
    },
    Pair {
        envelope: Military::TABLE,
        selected_by: &[1, 2, 3, 4, 5, 6, 7],
        recognised: WHOLE,
        payloads: &[WholePayload::TABLE],
        renamed: &[],
    },
    Pair {
        envelope: LongAirAir::TABLE,
        selected_by: ANY,
        recognised: Recognised::By(coordination),
        payloads: &[CoordinationReply::TABLE, WholePayload::TABLE],
        renamed: &[],
    },
    // A reply has its own altitude or Mode A code beside the one that a register of the squitter holds.
    Pair {
        envelope: CommBAltitude::TABLE,
        selected_by: ANY,
        recognised: Recognised::ByRegister,
        payloads: &REGISTERS,
        renamed: &[("altitude", "register_altitude"), ("pressure_altitude_ft", "register_pressure_altitude_ft")],
    },
    Pair {
        envelope: CommBIdentity::TABLE,
        selected_by: ANY,
        recognised: Recognised::ByRegister,
        payloads: &REGISTERS,
        renamed: &[("mode_a", "register_mode_a"), ("mode_a_code", "register_mode_a_code")],
    },
    Pair {
        envelope: UnassignedLong::TABLE,
        selected_by: ANY,
        recognised: WHOLE,
        payloads: &[WholePayload::TABLE],
        renamed: &[],
    },
];

/// What a Comm-B reply can carry: a register that is divided here, one that the squitter is sent from, or any other.
const REGISTERS: [&Table; register::TABLES.len() + Message::TABLES.len() + 1] = {
    let mut all = [WholePayload::TABLE; register::TABLES.len() + Message::TABLES.len() + 1];
    let mut at = 0;
    while at < register::TABLES.len() {
        all[at] = register::TABLES[at].1;
        at += 1;
    }
    while at < register::TABLES.len() + Message::TABLES.len() {
        all[at] = Message::TABLES[at - register::TABLES.len()];
        at += 1;
    }
    all
};

fn coordination(bits: u64, _version: Option<Version>) -> &'static Table {
    if bits >> 48 == 0x30 { CoordinationReply::TABLE } else { WholePayload::TABLE }
}

/// The pair of every first octet of a long frame, which holds the format and the field behind it; none in format 24,
/// which has no payload. Which one comes next cannot be foreseen, so it is looked up.
static BY_FIRST_OCTET: [Option<&Pair>; 256] = {
    let mut all = [None; 256];
    let mut octet = 0;
    while octet < all.len() {
        let format = if octet >> 3 > 24 { 24 } else { octet >> 3 };
        let envelope = Reading::of(format as u8, 112).table;
        let mut at = 0;
        while at < PAIRS.len() {
            let pair = &PAIRS[at];
            if same_text(pair.envelope.title, envelope.title) && contains(pair.selected_by, octet as u8 & 7) {
                assert!(all[octet].is_none(), "two pairs are selected by the same first octet");
                all[octet] = Some(pair);
            }
            at += 1;
        }
        assert!(all[octet].is_some() || format == 24, "no pair is selected by this first octet");
        octet += 1;
    }
    all
};

const fn contains(values: &[u8], value: u8) -> bool {
    let mut at = 0;
    while at < values.len() {
        if values[at] == value {
            return true;
        }
        at += 1;
    }
    false
}

impl Pair {
    /// What a long frame with this first octet may carry; none in format 24.
    #[inline]
    pub(super) fn of(first_octet: u8) -> Option<&'static Self> {
        BY_FIRST_OCTET[usize::from(first_octet)]
    }

    /// The table of a payload in the version in force, where that is known.
    #[inline]
    pub(super) fn table(&self, bits: u64, version: Option<Version>) -> &'static Table {
        match self.recognised {
            Recognised::AsSquitter => Message::table_in(bits, version),
            Recognised::Always(table) => table,
            Recognised::By(find) => find(bits, version),
            Recognised::ByRegister => WholePayload::TABLE,
        }
    }

    /// Whether the payload is laid out as in the squitter of a transponder.
    ///
    /// ```
    /// assert!(squitterlab::downlink::PAIRS[0].is_as_squitter());
    /// ```
    pub fn is_as_squitter(&self) -> bool {
        matches!(self.recognised, Recognised::AsSquitter)
    }

    /// Whether the payload is a register that the frame does not name.
    ///
    /// ```
    /// let pairs = squitterlab::downlink::PAIRS;
    /// assert_eq!(pairs.iter().filter(|pair| pair.is_by_register()).count(), 2);
    /// ```
    pub fn is_by_register(&self) -> bool {
        matches!(self.recognised, Recognised::ByRegister)
    }

    /// The tables that this register may be read with.
    ///
    /// ```
    /// let pair = squitterlab::downlink::PAIRS.iter().find(|pair| pair.is_by_register()).unwrap();
    /// assert_eq!(pair.tables_of("5,0".parse().unwrap())[0].message, "register_5_0");
    /// ```
    pub fn tables_of(&self, register: RegisterNumber) -> Vec<&'static Table> {
        let squitter = register::SQUITTER.contains(&register);
        let own = register::TABLES.iter().filter(|(number, _)| *number == register).map(|(_, table)| *table);
        let messages = Message::TABLES.iter().copied().filter(|_| squitter);
        own.chain(messages).filter(|_| self.is_by_register()).collect()
    }

    /// What a key or field of the payload is called in this envelope.
    ///
    /// ```
    /// let pair = squitterlab::downlink::PAIRS.iter().find(|pair| pair.is_by_register()).unwrap();
    /// assert_eq!((pair.name("altitude"), pair.name("track_deg")), ("register_altitude", "track_deg"));
    /// ```
    #[inline]
    pub fn name(&self, own: &'static str) -> &'static str {
        self.renamed.iter().find(|(from, _)| *from == own).map_or(own, |(_, to)| to)
    }
}

/// Every envelope with every payload that it may have, each once; with none for a format that has no payload. An
/// envelope whose payload is known by nothing else is built alone too.
pub(crate) fn combinations() -> impl Iterator<Item = (&'static Table, Option<&'static Pair>, Option<&'static Table>)> {
    let within = PAIRS.iter().enumerate().flat_map(|(at, pair)| {
        let before = move |table: &Table| {
            PAIRS[..at].iter().any(|other| {
                other.envelope == pair.envelope && other.payloads.iter().any(|known| ptr::eq(*known, table))
            })
        };
        let payloads = pair.payloads.iter().copied().filter(move |table| !before(table));
        payloads.map(move |payload| (pair.envelope, Some(pair), Some(payload)))
    });
    let alone = FORMATS.into_iter().filter(|envelope| !PAIRS.iter().any(|pair| pair.envelope == *envelope));
    within.chain(alone.map(|envelope| (envelope, None, None)))
}

/// Every table that a frame can be read with, each once: the formats, then what is inside them.
///
/// ```
/// assert!(squitterlab::downlink::tables().iter().any(|table| table.message == "register_5_0"));
/// ```
pub fn tables() -> Vec<&'static Table> {
    let mut all = FORMATS.to_vec();
    for table in PAIRS.iter().flat_map(|pair| pair.payloads) {
        if !all.contains(table) {
            all.push(table);
        }
    }
    all
}

/// Fails the build where an envelope and a payload share a name that is not renamed, where a name is renamed without
/// need, and where the new name is taken.
const fn assert_names_differ(pair: &Pair) {
    let mut needed = [false; 8];
    assert!(pair.renamed.len() <= needed.len(), "room for more renamed names is needed");
    let mut payload = 0;
    while payload < pair.payloads.len() {
        let table = pair.payloads[payload];
        let mut name = 0;
        while name < table.names() {
            let own = table.name(name);
            if pair.envelope.has_name(own) {
                let mut at = 0;
                while at < pair.renamed.len() && !same_text(pair.renamed[at].0, own) {
                    at += 1;
                }
                assert!(at < pair.renamed.len(), "{}", own);
                needed[at] = true;
            }
            name += 1;
        }
        let mut at = 0;
        while at < pair.renamed.len() {
            let new = pair.renamed[at].1;
            assert!(!table.has_name(new) && !pair.envelope.has_name(new), "the new name is taken");
            at += 1;
        }
        payload += 1;
    }
    let mut at = 0;
    while at < pair.renamed.len() {
        assert!(needed[at], "a name is renamed that the envelope does not have");
        at += 1;
    }
}

#[allow(long_running_const_eval, reason = "every name is compared with every other")]
const _: () = {
    let mut at = 0;
    while at < PAIRS.len() {
        assert_names_differ(&PAIRS[at]);
        at += 1;
    }
};
