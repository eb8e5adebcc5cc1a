//! Quality categories: NIC with its type codes and supplements, NACp, NACv, SIL, SDA, GVA, NICbaro.

use super::enumeration::enumeration;
use super::{CodeError, Version};
use std::fmt;

enumeration! {
    /// Navigation accuracy category for position: 95 % bound of the horizontal position error.
    Nacp(u8: 4) AsNumber,
    0 = "unknown", "10 NM or more, or unknown";
    1 = "below_10_nm", "below 10 NM";
    2 = "below_4_nm", "below 4 NM";
    3 = "below_2_nm", "below 2 NM";
    4 = "below_1_nm", "below 1 NM";
    5 = "below_0_5_nm", "below 0.5 NM (926 m)";
    6 = "below_0_3_nm", "below 0.3 NM (556 m)";
    7 = "below_0_1_nm", "below 0.1 NM (185 m)";
    8 = "below_0_05_nm", "below 0.05 NM (93 m)";
    9 = "below_30_m", "below 30 m";
    10 = "below_10_m", "below 10 m";
    11 = "below_3_m", "below 3 m";
    // Version 1 bounds the vertical error too; version 2 leaves that to the GVA (from memory).
    in One:
    9 = "below 30 m, vertical below 45 m";
    10 = "below 10 m, vertical below 15 m";
    11 = "below 3 m, vertical below 4 m";
}

enumeration! {
    /// Navigation accuracy category for velocity; in version 0 the rate's uncertainty category NUCr.
    Nacv(u8: 3) AsNumber,
    0 = "unknown", "10 m/s or more, or unknown";
    1 = "below_10_m_s", "below 10 m/s";
    2 = "below_3_m_s", "below 3 m/s";
    3 = "below_1_m_s", "below 1 m/s";
    4 = "below_0_3_m_s", "below 0.3 m/s";
    // Versions 0 and 1 bound the vertical error too. 15 ft/s are 4.57 m/s; the handbook prints 4.5.
    in Zero:
    0 = "unknown";
    1 = "below 10 m/s, vertical below 15.2 m/s (50 ft/s)";
    2 = "below 3 m/s, vertical below 4.6 m/s (15 ft/s)";
    3 = "below 1 m/s, vertical below 1.5 m/s (5 ft/s)";
    4 = "below 0.3 m/s, vertical below 0.46 m/s (1.5 ft/s)";
    in One:
    1 = "below 10 m/s, vertical below 15.2 m/s (50 ft/s)";
    2 = "below 3 m/s, vertical below 4.6 m/s (15 ft/s)";
    3 = "below 1 m/s, vertical below 1.5 m/s (5 ft/s)";
    4 = "below 0.3 m/s, vertical below 0.46 m/s (1.5 ft/s)";
}

enumeration! {
    /// Source integrity level: how likely the position lies outside the radius of containment unannounced.
    Sil(u8: 2) AsNumber,
    0 = "unknown", "unknown, or more than 1e-3";
    1 = "at_most_1e_3", "at most 1e-3";
    2 = "at_most_1e_5", "at most 1e-5";
    3 = "at_most_1e_7", "at most 1e-7";
    // Version 1: surveillance integrity level, of the radius and of the vertical protection limit.
    in One:
    0 = "unknown";
    1 = "at most 1e-3, vertical at most 1e-3";
    2 = "at most 1e-5, vertical at most 1e-5";
    3 = "at most 1e-7, vertical at most 2e-7 per 150 s or per sample";
}

enumeration! {
    /// What the source integrity level counts by.
    SilSupplement(u8: 1) AsText,
    0 = "per_hour", "per flight hour";
    1 = "per_sample", "per sample";
}

enumeration! {
    /// System design assurance: the weakest link from position source to transmitter.
    Sda(u8: 2) AsNumber,
    0 = "unknown", "unknown, or no safety effect";
    1 = "minor", "minor, at most 1e-3 per flight hour";
    2 = "major", "major, at most 1e-5 per flight hour";
    3 = "hazardous", "hazardous, at most 1e-7 per flight hour";
}

enumeration! {
    /// Geometric vertical accuracy: 95 % bound of the geometric height error.
    Gva(u8: 2) AsNumber,
    0 = "unknown", "unknown, or more than 150 m";
    1 = "at_most_150_m", "at most 150 m";
    2 = "at_most_45_m", "at most 45 m";
    3 = "reserved", "reserved";
}

enumeration! {
    /// Whether the pressure altitude is cross-checked, or does not come from grey-code wires.
    NicBaro(u8: 1) AsNumber,
    0 = "not_cross_checked", "grey-code source, not cross-checked";
    1 = "cross_checked", "cross-checked, or not a grey-code source";
}

/// The radius of containment that a NIC stands for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RadiusOfContainment {
    /// Below this many metres.
    Below(f64),
    /// Not known, or larger than any bound of the table.
    Unknown,
}

/// Metres in a nautical mile.
const NM: f64 = 1852.0;

/// One row of the tables of Doc 9871 (page 192; handbook, chapter 7): type code, supplements A, B and C, NIC, radius in
/// metres. A supplement that does not apply is none.
type Row = (u8, Option<u8>, Option<u8>, Option<u8>, u8, f64);

/// A row of the table of a version in words: what a position message and its supplements say of its integrity.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct IntegrityRow {
    /// The type code of the position message.
    pub type_code: u8,
    /// `NIC supplement A 1, B 1`, or empty if none has a part in it.
    pub supplements: String,
    /// The navigation integrity category.
    pub nic: u8,
    /// Its radius of containment.
    pub radius: String,
}

/// The table that [`navigation_integrity`] reads; version 0 has none, as its type code says all ([`position_uncertainty`](super::position_uncertainty)).
///
/// ```
/// use squitterlab::code::{Version, integrity_rows};
/// let rows = integrity_rows(Version::Two);
/// let row = rows.iter().find(|row| row.type_code == 11).unwrap();
/// assert_eq!((row.supplements.as_str(), row.nic, row.radius.as_str()), ("NIC supplement A 1, B 1", 9, "below 75 m"));
/// ```
pub fn integrity_rows(version: Version) -> Vec<IntegrityRow> {
    let table = match version {
        Version::Zero => return Vec::new(),
        Version::One => &VERSION_1,
        Version::Two | Version::Three => &VERSION_2,
    };
    let in_words = |&(type_code, a, b, c, nic, radius): &Row| {
        let letters = match version {
            // Version 1 has one supplement, which bears no letter.
            Version::One => ["", "", ""],
            _ => ["A ", "B ", "C "],
        };
        let given = letters.iter().zip([a, b, c]).filter_map(|(letter, bit)| Some(format!("{letter}{}", bit?)));
        let given: Vec<String> = given.collect();
        let supplements = if given.is_empty() { String::new() } else { format!("NIC supplement {}", given.join(", ")) };
        let radius = if radius.is_finite() { RadiusOfContainment::Below(radius) } else { RadiusOfContainment::Unknown };
        IntegrityRow { type_code, supplements, nic, radius: radius.to_string() }
    };
    table.rows.iter().map(in_words).collect()
}

/// The rows, and how many of them come before each type code: they are in its order.
struct Table {
    rows: &'static [Row],
    before: [u8; 33],
}

impl Table {
    const fn of(rows: &'static [Row]) -> Self {
        let (mut before, mut at) = ([0; 33], 0);
        while at < rows.len() {
            assert!(at == 0 || rows[at - 1].0 <= rows[at].0, "the rows are in the order of their type codes");
            let mut later = rows[at].0 as usize + 1;
            while later < before.len() {
                before[later] += 1;
                later += 1;
            }
            at += 1;
        }
        Self { rows, before }
    }

    fn of_type(&self, type_code: u8) -> &'static [Row] {
        match self.before.get(usize::from(type_code)..) {
            Some([first, end, ..]) => &self.rows[usize::from(*first)..usize::from(*end)],
            _ => &[],
        }
    }
}

static VERSION_2: Table = Table::of(&[
    (5, Some(0), None, Some(0), 11, 7.5),
    (6, Some(0), None, Some(0), 10, 25.0),
    (7, Some(1), None, Some(0), 9, 75.0),
    (7, Some(0), None, Some(0), 8, 0.1 * NM),
    (8, Some(1), None, Some(1), 7, 0.2 * NM),
    (8, Some(1), None, Some(0), 6, 0.3 * NM),
    (8, Some(0), None, Some(1), 6, 0.6 * NM),
    (8, Some(0), None, Some(0), 0, f64::INFINITY),
    (9, Some(0), Some(0), None, 11, 7.5),
    (10, Some(0), Some(0), None, 10, 25.0),
    (11, Some(1), Some(1), None, 9, 75.0),
    (11, Some(0), Some(0), None, 8, 0.1 * NM),
    (12, Some(0), Some(0), None, 7, 0.2 * NM),
    (13, Some(0), Some(1), None, 6, 0.3 * NM),
    (13, Some(0), Some(0), None, 6, 0.5 * NM),
    (13, Some(1), Some(1), None, 6, 0.6 * NM),
    (14, Some(0), Some(0), None, 5, NM),
    (15, Some(0), Some(0), None, 4, 2.0 * NM),
    (16, Some(1), Some(1), None, 3, 4.0 * NM),
    (16, Some(0), Some(0), None, 2, 8.0 * NM),
    (17, Some(0), Some(0), None, 1, 20.0 * NM),
    (18, Some(0), Some(0), None, 0, f64::INFINITY),
    (20, None, None, None, 11, 7.5),
    (21, None, None, None, 10, 25.0),
    (22, None, None, None, 0, f64::INFINITY),
]);

/// The type code that version 0 sends for the radius of each NIC of the later versions.
static VERSION_0: Table = Table::of(&[
    (5, None, None, None, 11, 7.5),
    (6, None, None, None, 10, 25.0),
    (7, None, None, None, 9, 75.0),
    (7, None, None, None, 8, 0.1 * NM),
    (8, None, None, None, 0, f64::INFINITY),
    (9, None, None, None, 11, 7.5),
    (10, None, None, None, 10, 25.0),
    (11, None, None, None, 9, 75.0),
    (11, None, None, None, 8, 0.1 * NM),
    (12, None, None, None, 7, 0.2 * NM),
    (13, None, None, None, 6, 0.5 * NM),
    (14, None, None, None, 5, NM),
    (15, None, None, None, 4, 2.0 * NM),
    (16, None, None, None, 3, 4.0 * NM),
    (16, None, None, None, 2, 8.0 * NM),
    (17, None, None, None, 1, 20.0 * NM),
    (18, None, None, None, 0, f64::INFINITY),
]);

static VERSION_1: Table = Table::of(&[
    (5, Some(0), None, None, 11, 7.5),
    (6, Some(0), None, None, 10, 25.0),
    (7, Some(1), None, None, 9, 75.0),
    (7, Some(0), None, None, 8, 0.1 * NM),
    (8, Some(0), None, None, 0, f64::INFINITY),
    (9, Some(0), None, None, 11, 7.5),
    (10, Some(0), None, None, 10, 25.0),
    (11, Some(1), None, None, 9, 75.0),
    (11, Some(0), None, None, 8, 0.1 * NM),
    (12, Some(0), None, None, 7, 0.2 * NM),
    (13, Some(1), None, None, 6, 0.6 * NM),
    (13, Some(0), None, None, 6, 0.5 * NM),
    (14, Some(0), None, None, 5, NM),
    (15, Some(0), None, None, 4, 2.0 * NM),
    (16, Some(1), None, None, 3, 4.0 * NM),
    (16, Some(0), None, None, 2, 8.0 * NM),
    (17, Some(0), None, None, 1, 20.0 * NM),
    (18, Some(0), None, None, 0, f64::INFINITY),
    (20, Some(0), None, None, 11, 7.5),
    (21, Some(0), None, None, 10, 25.0),
    (22, Some(0), None, None, 0, f64::INFINITY),
]);

/// NIC and radius of containment of a position message in version 1 or 2 (3 is read as 2, though it has one more supplement), with what is known of the supplements.
///
/// A supplement not yet heard is none, and then only an answer that does not depend on it is given. A combination that
/// the tables do not list (never sent by a right installation) takes the largest radius of its type code, which is an
/// engineering rule (from memory), not a quoted clause. Type code 0, other messages and version 0 have none.
///
/// ```
/// use squitterlab::code::{navigation_integrity, Version};
/// assert_eq!(navigation_integrity(11, Some(1), Some(1), None, Version::Two).unwrap().0, 9);
/// assert_eq!(navigation_integrity(11, None, Some(0), None, Version::Two).unwrap().0, 8);
/// ```
#[doc(alias = "NIC")]
pub fn navigation_integrity(
    type_code: u8,
    supplement_a: Option<u8>,
    supplement_b: Option<u8>,
    supplement_c: Option<u8>,
    version: Version,
) -> Option<(u8, RadiusOfContainment)> {
    let table = match version {
        Version::Zero => return None,
        Version::One => &VERSION_1,
        Version::Two | Version::Three => &VERSION_2,
    };
    let of_type = || table.of_type(type_code).iter();
    let agrees = |listed: Option<u8>, heard: Option<u8>| listed.is_none() || heard.is_none() || listed == heard;
    let fitting = || {
        of_type()
            .filter(|row| agrees(row.1, supplement_a) && agrees(row.2, supplement_b) && agrees(row.3, supplement_c))
    };
    // Several rows of one NIC may fit: the widest claims least.
    let widest = |row: &&Row, other: &&Row| row.5.total_cmp(&other.5);
    let row = if let Some(row) = fitting().max_by(widest) {
        if fitting().any(|other| other.4 != row.4) {
            return None;
        }
        row
    } else {
        of_type().max_by(widest)?
    };
    let radius = if row.5.is_finite() { RadiusOfContainment::Below(row.5) } else { RadiusOfContainment::Unknown };
    Some((row.4, radius))
}

/// The vertical protection limit that goes with a NIC of version 1 in the air, in words after those of the radius; empty
/// where there is none (handbook, ADS-B part, chapter 7; Doc 9871 draft, page 158). The surface has none.
///
/// ```
/// use squitterlab::code::{Version, vertical_protection_limit};
/// assert_eq!(vertical_protection_limit(11, 9, Version::One), ", vertical protection limit below 112 m");
/// assert_eq!(vertical_protection_limit(7, 9, Version::One), "");
/// ```
pub const fn vertical_protection_limit(type_code: u8, nic: u8, version: Version) -> &'static str {
    match (version, type_code, nic) {
        (Version::One, 9..=18 | 20..=22, 9) => ", vertical protection limit below 112 m",
        (Version::One, 9..=18 | 20..=22, 10) => ", vertical protection limit below 37.5 m",
        (Version::One, 9..=18 | 20..=22, 11) => ", vertical protection limit below 11 m",
        (Version::One, 22, _) => ", vertical protection limit above 112 m or unknown",
        _ => "",
    }
}

/// Type codes and supplements that say one NIC: in the air (type code, A, B) and on the surface (type code, A, C).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PositionCodes {
    /// Type code, supplement A, supplement B of the airborne position with pressure altitude.
    pub airborne: (u8, u8, u8),
    /// Type code, supplement A, supplement C of the surface position.
    pub surface: (u8, u8, u8),
}

/// The best NIC that the type code of a position of version 0 may stand for; `None` for other messages.
pub(crate) fn integrity_of_version_0(type_code: u8) -> Option<u8> {
    VERSION_0.of_type(type_code).iter().map(|row| row.4).max()
}

/// How a version sends a NIC of 0 to 11. Where several radii share NIC 6, the widest is taken (a NIC alone does not say more).
/// The surface has no code between unknown and 0.6 NM, so NIC 1 to 5 are sent there as 0.
///
/// Version 1 has one supplement, told as A. Version 0 has none, and says the uncertainty (NUCp): the type code is that of
/// the smallest limit that holds the radius; of NIC 6 that is 0.5 NM, as a listener reads it back (Doc 9871 draft, page
/// 278, and table C-42 from memory).
///
/// ```
/// use squitterlab::{Version, code::position_codes};
/// // NIC 8 in the air: type code 11 without supplements.
/// assert_eq!(position_codes(8, Version::Two).unwrap().airborne, (11, 0, 0));
/// assert!(position_codes(12, Version::Two).is_err());
/// ```
///
/// # Errors
/// [`CodeError::OutOfRange`] from 12 up.
pub fn position_codes(nic: u8, version: Version) -> Result<PositionCodes, CodeError> {
    let table = match version {
        Version::Zero => &VERSION_0,
        Version::One => &VERSION_1,
        Version::Two | Version::Three => &VERSION_2,
    };
    let widest = |range: std::ops::RangeInclusive<u8>, nic: u8| {
        table
            .rows
            .iter()
            .filter(|row| range.contains(&row.0) && row.4 == nic)
            .max_by(|a, b| a.5.total_cmp(&b.5))
            .map(|row| (row.0, row.1.unwrap_or(0), row.2.or(row.3).unwrap_or(0)))
    };
    let airborne = widest(9..=18, nic).ok_or_else(|| CodeError::out_of_range(nic, 0, 11, ""))?;
    let surface = widest(5..=8, nic).or_else(|| widest(5..=8, 0)).unwrap_or((8, 0, 0));
    Ok(PositionCodes { airborne, surface })
}

/// In words.
impl fmt::Display for RadiusOfContainment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Below(metres) if *metres < 0.1 * NM => write!(f, "below {metres} m"),
            Self::Below(metres) => write!(f, "below {} NM", (metres / NM * 10.0).round() / 10.0),
            Self::Unknown => f.write_str("unknown"),
        }
    }
}
