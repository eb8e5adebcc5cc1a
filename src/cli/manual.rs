//! Prints shell completions and manual pages, both made from the declared arguments.

use super::output::{complain, standard_output};
use super::{Outcome, command};
use clap::{Args, Command};
use clap_complete::Shell;
use std::io::{self, Write};

#[derive(Debug, Args)]
#[command(after_help = "Example: squitterlab completions bash > squitterlab.bash")]
pub struct Completions {
    /// The shell
    #[arg(value_enum)]
    shell: Shell,
}

pub fn completions(arguments: &Completions) -> io::Result<Outcome> {
    let mut script = Vec::new();
    clap_complete::generate(arguments.shell, &mut command(), "squitterlab", &mut script);
    write(&script)
}

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  squitterlab manual > squitterlab.1\n  squitterlab manual profile check")]
pub struct Manual {
    /// The command; the program as a whole if none is named
    #[arg(conflicts_with = "list")]
    command: Vec<String>,
    /// Name every command that has a page
    #[arg(long)]
    list: bool,
}

pub fn manual(arguments: &Manual) -> io::Result<Outcome> {
    let mut program = command();
    program.build();
    if arguments.list {
        return write(pages(&program, "").concat().as_bytes());
    }
    let mut named = &program;
    for name in &arguments.command {
        let Some(found) = named.find_subcommand(name) else {
            let known: Vec<&str> = named.get_subcommands().map(Command::get_name).collect();
            let program = named.get_bin_name().unwrap_or("squitterlab");
            complain(&match known[..] {
                [] => format!("{name}: {program} has no commands of its own; leave this out"),
                _ => format!("{name}: not a command of {program}; its commands are {}", known.join(", ")),
            });
            return Ok(Outcome::Failed);
        };
        named = found;
    }
    let mut page = Vec::new();
    clap_mangen::Man::new(named.clone()).render(&mut page)?;
    write(&page)
}

/// Every command below this one, as it is typed behind `manual`, one per line.
fn pages(command: &Command, typed: &str) -> Vec<String> {
    let below = command.get_subcommands().filter(|below| below.get_name() != "help");
    let page = |below: &Command| {
        let name = format!("{typed} {}", below.get_name()).trim_start().to_owned();
        let own = format!("{name}\n");
        std::iter::once(own).chain(pages(below, &name)).collect::<Vec<String>>()
    };
    below.flat_map(page).collect()
}

fn write(text: &[u8]) -> io::Result<Outcome> {
    let mut out = standard_output();
    out.write_all(text)?;
    out.flush()?;
    Ok(Outcome::Done)
}
