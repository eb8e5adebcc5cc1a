//! United States: marks N1 to N99999 and their addresses A00001 to ADF7C7, in the order of a tree of symbols.
//!
//! Sources: FAA, forming an N-number; a published list of the first marks with their octal codes; the sizes of the
//! branches are arithmetic. The last pair is from memory.

use crate::frame::Address;

/// How many marks there are.
pub const MARKS: u32 = 915_399;

const FIRST: u32 = 0xA0_0001;
/// The 24 letters of a mark: I and O are never used.
const LETTERS: &[u8; 24] = b"ABCDEFGHJKLMNPQRSTUVWXYZ";
/// Marks below one digit at place 1 to 5.
const STRIDES: [u32; 5] = [101_711, 10_111, 951, 35, 1];
/// Marks that end in letters below a node of up to three digits, itself included: 1 + 24 x 25.
const LETTERED: u32 = 601;
/// The same below four digits, where one letter fits: 1 + 24.
const LETTERED_LAST: u32 = 25;

/// Why text is not a United States mark.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum MarkError {
    /// Does not begin with N.
    #[error("{mark:?} is not a United States mark: they begin with N")]
    Prefix {
        /// What was given.
        mark: String,
    },
    /// Too short or too long.
    #[error("{mark:?} has {found} symbols after N; a mark has 1 to 5")]
    Length {
        /// What was given.
        mark: String,
        /// Symbols after N.
        found: usize,
    },
    /// The first symbol is not 1 to 9.
    #[error("{mark:?}: the first symbol after N is a digit 1 to 9")]
    First {
        /// What was given.
        mark: String,
    },
    /// A symbol that no mark has.
    #[error("{mark:?}: {found:?} is not used; a mark has digits and the letters A to Z without I and O")]
    Symbol {
        /// What was given.
        mark: String,
        /// The symbol.
        found: char,
    },
    /// Letters before digits, or too many.
    #[error("{mark:?}: letters come at the end, at most two, and at most one after four digits")]
    Letters {
        /// What was given.
        mark: String,
    },
}

/// The address of a mark such as `N1AZ`.
///
/// # Errors
/// [`MarkError`] says which rule of the written form is broken.
///
/// ```
/// use squitterlab::registry::{address_of_mark, mark_of_address};
/// let address = address_of_mark("N1AZ").unwrap();
/// assert_eq!(address.to_string(), "A0001A");
/// assert_eq!(mark_of_address(address).unwrap(), "N1AZ");
/// ```
pub fn address_of_mark(mark: &str) -> Result<Address, MarkError> {
    let own = || mark.to_owned();
    let symbols = mark.strip_prefix('N').ok_or_else(|| MarkError::Prefix { mark: own() })?;
    let found = symbols.chars().count();
    if !(1..=5).contains(&found) {
        return Err(MarkError::Length { mark: own(), found });
    }
    if let Some(found) =
        symbols.chars().find(|c| !c.is_ascii_digit() && !u8::try_from(*c).is_ok_and(|b| LETTERS.contains(&b)))
    {
        return Err(MarkError::Symbol { mark: own(), found });
    }
    let symbols = symbols.as_bytes();
    let digits = symbols.iter().take_while(|b| b.is_ascii_digit()).count();
    let letters = &symbols[digits..];
    if !matches!(symbols[0], b'1'..=b'9') {
        return Err(MarkError::First { mark: own() });
    }
    if letters.iter().any(u8::is_ascii_digit) || letters.len() > 2 || digits == 4 && letters.len() > 1 {
        return Err(MarkError::Letters { mark: own() });
    }
    let mut index = u32::from(symbols[0] - b'1') * STRIDES[0];
    for place in 1..digits {
        let before = if place == 4 { LETTERED_LAST } else { LETTERED };
        index += before + u32::from(symbols[place] - b'0') * STRIDES[place];
    }
    let number = |letter: &u8| LETTERS.iter().position(|l| l == letter).unwrap_or(0) as u32;
    if let Some(first) = letters.first() {
        index += 1 + number(first) * if digits == 4 { 1 } else { 25 };
    }
    if let Some(second) = letters.get(1) {
        index += 1 + number(second);
    }
    Ok(Address::new(FIRST + index))
}

/// The mark of an address; none outside A00001 to ADF7C7.
///
/// ```
/// use squitterlab::registry::mark_of_address;
/// assert_eq!(mark_of_address("A5C035".parse().unwrap()).as_deref(), Some("N47QX"));
/// assert_eq!(mark_of_address("4840D6".parse().unwrap()), None);
/// ```
pub fn mark_of_address(address: Address) -> Option<String> {
    let mut rest = address.bits().checked_sub(FIRST).filter(|index| *index < MARKS)?;
    let mut mark = format!("N{}", rest / STRIDES[0] + 1);
    rest %= STRIDES[0];
    for (place, stride) in STRIDES.into_iter().enumerate().skip(1) {
        let lettered = if place == 4 { LETTERED_LAST } else { LETTERED };
        if rest == 0 {
            return Some(mark);
        }
        if rest < lettered {
            let each = if place == 4 { 1 } else { 25 };
            let letter = |at: u32| char::from(LETTERS[at as usize]);
            mark.push(letter((rest - 1) / each));
            if let Some(second) = ((rest - 1) % each).checked_sub(1) {
                mark.push(letter(second));
            }
            return Some(mark);
        }
        rest -= lettered;
        mark.push(char::from(b'0' + (rest / stride) as u8));
        rest %= stride;
    }
    Some(mark)
}
