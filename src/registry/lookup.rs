//! What is known of an address: its mark, its block, whether anybody may use it, and what may have been meant.

use super::slip::{self, Slip};
use super::{Block, Meant, block_of_address, mark_of_address, reserve_of_address};
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
    /// Whether an aircraft can have it at all.
    pub usable: bool,
    /// What else is to be said of it.
    pub notes: Vec<String>,
    /// What may have been meant, where it is doubtful.
    pub meant: Vec<Meant>,
}

/// The slips whose way back is worth telling where an address lies in no block; the others lead to nearly anything.
const BACK: &[&Slip] = &[
    &slip::OCTAL_AS_HEXADECIMAL,
    &slip::OCTAL_AS_DECIMAL,
    &slip::COMPLEMENTED,
    &slip::MIRRORED,
    &slip::NIBBLES_SWAPPED,
    &slip::DIGITS_TRANSPOSED,
    &slip::ONE_BIT,
];

/// Looks an address up.
///
/// ```
/// use squitterlab::{frame::Address, registry::look_up};
/// let found = look_up(Address::new(0x5A3FCA));
/// assert!(found.block.is_none());
/// assert!(found.meant.iter().any(|meant| meant.slip == "address_complemented"));
/// ```
pub fn look_up(address: Address) -> Found {
    let mark = mark_of_address(address);
    let block = block_of_address(address);
    let usable = !matches!(address.bits(), 0 | 0xFF_FFFF);
    let mut notes = Vec::new();
    let mut meant = Vec::new();
    match block {
        _ if !usable => {
            let (what, source) = if address.bits() == 0 {
                ("zeros", "ICAO Annex 10 Volume III (Amendment 71), Table 9-1, first page")
            } else {
                ("ones", "from memory")
            };
            notes.push(format!(
                "all {what} is no aircraft's address ({source}): most likely {}; {}",
                slip::BLANK.what,
                slip::BLANK.correction
            ));
        }
        None => {
            let reserve = reserve_of_address(address).map_or_else(String::new, |reserve| {
                format!("; the part {} is kept for {} (from memory)", reserve.prefix, reserve.kept_for)
            });
            notes.push(format!(
                "no block of the table holds it{reserve}; States that got a block later are missing from the table"
            ));
            meant = BACK.iter().flat_map(|slip| meant_by(slip, address, |to| block_of_address(to).is_some())).collect();
        }
        Some(block) if block.holder == "United States" && mark.is_none() => notes.push(
            "no registration mark has it: marks reach from A00001 to ADF7C7; military and others use the rest (from \
             memory)"
                .to_owned(),
        ),
        // The first digits of 8 octal ones, of a United States address.
        Some(block) if block.holder != "United States" => {
            let to = meant_by(&slip::OCTAL_AS_HEXADECIMAL, address, |to| mark_of_address(to).is_some());
            let first: Vec<Meant> = to.into_iter().filter(|to| to.detail.contains("the first")).collect();
            if !first.is_empty() {
                notes.push(
                    "its digits are also the first six of the octal form of United States addresses: was the octal \
                     form typed as hexadecimal?"
                        .to_owned(),
                );
            }
            meant = first;
        }
        Some(_) => {}
    }
    if mark.as_deref().is_some_and(|mark| mark.len() <= 3 && mark[1..].bytes().all(|b| b.is_ascii_digit())) {
        notes.push("N1 to N99 are held for the use of the FAA (FAA, forming an N-number)".to_owned());
    }
    Found { address, mark, block, usable, notes, meant }
}

fn meant_by(slip: &Slip, address: Address, wanted: impl Fn(Address) -> bool) -> Vec<Meant> {
    let back = slip.back(address).into_iter().filter(|(to, _)| wanted(*to) && to.bits() != 0);
    back.map(|(address, detail)| Meant { slip: slip.name, detail, address }).collect()
}
