//! `rehearse`: the timed stream of frames that the configured unit would send, as a capture file.

use super::output::{Sink, complain, print, reader_gone, remark};
use super::profile::{read_profile, read_text};
use super::{Outcome, whole};
use clap::Args;
use rayon::{ThreadPool, ThreadPoolBuilder};
use squitterlab::onair::{
    CaptureWriter, FlightPath, Installation, Planted, ReceptionModel, Rehearsal, Traffic, what_is_unknown,
};
use squitterlab::present::text;
use squitterlab::profile::{Profile, names};
use std::io::{self, Write};
use std::iter;
use std::path::PathBuf;
use std::sync::mpsc::sync_channel;
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  squitterlab rehearse vectors/demo/profile.json --out good.txt
  squitterlab rehearse vectors/demo/profile.json \\
      --mistake feet_as_metres --for 120
  squitterlab rehearse vectors/demo/profile.json \\
      | squitterlab compare vectors/demo/profile.json --capture -")]
pub struct Arguments {
    /// The install profile
    profile: PathBuf,
    /// A situation that stays as it is, or a flight over time; without it a built-in circuit at an invented place
    #[arg(long, value_name = "FILE")]
    situation: Option<PathBuf>,
    /// Duration; without it the whole flight, or 60 s of a fixed situation
    #[arg(long = "for", value_name = "SECONDS", value_parser = seconds)]
    duration_s: Option<f64>,
    /// The same seed gives the same bytes
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = whole(0..=u64::MAX))]
    seed: u64,
    /// Plant a mistake; repeatable; `compare --list-causes` names them; CAUSE:2 is the second way to make it
    #[arg(long, value_name = "CAUSE")]
    mistake: Vec<String>,
    /// Make a faulty and noisy capture, to find its mistakes; `--answer` names them
    #[arg(long, value_name = "SEED", value_parser = whole(0..=u64::MAX), conflicts_with_all = ["mistake", "seed"])]
    practice: Option<u64>,
    /// Name the mistakes of a practice capture, and write nothing else
    #[arg(long, requires = "practice", conflicts_with_all = ["mistake", "seed", "situation", "duration_s", "interrogated"])]
    #[arg(conflicts_with_all = ["loss", "bit_errors", "garbage", "other_aircraft", "out", "force"])]
    answer: bool,
    /// Also answer this many interrogations per second [default without RATE: 5]
    #[arg(long, value_name = "RATE", num_args = 0..=1, default_missing_value = "5", value_parser = rate)]
    interrogated: Option<f64>,
    /// Lose this share of the frames
    #[arg(long, value_name = "PERCENT", value_parser = percent, default_value = "0", allow_hyphen_values = true)]
    loss: f64,
    /// Damage this share of the bits
    #[arg(long, value_name = "PERCENT", value_parser = percent, default_value = "0", allow_hyphen_values = true)]
    bit_errors: f64,
    /// Add a line without a frame after this share of the frames
    #[arg(long, value_name = "PERCENT", value_parser = percent, default_value = "0", allow_hyphen_values = true)]
    garbage: f64,
    /// Number of other, invented aircraft that fly beside this one
    #[arg(long, value_name = "N", default_value_t = 0, value_parser = whole::<u32>(0..=100_000))]
    other_aircraft: u32,
    /// Write to a file instead of standard output
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// Overwrite the file if it is there
    #[arg(long, requires = "out")]
    force: bool,
}

/// Reads a number of seconds.
fn seconds(text: &str) -> Result<f64, String> {
    text.parse()
        .ok()
        .filter(|seconds| (0.0..=1e9).contains(seconds))
        .ok_or_else(|| "write a number of seconds from 0 to 1000000000, such as 120".to_owned())
}

/// Reads a percentage.
fn percent(text: &str) -> Result<f64, String> {
    let percent = text.trim_end_matches('%').parse().ok().filter(|percent| (0.0..=100.0).contains(percent));
    percent.map(|percent: f64| percent / 100.0).ok_or_else(|| "write a number from 0 to 100, such as 2.5".to_owned())
}

/// Reads a number of interrogations per second.
fn rate(text: &str) -> Result<f64, String> {
    text.parse()
        .ok()
        .filter(|rate| (0.01..=200.0).contains(rate))
        .ok_or_else(|| "write interrogations per second, from 0.01 to 200".to_owned())
}

/// How long a situation lasts that has no end of its own.
const FIXED_MS: u64 = 60_000;

pub fn run(arguments: &Arguments) -> io::Result<Outcome> {
    let Some(profile) = read_profile(&arguments.profile) else { return Ok(Outcome::Failed) };
    if let Some(unknown) = what_is_unknown(&profile) {
        remark(&text::folded(&format!("{}: ", arguments.profile.display()), 2, unknown));
    }
    let name = arguments.profile.display();
    let (installation, planted) = match (arguments.practice, Installation::from(profile)) {
        (Some(seed), installation) => installation.practice(seed),
        (None, installation) => match planted(installation, &arguments.mistake) {
            Ok(planted) => planted,
            Err(message) => {
                complain(&format!("--mistake: {message}"));
                return Ok(Outcome::Failed);
            }
        },
    };
    if arguments.answer {
        print(&answer(&planted))?;
        return Ok(Outcome::Done);
    }
    let Some(path) = flight(arguments, &installation.actual) else { return Ok(Outcome::Failed) };
    let end_ms = match arguments.duration_s {
        Some(seconds) => (seconds * 1000.0).round() as u64,
        None if path.duration_ms() == 0 => FIXED_MS,
        None => path.duration_ms(),
    };
    let how = How::of(arguments);
    let workers = Workers::new();
    let traffic = match workers.run(|| Rehearsal::with_others(installation, path, how.seed, how.others)) {
        Ok(mut all) => {
            if let Some(rate) = how.interrogated {
                all = all.into_iter().map(|rehearsal| rehearsal.interrogated(rate)).collect();
            }
            Traffic::new(all)
        }
        Err(error) => {
            complain(&format!("{name}: {error}"));
            return Ok(Outcome::Failed);
        }
    };
    let recording = CaptureWriter::new(traffic, how.reception, how.seed, end_ms);
    let header = header(arguments, &how, &planted, end_ms);
    let mut sink = Sink::open(arguments.out.as_deref(), arguments.force)?;
    remark(&text::cautions());
    sink.write_all(header.as_bytes())?;
    write(&mut sink, recording, &workers)?;
    sink.close()?;
    Ok(Outcome::Done)
}

/// What is written above the frames. A practice capture keeps its mistakes to itself.
fn header(arguments: &Arguments, how: &How, planted: &[Planted], end_ms: u64) -> String {
    let kind = if arguments.practice.is_some() { "practice" } else { "seed" };
    let (version, seconds) = (env!("CARGO_PKG_VERSION"), end_ms as f64 / 1000.0);
    let mut lines = vec![
        "# synthetic: made from an install profile, never received; for reading only, never radiate".to_owned(),
        format!("# squitterlab {version} rehearse, {kind} {}, {seconds} s", how.seed),
    ];
    lines.extend(
        planted
            .iter()
            .filter(|_| arguments.practice.is_none())
            .map(|Planted { mistake, detail }| format!("# planted: {}: {} ({detail})", mistake.cause, mistake.what)),
    );
    lines.push("# seconds, frame\n".to_owned());
    lines.join("\n")
}

/// What the receiver's surroundings are.
struct How {
    seed: u64,
    others: u32,
    interrogated: Option<f64>,
    reception: ReceptionModel,
}

impl How {
    fn of(arguments: &Arguments) -> Self {
        let Arguments { loss, bit_errors, garbage, .. } = *arguments;
        let reception = ReceptionModel { loss, bit_errors, garbage };
        let others = arguments.other_aircraft;
        let how = Self { seed: arguments.seed, others, interrogated: arguments.interrogated, reception };
        let Some(seed) = arguments.practice else { return how };
        // A receiver on an apron; what was asked for in words goes before.
        let or = |given: f64, usual: f64| if given > 0.0 { given } else { usual };
        Self {
            seed,
            others: if others > 0 { others } else { 2 },
            interrogated: how.interrogated.or(Some(2.0)),
            reception: ReceptionModel {
                loss: or(loss, 0.1),
                bit_errors: or(bit_errors, 2e-4),
                garbage: or(garbage, 0.005),
            },
        }
    }
}

fn answer(planted: &[Planted]) -> String {
    planted
        .iter()
        .map(|Planted { mistake, detail }| {
            let what = format!("{} ({detail}); settings: {}", mistake.what, names(mistake.settings));
            text::folded(&format!("{}: ", mistake.cause), 4, &what)
                + &text::folded("    correction: ", 6, mistake.correction)
        })
        .collect()
}

fn flight(arguments: &Arguments, profile: &Profile) -> Option<Arc<FlightPath>> {
    let Some(file) = &arguments.situation else { return Some(Arc::new(FlightPath::demo_of(profile))) };
    match FlightPath::read(&read_text(file)?) {
        Ok(path) => Some(Arc::new(path)),
        Err(error) => {
            complain(&format!("{}:{error}", file.display()));
            None
        }
    }
}

fn planted(mut installation: Installation, mistakes: &[String]) -> Result<(Installation, Vec<Planted>), String> {
    let (mut all, mut made) = (Vec::new(), Vec::new());
    for mistake in mistakes {
        let (cause, way) = mistake.split_once(':').unwrap_or((mistake, "1"));
        let way: u64 = way.parse().ok().filter(|way| *way > 0).ok_or_else(|| {
            format!("{way:?} behind the colon is not the number of a way; write {cause}:1 or just {cause}")
        })?;
        if made.contains(&(cause, way)) {
            return Err(format!("{mistake} is given twice, and can be made only once; leave one out"));
        }
        made.push((cause, way));
        let (wrong, planted) = installation.with_mistake(cause, way - 1).map_err(|error| error.to_string())?;
        installation = wrong;
        all.push(planted);
    }
    Ok((installation, all))
}

/// The threads that rehearse. If the system has none to give, this thread does all.
enum Workers {
    Pool(ThreadPool),
    ThisThread {
        /// What makes this thread the only one of a pool, as long as it is there.
        _pool: Option<ThreadPool>,
    },
}

impl Workers {
    fn new() -> Self {
        let alone = || ThreadPoolBuilder::new().num_threads(1).use_current_thread().build().ok();
        ThreadPoolBuilder::new().build().map_or_else(|_| Self::ThisThread { _pool: alone() }, Self::Pool)
    }

    fn run<T: Send>(&self, work: impl FnOnce() -> T + Send) -> T {
        match self {
            Self::Pool(pool) => pool.install(work),
            Self::ThisThread { .. } => work(),
        }
    }
}

fn write(sink: &mut Sink, mut recording: CaptureWriter, workers: &Workers) -> io::Result<()> {
    // Nothing that is still to come can change the status, and a rehearsal may be as long as one likes.
    let mut put = |slices: &mut dyn Iterator<Item = Vec<Vec<u8>>>| {
        slices.flatten().take_while(|_| !reader_gone()).try_for_each(|piece| sink.write_all(&piece))
    };
    if matches!(workers, Workers::ThisThread { .. }) {
        return put(&mut recording);
    }
    let recording = Mutex::new(recording);
    thread::scope(|scope| {
        // While one slice is written, the next is made.
        let (to_sink, slices) = sync_channel(1);
        let recording = &recording;
        let making = thread::Builder::new().spawn_scoped(scope, move || {
            let recording = &mut *recording.lock().unwrap_or_else(PoisonError::into_inner);
            while let Some(slice) = workers.run(|| recording.next()) {
                if to_sink.send(slice).is_err() {
                    return;
                }
            }
        });
        if making.is_ok() {
            return put(&mut slices.into_iter());
        }
        // The system has no thread left: one after the other, then.
        let recording = &mut *recording.lock().unwrap_or_else(PoisonError::into_inner);
        put(&mut iter::from_fn(|| workers.run(|| recording.next())))
    })
}
