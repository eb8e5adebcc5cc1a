//! Captured text: lines to frames, with an account of every line.

mod block;
mod digest;
mod in_order;
mod line;
mod source;
mod spare;

pub use block::{BLOCK, Block, End, blocks};
pub use digest::{Captured, Digested, Running, sha256};
pub use in_order::{MOST_THREADS, in_order, threads};
pub use line::{Line, Reason, read_line, read_lines};
pub use source::{CaptureError, LONGEST_LINE, Record, Source, read_from};
pub use spare::Spare;

use std::collections::BTreeMap;

/// What became of the lines: `lines = frames + comments + skipped`, always.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Accounting {
    /// Lines with a frame.
    pub frames: u64,
    /// Blank lines and lines that begin with `#`.
    pub comments: u64,
    /// Lines without a usable frame, by reason.
    pub skipped: BTreeMap<Reason, u64>,
    /// The least and the most of the times that stand before frames, in seconds.
    pub times: Option<(f64, f64)>,
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
    #[inline]
    pub fn count(&mut self, line: &Line) {
        match line {
            Line::Frame { time, .. } => {
                self.frames += 1;
                if let Some(time) = *time {
                    self.widen(Some((time, time)));
                }
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
    pub fn add(&mut self, other: &Self) {
        self.frames += other.frames;
        self.comments += other.comments;
        self.widen(other.times);
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
