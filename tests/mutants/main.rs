//! Draws mutants at random from the list of cargo-mutants, and counts those that no test notices.
//!
//! A build takes minutes and there are thousands of mutants, so the source is built once for all that are drawn: each becomes
//! a branch that one environment variable takes. What is a constant cannot ask for a variable; such mutants are built alone.
//!
//! `mutants SOURCE COPY N SEED anew|on`, where COPY is a copy of SOURCE that may be changed; the list comes from standard
//! input. What became of each is kept in the copy, and a run that goes on tries only what no run has.

mod place;

use place::{Edit, place};
use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::Rng;
use serde::Deserialize;
use std::collections::{BTreeMap, BTreeSet};
use std::error::Error;
use std::fs;
use std::io::{self, Write};
use std::os::unix::process::CommandExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::atomic::{AtomicU32, Ordering};
use std::time::{Duration, Instant};

/// A room whose mutants are drawn, and the tests that are tried first for it: of the evidence, and of the commands.
struct Room {
    name: &'static str,
    evidence: &'static [&'static str],
    commands: &'static [&'static str],
}

const ROOMS: &[Room] = &[
    Room { name: "frame", evidence: &["properties::", "published::"], commands: &["encode::", "decode::"] },
    Room {
        name: "code",
        evidence: &["exhaustive::", "published::", "versions::"],
        commands: &["encode::", "altitude::"],
    },
    Room {
        name: "message",
        evidence: &["properties::", "published::", "pairs::", "fact_tables::"],
        commands: &["encode::", "explain::"],
    },
    Room { name: "register", evidence: &["registers::", "properties::"], commands: &["tables::", "explain::"] },
    Room {
        name: "downlink",
        evidence: &["properties::", "pairs::", "published::"],
        commands: &["encode::", "explain::"],
    },
    Room {
        name: "profile",
        evidence: &["settings::", "fact_tables::"],
        commands: &["profile::", "slips::", "entry_errors::", "altitude::", "address::", "set::", "ask::", "rules::"],
    },
    Room { name: "onair", evidence: &["properties::"], commands: &["onair::", "on_air::", "rehearse::", "run_form::"] },
    Room {
        name: "compare",
        evidence: &["judge::"],
        commands: &["compare::", "fleet::", "flights::", "readback::", "from_capture::", "watch::", "one_report::"],
    },
];

/// Tests of the page and of long inputs: after all others they would only take time. And one that compares with a program that
/// has no variables, so no mutant either.
const LEFT_OUT: &[&str] = &["page::", "attack::", "large::", "bad_input::", "closed_pipe::", "determinism::"];

/// The group of the test program that runs, or 0.
static RUNNING: AtomicU32 = AtomicU32::new(0);

/// Ends it and all that it has started.
fn end() -> io::Result<()> {
    match RUNNING.swap(0, Ordering::Relaxed) {
        0 => Ok(()),
        group => {
            Command::new("kill").args(["-KILL", "--", &format!("-{group}")]).stderr(Stdio::null()).status().map(drop)
        }
    }
}

/// The variable that names the mutant in force.
const VARIABLE: &str = "SQUITTERLAB_MUTANT";

/// Appended to the library.
const SWITCH: &str = "
pub(crate) fn mutant(number: usize) -> bool {
    static IN_FORCE: std::sync::OnceLock<Option<usize>> = std::sync::OnceLock::new();
    *IN_FORCE.get_or_init(|| std::env::var(\"SQUITTERLAB_MUTANT\").ok()?.parse().ok()) == Some(number)
}
";

#[derive(Clone, Deserialize)]
struct Mutant {
    file: String,
    name: String,
    genre: String,
    replacement: String,
    span: Span,
}

/// Lines and columns from 1, in characters.
#[derive(Clone, Copy, Deserialize)]
struct Span {
    start: Point,
    end: Point,
}

#[derive(Clone, Copy, Deserialize)]
struct Point {
    line: usize,
    column: usize,
}

impl Mutant {
    fn room(&self) -> Option<&'static Room> {
        let name = self.file.split('/').nth(1)?;
        ROOMS.iter().find(|room| room.name == name)
    }
}

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [source, copy, number, seed, run] = &arguments[..] else {
        return Err("mutants SOURCE COPY N SEED anew|on".into());
    };
    ctrlc::set_handler(|| {
        let _ = end();
        std::process::exit(130);
    })?;
    let (source, copy) = (Path::new(source), Path::new(copy));
    let (number, seed): (usize, u64) = (number.parse()?, seed.parse()?);
    let all: Vec<Mutant> = serde_json::from_reader(io::stdin())?;
    let mut all: Vec<Mutant> = all.into_iter().filter(|mutant| mutant.room().is_some()).collect();
    println!("{} mutants in {} rooms; {number} of them are drawn with seed {seed}", all.len(), ROOMS.len());
    shuffle(&mut all, seed);
    let drawn = Drawn::new(source, copy, all, number)?;
    let tests = Tests::build(copy)?;
    let goes_on = run == "on";
    let patience = patience(copy, &tests, goes_on)?;
    let mut tally = Tally::new(copy, goes_on)?;
    for (at, mutant) in drawn.together.iter().enumerate() {
        if !tally.has(mutant) {
            let mut tests = tests.clone();
            tests.patience = patience;
            tally.count(mutant, tests.notice(Some(at), mutant.room())?)?;
        }
    }
    for mutant in &drawn.alone {
        if !tally.has(mutant) {
            tally.alone(source, copy, mutant, patience)?;
        }
    }
    let (noticed, survived): (Vec<_>, Vec<_>) = tally.tried.iter().partition(|(_, by)| !by.is_empty());
    println!("{} noticed, {} not noticed, {} do not build", noticed.len(), survived.len(), drawn.dropped);
    for (name, _) in survived {
        println!("no test notices: {name}");
    }
    Ok(())
}

/// How long the tests may take: four times of what they take without any mutant, which a run that goes on need not try again.
fn patience(copy: &Path, tests: &Tests, goes_on: bool) -> Result<Duration, Box<dyn Error>> {
    let kept = copy.join("target-of-mutants-patience.txt");
    if let Some(text) = fs::read_to_string(&kept).ok().filter(|_| goes_on) {
        return Ok(Duration::from_secs(text.trim().parse()?));
    }
    let took = Instant::now();
    if let Some(failed) = tests.notice(None, None)? {
        return Err(format!("without any mutant a test fails: {failed}").into());
    }
    let took = took.elapsed();
    println!("without any mutant all tests pass in {:.0} s", took.as_secs_f64());
    let patience = 4 * took + Duration::from_secs(60);
    fs::write(kept, patience.as_secs().to_string())?;
    Ok(patience)
}

fn shuffle<T>(all: &mut [T], seed: u64) {
    let mut random = Pcg64Mcg::new(u128::from(seed));
    for at in (1..all.len()).rev() {
        all.swap(at, (random.next_u64() % (at as u64 + 1)) as usize);
    }
}

/// What is tried: mutants that are built together, and those that are built alone.
struct Drawn {
    together: Vec<Mutant>,
    alone: Vec<Mutant>,
    /// So many of those that were drawn do not build.
    dropped: usize,
}

impl Drawn {
    /// Draws until so many build; leaves the copy with all of them in it.
    fn new(source: &Path, copy: &Path, all: Vec<Mutant>, number: usize) -> Result<Self, Box<dyn Error>> {
        let mut drawn = Self { together: Vec::new(), alone: Vec::new(), dropped: 0 };
        let mut waiting = all.into_iter();
        let mut edits: Vec<Edit> = Vec::new();
        loop {
            while drawn.together.len() + drawn.alone.len() < number {
                let Some(mutant) = waiting.next() else { break };
                let text = fs::read_to_string(source.join(&mutant.file))?;
                match place(&text, &mutant)? {
                    Some(edit) if edits.iter().all(|other| other.file != edit.file || other.is_apart(&edit)) => {
                        edits.push(edit);
                        drawn.together.push(mutant);
                    }
                    _ => drawn.alone.push(mutant),
                }
            }
            write(source, copy, &edits)?;
            let wrong = in_error(copy, &edits)?;
            if wrong.is_empty() {
                return Ok(drawn);
            }
            for at in wrong.into_iter().rev() {
                edits.remove(at);
                let mutant = drawn.together.remove(at);
                println!("does not build: {}", mutant.name);
                drawn.dropped += 1;
            }
        }
    }
}

/// Writes the files with all their mutants, each behind its number.
fn write(source: &Path, copy: &Path, edits: &[Edit]) -> io::Result<()> {
    let mut files: BTreeMap<&str, Vec<(usize, &Edit)>> = BTreeMap::new();
    for (number, edit) in edits.iter().enumerate() {
        files.entry(&edit.file).or_default().push((number, edit));
    }
    make(source, copy, |file, text| {
        let mut edits = files.remove(file).unwrap_or_default();
        edits.sort_by_key(|(_, edit)| std::cmp::Reverse(edit.range.start));
        for (number, edit) in edits {
            text.replace_range(edit.range.clone(), &edit.text.replace("NUMBER", &number.to_string()));
        }
        if file == "src/lib.rs" {
            text.push_str(SWITCH);
        }
    })
}

/// Makes the copy of each file of the source; what is right already is not touched, so that it need not be built again.
fn make(source: &Path, copy: &Path, mut change: impl FnMut(&str, &mut String)) -> io::Result<()> {
    let mut folders = vec![PathBuf::from("src")];
    while let Some(folder) = folders.pop() {
        fs::create_dir_all(copy.join(&folder))?;
        for entry in fs::read_dir(source.join(&folder))? {
            let path = folder.join(entry?.file_name());
            if source.join(&path).is_dir() {
                folders.push(path);
            } else {
                let mut text = fs::read_to_string(source.join(&path))?;
                change(&path.to_string_lossy(), &mut text);
                if fs::read(copy.join(&path)).unwrap_or_default() != text.as_bytes() {
                    fs::write(copy.join(&path), text)?;
                }
            }
        }
    }
    Ok(())
}

#[derive(Deserialize)]
struct Told {
    reason: String,
    message: Option<Message>,
    executable: Option<PathBuf>,
    target: Option<Target>,
}

#[derive(Deserialize)]
struct Target {
    name: String,
}

#[derive(Deserialize)]
struct Message {
    level: String,
    rendered: Option<String>,
    spans: Vec<Spot>,
}

#[derive(Deserialize)]
struct Spot {
    file_name: String,
    byte_start: usize,
    byte_end: usize,
    is_primary: bool,
}

fn cargo(copy: &Path, arguments: &[&str]) -> Result<Vec<Told>, Box<dyn Error>> {
    let mut command = Command::new("cargo");
    command.args(arguments).args(["--locked", "--message-format=json"]).current_dir(copy);
    let said = command.stderr(Stdio::null()).output()?.stdout;
    let lines = said.split(|octet| *octet == b'\n').filter(|line| line.starts_with(b"{"));
    Ok(lines.map(serde_json::from_slice).collect::<Result<_, _>>()?)
}

/// The mutants that the compiler refuses, by the places of its errors.
fn in_error(copy: &Path, edits: &[Edit]) -> Result<BTreeSet<usize>, Box<dyn Error>> {
    let told = cargo(copy, &["check", "--lib"])?;
    let errors: Vec<Message> =
        told.into_iter().filter_map(|told| told.message).filter(|message| message.level == "error").collect();
    let mut wrong = BTreeSet::new();
    for error in &errors {
        for spot in &error.spans {
            let text = fs::read_to_string(copy.join(&spot.file_name))?;
            for (number, edit) in edits.iter().enumerate() {
                if edit.file != spot.file_name {
                    continue;
                }
                let mark = format!("crate::mutant({number})");
                let line = |at: usize| text[..at.min(text.len())].matches('\n').count();
                let Some(at) = text.find(&mark) else { continue };
                let (first, last) = (line(spot.byte_start), line(spot.byte_end));
                // A mutant has no line break of its own before its end.
                let end = at + edit.text.len();
                if spot.is_primary && last >= line(at) && first <= line(end) {
                    wrong.insert(number);
                }
            }
        }
    }
    if !errors.is_empty() && wrong.is_empty() {
        let said = errors.into_iter().filter_map(|error| error.rendered).collect::<String>();
        return Err(format!("the copy does not build: {said}").into());
    }
    Ok(wrong)
}

/// The test programs.
#[derive(Clone)]
struct Tests {
    copy: PathBuf,
    library: PathBuf,
    evidence: PathBuf,
    commands: PathBuf,
    patience: Duration,
}

impl Tests {
    fn build(copy: &Path) -> Result<Self, Box<dyn Error>> {
        let told =
            cargo(copy, &["test", "--all-features", "--no-run", "--lib", "--test", "evidence", "--test", "commands"])?;
        if let Some(error) =
            told.iter().filter_map(|told| told.message.as_ref()).find(|message| message.level == "error")
        {
            return Err(error.rendered.clone().unwrap_or_default().into());
        }
        let program = |name: &str| {
            let built = told.iter().filter(|told| told.reason == "compiler-artifact");
            let mut named = built.filter(|told| told.target.as_ref().is_some_and(|target| target.name == name));
            named.find_map(|told| told.executable.clone()).ok_or(format!("no tests named {name}"))
        };
        Ok(Self {
            copy: copy.to_owned(),
            library: program("squitterlab")?,
            evidence: program("evidence")?,
            commands: program("commands")?,
            patience: Duration::from_secs(3600),
        })
    }

    /// What notices a mutant: the tests of its room first, then all.
    fn notice(&self, number: Option<usize>, room: Option<&Room>) -> io::Result<Option<String>> {
        let skip = |names: &[&'static str]| -> Vec<&str> { names.iter().flat_map(|name| ["--skip", *name]).collect() };
        let (evidence, commands) = room.map_or((&[][..], &[][..]), |room| (room.evidence, room.commands));
        let mut stages: Vec<(&PathBuf, Vec<&str>)> = vec![(&self.library, vec![])];
        if room.is_some() {
            stages.extend([(&self.evidence, evidence.to_vec()), (&self.commands, commands.to_vec())]);
        }
        stages.extend([(&self.evidence, skip(evidence)), (&self.commands, skip(&[commands, LEFT_OUT].concat()))]);
        // The examples of the documentation.
        let cargo = PathBuf::from("cargo");
        stages.push((&cargo, vec!["test", "--locked", "--all-features", "--doc"]));
        for (program, arguments) in stages {
            if let Some(failed) = self.run(program, &arguments, number)? {
                return Ok(Some(failed));
            }
        }
        Ok(None)
    }

    /// The first test that fails.
    fn run(&self, program: &Path, arguments: &[&str], number: Option<usize>) -> io::Result<Option<String>> {
        let said = self.copy.join("target-of-mutants.txt");
        let mut command = Command::new(program);
        command.args(arguments).current_dir(&self.copy).env_remove(VARIABLE).stdin(Stdio::null());
        if let Some(number) = number {
            command.env(VARIABLE, number.to_string());
        }
        // Programs that a test has started end with it, or they would go on for ever; and all of them with this program.
        command.process_group(0).stdout(fs::File::create(&said)?).stderr(Stdio::null());
        let mut running = command.spawn()?;
        RUNNING.store(running.id(), Ordering::Relaxed);
        let started = Instant::now();
        let failed = loop {
            let text = String::from_utf8_lossy(&fs::read(&said)?).into_owned();
            let failed = text.lines().find(|line| line.starts_with("test ") && line.ends_with("FAILED"));
            if let Some(failed) = failed {
                break failed.split(' ').nth(1).map(str::to_owned);
            }
            if let Some(ended) = running.try_wait()? {
                break (!ended.success()).then(|| "the test program ends".to_owned());
            }
            if started.elapsed() > self.patience {
                break Some("it never ends".to_owned());
            }
            std::thread::sleep(Duration::from_millis(50));
        };
        end()?;
        running.wait()?;
        Ok(failed)
    }
}

/// What became of those that were tried.
struct Tally {
    /// The test that notices it, by its name; empty if none does.
    tried: BTreeMap<String, String>,
    kept: PathBuf,
}

impl Tally {
    /// Of no mutant yet, or of those that a run before this one has tried.
    fn new(copy: &Path, goes_on: bool) -> io::Result<Self> {
        let kept = copy.join("target-of-mutants-tried.txt");
        let text = if goes_on { fs::read_to_string(&kept).unwrap_or_default() } else { String::new() };
        fs::write(&kept, &text)?;
        let lines = text.lines().filter_map(|line| line.split_once('\t'));
        Ok(Self { tried: lines.map(|(by, name)| (name.to_owned(), by.to_owned())).collect(), kept })
    }

    fn has(&self, mutant: &Mutant) -> bool {
        self.tried.contains_key(&mutant.name)
    }

    fn count(&mut self, mutant: &Mutant, noticed: Option<String>) -> io::Result<()> {
        let by = noticed.unwrap_or_default();
        println!("{}: {}", mutant.name, if by.is_empty() { "NOT NOTICED" } else { &by });
        writeln!(fs::OpenOptions::new().append(true).open(&self.kept)?, "{by}\t{}", mutant.name)?;
        self.tried.insert(mutant.name.clone(), by);
        Ok(())
    }

    /// Tries a mutant that is built alone.
    fn alone(&mut self, source: &Path, copy: &Path, mutant: &Mutant, patience: Duration) -> Result<(), Box<dyn Error>> {
        let range = place::range(&fs::read_to_string(source.join(&mutant.file))?, mutant.span)?;
        make(source, copy, |file, text| {
            if file == mutant.file {
                text.replace_range(range.clone(), &mutant.replacement);
            }
        })?;
        match Tests::build(copy) {
            Ok(mut tests) => {
                tests.patience = patience;
                let noticed = tests.notice(None, mutant.room())?;
                self.count(mutant, noticed)?;
            }
            // An assertion of a constant is a test too.
            Err(error) if error.to_string().contains("evaluation panicked") => {
                self.count(mutant, Some("the build".to_owned()))?;
            }
            Err(_) => println!("does not build: {}", mutant.name),
        }
        Ok(())
    }
}
