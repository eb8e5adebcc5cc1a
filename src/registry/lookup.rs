//! Looks up what is known of an address: its mark, its block, and whether anybody may use it.

use super::{Block, TABLE, address_mistake, block_next_to, block_of_address, mark_of_address, reserve_of_address};
use crate::frame::Address;

/// Said wherever an address is looked up.
pub const REGISTER_DECIDES: &str =
    "The State's register decides which address an aircraft has; arithmetic and table are a cross-check.";

/// What is known of an address.
#[derive(Clone, Debug)]
pub struct Found {
    /// The address.
    pub address: Address,
    /// The United States mark that it belongs to by arithmetic.
    pub mark: Option<String>,
    /// The block that it lies in.
    pub block: Option<&'static Block>,
    /// The block that it lies beside, if it lies in none.
    pub next_to: Option<&'static Block>,
    /// Whether an aircraft can have it at all.
    pub usable: bool,
    /// What else is to be said of it.
    pub notes: Vec<String>,
}

/// Looks an address up. It names no other address that may have been meant: the table is mostly from memory, and only a
/// registration can confirm a slip.
///
/// ```
/// use squitterlab::{frame::Address, registry::look_up};
/// let found = look_up(Address::new(0x4D2450));
/// assert!(found.block.is_none());
/// assert_eq!(found.next_to.unwrap().holder, "Malta");
/// ```
pub fn look_up(address: Address) -> Found {
    let mark = mark_of_address(address);
    let block = block_of_address(address);
    let next_to = block_next_to(address);
    let usable = !matches!(address.bits(), 0 | 0xFF_FFFF);
    let mut notes = Vec::new();
    match block {
        _ if !usable => {
            let (what, source) = if address.bits() == 0 {
                ("zeros", "ICAO Annex 10 Volume III (Amendment 71), Table 9-1, first page")
            } else {
                ("ones", "from memory")
            };
            notes.push(format!(
                "all {what} cannot be an aircraft's address ({source}): most likely {}; {}",
                address_mistake::BLANK.what,
                address_mistake::BLANK.correction
            ));
        }
        None => {
            let beside = next_to.map_or_else(String::new, |block| {
                format!("; it is next to the block of {}, which may have grown", block.holder)
            });
            let reserve = reserve_of_address(address).map_or_else(String::new, |reserve| {
                format!("; the part {} is kept for {} (from memory)", reserve.prefix, reserve.kept_for)
            });
            notes.push(format!("no block of the table held here has it ({TABLE}){beside}{reserve}"));
        }
        Some(block) if block.holder == "United States" && mark.is_none() => notes.push(format!(
            "no registration mark has it: marks reach from A00001 to ADF7C7; military and others use the rest (from \
             memory). {PRIVACY}"
        )),
        Some(_) => {}
    }
    if mark.as_deref().is_some_and(|mark| mark.len() <= 3 && mark[1..].bytes().all(|b| b.is_ascii_digit())) {
        notes.push("N1 to N99 are held for the use of the FAA (FAA, forming an N-number)".to_owned());
    }
    Found { address, mark, block, next_to, usable, notes }
}

/// What may be behind a United States address that is not the one of the registration.
pub const PRIVACY: &str = "It may be a temporary privacy address, which the FAA assigns beside the permanent one for \
                           flights within United States airspace (notices 84 FR 43860 and 84 FR 65886)";
