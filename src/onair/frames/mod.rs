//! Each frame of the configured unit, built from the same message tables that read it.

mod draft;
mod envelope;
mod replies;
mod squitters;
mod status;

use crate::code::CodeError;
use crate::frame::Frame;
use crate::onair::flown::Motion;
use crate::onair::{Decision, Emission, Situation, When};
use crate::profile::{AirGroundKind, Profile, SETTINGS, SettingId, Stated};
use draft::Draft;

/// What is known of the flight.
#[derive(Clone, Copy, Debug)]
pub enum Flight<'a> {
    /// Nothing: no flight values, and positions are type code 0.
    Unknown,
    /// Nothing, but positions are there: what frames of a healthy flight are held against.
    Healthy,
    /// A situation.
    Situation(&'a Situation),
}

const ACAS: &[SettingId] = &[SettingId::Acas];
const NIC: &[SettingId] = &[SettingId::Nic];

/// Every frame that the configured unit sends by itself, and every reply that carries an install setting, in order of
/// downlink format, type code, subtype and state.
///
/// # Errors
/// [`CodeError`] where the address is not stated, where the version is one that cannot be encoded, and where a setting
/// has no code.
pub fn emissions(profile: &Profile, flight: Flight<'_>) -> Result<Vec<Emission>, CodeError> {
    if profile.address.get().is_none() {
        return Err(CodeError::Refused(format!(
            "{} is not stated, and every frame carries it",
            SettingId::Address.pointer()
        )));
    }
    // A supposed profile may have any version: only the number is looked at then.
    if let Some(version) = profile.mops_version.get().map(|version| version.0)
        && version != 2
        && !matches!(flight, Flight::Healthy)
    {
        return Err(CodeError::Refused(format!(
            "{} is {version}: frames of version 2 only can be made",
            SettingId::MopsVersion.pointer()
        )));
    }
    let states: &[When] = match flight {
        Flight::Situation(situation) if situation.airborne => &[When::Airborne],
        Flight::Situation(_) => &[When::OnGround],
        _ => &[When::Airborne, When::OnGround],
    };
    let mut all: Vec<Emission> = Vec::new();
    for when in states {
        let unit = Unit { profile, flight, when: *when };
        for emission in unit.all()? {
            // What is the same in both states is one frame.
            match all.iter_mut().find(|other| other.frame == emission.frame && other.asked_by == emission.asked_by) {
                Some(other) => other.when = When::Both,
                None => all.push(emission),
            }
        }
    }
    let order = |emission: &Emission| {
        let bits = emission.frame.message_field();
        (emission.frame.downlink_format(), bits >> 51, bits >> 48 & 7, emission.when)
    };
    all.sort_by_key(order);
    Ok(all)
}

/// Why a setting cannot be seen on the air at all, if that is so.
pub fn why_not_on_air(profile: &Profile, setting: SettingId) -> Option<&'static str> {
    let surface_only = matches!(
        setting,
        SettingId::Length
            | SettingId::Width
            | SettingId::AntennaFromNose
            | SettingId::AntennaFromCentreLine
            | SettingId::SurfaceDirection
            | SettingId::SurfaceDirectionReference
    );
    if surface_only && profile.air_ground_kind.get() == Some(&AirGroundKind::None) {
        return Some("without an air/ground input surface messages do not normally go out");
    }
    setting.never()
}

/// Stated settings that stand in none of these frames, each with the reason.
pub fn not_in(profile: &Profile, frames: &[Emission]) -> Vec<(SettingId, String)> {
    let shown = |setting: SettingId| {
        let in_decisions =
            |decisions: &[Decision]| decisions.iter().any(|decision| decision.settings.contains(&setting));
        frames.iter().any(|frame| in_decisions(&frame.decisions) || in_decisions(&frame.used))
    };
    // With positions and altitude there, more settings have a place.
    let in_flight = emissions(profile, Flight::Healthy).unwrap_or_default();
    let shown_in_flight = |setting: SettingId| {
        in_flight.iter().flat_map(|frame| &frame.decisions).any(|decision| decision.settings.contains(&setting))
    };
    SETTINGS
        .iter()
        .filter(|setting| setting.id != SettingId::Notes && !shown(setting.id))
        .filter_map(|setting| {
            let reason = match (setting.words)(profile) {
                Stated::NotStated => return None,
                Stated::ToBeFilledIn => "still to be filled in",
                Stated::Is(_) => why_not_on_air(profile, setting.id).unwrap_or(if shown_in_flight(setting.id) {
                    "stands in frames of the other state, or in those with a position or an altitude: give a situation"
                } else {
                    "goes out only together with a setting that is not stated, or in no message of this install"
                }),
            };
            Some((setting.id, reason.to_owned()))
        })
        .collect()
}

/// The unit in one state.
struct Unit<'a> {
    profile: &'a Profile,
    flight: Flight<'a>,
    when: When,
}

impl Unit<'_> {
    fn situation(&self) -> Option<&Situation> {
        match self.flight {
            Flight::Situation(situation) => Some(situation),
            _ => None,
        }
    }

    fn motion(&self) -> Motion {
        self.situation().map_or_else(Motion::default, Situation::motion)
    }

    /// Whether messages take the surface formats: only where the unit can know the ground.
    fn on_surface(&self) -> bool {
        self.when == When::OnGround && self.profile.air_ground_kind.get() != Some(&AirGroundKind::None)
    }

    fn all(&self) -> Result<Vec<Emission>, CodeError> {
        let mut drafts = vec![
            self.short_air_air(true)?,
            self.short_air_air(false)?,
            self.surveillance_altitude()?,
            self.surveillance_identity(),
            self.all_call(),
        ];
        if self.profile.mode_s_level.get().is_none_or(|level| level.0 >= 2) {
            drafts.extend(self.positions()?);
            drafts.push(self.identification());
            drafts.push(self.aircraft_status());
            if self.on_surface() {
                drafts.push(self.operational_status_surface()?);
            } else {
                drafts.push(self.velocity()?);
                drafts.push(self.operational_status_airborne()?);
                if self.profile.sends_target_state.get() == Some(&true) {
                    drafts.push(self.target_state());
                }
            }
            drafts.extend(self.registers());
        }
        Ok(drafts.into_iter().map(|draft| self.finish(draft)).collect())
    }

    fn finish(&self, draft: Draft) -> Emission {
        let address_in_parity = !draft.envelope.rows.iter().any(|row| row.key == "address");
        let address = self.profile.address.get().copied();
        let frame = Frame::from_pattern(draft.pattern, draft.envelope.bits);
        let overlay = address.filter(|_| address_in_parity).map_or(0, crate::frame::Address::bits);
        let mut decisions = draft.decisions;
        decisions.sort_by_key(|decision| decision.span);
        Emission {
            table: draft.table,
            envelope: draft.envelope,
            when: self.when,
            frame: frame.with_overlay(overlay),
            decisions,
            used: draft.used,
            address_in_parity,
            asked_by: draft.asked_by,
        }
    }
}
