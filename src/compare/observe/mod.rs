//! Gatherers: each takes one frame after another of one aircraft into bounded state, and does not know what will be
//! concluded from it.

mod agreement;
mod air_ground;
mod alerts;
mod altitude;
mod evidence;
mod in_clear;
mod intervals;
mod motion;
mod path;
mod presence;
mod quality;
mod tally;
mod times;

pub use air_ground::{Coherence, FAST_KT, SLOW_KT, SLOW_S, Transition};
pub use alerts::Announced;
pub use altitude::Altitudes;
pub use evidence::{Evidence, Extent, Ones, Run, Seen, Series, Watched};
pub use in_clear::InClear;
pub use intervals::{Gaps, Intervals};
pub use motion::{APART_S, BEYOND, Motion, TOGETHER_S};
pub use path::{Path, Point};
pub use quality::{Bounds, Measure, Values, bounds};
pub use tally::{Heard, Tally};
