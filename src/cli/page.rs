//! `page`: the local lab page.

use super::input::{Captures, captures};
use super::output::{complain, print, remark};
use super::profile::{named_rules, read_text};
use super::watch::{Piece, reading};
use super::{Outcome, whole};
use clap::Args;
use squitterlab::page::{LARGEST_PROFILE, Loaded, Server, Watched};
use squitterlab::present::text;
use std::io;
use std::path::{Path, PathBuf};
use std::slice::from_ref;
use std::thread;

#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  squitterlab page --profile vectors/demo/profile.json
  squitterlab page --profile mine.json --watch lines.txt

The page answers this machine only, and only under the link that is printed; it loads nothing from anywhere. Stop it \
with Ctrl-C.")]
pub struct Arguments {
    /// The port of the loopback address; 0 is any free one
    #[arg(long, value_name = "N", default_value_t = 0, value_parser = whole(0..=u16::MAX))]
    port: u16,
    /// The install profile that the page begins with
    #[arg(long, value_name = "FILE")]
    profile: Option<PathBuf>,
    /// Lines that somebody writes, followed in the view "Watch" as they grow; - is standard input
    #[arg(long, value_name = "FILE", requires = "profile")]
    watch: Option<PathBuf>,
    /// Compare these lines with a regulator's minimum values too, as in `watch`
    #[arg(long, value_name = "NAME|FILE", requires = "watch", default_value = "none")]
    rules: PathBuf,
}

pub fn run(arguments: &Arguments) -> io::Result<Outcome> {
    let profile = match &arguments.profile {
        None => None,
        Some(file) => match read_text(file) {
            None => return Ok(Outcome::Failed),
            Some(text) if text.len() > LARGEST_PROFILE => {
                let most = LARGEST_PROFILE >> 20;
                complain(&format!("{}: longer than {most} MB, the most that the page takes", file.display()));
                return Ok(Outcome::Failed);
            }
            Some(text) => {
                // Standard input has no name.
                let name = file.file_name().filter(|name| *name != "-");
                let name = name.map_or_else(|| "profile.json".into(), |name| name.to_string_lossy().into_owned());
                Some(Loaded { name, text })
            }
        },
    };
    let watched = match (&arguments.watch, &profile) {
        (Some(file), Some(profile)) => match watched(file, profile, &arguments.rules) {
            None => return Ok(Outcome::Failed),
            watched => watched,
        },
        _ => None,
    };
    let server = match Server::new(arguments.port, profile) {
        Ok(server) => server,
        Err(error) => {
            complain(&format!("port {} of the loopback address: {error}; choose another with --port", arguments.port));
            return Ok(Outcome::Failed);
        }
    };
    let server = match watched {
        None => server,
        Some(watched) => server.with_watch(watched),
    };
    remark(&text::cautions());
    print(&format!("{}\n", server.link()))?;
    server.run()?;
    Ok(Outcome::Done)
}

/// Follows a file, or standard input, in a thread of its own.
fn watched(file: &Path, profile: &Loaded, rules: &Path) -> Option<Watched> {
    let rules = named_rules(rules)?;
    let Captures { missing, .. } = captures(from_ref(&file.to_owned()))?;
    if let Some(why) = missing.first() {
        complain(why);
        return None;
    }
    let name = file.display().to_string();
    if file.is_dir() {
        complain(&format!("{name}: this is a folder (a directory); name a file in it"));
        return None;
    }
    let watched =
        Watched::new(profile, &name, &rules).inspect_err(|why| complain(&format!("{}: {why}", profile.name))).ok()?;
    let (pieces, _) = reading(file, None);
    let follower = watched.clone();
    thread::spawn(move || {
        for piece in pieces {
            match piece {
                Piece::Octets(octets) => {
                    if !follower.feed(&octets) {
                        return;
                    }
                }
                Piece::Broken(why) => follower.end(Some(why)),
            }
        }
        follower.end(None);
    });
    Some(watched)
}
