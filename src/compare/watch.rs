//! Follows an install while lines come in: what is proved, what is missing and for how long, what is wrong; at the end the
//! report of a comparison of the same lines. It knows nothing of a terminal, a page or a clock: time is that of the lines.

// What serialises a field gets it by reference.
#![allow(clippy::trivially_copy_pass_by_ref)]

use super::fleet::Fleet;
use super::install::Install;
use super::judge::Dips;
use super::plan::{Plan, PlannedCapture, plan};
use super::report::{Report, SettingStatus, SettingVerdict, Verdict, Way, severity, written, written_if_any};
use crate::capture::{Clock, LONGEST_LINE, Record, read_lines_by};
use crate::downlink::{Decoded, Parity};
use crate::frame::{Address, Frame};
use crate::onair::When;
use crate::profile::{RuleSet, SettingId, Severity};
use crate::track::seconds_between;
use crate::track::state::{AirGround, envelope_says, message_says};
#[cfg(feature = "cli")]
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::VecDeque;
use std::mem;
use std::ops::ControlFlow;

/// The install is looked at again once this many seconds of the lines have passed (tool default), later where that is less
/// than a thousandth of what has passed already.
const LOOK_S: f64 = 1.0;
/// Where lines have no times: after this many frames (tool default).
const LOOK_FRAMES: u64 = 64;
/// A longer silence does not count as listening (tool default).
const LISTENING_S: f64 = 15.0;

/// Why lines cannot be followed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum WatchError {
    /// The text is UTF-16.
    #[error("this is UTF-16 text; write the lines as UTF-8 or plain ASCII")]
    Utf16,
    /// The text is compressed.
    #[error("compressed lines cannot be followed; write them as plain text, or give the finished file to compare")]
    Compressed,
}

/// What became of a setting so far.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Tick {
    /// Not seen, or in one frame only.
    Missing,
    /// Seen, and right.
    Proved,
    /// Seen, and wrong.
    Differs,
}

impl Tick {
    fn of(setting: &SettingVerdict) -> Self {
        match setting.status {
            SettingStatus::Agrees if !setting.is_shown_once() => Self::Proved,
            SettingStatus::Differs => Self::Differs,
            _ => Self::Missing,
        }
    }
}

/// A setting of a step.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct SettingOfStep {
    /// Which.
    #[cfg_attr(feature = "cli", schemars(with = "String"))]
    pub setting: SettingId,
    /// Its name for people.
    pub name: &'static str,
    /// What became of it so far.
    pub tick: Tick,
}

/// A message that a step still waits for.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct Awaited {
    /// The message, or the request that it answers.
    pub what: String,
    /// For how many seconds more, if half of the frames are received; 0 if it should have come by now; nothing if it comes
    /// only when asked for.
    pub seconds_more: Option<f64>,
    /// The settings that wait for it.
    #[cfg_attr(feature = "cli", schemars(with = "Vec<String>"))]
    pub settings: Vec<SettingId>,
}

impl Awaited {
    /// Whether it should have come by now.
    pub fn is_overdue(&self) -> bool {
        self.seconds_more == Some(0.0)
    }
}

/// A step of the plan, and how far it is.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct Step {
    /// Its number, from 1.
    pub number: usize,
    /// In the air or on the ground.
    #[cfg_attr(feature = "cli", schemars(with = "String"))]
    pub when: When,
    /// Whether somebody has to interrogate.
    pub interrogated: bool,
    /// How many seconds of listening in this state there were.
    pub listened_s: f64,
    /// What it has to prove.
    pub settings: Vec<SettingOfStep>,
    /// What it still waits for.
    pub missing: Vec<Awaited>,
    /// Whether all that it has to show was seen, right or wrong: go to standby.
    pub complete: bool,
    /// What must be so before it begins.
    pub stops: Vec<&'static str>,
}

impl Step {
    /// How many of its settings became this.
    pub fn count(&self, tick: Tick) -> usize {
        self.settings.iter().filter(|setting| setting.tick == tick).count()
    }

    /// How it is made.
    pub const fn how(&self) -> &'static str {
        match (self.when, self.interrogated) {
            (When::Airborne, false) => "in the air: listen",
            (When::Airborne, true) => "in the air: interrogate, and listen to the replies",
            (_, false) => "on the ground: listen",
            (_, true) => "on the ground: interrogate, and listen to the replies",
        }
    }
}

/// What is wrong so far, and what to do.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct Fault {
    /// How much it weighs.
    #[serde(serialize_with = "severity")]
    #[cfg_attr(feature = "cli", schemars(with = "String"))]
    pub severity: Severity,
    /// The fixed identifier of the cause.
    pub cause: &'static str,
    /// The setting, if it is about one.
    #[cfg_attr(feature = "cli", schemars(with = "Option<String>"))]
    pub setting: Option<SettingId>,
    /// What was observed.
    pub what: String,
    /// What most likely happened.
    pub likely_cause: String,
    /// What to do.
    pub correction: String,
}

impl Fault {
    /// Whether it is the same fault, whatever was counted since.
    fn is(&self, other: &Self) -> bool {
        (self.severity, self.cause, self.setting) == (other.severity, other.cause, other.setting)
    }
}

/// The last frame of the aircraft.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct LastFrame {
    /// Its line.
    pub line: u64,
    /// Its time in seconds, where it has one.
    pub time: Option<f64>,
    /// The frame.
    #[serde(serialize_with = "written")]
    #[cfg_attr(feature = "cli", schemars(with = "String"))]
    pub frame: Frame,
    /// What it is.
    pub message: &'static str,
}

/// How it stands, as plain data.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct WatchState {
    /// The version of this shape.
    pub schema: &'static str,
    /// The profile's name.
    pub profile: String,
    /// The address of the profile.
    #[serde(serialize_with = "written")]
    #[cfg_attr(feature = "cli", schemars(with = "String"))]
    pub address: Address,
    /// The address under which the aircraft is heard, if it is.
    #[serde(serialize_with = "written_if_any")]
    #[cfg_attr(feature = "cli", schemars(with = "Option<String>"))]
    pub heard_as: Option<Address>,
    /// The numbers and the verdict so far, in words.
    pub so_far: String,
    /// The verdict if no more came.
    pub verdict: Verdict,
    /// Lines read.
    pub lines: u64,
    /// Frames of this aircraft.
    pub of_this_aircraft: u64,
    /// In the air or on the ground, as its last frame that tells says.
    #[cfg_attr(feature = "cli", schemars(with = "Option<String>"))]
    pub now: Option<When>,
    /// The last frame of it.
    pub last: Option<LastFrame>,
    /// The steps of the plan.
    pub steps: Vec<Step>,
    /// Settings that no planned step proves and that are not proved otherwise.
    #[cfg_attr(feature = "cli", schemars(with = "Vec<String>"))]
    pub in_no_step: Vec<SettingId>,
    /// Errors and warnings so far, the most serious first.
    pub faults: Vec<Fault>,
    /// Whether every step is complete.
    pub complete: bool,
}

impl WatchState {
    /// The version of the shape.
    pub const SCHEMA: &'static str = "watch/1";

    /// The first step that is not complete.
    pub fn next(&self) -> Option<&Step> {
        self.steps.iter().find(|step| !step.complete)
    }
}

/// What happened.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[serde(tag = "event", rename_all = "snake_case")]
pub enum What {
    /// The aircraft was heard for the first time, or under another address than before.
    Heard {
        /// The address.
        #[serde(serialize_with = "written")]
        #[cfg_attr(feature = "cli", schemars(with = "String"))]
        address: Address,
    },
    /// It is in the air or on the ground now.
    Now {
        /// Which.
        #[cfg_attr(feature = "cli", schemars(with = "String"))]
        state: When,
    },
    /// Settings were proved.
    Proved {
        /// The step that has to prove them; 0 for what no step has to.
        step: usize,
        /// Which.
        #[cfg_attr(feature = "cli", schemars(with = "Vec<String>"))]
        settings: Vec<SettingId>,
    },
    /// Something is wrong.
    Fault(Fault),
    /// A fault is no longer found.
    NoLonger(Fault),
    /// A step of the present state begins, or what it waits for is overdue.
    Waits {
        /// Its number.
        step: usize,
        /// What it waits for.
        missing: Vec<Awaited>,
    },
    /// All that a step has to show was seen.
    StepComplete {
        /// Its number.
        step: usize,
        /// How many settings of it differ.
        differ: usize,
    },
    /// A step is no longer complete: what was proved is not certain any more.
    StepOpen {
        /// Its number.
        step: usize,
    },
}

/// What happened, and when.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct WatchEvent {
    /// The time of the lines in seconds, where they have times.
    pub time: Option<f64>,
    /// The line up to which was read.
    pub line: u64,
    /// What.
    #[serde(flatten)]
    pub what: What,
}

/// Follows one install.
#[derive(Debug)]
pub struct Watch {
    fleet: Fleet,
    plan: Plan,
    clock: Clock,
    /// The beginning of a line whose end is still to come, without what is too long to be read.
    begun: Vec<u8>,
    /// Whether what was left out of a line that is too long was blank.
    rest_is_blank: bool,
    /// Whether nothing was read yet.
    is_first: bool,
    /// The line that comes next.
    line: u64,
    now: Option<When>,
    last: Option<LastFrame>,
    /// Seconds of listening on the ground and in the air.
    listened_s: [f64; 2],
    /// The first time, the last, and that of the last look.
    times: Option<(f64, f64, f64)>,
    /// Frames since the last look.
    since: u64,
    report: Report,
    state: WatchState,
    events: VecDeque<WatchEvent>,
}

impl Watch {
    /// Begins with an install; `name` is what the lines come from.
    ///
    /// ```
    /// use squitterlab::capture::Clock;
    /// use squitterlab::compare::{Dips, Install, Watch};
    /// use squitterlab::profile::{Profile, RuleSet};
    /// let profile = Profile::read(r#"{"aircraft": {"address": "4840D6", "aircraft_identification": "KLM1023"}}"#).profile;
    /// let install = Install::new("mine.json", profile).unwrap();
    /// let mut watch = Watch::new(install, &RuleSet::default(), Dips::default(), Clock::default(), "-");
    /// watch.feed(b"1.5 8D4840D6202CC371C3").unwrap();
    /// watch.feed(b"2CE0576098\n2.5 8D4840D6202CC371C32CE0576098\n").unwrap();
    /// watch.finish();
    /// assert_eq!(watch.state().of_this_aircraft, 2);
    /// ```
    pub fn new(install: Install, rules: &RuleSet, dips: Dips, clock: Clock, name: &str) -> Self {
        let plan = plan(&install);
        let mut fleet = Fleet::new(vec![install], rules).with_dips(dips);
        fleet.begin(name);
        let report = fleet.report_of(0);
        let state = WatchState {
            schema: WatchState::SCHEMA,
            profile: report.profile.clone(),
            address: report.address,
            heard_as: None,
            so_far: report.first_line(),
            verdict: report.verdict,
            lines: 0,
            of_this_aircraft: 0,
            now: None,
            last: None,
            steps: Vec::new(),
            in_no_step: Vec::new(),
            faults: Vec::new(),
            complete: false,
        };
        let mut watch = Self {
            fleet,
            plan,
            clock,
            begun: Vec::new(),
            rest_is_blank: true,
            is_first: true,
            line: 1,
            now: None,
            last: None,
            listened_s: [0.0; 2],
            times: None,
            since: 0,
            report,
            state,
            events: VecDeque::new(),
        };
        watch.look();
        watch
    }

    /// The plan that is followed.
    pub fn plan(&self) -> &Plan {
        &self.plan
    }

    /// The install, with all that was read.
    pub fn fleet(&self) -> &Fleet {
        &self.fleet
    }

    /// The state at the last look.
    pub fn state(&self) -> &WatchState {
        &self.state
    }

    /// The report at the last look; after [`Watch::finish`] that of a comparison of the same lines.
    pub fn report(&self) -> &Report {
        &self.report
    }

    /// What happened since the last call. It does not depend on how the text is cut into pieces.
    pub fn events(&mut self) -> impl Iterator<Item = WatchEvent> {
        mem::take(&mut self.events).into_iter()
    }

    /// Reads a piece of text, cut anywhere.
    ///
    /// # Errors
    /// [`WatchError`] if this cannot be followed at all; nothing of it counts.
    pub fn feed(&mut self, octets: &[u8]) -> Result<(), WatchError> {
        if self.is_first {
            let joined = [&mem::take(&mut self.begun)[..], octets].concat();
            let begins_with = |mark: &[u8]| joined.starts_with(mark);
            if begins_with(&[0xFF, 0xFE]) || begins_with(&[0xFE, 0xFF]) {
                return Err(WatchError::Utf16);
            }
            if begins_with(&[0x1F, 0x8B]) || begins_with(&[0x28, 0xB5, 0x2F, 0xFD]) {
                return Err(WatchError::Compressed);
            }
            // The first octets say what it is.
            if joined.len() < 4 && !joined.contains(&b'\n') {
                self.begun = joined;
                return Ok(());
            }
            self.is_first = false;
            self.cut(&joined);
        } else {
            self.cut(octets);
        }
        Ok(())
    }

    /// Reads the lines that end in these octets, and keeps what is left.
    fn cut(&mut self, mut octets: &[u8]) {
        while let Some(end) = memchr::memchr(b'\n', octets) {
            let (line, rest) = octets.split_at(end + 1);
            octets = rest;
            if self.begun.is_empty() {
                self.read(line);
            } else {
                self.hold(&line[..end]);
                self.read_begun(true);
            }
        }
        self.hold(octets);
    }

    /// Looks at all that was read so far, where nothing comes for the moment; a line that is not whole yet is left waiting.
    pub fn pause(&mut self) {
        if self.since > 0 {
            self.look();
        }
    }

    /// Says that no more comes.
    pub fn finish(&mut self) {
        if self.is_first {
            let begun = mem::take(&mut self.begun);
            self.is_first = false;
            self.hold(&begun);
        }
        if !self.begun.is_empty() {
            self.read_begun(false);
        }
        self.look();
    }

    /// Keeps the beginning of a line, without what is too long for any line.
    fn hold(&mut self, octets: &[u8]) {
        let room = (LONGEST_LINE + 1).saturating_sub(self.begun.len());
        let (kept, left) = octets.split_at(room.min(octets.len()));
        self.begun.extend_from_slice(kept);
        self.rest_is_blank &= left.trim_ascii().is_empty();
    }

    fn read_begun(&mut self, is_whole: bool) {
        let mut line = mem::take(&mut self.begun);
        if !mem::replace(&mut self.rest_is_blank, true)
            && let Some(last) = line.last_mut()
        {
            *last = b'x';
        }
        if is_whole {
            line.push(b'\n');
        }
        self.read(&line);
    }

    /// Reads one line.
    fn read(&mut self, line: &[u8]) {
        let number = self.line;
        self.line += 1;
        let mut heard = None;
        let accounting = read_lines_by(line, number, &self.clock, |record| {
            heard = Some(record);
            ControlFlow::Continue(())
        });
        self.fleet.account(&accounting);
        let Some(record) = heard else { return };
        self.fleet.observe(&record);
        self.note(&record);
        self.since += 1;
        let due = match (record.time, self.times) {
            (None, _) => self.since >= LOOK_FRAMES,
            (Some(_), None) => true,
            (Some(time), Some((first, _, looked))) => {
                let every = LOOK_S.max(seconds_between(first, looked) / 1000.0);
                seconds_between(looked, time).abs() >= every
            }
        };
        if let Some(time) = record.time {
            let (first, _, looked) = self.times.unwrap_or((time, time, time));
            self.times = Some((first, time, looked));
        }
        if due {
            self.look();
        }
    }

    /// Notes the state and the last frame of this aircraft.
    fn note(&mut self, record: &Record) {
        let decoded = Decoded::new(record.frame);
        let own = self.report.heard_as.unwrap_or(self.report.address);
        if decoded.parity() == Parity::Invalid || decoded.address() != Some(own) || record.frame.downlink_format() == 18
        {
            return;
        }
        let message = decoded.squitter();
        if let Some((state, _)) = message.as_ref().and_then(message_says).or_else(|| envelope_says(&decoded)) {
            self.now = Some(match state {
                AirGround::Airborne => When::Airborne,
                AirGround::OnGround => When::OnGround,
            });
        }
        if let (Some(now), Some(time), Some(last)) = (self.now, record.time, self.last.and_then(|last| last.time)) {
            let passed = seconds_between(last, time);
            if (0.0..=LISTENING_S).contains(&passed) {
                self.listened_s[usize::from(now == When::Airborne)] += passed;
            }
        }
        self.last =
            Some(LastFrame { line: record.line, time: record.time, frame: record.frame, message: decoded.title() });
    }

    /// Looks at everything that was read, and tells what is new.
    fn look(&mut self) {
        self.since = 0;
        if let Some((_, last, looked)) = &mut self.times {
            *looked = *last;
        }
        self.fleet.gather();
        self.report = self.fleet.report_of(0);
        let now = self.state_now();
        let before = mem::replace(&mut self.state, now);
        let mut events = Vec::new();
        let after = &self.state;
        if let Some(address) = after.heard_as.filter(|_| after.heard_as != before.heard_as) {
            events.push(What::Heard { address });
        }
        if let Some(state) = after.now.filter(|_| after.now != before.now) {
            events.push(What::Now { state });
        }
        let gone = before.faults.iter().filter(|old| !after.faults.iter().any(|new| new.is(old)));
        events.extend(gone.cloned().map(What::NoLonger));
        let new = after.faults.iter().filter(|new| !before.faults.iter().any(|old| old.is(new)));
        events.extend(new.cloned().map(What::Fault));
        for (at, step) in after.steps.iter().enumerate() {
            let old = before.steps.get(at);
            let was = |setting: &SettingOfStep| old.is_some_and(|old| old.settings.contains(setting));
            let proved = step.settings.iter().filter(|setting| setting.tick == Tick::Proved && !was(setting));
            let settings: Vec<SettingId> = proved.map(|setting| setting.setting).collect();
            if !settings.is_empty() {
                events.push(What::Proved { step: step.number, settings });
            }
            match (old.is_some_and(|old| old.complete), step.complete) {
                (false, true) => {
                    events.push(What::StepComplete { step: step.number, differ: step.count(Tick::Differs) });
                }
                (true, false) => events.push(What::StepOpen { step: step.number }),
                _ => {}
            }
            let begins = after.now != before.now && after.now == Some(step.when) && !step.interrogated;
            let was_overdue = |what: &str| {
                old.is_some_and(|old| old.missing.iter().any(|before| before.what == what && before.is_overdue()))
            };
            let newly = |awaited: &&Awaited| begins || awaited.is_overdue() && !was_overdue(&awaited.what);
            let missing: Vec<Awaited> = step.missing.iter().filter(newly).cloned().collect();
            if !missing.is_empty() {
                events.push(What::Waits { step: step.number, missing });
            }
        }
        let (time, line) = (self.times.map(|(_, last, _)| last), self.line - 1);
        self.events.extend(events.into_iter().map(|what| WatchEvent { time, line, what }));
    }

    fn state_now(&self) -> WatchState {
        let report = &self.report;
        let steps: Vec<Step> =
            self.plan.captures.iter().enumerate().map(|(at, capture)| self.step(at + 1, capture)).collect();
        let in_a_step =
            |setting: SettingId| steps.iter().any(|step| step.settings.iter().any(|of| of.setting == setting));
        let in_no_step = report
            .settings
            .iter()
            .filter(|setting| {
                setting.counts() && setting.status == SettingStatus::NotSeen && !in_a_step(setting.setting)
            })
            .map(|setting| setting.setting)
            .collect();
        let faults = report.findings.iter().filter(|finding| finding.severity != Severity::Note);
        WatchState {
            schema: WatchState::SCHEMA,
            profile: report.profile.clone(),
            address: report.address,
            heard_as: report.heard_as,
            so_far: report.first_line(),
            verdict: report.verdict,
            lines: self.line - 1,
            of_this_aircraft: report.capture.of_this_aircraft,
            now: self.now,
            last: self.last,
            complete: steps.iter().all(|step| step.complete),
            steps,
            in_no_step,
            faults: faults
                .map(|finding| Fault {
                    severity: finding.severity,
                    cause: finding.cause,
                    setting: finding.setting,
                    what: finding.what.clone(),
                    likely_cause: finding.likely_cause.clone(),
                    correction: finding.correction.clone(),
                })
                .collect(),
        }
    }

    fn step(&self, number: usize, capture: &PlannedCapture) -> Step {
        let of_report = |id: SettingId| self.report.settings.iter().find(|setting| setting.setting == id);
        let rows: Vec<&SettingVerdict> = capture.adds.iter().filter_map(|id| of_report(*id)).collect();
        let settings: Vec<SettingOfStep> = rows
            .iter()
            .map(|row| SettingOfStep { setting: row.setting, name: row.name, tick: Tick::of(row) })
            .collect();
        let listened_s = match capture.when {
            When::OnGround => self.listened_s[0],
            When::Airborne => self.listened_s[1],
            When::Both => self.listened_s[0] + self.listened_s[1],
        };
        let mut open: Vec<&SettingVerdict> = rows.into_iter().filter(|row| Tick::of(row) == Tick::Missing).collect();
        let mut missing = Vec::new();
        for way in &capture.ways {
            let waits = |row: &&&SettingVerdict| row.messages.contains(&way.message);
            let settings: Vec<SettingId> = open.iter().filter(waits).map(|row| row.setting).collect();
            if settings.is_empty() {
                continue;
            }
            open.retain(|row| !settings.contains(&row.setting));
            missing.push(Awaited { what: awaited(way), seconds_more: more(way, listened_s), settings });
        }
        if !open.is_empty() {
            let settings = open.iter().map(|row| row.setting).collect();
            missing.push(Awaited { what: "another message".to_owned(), seconds_more: None, settings });
        }
        Step {
            number,
            when: capture.when,
            interrogated: capture.interrogated,
            listened_s: (listened_s * 10.0).round() / 10.0,
            complete: settings.iter().all(|setting| setting.tick != Tick::Missing),
            settings,
            missing,
            stops: capture.stops.clone(),
        }
    }
}

fn awaited(way: &Way) -> String {
    way.reply_to.map_or_else(|| way.title.to_owned(), |by| format!("two replies to {by}"))
}

/// What is left of the time after which a message has come as good as surely.
fn more(way: &Way, listened_s: f64) -> Option<f64> {
    way.seconds.map(|seconds| (seconds - listened_s).ceil().max(0.0))
}
