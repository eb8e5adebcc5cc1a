//! What the flight decides: where the aircraft is, how it moves, what the crew has set.

use super::flown::Motion;
use crate::code::compact_position::Position;
use crate::code::{Altitude12, EmergencyState, ModeA};
use serde::Deserialize;

/// What the flight decides. What is left out is sent as "no data".
#[derive(Clone, Debug, Default, Deserialize, PartialEq)]
#[serde(deny_unknown_fields)]
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

/// Why a text is no situation.
#[derive(Debug, thiserror::Error)]
pub enum SituationError {
    /// Not the JSON that is wanted; the message has line and column.
    #[error("{0}")]
    Form(#[from] serde_json::Error),
    /// A value that cannot be.
    #[error("{field} is {found}: {wanted}")]
    Value {
        /// The field.
        field: &'static str,
        /// What was given.
        found: String,
        /// What would do.
        wanted: &'static str,
    },
}

/// Says in plain words what has the wrong type, with the place where the reader stopped.
fn look(value: &serde_json::Value, stopped: Option<&serde_json::Error>) -> Result<(), SituationError> {
    let place = stopped.map_or_else(String::new, |at| format!(" (line {} column {})", at.line(), at.column()));
    let wrong = |field, found: String, wanted| Err(SituationError::Value { field, found: found + &place, wanted });
    let Some(object) = value.as_object() else {
        return wrong("the situation", "no object".to_owned(), "write an object such as {\"airborne\": true}");
    };
    for (key, value) in object {
        match (key.as_str(), value) {
            ("airborne" | "ident", value) if !value.is_boolean() => {
                let field = if key == "airborne" { "airborne" } else { "ident" };
                return wrong(field, value.to_string(), "write true or false");
            }
            ("mode_a_code", value) if !value.is_string() && !value.is_null() => {
                return wrong("mode_a_code", value.to_string(), "write four digits 0 to 7 in quotes");
            }
            ("emergency_state", value) if value.as_u64().is_none_or(|state| state > 7) => {
                return wrong("emergency_state", value.to_string(), "write 0 to 7");
            }
            _ => {}
        }
    }
    Ok(())
}

impl Situation {
    /// Reads a situation from JSON.
    ///
    /// # Errors
    /// [`SituationError`] with the place or the field, and what is wanted.
    ///
    /// ```
    /// use squitterlab::onair::Situation;
    /// assert!(Situation::read(r#"{"airborne": false, "ground_speed_kt": 12}"#).is_ok());
    /// assert!(Situation::read(r#"{"airborne": true, "latitude_deg": 97}"#).is_err());
    /// ```
    pub fn read(text: &str) -> Result<Self, SituationError> {
        let value: serde_json::Value = serde_json::from_str(text)?;
        let read = serde_json::from_str(text);
        look(&value, read.as_ref().err())?;
        let situation: Self = read?;
        let range = |field, value: Option<f64>, least: f64, most: f64, wanted| match value {
            Some(value) if !(least..=most).contains(&value) => {
                Err(SituationError::Value { field, found: value.to_string(), wanted })
            }
            _ => Ok(()),
        };
        range("latitude_deg", situation.latitude_deg, -90.0, 90.0, "write -90 to 90")?;
        range("longitude_deg", situation.longitude_deg, -180.0, 180.0, "write -180 to 180")?;
        range("ground_speed_kt", situation.ground_speed_kt, 0.0, 4086.0, "write 0 to 4086")?;
        range("track_deg", situation.track_deg, 0.0, 360.0, "write 0 to 360")?;
        range("vertical_rate_fpm", situation.vertical_rate_fpm, -40_000.0, 40_000.0, "write -40000 to 40000")?;
        range(
            "geometric_minus_pressure_ft",
            situation.geometric_minus_pressure_ft,
            -10_000.0,
            10_000.0,
            "write -10000 to 10000",
        )?;
        if let Some(feet) = situation.pressure_altitude_ft {
            Altitude12::from_feet(feet, 25).map_err(|error| SituationError::Value {
                field: "pressure_altitude_ft",
                found: error.to_string(),
                wanted: "write -1000 to 126700",
            })?;
        }
        if situation.latitude_deg.is_some() != situation.longitude_deg.is_some() {
            return Err(SituationError::Value {
                field: "latitude_deg",
                found: "without longitude_deg, or the other way round".to_owned(),
                wanted: "write both or neither",
            });
        }
        if situation.emergency_state > 7 {
            return Err(SituationError::Value {
                field: "emergency_state",
                found: situation.emergency_state.to_string(),
                wanted: "write 0 to 7",
            });
        }
        situation.mode_a()?;
        Ok(situation)
    }

    /// Where the aircraft is, if that is known.
    pub fn position(&self) -> Option<Position> {
        Some(Position { latitude_deg: self.latitude_deg?, longitude_deg: self.longitude_deg? })
    }

    /// The numbers that change all the time.
    pub fn motion(&self) -> Motion {
        Motion {
            position: self.position(),
            pressure_altitude_ft: self.pressure_altitude_ft,
            geometric_minus_pressure_ft: self.geometric_minus_pressure_ft,
            ground_speed_kt: self.ground_speed_kt,
            track_deg: self.track_deg,
            vertical_rate_fpm: self.vertical_rate_fpm,
        }
    }

    /// The Mode A code as bits.
    ///
    /// # Errors
    /// [`SituationError::Value`] for anything but four octal digits.
    pub fn mode_a(&self) -> Result<Option<ModeA>, SituationError> {
        let read = |text: &String| {
            text.parse().map_err(|_| SituationError::Value {
                field: "mode_a_code",
                found: format!("{text:?}"),
                wanted: "write four digits 0 to 7 in quotes",
            })
        };
        self.mode_a_code.as_ref().map(read).transpose()
    }

    /// The emergency state as bits.
    pub fn emergency(&self) -> EmergencyState {
        crate::code::Bits::from_bits(self.emergency_state.into())
    }
}
