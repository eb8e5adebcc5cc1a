//! `decode --out-dir`: writes a folder of tables, one for each message, that query engines read as one data set.
//!
//! Each capture is followed by itself, and what comes of it appears all at once: its files are written beside their names,
//! get them when the capture is read whole, and are listed in a manifest of their own. So several processes may write into
//! one folder, and whoever starts anew leaves out what is there.

use super::output::{SetAside, Sink, complain, remark};
use super::{Outcome, decode};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use squitterlab::capture::{Accounting, End, sha256};
use squitterlab::code::RegisterNumber;
use squitterlab::downlink::Decoded;
use squitterlab::present::json::Place;
use squitterlab::present::table::{Batch, Columns, Slice, Tabulator, csv, microseconds, parquet};
use squitterlab::track::Observation;
use std::collections::HashMap;
use std::fmt::Write as _;
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::str::FromStr;
use std::sync::Arc;
use std::time::{SystemTime, UNIX_EPOCH};

/// At most this many files are written at once; the one that was not written to for longest is finished first.
const MOST_OPEN: usize = 64;
/// With more pages than this in memory, those of the largest table are written as a group, or what was not written to for
/// this many batches is finished.
const MOST_IN_MEMORY: usize = 16 << 20;
const LONG_AGO: u64 = 2_000;
/// A file of this many rows is finished, since what a file says of its own groups is in memory until then.
const MOST_ROWS: u64 = 1 << 22;
/// What engines take for "none" in the name of a folder.
const NONE: &str = "__HIVE_DEFAULT_PARTITION__";
/// The folder of the manifests, which engines pass over.
const MANIFESTS: &str = "_manifest";

/// What the tables are cut by.
#[derive(Clone, Copy, Debug)]
pub struct By {
    slice: Option<fn(i64) -> Slice>,
    source: bool,
}

impl FromStr for By {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let wanted = "write message, and after a comma hour, date or source, such as message,hour";
        let (message, more) = text.split_once(',').map_or((text, None), |(message, more)| (message, Some(more)));
        if message != "message" {
            return Err(wanted.to_owned());
        }
        match more {
            None => Ok(Self { slice: None, source: false }),
            Some("hour") => Ok(Self { slice: Some(Slice::hour), source: false }),
            Some("date") => Ok(Self { slice: Some(Slice::day), source: false }),
            Some("source") => Ok(Self { slice: None, source: true }),
            Some(_) => Err(wanted.to_owned()),
        }
    }
}

impl By {
    /// What the arguments ask for.
    fn words(self) -> &'static str {
        match self {
            Self { source: true, .. } => "message,source",
            Self { slice: None, .. } => "message",
            Self { slice: Some(slice), .. } if matches!(slice(0), Slice::Hour(_)) => "message,hour",
            Self { .. } => "message,date",
        }
    }
}

/// The tables: every message with its columns.
pub type Tables = Arc<[(&'static str, Arc<Columns>)]>;

/// One cut of a table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Key {
    message: usize,
    slice: Option<Slice>,
}

/// Rows, as they are written.
pub enum Rows {
    /// For Parquet.
    Columns(Batch),
    /// Lines of text, and how many.
    Lines(Vec<u8>, usize),
}

/// Sorts frames into tables.
pub struct Sorter {
    by: By,
    is_text: bool,
    tables: Tables,
    places: HashMap<&'static str, usize>,
    tabulators: Vec<Option<Tabulator>>,
    slice: Option<Slice>,
    done: Vec<(Key, Rows)>,
}

impl Sorter {
    /// One that has none yet.
    pub fn new(by: By, is_text: bool, tables: &Tables) -> Self {
        let places = tables.iter().enumerate().map(|(place, (message, _))| (*message, place)).collect();
        let tabulators = tables.iter().map(|_| None).collect();
        Self { by, is_text, tables: Arc::clone(tables), places, tabulators, slice: None, done: Vec::new() }
    }

    /// Puts a frame into its table.
    pub fn push(&mut self, place: &Place<'_>, decoded: &Decoded, observation: &Observation) {
        if let Some(slice) = self.by.slice {
            let slice = place.time.and_then(microseconds).map(slice);
            if slice != self.slice {
                self.end_slice();
                self.slice = slice;
            }
        }
        let Some(at) = self.places.get(decoded.message()) else { return };
        let columns = &self.tables[*at].1;
        let tabulator = self.tabulators[*at].get_or_insert_with(|| Tabulator::new(Arc::clone(columns)));
        tabulator.push(place, decoded, observation);
    }

    fn end_slice(&mut self) {
        for (message, tabulator) in self.tabulators.iter_mut().enumerate() {
            let Some(tabulator) = tabulator.as_mut().filter(|tabulator| tabulator.rows() > 0) else { continue };
            let batch = tabulator.take();
            let rows = if self.is_text {
                let mut text = Vec::new();
                csv::rows(&batch, &mut text);
                Rows::Lines(text, batch.rows())
            } else {
                Rows::Columns(batch)
            };
            self.done.push((Key { message, slice: self.slice }, rows));
        }
    }

    /// Hands out what was put in.
    pub fn take(&mut self) -> Vec<(Key, Rows)> {
        self.end_slice();
        std::mem::take(&mut self.done)
    }
}

/// The options that are not what they were, as they are written.
fn differing(before: &Value, now: &Value) -> String {
    fn shown(value: &Value) -> String {
        match value {
            Value::Null => "not given".to_owned(),
            Value::String(text) => text.clone(),
            Value::Array(all) => all.iter().map(shown).collect::<Vec<_>>().join(","),
            Value::Object(all) if all.is_empty() => shown(&Value::Null),
            Value::Object(all) => {
                all.iter().map(|(name, value)| format!("{name}={}", shown(value))).collect::<Vec<_>>().join(" ")
            }
            other => other.to_string(),
        }
    }
    let all = now.as_object().into_iter().flatten().filter(|(name, value)| before.get(name) != Some(value));
    let all = all.map(|(name, value)| {
        let (option, before) = (name.replace('_', "-"), before.get(name).unwrap_or(&Value::Null));
        format!("--{option} {}, now {}", shown(before), shown(value))
    });
    all.collect::<Vec<_>>().join("; ")
}

/// What a manifest says: one capture, and the files that came of it.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
pub struct Manifest {
    /// Always `manifest/1`.
    schema: String,
    /// The program and its version.
    program: String,
    /// The capture.
    capture: Capture,
    /// What the lines of the capture were.
    account: Value,
    /// How it was decoded and cut.
    options: Value,
    /// The files, from the folder of the data set.
    parts: Vec<Part>,
}

/// A capture, as it was when it was read.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
struct Capture {
    /// Its name, as it was given.
    file: String,
    /// How many bytes it had; `null` for standard input.
    octets: Option<u64>,
    /// When it was last changed, in seconds since 1970; `null` where that is not known.
    modified: Option<f64>,
    /// The SHA-256 of what was read.
    sha256: Option<String>,
}

/// A file of the data set.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
struct Part {
    /// Where it is.
    path: String,
    /// How many rows it has.
    rows: u64,
}

/// The folder.
pub struct Dataset {
    folder: PathBuf,
    by: By,
    force: bool,
    is_text: bool,
    threads: usize,
    tables: Tables,
    options: Value,
    /// The manifests that are there, by the digest of the capture.
    known: HashMap<String, String>,
    // Of the capture that is being read:
    open: HashMap<Key, Open>,
    done: Vec<(Part, SetAside)>,
    folders: Vec<PathBuf>,
    batches: u64,
    number: usize,
    /// For captures that have no name.
    of_this_run: String,
}

/// A file that is being written.
struct Open {
    out: Out,
    path: String,
    rows: u64,
    octets: usize,
    last: u64,
}

enum Out {
    Lines(Sink),
    Columns(Box<parquet::Writer<Sink>>),
}

impl Dataset {
    /// Opens a folder, which is made if it is not there.
    pub fn open(
        arguments: &decode::Arguments,
        folder: &Path,
        by: By,
        tables: &Tables,
        threads: usize,
    ) -> io::Result<Self> {
        let cannot = |error: io::Error| io::Error::new(error.kind(), format!("{}: {error}", folder.display()));
        fs::create_dir_all(folder.join(MANIFESTS)).map_err(cannot)?;
        let mut known = HashMap::new();
        for entry in fs::read_dir(folder.join(MANIFESTS)).map_err(cannot)? {
            let name = entry.map_err(cannot)?.file_name().to_string_lossy().into_owned();
            let Some(id) = name.strip_suffix(".json").filter(|id| !id.starts_with('.') && !id.contains('.')) else {
                continue;
            };
            if let Some(digest) = read_manifest(folder, id).and_then(|manifest| manifest.capture.sha256) {
                known.insert(digest, id.to_owned());
            }
        }
        let now = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
        Ok(Self {
            folder: folder.to_owned(),
            by,
            force: arguments.force,
            is_text: arguments.format == decode::Format::Csv,
            threads,
            tables: Arc::clone(tables),
            options: arguments.options(by.words()),
            known,
            open: HashMap::new(),
            done: Vec::new(),
            folders: Vec::new(),
            batches: 0,
            number: 0,
            of_this_run: id(format!("{} {}", now.as_nanos(), std::process::id()).as_bytes()),
        })
    }

    /// What files of this capture are called by: the same in every run.
    fn id(&self, name: &str) -> String {
        if name == "-" {
            return self.of_this_run.clone();
        }
        let whole = fs::canonicalize(name).unwrap_or_else(|_| name.into());
        id(whole.as_os_str().as_encoded_bytes())
    }

    /// Whether a capture is in the data set as it is now. What is left of an attempt that did not come to its end goes.
    ///
    /// # Errors
    /// It is there, decoded in another way.
    pub fn has(&self, name: &str) -> Result<bool, String> {
        let id = self.id(name);
        if let Some(unfinished) = read_json::<Vec<String>>(&self.unfinished(&id)) {
            for part in &unfinished {
                drop(fs::remove_file(self.folder.join(part)));
            }
            drop(fs::remove_file(self.manifest(&id)));
            drop(fs::remove_file(self.unfinished(&id)));
        }
        let Some(manifest) = read_manifest(&self.folder, &id) else { return Ok(false) };
        if self.force {
            return Ok(false);
        }
        if manifest.options != self.options {
            return Err(format!(
                "{name}: it is in this data set already, decoded with other options ({}); name another folder, or add \
                 --force to decode it again",
                differing(&manifest.options, &self.options)
            ));
        }
        let now = capture(name, None);
        Ok(manifest.capture.octets == now.octets && manifest.capture.modified == now.modified)
    }

    fn manifest(&self, id: &str) -> PathBuf {
        self.folder.join(MANIFESTS).join(format!("{id}.json"))
    }

    fn unfinished(&self, id: &str) -> PathBuf {
        self.folder.join(MANIFESTS).join(format!("{id}.unfinished.json"))
    }

    /// Writes rows of a capture.
    pub fn write(&mut self, name: &str, key: Key, rows: &Rows) -> io::Result<()> {
        self.batches += 1;
        if !self.open.contains_key(&key) {
            if self.open.len() >= MOST_OPEN {
                self.finish_oldest()?;
            }
            let open = self.begin(name, key)?;
            self.open.insert(key, open);
        }
        let Some(open) = self.open.get_mut(&key) else { return Ok(()) };
        open.last = self.batches;
        match (&mut open.out, rows) {
            (Out::Lines(sink), Rows::Lines(text, count)) => {
                sink.write_all(text)?;
                open.rows += *count as u64;
            }
            (Out::Columns(writer), Rows::Columns(batch)) => {
                writer.push(batch)?;
                open.rows = writer.rows();
                open.octets = writer.octets();
            }
            // There is one format.
            _ => {}
        }
        if open.rows >= MOST_ROWS {
            self.finish(key, None)?;
        }
        while self.open.values().map(|open| open.octets).sum::<usize>() > MOST_IN_MEMORY {
            let oldest = self.open.values().map(|open| open.last).min().unwrap_or_default();
            if oldest + LONG_AGO < self.batches {
                self.finish_oldest()?;
            } else if let Some(open) = self.open.values_mut().max_by_key(|open| (open.octets, open.last))
                && let Out::Columns(writer) = &mut open.out
            {
                writer.end_group()?;
                open.octets = writer.octets();
            }
        }
        Ok(())
    }

    fn begin(&mut self, name: &str, key: Key) -> io::Result<Open> {
        let (message, columns) = &self.tables[key.message];
        let mut path = format!("message={message}");
        if let Some(slice) = self.by.slice {
            let cut = if matches!(slice(0), Slice::Hour(_)) { "hour" } else { "date" };
            let value = key.slice.map_or_else(|| NONE.to_owned(), |slice| slice.to_string());
            let _ = write!(path, "/{cut}={value}");
        }
        if self.by.source {
            let _ = write!(path, "/source={}", escaped(name));
        }
        let folder = self.folder.join(&path);
        if !folder.is_dir() {
            fs::create_dir_all(&folder)
                .map_err(|error| io::Error::new(error.kind(), format!("{}: {error}", folder.display())))?;
            self.folders.push(folder);
        }
        self.number += 1;
        let end = if self.is_text { "csv" } else { "parquet" };
        let _ = write!(path, "/part-{}-{:04}.{end}", self.id(name), self.number);
        let mut sink = Sink::replacing(&self.folder.join(&path))?;
        let out = if self.is_text {
            sink.write_all(csv::names(columns).as_bytes())?;
            Out::Lines(sink)
        } else {
            let mut writer = parquet::Writer::new(sink, Arc::clone(columns), self.threads)?;
            writer.note("message", message);
            writer.note("capture", name);
            Out::Columns(Box::new(writer))
        };
        Ok(Open { out, path, rows: 0, octets: 0, last: 0 })
    }

    fn finish_oldest(&mut self) -> io::Result<()> {
        let oldest = self.open.iter().min_by_key(|(_, open)| open.last).map(|(key, _)| *key);
        oldest.map_or(Ok(()), |key| self.finish(key, None))
    }

    fn finish(&mut self, key: Key, account: Option<&str>) -> io::Result<()> {
        let Some(Open { out, path, rows, .. }) = self.open.remove(&key) else { return Ok(()) };
        let sink = match out {
            Out::Lines(sink) => sink,
            Out::Columns(mut writer) => {
                if let Some(account) = account {
                    writer.note("account", account);
                }
                writer.close()?
            }
        };
        self.done.push((Part { path, rows }, sink.set_aside()?));
        Ok(())
    }

    /// Ends a capture: what came of it appears, unless it could not be read whole or is there under another name.
    pub fn end(
        &mut self,
        name: &str,
        how: &End,
        accounting: &Accounting,
        digest: Option<String>,
    ) -> io::Result<Outcome> {
        if matches!(how, End::Broken(_)) {
            self.discard();
            complain(&format!("{name}: nothing of it is in the data set, since it could not be read whole"));
            return Ok(Outcome::Failed);
        }
        let id = self.id(name);
        let same = digest.as_ref().and_then(|digest| self.known.get(digest)).filter(|other| **other != id);
        if let Some(other) = same {
            let other = read_manifest(&self.folder, other).map_or_else(String::new, |other| other.capture.file);
            self.discard();
            remark(&format!("{name}: left out, since the data set has the same capture as {other}\n"));
            return Ok(Outcome::Done);
        }
        let account = json!(accounting);
        let mut keys: Vec<Key> = self.open.keys().copied().collect();
        keys.sort_unstable();
        for key in keys {
            self.finish(key, Some(&account.to_string()))?;
        }
        self.appear(name, &id, account, digest)?;
        Ok(Outcome::Done)
    }

    /// Gives the files of a capture their names, and lists them.
    fn appear(&mut self, name: &str, id: &str, account: Value, digest: Option<String>) -> io::Result<()> {
        let before = read_manifest(&self.folder, id);
        let parts: Vec<Part> = self.done.iter().map(|(part, _)| part.clone()).collect();
        let old = before.iter().flat_map(|before| &before.parts);
        let touched: Vec<&str> = parts.iter().chain(old).map(|part| part.path.as_str()).collect();
        // Whoever comes after an interruption here finds what to take away.
        Sink::replacing(&self.unfinished(id))?.write_whole(json!(touched).to_string().as_bytes())?;
        if let Some(before) = before {
            fs::remove_file(self.manifest(id))?;
            for part in &before.parts {
                drop(fs::remove_file(self.folder.join(&part.path)));
            }
        }
        for (_, file) in self.done.drain(..) {
            file.take_name()?;
        }
        if let Some(digest) = &digest {
            self.known.insert(digest.clone(), id.to_owned());
        }
        let manifest = Manifest {
            schema: "manifest/1".to_owned(),
            program: concat!("squitterlab ", env!("CARGO_PKG_VERSION")).to_owned(),
            capture: capture(name, digest),
            account,
            options: self.options.clone(),
            parts,
        };
        let text = serde_json::to_string_pretty(&manifest).map_err(io::Error::other)? + "\n";
        Sink::replacing(&self.manifest(id))?.write_whole(text.as_bytes())?;
        self.begin_anew();
        fs::remove_file(self.unfinished(id))
    }

    /// Takes away what was written of a capture.
    fn discard(&mut self) {
        self.open.clear();
        self.done.clear();
        for folder in &self.folders {
            // What others wrote into it keeps it.
            let mut folder = Some(folder.as_path());
            while let Some(empty) = folder.filter(|folder| *folder != self.folder && fs::remove_dir(folder).is_ok()) {
                folder = empty.parent();
            }
        }
        let _ = fs::remove_dir(self.folder.join(MANIFESTS));
        self.begin_anew();
    }

    fn begin_anew(&mut self) {
        self.folders.clear();
        self.number = 0;
        self.batches = 0;
    }
}

/// The tables of all messages.
///
/// # Errors
/// A requested column has the name of another.
pub fn tables(register: Option<RegisterNumber>, more: &[(String, String)]) -> Result<Tables, String> {
    let with_more = |message: &'static str| {
        let mut columns = Columns::of_message(message, register);
        for (name, value) in more {
            columns = columns.with_constant(name, value).map_err(|error| error.to_string())?;
        }
        Ok((message, Arc::new(columns)))
    };
    Columns::messages().into_iter().map(with_more).collect()
}

/// Twelve hexadecimal digits of a digest.
fn id(octets: &[u8]) -> String {
    sha256(octets)[..12].to_owned()
}

/// A capture as it is now.
fn capture(name: &str, sha256: Option<String>) -> Capture {
    let file = fs::metadata(name).ok().filter(|file| name != "-" && file.is_file());
    let modified = file.as_ref().and_then(|file| file.modified().ok()?.duration_since(UNIX_EPOCH).ok());
    Capture {
        file: name.to_owned(),
        octets: file.map(|file| file.len()),
        // To a microsecond, which is the same when it is read again.
        modified: modified.map(|time| time.as_micros() as f64 / 1e6),
        sha256,
    }
}

fn read_json<T: for<'a> Deserialize<'a>>(path: &Path) -> Option<T> {
    serde_json::from_slice(&fs::read(path).ok()?).ok()
}

fn read_manifest(folder: &Path, id: &str) -> Option<Manifest> {
    read_json(&folder.join(MANIFESTS).join(format!("{id}.json")))
}

/// The value in the name of a folder, as engines write and read it: what paths or they themselves need is `%` and two digits.
fn escaped(value: &str) -> String {
    let mut escaped = String::new();
    for octet in value.bytes() {
        if octet.is_ascii_alphanumeric() || matches!(octet, b'-' | b'_' | b'.') {
            escaped.push(octet.into());
        } else {
            let _ = write!(escaped, "%{octet:02X}");
        }
    }
    escaped
}
