//! Decides which times of a capture are moments, and writes them.

use crate::present::json_values::natural;
use jiff::civil::date;

/// From here on (2001-09-09) a number of seconds counts from 1970: no capture lasts 31 years.
const MOMENTS_FROM_S: f64 = 1e9;

const IN_A_SECOND: i64 = 1_000_000;
const SECONDS_OF_A_DAY: i64 = 86_400;

/// The microseconds since 1970 of a time in seconds, if it counts from there: up to six decimals are kept exactly.
///
/// ```
/// use squitterlab::present::table::microseconds;
/// assert_eq!(microseconds(1714557600.25), Some(1_714_557_600_250_000));
/// assert_eq!(microseconds(12.25), None);
/// ```
#[inline]
pub fn microseconds(time_s: f64) -> Option<i64> {
    // Half a microsecond more than a number that is not negative, cut off, is the nearest.
    (time_s >= MOMENTS_FROM_S).then_some((time_s * IN_A_SECOND as f64 + 0.5) as i64)
}

/// A day or an hour, in UTC.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Slice {
    /// Days since 1970.
    Day(i64),
    /// Hours since 1970.
    Hour(i64),
}

impl Slice {
    /// The day of a moment.
    pub const fn day(microseconds: i64) -> Self {
        Self::Day(microseconds.div_euclid(SECONDS_OF_A_DAY * IN_A_SECOND))
    }

    /// The hour of a moment.
    pub const fn hour(microseconds: i64) -> Self {
        Self::Hour(microseconds.div_euclid(3600 * IN_A_SECOND))
    }
}

/// A day as `2026-11-28`, an hour as `2026-11-28_10`, which sorts as time goes and which no engine takes for a date.
impl std::fmt::Display for Slice {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let day = |days: i64| date(1970, 1, 1).checked_add(jiff::Span::new().try_days(days).unwrap_or_default());
        match *self {
            Self::Day(days) => write!(f, "{}", day(days).unwrap_or_default()),
            Self::Hour(hours) => {
                let (days, hour) = (hours.div_euclid(24), hours.rem_euclid(24));
                write!(f, "{}_{hour:02}", day(days).unwrap_or_default())
            }
        }
    }
}

/// Writes moments as ISO 8601 in UTC, with the decimals that they have: most are in the second of the one before.
#[derive(Debug, Default)]
pub(super) struct Written {
    second: Option<i64>,
    text: String,
}

impl Written {
    pub(super) fn write(&mut self, microseconds: i64, out: &mut Vec<u8>) {
        let (second, part) = (microseconds.div_euclid(IN_A_SECOND), microseconds.rem_euclid(IN_A_SECOND));
        if self.second != Some(second) {
            let (days, second_of_day) = (second.div_euclid(SECONDS_OF_A_DAY), second.rem_euclid(SECONDS_OF_A_DAY));
            let (hour, minute, second_of_minute) = (second_of_day / 3600, second_of_day / 60 % 60, second_of_day % 60);
            self.text = format!("{}T{hour:02}:{minute:02}:{second_of_minute:02}", Slice::Day(days));
            self.second = Some(second);
        }
        out.extend_from_slice(self.text.as_bytes());
        if part > 0 {
            out.push(b'.');
            let start = out.len();
            // A one in front keeps the zeros behind it.
            natural((IN_A_SECOND + part) as u64, out);
            out.remove(start);
            while out.last() == Some(&b'0') {
                out.pop();
            }
        }
        out.push(b'Z');
    }
}

#[cfg(test)]
mod tests {
    use super::{Written, microseconds};

    /// Against the crate that knows calendars, for moments of every kind, and every number of decimals.
    #[test]
    fn moments_are_written_with_the_decimals_of_the_capture() {
        let (mut written, mut out) = (Written::default(), Vec::new());
        let mut compared = 0;
        for step in 0..20_000u64 {
            let second = 1_000_000_000 + step * 97_001;
            for places in 0..=6u32 {
                let part = step * 7919 % 10u64.pow(places);
                let text = if places == 0 {
                    second.to_string()
                } else {
                    format!("{second}.{part:0places$}", places = places as usize)
                };
                let moment = microseconds(text.parse().expect("a number")).expect("a moment");
                assert_eq!(moment as u64, second * 1_000_000 + part * 10u64.pow(6 - places), "{text}");
                out.clear();
                written.write(moment, &mut out);
                let read: jiff::Timestamp = std::str::from_utf8(&out).expect("text").parse().expect("a time");
                assert_eq!(read.as_microsecond(), moment);
                assert!(!out.ends_with(b"0Z") || part == 0, "{}", String::from_utf8_lossy(&out));
                compared += 1;
            }
        }
        assert_eq!(compared, 140_000);
    }
}
