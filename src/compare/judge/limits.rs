//! Lists the limits of judgement, each with its source. A limit that no source gives is a tool default, and is called
//! that wherever it decides.

use crate::compare::observe::{Run, Watched};
use crate::profile::Severity;
use std::fmt::Write;

/// A fault is judged from at least this many frames that could have shown it (tool default).
pub const ENOUGH_FRAMES: u64 = 10;

/// What lasts less long in a row is a change on its way, not a fault (tool default).
pub const LASTING_S: f64 = 10.0;

/// A regulator's minimum counts as broken for good from this long on (tool default).
pub const MINIMUM_BROKEN_S: f64 = 60.0;
/// Without times, from this many frames on (tool default).
pub const MINIMUM_BROKEN_FRAMES: u64 = 30;
/// Both in words.
pub const LASTING_WORDS: &str =
    "an error where it is broken in every one of at least 10 frames over 60 s, or of 30 without times (tool default)";

/// Whether what every frame showed was seen long enough to be more than the moment.
pub fn lasting(run: &Run, heard_s: Option<f64>) -> bool {
    match heard_s {
        Some(seconds) => run.total >= ENOUGH_FRAMES && seconds >= MINIMUM_BROKEN_S,
        None => run.total >= MINIMUM_BROKEN_FRAMES,
    }
}

/// Whether the longest run of bad frames is more than a change on its way; without times, by its frames.
pub fn lasts(run: &Run) -> bool {
    run.longest.seconds().map_or(run.longest.frames >= ENOUGH_FRAMES, |seconds| seconds >= LASTING_S)
}

/// Ident is on for 18 s after the button, 1 s more or less (Annex 10 Volume IV, as the handbook gives it).
pub const IDENT_S: f64 = 19.0;
/// From here on no crew presses it twice: it is stuck (tool default: three times its time).
pub const IDENT_STUCK_S: f64 = 57.0;

/// Nor so often that nearly every frame says it for as long (tool default); a damaged frame breaks a row.
pub const IDENT_STUCK_PER_CENT: f64 = 90.0;

/// How rare and how short low quality must be to be a dip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dips {
    /// At most this share of the frames, in per cent.
    pub per_cent: f64,
    /// At most this long in a row, in seconds.
    pub seconds: f64,
}

impl Default for Dips {
    /// Tool defaults: 1 to 2 % is treated as a nuisance, and 100 % points to set-up (press reports of 2017 on the United
    /// States programme); the figures between are our own choice.
    fn default() -> Self {
        Self { per_cent: 5.0, seconds: 20.0 }
    }
}

impl Dips {
    /// Whether what was bad was rare and short. One bad frame of ten is rare.
    pub(crate) fn allow(&self, run: &Run) -> bool {
        let rare = run.per_cent() <= self.per_cent || run.bad == 1 && run.total >= ENOUGH_FRAMES;
        rare && run.longest.seconds().is_none_or(|seconds| seconds <= self.seconds)
    }

    /// In words.
    pub(crate) fn words(&self) -> String {
        format!(
            "a dip is at most {} % of the frames and {} s in a row (tool default; --dips sets it)",
            self.per_cent, self.seconds
        )
    }
}

/// How serious it is that something was missing at this share: never there is an error, and so is missing more often than
/// not; less is a warning, and a note within the limits of a dip or while a source starts. Without times nobody knows
/// what came together, so only what is hardly ever there counts. `None` if nothing is missing, or too little was seen.
pub fn severity_of(watched: &Watched, dips: &Dips) -> Option<Severity> {
    let run = &watched.run;
    if run.bad == 0 || run.total < ENOUGH_FRAMES {
        return None;
    }
    let timed = watched.first.is_some_and(|first| first.time.is_some());
    let mostly = if timed { run.per_cent() > 50.0 && !run.is_at_the_start() } else { run.per_cent() >= 90.0 };
    Some(if run.is_constant() || mostly {
        Severity::Error
    } else if !timed || dips.allow(run) || run.is_at_the_start() {
        Severity::Note
    } else {
        Severity::Warning
    })
}

/// How much and how long, for people.
pub fn extent(run: &Run) -> String {
    let mut text = if run.is_constant() {
        format!("in every one of {} frames", run.total)
    } else {
        format!("in {} of {} frames ({:.1} %)", run.bad, run.total, run.per_cent())
    };
    if let Some(seconds) = run.longest.seconds().filter(|seconds| *seconds > 0.0) {
        let _ = write!(text, ", longest run {} frames in {seconds:.1} s", run.longest.frames);
    }
    text
}
