//! Writes one aircraft over several captures as text: one row per capture, what changed, quality by capture, first and
//! last seen.

use super::report_text;
use crate::compare::Series;
use crate::present::text::{cautions, counted, folded, listed};
use std::fmt::Write;

/// A time in seconds as a person reads it: a day and time where it counts from 1970.
pub fn when(seconds: f64) -> String {
    // Less than a year of seconds is not a time since 1970.
    let long_ago = 31_536_000.0;
    let stamp = (seconds >= long_ago).then(|| jiff::Timestamp::from_millisecond((seconds * 1000.0).round() as i64));
    match stamp {
        Some(Ok(stamp)) => stamp.strftime("%Y-%m-%d %H:%M:%S UTC").to_string(),
        _ => format!("{seconds:.1} s"),
    }
}

/// A series; `in_full` adds the last comparison in full.
pub fn series_text(series: &Series, in_full: bool) -> String {
    let mut out = series.last.as_ref().map_or_else(String::new, |last| format!("{}\n", last.first_line()));
    let _ = writeln!(
        out,
        "profile {}, address {}: {}; the first line is that of the last",
        series.profile,
        series.address,
        counted(series.captures.len(), "capture")
    );
    for (at, capture) in series.captures.iter().enumerate() {
        let begins = capture.times.map_or_else(|| "no times".to_owned(), |(from, _)| when(from));
        let heard = match capture.heard_as {
            None => "not heard".to_owned(),
            Some(address) if address == series.address => counted(capture.of_this_aircraft as usize, "frame"),
            Some(address) => format!("heard as {address}, {}", counted(capture.of_this_aircraft as usize, "frame")),
        };
        let lead = format!("\n{}. ", at + 1);
        let row = format!(
            "{}, {begins}: {heard}; {}; verdict: {}",
            capture.files.join(", "),
            capture.summary.words(),
            capture.verdict.key()
        );
        out += &folded(&lead, 3, &row);
        if !capture.causes.is_empty() {
            out += &folded("   faults and warnings: ", 6, &listed(&capture.causes));
        }
        if !capture.quality.is_empty() {
            out += &folded("   quality: ", 6, &listed(&capture.quality));
        }
    }
    for (at, changed) in series.changed().enumerate() {
        if at == 0 {
            out.push_str("\nwhat changed\n");
        }
        out += &folded(&format!("  {}: ", changed.setting.name()), 6, &changed.in_words());
    }
    let count = series.captures.len();
    let not_always = series.settings.iter().filter(|setting| {
        setting.first_seen.is_some_and(|first| first > 1) || setting.last_seen.is_some_and(|last| last < count)
    });
    for (at, setting) in not_always.enumerate() {
        if at == 0 {
            out.push_str("\nnot seen in every capture\n");
        }
        let (first, last) = (setting.first_seen.unwrap_or_default(), setting.last_seen.unwrap_or_default());
        out += &folded(
            &format!("  {}: ", setting.setting.name()),
            6,
            &format!("first seen in capture {first}, last in capture {last}"),
        );
    }
    if let (true, Some(last)) = (in_full, &series.last) {
        let _ = write!(out, "\nthe last capture in full\n{}", report_text(last));
        return out;
    }
    out.push_str("\n--details prints the comparison of the last capture in full\n");
    out += &cautions();
    out
}
