//! What a line of a capture costs: beside a floor that does only the unavoidable, by the length of the capture, and by how
//! many aircraft are in it. All on one core.
//!
//! `cargo bench --bench captures -- floor` measures beside the floor only, and `-- write FILE LINES AIRCRAFT` only writes a
//! capture, for whole runs of the program.

mod traffic;

use rustix::time::{ClockId, clock_gettime};
use squitterlab::capture::{Clock, Record, Source, read_lines};
use squitterlab::compare::{Fleet, Install};
use squitterlab::downlink::{Decoded, Parity};
use squitterlab::frame::parity_of;
use squitterlab::message::Message;
use squitterlab::profile::{Profile, RuleSet};
use squitterlab::track::Tracker;
use std::fs::File;
use std::hint::black_box;
use std::io::{self, BufWriter, Write};
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};

fn main() -> io::Result<()> {
    let mut arguments: Vec<String> = std::env::args().skip(1).collect();
    // Only `cargo bench` says so: among the tests it runs once.
    if arguments.iter().any(|argument| argument == "--bench") {
        arguments.retain(|argument| argument != "--bench");
    } else if arguments.is_empty() {
        arguments.push("--test".to_owned());
    }
    match &arguments.iter().map(String::as_str).collect::<Vec<_>>()[..] {
        ["write", file, lines, aircraft] => {
            let number = |text: &str| text.parse::<u64>().map_err(io::Error::other);
            write(Path::new(file), number(lines)?, number(aircraft)?)
        }
        ["floor"] => beside_the_floor(100_000, 90),
        ["--test"] => measure(&Extent { turns: 2, read: 10_000, lines: &[1_000, 10_000], aircraft: &[1, 1_000] }),
        _ => measure(&Extent {
            turns: 9,
            read: 100_000,
            lines: &[10_000, 100_000, 1_000_000, 4_000_000],
            aircraft: &[1, 10, 100, 1_000, 10_000],
        }),
    }
}

/// How much is measured.
struct Extent {
    /// How often each piece of work is done, in turn with the others; the least time counts.
    turns: usize,
    /// The lines of the measure beside the floor.
    read: u64,
    /// The lengths of captures that are held against one another.
    lines: &'static [u64],
    /// The numbers of aircraft that are.
    aircraft: &'static [u64],
}

/// How many aircraft a capture has where the number is not what is measured.
const AIRCRAFT: u64 = 200;

fn measure(extent: &Extent) -> io::Result<()> {
    beside_the_floor(extent.read, 10 * extent.turns)?;
    let longest = extent.lines.iter().copied().max().unwrap_or(0);
    let by_length = extent.lines.iter().map(|lines| (*lines, AIRCRAFT, format!("{lines} lines")));
    flat("by the length of the capture", extent.turns, longest, &by_length.collect::<Vec<_>>())?;
    let lines = longest.min(1_000_000);
    let by_aircraft = extent.aircraft.iter().map(|aircraft| (lines, *aircraft, format!("{aircraft} aircraft")));
    flat("by the number of aircraft", extent.turns, lines, &by_aircraft.collect::<Vec<_>>())
}

fn write(file: &Path, lines: u64, aircraft: u64) -> io::Result<()> {
    let mut out = BufWriter::with_capacity(1 << 20, File::create(file)?);
    traffic::write(&mut out, lines, aircraft)?;
    out.flush()
}

/// Processor time of this thread, in nanoseconds: what others do on the machine counts less than on a clock.
fn now_ns() -> f64 {
    let now = clock_gettime(ClockId::ThreadCPUTime);
    now.tv_sec as f64 * 1e9 + now.tv_nsec as f64
}

/// The least time of each piece of work, all of them done in turn.
fn least_ns(turns: usize, works: &mut [Box<dyn FnMut() + '_>]) -> Vec<f64> {
    let mut least = vec![f64::INFINITY; works.len()];
    for _ in 0..turns {
        for (least, work) in least.iter_mut().zip(works.iter_mut()) {
            let start = now_ns();
            work();
            *least = least.min(now_ns() - start);
        }
    }
    least
}

/// The lines of a text, without their ends.
fn lines(text: &[u8]) -> impl Iterator<Item = &[u8]> {
    let mut start = 0;
    memchr::memchr_iter(b'\n', text).map(move |end| &text[std::mem::replace(&mut start, end + 1)..end])
}

/// The unavoidable, with the same crates: the ends of the lines, hexadecimal, parity.
fn floor(text: &[u8]) -> u64 {
    let (mut frames, mut sum) = (0, 0);
    for line in lines(text) {
        let mut octets = [0; 14];
        let parity = match line.len() {
            28 => faster_hex::hex_decode(line, &mut octets).map(|octets| parity_of(&octets[..11])),
            14 => faster_hex::hex_decode(line, &mut octets[..7]).map(|octets| parity_of(&octets[..4])),
            _ => continue,
        };
        if let Ok(parity) = parity {
            frames += 1;
            sum ^= parity;
        }
    }
    black_box(sum);
    frames
}

/// The library: what any line of a capture is, what its parity says, and the message with every field apart.
fn library(text: &[u8]) -> u64 {
    let each = |record: Record| {
        let decoded = Decoded::new(record.frame);
        if decoded.parity() != Parity::Invalid {
            black_box((record.time, decoded.envelope, &decoded.squitter()));
        }
        ControlFlow::Continue(())
    };
    read_lines(text, 1, each).frames
}

/// The same without finding out what is in the message.
fn frames_only(text: &[u8]) -> u64 {
    let each = |record: Record| {
        black_box((record.time, record.frame.overlay()));
        ControlFlow::Continue(())
    };
    read_lines(text, 1, each).frames
}

fn beside_the_floor(lines: u64, turns: usize) -> io::Result<()> {
    let mut text = Vec::new();
    traffic::write(&mut text, lines, AIRCRAFT)?;
    // All of it means the same thing, or the ratio means nothing.
    for read in [floor, frames_only, library] {
        assert_eq!(read(&text), lines);
    }
    let read = |read: fn(&[u8]) -> u64| {
        let text = &text;
        Box::new(move || {
            black_box(read(black_box(text)));
        }) as Box<dyn FnMut()>
    };
    let least = least_ns(turns, &mut [read(floor), read(frames_only), read(library)]);
    println!("text line to typed message, parity checked: {lines} lines of mixed traffic, in nanoseconds a line");
    let names = ["floor: ends of lines, hexadecimal, parity", "line to frame, parity checked", "line to typed message"];
    for (name, ns) in names.iter().zip(&least) {
        println!("  {name:44} {:6.1}   {:.2} times the floor", ns / lines as f64, ns / least[0]);
    }
    Ok(())
}

/// A capture in a file, for as long as it is needed.
struct Capture(PathBuf);

impl Drop for Capture {
    fn drop(&mut self) {
        // Nothing is lost with a file left behind.
        drop(std::fs::remove_file(&self.0));
    }
}

/// Lines to typed messages, through the stream.
fn to_messages(source: &Source) {
    drop(source.read(|record| {
        black_box::<Option<Message>>(Decoded::new(record.frame).squitter());
        ControlFlow::Continue(())
    }));
}

/// What `decode` does before it writes: the same, with the memory across frames.
fn followed(source: &Source) {
    let mut tracker = Tracker::new(None, None);
    drop(source.read(|record| {
        black_box(tracker.observe(&Decoded::new(record.frame), record.time));
        ControlFlow::Continue(())
    }));
}

/// What `compare` does with captures, for a profile of none of their aircraft, and for that of one of them.
fn compared(source: &Source, address: &str) {
    let profile = Profile::read(&format!(r#"{{"aircraft": {{"address": "{address}", "emitter_category": "A1"}}}}"#));
    let install = Install::new("profile", profile.profile).expect("this profile has all that is needed");
    let mut fleet = Fleet::new(vec![install], &RuleSet::default());
    fleet.hear(vec![source.clone()], &Clock::default(), 1, |_, _| {});
    black_box(fleet);
}

type Work = (&'static str, fn(&Source));

const WORKS: [Work; 4] = [
    ("to messages", to_messages),
    ("followed", followed),
    ("compared, no aircraft's", |source| compared(source, "A00001")),
    ("compared, one aircraft's", |source| compared(source, "A5C035")),
];

/// The cost of a line for captures of so many lines and aircraft; each is read as often as makes `in_all` lines.
fn flat(by: &str, turns: usize, in_all: u64, captures: &[(u64, u64, String)]) -> io::Result<()> {
    println!("\ncost of a line {by}, in nanoseconds");
    print!("{:20}", "");
    for (name, _) in WORKS {
        print!("{name:>26}");
    }
    println!();
    let mut files = Vec::new();
    for (lines, aircraft, _) in captures {
        let name = format!("squitterlab-bench-{}-{lines}-{aircraft}.txt", std::process::id());
        let file = Capture(std::env::temp_dir().join(name));
        write(&file.0, *lines, *aircraft)?;
        files.push(file);
    }
    let mut works: Vec<Box<dyn FnMut()>> = Vec::new();
    let sources: Vec<Source> = files.iter().map(|file| Source::File(file.0.clone())).collect();
    for (source, (lines, ..)) in sources.iter().zip(captures) {
        for (_, work) in WORKS {
            let source = source.clone();
            let times = in_all / lines;
            works.push(Box::new(move || (0..times).for_each(|_| work(&source))));
        }
    }
    let least = least_ns(turns, &mut works);
    let cost = |at: usize, work: usize| {
        let (lines, ..) = captures[at];
        least[at * WORKS.len() + work] / (in_all / lines * lines) as f64
    };
    for (at, (.., name)) in captures.iter().enumerate() {
        print!("  {name:18}");
        for work in 0..WORKS.len() {
            print!("{:26.1}", cost(at, work));
        }
        println!();
    }
    print!("  {:18}", "most over least");
    for work in 0..WORKS.len() {
        let all = || (0..captures.len()).map(|at| cost(at, work));
        print!("{:26.2}", all().fold(0.0, f64::max) / all().fold(f64::INFINITY, f64::min));
    }
    println!();
    Ok(())
}
