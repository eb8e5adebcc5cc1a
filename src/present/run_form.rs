//! The altitude run as a form: test points to be filled in, up and down, and what a filled-in form says. Tolerance comes
//! first, then whether the three outputs agree, then hysteresis, then wires.

use super::altitude::{ADDITION, Ceiling, conclusion};
use super::text::{counted, folded_to};
use crate::code::spaced;
use crate::profile::stops::{ALTITUDE_RUN, stops};
use crate::profile::wiring::{
    ALTIMETER_POINTS, AltitudeReading, BadReading, Fault, Judged, MOST_READINGS, Needs, TOLERANCE_FT, TableOne,
    diagnose, missed, proving_set, thousands_comma, whole_feet,
};
use crate::written::written_lines;
#[cfg(feature = "cli")]
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::{Value, json};
use std::fmt::Write;

/// Pressures of the altimeter's points in inches of mercury (14 CFR part 43, Appendix E, Table I; eCFR issue 2026-08-24).
const PRESSURES_INHG: [&str; 23] = [
    "31.018", "29.921", "29.385", "28.856", "28.335", "27.821", "26.817", "25.842", "23.978", "22.225", "20.577",
    "19.029", "17.577", "16.216", "14.942", "13.750", "12.636", "11.104", "8.885", "7.041", "5.538", "4.355", "3.425",
];

/// Longer than any line of a form.
const LONGEST: usize = 200;

/// An empty form for an aircraft with this ceiling: the altimeter's points, and the fewest that prove every wire.
pub fn form(ceiling_ft: i32) -> String {
    let points: Vec<(i32, i32, &str)> = ALTIMETER_POINTS
        .iter()
        .zip(PRESSURES_INHG)
        .map(|((feet, tolerance), pressure)| (*feet, *tolerance, pressure))
        .filter(|(feet, ..)| *feet <= ceiling_ft)
        .collect();
    let table: Vec<i32> = points.iter().map(|(feet, ..)| *feet).collect();
    let proving = proving_set(Fault::singles(), Judged::Exactly, ceiling_ft).altitudes_ft;
    let mut out = format!("# Altitude run up to {} ft\n", spaced(ceiling_ft.into()));
    let mut say = |text: &str| {
        for line in folded_to(78, "", 0, text).lines() {
            out += format!("# {line}").trim_end();
            out.push('\n');
        }
    };
    say("date ____________  aircraft ____________  done by ____________  altimeter no. ____________");
    for stop in stops(ALTITUDE_RUN) {
        say(&format!("STOP {stop}"));
    }
    say(ADDITION);
    say(
        "The rule has no list of points for the encoder: \"a sufficient number\". The points with a pressure are those of \
         the altimeter's own test (Table I, with its tolerance); a * marks the fewest altitudes that prove every wire in \
         both states.",
    );
    let unseen = |judged| {
        let faults: Vec<String> = missed(Fault::singles(), judged, &table)
            .into_iter()
            .filter(|missed| missed.first_ft.is_some_and(|feet| feet <= ceiling_ft))
            .map(|missed| missed.fault.to_string())
            .collect();
        if faults.is_empty() { "nothing".to_owned() } else { faults.join(", ") }
    };
    say(&format!(
        "All points of Table I are multiples of 500 ft. Alone they cannot show, by the 125 ft tolerance: {}; compared \
         exactly: {}.",
        unseen(Judged::ByTolerance),
        unseen(Judged::Exactly)
    ));
    say("Write after each | in feet, with commas: altimeter, Mode C, Mode S, squitter; - if no altitude is sent, and \
         nothing if it was not read yet. Then: squitterlab altitude --run FILE");
    let mut all: Vec<i32> = table.iter().chain(&proving).copied().collect();
    all.sort_unstable();
    all.dedup();
    let mut row = |way: &str, feet: i32| {
        let star = if proving.contains(&feet) { "*" } else { " " };
        let (pressure, tolerance) = points
            .iter()
            .find(|(point, ..)| *point == feet)
            .map_or((String::new(), String::new()), |(_, tolerance, pressure)| {
                (format!("{pressure} inHg"), format!("+-{tolerance} ft"))
            });
        let line = format!("{way:<4} {feet:>6} {star} {pressure:>12} {tolerance:>9} |");
        out += &line;
        out.push('\n');
    };
    for feet in &all {
        row("up", *feet);
    }
    for feet in all.iter().rev() {
        row("down", *feet);
    }
    out
}

/// What was read of one output.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Read {
    /// Nothing yet.
    NotYet,
    /// No altitude was sent.
    NoAltitude,
    /// Feet.
    Feet(i32),
}

impl Read {
    fn feet(self) -> Option<i32> {
        match self {
            Self::Feet(feet) => Some(feet),
            _ => None,
        }
    }
}

impl std::fmt::Display for Read {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NotYet => Ok(()),
            Self::NoAltitude => f.write_str("none"),
            Self::Feet(feet) => write!(f, "{} ft", spaced((*feet).into())),
        }
    }
}

/// One row of a run.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RunRow {
    /// Line in the file, from 1.
    pub line: usize,
    /// Whether it was reached from below.
    pub up: bool,
    /// The altitude that was set.
    pub set_ft: i32,
    /// The altimeter.
    pub altimeter: Read,
    /// Mode C, Mode S, squitter.
    pub outputs: [Read; 3],
}

/// What is read beside the altimeter.
pub const OUTPUTS: [&str; 3] = ["Mode C", "Mode S", "squitter"];

/// Reads a form, filled in or not.
///
/// # Errors
/// Every line that is not a row of a form.
pub fn rows(text: &str) -> Result<Vec<RunRow>, Vec<BadReading>> {
    let (mut rows, mut bad) = (Vec::new(), Vec::new());
    for (line, content) in written_lines(text) {
        if rows.len() == MOST_READINGS {
            bad.push(BadReading { line, reason: format!("more than {MOST_READINGS} rows; give those of one run") });
            break;
        }
        match row(line, content) {
            Ok(row) => rows.push(row),
            Err(reason) => bad.push(BadReading { line, reason }),
        }
    }
    if rows.is_empty() && bad.is_empty() {
        bad.push(BadReading {
            line: 1,
            reason: "no row in it; `squitterlab altitude --form` prints a form".to_owned(),
        });
    }
    if bad.is_empty() { Ok(rows) } else { Err(bad) }
}

fn row(line: usize, content: &str) -> Result<RunRow, String> {
    let example = "write such as: up 4000 | 4010, 4000, 4000, 4000";
    if content.len() > LONGEST {
        return Err(format!("too long for a row of a form; {example}"));
    }
    let (point, read) = content.split_once('|').ok_or_else(|| format!("{content:?} has no |; {example}"))?;
    let words: Vec<&str> = point.split_whitespace().collect();
    let up = match words.first() {
        Some(&"up") => true,
        Some(&"down") => false,
        other => return Err(format!("{:?} is neither up nor down; {example}", other.unwrap_or(&""))),
    };
    // A space may group its digits; a star, a pressure and a tolerance come behind it.
    let grouped = words.iter().skip(2).take_while(|word| word.bytes().all(|octet| octet.is_ascii_digit())).count();
    let set = words.get(1..2 + grouped).unwrap_or_default().join(" ");
    let set_ft = whole_feet(&set).map_err(|why| format!("the altitude that was set: {why}"))?;
    if let Some(number) = thousands_comma(read) {
        return Err(format!(
            "{number:?} looks like one number with a thousands comma; write {}, or if they are two, put a space after \
             the comma",
            number.replace(',', "")
        ));
    }
    let values: Vec<&str> = read.split(',').map(str::trim).collect();
    if values.len() > 4 {
        return Err(format!(
            "{} values behind the |; altimeter, Mode C, Mode S and squitter are four; {example}",
            values.len()
        ));
    }
    let value = |at: usize| match values.get(at).copied().unwrap_or_default() {
        "" => Ok(Read::NotYet),
        "-" => Ok(Read::NoAltitude),
        text => whole_feet(text).map(Read::Feet),
    };
    let output = |at: usize| value(at + 1).map_err(|why| format!("{}: {why}", OUTPUTS[at]));
    let altimeter = match value(0) {
        // An altimeter always shows something; a row without its reading is not filled in.
        Ok(Read::NoAltitude) => Err("- is for an output that sends no altitude; write what the altimeter shows, or \
                                     nothing if it was not read yet"
            .to_owned()),
        other => other,
    }
    .map_err(|why| format!("the altimeter: {why}"))?;
    Ok(RunRow { line, up, set_ft, altimeter, outputs: [output(0)?, output(1)?, output(2)?] })
}

/// What a run says.
#[derive(Clone, Debug)]
pub struct Run {
    /// Its rows.
    pub rows: Vec<RunRow>,
    /// Readings beyond the 125 ft of the correspondence test, or without an altitude.
    pub out_of_tolerance: Vec<String>,
    /// Readings that have no reading of the altimeter beside them.
    pub not_compared: Vec<String>,
    /// Readings of the altimeter beyond its own tolerance.
    pub altimeter: Vec<String>,
    /// Readings of the altimeter that Table I neither passes nor fails.
    pub altimeter_not_judged: Vec<String>,
    /// Where the altimeter was read between two points of the table, within the tolerance of both.
    pub between_points: Vec<String>,
    /// How many readings of the altimeter were judged at a point of the table.
    pub at_points: usize,
    /// Outputs that do not agree with one another.
    pub disagreeing: Vec<String>,
    /// How often two of them were there to be compared.
    pub paired: usize,
    /// The largest difference between up and down at the same altitude, with its output and altitude.
    pub hysteresis: Option<(i32, &'static str, i32)>,
    /// What the Mode C readings say of the wires of a grey-code source.
    pub wires: Vec<String>,
    /// How many readings were compared with the altimeter.
    pub compared: usize,
    /// Rows in which something is still to be read.
    pub open: usize,
    /// What was read in no row at all.
    pub never_read: Vec<&'static str>,
    /// That the run went above the ceiling that was given.
    pub above_ceiling: Option<String>,
}

impl Run {
    /// Judges a run.
    pub fn new(rows: Vec<RunRow>, ceiling_ft: Option<i32>) -> Self {
        let mut run = Self {
            out_of_tolerance: Vec::new(),
            not_compared: Vec::new(),
            altimeter: Vec::new(),
            altimeter_not_judged: Vec::new(),
            between_points: Vec::new(),
            at_points: 0,
            disagreeing: Vec::new(),
            paired: 0,
            hysteresis: None,
            wires: Vec::new(),
            compared: 0,
            open: 0,
            never_read: Vec::new(),
            above_ceiling: None,
            rows,
        };
        for row in &run.rows {
            let at =
                format!("{} ft {} (line {})", spaced(row.set_ft.into()), if row.up { "up" } else { "down" }, row.line);
            if row.altimeter == Read::NotYet || row.outputs.contains(&Read::NotYet) {
                run.open += 1;
            }
            let table = TableOne::at(row.set_ft);
            // The altimeter is what the crew reads; above 18 000 ft its own tolerance is as large as the 125 ft.
            let against = row.altimeter.feet();
            if let Some(read) = against {
                let off = read - row.set_ft;
                let point = |(feet, allowed): (i32, i32)| format!("{} ft ({allowed} ft)", spaced(feet.into()));
                match table {
                    TableOne::Point(allowed) => {
                        run.at_points += 1;
                        if off.abs() > allowed {
                            run.altimeter.push(format!("{at}: {off:+} ft, beyond its {allowed} ft"));
                        }
                    }
                    TableOne::Between(_, above) if off.abs() > above.1 => run.altimeter.push(format!(
                        "{at}: {off:+} ft. Table I has no row for {} ft; it is beyond even the {} ft of the next row \
                         above, {} ft, and tolerances grow with altitude",
                        spaced(row.set_ft.into()),
                        above.1,
                        spaced(above.0.into())
                    )),
                    TableOne::Between(below, _) if off.abs() <= below.1 => run.between_points.push(at.clone()),
                    TableOne::Between(below, above) => run.altimeter_not_judged.push(format!(
                        "{at}: {off:+} ft is not judged: Table I has no row for {} ft, and this is within the tolerance \
                         of one of its nearest rows only, {} and {}",
                        spaced(row.set_ft.into()),
                        point(below),
                        point(above)
                    )),
                    TableOne::Outside(last) => run.altimeter_not_judged.push(format!(
                        "{at}: {off:+} ft is not judged: Table I has no row for {} ft, and its nearest, {}, is the {}",
                        spaced(row.set_ft.into()),
                        point(last),
                        if last.0 < row.set_ft { "last" } else { "first" }
                    )),
                }
            }
            for (name, read) in OUTPUTS.iter().zip(row.outputs) {
                match (read, against) {
                    (Read::NotYet, _) => {}
                    (Read::Feet(feet), None) => {
                        let off = feet - row.set_ft;
                        match table.surely_ft() {
                            Some(most) if off.abs() > TOLERANCE_FT + most => {
                                run.compared += 1;
                                run.out_of_tolerance.push(format!(
                                    "{at}: {name} {off:+} ft from what was set; the altimeter was not read, but with its \
                                     own tolerance of at most {most} ft this is more than {TOLERANCE_FT} ft from it"
                                ));
                            }
                            _ => {
                                run.not_compared
                                    .push(format!("{at}: {name} is not judged: the altimeter was not read"));
                            }
                        }
                    }
                    (Read::NoAltitude, _) => {
                        run.compared += 1;
                        run.out_of_tolerance.push(format!("{at}: {name} sends no altitude"));
                    }
                    (Read::Feet(feet), Some(altimeter)) => {
                        run.compared += 1;
                        if (feet - altimeter).abs() > TOLERANCE_FT {
                            run.out_of_tolerance.push(format!("{at}: {name} {:+} ft", feet - altimeter));
                        }
                    }
                }
            }
            let [_, mode_s, _] = row.outputs;
            for (one, other) in [(1, 2), (0, if mode_s == Read::NotYet { 2 } else { 1 })] {
                let agree = match (row.outputs[one], row.outputs[other]) {
                    (Read::NotYet, _) | (_, Read::NotYet) => continue,
                    // Mode C counts hundreds; beside 25-ft steps it is the nearest of them.
                    (Read::Feet(hundreds), Read::Feet(fine)) if one == 0 && fine % 100 != 0 => {
                        (hundreds - fine).abs() <= 50
                    }
                    (first, second) => first == second,
                };
                run.paired += 1;
                if !agree {
                    let [first, second] = [one, other].map(|at| format!("{} {}", OUTPUTS[at], row.outputs[at]));
                    run.disagreeing.push(format!("{at}: {first}, {second}"));
                }
            }
        }
        let read = |row: &&RunRow| row.altimeter != Read::NotYet || row.outputs != [Read::NotYet; 3];
        let highest_read = run.rows.iter().filter(read).map(|row| row.set_ft).max();
        run.above_ceiling =
            ceiling_ft.zip(highest_read).and_then(|(feet, highest)| Ceiling::Given(feet).remark(highest));
        if run.rows.iter().all(|row| row.altimeter == Read::NotYet) {
            run.never_read.push("the altimeter");
        }
        for (at, name) in OUTPUTS.iter().enumerate() {
            if run.rows.iter().all(|row| row.outputs[at] == Read::NotYet) {
                run.never_read.push(*name);
            }
        }
        for up in run.rows.iter().filter(|row| row.up) {
            for down in run.rows.iter().filter(|row| !row.up && row.set_ft == up.set_ft) {
                for (at, name) in OUTPUTS.iter().enumerate() {
                    if let (Some(first), Some(second)) = (up.outputs[at].feet(), down.outputs[at].feet()) {
                        let apart = (first - second).abs();
                        if run.hysteresis.is_none_or(|(most, ..)| apart > most) {
                            run.hysteresis = Some((apart, name, up.set_ft));
                        }
                    }
                }
            }
        }
        let readings: Vec<AltitudeReading> = run
            .rows
            .iter()
            .filter(|row| row.outputs[0] != Read::NotYet)
            .map(|row| AltitudeReading {
                line: row.line,
                set_ft: row.altimeter.feet().unwrap_or(row.set_ft),
                reported_ft: row.outputs[0].feet(),
            })
            .collect();
        if !readings.is_empty() && readings.iter().all(|reading| reading.reported_ft.is_none_or(|feet| feet % 100 == 0))
        {
            let highest = readings.iter().map(|reading| reading.set_ft).max().unwrap_or(0);
            let diagnosis = diagnose(&readings, ceiling_ft.unwrap_or(highest));
            let unread = run.rows.iter().any(|row| row.outputs[0] != Read::NotYet && row.altimeter == Read::NotYet);
            run.wires.push(format!(
                "Judged against the altimeter{}{}.",
                if unread { ", or where it was not read against what was set" } else { "" },
                match (run.altimeter.is_empty(), run.altimeter_not_judged.is_empty()) {
                    (false, _) => ", which is itself beyond its tolerance (2.): this holds only as far as it does",
                    (true, false) => ", which Table I does not judge everywhere (2.)",
                    (true, true) => "",
                }
            ));
            run.wires.extend(conclusion(&readings, &diagnosis));
            if let Needs::Wires(_) = diagnosis.needs {
                let best = diagnosis.fits.iter().take(diagnosis.equal.clamp(1, 4));
                run.wires.extend(best.map(|fit| {
                    format!("Most likely: {} ({} of {} readings).", fit.explanation, fit.readings, readings.len())
                }));
            }
        }
        run
    }

    /// Whether something was read that could not be judged, or that should not have been read.
    pub fn leaves_unjudged(&self) -> bool {
        !self.not_compared.is_empty() || !self.altimeter_not_judged.is_empty() || self.above_ceiling.is_some()
    }

    /// Whether something that was read is beyond its tolerance, or contradicts another output.
    pub fn differs(&self) -> bool {
        !self.out_of_tolerance.is_empty() || !self.altimeter.is_empty() || !self.disagreeing.is_empty()
    }

    /// What was judged, each with what was found, in the order in which it is to be read.
    pub fn sections(&self) -> Vec<(String, Vec<String>)> {
        let mut all = Vec::new();
        let mut list = |title: &str, items: &[String], none: &str| {
            let found = if items.is_empty() { vec![none.to_owned()] } else { items.to_vec() };
            all.push((title.to_owned(), found));
        };
        let within = self.compared - self.out_of_tolerance.len();
        let nothing = if self.compared == 0 { "nothing was compared yet" } else { "all within" };
        let correspondence = [&self.out_of_tolerance[..], &self.not_compared[..]].concat();
        let mut altimeter = self.altimeter.clone();
        if altimeter.is_empty() {
            altimeter.push(
                if self.at_points == 0 {
                    "it was read at no point of the table"
                } else {
                    "nothing beyond its tolerance"
                }
                .to_owned(),
            );
        }
        altimeter.extend_from_slice(&self.altimeter_not_judged);
        if !self.between_points.is_empty() {
            altimeter.push(format!(
                "{} where the table has no row; within the tolerance of the rows on both sides: {}",
                counted(self.between_points.len(), "reading"),
                self.between_points.join(", ")
            ));
        }
        list(
            &format!(
                "1. Correspondence: {within} of {} readings within {TOLERANCE_FT} ft of the altimeter",
                self.compared
            ),
            &correspondence,
            nothing,
        );
        list("2. The altimeter against what was set (Table I)", &altimeter, "");
        list(
            "3. Mode C, Mode S and squitter against one another",
            &self.disagreeing,
            if self.paired == 0 { "no row has two of them" } else { "no contradiction" },
        );
        let hysteresis = self.hysteresis.map(|(apart, name, feet)| {
            format!(
                "at most {apart} ft between up and down ({name}, {} ft); no limit for it is judged here",
                spaced(feet.into())
            )
        });
        list("4. Hysteresis", hysteresis.as_slice(), "no altitude was read both up and down");
        list(
            "5. Wires, by Mode C, if the source is grey code on wires",
            &self.wires,
            "no Mode C reading, or not a grey-code source",
        );
        all
    }

    /// What is still to be read, and what was not judged.
    pub fn still_open(&self) -> String {
        let mut said = vec![match self.open {
            0 => "Every row is filled in.".to_owned(),
            open => format!("{open} of {} rows are not filled in; go on in the same file.", self.rows.len()),
        }];
        if !self.never_read.is_empty() {
            said.push(format!("Read in no row, and not judged: {}.", self.never_read.join(", ")));
        }
        for (what, count) in [("1.", self.not_compared.len()), ("2.", self.altimeter_not_judged.len())] {
            if count > 0 {
                said.push(format!("Not judged: {}; {what} says why.", counted(count, "reading")));
            }
        }
        said.extend(self.above_ceiling.clone());
        said.join(" ")
    }

    /// For people, 80 columns wide.
    pub fn text(&self) -> String {
        let mut out = String::new();
        for (title, found) in self.sections() {
            let _ = writeln!(out, "{title}");
            for item in found {
                out += &folded_to(80, "  ", 6, &item);
            }
        }
        out += &folded_to(80, "", 0, &self.still_open());
        out += &folded_to(80, "CAUTION  ", 9, ADDITION);
        out
    }

    /// For programs: one object.
    pub fn json(&self) -> Value {
        json!(RunEntry {
            compared: self.compared,
            out_of_tolerance: self.out_of_tolerance.clone(),
            not_compared: self.not_compared.clone(),
            altimeter: self.altimeter.clone(),
            altimeter_not_judged: self.altimeter_not_judged.clone(),
            between_points: self.between_points.clone(),
            disagreeing: self.disagreeing.clone(),
            hysteresis_ft: self.hysteresis.map(|(apart, ..)| apart),
            wires: self.wires.clone(),
            rows: self.rows.len(),
            not_filled_in: self.open,
            conclusion: self.still_open(),
        })
    }
}

/// A run up and down, judged.
#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct RunEntry {
    /// How many readings were compared with the altimeter.
    compared: usize,
    /// Those beyond the tolerance, in words.
    out_of_tolerance: Vec<String>,
    /// Readings that could not be compared: the altimeter was not read.
    not_compared: Vec<String>,
    /// What the altimeter itself is beyond its tolerance at.
    altimeter: Vec<String>,
    /// Where Table I neither passes nor fails it.
    altimeter_not_judged: Vec<String>,
    /// Where the table has no row, and it is within the tolerance of the rows on both sides.
    between_points: Vec<String>,
    /// Where Mode C, Mode S and squitter contradict one another.
    disagreeing: Vec<String>,
    /// The largest difference between up and down; `null` if nothing was read both ways.
    hysteresis_ft: Option<i32>,
    /// What Mode C says of the wires.
    wires: Vec<String>,
    /// How many rows the form has.
    rows: usize,
    /// How many of them are not filled in.
    not_filled_in: usize,
    /// What is still to be read, and what was not judged.
    conclusion: String,
}
