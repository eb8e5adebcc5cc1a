//! Where results and complaints go: standard output, standard error, and files that are never half written.

use super::progress::unfinished;
use squitterlab::capture::End;
use squitterlab::present::text;
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};

/// Set once whoever read the results has closed the pipe.
static READER_GONE: AtomicBool = AtomicBool::new(false);

/// Whether the reader of the results has closed the pipe. What is still to be judged is judged all the same, since the
/// exit status does not depend on who reads; only work that could go on for ever is given up.
pub fn reader_gone() -> bool {
    READER_GONE.load(Ordering::Relaxed)
}

/// A writer that goes on without complaint once its reader has closed the pipe.
pub struct Quiet<W>(pub W);

impl<W> Quiet<W> {
    fn accept<T>(result: io::Result<T>, instead: T) -> io::Result<T> {
        match result {
            Err(error) if error.kind() == io::ErrorKind::BrokenPipe => {
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

/// Standard output, as it is.
pub fn standard_output() -> Quiet<io::Stdout> {
    Quiet(io::stdout())
}

/// Says on standard error what is wrong.
pub fn complain(message: &str) {
    // Nothing is left to do if even that fails.
    let _ = writeln!(anstream::stderr(), "squitterlab: {}", text::printable(message));
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
    File {
        /// What is being written.
        writer: io::BufWriter<fs::File>,
        /// Where it is being written.
        beside: PathBuf,
        /// Where it goes.
        path: PathBuf,
    },
}

impl Sink {
    /// Opens a file, or standard output for none.
    pub fn open(path: Option<&Path>, force: bool) -> io::Result<Self> {
        let Some(path) = path else {
            return Ok(Self::Standard(io::BufWriter::with_capacity(1 << 16, standard_output())));
        };
        let refused = |kind, why| Err(io::Error::new(kind, format!("{}: {why}", path.display())));
        if path.as_os_str().as_encoded_bytes().ends_with(b"/") {
            return refused(io::ErrorKind::IsADirectory, "a folder; name a file in it");
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
            Ok(_) => {}
            Err(error) if error.kind() == io::ErrorKind::NotFound && !path.is_symlink() => {}
            Err(error) if error.kind() == io::ErrorKind::NotFound => {
                return refused(error.kind(), "a link that leads to nothing; name the file itself");
            }
            Err(error) => return Err(named(path, &error)),
        }
        // A link stays a link: what it leads to is renewed.
        let path = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
        let name = path.file_name().ok_or_else(|| io::Error::other(format!("{}: not a file name", path.display())))?;
        let beside = path.with_file_name(format!(".{}.{}.part", name.to_string_lossy(), std::process::id()));
        let writer =
            io::BufWriter::with_capacity(1 << 16, fs::File::create(&beside).map_err(|error| named(&path, &error))?);
        unfinished(Some(&beside));
        Ok(Self::File { writer, beside, path })
    }

    /// Finishes: what was written to a file takes its name.
    pub fn close(self) -> io::Result<()> {
        match self {
            Self::Standard(mut writer) => writer.flush(),
            Self::Stream(mut writer, path) => writer.flush().map_err(|error| named(&path, &error)),
            Self::File { mut writer, beside, path } => {
                let done = writer.flush().and_then(|()| fs::rename(&beside, &path));
                unfinished(None);
                if done.is_err() {
                    let _ = fs::remove_file(&beside);
                }
                done.map_err(|error| named(&path, &error))
            }
        }
    }

    /// Writes the whole of it and finishes; where that fails nothing is left behind.
    pub fn write_whole(mut self, bytes: &[u8]) -> io::Result<()> {
        match self.write_all(bytes) {
            Ok(()) => self.close(),
            Err(error) => {
                self.abandon();
                Err(error)
            }
        }
    }

    /// Leaves nothing behind.
    pub fn abandon(self) {
        if let Self::File { beside, .. } = self {
            let _ = fs::remove_file(beside);
            unfinished(None);
        }
    }
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
            Self::File { writer, path, .. } => writer.write(bytes).map_err(|error| named(path, &error)),
        }
    }
    fn flush(&mut self) -> io::Result<()> {
        match self {
            Self::Standard(writer) => writer.flush(),
            Self::Stream(writer, path) => writer.flush().map_err(|error| named(path, &error)),
            Self::File { writer, path, .. } => writer.flush().map_err(|error| named(path, &error)),
        }
    }
}
