//! A poster: every message and short frame as a row of its 56 bits, the same field in the same colour everywhere.

use super::field::{Subject, plain};
use crate::code::table::Table;
use crate::downlink::tables;
use maud::{Markup, html};

/// The subjects with what they are about.
const SUBJECTS: [Subject; 11] = [
    Subject::Envelope,
    Subject::Address,
    Subject::Identity,
    Subject::Position,
    Subject::Height,
    Subject::Motion,
    Subject::Quality,
    Subject::Install,
    Subject::Other,
    Subject::Reserved,
    Subject::Parity,
];

/// The poster; each message opens its part of the reference.
pub fn poster() -> Markup {
    let mut rows: Vec<&'static Table> = tables();
    rows.retain(|table| table.bits == 56 && !table.message.starts_with("register_"));
    html! {
        p { "Fields are about: " @for subject in SUBJECTS { span.poster-key.(subject.class()) { (about(subject)) } " " } }
        div.poster tabindex="0" role="region" aria-label="Every message as a row of its bits" {
            table {
                thead { tr { th scope="col" { "Bit" } @for bit in 1..=56u8 { th scope="col" { (bit) } } } }
                tbody { @for table in rows { tr {
                    th scope="row" { a href=(format!("?list={}#reference", table.title)) { (table.title) } }
                    @for row in table.rows {
                        td colspan=(row.span.width()) class=(Subject::of(row.key).class()) title=(format!("{}, bits {}", plain(row.key), row.span)) {
                            @if row.span.width() > 4 && !row.is_reserved() { (plain(row.key)) }
                        }
                    }
                } } }
            }
        }
    }
}

const fn about(subject: Subject) -> &'static str {
    match subject {
        Subject::Envelope => "the message itself",
        Subject::Address => "address",
        Subject::Identity => "identity",
        Subject::Position => "place",
        Subject::Height => "height",
        Subject::Motion => "motion",
        Subject::Quality => "quality",
        Subject::Install => "the unit",
        Subject::Other => "other",
        Subject::Reserved => "reserved",
        Subject::Parity => "parity",
    }
}
