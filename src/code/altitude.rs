//! Altitude codes: 12 bits in the squitter, 13 in replies; 25-ft steps or the 100-ft grey code of the wires.
//!
//! Bit order C1 A1 C2 A2 C4 A4 (M) B1 Q B2 D2 B4 D4 (handbook, Mode S part, chapter 3; the squitter leaves M out,
//! Annex 10 Volume III). Q = 1: the eleven other bits count 25-ft steps from -1000 ft. Q = 0: grey code, where
//! D2 D4 A1 A2 A4 B1 B2 B4 count 500 ft and C1 C2 C4 count 100 ft, mirrored on every odd 500.

use super::mode_a::under;
use super::wires::{GREY_CODE_BOTTOM_FT, Wires};
use super::{
    Bits, Code, CodeError, Meaning, MeaningKind, Step, Value, Version, bits, bits_step, decimals, finite, is_no_data,
    number, spaced,
};

/// The highest altitude that the 100-ft grey code reaches.
pub const GREY_CODE_TOP_FT: i32 = 126_700;

const QUARTER_TOP_FT: i32 = 50_175;
const BOTTOM_FT: i32 = -1000;
const Q: u16 = 1 << 4;
/// The standard's bit names of the twelve-bit code, first bit first.
pub(super) const WIRES: [&str; 12] = ["C1", "A1", "C2", "A2", "C4", "A4", "B1", "Q", "B2", "D2", "B4", "D4"];

bits! {
    /// The squitter's 12-bit altitude code (ME 9-20).
    ///
    /// ```
    /// use squitterlab::code::{Altitude12, Bits};
    /// assert_eq!(Altitude12::from_bits(0xC38).feet(), Some(38_000));
    /// assert_eq!(Altitude12::from_feet(38_000.0, 25).unwrap().bits(), 0xC38);
    /// assert!(Altitude12::from_feet(-2_000.0, 25).is_err());
    /// ```
    Altitude12(u16: 12)
}

bits! {
    /// The 13-bit altitude code of replies (AC, bits 20-32).
    #[doc(alias = "AC")]
    Altitude13(u16: 13)
}

fn from_grey(mut grey: u16) -> u16 {
    let mut shift = grey >> 1;
    while shift != 0 {
        grey ^= shift;
        shift >>= 1;
    }
    grey
}

const fn to_grey(binary: u16) -> u16 {
    binary ^ (binary >> 1)
}

/// The bit of a wire in a twelve-bit code.
pub(super) const fn wire(name: &str) -> u16 {
    let (name, mut at) = (name.as_bytes(), 0);
    while at < WIRES.len() {
        let known = WIRES[at].as_bytes();
        if known.len() == name.len() && known[0] == name[0] && known[known.len() - 1] == name[name.len() - 1] {
            return 1 << (11 - at);
        }
        at += 1;
    }
    0
}

/// The bits of these wires, the first counting most.
const fn wires<const N: usize>(names: [&str; N]) -> [u16; N] {
    let (mut bits, mut at) = ([0; N], 0);
    while at < N {
        bits[at] = wire(names[at]);
        at += 1;
    }
    bits
}

const FIVE_HUNDREDS_NAMES: [&str; 8] = ["D2", "D4", "A1", "A2", "A4", "B1", "B2", "B4"];
const FIVE_HUNDREDS: [u16; 8] = wires(FIVE_HUNDREDS_NAMES);
const HUNDREDS_NAMES: [&str; 3] = ["C1", "C2", "C4"];
pub(super) const HUNDREDS: [u16; 3] = wires(HUNDREDS_NAMES);

pub(super) fn gather(code: u16, wires: &[u16]) -> u16 {
    wires.iter().fold(0, |sum, wire| sum << 1 | u16::from(code & wire != 0))
}

fn scatter(value: u16, wires: &[u16]) -> u16 {
    wires.iter().rev().enumerate().filter(|(at, _)| value >> at & 1 == 1).fold(0, |sum, (_, wire)| sum | wire)
}

impl Altitude12 {
    /// No altitude.
    pub const NO_DATA: Self = Self(0);

    /// Feet, or none for "no data" and for grey codes that mean no altitude.
    ///
    /// ```
    /// use squitterlab::code::{Altitude12, Bits};
    /// assert_eq!(Altitude12::from_bits(0xC38).feet(), Some(38_000));
    /// assert_eq!(Altitude12::from_bits(0).feet(), None);
    /// ```
    pub fn feet(self) -> Option<i32> {
        if self.0 == 0 {
            return None;
        }
        if self.0 & Q != 0 {
            let n = self.quarters();
            return Some(25 * i32::from(n) + BOTTOM_FT);
        }
        let five_hundreds = from_grey(gather(self.0, &FIVE_HUNDREDS));
        let hundreds = match from_grey(gather(self.0, &HUNDREDS)) {
            0 | 5 | 6 => return None,
            7 => 5,
            other => other,
        };
        let hundreds = if five_hundreds % 2 == 1 { 6 - hundreds } else { hundreds };
        Some(500 * i32::from(five_hundreds) + 100 * i32::from(hundreds) - 1300)
    }

    /// The eleven bits beside Q.
    const fn quarters(self) -> u16 {
        (self.0 & 0xFE0) >> 1 | self.0 & 0xF
    }

    /// Whether the code counts 25-ft steps (Q = 1); false for grey code and for no data.
    ///
    /// ```
    /// use squitterlab::code::Altitude12;
    /// assert!(Altitude12::from_feet(4_525.0, 25).unwrap().is_quarter());
    /// assert!(!Altitude12::from_feet(4_500.0, 100).unwrap().is_quarter());
    /// ```
    pub const fn is_quarter(self) -> bool {
        self.0 & Q != 0
    }

    /// The code nearest to `feet` in steps of 25 or 100 ft. From 50 175 ft up only the 100-ft code reaches.
    ///
    /// ```
    /// use squitterlab::code::Altitude12;
    /// assert_eq!(Altitude12::from_feet(4_510.0, 25).unwrap().feet(), Some(4_500));
    /// assert!(Altitude12::from_feet(-2_000.0, 25).is_err());
    /// ```
    ///
    /// # Errors
    /// [`CodeError::OutOfRange`] below -1000 ft and above 126 700 ft, [`CodeError::NotANumber`] for infinities and "not a
    /// number".
    pub fn from_feet(feet: f64, step_ft: u16) -> Result<Self, CodeError> {
        let feet = finite(feet)?;
        let out = || CodeError::out_of_range(feet, BOTTOM_FT, GREY_CODE_TOP_FT, " ft");
        if !(f64::from(BOTTOM_FT) - 50.0..=f64::from(GREY_CODE_TOP_FT) + 50.0).contains(&feet) {
            return Err(out());
        }
        if step_ft == 25 && feet < f64::from(QUARTER_TOP_FT) + 12.5 {
            let n = ((feet - f64::from(BOTTOM_FT)) / 25.0).round() as i32;
            let n = u16::try_from(n).map_err(|_| out())?;
            return Ok(Self((n & 0x7F0) << 1 | Q | n & 0xF));
        }
        Ok(Self::from_hundreds(((feet + 1200.0) / 100.0).round() as u16))
    }

    /// The code whose bits, Q left out, are these.
    pub(super) const fn of_grey(bits: u16) -> Self {
        Self(bits & 0xFFF & !Q)
    }

    /// The grey code of a number of hundreds of feet above -1200 ft.
    pub(super) fn from_hundreds(steps: u16) -> Self {
        let (five_hundreds, rest) = (steps / 5, steps % 5);
        let rest = if five_hundreds % 2 == 1 { 4 - rest } else { rest };
        let hundreds = [0b001, 0b011, 0b010, 0b110, 0b100][usize::from(rest)];
        Self(scatter(to_grey(five_hundreds), &FIVE_HUNDREDS) | scatter(hundreds, &HUNDREDS))
    }

    /// The same as a 13-bit code: a zero M bit put in.
    ///
    /// ```
    /// use squitterlab::code::Altitude12;
    /// let squitter = Altitude12::from_feet(38_000.0, 25).unwrap();
    /// assert_eq!(squitter.with_metric_bit().feet(), Some(38_000));
    /// ```
    pub const fn with_metric_bit(self) -> Altitude13 {
        Altitude13((self.0 & 0xFC0) << 1 | self.0 & 0x3F)
    }
}

impl Code for Altitude12 {
    const RULE: &'static str = "Q = 1: 25 ft x eleven bits - 1000 ft; Q = 0: 100-ft grey code; zero: no data";
    const KIND: MeaningKind = MeaningKind::Integer;
    const UNIT: &'static str = "ft";

    fn meaning(self, version: Version) -> Meaning {
        match self.feet() {
            Some(feet) => Meaning::written(Value::Integer(feet.into()), self.bits(), version, |code, _, f| {
                let code = Self::from_bits(code);
                let step = if code.is_quarter() { "25-ft" } else { "100-ft grey" };
                write!(f, "{} ft, {step} code", spaced(code.feet().unwrap_or_default().into()))
            }),
            None if self.0 == 0 => Meaning::none("no altitude"),
            None => Meaning::none("a grey code that means no altitude"),
        }
    }

    fn from_meaning(wanted: &str, _version: Version) -> Result<Self, CodeError> {
        if is_no_data(wanted) { Ok(Self::NO_DATA) } else { Self::from_feet(number(wanted)?, 25) }
    }

    fn steps(self, _version: Version) -> Vec<Step> {
        let mut steps = vec![Step::new(format!("bits {:012b}", self.0), WIRES.join(" "))];
        if self.0 == 0 {
            steps.push(Step::note("all bits 0: no altitude"));
        } else if self.is_quarter() {
            let n = self.quarters();
            steps.push(Step::new(format!("{n:011b}"), n.to_string()).explained("Q = 1: leave Q out"));
            steps.push(Step::new(format!("25 ft x {n} - 1000 ft"), format!("{} ft", 25 * i32::from(n) - 1000)));
        } else {
            let five = gather(self.0, &FIVE_HUNDREDS);
            let hundred = gather(self.0, &HUNDREDS);
            let (n, c) = (from_grey(five), from_grey(hundred));
            steps.push(Step::new(format!("{five:08b}"), "").explained("Q = 0").of(FIVE_HUNDREDS_NAMES.join(" ")));
            steps.push(Step::note("grey to binary: each bit is its own XOR all the bits before it"));
            steps.push(Step::new(format!("{n:08b}"), format!("{n} five-hundreds")).explained("grey to binary"));
            steps.push(Step::new(format!("{hundred:03b}"), "").of(HUNDREDS_NAMES.join(" ")));
            steps.push(Step::new(format!("{c:03b}"), c.to_string()).explained("grey to binary"));
            match self.feet() {
                None => steps.push(Step::note(format!("{c} is none of 1, 2, 3, 4, 7: no altitude"))),
                Some(feet) => {
                    if c == 7 {
                        steps.push(Step::note("7 stands for 5"));
                    }
                    let c = if c == 7 { 5 } else { c };
                    let used = if n % 2 == 1 { 6 - c } else { c };
                    if n % 2 == 1 {
                        let why = format!("{n} is odd: the hundreds run backwards");
                        steps.push(Step::new(format!("6 - {c}"), used.to_string()).explained(why));
                    }
                    steps.push(Step::new(format!("500 x {n} + 100 x {used} - 1300"), format!("{feet} ft")));
                }
            }
        }
        steps
    }

    /// The code that is sent, and for a 25-ft code also the wires that an encoder of 100 ft would ground.
    fn steps_to(self, wanted: &str, _version: Version) -> Vec<Step> {
        let Ok(feet) = number(wanted) else { return Vec::new() };
        let mut steps = Vec::new();
        if self.is_quarter() {
            let n = self.quarters();
            let exact = (feet - f64::from(BOTTOM_FT)) / 25.0;
            steps.push(
                Step::new(format!("({} + 1000) / 25", decimals(feet, 6)), decimals(exact, 6))
                    .explained("steps of 25 ft above -1000 ft"),
            );
            if (exact - f64::from(n)).abs() > 1e-6 {
                let whole = Step::new(format!("round({})", decimals(exact, 6)), n.to_string());
                steps.push(whole.explained("the nearest whole step"));
            }
            steps.push(bits_step(n.into(), 11));
            steps.push(Step::note(format!(
                "Q = 1 goes between the seventh and the eighth bit: {:07b} 1 {:04b}",
                n >> 4,
                n & 15
            )));
            steps.push(
                Step::new(format!("bits {:012b}", self.0), format!("{:03X}", self.0)).explained("in hexadecimal"),
            );
            steps.push(Step::note("an encoder with wires says the same altitude in steps of 100 ft:"));
        } else {
            steps.push(Step::note(if feet > f64::from(QUARTER_TOP_FT) {
                "25-ft steps end at 50 175 ft: above it only the 100-ft code of the wires reaches"
            } else {
                "in steps of 100 ft, as an encoder with wires gives it"
            }));
        }
        if let Some(wires) = Wires::from_feet(feet).ok().filter(|wires| wires.feet().is_some()) {
            steps.extend(wires_steps(feet, wires));
        }
        steps
    }
}

/// From feet to the wires that are grounded.
fn wires_steps(feet: f64, wires: Wires) -> Vec<Step> {
    let code = wires.squitter();
    let hundreds = (wires.feet().unwrap_or_default() - GREY_CODE_BOTTOM_FT) / 100;
    let (n, rest) = (hundreds / 5, hundreds % 5);
    let place = if n % 2 == 1 { 4 - rest } else { rest };
    let exact = (feet - f64::from(GREY_CODE_BOTTOM_FT)) / 100.0;
    let mut steps = vec![
        Step::new(format!("({} + 1200) / 100", decimals(feet, 6)), decimals(exact, 6))
            .explained("hundreds of feet above -1200 ft"),
    ];
    if (exact - f64::from(hundreds)).abs() > 1e-6 {
        steps.push(
            Step::new(format!("round({})", decimals(exact, 6)), hundreds.to_string())
                .explained("the nearest whole hundred"),
        );
    }
    let (five, three) = (gather(code.0, &FIVE_HUNDREDS), gather(code.0, &HUNDREDS));
    steps.push(Step::new(format!("floor({hundreds} / 5)"), n.to_string()).explained("five-hundreds"));
    steps.push(Step::new(format!("{hundreds} mod 5"), rest.to_string()).explained("hundreds over"));
    steps.push(
        Step::new(format!("{n:08b} xor {:08b}", n >> 1), format!("{five:08b}"))
            .explained("binary to grey: the number XOR itself shifted right by one")
            .of(FIVE_HUNDREDS_NAMES.join(" ")),
    );
    if n % 2 == 1 {
        let why = format!("{n} is odd: the hundreds run backwards");
        steps.push(Step::new(format!("4 - {rest}"), place.to_string()).explained(why));
    }
    steps.push(
        Step::new("", format!("{three:03b}"))
            .explained(format!("place {place} of 001, 011, 010, 110, 100, counted from 0"))
            .of(HUNDREDS_NAMES.join(" ")),
    );
    steps.push(Step::note(format!("grounded wires: {wires}")));
    let spread: Vec<String> = (0..12).rev().map(|place| (code.0 >> place & 1).to_string()).collect();
    steps.push(Step::note("as twelve bits, with Q = 0:"));
    steps.push(Step::note(format!("  {}", WIRES.join(" "))));
    steps.push(Step::note(format!("  {}", under(&WIRES.join(" "), &spread))));
    steps.push(Step::new(format!("bits {:012b}", code.0), format!("{:03X}", code.0)).explained("in hexadecimal"));
    steps
}

impl Altitude13 {
    const METRIC: u16 = 1 << 6;

    /// The code without its M bit, or `None` if M says metric.
    ///
    /// ```
    /// use squitterlab::code::{Altitude12, Altitude13, Bits};
    /// let squitter = Altitude12::from_feet(38_000.0, 25).unwrap();
    /// assert_eq!(squitter.with_metric_bit().without_metric_bit(), Some(squitter));
    /// // The M bit is the seventh of thirteen.
    /// assert_eq!(Altitude13::from_bits(1 << 6).without_metric_bit(), None);
    /// ```
    pub const fn without_metric_bit(self) -> Option<Altitude12> {
        if self.0 & Self::METRIC == 0 { Some(Altitude12((self.0 & 0x1F80) >> 1 | self.0 & 0x3F)) } else { None }
    }

    /// Feet, or none for no data, for grey codes that mean no altitude, and for metric codes.
    ///
    /// ```
    /// use squitterlab::code::{Altitude12, Altitude13, Bits};
    /// assert_eq!(Altitude12::from_feet(4_500.0, 100).unwrap().with_metric_bit().feet(), Some(4_500));
    /// assert_eq!(Altitude13::from_bits(0).feet(), None);
    /// ```
    pub fn feet(self) -> Option<i32> {
        self.without_metric_bit().and_then(Altitude12::feet)
    }
}

impl Code for Altitude13 {
    const RULE: &'static str =
        "as the squitter's 12 bits with an M bit between A4 and B1; M = 1: metric, unit unconfirmed";
    const KIND: MeaningKind = MeaningKind::Integer;
    const UNIT: &'static str = "ft";

    fn meaning(self, version: Version) -> Meaning {
        match self.without_metric_bit() {
            Some(code) => code.meaning(version),
            None => Meaning::written(Value::Null, self.bits(), version, |code, _, f| {
                let n = (code & 0x1F80) >> 1 | code & 0x3F;
                write!(f, "metric, {n}; no confirmed source gives its unit")
            }),
        }
    }

    fn from_meaning(wanted: &str, version: Version) -> Result<Self, CodeError> {
        Altitude12::from_meaning(wanted, version).map(Altitude12::with_metric_bit)
    }

    fn steps(self, version: Version) -> Vec<Step> {
        let mut steps = vec![Step::new(format!("bits {:013b}", self.0), "C1 A1 C2 A2 C4 A4 M B1 Q B2 D2 B4 D4")];
        match self.without_metric_bit() {
            Some(code) => {
                steps.push(Step::note("M = 0: leave M out"));
                steps.extend(code.steps(version));
            }
            None => steps.push(Step::note("M = 1: metric coding, not resolved here")),
        }
        steps
    }

    fn steps_to(self, wanted: &str, version: Version) -> Vec<Step> {
        let Some(code) = self.without_metric_bit() else { return Vec::new() };
        let mut steps = code.steps_to(wanted, version);
        if !steps.is_empty() {
            let (high, low) = (code.0 >> 6, code.0 & 0x3F);
            steps.push(Step::note(format!(
                "in a reply M = 0 goes into the middle of the code that is sent: {high:06b} 0 {low:06b}"
            )));
        }
        steps
    }
}

bits! {
    /// The one bit of an altitude code that tells 25-ft steps from 100-ft steps.
    AltitudeStep(u8: 1)
}

impl Code for AltitudeStep {
    const RULE: &'static str = "1 says 25-ft steps, 0 says 100-ft steps";
    const KIND: MeaningKind = MeaningKind::Integer;
    const UNIT: &'static str = "ft";

    fn meaning(self, _version: Version) -> Meaning {
        match self.0 {
            1 => Meaning::new(Value::Integer(25), "25-ft steps"),
            _ => Meaning::new(Value::Integer(100), "100-ft steps"),
        }
    }

    fn from_meaning(wanted: &str, version: Version) -> Result<Self, CodeError> {
        super::Flag::from_meaning(wanted, version).map(|flag| Self::from_bits(flag.bits()))
    }
}

impl From<Altitude12> for u16 {
    fn from(code: Altitude12) -> Self {
        code.bits() as Self
    }
}
