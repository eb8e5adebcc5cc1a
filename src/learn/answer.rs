//! Judges the answer to an exercise: any reasonable form of the right one is right, and a wrong one gets the reason.

use crate::code::{counted, decimals, spaced};
use crate::downlink::Decoded;
use crate::frame::Frame;
use crate::profile::quoted;

/// At most this much of a unit is shown again, in characters.
const LONGEST_UNIT: usize = 20;
/// No answer is longer, in characters.
const LONGEST: usize = 1000;

/// What an exercise asks for.
#[derive(Clone, Debug, PartialEq)]
pub enum Answer {
    /// A number with its unit; `near` is how far off it may be.
    Number {
        /// The value.
        value: f64,
        /// Rounding that is accepted.
        near: f64,
        /// The unit, `ft` for example; empty if there is none.
        unit: &'static str,
    },
    /// Latitude and longitude in degrees.
    Place {
        /// North positive.
        latitude_deg: f64,
        /// East positive.
        longitude_deg: f64,
    },
    /// A word, a code of digits, an identification.
    Word(String),
    /// Bits, first bit first.
    Bits {
        /// The code.
        code: u64,
        /// How many bits.
        width: u8,
    },
    /// Hexadecimal digits.
    Hex {
        /// The digits, upper case.
        digits: String,
    },
    /// A whole frame.
    Frame(Frame),
}

/// What came of an answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Judged {
    /// It is right.
    Right,
    /// It is wrong, and why.
    Wrong(String),
}

/// A unit, the words for it, and how many of other units one of it is.
type Unit = (&'static str, &'static [&'static str], &'static [(&'static str, f64)]);

const UNITS: &[Unit] = &[
    ("ft", &["ft", "feet", "foot"], &[("m", 0.3048)]),
    ("kt", &["kt", "kts", "knots", "knot"], &[("km/h", 1.852), ("m/s", 0.514_444)]),
    ("ft/min", &["ft/min", "fpm", "feet per minute"], &[("m/s", 0.005_08)]),
    ("deg", &["deg", "degrees", "°"], &[("rad", 0.017_453_292_5)]),
];

/// How long the exponent is with which a text begins, such as e3.
fn exponent(text: &str) -> usize {
    let Some(rest) = text.strip_prefix(['e', 'E']) else { return 0 };
    let digits = rest.strip_prefix(['+', '-']).unwrap_or(rest);
    let behind = digits.trim_start_matches(|c: char| c.is_ascii_digit());
    if behind.len() == digits.len() { 0 } else { text.len() - behind.len() }
}

/// A number as people write it, and what follows it.
fn number(text: &str) -> Option<(f64, String)> {
    let text = text.trim().replace('−', "-");
    let end = text.find(|c: char| !(c.is_ascii_digit() || "+-., _'\u{a0}\u{202f}".contains(c))).unwrap_or(text.len());
    let (digits, behind) = text.split_at(end);
    let (exponent, unit) = behind.split_at(exponent(behind));
    let digits: String = digits.chars().filter(|c| !c.is_whitespace() && !"_'\u{a0}\u{202f}".contains(*c)).collect();
    // A comma before exactly three digits parts thousands; any other is a decimal comma.
    let thousands = digits.split(',').skip(1).all(|group| group.split('.').next().map(str::len) == Some(3));
    let digits = if thousands { digits.replace(',', "") } else { digits.replace(',', ".") };
    let number = format!("{}{exponent}", digits.trim_end_matches('.')).parse().ok().filter(|n: &f64| n.is_finite())?;
    Some((number, unit.trim().to_lowercase()))
}

/// An angle from -180 to 180 degrees.
fn turned(degrees: f64) -> f64 {
    (degrees + 180.0).rem_euclid(360.0) - 180.0
}

/// A number of something, such as `bit 12` or `DF17`, without what it counts.
fn bare_number<'a>(text: &'a str, unit: &str) -> &'a str {
    if unit.is_empty() { text.trim_start().trim_start_matches(|c: char| c.is_ascii_alphabetic()) } else { text }
}

impl Answer {
    /// The ways in which it may be written; all of them are right.
    pub fn forms(&self) -> Vec<String> {
        match self {
            Self::Number { value, unit, .. } => {
                let plain = decimals(*value, 4);
                let mut forms = vec![plain.clone(), format!(" {plain} ")];
                if value.fract() == 0.0 {
                    forms.push(spaced(*value as i64));
                }
                if *value >= 0.0 {
                    forms.push(format!("+{plain}"));
                }
                let words = UNITS.iter().find(|(name, ..)| name == unit).map_or(&[][..], |(_, words, _)| words);
                forms.extend(words.iter().map(|word| format!("{plain} {word}")));
                forms.extend(words.iter().map(|word| format!("{plain}{}", word.to_uppercase())));
                match *unit {
                    "" => forms.extend([format!("bit {plain}"), format!("DF{plain}")]),
                    "deg" => forms.push(decimals(*value - 360.0, 4)),
                    _ => {}
                }
                forms
            }
            Self::Place { latitude_deg: latitude, longitude_deg: longitude } => {
                let (north, east) = (if *latitude < 0.0 { 'S' } else { 'N' }, if *longitude < 0.0 { 'W' } else { 'E' });
                vec![
                    format!("{latitude:.4}, {longitude:.4}"),
                    format!("{latitude:.5} {longitude:.5}"),
                    format!("{:.4} {north}, {:.4} {east}", latitude.abs(), longitude.abs()),
                    format!("{north}{:.4} {east}{:.4}", latitude.abs(), longitude.abs()),
                ]
            }
            Self::Word(word) => {
                let mut forms = vec![word.clone(), word.to_lowercase(), format!("\"{word}\""), format!(" {word} ")];
                if let Some((first, second)) = word.split_once(',') {
                    forms.push(format!("{first}{second}"));
                    forms.push(format!("register {word}"));
                }
                match word.len() {
                    // A letter of several to choose from; a wire.
                    1 => forms.extend([format!("{word})"), format!("({word})")]),
                    2 => forms.push(format!("wire {word}")),
                    _ => {}
                }
                forms
            }
            Self::Bits { code, width } => {
                let bits = format!("{code:0width$b}", width = usize::from(*width));
                let grouped: Vec<String> =
                    bits.as_bytes().chunks(4).map(|group| String::from_utf8_lossy(group).into_owned()).collect();
                vec![grouped.join(" "), grouped.join("_"), format!("0b{bits}"), format!("0x{code:X}"), bits]
            }
            Self::Hex { digits } => {
                let pairs: Vec<String> =
                    digits.as_bytes().chunks(2).map(|pair| String::from_utf8_lossy(pair).into_owned()).collect();
                vec![
                    digits.clone(),
                    digits.to_lowercase(),
                    pairs.join(" "),
                    format!("0x{digits}"),
                    format!("{digits}h"),
                ]
            }
            Self::Frame(frame) => Self::Hex { digits: frame.to_string() }.forms(),
        }
    }

    /// As the solution shows it.
    pub fn shown(&self) -> String {
        match self {
            Self::Number { value, unit, .. } => format!("{} {unit}", decimals(*value, 4)).trim_end().to_owned(),
            Self::Place { .. } | Self::Word(_) => self.forms().swap_remove(0),
            Self::Bits { code, width } => format!("{code:0width$b}", width = usize::from(*width)),
            Self::Hex { digits } => digits.clone(),
            Self::Frame(frame) => frame.to_string(),
        }
    }

    /// Whether the text says this.
    pub fn is_said_by(&self, text: &str) -> bool {
        let bare = |text: &str| -> String {
            text.chars().filter(|c| !c.is_whitespace() && *c != '_').collect::<String>().to_uppercase()
        };
        match self {
            Self::Number { value, near, unit } => number(bare_number(text, unit)).is_some_and(|(given, behind)| {
                let words = UNITS.iter().find(|(name, ..)| name == unit).map_or(&[][..], |(_, words, _)| words);
                // A whole turn more or less is the same angle.
                let off = if *unit == "deg" { turned(given - value) } else { given - value };
                (behind.is_empty() || words.contains(&behind.as_str())) && off.abs() <= near + 1e-9
            }),
            Self::Place { latitude_deg, longitude_deg } => place(text).is_some_and(|(latitude, longitude)| {
                (latitude - latitude_deg).abs() < 0.001 && turned(longitude - longitude_deg).abs() < 0.002
            }),
            Self::Word(word) => {
                let given = text.trim().trim_start_matches("register ").trim_start_matches("wire ");
                let given = bare(given.trim_matches(['"', '(', ')', '.']));
                given == bare(word) || given == bare(&word.replace(',', ""))
            }
            Self::Bits { code, width } => {
                let given = bare(text);
                let digits = given.strip_prefix("0B").unwrap_or(&given);
                if let Some(hex) = given.strip_prefix("0X") {
                    return u64::from_str_radix(hex, 16) == Ok(*code);
                }
                digits.len() == usize::from(*width) && u64::from_str_radix(digits, 2) == Ok(*code)
            }
            Self::Hex { digits } => {
                let given = bare(text);
                let given = given.strip_prefix("0X").unwrap_or(&given);
                given.strip_suffix('H').unwrap_or(given) == digits
            }
            Self::Frame(frame) => Self::Hex { digits: frame.to_string() }.is_said_by(text),
        }
    }

    /// Why an answer that is none of the known slips is wrong.
    pub(super) fn why_not(&self, text: &str) -> String {
        if text.trim().is_empty() {
            return "nothing was written".to_owned();
        }
        let length = text.chars().count();
        if length > LONGEST {
            return format!("{length} characters are too many; write the answer alone, in at most {LONGEST}");
        }
        match self {
            Self::Number { value, near, unit } => why_not_number(text, *value, *near, unit),
            Self::Place { latitude_deg, longitude_deg } => match place(text) {
                None => "write latitude and longitude in degrees, such as 44.5, -103.25".to_owned(),
                Some((latitude, longitude)) => {
                    let said = Self::Place { latitude_deg: longitude, longitude_deg: latitude };
                    let swapped = said.is_said_by(&format!("{latitude_deg} {longitude_deg}"));
                    let near = |one: f64, other: f64| (one - other).abs() < 0.002;
                    if swapped {
                        "latitude and longitude are the other way round".to_owned()
                    } else if near(latitude, -latitude_deg) && near(longitude.abs(), longitude_deg.abs()) {
                        "the latitude has the wrong sign: north is positive".to_owned()
                    } else if near(latitude, *latitude_deg) && near(longitude, -longitude_deg) {
                        "the longitude has the wrong sign: east is positive".to_owned()
                    } else if near(latitude, *latitude_deg) {
                        "the latitude is right, the longitude is not: check the number of longitude zones, the index m, and the place in the cell".to_owned()
                    } else {
                        "the latitude is not right: begin with the zone index j".to_owned()
                    }
                }
            },
            Self::Word(word) => {
                let given = text.trim();
                if given.len() == word.len() {
                    let wrong = given.chars().zip(word.chars()).position(|(a, b)| !a.eq_ignore_ascii_case(&b));
                    return wrong.map_or_else(String::new, |at| format!("character {} is not right", at + 1));
                }
                if word.len() == 1 {
                    return "answer with the one letter".to_owned();
                }
                format!("{}; the answer has {}", counted(given.chars().count(), "character"), word.chars().count())
            }
            Self::Bits { code, width } => {
                let given: String = text.chars().filter(|c| !c.is_whitespace() && *c != '_').collect();
                match u64::from_str_radix(&given, 2) {
                    Err(_) => format!("write {width} bits, 0 and 1"),
                    Ok(_) if given.len() != usize::from(*width) => {
                        format!("{}; the field has {width}, zeros at its start included", counted(given.len(), "bit"))
                    }
                    Ok(bits) => {
                        let wrong: Vec<String> = (0..*width)
                            .filter(|at| (bits ^ code) >> (width - 1 - at) & 1 == 1)
                            .map(|at| (at + 1).to_string())
                            .collect();
                        match wrong.as_slice() {
                            [one] => format!("bit {one} of the field is the other way round"),
                            several => format!("{} bits differ: {}", several.len(), several.join(", ")),
                        }
                    }
                }
            }
            Self::Hex { digits } => {
                let given: String = text.chars().filter(char::is_ascii_alphanumeric).collect();
                if given.len() != digits.len() {
                    return format!("{}; the answer has {}", counted(given.len(), "digit"), digits.len());
                }
                let wrong: Vec<String> = given
                    .chars()
                    .zip(digits.chars())
                    .enumerate()
                    .filter(|(_, (a, b))| !a.eq_ignore_ascii_case(b))
                    .map(|(at, _)| (at + 1).to_string())
                    .collect();
                format!("not right in digit {}", wrong.join(", "))
            }
            Self::Frame(frame) => why_not_frame(*frame, text),
        }
    }
}

fn why_not_number(text: &str, value: f64, near: f64, unit: &'static str) -> String {
    let has_digit = |text: &str| text.contains(|c: char| c.is_ascii_digit());
    let Some((given, behind)) = number(bare_number(text, unit)) else {
        return if has_digit(text) {
            format!("{} is not a number that can be judged; write it in plain digits", quoted(text.trim()))
        } else {
            "write a number".to_owned()
        };
    };
    let of_unit = UNITS.iter().find(|(name, ..)| *name == unit);
    let known = of_unit.map_or(&[][..], |(_, words, _)| words).contains(&behind.as_str());
    if !behind.is_empty() && !known {
        return if unit.is_empty() {
            "the answer has no unit".to_owned()
        } else if has_digit(&behind) {
            format!("write one number and its unit, {unit}; there is more in {}", quoted(text.trim()))
        } else {
            format!("give it in {unit}, not in {}", behind.chars().take(LONGEST_UNIT).collect::<String>())
        };
    }
    if (given + value).abs() <= near + 1e-9 {
        return "the sign is the other way round".to_owned();
    }
    for (other, factor) in of_unit.map_or(&[][..], |(.., others)| others) {
        if value.abs() > 1.0 && (given / (value * factor) - 1.0).abs() < 0.001 {
            return format!("that is the value in {other}; give it in {unit}");
        }
    }
    if given < value { "too small".to_owned() } else { "too large".to_owned() }
}

/// Latitude and longitude, with signs or with letters.
fn place(text: &str) -> Option<(f64, f64)> {
    let text = text.to_uppercase().replace(['°', ',', ';'], " ").replace('−', "-");
    let mut numbers = Vec::new();
    for word in text.split_whitespace() {
        let letter = word.find(['N', 'S', 'E', 'W']).map(|at| word.as_bytes()[at]);
        let sign = |letter: u8| if matches!(letter, b'S' | b'W') { -1.0 } else { 1.0 };
        let digits: String = word.chars().filter(|c| !c.is_ascii_alphabetic()).collect();
        match (digits.parse::<f64>(), letter) {
            (Ok(number), letter) => numbers.push(number * letter.map_or(1.0, sign)),
            (Err(_), Some(letter)) if digits.is_empty() => {
                if let Some(last) = numbers.last_mut() {
                    *last *= sign(letter);
                }
            }
            _ => return None,
        }
    }
    match numbers[..] {
        [latitude, longitude] => Some((latitude, longitude)),
        _ => None,
    }
}

fn why_not_frame(wanted: Frame, text: &str) -> String {
    let given: String = text.chars().filter(|c| !c.is_whitespace()).collect();
    let frame = match given.parse::<Frame>() {
        Ok(frame) if frame.length() == wanted.length() => frame,
        Ok(frame) => return format!("{} bits; this frame has {}", frame.length(), wanted.length()),
        Err(error) => return error.to_string(),
    };
    let (decoded, right) = (Decoded::new(frame), Decoded::new(wanted));
    let differs = frame.pattern() ^ wanted.pattern();
    let wrong = right.rows().into_iter().find(|placed| placed.span.mask(wanted.length()) & differs != 0);
    match wrong {
        Some(placed) if placed.key != "parity_overlay" => {
            format!("frame bits {} are not right: {}", placed.span, placed.row.about)
        }
        _ if decoded.parity() != right.parity() => {
            format!("all fields are right; the parity is not: the division leaves {:06X}", frame.overlay())
        }
        _ => "the last 24 bits are not right".to_owned(),
    }
}
