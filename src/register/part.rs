//! What a register says of one quantity: a status bit, a sign bit and value bits read together.
//!
//! The rules are those of Doc 9871 (draft, page 29): status 1 means that the value holds, an unused value is all zero,
//! and a sign bit with the bits behind it is one number in two's complement.

use crate::code::table::Wanted;
use crate::code::{Bits, Code, CodeError, Meaning, Value, Version, is_no_data, number, spaced};
use crate::frame::Span;

/// How the value bits say what they say.
#[derive(Clone, Copy, Debug)]
pub(super) enum Kind {
    /// `offset + n * numerator / denominator`, in a unit that is written with a space before it.
    Linear { numerator: f64, denominator: f64, offset: f64, unit: &'static str },
    /// An angle from north: the whole field is one turn, however it is signed.
    Turn,
    /// A code of its own.
    Code { meaning: fn(u64, Version) -> Meaning, from_meaning: fn(&str, Version) -> Result<u64, CodeError> },
}

/// Steps of `numerator / denominator`.
pub(super) const fn steps(numerator: f64, denominator: f64, unit: &'static str) -> Kind {
    Kind::Linear { numerator, denominator, offset: 0.0, unit }
}

/// A code of its own behind a status bit.
pub(super) const fn of<C: Code>() -> Kind {
    Kind::Code {
        meaning: |bits, version| C::from_bits(bits).meaning(version),
        from_meaning: |wanted, version| C::from_meaning(wanted, version).map(Bits::bits),
    }
}

/// One bit.
pub(super) const fn bit(bit: u8) -> Span {
    Span::new(bit, bit)
}

/// A quantity of a register, and where it stands.
#[derive(Clone, Copy, Debug)]
pub(super) struct Part {
    /// Its name among the meanings, with its unit.
    pub(super) field: &'static str,
    /// The bits that are zero where there is no data: a status bit, or whatever else says so.
    pub(super) status: Span,
    /// The value, its sign bit included.
    pub(super) value: Span,
    /// Whether the first bit of the value is its sign.
    pub(super) signed: bool,
    /// How to read it.
    pub(super) kind: Kind,
}

const REGISTER: u8 = 56;

impl Part {
    /// The status bit whose zero wants the whole value zero.
    pub(super) fn status_bit(&self) -> Option<u8> {
        (self.status.width() == 1 && self.status != self.value).then_some(self.status.first)
    }

    fn is_given(&self, pattern: u128) -> bool {
        self.status.of(pattern, REGISTER) != 0
    }

    fn integer(&self, pattern: u128) -> i64 {
        let code = self.value.of(pattern, REGISTER) as i64;
        let top = 1i64 << (self.value.width() - 1);
        if self.signed && code & top != 0 { code - 2 * top } else { code }
    }

    /// The number behind the bits, whatever the status says; none for codes of their own.
    pub(super) fn number(&self, pattern: u128) -> Option<f64> {
        let n = self.integer(pattern) as f64;
        match self.kind {
            Kind::Linear { numerator, denominator, offset, .. } => Some(offset + n * numerator / denominator),
            Kind::Turn => Some((n * 360.0 / self.turn()).rem_euclid(360.0)),
            Kind::Code { .. } => None,
        }
    }

    /// The number where the status says that it holds.
    pub(super) fn given(&self, pattern: u128) -> Option<f64> {
        self.number(pattern).filter(|_| self.is_given(pattern))
    }

    fn turn(&self) -> f64 {
        (1u64 << self.value.width()) as f64
    }

    pub(super) fn read(&self, pattern: u128, version: Version) -> Meaning {
        if !self.is_given(pattern) {
            return Meaning::none("no data");
        }
        match (self.kind, self.number(pattern)) {
            (Kind::Code { meaning, .. }, _) => meaning(self.value.of(pattern, REGISTER), version),
            (Kind::Turn, Some(degrees)) => Meaning::new(Value::decimal(degrees, 6), format!("{degrees:.2} deg")),
            (Kind::Linear { numerator, denominator, unit, .. }, Some(value)) => {
                if (numerator / denominator).fract() == 0.0 {
                    return Meaning::integer(value as i64, unit.trim_start());
                }
                let rounded = (value * 1e3).round() / 1e3;
                Meaning::new(Value::decimal(value, 6), format!("{}{unit}", rounded + 0.0))
            }
            (_, None) => Meaning::none("no data"),
        }
    }

    pub(super) fn write(&self, wanted: &Wanted<'_>, pattern: u128) -> Result<u128, CodeError> {
        let given = wanted.get(self.field).unwrap_or_default();
        let empty = pattern & !self.value.mask(REGISTER);
        let status = if self.status.width() == 1 { self.status.mask(REGISTER) } else { 0 };
        if is_no_data(given) {
            return Ok(empty & !status);
        }
        let code = match self.kind {
            Kind::Code { from_meaning, .. } => from_meaning(given, wanted.version)?,
            Kind::Turn => {
                ((number(given)?.rem_euclid(360.0) / 360.0 * self.turn()).round() as u64) % self.turn() as u64
            }
            Kind::Linear { numerator, denominator, offset, unit } => {
                let width = self.value.width() - u8::from(self.signed);
                // Where a zero says "no data", the first step is the least.
                let least = if self.signed { -(1i64 << width) } else { i64::from(self.status == self.value) };
                let most = (1i64 << width) - 1;
                let n = ((number(given)? - offset) * denominator / numerator).round();
                if n < least as f64 || n > most as f64 {
                    let of = |n: i64| offset + n as f64 * numerator / denominator;
                    return Err(CodeError::out_of_range(given, of(least), of(most), unit));
                }
                n as i64 as u64
            }
        };
        let code = u128::from(code) << (REGISTER - self.value.last) & self.value.mask(REGISTER);
        Ok(empty | status | code)
    }

    pub(super) fn steps(&self, pattern: u128) -> Vec<String> {
        if !self.is_given(pattern) || matches!(self.kind, Kind::Code { .. }) {
            return Vec::new();
        }
        let code = self.value.of(pattern, REGISTER);
        let n = self.integer(pattern);
        let width = usize::from(self.value.width());
        let mut lines = vec![format!("bits {} = {code:0width$b} = {code}", self.value)];
        if n < 0 {
            lines.push(format!("the sign bit is 1: {code} - {} = {n}", 1u64 << width));
        }
        match self.kind {
            Kind::Turn => {
                let degrees = n as f64 * 360.0 / self.turn();
                lines.push(format!("{n} x 360 / {} = {degrees} deg", self.turn()));
                if n < 0 {
                    lines.push(format!("clockwise from north {} deg", degrees.rem_euclid(360.0)));
                }
            }
            Kind::Linear { numerator, denominator, offset, unit } => {
                let step = numerator / denominator;
                let by = if step.fract() == 0.0 { step.to_string() } else { format!("{numerator} / {denominator}") };
                let plus = if offset == 0.0 { String::new() } else { format!("{} + ", spaced(offset as i64)) };
                // Rounded as the meaning is.
                let value = ((offset + n as f64 * numerator / denominator) * 1e6).round() / 1e6;
                lines.push(format!("{plus}{n} x {by} = {value}{unit}"));
            }
            Kind::Code { .. } => {}
        }
        lines
    }
}

/// Declares the quantities of a register: a [`Derived`] each, and all of them as `PARTS`.
///
/// One line is: name, field, explanation, the status, the value's bits (with `signed` where the first is the sign), and
/// how to read them.
macro_rules! parts {
    ($( $name:ident = $field:literal, $about:expr, status $status:expr, $first:literal ..= $last:literal $($signed:ident)?, $kind:expr; )+) => {
        $(
            const $name: $crate::code::table::Derived = {
                const PART: $crate::register::part::Part = $crate::register::part::Part {
                    field: $field, status: $status, value: $crate::frame::Span::new($first, $last),
                    signed: $crate::register::part::is_signed(&[$(stringify!($signed))?]), kind: $kind,
                };
                $crate::code::table::Derived::new($field, $about, |pattern, version| Some(PART.read(pattern, version)))
                    .written(|wanted, pattern| PART.write(wanted, pattern))
                    .shown(|pattern, _| PART.steps(pattern))
            };
        )+
        /// The quantities of this register.
        pub(super) const PARTS: &[$crate::register::part::Part] = &[
            $( $crate::register::part::Part {
                field: $field, status: $status, value: $crate::frame::Span::new($first, $last),
                signed: $crate::register::part::is_signed(&[$(stringify!($signed))?]), kind: $kind,
            } ),+
        ];
    };
}

pub(super) const fn is_signed(words: &[&str]) -> bool {
    !words.is_empty()
}

pub(super) use parts;
