//! HTML: bit rulers, tables, charts and the record; the lab page draws with the same pieces.
//!
//! All text goes through the templates' escaping, so that markup in a profile or a capture shows as text.

pub mod card;
mod chart;
pub mod field;
pub mod lesson;
pub mod poster;
pub mod readback;
pub mod record;
mod ruler;
pub mod steps;
pub mod watch;

pub use ruler::{LookedAt, change, emission, explanation, looked_at};

use crate::code::Worked;
use crate::frame::{Frame, Span};
use crate::profile::{SettingId, joined};
use field::{Subject, plain};
use maud::{Markup, html};

/// The style that every piece is drawn with.
pub const STYLE: &str = include_str!("style.css");

/// A table that can be scrolled sideways, by keyboard too, where the paper is narrow.
pub fn wide(label: &str, table: &Markup) -> Markup {
    html! { div.scroll role="group" aria-label=(label) tabindex="0" { (table) } }
}

/// A span of bits, and what is to be said of it in a ruler.
#[derive(Clone, Copy, Debug)]
pub struct Marked<'a> {
    /// Frame bits.
    pub span: Span,
    /// The key of the field.
    pub key: &'a str,
    /// The settings behind it.
    pub settings: &'a [SettingId],
}

/// The letter of the field at this place in the list.
pub fn letter(at: usize) -> char {
    ('a'..='z').chain('A'..='Z').cycle().nth(at).unwrap_or('?')
}

/// The bits of a frame, octet by octet. `wrong` has ones where a bit is not what it should be; `pressed` makes every bit
/// a button.
pub fn bits(frame: &Frame, fields: &[Marked<'_>], wrong: u128, pressed: bool) -> Markup {
    let length = frame.length();
    let cell = |bit: u8| -> Markup {
        let value = frame.field(Span::new(bit, bit));
        let found = fields.iter().enumerate().find(|(_, field)| field.span.first <= bit && bit <= field.span.last);
        let is_wrong = wrong >> (length - bit) & 1 == 1;
        let (class, mark, settings) = match found {
            None => ("free", if fields.is_empty() { '\u{a0}' } else { '\u{b7}' }, String::new()),
            Some((at, field)) => (Subject::of(field.key).class(), letter(at), joined(field.settings, " ")),
        };
        let starts = found.is_some_and(|(_, field)| field.span.first == bit);
        let class =
            format!("bit {class}{}{}", if starts { " starts" } else { "" }, if is_wrong { " wrong" } else { "" });
        let mark = if is_wrong { '\u{2260}' } else { mark };
        if pressed {
            let (at, key) = found.map_or((0, ""), |(at, field)| (at, field.key));
            let label = format!("{value}, bit {bit}, {}", plain(key));
            html! { button type="button" class=(class) data-bit=(bit) data-field=(at) data-mark=(mark) aria-label=(label) tabindex=(if bit == 1 { "0" } else { "-1" }) { (value) } }
        } else {
            html! { span class=(class) data-bit=(bit) data-settings=[(!settings.is_empty()).then_some(settings)] { (value) i { (mark) } } }
        }
    };
    html! {
        div.ruler role="group" aria-label=(format!("{length} bits of the frame")) {
            @for (at, octet) in (0u8..).zip(frame.octets()) {
                div.octet {
                    span.at {
                        (at * 8 + 1)
                        @if length == 112 && (4..11).contains(&at) { span.in-message { " message " (at * 8 - 31) } }
                    }
                    span.digit { (format!("{:X}", octet >> 4)) }
                    span.digit { (format!("{:X}", octet & 15)) }
                    @for bit in at * 8 + 1..=at * 8 + 8 { (cell(bit)) }
                }
            }
        }
    }
}

/// A link that opens a frame in Bits, where there is a page around it; else the frame alone.
pub fn frame_link(frame: &Frame, on_page: bool) -> Markup {
    html! {
        @if on_page { a.frame href=(format!("?frame={frame}#bits")) title="Open this frame in Bits" { (frame) } } @else { span.frame { (frame) } }
    }
}

/// A link to a setting of the form, where there is a page around it; else its name alone.
pub fn setting_link(setting: SettingId, on_page: bool) -> Markup {
    html! {
        @if on_page { a href=(format!("?setting={}#install", setting.id())) { (setting.name()) } } @else { (setting.name()) }
    }
}

/// Arithmetic, a list for each of its parts.
pub fn worked(all: &[Worked]) -> Markup {
    html! {
        @for Worked { title, steps } in all {
            p.worked { strong { (title.replace('_', " ")) } }
            ol.steps { @for step in steps { li.row[step.is_row()] { (step) } } }
        }
    }
}
