//! Lists what must be so before a unit is tested, once for every command that leads to a test.

use super::SettingId;

/// What is true of a test that somebody is about to make.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Condition {
    /// The unit is brought into the airborne state.
    Airborne,
    /// The unit may have no air/ground input.
    WithoutGroundInput,
    /// Altitudes are set on the static system.
    Altitudes,
    /// The unit is interrogated.
    Interrogated,
}

/// A run through altitudes, of a unit that nothing is known of.
pub const ALTITUDE_RUN: &[Condition] =
    &[Condition::Airborne, Condition::WithoutGroundInput, Condition::Altitudes, Condition::Interrogated];

/// What must be so before a test begins of which this is true.
pub fn stops(of: &[Condition]) -> Vec<&'static str> {
    STOPS.iter().filter(|(when, ..)| when.is_none_or(|when| of.contains(&when))).map(|(.., text)| *text).collect()
}

/// What must be so before anybody tries out this setting.
pub fn stop_of(setting: SettingId) -> Option<&'static str> {
    STOPS.iter().find(|(_, settings, _)| settings.contains(&setting)).map(|(.., text)| *text)
}

/// Sources: EASA SIB 2011-15 (coupling, air traffic control, standby, code 7776, ground state); AIM 4-1-20 (7500, 7600 to
/// 7677, 7700 to 7777); 0000, and the resolution advisory, from secondary pages.
const STOPS: &[(Option<Condition>, &[SettingId], &str)] = &[
    (
        Some(Condition::Airborne),
        &[SettingId::AirGroundActive],
        "Never force the airborne state while the unit radiates on an airfield; what cannot be coupled or shielded is \
         captured in flight. Airborne messages from the surface are a fault in themselves, and have led to a \
         resolution advisory in an airliner (press report of 2017).",
    ),
    (
        Some(Condition::WithoutGroundInput),
        &[SettingId::AirGroundKind],
        "A unit without an air/ground input sends airborne messages on the ground too: couple or shield it before it \
         leaves standby.",
    ),
    (None, &[], "Couple the unit directly, or shield its antenna and attenuate: a hangar is not a shield."),
    (
        None,
        &[],
        "Tell air traffic control when, how long, at which altitudes, and with which identification and code. Go to \
         standby between steps; switch off when done.",
    ),
    (
        None,
        &[SettingId::VfrModeACode],
        "Mode A code: in Europe 7776, or one agreed with air traffic control; elsewhere as air traffic control says. \
         Never 7500, 7600, 7700, 7777 or 0000; in the United States nothing from 7600 to 7677 or from 7700 to 7777, so \
         not 7776 either. Do not pass through these codes while setting another.",
    ),
    (
        Some(Condition::Altitudes),
        &[SettingId::AltitudeSourceKind],
        "Stay within the limits of the altimeter and the static system: not above the highest altitude that they may \
         be taken to, and no faster than the instruments allow.",
    ),
    (
        Some(Condition::Interrogated),
        &[],
        "Interrogate with a test set on a direct coupling only, by people who are rated for it.",
    ),
];
