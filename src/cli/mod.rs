//! The command line: one file per command; each reads its arguments and calls the rooms below.

mod address;
mod altitude;
mod compare;
mod dataset;
mod decode;
mod encode;
mod explain;
mod guide;
mod input;
mod learn;
mod manual;
mod onair;
mod output;
#[cfg(feature = "page")]
mod page;
mod practice;
mod profile;
mod progress;
mod prompt;
mod readback;
mod rehearse;
mod watch;

use clap::builder::{PathBufValueParser, TypedValueParser};
use clap::{ArgAction, CommandFactory, FromArgMatches, Id, Parser, Subcommand, ValueEnum};
use jiff::tz::{Offset, TimeZone};
use squitterlab::capture::{Clock, TimeForm};
use squitterlab::code::RegisterNumber;
use squitterlab::code::compact_position::Position;
use std::fmt::Display;
use std::io;
use std::ops::RangeInclusive;
use std::path::PathBuf;
use std::process::ExitCode;
use std::str::FromStr;

/// What a command came to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// Done, and nothing differs: 0.
    Done,
    /// The answer is "differs" or "has errors": 1.
    Differs,
    /// It could not be done: 2.
    Failed,
}

/// Shows, bit for bit, what a configured 1090ES transponder install transmits, and compares captured frames with it.
///
/// Files and text only: nothing here makes a signal. Not a release to service.
#[derive(Debug, Parser)]
#[command(
    name = "squitterlab",
    version,
    disable_help_flag = true,
    disable_version_flag = true,
    max_term_width = 100,
    after_help = "\
Exit status: 0 done and nothing differs; 1 the answer is \"differs\" or \"has errors\"; 2 it could not be done.
It does not depend on who reads the output: a pipe that is closed early changes nothing. What has no end \
(a rehearsal, standard input to decode and encode) is then given up.
Records are dated by the clock, or by SOURCE_DATE_EPOCH (seconds since 1970) if that is set."
)]
struct Arguments {
    /// Colour: auto (on a terminal, unless NO_COLOR is set), always or never
    #[arg(long, global = true, value_enum, default_value_t = Colour::Auto, value_name = "WHEN")]
    #[arg(hide_possible_values = true, hide_default_value = true, display_order = 900)]
    color: Colour,
    /// Print help; -h prints it without the details
    #[arg(long, short, global = true, action = ArgAction::Help, display_order = 901)]
    help: Option<bool>,
    /// Print the version
    #[arg(long, short = 'V', action = ArgAction::Version)]
    version: Option<bool>,
    #[command(subcommand)]
    command: Command,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Colour {
    /// On a terminal, unless NO_COLOR is set
    Auto,
    /// Always
    Always,
    /// Never
    Never,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Make, check and describe install profiles
    #[command(after_help = "Example: squitterlab profile check vectors/demo/profile.json")]
    Profile(profile::Arguments),
    /// Show every frame that the configured unit puts on the air, and which setting decides which bits
    Onair(onair::Arguments),
    /// Build frames from decoded JSON, or one frame from meanings
    Encode(encode::Arguments),
    /// Decode the frames in captured text
    Decode(decode::Arguments),
    /// Explain one frame as a bit ruler: every bit, its field, its code, its meaning
    Explain(explain::Arguments),
    /// Compare captured frames with a profile: verdict for each setting, evidence, cause, correction
    Compare(compare::Arguments),
    /// Compare what a test set or a report shows, typed setting by setting, with a profile
    Readback(readback::Arguments),
    /// Follow lines as they come: steps of the plan ticked off, faults at once, the verdict at the end
    Watch(watch::Arguments),
    /// Write the timed stream of frames that the configured unit would send, as a capture file
    Rehearse(rehearse::Arguments),
    /// Convert a registration mark to its 24-bit address and back; State of registry, other notations
    Address(address::Arguments),
    /// Convert pressure altitude to grey code and its wires and back; find the wire at fault from readings
    Altitude(altitude::Arguments),
    /// Open the lab page on the loopback address: bits, install, verdict, steps, practice
    #[cfg(feature = "page")]
    Page(page::Arguments),
    /// Learn the messages by hand: seven lessons
    Learn(learn::Arguments),
    /// Practise what the lessons teach: exercises with reasons, or a sheet for a class
    Practice(practice::Arguments),
    /// Print the guide, chapter by chapter
    Guide(guide::Arguments),
    /// Print shell completions
    Completions(manual::Completions),
    /// Print the manual page of a command
    Manual(manual::Manual),
}

/// Text for people, or JSON for programs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// For people
    Text,
    /// One object per line, for programs
    Json,
}

/// How many threads a command may use.
#[derive(Clone, Copy, Debug, clap::Args)]
pub struct Threads {
    /// Number of threads; the results are the same [default: as many as there are cores, up to 8]
    #[arg(long, value_name = "N", value_parser = whole::<u16>(1..=64))]
    threads: Option<u16>,
}

/// The record beside what is printed.
#[derive(Clone, Debug, clap::Args)]
pub struct RecordFile {
    /// Write the record too: one HTML file to read, print and keep
    #[arg(long, value_name = "FILE.html")]
    record: Option<PathBuf>,
    /// Overwrite the record if it is there
    #[arg(long, requires = "record")]
    force: bool,
}

impl RecordFile {
    /// Where it goes, if it is wanted. What cannot be written is better known before anything is read.
    pub fn open(&self) -> io::Result<Option<output::Sink>> {
        self.record.as_deref().map(|path| output::record_to(path, self.force)).transpose()
    }
}

/// How the times of captured text are written.
#[derive(Clone, Debug, clap::Args)]
pub struct Times {
    /// How times are written, where they are neither seconds nor ISO 8601 with its zone
    #[arg(long, value_enum, value_name = "FORM")]
    time_format: Option<TimeForm>,
    /// The zone of days and times that do not say theirs: UTC, an offset such as +02:00, or a name such as Europe/Berlin
    #[arg(long, value_name = "ZONE", value_parser = zone, allow_hyphen_values = true)]
    zone: Option<TimeZone>,
}

/// Reads a zone.
fn zone(text: &str) -> Result<TimeZone, String> {
    if matches!(text, "UTC" | "utc" | "Z") {
        return Ok(TimeZone::UTC);
    }
    if !text.starts_with(['+', '-']) {
        let unknown = "write UTC, an offset such as +02:00, or a zone that this machine knows, such as Europe/Berlin";
        return TimeZone::get(text).map_err(|_| unknown.to_owned());
    }
    let minutes = text[1..].split_once(':').and_then(|(hours, minutes)| {
        let number = |digits: &str, most: i32| {
            let two = digits.len() == 2 && digits.bytes().all(|b| b.is_ascii_digit());
            digits.parse().ok().filter(|number: &i32| two && *number <= most)
        };
        Some(number(hours, 15)? * 60 + number(minutes, 59)?)
    });
    let seconds = minutes.map(|minutes: i32| minutes * if text.starts_with('-') { -60 } else { 60 });
    let offset = seconds.and_then(|seconds| Offset::from_seconds(seconds).ok());
    offset.map(TimeZone::fixed).ok_or_else(|| "an offset is written +HH:MM or -HH:MM, such as +02:00".to_owned())
}

impl Times {
    /// The clock that they make.
    fn clock(&self) -> Clock {
        Clock { form: self.time_format.unwrap_or_default(), zone: self.zone.clone() }
    }

    /// The form of times as it was asked for.
    fn form_name(&self) -> Option<String> {
        Some(self.time_format?.to_possible_value()?.get_name().to_owned())
    }

    /// The zone as it was asked for: a name, or an offset.
    fn zone_name(&self) -> Option<String> {
        let zone = self.zone.as_ref()?;
        let fixed = || zone.to_fixed_offset().map(|offset| offset.to_string());
        zone.iana_name().map(str::to_owned).or_else(|| fixed().ok())
    }
}

impl Threads {
    fn count(self) -> usize {
        self.threads.map_or_else(squitterlab::capture::threads, usize::from)
    }
}

/// What options of a name are about, in every command; the others are what the command is for, and come first.
const GROUPS: [(&str, &[&str]); 3] = [
    ("Output", &["format", "out", "out_dir", "by", "column", "record", "force", "details", "list_unheard", "plain"]),
    ("Times in the capture", &["time_format", "zone"]),
    ("Other options", &["threads", "schema", "list_causes", "color", "help", "version"]),
];

/// Options that print something about a command itself.
const ABOUT: [&str; 3] = ["schema", "list_causes", "list_rules"];
/// What means something beside them; all else would be ignored.
const BESIDE_ABOUT: [&str; 2] = ["format", "threads"];

/// A command and those below it, with what holds for the options of each: they are in groups, and a negative number is a
/// value, so that its option says why it is wrong.
fn arranged(command: clap::Command) -> clap::Command {
    let below: Vec<String> = command.get_subcommands().map(|below| below.get_name().to_owned()).collect();
    let all: Vec<Id> = command.get_arguments().map(|argument| argument.get_id().clone()).collect();
    let command = command.mut_args(|option| {
        let id = option.get_id().clone();
        let has_value = option.get_action().takes_values();
        let mut option = option.allow_negative_numbers(has_value);
        if ABOUT.contains(&id.as_str()) {
            let others = all.iter().filter(|other| **other != id && !BESIDE_ABOUT.contains(&other.as_str()));
            option = option.conflicts_with_all(others);
        }
        let group = GROUPS.iter().find(|(_, names)| names.contains(&id.as_str()));
        match group {
            Some((heading, _)) if !option.is_positional() => option.help_heading(*heading),
            _ => option,
        }
    });
    below.into_iter().fold(command, |command, below| command.mut_subcommand(below, arranged))
}

/// The program's arguments as they are declared, with what holds for all options.
fn command() -> clap::Command {
    arranged(Arguments::command())
}

/// Runs the program.
pub fn run() -> ExitCode {
    progress::survive_limits();
    let parsed = command()
        .try_get_matches()
        .and_then(|matches| Arguments::from_arg_matches(&matches).map_err(|error| error.format(&mut command())));
    match parsed.map_or_else(|error| answer(&error), obey) {
        Ok(Outcome::Done) => ExitCode::SUCCESS,
        Ok(Outcome::Differs) => ExitCode::from(1),
        Ok(Outcome::Failed) => ExitCode::from(2),
        Err(error) => {
            output::complain(&error.to_string());
            ExitCode::from(2)
        }
    }
}

/// Does what the arguments say.
fn obey(arguments: Arguments) -> io::Result<Outcome> {
    let unwanted = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    match if unwanted { Colour::Never } else { arguments.color } {
        Colour::Auto => {}
        Colour::Always => anstream::ColorChoice::Always.write_global(),
        Colour::Never => anstream::ColorChoice::Never.write_global(),
    }
    match arguments.command {
        Command::Profile(arguments) => profile::run(arguments),
        Command::Onair(arguments) => onair::run(&arguments),
        Command::Encode(arguments) => encode::run(&arguments),
        Command::Decode(arguments) => decode::run(&arguments),
        Command::Explain(arguments) => explain::run(&arguments),
        Command::Compare(arguments) => compare::run(&arguments),
        Command::Readback(arguments) => readback::run(&arguments),
        Command::Watch(arguments) => watch::run(&arguments),
        Command::Rehearse(arguments) => rehearse::run(&arguments),
        Command::Address(arguments) => address::run(&arguments),
        Command::Altitude(arguments) => altitude::run(&arguments),
        #[cfg(feature = "page")]
        Command::Page(arguments) => page::run(&arguments),
        Command::Learn(arguments) => learn::run(&arguments),
        Command::Practice(arguments) => practice::run(&arguments),
        Command::Guide(arguments) => guide::run(&arguments),
        Command::Completions(arguments) => manual::completions(&arguments),
        Command::Manual(arguments) => manual::manual(&arguments),
    }
}

/// Shows the requested help, or says what is wrong with the arguments. An argument may have orders to the terminal in
/// it, which are shown and not obeyed.
fn answer(error: &clap::Error) -> io::Result<Outcome> {
    if !error.use_stderr() {
        output::print_coloured(&error.render().ansi().to_string())?;
        return Ok(Outcome::Done);
    }
    let is_plain = |argument: std::ffi::OsString| {
        let argument = argument.to_string_lossy();
        matches!(squitterlab::present::text::printable(&argument), std::borrow::Cow::Borrowed(_))
    };
    if std::env::args_os().all(is_plain) {
        // Nothing is left to do if even that fails.
        let _ = error.print();
    } else {
        output::remark(&error.render().to_string());
    }
    Ok(Outcome::Failed)
}

/// A reader of whole numbers within these limits.
fn whole<T>(limits: RangeInclusive<T>) -> impl Fn(&str) -> Result<T, String> + Clone + Send + Sync + 'static
where
    T: FromStr + PartialOrd + Display + Clone + Send + Sync + 'static,
{
    move |text| {
        text.parse::<T>().ok().filter(|number| limits.contains(number)).ok_or_else(|| {
            let digits = text.strip_prefix(['+', '-']).unwrap_or(text);
            let is_whole = !digits.is_empty() && digits.bytes().all(|b| b.is_ascii_digit());
            let why = if is_whole { "out of range; write a whole number" } else { "not a whole number; write one" };
            format!("{text:?} is {why} from {} to {}", limits.start(), limits.end())
        })
    }
}

/// A reader of the name of a folder that is written into.
fn folder() -> impl TypedValueParser<Value = PathBuf> {
    PathBufValueParser::new().try_map(|path| {
        let is_name = path.as_os_str() != "-";
        is_name.then_some(path).ok_or("not the name of a folder; leave it out for standard output, or name a folder")
    })
}

/// Reads `LAT,LON` in degrees.
fn position(text: &str) -> Result<Position, String> {
    let wanted = "write latitude and longitude in degrees with a comma, such as 44.5,-103.25";
    let (latitude, longitude) = text.split_once(',').ok_or(wanted)?;
    let degrees = |text: &str, most: f64| {
        text.trim()
            .parse::<f64>()
            .ok()
            .filter(|degrees| degrees.abs() <= most)
            .ok_or_else(|| format!("{:?} is not a number from -{most} to {most}; {wanted}", text.trim()))
    };
    Ok(Position { latitude_deg: degrees(latitude, 90.0)?, longitude_deg: degrees(longitude, 180.0)? })
}

fn register(text: &str) -> Result<RegisterNumber, String> {
    text.parse().map_err(|error: squitterlab::code::CodeError| error.to_string())
}
