//! What the flight decides: where the aircraft is, how it moves, what the crew has set.

use super::flight_fields::Kinematics;
use crate::code::compact_position::Position;
use crate::code::{Altitude12, EmergencyState, ModeA};
use crate::profile::{JsonForm, Misfit, quoted};
use serde::Deserialize;
use serde_json::Value;
use std::sync::LazyLock;

/// What the flight decides. What is left out is sent as "no data".
#[derive(Clone, Debug, Default, Deserialize, PartialEq)]
pub struct Situation {
    /// In the air, or on the ground.
    pub airborne: bool,
    /// Latitude, -90 to 90.
    pub latitude_deg: Option<f64>,
    /// Longitude, -180 to 180.
    pub longitude_deg: Option<f64>,
    /// Altitude on 1013.25 hPa.
    pub pressure_altitude_ft: Option<f64>,
    /// Geometric height minus pressure altitude.
    pub geometric_minus_pressure_ft: Option<f64>,
    /// Speed over the ground.
    pub ground_speed_kt: Option<f64>,
    /// Track over the ground.
    pub track_deg: Option<f64>,
    /// Vertical rate, up positive.
    pub vertical_rate_fpm: Option<f64>,
    /// Mode A code, four octal digits.
    pub mode_a_code: Option<String>,
    /// Whether ident is on.
    #[serde(default)]
    pub ident: bool,
    /// Emergency state, 0 to 7.
    #[serde(default)]
    pub emergency_state: u8,
}

static SCHEMA: LazyLock<Value> = LazyLock::new(|| {
    // Part of the program; a test reads it.
    serde_json::from_str(include_str!("../../vectors/schema/situation.schema.json")).unwrap_or_default()
});

impl Situation {
    /// Reads a situation from JSON.
    ///
    /// # Errors
    /// [`Misfit`] with the place, the key, what is wrong and what to write.
    ///
    /// ```
    /// use squitterlab::onair::Situation;
    /// assert!(Situation::read(r#"{"airborne": false, "ground_speed_kt": 12}"#).is_ok());
    /// let wrong = Situation::read(r#"{"airborne": true, "latitude_deg": 97}"#).unwrap_err();
    /// assert_eq!(wrong.to_string(), "1:36: /latitude_deg: 97 is out of range; write a number from -90 to 90");
    /// ```
    pub fn read(text: &str) -> Result<Self, Misfit> {
        let form = JsonForm::read(text)?;
        let situation: Self = form.of(&SCHEMA)?;
        situation.check(&form, "")?;
        Ok(situation)
    }

    /// What the schema cannot say.
    pub(super) fn check(&self, form: &JsonForm<'_>, pointer: &str) -> Result<(), Misfit> {
        if let Some(feet) = self.pressure_altitude_ft {
            Altitude12::from_feet(feet, 25).map_err(|error| {
                form.wrong(&format!("{pointer}/pressure_altitude_ft"), error.to_string(), "write -1000 to 126700")
            })?;
        }
        for (is, key, other) in [
            (self.latitude_deg.is_some(), "latitude_deg", "longitude_deg"),
            (self.longitude_deg.is_some(), "longitude_deg", "latitude_deg"),
        ] {
            if is && self.position().is_none() {
                let reason = format!("there is no {other} beside it");
                return Err(form.wrong(&format!("{pointer}/{key}"), reason, "write both or neither"));
            }
        }
        if let Some(code) = &self.mode_a_code
            && self.mode_a().is_none()
        {
            let reason = format!("{} is not a Mode A code", quoted(code));
            let correction = "write four digits 0 to 7 in quotation marks, such as \"1200\"";
            return Err(form.wrong(&format!("{pointer}/mode_a_code"), reason, correction));
        }
        Ok(())
    }

    /// Where the aircraft is, if that is known.
    pub(crate) fn position(&self) -> Option<Position> {
        Some(Position { latitude_deg: self.latitude_deg?, longitude_deg: self.longitude_deg? })
    }

    /// The numbers that change all the time.
    pub(crate) fn motion(&self) -> Kinematics {
        Kinematics {
            position: self.position(),
            pressure_altitude_ft: self.pressure_altitude_ft,
            geometric_minus_pressure_ft: self.geometric_minus_pressure_ft,
            ground_speed_kt: self.ground_speed_kt,
            track_deg: self.track_deg,
            vertical_rate_fpm: self.vertical_rate_fpm,
        }
    }

    /// The Mode A code as bits; `None` for anything but four octal digits.
    pub(crate) fn mode_a(&self) -> Option<ModeA> {
        self.mode_a_code.as_ref()?.parse().ok()
    }

    /// The emergency state as bits.
    pub(crate) fn emergency(&self) -> EmergencyState {
        crate::code::Bits::from_bits(self.emergency_state.into())
    }
}
