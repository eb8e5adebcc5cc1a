//! What a person read, compared with an install, for people.

use super::CAUTIONS;
use super::text::{counted, folded_to};
use super::verdict::doubts;
use crate::compare::readback::{LineRead, LineVerdict, ReadFinding, ReadStep, ReadbackReport};
use crate::profile::figures::FIGURES_SOURCE;
use serde_json::Value;
use std::fmt::Write;

/// Every terminal has as many columns.
const WIDTH: usize = 80;

/// What is expected and shown of a line, with the codes.
pub fn line(line: &LineRead) -> String {
    let code = line.code.map_or_else(String::new, |code| format!(" (code {code})"));
    let expected = format!("{}{code}", line.expected);
    match (&line.typed, &line.shown) {
        (Some(typed), Some(shown)) => {
            let shown_code = line.shown_code.map_or_else(String::new, |code| format!(", code {code}"));
            let meaning = if shown.trim_matches('"') == typed.trim_matches('"') {
                String::new()
            } else {
                format!(", which is {shown}{shown_code}")
            };
            match line.verdict {
                LineVerdict::Agrees => format!("{expected}; shown {typed}"),
                LineVerdict::Recorded => {
                    format!(
                        "shown {typed}{meaning}; not judged: the crew or the moment decides it (set up: {expected})"
                    )
                }
                _ => format!("expected {expected}; shown {typed}{meaning}"),
            }
        }
        _ => expected,
    }
}

fn finding(found: &ReadFinding, out: &mut String) {
    let causes = found.and_cause.map_or_else(|| found.cause.to_owned(), |and| format!("{}, {and}", found.cause));
    *out += &folded_to(WIDTH, "  error   ", 10, &format!("{} ({causes})", found.what));
    *out += &folded_to(WIDTH, "          likely cause: ", 10, &found.likely_cause);
    for other in &found.alternatives {
        let detail = if other.detail.is_empty() { String::new() } else { format!(" ({})", other.detail) };
        *out += &folded_to(WIDTH, "          or: ", 14, &format!("{}{detail}", other.cause));
    }
    *out += &folded_to(WIDTH, "          correction: ", 10, &found.correction);
    *out += &folded_to(WIDTH, "          judged by: ", 10, &found.rule);
}

/// What was read, what differs and what to do.
pub fn text(report: &ReadbackReport) -> String {
    let mut out = folded_to(WIDTH, "", 2, &report.first_line());
    out += &folded_to(WIDTH, "", 2, &format!("profile {}, address {}", report.profile, report.address));
    out += &folded_to(WIDTH, "evidence: ", 2, report.evidence);
    for (name, typed) in report.head() {
        out += &folded_to(WIDTH, &format!("{name}: "), 2, typed);
    }
    out += &doubts(&report.profile_doubts);
    for (at, found) in report.findings.iter().enumerate() {
        if at == 0 {
            out += "\nfaults\n";
        }
        finding(found, &mut out);
    }
    for (verdict, title) in [
        (LineVerdict::Differs, "differs"),
        (LineVerdict::NotRead, "not read (what would be shown)"),
        (LineVerdict::Recorded, "recorded"),
        (LineVerdict::Agrees, "agrees"),
    ] {
        let mut is_first = true;
        for step in ReadStep::ALL {
            for one in report.lines.iter().filter(|line| line.verdict == verdict && line.step == step) {
                if is_first {
                    let _ = writeln!(out, "\n{title}");
                    is_first = false;
                }
                out += &folded_to(WIDTH, &format!("  {} / {}: ", one.step.word(), one.name), 6, &line(one));
            }
        }
    }
    out += "\nfigures of the test set, which no frame shows\n";
    for figure in &report.figures {
        let said = figure.typed.as_deref().map_or_else(String::new, |typed| format!("{typed}: "));
        let remark = figure.remark.as_ref().map_or_else(String::new, |remark| format!("; {remark}"));
        let verdict = figure.verdict.replace('_', " ");
        out += &folded_to(
            WIDTH,
            &format!("  {}: ", figure.name),
            6,
            &format!("{said}{verdict} ({} {}){remark}", figure.limits, figure.clause),
        );
    }
    out += &folded_to(WIDTH, "  ", 2, &format!("({FIGURES_SOURCE})"));
    if !report.not_filled_in.is_empty() {
        let names: Vec<&str> = report.not_filled_in.iter().map(|setting| setting.name()).collect();
        out += "\n";
        out += &folded_to(
            WIDTH,
            "not filled in, so nothing is expected: ",
            2,
            &format!("{}: {}", counted(names.len(), "setting"), names.join("; ")),
        );
    }
    out += "\n";
    out + &folded_to(WIDTH, "CAUTION  ", 9, &CAUTIONS.join(" "))
}

/// The same as data.
pub fn json(report: &ReadbackReport) -> Value {
    serde_json::to_value(report).unwrap_or_default()
}
