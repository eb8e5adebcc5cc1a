//! How often each message came, against the standard: what came too seldom, too often, or not at all.

use super::{Finding, Judge};
use crate::compare::observe::{Gaps, Intervals};
use crate::compare::report::{Element, Reception};
use crate::onair::{Kind, Stream, When};
use crate::profile::Severity;
use crate::profile::mistake::{INTERVAL_OFF, MESSAGE_MISSING};

/// Less than this, and nothing is said of reception (tool default).
const LEAST_S: f64 = 20.0;
/// So many frames of a kind have to be expected before their absence says something (tool default).
const ENOUGH: f64 = 8.0;
/// So many gaps have to be there before their length says something (tool default).
const ENOUGH_GAPS: u64 = 60;
/// A rhythm in which a silence means more than a lost frame or two (tool default).
const FAST_S: f64 = 1.2;
/// What a receiver's clock and a late frame may add (tool default).
const SLACK_S: f64 = 0.1;

/// What was received in one state.
pub fn reception(seen: &Intervals, when: When) -> Option<Reception> {
    // Whether acquisition squitters go out on the ground, and how often, no source held settles.
    let one_rhythm = |(kind, _): &(Kind, &Gaps)| {
        kind.when == when && kind.intervals().len() == 1 && kind.stream != Stream::Acquisition
    };
    let long = |(_, gaps): &(Kind, &Gaps)| gaps.covered_s() >= LEAST_S && gaps.count() > 0;
    let share = |kind: Kind, gaps: &Gaps| Some((gaps.count() as f64 * kind.slowest_s()? / gaps.covered_s()).min(1.0));
    let reckoned = seen.kinds().filter(one_rhythm).filter(long);
    let reckoned = reckoned.filter_map(|(kind, gaps)| Some((kind, share(kind, gaps)?, gaps.covered_s())));
    // A slow rhythm is cut by silences, so that fast ones come first; of them the best, since one may be missing for
    // other reasons than loss.
    let fast = |kind: Kind| kind.slowest_s().is_some_and(|slowest| slowest <= FAST_S);
    let best = reckoned.max_by_key(|(kind, share, _)| (fast(*kind), (share * 1e6) as u64));
    best.map(|(kind, share, covered_s)| Reception { when, by: kind.message(), share, covered_s })
}

/// Every kind that the install sends, seen and expected.
pub fn elements(judge: &Judge<'_>) -> Vec<Element> {
    judged(judge).into_iter().map(|(_, element)| element).collect()
}

fn judged(judge: &Judge<'_>) -> Vec<(Kind, Element)> {
    let seen = &judge.tally.intervals;
    let sends = |kind: Kind| {
        let sent = judge.install.expected.iter().filter(|expected| expected.sent).map(|expected| &expected.emission);
        sent.into_iter().any(|emission| {
            emission.table.message == kind.message()
                && Stream::of(emission) == Some(kind.stream)
                && (emission.when == kind.when || emission.when == When::Both)
        })
    };
    let mut elements = Vec::new();
    for (kind, gaps) in seen.kinds().filter(|(kind, _)| sends(*kind)) {
        let (Some(window_s), Some(slowest)) = (kind.window_s(), kind.slowest_s()) else { continue };
        let same_state = seen.kinds().filter(|(other, _)| other.when == kind.when);
        let listened = same_state.map(|(_, gaps)| gaps.covered_s()).fold(0.0, f64::max);
        let expected = reception(seen, kind.when).map(|received| listened / slowest * received.share);
        let came = gaps.frames - gaps.copies;
        if came == 0 && expected.is_none() {
            continue;
        }
        let element = Element {
            message: kind.message(),
            when: kind.when,
            seen: came,
            expected,
            at_least: kind.intervals().len() > 1,
            window_s,
            gaps: gaps.count(),
            in_time: gaps.within(0.0, window_s.1 + SLACK_S),
            too_short: gaps.within(0.0, (window_s.0 - SLACK_S).max(0.0)),
        };
        elements.push((kind, element));
    }
    elements
}

/// How many operational statuses would have come with this reception.
pub fn statuses_expected(judge: &Judge<'_>) -> f64 {
    let statuses = judged(judge).into_iter().filter(|(kind, _)| kind.stream == Stream::OperationalStatus);
    statuses.filter_map(|(_, element)| element.expected).sum()
}

/// What came too seldom, too often, or not at all.
pub fn findings(judge: &Judge<'_>) -> Vec<Finding> {
    let seen = &judge.tally.intervals;
    let mut findings = Vec::new();
    // The interval of the acquisition squitter is from memory, so nothing is found by it.
    for (kind, element) in judged(judge).into_iter().filter(|(kind, _)| kind.stream != Stream::Acquisition) {
        let (name, state) = (element.message, kind.when.words());
        let Some(received) = reception(seen, kind.when) else { continue };
        let assumed =
            format!("{:.0} % of {} received over {:.0} s", received.share * 100.0, received.by, received.covered_s);
        // No emergency, and the code that means none: then this message does not go out.
        let may_be_silent = kind.stream == Stream::AircraftStatus;
        if element.seen == 0 && !may_be_silent && element.expected.is_some_and(|expected| expected >= ENOUGH) {
            let what =
                format!("{name} {state}: none seen, {:.0} expected ({assumed})", element.expected.unwrap_or_default());
            findings.push(judge.finding(Severity::Warning, &MESSAGE_MISSING, what, None).in_message(name));
        }
        if element.gaps < ENOUGH_GAPS {
            continue;
        }
        let (least, most) = element.window_s;
        let share = |part: u64| part as f64 / element.gaps as f64;
        if share(element.too_short) > 0.1 {
            let what = format!(
                "{name} {state}: {:.0} % of {} gaps are shorter than {least} s, the shortest interval",
                share(element.too_short) * 100.0,
                element.gaps
            );
            findings.push(judge.finding(Severity::Note, &INTERVAL_OFF, what, None).in_message(name));
        } else if share(element.in_time) < received.share / 5.0 {
            let what = format!(
                "{name} {state}: {:.0} % of {} gaps are no longer than {most} s, the longest interval, although {assumed}",
                share(element.in_time) * 100.0,
                element.gaps
            );
            findings.push(judge.finding(Severity::Note, &INTERVAL_OFF, what, None).in_message(name));
        }
    }
    findings
}
