//! Plain text for people; readable without colour.

use super::json::{Place, emission_message};
use super::reading::Reading;
use super::{CAUTIONS, observed, ruler};
use crate::downlink::Decoded;
use crate::frame::Span;
use crate::onair::Emission;
use crate::profile::{Problem, RuleSet, SettingId, Severity, joined};
use crate::track::Observation;
use std::fmt::Write;

/// Width of lines that are folded.
const WIDTH: usize = 100;

/// Folds text into lines of at most 100 characters, each after `indent` spaces; the first line starts with `lead`.
pub fn folded(lead: &str, indent: usize, text: &str) -> String {
    let mut out = String::new();
    let mut line = lead.to_owned();
    let mut empty = true;
    for word in text.split_whitespace() {
        if !empty && line.chars().count() + 1 + word.chars().count() > WIDTH {
            out.push_str(line.trim_end());
            out.push('\n');
            line = " ".repeat(indent);
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line.push_str(word);
        empty = false;
    }
    out.push_str(line.trim_end());
    out.push('\n');
    out
}

/// The cautions, folded.
pub fn cautions() -> String {
    folded("CAUTION  ", 9, &CAUTIONS.join(" "))
}

/// One captured frame in two or more lines.
pub fn frame(place: &Place<'_>, decoded: &Decoded, observation: &Observation) -> String {
    let line = if place.file.is_some() { format!("{:>6}  ", place.line) } else { String::new() };
    let time = place.time.map_or_else(String::new, |time| format!("{time:.3} s  "));
    let mut out = format!("{line}{time}{}  {}\n", decoded.frame, decoded.title());
    out += &folded("        ", 8, &ruler::address_and_parity(decoded, observation));
    for remark in ruler::register_remarks(decoded) {
        out += &folded("        ", 10, &remark);
    }
    let reading = Reading::new(decoded, observation.version);
    let words = |fields: &[(&'static str, crate::code::Meaning)]| {
        fields.iter().map(|(name, meaning)| format!("{name}: {}", meaning.words())).collect::<Vec<_>>().join("; ")
    };
    if !reading.fields.is_empty() {
        out += &folded("        ", 8, &words(&reading.fields));
    }
    for (version, fields) in &reading.by_version {
        out += &folded("        ", 10, &format!("if version {}: {}", version.number(), words(fields)));
    }
    if let Some(note) = &reading.note {
        out += &folded("        ", 8, note);
    }
    for line in observed::words(observation, 5) {
        out += &folded("        ", 10, &line);
    }
    out
}

/// Every frame of an install, to be read beside a test set.
pub fn emissions(emissions: &[Emission], unseen: &[(SettingId, String)]) -> String {
    let mut out = cautions();
    for emission in emissions {
        let title = if emission.address_in_parity { emission.envelope.title } else { emission.table.title };
        let asked = emission.asked_by.map_or_else(String::new, |by| format!(", in reply to {by}"));
        let _ = writeln!(out, "\n{} ({}), {}{asked}", title, emission_message(emission), emission.when.words());
        let _ = writeln!(out, "  frame    {}", emission.frame);
        let _ = writeln!(out, "  decided  {}", emission.decided_digits());
        for decision in &emission.decisions {
            out += &decided_line(decision, "");
        }
        if emission.address_in_parity {
            let setting = SettingId::Address;
            let _ = writeln!(out, "    parity           address: laid over the last 24 bits   {setting}");
        }
        for used in &emission.used {
            out += &decided_line(used, " (the crew decides; this is the preset)");
        }
        if emission.decisions.is_empty() && emission.used.is_empty() && !emission.address_in_parity {
            let _ = writeln!(out, "    no setting decides a bit of it");
        }
    }
    if !unseen.is_empty() {
        let _ = writeln!(out, "\nsettings that stand in none of these frames");
        for (setting, reason) in unseen {
            out += &folded(&format!("  {setting}: "), 6, reason);
        }
    }
    out
}

fn decided_line(decision: &crate::onair::Decision, remark: &str) -> String {
    let span = decision.span;
    let message = if span.first > 32 && span.last <= 88 {
        format!("message {}", Span::new(span.first - 32, span.last - 32))
    } else {
        String::new()
    };
    let width = usize::from(span.width());
    let bits = if width > 13 {
        format!("{:0digits$X}h", decision.code, digits = width.div_ceil(4))
    } else {
        format!("{:0width$b}", decision.code)
    };
    let lead = format!("    {:<8}{message:<15} {bits:<14} ", format!("{span}"));
    folded(
        &lead,
        42,
        &format!("{}: {}{remark} <- {}", decision.field, decision.expected().words(), joined(decision.settings, ", ")),
    )
}

/// The problems of a profile, one or more lines each.
pub fn problems(file: &str, problems: &[Problem]) -> String {
    let mut out = String::new();
    for problem in problems {
        let place =
            if problem.line == 0 { file.to_owned() } else { format!("{file}:{}:{}", problem.line, problem.column) };
        let pointer = if problem.pointer.is_empty() { "the whole file" } else { problem.pointer.as_str() };
        out +=
            &folded(&format!("{place}: {}: ", problem.severity.word()), 4, &format!("{pointer}: {}", problem.reason));
        out += &folded("    ", 4, &format!("-> {} [{}]", problem.correction, problem.rule));
    }
    let count = |severity: Severity| {
        let count = problems.iter().filter(|problem| problem.severity == severity).count();
        format!("{count} {}{}", severity.word(), if count == 1 { "" } else { "s" })
    };
    let counts = [Severity::Error, Severity::Warning, Severity::Note].map(count).join(", ");
    let _ = writeln!(out, "{file}: {counts}");
    out
}

/// Which rules a profile was held against, and why these.
pub fn held_against(rules: &RuleSet, why: &str) -> String {
    folded("held against ", 4, &format!("{}: {}, {} ({why})", rules.name, rules.title, rules.date))
}
