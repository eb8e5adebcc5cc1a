//! What a setting can be: lengths and speeds that carry their unit, choices, numbers in a range, marks and codes.

use super::located::{Kind, Member, Node};
use crate::code::{EmitterCategory, Identification, ModeA, RegisterNumber};
use crate::frame::Address;
use crate::registry::{Written, read_address};
use serde_json::{Value, json};

/// Why a value cannot be a setting, and what to write instead.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Why.
    pub reason: String,
    /// What to do.
    pub correction: String,
}

impl Fault {
    /// A fault with its correction.
    pub fn new(reason: impl Into<String>, correction: impl Into<String>) -> Self {
        Self { reason: reason.into(), correction: correction.into() }
    }
}

/// A word to choose, and what it means.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Choice {
    /// As it is written in JSON.
    pub word: &'static str,
    /// What it means.
    pub words: &'static str,
}

/// What kind of value a setting has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum ValueKind {
    /// Characters.
    Text,
    /// A whole number.
    Number,
    /// A number with its unit.
    Measure,
    /// One of fixed words.
    Choice,
    /// Yes or no.
    YesNo,
    /// A list.
    List,
}

/// A type that a setting can have.
pub trait Quantity: Clone + PartialEq + Sized {
    /// What kind of value it is.
    const KIND: ValueKind;
    /// The units that it may be given in.
    const UNITS: &'static [&'static str] = &[];
    /// The words to choose from.
    const CHOICES: &'static [Choice] = &[];

    /// The value as a small whole number, if it is one.
    fn number(&self) -> Option<u8> {
        None
    }
    /// Reads it from JSON.
    ///
    /// # Errors
    /// [`Fault`] with reason and correction.
    fn read(node: &Node) -> Result<Self, Fault>;
    /// Writes it as JSON.
    fn json(&self) -> Value;
    /// The JSON Schema.
    fn schema() -> Value;
    /// In words.
    fn words(&self) -> String;
}

/// A unit's key in JSON and its size in the base unit.
pub(super) type Unit = (&'static str, f64);

pub(super) const LENGTHS: [Unit; 5] = [("m", 1.0), ("ft", 0.3048), ("in", 0.0254), ("cm", 0.01), ("mm", 0.001)];

/// The keys of units.
const fn keys<const N: usize>(units: [Unit; N]) -> [&'static str; N] {
    let (mut keys, mut at) = ([""; N], 0);
    while at < N {
        keys[at] = units[at].0;
        at += 1;
    }
    keys
}

/// 1 kt = 1.852 km/h; 1 mph = 1.609344 km/h.
const SPEEDS: [Unit; 3] = [("kt", 1.0), ("mph", 1.609_344 / 1.852), ("km_h", 1.0 / 1.852)];
/// 1 lb = 0.45359237 kg.
const WEIGHTS: [Unit; 2] = [("lb", 1.0), ("kg", 1.0 / 0.453_592_37)];

/// A number with the unit it was given in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measure {
    /// The number as given.
    pub number: f64,
    /// The unit's key.
    pub unit: &'static str,
    /// The same in the base unit.
    base: f64,
}

impl Measure {
    fn new(number: f64, (unit, size): Unit) -> Self {
        // Twelve places are more than any tape has, and keep 27.2 ft from becoming 8.290560000000001 m.
        let base = (number * size * 1e12).round() / 1e12;
        Self { number, unit, base }
    }

    fn read(node: &Node, units: &[Unit], what: &str) -> Result<Self, Fault> {
        let example = |number: f64| {
            units.iter().map(|(unit, _)| format!("{{\"{unit}\": {number}}}")).collect::<Vec<_>>().join(" or ")
        };
        match &node.kind {
            Kind::Number(number) => Err(Fault::new(
                format!("a bare {number} has no unit, and that is how feet get typed as metres"),
                format!("write {}", example(*number)),
            )),
            Kind::Object(members) => {
                let [member] = &members[..] else {
                    return Err(Fault::new(
                        format!("a {what} is one number with one unit; {} keys stand here", members.len()),
                        format!("write {}", example(1.0)),
                    ));
                };
                let unit = units.iter().find(|(unit, _)| *unit == member.key).ok_or_else(|| {
                    Fault::new(format!("{:?} is not a unit of {what}", member.key), format!("write {}", example(1.0)))
                })?;
                match &member.node.kind {
                    Kind::Number(number) if number.is_finite() && *number >= 0.0 => Ok(Self::new(*number, *unit)),
                    Kind::Number(number) => {
                        Err(Fault::new(format!("a {what} of {number} cannot be"), "write the measured size, 0 or more"))
                    }
                    _ => Err(Fault::new(
                        format!("{} is no number", member.node.kind_in_words()),
                        format!("write {}", example(1.0)),
                    )),
                }
            }
            _ => {
                Err(Fault::new(format!("{} is not a {what}", node.kind_in_words()), format!("write {}", example(1.0))))
            }
        }
    }

    fn json(&self) -> Value {
        json!({ self.unit: self.number })
    }

    fn schema(units: &[Unit]) -> Value {
        let options: Vec<_> = units
            .iter()
            .map(|(unit, _)| {
                json!({"type": "object", "properties": {*unit: {"type": "number", "minimum": 0}},
                    "required": [unit], "additionalProperties": false})
            })
            .collect();
        json!({"oneOf": options})
    }
}

/// Declares a measure with its units; `$base` reads it in the first of them.
macro_rules! measure {
    ($(#[$doc:meta])* $name:ident($units:ident, $what:literal, $make:ident, $base:ident)) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq)]
        pub struct $name(Measure);

        impl $name {
            /// So many of the base unit.
            pub fn $make(number: f64) -> Self {
                Self(Measure::new(number, $units[0]))
            }

            /// In the base unit.
            pub fn $base(self) -> f64 {
                self.0.base
            }

            /// The number as given, and its unit.
            pub fn measure(self) -> Measure {
                self.0
            }

            /// The same number in another unit, as one who mistakes the unit types it.
            #[must_use]
            pub fn with_number_in(self, unit: &str) -> Option<Self> {
                $units.iter().find(|(key, _)| *key == unit).map(|unit| Self(Measure::new(self.0.number, *unit)))
            }

            /// The measure as a number of another unit.
            pub fn number_in(self, unit: &str) -> Option<f64> {
                $units.iter().find(|(key, _)| *key == unit).map(|(_, size)| self.0.base / size)
            }

            /// Reads it as one types it: the number, and its unit right behind.
            ///
            /// # Errors
            /// [`Fault`] with reason and correction; a number without a unit is one.
            pub fn typed(text: &str) -> Result<Self, Fault> {
                Self::read(&typed(text))
            }
        }

        impl Quantity for $name {
            const KIND: ValueKind = ValueKind::Measure;
            const UNITS: &'static [&'static str] = &keys($units);

            fn read(node: &Node) -> Result<Self, Fault> {
                Measure::read(node, &$units, $what).map(Self)
            }
            fn json(&self) -> Value {
                self.0.json()
            }
            fn schema() -> Value {
                Measure::schema(&$units)
            }
            fn words(&self) -> String {
                let (base, _) = $units[0];
                match self.0.unit {
                    unit if unit == base => format!("{} {base}", self.0.number),
                    unit => format!("{} {} ({} {base})", self.0.number, unit.replace('_', "/"), short(self.0.base)),
                }
            }
        }
    };
}

measure! {
    /// A length with its unit.
    Length(LENGTHS, "length", metres, in_metres)
}
measure! {
    /// A speed with its unit.
    Speed(SPEEDS, "speed", knots, in_knots)
}
measure! {
    /// A weight with its unit.
    Weight(WEIGHTS, "weight", pounds, in_pounds)
}

/// What a base unit is rounded to for people: hundredths of small numbers, tenths and wholes of larger ones.
fn short(number: f64) -> String {
    let places = if number >= 1000.0 { 0 } else { usize::from(number < 100.0) + 1 };
    format!("{number:.places$}")
}

/// `27.2ft`, `27.2 ft` or `27ft 3in` as the JSON that says the same.
fn typed(text: &str) -> Node {
    let node = |kind| Node { at: 0, kind };
    let number_and_unit = |text: &str| {
        let text = text.trim();
        let end = text.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-' | '+'))).unwrap_or(text.len());
        Some((text[..end].parse::<f64>().ok()?, text[end..].trim().replace('/', "_")))
    };
    let with_unit = |number, key| node(Kind::Object(vec![Member { key, key_at: 0, node: node(Kind::Number(number)) }]));
    // A tape shows feet and inches.
    if let Some((feet, inches)) = text.split_once("ft")
        && let (Ok(feet), Some((inches, unit))) = (feet.trim().parse::<f64>(), number_and_unit(inches))
        && unit == "in"
    {
        return with_unit(feet * 12.0 + inches, unit);
    }
    match number_and_unit(text) {
        Some((number, unit)) if unit.is_empty() => node(Kind::Number(number)),
        Some((number, unit)) => with_unit(number, unit),
        None => node(Kind::Text(text.to_owned())),
    }
}

fn text<'a>(node: &'a Node, what: &str, example: &str) -> Result<&'a str, Fault> {
    match &node.kind {
        Kind::Text(text) => Ok(text),
        _ => Err(Fault::new(
            format!("{} is not {what}", node.kind_in_words()),
            format!("write a text such as {example:?}"),
        )),
    }
}

/// A registration mark, as painted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mark(pub String);

impl Quantity for Mark {
    const KIND: ValueKind = ValueKind::Text;
    fn read(node: &Node) -> Result<Self, Fault> {
        let mark = text(node, "a registration mark", "N47QX")?;
        let good = |c: char| c.is_ascii_uppercase() || c.is_ascii_digit() || c == '-';
        if !(2..=10).contains(&mark.len()) || !mark.chars().all(good) {
            return Err(Fault::new(
                format!("{mark:?} is not a registration mark"),
                "write 2 to 10 of A-Z, 0-9 and the hyphen, in capitals, as painted on the aircraft",
            ));
        }
        Ok(Self(mark.to_owned()))
    }
    fn json(&self) -> Value {
        json!(self.0)
    }
    fn schema() -> Value {
        json!({"type": "string", "pattern": "^[A-Z0-9-]{2,10}$"})
    }
    fn words(&self) -> String {
        self.0.clone()
    }
}

impl Quantity for Address {
    const KIND: ValueKind = ValueKind::Text;
    fn read(node: &Node) -> Result<Self, Fault> {
        let given = text(node, "an address", "A5C035")?;
        Self::from_hex(given).map_err(|error| {
            // A register prints octal too, and a menu may show decimal or bits.
            let correction = match read_address(given) {
                Ok(Written { notation, address }) => {
                    format!("this looks like the {} form; write \"{address}\"", notation.word())
                }
                Err(unreadable) => match unreadable.meant.first() {
                    Some(meant) => format!("{}: if so, write \"{}\"", meant.detail, meant.address),
                    None => "write the six hexadecimal digits of the State's register, such as \"A5C035\"".to_owned(),
                },
            };
            Fault::new(format!("{given:?}: {error}"), correction)
        })
    }
    fn json(&self) -> Value {
        json!(self.to_string())
    }
    fn schema() -> Value {
        json!({"type": "string", "pattern": "^[0-9A-Fa-f]{6}$"})
    }
    fn words(&self) -> String {
        self.to_string()
    }
}

impl Quantity for Identification {
    const KIND: ValueKind = ValueKind::Text;
    fn read(node: &Node) -> Result<Self, Fault> {
        let given = text(node, "an aircraft identification", "N47QX")?;
        let bare: String = given.chars().filter(char::is_ascii_alphanumeric).collect::<String>().to_uppercase();
        let meant = bare.parse().ok().filter(|code: &Self| code.is_well_formed() && bare != given);
        let correction = match meant {
            Some(code) => format!("write \"{code}\": A-Z and 0-9 in capitals, without hyphen or space"),
            None => {
                "write up to eight of A-Z and 0-9 in capitals, without hyphen or space, such as \"N47QX\"".to_owned()
            }
        };
        let code: Self = given.parse().map_err(|error| Fault::new(format!("{error}"), &*correction))?;
        if !code.is_well_formed() {
            return Err(Fault::new(format!("{given:?} is empty or has a space before its end"), correction));
        }
        Ok(code)
    }
    fn json(&self) -> Value {
        json!(self.to_string())
    }
    fn schema() -> Value {
        json!({"type": "string", "pattern": "^[A-Z0-9]{1,8}$"})
    }
    fn words(&self) -> String {
        self.to_string()
    }
}

impl Quantity for EmitterCategory {
    const KIND: ValueKind = ValueKind::Text;
    fn read(node: &Node) -> Result<Self, Fault> {
        let given = text(node, "an emitter category", "A1")?;
        given.parse().map_err(|error| {
            Fault::new(format!("{error}"), "write set and number, such as \"A1\" for an aircraft below 15 500 lb")
        })
    }
    fn json(&self) -> Value {
        json!(self.to_string())
    }
    fn schema() -> Value {
        json!({"type": "string", "pattern": "^[A-D][0-7]$"})
    }
    fn words(&self) -> String {
        self.to_string()
    }
}

impl Quantity for ModeA {
    const KIND: ValueKind = ValueKind::Text;
    fn read(node: &Node) -> Result<Self, Fault> {
        let given = text(node, "a Mode A code", "1200")?;
        given.parse().map_err(|error| Fault::new(format!("{error}"), "write four digits 0 to 7 in quotes"))
    }
    fn json(&self) -> Value {
        json!(self.to_string())
    }
    fn schema() -> Value {
        json!({"type": "string", "pattern": "^[0-7]{4}$"})
    }
    fn words(&self) -> String {
        self.to_string()
    }
}

impl Quantity for bool {
    const KIND: ValueKind = ValueKind::YesNo;
    fn read(node: &Node) -> Result<Self, Fault> {
        match node.kind {
            Kind::Bool(yes) => Ok(yes),
            _ => Err(Fault::new(format!("{} is neither true nor false", node.kind_in_words()), "write true or false")),
        }
    }
    fn json(&self) -> Value {
        json!(self)
    }
    fn schema() -> Value {
        json!({"type": "boolean"})
    }
    fn words(&self) -> String {
        if *self { "yes" } else { "no" }.to_owned()
    }
}

/// A whole number from `LEAST` to `MOST`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Whole<const LEAST: u8, const MOST: u8>(pub u8);

impl<const LEAST: u8, const MOST: u8> Quantity for Whole<LEAST, MOST> {
    const KIND: ValueKind = ValueKind::Number;

    fn number(&self) -> Option<u8> {
        Some(self.0)
    }
    fn read(node: &Node) -> Result<Self, Fault> {
        match node.kind {
            Kind::Number(number) if number.fract() == 0.0 && (f64::from(LEAST)..=f64::from(MOST)).contains(&number) => {
                Ok(Self(number as u8))
            }
            _ => Err(Fault::new(
                format!("{} does not fit", node.kind_in_words()),
                format!("write a whole number from {LEAST} to {MOST}"),
            )),
        }
    }
    fn json(&self) -> Value {
        json!(self.0)
    }
    fn schema() -> Value {
        json!({"type": "integer", "minimum": LEAST, "maximum": MOST})
    }
    fn words(&self) -> String {
        self.0.to_string()
    }
}

/// The step of the altitude source: 25 or 100 ft.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct StepFt(pub u16);

impl Quantity for StepFt {
    const KIND: ValueKind = ValueKind::Number;
    const UNITS: &'static [&'static str] = &["ft"];
    fn read(node: &Node) -> Result<Self, Fault> {
        match node.kind {
            Kind::Number(25.0) => Ok(Self(25)),
            Kind::Number(100.0) => Ok(Self(100)),
            _ => Err(Fault::new(format!("{} does not fit", node.kind_in_words()), "write 25 or 100")),
        }
    }
    fn json(&self) -> Value {
        json!(self.0)
    }
    fn schema() -> Value {
        json!({"enum": [25, 100]})
    }
    fn words(&self) -> String {
        format!("{} ft", self.0)
    }
}

/// Free text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Text(pub String);

impl Quantity for Text {
    const KIND: ValueKind = ValueKind::Text;
    fn read(node: &Node) -> Result<Self, Fault> {
        text(node, "a text", "measured on the ramp").map(|text| Self(text.to_owned()))
    }
    fn json(&self) -> Value {
        json!(self.0)
    }
    fn schema() -> Value {
        json!({"type": "string"})
    }
    fn words(&self) -> String {
        self.0.clone()
    }
}

/// The registers that the install serves.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Registers(pub Vec<RegisterNumber>);

impl Quantity for Registers {
    const KIND: ValueKind = ValueKind::List;
    fn read(node: &Node) -> Result<Self, Fault> {
        let correction = "write a list such as [\"1,0\", \"1,7\", \"2,0\"]";
        let Kind::List(items) = &node.kind else {
            return Err(Fault::new(format!("{} is not a list of registers", node.kind_in_words()), correction));
        };
        items
            .iter()
            .map(|item| {
                text(item, "a register", "2,0")?
                    .parse()
                    .map_err(|error: crate::code::CodeError| Fault::new(error.to_string(), correction))
            })
            .collect::<Result<_, _>>()
            .map(Self)
    }
    fn json(&self) -> Value {
        self.0.iter().map(ToString::to_string).collect()
    }
    fn schema() -> Value {
        json!({"type": "array", "items": {"type": "string", "pattern": "^[0-9A-Fa-f],[0-9A-Fa-f]$"}})
    }
    fn words(&self) -> String {
        self.0.iter().map(ToString::to_string).collect::<Vec<_>>().join(" ")
    }
}
