//! From what was gathered to the report: one list of analyses, each of which makes findings.

use super::evidence::{Evidence, Seen};
use super::judge::limits::Dips;
use super::judge::not_judged;
use super::judge::{alerts, identity, presence, version};
use super::quality::{self, Bounds, Carrier, Measure, Measured};
use super::report::{Fate, Finding, NotJudged, Report, SettingVerdict, Verdict};
use super::tally::Tally;
use super::{
    Fleet, Install, agreement, altitude, coherence, diagnosis, intervals, mistaken_addresses, motion, near, settings,
};
use crate::code::{Bits, ModeA, Version};
use crate::frame::Address;
use crate::onair::{Decision, Emission, Rule, When, version_of};
use crate::profile::mistake::{
    ADDRESS_OF_ANOTHER_MARK, AIR_GROUND_CONTRADICTION, MESSAGE_MISSING, Mistake, SECOND_TRANSPONDER, SOFTWARE_VERSION,
    UNEXPLAINED, UNIT_MOVED, VFR_CODE,
};
use crate::profile::{Floor, RuleSet, SETTINGS, SettingId, Severity};
use crate::registry::mark_of_address;
use crate::track::VERSION_0_AFTER_S;
use std::collections::BTreeMap;
use std::fmt::Write;

/// A decision in its place.
pub(super) struct Place<'a> {
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
pub(super) enum Said {
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
pub(super) fn places(install: &Install) -> Vec<Place<'_>> {
    let mut places = Vec::new();
    for (emission, expected) in install.expected.iter().enumerate() {
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
pub(super) struct Judge<'a> {
    pub install: &'a Install,
    pub tally: &'a Tally,
    pub rules: &'a RuleSet,
    /// What quality is held against.
    pub bounds: [Bounds; 6],
    /// How rare and short low quality must be to be a dip.
    pub dips: Dips,
    /// How many lines have a time that is not understood.
    pub times_not_understood: u64,
    /// Whether every operational status heard was of the version that the profile is encoded in.
    pub version_known: bool,
    /// Every field that the install decides or presets, in its place.
    places: Vec<Place<'a>>,
}

/// Whether the frames heard are of the version that the install sends: every operational status says so, or, for version 0,
/// there was none in the time after which version 0 is concluded.
fn version_known(install: &Install, tally: &Tally) -> bool {
    if install.version == Version::Zero {
        let lasted = tally.times.is_some_and(|(first, last)| last - first >= VERSION_0_AFTER_S);
        return tally.versions.is_empty() && tally.positions > 0 && lasted;
    }
    tally.versions.keys().copied().eq([version_of(&install.profile)])
}

impl<'a> Judge<'a> {
    pub fn new(install: &'a Install, tally: &'a Tally, rules: &'a RuleSet, dips: Dips) -> Self {
        Self {
            install,
            tally,
            rules,
            dips,
            times_not_understood: 0,
            bounds: quality::bounds(&install.profile, rules),
            version_known: version_known(install, tally),
            places: places(install),
        }
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

    fn quality_said(&self, place: &Place<'_>, measure: Measure, codes: &Seen<u64>) -> Said {
        if codes.keys().any(|code| *code > place.which.code && excess(measure, *code as u8)) {
            return Said::Wrong;
        }
        let carrier = Carrier::of(place.frame);
        let values = self.tally.quality.by_carrier(measure).find(|(by, _)| Some(*by) == carrier);
        values.map_or(Said::Nothing, |(_, values)| quality::said(&values.wanted.run, &self.dips))
    }

    /// Every code that was observed of a field.
    pub fn all_codes(&self, place: &Place<'_>) -> Seen<u64> {
        self.tally.codes(&self.install.expected, place.emission, place.decision)
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
pub(super) fn agrees(place: &Place<'_>, code: u64) -> bool {
    let which = place.which;
    match (which.rule, measure(place)) {
        (Rule::Quality, Some(measure)) => {
            code == which.code || code > which.code && !measure.is_reserved(code as u8) && !excess(measure, code as u8)
        }
        _ => which.agrees(code),
    }
}

/// The quality category of a field, where the field is its number.
pub(super) fn measure(place: &Place<'_>) -> Option<Measure> {
    let [setting] = place.which.settings else { return None };
    Measure::of(*setting).filter(|measure| *measure != Measure::Nic)
}

/// A value that claims more than any install may without an approval of its own. A NACv of 3 or 4 is not to be claimed
/// (FAA, as the facts of the trade quote it).
pub(super) fn excess(measure: Measure, value: u8) -> bool {
    match measure {
        Measure::Sil | Measure::Sda | Measure::Gva => true,
        Measure::Nacv => value >= 3,
        Measure::Nic | Measure::Nacp => false,
    }
}

/// At most so many frames are shown as the evidence of a finding.
const MOST_EXAMPLES: usize = 4;

impl Finding {
    /// The beginning of a finding; [`Finding::because`] ends it.
    pub(super) fn new(severity: Severity, cause: &'static str, setting: Option<SettingId>, what: String) -> Self {
        Self {
            severity,
            cause,
            and_cause: None,
            setting,
            what,
            likely_cause: String::new(),
            correction: String::new(),
            rule: String::new(),
            evidence: Vec::new(),
            explains: Vec::new(),
            leaves: Vec::new(),
            refutes: Vec::new(),
            alternatives: Vec::new(),
        }
    }

    /// A finding that a mistake explains.
    pub(super) fn of(severity: Severity, mistake: &Mistake, what: String, evidence: Vec<Evidence>) -> Self {
        let setting = mistake.settings.first().copied();
        let finding = Self::new(severity, mistake.cause, setting, what);
        finding.because(mistake.what, mistake.correction, mistake.source, evidence)
    }

    pub(super) fn because(self, likely: &str, correction: &str, rule: &str, mut evidence: Vec<Evidence>) -> Self {
        evidence.sort_by_key(|evidence| (evidence.file, evidence.line));
        evidence.dedup_by_key(|evidence| (evidence.file, evidence.line));
        evidence.truncate(MOST_EXAMPLES);
        Self {
            likely_cause: likely.to_owned(),
            correction: correction.to_owned(),
            rule: rule.to_owned(),
            evidence,
            ..self
        }
    }
}

/// An analysis: from what was gathered to findings.
type Analysis = fn(&Judge<'_>, &[SettingVerdict], &[Measured]) -> Vec<Finding>;

/// Every analysis of one aircraft.
const ANALYSES: &[Analysis] = &[
    |judge, settings, _| diagnosis::differences(judge, settings),
    |judge, settings, quality| quality::dips(judge, settings, quality),
    |judge, _, quality| quality::floors(judge, quality),
    |judge, _, _| coherence::findings(judge),
    |judge, _, _| agreement::findings(judge),
    |judge, _, _| motion::findings(judge),
    |judge, _, _| altitude::findings(judge),
    |judge, _, _| intervals::findings(judge),
    |judge, _, _| used_codes(judge),
    |judge, _, _| presence::findings(judge),
    |judge, _, _| alerts::findings(judge),
    |judge, _, _| identity::findings(judge),
    |judge, _, _| version::findings(judge),
];

/// A cause that was found in two ways is told once, with what each showed.
fn told_once(findings: Vec<Finding>) -> Vec<Finding> {
    let mut told: Vec<Finding> = Vec::new();
    for finding in findings {
        let covers = |known: &&mut Finding| {
            known.cause == finding.cause
                && known.severity < finding.severity
                && (known.setting == finding.setting
                    || finding.setting.is_some_and(|setting| known.explains.contains(&setting)))
        };
        match told.iter_mut().find(covers) {
            Some(known) => {
                let _ = write!(known.what, "; {}", finding.what);
                known.evidence.extend(finding.evidence);
            }
            None => told.push(finding),
        }
    }
    told
}

/// What a finding is worth among those of one severity: many settings at once first, then the order of a profile.
fn importance(finding: &Finding) -> (Severity, bool, Option<usize>) {
    let place = SETTINGS.iter().position(|setting| Some(setting.id) == finding.setting);
    (finding.severity, finding.cause != UNIT_MOVED.cause, place)
}

pub(super) fn report(fleet: &Fleet, at: usize) -> Report {
    let install = &fleet.installs[at];
    let chosen = choose_tally(fleet, at);
    let heard_as = chosen.map(|(address, _)| address);
    let nothing = Tally::new(&install.expected);
    let tally = chosen.map_or(&nothing, |(_, tally)| tally);
    let mut judge = Judge::new(install, tally, &fleet.rules, fleet.dips);
    judge.times_not_understood = fleet.accounting.time_not_understood;

    let mut settings = settings::fates(&judge);
    let quality = quality::measured(&judge);
    let mut findings: Vec<Finding> =
        ANALYSES.iter().flat_map(|analysis| analysis(&judge, &settings, &quality)).collect();
    findings.extend(other_addresses(fleet, at, heard_as));
    findings.sort_by_key(importance);
    let mut findings = told_once(findings);
    whose(fleet, at, heard_as, &mut findings);
    fold(&mut findings);
    settings::refute(&mut settings, &findings);
    let not_judged = not_judged::checks(&judge, &settings);

    let of_another = |address: Address| {
        let installs = fleet.by_address.get(&address).into_iter().flatten();
        installs.into_iter().any(|at| fleet.installs[*at].address == address)
    };
    let confirmed_replies = if tally.in_clear > 0 { tally.replies } else { 0 };
    Report {
        profile: install.name.clone(),
        address: install.address,
        heard_as,
        near: if heard_as.is_none() { near::near(install, &fleet.in_clear, of_another) } else { Vec::new() },
        verdict: verdict(&settings, &findings, &not_judged),
        accounting: fleet.accounting.clone(),
        unread: fleet.unread.clone(),
        of_this_aircraft: tally.in_clear + confirmed_replies,
        parity_invalid: fleet.parity_invalid,
        times: tally.times,
        files: fleet.files.clone(),
        settings,
        not_judged,
        findings,
        rules: fleet.rules.name.clone(),
        quality,
        reception: [false, true]
            .into_iter()
            .filter_map(|ground| intervals::reception(&tally.intervals, ground))
            .collect(),
        elements: intervals::elements(&judge),
        intervals: tally.intervals.clone(),
        coherence: tally.coherence.clone(),
        agreement: tally.agreement.clone(),
        motion: tally.motion.clone(),
        path: tally.path.clone(),
        altitudes: tally.altitudes.clone(),
        changes: None,
    }
}

/// Says whose a wrong address is, where no entry error explains it: another profile's, or another mark's.
fn whose(fleet: &Fleet, at: usize, heard_as: Option<Address>, findings: &mut [Finding]) {
    let Some(seen) = heard_as.filter(|seen| *seen != fleet.installs[at].address) else { return };
    let owner = fleet.installs.iter().enumerate().find(|(other, install)| *other != at && install.address == seen);
    let owner = owner.map(|(_, install)| {
        let mark = install.profile.registration.get().map(|mark| mark.0.clone());
        format!(
            "it is the address of {}, whose profile is {}",
            mark.as_deref().unwrap_or("another aircraft"),
            install.name
        )
    });
    let mark = || mark_of_address(seen).map(|mark| format!("by arithmetic it is the address of {mark}"));
    let Some(detail) = owner.or_else(mark) else { return };
    let address = ADDRESS_OF_ANOTHER_MARK.settings;
    for finding in
        findings.iter_mut().filter(|finding| finding.setting.is_some_and(|setting| address.contains(&setting)))
    {
        if finding.cause == UNEXPLAINED.cause {
            finding.cause = ADDRESS_OF_ANOTHER_MARK.cause;
            finding.likely_cause = format!("{} ({detail})", ADDRESS_OF_ANOTHER_MARK.what);
            ADDRESS_OF_ANOTHER_MARK.correction.clone_into(&mut finding.correction);
        } else if finding.severity == Severity::Error {
            finding.likely_cause = format!("{}; {detail}", finding.likely_cause);
        }
    }
}

/// What follows from another finding is not told as a fault of its own: a unit of version 0 sends no operational status,
/// and a contradiction of air and ground makes messages look missing.
fn fold(findings: &mut Vec<Finding>) {
    let has = |cause: &str| findings.iter().any(|f| f.cause == cause && f.severity == Severity::Error);
    let (old, contradictory) = (has(SOFTWARE_VERSION.cause), has(AIR_GROUND_CONTRADICTION.cause));
    findings.retain(|finding| {
        let missing = finding.cause == MESSAGE_MISSING.cause;
        !(missing && (contradictory || old && finding.what.starts_with("operational_status")))
    });
}

/// Codes for visual flight, by region: the United States; most of Europe and ICAO regions that use one.
const VFR_CODES: [(&str, &str); 3] = [("1200", "North America"), ("7000", "most of Europe"), ("2000", "no code given")];

/// The visual-flight code of another region, and never the preset one.
fn used_codes(judge: &Judge<'_>) -> Vec<Finding> {
    let preset = judge.install.profile.vfr_mode_a_code.get().map(ToString::to_string);
    let Some(preset) = preset else { return Vec::new() };
    let mut seen: BTreeMap<String, Evidence> = BTreeMap::new();
    for place in judge.of(SettingId::VfrModeACode) {
        for (code, evidence) in judge.codes(place) {
            let digits = ModeA::from_bits(code).to_string();
            seen.entry(digits).and_modify(|known| known.add(&evidence)).or_insert(evidence);
        }
    }
    if seen.contains_key(&preset) {
        return Vec::new();
    }
    let others = VFR_CODES.iter().filter_map(|(code, region)| Some((code, region, *seen.get(*code)?)));
    others
        .map(|(code, region, evidence)| {
            let what = format!("{code} ({region}) was seen, and never the preset {preset}");
            Finding::of(Severity::Note, &VFR_CODE, what, vec![evidence])
        })
        .collect()
}

fn verdict(settings: &[SettingVerdict], findings: &[Finding], not_judged: &[NotJudged]) -> Verdict {
    let any = |fate: Fate| settings.iter().any(|setting| setting.fate == fate && setting.counts());
    if any(Fate::Differs) || findings.iter().any(|finding| finding.severity == Severity::Error) {
        Verdict::Differs
    } else if any(Fate::NotSeen) || any(Fate::NotFilledIn) || not_judged.iter().any(|check| check.needed) {
        Verdict::Incomplete
    } else {
        Verdict::Agrees
    }
}

/// The tally of the right address where it was heard in clear, else of the address that most likely is this aircraft's.
fn choose_tally(fleet: &Fleet, at: usize) -> Option<(Address, &Tally)> {
    let install = &fleet.installs[at];
    let tallies = &fleet.tallies[at];
    if let Some(own) = tallies.get(&install.address).filter(|tally| tally.in_clear > 0) {
        return Some((install.address, own));
    }
    let known: BTreeMap<Address, usize> =
        mistaken_addresses(&install.profile).map(|(at, address)| (address, at)).collect();
    tallies
        .iter()
        .filter(|(address, tally)| **address != install.address && tally.in_clear > 0)
        .max_by_key(|(address, tally)| (known.contains_key(address), tally.in_clear))
        .map(|(address, tally)| (*address, &**tally))
}

/// The same identification under another address, while the right address is heard too.
fn other_addresses(fleet: &Fleet, at: usize, heard_as: Option<Address>) -> Vec<Finding> {
    let others = fleet.tallies[at].iter().filter(|(address, tally)| Some(**address) != heard_as && tally.in_clear > 0);
    others
        .map(|(address, tally)| {
            let what = format!(
                "address {address} sends the same identification, or what an entry error makes of it ({} frames)",
                tally.in_clear
            );
            let evidence = tally.identifications.values().next().copied().into_iter().collect();
            Finding::of(Severity::Warning, &SECOND_TRANSPONDER, what, evidence)
        })
        .collect()
}
