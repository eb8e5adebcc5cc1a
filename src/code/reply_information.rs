//! Reply information of the air-air formats: collision avoidance, or how fast the aircraft cruises.

use super::enumeration::enumeration;
use super::{Bits, CodeError, finite};

enumeration! {
    /// Reply information (RI) of formats 0 and 16: 0-7 answer a tracking, 8-15 an acquisition interrogation.
    #[doc(alias = "RI")]
    ReplyInformation(u8: 4) AsNumber,
    0 = "no_acas", "no operating collision avoidance";
    1 = "not_assigned_1", "not assigned";
    2 = "advisories_only", "collision avoidance, resolution inhibited";
    3 = "vertical_resolution", "collision avoidance, vertical resolution";
    4 = "vertical_and_horizontal_resolution", "collision avoidance, vertical and horizontal resolution";
    5 = "not_assigned_5", "not assigned";
    6 = "not_assigned_6", "not assigned";
    7 = "not_assigned_7", "not assigned";
    8 = "no_airspeed_data", "no maximum cruise true airspeed data";
    9 = "up_to_75_kt", "maximum cruise true airspeed up to 75 kt";
    10 = "75_to_150_kt", "maximum cruise true airspeed above 75 up to 150 kt";
    11 = "150_to_300_kt", "maximum cruise true airspeed above 150 up to 300 kt";
    12 = "300_to_600_kt", "maximum cruise true airspeed above 300 up to 600 kt";
    13 = "600_to_1200_kt", "maximum cruise true airspeed above 600 up to 1200 kt";
    14 = "above_1200_kt", "maximum cruise true airspeed above 1200 kt";
    15 = "not_assigned_15", "not assigned";
}

/// How fast the aircraft cruises, in the classes of the reply information (from memory of Annex 10 Volume IV).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CruiseSpeedClass(ReplyInformation);

/// Upper bounds of codes 9 to 13 in knots.
const BOUNDS_KT: [f64; 5] = [75.0, 150.0, 300.0, 600.0, 1200.0];

impl CruiseSpeedClass {
    /// The class of a maximum cruise true airspeed in knots.
    ///
    /// ```
    /// use squitterlab::code::CruiseSpeedClass;
    /// assert_eq!(CruiseSpeedClass::from_knots(145.0).unwrap(), CruiseSpeedClass::from_knots(150.0).unwrap());
    /// assert!(CruiseSpeedClass::from_knots(0.0).is_err());
    /// ```
    ///
    /// # Errors
    /// [`CodeError::OutOfRange`] for a speed that is not more than zero, [`CodeError::NotANumber`] for infinities and "not a
    /// number".
    pub fn from_knots(knots: f64) -> Result<Self, CodeError> {
        if finite(knots)? <= 0.0 {
            return Err(CodeError::out_of_range(knots, "more than 0", "any speed", " kt"));
        }
        let class = BOUNDS_KT.iter().position(|bound| knots <= *bound).unwrap_or(BOUNDS_KT.len());
        Ok(Self(ReplyInformation::from_bits(9 + class as u64)))
    }

    /// The code on the air.
    ///
    /// ```
    /// use squitterlab::code::{Bits, CruiseSpeedClass};
    /// // Above 75 up to 150 kt is code 10.
    /// assert_eq!(CruiseSpeedClass::from_knots(145.0).unwrap().reply_information().bits(), 10);
    /// ```
    pub const fn reply_information(self) -> ReplyInformation {
        self.0
    }
}

impl ReplyInformation {
    /// Whether the code speaks of airspeed (an acquisition interrogation was answered).
    pub(crate) fn is_airspeed(self) -> bool {
        self.bits() >= 8
    }
}

enumeration! {
    /// Sensitivity level (SL) of the collision avoidance.
    SensitivityLevel(u8: 3) AsNumber,
    0 = "inoperative", "collision avoidance inoperative";
    1 = "level_1", "sensitivity level 1";
    2 = "level_2", "sensitivity level 2";
    3 = "level_3", "sensitivity level 3";
    4 = "level_4", "sensitivity level 4";
    5 = "level_5", "sensitivity level 5";
    6 = "level_6", "sensitivity level 6";
    7 = "level_7", "sensitivity level 7";
}
