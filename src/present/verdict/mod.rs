//! Verdicts and plans for people: what to act on first, then what was not proved, then the account.

mod data;
mod fleet;

pub use data::{plan as plan_json, report as report_json};
pub use fleet::{Fault, Row, Shown, table, worst};

use super::text::{cautions, counted, folded, stop_lines};
use crate::compare::{
    Alternative, Change, Element, Evidence, Fate, Finding, Measured, NearAddress, Plan, RECEPTION, Report, Run, SURE,
    SeenValue, SettingVerdict, Way, in_words,
};
use crate::onair::When;
use crate::profile::mistake::{Mistake, Often, causes};
use crate::profile::{SettingId, Severity, joined};
use std::fmt::Write;

/// Addresses that a profile's own may have become, in a row.
pub fn near(near: &[NearAddress]) -> String {
    near.iter().map(|near| format!("{} ({})", near.address, near.how)).collect::<Vec<_>>().join(", ")
}

/// What the captures say of one install.
pub fn report_text(report: &Report) -> String {
    let mut out = format!("{}\n", report.first_line());
    let heard = match report.heard_as {
        None => "not heard".to_owned(),
        Some(address) if address == report.address => format!("{} frames heard", report.of_this_aircraft),
        Some(address) => format!("heard as {address}, {} frames", report.of_this_aircraft),
    };
    let _ = writeln!(out, "profile {}, address {}: {heard}", report.profile, report.address);
    if !report.near.is_empty() {
        out += &folded("heard in the clear, and near it: ", 4, &near(&report.near));
    }
    for (notes, title) in [(false, "faults, the most serious first"), (true, "notes")] {
        let findings: Vec<&Finding> =
            report.findings.iter().filter(|finding| (finding.severity == Severity::Note) == notes).collect();
        for (at, told) in findings.iter().enumerate() {
            if at == 0 {
                let _ = writeln!(out, "\n{title}");
            }
            out += &finding(report, told);
        }
    }
    if let Some(change) = &report.changes {
        out += &changes(change);
    }
    for (fate, title) in [
        (Fate::NotFilledIn, "not filled in"),
        (Fate::NotSeen, "not in this capture, and what would show it (if half of the frames are received; 99 % sure)"),
        (Fate::NotOnAir, "never on the air, or not by this install"),
        (Fate::NotStated, "not stated in the profile, so nothing is expected"),
        (Fate::Agrees, "agrees"),
    ] {
        let settings = report.settings.iter().filter(|setting| setting.fate == fate);
        for (at, told) in settings.enumerate() {
            if at == 0 {
                let _ = writeln!(out, "\n{title}");
            }
            out += &setting(told);
        }
    }
    for (at, check) in report.not_judged.iter().enumerate() {
        if at == 0 {
            out.push_str("\nnot judged\n");
        }
        out += &folded("  ", 4, &check.words);
    }
    out += &over_the_capture(report);
    let bad = if report.parity_invalid == 1 { "frame" } else { "frames" };
    out.push('\n');
    out += &folded("capture: ", 9, &format!("{}; {} {bad} with bad parity", report.accounting, report.parity_invalid));
    for unread in &report.unread {
        out += &folded("not read whole: ", 4, unread);
    }
    out += &cautions();
    out
}

fn finding(report: &Report, finding: &Finding) -> String {
    let causes = finding.and_cause.map_or_else(|| finding.cause.to_owned(), |and| format!("{}, {and}", finding.cause));
    let lead = format!("  {:<8}", finding.severity.word());
    let mut out =
        folded(&lead, 10, &format!("{} ({causes}): {}", finding.setting.map_or("", SettingId::pointer), finding.what));
    out += &folded("          likely cause: ", 10, &finding.likely_cause);
    for other in &finding.alternatives {
        out += &folded("          or: ", 14, &alternative(other));
    }
    if finding.explains.len() > 1 {
        out += &folded("          explains: ", 20, &joined(&finding.explains, ", "));
    }
    if !finding.leaves.is_empty() {
        out += &folded("          leaves open: ", 23, &joined(&finding.leaves, ", "));
    }
    let often = mistake_of(finding.cause).map(|mistake| mistake.often);
    if let (Some(Often::Counted(words)), false) = (often, finding.severity == Severity::Note) {
        out += &folded("          how often: ", 21, words);
    }
    out += &folded("          correction: ", 10, &finding.correction);
    out += &folded("          judged by: ", 10, &finding.rule);
    for evidence in &finding.evidence {
        let _ = writeln!(out, "          {}", place(report, evidence));
    }
    out
}

fn mistake_of(cause: &str) -> Option<&'static Mistake> {
    causes().find(|mistake| mistake.cause == cause)
}

fn alternative(other: &Alternative) -> String {
    let alike = if other.indistinguishable { "; these frames cannot distinguish it from the cause above" } else { "" };
    let detail = if other.detail.is_empty() { String::new() } else { format!(" ({})", other.detail) };
    format!("{}{detail}{alike}", other.cause)
}

fn place(report: &Report, evidence: &Evidence) -> String {
    let file = report.files.get(evidence.file).map_or("", String::as_str);
    format!("{file}:{} {} ({})", evidence.line, evidence.frame, frames(evidence.frames))
}

fn frames(count: u64) -> String {
    format!("{count} {}", if count == 1 { "frame" } else { "frames" })
}

fn setting(setting: &SettingVerdict) -> String {
    // The field's name says what a number is about.
    let in_words = setting.setting.setting().says_more;
    let field = if in_words || setting.setting.pointer().ends_with(setting.field) { "" } else { setting.field };
    let field = if field.is_empty() { String::new() } else { format!(" ({field})") };
    let text = match setting.fate {
        Fate::Agrees | Fate::Differs => format!("{}; seen {}", setting.expected_text, seen(&setting.observed)),
        Fate::NotFilledIn | Fate::NotStated if setting.observed.is_empty() => "not seen".to_owned(),
        Fate::NotFilledIn | Fate::NotStated => format!("seen {}", seen(&setting.observed)),
        // What the crew decides is never judged, and never hidden.
        Fate::NotSeen if !setting.observed.is_empty() => {
            format!(
                "{}; seen {}; {}",
                setting.expected_text,
                seen(&setting.observed),
                setting.remark.as_deref().unwrap_or("")
            )
        }
        _ => format!("{}; {}", setting.expected_text, setting.remark.as_deref().unwrap_or("")),
    };
    folded(&format!("  {}{field}: ", setting.setting), 6, &text)
}

fn seen(observed: &[SeenValue]) -> String {
    let each = in_words(observed).into_iter().map(|(text, count)| format!("{text} in {}", frames(count)));
    each.collect::<Vec<_>>().join(", ")
}

fn changes(change: &Change) -> String {
    let mut out = format!("\nchanged since {}\n", change.files.join(", "));
    if let Some((before, after)) = &change.addresses {
        let _ = writeln!(out, "  address: {before} before, {after} now");
    }
    for changed in &change.settings {
        let text = format!(
            "{} before, {} now ({} before, {} now)",
            seen(&changed.before),
            seen(&changed.after),
            changed.fates.0.key(),
            changed.fates.1.key()
        );
        out += &folded(&format!("  {}: ", changed.setting), 6, &text);
    }
    for (causes, title) in
        [(&change.gone, "no longer found"), (&change.new, "not found before"), (&change.still, "found before and now")]
    {
        if !causes.is_empty() {
            let causes: Vec<String> = causes
                .iter()
                .map(|(cause, setting)| format!("{cause} ({})", setting.map_or("", SettingId::pointer)))
                .collect();
            out += &folded(&format!("  {title}: "), 6, &causes.join(", "));
        }
    }
    let _ = writeln!(out, "  the same in both: {}", counted(change.same, "setting"));
    if !change.only_one.is_empty() {
        out += &folded("  seen in only one of the two, so not compared: ", 6, &joined(&change.only_one, ", "));
    }
    out
}

// Over the capture ---------------------------------------------------------------------------------------------------

fn over_the_capture(report: &Report) -> String {
    let mut rows: Vec<String> = report.quality.iter().map(quality).collect();
    let coherence = &report.coherence;
    if coherence.airborne + coherence.on_ground > 0 {
        let mut text = format!(
            "air and ground: {} airborne messages, {} surface messages",
            coherence.airborne, coherence.on_ground
        );
        for (at, change) in coherence.first.iter().chain(&coherence.transitions).enumerate() {
            let when = change
                .evidence
                .time
                .map_or_else(|| format!("line {}", change.evidence.line), |time| format!("{time:.1} s"));
            let word = if at == 0 { "first" } else { "then" };
            let _ = write!(text, "; {word} {} at {when} ({})", change.to.words(), change.by);
        }
        let run = &coherence.contradictory;
        if run.bad > 0 {
            let _ = write!(text, "; {} of {} contradict themselves{}", run.bad, frames(run.total), longest(run));
        }
        rows.push(text);
    }
    for received in &report.reception {
        rows.push(format!(
            "received {}: {:.0} % of {} over {:.0} s, assuming the standard's mean interval; a unit that sends too \
             seldom looks the same, but the gaps would show it",
            state(received.by.on_ground),
            received.share * 100.0,
            received.by.message,
            received.covered_s
        ));
    }
    for on_ground in [false, true] {
        let of_state = report.elements.iter().filter(|element| element.kind.on_ground == on_ground);
        let elements: Vec<String> = of_state.map(element).collect();
        // What is expected is cut by what came through.
        let share = report.reception.iter().find(|received| received.by.on_ground == on_ground);
        if let (Some(received), false) = (share, elements.is_empty()) {
            rows.push(format!(
                "seen {}, and expected at {:.0} % reception: {}",
                state(on_ground),
                received.share * 100.0,
                elements.join("; ")
            ));
        }
    }
    for (name, unit, difference) in report.motion.comparisons() {
        if difference.run.total > 0 {
            rows.push(format!(
                "{name}: {} comparisons, {:.1} % of them beyond three times the noise; largest difference {:.1} {unit}, \
                 where {:.1} {unit} is noise",
                difference.run.total,
                difference.run.per_cent(),
                difference.largest,
                difference.noise
            ));
        }
    }
    let mut out = String::new();
    for (at, row) in rows.iter().enumerate() {
        if at == 0 {
            out.push_str("\nover the capture\n");
        }
        out += &folded("  ", 6, row);
    }
    out
}

fn state(on_ground: bool) -> &'static str {
    if on_ground { "on the ground" } else { "in the air" }
}

fn element(element: &Element) -> String {
    let expected = element.expected.map_or_else(|| "not known".to_owned(), |expected| format!("{expected:.0}"));
    let least = if element.kind.intervals().len() > 1 { "at least " } else { "" };
    format!("{} {}, expected {least}{expected}", element.kind.message, element.seen)
}

fn longest(run: &Run) -> String {
    match run.longest.seconds().filter(|seconds| *seconds > 0.0) {
        Some(seconds) => format!(", longest unbroken run {seconds:.1} s"),
        None => String::new(),
    }
}

fn quality(measured: &Measured) -> String {
    let values = measured.seen.values.iter().rev().map(|(value, seen)| format!("{value} in {}", frames(seen.frames)));
    let mut text = format!("{}: {}", measured.measure.name(), values.collect::<Vec<_>>().join(", "));
    let rule = measured.required_by.as_ref();
    let rule = rule.map_or_else(String::new, |(clause, confirmed)| format!("required by {clause}, {confirmed}"));
    for (bound, below, whose) in [
        (measured.bounds.wanted, &measured.seen.wanted, "stated"),
        (measured.bounds.floor, &measured.seen.floor, rule.as_str()),
    ] {
        if let Some(bound) = bound {
            let run = &below.run;
            let _ = write!(text, "; {:.1} % below {bound} ({whose}){}", run.per_cent(), longest(run));
        }
    }
    text
}

// Plans --------------------------------------------------------------------------------------------------------------

/// What must be so before the captures of a plan begin, each once.
pub fn plan_cautions(plan: &Plan) -> String {
    let mut stops: Vec<&str> = Vec::new();
    for stop in plan.captures.iter().flat_map(|capture| &capture.stops) {
        if !stops.contains(stop) {
            stops.push(stop);
        }
    }
    stop_lines(0, &stops) + &cautions()
}

/// The captures that prove most of an install.
pub fn plan_text(plan: &Plan) -> String {
    let all: usize = plan.captures.iter().map(|capture| capture.adds.len()).sum();
    let mut out = format!(
        "{} prove{} {all} of {} settings\n",
        counted(plan.captures.len(), "capture"),
        if plan.captures.len() == 1 { "s" } else { "" },
        plan.provable
    );
    let _ = writeln!(out, "profile {}, address {}", plan.profile, plan.address);
    out += &folded(
        "",
        0,
        &format!(
            "Assumes that {:.0} % of all frames are received (tool default), and asks for each message at least once with \
             {:.0} % certainty; intervals: handbook, ADS-B part, chapter 1, limits from memory. Two minutes in each state \
             are a sensible minimum (common practice, no source).",
            RECEPTION * 100.0,
            SURE * 100.0
        ),
    );
    for (at, capture) in plan.captures.iter().enumerate() {
        let what = match (capture.when, capture.interrogated) {
            (When::Airborne, false) => "in the air: listen",
            (When::Airborne, true) => "in the air: interrogate, and listen to the replies",
            (_, false) => "on the ground: listen",
            (_, true) => "on the ground: interrogate, and listen to the replies",
        };
        let length =
            if capture.interrogated { "two replies of each kind".to_owned() } else { format!("{} s", capture.seconds) };
        let told = format!("{what}, {length}; proves {}, {} of them new", capture.proves.len(), capture.adds.len());
        out.push('\n');
        out += &folded(&format!("{}. ", at + 1), 3, &told);
        out += &stop_lines(3, &capture.stops);
        for way in &capture.ways {
            out += &folded("   wait for ", 12, &awaited(way));
        }
        out += &folded("   proves ", 10, &joined(&capture.adds, ", "));
    }
    if !plan.when_used.is_empty() {
        out += &folded("\nsent only when the crew uses it, and not counted: ", 2, &joined(&plan.when_used, ", "));
    }
    for (at, (setting, reason)) in plan.never.iter().enumerate() {
        if at == 0 {
            out.push_str("\ncannot be proved by receiving\n");
        }
        out += &folded(&format!("  {setting}: "), 6, reason);
    }
    out.push('\n');
    out += &cautions();
    out
}

fn awaited(way: &Way) -> String {
    match (way.seconds, way.asked_by) {
        (Some(seconds), _) => format!("{} ({seconds} s)", way.title),
        (None, Some(asked_by)) => format!("two replies to {asked_by}"),
        (None, None) => way.title.to_owned(),
    }
}
