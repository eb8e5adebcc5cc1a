//! `altitude`: pressure altitude, grey code, wires.

use super::output::{Sink, complain, print};
use super::profile::read_text;
use super::{Format, Outcome};
use clap::{ArgGroup, Args};
use squitterlab::code::{AltitudePattern, GREY_CODE_TOP_FT, Wires};
use squitterlab::present::altitude::{Answer, Misses, Proof, diagnosis_json, diagnosis_text, usual_ceiling};
use squitterlab::present::html::record;
use squitterlab::profile::wiring::{diagnose, readings};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

#[derive(Debug, Args)]
#[command(
    group = ArgGroup::new("what").required(true),
    after_help = "\
A code says its place: squitter:C38 (12 bits), reply:1838 (13 bits), mode-c:0620 (octal digits A B C D). Three digits \
alone are a squitter's; four alone are a reply's where they cannot be Mode C digits, and are refused where they can.

Readings are lines of SET, REPORTED in feet; - or none for no altitude; a captured frame may stand for the reported \
altitude. Exact comparison and the 125 ft tolerance are shown side by side; the ranking uses the exact one only.

Exit status: 0 done; 1 the code or the wires are no altitude, or a reading is not exactly right; 2 it could not be done.

Examples:
  squitterlab altitude 14800
  squitterlab altitude --code mode-c:0620
  squitterlab altitude --wires \"A1 A2 C4\" --format json
  squitterlab altitude --readings vectors/demo/altitude_run.txt --ceiling 15000
  squitterlab altitude --prove 15000
  squitterlab altitude --would-miss 0,1000,2000,5000,10000,15000"
)]
pub struct Arguments {
    /// Pressure altitude in feet
    #[arg(value_name = "FEET", allow_negative_numbers = true, group = "what")]
    feet: Vec<String>,
    /// An altitude code, with its place
    #[arg(long, value_name = "CODE", group = "what")]
    code: Option<AltitudePattern>,
    /// The wires that are grounded
    #[arg(long, value_name = "LIST", group = "what")]
    wires: Option<Wires>,
    /// Readings: which wire is open, grounded, swapped or shorted; - is standard input
    #[arg(long, value_name = "FILE", group = "what")]
    readings: Option<PathBuf>,
    /// The shortest sets of altitudes that prove the wires of an aircraft with this ceiling
    #[arg(long, value_name = "CEILING_FT", group = "what", value_parser = ceiling)]
    prove: Option<i32>,
    /// Which faults these test altitudes would miss
    #[arg(long, value_name = "FEET,…", group = "what", value_delimiter = ',', num_args = 1, value_parser = step, allow_negative_numbers = true)]
    would_miss: Vec<i32>,
    /// The aircraft's ceiling, for --readings and --would-miss [default: 30700, or the highest altitude given]
    #[arg(long, value_name = "FEET", value_parser = ceiling, conflicts_with_all = ["feet", "code", "wires", "prove"])]
    ceiling: Option<i32>,
    /// Text, or JSON
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
    /// Write the record of the readings too: one HTML file to read, print and keep
    #[arg(long, value_name = "FILE.html", conflicts_with_all = ["feet", "code", "wires", "prove", "would_miss"])]
    record: Option<PathBuf>,
    /// Overwrite the record if it is there
    #[arg(long, requires = "record")]
    force: bool,
}

fn ceiling(text: &str) -> Result<i32, String> {
    text.parse().ok().filter(|feet| (0..=GREY_CODE_TOP_FT).contains(feet)).ok_or_else(|| {
        format!("{text:?} is no whole number of feet from 0 to {GREY_CODE_TOP_FT} (no thousands comma, no unit)")
    })
}

fn step(text: &str) -> Result<i32, String> {
    let text = text.trim();
    text.parse().ok().filter(|feet| Wires::from_feet(f64::from(*feet)).is_ok()).ok_or_else(|| {
        format!("{text:?} is no whole number of feet from -1200 to {GREY_CODE_TOP_FT} (no thousands comma, no unit)")
    })
}

pub fn run(arguments: &Arguments) -> io::Result<Outcome> {
    if let Some(file) = &arguments.readings {
        return read(file, arguments);
    }
    if let Some(ceiling_ft) = arguments.prove {
        return match Proof::new(ceiling_ft) {
            Ok(proof) => show(arguments.format, || proof.text(), || proof.json()).map(|()| Outcome::Done),
            Err(error) => Ok(failed(&error.to_string())),
        };
    }
    if !arguments.would_miss.is_empty() {
        let highest = arguments.would_miss.iter().copied();
        let ceiling_ft = arguments.ceiling.unwrap_or_else(|| usual_ceiling(highest));
        let misses = Misses::new(arguments.would_miss.clone(), ceiling_ft);
        return show(arguments.format, || misses.text(), || misses.json()).map(|()| Outcome::Done);
    }
    let mut answers = Vec::new();
    for feet in &arguments.feet {
        match Answer::of_feet(feet) {
            Ok(answer) => answers.push(answer),
            Err(error) => return Ok(failed(&format!("{feet}: {error}"))),
        }
    }
    if let Some(pattern) = arguments.code {
        answers.push(Answer::of_code(&pattern.to_string(), pattern));
    }
    if let Some(wires) = arguments.wires {
        answers.push(Answer::of_wires(&wires.to_string(), wires));
    }
    for (at, answer) in answers.iter().enumerate() {
        if at > 0 && arguments.format == Format::Text {
            print("\n")?;
        }
        show(arguments.format, || answer.text(), || answer.json())?;
    }
    Ok(if answers.iter().all(|answer| answer.feet.is_some()) { Outcome::Done } else { Outcome::Differs })
}

fn show(format: Format, text: impl Fn() -> String, json: impl Fn() -> serde_json::Value) -> io::Result<()> {
    match format {
        Format::Text => print(&text()),
        Format::Json => print(&format!("{}\n", json())),
    }
}

fn failed(reason: &str) -> Outcome {
    complain(reason);
    Outcome::Failed
}

fn read(file: &Path, arguments: &Arguments) -> io::Result<Outcome> {
    let Some(text) = read_text(file) else { return Ok(Outcome::Failed) };
    let name = file.display();
    let readings = match readings(&text) {
        Ok(readings) => readings,
        Err(bad) => {
            for bad in bad {
                complain(&format!("{name}:{bad}"));
            }
            return Ok(Outcome::Failed);
        }
    };
    let highest = readings.iter().map(|reading| reading.set_ft);
    let ceiling_ft = arguments.ceiling.unwrap_or_else(|| usual_ceiling(highest));
    let diagnosis = diagnose(&readings, ceiling_ft);
    if let Some(path) = &arguments.record {
        let mut sink = Sink::open(Some(path), arguments.force)?;
        let source = record::source(&name.to_string());
        sink.write_all(record::correspondence(&readings, &diagnosis, &source, &record::now()).as_bytes())?;
        sink.close()?;
    }
    show(
        arguments.format,
        || diagnosis_text(&readings, &diagnosis, ceiling_ft),
        || diagnosis_json(&readings, &diagnosis, ceiling_ft),
    )?;
    Ok(if readings.iter().all(squitterlab::profile::wiring::Reading::exact) { Outcome::Done } else { Outcome::Differs })
}
