//! Compares the reports of one aircraft over several captures: what each shows, and what changed from one to the next.

use super::{Change, Finding, Report, ReportedCause, SeenValue, SettingStatus, Summary, Verdict, change, in_words};
use crate::frame::Address;
use crate::profile::{SettingId, Severity};
#[cfg(feature = "cli")]
use schemars::JsonSchema;
use serde::Serialize;
use std::sync::Arc;

/// The least and the most of a quality category in one capture.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[cfg_attr(feature = "cli", schemars(deny_unknown_fields))]
pub struct QualityRange {
    /// The standard's name for it.
    pub measure: &'static str,
    /// The least.
    pub least: u8,
    /// The most.
    pub most: u8,
}

impl std::fmt::Display for QualityRange {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match (self.least, self.most) {
            (least, most) if least == most => write!(f, "{} {least}", self.measure),
            (least, most) => write!(f, "{} {least} to {most}", self.measure),
        }
    }
}

/// What one capture of a series shows.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[cfg_attr(feature = "cli", schemars(deny_unknown_fields))]
pub struct CaptureOfSeries {
    /// Its files.
    #[cfg_attr(feature = "cli", schemars(with = "Vec<String>"))]
    pub files: Vec<Arc<str>>,
    /// The first and the last time of this aircraft's frames, in seconds.
    pub times: Option<(f64, f64)>,
    /// Frames of this aircraft.
    pub of_this_aircraft: u64,
    /// The address under which it was heard, if it was.
    #[serde(serialize_with = "super::written_if_any")]
    #[cfg_attr(feature = "cli", schemars(with = "Option<String>"))]
    pub heard_as: Option<Address>,
    /// The verdict.
    pub verdict: Verdict,
    /// The numbers of its first line.
    #[serde(flatten)]
    pub summary: Summary,
    /// Errors and warnings.
    pub causes: Vec<ReportedCause>,
    /// Quality.
    pub quality: Vec<QualityRange>,
    /// What changed since the capture before it.
    pub changes: Option<Change>,
}

/// From one capture on, until the next one that shows something else.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[cfg_attr(feature = "cli", schemars(deny_unknown_fields))]
pub struct Since {
    /// The number of the capture, from 1.
    pub capture: usize,
    /// What was seen, in words.
    pub seen: Vec<String>,
}

/// A setting over the series.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[cfg_attr(feature = "cli", schemars(deny_unknown_fields))]
pub struct SettingCourse {
    /// Which.
    #[cfg_attr(feature = "cli", schemars(with = "String"))]
    pub setting: SettingId,
    /// Its name for people.
    pub name: &'static str,
    /// The first capture that shows it, from 1.
    pub first_seen: Option<usize>,
    /// The last capture that shows it.
    pub last_seen: Option<usize>,
    /// What was seen, and from which capture on.
    pub course: Vec<Since>,
    /// How it was judged in each capture.
    pub verdicts: Vec<SettingStatus>,
}

/// One aircraft over several captures.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[cfg_attr(feature = "cli", schemars(deny_unknown_fields))]
pub struct Series {
    /// The version of this shape.
    pub schema: &'static str,
    /// The profile's name.
    pub profile: String,
    /// The address of the profile.
    #[serde(serialize_with = "super::written")]
    #[cfg_attr(feature = "cli", schemars(with = "String"))]
    pub address: Address,
    /// The captures in their order: by time where all have times, else as they were given.
    pub captures: Vec<CaptureOfSeries>,
    /// Every setting that a capture shows.
    pub settings: Vec<SettingCourse>,
    /// The last comparison, for what comes next and for the record.
    #[serde(skip)]
    pub last: Option<Report>,
}

impl SettingCourse {
    /// What was seen, and from which capture on.
    pub fn in_words(&self) -> String {
        let since =
            self.course.iter().map(|since| format!("{} in capture {}", since.seen.join(" and "), since.capture));
        since.collect::<Vec<_>>().join("; then ")
    }
}

impl Series {
    /// The version of the shape.
    pub const SCHEMA: &'static str = "series/1";

    /// A series that begins with this report.
    pub fn new(first: Report) -> Self {
        let mut series = Self {
            schema: Self::SCHEMA,
            profile: first.profile.clone(),
            address: first.address,
            captures: Vec::new(),
            settings: Vec::new(),
            last: None,
        };
        series.add(first);
        series
    }

    /// Adds the next capture's report.
    pub fn add(&mut self, report: Report) {
        let number = self.captures.len() + 1;
        let told = |finding: &&Finding| finding.severity != Severity::Note;
        let range = |quality: &super::Quality| {
            let (least, most) = (*quality.values.keys().next()?, *quality.values.keys().last()?);
            Some(QualityRange { measure: quality.measure, least, most })
        };
        self.captures.push(CaptureOfSeries {
            files: report.capture.files.clone(),
            times: report.capture.times,
            of_this_aircraft: report.capture.of_this_aircraft,
            heard_as: report.heard_as,
            verdict: report.verdict,
            summary: report.summary,
            causes: report.findings.iter().filter(told).map(ReportedCause::from).collect(),
            quality: report.quality.iter().filter_map(range).collect(),
            changes: self.last.as_ref().map(|before| change(before, &report)),
        });
        for (at, setting) in report.settings.iter().enumerate() {
            if self.settings.len() <= at {
                self.settings.push(SettingCourse {
                    setting: setting.setting,
                    name: setting.name,
                    first_seen: None,
                    last_seen: None,
                    course: Vec::new(),
                    verdicts: Vec::new(),
                });
            }
            let course = &mut self.settings[at];
            course.verdicts.push(setting.status);
            let seen = words(&setting.observed);
            if seen.is_empty() {
                continue;
            }
            course.first_seen = course.first_seen.or(Some(number));
            course.last_seen = Some(number);
            if course.course.last().is_none_or(|last| last.seen != seen) {
                course.course.push(Since { capture: number, seen });
            }
        }
        self.last = Some(report);
    }

    /// The settings that some capture shows, which changed.
    pub fn changed(&self) -> impl Iterator<Item = &SettingCourse> {
        self.settings.iter().filter(|setting| setting.course.len() > 1)
    }
}

/// What was seen, in words and in order, each once.
fn words(observed: &[SeenValue]) -> Vec<String> {
    let mut words: Vec<String> = in_words(observed).into_iter().map(|(text, _)| text.to_owned()).collect();
    words.sort_unstable();
    words
}
