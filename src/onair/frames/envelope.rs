//! The format around a message: capability, address, flight status, and the altitude with its step.

use super::draft::Draft;
use super::{Flight, Unit};
use crate::code::table::{Row, Table};
use crate::code::{
    Altitude12, Altitude13, Bits, Capability, CodeError, FlightStatus, Meaning, Value, Version, VerticalStatus,
};
use crate::downlink::{AllCall, ExtendedSquitter};
use crate::frame::{Frame, Span};
use crate::onair::{Decision, Rule, When};
use crate::profile::{AirGroundKind, SettingId};

const ADDRESS: &[SettingId] = &[SettingId::Address];
const CAPABILITY: &[SettingId] = &[SettingId::ModeSLevel, SettingId::AirGroundKind];
const RESOLUTION: &[SettingId] = &[SettingId::AltitudeResolution];

/// The one bit of an altitude code that tells 25-ft steps from 100-ft steps.
pub(super) fn step_meaning(code: u64, _version: Version) -> Meaning {
    let step = if code == 1 { 25 } else { 100 };
    Meaning::new(Value::Integer(step), format!("{step}-ft steps"))
}

/// Whether the altitude of a squitter is there, and low enough for either step.
pub(super) fn squitter_altitude_tells(frame: &Frame) -> bool {
    let altitude = Altitude12::from_bits(frame.field(Span::new(41, 52)));
    altitude.feet().is_some_and(|feet| feet < 50_000)
}

pub(super) fn reply_altitude_tells(frame: &Frame) -> bool {
    let altitude = Altitude13::from_bits(frame.field(Span::new(20, 32)));
    altitude.feet().is_some_and(|feet| feet < 50_000)
}

/// Capability 7 is the flight's: a request, an alert or an ident is on.
pub(super) fn capability_tells(frame: &Frame) -> bool {
    frame.field(Span::new(6, 8)) != Capability::REQUEST_OR_ALERT.bits()
}

impl Unit<'_> {
    /// Capability: the level and the air/ground input decide it together with the state.
    pub(super) fn capability(&self) -> Option<Capability> {
        match (self.profile.mode_s_level.get()?.0, self.profile.air_ground_kind.get()?) {
            (1, _) => Some(Capability::LEVEL_1),
            (_, AirGroundKind::None) => Some(Capability::EITHER),
            _ if self.when == When::OnGround => Some(Capability::ON_GROUND),
            _ => Some(Capability::AIRBORNE),
        }
    }

    pub(super) fn with_capability_and_address(&self, draft: Draft, capability: &Row, address: &Row) -> Draft {
        let state = if self.when == When::OnGround { Capability::ON_GROUND } else { Capability::AIRBORNE };
        draft
            .outer(capability, state)
            .decide_outer(capability, self.capability(), CAPABILITY)
            .only_where(capability, capability_tells)
            .or_also(capability, if self.capability() == Some(Capability::ON_GROUND) { &[5] } else { &[4] })
            .decide_outer(address, self.profile.address.get().copied(), ADDRESS)
    }

    pub(super) fn squitter(&self, table: &'static Table, bits: u64) -> Draft {
        let draft = Draft::new(ExtendedSquitter::TABLE, Some((table, bits)));
        self.with_capability_and_address(draft, &ExtendedSquitter::capability, &ExtendedSquitter::address)
    }

    pub(super) fn all_call(&self) -> Draft {
        let draft = Draft::new(AllCall::TABLE, None);
        self.with_capability_and_address(draft, &AllCall::capability, &AllCall::address)
    }

    pub(super) fn flight_status(&self) -> FlightStatus {
        let ident = self.situation().is_some_and(|situation| situation.ident);
        FlightStatus::from_bits(if ident { 5 } else { u64::from(self.when == When::OnGround) })
    }

    pub(super) fn vertical_status(&self) -> VerticalStatus {
        VerticalStatus::from_bits(u64::from(self.when == When::OnGround))
    }

    /// The altitude code, in the step of the altitude source.
    pub(super) fn altitude(&self) -> Result<Altitude12, CodeError> {
        let step = self.profile.altitude_resolution.get().map_or(25, |step| step.0);
        match self.situation().and_then(|situation| situation.pressure_altitude_ft) {
            Some(feet) => Altitude12::from_feet(feet, step),
            None => Ok(Altitude12::NO_DATA),
        }
    }

    /// Adds the decision on the step bit, where the frame has an altitude to show it.
    pub(super) fn deciding_step(
        &self,
        mut draft: Draft,
        altitude: Altitude12,
        bit: u8,
        applies: fn(&Frame) -> bool,
    ) -> Draft {
        let Some(step) = self.profile.altitude_resolution.get() else { return draft };
        let shown = altitude.feet().is_some_and(|feet| feet < 50_000);
        if shown || matches!(self.flight, Flight::Healthy) {
            let span = Span::new(bit, bit);
            let code = u64::from(step.0 == 25);
            draft.place(span, code);
            draft.decisions.push(Decision {
                settings: RESOLUTION,
                field: "altitude_step_ft",
                span,
                code,
                also: &[],
                meaning: step_meaning,
                rule: Rule::Equal,
                by_version: false,
                applies: Some(applies),
            });
        }
        draft
    }
}
