//! Aircraft identification and category: type codes 1 to 4, register 0,8.

use crate::code::table::{Derived, table};
use crate::code::{Bits, CategoryCode, EmitterCategory, Identification, MeaningKind, TypeCode};

table! {
    /// Who the aircraft is and what kind: type codes 1 to 4.
    AircraftIdentification: u64, 56 bits = "aircraft_identification", "aircraft identification",
    when "type codes 1 to 4",
    template 4 << 51;
    1..=5 type_code: TypeCode => "type_code", "Type code: 4, 3, 2, 1 for category sets A, B, C, D", "D250 H2";
    6..=8 category: CategoryCode, "Emitter category within the set", "D250 H2";
    9..=56 characters: Identification => "aircraft_identification", "Eight characters of six bits", "D250 H2";
    derived [EMITTER_CATEGORY]
}

impl AircraftIdentification {
    /// The message of an aircraft of this category and identification.
    ///
    /// ```
    /// use squitterlab::message::AircraftIdentification;
    /// let message = AircraftIdentification::new("A3".parse().unwrap(), "KLM1023".parse().unwrap());
    /// assert_eq!(message.emitter_category().unwrap().to_string(), "A3");
    /// assert_eq!(message.characters.to_string(), "KLM1023");
    /// ```
    pub fn new(category: EmitterCategory, identification: Identification) -> Self {
        Self { type_code: TypeCode::new(category.type_code()), category: category.code(), characters: identification }
    }

    /// Set and number together; none only where the type code is not 1 to 4.
    ///
    /// ```
    /// use squitterlab::message::AircraftIdentification;
    /// let message = AircraftIdentification::from_bits(0x202CC371C32CE0);
    /// assert_eq!(message.emitter_category().unwrap().to_string(), "A0");
    /// ```
    pub fn emitter_category(&self) -> Option<EmitterCategory> {
        EmitterCategory::new(self.type_code.number(), self.category)
    }
}

const EMITTER_CATEGORY: Derived = Derived::new(
    "emitter_category",
    "Category set (from the type code) and number",
    MeaningKind::Text,
    |pattern, version| {
        AircraftIdentification::from_bits(pattern as u64).emitter_category().map(|category| category.meaning(version))
    },
)
.written(|wanted, pattern| {
    let category: EmitterCategory = wanted.get("emitter_category").unwrap_or_default().parse()?;
    let message = AircraftIdentification {
        type_code: TypeCode::from_bits(category.type_code().into()),
        category: category.code(),
        ..AircraftIdentification::from_bits(pattern as u64)
    };
    Ok(message.bits().into())
});
