//! Drafts a profile from what an aircraft sends. What a code says is found by encoding: of every value that a setting
//! can have, those whose bits are the observed ones. A setting is stated if there is one such value; if there are
//! several, or the code is a range of measures, it is left open.

use super::fleet::Fleet;
use super::install::Install;
use super::judge::{Dips, Judge, Place, excess};
use super::observe::{Evidence, QualityMeasure, Seen};
use super::report::{Report, SettingStatus, written};
use crate::capture::Record;
use crate::code::{Bits, Value};
use crate::downlink::Decoded;
use crate::frame::{Address, Frame, Span};
use crate::message::Message;
use crate::onair::{Decision, Emission, EmissionError, Flight, Rule, When, emissions_laid_out};
use crate::profile::{Profile, RuleSet, SETTINGS, Setting, SettingId, StandardVersion, Stated, ValueKind};
use crate::track::{VERSION_0_AFTER_S, seconds_between};
use foldhash::fast::FixedState;
use serde::{Serialize, Serializer};
use std::collections::HashMap;
use std::sync::Arc;

/// At most this many aircraft are followed, the first ones.
pub const MOST_AIRCRAFT: usize = 65_536;
/// An aircraft counts as heard from this many frames on that carry its address in the clear: one alone may be damaged.
pub const LEAST_FRAMES: u64 = 2;

// Who was heard ------------------------------------------------------------------------------------------------------

/// An aircraft that was heard in the clear.
#[derive(Clone, Debug, Default)]
pub struct Sighting {
    /// Frames that carry the address in the clear with valid parity.
    pub frames: u64,
    /// Frames of each version number.
    versions: [u64; 8],
    /// First and last time of its position messages, in seconds.
    positions: Option<(f64, f64)>,
    /// The last identification.
    pub identification: Option<String>,
}

impl Sighting {
    /// The version that its messages are of, where that was heard, or concluded from positions without any status.
    fn version(&self) -> Option<u8> {
        let most = (0..8).rev().max_by_key(|version| self.versions[usize::from(*version)])?;
        if self.versions[usize::from(most)] > 0 {
            return Some(most);
        }
        let lasted = self.positions.is_some_and(|(first, last)| seconds_between(first, last) >= VERSION_0_AFTER_S);
        lasted.then_some(0)
    }
}

/// Everybody who was heard in the clear.
#[derive(Clone, Debug, Default)]
pub struct Sightings {
    heard: HashMap<Address, Sighting, FixedState>,
    /// Frames of aircraft for which there was no room.
    pub left_out: u64,
}

impl Sightings {
    /// Nobody yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Reads one frame.
    pub fn observe(&mut self, record: &Record) {
        let decoded = Decoded::new(record.frame);
        if record.frame.downlink_format() == 18 || !decoded.proves_address() {
            return;
        }
        let Some(address) = decoded.address() else { return };
        if self.heard.len() >= MOST_AIRCRAFT && !self.heard.contains_key(&address) {
            self.left_out += 1;
            return;
        }
        let sighting = self.heard.entry(address).or_default();
        sighting.frames += 1;
        let Some(message) = decoded.squitter() else { return };
        if let Some(number) = message.version_number() {
            sighting.versions[(number.bits() & 7) as usize] += 1;
        }
        match message {
            Message::AircraftIdentification(message) => {
                let text = message.characters.to_string();
                if sighting.identification.as_ref() != Some(&text) {
                    sighting.identification = Some(text);
                }
            }
            Message::AirbornePosition(_) | Message::SurfacePosition(_) => {
                if let Some(time) = record.time {
                    let (first, last) = sighting.positions.unwrap_or((time, time));
                    sighting.positions = Some((first.min(time), last.max(time)));
                }
            }
            _ => {}
        }
    }

    /// Those who were heard often enough, the one heard most first.
    pub fn aircraft(&self) -> Vec<(Address, &Sighting)> {
        let often = self.heard.iter().filter(|(_, sighting)| sighting.frames >= LEAST_FRAMES);
        let mut all: Vec<_> = often.map(|(address, sighting)| (*address, sighting)).collect();
        all.sort_by_key(|(address, sighting)| (std::cmp::Reverse(sighting.frames), *address));
        all
    }

    /// An aircraft, if it was heard.
    pub fn get(&self, address: Address) -> Option<&Sighting> {
        self.heard.get(&address)
    }
}

// A draft ------------------------------------------------------------------------------------------------------------

/// Why a setting is stated in a draft, or not.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Why {
    /// It was seen, and only this value sends that.
    Seen,
    /// Positions came for so long without any operational status.
    NoStatus,
    /// It was seen, and any of these values sends that.
    OneOf(Vec<String>),
    /// What is sent is a range or a class, not a measure.
    Range,
    /// It was seen, and no one value sends all of that.
    Varies,
    /// What the crew sets was seen, not the preset.
    Crew,
    /// A part of it was seen.
    Part,
    /// It is on the air, and not in this capture; with what would show it.
    NotSeen(String),
    /// It is never on the air, with the reason.
    NotOnAir(String),
}

impl Why {
    /// The word in JSON.
    pub const fn key(&self) -> &'static str {
        match self {
            Self::Seen => "seen",
            Self::NoStatus => "no_status",
            Self::OneOf(_) => "one_of",
            Self::Range => "range",
            Self::Varies => "varies",
            Self::Crew => "crew",
            Self::Part => "part",
            Self::NotSeen(_) => "not_seen",
            Self::NotOnAir(_) => "not_on_air",
        }
    }
}

/// A value that was seen, and where.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "cli", derive(schemars::JsonSchema))]
pub struct SeenCode {
    /// The field.
    pub field: &'static str,
    /// The message that carried it.
    pub message: &'static str,
    /// The same for people.
    #[serde(skip)]
    pub title: &'static str,
    /// In which state.
    #[cfg_attr(feature = "cli", schemars(with = "String"))]
    pub when: When,
    /// Its frame bits.
    #[serde(serialize_with = "bits")]
    #[cfg_attr(feature = "cli", schemars(with = "[u8; 2]"))]
    pub bits: Span,
    /// The code.
    pub code: u64,
    /// What it says.
    pub meaning: String,
    /// In how many frames.
    pub frames: u64,
    /// The file of the first.
    pub file: Arc<str>,
    /// Its line.
    pub first_line: u64,
    /// The first frame.
    #[serde(serialize_with = "written")]
    #[cfg_attr(feature = "cli", schemars(with = "String"))]
    pub example: Frame,
}

#[allow(clippy::trivially_copy_pass_by_ref, reason = "what serialises a field gets it by reference")]
fn bits<S: Serializer>(span: &Span, to: S) -> Result<S::Ok, S::Error> {
    [span.first, span.last].serialize(to)
}

/// A setting of a draft.
#[derive(Clone, Debug)]
pub struct Drafted {
    /// Which.
    pub setting: &'static Setting,
    /// The value as a person types it; `None` if it is left open.
    pub value: Option<String>,
    /// Why.
    pub why: Why,
    /// What was seen.
    pub seen: Vec<SeenCode>,
}

/// A profile drafted from what one aircraft sent.
#[derive(Clone, Debug)]
pub struct Draft {
    /// Its address.
    pub address: Address,
    /// Its frames in the clear.
    pub frames: u64,
    /// The version that its messages were read in; `None` if it was not heard: then what depends on it is left out.
    pub version: Option<u8>,
    /// First and last time of its frames, in seconds.
    pub times: Option<(f64, f64)>,
    /// Every setting that a new profile has, and what else was seen.
    pub settings: Vec<Drafted>,
}

impl Draft {
    /// The profile: what is stated, and the rest still to be filled in.
    pub fn profile(&self) -> Profile {
        let open = Profile::to_be_filled_in();
        self.settings.iter().fold(open, |profile, drafted| match &drafted.value {
            Some(typed) => drafted.setting.with_typed(&profile, typed).unwrap_or(profile),
            None => profile,
        })
    }

    /// How many settings are stated.
    pub fn stated(&self) -> usize {
        self.settings.iter().filter(|drafted| drafted.value.is_some()).count()
    }

    /// Leaves open what a comparison of the draft with its own capture finds to differ: it varies more than one value can
    /// say.
    pub fn correct(&mut self, report: &Report) {
        let differs = |setting: SettingId| {
            report.settings.iter().any(|verdict| verdict.setting == setting && verdict.status == SettingStatus::Differs)
        };
        for drafted in &mut self.settings {
            if drafted.value.is_some() && drafted.setting.id != SettingId::Address && differs(drafted.setting.id) {
                drafted.value = None;
                drafted.why = Why::Varies;
            }
        }
    }

    /// Where a profile says something else than what was seen: the setting, and what the profile says of it.
    ///
    /// # Errors
    /// [`EmissionError`] for a profile that cannot be put on the air.
    pub fn differs_from(&self, profile: &Profile) -> Result<Vec<(&Drafted, String)>, EmissionError> {
        let layout = self.version.map_or(2, known_version);
        let whole = with_address(profile.filled_as_usual(), self.address);
        let frames = emissions_laid_out(&whole, Flight::Healthy, layout)?;
        let mut found = Vec::new();
        for drafted in &self.settings {
            let Stated::Is(words) = drafted.setting.stated(profile) else { continue };
            let differs = match (&drafted.value, &drafted.why) {
                (Some(typed), _) => drafted
                    .setting
                    .with_typed(&Profile::default(), typed)
                    .is_ok_and(|draft| drafted.setting.value(&draft) != drafted.setting.value(profile)),
                (None, Why::Crew | Why::Varies | Why::Part | Why::NotSeen(_) | Why::NotOnAir(_)) => false,
                (None, _) => !drafted.seen.iter().all(|seen| {
                    let of = |emission: &&Emission| {
                        emission.table.message == seen.message
                            && (emission.when == seen.when || emission.when == When::Both)
                    };
                    let sent = frames.iter().filter(of).flat_map(|emission| &emission.decisions);
                    // What makes one code with something that is open says nothing yet.
                    let stated = |id: &SettingId| matches!(id.setting().stated(profile), Stated::Is(_));
                    let mut own = sent.filter(|sent| sent.field == seen.field);
                    own.any(|sent| sent.agrees(seen.code) || !sent.settings.iter().all(stated))
                }),
            };
            if differs {
                found.push((drafted, words));
            }
        }
        Ok(found)
    }
}

fn known_version(version: u8) -> u8 {
    version.min(StandardVersion::NEWEST)
}

fn with_address(mut profile: Profile, address: Address) -> Profile {
    profile.address = Stated::Is(address);
    profile
}

// Drafting -----------------------------------------------------------------------------------------------------------

/// Drafts profiles of aircraft: a fleet of installs of which only address and version are known, and what their frames say.
#[derive(Debug)]
pub struct Drafting {
    fleet: Fleet,
    sighted: Vec<Sighting>,
    books: [Option<Codebook>; 4],
}

impl Drafting {
    /// Begins with these aircraft.
    ///
    /// # Errors
    /// [`EmissionError`] if frames of no install can be made.
    pub fn new(aircraft: &[(Address, &Sighting)]) -> Result<Self, EmissionError> {
        let mut installs = Vec::new();
        for (address, sighting) in aircraft {
            let mut profile = with_address(Profile::to_be_filled_in(), *address);
            if let Some(version) = sighting.version().filter(|version| *version <= StandardVersion::NEWEST) {
                profile.mops_version = Stated::Is(StandardVersion(version));
            }
            installs.push(Install::new(&format!("{address}"), profile)?);
        }
        let sighted = aircraft.iter().map(|(_, sighting)| (*sighting).clone()).collect();
        Ok(Self { fleet: Fleet::new(installs, &RuleSet::default()), sighted, books: [const { None }; 4] })
    }

    /// What is to read the capture.
    pub fn fleet(&mut self) -> &mut Fleet {
        &mut self.fleet
    }

    /// The drafts, in the order of the aircraft.
    ///
    /// # Errors
    /// [`EmissionError`] if frames of no install can be made.
    pub fn drafts(&mut self) -> Result<Vec<Draft>, EmissionError> {
        self.fleet.gather();
        let mut drafts = Vec::new();
        for at in 0..self.sighted.len() {
            let install = &self.fleet.installs()[at];
            let layout = known_version(self.sighted[at].version().unwrap_or(2));
            let book = match &mut self.books[usize::from(layout)] {
                Some(book) => book,
                none => none.insert(Codebook::new(layout)?),
            };
            let Some(tally) = self.fleet.tally(at) else { continue };
            let none = RuleSet::default();
            let expected = install.expected();
            let judge = Judge::new(install, &expected, tally, &none, Dips::default());
            let reader = Reader { judge: &judge, book, files: &self.fleet.files, sighting: &self.sighted[at] };
            drafts.push(Draft {
                address: install.address,
                frames: tally.in_clear,
                version: self.sighted[at].version(),
                times: tally.times.ends,
                settings: reader.settings(),
            });
        }
        Ok(drafts)
    }
}

/// A value that a setting, or several that make one code together, can have, and what it puts on the air.
#[derive(Debug)]
struct Candidate {
    /// As a person types it, for each setting of the group.
    values: Vec<String>,
    sent: Vec<SentCode>,
}

#[derive(Debug)]
struct SentCode {
    transmission: &'static str,
    when: When,
    decision: Decision,
}

/// Settings that make codes together.
#[derive(Debug)]
struct Group {
    settings: Vec<SettingId>,
    candidates: Vec<Candidate>,
}

/// What every value of every setting puts on the air in one version of the standard.
#[derive(Debug)]
struct Codebook {
    version: u8,
    groups: Vec<Group>,
}

/// The values that a setting can have, if they can be listed.
fn listed(setting: &Setting) -> Option<Vec<String>> {
    if setting.id == SettingId::AntennaFromCentreLine {
        // On the line is the one measure that has a code of its own.
        return Some(vec!["not_known".to_owned(), "on the centre line".to_owned()]);
    }
    if !setting.options.is_empty() {
        return Some(setting.options.iter().map(|choice| choice.word.to_owned()).collect());
    }
    let schema = (setting.schema)();
    match setting.kind {
        ValueKind::YesNo => Some(vec!["no".to_owned(), "yes".to_owned()]),
        ValueKind::Number => {
            match (schema["minimum"].as_u64(), schema["maximum"].as_u64(), schema["enum"].as_array()) {
                (Some(least), Some(most), _) => Some((least..=most).map(|number| number.to_string()).collect()),
                (.., Some(all)) => Some(all.iter().map(ToString::to_string).collect()),
                _ => None,
            }
        }
        _ => None,
    }
}

impl Codebook {
    fn new(version: u8) -> Result<Self, EmissionError> {
        // Any address will do: no other setting's code depends on it.
        let usual = with_address(Profile::default().filled_as_usual(), Address::new(0xABCDEF));
        let frames = emissions_laid_out(&usual, Flight::Healthy, version)?;
        let mut groups: Vec<Vec<SettingId>> = Vec::new();
        for decision in frames.iter().flat_map(|frame| frame.decisions.iter().chain(&frame.used)) {
            let touches = |group: &Vec<SettingId>| decision.settings.iter().any(|setting| group.contains(setting));
            let mut joined: Vec<SettingId> = decision.settings.to_vec();
            for group in groups.extract_if(.., |group| touches(group)) {
                joined.extend(group);
            }
            joined.sort_unstable();
            joined.dedup();
            groups.push(joined);
        }
        let groups = groups
            .into_iter()
            .map(|settings| {
                let candidates = Self::candidates(&usual, version, &settings);
                Group { settings, candidates }
            })
            .collect();
        Ok(Self { version, groups })
    }

    /// What every combination of values of these settings sends; `None` if the values of one cannot be listed.
    fn candidates(usual: &Profile, version: u8, settings: &[SettingId]) -> Vec<Candidate> {
        let mut all: Vec<(Vec<String>, Profile)> = vec![(Vec::new(), usual.clone())];
        for setting in settings {
            let setting = setting.setting();
            let Some(values) = listed(setting) else { return Vec::new() };
            let with = |(before, profile): &(Vec<String>, Profile)| {
                values
                    .iter()
                    .filter_map(|value| {
                        let profile = setting.with_typed(profile, value).ok()?;
                        Some(([&before[..], std::slice::from_ref(value)].concat(), profile))
                    })
                    .collect::<Vec<_>>()
            };
            all = all.iter().flat_map(with).collect();
        }
        let sent = |profile: &Profile| sent(profile, version, settings);
        all.into_iter().filter_map(|(values, profile)| Some(Candidate { values, sent: sent(&profile)? })).collect()
    }
}

/// What a profile sends of some settings.
fn sent(profile: &Profile, version: u8, settings: &[SettingId]) -> Option<Vec<SentCode>> {
    let frames = emissions_laid_out(profile, Flight::Healthy, version).ok()?;
    let of = |frame: Emission| {
        let (transmission, when) = (frame.transmission.name, frame.when);
        let decisions = frame.decisions.into_iter().chain(frame.used);
        let touching = decisions.filter(|decision| decision.settings.iter().any(|setting| settings.contains(setting)));
        touching.map(|decision| SentCode { transmission, when, decision }).collect::<Vec<_>>()
    };
    Some(frames.into_iter().flat_map(of).collect())
}

/// Reads the settings of one aircraft out of its frames.
struct Reader<'a> {
    judge: &'a Judge<'a>,
    book: &'a Codebook,
    files: &'a [Arc<str>],
    sighting: &'a Sighting,
}

impl Reader<'_> {
    fn settings(&self) -> Vec<Drafted> {
        let drafted = SETTINGS.iter().map(|setting| self.drafted(setting));
        drafted.filter(|drafted| drafted.setting.in_new_profile || !drafted.seen.is_empty()).collect()
    }

    fn drafted(&self, setting: &'static Setting) -> Drafted {
        let places: Vec<(&Place<'_>, Seen<u64>)> = self
            .judge
            .anywhere(setting.id)
            .map(|place| (place, self.judge.codes(place)))
            .filter(|(_, codes)| !codes.is_empty())
            .collect();
        let seen = self.seen(&places);
        let (value, why) = self.value(setting, &places);
        Drafted { setting, value, why, seen }
    }

    fn value(&self, setting: &'static Setting, places: &[(&Place<'_>, Seen<u64>)]) -> (Option<String>, Why) {
        if setting.id == SettingId::Address {
            return (Some(self.judge.install.address.to_string()), Why::Seen);
        }
        if setting.id == SettingId::MopsVersion && self.sighting.version() == Some(0) && places.is_empty() {
            return (Some("0".to_owned()), Why::NoStatus);
        }
        if places.is_empty() {
            return (None, self.not_seen(setting));
        }
        if let Some(measure) = QualityMeasure::of(setting.id) {
            return self.quality(measure);
        }
        if places.iter().all(|(place, _)| place.which.rule == Rule::WhenUsed) {
            return (None, Why::Crew);
        }
        if setting.kind == ValueKind::List {
            return (None, Why::Part);
        }
        let group = self.book.groups.iter().find(|group| group.settings.contains(&setting.id));
        let (own, fitting) = match group.filter(|group| !group.candidates.is_empty()) {
            Some(group) => (
                group.settings.iter().position(|other| *other == setting.id).unwrap_or(0),
                self.fitting(&group.settings, &group.candidates),
            ),
            None if setting.kind == ValueKind::Text => (0, self.fitting(&[setting.id], &self.texts(setting, places))),
            None => return (None, Why::Range),
        };
        let mut values: Vec<String> = fitting.into_iter().map(|values| values[own].clone()).collect();
        values.sort_unstable();
        values.dedup();
        match &values[..] {
            // A measure is not a word of the list.
            [] if setting.kind == ValueKind::Measure => (None, Why::Range),
            [] => (None, Why::Varies),
            [one] => (Some(one.clone()), Why::Seen),
            _ => (None, Why::OneOf(values)),
        }
    }

    /// The texts that were seen, as values.
    fn texts(&self, setting: &Setting, places: &[(&Place<'_>, Seen<u64>)]) -> Vec<Candidate> {
        let usual = with_address(Profile::default().filled_as_usual(), self.judge.install.address);
        let mut texts: Vec<String> = Vec::new();
        for (place, codes) in places {
            for code in codes.keys() {
                let said = (place.which.meaning)(*code, place.which.version).value;
                let text = if said == Value::Null { String::new() } else { said.to_string() };
                if !texts.contains(&text) {
                    texts.push(text);
                }
            }
        }
        let candidate = |text: String| {
            let profile = setting.with_typed(&usual, &text).ok()?;
            Some(Candidate { values: vec![text], sent: sent(&profile, self.book.version, &[setting.id])? })
        };
        texts.into_iter().filter_map(candidate).collect()
    }

    /// The values whose codes are those that were seen, in every place.
    fn fitting(&self, settings: &[SettingId], candidates: &[Candidate]) -> Vec<Vec<String>> {
        let mut places: Vec<(&Place<'_>, Seen<u64>)> = Vec::new();
        for setting in settings {
            for place in self.judge.anywhere(*setting) {
                if !places.iter().any(|(known, _)| std::ptr::eq(*known, place)) {
                    places.push((place, self.judge.codes(place)));
                }
            }
        }
        let fits = |candidate: &&Candidate| {
            places.iter().filter(|(place, codes)| !codes.is_empty() && place.which.rule != Rule::WhenUsed).all(
                |(place, codes)| {
                    let of = |sent: &&SentCode| {
                        sent.transmission == place.frame.transmission.name
                            && (sent.when == place.frame.when
                                || sent.when == When::Both
                                || place.frame.when == When::Both)
                            && sent.decision.field == place.which.field
                    };
                    let mut sent = candidate.sent.iter().filter(of);
                    sent.any(|sent| agree(&sent.decision, place, codes))
                },
            )
        };
        candidates.iter().filter(fits).map(|candidate| candidate.values.clone()).collect()
    }

    /// A quality category when all is well: the best value that was met but for rare dips.
    fn quality(&self, measure: QualityMeasure) -> (Option<String>, Why) {
        let judge = self.judge;
        let carriers: Vec<(When, Vec<(u8, u64)>)> = judge
            .tally
            .quality
            .by_carrier(measure)
            .filter(|_| judge.version_known)
            .map(|(carrier, values)| {
                (carrier.when, values.seen.iter().map(|(value, evidence)| (*value, evidence.frames)).collect())
            })
            .collect();
        let Some(most) = carriers.iter().flat_map(|(_, seen)| seen).map(|(value, _)| *value).max() else {
            return (None, self.not_seen(measure.setting().setting()));
        };
        // On the surface version 2 has no code for 1 to 5, which go out as 0.
        let has_surface_code = |value: u8| measure != QualityMeasure::Nic || !(1..=5).contains(&value);
        let met = |value: u8| {
            carriers.iter().all(|(when, seen)| {
                let counts = |seen: u8| has_surface_code(value) || *when != When::OnGround || seen > 0;
                let frames = |low: bool| -> u64 {
                    let is_low = |seen: u8| seen < value || measure.is_reserved(seen);
                    seen.iter()
                        .filter(|(seen, _)| counts(*seen) && is_low(*seen) == low)
                        .map(|(_, frames)| frames)
                        .sum()
                };
                let (low, all) = (frames(true), frames(true) + frames(false));
                low as f64 * 100.0 <= judge.dips.per_cent * all as f64
            }) && (value >= most || !excess(measure, most))
        };
        let in_the_air = carriers.iter().any(|(when, _)| *when != When::OnGround);
        if measure == QualityMeasure::Nic && !in_the_air && most == 0 {
            return (None, Why::OneOf((0..=5).map(|nic| nic.to_string()).collect()));
        }
        let best = (0..=most).rev().find(|value| met(*value) && !measure.is_reserved(*value));
        best.map_or((None, Why::Varies), |value| (Some(value.to_string()), Why::Seen))
    }

    fn not_seen(&self, setting: &Setting) -> Why {
        let usual = Install { profile: self.judge.install.profile.filled_as_usual(), ..self.judge.install.clone() };
        if let Some(never) = crate::onair::why_not_on_air(&usual.profile, setting.id) {
            return Why::NotOnAir(never.to_owned());
        }
        let places: Vec<&Place<'_>> = self.judge.anywhere(setting.id).collect();
        if places.is_empty() {
            return Why::NotOnAir(crate::onair::why_in_no_frame(&usual.profile, setting.id));
        }
        let ways = super::judge::ways(&places);
        Why::NotSeen(ways.iter().map(ToString::to_string).collect::<Vec<_>>().join("; or "))
    }

    fn seen(&self, places: &[(&Place<'_>, Seen<u64>)]) -> Vec<SeenCode> {
        let mut all: Vec<SeenCode> = Vec::new();
        for (place, codes) in places {
            for (code, evidence) in codes {
                all.push(self.seen_code(place, *code, evidence));
            }
        }
        all
    }

    fn seen_code(&self, place: &Place<'_>, code: u64, evidence: &Evidence) -> SeenCode {
        let frame = place.frame;
        let title = if frame.address_in_parity { frame.envelope.title } else { frame.table.title };
        SeenCode {
            field: place.which.field,
            message: frame.table.message,
            title,
            when: frame.when,
            bits: place.which.span,
            code,
            meaning: (place.which.meaning)(code, place.which.version).words().to_string(),
            frames: evidence.frames,
            file: self.files.get(evidence.file).cloned().unwrap_or_default(),
            first_line: evidence.line,
            example: evidence.frame,
        }
    }
}

/// Whether these codes are what an install that sends this would show.
fn agree(sent: &Decision, place: &Place<'_>, codes: &Seen<u64>) -> bool {
    match place.which.rule {
        // What comes and goes: claimed at least once; on the ground its absence says nothing.
        Rule::State => {
            let most = codes.keys().max().copied().unwrap_or(0);
            most == sent.code || most < sent.code && place.frame.when == When::OnGround
        }
        _ => codes.keys().all(|code| *code == sent.code || sent.also.contains(code)),
    }
}
