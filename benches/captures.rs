//! What a line of a capture costs: beside a floor that does only the unavoidable, by the length of the capture, and by how
//! many aircraft are in it. All on one core.
//!
//! Comparisons are measured once more on all cores, beside counting the lines of the same file.
//!
//! `cargo bench --bench captures -- floor` measures beside the floor only, and `-- write FILE LINES AIRCRAFT` only writes a
//! capture, for whole runs of the program.

mod traffic;

use rustix::time::{ClockId, clock_gettime};
use squitterlab::capture::{Clock, Record, Source, read_lines, threads};
use squitterlab::compare::{Fleet, Install};
use squitterlab::downlink::{Decoded, Parity};
use squitterlab::frame::{Address, Frame, parity_of};
use squitterlab::message::Message;
use squitterlab::onair::{FlightPath, Rehearsal};
use squitterlab::profile::{Profile, RuleSet, Stated};
use squitterlab::track::Tracker;
use std::fs::File;
use std::hint::black_box;
use std::io::{self, BufWriter, Read, Write};
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::time::Instant;

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
        ["lines"] => beside_counting_lines(1_000_000, 10_000, 9),
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
    flat("by the number of aircraft", extent.turns, lines, &by_aircraft.collect::<Vec<_>>())?;
    let aircraft = extent.aircraft.iter().copied().max().unwrap_or(1) as usize;
    beside_counting_lines(lines as usize, aircraft, extent.turns)
}

/// The demo's frames under any address, again and again, with times.
struct Own {
    frames: Vec<(f64, Frame)>,
    lasts_s: f64,
}

impl Own {
    /// Parked and in the air; a rehearsal goes on for ever.
    const LASTS_S: f64 = 600.0;

    fn new() -> Self {
        let profile = Profile::read(DEMO).profile;
        let flight = FlightPath::read(include_str!("../vectors/demo/flight.json")).expect("the demo flight is one");
        let sent = Rehearsal::new(profile, flight, 1).expect("the demo can be rehearsed").interrogated(20.0);
        let frames = sent.map(|sent| (sent.time_s(), sent.frame)).take_while(|(time, _)| *time < Self::LASTS_S);
        let frames: Vec<(f64, Frame)> = frames.collect();
        let lasts_s = frames.last().map_or(0.0, |(time, _)| time + 1.0);
        Self { frames, lasts_s }
    }

    /// Frame number `at` of an aircraft.
    fn frame(&self, at: usize, address: u32) -> (f64, Frame) {
        let (time, frame) = self.frames[at % self.frames.len()];
        let time = time + (at / self.frames.len()) as f64 * self.lasts_s;
        let frame = match frame.downlink_format() {
            11 | 17 => {
                let (length, pattern) = (frame.length(), frame.pattern());
                let place = length - 32;
                let pattern = pattern & !(0xFF_FFFF << place) | u128::from(address) << place;
                Frame::from_pattern(pattern, length).with_overlay(0)
            }
            _ => frame.with_overlay(address),
        };
        (time, frame)
    }
}

const DEMO: &str = include_str!("../vectors/demo/profile.json");

/// The demo's install under other addresses, without what makes one aircraft known by its text.
fn installs(aircraft: usize) -> Vec<Install> {
    let profile = Profile::read(DEMO).profile;
    let install = |at: usize| {
        let address = Stated::Is(Address::new(0x4A_0000 + at as u32));
        let (registration, aircraft_identification) = (Stated::NotStated, Stated::NotStated);
        let profile = Profile { address, registration, aircraft_identification, ..profile.clone() };
        Install::new(&at.to_string(), profile).expect("the demo can be compared")
    };
    (0..aircraft).map(install).collect()
}

/// What counting the lines of a file takes, done as simply as it can be.
fn count_lines(file: &Path) -> io::Result<u64> {
    let (mut file, mut room, mut lines) = (File::open(file)?, vec![0; 1 << 17], 0);
    loop {
        match file.read(&mut room)? {
            0 => return Ok(lines),
            filled => lines += memchr::memchr_iter(b'\n', &room[..filled]).count() as u64,
        }
    }
}

/// Comparisons on all cores with counting the lines of the same file, by the clock: none and half of the frames are of the
/// profile's aircraft, and all of them are of a large fleet.
fn beside_counting_lines(lines: usize, aircraft: usize, turns: usize) -> io::Result<()> {
    let own = Own::new();
    let threads = threads();
    println!("\ncompared on {threads} threads, {lines} lines with times, by the clock");
    let none: fn(&Own, usize) -> (f64, Frame) = |own, at| (own.frame(at, 0).0, traffic::frame(at as u64, AIRCRAFT));
    let half: fn(&Own, usize) -> (f64, Frame) = |own, at| {
        let (time, frame) = own.frame(at / 2, 0x4A_0000);
        (time, if at % 2 == 0 { frame } else { traffic::frame(at as u64, AIRCRAFT) })
    };
    let captures =
        [("no aircraft's, at most 4 times", none, 1, turns), ("half one's, at most 12 times", half, 1, turns)];
    for (name, line, profiles, turns) in captures {
        compare_beside(name, lines, turns, &installs(profiles), |at| line(&own, at))?;
    }
    // Each is heard for some seconds, all of them at once.
    let fleet = |at: usize| own.frame(at / aircraft + (at % aircraft) * 7, 0x4A_0000 + (at % aircraft) as u32);
    compare_beside(&format!("{aircraft} aircraft, all heard"), lines, 1, &installs(aircraft), fleet)
}

fn compare_beside(
    name: &str,
    lines: usize,
    turns: usize,
    installs: &[Install],
    line: impl Fn(usize) -> (f64, Frame),
) -> io::Result<()> {
    let file = Capture(std::env::temp_dir().join(format!("squitterlab-bench-{}.txt", std::process::id())));
    let mut out = BufWriter::with_capacity(1 << 20, File::create(&file.0)?);
    for at in 0..lines {
        let (time, frame) = line(at);
        writeln!(out, "{time:.3} {frame}")?;
    }
    out.flush()?;
    drop(out);
    let (mut counting, mut comparing) = (f64::INFINITY, f64::INFINITY);
    for _ in 0..turns {
        let start = Instant::now();
        assert_eq!(count_lines(&file.0)?, lines as u64);
        counting = counting.min(start.elapsed().as_secs_f64());
        let all = installs.to_vec();
        let start = Instant::now();
        let mut fleet = Fleet::new(all, &RuleSet::default());
        fleet.read_sources(vec![Source::File(file.0.clone())], &Clock::default(), threads(), |_, _| {});
        assert_eq!(fleet.reports_on(threads()).count(), installs.len());
        comparing = comparing.min(start.elapsed().as_secs_f64());
    }
    let (ratio, counting, comparing) = (comparing / counting, counting * 1e3, comparing * 1e3);
    println!("  {name:34} {comparing:8.1} ms   {ratio:6.1} times counting its lines, {counting:.1} ms");
    Ok(())
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
            black_box((record.time, decoded.envelope(), &decoded.squitter()));
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
    fleet.read_sources(vec![source.clone()], &Clock::default(), 1, |_, _| {});
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
