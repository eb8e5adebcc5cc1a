//! What a setting must be, or most likely is, by what is stated of others.

use super::check::expected_address;
use super::{
    AddressKind, AirGroundKind, AltitudeSourceKind, DirectionKind, Profile, RuleSet, SettingId, category_of,
    state_of_registry,
};

/// A value that follows from other settings, for a person to confirm.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Follows {
    /// The value, as a person types it.
    pub value: String,
    /// What it follows from, and who decides.
    pub why: String,
}

/// What a setting is by what is stated of others; `None` if nothing follows.
///
/// ```
/// use squitterlab::profile::{Profile, SettingId, follows, rule_set};
/// let profile = Profile::read(r#"{"aircraft": {"registration": "N47QX"}}"#).profile;
/// let rules = rule_set("united_states").unwrap();
/// assert_eq!(follows(&profile, rules, SettingId::Address).unwrap().value, "A5C035");
/// assert_eq!(follows(&profile, rules, SettingId::Length), None);
/// ```
pub fn follows(profile: &Profile, rules: &RuleSet, setting: SettingId) -> Option<Follows> {
    let rules = rules.governing(profile);
    let follows = |value: String, why: String| Some(Follows { value, why });
    match setting {
        SettingId::Address => {
            let mark = &profile.registration.get()?.0;
            let address = expected_address(profile)?;
            follows(address.to_string(), format!("the arithmetic of {mark} gives it; the State's register decides"))
        }
        SettingId::AircraftIdentification => {
            let forms = rules.identification_forms(profile)?;
            let form = forms.held()?;
            let state = state_of_registry(profile).unwrap_or("the State of registry");
            let clause =
                form.clause.map_or_else(String::new, |(clause, confirmed)| format!(" ({clause}; {confirmed})"));
            let abroad = if forms.all().len() > 1 { format!("; {}", forms.words(state)) } else { String::new() };
            follows(form.identification.to_string(), format!("{}{clause}{abroad}", form.form.words()))
        }
        SettingId::EmitterCategory => {
            let derived = category_of(profile.kind.get().copied(), profile.maximum_take_off_weight.get().copied())?;
            follows(derived.category.to_string(), derived.why)
        }
        SettingId::AltitudeResolution => (profile.altitude_source_kind.get() == Some(&AltitudeSourceKind::Parallel))
            .then(|| Follows { value: "100".to_owned(), why: "grey code on wires counts 100 ft".to_owned() }),
        SettingId::VfrModeACode if rules.governs(profile) => {
            let rule = rules.vfr_mode_a_code_of(profile)?;
            follows(rule.code.clone(), format!("{} ({}; {})", rules.title, rule.clause, rule.confirmed))
        }
        SettingId::SurfaceDirectionReference => {
            (profile.surface_direction.get() == Some(&DirectionKind::Track)).then(|| Follows {
                value: "true".to_owned(),
                why: "a ground track from satellite navigation counts from true north (common practice, no source)"
                    .to_owned(),
            })
        }
        _ => None,
    }
}

/// Whether an install of this kind has such a setting.
///
/// ```
/// use squitterlab::{Profile, profile::{SettingId, applies}};
/// let profile = Profile::read(r#"{"transponder": {"air_ground": {"kind": "automatic"}}}"#).profile;
/// // Only a switch has a meaning when it is closed.
/// assert!(!applies(&profile, SettingId::AirGroundActive));
/// ```
pub fn applies(profile: &Profile, setting: SettingId) -> bool {
    let kind = profile.air_ground_kind.get();
    let passing = matches!(profile.address_kind.get(), Some(AddressKind::Temporary | AddressKind::Privacy));
    match setting {
        SettingId::AirGroundActive => !matches!(kind, Some(AirGroundKind::Automatic | AirGroundKind::None)),
        SettingId::AirborneAbove => kind == Some(&AirGroundKind::Automatic),
        SettingId::AddressValidFrom | SettingId::AddressValidUntil => passing,
        _ => true,
    }
}

/// The settings for which another value follows after a change than before it, and that do not have it.
pub(crate) fn follows_anew(before: &Profile, after: &Profile, rules: &RuleSet) -> Vec<(SettingId, Follows)> {
    let anew = |setting: SettingId| {
        let new = follows(after, rules, setting)?;
        let all = setting.setting();
        let right = all.with_typed(after, &new.value).ok()?;
        let known = follows(before, rules, setting).is_some_and(|old| old.value == new.value);
        (!known && all.value(&right) != all.value(after)).then_some((setting, new))
    };
    SettingId::ALL.iter().filter_map(|setting| anew(*setting)).collect()
}
