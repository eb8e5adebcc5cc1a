//! Bad input of every kind to every command and to the page: the tables of `bad_input.json`, run by one loop each. Whatever
//! is wrong is said with its place, reason and correction, in bounded time and memory; nothing panics, nothing is left half
//! written.

use crate::browser::Page;
use crate::page::send;
use crate::program::{self, Folder, flat, profile_text};
use serde::Deserialize;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::io::{Read, Write};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    /// What a row is.
    _about: String,
    commands: Vec<Case>,
    page: Vec<Question>,
}

/// A run of the program.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    /// What is bad.
    what: String,
    /// The arguments; `@name` is a file of this case, and `P`, `S`, `C` are the demo's profile, situation and capture.
    run: Vec<Argument>,
    /// Standard input.
    #[serde(default)]
    input: Option<Content>,
    /// What is there before.
    #[serde(default)]
    files: BTreeMap<String, Content>,
    /// Files that are there after it besides.
    #[serde(default)]
    makes: Vec<String>,
    exit: i32,
    /// What is said: place, reason, correction.
    says: Vec<String>,
}

/// An argument, or a piece of one many times over.
#[derive(Deserialize)]
#[serde(untagged)]
enum Argument {
    Text(String),
    Repeat(String, usize),
}

impl Argument {
    fn text(&self) -> String {
        match self {
            Self::Text(text) => text.clone(),
            Self::Repeat(piece, times) => piece.repeat(*times),
        }
    }
}

/// What is in a file.
#[derive(Deserialize)]
#[serde(rename_all = "snake_case")]
enum Content {
    Text(String),
    Hex(String),
    /// A piece, many times over.
    Repeat(String, usize),
    /// Begin, a piece many times over, end.
    Around(String, String, usize, String),
    Gzip(Box<Content>),
    Zstd(Box<Content>),
    Joined(Vec<Content>),
    /// Without its last octets.
    Cut(Box<Content>, usize),
    /// The demo profile with pieces replaced.
    Profile(Vec<(String, String)>),
    /// A file of the repository.
    Copy(String),
    Link(String),
    HardLink(String),
    Pipe,
    Folder,
}

impl Content {
    fn octets(&self) -> Vec<u8> {
        match self {
            Self::Text(text) => text.clone().into_bytes(),
            Self::Hex(digits) => hex::decode(digits).expect("hexadecimal"),
            Self::Repeat(piece, times) => piece.repeat(*times).into_bytes(),
            Self::Around(begin, piece, times, end) => format!("{begin}{}{end}", piece.repeat(*times)).into_bytes(),
            Self::Gzip(inner) => {
                let mut encoder = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
                encoder.write_all(&inner.octets()).expect("memory");
                encoder.finish().expect("memory")
            }
            Self::Zstd(inner) => {
                let level = ruzstd::encoding::CompressionLevel::Fastest;
                ruzstd::encoding::compress_to_vec(inner.octets().as_slice(), level)
            }
            Self::Joined(parts) => parts.iter().flat_map(Self::octets).collect(),
            Self::Cut(inner, by) => {
                let mut octets = inner.octets();
                octets.truncate(octets.len().checked_sub(*by).expect("that much is there"));
                octets
            }
            Self::Profile(pieces) => {
                let pieces: Vec<(&str, &str)> = pieces.iter().map(|(old, new)| (&**old, &**new)).collect();
                profile_text(&pieces).into_bytes()
            }
            Self::Copy(name) => std::fs::read(name).expect("a file of the repository"),
            Self::Link(_) | Self::HardLink(_) | Self::Pipe | Self::Folder => panic!("not the content of a file"),
        }
    }

    fn make(&self, folder: &Folder, name: &str) {
        let path = folder.path(name);
        match self {
            #[cfg(unix)]
            Self::Link(target) => std::os::unix::fs::symlink(target, path).expect("a link"),
            Self::HardLink(target) => std::fs::hard_link(folder.path(target), path).expect("a link"),
            Self::Pipe => assert!(Command::new("mkfifo").arg(path).status().expect("mkfifo").success()),
            Self::Folder => std::fs::create_dir(path).expect("a folder"),
            other => std::fs::write(path, other.octets()).expect("a file"),
        }
    }
}

/// A request to the page.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Question {
    what: String,
    ask: String,
    body: Body,
    status: u16,
    says: Vec<String>,
}

#[derive(Deserialize)]
#[serde(untagged)]
enum Body {
    Text(String),
    Around(String, String, usize, String),
    Json(Value),
}

impl Body {
    fn text(&self) -> String {
        match self {
            Self::Text(text) => text.clone(),
            Self::Around(begin, piece, times, end) => format!("{begin}{}{end}", piece.repeat(*times)),
            Self::Json(value) => value.to_string(),
        }
    }
}

fn table() -> Table {
    let text = std::fs::read_to_string("tests/bad_input.json").expect("the table");
    serde_json::from_str(&text).expect("a table")
}

/// No case takes longer, on a busy machine without optimisation.
const LONGEST: Duration = Duration::from_secs(40);
/// No case needs more address space, in kB; of memory it is far less, but each thread reserves some.
const MOST_KB: u64 = 3_000_000;
/// No answer to bad input is longer, in octets.
const LONGEST_ANSWER: usize = 200_000;

/// Exit status, standard output and error; or why there are none.
fn run_bounded(arguments: &[String], input: Vec<u8>) -> Result<(i32, String, String), String> {
    let mut child = Command::new("sh")
        .args(["-c", &format!("ulimit -v {MOST_KB}; exec \"$@\""), "sh", env!("CARGO_BIN_EXE_squitterlab")])
        .args(arguments)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("it starts");
    let mut stdin = child.stdin.take().expect("a pipe");
    let writing = std::thread::spawn(move || drop(stdin.write_all(&input)));
    let reading = |mut from: Box<dyn Read + Send>| {
        std::thread::spawn(move || {
            let mut said = Vec::new();
            from.read_to_end(&mut said).expect("it is read");
            String::from_utf8_lossy(&said).into_owned()
        })
    };
    let out = reading(Box::new(child.stdout.take().expect("a pipe")));
    let err = reading(Box::new(child.stderr.take().expect("a pipe")));
    let started = Instant::now();
    let status = loop {
        if let Some(status) = child.try_wait().expect("a child") {
            break status;
        }
        if started.elapsed() > LONGEST {
            child.kill().expect("it is ours");
            return Err(format!("still running after {LONGEST:?}"));
        }
        std::thread::sleep(Duration::from_millis(3));
    };
    writing.join().expect("the input is written");
    let (out, err) = (out.join().expect("text"), err.join().expect("text"));
    status.code().map(|code| (code, out, err)).ok_or_else(|| format!("ended by a signal: {status}"))
}

/// What is wrong with how a case was answered.
fn faults(case: &Case, at: usize) -> Vec<String> {
    let folder = Folder::new(&format!("bad_input_{at}"));
    // Links come last: what they lead to has to be there.
    let (links, others): (Vec<_>, Vec<_>) =
        case.files.iter().partition(|(_, content)| matches!(content, Content::Link(_) | Content::HardLink(_)));
    others.iter().chain(&links).for_each(|(name, content)| content.make(&folder, name));
    let before = folder.names();
    let kept: Vec<Option<Vec<u8>>> = before.iter().map(|name| kept(&folder.path(name))).collect();
    let arguments: Vec<String> = case
        .run
        .iter()
        .map(|argument| match argument.text().as_str() {
            "P" => crate::program::PROFILE.to_owned(),
            "S" => crate::program::SITUATION.to_owned(),
            "C" => crate::program::GOOD[1].to_owned(),
            other => other.strip_prefix('@').map_or_else(|| other.to_owned(), |name| folder.path(name)),
        })
        .collect();
    let input = case.input.as_ref().map(Content::octets).unwrap_or_default();
    let (status, out, err) = match run_bounded(&arguments, input) {
        Ok(said) => said,
        Err(why) => return vec![why],
    };
    let mut faults = Vec::new();
    let mut wrong = |why: String| faults.push(why);
    let said = flat(&format!("{err}\n{out}")).replace(folder.path("").as_str(), "@");
    if status != case.exit {
        wrong(format!("exit {status}, not {}", case.exit));
    }
    for words in case.says.iter().filter(|words| !said.contains(words.as_str())) {
        wrong(format!("{words:?} is not said"));
    }
    // The words of a panic, of a parser and of this language are not for users.
    for jargon in [
        "panicked",
        "RUST_BACKTRACE",
        "EOF while",
        "expected value",
        "invalid type",
        "Utf8Error",
        "Some(",
        "found in string",
        "target type",
        "..=",
        "valid UTF-8",
    ] {
        if said.contains(jargon) {
            wrong(format!("{jargon:?} is said"));
        }
    }
    if said.chars().any(char::is_control) {
        wrong("an order to the terminal is said".to_owned());
    }
    if out.len() + err.len() > LONGEST_ANSWER {
        wrong(format!("{} octets are said", out.len() + err.len()));
    }
    let mut expected = [before.clone(), case.makes.clone()].concat();
    expected.sort();
    if folder.names() != expected {
        wrong(format!("there is {:?}, not {expected:?}", folder.names()));
    }
    for (name, octets) in before.iter().zip(kept).filter(|(name, _)| !case.makes.contains(name)) {
        if self::kept(&folder.path(name)) != octets {
            wrong(format!("{name} is changed"));
        }
    }
    if !faults.is_empty() {
        faults.push(said.chars().take(1500).collect());
    }
    faults
}

/// What is in a file, if it is one.
fn kept(path: &str) -> Option<Vec<u8>> {
    let is_file = std::fs::symlink_metadata(path).is_ok_and(|file| file.is_file() && file.len() < 1 << 20);
    is_file.then(|| std::fs::read(path).ok()).flatten()
}

#[cfg(unix)]
#[test]
fn every_bad_input_to_a_command_is_answered_as_the_table_says() {
    let cases = table().commands;
    let mut failed = String::new();
    for (at, case) in cases.iter().enumerate() {
        assert!(case.exit != 0 || !case.says.is_empty(), "{}: a row says what must be said", case.what);
        let faults = faults(case, at);
        if !faults.is_empty() {
            writeln!(failed, "{}:\n    {}", case.what, faults.join("\n    ")).expect("text");
        }
    }
    assert!(failed.is_empty(), "{failed}");
}

#[test]
fn every_bad_question_to_the_page_is_answered_as_the_table_says() {
    let page = Page::start(&[]);
    let mut failed = String::new();
    for Question { what, ask, body, status, says } in table().page {
        let (body, path, address) = (body.text(), page.path(&format!("/ask/{ask}")), page.address());
        let length = body.len();
        let head = format!(
            "POST {path} HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\nContent-Length: {length}\r\n\r\n{body}"
        );
        let said = send(address, head.as_bytes());
        let told = flat(&said.json().to_string());
        let unsaid: Vec<&String> = says.iter().filter(|words| !told.contains(words.as_str())).collect();
        if said.status != status || !unsaid.is_empty() || told.contains("panicked") {
            let told: String = told.chars().take(600).collect();
            writeln!(failed, "{what}: {} and not {status}, {unsaid:?} is not said: {told}", said.status).expect("text");
        }
    }
    assert!(failed.is_empty(), "{failed}");
}

#[test]
fn the_tables_leave_no_command_and_no_question_out() {
    let Table { commands, page, .. } = table();
    assert!(commands.len() + page.len() >= 150, "{} and {}", commands.len(), page.len());
    let whats: BTreeSet<&str> =
        commands.iter().map(|case| &*case.what).chain(page.iter().map(|question| &*question.what)).collect();
    assert_eq!(whats.len(), commands.len() + page.len(), "each is there once");
    for (of, leading) in [(&[][..], 0), (&["profile"], 1)] {
        for name in program::commands(of) {
            let of_it = |case: &&Case| {
                let word = |at: usize| case.run.get(at).map(Argument::text).unwrap_or_default();
                word(leading) == name && (leading == 0 || word(0) == "profile")
            };
            assert!(commands.iter().any(|case| of_it(&case)), "{name} gets no bad input");
        }
    }
    let asked: BTreeSet<&str> = page.iter().map(|question| &*question.ask).collect();
    for question in [
        "bits", "make", "install", "readback", "watch", "parity", "position", "altitude", "identity", "exercise",
        "solution", "verdict",
    ] {
        assert!(asked.contains(question), "{question} gets no bad input");
    }
}
