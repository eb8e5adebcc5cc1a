//! Learn: a lesson in parts, and its picture for the numbers that are moved.

use super::{Refusal, text};
use crate::code::decimals;
use crate::downlink::Decoded;
use crate::frame::Span;
use crate::learn::{KINDS, LESSONS, Lesson};
use crate::present::html::{self, Marked, lesson as drawn};
use crate::present::text::counted;
use maud::html;
use serde_json::{Value, json};

/// What lessons there are.
#[expect(clippy::unnecessary_wraps, reason = "questions have one signature")]
pub fn lessons(_: &Value) -> Result<Value, Refusal> {
    let all: Vec<Value> = LESSONS.iter().map(|lesson| json!({"name": lesson.name, "title": lesson.title})).collect();
    Ok(json!({"lessons": all}))
}

fn named(request: &Value) -> Result<&'static Lesson, Refusal> {
    let name = text(request, "name");
    LESSONS
        .iter()
        .find(|lesson| lesson.name == name)
        .ok_or_else(|| format!("there is no lesson {name:?}; choose one of the list"))
}

/// The parts of a lesson.
pub fn lesson(request: &Value) -> Result<Value, Refusal> {
    let lesson = named(request)?;
    let number = LESSONS.iter().position(|other| other.name == lesson.name).map_or(0, |at| at + 1);
    let work = html! {
        details { summary { "The picture as text" } pre.small tabindex="0" { ((lesson.picture)()) } }
        @for (title, work) in [("From meaning to bits", lesson.write), ("From bits to meaning", lesson.read)] {
            h3 { (title) }
            (html::worked(&work()))
        }
    };
    let frame = lesson.frame();
    let (first, last) = lesson.bits;
    let rows = Decoded::new(frame).rows();
    let marked: Vec<Marked<'_>> = rows
        .iter()
        .filter(|placed| placed.span.first <= last && first <= placed.span.last)
        .map(|placed| Marked { span: placed.span, key: placed.key, settings: &[] })
        .collect();
    let real = html! {
        h3 { "In a real frame (an invented aircraft)" }
        p.frame { (frame) }
        (html::bits(&frame, &marked, 0, false))
        p { "The lesson is about frame bits " (Span::new(first, last)) ". "
            a href=(format!("?frame={frame}#bits")) { "Open it in Bits" } ", or see "
            a href=(format!("?frame={frame}#steps")) { "its arithmetic in Steps" } "." }
    };
    let moved: Vec<Value> = drawn::moved(lesson.name)
        .iter()
        .map(|moved| {
            json!({"label": moved.label, "least": moved.least, "most": moved.most, "step": moved.step, "begin": moved.begin})
        })
        .collect();
    let level = KINDS.iter().find(|kind| kind.name == lesson.exercise).map(|kind| kind.level);
    Ok(json!({
        "name": lesson.name, "title": format!("Lesson {number}: {}", lesson.title), "begin": drawn::idea(lesson).into_string(), "moved": moved, "work": work.into_string(),
        "frame": real.into_string(), "exercise": lesson.exercise, "level": level,
    }))
}

/// The picture of a lesson, for these numbers.
pub fn picture(request: &Value) -> Result<Value, Refusal> {
    let lesson = named(request)?;
    let wanted = drawn::moved(lesson.name);
    let given = request.get("values").and_then(Value::as_array).map(Vec::as_slice).unwrap_or_default();
    let values: Vec<f64> = given.iter().filter_map(Value::as_f64).collect();
    if values.len() != wanted.len() || given.len() != wanted.len() {
        return Err(format!("this picture takes {}", counted(wanted.len(), "number")));
    }
    if let Some(out) = wanted.iter().zip(&values).find(|(moved, value)| !(moved.least..=moved.most).contains(value)) {
        let (moved, value) = out;
        let [least, most, value] = [moved.least, moved.most, *value].map(|number| decimals(number, 4));
        return Err(format!("{}: {value} is outside {least} to {most}", moved.label));
    }
    let picture =
        drawn::picture(lesson, &values).ok_or_else(|| "this cannot be drawn; take other numbers".to_owned())?;
    Ok(super::drawn(picture))
}
