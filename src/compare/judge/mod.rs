//! Judges what was observed by what was expected, and makes the report: one list of analyses, each a function that
//! makes findings. The limits they use are in [`limits`], and nowhere else.

mod address;
mod agreement;
mod air_ground;
mod alerts;
mod altitude;
mod course;
mod diagnosis;
mod finding;
mod identity;
mod intervals;
mod limits;
mod motion;
mod not_judged;
mod presence;
mod quality;
mod setting_status;
mod version;
mod vfr_code;
mod ways;

pub use diagnosis::{ReadField, causes_of_read};
pub use limits::Dips;
pub use setting_status::setting_statuses;
pub use ways::{RECEPTION, SURE, ways};

use super::install::{Expected, Install};
use super::observe::{Bounds, HeardAddresses, QualityMeasure, Seen, Tally, bounds};
use super::report::{
    Alternative, Capture, Doubt, Element, Finding, NearAddress, NotJudged, Reception, Report, SeenValue, SettingStatus,
    SettingVerdict, Shown, Summary, Verdict, Way,
};
use crate::capture::Accounting;
use crate::code::Version;
use crate::frame::Address;
use crate::onair::{Decision, Emission, Rule, SquitterKind, When, version_of};
use crate::profile::{Floor, RuleSet, SettingId, Severity};
use crate::track::VERSION_0_AFTER_S;
use foldhash::fast::FixedState;
use quality::Measured;
use std::cmp::Ordering;
use std::collections::{BTreeMap, HashMap};
use std::sync::Arc;

/// Which installs a fixed identification belongs to: rightly, or by an entry error.
#[derive(Debug)]
pub struct ByIdentification(Vec<(u64, u32, bool)>);

impl ByIdentification {
    /// Each text with an install, and whether it is rightly that one's. Of one text and install the first counts.
    pub fn new(mut all: Vec<(u64, u32, bool)>) -> Self {
        all.sort_by_key(|(text, at, _)| (*text, *at));
        all.dedup_by_key(|(text, at, _)| (*text, *at));
        all.shrink_to_fit();
        Self(all)
    }

    /// The installs of a text, each with whether it is rightly so.
    pub fn of(&self, text: u64) -> impl Iterator<Item = (usize, bool)> + Clone {
        let from = self.0.partition_point(|(other, ..)| *other < text);
        let own = self.0[from..].iter().take_while(move |(other, ..)| *other == text);
        own.map(|(_, at, rightly)| (*at as usize, *rightly))
    }
}

/// Everything that is known of one install.
#[derive(Clone, Copy)]
pub struct Case<'a> {
    pub install: &'a Install,
    /// The frames that it is expected to send.
    pub expected: &'a [Expected],
    /// What was heard under each address that may be this aircraft's.
    pub heard: &'a BTreeMap<Address, Tally>,
    /// All installs, and which of them an address may belong to.
    pub fleet: &'a [Install],
    pub by_address: &'a HashMap<Address, Vec<usize>, FixedState>,
    pub by_identification: &'a ByIdentification,
    pub in_clear: &'a HeardAddresses,
    pub rules: &'a RuleSet,
    pub dips: Dips,
    pub files: &'a [Arc<str>],
    pub accounting: &'a Accounting,
    pub not_read_whole: &'a [String],
    pub parity_invalid: u64,
}

impl Case<'_> {
    /// The other install whose own address this is.
    fn owner(&self, address: Address) -> Option<&Install> {
        let followed = self.by_address.get(&address).into_iter().flatten().map(|at| &self.fleet[*at]);
        followed.into_iter().find(|install| install.address == address && !std::ptr::eq(*install, self.install))
    }

    /// The other install whose own fixed identification this is.
    fn owner_of_text(&self, text: u64) -> Option<&Install> {
        let rightly = self.by_identification.of(text).filter(|(_, rightly)| *rightly);
        rightly.map(|(at, _)| &self.fleet[at]).find(|install| !std::ptr::eq(*install, self.install))
    }
}

/// What the captures say of one install.
pub fn report(case: &Case<'_>) -> Report {
    let install = case.install;
    let (heard_as, heard) = address::heard_as(case).unzip();
    let nothing = Tally::new(case.expected);
    let tally = heard.unwrap_or(&nothing);
    let mut judge = Judge::new(install, case.expected, tally, case.rules, case.dips);
    judge.files = case.files;
    judge.times_not_understood = case.accounting.time_not_understood;

    let mut settings = setting_statuses(&judge);
    let quality = quality::measured(&judge);
    let mut findings: Vec<Finding> =
        ANALYSES.iter().flat_map(|analysis| analysis(&judge, &settings, &quality)).collect();
    findings.extend(address::others(case, &judge, heard_as));
    let mut findings = finding::most_serious_first(findings);
    if let Some(seen) = heard_as {
        address::name_owner(case, seen, &mut findings);
    }
    address::name_owner_of_text(case, tally, &mut findings);
    setting_status::refute(&mut settings, &findings);
    let profile_doubts = Doubt::all(&install.profile, case.rules);
    finding::doubt(&mut findings, &profile_doubts);
    let not_judged = not_judged::checks(&judge, &settings);

    let confirmed_replies = if tally.in_clear > 0 { tally.replies } else { 0 };
    Report {
        schema: Report::SCHEMA,
        profile: install.name.clone(),
        address: install.address,
        heard_as,
        not_heard: heard_as.is_none().then(|| address::why_not_heard(case)),
        near: if heard_as.is_none() { address::near(case) } else { Vec::new() },
        verdict: verdict(&settings, &findings, &not_judged),
        summary: Summary::new(&settings, &findings),
        rules: case.rules.name.clone(),
        profile_doubts,
        capture: Capture {
            accounting: case.accounting.clone(),
            of_this_aircraft: tally.in_clear + confirmed_replies,
            parity_invalid: case.parity_invalid,
            not_read_whole: case.not_read_whole.to_vec(),
            files: case.files.to_vec(),
            times: tally.times.ends,
        },
        settings,
        not_judged,
        findings,
        quality: quality.iter().map(course::quality).collect(),
        air_ground: course::air_ground(&tally.coherence),
        reception: judge.reception,
        elements: judge.elements.into_iter().map(|(_, element)| element).collect(),
        intervals: course::intervals(case.expected, &tally.intervals),
        motion: course::motion(&tally.motion),
        path: course::path(&tally.path),
        altitudes: course::altitudes(&tally.altitudes),
        changes: None,
    }
}

/// An analysis: from what was gathered to findings.
type Analysis = fn(&Judge<'_>, &[SettingVerdict], &[Measured]) -> Vec<Finding>;

/// Every analysis of one aircraft.
const ANALYSES: &[Analysis] = &[
    |judge, settings, _| diagnosis::differences(judge, settings),
    |judge, settings, quality| quality::dips(judge, settings, quality),
    |judge, _, quality| quality::floors(judge, quality),
    |judge, _, _| air_ground::findings(judge),
    |judge, _, _| agreement::findings(judge),
    |judge, _, _| motion::findings(judge),
    |judge, _, _| altitude::findings(judge),
    |judge, _, _| intervals::findings(judge),
    |judge, _, _| vfr_code::findings(judge),
    |judge, _, _| presence::findings(judge),
    |judge, _, _| alerts::findings(judge),
    |judge, _, _| identity::findings(judge),
    |judge, _, _| version::findings(judge),
];

fn verdict(settings: &[SettingVerdict], findings: &[Finding], not_judged: &[NotJudged]) -> Verdict {
    let any = |status: SettingStatus| settings.iter().any(|setting| setting.status == status && setting.counts());
    if any(SettingStatus::Differs) || findings.iter().any(|finding| finding.severity == Severity::Error) {
        Verdict::Differs
    } else if any(SettingStatus::NotSeen)
        || any(SettingStatus::NotFilledIn)
        || not_judged.iter().any(|check| check.needed)
    {
        Verdict::Incomplete
    } else {
        Verdict::Agrees
    }
}

/// A decision in its place.
pub struct Place<'a> {
    pub emission: usize,
    pub decision: usize,
    pub which: &'a Decision,
    pub frame: &'a Emission,
    pub used: bool,
    /// Whether the install sends the frame and states what is behind the field.
    pub stated: bool,
}

/// What one place says of a setting.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Said {
    /// It was not seen there, or too little of it.
    Nothing,
    /// It is as the install has it.
    Right,
    /// It is as the install has it, but for rare and short dips or absences.
    RightWithDips,
    /// It is not as the install has it.
    Wrong,
}

/// Every field that an install decides or presets, in its place.
pub fn places(expected: &[Expected]) -> Vec<Place<'_>> {
    let mut places = Vec::new();
    for (emission, expected) in expected.iter().enumerate() {
        let frame = &expected.emission;
        for (decision, which) in expected.decisions().enumerate() {
            let stated = expected.sent && expected.stated.get(decision) == Some(&true);
            let used = decision >= frame.decisions.len();
            places.push(Place { emission, decision, which, frame, used, stated });
        }
    }
    places
}

/// What every analysis has before it.
pub struct Judge<'a> {
    pub install: &'a Install,
    expected: &'a [Expected],
    pub tally: &'a Tally,
    pub rules: &'a RuleSet,
    files: &'a [Arc<str>],
    /// What quality is compared with.
    pub bounds: [Bounds; 6],
    /// How rare and short low quality must be to be a dip.
    pub dips: Dips,
    /// How many lines have a time that is not understood.
    pub times_not_understood: u64,
    /// Whether every operational status heard was of the version that the profile is encoded in.
    pub version_known: bool,
    /// How much came through, in each state where that is known.
    pub reception: Vec<Reception>,
    /// Each kind of message that the install sends: seen, and expected.
    pub elements: Vec<(SquitterKind, Element)>,
    /// Every field that the install decides or presets, in its place.
    places: Vec<Place<'a>>,
}

/// Whether the frames heard are of the version that the install sends: every operational status says so, or, for version 0,
/// there was none in the time after which version 0 is concluded.
fn version_known(install: &Install, tally: &Tally) -> bool {
    if install.version == Version::Zero {
        let lasted = tally.times.longest_s().is_some_and(|seconds| seconds >= VERSION_0_AFTER_S);
        return tally.versions.is_empty() && tally.positions > 0 && lasted;
    }
    tally.versions.keys().copied().eq([version_of(&install.profile)])
}

impl<'a> Judge<'a> {
    pub fn new(
        install: &'a Install,
        expected: &'a [Expected],
        tally: &'a Tally,
        rules: &'a RuleSet,
        dips: Dips,
    ) -> Self {
        let reception = intervals::receptions(&tally.intervals);
        Self {
            install,
            expected,
            tally,
            rules,
            files: &[],
            dips,
            times_not_understood: 0,
            bounds: bounds(&install.profile, rules),
            version_known: version_known(install, tally),
            elements: intervals::elements(expected, &tally.intervals, &reception),
            reception,
            places: places(expected),
        }
    }

    /// How much came through in one state.
    pub fn reception(&self, when: When) -> Option<&Reception> {
        self.reception.iter().find(|received| received.when == when)
    }

    /// The minimum values that bind this aircraft, or may.
    pub fn floors(&self) -> &[Floor] {
        self.rules.floors_for(&self.install.profile)
    }

    /// Every field that the install sends and states, in its place.
    pub fn places<'p>(&'p self) -> impl Iterator<Item = &'p Place<'a>> {
        self.places.iter().filter(|place| place.stated)
    }

    /// The fields behind a stated setting.
    pub fn of<'p>(&'p self, setting: SettingId) -> impl Iterator<Item = &'p Place<'a>> {
        self.places().filter(move |place| place.which.settings.contains(&setting))
    }

    /// The fields where a setting would be, whether it is stated or not.
    pub fn anywhere<'p>(&'p self, setting: SettingId) -> impl Iterator<Item = &'p Place<'a>> {
        self.places.iter().filter(move |place| place.which.settings.contains(&setting))
    }

    /// What a place says of its setting. Each place is judged by itself: a right frame never outvotes a wrong one.
    pub fn said(&self, place: &Place<'_>) -> Said {
        let codes = self.codes(place);
        if codes.is_empty() || place.used {
            return Said::Nothing;
        }
        match (place.which.rule, measure(place)) {
            (Rule::Quality, Some(measure)) => self.quality_said(place, measure, &codes),
            // NIC is made of several fields, and judged over all of them.
            (Rule::WhenUsed, _) | (Rule::Quality, None) => Said::Nothing,
            (Rule::State, _) => {
                let (right, least) = (codes.contains_key(&place.which.code), codes.keys().min());
                let frames: u64 = codes.values().map(|evidence| evidence.frames).sum();
                if codes.keys().any(|code| *code > place.which.code) {
                    Said::Wrong
                } else if right {
                    if least == Some(&place.which.code) { Said::Right } else { Said::RightWithDips }
                } else if place.frame.when != When::OnGround && frames >= 2 {
                    Said::Wrong
                } else {
                    Said::Nothing
                }
            }
            (Rule::Equal, _) => {
                if codes.keys().all(|code| place.which.agrees(*code)) {
                    Said::Right
                } else {
                    Said::Wrong
                }
            }
        }
    }

    fn quality_said(&self, place: &Place<'_>, measure: QualityMeasure, codes: &Seen<u64>) -> Said {
        if codes.keys().any(|code| *code > place.which.code && excess(measure, *code as u8)) {
            return Said::Wrong;
        }
        let carrier = SquitterKind::of(place.frame);
        let values = self.tally.quality.by_carrier(measure).find(|(by, _)| Some(*by) == carrier);
        values.map_or(Said::Nothing, |(_, values)| quality::said(&values.wanted.run, &self.dips))
    }

    /// Every code that was observed of a field.
    pub fn all_codes(&self, place: &Place<'_>) -> Seen<u64> {
        self.tally.codes(self.expected, place.emission, place.decision)
    }

    /// Codes of one field that may support a verdict.
    pub fn codes(&self, place: &Place<'_>) -> Seen<u64> {
        let reply = place.frame.address_in_parity;
        if reply && self.tally.in_clear == 0 || place.which.by_version && !self.version_known {
            return Seen::new();
        }
        let mut codes = self.all_codes(place);
        // A reply's address stands in its parity, so one alone proves nothing.
        codes.retain(|_, evidence| !reply || evidence.frames >= 2);
        codes
    }

    /// Whether low quality is the install's: its position messages, if any were heard, carried a position.
    pub fn quality_counts(&self) -> bool {
        self.tally.positions > 0 || self.tally.without_position == 0
    }
}

/// Whether a code is as good as the install's, or better where better is not wrong.
pub fn agrees(place: &Place<'_>, code: u64) -> bool {
    let which = place.which;
    match (which.rule, measure(place)) {
        (Rule::Quality, Some(measure)) => match code.cmp(&which.code) {
            Ordering::Less => false,
            Ordering::Equal => true,
            Ordering::Greater => !measure.is_reserved(code as u8) && !excess(measure, code as u8),
        },
        _ => which.agrees(code),
    }
}

/// The quality category of a field, where the field is its number.
pub fn measure(place: &Place<'_>) -> Option<QualityMeasure> {
    let [setting] = place.which.settings else { return None };
    QualityMeasure::of(*setting).filter(|measure| *measure != QualityMeasure::Nic)
}

/// A value that claims more than any install may without an approval of its own. A NACv of 3 or 4 is not to be claimed
/// (FAA, as the facts of the trade quote it).
pub fn excess(measure: QualityMeasure, value: u8) -> bool {
    match measure {
        QualityMeasure::Sil | QualityMeasure::Sda | QualityMeasure::Gva => true,
        QualityMeasure::Nacv => value >= 3,
        QualityMeasure::Nic | QualityMeasure::Nacp => false,
    }
}
