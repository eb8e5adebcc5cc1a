//! Navigation uncertainty category of a position in version 0 (NUCp): it follows from the type code alone (handbook,
//! ADS-B part, chapter 7; the numbers also Annex 10 III, page 49).

use super::{Meaning, Value};

/// Type code, NUCp, and the limits behind it: horizontal protection limit, and 95 % bounds of the errors.
const NUCP: &[(u8, u8, &str)] = &[
    (0, 0, "0, no position, no limits"),
    (5, 9, "9, horizontal protection limit below 7.5 m, 95 % error below 3 m"),
    (6, 8, "8, horizontal protection limit below 25 m, 95 % error below 10 m"),
    (7, 7, "7, horizontal protection limit below 0.1 NM (185 m), 95 % error below 0.05 NM (93 m)"),
    (8, 6, "6, horizontal protection limit above 0.1 NM (185 m), 95 % error above 0.05 NM (93 m)"),
    (9, 9, "9, horizontal protection limit below 7.5 m, 95 % error below 3 m"),
    (10, 8, "8, horizontal protection limit below 25 m, 95 % error below 10 m"),
    (11, 7, "7, horizontal protection limit below 0.1 NM (185 m), 95 % error below 0.05 NM (93 m)"),
    (12, 6, "6, horizontal protection limit below 0.2 NM (370 m), 95 % error below 0.1 NM (185 m)"),
    (13, 5, "5, horizontal protection limit below 0.5 NM (926 m), 95 % error below 0.25 NM (463 m)"),
    (14, 4, "4, horizontal protection limit below 1 NM, 95 % error below 0.5 NM (926 m)"),
    (15, 3, "3, horizontal protection limit below 2 NM, 95 % error below 1 NM"),
    (16, 2, "2, horizontal protection limit below 10 NM, 95 % error below 5 NM"),
    (17, 1, "1, horizontal protection limit below 20 NM, 95 % error below 10 NM"),
    (18, 0, "0, horizontal protection limit 20 NM or above, 95 % error above 10 NM"),
    (20, 9, "9, horizontal protection limit below 7.5 m, 95 % error below 3 m, vertical below 4 m"),
    (21, 8, "8, horizontal protection limit below 25 m, 95 % error below 10 m, vertical below 15 m"),
    (22, 0, "0, horizontal protection limit 25 m or above, 95 % error above 10 m, vertical above 15 m"),
];

/// NUCp of a type code, with its limits; `None` for type codes that are not positions.
///
/// ```
/// let meaning = squitterlab::code::position_uncertainty(20).unwrap();
/// assert!(meaning.text.to_string().ends_with("vertical below 4 m"));
/// ```
#[doc(alias = "NUCp")]
pub fn position_uncertainty(type_code: u8) -> Option<Meaning> {
    let (_, nucp, text) = NUCP.iter().find(|(code, ..)| *code == type_code)?;
    Some(Meaning::new(Value::Integer((*nucp).into()), *text))
}
