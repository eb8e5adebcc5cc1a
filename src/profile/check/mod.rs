//! What a profile is checked against: rules with a name and a source, each a few lines.

mod airframe;
mod equipment;
mod identity;
mod record;

use super::{
    AltitudeSourceKind, Problem, Profile, Reading, RuleSet, SETTINGS, Setting, SettingId, Severity, Stated, Work,
    category_of,
};

/// A rule of a profile check.
#[derive(Clone, Copy, Debug)]
pub struct Check {
    /// Its name.
    pub name: &'static str,
    /// What it looks at.
    pub about: &'static str,
    /// Where it comes from.
    pub source: &'static str,
    run: fn(&Profile, &RuleSet, &mut Vec<Found>),
}

/// What a rule found.
struct Found {
    severity: Severity,
    setting: SettingId,
    reason: String,
    correction: String,
}

const fn error(setting: SettingId, reason: String, correction: String) -> Found {
    Found { severity: Severity::Error, setting, reason, correction }
}

const fn warning(setting: SettingId, reason: String, correction: String) -> Found {
    Found { severity: Severity::Warning, setting, reason, correction }
}

const fn note(setting: SettingId, reason: String, correction: String) -> Found {
    Found { severity: Severity::Note, setting, reason, correction }
}

/// Every rule, in the order in which a profile is looked at.
pub fn checks() -> impl Iterator<Item = &'static Check> {
    [identity::CHECKS, airframe::CHECKS, equipment::CHECKS, record::CHECKS].into_iter().flatten()
}

/// Checks a profile that was read: faults of reading, every rule, a regulator's floors, and what is not stated.
///
/// Errors and warnings come first, in the order of the file, then notes; what is still to be filled in comes last, in the
/// order of work at the aircraft.
pub fn check(reading: &Reading, rules: &RuleSet) -> Vec<Problem> {
    let profile = &reading.profile;
    let problem = |severity, pointer: &str, reason, correction, rule| {
        let (line, column) = reading.place(pointer);
        Problem { severity, pointer: pointer.to_owned(), line, column, reason, correction, rule }
    };
    let mut problems = reading.problems.clone();
    for check in checks() {
        let mut found = Vec::new();
        (check.run)(profile, rules, &mut found);
        problems.extend(
            found.into_iter().map(|found| {
                problem(found.severity, found.setting.pointer(), found.reason, found.correction, check.name)
            }),
        );
    }
    for floor in &rules.floors {
        if let Some(stated) = floor.stated(profile)
            && stated < floor.at_least
        {
            let severity = if floor.is_confirmed() { Severity::Error } else { Severity::Note };
            let unseen =
                if floor.is_confirmed() { "" } else { "; this number is from memory and fails nothing by itself" };
            problems.push(problem(
                severity,
                floor.setting.pointer(),
                format!(
                    "{stated} is below the {} that {} wants ({}{unseen})",
                    floor.at_least, rules.title, floor.clause
                ),
                "compare with the rule itself, and with the approval data of the equipment".to_owned(),
                "floor",
            ));
        }
    }
    problems
        .sort_by_key(|problem| (problem.severity == Severity::Note, problem.line == 0, problem.line, problem.column));
    let mut refused: Vec<String> = reading.problems.iter().map(|problem| problem.pointer.clone()).collect();
    refused.extend(reading.meant.iter().cloned());
    let covered = |pointer: &str| refused.iter().any(|refused| pointer.starts_with(refused.as_str()));
    if reading.problems.iter().any(|problem| problem.rule == "json") {
        return problems;
    }
    let mut open: Vec<&Setting> =
        SETTINGS.iter().filter(|setting| setting.taken_from != Work::Record && !covered(setting.pointer)).collect();
    open.sort_by_key(|setting| setting.taken_from);
    for setting in open {
        let required = rules
            .required
            .iter()
            .find(|required| required.setting == setting.id)
            .map_or_else(String::new, |required| {
                format!("; {} asks for it ({}; {})", rules.title, required.clause, required.confirmed)
            });
        let from = setting.taken_from.words();
        let (reason, correction) = match (setting.words)(profile) {
            Stated::Is(_) => continue,
            Stated::ToBeFilledIn => (
                format!("still to be filled in{required}"),
                match derived(profile, rules, setting.id) {
                    Some(value) => format!("fill it in: {value} follows from what is stated; compare with {from}"),
                    None if setting.choices.is_empty() => format!("fill it in from {from}"),
                    None => format!("fill it in from {from}: {}", setting.values_in_words()),
                },
            ),
            Stated::NotStated if setting.optional => continue,
            Stated::NotStated => (
                format!("not stated: nothing is shown or expected of it{required}"),
                format!("state it, if the install has it, from {from}"),
            ),
        };
        problems.push(problem(Severity::Note, setting.pointer, reason, correction, "stated"));
    }
    problems
}

/// What an open setting must be, by what is stated.
fn derived(profile: &Profile, rules: &RuleSet, setting: SettingId) -> Option<String> {
    let rules = rules.for_forms_of(profile);
    match setting {
        SettingId::Address => identity::expected_address(profile).map(|address| address.to_string()),
        SettingId::AircraftIdentification => {
            rules.identification_of(profile.registration.get()?).map(|identification| identification.to_string())
        }
        SettingId::EmitterCategory => {
            category_of(profile.kind.get().copied(), profile.maximum_take_off_weight.get().copied())
                .map(|derived| derived.category.to_string())
        }
        SettingId::AltitudeResolution => {
            (profile.altitude_source_kind.get() == Some(&AltitudeSourceKind::Parallel)).then(|| "100".to_owned())
        }
        SettingId::VfrModeACode => rules.vfr_mode_a_code.as_ref().map(|rule| format!("\"{}\"", rule.code)),
        _ => None,
    }
}
