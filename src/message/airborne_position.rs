//! Airborne position: type codes 9 to 18 (pressure altitude) and 20 to 22 (geometric height), register 0,5.

use super::position;
use crate::code::table::{Derived, table};
use crate::code::{
    Altitude12, Bits, Code, CodeError, CprFormat, Flag, Meaning, Number, SurveillanceStatus, TypeCode, Version, Words,
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
    /// Whether the altitude is geometric height.
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

pub(super) const PRESSURE_ALTITUDE: Derived =
    Derived::new("pressure_altitude_ft", "Altitude on 1013.25 hPa, type codes 9 to 18", |pattern, version| {
        (!read(pattern).is_geometric()).then(|| read(pattern).altitude.meaning(version))
    })
    .written(|wanted, pattern| write_altitude(wanted.get("pressure_altitude_ft"), false, pattern));

pub(super) const GEOMETRIC_HEIGHT: Derived = Derived::new(
    "geometric_height_ft",
    "Height above the ellipsoid, type codes 20 to 22 (coded in feet like pressure altitude: from memory)",
    |pattern, version| {
        let message = read(pattern);
        message.is_geometric().then(|| {
            let text = Words::later([message.altitude.bits() as f64, 0.0], "", |[code, _], _| {
                let code = Altitude12::from_bits(code as u64);
                format!("{}; coding from memory, 12 bits {:012b}", code.meaning(Version::Two).text, code.bits())
            });
            Meaning { text, ..message.altitude.meaning(version) }
        })
    },
)
.written(|wanted, pattern| write_altitude(wanted.get("geometric_height_ft"), true, pattern));

const SINGLE_ANTENNA: Derived =
    Derived::new("single_antenna", "One antenna only (sense from memory)", |pattern, version| {
        (version < Version::Two).then(|| read(pattern).antenna_or_nic_supplement_b.meaning(version))
    });

const NIC_SUPPLEMENT_B: Derived = Derived::new("nic_supplement_b", "NIC supplement B", |pattern, version| {
    (version >= Version::Two).then(|| read(pattern).antenna_or_nic_supplement_b.as_number())
})
.written(|wanted, pattern| {
    let supplement = Flag::from_meaning(wanted.get("nic_supplement_b").unwrap_or_default(), Version::Two)?;
    Ok(AirbornePosition { antenna_or_nic_supplement_b: supplement, ..read(pattern) }.bits().into())
});

const NUCP: Derived = Derived::new("nucp", "Navigation uncertainty category (version 0)", |pattern, version| {
    position::uncertainty(read(pattern).type_code, version)
});

const NIC: Derived = Derived::new(
    "nic",
    "Navigation integrity category, where it does not hang on supplement A of the operational status",
    |pattern, version| {
        let message = read(pattern);
        let supplement_b = (version >= Version::Two).then(|| message.antenna_or_nic_supplement_b.bits() as u8);
        position::integrity(message.type_code, supplement_b, version)
    },
);

/// The same for a ground station's message, in which bit 8 has another use.
pub(super) const NIC_WITHOUT_B: Derived =
    Derived::new("nic", "Navigation integrity category, where it does not hang on a supplement", |pattern, version| {
        position::integrity(read(pattern).type_code, None, version)
    });

position::carries!(AirbornePosition, Airborne);
