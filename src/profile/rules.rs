//! Rules as data: named, dated sets of floors, required elements and written forms, each with its clause and whether a
//! page confirmed it. A user's own file has the same form.

use super::located::{Kind, Node, line_and_column};
use super::{Mark, Profile, SETTINGS, Setting, SettingId};
use crate::code::{Identification, ModeA};
use crate::registry::{block_of_address, nationality_of_mark};
use serde::Deserialize;
use serde::de::{Deserializer, Error};
use serde_json::{Value, json};
use std::borrow::Cow;
use std::fmt;
use std::sync::LazyLock;

/// A set of rules.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RuleSet {
    /// The name on the command line.
    pub name: String,
    /// The name for people.
    pub title: String,
    /// Which state of the rules it is.
    pub date: String,
    /// Where it is from.
    pub source: String,
    /// The States of registry whose aircraft it is taken for where nobody names a set.
    #[serde(default)]
    pub states: Vec<String>,
    /// How a registration is written as the aircraft identification.
    #[serde(default)]
    pub identification: Option<IdentificationRule>,
    /// The preset Mode A code of visual flight.
    #[serde(default)]
    pub vfr_mode_a_code: Option<ModeARule>,
    /// Settings that the install has to have.
    #[serde(default)]
    pub required: Vec<Required>,
    /// The least that a rule allows.
    #[serde(default)]
    pub floors: Vec<Floor>,
}

/// Whether a page was seen that says so. What is from memory never fails an install by itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
pub enum Confirmed {
    /// A page that was seen says so.
    #[serde(rename = "page seen")]
    PageSeen,
    /// From memory.
    #[serde(rename = "from memory")]
    FromMemory,
}

impl fmt::Display for Confirmed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::PageSeen => "page seen",
            Self::FromMemory => "from memory",
        })
    }
}

/// How a State wants its registrations written as the aircraft identification.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum WrittenForm {
    /// All letters and digits of the registration; no hyphen, no space.
    WithPrefix,
    /// The same without the nationality mark.
    WithoutPrefix,
}

impl WrittenForm {
    /// The registration in this form; none where that is no identification.
    ///
    /// ```
    /// use squitterlab::profile::{Mark, WrittenForm};
    /// let mark = Mark("ZK-ABC".to_owned());
    /// assert_eq!(WrittenForm::WithPrefix.of(&mark).unwrap().to_string(), "ZKABC");
    /// assert_eq!(WrittenForm::WithoutPrefix.of(&mark).unwrap().to_string(), "ABC");
    /// ```
    pub fn of(self, mark: &Mark) -> Option<Identification> {
        let prefix = match self {
            Self::WithPrefix => "",
            Self::WithoutPrefix => nationality_of_mark(&mark.0).map_or("", |(_, prefix)| prefix),
        };
        let rest = mark.0.strip_prefix(prefix).unwrap_or(&mark.0).replace('-', "");
        rest.parse().ok().filter(|text: &Identification| text.is_well_formed())
    }

    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::WithPrefix => "the registration with its nationality mark, without hyphen or space",
            Self::WithoutPrefix => "the registration without its nationality mark, hyphen or space",
        }
    }
}

/// A rule about the written form of the identification.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct IdentificationRule {
    /// The form.
    pub form: WrittenForm,
    /// The clause.
    pub clause: String,
    /// Whether a page was seen that says so.
    pub confirmed: Confirmed,
}

/// A rule about the Mode A code of visual flight.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ModeARule {
    /// Four octal digits.
    pub code: String,
    /// The clause.
    pub clause: String,
    /// Whether a page was seen that says so.
    pub confirmed: Confirmed,
}

/// A setting that has to be there.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Required {
    /// Which; a JSON pointer in the file.
    #[serde(deserialize_with = "at_pointer")]
    pub setting: SettingId,
    /// The clause.
    pub clause: String,
    /// Whether a page was seen that says so.
    pub confirmed: Confirmed,
}

/// The least that a rule allows for a setting.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Floor {
    /// Which; a JSON pointer in the file.
    #[serde(deserialize_with = "at_pointer")]
    pub setting: SettingId,
    /// The least.
    pub at_least: u8,
    /// The clause.
    pub clause: String,
    /// Whether a page was seen that says this number.
    pub confirmed: Confirmed,
}

/// The settings that can have a floor.
fn numbers() -> impl Iterator<Item = &'static Setting> {
    SETTINGS.iter().filter(|setting| setting.can_have_floor())
}

impl Floor {
    /// Whether a page was seen that says this number.
    pub fn is_confirmed(&self) -> bool {
        self.confirmed == Confirmed::PageSeen
    }

    /// What a profile says of this setting, as a number.
    pub fn stated(&self, profile: &Profile) -> Option<u8> {
        (self.setting.setting().number)(profile)
    }
}

/// Why a text is no rule set: where, why, what to do.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{line}:{column}: {reason}; {correction}")]
pub struct RulesError {
    /// Line, from 1.
    pub line: usize,
    /// Column, from 1.
    pub column: usize,
    /// Why.
    pub reason: String,
    /// What to do.
    pub correction: String,
}

impl RuleSet {
    /// Reads a set of a user's own.
    ///
    /// # Errors
    /// [`RulesError`] with place, reason and correction for the first fault.
    ///
    /// ```
    /// use squitterlab::profile::RuleSet;
    /// let own = r#"{"name": "ours", "title": "our shop", "date": "2026", "source": "our manual", "floors": [
    ///     {"setting": "/position_source/nic", "at_least": 7, "clause": "page 3", "confirmed": "page seen"}]}"#;
    /// assert_eq!(RuleSet::read(own).unwrap().floors[0].at_least, 7);
    /// assert!(RuleSet::read(&own.replace("nic", "nick")).unwrap_err().correction.contains("/position_source/nic"));
    /// ```
    pub fn read(text: &str) -> Result<Self, RulesError> {
        let root = Node::parse(text).ok();
        let fault = |node: &Node, reason: String, correction: String| {
            let (line, column) = line_and_column(text, node.at);
            Err(RulesError { line, column, reason, correction })
        };
        // Misspelt pointers first: here it is known where they are, and what they were meant to be.
        for (list, is_floor) in [("floors", true), ("required", false)] {
            let Some(Kind::List(items)) =
                root.as_ref().and_then(|root| root.member(list)).map(|member| &member.node.kind)
            else {
                continue;
            };
            for item in items {
                let Some(Kind::Text(given)) = item.member("setting").map(|member| &member.node.kind) else { continue };
                let known: Vec<&str> = SETTINGS
                    .iter()
                    .filter(|setting| !is_floor || setting.can_have_floor())
                    .map(|setting| setting.pointer)
                    .collect();
                if !known.contains(&given.as_str()) {
                    let reason = if is_floor { "can have no floor" } else { "is no setting" };
                    return fault(item, format!("{given:?} {reason}"), likeliest(given, &known));
                }
            }
        }
        let set: Self = serde_json::from_str(text).map_err(|error| RulesError {
            line: error.line(),
            column: error.column(),
            reason: error.to_string().split(" at line ").next().unwrap_or_default().to_owned(),
            correction: "write it in the form of `squitterlab profile schema --rules`".to_owned(),
        })?;
        if let Some(rule) = &set.vfr_mode_a_code
            && let Err(error) = rule.code.parse::<ModeA>()
        {
            let place = root.as_ref().and_then(|root| root.member("vfr_mode_a_code")).map(|member| &member.node);
            return match place {
                Some(node) => fault(node, error.to_string(), "write four digits 0 to 7 in quotes".to_owned()),
                None => Err(RulesError {
                    line: 1,
                    column: 1,
                    reason: error.to_string(),
                    correction: "write four digits 0 to 7 in quotes".to_owned(),
                }),
            };
        }
        Ok(set)
    }

    /// The JSON Schema of a rule set.
    pub fn schema() -> Value {
        let text = |about: &str| json!({"type": "string", "description": about});
        let confirmed = json!({"enum": ["page seen", "from memory"],
            "description": "whether a page was seen that says so; what is from memory fails nothing by itself"});
        let closed = |mut properties: Value| {
            properties["clause"] = text("the clause");
            properties["confirmed"] = confirmed.clone();
            let required: Vec<String> =
                properties.as_object().map(|keys| keys.keys().cloned().collect()).unwrap_or_default();
            json!({"type": "object", "properties": properties, "required": required, "additionalProperties": false})
        };
        let numbers: Vec<&str> = numbers().map(|setting| setting.pointer).collect();
        let settings: Vec<&str> = SETTINGS.iter().map(|setting| setting.pointer).collect();
        json!({
            "$schema": "https://json-schema.org/draft/2020-12/schema",
            "title": "squitterlab rule set",
            "description": "Rules that an install is held against: `profile check --rules FILE`, `compare --rules FILE`.",
            "type": "object",
            "properties": {
                "name": text("one word"),
                "title": text("the name for people"),
                "date": text("which state of the rules it is"),
                "source": text("where it is from"),
                "states": {"type": "array", "items": {"type": "string"},
                    "description": "States of registry whose aircraft it is taken for where nobody names a set"},
                "identification": closed(json!({"form": {"enum": ["with_prefix", "without_prefix"],
                    "description": "how a registration is written as the aircraft identification"}})),
                "vfr_mode_a_code": closed(json!({"code": {"type": "string", "pattern": "^[0-7]{4}$"}})),
                "required": {"type": "array", "description": "settings that the install has to have",
                    "items": closed(json!({"setting": {"enum": settings}}))},
                "floors": {"type": "array", "description": "the least that a rule allows",
                    "items": closed(json!({"setting": {"enum": numbers}, "at_least": {"type": "integer", "minimum": 0, "maximum": 255}}))},
            },
            "required": ["name", "title", "date", "source"],
            "additionalProperties": false,
        })
    }

    /// Whether its national forms are meant for this aircraft: it names no State, or that of registry.
    pub fn governs(&self, profile: &Profile) -> bool {
        self.states.is_empty()
            || state_of_registry(profile).is_none_or(|state| self.states.iter().any(|own| own == state))
    }

    /// The set whose written forms count: this one where it governs the aircraft, else that of the State of registry.
    pub fn for_forms_of<'a>(&'a self, profile: &Profile) -> &'a Self {
        if self.governs(profile) {
            return self;
        }
        rule_set_of_state(profile).map_or(&SETS[0], |(set, _)| set)
    }

    /// The registration as the aircraft identification, in this set's form; else in the form of the flight plan.
    pub fn identification_of(&self, mark: &Mark) -> Option<Identification> {
        self.identification.as_ref().map_or(WrittenForm::WithPrefix, |rule| rule.form).of(mark)
    }
}

fn at_pointer<'de, D: Deserializer<'de>>(deserializer: D) -> Result<SettingId, D::Error> {
    let pointer = Cow::<str>::deserialize(deserializer)?;
    SettingId::at(&pointer).ok_or_else(|| D::Error::custom(format!("{pointer:?} is no setting")))
}

fn likeliest(given: &str, known: &[&str]) -> String {
    let near = known.iter().max_by(|a, b| strsim::jaro(given, a).total_cmp(&strsim::jaro(given, b)));
    near.map_or_else(String::new, |near| format!("did you mean {near:?}?"))
}

static SETS: LazyLock<Vec<RuleSet>> = LazyLock::new(|| {
    // The files are part of the program; a test reads each of them.
    FILES.iter().filter_map(|text| RuleSet::read(text).ok()).collect()
});

const FILES: [&str; 4] = [
    include_str!("rules/none.json"),
    include_str!("rules/united_states.json"),
    include_str!("rules/europe.json"),
    include_str!("rules/new_zealand.json"),
];

/// Every rule set, `none` first.
pub fn rule_sets() -> &'static [RuleSet] {
    &SETS
}

/// The rule set with this name.
pub fn rule_set(name: &str) -> Option<&'static RuleSet> {
    SETS.iter().find(|set| set.name == name)
}

/// The State of registry, by the registration, else by the address.
pub fn state_of_registry(profile: &Profile) -> Option<&'static str> {
    let by_mark = profile.registration.get().and_then(|mark| nationality_of_mark(&mark.0));
    by_mark
        .map(|(row, _)| row.state.as_str())
        .or_else(|| block_of_address(*profile.address.get()?).map(|block| block.holder))
}

/// The rule set of the State of registry, with the State's name; `none` and no State where that State has no set.
pub fn rule_set_of_state(profile: &Profile) -> Option<(&'static RuleSet, &'static str)> {
    let state = state_of_registry(profile)?;
    SETS.iter().find(|set| set.states.iter().any(|own| own == state)).map(|set| (set, state))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_rule_file_is_read_and_names_known_states() {
        for text in FILES {
            let set = RuleSet::read(text).expect("a rule set");
            for state in &set.states {
                assert!(crate::registry::BLOCKS.iter().any(|block| block.holder == state), "{state}");
            }
        }
        assert_eq!(rule_sets().len(), FILES.len());
        assert_eq!(rule_sets()[0].name, "none");
    }
}
