//! Which registers 56 bits can be: a Comm-B reply does not say, so each register's rules are held against the bits.
//!
//! Layout rules are hard: a register's own number, reserved bits zero, nothing behind a status bit of 0, characters that
//! are assigned, type codes that go with the register. Limits on values are rules of thumb and soft: a value beyond them
//! stands against the register, but does not strike it out (handbook, Mode S part, chapter 9, which has them as rules of
//! thumb too; where ours differ is said beside the number). Nothing is ever chosen: what is left is listed, with what
//! speaks for and against, the likeliest first.
//!
//! The order counts evidence in bits: a rule that a random pattern obeys one time in 2^n is worth n, a soft rule broken
//! costs [`AGAINST`], and registers that ground stations ask for day by day start with a few (our own weights). A register
//! for which no rule speaks, such as 2,2 with its free numbers, is never listed.

use super::{SQUITTER, TABLES, parts, table};
use crate::code::table::Table;
use crate::code::{Altitude12, Bits, Characters, Identification, RegisterNumber, spaced};
use crate::frame::Span;

/// What is said of a payload that is all zero.
pub const ALL_ZERO: &str =
    "all 56 bits are zero: whichever register was asked for, it is not there or holds no data at present";

/// Evidence that a broken soft rule takes away, in bits (our own weight).
pub const AGAINST: f64 = 4.0;

/// What the rules of one register say of a payload.
#[derive(Clone, Debug, PartialEq)]
pub struct Opinion {
    /// The register.
    pub register: RegisterNumber,
    /// Rules obeyed that could have been broken.
    pub supports: Vec<String>,
    /// Rules broken.
    pub against: Vec<String>,
    /// Whether every hard rule is obeyed.
    pub obeys: bool,
    /// Evidence, in bits; only its order means something.
    pub evidence: f64,
}

/// Every register whose hard rules the bits obey and for which a rule speaks, the likeliest first. The altitude is that
/// of a format 20 reply. All zero fits everything and nothing, see [`ALL_ZERO`].
///
/// ```
/// use squitterlab::register::inference::infer;
/// // Handbook, Mode S part, chapter 9: 6,0 is right, and 5,0 obeys the layout too.
/// let possible = infer(0xE519F331602401, Some(38_000));
/// assert_eq!(possible[0].register.to_string(), "6,0");
/// let five = possible.iter().find(|opinion| opinion.register.to_string() == "5,0").unwrap();
/// assert_eq!(five.against[0], "ground speed and true airspeed are 392 kt apart, more than 200");
/// ```
pub fn infer(bits: u64, altitude_ft: Option<i32>) -> Vec<Opinion> {
    if bits == 0 {
        return Vec::new();
    }
    let numbers = SQUITTER.iter().chain(TABLES.iter().map(|(number, _)| number));
    let mut opinions: Vec<Opinion> = numbers
        .filter_map(|number| weigh(*number, bits, altitude_ft, true))
        .filter(|opinion| opinion.obeys && !opinion.supports.is_empty())
        .collect();
    opinions.sort_by(|a, b| b.evidence.total_cmp(&a.evidence).then(a.register.cmp(&b.register)));
    opinions
}

/// What one register's rules say of the bits; none for registers that are not divided here.
pub fn opinion(register: RegisterNumber, bits: u64, altitude_ft: Option<i32>) -> Option<Opinion> {
    weigh(register, bits, altitude_ft, false)
}

/// Whether the bits break no hard rule of the register; none for registers that are not divided here.
pub fn obeys(register: RegisterNumber, bits: u64) -> Option<bool> {
    weigh(register, bits, None, true).map(|opinion| opinion.obeys)
}

/// Calibrated airspeed of a Mach number at a pressure altitude, in knots (standard atmosphere, from memory).
pub fn calibrated_airspeed_kt(mach: f64, altitude_ft: f64) -> f64 {
    const SOUND_AT_SEA_LEVEL_KT: f64 = 661.4788;
    const TROPOPAUSE_M: f64 = 11_000.0;
    let metres = altitude_ft * 0.3048;
    let pressure_ratio = |metres: f64| (1.0 - 0.0065 * metres / 288.15).powf(5.255_88);
    let ratio = if metres <= TROPOPAUSE_M {
        pressure_ratio(metres)
    } else {
        pressure_ratio(TROPOPAUSE_M) * (-(metres - TROPOPAUSE_M) * 9.806_65 / (287.052_87 * 216.65)).exp()
    };
    let impact = ((1.0 + 0.2 * mach * mach).powf(3.5) - 1.0) * ratio;
    SOUND_AT_SEA_LEVEL_KT * (5.0 * ((impact + 1.0).powf(2.0 / 7.0) - 1.0)).sqrt()
}

/// Reserved rows that equipment is known to fill: bits 25 to 29 of 1,7 differ between editions, and the bits of 3,0
/// that were kept for ACAS III have a rule of their own.
const FILLED: &[(RegisterNumber, &str)] =
    &[(RegisterNumber::new(0x17), "reserved_25_29"), (RegisterNumber::new(0x30), "reserved_16_22")];

/// Elementary and enhanced surveillance, then the weather, which few aircraft serve (handbook, Mode S part, chapter 5);
/// the others are hardly ever asked for. The numbers are our own.
fn start(register: RegisterNumber) -> f64 {
    match register.bits() {
        0x10 | 0x17 | 0x20 | 0x30 | 0x40 | 0x50 | 0x60 => 10.0,
        0x44 | 0x45 => 0.0,
        _ => -10.0,
    }
}

struct Weigher {
    bits: u64,
    altitude_ft: Option<f64>,
    /// Only whether it obeys is wanted once a hard rule is broken.
    quick: bool,
    opinion: Opinion,
}

impl Weigher {
    fn done(&self) -> bool {
        self.quick && !self.opinion.obeys
    }

    fn field(&self, first: u8, last: u8) -> u64 {
        Span::new(first, last).of(self.bits.into(), 56)
    }

    fn is_set(&self, bit: u8) -> bool {
        self.field(bit, bit) == 1
    }

    /// A rule of the layout, worth so many bits.
    fn must(&mut self, obeyed: bool, worth: f64, good: impl FnOnce() -> String, bad: impl FnOnce() -> String) {
        if self.done() {
            return;
        }
        if obeyed {
            self.opinion.supports.push(good());
            self.opinion.evidence += worth;
        } else {
            self.opinion.obeys = false;
            if !self.quick {
                self.opinion.against.push(bad());
            }
        }
    }

    /// A rule of thumb, worth so many bits.
    fn likely(&mut self, obeyed: bool, worth: f64, good: impl FnOnce() -> String, bad: impl FnOnce() -> String) {
        if self.done() {
            return;
        }
        if obeyed {
            self.opinion.supports.push(good());
            self.opinion.evidence += worth;
        } else {
            self.opinion.against.push(bad());
            self.opinion.evidence -= AGAINST;
        }
    }

    /// Something that only speaks where it is wrong.
    fn odd(&mut self, odd: bool, bad: impl FnOnce() -> String) {
        if odd && !self.done() {
            self.opinion.against.push(bad());
            self.opinion.evidence -= AGAINST;
        }
    }

    /// A value that is given has to be at most this, either way.
    fn at_most(&mut self, field: &str, most: f64, worth: f64, unit: &str) {
        if let Some(value) = self.value(field) {
            let name = in_words(field);
            let shown = (value * 1000.0).round() / 1000.0;
            self.likely(
                value.abs() <= most,
                worth,
                || format!("{name} {shown}{unit}, not beyond {most}"),
                || format!("{name} {shown}{unit} is beyond {most}"),
            );
        }
    }

    /// A value of the register by field name, where its status says that it holds.
    fn value(&self, field: &str) -> Option<f64> {
        if self.done() {
            return None;
        }
        parts(self.opinion.register).iter().find(|part| part.field == field)?.given(self.bits.into())
    }

    fn temperature(&mut self) {
        // Handbook, Mode S part, chapters 8 and 9: what occurs; worth one bit of the 256 degrees of the scale.
        if let Some(degrees) = self.value("static_air_temperature_c") {
            self.likely(
                (-80.0..=60.0).contains(&degrees),
                0.9,
                || format!("temperature {degrees} degrees C, from -80 to 60"),
                || format!("temperature {degrees} degrees C is outside -80 to 60"),
            );
        }
    }

    /// A speed behind Mach and altitude has to be the indicated one, about.
    fn mach_and_airspeed(&mut self) {
        // The handbook's figure of chapter 9 allows 15 kt.
        const ALLOWED_KT: f64 = 15.0;
        let (Some(mach), Some(indicated), Some(altitude)) =
            (self.value("mach"), self.value("indicated_airspeed_kt"), self.altitude_ft)
        else {
            return;
        };
        let calibrated = calibrated_airspeed_kt(mach, altitude);
        let apart = (calibrated - indicated).abs();
        let both = || format!("Mach {mach:.3} at {} ft is {calibrated:.0} kt calibrated", spaced(altitude as i64));
        self.likely(
            apart <= ALLOWED_KT,
            4.5,
            || format!("{}, and {indicated} kt is indicated", both()),
            || format!("{}, but {indicated} kt is indicated, more than {ALLOWED_KT} apart", both()),
        );
    }

    /// An altitude in the register has to be the reply's, about.
    fn same_altitude(&mut self, altitude: Option<f64>) {
        // Our own limit: a register may be some seconds old.
        const ALLOWED_FT: f64 = 500.0;
        if let (Some(own), Some(reply)) = (altitude, self.altitude_ft) {
            self.likely(
                (own - reply).abs() <= ALLOWED_FT,
                5.5,
                || format!("altitude {own} ft, as the reply's {reply} ft"),
                || format!("altitude {own} ft, but the reply's is {reply} ft"),
            );
        }
    }

    fn threat_kind(&mut self) {
        let kind = self.field(29, 30);
        self.must(
            kind != 3,
            0.4,
            || format!("threat kind {kind} is assigned"),
            || "threat kind 3 is not assigned".to_owned(),
        );
        let kept = self.field(16, 22);
        self.must(
            kept < 48,
            1.4,
            || format!("bits 16-22 are {kept}, below 48"),
            || format!("bits 16-22 are {kept}, not below 48"),
        );
        self.odd(kept > 0, || "bits 16-22 are reserved for ACAS III and not zero".to_owned());
        if kind == 1 {
            self.must(
                self.field(55, 56) == 0,
                2.0,
                || "bits 55-56 behind the threat's address are zero".to_owned(),
                || "bits 55-56 behind the threat's address are not zero".to_owned(),
            );
        }
    }
}

/// A field's name as words, its unit left off.
fn in_words(field: &str) -> String {
    let bare = ["_deg", "_kt", "_fpm", "_mhz"].iter().find_map(|unit| field.strip_suffix(unit)).unwrap_or(field);
    bare.replace('_', " ")
}

fn weigh(register: RegisterNumber, bits: u64, altitude_ft: Option<i32>, quick: bool) -> Option<Opinion> {
    let table = table(register, bits)?;
    let opinion =
        Opinion { register, supports: Vec::new(), against: Vec::new(), obeys: true, evidence: start(register) };
    let mut weigher = Weigher { bits, altitude_ft: altitude_ft.map(f64::from), quick, opinion };
    if SQUITTER.contains(&register) {
        squitter(&mut weigher, register, table);
    } else {
        layout(&mut weigher, register, table);
        if !weigher.done() {
            particular(&mut weigher, register);
        }
    }
    Some(weigher.opinion)
}

fn list(spans: &[Span]) -> String {
    spans.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")
}

/// What the table says by itself: the register's own number, reserved bits, and status bits.
fn layout(w: &mut Weigher, register: RegisterNumber, table: &Table) {
    if table.rows[0].key == "register_number" {
        let first = w.field(1, 8);
        w.must(
            first == register.bits(),
            8.0,
            || format!("bits 1-8 are {first:02X}, the register's own number"),
            || format!("bits 1-8 are {first:02X} and not the register's own number"),
        );
    }
    let kept = |key| !FILLED.contains(&(register, key));
    let reserved = table.rows.iter().filter(|row| row.is_reserved() && kept(row.key)).map(|row| row.span);
    zeros(w, reserved, true);
    let (mut empty, mut filled) = (Vec::new(), Vec::new());
    for part in parts(register) {
        if w.done() {
            return;
        }
        let Some(status) = part.status_bit().filter(|status| !w.is_set(*status)) else { continue };
        if part.value.of(w.bits.into(), 56) == 0 { empty.push(part.value) } else { filled.push((status, part.value)) }
    }
    statuses(w, &empty, &filled);
}

fn statuses(w: &mut Weigher, empty: &[Span], filled: &[(u8, Span)]) {
    if !empty.is_empty() {
        let worth = empty.iter().map(|span| f64::from(span.width())).sum();
        w.must(true, worth, || format!("nothing behind a status of 0: bits {}", list(empty)), String::new);
    }
    for (status, span) in filled {
        w.must(false, 0.0, String::new, || format!("bits {span} are not zero, though their status bit {status} is 0"));
    }
}

fn zeros(w: &mut Weigher, spans: impl Iterator<Item = Span>, hard: bool) {
    let (zero, filled): (Vec<Span>, Vec<Span>) = spans.partition(|span| span.of(w.bits.into(), 56) == 0);
    if !zero.is_empty() && filled.is_empty() {
        let worth = zero.iter().map(|span| f64::from(span.width())).sum();
        w.must(true, worth, || format!("reserved bits {} are zero", list(&zero)), String::new);
    }
    if !filled.is_empty() {
        let bad = || format!("reserved bits {} are not zero", list(&filled));
        if hard { w.must(false, 0.0, String::new, bad) } else { w.odd(true, bad) }
    }
}

fn assigned(w: &mut Weigher, all: bool, characters: f64, what: &str) {
    // 37 of 64 codes are assigned.
    w.must(
        all,
        characters * 0.79,
        || format!("every character of the {what} is assigned"),
        || format!("a character of the {what} is not assigned"),
    );
}

/// What only this register has.
fn particular(w: &mut Weigher, register: RegisterNumber) {
    match register.bits() {
        0x07 => w.odd(w.field(1, 2) == 3, || "rate 3 is reserved".to_owned()),
        0x10 => {
            w.odd(w.is_set(9), || "bit 9 refers to register 1,1, which is not defined".to_owned());
            let (version, up, down) = (w.field(17, 23), w.field(26, 28), w.field(29, 32));
            w.odd(version > 5, || format!("subnetwork version {version} is not assigned"));
            w.odd(up > 6 || down > 6, || "a throughput class is reserved".to_owned());
        }
        0x17 => {
            w.must(
                w.is_set(7),
                1.0,
                || "bit 7 is set: register 2,0 is in use".to_owned(),
                || "bit 7 is 0, though every aircraft that has this register has 2,0".to_owned(),
            );
            w.likely(
                w.field(25, 28) == 0,
                4.0,
                || "bits 25-28 are zero".to_owned(),
                || "bits 25-28, which differ between editions, are not zero".to_owned(),
            );
            w.likely(
                !w.is_set(29),
                1.0,
                || "bit 29 is 0".to_owned(),
                || "bit 29 is set: register F,1, on military aircraft only".to_owned(),
            );
        }
        0x20 => {
            let identification = Identification::from_bits(w.field(9, 56));
            let codes = Characters::<48>::from_bits(w.field(9, 56));
            assigned(w, codes.is_assigned(), 8.0, "identification");
            w.odd(codes.is_assigned() && !identification.is_well_formed(), || {
                "a space stands before the end of the identification".to_owned()
            });
        }
        0x21 => {
            if w.is_set(1) {
                assigned(w, Characters::<42>::from_bits(w.field(2, 43)).is_assigned(), 7.0, "registration");
            }
            if w.is_set(44) {
                assigned(w, Characters::<12>::from_bits(w.field(45, 56)).is_assigned(), 2.0, "airline code");
            }
        }
        0x30 => {
            w.threat_kind();
            w.odd(!w.is_set(9) && !w.is_set(28) && w.field(10, 15) != 0, || {
                "bits 10-15 are not zero, though bits 9 and 28 say that there is no advisory".to_owned()
            });
            w.odd(w.field(29, 30) == 0 && w.field(31, 56) != 0, || {
                "a threat is told, though its kind says that it is not".to_owned()
            });
        }
        0x41 if w.is_set(1) => {
            assigned(w, Characters::<54>::from_bits(w.field(2, 55)).is_assigned(), 9.0, "waypoint");
        }
        0x42 => w.at_most("waypoint_latitude_deg", 90.0, 1.0, " deg"),
        0x44 => {
            let source = w.field(1, 4);
            w.must(
                source <= 4,
                1.7,
                || format!("source {source} is assigned"),
                || format!("source {source} is reserved"),
            );
            // Handbook, chapter 9: below 250 kt.
            w.at_most("wind_speed_kt", 249.0, 1.0, " kt");
            w.temperature();
        }
        0x45 => w.temperature(),
        0x48 => {
            // The end of the band is from memory.
            for field in ["vhf_1_mhz", "vhf_2_mhz", "vhf_3_mhz"] {
                w.at_most(field, 137.0, 0.8, " MHz");
            }
        }
        0x50 => {
            w.at_most("roll_deg", 50.0, 0.8, " deg");
            w.at_most("ground_speed_kt", 600.0, 1.8, " kt");
            // The handbook has 500 kt, which long-haul traffic passes.
            w.at_most("true_airspeed_kt", 600.0, 1.8, " kt");
            if let (Some(ground), Some(air)) = (w.value("ground_speed_kt"), w.value("true_airspeed_kt")) {
                let apart = (ground - air).abs();
                w.likely(
                    apart <= 200.0,
                    1.0,
                    || format!("ground speed and true airspeed are {apart} kt apart, not more than 200"),
                    || format!("ground speed and true airspeed are {apart} kt apart, more than 200"),
                );
            }
        }
        0x51 => {
            w.at_most("latitude_deg", 90.0, 1.0, " deg");
            w.same_altitude(w.value("coarse_pressure_altitude_ft"));
        }
        0x53 => {
            w.at_most("indicated_airspeed_kt", 500.0, 1.0, " kt");
            w.at_most("mach", 1.0, 2.0, "");
            w.at_most("true_airspeed_kt", 600.0, 1.8, " kt");
            w.at_most("altitude_rate_fpm", 6000.0, 1.4, " ft/min");
            w.mach_and_airspeed();
        }
        0x60 => {
            w.at_most("indicated_airspeed_kt", 500.0, 1.0, " kt");
            w.at_most("mach", 1.0, 2.0, "");
            w.at_most("barometric_altitude_rate_fpm", 6000.0, 1.4, " ft/min");
            w.at_most("inertial_vertical_velocity_fpm", 6000.0, 1.4, " ft/min");
            w.mach_and_airspeed();
        }
        0xE3..=0xE6 => unit_number(w),
        0xF2 => {
            let type_code = w.field(1, 5);
            w.must(type_code == 0, 5.0, || "type code 0".to_owned(), || format!("type code {type_code} is not 0"));
        }
        _ => {}
    }
}

fn unit_number(w: &mut Weigher) {
    let value = Span::new(2, 51);
    if !w.is_set(1) {
        if value.of(w.bits.into(), 56) == 0 {
            statuses(w, &[value], &[]);
        } else {
            statuses(w, &[], &[(1, value)]);
        }
        return;
    }
    match w.field(2, 3) {
        0 => {
            let code = w.field(4, 51);
            let decimal = (0..12).all(|at| code >> (4 * at) & 15 < 10);
            w.must(
                decimal,
                8.1,
                || "all twelve digits are decimal".to_owned(),
                || "a digit of the part number is not decimal".to_owned(),
            );
        }
        1 => assigned(w, Characters::<48>::from_bits(w.field(4, 51)).is_assigned(), 8.0, "number"),
        format => w.must(false, 0.0, String::new, || format!("number format {format} is not assigned")),
    }
}

/// Registers that hold a squitter's message field.
fn squitter(w: &mut Weigher, register: RegisterNumber, table: &Table) {
    let (type_code, subtype) = (w.field(1, 5), w.field(6, 8));
    let (fits, worth) = match register.bits() {
        0x05 => (matches!(type_code, 0 | 9..=18 | 20..=22), 1.2),
        0x06 => (matches!(type_code, 5..=8), 3.0),
        0x08 => (matches!(type_code, 1..=4), 3.0),
        0x09 => (type_code == 19, 5.0),
        0x0A => (matches!(type_code, 28 | 29 | 31), 3.4),
        0x61 => (type_code == 28, 5.0),
        0x62 => (type_code == 29, 5.0),
        _ => (type_code == 31, 5.0),
    };
    w.must(
        fits,
        worth,
        || format!("type code {type_code} goes with the register"),
        || format!("type code {type_code} does not go with the register"),
    );
    if !fits {
        return;
    }
    let known = match type_code {
        19 => Some(matches!(subtype, 1..=4)),
        28 => Some(matches!(subtype, 1 | 2)),
        // Two bits of subtype; the third belongs to the next field.
        29 => Some(subtype >> 1 < 2),
        31 => Some(subtype < 2),
        _ => None,
    };
    if let Some(known) = known {
        w.must(
            known,
            1.0,
            || "its subtype is assigned".to_owned(),
            || format!("no message of type code {type_code} has its subtype"),
        );
    }
    let altitude = |w: &Weigher| Altitude12::from_bits(w.field(9, 20)).feet().map(f64::from);
    match register.bits() {
        0x05 if type_code < 19 => w.same_altitude(altitude(w)),
        0x08 => assigned(w, Characters::<48>::from_bits(w.field(9, 56)).is_assigned(), 8.0, "identification"),
        0x0A | 0x61 if type_code == 28 && subtype == 2 => w.threat_kind(),
        0x0A | 0x65 if type_code == 31 => {
            let version = w.field(41, 43);
            w.odd(version > 3, || format!("version {version} is not supported: no source is held for it"));
        }
        _ => {}
    }
    // What is reserved differs between versions, so it does not strike a register out.
    zeros(w, table.rows.iter().filter(|row| row.is_reserved()).map(|row| row.span), false);
}
