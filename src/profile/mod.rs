//! The install profile: model, reading with places for errors, rules that it is checked against, mistakes that are made.

mod antenna_offset;
#[doc(hidden)]
pub mod calibration;
mod category;
mod check;
mod choice;
mod edit;
#[doc(hidden)]
pub mod figures;
mod follows;
mod form;
mod json_spans;
pub mod mistake;
mod quantity;
mod questions;
mod rules;
mod settings;
#[doc(hidden)]
pub mod stops;
#[doc(hidden)]
pub mod wiring;

pub use antenna_offset::{FromCentreLine, FromNose};
pub use category::{CATEGORY_SOURCE, DerivedCategory, category_of};
pub use check::{Check, check, checks};
pub use choice::{
    Acas, ActiveMeans, AddressKind, AirGroundKind, AircraftKind, AltitudeSourceKind, Antenna, Coupling, DirectionKind,
    HeightReference, IdentificationSource, North, SilPer, TransmitPower,
};
pub use edit::with_value;
pub(crate) use follows::follows_anew;
pub use follows::{Follows, applies, follows};
// The program's forms and questions.
#[doc(hidden)]
pub use form::{JsonForm, Misfit};
#[doc(hidden)]
pub use json_spans::{JsonError, Lines, Member, Node, NodeKind, quoted};
#[doc(hidden)]
pub use quantity::Quantity;
pub use quantity::{
    Choice, Date, Fault, Length, Mark, Measurement, Registers, Speed, StandardVersion, StepFt, Text, ValueKind, Weight,
    Whole,
};
#[doc(hidden)]
pub use questions::{Answer, Question, Questions};
pub(crate) use rules::kind_of_aircraft;
pub use rules::{
    Binds, Confirmed, Dated, Floor, Form, Forms, IdentificationRule, ModeARule, Remark, RemarkSeverity, Required,
    RuleSet, Scope, Together, Unseen, WrittenForm, rule_set, rule_set_of_state, rule_sets, rules_for,
    state_of_registry,
};
pub use settings::{Profile, SETTINGS, Setting, SettingId, Stated, Work, schema, setting};
pub(crate) use settings::{id_of, joined, names};

/// An install in which everything is set as usual (invented).
const USUAL: &str = include_str!("usual.json");

use json_spans::message;
pub(crate) use json_spans::without_comments;
use settings::keys_below;
use std::borrow::Cow;
use std::collections::{BTreeMap, HashSet};
use std::sync::LazyLock;

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
    ///
    /// ```
    /// use squitterlab::profile::Severity;
    /// assert_eq!(Severity::Warning.word(), "warning");
    /// ```
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
#[non_exhaustive]
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

impl Problem {
    /// Whether it says only that a setting is open.
    pub(crate) fn is_open(&self) -> bool {
        self.rule == check::OPEN
    }
}

/// A profile as it was read, with everything that was wrong with the reading.
#[derive(Clone, Debug)]
pub struct ParsedProfile {
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

/// A profile that was not read from a text: nothing in it has a place.
impl From<Profile> for ParsedProfile {
    fn from(profile: Profile) -> Self {
        Self { profile, problems: Vec::new(), has_comments: false, meant: Vec::new(), places: BTreeMap::new() }
    }
}

impl ParsedProfile {
    /// Whether the text is not even JSON, so that nothing in it was read.
    ///
    /// ```
    /// use squitterlab::Profile;
    /// assert!(Profile::read("A5C035").is_unreadable() && !Profile::read("{}").is_unreadable());
    /// ```
    pub fn is_unreadable(&self) -> bool {
        self.problems.iter().any(|problem| problem.rule == "json")
    }

    /// Whether anything could not be read.
    ///
    /// ```
    /// use squitterlab::Profile;
    /// // A bare number does not say whether it is feet or metres.
    /// assert!(Profile::read(r#"{"aircraft": {"length": 27.2}}"#).has_errors());
    /// ```
    pub fn has_errors(&self) -> bool {
        self.problems.iter().any(|problem| problem.severity == Severity::Error)
    }

    /// Line and column of a setting, or of the nearest object around it that is in the file.
    ///
    /// ```
    /// use squitterlab::Profile;
    /// let reading = Profile::read("{\n  \"aircraft\": {\"address\": \"A5C035\"}\n}");
    /// assert_eq!(reading.place("/aircraft/address").0, 2);
    /// ```
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
    /// The profile, with what it leaves open set as usual: to know where on the air a setting would be, never to expect it.
    ///
    /// ```
    /// use squitterlab::Profile;
    /// let profile = Profile::read(r#"{"aircraft": {"emitter_category": "A3"}}"#).profile.filled_as_usual();
    /// assert_eq!(profile.emitter_category.get().unwrap().to_string(), "A3");
    /// assert!(profile.nacp.get().is_some());
    /// ```
    #[must_use]
    pub fn filled_as_usual(&self) -> Self {
        static READ: LazyLock<Profile> = LazyLock::new(|| Profile::read(USUAL).profile);
        self.clone().or(&READ)
    }

    /// Reads a profile. Every fault is found in one go; a setting with a fault counts as not stated.
    ///
    /// ```
    /// use squitterlab::profile::Profile;
    /// let reading = Profile::read(r#"{"aircraft": {"length": 27.2, "widht": {"m": 11}}}"#);
    /// assert_eq!(reading.problems.len(), 2);
    /// assert!(reading.problems.iter().any(|problem| problem.reason.contains("no unit")));
    /// ```
    pub fn read(text: &str) -> ParsedProfile {
        let bare = without_comments(text);
        let has_comments = matches!(bare, Cow::Owned(_));
        let root = match Node::parse(&bare) {
            Ok(root) => root,
            Err(JsonError { line, column, reason, correction }) => {
                let problem = Problem {
                    severity: Severity::Error,
                    pointer: String::new(),
                    line,
                    column,
                    reason: format!("not valid JSON: {reason}"),
                    correction,
                    rule: "json",
                };
                return ParsedProfile {
                    profile: Self::default(),
                    problems: vec![problem],
                    has_comments,
                    meant: Vec::new(),
                    places: BTreeMap::new(),
                };
            }
        };
        let lines = Lines::new(text);
        let mut walk =
            Walk { lines: &lines, problems: Vec::new(), more: 0, meant: Vec::new(), places: BTreeMap::new() };
        walk.shape(&root, "");
        let Walk { mut problems, more, meant, places, .. } = walk;
        let profile = Self::from_tree(&root, |setting, node, fault| {
            let (line, column) = lines.place(node.at);
            let fault = match &node.kind {
                // The registration tells octal from decimal.
                NodeKind::Text(given) if setting == SettingId::Address => {
                    quantity::address(given, registration(&root)).err().unwrap_or(fault)
                }
                _ => fault,
            };
            problems.push(Problem {
                severity: Severity::Error,
                pointer: setting.pointer().to_owned(),
                line,
                column,
                reason: message(fault.reason),
                correction: message(fault.correction),
                rule: "form",
            });
        });
        problems.sort_by_key(|problem| (problem.line, problem.column));
        if more > 0 {
            let (line, column) = problems.last().map_or((0, 0), |last| (last.line, last.column));
            problems.push(Problem {
                severity: Severity::Error,
                pointer: String::new(),
                line,
                column,
                reason: format!("and {more} more from here on"),
                correction: "correct those above first".to_owned(),
                rule: "form",
            });
        }
        ParsedProfile { profile, problems, has_comments, meant, places }
    }
}

/// The registration as it is written.
fn registration(root: &Node) -> Option<&str> {
    match &root.member("aircraft")?.node.member("registration")?.node.kind {
        NodeKind::Text(mark) => Some(mark),
        _ => None,
    }
}

/// More unknown and repeated keys than this are counted and not listed.
const MOST_PROBLEMS: usize = 100;

/// Looks at the shape: objects where objects belong, no unknown and no repeated keys. Notes where everything is.
struct Walk<'t> {
    lines: &'t Lines<'t>,
    problems: Vec<Problem>,
    /// How many are not among them.
    more: usize,
    meant: Vec<String>,
    places: BTreeMap<String, (usize, usize)>,
}

impl Walk<'_> {
    fn problem(&mut self, pointer: &str, at: usize, reason: String, correction: String) {
        let (line, column) = self.lines.place(at);
        let pointer = pointer.to_owned();
        self.problems.push(Problem {
            severity: Severity::Error,
            pointer,
            line,
            column,
            reason,
            correction,
            rule: "form",
        });
    }

    fn shape(&mut self, node: &Node, pointer: &str) {
        self.places.insert(pointer.to_owned(), self.lines.place(node.at));
        if setting(pointer).is_some() || node.kind == NodeKind::Null && !pointer.is_empty() {
            return;
        }
        let known = keys_below(pointer);
        let NodeKind::Object(members) = &node.kind else {
            let correction = format!("write an object with any of: {}", known.join(", "));
            self.problem(pointer, node.at, format!("{} is where an object belongs", node.kind_in_words()), correction);
            return;
        };
        let mut before = HashSet::new();
        for member in members {
            let repeated = !before.insert(&member.key);
            if !repeated && known.contains(&member.key.as_str()) {
                continue;
            }
            if self.problems.len() >= MOST_PROBLEMS {
                self.more += 1;
                continue;
            }
            let shown: String = member.key.chars().take(LONGEST_KEY).collect();
            let inner = format!("{pointer}/{}", shown.replace('~', "~0").replace('/', "~1"));
            let key = quoted(&member.key);
            if repeated {
                let reason = format!("the key {key} is here a second time");
                self.problem(&inner, member.key_at, reason, "keep one of them".to_owned());
            } else {
                self.meant.extend(nearest(&member.key, &known).map(|near| format!("{pointer}/{near}")));
                let reason = format!("the key {key} is not known here");
                self.problem(&inner, member.key_at, reason, suggestion(&member.key, &known));
            }
        }
        for member in members {
            if known.contains(&member.key.as_str()) {
                self.shape(&member.node, &format!("{pointer}/{}", member.key));
            }
        }
    }
}

/// The known key that a misspelt one is most like.
fn nearest<'k>(key: &str, known: &[&'k str]) -> Option<&'k str> {
    // Nothing that long is a slip of a known key.
    known
        .iter()
        .filter(|_| key.len() < LONGEST_KEY)
        .map(|known| (strsim::normalized_damerau_levenshtein(key, known), *known))
        .filter(|(likeness, _)| *likeness > 0.5)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, known)| known)
}

/// Longer than any key.
const LONGEST_KEY: usize = 100;

/// What to write instead of a word that is not among these.
fn suggestion_among(given: &str, known: &[&str]) -> String {
    match nearest(given, known) {
        Some(near) => format!("did you mean {near:?}?"),
        None => format!("write one of: {}", known.join(", ")),
    }
}

fn suggestion(key: &str, known: &[&str]) -> String {
    if nearest(key, known).is_some() {
        return suggestion_among(key, known);
    }
    // The same key may belong elsewhere in the profile.
    let elsewhere =
        SETTINGS.iter().map(|setting| setting.pointer).filter(|_| key.len() < LONGEST_KEY).find_map(|pointer| {
            let at = pointer.find(&format!("/{key}"))? + 1 + key.len();
            pointer[at..].chars().next().is_none_or(|next| next == '/').then(|| &pointer[..at])
        });
    match elsewhere {
        Some(pointer) => format!("it belongs at {pointer}"),
        None => format!("remove it; known here: {}", known.join(", ")),
    }
}
