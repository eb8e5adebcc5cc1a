//! Mistakes that turn a right address into a wrong one, from the address alone; and the way back from a wrong one.
//!
//! One piece serves two: `profile::mistake` makes wrong profiles of them, `address` explains what somebody typed.

use super::{address_of_mark, mark_of_address};
use crate::frame::Address;

/// A slip: its fixed identifier, and the wrong addresses that it leads to.
#[derive(Clone, Copy, Debug)]
pub struct AddressMistake {
    /// The fixed identifier, as among the causes of `compare`.
    pub name: &'static str,
    /// What happened, in a sentence.
    pub what: &'static str,
    /// What to do.
    pub correction: &'static str,
    /// Where it is known from.
    pub source: &'static str,
    wrong: fn(u32) -> Vec<MistakenAddress>,
    right: fn(u32) -> Vec<MistakenAddress>,
}

/// An address at the other end of a slip, and what exactly happened.
pub type MistakenAddress = (u32, String);

const PRACTICE: &str = "common practice, no source";
const OCTAL: &str = "own arithmetic on the octal form that registers print";
const ALL: u32 = 0xFF_FFFF;

/// Nobody set the address.
pub const BLANK: AddressMistake = AddressMistake {
    name: "address_blank",
    what: "the address was never set",
    correction: "enter the address that the State of registry assigned",
    source: "press reports of addresses 000000 and FFFFFF",
    wrong: |_| vec![(0, "all zeros".to_owned()), (ALL, "all ones".to_owned())],
    // Anything may have been forgotten.
    right: |_| Vec::new(),
};

/// Six digits of the octal form, typed as hexadecimal.
pub const OCTAL_AS_HEXADECIMAL: AddressMistake = AddressMistake {
    name: "address_octal_as_hex",
    what: "the register's octal form was typed as hexadecimal",
    correction: "enter the hexadecimal form",
    source: OCTAL,
    wrong: |address| {
        let octal = format!("{address:08o}");
        [("first", &octal[..6]), ("last", &octal[2..])]
            .into_iter()
            .filter_map(|(which, digits)| {
                let typed = u32::from_str_radix(digits, 16).ok()?;
                Some((typed, format!("{digits} are the {which} six digits of octal {octal}")))
            })
            .collect()
    },
    right: |seen| {
        let digits = format!("{seen:06X}");
        let Ok(read) = u32::from_str_radix(&digits, 8) else { return Vec::new() };
        let first = (0..64).map(|end| read << 6 | end).map(|address| (address, "first"));
        let last = (0..64).map(|start| start << 18 | read).map(|address| (address, "last"));
        first
            .chain(last)
            .map(|(address, which)| (address, format!("{digits} are the {which} six digits of octal {address:08o}")))
            .collect()
    },
};

/// The octal form read as a decimal number.
pub const OCTAL_AS_DECIMAL: AddressMistake = AddressMistake {
    name: "address_octal_as_decimal",
    what: "the register's octal form was read as decimal",
    correction: "enter the hexadecimal form",
    source: OCTAL,
    wrong: |address| {
        let octal = format!("{address:o}");
        let read: u32 = octal.parse().unwrap_or(0);
        vec![(read & ALL, octal_read(&octal, read))]
    },
    right: |seen| {
        (0..5)
            .filter_map(|cut_off| {
                let read = cut_off << 24 | seen;
                let octal = read.to_string();
                let address = u32::from_str_radix(&octal, 8).ok().filter(|address| *address <= ALL)?;
                Some((address, octal_read(&octal, read)))
            })
            .collect()
    },
};

fn octal_read(octal: &str, read: u32) -> String {
    let cut = if read > ALL { ", cut to 24 bits" } else { "" };
    format!("octal {octal} read as a decimal number{cut}")
}

/// Two hexadecimal digits in each other's place.
pub const DIGITS_TRANSPOSED: AddressMistake = both_ways(
    "address_digits_transposed",
    "two digits of the address changed places",
    "enter the address again, read aloud in pairs",
    |address| {
        let digits = format!("{address:06X}");
        pairs(6)
            .filter_map(|(a, b)| {
                let mut swapped = digits.clone().into_bytes();
                swapped.swap(a, b);
                let text = String::from_utf8(swapped).ok()?;
                Some((u32::from_str_radix(&text, 16).ok()?, format!("digits {} and {} changed places", a + 1, b + 1)))
            })
            .collect()
    },
);

/// One bit inverted.
pub const ONE_BIT: AddressMistake = both_ways(
    "address_one_bit",
    "one bit of the address is wrong, as from one strap",
    "check the straps, or enter the address again",
    |address| (0..24).map(|bit| (address ^ 1 << (23 - bit), format!("address bit {} is inverted", bit + 1))).collect(),
);

/// One hexadecimal digit wrong.
pub const ONE_DIGIT: AddressMistake = both_ways(
    "address_one_digit",
    "one digit of the address is wrong",
    "enter the address again, read aloud in pairs",
    |address| {
        (0..6)
            .flat_map(|digit| (1..16).map(move |change| (digit, change)))
            .map(|(digit, change)| (address ^ change << (20 - 4 * digit), format!("digit {} is wrong", digit + 1)))
            .collect()
    },
);

/// Every bit inverted.
pub const COMPLEMENTED: AddressMistake = both_ways(
    "address_complemented",
    "every bit of the address is inverted: the straps have the other polarity",
    "check the polarity of the straps",
    |address| vec![(!address & ALL, "every bit is inverted".to_owned())],
);

/// Last bit first.
pub const MIRRORED: AddressMistake = both_ways(
    "address_mirrored",
    "the bits of the address are in reverse order",
    "check the order of the straps",
    |address| vec![(address.reverse_bits() >> 8, "the bits are in reverse order".to_owned())],
);

/// The two digits of every octet in each other's place.
pub const NIBBLES_SWAPPED: AddressMistake = both_ways(
    "address_nibbles_swapped",
    "the two digits of every octet changed places",
    "enter the address again; where a program loads it, look at the order of half octets",
    |address| {
        let swapped = (address & 0x0F_0F0F) << 4 | address >> 4 & 0x0F_0F0F;
        vec![(swapped, "digits 1 and 2, 3 and 4, 5 and 6 changed places".to_owned())]
    },
);

/// Two octets in each other's place.
pub const OCTETS_SWAPPED: AddressMistake = both_ways(
    "address_octets_swapped",
    "two octets of the address changed places",
    "enter the address again; where a program loads it, look at the order of octets",
    |address| {
        let octets = |order: [usize; 3]| {
            let [_, bytes @ ..] = address.to_be_bytes();
            u32::from_be_bytes([0, bytes[order[0]], bytes[order[1]], bytes[order[2]]])
        };
        [([2, 1, 0], "first and last"), ([1, 0, 2], "first and second"), ([0, 2, 1], "second and last")]
            .map(|(order, which)| (octets(order), format!("the {which} pairs of digits changed places")))
            .to_vec()
    },
);

/// The address of a mark that differs in one symbol, or in two that changed places.
pub const OF_ANOTHER_MARK: AddressMistake = AddressMistake {
    name: "address_of_another_mark",
    what: "the address belongs to another registration",
    correction: "enter the address of this registration; the State's register decides",
    source: "ICAO rule, as summarised publicly: one aircraft, one address, also after a unit is moved",
    wrong: |address| {
        let Some(mark) = mark_of_address(Address::new(address)) else { return Vec::new() };
        neighbours(&mark)
            .filter_map(|other| {
                let address = address_of_mark(&other).ok()?;
                Some((address.bits(), format!("it is the address of {other}")))
            })
            .collect()
    },
    // Any mark may have been meant.
    right: |_| Vec::new(),
};

/// Every slip, in order of how much each explains alone.
pub const ADDRESS_MISTAKES: &[&AddressMistake] = &[
    &BLANK,
    &OCTAL_AS_HEXADECIMAL,
    &OCTAL_AS_DECIMAL,
    &DIGITS_TRANSPOSED,
    &ONE_BIT,
    &ONE_DIGIT,
    &COMPLEMENTED,
    &MIRRORED,
    &NIBBLES_SWAPPED,
    &OCTETS_SWAPPED,
    &OF_ANOTHER_MARK,
];

impl AddressMistake {
    /// The wrong addresses that it makes of a right one, likeliest first.
    ///
    /// ```
    /// use squitterlab::{frame::Address, registry::address_mistake};
    /// let wrong = address_mistake::DIGITS_TRANSPOSED.of(Address::new(0xA5C035));
    /// assert!(wrong.iter().any(|(address, _)| *address == Address::new(0xA5C053)));
    /// ```
    pub fn of(&self, right: Address) -> Vec<(Address, String)> {
        other_than(right, (self.wrong)(right.bits()))
    }

    /// The right addresses that it would have made this wrong one of; `None` if that could be nearly any.
    ///
    /// ```
    /// use squitterlab::{frame::Address, registry::address_mistake};
    /// let right = address_mistake::DIGITS_TRANSPOSED.back(Address::new(0xA5C053));
    /// assert!(right.iter().any(|(address, _)| *address == Address::new(0xA5C035)));
    /// ```
    pub fn back(&self, wrong: Address) -> Vec<(Address, String)> {
        other_than(wrong, (self.right)(wrong.bits()))
    }
}

/// Which slips turn one address into another, each with its detail.
///
/// ```
/// use squitterlab::{frame::Address, registry::address_mistake};
/// let (right, seen) = (Address::new(0xA5C035), Address::new(0xA5C053));
/// assert_eq!(address_mistake::between(right, seen)[0].0.name, "address_digits_transposed");
/// ```
pub fn between(right: Address, seen: Address) -> Vec<(&'static AddressMistake, String)> {
    ADDRESS_MISTAKES
        .iter()
        .filter_map(|slip| {
            let (_, detail) = slip.of(right).into_iter().find(|(address, _)| *address == seen)?;
            Some((*slip, detail))
        })
        .collect()
}

const fn both_ways(
    name: &'static str,
    what: &'static str,
    correction: &'static str,
    other: fn(u32) -> Vec<MistakenAddress>,
) -> AddressMistake {
    AddressMistake { name, what, correction, source: PRACTICE, wrong: other, right: other }
}

fn other_than(one: Address, others: Vec<MistakenAddress>) -> Vec<(Address, String)> {
    others.into_iter().map(|(bits, detail)| (Address::new(bits), detail)).filter(|(other, _)| *other != one).collect()
}

fn pairs(count: usize) -> impl Iterator<Item = (usize, usize)> {
    // Neighbours first: they are transposed most.
    (1..count).flat_map(move |apart| (0..count - apart).map(move |a| (a, a + apart)))
}

/// Marks that differ in one symbol, or in two that changed places.
fn neighbours(mark: &str) -> impl Iterator<Item = String> {
    let symbols: Vec<char> = mark.chars().collect();
    let swapped = {
        let symbols = symbols.clone();
        pairs(symbols.len()).map(move |(a, b)| {
            let mut other = symbols.clone();
            other.swap(a, b);
            other.into_iter().collect()
        })
    };
    let replaced = (1..symbols.len()).flat_map(move |at| {
        let symbols = symbols.clone();
        ('0'..='9').chain('A'..='Z').map(move |symbol| {
            let mut other = symbols.clone();
            other[at] = symbol;
            other.into_iter().collect()
        })
    });
    swapped.chain(replaced)
}
