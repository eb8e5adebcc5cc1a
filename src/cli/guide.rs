//! `guide`: the chapters of the guide.

use super::Outcome;
use super::output::print;
use clap::Args;
use clap::builder::PossibleValuesParser;
use squitterlab::guide::{CHAPTERS, chapter};
use std::io;

#[derive(Debug, Args)]
#[command(after_help = "Example: squitterlab guide technician")]
pub struct Arguments {
    /// Which chapter; without it, the list of chapters
    #[arg(value_name = "CHAPTER", value_parser = PossibleValuesParser::new(CHAPTERS.iter().map(|chapter| chapter.name)))]
    chapter: Option<String>,
}

pub fn run(arguments: &Arguments) -> io::Result<Outcome> {
    if let Some(chapter) = arguments.chapter.as_deref().and_then(chapter) {
        print(chapter.text)?;
    } else {
        for chapter in CHAPTERS {
            print(&format!("{:<12}{}\n", chapter.name, chapter.about))?;
        }
    }
    Ok(Outcome::Done)
}
