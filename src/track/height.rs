//! Combines pressure altitude and geometric height: a position carries one, the velocity their difference.

use super::seconds_between;
use crate::message::Message;

/// A difference holds this long: a transponder itself drops a velocity that is 2.6 s old (from memory).
const DIFFERENCE_S: f64 = 2.6;

/// Both heights of one moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heights {
    /// Altitude on 1013.25 hPa, in feet.
    pub pressure_altitude_ft: i32,
    /// Height above the ellipsoid, in feet.
    pub geometric_height_ft: i32,
    /// Whether the geometric one was sent, and the other follows; else the other way round.
    pub geometric_sent: bool,
    /// How old the difference is that the other one follows from, in seconds.
    pub difference_age_s: f64,
}

impl Heights {
    /// The name of the one that was sent.
    pub(crate) const fn sent(&self) -> &'static str {
        if self.geometric_sent { "geometric_height_ft" } else { "pressure_altitude_ft" }
    }
}

/// What is remembered of an aircraft's heights: geometric minus pressure in feet, and when it was heard.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct HeightMemory {
    difference: Option<(i32, f64)>,
}

impl HeightMemory {
    pub fn observe(&mut self, message: &Message, time: Option<f64>) -> Option<Heights> {
        let time = time?;
        let (sign, magnitude) = match message {
            Message::AirborneVelocityGround(m) => (m.geometric_difference_sign, m.geometric_difference),
            Message::AirborneVelocityAir(m) => (m.geometric_difference_sign, m.geometric_difference),
            Message::AirbornePosition(m) => {
                let sent = m.altitude.feet()?;
                let (difference, then) = self.difference?;
                let difference_age_s = seconds_between(then, time);
                return (0.0..=DIFFERENCE_S).contains(&difference_age_s).then(|| Heights {
                    pressure_altitude_ft: if m.is_geometric() { sent - difference } else { sent },
                    geometric_height_ft: if m.is_geometric() { sent } else { sent + difference },
                    geometric_sent: m.is_geometric(),
                    difference_age_s,
                });
            }
            _ => return None,
        };
        self.difference = magnitude.magnitude().map(|feet| (sign.apply(feet), time));
        None
    }
}
