//! `profile ask`: the questions of an install at a terminal, or from a pipe or file of answers.

use super::read_text;
use super::set::new_workings;
use crate::cli::Outcome;
use crate::cli::output::{Sink, complain, cut, print};
use crate::cli::prompt::{Front, LONGEST_ECHO, Prompt, Reply, WIDTH, WORDS};
use squitterlab::present::text;
use squitterlab::profile::{
    Answer, Problem, Profile, Question, Questions, Severity, Stated, ValueKind, check, rules_for,
};
use std::io;
use std::path::{Path, PathBuf};

/// At most this much of the reason why an answer is refused is shown, in characters.
const LONGEST_REASON: usize = 600;

/// What a person is shown of a question to answer it.
fn prompt(question: &Question) -> Prompt {
    let (now, default) = (question.now.get(), question.default());
    let choices = choices(question);
    let begin = choices
        .iter()
        .position(|(word, words)| now.map_or(default == Some(word.as_str()), |now| now == words || now == word));
    Prompt { begin: begin.unwrap_or(0), placeholder: default.map(ToOwned::to_owned), choices, is_quiet: false }
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
    let Some(mut front) = Front::of(answers) else { return Ok(Outcome::Failed) };
    let mut questions = match Questions::new(&given, more) {
        Ok(questions) => questions,
        Err(misfit) => {
            let name = file.map_or_else(String::new, |file| file.display().to_string());
            complain(&format!("{name}:{misfit}; what is wrong in the file has to be corrected first"));
            return Ok(Outcome::Failed);
        }
    };
    if let Some(file) = file {
        // What cannot be kept is better known before anything is asked.
        drop(Sink::replacing(file)?);
    }
    let mut file = file.map(ToOwned::to_owned);
    let lines = front.is_lines();
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
        let typed = match front.reply(&prompt(&question), &mut line)? {
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
        let correction = match questions.answer(&typed) {
            Ok(Answer::Taken { value, notes }) => {
                let said = text::folded_to(WIDTH, &format!("  {}: ", question.setting.name), 4, &value);
                print(&(said + &doubts(&notes)))?;
                None
            }
            Ok(Answer::Kept | Answer::LeftOpen) => continue,
            Ok(Answer::Doubtful(problems)) => {
                print(&format!("{}  Is it right all the same?\n", doubts(&problems)))?;
                match front.keeps()? {
                    Some(Reply::Typed(_)) => {
                        questions.confirm();
                        None
                    }
                    Some(Reply::Leave) => break,
                    Some(Reply::Back) => {
                        questions.back();
                        continue;
                    }
                    Some(Reply::Later) | None => Some("correct that line, or write \"keep\" below it if it is right"),
                }
            }
            Err(fault) => {
                let words = format!("{}; {}", cut(&fault.reason, LONGEST_REASON), fault.correction);
                print(&text::folded_to(WIDTH, "  Not taken: ", 4, &words))?;
                Some("correct that line")
            }
        };
        if let Some(correction) = correction {
            // Lines behind it are answers to other questions.
            if lines {
                complain(&format!(
                    "{}{:?} was not taken for {}; {correction}",
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
    let Some(file) = file.filter(|file| file.exists()) else {
        return "\nNothing was answered, and no file was written.\n".to_owned();
    };
    let name = file.display();
    let profile = questions.profile();
    let open: Vec<&str> = squitterlab::profile::SETTINGS
        .iter()
        .filter(|setting| setting.in_new_profile && squitterlab::profile::applies(profile, setting.id))
        .filter(|setting| !matches!(setting.stated(profile), Stated::Is(_)))
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
