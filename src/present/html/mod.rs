//! HTML: bit rulers, tables, charts and the record; the lab page draws with the same pieces.
//!
//! All text goes through the templates' escaping, so that markup in a profile or a capture shows as text.

pub mod card;
mod chart;
pub mod readback;
pub mod record;
mod ruler;
pub mod steps;

pub use ruler::{emission, evidence, explanation};

use crate::frame::{Frame, Span};
use crate::profile::{SettingId, joined};
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
    /// What they are called.
    pub key: &'a str,
    /// How they are shown.
    pub kind: Kind,
    /// The settings behind them.
    pub settings: &'a [SettingId],
}

/// How bits are shown in a ruler.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A field like any other.
    Field,
    /// Bits that the standard keeps.
    Reserved,
}

/// The letter of the field that stands at this place in the list.
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
        let (class, mark, key, settings) = match found {
            None => ("free".to_owned(), if fields.is_empty() { '\u{a0}' } else { '\u{b7}' }, "", String::new()),
            Some((at, field)) => {
                let class = match field.kind {
                    Kind::Field => format!("f{}", at % 6),
                    Kind::Reserved => "kept".to_owned(),
                };
                (class, letter(at), field.key, joined(field.settings, " "))
            }
        };
        let class = format!("bit {class}{}", if is_wrong { " wrong" } else { "" });
        let mark = if is_wrong { '\u{2260}' } else { mark };
        if pressed {
            let label = format!("bit {bit}, {key}, {value}");
            html! { button type="button" class=(class) data-bit=(bit) aria-label=(label) title=(label) tabindex=(if bit == 1 { "0" } else { "-1" }) { (value) i { (mark) } } }
        } else {
            html! { span class=(class) data-bit=(bit) data-settings=[(!settings.is_empty()).then_some(settings)] { (value) i { (mark) } } }
        }
    };
    html! {
        div.ruler role="group" aria-label=(format!("{length} bits of the frame")) {
            @for (at, octet) in (0u8..).zip(frame.octets()) {
                div.octet {
                    span.at {
                        "bit " (at * 8 + 1)
                        @if length == 112 && (4..11).contains(&at) { " \u{b7} ME " (at * 8 - 31) }
                    }
                    span.digit { (format!("{:X}", octet >> 4)) }
                    span.digit { (format!("{:X}", octet & 15)) }
                    @for bit in at * 8 + 1..=at * 8 + 8 { (cell(bit)) }
                }
            }
        }
    }
}
