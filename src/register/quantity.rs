//! The quantities of a register: a status bit, a sign bit and value bits that are read together, declared once.
//!
//! The rules are those of Doc 9871 (draft, page 29): status 1 means that the value holds, an unused value is all zero,
//! and a sign bit with the bits behind it is one number in two's complement.

use crate::code::table::{Row, Wanted};
use crate::code::{
    Bits, Code, CodeError, Linear, Meaning, MeaningKind, Step, Value, Version, Wording, bits_step, decimals,
    is_no_data, number, turned,
};
use crate::frame::Span;

/// How value bits say what they say, and which values are to be expected.
#[derive(Clone, Copy, Debug)]
pub(super) struct Scale {
    how: How,
    /// What the inference thinks of its values.
    pub(super) limit: Option<Limit>,
}

#[derive(Clone, Copy, Debug)]
enum How {
    /// `offset + n * numerator / denominator`, in a unit that is written with a space before it.
    Linear { numerator: f64, denominator: f64, offset: f64, unit: &'static str },
    /// An angle from north: the whole field is one turn, however it is signed.
    Turn,
    /// A code of its own.
    Code {
        kind: MeaningKind,
        meaning: fn(u64, Version) -> Meaning,
        from_meaning: fn(&str, Version) -> Result<u64, CodeError>,
    },
}

/// Which values occur: a rule of thumb, worth this many bits of evidence.
#[derive(Clone, Copy, Debug)]
pub(super) enum Limit {
    /// Not more than this, either way.
    AtMost { most: f64, worth: f64 },
    /// From one to the other; what people call the quantity.
    Within { least: f64, most: f64, worth: f64, name: &'static str },
}

/// Steps of `numerator / denominator`.
pub(super) const fn steps(numerator: f64, denominator: f64, unit: &'static str) -> Scale {
    Scale { how: How::Linear { numerator, denominator, offset: 0.0, unit }, limit: None }
}

/// An angle from north.
pub(super) const fn turn() -> Scale {
    Scale { how: How::Turn, limit: None }
}

/// A code of its own behind a status bit.
pub(super) const fn of<C: Code>() -> Scale {
    let how = How::Code {
        kind: C::KIND,
        meaning: |bits, version| C::from_bits(bits).meaning(version),
        from_meaning: |wanted, version| C::from_meaning(wanted, version).map(Bits::bits),
    };
    Scale { how, limit: None }
}

impl Scale {
    /// The same, counted from `offset`.
    pub(super) const fn from(mut self, from: f64) -> Self {
        if let How::Linear { offset, .. } = &mut self.how {
            *offset = from;
        }
        self
    }

    /// The same, hardly ever beyond `most` either way.
    pub(super) const fn at_most(self, most: f64, worth: f64) -> Self {
        Self { limit: Some(Limit::AtMost { most, worth }), ..self }
    }

    /// The same, hardly ever outside `least` to `most`.
    pub(super) const fn within(self, least: f64, most: f64, worth: f64, name: &'static str) -> Self {
        Self { limit: Some(Limit::Within { least, most, worth, name }), ..self }
    }
}

/// A quantity of a register, and where it is.
#[derive(Clone, Copy, Debug)]
pub(super) struct Quantity {
    /// Its name among the meanings, with its unit.
    pub(super) field: &'static str,
    /// The bits that are zero where there is no data: a status bit, or whatever else says so.
    pub(super) status: Span,
    /// The value, its sign bit included.
    pub(super) value: Span,
    /// Whether the first bit of the value is its sign.
    signed: bool,
    /// How to read it.
    pub(super) scale: Scale,
}

const REGISTER: u8 = 56;

impl Quantity {
    /// The quantity of these rows: what says whether it holds, and one or two that are read together; the first of two is
    /// the sign.
    ///
    /// # Panics
    /// Where the two are not side by side; it is only called while the program is built.
    pub(super) const fn new(field: &'static str, status: &Row, values: &[Row], scale: Scale) -> Self {
        let (first, last) = (&values[0], &values[values.len() - 1]);
        let signed = values.len() == 2;
        assert!(
            last.span.first == if signed { first.span.last + 1 } else { first.span.first },
            "rows are side by side"
        );
        Self { field, status: status.span, value: Span::new(first.span.first, last.span.last), signed, scale }
    }

    /// The status bit; if it is zero, the whole value has to be zero.
    pub(super) fn status_bit(&self) -> Option<u8> {
        (self.status.width() == 1 && self.status.first != self.value.first).then_some(self.status.first)
    }

    /// Whether nothing is behind a status bit of 0.
    pub(super) fn is_sound(&self, pattern: u128) -> bool {
        self.status_bit().is_none() || self.is_given(pattern) || self.value.of(pattern, REGISTER) == 0
    }

    fn is_given(&self, pattern: u128) -> bool {
        self.status.of(pattern, REGISTER) != 0
    }

    fn integer(&self, pattern: u128) -> i64 {
        let code = self.value.of(pattern, REGISTER) as i64;
        let top = 1i64 << (self.value.width() - 1);
        if self.signed && code & top != 0 { code - 2 * top } else { code }
    }

    /// The number behind the bits, whatever the status says; `None` for codes of their own.
    pub(super) fn number(&self, pattern: u128) -> Option<f64> {
        let n = self.integer(pattern) as f64;
        match self.scale.how {
            How::Linear { numerator, denominator, offset, .. } => Some(offset + n * numerator / denominator),
            How::Turn => Some((n * 360.0 / self.turn()).rem_euclid(360.0)),
            How::Code { .. } => None,
        }
    }

    /// The number where the status says that it holds.
    pub(super) fn given(&self, pattern: u128) -> Option<f64> {
        self.number(pattern).filter(|_| self.is_given(pattern))
    }

    /// The unit with a space before it.
    pub(super) const fn unit(&self) -> &'static str {
        match self.scale.how {
            How::Linear { unit, .. } => unit,
            How::Turn => " deg",
            How::Code { .. } => "",
        }
    }

    /// What its values are.
    pub(super) const fn kind(&self) -> MeaningKind {
        match self.scale.how {
            How::Code { kind, .. } => kind,
            How::Linear { numerator, denominator, .. } if (numerator / denominator) % 1.0 == 0.0 => {
                MeaningKind::Integer
            }
            How::Turn | How::Linear { .. } => MeaningKind::Decimal,
        }
    }

    fn turn(&self) -> f64 {
        (1u64 << self.value.width()) as f64
    }

    pub(super) fn read(&self, pattern: u128, version: Version) -> Meaning {
        if !self.is_given(pattern) {
            return Meaning::none("no data");
        }
        match (self.scale.how, self.number(pattern)) {
            (How::Code { meaning, .. }, _) => meaning(self.value.of(pattern, REGISTER), version),
            (How::Turn, Some(degrees)) => Meaning::new(Value::decimal(degrees, 6), Wording::hundredths(degrees, "deg")),
            (How::Linear { unit, .. }, Some(value)) => {
                if self.kind() == MeaningKind::Integer {
                    return Meaning::integer(value as i64, unit.trim_start());
                }
                let rounded = Value::rounded(value, 3);
                Meaning::new(Value::decimal(value, 6), Wording::number(rounded, unit.trim_start()))
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
        let code = match self.scale.how {
            How::Code { from_meaning, .. } => from_meaning(given, wanted.version)?,
            How::Turn => ((number(given)?.rem_euclid(360.0) / 360.0 * self.turn()).round() as u64) % self.turn() as u64,
            How::Linear { numerator, denominator, offset, unit } => {
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

    /// The scale of the number, if it is one.
    const fn linear(&self) -> Option<Linear> {
        match self.scale.how {
            How::Turn => Some(Linear::new(360.0, (1u64 << self.value.width()) as f64, " deg")),
            How::Linear { numerator, denominator, offset, unit } => {
                Some(Linear { offset, ..Linear::new(numerator, denominator, unit) })
            }
            How::Code { .. } => None,
        }
    }

    pub(super) fn steps(&self, pattern: u128) -> Vec<Step> {
        let Some(scale) = self.linear().filter(|_| self.is_given(pattern)) else { return Vec::new() };
        let code = self.value.of(pattern, REGISTER);
        let n = self.integer(pattern);
        let width = usize::from(self.value.width());
        let mut steps =
            vec![Step::new(format!("{code:0width$b}"), code.to_string()).of(format!("bits {}", self.value))];
        if n < 0 {
            steps.push(Step::new(format!("{code} - {}", 1u64 << width), n.to_string()).explained("the sign bit is 1"));
        }
        steps.push(scale.read(n));
        if n < 0 && matches!(self.scale.how, How::Turn) {
            let degrees = n as f64 * 360.0 / self.turn();
            let around = format!("{} deg", decimals(degrees.rem_euclid(360.0), 6));
            steps.push(Step::new(format!("{} + 360", decimals(degrees, 6)), around).explained("clockwise from north"));
        }
        steps
    }

    /// From what was wanted to the bits.
    pub(super) fn steps_to(&self, wanted: &Wanted<'_>, pattern: u128) -> Vec<Step> {
        let (Some(scale), Some(Ok(value))) = (self.linear(), wanted.get(self.field).map(number)) else {
            return Vec::new();
        };
        let code = self.value.of(pattern, REGISTER);
        if matches!(self.scale.how, How::Turn) {
            return turned(value, scale, code, self.value.width());
        }
        let n = self.integer(pattern);
        let mut steps = scale.write(value, n);
        if n < 0 {
            let turn = 1u64 << self.value.width();
            steps.push(
                Step::new(format!("{n} + {turn}"), code.to_string()).explained("two's complement of a negative number"),
            );
        }
        steps.push(bits_step(code, self.value.width()));
        steps
    }
}

/// Declares the quantities of a register as `QUANTITIES`, what they mean as `DERIVED`, and a getter of each number.
///
/// One line is: the getter (where the value is a number), the field, explanation, the row that says whether it holds, the
/// row of the value (behind the row of its sign, where it has one), and how to read it.
macro_rules! quantities {
    (
        $table:ident;
        $( $(fn $getter:ident =)? $field:literal, $about:literal, if $status:ident, $($value:ident)&+, $scale:expr; )+
    ) => {
        /// The quantities of this register.
        pub(super) const QUANTITIES: &[$crate::register::quantity::Quantity] =
            &[$( $crate::register::quantity::quantity!($table, $field, $status, [$($value),+], $scale) ),+];

        impl $table {
            const DERIVED: &[$crate::code::table::Derived] = &[
                $( {
                    const QUANTITY: $crate::register::quantity::Quantity =
                        $crate::register::quantity::quantity!($table, $field, $status, [$($value),+], $scale);
                    $crate::code::table::Derived::new($field, $about, QUANTITY.kind(), |pattern, version| {
                        Some(QUANTITY.read(pattern, version))
                    })
                    .written(|wanted, pattern| QUANTITY.write(wanted, pattern))
                    .shown(|pattern, _| QUANTITY.steps(pattern))
                    .shown_back(|wanted, pattern| QUANTITY.steps_to(wanted, pattern))
                } ),+
            ];
        }

        $( $crate::register::quantity::getter! {
            $table, $about, [$($getter)?],
            $crate::register::quantity::quantity!($table, $field, $status, [$($value),+], $scale)
        } )+
    };
}

/// One quantity.
macro_rules! quantity {
    ($table:ident, $field:literal, $status:ident, [$($value:ident),+], $scale:expr) => {
        $crate::register::quantity::Quantity::new($field, &$table::$status, &[$($table::$value),+], $scale)
    };
}

/// Its getter, if it has one.
macro_rules! getter {
    ($table:ident, $about:literal, [], $quantity:expr) => {};
    ($table:ident, $about:literal, [$getter:ident], $quantity:expr) => {
        impl $table {
            #[doc = concat!($about, "; `None` if the register does not give it.")]
            ///
            /// ```
            #[doc = concat!("use squitterlab::register::", stringify!($table), ";")]
            #[doc = concat!("assert_eq!(", stringify!($table), "::from_bits(0).", stringify!($getter), "(), None);")]
            /// ```
            pub fn $getter(&self) -> Option<f64> {
                const QUANTITY: $crate::register::quantity::Quantity = $quantity;
                QUANTITY.given(self.bits().into())
            }
        }
    };
}

pub(super) use {getter, quantities, quantity};
