//! Compares values that a person read off a test set or a report with an install. They are evidence of their own kind,
//! with no frame among them; what is expected, how it is judged and what explains it are the same as for captured
//! frames.

// What serialises a field gets it by reference.
#![allow(clippy::ref_option, clippy::trivially_copy_pass_by_ref)]

use super::install::Install;
use super::judge::{Place, ReadField, agrees, causes_of_read, places};
use super::report::{Alternative, Doubt, Verdict, written};
use crate::code::Value;
use crate::frame::Address;
use crate::message::NoPosition;
use crate::onair::{Decision, Emission, Flight, Rule, When, emissions};
use crate::profile::figures::{FIGURES, Figure, Judged};
use crate::profile::mistake::{AIR_GROUND_INVERTED, AIR_GROUND_NOT_WIRED, INTEGRITY_NOT_PASSED, UNEXPLAINED};
use crate::profile::stops::{Condition, stops};
use crate::profile::{AirGroundKind, Fault, Profile, SettingId, Stated, ValueKind, names, rule_set};
use crate::written::written_lines;
#[cfg(feature = "cli")]
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeMap;
use std::fmt::Write;

/// What the evidence is.
pub const EVIDENCE: &str = "read by a person from a test set or a report; no captured frame is among it";

/// A step in which values are read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum ReadStep {
    /// The unit says that it is on the ground.
    Ground,
    /// The unit says that it is in the air.
    Air,
    /// The unit is interrogated.
    Interrogation,
}

impl ReadStep {
    /// All of them, the safer first.
    pub const ALL: [Self; 3] = [Self::Ground, Self::Air, Self::Interrogation];

    /// The word that a line begins with.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Ground => "ground",
            Self::Air => "air",
            Self::Interrogation => "reply",
        }
    }

    /// How it is made.
    pub const fn how(self) -> &'static str {
        match self {
            Self::Ground => "Ground: the unit on the ground, not interrogated",
            Self::Air => "Air: coupled or shielded, in the airborne state; or in flight",
            Self::Interrogation => "Replies: with a test set on a direct coupling",
        }
    }

    /// What must be so before the values of this step of an install are read.
    fn conditions(self, install: &Install) -> Vec<Condition> {
        let has_no_input = matches!(install.profile.air_ground_kind.get(), None | Some(AirGroundKind::None));
        match self {
            Self::Ground if has_no_input => vec![Condition::WithoutGroundInput],
            Self::Ground => Vec::new(),
            Self::Air => vec![Condition::Airborne],
            Self::Interrogation => vec![Condition::Interrogated],
        }
    }

    /// What must be so before this step, beside what must be so before all of them.
    pub fn stops(self, install: &Install) -> Vec<&'static str> {
        let general = stops(&[]);
        stops(&self.conditions(install)).into_iter().filter(|stop| !general.contains(stop)).collect()
    }
}

/// What must be so before values of an install are read, for all steps.
pub fn stops_before(install: &Install) -> Vec<&'static str> {
    stops(&ReadStep::ALL.into_iter().flat_map(|step| step.conditions(install)).collect::<Vec<_>>())
}

/// A value that can be read.
#[derive(Clone, Debug)]
pub struct ReadLine {
    /// In which step.
    pub step: ReadStep,
    /// What it is called, unlike every other line of the step.
    pub name: String,
    /// The settings behind it.
    pub settings: &'static [SettingId],
    /// The message in which it is, for people.
    pub message: &'static str,
    what: What,
}

#[derive(Clone, Debug)]
enum What {
    /// A field, in one or more messages with the same code.
    Field { place: Box<PlaceOf>, places: Vec<(usize, usize)> },
    /// NIC, which is made of type code and supplements.
    Nic(u8),
}

/// What is needed of a place.
#[derive(Clone, Debug)]
struct PlaceOf {
    at: (usize, usize),
    which: Decision,
    frame: Emission,
    used: bool,
}

impl PlaceOf {
    fn with<T>(&self, use_it: impl FnOnce(&Place<'_>) -> T) -> T {
        let (emission, decision) = self.at;
        let (which, frame, used) = (&self.which, &self.frame, self.used);
        use_it(&Place { emission, decision, which, frame, used, stated: true })
    }
}

/// The settings that make one NIC.
const NIC: &[SettingId] = &[SettingId::Nic];

/// Every value of an install that a test set or a report shows, in the order of work.
pub fn lines(install: &Install) -> Vec<ReadLine> {
    let has_ground = install.profile.air_ground_kind.get() != Some(&AirGroundKind::None);
    let mut lines: Vec<ReadLine> = Vec::new();
    // Nobody waits for a position source to fail.
    let is_read = |place: &&Place<'_>| place.stated && place.frame.table != NoPosition::TABLE;
    for place in places(&install.expected()).iter().filter(is_read) {
        let step = match (place.frame.reply_to, place.frame.when) {
            (Some(_), _) => ReadStep::Interrogation,
            (None, When::OnGround) => ReadStep::Ground,
            (None, When::Both) if has_ground => ReadStep::Ground,
            (None, _) => ReadStep::Air,
        };
        let message = if place.frame.address_in_parity { place.frame.envelope.title } else { place.frame.table.title };
        if place.which.settings == NIC {
            let nic = install.profile.nic.get().map_or(0, |nic| nic.0);
            if !lines.iter().any(|line| line.step == step && matches!(line.what, What::Nic(_))) {
                let name = SettingId::Nic.name().to_owned();
                lines.push(ReadLine { step, name, settings: NIC, message, what: What::Nic(nic) });
            }
            continue;
        }
        let at = (place.emission, place.decision);
        let same = lines.iter_mut().find(|line| {
            let What::Field { place: known, .. } = &line.what else { return false };
            let alike = |known: &Place<'_>| {
                (known.which.field, known.which.code, known.which.preset)
                    == (place.which.field, place.which.code, place.which.preset)
            };
            line.step == step && line.settings == place.which.settings && known.with(alike)
        });
        match same.map(|line| &mut line.what) {
            Some(What::Field { places, .. }) => places.push(at),
            _ => lines.push(ReadLine {
                step,
                name: String::new(),
                settings: place.which.settings,
                message,
                what: What::Field {
                    place: Box::new(PlaceOf {
                        at,
                        which: place.which.clone(),
                        frame: place.frame.clone(),
                        used: place.used,
                    }),
                    places: vec![at],
                },
            }),
        }
    }
    lines.sort_by_key(|line| line.step);
    name(&mut lines);
    lines
}

/// Names every line, with its field where the setting alone does not tell it from another.
fn name(lines: &mut [ReadLine]) {
    let plain: Vec<(ReadStep, String)> = lines.iter().map(|line| (line.step, names(line.settings))).collect();
    for (at, line) in lines.iter_mut().enumerate() {
        let What::Field { place, .. } = &line.what else { continue };
        let field = place.which.field.replace('_', " ");
        // A yes or no is about the field where the setting is not one.
        let meaning = (place.which.meaning)(place.which.code, place.which.version);
        let is_of_field = matches!(meaning.value, Value::Bool(_))
            && line.settings.iter().any(|setting| setting.setting().kind != ValueKind::YesNo);
        let shared =
            is_of_field || plain.iter().filter(|known| **known == plain[at]).count() > 1 || line.settings.len() > 1;
        line.name = if shared { format!("{} ({field})", plain[at].1) } else { plain[at].1.clone() };
    }
    // What is still alike is told apart by its message.
    let named: Vec<(ReadStep, String)> = lines.iter().map(|line| (line.step, line.name.clone())).collect();
    for (at, line) in lines.iter_mut().enumerate() {
        if named.iter().filter(|known| **known == named[at]).count() > 1 {
            let _ = write!(line.name, ", {}", line.message.replace(':', ""));
        }
    }
}

/// Letters and digits of a text in small letters, with the signs that numbers have.
fn plain(text: &str) -> String {
    let kept = |c: &char| c.is_alphanumeric() || matches!(c, '.' | '-');
    text.to_lowercase().chars().filter(kept).collect()
}

/// Fields that are wider are texts and numbers, not lists of codes.
const WIDEST_LIST: u8 = 13;
/// No value is longer, in characters: a form of the longest is still read back.
const LONGEST_VALUE: usize = 1000;
/// At most this many values are named in a correction.
const MOST_NAMED: usize = 8;

impl ReadLine {
    /// What a form calls it.
    pub fn key(&self) -> String {
        format!("{} / {}", self.step.word(), self.name)
    }

    /// What is expected, as a test set would show it, and the code behind it.
    pub fn expected(&self) -> (String, Option<u64>) {
        match &self.what {
            What::Nic(nic) => (nic.to_string(), None),
            What::Field { place, .. } => place.with(|place| {
                let which = place.which;
                let preset = which.preset.unwrap_or(which.code);
                let words = (which.meaning)(preset, which.version).words().to_string();
                // The code of a text or a long number says nothing to anybody.
                (words, (which.span.width() <= 5).then_some(preset))
            }),
        }
    }

    /// What may be given, in a few words.
    pub fn given(&self) -> String {
        let What::Field { place, .. } = &self.what else { return "0 to 11".to_owned() };
        place.with(|place| {
            let which = place.which;
            let width = which.span.width();
            match (which.meaning)(which.code, which.version).value {
                Value::Bool(_) => "yes or no".to_owned(),
                _ if width > WIDEST_LIST || width == 13 => match which.settings {
                    [SettingId::Address] => "six hexadecimal digits".to_owned(),
                    [SettingId::VfrModeACode] => "four digits".to_owned(),
                    _ => "letter for letter".to_owned(),
                },
                _ if which.settings == [SettingId::EmitterCategory] => "set and number, such as A1".to_owned(),
                _ => match which.settings {
                    [setting] if setting.setting().kind == ValueKind::Choice => {
                        let words = setting.setting().options.iter().map(|choice| choice.word);
                        words.collect::<Vec<_>>().join(" or ")
                    }
                    _ => format!("value, or code 0 to {}", (1_u64 << width) - 1),
                },
            }
        })
    }

    /// The code that a person means.
    fn code(&self, typed: &str, profile: &Profile) -> Result<u64, Fault> {
        let What::Field { place, .. } = &self.what else {
            return match typed.trim().parse() {
                Ok(nic @ 0..=11) => Ok(nic),
                _ => Err(Fault::new(format!("{typed:?} is not a NIC"), "write a whole number from 0 to 11")),
            };
        };
        place.with(|place| code_of(place, typed.trim(), profile))
    }

    /// What a code says.
    fn words(&self, code: u64) -> String {
        match &self.what {
            What::Nic(_) => code.to_string(),
            What::Field { place, .. } => {
                place.with(|place| (place.which.meaning)(code, place.which.version).words().to_string())
            }
        }
    }

    /// Whether a code is right for the other state.
    fn is_of_other_state(&self, code: u64) -> bool {
        let What::Field { place, .. } = &self.what else { return false };
        place.with(|place| place.which.also.contains(&code))
    }

    /// How a code that was read is judged.
    fn judge(&self, code: u64) -> LineVerdict {
        let right = |right: bool| if right { LineVerdict::Agrees } else { LineVerdict::Differs };
        match &self.what {
            What::Nic(nic) => right(code >= u64::from(*nic)),
            What::Field { place, .. } => place.with(|place| match place.which.rule {
                Rule::WhenUsed => LineVerdict::Recorded,
                // Its absence on the ground is the crew's doing.
                Rule::State if code < place.which.code && place.frame.when == When::OnGround => LineVerdict::Recorded,
                // The step says which state it is, so the code of the other is wrong.
                _ if self.is_of_other_state(code) => LineVerdict::Differs,
                _ => right(agrees(place, code)),
            }),
        }
    }
}

/// The code of a field that shows this.
fn code_of(place: &Place<'_>, typed: &str, profile: &Profile) -> Result<u64, Fault> {
    let which = place.which;
    let width = which.span.width();
    if let Some(number) = typed.strip_prefix("code ").or_else(|| typed.strip_prefix("CODE ")) {
        let (digits, radix) = match number.trim().strip_suffix(['b', 'B']) {
            Some(bits) => (bits, 2),
            None => (number.trim(), 10),
        };
        let code = u64::from_str_radix(digits, radix).ok().filter(|code| *code < 1 << width);
        return code.ok_or_else(|| {
            let most = (1_u64 << width) - 1;
            Fault::new(
                format!("{typed:?} is not a code of this field"),
                format!("write \"code\" and a number from 0 to {most}, or its bits and b"),
            )
        });
    }
    if width <= WIDEST_LIST {
        let wanted = plain(typed);
        let (yes, no) = (["yes", "y", "on", "true"], ["no", "n", "off", "false"]);
        let matching = |code: &u64| {
            let meaning = (which.meaning)(*code, which.version);
            let is_word = |word: &str| !word.is_empty() && plain(word) == wanted;
            match meaning.value {
                Value::Bool(true) if yes.contains(&wanted.as_str()) => true,
                Value::Bool(false) if no.contains(&wanted.as_str()) => true,
                value => {
                    is_word(&meaning.words().to_string())
                        || is_word(&meaning.text.to_string())
                        || value != Value::Null && is_word(&value.to_string())
                        || value == Value::Null && ["nodata", "none"].contains(&wanted.as_str())
                }
            }
        };
        let found: Vec<u64> = (0..1 << width).filter(matching).collect();
        match found[..] {
            [one] => return Ok(one),
            [first, second, ..] if width <= 5 => {
                return Err(Fault::new(
                    format!("{typed:?} may be code {first} or code {second}"),
                    format!("write \"code {first}\" or \"code {second}\""),
                ));
            }
            _ => {}
        }
    }
    // As the setting itself is typed.
    if let [setting] = which.settings {
        let about = setting.setting();
        let with = if width > WIDEST_LIST {
            about.with_typed(profile, &typed.to_uppercase())?
        } else {
            about.with_typed(profile, typed).map_err(|_| unknown(place, typed))?
        };
        if let Some(code) = sent_in(&with, place) {
            return Ok(code);
        }
    }
    Err(unknown(place, typed))
}

/// The code that a profile sends in a place.
fn sent_in(profile: &Profile, place: &Place<'_>) -> Option<u64> {
    let frames = emissions(profile, Flight::Healthy).ok()?;
    let of = |frame: &&Emission| {
        frame.transmission == place.frame.transmission && (frame.when == place.frame.when || frame.when == When::Both)
    };
    let decisions = frames.iter().filter(of).flat_map(|frame| frame.decisions.iter().chain(&frame.used));
    let own =
        decisions.filter(|decision| decision.field == place.which.field && decision.settings == place.which.settings);
    own.map(|decision| decision.preset.unwrap_or(decision.code)).next()
}

/// Why a text cannot have been read, and what can.
fn unknown(place: &Place<'_>, typed: &str) -> Fault {
    let which = place.which;
    let width = which.span.width();
    let mut known: Vec<String> = Vec::new();
    if width <= 5 {
        for code in 0..1 << width {
            known.push(format!("{} (code {code})", (which.meaning)(code, which.version).words()));
        }
    }
    let more = known.len().saturating_sub(MOST_NAMED);
    known.truncate(MOST_NAMED);
    let correction = match (known.is_empty(), more) {
        (true, _) => "write what is shown, letter for letter, or \"code\" and its number".to_owned(),
        (false, 0) => format!("write one of: {}", known.join("; ")),
        (false, more) => format!("write one of: {}; and {more} more, or \"code\" and its number", known.join("; ")),
    };
    Fault::new(format!("{typed:?} is not what this field can show"), correction)
}

// What was read ------------------------------------------------------------------------------------------------------

/// What is said of the reading itself: one line each, free text.
pub const HEAD: &[(&str, &str)] = &[
    ("read by", "who read the values"),
    ("date", "when"),
    ("read from", "test set, or ground report"),
    ("instrument", "which, and its calibration date"),
    ("place and coupling", "where, and how the unit was coupled or shielded"),
];

/// Values as a person read them, by the key of their line.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Readings(BTreeMap<String, String>);

impl Readings {
    /// None yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// What was read for a key, if anything was.
    pub fn get(&self, key: &str) -> Option<&str> {
        self.0.get(&plain(key)).map(String::as_str)
    }

    /// Notes what was read; an empty text takes it back.
    pub fn put(&mut self, key: &str, typed: &str) {
        let typed = typed.trim();
        if typed.is_empty() {
            self.0.remove(&plain(key));
        } else {
            self.0.insert(plain(key), typed.to_owned());
        }
    }

    /// Whether anything but the head was read.
    pub fn is_empty(&self) -> bool {
        !self.0.keys().any(|key| !HEAD.iter().any(|(name, _)| plain(name) == *key))
    }
}

/// The key of a figure.
pub fn figure_key(figure: &Figure) -> String {
    format!("figure / {}", figure.name)
}

/// The figures of an install.
pub fn figures(install: &Install) -> impl Iterator<Item = &'static Figure> {
    FIGURES.iter().filter(|figure| figure.applies(&install.profile))
}

/// Checks what was read for the key of a line.
///
/// # Errors
/// [`Fault`] for what cannot have been read.
pub fn check(install: &Install, key: &str, typed: &str) -> Result<(), Fault> {
    check_in(install, &lines(install), key, typed)
}

/// What cannot have been read, by its key.
pub fn faults(install: &Install, readings: &Readings) -> Vec<(String, Fault)> {
    let all = lines(install);
    let head = HEAD.iter().map(|(key, _)| (*key).to_owned());
    let keys = head.chain(all.iter().map(ReadLine::key)).chain(figures(install).map(figure_key));
    keys.filter_map(|key| {
        let fault = check_in(install, &all, &key, readings.get(&key)?).err()?;
        Some((key, fault))
    })
    .collect()
}

fn check_in(install: &Install, all: &[ReadLine], key: &str, typed: &str) -> Result<(), Fault> {
    if typed.trim().is_empty() {
        return Ok(());
    }
    let length = typed.trim().chars().count();
    if length > LONGEST_VALUE {
        return Err(Fault::new(
            format!("{length} characters are too many for one value"),
            format!("write at most {LONGEST_VALUE}"),
        ));
    }
    if let Some(line) = all.iter().find(|line| plain(&line.key()) == plain(key)) {
        return line.code(typed, &install.profile).map(|_| ());
    }
    if let Some(figure) = figures(install).find(|figure| plain(&figure_key(figure)) == plain(key)) {
        return figure.judge(typed, |_| None).map(|_| ());
    }
    Ok(())
}

/// A form that does not fit: which line, why, and what to do.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{line}: {reason}; {correction}")]
pub struct FormError {
    /// The line, from 1.
    pub line: usize,
    /// Why.
    pub reason: String,
    /// What to do.
    pub correction: String,
}

/// The key that says whose form it is.
const AIRCRAFT: &str = "aircraft";

/// Reads a form: lines of a key, a colon and what was read; blank is not read, and lines that begin with # are comments.
///
/// # Errors
/// [`FormError`] for the first line that does not fit.
pub fn read_form(install: &Install, text: &str) -> Result<Readings, FormError> {
    let mut known: Vec<String> = HEAD.iter().map(|(name, _)| (*name).to_owned()).collect();
    let all = lines(install);
    known.extend(all.iter().map(ReadLine::key));
    known.extend(figures(install).map(figure_key));
    let mut readings = Readings::new();
    let mut seen: Vec<String> = Vec::new();
    for (line, content) in written_lines(text) {
        let wrong = |reason: String, correction: String| FormError { line, reason, correction };
        let Some((key, typed)) = content.split_once(':') else {
            let short: String = content.chars().take(60).collect();
            return Err(wrong(
                format!("{short:?} has no colon"),
                "write what the line is, a colon, and what is shown, as a form of this program has it".to_owned(),
            ));
        };
        // What may be written is in brackets behind the name.
        let key = key.split_once('[').map_or(key, |(key, _)| key).trim();
        if plain(key) == AIRCRAFT {
            let own = install.address.to_string();
            let named: Vec<&str> = typed.split(|c: char| !c.is_ascii_alphanumeric()).collect();
            if !named.iter().any(|word| word.eq_ignore_ascii_case(&own)) {
                return Err(wrong(
                    format!("this form is of {}, and the profile of {own}", typed.trim()),
                    "give the form of this aircraft, or the profile of that one".to_owned(),
                ));
            }
            continue;
        }
        let Some(known) = known.iter().find(|known| plain(known) == plain(key)) else {
            let short: String = key.chars().take(60).collect();
            let like = |known: &&String| strsim::jaro_winkler(&plain(known), &plain(&short));
            let near = known.iter().max_by(|a, b| like(a).total_cmp(&like(b)));
            let near = near.map_or_else(String::new, |near| format!("did you mean \"{near}\"? "));
            return Err(wrong(
                format!("{short:?} is not a line of the form of this install"),
                format!("{near}take the lines of a form that this program made for this install"),
            ));
        };
        if seen.contains(known) {
            return Err(wrong(format!("\"{known}\" is here a second time"), "keep one of them".to_owned()));
        }
        seen.push(known.clone());
        check_in(install, &all, known, typed)
            .map_err(|fault| wrong(format!("{known}: {}", fault.reason), fault.correction))?;
        readings.put(known, typed);
    }
    Ok(readings)
}

/// A form to be filled in, with what was read so far.
pub fn form(install: &Install, readings: &Readings, stops: &[&str]) -> String {
    let mut out = String::from("# Read-back: what a test set or a ground report shows, typed setting by setting.\n");
    let name = SettingId::Registration.setting().stated(&install.profile).get().cloned();
    out += "# Write it after the colon; leave blank what was not read. In brackets is what\n";
    out += "# may be written. What is expected is not shown here, so that nobody copies it.\n";
    for stop in stops {
        let mut row = String::from("# STOP ");
        for word in stop.split_whitespace() {
            if row.chars().count() + 1 + word.chars().count() > 80 {
                let _ = writeln!(out, "{row}");
                "#      ".clone_into(&mut row);
            }
            let _ = write!(row, " {word}");
        }
        let _ = writeln!(out, "{row}");
    }
    let mark = name.map_or_else(String::new, |mark| format!("{mark}, "));
    let _ = writeln!(out, "\nAircraft: {mark}{}", install.address);
    let line = |out: &mut String, key: &str, given: &str| {
        let typed = readings.get(key).unwrap_or_default();
        let given = if given.is_empty() { String::new() } else { format!(" [{given}]") };
        let _ = writeln!(out, "{}", format!("{key}{given}: {typed}").trim_end());
    };
    for (key, given) in HEAD {
        line(&mut out, key, given);
    }
    let lines = lines(install);
    for step in ReadStep::ALL {
        let of: Vec<&ReadLine> = lines.iter().filter(|line| line.step == step).collect();
        let mut message = "";
        for (at, one) in of.into_iter().enumerate() {
            if at == 0 {
                let _ = writeln!(out, "\n# {}", step.how());
            }
            if one.message != message {
                message = one.message;
                let _ = writeln!(out, "#   {message}");
            }
            line(&mut out, &one.key(), &one.given());
        }
    }
    out += "\n# Figures of the test set, which no frame shows\n";
    for figure in figures(install) {
        line(&mut out, &figure_key(figure), figure.given());
    }
    out
}

// The comparison -----------------------------------------------------------------------------------------------------

/// What became of a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum LineVerdict {
    /// As expected.
    Agrees,
    /// Not as expected.
    Differs,
    /// Not read.
    NotRead,
    /// Recorded, and not judged: the crew or the moment decides it.
    Recorded,
}

impl LineVerdict {
    /// The word in JSON.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Agrees => "agrees",
            Self::Differs => "differs",
            Self::NotRead => "not_read",
            Self::Recorded => "recorded",
        }
    }
}

/// A value that was expected, and what was shown.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct LineRead {
    /// In which step.
    pub step: ReadStep,
    /// What it is called.
    pub name: String,
    /// The settings behind it.
    #[cfg_attr(feature = "cli", schemars(with = "Vec<String>"))]
    pub settings: &'static [SettingId],
    /// The message in which it is.
    pub message: &'static str,
    /// What is expected, in words.
    pub expected: String,
    /// The code behind it, where it is one of a list.
    pub code: Option<u64>,
    /// What was typed; nothing if it was not read.
    pub typed: Option<String>,
    /// What that says.
    pub shown: Option<String>,
    /// The code behind it.
    pub shown_code: Option<u64>,
    /// What became of it.
    pub verdict: LineVerdict,
}

/// A figure of the test set.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct FigureRead {
    /// Its name in programs.
    pub figure: &'static str,
    /// What is measured.
    pub name: &'static str,
    /// What was typed; nothing if it was not read.
    pub typed: Option<String>,
    /// Its published limits.
    pub limits: &'static str,
    /// Their paragraph.
    pub clause: &'static str,
    /// What became of it: `within`, `within_for_some_classes`, `outside`, `recorded` or `not_read`.
    pub verdict: &'static str,
    /// What else is to be said.
    pub remark: Option<String>,
}

/// Something that differs, and what to do.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct ReadFinding {
    /// The fixed identifier of the cause.
    pub cause: &'static str,
    /// A second cause, where the two explain together what none explains alone.
    pub and_cause: Option<&'static str>,
    /// The settings that it explains.
    #[cfg_attr(feature = "cli", schemars(with = "Vec<String>"))]
    pub explains: Vec<SettingId>,
    /// What was expected and what was shown.
    pub what: String,
    /// What most likely happened.
    pub likely_cause: String,
    /// What to do.
    pub correction: String,
    /// Where that is known from, or the clause.
    pub rule: String,
    /// Other causes.
    pub alternatives: Vec<Alternative>,
}

/// What a person read, compared with an install.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct ReadbackReport {
    /// The version of this shape.
    pub schema: &'static str,
    /// What the evidence is.
    pub evidence: &'static str,
    /// The profile's name.
    pub profile: String,
    /// The address of the profile.
    #[serde(serialize_with = "written")]
    #[cfg_attr(feature = "cli", schemars(with = "String"))]
    pub address: Address,
    /// What is said of the reading itself.
    pub head: BTreeMap<&'static str, String>,
    /// The verdict.
    pub verdict: Verdict,
    /// What is wrong or doubtful in the profile by itself.
    pub profile_doubts: Vec<Doubt>,
    /// Lines that agree.
    pub agree: usize,
    /// Lines that differ.
    pub differ: usize,
    /// Lines that were recorded and are not judged.
    pub recorded: usize,
    /// Lines that were not read.
    pub not_read: usize,
    /// Figures outside their limits.
    pub outside: usize,
    /// Figures that were not read.
    pub figures_not_read: usize,
    /// Every line.
    pub lines: Vec<LineRead>,
    /// Every figure.
    pub figures: Vec<FigureRead>,
    /// What differs, and what to do.
    pub findings: Vec<ReadFinding>,
    /// Settings of the profile that are still to be filled in, so that nothing is expected of them.
    #[cfg_attr(feature = "cli", schemars(with = "Vec<String>"))]
    pub not_filled_in: Vec<SettingId>,
}

impl ReadbackReport {
    /// The version of the shape.
    pub const SCHEMA: &'static str = "readback/1";

    /// The first line of every output.
    pub fn first_line(&self) -> String {
        let lines = self.lines.len();
        format!(
            "{} of {lines} values agree, {} {}, {} not read, {} not judged; {} of {} figures read, {} outside; verdict: {}",
            self.agree,
            self.differ,
            if self.differ == 1 { "differs" } else { "differ" },
            self.not_read,
            self.recorded,
            self.figures.len() - self.figures_not_read,
            self.figures.len(),
            self.outside,
            self.verdict.key()
        )
    }

    /// What is said of the reading itself, in the order of the form.
    pub fn head(&self) -> impl Iterator<Item = (&'static str, &str)> {
        HEAD.iter().filter_map(|(name, _)| Some((*name, self.head.get(name)?.as_str())))
    }

    /// Whether nothing was read.
    pub fn is_empty(&self) -> bool {
        self.not_read == self.lines.len() && self.figures_not_read == self.figures.len()
    }
}

/// Compares what was read with an install. What cannot have been read counts as not read: [`check`] says why.
pub fn read_back(install: &Install, readings: &Readings) -> ReadbackReport {
    let expected = lines(install);
    let (mut read, mut fields, mut of_line) = (Vec::new(), Vec::new(), Vec::new());
    for (at, line) in expected.iter().enumerate() {
        let typed = readings.get(&line.key()).map(str::to_owned);
        let code = typed.as_deref().and_then(|typed| line.code(typed, &install.profile).ok());
        let verdict = code.map_or(LineVerdict::NotRead, |code| line.judge(code));
        if let (Some(code), What::Field { places, .. }) = (code, &line.what) {
            for (emission, decision) in places {
                let differs = verdict == LineVerdict::Differs;
                fields.push(ReadField { emission: *emission, decision: *decision, code, differs });
                of_line.push(at);
            }
        }
        let (words, expected_code) = line.expected();
        read.push(LineRead {
            step: line.step,
            name: line.name.clone(),
            settings: line.settings,
            message: line.message,
            expected: words,
            code: expected_code,
            shown: code.map(|code| line.words(code)),
            shown_code: code.filter(|_| expected_code.is_some()),
            typed: typed.filter(|_| code.is_some()),
            verdict,
        });
    }
    // A line that is in several messages is explained once, by what explains it in any of them.
    let (mut findings, mut told) = (Vec::new(), Vec::new());
    for cause in causes_of_read(install, &fields) {
        let mut of: Vec<usize> = cause.fields.iter().map(|at| of_line[*at]).filter(|at| !told.contains(at)).collect();
        of.dedup();
        if !of.is_empty() {
            findings.push(finding(&read, &of, &cause.mistakes, &cause.detail, cause.alternatives));
        }
        told.extend(of);
    }
    let of_state = |at: &usize| {
        let other = |code: u64| expected[*at].is_of_other_state(code);
        read[*at].verdict == LineVerdict::Differs && read[*at].shown_code.is_some_and(other)
    };
    let other_state: Vec<usize> = (0..read.len()).filter(of_state).collect();
    if !other_state.is_empty() {
        // What its own fields were called before is told better.
        let settings: Vec<SettingId> = other_state.iter().flat_map(|at| read[*at].settings).copied().collect();
        findings.retain(|finding| {
            finding.cause != UNEXPLAINED.cause || !finding.explains.iter().all(|id| settings.contains(id))
        });
        // Wrong in both steps it is the wrong way round; in one, it does not follow.
        let steps: Vec<ReadStep> = other_state.iter().map(|at| read[*at].step).collect();
        let both = steps.contains(&ReadStep::Ground) && steps.contains(&ReadStep::Air);
        let mistake = if both { &AIR_GROUND_INVERTED } else { &AIR_GROUND_NOT_WIRED };
        findings.push(finding(&read, &other_state, &[mistake], "", Vec::new()));
    }
    let nic = |line: &LineRead| line.settings == NIC && line.verdict == LineVerdict::Differs;
    let low: Vec<usize> = (0..read.len()).filter(|at| nic(&read[*at])).collect();
    if !low.is_empty() {
        let zero = low.iter().all(|at| read[*at].shown.as_deref() == Some("0"));
        let mistake = if zero { &INTEGRITY_NOT_PASSED } else { &UNEXPLAINED };
        findings.push(finding(&read, &low, &[mistake], "", Vec::new()));
    }
    let figures = figures_read(install, readings);
    findings.extend(figures.iter().filter(|figure| figure.verdict == "outside").map(|figure| ReadFinding {
        cause: "figure_outside_limits",
        and_cause: None,
        explains: Vec::new(),
        what: format!("{}: {} read", figure.name, figure.typed.clone().unwrap_or_default()),
        likely_cause: "the unit, its antenna or cable, or the coupling of the test".to_owned(),
        correction: "check coupling and its loss first, then the unit, by people who are rated for it".to_owned(),
        rule: format!("14 CFR part 43 appendix F {}: {}", figure.clause, figure.limits),
        alternatives: Vec::new(),
    }));
    let profile_doubts = rule_set("none").map_or_else(Vec::new, |none| Doubt::all(&install.profile, none));
    for ReadFinding { explains, correction, .. } in &mut findings {
        Doubt::put_first(&profile_doubts, |setting| explains.contains(&setting), correction);
    }
    let count = |verdict: LineVerdict| read.iter().filter(|line| line.verdict == verdict).count();
    let figures_of = |verdict: &str| figures.iter().filter(|figure| figure.verdict == verdict).count();
    let open = |setting: &SettingId| {
        let about = setting.setting();
        about.never.is_none() && matches!(about.stated(&install.profile), Stated::ToBeFilledIn)
    };
    let not_filled_in: Vec<SettingId> = SettingId::ALL.iter().copied().filter(open).collect();
    let (differ, outside) = (count(LineVerdict::Differs), figures_of("outside"));
    let (not_read, figures_not_read) = (count(LineVerdict::NotRead), figures_of("not_read"));
    let verdict = if differ + outside > 0 {
        Verdict::Differs
    } else if not_read + figures_not_read + not_filled_in.len() > 0 {
        Verdict::Incomplete
    } else {
        Verdict::Agrees
    };
    let head = HEAD.iter().filter_map(|(name, _)| Some((*name, readings.get(name)?.to_owned()))).collect();
    ReadbackReport {
        schema: ReadbackReport::SCHEMA,
        evidence: EVIDENCE,
        profile: install.name.clone(),
        address: install.address,
        head,
        verdict,
        profile_doubts,
        agree: count(LineVerdict::Agrees),
        differ,
        recorded: count(LineVerdict::Recorded),
        not_read,
        outside,
        figures_not_read,
        lines: read,
        figures,
        findings,
        not_filled_in,
    }
}

fn finding(
    lines: &[LineRead],
    of: &[usize],
    mistakes: &[&'static crate::profile::mistake::Mistake],
    detail: &str,
    alternatives: Vec<Alternative>,
) -> ReadFinding {
    let mut what: Vec<String> = of
        .iter()
        .map(|at| &lines[*at])
        .map(|line| {
            format!("{}: expected {}, shown {}", line.name, line.expected, line.shown.as_deref().unwrap_or("nothing"))
        })
        .collect();
    what.dedup();
    let mut explains: Vec<SettingId> = of.iter().flat_map(|at| lines[*at].settings).copied().collect();
    explains.sort_unstable();
    explains.dedup();
    let mut likely_cause = mistakes.iter().map(|mistake| mistake.what).collect::<Vec<_>>().join("; and ");
    if !detail.is_empty() {
        let _ = write!(likely_cause, " ({detail})");
    }
    let mut corrections: Vec<&str> = mistakes.iter().map(|mistake| mistake.correction).collect();
    corrections.dedup();
    ReadFinding {
        cause: mistakes.first().map_or(UNEXPLAINED.cause, |mistake| mistake.cause),
        and_cause: mistakes.get(1).map(|mistake| mistake.cause),
        explains,
        what: what.join("; "),
        likely_cause,
        correction: corrections.join("; "),
        rule: mistakes.first().map_or(String::new(), |mistake| mistake.source.to_owned()),
        alternatives,
    }
}

fn figures_read(install: &Install, readings: &Readings) -> Vec<FigureRead> {
    let other = |id: &str| {
        let figure = FIGURES.iter().find(|figure| figure.id == id)?;
        readings.get(&figure_key(figure)).map(str::to_owned)
    };
    figures(install)
        .map(|figure| {
            let typed = readings.get(&figure_key(figure));
            let judged = typed.and_then(|typed| figure.judge(typed, other).ok());
            let remark = match &judged {
                Some(Judged::OfSomeClasses(classes)) => {
                    Some(format!("only for classes {classes}: compare with the data plate"))
                }
                Some(Judged::Outside(words)) => Some(words.clone()),
                _ => None,
            };
            FigureRead {
                figure: figure.id,
                name: figure.name,
                typed: typed.filter(|_| judged.is_some()).map(str::to_owned),
                limits: figure.limits,
                clause: figure.clause,
                verdict: judged.as_ref().map_or("not_read", Judged::key),
                remark,
            }
        })
        .collect()
}
