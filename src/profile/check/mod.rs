//! What a profile is checked against: rules with a name and a source, each a few lines.

mod airframe;
mod equipment;
mod identity;
mod record;

pub(super) use identity::expected_address;

use super::{
    Binds, Floor, ParsedProfile, Problem, Profile, RuleSet, SETTINGS, Setting, SettingId, Severity, Stated, Work,
    applies, follows, state_of_registry,
};

/// The rule that says of a setting only that it is open.
pub(super) const OPEN: &str = "stated";

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
///
/// ```
/// use squitterlab::profile::checks;
/// assert!(checks().all(|check| !check.name.is_empty() && !check.source.is_empty()));
/// ```
pub fn checks() -> impl Iterator<Item = &'static Check> {
    [identity::CHECKS, airframe::CHECKS, equipment::CHECKS, record::CHECKS].into_iter().flatten()
}

/// Checks a profile that was read: faults of reading, every rule, a regulator's minimum values and remarks, and what is
/// not stated.
///
/// Errors and warnings come first, in the order of the file, then notes; what is still to be filled in comes last, in the
/// order of work at the aircraft.
///
/// ```
/// use squitterlab::{Profile, profile::{check, rule_set}};
/// // The address of another mark.
/// let reading = Profile::read(r#"{"aircraft": {"registration": "N47QX", "address": "A5C036"}}"#);
/// let problems = check(&reading, rule_set("none").unwrap());
/// assert_eq!((problems[0].pointer.as_str(), problems[0].line), ("/aircraft/address", 1));
/// ```
pub fn check(reading: &ParsedProfile, rules: &RuleSet) -> Vec<Problem> {
    let profile = &reading.profile;
    let problem = |severity, pointer: &str, reason, correction, rule| {
        let (line, column) = reading.place(pointer);
        Problem { severity, pointer: pointer.to_owned(), line, column, reason, correction, rule }
    };
    let mut problems = reading.problems.clone();
    let national = rules.governing(profile);
    for check in checks() {
        let mut found = Vec::new();
        (check.run)(profile, national, &mut found);
        problems.extend(
            found.into_iter().map(|found| {
                problem(found.severity, found.setting.pointer(), found.reason, found.correction, check.name)
            }),
        );
    }
    for part in rules.parts() {
        for (severity, setting, reason, correction, rule) in of_rules(profile, part) {
            problems.push(problem(severity, setting.pointer(), reason, correction, rule));
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
    open.retain(|setting| applies(profile, setting.id));
    open.sort_by_key(|setting| setting.taken_from);
    for setting in open {
        let asks = |part: &RuleSet| {
            let required = part.required.iter().find(|required| required.setting == setting.id)?;
            let clause = format!("; {} asks for it ({}; {})", part.title, required.clause, required.confirmed);
            (part.binds(profile) != Binds::No).then_some(clause)
        };
        let required: String = rules.parts().iter().filter_map(asks).collect();
        let from = setting.taken_from.words();
        let (reason, correction) = match setting.stated(profile) {
            Stated::Is(_) => continue,
            Stated::ToBeFilledIn => (
                format!("still to be filled in{required}"),
                match derived(profile, national, setting.id) {
                    Some(value) => format!("fill it in: {value} follows from what is stated; compare with {from}"),
                    None => format!("fill it in from {from}{}", choices(profile, national, setting.id)),
                },
            ),
            Stated::NotStated if setting.optional => continue,
            Stated::NotStated => (
                format!("not stated: nothing is shown or expected of it{required}"),
                format!("state it, if the install has it, from {from}"),
            ),
        };
        problems.push(problem(Severity::Note, setting.pointer, reason, correction, OPEN));
    }
    problems
}

/// What one rule set says of a profile: its minimum values, its remarks, and values that go together.
fn of_rules(profile: &Profile, rules: &RuleSet) -> Vec<(Severity, SettingId, String, String, &'static str)> {
    let mut found = Vec::new();
    for floor in rules.floors_for(profile) {
        if let Some((severity, reason)) = below(floor, profile, rules) {
            let correction = "compare with the rule itself, and with the approval data of the equipment".to_owned();
            found.push((severity, floor.setting, reason, correction, "floor"));
        }
    }
    if rules.governs(profile) {
        for remark in rules.remarks.iter().filter(|remark| remark.applies_to(profile)) {
            let reason = format!("{} ({}; {}; {})", remark.what, rules.title, remark.clause, remark.confirmed);
            found.push((remark.severity.into(), remark.setting, reason, remark.correction.clone(), "remark"));
        }
    }
    let outside = rules.outside_scope.as_ref().filter(|_| rules.binds(profile) == Binds::No);
    for together in outside.into_iter().chain(&rules.pairs) {
        let Some(stated) = together.stated(profile).filter(|stated| !together.pairs.contains(stated)) else { continue };
        let [first, second] = together.settings.map(|setting| setting.id().replace('_', " "));
        let reason = format!(
            "{first} {} beside {second} {} is none of the pairs of a light aircraft ({}; {})",
            stated[0], stated[1], together.clause, together.confirmed
        );
        let correction =
            "compare with the approval data of the position source; another approval may have other values".to_owned();
        found.push((Severity::Warning, together.settings[0], reason, correction, "pairs"));
    }
    found
}

/// Whether a value is below a minimum, how much that weighs, and why.
fn below(floor: &Floor, profile: &Profile, rules: &RuleSet) -> Option<(Severity, String)> {
    let stated = floor.stated(profile).filter(|stated| *stated < floor.at_least)?;
    let sure = floor.is_confirmed() && rules.binds(profile) == Binds::Yes;
    let scope = match (&rules.scope, rules.binds(profile)) {
        (None, _) => String::new(),
        (Some(scope), Binds::Unknown) => {
            format!(" for {}; the profile does not say whether this is one", scope.words)
        }
        (Some(scope), _) => format!(" for {}", scope.words),
    };
    let unseen =
        if floor.is_confirmed() { "" } else { "; not yet confirmed from the rule text, so reported as a note" };
    let reason = format!(
        "{stated} is below the {} that {} requires{scope} ({}; {}{unseen})",
        floor.at_least, rules.title, floor.clause, rules.date
    );
    Some((if sure { Severity::Error } else { Severity::Note }, reason))
}

/// What an open setting may be, where what is stated leaves more than one.
fn choices(profile: &Profile, rules: &RuleSet, setting: SettingId) -> String {
    let state = state_of_registry(profile).unwrap_or("the State of registry");
    match setting {
        SettingId::AircraftIdentification => {
            rules.identification_forms(profile).map_or_else(String::new, |forms| format!("; {}", forms.words(state)))
        }
        SettingId::VfrModeACode if rules.governs(profile) => {
            let codes: Vec<String> = ordinary_codes(rules);
            if codes.is_empty() { String::new() } else { format!("; {}", codes.join(", ")) }
        }
        _ if setting.setting().options.is_empty() => String::new(),
        _ => format!(": {}", setting.setting().values_in_words()),
    }
}

/// The codes of visual flight of a rule set, each with the kinds of aircraft that it is for.
fn ordinary_codes(rules: &RuleSet) -> Vec<String> {
    rules.vfr_mode_a_codes.iter().filter(|rule| rule.occasion.is_none()).map(super::ModeARule::words).collect()
}

/// What an open setting must be, by what is stated, as it is written in a file.
fn derived(profile: &Profile, rules: &RuleSet, setting: SettingId) -> Option<String> {
    let value = follows(profile, rules, setting)?.value;
    Some(match setting {
        SettingId::AircraftIdentification => {
            let state = state_of_registry(profile).unwrap_or("the State of registry");
            rules.identification_forms(profile)?.words(state)
        }
        SettingId::VfrModeACode => format!("\"{value}\""),
        _ => value,
    })
}
