//! `page`: the local lab page.

use super::Outcome;
use super::output::{complain, print, remark};
use super::profile::read_text;
use clap::Args;
use squitterlab::page::{LARGEST_PROFILE, Loaded, Server};
use squitterlab::present::text;
use std::io;
use std::path::PathBuf;

#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  squitterlab page --profile vectors/demo/profile.json

The page answers this machine only, and only under the link that is printed; it loads nothing from anywhere. Stop it \
with Ctrl-C.")]
pub struct Arguments {
    /// The port of the loopback address; 0 is any free one
    #[arg(long, value_name = "N", default_value_t = 0)]
    port: u16,
    /// The install profile that the page begins with
    #[arg(long, value_name = "FILE")]
    profile: Option<PathBuf>,
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
    let server = match Server::new(arguments.port, profile) {
        Ok(server) => server,
        Err(error) => {
            complain(&format!("port {} of the loopback address: {error}; choose another with --port", arguments.port));
            return Ok(Outcome::Failed);
        }
    };
    remark(&text::cautions());
    print(&format!("{}\n", server.link()))?;
    server.run()?;
    Ok(Outcome::Done)
}
