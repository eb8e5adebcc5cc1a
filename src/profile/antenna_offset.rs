//! Settings of where the position antenna is: zero, not known, and applied by the sensor are three things.

use super::json_spans::{Node, NodeKind};
use super::quantity::{Choice, Fault, LENGTHS, Length, Quantity, ValueKind, plain};
use serde_json::{Value, json};

/// How far the position antenna is behind the nose.
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
    const KIND: ValueKind = ValueKind::Measure;
    const UNITS: &'static [&'static str] = Length::UNITS;
    const OPTIONS: &'static [Choice] = &[
        Choice { word: "applied_by_sensor", words: "applied by the sensor" },
        Choice { word: "not_known", words: "not known" },
    ];

    fn read(node: &Node) -> Result<Self, Fault> {
        match &node.kind {
            NodeKind::Text(text) if plain(text) == "applied_by_sensor" => Ok(Self::AppliedBySensor),
            NodeKind::Text(text) if plain(text) == "not_known" => Ok(Self::NotKnown),
            NodeKind::Text(text) if !text.contains(|c: char| c.is_ascii_digit()) => Err(Fault::new(
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
    fn from_words(text: &str) -> Result<Self, Fault> {
        let meant = if plain(text) == "applied_by_the_sensor" { "applied_by_sensor" } else { text.trim() };
        Self::read(&Node { at: 0, kind: NodeKind::Text(meant.to_owned()) })
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

const NO_SIDE: &str = "a distance from the centre line needs its side, seen from the pilot's seat";

/// How far the position antenna is from the centre line.
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
    /// `0.6 m left`, or the side first.
    fn typed(text: &str) -> Result<Self, Fault> {
        let lower = text.trim().to_lowercase();
        let on = |side: &str| lower.strip_prefix(side).or_else(|| lower.strip_suffix(side)).map(str::trim);
        let (left, right) = (on("left"), on("right"));
        let length = Length::typed(left.or(right).unwrap_or(&lower))?;
        match (left, right) {
            _ if length.in_metres() == 0.0 => Ok(Self::Zero),
            (Some(_), _) => Ok(Self::Left(length)),
            (_, Some(_)) => Ok(Self::Right(length)),
            _ => Err(Fault::new(NO_SIDE, "")),
        }
    }

    /// Metres, left negative; `None` if it is not known.
    ///
    /// ```
    /// use squitterlab::profile::{FromCentreLine, Length};
    /// let length = Length::typed("2 ft").unwrap();
    /// assert!((FromCentreLine::Left(length).metres().unwrap() + 0.6096).abs() < 1e-9);
    /// assert_eq!(FromCentreLine::NotKnown.metres(), None);
    /// ```
    pub fn metres(self) -> Option<f64> {
        match self {
            Self::Left(length) => Some(-length.in_metres()),
            Self::Zero => Some(0.0),
            Self::Right(length) => Some(length.in_metres()),
            Self::NotKnown => None,
        }
    }

    /// As a person types it.
    pub(super) fn as_typed(self) -> String {
        match self {
            Self::Left(length) => format!("{} left", length.measure().as_measured()),
            Self::Right(length) => format!("{} right", length.measure().as_measured()),
            Self::Zero => "0".to_owned(),
            Self::NotKnown => "not_known".to_owned(),
        }
    }

    /// The distance, with another length in its place.
    #[must_use]
    pub(crate) fn with_length(self, other: impl FnOnce(Length) -> Option<Length>) -> Option<Self> {
        match self {
            Self::Left(length) => other(length).map(Self::Left),
            Self::Right(length) => other(length).map(Self::Right),
            Self::Zero | Self::NotKnown => None,
        }
    }
}

impl Quantity for FromCentreLine {
    const KIND: ValueKind = ValueKind::Measure;
    const UNITS: &'static [&'static str] = Length::UNITS;
    const OPTIONS: &'static [Choice] = &[Choice { word: "not_known", words: "not known" }];

    fn given() -> String {
        "the distance, its unit and its side, such as 0.6 m left or 2 ft right; 0 on the centre line; or not_known"
            .to_owned()
    }

    fn read(node: &Node) -> Result<Self, Fault> {
        let example = "write {\"side\": \"left\", \"m\": 0.6}, {\"m\": 0}, or \"not_known\"";
        let members = match &node.kind {
            NodeKind::Text(text) if plain(text) == "not_known" => return Ok(Self::NotKnown),
            NodeKind::Text(text) if plain(text) == "on_the_centre_line" => return Ok(Self::Zero),
            NodeKind::Text(text) => return Self::typed(text).map_err(|fault| Fault::new(fault.reason, example)),
            NodeKind::Object(members) => members,
            NodeKind::Number(_) => return Length::read(node).map(|_| Self::Zero),
            _ => return Err(Fault::new(format!("{} is not understood here", node.kind_in_words()), example)),
        };
        if members.iter().filter(|member| member.key == "side").count() > 1 {
            return Err(Fault::new("the side is here twice", example));
        }
        let side = members.iter().find(|member| member.key == "side").map(|member| &member.node.kind);
        let rest = members.iter().filter(|member| member.key != "side").cloned().collect();
        let length = Length::read(&Node { at: node.at, kind: NodeKind::Object(rest) })
            .map_err(|fault| Fault::new(fault.reason, example))?;
        match side {
            Some(kind) if !matches!(kind, NodeKind::Text(side) if side == "left" || side == "right") => {
                Err(Fault::new("the side is neither \"left\" nor \"right\"", example))
            }
            _ if length.in_metres() == 0.0 => Ok(Self::Zero),
            Some(NodeKind::Text(side)) if side == "left" => Ok(Self::Left(length)),
            Some(_) => Ok(Self::Right(length)),
            None => Err(Fault::new(NO_SIDE, example)),
        }
    }
    fn from_words(text: &str) -> Result<Self, Fault> {
        // Zero needs neither unit nor side.
        let on_it = ["0", "zero", "centre_line", "on_centre_line"].contains(&plain(text).as_str());
        let meant = if on_it { "on the centre line" } else { text.trim() };
        Self::read(&Node { at: 0, kind: NodeKind::Text(meant.to_owned()) })
    }
    fn json(&self) -> Value {
        let with_side = |side: &str, length: &Length| {
            let mut with_side = json!({"side": side});
            if let (Value::Object(whole), Value::Object(length)) = (&mut with_side, length.json()) {
                whole.extend(length);
            }
            with_side
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
            .map(|unit| {
                json!({"type": "object", "properties": {"side": {"enum": ["left", "right"]}, unit.key: {"type": "number", "minimum": 0}},
                    "required": [unit.key], "additionalProperties": false})
            })
            .chain([
                json!({"type": "object", "properties": {"side": {"enum": ["left", "right"]}, "ft": {"type": "integer", "minimum": 0},
                    "in": {"type": "number", "minimum": 0, "exclusiveMaximum": 12}}, "required": ["side", "ft", "in"], "additionalProperties": false}),
                json!({"type": "string", "description": "not_known, or as people write it: \"0.6 m left\""}),
            ])
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
