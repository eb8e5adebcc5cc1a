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
        let read = match next_line(&mut input, &mut line).map_err(at(number - 1))? {
            Extent::End => break,
            Extent::Whole => read_line(&line),
            // A comment may be as long as it likes.
            Extent::TooLong { blank } if blank || line.trim_ascii_start().starts_with(b"#") => Line::Comment,
            Extent::TooLong { .. } => Line::Skipped(Reason::TooLong),
        };
        accounting.count(&read);
        if let Line::Frame { frame, time } = read
            && each(Record { line: number, time, frame }).is_break()
        {
            break;
        }
    }
    Ok(())
}

/// How much of a line there was.
enum Extent {
    /// No line: the end.
    End,
    /// All of it.
    Whole,
    /// More than [`LONGEST_LINE`]; whether it is nothing but white space.
    TooLong { blank: bool },
}

/// Appends the next line without its end, as far as [`LONGEST_LINE`].
fn next_line(input: &mut impl BufRead, line: &mut Vec<u8>) -> io::Result<Extent> {
    let mut begun = false;
    let mut whole = true;
    let mut blank = true;
    loop {
        let buffer = input.fill_buf()?;
        if buffer.is_empty() {
            return Ok(if !begun {
                Extent::End
            } else if whole {
                Extent::Whole
            } else {
                Extent::TooLong { blank }
            });
        }
        begun = true;
        let end = memchr::memchr(b'\n', buffer);
        let part = &buffer[..end.unwrap_or(buffer.len())];
        let room = LONGEST_LINE.saturating_sub(line.len());
        whole &= part.len() <= room;
        blank &= part.trim_ascii().is_empty();
        line.extend_from_slice(&part[..part.len().min(room)]);
        let used = part.len() + usize::from(end.is_some());
        input.consume(used);
        if end.is_some() {
            return Ok(if whole { Extent::Whole } else { Extent::TooLong { blank } });
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
        let inner = flate2::read::MultiGzDecoder::new(input);
        Box::new(BufReader::with_capacity(1 << 17, InPlainWords { inner, what: "gzip" }))
    } else if magic == [0x28, 0xB5, 0x2F, 0xFD] {
        let inner = ZstdFrames { decoder: None, rest: Some(BufReader::new(Box::new(input) as Box<dyn Read>)) };
        Box::new(BufReader::with_capacity(1 << 17, InPlainWords { inner, what: "zstd" }))
    } else {
        Box::new(BufReader::with_capacity(1 << 17, input))
    })
}

/// Compressed data whose errors are said for people.
struct InPlainWords<R> {
    inner: R,
    what: &'static str,
}

impl<R: Read> Read for InPlainWords<R> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        self.inner.read(into).map_err(|error| match error.kind() {
            io::ErrorKind::Interrupted => error,
            io::ErrorKind::UnexpectedEof => {
                io::Error::new(error.kind(), format!("the {} data ends early; capture or copy it again", self.what))
            }
            kind => io::Error::new(
                kind,
                format!(
                    "from here on this is not whole {} data; it is damaged, cut off, or has something behind it",
                    self.what
                ),
            ),
        })
    }
}

type Rest = BufReader<Box<dyn Read>>;

/// Zstandard data frame after frame: files that were joined are read to their end.
struct ZstdFrames {
    decoder: Option<ruzstd::decoding::StreamingDecoder<Rest, ruzstd::decoding::FrameDecoder>>,
    rest: Option<Rest>,
}

impl Read for ZstdFrames {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        loop {
            if let Some(decoder) = &mut self.decoder {
                let got = decoder.read(into)?;
                if got > 0 || into.is_empty() {
                    return Ok(got);
                }
            }
            if let Some(done) = self.decoder.take() {
                self.rest = Some(done.into_inner());
            }
            let Some(mut rest) = self.rest.take() else { return Ok(0) };
            if rest.fill_buf()?.is_empty() {
                return Ok(0);
            }
            self.decoder = Some(ruzstd::decoding::StreamingDecoder::new(rest).map_err(io::Error::other)?);
        }
    }
}
