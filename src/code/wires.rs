//! The eleven wires of the 100-ft grey code between encoder and transponder, and their states.
//!
//! Source: a published table of the code from -1200 to 6400 ft and an encyclopaedia article on it; a line is active
//! where the encoder grounds it (common practice, no source). D1 is not used for altitude.

use super::altitude::{HUNDREDS, WIRES, gather, wire};
use super::{Altitude12, Altitude13, Bits, CodeError, GREY_CODE_TOP_FT, ModeA, finite};
use std::fmt;
use std::str::FromStr;

/// The lowest altitude of the code table; encoders begin at -1000 ft.
pub const GREY_CODE_BOTTOM_FT: i32 = -1200;

/// One wire.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Wire(u8);

const NAMES: [&str; 11] = ["A1", "A2", "A4", "B1", "B2", "B4", "C1", "C2", "C4", "D2", "D4"];

impl Wire {
    /// All eleven, in the order A, B, C, D.
    pub const ALL: [Self; 11] =
        [Self(0), Self(1), Self(2), Self(3), Self(4), Self(5), Self(6), Self(7), Self(8), Self(9), Self(10)];

    /// The name.
    ///
    /// ```
    /// use squitterlab::code::Wire;
    /// assert_eq!(Wire::ALL[0].name(), "A1");
    /// ```
    pub fn name(self) -> &'static str {
        NAMES.get(usize::from(self.0)).copied().unwrap_or("")
    }

    /// Its bit in the squitter's code.
    fn bit(self) -> u16 {
        wire(self.name())
    }
}

impl fmt::Display for Wire {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

impl FromStr for Wire {
    type Err = CodeError;

    fn from_str(text: &str) -> Result<Self, CodeError> {
        let name = text.trim().to_uppercase();
        if name == "D1" {
            return Err(CodeError::Refused("D1 is not used for altitude".to_owned()));
        }
        Self::ALL
            .into_iter()
            .find(|wire| wire.name() == name)
            .ok_or_else(|| CodeError::NotOneOf { found: text.trim().to_owned(), known: NAMES.join(", ") })
    }
}

/// Which of the eleven wires are active, that is, grounded.
///
/// ```
/// use squitterlab::code::Wires;
/// let wires = Wires::from_feet(14_800.0).unwrap();
/// assert_eq!(wires.to_string(), "A1 A2 C4");
/// assert_eq!(wires.feet(), Some(14_800));
/// assert_eq!(wires.mode_c().to_string(), "3040");
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
#[doc(alias("Gillham", "Mode C"))]
pub struct Wires(u16);

impl Wires {
    /// The wires of the 100-ft code nearest to `feet`; half way goes up.
    ///
    /// ```
    /// use squitterlab::code::Wires;
    /// assert_eq!(Wires::from_feet(4_550.0).unwrap().feet(), Some(4_600));
    /// assert!(Wires::from_feet(-1_300.0).is_err());
    /// ```
    ///
    /// # Errors
    /// [`CodeError::OutOfRange`] below -1200 and above 126 700 ft, [`CodeError::NotANumber`] for infinities and "not a
    /// number".
    pub fn from_feet(feet: f64) -> Result<Self, CodeError> {
        let hundreds = ((finite(feet)? - f64::from(GREY_CODE_BOTTOM_FT)) / 100.0 + 0.5).floor();
        let most = f64::from((GREY_CODE_TOP_FT - GREY_CODE_BOTTOM_FT) / 100);
        if (0.0..=most).contains(&hundreds) {
            Ok(Self(Altitude12::from_hundreds(hundreds as u16).bits() as u16))
        } else {
            Err(CodeError::out_of_range(feet, GREY_CODE_BOTTOM_FT, GREY_CODE_TOP_FT, " ft"))
        }
    }

    /// The wires that a squitter's code shows; none for a 25-ft code.
    ///
    /// ```
    /// use squitterlab::code::{Altitude12, Wires};
    /// let [grey, quarter] = [100, 25].map(|step| Altitude12::from_feet(4_500.0, step).unwrap());
    /// assert_eq!(Wires::from_squitter(grey).unwrap().feet(), Some(4_500));
    /// assert!(Wires::from_squitter(quarter).is_none());
    /// ```
    pub fn from_squitter(code: Altitude12) -> Option<Self> {
        (!code.is_quarter()).then(|| Self(code.bits() as u16))
    }

    /// The wires that a Mode C reply shows.
    ///
    /// ```
    /// use squitterlab::code::Wires;
    /// // 7777 has D1 active, which no encoder has.
    /// assert!(Wires::from_mode_c("7777".parse().unwrap()).is_err());
    /// ```
    ///
    /// # Errors
    /// [`CodeError::Refused`] where it shows D1.
    pub fn from_mode_c(code: ModeA) -> Result<Self, CodeError> {
        let code = Altitude13::from_bits(code.bits() & !(1 << 6));
        code.without_metric_bit()
            .and_then(Self::from_squitter)
            .ok_or_else(|| CodeError::Refused("D1 is set, which is not used for altitude".to_owned()))
    }

    /// Feet; `None` if no altitude has this combination.
    ///
    /// ```
    /// use squitterlab::code::{Bits, Wires};
    /// assert_eq!(Wires::from_feet(4_500.0).unwrap().feet(), Some(4_500));
    /// ```
    pub fn feet(self) -> Option<i32> {
        self.squitter().feet()
    }

    /// Why the combination is not an altitude; `None` if it is one.
    ///
    /// ```
    /// use squitterlab::code::Wires;
    /// assert_eq!(Wires::from_feet(4_500.0).unwrap().fault(), None);
    /// // C1 and C4 without C2.
    /// assert!(Wires::from_mode_c("1050".parse().unwrap()).unwrap().fault().is_some());
    /// ```
    pub fn fault(self) -> Option<&'static str> {
        if self.0 == 0 {
            return Some("no wire is grounded: no altitude");
        }
        match gather(self.0, &HUNDREDS) {
            0b000 => Some("none of C1, C2, C4 is grounded: no altitude has that"),
            0b101 => Some("C1 and C4 without C2: no altitude has that"),
            0b111 => Some("C1, C2 and C4 together: no altitude has that"),
            _ => None,
        }
    }

    /// Whether a wire is active.
    ///
    /// ```
    /// use squitterlab::code::{Wire, Wires};
    /// let wires = Wires::from_feet(-1_000.0).unwrap();
    /// assert_eq!(Wire::ALL.iter().filter(|wire| wires.has(**wire)).count(), wires.active().count());
    /// ```
    pub fn has(self, wire: Wire) -> bool {
        self.0 & wire.bit() != 0
    }

    /// The same with one wire in this state.
    #[must_use]
    pub(crate) fn with(self, wire: Wire, active: bool) -> Self {
        if active { Self(self.0 | wire.bit()) } else { Self(self.0 & !wire.bit()) }
    }

    /// The active wires.
    ///
    /// ```
    /// use squitterlab::code::Wires;
    /// // Neighbouring altitudes differ in one wire.
    /// let [low, high] = [4_500.0, 4_600.0].map(|feet| Wires::from_feet(feet).unwrap());
    /// assert_eq!(low.active().count().abs_diff(high.active().count()), 1);
    /// ```
    pub fn active(self) -> impl Iterator<Item = Wire> {
        Wire::ALL.into_iter().filter(move |wire| self.has(*wire))
    }

    /// The squitter's twelve bits, Q = 0.
    ///
    /// ```
    /// use squitterlab::code::Wires;
    /// assert_eq!(Wires::from_feet(4_500.0).unwrap().squitter().feet(), Some(4_500));
    /// ```
    pub const fn squitter(self) -> Altitude12 {
        Altitude12::of_grey(self.0)
    }

    /// A reply's thirteen bits, M = Q = 0.
    ///
    /// ```
    /// use squitterlab::code::Wires;
    /// assert_eq!(Wires::from_feet(4_500.0).unwrap().reply().feet(), Some(4_500));
    /// ```
    pub const fn reply(self) -> Altitude13 {
        self.squitter().with_metric_bit()
    }

    /// The four octal digits that a Mode C reply shows.
    ///
    /// ```
    /// use squitterlab::code::Wires;
    /// let shown = Wires::from_feet(4_500.0).unwrap().mode_c();
    /// assert_eq!(Wires::from_mode_c(shown).unwrap().feet(), Some(4_500));
    /// ```
    pub fn mode_c(self) -> ModeA {
        ModeA::from_bits(self.reply().bits())
    }

    /// The names of the squitter's twelve bits, first bit first.
    pub(crate) const fn bit_names() -> [&'static str; 12] {
        WIRES
    }
}

impl fmt::Display for Wires {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (at, wire) in self.active().enumerate() {
            write!(f, "{}{wire}", if at == 0 { "" } else { " " })?;
        }
        Ok(())
    }
}

impl FromStr for Wires {
    type Err = CodeError;

    /// Names with spaces or commas between them.
    fn from_str(text: &str) -> Result<Self, CodeError> {
        text.split([' ', ',', '\t'])
            .filter(|name| !name.is_empty())
            .try_fold(Self::default(), |wires, name| Ok(wires.with(name.parse()?, true)))
    }
}

/// An altitude code with the place that it was read in: the same digits say different things in each.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AltitudePattern {
    /// The squitter's twelve bits: `squitter:C38`.
    Squitter(Altitude12),
    /// A reply's thirteen bits: `reply:1838`.
    Reply(Altitude13),
    /// The four octal digits of a Mode C reply: `mode-c:0620`.
    ModeC(ModeA),
}

impl fmt::Display for AltitudePattern {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Squitter(code) => write!(f, "squitter:{:03X}", code.bits()),
            Self::Reply(code) => write!(f, "reply:{:04X}", code.bits()),
            Self::ModeC(code) => write!(f, "mode-c:{code}"),
        }
    }
}

impl FromStr for AltitudePattern {
    type Err = CodeError;

    /// Three hexadecimal digits are a squitter's; four with an 8, a 9 or a letter among them are a reply's; four digits
    /// 0 to 7 may be two things, so the place has to be written before them.
    fn from_str(text: &str) -> Result<Self, CodeError> {
        let refused = |reason: String| Err(CodeError::Refused(reason));
        let (place, digits) = match text.trim().split_once(':') {
            Some((place, digits)) => (place.trim(), digits.trim()),
            None => ("", text.trim()),
        };
        let hexadecimal = |width: usize, most: u64| {
            Some(digits)
                .filter(|digits| digits.len() == width && digits.bytes().all(|b| b.is_ascii_hexdigit()))
                .and_then(|digits| u64::from_str_radix(digits, 16).ok())
                .filter(|bits| *bits <= most)
        };
        let squitter = hexadecimal(3, 0xFFF).map(|bits| Self::Squitter(Altitude12::from_bits(bits)));
        let reply = hexadecimal(4, 0x1FFF).map(|bits| Self::Reply(Altitude13::from_bits(bits)));
        let mode_c = digits.parse::<ModeA>().ok().map(Self::ModeC);
        let (found, wanted) = match place {
            "squitter" => (squitter, "squitter: and three hexadecimal digits, such as squitter:C38"),
            "reply" => (reply, "reply: and four hexadecimal digits up to 1FFF, such as reply:1838"),
            "mode-c" => (mode_c, "mode-c: and four digits 0 to 7, such as mode-c:0620"),
            "" if reply.is_some() && mode_c.is_some() => {
                return refused(format!(
                    "{digits} can be two things; write reply:{digits} for thirteen bits in hexadecimal, or \
                     mode-c:{digits} for the octal digits of a Mode C reply"
                ));
            }
            "" => (
                squitter.or(reply).or(mode_c),
                "three hexadecimal digits (squitter:C38), four (reply:1838) or four octal digits (mode-c:0620)",
            ),
            _ => {
                return refused(format!(
                    "{place:?} does not say where the code is used; write squitter:, reply: or mode-c: before it"
                ));
            }
        };
        found.map_or_else(|| refused(format!("{text:?} is not an altitude code; write {wanted}")), Ok)
    }
}
