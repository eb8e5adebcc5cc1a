//! Reads addresses as people write them: a mark, hexadecimal, the octal of registers, binary, decimal.

use super::{MarkError, address_of_mark};
use crate::frame::Address;
use crate::registry::address_mistake;

/// How an address was written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Notation {
    /// A United States registration mark.
    Mark,
    /// Six hexadecimal digits.
    Hexadecimal,
    /// Eight octal digits, as registers print them.
    Octal,
    /// Twenty-four bits.
    Binary,
    /// A decimal number.
    Decimal,
}

impl Notation {
    /// The word in text and JSON, and before the colon of an argument that says its notation.
    ///
    /// ```
    /// use squitterlab::registry::Notation;
    /// assert_eq!(Notation::Octal.word(), "octal");
    /// ```
    pub const fn word(self) -> &'static str {
        match self {
            Self::Mark => "mark",
            Self::Hexadecimal => "hexadecimal",
            Self::Octal => "octal",
            Self::Binary => "binary",
            Self::Decimal => "decimal",
        }
    }

    /// The number base, or none for a mark.
    pub(crate) const fn base(self) -> Option<u32> {
        match self {
            Self::Mark => None,
            Self::Hexadecimal => Some(16),
            Self::Octal => Some(8),
            Self::Binary => Some(2),
            Self::Decimal => Some(10),
        }
    }
}

/// An address, and how it was written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WrittenAddress {
    /// How it was written.
    pub notation: Notation,
    /// The address.
    pub address: Address,
}

/// Something that may have been meant.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Meant {
    /// The slip's identifier.
    pub slip: &'static str,
    /// What exactly happened.
    pub detail: String,
    /// The address that was meant.
    pub address: Address,
}

/// Why text is not an address, and what may have been meant.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{reason}")]
pub struct Unreadable {
    /// Which rule is broken.
    pub reason: String,
    /// What may have been meant.
    pub meant: Vec<Meant>,
}

/// Reads an address in any notation that its form allows: six hexadecimal digits, twenty-four digits 0 and 1, a mark.
/// Seven or eight digits 0 to 7 may be octal or decimal; where both fit, both are given, octal first. `octal:50000001`
/// and the like say which. Spaces between digits do not count, and small letters count as capitals.
///
/// # Errors
/// [`Unreadable`] says which rule is broken, and what may have been meant.
///
/// ```
/// use squitterlab::registry::{Notation, readings};
/// // More than any decimal address, so octal.
/// assert_eq!(readings("50000032").unwrap()[0].notation, Notation::Octal);
/// // Octal 23F84A or decimal A46660.
/// assert_eq!(readings("10774112").unwrap().len(), 2);
/// ```
pub fn readings(text: &str) -> Result<Vec<WrittenAddress>, Unreadable> {
    let (said, rest) = match text.split_once(':') {
        None => (None, text),
        Some((word, rest)) => {
            let notation =
                [Notation::Mark, Notation::Hexadecimal, Notation::Octal, Notation::Binary, Notation::Decimal]
                    .into_iter()
                    .find(|notation| word.trim().len() > 2 && notation.word().starts_with(word.trim()))
                    .ok_or_else(|| {
                        plain(format!("{word:?} is not a notation: write mark, hexadecimal, octal, binary or decimal"))
                    })?;
            (Some(notation), rest)
        }
    };
    let digits: String = rest.chars().filter(|c| !c.is_whitespace()).collect::<String>().to_uppercase();
    if digits.is_empty() {
        return Err(plain(
            "nothing is written here; write a mark such as N47QX or an address such as A5C035".to_owned(),
        ));
    }
    let (notations, digits) = match (said, digits.strip_prefix("0X")) {
        (None | Some(Notation::Hexadecimal), Some(after)) => (vec![Notation::Hexadecimal], after.to_owned()),
        (Some(notation), _) => (vec![notation], digits),
        (None, None) => (guess(&digits)?, digits),
    };
    notations
        .into_iter()
        .map(|notation| {
            let address = match notation.base() {
                None => of_mark(&digits)?,
                // A register may leave the zero of its eight octal digits out.
                Some(8) if said.is_none() => of_digits(&format!("{digits:0>8}"), notation, 8)?,
                Some(base) => of_digits(&digits, notation, base)?,
            };
            Ok(WrittenAddress { notation, address })
        })
        .collect()
}

/// Reads an address that has one reading only.
///
/// # Errors
/// [`Unreadable`] says which rule is broken, and what may have been meant: both readings, where octal and decimal fit.
///
/// ```
/// use squitterlab::registry::{Notation, read_address};
/// assert_eq!(read_address("n1az").unwrap().address.to_string(), "A0001A");
/// assert_eq!(read_address("50000032").unwrap().notation, Notation::Octal);
/// assert!(read_address("N1O").unwrap_err().reason.contains("without I and O"));
/// assert_eq!(read_address("10774112").unwrap_err().meant.len(), 2);
/// ```
pub fn read_address(text: &str) -> Result<WrittenAddress, Unreadable> {
    let all = readings(text)?;
    match all[..] {
        [one] => Ok(one),
        _ => Err(Unreadable {
            reason: format!("{text:?} may be octal or decimal; write octal: or decimal: in front"),
            meant: all
                .iter()
                .map(|one| Meant {
                    slip: one.notation.word(),
                    detail: format!("it is {}", one.notation.word()),
                    address: one.address,
                })
                .collect(),
        }),
    }
}

fn guess(digits: &str) -> Result<Vec<Notation>, Unreadable> {
    let all = |base| digits.chars().all(|c| c.is_digit(base));
    match digits.len() {
        6 if all(16) => Ok(vec![Notation::Hexadecimal]),
        24 if all(2) => Ok(vec![Notation::Binary]),
        7..=8 if all(10) => {
            // Nobody writes a zero in front of a decimal number.
            let decimal = !digits.starts_with('0') && digits.parse::<u32>().is_ok_and(|bits| bits <= 0xFF_FFFF);
            Ok(match (all(8), decimal) {
                (true, true) => vec![Notation::Octal, Notation::Decimal],
                (true, false) => vec![Notation::Octal],
                (false, _) => vec![Notation::Decimal],
            })
        }
        found if all(16) => Err(wrong_length(digits, found)),
        _ => Ok(vec![Notation::Mark]),
    }
}

fn of_digits(digits: &str, notation: Notation, base: u32) -> Result<Address, Unreadable> {
    let (word, wanted) = (
        notation.word(),
        match notation {
            Notation::Hexadecimal => 6,
            Notation::Octal => 8,
            Notation::Binary => 24,
            _ => 0,
        },
    );
    if let Some(found) = digits.chars().find(|c| !c.is_digit(base)) {
        return Err(plain(format!("{digits:?}: {found:?} cannot be {word}")));
    }
    if notation == Notation::Hexadecimal && digits.len() != wanted {
        return Err(wrong_length(digits, digits.len()));
    }
    if wanted != 0 && digits.len() != wanted {
        return Err(plain(format!("{digits:?} has {} {word} digits; an address has {wanted}", digits.len())));
    }
    u32::from_str_radix(digits, base).ok().filter(|bits| *bits <= 0xFF_FFFF).map(Address::new).ok_or_else(|| {
        let octal = u32::from_str_radix(digits, 8).ok().filter(|bits| *bits <= 0xFF_FFFF);
        Unreadable {
            reason: format!("{digits} is more than 16777215, the greatest 24-bit number"),
            meant: octal
                .map(|bits| Meant {
                    slip: address_mistake::OCTAL_AS_DECIMAL.name,
                    detail: format!("{digits} is the octal form"),
                    address: Address::new(bits),
                })
                .into_iter()
                .collect(),
        }
    })
}

/// Hexadecimal digits, but not six.
fn wrong_length(digits: &str, found: usize) -> Unreadable {
    let mut meant = Vec::new();
    if let Ok(bits) = u32::from_str_radix(digits, 16) {
        if found < 6 {
            let detail =
                if found == 5 { "a zero in front was left off" } else { "zeros in front were left off" }.to_owned();
            meant.push(Meant { slip: "address_zeros_left_off", detail, address: Address::new(bits) });
        } else {
            let octal = bits.to_string();
            if let Some(address) = u32::from_str_radix(&octal, 8).ok().filter(|address| *address <= 0xFF_FFFF) {
                let detail = format!("octal {octal} read as a decimal number, which has {found} hexadecimal digits");
                meant.push(Meant {
                    slip: address_mistake::OCTAL_AS_DECIMAL.name,
                    detail,
                    address: Address::new(address),
                });
            }
        }
    }
    let s = if found == 1 { "" } else { "s" };
    Unreadable {
        reason: format!("{digits:?} has {found} hexadecimal digit{s}; an address has 6, or 8 octal digits"),
        meant,
    }
}

/// Letters that are taken for the digits that they look like (IFATCA paper 2012-92: G6 I1 O0 S5 Z2; L1 common practice).
const ALIKE: [(char, char); 6] = [('O', '0'), ('I', '1'), ('L', '1'), ('S', '5'), ('Z', '2'), ('G', '6')];

/// The address that six characters are once letters are the digits that they look like.
fn look_alike(text: &str) -> Option<Meant> {
    let mut changed = Vec::new();
    let digits: String = text
        .chars()
        .map(|c| match ALIKE.iter().find(|(letter, _)| *letter == c) {
            Some((letter, digit)) => {
                if !changed.contains(&(*letter, *digit)) {
                    changed.push((*letter, *digit));
                }
                *digit
            }
            None => c,
        })
        .collect();
    let six = digits.len() == 6 && !changed.is_empty() && digits.chars().all(|c| c.is_ascii_hexdigit());
    let bits = u32::from_str_radix(&digits, 16).ok().filter(|_| six)?;
    let letters: Vec<String> =
        changed.iter().map(|(letter, digit)| format!("the letter {letter} was typed for the digit {digit}")).collect();
    Some(Meant { slip: "look_alike", detail: letters.join(", and "), address: Address::new(bits) })
}

fn of_mark(mark: &str) -> Result<Address, Unreadable> {
    address_of_mark(mark).map_err(|error| {
        let mut meant: Vec<Meant> = look_alike(mark).into_iter().collect();
        let mut may_be = |slip, detail: String, mark: &str| {
            if let Ok(address) = address_of_mark(mark) {
                meant.push(Meant { slip, detail: format!("{detail}: {mark}"), address });
            }
        };
        match &error {
            MarkError::Prefix { .. } => may_be("prefix_left_off", "N was left off".to_owned(), &format!("N{mark}")),
            MarkError::Symbol { .. } => {
                let (head, tail) = mark.split_at(1);
                let alike = tail.replace('O', "0").replace('I', "1");
                may_be("look_alike", "0 for O, 1 for I".to_owned(), &format!("{head}{alike}"));
                let bare: String = mark.chars().filter(char::is_ascii_alphanumeric).collect();
                may_be("punctuation", "a mark has letters and digits only".to_owned(), &bare);
            }
            _ => {}
        }
        let reason = match error {
            MarkError::Prefix { .. } => format!(
                "{error}; for the marks of other States no relation to the address is published: look it up in the \
                 State's register"
            ),
            error => error.to_string(),
        };
        Unreadable { reason, meant }
    })
}

fn plain(reason: String) -> Unreadable {
    Unreadable { reason, meant: Vec::new() }
}
