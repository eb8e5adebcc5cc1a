//! Holds rules as data: named, dated sets of minimum values, required elements and written forms, each with its clause
//! and whether a page confirmed it. A user's own file has the same form.

use super::category::kind_of;
use super::form::{JsonForm, Misfit};
use super::json_spans::{Node, NodeKind};
use super::{AircraftKind, Mark, Profile, Quantity, SETTINGS, Setting, SettingId, Severity, category_of};
use crate::code::{Identification, ModeA};
use crate::registry::{block_of_address, nationality_of_mark};
use serde::Deserialize;
use serde_json::{Value, json};
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
    /// Dates that matter, oldest first.
    #[serde(default)]
    pub dates: Vec<Dated>,
    /// Which aircraft or flights the required settings and minimum values bind; `None` if every one.
    #[serde(default)]
    pub scope: Option<Scope>,
    /// How a registration is written as the aircraft identification.
    #[serde(default)]
    pub identification: Option<IdentificationRule>,
    /// The Mode A codes of visual flight, and others that a unit may have preset.
    #[serde(default)]
    pub vfr_mode_a_codes: Vec<ModeARule>,
    /// What is said of a setting that has a certain value.
    #[serde(default)]
    pub remarks: Vec<Remark>,
    /// Values that go together where the minimum values do not bind.
    #[serde(default)]
    pub outside_scope: Option<Together>,
    /// Values that go together in every install that the set is for.
    #[serde(default)]
    pub pairs: Option<Together>,
    /// What the rules ask for and no frame can show.
    #[serde(default)]
    pub unseen: Vec<Unseen>,
    /// Settings that the install has to have.
    #[serde(default)]
    pub required: Vec<Required>,
    /// The least that a rule allows.
    #[serde(default)]
    pub floors: Vec<Floor>,
    /// The sets that this one is made of, if it is made of several.
    #[serde(skip)]
    parts: Vec<RuleSet>,
    /// Of a set of several: the minimum values for each choice of parts that bind, the part at place n being bit n.
    #[serde(skip)]
    floors_of_parts: Vec<Vec<Floor>>,
}

/// What a rule asks for and no frame can show.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Unseen {
    /// What it asks for.
    pub what: String,
    /// The clause.
    pub clause: String,
    /// Whether a page was seen that says so.
    pub confirmed: Confirmed,
}

/// More sets at once than anybody asks for.
const MOST_SETS: usize = 8;

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

/// How a State requires its registrations to be written as the aircraft identification.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum WrittenForm {
    /// All letters and digits of the registration; no hyphen, no space.
    WithPrefix,
    /// The same without the nationality mark.
    WithoutPrefix,
}

impl WrittenForm {
    /// The registration in this form; `None` if that is not an identification.
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
    pub(crate) const fn words(self) -> &'static str {
        match self {
            Self::WithPrefix => "the registration with its nationality mark, without hyphen or space",
            Self::WithoutPrefix => "the registration without its nationality mark, hyphen or space",
        }
    }
}

/// A date, and what began or changed then.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Dated {
    /// The date, in words.
    pub date: String,
    /// What began or changed.
    pub what: String,
    /// Whether a page was seen that says so.
    pub confirmed: Confirmed,
}

/// Which aircraft or flights a rule binds.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Scope {
    /// In words that follow "for".
    pub words: String,
    /// Aircraft with more than this maximum take-off weight.
    #[serde(default)]
    pub above_kg: Option<f64>,
    /// Aircraft with more than this maximum cruise true airspeed.
    #[serde(default)]
    pub above_kt: Option<f64>,
    /// The clause.
    pub clause: String,
    /// Whether a page was seen that says so.
    pub confirmed: Confirmed,
}

/// Whether a rule binds an aircraft.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Binds {
    /// It does.
    Yes,
    /// It does not.
    No,
    /// The profile does not say enough.
    Unknown,
}

/// A rule about the written form of the identification.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct IdentificationRule {
    /// The form; for flights at home, if there is another for flights abroad.
    pub form: WrittenForm,
    /// The form for flights abroad, if it is another.
    #[serde(default)]
    pub abroad: Option<WrittenForm>,
    /// The clause.
    pub clause: String,
    /// Whether a page was seen that says so.
    pub confirmed: Confirmed,
}

/// The forms that a registration may have as the aircraft identification.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Forms<'a> {
    /// The State of registry has one form.
    One(Form<'a>),
    /// One at home, another abroad.
    Two {
        /// For flights within the State of registry.
        home: Form<'a>,
        /// For flights abroad.
        abroad: Form<'a>,
    },
    /// No rule is held: in flight plan item 7 the nationality mark is kept, and some States leave it out at home.
    NotHeld {
        /// With the nationality mark.
        with_prefix: Form<'a>,
        /// Without it, if that is another.
        without_prefix: Option<Form<'a>>,
    },
}

/// One form of a registration, with the rule behind it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Form<'a> {
    /// The registration in this form.
    pub identification: Identification,
    /// Which form.
    pub form: WrittenForm,
    /// The clause and its mark.
    pub clause: Option<(&'a str, Confirmed)>,
}

impl<'a> Forms<'a> {
    /// The form to be entered where nothing else is said; `None` if no rule is held.
    ///
    /// ```
    /// use squitterlab::{Profile, profile::rule_set};
    /// let profile = Profile::read(r#"{"aircraft": {"registration": "VH-ABC"}}"#).profile;
    /// let forms = rule_set("australia").unwrap().identification_forms(&profile).unwrap();
    /// assert_eq!(forms.held().unwrap().identification.to_string(), "ABC");
    /// ```
    pub fn held(&self) -> Option<&Form<'a>> {
        match self {
            Self::One(form) | Self::Two { home: form, .. } => Some(form),
            Self::NotHeld { .. } => None,
        }
    }

    /// Every form, the likeliest first.
    ///
    /// ```
    /// use squitterlab::{Profile, profile::rule_set};
    /// let profile = Profile::read(r#"{"aircraft": {"registration": "VH-ABC"}}"#).profile;
    /// let forms = rule_set("australia").unwrap().identification_forms(&profile).unwrap();
    /// let texts: Vec<_> = forms.all().iter().map(|form| form.identification.to_string()).collect();
    /// assert_eq!(texts, ["ABC", "VHABC"]);
    /// ```
    pub fn all(&self) -> Vec<&Form<'a>> {
        match self {
            Self::One(form) => vec![form],
            Self::Two { home, abroad } => vec![home, abroad],
            Self::NotHeld { with_prefix, without_prefix } => {
                std::iter::once(with_prefix).chain(without_prefix.as_ref()).collect()
            }
        }
    }

    /// All forms in a sentence.
    pub(crate) fn words(&self, state: &str) -> String {
        match self {
            Self::One(form) => form.identification.to_string(),
            Self::Two { home, abroad } => {
                format!(
                    "{} for flights within {state}, {} for flights abroad",
                    home.identification, abroad.identification
                )
            }
            Self::NotHeld { with_prefix, without_prefix } => {
                let without = without_prefix.as_ref().map_or_else(String::new, |form| {
                    format!("; {} if the State leaves its nationality mark out at home", form.identification)
                });
                format!(
                    "no rule of {state} on the form is held here: {} in flight plan item 7 (ICAO){without}",
                    with_prefix.identification
                )
            }
        }
    }
}

/// A Mode A code that a unit may have preset.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ModeARule {
    /// Four octal digits.
    pub code: String,
    /// The kinds of aircraft that it is for, as in `/aircraft/kind`; if none, every kind that no other row names.
    #[serde(default)]
    pub kinds: Vec<String>,
    /// The occasion that it is for; if none, it is the code of visual flight.
    #[serde(default, rename = "for")]
    pub occasion: Option<String>,
    /// The clause.
    pub clause: String,
    /// Whether a page was seen that says so.
    pub confirmed: Confirmed,
}

/// What is said of a setting that has a certain value.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Remark {
    /// Which; a JSON pointer in the file.
    pub setting: SettingId,
    /// The value in the profile's JSON.
    pub is: Value,
    /// How much it weighs.
    pub severity: RemarkSeverity,
    /// What is said.
    pub what: String,
    /// What to do.
    pub correction: String,
    /// The clause.
    pub clause: String,
    /// Whether a page was seen that says so.
    pub confirmed: Confirmed,
}

/// How much a remark weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum RemarkSeverity {
    /// Doubtful; a person decides.
    Warning,
    /// For information.
    Note,
}

impl From<RemarkSeverity> for Severity {
    fn from(severity: RemarkSeverity) -> Self {
        match severity {
            RemarkSeverity::Warning => Self::Warning,
            RemarkSeverity::Note => Self::Note,
        }
    }
}

impl Remark {
    /// Whether it is said of this aircraft. A category that is not stated is the one that kind and weight give.
    pub(crate) fn applies_to(&self, profile: &Profile) -> bool {
        let derived = || {
            let derived = category_of(profile.kind.get().copied(), profile.maximum_take_off_weight.get().copied());
            derived.map(|derived| derived.category.json())
        };
        match profile.json().pointer(self.setting.pointer()) {
            Some(value) if !value.is_null() => *value == self.is,
            _ if self.setting == SettingId::EmitterCategory => derived().as_ref() == Some(&self.is),
            _ => false,
        }
    }
}

/// Values of two settings that go together.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Together {
    /// Which; JSON pointers in the file.
    pub settings: [SettingId; 2],
    /// The pairs that are known.
    pub pairs: Vec<[u8; 2]>,
    /// The clause.
    pub clause: String,
    /// Whether a page was seen that says so.
    pub confirmed: Confirmed,
}

impl Together {
    /// What a profile states of both, if it states both.
    pub(crate) fn stated(&self, profile: &Profile) -> Option<[u8; 2]> {
        let [one, other] = self.settings.map(|setting| (setting.setting().number)(profile));
        Some([one?, other?])
    }
}

/// A setting that has to be there.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Required {
    /// Which; a JSON pointer in the file.
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
    pub setting: SettingId,
    /// The least.
    pub at_least: u8,
    /// The clause.
    pub clause: String,
    /// Whether a page was seen that says this number.
    pub confirmed: Confirmed,
}

/// The settings that can have a minimum value.
fn numbers() -> impl Iterator<Item = &'static Setting> {
    SETTINGS.iter().filter(|setting| setting.can_have_floor())
}

impl Floor {
    /// Whether a page was seen that says this number.
    pub(crate) fn is_confirmed(&self) -> bool {
        self.confirmed == Confirmed::PageSeen
    }

    /// What a profile says of this setting, as a number.
    ///
    /// ```
    /// use squitterlab::{Profile, profile::rule_set};
    /// let profile = Profile::read(r#"{"position_source": {"nacp": 9}}"#).profile;
    /// let floors = &rule_set("united_states").unwrap().floors;
    /// assert!(floors.iter().any(|floor| floor.stated(&profile) == Some(9) && floor.at_least == 8));
    /// ```
    pub fn stated(&self, profile: &Profile) -> Option<u8> {
        (self.setting.setting().number)(profile)
    }
}

impl RuleSet {
    /// Reads a set of a user's own.
    ///
    /// # Errors
    /// [`Misfit`] with place, reason and correction for the first fault.
    ///
    /// ```
    /// use squitterlab::profile::RuleSet;
    /// let own = r#"{"name": "ours", "title": "our shop", "date": "2026", "source": "our manual", "floors": [
    ///     {"setting": "/position_source/nic", "at_least": 7, "clause": "page 3", "confirmed": "page seen"}]}"#;
    /// assert_eq!(RuleSet::read(own).unwrap().floors[0].at_least, 7);
    /// assert!(RuleSet::read(&own.replace("nic", "nick")).unwrap_err().correction.contains("/position_source/nic"));
    /// ```
    pub fn read(text: &str) -> Result<Self, Misfit> {
        let form = JsonForm::read(text)?;
        let set: Self = form.of(&Self::schema())?;
        for (at, rule) in set.vfr_mode_a_codes.iter().enumerate() {
            if let Err(error) = rule.code.parse::<ModeA>() {
                let correction = "write four digits 0 to 7 in quotation marks";
                return Err(form.wrong(&format!("/vfr_mode_a_codes/{at}/code"), error.to_string(), correction));
            }
        }
        Ok(set)
    }

    /// The JSON Schema of a rule set.
    pub(crate) fn schema() -> Value {
        let text = |about: &str| json!({"type": "string", "description": about});
        let confirmed = json!({"enum": ["page seen", "from memory"],
            "description": "whether a page was seen that says so; what is from memory fails nothing by itself"});
        // What is marked `optional` may be left out.
        let closed = |mut properties: Value| {
            properties["clause"] = text("the clause");
            properties["confirmed"] = confirmed.clone();
            let mut required = Vec::new();
            if let Value::Object(keys) = &mut properties {
                for (key, value) in keys {
                    let optional = value.as_object_mut().and_then(|value| value.remove("optional")).is_some();
                    if !optional {
                        required.push(key.clone());
                    }
                }
            }
            json!({"type": "object", "properties": properties, "required": required, "additionalProperties": false})
        };
        let form = json!(["with_prefix", "without_prefix"]);
        let kinds: Vec<&str> = KINDS.iter().map(|(word, _)| word.as_str()).collect();
        let numbers: Vec<&str> = numbers().map(|setting| setting.pointer).collect();
        let settings: Vec<&str> = SETTINGS.iter().map(|setting| setting.pointer).collect();
        let together = |about: &str| {
            closed(json!({
                "settings": {"type": "array", "items": {"enum": numbers}, "minItems": 2, "maxItems": 2},
                "pairs": {"type": "array", "description": about,
                    "items": {"type": "array", "items": {"type": "integer", "minimum": 0, "maximum": 255}, "minItems": 2, "maxItems": 2}}}))
        };
        json!({
            "$schema": "https://json-schema.org/draft/2020-12/schema",
            "title": "squitterlab rule set",
            "description": "Rules that an install is checked against: `profile check --rules FILE`, `compare --rules FILE`.",
            "type": "object",
            "properties": {
                "name": text("one word"),
                "title": text("the name for people"),
                "date": text("which state of the rules it is"),
                "source": text("where it is from"),
                "states": {"type": "array", "items": {"type": "string"},
                    "description": "States of registry whose aircraft it is taken for where nobody names a set"},
                "dates": {"type": "array", "description": "dates that matter, oldest first",
                    "items": {"type": "object", "properties": {"date": text("in words"), "what": text("what began or changed"),
                        "confirmed": confirmed}, "required": ["date", "what", "confirmed"], "additionalProperties": false}},
                "scope": closed(json!({"words": text("which aircraft or flights the required settings and minimum values bind"),
                    "above_kg": {"type": "number", "optional": true,
                        "description": "aircraft with more than this maximum take-off weight"},
                    "above_kt": {"type": "number", "optional": true,
                        "description": "aircraft with more than this maximum cruise true airspeed"}})),
                "identification": closed(json!({
                    "form": {"enum": form, "description": "how a registration is written as the aircraft identification"},
                    "abroad": {"enum": form, "optional": true, "description": "the form for flights abroad, if it is another"}})),
                "vfr_mode_a_codes": {"type": "array", "description": "Mode A codes that a unit may have preset",
                    "items": closed(json!({"code": {"type": "string", "pattern": "^[0-7]{4}$"},
                        "kinds": {"type": "array", "items": {"enum": kinds}, "optional": true,
                            "description": "the kinds of aircraft that it is for; if none, every kind that no other row names"},
                        "for": {"type": "string", "optional": true,
                            "description": "the occasion that it is for; if none, it is the code of visual flight"}}))},
                "remarks": {"type": "array", "description": "what is said of a setting that has a certain value",
                    "items": closed(json!({"setting": {"enum": settings}, "is": {"description": "the value in the profile"},
                        "severity": {"enum": ["warning", "note"]}, "what": text("what is said"),
                        "correction": text("what to do")}))},
                "outside_scope": together("values of both that go together where the minimum values do not bind"),
                "pairs": together("values of both that go together in every install that the set is for"),
                "unseen": {"type": "array", "description": "what the rules ask for and no frame can show",
                    "items": closed(json!({"what": text("what the rule requires")}))},
                "required": {"type": "array", "description": "settings that the install has to have",
                    "items": closed(json!({"setting": {"enum": settings}}))},
                "floors": {"type": "array", "description": "the least that a rule allows",
                    "items": closed(json!({"setting": {"enum": numbers}, "at_least": {"type": "integer", "minimum": 0, "maximum": 255}}))},
            },
            "required": ["name", "title", "date", "source"],
            "additionalProperties": false,
        })
    }

    /// Several sets at once. Each binds by its own scope; of two minimum values for a setting the stricter counts; the
    /// written forms and codes are those of the set of the State of registry, if it is among them.
    ///
    /// ```
    /// use squitterlab::profile::{Profile, RuleSet, SettingId, rule_set};
    /// let set = |name| rule_set(name).unwrap().clone();
    /// let both = RuleSet::together(vec![set("new_zealand"), set("united_states")]);
    /// assert_eq!(both.name, "new_zealand,united_states");
    /// let floors = both.floors_for(&Profile::default());
    /// let nacp = floors.iter().find(|floor| floor.setting == SettingId::Nacp).unwrap();
    /// assert_eq!(nacp.at_least, 8);
    /// ```
    #[must_use]
    pub fn together(mut sets: Vec<Self>) -> Self {
        sets.truncate(MOST_SETS);
        if sets.len() < 2 {
            return sets.pop().unwrap_or_default();
        }
        let joined = |of: fn(&Self) -> &str, separator: &str| sets.iter().map(of).collect::<Vec<_>>().join(separator);
        let floors = |chosen: usize| {
            let mut floors: Vec<Floor> = Vec::new();
            for (at, set) in sets.iter().enumerate() {
                if chosen >> at & 1 == 1 {
                    floors.extend(
                        set.floors
                            .iter()
                            .map(|floor| Floor { clause: format!("{}: {}", set.title, floor.clause), ..floor.clone() }),
                    );
                }
            }
            // The strictest first; of equal ones, the one that a page was seen of.
            floors.sort_by_key(|floor| (floor.setting, std::cmp::Reverse(floor.at_least), !floor.is_confirmed()));
            floors.dedup_by_key(|floor| floor.setting);
            floors
        };
        let floors_of_parts: Vec<Vec<Floor>> = (0..1 << sets.len()).map(floors).collect();
        Self {
            name: joined(|set| &set.name, ","),
            title: joined(|set| &set.title, " and "),
            date: joined(|set| &set.date, "; "),
            source: joined(|set| &set.source, "; "),
            required: sets.iter().flat_map(|set| set.required.clone()).collect(),
            unseen: sets.iter().flat_map(|set| set.unseen.clone()).collect(),
            floors: floors_of_parts.last().cloned().unwrap_or_default(),
            floors_of_parts,
            parts: sets,
            ..Self::default()
        }
    }

    /// The sets that this one is made of: itself, if it is one.
    pub(crate) fn parts(&self) -> &[Self] {
        if self.parts.is_empty() { std::slice::from_ref(self) } else { &self.parts }
    }

    /// The part whose written forms and codes count for an aircraft: the one that names its State of registry, else the
    /// first that names none, else the first.
    pub(crate) fn governing(&self, profile: &Profile) -> &Self {
        let parts = self.parts();
        let named = parts.iter().find(|part| !part.states.is_empty() && part.governs(profile));
        named.or_else(|| parts.iter().find(|part| part.states.is_empty())).unwrap_or(&parts[0])
    }

    /// Whether its national forms are meant for this aircraft: it names no State, or that of registry.
    pub(crate) fn governs(&self, profile: &Profile) -> bool {
        if !self.parts.is_empty() {
            return self.parts.iter().any(|part| part.governs(profile));
        }
        self.states.is_empty()
            || state_of_registry(profile).is_none_or(|state| self.states.iter().any(|own| own == state))
    }

    /// Whether the required settings and minimum values bind this aircraft, by its weight and speed.
    ///
    /// ```
    /// use squitterlab::profile::{Binds, Profile, rule_set};
    /// let profile = |text: &str| Profile::read(&format!("{{\"aircraft\": {text}}}")).profile;
    /// let europe = rule_set("europe").unwrap();
    /// let heavy = r#"{"maximum_take_off_weight": {"kg": 5701}}"#;
    /// assert_eq!(europe.binds(&profile(heavy)), Binds::Yes);
    /// assert_eq!(europe.binds(&profile(r#"{"kind": "glider"}"#)), Binds::No);
    /// assert_eq!(europe.binds(&profile("{}")), Binds::Unknown);
    /// ```
    pub fn binds(&self, profile: &Profile) -> Binds {
        if !self.parts.is_empty() {
            // What has no minimum values binds nothing by them.
            let of = |part: &Self| part.binds(profile);
            let all: Vec<Binds> = self.parts.iter().filter(|part| !part.floors.is_empty()).map(of).collect();
            return match () {
                () if all.contains(&Binds::Yes) => Binds::Yes,
                () if all.contains(&Binds::Unknown) => Binds::Unknown,
                () if all.is_empty() => Binds::Yes,
                () => Binds::No,
            };
        }
        let Some(scope) = &self.scope else { return Binds::Yes };
        let weight = profile.maximum_take_off_weight.get().and_then(|weight| weight.number_in("kg"));
        let speed = profile.maximum_cruise_true_airspeed.get().map(|speed| speed.in_knots());
        let over = |limit: Option<f64>, stated: Option<f64>| match (limit, stated) {
            (None, _) => Some(false),
            (Some(_), None) => None,
            (Some(limit), Some(stated)) => Some(stated > limit),
        };
        // The lightest of categories A2 to A5 has 15 500 lb, which is 7031 kg; of the light kinds none is heavy or fast.
        let category = profile.emitter_category.get().map(ToString::to_string);
        let by_category = match category.as_deref().or_else(|| light_kind(profile).then_some("B1")) {
            Some("A2" | "A3" | "A4" | "A5") if scope.above_kg.is_some_and(|limit| limit <= 7000.0) => Some(true),
            Some("B1" | "B2" | "B3" | "B4") if scope.above_kg.is_some() || scope.above_kt.is_some() => Some(false),
            _ => None,
        };
        if scope.above_kg.is_none() && scope.above_kt.is_none() {
            return Binds::Yes;
        }
        match (over(scope.above_kg, weight), over(scope.above_kt, speed)) {
            (Some(true), _) | (_, Some(true)) => Binds::Yes,
            (Some(false), Some(false)) => Binds::No,
            (heavy, _) => match by_category {
                Some(true) if heavy.is_none() => Binds::Yes,
                Some(false) => Binds::No,
                _ => Binds::Unknown,
            },
        }
    }

    /// The minimum values that bind this aircraft, or may.
    ///
    /// ```
    /// use squitterlab::{Profile, profile::rule_set};
    /// let profile = Profile::default();
    /// assert!(!rule_set("united_states").unwrap().floors_for(&profile).is_empty());
    /// assert!(rule_set("none").unwrap().floors_for(&profile).is_empty());
    /// ```
    pub fn floors_for(&self, profile: &Profile) -> &[Floor] {
        if !self.parts.is_empty() {
            let binding = self.parts.iter().enumerate().filter(|(_, part)| part.binds(profile) != Binds::No);
            let chosen = binding.fold(0, |chosen, (at, _)| chosen | 1_usize << at);
            return self.floors_of_parts.get(chosen).map_or(&[], Vec::as_slice);
        }
        if self.binds(profile) == Binds::No { &[] } else { &self.floors }
    }

    /// The set whose written forms count: this one if it has a form and governs the aircraft, else that of the State of
    /// registry.
    pub(crate) fn for_forms_of<'a>(&'a self, profile: &Profile) -> &'a Self {
        if !self.parts.is_empty() {
            return self.governing(profile).for_forms_of(profile);
        }
        if self.identification.is_some() && self.governs(profile) {
            return self;
        }
        rule_set_of_state(profile).map_or(&SETS[0], |(set, _)| set)
    }

    /// The forms that the registration may have as the aircraft identification; `None` if nothing is stated that can be
    /// one.
    ///
    /// ```
    /// use squitterlab::profile::{Forms, Profile, rule_set};
    /// let profile = Profile::read(r#"{"aircraft": {"registration": "VH-ABC"}}"#).profile;
    /// let forms = rule_set("none").unwrap().identification_forms(&profile).unwrap();
    /// assert_eq!(forms.held().unwrap().identification.to_string(), "ABC");
    /// assert!(matches!(forms, Forms::Two { .. }));
    /// ```
    pub fn identification_forms(&self, profile: &Profile) -> Option<Forms<'_>> {
        let mark = profile.registration.get()?;
        let rule = self.for_forms_of(profile).identification.as_ref();
        let clause = rule.map(|rule| (rule.clause.as_str(), rule.confirmed));
        let form = |form: WrittenForm| Some(Form { identification: form.of(mark)?, form, clause });
        let Some(rule) = rule else {
            let with_prefix = form(WrittenForm::WithPrefix)?;
            let other = form(WrittenForm::WithoutPrefix);
            let without_prefix = other.filter(|other| other.identification != with_prefix.identification);
            return Some(Forms::NotHeld { with_prefix, without_prefix });
        };
        let home = form(rule.form)?;
        Some(match rule.abroad.and_then(form) {
            Some(abroad) if abroad.identification != home.identification => Forms::Two { home, abroad },
            _ => Forms::One(home),
        })
    }

    /// The code of visual flight that an aircraft of this kind has preset; `None` if no rule is held, or the kind is not
    /// known and decides it.
    ///
    /// ```
    /// use squitterlab::{Profile, profile::rule_set};
    /// let code = |set: &str| rule_set(set).unwrap().vfr_mode_a_code_of(&Profile::default()).map(|rule| rule.code.as_str());
    /// assert_eq!((code("united_states"), code("none")), (Some("1200"), None));
    /// ```
    pub fn vfr_mode_a_code_of(&self, profile: &Profile) -> Option<&ModeARule> {
        if !self.parts.is_empty() {
            return self.governing(profile).vfr_mode_a_code_of(profile);
        }
        let kind = kind_of_aircraft(profile);
        let mut ordinary = self.vfr_mode_a_codes.iter().filter(|rule| rule.occasion.is_none());
        let of_kind = kind.and_then(|kind| ordinary.clone().find(|rule| rule.is_for(kind)));
        of_kind.or_else(|| ordinary.find(|rule| rule.kinds.is_empty()))
    }
}

impl ModeARule {
    /// Whether it names this kind of aircraft.
    pub(crate) fn is_for(&self, kind: AircraftKind) -> bool {
        KINDS.iter().any(|(word, known)| *known == kind && self.kinds.contains(word))
    }

    /// The code, and what it is for.
    pub(crate) fn words(&self) -> String {
        let kinds = self.kinds.join(", ").replace('_', " ");
        match (&self.occasion, self.kinds.is_empty()) {
            (Some(occasion), _) => format!("{} {occasion}", self.code),
            (None, false) => format!("{} ({kinds})", self.code),
            (None, true) => self.code.clone(),
        }
    }
}

/// Every kind of aircraft with its word in a profile.
static KINDS: LazyLock<Vec<(String, AircraftKind)>> = LazyLock::new(|| {
    let words = AircraftKind::schema()["enum"].as_array().cloned().unwrap_or_default();
    let kind = |word: &Value| {
        let text = word.as_str()?.to_owned();
        let node = Node { at: 0, kind: NodeKind::Text(text.clone()) };
        Some((text, AircraftKind::read(&node).ok()?))
    };
    words.iter().filter_map(kind).collect()
});

/// The kind of aircraft, by what is stated, else by the emitter category.
pub(crate) fn kind_of_aircraft(profile: &Profile) -> Option<AircraftKind> {
    profile.kind.get().copied().or_else(|| kind_of(*profile.emitter_category.get()?))
}

/// Whether no aircraft of this kind is heavy or fast.
fn light_kind(profile: &Profile) -> bool {
    use AircraftKind::{Glider, LighterThanAir, Parachutist, Ultralight};
    profile.kind.get().is_some_and(|kind| matches!(kind, Glider | LighterThanAir | Parachutist | Ultralight))
}

static SETS: LazyLock<Vec<RuleSet>> = LazyLock::new(|| {
    // The files are part of the program: a test compares each with the schema, which takes longer than all else at the
    // start of a comparison.
    FILES.iter().filter_map(|text| serde_json::from_str(text).ok()).collect()
});

const FILES: [&str; 9] = [
    include_str!("rules/none.json"),
    include_str!("rules/united_states.json"),
    include_str!("rules/europe.json"),
    include_str!("rules/united_kingdom.json"),
    include_str!("rules/canada.json"),
    include_str!("rules/australia.json"),
    include_str!("rules/new_zealand.json"),
    include_str!("rules/europe_light.json"),
    include_str!("rules/gliders.json"),
];

/// Every rule set, `none` first.
///
/// ```
/// use squitterlab::profile::rule_sets;
/// assert_eq!(rule_sets()[0].name, "none");
/// ```
pub fn rule_sets() -> &'static [RuleSet] {
    &SETS
}

/// The rule set with this name.
///
/// ```
/// use squitterlab::profile::rule_set;
/// assert!(rule_set("europe").is_some() && rule_set("nowhere").is_none());
/// ```
pub fn rule_set(name: &str) -> Option<&'static RuleSet> {
    SETS.iter().find(|set| set.name == name)
}

/// The State of registry, by the registration, else by the address.
///
/// ```
/// use squitterlab::{Profile, profile::state_of_registry};
/// let profile = Profile::read(r#"{"aircraft": {"registration": "N47QX"}}"#).profile;
/// assert_eq!(state_of_registry(&profile), Some("United States"));
/// ```
pub fn state_of_registry(profile: &Profile) -> Option<&'static str> {
    let by_mark = profile.registration.get().and_then(|mark| nationality_of_mark(&mark.0));
    by_mark
        .map(|(row, _)| row.state.as_str())
        .or_else(|| block_of_address(*profile.address.get()?).map(|block| block.holder))
}

/// The rule set of the State of registry, with the State's name; `none` and no State where that State has no set.
///
/// ```
/// use squitterlab::{Profile, profile::rule_set_of_state};
/// let profile = Profile::read(r#"{"aircraft": {"registration": "VH-ABC"}}"#).profile;
/// let (set, state) = rule_set_of_state(&profile).unwrap();
/// assert_eq!((set.name.as_str(), state), ("australia", "Australia"));
/// ```
pub fn rule_set_of_state(profile: &Profile) -> Option<(&'static RuleSet, &'static str)> {
    let state = state_of_registry(profile)?;
    SETS.iter().find(|set| set.states.iter().any(|own| own == state)).map(|set| (set, state))
}

/// The rules that a profile is compared with, and why these: those that were named, else those of its State of registry.
///
/// ```
/// use squitterlab::{Profile, profile::rules_for};
/// let profile = Profile::read(r#"{"aircraft": {"registration": "N47QX"}}"#).profile;
/// let (rules, why) = rules_for(None, &profile);
/// assert_eq!((rules.name.as_str(), why.as_str()), ("united_states", "State of registry: United States"));
/// ```
pub fn rules_for<'a>(named: Option<&'a RuleSet>, profile: &Profile) -> (&'a RuleSet, String) {
    match (named, rule_set_of_state(profile), state_of_registry(profile)) {
        (Some(set), _, _) => (set, "as asked".to_owned()),
        (None, Some((set, state)), _) => (set, format!("State of registry: {state}")),
        (None, None, Some(state)) => (&SETS[0], format!("no set is held for the State of registry, {state}")),
        (None, None, None) => (&SETS[0], "the State of registry is not stated".to_owned()),
    }
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
