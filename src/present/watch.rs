//! Writes the events of a watch as lines for people and programs, and its state as a screen.

use super::CAUTIONS;
use super::text::{counted, folded_to};
use crate::compare::{Awaited, Fault, Step, Tick, WatchEvent, WatchState, What};
use crate::onair::When;
use crate::profile::{Severity, names};
use serde_json::Value;
use std::fmt::Write;

/// Every terminal has as many columns.
const WIDTH: usize = 80;

/// In the air or on the ground.
pub(super) fn now_in(when: When) -> &'static str {
    match when {
        When::Airborne => "in the air",
        When::OnGround | When::Both => "on the ground",
    }
}

/// What is wrong, of which setting.
pub(super) fn about(fault: &Fault) -> String {
    let about = fault.setting.map_or_else(String::new, |setting| format!("{}: ", setting.name()));
    format!("{about}{} ({})", fault.what, fault.cause)
}

/// What a step waits for, and how long.
pub(super) fn awaited(awaited: &Awaited) -> String {
    let how_long = match awaited.seconds_more {
        Some(0.0) => " (overdue: check reception and state)".to_owned(),
        Some(seconds) => format!(" (about {seconds:.0} s more)"),
        None => String::new(),
    };
    format!("{}{how_long} for {}", awaited.what, names(&awaited.settings))
}

/// What a step is done with.
pub(super) fn done(differ: usize) -> String {
    let differ = match differ {
        0 => String::new(),
        1 => "; 1 setting of it differs".to_owned(),
        more => format!("; {more} settings of it differ"),
    };
    format!("complete: go to standby{differ}")
}

/// One event, in one or more lines.
pub fn event_text(event: &WatchEvent) -> String {
    let at = event.time.map_or_else(|| format!("line {}", event.line), |time| format!("{time:.1} s"));
    let lead = format!("{at:>12}  ");
    let indent = lead.len() + 4;
    let line = |words: &str| folded_to(WIDTH, &lead, indent, words);
    match &event.what {
        What::Heard { address } => line(&format!("heard as {address}")),
        What::Now { state: now } => line(&format!("now {}", now_in(*now))),
        What::Proved { step: 0, settings } => line(&format!("proved: {}", names(settings))),
        What::Proved { step, settings } => line(&format!("[x] step {step}: {}", names(settings))),
        What::Waits { step, missing } => {
            let each = |missing: &Awaited| line(&format!("step {step} waits for {}", awaited(missing)));
            missing.iter().map(each).collect()
        }
        What::Fault(found) => {
            let mut out = line(&format!("{}: {}", found.severity.word(), about(found)));
            let blank = " ".repeat(lead.len() + 2);
            out += &folded_to(WIDTH, &format!("{blank}likely cause: "), indent, &found.likely_cause);
            out += &folded_to(WIDTH, &format!("{blank}correction: "), indent, &found.correction);
            out
        }
        What::NoLonger(gone) => line(&format!("no longer found: {} ({})", gone.what, gone.cause)),
        What::StepComplete { step, differ } => line(&format!("step {step} is {}", done(*differ))),
        What::StepOpen { step } => {
            line(&format!("step {step} is open again: more was seen, and it is not certain any more"))
        }
    }
}

/// One event as an object.
pub fn event_json(event: &WatchEvent) -> Value {
    serde_json::to_value(event).unwrap_or_default()
}

/// What is to be done: every step, what must be so before, and the cautions.
pub fn steps_text(state: &WatchState) -> String {
    let mut out = String::new();
    for step in &state.steps {
        out += &folded_to(
            WIDTH,
            &format!("step {}: ", step.number),
            4,
            &format!("{}; {}", step.how(), counted(step.settings.len(), "setting")),
        );
    }
    let mut stops: Vec<&str> = Vec::new();
    for stop in state.steps.iter().flat_map(|step| &step.stops) {
        if !stops.contains(stop) {
            stops.push(stop);
        }
    }
    let stops: String = stops.iter().map(|stop| folded_to(WIDTH, "STOP  ", 6, stop)).collect();
    out + &stops + &folded_to(WIDTH, "CAUTION  ", 9, &CAUTIONS.join(" "))
}

fn step(step: &Step, is_next: bool, out: &mut String) {
    let (proved, differ, all) = (step.count(Tick::Proved), step.count(Tick::Differs), step.settings.len());
    let (mark, words) = if step.complete {
        ("x", done(differ))
    } else {
        let differ = if differ > 0 { format!(", {differ} differ") } else { String::new() };
        (" ", format!("{proved} of {all} proved{differ}; {:.0} s of listening", step.listened_s))
    };
    *out += &folded_to(WIDTH, &format!("[{mark}] {}. ", step.number), 7, &format!("{}: {words}", step.how()));
    if is_next {
        for missing in &step.missing {
            *out += &folded_to(WIDTH, "       waits for ", 11, &awaited(missing));
        }
    }
}

/// How it stands, in at most this many rows of 80 columns; what has no room is counted.
pub fn screen(title: &str, now: &WatchState, rows: usize) -> String {
    let mut out = folded_to(
        WIDTH,
        "",
        2,
        &format!(
            "{title}: {}",
            now.now.map_or("not heard yet", |now| match now {
                When::Airborne => "IN THE AIR",
                When::OnGround | When::Both => "ON THE GROUND",
            })
        ),
    );
    out += &folded_to(WIDTH, "", 2, &now.so_far.replace("verdict:", "verdict so far:"));
    let last = now.last.map_or_else(
        || "no frame of it yet".to_owned(),
        |last| {
            let at = last.time.map_or_else(String::new, |time| format!("{time:.1} s, "));
            format!("last: {at}line {}, {}", last.line, last.message)
        },
    );
    let _ = write!(
        out,
        "{}",
        folded_to(
            WIDTH,
            "",
            2,
            &format!(
                "{last}; {} of it in {}",
                counted(now.of_this_aircraft as usize, "frame"),
                counted(now.lines as usize, "line")
            )
        )
    );
    out.push('\n');
    let next = now.next().map(|step| step.number);
    for one in &now.steps {
        step(one, Some(one.number) == next, &mut out);
    }
    if let Some(one) = now.next() {
        if !one.interrogated && now.now.is_some_and(|now| one.when != When::Both && one.when != now) {
            out += &folded_to(
                WIDTH,
                "       ",
                7,
                &format!("it is {} now, and this step is {}", now_in(now.now.unwrap_or(one.when)), one.when.words()),
            );
        }
        // The stops of a step come before its first frame.
        if one.listened_s == 0.0 || one.interrogated {
            out += &one.stops.iter().map(|stop| folded_to(WIDTH, "       STOP  ", 13, stop)).collect::<String>();
        }
    } else {
        out += "Every step is complete: go to standby, and end with Ctrl-C.\n";
    }
    let mut lines: Vec<String> = out.lines().map(str::to_owned).collect();
    for (severity, title) in [(Severity::Error, "faults so far"), (Severity::Warning, "warnings so far")] {
        for (at, found) in now.faults.iter().filter(|fault| fault.severity == severity).enumerate() {
            if at == 0 {
                lines.extend([String::new(), title.to_owned()]);
            }
            let text =
                folded_to(WIDTH, "  ", 6, &about(found)) + &folded_to(WIDTH, "      do: ", 10, &found.correction);
            lines.extend(text.lines().map(str::to_owned));
        }
    }
    let room = rows.saturating_sub(1).max(4);
    if lines.len() > room {
        let left = lines.len() - room + 1;
        lines.truncate(room - 1);
        lines.push(format!("… {} more; all of it is shown at the end", counted(left, "line")));
    }
    lines.join("\n") + "\n"
}
