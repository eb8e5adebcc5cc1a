//! What a comparison says, as plain data with every number: text, JSON and pages are made of it.

use super::agreement::Agreement;
use super::altitude::Altitudes;
use super::change::Change;
use super::coherence::Coherence;
use super::evidence::Evidence;
use super::intervals::{Element, Intervals, Reception};
use super::motion::Motion;
use super::near::NearAddress;
use super::path::Path;
use super::plan::Way;
use super::quality::Measured;
use crate::capture::Accounting;
use crate::code::Value;
use crate::frame::Address;
use crate::onair::Rule;
use crate::profile::{SettingId, Severity};

/// What became of a setting in a capture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fate {
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

impl Fate {
    /// The word in JSON.
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
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
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
    pub const fn key(self) -> &'static str {
        match self {
            Self::Agrees => "agrees",
            Self::Differs => "differs",
            Self::Incomplete => "incomplete",
        }
    }
}

/// A value that was observed, and where.
#[derive(Clone, Debug, PartialEq)]
pub struct SeenValue {
    /// The value.
    pub value: Value,
    /// In words.
    pub text: String,
    /// Whether it agrees with the install.
    pub agrees: bool,
    /// Where.
    pub evidence: Evidence,
}

/// Values in words with the number of frames of each; what reads the same is counted together.
pub fn in_words(observed: &[SeenValue]) -> Vec<(&str, u64)> {
    let mut words: Vec<(&str, u64)> = Vec::new();
    for seen in observed {
        match words.iter_mut().find(|(text, _)| *text == seen.text) {
            Some((_, frames)) => *frames += seen.evidence.frames,
            None => words.push((&seen.text, seen.evidence.frames)),
        }
    }
    words
}

/// One setting's fate.
#[derive(Clone, Debug)]
pub struct SettingVerdict {
    /// Which.
    pub setting: SettingId,
    /// How it was judged.
    pub rule: Rule,
    /// What became of it.
    pub fate: Fate,
    /// What the install puts on the air for it, as data; null where nothing.
    pub expected: Value,
    /// The same in words.
    pub expected_text: String,
    /// What was seen.
    pub observed: Vec<SeenValue>,
    /// The field that carries it, where that is one.
    pub field: &'static str,
    /// The messages that carry it.
    pub messages: Vec<&'static str>,
    /// For what was not proved: why, or what would show it.
    pub remark: Option<String>,
    /// For what was not seen: the receptions that would show it.
    pub shown_by: Vec<Way>,
}

impl SettingVerdict {
    /// Whether one frame alone shows it: that is not a proof.
    pub fn is_shown_once(&self) -> bool {
        let frames: u64 = self.observed.iter().filter(|seen| seen.agrees).map(|seen| seen.evidence.frames).sum();
        self.fate == Fate::Agrees && frames == 1
    }

    /// Whether it counts among the settings that can be proved. What the crew may use or not never does, so that a plan
    /// and every comparison count the same.
    pub fn counts(&self) -> bool {
        match self.fate {
            Fate::Agrees | Fate::Differs | Fate::NotSeen => self.rule != Rule::WhenUsed,
            Fate::NotFilledIn => true,
            Fate::NotOnAir | Fate::NotStated => false,
        }
    }
}

/// Another cause that explains the same.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Alternative {
    /// The fixed identifier of the cause.
    pub cause: &'static str,
    /// What exactly it supposes.
    pub detail: String,
    /// Whether it would have sent the same in every field that was heard.
    pub indistinguishable: bool,
}

/// Something to act on, or to know.
#[derive(Clone, Debug)]
pub struct Finding {
    /// How much it weighs.
    pub severity: Severity,
    /// The fixed identifier of the cause.
    pub cause: &'static str,
    /// A second cause, where the two explain together what none explains alone.
    pub and_cause: Option<&'static str>,
    /// Which setting it is about, if any.
    pub setting: Option<SettingId>,
    /// What was observed.
    pub what: String,
    /// What most likely happened.
    pub likely_cause: String,
    /// What to do.
    pub correction: String,
    /// Which rule says so.
    pub rule: String,
    /// Frames that show it.
    pub evidence: Vec<Evidence>,
    /// Every setting that it explains.
    pub explains: Vec<SettingId>,
    /// Settings that it touches and does not explain.
    pub leaves: Vec<SettingId>,
    /// Settings that it shows to be wrong, whatever their own fields say.
    pub refutes: Vec<SettingId>,
    /// Other causes, the likelier first.
    pub alternatives: Vec<Alternative>,
}

/// A check that could not be made.
#[derive(Clone, Debug, PartialEq, Eq)]
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

/// The numbers of the first line.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Summary {
    /// Settings that were seen and agree, in frames enough to prove it.
    pub proved: usize,
    /// Settings that can be proved or are still to be filled in.
    pub of: usize,
    /// Settings that are still to be filled in.
    pub not_filled_in: usize,
    /// Settings that were not seen, or in one frame only.
    pub not_seen: usize,
    /// Findings that are errors.
    pub faults: usize,
    /// Findings that are warnings.
    pub warnings: usize,
}

impl Summary {
    /// The first line of every output, without the verdict.
    pub fn words(&self) -> String {
        let plural = |count: usize, one: &str| format!("{count} {one}{}", if count == 1 { "" } else { "s" });
        format!(
            "{} of {} settings proved, {} not filled in, {} not seen; {}, {}",
            self.proved,
            self.of,
            self.not_filled_in,
            self.not_seen,
            plural(self.faults, "fault"),
            plural(self.warnings, "warning")
        )
    }

    /// Two added up.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        Self {
            proved: self.proved + other.proved,
            of: self.of + other.of,
            not_filled_in: self.not_filled_in + other.not_filled_in,
            not_seen: self.not_seen + other.not_seen,
            faults: self.faults + other.faults,
            warnings: self.warnings + other.warnings,
        }
    }
}

/// What the captures say of one install.
#[derive(Clone, Debug)]
pub struct Report {
    /// The profile's name.
    pub profile: String,
    /// The address of the profile.
    pub address: Address,
    /// The address under which the aircraft was heard, where it is another one; none where it was not heard at all.
    pub heard_as: Option<Address>,
    /// Where it was not heard: addresses heard in clear that its own may have become.
    pub near: Vec<NearAddress>,
    /// The verdict.
    pub verdict: Verdict,
    /// The account of all lines.
    pub accounting: Accounting,
    /// Captures that could not be read, or not to their end, and why.
    pub unread: Vec<String>,
    /// Frames of this aircraft.
    pub of_this_aircraft: u64,
    /// Frames of any aircraft whose parity does not hold.
    pub parity_invalid: u64,
    /// The first and the last time of this aircraft's frames, in seconds.
    pub times: Option<(f64, f64)>,
    /// The files, in the order that evidence counts them.
    pub files: Vec<String>,
    /// Every setting.
    pub settings: Vec<SettingVerdict>,
    /// Checks that could not be made.
    pub not_judged: Vec<NotJudged>,
    /// Findings, gravest first.
    pub findings: Vec<Finding>,
    /// The rule set that was applied.
    pub rules: String,
    /// The quality values over the capture.
    pub quality: Vec<Measured>,
    /// How often each message came.
    pub intervals: Intervals,
    /// How much came through, in each state where that can be reckoned.
    pub reception: Vec<Reception>,
    /// Each kind of message that the install sends: seen, and expected.
    pub elements: Vec<Element>,
    /// Air and ground, with the transitions.
    pub coherence: Coherence,
    /// Squitters against replies.
    pub agreement: Agreement,
    /// How positions move.
    pub motion: Motion,
    /// Where it was.
    pub path: Path,
    /// Altitude codes.
    pub altitudes: Altitudes,
    /// What changed since an earlier capture, where there is one.
    pub changes: Option<Change>,
}

impl Report {
    /// The numbers of the first line.
    pub fn summary(&self) -> Summary {
        let counting = || self.settings.iter().filter(|setting| setting.counts());
        let of_fate = |fate: Fate| counting().filter(|setting| setting.fate == fate).count();
        let found = |severity: Severity| self.findings.iter().filter(|finding| finding.severity == severity).count();
        Summary {
            proved: of_fate(Fate::Agrees) - self.shown_once(),
            of: counting().count(),
            not_filled_in: of_fate(Fate::NotFilledIn),
            not_seen: of_fate(Fate::NotSeen),
            faults: found(Severity::Error),
            warnings: found(Severity::Warning),
        }
    }

    /// The first line of every output.
    pub fn first_line(&self) -> String {
        format!("{}; verdict: {}", self.summary().words(), self.verdict.key())
    }

    /// How many settings agree in one frame, and were not seen again: that shows them, and does not prove them.
    pub fn shown_once(&self) -> usize {
        self.settings.iter().filter(|setting| setting.counts() && setting.is_shown_once()).count()
    }

    /// How many settings were proved, and how many can be.
    pub fn proved(&self) -> (usize, usize) {
        let summary = self.summary();
        (summary.proved, summary.of)
    }
}
