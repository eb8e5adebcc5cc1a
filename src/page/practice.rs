//! Practice: exercises of the lessons' levels, judged with a reason, and a sheet of them to print.

use super::{Refusal, text};
use crate::frame::Frame;
use crate::learn::exercise::{INVENTED, WORTH, points, sheet_text};
use crate::learn::{self, Exercise, Judged, KINDS, LESSONS};
use crate::present::html;
use maud::{Markup, html};
use serde_json::{Value, json};

/// The levels with their kinds.
#[expect(clippy::unnecessary_wraps, reason = "questions have one signature")]
pub fn kinds(_: &Value) -> Result<Value, Refusal> {
    let levels: Vec<Value> = (1u8..)
        .zip(LESSONS)
        .map(|(level, lesson)| {
            let kinds: Vec<&str> = KINDS.iter().filter(|kind| kind.level == level).map(|kind| kind.name).collect();
            json!({"level": level, "title": lesson.title, "kinds": kinds})
        })
        .collect();
    Ok(json!({"levels": levels, "invented": INVENTED}))
}

/// Seed, level and kind of the wanted exercise.
struct Wanted<'a> {
    seed: u64,
    level: Option<u8>,
    kind: Option<&'a str>,
}

impl<'a> Wanted<'a> {
    fn of(request: &'a Value) -> Result<Self, Refusal> {
        let seed = text(request, "seed").parse().map_err(|_| "a seed is a whole number, such as 7".to_owned())?;
        let level = match text(request, "level") {
            "" => None,
            level => Some(
                level
                    .parse()
                    .ok()
                    .filter(|level| KINDS.iter().any(|kind| kind.level == *level))
                    .ok_or_else(|| format!("{level:?} is not a level; levels are 1 to {}", LESSONS.len()))?,
            ),
        };
        let kind = Some(text(request, "kind")).filter(|kind| !kind.is_empty());
        if let Some(name) = kind {
            let known = KINDS.iter().find(|kind| kind.name == name);
            let known =
                known.ok_or_else(|| format!("there is no kind {name:?} of exercise; choose one of the list"))?;
            if level.is_some_and(|level| level != known.level) {
                return Err(format!("{name} is of level {}; choose that level, or any", known.level));
            }
        }
        Ok(Self { seed, level, kind })
    }

    fn exercise(&self) -> Result<Exercise, Refusal> {
        learn::exercise(self.seed, self.level, self.kind)
            .ok_or_else(|| format!("seed {} makes no exercise of this kind; take another seed", self.seed))
    }
}

/// What is given: a line each, and below a frame its bits; a frame of a capture opens in Bits.
fn given(lines: &[String]) -> Markup {
    let captured = |line: &str| -> Option<(String, Frame)> {
        let (time, frame) = line.trim().rsplit_once(' ')?;
        time.trim().parse::<f64>().ok()?;
        Some((time.to_owned(), frame.parse().ok()?))
    };
    html! {
        @for line in lines {
            @if let Ok(frame) = line.parse::<Frame>() {
                p.frame { (frame) } (html::bits(&frame, &[], 0, false))
            } @else if let Some((time, frame)) = captured(line) {
                p.given { (time) " " (html::frame_link(&frame, true)) }
            } @else {
                p.given { (line) }
            }
        }
    }
}

/// The task of an exercise.
pub fn exercise(request: &Value) -> Result<Value, Refusal> {
    let made = Wanted::of(request)?.exercise()?;
    let task = html! {
        p.say { (made.task) }
        (given(&made.given))
    };
    Ok(json!({
        "level": made.level, "kind": made.kind, "worth": WORTH, "hints": made.hints, "html": task.into_string(),
    }))
}

/// How often something was done before; at most as often as it makes a difference.
fn count(request: &Value, key: &str) -> u32 {
    request.get(key).and_then(Value::as_u64).map_or(0, |count| u32::try_from(count).unwrap_or(WORTH))
}

/// Whether an answer is right and what it is worth, or why it is wrong.
pub fn judge(request: &Value) -> Result<Value, Refusal> {
    let made = Wanted::of(request)?.exercise()?;
    Ok(match made.judge(text(request, "answer")) {
        Judged::Right => {
            let points = points(count(request, "hints"), count(request, "tries"));
            json!({"right": true, "points": points, "html": solved(&made).into_string()})
        }
        Judged::Wrong(why) => json!({"right": false, "why": why}),
    })
}

fn solved(made: &Exercise) -> Markup {
    let frames = made.given.iter().filter_map(|line| line.split_whitespace().last()?.parse::<Frame>().ok());
    html! {
        p { "Answer: " strong.mono { (made.answer.shown()) } }
        (html::worked(&made.solution))
        @for frame in frames { p { "Look at it in Bits: " (html::frame_link(&frame, true)) } }
    }
}

/// The answer, and the way to it.
pub fn solution(request: &Value) -> Result<Value, Refusal> {
    let made = Wanted::of(request)?.exercise()?;
    Ok(json!({"answer": made.answer.shown(), "html": solved(&made).into_string()}))
}

/// Exercises and their solutions as a text to print: the same that `practice --sheet` prints.
pub fn sheet(request: &Value) -> Result<Value, Refusal> {
    let wanted = Wanted::of(request)?;
    let count = text(request, "count").parse().ok().filter(|count| (1..=50).contains(count));
    let count = count.ok_or_else(|| "a sheet has 1 to 50 exercises".to_owned())?;
    Ok(json!({"text": sheet_text(wanted.seed, wanted.level, wanted.kind, count)}))
}
