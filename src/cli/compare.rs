//! `compare`: captures held against profiles.

use super::output::{Sink, complain, print, report_end};
use super::profile::{named_rules, read_profile};
use super::progress::Progress;
use super::{Format, Outcome, Threads};
use clap::Args;
use squitterlab::capture::{Captured, End, Source};
use squitterlab::compare::{Fleet, Install, Verdict, change, plan};
use squitterlab::present::html::record;
use squitterlab::present::{text, verdict};
use squitterlab::profile::mistake::{JUDGED, MISTAKES};
use std::io::{self, Write};
use std::path::PathBuf;

#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  squitterlab compare vectors/demo/profile.json --plan
  squitterlab compare vectors/demo/profile.json --capture vectors/demo/faulty.txt
  squitterlab compare vectors/demo/profile.json --before vectors/demo/faulty.txt --capture vectors/demo/good_air.txt

Exit status 0 for \"agrees\" and \"incomplete\", 1 for \"differs\", 2 where no frame can be tied to a profile.")]
pub struct Arguments {
    /// Install profiles
    #[arg(value_name = "PROFILE", required_unless_present = "list_causes")]
    profiles: Vec<PathBuf>,
    /// Captured text, plain, gzip or zstd; - is standard input; repeatable
    #[arg(long, value_name = "FILE", num_args = 1.., required_unless_present_any = ["list_causes", "plan"])]
    capture: Vec<String>,
    /// An earlier capture of the same aircraft: say what changed since
    #[arg(long, value_name = "FILE", num_args = 1.., requires = "capture")]
    before: Vec<String>,
    /// Say what to capture: states, seconds, what each proves, what cannot be proved, and the safety stops
    #[arg(long, conflicts_with_all = ["capture", "before"])]
    plan: bool,
    /// Hold what was seen against a regulator's floors too: a name of `profile check --list-rules`, or a file of your own
    #[arg(long, value_name = "NAME|FILE", default_value = "none")]
    rules: String,
    /// Exit with 1 where the verdict is "incomplete"
    #[arg(long)]
    complete: bool,
    /// Text, or one JSON object a profile
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
    #[command(flatten)]
    threads: Threads,
    /// Write the record too: one HTML file to read, print and keep
    #[arg(long, value_name = "FILE.html", requires = "capture")]
    record: Option<PathBuf>,
    /// Overwrite the record if it is there
    #[arg(long, requires = "record")]
    force: bool,
    /// Name every cause that a finding can have
    #[arg(long)]
    list_causes: bool,
}

pub fn run(arguments: &Arguments) -> io::Result<Outcome> {
    if arguments.list_causes {
        return list_causes();
    }
    let Some(rules) = named_rules(&arguments.rules) else { return Ok(Outcome::Failed) };
    let mut installs = Vec::new();
    for file in &arguments.profiles {
        let Some(profile) = read_profile(file) else { return Ok(Outcome::Failed) };
        match Install::new(&file.display().to_string(), profile) {
            Ok(install) => installs.push(install),
            Err(error) => {
                complain(&format!("{}: {error}", file.display()));
                return Ok(Outcome::Failed);
            }
        }
    }
    if arguments.plan {
        return print_plans(&installs, arguments.format);
    }
    let mut before = Fleet::new(if arguments.before.is_empty() { Vec::new() } else { installs.clone() }, &rules);
    // What cannot be written is better known before a long capture is read.
    let sink = arguments.record.as_deref().map(|path| Sink::open(Some(path), arguments.force)).transpose()?;
    let mut fleet = Fleet::new(installs.clone(), &rules);
    let earlier = read(&mut before, &arguments.before, arguments.threads);
    let mut captures = read(&mut fleet, &arguments.capture, arguments.threads);
    let unread = earlier.iter().chain(&captures).any(|captured| captured.trouble.is_some());
    let mut reports = fleet.reports();
    for (report, before) in reports.iter_mut().zip(before.reports()) {
        report.changes = Some(change(&before, report));
    }
    if let Some(mut sink) = sink {
        captures.iter_mut().for_each(Captured::take_digest);
        let profiles: Vec<Captured> =
            arguments.profiles.iter().map(|file| record::source(&file.display().to_string())).collect();
        let both = installs.iter().zip(&reports).zip(&profiles);
        let subjects: Vec<_> = both.map(|((install, report), profile)| (install, report, profile)).collect();
        sink.write_all(record::compared(&subjects, &captures, &rules, &record::now()).as_bytes())?;
        sink.close()?;
    }
    for (at, report) in reports.iter().enumerate() {
        match arguments.format {
            Format::Json => print(&format!("{}\n", verdict::report_json(report)))?,
            Format::Text => print(&format!("{}{}", if at == 0 { "" } else { "\n" }, verdict::report_text(report)))?,
        }
    }
    if unread && fleet.accounting().lines() == 0 {
        return Ok(Outcome::Failed);
    }
    if reports.iter().all(|report| report.heard_as.is_none()) {
        let accounting = fleet.accounting();
        let why = if accounting.lines() == 0 {
            "the capture is empty"
        } else if accounting.frames == 0 {
            "the capture has no frame"
        } else {
            "no valid frame in the capture carries the address of a profile, or its identification"
        };
        complain(&format!("{why}; check the address in the profile, and that the right file was given"));
        return Ok(Outcome::Failed);
    }
    let any = |verdict: Verdict| reports.iter().any(|report| report.verdict == verdict);
    Ok(if unread {
        Outcome::Failed
    } else if any(Verdict::Differs) || arguments.complete && any(Verdict::Incomplete) {
        Outcome::Differs
    } else {
        Outcome::Done
    })
}

/// Reads captures into a fleet, and says what became of each.
fn read(fleet: &mut Fleet, captures: &[String], threads: Threads) -> Vec<Captured> {
    let sources: Vec<Source> = captures.iter().map(|name| Source::from(name.as_str())).collect();
    let mut read: Vec<Captured> = captures.iter().map(|name| Captured::named(name)).collect();
    let mut progress = Progress::new(&sources, false);
    fleet.hear(sources, threads.count(), |block, accounting| {
        progress.at(block.source, block.octets, accounting);
        let captured = &mut read[block.source];
        captured.accounting.add(accounting);
        if let Some(end) = &block.end {
            report_end(&captured.name, end);
            if let End::Broken(error) = end {
                captured.trouble = Some(error.to_string());
            }
        }
    });
    read
}

fn print_plans(installs: &[Install], format: Format) -> io::Result<Outcome> {
    for (at, install) in installs.iter().enumerate() {
        let plan = plan(install);
        match format {
            Format::Json => print(&format!("{}\n", verdict::plan_json(&plan)))?,
            Format::Text => print(&format!("{}{}", if at == 0 { "" } else { "\n" }, verdict::plan_text(&plan)))?,
        }
    }
    Ok(Outcome::Done)
}

fn list_causes() -> io::Result<Outcome> {
    let mut out = String::new();
    for mistake in MISTAKES.iter().chain(&JUDGED) {
        out += &text::folded(&format!("{}: ", mistake.cause), 4, mistake.what);
        out += &text::folded("    how often: ", 4, mistake.often.words());
        out += &text::folded("    correction: ", 4, mistake.correction);
        out += &text::folded("    source: ", 4, mistake.source);
    }
    out += &text::folded("quality_dips: ", 4, "a quality value was met, and was lower at times (a note)");
    out += &text::folded("below_floor: ", 4, "what was seen is below a regulator's floor (with --rules)");
    print(&out)?;
    Ok(Outcome::Done)
}
