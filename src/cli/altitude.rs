//! `altitude`: pressure altitude, grey code, wires.

use super::output::{complain, made, print, remark};
use super::profile::read_text;
use super::{Format, Outcome, RecordFile};
use clap::{ArgGroup, Args};
use squitterlab::code::{AltitudePattern, GREY_CODE_TOP_FT, Wires};
use squitterlab::present::altitude::{Answer, Ceiling, Misses, Proof, cautions, diagnosis_json, diagnosis_text};
use squitterlab::present::html::record;
use squitterlab::present::run_form::{Run, form, rows};
use squitterlab::present::schema;
use squitterlab::profile::wiring::{AltitudeReading, BadReading, Needs, altitudes, diagnose, readings, whole_feet};
use std::io;
use std::path::{Path, PathBuf};

/// The arguments of a record, which only readings and a run have.
const OF_A_RECORD: [&str; 2] = ["record", "force"];

#[derive(Debug, Args)]
#[command(
    group = ArgGroup::new("what").required(true),
    after_help = "\
A code is written with its place: squitter:C38 (12 bits), reply:1838 (13 bits), mode-c:0620 (octal digits A B C D). \
Three digits alone are read as a squitter's; four alone as a reply's if they cannot be Mode C digits, and are refused \
if they can.

Readings are lines of SET, REPORTED in feet; - or none for no altitude. A captured frame can be given as the reported \
altitude. The 125 ft tolerance is judged first; wires are named only if calibration cannot explain the readings, and \
only for a grey-code source, which reports whole hundreds of feet.

Exit status: 0 done; 1 the code or the wires are not an altitude, or a reading is not exactly right (for a source that \
is not grey code: out of tolerance), or in a run beyond its tolerance, against another, or not judged; 2 it could not be \
done. A row of a run that is not filled in yet does not count.

Examples:
  squitterlab altitude 14800
  squitterlab altitude --code mode-c:0620
  squitterlab altitude --wires \"A1 A2 C4\" --format json
  squitterlab altitude --readings vectors/demo/altitude_run.txt --ceiling 15000
  squitterlab altitude --prove 15000
  squitterlab altitude --form 15000
  squitterlab altitude --would-miss 0,1000,2000,5000,10000,15000"
)]
pub struct Arguments {
    /// Pressure altitude in feet
    #[arg(value_name = "FEET", allow_negative_numbers = true, group = "what", conflicts_with_all = OF_A_RECORD)]
    feet: Vec<String>,
    /// An altitude code, with its place
    #[arg(long, value_name = "CODE", group = "what", conflicts_with_all = OF_A_RECORD)]
    code: Option<AltitudePattern>,
    /// The wires that are grounded
    #[arg(long, value_name = "LIST", group = "what", conflicts_with_all = OF_A_RECORD)]
    wires: Option<Wires>,
    /// Readings: which wire is open, grounded, swapped or shorted; - is standard input
    #[arg(long, value_name = "FILE", group = "what")]
    readings: Option<PathBuf>,
    /// The shortest sets of altitudes that prove the wires of an aircraft with this ceiling
    #[arg(long, value_name = "CEILING_FT", value_parser = ceiling, group = "what")]
    #[arg(conflicts_with_all = OF_A_RECORD)]
    prove: Option<i32>,
    /// Print the form of an altitude run up to this ceiling: every test point up and down, to be filled in
    #[arg(long, value_name = "CEILING_FT", value_parser = ceiling, group = "what")]
    #[arg(conflicts_with_all = OF_A_RECORD)]
    form: Option<i32>,
    /// Judge a form, filled in or half: tolerance first, then exactness, hysteresis and wires; - is standard input
    #[arg(long, value_name = "FILE", group = "what")]
    run: Option<PathBuf>,
    /// Which faults these test altitudes would miss
    #[arg(long, value_name = "FEET,…", group = "what", conflicts_with_all = OF_A_RECORD)]
    #[arg(value_parser = list, allow_hyphen_values = true)]
    would_miss: Option<List>,
    /// The highest altitude that the altimeter and the static system may be taken to, for --readings, --run and
    /// --would-miss
    /// [default: the highest altitude given]
    #[arg(long, value_name = "FEET", value_parser = ceiling, conflicts_with_all = ["feet", "code", "wires", "prove", "form"])]
    ceiling: Option<i32>,
    /// Text, or JSON
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
    #[command(flatten)]
    record: RecordFile,
    /// Print the JSON Schema of an object
    #[arg(long, group = "what", conflicts_with_all = OF_A_RECORD)]
    schema: bool,
}

/// Altitudes in one argument.
#[derive(Clone, Debug)]
struct List(Vec<i32>);

fn list(text: &str) -> Result<List, String> {
    altitudes(text).map(List)
}

fn ceiling(text: &str) -> Result<i32, String> {
    whole_feet(text)
        .and_then(|feet| (0..=GREY_CODE_TOP_FT).contains(&feet).then_some(feet).ok_or_else(|| format!("{feet} ft")))
        .map_err(|why| format!("{why}: a ceiling is from 0 to {GREY_CODE_TOP_FT} ft"))
}

pub fn run(arguments: &Arguments) -> io::Result<Outcome> {
    if arguments.schema {
        return print(&format!("{:#}\n", schema::altitude())).map(|()| Outcome::Done);
    }
    if let Some(file) = &arguments.readings {
        return read(file, arguments);
    }
    if let Some(ceiling_ft) = arguments.form {
        print(&form(ceiling_ft))?;
        return Ok(Outcome::Done);
    }
    if let Some(file) = &arguments.run {
        return judge(file, arguments);
    }
    if let Some(ceiling_ft) = arguments.prove {
        return match Proof::new(ceiling_ft) {
            Ok(proof) => {
                show(arguments.format, || proof.text(), || proof.json())?;
                caution(arguments.format).map(|()| Outcome::Done)
            }
            Err(error) => Ok(failed(&error.to_string())),
        };
    }
    if let Some(List(altitudes_ft)) = &arguments.would_miss {
        // What shows only where the aircraft never gets would count as shown.
        if let Some(ceiling_ft) = arguments.ceiling
            && let Some(above) = altitudes_ft.iter().find(|feet| **feet > ceiling_ft)
        {
            return Ok(failed(&format!(
                "--would-miss: {above} ft is above the ceiling of {ceiling_ft} ft that --ceiling gives; leave it out, or \
                 give the ceiling that is right"
            )));
        }
        let ceiling = Ceiling::new(arguments.ceiling, altitudes_ft.iter().copied());
        let misses = Misses::new(altitudes_ft.clone(), ceiling);
        show(arguments.format, || misses.text(), || misses.json())?;
        return caution(arguments.format).map(|()| Outcome::Done);
    }
    let mut answers = Vec::new();
    for feet in &arguments.feet {
        let plain = whole_feet(feet).map_or_else(|_| feet.clone(), |feet| feet.to_string());
        match Answer::of_feet(&plain) {
            Ok(answer) => answers.push(answer),
            Err(error) if feet.contains(',') => {
                return Ok(failed(&format!("{error}; write feet like 14800, without a comma")));
            }
            Err(error) => return Ok(failed(&format!("{feet}: {error}; write whole feet, such as 14800"))),
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
    caution(arguments.format)?;
    Ok(if answers.iter().all(|answer| answer.feet.is_some()) { Outcome::Done } else { Outcome::Differs })
}

fn show(format: Format, text: impl Fn() -> String, json: impl Fn() -> serde_json::Value) -> io::Result<()> {
    match format {
        Format::Text => print(&text()),
        Format::Json => print(&format!("{}\n", json())),
    }
}

/// What must be so before a run begins: any question about altitudes may lead to one.
fn caution(format: Format) -> io::Result<()> {
    match format {
        Format::Text => print(&format!("\n{}", cautions())),
        Format::Json => {
            remark(&cautions());
            Ok(())
        }
    }
}

fn failed(reason: &str) -> Outcome {
    complain(reason);
    Outcome::Failed
}

/// At most this many bad lines are named.
const MOST_BAD: usize = 20;

fn judge(file: &Path, arguments: &Arguments) -> io::Result<Outcome> {
    let Some(text) = read_text(file) else { return Ok(Outcome::Failed) };
    match rows(&text) {
        Ok(rows) => {
            let run = Run::new(rows, arguments.ceiling);
            let sink = arguments.record.open()?;
            show(arguments.format, || run.text(), || run.json())?;
            if let Some(sink) = sink {
                sink.write_whole(record::altitude_run(&run, &record::source(file), &made()?).as_bytes())?;
            }
            Ok(if run.differs() || run.leaves_unjudged() { Outcome::Differs } else { Outcome::Done })
        }
        Err(bad) => Ok(failed_lines(file, &bad)),
    }
}

/// Says which lines cannot be read.
fn failed_lines(file: &Path, bad: &[BadReading]) -> Outcome {
    let name = file.display();
    for bad in bad.iter().take(MOST_BAD) {
        complain(&format!("{name}:{bad}"));
    }
    if bad.len() > MOST_BAD {
        complain(&format!("{name}: and {} more lines like these; correct those above first", bad.len() - MOST_BAD));
    }
    Outcome::Failed
}

fn read(file: &Path, arguments: &Arguments) -> io::Result<Outcome> {
    let Some(text) = read_text(file) else { return Ok(Outcome::Failed) };
    let readings = match readings(&text) {
        Ok(readings) => readings,
        Err(bad) => return Ok(failed_lines(file, &bad)),
    };
    let ceiling = Ceiling::new(arguments.ceiling, readings.iter().map(|reading| reading.set_ft));
    let diagnosis = diagnose(&readings, ceiling.ft());
    let sink = arguments.record.open()?;
    show(
        arguments.format,
        || diagnosis_text(&readings, &diagnosis, ceiling),
        || diagnosis_json(&readings, &diagnosis, ceiling),
    )?;
    caution(arguments.format)?;
    if let Some(sink) = sink {
        let source = record::source(file);
        sink.write_whole(record::correspondence(&readings, &diagnosis, &source, &made()?).as_bytes())?;
    }
    let right = match diagnosis.needs {
        Needs::NotGreyCode(_) => readings.iter().all(AltitudeReading::within_tolerance),
        _ => readings.iter().all(AltitudeReading::exact),
    };
    Ok(if right { Outcome::Done } else { Outcome::Differs })
}
