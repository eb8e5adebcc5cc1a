//! Draws the state of an install while lines come in.

use super::frame_link;
use crate::compare::{Step, Tick, WatchState};
use crate::present::text::counted;
use crate::present::watch::{about, awaited, done, now_in};
use crate::profile::{Severity, names};
use maud::{Markup, html};

fn step(step: &Step, is_next: bool, state: &WatchState) -> Markup {
    let (proved, differ, all) = (step.count(Tick::Proved), step.count(Tick::Differs), step.settings.len());
    html! {
        li.step.complete[step.complete].next[is_next] data-complete=(step.complete) {
            p { strong { @if step.complete { "\u{2713} " } @else { "\u{25cb} " } (step.how()) } " "
                @if step.complete { (done(differ)) } @else {
                    (proved) " of " (all) " proved" @if differ > 0 { ", " (differ) " differ" } "; " (format!("{:.0}", step.listened_s)) " s of listening"
                }
            }
            @if is_next {
                @if let Some(now) = state.now.filter(|now| !step.interrogated && step.when != crate::onair::When::Both && step.when != *now) {
                    p.small { "It is " (now_in(now)) " now, and this step is " (step.when.words()) "." }
                }
                // The stops of a step come before its first frame.
                @if step.listened_s == 0.0 || step.interrogated { @for stop in &step.stops { p { strong.error { "STOP " } (stop) } } }
                @if !step.missing.is_empty() { ul { @for missing in &step.missing { li { "waits for " (awaited(missing)) } } } }
            }
            details { summary { (counted(all, "setting")) }
                ul.ticks { @for one in &step.settings { li { (match one.tick { Tick::Proved => "\u{2713} ", Tick::Differs => "\u{2260} ", Tick::Missing => "? " }) (one.name) } } }
            }
        }
    }
}

/// The steps, what is missing, what is wrong and the last frame; `events` are the last of them, the newest first.
pub fn state<'a>(state: &WatchState, has_ended: bool, events: impl Iterator<Item = &'a str>) -> Markup {
    let next = state.next().map(|step| step.number);
    let events: Vec<&str> = events.collect();
    html! {
        p.say { strong { (state.now.map_or_else(|| "Not heard yet".to_owned(), |now| now_in(now).to_uppercase())) } }
        p { (if has_ended { state.so_far.clone() } else { state.so_far.replace("verdict:", "verdict so far:") }) }
        p.small { "Compared with " (state.profile) ", address " (state.address)
            @if let Some(heard) = state.heard_as.filter(|heard| *heard != state.address) { ", heard as " (heard) } ". "
            @if let Some(last) = &state.last {
                "Last frame: " @if let Some(time) = last.time { (format!("{time:.1}")) " s, " } "line " (last.line) ", " (last.message) ", " (frame_link(&last.frame, true)) "; "
            }
            (counted(state.of_this_aircraft as usize, "frame")) " of it in " (counted(state.lines as usize, "line")) "."
        }
        ol.steps { @for one in &state.steps { (step(one, Some(one.number) == next, state)) } }
        @if state.complete { p { strong { "Every step is complete: go to standby, and end with the verdict." } } }
        @if !state.in_no_step.is_empty() { p.small { "No planned step proves: " (names(&state.in_no_step)) "." } }
        // At the end the comparison has them.
        @if !has_ended && !state.faults.is_empty() { h2 { "Faults and warnings so far" } @for found in &state.faults { article.finding {
            h3 { span class=(format!("word {}", if found.severity == Severity::Error { "error" } else { "warning" })) { (found.severity.word()) } ": " (about(found)) }
            dl.facts { dt { "likely cause" } dd { (found.likely_cause) } dt { "correction" } dd { (found.correction) } }
        } } }
        @if !events.is_empty() { details { summary { "What happened, the last first" } pre.small tabindex="0" { @for event in &events { (event) } } } }
    }
}
