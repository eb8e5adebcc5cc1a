//! The intent change flag of the airborne velocity message, which version 3 no longer uses.

use super::{Bits, Code, CodeError, Flag, Meaning, MeaningKind, Version, bits};

bits! {
    /// One bit that says that an intent register changed.
    IntentChange(u8: 1)
}

impl Code for IntentChange {
    const RULE: &'static str = "1 yes, 0 no; version 3 does not use it and sends 0";
    const KIND: MeaningKind = MeaningKind::Flag;
    const VARIES: bool = true;

    fn meaning(self, version: Version) -> Meaning {
        if version >= Version::Three && self.0 == 1 {
            return Meaning::none("not used in version 3, which sends 0");
        }
        Flag::new(self.0 == 1).meaning(version)
    }

    fn from_meaning(wanted: &str, version: Version) -> Result<Self, CodeError> {
        Flag::from_meaning(wanted, version).map(|flag| Self::from_bits(flag.bits()))
    }
}
