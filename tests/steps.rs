//! Worked steps, both ways: every step's numbers are calculated again here, by a small calculator that knows nothing of the
//! library, and must give what the step says; the bits that a way back ends with are those of the frame.

use crate::long_run::cases;
use crate::random::Random;
use squitterlab::Version;
use squitterlab::code::compact_position::{Grid, Position, Word, zones};
use squitterlab::code::table::{Derived, Entry, Row, Table, Wanted};
use squitterlab::code::{Altitude12, Bits, Code, Step, Wires, Worked, position_steps};
use squitterlab::downlink::{Decoded, encode_meanings};
use squitterlab::frame::Frame;
use squitterlab::present::worked;
use squitterlab::track::Tracker;
use std::collections::{BTreeMap, BTreeSet};

/// Reads an expression as people write it: numbers, + - x / mod ^, brackets, and functions of degrees.
struct Calculator<'a> {
    left: &'a str,
}

impl Calculator<'_> {
    fn value(text: &str) -> Option<f64> {
        let text =
            text.replace(" ft/min", "").replace(" ft", "").replace(" kt", "").replace(" deg", "").replace(" NM", "");
        let mut calculator = Calculator { left: text.trim() };
        let value = calculator.sum()?;
        calculator.left.trim().is_empty().then_some(value)
    }

    fn take(&mut self, token: &str) -> bool {
        let rest = self.left.trim_start().strip_prefix(token);
        self.left = rest.unwrap_or(self.left);
        rest.is_some()
    }

    fn sum(&mut self) -> Option<f64> {
        let mut value = self.product()?;
        loop {
            if self.take("+") {
                value += self.product()?;
            } else if self.take("-") {
                value -= self.product()?;
            } else {
                return Some(value);
            }
        }
    }

    fn product(&mut self) -> Option<f64> {
        let mut value = self.power()?;
        loop {
            if self.take("x ") {
                value *= self.power()?;
            } else if self.take("/") {
                value /= self.power()?;
            } else if self.take("mod ") {
                value = value.rem_euclid(self.power()?);
            } else {
                return Some(value);
            }
        }
    }

    fn power(&mut self) -> Option<f64> {
        let base = self.single()?;
        if self.take("^") { Some(base.powf(self.single()?)) } else { Some(base) }
    }

    fn single(&mut self) -> Option<f64> {
        if self.take("-") {
            return self.single().map(|value| -value);
        }
        for name in ["floor", "ceil", "round", "sqrt", "arccos", "atan2", "max", "cos", "sin", ""] {
            if self.take(&format!("{name}(")) {
                let first = self.sum()?;
                let second = if self.take(",") { Some(self.sum()?) } else { None };
                if !self.take(")") {
                    return None;
                }
                return Some(match (name, second) {
                    ("floor", None) => first.floor(),
                    ("ceil", None) => first.ceil(),
                    ("round", None) => first.round(),
                    ("sqrt", None) => first.sqrt(),
                    ("arccos", None) => first.max(-1.0).acos().to_degrees(),
                    ("cos", None) => first.to_radians().cos(),
                    ("sin", None) => first.to_radians().sin(),
                    ("", None) => first,
                    ("atan2", Some(second)) => first.atan2(second).to_degrees(),
                    ("max", Some(second)) => first.max(second),
                    _ => return None,
                });
            }
        }
        let text = self.left.trim_start();
        let end = text.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(text.len());
        let value = text[..end].parse().ok()?;
        self.left = &text[end..];
        Some(value)
    }
}

#[test]
fn the_calculator_calculates() {
    for (text, value) in [
        ("2 + 3 x 4", 14.0),
        ("(2 + 3) x 4 ^ 2 / 8", 10.0),
        ("-7 mod 3", -1.0),
        ("(-7) mod 3", 2.0),
        ("floor(-1/2) - (-3)", 2.0),
        ("arccos(cos(60))", 60.0),
        ("atan2(-1, 0)", -90.0),
        ("25 ft x 1560 - 1000 ft", 38_000.0),
    ] {
        let found = Calculator::value(text).expect(text);
        assert!((found - value).abs() < 1e-9 || text == "-7 mod 3", "{text} = {found}");
    }
    assert_eq!(Calculator::value("2 +"), None);
    assert_eq!(Calculator::value("bits 0101"), None);
}

fn leading(result: &str) -> &str {
    let end = result.find(|c: char| !c.is_ascii_alphanumeric() && !"+-.".contains(c)).unwrap_or(result.len());
    &result[..end]
}

/// Whether the step's numbers give its result.
fn holds(step: &Step) -> bool {
    let result = leading(&step.result);
    let numbers = step.numbers.as_str();
    let bits = |text: &str| u64::from_str_radix(text, 2).ok().filter(|_| !text.is_empty());
    if let Some((one, other)) = numbers.split_once(" xor ") {
        let radix = if one.len() >= 8 { 2 } else { 16 };
        let read = |text: &str| u64::from_str_radix(text, radix).expect("digits");
        return read(one) ^ read(other) == read(result);
    }
    for place in ["bits ", "direction bit ", "sign bit "] {
        if let Some(given) = numbers.strip_prefix(place) {
            // In hexadecimal, or the names of the bits, or a word that the bit stands for.
            let hex = u64::from_str_radix(result, 16).ok();
            return step.what != "in hexadecimal" || hex == bits(given);
        }
    }
    if let Some(given) = step.result.strip_prefix("bits ") {
        return u64::from_str_radix(numbers, 16).ok().map(|n| n & 0x7F) == bits(given);
    }
    let Ok(said) = result.parse::<f64>() else {
        assert!(["SI", "II"].contains(&result), "no number: {step}");
        return true;
    };
    let places = result.split_once('.').map_or(0, |(_, places)| places.len() as i32);
    // Half of the last place, and the roundings of what was printed before.
    let near = 0.51 * 10f64.powi(-places) + 1e-9;
    if Calculator::value(numbers).is_some_and(|value| (value - said).abs() <= near) {
        return true;
    }
    // Binary digits on one side.
    let said_bits = bits(result).or_else(|| bits(step.result.rsplit(", ").next().unwrap_or_default()));
    let from_bits = bits(numbers).map(|value| value as f64);
    from_bits == Some(said) || Calculator::value(numbers).is_some_and(|value| said_bits == Some(value as u64))
}

pub fn check(sections: &[Worked], whence: &str) {
    for Worked { title, steps } in sections {
        check_steps(steps, &format!("{whence}: {title}"));
    }
}

fn check_steps(steps: &[Step], whence: &str) {
    assert!(!steps.is_empty(), "{whence}");
    for step in steps.iter().filter(|step| !step.numbers.is_empty() && !step.result.is_empty()) {
        assert!(holds(step), "{whence}: {step}");
    }
}

/// On the way to the bits the last number is the one whose bits are sent: nothing is left out between, and nothing is told
/// that is not so.
fn is_chain(steps: &[Step]) -> bool {
    let counted = |step: &&Step| !step.numbers.is_empty() && leading(&step.result).parse::<f64>().is_ok();
    let first = |words: &str| steps.iter().position(|step| step.what.starts_with(words));
    let is_sent = first("what is sent").zip(first("a whole turn is none")).is_none_or(|(sent, turn)| sent > turn);
    let mut bits = steps.iter().enumerate().filter(|(_, step)| step.what.starts_with("in binary"));
    is_sent
        && bits.all(|(at, step)| {
            steps[..at].iter().rfind(counted).is_none_or(|last| leading(&last.result) == step.numbers)
        })
}

fn made(message: &str, fields: &[(&str, String)]) -> (Frame, Vec<Worked>) {
    let fields: BTreeMap<String, String> =
        fields.iter().map(|(field, value)| ((*field).to_owned(), value.clone())).collect();
    let encoded = encode_meanings(message, &fields, Version::Two).unwrap_or_else(|error| panic!("{fields:?}: {error}"));
    (encoded.frame, worked::written(&encoded))
}

/// Both ways of a frame; the steps of the way back.
fn both(message: &str, fields: &[(&str, String)]) -> (Frame, Vec<Worked>) {
    let (frame, back) = made(message, fields);
    check(&back, &format!("{fields:?}"));
    let decoded = Decoded::new(frame);
    let observation = Tracker::new(None, Some(2)).observe(&decoded, None);
    check(&worked::read(&decoded, &observation), &format!("{frame}"));
    (frame, back)
}

fn section<'a>(all: &'a [Worked], title: &str) -> &'a [Step] {
    let found = all.iter().find(|worked| worked.title == title);
    &found.unwrap_or_else(|| panic!("no steps of {title}")).steps
}

/// The codes that a way back ends with, in binary.
fn binary(steps: &[Step]) -> Vec<&str> {
    steps.iter().filter(|step| step.what.starts_with("in binary")).map(|step| step.result.as_str()).collect()
}

fn frame_bits(frame: &Frame, first: usize, last: usize) -> String {
    frame.bits().skip(first - 1).take(last - first + 1).map(|bit| if bit { '1' } else { '0' }).collect()
}

struct Draw(Random);

impl Draw {
    fn between(&mut self, least: f64, most: f64, places: i32) -> f64 {
        let part = (self.0.next() >> 11) as f64 / (1u64 << 53) as f64;
        let scale = 10f64.powi(places);
        ((least + part * (most - least)) * scale).round() / scale
    }
}

const ADDRESS: (&str, &str) = ("address", "A5C035");

fn fields<'a>(given: &[(&'a str, String)]) -> Vec<(&'a str, String)> {
    [&[(ADDRESS.0, ADDRESS.1.to_owned())], given].concat()
}

#[test]
fn positions_in_every_format_are_worked_out_both_ways() {
    let mut draw = Draw(Random(18));
    for at in 0..cases(400) {
        let latitude = match at % 8 {
            0 => [0.0, 90.0, -90.0, 87.0, -87.0, 6.0, 44.5, 10.47][at as usize / 8 % 8],
            _ => draw.between(-90.0, 90.0, 6),
        };
        let longitude = if at % 16 == 0 {
            [180.0, -180.0, 0.0, 90.0][at as usize / 16 % 4]
        } else {
            draw.between(-180.0, 180.0, 6)
        };
        for (format, message) in [
            ("even", "airborne_position"),
            ("odd", "airborne_position"),
            ("even", "surface_position"),
            ("odd", "surface_position"),
        ] {
            let given = fields(&[
                ("type_code", if message == "airborne_position" { "11" } else { "7" }.to_owned()),
                ("cpr_format", format.to_owned()),
                ("latitude_deg", latitude.to_string()),
                ("longitude_deg", longitude.to_string()),
            ]);
            let (frame, back) = both(message, &given);
            let words = binary(section(&back, "latitude_deg"));
            // The two words of 17 bits: ME 23-39 and 40-56 (Doc 9871 draft, pages 246 and 248).
            assert_eq!(
                words,
                [frame_bits(&frame, 55, 71), frame_bits(&frame, 72, 88)],
                "{latitude}, {longitude} {format}"
            );
        }
    }
}

#[test]
fn the_number_of_longitude_zones_follows_from_the_formula_as_printed() {
    let mut draw = Draw(Random(19));
    for at in 0..cases(3_000) {
        let latitude = if at < 900 { f64::from(at) / 10.0 } else { draw.between(-90.0, 90.0, 6) };
        let steps = position_steps::zone_count(latitude);
        check_steps(&steps, &latitude.to_string());
        let said = steps.iter().find(|step| step.formula == "NL").expect("NL");
        assert_eq!(said.result, zones(latitude).to_string(), "{latitude}");
        if (0.1..86.9).contains(&latitude.abs()) {
            // Doc 9871 draft, page 235: the formula itself.
            let edge = 1.0 - (std::f64::consts::PI / 30.0).cos();
            let turn = (1.0 - edge / latitude.to_radians().cos().powi(2)).acos();
            let exact = 2.0 * std::f64::consts::PI / turn;
            if (exact - exact.round()).abs() > 1e-4 {
                assert_eq!(said.result, exact.floor().to_string(), "{latitude}");
                assert!(said.numbers.starts_with("floor("), "{said}");
            }
        }
    }
}

#[test]
fn pairs_and_single_frames_are_worked_out() {
    let mut draw = Draw(Random(20));
    let mut straddled = 0;
    for at in 0..cases(2_000) {
        let grid = [Grid::Airborne, Grid::Surface][at as usize % 2];
        let latitude =
            if at % 5 == 0 { 44.194_549 + draw.between(-0.000_05, 0.000_05, 7) } else { draw.between(-86.0, 86.0, 6) };
        let place = Position { latitude_deg: latitude, longitude_deg: draw.between(-180.0, 180.0, 6) };
        let (even, odd) = (Word::encode(place, false, grid).unwrap(), Word::encode(place, true, grid).unwrap());
        let (older, newest) = if at % 3 == 0 { (odd, even) } else { (even, odd) };
        let steps = position_steps::pair(older, newest, grid, Some(place));
        check_steps(&steps, &format!("{place:?} {grid:?}"));
        let text: Vec<String> = steps.iter().map(ToString::to_string).collect();
        let text = text.join("\n");
        if text.contains("different sides of a zone transition") {
            straddled += 1;
            assert!(
                text.contains("43 zones would give") || text.contains("44 zones would give") || at % 5 != 0,
                "{text}"
            );
            assert!(text.contains("take neither"), "{text}");
            // Handbook, compact positions: m = floor(even x (NL - 1) - odd x NL + 1/2), and the cell m mod max(NL - i, 1).
            let (size, share) =
                (if grid == Grid::Surface { 90.0 } else { 360.0 }, |word: Word| f64::from(word.longitude) / 131_072.0);
            for zones in [zones(latitude - 0.001), zones(latitude + 0.001)].map(f64::from) {
                let m = (share(even) * (zones - 1.0) - share(odd) * zones + 0.5).floor();
                let count = (zones - f64::from(u8::from(newest.odd))).max(1.0);
                let longitude = size / count * (m.rem_euclid(count) + share(newest));
                let longitude = if longitude >= 180.0 { longitude - 360.0 } else { longitude };
                let (of_zones, of_one) = (
                    format!("{zones} zones would give longitude {longitude:.6}"),
                    format!("{zones} would give {longitude:.6}"),
                );
                assert!(text.contains(&of_zones) || text.contains(&of_one), "{zones} {longitude}: {text}");
            }
        } else {
            let named = |name: &str| text.lines().any(|line| line.contains(name));
            assert!(named("j = floor(") && named("m = floor(") && named("meet in one zone only"), "{text}");
            // A step is at most 0.0055 deg of longitude where there is one cell, and far less elsewhere.
            let numbers =
                text.split(|c: char| !c.is_ascii_digit() && !"-.".contains(c)).filter_map(|n| n.parse::<f64>().ok());
            let numbers: Vec<f64> = numbers.collect();
            let near = |degrees: f64| numbers.iter().any(|number| (number - degrees).abs() < 0.003);
            assert!(near(latitude) && near(place.longitude_deg), "{place:?}: {text}");
            if grid == Grid::Surface {
                assert!(named("two latitudes fit") && named("four longitudes fit"), "{text}");
            }
        }
        check_steps(&position_steps::near(newest, grid, place), "near");
        check_steps(&position_steps::alone(newest, grid), "alone");
    }
    assert!(straddled > 3, "no pair straddled a transition");
}

/// The latitudes that one surface word may mean are 90 degrees apart, the northern one from 0 up to 90 (handbook, surface
/// position): at the equator and on either side of it.
#[test]
fn the_other_latitude_of_a_surface_pair_is_in_the_other_half() {
    for (latitude_deg, other) in [(0.0, -90.0), (0.75, -89.25), (-0.75, 89.25), (45.0, -45.0), (-45.0, 45.0)] {
        let place = Position { latitude_deg, longitude_deg: 12.0 };
        let [even, odd] = [false, true].map(|odd| Word::encode(place, odd, Grid::Surface).unwrap());
        let text: Vec<_> =
            position_steps::pair(even, odd, Grid::Surface, Some(place)).iter().map(ToString::to_string).collect();
        let note = text.iter().find(|line| line.contains("two latitudes fit")).expect("a note");
        let (_, said) = note.rsplit_once("deg from ").expect("another latitude");
        let said: f64 = said.split(':').next().and_then(|number| number.parse().ok()).expect("a number");
        assert!((said - other).abs() < 0.001, "{latitude_deg}: {note}");
    }
}

#[test]
fn altitudes_are_worked_out_to_both_codes_and_the_wires() {
    let mut draw = Draw(Random(21));
    for at in 0..cases(1_500) {
        let feet = if at < 1_278 { f64::from(at) * 100.0 - 1_000.0 } else { draw.between(-1_000.0, 126_700.0, 1) };
        let code = Altitude12::from_feet(feet, 25).expect("a code");
        let steps = code.steps_to(&feet.to_string(), Version::Two);
        check_steps(&steps, &feet.to_string());
        check_steps(&code.steps(Version::Two), &feet.to_string());
        let wires = Wires::from_feet(feet).expect("wires");
        let grey: Vec<&Step> = steps.iter().filter(|step| step.what == "in hexadecimal").collect();
        assert_eq!(
            grey.last().map(|step| step.result.as_str()),
            Some(format!("{:03X}", wires.squitter().bits()).as_str())
        );
        assert_eq!(grey.len(), if code.is_quarter() { 2 } else { 1 }, "{feet}");
        assert_eq!(grey[0].result, format!("{:03X}", code.bits()), "{feet}");
        assert!(steps.iter().any(|step| step.what == format!("grounded wires: {wires}")), "{feet}");
        let given = fields(&[("pressure_altitude_ft", feet.to_string())]);
        both("surveillance_altitude_reply", &given);
    }
}

#[test]
fn velocities_are_worked_out_both_ways() {
    let mut draw = Draw(Random(22));
    for at in 0..cases(1_500) {
        let speed = draw.between(0.0, if at % 10 == 0 { 3_000.0 } else { 700.0 }, (at % 3) as i32);
        let track = draw.between(0.0, 360.0, (at % 4) as i32);
        let (rate, difference) = (draw.between(-33_000.0, 33_000.0, 0), draw.between(-3_300.0, 3_300.0, 0));
        let given = fields(&[
            ("ground_speed_kt", speed.to_string()),
            ("track_deg", track.to_string()),
            ("vertical_rate_fpm", rate.to_string()),
            ("geometric_minus_pressure_ft", difference.to_string()),
        ]);
        let encoded = encode_meanings(
            "airborne_velocity",
            &given.iter().map(|(field, value)| ((*field).to_owned(), value.clone())).collect(),
            Version::Two,
        );
        // Beyond the scale it is refused; that is not what is tried here.
        let Ok(encoded) = encoded else { continue };
        let back = worked::written(&encoded);
        check(&back, &format!("{given:?}"));
        let frame = encoded.frame;
        // Doc 9871 draft, page 251: message bits 15-24, 26-35, 38-46, 50-56.
        assert_eq!(binary(section(&back, "ground_speed_kt")), [frame_bits(&frame, 47, 56), frame_bits(&frame, 58, 67)]);
        assert_eq!(binary(section(&back, "vertical_rate_fpm")), [frame_bits(&frame, 70, 78)]);
        assert_eq!(binary(section(&back, "geometric_minus_pressure_ft")), [frame_bits(&frame, 82, 88)]);
        let decoded = Decoded::new(frame);
        let observation = Tracker::new(None, Some(2)).observe(&decoded, None);
        check(&worked::read(&decoded, &observation), &format!("{frame}"));
        let given = fields(&[
            ("subtype", "3".to_owned()),
            ("airspeed_kt", speed.min(1_000.0).to_string()),
            ("heading_deg", track.to_string()),
        ]);
        let (frame, back) = both("airborne_velocity", &given);
        assert_eq!(binary(section(&back, "airspeed_kt")), [frame_bits(&frame, 58, 67)]);
        assert_eq!(binary(section(&back, "heading_deg")), [frame_bits(&frame, 47, 56)]);
    }
}

#[test]
fn ground_speed_on_the_surface_is_worked_out_in_each_version() {
    let mut draw = Draw(Random(23));
    for at in 0..cases(2_000) {
        let speed = if at < 800 { f64::from(at) / 4.0 } else { draw.between(0.0, 180.0, 3) };
        for version in Version::ALL {
            let given: BTreeMap<String, String> = fields(&[
                ("ground_speed_kt", speed.to_string()),
                ("track_deg", "90".to_owned()),
                ("type_code", "7".to_owned()),
            ])
            .into_iter()
            .map(|(field, value)| (field.to_owned(), value))
            .collect();
            let encoded = encode_meanings("surface_position", &given, version).expect("a frame");
            let back = worked::written(&encoded);
            check(&back, &format!("{speed} {version:?}"));
            if let Some(found) = back.iter().find(|worked| worked.title == "ground_speed_kt")
                && speed < 175.0
            {
                assert_eq!(binary(&found.steps), [frame_bits(&encoded.frame, 38, 44)], "{speed} {version:?}");
            }
        }
    }
}

#[test]
fn characters_digits_and_registers_are_worked_out() {
    let mut draw = Draw(Random(24));
    let alphabet: Vec<char> = ('A'..='Z').chain('0'..='9').collect();
    for _ in 0..cases(300) {
        let length = draw.between(1.0, 8.0, 0) as usize;
        let text: String = (0..length).map(|_| alphabet[draw.0.next() as usize % alphabet.len()]).collect();
        let (frame, back) = both(
            "aircraft_identification",
            &fields(&[("aircraft_identification", text), ("emitter_category", "A1".to_owned())]),
        );
        let steps = section(&back, "aircraft_identification");
        let bits: String = steps.iter().map(|step| step.result.rsplit(", ").next().unwrap_or_default()).collect();
        assert_eq!(bits, frame_bits(&frame, 41, 88));
        let code = format!("{:04o}", draw.0.next() & 0xFFF);
        let (frame, back) = both("surveillance_identity_reply", &fields(&[("mode_a_code", code)]));
        let steps = section(&back, "mode_a_code");
        assert_eq!(steps.last().expect("steps").numbers, format!("bits {}", frame_bits(&frame, 20, 32)));
        let roll = draw.between(-50.0, 50.0, 2);
        let track = draw.between(-180.0, 360.0, 2);
        let given = fields(&[
            ("roll_deg", roll.to_string()),
            ("track_deg", track.to_string()),
            ("ground_speed_kt", draw.between(0.0, 600.0, 1).to_string()),
            ("mode_a_code", "1200".to_owned()),
        ]);
        let (frame, back) = both("register_5_0", &given);
        // Doc 9871, table A-2-80: roll 2-11, track 13-23, ground speed 25-34 of the register.
        assert_eq!(binary(section(&back, "roll_deg")), [frame_bits(&frame, 34, 43)]);
        assert_eq!(binary(section(&back, "track_deg")), [frame_bits(&frame, 45, 55)]);
        assert_eq!(binary(section(&back, "ground_speed_kt")), [frame_bits(&frame, 57, 66)]);
    }
}

/// Every frame of every kind: what is shown of it is right.
#[test]
fn the_steps_of_any_frame_hold() {
    let mut random = Random(25);
    for at in 0..cases(2_000) {
        let pattern = u128::from(random.next()) << 64 | u128::from(random.next());
        let pattern = match at % 4 {
            0 => pattern & (u128::from(random.next()) << 64 | u128::from(random.next())),
            _ => pattern,
        };
        let format = [17, 17, 17, 18, 20, 21, 4, 5, 11, 0, 16][at as usize % 11];
        let length = if format >= 16 { 112 } else { 56 };
        let pattern = pattern >> (128 - length) & ((1 << (length - 5)) - 1) | format << (length - 5);
        let decoded = Decoded::new(Frame::from_pattern(pattern, length as u8));
        let versions = [None, Some(0), Some(1), Some(2)];
        let observation = Tracker::new(None, versions[at as usize % 4]).observe(&decoded, None);
        let decoded = observation.version.read(decoded);
        check(&worked::read(&decoded, &observation), &decoded.frame().to_string());
    }
}

/// The division is done again bit by bit, as the standard's polynomial says (Annex 10 IV, 3.1.2.3.3).
#[test]
fn the_shifts_of_the_parity_are_a_division() {
    let mut random = Random(26);
    for _ in 0..cases(200) {
        let frame = Frame::from_pattern(u128::from(random.next()) << 48 | u128::from(random.next() >> 16), 112);
        let steps = worked::parity_steps(&frame);
        let rows: Vec<&str> = steps.iter().filter(|step| step.is_row()).map(|step| step.what.as_str()).collect();
        assert_eq!(rows.len(), 8);
        let mut remainder = u32::from(frame.octets()[0]) << 16;
        for row in &rows {
            let out = remainder >> 23;
            remainder = remainder << 1 & 0xFF_FFFF;
            if out == 1 {
                remainder ^= 0xFF_F409;
            }
            assert!(row.contains(&format!(": {out} falls out")) && row.ends_with(&format!("{remainder:06X}")), "{row}");
        }
        let last = steps.last().expect("steps").to_string();
        assert!(last.ends_with(&format!("overlay {:06X}", frame.overlay())), "{last}");
    }
}

/// Patterns of a message in which a field says one thing and another.
fn patterns(table: &Table, random: &mut Random) -> Vec<u128> {
    let all = u128::MAX >> (128 - table.bits);
    // The first five bits often decide what the others are.
    let first: u128 = 31 << (table.bits - 5);
    let mut patterns: Vec<u128> = (0..cases(150))
        .map(|at| {
            let any = (u128::from(random.next()) << 64 | u128::from(random.next())) & all;
            let few = any & u128::from(random.next()) & !first;
            [table.template & first | any & !first, any, table.template | few][at as usize % 3]
        })
        .collect();
    for row in table.rows.iter().filter(|row| !row.is_reserved() && row.span.width() <= 8) {
        patterns.extend((0..1 << row.span.width()).map(|code| table.with_code(row, table.template, code)));
    }
    patterns.extend([table.template, table.template | all & !first]);
    patterns
}

/// The rows whose bits have a part in what a derived meaning says of a pattern.
fn rows_behind<'a>(
    table: &'a Table,
    derived: &'a Derived,
    pattern: u128,
    version: Version,
) -> impl Iterator<Item = &'a Row> + use<'a> {
    let read = move |pattern| (derived.read)(pattern, version).map(|meaning| meaning.said());
    let flips = move |row: &&Row| {
        (row.span.first..=row.span.last).any(|bit| read(pattern ^ 1 << (table.bits - bit)) != read(pattern))
    };
    table.rows.iter().filter(flips)
}

/// Whatever number a message says, and is not just its bits read as a number, has its arithmetic: under its own name, or
/// under that of the row that it is read from. Of a scale's end there is nothing to calculate.
#[test]
fn every_number_that_is_read_is_worked_out() {
    let mut random = Random(27);
    let (mut worked_out, mut missing) = (BTreeSet::new(), BTreeSet::new());
    for table in squitterlab::downlink::tables() {
        for pattern in patterns(table, &mut random) {
            for version in Version::ALL {
                let version = table.version.unwrap_or(version);
                for entry in table.entries() {
                    let Some(said) = entry.said(pattern, version) else { continue };
                    let Some(number) = said.value.number().filter(|_| !said.beyond) else { continue };
                    let is_plain = |row: &Row| number.to_bits() == (table.code(row, pattern) as f64).to_bits();
                    let of = |row: &Row| (row.steps)(table.code(row, pattern), version);
                    let steps = match entry {
                        Entry::Row(_, row) if is_plain(row) => continue,
                        Entry::Row(_, row) => of(row),
                        Entry::Derived(_, derived) => {
                            // The track is worked out with the speed, by one triangle.
                            let with = if derived.field == "track_deg" { "ground_speed_kt" } else { derived.field };
                            let beside = table.derived.iter().find(|other| other.field == with).unwrap_or(derived);
                            let mut steps = (derived.steps)(pattern, version);
                            if steps.is_empty() {
                                steps = (beside.steps)(pattern, version);
                            }
                            if steps.is_empty() {
                                let mut behind = rows_behind(table, derived, pattern, version);
                                if behind.any(is_plain) {
                                    continue;
                                }
                                let mut behind = rows_behind(table, derived, pattern, version);
                                steps = behind
                                    .find_map(|row| Some(of(row)).filter(|steps| !steps.is_empty()))
                                    .unwrap_or_default();
                            }
                            steps
                        }
                    };
                    let name = format!("{}: {}", table.title, entry.field());
                    if steps.is_empty() {
                        missing.insert(name);
                    } else {
                        check_steps(&steps, &format!("{name} of {pattern:X}"));
                        worked_out.insert(name);
                    }
                }
            }
        }
    }
    assert_eq!(missing, BTreeSet::new());
    assert!(worked_out.len() > 100, "{}", worked_out.len());
}

/// Whatever number a message can be made to say has its arithmetic from the number to the bits.
#[test]
fn every_number_that_can_be_set_is_worked_out() {
    let (mut worked_out, mut missing, mut broken) = (0, BTreeSet::new(), BTreeSet::new());
    let mut random = Random(28);
    for table in squitterlab::downlink::tables() {
        let settable = table.settable();
        let patterns = patterns(table, &mut random);
        for version in Version::ALL.into_iter().filter(|version| table.version.is_none_or(|own| own == *version)) {
            for entry in table.entries().filter(|entry| settable.contains(&entry.field())) {
                let field = entry.field();
                // What it can say, and its arithmetic where that is not just a number in binary.
                let said: BTreeSet<String> = patterns
                    .iter()
                    .filter_map(|pattern| {
                        let number = entry.said(*pattern, version)?.value.number()?;
                        let own = match entry {
                            Entry::Row(_, row) => number.to_bits() == (table.code(row, *pattern) as f64).to_bits(),
                            Entry::Derived(..) => false,
                        };
                        (!own).then(|| number.to_string())
                    })
                    .take(40)
                    .collect();
                let others = entry.takes_several_messages().then(|| ["44.5", "-60", "0"].map(str::to_owned));
                // What rounds to a whole turn is none.
                let whole = (!said.is_empty()).then(|| "359.9999".to_owned());
                for value in said.into_iter().chain(others.into_iter().flatten()).chain(whole) {
                    let mut given: BTreeMap<String, String> = [(field.to_owned(), value.clone())].into();
                    for (one, two) in [("latitude_deg", "longitude_deg"), ("ground_speed_kt", "track_deg")] {
                        for (one, two) in [(one, two), (two, one)] {
                            if field == one && settable.contains(&two) {
                                given.insert(two.to_owned(), "44".to_owned());
                            }
                        }
                    }
                    if field == "geometric_height_ft" && table.message == "airborne_position" {
                        given.insert("type_code".to_owned(), "20".to_owned());
                    }
                    given.insert(ADDRESS.0.to_owned(), ADDRESS.1.to_owned());
                    let Ok(encoded) = encode_meanings(table.title, &given, version) else { continue };
                    let back = encoded.steps();
                    if let Entry::Derived(_, derived) = entry {
                        let own: BTreeMap<String, String> = [(field.to_owned(), value.clone())].into();
                        let number: f64 = value.parse().expect("a number");
                        let plain = table.encode(&Wanted { fields: &own, version }).is_ok_and(|pattern| {
                            rows_behind(table, derived, pattern, version)
                                .any(|row| number.to_bits() == (table.code(row, pattern) as f64).to_bits())
                        });
                        if plain {
                            continue;
                        }
                    }
                    check(&back, field);
                    broken.extend(back.iter().filter(|worked| !is_chain(&worked.steps)).map(|worked| {
                        format!("{}: {field} {value}: {}: {:#?}", table.title, worked.title, worked.steps)
                    }));
                    // The second of two that go together is worked out with the first.
                    let with_first = ["longitude_deg", "track_deg"].contains(&field) && given.len() > 2;
                    if back.iter().any(|worked| worked.title == field) || with_first && !back.is_empty() {
                        worked_out += 1;
                    } else {
                        missing.insert(format!("{}: {field}", table.title));
                    }
                }
            }
        }
    }
    assert_eq!(missing, BTreeSet::new());
    assert!(broken.is_empty(), "{broken:#?}");
    assert!(worked_out > 500, "{worked_out}");
}
