//! Emergency or priority state (type code 28, subtype 1), which is read by version: 2, 6 and 7 changed.

use super::enumeration::{Entry, Shown, from_meaning, meaning, not_one_of};
use super::{Bits, Code, CodeError, Meaning, MeaningKind, Version, bits};

bits! {
    /// Emergency or priority state.
    EmergencyState(u8: 3)
}

const NO_EMERGENCY: Entry = (0, "no_emergency", "no emergency");
const GENERAL: Entry = (1, "general_emergency", "general emergency");
const MEDICAL: Entry = (2, "medical", "lifeguard or medical");
const MINIMUM_FUEL: Entry = (3, "minimum_fuel", "minimum fuel");
const NO_COMMUNICATIONS: Entry = (4, "no_communications", "no communications");
const UNLAWFUL: Entry = (5, "unlawful_interference", "unlawful interference");
const DOWNED: Entry = (6, "downed_aircraft", "downed aircraft");
const RESERVED: Entry = (7, "reserved", "reserved");

/// Version 0 ends the list at 5 (Annex 10 III, Amendment 77).
const VERSION_0: &[Entry] = &[NO_EMERGENCY, GENERAL, MEDICAL, MINIMUM_FUEL, NO_COMMUNICATIONS, UNLAWFUL];
const VERSIONS_1_2: &[Entry] =
    &[NO_EMERGENCY, GENERAL, MEDICAL, MINIMUM_FUEL, NO_COMMUNICATIONS, UNLAWFUL, DOWNED, RESERVED];
const VERSION_3: &[Entry] = &[
    NO_EMERGENCY,
    GENERAL,
    (2, "unmanned_lost_link", "unmanned aircraft, lost link"),
    MINIMUM_FUEL,
    NO_COMMUNICATIONS,
    UNLAWFUL,
    (6, "distress_automatic", "aircraft in distress, set off automatically"),
    (7, "distress_manual", "aircraft in distress, set off by hand"),
];

impl EmergencyState {
    /// No emergency.
    pub const NONE: Self = Self(0);
}

const fn known(version: Version) -> &'static [Entry] {
    match version {
        Version::Zero => VERSION_0,
        Version::One | Version::Two => VERSIONS_1_2,
        Version::Three => VERSION_3,
    }
}

impl Code for EmergencyState {
    const RULE: &'static str = "a number in a list; 2, 6 and 7 depend on the version";
    const KIND: MeaningKind = MeaningKind::Integer;
    const VARIES: bool = true;

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
