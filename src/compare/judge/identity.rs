//! Judges an identification that the crew enters: some texts are wrong on any flight.

use super::{Finding, Judge};
use crate::code::{Bits, Code, Identification, Version};
use crate::profile::mistake::{
    IDENTIFICATION_BLANK, IDENTIFICATION_MALFORMED, Mistake, PREFIX_LEFT_OFF, SAMPLE_IDENTIFICATION,
};
use crate::profile::{IdentificationSource, Severity, Stated};

/// Texts that no crew enters for a flight.
pub fn findings(judge: &Judge<'_>) -> Vec<Finding> {
    let profile = &judge.install.profile;
    if profile.identification_source.get() != Some(&IdentificationSource::CrewEntered) {
        return Vec::new();
    }
    let seen = &judge.tally.identifications;
    let all: u64 = seen.values().map(|evidence| evidence.frames).sum();
    let mut findings = Vec::new();
    for (bits, evidence) in seen {
        let text = Identification::from_bits(*bits);
        let Some((mistake, why)) = judged(text, judge) else { continue };
        let blank = mistake.cause == IDENTIFICATION_BLANK.cause;
        // Before the crew has entered anything it is blank for a while.
        let severity = match (blank, evidence.frames == all) {
            (true, true) if all >= 2 => Severity::Error,
            (true, _) => Severity::Note,
            (false, _) => Severity::Warning,
        };
        let what = format!("{why}: seen in {} of {all} identifications", evidence.frames);
        findings.push(judge.finding(severity, mistake, what, [*evidence]).refuting(mistake.settings));
    }
    findings
}

/// What is wrong with a text, whoever entered it.
fn judged(text: Identification, judge: &Judge<'_>) -> Option<(&'static Mistake, String)> {
    let entered = text.to_string();
    if text.bits() == 0 {
        return Some((&IDENTIFICATION_BLANK, "the identification says \"not available\"".to_owned()));
    }
    if entered.is_empty() {
        return Some((&IDENTIFICATION_BLANK, "the identification is blank".to_owned()));
    }
    if !text.is_well_formed() {
        return Some((&IDENTIFICATION_MALFORMED, text.meaning(Version::Two).words().to_string()));
    }
    if entered.bytes().all(|b| b == b'0') {
        return Some((&IDENTIFICATION_BLANK, "the identification is all zeros".to_owned()));
    }
    if judge.install.profile.aircraft_identification.get() == Some(&text) {
        return None;
    }
    // What an entry error makes of the registration, as if the unit were to send it for good.
    let mut profile = judge.install.profile.clone();
    profile.identification_source = Stated::Is(IdentificationSource::Fixed);
    let mark = profile.registration.get().and_then(|mark| mark.0.replace('-', "").parse().ok());
    profile.aircraft_identification = mark.map_or(profile.aircraft_identification, Stated::Is);
    let of = |mistake: &'static Mistake| {
        let mut wrong = (mistake.candidates)(&profile).into_iter();
        wrong.any(|(wrong, _)| wrong.aircraft_identification.get() == Some(&text)).then_some(mistake)
    };
    if let Some(mistake) = of(&PREFIX_LEFT_OFF) {
        return Some((mistake, format!("{entered:?} is the registration without its prefix")));
    }
    of(&SAMPLE_IDENTIFICATION).map(|mistake| (mistake, format!("{entered:?} is a sample text")))
}
