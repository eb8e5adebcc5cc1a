//! Notes when frames came, and whether the clock of the capture began again.

use super::evidence::Evidence;

/// A clock that goes back by more than this began again (tool default: several receivers may be a little out of order).
const BACK_S: f64 = 1.0;

/// The times of an aircraft's frames.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Times {
    /// The least and the most.
    pub ends: Option<(f64, f64)>,
    /// The stretch without a restart that lasts on.
    stretch: Option<(f64, f64)>,
    longest_s: f64,
    /// Frames whose clock had begun again.
    pub restarts: Option<Evidence>,
}

impl Times {
    pub fn observe(&mut self, evidence: &Evidence) {
        let Some(time) = evidence.time else { return };
        self.ends = Some(self.ends.map_or((time, time), |(least, most)| (least.min(time), most.max(time))));
        self.stretch = Some(match self.stretch {
            Some((from, to)) if time >= to - BACK_S => (from, to.max(time)),
            Some(_) => {
                Evidence::note(&mut self.restarts, evidence);
                (time, time)
            }
            None => (time, time),
        });
        if let Some((from, to)) = self.stretch {
            self.longest_s = self.longest_s.max(to - from);
        }
    }

    /// How long the longest stretch without a restart is; none without times.
    pub fn longest_s(&self) -> Option<f64> {
        self.ends.map(|_| self.longest_s)
    }
}
