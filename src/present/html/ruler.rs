//! A frame on paper: its bits, every field with its code and meaning, and what the fields say together.

use super::field::{Subject, capital, plain};
use super::{Marked, bits, frame_link, letter, wide};
use crate::code::{Version, Worked, source_in_full};
use crate::downlink::{Decoded, Placed};
use crate::frame::{Frame, Span};
use crate::onair::{Decision, Emission, TRANSMISSIONS};
use crate::present::by_version::{Field, MeaningsByVersion, in_other_versions};
use crate::present::json::emission_message;
use crate::present::ruler::{address_and_parity, bit_text, meaning_of, register_remarks};
use crate::present::text::used_words;
use crate::present::track_output;
use crate::present::worked;
use crate::profile::{SettingId, joined};
use crate::track::{Observation, VersionInForce};
use maud::{Markup, html};

fn named(fields: &[Field]) -> Markup {
    html! {
        @for (name, meaning) in fields { dt { (plain(name)) } dd { (meaning.words()) } }
    }
}

fn marks(rows: &[Placed]) -> Vec<Marked<'_>> {
    rows.iter().map(|placed| Marked { span: placed.span, key: placed.key, settings: &[] }).collect()
}

fn swatch(at: usize, key: &str) -> Markup {
    html! { span class=(format!("key {}", Subject::of(key).class())) { (letter(at)) } }
}

/// The code, or nothing for a row of more bits than anybody reads as a number.
fn code_of(placed: &Placed) -> Option<String> {
    match placed.span.width() {
        1..=17 => Some(placed.code.to_string()),
        _ => None,
    }
}

/// Every field: its mark, bits, name and meaning. `pressed` makes the names buttons that choose the field.
fn table(frame: &Frame, rows: &[Placed], version: VersionInForce, pressed: bool) -> Markup {
    wide(
        "Fields of the frame",
        &html! {
            table.fields {
                caption { "Fields" }
                thead { tr {
                    th.thin scope="col" { "mark" } th.thin scope="col" { "bits" }
                    th scope="col" { "field" } th.code scope="col" { "code" } th scope="col" { "meaning" }
                } }
                tbody {
                    @for (at, placed) in rows.iter().enumerate() {
                        tr data-field=[pressed.then_some(at)] class=[placed.row.is_reserved().then_some("is-kept")] {
                            td { (swatch(at, placed.key)) }
                            td.bits { (placed.span) }
                            th scope="row" { @if pressed { button.plain type="button" { (plain(placed.key)) } } @else { (plain(placed.key)) } }
                            td.bits.code { @match code_of(placed) { Some(code) => { (code) } None => { (bit_text(frame, placed.span)) } } }
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
            strong { (capital(decoded.title())) }
            ": " (decoded.frame.length()) " bits, downlink format " (decoded.frame.downlink_format())
            @if decoded.title() != decoded.envelope.title { " (" (decoded.envelope.title) ")" }
        }
    }
}

/// What the same bits say in several versions, beside one another.
fn by_version(title: &str, versions: &[(Version, Vec<Field>)]) -> Markup {
    let mut names: Vec<&str> = Vec::new();
    for (name, _) in versions.iter().flat_map(|(_, fields)| fields) {
        if !names.contains(name) {
            names.push(name);
        }
    }
    html! {
        @if !versions.is_empty() {
            (wide(title, &html! { table {
                caption { (title) }
                thead { tr { th scope="col" { "field" } @for (version, _) in versions { th scope="col" { "version " (version.number()) } } } }
                tbody { @for name in names { tr {
                    th scope="row" { (plain(name)) }
                    @for (_, fields) in versions {
                        td { @match fields.iter().find(|(own, _)| *own == name) { Some((_, meaning)) => { (meaning.words()) } None => { "\u{2013}" } } }
                    }
                } } }
            } }))
        }
    }
}

/// What more is to be said of a frame than its fields.
fn further(decoded: &Decoded, observation: &Observation) -> Markup {
    let reading = MeaningsByVersion::new(decoded, observation.version);
    let own: Vec<&str> = decoded.derived().map(|(name, ..)| name).collect();
    let others = in_other_versions(decoded, observation.version);
    let together: Vec<_> = reading.fields.iter().filter(|(name, _)| own.contains(name)).copied().collect();
    html! {
        @if !together.is_empty() {
            h2 { "Taken together" }
            dl.facts { (named(&together)) }
        }
        (by_version("The version in force is not known; in each version these bits also say", &reading.by_version))
        (by_version("In another version of the standard the same bits would say", &others))
        @if let Some(note) = &reading.note { p.soft { (note) } }
        @for line in track_output::words(observation, 6) { p { (line) } }
    }
}

/// The whole explanation of a frame. `wrong` has ones where bits differ from what they should be.
pub fn explanation(decoded: &Decoded, observation: &Observation, wrong: u128) -> Markup {
    let frame = &decoded.frame;
    let rows = decoded.rows();
    html! {
        (lead(decoded))
        p { (address_and_parity(decoded, observation)) }
        @for remark in register_remarks(decoded) { p.small { (remark) } }
        (bits(frame, &marks(&rows), wrong, false))
        (table(frame, &rows, observation.version, false))
        (further(decoded, observation))
    }
}

/// A frame to look at: its ruler, its table, a card for each field, and what more there is to say.
#[derive(Debug)]
pub struct LookedAt {
    /// What it is, and how its parity stands.
    pub lead: Markup,
    /// The bits, each a button that chooses its field.
    pub ruler: Markup,
    /// The fields, each a button that chooses it.
    pub table: Markup,
    /// A card for each field, in the order of the table.
    pub cards: Vec<Markup>,
    /// Everything else.
    pub further: Markup,
}

/// The pieces of a frame that is looked at field by field.
pub fn looked_at(decoded: &Decoded, observation: &Observation) -> LookedAt {
    let frame = &decoded.frame;
    let rows = decoded.rows();
    let steps = worked::read(decoded, observation);
    let known: Vec<&str> = rows.iter().map(|placed| placed.key).collect();
    LookedAt {
        lead: html! {
            (lead(decoded))
            p { (address_and_parity(decoded, observation)) }
            @for remark in register_remarks(decoded) { p.small { (remark) } }
        },
        ruler: bits(frame, &marks(&rows), 0, true),
        table: table(frame, &rows, observation.version, true),
        cards: rows.iter().enumerate().map(|(at, placed)| card(decoded, observation, at, placed, &steps)).collect(),
        further: html! {
            (further(decoded, observation))
            @for Worked { title, steps: lines } in steps.iter().filter(|one| !known.iter().any(|key| is_of(&one.title, key)) && one.title != "parity") {
                details { summary { "Arithmetic of: " (plain(title)) }
                    ol.steps { @for line in lines { li { (line) } } }
                }
            }
        },
    }
}

/// Whether the worked steps with this title are of this field, in whichever version.
fn is_of(title: &str, key: &str) -> bool {
    title.strip_prefix(key).is_some_and(|rest| rest.is_empty() || rest.starts_with(','))
}

/// The settings of an install that are behind a field of such a message.
fn settings_behind(decoded: &Decoded, placed: &Placed) -> Vec<SettingId> {
    let table = decoded.payload.map_or(decoded.envelope, |payload| payload.table);
    let sent = || TRANSMISSIONS.iter().filter(|transmission| transmission.table() == table);
    let behind = |setting: &SettingId| {
        sent().any(|transmission| {
            transmission.places(*setting).any(|(row, span, _)| span == placed.span && row.key == placed.row.key)
        })
    };
    SettingId::ALL.iter().copied().filter(behind).collect()
}

fn card(decoded: &Decoded, observation: &Observation, at: usize, placed: &Placed, steps: &[Worked]) -> Markup {
    let frame = &decoded.frame;
    let is_parity = Subject::of(placed.key) == Subject::Parity;
    let behind = settings_behind(decoded, placed);
    let worked = || steps.iter().filter(|one| is_of(&one.title, placed.key) || is_parity && one.title == "parity");
    let sources: Vec<String> = placed.row.source.split_whitespace().filter_map(source_in_full).collect();
    html! {
        p.soft.where { "Bits " (placed.span) @if let Some(span) = placed.message_span { " \u{b7} message bits " (span) } }
        h2 { (swatch(at, placed.key)) " " (plain(placed.key)) }
        div.big role="group" aria-label="Press a bit to change it" {
            @for bit in placed.span.first..=placed.span.last {
                @let value = frame.field(Span::new(bit, bit));
                button type="button" class=(format!("flip {}", Subject::of(placed.key).class())) data-flip=(bit) aria-label=(format!("{value}, change bit {bit}")) { (value) }
            }
        }
        p.say { (meaning_of(placed, observation.version)) }
        dl.facts {
            @if let Some(code) = code_of(placed) { dt { "code" } dd { (code) } }
            dt { "what it is" } dd { (placed.row.about) }
            dt { "rule" } dd { (placed.row.rule) }
            @if !behind.is_empty() { dt { "set by" } dd { @for (at, setting) in behind.iter().enumerate() { @if at > 0 { ", " } (super::setting_link(*setting, true)) } } }
        }
        @if worked().next().is_some() {
            details open[!is_parity] { summary { "How it is worked out" }
                @for Worked { title, steps: lines } in worked() {
                    @if worked().count() > 1 { p.small { (plain(title.split_once(", ").map_or(title, |(_, version)| version))) } }
                    ol.steps { @for line in lines { li { (line) } } }
                }
            }
        }
        @if !sources.is_empty() { p.small.soft { "Source: " (sources.join("; ")) @if let Some(memory) = placed.row.memory() { " (" (memory) ")" } } }
    }
}

/// How many changed fields are named.
const MOST_TOLD: usize = 6;

/// What a change did: in bits, in fields, in meaning.
pub fn change(before: &Decoded, after: &Decoded, observation: &Observation) -> Option<Markup> {
    if before.frame == after.frame || before.frame.length() != after.frame.length() {
        return None;
    }
    let length = after.frame.length();
    let differing = before.frame.pattern() ^ after.frame.pattern();
    let flipped: Vec<u8> = (1..=length - 24).filter(|bit| differing >> (length - bit) & 1 == 1).collect();
    let parity_changed = differing & 0xFF_FFFF != 0;
    let (old, new) = (before.rows(), after.rows());
    let told: Vec<(&Placed, &Placed)> = new
        .iter()
        .filter(|placed| Subject::of(placed.key) != Subject::Parity)
        .filter_map(|placed| {
            Some((old.iter().find(|other| (other.key, other.span) == (placed.key, placed.span))?, placed))
        })
        .filter(|(old, new)| old.code != new.code)
        .collect();
    let holds = |decoded: &Decoded| decoded.parity() != crate::downlink::Parity::Invalid;
    Some(html! {
        p { strong {
            @match flipped.as_slice() {
                [] => { "The parity was changed." }
                [bit] => { "Bit " (bit) ": " (before.frame.field(Span::new(*bit, *bit))) " to " (after.frame.field(Span::new(*bit, *bit))) "." }
                several => { (several.len()) " bits changed: " (several.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")) "." }
            }
        } }
        @if before.title() != after.title() { p { "The message was: " (before.title()) ". It is now: " (after.title()) "." } }
        @for (old, new) in told.iter().take(MOST_TOLD) {
            p { (plain(new.key)) ": " (meaning_of(old, observation.version)) " became " strong { (meaning_of(new, observation.version)) } "." }
        }
        @if told.len() > MOST_TOLD { p { "And " (told.len() - MOST_TOLD) " more fields." } }
        @match (holds(before), holds(after)) {
            (true, false) => { p { "The parity no longer holds: set it, or undo." } }
            (false, true) => { p { "The parity holds again." } }
            (true, true) if parity_changed && !flipped.is_empty() => { p { "The parity was set with it." } }
            _ => {}
        }
    })
}

fn message_bits(frame: &Frame, span: Span) -> Option<Span> {
    (frame.length() == 112 && span.first > 32 && span.last <= 88).then(|| Span::new(span.first - 32, span.last - 32))
}

/// One frame of an install: which bits the install decides, and by which setting.
pub fn emission(emission: &Emission, on_page: bool) -> Markup {
    let frame = &emission.frame;
    let all: Vec<(&Decision, bool)> = emission
        .decisions
        .iter()
        .map(|decision| (decision, true))
        .chain(emission.used.iter().map(|decision| (decision, false)))
        .collect();
    let mut marked: Vec<Marked<'_>> = all
        .iter()
        .map(|(decision, _)| Marked { span: decision.span, key: decision.field, settings: decision.settings })
        .collect();
    if emission.address_in_parity {
        let length = frame.length();
        marked.push(Marked { span: Span::new(length - 23, length), key: "address", settings: &[SettingId::Address] });
    }
    let title = if emission.address_in_parity { emission.envelope.title } else { emission.table.title };
    let key = format!("{title}/{}/{}", emission.when.key(), emission.reply_to.unwrap_or_default());
    let fields = wide(
        "Fields that the install decides",
        &html! {
            table.fields {
                thead { tr {
                    th.thin scope="col" { "mark" } th.thin scope="col" { "bits" }
                    th scope="col" { "field and meaning" } th scope="col" { "decided by" }
                } }
                tbody {
                    @for (at, (decision, decided)) in all.iter().enumerate() {
                        tr data-settings=(joined(decision.settings, " ")) {
                            td { (swatch(at, decision.field)) }
                            td.bits {
                                (decision.span)
                                @if let Some(span) = message_bits(frame, decision.span) { span.soft.in-message { " message " (span) } }
                                br; (bit_text(frame, decision.span))
                            }
                            th scope="row" {
                                (plain(decision.field)) ": " (decision.expected().words())
                                @if !decided { span.about { (used_words(decision)) } }
                            }
                            td { @for (at, setting) in decision.settings.iter().enumerate() { @if at > 0 { br; } (super::setting_link(*setting, on_page)) } }
                        }
                    }
                    @if emission.address_in_parity {
                        tr data-settings=(SettingId::Address) {
                            td { (swatch(all.len(), "address")) }
                            td.bits { (Span::new(frame.length() - 23, frame.length())) br; (format!("{:06X}h", frame.overlay())) }
                            th scope="row" { "Address: XORed onto the parity" }
                            td { (super::setting_link(SettingId::Address, on_page)) }
                        }
                    }
                }
            }
        },
    );
    html! {
        section.emission data-frame=(frame) data-key=(key) data-when=(emission.when.key()) {
            h3 { (capital(title)) ", " (emission.when.words()) @if let Some(by) = emission.reply_to { ", in reply to " (by) } }
            p.small { (frame_link(frame, on_page)) @if !on_page { " " code { (emission_message(emission)) } } }
            (bits(frame, &marked, 0, false))
            @if let Some(unsettled) = emission.unsettled { p.soft { "Not settled: " (unsettled) } }
            @if marked.is_empty() { p.soft { "No setting decides a bit of it." } }
            @else if on_page { details { summary { "Its " (marked.len()) " fields" } (fields) } }
            @else { (fields) }
        }
    }
}
