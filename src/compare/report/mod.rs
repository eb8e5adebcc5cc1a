//! The report of a comparison: plain data whose serialisation is the JSON, and from which text, record and page are
//! written.
//!
//! Its shape is versioned: a key that goes away or changes its meaning makes a new [`Report::SCHEMA`].

// What serialises a field gets it by reference.
#![allow(clippy::ref_option, clippy::trivially_copy_pass_by_ref)]

mod before_after;
mod course;
mod series;

pub use before_after::{Change, ChangedSetting, ReportedCause, change};
pub use course::{
    AirGround, Altitudes, Below, Course, Element, Gaps, Intervals, Motion, OverTime, Point, Quality, Reception,
    Stretch, Transition, WireOverTime,
};

pub use series::{CaptureOfSeries, QualityRange, Series, SettingCourse, Since};

use crate::capture::Accounting;
use crate::code::{Value, counted};
use crate::frame::{Address, Frame};
use crate::onair::{Rule, When};
use crate::profile::mistake::Often;
use crate::profile::{Problem, Profile, RuleSet, SettingId, Severity, check, setting};
#[cfg(feature = "cli")]
use schemars::JsonSchema;
use serde::{Serialize, Serializer};
use std::sync::Arc;

/// What became of a setting in a capture.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum SettingStatus {
    /// Seen, and right.
    Agrees,
    /// Seen, and wrong.
    Differs,
    /// On the air, but not in this capture.
    NotSeen,
    /// Never on the air.
    NotOnAir,
    /// Still to be filled in: nothing is expected yet.
    NotFilledIn,
    /// Left out of the profile: nothing is expected.
    NotStated,
}

impl SettingStatus {
    /// The word in JSON.
    ///
    /// ```
    /// use squitterlab::compare::SettingStatus;
    /// assert_eq!(SettingStatus::NotSeen.key(), "not_seen");
    /// ```
    pub const fn key(self) -> &'static str {
        match self {
            Self::Agrees => "agrees",
            Self::Differs => "differs",
            Self::NotSeen => "not_seen",
            Self::NotOnAir => "not_on_air",
            Self::NotFilledIn => "not_filled_in",
            Self::NotStated => "not_stated",
        }
    }
}

/// What the capture says of the whole install.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Every setting that can be on the air was seen and agrees, and no finding is an error.
    Agrees,
    /// A setting differs, or a finding is an error.
    Differs,
    /// Neither, but a setting is not filled in or was not seen, or a check that the rules need could not be made.
    Incomplete,
}

impl Verdict {
    /// The word in JSON.
    ///
    /// ```
    /// use squitterlab::compare::Verdict;
    /// assert_eq!(Verdict::Differs.key(), "differs");
    /// ```
    pub const fn key(self) -> &'static str {
        match self {
            Self::Agrees => "agrees",
            Self::Differs => "differs",
            Self::Incomplete => "incomplete",
        }
    }
}

/// A frame that shows something, and how many like it were heard.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[cfg_attr(feature = "cli", schemars(deny_unknown_fields))]
pub struct Shown {
    /// The file.
    #[cfg_attr(feature = "cli", schemars(with = "String"))]
    pub file: Arc<str>,
    /// Which line, from 1.
    pub line: u64,
    /// The frame.
    #[serde(serialize_with = "written")]
    #[cfg_attr(feature = "cli", schemars(with = "String"))]
    pub frame: Frame,
    /// How many frames showed the same.
    pub frames: u64,
    /// Seconds, where the line has a time.
    pub time: Option<f64>,
    /// The place of the file among all files.
    #[serde(skip)]
    pub(super) file_number: usize,
}

impl Shown {
    /// Adds frames that showed the same; the first of them all stays the example.
    pub(super) fn add(&mut self, other: Self) {
        let frames = self.frames + other.frames;
        if (other.file_number, other.line) < (self.file_number, self.line) {
            *self = other;
        }
        self.frames = frames;
    }
}

/// A value that was observed, and where.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[cfg_attr(feature = "cli", schemars(deny_unknown_fields))]
pub struct SeenValue {
    /// The value.
    #[serde(serialize_with = "value")]
    #[cfg_attr(feature = "cli", schemars(with = "serde_json::Value"))]
    pub value: Value,
    /// In words.
    pub meaning: String,
    /// Whether it agrees with the install.
    pub agrees: bool,
    /// How many frames, and the first of them.
    #[serde(flatten, serialize_with = "example")]
    #[cfg_attr(feature = "cli", schemars(with = "Example<'_>"))]
    pub evidence: Shown,
}

/// Values in words with the number of frames of each; what reads the same is counted together.
pub(crate) fn in_words(observed: &[SeenValue]) -> Vec<(&str, u64)> {
    let mut words: Vec<(&str, u64)> = Vec::new();
    for seen in observed {
        match words.iter_mut().find(|(text, _)| *text == seen.meaning) {
            Some((_, frames)) => *frames += seen.evidence.frames,
            None => words.push((&seen.meaning, seen.evidence.frames)),
        }
    }
    words
}

/// A reception that shows a setting.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[cfg_attr(feature = "cli", schemars(deny_unknown_fields))]
pub struct Way {
    /// In which state.
    #[cfg_attr(feature = "cli", schemars(with = "String"))]
    pub when: When,
    /// The message's name.
    pub message: &'static str,
    /// The same for people.
    #[serde(skip)]
    pub title: &'static str,
    /// How long to listen; nothing if it comes only when asked for.
    pub seconds: Option<f64>,
    /// The request that it answers, if it is not a squitter.
    #[serde(rename = "asked_by")]
    pub reply_to: Option<&'static str>,
}

impl std::fmt::Display for Way {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match (self.seconds, self.reply_to) {
            (Some(seconds), _) => write!(f, "{}, {seconds} s: {}", self.when.words(), self.title),
            (None, Some(reply_to)) => write!(f, "two replies to {reply_to}"),
            (None, None) => f.write_str(self.title),
        }
    }
}

/// The status of one setting, with what was seen of it.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[cfg_attr(feature = "cli", schemars(deny_unknown_fields))]
#[non_exhaustive]
pub struct SettingVerdict {
    /// Its name for people.
    pub name: &'static str,
    /// Which.
    #[cfg_attr(feature = "cli", schemars(with = "String"))]
    pub setting: SettingId,
    /// The field that carries it, where that is one.
    pub field: &'static str,
    /// How it was judged.
    #[cfg_attr(feature = "cli", schemars(with = "String"))]
    pub rule: Rule,
    /// What became of it.
    #[serde(rename = "verdict")]
    pub status: SettingStatus,
    /// What the install puts on the air for it, as data; null where nothing.
    #[serde(serialize_with = "value")]
    #[cfg_attr(feature = "cli", schemars(with = "serde_json::Value"))]
    pub expected: Value,
    /// The same in words.
    pub meaning: String,
    /// What was seen.
    pub observed: Vec<SeenValue>,
    /// The first message that carries it.
    pub message: Option<&'static str>,
    /// The messages that carry it.
    pub messages: Vec<&'static str>,
    /// For what was not proved: why, or what would show it.
    pub remark: Option<String>,
    /// For what was not seen: the receptions that would show it.
    pub shown_by: Vec<Way>,
}

impl SettingVerdict {
    /// Whether one frame alone shows it: that is not a proof.
    pub(crate) fn is_shown_once(&self) -> bool {
        let frames: u64 = self.observed.iter().filter(|seen| seen.agrees).map(|seen| seen.evidence.frames).sum();
        self.status == SettingStatus::Agrees && frames == 1
    }

    /// Whether it is shown only and never missed, however often it was seen: what the crew decides is not judged.
    pub(crate) fn is_only_shown(&self) -> bool {
        self.status == SettingStatus::NotSeen && !self.counts()
    }

    /// Whether it counts among the settings that can be proved. What the crew may use or not never does, so that a plan
    /// and every comparison count the same.
    ///
    /// ```
    /// use squitterlab::{Fleet, Install, Profile, profile::rule_set};
    /// let profile = Profile::read(r#"{"aircraft": {"address": "A5C035", "emitter_category": "A1"}}"#).profile;
    /// let fleet = Fleet::new(vec![Install::new("own", profile).unwrap()], rule_set("none").unwrap());
    /// let report = fleet.reports().next().unwrap();
    /// assert_eq!(report.settings.iter().filter(|setting| setting.counts()).count(), report.summary.of);
    /// ```
    pub fn counts(&self) -> bool {
        match self.status {
            SettingStatus::Agrees | SettingStatus::Differs | SettingStatus::NotSeen => self.rule != Rule::WhenUsed,
            SettingStatus::NotFilledIn => true,
            SettingStatus::NotOnAir | SettingStatus::NotStated => false,
        }
    }
}

/// Another cause that explains the same.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[cfg_attr(feature = "cli", schemars(deny_unknown_fields))]
pub struct Alternative {
    /// The fixed identifier of the cause.
    pub cause: &'static str,
    /// What exactly it supposes.
    pub detail: String,
    /// Whether it would have sent the same in every field that was heard.
    pub indistinguishable: bool,
}

/// Something to act on, or to know.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[cfg_attr(feature = "cli", schemars(deny_unknown_fields))]
#[non_exhaustive]
pub struct Finding {
    /// How much it weighs.
    #[serde(serialize_with = "severity")]
    #[cfg_attr(feature = "cli", schemars(with = "String"))]
    pub severity: Severity,
    /// The fixed identifier of the cause.
    pub cause: &'static str,
    /// A second cause, where the two explain together what none explains alone.
    pub and_cause: Option<&'static str>,
    /// Which setting it is about, if any; an empty text in JSON where none.
    #[serde(serialize_with = "about")]
    #[cfg_attr(feature = "cli", schemars(with = "String"))]
    pub setting: Option<SettingId>,
    /// Which message it is about, where it is about one alone.
    pub message: Option<&'static str>,
    /// What was observed.
    pub what: String,
    /// What most likely happened.
    pub likely_cause: String,
    /// What to do.
    pub correction: String,
    /// Which rule says so.
    pub rule: String,
    /// How often the cause is met.
    #[serde(serialize_with = "often")]
    #[cfg_attr(feature = "cli", schemars(with = "Option<String>"))]
    pub how_often: Option<Often>,
    /// Every setting that it explains.
    #[cfg_attr(feature = "cli", schemars(with = "Vec<String>"))]
    pub explains: Vec<SettingId>,
    /// Settings that it touches and does not explain.
    #[cfg_attr(feature = "cli", schemars(with = "Vec<String>"))]
    pub leaves: Vec<SettingId>,
    /// Settings that it shows to be wrong, whatever their own fields say.
    #[cfg_attr(feature = "cli", schemars(with = "Vec<String>"))]
    pub refutes: Vec<SettingId>,
    /// Other causes, the likelier first.
    pub alternatives: Vec<Alternative>,
    /// Frames that show it.
    pub evidence: Vec<Shown>,
}

/// Something wrong or doubtful in the profile by itself, whatever was captured.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[cfg_attr(feature = "cli", schemars(deny_unknown_fields))]
pub struct Doubt {
    /// How much it weighs: an error or a warning.
    #[serde(serialize_with = "severity")]
    #[cfg_attr(feature = "cli", schemars(with = "String"))]
    pub severity: Severity,
    /// Which setting.
    #[cfg_attr(feature = "cli", schemars(with = "String"))]
    pub setting: SettingId,
    /// Why.
    pub reason: String,
    /// What to do.
    pub correction: String,
    /// The name of the rule that says so.
    pub rule: &'static str,
}

impl Doubt {
    /// What a check says of a profile by itself, errors first.
    pub(super) fn all(profile: &Profile, rules: &RuleSet) -> Vec<Self> {
        let problems = check(&profile.clone().into(), rules).into_iter();
        let mut all: Vec<Self> = problems
            .filter(|problem| problem.severity != Severity::Note)
            .filter_map(|problem| {
                let Problem { severity, reason, correction, rule, .. } = problem;
                Some(Self { severity, setting: setting(&problem.pointer)?.id, reason, correction, rule })
            })
            .collect();
        all.sort_by_key(|doubt| doubt.severity);
        all
    }

    /// Puts before a correction what is to be seen to first where a doubtful setting is touched: the profile may be what is
    /// wrong, and not the unit.
    pub(super) fn put_first(doubts: &[Self], touched: impl Fn(SettingId) -> bool, correction: &mut String) {
        if let Some(doubt) = doubts.iter().find(|doubt| touched(doubt.setting)) {
            let first = format!("see first whether the profile is right (its own check: {}); if it is: ", doubt.reason);
            correction.insert_str(0, &first);
        }
    }
}

/// A check that could not be made.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[cfg_attr(feature = "cli", schemars(deny_unknown_fields))]
pub struct NotJudged {
    /// The fixed identifier of the check.
    pub check: &'static str,
    /// The fixed identifier of the reason.
    pub reason: &'static str,
    /// Both for people.
    pub words: String,
    /// Whether the rules in force need it.
    pub needed: bool,
}

/// An address that was heard in the clear and is near a profile's own.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[cfg_attr(feature = "cli", schemars(deny_unknown_fields))]
pub struct NearAddress {
    /// The address.
    #[serde(serialize_with = "written")]
    #[cfg_attr(feature = "cli", schemars(with = "String"))]
    pub address: Address,
    /// What makes the one of the other.
    pub how: String,
}

/// The numbers of the first line.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct Summary {
    /// Settings that were seen and agree, in frames enough to prove it.
    pub proved: usize,
    /// Settings that can be proved or are still to be filled in.
    #[serde(rename = "provable")]
    pub of: usize,
    /// Settings that are still to be filled in.
    pub not_filled_in: usize,
    /// Settings that were not seen.
    pub not_seen: usize,
    /// Findings that are errors.
    pub faults: usize,
    /// Findings that are warnings.
    pub warnings: usize,
    /// Settings that agree in one frame, and were not seen again: that shows them, and does not prove them.
    pub shown_once: usize,
}

impl Summary {
    /// The numbers of these settings and findings.
    pub(super) fn new(settings: &[SettingVerdict], findings: &[Finding]) -> Self {
        let counting = || settings.iter().filter(|setting| setting.counts());
        let of_status = |status: SettingStatus| counting().filter(|setting| setting.status == status).count();
        let found = |severity: Severity| findings.iter().filter(|finding| finding.severity == severity).count();
        let shown_once = counting().filter(|setting| setting.is_shown_once()).count();
        Self {
            proved: of_status(SettingStatus::Agrees) - shown_once,
            of: counting().count(),
            not_filled_in: of_status(SettingStatus::NotFilledIn),
            not_seen: of_status(SettingStatus::NotSeen),
            faults: found(Severity::Error),
            warnings: found(Severity::Warning),
            shown_once,
        }
    }

    /// The first line of every output, without the verdict.
    ///
    /// ```
    /// use squitterlab::compare::Summary;
    /// let summary = Summary { proved: 24, of: 31, not_seen: 7, faults: 1, ..Summary::default() };
    /// assert_eq!(summary.words(), "24 of 31 settings proved, 0 not filled in, 7 not seen; 1 fault, 0 warnings");
    /// ```
    pub fn words(&self) -> String {
        format!(
            "{} of {} settings proved, {} not filled in, {} not seen; {}, {}",
            self.proved,
            self.of,
            self.not_filled_in,
            self.not_seen,
            counted(self.faults, "fault"),
            counted(self.warnings, "warning")
        )
    }

    /// Two added up.
    #[must_use]
    pub(crate) fn and(self, other: Self) -> Self {
        Self {
            proved: self.proved + other.proved,
            of: self.of + other.of,
            not_filled_in: self.not_filled_in + other.not_filled_in,
            not_seen: self.not_seen + other.not_seen,
            faults: self.faults + other.faults,
            warnings: self.warnings + other.warnings,
            shown_once: self.shown_once + other.shown_once,
        }
    }
}

/// What was read.
#[derive(Clone, Debug, Default, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[cfg_attr(feature = "cli", schemars(deny_unknown_fields))]
pub struct Capture {
    /// The account of all lines.
    #[serde(flatten)]
    #[cfg_attr(feature = "cli", schemars(with = "crate::capture::AccountOfLines"))]
    pub accounting: Accounting,
    /// Frames of this aircraft.
    pub of_this_aircraft: u64,
    /// Frames of any aircraft whose parity does not hold.
    pub parity_invalid: u64,
    /// Captures that could not be read, or not to their end, and why.
    pub not_read_whole: Vec<String>,
    /// The files, in the order in which they were read.
    #[cfg_attr(feature = "cli", schemars(with = "Vec<String>"))]
    pub files: Vec<Arc<str>>,
    /// The first and the last time of this aircraft's frames, in seconds.
    pub times: Option<(f64, f64)>,
}

/// What the captures say of one install.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[cfg_attr(feature = "cli", schemars(deny_unknown_fields))]
#[non_exhaustive]
pub struct Report {
    /// The version of this shape.
    pub schema: &'static str,
    /// The profile's name.
    pub profile: String,
    /// The address of the profile.
    #[serde(serialize_with = "written")]
    #[cfg_attr(feature = "cli", schemars(with = "String"))]
    pub address: Address,
    /// The address under which the aircraft was heard, where it is another one; nothing if it was not heard at all.
    #[serde(serialize_with = "written_if_any")]
    #[cfg_attr(feature = "cli", schemars(with = "Option<String>"))]
    pub heard_as: Option<Address>,
    /// Where it was not heard: why.
    pub not_heard: Option<&'static str>,
    /// Where it was not heard: addresses heard in the clear that its own may have become.
    #[serde(rename = "near_addresses")]
    pub near: Vec<NearAddress>,
    /// The verdict.
    pub verdict: Verdict,
    /// The numbers of the first line.
    #[serde(flatten)]
    pub summary: Summary,
    /// The rule set that was applied.
    pub rules: String,
    /// What is wrong or doubtful in the profile by itself.
    pub profile_doubts: Vec<Doubt>,
    /// What was read.
    pub capture: Capture,
    /// Every setting.
    pub settings: Vec<SettingVerdict>,
    /// Checks that could not be made.
    pub not_judged: Vec<NotJudged>,
    /// Findings, the most serious first.
    pub findings: Vec<Finding>,
    /// The quality values over the capture.
    pub quality: Vec<Quality>,
    /// Air and ground.
    pub air_ground: AirGround,
    /// How much came through, in each state where that can be estimated.
    pub reception: Vec<Reception>,
    /// Each kind of message that the install sends: seen, and expected.
    pub elements: Vec<Element>,
    /// How often each message came.
    pub intervals: Vec<Intervals>,
    /// How positions, velocity and altitude go together.
    pub motion: Vec<Motion>,
    /// Where it was.
    pub path: Vec<Point>,
    /// Altitude codes.
    pub altitudes: Altitudes,
    /// What changed since an earlier capture, where there is one.
    pub changes: Option<Change>,
}

impl Report {
    /// The version of the shape.
    pub const SCHEMA: &'static str = "comparison/1";

    /// The first line of every output.
    ///
    /// ```
    /// use squitterlab::{Fleet, Install, Profile, profile::rule_set};
    /// let profile = Profile::read(r#"{"aircraft": {"address": "A5C035"}}"#).profile;
    /// let fleet = Fleet::new(vec![Install::new("own", profile).unwrap()], rule_set("none").unwrap());
    /// let line = fleet.reports().next().unwrap().first_line();
    /// assert!(line.ends_with("verdict: incomplete"), "{line}");
    /// ```
    pub fn first_line(&self) -> String {
        format!("{}; verdict: {}", self.summary.words(), self.verdict.key())
    }
}

// Serialising --------------------------------------------------------------------------------------------------------

pub(super) fn written<S: Serializer>(what: &impl std::fmt::Display, to: S) -> Result<S::Ok, S::Error> {
    to.collect_str(what)
}

pub(super) fn written_if_any<S: Serializer>(what: &Option<impl std::fmt::Display>, to: S) -> Result<S::Ok, S::Error> {
    what.as_ref().map(ToString::to_string).serialize(to)
}

fn value<S: Serializer>(value: &Value, to: S) -> Result<S::Ok, S::Error> {
    serde_json::Value::from(*value).serialize(to)
}

/// How many frames showed a value, and the first of them.
#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
struct Example<'a> {
    /// How many frames.
    frames: u64,
    /// The file of the first.
    file: &'a str,
    /// The line of the first.
    first_line: u64,
    /// The first frame.
    #[serde(serialize_with = "written")]
    #[cfg_attr(feature = "cli", schemars(with = "String"))]
    #[serde(rename = "example")]
    frame: Frame,
}

fn example<S: Serializer>(shown: &Shown, to: S) -> Result<S::Ok, S::Error> {
    let first = Example { frames: shown.frames, file: &shown.file, first_line: shown.line, frame: shown.frame };
    first.serialize(to)
}

pub(super) fn severity<S: Serializer>(severity: &Severity, to: S) -> Result<S::Ok, S::Error> {
    to.serialize_str(severity.word())
}

fn about<S: Serializer>(setting: &Option<SettingId>, to: S) -> Result<S::Ok, S::Error> {
    to.serialize_str(setting.map_or("", SettingId::pointer))
}

fn often<S: Serializer>(often: &Option<Often>, to: S) -> Result<S::Ok, S::Error> {
    often.map(Often::words).serialize(to)
}

fn thousandth(number: f64) -> f64 {
    (number * 1000.0).round() / 1000.0
}

/// To a thousandth, which is more than any of these numbers means.
pub(super) fn thousandths<S: Serializer>(number: &f64, to: S) -> Result<S::Ok, S::Error> {
    to.serialize_f64(thousandth(*number))
}

pub(super) fn thousandths_if_any<S: Serializer>(number: &Option<f64>, to: S) -> Result<S::Ok, S::Error> {
    number.map(thousandth).serialize(to)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_that_read_the_same_are_counted_together() {
        let seen = |meaning: &str, frames| SeenValue {
            value: Value::Null,
            meaning: meaning.to_owned(),
            agrees: false,
            evidence: Shown {
                file: Arc::from("a"),
                line: 1,
                frame: "8D4840D6202CC371C32CE0576098".parse().expect("a frame"),
                frames,
                time: None,
                file_number: 0,
            },
        };
        let all = [seen("one", 2), seen("other", 5), seen("one", 3), seen("one", 7)];
        assert_eq!(in_words(&all), [("one", 12), ("other", 5)]);
    }
}
