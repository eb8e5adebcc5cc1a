//! Holds worked arithmetic as data: one step after another, which text, JSON and page each show in their own way.

use super::number;
use serde::Serialize;
use std::fmt;

/// One step that can be done again by hand.
///
/// `numbers` is an expression that gives `result`: a reader with a calculator, or a test with exact arithmetic, can
/// follow it. A step that only looks something up has no numbers.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Step {
    /// What is done, in words.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub what: String,
    /// What is found, by its name or as a formula.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub formula: String,
    /// The same with its numbers.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub numbers: String,
    /// What comes out.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub result: String,
}

impl Step {
    /// A calculation.
    pub(crate) fn new(numbers: impl Into<String>, result: impl Into<String>) -> Self {
        Self { numbers: numbers.into(), result: result.into(), ..Self::default() }
    }

    /// A remark, or a row of a table if it begins with spaces.
    pub(crate) fn note(what: impl Into<String>) -> Self {
        Self { what: what.into(), ..Self::default() }
    }

    /// The same calculation of something that has a name.
    #[must_use]
    pub(crate) fn of(mut self, formula: impl Into<String>) -> Self {
        self.formula = formula.into();
        self
    }

    /// The same with words before it.
    #[must_use]
    pub(crate) fn explained(mut self, what: impl Into<String>) -> Self {
        self.what = what.into();
        self
    }

    /// Whether it is a row of a table, whose spaces stay.
    ///
    /// ```
    /// use squitterlab::code::Step;
    /// let step = |what: &str| Step { what: what.to_owned(), ..Step::default() };
    /// assert!(step("  C1  A1  C2").is_row() && !step("bits, each under its name").is_row());
    /// ```
    pub fn is_row(&self) -> bool {
        self.what.starts_with(' ')
    }
}

/// Written as `what: formula = numbers = result`.
impl fmt::Display for Step {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.what)?;
        let parts = [&self.formula, &self.numbers, &self.result].into_iter().filter(|part| !part.is_empty());
        for (at, part) in parts.enumerate() {
            match (at, self.what.is_empty()) {
                (0, true) => {}
                (0, false) => f.write_str(": ")?,
                _ => f.write_str(" = ")?,
            }
            f.write_str(part)?;
        }
        Ok(())
    }
}

/// The steps of one thing.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Worked {
    /// What is worked out.
    pub title: String,
    /// How.
    pub steps: Vec<Step>,
}

/// The steps, after a word on what of their place and meaning only memory supports.
pub(crate) fn marked(memory: Option<&str>, steps: Vec<Step>) -> Vec<Step> {
    let memory = memory.filter(|_| !steps.is_empty()).map(Step::note);
    memory.into_iter().chain(steps).collect()
}

/// A number with at most this many decimal places, without zeros at its end.
pub(crate) fn decimals(number: f64, places: usize) -> String {
    let text = format!("{number:.places$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// A straight scale: code `first` says `offset`, and each code after it `numerator / denominator` more.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Linear {
    pub(crate) first: i64,
    pub(crate) offset: f64,
    pub(crate) numerator: f64,
    pub(crate) denominator: f64,
    /// With a space before it, or nothing.
    pub(crate) unit: &'static str,
}

impl Linear {
    /// Steps of `numerator / denominator`, from code 0.
    pub(crate) const fn new(numerator: f64, denominator: f64, unit: &'static str) -> Self {
        Self { first: 0, offset: 0.0, numerator, denominator, unit }
    }

    /// The same where code 0 says "no data", and 1 says 0.
    pub(crate) const fn from_one(step: f64, unit: &'static str) -> Self {
        Self { first: 1, ..Self::new(step, 1.0, unit) }
    }

    /// What a code says, rounded as meanings are.
    fn value(&self, code: i64) -> f64 {
        let value = self.offset + (code - self.first) as f64 * self.numerator / self.denominator;
        (value * 1e6).round() / 1e6
    }

    /// From the code to what it says.
    pub(crate) fn read(&self, code: i64) -> Step {
        let plus = if self.offset == 0.0 { String::new() } else { format!("{} + ", self.offset) };
        let n = if self.first == 0 { code.to_string() } else { format!("({code} - {})", self.first) };
        let whole = self.numerator / self.denominator;
        let by = if whole.fract() == 0.0 || self.denominator <= 1.0 {
            whole.to_string()
        } else {
            format!("{} / {}", self.numerator, self.denominator)
        };
        Step::new(format!("{plus}{n} x {by}"), format!("{}{}", self.value(code), self.unit))
    }

    /// What is wanted, in steps from the first.
    pub(super) fn exact(&self, wanted: f64) -> f64 {
        (wanted - self.offset) * self.denominator / self.numerator
    }

    /// Whether a code says just what is wanted.
    fn is_exact(&self, wanted: f64, code: i64) -> bool {
        (self.exact(wanted) - (code - self.first) as f64).abs() <= 1e-6
    }

    /// From what is wanted to the code that is nearest.
    pub(crate) fn write(&self, wanted: f64, code: i64) -> Vec<Step> {
        let mut steps = self.counted(wanted, code);
        steps.extend(self.sent(wanted, code));
        steps
    }

    /// The same without what is then sent.
    pub(crate) fn counted(&self, wanted: f64, code: i64) -> Vec<Step> {
        let from = match self.offset {
            0.0 => decimals(wanted, 6),
            below if below < 0.0 => format!("({} + {})", decimals(wanted, 6), -below),
            above => format!("({} - {above})", decimals(wanted, 6)),
        };
        let exact = decimals(self.exact(wanted), 6);
        let numbers = if self.denominator <= 1.0 {
            format!("{from} / {}", self.numerator)
        } else {
            format!("{from} x {} / {}", self.denominator, self.numerator)
        };
        let n = code - self.first;
        let rounded = Step::new(format!("round({exact})"), n.to_string()).explained("the nearest whole step");
        let mut steps = vec![Step::new(numbers, exact).explained("in steps of the code")];
        if !self.is_exact(wanted, code) {
            steps.push(rounded);
        }
        if self.first != 0 {
            steps.push(
                Step::new(format!("{n} + {}", self.first), code.to_string())
                    .explained(format!("code {} says 0, so the code", self.first)),
            );
        }
        steps
    }

    /// What a code says, where that is not just what is wanted.
    pub(crate) fn sent(&self, wanted: f64, code: i64) -> Option<Step> {
        (!self.is_exact(wanted, code)).then(|| Step::note(format!("what is sent: {}", self.read(code))))
    }
}

impl Linear {
    /// From what is wanted to the bits of the code, if it is a number.
    pub(crate) fn back(&self, wanted: Option<&str>, code: u64, width: u8) -> Vec<Step> {
        let Some(Ok(value)) = wanted.map(number) else { return Vec::new() };
        let mut steps = self.write(value, code as i64);
        steps.push(bits(code, width));
        steps
    }
}

/// A code as bits.
pub(crate) fn bits(code: u64, width: u8) -> Step {
    Step::new(code.to_string(), format!("{code:0width$b}", width = usize::from(width)))
        .explained(format!("in binary, {width} bits"))
}
