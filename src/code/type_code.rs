//! Type code, CPR format and version number: which kind of message it is.

use super::enumeration::enumeration;
use super::{
    Bits, Code, CodeError, Meaning, MeaningKind, Step, Value, Version, bits, integrity_rows, position_uncertainty,
};

bits! {
    /// The first five bits of a squitter's message field.
    #[doc(alias = "TC")]
    TypeCode(u8: 5)
}

impl TypeCode {
    /// The type code with this number; upper bits are dropped.
    pub(crate) const fn new(number: u8) -> Self {
        Self(number & 31)
    }

    /// The number.
    ///
    /// ```
    /// use squitterlab::code::{Bits, TypeCode};
    /// assert_eq!(TypeCode::from_bits(11).number(), 11);
    /// ```
    pub const fn number(self) -> u8 {
        self.0
    }
}

impl Code for TypeCode {
    const RULE: &'static str = "the kind of message, and for positions the radius of containment";
    const KIND: MeaningKind = MeaningKind::Integer;

    fn meaning(self, version: Version) -> Meaning {
        Meaning::written(Value::Integer(self.0.into()), self.0.into(), version, |code, version, f| {
            write!(f, "{code}, {}", Self(code as u8).words(version))
        })
    }

    fn from_meaning(wanted: &str, version: Version) -> Result<Self, CodeError> {
        super::Number::<5>::from_meaning(wanted, version).map(|n| Self(n.bits() as u8))
    }

    /// From the type code of a position to its radius.
    fn steps(self, version: Version) -> Vec<Step> {
        if version == Version::Zero {
            let says = position_uncertainty(self.0).map(|meaning| {
                Step::new("", format!("NUCp {}", meaning.text))
                    .explained(format!("version 0: type code {} alone says", self.0))
            });
            return says.into_iter().collect();
        }
        let rows = integrity_rows(version).into_iter().filter(|row| row.type_code == self.0);
        let rows = rows.map(|row| {
            let with = if row.supplements.is_empty() { String::new() } else { format!(" with {}", row.supplements) };
            Step::new("", format!("NIC {}, radius of containment {}", row.nic, row.radius))
                .explained(format!("type code {}{with}", self.0))
        });
        let mut steps: Vec<Step> = rows.collect();
        if steps.len() > 1 {
            steps.push(Step::note(match version {
                Version::One => "which line holds depends on the supplement, which is in the operational status",
                _ => "which line holds depends on the supplements: A and C are in the operational status, B in the airborne position",
            }));
        }
        steps
    }
}

impl TypeCode {
    const fn words(self, version: Version) -> &'static str {
        match (self.0, version) {
            (0, _) => "no position",
            (1, _) => "identification, category set D",
            (2, _) => "identification, category set C",
            (3, _) => "identification, category set B",
            (4, _) => "identification, category set A",
            (5..=8, _) => "surface position",
            (9..=18, _) => "airborne position, pressure altitude",
            (19, _) => "airborne velocity",
            (20..=22, _) => "airborne position, geometric height",
            (23, _) => "test message",
            (24, Version::Zero | Version::Two | Version::Three) => "surface system status (from memory)",
            (28, _) => "aircraft status",
            (29, Version::Zero) => "trajectory change point",
            (29, _) => "target state and status",
            (30, Version::Zero) => "operational coordination",
            (31, _) => "operational status",
            _ => "reserved",
        }
    }
}

enumeration! {
    /// Which of the two grids the position is counted on.
    CprFormat(u8: 1) AsText,
    0 = "even", "even";
    1 = "odd", "odd";
}

impl CprFormat {
    /// The even grid.
    pub const EVEN: Self = Self(0);
    /// The odd grid.
    pub const ODD: Self = Self(1);
}

bits! {
    /// Version of the standard that the unit sends.
    VersionNumber(u8: 3)
}

impl VersionNumber {
    /// The version as a number on the air; upper bits are dropped.
    pub(crate) const fn new(number: u8) -> Self {
        Self(number & 7)
    }
}

impl Code for VersionNumber {
    const RULE: &'static str = "0 DO-260, 1 DO-260A, 2 DO-260B, 3 DO-260C";
    const KIND: MeaningKind = MeaningKind::Integer;

    fn meaning(self, _version: Version) -> Meaning {
        let text = match self.0 {
            0 => "0, DO-260",
            1 => "1, DO-260A",
            2 => "2, DO-260B",
            3 => "3, DO-260C",
            _ => "version not supported: no source is held for it",
        };
        Meaning::new(Value::Integer(self.0.into()), text)
    }

    fn from_meaning(wanted: &str, version: Version) -> Result<Self, CodeError> {
        super::Number::<3>::from_meaning(wanted, version).map(|n| Self(n.bits() as u8))
    }
}
