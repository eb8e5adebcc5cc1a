//! The code tables that are arithmetic: every code of the field, in whole numbers worked out here, and back.

use super::Reading;
use squitterlab::code::Value;
use squitterlab::code::table::Wanted;
use std::collections::BTreeMap;

/// What is read, and the codes that must stand around the field; first and last bit; field; the number that a code says,
/// in so many parts of the unit; the parts.
type Numbers = (&'static str, &'static [(u8, u8, u64)], (u8, u8), &'static str, fn(i64) -> Option<i64>, i64);

fn threat_range(code: i64) -> Option<i64> {
    // The last code is more than the end of the scale, and told by that end.
    match code {
        0 => None,
        127 => Some(1255),
        _ => Some(10 * (code - 1)),
    }
}

fn threat_bearing(code: i64) -> Option<i64> {
    // 6(n - 1) to 6n degrees, told by its middle.
    if code == 0 || code > 60 { None } else { Some(6 * code - 3) }
}

fn vertical_rate(code: i64) -> Option<i64> {
    match code {
        0 => None,
        511 => Some(32_608),
        _ => Some(64 * (code - 1)),
    }
}

fn difference(code: i64) -> Option<i64> {
    match code {
        0 => None,
        127 => Some(6275),
        _ => Some(50 * (code - 1)),
    }
}

fn speed(code: i64) -> Option<i64> {
    match code {
        0 => None,
        1023 => Some(2043),
        _ => Some(2 * (code - 1)),
    }
}

fn coarse_speed(code: i64) -> Option<i64> {
    // The lower edge: 0, 16, 48 and so on to 1968 kt.
    match code {
        0 => None,
        1 => Some(0),
        _ => Some(32 * (code - 2) + 16),
    }
}

#[rustfmt::skip]
const NUMBERS: &[Numbers] = &[
    // Surface track: Doc 9871 draft, page 143, handbook, ADS-B part, chapter 4. 360/128 degree.
    ("ME 38", &[(13, 13, 1)], (14, 20), "track_deg", |n| Some(360 * n), 128),
    ("CF2 38", &[(13, 13, 1)], (14, 20), "track_deg", |n| Some(360 * n), 128),
    // Heading: Doc 9871 draft, page 252, handbook, chapter 5. 360/1024 degree.
    ("ME 9B", &[(14, 14, 1)], (15, 24), "heading_deg", |n| Some(360 * n), 1024),
    // Airspeed of subtypes 3 and 4: handbook, chapter 5; the last code from memory.
    ("ME 9B", &[], (26, 35), "airspeed_kt", speed, 2),
    ("ME 9C", &[], (26, 35), "airspeed_kt", |n| speed(n).map(|kt| 4 * kt), 2),
    // TIS-B velocity (Doc 9871 draft, pages 179, 185, 261; the places from 36 on from memory).
    ("CF2 99", &[(25, 25, 0), (26, 35, 1)], (15, 24), "east_velocity_kt", speed, 2),
    ("CF2 99", &[], (38, 46), "vertical_rate_fpm", vertical_rate, 1),
    ("CF2 99000000100000", &[], (50, 56), "geometric_minus_pressure_ft", difference, 2),
    ("CF2 9B000000100000", &[], (50, 56), "geometric_minus_pressure_ft", difference, 2),
    // Selected altitude, pressure setting, selected heading: Doc 9871 draft, pages 212 and 256; 180/256 from memory.
    ("ME EA", &[], (10, 20), "selected_altitude_ft", |n| if n == 0 { None } else { Some(32 * (n - 1)) }, 1),
    ("ME EA", &[], (21, 29), "barometric_setting_hpa", |n| if n == 0 { None } else { Some(8000 + 8 * (n - 1)) }, 10),
    ("ME EA", &[(30, 30, 1)], (31, 39), "selected_heading_deg", |n| Some(180 * n), 256),
    // Version 1: Doc 9871 draft, pages 149, 150 and 321. The straight line through four of the six points printed.
    ("ME E8 v1", &[(8, 9, 1)], (16, 25), "target_altitude_ft", |n| if n > 1010 { None } else { Some(100 * n - 1000) }, 1),
    ("ME E8 v1", &[(26, 27, 1)], (28, 36), "target_direction_deg", |n| if n > 359 { None } else { Some(n) }, 1),
    // Offsets: Doc 9871 draft, page 227; longitudinal codes from memory.
    ("ME F9000000004000", &[], (33, 35), "antenna_offset_lateral_m", |n| [None, Some(-2), Some(-4), Some(-6), Some(0), Some(2), Some(4), Some(6)][n as usize], 1),
    ("ME F9000000004000", &[], (36, 40), "antenna_offset_longitudinal_m", |n| if n < 2 { None } else { Some(2 * (n - 1)) }, 1),
    // Version 3: EUROCONTROL, category 021, TAO.
    ("ME F9000000006000 v3", &[], (36, 40), "antenna_offset_longitudinal_m", |n| match n { 0 => None, 1 => Some(1), 31 => Some(58), _ => Some(2 * (n - 1)) }, 1),
    ("ME F9000000004000", &[], (21, 24), "length_width_code", Some, 1),
    ("ME F9000000002000 v1", &[], (21, 24), "length_width_code", Some, 1),
    // Threats: handbook, Mode S part, chapter 6; their place in the broadcast from memory.
    ("ME E2", &[(29, 30, 2)], (44, 50), "threat_range_nm", threat_range, 100),
    ("ME E2", &[(29, 30, 2)], (51, 56), "threat_bearing_deg", threat_bearing, 1),
    ("REG 3,0", &[(29, 30, 2)], (44, 50), "threat_range_nm", threat_range, 100),
    ("REG 3,0", &[(29, 30, 2)], (51, 56), "threat_bearing_deg", threat_bearing, 1),
    // Coarse TIS-B: Doc 9871 draft, page 186; 360/32 degree and the speeds from memory.
    ("CF3 00", &[(20, 20, 1)], (21, 25), "track_deg", |n| Some(360 * n), 32),
    ("CF3 00", &[], (26, 31), "ground_speed_kt", coarse_speed, 1),
    ("CF3 00", &[], (4, 7), "service_volume", Some, 1),
    // Plain numbers of the formats: handbook, Mode S part, chapter 3; format 24 from memory.
    ("DF 20", &[], (14, 17), "interrogator_identifier", Some, 1),
    ("DF A8", &[], (14, 17), "interrogator_identifier", Some, 1),
    ("DF C0", &[], (5, 8), "segment_number", Some, 1),
    // Version 0: handbook, ADS-B part, chapter 6.
    ("ME F8 v0", &[], (9, 12), "capability_class_4", Some, 1),
    ("ME F8 v0", &[], (21, 24), "capability_class_1", Some, 1),
    ("ME F8 v0", &[], (25, 28), "operational_mode_4", Some, 1),
    ("ME F8 v0", &[], (37, 40), "operational_mode_1", Some, 1),
    ("REG 1,0", &[], (41, 56), "terminal_status", Some, 1),
];

fn number(value: &Value) -> Option<f64> {
    match value {
        Value::Integer(number) => Some(*number as f64),
        Value::Decimal(number) => Some(*number),
        _ => None,
    }
}

#[test]
fn every_code_of_every_number() {
    let mut wrong = Vec::new();
    for (line, around, (first, last), field, says, parts) in NUMBERS {
        let reading = Reading { line };
        let decoded = reading.read(around);
        let table = decoded.payload().map_or(decoded.envelope(), |payload| payload.table);
        for code in 0..1u64 << (last - first + 1) {
            let codes: Vec<_> = around.iter().copied().chain([(*first, *last, code)]).collect();
            let found = reading.says(field, &codes).unwrap_or_else(|| panic!("{line} has no {field}"));
            let wanted = says(code as i64).map(|number| number as f64 / *parts as f64);
            let same = match (number(&found.value), wanted) {
                (Some(found), Some(wanted)) => (found - wanted).abs() < 1e-4,
                (None, None) => true,
                _ => false,
            };
            if !same {
                wrong.push(format!("{line} {field} {code}: {wanted:?}, not {found:?}"));
            }
            // And back, where the field can be set alone.
            let settable = table.settable().contains(field) && *field != "east_velocity_kt";
            let past = found.beyond.then(|| (format!("{field}_beyond"), "true".to_owned()));
            if let (Some(wanted), true) = (wanted, settable) {
                let mut fields = BTreeMap::from([((*field).to_owned(), wanted.to_string())]);
                fields.extend(past);
                if let Some(subtype) = reading.says("subtype", around) {
                    fields.insert("subtype".to_owned(), subtype.words().to_string());
                }
                let back = table.encode(&Wanted { fields: &fields, version: reading.version() });
                let width = u32::from(table.bits - last);
                let back = back.map(|pattern| (pattern >> width) as u64 & ((1 << (last - first + 1)) - 1));
                if back != Ok(code) {
                    wrong.push(format!("{line} {field}={wanted}: {back:?}, not {code}"));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{} codes differ:\n{}", wrong.len(), wrong.join("\n"));
}

/// Lengths and widths that go with the codes: Doc 9871 draft, pages 162 and 224. Code 0 is a box in version 1 alone.
#[test]
fn every_length_and_width_is_spelled_out() {
    let boxes =
        "15 11.5 15 23 25 28.5 25 34 35 33 35 38 45 39.5 45 45 55 45 55 52 65 59.5 65 67 75 72.5 75 80 85 80 85 90";
    let boxes: Vec<&str> = boxes.split(' ').collect();
    for (line, one) in [("ME F9000000002000 v1", true), ("ME F9000000004000", false)] {
        for (code, measures) in boxes.chunks(2).enumerate() {
            let words =
                Reading { line }.says("length_width_code", &[(21, 24, code as u64)]).unwrap().words().to_string();
            if code == 0 && !one {
                assert!(words.contains("no data"), "{words}");
            } else {
                assert!(words.contains(&format!("{} m long and {} m wide", measures[0], measures[1])), "{words}");
            }
        }
    }
}

/// What a type code says of itself in each version: Doc 9871 draft, pages 140, 166 and 192; Annex 10 III, page 75;
/// handbook, ADS-B part, chapter 1; 24 from memory, reserved in version 1.
#[test]
fn every_type_code_says_what_it_is() {
    for (version, line) in ["ME 00 v0", "ME 00 v1", "ME 00 v2"].into_iter().enumerate() {
        for code in 0..32 {
            let wanted = match (code, version) {
                (0, _) => "no position",
                (1, _) => "set d",
                (2, _) => "set c",
                (3, _) => "set b",
                (4, _) => "set a",
                (5..=8, _) => "surface position",
                (9..=18, _) => "airborne position pressure altitude",
                (19, _) => "airborne velocity",
                (20..=22, _) => "airborne position geometric height",
                (23, _) => "test",
                (24, 0 | 2) => "surface system status",
                (28, _) => "aircraft status",
                (29, 0) => "trajectory change point",
                (29, _) => "target state",
                (30, 0) => "operational coordination",
                (31, _) => "operational status",
                _ => "reserved",
            };
            let found = Reading { line }.says("type_code", &[(1, 5, code)]).unwrap().words().to_string();
            assert!(super::mentions(&found, wanted), "type code {code} in version {version}: {found}");
        }
    }
}
