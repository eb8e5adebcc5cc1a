//! Guide: the chapters that `squitterlab guide` prints, drawn for the page.

use super::{Refusal, drawn, text};
use crate::guide::{CHAPTERS, chapter, place};
use crate::present::markdown::markup;
use maud::html;
use serde_json::Value;

/// What the names of headings have in front of them on the page, which has names of its own.
const PREFIX: &str = "guide-";

/// A chapter, the list of all above it.
pub fn guide(request: &Value) -> Result<Value, Refusal> {
    let name = text(request, "chapter");
    let shown = chapter(name).ok_or_else(|| format!("there is no chapter {name:?}; choose one of the list"))?;
    Ok(drawn(html! {
        nav aria-label="Chapters" { ul.lessons {
            @for each in CHAPTERS { li {
                a href=(address(each.name, None)) title=(each.about) aria-current=[(each.name == shown.name).then_some("true")] { (each.name) }
            } }
        } }
        article.guide { (markup(shown.text, PREFIX, &|link| place(link).map(|(chapter, heading)| address(chapter.name, heading)))) }
    }))
}

fn address(chapter: &str, heading: Option<&str>) -> String {
    let heading = heading.map(|heading| format!("&heading={PREFIX}{heading}")).unwrap_or_default();
    format!("?chapter={chapter}{heading}#guide")
}
