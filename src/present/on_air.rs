//! Where each setting is on the air, from the list of transmissions: message, bits, versions, state, request, interval.

use super::text::{counted, folded};
use crate::frame::Span;
use crate::onair::{Format, Part, Rule, Sending, TRANSMISSIONS, Transmission, intervals_of};
use crate::profile::{SETTINGS, SettingId, names};
use serde_json::{Value, json};
use std::fmt::Write;

/// The versions of the standard that something is known of.
const VERSIONS: std::ops::RangeInclusive<u8> = 0..=3;

/// A place of a setting.
struct Place {
    transmission: &'static Transmission,
    field: &'static str,
    /// Frame bits.
    span: Span,
    /// How an observed value is judged, and with which settings the row is made; none of an address in a parity.
    part: Option<&'static Part>,
}

impl Place {
    /// The bits in the message, if they are in one.
    fn in_message(&self) -> Option<Span> {
        let in_message = self.transmission.message.is_some() && self.span.first > 32 && self.span.last <= 88;
        in_message.then(|| Span::new(self.span.first - 32, self.span.last - 32))
    }

    fn title(&self) -> &'static str {
        self.transmission.about.trim()
    }
}

/// Every place of a setting, in the order of the list.
fn places(setting: SettingId) -> Vec<Place> {
    let mut all = Vec::new();
    for transmission in TRANSMISSIONS {
        let rows = transmission.places(setting);
        all.extend(rows.map(|(row, span, part)| Place {
            transmission,
            field: row.field.unwrap_or(row.key),
            span,
            part: Some(part),
        }));
        if setting == SettingId::Address && transmission.has_address_in_parity() {
            let bits = transmission.envelope.table.bits;
            all.push(Place { transmission, field: "address", span: Span::new(bits - 23, bits), part: None });
        }
    }
    all
}

/// At most this many places are named in one line.
const MOST_BRIEFLY: usize = 3;

/// Where a setting, or what is below it in a profile, is on the air in version 2, in one line: messages and frame bits;
/// `None` if it never is.
pub fn briefly(pointer: &str) -> Option<String> {
    let above = |pointer: &str| pointer.rfind('/').map(|at| pointer[..at].to_owned());
    let setting = SettingId::at(pointer).or_else(|| SettingId::at(&above(pointer)?))?;
    let mut told: Vec<String> = Vec::new();
    for place in places(setting).iter().filter(|place| place.transmission.is_of(2)) {
        let words = format!("{} {}", place.transmission.table().message, in_words(place.span));
        if !told.contains(&words) {
            told.push(words);
        }
    }
    let more = told.len().saturating_sub(MOST_BRIEFLY);
    told.truncate(MOST_BRIEFLY);
    let more = if more > 0 { format!(", and {}", counted(more, "more place")) } else { String::new() };
    (!told.is_empty()).then(|| format!("{}{more}", told.join(", ")))
}

/// Where a setting is on the air, for people.
pub fn text(id: SettingId) -> String {
    let setting = id.setting();
    let mut out = folded("", 4, &format!("{} ({}, {})", setting.name, id.id(), setting.pointer));
    let mut line = |name: &str, text: &str| out += &folded(&format!("    {name:<11}"), 15, text);
    line("what", setting.about);
    line("value", &setting.values_in_words());
    if let Some(typical) = setting.typical {
        line("usual", typical);
    }
    line("taken from", setting.taken_from.words());
    if let Some(never) = setting.never {
        line("on the air", never);
        return out;
    }
    let places = places(id);
    let mut silent = Vec::new();
    // Versions that send it alike are told together.
    let mut groups: Vec<(Vec<u8>, Vec<&Place>)> = Vec::new();
    for version in VERSIONS {
        let of: Vec<&Place> = places.iter().filter(|place| place.transmission.is_of(version)).collect();
        let same =
            |a: &[&Place], b: &[&Place]| a.len() == b.len() && a.iter().zip(b).all(|(a, b)| std::ptr::eq(*a, *b));
        match groups.iter_mut().find(|(_, known)| same(known, &of)) {
            _ if of.is_empty() => silent.push(version),
            Some((versions, _)) => versions.push(version),
            None => groups.push((vec![version], of)),
        }
    }
    groups.sort_by_key(|(versions, _)| !versions.contains(&2));
    for (versions, places) in &groups {
        let _ = writeln!(out, "\n  {}", versions_in_words(versions));
        let mut at = 0;
        while at < places.len() {
            // The same bits of several messages: one paragraph.
            let first = places[at];
            let alike = |place: &&&Place| {
                (place.field, place.span, place.in_message()) == (first.field, first.span, first.in_message())
            };
            let run = places[at..].iter().take_while(alike).count();
            out += &paragraph(first, &places[at..at + run], id, versions.iter().all(|version| *version < 2));
            at += run;
        }
    }
    for (at, version) in silent.into_iter().enumerate() {
        let reason = if version == 3 { "not known from public text" } else { "units of this version do not send it" };
        let _ = writeln!(out, "{}  version {version}: {reason}", if at == 0 { "\n" } else { "" });
    }
    out
}

fn paragraph(place: &Place, alike: &[&Place], id: SettingId, before_version_2: bool) -> String {
    let mut out = String::new();
    let message = place.in_message().map_or_else(String::new, |span| format!("message {}, frame ", in_words(span)));
    let bits = format!("{message}{}", in_words(place.span));
    out += &folded("    ", 6, &format!("{}: {bits}", place.field));
    for place in alike {
        out += &folded("      in ", 10, &format!("{}; {}", place.title(), sent(place.transmission, before_version_2)));
    }
    let Some(part) = place.part else {
        out += &folded("      ", 6, "XORed onto the parity");
        return out;
    };
    let others: Vec<SettingId> = part.settings.iter().copied().filter(|other| *other != id).collect();
    if !others.is_empty() {
        out += &folded("      together with ", 10, &names(&others));
    }
    out += &folded("      judged: ", 10, judged(part.rule));
    out
}

fn judged(rule: Rule) -> &'static str {
    match rule {
        Rule::Equal => "must be equal in every frame",
        Rule::Quality => "must be met; lower only as a rare and short dip",
        Rule::State => "must not be claimed where it is not fitted",
        Rule::WhenUsed => "a preset: the crew uses it or not",
    }
}

fn in_words(span: Span) -> String {
    if span.width() == 1 { format!("bit {}", span.first) } else { format!("bits {}\u{2013}{}", span.first, span.last) }
}

fn versions_in_words(versions: &[u8]) -> String {
    match versions {
        [only] => format!("version {only}"),
        [first, .., last] if usize::from(last - first) + 1 == versions.len() => format!("versions {first} to {last}"),
        all => format!("versions {}", all.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")),
    }
}

fn state(format: Format) -> (&'static str, &'static str) {
    match format {
        Format::Airborne => ("airborne", "in the air"),
        Format::Surface => ("on_ground", "on the ground"),
        Format::Either => ("both", "in the air and on the ground"),
    }
}

/// The intervals of a transmission in its states.
fn intervals(transmission: &Transmission, before_version_2: bool) -> Vec<(&'static str, f64, f64)> {
    let Sending::Every(stream) = transmission.sent else { return Vec::new() };
    let states: &[bool] = match transmission.format {
        Format::Airborne => &[true],
        Format::Surface => &[false],
        Format::Either => &[true, false],
    };
    let mut all: Vec<(&'static str, f64, f64)> = Vec::new();
    for airborne in states {
        for interval in intervals_of(stream, *airborne, before_version_2) {
            let seconds = |ms: u32| f64::from(ms) / 1000.0;
            let one = (interval.when, seconds(interval.window_ms.0), seconds(interval.window_ms.1));
            if !all.contains(&one) {
                all.push(one);
            }
        }
    }
    all
}

/// In which state a frame goes out, and how often or on what request.
fn sent(transmission: &Transmission, before_version_2: bool) -> String {
    let mut text = match transmission.sent {
        Sending::Asked(by) => format!("{}, in reply to {by}", state(transmission.format).1),
        Sending::Every(_) => intervals(transmission, before_version_2)
            .iter()
            .map(|(when, least, most)| format!("every {least:.1} to {most:.1} s {}", when.trim_start_matches("always")))
            .map(|text| text.trim().to_owned())
            .collect::<Vec<_>>()
            .join("; "),
    };
    if let Some(condition) = transmission.condition {
        let _ = write!(text, "; only if {}", condition.words);
    }
    text
}

/// The same for programs: one object per setting.
pub fn json(id: SettingId) -> Value {
    let setting = id.setting();
    let places: Vec<Value> = places(id)
        .iter()
        .map(|place| {
            let transmission = place.transmission;
            let before_version_2 = transmission.versions.1 < 2;
            let intervals: Vec<Value> = intervals(transmission, before_version_2)
                .iter()
                .map(|(when, least, most)| json!({"when": when, "least_s": least, "most_s": most}))
                .collect();
            json!({
                "message": transmission.table().message, "title": place.title(),
                "versions": [transmission.versions.0, transmission.versions.1], "when": state(transmission.format).0,
                "field": place.field, "bits": [place.span.first, place.span.last],
                "message_bits": place.in_message().map(|span| [span.first, span.last]),
                "in_parity": place.part.is_none(),
                "settings": place.part.map_or(vec![id], |part| part.settings.to_vec()),
                "rule": place.part.map(|part| part.rule.key()),
                "asked_by": transmission.reply_to(), "intervals": intervals,
                "only_if": transmission.condition.map(|condition| condition.words),
            })
        })
        .collect();
    json!({"setting": id, "id": id.id(), "name": setting.name, "about": setting.about, "value": setting.values_in_words(),
        "choices": setting.options.iter().map(|choice| json!({"value": choice.word, "meaning": choice.words})).collect::<Vec<_>>(),
        "units": setting.units, "typical": setting.typical, "taken_from": setting.taken_from.words(),
        "on_paper_only": setting.optional && setting.never.is_some(), "never_on_air": setting.never, "on_air": places})
}

/// Every setting, one line for each place.
pub fn list() -> String {
    let mut out = String::new();
    for setting in SETTINGS {
        let _ = writeln!(out, "{} ({})", setting.name, setting.id.id());
        if let Some(never) = setting.never {
            out += &folded("    ", 6, &format!("never on the air: {never}"));
        }
        for place in places(setting.id) {
            let bits =
                place.in_message().map_or_else(|| in_words(place.span), |span| format!("message {}", in_words(span)));
            let versions: Vec<u8> = (place.transmission.versions.0..=place.transmission.versions.1).collect();
            let asked = place.transmission.reply_to().map_or_else(String::new, |by| format!(", in reply to {by}"));
            let line = format!(
                "{}{asked}: {bits}, {}, {}",
                place.title(),
                state(place.transmission.format).1,
                versions_in_words(&versions)
            );
            out += &folded("    ", 6, &line);
        }
    }
    out
}
