//! Gatherers: each observes one frame after another of one aircraft, keeps bounded state, and does not know what will
//! be concluded from it.

mod agreement;
mod air_ground;
mod alerts;
mod altitude;
mod evidence;
mod ground_track;
mod heard_addresses;
mod intervals;
mod motion;
mod presence;
mod quality;
mod tally;
mod times;

pub use air_ground::{AirGroundConsistency, FAST_KT, SLOW_KT, SLOW_S, Transition};
pub use alerts::Announced;
pub use altitude::Altitudes;
pub use evidence::{Evidence, Extent, Ones, Run, Seen, Series, Watched};
pub use ground_track::{GroundTrack, TrackPoint};
pub use heard_addresses::HeardAddresses;
pub use intervals::{Gaps, Intervals};
pub use motion::{APART_S, BEYOND, Motion, TOGETHER_S};
pub use quality::{Bounds, QualityMeasure, Values, bounds};
pub use tally::{ObservedFrame, Tally};
