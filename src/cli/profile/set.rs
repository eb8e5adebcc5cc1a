//! `profile show` and `profile set`: one setting read or changed, in words.

use super::{named_setting, read_text};
use crate::cli::input::held;
use crate::cli::output::{Sink, complain, print, remark};
use crate::cli::{Format, Outcome};
use serde_json::json;
use squitterlab::present::sheet::workings;
use squitterlab::present::{on_air, text};
use squitterlab::profile::{
    ParsedProfile, Problem, Profile, RuleSet, SettingId, Severity, Stated, applies, check, follows, follows_anew,
    rules_for, with_value,
};
use std::io;
use std::path::Path;

/// A value in words.
pub fn said(profile: &Profile, setting: SettingId) -> String {
    match setting.setting().stated(profile) {
        Stated::Is(value) => value,
        Stated::ToBeFilledIn => "still to be filled in".to_owned(),
        Stated::NotStated => "not stated".to_owned(),
    }
}

/// Reads a profile for showing or changing; faults of single settings do not matter.
fn reading(file: &Path) -> Option<(String, ParsedProfile)> {
    let text = read_text(file)?;
    let reading = Profile::read(&text);
    if let Some(problem) = reading.problems.iter().find(|_| reading.is_unreadable()) {
        complain(&format!(
            "{}:{}:{}: {}; {}",
            file.display(),
            problem.line,
            problem.column,
            problem.reason,
            problem.correction
        ));
        return None;
    }
    Some((text, reading))
}

pub fn show(file: &Path, setting: Option<&str>, format: Format) -> io::Result<Outcome> {
    let one = match setting.map(named_setting) {
        Some(None) => return Ok(Outcome::Failed),
        one => one.flatten(),
    };
    let Some((_, reading)) = reading(file) else { return Ok(Outcome::Failed) };
    let profile = &reading.profile;
    let (rules, _) = rules_for(None, profile);
    let all: Vec<SettingId> = match one {
        Some(one) => vec![one],
        None => SettingId::ALL.iter().copied().filter(|id| id.setting().is_on_record(profile)).collect(),
    };
    let mut out = String::new();
    for id in all {
        let setting = id.setting();
        let refused = reading.problems.iter().find(|problem| problem.pointer == setting.pointer);
        let derived = follows(profile, rules, id);
        if format == Format::Json {
            let state = match setting.stated(profile) {
                Stated::Is(_) => "stated",
                Stated::ToBeFilledIn => "to_be_filled_in",
                Stated::NotStated if refused.is_some() => "refused",
                Stated::NotStated => "not_stated",
            };
            let line = json!({"setting": setting.pointer, "id": id.id(), "name": setting.name, "state": state,
                "value": setting.value(profile), "words": setting.stated(profile).get(),
                "follows": derived.map(|derived| json!({"value": derived.value, "why": derived.why})),
                "fault": refused.map(|fault| json!({"reason": fault.reason, "correction": fault.correction}))});
            out += &line.to_string();
            out.push('\n');
            continue;
        }
        let value = match refused {
            Some(problem) => format!("refused: {}; {}", problem.reason, problem.correction),
            None => said(profile, id),
        };
        if one.is_none() {
            out += &text::folded(&format!("{:<38}  ", setting.name), 40, &value);
            continue;
        }
        out += &text::folded(&format!("{}: ", setting.name), 4, &value);
        let mut row = |name: &str, words: &str| out += &text::folded(&format!("  {name:<11}"), 13, words);
        row("about", setting.about);
        row("may be", &setting.values_in_words().replace("km_h", "km/h"));
        if let Some(typical) = setting.typical {
            row("typical", typical);
        }
        row("from", setting.taken_from.words());
        if let Some(derived) = derived {
            row("follows", &format!("{}: {}", derived.value, derived.why));
        }
        if !applies(profile, id) {
            row("note", "an install of this kind has no such setting");
        }
        row("id", &format!("{}, {}", id.id(), setting.pointer));
        out += &on_air::text(id);
    }
    print(&out)?;
    // What is in no row, such as a misspelt name, would be missed.
    let unshown = |problem: &&Problem| SettingId::at(&problem.pointer).is_none();
    let unshown: Vec<Problem> = reading.problems.iter().filter(unshown).cloned().collect();
    if !unshown.is_empty() {
        remark(&text::problems(&file.display().to_string(), &unshown));
    }
    let is_wrong = unshown.iter().any(|problem| problem.severity == Severity::Error);
    Ok(if is_wrong { Outcome::Differs } else { Outcome::Done })
}

/// What a check finds now and did not find before.
pub fn new_problems(before: &ParsedProfile, after: &ParsedProfile, rules: &RuleSet) -> Vec<Problem> {
    let old = check(before, rules);
    let known = |new: &Problem| old.iter().any(|old| (&old.pointer, &old.reason) == (&new.pointer, &new.reason));
    check(after, rules).into_iter().filter(|new| new.severity != Severity::Note && !known(new)).collect()
}

/// The lines of arithmetic that are not the same any more.
pub fn new_workings(before: &Profile, after: &Profile) -> Vec<String> {
    let old = workings(before);
    workings(after).into_iter().filter(|line| !old.contains(line)).collect()
}

pub fn set(file: &Path, pairs: &[String]) -> io::Result<Outcome> {
    if file == Path::new("-") {
        complain("profile set changes a file; standard input cannot be changed");
        return Ok(Outcome::Failed);
    }
    // People write `--` before a value that begins with a hyphen; here it is not needed.
    let mut pairs: Vec<&String> = pairs.iter().collect();
    if let Some(at) = pairs.iter().position(|each| *each == "--") {
        pairs.remove(at);
    }
    if let [.., last] = &pairs[..]
        && pairs.len() % 2 == 1
    {
        complain(&format!(
            "{last:?} has no value; names and values come in pairs, and what has spaces goes in quotation marks: \
             \"aircraft length\" \"26 ft 11 in\""
        ));
        return Ok(Outcome::Failed);
    }
    // Of two that change one file at once, the second waits and reads what the first has made.
    let _held = held(file);
    let Some((mut text, before)) = reading(file) else { return Ok(Outcome::Failed) };
    let mut profile = before.profile.clone();
    let mut changed = Vec::new();
    for pair in pairs.chunks(2) {
        let Some(id) = named_setting(pair[0]) else { return Ok(Outcome::Failed) };
        let setting = id.setting();
        let typed = pair[1].trim();
        profile = if typed == "null" {
            (setting.opened)(&profile)
        } else {
            match setting.with_typed(&profile, typed) {
                Ok(profile) => profile,
                Err(fault) => {
                    complain(&format!(
                        "{}: {}: {}; {}; nothing was changed",
                        file.display(),
                        setting.name,
                        fault.reason,
                        fault.correction
                    ));
                    return Ok(Outcome::Failed);
                }
            }
        };
        text = match with_value(&text, id, &setting.value(&profile)) {
            Ok(text) => text,
            Err(misfit) => {
                complain(&format!("{}:{misfit}; nothing was changed", file.display()));
                return Ok(Outcome::Failed);
            }
        };
        changed.retain(|known| *known != id);
        changed.push(id);
    }
    let after = Profile::read(&text);
    Sink::replacing(file)?.write_whole(text.as_bytes())?;
    let mut out = format!("{}\n", file.display());
    for id in &changed {
        let (old, new) = (said(&before.profile, *id), said(&profile, *id));
        let change = if old == new { format!("{new} (as before)") } else { format!("{new} (before: {old})") };
        out += &text::folded(&format!("  {}: ", id.name()), 6, &change);
    }
    let (rules, _) = rules_for(None, &profile);
    for line in new_workings(&before.profile, &profile) {
        out += &text::folded("  ", 6, &line);
    }
    for (id, follows) in follows_anew(&before.profile, &profile, rules) {
        let now = said(&profile, id);
        let advice = format!(
            "{} follows ({}), and the file says: {now}; if it is right: squitterlab profile set {} {} {}",
            follows.value,
            follows.why,
            file.display(),
            id.id(),
            follows.value
        );
        out += &text::folded(&format!("  {}: ", id.name()), 6, &advice);
    }
    let problems = new_problems(&before, &after, rules);
    if !problems.is_empty() {
        out += &text::problems(&file.display().to_string(), &problems);
    }
    print(&out)?;
    let known = before.problems.iter().filter(|problem| problem.severity == Severity::Error);
    let left: Vec<Problem> = known.filter(|problem| after.problems.contains(problem)).cloned().collect();
    if !left.is_empty() {
        complain(&format!("{}: was wrong before, and still is:", file.display()));
        remark(&text::problems(&file.display().to_string(), &left));
    }
    Ok(Outcome::Done)
}
