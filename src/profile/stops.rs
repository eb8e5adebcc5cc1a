//! Lists what must be so before a unit is tested, once for every command that leads to a test.

/// A test that somebody is about to make.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Test {
    /// The unit is brought into the airborne state.
    pub airborne: bool,
    /// The unit may have no air/ground input.
    pub without_ground_input: bool,
    /// Altitudes are set on the static system.
    pub altitudes: bool,
    /// The unit is interrogated.
    pub interrogated: bool,
}

impl Test {
    /// A run through altitudes, of a unit that nothing is known of.
    pub const ALTITUDE_RUN: Self =
        Self { airborne: true, without_ground_input: true, altitudes: true, interrogated: true };

    /// What must be so before it begins.
    pub fn stops(self) -> Vec<&'static str> {
        STOPS.iter().filter(|(applies, _)| applies(self)).map(|(_, text)| *text).collect()
    }
}

type Stop = (fn(Test) -> bool, &'static str);

/// Sources: EASA SIB 2011-15 (coupling, air traffic control, standby, code 7776, ground state); AIM 4-1-20 (7500, 7600 to
/// 7677, 7700 to 7777); 0000, and the resolution advisory, from secondary pages.
const STOPS: &[Stop] = &[
    (
        |test| test.airborne,
        "Never force the airborne state while the unit radiates on an airfield; what cannot be coupled or shielded is \
         captured in flight. Airborne messages from the surface are a fault in themselves, and have led to a \
         resolution advisory in an airliner (press report of 2017).",
    ),
    (
        |test| test.without_ground_input,
        "A unit without an air/ground input sends airborne messages on the ground too: couple or shield it before it \
         leaves standby.",
    ),
    (
        |_| true,
        "Couple the unit directly, or shield its antenna and attenuate: a hangar is not a shield.",
    ),
    (
        |_| true,
        "Tell air traffic control when, how long, at which altitudes, and with which identification and code. Go to \
         standby between steps; switch off when done.",
    ),
    (
        |_| true,
        "Mode A code: in Europe 7776, or one agreed with air traffic control; elsewhere as air traffic control says. \
         Never 7500, 7600, 7700, 7777 or 0000; in the United States nothing from 7600 to 7677 or from 7700 to 7777, so \
         not 7776 either. Do not pass through these codes while setting another.",
    ),
    (
        |test| test.altitudes,
        "Stay within the limits of the altimeter and the static system: not above the highest altitude that they may \
         be taken to, and no faster than the instruments allow.",
    ),
    (
        |test| test.interrogated,
        "Interrogate with a test set on a direct coupling only, by people who are rated for it.",
    ),
];
