//! Reads lines of captured text: the frame of each, its time, or the reason why it has none.

use super::{Accounting, Clock};
use crate::frame::{Frame, FrameError};
use crate::written::unmarked_octets;
use std::ops::ControlFlow;

/// Lines beyond this many octets are counted and left unread.
pub const LONGEST_LINE: usize = 1 << 16;

/// A frame with its place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Record {
    /// The line, from 1.
    pub line: u64,
    /// Seconds, where the line has a time.
    pub time: Option<f64>,
    /// The frame.
    pub frame: Frame,
}

/// Why a line gives no frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[non_exhaustive]
pub enum Reason {
    /// No run of 14 or 28 hexadecimal digits.
    NoFrame,
    /// Hexadecimal digits, but neither 14 nor 28.
    WrongLength,
    /// A word as long as a frame with other characters in it.
    NotHexadecimal,
    /// More than one frame.
    SeveralFrames,
    /// Begins with `{` and is not a JSON object with a frame.
    BadJson,
    /// A JSON object whose time is neither seconds nor ISO 8601 with its zone.
    BadTime,
    /// A JSON object with `frame` or `time` twice.
    KeyTwice,
    /// Not text: octets that no text has.
    NotText,
    /// Longer than [`LONGEST_LINE`](super::LONGEST_LINE).
    TooLong,
}

impl Reason {
    /// The reason in JSON.
    ///
    /// ```
    /// use squitterlab::capture::{Line, read_line};
    /// let Line::Skipped(reason) = read_line(b"hello") else { panic!() };
    /// assert_eq!(reason.key(), "no_frame");
    /// ```
    pub const fn key(self) -> &'static str {
        match self {
            Self::NoFrame => "no_frame",
            Self::WrongLength => "wrong_length",
            Self::NotHexadecimal => "not_hexadecimal",
            Self::SeveralFrames => "several_frames",
            Self::BadJson => "bad_json",
            Self::BadTime => "bad_time",
            Self::KeyTwice => "key_twice",
            Self::NotText => "not_text",
            Self::TooLong => "too_long",
        }
    }

    /// The reason for people.
    ///
    /// ```
    /// use squitterlab::capture::Reason;
    /// assert_ne!(Reason::NoFrame.words(), Reason::NoFrame.key());
    /// ```
    pub const fn words(self) -> &'static str {
        match self {
            Self::NoFrame => "with no frame of 14 or 28 hexadecimal digits",
            Self::WrongLength => "with a frame of the wrong length",
            Self::NotHexadecimal => "with a digit that is not hexadecimal",
            Self::SeveralFrames => "with several frames",
            Self::BadJson => "that are not a JSON object with a frame",
            Self::BadTime => "with a time that is neither seconds nor ISO 8601 with its zone",
            Self::KeyTwice => "with a frame or a time twice in one JSON object",
            Self::NotText => "that are not text",
            Self::TooLong => "that are too long",
        }
    }
}

/// What a line is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Line {
    /// A frame, and its time in seconds if one is written before it.
    Frame {
        /// The frame.
        frame: Frame,
        /// Seconds, as given or since 1970.
        time: Option<f64>,
        /// Whether something before the frame may be a time and is not understood.
        unclear: bool,
    },
    /// Blank, or begins with `#`.
    Comment,
    /// No usable frame.
    Skipped(Reason),
}

/// Hands out the frames of a text in order, and accounts for its lines. `first_line` is the number of the first; `each` may
/// stop the reading, and the account is then of what was read.
///
/// ```
/// use squitterlab::capture::read_lines;
/// use std::ops::ControlFlow;
/// let mut found = Vec::new();
/// let accounting = read_lines(b"12.5 8D4840D6202CC371C32CE0576098\nhello\n5D4840D63CBEE5\n", 1, |record| {
///     found.push((record.line, record.time));
///     ControlFlow::Continue(())
/// });
/// assert_eq!(found, [(1, Some(12.5)), (3, None)]);
/// assert_eq!((accounting.frames, accounting.lines()), (2, 3));
/// ```
pub fn read_lines(text: &[u8], first_line: u64, each: impl FnMut(Record) -> ControlFlow<()>) -> Accounting {
    read_lines_by(text, first_line, &Clock::default(), each)
}

/// The same, with times written as this clock says.
pub(crate) fn read_lines_by(
    text: &[u8],
    first_line: u64,
    clock: &Clock,
    mut each: impl FnMut(Record) -> ControlFlow<()>,
) -> Accounting {
    let mut accounting = Accounting::default();
    let (mut rest, mut number) = (text, first_line);
    while !rest.is_empty() {
        let (line, length) = usual_line(rest, clock).unwrap_or_else(|| {
            let end = memchr::memchr(b'\n', rest).unwrap_or(rest.len());
            (read_line_by(&rest[..end], clock), end)
        });
        accounting.count(&line);
        if let Line::Frame { frame, time, .. } = line
            && each(Record { line: number, time, frame }).is_break()
        {
            break;
        }
        rest = rest.get(length + 1..).unwrap_or_default();
        number += 1;
    }
    accounting
}

/// The lines that captures are full of: a frame and the end of the line, and the same after a short time. Their lengths
/// need no looking for.
#[inline]
fn usual_line(text: &[u8], clock: &Clock) -> Option<(Line, usize)> {
    if let Some((frame, length)) = lone_frame(text) {
        return Some((Line::Frame { frame, time: None, unclear: false }, length));
    }
    let (seconds, before) = clock.leading_seconds(text)?;
    // A word shorter than any frame hides no other.
    if before >= 14 || !matches!(text.get(before), Some(b' ' | b',')) {
        return None;
    }
    let (frame, length) = lone_frame(&text[before + 1..])?;
    Some((Line::Frame { frame, time: Some(seconds), unclear: false }, before + 1 + length))
}

/// A frame and the end of the line.
#[inline]
fn lone_frame(text: &[u8]) -> Option<(Frame, usize)> {
    if text.get(14) == Some(&b'\n') {
        Some((Frame::from_short_digits(text.first_chunk()?)?, 14))
    } else if text.get(28) == Some(&b'\n') {
        Some((Frame::from_long_digits(text.first_chunk()?)?, 28))
    } else {
        None
    }
}

/// Reads one line, without its end.
///
/// ```
/// use squitterlab::capture::{read_line, Line, Reason};
/// let Line::Frame { frame, time, .. } = read_line(b"12.5 8D4840D6202CC371C32CE0576098") else { panic!() };
/// assert_eq!((frame.downlink_format(), time), (17, Some(12.5)));
/// assert_eq!(read_line(b"hello"), Line::Skipped(Reason::NoFrame));
/// ```
#[inline]
pub fn read_line(line: &[u8]) -> Line {
    read_line_by(line, &Clock::default())
}

/// Reads a frame that a person gives: its digits, with spaces between them or not, or a line of a capture.
///
/// ```
/// use squitterlab::capture::frame_by_hand;
/// for given in ["8D4840D6 202CC371 C32CE057 6098", "12.5 8D4840D6202CC371C32CE0576098"] {
///     assert_eq!(frame_by_hand(given).unwrap().downlink_format(), 17);
/// }
/// assert!(frame_by_hand("8D48").is_err());
/// ```
///
/// # Errors
/// [`FrameError`] where the digits are not a frame, and the line has none.
pub fn frame_by_hand(text: &str) -> Result<Frame, FrameError> {
    let digits: String = text.chars().filter(|c| !c.is_whitespace()).collect();
    digits.parse().or_else(|error| match read_line(text.trim().as_bytes()) {
        Line::Frame { frame, .. } => Ok(frame),
        _ => Err(error),
    })
}

/// The same, with times written as this clock says.
///
/// ```
/// use squitterlab::capture::{Clock, Line, TimeForm, read_line_by};
/// let clock = Clock { form: TimeForm::Milliseconds, ..Clock::default() };
/// let Line::Frame { time, .. } = read_line_by(b"1500 8D4840D6202CC371C32CE0576098", &clock) else { panic!() };
/// assert_eq!(time, Some(1.5));
/// ```
#[inline]
pub fn read_line_by(line: &[u8], clock: &Clock) -> Line {
    plain_line(line, clock).unwrap_or_else(|| any_line(line, clock))
}

/// Nothing but a frame, or a short word, one space or comma and a frame. None for any other line, whatever it is.
#[inline]
fn plain_line(line: &[u8], clock: &Clock) -> Option<Line> {
    let line = line.strip_suffix(b"\r").unwrap_or(line);
    if let Some(frame) = Frame::from_digits(line) {
        return Some(Line::Frame { frame, time: None, unclear: false });
    }
    let length = [28, 14]
        .into_iter()
        .find(|length| line.len().checked_sub(length + 1).is_some_and(|before| matches!(line[before], b' ' | b',')))?;
    let (before, digits) = line.split_at(line.len() - length);
    // A word shorter than any frame hides no other.
    let word = before.split_last().map(|(_, word)| word).filter(|word| word.len() < 14)?;
    let time = clock.number(word)?;
    Some(Line::Frame { frame: Frame::from_digits(digits)?, time: Some(time), unclear: false })
}

fn any_line(line: &[u8], clock: &Clock) -> Line {
    let too_long = line.len() > LONGEST_LINE;
    let line = unmarked_octets(line).trim_ascii();
    match line.first() {
        None | Some(b'#') => return Line::Comment,
        // A comment may be as long as it likes.
        _ if too_long => return Line::Skipped(Reason::TooLong),
        Some(b'{') => return read_json(line, clock),
        _ => {}
    }
    if line.contains(&0) || std::str::from_utf8(line).is_err() {
        return Line::Skipped(Reason::NotText);
    }
    let run = match frame_among(line) {
        Ok(run) => run,
        Err(reason) => return Line::Skipped(reason),
    };
    match Frame::from_digits(&line[run.0..run.0 + run.1]) {
        Some(frame) => {
            let before = &line[..run.0];
            let time = time_in(before, clock);
            Line::Frame { frame, time, unclear: time.is_none() && may_be_time(before) }
        }
        None => Line::Skipped(Reason::WrongLength),
    }
}

/// A run of hexadecimal digits: where it starts and how long it is.
type Run = (usize, usize);

fn runs(line: &[u8]) -> impl Iterator<Item = Run> {
    let mut at = 0;
    std::iter::from_fn(move || {
        while at < line.len() && !line[at].is_ascii_hexdigit() {
            at += 1;
        }
        let start = at;
        while at < line.len() && line[at].is_ascii_hexdigit() {
            at += 1;
        }
        (at > start).then_some((start, at - start))
    })
}

fn is_decimal(line: &[u8], (start, length): Run) -> bool {
    line[start..start + length].iter().all(u8::is_ascii_digit)
}

/// Whether the run is a part of a number with a decimal point: that is a time, never a frame.
fn is_part_of_number(line: &[u8], run: Run) -> bool {
    let (start, length) = run;
    let digit = |at: usize| line.get(at).is_some_and(u8::is_ascii_digit);
    is_decimal(line, run)
        && (line.get(start + length) == Some(&b'.') && digit(start + length + 1)
            || start >= 2 && line[start - 1] == b'.' && digit(start - 2))
}

fn frame_among(line: &[u8]) -> Result<Run, Reason> {
    let mut frames = runs(line).filter(|run| matches!(run.1, 14 | 28) && !is_part_of_number(line, *run));
    let first = frames.next().ok_or_else(|| reason_for_none(line))?;
    match (frames.next(), frames.next()) {
        (None, _) => Ok(first),
        // A decimal number before the frame is its time.
        (Some(second), None) if is_decimal(line, first) => Ok(second),
        _ => Err(Reason::SeveralFrames),
    }
}

fn reason_for_none(line: &[u8]) -> Reason {
    let word = |b: &u8| !b.is_ascii_alphanumeric();
    let longest = line.split(word).map(<[u8]>::len).max().unwrap_or(0);
    let frame_like = |length: usize| matches!(length, 14 | 28);
    if runs(line).any(|run| run.1 >= 10 && !is_part_of_number(line, run) && !is_decimal(line, run)) {
        // A word of the right length with a stray letter cuts its run short.
        if line.split(word).any(|word| frame_like(word.len())) { Reason::NotHexadecimal } else { Reason::WrongLength }
    } else if frame_like(longest) && line.split(word).any(|word| frame_like(word.len()) && mostly_hexadecimal(word)) {
        Reason::NotHexadecimal
    } else {
        Reason::NoFrame
    }
}

fn mostly_hexadecimal(word: &[u8]) -> bool {
    word.iter().filter(|b| b.is_ascii_hexdigit()).count() * 4 >= word.len() * 3
}

/// The time in the text before a frame: the first ISO 8601 time with its zone, else the first decimal number.
fn time_in(before: &[u8], clock: &Clock) -> Option<f64> {
    let text = std::str::from_utf8(before).ok()?;
    let cut = |c: char| {
        c.is_whitespace() || matches!(c, ',' | ';' | '|' | '"' | '\'' | '(' | ')' | '[' | ']' | '<' | '>' | '=')
    };
    let words = || text.split(cut).filter(|word| !word.is_empty());
    let of_a_word = || words().find_map(|word| clock.written(word));
    // Day and time of day, with a space between them.
    let of_two = || words().zip(words().skip(1)).find_map(|(day, time)| clock.written(&format!("{day}T{time}")));
    // A decimal comma: what stands behind it is a part of the number.
    if is_decimal_comma(text) {
        return None;
    }
    // Only a time of day has a colon, and most captures have none.
    let iso = text.contains(':').then(|| of_a_word().or_else(of_two)).flatten();
    iso.or_else(|| words().find_map(|word| clock.number(word.as_bytes())))
}

/// A number with a decimal comma and nothing but space behind it.
fn is_decimal_comma(text: &str) -> bool {
    let digits = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
    let number = text.trim_start();
    let word = number.split_whitespace().next().unwrap_or_default();
    number.len() > word.len() && word.split_once(',').is_some_and(|(whole, part)| digits(whole) && digits(part))
}

/// Whether a time that is not understood may be here.
fn may_be_time(before: &[u8]) -> bool {
    let Ok(text) = std::str::from_utf8(before) else { return false };
    let of_day = |word: &str| {
        word.split(':').count() >= 2 && word.split(':').all(|part| part.bytes().any(|b| b.is_ascii_digit()))
    };
    let number =
        |word: &str| word.bytes().all(|b| b.is_ascii_digit() || b == b'.') && word.bytes().any(|b| b.is_ascii_digit());
    is_decimal_comma(text) || text.split_whitespace().any(|word| of_day(word) || number(word))
}

fn read_json(line: &[u8], clock: &Clock) -> Line {
    let Ok(object) = serde_json::from_slice::<Object>(line) else {
        return Line::Skipped(Reason::BadJson);
    };
    if object.is_any_twice {
        return Line::Skipped(Reason::KeyTwice);
    }
    let Some(frame) = object.frame.as_ref().and_then(serde_json::Value::as_str) else {
        return Line::Skipped(Reason::BadJson);
    };
    let frame = match Frame::from_hex(frame) {
        Ok(frame) => frame,
        Err(crate::frame::FrameError::Length { .. }) => return Line::Skipped(Reason::WrongLength),
        Err(_) => return Line::Skipped(Reason::NotHexadecimal),
    };
    let time = match &object.time {
        None | Some(serde_json::Value::Null) => None,
        Some(serde_json::Value::Number(number)) => clock.float(number),
        Some(serde_json::Value::String(text)) => match clock.written(text).or_else(|| clock.number(text.as_bytes())) {
            None => return Line::Skipped(Reason::BadTime),
            time => time,
        },
        Some(_) => return Line::Skipped(Reason::BadTime),
    };
    Line::Frame { frame, time, unclear: time.is_none() && object.time.is_some_and(|time| !time.is_null()) }
}

/// A JSON object, as far as it says what was captured.
#[derive(Default)]
struct Object {
    frame: Option<serde_json::Value>,
    time: Option<serde_json::Value>,
    is_any_twice: bool,
}

impl<'de> serde::Deserialize<'de> for Object {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Keys;

        impl<'de> serde::de::Visitor<'de> for Keys {
            type Value = Object;

            fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str("a JSON object")
            }

            fn visit_map<A: serde::de::MapAccess<'de>>(self, mut map: A) -> Result<Object, A::Error> {
                let mut object = Object::default();
                while let Some(key) = map.next_key::<std::borrow::Cow<'de, str>>()? {
                    let place = match &*key {
                        "frame" => &mut object.frame,
                        "time" => &mut object.time,
                        _ => {
                            map.next_value::<serde::de::IgnoredAny>()?;
                            continue;
                        }
                    };
                    object.is_any_twice |= place.replace(map.next_value()?).is_some();
                }
                Ok(object)
            }
        }

        deserializer.deserialize_map(Keys)
    }
}
