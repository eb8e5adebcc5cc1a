//! Works out what the unit's inputs make of the flight: the altitude source and its wires, the air/ground input, the
//! place of the antenna.

use super::Installation;
use crate::code::compact_position::Position;
use crate::code::{Altitude12, Wires};
use crate::profile::wiring::Fault;
use crate::profile::{AirGroundKind, AltitudeSourceKind, FromNose, Profile, StepFt};

/// How the unit gets its altitude.
#[derive(Clone, Copy, Debug)]
pub(super) struct AltitudeInput {
    /// The step of the source.
    source_ft: u16,
    /// The step that goes out.
    sent_ft: u16,
    fault: Fault,
}

impl AltitudeInput {
    pub(super) fn new(installation: &Installation) -> Self {
        let step = |profile: &Profile| profile.altitude_resolution.get().map_or(25, |StepFt(step)| *step);
        let on_wires =
            installation.actual.altitude_source_kind.get().is_none_or(|kind| *kind == AltitudeSourceKind::Parallel);
        Self {
            source_ft: step(&installation.actual),
            sent_ft: step(&installation.configured),
            fault: if on_wires { installation.altitude_wiring } else { Fault::None },
        }
    }

    /// The code that goes out. What no altitude has goes out as it is on the wires.
    pub(super) fn code(self, feet: Option<f64>) -> Altitude12 {
        let Some(feet) = feet else { return Altitude12::NO_DATA };
        let step = f64::from(self.source_ft);
        let feet = (feet / step).round() * step;
        if self.fault != Fault::None {
            let Ok(wires) = Wires::from_feet(feet) else { return Altitude12::NO_DATA };
            let seen = self.fault.seen(wires);
            return match seen.feet() {
                Some(feet) => Altitude12::from_feet(feet.into(), self.sent_ft).unwrap_or(Altitude12::NO_DATA),
                None => seen.squitter(),
            };
        }
        Altitude12::from_feet(feet, self.sent_ft).unwrap_or(Altitude12::NO_DATA)
    }
}

/// Where the antenna is, seen from the reference point: ahead and to the right.
///
/// The reference point is the middle of the rectangle of length and width (from memory of the standard).
pub(super) fn antenna_place(profile: &Profile) -> Option<(f64, f64)> {
    let ahead = match (profile.antenna_from_nose.get()?, profile.length.get()) {
        (FromNose::Measured(from_nose), Some(length)) => length.in_metres() / 2.0 - from_nose.in_metres(),
        _ => return None,
    };
    let right = profile.antenna_from_centre_line.get().and_then(|offset| offset.metres()).unwrap_or(0.0);
    Some((ahead, right))
}

/// What the air/ground input tells the unit of an aircraft that is, or is not, airborne.
pub(super) fn takes_for_airborne(installation: &Installation, airborne: bool) -> bool {
    let (set, wired) = (&installation.configured, &installation.actual);
    let inverted = set.air_ground_kind.get() == Some(&AirGroundKind::Switch)
        && matches!((set.air_ground_active.get(), wired.air_ground_active.get()), (Some(a), Some(b)) if a != b);
    airborne != inverted
}

const METRES_A_DEGREE: f64 = 60.0 * 1852.0;

/// The place this many metres north and east.
pub(super) fn displaced(position: Position, north_m: f64, east_m: f64) -> Position {
    let latitude_deg = (position.latitude_deg + north_m / METRES_A_DEGREE).clamp(-90.0, 90.0);
    let across = position.latitude_deg.to_radians().cos().max(0.01);
    let longitude = position.longitude_deg + east_m / METRES_A_DEGREE / across;
    Position { latitude_deg, longitude_deg: (longitude + 180.0).rem_euclid(360.0) - 180.0 }
}
