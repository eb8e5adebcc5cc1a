//! Asks a person at a terminal, or reads the answers from a pipe or file.

use super::input::Lines;
use super::output::{cut, print};
use inquire::error::InquireError;
use inquire::ui::RenderConfig;
use inquire::{Select, Text};
use squitterlab::written::unmarked;
use std::io::{self, IsTerminal};
use std::path::Path;

/// Every terminal has as many columns.
pub const WIDTH: usize = 80;

/// What a person says to a question.
pub enum Reply {
    Typed(String),
    Later,
    Back,
    Leave,
}

/// At most this much of an answer is shown again, in characters.
pub const LONGEST_ECHO: usize = 100;

/// Who answers.
pub enum Front {
    Terminal,
    /// Lines of a pipe or a file.
    Lines(Answers),
}

/// Answers in lines, each taken when it comes; lines that begin with `#` are none.
pub struct Answers {
    lines: Lines,
    /// A line that was looked at and not taken, with its number.
    ahead: Option<(usize, String)>,
}

impl Answers {
    fn next_line(&mut self) -> io::Result<Option<(usize, String)>> {
        if let Some(ahead) = self.ahead.take() {
            return Ok(Some(ahead));
        }
        while let Some((number, line)) = self.lines.next_line()? {
            let line = unmarked(&line);
            if !line.trim_start().starts_with('#') {
                return Ok(Some((number, line.to_owned())));
            }
        }
        Ok(None)
    }
}

/// What a person is shown to answer a question.
#[derive(Debug, Default)]
pub struct Prompt {
    /// The choices with their words, if it is one among few.
    pub choices: Vec<(String, String)>,
    /// The choice to begin with.
    pub begin: usize,
    /// What an empty answer means.
    pub placeholder: Option<String>,
    /// Whether answers from lines are not shown again.
    pub is_quiet: bool,
}

/// Words that are not an answer.
pub const WORDS: &str =
    "\"back\" for the question before, \"later\" to leave it open, \"stop\" to leave; all answers are kept";

impl Reply {
    fn of(typed: &str) -> Self {
        match typed.trim() {
            "back" => Self::Back,
            "later" => Self::Later,
            "stop" => Self::Leave,
            typed => Self::Typed(typed.to_owned()),
        }
    }

    /// What a prompt came to: the escape key goes back, and Ctrl-C or the end of the input leaves.
    fn of_prompt(prompted: Result<Option<String>, InquireError>) -> io::Result<Self> {
        match prompted {
            Ok(Some(typed)) => Ok(Self::of(&typed)),
            Ok(None) => Ok(Self::Back),
            Err(InquireError::OperationInterrupted | InquireError::OperationCanceled) => Ok(Self::Leave),
            Err(InquireError::IO(error)) => Err(error),
            Err(error) => Err(io::Error::other(error.to_string())),
        }
    }
}

const LATER: &str = "later (leave it open)";
const KEEP: &str = "keep it as entered";
const CORRECT: &str = "answer again";

impl Front {
    /// Whoever answers: a file of answers if one is given, else the terminal or a pipe. Complains where there is none.
    pub fn of(answers: Option<&Path>) -> Option<Self> {
        inquire::set_global_render_config(RenderConfig::empty());
        if answers.is_none() && io::stdin().is_terminal() {
            return Some(Self::Terminal);
        }
        let lines = Lines::of(answers.unwrap_or(Path::new("-")))?;
        Some(Self::Lines(Answers { lines, ahead: None }))
    }

    /// Whether answers are read from lines.
    pub const fn is_lines(&self) -> bool {
        matches!(self, Self::Lines(_))
    }

    /// The line of a file that is answered from, for complaints.
    pub fn place(&self, asked_at: usize) -> String {
        match self {
            Self::Terminal => String::new(),
            Self::Lines(_) => format!("answer in line {asked_at}: "),
        }
    }

    /// What is answered.
    pub fn reply(&mut self, prompt: &Prompt, at: &mut usize) -> io::Result<Reply> {
        match self {
            Self::Lines(lines) => {
                let Some((line, typed)) = lines.next_line()? else { return Ok(Reply::Leave) };
                *at = line;
                if !prompt.is_quiet {
                    print(&format!("> {}\n\n", cut(&typed, LONGEST_ECHO)))?;
                }
                Ok(Reply::of(&typed))
            }
            Self::Terminal => {
                let chosen = &prompt.choices;
                if chosen.is_empty() {
                    let mut text = Text::new("Answer:").with_help_message("Esc: back; later: leave open; Ctrl-C: stop");
                    // An empty answer means what the question says that it means.
                    if let Some(placeholder) = &prompt.placeholder {
                        text = text.with_placeholder(placeholder);
                    }
                    return Reply::of_prompt(text.prompt_skippable());
                }
                let shown: Vec<String> = chosen
                    .iter()
                    .map(|(word, words)| if word == words { word.clone() } else { format!("{words} ({word})") })
                    .chain([LATER.to_owned()])
                    .collect();
                let select = Select::new("Choose:", shown.clone())
                    .with_starting_cursor(prompt.begin)
                    .with_page_size(12)
                    .with_help_message("arrows and Enter; Esc: back; Ctrl-C: stop");
                let picked = select.prompt_skippable().map(|picked| {
                    picked.map(|picked| {
                        let at = shown.iter().position(|shown| *shown == picked).unwrap_or(shown.len());
                        chosen.get(at).map_or_else(|| "later".to_owned(), |(word, _)| word.clone())
                    })
                });
                Reply::of_prompt(picked)
            }
        }
    }

    /// Whether a doubtful answer is kept: `None` if it is given again.
    pub fn keeps(&mut self) -> io::Result<Option<Reply>> {
        match self {
            Self::Lines(lines) => {
                lines.ahead = lines.next_line()?;
                if lines.ahead.take_if(|(_, typed)| typed.trim() == "keep").is_none() {
                    return Ok(None);
                }
                print("> keep\n\n")?;
                Ok(Some(Reply::Typed(KEEP.to_owned())))
            }
            Self::Terminal => {
                let prompt = Select::new("Doubtful:", vec![CORRECT, KEEP]);
                let reply = Reply::of_prompt(prompt.prompt_skippable().map(|kept| kept.map(ToOwned::to_owned)))?;
                Ok(match reply {
                    Reply::Typed(said) if said == CORRECT => None,
                    other => Some(other),
                })
            }
        }
    }
}
