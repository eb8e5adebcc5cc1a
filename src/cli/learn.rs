//! `learn`: seven lessons for a classroom without a browser.

use super::Outcome;
use super::output::{fitted, print};
use clap::Args;
use squitterlab::learn::lesson::find;
use squitterlab::learn::{LESSONS, Lesson};
use squitterlab::present::text::folded;
use std::io;

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  squitterlab learn
  squitterlab learn position
  squitterlab learn 6")]
pub struct Arguments {
    /// Which lesson, by name or number; without it, the list of lessons
    #[arg(value_name = "LESSON", value_parser = lesson)]
    lesson: Option<&'static Lesson>,
}

fn lesson(name: &str) -> Result<&'static Lesson, String> {
    find(name).ok_or_else(|| {
        let names: Vec<&str> = LESSONS.iter().map(|lesson| lesson.name).collect();
        format!("there is no such lesson; take one of {}, or a number from 1 to {}", names.join(", "), names.len())
    })
}

pub fn run(arguments: &Arguments) -> io::Result<Outcome> {
    print(&fitted(|| match arguments.lesson {
        Some(lesson) => lesson.text(),
        None => list(),
    }))?;
    Ok(Outcome::Done)
}

fn list() -> String {
    let one = |lesson: &Lesson| {
        let lead = format!("{}  {:<12}", lesson.number(), lesson.name);
        folded(&lead, lead.len(), lesson.question)
    };
    let mut out: String = LESSONS.iter().map(one).collect();
    out.push('\n');
    out += &folded(
        "",
        0,
        "squitterlab learn 1 prints the first; practice --level 1 asks what it teaches. Begin with the first: each takes what \
         the ones before have said.",
    );
    out
}
