//! Compares captured frames with installs: the status of every setting, with evidence, cause and correction.
//!
//! Three floors, and imports go down only: what a capture shows of an aircraft is gathered in `observe`, `judge` makes of
//! it and of what was expected a `report`, which is plain data. A [`Fleet`] takes the frames in, a [`Plan`] says what to
//! capture.

mod draft;
mod fleet;
mod install;
mod judge;
mod observe;
mod plan;
#[cfg(feature = "lab")]
mod prefilter;
#[doc(hidden)]
pub mod readback;
mod report;
mod watch;

// What the program drafts, reads back and watches with; and its series of captures.
#[doc(hidden)]
pub use draft::{Draft, Drafted, Drafting, LEAST_FRAMES, SeenCode, Sighting, Sightings, Why};
pub use fleet::Fleet;
pub use install::{Expected, ExpectedFrames, Install};
pub use judge::{Dips, RECEPTION, SURE};
pub use plan::{Plan, PlannedCapture, plan};
pub(crate) use report::in_words;
pub use report::{
    AirGround, Alternative, Altitudes, Below, Capture, Change, ChangedSetting, Course, Doubt, Element, Finding, Gaps,
    Intervals, Motion, NearAddress, NotJudged, OverTime, Point, Quality, Reception, Report, ReportedCause, SeenValue,
    SettingStatus, SettingVerdict, Shown, Stretch, Summary, Transition, Verdict, Way, WireOverTime, change,
};
#[doc(hidden)]
pub use report::{CaptureOfSeries, QualityRange, Series, SettingCourse, Since};
#[doc(hidden)]
pub use watch::{
    Awaited, Fault, LastFrame, SettingOfStep, Step, Tick, Watch, WatchError, WatchEvent, WatchState, What,
};
