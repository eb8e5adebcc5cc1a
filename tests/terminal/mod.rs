//! A terminal for the program to talk to: a pseudo-terminal of 80 columns, what is shown on it, and keys to press.

use rustix::pty::{OpenptFlags, grantpt, openpt, ptsname, unlockpt};
use rustix::termios::{Winsize, tcsetwinsize};
use std::fs::File;
use std::io::{Read, Write};
use std::path::Path;
use std::process::{Child, Command};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

/// Longer than anything takes on a busy machine.
const PATIENCE: Duration = Duration::from_mins(1);

/// The program at a terminal.
pub struct Terminal {
    child: Child,
    keys: File,
    pieces: Receiver<Vec<u8>>,
    raw: Vec<u8>,
    /// How much of the plain text was waited for already.
    read: usize,
}

impl Terminal {
    /// Starts the program in a folder.
    pub fn start(arguments: &[&str], folder: &Path) -> Self {
        let controller = openpt(OpenptFlags::RDWR | OpenptFlags::NOCTTY).expect("a pseudo-terminal");
        grantpt(&controller).expect("it may be used");
        unlockpt(&controller).expect("it is unlocked");
        let size = Winsize { ws_row: 40, ws_col: 80, ws_xpixel: 0, ws_ypixel: 0 };
        tcsetwinsize(&controller, size).expect("a size");
        let name = ptsname(&controller, Vec::new()).expect("its name");
        let side = || {
            let path = name.to_str().expect("a path");
            File::options().read(true).write(true).open(path).expect("the other side")
        };
        let mut command = Command::new(env!("CARGO_BIN_EXE_squitterlab"));
        command.args(arguments).current_dir(folder).env("TERM", "xterm").env("NO_COLOR", "1");
        let child = command.stdin(side()).stdout(side()).stderr(side()).spawn().expect("it starts");
        drop(command);
        let keys = File::from(controller);
        let mut shown = keys.try_clone().expect("a second handle");
        let (sender, pieces) = channel();
        std::thread::spawn(move || {
            let mut piece = [0; 4096];
            // The read fails once the program has ended.
            while let Ok(length @ 1..) = shown.read(&mut piece) {
                if sender.send(piece[..length].to_vec()).is_err() {
                    break;
                }
            }
        });
        Self { child, keys, pieces, raw: Vec::new(), read: 0 }
    }

    /// Everything shown so far, without orders to the terminal.
    pub fn shown(&self) -> String {
        plain(&self.raw)
    }

    /// Waits until one of these words is shown that was not waited for before; gives the text up to and with it.
    #[track_caller]
    pub fn wait_for(&mut self, words: &[&str]) -> String {
        let until = Instant::now() + PATIENCE;
        loop {
            let text = self.shown();
            let found = words.iter().filter_map(|word| Some(text[self.read..].find(word)? + word.len())).min();
            if let Some(length) = found {
                let said = text[self.read..self.read + length].to_owned();
                self.read += length;
                return said;
            }
            let left = until.saturating_duration_since(Instant::now());
            match self.pieces.recv_timeout(left) {
                Ok(piece) => self.raw.extend(piece),
                Err(why) => panic!("{why}: none of {words:?} in {:?}", &text[self.read..]),
            }
        }
    }

    /// Presses keys.
    pub fn press(&mut self, keys: &str) {
        self.keys.write_all(keys.as_bytes()).expect("it listens");
    }

    /// Sends what Ctrl-C sends at a terminal that is not in the hands of a prompt.
    pub fn interrupt(&self) {
        let sent = Command::new("kill").args(["-INT", &self.child.id().to_string()]).status().expect("kill");
        assert!(sent.success());
    }

    /// Waits for the end; gives the exit status and everything that was shown.
    pub fn ends(mut self) -> (i32, String) {
        let until = Instant::now() + PATIENCE;
        let status = loop {
            while let Ok(piece) = self.pieces.recv_timeout(Duration::from_millis(20)) {
                self.raw.extend(piece);
            }
            if let Some(status) = self.child.try_wait().expect("a status") {
                break status;
            }
            assert!(Instant::now() < until, "it does not end: {}", self.shown());
        };
        // What was still on its way; its end is the end of the terminal.
        while let Ok(piece) = self.pieces.recv_timeout(Duration::from_secs(1)) {
            self.raw.extend(piece);
        }
        (status.code().expect("an exit status"), self.shown())
    }
}

/// Text without the orders to a terminal (ECMA-48 control sequences), which begin with an escape.
fn plain(raw: &[u8]) -> String {
    let text = String::from_utf8_lossy(raw);
    let mut out = String::new();
    let mut characters = text.chars().peekable();
    while let Some(c) = characters.next() {
        match c {
            '\u{1B}' if characters.next_if_eq(&'[').is_some() => {
                while characters.next().is_some_and(|c| !('@'..='~').contains(&c)) {}
            }
            '\u{1B}' => {
                characters.next();
            }
            '\r' => {}
            c => out.push(c),
        }
    }
    out
}
