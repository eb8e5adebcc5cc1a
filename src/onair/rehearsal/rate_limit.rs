//! Limits how much a unit sends in a minute.

use crate::onair::schedule::{Condition, MOST_IN_60_S, MOST_STATUS_IN_60_S, Stream};

/// Squitters of the last minute, by the second: any 60 s lie within 61 of these.
#[derive(Clone, Debug)]
pub(super) struct RateLimit {
    second: u64,
    status: [u8; 61],
    all: [u8; 61],
    status_sum: u32,
    all_sum: u32,
}

impl RateLimit {
    pub(super) const fn new() -> Self {
        Self { second: 0, status: [0; 61], all: [0; 61], status_sum: 0, all_sum: 0 }
    }

    pub(super) fn reach(&mut self, time_ms: u64) {
        let second = time_ms / 1000;
        for gone in (self.second + 1..=second).take(61) {
            // In a gap of more than a minute every place is emptied, whichever comes first.
            let at = (gone % 61) as usize;
            self.status_sum -= u32::from(std::mem::take(&mut self.status[at]));
            self.all_sum -= u32::from(std::mem::take(&mut self.all[at]));
        }
        self.second = second;
    }

    pub(super) fn note(&mut self, stream: Stream) {
        let at = (self.second % 61) as usize;
        self.all[at] += 1;
        self.all_sum += 1;
        if stream.is_status() {
            self.status[at] += 1;
            self.status_sum += 1;
        }
    }

    /// Whether a status message may go out. An emergency goes before the others, which share what it leaves.
    pub(super) fn has_room(&self, stream: Stream, now: Condition) -> bool {
        // At its shortest interval, in 61 s.
        const EMERGENCY: u32 = 61_000 / 700 + 1;
        let kept = if now.emergency && stream != Stream::AircraftStatus { EMERGENCY } else { 0 };
        self.all_sum < MOST_IN_60_S && self.status_sum + kept < MOST_STATUS_IN_60_S
    }
}
