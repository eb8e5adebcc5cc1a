//! Shows on a terminal how far long work has come, and cleans up when somebody stops it.

use super::output::complain;
use indicatif::{HumanCount, ProgressBar, ProgressStyle};
use squitterlab::capture::{Accounting, Source};
use std::fs;
use std::io::{self, IsTerminal};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
#[cfg(unix)]
use std::sync::mpsc;
use std::sync::{Mutex, MutexGuard, Once, PoisonError};
#[cfg(unix)]
use std::thread;

/// What is under way, for whoever stops it.
struct UnderWay {
    /// Files that are not whole yet.
    unfinished: Vec<PathBuf>,
    /// Whether captures are read.
    reading: bool,
    lines: u64,
    frames: u64,
}

static UNDER_WAY: Mutex<UnderWay> =
    Mutex::new(UnderWay { unfinished: Vec::new(), reading: false, lines: 0, frames: 0 });

fn under_way() -> MutexGuard<'static, UnderWay> {
    UNDER_WAY.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Makes a file that an interruption takes away from the first moment on.
pub fn unfinished<T>(file: &Path, make: impl FnOnce() -> io::Result<T>) -> io::Result<T> {
    when_stopped();
    let mut under_way = under_way();
    let made = make()?;
    under_way.unfinished.push(file.to_path_buf());
    Ok(made)
}

/// Does what ends a file's being unfinished, undisturbed by an interruption.
pub fn finish<T>(file: &Path, how: impl FnOnce() -> T) -> T {
    let mut under_way = under_way();
    let done = how();
    under_way.unfinished.retain(|other| other != file);
    done
}

/// Whether being told to stop ends the work with its result, and whether that was said.
static GENTLY: AtomicBool = AtomicBool::new(false);
static STOPPED: AtomicBool = AtomicBool::new(false);

/// From here on the first interruption ends the work with its result, and only a second one ends the program.
pub fn ends_gently() {
    GENTLY.store(true, Ordering::Relaxed);
    when_stopped();
}

/// Whether somebody has said stop.
pub fn is_stopped() -> bool {
    STOPPED.load(Ordering::Relaxed)
}

/// From here on an interruption (Ctrl-C, a hang-up, being told to end) says what was done, and leaves no half file.
fn when_stopped() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        on_signal(|| {
            if GENTLY.load(Ordering::Relaxed) && !STOPPED.swap(true, Ordering::Relaxed) {
                return;
            }
            let under_way = under_way();
            for file in &under_way.unfinished {
                let _ = fs::remove_file(file);
            }
            let left = if under_way.unfinished.is_empty() { "" } else { "; no file was left behind" };
            let (lines, frames) = (under_way.lines, under_way.frames);
            complain(&if under_way.reading {
                format!("stopped after {lines} lines with {frames} frames; not finished{left}")
            } else {
                format!("stopped before it was finished{left}")
            });
            std::process::exit(2);
        });
    });
}

/// Runs this once a signal asks the program to stop. A signal that was ignored from the start, as with nohup, stays so.
#[cfg(unix)]
fn on_signal(stop: impl Fn() + Send + 'static) {
    use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};
    let ignored = ignored_signals();
    let (registered, wait) = mpsc::channel::<()>();
    // Where there can be no handler, or no thread for it, the system's own way stays.
    let watching = thread::Builder::new().spawn(move || {
        let wanted = [SIGHUP, SIGINT, SIGTERM].into_iter().filter(|signal| ignored >> (signal - 1) & 1 == 0);
        let signals = signal_hook::iterator::Signals::new(wanted);
        drop(registered);
        if let Ok(mut signals) = signals {
            signals.forever().for_each(|_| stop());
        }
    });
    if watching.is_ok() {
        let _ = wait.recv();
    }
}

/// A file that may not grow further is then an error of writing like any other, and not the end of the program.
pub fn survive_limits() {
    #[cfg(unix)]
    let _ = signal_hook::flag::register(signal_hook::consts::SIGXFSZ, std::sync::Arc::default());
}

/// The signals that this program inherited as ignored, bit 0 for the first; `None` if that is not known.
#[cfg(unix)]
fn ignored_signals() -> u64 {
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let mask = status.lines().find_map(|line| line.strip_prefix("SigIgn:"));
    mask.and_then(|mask| u64::from_str_radix(mask.trim(), 16).ok()).unwrap_or(0)
}

#[cfg(not(unix))]
fn on_signal(stop: impl Fn() + Send + 'static) {
    let _ = ctrlc::set_handler(stop);
}

/// How far the reading of captures has come.
pub struct Progress {
    bar: ProgressBar,
    /// Octets of the sources before, and of this one.
    before: u64,
    current: (usize, u64),
}

impl Progress {
    /// Begins with these captures. A bar is shown on a terminal that the results do not go to.
    pub fn new(sources: &[Source], results_on_terminal: bool) -> Self {
        when_stopped();
        under_way().reading = true;
        let length = |source: &Source| match source {
            Source::File(path) => fs::metadata(path).ok().filter(fs::Metadata::is_file).map(|file| file.len()),
            Source::StandardInput => None,
        };
        let hidden = !io::stderr().is_terminal() || results_on_terminal && io::stdout().is_terminal();
        let (bar, template) = match (hidden, sources.iter().map(length).sum::<Option<u64>>()) {
            (true, _) => (ProgressBar::hidden(), ""),
            (false, Some(octets)) => {
                (ProgressBar::new(octets), "{bar:24} {bytes} of {total_bytes}, {msg}, {bytes_per_sec}, {eta} left")
            }
            (false, None) => (ProgressBar::new_spinner(), "{spinner} {bytes}, {msg}, {bytes_per_sec}"),
        };
        if let Ok(style) = ProgressStyle::with_template(template) {
            bar.set_style(style);
        }
        Self { bar, before: 0, current: (0, 0) }
    }

    /// The number of octets read of a source, and these lines are done.
    pub fn at(&mut self, source: usize, octets: u64, accounting: &Accounting) {
        let mut under_way = under_way();
        under_way.lines += accounting.lines();
        under_way.frames += accounting.frames;
        if self.current.0 != source {
            self.before += self.current.1;
        }
        self.current = (source, octets);
        self.bar.set_position(self.before + octets);
        if !self.bar.is_hidden() {
            let seconds = self.bar.elapsed().as_secs_f64().max(1e-3);
            let rate = HumanCount((under_way.frames as f64 / seconds) as u64);
            self.bar.set_message(format!("{} frames, {rate} a second", HumanCount(under_way.frames)));
        }
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}
