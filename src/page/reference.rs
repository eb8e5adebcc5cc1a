//! Reference: what there is, one message or table at a time, terms, and places of a word; the same as `explain --list`.

use super::{Refusal, drawn, text};
use crate::present::glossary;
use crate::present::html::poster::poster;
use crate::present::reference::{contents, named};
use crate::present::text::at_width;
use maud::{Markup, html};
use serde_json::Value;

/// The width of a table on the page; it can be moved sideways where there is less room.
const WIDTH: usize = 80;

fn index() -> Markup {
    html! {
        @for (title, names) in contents() {
            h2 { (title) }
            ul.bare {
                @for (name, words) in names { li { a.mono href=(format!("?list={name}#reference")) { (name) } " " (words) } }
            }
        }
        h2 { "terms" }
        @for term in glossary::TERMS { p { strong { (term.name) } ": " (term.about) } }
        h2 { "poster: every message as a row of its bits" }
        (poster())
    }
}

/// What is found by a name or a word; without one, the index.
pub fn reference(request: &Value) -> Result<Value, Refusal> {
    let name = text(request, "name").trim();
    if name.is_empty() {
        return Ok(drawn(index()));
    }
    let (term, found) = (glossary::find(name), at_width(WIDTH, || named(name)));
    if term.is_none() && found.is_none() {
        return Err(format!(
            "{name:?}: no message, table, field or term has this in its name; the empty field shows what there is"
        ));
    }
    Ok(drawn(html! {
        @if let Some(term) = term { p { strong { (term.name) } ": " (term.about) } }
        @if let Some(found) = found { pre.small tabindex="0" { (found) } }
    }))
}
