//! What is sent only when asked for: surveillance replies, and registers that carry install settings.

use super::draft::Draft;
use super::envelope::reply_altitude_tells;
use super::{ACAS, Unit};
use crate::code::table::{Row, Table};
use crate::code::{Altitude12, Bits, CodeError, CruiseSpeedClass, Flag, ModeA, RegisterNumber, ReplyInformation};
use crate::downlink::{CommBAltitude, ShortAirAir, SurveillanceAltitude, SurveillanceIdentity};
use crate::frame::Span;
use crate::onair::{Decision, Rule};
use crate::profile::{Acas, SettingId};
use crate::register::{AircraftIdentificationRegister, CommonUsage, DataLinkCapability, usage_bit};

impl Unit<'_> {
    pub(super) fn short_air_air(&self, acquisition: bool) -> Result<Draft, CodeError> {
        let draft = Draft::new(ShortAirAir::TABLE, None)
            .outer(&ShortAirAir::vertical_status, self.vertical_status())
            .outer(&ShortAirAir::altitude, self.altitude()?.with_metric_bit());
        let row = &ShortAirAir::reply_information;
        let draft = if acquisition {
            let class = self.profile.maximum_cruise_true_airspeed.get();
            let class = class.map(|speed| CruiseSpeedClass::from_knots(speed.in_knots())).transpose()?;
            draft
                .outer(row, ReplyInformation::from_bits(8))
                .decide_outer(
                    row,
                    class.map(CruiseSpeedClass::reply_information),
                    &[SettingId::MaximumCruiseTrueAirspeed],
                )
                .only_where(row, |frame| frame.field(ShortAirAir::reply_information.span) >= 8)
                .asked_by("an acquisition interrogation of format 0")
        } else {
            let acas = self.profile.acas.get().map(|acas| {
                ReplyInformation::from_bits(match acas {
                    Acas::None => 0,
                    Acas::AdvisoriesOnly => 2,
                    Acas::Resolution => 3,
                })
            });
            let mut draft = draft
                .decide_outer(row, acas, ACAS)
                .only_where(row, |frame| frame.field(ShortAirAir::reply_information.span) < 8);
            if let Some(last) = draft.decisions.last_mut().filter(|last| last.settings == ACAS) {
                last.rule = Rule::MayDrop;
            }
            draft.asked_by("a tracking interrogation of format 0")
        };
        Ok(self.deciding_step(draft, self.altitude()?, 28, reply_altitude_tells))
    }

    pub(super) fn surveillance_altitude(&self) -> Result<Draft, CodeError> {
        let draft = Draft::new(SurveillanceAltitude::TABLE, None)
            .outer(&SurveillanceAltitude::flight_status, self.flight_status())
            .outer(&SurveillanceAltitude::altitude, self.altitude()?.with_metric_bit())
            .asked_by("an altitude interrogation of format 4");
        Ok(self.deciding_step(draft, self.altitude()?, 28, reply_altitude_tells))
    }

    pub(super) fn surveillance_identity(&self) -> Draft {
        let row = &SurveillanceIdentity::mode_a;
        let mut draft = Draft::new(SurveillanceIdentity::TABLE, None)
            .outer(&SurveillanceIdentity::flight_status, self.flight_status())
            .outer(row, self.mode_a())
            .asked_by("an identity interrogation of format 5");
        draft.used.extend(self.vfr_code(row, row.span));
        draft
    }

    pub(super) fn mode_a(&self) -> ModeA {
        let given = self.situation().and_then(|situation| situation.mode_a().ok().flatten());
        given.unwrap_or(ModeA::from_bits(0))
    }

    pub(super) fn vfr_code(&self, row: &Row, span: Span) -> Option<Decision> {
        let code = self.profile.vfr_mode_a_code.get()?;
        Some(Draft::decision(row, span, *code, &[SettingId::VfrModeACode], Rule::WhenUsed))
    }

    /// Comm-B replies with the registers that carry install settings.
    pub(super) fn registers(&self) -> Vec<Draft> {
        const SERVED: &[SettingId] = &[SettingId::DataLinkRegisters];
        const SI: &[SettingId] = &[SettingId::DataLinkSiCodes];
        let Some(served) = self.profile.data_link_registers.get() else { return Vec::new() };
        let reply = |table: &'static Table, bits: u64| {
            Draft::new(CommBAltitude::TABLE, Some((table, bits)))
                .outer(&CommBAltitude::flight_status, self.flight_status())
                .outer(&CommBAltitude::altitude, self.altitude().unwrap_or(Altitude12::NO_DATA).with_metric_bit())
        };
        let serves = |number: u8| served.0.contains(&RegisterNumber::new(number));
        let mut drafts = Vec::new();
        if serves(0x10) {
            let si_codes = self.profile.data_link_si_codes.get().map(|yes| Flag::new(*yes));
            let acas = self.profile.acas.get();
            let identification = Some(Flag::new(serves(0x20)));
            drafts.push(
                reply(DataLinkCapability::TABLE, DataLinkCapability::TABLE.template as u64)
                    .decide(&DataLinkCapability::identification_capability, identification, SERVED, Rule::Equal)
                    .decide(&DataLinkCapability::si_codes, si_codes, SI, Rule::Equal)
                    .decide(
                        &DataLinkCapability::resolution_advisories,
                        acas.map(|acas| Flag::new(*acas == Acas::Resolution)),
                        ACAS,
                        Rule::MayDrop,
                    )
                    .asked_by("an interrogation for register 1,0"),
            );
        }
        if serves(0x17) {
            let mut draft = reply(CommonUsage::TABLE, 0).asked_by("an interrogation for register 1,7");
            // A register's bit is 0 while it lacks data, so only the bits that are set say something of the install.
            for row in CommonUsage::TABLE.rows.iter().filter(|row| !row.is_reserved()) {
                if served.0.iter().filter_map(|number| usage_bit(*number)).any(|bit| bit == row.span.first) {
                    draft = draft.decide(row, Some(Flag::YES), SERVED, Rule::MayDrop);
                }
            }
            drafts.push(draft);
        }
        if serves(0x20) {
            let draft =
                reply(AircraftIdentificationRegister::TABLE, AircraftIdentificationRegister::TABLE.template as u64);
            let row = &AircraftIdentificationRegister::characters;
            drafts.push(self.deciding_identification(draft, row).asked_by("an interrogation for register 2,0"));
        }
        drafts
    }
}
