//! Reads captured text: lines to frames, with an account of every line.

mod clock;
mod line;

// Files, and work on them spread over threads, are what the program needs.
#[cfg(feature = "lab")]
mod block;
#[cfg(feature = "lab")]
mod buffer_pool;
#[cfg(feature = "lab")]
mod digest;
#[cfg(feature = "lab")]
mod ordered_pool;
#[cfg(feature = "lab")]
mod source;

#[cfg(feature = "lab")]
pub use source::{CaptureError, ReadError, Source, open_file, read_from};
// How the program spreads its work.
#[cfg(feature = "lab")]
#[doc(hidden)]
pub use {
    block::{BLOCK, End, TextBlock, blocks},
    buffer_pool::BufferPool,
    digest::{Captured, Digested, Running, sha256},
    ordered_pool::{MOST_THREADS, ordered_pool, share, threads},
};

pub use clock::{Clock, TimeForm};
pub(crate) use line::read_lines_by;
pub use line::{LONGEST_LINE, Line, Reason, Record, frame_by_hand, read_line, read_line_by, read_lines};

use crate::code::counted;
#[cfg(feature = "cli")]
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeMap;

/// What became of the lines: `lines = frames + comments + skipped`, always.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[serde(into = "AccountOfLines")]
pub struct Accounting {
    /// Lines with a frame.
    pub frames: u64,
    /// Blank lines and lines that begin with `#`.
    pub comments: u64,
    /// Lines without a usable frame, by reason.
    pub skipped: BTreeMap<Reason, u64>,
    /// The least and the most of the times before frames, in seconds.
    pub times: Option<(f64, f64)>,
    /// Frames without a time.
    pub untimed: u64,
    /// Those of them with something before the frame that may be a time and is not understood: a time without its zone, a
    /// time of day, a decimal comma, or a number too large for seconds.
    pub time_not_understood: u64,
}

impl Accounting {
    /// All lines.
    ///
    /// ```
    /// use squitterlab::capture::read_lines;
    /// use std::ops::ControlFlow;
    /// let accounting = read_lines(b"# ours\n8D4840D6202CC371C32CE0576098\nhello\n", 1, |_| ControlFlow::Continue(()));
    /// assert_eq!((accounting.lines(), accounting.frames, accounting.comments), (3, 1, 1));
    /// ```
    pub fn lines(&self) -> u64 {
        self.frames + self.comments + self.skipped_in_all()
    }

    /// Lines skipped for any reason.
    ///
    /// ```
    /// use squitterlab::capture::{Accounting, read_line};
    /// let mut accounting = Accounting::default();
    /// accounting.count(&read_line(b"hello"));
    /// assert_eq!(accounting.skipped_in_all(), 1);
    /// ```
    pub fn skipped_in_all(&self) -> u64 {
        self.skipped.values().sum()
    }

    /// Counts one line.
    ///
    /// ```
    /// use squitterlab::capture::{Accounting, read_line};
    /// let mut accounting = Accounting::default();
    /// accounting.count(&read_line(b"12.5 8D4840D6202CC371C32CE0576098"));
    /// assert_eq!((accounting.frames, accounting.times), (1, Some((12.5, 12.5))));
    /// ```
    #[inline]
    pub fn count(&mut self, line: &Line) {
        match line {
            Line::Frame { time, unclear, .. } => {
                self.frames += 1;
                match *time {
                    Some(time) => self.widen(Some((time, time))),
                    None => self.untimed += 1,
                }
                self.time_not_understood += u64::from(*unclear);
            }
            Line::Comment => self.comments += 1,
            Line::Skipped(reason) => *self.skipped.entry(*reason).or_default() += 1,
        }
    }

    fn widen(&mut self, times: Option<(f64, f64)>) {
        if let Some((from, to)) = times {
            self.times = Some(self.times.map_or((from, to), |(first, last)| (first.min(from), last.max(to))));
        }
    }

    /// Adds the account of another part.
    ///
    /// ```
    /// use squitterlab::capture::Accounting;
    /// let mut night = Accounting { frames: 3, ..Accounting::default() };
    /// night.add(&Accounting { frames: 4, comments: 1, ..Accounting::default() });
    /// assert_eq!((night.frames, night.comments), (7, 1));
    /// ```
    pub fn add(&mut self, other: &Self) {
        self.frames += other.frames;
        self.comments += other.comments;
        self.untimed += other.untimed;
        self.time_not_understood += other.time_not_understood;
        self.widen(other.times);
        for (reason, count) in &other.skipped {
            *self.skipped.entry(*reason).or_default() += count;
        }
    }
}

/// The account of lines as every JSON output has it.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct AccountOfLines {
    /// All lines: frames, comments and skipped ones.
    lines: u64,
    /// Lines with a frame.
    frames: u64,
    /// Blank lines and lines that begin with `#`.
    comments: u64,
    /// Lines without a usable frame, by reason.
    skipped: BTreeMap<&'static str, u64>,
    /// Frames without a time.
    untimed: u64,
    /// Those of them with something before the frame that may be a time and is not understood.
    time_not_understood: u64,
}

impl From<Accounting> for AccountOfLines {
    fn from(accounting: Accounting) -> Self {
        Self {
            lines: accounting.lines(),
            frames: accounting.frames,
            comments: accounting.comments,
            skipped: accounting.skipped.iter().map(|(reason, count)| (reason.key(), *count)).collect(),
            untimed: accounting.untimed,
            time_not_understood: accounting.time_not_understood,
        }
    }
}

impl std::fmt::Display for Accounting {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "{} = {} + {} + {} skipped",
            counted(self.lines(), "line"),
            counted(self.frames, "frame"),
            counted(self.comments, "comment"),
            self.skipped_in_all()
        )?;
        for (at, (reason, count)) in self.skipped.iter().enumerate() {
            let words = reason.words();
            let words = if *count == 1 { words.replacen("that are", "that is", 1) } else { words.to_owned() };
            write!(f, "{}{count} {words}", if at == 0 { " (" } else { ", " })?;
        }
        f.write_str(if self.skipped.is_empty() { "" } else { ")" })?;
        if self.time_not_understood > 0 {
            write!(f, "; {} with a time that is not understood", self.time_not_understood)?;
        }
        Ok(())
    }
}
