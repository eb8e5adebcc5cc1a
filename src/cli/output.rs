//! Writes results and complaints: to standard output, standard error, and files that are never half written.

use super::input::is_read;
use super::progress::{finish, unfinished};
use squitterlab::capture::End;
use squitterlab::present::html::record;
use squitterlab::present::text;
use std::borrow::Cow;
use std::fs;
use std::io::{self, IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, PoisonError};

/// Set once whoever read the results has closed the pipe.
static READER_GONE: AtomicBool = AtomicBool::new(false);

/// Whether the reader of the results has closed the pipe. What is still to be judged is judged all the same, since the
/// exit status does not depend on who reads; only work that could go on for ever is given up.
pub fn reader_gone() -> bool {
    READER_GONE.load(Ordering::Relaxed)
}

/// Whether nobody reads a pipe any more. Windows has a third code for it, which the standard library does not know.
fn is_gone(error: &io::Error) -> bool {
    const NOT_CONNECTED: i32 = 233;
    error.kind() == io::ErrorKind::BrokenPipe || cfg!(windows) && error.raw_os_error() == Some(NOT_CONNECTED)
}

/// A writer that goes on without complaint once its reader has closed the pipe.
pub struct Quiet<W>(pub W);

impl<W> Quiet<W> {
    fn accept<T>(result: io::Result<T>, instead: T) -> io::Result<T> {
        match result {
            Err(error) if is_gone(&error) => {
                READER_GONE.store(true, Ordering::Relaxed);
                Ok(instead)
            }
            other => other,
        }
    }
}

impl<W: Write> Write for Quiet<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        Self::accept(self.0.write(bytes), bytes.len())
    }
    fn flush(&mut self) -> io::Result<()> {
        Self::accept(self.0.flush(), ())
    }
}

/// What is written for standard output, in lines that fit a narrow terminal; elsewhere as wide as always.
pub fn fitted<T>(write: impl FnOnce() -> T) -> T {
    let columns = io::stdout().is_terminal().then(|| crossterm::terminal::size().ok()).flatten();
    match columns {
        // A size of 0 is one that is not known.
        Some((columns, _)) if columns > 0 => text::at_width(usize::from(columns).max(40), write),
        _ => write(),
    }
}

/// Standard output, as it is.
pub fn standard_output() -> Quiet<io::Stdout> {
    Quiet(io::stdout())
}

/// The longest complaint, in characters. What is quoted in it may be as long as a file.
const LONGEST_COMPLAINT: usize = 2000;

/// The first characters of a text, with a sign where there are more.
pub fn cut(text: &str, most: usize) -> Cow<'_, str> {
    match text.char_indices().nth(most) {
        Some((end, _)) => Cow::Owned(format!("{}…", &text[..end])),
        None => Cow::Borrowed(text),
    }
}

/// Says on standard error what is wrong.
pub fn complain(message: &str) {
    // Nothing is left to do if even that fails.
    let _ = writeln!(anstream::stderr(), "squitterlab: {}", text::printable(&cut(message, LONGEST_COMPLAINT)));
}

/// When a record is made. `SOURCE_DATE_EPOCH` (seconds since 1970) stands for the clock where the same bytes are wanted.
///
/// # Errors
/// If it is not a date: a record dated otherwise could be mistaken for the requested one.
pub fn made() -> io::Result<String> {
    let Some(wanted) = std::env::var_os("SOURCE_DATE_EPOCH") else { return Ok(record::now()) };
    let wanted = wanted.to_string_lossy();
    wanted.parse().ok().and_then(record::at).ok_or_else(|| {
        let why =
            "is not a date in whole seconds since 1970-01-01 UTC; write such as 1750000000, or unset it for the clock";
        io::Error::new(
            io::ErrorKind::InvalidInput,
            format!("the environment variable SOURCE_DATE_EPOCH: {wanted:?} {why}"),
        )
    })
}

/// Where a record goes. That it cannot be dated is better known before anything is read.
pub fn record_to(path: &Path, force: bool) -> io::Result<Sink> {
    made()?;
    Sink::open(Some(path), force)
}

/// Says something on standard error that is not a complaint.
pub fn remark(message: &str) {
    let _ = write!(anstream::stderr(), "{}", text::printable(message));
}

/// Says how a capture ended, unless it was simply read whole. False where it could not be read to its end.
pub fn report_end(name: &str, end: &End) -> bool {
    match end {
        End::Whole => true,
        End::Grown(before, after) => {
            remark(&text::folded(
                &format!("{name}: "),
                4,
                &format!(
                    "the file grew while it was read, from {before} to {after} octets; \
                     what was written after its end was reached is not included, and its last line may be incomplete"
                ),
            ));
            true
        }
        End::Broken(error) => {
            complain(&error.to_string());
            false
        }
    }
}

/// Prints text for people, its key words coloured where colour is wanted.
pub fn print(text: &str) -> io::Result<()> {
    let text = text::printable(text);
    let mut out = Quiet(anstream::stdout().lock());
    for line in text.split_inclusive('\n') {
        out.write_all(painted(line).as_bytes())?;
    }
    out.flush()
}

/// Prints text that brings its colours with it, which go where colour is not wanted.
pub fn print_coloured(text: &str) -> io::Result<()> {
    let mut out = Quiet(anstream::stdout().lock());
    out.write_all(text.as_bytes())?;
    out.flush()
}

/// Prints the explanation of a frame: the bits of each field, and its letter in the table below them, in a colour that its
/// neighbours do not have; titles are bold, and what is doubtful is yellow or red.
pub fn print_ruled(text: &str) -> io::Result<()> {
    let text = text::printable(text);
    let lines: Vec<&str> = text.split_inclusive('\n').collect();
    let mut out = Quiet(anstream::stdout().lock());
    for (at, line) in lines.iter().enumerate() {
        let letters = [at, at + 1].into_iter().find_map(|at| lines.get(at)?.strip_prefix(LETTERS));
        let is_bits = line.starts_with(LETTERS) || line.starts_with("bits    ");
        out.write_all(
            match letters.filter(|_| is_bits) {
                Some(letters) => by_letter(line, letters),
                None => row_painted(line),
            }
            .as_bytes(),
        )?;
    }
    out.flush()
}

/// The start of the ruler's line that has the letter of each bit's field.
const LETTERS: &str = "field   ";

/// The colour of a field's letter; fields that follow one another have different ones.
fn colour_of(letter: char) -> anstyle::Style {
    use anstyle::AnsiColor::{Blue, Cyan, Green, Magenta, Red, Yellow};
    let colours = [Green, Cyan, Magenta, Yellow, Blue, Red];
    let place = ('a'..='z').chain('A'..='Z').position(|known| known == letter);
    place
        .map_or_else(anstyle::Style::new, |at| anstyle::Style::new().fg_color(Some(colours[at % colours.len()].into())))
}

/// A line of the ruler in the colours of the letters below its bits.
fn by_letter(line: &str, letters: &str) -> String {
    let (head, cells) = line.split_at(LETTERS.len());
    let mut out = head.to_owned();
    let end = |letter: char| format!("{:#}", colour_of(letter));
    let mut before = ' ';
    for (cell, letter) in cells.trim_end().chars().zip(letters.chars()) {
        if letter != before && before != ' ' {
            out += &end(before);
        }
        if letter != before && letter != ' ' {
            out += &colour_of(letter).to_string();
        }
        out.push(cell);
        before = letter;
    }
    if before != ' ' {
        out += &end(before);
    }
    out + "\n"
}

/// A line below the ruler: a row of the table has its letter coloured, a title is bold, a doubt stands out.
fn row_painted(line: &str) -> String {
    use anstyle::{AnsiColor, Style};
    let styled = |style: Style, text: &str| format!("{style}{text}{style:#}");
    let mut characters = line.chars();
    if let (Some(letter), Some(' '), Some(' ')) = (characters.next(), characters.next(), characters.next())
        && letter.is_ascii_alphabetic()
    {
        return format!("{}{}", styled(colour_of(letter), &letter.to_string()), &line[1..]);
    }
    if line.starts_with("steps: ") || line.starts_with("taken together") {
        return format!("{}\n", styled(Style::new().bold(), line.trim_end()));
    }
    let doubts = [("INVALID", AnsiColor::Red), ("from memory", AnsiColor::Yellow)];
    for (word, colour) in doubts {
        if let Some((before, after)) = line.split_once(word) {
            return format!("{before}{}{after}", styled(Style::new().fg_color(Some(colour.into())), word));
        }
    }
    painted(line)
}

fn painted(line: &str) -> String {
    use anstyle::{AnsiColor, Style};
    let colour = |colour: AnsiColor| Style::new().fg_color(Some(colour.into())).bold();
    let words = [
        ("error", colour(AnsiColor::Red)),
        ("warning", colour(AnsiColor::Yellow)),
        ("CAUTION", colour(AnsiColor::Yellow)),
    ];
    let trimmed = line.trim_start();
    for (word, style) in words {
        let indent = line.len() - trimmed.len();
        // A finding begins with its weight; a profile's problem has it after the place.
        let at =
            if trimmed.starts_with(word) { Some(indent) } else { line.find(&format!(": {word}: ")).map(|at| at + 2) };
        if let Some(at) = at {
            let (before, rest) = line.split_at(at);
            let (found, after) = rest.split_at(word.len());
            return format!("{before}{style}{found}{style:#}{after}");
        }
    }
    if line.contains("settings proved") && line.contains("verdict:") {
        let bold = Style::new().bold();
        return format!("{bold}{}{bold:#}\n", line.trim_end());
    }
    line.to_owned()
}

/// A place for results: standard output, or a file that appears under its name only when it is whole.
pub enum Sink {
    /// Standard output.
    Standard(io::BufWriter<Quiet<io::Stdout>>),
    /// What is there and is not a file, a device or a named pipe: it is written into, never replaced.
    Stream(io::BufWriter<Quiet<fs::File>>, PathBuf),
    /// A file beside its final place.
    File(Unfinished),
}

/// A file that is being written beside its final place.
pub struct Unfinished {
    writer: io::BufWriter<fs::File>,
    beside: Beside,
    path: PathBuf,
    force: bool,
}

/// A file that is whole and waits for its name; without it the file goes.
pub struct SetAside {
    beside: Beside,
    path: PathBuf,
    force: bool,
}

impl SetAside {
    /// Gives it its name.
    pub fn take_name(mut self) -> io::Result<()> {
        self.beside.take_name(&self.path, self.force).map_err(|error| not_written(&self.path, &error))
    }
}

/// The name of an unfinished file. Unless it gets its final name the file goes, whatever happens.
struct Beside {
    path: PathBuf,
    is_done: bool,
}

impl Drop for Beside {
    fn drop(&mut self) {
        if !self.is_done {
            finish(&self.path, || {
                let _ = fs::remove_file(&self.path);
            });
        }
    }
}

/// Where results of this run go, so that no two are written to one file.
static WRITTEN: Mutex<Vec<PathBuf>> = Mutex::new(Vec::new());

/// The longest part of a file's name in the name of its unfinished file, in characters: names have an end.
const LONGEST_PART: usize = 60;

impl Sink {
    /// Opens a file, or standard output for none. A file that is read is never written, whatever is forced.
    pub fn open(path: Option<&Path>, force: bool) -> io::Result<Self> {
        let Some(path) = path else {
            return Ok(Self::Standard(io::BufWriter::with_capacity(1 << 16, standard_output())));
        };
        if is_read(path) {
            let why = "this file is read, and the result would replace it; choose another name";
            return Err(io::Error::new(io::ErrorKind::AlreadyExists, format!("{}: {why}", path.display())));
        }
        Self::at(path, force, true)
    }

    /// Opens a file to be replaced, be it one that is read; it may be replaced again and again.
    pub fn replacing(path: &Path) -> io::Result<Self> {
        Self::at(path, true, false)
    }

    fn at(path: &Path, force: bool, is_once: bool) -> io::Result<Self> {
        let refused = |kind, why| Err(io::Error::new(kind, format!("{}: {why}", path.display())));
        let last = path.as_os_str().as_encoded_bytes().last();
        if last.is_some_and(|last| std::path::is_separator(char::from(*last))) {
            return refused(io::ErrorKind::IsADirectory, "a folder; name a file in it");
        }
        if cfg!(windows) && path.file_name().is_some_and(|name| is_reserved(&name.to_string_lossy())) {
            return refused(io::ErrorKind::InvalidInput, "Windows keeps this name for a device; choose another name");
        }
        let mut before = None;
        if path == Path::new("-") {
            return refused(
                io::ErrorKind::InvalidInput,
                "not the name of a file; leave it out for standard output, or name a file",
            );
        }
        match fs::metadata(path) {
            Ok(there) if there.is_dir() => {
                return refused(io::ErrorKind::IsADirectory, "a folder; name a file in it");
            }
            // Under these names stands what others have opened, be it a file.
            Ok(there) if !there.is_file() || path.starts_with("/dev") || path.starts_with("/proc") => {
                let stream = fs::OpenOptions::new().append(true).open(path).map_err(|error| named(path, &error))?;
                return Ok(Self::Stream(io::BufWriter::with_capacity(1 << 16, Quiet(stream)), path.to_owned()));
            }
            Ok(_) if !force => {
                let why = "the file is there already; choose another name, or add --force";
                return refused(io::ErrorKind::AlreadyExists, why);
            }
            Ok(there) if !is_once && there.permissions().readonly() => {
                return refused(
                    io::ErrorKind::PermissionDenied,
                    "this file is write-protected; take that from it first",
                );
            }
            Ok(there) => before = Some(there.permissions()),
            Err(error) if error.kind() == io::ErrorKind::NotFound && !path.is_symlink() => {}
            Err(error) if error.kind() == io::ErrorKind::NotFound => {
                return refused(error.kind(), "a link that leads to nothing; name the file itself");
            }
            Err(error) => return Err(named(path, &error)),
        }
        // A link stays a link: what it leads to is renewed. Of a new file, the folder is found.
        let path = fs::canonicalize(path).unwrap_or_else(|_| {
            let parent = path.parent().filter(|parent| !parent.as_os_str().is_empty()).unwrap_or(Path::new("."));
            match (fs::canonicalize(parent), path.file_name()) {
                (Ok(parent), Some(name)) => parent.join(name),
                _ => path.to_owned(),
            }
        });
        let mut written = WRITTEN.lock().unwrap_or_else(PoisonError::into_inner);
        if is_once && written.contains(&path) {
            return refused(io::ErrorKind::AlreadyExists, "named for two results; choose another name for one of them");
        }
        let (beside, file) = beside(&path, before).map_err(|error| named(&path, &error))?;
        written.push(path.clone());
        Ok(Self::File(Unfinished { writer: io::BufWriter::with_capacity(1 << 16, file), beside, path, force }))
    }

    /// Finishes: what was written to a file takes its name.
    pub fn close(self) -> io::Result<()> {
        match self {
            Self::Standard(mut writer) => writer.flush(),
            Self::Stream(mut writer, path) => writer.flush().map_err(|error| named(&path, &error)),
            Self::File(Unfinished { writer, mut beside, path, force }) => {
                let written =
                    writer.into_inner().map_err(io::IntoInnerError::into_error).and_then(|file| on_disk(&file));
                written.and_then(|()| beside.take_name(&path, force)).map_err(|error| not_written(&path, &error))
            }
        }
    }

    /// Finishes the file without giving it its name, so that many can wait until all are whole.
    pub fn set_aside(self) -> io::Result<SetAside> {
        match self {
            Self::File(Unfinished { writer, beside, path, force }) => {
                let written =
                    writer.into_inner().map_err(io::IntoInnerError::into_error).and_then(|file| on_disk(&file));
                written.map_err(|error| not_written(&path, &error))?;
                Ok(SetAside { beside, path, force })
            }
            Self::Standard(_) | Self::Stream(..) => Err(io::Error::other("not a file")),
        }
    }

    /// Writes the whole of it and finishes; if that fails nothing is left behind.
    pub fn write_whole(mut self, bytes: &[u8]) -> io::Result<()> {
        self.write_all(bytes)?;
        self.close()
    }
}

/// Whether Windows keeps this name of a file for a device, whatever its extension. A file of that name could be made, and
/// most programs could then neither open nor remove it.
fn is_reserved(name: &str) -> bool {
    // Microsoft, "Naming Files, Paths, and Namespaces"; the console's two by common practice, no source.
    let stem = name.split(['.', ':']).next().unwrap_or_default().trim_end_matches(' ').to_uppercase();
    let is_port = |kind: &str| {
        stem.strip_prefix(kind).is_some_and(|rest| {
            let mut rest = rest.chars();
            matches!((rest.next(), rest.next()), (Some('0'..='9' | '\u{b9}' | '\u{b2}' | '\u{b3}'), None))
        })
    };
    ["CON", "PRN", "AUX", "NUL", "CONIN$", "CONOUT$"].contains(&stem.as_str()) || is_port("COM") || is_port("LPT")
}

/// A new file beside this one, under a name that nobody has: a link that waits there is not followed. Who may read the
/// file before may read the new one; on Windows it takes the rights of the folder.
#[cfg_attr(not(unix), allow(unused_variables))]
fn beside(path: &Path, before: Option<fs::Permissions>) -> io::Result<(Beside, fs::File)> {
    let name = path.file_name().ok_or_else(|| io::Error::other("not a file name"))?.to_string_lossy().into_owned();
    let name: String = name.chars().take(LONGEST_PART).collect();
    for number in 0..100 {
        let number = if number == 0 { String::new() } else { format!(".{number}") };
        let beside = path.with_file_name(format!(".{name}.{}{number}.part", std::process::id()));
        let mut options = fs::OpenOptions::new();
        options.write(true).create_new(true);
        #[cfg(unix)]
        if let Some(before) = &before {
            use std::os::unix::fs::{OpenOptionsExt, PermissionsExt};
            options.mode(before.mode() & 0o7777);
        }
        match unfinished(&beside, || options.open(&beside)) {
            Ok(file) => {
                let beside = Beside { path: beside, is_done: false };
                #[cfg(unix)]
                if let Some(before) = before {
                    file.set_permissions(before)?;
                }
                return Ok((beside, file));
            }
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {}
            Err(error) => return Err(error),
        }
    }
    Err(io::Error::new(io::ErrorKind::AlreadyExists, format!("100 files .{name}….part are beside it; remove them")))
}

/// Waits until a file is on the disk: some file systems find only then that there is no room.
fn on_disk(file: &fs::File) -> io::Result<()> {
    match file.sync_all() {
        Err(error) if matches!(error.kind(), io::ErrorKind::InvalidInput | io::ErrorKind::Unsupported) => Ok(()),
        other => other,
    }
}

impl Beside {
    fn take_name(&mut self, path: &Path, force: bool) -> io::Result<()> {
        let beside = self.path.clone();
        finish(&beside, || {
            if force {
                fs::rename(&beside, path)?;
                self.is_done = true;
                return Ok(());
            }
            // Whoever made a file of that name meanwhile keeps it.
            match fs::hard_link(&beside, path) {
                Ok(()) => {
                    // Under its own name the file is whole, whether or not the other can be removed.
                    self.is_done = true;
                    let _ = fs::remove_file(&beside);
                    Ok(())
                }
                Err(error) if error.kind() == io::ErrorKind::AlreadyExists => Err(meanwhile()),
                // Some file systems have no links.
                Err(_) => {
                    fs::OpenOptions::new().write(true).create_new(true).open(path).map_err(|error| {
                        if error.kind() == io::ErrorKind::AlreadyExists { meanwhile() } else { error }
                    })?;
                    fs::rename(&beside, path).inspect_err(|_| {
                        let _ = fs::remove_file(path);
                    })?;
                    self.is_done = true;
                    Ok(())
                }
            }
        })
    }
}

fn meanwhile() -> io::Error {
    io::Error::new(
        io::ErrorKind::AlreadyExists,
        "somebody else made this file meanwhile, and it is kept; choose another name, or add --force",
    )
}

/// An error that says which file did not come to be.
fn not_written(path: &Path, error: &io::Error) -> io::Error {
    io::Error::new(error.kind(), format!("{}: not written: {error}", path.display()))
}

/// An error that says of which file it is.
fn named(path: &Path, error: &io::Error) -> io::Error {
    io::Error::new(error.kind(), format!("{}: {error}", path.display()))
}

impl Write for Sink {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        match self {
            Self::Standard(writer) => writer.write(bytes),
            Self::Stream(writer, path) => writer.write(bytes).map_err(|error| named(path, &error)),
            Self::File(Unfinished { writer, path, .. }) => {
                writer.write(bytes).map_err(|error| not_written(path, &error))
            }
        }
    }
    fn flush(&mut self) -> io::Result<()> {
        match self {
            Self::Standard(writer) => writer.flush(),
            Self::Stream(writer, path) => writer.flush().map_err(|error| named(path, &error)),
            Self::File(Unfinished { writer, path, .. }) => writer.flush().map_err(|error| not_written(path, &error)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::is_reserved;

    #[test]
    fn names_that_windows_keeps_for_devices() {
        for name in
            ["CON", "nul", "Nul.json", "aux.tar.gz", "com1", "COM9.txt", "LPT1 ", "lpt\u{b2}", "con:", "conout$"]
        {
            assert!(is_reserved(name), "{name}");
        }
        for name in ["", ".nul", "console.txt", "null", "com", "com10", "lptx", "record.con", "N47QX.html"] {
            assert!(!is_reserved(name), "{name}");
        }
    }
}
