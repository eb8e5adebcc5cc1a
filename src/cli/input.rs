//! Opens what a command reads, small texts up to a limit and captures; and remembers each file, so that nothing is read
//! twice by mistake and no result replaces what it is made from.

use super::output::complain;
use squitterlab::capture::{Source, open_file};
use std::collections::HashMap;
use std::fs::{self, Metadata};
use std::io::{self, Read};
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
        let most = LONGEST_TEXT >> 20;
        return Err(format!(
            "{name}: longer than {most} MB, which no file of this kind is; check that it is the right one"
        ));
    }
    if bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]) {
        return Err(format!("{name}: this is UTF-16 text; save it as UTF-8 and try again"));
    }
    String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        format!("{name}: byte {at} is not UTF-8 text; save the file as UTF-8")
    })
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

/// The files that names mean: of a folder all that are in it, of a pattern with `*` and `?` all that fit, in the order
/// of their names. Hidden files, names that begin with `_`, and what is below `except` are left out. Complains of a folder or
/// pattern without any.
pub fn expanded(names: &[PathBuf], except: Option<&Path>) -> Option<Vec<PathBuf>> {
    let except = except.and_then(|folder| fs::canonicalize(folder).ok());
    let mut all = Vec::new();
    for name in names {
        let is_pattern = name.to_string_lossy().contains(['*', '?']) && !name.exists();
        if name == Path::new("-") || !is_pattern && !name.is_dir() {
            all.push(name.clone());
            continue;
        }
        let mut found = if is_pattern { fitting(name) } else { below(name) };
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

/// What is in a folder, by name; nothing if it cannot be read.
fn inside(folder: &Path) -> impl Iterator<Item = (String, PathBuf)> {
    let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    fs::read_dir(folder).into_iter().flatten().flatten().map(|entry| {
        let name = entry.file_name().to_string_lossy().into_owned();
        (name, entry.path())
    })
}

fn below(folder: &Path) -> Vec<PathBuf> {
    let shown = inside(folder).filter(|(name, _)| !name.starts_with(['.', '_']));
    shown.flat_map(|(_, path)| if path.is_dir() { below(&path) } else { vec![path] }).collect()
}

fn fitting(pattern: &Path) -> Vec<PathBuf> {
    let mut found = vec![PathBuf::new()];
    for part in pattern.components() {
        let part = part.as_os_str();
        let text = part.to_string_lossy();
        found = if text.contains(['*', '?']) {
            let fits_part = |(name, _): &(String, PathBuf)| !name.starts_with('.') && fits(name, &text);
            let named = |folder: &PathBuf| {
                let all: Vec<PathBuf> = inside(folder).filter(fits_part).map(|(name, _)| folder.join(name)).collect();
                all
            };
            found.iter().flat_map(named).collect()
        } else {
            found.into_iter().map(|folder| folder.join(part)).filter(|path| path.exists()).collect()
        };
    }
    found.retain(|path| !path.is_dir());
    found
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
