//! Opens what a command reads, small texts up to a limit and captures; and remembers each file, so that nothing is read
//! twice by mistake and no result replaces what it is made from.

use super::output::complain;
use squitterlab::capture::{Source, open_file};
use std::collections::HashMap;
use std::fmt::Display;
use std::fs::{self, Metadata};
use std::io::{self, BufRead, BufReader, Read};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

/// A profile, a situation, a flight, rules or readings that are longer are not such a file.
const LONGEST_TEXT: u64 = 4 << 20;

/// What tells one file from another, whatever the names.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
struct Identity {
    #[cfg(unix)]
    device_and_inode: (u64, u64),
    #[cfg(not(unix))]
    path: PathBuf,
}

impl Identity {
    /// Of a file, in the narrow sense: devices and pipes may well be read and written.
    #[cfg(unix)]
    fn new(file: &Metadata, _: &Path) -> Option<Self> {
        use std::os::unix::fs::MetadataExt;
        file.is_file().then(|| Self { device_and_inode: (file.dev(), file.ino()) })
    }

    #[cfg(not(unix))]
    fn new(file: &Metadata, path: &Path) -> Option<Self> {
        file.is_file().then(|| fs::canonicalize(path).ok().map(|path| Self { path })).flatten()
    }

    fn of(path: &Path) -> Option<Self> {
        if path == Path::new("-") { Self::of_standard_input() } else { Self::new(&fs::metadata(path).ok()?, path) }
    }

    #[cfg(unix)]
    fn of_standard_input() -> Option<Self> {
        use std::os::fd::AsFd;
        let input = fs::File::from(io::stdin().as_fd().try_clone_to_owned().ok()?);
        Self::new(&input.metadata().ok()?, Path::new("-"))
    }

    #[cfg(not(unix))]
    fn of_standard_input() -> Option<Self> {
        None
    }
}

struct Opened {
    files: Vec<Identity>,
    standard_input: bool,
}

static OPENED: Mutex<Opened> = Mutex::new(Opened { files: Vec::new(), standard_input: false });

/// Remembers that this is read. Not so where standard input was read already, since it gives everything once.
fn remember(path: &Path) -> Result<(), String> {
    let mut opened = OPENED.lock().unwrap_or_else(PoisonError::into_inner);
    if path == Path::new("-") && std::mem::replace(&mut opened.standard_input, true) {
        let why = "-: standard input is given twice and can be read only once; write one of the two to a file";
        return Err(why.to_owned());
    }
    opened.files.extend(Identity::of(path));
    Ok(())
}

/// Whether this file is one that is read.
pub fn is_read(path: &Path) -> bool {
    let opened = OPENED.lock().unwrap_or_else(PoisonError::into_inner);
    Identity::of(path).is_some_and(|file| opened.files.contains(&file))
}

/// Opens a file, or standard input for `-`, or says why not.
pub fn open(file: &Path) -> Option<Box<dyn Read>> {
    or_complain(opened(file))
}

/// What was found, or `None` with a complaint.
fn or_complain<T>(found: Result<T, String>) -> Option<T> {
    found.inspect_err(|why| complain(why)).ok()
}

fn opened(file: &Path) -> Result<Box<dyn Read>, String> {
    remember(file)?;
    if file == Path::new("-") {
        return Ok(Box::new(io::stdin().lock()));
    }
    match open_file(file) {
        Ok(opened) => Ok(Box::new(opened)),
        Err(error) => Err(format!("{}: cannot be read: {error}", file.display())),
    }
}

/// Waits until no other process of this program changes a file, and keeps them from it until it is dropped. `None` where that
/// cannot be had, as on Windows, where a file that is kept could not be read either.
pub fn held(path: &Path) -> Option<fs::File> {
    if cfg!(windows) || !path.is_file() {
        return None;
    }
    loop {
        let file = fs::File::open(path).ok()?;
        file.lock().ok()?;
        // Who had it may have put another file in its place.
        if Identity::new(&file.metadata().ok()?, path) == Identity::of(path) {
            return Some(file);
        }
    }
}

/// Reads a text file, or standard input for `-`, or says why not.
pub fn read_text(file: &Path) -> Option<String> {
    or_complain(text_of(file))
}

/// The text of a file, or of standard input for `-`, or why there is none.
pub fn text_of(file: &Path) -> Result<String, String> {
    let name = file.display();
    let mut bytes = Vec::new();
    if let Err(error) = opened(file)?.take(LONGEST_TEXT + 1).read_to_end(&mut bytes) {
        return Err(format!("{name}: cannot be read: {error}"));
    }
    if bytes.len() as u64 > LONGEST_TEXT {
        return Err(too_long(&name));
    }
    text_from(bytes, &name, 1)
}

fn too_long(name: impl Display) -> String {
    let most = LONGEST_TEXT >> 20;
    format!("{name}: longer than {most} MB, which no file of this kind is; check that it is the right one")
}

/// Octets as text, or why they are none; the first of them are in this line.
fn text_from(octets: Vec<u8>, name: impl Display, line: usize) -> Result<String, String> {
    if line == 1 && (octets.starts_with(&[0xFF, 0xFE]) || octets.starts_with(&[0xFE, 0xFF])) {
        return Err(format!("{name}: this is UTF-16 text; save it as UTF-8 and try again"));
    }
    String::from_utf8(octets).map_err(|error| {
        let text = &error.as_bytes()[..error.utf8_error().valid_up_to()];
        let line = line + memchr::memchr_iter(b'\n', text).count();
        format!("{name}:{line}: this line is not UTF-8 text; save the file as UTF-8")
    })
}

/// The lines of a text, each as soon as it is there.
pub struct Lines {
    name: String,
    input: BufReader<Box<dyn Read>>,
    number: usize,
    /// How many octets may still come.
    left: u64,
}

impl Lines {
    /// Opens a file, or standard input for `-`, or says why not.
    pub fn of(file: &Path) -> Option<Self> {
        let input = BufReader::new(open(file)?);
        Some(Self { name: file.display().to_string(), input, number: 0, left: LONGEST_TEXT })
    }

    /// The next line without its end, and its number; none at the end of the text.
    pub fn next_line(&mut self) -> io::Result<Option<(usize, String)>> {
        let mut octets = Vec::new();
        let read = self.input.by_ref().take(self.left + 1).read_until(b'\n', &mut octets);
        let read =
            read.map_err(|error| io::Error::new(error.kind(), format!("{}: cannot be read: {error}", self.name)))?;
        if read == 0 {
            return Ok(None);
        }
        self.left = self.left.checked_sub(read as u64).ok_or_else(|| io::Error::other(too_long(&self.name)))?;
        self.number += 1;
        let text = text_from(octets, &self.name, self.number).map_err(io::Error::other)?;
        let line = text.strip_suffix('\n').map_or(text.as_str(), |line| line.strip_suffix('\r').unwrap_or(line));
        Ok(Some((self.number, line.to_owned())))
    }
}

/// Whether one of these files is given twice, under whatever names. Complains of it, with what comes of it.
pub fn is_any_twice(names: &[PathBuf], consequence: &str) -> bool {
    let mut files: HashMap<Identity, &Path> = HashMap::new();
    for path in names {
        let Some(file) = Identity::of(path) else { continue };
        if let Some(first) = files.insert(file, path) {
            let (name, first) = (path.display(), first.display());
            let same = if first.to_string() == name.to_string() {
                "given twice".to_owned()
            } else {
                format!("the same file as {first}")
            };
            complain(&format!("{name}: {same}, so {consequence}; leave one out"));
            return true;
        }
    }
    false
}

/// What a folder among names means.
#[derive(Clone, Copy)]
pub enum Folders<'a> {
    /// All the files in it but those below another one. Hidden files and names that begin with `_` are left out.
    Searched { except: Option<&'a Path> },
    /// Itself; who opens it says that it is a folder.
    Kept,
}

/// The files that names mean: of a folder as is said, of a pattern with `*` and `?` all that fit and are not hidden, in the
/// order of their names. Complains of a folder or pattern without any.
pub fn expanded(names: &[PathBuf], folders: Folders<'_>) -> Option<Vec<PathBuf>> {
    let except = match folders {
        Folders::Searched { except } => except.and_then(|folder| fs::canonicalize(folder).ok()),
        Folders::Kept => None,
    };
    let mut all = Vec::new();
    for name in names {
        let is_pattern = name.to_string_lossy().contains(['*', '?']) && !name.exists();
        let is_folder = matches!(folders, Folders::Searched { .. }) && name.is_dir();
        if name == Path::new("-") || !is_pattern && !is_folder {
            all.push(name.clone());
            continue;
        }
        let found = if is_pattern { fitting(name) } else { below(name) };
        let mut found = or_complain(found)?;
        found.retain(|file| {
            let whole = except.as_ref().and_then(|_| fs::canonicalize(file).ok());
            !except.as_ref().zip(whole).is_some_and(|(except, whole)| whole.starts_with(except))
        });
        found.sort_unstable();
        if found.is_empty() {
            let what = if is_pattern { "no file fits this pattern" } else { "no file is in this folder" };
            complain(&format!("{}: {what}; check the name", name.display()));
            return None;
        }
        all.extend(found);
    }
    Some(all)
}

/// What is in a folder, by name.
fn inside(folder: &Path) -> Result<Vec<(String, PathBuf)>, String> {
    let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    let cannot = |error: io::Error| format!("{}: this folder cannot be read: {error}", folder.display());
    let entry = |entry: io::Result<fs::DirEntry>| {
        entry.map(|entry| (entry.file_name().to_string_lossy().into_owned(), entry.path())).map_err(cannot)
    };
    fs::read_dir(folder).map_err(cannot)?.map(entry).collect()
}

fn below(folder: &Path) -> Result<Vec<PathBuf>, String> {
    let mut all = Vec::new();
    for (name, path) in inside(folder)? {
        match name {
            hidden if hidden.starts_with(['.', '_']) => {}
            _ if path.is_dir() => all.extend(below(&path)?),
            _ => all.push(path),
        }
    }
    Ok(all)
}

fn fitting(pattern: &Path) -> Result<Vec<PathBuf>, String> {
    let mut found = vec![PathBuf::new()];
    for part in pattern.components() {
        let part = part.as_os_str();
        let text = part.to_string_lossy();
        if text.contains(['*', '?']) {
            let mut fit = Vec::new();
            for folder in found.iter().filter(|folder| folder.as_os_str().is_empty() || folder.is_dir()) {
                let named = inside(folder)?.into_iter().map(|(name, _)| name);
                fit.extend(
                    named.filter(|name| !name.starts_with('.') && fits(name, &text)).map(|name| folder.join(name)),
                );
            }
            found = fit;
        } else {
            found = found.into_iter().map(|folder| folder.join(part)).filter(|path| path.exists()).collect();
        }
    }
    found.retain(|path| !path.is_dir());
    Ok(found)
}

/// Whether a name fits a pattern in which `*` is any text and `?` any character.
fn fits(name: &str, pattern: &str) -> bool {
    let mut rest = pattern.chars();
    match rest.next() {
        None => name.is_empty(),
        Some('*') => {
            let after = rest.as_str();
            name.char_indices().any(|(at, _)| fits(&name[at..], after)) || fits("", after)
        }
        Some(wanted) => {
            let mut left = name.chars();
            left.next().is_some_and(|found| (wanted == '?' || wanted == found) && fits(left.as_str(), rest.as_str()))
        }
    }
}

/// Captures that are about to be read.
pub struct Captures {
    /// In the order given.
    pub sources: Vec<Source>,
    /// Why some of them cannot be opened.
    pub missing: Vec<String>,
}

/// The captures with these names, `-` for standard input. Complains if one is given twice.
pub fn captures(names: &[PathBuf]) -> Option<Captures> {
    if is_any_twice(names, "its frames would count twice")
        || names.iter().any(|path| or_complain(remember(path)).is_none())
    {
        return None;
    }
    let opened = |path: &Path| match fs::metadata(path)? {
        // Opening a pipe would wait for its writer.
        file if file.is_file() || file.is_dir() => open_file(path).map(drop),
        _ => Ok(()),
    };
    let files = names.iter().filter(|path| path.as_path() != Path::new("-"));
    let missing = files
        .filter_map(|path| opened(path).err().map(|error| format!("{}: cannot be opened: {error}", path.display())));
    let missing = missing.collect();
    Some(Captures { sources: names.iter().map(|path| Source::from(path.as_path())).collect(), missing })
}
