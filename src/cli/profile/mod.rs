//! `profile`: new, ask, show, set, check, sheet, where, schema.

mod ask;
mod from_capture;
mod set;

pub use crate::cli::input::read_text;
use crate::cli::input::text_of;
use crate::cli::output::{Sink, complain, made, print, record_to, remark};
use crate::cli::{Format, Outcome, RecordFile};
use clap::{ArgGroup, Args, Subcommand};
use squitterlab::present::card::Card;
use squitterlab::present::drawing::drawing;
use squitterlab::present::html::{self, record};
use squitterlab::present::identity::{self, IdentitySheet};
use squitterlab::present::sheet::{Sheet, workings};
use squitterlab::present::{json, on_air, text};
use squitterlab::profile::ParsedProfile;
use squitterlab::profile::{
    AircraftKind, Fault, FromCentreLine, FromNose, IdentificationSource, Length, Mark, Node, NodeKind, Profile,
    Quantity, RuleSet, SettingId, Severity, Speed, Stated, Weight, category_of, check, checks, rule_set, rule_sets,
    rules_for, schema, state_of_registry,
};
use squitterlab::registry::address_of_mark;
use std::borrow::Cow;
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

#[derive(Debug, Args)]
pub struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Start a profile: what follows from the mark, weight and measurements is filled in; the rest is left blank for you
    #[command(after_help = "\
Examples:
  squitterlab profile new --registration N47QX --out n47qx.json
  squitterlab profile new --registration N47QX --kind aeroplane \\
      --maximum-take-off-weight 2550lb --length 27.2ft --width 11m \\
      --from-nose 10ft2in --left 2ft --cruise 145kt")]
    New {
        /// The registration mark, as painted
        #[arg(long, value_name = "MARK")]
        registration: String,
        #[command(flatten)]
        desk: Box<Desk>,
        /// Write to this file instead of standard output
        #[arg(long, value_name = "FILE")]
        out: Option<PathBuf>,
        /// Overwrite the file if it is there
        #[arg(long, requires = "out")]
        force: bool,
    },
    /// Make or complete a profile by questions in plain words, in the order of work at the aircraft
    #[command(after_help = "\
Answers are as you read or measure them: 26 ft 11 in, DO-260B, yes. Every answer is kept in the file at once; \
leave with Ctrl-C (or \"stop\") and go on later with the same command. In a pipe or a file of answers there is one \
answer per line, lines that begin with # are comments, and an empty line confirms what is proposed; the first answer \
that is not taken ends it.

Examples:
  squitterlab profile ask n47qx.json
  printf 'N47QX\\n\\n\\nfixed\\n' | squitterlab profile ask mine.json
  squitterlab profile ask mine.json --more")]
    Ask {
        /// The profile; a new one is named after its registration
        file: Option<PathBuf>,
        /// Take the answers from this file, one per line, instead of the terminal or standard input
        #[arg(long, value_name = "FILE")]
        answers: Option<PathBuf>,
        /// Ask also for equipment, approvals and what few installs have
        #[arg(long)]
        more: bool,
    },
    /// Read a profile: every setting with its value in words, or all about one
    #[command(after_help = "\
Examples:
  squitterlab profile show vectors/demo/profile.json
  squitterlab profile show vectors/demo/profile.json \"aircraft length\"")]
    Show {
        /// The profile
        file: PathBuf,
        /// A setting: its name, its id or its JSON pointer [default: all of them]
        setting: Option<String>,
        /// Text, or one JSON object per setting
        #[arg(long, value_enum, default_value_t = Format::Text)]
        format: Format,
    },
    /// Change settings of a profile: values as you read or measure them; the rest of the file stays as it is
    #[command(after_help = "\
Examples:
  squitterlab profile new --registration N47QX --out mine.json
  squitterlab profile set mine.json length \"26 ft 11 in\" width 11m
  squitterlab profile set mine.json \"transponder antennas\" single
  squitterlab profile set mine.json mops_version DO-260B
  squitterlab profile set mine.json length null")]
    Set {
        /// The profile
        file: PathBuf,
        /// A setting (its name, its id or its JSON pointer) and its value; null for one that is still to be filled in
        #[arg(value_name = "NAME VALUE", num_args = 2.., required = true, allow_hyphen_values = true)]
        pairs: Vec<String>,
    },
    /// Check a profile: every error and doubtful entry, where it is, why, and how to correct it
    #[command(
        after_help = "Example:\n  squitterlab profile check vectors/demo/profile.json \\\n      --rules united_states,europe_light"
    )]
    Check {
        /// Profiles
        #[arg(value_name = "FILE", required_unless_present_any = ["list_rules", "schema"])]
        files: Vec<PathBuf>,
        /// Check against these rules: names from --list-rules or files of your own, with commas between them [default:
        /// those of the State of registry]
        #[arg(long, value_name = "NAME|FILE")]
        rules: Option<PathBuf>,
        /// Name the rule sets and the checks
        #[arg(long)]
        list_rules: bool,
        /// Text, or one JSON object per problem
        #[arg(long, value_enum, default_value_t = Format::Text)]
        format: Format,
        /// Print the JSON Schema of a problem
        #[arg(long)]
        schema: bool,
    },
    /// Print the intended-install record: every setting, its place on the air, where it is taken from, a box to tick
    #[command(
        group = ArgGroup::new("written").multiple(true),
        after_help = "Examples:\n  squitterlab profile sheet vectors/demo/profile.json --drawing antenna.svg\n  \
        squitterlab profile sheet vectors/demo/profile.json --card --record card.html"
    )]
    Sheet {
        /// The profile
        file: PathBuf,
        /// Text, or one JSON object
        #[arg(long, value_enum, default_value_t = Format::Text)]
        format: Format,
        /// Draw where the position antenna is, and the point that the codes name, to scale (SVG)
        #[arg(long, value_name = "FILE", group = "written")]
        drawing: Option<PathBuf>,
        /// Check against these rules, as in `profile check`
        #[arg(long, value_name = "NAME|FILE")]
        rules: Option<PathBuf>,
        /// The card for the ramp instead: ground, air and interrogation step, at most two pages
        #[arg(long, conflicts_with_all = ["drawing", "rules"])]
        card: bool,
        /// Write the record as one HTML file too, to read, print, tick and keep
        #[arg(long, value_name = "FILE.html", group = "written")]
        record: Option<PathBuf>,
        /// Overwrite the drawing and the record if they are there
        #[arg(long, requires = "written")]
        force: bool,
    },
    /// Print every place where an aircraft's identity lives, before and after: for a new mark, a moved unit, another address
    #[command(after_help = "\
Examples:
  squitterlab profile identity N47QX N48QX
  squitterlab profile identity vectors/demo/profile.json N48QX")]
    Identity {
        /// Before: a profile, or a registration mark
        old: String,
        /// After: a profile, or a registration mark
        new: String,
        /// Text, or one JSON object
        #[arg(long, value_enum, default_value_t = Format::Text)]
        format: Format,
        #[command(flatten)]
        record: RecordFile,
    },
    /// Draft a profile from what an aircraft sends, each setting with how often and where it was seen
    FromCapture(from_capture::Arguments),
    /// Print where each setting is on the air: message, bits, version, state, request, interval
    #[command(after_help = "\
Examples:
  squitterlab profile where antenna_from_nose
  squitterlab profile where \"aircraft length\" --format json
  squitterlab profile where")]
    Where {
        /// A setting: its name, its id or its JSON pointer [default: all of them, one line for each place]
        setting: Option<String>,
        /// Text, or one JSON object per setting
        #[arg(long, value_enum, default_value_t = Format::Text)]
        format: Format,
    },
    /// Print the JSON Schema of a profile
    #[command(after_help = "Example: squitterlab profile schema > profile.schema.json")]
    Schema {
        /// The schema of a rule set instead, for files given to --rules
        #[arg(long)]
        rules: bool,
    },
}

/// What the desk knows of the aircraft; each with its unit directly after the number, as in 27.2ft.
#[derive(Debug, Args)]
struct Desk {
    #[arg(long, value_name = "KIND", value_parser = choice::<AircraftKind>, help = kinds())]
    kind: Option<AircraftKind>,
    /// Certified maximum take-off weight, such as 2550lb or 1157kg
    #[arg(long, value_name = "WEIGHT", value_parser = fault_in_words(Weight::typed), allow_hyphen_values = true)]
    maximum_take_off_weight: Option<Weight>,
    /// Length over all, such as 27.2ft, 8.3m or 27ft3in
    #[arg(long, value_name = "LENGTH", value_parser = fault_in_words(Length::typed), allow_hyphen_values = true)]
    length: Option<Length>,
    /// Width over all: the span
    #[arg(long, value_name = "LENGTH", value_parser = fault_in_words(Length::typed), allow_hyphen_values = true)]
    width: Option<Length>,
    /// Maximum cruise true airspeed, such as 145kt, 167mph or 268km/h
    #[arg(long, value_name = "SPEED", value_parser = fault_in_words(Speed::typed), allow_hyphen_values = true)]
    cruise: Option<Speed>,
    /// Position antenna, from the tip of the nose aft
    #[arg(long, value_name = "LENGTH", value_parser = fault_in_words(Length::typed), allow_hyphen_values = true)]
    from_nose: Option<Length>,
    /// Position antenna, left of the centre line, seen from the pilot's seat
    #[arg(long, value_name = "LENGTH", value_parser = fault_in_words(Length::typed), group = "across")]
    #[arg(allow_hyphen_values = true)]
    left: Option<Length>,
    /// Position antenna, right of the centre line
    #[arg(long, value_name = "LENGTH", value_parser = fault_in_words(Length::typed), group = "across")]
    #[arg(allow_hyphen_values = true)]
    right: Option<Length>,
    /// Position antenna on the centre line, which is another code than not known
    #[arg(long, group = "across")]
    on_centre_line: bool,
}

/// What the option for the kind of aircraft is for, with every kind.
fn kinds() -> String {
    let words: Vec<&str> = AircraftKind::OPTIONS.iter().map(|choice| choice.word).collect();
    format!("Kind of aircraft; with the weight, the emitter category follows: {}", words.join(", "))
}

/// A choice by its word.
fn choice<T: Quantity>(text: &str) -> Result<T, String> {
    let node = Node { at: 0, kind: NodeKind::Text(text.to_owned()) };
    T::read(&node).map_err(|fault| format!("{}; {}", fault.reason, fault.correction))
}

/// A reader whose fault is said with its correction.
fn fault_in_words<T>(
    read: impl Fn(&str) -> Result<T, Fault> + Clone + Send + Sync + 'static,
) -> impl Fn(&str) -> Result<T, String> + Clone + Send + Sync + 'static {
    move |text| {
        read(text).map_err(|fault| match text.trim().parse::<f64>() {
            Ok(_) => format!("{}; write the unit directly after the number, as --help shows", fault.reason),
            Err(_) => format!("{}; {}", fault.reason, fault.correction),
        })
    }
}

impl Desk {
    /// Puts what is known into a profile, and what follows from it.
    ///
    /// # Errors
    /// Why a measure cannot be a setting.
    fn fill(&self, profile: &mut Profile) -> Result<(), String> {
        fn put<T: Clone>(setting: &mut Stated<T>, value: Option<T>) {
            if let Some(value) = value {
                *setting = Stated::Is(value);
            }
        }
        put(&mut profile.kind, self.kind);
        put(&mut profile.maximum_take_off_weight, self.maximum_take_off_weight);
        put(&mut profile.length, self.length);
        put(&mut profile.width, self.width);
        put(&mut profile.maximum_cruise_true_airspeed, self.cruise);
        if let Some(back) = self.from_nose {
            if back.in_metres() == 0.0 {
                return Err("--from-nose: no code says 0 m from the nose; measure from the nose aft".to_owned());
            }
            profile.antenna_from_nose = Stated::Is(FromNose::Measured(back));
        }
        let side = |length: Length, side: fn(Length) -> FromCentreLine| {
            if length.in_metres() == 0.0 { FromCentreLine::Zero } else { side(length) }
        };
        let across = match (self.left, self.right) {
            (Some(left), _) => Some(side(left, FromCentreLine::Left)),
            (_, Some(right)) => Some(side(right, FromCentreLine::Right)),
            _ => self.on_centre_line.then_some(FromCentreLine::Zero),
        };
        put(&mut profile.antenna_from_centre_line, across);
        let category = category_of(self.kind, self.maximum_take_off_weight).map(|derived| derived.category);
        put(&mut profile.emitter_category, category);
        Ok(())
    }
}

pub fn run(arguments: Arguments) -> io::Result<Outcome> {
    match arguments.command {
        Command::New { registration, desk, out, force } => new(&registration, &desk, out.as_deref(), force),
        Command::Sheet { file, format, record, force, card: true, .. } => card(&file, format, record.as_deref(), force),
        Command::Sheet { file, format, drawing, rules, record, force, .. } => {
            let written = Written { drawing: drawing.as_deref(), record: record.as_deref(), force };
            sheet(&file, format, rules.as_deref(), &written)
        }
        Command::Ask { file, answers, more } => ask::ask(file.as_deref(), answers.as_deref(), more),
        Command::Show { file, setting, format } => set::show(&file, setting.as_deref(), format),
        Command::Set { file, pairs } => set::set(&file, &pairs),
        Command::Check { schema: true, .. } => {
            print(&format!("{:#}\n", squitterlab::present::schema::problem())).map(|()| Outcome::Done)
        }
        Command::Check { list_rules: true, .. } => list_rules(),
        Command::Check { files, rules, format, .. } => check_files(&files, rules.as_deref(), format),
        Command::FromCapture(arguments) => from_capture::run(&arguments),
        Command::Identity { old, new, format, record } => identity(&old, &new, format, &record),
        Command::Where { setting, format } => match setting.as_deref().map(named_setting) {
            Some(None) => Ok(Outcome::Failed),
            setting => where_on_air(setting.flatten(), format),
        },
        Command::Schema { rules } => {
            print(&format!("{:#}\n", if rules { RuleSet::schema() } else { schema() }))?;
            Ok(Outcome::Done)
        }
    }
}

fn new(registration: &str, desk: &Desk, out: Option<&Path>, force: bool) -> io::Result<Outcome> {
    // As painted it is in capitals, whatever was typed.
    let typed = Node { at: 0, kind: NodeKind::Text(registration.trim().to_uppercase()) };
    let mark = match Mark::read(&typed) {
        Ok(mark) => mark,
        Err(fault) => {
            complain(&format!("--registration: {}; {}", fault.reason, fault.correction));
            return Ok(Outcome::Failed);
        }
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
    profile.registration = Stated::Is(mark);
    if let Err(reason) = desk.fill(&mut profile) {
        complain(&reason);
        return Ok(Outcome::Failed);
    }
    let (rules, _) = rules_for(None, &profile);
    if let Some(forms) = rules.identification_forms(&profile) {
        if let Some(form) = forms.held() {
            profile.aircraft_identification = Stated::Is(form.identification);
            profile.identification_source = Stated::Is(IdentificationSource::Fixed);
        }
        if forms.all().len() > 1 || forms.held().is_none() {
            let state = state_of_registry(&profile).unwrap_or("the State of registry");
            remark(&text::folded("", 4, &format!("aircraft identification: {}", forms.words(state))));
        }
    }
    if let Some(Ok(code)) = rules.vfr_mode_a_code_of(&profile).map(|rule| rule.code.parse()) {
        profile.vfr_mode_a_code = Stated::Is(code);
    }
    for line in workings(&profile) {
        remark(&text::folded("", 4, &line));
    }
    let mut sink = Sink::open(out, force)?;
    writeln!(sink, "{:#}", profile.json())?;
    sink.close()?;
    Ok(Outcome::Done)
}

fn check_files(files: &[PathBuf], rules: Option<&Path>, format: Format) -> io::Result<Outcome> {
    let named = match rules.map(named_rules) {
        Some(None) => return Ok(Outcome::Failed),
        Some(Some(set)) => Some(set),
        None => None,
    };
    let mut outcome = Outcome::Done;
    for file in files {
        let name = file.display().to_string();
        let Some(text) = read_text(file) else {
            outcome = Outcome::Failed;
            continue;
        };
        let reading = Profile::read(&text);
        let (rules, why) = rules_for(named.as_deref(), &reading.profile);
        let problems = check(&reading, rules);
        match format {
            // Of what cannot be read the State of registry is not known.
            Format::Text if reading.is_unreadable() => print(&text::problems(&name, &problems))?,
            Format::Text => print(&(text::problems(&name, &problems) + &text::held_against(rules, &why)))?,
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

/// What is written besides the printed record.
struct Written<'a> {
    drawing: Option<&'a Path>,
    record: Option<&'a Path>,
    force: bool,
}

fn sheet(file: &Path, format: Format, rules: Option<&Path>, written: &Written<'_>) -> io::Result<Outcome> {
    let named = match rules.map(named_rules) {
        Some(None) => return Ok(Outcome::Failed),
        Some(set) => set,
        None => None,
    };
    let Some(reading) = sound_reading(file) else { return Ok(Outcome::Failed) };
    let profile = &reading.profile;
    // Both can be written, or neither is.
    let force = written.force;
    let picture = written.drawing.map(|path| Sink::open(Some(path), force)).transpose()?;
    let record = written.record.map(|path| record_to(path, force)).transpose()?;
    let svg = match picture.as_ref().map(|_| drawing(profile)).transpose() {
        Ok(svg) => svg,
        Err(reason) => {
            complain(&format!("--drawing: {reason}"));
            return Ok(Outcome::Failed);
        }
    };
    let (rules, why) = rules_for(named.as_deref(), profile);
    let problems = check(&reading, rules);
    let name = file.display().to_string();
    let sheet = Sheet::new(&name, profile, problems, rules, &why);
    match format {
        Format::Text => print(&sheet.text())?,
        Format::Json => print(&format!("{}\n", sheet.json()))?,
    }
    if let Some((sink, svg)) = picture.zip(svg) {
        sink.write_whole(svg.as_bytes())?;
    }
    if let Some(sink) = record {
        sink.write_whole(record::intended(profile, &sheet, &record::source(file), &made()?).as_bytes())?;
    }
    Ok(Outcome::Done)
}

/// A profile by its file, or of which only the mark is known.
fn install_or_mark(given: &str) -> Option<Profile> {
    if Path::new(given).exists() {
        return read_profile(Path::new(given));
    }
    let wanted = "name a profile, or write the mark as it is painted, such as N47QX";
    match SettingId::Registration.setting().with_typed(&Profile::default(), given) {
        Ok(profile) if state_of_registry(&profile).is_some() => Some(identity::of_mark(given)),
        Ok(_) => {
            let why = "is neither a file nor begins with a nationality mark that is held here";
            complain(&format!("{given:?} {why}; {wanted}"));
            None
        }
        Err(_) => {
            complain(&format!("{given:?} is neither a file nor a registration mark; {wanted}"));
            None
        }
    }
}

fn identity(old: &str, new: &str, format: Format, to: &RecordFile) -> io::Result<Outcome> {
    let (Some(old), Some(new)) = (install_or_mark(old), install_or_mark(new)) else { return Ok(Outcome::Failed) };
    let sink = to.open()?;
    let sheet = IdentitySheet::new(&old, &new);
    match format {
        Format::Text => print(&sheet.text())?,
        Format::Json => print(&format!("{}\n", sheet.json()))?,
    }
    if let Some(sink) = sink {
        sink.write_whole(record::identity(&sheet, &made()?).as_bytes())?;
    }
    Ok(Outcome::Done)
}

fn card(file: &Path, format: Format, record: Option<&Path>, force: bool) -> io::Result<Outcome> {
    let Some(reading) = sound_reading(file) else { return Ok(Outcome::Failed) };
    let card = Card::new(&reading.profile);
    if let Some(path) = record {
        let sink = record_to(path, force)?;
        sink.write_whole(html::card::card(&card, &made()?).as_bytes())?;
    }
    match format {
        Format::Text => print(&card.text())?,
        Format::Json => print(&format!("{}\n", card.json()))?,
    }
    Ok(Outcome::Done)
}

/// The rule set that `--rules` names: one of the program's, or a file of the user's own; several with commas between
/// them. Complains where there is none.
pub fn named_rules(file: &Path) -> Option<Cow<'static, RuleSet>> {
    let given = &*file.to_string_lossy();
    if given.contains(',') && !file.exists() {
        let mut sets: Vec<RuleSet> = Vec::new();
        for name in given.split(',').map(str::trim).filter(|name| !name.is_empty()) {
            let set = named_rules(Path::new(name))?.into_owned();
            // What asks for nothing adds nothing.
            if set.name != "none" && !sets.iter().any(|known| known.name == set.name) {
                sets.push(set);
            }
        }
        if sets.len() > 8 {
            complain("--rules: at most eight rule sets at once");
            return None;
        }
        return if sets.is_empty() {
            named_rules(Path::new("none"))
        } else {
            Some(Cow::Owned(RuleSet::together(sets)))
        };
    }
    if let Some(set) = rule_set(given) {
        return Some(Cow::Borrowed(set));
    }
    let is_missing = || fs::metadata(file).is_err_and(|error| error.kind() == io::ErrorKind::NotFound);
    if given != "-" && is_missing() {
        let known: Vec<&str> = rule_sets().iter().map(|set| set.name.as_str()).collect();
        complain(&format!(
            "--rules: there is no rule set and no file {given:?}; the rule sets are: {}",
            known.join(", ")
        ));
        return None;
    }
    match RuleSet::read(&read_text(file)?) {
        Ok(set) => Some(Cow::Owned(set)),
        Err(error) => {
            complain(&format!("{given}:{error}"));
            None
        }
    }
}

/// Reads a profile that frames are to be made from; says every fault that prevents it.
pub fn read_profile(file: &Path) -> Option<Profile> {
    sound_reading(file).map(|reading| reading.profile)
}

fn sound_reading(file: &Path) -> Option<ParsedProfile> {
    reading_of(file).inspect_err(Refused::tell).ok()
}

/// Why a profile is of no use.
pub struct Refused {
    /// Its faults, each with its place.
    pub faults: String,
    /// What it comes to.
    pub why: String,
}

impl Refused {
    pub fn tell(&self) {
        remark(&self.faults);
        complain(&self.why);
    }
}

/// Reads a profile that frames are to be made from, or tells every fault that prevents it.
pub fn reading_of(file: &Path) -> Result<ParsedProfile, Refused> {
    let text = text_of(file).map_err(|why| Refused { faults: String::new(), why })?;
    reading_of_text(file, &text)
}

/// The same where the text was read already.
fn reading_of_text(file: &Path, text: &str) -> Result<ParsedProfile, Refused> {
    let reading = Profile::read(text);
    if reading.has_errors() {
        let name = file.display().to_string();
        let why = format!("{name}: the profile has errors; correct them first");
        return Err(Refused { faults: text::problems(&name, &reading.problems), why });
    }
    Ok(reading)
}

/// The setting that a person means by this text. Complains if there is none.
pub fn named_setting(text: &str) -> Option<SettingId> {
    let found = SettingId::named(text);
    if found.is_none() {
        complain(&format!("{text:?} is not a setting; {}", did_you_mean(text)));
    }
    found
}

/// The settings that a misspelt name is most like.
fn did_you_mean(text: &str) -> String {
    let given = text.to_lowercase();
    let likeness = |setting: &SettingId| {
        [setting.id(), setting.name(), setting.pointer()]
            .into_iter()
            .map(|name| strsim::jaro_winkler(&given, &name.to_lowercase()))
            .fold(0.0, f64::max)
    };
    let mut all: Vec<SettingId> = SettingId::ALL.to_vec();
    all.sort_by(|a, b| likeness(b).total_cmp(&likeness(a)));
    let near: Vec<&str> = all.iter().take(3).map(|setting| setting.id()).collect();
    format!("did you mean {}? `squitterlab profile where` lists them all", near.join(", "))
}

fn where_on_air(setting: Option<SettingId>, format: Format) -> io::Result<Outcome> {
    let all: Vec<SettingId> = setting.map_or_else(|| SettingId::ALL.to_vec(), |one| vec![one]);
    match (format, setting) {
        (Format::Json, _) => {
            for setting in all {
                print(&format!("{}\n", on_air::json(setting)))?;
            }
        }
        (Format::Text, Some(setting)) => print(&on_air::text(setting))?,
        (Format::Text, None) => print(&on_air::list())?,
    }
    Ok(Outcome::Done)
}

fn list_rules() -> io::Result<Outcome> {
    let mut out =
        String::from("rule sets (--rules NAME, or a FILE of the form of `squitterlab profile schema --rules`)\n");
    for set in rule_sets() {
        out += &text::folded(
            &format!("  {}: ", set.name),
            6,
            &format!("{}; {}; source: {}", set.title, set.date, set.source),
        );
        let mut row = |text: String| out += &text::folded("      ", 10, &text);
        if !set.states.is_empty() {
            row(format!("used automatically for: {}", set.states.join(", ")));
        }
        for dated in &set.dates {
            row(format!("{}: {} ({})", dated.date, dated.what, dated.confirmed));
        }
        if let Some(rule) = &set.identification {
            let abroad = rule.abroad.map_or_else(String::new, |form| format!("; abroad {}", form.words()));
            row(format!("identification: {}{abroad} ({}; {})", rule.form.words(), rule.clause, rule.confirmed));
        }
        for rule in &set.vfr_mode_a_codes {
            row(format!("Mode A code {} ({}; {})", rule.words(), rule.clause, rule.confirmed));
        }
        for remark in &set.remarks {
            row(format!("{} {}: {} ({}; {})", remark.setting, remark.is, remark.what, remark.clause, remark.confirmed));
        }
        if let Some(scope) = &set.scope {
            row(format!("what follows is for {} ({}; {})", scope.words, scope.clause, scope.confirmed));
        }
        for floor in &set.floors {
            row(format!("{} at least {} ({}; {})", floor.setting, floor.at_least, floor.clause, floor.confirmed));
        }
        if let Some(pairs) = &set.pairs {
            let each: Vec<String> = pairs.pairs.iter().map(|[one, other]| format!("{one} and {other}")).collect();
            row(format!(
                "{} and {} together: {} ({}; {})",
                pairs.settings[0],
                pairs.settings[1],
                each.join(", "),
                pairs.clause,
                pairs.confirmed
            ));
        }
        for unseen in &set.unseen {
            row(format!("no frame can show: {} ({}; {})", unseen.what, unseen.clause, unseen.confirmed));
        }
        for required in &set.required {
            row(format!("{} is required ({}; {})", required.setting, required.clause, required.confirmed));
        }
    }
    out += "\nchecks (always made)\n";
    for check in checks() {
        out += &text::folded(&format!("  {}: ", check.name), 6, &format!("{}; source: {}", check.about, check.source));
    }
    out += &text::folded("  remark, pairs: ", 6, "what the rule set says of a setting, or of two that go together");
    out += &text::folded("  form: ", 6, "the JSON has the form of the schema; source: squitterlab profile schema");
    out += &text::folded(
        "  floor: ",
        6,
        "the regulator's minimum values in the rule set; an unconfirmed number is only a note",
    );
    out += &text::folded(
        "  stated: ",
        6,
        "what is not stated or still to be filled in; nothing is shown or expected of it",
    );
    print(&out)?;
    Ok(Outcome::Done)
}
