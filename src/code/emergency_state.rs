//! Emergency or priority state (type code 28, subtype 1).

use super::enumeration::{Entry, Shown, from_meaning, meaning, not_one_of};
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

/// Version 0 ends the list at 5 (Annex 10 III, Amendment 77).
fn known(version: Version) -> &'static [Entry] {
    if version == Version::Zero { &LIST[..6] } else { LIST }
}

impl Code for EmergencyState {
    const RULE: &'static str = "a number in a list; 6 is reserved in version 0";

    fn meaning(self, version: Version) -> Meaning {
        meaning(known(version), self.bits(), Shown::AsNumber)
    }

    fn from_meaning(wanted: &str, version: Version) -> Result<Self, CodeError> {
        let known = known(version);
        from_meaning(known, wanted).and_then(|code: Self| {
            let assigned = known.iter().any(|(number, ..)| *number == code.bits());
            assigned.then_some(code).ok_or_else(|| not_one_of(known, wanted))
        })
    }
}
