//! `completions` and `manual`: both follow from the declared arguments.

use super::output::standard_output;
use super::{Arguments, Outcome};
use clap::{Args, CommandFactory};
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
    clap_complete::generate(arguments.shell, &mut Arguments::command(), "squitterlab", &mut script);
    write(&script)
}

pub fn manual() -> io::Result<Outcome> {
    let mut page = Vec::new();
    clap_mangen::Man::new(Arguments::command()).render(&mut page)?;
    write(&page)
}

fn write(text: &[u8]) -> io::Result<Outcome> {
    let mut out = standard_output();
    out.write_all(text)?;
    out.flush()?;
    Ok(Outcome::Done)
}
