//! Airborne position: type codes 9 to 18 (pressure altitude) and 20 to 22 (geometric height), register 0,5.

use super::position;
use crate::code::compact_position::{Grid, Position, Word};
use crate::code::table::{Derived, Wanted, table};
use crate::code::{
    Altitude12, Bits, Code, CodeError, CprFormat, Flag, Meaning, MeaningKind, Number, Step, SurveillanceStatus,
    TypeCode, Version, Wording,
};

table! {
    /// Where the aircraft is in the air: type codes 9 to 18 and 20 to 22.
    AirbornePosition: u64, 56 bits = "airborne_position", "airborne position",
    when "type codes 9 to 18 (pressure altitude) and 20 to 22 (geometric height)",
    template 11 << 51;
    1..=5 type_code: TypeCode => "type_code", "Type code: radius of containment and kind of altitude", "D192 H3 H7";
    6..=7 surveillance_status: SurveillanceStatus => "surveillance_status", "Alert or ident", "A3-64 H3 AX";
    8..=8 antenna_or_nic_supplement_b: Flag, "Versions 0 and 1: single antenna flag; version 2: NIC supplement B", "D201 A3-64 H3 H7";
    9..=20 altitude: Altitude12, "Altitude: pressure altitude for type codes 9 to 18, geometric height for 20 to 22", "A3-64 H3";
    21..=21 utc_synchronised: Flag => "utc_synchronised", "Time bit: the position belongs to a 0.2 s UTC epoch", "A3-64 H3";
    22..=22 cpr_format: CprFormat => "cpr_format", "Even or odd position grid", "A3-64 D202 H3";
    23..=39 cpr_latitude: Number<17> => "cpr_latitude", "Place of the latitude in its cell", "A3-64 H3";
    40..=56 cpr_longitude: Number<17> => "cpr_longitude", "Place of the longitude in its cell", "A3-64 H3";
    derived [
        PRESSURE_ALTITUDE, GEOMETRIC_HEIGHT, SINGLE_ANTENNA, NIC_SUPPLEMENT_B, NUCP, NIC,
        position::latitude::<AirbornePosition>(), position::longitude::<AirbornePosition>(),
    ]
}

impl AirbornePosition {
    /// Type code 11, the position and pressure altitude in it: what an aircraft sends twice a second, in turn on the even
    /// and the odd grid.
    ///
    /// ```
    /// use squitterlab::{code::CprFormat, cpr::{Grid, Position}, message::AirbornePosition};
    /// let here = Position { latitude_deg: 52.2572, longitude_deg: 3.91937 };
    /// let message = AirbornePosition::new(here, 38_000.0, CprFormat::EVEN).unwrap();
    /// assert_eq!(message.pressure_altitude_ft(), Some(38_000));
    /// assert!(message.position_near(here).distance_nm(here) < 0.01);
    /// ```
    ///
    /// # Errors
    /// [`CodeError`] for an altitude without a code, or a latitude beyond a pole.
    pub fn new(position: Position, pressure_altitude_ft: f64, format: CprFormat) -> Result<Self, CodeError> {
        let word = Word::encode(position, format == CprFormat::ODD, Grid::Airborne)?;
        let altitude = Altitude12::from_feet(pressure_altitude_ft, 25)?;
        let empty = Self { altitude, cpr_format: format, ..Self::from_bits(Self::TABLE.template as u64) };
        Ok(Self::from_bits(position::Carries::with_word(empty, word)))
    }

    /// The position, if the aircraft is within 180 NM of a reference.
    ///
    /// ```
    /// use squitterlab::{cpr::Position, message::AirbornePosition};
    /// let message = AirbornePosition::from_bits(0x58C382D690C8AC);
    /// let found = message.position_near(Position { latitude_deg: 52.0, longitude_deg: 4.0 });
    /// assert!((found.latitude_deg - 52.2572).abs() < 1e-4 && (found.longitude_deg - 3.91937).abs() < 1e-4);
    /// ```
    pub fn position_near(&self, reference: Position) -> Position {
        position::Carries::word(self).local(reference, Grid::Airborne)
    }

    /// The position on this message's grid, for [`cpr::global`](crate::cpr::global) with one of the other grid.
    ///
    /// ```
    /// use squitterlab::{cpr::{Grid, global}, message::AirbornePosition};
    /// // Handbook, ADS-B part, chapter 3: an even and an odd message, the even one newer.
    /// let [odd, even] = [0x58C386435CC412, 0x58C382D690C8AC].map(|bits| AirbornePosition::from_bits(bits).word());
    /// let found = global(odd, even, Grid::Airborne, None).unwrap().position;
    /// assert!((found.latitude_deg - 52.2572).abs() < 1e-4 && (found.longitude_deg - 3.91937).abs() < 1e-4);
    /// ```
    pub fn word(&self) -> Word {
        position::Carries::word(self)
    }

    /// Pressure altitude in feet, type codes 9 to 18; `None` for no data and for geometric height.
    ///
    /// ```
    /// use squitterlab::message::AirbornePosition;
    /// assert_eq!(AirbornePosition::from_bits(0x58C382D690C8AC).pressure_altitude_ft(), Some(38_000));
    /// ```
    pub fn pressure_altitude_ft(&self) -> Option<i32> {
        self.altitude.feet().filter(|_| !self.is_geometric())
    }

    /// Height above the ellipsoid in feet, type codes 20 to 22; `None` for no data and for pressure altitude.
    ///
    /// ```
    /// use squitterlab::message::AirbornePosition;
    /// assert_eq!(AirbornePosition::from_bits(0xA0C382D690C8AC).geometric_height_ft(), Some(38_000));
    /// assert_eq!(AirbornePosition::from_bits(0x58C382D690C8AC).geometric_height_ft(), None);
    /// ```
    pub fn geometric_height_ft(&self) -> Option<i32> {
        self.altitude.feet().filter(|_| self.is_geometric())
    }

    /// Whether the altitude is geometric height.
    ///
    /// ```
    /// use squitterlab::message::AirbornePosition;
    /// assert!(AirbornePosition::from_bits(0xA0C382D690C8AC).is_geometric());
    /// ```
    pub fn is_geometric(&self) -> bool {
        matches!(self.type_code.number(), 20..=22)
    }
}

fn read(pattern: u128) -> AirbornePosition {
    AirbornePosition::from_bits(pattern as u64)
}

fn write_altitude(wanted: Option<&str>, geometric: bool, pattern: u128) -> Result<u128, CodeError> {
    if read(pattern).is_geometric() != geometric {
        let why = "with this type code the message says nothing of it; leave it out, or give another type_code";
        return Err(CodeError::Refused(why.to_owned()));
    }
    let altitude = Altitude12::from_meaning(wanted.unwrap_or_default(), Version::Two)?;
    Ok(AirbornePosition { altitude, ..read(pattern) }.bits().into())
}

pub(super) const PRESSURE_ALTITUDE: Derived = Derived::new(
    "pressure_altitude_ft",
    "Altitude on 1013.25 hPa, type codes 9 to 18",
    MeaningKind::Integer,
    |pattern, version| (!read(pattern).is_geometric()).then(|| read(pattern).altitude.meaning(version)),
)
.written(|wanted, pattern| write_altitude(wanted.get("pressure_altitude_ft"), false, pattern))
.shown_back(|wanted, pattern| altitude_back(wanted, "pressure_altitude_ft", pattern));

fn altitude_back(wanted: &Wanted<'_>, field: &str, pattern: u128) -> Vec<Step> {
    read(pattern).altitude.steps_to(wanted.get(field).unwrap_or_default(), wanted.version)
}

pub(super) const GEOMETRIC_HEIGHT: Derived = Derived::new(
    "geometric_height_ft",
    "Height above the ellipsoid, type codes 20 to 22 (coded in feet like pressure altitude: from memory)",
    MeaningKind::Integer,
    |pattern, version| {
        let message = read(pattern);
        message.is_geometric().then(|| {
            let text = Wording::written(message.altitude.bits(), version, |code, version, f| {
                let words = Altitude12::from_bits(code).meaning(version).text;
                write!(f, "{words}; coding from memory, 12 bits {code:012b}")
            });
            Meaning { text, ..message.altitude.meaning(version) }
        })
    },
)
.written(|wanted, pattern| write_altitude(wanted.get("geometric_height_ft"), true, pattern))
.shown_back(|wanted, pattern| altitude_back(wanted, "geometric_height_ft", pattern));

const SINGLE_ANTENNA: Derived =
    Derived::new("single_antenna", "One antenna only (sense from memory)", MeaningKind::Flag, |pattern, version| {
        (version < Version::Two).then(|| read(pattern).antenna_or_nic_supplement_b.meaning(version))
    })
    .varying();

const NIC_SUPPLEMENT_B: Derived =
    Derived::new("nic_supplement_b", "NIC supplement B", MeaningKind::Integer, |pattern, version| {
        (version >= Version::Two).then(|| read(pattern).antenna_or_nic_supplement_b.as_number())
    })
    .varying()
    .written(|wanted, pattern| {
        let supplement = Flag::from_meaning(wanted.get("nic_supplement_b").unwrap_or_default(), Version::Two)?;
        Ok(AirbornePosition { antenna_or_nic_supplement_b: supplement, ..read(pattern) }.bits().into())
    });

const NUCP: Derived =
    Derived::new("nucp", "Navigation uncertainty category (version 0)", MeaningKind::Integer, |pattern, version| {
        position::uncertainty(read(pattern).type_code, version)
    })
    .varying();

const NIC: Derived = Derived::new(
    "nic",
    "Navigation integrity category, where it does not depend on supplement A of the operational status",
    MeaningKind::Integer,
    |pattern, version| {
        let message = read(pattern);
        let supplement_b = (version >= Version::Two).then(|| message.antenna_or_nic_supplement_b.bits() as u8);
        position::integrity(message.type_code, supplement_b, version)
    },
)
.varying();

/// The same for a ground station's message, in which bit 8 has another use.
pub(super) const NIC_WITHOUT_B: Derived = Derived::new(
    "nic",
    "Navigation integrity category, where it does not depend on a supplement",
    MeaningKind::Integer,
    |pattern, version| position::integrity(read(pattern).type_code, None, version),
)
.varying();

position::carries!(AirbornePosition, Airborne);
