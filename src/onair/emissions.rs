//! Makes frames from an install and what is known of the flight: the one interpreter of the list of transmissions.

use super::transmissions::{Layer, TRANSMISSIONS, Transmission};
use super::unit::Unit;
use super::{Decision, Emission, Rule, Situation, When};
use crate::code::{CodeError, Version};
use crate::downlink::PAYLOAD_OFFSET;
use crate::frame::{Address, Frame};
use crate::profile::{AirGroundKind, Profile, SETTINGS, SettingId, Stated};

/// What is known of the flight.
#[derive(Clone, Copy, Debug)]
#[non_exhaustive]
pub enum Flight<'a> {
    /// Nothing: no flight values, and positions are type code 0.
    Unknown,
    /// Nothing, but positions are there: what frames of a healthy flight are compared with.
    Healthy,
    /// A situation.
    Situation(&'a Situation),
}

/// The version that an install which states none is taken to send.
const USUAL_VERSION: u8 = 2;
/// The newest version of which anything is known.
const NEWEST_VERSION: u8 = 3;

/// Why an install cannot be put on the air.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum EmissionError {
    /// It has no address.
    #[error("{setting} is not stated, and every frame carries it", setting = SettingId::Address.pointer())]
    NoAddress,
    /// Nothing is known of the frames of its version.
    #[error(
        "{setting} is {0}: no source is held for its frames; versions 0 to {newest} can be made",
        setting = SettingId::MopsVersion.pointer(),
        newest = NEWEST_VERSION
    )]
    VersionNotHeld(u8),
    /// A setting, or what the flight does, has no code.
    #[error("{0}")]
    Code(#[from] CodeError),
}

/// What cannot be said of the frames of this install, if anything.
pub(crate) fn what_is_unknown(profile: &Profile) -> Option<&'static str> {
    (version_of(profile) == 3).then_some(
        "version 3: the fields that public text names are decided, as in version 2. What the unit sends besides is not \
         known: its power, detect and avoid, the coordination of collision avoidance, NIC supplement D, and the distance \
         of the antenna from the nose, whose steps differ",
    )
}

/// The version of the standard whose frames an install sends.
///
/// ```
/// use squitterlab::{Profile, onair::version_of};
/// assert_eq!(version_of(&Profile::read(r#"{"transponder": {"mops_version": 1}}"#).profile), 1);
/// // An install that states none is taken to be of version 2.
/// assert_eq!(version_of(&Profile::default()), 2);
/// ```
pub fn version_of(profile: &Profile) -> u8 {
    profile.mops_version.get().map_or(USUAL_VERSION, |version| version.0)
}

/// Every frame that the configured unit sends by itself, and every reply that carries an install setting, in order of
/// downlink format, type code, subtype and state.
///
/// ```
/// use squitterlab::{Profile, onair::{Flight, emissions}};
/// let profile = Profile::read(r#"{"aircraft": {"address": "A5C035", "emitter_category": "A1"}}"#).profile;
/// let frames = emissions(&profile, Flight::Unknown).unwrap();
/// assert!(frames.iter().any(|emission| emission.table.message == "aircraft_identification"));
/// assert!(emissions(&Profile::default(), Flight::Unknown).is_err());
/// ```
///
/// # Errors
/// [`EmissionError`] if the address is not stated, if nothing is known of the version, and if a setting has no code.
pub fn emissions(profile: &Profile, flight: Flight<'_>) -> Result<Vec<Emission>, EmissionError> {
    let version = version_of(profile);
    if version > NEWEST_VERSION {
        return Err(EmissionError::VersionNotHeld(version));
    }
    emissions_laid_out(profile, flight, version)
}

/// The same in the layout of another version, whatever the profile states: what a supposed profile says in the fields
/// that another install sends.
///
/// # Errors
/// As of [`emissions`], but for the version.
pub(crate) fn emissions_laid_out(
    profile: &Profile,
    flight: Flight<'_>,
    version: u8,
) -> Result<Vec<Emission>, EmissionError> {
    if profile.address.get().is_none() {
        return Err(EmissionError::NoAddress);
    }
    let states: &[When] = match flight {
        // A unit that does not know the ground has one state.
        Flight::Unknown | Flight::Healthy if profile.air_ground_kind.get() == Some(&AirGroundKind::None) => {
            &[When::Both]
        }
        Flight::Situation(situation) if situation.airborne => &[When::Airborne],
        Flight::Situation(_) => &[When::OnGround],
        _ => &[When::Airborne, When::OnGround],
    };
    let mut all: Vec<Emission> = Vec::new();
    for when in states {
        let unit = Unit { profile, flight, when: *when, odd: false };
        for transmission in TRANSMISSIONS {
            if !transmission.is_of(version) || !transmission.goes_out(&unit) {
                continue;
            }
            let grids = if transmission.has_grids { unit.grids() } else { &[false] };
            for odd in grids {
                let emission = emission(transmission, &Unit { odd: *odd, ..unit }, version)?;
                // What is the same in both states is one frame.
                match all.iter_mut().find(|other| other.frame == emission.frame && other.reply_to == emission.reply_to)
                {
                    Some(other) => other.when = When::Both,
                    None => all.push(emission),
                }
            }
        }
    }
    let order =
        |emission: &Emission| (emission.frame.downlink_format(), emission.frame.message_field() >> 51, emission.when);
    all.sort_by_key(order);
    Ok(all)
}

fn emission(transmission: &'static Transmission, unit: &Unit<'_>, version: u8) -> Result<Emission, CodeError> {
    let envelope = transmission.envelope;
    let (mut decisions, mut used) = (Vec::new(), Vec::new());
    let mut decide = |layer: &'static Layer, offset: u8| -> Result<u128, CodeError> {
        let mut pattern = filled(layer, unit)?;
        for part in layer.parts {
            for row in part.rows() {
                let Some(code) = (part.code)(unit, row)? else { continue };
                if part.is_shown {
                    pattern = layer.table.with_code(row, pattern, code);
                }
                // Otherwise the code is the frame's, and what the install presets is told beside it.
                let (code, preset) = (layer.table.code(row, pattern), code);
                let rule = part.rule_in(unit.profile);
                let decision = Decision {
                    settings: part.settings,
                    field: row.field.unwrap_or(row.key),
                    span: row.span.shifted(offset),
                    code,
                    also: (part.alike)(code),
                    meaning: row.meaning,
                    version: Version::from_number(version).unwrap_or(Version::Two),
                    rule,
                    by_version: part.by_version,
                    applies: part.applies,
                    preset: Some(preset).filter(|preset| *preset != code),
                };
                if rule == Rule::WhenUsed { &mut used } else { &mut decisions }.push(decision);
            }
        }
        Ok(pattern)
    };
    let mut pattern = decide(envelope, 0)?;
    if let Some(layer) = transmission.message {
        // A message is 56 bits, and ends before the parity.
        pattern |= decide(layer, PAYLOAD_OFFSET)? << (envelope.table.bits - PAYLOAD_OFFSET - layer.table.bits);
    }
    decisions.sort_by_key(|decision| decision.span);
    let address_in_parity = transmission.has_address_in_parity();
    let address = unit.profile.address.get().filter(|_| address_in_parity);
    Ok(Emission {
        transmission,
        table: transmission.table(),
        envelope: envelope.table,
        when: unit.when,
        frame: Frame::from_pattern(pattern, envelope.table.bits).with_overlay(address.map_or(0, |a| Address::bits(*a))),
        decisions,
        used,
        address_in_parity,
        reply_to: transmission.reply_to(),
        unsettled: (envelope.unsettled).and_then(|unsettled| unsettled(unit)),
    })
}

/// What the flight says in a layer.
fn filled(layer: &Layer, unit: &Unit<'_>) -> Result<u128, CodeError> {
    let bits = (layer.fill)(unit)?;
    match layer.moved {
        Some(moved) => Ok(moved(bits as u64, &unit.motion(), unit.altitude()?)?.into()),
        None => Ok(bits),
    }
}

// Settings -----------------------------------------------------------------------------------------------------------

/// Why a setting cannot be seen on the air at all, if that is so.
///
/// ```
/// use squitterlab::{Profile, onair::why_not_on_air, profile::SettingId};
/// let profile = Profile::default();
/// assert!(why_not_on_air(&profile, SettingId::Registration).unwrap().starts_with("never sent"));
/// assert_eq!(why_not_on_air(&profile, SettingId::EmitterCategory), None);
/// ```
pub fn why_not_on_air(profile: &Profile, setting: SettingId) -> Option<&'static str> {
    if let Some(never) = setting.never() {
        return Some(never);
    }
    let version = version_of(profile);
    let mut carriers = TRANSMISSIONS
        .iter()
        .filter(|transmission| transmission.is_of(version) && transmission.places(setting).next().is_some())
        .peekable();
    if carriers.peek().is_none() {
        return Some(NOT_IN_VERSION[usize::from(version).min(NOT_IN_VERSION.len() - 1)]);
    }
    let only_on_surface = carriers.all(Transmission::is_on_surface);
    (only_on_surface && profile.air_ground_kind.get() == Some(&AirGroundKind::None))
        .then_some("without an air/ground input surface messages do not normally go out")
}

/// Why a stated setting decides nothing in any frame of an install: it is never on the air, the crew decides it, the frame
/// does not go out, or a setting that makes one code with it is not stated.
pub(crate) fn why_in_no_frame(profile: &Profile, setting: SettingId) -> String {
    if let Some(never) = why_not_on_air(profile, setting) {
        return never.to_owned();
    }
    let version = version_of(profile);
    let carriers = || {
        let of_version = TRANSMISSIONS.iter().filter(move |transmission| transmission.is_of(version));
        of_version.filter(move |transmission| transmission.places(setting).next().is_some())
    };
    let parts = |transmission: &'static Transmission| transmission.places(setting).map(|(.., part)| part);
    if carriers().flat_map(parts).any(|part| part.crews.is_some_and(|crews| crews(profile))) {
        return "the crew decides it".to_owned();
    }
    let goes_out = |transmission: &&Transmission| {
        let unit = |when| Unit { profile, flight: Flight::Healthy, when, odd: false };
        [When::Airborne, When::OnGround].into_iter().any(|when| transmission.goes_out(&unit(when)))
    };
    let mut conditions: Vec<&str> =
        carriers().filter(|one| !goes_out(one)).filter_map(|one| one.condition).map(|only_if| only_if.words).collect();
    conditions.dedup();
    let mut open: Vec<SettingId> =
        carriers().filter(goes_out).flat_map(parts).flat_map(|part| part.settings).copied().collect();
    open.retain(|other| *other != setting && !matches!(other.setting().stated(profile), Stated::Is(_)));
    open.sort_unstable_by_key(|other| other.pointer());
    open.dedup();
    let names: Vec<&str> = open.iter().map(|other| other.name()).collect();
    match (names.is_empty(), conditions.is_empty()) {
        (false, _) => format!("it makes one code with what is not stated: {}", names.join(", ")),
        (true, false) => format!("it goes out only if {}", conditions.join(", or if ")),
        (true, true) => "this install sends no message that carries it".to_owned(),
    }
}

/// Said of a setting that units of a version do not send.
const NOT_IN_VERSION: [&str; 5] = [
    "units of version 0 do not send it",
    "units of version 1 do not send it",
    "units of version 2 do not send it",
    "whether units of version 3 send it is not known from public text",
    "no source is held for this version",
];

/// Stated settings that are in none of these frames, each with the reason.
pub(crate) fn not_in(profile: &Profile, frames: &[Emission]) -> Vec<(SettingId, String)> {
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
            let reason = match setting.stated(profile) {
                Stated::NotStated => return None,
                Stated::ToBeFilledIn => "still to be filled in".to_owned(),
                Stated::Is(_) if shown_in_flight(setting.id) => {
                    "is in frames of the other state, or in those with a position or an altitude: give a situation"
                        .to_owned()
                }
                Stated::Is(_) => why_in_no_frame(profile, setting.id),
            };
            Some((setting.id, reason))
        })
        .collect()
}
