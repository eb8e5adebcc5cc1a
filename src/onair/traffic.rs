//! Many rehearsals at once, merged in the order of time, in constant memory and on every core.

use super::{Rehearsal, Sent};
use rayon::prelude::*;

/// Rehearsals that run together.
#[derive(Clone, Debug)]
pub struct Traffic {
    all: Vec<Rehearsal>,
    done_ms: u64,
}

/// Frames that are worked out before they are handed on, about.
const AT_ONCE: u64 = 1 << 16;
/// Rehearsals that one core takes at a time.
const SHARE: usize = 64;

impl Traffic {
    /// These rehearsals, from their start.
    pub const fn new(all: Vec<Rehearsal>) -> Self {
        Self { all, done_ms: 0 }
    }

    /// How long a slice of time is well handed on at once.
    pub fn slice_ms(&self) -> u64 {
        // One aircraft sends about six squitters a second.
        (AT_ONCE * 1000 / 6 / (self.all.len() as u64).max(1)).clamp(10, 60_000)
    }

    /// Every frame up to a time, from where the last call ended: by time, and at one time in the order of the aircraft.
    /// The number is the aircraft's, from 0.
    ///
    /// The same for any number of cores.
    pub fn until(&mut self, end_ms: u64) -> Vec<(usize, Sent)> {
        let share = |(share, rehearsals): (usize, &mut [Rehearsal])| {
            let mut sent = Vec::new();
            for (at, rehearsal) in rehearsals.iter_mut().enumerate() {
                while rehearsal.next_ms() < end_ms {
                    sent.extend(rehearsal.next().map(|frame| (share * SHARE + at, frame)));
                }
            }
            sent
        };
        self.done_ms = end_ms;
        if let [_] = self.all[..] {
            return share((0, &mut self.all));
        }
        let mut all: Vec<(usize, Sent)> = self.all.par_chunks_mut(SHARE).enumerate().flat_map_iter(share).collect();
        // No aircraft sends two at one time, so the order is whole.
        all.par_sort_unstable_by_key(|(aircraft, sent)| (sent.time_ms, *aircraft));
        all
    }
}
