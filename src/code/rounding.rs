//! Compares what a message says with what was wanted: what was rounded is noted, what is beyond the scale is
//! refused with the range.
//!
//! It is the same for every code: the meaning of what was written is compared with the wish, and the steps and ends of
//! the scale are found by asking for other values.

use super::table::{BEYOND, Derived, Row, Table, TableError, Wanted};
use super::{CodeError, Meaning, Value, is_no_data, number};
use std::collections::BTreeMap;
use std::fmt;

/// A value that is sent otherwise than asked, since no code is nearer.
#[derive(Clone, Debug, PartialEq)]
pub struct Rounded {
    /// The field.
    pub field: String,
    /// What was wanted, as it was written.
    pub asked: String,
    /// What is sent; `None` if the message then says nothing of it.
    pub sent: Option<String>,
    /// Why: the steps of the code, or its words.
    pub because: Option<String>,
}

/// Written as "pressure altitude 4510 ft is sent as 4500 ft: steps of 25 ft".
impl fmt::Display for Rounded {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (name, unit) = plain(&self.field);
        write!(f, "{name} {}{unit} is ", self.asked)?;
        match &self.sent {
            Some(sent) => write!(f, "sent as {sent}{unit}")?,
            None => f.write_str("not sent")?,
        }
        self.because.as_ref().map_or(Ok(()), |because| write!(f, ": {because}"))
    }
}

/// How units end the name of a field, and how they are written.
const UNITS: [(&str, &str); 12] = [
    ("_deg_per_s", " deg/s"),
    ("_ft", " ft"),
    ("_kt", " kt"),
    ("_deg", " deg"),
    ("_fpm", " ft/min"),
    ("_nm", " NM"),
    ("_hpa", " hPa"),
    ("_mhz", " MHz"),
    ("_percent", " %"),
    ("_min", " min"),
    ("_m", " m"),
    ("_s", " s"),
];

/// The name of a field in plain words, and its unit with a space before it.
fn plain(field: &str) -> (String, &'static str) {
    let found = UNITS.iter().find_map(|(end, unit)| Some((field.strip_suffix(end)?, *unit)));
    // Not every name with a "c" at its end is one of degrees.
    let celsius = field.strip_suffix("_c").filter(|name| name.ends_with("temperature"));
    let (name, unit) = found.or(celsius.map(|name| (name, " \u{b0}C"))).unwrap_or((field, ""));
    (name.replace('_', " "), unit)
}

/// What carries a field.
#[derive(Clone, Copy)]
pub(super) enum Carrier<'a> {
    Row(&'a Row),
    Derived(&'a Derived),
}

impl Table {
    /// What a field name stands for: a meaning comes before a row that is only known by the same key.
    pub(super) fn carrier(&self, field: &str) -> Option<Carrier<'_>> {
        let row = self.rows.iter().find(|row| row.field == Some(field)).map(Carrier::Row);
        let derived = || self.derived.iter().find(|derived| derived.field == field).map(Carrier::Derived);
        let key = || self.rows.iter().find(|row| row.key == field).map(Carrier::Row);
        row.or_else(derived).or_else(key)
    }

    /// What was written otherwise than wanted.
    pub(super) fn rounded(&self, wanted: &Wanted<'_>, pattern: u128) -> Result<Vec<Rounded>, TableError> {
        let mut all = Vec::new();
        for (field, asked) in wanted.fields {
            let wrong = |error| TableError::Field { field: field.clone(), error };
            if let Some(carrier) = self.carrier(field) {
                let wish = Wish { table: self, wanted, field, carrier, is_turn: false };
                all.extend(wish.compare(asked, pattern).map_err(wrong)?);
            }
        }
        Ok(all)
    }
}

/// One field of what is wanted.
struct Wish<'a> {
    table: &'a Table,
    wanted: &'a Wanted<'a>,
    field: &'a str,
    carrier: Carrier<'a>,
    /// Whether 360 more is the same.
    is_turn: bool,
}

/// What is taken for the same number: meanings have six decimal places at most.
const SAME: f64 = 5e-7;

fn same(one: f64, other: f64) -> bool {
    (one - other).abs() <= SAME
}

impl Wish<'_> {
    fn compare(&self, asked: &str, pattern: u128) -> Result<Option<Rounded>, CodeError> {
        let asked = asked.trim();
        if self.wanted.get(&format!("{}{BEYOND}", self.field)).is_some_and(|beyond| beyond.trim() == "true") {
            let sent = self.meaning(self.wanted, pattern).is_some_and(|meaning| meaning.beyond);
            let why = || format!("{asked} is not past the end of the scale; leave {}{BEYOND} out", self.field);
            return if sent { Ok(None) } else { Err(CodeError::Refused(why())) };
        }
        if let Carrier::Row(row) = self.carrier {
            let code = self.table.code(row, pattern);
            if (row.from_meaning)(asked, self.wanted.version)? != code {
                return Err(CodeError::Refused(format!(
                    "another field that is given sets the same bits; leave {} out",
                    self.field
                )));
            }
            if self.takes_codes(row, code) && asked.parse() == Ok(code) {
                return Ok(None);
            }
        }
        let Some(meaning) = self.meaning(self.wanted, pattern) else {
            let why = "this message says nothing of it, in this version and beside the other fields; leave it out";
            return Err(CodeError::Refused(why.to_owned()));
        };
        let Ok(wish) = number(asked) else { return Ok(self.compare_words(asked, &meaning)) };
        match value_of(&meaning) {
            Some(sent) => Ok(self.compare_numbers(asked, wish, sent, &meaning)),
            None if meaning.value == Value::Null || meaning.past => self.beyond_or_unsaid(asked, wish, &meaning),
            None => Ok(self.compare_words(asked, &meaning)),
        }
    }

    /// Whether a row takes bare codes: what it says would not be understood as a wish for the same code.
    fn takes_codes(&self, row: &Row, code: u64) -> bool {
        let meaning = (row.meaning)(code, self.wanted.version);
        let is_word = matches!(meaning.value, Value::Word(_) | Value::Text(_));
        is_word || (row.from_meaning)(&meaning.value.to_string(), self.wanted.version) != Ok(code)
    }

    fn meaning(&self, wanted: &Wanted<'_>, pattern: u128) -> Option<Meaning> {
        match self.carrier {
            Carrier::Row(row) => Some((row.meaning)(self.table.code(row, pattern), wanted.version)),
            Carrier::Derived(Derived { sent: Some(sent), .. }) => sent(wanted, pattern),
            Carrier::Derived(derived) => (derived.read)(pattern, wanted.version),
        }
    }

    /// Words are understood or refused; they are never rounded.
    fn compare_words(&self, asked: &str, meaning: &Meaning) -> Option<Rounded> {
        let same = match &meaning.value {
            Value::Null => is_no_data(asked),
            value @ (Value::Word(_) | Value::Text(_)) => {
                value.to_string().trim().eq_ignore_ascii_case(asked) || meaning.name == Some(asked)
            }
            Value::Bool(_) | Value::Integer(_) | Value::Decimal(_) => true,
        };
        let sent = Some(meaning.value.to_string()).filter(|_| meaning.value != Value::Null);
        (!same).then(|| self.note(asked, sent, Some(meaning.text.to_string())))
    }

    fn note(&self, asked: &str, sent: Option<String>, because: Option<String>) -> Rounded {
        Rounded { field: self.field.to_owned(), asked: asked.to_owned(), sent, because }
    }

    /// The number that is sent where another is wanted; `None` if it is refused or not sent as a number.
    fn sent_for(&self, wish: f64) -> Option<f64> {
        let mut fields: BTreeMap<String, String> = self.wanted.fields.clone();
        fields.insert(self.field.to_owned(), wish.to_string());
        let wanted = Wanted { fields: &fields, version: self.wanted.version };
        let pattern = self.table.write(&wanted).ok()?;
        let sent = value_of(&self.meaning(&wanted, pattern)?)?;
        Some(if self.is_turn { beside(sent, wish) } else { sent })
    }

    fn compare_numbers(&self, asked: &str, wish: f64, sent: f64, meaning: &Meaning) -> Option<Rounded> {
        // What goes round one way goes round the other way, too.
        let is_turn =
            self.field.ends_with("_deg") && self.sent_for(sent + 360.0).is_some_and(|other| same(other, sent));
        let (this, wish) = (Self { is_turn, ..*self }, if is_turn { beside(wish, sent) } else { wish });
        if same(wish, sent) {
            return None;
        }
        let towards = (wish - sent).signum();
        let far = wish + towards * (wish.abs() + 1000.0);
        // The last code of some scales stands for all that is beyond, and its words say so.
        let is_end = !is_turn && self.sent_for(far).is_some_and(|other| same(other, sent));
        let steps = |step| format!("steps of {}{}", shown(step), plain(self.field).1);
        let because = if is_end { Some(meaning.text.to_string()) } else { this.step(sent).map(steps) };
        Some(self.note(asked, Some(shown(sent)), because))
    }

    /// A number is wanted, and none is sent: beyond the scale, or something else stands against it.
    fn beyond_or_unsaid(&self, asked: &str, wish: f64, meaning: &Meaning) -> Result<Option<Rounded>, CodeError> {
        let nearer = std::iter::successors(Some(wish / 2.0), |wish| Some(wish / 2.0)).take(40);
        match [0.0].into_iter().chain(nearer).find_map(|wish| Some((wish, self.sent_for(wish)?))) {
            Some((inside, _)) => {
                let end = self.last_before(inside, wish);
                Err(self.out_of_range(asked, end, wish.signum()))
            }
            None => Ok(Some(self.note(asked, None, Some(meaning.text.to_string())))),
        }
    }

    /// The last number that is sent on the way from one that is to one that is not.
    fn last_before(&self, inside: f64, outside: f64) -> f64 {
        let (mut inside, mut outside) = (inside, outside);
        let mut last = self.sent_for(inside).unwrap_or(inside);
        for _ in 0..80 {
            let middle = f64::midpoint(inside, outside);
            match self.sent_for(middle) {
                Some(sent) => (inside, last) = (middle, sent),
                None => outside = middle,
            }
        }
        last
    }

    /// The wish is beyond this end of the scale.
    fn out_of_range(&self, asked: &str, end: f64, towards: f64) -> CodeError {
        const FAR: f64 = 1e9;
        let far = end - towards * FAR;
        let other = self.sent_for(far).unwrap_or_else(|| self.last_before(end, far));
        CodeError::out_of_range(asked, shown(end.min(other)), shown(end.max(other)), plain(self.field).1)
    }

    /// The next number that can be sent in a direction.
    fn next(&self, sent: f64, towards: f64) -> Option<f64> {
        let distances = std::iter::successors(Some(1e-5), |distance| Some(distance * 2.0)).take(48);
        let others = distances.map_while(|distance| self.sent_for(sent + towards * distance));
        others.into_iter().find(|other| !same(*other, sent))
    }

    /// The distance to the numbers beside one, if it is the same on both sides or there is only one side.
    fn step(&self, sent: f64) -> Option<f64> {
        let side = |towards: f64| self.next(sent, towards).map(|other| (other - sent).abs());
        match (side(1.0), side(-1.0)) {
            // Each of three numbers was rounded to six places.
            (Some(up), Some(down)) => ((up - down).abs() < 2.5e-6).then_some(up.min(down)),
            (up, down) => up.or(down),
        }
    }
}

/// The same direction, with as many full turns as bring it beside another.
fn beside(degrees: f64, other: f64) -> f64 {
    degrees + 360.0 * ((other - degrees) / 360.0).round()
}

fn value_of(meaning: &Meaning) -> Option<f64> {
    // The number is the end of the scale, which itself is not sent.
    meaning.value.number().filter(|_| !meaning.past)
}

/// A number without the dust of binary fractions.
fn shown(number: f64) -> String {
    let rounded = (number * 1e6).round() / 1e6;
    (if rounded == 0.0 { 0.0 } else { rounded }).to_string()
}
