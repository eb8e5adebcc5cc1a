//! Identification, position, velocity and aircraft status.

use super::draft::Draft;
use super::envelope::squitter_altitude_tells;
use super::{Flight, NIC, Unit};
use crate::code::table::Row;
use crate::code::{
    Altitude12, Bits, CodeError, CprFormat, EmergencyState, Flag, Meaning, SurveillanceStatus, TypeCode,
    VerticalRateSource, position_codes,
};
use crate::downlink::PAYLOAD_OFFSET;
use crate::frame::Span;
use crate::message::{
    AirbornePosition, AirborneVelocityGround, AircraftIdentification, AircraftStatus, NoPosition, SurfacePosition,
};
use crate::onair::{Decision, Rule, Situation, flown};
use crate::profile::{IdentificationSource, SettingId};

const UTC: &[SettingId] = &[SettingId::UtcSynchronised];
const IDENTIFICATION: &[SettingId] = &[SettingId::AircraftIdentification];

impl Unit<'_> {
    pub(super) fn deciding_identification(&self, mut draft: Draft, row: &Row) -> Draft {
        let identification = self.profile.aircraft_identification.get().copied();
        if self.profile.identification_source.get() == Some(&IdentificationSource::CrewEntered) {
            // The preset stands until the crew enters another.
            if let Some(code) = identification {
                let span = row.span.shifted(PAYLOAD_OFFSET);
                draft.place(span, code.bits());
                draft.used.push(Draft::decision(row, span, code, IDENTIFICATION, Rule::WhenUsed));
            }
            draft
        } else {
            draft.decide(row, identification, IDENTIFICATION, Rule::Equal)
        }
    }

    pub(super) fn identification(&self) -> Draft {
        let table = AircraftIdentification::TABLE;
        let mut draft = self.squitter(table, table.template as u64);
        if let Some(category) = self.profile.emitter_category.get() {
            // The set stands in the type code, so one setting decides two rows.
            let span = Span::new(1, 8).shifted(PAYLOAD_OFFSET);
            let code = u64::from(category.type_code()) << 3 | category.code().bits();
            draft.place(span, code);
            draft.decisions.push(Decision {
                settings: &[SettingId::EmitterCategory],
                field: "emitter_category",
                span,
                code,
                also: &[],
                meaning: |code, version| {
                    AircraftIdentification::from_bits(code << 48)
                        .emitter_category()
                        .map_or_else(|| Meaning::none("none"), |category| category.meaning(version))
                },
                rule: Rule::Equal,
                by_version: false,
                applies: None,
            });
        }
        self.deciding_identification(draft, &AircraftIdentification::characters)
    }

    pub(super) fn surveillance_status(&self) -> SurveillanceStatus {
        let (ident, emergency) =
            self.situation().map_or((false, 0), |situation| (situation.ident, situation.emergency_state));
        // 1 and 2 win over 3.
        SurveillanceStatus::from_bits(if emergency != 0 {
            1
        } else if ident {
            3
        } else {
            0
        })
    }

    pub(super) fn positions(&self) -> Result<Vec<Draft>, CodeError> {
        let position = self.situation().and_then(Situation::position);
        let mut drafts = Vec::new();
        if position.is_none() {
            drafts.push(self.no_position()?);
        }
        let formats: &[bool] = match (self.flight, position) {
            (_, Some(_)) => &[false, true],
            (Flight::Healthy, None) => &[false],
            _ => &[],
        };
        for odd in formats {
            drafts.push(if self.on_surface() { self.surface_position(*odd)? } else { self.airborne_position(*odd)? });
        }
        Ok(drafts)
    }

    pub(super) fn no_position(&self) -> Result<Draft, CodeError> {
        let altitude = if self.on_surface() { Altitude12::NO_DATA } else { self.altitude()? };
        let message =
            NoPosition { altitude, surveillance_status: self.surveillance_status(), ..NoPosition::from_bits(0) };
        let draft = self.squitter(NoPosition::TABLE, message.bits());
        Ok(self.deciding_step(draft, altitude, 48, squitter_altitude_tells))
    }

    pub(super) fn utc(&self) -> Option<Flag> {
        self.profile.utc_synchronised.get().map(|yes| Flag::new(*yes))
    }

    pub(super) fn airborne_position(&self, odd: bool) -> Result<Draft, CodeError> {
        let altitude = self.altitude()?;
        let message = AirbornePosition {
            // Without a stated NIC the radius is unknown.
            type_code: TypeCode::new(18),
            surveillance_status: self.surveillance_status(),
            cpr_format: CprFormat::from_bits(odd.into()),
            ..AirbornePosition::from_bits(0)
        };
        let message = flown::airborne_position(message, &self.motion(), altitude);
        let codes = self.profile.nic.get().map(|nic| position_codes(nic.0)).transpose()?.map(|codes| codes.airborne);
        let supplement = &AirbornePosition::antenna_or_nic_supplement_b;
        let draft = self
            .squitter(AirbornePosition::TABLE, message.bits())
            .decide(&AirbornePosition::type_code, codes.map(|codes| TypeCode::new(codes.0)), NIC, Rule::AtLeast)
            .by_version(&AirbornePosition::type_code)
            .decide(supplement, codes.map(|codes| Flag::from_bits(codes.2.into())), NIC, Rule::AtLeast)
            .by_version(supplement)
            .decide(&AirbornePosition::utc_synchronised, self.utc(), UTC, Rule::MayDrop);
        Ok(self.deciding_step(draft, altitude, 48, squitter_altitude_tells))
    }

    pub(super) fn surface_position(&self, odd: bool) -> Result<Draft, CodeError> {
        let message = SurfacePosition {
            type_code: TypeCode::new(8),
            cpr_format: CprFormat::from_bits(odd.into()),
            ..SurfacePosition::from_bits(0)
        };
        let message = flown::surface_position(message, &self.motion())?;
        let codes = self.profile.nic.get().map(|nic| position_codes(nic.0)).transpose()?.map(|codes| codes.surface);
        Ok(self
            .squitter(SurfacePosition::TABLE, message.bits())
            .decide(&SurfacePosition::type_code, codes.map(|codes| TypeCode::new(codes.0)), NIC, Rule::AtLeast)
            .by_version(&SurfacePosition::type_code)
            .decide(&SurfacePosition::utc_synchronised, self.utc(), UTC, Rule::MayDrop))
    }

    pub(super) fn velocity(&self) -> Result<Draft, CodeError> {
        let message = AirborneVelocityGround {
            vertical_rate_source: VerticalRateSource::from_bits(1),
            ..AirborneVelocityGround::from_bits(AirborneVelocityGround::TABLE.template as u64)
        };
        let message = flown::velocity(message, &self.motion())?;
        Ok(self
            .squitter(AirborneVelocityGround::TABLE, message.bits())
            .decide(&AirborneVelocityGround::nacv, self.nacv(), &[SettingId::Nacv], Rule::AtLeast)
            .by_version(&AirborneVelocityGround::nacv))
    }

    pub(super) fn aircraft_status(&self) -> Draft {
        let message = AircraftStatus {
            emergency_state: self.situation().map_or(EmergencyState::NONE, Situation::emergency),
            mode_a: self.mode_a(),
            ..AircraftStatus::from_bits(AircraftStatus::TABLE.template as u64)
        };
        let mut draft = self.squitter(AircraftStatus::TABLE, message.bits());
        let row = Row { field: Some("mode_a_code"), ..AircraftStatus::mode_a };
        draft.used.extend(self.vfr_code(&row, row.span.shifted(PAYLOAD_OFFSET)));
        draft
    }
}
