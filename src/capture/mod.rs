//! Captured text: lines to frames, with an account of every line.

mod block;
mod in_order;
mod line;
mod source;

pub use block::{Block, End, blocks};
pub use in_order::{MOST_THREADS, in_order, threads};
pub use line::{Line, Reason, read_line};
pub use source::{CaptureError, LONGEST_LINE, Record, Source};

use std::collections::BTreeMap;

/// What became of the lines: `lines = frames + comments + skipped`, always.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Accounting {
    /// Lines with a frame.
    pub frames: u64,
    /// Blank lines and lines that begin with `#`.
    pub comments: u64,
    /// Lines without a usable frame, by reason.
    pub skipped: BTreeMap<Reason, u64>,
}

impl Accounting {
    /// All lines.
    pub fn lines(&self) -> u64 {
        self.frames + self.comments + self.skipped_in_all()
    }

    /// Lines skipped for any reason.
    pub fn skipped_in_all(&self) -> u64 {
        self.skipped.values().sum()
    }

    /// Counts one line.
    pub fn count(&mut self, line: &Line) {
        match line {
            Line::Frame { .. } => self.frames += 1,
            Line::Comment => self.comments += 1,
            Line::Skipped(reason) => *self.skipped.entry(*reason).or_default() += 1,
        }
    }

    /// Adds the account of another part.
    pub fn add(&mut self, other: &Self) {
        self.frames += other.frames;
        self.comments += other.comments;
        for (reason, count) in &other.skipped {
            *self.skipped.entry(*reason).or_default() += count;
        }
    }
}

impl std::fmt::Display for Accounting {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "{} lines = {} frames + {} comments + {} skipped",
            self.lines(),
            self.frames,
            self.comments,
            self.skipped_in_all()
        )?;
        for (at, (reason, count)) in self.skipped.iter().enumerate() {
            write!(f, "{}{count} {}", if at == 0 { " (" } else { ", " }, reason.words())?;
        }
        f.write_str(if self.skipped.is_empty() { "" } else { ")" })
    }
}
