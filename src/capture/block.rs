//! A stream of captured text cut into blocks at line ends, so that blocks can be read apart from one another.

use super::source::Opened;
use super::{Accounting, CaptureError, LONGEST_LINE, Line, Record, Source, read_line};
use std::io::{self, Read};
use std::mem;
use std::ops::ControlFlow;

/// How many octets are asked for at a time.
const BLOCK: usize = 1 << 18;

/// Whole lines of one source. The last block of a source says how it ended.
#[derive(Debug)]
pub struct Block {
    /// Which source, from 0.
    pub source: usize,
    /// The number of its first line, from 1.
    pub first_line: u64,
    /// How many octets of the source had been read when the block was cut, compressed ones where it is compressed.
    pub octets: u64,
    /// For the last block of a source: how it ended.
    pub end: Option<End>,
    /// With it, where that was asked for: the SHA-256 of all octets that were read, as hexadecimal.
    pub digest: Option<String>,
    text: Vec<u8>,
}

/// How a source ended.
#[derive(Debug)]
pub enum End {
    /// It was read whole.
    Whole,
    /// It was read to its end, but had become longer meanwhile, from and to so many octets: somebody still writes it.
    Grown(u64, u64),
    /// It could not be read, or not to its end.
    Broken(CaptureError),
}

impl Block {
    /// Hands out the frames of these lines in order, and accounts for the lines; `each` may stop the reading.
    pub fn read(&self, mut each: impl FnMut(Record) -> ControlFlow<()>) -> Accounting {
        let mut accounting = Accounting::default();
        let mut start = 0;
        let ends = memchr::memchr_iter(b'\n', &self.text);
        let unended = (self.text.last() != Some(&b'\n')).then_some(self.text.len());
        for (number, end) in (self.first_line..).zip(ends.chain(unended.filter(|end| *end > 0))) {
            let line = read_line(&self.text[start..end]);
            start = end + 1;
            accounting.count(&line);
            if let Line::Frame { frame, time } = line
                && each(Record { line: number, time, frame }).is_break()
            {
                break;
            }
        }
        accounting
    }
}

/// The blocks of these sources, one source after the other. What cannot be read ends its own source only. A digest of what
/// was read is made only where it is wanted.
pub fn blocks(sources: Vec<Source>, digest: bool) -> impl Iterator<Item = Block> + Send {
    sources
        .into_iter()
        .enumerate()
        .flat_map(move |(source, named)| Blocks { source, ..blocks_of(&named.name(), named.open(digest)) })
}

/// The blocks of one source, numbered 0.
pub(super) fn blocks_of(name: &str, input: Result<Opened, CaptureError>) -> Blocks {
    Blocks { source: 0, name: name.to_owned(), input: Some(input), begun: Vec::new(), line: 1, first: true }
}

pub(super) struct Blocks {
    source: usize,
    name: String,
    /// None once the source has ended.
    input: Option<Result<Opened, CaptureError>>,
    /// The beginning of a line whose end is still to come.
    begun: Vec<u8>,
    /// The line that comes next.
    line: u64,
    /// Nothing was handed out yet.
    first: bool,
}

impl Iterator for Blocks {
    type Item = Block;

    fn next(&mut self) -> Option<Block> {
        let mut input = match self.input.take()? {
            Ok(input) => input,
            Err(error) => return Some(self.block(Vec::new(), 0, Some(End::Broken(error)), None)),
        };
        let mut text = mem::take(&mut self.begun);
        let mut end = self.lines(&mut input, &mut text);
        if mem::take(&mut self.first) {
            if text.starts_with(&[0xFF, 0xFE]) || text.starts_with(&[0xFE, 0xFF]) {
                text.clear();
                end = Some(End::Broken(CaptureError::Utf16 { name: self.name.clone() }));
            } else if text.starts_with(b"\xEF\xBB\xBF") {
                text.drain(..3);
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
    fn block(&mut self, text: Vec<u8>, octets: u64, end: Option<End>, digest: Option<String>) -> Block {
        let first_line = self.line;
        self.line += memchr::memchr_iter(b'\n', &text).count() as u64;
        Block { source: self.source, first_line, octets, end, digest, text }
    }

    /// Reads until there is the end of a line; what comes behind it is kept for the next block. At the end of the source
    /// it says so, and the text is all that is left.
    fn lines(&mut self, input: &mut Opened, text: &mut Vec<u8>) -> Option<End> {
        loop {
            let before = text.len();
            match more(input, text) {
                Ok(0) => {
                    let cut_short = |error| CaptureError::Read { name: self.name.clone(), line: self.line - 1, error };
                    return Some(input.end().unwrap_or_else(|error| End::Broken(cut_short(error))));
                }
                Ok(_) => {}
                Err(error) => {
                    // Half a line is no line.
                    text.clear();
                    let name = self.name.clone();
                    return Some(End::Broken(CaptureError::Read { name, line: self.line - 1, error }));
                }
            }
            if let Some(at) = memchr::memrchr(b'\n', &text[before..]) {
                self.begun = text.split_off(before + at + 1);
                return None;
            }
            if text.len() > LONGEST_LINE {
                // Too long to be read, whatever comes; all that still counts is whether it is blank.
                let blank = text[LONGEST_LINE..].trim_ascii().is_empty();
                text[LONGEST_LINE] = if blank { b' ' } else { b'x' };
                text.truncate(LONGEST_LINE + 1);
            }
        }
    }
}

fn more(input: &mut impl Read, text: &mut Vec<u8>) -> io::Result<usize> {
    let before = text.len();
    text.resize(before + BLOCK, 0);
    let got = loop {
        match input.read(&mut text[before..]) {
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            other => break other,
        }
    };
    text.truncate(before + *got.as_ref().unwrap_or(&0));
    got
}
