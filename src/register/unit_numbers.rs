//! Registers E,3 to E,6: part numbers of the transponder and of the collision avoidance, and of their software.

use super::inference::{Weigher, assigned, statuses};
use crate::code::table::{Derived, table};
use crate::code::{
    Bits, Characters, CodeError, Flag, Identification, Meaning, MeaningKind, Number, Reserved, Text, UnitNumberFormat,
    Value, Version, is_no_data,
};
use crate::frame::Span;

/// The register is not in use, or the unit does not know its number.
const STATUS: Span = Span::new(1, 1);
const FORMAT: Span = Span::new(2, 3);
const NUMBER_BITS: Span = Span::new(4, 51);
const DIGITS: u64 = 12;

/// One register a line; the layout is the same.
macro_rules! unit_numbers {
    ($( $name:ident = $message:literal, $title:literal, when $applies:literal, $source:literal; )+) => {
        $(
            table! {
                #[doc = concat!("The ", $title, ".")]
                $name: u64, 56 bits = $message, $title,
                when $applies,
                template 0;
                1..=1 number_status: Flag, "Whether the number holds", $source;
                2..=3 number_format: UnitNumberFormat, "How the number is written", $source;
                4..=51 unit_number: Number<48>, "Twelve decimal digits of four bits, or eight characters of six bits", $source;
                52..=56 reserved_52_56: Reserved<5>, "Reserved", $source;
                derived [UNIT_NUMBER]
            }
        )+
    };
}

unit_numbers! {
    TransponderType = "register_e_3", "register E,3, transponder type or part number", when "register E,3", "memory";
    TransponderSoftware = "register_e_4", "register E,4, transponder software revision", when "register E,4", "D107";
    AcasType = "register_e_5", "register E,5, ACAS unit part number", when "register E,5", "memory";
    AcasSoftware = "register_e_6", "register E,6, ACAS unit software revision", when "register E,6", "D109";
}

const UNIT_NUMBER: Derived =
    Derived::new("unit_number", "The number as text, by its format", MeaningKind::Text, |pattern, version| {
        Some(unit_number(pattern, version))
    })
    .written(|wanted, pattern| {
        let given = wanted.get("unit_number").unwrap_or_default();
        let empty = pattern & !(STATUS.mask(56) | FORMAT.mask(56) | NUMBER_BITS.mask(56));
        if is_no_data(given) {
            return Ok(empty);
        }
        let twelve = given.len() == DIGITS as usize && given.bytes().all(|digit| digit.is_ascii_digit());
        let (format, code) = if twelve {
            (0, given.bytes().fold(0, |code, digit| code << 4 | u64::from(digit - b'0')))
        } else {
            let text: Identification = given.parse().map_err(|_| {
                CodeError::Refused(format!("{given:?} is neither twelve digits nor up to 8 of A to Z, 0 to 9"))
            })?;
            (1, text.bits())
        };
        Ok(empty | STATUS.mask(56) | format << (56 - FORMAT.last) | u128::from(code) << (56 - NUMBER_BITS.last))
    });

fn unit_number(pattern: u128, version: Version) -> Meaning {
    let code = NUMBER_BITS.of(pattern, 56);
    if STATUS.of(pattern, 56) == 0 {
        return Meaning::none("no data");
    }
    let text = match FORMAT.of(pattern, 56) {
        0 => {
            let digits = (0..DIGITS).map(|at| (code >> (4 * (DIGITS - 1 - at)) & 15) as u8);
            Text::few(digits.map(|digit| if digit < 10 { b'0' + digit } else { b'?' }))
        }
        1 => Identification::from_bits(code).as_text(),
        _ => return Meaning::none("a reserved format"),
    };
    Meaning::written(Value::Text(text), pattern as u64, version, |pattern, version, f| {
        write!(f, "\"{}\"", unit_number(pattern.into(), version).value)
    })
}

/// What only this register forbids.
pub(super) fn rules(w: &mut Weigher) {
    let value = Span::new(2, 51);
    if !w.is_set(1) {
        if w.field(2, 51) == 0 {
            statuses(w, &[value], &[]);
        } else {
            statuses(w, &[], &[(1, value)]);
        }
        return;
    }
    match w.field(2, 3) {
        0 => {
            let code = w.field(4, 51);
            let decimal = (0..12).all(|at| code >> (4 * at) & 15 < 10);
            w.must(
                decimal,
                8.1,
                || "all twelve digits are decimal".to_owned(),
                || "a digit of the part number is not decimal".to_owned(),
            );
        }
        1 => assigned(w, Characters::<48>::from_bits(w.field(4, 51)).is_assigned(), 8.0, "number"),
        format => w.must(false, 0.0, String::new, || format!("number format {format} is not assigned")),
    }
}
