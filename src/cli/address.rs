//! `address`: registration marks and 24-bit addresses.

use super::output::{complain, print};
use super::{Format, Outcome};
use clap::Args;
use squitterlab::present::address::{self, Expected};
use squitterlab::present::schema;
use squitterlab::registry::{look_up, readings};
use std::io;

#[derive(Debug, Args)]
#[command(after_help = "\
Six hexadecimal digits are hexadecimal, 24 digits 0 and 1 binary; seven or eight digits are octal or decimal. Where \
both fit, --expected decides; hexadecimal:, octal:, binary:, decimal: or mark: in front says which.

Exit status: 0 done; 1 a mark or an address is unusable, has two readings, or is not the expected one; 2 usage.

Examples:
  squitterlab address N47QX A5C053
  squitterlab address octal:51340065 --format json
  squitterlab address A5C053 --expected N47QX")]
pub struct Arguments {
    /// A United States mark, or an address in any notation
    #[arg(value_name = "MARK|HEX", required_unless_present = "schema")]
    given: Vec<String>,
    /// What the address should be: an address or a mark; the slips that explain a difference are named. Of the mark of
    /// another State than the United States, the State's block is compared
    #[arg(long, value_name = "MARK|HEX", visible_alias = "registration")]
    expected: Option<String>,
    /// Text, or one JSON object per argument
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
    /// Print the JSON Schema of an object
    #[arg(long)]
    schema: bool,
}

pub fn run(arguments: &Arguments) -> io::Result<Outcome> {
    if arguments.schema {
        return print(&format!("{:#}\n", schema::address())).map(|()| Outcome::Done);
    }
    let expected = match arguments.expected.as_deref().map(Expected::read).transpose() {
        Ok(expected) => expected,
        Err(unreadable) => {
            complain(&format!("--expected: {unreadable}"));
            return Ok(Outcome::Failed);
        }
    };
    let expected = expected.as_ref();
    let mut outcome = Outcome::Done;
    for (at, given) in arguments.given.iter().enumerate() {
        let read = readings(given);
        let counted = read.as_ref().ok().and_then(|readings| address::reading(readings, expected));
        let good = counted.is_some_and(|written| {
            look_up(written.address).usable && expected.is_none_or(|expected| expected.is_met_by(written.address))
        });
        if !good {
            outcome = Outcome::Differs;
        }
        let asked = (given.as_str(), &read);
        match arguments.format {
            Format::Json => print(&format!("{}\n", serde_json::json!(address::json(asked, expected))))?,
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
