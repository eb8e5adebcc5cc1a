//! The install profile: model, reading with places for errors, rules that it is checked against, mistakes that are made.

mod category;
mod check;
mod choice;
mod distance;
mod located;
pub mod mistake;
mod quantity;
mod rules;
mod settings;
pub mod wiring;

pub use category::{CATEGORY_SOURCE, Derived, category_of};
pub use check::{Check, check, checks};
pub use choice::{
    Acas, ActiveMeans, AddressKind, AirGroundKind, AircraftKind, AltitudeSourceKind, Antenna, DirectionKind,
    HeightReference, IdentificationSource, North, SilPer, TransmitPower,
};
pub use distance::{FromCentreLine, FromNose};
pub use located::{Kind, Node, Syntax, line_and_column};
pub use quantity::{
    Choice, Date, Fault, Length, Mark, Measure, Quantity, Registers, Speed, StandardVersion, StepFt, Text, ValueKind,
    Weight, Whole,
};
pub use rules::{
    Confirmed, Floor, IdentificationRule, ModeARule, Required, RuleSet, RulesError, WrittenForm, rule_set,
    rule_set_of_state, rule_sets, state_of_registry,
};
pub(crate) use settings::id_of;
pub use settings::{Profile, SETTINGS, Setting, SettingId, Stated, Work, joined, schema, setting};

use located::without_comments;
use settings::keys_below;
use std::borrow::Cow;
use std::collections::BTreeMap;

/// How much a problem weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// The profile cannot be right.
    Error,
    /// Doubtful; a person decides.
    Warning,
    /// For information: something is not stated or still to be filled in.
    Note,
}

impl Severity {
    /// The word in text and JSON.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Error => "error",
            Self::Warning => "warning",
            Self::Note => "note",
        }
    }
}

/// Something wrong or doubtful in a profile: where, why, what to do, and which rule says so.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// How much it weighs.
    pub severity: Severity,
    /// JSON pointer.
    pub pointer: String,
    /// Line, from 1; 0 where the setting is not in the file.
    pub line: usize,
    /// Column, from 1; 0 where the setting is not in the file.
    pub column: usize,
    /// Why.
    pub reason: String,
    /// What to do.
    pub correction: String,
    /// The rule's name.
    pub rule: &'static str,
}

/// A profile as it was read, with everything that was wrong with the reading.
#[derive(Clone, Debug)]
pub struct Reading {
    /// The settings that could be read.
    pub profile: Profile,
    /// What was wrong.
    pub problems: Vec<Problem>,
    /// Whether the file has comments: they are in no [`Profile`], so whoever writes the file anew has to say so.
    pub has_comments: bool,
    /// Pointers that misspelt keys were most likely meant for.
    meant: Vec<String>,
    /// Line and column of every value, by JSON pointer.
    places: BTreeMap<String, (usize, usize)>,
}

impl Reading {
    /// Whether anything could not be read.
    pub fn has_errors(&self) -> bool {
        self.problems.iter().any(|problem| problem.severity == Severity::Error)
    }

    /// Line and column of a setting, or of the nearest object around it that is in the file.
    pub fn place(&self, pointer: &str) -> (usize, usize) {
        let mut pointer = pointer;
        loop {
            if let Some(place) = self.places.get(pointer) {
                return *place;
            }
            match pointer.rfind('/') {
                Some(at) if at > 0 => pointer = &pointer[..at],
                _ => return (0, 0),
            }
        }
    }
}

impl Profile {
    /// Reads a profile. Every fault is found in one go; a setting with a fault counts as not stated.
    ///
    /// ```
    /// use squitterlab::profile::Profile;
    /// let reading = Profile::read(r#"{"aircraft": {"length": 27.2, "widht": {"m": 11}}}"#);
    /// assert_eq!(reading.problems.len(), 2);
    /// assert!(reading.problems.iter().any(|problem| problem.reason.contains("no unit")));
    /// ```
    pub fn read(text: &str) -> Reading {
        let has_comments = matches!(without_comments(text), Cow::Owned(_));
        let root = match Node::parse(text) {
            Ok(root) => root,
            Err(Syntax { message, line, column }) => {
                let problem = Problem {
                    severity: Severity::Error,
                    pointer: String::new(),
                    line,
                    column,
                    reason: format!("this is no JSON: {message}"),
                    correction: "mend the JSON at this place".to_owned(),
                    rule: "json",
                };
                return Reading {
                    profile: Self::default(),
                    problems: vec![problem],
                    has_comments,
                    meant: Vec::new(),
                    places: BTreeMap::new(),
                };
            }
        };
        let mut problems = Vec::new();
        let mut places = BTreeMap::new();
        let mut meant = Vec::new();
        walk(text, &root, "", &mut problems, &mut meant, &mut places);
        let profile = Self::from_tree(&root, |setting, node, fault| {
            let (line, column) = line_and_column(text, node.at);
            problems.push(Problem {
                severity: Severity::Error,
                pointer: setting.pointer().to_owned(),
                line,
                column,
                reason: fault.reason,
                correction: fault.correction,
                rule: "form",
            });
        });
        problems.sort_by_key(|problem| (problem.line, problem.column));
        Reading { profile, problems, has_comments, meant, places }
    }
}

/// Looks at the shape: objects where objects belong, no unknown and no repeated keys. Notes where everything stands.
fn walk(
    text: &str,
    node: &Node,
    pointer: &str,
    problems: &mut Vec<Problem>,
    meant: &mut Vec<String>,
    places: &mut BTreeMap<String, (usize, usize)>,
) {
    let (line, column) = line_and_column(text, node.at);
    places.insert(pointer.to_owned(), (line, column));
    if setting(pointer).is_some() || node.kind == Kind::Null && !pointer.is_empty() {
        return;
    }
    let mut problem = |pointer: String, (line, column): (usize, usize), reason: String, correction: String| {
        problems.push(Problem { severity: Severity::Error, pointer, line, column, reason, correction, rule: "form" });
    };
    let known = keys_below(pointer);
    let Kind::Object(members) = &node.kind else {
        let correction = format!("write an object with any of: {}", known.join(", "));
        problem(
            pointer.to_owned(),
            (line, column),
            format!("{} stands where an object belongs", node.kind_in_words()),
            correction,
        );
        return;
    };
    for (at, member) in members.iter().enumerate() {
        let inner = format!("{pointer}/{}", member.key.replace('~', "~0").replace('/', "~1"));
        let place = line_and_column(text, member.key_at);
        if members[..at].iter().any(|before| before.key == member.key) {
            problem(
                inner,
                place,
                format!("the key {:?} stands here a second time", member.key),
                "keep one of them".to_owned(),
            );
        } else if !known.contains(&member.key.as_str()) {
            meant.extend(nearest(&member.key, &known).map(|near| format!("{pointer}/{near}")));
            problem(
                inner,
                place,
                format!("the key {:?} is not known here", member.key),
                suggestion(&member.key, &known),
            );
        }
    }
    for member in members {
        if known.contains(&member.key.as_str()) {
            walk(text, &member.node, &format!("{pointer}/{}", member.key), problems, meant, places);
        }
    }
}

/// The known key that a misspelt one is most like.
fn nearest<'k>(key: &str, known: &[&'k str]) -> Option<&'k str> {
    known
        .iter()
        .map(|known| (strsim::normalized_damerau_levenshtein(key, known), *known))
        .filter(|(likeness, _)| *likeness > 0.5)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, known)| known)
}

fn suggestion(key: &str, known: &[&str]) -> String {
    // The same key may belong elsewhere in the profile.
    let elsewhere = SETTINGS.iter().map(|setting| setting.pointer).find_map(|pointer| {
        let at = pointer.find(&format!("/{key}"))? + 1 + key.len();
        pointer[at..].chars().next().is_none_or(|next| next == '/').then(|| &pointer[..at])
    });
    match (nearest(key, known), elsewhere) {
        (Some(near), _) => format!("did you mean {near:?}?"),
        (None, Some(pointer)) => format!("it belongs at {pointer}"),
        (None, None) => format!("take it out; known here: {}", known.join(", ")),
    }
}
