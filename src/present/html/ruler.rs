//! A frame on paper: its bits, every field with its code and meaning, and what the fields say together.

use super::{Kind, Marked, bits, letter, wide};
use crate::code::Version;
use crate::downlink::{Decoded, Placed};
use crate::frame::{Frame, Span};
use crate::onair::{Decision, Emission};
use crate::present::json::emission_message;
use crate::present::observed;
use crate::present::reading::{Field, Reading, in_other_versions};
use crate::present::ruler::{address_and_parity, bit_text, meaning_of, register_remarks};
use crate::present::text::used_words;
use crate::present::worked;
use crate::profile::{SettingId, joined};
use crate::track::{Observation, VersionInForce};
use maud::{Markup, html};

fn named(fields: &[Field]) -> Markup {
    html! {
        @for (name, meaning) in fields { dt { code { (name) } } dd { (meaning.words()) } }
    }
}

fn marks(rows: &[Placed]) -> Vec<Marked<'_>> {
    let kind = |placed: &Placed| if placed.row.is_reserved() { Kind::Reserved } else { Kind::Field };
    rows.iter().map(|placed| Marked { span: placed.span, key: placed.key, kind: kind(placed), settings: &[] }).collect()
}

fn table(frame: &Frame, rows: &[Placed], version: VersionInForce, which: impl Fn(&Placed) -> bool) -> Markup {
    wide(
        "Fields of the frame",
        &html! {
            table.fields {
                caption { "Fields" }
                thead { tr {
                    th.thin scope="col" { "mark" } th.thin scope="col" { "bits" }
                    th scope="col" { "field" } th scope="col" { "meaning" }
                } }
                tbody {
                    @for (at, placed) in rows.iter().enumerate().filter(|(_, placed)| which(placed)) {
                        tr {
                            td { span class=(if placed.row.is_reserved() { "key kept".to_owned() } else { format!("key f{}", at % 6) }) { (letter(at)) } }
                            td.bits {
                                (placed.span) @if let Some(span) = placed.message_span { span.soft { " message " (span) } }
                                br; (bit_text(frame, placed.span))
                                @if placed.span.width() > 1 && placed.span.width() <= 17 { " = " (placed.code) }
                            }
                            th scope="row" { code { (placed.key) } span.about { (placed.row.about) } }
                            td { (meaning_of(placed, version)) }
                        }
                    }
                }
            }
        },
    )
}

fn lead(decoded: &Decoded) -> Markup {
    html! {
        p.lead {
            strong { (decoded.title()) }
            ": " (decoded.frame.length()) " bits, downlink format " (decoded.frame.downlink_format())
            @if decoded.title() != decoded.envelope.title { " (" (decoded.envelope.title) ")" }
        }
    }
}

fn by_version(title: &str, versions: &[(Version, Vec<Field>)]) -> Markup {
    html! {
        @if !versions.is_empty() {
            h3 { (title) }
            @for (version, fields) in versions {
                p { strong { "version " (version.number()) } }
                dl.facts { (named(fields)) }
            }
        }
    }
}

/// A frame as evidence: all its bits, and the fields in which it differs from what it should be; `wrong` has ones in
/// those bits.
pub fn evidence(decoded: &Decoded, observation: &Observation, wrong: u128) -> Markup {
    let frame = &decoded.frame;
    let rows = decoded.rows();
    html! {
        (lead(decoded))
        (bits(frame, &marks(&rows), wrong, false))
        (table(frame, &rows, observation.version, |placed| wrong == 0 || placed.span.mask(frame.length()) & wrong != 0))
    }
}

/// The whole explanation of a frame. `wrong` has ones where bits differ from what they should be; `pressed` makes the
/// bits buttons; `steps` adds the arithmetic.
pub fn explanation(decoded: &Decoded, observation: &Observation, wrong: u128, pressed: bool, steps: bool) -> Markup {
    let frame = &decoded.frame;
    let rows = decoded.rows();
    let reading = Reading::new(decoded, observation.version);
    let own: Vec<&str> = decoded.derived().map(|(name, ..)| name).collect();
    let others = in_other_versions(decoded, observation.version);
    let together: Vec<_> = reading.fields.iter().filter(|(name, _)| own.contains(name)).copied().collect();
    html! {
        (lead(decoded))
        p { (address_and_parity(decoded, observation)) }
        @for remark in register_remarks(decoded) { p.small { (remark) } }
        (bits(frame, &marks(&rows), wrong, pressed))
        (table(frame, &rows, observation.version, |_| true))
        @if !together.is_empty() {
            h3 { "Taken together" }
            dl.facts { (named(&together)) }
        }
        (by_version("The version in force is not known; in each version these bits also say", &reading.by_version))
        (by_version("In another version of the standard the same bits would say", &others))
        @if let Some(note) = &reading.note { p.soft { (note) } }
        @for line in observed::words(observation, 6) { p { (line) } }
        @if steps {
            @for worked in worked::read(decoded, observation) {
                details { summary { "Arithmetic of " code { (worked.title) } }
                    ol.steps { @for step in &worked.steps { li { (step) } } }
                }
            }
        }
    }
}

fn settings(decision: &Decision) -> Markup {
    html! { @for pointer in decision.settings { code { (pointer) } br; } }
}

fn message_bits(frame: &Frame, span: Span) -> Option<Span> {
    (frame.length() == 112 && span.first > 32 && span.last <= 88).then(|| Span::new(span.first - 32, span.last - 32))
}

/// One frame of an install: which bits the install decides, and by which setting.
pub fn emission(emission: &Emission) -> Markup {
    let frame = &emission.frame;
    let all: Vec<(&Decision, bool)> = emission
        .decisions
        .iter()
        .map(|decision| (decision, true))
        .chain(emission.used.iter().map(|decision| (decision, false)))
        .collect();
    let mut marked: Vec<Marked<'_>> = all
        .iter()
        .map(|(decision, _)| Marked {
            span: decision.span,
            key: decision.field,
            kind: Kind::Field,
            settings: decision.settings,
        })
        .collect();
    if emission.address_in_parity {
        let length = frame.length();
        marked.push(Marked {
            span: Span::new(length - 23, length),
            key: "address",
            kind: Kind::Field,
            settings: &[SettingId::Address],
        });
    }
    let title = if emission.address_in_parity { emission.envelope.title } else { emission.table.title };
    let key = format!("{title}/{}/{}", emission.when.key(), emission.asked_by.unwrap_or_default());
    html! {
        section.emission data-frame=(frame) data-key=(key) data-when=(emission.when.key()) {
            h3 { (title) ", " (emission.when.words()) @if let Some(by) = emission.asked_by { ", in reply to " (by) } }
            p.small { code { (emission_message(emission)) } " " span.frame { (frame) } }
            (bits(frame, &marked, 0, false))
            @if let Some(unsettled) = emission.unsettled { p.soft { "Not settled: " (unsettled) } }
            @if marked.is_empty() { p.soft { "No setting decides a bit of it." } } @else {
                (wide("Fields that the install decides", &html! {
                    table.fields {
                        thead { tr {
                            th.thin scope="col" { "mark" } th.thin scope="col" { "bits" }
                            th scope="col" { "field and meaning" } th scope="col" { "decided by" }
                        } }
                        tbody {
                            @for (at, (decision, decided)) in all.iter().enumerate() {
                                tr data-settings=(joined(decision.settings, " ")) {
                                    td { span class=(format!("key f{}", at % 6)) { (letter(at)) } }
                                    td.bits {
                                        (decision.span)
                                        @if let Some(span) = message_bits(frame, decision.span) { span.soft { " message " (span) } }
                                        br; (bit_text(frame, decision.span))
                                    }
                                    th scope="row" {
                                        code { (decision.field) } ": " (decision.expected().words())
                                        @if !decided { span.about { (used_words(decision)) } }
                                    }
                                    td { (settings(decision)) }
                                }
                            }
                            @if emission.address_in_parity {
                                tr data-settings=(SettingId::Address) {
                                    td { span class=(format!("key f{}", all.len() % 6)) { (letter(all.len())) } }
                                    td.bits { (Span::new(frame.length() - 23, frame.length())) br; (format!("{:06X}h", frame.overlay())) }
                                    th scope="row" { code { "address" } ": XORed onto the parity" }
                                    td { code { (SettingId::Address) } }
                                }
                            }
                        }
                    }
                }))
            }
        }
    }
}
