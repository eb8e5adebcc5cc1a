//! Quality and capability: operational status in the air and on the ground, and target state.

use super::draft::Draft;
use super::{ACAS, NIC, Unit};
use crate::code::{
    Bits, CodeError, Flag, Gva, LateralOffset, LengthWidth, LongitudinalOffset, Nacp, Nacv, NicBaro, Number, Sda, Sil,
    SilSupplement, VersionNumber, position_codes,
};
use crate::message::{OperationalStatusAirborne, OperationalStatusSurface, TargetState};
use crate::onair::Rule;
use crate::profile::{
    Acas, AltitudeSourceKind, Antenna, DirectionKind, FromCentreLine, FromNose, North, SettingId, SilPer,
};

const SIZE: &[SettingId] = &[SettingId::Length, SettingId::Width];
const NIC_BARO: &[SettingId] = &[SettingId::AltitudeSourceKind, SettingId::AltitudeCrossChecked];

impl Unit<'_> {
    pub(super) fn nacv(&self) -> Option<Nacv> {
        self.profile.nacv.get().map(|nacv| Nacv::from_bits(nacv.0.into()))
    }

    pub(super) fn nacp(&self) -> Option<Nacp> {
        self.profile.nacp.get().map(|nacp| Nacp::from_bits(nacp.0.into()))
    }

    pub(super) fn sil(&self) -> Option<Sil> {
        self.profile.sil.get().map(|sil| Sil::from_bits(sil.0.into()))
    }

    pub(super) fn sil_supplement(&self) -> Option<SilSupplement> {
        self.profile.sil_supplement.get().map(|per| SilSupplement::from_bits(u64::from(*per == SilPer::Sample)))
    }

    pub(super) fn sda(&self) -> Option<Sda> {
        self.profile.system_design_assurance.get().map(|sda| Sda::from_bits(sda.0.into()))
    }

    pub(super) fn version(&self) -> Option<VersionNumber> {
        self.profile.mops_version.get().map(|version| VersionNumber::new(version.0))
    }

    /// Anything but grey-code wires counts as checked; wires only with a second source.
    pub(super) fn nic_baro(&self) -> Option<NicBaro> {
        let checked = match self.profile.altitude_source_kind.get()? {
            AltitudeSourceKind::Parallel => *self.profile.altitude_cross_checked.get()?,
            _ => true,
        };
        Some(NicBaro::from_bits(checked.into()))
    }

    /// The bit says that resolution advisories can be given, so advisories alone leave it at 0.
    pub(super) fn acas_operational(&self) -> Option<Flag> {
        self.profile.acas.get().map(|acas| Flag::new(*acas == Acas::Resolution))
    }

    pub(super) fn flag(setting: Option<&bool>) -> Option<Flag> {
        setting.map(|yes| Flag::new(*yes))
    }

    pub(super) fn ident(&self) -> Flag {
        Flag::new(self.situation().is_some_and(|situation| situation.ident))
    }

    pub(super) fn supplement_a(&self, surface: bool) -> Result<Option<Number<1>>, CodeError> {
        let codes = self.profile.nic.get().map(|nic| position_codes(nic.0)).transpose()?;
        Ok(codes.map(|codes| Number::from_bits(u64::from(if surface { codes.surface.1 } else { codes.airborne.1 }))))
    }

    pub(super) fn operational_status_airborne(&self) -> Result<Draft, CodeError> {
        use OperationalStatusAirborne as Status;
        let profile = self.profile;
        let message = Status { ident_active: self.ident(), ..Status::from_bits(Status::TABLE.template as u64) };
        Ok(self
            .squitter(Status::TABLE, message.bits())
            .decide(&Status::acas_operational, self.acas_operational(), ACAS, Rule::MayDrop)
            .decide(&Status::es_1090_in, Self::flag(profile.es_1090_in.get()), &[SettingId::Es1090In], Rule::Equal)
            .decide(
                &Status::sends_air_referenced_velocity,
                Self::flag(profile.sends_air_referenced_velocity.get()),
                &[SettingId::SendsAirReferencedVelocity],
                Rule::Equal,
            )
            .decide(
                &Status::sends_target_state,
                Self::flag(profile.sends_target_state.get()),
                &[SettingId::SendsTargetState],
                Rule::Equal,
            )
            .decide(&Status::uat_in, Self::flag(profile.uat_in.get()), &[SettingId::UatIn], Rule::Equal)
            .decide(&Status::single_antenna, self.single_antenna(), &[SettingId::Antenna], Rule::Equal)
            .decide(&Status::sda, self.sda(), &[SettingId::SystemDesignAssurance], Rule::MayDrop)
            .decide(&Status::version_number, self.version(), &[SettingId::MopsVersion], Rule::Equal)
            .decide(&Status::nic_supplement_a, self.supplement_a(false)?, NIC, Rule::AtLeast)
            .decide(&Status::nacp, self.nacp(), &[SettingId::Nacp], Rule::AtLeast)
            .decide(
                &Status::gva,
                profile.gva.get().map(|gva| Gva::from_bits(gva.0.into())),
                &[SettingId::Gva],
                Rule::AtLeast,
            )
            .decide(&Status::sil, self.sil(), &[SettingId::Sil], Rule::MayDrop)
            .decide(&Status::nic_baro, self.nic_baro(), NIC_BARO, Rule::Equal)
            .decide(&Status::sil_supplement, self.sil_supplement(), &[SettingId::SilSupplement], Rule::MayDrop))
    }

    pub(super) fn single_antenna(&self) -> Option<Flag> {
        self.profile.antenna.get().map(|antenna| Flag::new(*antenna == Antenna::Single))
    }

    /// The box that holds the aircraft; a size of zero is a size that was never set.
    pub(super) fn length_width(&self) -> Result<Option<LengthWidth>, CodeError> {
        let (Some(length), Some(width)) = (self.profile.length.get(), self.profile.width.get()) else {
            return Ok(None);
        };
        let (length, width) = (length.in_metres(), width.in_metres());
        if length == 0.0 && width == 0.0 {
            return Ok(Some(LengthWidth::NO_DATA));
        }
        LengthWidth::from_metres(length, width).map(Some)
    }

    pub(super) fn lateral(&self) -> Option<LateralOffset> {
        self.profile.antenna_from_centre_line.get().map(|offset| match offset {
            FromCentreLine::NotKnown => LateralOffset::NO_DATA,
            other => LateralOffset::from_metres(other.metres().unwrap_or(0.0)),
        })
    }

    pub(super) fn longitudinal(&self) -> Result<Option<LongitudinalOffset>, CodeError> {
        self.profile
            .antenna_from_nose
            .get()
            .map(|offset| match offset {
                FromNose::NotKnown => Ok(LongitudinalOffset::NO_DATA),
                FromNose::AppliedBySensor => Ok(LongitudinalOffset::APPLIED_BY_SENSOR),
                FromNose::Measured(length) => LongitudinalOffset::from_metres(length.in_metres()),
            })
            .transpose()
    }

    pub(super) fn operational_status_surface(&self) -> Result<Draft, CodeError> {
        use OperationalStatusSurface as Status;
        let profile = self.profile;
        let message = Status { ident_active: self.ident(), ..Status::from_bits(Status::TABLE.template as u64) };
        let codes = profile.nic.get().map(|nic| position_codes(nic.0)).transpose()?;
        let supplement_c = codes.map(|codes| Number::<1>::from_bits(u64::from(codes.surface.2)));
        Ok(self
            .squitter(Status::TABLE, message.bits())
            .decide(&Status::es_1090_in, Self::flag(profile.es_1090_in.get()), &[SettingId::Es1090In], Rule::Equal)
            .decide(&Status::uat_in, Self::flag(profile.uat_in.get()), &[SettingId::UatIn], Rule::Equal)
            .decide(&Status::nacv, self.nacv(), &[SettingId::Nacv], Rule::AtLeast)
            .decide(&Status::nic_supplement_c, supplement_c, NIC, Rule::AtLeast)
            .decide(&Status::length_width, self.length_width()?, SIZE, Rule::Equal)
            .decide(&Status::single_antenna, self.single_antenna(), &[SettingId::Antenna], Rule::Equal)
            .decide(&Status::sda, self.sda(), &[SettingId::SystemDesignAssurance], Rule::MayDrop)
            .decide(&Status::antenna_offset_lateral, self.lateral(), &[SettingId::AntennaFromCentreLine], Rule::Equal)
            .decide(
                &Status::antenna_offset_longitudinal,
                self.longitudinal()?,
                &[SettingId::AntennaFromNose],
                Rule::Equal,
            )
            .decide(&Status::version_number, self.version(), &[SettingId::MopsVersion], Rule::Equal)
            .decide(&Status::nic_supplement_a, self.supplement_a(true)?, NIC, Rule::AtLeast)
            .decide(&Status::nacp, self.nacp(), &[SettingId::Nacp], Rule::AtLeast)
            .decide(&Status::sil, self.sil(), &[SettingId::Sil], Rule::MayDrop)
            .decide(
                &Status::surface_heading,
                profile.surface_direction.get().map(|kind| Flag::new(*kind == DirectionKind::Heading)),
                &[SettingId::SurfaceDirection],
                Rule::Equal,
            )
            .decide(
                &Status::magnetic_reference,
                profile.surface_direction_reference.get().map(|north| Flag::new(*north == North::Magnetic)),
                &[SettingId::SurfaceDirectionReference],
                Rule::Equal,
            )
            .decide(&Status::sil_supplement, self.sil_supplement(), &[SettingId::SilSupplement], Rule::MayDrop))
    }

    pub(super) fn target_state(&self) -> Draft {
        self.squitter(TargetState::TABLE, TargetState::TABLE.template as u64)
            .decide(&TargetState::sil_supplement, self.sil_supplement(), &[SettingId::SilSupplement], Rule::MayDrop)
            .decide(&TargetState::nacp, self.nacp(), &[SettingId::Nacp], Rule::AtLeast)
            .decide(&TargetState::nic_baro, self.nic_baro(), NIC_BARO, Rule::Equal)
            .decide(&TargetState::sil, self.sil(), &[SettingId::Sil], Rule::MayDrop)
            .decide(&TargetState::acas_operational, self.acas_operational(), ACAS, Rule::MayDrop)
    }
}
