//! Verdicts and plans for people: what to act on first, then what was not proved, then the account.

mod data;
mod fleet;
#[cfg(feature = "cli")]
mod schema;
mod series;

pub use data::{plan as plan_json, report as report_json};
pub use fleet::{Fault, Row, Shown, counts, first_line, most_serious_first, table, worst};
#[cfg(feature = "cli")]
pub use schema::{readback_schema, report_schema, series_schema, watch_schema};
pub use series::{series_text, when};

use super::text::{cautions, counted, folded, listed, stop_lines};
use crate::compare::{
    Alternative, Change, Doubt, Element, Finding, NearAddress, Plan, Quality, RECEPTION, Report, SURE, SeenValue,
    SettingStatus, SettingVerdict, Stretch, Way, in_words,
};
use crate::onair::When;
use crate::profile::mistake::Often;
use crate::profile::{SettingId, Severity, names};
use std::fmt::Write;

/// Addresses that a profile's own may have become, in a row.
pub fn near(near: &[NearAddress]) -> String {
    near.iter().map(|near| format!("{} ({})", near.address, near.how)).collect::<Vec<_>>().join(", ")
}

/// The heading of what is wrong or doubtful in a profile.
pub const IN_THE_PROFILE: &str = "in the profile itself, whatever the unit sends";

/// What to do where nothing was heard of an install.
pub const LOOK_AGAIN: &str = "check the address in the profile, and that the right file was given";

/// What became of the settings, in a sentence or two for the head of a page.
pub fn sentence(report: &Report) -> String {
    if let Some(why) = report.not_heard {
        let near = if report.near.is_empty() {
            String::new()
        } else {
            format!(" Heard in the clear, and near it: {}.", near(&report.near))
        };
        return format!("No frame of {} was heard: {why}.{near}", report.address);
    }
    let of = |status: SettingStatus| {
        let settings = report.settings.iter().filter(|setting| setting.status == status);
        settings.filter(|setting| setting.counts() || status == SettingStatus::Differs).count()
    };
    let are = |count: usize, one: &str, many: &str| format!("{count} {}", if count == 1 { one } else { many });
    let heard = report.heard_as.filter(|seen| *seen != report.address);
    let heard = heard.map_or_else(String::new, |seen| format!("Heard as {seen} instead of {}. ", report.address));
    let lead = match (of(SettingStatus::Differs), report.summary.faults) {
        (0, 0) => "No setting differs.".to_owned(),
        (0, faults) => format!("No setting differs, and {}.", are(faults, "fault was found", "faults were found")),
        (differ, _) => format!("{}.", are(differ, "setting differs", "settings differ")),
    };
    let mut parts = vec![are(of(SettingStatus::Agrees), "agrees", "agree")];
    for (status, one, many) in [
        (SettingStatus::NotSeen, "was not seen", "were not seen"),
        (SettingStatus::NotFilledIn, "is not filled in", "are not filled in"),
    ] {
        if of(status) > 0 {
            parts.push(are(of(status), one, many));
        }
    }
    format!("{heard}{lead} {}.", parts.join(", "))
}

/// What the captures say of one install.
pub fn report_text(report: &Report) -> String {
    let mut out = format!("{}\n", report.first_line());
    let count = frames(report.capture.of_this_aircraft);
    let heard = match report.heard_as {
        None => "not heard".to_owned(),
        Some(address) if address == report.address => format!("{count} heard"),
        Some(address) => format!("heard as {address}, {count}"),
    };
    let _ = writeln!(out, "profile {}, address {}: {heard}", report.profile, report.address);
    if let Some(why) = report.not_heard {
        out += &folded("not heard: ", 4, &format!("{why}; {LOOK_AGAIN}"));
    }
    if !report.near.is_empty() {
        out += &folded("heard in the clear, and near it: ", 4, &near(&report.near));
    }
    out += &doubts(&report.profile_doubts);
    for (notes, title) in [(false, "faults, the most serious first"), (true, "notes")] {
        let findings: Vec<&Finding> =
            report.findings.iter().filter(|finding| (finding.severity == Severity::Note) == notes).collect();
        for (at, told) in findings.iter().enumerate() {
            if at == 0 {
                let _ = writeln!(out, "\n{title}");
            }
            out += &finding(told);
        }
    }
    if let Some(change) = &report.changes {
        out += &changes(change);
    }
    let only_shown = "shown only, not judged";
    for (status, title) in [
        (SettingStatus::NotFilledIn, "not filled in"),
        (
            SettingStatus::NotSeen,
            "not in this capture, and what would show it (if half of the frames are received; 99 % sure)",
        ),
        (SettingStatus::NotSeen, only_shown),
        (SettingStatus::NotOnAir, "never on the air, or not by this install"),
        (SettingStatus::NotStated, "not stated in the profile, so nothing is expected"),
        (SettingStatus::Agrees, "agrees"),
    ] {
        let is_listed =
            |setting: &&SettingVerdict| setting.status == status && setting.is_only_shown() == (title == only_shown);
        let settings = report.settings.iter().filter(is_listed);
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
    out.push('\n');
    let capture = &report.capture;
    let account = format!("{}; {} with bad parity", capture.accounting, frames(capture.parity_invalid));
    out += &folded("capture: ", 9, &account);
    for unread in &capture.not_read_whole {
        out += &folded("not read whole: ", 4, unread);
    }
    out += &cautions();
    out
}

/// What is wrong or doubtful in a profile by itself.
pub fn doubts(all: &[Doubt]) -> String {
    let mut out = if all.is_empty() { String::new() } else { format!("\n{IN_THE_PROFILE}\n") };
    for doubt in all {
        let lead = format!("  {:<8}", doubt.severity.word());
        out += &folded(&lead, 10, &format!("{}: {}", doubt.setting.name(), doubt.reason));
        out += &folded("          correction: ", 10, &doubt.correction);
        out += &folded("          judged by: ", 10, &format!("profile check, {}", doubt.rule));
    }
    out
}

fn finding(finding: &Finding) -> String {
    let lead = format!("  {:<8}", finding.severity.word());
    let about = finding.setting.map_or("the capture as a whole", SettingId::name);
    let mut out = folded(&lead, 10, &format!("{about}: {}", finding.what));
    out += &folded("          likely cause: ", 10, &finding.likely_cause);
    for other in &finding.alternatives {
        out += &folded("          or: ", 14, &alternative(other));
    }
    if finding.explains.len() > 1 {
        out += &folded("          explains: ", 20, &names(&finding.explains));
    }
    if !finding.leaves.is_empty() {
        out += &folded("          leaves open: ", 23, &names(&finding.leaves));
    }
    if let (Some(Often::Counted(words)), false) = (finding.how_often, finding.severity == Severity::Note) {
        out += &folded("          how often: ", 21, words);
    }
    out += &folded("          correction: ", 10, &finding.correction);
    out += &folded("          judged by: ", 10, &finding.rule);
    let causes = finding.and_cause.map_or_else(|| finding.cause.to_owned(), |and| format!("{}, {and}", finding.cause));
    let setting = finding.setting.map_or_else(String::new, |setting| format!("; setting: {setting}"));
    out += &folded("          cause: ", 10, &format!("{causes}{setting}"));
    for shown in &finding.evidence {
        let _ = writeln!(out, "          {}:{} {} ({})", shown.file, shown.line, shown.frame, frames(shown.frames));
    }
    out
}

fn alternative(other: &Alternative) -> String {
    let alike = if other.indistinguishable { "; these frames cannot distinguish it from the cause above" } else { "" };
    let detail = if other.detail.is_empty() { String::new() } else { format!(" ({})", other.detail) };
    format!("{}{detail}{alike}", other.cause)
}

fn frames(count: u64) -> String {
    counted(count, "frame")
}

fn setting(setting: &SettingVerdict) -> String {
    let text = match setting.status {
        SettingStatus::Agrees | SettingStatus::Differs => {
            format!("{}; seen {}", setting.meaning, seen(&setting.observed))
        }
        SettingStatus::NotFilledIn | SettingStatus::NotStated if setting.observed.is_empty() => "not seen".to_owned(),
        SettingStatus::NotFilledIn | SettingStatus::NotStated => format!("seen {}", seen(&setting.observed)),
        // What the crew decides is never judged, and never hidden.
        SettingStatus::NotSeen if !setting.observed.is_empty() => {
            format!(
                "{}; seen {}; {}",
                setting.meaning,
                seen(&setting.observed),
                setting.remark.as_deref().unwrap_or("")
            )
        }
        _ => format!("{}; {}", setting.meaning, setting.remark.as_deref().unwrap_or("")),
    };
    folded(&format!("  {}: ", setting.setting.name()), 6, &text)
}

fn seen(observed: &[SeenValue]) -> String {
    let each = in_words(observed).into_iter().map(|(text, count)| format!("{text} in {}", frames(count)));
    each.collect::<Vec<_>>().join(", ")
}

fn changes(change: &Change) -> String {
    let mut out = format!("\nchanged since {}\n", change.before.join(", "));
    if let Some((before, after)) = &change.addresses {
        let _ = writeln!(out, "  address: {before} before, {after} now");
    }
    for changed in &change.settings {
        let text = format!(
            "{} before, {} now ({} before, {} now)",
            seen(&changed.before),
            seen(&changed.after),
            changed.verdict_before.key(),
            changed.verdict_after.key()
        );
        out += &folded(&format!("  {}: ", changed.setting.name()), 6, &text);
    }
    for (causes, title) in
        [(&change.gone, "no longer found"), (&change.new, "not found before"), (&change.still, "found before and now")]
    {
        if !causes.is_empty() {
            out += &folded(&format!("  {title}: "), 6, &listed(causes));
        }
    }
    let _ = writeln!(out, "  the same in both: {}", counted(change.same, "setting"));
    if !change.only_one.is_empty() {
        out += &folded("  seen in only one of the two, so not compared: ", 6, &names(&change.only_one));
    }
    out
}

// Over the capture ---------------------------------------------------------------------------------------------------

fn over_the_capture(report: &Report) -> String {
    let mut rows: Vec<String> = report.quality.iter().map(quality).collect();
    let seen = &report.air_ground;
    if seen.airborne_messages + seen.surface_messages > 0 {
        let mut text = format!(
            "air and ground: {} airborne messages, {} surface messages",
            seen.airborne_messages, seen.surface_messages
        );
        for (at, change) in seen.timeline.iter().enumerate() {
            let when = change.time.map_or_else(|| format!("line {}", change.line), |time| format!("{time:.1} s"));
            let word = if at == 0 { "first" } else { "then" };
            let _ = write!(text, "; {word} {} at {when} ({})", change.to.words(), change.by);
        }
        let against = &seen.contradictory;
        if against.bad > 0 {
            let _ = write!(
                text,
                "; {} of {} contradict themselves{}",
                against.bad,
                frames(against.frames),
                longest(against)
            );
        }
        rows.push(text);
    }
    for received in &report.reception {
        rows.push(format!(
            "received {}: {:.0} % of {} over {:.0} s, assuming the standard's mean interval; a unit that sends too \
             seldom looks the same, but the gaps would show it",
            received.when.words(),
            received.share * 100.0,
            received.by,
            received.covered_s
        ));
    }
    // What is expected is cut by what came through.
    for received in &report.reception {
        let of_state = report.elements.iter().filter(|element| element.when == received.when);
        let elements: Vec<String> = of_state.map(element).collect();
        if !elements.is_empty() {
            rows.push(format!(
                "seen {}, and expected at {:.0} % reception: {}",
                received.when.words(),
                received.share * 100.0,
                elements.join("; ")
            ));
        }
    }
    for motion in &report.motion {
        rows.push(format!(
            "{}: {} comparisons, {:.1} % of them beyond three times the noise; largest difference {:.1} {unit}, where \
             {:.1} {unit} is noise",
            motion.comparison,
            motion.beyond_noise.frames,
            motion.beyond_noise.per_cent,
            motion.largest,
            motion.noise,
            unit = motion.unit
        ));
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

fn element(element: &Element) -> String {
    let expected = element.expected.map_or_else(|| "not known".to_owned(), |expected| format!("{expected:.0}"));
    let least = if element.at_least { "at least " } else { "" };
    format!("{} {}, expected {least}{expected}", element.message, element.seen)
}

fn longest(stretch: &Stretch) -> String {
    match stretch.longest_seconds.filter(|seconds| *seconds > 0.0) {
        Some(seconds) => format!(", longest unbroken run {seconds:.1} s"),
        None => String::new(),
    }
}

fn quality(seen: &Quality) -> String {
    let values = seen.values.iter().rev().map(|(value, count)| format!("{value} in {}", frames(*count)));
    let mut text = format!("{}: {}", seen.measure, values.collect::<Vec<_>>().join(", "));
    for below in [&seen.below_stated, &seen.below_floor].into_iter().flatten() {
        let whose = match (&below.clause, &below.confirmed) {
            (Some(clause), Some(confirmed)) => format!("required by {clause}, {confirmed}"),
            _ => "stated".to_owned(),
        };
        let (per_cent, bound) = (below.stretch.per_cent, below.bound);
        let _ = write!(text, "; {per_cent:.1} % below {bound} ({whose}){}", longest(&below.stretch));
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
        out += &folded("   proves ", 10, &names(&capture.adds));
    }
    if !plan.when_used.is_empty() {
        out += &folded("\nsent only when the crew uses it, and not counted: ", 2, &names(&plan.when_used));
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
    match (way.seconds, way.reply_to) {
        (Some(seconds), _) => format!("{} ({seconds} s)", way.title),
        (None, Some(reply_to)) => format!("two replies to {reply_to}"),
        (None, None) => way.title.to_owned(),
    }
}
