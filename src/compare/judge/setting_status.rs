//! Decides the status of every setting: seen and right, seen and wrong, not in this capture, or never on the air.

use super::quality;
use super::{Finding, Judge, Place, Said, SeenValue, SettingStatus, SettingVerdict, agrees, ways};
use crate::code::Value;
use crate::compare::observe::{Evidence, QualityMeasure, Seen};
use crate::onair::{Flight, Rule, emissions, why_in_no_frame, why_not_on_air};
use crate::profile::{Profile, SETTINGS, Setting, SettingId, Stated};

const NIC: SettingId = QualityMeasure::Nic.setting();

/// The status of every setting, in the order of a profile.
pub fn setting_statuses(judge: &Judge<'_>) -> Vec<SettingVerdict> {
    SETTINGS.iter().map(|setting| status(judge, setting)).collect()
}

/// Settings that a finding shows to be wrong, whatever their own fields say.
pub fn refute(settings: &mut [SettingVerdict], findings: &[Finding]) {
    for finding in findings {
        for setting in settings.iter_mut().filter(|setting| finding.refutes.contains(&setting.setting)) {
            if matches!(setting.status, SettingStatus::Agrees | SettingStatus::NotSeen | SettingStatus::NotOnAir) {
                setting.status = SettingStatus::Differs;
                setting.remark = Some(finding.what.clone());
                setting.shown_by.clear();
            }
        }
    }
}

/// What was seen of a setting that the profile leaves open.
fn left_open(judge: &Judge<'_>, setting: &'static Setting, status: SettingStatus) -> SettingVerdict {
    let places: Vec<&Place<'_>> = judge.anywhere(setting.id).collect();
    let mut messages: Vec<&str> = places.iter().map(|place| place.frame.table.message).collect();
    messages.dedup();
    SettingVerdict {
        name: setting.id.name(),
        setting: setting.id,
        rule: places.first().map_or(Rule::Equal, |place| place.which.rule),
        status,
        expected: Value::Null,
        meaning: String::new(),
        observed: if setting.id == NIC { nic(judge, 0) } else { observed(judge, setting, &places) },
        field: places.first().filter(|_| setting.id != NIC).map_or("", |place| place.which.field),
        message: messages.first().copied(),
        messages,
        remark: None,
        shown_by: Vec::new(),
    }
}

fn status(judge: &Judge<'_>, setting: &'static Setting) -> SettingVerdict {
    let words = match setting.stated(&judge.install.profile) {
        Stated::Is(words) => words,
        Stated::ToBeFilledIn => return left_open(judge, setting, SettingStatus::NotFilledIn),
        Stated::NotStated => return left_open(judge, setting, SettingStatus::NotStated),
    };
    let places: Vec<&Place<'_>> = judge.of(setting.id).collect();
    let mut messages: Vec<&str> = places.iter().map(|place| place.frame.table.message).collect();
    messages.dedup();
    let mut verdict = SettingVerdict {
        name: setting.id.name(),
        setting: setting.id,
        rule: places.first().map_or(Rule::Equal, |place| place.which.rule),
        status: SettingStatus::NotOnAir,
        expected: Value::Null,
        meaning: words,
        observed: Vec::new(),
        // NIC comes out of several fields together.
        field: places.first().filter(|_| setting.id != NIC).map_or("", |place| place.which.field),
        message: messages.first().copied(),
        messages,
        remark: None,
        shown_by: Vec::new(),
    };
    let silent = why_not_on_air(&judge.install.profile, setting.id);
    let Some(first) = places.first().filter(|_| silent.is_none()) else {
        verdict.remark = Some(why_in_no_frame(&judge.install.profile, setting.id));
        return verdict;
    };
    if setting.id == NIC {
        let wanted = judge.install.profile.nic.get().map_or(0, |nic| nic.0);
        verdict.expected = Value::Integer(wanted.into());
        (verdict.meaning, verdict.observed) = (wanted.to_string(), nic(judge, wanted));
    } else {
        let expected = first.which.expected();
        if !says_more(setting, first) {
            verdict.meaning = expected.words().to_string();
            // Where air and ground have a code each, both are right.
            for other in first.which.also {
                let words = (first.which.meaning)(*other, first.which.version);
                verdict.meaning = format!("{}; or {}", verdict.meaning, words.words());
            }
        }
        verdict.expected = expected.value;
        verdict.observed = observed(judge, setting, &places);
    }
    let said: Vec<Said> = if setting.id == NIC {
        let carriers = judge.tally.quality.by_carrier(QualityMeasure::Nic).filter(|_| judge.version_known);
        carriers.map(|(_, values)| quality::said(&values.wanted.run, &judge.dips)).collect()
    } else {
        places.iter().map(|place| judge.said(place)).collect()
    };
    verdict.status = if said.contains(&Said::Wrong) {
        SettingStatus::Differs
    } else if said.iter().any(|said| matches!(said, Said::Right | Said::RightWithDips)) {
        SettingStatus::Agrees
    } else {
        SettingStatus::NotSeen
    };
    if verdict.status == SettingStatus::NotSeen {
        let reason = too_little(judge, &places);
        verdict.shown_by = if places.iter().any(|place| place.used) { Vec::new() } else { ways(&places) };
        verdict.remark = Some(reason.map_or_else(
            || verdict.shown_by.iter().map(ToString::to_string).collect::<Vec<_>>().join("; or "),
            str::to_owned,
        ));
    }
    verdict
}

/// Whether a field is this setting's alone, and the setting has better words for it.
fn says_more(setting: &Setting, place: &Place<'_>) -> bool {
    setting.says_more && place.which.settings == [setting.id]
}

/// What an observed code says, in the words of the setting if it has some: those of the choice that sends this code.
fn in_words(judge: &Judge<'_>, setting: &Setting, place: &Place<'_>, code: u64) -> String {
    let meaning = (place.which.meaning)(code, place.which.version);
    if !says_more(setting, place) {
        return meaning.words().to_string();
    }
    let profile = &judge.install.profile;
    if (code == place.which.code || place.which.also.contains(&code))
        && let Some(words) = setting.stated(profile).get()
    {
        return words.clone();
    }
    let sends = |profile: &Profile| {
        let frames = emissions(profile, Flight::Healthy).unwrap_or_default();
        let alike = frames.into_iter().filter(|frame| {
            (frame.table.message, frame.envelope.message, frame.when)
                == (place.frame.table.message, place.frame.envelope.message, place.frame.when)
        });
        alike.flat_map(|frame| frame.decisions).any(|decision| {
            decision.settings == place.which.settings && decision.span == place.which.span && decision.code == code
        })
    };
    let words = |profile: Profile| setting.stated(&profile).get().cloned();
    let known: Vec<String> = (setting.choices)(profile).into_iter().filter(sends).filter_map(words).collect();
    if known.is_empty() { format!("{}: {}", place.which.field, meaning.words()) } else { known.join(" or ") }
}

/// The values that were seen in any of these places, the most frequent first.
fn observed(judge: &Judge<'_>, setting: &Setting, places: &[&Place<'_>]) -> Vec<SeenValue> {
    let mut observed: Vec<SeenValue> = Vec::new();
    for place in places {
        for (code, evidence) in judge.codes(place) {
            let meaning = (place.which.meaning)(code, place.which.version);
            let agrees = agrees(place, code);
            match observed.iter_mut().find(|seen| seen.value == meaning.value && seen.agrees == agrees) {
                Some(seen) => seen.evidence.add(judge.shown(&evidence)),
                None => observed.push(SeenValue {
                    meaning: in_words(judge, setting, place, code),
                    value: meaning.value,
                    agrees,
                    evidence: judge.shown(&evidence),
                }),
            }
        }
    }
    observed.sort_by_key(|seen| std::cmp::Reverse(seen.evidence.frames));
    observed
}

fn nic(judge: &Judge<'_>, wanted: u8) -> Vec<SeenValue> {
    let seen: Seen<u8> =
        if judge.version_known { judge.tally.quality.values(QualityMeasure::Nic).seen } else { Seen::new() };
    let value = |(nic, evidence): (u8, Evidence)| SeenValue {
        value: Value::Integer(nic.into()),
        meaning: nic.to_string(),
        agrees: nic >= wanted,
        evidence: judge.shown(&evidence),
    };
    seen.into_iter().map(value).collect()
}

/// Why frames that were heard prove nothing of a setting.
fn too_little(judge: &Judge<'_>, places: &[&Place<'_>]) -> Option<&'static str> {
    let heard = places.iter().any(|place| !judge.all_codes(place).is_empty());
    if places.iter().any(|place| place.used) {
        Some("sent only when the crew uses it; not counted among the settings to be proved")
    } else if heard && !judge.version_known && places.iter().all(|place| place.which.by_version) {
        Some("the version in force was not heard: capture an operational status too")
    } else if heard && places.iter().all(|place| place.frame.address_in_parity) {
        Some("seen in a single reply, or under an address not heard in the clear: two replies must agree")
    } else {
        None
    }
}
