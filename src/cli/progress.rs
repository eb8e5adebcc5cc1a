//! Long work: how far it has come, on a terminal; and what is left behind when somebody stops it.

use super::output::complain;
use indicatif::{HumanCount, ProgressBar, ProgressStyle};
use squitterlab::capture::{Accounting, Source};
use std::fs;
use std::io::{self, IsTerminal};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, Once, PoisonError};

/// What is under way, for whoever stops it.
struct UnderWay {
    /// A file that is not whole yet.
    unfinished: Option<PathBuf>,
    lines: u64,
    frames: u64,
}

static UNDER_WAY: Mutex<UnderWay> = Mutex::new(UnderWay { unfinished: None, lines: 0, frames: 0 });

fn under_way() -> MutexGuard<'static, UnderWay> {
    UNDER_WAY.lock().unwrap_or_else(PoisonError::into_inner)
}

/// From here on an interruption takes this unfinished file away; none once it is whole.
pub fn unfinished(file: Option<&Path>) {
    under_way().unfinished = file.map(Path::to_path_buf);
}

/// From here on an interruption (Ctrl-C, or being told to end) says what was done, and leaves no half file.
fn say_when_stopped() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        // Where there can be no handler, the system's own way stays.
        let _ = ctrlc::set_handler(|| {
            let under_way = under_way();
            let left = match &under_way.unfinished {
                Some(file) => {
                    let _ = fs::remove_file(file);
                    "; no file was left behind"
                }
                None => "",
            };
            let (lines, frames) = (under_way.lines, under_way.frames);
            complain(&format!("stopped after {lines} lines with {frames} frames; not finished{left}"));
            std::process::exit(2);
        });
    });
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
        say_when_stopped();
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

    /// So many octets of a source are read, and these lines are done.
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
