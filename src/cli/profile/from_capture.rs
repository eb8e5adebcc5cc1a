//! `profile from-capture`: profiles drafted from what aircraft send.

use super::{Refused, read_text, reading_of_text};
use crate::cli::input::{Captures, captures};
use crate::cli::output::{Sink, complain, print, remark, report_end};
use crate::cli::progress::Progress;
use crate::cli::{Format, Outcome, Threads, Times};
use clap::Args;
use serde_json::json;
use squitterlab::capture::{Clock, End, ReadError, Record, Source};
use squitterlab::compare::{Draft, Drafting, Fleet, Install, LEAST_FRAMES, Sightings};
use squitterlab::frame::Address;
use squitterlab::present::draft::{json as draft_json, profile_text, seen_words};
use squitterlab::present::schema;
use squitterlab::present::text::{self, counted};
use squitterlab::profile::{Profile, RuleSet, Stated, with_value};
use squitterlab::registry::look_up;
use std::fmt::Write;
use std::fs;
use std::io::{self, Write as _};
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};

#[derive(Debug, Args)]
#[command(after_help = "\
What is stated was seen, and nothing else sends that; what is a range or a class, what varies, and what was not seen \
is left open (null), and a comment above each setting says what was seen, how often and where.

Examples:
  squitterlab profile from-capture vectors/demo/faulty.txt \\
      --address A5C035 --out found.json
  squitterlab profile from-capture vectors/demo/good_air.txt \\
      --merge vectors/demo/profile.json
  squitterlab profile from-capture vectors/demo/fleet.txt --each fleet

Exit status 1 if --merge finds a difference.")]
pub struct Arguments {
    /// Captured text, plain, gzip or zstd; - is standard input
    #[arg(value_name = "CAPTURE", required_unless_present = "schema")]
    captures: Vec<PathBuf>,
    /// The aircraft, if several were heard
    #[arg(long, value_name = "HEX", value_parser = address)]
    address: Option<Address>,
    /// Fill what this profile leaves open, and list the differences
    #[arg(long, value_name = "FILE", conflicts_with = "each")]
    merge: Option<PathBuf>,
    /// Write a draft for every aircraft into this folder, named after its address
    #[arg(long, value_name = "DIR", value_parser = crate::cli::folder(), group = "written", conflicts_with = "address")]
    each: Option<PathBuf>,
    /// Text, or JSON: one object per aircraft
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
    #[command(flatten)]
    times: Times,
    #[command(flatten)]
    threads: Threads,
    /// Write to this file instead of standard output
    #[arg(long, value_name = "FILE", group = "written")]
    out: Option<PathBuf>,
    /// Overwrite files that are there
    #[arg(long, requires = "written")]
    force: bool,
    /// Print the JSON Schema of an object
    #[arg(long)]
    schema: bool,
}

/// Reads an address.
fn address(text: &str) -> Result<Address, String> {
    let fine = text.len() == 6 && text.bytes().all(|b| b.is_ascii_hexdigit());
    let bits = u32::from_str_radix(text, 16).ok().filter(|_| fine);
    bits.map(Address::new).ok_or_else(|| "write six hexadecimal digits, such as A5C035".to_owned())
}

/// At most this many aircraft are named where one has to be chosen.
const MOST_NAMED: usize = 12;

/// A capture that is read several times; standard input is kept.
struct Readings {
    sources: Vec<Source>,
    clock: Clock,
    threads: usize,
    /// The frames, where they can be read only once.
    kept: Option<Vec<(String, Vec<Record>)>>,
    names: Vec<String>,
    /// Whether all was read to its end.
    whole: bool,
}

/// At most this many frames are kept of input that can be read only once.
const MOST_KEPT: usize = 1 << 24;

impl Readings {
    /// Reads everything once, for who was heard.
    fn first(sources: Vec<Source>, clock: Clock, threads: usize) -> (Self, Sightings, u64) {
        let mut heard = Sightings::new();
        let names: Vec<String> = sources.iter().map(Source::name).collect();
        let once = |source: &Source| match source {
            Source::StandardInput => true,
            Source::File(path) => !path.is_file(),
        };
        let mut kept = sources.iter().any(once).then(Vec::new);
        let mut progress = Progress::new(&sources, false);
        let (mut whole, mut lines) = (true, 0);
        for (at, source) in sources.iter().enumerate() {
            let mut records = Vec::new();
            let mut too_many = false;
            let read = source.read_by(&clock, |record| {
                heard.observe(&record);
                if kept.is_some() {
                    too_many = records.len() >= MOST_KEPT;
                    records.push(record);
                }
                if too_many { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
            });
            if too_many {
                complain(&format!(
                    "{}: more than {MOST_KEPT} frames, which can be read only once; write them to a file, and give that",
                    names[at]
                ));
                whole = false;
            }
            let accounting = match read {
                Ok(accounting) => accounting,
                Err(ReadError { error, accounting }) => {
                    report_end(&names[at], &End::Broken(error));
                    whole = false;
                    accounting
                }
            };
            lines += accounting.lines();
            progress.at(at, 0, &accounting);
            if let Some(kept) = &mut kept {
                kept.push((names[at].clone(), records));
            }
        }
        drop(progress);
        (Self { sources, clock, threads, kept, names, whole }, heard, lines)
    }

    /// Reads everything again, into a fleet.
    fn again(&self, fleet: &mut Fleet) {
        match &self.kept {
            Some(kept) => {
                for (name, records) in kept {
                    fleet.begin(name);
                    for record in records {
                        fleet.observe(record);
                    }
                }
            }
            None => fleet.read_sources(self.sources.clone(), &self.clock, self.threads, |_, _| {}),
        }
    }
}

pub fn run(arguments: &Arguments) -> io::Result<Outcome> {
    if arguments.schema {
        return print(&format!("{:#}\n", schema::draft())).map(|()| Outcome::Done);
    }
    let merged = match &arguments.merge {
        None => None,
        Some(file) => {
            let Some(text) = read_text(file) else { return Ok(Outcome::Failed) };
            let Some(reading) = reading_of_text(file, &text).inspect_err(Refused::tell).ok() else {
                return Ok(Outcome::Failed);
            };
            Some((file.as_path(), text, reading.profile))
        }
    };
    let Some(Captures { sources, missing }) = captures(&arguments.captures) else { return Ok(Outcome::Failed) };
    if !missing.is_empty() {
        for why in &missing {
            complain(why);
        }
        return Ok(Outcome::Failed);
    }
    let sink = match (&arguments.each, arguments.out.as_deref()) {
        (None, Some(out)) => Some(Sink::open(Some(out), arguments.force)?),
        _ => None,
    };
    let (readings, heard, lines) = Readings::first(sources, arguments.times.clock(), arguments.threads.count());
    if !readings.whole && lines == 0 {
        return Ok(Outcome::Failed);
    }
    let stated = merged.as_ref().and_then(|(.., profile)| profile.address.get().copied());
    let wanted = arguments.address.or(stated.filter(|address| heard.get(*address).is_some()));
    let chosen = match chosen(&heard, wanted, arguments.each.is_some()) {
        Ok(chosen) => chosen,
        Err(why) => {
            complain(&why);
            return Ok(Outcome::Failed);
        }
    };
    let drafts = match drafts(&readings, &heard, &chosen) {
        Ok(drafts) => drafts,
        Err(why) => {
            complain(&why);
            return Ok(Outcome::Failed);
        }
    };
    if heard.left_out > 0 {
        remark(&format!(
            "{} of aircraft beyond the first 65 536 are left out\n",
            counted(heard.left_out as usize, "frame")
        ));
    }
    let outcome = if readings.whole { Outcome::Done } else { Outcome::Failed };
    if let Some(folder) = &arguments.each {
        let written = each(folder, &drafts, &heard, &readings.names, arguments)?;
        return Ok(if outcome == Outcome::Done { written } else { outcome });
    }
    let mut sink = sink.map_or_else(|| Sink::open(None, false), Ok)?;
    let Some(draft) = drafts.first() else { return Ok(Outcome::Failed) };
    let Some((file, text, profile)) = merged else {
        match arguments.format {
            Format::Json => writeln!(sink, "{}", draft_json(draft, &readings.names))?,
            Format::Text => sink.write_all(profile_text(draft, &readings.names).as_bytes())?,
        }
        sink.close()?;
        return Ok(outcome);
    };
    let merged = match merge(draft, &text, &profile) {
        Ok(merged) => merged,
        Err(why) => {
            complain(&format!("{}:{why}", file.display()));
            return Ok(Outcome::Failed);
        }
    };
    match arguments.format {
        Format::Json => {
            let mut object = draft_json(draft, &readings.names);
            object["merged"] = json!({"profile": file.display().to_string(),
                "filled": merged.filled.iter().map(|(pointer, _)| pointer).collect::<Vec<_>>(),
                "differs": merged.differs.iter().map(|differs| json!({"setting": differs.pointer,
                    "profile_says": differs.stated, "seen": differs.seen})).collect::<Vec<_>>(),
                "text": merged.text});
            writeln!(sink, "{object}")?;
        }
        Format::Text => sink.write_all(merged.text.as_bytes())?,
    }
    sink.close()?;
    if arguments.format == Format::Text {
        remark(&merged.words(file));
    }
    Ok(match outcome {
        Outcome::Done if !merged.differs.is_empty() => Outcome::Differs,
        outcome => outcome,
    })
}

/// Which aircraft are drafted.
fn chosen(heard: &Sightings, wanted: Option<Address>, all: bool) -> Result<Vec<Address>, String> {
    let aircraft = heard.aircraft();
    if let Some(wanted) = wanted {
        return match heard.get(wanted) {
            Some(sighting) if sighting.frames >= LEAST_FRAMES => Ok(vec![wanted]),
            Some(_) => {
                Err(format!("{wanted} was heard in the clear in one frame only, which may be damaged; capture longer"))
            }
            None => Err(format!("{wanted} was not heard in the clear in these captures; {}", named(heard))),
        };
    }
    match aircraft.len() {
        0 => Err("no aircraft was heard in the clear twice in these captures; check that the right file was given"
            .to_owned()),
        1 => Ok(vec![aircraft[0].0]),
        _ if all => {
            let mut all: Vec<Address> = aircraft.iter().map(|(address, _)| *address).collect();
            all.sort_unstable();
            Ok(all)
        }
        many => Err(format!(
            "{many} aircraft were heard; say which with --address, or draft all of them with --each DIR; {}",
            named(heard)
        )),
    }
}

fn named(heard: &Sightings) -> String {
    let aircraft = heard.aircraft();
    let each = aircraft.iter().take(MOST_NAMED).map(|(address, sighting)| {
        let text = sighting.identification.as_ref().map_or_else(String::new, |text| format!(", {}", text.trim()));
        format!("{address} ({}{text})", counted(sighting.frames as usize, "frame"))
    });
    let each: Vec<String> = each.collect();
    let more =
        if aircraft.len() > each.len() { format!(" and {} more", aircraft.len() - each.len()) } else { String::new() };
    if each.is_empty() {
        "no aircraft was received twice".to_owned()
    } else {
        format!("heard: {}{more}", each.join("; "))
    }
}

/// Drafts these aircraft, and corrects each draft by comparing it with the same captures.
fn drafts(readings: &Readings, heard: &Sightings, chosen: &[Address]) -> Result<Vec<Draft>, String> {
    let aircraft: Vec<_> = chosen.iter().filter_map(|address| Some((*address, heard.get(*address)?))).collect();
    let mut drafting = Drafting::new(&aircraft).map_err(|error| error.to_string())?;
    readings.again(drafting.fleet());
    let mut drafts = drafting.drafts().map_err(|error| error.to_string())?;
    drop(drafting);
    let installs = drafts.iter().map(|draft| Install::new(&draft.address.to_string(), draft.profile()));
    let installs = installs.collect::<Result<Vec<_>, _>>().map_err(|error| error.to_string())?;
    let mut fleet = Fleet::new(installs, &RuleSet::default());
    readings.again(&mut fleet);
    for (draft, report) in drafts.iter_mut().zip(fleet.reports()) {
        draft.correct(&report);
    }
    Ok(drafts)
}

/// Writes every draft into a folder, and lists them.
fn each(
    folder: &Path,
    drafts: &[Draft],
    heard: &Sightings,
    names: &[String],
    arguments: &Arguments,
) -> io::Result<Outcome> {
    let fault = |error: io::Error| io::Error::new(error.kind(), format!("{}: {error}", folder.display()));
    if folder.is_file() {
        complain(&format!("{}: a file; name a folder for the drafts", folder.display()));
        return Ok(Outcome::Failed);
    }
    fs::create_dir_all(folder).map_err(fault)?;
    // All can be written, or none is.
    let file = |draft: &Draft| folder.join(format!("{}.json", draft.address));
    if let Some(there) = drafts.iter().map(file).find(|file| file.exists() && !arguments.force) {
        complain(&format!("{}: the file is there already; choose another folder, or add --force", there.display()));
        return Ok(Outcome::Failed);
    }
    let mut out = String::new();
    for draft in drafts {
        let file = file(draft);
        Sink::open(Some(&file), arguments.force)?.write_whole(profile_text(draft, names).as_bytes())?;
        let sighting = heard.get(draft.address);
        let text = sighting.and_then(|sighting| sighting.identification.clone()).unwrap_or_default();
        let found = look_up(draft.address);
        match arguments.format {
            Format::Json => {
                let mut object = draft_json(draft, names);
                object["file"] = json!(file.display().to_string());
                let _ = writeln!(out, "{object}");
            }
            Format::Text => {
                let _ = writeln!(
                    out,
                    "{}  {:<8}  {:<20}  {:>8}  {:>2} of {} stated  {}",
                    draft.address,
                    text.trim(),
                    found.block.map_or("no block held here", |block| block.holder),
                    counted(draft.frames as usize, "frame"),
                    draft.stated(),
                    draft.settings.len(),
                    file.display()
                );
            }
        }
    }
    if arguments.format == Format::Text {
        let _ = writeln!(out, "{} aircraft drafted; nothing in the drafts was measured", drafts.len());
    }
    print(&out)?;
    Ok(Outcome::Done)
}

/// A profile with its blanks filled.
struct Merged {
    text: String,
    /// Settings that were filled, with their values in words.
    filled: Vec<(&'static str, String)>,
    differs: Vec<Differs>,
}

struct Differs {
    pointer: &'static str,
    name: &'static str,
    stated: String,
    seen: String,
}

fn merge(draft: &Draft, text: &str, profile: &Profile) -> Result<Merged, String> {
    let drafted_profile = draft.profile();
    let (mut text, mut filled) = (text.to_owned(), Vec::new());
    for drafted in draft.settings.iter().filter(|drafted| drafted.value.is_some()) {
        let setting = drafted.setting;
        if matches!(setting.stated(profile), Stated::Is(_)) {
            continue;
        }
        text = with_value(&text, setting.id, &setting.value(&drafted_profile)).map_err(|misfit| misfit.to_string())?;
        filled.push((
            setting.pointer,
            format!("{}: {}", setting.name, setting.stated(&drafted_profile).get().cloned().unwrap_or_default()),
        ));
    }
    let differs = draft.differs_from(profile).map_err(|error| format!(" {error}"))?;
    let differs = differs.into_iter().map(|(drafted, stated)| Differs {
        pointer: drafted.setting.pointer,
        name: drafted.setting.name,
        stated,
        seen: match drafted.setting.stated(&drafted_profile).get() {
            Some(words) if drafted.seen.is_empty() => words.clone(),
            Some(words) => format!("{words}: {}", seen_words(drafted)),
            None => seen_words(drafted),
        },
    });
    Ok(Merged { text, filled, differs: differs.collect() })
}

impl Merged {
    fn words(&self, file: &Path) -> String {
        let mut out = format!(
            "{}: {} filled, {}; the file itself was not changed\n",
            file.display(),
            counted(self.filled.len(), "blank"),
            counted(self.differs.len(), "difference")
        );
        for (_, words) in &self.filled {
            out += &text::folded_to(80, "  filled: ", 6, words);
        }
        for differs in &self.differs {
            out += &text::folded_to(
                80,
                &format!("  differs: {}: ", differs.name),
                6,
                &format!("the profile says {}; seen {}", differs.stated, differs.seen),
            );
        }
        out
    }
}
