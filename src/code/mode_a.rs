//! Mode A code: four octal digits, interleaved as C1 A1 C2 A2 C4 A4 X B1 D1 B2 D2 B4 D4 (handbook, Mode S part, chapter 3).

use super::{Code, CodeError, Meaning, MeaningKind, Step, Text, Value, Version, bits};
use std::fmt::{self, Write};

bits! {
    /// The 13 bits of a Mode A code; the X bit is sent as 0 and does not count.
    ///
    /// ```
    /// use squitterlab::code::{Bits, ModeA};
    /// let code: ModeA = "1200".parse().unwrap();
    /// assert_eq!(code.bits(), 0x0808);
    /// assert_eq!(code.to_string(), "1200");
    /// ```
    #[doc(alias = "squawk")]
    ModeA(u16: 13)
}

/// For each digit A B C D, the places (from the low end) of its bits 4, 2 and 1.
const PLACES: [[u8; 3]; 4] = [[7, 9, 11], [1, 3, 5], [8, 10, 12], [0, 2, 4]];

/// The names of the bits, first bit first.
const ORDER: &str = "C1 A1 C2 A2 C4 A4 X B1 D1 B2 D2 B4 D4";

impl ModeA {
    /// The four octal digits.
    ///
    /// ```
    /// use squitterlab::code::ModeA;
    /// assert_eq!("7700".parse::<ModeA>().unwrap().digits(), [7, 7, 0, 0]);
    /// ```
    pub fn digits(self) -> [u8; 4] {
        PLACES.map(|places| places.iter().fold(0, |digit, place| digit << 1 | (self.0 >> place & 1) as u8))
    }

    /// The code of four octal digits; higher digits lose their upper bits.
    pub(crate) fn from_digits(digits: [u8; 4]) -> Self {
        let mut bits = 0;
        for (digit, places) in digits.into_iter().zip(PLACES) {
            for (at, place) in places.into_iter().enumerate() {
                bits |= u16::from(digit >> (2 - at) & 1) << place;
            }
        }
        Self(bits)
    }
}

/// Bits, each under its name.
pub(super) fn under(names: &str, bits: &[String]) -> String {
    let columns: Vec<String> =
        names.split(' ').zip(bits).map(|(name, bit)| format!("{bit:<width$}", width = name.len())).collect();
    columns.join(" ").trim_end().to_owned()
}

impl fmt::Display for ModeA {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.digits().into_iter().try_for_each(|digit| f.write_char((b'0' + digit).into()))
    }
}

impl std::str::FromStr for ModeA {
    type Err = CodeError;

    fn from_str(text: &str) -> Result<Self, CodeError> {
        match text.trim().as_bytes() {
            [a @ b'0'..=b'7', b @ b'0'..=b'7', c @ b'0'..=b'7', d @ b'0'..=b'7'] => {
                Ok(Self::from_digits([a - b'0', b - b'0', c - b'0', d - b'0']))
            }
            _ => {
                Err(CodeError::Refused(format!("{text:?} is not a Mode A code: four digits 0 to 7, such as \"1200\"")))
            }
        }
    }
}

impl Code for ModeA {
    const RULE: &'static str = "four octal digits in the order C1 A1 C2 A2 C4 A4 X B1 D1 B2 D2 B4 D4";
    const KIND: MeaningKind = MeaningKind::Text;

    fn meaning(self, version: Version) -> Meaning {
        let text = Text::few(self.digits().map(|digit| b'0' + digit));
        Meaning::written(Value::Text(text), self.0.into(), version, |bits, _, f| {
            let code = Self(bits as u16);
            let known = match code.digits() {
                [7, 5, 0, 0] => ", unlawful interference",
                [7, 6, 0, 0] => ", radio failure",
                [7, 7, 0, 0] => ", emergency",
                _ => "",
            };
            write!(f, "{code}{known}")
        })
    }

    fn from_meaning(wanted: &str, _version: Version) -> Result<Self, CodeError> {
        wanted.parse()
    }

    fn steps(self, _version: Version) -> Vec<Step> {
        let mut steps = vec![Step::new(format!("bits {:013b}", self.0), ORDER)];
        for (name, digit) in ["A", "B", "C", "D"].into_iter().zip(self.digits()) {
            steps.push(Step::new(format!("{digit:03b}"), digit.to_string()).of(format!("{name}4 {name}2 {name}1")));
        }
        steps
    }

    fn steps_to(self, _wanted: &str, _version: Version) -> Vec<Step> {
        let mut steps: Vec<Step> = ["A", "B", "C", "D"]
            .into_iter()
            .zip(self.digits())
            .map(|(name, digit)| {
                Step::new(digit.to_string(), format!("{digit:03b}"))
                    .explained(format!("digit {name} in the bits {name}4 {name}2 {name}1, weights 4, 2 and 1"))
            })
            .collect();
        let spread: Vec<String> = (0..13).rev().map(|place| (self.0 >> place & 1).to_string()).collect();
        steps.push(Step::note("on the air the digits are interleaved, with an X bit of 0 in the middle:"));
        steps.push(Step::note(format!("  {ORDER}")));
        steps.push(Step::note(format!("  {}", under(ORDER, &spread))));
        steps.push(
            Step::new(format!("bits {}", spread.concat()), format!("{:04X}", self.0)).explained("in hexadecimal"),
        );
        steps
    }
}
