//! A frame as a bit ruler: every bit in the four ways that people count it, and every field with its code and meaning.

use super::by_version::{Field, MeaningsByVersion, in_other_versions, same_in};
use super::text::{folded, line, width};
use super::track_output;
use super::worked;
use crate::code::Version;
use crate::downlink::{Decoded, Parity, Placed};
use crate::frame::{Frame, Span};
use crate::register::inference::ALL_ZERO;
use crate::track::{DataOverlay, Observation, VersionInForce};
use std::fmt::Write;

/// The most octets on one line of the ruler.
const OCTETS: usize = 7;

/// The whole explanation of a frame.
pub fn explanation(decoded: &Decoded, observation: &Observation, steps: bool) -> String {
    let mut out = String::new();
    let frame = &decoded.frame;
    let rows = decoded.rows();
    let _ = writeln!(out, "{frame}");
    let title =
        if decoded.title() == decoded.envelope.title { String::new() } else { format!("; {}", decoded.title()) };
    let format = frame.downlink_format();
    out += &line(4, &format!("{} bits, downlink format {format}: {}{title}", frame.length(), decoded.envelope.title));
    out += &folded("", 4, &address_and_parity(decoded, observation));
    for remark in register_remarks(decoded) {
        out += &folded("", 4, &remark);
    }
    out.push('\n');
    let message = if frame.length() == 112 { ", message from frame bit 33" } else { "" };
    out += &line(4, &format!("octet, digit and bit count from 1 at the start of the frame{message}"));
    out.push('\n');
    ruler(&mut out, frame, &rows);
    out.push('\n');
    fields(&mut out, decoded, &rows, observation.version);
    derived(&mut out, decoded, observation);
    if steps {
        out += &worked::text(&worked::read(decoded, observation));
    }
    out
}

/// Address and parity in one line.
pub fn address_and_parity(decoded: &Decoded, observation: &Observation) -> String {
    let address = decoded.address().map_or_else(|| "none".to_owned(), |address| address.to_string());
    match decoded.parity() {
        Parity::Valid => format!("address {address}, parity valid"),
        Parity::Invalid => format!(
            "address {address}, parity INVALID (overlay {:06X}): what follows may be damaged",
            decoded.frame.overlay()
        ),
        Parity::Interrogator(code) => {
            format!("address {address}, parity overlaid with interrogator code {} {}", code.kind(), code.code())
        }
        Parity::Overlaid => format!(
            "address {address}, recovered from the parity{}",
            match observation.possible_data_overlay {
                Some(overlay) => overlay_words(overlay),
                None if observation.address_confirmed => " and heard in the clear too".to_owned(),
                None =>
                    "; a damaged frame gives another address, so only one that was also heard in the clear is certain"
                        .to_owned(),
            }
        ),
    }
}

fn overlay_words(overlay: DataOverlay) -> String {
    let others = match overlay.others {
        0 => String::new(),
        others => format!(" (or {others} other, with another register)"),
    };
    format!(
        "; possible data overlay: address {}, heard in the clear, with register {} XORed onto it{others}",
        overlay.address, overlay.register
    )
}

/// What the register rules say of a Comm-B reply, a line each.
pub fn register_remarks(decoded: &Decoded) -> Vec<String> {
    if let Some(opinion) = decoded.opinion() {
        let against = opinion.against.iter().map(|reason| format!("against register {}: {reason}", opinion.register));
        return against.collect();
    }
    let Some(possible) = decoded.possible_registers() else { return Vec::new() };
    if decoded.frame.message_field() == 0 {
        return vec![ALL_ZERO.to_owned()];
    }
    if possible.is_empty() {
        return vec!["the payload obeys the rules of no register that this program knows".to_owned()];
    }
    possible
        .iter()
        .enumerate()
        .map(|(at, opinion)| {
            let lead = if at == 0 { "it can be register" } else { "or register" };
            let against = match opinion.against.as_slice() {
                [] => String::new(),
                against => format!("; against it: {}", against.join("; ")),
            };
            format!("{lead} {}: {}{against}", opinion.register, opinion.supports.join("; "))
        })
        .collect()
}

fn letters(rows: &[Placed], total: u8) -> Vec<char> {
    let mut letters = vec![' '; usize::from(total)];
    for (placed, letter) in rows.iter().zip(('a'..='z').chain('A'..='Z').cycle()) {
        for bit in placed.span.first..=placed.span.last {
            letters[usize::from(bit) - 1] = letter;
        }
    }
    letters
}

fn ruler(out: &mut String, frame: &Frame, rows: &[Placed]) {
    let letters = letters(rows, frame.length());
    let bits: Vec<bool> = frame.bits().collect();
    // A name of 7 columns, then 9 for each octet.
    let most = (width().saturating_sub(7) / 9).clamp(1, OCTETS);
    for (block, octets) in frame.octets().chunks(most).enumerate() {
        let first = block * most;
        let line = |out: &mut String, name: &str, cell: &dyn Fn(usize, u8) -> String| {
            let cells: Vec<String> =
                octets.iter().enumerate().map(|(at, octet)| format!("{:<8}", cell(first + at, *octet))).collect();
            let _ = writeln!(out, "{name:<7} {}", cells.join(" ").trim_end());
        };
        line(out, "octet", &|at, _| (at + 1).to_string());
        line(out, "digit", &|at, _| format!("{:<4}{}", 2 * at + 1, 2 * at + 2));
        line(out, "bit", &|at, _| (8 * at + 1).to_string());
        if frame.length() == 112 {
            line(out, "message", &|at, _| {
                if (4..11).contains(&at) { (8 * at - 31).to_string() } else { String::new() }
            });
        }
        line(out, "hex", &|_, octet| format!("{:X}   {:X}", octet >> 4, octet & 15));
        line(out, "bits", &|at, _| bits[8 * at..8 * at + 8].iter().map(|bit| if *bit { '1' } else { '0' }).collect());
        line(out, "field", &|at, _| letters[8 * at..8 * at + 8].iter().collect());
        if first + most < frame.octets().len() {
            out.push('\n');
        }
    }
}

/// The bits of a span, in groups that do not run away.
pub(crate) fn bit_text(frame: &Frame, span: Span) -> String {
    let width = usize::from(span.width());
    if width > 17 {
        return format!("{:0digits$X}h", frame.field(span), digits = width.div_ceil(4));
    }
    format!("{:0width$b}", frame.field(span))
}

/// What is said in each version, what is the same once, with the versions that say it.
pub(super) fn grouped<T: PartialEq>(versions: &[Version], say: impl Fn(Version) -> T) -> Vec<(T, String)> {
    let mut told: Vec<(T, String)> = Vec::new();
    for version in versions {
        let (said, number) = (say(*version), version.number());
        match told.iter_mut().find(|(other, _)| *other == said) {
            Some((_, numbers)) => {
                let _ = write!(numbers, " and {number}");
            }
            None => told.push((said, number.to_string())),
        }
    }
    told
}

pub(crate) fn meaning_of(placed: &Placed, version: VersionInForce) -> String {
    let say = |version| (placed.row.meaning)(placed.code, placed.version.unwrap_or(version)).words().to_string();
    if let VersionInForce::Known(version) = version {
        say(version)
    } else {
        let told = grouped(&Version::ALL, say);
        match told.as_slice() {
            [(text, _)] => text.clone(),
            _ if matches!(version, VersionInForce::NoSource(_)) => "as received".to_owned(),
            several => several
                .iter()
                .map(|(text, numbers)| format!("version {numbers}: {text}"))
                .collect::<Vec<_>>()
                .join("; "),
        }
    }
}

fn fields(out: &mut String, decoded: &Decoded, rows: &[Placed], version: VersionInForce) {
    // Where there is no room for columns each field has lines of its own.
    let has_columns = width() >= 80;
    if has_columns {
        let _ = writeln!(out, "    frame   message  bits                code  field");
    }
    for (placed, letter) in rows.iter().zip(('a'..='z').chain('A'..='Z').cycle()) {
        let (says, about) = (
            format!("{}: {}", placed.key, meaning_of(placed, version)),
            format!("{}{}", placed.row.about, in_brackets(placed.row.memory())),
        );
        if !has_columns {
            let of_message = placed.message_span.map_or_else(String::new, |span| format!(", message {span}"));
            let bits = format!(
                "bits {}{of_message}: {} = {}",
                placed.span,
                bit_text(&decoded.frame, placed.span),
                placed.code
            );
            *out += &folded(&format!("{letter:<3} "), 4, &bits);
            *out += &folded("    ", 4, &says);
            *out += &folded("    ", 4, &about);
            continue;
        }
        let message = placed.message_span.map_or_else(|| "-".to_owned(), |span| span.to_string());
        let lead = format!(
            "{letter:<3} {:<7} {message:<8} {:<17} {:>6}  ",
            placed.span.to_string(),
            bit_text(&decoded.frame, placed.span),
            if placed.code > 999_999 { String::from("-") } else { placed.code.to_string() },
        );
        *out += &folded(&lead, 46, &says);
        *out += &folded(&" ".repeat(44), 46, &about);
    }
}

/// A mark of what only memory supports, to be written after words.
pub(super) fn in_brackets(memory: Option<&str>) -> String {
    memory.map_or_else(String::new, |memory| format!(" ({memory})"))
}

/// A meaning in words, with its mark of memory.
fn with_memory_mark(decoded: &Decoded, version: Version, (name, meaning): &Field) -> String {
    format!("{name}: {}{}", meaning.words(), in_brackets(decoded.memory_of(name, version)))
}

fn derived(out: &mut String, decoded: &Decoded, observation: &Observation) {
    let reading = MeaningsByVersion::new(decoded, observation.version);
    let own: Vec<&str> = decoded.derived().map(|(name, ..)| name).collect();
    let together: Vec<_> = reading.fields.iter().filter(|(name, _)| own.contains(name)).collect();
    if !together.is_empty() {
        let _ = writeln!(out, "\ntaken together");
        let version = observation.version.known().unwrap_or(Version::ALL[0]);
        for field in together {
            *out += &folded("    ", 8, &with_memory_mark(decoded, version, field));
        }
    }
    let unknown = "the version in force is not known; in each version these bits also say";
    by_version(out, unknown, decoded, &reading.by_version);
    let others = in_other_versions(decoded, observation.version);
    by_version(out, "in another version of the standard the same bits would say", decoded, &others);
    if let Some(note) = reading.note {
        out.push('\n');
        *out += &folded("note: ", 4, &note);
    }
    for (at, line) in track_output::words(observation, 6).into_iter().enumerate() {
        if at == 0 {
            out.push('\n');
        }
        *out += &folded("", 4, &line);
    }
}

fn by_version(out: &mut String, title: &str, decoded: &Decoded, versions: &[(Version, Vec<Field>)]) {
    for (at, (numbers, fields)) in same_in(versions).into_iter().enumerate() {
        if at == 0 {
            out.push('\n');
            *out += &line(4, title);
        }
        let version = versions.iter().find(|(_, own)| own == fields).map_or(Version::ALL[0], |(version, _)| *version);
        let read = decoded.in_version(Some(version));
        let fields: Vec<String> = fields.iter().map(|field| with_memory_mark(&read, version, field)).collect();
        *out += &folded(&format!("    version {numbers}: "), 15, &fields.join("; "));
    }
}
