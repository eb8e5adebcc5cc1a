//! `learn`: seven lessons for a classroom without a browser.

use super::Outcome;
use super::output::print;
use clap::Args;
use squitterlab::learn::LESSONS;
use squitterlab::learn::lesson::find;
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
    lesson: Option<&'static squitterlab::learn::Lesson>,
}

fn lesson(name: &str) -> Result<&'static squitterlab::learn::Lesson, String> {
    find(name).ok_or_else(|| {
        let names: Vec<&str> = LESSONS.iter().map(|lesson| lesson.name).collect();
        format!("there is no such lesson; take one of {}, or a number from 1 to {}", names.join(", "), names.len())
    })
}

pub fn run(arguments: &Arguments) -> io::Result<Outcome> {
    match arguments.lesson {
        Some(lesson) => print(&lesson.text())?,
        None => {
            for (at, lesson) in LESSONS.iter().enumerate() {
                print(&format!("{}  {:<12}{}\n", at + 1, lesson.name, lesson.question))?;
            }
        }
    }
    Ok(Outcome::Done)
}
