//! Merges many rehearsals in the order of time, in constant memory and on every core.

use super::{Rehearsal, Sent};
use rayon::prelude::*;

/// Rehearsals that run together.
#[derive(Clone, Debug)]
pub struct Traffic {
    all: Vec<Rehearsal>,
    done_ms: u64,
}

/// Frames that are worked out before they are handed on, about.
const AT_ONCE: f64 = 131_072.0;
/// Parts of a slice, by aircraft and then by time: many more than cores, so that none of them waits for another.
const PARTS: usize = 32;

impl Traffic {
    /// These rehearsals, from their start.
    pub const fn new(all: Vec<Rehearsal>) -> Self {
        Self { all, done_ms: 0 }
    }

    /// How long a slice of time is well handed on at once.
    pub fn slice_ms(&self) -> u64 {
        let a_second: f64 = self.all.iter().map(Rehearsal::most_a_second).sum();
        ((AT_ONCE / a_second.max(1.0) * 1000.0) as u64).max(10)
    }

    /// What `work` makes of every frame up to a time, from where the last call ended: by time, and at one time in the
    /// order of the aircraft. It gets them in pieces, each with its number, and on any core; what it makes of them
    /// comes back in order.
    ///
    /// The pieces are the same for any number of cores.
    pub fn until<T: Send>(&mut self, end_ms: u64, work: impl Fn(usize, &[&Sent]) -> T + Sync) -> Vec<T> {
        let from_ms = self.done_ms;
        self.done_ms = end_ms.max(from_ms);
        let part_ms = (self.done_ms - from_ms).div_ceil(PARTS as u64).max(1);
        let share = self.all.len().div_ceil(PARTS).max(1);
        let shares = self.all.par_chunks_mut(share).map(|rehearsals| {
            let mut parts = [const { Vec::new() }; PARTS];
            for rehearsal in rehearsals {
                while let Some(sent) = rehearsal.next_before(end_ms) {
                    parts[((sent.time_ms - from_ms) / part_ms) as usize].push(sent);
                }
            }
            parts
        });
        let shares: Vec<[Vec<Sent>; PARTS]> = shares.collect();
        let piece = |part: usize| {
            let mut frames: Vec<&Sent> = shares.iter().flat_map(|parts| &parts[part]).collect();
            // Stable: at one time the order of the aircraft stays.
            frames.sort_by_key(|sent| sent.time_ms);
            work(part, &frames)
        };
        (0..PARTS).into_par_iter().map(piece).collect()
    }
}
