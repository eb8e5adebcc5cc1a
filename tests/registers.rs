//! Comm-B registers: worked frames of the handbook, every code of every value against a second implementation, round
//! trips of any payload under every register, and what the inference may list.
//!
//! The second implementation is the list [`QUANTITIES`]: places, signs and weights as the sources print them, with
//! arithmetic of its own.

use crate::long_run::cases;
use serde_json::{Map, Value as Json, json};
use squitterlab::code::acas::{self, Threat};
use squitterlab::code::table::{Table, Wanted};
use squitterlab::code::{Bits, ModeA, RegisterNumber, Value, Version};
use squitterlab::downlink::{Decoded, encode_codes, encode_meanings};
use squitterlab::frame::{Address, Frame};
use squitterlab::present::json::{self, Place, codes};
use squitterlab::present::{ruler, text};
use squitterlab::register::inference::{ALL_ZERO, calibrated_airspeed_kt, infer, opinion};
use squitterlab::register::{SQUITTER, TABLES, table, usage_bit};
use squitterlab::track::Tracker;
use std::collections::BTreeMap;

fn number(digits: &str) -> RegisterNumber {
    digits.parse().unwrap()
}

fn read(frame: &str, register: &str) -> Map<String, Json> {
    let decoded = Decoded::new(frame.parse().unwrap()).with_register(number(register));
    let observation = Tracker::new(None, None).observe(&decoded, None);
    json::frame(&Place::default(), &decoded, &observation)["fields"].as_object().unwrap().clone()
}

fn bit(bits: u64, at: u8) -> u64 {
    bits >> (56 - at) & 1
}

/// Bits `first` to `last`, one after the other.
fn span(bits: u64, first: u8, last: u8) -> u64 {
    (first..=last).fold(0, |sum, at| sum * 2 + bit(bits, at))
}

fn put(first: u8, last: u8, code: u64) -> u64 {
    let width = last - first + 1;
    (code & ((1 << width) - 1)) << (56 - last)
}

/// A small generator of its own, so that a failure comes back.
struct Random(u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0.wrapping_mul(0x2545_F491_4F6C_DD1D)
    }

    /// 56 bits, of many densities.
    fn payload(&mut self) -> u64 {
        let (a, b, c) = (self.next(), self.next(), self.next());
        let bits = match self.next() % 4 {
            0 => a,
            1 => a & b,
            2 => a & b & c,
            _ => a | b,
        };
        bits >> 8
    }
}

// Worked frames -------------------------------------------------------------------------------------------------------

/// The 1090 Megahertz Riddle, 2nd edition, doi 10.34641/mg.11, Mode S part: chapter 6 (register 1,7), chapter 7 (5,0),
/// chapter 8 (4,4 and 4,5), chapter 9 (6,0 against 5,0). Values with more digits than it prints are its codes times its
/// steps: roll code -55 x 45/256, track code 798 x 90/512, wind direction code 490 x 180/256.
#[test]
fn worked_frames_of_the_handbook_give_its_values() {
    let usage = read("A0000638FA81C10000000081A92F", "1,7");
    let in_use: Vec<&str> = usage.iter().filter(|(_, v)| **v == json!(true)).map(|(k, _)| k.as_str()).collect();
    let printed = ["0_5", "0_6", "0_7", "0_8", "0_9", "2_0", "4_0", "5_0", "5_1", "5_2", "6_0"];
    assert_eq!(in_use, printed.map(|digits| format!("register_{digits}")));

    let turn = read("A80006ACF9363D3BBF9CE98F1E1D", "5,0");
    assert_eq!(turn["roll_deg"], json!(-9.667969));
    assert_eq!(turn["track_deg"], json!(140.273438));
    assert_eq!(turn["ground_speed_kt"], json!(476));
    assert_eq!(turn["track_rate_deg_per_s"], json!(-0.40625));
    assert_eq!(turn["true_airspeed_kt"], json!(466));

    let routine = read("A0001692185BD5CF400000DFC696", "4,4");
    assert_eq!(routine["weather_source"], "inertial");
    assert_eq!(routine["wind_speed_kt"], json!(22));
    assert_eq!(routine["wind_direction_deg"], json!(344.53125));
    assert_eq!(routine["static_air_temperature_c"], json!(-48.75));
    for missing in ["average_static_pressure_hpa", "turbulence", "humidity_percent"] {
        assert_eq!(routine[missing], Json::Null, "{missing}");
    }

    let hazard = read("A00016920001CF400000008BD87B", "4,5");
    assert_eq!(hazard["static_air_temperature_c"], json!(-48.75));
    for missing in ["turbulence", "wind_shear", "microburst", "icing", "wake_vortex", "radio_height_ft"] {
        assert_eq!(hazard[missing], Json::Null, "{missing}");
    }

    let speed = read("A0001838E519F33160240142D7FA", "6,0");
    assert_eq!(speed["indicated_airspeed_kt"], json!(249));
    assert_eq!(speed["mach"], json!(0.788));
    let wrong = read("A0001838E519F33160240142D7FA", "5,0");
    assert_eq!((&wrong["ground_speed_kt"], &wrong["true_airspeed_kt"]), (&json!(394), &json!(2)));
    // It prints 249 kt for Mach 0.788 at 38 000 ft, cut to whole knots.
    assert_eq!(calibrated_airspeed_kt(0.788, 38_000.0) as u16, 249);
}

/// Doc 9871, draft of the 2nd edition, pages 97 and 103: a sign bit of 1 is west, and 315 degrees are -45. The pattern is
/// ours: -45 x 512 / 90 = -256.
#[test]
fn west_of_north_is_a_negative_angle() {
    for (register, first, last, field) in [("5,0", 13, 23, "track_deg"), ("6,0", 2, 12, "magnetic_heading_deg")] {
        let bits = put(first - 1, first - 1, 1) | put(first, last, (-256i64) as u64);
        assert_eq!(value(register, field, bits), Value::Decimal(315.0), "{register}");
    }
}

/// Annex 10 Volume IV 4.3.8.4.2 and the handbook's chapter 6 give the places; the frame is put together here from them:
/// corrective, downward, increased rate, positive (bits 9, 10, 11, 12, 15), complement not above, threat 4840D6.
#[test]
fn a_resolution_advisory_is_spelled_out() {
    let bits = 0x30 << 48
        | [9, 10, 11, 12, 15, 24].into_iter().map(|at| put(at, at, 1)).sum::<u64>()
        | put(29, 30, 1)
        | put(31, 54, 0x4840D6);
    let fields = fields("3,0", bits);
    assert_eq!(fields["resolution_advisory"], "one threat: corrective, downward sense, increased rate, positive");
    assert_eq!(fields["complements"], "do not pass above");
    assert_eq!(fields["threat_address"], "4840D6");
    assert_eq!(fields["threat_range_nm"], Value::Null);
}

// Every code of every value -------------------------------------------------------------------------------------------

fn fields(register: &str, bits: u64) -> BTreeMap<&'static str, Value> {
    let table = table(number(register), bits).unwrap();
    table.fields(bits.into(), Version::Two).into_iter().map(|(field, meaning)| (field, meaning.value)).collect()
}

fn value(register: &str, field: &str, bits: u64) -> Value {
    let table = table(number(register), bits).unwrap();
    let derived = table.derived.iter().find(|derived| derived.field == field).unwrap_or_else(|| panic!("{field}"));
    (derived.read)(bits.into(), Version::Two).unwrap().value
}

fn as_number(value: &Value) -> Option<f64> {
    match value {
        Value::Integer(number) => Some(*number as f64),
        Value::Decimal(number) => Some(*number),
        _ => None,
    }
}

/// How a value is weighted in the source.
enum Weight {
    /// Least significant bit, and what is added.
    Step(f64, f64),
    /// The most significant bit; the others halve.
    Most(f64),
    /// The most significant bit of an angle that is told clockwise from north.
    Angle(f64),
}

use Weight::{Angle, Most, Step};

/// Register, field, status bits (first, last), sign bit or 0, value bits, weight.
type Quantity = (&'static str, &'static str, (u8, u8), u8, (u8, u8), Weight);

/// Sources: Doc 9871 draft, pages 87 to 103; Annex 10 Volume III (Amendment 77), Tables 4,1 to 4,8; the handbook's tables of
/// registers 4,0, 4,4, 4,5, 5,0 and 6,0. Register 5,3 from memory.
fn quantities() -> Vec<Quantity> {
    let mut all = vec![
        ("4,0", "mcp_fcu_selected_altitude_ft", (1, 1), 0, (2, 13), Most(32_768.0)),
        ("4,0", "fms_selected_altitude_ft", (14, 14), 0, (15, 26), Most(32_768.0)),
        ("4,0", "barometric_setting_hpa", (27, 27), 0, (28, 39), Step(0.1, 800.0)),
        ("4,2", "waypoint_latitude_deg", (1, 1), 2, (3, 20), Most(90.0)),
        ("4,2", "waypoint_longitude_deg", (21, 21), 22, (23, 40), Most(90.0)),
        ("4,2", "waypoint_crossing_altitude_ft", (41, 41), 42, (43, 56), Most(65_536.0)),
        ("4,3", "waypoint_bearing_deg", (1, 1), 2, (3, 12), Angle(90.0)),
        ("4,3", "time_to_waypoint_min", (13, 13), 0, (14, 25), Step(0.1, 0.0)),
        ("4,3", "distance_to_waypoint_nm", (26, 26), 0, (27, 42), Step(0.1, 0.0)),
        ("4,4", "wind_speed_kt", (5, 5), 0, (6, 14), Most(256.0)),
        ("4,4", "wind_direction_deg", (5, 5), 0, (15, 23), Angle(180.0)),
        // Not the 64 degrees that the standard prints: the step of 0.25 is the documented default.
        ("4,4", "static_air_temperature_c", (1, 4), 24, (25, 34), Step(0.25, 0.0)),
        ("4,4", "average_static_pressure_hpa", (35, 35), 0, (36, 46), Most(1024.0)),
        ("4,4", "humidity_percent", (50, 50), 0, (51, 56), Most(50.0)),
        ("4,5", "static_air_temperature_c", (16, 16), 17, (18, 26), Most(64.0)),
        ("4,5", "average_static_pressure_hpa", (27, 27), 0, (28, 38), Most(1024.0)),
        ("4,5", "radio_height_ft", (39, 39), 0, (40, 51), Most(32_768.0)),
        ("4,8", "vhf_1_mhz", (16, 16), 0, (1, 15), Step(0.001, 118.0)),
        ("4,8", "vhf_2_mhz", (34, 34), 0, (19, 33), Step(0.001, 118.0)),
        ("4,8", "vhf_3_mhz", (52, 52), 0, (37, 51), Step(0.001, 118.0)),
        ("5,0", "roll_deg", (1, 1), 2, (3, 11), Most(45.0)),
        ("5,0", "track_deg", (12, 12), 13, (14, 23), Angle(90.0)),
        ("5,0", "ground_speed_kt", (24, 24), 0, (25, 34), Most(1024.0)),
        ("5,0", "track_rate_deg_per_s", (35, 35), 36, (37, 45), Most(8.0)),
        ("5,0", "true_airspeed_kt", (46, 46), 0, (47, 56), Most(1024.0)),
        ("5,1", "latitude_deg", (1, 1), 2, (3, 21), Most(90.0)),
        ("5,1", "longitude_deg", (1, 1), 22, (23, 41), Most(90.0)),
        ("5,1", "coarse_pressure_altitude_ft", (1, 1), 42, (43, 56), Most(65_536.0)),
        ("5,2", "latitude_fine_deg", (1, 1), 0, (6, 23), Most(90.0 / 128.0)),
        ("5,2", "longitude_fine_deg", (1, 1), 0, (24, 41), Most(90.0 / 128.0)),
        ("5,2", "fine_altitude_ft", (1, 1), 42, (43, 56), Most(65_536.0)),
        ("5,3", "magnetic_heading_deg", (1, 1), 2, (3, 12), Angle(90.0)),
        ("5,3", "indicated_airspeed_kt", (13, 13), 0, (14, 23), Most(512.0)),
        ("5,3", "mach", (24, 24), 0, (25, 33), Most(2.048)),
        ("5,3", "true_airspeed_kt", (34, 34), 0, (35, 46), Most(1024.0)),
        ("5,3", "altitude_rate_fpm", (47, 47), 48, (49, 56), Most(8192.0)),
        ("6,0", "magnetic_heading_deg", (1, 1), 2, (3, 12), Angle(90.0)),
        ("6,0", "indicated_airspeed_kt", (13, 13), 0, (14, 23), Most(512.0)),
        ("6,0", "mach", (24, 24), 0, (25, 34), Most(2.048)),
        ("6,0", "barometric_altitude_rate_fpm", (35, 35), 36, (37, 45), Most(8192.0)),
        ("6,0", "inertial_vertical_velocity_fpm", (46, 46), 47, (48, 56), Most(8192.0)),
    ];
    for (n, first) in [(1, 1), (2, 15), (3, 29), (4, 43)] {
        let names = [
            ["antenna_1_from_nose_m", "antenna_2_from_nose_m", "antenna_3_from_nose_m", "antenna_4_from_nose_m"],
            [
                "antenna_1_from_ground_m",
                "antenna_2_from_ground_m",
                "antenna_3_from_ground_m",
                "antenna_4_from_ground_m",
            ],
        ];
        let (x, z) = ((first + 3, first + 8), (first + 9, first + 13));
        all.push(("2,2", names[0][n - 1], x, 0, x, Step(1.0, 0.0)));
        all.push(("2,2", names[1][n - 1], z, 0, z, Step(1.0, 0.0)));
    }
    all
}

/// A sum of weights, bit by bit, the way that the tables print them: the sign bit counts as minus twice the highest.
fn expected(bits: u64, sign: u8, (first, last): (u8, u8), weight: &Weight) -> f64 {
    let width = i32::from(last - first) + 1;
    let (mut most, add) = match weight {
        Step(least, add) => (least * 2f64.powi(width - 1), *add),
        Most(most) | Angle(most) => (*most, 0.0),
    };
    let mut sum = if sign > 0 && bit(bits, sign) == 1 { -2.0 * most } else { 0.0 };
    for at in first..=last {
        if bit(bits, at) == 1 {
            sum += most;
        }
        most /= 2.0;
    }
    if matches!(weight, Angle(_)) && sum < 0.0 { sum + 360.0 } else { sum + add }
}

#[test]
fn every_code_of_every_quantity_has_its_value_and_comes_back() {
    for (register, field, status, sign, place, weight) in quantities() {
        let first = if sign > 0 { sign } else { place.0 };
        let width = place.1 - first + 1;
        let status_on = put(status.0, status.1, 1);
        let own_status = status != place && status.0 == status.1;
        let table = table(number(register), 0).unwrap();
        for code in 0..1u64 << width {
            let bits = put(first, place.1, code);
            if own_status {
                assert_eq!(value(register, field, bits), Value::Null, "{register} {field} {code}: status 0");
                // Everything else set, and still no data.
                let all = !status_on & 0xFF_FFFF_FFFF_FFFF;
                assert_eq!(value(register, field, bits | all), Value::Null, "{register} {field}");
            }
            let bits = if status == place { bits } else { bits | status_on };
            let meaning = value(register, field, bits);
            if status == place && code == 0 {
                assert_eq!(meaning, Value::Null, "{register} {field}: zero is no data");
                continue;
            }
            let wanted = expected(bits, sign, place, &weight);
            let found = as_number(&meaning).unwrap_or_else(|| panic!("{register} {field} {code}: {meaning:?}"));
            assert!((found - wanted).abs() < 6e-7, "{register} {field} {code}: {found}, not {wanted}");
            if code % (1 + (1 << width) / 4096) == 0 {
                let fields = BTreeMap::from([(field.to_owned(), Json::from(meaning).to_string())]);
                let back = table.encode(&Wanted { fields: &fields, version: Version::Two }).unwrap() as u64;
                assert_eq!(span(back, first, place.1), code, "{register} {field} {fields:?}");
                assert!(!own_status || back & status_on != 0, "{register} {field}: the status is set");
            }
        }
    }
}

#[test]
fn every_numeric_field_is_in_the_second_implementation() {
    let known = quantities();
    for (register, table) in TABLES {
        for derived in table.derived {
            let ones = (derived.read)(0x00FF_FFFF_FFFF_FFFF, Version::Two).map(|meaning| meaning.value);
            let numeric = matches!(ones, Some(Value::Integer(_) | Value::Decimal(_)));
            let register = register.to_string();
            // The source of 5,2 is the number of a list; it has its own test.
            let is_list = (register.as_str(), derived.field) == ("5,2", "position_source_code");
            let listed = known.iter().any(|(other, field, ..)| *other == register && *field == derived.field);
            assert!(!numeric || listed || is_list, "{register} {}", derived.field);
        }
    }
}

#[test]
fn beyond_the_scale_is_refused_and_null_clears() {
    let encode = |register: &str, fields: &[(&str, &str)]| {
        let fields = fields.iter().map(|(k, v)| ((*k).to_owned(), (*v).to_owned())).collect();
        table(number(register), 0).unwrap().encode(&Wanted { fields: &fields, version: Version::Two })
    };
    for (register, field, beyond) in [
        ("5,0", "roll_deg", "90"),
        ("5,0", "roll_deg", "-90.1"),
        ("5,0", "ground_speed_kt", "2048"),
        ("6,0", "mach", "4.1"),
        ("6,0", "barometric_altitude_rate_fpm", "16384"),
        ("4,0", "barometric_setting_hpa", "799"),
        ("4,0", "barometric_setting_hpa", "1210"),
        ("2,2", "antenna_1_from_nose_m", "0"),
        ("4,4", "humidity_percent", "100"),
        ("5,0", "ground_speed_kt", "fast"),
    ] {
        assert!(encode(register, &[(field, beyond)]).is_err(), "{register} {field} {beyond}");
    }
    assert_eq!(encode("5,0", &[("roll_deg", "null")]), Ok(0));
    assert_eq!(encode("5,0", &[("track_deg", "360")]).unwrap() as u64, put(12, 12, 1), "360 is 0");
    // 89.824 is the last step of roll, 511 x 45/256.
    assert_eq!(encode("5,0", &[("roll_deg", "89.82421875")]).unwrap() as u64, put(1, 1, 1) | put(3, 11, 511));
}

#[test]
fn lists_have_their_words_under_their_status() {
    // Doc 4444 levels: Annex 10 III and handbook, chapter 8. Target sources: handbook, chapter 7.
    let levels = ["nil", "light", "moderate", "severe"];
    let sources = ["unknown", "aircraft_altitude", "mcp_fcu_selected_altitude", "fms_selected_altitude"];
    let places = [
        ("4,4", "turbulence", 47, levels),
        ("4,5", "turbulence", 1, levels),
        ("4,5", "wind_shear", 4, levels),
        ("4,5", "microburst", 7, levels),
        ("4,5", "icing", 10, levels),
        ("4,5", "wake_vortex", 13, levels),
        ("4,0", "target_altitude_source", 54, sources),
    ];
    for (register, field, status, words) in places {
        for (code, word) in words.into_iter().enumerate() {
            let bits = put(status + 1, status + 2, code as u64);
            assert_eq!(value(register, field, bits), Value::Null);
            assert_eq!(value(register, field, bits | put(status, status, 1)), word);
        }
    }
    for (field, at) in [("vnav_mode", 49), ("altitude_hold_mode", 50), ("approach_mode", 51)] {
        assert_eq!(value("4,0", field, put(at, at, 1)), Value::Null);
        assert_eq!(value("4,0", field, put(at, at, 1) | put(48, 48, 1)), Value::Bool(true));
        assert_eq!(value("4,0", field, put(48, 48, 1)), Value::Bool(false));
    }
    // Annex 10 III, page of register 4,8.
    let audio = ["unknown", "nobody", "headphones", "loudspeaker"];
    for (field, first) in [("vhf_1_audio", 17), ("vhf_2_audio", 35), ("vhf_3_audio", 53), ("vhf_121_5_audio", 55)] {
        for (code, word) in audio.into_iter().enumerate() {
            assert_eq!(fields("4,8", put(first, first + 1, code as u64))[field], word);
        }
    }
    // Handbook, chapter 8: 5 to 15 are reserved.
    let weather = ["invalid", "inertial", "gnss", "dme_dme", "vor_dme"];
    for code in 0..16u64 {
        let word = weather.get(code as usize).copied().unwrap_or("reserved");
        assert_eq!(fields("4,4", put(1, 4, code))["weather_source"], word);
    }
    // Doc 9871 draft, page 67.
    for (code, word) in ["no_capability", "high", "low", "reserved"].into_iter().enumerate() {
        assert_eq!(fields("0,7", put(1, 2, code as u64))["squitter_rate"], word);
    }
    assert_eq!(fields("0,7", 0)["squitter_altitude"], "barometric");
    assert_eq!(fields("0,7", put(3, 3, 1))["squitter_altitude"], "gnss_height");
    // Handbook, chapter 6, register 1,0: bit 40 is the higher one of bits 39 and 40; versions and throughputs as Doc 9871
    // draft, page 75, has them.
    for (bits_39_40, word) in ["do_185", "do_185b", "do_185a", "reserved"].into_iter().enumerate() {
        let found = &fields("1,0", put(39, 40, bits_39_40 as u64))["acas_standard"];
        assert_eq!(*found, word);
    }
    let named = |first, last, code| {
        let table = table(number("1,0"), 0).unwrap();
        let row = table.rows.iter().find(|row| (row.span.first, row.span.last) == (first, last)).unwrap();
        (row.meaning)(code, Version::Two).name.unwrap()
    };
    assert_eq!((named(17, 23, 5), named(17, 23, 6)), ("doc_9871_edition_2", "reserved"));
    assert_eq!((named(26, 28, 1), named(26, 28, 7)), ("16_segments_in_1_s", "reserved"));
    assert_eq!((named(29, 32, 3), named(29, 32, 7)), ("16_segments_in_1_s", "reserved"));
    // Annex 10 III, page of register 5,2.
    for code in 0..16 {
        assert_eq!(value("5,2", "position_source_code", put(2, 5, code)), Value::Null);
        let expected = Value::Integer(code as i64);
        assert_eq!(value("5,2", "position_source_code", put(1, 1, 1) | put(2, 5, code)), expected);
    }
}

#[test]
fn text_fields_hold_characters_digits_and_mode_codes() {
    // The alphabet of the aircraft identification (handbook, chapter 6): the low six bits of the letters themselves.
    let packed = |text: &str| text.bytes().fold(0u64, |bits, letter| bits << 6 | u64::from(letter & 0x3F));
    let registration = put(1, 1, 1) | packed("N47QX  ") << (56 - 43) | put(44, 44, 1) | packed("AB");
    assert_eq!(value("2,1", "registration", registration), "N47QX");
    assert_eq!(value("2,1", "airline", registration), "AB");
    assert_eq!(value("2,1", "airline", registration & !put(44, 44, 1)), Value::Null);
    assert_eq!(value("4,1", "waypoint", put(1, 1, 1) | packed("KOBUS    ") << 1), "KOBUS");
    // Code 0 is no character.
    assert_eq!(value("4,1", "waypoint", put(1, 1, 1) | packed("KOBU\0    ") << 1), "KOBU?");
    // Doc 9871 draft, pages 107 and 109: twelve digits of four bits, or eight characters.
    for register in ["E,3", "E,4", "E,5", "E,6"] {
        let digits = put(1, 1, 1) | put(4, 51, 0x1234_5678_9012);
        assert_eq!(value(register, "unit_number", digits), "123456789012");
        assert_eq!(value(register, "unit_number", digits & !put(1, 1, 1)), Value::Null);
        let letters = put(1, 1, 1) | put(2, 3, 1) | put(4, 51, packed("7517 A  "));
        assert_eq!(value(register, "unit_number", letters), "7517 A");
        assert_eq!(value(register, "unit_number", letters | put(2, 3, 2)), Value::Null, "format 3");
        for given in ["123456789012", "AB12"] {
            let fields = BTreeMap::from([("unit_number".to_owned(), given.to_owned())]);
            let wanted = Wanted { fields: &fields, version: Version::Two };
            let bits = table(number(register), 0).unwrap().encode(&wanted).unwrap() as u64;
            assert_eq!(value(register, "unit_number", bits), given);
        }
    }
    // Annex 10 III, page 76: order C1 A1 C2 A2 C4 A4 X B1 D1 B2 D2 B4 D4, so 0808 (hexadecimal) is 1200.
    for (register, flag, mode_1, mode_2) in [("F,1", 2, 3, 17), ("F,2", 7, 8, 22)] {
        let status = put(flag - 1, flag - 1, 1) | put(mode_2 - 1, mode_2 - 1, 1);
        let bits = status | put(mode_1, mode_1 + 12, 0x0808) | put(mode_2, mode_2 + 12, 0x0808);
        assert_eq!(value(register, "mode_1_code", bits), "12");
        assert_eq!(value(register, "mode_1_code", bits | put(flag, flag, 1)), "1200");
        assert_eq!(value(register, "mode_2_code", bits), "1200");
        assert_eq!(value(register, "mode_2_code", bits & !status), Value::Null);
    }
    let mode_a = put(35, 35, 1) | put(36, 48, 0x0AAA);
    assert_eq!(value("F,2", "military_mode_a_code", mode_a), "7700");
    for code in 0..1u64 << 13 {
        let text = ModeA::from_bits(code).to_string();
        let bits = put(16, 16, 1) | put(17, 29, code);
        assert_eq!(value("F,1", "mode_2_code", bits), text.as_str());
    }
}

/// Facts of 1,8 to 1,C (from memory): bit 56 of 1,8 is register 0,1, and so on up, 56 a register.
#[test]
fn each_bit_of_the_installed_registers_names_its_register() {
    for (at, register) in ["1,8", "1,9", "1,A", "1,B", "1,C"].into_iter().enumerate() {
        for bit in 1..=56u8 {
            let named = at * 56 + usize::from(57 - bit);
            let set: Vec<_> = fields(register, put(bit, bit, 1))
                .into_iter()
                .filter(|(_, value)| *value == Value::Bool(true))
                .map(|(field, _)| field.to_owned())
                .collect();
            let expected =
                if named < 256 { vec![format!("register_{:x}_{:x}", named / 16, named % 16)] } else { Vec::new() };
            assert_eq!(set, expected, "{register} bit {bit}");
        }
    }
    // Doc 9871 draft, page 290: bit 25 of 1,8 is register 2,0; page 76: bit 7 of 1,7.
    assert_eq!(fields("1,8", put(25, 25, 1))["register_2_0"], Value::Bool(true));
    assert_eq!(usage_bit(number("2,0")), Some(7));
}

/// Doc 9871 draft, page 83 (1,E; the others from memory): bits 1 to 28 are uplink channels, 29 to 56 downlink channels.
#[test]
fn each_bit_of_the_service_registers_names_its_channel() {
    for (register, first, last) in [("1,D", 1, 28), ("1,E", 29, 56), ("1,F", 57, 63)] {
        for bit in 1..=56u8 {
            let set: Vec<_> = fields(register, put(bit, bit, 1))
                .into_iter()
                .filter(|(_, value)| *value == Value::Bool(true))
                .map(|(field, _)| field.to_owned())
                .collect();
            let (way, at) = if bit <= 28 { ("uplink", bit - 1) } else { ("downlink", bit - 29) };
            let channel = first + at;
            let expected = if channel <= last { vec![format!("{way}_channel_{channel}")] } else { Vec::new() };
            assert_eq!(set, expected, "{register} bit {bit}");
        }
    }
}

/// Handbook, chapters 4 and 6: every pattern of bits 9 to 15, 27 and 28, put into words once more.
#[test]
fn every_advisory_says_its_bits() {
    for code in 0..512u64 {
        let report = put(9, 15, code >> 2) | put(27, 28, code);
        let on = |at| bit(report, at) == 1;
        let text = acas::advisory(report).unwrap_or_default();
        let says = |word: &str| text.split([':', ',', ';']).any(|part| part.trim() == word);
        let (one, several) = (on(9), on(28));
        assert_eq!(text.is_empty(), !one && !several, "{text}");
        if text.is_empty() {
            continue;
        }
        assert_eq!(text.starts_with("one threat"), one && !several, "{text}");
        assert_eq!(text.starts_with("several threats"), several, "{text}");
        assert_eq!(says("ended"), on(27), "{text}");
        assert_eq!(says("altitude crossing"), on(14), "{text}");
        if one {
            assert!(says("corrective") == on(10) && says("preventive") != on(10), "{text}");
            assert!(says("downward sense") == on(11) && says("upward sense") != on(11), "{text}");
            assert_eq!(says("increased rate"), on(12), "{text}");
            assert_eq!(says("sense reversal"), on(13), "{text}");
            assert!(says("positive") == on(15) && says("vertical speed limit") != on(15), "{text}");
        } else {
            let words = ["correction upward", "positive climb", "correction downward", "positive descent"];
            for (at, word) in (10..).zip(words) {
                assert_eq!(says(word), on(at), "{text}");
            }
            assert_eq!(says("sense reversal"), on(15), "{text}");
        }
    }
    for code in 0..16u64 {
        let report = put(23, 26, code);
        let words = ["do not pass below", "do not pass above", "do not turn left", "do not turn right"];
        let expected: Vec<_> = (23..).zip(words).filter(|(at, _)| bit(report, *at) == 1).map(|(_, w)| w).collect();
        assert_eq!(acas::complements(report).unwrap_or_default(), expected.join(", "));
    }
}

/// Handbook, chapter 6: threat identity by kind; altitude in the order of an altitude reply.
#[test]
fn every_threat_code_is_read() {
    assert_eq!(acas::threat(put(31, 56, 12345)), Threat::None);
    assert_eq!(acas::threat(put(29, 30, 3)), Threat::NotAssigned);
    let place = put(29, 30, 2);
    for code in 0..128u64 {
        let found = value("3,0", "threat_range_nm", place | put(44, 50, code));
        // n stands for (n - 1)/10 NM, and 127 for more than 12.55 NM.
        let expected = match code {
            0 => None,
            127 => Some(12.55),
            _ => Some((code as f64 - 1.0) / 10.0),
        };
        assert_eq!(as_number(&found), expected, "{code}");
    }
    for code in 0..64u64 {
        let found = value("3,0", "threat_bearing_deg", place | put(51, 56, code));
        // n stands for 6(n - 1) to 6n degrees; its middle is told.
        let expected = if matches!(code, 1..=60) { Some(6.0 * code as f64 - 3.0) } else { None };
        assert_eq!(as_number(&found), expected, "{code}");
        if let Some(degrees) = expected {
            let fields = BTreeMap::from([("threat_bearing_deg".to_owned(), degrees.to_string())]);
            let wanted = Wanted { fields: &fields, version: Version::Two };
            let back = table(number("3,0"), 0).unwrap().encode(&wanted).unwrap() as u64;
            assert_eq!((span(back, 51, 56), span(back, 29, 30)), (code, 2));
        }
    }
    // 38 000 ft is 1838 as an altitude reply (frame A0001838... of the handbook, chapter 9).
    assert_eq!(value("3,0", "threat_altitude_ft", place | put(31, 43, 0x1838)), Value::Integer(38_000));
}

// Round trips ---------------------------------------------------------------------------------------------------------

#[test]
fn any_payload_under_any_register_gives_its_frame_back() {
    let mut random = Random(0x5EED_1090);
    let mut tables = std::collections::HashSet::new();
    for register in 0..=u8::MAX {
        let register = RegisterNumber::new(register);
        let known = SQUITTER.contains(&register) || TABLES.iter().any(|(known, _)| *known == register);
        assert_eq!(table(register, 0).is_some(), known, "{register}");
        let turns = if known { cases(400) as usize } else { 4 };
        for turn in 0..turns {
            let mut payload = match turn {
                0 => 0,
                1 => 0x00FF_FFFF_FFFF_FFFF,
                _ => random.payload(),
            };
            // Random bits seldom are a squitter: the type codes and subtypes in turn.
            if SQUITTER.contains(&register) && turn > 1 {
                payload = payload & 0x00FF_FFFF_FFFF_FFFF >> 8 | (turn as u64 % 256) << 48;
            }
            let head = [20u128, 21][turn % 2] << 107 | u128::from(random.next() >> 37) << 80;
            let pattern = head | u128::from(payload) << 24;
            let frame = Frame::from_pattern(pattern, 112).with_overlay(random.next() as u32 & 0xFF_FFFF);
            let decoded = Decoded::new(frame).with_register(register);
            let codes = codes(&decoded);
            assert_eq!(codes.len(), decoded.rows().len(), "{register}: every row has a key of its own");
            assert_eq!(encode_codes(&codes), Ok(frame), "{register} {frame}");
            if let Some(payload) = decoded.payload() {
                tables.insert(payload.table.title);
            }
            // Nothing that is shown may fail on any bits.
            let observation = Tracker::new(None, Some(2)).observe(&decoded, None);
            let fields = decoded.fields(Version::Two);
            let shown = json::frame(&Place::default(), &decoded, &observation);
            assert!(fields.iter().all(|(field, _)| shown["fields"].get(field).is_some()), "{shown}");
            assert!(!text::frame(&Place::default(), &decoded, &observation).is_empty());
            if turn < 20 {
                let explained = ruler::explanation(&decoded, &observation, true);
                assert!(decoded.rows().iter().all(|placed| explained.contains(placed.key)), "{explained}");
            }
        }
    }
    assert!(tables.len() > 30 + 8, "registers and squitters were met: {}", tables.len());
}

/// A reply's own altitude and Mode A code, and those of a squitter's register, stand beside each other.
#[test]
fn a_register_does_not_hide_what_the_reply_says() {
    // Register 0,5 with 35 000 ft in a reply with 38 000 ft; computed: (35 000 + 1000)/25 = 1440 = 5A0,
    // and with Q put in before the last four bits B50.
    let squitter = put(1, 5, 11) | put(9, 20, 0xB50);
    let frame = Frame::from_pattern(20 << 107 | 0x1838 << 80 | u128::from(squitter) << 24, 112);
    let fields = read(&frame.to_string(), "0,5");
    assert_eq!(fields["pressure_altitude_ft"], json!(38_000));
    assert_eq!(fields["register_pressure_altitude_ft"], json!(35_000));
    // Register 6,1 of version 2 with 7700 in a reply with 1200.
    let status = put(1, 5, 28) | put(6, 8, 1) | put(12, 24, 0x0AAA);
    let frame = Frame::from_pattern(21 << 107 | 0x0808 << 80 | u128::from(status) << 24, 112);
    let decoded = Decoded::new(frame).with_register(number("6,1"));
    let fields: BTreeMap<_, _> = decoded.fields(Version::Two).into_iter().collect();
    assert_eq!(fields["mode_a_code"].value, "1200");
    assert_eq!(fields["register_mode_a_code"].value, "7700");
}

/// The handbook's frames of chapters 7 and 8, built from their meanings.
#[test]
fn worked_frames_come_out_of_their_meanings() {
    let build = |message: &str, fields: &[(&str, &str)]| {
        let fields = fields.iter().map(|(k, v)| ((*k).to_owned(), (*v).to_owned())).collect();
        encode_meanings(message, &fields, Version::Two).unwrap().frame.to_string()
    };
    let turn = [
        ("address", "4008B4"),
        ("mode_a_code", "6322"),
        ("roll_deg", "-9.7"),
        ("track_deg", "140.273"),
        ("ground_speed_kt", "476"),
        ("track_rate_deg_per_s", "-0.406"),
        ("true_airspeed_kt", "466"),
    ];
    assert_eq!(build("register_5_0", &turn), "A80006ACF9363D3BBF9CE98F1E1D");
    let weather = [
        ("address", "3C4DD7"),
        ("pressure_altitude_ft", "35050"),
        ("weather_source", "inertial"),
        ("wind_speed_kt", "22"),
        ("wind_direction_deg", "344.53"),
        ("static_air_temperature_c", "-48.75"),
    ];
    assert_eq!(build("register_4_4", &weather), "A0001692185BD5CF400000DFC696");
}

// Inference -----------------------------------------------------------------------------------------------------------

/// The layout rules of the handbook's chapter 9, once more: first octet, zero bits, status and field.
struct Layout {
    register: &'static str,
    first_octet: Option<u64>,
    zero: &'static [(u8, u8)],
    pairs: &'static [(u8, u8, u8)],
    more: fn(u64) -> bool,
}

fn is_character(code: u64) -> bool {
    matches!(code, 1..=26 | 32 | 48..=57)
}

const LAYOUTS: &[Layout] = &[
    Layout { register: "1,0", first_octet: Some(0x10), zero: &[(10, 14)], pairs: &[], more: |_| true },
    // Bits 25 to 29 differ between editions.
    Layout { register: "1,7", first_octet: None, zero: &[(30, 56)], pairs: &[], more: |bits| bit(bits, 7) == 1 },
    Layout {
        register: "2,0",
        first_octet: Some(0x20),
        zero: &[],
        pairs: &[],
        more: |bits| (0..8).all(|at| is_character(span(bits, 9 + 6 * at, 14 + 6 * at))),
    },
    Layout {
        register: "3,0",
        first_octet: Some(0x30),
        zero: &[],
        pairs: &[],
        // Annex 10 IV, 4.3.8.4.2: the two bits behind an address are zero.
        more: |bits| {
            let kind = span(bits, 29, 30);
            kind != 3 && span(bits, 16, 22) < 48 && (kind != 1 || span(bits, 55, 56) == 0)
        },
    },
    Layout {
        register: "4,0",
        first_octet: None,
        zero: &[(40, 47), (52, 53)],
        // The last two by the same convention (Doc 9871 draft, page 29).
        pairs: &[(1, 2, 13), (14, 15, 26), (27, 28, 39), (48, 49, 51), (54, 55, 56)],
        more: |_| true,
    },
    Layout {
        register: "4,4",
        first_octet: None,
        zero: &[],
        pairs: &[(5, 6, 23), (35, 36, 46), (47, 48, 49), (50, 51, 56)],
        more: |bits| span(bits, 1, 4) <= 4,
    },
    Layout {
        register: "4,5",
        first_octet: None,
        zero: &[(52, 56)],
        pairs: &[(1, 2, 3), (4, 5, 6), (7, 8, 9), (10, 11, 12), (13, 14, 15), (16, 17, 26), (27, 28, 38), (39, 40, 51)],
        more: |_| true,
    },
    Layout {
        register: "5,0",
        first_octet: None,
        zero: &[],
        pairs: &[(1, 2, 11), (12, 13, 23), (24, 25, 34), (35, 36, 45), (46, 47, 56)],
        more: |_| true,
    },
    Layout {
        register: "6,0",
        first_octet: None,
        zero: &[],
        pairs: &[(1, 2, 12), (13, 14, 23), (24, 25, 34), (35, 36, 45), (46, 47, 56)],
        more: |_| true,
    },
];

impl Layout {
    fn obeyed(&self, bits: u64) -> bool {
        self.first_octet.is_none_or(|octet| bits >> 48 == octet)
            && self.zero.iter().all(|(first, last)| span(bits, *first, *last) == 0)
            && self.pairs.iter().all(|(status, first, last)| bit(bits, *status) == 1 || span(bits, *first, *last) == 0)
            && (self.more)(bits)
    }

    /// The nearest pattern that obeys zeros, pairs and first octet.
    fn mended(&self, mut bits: u64) -> u64 {
        if let Some(octet) = self.first_octet {
            bits = bits & 0xFFFF_FFFF_FFFF | octet << 48;
        }
        for (first, last) in self.zero {
            bits &= !put(*first, *last, u64::MAX);
        }
        for (status, first, last) in self.pairs {
            if bit(bits, *status) == 0 {
                bits &= !put(*first, *last, u64::MAX);
            }
        }
        bits
    }
}

fn listed(bits: u64) -> Vec<String> {
    infer(bits, None).iter().map(|opinion| opinion.register.to_string()).collect()
}

#[test]
fn the_list_is_exactly_the_registers_whose_layout_is_obeyed() {
    let mut random = Random(0xC0FF_EE11);
    let mut met = BTreeMap::<&str, (u32, u32)>::new();
    for _ in 0..cases(20_000) {
        let raw = random.payload();
        for maker in LAYOUTS {
            let good = maker.mended(raw);
            let broken = good ^ 1 << (random.next() % 56);
            for bits in [good, broken] {
                if bits == 0 {
                    assert!(listed(bits).is_empty());
                    continue;
                }
                let names = listed(bits);
                for layout in LAYOUTS {
                    let obeyed = layout.obeyed(bits);
                    let found = names.iter().any(|name| name == layout.register);
                    // Where every status is set and nothing else is to be held against it, no rule speaks for it.
                    assert!(!found || obeyed, "{} is listed for {bits:014X}", layout.register);
                    let weighed = opinion(number(layout.register), bits, None).unwrap();
                    assert_eq!(weighed.obeys, obeyed, "{} {bits:014X} {weighed:?}", layout.register);
                    assert_eq!(found, obeyed && !weighed.supports.is_empty(), "{} {bits:014X}", layout.register);
                    assert!(weighed.obeys || !weighed.against.is_empty(), "a broken rule is named");
                    let count = met.entry(layout.register).or_default();
                    if obeyed { count.0 += 1 } else { count.1 += 1 }
                }
            }
        }
    }
    for layout in LAYOUTS {
        let (obeyed, broken) = met[layout.register];
        assert!(obeyed > 100 && broken > 100, "{}: {obeyed} obeyed, {broken} broken", layout.register);
    }
}

/// Reserved bits and status bits of every table, taken from the tables' rows: a register with one of them wrong is
/// struck out.
#[test]
fn no_register_is_listed_with_a_reserved_bit_set() {
    let mut random = Random(0xABCD_EF01);
    let mut struck = 0;
    for _ in 0..cases(20_000) {
        let bits = random.payload();
        for opinion in infer(bits, None) {
            if SQUITTER.contains(&opinion.register) {
                continue;
            }
            let table: &Table = table(opinion.register, bits).unwrap();
            for row in table.rows.iter().filter(|row| row.is_reserved()) {
                let soft = matches!((opinion.register.bits(), row.span.first), (0x17, 25) | (0x30, 16));
                assert!(soft || table.code(row, bits.into()) == 0, "{} {bits:014X} {}", opinion.register, row.key);
                struck += 1;
            }
        }
    }
    assert!(struck > 1000, "{struck}");
}

/// The registers of the squitter want its type codes and the subtypes that have a message (facts of Doc 9871, Tables of
/// 0,5 to 0,A, 6,1, 6,2 and 6,5), and nothing that is hard besides, but for the characters and the threat.
#[test]
fn registers_of_the_squitter_want_its_type_codes() {
    let fits = |register: &str, type_code: u64, subtype: u64| match register {
        "0,5" => matches!(type_code, 0 | 9..=18 | 20..=22),
        "0,6" => matches!(type_code, 5..=8),
        "0,8" => matches!(type_code, 1..=4),
        "0,9" => type_code == 19 && matches!(subtype, 1..=4),
        "6,1" => type_code == 28 && matches!(subtype, 1 | 2),
        "6,2" => type_code == 29 && subtype < 4,
        "6,5" => type_code == 31 && subtype < 2,
        _ => matches!((type_code, subtype), (28, 1 | 2) | (29, 0..=3) | (31, 0 | 1)),
    };
    // Eight letters A.
    let letters = (0..8).fold(0, |bits, _| bits << 6 | 1);
    for head in 0..256u64 {
        let bits = head << 48 | letters & if head >> 3 < 5 { u64::MAX } else { 0 };
        let names = if bits == 0 { Vec::new() } else { listed(bits) };
        for register in SQUITTER {
            let name = register.to_string();
            let found = names.contains(&name);
            assert_eq!(found, bits != 0 && fits(&name, head >> 3, head & 7), "{name} {bits:014X}");
        }
    }
    // A code that is no character.
    assert!(!listed(4 << 51 | 63).contains(&"0,8".to_owned()));
    // In a reply at 38 000 ft, a position at 10 000 ft (378, facts of the altitude code) is none of this moment.
    let position = |altitude: i32| {
        let opinions = infer(put(1, 5, 11) | put(9, 20, 0x378) | 1, Some(altitude));
        opinions.into_iter().find(|opinion| opinion.register == number("0,5")).unwrap().against.len()
    };
    assert_eq!((position(10_000), position(38_000)), (0, 1));
}

/// Handbook, chapters 6 to 9: its frames, and of the nine registers of its rules those that they leave (computed from the
/// rules as corrected).
#[test]
fn worked_frames_keep_their_register_and_it_comes_first() {
    let frames: [(&str, &str, &[&str]); 6] = [
        ("A0001838CA380031440000F24177", "4,0", &["4,0"]),
        ("A0000638FA81C10000000081A92F", "1,7", &["1,7", "4,5"]),
        ("A80006ACF9363D3BBF9CE98F1E1D", "5,0", &["5,0"]),
        ("A0001692185BD5CF400000DFC696", "4,4", &["4,4"]),
        ("A00016920001CF400000008BD87B", "4,5", &["4,5"]),
        ("A0001838E519F33160240142D7FA", "6,0", &["5,0", "6,0"]),
    ];
    for (frame, register, left) in frames {
        let decoded = Decoded::new(frame.parse().unwrap());
        let possible = decoded.possible_registers().unwrap();
        let names: Vec<String> = possible.iter().map(|opinion| opinion.register.to_string()).collect();
        assert_eq!(names[0], register, "{frame}: {names:?}");
        assert!(possible[0].against.is_empty(), "{frame}");
        let mut of_the_rules: Vec<&str> =
            LAYOUTS.iter().map(|l| l.register).filter(|r| names.iter().any(|name| name == r)).collect();
        of_the_rules.sort_unstable();
        assert_eq!(of_the_rules, left, "{frame}");
    }
    // With the altitude of format 20 the Mach number speaks for 6,0; without it nothing is said of it.
    let six = |altitude| infer(0xE519F331602401, altitude)[0].clone();
    let says_mach = |o: &squitterlab::register::inference::Opinion| o.supports.iter().any(|s| s.contains("calibrated"));
    assert!(says_mach(&six(Some(38_000))) && !says_mach(&six(None)));
    // The same speeds low down cannot be: Mach 0.788 at 2000 ft is more than 500 kt.
    let low = infer(0xE519F331602401, Some(2000));
    let six = low.iter().find(|opinion| opinion.register == number("6,0")).unwrap();
    assert!(six.against.iter().any(|reason| reason.contains("calibrated")), "{six:?}");
}

/// Limits of the handbook's chapter 9 are rules of thumb: they speak against, and do not strike out.
#[test]
fn values_beyond_the_limits_stand_against() {
    let against = |register: &str, fields: &[(&str, &str)]| {
        let fields = fields.iter().map(|(k, v)| ((*k).to_owned(), (*v).to_owned())).collect();
        let wanted = Wanted { fields: &fields, version: Version::Two };
        let bits = table(number(register), 0).unwrap().encode(&wanted).unwrap() as u64;
        let opinion = opinion(number(register), bits, None).unwrap();
        assert!(opinion.obeys && infer(bits, None).iter().any(|o| o.register == opinion.register), "{opinion:?}");
        opinion.against.len()
    };
    for (register, inside, outside) in [
        ("5,0", [("roll_deg", "50")], [("roll_deg", "-51")]),
        ("5,0", [("ground_speed_kt", "600")], [("ground_speed_kt", "602")]),
        ("5,0", [("true_airspeed_kt", "600")], [("true_airspeed_kt", "602")]),
        ("6,0", [("indicated_airspeed_kt", "500")], [("indicated_airspeed_kt", "501")]),
        ("6,0", [("mach", "1.0")], [("mach", "1.004")]),
        ("6,0", [("barometric_altitude_rate_fpm", "-5984")], [("barometric_altitude_rate_fpm", "-6016")]),
        ("6,0", [("inertial_vertical_velocity_fpm", "5984")], [("inertial_vertical_velocity_fpm", "6016")]),
        ("4,4", [("wind_speed_kt", "249")], [("wind_speed_kt", "250")]),
        ("4,5", [("static_air_temperature_c", "60")], [("static_air_temperature_c", "60.25")]),
        ("4,5", [("static_air_temperature_c", "-80")], [("static_air_temperature_c", "-80.25")]),
    ] {
        assert_eq!(against(register, &inside), 0, "{register} {inside:?}");
        assert_eq!(against(register, &outside), 1, "{register} {outside:?}");
    }
    let speeds = |air: &str| against("5,0", &[("ground_speed_kt", "400"), ("true_airspeed_kt", air)]);
    assert_eq!((speeds("200"), speeds("198")), (0, 1), "200 kt apart at most");
}

#[test]
fn what_is_inferred_is_shown() {
    let shown = |frame: &str, register: Option<&str>| {
        let mut decoded = Decoded::new(frame.parse().unwrap());
        if let Some(register) = register {
            decoded = decoded.with_register(number(register));
        }
        let observation = Tracker::new(None, None).observe(&decoded, None);
        let object = json::frame(&Place::default(), &decoded, &observation);
        let words = |text: String| text.split_whitespace().collect::<Vec<_>>().join(" ");
        let text = words(text::frame(&Place::default(), &decoded, &observation));
        (object, text, words(ruler::explanation(&decoded, &observation, false)))
    };
    let (object, text, explained) = shown("A0001838E519F33160240142D7FA", None);
    assert_eq!(object["registers"][0]["register"], "6,0");
    assert_eq!(object["registers"][1]["register"], "5,0");
    let reason = "ground speed and true airspeed are 392 kt apart, more than 200";
    assert_eq!(object["registers"][1]["against"], json!([reason]));
    for words in [&text, &explained] {
        assert!(words.contains("it can be register 6,0: ") && words.contains("or register 5,0: "), "{words}");
        assert!(words.contains(&format!("against it: {reason}")), "{words}");
    }
    // Read as 5,0 on the caller's word, the broken rule is still said.
    let (object, text, explained) = shown("A0001838E519F33160240142D7FA", Some("5,0"));
    assert_eq!(object["against"], json!([reason]));
    assert!(object.get("registers").is_none());
    assert!(text.contains(&format!("against register 5,0: {reason}")), "{text}");
    assert!(explained.contains(&format!("against register 5,0: {reason}")), "{explained}");
    // All zero.
    let zero = Frame::from_pattern(20 << 107, 112).with_overlay(0x3C6DD0).to_string();
    let (object, text, explained) = shown(&zero, None);
    assert_eq!((&object["registers"], &object["registers_note"]), (&json!([]), &json!(ALL_ZERO)));
    assert!(text.contains(ALL_ZERO) && explained.contains(ALL_ZERO));
    // A squitter has no registers to guess.
    let (object, ..) = shown("8D4840D6202CC371C32CE0576098", None);
    assert!(object.get("registers").is_none());
}

// Data overlay --------------------------------------------------------------------------------------------------------

/// Handbook, Mode S part, chapter 1: register 4,4 laid over address DD33AA gives 9933AA. The frames are made here; the
/// payload is that of its 4,4 example in chapter 8.
#[test]
fn a_register_number_in_the_parity_makes_no_new_aircraft() {
    let clear = |address: u128| Frame::from_pattern(11 << 51 | 5 << 48 | address << 24, 56).with_overlay(0);
    let payload = 0x0018_5BD5_CF40_0000_u128;
    let reply = Frame::from_pattern(20 << 107 | 0x1692 << 80 | payload << 24, 112).with_overlay(0x99_33AA);
    let mut tracker = Tracker::new(None, None);
    let mut see = |frame: Frame| tracker.observe(&Decoded::new(frame), None);

    assert_eq!(see(reply).possible_data_overlay, None, "nothing heard in clear yet");
    assert!(see(clear(0xDD_33AA)).address_confirmed);
    for _ in 0..3 {
        let seen = see(reply);
        assert!(!seen.address_confirmed, "an overlaid address is not an aircraft");
        let overlay = seen.possible_data_overlay.unwrap();
        assert_eq!(overlay.address, Address::new(0xDD_33AA));
        assert_eq!((overlay.register.to_string().as_str(), overlay.others), ("4,4", 0));
    }
    // Another format carries no register, and lower bits that differ are another aircraft.
    let altitude = Frame::from_pattern(4 << 51, 56).with_overlay(0x99_33AA);
    assert_eq!(see(altitude).possible_data_overlay, None);
    assert_eq!(see(reply.with_overlay(0x99_33AB)).possible_data_overlay, None);
    // Two that fit: the one whose register the payload can be comes first, and the other is counted. 50 xor 99 is C9.
    assert!(see(clear(0xC9_33AA)).address_confirmed);
    let overlay = see(reply).possible_data_overlay.unwrap();
    assert_eq!((overlay.address, overlay.others), (Address::new(0xDD_33AA), 1));
    // Once the address itself is heard in clear, it is simply that aircraft.
    assert!(see(clear(0x99_33AA)).address_confirmed);
    let seen = see(reply);
    assert!(seen.address_confirmed && seen.possible_data_overlay.is_none());

    let mut tracker = Tracker::new(None, None);
    tracker.observe(&Decoded::new(clear(0xDD_33AA)), None);
    let decoded = Decoded::new(reply);
    let observation = tracker.observe(&decoded, None);
    let object = json::frame(&Place::default(), &decoded, &observation);
    assert_eq!(object["possible_data_overlay"], json!({"address": "DD33AA", "register": "4,4"}));
    assert_eq!(object["address_confirmed"], json!(false));
    let text = text::frame(&Place::default(), &decoded, &observation);
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(text.contains("possible data overlay: address DD33AA, heard in the clear, with register 4,4"), "{text}");
}

/// Every number of every register has a getter, and it says what the field says.
#[test]
fn the_getters_of_registers_say_what_the_fields_say() {
    use squitterlab::code::MeaningKind;
    use squitterlab::register::{
        AirReferencedState, AntennaPositions, HeadingAndSpeed, NextWaypointInformation, NextWaypointPosition,
        PositionCoarse, PositionFine, TrackAndTurn, VerticalIntention, VhfChannels, WeatherHazard, WeatherRoutine,
    };
    let mut said = 0;
    let mut checked: Vec<(&str, &str)> = Vec::new();
    macro_rules! getters {
        ($($table:ident: $($getter:ident $field:literal),+;)+) => {
            $(
                for n in 0..20_000u64 {
                    let mut random = Random(n + 1);
                    let bits = if n % 2 == 0 { random.next() } else { random.next() & random.next() } >> 8;
                    let fields = $table::TABLE.fields(bits.into(), Version::Two);
                    let register = $table::from_bits(bits);
                    $(
                        let found = fields.iter().find(|(name, _)| *name == $field).map(|(_, meaning)| meaning.value);
                        let got: Option<f64> = register.$getter();
                        let expected = found.expect("a field").number();
                        assert_eq!(got.is_some(), expected.is_some(), "{} of {bits:014X}", $field);
                        if let (Some(got), Some(expected)) = (got, expected) {
                            // The field is rounded to six places.
                            assert!((got - expected).abs() <= 5.1e-7, "{}: {got} and {expected}", $field);
                            said += 1;
                        }
                    )+
                }
                checked.extend([$( ($table::TABLE.message, $field) ),+]);
            )+
        };
    }
    getters! {
        AirReferencedState: magnetic_heading_deg "magnetic_heading_deg", indicated_airspeed_kt "indicated_airspeed_kt", mach_number "mach", true_airspeed_kt "true_airspeed_kt", altitude_rate_fpm "altitude_rate_fpm";
        AntennaPositions: antenna_1_from_nose_m "antenna_1_from_nose_m", antenna_1_from_ground_m "antenna_1_from_ground_m", antenna_2_from_nose_m "antenna_2_from_nose_m", antenna_2_from_ground_m "antenna_2_from_ground_m", antenna_3_from_nose_m "antenna_3_from_nose_m", antenna_3_from_ground_m "antenna_3_from_ground_m", antenna_4_from_nose_m "antenna_4_from_nose_m", antenna_4_from_ground_m "antenna_4_from_ground_m";
        HeadingAndSpeed: magnetic_heading_deg "magnetic_heading_deg", indicated_airspeed_kt "indicated_airspeed_kt", mach_number "mach", barometric_altitude_rate_fpm "barometric_altitude_rate_fpm", inertial_vertical_velocity_fpm "inertial_vertical_velocity_fpm";
        NextWaypointInformation: waypoint_bearing_deg "waypoint_bearing_deg", time_to_waypoint_min "time_to_waypoint_min", distance_to_waypoint_nm "distance_to_waypoint_nm";
        NextWaypointPosition: waypoint_latitude_deg "waypoint_latitude_deg", waypoint_longitude_deg "waypoint_longitude_deg", waypoint_crossing_altitude_ft "waypoint_crossing_altitude_ft";
        PositionCoarse: latitude_deg "latitude_deg", longitude_deg "longitude_deg", coarse_pressure_altitude_ft "coarse_pressure_altitude_ft";
        PositionFine: latitude_fine_deg "latitude_fine_deg", longitude_fine_deg "longitude_fine_deg", fine_altitude_ft "fine_altitude_ft";
        TrackAndTurn: roll_deg "roll_deg", track_deg "track_deg", ground_speed_kt "ground_speed_kt", track_rate_deg_per_s "track_rate_deg_per_s", true_airspeed_kt "true_airspeed_kt";
        VerticalIntention: mcp_fcu_selected_altitude_ft "mcp_fcu_selected_altitude_ft", fms_selected_altitude_ft "fms_selected_altitude_ft", barometric_setting_hpa "barometric_setting_hpa";
        VhfChannels: vhf_1_mhz "vhf_1_mhz", vhf_2_mhz "vhf_2_mhz", vhf_3_mhz "vhf_3_mhz";
        WeatherHazard: static_air_temperature_c "static_air_temperature_c", average_static_pressure_hpa "average_static_pressure_hpa", radio_height_ft "radio_height_ft";
        WeatherRoutine: wind_speed_kt "wind_speed_kt", wind_direction_deg "wind_direction_deg", static_air_temperature_c "static_air_temperature_c", average_static_pressure_hpa "average_static_pressure_hpa", humidity_percent "humidity_percent";
    }
    assert!(said > 100_000, "{said}");
    // The resolution advisory's are those of a message, not of this register alone.
    for (_, table) in TABLES.iter().filter(|(_, table)| table.message != "register_3_0") {
        for derived in
            table.derived.iter().filter(|derived| matches!(derived.kind, MeaningKind::Integer | MeaningKind::Decimal))
        {
            let is_number = derived.field != "position_source_code";
            assert_eq!(checked.contains(&(table.message, derived.field)), is_number, "{}", derived.field);
        }
    }
}
