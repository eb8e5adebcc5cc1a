//! `practice`: exercises, at the terminal or as a sheet for a class.

use super::input::Lines;
use super::output::{complain, fitted, print};
use super::{Outcome, whole};
use clap::Args;
use clap::builder::PossibleValuesParser;
use squitterlab::learn::exercise::{points, sheet_text};
use squitterlab::learn::{Exercise, Judged, KINDS, exercise};
use squitterlab::present::text::{counted, folded};
use squitterlab::written::unmarked;
use std::io;
use std::path::Path;
use std::time::{SystemTime, UNIX_EPOCH};

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  squitterlab practice --level 4
  squitterlab practice --kind read_altitude --seed 7
  squitterlab practice --kind read_altitude --seed 7 --answer \"38000 ft\"
  squitterlab practice --sheet --level 3 --count 10 --seed 7")]
pub struct Arguments {
    /// Exercises of this lesson only, 1 to 7
    #[arg(long, value_name = "N", value_parser = whole::<u8>(1..=7))]
    level: Option<u8>,
    /// Exercises of this kind only
    #[arg(long, value_name = "KIND", value_parser = PossibleValuesParser::new(KINDS.iter().map(|kind| kind.name)))]
    kind: Option<String>,
    /// The same seed gives the same exercises; without it, new ones
    #[arg(long, value_name = "N", value_parser = whole(0..=u64::MAX))]
    seed: Option<u64>,
    /// Judge this answer, and end
    #[arg(long, value_name = "TEXT", allow_hyphen_values = true, conflicts_with_all = ["sheet", "count"])]
    answer: Option<String>,
    /// Show the solution too, and end
    #[arg(long, conflicts_with_all = ["sheet", "count"])]
    solution: bool,
    /// A sheet to print: exercises, then their solutions
    #[arg(long)]
    sheet: bool,
    /// How many exercises the sheet has
    #[arg(long, value_name = "N", default_value_t = 10, requires = "sheet", value_parser = whole::<u8>(1..=50))]
    count: u8,
}

pub fn run(arguments: &Arguments) -> io::Result<Outcome> {
    fitted(|| practice(arguments))
}

fn practice(arguments: &Arguments) -> io::Result<Outcome> {
    let clock = || SystemTime::now().duration_since(UNIX_EPOCH).map_or(1, |since| since.as_nanos() as u64 % 1_000_000);
    let seed = arguments.seed.unwrap_or_else(clock);
    let (level, kind) = (arguments.level, arguments.kind.as_deref());
    if let (Some(level), Some(kind)) = (level, kind)
        && KINDS.iter().any(|known| known.name == kind && known.level != level)
    {
        complain(&format!("--kind {kind} is not of level {level}; leave one of the two out"));
        return Ok(Outcome::Failed);
    }
    if arguments.sheet {
        print(&sheet_text(seed, level, kind, arguments.count.into()))?;
        return Ok(Outcome::Done);
    }
    let Some(first) = exercise(seed, level, kind) else {
        complain(&format!("seed {seed} makes no exercise of this kind; take another seed"));
        return Ok(Outcome::Failed);
    };
    if arguments.solution || arguments.answer.is_some() {
        print(&first.text())?;
        let judged = arguments.answer.as_deref().map(|answer| first.judge(answer));
        if let Some(judged) = &judged {
            print(&words(judged))?;
        }
        if arguments.solution {
            print(&first.solved())?;
        }
        return Ok(if matches!(judged, Some(Judged::Wrong(_))) { Outcome::Differs } else { Outcome::Done });
    }
    talk(seed, level, kind, first)
}

fn words(judged: &Judged) -> String {
    match judged {
        Judged::Right => "right\n".to_owned(),
        Judged::Wrong(why) => folded("not yet: ", 4, why),
    }
}

/// One exercise after another, until nothing more is written.
fn talk(seed: u64, level: Option<u8>, kind: Option<&str>, first: Exercise) -> io::Result<Outcome> {
    let Some(mut input) = Lines::of(Path::new("-")) else { return Ok(Outcome::Failed) };
    print("Write the answer, or: hint, show, next (or skip), quit\n")?;
    let (mut seed, mut current) = (seed, first);
    let (mut total, mut done, mut asked) = (0, 0, 0);
    loop {
        print(&format!("\nseed {seed}, level {}, {}\n{}", current.level, current.kind, current.text()))?;
        asked += 1;
        let (mut hinted, mut tries, mut hints) = (0, 0, current.hints.iter());
        loop {
            let line = input.next_line()?;
            match line.as_ref().map(|(_, line)| unmarked(line).trim()) {
                None | Some("quit") => {
                    print(&format!(
                        "\n{done} of {} right, {}\n",
                        counted(asked, "exercise"),
                        counted(total as usize, "point")
                    ))?;
                    return Ok(Outcome::Done);
                }
                Some("") => {}
                Some("next" | "skip") => break,
                Some("hint") => {
                    let hint = hints.next();
                    hinted += u32::from(hint.is_some());
                    print(&folded("hint: ", 6, hint.map_or("there is no other", String::as_str)))?;
                }
                Some("show") => {
                    print(&current.solved())?;
                    break;
                }
                Some(answer) => {
                    let judged = current.judge(answer);
                    print(&words(&judged))?;
                    if judged == Judged::Right {
                        let worth = points(hinted, tries);
                        total += worth;
                        done += 1;
                        print(&format!("{}\n", counted(worth as usize, "point")))?;
                        break;
                    }
                    tries += 1;
                }
            }
        }
        let next = (1..=40).map(|by| seed.wrapping_add(by)).find_map(|seed| Some((seed, exercise(seed, level, kind)?)));
        let Some((of, next)) = next else { return Ok(Outcome::Done) };
        (seed, current) = (of, next);
    }
}
