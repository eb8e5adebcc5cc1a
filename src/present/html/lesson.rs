//! The pictures of the lessons for numbers that are moved, and their words with the terms that open in place.
//!
//! Every picture has a sentence below it that says the same; pulses are a drawing on a grid, never samples of a signal.

use crate::code::compact_position::{Grid, Position, Word, zones};
use crate::code::{Bits, Identification, Version, Wire, Wires, decimals, spaced};
use crate::downlink::{Decoded, ExtendedSquitter};
use crate::frame::Frame;
use crate::learn::Lesson;
use crate::learn::lesson::made;
use crate::onair::{Condition, Stream, interval_of};
use crate::present::glossary::{self, Term};
use maud::{Markup, html};

/// A number of a picture that can be moved.
#[derive(Clone, Copy, Debug)]
pub struct Moved {
    /// What it is, with its unit.
    pub label: &'static str,
    /// From this.
    pub least: f64,
    /// To this.
    pub most: f64,
    /// In steps of this.
    pub step: f64,
    /// At first.
    pub begin: f64,
}

const fn moves(label: &'static str, least: f64, most: f64, step: f64, begin: f64) -> Moved {
    Moved { label, least, most, step, begin }
}

/// Draws a picture.
type Draw = fn(&Lesson, &[f64]) -> Option<Markup>;

/// The lessons with what can be moved in their pictures.
const PICTURES: &[(&str, &[Moved], Draw)] = &[
    ("bits", &[moves("Octet, as a number", 0.0, 255.0, 1.0, 141.0)], octet),
    (
        "envelope",
        &[moves("Frame bit", 1.0, 112.0, 1.0, 1.0), moves("Landing after, s", 0.0, SHOWN_S, 0.5, 6.0)],
        envelope,
    ),
    ("characters", &[moves("Code of the character", 0.0, 63.0, 1.0, 14.0)], character),
    (
        "altitude",
        &[
            moves("Pressure altitude, ft", -1_000.0, 50_000.0, 100.0, 4_500.0),
            moves("Broken wire, 1 to 11; 0 for none", 0.0, 11.0, 1.0, 0.0),
        ],
        staircase,
    ),
    (
        "velocity",
        &[moves("Ground speed, kt", 0.0, 900.0, 1.0, 118.0), moves("Track, deg", 0.0, 359.5, 0.5, 271.5)],
        triangle,
    ),
    (
        "position",
        &[moves("Latitude, deg", -89.0, 89.0, 0.25, 44.5), moves("Longitude, deg", -180.0, 179.75, 0.25, -103.25)],
        cells,
    ),
    ("parity", &[moves("Frame bit that is flipped", 1.0, 112.0, 1.0, 33.0)], syndrome),
];

/// What can be moved in the picture of a lesson.
pub fn moved(lesson: &str) -> &'static [Moved] {
    PICTURES.iter().find(|(name, ..)| *name == lesson).map_or(&[], |(_, moved, _)| moved)
}

/// The picture of a lesson with these numbers; `None` if they cannot be drawn.
pub fn picture(lesson: &Lesson, values: &[f64]) -> Option<Markup> {
    PICTURES.iter().find(|(name, ..)| *name == lesson.name).and_then(|(.., draw)| draw(lesson, values))
}

fn chart(width: u32, height: u32, label: &str, inside: &Markup) -> Markup {
    html! {
        svg.chart viewBox=(format!("0 0 {width} {height}")) role="img" aria-label=(label) xmlns="http://www.w3.org/2000/svg" { (inside) }
    }
}

fn tenth(number: f64) -> f64 {
    (number * 10.0).round() / 10.0
}

/// Bits as boxes from a place on; a one is filled, and each has its weight above it if `weighed`.
fn boxes(x: u32, y: u32, code: u64, width: u8, weighed: bool) -> Markup {
    const SIZE: u32 = 28;
    html! {
        @for at in 0..u32::from(width) {
            @let (left, weight) = (x + at * SIZE, 1u64 << (u32::from(width) - 1 - at));
            @let one = code & weight != 0;
            rect class=(if one { "band" } else { "window-free" }) x=(left) y=(y) width=(SIZE) height=(SIZE) {}
            text.middle x=(left + SIZE / 2) y=(y + 19) { (u8::from(one)) }
            @if weighed { text.small.middle x=(left + SIZE / 2) y=(y - 5) { (weight) } }
        }
    }
}

/// Eight bits as pulses: a one in the first half of its microsecond, a zero in the second (source: HI).
fn pulses(x: u32, y: u32, octet: u8) -> Markup {
    const BIT: u32 = 56;
    html! {
        @for at in 0..8 {
            @let left = x + at * BIT;
            @let one = octet >> (7 - at) & 1 == 1;
            line.grid x1=(left) x2=(left) y1=(y - 8) y2=(y + 48) {}
            rect.body x=(if one { left } else { left + BIT / 2 }) y=(y) width=(BIT / 2) height="40" {}
            text.middle x=(left + BIT / 2) y=(y + 62) { (u8::from(one)) }
        }
        line.axis x1=(x) x2=(x + 8 * BIT) y1=(y + 40) y2=(y + 40) {}
    }
}

const PULSES: &str = "One bit lasts 1 \u{b5}s: a one is a pulse in its first half, a zero in its second.";

fn octet(_: &Lesson, values: &[f64]) -> Option<Markup> {
    let octet = *values.first()? as u8;
    let weights: Vec<String> =
        (0..8).rev().filter(|at| octet >> at & 1 == 1).map(|at| (1u32 << at).to_string()).collect();
    let sum = if weights.is_empty() { "0".to_owned() } else { weights.join(" + ") };
    let inside = html! {
        (boxes(20, 34, octet.into(), 8, true))
        text.middle x="76" y="86" { (format!("{:X}", octet >> 4)) }
        text.middle x="188" y="86" { (format!("{:X}", octet & 15)) }
        (pulses(20, 112, octet))
    };
    Some(html! {
        (chart(490, 190, "The bits of an octet with their weights, and as pulses", &inside))
        p { (octet) " = " (sum) " = " span.mono { (format!("{octet:08b}")) } ", in hexadecimal " strong.mono { (format!("{octet:02X}")) } ". " (PULSES) }
    })
}

fn envelope(lesson: &Lesson, values: &[f64]) -> Option<Markup> {
    const BIT: u32 = 6;
    let [bit, landing] = *values else { return None };
    let (bit, frame) = (bit as u8, lesson.frame());
    let rows = ExtendedSquitter::TABLE.rows;
    let here = rows.iter().find(|row| (row.span.first..=row.span.last).contains(&bit))?;
    let octet = frame.octets().get(usize::from(bit.checked_sub(1)? / 8)).copied()?;
    let first = (bit - 1) / 8 * 8 + 1;
    let inside = html! {
        @for (at, row) in rows.iter().enumerate() {
            @let (left, width) = (10 + u32::from(row.span.first - 1) * BIT, u32::from(row.span.width()) * BIT);
            rect class=(if row.key == here.key { "band" } else { "body" }) x=(left) y="24" width=(width) height="34" {}
            text.middle x=(left + width / 2) y="46" { (super::letter(at)) }
        }
        @let at = 10 + u32::from(bit - 1) * BIT + BIT / 2;
        line.axis x1=(at) x2=(at) y1="16" y2="70" {}
        text.small.middle x=(at.clamp(20, 670)) y="12" { "bit " (bit) }
        (pulses(120, 92, octet))
    };
    Some(html! {
        (chart(692, 170, "The fields of an extended squitter to scale, and one octet as pulses", &inside))
        p { "Frame bit " (bit) " is " (u8::from(frame.bit(bit))) " and belongs to " strong { (here.key.replace('_', " ")) } ", frame bits " (here.span)
            ". The pulses are those of bits " (first) " to " (first + 7) ". " (PULSES) }
        ul.bare { @for (at, row) in rows.iter().enumerate() {
            li { span.key { (super::letter(at)) } " " (row.key.replace('_', " ")) ": frame bits " (row.span) ", " (row.span.width()) " bits" }
        } }
        (time_line(landing))
    })
}

/// Seconds of the time line.
const SHOWN_S: f64 = 12.0;

/// A lane for each squitter, a tick for each frame at its mean interval, and behind the tick before it the band in which
/// the standard lets it come.
fn time_line(landing_s: f64) -> Markup {
    const LANE: u32 = 26;
    const LEFT: f64 = 250.0;
    let x = |seconds: f64| tenth(LEFT + seconds * 38.0);
    let interval = |stream: Stream, at: f64| {
        let airborne = at < landing_s;
        interval_of(stream, &Condition { airborne, moving: !airborne, ..Condition::default() })
    };
    // A frame, and from when to when the next one may come.
    let frames = |stream: Stream| {
        let mut frames: Vec<(f64, f64, f64)> = Vec::new();
        let mut at: f64 = 0.1;
        while at < SHOWN_S {
            let Some(found) = interval(stream, at) else { break };
            let (least, most) = (f64::from(found.window_ms.0) / 1e3, f64::from(found.window_ms.1) / 1e3);
            frames.push((at, at + least, at + most));
            at += f64::midpoint(least, most);
        }
        frames
    };
    let lanes: Vec<(Stream, Vec<_>)> = Stream::ALL
        .into_iter()
        .map(|stream| (stream, frames(stream)))
        .filter(|(_, frames)| !frames.is_empty())
        .collect();
    let height = lanes.len() as u32 * LANE;
    let inside = html! {
        @for (lane, (stream, frames)) in (0u32..).zip(&lanes) {
            @let top = 16 + lane * LANE;
            text.end x=(LEFT - 8.0) y=(top + 15) { (stream.words()) }
            line.grid x1=(LEFT) x2=(x(SHOWN_S)) y1=(top + 20) y2=(top + 20) {}
            @for (at, from, to) in frames {
                @if *from < SHOWN_S { rect.window x=(x(*from)) width=(tenth(x(to.min(SHOWN_S)) - x(*from))) y=(top + 4) height="16" {} }
                line.series x1=(x(*at)) x2=(x(*at)) y1=(top + 2) y2=(top + 20) {}
            }
        }
        line.stated x1=(x(landing_s)) x2=(x(landing_s)) y1="10" y2=(16 + height) {}
        text.small.middle x=(x(landing_s)) y="9" { "landing" }
        @for second in (0u8..=SHOWN_S as u8).step_by(2) {
            text.small.middle x=(x(second.into())) y=(height + 32) { (second) " s" }
        }
    };
    html! {
        (chart(730, height + 40, "How often each squitter goes out, before and after a landing", &inside))
        p { "Each line is a frame, at the mean of its interval; the band behind it is where the standard lets the next one come. On the ground, moving: no velocity. " a href="?list=intervals#reference" { "Every interval with its source" } "." }
    }
}

fn character(_: &Lesson, values: &[f64]) -> Option<Markup> {
    let code = *values.first()? as u8;
    // What is spelt so is found by spelling everything.
    let letter = ('A'..='Z').chain('0'..='9').chain([' ']).find(|letter| {
        letter.to_string().parse::<Identification>().is_ok_and(|name| name.bits() >> 42 == u64::from(code))
    });
    let words = match letter {
        Some(' ') => "the space".to_owned(),
        Some(letter) => letter.to_string(),
        None => "no character".to_owned(),
    };
    let inside = html! {
        (boxes(20, 34, code.into(), 6, true))
        text x="210" y="53" { "= " (code) ": " (words) }
    };
    Some(html! {
        (chart(400, 80, "The six bits of a character with their weights", &inside))
        p { "Code " (code) " = " span.mono { (format!("{code:06b}")) } " is " strong { (words) } "." }
    })
}

fn staircase(_: &Lesson, values: &[f64]) -> Option<Markup> {
    const COLUMN: u32 = 38;
    const ROW: u32 = 20;
    let [feet, broken] = values else { return None };
    let here = Wires::from_feet(*feet).ok()?;
    let centre = here.feet()?;
    let broken = (*broken as usize).checked_sub(1).and_then(|at| Wire::ALL.get(at).copied());
    let steps: Vec<(i32, Option<Wires>)> =
        (-8..=8).map(|step| centre + step * 100).map(|feet| (feet, Wires::from_feet(feet.into()).ok())).collect();
    let changes = |other: i32| {
        let other = Wires::from_feet(other.into()).ok()?;
        Wire::ALL.into_iter().find(|wire| other.has(*wire) != here.has(*wire)).map(Wire::name)
    };
    let inside = html! {
        @for (row, wire) in (0u32..).zip(Wire::ALL) {
            text.end x="34" y=(row * ROW + 34) { (wire) }
            @for (column, (_, wires)) in (0u32..).zip(&steps) {
                @if wires.is_some_and(|wires| wires.has(wire)) {
                    @let open = broken == Some(wire);
                    rect class=(if open { "other" } else { "band" }) x=(40 + column * COLUMN) y=(row * ROW + 21) width=(COLUMN) height=(ROW - 4) {}
                }
            }
            line.grid x1="40" x2=(40 + 17 * COLUMN) y1=(row * ROW + 39) y2=(row * ROW + 39) {}
        }
        rect.stated x=(40 + 8 * COLUMN) y="18" width=(COLUMN) height=(11 * ROW + 4) {}
        @for (column, (feet, _)) in (0u32..).zip(&steps).step_by(4) {
            text.small.middle x=(40 + column * COLUMN + COLUMN / 2) y=(11 * ROW + 36) { (spaced((*feet).into())) " ft" }
        }
    };
    Some(html! {
        (chart(40 + 17 * COLUMN + 10, 11 * ROW + 44, "Wires grounded, step by step of 100 ft", &inside))
        p {
            "At " strong { (spaced(centre.into())) " ft" } " these wires are grounded: " span.mono { (here) } ". "
            @for (way, feet) in [("up", centre + 100), ("down", centre - 100)] {
                @if let Some(wire) = changes(feet) { "One step " (way) " changes " (wire) " alone. " }
            }
            @if let Some(wire) = broken {
                @let read = here.with(wire, false);
                "With wire " (wire) " broken "
                @match (here.has(wire), read.feet()) {
                    (false, _) => { "nothing changes here: it is not grounded at this altitude." }
                    (true, Some(feet)) => { "the unit reads " strong { (spaced(feet.into())) " ft" } "." }
                    (true, None) => { "the unit reads a code that is not an altitude." }
                }
            }
        }
    })
}

fn triangle(_: &Lesson, values: &[f64]) -> Option<Markup> {
    let [speed, track] = values else { return None };
    let fields = [
        ("address", "A5C035".to_owned()),
        ("ground_speed_kt", decimals(*speed, 0)),
        ("track_deg", decimals(*track, 1)),
    ];
    let fields: Vec<(&str, &str)> = fields.iter().map(|(name, value)| (*name, value.as_str())).collect();
    let decoded = Decoded::new(made("airborne_velocity", &fields));
    let said = decoded.fields(Version::Two);
    let find = |name: &str| said.iter().find(|(known, _)| *known == name).map(|(_, meaning)| meaning);
    let number = |name: &str| find(name).and_then(|meaning| meaning.value.to_string().parse::<f64>().ok());
    let (east, north) = (number("east_velocity_kt")?, number("north_velocity_kt")?);
    let scale = 110.0 / east.abs().max(north.abs()).max(1.0);
    let (x, y) = (tenth(160.0 + east * scale), tenth(140.0 - north * scale));
    let inside = html! {
        line.grid x1="20" x2="300" y1="140" y2="140" {}
        line.grid x1="160" x2="160" y1="14" y2="266" {}
        text.middle x="160" y="12" { "north" }
        text x="304" y="144" { "east" }
        line.stated x1="160" y1="140" x2=(x) y2="140" {}
        line.stated x1=(x) y1="140" x2=(x) y2=(y) {}
        line.series x1="160" y1="140" x2=(x) y2=(y) {}
        circle.dot cx=(x) cy=(y) r="5" {}
    };
    Some(html! {
        (chart(340, 280, "The velocity and its two components", &inside))
        p {
            "Sent: " strong { @if let Some(said) = find("east_velocity_kt") { (said.words()) } } " and "
            strong { @if let Some(said) = find("north_velocity_kt") { (said.words()) } } " (dashed), each a whole number of knots. Together: "
            @if let Some(said) = find("ground_speed_kt") { (said.words()) }
            @if let Some(said) = find("track_deg") { ", track " (said.words()) } " (the line)."
        }
    })
}

fn cells(_: &Lesson, values: &[f64]) -> Option<Markup> {
    let [latitude_deg, longitude_deg] = *values else { return None };
    let place = Position { latitude_deg, longitude_deg };
    let [even, odd] = [false, true].map(|odd| Word::of(place, odd, Grid::Airborne));
    let nl = zones(latitude_deg);
    // Fifteen degrees to each side, nine up and down.
    let x = |longitude: f64| tenth(360.0 + (longitude - longitude_deg) * 24.0);
    let y = |latitude: f64| tenth(216.0 - (latitude - latitude_deg) * 24.0);
    let edges = |around: f64, reach: f64, cell: f64| {
        let (first, last) = (((around - reach) / cell).ceil() as i32, ((around + reach) / cell).floor() as i32);
        (first..=last).map(move |at| f64::from(at) * cell)
    };
    let grids = [("series", 60.0, f64::from(nl)), ("stated", 59.0, f64::from(nl.saturating_sub(1).max(1)))];
    let inside = html! {
        @for (class, bands, columns) in grids {
            @for latitude in edges(latitude_deg, 9.0, 360.0 / bands).filter(|latitude| latitude.abs() <= 90.0) {
                line class=(class) x1="0" x2="720" y1=(y(latitude)) y2=(y(latitude)) {}
            }
            @for longitude in edges(longitude_deg, 15.0, 360.0 / columns) {
                line class=(class) y1="0" y2="432" x1=(x(longitude)) x2=(x(longitude)) {}
            }
        }
        line.axis x1="340" x2="380" y1="216" y2="216" {}
        line.axis x1="360" x2="360" y1="196" y2="236" {}
        circle.hit cx="360" cy="216" r="5" {}
    };
    let part = |word: u32| format!("{word} / 131072");
    Some(html! {
        (chart(720, 432, "The cells of the even and of the odd grid around a place", &inside))
        p {
            "Even cells have solid edges and are 6\u{b0} high; odd ones have dashed edges and are " (decimals(360.0 / 59.0, 4)) "\u{b0} high. "
            "At this latitude NL is " strong { (nl) } ": that many even cells around the globe, and one fewer odd ones, at least one. "
            "The place in its cell, even: latitude " span.mono { (part(even.latitude)) } ", longitude " span.mono { (part(even.longitude)) }
            "; odd: latitude " span.mono { (part(odd.latitude)) } ", longitude " span.mono { (part(odd.longitude)) } "."
        }
    })
}

fn syndrome(lesson: &Lesson, values: &[f64]) -> Option<Markup> {
    const BIT: u32 = 22;
    let (bit, frame): (u8, Frame) = (*values.first()? as u8, lesson.frame());
    let damaged = frame.flipped(bit);
    let inside = html! {
        @for (at, value) in (0u32..).zip(damaged.bits()) {
            @let (left, top) = (10 + at % 28 * BIT, 10 + at / 28 * BIT);
            @let flipped = at + 1 == u32::from(bit);
            rect class=(if flipped { "hit" } else { "body" }) x=(left) y=(top) width=(BIT) height=(BIT) {}
            text.middle.flipped[flipped] x=(left + BIT / 2) y=(top + 15) { (u8::from(value)) }
        }
        text x="10" y="124" { "overlay" }
        @for at in 0..24 {
            @let one = damaged.overlay() >> (23 - at) & 1 == 1;
            rect class=(if one { "band" } else { "window-free" }) x=(10 + at * BIT) y="132" width=(BIT) height=(BIT) {}
            text.middle x=(10 + at * BIT + BIT / 2) y="147" { (u8::from(one)) }
        }
    };
    Some(html! {
        (chart(20 + 28 * BIT, 164, "The frame with one bit flipped, and the overlay that is left", &inside))
        p { "Bit " (bit) " flipped: the overlay is " strong.mono { (format!("{:06X}", damaged.overlay())) } " = " span.mono { (format!("{:024b}", damaged.overlay())) }
            ". No two bits leave the same; without a flipped bit it is " span.mono { (format!("{:06X}", frame.overlay())) } "." }
    })
}

/// Where a term is written in a text first.
fn written(term: &Term, text: &str) -> Option<(usize, usize)> {
    let low = text.to_ascii_lowercase();
    let is_end = |c: Option<char>| !c.is_some_and(char::is_alphanumeric);
    let names = std::iter::once(&term.name).chain(term.also);
    let found = names.filter_map(|name| {
        low.match_indices(&name.to_ascii_lowercase())
            .map(|(at, name)| (at, at + name.len()))
            .find(|(from, to)| is_end(low[..*from].chars().next_back()) && is_end(low[*to..].chars().next()))
    });
    found.min_by_key(|(from, to)| (*from, usize::MAX - to))
}

/// A word that opens what the glossary says of it.
fn opened(term: &Term, word: &str) -> Markup {
    let id = format!("term-{}", term.name.to_lowercase().replace(' ', "-"));
    html! {
        button.term type="button" popovertarget=(id) { (word) }
        span.about-term id=(id) popover { strong { (term.name) } ": " (term.about) }
    }
}

/// Where a lesson names a part of the reference, that part opens.
fn linked(text: &str) -> Markup {
    let mut parts = text.split("explain --list ");
    let first = parts.next().unwrap_or_default();
    html! {
        (first)
        @for part in parts {
            @let end = part.find(|c: char| !c.is_ascii_alphanumeric() && c != '_').unwrap_or(part.len());
            a.mono href=(format!("?list={}#reference", &part[..end])) { (&part[..end]) } (&part[end..])
        }
    }
}

/// The question and the idea of a lesson; a term opens where it is first used, and any that is not used, at the end.
pub fn idea(lesson: &Lesson) -> Markup {
    let mut left: Vec<&Term> = lesson.terms.iter().filter_map(|term| glossary::find(term)).collect();
    let mut paragraph = |text: &str| {
        let mut found: Vec<(usize, usize, &Term)> =
            left.iter().filter_map(|term| written(term, text).map(|(from, to)| (from, to, *term))).collect();
        found.sort_by_key(|(from, ..)| *from);
        let mut done = 0;
        let mut out = Vec::new();
        for (from, to, term) in found {
            if from < done {
                continue;
            }
            out.push(html! { (linked(&text[done..from])) (opened(term, &text[from..to])) });
            done = to;
            left.retain(|other| other.name != term.name);
        }
        html! { @for piece in out { (piece) } (linked(&text[done..])) }
    };
    let question = paragraph(lesson.question);
    let paragraphs: Vec<Markup> = lesson.idea.iter().map(|text| paragraph(text)).collect();
    html! {
        p.say { (question) }
        @for text in paragraphs { p { (text) } }
        @if !left.is_empty() { p { "Terms used below: " @for (at, term) in left.iter().enumerate() { @if at > 0 { ", " } (opened(term, term.name)) } "." } }
    }
}
