//! Verdict: captures dropped on the page, compared with the profile as they come in.

use super::install::in_plain_words;
use super::questions::{LARGEST_IN_LAB, LARGEST_PROFILE};
use super::{Refusal, profile, shown_name, text};
use crate::capture::{Captured, Digested, ReadError, read_from, sha256};
use crate::compare::{Fleet, Install, Report};
use crate::present::html::record;
use crate::present::verdict;
use crate::profile::{Profile, RuleSet, SETTINGS, Severity, rule_set, rule_sets};
use serde_json::{Value, json};
use std::io::{Cursor, Read};
use std::ops::ControlFlow;

/// Said of captures beyond the limit.
pub const TOO_LARGE: &str =
    "the page takes captures up to 768 MB, compressed ones too; for larger ones use squitterlab compare";

/// Captures that are compared at once.
pub const MOST_CAPTURES: usize = 1000;

/// Rule sets by their names, each once; what asks for nothing adds nothing.
pub fn rules_named<'a>(names: impl IntoIterator<Item = &'a str>) -> Result<Vec<&'static RuleSet>, String> {
    let mut rules: Vec<&RuleSet> = Vec::new();
    for name in names {
        let Some(known) = rule_set(name) else {
            let known: Vec<&str> = rule_sets().iter().map(|rules| rules.name.as_str()).collect();
            return Err(format!("there is no rule set {name:?}; the rule sets are {}", known.join(", ")));
        };
        if known.name != NO_RULES && !rules.iter().any(|other| other.name == known.name) {
            rules.push(known);
        }
    }
    Ok(rules)
}

/// All of them in force together, as the commands take them; no regulator's where there are none.
pub fn together(rules: &[&RuleSet]) -> RuleSet {
    match rules {
        [] => rule_set(NO_RULES).cloned().unwrap_or_default(),
        rules => RuleSet::together(rules.iter().copied().cloned().collect()),
    }
}

/// The rule set that asks for nothing.
const NO_RULES: &str = "none";

/// Reads files one after the other into a comparison under each rule set; the last file that could not be read to its end
/// is named with it.
struct Reading {
    fleets: Vec<Fleet>,
    captured: Vec<Captured>,
}

impl Reading {
    fn new<'a>(install: &Install, rules: impl IntoIterator<Item = &'a RuleSet>) -> Self {
        Self {
            fleets: rules.into_iter().map(|rules| Fleet::new(vec![install.clone()], rules)).collect(),
            captured: Vec::new(),
        }
    }

    fn read(&mut self, name: String, input: impl Read + Send + 'static) -> Result<(), Refusal> {
        for fleet in &mut self.fleets {
            fleet.begin(&name);
        }
        let (input, running) = Digested::new(input);
        let read = read_from(&name, Box::new(input), |record| {
            for fleet in &mut self.fleets {
                fleet.observe(&record);
            }
            ControlFlow::Continue(())
        });
        let (accounting, trouble) = match read {
            Ok(accounting) => (accounting, None),
            Err(ReadError { error, accounting }) => (accounting, Some(error.to_string())),
        };
        for fleet in &mut self.fleets {
            fleet.account(&accounting);
        }
        let digest = trouble.is_none().then(|| running.so_far());
        if let Some(same) = self.captured.iter().find(|other| digest.is_some() && other.digest == digest) {
            let why = format!("{} and {name} are the same: its frames would count twice; leave one out", same.name);
            return Err(why);
        }
        self.captured.push(Captured { name, digest, accounting, trouble });
        Ok(())
    }

    fn reports(&self) -> Vec<Report> {
        self.fleets.iter().filter_map(|fleet| fleet.reports().next()).collect()
    }
}

/// What short texts show of a profile, under no regulator's rules; `None` if there is nothing to compare.
pub fn of_texts(profile: &str, files: &[(&str, &'static str)]) -> Option<Report> {
    let (install, _) = install("profile", profile).ok()?;
    let mut reading = Reading::new(&install, rule_set(NO_RULES));
    for (name, text) in files {
        reading.read((*name).to_owned(), text.as_bytes()).ok()?;
    }
    reading.reports().pop()
}

/// Reads the files as they come, and says what they show: under all rules together, and under each of several.
pub fn compared<R: Read + Send + 'static>(
    install: &Install,
    source: &Captured,
    rules: &[&'static RuleSet],
    files: impl IntoIterator<Item = (String, R)>,
) -> Result<Value, Refusal> {
    let all = together(rules);
    let each = if rules.len() > 1 { rules } else { &[] };
    let mut reading = Reading::new(install, std::iter::once(&all).chain(each.iter().copied()));
    for (name, input) in files {
        reading.read(name, input)?;
    }
    let reports = reading.reports();
    let Some((report, alone)) = reports.split_first() else {
        return Err("no install was given".to_owned());
    };
    let under: Vec<(&RuleSet, &Report)> = each.iter().copied().zip(alone).collect();
    let made = record::now();
    let files = &reading.captured;
    Ok(json!({
        "html": record::on_page(install, report, files, &all, &under).into_string(),
        "record": record::compared(&[(install, report, source)], files, &all, &under, &made),
        "name": record::file_name(&install.profile, "comparison", &made),
        "report": verdict::report_json(report),
        "read": reading.captured.iter().any(|file| file.accounting.frames > 0),
    }))
}

/// Compares captures that come in one question: `profile`, `profile_name`, `rules`, which are in force together, and
/// `files`, each with its `name` and its `octets` in hexadecimal.
pub fn small(request: &Value) -> Result<Value, Refusal> {
    let members = |key: &str| request.get(key).and_then(Value::as_array).into_iter().flatten();
    let profile = profile(request);
    if profile.len() > LARGEST_PROFILE {
        return Err(format!("a profile has at most {LARGEST_PROFILE} bytes"));
    }
    let (install, source) = install(&shown_name(text(request, "profile_name"), "the profile on the page"), profile)?;
    let rules = rules_named(members("rules").map(|name| name.as_str().unwrap_or_default()))?;
    let mut files = Vec::new();
    let mut taken = 0;
    for file in members("files") {
        let digits = text(file, "octets").as_bytes();
        taken += digits.len() / 2;
        if taken > LARGEST_IN_LAB {
            let most = LARGEST_IN_LAB >> 20;
            return Err(format!(
                "this file compares captures up to {most} MB; use squitterlab compare for larger ones"
            ));
        }
        let mut octets = vec![0; digits.len() / 2];
        faster_hex::hex_decode(digits, &mut octets)
            .map_err(|_| "the capture is not hexadecimal; send its bytes as pairs of digits".to_owned())?;
        files.push((shown_name(text(file, "name"), "capture"), Cursor::new(octets)));
    }
    match files.len() {
        0 => Err("no capture was given".to_owned()),
        1..=MOST_CAPTURES => compared(&install, &source, &rules, files),
        _ => Err(format!("more than {MOST_CAPTURES} captures; use squitterlab compare")),
    }
}

/// What a profile text and its name give to compare with.
pub fn install(name: &str, text: &str) -> Result<(Install, Captured), Refusal> {
    let (profile, source) = source(name, text)?;
    let install = Install::new(name, profile).map_err(|error| in_plain_words(&error.to_string()))?;
    Ok((install, source))
}

/// A profile without errors, and what it was read from.
pub fn source(name: &str, text: &str) -> Result<(Profile, Captured), String> {
    let reading = Profile::read(text);
    if let Some(problem) = reading.problems.iter().find(|problem| problem.severity == Severity::Error) {
        let name = SETTINGS
            .iter()
            .find(|setting| problem.pointer.starts_with(setting.pointer))
            .map_or("", |setting| setting.name);
        let place = if problem.line == 0 {
            String::new()
        } else {
            format!(", line {}, column {}", problem.line, problem.column)
        };
        let about = if name.is_empty() { String::new() } else { format!("{name}: ") };
        return Err(format!(
            "the profile has errors, correct them first{place}: {about}{}. {}",
            problem.reason, problem.correction
        ));
    }
    let digest = (sha256(text.as_bytes()), text.len() as u64);
    Ok((reading.profile, Captured { digest: Some(digest), ..Captured::named(name) }))
}
