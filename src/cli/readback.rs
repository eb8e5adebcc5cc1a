//! `readback`: what a test set or a report shows, typed setting by setting, compared with the profile.

use super::compare::install;
use super::output::{Sink, complain, cut, made, print, remark};
use super::profile::{Refused, read_text};
use super::prompt::{Front, LONGEST_ECHO, Prompt, Reply, WIDTH, WORDS};
use super::{Format, Outcome, RecordFile};
use clap::Args;
use squitterlab::capture::{Captured, sha256};
use squitterlab::compare::readback::{
    HEAD, ReadLine, ReadStep, ReadbackReport, Readings, check, figure_key, figures, form, lines, read_back, read_form,
    stops_before,
};
use squitterlab::compare::{Install, Verdict};
use squitterlab::present::html::{readback as html, record};
use squitterlab::present::{CAUTIONS, readback, text, verdict};
use std::io;
use std::path::{Path, PathBuf};

#[derive(Debug, Args)]
#[command(after_help = "\
Without a form it asks for one value after another, at the terminal or from a pipe with one answer per line; an empty \
answer is \"not read\". What is expected is shown only afterwards. Every answer is kept at once in the file of --keep, \
which is a form again.

Examples:
  squitterlab readback vectors/demo/profile.json --form > form.txt
  squitterlab readback vectors/demo/profile.json vectors/demo/readback.txt
  printf 'me\\n\\n\\n\\n\\n4\\nA5C035\\n' \\
      | squitterlab readback vectors/demo/profile.json --keep mine.txt

Exit status 0 for \"agrees\" and \"incomplete\", 1 for \"differs\", 2 where nothing was read.")]
pub struct Arguments {
    /// The install profile
    #[arg(required_unless_present = "schema")]
    profile: Option<PathBuf>,
    /// A form that was filled in; - is standard input
    file: Option<PathBuf>,
    /// Print the form, to be filled in and read back
    #[arg(long, conflicts_with_all = ["keep", "record", "force", "complete", "format"])]
    form: bool,
    /// Keep the answers in this form; if it is there already, only the blank figures in it are asked for
    #[arg(long, value_name = "FORM", conflicts_with = "file")]
    keep: Option<PathBuf>,
    /// Exit with 1 if the verdict is "incomplete"
    #[arg(long)]
    complete: bool,
    /// Text, or one JSON object
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
    #[command(flatten)]
    record: RecordFile,
    /// Print the JSON Schema of the JSON output
    #[arg(long)]
    schema: bool,
}

pub fn run(arguments: &Arguments) -> io::Result<Outcome> {
    if arguments.schema {
        print(&format!("{:#}\n", verdict::readback_schema()))?;
        return Ok(Outcome::Done);
    }
    let Some(profile) = arguments.profile.as_deref() else { return Ok(Outcome::Failed) };
    let Some(install) = install(profile).inspect_err(Refused::tell).ok() else { return Ok(Outcome::Failed) };
    let filled = arguments.file.as_deref().or(arguments.keep.as_deref().filter(|keep| keep.exists()));
    let (mut readings, mut source) = (Readings::new(), None);
    if let Some(file) = filled {
        let Some(text) = read_text(file) else { return Ok(Outcome::Failed) };
        match read_form(&install, &text) {
            Ok(read) => readings = read,
            Err(error) => {
                complain(&format!("{}:{error}", file.display()));
                return Ok(Outcome::Failed);
            }
        }
        source = Some(digested(file, &text));
    }
    if arguments.form {
        print(&form(&install, &readings, &stops_before(&install)))?;
        return Ok(Outcome::Done);
    }
    // What cannot be written is better known before anything is read.
    if let Some(keep) = &arguments.keep {
        drop(Sink::replacing(keep)?);
    }
    let sink = arguments.record.open()?;
    if arguments.file.is_none() {
        if !ask(&install, &mut readings, arguments.keep.as_deref(), arguments.format)? {
            return Ok(Outcome::Failed);
        }
        source = arguments
            .keep
            .as_deref()
            .filter(|keep| keep.exists())
            .map(|keep| digested(keep, &form(&install, &readings, &stops_before(&install))));
    }
    let report = read_back(&install, &readings);
    match arguments.format {
        Format::Json => {
            remark(&text::cautions());
            print(&format!("{}\n", readback::json(&report)))?;
        }
        Format::Text => print(&readback::text(&report))?,
    }
    if let Some(sink) = sink {
        let page = html::read_back(&install, &report, &record::source(profile), source.as_ref(), &made()?);
        sink.write_whole(page.as_bytes())?;
    }
    Ok(outcome(&report, arguments.complete))
}

fn outcome(report: &ReadbackReport, complete: bool) -> Outcome {
    match report.verdict {
        _ if report.is_empty() => {
            complain("nothing was read: every value is blank; type what the test set shows");
            Outcome::Failed
        }
        Verdict::Differs => Outcome::Differs,
        Verdict::Incomplete if complete => Outcome::Differs,
        Verdict::Incomplete | Verdict::Agrees => Outcome::Done,
    }
}

fn digested(file: &Path, text: &str) -> Captured {
    let mut captured = Captured::named(&file.display().to_string());
    captured.digest = Some((sha256(text.as_bytes()), text.len() as u64));
    captured
}

/// A value to be asked for.
struct Asked {
    key: String,
    given: String,
    /// What is printed above it: a step, and what must be so before.
    above: Option<String>,
}

fn all(install: &Install) -> Vec<Asked> {
    let head =
        HEAD.iter().map(|(key, given)| Asked { key: (*key).to_owned(), given: (*given).to_owned(), above: None });
    let mut asked: Vec<Asked> = head.collect();
    let lines: Vec<ReadLine> = lines(install);
    for step in ReadStep::ALL {
        for (at, line) in lines.iter().filter(|line| line.step == step).enumerate() {
            let above = (at == 0).then(|| step.how().to_owned());
            let given = format!("{}; {}", line.given(), line.message);
            asked.push(Asked { key: line.key(), given, above });
        }
    }
    for (at, figure) in figures(install).enumerate() {
        let above = (at == 0).then(|| "Figures of the test set, which no frame shows".to_owned());
        asked.push(Asked { key: figure_key(figure), given: figure.given().to_owned(), above });
    }
    asked
}

/// Asks for one value after another. False if it could not go on.
fn ask(install: &Install, readings: &mut Readings, keep: Option<&Path>, format: Format) -> io::Result<bool> {
    let Some(mut front) = Front::of(None) else { return Ok(false) };
    let is_lines = front.is_lines();
    // What is asked is not the answer.
    let say = |text: &str| {
        if format == Format::Json {
            remark(text);
            Ok(())
        } else {
            print(text)
        }
    };
    let asked = all(install);
    let prompt = Prompt { is_quiet: format == Format::Json, ..Prompt::default() };
    let stops = stops_before(install);
    if !is_lines {
        say(&text::folded_to(
            WIDTH,
            "",
            0,
            "One value after another, as the test set shows it; Enter alone: not read. What is expected is shown at the end.",
        ))?;
        say(&text::folded_to(WIDTH, "CAUTION  ", 9, &CAUTIONS.join(" ")))?;
        for stop in &stops {
            say(&text::folded_to(WIDTH, "STOP  ", 6, stop))?;
        }
    }
    let open =
        |readings: &Readings, from: usize| (from..asked.len()).find(|at| readings.get(&asked[*at].key).is_none());
    let (mut at, mut line) = (open(readings, 0), 0);
    while let Some(now) = at {
        let one = &asked[now];
        if let Some(above) = &one.above {
            say(&text::folded_to(WIDTH, "\n-- ", 3, above))?;
        }
        say(&text::folded_to(WIDTH, "\n", 4, &format!("({} of {}) {}", now + 1, asked.len(), one.key)))?;
        say(&text::folded_to(WIDTH, "  ", 4, &one.given))?;
        if is_lines {
            say(&text::folded_to(WIDTH, "  ", 4, &format!("Or {WORDS}.")))?;
        } else if let Some(typed) = readings.get(&one.key) {
            say(&text::folded_to(WIDTH, "  ", 4, &format!("Now: {typed} (Enter keeps it)")))?;
        }
        let typed = match front.reply(&prompt, &mut line)? {
            Reply::Typed(typed) => typed,
            Reply::Later => String::new(),
            Reply::Back => {
                at = Some(now.saturating_sub(1));
                continue;
            }
            Reply::Leave => break,
        };
        if let Err(fault) = check(install, &one.key, &typed) {
            let words = format!("{}; {}", fault.reason, fault.correction);
            say(&text::folded_to(WIDTH, "  Not taken: ", 4, &words))?;
            // Lines behind it are answers to other questions.
            if is_lines {
                complain(&format!(
                    "{}{:?} was not taken for {}; correct that line",
                    front.place(line),
                    cut(&typed, LONGEST_ECHO),
                    one.key
                ));
                return Ok(false);
            }
            continue;
        }
        if !typed.trim().is_empty() {
            readings.put(&one.key, &typed);
            if let Some(keep) = keep {
                Sink::replacing(keep)?.write_whole(form(install, readings, &stops).as_bytes())?;
            }
        }
        at = open(readings, now + 1);
    }
    say("\n")?;
    Ok(true)
}
