//! `watch`: lines followed as they come: steps ticked off, faults at once, and the verdict of `compare` at the end.

use super::compare::{complain_of_nothing, install};
use super::input::{Captures, captures};
use super::output::{complain, made, print, reader_gone, remark};
use super::profile::{Refused, named_rules};
use super::progress::{ends_gently, is_stopped};
use super::{Format, Outcome, RecordFile, Times, whole};
use clap::Args;
use crossterm::terminal::{EnterAlternateScreen, LeaveAlternateScreen};
use crossterm::{cursor, execute, queue, style, terminal};
use squitterlab::capture::{Captured, Digested, Running};
use squitterlab::compare::{Dips, Verdict, Watch};
use squitterlab::present::html::record;
use squitterlab::present::verdict::Row;
use squitterlab::present::watch::{event_json, event_text, screen, steps_text};
use squitterlab::present::{text, verdict};
use squitterlab::profile::RuleSet;
use std::fs::File;
use std::io::{self, IsTerminal, Read, Write};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, RecvTimeoutError, sync_channel};
use std::thread;
use std::time::{Duration, Instant};

#[derive(Debug, Args)]
#[command(after_help = "\
It receives nothing itself: a receiver writes the lines. Ctrl-C ends it with the verdict, which is that of \
`compare` over the same lines.

Examples:
  squitterlab rehearse vectors/demo/profile.json --for 300 \\
      | squitterlab watch vectors/demo/profile.json
  squitterlab watch vectors/demo/profile.json vectors/demo/good_air.txt \\
      --ends-after 1

Exit status 0 for \"agrees\" and \"incomplete\", 1 for \"differs\", 2 where no frame can be tied to the profile.")]
pub struct Arguments {
    /// The install profile
    #[arg(required_unless_present = "schema")]
    profile: Option<PathBuf>,
    /// A file that somebody writes, followed as it grows; - is standard input
    #[arg(default_value = "-")]
    file: PathBuf,
    /// End once nothing has come for this many seconds [default: a file is followed until Ctrl-C]
    #[arg(long, value_name = "SECONDS", value_parser = whole::<u32>(1..=86_400))]
    ends_after: Option<u32>,
    /// Print lines on a terminal too, not a screen
    #[arg(long)]
    plain: bool,
    /// Compare with a regulator's minimum values too, as in `compare`
    #[arg(long, value_name = "NAME|FILE", default_value = "none")]
    rules: PathBuf,
    /// Exit with 1 if the verdict is "incomplete"
    #[arg(long)]
    complete: bool,
    /// Text, or one JSON object per event and the comparison as the last
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
    #[command(flatten)]
    times: Times,
    #[command(flatten)]
    record: RecordFile,
    /// Print the JSON Schema of an event; the last line has that of `compare`
    #[arg(long)]
    schema: bool,
}

/// The screen is drawn anew at most this often.
const EVERY: Duration = Duration::from_millis(250);
/// How often a file is looked at for more.
const LOOK: Duration = Duration::from_millis(100);

/// What the reader says.
pub(super) enum Piece {
    Octets(Vec<u8>),
    /// Reading stopped.
    Broken(String),
}

pub fn run(arguments: &Arguments) -> io::Result<Outcome> {
    if arguments.schema {
        print(&format!("{:#}\n", verdict::watch_schema()))?;
        return Ok(Outcome::Done);
    }
    let Some(rules) = named_rules(&arguments.rules) else { return Ok(Outcome::Failed) };
    let Some(profile) = arguments.profile.as_deref() else { return Ok(Outcome::Failed) };
    let Some(install) = install(profile).inspect_err(Refused::tell).ok() else { return Ok(Outcome::Failed) };
    let Some(Captures { missing, .. }) = captures(std::slice::from_ref(&arguments.file)) else {
        return Ok(Outcome::Failed);
    };
    if let Some(why) = missing.first() {
        complain(why);
        return Ok(Outcome::Failed);
    }
    if arguments.file.is_dir() {
        complain(&format!("{}: this is a folder (a directory); name a file in it", arguments.file.display()));
        return Ok(Outcome::Failed);
    }
    ends_gently();
    let sink = arguments.record.open()?;
    let name = arguments.file.display().to_string();
    let title = install.profile.registration.get().map_or_else(|| install.address.to_string(), |mark| mark.0.clone());
    let mut watch = Watch::new(install, &rules, Dips::default(), arguments.times.clock(), &name);
    let cautions = steps_text(watch.state());
    match arguments.format {
        Format::Json => remark(&cautions),
        Format::Text => print(&cautions)?,
    }
    let is_finite = arguments.ends_after.is_some() || arguments.file == Path::new("-");
    let (pieces, running) = reading(&arguments.file, arguments.ends_after);
    let on_screen = arguments.format == Format::Text && !arguments.plain && io::stdout().is_terminal();
    let mut shown = Shown { screen: on_screen.then(|| Screen::open(title)).transpose()?, format: arguments.format };
    let trouble = follow(&mut watch, &pieces, &mut shown, &name, is_finite)?;
    watch.finish();
    shown.tell(&mut watch)?;
    drop(shown);
    let report = watch.report();
    match arguments.format {
        Format::Json => print(&format!("{}\n", verdict::report_json(report)))?,
        Format::Text => print(&format!("\n{}", verdict::report_text(report)))?,
    }
    if let Some(sink) = sink {
        let mut captured = Captured::named(&name);
        captured.accounting = watch.fleet().accounting().clone();
        captured.digest = trouble.is_none().then(|| running.so_far());
        captured.trouble.clone_from(&trouble);
        sink.write_whole(written(&watch, profile, &captured, &rules)?.as_bytes())?;
    }
    if let Some(trouble) = &trouble {
        complain(trouble);
    }
    let row = Row::new(&watch.fleet().installs()[0], report);
    if row.heard_as.is_none() {
        complain_of_nothing(&[row]);
        return Ok(Outcome::Failed);
    }
    Ok(match report.verdict {
        _ if trouble.is_some() => Outcome::Failed,
        Verdict::Differs => Outcome::Differs,
        Verdict::Incomplete if arguments.complete => Outcome::Differs,
        Verdict::Incomplete | Verdict::Agrees => Outcome::Done,
    })
}

fn written(watch: &Watch, profile: &Path, captured: &Captured, rules: &RuleSet) -> io::Result<String> {
    let source = record::source(profile);
    let subject = (&watch.fleet().installs()[0], watch.report(), &source);
    Ok(record::compared(&[subject], std::slice::from_ref(captured), rules, &[], &made()?))
}

/// Reads in a thread of its own, since reading waits.
pub(super) fn reading(file: &Path, ends_after: Option<u32>) -> (Receiver<Piece>, Running) {
    let (sender, pieces) = sync_channel(4);
    let (mut input, running) = Digested::new(Growing { file: None, path: file.to_owned(), ends_after });
    thread::spawn(move || {
        let mut room = vec![0; 1 << 16];
        loop {
            let piece = match input.read(&mut room) {
                Ok(0) => break,
                Ok(got) => Piece::Octets(room[..got].to_vec()),
                Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
                Err(error) => Piece::Broken(error.to_string()),
            };
            let broken = matches!(piece, Piece::Broken(_));
            if sender.send(piece).is_err() || broken {
                break;
            }
        }
    });
    (pieces, running)
}

/// A file that somebody may still be writing, or standard input.
struct Growing {
    /// The file and how much of it was read, once it is open.
    file: Option<(File, u64)>,
    path: PathBuf,
    ends_after: Option<u32>,
}

impl Read for Growing {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        if self.path == Path::new("-") {
            return io::stdin().lock().read(into);
        }
        let named = |error: &io::Error| io::Error::new(error.kind(), format!("{}: {error}", self.path.display()));
        let (file, read) = match &mut self.file {
            Some(open) => open,
            none => none.insert((File::open(&self.path).map_err(|error| named(&error))?, 0)),
        };
        let grows = file.metadata().is_ok_and(|file| file.is_file());
        let began = Instant::now();
        loop {
            let got = file.read(into).map_err(|error| named(&error))?;
            *read += got as u64;
            let over = self.ends_after.is_some_and(|seconds| began.elapsed().as_secs() >= seconds.into());
            // A pipe ends when its writer does.
            if got > 0 || over || !grows || is_stopped() {
                return Ok(got);
            }
            if file.metadata().is_ok_and(|file| file.len() < *read) {
                let why = format!("{}: the file became shorter: it was started again", self.path.display());
                return Err(io::Error::other(why));
            }
            thread::sleep(LOOK);
        }
    }
}

/// Follows until there is no more, or somebody says stop; gives what went wrong.
fn follow(
    watch: &mut Watch,
    pieces: &Receiver<Piece>,
    shown: &mut Shown,
    name: &str,
    is_finite: bool,
) -> io::Result<Option<String>> {
    loop {
        // A file is followed for ever, and nobody reads what is told of it any more.
        if is_stopped() || reader_gone() && !is_finite {
            return Ok(None);
        }
        match pieces.recv_timeout(LOOK) {
            Ok(Piece::Octets(octets)) => {
                if let Err(error) = watch.feed(&octets) {
                    return Ok(Some(format!("{name}: {error}")));
                }
            }
            Ok(Piece::Broken(why)) => return Ok(Some(why)),
            Err(RecvTimeoutError::Disconnected) => return Ok(None),
            // On a screen everything is judged as soon as nothing comes; lines do not depend on when pieces come.
            Err(RecvTimeoutError::Timeout) if shown.screen.is_some() => watch.pause(),
            Err(RecvTimeoutError::Timeout) => {}
        }
        shown.tell(watch)?;
    }
}

/// Where what happens is shown.
struct Shown {
    screen: Option<Screen>,
    format: Format,
}

impl Shown {
    fn tell(&mut self, watch: &mut Watch) -> io::Result<()> {
        let events: Vec<_> = watch.events().collect();
        if let Some(screen) = &mut self.screen {
            return screen.draw(watch, events.is_empty());
        }
        for event in &events {
            match self.format {
                Format::Json => print(&format!("{}\n", event_json(event)))?,
                Format::Text => print(&event_text(event))?,
            }
        }
        Ok(())
    }
}

/// The screen of a terminal, given back when it is dropped.
struct Screen {
    title: String,
    drawn: Option<(Instant, String)>,
}

impl Screen {
    fn open(title: String) -> io::Result<Self> {
        execute!(io::stdout(), EnterAlternateScreen, cursor::Hide)?;
        Ok(Self { title, drawn: None })
    }

    fn draw(&mut self, watch: &Watch, nothing_new: bool) -> io::Result<()> {
        if nothing_new && self.drawn.as_ref().is_some_and(|(when, _)| when.elapsed() < EVERY) {
            return Ok(());
        }
        let (columns, rows) = terminal::size().unwrap_or((80, 24));
        let text = screen(&self.title, watch.state(), rows.into());
        if self.drawn.as_ref().is_some_and(|(_, before)| *before == text) {
            return Ok(());
        }
        let mut out = io::stdout().lock();
        queue!(out, cursor::MoveTo(0, 0))?;
        for line in text::printable(&text).lines() {
            let line: String = line.chars().take(columns.into()).collect();
            queue!(out, style::Print(line), terminal::Clear(terminal::ClearType::UntilNewLine), style::Print("\r\n"))?;
        }
        queue!(out, terminal::Clear(terminal::ClearType::FromCursorDown))?;
        out.flush()?;
        self.drawn = Some((Instant::now(), text));
        Ok(())
    }
}

impl Drop for Screen {
    fn drop(&mut self) {
        let _ = execute!(io::stdout(), cursor::Show, LeaveAlternateScreen);
    }
}
