//! Addresses and marks, for people and for programs.

use super::text::folded;
use crate::frame::Address;
use crate::registry::{
    Block, Confirmation, Found, Meant, Nationality, REGISTER_DECIDES, TABLE, Unreadable, WrittenAddress,
    address_mistake, belongs, block_of_address, look_up, mark_of_address, nationality_of_mark, read_address,
};
#[cfg(feature = "cli")]
use schemars::JsonSchema;
use serde::Serialize;
use std::fmt::Write;

/// Candidates of one slip that are shown to people.
const SHOWN: usize = 4;

/// What somebody asked about, as it was written, and what it can be read as.
pub type Asked<'a> = (&'a str, &'a Result<Vec<WrittenAddress>, Unreadable>);

/// What an address should be.
#[derive(Clone, Debug)]
pub enum Expected {
    /// This address.
    Address(Address),
    /// One in the block of the State of this mark: no relation between mark and address is published.
    State(String, &'static Nationality),
}

impl Expected {
    /// Reads an address, a United States mark, or a mark of another State, written with its hyphen.
    ///
    /// # Errors
    /// [`Unreadable`] says which rule is broken.
    pub fn read(text: &str) -> Result<Self, Unreadable> {
        let mark = text.trim().to_uppercase();
        match (read_address(text), nationality_of_mark(&mark)) {
            (Ok(written), _) => Ok(Self::Address(written.address)),
            (Err(_), Some((state, _))) if mark.contains('-') && state.state != "United States" => {
                Ok(Self::State(mark, state))
            }
            (Err(unreadable), _) => Err(unreadable),
        }
    }

    /// Whether an address is that, as far as arithmetic and table can tell.
    pub fn is_met_by(&self, address: Address) -> bool {
        match self {
            Self::Address(expected) => *expected == address,
            Self::State(mark, _) => belongs(mark, address) == Confirmation::Block,
        }
    }
}

/// The reading that counts: the only one, or the only one that is expected.
pub fn reading<'a>(readings: &'a [WrittenAddress], expected: Option<&Expected>) -> Option<&'a WrittenAddress> {
    if let [one] = readings {
        return Some(one);
    }
    let mut good = readings.iter().filter(|one| expected.is_some_and(|expected| expected.is_met_by(one.address)));
    good.next().filter(|_| good.next().is_none())
}

fn octal(address: Address) -> String {
    format!("{:08o}", address.bits())
}

fn in_fours(address: Address) -> String {
    let bits = format!("{:024b}", address.bits());
    (0..6).map(|at| &bits[4 * at..4 * at + 4]).collect::<Vec<_>>().join(" ")
}

/// The bits as prefix of the block and the rest.
fn by_block(found: &Found) -> Option<String> {
    let bits = format!("{:024b}", found.address.bits());
    let (prefix, rest) = bits.split_at(usize::from(found.block?.prefix_bits));
    Some(format!("{prefix} {rest}"))
}

/// An address with its mark and its State.
pub fn with_mark(address: Address) -> String {
    let holder = block_of_address(address).map_or("no block of the table held here", |block| block.holder);
    match mark_of_address(address) {
        Some(mark) => format!("{address} ({mark}, {holder})"),
        None => format!("{address} ({holder})"),
    }
}

fn line(out: &mut String, name: &str, text: &str) {
    *out += &folded(&format!("  {name:<13}"), 15, text);
}

/// What may have been meant, the candidates of each slip together.
fn meant_text(out: &mut String, meant: &[Meant]) {
    let mut rest = meant;
    while let Some(first) = rest.first() {
        let count = rest.iter().take_while(|other| other.slip == first.slip).count();
        let (these, after) = rest.split_at(count);
        rest = after;
        let mut shown: Vec<String> =
            these.iter().take(SHOWN).map(|one| format!("{}, if {}", with_mark(one.address), one.detail)).collect();
        if count > SHOWN {
            shown.push(format!("and {} more", count - SHOWN));
        }
        line(out, "may be", &format!("{}: {}", first.slip, shown.join("; ")));
    }
}

/// Why digits that have several readings are not settled.
fn undecided(readings: &[WrittenAddress], expected: Option<&Expected>) -> String {
    let words: Vec<&str> = readings.iter().map(|one| one.notation.word()).collect();
    let compare = if expected.is_some() { "" } else { ", or compare with --expected" };
    let tells = if expected.is_some() { "what is expected does not say which" } else { "nothing here says which" };
    format!("these digits are {}, and {tells}; write {}: in front{compare}", words.join(" or "), words.join(": or "))
}

/// For people.
pub fn text((given, read): Asked<'_>, expected: Option<&Expected>) -> String {
    let mut out = format!("{given}\n");
    let readings = match read {
        Ok(readings) => readings,
        Err(unreadable) => {
            line(&mut out, "error", &unreadable.reason);
            meant_text(&mut out, &unreadable.meant);
            return out;
        }
    };
    let Some(written) = reading(readings, expected) else {
        line(&mut out, "error", &undecided(readings, expected));
        for one in readings {
            line(&mut out, one.notation.word(), &with_mark(one.address));
            if let Some(expected) = expected {
                expected_text(&mut out, expected, one.address);
            }
        }
        return out;
    };
    let found = look_up(written.address);
    let others: Vec<String> = readings
        .iter()
        .filter(|other| *other != written)
        .map(|other| format!(", as is expected; {} would be {}", other.notation.word(), with_mark(other.address)))
        .collect();
    if found.usable {
        line(&mut out, "read as", &(written.notation.word().to_owned() + &others.concat()));
    } else {
        line(&mut out, "error", &format!("read as {}: unusable as an address", written.notation.word()));
    }
    if let Some(mark) = &found.mark {
        line(&mut out, "mark", mark);
    }
    line(&mut out, "State", &state_text(&found));
    line(&mut out, "hexadecimal", &found.address.to_string());
    line(&mut out, "octal", &octal(found.address));
    line(&mut out, "binary", &in_fours(found.address));
    if let Some(bits) = by_block(&found) {
        line(&mut out, "by block", &bits);
    }
    line(&mut out, "decimal", &found.address.bits().to_string());
    for note in &found.notes {
        line(&mut out, "note", note);
    }
    if let Some(expected) = expected {
        expected_text(&mut out, expected, found.address);
    }
    out
}

fn state_text(found: &Found) -> String {
    let row = |block: &Block| {
        format!("{}: {} to {}, prefix {} ({})", block.holder, block.first, block.last, block.prefix, block.source)
    };
    match (found.block, found.next_to) {
        (Some(block), _) => row(block),
        (None, Some(block)) => format!("none in the table held here; next to the block of {}", row(block)),
        (None, None) => "none in the table held here".to_owned(),
    }
}

/// How an address compares with the block of a State, in a sentence.
fn of_state(state: &Nationality, mark: &str, seen: Address) -> String {
    let marked = format!("{mark} is a mark of {} ({})", state.state, state.confirmed);
    match block_of_address(seen) {
        Some(block) if block.holder == state.state => {
            format!("{marked}: agrees, the address is in the block of that State ({})", block.evidence())
        }
        Some(block) => {
            format!("{marked}: differs, the address is in the block of {} ({})", block.holder, block.evidence())
        }
        None => format!("{marked}: cannot tell, no block of the table held here has the address ({TABLE})"),
    }
}

fn expected_text(out: &mut String, expected: &Expected, seen: Address) {
    let expected = match expected {
        Expected::Address(expected) => *expected,
        Expected::State(mark, state) => return line(out, "expected", &of_state(state, mark, seen)),
    };
    if expected == seen {
        line(out, "expected", &format!("{}: agrees", with_mark(expected)));
        return;
    }
    line(out, "expected", &format!("{}: differs", with_mark(expected)));
    let slips = address_mistake::between(expected, seen);
    if slips.is_empty() {
        line(out, "likely", "no single slip turns the expected address into this one");
    }
    for (slip, detail) in slips {
        line(out, "likely", &format!("{}: {} ({detail}); {} [{}]", slip.name, slip.what, slip.correction, slip.source));
    }
}

/// Said once, after the answers.
pub fn closing() -> String {
    let mut out = String::new();
    let _ = write!(out, "\n{}", folded("", 0, REGISTER_DECIDES));
    out
}

/// A slip that would make an address of what was given.
#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct Candidate {
    /// The slip.
    cause: &'static str,
    /// What exactly would have happened.
    detail: String,
    /// The address that it leads to.
    address: String,
    /// Its mark, where that follows from it.
    mark: Option<String>,
    /// The State in whose block it is.
    state: Option<&'static str>,
}

fn candidates(meant: &[Meant]) -> Vec<Candidate> {
    let candidate = |meant: &Meant| Candidate {
        cause: meant.slip,
        detail: meant.detail.clone(),
        address: meant.address.to_string(),
        mark: mark_of_address(meant.address),
        state: block_of_address(meant.address).map(|block| block.holder),
    };
    meant.iter().map(candidate).collect()
}

/// A State's block of addresses.
#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct BlockEntry {
    /// The State.
    holder: &'static str,
    /// The bits that its addresses begin with.
    prefix: &'static str,
    /// How many they are.
    prefix_bits: u8,
    /// The first address.
    first: String,
    /// The last address.
    last: String,
    /// Where the row is from.
    source: &'static str,
    /// How far it is confirmed.
    confirmed: String,
}

impl From<&Block> for BlockEntry {
    fn from(block: &Block) -> Self {
        Self {
            holder: block.holder,
            prefix: block.prefix,
            prefix_bits: block.prefix_bits,
            first: block.first.to_string(),
            last: block.last.to_string(),
            source: block.source,
            confirmed: block.evidence().to_string(),
        }
    }
}

/// What `address` says of one argument: what it is, that it has several readings, or that it cannot be read.
#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[serde(untagged)]
pub enum Answer {
    /// An address.
    Found(Box<FoundEntry>),
    /// Digits with several readings.
    Undecided {
        /// The argument.
        given: String,
        /// What has to be decided.
        error: String,
        /// Each reading.
        readings: Vec<ReadingEntry>,
    },
    /// Neither a mark nor an address.
    Unreadable {
        /// The argument.
        given: String,
        /// Why not.
        error: String,
        /// What may have been meant.
        may_be: Vec<Candidate>,
    },
}

/// All about an address.
#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct FoundEntry {
    /// The argument.
    given: String,
    /// The notation that it was read in.
    read_as: &'static str,
    /// The registration mark, where that follows from the address.
    mark: Option<String>,
    /// Six hexadecimal digits.
    address: String,
    /// Eight octal digits.
    octal: String,
    /// 24 binary digits, in fours.
    binary: String,
    /// The same, the bits of the State's block apart.
    binary_by_block: Option<String>,
    /// As a decimal number.
    decimal: u32,
    /// The block that it is in.
    state: Option<BlockEntry>,
    /// Outside of every block: the block that it is next to.
    next_to: Option<BlockEntry>,
    /// There if no aircraft can have this address.
    #[serde(skip_serializing_if = "Option::is_none")]
    error: Option<&'static str>,
    /// What else is to be known.
    notes: Vec<String>,
    /// There if an address or a mark was expected.
    #[serde(skip_serializing_if = "Option::is_none")]
    expected: Option<ExpectedEntry>,
}

/// One reading of digits that have several.
#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct ReadingEntry {
    /// The notation.
    read_as: &'static str,
    /// Six hexadecimal digits.
    address: String,
    /// The registration mark, where that follows from the address.
    mark: Option<String>,
    /// The State in whose block it is.
    state: Option<&'static str>,
    /// There if an address or a mark was expected.
    #[serde(skip_serializing_if = "Option::is_none")]
    expected: Option<ExpectedEntry>,
}

/// A slip that explains a difference.
#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct SlipEntry {
    /// Its identifier.
    cause: &'static str,
    /// What it is.
    what: &'static str,
    /// What exactly would have happened.
    detail: String,
    /// What to do.
    correction: &'static str,
    /// Who says so.
    source: &'static str,
}

/// What was expected, compared with what is there.
#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[serde(untagged)]
pub enum ExpectedEntry {
    /// An address.
    Address {
        /// Six hexadecimal digits.
        address: String,
        /// Its mark, where that follows from it.
        mark: Option<String>,
        /// `agrees` or `differs`.
        verdict: &'static str,
        /// The slips that explain the difference.
        likely: Vec<SlipEntry>,
    },
    /// A mark of another State than the United States: its block is compared.
    State {
        /// The mark.
        mark: String,
        /// The State.
        state: String,
        /// `agrees`, `differs` or `cannot_tell`.
        verdict: &'static str,
    },
}

/// For programs.
pub fn json((given, read): Asked<'_>, expected: Option<&Expected>) -> Answer {
    let given = given.to_owned();
    let readings = match read {
        Ok(readings) => readings,
        Err(unreadable) => {
            let may_be = candidates(&unreadable.meant);
            return Answer::Unreadable { given, error: unreadable.reason.clone(), may_be };
        }
    };
    let Some(written) = reading(readings, expected) else {
        let each = |one: &WrittenAddress| ReadingEntry {
            read_as: one.notation.word(),
            address: one.address.to_string(),
            mark: mark_of_address(one.address),
            state: block_of_address(one.address).map(|block| block.holder),
            expected: expected.map(|expected| expected_entry(expected, one.address)),
        };
        let entries = readings.iter().map(each).collect();
        return Answer::Undecided { given, error: undecided(readings, expected), readings: entries };
    };
    let found = look_up(written.address);
    Answer::Found(Box::new(FoundEntry {
        given,
        read_as: written.notation.word(),
        mark: found.mark.clone(),
        address: found.address.to_string(),
        octal: octal(found.address),
        binary: in_fours(found.address),
        binary_by_block: by_block(&found),
        decimal: found.address.bits(),
        state: found.block.map(BlockEntry::from),
        next_to: found.next_to.map(BlockEntry::from),
        error: (!found.usable).then_some("unusable as an address"),
        notes: found.notes.iter().cloned().chain([REGISTER_DECIDES.to_owned()]).collect(),
        expected: expected.map(|expected| expected_entry(expected, found.address)),
    }))
}

fn expected_entry(expected: &Expected, seen: Address) -> ExpectedEntry {
    match expected {
        Expected::Address(expected) => {
            let slips = address_mistake::between(*expected, seen).into_iter().map(|(slip, detail)| SlipEntry {
                cause: slip.name,
                what: slip.what,
                detail,
                correction: slip.correction,
                source: slip.source,
            });
            ExpectedEntry::Address {
                address: expected.to_string(),
                mark: mark_of_address(*expected),
                verdict: if *expected == seen { "agrees" } else { "differs" },
                likely: slips.collect(),
            }
        }
        Expected::State(mark, state) => {
            let verdict = match belongs(mark, seen) {
                Confirmation::Block | Confirmation::Arithmetic => "agrees",
                Confirmation::Contradicted => "differs",
                Confirmation::Unknown => "cannot_tell",
            };
            ExpectedEntry::State { mark: mark.clone(), state: state.state.clone(), verdict }
        }
    }
}
