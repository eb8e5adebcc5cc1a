//! Infers which registers 56 bits can be: a Comm-B reply does not say, so each register's rules are checked against the
//! bits.
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

use super::quantity::{Limit, Quantity};
use super::{REGISTERS, Register, SQUITTER, of_number};
use crate::code::table::Table;
use crate::code::{Altitude12, Bits, Characters, RegisterNumber, spaced};
use crate::frame::Span;
use crate::message::Message;

/// What is said of a payload that is all zero.
pub const ALL_ZERO: &str = "all 56 bits are zero: the requested register is not there or holds no data at present";

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
    // Most registers are ruled out by their layout, without a word.
    let subjects = SQUITTER.into_iter().map(Subject::Squitter).chain(REGISTERS.iter().map(Subject::Register));
    let mut opinions: Vec<Opinion> = subjects
        .filter(|subject| subject.obeys(bits))
        .map(|subject| subject.weigh(bits, altitude_ft))
        .filter(|opinion| !opinion.supports.is_empty())
        .collect();
    opinions.sort_by(|a, b| b.evidence.total_cmp(&a.evidence).then(a.register.cmp(&b.register)));
    opinions
}

/// What one register's rules say of the bits; none for registers that are not divided here.
///
/// ```
/// use squitterlab::register::inference::opinion;
/// let five = opinion("5,0".parse().unwrap(), 0xE519F331602401, None).unwrap();
/// assert!(five.obeys && !five.against.is_empty());
/// ```
pub fn opinion(register: RegisterNumber, bits: u64, altitude_ft: Option<i32>) -> Option<Opinion> {
    Some(Subject::of(register)?.weigh(bits, altitude_ft))
}

/// Whether the bits break no hard rule of the register; none for registers that are not divided here.
///
/// ```
/// use squitterlab::register::inference::obeys;
/// assert_eq!(obeys("2,0".parse().unwrap(), 0xE519F331602401), Some(false));
/// ```
pub fn obeys(register: RegisterNumber, bits: u64) -> Option<bool> {
    Some(Subject::of(register)?.obeys(bits))
}

/// Calibrated airspeed of a Mach number at a pressure altitude, in knots (standard atmosphere, from memory).
///
/// ```
/// use squitterlab::register::inference::calibrated_airspeed_kt;
/// // At sea level Mach 1 is the speed of sound.
/// assert!((calibrated_airspeed_kt(1.0, 0.0) - 661.5).abs() < 0.1);
/// ```
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

/// Elementary and enhanced surveillance, then the weather, which few aircraft serve (handbook, Mode S part, chapter 5);
/// the others are hardly ever asked for. The numbers are our own.
fn start(register: RegisterNumber) -> f64 {
    match register.bits() {
        0x10 | 0x17 | 0x20 | 0x30 | 0x40 | 0x50 | 0x60 => 10.0,
        0x44 | 0x45 => 0.0,
        _ => -10.0,
    }
}

/// What the bits are held to be.
#[derive(Clone, Copy)]
enum Subject {
    /// A register that a squitter is sent from.
    Squitter(RegisterNumber),
    Register(&'static Register),
}

impl Subject {
    fn of(number: RegisterNumber) -> Option<Self> {
        if SQUITTER.contains(&number) { Some(Self::Squitter(number)) } else { of_number(number).map(Self::Register) }
    }

    fn number(self) -> RegisterNumber {
        match self {
            Self::Squitter(number) => number,
            Self::Register(register) => register.number,
        }
    }

    /// Whether every hard rule is obeyed.
    fn obeys(self, bits: u64) -> bool {
        if let Self::Register(register) = self
            && (bits & register.zeros != 0
                || register.names_itself() && bits >> 48 != register.number.bits()
                || register.quantities.iter().any(|quantity| !quantity.is_sound(bits.into())))
        {
            return false;
        }
        let mut weigher = self.weigher(bits, None, true);
        match self {
            Self::Squitter(number) => squitter(&mut weigher, number, Message::decode(bits).table()),
            Self::Register(register) => (register.rules)(&mut weigher),
        }
        weigher.opinion.obeys
    }

    /// What speaks for and against it.
    fn weigh(self, bits: u64, altitude_ft: Option<i32>) -> Opinion {
        let mut weigher = self.weigher(bits, altitude_ft, false);
        match self {
            Self::Squitter(number) => squitter(&mut weigher, number, Message::decode(bits).table()),
            Self::Register(register) => {
                layout(&mut weigher, register);
                (register.rules)(&mut weigher);
                register.quantities.iter().for_each(|quantity| weigher.is_usual(quantity));
                (register.together)(&mut weigher);
            }
        }
        weigher.opinion
    }

    fn weigher(self, bits: u64, altitude_ft: Option<i32>, hard_only: bool) -> Weigher {
        let register = self.number();
        let quantities = if let Self::Register(register) = self { register.quantities } else { &[] };
        let evidence = if hard_only { 0.0 } else { start(register) };
        let opinion = Opinion { register, supports: Vec::new(), against: Vec::new(), obeys: true, evidence };
        Weigher { bits, quantities, altitude_ft: altitude_ft.map(f64::from), hard_only, opinion }
    }
}

/// Gathers what the rules of a register say of some bits.
pub(super) struct Weigher {
    bits: u64,
    quantities: &'static [Quantity],
    altitude_ft: Option<f64>,
    /// Only whether the hard rules are obeyed is wanted, and no word.
    hard_only: bool,
    opinion: Opinion,
}

impl Weigher {
    pub(super) fn field(&self, first: u8, last: u8) -> u64 {
        Span::new(first, last).of(self.bits.into(), 56)
    }

    pub(super) fn is_set(&self, bit: u8) -> bool {
        self.field(bit, bit) == 1
    }

    /// A rule of the layout, worth this many bits.
    pub(super) fn must(
        &mut self,
        obeyed: bool,
        worth: f64,
        good: impl FnOnce() -> String,
        bad: impl FnOnce() -> String,
    ) {
        self.opinion.obeys &= obeyed;
        match (self.hard_only, obeyed) {
            (true, _) => {}
            (false, true) => {
                self.opinion.supports.push(good());
                self.opinion.evidence += worth;
            }
            (false, false) => self.opinion.against.push(bad()),
        }
    }

    /// A rule of thumb, worth this many bits.
    pub(super) fn likely(
        &mut self,
        obeyed: bool,
        worth: f64,
        good: impl FnOnce() -> String,
        bad: impl FnOnce() -> String,
    ) {
        if self.hard_only {
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
    pub(super) fn odd(&mut self, odd: bool, bad: impl FnOnce() -> String) {
        if odd && !self.hard_only {
            self.opinion.against.push(bad());
            self.opinion.evidence -= AGAINST;
        }
    }

    /// Whether a quantity has a value that occurs.
    fn is_usual(&mut self, quantity: &Quantity) {
        let (Some(limit), Some(value)) = (quantity.scale.limit, quantity.given(self.bits.into())) else { return };
        match limit {
            Limit::AtMost { most, worth } => {
                let (name, unit) = (in_words(quantity.field), quantity.unit());
                let shown = (value * 1000.0).round() / 1000.0;
                self.likely(
                    value.abs() <= most,
                    worth,
                    || format!("{name} {shown}{unit}, not beyond {most}"),
                    || format!("{name} {shown}{unit} is beyond {most}"),
                );
            }
            Limit::Within { least, most, worth, name } => {
                let unit = quantity.unit();
                self.likely(
                    (least..=most).contains(&value),
                    worth,
                    || format!("{name} {value}{unit}, from {least} to {most}"),
                    || format!("{name} {value}{unit} is outside {least} to {most}"),
                );
            }
        }
    }

    /// A value of the register by field name, where its status says that it holds.
    pub(super) fn value(&self, field: &str) -> Option<f64> {
        self.quantities.iter().find(|quantity| quantity.field == field)?.given(self.bits.into())
    }

    /// A speed behind Mach and altitude has to be the indicated one, about.
    pub(super) fn mach_and_airspeed(&mut self) {
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
    pub(super) fn same_altitude(&mut self, altitude: Option<f64>) {
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

    pub(super) fn threat_kind(&mut self) {
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
                || "bits 55-56 after the threat's address are zero".to_owned(),
                || "bits 55-56 after the threat's address are not zero".to_owned(),
            );
        }
    }
}

/// A field's name as words, its unit left off.
fn in_words(field: &str) -> String {
    let bare = ["_deg", "_kt", "_fpm", "_mhz"].iter().find_map(|unit| field.strip_suffix(unit)).unwrap_or(field);
    bare.replace('_', " ")
}

fn list(spans: &[Span]) -> String {
    spans.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")
}

/// What the table says by itself: the register's own number, reserved bits, and status bits.
fn layout(w: &mut Weigher, register: &Register) {
    if register.names_itself() {
        let first = w.field(1, 8);
        w.must(
            first == register.number.bits(),
            8.0,
            || format!("bits 1-8 are {first:02X}, the register's own number"),
            || format!("bits 1-8 are {first:02X} and not the register's own number"),
        );
    }
    let is_kept = |span: &Span| span.mask(56) as u64 & register.zeros != 0;
    let reserved = register.table.rows.iter().filter(|row| row.is_reserved()).map(|row| row.span);
    zeros(w, reserved.filter(is_kept), true);
    let (mut empty, mut filled) = (Vec::new(), Vec::new());
    for quantity in register.quantities {
        let Some(status) = quantity.status_bit().filter(|status| !w.is_set(*status)) else { continue };
        if quantity.is_sound(w.bits.into()) {
            empty.push(quantity.value);
        } else {
            filled.push((status, quantity.value));
        }
    }
    statuses(w, &empty, &filled);
}

/// What a status bit of 0 has behind it.
pub(super) fn statuses(w: &mut Weigher, empty: &[Span], filled: &[(u8, Span)]) {
    if !empty.is_empty() {
        let worth = empty.iter().map(|span| f64::from(span.width())).sum();
        w.must(true, worth, || format!("nothing after a status of 0: bits {}", list(empty)), String::new);
    }
    for (status, span) in filled {
        w.must(false, 0.0, String::new, || {
            let (bits, theirs) = if span.width() == 1 { ("bit", "its") } else { ("bits", "their") };
            let are = if span.width() == 1 { "is" } else { "are" };
            format!("{bits} {span} {are} not zero, though {theirs} status bit {status} is 0")
        });
    }
}

fn zeros(w: &mut Weigher, spans: impl Iterator<Item = Span>, hard: bool) {
    if w.hard_only {
        return;
    }
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

/// Whether this many characters are ones that have a code.
pub(super) fn assigned(w: &mut Weigher, all: bool, characters: f64, what: &str) {
    // 37 of 64 codes are assigned.
    w.must(
        all,
        characters * 0.79,
        || format!("every character of the {what} is assigned"),
        || format!("a character of the {what} is not assigned"),
    );
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
