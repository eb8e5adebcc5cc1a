//! Mode 1 code of military aircraft, behind the bit that says whether it has two or four octal digits.

use super::{Bits, Code, CodeError, Meaning, MeaningKind, ModeA, Text, Value, Version, bits};

bits! {
    /// One bit for four digits (1) or two (0), and the code in the order of a Mode A code (Annex 10 III; that the two
    /// digits are A and B is from memory).
    Mode1(u16: 14)
}

const FOUR_DIGITS: u64 = 1 << 13;

impl Mode1 {
    fn text(self) -> Text {
        let shown = if self.bits() & FOUR_DIGITS == 0 { 2 } else { 4 };
        Text::few(ModeA::from_bits(self.bits()).digits().into_iter().take(shown).map(|digit| b'0' + digit))
    }
}

impl Code for Mode1 {
    const RULE: &'static str =
        "first bit 1: four octal digits, 0: two, A and B; then C1 A1 C2 A2 C4 A4 X B1 D1 B2 D2 B4 D4";
    const KIND: MeaningKind = MeaningKind::Text;

    fn meaning(self, version: Version) -> Meaning {
        Meaning::written(Value::Text(self.text()), self.bits(), version, |bits, _, f| {
            write!(f, "{}", Self::from_bits(bits).text())
        })
    }

    fn from_meaning(wanted: &str, _version: Version) -> Result<Self, CodeError> {
        let wanted = wanted.trim();
        let (padded, flag) =
            if wanted.len() == 2 { (format!("{wanted}00"), 0) } else { (wanted.to_owned(), FOUR_DIGITS) };
        padded.parse::<ModeA>().map(|code| Self::from_bits(flag | code.bits()))
    }
}
