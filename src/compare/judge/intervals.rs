//! Judges how often each message came by the standard: too seldom, too often, or not at all.

use super::{Finding, Judge};
use crate::compare::install::Expected;
use crate::compare::observe::{Gaps, Intervals};
use crate::compare::report::{Element, Reception};
use crate::onair::{SquitterKind, Stream, When};
use crate::profile::Severity;
use crate::profile::mistake::{INTERVAL_OFF, MESSAGE_MISSING};

/// Less than this, and nothing is said of reception (tool default).
const LEAST_S: f64 = 20.0;
/// This many frames of a kind have to be expected before their absence says something (tool default).
const ENOUGH: f64 = 8.0;
/// This many gaps have to be there before their length says something (tool default).
const ENOUGH_GAPS: u64 = 60;
/// A rhythm in which a silence means more than a lost frame or two (tool default).
const FAST_S: f64 = 1.2;
/// What a receiver's clock and a late frame may add (tool default).
const SLACK_S: f64 = 0.1;

/// What was received, in each state where that is known.
pub fn receptions(seen: &Intervals) -> Vec<Reception> {
    [When::Airborne, When::OnGround].into_iter().filter_map(|when| reception(seen, when)).collect()
}

/// What was received in one state.
fn reception(seen: &Intervals, when: When) -> Option<Reception> {
    // Whether acquisition squitters go out on the ground, and how often, no source held settles.
    let one_rhythm = |(kind, _): &(SquitterKind, &Gaps)| {
        kind.when == when && kind.intervals().len() == 1 && kind.stream != Stream::Acquisition
    };
    let long = |(_, gaps): &(SquitterKind, &Gaps)| gaps.covered_s() >= LEAST_S && gaps.count() > 0;
    let share =
        |kind: SquitterKind, gaps: &Gaps| Some((gaps.count() as f64 * kind.slowest_s()? / gaps.covered_s()).min(1.0));
    let candidates = seen.kinds().filter(one_rhythm).filter(long);
    let candidates = candidates.filter_map(|(kind, gaps)| Some((kind, share(kind, gaps)?, gaps.covered_s())));
    // A slow rhythm is cut by silences, so that fast ones come first; of them the best, since one may be missing for
    // other reasons than loss.
    let fast = |kind: SquitterKind| kind.slowest_s().is_some_and(|slowest| slowest <= FAST_S);
    let best = candidates.max_by_key(|(kind, share, _)| (fast(*kind), (share * 1e6) as u64));
    best.map(|(kind, share, covered_s)| Reception { when, by: kind.message(), share, covered_s })
}

/// Every kind that the install sends, seen and expected.
pub fn elements(expected: &[Expected], seen: &Intervals, receptions: &[Reception]) -> Vec<(SquitterKind, Element)> {
    let sends = |kind: SquitterKind, message: &str| {
        let sent = expected.iter().filter(|expected| expected.sent).map(|expected| &expected.emission);
        sent.into_iter().any(|emission| {
            emission.table.message == message
                && Stream::of(emission) == Some(kind.stream)
                && (emission.when == kind.when || emission.when == When::Both)
        })
    };
    let mut elements = Vec::new();
    for (kind, gaps) in seen.kinds() {
        let message = kind.message();
        let (Some(window_s), Some(slowest)) = (kind.window_s(), kind.slowest_s()) else { continue };
        let received = receptions.iter().find(|received| received.when == kind.when);
        let came = gaps.frames - gaps.copies;
        if came == 0 && received.is_none() || !sends(kind, message) {
            continue;
        }
        let same_state = seen.kinds().filter(|(other, _)| other.when == kind.when);
        let listened = same_state.map(|(_, gaps)| gaps.covered_s()).fold(0.0, f64::max);
        let element = Element {
            message,
            when: kind.when,
            seen: came,
            expected: received.map(|received| listened / slowest * received.share),
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
    let statuses = judge.elements.iter().filter(|(kind, _)| kind.stream == Stream::OperationalStatus);
    statuses.filter_map(|(_, element)| element.expected).sum()
}

/// What came too seldom, too often, or not at all.
pub fn findings(judge: &Judge<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    // The interval of the acquisition squitter is from memory, so nothing is found by it.
    for (kind, element) in judge.elements.iter().filter(|(kind, _)| kind.stream != Stream::Acquisition) {
        let (name, state) = (element.message, kind.when.words());
        let Some(received) = judge.reception(kind.when) else { continue };
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
