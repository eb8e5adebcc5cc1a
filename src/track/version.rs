//! Remembers which version of the standard an aircraft's messages are read in.

use super::seconds_between;
use crate::code::Version;
use crate::downlink::Decoded;

/// Version 0 is concluded from this long of position messages without an operational status (our default).
pub const VERSION_0_AFTER_S: f64 = 30.0;

/// Which version of the standard an aircraft's messages are read in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum VersionInForce {
    /// No operational status was heard, and too little to conclude version 0.
    Unknown,
    /// Heard, concluded or given.
    Known(Version),
    /// Heard, but no source is held for it.
    NoSource(u8),
}

impl VersionInForce {
    /// The version, where it is known and a source is held for it.
    ///
    /// ```
    /// use squitterlab::{Version, track::VersionInForce};
    /// assert_eq!(VersionInForce::Known(Version::Two).known(), Some(Version::Two));
    /// assert_eq!(VersionInForce::NoSource(5).known(), None);
    /// ```
    pub const fn known(self) -> Option<Version> {
        match self {
            Self::Known(version) => Some(version),
            Self::Unknown | Self::NoSource(_) => None,
        }
    }

    /// The frame as it is read in this version.
    ///
    /// ```
    /// use squitterlab::{Frame, Version, track::VersionInForce};
    /// let decoded = "8DA05629F00000000000003E3D03".parse::<Frame>().unwrap().decode();
    /// assert_eq!(decoded.message(), "reserved");
    /// assert_eq!(VersionInForce::Known(Version::Zero).read(decoded).message(), "operational_coordination");
    /// ```
    pub fn read(self, decoded: Decoded) -> Decoded {
        match self {
            Self::NoSource(_) => decoded.in_version_not_held(),
            Self::Unknown | Self::Known(_) => decoded.in_version(self.known()),
        }
    }

    /// The version behind a number from the air.
    ///
    /// ```
    /// use squitterlab::{Version, track::VersionInForce};
    /// assert_eq!(VersionInForce::from_number(2), VersionInForce::Known(Version::Two));
    /// assert_eq!(VersionInForce::from_number(5), VersionInForce::NoSource(5));
    /// ```
    pub fn from_number(number: u8) -> Self {
        Version::from_number(number).map_or(Self::NoSource(number), Self::Known)
    }
}

/// What was heard of an aircraft's version.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct VersionMemory {
    heard: Option<u8>,
    first_position_s: Option<f64>,
    last_position_s: Option<f64>,
}

impl VersionMemory {
    pub fn in_force(&self) -> VersionInForce {
        match (self.heard, self.first_position_s, self.last_position_s) {
            (Some(number), ..) => VersionInForce::from_number(number),
            (None, Some(first), Some(last)) if seconds_between(first, last) >= VERSION_0_AFTER_S => {
                VersionInForce::Known(Version::Zero)
            }
            _ => VersionInForce::Unknown,
        }
    }

    /// An operational status names its version.
    pub fn observe(&mut self, number: u8) {
        self.heard = Some(number);
    }

    /// A position message came without one.
    pub fn observe_position(&mut self, time: Option<f64>) {
        if time.is_some() {
            self.first_position_s = self.first_position_s.or(time);
            self.last_position_s = time;
        }
    }
}
