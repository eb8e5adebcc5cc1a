//! A second encoder of installs, in plain bit arithmetic: units of versions 0, 1 and 2 in random situations.
//!
//! Layouts: ICAO Doc 9871 2nd edition draft, appendices A to C (pages 24-334 of its page copy), with the handbook's ADS-B
//! and Mode S parts where the draft is silent; what only memory supports is said beside it. Nothing here reads the
//! program's own tables. Installs and situations are invented.

use crate::random::Random;
use serde_json::{Value, json};
use squitterlab::onair::{Flight, Situation, emissions};
use squitterlab::profile::Profile;

// Bits and parity ----------------------------------------------------------------------------------------------------

/// A frame or a message, bit by bit, from bit 1.
#[derive(Clone)]
struct Sheet(Vec<bool>);

impl Sheet {
    fn blank(bits: usize) -> Self {
        Self(vec![false; bits])
    }

    fn put(&mut self, first: usize, last: usize, value: u64) -> &mut Self {
        let width = last + 1 - first;
        assert!(width == 64 || value < 1 << width, "{value} does not fit bits {first}-{last}");
        for at in 0..width {
            self.0[last - 1 - at] = value >> at & 1 == 1;
        }
        self
    }

    fn value(&self) -> u64 {
        self.0.iter().fold(0, |value, bit| value << 1 | u64::from(*bit))
    }

    /// The remainder of the division by the generator 1FFF409 (Annex 10 Volume IV 3.1.2.3.3.1.2; handbook).
    fn remainder(&self) -> u64 {
        let mut bits = self.0.clone();
        for at in 0..bits.len() - 24 {
            if bits[at] {
                for (step, bit) in (0..25).map(|step| (step, 0x1FF_F409_u32 >> (24 - step) & 1 == 1)) {
                    bits[at + step] ^= bit;
                }
            }
        }
        bits[bits.len() - 24..].iter().fold(0, |value, bit| value << 1 | u64::from(*bit))
    }

    /// The frame with its parity, XORed with an address.
    fn hex(mut self, overlay: u64) -> String {
        let bits = self.0.len();
        let parity = self.remainder() ^ overlay;
        self.put(bits - 23, bits, parity);
        let digit = |four: &[bool]| four.iter().fold(0, |n, bit| n << 1 | u32::from(*bit));
        let digits = self.0.chunks(4).map(|four| char::from_digit(digit(four), 16).expect("a digit"));
        digits.map(|digit| digit.to_ascii_uppercase()).collect()
    }
}

// Codes --------------------------------------------------------------------------------------------------------------

/// Altitude code of 13 bits: C1 A1 C2 A2 C4 A4 M B1 Q B2 D2 B4 D4 (handbook, Mode S part, chapter 3).
fn altitude_13(feet: Option<f64>, step: u16) -> u64 {
    let Some(feet) = feet else { return 0 };
    if step == 25 && feet <= 50_175.0 {
        let n = ((feet + 1000.0) / 25.0).round() as u64;
        return n >> 5 << 7 | (n >> 4 & 1) << 5 | 1 << 4 | n & 15;
    }
    let wanted = (feet / 100.0).round() as i64 * 100;
    (0..1 << 13).find(|code| code & (1 << 6 | 1 << 4) == 0 && grey_feet(*code) == Some(wanted)).expect("a grey code")
}

/// The altitude of a grey code (handbook, Mode S part, chapter 3).
fn grey_feet(code: u64) -> Option<i64> {
    let bit = |at: u64| code >> (13 - at) & 1;
    let (c1, a1, c2, a2, c4, a4) = (bit(1), bit(2), bit(3), bit(4), bit(5), bit(6));
    let (b1, b2, d2, b4, d4) = (bit(8), bit(10), bit(11), bit(12), bit(13));
    let binary = |bits: &[u64]| {
        bits.iter().fold((0i64, 0), |(value, last), bit| (value << 1 | (last ^ *bit) as i64, last ^ bit)).0
    };
    let fives = binary(&[d2, d4, a1, a2, a4, b1, b2, b4]);
    let ones = match binary(&[c1, c2, c4]) {
        7 => 5,
        good @ 1..=4 => good,
        _ => return None,
    };
    let ones = if fives % 2 == 1 { 6 - ones } else { ones };
    Some(500 * fives + 100 * ones - 1300)
}

fn altitude_12(feet: Option<f64>, step: u16) -> u64 {
    let code = altitude_13(feet, step);
    code >> 7 << 6 | code & 63
}

/// Mode A: C1 A1 C2 A2 C4 A4 0 B1 D1 B2 D2 B4 D4 (handbook, Mode S part, chapter 3).
fn mode_a(code: &str) -> u64 {
    let digit: Vec<u64> = code.bytes().map(|byte| u64::from(byte - b'0')).collect();
    let [a, b, c, d] = digit[..] else { panic!("four digits") };
    let bit = |digit: u64, weight: u64| u64::from(digit & weight != 0);
    [
        bit(c, 1),
        bit(a, 1),
        bit(c, 2),
        bit(a, 2),
        bit(c, 4),
        bit(a, 4),
        0,
        bit(b, 1),
        bit(d, 1),
        bit(b, 2),
        bit(d, 2),
        bit(b, 4),
        bit(d, 4),
    ]
    .into_iter()
    .fold(0, |code, bit| code << 1 | bit)
}

fn characters(text: &str) -> u64 {
    // Handbook, ADS-B part, chapter 2: A is 1, 0 is 48, the space is 32.
    text.bytes().chain(std::iter::repeat(b' ')).take(8).fold(0, |all, byte| {
        let code = if byte.is_ascii_uppercase() { byte - b'A' + 1 } else { byte };
        all << 6 | u64::from(code)
    })
}

/// Compact position (Doc 9871 draft, pages 55, 59, 235-238).
fn compact(latitude: f64, longitude: f64, odd: bool, surface: bool) -> (u64, u64) {
    let modulo = |x: f64, y: f64| x - y * (x / y).floor();
    let cells = 2f64.powi(if surface { 19 } else { 17 });
    let i = f64::from(u8::from(odd));
    let zone = 360.0 / (60.0 - i);
    let y = (cells * modulo(latitude, zone) / zone + 0.5).floor();
    let seen = zone * (y / cells + (latitude / zone).floor());
    let zones = if seen.abs() > 87.0 {
        1.0
    } else {
        let cosine = seen.abs().to_radians().cos();
        let inner = 1.0 - (1.0 - (std::f64::consts::PI / 30.0).cos()) / (cosine * cosine);
        (2.0 * std::f64::consts::PI / inner.acos()).floor()
    };
    let width = 360.0 / (zones - i).max(1.0);
    let x = (cells * modulo(longitude, width) / width + 0.5).floor();
    (y as u64 % (1 << 17), x as u64 % (1 << 17))
}

/// Movement above 2 kt and away from the edges, where every version is alike (handbook, ADS-B part, chapter 4).
fn movement(knots: Option<f64>) -> u64 {
    let Some(v) = knots else { return 0 };
    let code = |first: f64, low: f64, step: f64| (first + ((v - low) / step).floor()) as u64;
    match v {
        v if v < 15.0 => code(13.0, 2.0, 0.5),
        v if v < 70.0 => code(39.0, 15.0, 1.0),
        v if v < 100.0 => code(94.0, 70.0, 2.0),
        v if v < 175.0 => code(109.0, 100.0, 5.0),
        _ => 124,
    }
}

/// In the air: type code, supplements A and B. On the surface: type code, supplements A and C (Doc 9871 draft, pages 158,
/// 192; handbook, ADS-B part, chapter 7). Version 0 has none (Annex 10 III, page 49; the way back from NIC from memory).
fn position_codes(nic: u64, version: u64) -> ([u64; 3], [u64; 3]) {
    match version {
        0 => (
            [[18, 17, 16, 16, 15, 14, 13, 12, 11, 11, 10, 9][nic as usize], 0, 0],
            [[8, 8, 8, 8, 8, 8, 8, 8, 7, 7, 6, 5][nic as usize], 0, 0],
        ),
        1 => (
            [
                [18, 0, 0],
                [17, 0, 0],
                [16, 0, 0],
                [16, 1, 0],
                [15, 0, 0],
                [14, 0, 0],
                [13, 1, 0],
                [12, 0, 0],
                [11, 0, 0],
                [11, 1, 0],
                [10, 0, 0],
                [9, 0, 0],
            ][nic as usize],
            [
                [8, 0, 0],
                [8, 0, 0],
                [8, 0, 0],
                [8, 0, 0],
                [8, 0, 0],
                [8, 0, 0],
                [8, 0, 0],
                [8, 0, 0],
                [7, 0, 0],
                [7, 1, 0],
                [6, 0, 0],
                [5, 0, 0],
            ][nic as usize],
        ),
        _ => (
            [
                [18, 0, 0],
                [17, 0, 0],
                [16, 0, 0],
                [16, 1, 1],
                [15, 0, 0],
                [14, 0, 0],
                [13, 1, 1],
                [12, 0, 0],
                [11, 0, 0],
                [11, 1, 1],
                [10, 0, 0],
                [9, 0, 0],
            ][nic as usize],
            [
                [8, 0, 0],
                [8, 0, 0],
                [8, 0, 0],
                [8, 0, 0],
                [8, 0, 0],
                [8, 0, 0],
                [8, 0, 1],
                [8, 1, 1],
                [7, 0, 0],
                [7, 1, 0],
                [6, 0, 0],
                [5, 0, 0],
            ][nic as usize],
        ),
    }
}

/// Upper bounds of length and width (Doc 9871 draft, pages 162 and 224). Code 0 is a box in version 1 only.
const BOXES_M: [(f64, f64); 16] = [
    (15.0, 11.5),
    (15.0, 23.0),
    (25.0, 28.5),
    (25.0, 34.0),
    (35.0, 33.0),
    (35.0, 38.0),
    (45.0, 39.5),
    (45.0, 45.0),
    (55.0, 45.0),
    (55.0, 52.0),
    (65.0, 59.5),
    (65.0, 67.0),
    (75.0, 72.5),
    (75.0, 80.0),
    (85.0, 80.0),
    (85.0, 90.0),
];

fn size(length: f64, width: f64, version: u64) -> u64 {
    let first = usize::from(version != 1);
    let fits = |code: &usize| length <= BOXES_M[*code].0 && width <= BOXES_M[*code].1;
    (first..16).find(fits).unwrap_or(15) as u64
}

// The second encoder -------------------------------------------------------------------------------------------------

struct Unit<'a> {
    install: &'a Value,
    flight: &'a Value,
    version: u64,
}

impl Unit<'_> {
    fn at(&self, pointer: &str) -> &Value {
        self.install.pointer(pointer).unwrap_or_else(|| panic!("{pointer}"))
    }

    fn number(&self, pointer: &str) -> u64 {
        self.at(pointer).as_u64().expect("a number")
    }

    fn yes(&self, pointer: &str) -> u64 {
        u64::from(self.at(pointer).as_bool().expect("yes or no"))
    }

    fn is(&self, pointer: &str, word: &str) -> u64 {
        u64::from(self.at(pointer) == word)
    }

    fn flown(&self, key: &str) -> Option<f64> {
        self.flight[key].as_f64()
    }

    fn ident(&self) -> bool {
        self.flight["ident"] == true
    }

    fn emergency(&self) -> u64 {
        self.flight["emergency_state"].as_u64().unwrap_or(0)
    }

    fn on_ground(&self) -> bool {
        self.flight["airborne"] == false
    }

    fn address(&self) -> u64 {
        u64::from_str_radix(self.at("/aircraft/address").as_str().expect("text"), 16).expect("hexadecimal")
    }

    fn step(&self) -> u16 {
        self.number("/transponder/altitude_source/resolution_ft") as u16
    }

    fn feet(&self) -> Option<f64> {
        self.flown("pressure_altitude_ft")
    }

    fn capability(&self) -> u64 {
        match (self.number("/transponder/mode_s_level"), self.on_ground()) {
            (1, _) => 0,
            (_, true) => 4,
            (_, false) => 5,
        }
    }

    fn squitter(&self, me: &Sheet) -> String {
        let mut frame = Sheet::blank(112);
        frame.put(1, 5, 17).put(6, 8, self.capability()).put(9, 32, self.address()).put(33, 88, me.value());
        frame.hex(0)
    }

    fn vertical_status(&self) -> u64 {
        self.on_ground().into()
    }

    fn flight_status(&self) -> u64 {
        if self.ident() { 5 } else { self.vertical_status() }
    }

    fn nic_baro(&self) -> u64 {
        if self.at("/transponder/altitude_source/kind") == "parallel" {
            self.yes("/transponder/altitude_source/cross_checked")
        } else {
            1
        }
    }

    fn frames(&self) -> Vec<String> {
        let mut all = self.replies();
        if self.number("/transponder/mode_s_level") >= 2 {
            all.extend(self.positions().iter().map(|me| self.squitter(me)));
            all.push(self.squitter(&self.identification()));
            if self.version == 2 || self.emergency() != 0 {
                all.push(self.squitter(&self.aircraft_status()));
            }
            if !self.on_ground() {
                all.push(self.squitter(&self.velocity()));
            }
            if self.version > 0 {
                let status = if self.on_ground() { self.status_on_ground() } else { self.status_in_the_air() };
                all.push(self.squitter(&status));
                if !self.on_ground() && self.yes("/transponder/sends/target_state") == 1 {
                    all.push(self.squitter(&self.target_state()));
                }
            }
        }
        all
    }

    fn replies(&self) -> Vec<String> {
        let mut squitter = Sheet::blank(56);
        squitter.put(1, 5, 11).put(6, 8, self.capability()).put(9, 32, self.address());
        let mut all = vec![squitter.hex(0)];
        let altitude = altitude_13(self.feet(), self.step());
        let speed = self.at("/aircraft/maximum_cruise_true_airspeed")["kt"].as_f64().expect("knots");
        // Classes from memory of Annex 10 Volume IV.
        let class = 9 + [75.0, 150.0, 300.0, 600.0, 1200.0].iter().filter(|bound| speed > **bound).count() as u64;
        let acas = match self.at("/transponder/acas").as_str() {
            Some("none") => 0,
            Some("advisories_only") => 2,
            _ => 3,
        };
        for information in [class, acas] {
            let mut reply = Sheet::blank(56);
            reply.put(6, 6, self.vertical_status()).put(14, 17, information).put(20, 32, altitude);
            all.push(reply.hex(self.address()));
        }
        let code = mode_a(self.flight["mode_a_code"].as_str().unwrap_or("0000"));
        for (format, field) in [(4, altitude), (5, code)] {
            let mut reply = Sheet::blank(56);
            reply.put(1, 5, format).put(6, 8, self.flight_status()).put(20, 32, field);
            all.push(reply.hex(self.address()));
        }
        all
    }

    fn positions(&self) -> Vec<Sheet> {
        let surveillance = match (self.emergency(), self.ident()) {
            (0, false) => 0,
            (0, true) => 3,
            _ => 1,
        };
        let time = self.yes("/position_source/utc_synchronised");
        let (airborne, surface) = position_codes(self.number("/position_source/nic"), self.version);
        let (Some(latitude), Some(longitude)) = (self.flown("latitude_deg"), self.flown("longitude_deg")) else {
            let mut none = Sheet::blank(56);
            none.put(6, 7, surveillance);
            if !self.on_ground() {
                none.put(9, 20, altitude_12(self.feet(), self.step()));
            }
            return vec![none];
        };
        let position = |odd: bool| {
            let (y, x) = compact(latitude, longitude, odd, self.on_ground());
            let mut me = Sheet::blank(56);
            if self.on_ground() {
                let track = self.flown("track_deg");
                let steps = track.map_or(0, |track| (track * 128.0 / 360.0).round() as u64 % 128);
                me.put(1, 5, surface[0]).put(6, 12, movement(self.flown("ground_speed_kt")));
                me.put(13, 13, track.is_some().into()).put(14, 20, steps);
            } else {
                // The flag of one antenna before version 2, supplement B from then on.
                let flag = if self.version == 2 { airborne[2] } else { self.is("/transponder/antenna", "single") };
                me.put(1, 5, airborne[0]).put(6, 7, surveillance).put(8, 8, flag);
                me.put(9, 20, altitude_12(self.feet(), self.step()));
            }
            me.put(21, 21, time).put(22, 22, odd.into()).put(23, 39, y).put(40, 56, x);
            me
        };
        vec![position(false), position(true)]
    }

    fn identification(&self) -> Sheet {
        let category = self.at("/aircraft/emitter_category").as_str().expect("text").as_bytes();
        let mut me = Sheet::blank(56);
        me.put(1, 5, u64::from(b'E' - category[0])).put(6, 8, u64::from(category[1] - b'0'));
        me.put(9, 56, characters(self.at("/aircraft/aircraft_identification").as_str().expect("text")));
        me
    }

    fn aircraft_status(&self) -> Sheet {
        let mut me = Sheet::blank(56);
        me.put(1, 5, 28).put(6, 8, 1).put(9, 11, self.emergency());
        if self.version == 2 {
            me.put(12, 24, mode_a(self.flight["mode_a_code"].as_str().unwrap_or("0000")));
        }
        me
    }

    fn velocity(&self) -> Sheet {
        let mut me = Sheet::blank(56);
        me.put(1, 5, 19).put(6, 8, 1).put(11, 13, self.number("/position_source/nacv")).put(36, 36, 1);
        if let (Some(speed), Some(track)) = (self.flown("ground_speed_kt"), self.flown("track_deg")) {
            let (east, north) = (speed * track.to_radians().sin(), speed * track.to_radians().cos());
            me.put(14, 14, (east < 0.0).into()).put(15, 24, east.abs().round() as u64 + 1);
            me.put(25, 25, (north < 0.0).into()).put(26, 35, north.abs().round() as u64 + 1);
        }
        if let Some(rate) = self.flown("vertical_rate_fpm") {
            me.put(37, 37, (rate < 0.0).into()).put(38, 46, (rate.abs() / 64.0).round() as u64 + 1);
        }
        if let Some(difference) = self.flown("geometric_minus_pressure_ft") {
            me.put(49, 49, (difference < 0.0).into()).put(50, 56, (difference.abs() / 25.0).round() as u64 + 1);
        }
        me
    }

    /// What both states of the status have in one place.
    fn status(&self, subtype: u64, supplement: u64) -> Sheet {
        let mut me = Sheet::blank(56);
        me.put(1, 5, 31).put(6, 8, subtype).put(28, 28, self.ident().into()).put(41, 43, self.version);
        me.put(44, 44, supplement).put(45, 48, self.number("/position_source/nacp"));
        me.put(51, 52, self.number("/position_source/sil"));
        if self.version == 2 {
            me.put(12, 12, self.yes("/receivers/es_1090_in")).put(30, 30, self.is("/transponder/antenna", "single"));
            me.put(31, 32, self.number("/transponder/system_design_assurance"));
            me.put(55, 55, self.is("/position_source/sil_supplement", "per_sample"));
        }
        me
    }

    fn status_in_the_air(&self) -> Sheet {
        let (airborne, _) = position_codes(self.number("/position_source/nic"), self.version);
        let resolution = self.is("/transponder/acas", "resolution");
        let mut me = self.status(0, airborne[1]);
        me.put(15, 15, self.yes("/transponder/sends/air_referenced_velocity"));
        me.put(16, 16, self.yes("/transponder/sends/target_state")).put(53, 53, self.nic_baro());
        if self.version == 2 {
            me.put(11, 11, resolution).put(19, 19, self.yes("/receivers/uat_in"));
            me.put(49, 50, self.number("/position_source/gva"));
        } else {
            // 1 says not operating (from memory).
            me.put(11, 11, 1 - resolution);
        }
        me
    }

    fn status_on_ground(&self) -> Sheet {
        let (_, surface) = position_codes(self.number("/position_source/nic"), self.version);
        let metres = |pointer: &str| self.at(pointer)["m"].as_f64().expect("metres");
        let mut me = self.status(1, surface[1]);
        me.put(21, 24, size(metres("/aircraft/length"), metres("/aircraft/width"), self.version));
        me.put(53, 53, self.is("/position_source/surface_direction/kind", "heading"));
        me.put(54, 54, self.is("/position_source/surface_direction/reference", "magnetic"));
        let nose = self.at("/position_source/antenna_offset/from_nose");
        if self.version == 1 {
            me.put(11, 11, (nose == "applied_by_sensor").into());
            return me;
        }
        me.put(16, 16, self.yes("/receivers/uat_in")).put(17, 19, self.number("/position_source/nacv"));
        me.put(20, 20, surface[2]);
        let across = self.at("/position_source/antenna_offset/from_centre_line");
        // 0 no data and 4 zero; upper bounds of 2, 4 and 6 m, the left side below (draft, page 227).
        let lateral = match across["m"].as_f64() {
            None => 0,
            Some(0.0) => 4,
            Some(metres) => (metres / 2.0).ceil().min(3.0) as u64 + if across["side"] == "right" { 4 } else { 0 },
        };
        // 1 applied by the sensor; n is 2(n - 1) m, an upper bound (codes from memory).
        let longitudinal = match (nose.as_str(), nose["m"].as_f64()) {
            (Some("applied_by_sensor"), _) => 1,
            (_, Some(metres)) => ((metres / 2.0).ceil() as u64 + 1).min(31),
            _ => 0,
        };
        me.put(33, 35, lateral).put(36, 40, longitudinal);
        me
    }

    fn target_state(&self) -> Sheet {
        let resolution = self.is("/transponder/acas", "resolution");
        let mut me = Sheet::blank(56);
        me.put(1, 5, 29).put(40, 43, self.number("/position_source/nacp")).put(44, 44, self.nic_baro());
        me.put(45, 46, self.number("/position_source/sil"));
        if self.version == 2 {
            me.put(6, 7, 1).put(8, 8, self.is("/position_source/sil_supplement", "per_sample")).put(53, 53, resolution);
        } else {
            me.put(52, 52, 1 - resolution).put(54, 56, self.emergency());
        }
        me
    }
}

// Installs and situations --------------------------------------------------------------------------------------------

fn install(random: &mut Random, version: u64) -> Value {
    let mut below = |most: u64| random.next() % most;
    let metres = |tenths: u64| json!({"m": tenths as f64 / 10.0});
    let kind = ["parallel", "serial", "bus", "built_in"][below(4) as usize];
    let step = if kind == "parallel" { 100 } else { [25, 100][below(2) as usize] };
    let nose = match below(4) {
        0 => json!("not_known"),
        1 => json!("applied_by_sensor"),
        _ => metres(1 + below(640)),
    };
    let across = match below(4) {
        0 => json!("not_known"),
        1 => json!({"m": 0}),
        _ => json!({"side": (["left", "right"][below(2) as usize]), "m": (1 + below(70)) as f64 / 10.0}),
    };
    let text: String = (0..=below(8)).map(|_| char::from(b"ABCXYZ0189"[below(10) as usize])).collect();
    json!({
        "aircraft": {
            "address": format!("{:06X}", 1 + below(0xFF_FFFE)), "aircraft_identification": text,
            "identification_source": "fixed",
            "emitter_category": format!("{}{}", char::from(b'A' + below(3) as u8), below(8)),
            "length": metres(10 + below(900)), "width": metres(10 + below(950)),
            "maximum_cruise_true_airspeed": {"kt": 40 + below(1300)},
        },
        "transponder": {
            "mops_version": version, "mode_s_level": 1 + below(5).max(below(5)), "antenna": (["single", "diversity"][below(2) as usize]),
            "altitude_source": {"kind": kind, "resolution_ft": step, "cross_checked": below(2) == 1},
            "air_ground": {"kind": (["switch", "automatic"][below(2) as usize]), "active_means": "on_ground"},
            "acas": (["none", "advisories_only", "resolution"][below(3) as usize]),
            "system_design_assurance": below(4),
            "sends": {"target_state": below(2) == 1, "air_referenced_velocity": below(2) == 1},
        },
        "position_source": {
            "nic": below(12), "nacp": below(12), "nacv": below(5), "gva": below(3), "sil": below(4),
            "sil_supplement": (["per_hour", "per_sample"][below(2) as usize]),
            "antenna_offset": {"from_nose": nose, "from_centre_line": across},
            "surface_direction": {
                "kind": (["track", "heading"][below(2) as usize]), "reference": (["true", "magnetic"][below(2) as usize]),
            },
            "utc_synchronised": below(2) == 1,
        },
        "receivers": {"es_1090_in": below(2) == 1, "uat_in": below(2) == 1},
    })
}

fn flight(random: &mut Random) -> Value {
    let mut below = |most: u64| random.next() % most;
    let mut flight = json!({"airborne": below(2) == 1, "ident": below(3) == 0});
    if below(2) == 0 {
        flight["emergency_state"] = json!(below(6));
    }
    if below(4) != 0 {
        flight["latitude_deg"] = json!(below(170_000) as f64 / 1000.0 - 85.0);
        flight["longitude_deg"] = json!(below(359_000) as f64 / 1000.0 - 179.0);
    }
    if below(4) != 0 {
        // A multiple of either step.
        flight["pressure_altitude_ft"] = json!(below(500) * 100);
    }
    if below(4) != 0 {
        // No edge of a range of movement, and no half step of a velocity.
        flight["ground_speed_kt"] = json!(below(195) as f64 + 3.3);
        flight["track_deg"] = json!(below(3599) as f64 / 10.0);
    }
    if below(4) != 0 {
        flight["vertical_rate_fpm"] = json!(below(6000) as f64 - 3000.0 + 0.3);
        flight["geometric_minus_pressure_ft"] = json!(below(3000) as f64 - 1500.0 + 0.3);
    }
    flight["mode_a_code"] = json!(format!("{:04o}", below(0o10000)));
    flight
}

#[test]
fn units_of_versions_0_1_and_2_send_what_a_second_encoder_says() {
    let mut compared = [0; 3];
    for version in 0..3 {
        for seed in 0..1500 {
            let random = &mut Random(seed * 3 + version);
            let (install, flight) = (install(random, version), flight(random));
            let reading = Profile::read(&install.to_string());
            assert_eq!(reading.problems, [], "{install}");
            let situation = Situation::read(&flight.to_string()).expect("a situation");
            let sent = emissions(&reading.profile, Flight::Situation(&situation)).expect("frames");
            let mut sent: Vec<String> = sent.iter().map(|emission| emission.frame.to_string()).collect();
            let mut own = Unit { install: &install, flight: &flight, version }.frames();
            sent.sort();
            own.sort();
            assert_eq!(sent, own, "version {version}, seed {seed}: {install} {flight}");
            compared[version as usize] += own.len();
        }
    }
    assert!(compared.iter().all(|frames| *frames > 9000), "{compared:?}");
}
