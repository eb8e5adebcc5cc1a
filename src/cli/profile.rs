//! `profile`: new, check, schema.

use super::output::{Sink, complain, print};
use super::{Format, Outcome};
use clap::{Args, Subcommand};
use squitterlab::present::{json, text};
use squitterlab::profile::{
    CHECKS, IdentificationSource, Mark, Node, Profile, Quantity, Severity, Stated, check, rule_set, rule_sets, schema,
};
use squitterlab::registry::address_of_mark;
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

#[derive(Debug, Args)]
pub struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// A profile with all that can be derived filled in, and null where something is still to be filled in
    #[command(after_help = "Example: squitterlab profile new --registration N47QX --out n47qx.json")]
    New {
        /// The registration mark, as painted
        #[arg(long, value_name = "MARK")]
        registration: String,
        /// Write to this file instead of standard output
        #[arg(long, value_name = "FILE")]
        out: Option<PathBuf>,
        /// Overwrite the file if it is there
        #[arg(long)]
        force: bool,
    },
    /// Every fault and doubt in a profile: place, reason, correction, and the rule behind it
    #[command(after_help = "Example: squitterlab profile check vectors/demo/profile.json --rules united_states")]
    Check {
        /// Profiles
        #[arg(value_name = "FILE", required_unless_present = "list_rules")]
        files: Vec<PathBuf>,
        /// Hold the profile against a regulator's floors too
        #[arg(long, value_name = "NAME", default_value = "none")]
        rules: String,
        /// Name the rule sets and the checks
        #[arg(long)]
        list_rules: bool,
        /// Text, or one JSON object a problem
        #[arg(long, value_enum, default_value_t = Format::Text)]
        format: Format,
    },
    /// The JSON Schema of a profile
    #[command(after_help = "Example: squitterlab profile schema > profile.schema.json")]
    Schema,
}

pub fn run(arguments: Arguments) -> io::Result<Outcome> {
    match arguments.command {
        Command::New { registration, out, force } => new(&registration, out.as_deref(), force),
        Command::Check { list_rules: true, .. } => list_rules(),
        Command::Check { files, rules, format, .. } => check_files(&files, &rules, format),
        Command::Schema => {
            print(&format!("{:#}\n", schema()))?;
            Ok(Outcome::Done)
        }
    }
}

fn new(registration: &str, out: Option<&Path>, force: bool) -> io::Result<Outcome> {
    let quoted = serde_json::Value::from(registration).to_string();
    let mark = match Node::parse(&quoted).map(|node| Mark::read(&node)) {
        Ok(Ok(mark)) => mark,
        Ok(Err(fault)) => {
            complain(&format!("--registration: {}; {}", fault.reason, fault.correction));
            return Ok(Outcome::Failed);
        }
        Err(error) => return Err(io::Error::other(error.message)),
    };
    let mut profile = Profile::to_be_filled_in();
    if mark.0.starts_with('N') && mark.0.get(1..2).is_some_and(|c| c.chars().all(|c| c.is_ascii_digit())) {
        match address_of_mark(&mark.0) {
            Ok(address) => profile.address = Stated::Is(address),
            Err(error) => {
                complain(&format!("--registration: {error}"));
                return Ok(Outcome::Failed);
            }
        }
    }
    if let Ok(identification) = mark.0.replace('-', "").parse() {
        profile.aircraft_identification = Stated::Is(identification);
        profile.identification_source = Stated::Is(IdentificationSource::Fixed);
    }
    profile.registration = Stated::Is(mark);
    let mut sink = Sink::open(out, force)?;
    writeln!(sink, "{:#}", profile.json())?;
    sink.close()?;
    Ok(Outcome::Done)
}

fn check_files(files: &[PathBuf], rules: &str, format: Format) -> io::Result<Outcome> {
    let Some(rules) = rule_set(rules) else {
        complain(&unknown_rules(rules));
        return Ok(Outcome::Failed);
    };
    let mut outcome = Outcome::Done;
    for file in files {
        let name = file.display().to_string();
        let Some(text) = read_text(file) else {
            outcome = Outcome::Failed;
            continue;
        };
        let problems = check(&Profile::read(&text), rules);
        match format {
            Format::Text => print(&text::problems(&name, &problems))?,
            Format::Json => {
                for problem in &problems {
                    print(&format!("{}\n", json::problem(&name, problem)))?;
                }
            }
        }
        if outcome == Outcome::Done && problems.iter().any(|problem| problem.severity == Severity::Error) {
            outcome = Outcome::Differs;
        }
    }
    Ok(outcome)
}

/// The complaint about a rule set that is not there.
pub fn unknown_rules(name: &str) -> String {
    let known: Vec<&str> = rule_sets().iter().map(|set| set.name.as_str()).collect();
    format!("--rules: no rule set {name:?}; there are: {}", known.join(", "))
}

/// Reads a text file, or standard input for `-`, or says why not.
pub fn read_text(file: &Path) -> Option<String> {
    let mut bytes = Vec::new();
    let read = if file == Path::new("-") {
        io::stdin().lock().read_to_end(&mut bytes)
    } else {
        std::fs::File::open(file).and_then(|mut file| file.read_to_end(&mut bytes))
    };
    match read {
        Ok(_) => {}
        Err(error) => {
            complain(&format!("{}: cannot be read: {error}", file.display()));
            return None;
        }
    }
    if bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]) {
        complain(&format!("{}: this is UTF-16 text; save it as UTF-8 and try again", file.display()));
        return None;
    }
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(&bytes);
    match String::from_utf8(bytes.to_vec()) {
        Ok(text) => Some(text),
        Err(error) => {
            let at = error.utf8_error().valid_up_to();
            complain(&format!("{}: octet {at} is not UTF-8 text; save the file as UTF-8", file.display()));
            None
        }
    }
}

/// Reads a profile that frames are to be made from; says every fault that stands in the way.
pub fn read_profile(file: &Path) -> Option<Profile> {
    let text = read_text(file)?;
    let reading = Profile::read(&text);
    if reading.has_errors() {
        let name = file.display().to_string();
        super::output::remark(&text::problems(&name, &reading.problems));
        complain(&format!("{name}: the profile has errors; mend them first"));
        return None;
    }
    Some(reading.profile)
}

fn list_rules() -> io::Result<Outcome> {
    let mut out = String::from("rule sets (--rules NAME)\n");
    for set in rule_sets() {
        out += &text::folded(
            &format!("  {}: ", set.name),
            6,
            &format!("{}; {}; source: {}", set.title, set.date, set.source),
        );
        for floor in &set.floors {
            out += &text::folded(
                "      ",
                10,
                &format!("{} at least {} ({}; {})", floor.setting, floor.at_least, floor.clause, floor.confirmed),
            );
        }
    }
    out += "\nchecks (always made)\n";
    for check in CHECKS {
        out += &text::folded(&format!("  {}: ", check.name), 6, &format!("{}; source: {}", check.about, check.source));
    }
    out += &text::folded("  form: ", 6, "the JSON is that of the schema; source: squitterlab profile schema");
    out +=
        &text::folded("  floor: ", 6, "the regulator's floors of the rule set; an unconfirmed number is only a note");
    out += &text::folded(
        "  stated: ",
        6,
        "what is not stated, or still to be filled in; nothing is shown or expected of it",
    );
    print(&out)?;
    Ok(Outcome::Done)
}
