//! What a setting can be: lengths and speeds that carry their unit, choices, numbers in a range, marks and codes.

use super::json_spans::{Member, Node, NodeKind};
use crate::code::{EmitterCategory, Identification, ModeA, RegisterNumber};
use crate::frame::Address;
use crate::registry::{Confirmation, address_of_mark, belongs, block_of_address, confirmed, readings};
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
    pub(crate) fn new(reason: impl Into<String>, correction: impl Into<String>) -> Self {
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
    const OPTIONS: &'static [Choice] = &[];

    /// What a person gives, in words; empty if units and choices say it.
    fn given() -> String {
        String::new()
    }
    /// The value as a small whole number, if it is one.
    fn number(&self) -> Option<u8> {
        None
    }
    /// Reads it from JSON.
    ///
    /// # Errors
    /// [`Fault`] with reason and correction.
    fn read(node: &Node) -> Result<Self, Fault>;
    /// Reads it as a person types it, without quotation marks and braces.
    ///
    /// # Errors
    /// [`Fault`] with reason and correction.
    fn from_words(text: &str) -> Result<Self, Fault> {
        Self::read(&typed_text(text.trim()))
    }
    /// Writes it as JSON.
    fn json(&self) -> Value;
    /// The JSON Schema.
    fn schema() -> Value;
    /// In words.
    fn words(&self) -> String;
    /// Whether these words say more than a code on the air, which may be a mere yes or a number.
    const SAYS_MORE: bool = false;
    /// Every value there is, of a choice among few.
    fn choices() -> Vec<Self> {
        Vec::new()
    }
}

/// What a person typed, as a value to be read.
fn typed_text(text: impl Into<String>) -> Node {
    Node { at: 0, kind: NodeKind::Text(text.into()) }
}

/// A unit: its key in JSON, its size in the base unit, and how people write it besides.
#[derive(Clone, Copy, Debug)]
pub(super) struct Unit {
    pub(super) key: &'static str,
    size: f64,
    written: &'static [&'static str],
}

const fn unit(key: &'static str, size: f64, written: &'static [&'static str]) -> Unit {
    Unit { key, size, written }
}

pub(super) const LENGTHS: [Unit; 5] = [
    unit("m", 1.0, &["metre", "metres", "meter", "meters"]),
    unit("ft", 0.3048, &["feet", "foot", "'", "\u{2032}", "\u{2019}"]),
    unit("in", 0.0254, &["inch", "inches", "\"", "\u{2033}", "\u{201D}", "''"]),
    unit("cm", 0.01, &[]),
    unit("mm", 0.001, &[]),
];

/// The keys of units.
const fn keys<const N: usize>(units: [Unit; N]) -> [&'static str; N] {
    let (mut keys, mut at) = ([""; N], 0);
    while at < N {
        keys[at] = units[at].key;
        at += 1;
    }
    keys
}

/// 1 kt = 1.852 km/h; 1 mph = 1.609344 km/h.
const SPEEDS: [Unit; 3] = [
    unit("kt", 1.0, &["kts", "kn", "knot", "knots"]),
    unit("mph", 1.609_344 / 1.852, &[]),
    unit("km_h", 1.0 / 1.852, &["km/h", "kmh"]),
];
/// 1 lb = 0.45359237 kg.
const WEIGHTS: [Unit; 2] =
    [unit("lb", 1.0, &["lbs", "pound", "pounds"]), unit("kg", 1.0 / 0.453_592_37, &["kilogram", "kilograms"])];

/// A number with the unit it was given in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measurement {
    /// The number as given; of feet and inches, in feet.
    pub number: f64,
    /// The unit's key.
    pub unit: &'static str,
    /// Whole feet, and the inches beside them, if the tape showed both.
    pub feet_and_inches: Option<(f64, f64)>,
    /// The same in the base unit.
    base: f64,
}

impl Measurement {
    fn new(number: f64, unit: Unit) -> Self {
        // Twelve places are more than any tape has, and keep 27.2 ft from becoming 8.290560000000001 m.
        let base = (number * unit.size * 1e12).round() / 1e12;
        Self { number, unit: unit.key, feet_and_inches: None, base }
    }

    /// Feet and inches, as a tape shows them.
    fn feet_and_inches(feet: f64, inches: f64, units: &[Unit]) -> Result<Self, Fault> {
        let one = |key: &str| units.iter().find(|unit| unit.key == key);
        let (Some(foot), Some(inch)) = (one("ft"), one("in")) else {
            return Err(Fault::new("feet and inches are a length", format!("write {}", Self::example(units, 1.0))));
        };
        if feet.fract() != 0.0 || feet < 0.0 {
            return Err(Fault::new(
                format!("{feet} ft beside inches is not a whole number of feet"),
                format!("write {{\"ft\": {}}} alone, or whole feet and the inches", feet + inches / 12.0),
            ));
        }
        if !(0.0..12.0).contains(&inches) {
            return Err(Fault::new(
                format!("{inches} in beside feet is a foot or more"),
                "write 0 or more and less than 12 inches beside the feet",
            ));
        }
        let base = ((feet * foot.size + inches * inch.size) * 1e12).round() / 1e12;
        Ok(Self { number: feet + inches / 12.0, unit: foot.key, feet_and_inches: Some((feet, inches)), base })
    }

    /// One way to write each unit.
    fn example(units: &[Unit], number: f64) -> String {
        units.iter().map(|unit| format!("{{\"{}\": {number}}}", unit.key)).collect::<Vec<_>>().join(" or ")
    }

    fn read(node: &Node, units: &[Unit], what: &str) -> Result<Self, Fault> {
        let example = |number: f64| Self::example(units, number);
        let number = |member: &Member| match &member.node.kind {
            NodeKind::Number(number) if number.is_finite() && *number >= 0.0 => Ok(*number),
            NodeKind::Number(number) => {
                Err(Fault::new(format!("a {what} cannot be {number}"), "write the measured size, 0 or more"))
            }
            _ => Err(Fault::new(
                format!("{} is not a number", member.node.kind_in_words()),
                format!("write {}", example(1.0)),
            )),
        };
        match &node.kind {
            NodeKind::Number(number) => {
                Err(Fault::new(format!("a bare {number} has no unit"), format!("write {}", example(*number))))
            }
            NodeKind::Text(text) => typed(text, units, what),
            NodeKind::Object(members) => match &members[..] {
                [member] => {
                    let unit = units.iter().find(|unit| unit.key == member.key).ok_or_else(|| {
                        Fault::new(
                            format!("{:?} is not a unit of {what}", member.key),
                            format!("write {}", example(1.0)),
                        )
                    })?;
                    Ok(Self::new(number(member)?, *unit))
                }
                [one, other] if is_feet_and_inches(&one.key, &other.key) => {
                    let (feet, inches) = if one.key == "ft" { (one, other) } else { (other, one) };
                    Self::feet_and_inches(number(feet)?, number(inches)?, units)
                }
                _ => Err(Fault::new(
                    format!("a {what} is one number with one unit; there are {} keys here", members.len()),
                    format!("write {}", example(1.0)),
                )),
            },
            _ => {
                Err(Fault::new(format!("{} is not a {what}", node.kind_in_words()), format!("write {}", example(1.0))))
            }
        }
    }

    fn json(&self) -> Value {
        match self.feet_and_inches {
            // Whole numbers as a person writes them.
            Some((feet, inches)) if inches.fract() == 0.0 => json!({"ft": feet as u32, "in": inches as u32}),
            Some((feet, inches)) => json!({"ft": feet as u32, "in": inches}),
            None => json!({ self.unit: self.number }),
        }
    }

    /// As it was measured.
    pub(super) fn as_measured(&self) -> String {
        match self.feet_and_inches {
            Some((feet, inches)) => format!("{feet} ft {inches} in"),
            None => format!("{} {}", self.number, self.unit.replace('_', "/")),
        }
    }

    fn schema(units: &[Unit]) -> Value {
        let mut options: Vec<_> = units
            .iter()
            .map(|unit| {
                json!({"type": "object", "properties": {unit.key: {"type": "number", "minimum": 0}},
                    "required": [unit.key], "additionalProperties": false})
            })
            .collect();
        if units.iter().any(|unit| unit.key == "in") {
            options.push(json!({"type": "object", "properties": {"ft": {"type": "integer", "minimum": 0},
                "in": {"type": "number", "minimum": 0, "exclusiveMaximum": 12}}, "required": ["ft", "in"], "additionalProperties": false}));
        }
        options.push(json!({"type": "string", "description": "as people write it: the number and its unit"}));
        json!({"oneOf": options})
    }
}

fn is_feet_and_inches(one: &str, other: &str) -> bool {
    matches!((one, other), ("ft", "in") | ("in", "ft"))
}

/// Declares a measure with its units; `$base` reads it in the first of them.
macro_rules! measure {
    ($(#[$doc:meta])* $name:ident($units:ident, $what:literal, $base:ident $(, $make:ident)?)) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq)]
        pub struct $name(Measurement);

        impl $name {
            $(
                /// A number of the base unit; what is read or typed is checked, this is not.
                pub(crate) fn $make(number: f64) -> Self {
                    Self(Measurement::new(number, $units[0]))
                }
            )?

            /// In the base unit.
            ///
            /// ```
            /// use squitterlab::profile::{Length, Speed};
            /// assert!((Length::typed("27.2 ft").unwrap().in_metres() - 8.29056).abs() < 1e-9);
            /// assert_eq!(Speed::typed("145 kt").unwrap().in_knots(), 145.0);
            /// ```
            pub fn $base(self) -> f64 {
                self.0.base
            }

            /// The number as given, and its unit.
            ///
            /// ```
            /// use squitterlab::profile::Length;
            /// let measure = Length::typed("27.2 ft").unwrap().measure();
            /// assert_eq!((measure.number, measure.unit), (27.2, "ft"));
            /// ```
            pub fn measure(self) -> Measurement {
                self.0
            }

            /// The same number in another unit, as one who mistakes the unit types it.
            ///
            /// ```
            /// use squitterlab::profile::Length;
            /// let mistaken = Length::typed("27.2 ft").unwrap().with_number_in("m").unwrap();
            /// assert_eq!(mistaken.in_metres(), 27.2);
            /// ```
            #[must_use]
            pub fn with_number_in(self, unit: &str) -> Option<Self> {
                $units.iter().find(|known| known.key == unit).map(|unit| Self(Measurement::new(self.0.number, *unit)))
            }

            /// The measure as a number of another unit.
            ///
            /// ```
            /// use squitterlab::profile::Length;
            /// assert_eq!(Length::typed("30.48 m").unwrap().number_in("ft").map(f64::round), Some(100.0));
            /// ```
            pub fn number_in(self, unit: &str) -> Option<f64> {
                $units.iter().find(|known| known.key == unit).map(|known| self.0.base / known.size)
            }

            /// Reads it as one types it: the number, and its unit behind.
            ///
            /// ```
            /// use squitterlab::profile::Length;
            /// assert!(Length::typed("26 ft 11 in").is_ok());
            /// assert!(Length::typed("27.2").unwrap_err().correction.contains("ft"));
            /// ```
            ///
            /// # Errors
            /// [`Fault`] with reason and correction; a number without a unit is one.
            pub fn typed(text: &str) -> Result<Self, Fault> {
                typed(text, &$units, $what).map(Self)
            }
        }

        impl Quantity for $name {
            const KIND: ValueKind = ValueKind::Measure;
            const UNITS: &'static [&'static str] = &keys($units);

            fn read(node: &Node) -> Result<Self, Fault> {
                Measurement::read(node, &$units, $what).map(Self)
            }
            fn json(&self) -> Value {
                self.0.json()
            }
            fn schema() -> Value {
                Measurement::schema(&$units)
            }
            fn words(&self) -> String {
                let base = $units[0].key;
                match self.0.unit {
                    unit if unit == base => format!("{} {base}", self.0.number),
                    _ => format!("{} ({} {base})", self.0.as_measured(), short(self.0.base)),
                }
            }
        }
    };
}

measure! {
    /// A length with its unit.
    Length(LENGTHS, "length", in_metres, metres)
}
measure! {
    /// A speed with its unit.
    Speed(SPEEDS, "speed", in_knots, knots)
}
measure! {
    /// A weight with its unit.
    Weight(WEIGHTS, "weight", in_pounds)
}

/// What a base unit is rounded to for people: hundredths of small numbers, tenths and wholes of larger ones.
fn short(number: f64) -> String {
    let places = if number >= 1000.0 { 0 } else { usize::from(number < 100.0) + 1 };
    format!("{number:.places$}")
}

/// A measure as a person writes it: `27.2ft`, `27.2 ft`, `26ft 11in`, `26'11"`, `26 ft 11-1/2 in`, `145 kt`.
fn typed(text: &str, units: &[Unit], what: &str) -> Result<Measurement, Fault> {
    let example = || {
        let ways: Vec<String> = units.iter().map(|unit| format!("\"1 {}\"", unit.key.replace('_', "/"))).collect();
        format!("write a number and its unit, such as {}", ways.join(" or "))
    };
    if text.contains(',') {
        return Err(Fault::new(
            format!("{text:?} has a comma, which may be a decimal point or a mark of thousands"),
            "write a point before decimals, and thousands without a mark",
        ));
    }
    if text.contains('-') && text.trim_start().starts_with('-') {
        return Err(Fault::new(format!("a {what} cannot be {text}"), "write the measured size, 0 or more"));
    }
    let mut parts: Vec<(f64, Option<&Unit>)> = Vec::new();
    let mut rest = text.trim();
    while !rest.is_empty() {
        let Some((number, behind)) = leading_number(rest) else {
            return Err(Fault::new(format!("{text:?} is not a {what}"), example()));
        };
        let behind = behind.trim_start();
        let end = behind.find(|c: char| c.is_ascii_digit() || c == ' ' || c == '-').unwrap_or(behind.len());
        let (name, behind) = behind.split_at(end);
        let name = name.trim().trim_end_matches('.').to_lowercase();
        let known = units.iter().find(|unit| unit.key == name || unit.written.contains(&name.as_str()));
        if known.is_none() && !name.is_empty() {
            return Err(Fault::new(format!("{name:?} is not a unit of {what}"), example()));
        }
        parts.push((number, known));
        rest = behind.trim_start_matches([' ', '-']);
    }
    match parts[..] {
        [(number, Some(unit))] => Ok(Measurement::new(number, *unit)),
        [(number, None)] => Err(Fault::new(
            format!("a bare {number} has no unit"),
            format!("write {}", Measurement::example(units, number)),
        )),
        [(feet, Some(one)), (inches, Some(other))] if one.key == "ft" && other.key == "in" => {
            Measurement::feet_and_inches(feet, inches, units)
        }
        _ => Err(Fault::new(format!("{text:?} is not a {what}"), example())),
    }
}

/// The number that a text begins with, fractions of an inch included: `11`, `27.2`, `11-1/2`, `11 1/2`, `1/2`.
fn leading_number(text: &str) -> Option<(f64, &str)> {
    let digits = |text: &str| text.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(text.len());
    let fraction = |text: &str| -> Option<(f64, usize)> {
        let over = text.find('/')?;
        let (above, below) = (&text[..over], &text[over + 1..]);
        let end = below.find(|c: char| !c.is_ascii_digit()).unwrap_or(below.len());
        let (above, under): (u32, u32) = (above.parse().ok()?, below[..end].parse().ok()?);
        (under > above).then(|| (f64::from(above) / f64::from(under), over + 1 + end))
    };
    if let Some((part, end)) = fraction(text) {
        return Some((part, &text[end..]));
    }
    let end = digits(text);
    let whole: f64 = text[..end].parse().ok()?;
    let behind = &text[end..];
    if let Some(more) = behind.strip_prefix([' ', '-'])
        && let Some((part, end)) = fraction(more)
    {
        return Some((whole + part, &more[end..]));
    }
    Some((whole, behind))
}

fn text<'a>(node: &'a Node, what: &str, example: &str) -> Result<&'a str, Fault> {
    match &node.kind {
        NodeKind::Text(text) => Ok(text),
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
    fn given() -> String {
        "the mark as painted, such as N47QX or D-EABC".to_owned()
    }
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
    fn from_words(text: &str) -> Result<Self, Fault> {
        Self::read(&typed_text(text.trim().to_uppercase()))
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

/// Reads an address. What is in another notation is refused with the six digits to write, but only where no registration
/// contradicts them, and never as a guess between octal and decimal.
pub(super) fn address(given: &str, mark: Option<&str>) -> Result<Address, Fault> {
    Address::from_hex(given).map_err(|error| Fault::new(format!("{given:?}: {error}"), address_correction(given, mark)))
}

fn address_correction(given: &str, mark: Option<&str>) -> String {
    let register = "write the six hexadecimal digits of the State's register";
    let why = |mark: &str, how| match how {
        Confirmation::Arithmetic => format!("the arithmetic of {mark} gives it"),
        _ => format!("it is in the block of the State of {mark}"),
    };
    // What the arithmetic gives is a correction of its own, which the register confirms.
    let arithmetic = mark.and_then(|mark| Some((mark, address_of_mark(mark).ok()?)));
    let by_arithmetic = arithmetic.map_or_else(String::new, |(mark, address)| {
        format!("; the arithmetic of {mark} gives {address}, if the register says so too")
    });
    let readings = match readings(given) {
        Ok(readings) => readings,
        Err(unreadable) => {
            let meant = &unreadable.meant;
            if let Some(mark) = mark
                && let Some((address, how)) = confirmed(mark, meant.iter().map(|meant| meant.address))
                && let Some(one) = meant.iter().find(|meant| meant.address == address)
            {
                return format!("{}: if so, write \"{address}\"; {}", one.detail, why(mark, how));
            }
            let possible = |address| mark.is_none_or(|mark| belongs(mark, address) != Confirmation::Contradicted);
            let may_be: Vec<String> = meant
                .iter()
                .filter(|one| possible(one.address))
                .map(|one| format!("; it would be {} if {}", one.address, one.detail))
                .collect();
            return format!("{register}, such as \"A5C035\"{}{by_arithmetic}", may_be.concat());
        }
    };
    let settled = mark.and_then(|mark| confirmed(mark, readings.iter().map(|one| one.address)).map(|one| (mark, one)));
    if let Some((mark, (address, how))) = settled
        && let Some(one) = readings.iter().find(|one| one.address == address)
    {
        return format!("this is the {} form; write \"{address}\": {}", one.notation.word(), why(mark, how));
    }
    if let [one] = readings[..] {
        let form = format!("this is the {} form", one.notation.word());
        return match mark.filter(|mark| belongs(mark, one.address) == Confirmation::Contradicted) {
            None => format!("{form}; write \"{}\"", one.address),
            Some(mark) => {
                let holder = block_of_address(one.address).map_or("no State", |block| block.holder);
                format!(
                    "{form} of {}, which is of {holder} and not the address of {mark}: {register}{by_arithmetic}",
                    one.address
                )
            }
        };
    }
    let each: Vec<String> = readings
        .iter()
        .map(|one| {
            let holder = block_of_address(one.address).map_or("no block of the table held here", |block| block.holder);
            format!("{} {} ({holder})", one.notation.word(), one.address)
        })
        .collect();
    format!("{}, and nothing here says which: {register}{by_arithmetic}", each.join(" or "))
}

impl Quantity for Address {
    const KIND: ValueKind = ValueKind::Text;
    fn given() -> String {
        "six hexadecimal digits, such as A5C035".to_owned()
    }
    fn read(node: &Node) -> Result<Self, Fault> {
        address(text(node, "an address", "A5C035")?, None)
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
    fn given() -> String {
        "up to eight letters and digits, such as N47QX".to_owned()
    }
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
    fn from_words(text: &str) -> Result<Self, Fault> {
        Self::read(&typed_text(text.trim().to_uppercase()))
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
    fn given() -> String {
        "set and number, such as A1".to_owned()
    }
    fn read(node: &Node) -> Result<Self, Fault> {
        let given = text(node, "an emitter category", "A1")?;
        given.parse().map_err(|error| {
            Fault::new(format!("{error}"), "write set and number, such as \"A1\" for an aircraft below 15 500 lb")
        })
    }
    fn from_words(text: &str) -> Result<Self, Fault> {
        Self::read(&typed_text(text.trim().to_uppercase()))
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
    fn given() -> String {
        "four digits 0 to 7, such as 1200".to_owned()
    }
    fn read(node: &Node) -> Result<Self, Fault> {
        let given = text(node, "a Mode A code", "1200")?;
        given.parse().map_err(|error| Fault::new(format!("{error}"), "write four digits 0 to 7 in quotes"))
    }
    fn from_words(text: &str) -> Result<Self, Fault> {
        let fault = |fault: Fault| Fault { correction: "write four digits 0 to 7, such as 1200".to_owned(), ..fault };
        Self::read(&typed_text(text.trim())).map_err(fault)
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

/// A word as it is compared: small letters, words joined by underscores, spelled as the choices are.
pub(super) fn plain(text: &str) -> String {
    text.trim().to_lowercase().replace([' ', '-'], "_").replace("airplane", "aeroplane").replace("center", "centre")
}

/// The number of a node, also if it is in quotes.
fn number_of(node: &Node) -> Option<f64> {
    match &node.kind {
        NodeKind::Number(number) => Some(*number),
        NodeKind::Text(text) => text.trim().parse().ok(),
        _ => None,
    }
}

impl Quantity for bool {
    const KIND: ValueKind = ValueKind::YesNo;
    fn read(node: &Node) -> Result<Self, Fault> {
        match &node.kind {
            NodeKind::Bool(yes) => Ok(*yes),
            NodeKind::Text(text) if ["yes", "true"].contains(&plain(text).as_str()) => Ok(true),
            NodeKind::Text(text) if ["no", "false"].contains(&plain(text).as_str()) => Ok(false),
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
    const SAYS_MORE: bool = true;
    fn choices() -> Vec<Self> {
        vec![false, true]
    }
}

/// A whole number from `LEAST` to `MOST`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Whole<const LEAST: u8, const MOST: u8>(pub u8);

impl<const LEAST: u8, const MOST: u8> Quantity for Whole<LEAST, MOST> {
    const KIND: ValueKind = ValueKind::Number;
    fn given() -> String {
        format!("a whole number from {LEAST} to {MOST}")
    }

    fn number(&self) -> Option<u8> {
        Some(self.0)
    }
    fn read(node: &Node) -> Result<Self, Fault> {
        match number_of(node) {
            Some(number) if number.fract() == 0.0 && (f64::from(LEAST)..=f64::from(MOST)).contains(&number) => {
                Ok(Self(number as u8))
            }
            _ => Err(Fault::new(
                format!("{} is not possible here", node.kind_in_words()),
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

/// The version of the standard that a unit sends.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct StandardVersion(pub u8);

impl StandardVersion {
    /// The newest.
    pub const NEWEST: u8 = 3;

    /// What a data plate prints for it (the ED numbers of versions 0 and 3 from memory).
    const PRINTED: [(&'static str, u8); 7] =
        [("DO-260", 0), ("DO-260A", 1), ("DO-260B", 2), ("DO-260C", 3), ("ED-102", 0), ("ED-102A", 2), ("ED-102B", 3)];
}

impl Quantity for StandardVersion {
    const KIND: ValueKind = ValueKind::Number;
    const OPTIONS: &'static [Choice] = &[
        Choice { word: "0", words: "DO-260, ED-102" },
        Choice { word: "1", words: "DO-260A" },
        Choice { word: "2", words: "DO-260B, ED-102A" },
        Choice { word: "3", words: "DO-260C, ED-102B" },
    ];

    fn number(&self) -> Option<u8> {
        Some(self.0)
    }
    fn read(node: &Node) -> Result<Self, Fault> {
        let printed = |text: &str| {
            let given = plain(text);
            Self::PRINTED.iter().find(|(name, _)| plain(name) == given).map(|(_, version)| f64::from(*version))
        };
        let number = match &node.kind {
            NodeKind::Text(text) => printed(text).or_else(|| number_of(node)),
            _ => number_of(node),
        };
        match number {
            Some(number) if number.fract() == 0.0 && (0.0..=f64::from(Self::NEWEST)).contains(&number) => {
                Ok(Self(number as u8))
            }
            _ => Err(Fault::new(
                format!("{} is not a version", node.kind_in_words()),
                "write 0 to 3, or what the data plate says: \"DO-260B\" is version 2",
            )),
        }
    }
    fn json(&self) -> Value {
        json!(self.0)
    }
    fn schema() -> Value {
        let printed: Vec<&str> = Self::PRINTED.iter().map(|(name, _)| *name).collect();
        json!({"anyOf": [{"type": "integer", "minimum": 0, "maximum": Self::NEWEST}, {"enum": printed}]})
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
    fn given() -> String {
        "25 or 100 ft".to_owned()
    }
    const UNITS: &'static [&'static str] = &["ft"];
    fn read(node: &Node) -> Result<Self, Fault> {
        let number = match &node.kind {
            NodeKind::Text(text) => text.trim().trim_end_matches("ft").trim().parse().ok(),
            _ => number_of(node),
        };
        match number {
            Some(25.0) => Ok(Self(25)),
            Some(100.0) => Ok(Self(100)),
            _ => Err(Fault::new(format!("{} is not possible here", node.kind_in_words()), "write 25 or 100")),
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

/// A day.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Date(pub jiff::civil::Date);

impl Quantity for Date {
    const KIND: ValueKind = ValueKind::Text;
    fn given() -> String {
        "year, month and day, such as 2026-03-31".to_owned()
    }

    fn read(node: &Node) -> Result<Self, Fault> {
        let given = text(node, "a date", "2026-03-31")?;
        given.parse().map(Self).map_err(|_| {
            Fault::new(format!("{given:?} is not a date"), "write year, month and day, such as \"2026-03-31\"")
        })
    }
    fn json(&self) -> Value {
        json!(self.words())
    }
    fn schema() -> Value {
        json!({"type": "string", "format": "date"})
    }
    fn words(&self) -> String {
        self.0.to_string()
    }
}

/// The registers that the install serves.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Registers(pub Vec<RegisterNumber>);

impl Quantity for Registers {
    const KIND: ValueKind = ValueKind::List;
    fn given() -> String {
        "the registers, such as 1,0 1,7 2,0".to_owned()
    }
    fn read(node: &Node) -> Result<Self, Fault> {
        let correction = "write a list such as [\"1,0\", \"1,7\", \"2,0\"]";
        let NodeKind::List(items) = &node.kind else {
            return Err(Fault::new(format!("{} is not a list of registers", node.kind_in_words()), correction));
        };
        items
            .iter()
            .map(|item| {
                // People say BDS before the number.
                let written = text(item, "a register", "2,0")?;
                written
                    .strip_prefix("BDS")
                    .map_or(written, str::trim_start)
                    .parse()
                    .map_err(|error: crate::code::CodeError| Fault::new(error.to_string(), correction))
            })
            .collect::<Result<_, _>>()
            .map(Self)
    }
    fn from_words(text: &str) -> Result<Self, Fault> {
        let none = plain(text) == "none";
        let written = text.split([' ', ';']).map(|part| part.trim_matches([',', '"', '[', ']']));
        let registers = written.filter(|part| !none && !part.is_empty() && !part.eq_ignore_ascii_case("bds"));
        let items = registers.map(typed_text).collect();
        Self::read(&Node { at: 0, kind: NodeKind::List(items) })
            .map_err(|fault| Fault::new(fault.reason, "write the registers with spaces between them: 1,0 1,7 2,0"))
    }
    fn json(&self) -> Value {
        self.0.iter().map(ToString::to_string).collect()
    }
    fn schema() -> Value {
        json!({"type": "array", "items": {"type": "string", "pattern": "^[0-9A-Fa-f],[0-9A-Fa-f]$"}})
    }
    fn words(&self) -> String {
        let registers: Vec<String> = self.0.iter().map(ToString::to_string).collect();
        format!("{} served", if registers.is_empty() { "none".to_owned() } else { registers.join(" ") })
    }
    const SAYS_MORE: bool = true;
}
