//! The configured unit in one state of one flight: what its frames are filled from.

use super::{Flight, Kinematics, Situation, When};
use crate::code::{Altitude12, Bits, Capability, CodeError, EmergencyState, Flag, FlightStatus, ModeA};
use crate::code::{SurveillanceStatus, VerticalStatus};
use crate::profile::{AirGroundKind, Profile};

const NO_INPUT_VERTICAL_STATUS: &str = "vertical status, bit 6: no source held settles what a unit without an air/ground \
                                        input sends; 0 is shown, and compare does not judge it";
const NO_INPUT_FLIGHT_STATUS: &str = "flight status, bits 6-8: no source held settles what a unit without an air/ground \
                                      input sends; 0 is shown, and compare does not judge it";

/// The unit in one state.
#[derive(Clone, Copy, Debug)]
pub(super) struct Unit<'a> {
    pub profile: &'a Profile,
    pub flight: Flight<'a>,
    pub when: When,
    /// Whether a position is made on the odd grid.
    pub odd: bool,
}

impl Unit<'_> {
    pub fn situation(&self) -> Option<&Situation> {
        match self.flight {
            Flight::Situation(situation) => Some(situation),
            _ => None,
        }
    }

    pub fn motion(&self) -> Kinematics {
        self.situation().map_or_else(Kinematics::default, Situation::motion)
    }

    /// Whether the unit can know the ground.
    pub fn knows_ground(&self) -> bool {
        self.profile.air_ground_kind.get() != Some(&AirGroundKind::None)
    }

    /// Whether the unit says that it is on the ground. Then messages take the surface formats.
    pub fn says_ground(&self) -> bool {
        self.when == When::OnGround && self.knows_ground()
    }

    pub fn sends_squitters(&self) -> bool {
        self.profile.mode_s_level.get().is_none_or(|level| level.0 >= 2)
    }

    /// The grids of the positions that go out.
    pub fn grids(&self) -> &'static [bool] {
        match (self.flight, self.has_position()) {
            (_, true) => &[false, true],
            (Flight::Healthy, false) => &[false],
            _ => &[],
        }
    }

    pub fn has_position(&self) -> bool {
        self.situation().and_then(Situation::position).is_some()
    }

    /// Capability, without what the install says of it.
    pub fn state(&self) -> Capability {
        match self.when {
            _ if !self.knows_ground() => Capability::EITHER,
            When::OnGround => Capability::ON_GROUND,
            _ => Capability::AIRBORNE,
        }
    }

    fn ident_is_on(&self) -> bool {
        self.situation().is_some_and(|situation| situation.ident)
    }

    pub fn ident(&self) -> Flag {
        Flag::new(self.ident_is_on())
    }

    pub fn emergency(&self) -> EmergencyState {
        self.situation().map_or(EmergencyState::NONE, Situation::emergency)
    }

    pub fn has_emergency(&self) -> bool {
        self.emergency() != EmergencyState::NONE
    }

    pub fn flight_status(&self) -> FlightStatus {
        FlightStatus::from_bits(if self.ident_is_on() { 5 } else { u64::from(self.says_ground()) })
    }

    /// What of the flight status is not settled. With an ident on it says nothing of the state.
    pub fn unsettled_flight_status(&self) -> Option<&'static str> {
        (!self.ident_is_on() && !self.knows_ground()).then_some(NO_INPUT_FLIGHT_STATUS)
    }

    pub fn unsettled_vertical_status(&self) -> Option<&'static str> {
        (!self.knows_ground()).then_some(NO_INPUT_VERTICAL_STATUS)
    }

    pub fn vertical_status(&self) -> VerticalStatus {
        VerticalStatus::from_bits(u64::from(self.says_ground()))
    }

    /// Alerts 1 and 2 win over ident, 3.
    pub fn surveillance_status(&self) -> SurveillanceStatus {
        SurveillanceStatus::from_bits(match (self.has_emergency(), self.ident_is_on()) {
            (true, _) => 1,
            (false, true) => 3,
            (false, false) => 0,
        })
    }

    /// The code of the situation; without a situation the preset.
    pub fn mode_a(&self) -> ModeA {
        let code = match self.situation() {
            Some(situation) => situation.mode_a(),
            None => self.profile.vfr_mode_a_code.get().copied(),
        };
        code.unwrap_or(ModeA::from_bits(0))
    }

    /// The altitude code, in the step of the altitude source.
    pub fn altitude(&self) -> Result<Altitude12, CodeError> {
        let step = self.profile.altitude_resolution.get().map_or(25, |step| step.0);
        match self.situation().and_then(|situation| situation.pressure_altitude_ft) {
            Some(feet) => Altitude12::from_feet(feet, step),
            None => Ok(Altitude12::NO_DATA),
        }
    }

    /// The altitude beside a missing position; on the surface there is none.
    pub fn altitude_without_position(&self) -> Result<Altitude12, CodeError> {
        if self.says_ground() { Ok(Altitude12::NO_DATA) } else { self.altitude() }
    }
}
