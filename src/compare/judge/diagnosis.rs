//! Explains why a value differs: finds the wrong profile whose bits are the observed ones.

use super::{
    Alternative, Finding, Judge, Place, Said, SeenValue, SettingStatus, SettingVerdict, agrees, measure, places,
};
use crate::code::{Bits, Value};
use crate::compare::install::Install;
use crate::compare::observe::{Evidence, QualityMeasure, Seen};
use crate::compare::report::in_words;
use crate::onair::{Flight, Rule, When, emissions_laid_out, version_of};
use crate::profile::mistake::{
    INTEGRITY_NOT_PASSED, MISTAKES, Mistake, NEVER_ENTERED, QUALITY_EXCESS, QUALITY_RESERVED, STALE_IDENTIFICATION,
    UNEXPLAINED, UNIT_MOVED,
};
use crate::profile::{Profile, SettingId, Severity, names as plain_names};
use std::collections::BTreeMap;
use std::fmt::Write;

const NIC: SettingId = QualityMeasure::Nic.setting();
const IDENTIFICATION: SettingId = SettingId::AircraftIdentification;

/// At most this many other causes are named.
const MOST_ALTERNATIVES: usize = 4;

/// A field that was heard and supports a verdict.
struct Field<'a> {
    place: &'a Place<'a>,
    codes: Seen<u64>,
    /// The code seen most, where it is not the install's.
    wrong: Option<u64>,
}

/// A wrong profile, and the codes that it would have sent in the fields that were heard.
struct Supposed {
    mistakes: Vec<&'static Mistake>,
    detail: String,
    codes: Vec<Option<u64>>,
}

/// How well a supposed profile fits: the differences that it explains, and how many fields speak against it.
struct Fit<'s> {
    supposed: &'s Supposed,
    explains: Vec<usize>,
    against: usize,
}

impl Fit<'_> {
    fn worth(&self) -> i64 {
        self.explains.len() as i64 - 2 * self.against as i64
    }
}

/// Mistakes that explain some of the fields that differ.
struct Explained {
    mistakes: Vec<&'static Mistake>,
    detail: String,
    /// The fields, by their place.
    fields: Vec<usize>,
    alternatives: Vec<Alternative>,
    /// Settings that the mistakes touch and do not explain.
    leaves: Vec<SettingId>,
}

/// Findings for what differs, each difference explained once.
pub fn differences(judge: &Judge<'_>, settings: &[SettingVerdict]) -> Vec<Finding> {
    let differs = |wanted: SettingId| {
        settings.iter().any(|setting| setting.setting == wanted && setting.status == SettingStatus::Differs)
    };
    let fields: Vec<Field<'_>> = fields(judge, differs);
    let told = explained(judge.install, &fields).into_iter().map(|told| {
        let of: Vec<&Field<'_>> = told.fields.iter().map(|at| &fields[*at]).collect();
        let mut finding = finding(judge, settings, &told.mistakes, &told.detail, &of);
        finding.alternatives = told.alternatives;
        finding.leaves = told.leaves;
        finding.leaves.retain(|setting| !finding.explains.contains(setting));
        finding.leaves.dedup();
        finding
    });
    let mut findings: Vec<Finding> = told.collect();
    if differs(NIC) {
        findings.extend(integrity(judge, settings));
    }
    findings.extend(unit_moved(judge, &findings));
    findings
}

/// What explains the fields that differ, each of them once.
fn explained(install: &Install, fields: &[Field<'_>]) -> Vec<Explained> {
    let mut open: Vec<usize> = (0..fields.len()).filter(|at| fields[*at].wrong.is_some()).collect();
    let singles = singles(install, fields, &open);
    let mut all = Vec::new();
    let tell = |fit: &Fit<'_>, supposed: &[Supposed], open: &[usize]| {
        let touched = |field: &Field<'_>| {
            let settings = field.place.which.settings;
            settings.iter().any(|setting| fit.supposed.mistakes.iter().any(|m| m.settings.contains(setting)))
        };
        let left = open.iter().filter(|at| !fit.explains.contains(at) && touched(&fields[**at]));
        Explained {
            mistakes: fit.supposed.mistakes.clone(),
            detail: fit.supposed.detail.clone(),
            fields: fit.explains.clone(),
            alternatives: alternatives(fit, supposed, fields),
            leaves: left.flat_map(|at| fields[*at].place.which.settings).copied().collect(),
        }
    };
    while let Some(fit) = best(&singles, fields, &open) {
        all.push(tell(&fit, &singles, &open));
        open.retain(|at| !fit.explains.contains(at));
    }
    // What no mistake explains alone, two may.
    let pairs = if open.is_empty() { Vec::new() } else { pairs(install, fields, &open) };
    while let Some(fit) = best(&pairs, fields, &open) {
        all.push(tell(&fit, &pairs, &open));
        open.retain(|at| !fit.explains.contains(at));
    }
    let mut rest: BTreeMap<&[SettingId], Vec<usize>> = BTreeMap::new();
    for at in open {
        rest.entry(fields[at].place.which.settings).or_default().push(at);
    }
    for (pointers, of) in rest {
        let explained: Vec<&Field<'_>> = of.iter().map(|at| &fields[*at]).collect();
        let codes = || explained.iter().filter_map(|field| Some((field.wrong?, measure(field.place)?)));
        let mistake = if pointers.contains(&IDENTIFICATION) {
            &STALE_IDENTIFICATION
        } else if explained.iter().all(|field| says_no_data(field)) {
            &NEVER_ENTERED
        } else if codes().any(|(code, measure)| measure.is_reserved(code as u8)) {
            &QUALITY_RESERVED
        } else if explained.iter().any(|field| {
            field.wrong.is_some_and(|wrong| wrong > field.place.which.code) && field.place.which.rule == Rule::Quality
        }) {
            &QUALITY_EXCESS
        } else {
            &UNEXPLAINED
        };
        all.push(Explained {
            mistakes: vec![mistake],
            detail: String::new(),
            fields: of,
            alternatives: Vec::new(),
            leaves: Vec::new(),
        });
    }
    all
}

/// A field that a person read, and what was read.
#[derive(Clone, Copy, Debug)]
pub struct ReadField {
    /// The expected frame, by its place.
    pub emission: usize,
    /// The field in it, by its place.
    pub decision: usize,
    /// The code that was read.
    pub code: u64,
    /// Whether it differs.
    pub differs: bool,
}

/// What explains differences that a person read.
#[derive(Clone, Debug)]
pub struct ReadCause {
    /// The mistake, or two that explain together what neither does alone.
    pub mistakes: Vec<&'static Mistake>,
    /// What exactly they suppose.
    pub detail: String,
    /// The fields that they explain, by their place among those that were read.
    pub fields: Vec<usize>,
    /// Other causes that explain the same.
    pub alternatives: Vec<Alternative>,
}

/// What explains the differences among fields that a person read.
pub fn causes_of_read(install: &Install, read: &[ReadField]) -> Vec<ReadCause> {
    let expected = install.expected();
    let places = places(&expected);
    let mut fields = Vec::new();
    let mut numbers = Vec::new();
    for (number, one) in read.iter().enumerate() {
        let at = |place: &&Place<'_>| (place.emission, place.decision) == (one.emission, one.decision);
        let Some(place) = places.iter().find(at) else { continue };
        // Explaining asks which codes there are, and for no evidence.
        let frame = place.frame.frame;
        let mut codes = Seen::new();
        codes.note(one.code, &Evidence { frames: 1, file: 0, line: 0, time: None, frame });
        fields.push(Field { place, codes, wrong: one.differs.then_some(one.code) });
        numbers.push(number);
    }
    let causes = explained(install, &fields).into_iter().map(|told| ReadCause {
        mistakes: told.mistakes,
        detail: told.detail,
        fields: told.fields.into_iter().map(|at| numbers[at]).collect(),
        alternatives: told.alternatives,
    });
    causes.collect()
}

/// Whether what was seen is the code for no data.
fn says_no_data(field: &Field<'_>) -> bool {
    let which = field.place.which;
    field.wrong.is_some_and(|wrong| (which.meaning)(wrong, which.version).value == Value::Null)
}

/// Every field that was heard, with its difference where its setting differs.
fn fields<'j>(judge: &'j Judge<'_>, differs: impl Fn(SettingId) -> bool) -> Vec<Field<'j>> {
    let heard = judge.places().filter(|place| !place.used).map(|place| (place, judge.codes(place)));
    heard
        .filter(|(_, codes)| !codes.is_empty())
        .map(|(place, codes)| {
            let which = place.which;
            // NIC is judged over several messages together, not by one field.
            let judged = which.settings != [NIC] && which.settings.iter().any(|setting| differs(*setting));
            let wrong = codes.iter().filter(|(code, _)| !agrees(place, **code));
            let most = wrong.max_by_key(|(_, evidence)| evidence.frames).map(|(code, _)| *code);
            let wrong = most.filter(|_| judged && judge.said(place) == Said::Wrong);
            Field { place, codes, wrong }
        })
        .collect()
}

// Supposed profiles --------------------------------------------------------------------------------------------------

fn touches(mistake: &Mistake, fields: &[Field<'_>], open: &[usize]) -> bool {
    let settings = open.iter().flat_map(|at| fields[*at].place.which.settings);
    settings.into_iter().any(|setting| mistake.settings.contains(setting))
}

/// Every mistake that touches what differs, alone; the likelier first.
fn singles(install: &Install, fields: &[Field<'_>], open: &[usize]) -> Vec<Supposed> {
    let touching = MISTAKES.iter().filter(|mistake| touches(mistake, fields, open));
    touching
        .flat_map(|mistake| (mistake.candidates)(&install.profile).into_iter().map(move |wrong| (mistake, wrong)))
        .filter(|(mistake, (profile, _))| mistake.settings != [IDENTIFICATION] || was_heard(profile, fields))
        .filter_map(|(mistake, (profile, detail))| Supposed::new(install, fields, vec![mistake], detail, &profile))
        .collect()
}

/// Whether the identification of a wrong profile was heard; where not, it explains nothing. There are hundreds of ways to
/// mistype a text, and each costs a whole profile's frames.
fn was_heard(profile: &Profile, fields: &[Field<'_>]) -> bool {
    let Some(text) = profile.aircraft_identification.get() else { return true };
    let of_text = |field: &&Field<'_>| field.place.which.settings == [IDENTIFICATION];
    fields.iter().filter(of_text).any(|field| field.codes.contains_key(&text.bits()))
}

/// A text that can be mistyped in more ways than this is not supposed to be mistyped twice: that explains any text.
const MOST_WAYS: usize = 64;

/// Two mistakes that touch one setting that differs, one after the other.
fn pairs(install: &Install, fields: &[Field<'_>], open: &[usize]) -> Vec<Supposed> {
    let few = |mistake: &&Mistake| {
        mistake.settings != [IDENTIFICATION] || (mistake.candidates)(&install.profile).len() <= MOST_WAYS
    };
    let touching: Vec<&Mistake> =
        MISTAKES.iter().filter(|mistake| touches(mistake, fields, open)).filter(few).collect();
    let mut pairs = Vec::new();
    for first in &touching {
        for (profile, detail) in (first.candidates)(&install.profile) {
            for second in touching.iter().filter(|second| second.pairs_with(first)) {
                for (profile, more) in (second.candidates)(&profile) {
                    let detail = format!("{detail}; and {more}");
                    pairs.extend(Supposed::new(install, fields, vec![first, second], detail, &profile));
                }
            }
        }
    }
    pairs
}

impl Supposed {
    fn new(
        install: &Install,
        fields: &[Field<'_>],
        mistakes: Vec<&'static Mistake>,
        detail: String,
        profile: &Profile,
    ) -> Option<Self> {
        // A supposed profile of another version is looked at in the fields of the stated one.
        let emissions = emissions_laid_out(profile, Flight::Healthy, version_of(&install.profile)).ok()?;
        let code = |field: &Field<'_>| {
            let expected = field.place.frame;
            emissions
                .iter()
                .filter(|other| other.table == expected.table && other.reply_to == expected.reply_to)
                // A state that the wrong profile does not tell apart is one frame.
                .find(|other| other.when == expected.when || other.when == When::Both)
                .and_then(|other| other.decisions.iter().find(|other| other.field == field.place.which.field))
                .map(|other| other.code)
        };
        Some(Self { mistakes, detail, codes: fields.iter().map(code).collect() })
    }

    fn fit(&self, fields: &[Field<'_>], open: &[usize]) -> Fit<'_> {
        let explains =
            open.iter().copied().filter(|at| self.codes[*at].is_some() && self.codes[*at] == fields[*at].wrong);
        let against = fields.iter().zip(&self.codes).filter(|(field, code)| {
            let wrong = code.filter(|code| !field.place.which.agrees(*code));
            field.wrong.is_none() && wrong.is_some_and(|wrong| !field.codes.contains_key(&wrong))
        });
        Fit { supposed: self, explains: explains.collect(), against: against.count() }
    }
}

/// The one that explains most and is contradicted least; the first of equals is the likelier one.
fn best<'s>(all: &'s [Supposed], fields: &[Field<'_>], open: &[usize]) -> Option<Fit<'s>> {
    let fits = all.iter().map(|supposed| supposed.fit(fields, open));
    fits.filter(|fit| fit.explains.len() > fit.against).reduce(
        |best, next| {
            if next.worth() > best.worth() { next } else { best }
        },
    )
}

/// Other causes that explain the same differences, the likelier first.
fn alternatives(chosen: &Fit<'_>, all: &[Supposed], fields: &[Field<'_>]) -> Vec<Alternative> {
    let mut found: Vec<(usize, Alternative)> = Vec::new();
    for supposed in all {
        let cause = supposed.mistakes[0].cause;
        let same = supposed.mistakes.iter().map(|m| m.cause).eq(chosen.supposed.mistakes.iter().map(|m| m.cause));
        let fit = supposed.fit(fields, &chosen.explains);
        if same || fit.explains.len() < chosen.explains.len() {
            continue;
        }
        let indistinguishable = supposed.codes == chosen.supposed.codes;
        let alternative = Alternative { cause, detail: supposed.detail.clone(), indistinguishable };
        match found.iter_mut().find(|(_, known)| known.cause == cause) {
            Some(known) if fit.against < known.0 => *known = (fit.against, alternative),
            Some(_) => {}
            None => found.push((fit.against, alternative)),
        }
    }
    // Stable: among equals the likelier stays first.
    found.sort_by_key(|(against, _)| *against);
    found.truncate(MOST_ALTERNATIVES);
    found.into_iter().map(|(_, alternative)| alternative).collect()
}

// Findings -----------------------------------------------------------------------------------------------------------

fn finding(
    judge: &Judge<'_>,
    settings: &[SettingVerdict],
    mistakes: &[&'static Mistake],
    detail: &str,
    explained: &[&Field<'_>],
) -> Finding {
    let mut pointers: Vec<SettingId> = explained.iter().flat_map(|field| field.place.which.settings).copied().collect();
    pointers.sort_unstable_by_key(|setting| setting.pointer());
    pointers.dedup();
    pointers.retain(|pointer| settings.iter().any(|s| s.setting == *pointer && s.status == SettingStatus::Differs));
    let named: Vec<&SettingVerdict> = settings.iter().filter(|setting| pointers.contains(&setting.setting)).collect();
    let mut what: Vec<String> = named.iter().map(|setting| differs(setting)).collect();
    what.dedup();
    let mistake = mistakes[0];
    let mut likely: String = mistakes.iter().map(|mistake| mistake.what).collect::<Vec<_>>().join("; and ");
    if !detail.is_empty() {
        likely = format!("{likely} ({detail})");
    }
    let mut corrections: Vec<&str> = mistakes.iter().map(|mistake| mistake.correction).collect();
    corrections.dedup();
    let rule = named.first().map_or(Rule::Equal, |setting| setting.rule);
    let evidence = explained.iter().filter_map(|field| field.codes.get(&field.wrong?)).copied();
    let mut finding = judge.finding(Severity::Error, mistake, what.join("; "), evidence);
    finding.setting = named.first().map(|setting| setting.setting);
    finding.likely_cause = likely;
    finding.correction = corrections.join("; ");
    finding.rule = format!("{} ({})", rule.key(), mistake.source);
    finding.and_cause = mistakes.get(1).map(|mistake| mistake.cause);
    finding.explains = pointers;
    finding
}

/// What was expected of a setting, and what was seen.
fn differs(setting: &SettingVerdict) -> String {
    let words = |agrees: bool| {
        let seen: Vec<SeenValue> = setting.observed.iter().filter(|seen| seen.agrees == agrees).cloned().collect();
        in_words(&seen).into_iter().map(|(text, _)| text).collect::<Vec<_>>().join(" and ")
    };
    let right: u64 = setting.observed.iter().filter(|seen| seen.agrees).map(|seen| seen.evidence.frames).sum();
    let wrong: u64 = setting.observed.iter().filter(|seen| !seen.agrees).map(|seen| seen.evidence.frames).sum();
    let mut text = format!("expected {}, seen {}", setting.meaning, words(false));
    if right > 0 {
        let _ = write!(text, "; the expected value too, in {right} of {} frames", right + wrong);
        if setting.rule == Rule::Equal {
            text += ": it was changed, or two units take turns";
        }
    }
    text
}

/// NIC was never met.
fn integrity(judge: &Judge<'_>, settings: &[SettingVerdict]) -> Option<Finding> {
    let setting = settings.iter().find(|setting| setting.setting == NIC)?;
    let zero = setting.observed.iter().all(|seen| seen.value == Value::Integer(0));
    let mistake = if zero { &INTEGRITY_NOT_PASSED } else { &UNEXPLAINED };
    let evidence = setting.observed.iter().map(|seen| seen.evidence.clone()).collect();
    let mut finding = judge.finding(Severity::Error, mistake, differs(setting), None).about(NIC).showing(evidence);
    finding.rule = format!("{} ({})", setting.rule.key(), mistake.source);
    finding.explains = vec![NIC];
    Some(finding)
}

/// Whether enough belongs to another aircraft that the unit was most likely moved.
fn unit_moved(judge: &Judge<'_>, findings: &[Finding]) -> Option<Finding> {
    let stale = findings.iter().find(|finding| finding.cause == STALE_IDENTIFICATION.cause)?;
    let also: Vec<&Finding> = findings
        .iter()
        .filter(|finding| {
            let of_the_aircraft = |setting: &SettingId| setting.is_of_aircraft() && *setting != IDENTIFICATION;
            finding.explains.iter().any(of_the_aircraft)
        })
        .collect();
    if also.is_empty() {
        return None;
    }
    let all = || std::iter::once(stale).chain(also.iter().copied());
    let names: Vec<SettingId> = all().flat_map(|finding| finding.explains.iter().copied()).collect();
    let evidence = all().flat_map(|finding| finding.evidence.iter().cloned()).collect();
    let what = format!("another aircraft's, or not this one's: {}", plain_names(&names));
    let finding = judge.finding(Severity::Error, &UNIT_MOVED, what, None).about(IDENTIFICATION);
    let mut finding = finding.showing(evidence);
    finding.explains = names;
    Some(finding)
}
