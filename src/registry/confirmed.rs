//! Finds which of several addresses a registration confirms: by the arithmetic of its mark, else by the block of its
//! State.

use super::{address_of_mark, block_of_address, nationality_of_mark};
use crate::frame::Address;

/// Whether a registration and an address go together, as far as arithmetic and table can tell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Confirmation {
    /// It is the address that the arithmetic of the mark gives.
    Arithmetic,
    /// It lies in the block of the mark's State.
    Block,
    /// Neither table nor arithmetic says anything.
    Unknown,
    /// The arithmetic gives another address, or another State holds the block.
    Contradicted,
}

/// Whether an address and a registration go together.
///
/// ```
/// use squitterlab::{frame::Address, registry::{Confirmation, belongs}};
/// assert_eq!(belongs("N47QX", Address::new(0xA5C035)), Confirmation::Arithmetic);
/// assert_eq!(belongs("D-EABC", Address::new(0x3C6744)), Confirmation::Block);
/// assert_eq!(belongs("D-EABC", Address::new(0xA5C035)), Confirmation::Contradicted);
/// ```
pub fn belongs(mark: &str, address: Address) -> Confirmation {
    if let Ok(expected) = address_of_mark(mark) {
        return if expected == address { Confirmation::Arithmetic } else { Confirmation::Contradicted };
    }
    match (nationality_of_mark(mark), block_of_address(address)) {
        (Some((row, _)), Some(block)) if block.holder == row.state => Confirmation::Block,
        (Some(_), Some(_)) => Confirmation::Contradicted,
        _ => Confirmation::Unknown,
    }
}

/// The one of several addresses that a registration confirms; `None` if it confirms none or more than one.
///
/// ```
/// use squitterlab::frame::Address;
/// use squitterlab::registry::{Confirmation, confirmed};
/// // The right address, and the same with two digits transposed.
/// let typed = [0xA5C035, 0xA5C053].map(Address::new);
/// assert_eq!(confirmed("N47QX", typed.into_iter()), Some((typed[0], Confirmation::Arithmetic)));
/// ```
pub fn confirmed(mark: &str, addresses: impl Iterator<Item = Address>) -> Option<(Address, Confirmation)> {
    let mut good = addresses
        .map(|address| (address, belongs(mark, address)))
        .filter(|(_, how)| matches!(how, Confirmation::Arithmetic | Confirmation::Block));
    let one = good.next()?;
    good.next().is_none().then_some(one)
}
