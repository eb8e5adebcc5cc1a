//! Practice: a frame or a faulty install to work out. A seed gives the same exercise again.
//!
//! The install behind the exercises is the invented one of the demo.

use super::{Refusal, text};
use crate::code::{Value as Said, Version};
use crate::compare::Install;
use crate::downlink::Decoded;
use crate::frame::Frame;
use crate::onair::{Emission, Flight, Random, emissions};
use crate::present::html;
use crate::profile::mistake::{MISTAKES, Mistake};
use crate::profile::{Profile, SETTINGS, SettingId, Stated, joined};
use crate::track::Tracker;
use maud::{Markup, html};
use serde_json::{Value, json};

const DEMO: &str = include_str!("../../vectors/demo/profile.json");

/// The stream of random numbers that exercises are drawn from.
const EXERCISES: u128 = (1 << 64) - 3;

fn one<'a, T>(draw: &mut Random, all: &'a [T]) -> Option<&'a T> {
    let last = all.len().checked_sub(1)?;
    all.get(draw.between(0, last as u64) as usize)
}

/// An exercise with all that belongs to it.
struct Exercise {
    task: Markup,
    hints: Vec<String>,
    /// What can be chosen: value and words; empty where the answer is written.
    choices: Vec<(String, String)>,
    answer: String,
    solution: Markup,
}

const NOTHING: &str = "no exercise could be made of this seed; take another";

fn drawn(frame: Frame, wrong: u128) -> Markup {
    let decoded = Decoded::new(frame);
    let observation = Tracker::new(None, Some(2)).observe(&decoded, None);
    html::explanation(&decoded, &observation, wrong)
}

fn plain(frame: &Frame) -> Markup {
    html::bits(frame, &[], 0, false)
}

fn demo() -> Result<(Profile, Vec<Emission>), Refusal> {
    let profile = Profile::read(DEMO).profile;
    let frames = emissions(&profile, Flight::Healthy).map_err(|error| error.to_string())?;
    Ok((profile, frames))
}

/// What a field of a frame says.
fn field(draw: &mut Random) -> Result<Exercise, Refusal> {
    let (_, frames) = demo()?;
    let emission = one(draw, &frames).ok_or(NOTHING)?;
    let decision = one(draw, &emission.decisions).ok_or(NOTHING)?;
    let decoded = Decoded::new(emission.frame);
    let placed = decoded.rows().into_iter().find(|placed| placed.row.field == Some(decision.field)).ok_or(NOTHING)?;
    let meaning = decision.expected();
    let answer = match &meaning.value {
        Said::Bool(yes) => if *yes { "yes" } else { "no" }.to_owned(),
        value => value.to_string(),
    };
    let steps = (placed.row.steps)(placed.code, Version::Two);
    let width = usize::from(decision.span.width());
    Ok(Exercise {
        task: html! {
            p { "What does " code { (decision.field) } " say in this frame? (" (placed.row.about) ")" }
            (plain(&emission.frame))
            p.soft { "Write the value as the JSON has it: a number, a word, yes or no, or null for \"no data\"." }
        },
        hints: vec![
            format!("the frame is: {}", decoded.title()),
            format!("look at frame bits {}", decision.span),
            format!("their bits are {:0width$b}; the rule: {}", decision.code, placed.row.rule),
        ],
        choices: Vec::new(),
        answer,
        solution: html! {
            p { strong { (meaning.words()) } }
            @if !steps.is_empty() { ol.steps { @for step in &steps { li { (step) } } } }
            (drawn(emission.frame, decision.span.mask(emission.frame.length())))
        },
    })
}

/// Which bit of a frame was flipped.
fn flipped(draw: &mut Random) -> Result<Exercise, Refusal> {
    let (_, frames) = demo()?;
    let squitters: Vec<&Emission> = frames.iter().filter(|emission| !emission.address_in_parity).collect();
    let emission = one(draw, &squitters).ok_or(NOTHING)?;
    // The format stays, so that the frame can be read.
    let bit = draw.between(6, emission.frame.length().into()) as u8;
    let damaged = emission.frame.flipped(bit);
    let octet = (bit - 1) / 8 + 1;
    Ok(Exercise {
        task: html! {
            p { "One bit of this frame was received wrongly. Which one, counted from 1?" }
            p.frame { (damaged) }
            (plain(&damaged))
        },
        hints: vec![
            format!("divide: the overlay is {:06X}, and not 0", damaged.overlay()),
            "each bit that flips leaves an overlay of its own: set one bit of an empty frame in Bits and look"
                .to_owned(),
            format!("it is in octet {octet}, frame bits {} to {}", octet * 8 - 7, octet * 8),
        ],
        choices: Vec::new(),
        answer: bit.to_string(),
        solution: html! {
            p { strong { "bit " (bit) } }
            (drawn(damaged, 1 << (damaged.length() - bit)))
        },
    })
}

fn causes(draw: &mut Random, right: &'static Mistake, touching: &[&'static Mistake]) -> Vec<(String, String)> {
    let mut some: Vec<&Mistake> = vec![right];
    while some.len() < 5.min(touching.len()) {
        if let Some(other) = one(draw, touching)
            && !some.iter().any(|known| known.cause == other.cause)
        {
            some.push(other);
        }
    }
    some.sort_by_key(|mistake| mistake.cause);
    some.iter().map(|mistake| (mistake.cause.to_owned(), mistake.what.to_owned())).collect()
}

/// Which mistake was made when the unit was set up.
fn fault(draw: &mut Random) -> Result<Exercise, Refusal> {
    let (profile, right) = demo()?;
    let expected = Install::new("demo", profile.clone()).map_err(|error| error.to_string())?.expected();
    let all: Vec<(&'static Mistake, Profile, String, Vec<Frame>)> = MISTAKES
        .iter()
        .filter(|mistake| !mistake.settings.contains(&SettingId::Address))
        .filter_map(|mistake| {
            let (wrong, detail) = (mistake.candidates)(&profile).into_iter().next()?;
            let sent = emissions(&wrong, Flight::Healthy).ok()?;
            let frames: Vec<Frame> = sent
                .iter()
                .map(|emission| emission.frame)
                .filter(|frame| !right.iter().any(|other| other.frame == *frame))
                .filter(|frame| expected.differing_bits(&Decoded::new(*frame), None) != 0)
                .collect();
            (!frames.is_empty()).then_some((mistake, wrong, detail, frames))
        })
        .collect();
    let (mistake, wrong, detail, frames) = one(draw, &all).ok_or(NOTHING)?;
    let possible: Vec<&'static Mistake> = all.iter().map(|(mistake, ..)| *mistake).collect();
    let words = |profile: &Profile, setting: SettingId| match (setting.setting().words)(profile) {
        Stated::Is(words) => words,
        _ => "not stated".to_owned(),
    };
    let changed: Vec<SettingId> = SETTINGS
        .iter()
        .map(|setting| setting.id)
        .filter(|setting| words(&profile, *setting) != words(wrong, *setting))
        .collect();
    Ok(Exercise {
        task: html! {
            p { "The aircraft should be set up as this table says. It sends the frames below the table. What went wrong?" }
            (html::wide("The install as it should be", &html! {
                table {
                    thead { tr { th scope="col" { "setting" } th scope="col" { "as it should be" } } }
                    tbody { @for setting in SETTINGS.iter().filter(|setting| setting.in_new_profile && setting.id != SettingId::Notes) {
                        tr { th scope="row" { code { (setting.pointer) } } td { (words(&profile, setting.id)) } }
                    } }
                }
            }))
            @for frame in frames.iter().take(3) { p.frame { (frame) } (plain(frame)) }
        },
        hints: vec![
            format!("the first frame is: {}", Decoded::new(frames[0]).title()),
            format!("look at what carries {}", joined(mistake.settings, " and ")),
            format!("set to {}", changed.iter().map(|at| words(wrong, *at)).collect::<Vec<_>>().join(", ")),
        ],
        choices: causes(draw, mistake, &possible),
        answer: mistake.cause.to_owned(),
        solution: html! {
            p { strong { (mistake.what) } " (" (detail) ")" }
            p { "What to do: " (mistake.correction) }
            @for frame in frames.iter().take(2) { (drawn(*frame, expected.differing_bits(&Decoded::new(*frame), None))) }
        },
    })
}

/// Makes an exercise of what is drawn.
type Make = fn(&mut Random) -> Result<Exercise, Refusal>;

/// The kinds of exercises.
const KINDS: &[(&str, Make)] = &[("field", field), ("flipped_bit", flipped), ("faulty_install", fault)];

fn made(request: &Value) -> Result<Exercise, Refusal> {
    let seed: u64 = text(request, "seed").parse().map_err(|_| "a seed is a whole number".to_owned())?;
    let kind = text(request, "kind");
    let (_, make) =
        KINDS.iter().find(|(name, _)| *name == kind).ok_or_else(|| format!("there is no kind {kind:?} of exercise"))?;
    let mut draw = Random::new(seed, EXERCISES);
    // Some draws hit a frame of which the install decides nothing.
    (0..20).find_map(|_| make(&mut draw).ok()).ok_or_else(|| NOTHING.to_owned())
}

/// The task of an exercise.
pub fn exercise(request: &Value) -> Result<Value, Refusal> {
    let exercise = made(request)?;
    let choices: Vec<Value> =
        exercise.choices.iter().map(|(value, words)| json!({"value": value, "words": words})).collect();
    Ok(json!({"html": exercise.task.into_string(), "hints": exercise.hints, "choices": choices}))
}

/// Whether an answer is right, and how the exercise is solved.
pub fn solution(request: &Value) -> Result<Value, Refusal> {
    let exercise = made(request)?;
    let given = text(request, "answer");
    let right = (!given.is_empty()).then(|| given.eq_ignore_ascii_case(&exercise.answer));
    Ok(json!({"right": right, "answer": exercise.answer, "html": exercise.solution.into_string()}))
}
