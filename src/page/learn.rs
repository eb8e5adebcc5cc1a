//! Learn: a lesson in parts, and its picture for the numbers that are moved.

use super::{Refusal, text};
use crate::code::decimals;
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
    let work = html! {
        details { summary { "The picture as text" } pre.small tabindex="0" { ((lesson.picture)()) } }
        @for (title, work) in [("From meaning to bits", lesson.write), ("From bits to meaning", lesson.read)] {
            h3 { (title) }
            (html::worked(&work()))
        }
    };
    let real = html! {
        h3 { (lesson.frames_title()) }
        @for real in lesson.frames {
            @let (frame, parts) = (real.frame(), real.parts());
            @let marked: Vec<Marked<'_>> = parts.iter().map(|part| Marked { span: part.span, key: part.key, settings: &[] }).collect();
            p.frame { (frame) }
            (html::bits(&frame, &marked, 0, false))
            ul.bare { @for part in &parts {
                li { "bits " (part.span) ", " span.mono { (part.bits) } " " strong { (part.key.replace('_', " ")) } ": " (part.words) }
            } }
            p { a href=(format!("?frame={frame}#bits")) { "Open " span.mono { (frame) } " in Bits" } ", or see "
                a href=(format!("?frame={frame}#steps")) { "its arithmetic in Steps" } "." }
        }
    };
    let moved: Vec<Value> = drawn::moved(lesson.name)
        .iter()
        .map(|moved| {
            json!({"label": moved.label, "least": moved.least, "most": moved.most, "step": moved.step, "begin": moved.begin})
        })
        .collect();
    let level = KINDS.iter().find(|kind| kind.name == lesson.exercise).map(|kind| kind.level);
    Ok(json!({
        "name": lesson.name, "title": format!("Lesson {}: {}", lesson.number(), lesson.title), "begin": drawn::idea(lesson).into_string(), "moved": moved, "work": work.into_string(),
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
