//! `address`: registration marks and 24-bit addresses.

use super::output::{complain, print};
use super::{Format, Outcome};
use clap::Args;
use squitterlab::present::address;
use squitterlab::registry::{look_up, read_address};
use std::io;

#[derive(Debug, Args)]
#[command(after_help = "\
Six hexadecimal digits are hexadecimal, eight digits 0 to 7 octal, 24 digits 0 and 1 binary, other runs of seven or \
eight decimal digits decimal. hexadecimal:, octal:, binary:, decimal: or mark: in front says which.

Exit status: 0 done; 1 a mark or an address is unusable, or is not the expected one; 2 usage.

Examples:
  squitterlab address N47QX A5C053
  squitterlab address octal:51340065 --format json
  squitterlab address A5C053 --expected N47QX")]
pub struct Arguments {
    /// A United States mark, or an address in any notation
    #[arg(value_name = "MARK|HEX", required = true)]
    given: Vec<String>,
    /// What the address should be: a mark or an address; the slips that explain a difference are named
    #[arg(long, value_name = "MARK|HEX", visible_alias = "registration")]
    expected: Option<String>,
    /// Text, or one JSON object per argument
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

pub fn run(arguments: &Arguments) -> io::Result<Outcome> {
    let expected = match arguments.expected.as_deref().map(read_address) {
        None => None,
        Some(Ok(written)) => Some(written.address),
        Some(Err(unreadable)) => {
            complain(&format!("--expected: {unreadable}"));
            return Ok(Outcome::Failed);
        }
    };
    let mut outcome = Outcome::Done;
    for (at, given) in arguments.given.iter().enumerate() {
        let read = read_address(given);
        let good = read.as_ref().is_ok_and(|written| {
            look_up(written.address).usable && expected.is_none_or(|expected| expected == written.address)
        });
        if !good {
            outcome = Outcome::Differs;
        }
        let asked = (given.as_str(), &read);
        match arguments.format {
            Format::Json => print(&format!("{}\n", address::json(asked, expected)))?,
            Format::Text => {
                let gap = if at == 0 { "" } else { "\n" };
                print(&format!("{gap}{}", address::text(asked, expected)))?;
            }
        }
    }
    if arguments.format == Format::Text {
        print(&address::closing())?;
    }
    Ok(outcome)
}
