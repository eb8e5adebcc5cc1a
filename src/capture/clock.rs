//! Reads the times of a capture, which are numbers, days with a time or times of day, and works out what a number
//! counts.

use jiff::civil;
use jiff::tz::TimeZone;

/// More seconds than this since 1970 or since any other start are none: it is the year 5138.
const MOST_SECONDS: f64 = 1e11;

/// What is written before a frame as its time.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "cli", derive(clap::ValueEnum))]
#[non_exhaustive]
pub enum TimeForm {
    /// Seconds, or ISO 8601 with its zone: whichever is there.
    #[default]
    #[cfg_attr(feature = "cli", value(skip))]
    Either,
    /// Seconds, since any start
    Seconds,
    /// Thousandths of a second
    Milliseconds,
    /// Millionths of a second
    Microseconds,
    /// Thousand-millionths of a second
    Nanoseconds,
    /// Day and time, ISO 8601
    Iso,
    /// Time of day alone; it begins again at midnight
    TimeOfDay,
}

/// How the times of a capture are to be read.
///
/// ```
/// use squitterlab::capture::{Clock, Line, TimeForm, read_line_by};
/// let clock = Clock { form: TimeForm::Milliseconds, ..Clock::default() };
/// let Line::Frame { time, .. } = read_line_by(b"1714557600250 8D4840D6202CC371C32CE0576098", &clock) else { panic!() };
/// assert_eq!(time, Some(1714557600.25));
/// ```
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Clock {
    /// What is written before a frame.
    pub form: TimeForm,
    /// The zone of a day and time of day that do not say their own. Where its clocks are changed, a time that does not
    /// exist or exists twice is not understood.
    pub zone: Option<TimeZone>,
}

impl Clock {
    /// Seconds of a number, if times are numbers.
    #[inline]
    pub(super) fn number(&self, word: &[u8]) -> Option<f64> {
        let in_a_second = self.in_a_second()?;
        if in_a_second == 1
            && let Some((seconds, length)) = short_number(word)
            && length == word.len()
        {
            return Some(seconds);
        }
        let word = std::str::from_utf8(word).ok()?;
        let digits = word.strip_prefix('-').unwrap_or(word);
        let (whole, part) = digits.split_once('.').unwrap_or((digits, "0"));
        let all_digits = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
        if !all_digits(whole) || !all_digits(part) {
            return None;
        }
        // A number of seconds or days may have more digits than a binary fraction holds: whole seconds come first.
        match (in_a_second, part) {
            (1, _) => within(word.parse().ok()?),
            (parts, part) if part.bytes().all(|b| b == b'0') => {
                let number: i64 = whole.parse().ok()?;
                let number = if word.starts_with('-') { -number } else { number };
                let (seconds, rest) = (number.div_euclid(parts), number.rem_euclid(parts));
                within(seconds as f64 + rest as f64 / parts as f64)
            }
            (parts, _) => within(word.parse::<f64>().ok()? / parts as f64),
        }
    }

    /// The seconds that a text begins with, if times are those and it is a short number, and its length.
    #[inline]
    pub(super) fn leading_seconds(&self, text: &[u8]) -> Option<(f64, usize)> {
        short_number(text).filter(|_| self.in_a_second() == Some(1))
    }

    /// Seconds of a number that JSON writes, exponents and all.
    pub(super) fn float(&self, number: &serde_json::Number) -> Option<f64> {
        match number.as_i64() {
            Some(whole) => self.number(whole.to_string().as_bytes()),
            None => within(number.as_f64()? / self.in_a_second()? as f64),
        }
    }

    /// How many of what a number counts are in a second.
    fn in_a_second(&self) -> Option<i64> {
        match self.form {
            TimeForm::Either | TimeForm::Seconds => Some(1),
            TimeForm::Milliseconds => Some(1_000),
            TimeForm::Microseconds => Some(1_000_000),
            TimeForm::Nanoseconds => Some(1_000_000_000),
            TimeForm::Iso | TimeForm::TimeOfDay => None,
        }
    }

    /// Seconds of a word with a colon: a day and time of day, or a time of day, if times are that.
    pub(super) fn written(&self, word: &str) -> Option<f64> {
        if !word.contains(':') {
            return None;
        }
        match self.form {
            TimeForm::Either | TimeForm::Iso => self.iso(word),
            TimeForm::TimeOfDay => {
                let time: civil::Time = word.trim_end_matches(['Z', 'z']).parse().ok()?;
                Some(
                    f64::from(time.hour()) * 3600.0
                        + f64::from(time.minute()) * 60.0
                        + f64::from(time.second())
                        + f64::from(time.subsec_nanosecond()) / 1e9,
                )
            }
            _ => None,
        }
    }

    fn iso(&self, word: &str) -> Option<f64> {
        let seconds = |time: jiff::Timestamp| time.as_second() as f64 + f64::from(time.subsec_nanosecond()) / 1e9;
        if let Ok(time) = word.parse::<jiff::Timestamp>() {
            return Some(seconds(time));
        }
        // Without a zone of its own it says nothing, unless somebody says which.
        let zone = self.zone.clone()?;
        let local: civil::DateTime = word.parse().ok()?;
        // Where clocks are put forward a time does not exist, and where they are put back it exists twice: no guess.
        zone.to_ambiguous_timestamp(local).unambiguous().ok().map(seconds)
    }
}

/// The number that a text begins with, and how long it is: at most eleven digits before its point, and fifteen octets in
/// all. Its digits and the power of ten are exact, so one division rounds it as reading it any other way does.
#[inline]
fn short_number(text: &[u8]) -> Option<(f64, usize)> {
    const MOST: usize = 15;
    const TENS: [f64; MOST] = [1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14];
    let text = &text[..text.len().min(MOST + 1)];
    let (mut number, whole) = digits(text, 0, 0);
    let mut at = whole;
    if text.get(whole) == Some(&b'.') {
        (number, at) = digits(text, whole + 1, number);
    }
    let part = at.saturating_sub(whole + 1);
    let ends_in_a_digit = at == whole || part > 0;
    ((1..=11).contains(&whole) && ends_in_a_digit && at <= MOST).then(|| (number as f64 / TENS[part], at))
}

/// The digits from a place on behind those of a number, and where they end.
#[inline]
fn digits(text: &[u8], from: usize, number: u64) -> (u64, usize) {
    let (mut number, mut at) = (number, from);
    while at < text.len() {
        let digit = text[at].wrapping_sub(b'0');
        if digit > 9 {
            break;
        }
        number = number * 10 + u64::from(digit);
        at += 1;
    }
    (number, at)
}

/// A time that can be one.
fn within(time: f64) -> Option<f64> {
    Some(time).filter(|time| time.abs() < MOST_SECONDS)
}
