//! `compare`: captures compared with profiles.

use super::input::{Captures, Folders, captures, expanded, is_any_twice};
use super::output::{complain, made, print, remark, report_end};
use super::profile::{Refused, named_rules, reading_of};
use super::progress::Progress;
use super::{Format, Outcome, RecordFile, Threads, Times};
use clap::{Args, ValueEnum};
use squitterlab::capture::{Captured, Clock, End, Source, ordered_pool};
use squitterlab::compare::{Dips, Fleet, Install, Report, Series, Verdict, change, plan};
use squitterlab::present::html::record;
use squitterlab::present::verdict::{Row, Shown};
use squitterlab::present::{text, verdict};
use squitterlab::profile::RuleSet;
use squitterlab::profile::mistake::causes;
use std::fs;
use std::io;
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  squitterlab compare vectors/demo/profile.json --plan
  squitterlab compare vectors/demo/profile.json \\
      --capture vectors/demo/faulty.txt
  squitterlab compare vectors/demo/profile.json \\
      --before vectors/demo/faulty.txt --capture vectors/demo/good_air.txt
  squitterlab compare vectors/demo/profile.json \\
      --series vectors/demo/faulty.txt vectors/demo/good_air.txt
  squitterlab compare vectors/demo/fleet --capture vectors/demo/fleet.txt

Exit status 0 for \"agrees\" and \"incomplete\", 1 for \"differs\", 2 where no frame can be tied to a profile, \
or a file could not be read or is not a profile; in a folder the run goes on without it.")]
pub struct Arguments {
    /// Install profiles, or folders of them: every .json file. For more than one a table is printed, one row per aircraft
    #[arg(value_name = "PROFILE", required_unless_present_any = ["list_causes", "schema"])]
    profiles: Vec<PathBuf>,
    /// Captured text, plain, gzip or zstd; - is standard input; repeatable
    #[arg(long, value_name = "FILE", num_args = 1.., required_unless_present_any = ["list_causes", "plan", "schema", "series"])]
    capture: Vec<PathBuf>,
    /// An earlier capture of the same aircraft: say what changed since
    #[arg(long, value_name = "FILE", num_args = 1.., requires = "capture")]
    before: Vec<PathBuf>,
    /// Captures of the same aircraft over days or months, each compared for itself, by time where all have times: say what
    /// changed from one to the next. The last decides the exit status
    #[arg(long, value_name = "FILE", num_args = 1.., conflicts_with_all = ["capture", "before", "plan"])]
    series: Vec<PathBuf>,
    /// Say what to capture: states, seconds, what each proves, what cannot be proved, and the safety stops
    #[arg(long, conflicts_with_all = ["capture", "before", "record", "force", "rules", "complete", "fail_on", "dips"])]
    #[arg(conflicts_with_all = ["only", "list_unheard", "details", "time_format", "zone"])]
    plan: bool,
    /// Compare what was seen with a regulator's minimum values too: a name from `profile check --list-rules`, or a file of your own
    #[arg(long, value_name = "NAME|FILE", default_value = "none")]
    rules: PathBuf,
    /// Exit with 1 if the verdict is "incomplete"
    #[arg(long)]
    complete: bool,
    /// Exit with 1 if there is a finding of this severity or a more serious one
    #[arg(long, value_enum, default_value_t = FailOn::Error, value_name = "SEVERITY")]
    fail_on: FailOn,
    /// How rare and how short low quality must be to be a dip: at most this share of the frames in per cent, and this many seconds in a row
    #[arg(long, value_name = "PERCENT,SECONDS", value_parser = dips, allow_hyphen_values = true)]
    dips: Option<Dips>,
    /// Of more than one profile, show only those with this verdict
    #[arg(long, value_enum, value_name = "VERDICT", conflicts_with = "series")]
    only: Option<Only>,
    /// Of more than one profile, name those that were not received
    #[arg(long, conflicts_with = "series")]
    list_unheard: bool,
    /// Text, or one JSON object per profile
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
    #[command(flatten)]
    times: Times,
    #[command(flatten)]
    threads: Threads,
    #[command(flatten)]
    record: RecordFile,
    /// For more than one profile, print every comparison in full after the table
    #[arg(long)]
    details: bool,
    /// Print the JSON Schema of the JSON output: of a comparison, or of a series
    #[arg(long, value_enum, value_name = "WHICH", num_args = 0..=1, default_missing_value = "comparison")]
    schema: Option<Shape>,
    /// Name every cause that a finding can have
    #[arg(long)]
    list_causes: bool,
}

/// From which severity on a finding decides the exit status.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum FailOn {
    /// Errors
    Error,
    /// Warnings too
    Warning,
}

/// What a line of JSON is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Shape {
    /// One capture or several, taken together
    Comparison,
    /// Several, each for itself
    Series,
}

/// A verdict to choose by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Only {
    /// Something is wrong
    Differs,
    /// Something is open
    Incomplete,
    /// Everything was proved
    Agrees,
}

impl Only {
    const fn verdict(self) -> Verdict {
        match self {
            Self::Differs => Verdict::Differs,
            Self::Incomplete => Verdict::Incomplete,
            Self::Agrees => Verdict::Agrees,
        }
    }
}

/// Reads `PERCENT,SECONDS`.
fn dips(text: &str) -> Result<Dips, String> {
    let wanted = "write per cent and seconds with a comma, such as 5,20";
    let (per_cent, seconds) = text.split_once(',').ok_or(wanted)?;
    let number = |text: &str, most: f64| {
        let read = text.trim().parse().ok().filter(|number: &f64| (0.0..=most).contains(number));
        read.ok_or_else(|| format!("{:?} is not a number from 0 to {most}; {wanted}", text.trim()))
    };
    Ok(Dips { per_cent: number(per_cent, 100.0)?, seconds: number(seconds, 86_400.0)? })
}

pub fn run(arguments: &Arguments) -> io::Result<Outcome> {
    if arguments.list_causes {
        return list_causes();
    }
    if let Some(shape) = arguments.schema {
        let schema = match shape {
            Shape::Comparison => verdict::report_schema(),
            Shape::Series => verdict::series_schema(),
        };
        print(&format!("{schema:#}\n"))?;
        return Ok(Outcome::Done);
    }
    let Some(rules) = named_rules(&arguments.rules) else { return Ok(Outcome::Failed) };
    let Some(Profiles { installs, files, refused }) = installs(&arguments.profiles, arguments.threads.count()) else {
        return Ok(Outcome::Failed);
    };
    if arguments.plan {
        print_plans(&installs, arguments.format)?;
        return Ok(if refused { Outcome::Failed } else { Outcome::Done });
    }
    // A folder has more in it than one means to compare.
    let [Some(before), Some(after)] = [&arguments.before[..], &[&arguments.capture[..], &arguments.series].concat()]
        .map(|names| expanded(names, Folders::Kept))
    else {
        return Ok(Outcome::Failed);
    };
    let all = [&before[..], &after].concat();
    let Some(Captures { sources, .. }) = captures(&all) else { return Ok(Outcome::Failed) };
    if !arguments.series.is_empty() {
        return over_time(arguments, &sources, &installs, &files, refused, &rules);
    }
    let (sources_before, sources) = sources.split_at(before.len());
    // What cannot be written is better known before a long capture is read.
    let sink = arguments.record.open()?;
    let clock = arguments.times.clock();
    let limits = arguments.dips.unwrap_or_default();
    let fleet_before = || Fleet::new(installs.clone(), &rules).with_dips(limits);
    let mut before = (!before.is_empty()).then(fleet_before);
    let mut fleet = Fleet::new(installs, &rules).with_dips(limits);
    let earlier = before.as_mut().map(|before| read(before, sources_before, &clock, arguments.threads));
    let mut captures = read(&mut fleet, sources, &clock, arguments.threads);
    let unread = earlier.iter().flatten().chain(&captures).any(|captured| captured.trouble.is_some());
    // A large fleet's reports are many: each is made when it is wanted, and not kept.
    let reports = || {
        let mut before = before.as_ref().map(|before| before.reports_on(arguments.threads.count()));
        fleet.reports_on(arguments.threads.count()).map(move |mut report| {
            let earlier = before.as_mut().and_then(Iterator::next);
            report.changes = earlier.map(|earlier| change(&earlier, &report));
            report
        })
    };
    let one = fleet.installs().len() == 1;
    let is_shown = |report: &Report| arguments.only.is_none_or(|only| only.verdict() == report.verdict);
    let mut rows = Vec::with_capacity(fleet.installs().len());
    for (install, report) in fleet.installs().iter().zip(reports()) {
        rows.push(Row::new(install, &report));
        match arguments.format {
            Format::Json if !is_shown(&report) => {}
            Format::Json => print(&format!("{}\n", verdict::report_json(&report)))?,
            Format::Text if one && !is_shown(&report) => print(&format!("{}\n", report.first_line()))?,
            Format::Text if one => print(&verdict::report_text(&report))?,
            Format::Text => {}
        }
    }
    if arguments.format == Format::Text && !one {
        let bad = fleet.parity_invalid();
        let mut account = vec![format!("{}; {} with bad parity", fleet.accounting(), text::counted(bad, "frame"))];
        account.extend(fleet.unread().iter().map(|unread| format!("not read whole: {unread}")));
        let shown = Shown { only: arguments.only.map(Only::verdict), unheard: arguments.list_unheard };
        print(&verdict::table(&rows, &account.join("; "), shown))?;
        if arguments.details {
            reports().filter(is_shown).try_for_each(|report| print(&format!("\n{}", verdict::report_text(&report))))?;
        }
    }
    // The verdict is told whether or not its record can be written.
    if let Some(sink) = sink {
        captures.iter_mut().zip(sources).for_each(|(captured, source)| captured.take_digest(source));
        sink.write_whole(written(&fleet, &files, reports(), &captures, &rules)?.as_bytes())?;
    }
    if unread && fleet.accounting().lines() == 0 {
        return Ok(Outcome::Failed);
    }
    if rows.iter().all(|row| row.heard_as.is_none()) {
        complain_of_nothing(&rows);
        return Ok(Outcome::Failed);
    }
    let warned = rows.iter().any(|row| row.summary.warnings > 0);
    Ok(outcome(arguments, &rows, unread || refused, warned))
}

/// Compares each capture of a series for itself.
fn over_time(
    arguments: &Arguments,
    sources: &[Source],
    installs: &[Install],
    files: &[PathBuf],
    refused: bool,
    rules: &RuleSet,
) -> io::Result<Outcome> {
    let sink = arguments.record.open()?;
    let clock = arguments.times.clock();
    let (mut series, mut captures): (Vec<Series>, Vec<Captured>) = (Vec::new(), Vec::new());
    let (mut unread, mut warned) = (false, false);
    let sources = by_time(sources, &clock);
    for source in &sources {
        let mut fleet = Fleet::new(installs.to_vec(), rules).with_dips(arguments.dips.unwrap_or_default());
        let mut read = read(&mut fleet, std::slice::from_ref(source), &clock, arguments.threads);
        unread |= read.iter().any(|captured| captured.trouble.is_some());
        warned = false;
        captures.append(&mut read);
        for (at, report) in fleet.reports_on(arguments.threads.count()).enumerate() {
            warned |= report.summary.warnings > 0;
            match series.get_mut(at) {
                Some(series) => series.add(report),
                None => series.push(Series::new(report)),
            }
        }
    }
    for (at, one) in series.iter().enumerate() {
        let text = verdict::series_text(one, arguments.details);
        match arguments.format {
            Format::Json => print(&format!("{}\n", serde_json::json!(one)))?,
            Format::Text => print(&format!("{}{text}", if at == 0 { "" } else { "\n" }))?,
        }
    }
    // What is shown is shown whether or not its record can be written.
    if let Some(sink) = sink {
        captures.iter_mut().zip(&sources).for_each(|(captured, source)| captured.take_digest(source));
        let profiles: Vec<Captured> = files.iter().map(|file| record::source(file)).collect();
        let all = installs.iter().zip(&series).zip(&profiles);
        let subjects: Vec<_> = all.map(|((install, series), profile)| (install, series, profile)).collect();
        sink.write_whole(record::over_time(&subjects, &captures, rules, &made()?).as_bytes())?;
    }
    let rows: Vec<Row> =
        installs.iter().zip(&series).filter_map(|(install, one)| Some(Row::new(install, one.last.as_ref()?))).collect();
    if series.iter().flat_map(|one| &one.captures).all(|capture| capture.heard_as.is_none()) {
        complain_of_nothing(&rows);
        return Ok(Outcome::Failed);
    }
    Ok(outcome(arguments, &rows, unread || refused, warned))
}

/// What the rows of the last capture come to.
fn outcome(arguments: &Arguments, rows: &[Row], failed: bool, warned: bool) -> Outcome {
    let warned = arguments.fail_on == FailOn::Warning && warned;
    let worst = verdict::worst(rows);
    if failed {
        Outcome::Failed
    } else if worst == Verdict::Differs || warned || arguments.complete && worst == Verdict::Incomplete {
        Outcome::Differs
    } else {
        Outcome::Done
    }
}

/// These captures by their first time, where each has one; else as they were given.
fn by_time(sources: &[Source], clock: &Clock) -> Vec<Source> {
    let first = |source: &Source| {
        let mut first = None;
        // Standard input can be read once only, and so can a pipe.
        if matches!(source, Source::File(path) if path.is_file()) {
            let _ = source.read_by(clock, |record| {
                first = record.time;
                if first.is_some() { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
            });
        }
        first
    };
    let mut all: Vec<(&Source, Option<f64>)> = sources.iter().map(|source| (source, first(source))).collect();
    if all.iter().all(|(_, time)| time.is_some()) {
        all.sort_by(|(_, a), (_, b)| a.unwrap_or_default().total_cmp(&b.unwrap_or_default()));
    }
    all.into_iter().map(|(source, _)| source.clone()).collect()
}

/// Profiles that captures are compared with.
struct Profiles {
    installs: Vec<Install>,
    /// The file of each.
    files: Vec<PathBuf>,
    /// Whether one in a folder was refused.
    refused: bool,
}

/// The installs of these profiles. `None` if there is nothing to go on with: a profile that was named has errors, or a
/// folder holds none.
fn installs(named: &[PathBuf], threads: usize) -> Option<Profiles> {
    let mut all = Vec::new();
    for path in named {
        if path.is_dir() {
            all.extend(profiles_in(path)?.into_iter().map(|file| (file, true)));
        } else {
            all.push((path.clone(), false));
        }
    }
    let names: Vec<PathBuf> = all.iter().map(|(file, _)| file.clone()).collect();
    if is_any_twice(&names, "it would be compared twice") {
        return None;
    }
    let (mut installs, mut files) = (Vec::with_capacity(all.len()), Vec::with_capacity(all.len()));
    let mut refused = false;
    let read = ordered_pool(threads, all.into_iter(), || {
        |(file, is_in_folder): (PathBuf, bool)| {
            let install = install(&file);
            (file, is_in_folder, install)
        }
    });
    for (file, is_in_folder, install) in read {
        match install {
            Ok(install) => {
                installs.push(install);
                files.push(file);
            }
            Err(why) => {
                why.tell();
                if !is_in_folder {
                    return None;
                }
                refused = true;
            }
        }
    }
    if installs.is_empty() {
        complain("none of these is a profile that frames can be compared with");
        return None;
    }
    Some(Profiles { installs, files, refused })
}

/// Every .json file of a folder, by name; complains where there is none.
fn profiles_in(folder: &Path) -> Option<Vec<PathBuf>> {
    let entries = fs::read_dir(folder).and_then(Iterator::collect::<io::Result<Vec<_>>>);
    let entries = match entries {
        Ok(entries) => entries,
        Err(error) => {
            complain(&format!("{}: {error}", folder.display()));
            return None;
        }
    };
    let mut files: Vec<PathBuf> = entries.iter().map(fs::DirEntry::path).collect();
    files.retain(|file| file.extension().is_some_and(|extension| extension.eq_ignore_ascii_case("json")));
    files.sort();
    if files.is_empty() {
        complain(&format!("{}: no profile is in this folder; their names end in .json", folder.display()));
        return None;
    }
    Some(files)
}

/// The install of this profile, or why there is none.
pub fn install(file: &Path) -> Result<Install, Refused> {
    let profile = reading_of(file)?.profile;
    let name = file.display().to_string();
    Install::new(&name, profile).map_err(|error| Refused { faults: String::new(), why: format!("{name}: {error}") })
}

/// The record of all reports, as one document.
fn written(
    fleet: &Fleet,
    files: &[PathBuf],
    reports: impl Iterator<Item = Report>,
    captures: &[Captured],
    rules: &RuleSet,
) -> io::Result<String> {
    let reports: Vec<Report> = reports.collect();
    let profiles: Vec<Captured> = files.iter().map(|file| record::source(file)).collect();
    let all = fleet.installs().iter().zip(&reports).zip(&profiles);
    let subjects: Vec<_> = all.map(|((install, report), profile)| (install, report, profile)).collect();
    Ok(record::compared(&subjects, captures, rules, &[], &made()?))
}

/// Says why nothing could be tied to a profile, and which addresses are near.
pub fn complain_of_nothing(rows: &[Row]) {
    let why = rows.iter().find_map(|row| row.not_heard).unwrap_or("no profile was given");
    complain(&format!("{why}; {}", verdict::LOOK_AGAIN));
    for row in rows.iter().filter(|row| !row.near.is_empty()).take(MOST_HINTS) {
        let lead = format!("  heard in the clear, and near {}: ", row.address);
        remark(&text::folded(&lead, 4, &format!("{}; is one of them this aircraft?", verdict::near(&row.near))));
    }
}

/// For at most this many profiles near addresses are named if nothing was heard.
const MOST_HINTS: usize = 8;

/// Reads captures into a fleet, and says what became of each.
fn read(fleet: &mut Fleet, sources: &[Source], clock: &Clock, threads: Threads) -> Vec<Captured> {
    let mut read: Vec<Captured> = sources.iter().map(|source| Captured::named(&source.name())).collect();
    let mut progress = Progress::new(sources, false);
    fleet.read_sources(sources.to_vec(), clock, threads.count(), |block, accounting| {
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

fn print_plans(installs: &[Install], format: Format) -> io::Result<()> {
    for (at, install) in installs.iter().enumerate() {
        let plan = plan(install);
        match format {
            Format::Json => {
                remark(&verdict::plan_cautions(&plan));
                print(&format!("{}\n", verdict::plan_json(&plan)))?;
            }
            Format::Text => print(&format!("{}{}", if at == 0 { "" } else { "\n" }, verdict::plan_text(&plan)))?,
        }
    }
    Ok(())
}

fn list_causes() -> io::Result<Outcome> {
    let mut out = String::new();
    for mistake in causes() {
        out += &text::folded(&format!("{}: ", mistake.cause), 4, mistake.what);
        out += &text::folded("    how often: ", 4, mistake.often.words());
        out += &text::folded("    correction: ", 4, mistake.correction);
        out += &text::folded("    source: ", 4, mistake.source);
    }
    print(&out)?;
    Ok(Outcome::Done)
}
