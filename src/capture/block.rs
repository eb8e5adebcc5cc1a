//! Cuts a stream of captured text into blocks at line ends, so that the blocks can be read independently of one
//! another.

use super::source::Opened;
use super::{Accounting, BufferPool, CaptureError, Clock, LONGEST_LINE, Record, Source, read_lines_by};
use std::io::{self, Read};
use std::mem;
use std::ops::ControlFlow;

/// Whole lines of one source. The last block of a source says how it ended.
#[derive(Debug)]
pub struct TextBlock {
    /// Which source, from 0.
    pub source: usize,
    /// The number of its first line, from 1.
    pub first_line: u64,
    /// How many octets of the source had been read when the block was cut, compressed ones where it is compressed.
    pub octets: u64,
    /// For the last block of a source: how it ended.
    pub end: Option<End>,
    /// With it, if requested: the SHA-256 of all octets that were read, as hexadecimal.
    pub digest: Option<String>,
    text: Text,
}

/// Room for text, the front of it filled. The room is used again for a later block of the same source.
#[derive(Debug, Default)]
struct Text {
    room: Vec<u8>,
    filled: usize,
    rooms: BufferPool<u8>,
}

impl Text {
    fn new(rooms: &BufferPool<u8>) -> Self {
        Self { room: rooms.take(), filled: 0, rooms: rooms.clone() }
    }

    fn octets(&self) -> &[u8] {
        &self.room[..self.filled]
    }

    fn put(&mut self, octets: &[u8]) {
        self.make_room(octets.len());
        self.room[self.filled..][..octets.len()].copy_from_slice(octets);
        self.filled += octets.len();
    }

    fn make_room(&mut self, octets: usize) {
        if self.room.len() < self.filled + octets {
            self.room.resize(self.filled + octets, 0);
        }
    }

    /// Reads at most this many more octets.
    fn read(&mut self, input: &mut impl Read, most: usize) -> io::Result<usize> {
        self.make_room(most);
        let got = loop {
            match input.read(&mut self.room[self.filled..][..most]) {
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                other => break other?,
            }
        };
        self.filled += got;
        Ok(got)
    }
}

impl Drop for Text {
    fn drop(&mut self) {
        self.rooms.give(mem::take(&mut self.room));
    }
}

/// How a source ended.
#[derive(Debug)]
pub enum End {
    /// It was read whole.
    Whole,
    /// It was read to its end, but had become longer meanwhile, from and to these numbers of octets: somebody still writes it.
    Grown(u64, u64),
    /// It could not be read, or not to its end.
    Broken(CaptureError),
}

impl TextBlock {
    /// Hands out the frames of these lines in order, and accounts for the lines; `each` may stop the reading.
    pub fn read(&self, clock: &Clock, each: impl FnMut(Record) -> ControlFlow<()>) -> Accounting {
        read_lines_by(self.text.octets(), self.first_line, clock, each)
    }
}

/// How many octets are read at a time if little is done with them.
pub const BLOCK: usize = 1 << 17;

/// The blocks of these sources, one source after the other, this many octets at a time. What cannot be read ends its
/// own source only. A digest of what was read is made only where it is wanted.
pub fn blocks(sources: Vec<Source>, octets: usize, digest: bool) -> impl Iterator<Item = TextBlock> + Send {
    sources.into_iter().enumerate().flat_map(move |(source, named)| Blocks {
        source,
        octets,
        ..blocks_of(&named.name(), named.open(digest))
    })
}

/// The blocks of one source, numbered 0.
pub(super) fn blocks_of(name: &str, input: Result<Opened, CaptureError>) -> Blocks {
    Blocks {
        source: 0,
        octets: BLOCK,
        name: name.to_owned(),
        input: Some(input),
        begun: Vec::new(),
        line: 1,
        first: true,
        rooms: BufferPool::default(),
    }
}

pub(super) struct Blocks {
    source: usize,
    octets: usize,
    name: String,
    /// None once the source has ended.
    input: Option<Result<Opened, CaptureError>>,
    /// The beginning of a line whose end is still to come.
    begun: Vec<u8>,
    /// The line that comes next.
    line: u64,
    /// Nothing was handed out yet.
    first: bool,
    rooms: BufferPool<u8>,
}

impl Iterator for Blocks {
    type Item = TextBlock;

    fn next(&mut self) -> Option<TextBlock> {
        let mut text = Text::new(&self.rooms);
        let mut input = match self.input.take()? {
            Ok(input) => input,
            Err(error) => return Some(self.block(text, 0, Some(End::Broken(error)), None)),
        };
        text.put(&self.begun);
        self.begun.clear();
        let mut end = self.lines(&mut input, &mut text);
        if mem::take(&mut self.first) {
            let begins_with = |mark: &[u8]| text.octets().starts_with(mark);
            if begins_with(&[0xFF, 0xFE]) || begins_with(&[0xFE, 0xFF]) {
                text.filled = 0;
                end = Some(End::Broken(CaptureError::Utf16 { name: self.name.clone() }));
            }
        }
        let octets = input.octets();
        let digest = end.is_some().then(|| input.digest()).flatten();
        if end.is_none() {
            self.input = Some(Ok(input));
        }
        Some(self.block(text, octets, end, digest))
    }
}

impl Blocks {
    fn block(&mut self, text: Text, octets: u64, end: Option<End>, digest: Option<String>) -> TextBlock {
        let first_line = self.line;
        self.line += memchr::memchr_iter(b'\n', text.octets()).count() as u64;
        TextBlock { source: self.source, first_line, octets, end, digest, text }
    }

    /// Reads until there is the end of a line; what comes behind it is kept for the next block. At the end of the source
    /// it says so, and the text is all that is left.
    fn lines(&mut self, input: &mut Opened, text: &mut Text) -> Option<End> {
        loop {
            let before = text.filled;
            match text.read(input, self.octets) {
                Ok(0) => {
                    let cut_short = |error| CaptureError::Read { name: self.name.clone(), line: self.line - 1, error };
                    return Some(input.end().unwrap_or_else(|error| End::Broken(cut_short(error))));
                }
                Ok(_) => {}
                Err(error) => {
                    // Half a line is not a line.
                    text.filled = 0;
                    let name = self.name.clone();
                    return Some(End::Broken(CaptureError::Read { name, line: self.line - 1, error }));
                }
            }
            if let Some(at) = memchr::memrchr(b'\n', &text.octets()[before..]) {
                let whole = before + at + 1;
                self.begun.extend_from_slice(&text.octets()[whole..]);
                text.filled = whole;
                return None;
            }
            if text.filled > LONGEST_LINE {
                // Too long to be read, whatever comes; all that still counts is whether it is blank.
                let blank = text.octets()[LONGEST_LINE..].trim_ascii().is_empty();
                text.room[LONGEST_LINE] = if blank { b' ' } else { b'x' };
                text.filled = LONGEST_LINE + 1;
            }
        }
    }
}
