//! `profile ask`: the questions of an install at a terminal, or from a pipe or file of answers.

use super::read_text;
use super::set::new_workings;
use crate::cli::Outcome;
use crate::cli::output::{Sink, complain, cut, print};
use inquire::error::InquireError;
use inquire::ui::RenderConfig;
use inquire::{Select, Text};
use squitterlab::present::text;
use squitterlab::profile::{
    Answer, Problem, Profile, Question, Questions, Severity, Stated, ValueKind, check, rules_for,
};
use std::collections::VecDeque;
use std::io::{self, IsTerminal};
use std::path::{Path, PathBuf};

/// Every terminal has as many columns.
const WIDTH: usize = 80;

/// What a person says to a question.
enum Reply {
    Typed(String),
    Later,
    Back,
    Leave,
}

/// So much of an answer is shown again, and of the reason why it is not taken, in characters.
const LONGEST_ECHO: usize = 100;
const LONGEST_REASON: usize = 600;

/// Who answers.
enum Front {
    Terminal,
    /// Lines of a pipe or a file, with their numbers.
    Lines(VecDeque<(usize, String)>),
}

/// Words that are not an answer.
const WORDS: &str =
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
    /// The line of a file that is answered from, for complaints.
    fn place(&self, asked_at: usize) -> String {
        match self {
            Self::Terminal => String::new(),
            Self::Lines(_) => format!("answer in line {asked_at}: "),
        }
    }

    fn reply(&mut self, question: &Question, at: &mut usize) -> io::Result<Reply> {
        match self {
            Self::Lines(lines) => {
                let Some((line, typed)) = lines.pop_front() else { return Ok(Reply::Leave) };
                *at = line;
                print(&format!("> {}\n\n", cut(&typed, LONGEST_ECHO)))?;
                Ok(Reply::of(&typed))
            }
            Self::Terminal => {
                let chosen = choices(question);
                let (now, default) = (question.now.get(), question.default());
                if chosen.is_empty() {
                    let mut prompt =
                        Text::new("Answer:").with_help_message("Esc: back; later: leave open; Ctrl-C: stop");
                    // An empty answer means what the question says that it means.
                    if let Some(default) = default {
                        prompt = prompt.with_placeholder(default);
                    }
                    return Reply::of_prompt(prompt.prompt_skippable());
                }
                let begin = chosen.iter().position(|(word, words)| {
                    now.map_or(default == Some(word.as_str()), |now| now == words || now == word)
                });
                let shown: Vec<String> = chosen
                    .iter()
                    .map(|(word, words)| if word == words { word.clone() } else { format!("{words} ({word})") })
                    .chain([LATER.to_owned()])
                    .collect();
                let prompt = Select::new("Choose:", shown.clone())
                    .with_starting_cursor(begin.unwrap_or(0))
                    .with_page_size(12)
                    .with_help_message("arrows and Enter; Esc: back; Ctrl-C: stop");
                let picked = prompt.prompt_skippable().map(|picked| {
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
    fn keeps(&mut self) -> io::Result<Option<Reply>> {
        match self {
            Self::Lines(lines) => Ok(match lines.front().map(|(_, typed)| typed.trim()) {
                Some("keep") => {
                    lines.pop_front();
                    print("> keep\n\n")?;
                    Some(Reply::Typed(KEEP.to_owned()))
                }
                _ => None,
            }),
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

/// The choices of a question with their words, if it is one among few.
fn choices(question: &Question) -> Vec<(String, String)> {
    match question.setting.kind {
        ValueKind::YesNo => ["yes", "no"].map(|word| (word.to_owned(), word.to_owned())).to_vec(),
        ValueKind::Choice => {
            question.setting.options.iter().map(|choice| (choice.word.to_owned(), choice.words.to_owned())).collect()
        }
        _ => Vec::new(),
    }
}

/// A question in words, at most 80 columns wide.
fn asked(question: &Question, lines: bool) -> String {
    let setting = question.setting;
    let mut out = text::folded_to(WIDTH, "", 4, &format!("({} of {}) {}", question.number, question.of, setting.name));
    let mut row = |words: &str| out += &text::folded_to(WIDTH, "  ", 4, words);
    row(setting.about);
    row(&format!("From {}", setting.taken_from.words()));
    if lines || choices(question).is_empty() {
        row(&format!("Give {}", setting.values_in_words().replace("km_h", "km/h")));
    }
    if let Some(typical) = setting.typical {
        row(&format!("Typical: {typical}"));
    }
    if let Some(stop) = question.stop {
        row(&format!("STOP: {stop}"));
    }
    if question.again {
        row("Asked again: another answer has changed what follows here.");
    }
    if let Stated::Is(now) = &question.now {
        row(&format!("Now: {now}{}", if question.again { "" } else { " (Enter keeps it)" }));
    }
    if let Some(follows) = &question.follows {
        let enter = if question.default() == Some(follows.value.as_str()) { " (Enter takes it)" } else { "" };
        row(&format!("Follows: {}{enter}: {}", follows.value, follows.why));
    }
    if lines {
        row(&format!("Or {WORDS}."));
    }
    out
}

fn doubts(problems: &[Problem]) -> String {
    let mut out = String::new();
    for problem in problems {
        let name = squitterlab::profile::setting(&problem.pointer).map_or("", |setting| setting.name);
        let lead = format!("  {}: {name}: ", problem.severity.word());
        out += &text::folded_to(WIDTH, &lead, 4, &format!("{}; {}", problem.reason, problem.correction));
    }
    out
}

/// The draft under its name, whole or not at all.
fn keep(file: &Path, questions: &Questions) -> io::Result<()> {
    Sink::replacing(file)?.write_whole(questions.text().as_bytes())
}

/// The file of a new profile: named after its registration.
fn file_for(profile: &Profile) -> Result<PathBuf, String> {
    let mark = profile.registration.get().map(|mark| mark.0.to_lowercase().replace('-', ""));
    let file = PathBuf::from(format!("{}.json", mark.unwrap_or_else(|| "profile".to_owned())));
    if file.exists() {
        let name = file.display();
        return Err(format!("{name} is there already; to go on with it: squitterlab profile ask {name}"));
    }
    Ok(file)
}

pub fn ask(file: Option<&Path>, answers: Option<&Path>, more: bool) -> io::Result<Outcome> {
    inquire::set_global_render_config(RenderConfig::empty());
    let given = match file {
        Some(file) if file == Path::new("-") => {
            complain("profile ask keeps the answers in a file; name one, and give answers with --answers or in a pipe");
            return Ok(Outcome::Failed);
        }
        Some(file) if file.exists() => match read_text(file) {
            Some(text) => text,
            None => return Ok(Outcome::Failed),
        },
        _ => format!("{:#}\n", Profile::to_be_filled_in().json()),
    };
    let mut front = match answers {
        None if io::stdin().is_terminal() => Front::Terminal,
        source => {
            let Some(text) = read_text(source.unwrap_or(Path::new("-"))) else { return Ok(Outcome::Failed) };
            let lines = text.lines().enumerate().map(|(at, line)| (at + 1, line.to_owned()));
            Front::Lines(lines.filter(|(_, line)| !line.starts_with('#')).collect())
        }
    };
    let mut questions = match Questions::new(&given, more) {
        Ok(questions) => questions,
        Err(misfit) => {
            let name = file.map_or_else(String::new, |file| file.display().to_string());
            complain(&format!("{name}:{misfit}; what is wrong in the file has to be corrected first"));
            return Ok(Outcome::Failed);
        }
    };
    let mut file = file.map(ToOwned::to_owned);
    let lines = matches!(front, Front::Lines(_));
    if !lines {
        print(&text::folded_to(
            WIDTH,
            "",
            0,
            "One question at a time, in the order of work at the aircraft. Every answer is kept at once. Nothing here \
             makes a signal.",
        ))?;
    }
    let mut line = 0;
    while let Some(question) = questions.question() {
        print(&format!("\n{}", asked(&question, lines)))?;
        let before = questions.profile().clone();
        let typed = match front.reply(&question, &mut line)? {
            Reply::Typed(typed) => typed,
            Reply::Later => {
                questions.leave_open();
                continue;
            }
            Reply::Back => {
                if !questions.back() {
                    print("  This is the first question.\n")?;
                }
                continue;
            }
            Reply::Leave => break,
        };
        let refused = match questions.answer(&typed) {
            Ok(Answer::Taken { value, notes }) => {
                let said = text::folded_to(WIDTH, &format!("  {}: ", question.setting.name), 4, &value);
                print(&(said + &doubts(&notes)))?;
                false
            }
            Ok(Answer::Kept | Answer::LeftOpen) => continue,
            Ok(Answer::Doubtful(problems)) => {
                print(&format!("{}  Is it right all the same?\n", doubts(&problems)))?;
                match front.keeps()? {
                    Some(Reply::Typed(_)) => {
                        questions.confirm();
                        false
                    }
                    Some(Reply::Leave) => break,
                    Some(Reply::Back) => {
                        questions.back();
                        continue;
                    }
                    Some(Reply::Later) | None => true,
                }
            }
            Err(fault) => {
                let words = format!("{}; {}", cut(&fault.reason, LONGEST_REASON), fault.correction);
                print(&text::folded_to(WIDTH, "  Not taken: ", 4, &words))?;
                true
            }
        };
        if refused {
            // Lines behind it are answers to other questions.
            if lines {
                complain(&format!(
                    "{}{:?} was not taken for {}; correct that line, or write \"keep\" below a doubtful one",
                    front.place(line),
                    cut(&typed, LONGEST_ECHO),
                    question.setting.name
                ));
                return Ok(Outcome::Failed);
            }
            continue;
        }
        let file = match &mut file {
            Some(file) => file,
            none => match file_for(questions.profile()) {
                Ok(name) => none.insert(name),
                Err(reason) => {
                    complain(&reason);
                    return Ok(Outcome::Failed);
                }
            },
        };
        keep(file, &questions)?;
        for working in new_workings(&before, questions.profile()) {
            print(&text::folded_to(WIDTH, "  ", 4, &working))?;
        }
    }
    print(&summary(file.as_deref(), &questions, more))?;
    Ok(Outcome::Done)
}

/// What is done, what is open, and what comes next.
fn summary(file: Option<&Path>, questions: &Questions, more: bool) -> String {
    let Some(file) = file else { return "\nNothing was answered, and no file was written.\n".to_owned() };
    let name = file.display();
    let profile = questions.profile();
    let open: Vec<&str> = squitterlab::profile::SETTINGS
        .iter()
        .filter(|setting| setting.in_new_profile && squitterlab::profile::applies(profile, setting.id))
        .filter(|setting| !matches!((setting.words)(profile), Stated::Is(_)))
        .map(|setting| setting.name)
        .collect();
    let (rules, _) = rules_for(None, profile);
    let problems = check(questions.reading(), rules);
    let count = |severity| problems.iter().filter(|problem| problem.severity == severity).count();
    let mut out = format!("\n{name}\n");
    let mut row = |words: &str| out += &text::folded_to(WIDTH, "  ", 4, words);
    match open.len() {
        0 => row("Every question is answered."),
        left => row(&format!("{} open: {}", text::counted(left, "setting"), open.join("; "))),
    }
    row(&format!(
        "{}, {}: squitterlab profile check {name}",
        text::counted(count(Severity::Error), "error"),
        text::counted(count(Severity::Warning), "warning")
    ));
    if !open.is_empty() || questions.question().is_some() {
        row(&format!("go on: squitterlab profile ask {name}{}", if more { " --more" } else { "" }));
    }
    if !more {
        row(&format!("equipment and approvals, and what few installs have: squitterlab profile ask {name} --more"));
    }
    row(&format!("for the aircraft: squitterlab profile sheet {name}"));
    out
}
