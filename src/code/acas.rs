//! Resolution advisory reports: register 3,0, and the broadcast of type code 28, subtype 2, which holds the same in the
//! same bits 9 to 56 (handbook, Mode S part, chapters 4 and 6; Annex 10 Volume IV, 4.3.8.4.2).
//!
//! Every function takes the 56 bits and looks at bits 9 to 56 only. The reading is that of the handbook's tables; it says
//! itself that equipment of TCAS version 7.0 does not follow it.

use super::enumeration::enumeration;
use super::table::Derived;
use super::{
    Altitude13, Bits, Code, CodeError, Linear, Meaning, MeaningKind, Step, Text, Value, Version, bits_step, decimals,
    is_no_data, number,
};
use crate::frame::{Address, Span};
use std::fmt::{self, Formatter};

enumeration! {
    /// How the threat is identified (bits 29 and 30).
    ThreatKind(u8: 2) AsText,
    0 = "none", "no identity";
    1 = "address", "aircraft address";
    2 = "altitude_range_bearing", "altitude, range and bearing";
    3 = "not_assigned", "not assigned";
}

impl ThreatKind {
    const ADDRESS: Self = Self(1);
    const PLACE: Self = Self(2);
}

/// Who the threat is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Threat {
    /// The report does not say.
    None,
    /// A Mode S aircraft.
    Address(Address),
    /// An aircraft without Mode S: where it is. The bearing is the middle of six degrees, from the own heading.
    Place {
        /// Its altitude code.
        altitude: Altitude13,
        /// Its range code, 7 bits.
        range: u8,
        /// Its bearing code, 6 bits.
        bearing: u8,
    },
    /// A kind that nobody assigned.
    NotAssigned,
}

const fn flag(report: u64, bit: u8) -> bool {
    report >> (56 - bit) & 1 == 1
}

const fn part(report: u64, first: u8, last: u8) -> u64 {
    Span::new(first, last).of(report as u128, 56)
}

/// Which of its readings the advisory has: bits 9 and 28 together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Encounter {
    /// No advisory.
    None,
    /// One threat.
    One,
    /// Several threats, and one sense for all.
    SeveralOneSense,
    /// Several threats, some to be passed above and some below.
    SeveralMixed,
}

/// How many threats, and whether one sense serves them all.
pub(crate) const fn encounter(report: u64) -> Encounter {
    match (flag(report, 9), flag(report, 28)) {
        (false, false) => Encounter::None,
        (true, false) => Encounter::One,
        (true, true) => Encounter::SeveralOneSense,
        (false, true) => Encounter::SeveralMixed,
    }
}

/// The advisory in words; `None` if there is none.
///
/// ```
/// use squitterlab::code::acas::advisory;
/// // Bits 9, 10 and 14: one threat, corrective, altitude crossing.
/// let report = 1 << (56 - 9) | 1 << (56 - 10) | 1 << (56 - 14);
/// assert_eq!(advisory(report).unwrap(), "one threat: corrective, upward sense, altitude crossing, vertical speed limit");
/// assert_eq!(advisory(0), None);
/// ```
pub fn advisory(report: u64) -> Option<String> {
    (encounter(report) != Encounter::None)
        .then(|| fmt::from_fn(|f| write_advisory(report, Version::Two, f)).to_string())
}

/// The names of the bits that are set.
fn set_bits<'a>(report: u64, names: &'a [(u8, &'static str)]) -> impl Iterator<Item = &'static str> + 'a {
    names.iter().filter(move |(bit, _)| flag(report, *bit)).map(|(_, name)| *name)
}

fn write_list(f: &mut Formatter<'_>, words: impl Iterator<Item = &'static str>) -> fmt::Result {
    for (at, word) in words.enumerate() {
        f.write_str(if at == 0 { "" } else { ", " })?;
        f.write_str(word)?;
    }
    Ok(())
}

fn write_advisory(report: u64, _version: Version, f: &mut Formatter<'_>) -> fmt::Result {
    const MIXED: &[(u8, &str)] = &[
        (10, "correction upward"),
        (11, "positive climb"),
        (12, "correction downward"),
        (13, "positive descent"),
        (14, "altitude crossing"),
        (15, "sense reversal"),
    ];
    const SINGLE: &[(u8, &str)] = &[(12, "increased rate"), (13, "sense reversal"), (14, "altitude crossing")];
    let either = |bit, yes, no| if flag(report, bit) { yes } else { no };
    match encounter(report) {
        Encounter::None => return f.write_str("no advisory"),
        Encounter::SeveralMixed => {
            f.write_str("several threats, some above and some below: ")?;
            let none = set_bits(report, MIXED).next().is_none().then_some("no correction");
            write_list(f, set_bits(report, MIXED).chain(none))?;
        }
        single => {
            f.write_str(if single == Encounter::One { "one threat: " } else { "several threats, one sense: " })?;
            let first = [either(10, "corrective", "preventive"), either(11, "downward sense", "upward sense")];
            let last = either(15, "positive", "vertical speed limit");
            write_list(f, first.into_iter().chain(set_bits(report, SINGLE)).chain([last]))?;
        }
    }
    f.write_str(either(27, "; ended", ""))
}

/// The complements that other aircraft sent, in words; `None` if there are none.
///
/// ```
/// use squitterlab::code::acas::complements;
/// // Bit 24 of the report.
/// assert_eq!(complements(1 << (56 - 24)).unwrap(), "do not pass above");
/// assert_eq!(complements(0), None);
/// ```
pub fn complements(report: u64) -> Option<String> {
    has_complements(report).then(|| fmt::from_fn(|f| write_complements(report, Version::Two, f)).to_string())
}

const COMPLEMENT_NAMES: &[(u8, &str)] =
    &[(23, "do not pass below"), (24, "do not pass above"), (25, "do not turn left"), (26, "do not turn right")];

fn has_complements(report: u64) -> bool {
    set_bits(report, COMPLEMENT_NAMES).next().is_some()
}

fn write_complements(report: u64, _version: Version, f: &mut Formatter<'_>) -> fmt::Result {
    write_list(f, set_bits(report, COMPLEMENT_NAMES))
}

/// Who the threat is, by the kind that the report says.
///
/// ```
/// use squitterlab::code::acas::{Threat, threat};
/// // Bits 29 and 30 say that an aircraft address follows, in bits 31 to 54.
/// let report = 1 << (56 - 30) | 0xA5C035 << (56 - 54);
/// assert_eq!(threat(report), Threat::Address("A5C035".parse().unwrap()));
/// ```
pub fn threat(report: u64) -> Threat {
    match part(report, 29, 30) {
        0 => Threat::None,
        1 => Threat::Address(Address::new(part(report, 31, 54) as u32)),
        2 => Threat::Place {
            altitude: Altitude13::from_bits(part(report, 31, 43)),
            range: part(report, 44, 50) as u8,
            bearing: part(report, 51, 56) as u8,
        },
        _ => Threat::NotAssigned,
    }
}

/// Range to the threat in nautical miles; none for "no estimate" and for "beyond the scale".
///
/// ```
/// use squitterlab::code::acas::range_nm;
/// assert_eq!((range_nm(0), range_nm(11), range_nm(127)), (None, Some(1.0), None));
/// ```
pub fn range_nm(code: u8) -> Option<f64> {
    (1..127).contains(&code).then(|| (f64::from(code) - 1.0) / 10.0)
}

/// The middle of the six degrees that a bearing code stands for; none for "no estimate" and for codes not assigned.
///
/// ```
/// use squitterlab::code::acas::bearing_deg;
/// assert_eq!((bearing_deg(0), bearing_deg(1), bearing_deg(60)), (None, Some(3), Some(357)));
/// ```
pub fn bearing_deg(code: u8) -> Option<u16> {
    (1..=60).contains(&code).then(|| 6 * u16::from(code) - 3)
}

/// Text whose words are the same.
fn written(report: u64, version: Version, write: super::WriteWords) -> Meaning {
    Meaning::written(Value::Text(Text::many(report, version, write)), report, version, write)
}

/// The advisory spelled out.
pub const ADVISORY: Derived = Derived::new(
    "resolution_advisory",
    "The advisory spelled out; handbook's reading, not that of TCAS 7.0",
    MeaningKind::Text,
    |pattern, version| {
        let report = pattern as u64;
        Some(match encounter(report) {
            Encounter::None => Meaning::none("no advisory"),
            _ => written(report, version, write_advisory),
        })
    },
);

/// The complements spelled out.
pub const COMPLEMENTS: Derived = Derived::new(
    "complements",
    "What other aircraft's collision avoidance asked not to do",
    MeaningKind::Text,
    |pattern, version| {
        let report = pattern as u64;
        Some(if has_complements(report) { written(report, version, write_complements) } else { Meaning::none("none") })
    },
);

/// The address of a threat of kind 1.
pub const THREAT_ADDRESS: Derived = Derived::new(
    "threat_address",
    "Address of the threat, where the kind is 1",
    MeaningKind::Text,
    |pattern, version| {
        Some(match threat(pattern as u64) {
            Threat::Address(address) => address.meaning(version),
            _ => Meaning::none("not identified by address"),
        })
    },
)
.written(|wanted, pattern| {
    let address = Address::from_meaning(wanted.get("threat_address").unwrap_or_default(), wanted.version)?;
    Ok(with_kind(pattern, ThreatKind::ADDRESS) & !Span::new(31, 56).mask(56) | u128::from(address.bits()) << 2)
});

/// The altitude of a threat of kind 2.
pub const THREAT_ALTITUDE: Derived = Derived::new(
    "threat_altitude_ft",
    "Altitude of the threat, where the kind is 2",
    MeaningKind::Integer,
    |pattern, version| {
        Some(match threat(pattern as u64) {
            Threat::Place { altitude, .. } => altitude.meaning(version),
            _ => Meaning::none("not identified by position"),
        })
    },
)
.written(|wanted, pattern| {
    let code = Altitude13::from_meaning(wanted.get("threat_altitude_ft").unwrap_or_default(), wanted.version)?;
    Ok(placed(pattern, Span::new(31, 43), code.bits()))
})
.shown(|pattern, version| match threat(pattern as u64) {
    Threat::Place { altitude, .. } => altitude.steps(version),
    _ => Vec::new(),
})
.shown_back(|wanted, pattern| match threat(pattern as u64) {
    Threat::Place { altitude, .. } => {
        altitude.steps_to(wanted.get("threat_altitude_ft").unwrap_or_default(), wanted.version)
    }
    _ => Vec::new(),
});

/// Code 1 is 0 NM, and each one after it a tenth of a mile more.
const RANGE: Linear = Linear { first: 1, ..Linear::new(1.0, 10.0, " NM") };

/// Code 1 is the first six degrees, by their middle.
const BEARING: Linear = Linear { first: 1, offset: 3.0, ..Linear::new(6.0, 1.0, " deg") };

/// The bits of a report, and the number that they are.
fn number_in(span: Span, code: u8) -> Step {
    Step::new(format!("{code:0width$b}", width = usize::from(span.width())), code.to_string())
        .explained(format!("message bits {span}"))
}

/// The range of a threat of kind 2.
pub const THREAT_RANGE: Derived = Derived::new(
    "threat_range_nm",
    "Range to the threat, where the kind is 2: n stands for (n - 1)/10 NM; 0 no estimate, 127 above 12.55 NM",
    MeaningKind::Decimal,
    |pattern, version| {
        Some(match threat(pattern as u64) {
            Threat::Place { range, .. } => match range_nm(range) {
                Some(nm) => Meaning::written(Value::decimal(nm, 1), range.into(), version, |range, _, f| {
                    write!(f, "{:.1} NM, give or take 0.05", range_nm(range as u8).unwrap_or_default())
                }),
                None if range == 0 => Meaning::none("no estimate"),
                None => Meaning::past(12.55, "NM"),
            },
            _ => Meaning::none("not identified by position"),
        })
    },
)
.capped()
.written(|wanted, pattern| {
    let given = wanted.get("threat_range_nm").unwrap_or_default();
    let code = if is_no_data(given) {
        0.0
    } else {
        let nm = number(given)?;
        let code = (nm * 10.0).round() + 1.0;
        if !(1.0..=127.0).contains(&code) {
            return Err(CodeError::out_of_range(given, 0, 12.5, " NM"));
        }
        code
    };
    Ok(placed(pattern, RANGE_BITS, code as u64))
})
.shown(|pattern, _| match threat(pattern as u64) {
    Threat::Place { range, .. } if range_nm(range).is_some() => {
        vec![number_in(RANGE_BITS, range), RANGE.read(range.into())]
    }
    _ => Vec::new(),
})
.shown_back(|wanted, pattern| match threat(pattern as u64) {
    Threat::Place { range, .. } => RANGE.back(wanted.get("threat_range_nm"), range.into(), RANGE_BITS.width()),
    _ => Vec::new(),
});

const RANGE_BITS: Span = Span::new(44, 50);
const BEARING_BITS: Span = Span::new(51, 56);

/// The bearing of a threat of kind 2.
pub const THREAT_BEARING: Derived = Derived::new(
    "threat_bearing_deg",
    "Bearing of the threat from the own heading, where the kind is 2: the middle of six degrees; 0 no estimate",
    MeaningKind::Integer,
    |pattern, version| {
        Some(match threat(pattern as u64) {
            Threat::Place { bearing, .. } => match bearing_deg(bearing) {
                Some(deg) => Meaning::written(Value::Integer(deg.into()), deg.into(), version, |deg, _, f| {
                    write!(f, "{} to {} deg", deg - 3, deg + 3)
                }),
                None if bearing == 0 => Meaning::none("no estimate"),
                None => Meaning::none("not assigned"),
            },
            _ => Meaning::none("not identified by position"),
        })
    },
)
.written(|wanted, pattern| {
    let given = wanted.get("threat_bearing_deg").unwrap_or_default();
    let code =
        if is_no_data(given) { 0 } else { (number(given)?.rem_euclid(360.0) / 6.0).floor().min(59.0) as u64 + 1 };
    Ok(placed(pattern, BEARING_BITS, code))
})
.shown(|pattern, _| match threat(pattern as u64) {
    Threat::Place { bearing, .. } if bearing_deg(bearing).is_some() => {
        vec![number_in(BEARING_BITS, bearing), BEARING.read(bearing.into()).explained("the middle of six degrees")]
    }
    _ => Vec::new(),
})
.shown_back(|wanted, pattern| {
    let given = wanted.get("threat_bearing_deg").map(number);
    let (Some(Ok(degrees)), Threat::Place { bearing, .. }) = (given, threat(pattern as u64)) else { return Vec::new() };
    let sector = u64::from(bearing).saturating_sub(1);
    vec![
        Step::new(format!("floor(({} mod 360) / 6)", decimals(degrees, 6)), sector.to_string())
            .explained("how many whole six degrees"),
        Step::new(format!("{sector} + 1"), bearing.to_string()).explained("code 1 is the first six, so the code"),
        bits_step(bearing.into(), BEARING_BITS.width()),
    ]
});

fn with_kind(pattern: u128, kind: ThreatKind) -> u128 {
    pattern & !Span::new(29, 30).mask(56) | u128::from(kind.bits()) << (56 - 30)
}

/// Part of a threat of kind 2; what an address left there is taken away.
fn placed(pattern: u128, span: Span, code: u64) -> u128 {
    let pattern = if part(pattern as u64, 29, 30) == ThreatKind::PLACE.bits() {
        pattern
    } else {
        with_kind(pattern & !Span::new(31, 56).mask(56), ThreatKind::PLACE)
    };
    pattern & !span.mask(56) | u128::from(code) << (56 - span.last) & span.mask(56)
}
