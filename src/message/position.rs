//! The position word, which all position messages share: written from degrees and shown as arithmetic.

use crate::code::compact_position::{Grid, Position, Word};
use crate::code::table::{Derived, Wanted};
use crate::code::{
    Bits, CodeError, Meaning, MeaningKind, TypeCode, Value, Version, navigation_integrity, number, position_steps,
    position_uncertainty, vertical_protection_limit,
};

/// What a position message says of its integrity, as far as it does not depend on what another message says.
pub(super) fn integrity(type_code: TypeCode, supplement_b: Option<u8>, version: Version) -> Option<Meaning> {
    let (nic, _) = navigation_integrity(type_code.number(), None, supplement_b, None, version)?;
    // The supplement stands above the type code: 0, 1, or 2 where it is not known.
    let code = u64::from(supplement_b.unwrap_or(2)) << TypeCode::WIDTH | type_code.bits();
    Some(Meaning::written(Value::Integer(nic.into()), code, version, |code, version, f| {
        let type_code = TypeCode::from_bits(code).number();
        let supplement_b = Some((code >> TypeCode::WIDTH) as u8).filter(|supplement| *supplement < 2);
        let Some((nic, radius)) = navigation_integrity(type_code, None, supplement_b, None, version) else {
            return Ok(());
        };
        let vertical = vertical_protection_limit(type_code, nic, version);
        write!(f, "{nic}, radius of containment {radius}{vertical}")
    }))
}

/// What the type code says of the uncertainty in version 0.
pub(super) fn uncertainty(type_code: TypeCode, version: Version) -> Option<Meaning> {
    if version == Version::Zero { position_uncertainty(type_code.number()) } else { None }
}

/// A message with a position word.
pub trait Carries: Sized {
    /// Which grid the word is counted on.
    const GRID: Grid;
    /// Takes the fields out of the bits.
    ///
    /// ```
    /// use squitterlab::message::{AirbornePosition, position::Carries};
    /// fn word_of<M: Carries>(bits: u64) -> squitterlab::cpr::Word { M::from_bits(bits).word() }
    /// assert!(!word_of::<AirbornePosition>(0x58C382D690C8AC).odd);
    /// ```
    fn from_bits(bits: u64) -> Self;
    /// The bits with another place; the format stays as it is.
    ///
    /// ```
    /// use squitterlab::cpr::Word;
    /// use squitterlab::message::{AirbornePosition, position::Carries};
    /// let message = AirbornePosition::from_bits(0x58C382D690C8AC);
    /// let word = Word { latitude: 1, ..Carries::word(&message) };
    /// assert_eq!(Carries::word(&AirbornePosition::from_bits(message.with_word(word))), word);
    /// ```
    fn with_word(self, word: Word) -> u64;
    /// The position word.
    ///
    /// ```
    /// use squitterlab::message::{AirbornePosition, position::Carries};
    /// // The handbook's example: latitude 93 000, longitude 51 372 of 131 072.
    /// let word = Carries::word(&AirbornePosition::from_bits(0x58C382D690C8AC));
    /// assert_eq!((word.latitude, word.longitude), (93_000, 51_372));
    /// ```
    fn word(&self) -> Word;
}

/// Says which rows of a message are its position word; every message names them alike.
macro_rules! carries {
    ($message:ty, $grid:ident) => {
        impl $crate::message::position::Carries for $message {
            const GRID: $crate::code::compact_position::Grid = $crate::code::compact_position::Grid::$grid;
            fn from_bits(bits: u64) -> Self {
                Self::from_bits(bits)
            }
            fn with_word(self, word: $crate::code::compact_position::Word) -> u64 {
                use $crate::code::Bits;
                Self {
                    cpr_latitude: Bits::from_bits(word.latitude.into()),
                    cpr_longitude: Bits::from_bits(word.longitude.into()),
                    ..self
                }
                .bits()
            }
            fn word(&self) -> $crate::code::compact_position::Word {
                use $crate::code::{Bits, CprFormat};
                $crate::code::compact_position::Word {
                    odd: self.cpr_format == CprFormat::ODD,
                    latitude: self.cpr_latitude.bits() as u32,
                    longitude: self.cpr_longitude.bits() as u32,
                }
            }
        }
    };
}
pub(super) use carries;

/// The position that is wanted.
fn position(wanted: &Wanted<'_>) -> Result<Position, CodeError> {
    let degrees = |field: &str, most: f64| {
        let given = wanted.get(field).ok_or_else(|| {
            CodeError::Refused("latitude_deg and longitude_deg go together; one is missing".to_owned())
        })?;
        let degrees = number(given)?;
        if degrees.abs() > most { Err(CodeError::out_of_range(given, -most, most, " deg")) } else { Ok(degrees) }
    };
    Ok(Position { latitude_deg: degrees("latitude_deg", 90.0)?, longitude_deg: degrees("longitude_deg", 180.0)? })
}

/// What a receiver near the position makes of the message, on the wanted side of the antimeridian.
fn sent<M: Carries>(wanted: &Wanted<'_>, pattern: u128) -> Option<Position> {
    let near = position(wanted).ok()?;
    let found = M::from_bits(pattern as u64).word().local(near, M::GRID);
    let turns = ((near.longitude_deg - found.longitude_deg) / 360.0).round();
    Some(Position { longitude_deg: found.longitude_deg + 360.0 * turns, ..found })
}

fn degrees(degrees: f64) -> Meaning {
    Meaning::new(Value::decimal(degrees, 6), "")
}

fn write<M: Carries>(wanted: &Wanted<'_>, pattern: u128) -> Result<u128, CodeError> {
    let position = position(wanted)?;
    let message = M::from_bits(pattern as u64);
    let word = Word::of(position, message.word().odd, M::GRID);
    Ok(message.with_word(word).into())
}

/// Latitude, which can be set, and is read from more than one message only.
pub(super) const fn latitude<M: Carries>() -> Derived {
    Derived::new(
        "latitude_deg",
        "Latitude; with longitude_deg and cpr_format it gives the position word",
        MeaningKind::Decimal,
        |_, _| None,
    )
    .written(write::<M>)
    .sent_as(|wanted, pattern| sent::<M>(wanted, pattern).map(|position| degrees(position.latitude_deg)))
    .shown(|pattern, _| position_steps::alone(M::from_bits(pattern as u64).word(), M::GRID))
    .shown_back(|wanted, pattern| {
        let odd = M::from_bits(pattern as u64).word().odd;
        position(wanted).map_or_else(|_| Vec::new(), |position| position_steps::written(position, odd, M::GRID))
    })
}

/// Longitude, the same way.
pub(super) const fn longitude<M: Carries>() -> Derived {
    Derived::new(
        "longitude_deg",
        "Longitude; with latitude_deg and cpr_format it gives the position word",
        MeaningKind::Decimal,
        |_, _| None,
    )
    .written(write::<M>)
    .sent_as(|wanted, pattern| sent::<M>(wanted, pattern).map(|position| degrees(position.longitude_deg)))
}
