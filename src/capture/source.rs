//! Where captured text comes from: files and standard input, plain or compressed, as a stream.

use super::{Accounting, Line, Reason, read_line};
use crate::frame::Frame;
use std::fs::File;
use std::io::{self, BufRead, BufReader, Cursor, Read};
use std::ops::ControlFlow;
use std::path::PathBuf;

/// Lines beyond this many octets are counted and left unread.
pub const LONGEST_LINE: usize = 1 << 16;

/// Why captured text cannot be read.
#[derive(Debug, thiserror::Error)]
pub enum CaptureError {
    /// The file cannot be opened.
    #[error("{name}: cannot be opened: {error}")]
    Open {
        /// The file.
        name: String,
        /// Why.
        error: io::Error,
    },
    /// Reading stopped.
    #[error("{name}: reading stopped after line {line}: {error}")]
    Read {
        /// The file.
        name: String,
        /// The last line that was read whole.
        line: u64,
        /// Why.
        error: io::Error,
    },
    /// The file is UTF-16.
    #[error("{name}: this is UTF-16 text; save it as UTF-8 or plain ASCII and try again")]
    Utf16 {
        /// The file.
        name: String,
    },
}

/// Captured text: a file, or standard input.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Source {
    /// A file.
    File(PathBuf),
    /// Standard input.
    StandardInput,
}

impl From<&str> for Source {
    /// `-` is standard input.
    fn from(name: &str) -> Self {
        if name == "-" { Self::StandardInput } else { Self::File(name.into()) }
    }
}

/// A frame with its place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Record {
    /// The line, from 1.
    pub line: u64,
    /// Seconds, where the line has a time.
    pub time: Option<f64>,
    /// The frame.
    pub frame: Frame,
}

impl Source {
    /// The name as it was given.
    pub fn name(&self) -> String {
        match self {
            Self::File(path) => path.display().to_string(),
            Self::StandardInput => "-".to_owned(),
        }
    }

    /// Reads the source through, handing out its frames in order; `each` may stop the reading.
    ///
    /// The account covers every line that was read. On an error it covers what was read before.
    ///
    /// # Errors
    /// [`CaptureError`], together with the account so far.
    pub fn read(&self, each: impl FnMut(Record) -> ControlFlow<()>) -> Result<Accounting, (CaptureError, Accounting)> {
        let opened: io::Result<Box<dyn Read>> = match self {
            Self::File(path) => File::open(path).map(|file| Box::new(file) as _),
            Self::StandardInput => Ok(Box::new(io::stdin().lock())),
        };
        let name = self.name();
        let mut accounting = Accounting::default();
        match opened {
            Err(error) => Err((CaptureError::Open { name, error }, accounting)),
            Ok(input) => match read_all(&name, input, each, &mut accounting) {
                Ok(()) => Ok(accounting),
                Err(error) => Err((error, accounting)),
            },
        }
    }
}

fn read_all(
    name: &str,
    input: Box<dyn Read>,
    mut each: impl FnMut(Record) -> ControlFlow<()>,
    accounting: &mut Accounting,
) -> Result<(), CaptureError> {
    let at = |line: u64| move |error| CaptureError::Read { name: name.to_owned(), line, error };
    let mut input = decompressed(input).map_err(at(0))?;
    let start = input.fill_buf().map_err(at(0))?;
    if start.starts_with(&[0xFF, 0xFE]) || start.starts_with(&[0xFE, 0xFF]) {
        return Err(CaptureError::Utf16 { name: name.to_owned() });
    }
    if start.starts_with(b"\xEF\xBB\xBF") {
        input.consume(3);
    }
    let mut line = Vec::new();
    for number in 1.. {
        line.clear();
        let Some(whole) = next_line(&mut input, &mut line).map_err(at(number - 1))? else { break };
        let read = if whole { read_line(&line) } else { Line::Skipped(Reason::TooLong) };
        accounting.count(&read);
        if let Line::Frame { frame, time } = read
            && each(Record { line: number, time, frame }).is_break()
        {
            break;
        }
    }
    Ok(())
}

/// Appends the next line without its end; `Some(false)` where it was longer than [`LONGEST_LINE`], none at the end.
fn next_line(input: &mut impl BufRead, line: &mut Vec<u8>) -> io::Result<Option<bool>> {
    let mut begun = false;
    let mut whole = true;
    loop {
        let buffer = input.fill_buf()?;
        if buffer.is_empty() {
            return Ok(begun.then_some(whole));
        }
        begun = true;
        let end = memchr::memchr(b'\n', buffer);
        let part = &buffer[..end.unwrap_or(buffer.len())];
        if line.len() + part.len() > LONGEST_LINE {
            whole = false;
        } else {
            line.extend_from_slice(part);
        }
        let used = part.len() + usize::from(end.is_some());
        input.consume(used);
        if end.is_some() {
            return Ok(Some(whole));
        }
    }
}

/// The text itself, whether plain, gzip or zstd; told by the first octets, not by the name.
fn decompressed(mut input: Box<dyn Read>) -> io::Result<Box<dyn BufRead>> {
    let mut magic = [0; 4];
    let mut got = 0;
    while got < magic.len() {
        match input.read(&mut magic[got..]) {
            Ok(0) => break,
            Ok(more) => got += more,
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            Err(error) => return Err(error),
        }
    }
    let input = Cursor::new(magic).take(got as u64).chain(input);
    Ok(if magic.starts_with(&[0x1F, 0x8B]) {
        Box::new(BufReader::with_capacity(1 << 17, flate2::read::MultiGzDecoder::new(input)))
    } else if magic == [0x28, 0xB5, 0x2F, 0xFD] {
        let decoder = ruzstd::decoding::StreamingDecoder::new(input).map_err(io::Error::other)?;
        Box::new(BufReader::with_capacity(1 << 17, decoder))
    } else {
        Box::new(BufReader::with_capacity(1 << 17, input))
    })
}
