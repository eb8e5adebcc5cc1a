//! What a resolution advisory report says, over its bits: register 3,0, and the broadcast of type code 28, subtype 2,
//! which holds the same in the same bits 9 to 56 (handbook, Mode S part, chapters 4 and 6; Annex 10 Volume IV, 4.3.8.4.2).
//!
//! Every function takes the 56 bits and looks at bits 9 to 56 only. The reading is that of the handbook's tables; it says
//! itself that equipment of TCAS version 7.0 does not follow it.

use super::enumeration::enumeration;
use super::table::Derived;
use super::{Altitude13, Bits, Code, CodeError, Meaning, Value, is_no_data, number};
use crate::frame::{Address, Span};

enumeration! {
    /// How the threat is told (bits 29 and 30).
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
pub const fn encounter(report: u64) -> Encounter {
    match (flag(report, 9), flag(report, 28)) {
        (false, false) => Encounter::None,
        (true, false) => Encounter::One,
        (true, true) => Encounter::SeveralOneSense,
        (false, true) => Encounter::SeveralMixed,
    }
}

/// The advisory in words; none where there is none.
///
/// ```
/// use squitterlab::code::acas::advisory;
/// // Bits 9, 10 and 14: one threat, corrective, altitude crossing.
/// let report = 1 << (56 - 9) | 1 << (56 - 10) | 1 << (56 - 14);
/// assert_eq!(advisory(report).unwrap(), "one threat: corrective, upward sense, altitude crossing, vertical speed limit");
/// assert_eq!(advisory(0), None);
/// ```
pub fn advisory(report: u64) -> Option<String> {
    let set = |bit| flag(report, bit);
    let mut words: Vec<&str> = Vec::new();
    let who = match encounter(report) {
        Encounter::None => return None,
        Encounter::SeveralMixed => {
            let names = [
                (10, "correction upward"),
                (11, "positive climb"),
                (12, "correction downward"),
                (13, "positive descent"),
                (14, "altitude crossing"),
                (15, "sense reversal"),
            ];
            words.extend(names.into_iter().filter(|(bit, _)| set(*bit)).map(|(_, name)| name));
            if words.is_empty() {
                words.push("no correction");
            }
            "several threats, some above and some below"
        }
        single => {
            words.push(if set(10) { "corrective" } else { "preventive" });
            words.push(if set(11) { "downward sense" } else { "upward sense" });
            let more = [(12, "increased rate"), (13, "sense reversal"), (14, "altitude crossing")];
            words.extend(more.into_iter().filter(|(bit, _)| set(*bit)).map(|(_, name)| name));
            words.push(if set(15) { "positive" } else { "vertical speed limit" });
            if single == Encounter::One { "one threat" } else { "several threats, one sense" }
        }
    };
    let ended = if set(27) { "; ended" } else { "" };
    Some(format!("{who}: {}{ended}", words.join(", ")))
}

/// The complements that other aircraft sent, in words; none where there are none.
pub fn complements(report: u64) -> Option<String> {
    let names =
        [(23, "do not pass below"), (24, "do not pass above"), (25, "do not turn left"), (26, "do not turn right")];
    let words: Vec<&str> = names.into_iter().filter(|(bit, _)| flag(report, *bit)).map(|(_, name)| name).collect();
    (!words.is_empty()).then(|| words.join(", "))
}

/// Who the threat is, by the kind that the report says.
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
pub fn range_nm(code: u8) -> Option<f64> {
    (1..127).contains(&code).then(|| (f64::from(code) - 1.0) / 10.0)
}

/// The middle of the six degrees that a bearing code stands for; none for "no estimate" and for codes not assigned.
pub fn bearing_deg(code: u8) -> Option<u16> {
    (1..=60).contains(&code).then(|| 6 * u16::from(code) - 3)
}

/// The advisory spelled out.
pub const ADVISORY: Derived = Derived::new(
    "resolution_advisory",
    "The advisory spelled out; handbook's reading, not that of TCAS 7.0",
    |pattern, _| {
        Some(match advisory(pattern as u64) {
            Some(text) => Meaning::new(Value::Text(text.clone().into()), text),
            None => Meaning::none("no advisory"),
        })
    },
);

/// The complements spelled out.
pub const COMPLEMENTS: Derived =
    Derived::new("complements", "What other aircraft's collision avoidance asked not to do", |pattern, _| {
        Some(match complements(pattern as u64) {
            Some(text) => Meaning::new(Value::Text(text.clone().into()), text),
            None => Meaning::none("none"),
        })
    });

/// The address of a threat of kind 1.
pub const THREAT_ADDRESS: Derived =
    Derived::new("threat_address", "Address of the threat, where the kind is 1", |pattern, version| {
        Some(match threat(pattern as u64) {
            Threat::Address(address) => address.meaning(version),
            _ => Meaning::none("not told by address"),
        })
    })
    .written(|wanted, pattern| {
        let address = Address::from_meaning(wanted.get("threat_address").unwrap_or_default(), wanted.version)?;
        Ok(with_kind(pattern, ThreatKind::ADDRESS) & !Span::new(31, 56).mask(56) | u128::from(address.bits()) << 2)
    });

/// The altitude of a threat of kind 2.
pub const THREAT_ALTITUDE: Derived =
    Derived::new("threat_altitude_ft", "Altitude of the threat, where the kind is 2", |pattern, version| {
        Some(match threat(pattern as u64) {
            Threat::Place { altitude, .. } => altitude.meaning(version),
            _ => Meaning::none("not told by place"),
        })
    })
    .written(|wanted, pattern| {
        let code = Altitude13::from_meaning(wanted.get("threat_altitude_ft").unwrap_or_default(), wanted.version)?;
        Ok(placed(pattern, Span::new(31, 43), code.bits()))
    });

/// The range of a threat of kind 2.
pub const THREAT_RANGE: Derived = Derived::new(
    "threat_range_nm",
    "Range to the threat, where the kind is 2: n stands for (n - 1)/10 NM; 0 no estimate, 127 above 12.55 NM",
    |pattern, _| {
        Some(match threat(pattern as u64) {
            Threat::Place { range, .. } => match range_nm(range) {
                Some(nm) => Meaning::new(Value::decimal(nm, 1), format!("{nm:.1} NM, give or take 0.05")),
                None if range == 0 => Meaning::none("no estimate"),
                None => Meaning::past(12.55, "NM"),
            },
            _ => Meaning::none("not told by place"),
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
            return Err(CodeError::out_of_range(given, 0, 12.55, " NM"));
        }
        code
    };
    Ok(placed(pattern, Span::new(44, 50), code as u64))
});

/// The bearing of a threat of kind 2.
pub const THREAT_BEARING: Derived = Derived::new(
    "threat_bearing_deg",
    "Bearing of the threat from the own heading, where the kind is 2: the middle of six degrees; 0 no estimate",
    |pattern, _| {
        Some(match threat(pattern as u64) {
            Threat::Place { bearing, .. } => match bearing_deg(bearing) {
                Some(deg) => Meaning::new(Value::Integer(deg.into()), format!("{} to {} deg", deg - 3, deg + 3)),
                None if bearing == 0 => Meaning::none("no estimate"),
                None => Meaning::none("not assigned"),
            },
            _ => Meaning::none("not told by place"),
        })
    },
)
.written(|wanted, pattern| {
    let given = wanted.get("threat_bearing_deg").unwrap_or_default();
    let code =
        if is_no_data(given) { 0 } else { (number(given)?.rem_euclid(360.0) / 6.0).floor().min(59.0) as u64 + 1 };
    Ok(placed(pattern, Span::new(51, 56), code))
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
