//! Writes values as JSON straight into the output, because a capture is long.

use super::text::printable;
use crate::code::{Text, Value};

/// Writes a value.
#[inline]
pub(super) fn value(value: &Value, out: &mut Vec<u8>) {
    match value {
        Value::Null => out.extend_from_slice(b"null"),
        Value::Bool(true) => out.extend_from_slice(b"true"),
        Value::Bool(false) => out.extend_from_slice(b"false"),
        Value::Integer(number) => integer(*number, out),
        Value::Decimal(number) => decimal(*number, out),
        Value::Word(word) => plain(word, out),
        Value::Text(text) => characters(text, out),
    }
}

/// Writes a whole number.
#[inline]
pub(super) fn integer(number: i64, out: &mut Vec<u8>) {
    if number < 0 {
        out.push(b'-');
    }
    natural(number.unsigned_abs(), out);
}

/// Writes a number without a sign; most codes have one or two digits.
#[inline]
pub(super) fn natural(number: u64, out: &mut Vec<u8>) {
    if number < 10 {
        out.push(b'0' + number as u8);
    } else {
        out.extend_from_slice(itoa::Buffer::new().format(number).as_bytes());
    }
}

/// Writes a number as the shortest text that gives it back.
#[allow(clippy::float_cmp, reason = "whether it is the same number")]
pub(super) fn decimal(number: f64, out: &mut Vec<u8>) {
    const PLACES: usize = 6;
    const SCALE: f64 = 1e6;
    // A number of up to six places and fifteen digits is the nearest to its own digits, and none shorter is as near.
    let scaled = number * SCALE;
    let whole = (scaled + 0.5f64.copysign(scaled)) as i64;
    let is_short = scaled.abs() < 1e15 && number.abs() >= 1e-3 && whole as f64 / SCALE == number;
    if !is_short {
        // Writing to memory cannot fail.
        drop(serde_json::to_writer(out, &number));
        return;
    }
    if whole < 0 {
        out.push(b'-');
    }
    let (before, mut behind) = (whole.unsigned_abs() / 1_000_000, (whole.unsigned_abs() % 1_000_000) as u32);
    natural(before, out);
    let mut digits = [b'0'; PLACES + 1];
    digits[0] = b'.';
    let mut shown = 1;
    for at in (1..=PLACES).rev() {
        let digit = (behind % 10) as u8;
        behind /= 10;
        digits[at] = b'0' + digit;
        if digit != 0 && shown == 1 {
            shown = at;
        }
    }
    out.extend_from_slice(&digits);
    out.truncate(out.len() - PLACES + shown);
}

/// Writes text that needs no escaping, in quotation marks.
#[inline]
pub(super) fn plain(text: &str, out: &mut Vec<u8>) {
    out.push(b'"');
    out.extend_from_slice(text.as_bytes());
    out.push(b'"');
}

/// Writes any text, in quotation marks; what gives orders to a terminal is escaped too.
pub(super) fn quoted(text: &str, out: &mut Vec<u8>) {
    if text.bytes().all(|octet| matches!(octet, b' '..=b'~') && octet != b'"' && octet != b'\\') {
        plain(text, out);
    } else {
        out.extend_from_slice(printable(&serde_json::Value::from(text).to_string()).as_bytes());
    }
}

/// Writes the text of a code.
#[inline]
fn characters(text: &Text, out: &mut Vec<u8>) {
    match text.padded() {
        Some((characters, length)) => {
            out.push(b'"');
            let length = out.len() + length;
            out.extend_from_slice(characters);
            out.truncate(length);
            out.push(b'"');
        }
        None => drop(serde_json::to_writer(out, &Value::Text(*text))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_written_as_serde_json_writes_them() {
        let mut seed = 1u64;
        let mut random = || {
            seed ^= seed << 13;
            seed ^= seed >> 7;
            seed ^= seed << 17;
            seed
        };
        let edges =
            [0.0, -0.0, 1e-3, 9.99e-4, 1e-6, 5e-7, 1e9, 1e15, 1e16, 1e300, f64::MIN_POSITIVE, 0.1 + 0.2, 1.5, -1.5];
        let of_places = (0..400_000).map(|at| {
            let places = 10f64.powi(at % 9);
            ((random() >> (at % 50 + 10)) as i64 - (1 << 20)) as f64 / places
        });
        let mut all: Vec<f64> = edges.into_iter().chain(of_places).collect();
        all.extend((0..400_000).map(|_| f64::from_bits(random())).filter(|number| number.is_finite()));
        for number in all {
            let mut out = Vec::new();
            decimal(number, &mut out);
            assert_eq!(String::from_utf8_lossy(&out), serde_json::to_string(&number).expect("a number"));
        }
    }
}
