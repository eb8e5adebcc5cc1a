//! Prints the chapters of the guide.

use super::Outcome;
use super::output::{fitted, print_coloured};
use clap::Args;
use clap::builder::PossibleValuesParser;
use squitterlab::guide::{self, CHAPTERS, Chapter};
use squitterlab::present::markdown::{headings, on_terminal, section};
use squitterlab::present::text::{folded, listed};
use std::io::{self, IsTerminal};

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  squitterlab guide
  squitterlab guide technician
  squitterlab guide technician check-the-profile")]
pub struct Arguments {
    /// Which chapter; without it, the index: what you want to do, and where it is answered
    #[arg(value_name = "CHAPTER", value_parser = PossibleValuesParser::new(CHAPTERS.iter().map(|chapter| chapter.name)))]
    chapter: Option<String>,
    /// Only what is under this heading, its words with hyphens between them
    #[arg(value_name = "HEADING", requires = "chapter")]
    heading: Option<String>,
    /// List the chapters
    #[arg(long, conflicts_with = "chapter")]
    list: bool,
}

pub fn run(arguments: &Arguments) -> io::Result<Outcome> {
    let text = if arguments.list {
        fitted(|| CHAPTERS.iter().map(|chapter| folded(&format!("{:<12}", chapter.name), 12, chapter.about)).collect())
    } else {
        let name = arguments.chapter.as_deref().unwrap_or("index");
        // Its name was looked at with the arguments.
        let chapter = guide::chapter(name).unwrap_or(&CHAPTERS[0]);
        let markdown = part(chapter, arguments.heading.as_deref())?;
        if io::stdout().is_terminal() { fitted(|| on_terminal(markdown, &command)) } else { in_files(markdown) }
    };
    print_coloured(&text)?;
    Ok(Outcome::Done)
}

/// A chapter, or what is under one of its headings.
fn part(chapter: &'static Chapter, heading: Option<&str>) -> io::Result<&'static str> {
    let Some(name) = heading else { return Ok(chapter.text) };
    section(chapter.text, name).ok_or_else(|| {
        let all: Vec<String> = headings(chapter.text).into_iter().map(|heading| heading.name).collect();
        let why = format!("guide {}: there is no heading {name:?}; take one of {}", chapter.name, listed(&all));
        io::Error::new(io::ErrorKind::InvalidInput, why)
    })
}

/// The command that prints what a link leads to.
fn command(link: &str) -> Option<String> {
    let (chapter, heading) = guide::place(link)?;
    Some(["squitterlab guide", chapter.name].into_iter().chain(heading).collect::<Vec<_>>().join(" "))
}

/// The same text with links that lead from one file of Markdown to another.
fn in_files(markdown: &str) -> String {
    CHAPTERS.iter().fold(markdown.to_owned(), |text, Chapter { name, .. }| {
        text.replace(&format!("]({name}#"), &format!("]({name}.md#"))
            .replace(&format!("]({name})"), &format!("]({name}.md)"))
    })
}
