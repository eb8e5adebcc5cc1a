//! What a setting can be: lengths and speeds that carry their unit, choices, numbers in a range, marks and codes.

use super::located::{Kind, Node};
use crate::code::{EmitterCategory, Identification, ModeA, RegisterNumber};
use crate::frame::Address;
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

/// A type that a setting can have.
pub trait Quantity: Clone + PartialEq + Sized {
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
type Unit = (&'static str, f64);

const LENGTHS: &[Unit] = &[("m", 1.0), ("ft", 0.3048), ("in", 0.0254), ("cm", 0.01)];
/// 1 kt = 1.852 km/h; 1 mph = 1.609344 km/h.
const SPEEDS: &[Unit] = &[("kt", 1.0), ("mph", 1.609_344 / 1.852), ("km_h", 1.0 / 1.852)];

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

/// A length with its unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Length(Measure);

impl Length {
    /// So many metres.
    pub fn metres(metres: f64) -> Self {
        Self(Measure::new(metres, LENGTHS[0]))
    }

    /// In metres.
    pub fn in_metres(self) -> f64 {
        self.0.base
    }

    /// As given.
    pub fn measure(self) -> Measure {
        self.0
    }

    /// The same number in another unit, as one who mistakes the unit types it.
    #[must_use]
    pub fn with_number_in(self, unit: &str) -> Option<Self> {
        LENGTHS.iter().find(|(key, _)| *key == unit).map(|unit| Self(Measure::new(self.0.number, *unit)))
    }

    /// The length as a number of another unit.
    pub fn number_in(self, unit: &str) -> Option<f64> {
        LENGTHS.iter().find(|(key, _)| *key == unit).map(|(_, size)| self.0.base / size)
    }
}

impl Quantity for Length {
    fn read(node: &Node) -> Result<Self, Fault> {
        Measure::read(node, LENGTHS, "length").map(Self)
    }
    fn json(&self) -> Value {
        self.0.json()
    }
    fn schema() -> Value {
        Measure::schema(LENGTHS)
    }
    fn words(&self) -> String {
        match self.0.unit {
            "m" => format!("{} m", self.0.number),
            unit => format!("{} {unit} ({:.2} m)", self.0.number, self.0.base),
        }
    }
}

/// A speed with its unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Speed(Measure);

impl Speed {
    /// So many knots.
    pub fn knots(knots: f64) -> Self {
        Self(Measure::new(knots, SPEEDS[0]))
    }

    /// In knots.
    pub fn in_knots(self) -> f64 {
        self.0.base
    }

    /// The number as given, and its unit.
    pub fn measure(self) -> Measure {
        self.0
    }
}

impl Quantity for Speed {
    fn read(node: &Node) -> Result<Self, Fault> {
        Measure::read(node, SPEEDS, "speed").map(Self)
    }
    fn json(&self) -> Value {
        self.0.json()
    }
    fn schema() -> Value {
        Measure::schema(SPEEDS)
    }
    fn words(&self) -> String {
        match self.0.unit {
            "kt" => format!("{} kt", self.0.number),
            unit => format!("{} {} ({:.1} kt)", self.0.number, unit.replace('_', "/"), self.0.base),
        }
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
    fn read(node: &Node) -> Result<Self, Fault> {
        let given = text(node, "an address", "A5C035")?;
        Self::from_hex(given).map_err(|error| {
            Fault::new(
                format!("{given:?}: {error}"),
                if given.len() == 8 && given.bytes().all(|b| matches!(b, b'0'..=b'7')) {
                    "this looks like the register's octal form; write the hexadecimal one".to_owned()
                } else {
                    "write the six hexadecimal digits of the State's register, such as \"A5C035\"".to_owned()
                },
            )
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
    fn read(node: &Node) -> Result<Self, Fault> {
        let given = text(node, "an aircraft identification", "N47QX")?;
        let correction = "write up to eight of A-Z and 0-9 in capitals, without hyphen or space, such as \"N47QX\"";
        let code: Self = given.parse().map_err(|error| Fault::new(format!("{error}"), correction))?;
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

/// How far the position antenna stands behind the nose.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FromNose {
    /// Measured.
    Measured(Length),
    /// The position source already speaks of the reference point.
    AppliedBySensor,
    /// Not known.
    NotKnown,
}

impl Quantity for FromNose {
    fn read(node: &Node) -> Result<Self, Fault> {
        match &node.kind {
            Kind::Text(text) if text == "applied_by_sensor" => Ok(Self::AppliedBySensor),
            Kind::Text(text) if text == "not_known" => Ok(Self::NotKnown),
            Kind::Text(text) => Err(Fault::new(
                format!("{text:?} is not understood here"),
                "write a length such as {\"m\": 3.1}, or \"applied_by_sensor\", or \"not_known\"",
            )),
            _ => {
                let length = Length::read(node)?;
                if length.in_metres() == 0.0 {
                    return Err(Fault::new(
                        "no code says 0 m from the nose",
                        "measure from the nose aft; write \"not_known\", or \"applied_by_sensor\" where the position source corrects for it",
                    ));
                }
                Ok(Self::Measured(length))
            }
        }
    }
    fn json(&self) -> Value {
        match self {
            Self::Measured(length) => length.json(),
            Self::AppliedBySensor => json!("applied_by_sensor"),
            Self::NotKnown => json!("not_known"),
        }
    }
    fn schema() -> Value {
        json!({"anyOf": [Length::schema(), {"enum": ["applied_by_sensor", "not_known"]}]})
    }
    fn words(&self) -> String {
        match self {
            Self::Measured(length) => length.words(),
            Self::AppliedBySensor => "applied by the sensor".to_owned(),
            Self::NotKnown => "not known".to_owned(),
        }
    }
}

/// How far the position antenna stands from the centre line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FromCentreLine {
    /// To the left.
    Left(Length),
    /// On it.
    Zero,
    /// To the right.
    Right(Length),
    /// Not known, which is another code than zero.
    NotKnown,
}

impl FromCentreLine {
    /// Metres, left negative; none where it is not known.
    pub fn metres(self) -> Option<f64> {
        match self {
            Self::Left(length) => Some(-length.in_metres()),
            Self::Zero => Some(0.0),
            Self::Right(length) => Some(length.in_metres()),
            Self::NotKnown => None,
        }
    }

    /// The distance, with another length in its place.
    #[must_use]
    pub fn with_length(self, other: impl FnOnce(Length) -> Option<Length>) -> Option<Self> {
        match self {
            Self::Left(length) => other(length).map(Self::Left),
            Self::Right(length) => other(length).map(Self::Right),
            Self::Zero | Self::NotKnown => None,
        }
    }
}

impl Quantity for FromCentreLine {
    fn read(node: &Node) -> Result<Self, Fault> {
        let example = "write {\"side\": \"left\", \"m\": 0.6}, {\"m\": 0}, or \"not_known\"";
        let members = match &node.kind {
            Kind::Text(text) if text == "not_known" => return Ok(Self::NotKnown),
            Kind::Object(members) => members,
            Kind::Number(_) => return Length::read(node).map(|_| Self::Zero),
            _ => return Err(Fault::new(format!("{} is not understood here", node.kind_in_words()), example)),
        };
        if members.iter().filter(|member| member.key == "side").count() > 1 {
            return Err(Fault::new("the side stands here twice", example));
        }
        let side = members.iter().find(|member| member.key == "side").map(|member| &member.node.kind);
        let rest = members.iter().filter(|member| member.key != "side").cloned().collect();
        let length = Length::read(&Node { at: node.at, kind: Kind::Object(rest) })
            .map_err(|fault| Fault::new(fault.reason, example))?;
        match side {
            Some(kind) if !matches!(kind, Kind::Text(side) if side == "left" || side == "right") => {
                Err(Fault::new("the side is neither \"left\" nor \"right\"", example))
            }
            _ if length.in_metres() == 0.0 => Ok(Self::Zero),
            Some(Kind::Text(side)) if side == "left" => Ok(Self::Left(length)),
            Some(_) => Ok(Self::Right(length)),
            None => {
                Err(Fault::new("a distance from the centre line needs its side, seen from the pilot's seat", example))
            }
        }
    }
    fn json(&self) -> Value {
        let with_side = |side: &str, length: &Length| {
            let measure = length.measure();
            json!({"side": side, measure.unit: measure.number})
        };
        match self {
            Self::Left(length) => with_side("left", length),
            Self::Right(length) => with_side("right", length),
            Self::Zero => json!({"m": 0}),
            Self::NotKnown => json!("not_known"),
        }
    }
    fn schema() -> Value {
        let options: Vec<_> = LENGTHS
            .iter()
            .map(|(unit, _)| {
                json!({"type": "object", "properties": {"side": {"enum": ["left", "right"]}, *unit: {"type": "number", "minimum": 0}},
                    "required": [unit], "additionalProperties": false})
            })
            .chain([json!({"const": "not_known"})])
            .collect();
        json!({"anyOf": options})
    }
    fn words(&self) -> String {
        match self {
            Self::Left(length) => format!("{} left", length.words()),
            Self::Right(length) => format!("{} right", length.words()),
            Self::Zero => "on the centre line".to_owned(),
            Self::NotKnown => "not known".to_owned(),
        }
    }
}

/// Declares a choice among fixed words.
macro_rules! choice {
    ($(#[$doc:meta])* $name:ident { $( $variant:ident = $word:literal, $words:literal; )+ }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub enum $name {
            $( #[doc = concat!("`", $word, "`: ", $words, ".")] $variant, )+
        }

        impl Quantity for $name {
            fn read(node: &Node) -> Result<Self, Fault> {
                let known = [$( concat!("\"", $word, "\"") ),+].join(", ");
                match &node.kind {
                    $( Kind::Text(text) if text == $word => Ok(Self::$variant), )+
                    _ => Err(Fault::new(
                        format!("{} is not one of the choices", node.kind_in_words()),
                        format!("write one of {known}"),
                    )),
                }
            }
            fn json(&self) -> Value {
                match self { $( Self::$variant => json!($word), )+ }
            }
            fn schema() -> Value {
                json!({"enum": [$( $word ),+]})
            }
            fn words(&self) -> String {
                match self { $( Self::$variant => $words, )+ }.to_owned()
            }
        }
    };
}

choice! {
    /// Who enters the aircraft identification.
    IdentificationSource {
        Fixed = "fixed", "fixed at installation";
        CrewEntered = "crew_entered", "entered by the crew";
    }
}
choice! {
    /// How many antennas the transponder has.
    Antenna {
        Single = "single", "one antenna";
        Diversity = "diversity", "two antennas (diversity)";
    }
}
choice! {
    /// Where the pressure altitude comes from.
    AltitudeSourceKind {
        Parallel = "parallel", "grey code on wires";
        Serial = "serial", "serial line";
        Bus = "bus", "data bus";
        BuiltIn = "built_in", "built into the transponder";
    }
}
choice! {
    /// How the transponder knows air from ground.
    AirGroundKind {
        Switch = "switch", "a switch";
        Automatic = "automatic", "found by the unit itself";
        None = "none", "not at all";
    }
}
choice! {
    /// What the active switch means.
    ActiveMeans {
        OnGround = "on_ground", "active on the ground";
        Airborne = "airborne", "active in the air";
    }
}
choice! {
    /// Collision avoidance on board.
    Acas {
        None = "none", "none";
        AdvisoriesOnly = "advisories_only", "traffic advisories only";
        Resolution = "resolution", "resolution advisories";
    }
}
choice! {
    /// What the source integrity level counts by.
    SilPer {
        Hour = "per_hour", "per flight hour";
        Sample = "per_sample", "per sample";
    }
}
choice! {
    /// Which direction surface positions carry.
    DirectionKind {
        Track = "track", "ground track";
        Heading = "heading", "heading";
    }
}
choice! {
    /// From which north directions count.
    North {
        True = "true", "true north";
        Magnetic = "magnetic", "magnetic north";
    }
}
