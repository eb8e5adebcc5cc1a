//! Read back: values typed as a test set or a report shows them, compared with the profile on the page.

use super::{Refusal, profile, shown_name, text, verdict};
use crate::capture::{Captured, sha256};
use crate::compare::Install;
use crate::compare::readback::{
    FigureRead, HEAD, LineRead, LineVerdict, ReadLine, ReadStep, ReadbackReport, Readings, faults, figure_key, figures,
    form, lines, read_back, read_form, stops_before,
};
use crate::present::html::field::capital;
use crate::present::html::{readback as html, record};
use crate::present::readback;
use crate::profile::figures::FIGURES_SOURCE;
use crate::profile::stops::stops;
use serde_json::{Map, Value, json};

/// What is printed above the figures.
const FIGURES_TITLE: &str = "Figures of the test set, which no frame shows";
/// The name of what was typed, in the record.
const TYPED: &str = "form typed on the page";

/// The form of the profile, with the verdict of every value that was typed, and of none that was not.
///
/// The question has `profile` and `profile_name`, and either `values`, by the key of their lines, or a `form` to be read;
/// with `record` the answer has the record too.
pub fn show(request: &Value) -> Result<Value, Refusal> {
    let name = shown_name(text(request, "profile_name"), "the profile on the page");
    let (install, source) = verdict::install(&name, profile(request))?;
    let all = lines(&install);
    let keys: Vec<String> = HEAD
        .iter()
        .map(|(key, _)| (*key).to_owned())
        .chain(all.iter().map(ReadLine::key))
        .chain(figures(&install).map(figure_key))
        .collect();
    let mut left_out = Vec::new();
    let readings = if let Some(form) = request.get("form").and_then(Value::as_str) {
        read_form(&install, form).map_err(|error| format!("line {error}"))?
    } else {
        let mut readings = Readings::new();
        for (key, typed) in request.get("values").and_then(Value::as_object).into_iter().flatten() {
            let typed = typed.as_str().unwrap_or_default().trim();
            if keys.contains(key) {
                readings.put(key, typed);
            } else if !typed.is_empty() {
                left_out.push(key);
            }
        }
        readings
    };
    let report = read_back(&install, &readings);
    let refused: Map<String, Value> = faults(&install, &readings)
        .into_iter()
        .map(|(key, fault)| (key, json!(format!("{}. {}.", capital(&fault.reason), capital(&fault.correction)))))
        .collect();
    let values: Map<String, Value> =
        keys.iter().filter_map(|key| Some((key.clone(), json!(readings.get(key)?)))).collect();
    let form = form(&install, &readings, &stops_before(&install));
    let mut answer = json!({
        "address": install.address.to_string(),
        "stops": stops(&[]),
        "groups": groups(&install, &all),
        "values": values, "left_out": left_out, "refused": refused, "verdicts": verdicts(&report),
        "first_line": report.first_line(), "is_empty": report.is_empty(), "evidence": report.evidence,
        "html": html::findings(&report).into_string(),
        "figures_source": FIGURES_SOURCE,
        "report": readback::json(&report),
    });
    if request.get("record").is_some_and(|wish| *wish == Value::Bool(true)) {
        if report.is_empty() {
            return Err("nothing was read: every value is blank; type what the test set shows".to_owned());
        }
        let digest = (sha256(form.as_bytes()), form.len() as u64);
        let read = Captured { digest: Some(digest), ..Captured::named(TYPED) };
        let made = record::now();
        answer["record"] = json!(html::read_back(&install, &report, &source, Some(&read), &made));
        answer["name"] = json!(record::file_name(&install.profile, "readback", &made));
    }
    answer["form"] = json!(form);
    Ok(answer)
}

/// The lines of the form as it is printed, each with what may be typed; what must be so before is printed at its step.
fn groups(install: &Install, all: &[ReadLine]) -> Vec<Value> {
    let line = |key: String, name: &str, given: &str, about: &str| json!({"key": key, "name": name, "given": given, "about": about});
    let head: Vec<Value> = HEAD.iter().map(|(key, given)| line((*key).to_owned(), key, given, "")).collect();
    let mut groups = vec![json!({"title": "The reading itself", "stops": [], "lines": head})];
    for step in ReadStep::ALL {
        let of: Vec<Value> = all
            .iter()
            .filter(|one| one.step == step)
            .map(|one| line(one.key(), &one.name, &one.given(), one.message))
            .collect();
        if !of.is_empty() {
            groups.push(json!({"title": step.how(), "stops": step.stops(install), "lines": of}));
        }
    }
    let of: Vec<Value> = figures(install).map(|one| line(figure_key(one), one.name, one.given(), "")).collect();
    if !of.is_empty() {
        groups.push(json!({"title": FIGURES_TITLE, "stops": [], "lines": of}));
    }
    groups
}

/// What became of each value that was typed, by its key.
fn verdicts(report: &ReadbackReport) -> Map<String, Value> {
    let line = |one: &LineRead| {
        let is_read = one.verdict != LineVerdict::NotRead;
        let words = || format!("{}: {}", html::mark(one.verdict), readback::line(one));
        is_read.then(|| (format!("{} / {}", one.step.word(), one.name), json!({"is": one.verdict, "words": words()})))
    };
    let figure = |one: &FigureRead| {
        let is_read = one.typed.is_some() && one.verdict != LineVerdict::NotRead.key();
        let remark = one.remark.as_ref().map_or_else(String::new, |remark| format!("; {remark}"));
        let mark = match one.verdict {
            "outside" => "\u{2260}",
            "recorded" => "\u{2013}",
            _ => "\u{2713}",
        };
        let words = format!("{mark} {}: {} {}{remark}", one.verdict.replace('_', " "), one.limits, one.clause);
        let is = if one.verdict == "outside" { LineVerdict::Differs.key() } else { one.verdict };
        is_read.then(|| (format!("figure / {}", one.name), json!({"is": is, "words": words})))
    };
    report.lines.iter().filter_map(line).chain(report.figures.iter().filter_map(figure)).collect()
}
