//! From the tally to the verdict: every setting's fate, and findings that a technician can act on.

use super::diagnosis::{Difference, explain};
use super::tally::{Evidence, Tally};
use super::{Fleet, Install, mistaken_addresses};
use crate::capture::Accounting;
use crate::code::{Value, Version, navigation_integrity};
use crate::frame::Address;
use crate::onair::{Decision, Emission, Rule, longest_interval_s, why_not_on_air};
use crate::profile::mistake::{
    AIR_GROUND_INVERTED, ALTITUDE_WIRE, MISTAKES, Mistake, STALE_IDENTIFICATION, UNEXPLAINED, UNIT_MOVED,
};
use crate::profile::{Floor, RuleSet, SETTINGS, Severity, Stated};
use std::collections::BTreeMap;

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
}

impl Fate {
    /// The word in JSON.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Agrees => "agrees",
            Self::Differs => "differs",
            Self::NotSeen => "not_seen",
            Self::NotOnAir => "not_on_air",
        }
    }
}

/// What the capture says of the whole install.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Every setting that can be on the air was seen and agrees.
    Agrees,
    /// A setting differs.
    Differs,
    /// Nothing differs, and not everything was seen.
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
pub struct Seen {
    /// The value.
    pub value: Value,
    /// In words.
    pub text: String,
    /// Whether it agrees with the install.
    pub agrees: bool,
    /// Where.
    pub evidence: Evidence,
}

/// One setting's fate.
#[derive(Clone, Debug)]
pub struct SettingVerdict {
    /// JSON pointer.
    pub setting: &'static str,
    /// How it was judged.
    pub rule: Rule,
    /// What became of it.
    pub fate: Fate,
    /// What the install puts on the air for it, as data; null where nothing.
    pub expected: Value,
    /// The same in words.
    pub expected_text: String,
    /// What was seen.
    pub observed: Vec<Seen>,
    /// The field that carries it, where that is one.
    pub field: &'static str,
    /// The messages that carry it.
    pub messages: Vec<&'static str>,
    /// For what was not proved: why, or what would show it.
    pub remark: Option<String>,
}

/// Something to act on, or to know.
#[derive(Clone, Debug)]
pub struct Finding {
    /// How much it weighs.
    pub severity: Severity,
    /// The fixed identifier of the cause.
    pub cause: &'static str,
    /// JSON pointer.
    pub setting: String,
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
    /// The verdict.
    pub verdict: Verdict,
    /// The account of all lines.
    pub accounting: Accounting,
    /// Frames of this aircraft.
    pub of_this_aircraft: u64,
    /// Frames of any aircraft whose parity does not hold.
    pub parity_invalid: u64,
    /// The files, in the order that evidence counts them.
    pub files: Vec<String>,
    /// Every stated setting.
    pub settings: Vec<SettingVerdict>,
    /// Findings, gravest first.
    pub findings: Vec<Finding>,
    /// The rule set that was applied.
    pub rules: String,
}

impl Report {
    /// How many settings were proved, and how many can be.
    pub fn proved(&self) -> (usize, usize) {
        let count = |fates: &[Fate]| self.settings.iter().filter(|setting| fates.contains(&setting.fate)).count();
        (count(&[Fate::Agrees]), count(&[Fate::Agrees, Fate::Differs, Fate::NotSeen]))
    }
}

/// A decision in its place.
struct Place<'a> {
    emission: usize,
    decision: usize,
    which: &'a Decision,
    frame: &'a Emission,
    used: bool,
}

fn places(install: &Install) -> Vec<Place<'_>> {
    let mut places = Vec::new();
    for (emission, frame) in install.expected.iter().enumerate() {
        for (decision, which) in frame.decisions.iter().chain(&frame.used).enumerate() {
            places.push(Place { emission, decision, which, frame, used: decision >= frame.decisions.len() });
        }
    }
    places
}

const NIC: &str = "/position_source/nic";

pub(super) fn report(fleet: &Fleet, at: usize, rules: &RuleSet) -> Report {
    let install = &fleet.installs[at];
    let (heard_as, tally) = choose_tally(fleet, at);
    let tally = tally.unwrap_or_else(|| Tally::new(&install.expected));
    let version_known = tally.versions.keys().copied().eq([Version::Two.number()]);
    let judge = Judge { install, tally: &tally, version_known, places: places(install) };

    let mut settings: Vec<SettingVerdict> = SETTINGS
        .iter()
        .filter(|setting| setting.pointer != "/notes")
        .filter_map(|setting| judge.setting(setting))
        .collect();
    settings.sort_by_key(|setting| SETTINGS.iter().position(|known| known.pointer == setting.setting));
    let mut findings = judge.differences(&settings);
    findings.extend(judge.dips(&settings));
    findings.extend(judge.signs());
    findings.extend(judge.floors(rules));
    findings.extend(other_addresses(fleet, at, heard_as));
    let order = |pointer: &str| SETTINGS.iter().position(|setting| setting.pointer == pointer);
    findings.sort_by_key(|finding| (finding.severity, order(&finding.setting)));

    let fates = |fate: Fate| settings.iter().any(|setting| setting.fate == fate);
    let verdict = if fates(Fate::Differs) {
        Verdict::Differs
    } else if fates(Fate::NotSeen) {
        Verdict::Incomplete
    } else {
        Verdict::Agrees
    };
    let confirmed_replies = if tally.in_clear > 0 { tally.replies } else { 0 };
    Report {
        profile: install.name.clone(),
        address: install.address,
        heard_as,
        verdict,
        accounting: fleet.accounting.clone(),
        of_this_aircraft: tally.in_clear + confirmed_replies,
        parity_invalid: fleet.parity_invalid,
        files: fleet.files.clone(),
        settings,
        findings,
        rules: rules.name.clone(),
    }
}

/// The tally of the right address where it was heard in clear, else of the address that most likely is this aircraft's.
fn choose_tally(fleet: &Fleet, at: usize) -> (Option<Address>, Option<Tally>) {
    let install = &fleet.installs[at];
    let tallies = &fleet.tallies[at];
    if let Some(own) = tallies.get(&install.address).filter(|tally| tally.in_clear > 0) {
        return (Some(install.address), Some(own.clone()));
    }
    let known: BTreeMap<Address, usize> =
        mistaken_addresses(&install.profile).map(|(at, address)| (address, at)).collect();
    tallies
        .iter()
        .filter(|(address, tally)| **address != install.address && tally.in_clear > 0)
        .max_by_key(|(address, tally)| (known.contains_key(address), tally.in_clear))
        .map_or((None, None), |(address, tally)| (Some(*address), Some(tally.clone())))
}

/// The same identification under another address, while the right address is heard too.
fn other_addresses(fleet: &Fleet, at: usize, heard_as: Option<Address>) -> Vec<Finding> {
    let others = fleet.tallies[at].iter().filter(|(address, tally)| Some(**address) != heard_as && tally.in_clear > 0);
    others
        .map(|(address, tally)| Finding {
            severity: Severity::Warning,
            cause: UNEXPLAINED.cause,
            setting: "/aircraft/address".to_owned(),
            what: format!("address {address} sends the same identification ({} frames)", tally.in_clear),
            likely_cause: "a second transponder that was not set up, or another aircraft with the same identification"
                .to_owned(),
            correction: "look whether this aircraft has a second unit, and set both up alike".to_owned(),
            rule: "one aircraft, one address (ICAO rule as summarised publicly)".to_owned(),
            evidence: tally.identifications.values().next().copied().into_iter().collect(),
        })
        .collect()
}

struct Judge<'a> {
    install: &'a Install,
    tally: &'a Tally,
    /// Whether every operational status heard was of the version that the profile is encoded in.
    version_known: bool,
    /// Every field that the install decides or presets, in its place.
    places: Vec<Place<'a>>,
}

impl Judge<'_> {
    /// The fields behind a setting.
    fn of<'p>(&'p self, pointer: &str) -> impl Iterator<Item = &'p Place<'p>> {
        self.places.iter().filter(move |place| place.which.settings.contains(&pointer))
    }

    /// Codes of one decision that may support a verdict.
    fn codes(&self, place: &Place<'_>) -> BTreeMap<u64, Evidence> {
        let observed = &self.tally.fields[place.emission][place.decision];
        let reply = place.frame.address_in_parity;
        if reply && self.tally.in_clear == 0 || place.which.by_version && !self.version_known {
            return BTreeMap::new();
        }
        // A reply's address stands in its parity, so one alone proves nothing.
        observed
            .codes
            .iter()
            .filter(|(_, evidence)| !reply || evidence.frames >= 2)
            .map(|(code, evidence)| (*code, *evidence))
            .collect()
    }

    /// Whether low quality is the install's: its position messages, if any were heard, carried a position.
    fn quality_counts(&self) -> bool {
        self.tally.positions > 0 || self.tally.without_position == 0
    }

    fn setting(&self, setting: &'static crate::profile::Setting) -> Option<SettingVerdict> {
        let Stated::Is(words) = (setting.words)(&self.install.profile) else { return None };
        let places: Vec<&Place<'_>> = self.of(setting.pointer).collect();
        let rule = places.first().map_or(Rule::Equal, |place| place.which.rule);
        let not_on_air = why_not_on_air(&self.install.profile, setting.pointer);
        let verdict = |fate, expected, expected_text, observed, remark| {
            let mut messages: Vec<&str> = places.iter().map(|place| place.frame.table.message).collect();
            messages.dedup();
            // NIC comes out of several fields together.
            let field = places.first().filter(|_| setting.pointer != NIC).map_or("", |place| place.which.field);
            Some(SettingVerdict {
                setting: setting.pointer,
                rule,
                fate,
                expected,
                expected_text,
                observed,
                field,
                messages,
                remark,
            })
        };
        if let Some(reason) = not_on_air {
            return verdict(Fate::NotOnAir, Value::Null, words, Vec::new(), Some(reason.to_owned()));
        }
        if places.is_empty() {
            let reason = missing_reason(setting.pointer);
            return verdict(Fate::NotOnAir, Value::Null, words, Vec::new(), Some(reason.to_owned()));
        }
        if setting.pointer == NIC {
            let (fate, observed) = self.nic();
            let nic = self.install.profile.nic.get().map_or(0, |nic| nic.0);
            let remark = (fate == Fate::NotSeen).then(|| self.would_show(&places));
            return verdict(fate, Value::Integer(nic.into()), nic.to_string(), observed, remark);
        }
        let mut observed: Vec<Seen> = Vec::new();
        for place in &places {
            for (code, evidence) in self.codes(place) {
                let meaning = (place.which.meaning)(code, Version::Two);
                let agrees = place.which.agrees(code);
                match observed.iter_mut().find(|seen| seen.value == meaning.value && seen.agrees == agrees) {
                    Some(seen) => seen.evidence.add(&evidence),
                    None => observed.push(Seen {
                        text: meaning.words().into_owned(),
                        value: meaning.value,
                        agrees,
                        evidence,
                    }),
                }
            }
        }
        observed.sort_by_key(|seen| std::cmp::Reverse(seen.evidence.frames));
        let met = observed.iter().any(|seen| seen.agrees);
        let missed = observed.iter().any(|seen| !seen.agrees);
        let fate = match rule {
            Rule::Equal if missed => Fate::Differs,
            Rule::AtLeast | Rule::MayDrop if missed && !met && self.quality_counts() => Fate::Differs,
            _ if met => Fate::Agrees,
            _ => Fate::NotSeen,
        };
        let expected = places[0].which.expected();
        let remark = (fate == Fate::NotSeen).then(|| self.would_show(&places));
        let mut text = expected.words().into_owned();
        // Where air and ground have a code each, both are right.
        for other in places[0].which.also {
            text = format!("{text}; or {}", (places[0].which.meaning)(*other, Version::Two).words());
        }
        verdict(fate, expected.value, text, observed, remark)
    }

    /// What would show a setting that this capture does not.
    fn would_show(&self, places: &[&Place<'_>]) -> String {
        let seen_without_meaning =
            places.iter().any(|place| !self.tally.fields[place.emission][place.decision].codes.is_empty());
        if places.iter().any(|place| place.used) {
            return "shown only when the crew uses it".to_owned();
        }
        if seen_without_meaning && !self.version_known && places.iter().all(|place| place.which.by_version) {
            return "the version in force was not heard: capture an operational status too".to_owned();
        }
        if seen_without_meaning && places.iter().all(|place| place.frame.address_in_parity) {
            return "seen in a single reply, or under an address not heard in clear: two replies must agree".to_owned();
        }
        let mut ways: Vec<String> = Vec::new();
        for place in places {
            let message = place.frame.table.title;
            let way = match (longest_interval_s(place.frame), place.frame.asked_by) {
                (Some(seconds), _) => {
                    // Two chances for each frame that may get lost.
                    let enough = (seconds * 3.0).ceil().max(5.0);
                    format!("{}, {enough} s: {message}", place.frame.when.words())
                }
                (None, Some(asked_by)) => format!("replies to {asked_by}"),
                (None, None) => continue,
            };
            if !ways.contains(&way) {
                ways.push(way);
            }
        }
        ways.truncate(3);
        ways.join("; or ")
    }

    /// NIC comes out of the type code and supplements of two messages together.
    fn nic(&self) -> (Fate, Vec<Seen>) {
        let Some(wanted) = self.install.profile.nic.get().map(|nic| nic.0) else { return (Fate::NotSeen, Vec::new()) };
        if !self.version_known {
            return (Fate::NotSeen, Vec::new());
        }
        let mut seen: BTreeMap<u8, Evidence> = BTreeMap::new();
        for ((surface, type_code, b), evidence) in &self.tally.radii {
            let supplements: Vec<(u8, u8)> =
                self.tally.supplements.keys().filter(|key| key.0 == *surface).map(|key| (key.1, key.2)).collect();
            // A supplement that changed, or was not heard, decides nothing.
            let only = if let [only] = supplements[..] { Some(only) } else { None };
            let a = only.map(|only| only.0);
            let (b, c) = if *surface { (None, only.map(|only| only.1)) } else { (Some(*b), None) };
            if let Some((nic, _)) = navigation_integrity(*type_code, a, b, c, Version::Two) {
                seen.entry(nic).and_modify(|known| known.add(evidence)).or_insert(*evidence);
            }
        }
        let fate = match seen.keys().max() {
            None => Fate::NotSeen,
            Some(best) if *best >= wanted => Fate::Agrees,
            Some(_) => Fate::Differs,
        };
        let observed = seen.into_iter().map(|(nic, evidence)| Seen {
            value: Value::Integer(nic.into()),
            text: nic.to_string(),
            agrees: nic >= wanted,
            evidence,
        });
        (fate, observed.collect())
    }

    /// Findings for what differs, each difference explained once.
    fn differences(&self, settings: &[SettingVerdict]) -> Vec<Finding> {
        let differs =
            |pointer: &str| settings.iter().any(|setting| setting.setting == pointer && setting.fate == Fate::Differs);
        let mut differences = Vec::new();
        for place in self.places.iter().filter(|place| !place.used) {
            // NIC is judged over several messages together, not by one field.
            if place.which.settings == [NIC] || !place.which.settings.iter().any(|pointer| differs(pointer)) {
                continue;
            }
            let codes = self.codes(place);
            let wrong = codes.iter().filter(|(code, _)| !place.which.agrees(**code));
            let met = codes.keys().any(|code| place.which.agrees(*code));
            if place.which.rule != Rule::Equal && met {
                continue;
            }
            if let Some((code, _)) = wrong.max_by_key(|(_, evidence)| evidence.frames) {
                differences.push(Difference { emission: place.emission, decision: place.decision, code: *code });
            }
        }
        let explanations = explain(self.install, self.tally, &differences);
        let mut findings: Vec<Finding> = Vec::new();
        let mut left: Vec<usize> = (0..differences.len()).collect();
        for explanation in &explanations {
            left.retain(|at| !explanation.explains.contains(at));
            let explained: Vec<&Difference> = explanation.explains.iter().map(|at| &differences[*at]).collect();
            findings.push(self.finding(explanation.mistake, &explanation.detail, &explained, settings));
        }
        let mut rest: BTreeMap<&[&str], Vec<&Difference>> = BTreeMap::new();
        for at in left {
            let difference = &differences[at];
            rest.entry(self.decision(difference).settings).or_default().push(difference);
        }
        for (pointers, differences) in rest {
            let mistake = if pointers.contains(&"/aircraft/aircraft_identification") {
                &STALE_IDENTIFICATION
            } else {
                &UNEXPLAINED
            };
            findings.push(self.finding(mistake, "", &differences, settings));
        }
        if let Some(moved) = Self::moved(&findings) {
            findings.push(moved);
        }
        if differs(NIC) {
            findings.extend(settings.iter().find(|setting| setting.setting == NIC).map(|setting| {
                let zero = setting.observed.iter().all(|seen| seen.value == Value::Integer(0));
                let mistake = MISTAKES.iter().find(|mistake| mistake.cause == "integrity_not_passed").filter(|_| zero);
                finding_of(
                    mistake.unwrap_or(&UNEXPLAINED),
                    "",
                    setting,
                    setting.observed.iter().map(|seen| seen.evidence).collect(),
                )
            }));
        }
        findings
    }

    fn decision(&self, difference: &Difference) -> &Decision {
        &self.install.expected[difference.emission].decisions[difference.decision]
    }

    fn finding(
        &self,
        mistake: &'static Mistake,
        detail: &str,
        explained: &[&Difference],
        settings: &[SettingVerdict],
    ) -> Finding {
        let mut evidence: Vec<Evidence> = explained
            .iter()
            .filter_map(|difference| {
                self.tally.fields[difference.emission][difference.decision].codes.get(&difference.code)
            })
            .copied()
            .collect();
        evidence.sort_by_key(|evidence| (evidence.file, evidence.line));
        evidence.dedup_by_key(|evidence| (evidence.file, evidence.line));
        let pointers: Vec<&str> =
            explained.iter().flat_map(|difference| self.decision(difference).settings).copied().collect();
        let named =
            settings.iter().find(|setting| pointers.contains(&setting.setting) && setting.fate == Fate::Differs);
        match named {
            Some(setting) => finding_of(mistake, detail, setting, evidence),
            None => finding_of(mistake, detail, &settings[0], evidence),
        }
    }

    /// Whether so much belongs to another aircraft that the unit was most likely moved.
    fn moved(findings: &[Finding]) -> Option<Finding> {
        let touches = |pointer: &str, cause: Option<&str>| {
            findings
                .iter()
                .find(|finding| finding.setting == pointer && cause.is_none_or(|cause| finding.cause == cause))
        };
        let identification = touches("/aircraft/aircraft_identification", Some(STALE_IDENTIFICATION.cause))?;
        let category = touches("/aircraft/emitter_category", None)?;
        Some(Finding {
            severity: Severity::Warning,
            cause: UNIT_MOVED.cause,
            setting: "/aircraft/aircraft_identification".to_owned(),
            what: UNIT_MOVED.what.to_owned(),
            likely_cause: UNIT_MOVED.what.to_owned(),
            correction: UNIT_MOVED.correction.to_owned(),
            rule: UNIT_MOVED.source.to_owned(),
            evidence: [&identification.evidence[..], &category.evidence[..]].concat(),
        })
    }

    /// What the messages say against themselves, whatever the profile says.
    fn signs(&self) -> Vec<Finding> {
        let sign = |mistake: &Mistake, what: &str, evidence: Option<Evidence>| {
            evidence.map(|evidence| Finding {
                severity: Severity::Warning,
                cause: mistake.cause,
                setting: mistake.settings.first().copied().unwrap_or_default().to_owned(),
                what: what.to_owned(),
                likely_cause: mistake.what.to_owned(),
                correction: mistake.correction.to_owned(),
                rule: mistake.source.to_owned(),
                evidence: vec![evidence],
            })
        };
        let fast = sign(&AIR_GROUND_INVERTED, "surface messages above 100 kt", self.tally.fast_on_surface);
        let illegal = sign(&ALTITUDE_WIRE, "altitude codes that no altitude has", self.tally.illegal_altitudes);
        fast.into_iter().chain(illegal).collect()
    }

    /// Notes on quality that was met, and was lower at times.
    fn dips(&self, settings: &[SettingVerdict]) -> Vec<Finding> {
        let mut notes = Vec::new();
        for setting in settings
            .iter()
            .filter(|setting| setting.fate == Fate::Agrees && matches!(setting.rule, Rule::AtLeast | Rule::MayDrop))
        {
            let total: u64 = setting.observed.iter().map(|seen| seen.evidence.frames).sum();
            let low: Vec<_> = setting.observed.iter().filter(|seen| !seen.agrees).collect();
            let bad: u64 = low.iter().map(|seen| seen.evidence.frames).sum();
            if bad == 0 {
                continue;
            }
            let longest = self
                .of(setting.setting)
                .filter(|_| setting.setting != NIC)
                .map(|place| self.tally.fields[place.emission][place.decision].run.longest)
                .max()
                .filter(|longest| *longest > 0);
            let run = longest.map_or_else(String::new, |longest| format!(", longest run {longest} frames"));
            notes.push(Finding {
                severity: Severity::Note,
                cause: "quality_dips",
                setting: setting.setting.to_owned(),
                what: format!(
                    "{:.1} % of {total} frames below {}{run}",
                    bad as f64 * 100.0 / total as f64,
                    setting.expected_text
                ),
                likely_cause: "the sky view, interference, or the start of the position source".to_owned(),
                correction: "none from this alone; look whether it is there in every flight".to_owned(),
                rule: setting.rule.key().to_owned(),
                evidence: low.iter().map(|seen| seen.evidence).collect(),
            });
        }
        notes
    }

    /// What was seen, held against a regulator's floors.
    fn floors(&self, rules: &RuleSet) -> Vec<Finding> {
        rules.floors.iter().filter_map(|floor| self.floor(floor, rules)).collect()
    }

    fn floor(&self, floor: &Floor, rules: &RuleSet) -> Option<Finding> {
        let (best, evidence) = if floor.setting == NIC {
            let seen = self.nic().1;
            let best = seen.iter().max_by_key(|seen| if let Value::Integer(nic) = seen.value { nic } else { 0 })?;
            let Value::Integer(nic) = best.value else { return None };
            (nic as u64, best.evidence)
        } else {
            self.of(&floor.setting).flat_map(|place| self.codes(place)).max_by_key(|(code, _)| *code)?
        };
        if best >= u64::from(floor.at_least) || !self.quality_counts() {
            return None;
        }
        let (severity, unseen) = if floor.is_confirmed() {
            (Severity::Warning, "")
        } else {
            (Severity::Note, "; this number is from memory")
        };
        Some(Finding {
            severity,
            cause: "below_floor",
            setting: floor.setting.clone(),
            what: format!("the best seen is {best}, and {} wants {} or more", rules.title, floor.at_least),
            likely_cause: "the install's own value, or the position source".to_owned(),
            correction: "compare with the rule itself, and with the approval data".to_owned(),
            rule: format!("{} ({}{unseen})", floor.clause, rules.date),
            evidence: vec![evidence],
        })
    }
}

fn finding_of(
    mistake: &'static Mistake,
    detail: &str,
    setting: &SettingVerdict,
    mut evidence: Vec<Evidence>,
) -> Finding {
    evidence.truncate(4);
    let seen: Vec<&str> = setting.observed.iter().filter(|seen| !seen.agrees).map(|seen| seen.text.as_str()).collect();
    Finding {
        severity: Severity::Error,
        cause: mistake.cause,
        setting: setting.setting.to_owned(),
        what: format!("expected {}, seen {}", setting.expected_text, seen.join(" and ")),
        likely_cause: if detail.is_empty() { mistake.what.to_owned() } else { format!("{} ({detail})", mistake.what) },
        correction: mistake.correction.to_owned(),
        rule: format!("{} ({})", setting.rule.key(), mistake.source),
        evidence,
    }
}

fn missing_reason(pointer: &str) -> &'static str {
    match pointer {
        "/aircraft/aircraft_identification" | "/transponder/vfr_mode_a_code" => "the crew decides it",
        "/transponder/data_link/registers" => "no register among these carries an install setting",
        "/transponder/data_link/si_codes" => "stands in register 1,0, which this install does not serve",
        "/aircraft/length" | "/aircraft/width" => "length and width make one code, and one of them is not stated",
        "/transponder/altitude_source/kind" | "/transponder/altitude_source/cross_checked" => {
            "stands in the cross-check bit together with a setting that is not stated"
        }
        "/transponder/mode_s_level" | "/transponder/air_ground/kind" => {
            "stands in the capability together with a setting that is not stated"
        }
        _ => "this install sends no message that carries it",
    }
}
