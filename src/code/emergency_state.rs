//! Emergency or priority state (type code 28, subtype 1).

use super::enumeration::{Entry, Shown, from_meaning, meaning};
use super::{Bits, Code, CodeError, Meaning, Version, bits};

bits! {
    /// Emergency or priority state.
    EmergencyState(u8: 3)
}

const LIST: &[Entry] = &[
    (0, "no_emergency", "no emergency"),
    (1, "general_emergency", "general emergency"),
    (2, "medical", "lifeguard or medical"),
    (3, "minimum_fuel", "minimum fuel"),
    (4, "no_communications", "no communications"),
    (5, "unlawful_interference", "unlawful interference"),
    (6, "downed_aircraft", "downed aircraft"),
    (7, "reserved", "reserved"),
];

impl EmergencyState {
    /// No emergency.
    pub const NONE: Self = Self(0);
}

impl Code for EmergencyState {
    const RULE: &'static str = "a number in a list; 6 is reserved in version 0";

    fn meaning(self, version: Version) -> Meaning {
        // Version 0 ends the list at 5 (Annex 10 III, Amendment 77).
        let known = if version == Version::Zero { &LIST[..6] } else { LIST };
        meaning(known, self.bits(), Shown::AsNumber)
    }

    fn from_meaning(wanted: &str, _version: Version) -> Result<Self, CodeError> {
        from_meaning(LIST, wanted)
    }
}
