//! Opens captured text as a stream: files and standard input, plain or compressed.

use super::block::blocks_of;
use super::{Accounting, BLOCK, Clock, End, Record, TextBlock, blocks};
use sha2::{Digest, Sha256};
use std::fs::File;
use std::io::{self, BufRead, Cursor, Read};
use std::ops::{ControlFlow, Range};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

/// Why captured text cannot be read.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum CaptureError {
    /// The file cannot be opened.
    #[error("{name}: cannot be opened: {error}")]
    Open {
        /// The file.
        name: String,
        /// Why.
        #[source]
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
        #[source]
        error: io::Error,
    },
    /// The file is UTF-16.
    #[error("{name}: this is UTF-16 text; save it as UTF-8 or plain ASCII and try again")]
    Utf16 {
        /// The file.
        name: String,
    },
}

/// Why reading stopped, and the account of the lines before.
#[derive(Debug, thiserror::Error)]
#[error("{error}")]
pub struct ReadError {
    /// Why.
    #[source]
    pub error: CaptureError,
    /// What became of the lines that were read.
    pub accounting: Accounting,
}

/// Captured text: a file, or standard input.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Source {
    /// A file.
    File(PathBuf),
    /// Standard input.
    StandardInput,
}

impl From<&str> for Source {
    /// `-` is standard input.
    fn from(name: &str) -> Self {
        Self::from(Path::new(name))
    }
}

impl From<&Path> for Source {
    /// `-` is standard input.
    fn from(name: &Path) -> Self {
        if name == Path::new("-") { Self::StandardInput } else { Self::File(name.to_owned()) }
    }
}

impl Source {
    /// The name as it was given.
    ///
    /// ```
    /// use squitterlab::capture::Source;
    /// assert_eq!((Source::from("night.txt").name(), Source::from("-").name()), ("night.txt".into(), "-".into()));
    /// ```
    pub fn name(&self) -> String {
        match self {
            Self::File(path) => path.display().to_string(),
            Self::StandardInput => "-".to_owned(),
        }
    }

    /// Opens the source.
    ///
    /// # Errors
    /// [`CaptureError::Open`], or [`CaptureError::Read`] where its first octets cannot be read.
    pub(super) fn open(&self, digest: bool) -> Result<Opened, CaptureError> {
        let cannot = |error| CaptureError::Open { name: self.name(), error };
        let (file, input): (_, Box<dyn Read + Send>) = match self {
            Self::File(path) => {
                let file = open_file(path).map_err(cannot)?;
                let length = file.metadata().map_err(cannot)?.len();
                (Some((file.try_clone().map_err(cannot)?, length)), Box::new(file))
            }
            Self::StandardInput => (None, Box::new(io::stdin())),
        };
        Opened::of(&self.name(), input, file, digest)
    }

    /// Reads the source through on this thread, handing out its frames in order; `each` may stop the reading.
    ///
    /// The account covers every line that was read. On an error it covers what was read before.
    ///
    /// ```
    /// use squitterlab::capture::Source;
    /// use std::ops::ControlFlow;
    /// let source = Source::from("no such file.txt");
    /// let error = source.read(|record| { println!("{}", record.frame); ControlFlow::Continue(()) }).unwrap_err();
    /// assert!(error.to_string().starts_with("no such file.txt: cannot be opened"));
    /// ```
    ///
    /// # Errors
    /// [`ReadError`]: why, and the account so far.
    pub fn read(&self, each: impl FnMut(Record) -> ControlFlow<()>) -> Result<Accounting, ReadError> {
        self.read_by(&Clock::default(), each)
    }

    /// The same, with times written as this clock says.
    ///
    /// # Errors
    /// As [`Source::read`].
    pub(crate) fn read_by(
        &self,
        clock: &Clock,
        each: impl FnMut(Record) -> ControlFlow<()>,
    ) -> Result<Accounting, ReadError> {
        read_blocks(blocks(vec![self.clone()], BLOCK, false), clock, each)
    }
}

/// Opens a file that is to be read; of a folder every system says the same.
///
/// ```
/// use squitterlab::capture::open_file;
/// use std::path::Path;
/// assert!(open_file(Path::new("src")).unwrap_err().to_string().starts_with("this is a folder"));
/// ```
///
/// # Errors
/// As the system has them, and for a folder.
pub fn open_file(path: &Path) -> io::Result<File> {
    let opened = File::open(path);
    // Some systems open a folder, and some say that it may not be opened.
    let is_folder = opened.as_ref().map_or_else(|_| path.is_dir(), |file| file.metadata().is_ok_and(|of| of.is_dir()));
    if is_folder {
        let why = "this is a folder (a directory); name a file in it";
        return Err(io::Error::new(io::ErrorKind::IsADirectory, why));
    }
    opened
}

/// Reads captured text, plain or compressed, from wherever it comes; as [`Source::read`].
///
/// ```
/// use squitterlab::capture::read_from;
/// use std::ops::ControlFlow;
/// let mut formats = Vec::new();
/// let input = Box::new(&b"8D4840D6202CC371C32CE0576098\n5D406FDB0D62DD\n"[..]);
/// let accounting = read_from("upload", input, |record| {
///     formats.push(record.frame.downlink_format());
///     ControlFlow::Continue(())
/// });
/// assert_eq!((accounting.unwrap().frames, formats), (2, vec![17, 11]));
/// ```
///
/// # Errors
/// [`ReadError`]: why, and the account so far.
pub fn read_from(
    name: &str,
    input: Box<dyn Read + Send>,
    each: impl FnMut(Record) -> ControlFlow<()>,
) -> Result<Accounting, ReadError> {
    read_blocks(blocks_of(name, Opened::of(name, input, None, false)), &Clock::default(), each)
}

fn read_blocks(
    blocks: impl Iterator<Item = TextBlock>,
    clock: &Clock,
    mut each: impl FnMut(Record) -> ControlFlow<()>,
) -> Result<Accounting, ReadError> {
    let mut accounting = Accounting::default();
    for block in blocks {
        let mut flow = ControlFlow::Continue(());
        accounting.add(&block.read(clock, |record| {
            flow = each(record);
            flow
        }));
        if flow.is_break() {
            break;
        }
        if let Some(End::Broken(error)) = block.end {
            return Err(ReadError { error, accounting });
        }
    }
    Ok(accounting)
}

/// A source that is being read.
pub(super) struct Opened {
    text: Box<dyn Read + Send>,
    read: Arc<Mutex<SoFar>>,
    /// The file, and how long it was when it was opened.
    file: Option<(File, u64)>,
}

impl Opened {
    fn of(
        name: &str,
        inner: Box<dyn Read + Send>,
        file: Option<(File, u64)>,
        digest: bool,
    ) -> Result<Self, CaptureError> {
        let read = Arc::new(Mutex::new(SoFar { octets: 0, digest: digest.then(Sha256::new) }));
        let counted = Counted { inner, read: Arc::clone(&read) };
        let text =
            decompressed(counted).map_err(|error| CaptureError::Read { name: name.to_owned(), line: 0, error })?;
        Ok(Self { text, read, file })
    }

    /// How many octets were read, as they are in the file.
    pub(super) fn octets(&self) -> u64 {
        self.read.lock().unwrap_or_else(PoisonError::into_inner).octets
    }

    /// The SHA-256 of them, where it was wanted.
    pub(super) fn digest(&self) -> Option<String> {
        let digest = self.read.lock().unwrap_or_else(PoisonError::into_inner).digest.clone();
        let mut digits = [0; 64];
        faster_hex::hex_encode(&digest?.finalize(), &mut digits).ok().map(|digits| digits.to_owned())
    }

    /// What the end that was met is.
    ///
    /// # Errors
    /// The file became shorter while it was read.
    pub(super) fn end(&self) -> io::Result<End> {
        let Some((file, before)) = &self.file else { return Ok(End::Whole) };
        let Ok(now) = file.metadata() else { return Ok(End::Whole) };
        if now.is_file() && now.len() < *before {
            let message = format!("the file became shorter while it was read, from {before} to {} octets", now.len());
            return Err(io::Error::other(message));
        }
        Ok(if now.is_file() && now.len() > *before { End::Grown(*before, now.len()) } else { End::Whole })
    }
}

impl Read for Opened {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        self.text.read(into)
    }
}

struct Counted {
    inner: Box<dyn Read + Send>,
    read: Arc<Mutex<SoFar>>,
}

/// What was read, as it is in the file.
struct SoFar {
    octets: u64,
    digest: Option<Sha256>,
}

impl Read for Counted {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let got = self.inner.read(into)?;
        let mut read = self.read.lock().unwrap_or_else(PoisonError::into_inner);
        read.octets += got as u64;
        if let Some(digest) = &mut read.digest {
            digest.update(&into[..got]);
        }
        Ok(got)
    }
}

/// The text itself, whether plain, gzip or zstd; told by the first octets, not by the name.
fn decompressed(mut input: Counted) -> io::Result<Box<dyn Read + Send>> {
    let mut magic = Vec::new();
    (&mut input).take(4).read_to_end(&mut magic)?;
    let packing = Packing::of(&magic);
    let input = Cursor::new(magic).chain(input);
    Ok(match packing {
        None => Box::new(input),
        Some(packing) => {
            let rest = Rest::new(Box::new(input));
            Box::new(InPlainWords { inner: Members { packing, member: None, rest: Some(rest) }, what: packing.name() })
        }
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
                    "here or before it this is not whole {} data; it is damaged, cut off, or followed by something else",
                    self.what
                ),
            ),
        })
    }
}

/// An input whose next octets can be looked at before they are read.
struct Rest {
    input: Box<dyn Read + Send>,
    room: Box<[u8]>,
    waiting: Range<usize>,
}

impl Rest {
    fn new(input: Box<dyn Read + Send>) -> Self {
        Self { input, room: vec![0; 1 << 17].into_boxed_slice(), waiting: 0..0 }
    }

    /// This many octets, or as many as there are before the end.
    fn peek(&mut self, count: usize) -> io::Result<&[u8]> {
        while self.waiting.len() < count {
            self.room.copy_within(self.waiting.clone(), 0);
            self.waiting = 0..self.waiting.len();
            match self.input.read(&mut self.room[self.waiting.end..]) {
                Ok(0) => break,
                Ok(got) => self.waiting.end += got,
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                Err(error) => return Err(error),
            }
        }
        Ok(&self.room[self.waiting.start..self.waiting.end.min(self.waiting.start + count)])
    }
}

impl Read for Rest {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let waiting = self.fill_buf()?;
        let got = waiting.len().min(into.len());
        into[..got].copy_from_slice(&waiting[..got]);
        self.consume(got);
        Ok(got)
    }
}

impl BufRead for Rest {
    fn fill_buf(&mut self) -> io::Result<&[u8]> {
        self.peek(1)?;
        Ok(&self.room[self.waiting.clone()])
    }

    fn consume(&mut self, count: usize) {
        self.waiting.start += count;
    }
}

/// How text is compressed.
#[derive(Clone, Copy, PartialEq)]
enum Packing {
    Gzip,
    Zstd,
}

impl Packing {
    /// By the first octets.
    fn of(magic: &[u8]) -> Option<Self> {
        match *magic {
            [0x1F, 0x8B, ..] => Some(Self::Gzip),
            [0x28, 0xB5, 0x2F, 0xFD, ..] => Some(Self::Zstd),
            _ if is_skippable(magic) => Some(Self::Zstd),
            _ => None,
        }
    }

    const fn name(self) -> &'static str {
        match self {
            Self::Gzip => "gzip",
            Self::Zstd => "zstd",
        }
    }
}

/// Whether a zstd frame begins here that holds no text, and is to be skipped (RFC 8878, 3.1.2).
const fn is_skippable(magic: &[u8]) -> bool {
    matches!(*magic, [0x50..=0x5F, 0x2A, 0x4D, 0x18, ..])
}

/// Compressed data member after member (zstd says frame after frame): files that were joined are read to their end.
struct Members {
    packing: Packing,
    member: Option<Member>,
    rest: Option<Rest>,
}

enum Member {
    Gzip(Box<flate2::bufread::GzDecoder<Rest>>),
    Zstd(Box<ruzstd::decoding::StreamingDecoder<Rest, ruzstd::decoding::FrameDecoder>>),
}

impl Member {
    /// What comes behind it, once it is read.
    fn rest(self) -> io::Result<Rest> {
        match self {
            Self::Gzip(member) => Ok(member.into_inner()),
            Self::Zstd(member) => {
                let (told, found) = (member.decoder.get_checksum_from_data(), member.decoder.get_calculated_checksum());
                if told.is_some() && told != found {
                    return Err(io::ErrorKind::InvalidData.into());
                }
                Ok(member.into_inner())
            }
        }
    }
}

impl Members {
    /// The next member that holds text; `None` at the end.
    fn next(packing: Packing, mut rest: Rest) -> io::Result<Option<Member>> {
        loop {
            let magic = rest.peek(4)?;
            if magic.is_empty() {
                return Ok(None);
            }
            if packing == Packing::Zstd && is_skippable(magic) {
                let mut head = [0; 8];
                rest.read_exact(&mut head)?;
                let length = u64::from(u32::from_le_bytes([head[4], head[5], head[6], head[7]]));
                if io::copy(&mut (&mut rest).take(length), &mut io::sink())? < length {
                    return Err(io::ErrorKind::UnexpectedEof.into());
                }
                continue;
            }
            if Packing::of(magic) != Some(packing) {
                return Err(io::ErrorKind::InvalidData.into());
            }
            return Ok(Some(match packing {
                Packing::Gzip => Member::Gzip(Box::new(flate2::bufread::GzDecoder::new(rest))),
                Packing::Zstd => {
                    let member = ruzstd::decoding::StreamingDecoder::new(rest).map_err(io::Error::other)?;
                    Member::Zstd(Box::new(member))
                }
            }));
        }
    }
}

impl Read for Members {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        loop {
            let got = match &mut self.member {
                Some(Member::Gzip(member)) => member.read(into)?,
                Some(Member::Zstd(member)) => member.read(into)?,
                None => 0,
            };
            if got > 0 || into.is_empty() {
                return Ok(got);
            }
            if let Some(member) = self.member.take() {
                self.rest = Some(member.rest()?);
            }
            let Some(rest) = self.rest.take() else { return Ok(0) };
            self.member = Self::next(self.packing, rest)?;
            if self.member.is_none() {
                return Ok(0);
            }
        }
    }
}
