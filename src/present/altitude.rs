//! Altitude codes, wires, and what readings say of them; for people and for programs.

use super::text::{counted, folded, stop_lines};
use crate::code::{
    Altitude12, Altitude13, AltitudePattern, Bits, CodeError, GREY_CODE_BOTTOM_FT, GREY_CODE_TOP_FT, Wire, Wires,
    number, spaced,
};
use crate::profile::calibration::{Offset, Spread, differs_with_itself, finer, offsets};
use crate::profile::stops::{ALTITUDE_RUN, stops};
use crate::profile::wiring::{
    ALTIMETER_POINTS, AltitudeReading, Diagnosis, Explanation, Fault, Fit, Judged, Missed, Needs, ProvingSet,
    TOLERANCE_FT, effect, missed, proving_set,
};
#[cfg(feature = "cli")]
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::fmt::Write;

/// Said with everything that judges wires.
pub const ADDITION: &str = "This is an addition to the required correspondence test, never a replacement: that test \
                            requires enough points from sea level to the maximum operating altitude (14 CFR part 43, \
                            Appendix E(c)).";
/// What the answers rest on.
pub const MODEL: &str = "Assumes that a grounded wire is an active one (common practice, no source). Units differ in \
                         what they send for a combination that is not an altitude code. Own arithmetic on the \
                         published code table.";

/// Rows of a list that are shown to people.
const SHOWN: usize = 5;

/// The altitude that a run stays below.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ceiling {
    /// As somebody stated it.
    Given(i32),
    /// Nobody did: the highest altitude of the run.
    Highest(i32),
}

impl Ceiling {
    /// As given, or the highest of these altitudes.
    pub fn new(given: Option<i32>, altitudes_ft: impl Iterator<Item = i32>) -> Self {
        given.map_or_else(|| Self::Highest(altitudes_ft.max().unwrap_or(0)), Self::Given)
    }

    /// In feet.
    pub const fn ft(self) -> i32 {
        let (Self::Given(feet) | Self::Highest(feet)) = self;
        feet
    }

    /// What is to be said of it, with the highest altitude of the run.
    pub(super) fn remark(self, highest_ft: i32) -> Option<String> {
        match self {
            Self::Highest(feet) => Some(format!(
                "Nothing above {}, the highest altitude of this run, is suggested. Give --ceiling FEET: the highest \
                 altitude that the altimeter and the static system may be taken to.",
                ft(feet)
            )),
            Self::Given(feet) if highest_ft > feet => Some(format!(
                "The run goes up to {}, above the ceiling of {} that was given.",
                ft(highest_ft),
                ft(feet)
            )),
            Self::Given(_) => None,
        }
    }
}

/// What must be so before a run through altitudes begins, and what such a run does not replace.
pub fn cautions() -> String {
    stop_lines(0, &stops(ALTITUDE_RUN)) + &folded("CAUTION  ", 9, ADDITION)
}

fn ft(feet: i32) -> String {
    format!("{} ft", spaced(feet.into()))
}

/// An altitude, a code or wires, and what belongs to it.
#[derive(Clone, Debug)]
pub struct Answer {
    /// As it was given.
    pub given: String,
    /// Feet, as given or decoded; none for no altitude.
    pub feet: Option<f64>,
    /// The wires: of the 100-ft code nearest to the altitude, or as given.
    pub wires: Option<Wires>,
    /// The 25-ft code.
    pub quarter: Option<Altitude12>,
    /// What else is to be said.
    pub notes: Vec<String>,
}

impl Answer {
    /// From feet.
    ///
    /// # Errors
    /// [`CodeError`] if it is not a number, or outside the codes.
    pub fn of_feet(given: &str) -> Result<Self, CodeError> {
        let feet = number(given)?;
        // As it was written: 1e300 has three hundred digits.
        let wires = Wires::from_feet(feet)
            .map_err(|_| CodeError::out_of_range(given, GREY_CODE_BOTTOM_FT, GREY_CODE_TOP_FT, " ft"))?;
        Ok(Self::new(given, Some(feet), Some(wires), Vec::new()))
    }

    /// From wires.
    pub fn of_wires(given: &str, wires: Wires) -> Self {
        let notes = wires.fault().map(str::to_owned).into_iter().collect();
        Self::new(given, wires.feet().map(f64::from), Some(wires), notes)
    }

    /// From a code.
    pub fn of_code(given: &str, pattern: AltitudePattern) -> Self {
        let code = match pattern {
            AltitudePattern::Squitter(code) => code,
            AltitudePattern::Reply(code) => {
                let Some(code) = code.without_metric_bit() else {
                    let note = "M is 1: metric, and no confirmed source gives its unit".to_owned();
                    return Self::new(given, None, None, vec![note]);
                };
                code
            }
            AltitudePattern::ModeC(digits) => match Wires::from_mode_c(digits) {
                Ok(wires) => return Self::of_wires(given, wires),
                Err(error) => return Self::new(given, None, None, vec![error.to_string()]),
            },
        };
        if let Some(wires) = Wires::from_squitter(code) {
            return Self::of_wires(given, wires);
        }
        let feet = code.feet().map(f64::from);
        let wires = feet.and_then(|feet| Wires::from_feet(feet).ok());
        Self::new(given, feet, wires, vec!["Q is 1: 25-ft code; an encoder with wires does not send it".to_owned()])
    }

    fn new(given: &str, feet: Option<f64>, wires: Option<Wires>, mut notes: Vec<String>) -> Self {
        let quarter = feet.and_then(|feet| Altitude12::from_feet(feet, 25).ok()).filter(|code| code.is_quarter());
        if let (Some(feet), None) = (feet, quarter) {
            notes.push(if feet < 0.0 {
                "encoders begin at -1000 ft, and so does the 25-ft code; the code table goes on to -1200 ft".to_owned()
            } else {
                "the 25-ft code ends at 50 175 ft".to_owned()
            });
        } else if feet.is_some_and(|feet| feet < -1000.0) {
            notes.push("encoders begin at -1000 ft; the code table goes on to -1200 ft".to_owned());
        }
        Self { given: given.to_owned(), feet, wires, quarter, notes }
    }

    /// For people.
    pub fn text(&self) -> String {
        let mut out = match self.feet {
            Some(feet) if feet.fract() == 0.0 => format!("{} ft\n", spaced(feet as i64)),
            Some(feet) => format!("{feet} ft\n"),
            None => "no altitude\n".to_owned(),
        };
        if let Some(wires) = self.wires {
            if let Some(feet) = wires.feet() {
                line(&mut out, "grey code", &format!("{} \u{b1}50 ft", ft(feet)));
            } else {
                line(&mut out, "grey code", "none");
            }
            let idle: Vec<&str> = Wire::ALL.into_iter().filter(|wire| !wires.has(*wire)).map(Wire::name).collect();
            let none = wires == Wires::default();
            line(&mut out, "grounded", &if none { "none".to_owned() } else { wires.to_string() });
            line(&mut out, "not grounded", &idle.join(" "));
            line(&mut out, "Mode C", &format!("{} (octal digits A B C D)", wires.mode_c()));
            patterns(&mut out, wires.squitter());
        }
        if let Some(code) = self.quarter {
            let feet = code.feet().map_or(0, i64::from);
            line(&mut out, "25-ft code", &format!("{} ft", spaced(feet)));
            patterns(&mut out, code);
        }
        for note in &self.notes {
            line(&mut out, "note", note);
        }
        out
    }

    /// For programs.
    pub fn json(&self) -> Value {
        let grey_code = self.wires.map(|wires| GreyEntry {
            altitude_ft: wires.feet(),
            grounded: wires.active().map(Wire::name).collect(),
            mode_c: wires.mode_c().to_string(),
            patterns: PatternEntry::of(wires.squitter()),
        });
        let quarter_code =
            self.quarter.map(|code| QuarterEntry { altitude_ft: code.feet(), patterns: PatternEntry::of(code) });
        json!(AnswerEntry {
            given: self.given.clone(),
            altitude_ft: self.feet.map(whole),
            grey_code,
            quarter_code,
            notes: self.notes.clone(),
        })
    }
}

/// A number as JSON writes it: without decimals if it is a whole one.
fn whole(feet: f64) -> serde_json::Number {
    let whole = (feet.fract() == 0.0).then(|| serde_json::Number::from(feet as i64));
    whole.or_else(|| serde_json::Number::from_f64(feet)).unwrap_or_else(|| 0.into())
}

/// An altitude, and what it is sent as.
#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct AnswerEntry {
    /// The argument.
    given: String,
    /// Pressure altitude; `null` if the code says none.
    altitude_ft: Option<serde_json::Number>,
    /// As 100-ft grey code; `null` if it has no such code.
    grey_code: Option<GreyEntry>,
    /// As 25-ft code; `null` if it has no such code.
    quarter_code: Option<QuarterEntry>,
    /// What else is to be known.
    notes: Vec<String>,
}

/// The 100-ft grey code.
#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct GreyEntry {
    /// The altitude that it says; `null` if none.
    altitude_ft: Option<i32>,
    /// The wires that are grounded.
    grounded: Vec<&'static str>,
    /// The Mode C code, four octal digits.
    mode_c: String,
    #[serde(flatten)]
    patterns: PatternEntry,
}

/// The 25-ft code.
#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct QuarterEntry {
    /// The altitude that it says; `null` if none.
    altitude_ft: Option<i32>,
    #[serde(flatten)]
    patterns: PatternEntry,
}

/// The bits of a code.
#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct PatternEntry {
    /// The 12 bits of the squitter, in hexadecimal.
    squitter: String,
    /// The same as bits.
    squitter_bits: String,
    /// The 13 bits of a reply, in hexadecimal.
    reply: String,
    /// The same as bits.
    reply_bits: String,
}

impl PatternEntry {
    fn of(code: Altitude12) -> Self {
        let reply = code.with_metric_bit();
        Self {
            squitter: format!("{:03X}", code.bits()),
            squitter_bits: format!("{:012b}", code.bits()),
            reply: format!("{:04X}", reply.bits()),
            reply_bits: format!("{:013b}", reply.bits()),
        }
    }
}

fn line(out: &mut String, name: &str, text: &str) {
    *out += &folded(&format!("  {name:<13}"), 15, text);
}

fn patterns(out: &mut String, code: Altitude12) {
    let spread = |bits: &str, names: &[&str]| {
        let bits: Vec<String> =
            bits.chars().zip(names).map(|(bit, name)| format!("{bit:>width$}", width = name.len())).collect();
        format!("{:15}{}\n{:15}{}\n", "", names.join(" "), "", bits.join(" "))
    };
    let names = Wires::bit_names();
    line(out, "squitter", &format!("{:03X}h", code.bits()));
    *out += &spread(&format!("{:012b}", code.bits()), &names);
    let mut with_metric = names.to_vec();
    with_metric.insert(6, "M");
    let reply: Altitude13 = code.with_metric_bit();
    line(out, "reply", &format!("{:04X}h", reply.bits()));
    *out += &spread(&format!("{:013b}", reply.bits()), &with_metric);
}

fn feet_or_none(feet: Option<i32>) -> String {
    feet.map_or_else(|| "no altitude".to_owned(), ft)
}

fn listed<T: ToString>(items: &[T]) -> String {
    let mut words: Vec<String> = items.iter().take(SHOWN).map(ToString::to_string).collect();
    if items.len() > SHOWN {
        words.push(format!("and {} more", items.len() - SHOWN));
    }
    words.join("; ")
}

fn fit_words(fit: &Fit, of: usize, ceiling: Ceiling) -> String {
    let alike = if fit.alike.is_empty() {
        String::new()
    } else {
        format!("; no altitude up to {} distinguishes it from: {}", ft(ceiling.ft()), listed(&fit.alike))
    };
    format!("{} ({} of {of} readings{alike})", fit.explanation, fit.readings)
}

/// How readings are off: "one step (100 ft) high from 3000 ft up".
fn off(readings: &[AltitudeReading]) -> String {
    let steps = finer(readings).is_none();
    let one = |offset: &Offset| {
        let by = match offset.most_ft {
            100 if steps => "one step (100 ft)".to_owned(),
            feet if offset.least_ft == feet => ft(feet),
            feet => format!("up to {}", ft(feet)),
        };
        let at = match offset.spread {
            Spread::Throughout => "throughout".to_owned(),
            Spread::FromThereUp => format!("from {} up", ft(offset.lowest_ft)),
            Spread::UpToThere => format!("up to {}", ft(offset.highest_ft)),
            Spread::Among if offset.lowest_ft == offset.highest_ft => format!("at {}", ft(offset.lowest_ft)),
            Spread::Among => format!(
                "in {} of {} readings, between {} and {}",
                offset.readings,
                readings.len(),
                ft(offset.lowest_ft),
                ft(offset.highest_ft)
            ),
        };
        format!("{by} {} {at}", if offset.high { "high" } else { "low" })
    };
    offsets(readings).iter().map(one).collect::<Vec<_>>().join(", ")
}

/// What readings say before any wire is named; the tolerance first.
pub fn conclusion(readings: &[AltitudeReading], diagnosis: &Diagnosis) -> Vec<String> {
    let within = readings.iter().all(AltitudeReading::within_tolerance);
    let tolerance = if within { "Within tolerance" } else { "Out of tolerance" };
    let turned = differs_with_itself(readings).map(|feet| {
        format!(
            "At {} the same altitude was read with different results, which no fault of the wires does: hysteresis, or \
             a loose contact.",
            ft(feet)
        )
    });
    let mut out = Vec::new();
    match diagnosis.needs {
        Needs::Nothing => out.push("Within tolerance, and every reading is exactly right: no fault shows.".to_owned()),
        Needs::Calibration if within => out.push(format!(
            "Within tolerance: {}. Calibration or hysteresis does that; nothing points to the wires.",
            off(readings)
        )),
        Needs::Calibration => out.push(format!(
            "Out of tolerance: {}. An error of calibration explains every reading, and no single fault of the wires \
             does.",
            off(readings)
        )),
        Needs::NotGreyCode(reading) => {
            let off = off(readings);
            let off = if off.is_empty() { String::new() } else { format!(": {off}") };
            out.push(format!("{tolerance}{off}."));
            out.push(format!(
                "Not a grey-code source: line {} reports {} ft, which is not a whole hundred. Wires do not apply; if the \
                 source is a grey-code encoder, check that line.",
                reading.line,
                reading.reported_ft.unwrap_or(0)
            ));
        }
        Needs::Wires(jump) => {
            let whole = diagnosis.fits.first().is_some_and(|fit| fit.readings == readings.len());
            if within {
                out.push("Within tolerance, but not what calibration does.".to_owned());
            } else if jump.is_none() && readings.iter().all(|reading| reading.reported_ft.is_some()) {
                out.push(format!(
                    "Out of tolerance: {}. An error of calibration that changes slowly with altitude explains every \
                     reading too; a reading 100 ft further up or down distinguishes it from a fault of the wires.",
                    off(readings)
                ));
            } else {
                out.push("Out of tolerance.".to_owned());
            }
            if let Some(jump) = jump {
                let by = |reading: AltitudeReading| match reading.difference_ft() {
                    Some(0) | None => "0 ft".to_owned(),
                    Some(feet) => format!("{feet:+} ft"),
                };
                out.push(format!(
                    "No error of calibration changes from {} at {} to {} at {}.",
                    by(jump.below),
                    ft(jump.below.set_ft),
                    by(jump.above),
                    ft(jump.above.set_ft)
                ));
            }
            if !whole {
                out.push(
                    "No single fault of the wires explains every reading; the best fits are those that explain most."
                        .to_owned(),
                );
            }
        }
    }
    out.extend(turned);
    out
}

/// What readings that need no wire leave open, and where to read next.
fn still_unseen(diagnosis: &Diagnosis, ceiling: Ceiling) -> String {
    let unseen = diagnosis.unseen;
    let Some((feet, shows)) = unseen.next else {
        let none = "No fault of one or two wires that shows at or below";
        return folded("", 0, &format!("{none} {} would give these readings.", ft(ceiling.ft())));
    };
    let faults = format!("{} of one or two wires", counted(unseen.faults, "fault"));
    let shows = if shows == unseen.faults { "each".to_owned() } else { format!("{shows} of them") };
    if diagnosis.needs == Needs::Calibration {
        let lead = "next altitude to read, if the wires are in doubt: ";
        let would = format!("would give these readings too; {shows} would read beyond {TOLERANCE_FT} ft there, or");
        return folded(lead, 4, &format!("{}. {faults} {would} give no altitude.", ft(feet)));
    }
    let cannot = format!("These altitudes cannot show {faults} (--would-miss names them); {shows} would show there.");
    folded("next altitude to read: ", 4, &format!("{}. {cannot}", ft(feet)))
}

/// What readings say, for people.
pub fn diagnosis_text(readings: &[AltitudeReading], diagnosis: &Diagnosis, ceiling: Ceiling) -> String {
    let mut out = "      set ft  reported ft  difference  within 125 ft  exactly\n".to_owned();
    let steps = finer(readings).is_none();
    let yes = |yes: bool| if yes { "yes" } else { "NO" };
    for reading in readings {
        let reported = reading.reported_ft.map_or_else(|| "none".to_owned(), |feet| feet.to_string());
        let difference = reading.difference_ft().map_or_else(|| "-".to_owned(), |feet| format!("{feet:+}"));
        let _ = writeln!(
            out,
            "  {:>10}  {reported:>11}  {difference:>10}  {:>13}  {:>7}",
            reading.set_ft,
            yes(reading.within_tolerance()),
            if steps { yes(reading.exact()) } else { "-" }
        );
    }
    let of = readings.len();
    let within = readings.iter().filter(|reading| reading.within_tolerance()).count();
    let _ = writeln!(out, "\nwithin the {TOLERANCE_FT} ft tolerance: {within} of {of} readings");
    if steps {
        let exact = readings.iter().filter(|reading| reading.exact()).count();
        let _ = writeln!(out, "exactly right: {exact} of {of} readings");
    }
    out.push('\n');
    out += &folded("", 0, &conclusion(readings, diagnosis).join(" "));
    match diagnosis.needs {
        Needs::Nothing | Needs::Calibration => out += &still_unseen(diagnosis, ceiling),
        Needs::NotGreyCode(_) => {}
        Needs::Wires(_) => wires_text(&mut out, readings, diagnosis, ceiling),
    }
    let highest_ft = readings.iter().map(|reading| reading.set_ft).max().unwrap_or(0);
    if let Some(remark) = ceiling.remark(highest_ft).filter(|_| steps) {
        out += &folded("", 0, &remark);
    }
    out += &above_18000(highest_ft);
    if matches!(diagnosis.needs, Needs::Wires(_)) {
        out += &folded("", 0, MODEL);
    }
    out
}

/// Which faults of the wires explain readings.
fn wires_text(out: &mut String, readings: &[AltitudeReading], diagnosis: &Diagnosis, ceiling: Ceiling) {
    let of = readings.len();
    let (best, others) = diagnosis.fits.split_at(diagnosis.equal.min(diagnosis.fits.len()));
    match best {
        [only] => *out += &folded("most likely: ", 4, &fit_words(only, of, ceiling)),
        several => {
            *out += &folded(
                "cannot tell: ",
                4,
                &format!("{} explanations fit equally well (the simplest first)", several.len()),
            );
            for fit in several.iter().take(SHOWN) {
                *out += &folded("  ", 6, &fit_words(fit, of, ceiling));
            }
            if several.len() > SHOWN {
                let _ = writeln!(out, "  and {} more", several.len() - SHOWN);
            }
        }
    }
    if let Some(next) = &diagnosis.next {
        *out += &folded("next altitude to read: ", 4, &format!("{}, which would report", ft(next.set_ft)));
        let mut rows: Vec<(&Option<i32>, &Vec<Explanation>)> = next.would_report.iter().collect();
        // What the simplest explanation would give comes first.
        rows.sort_by_key(|(_, explanations)| explanations.first().map(|one| (one.encoder_ft.abs(), one.fault)));
        for (read, explanations) in rows.iter().take(SHOWN) {
            *out += &folded(&format!("  {}: ", feet_or_none(**read)), 6, &listed(explanations));
        }
        if rows.len() > SHOWN {
            let _ = writeln!(out, "  and {} more altitudes", rows.len() - SHOWN);
        }
    }
    if best.len() == 1 && !others.is_empty() {
        out.push_str("the next best\n");
        for fit in others.iter().take(3) {
            *out += &folded("  ", 6, &fit_words(fit, of, ceiling));
        }
    }
    *out += &folded(
        "",
        0,
        &format!(
            "Tried up to {}: one wire open or grounded, two swapped or shorted, each with an encoder error of -100, 0 or \
             +100 ft; ranked by the readings that agree exactly, not by the tolerance.",
            ft(ceiling.ft())
        ),
    );
}

/// Where the altimeter's own tolerance is as large as the one of the correspondence test.
fn above_18000(highest_ft: i32) -> String {
    match ALTIMETER_POINTS.iter().find(|(_, tolerance)| *tolerance >= 120) {
        Some((feet, tolerance)) if highest_ft > *feet => folded(
            "",
            0,
            &format!(
                "Above {} the altimeter's own tolerance is more than {tolerance} ft: compare with the altimeter's reading, \
                 not with the altitude set on the test set.",
                ft(*feet)
            ),
        ),
        _ => String::new(),
    }
}

/// A fault of the wires, and an error of the encoder.
#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct ExplanationEntry {
    /// The fault.
    fault: &'static str,
    /// The wires that it is of.
    wires: Vec<&'static str>,
    /// What the encoder adds.
    encoder_ft: i32,
}

impl From<&Explanation> for ExplanationEntry {
    fn from(explanation: &Explanation) -> Self {
        let fault = explanation.fault;
        Self { fault: fault.key(), wires: names(fault), encoder_ft: explanation.encoder_ft }
    }
}

fn names(fault: Fault) -> Vec<&'static str> {
    fault.wires().into_iter().map(Wire::name).collect()
}

/// A fault of the wires.
#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct FaultEntry {
    /// The fault.
    fault: &'static str,
    /// The wires that it is of.
    wires: Vec<&'static str>,
}

impl From<Fault> for FaultEntry {
    fn from(fault: Fault) -> Self {
        Self { fault: fault.key(), wires: names(fault) }
    }
}

/// A reading.
#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct ReadingEntry {
    /// Its line.
    line: usize,
    /// What was set.
    set_ft: i32,
    /// What was reported; `null` if no altitude was.
    reported_ft: Option<i32>,
    /// Reported less set.
    difference_ft: Option<i32>,
    /// Whether it is what a perfect encoder reports.
    exact: bool,
    /// Whether it is within the tolerance.
    within_tolerance: bool,
}

/// An explanation that fits the readings best.
#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct FitEntry {
    #[serde(flatten)]
    explanation: ExplanationEntry,
    /// How many readings it explains.
    readings: usize,
    /// Explanations that report the same at every altitude.
    alike: Vec<ExplanationEntry>,
}

/// What one report at the next altitude would tell.
#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct WouldEntry {
    /// What would be reported; `null` for no altitude.
    reported_ft: Option<i32>,
    /// What would then explain it.
    explanations: Vec<ExplanationEntry>,
}

/// The altitude to read next.
#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
#[serde(untagged)]
pub enum NextEntry {
    /// It tells explanations apart.
    Tells {
        /// The altitude to set.
        set_ft: i32,
        /// What each report there would tell.
        would_report: Vec<WouldEntry>,
    },
    /// It shows faults that the readings so far do not.
    Shows {
        /// The altitude to set.
        set_ft: i32,
        /// How many faults show there.
        shows: usize,
        /// Of how many that are unseen.
        unseen: usize,
    },
}

/// What readings say of the wires.
#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct DiagnosisEntry {
    /// Each reading.
    readings: Vec<ReadingEntry>,
    /// The tolerance.
    tolerance_ft: i32,
    /// The highest altitude of the aircraft.
    ceiling_ft: i32,
    /// Whether that was given; else it is the highest reading.
    ceiling_given: bool,
    /// Whether every reading is within the tolerance.
    within_tolerance: bool,
    /// `no_fault_shows`, `calibration`, `not_grey_code`, `told` or `cannot_tell`.
    verdict: &'static str,
    /// The same in words.
    conclusion: Vec<String>,
    /// The explanations that fit best.
    explanations: Vec<FitEntry>,
    /// The altitude to read next; `null` if none is needed.
    next: Option<NextEntry>,
    /// What is taken for granted.
    notes: [&'static str; 2],
}

/// What readings say, for programs.
pub fn diagnosis_json(readings: &[AltitudeReading], diagnosis: &Diagnosis, ceiling: Ceiling) -> Value {
    let explained = |all: &[Explanation]| -> Vec<ExplanationEntry> { all.iter().map(ExplanationEntry::from).collect() };
    let best = || {
        let best = diagnosis.fits.iter().take(diagnosis.equal).map(|fit| FitEntry {
            explanation: (&fit.explanation).into(),
            readings: fit.readings,
            alike: explained(&fit.alike),
        });
        best.collect()
    };
    let tells = || {
        let next = diagnosis.next.as_ref()?;
        let would = |(read, all): (&Option<i32>, &Vec<Explanation>)| WouldEntry {
            reported_ft: *read,
            explanations: explained(all),
        };
        let would_report = next.would_report.iter().map(would).collect();
        Some(NextEntry::Tells { set_ft: next.set_ft, would_report })
    };
    let unseen = diagnosis.unseen;
    let shows = || unseen.next.map(|(set_ft, shows)| NextEntry::Shows { set_ft, shows, unseen: unseen.faults });
    let (verdict, explanations, next) = match diagnosis.needs {
        Needs::Nothing => ("no_fault_shows", Vec::new(), shows()),
        Needs::Calibration => ("calibration", Vec::new(), shows()),
        Needs::NotGreyCode(_) => ("not_grey_code", Vec::new(), None),
        Needs::Wires(_) if diagnosis.equal == 1 => ("told", best(), tells()),
        Needs::Wires(_) => ("cannot_tell", best(), tells()),
    };
    let entry = |reading: &AltitudeReading| ReadingEntry {
        line: reading.line,
        set_ft: reading.set_ft,
        reported_ft: reading.reported_ft,
        difference_ft: reading.difference_ft(),
        exact: reading.exact(),
        within_tolerance: reading.within_tolerance(),
    };
    let highest_ft = readings.iter().map(|reading| reading.set_ft).max().unwrap_or(0);
    let above = matches!(ceiling, Ceiling::Given(_)).then(|| ceiling.remark(highest_ft)).flatten();
    json!(DiagnosisEntry {
        readings: readings.iter().map(entry).collect(),
        tolerance_ft: TOLERANCE_FT,
        ceiling_ft: ceiling.ft(),
        ceiling_given: matches!(ceiling, Ceiling::Given(_)),
        within_tolerance: readings.iter().all(AltitudeReading::within_tolerance),
        verdict,
        conclusion: conclusion(readings, diagnosis).into_iter().chain(above).collect(),
        explanations,
        next,
        notes: [MODEL, ADDITION],
    })
}

/// The wires that change between sea level and the ceiling.
fn in_use(ceiling_ft: i32) -> Vec<Wire> {
    Wire::ALL.into_iter().filter(|wire| Judged::Exactly.first(Fault::Open(*wire), ceiling_ft).is_some()).collect()
}

/// The shortest sets that prove the wires of an aircraft.
#[derive(Clone, Debug)]
pub struct Proof {
    ceiling_ft: i32,
    singles: ProvingSet,
    with_pairs: ProvingSet,
    by_tolerance: ProvingSet,
}

impl Proof {
    /// For an aircraft that reaches this altitude, from sea level to the top of the code.
    ///
    /// # Errors
    /// [`CodeError::OutOfRange`].
    pub fn new(ceiling_ft: i32) -> Result<Self, CodeError> {
        if !(0..=GREY_CODE_TOP_FT).contains(&ceiling_ft) {
            return Err(CodeError::out_of_range(ceiling_ft, 0, GREY_CODE_TOP_FT, " ft"));
        }
        let all = || Fault::singles().chain(Fault::pairs());
        Ok(Self {
            ceiling_ft,
            singles: proving_set(Fault::singles(), Judged::Exactly, ceiling_ft),
            with_pairs: proving_set(all(), Judged::Exactly, ceiling_ft),
            by_tolerance: proving_set(Fault::singles(), Judged::ByTolerance, ceiling_ft),
        })
    }

    fn sets(&self) -> [(&'static str, &'static str, &ProvingSet); 3] {
        [
            ("exact", "compared exactly, every wire in both states", &self.singles),
            ("exact_with_pairs", "compared exactly, every two wires swapped or shorted as well", &self.with_pairs),
            ("by_tolerance", "judged by the 125 ft tolerance, every wire in both states", &self.by_tolerance),
        ]
    }

    /// For people.
    pub fn text(&self) -> String {
        let used = in_use(self.ceiling_ft);
        let mut out = format!(
            "up to {} ft: {} wires in use ({})\n",
            spaced(self.ceiling_ft.into()),
            used.len(),
            used.iter().map(|wire| wire.name()).collect::<Vec<_>>().join(" ")
        );
        for (_, what, set) in self.sets() {
            let altitudes: Vec<String> =
                set.altitudes_ft.iter().map(|feet| format!("{} ft", spaced((*feet).into()))).collect();
            let altitudes = if altitudes.is_empty() { "none".to_owned() } else { altitudes.join(", ") };
            out += &folded("\n", 0, &format!("{what}:"));
            out += &folded("  ", 4, &altitudes);
            if !set.never.is_empty() {
                let lead = format!("  cannot show at or below {}: ", ft(self.ceiling_ft));
                out += &folded(&lead, 4, &every(&set.never));
            }
        }
        let _ =
            writeln!(out, "\n  fault         shows from  beyond 125 ft from  largest error  steps without altitude");
        for fault in Fault::singles() {
            let (largest, none) = effect(fault, self.ceiling_ft);
            let from = |judged: Judged| {
                judged.first(fault, self.ceiling_ft).map_or_else(|| "never".to_owned(), |feet| format!("{feet} ft"))
            };
            let _ = writeln!(
                out,
                "  {:<12}{:>12}{:>20}{:>15}{:>24}",
                fault.to_string(),
                from(Judged::Exactly),
                from(Judged::ByTolerance),
                format!("{largest} ft"),
                none
            );
        }
        out.push('\n');
        out + &above_18000(self.ceiling_ft) + &folded("", 0, MODEL)
    }

    /// For programs.
    pub fn json(&self) -> Value {
        let set = |(_, what, set): &(&'static str, &'static str, &ProvingSet)| SetEntry {
            what,
            altitudes_ft: set.altitudes_ft.clone(),
            never: set.never.iter().copied().map(FaultEntry::from).collect(),
        };
        let [exact, exact_with_pairs, by_tolerance] = self.sets().each_ref().map(set);
        let effects = Fault::singles().map(|fault| {
            let (largest_error_ft, steps_without_altitude) = effect(fault, self.ceiling_ft);
            EffectEntry {
                fault: fault.into(),
                first_shown_ft: Judged::Exactly.first(fault, self.ceiling_ft),
                first_beyond_tolerance_ft: Judged::ByTolerance.first(fault, self.ceiling_ft),
                largest_error_ft,
                steps_without_altitude,
            }
        });
        json!(ProofEntry {
            ceiling_ft: self.ceiling_ft,
            wires_in_use: in_use(self.ceiling_ft).into_iter().map(Wire::name).collect(),
            exact,
            exact_with_pairs,
            by_tolerance,
            faults: effects.collect(),
            notes: [MODEL, ADDITION],
        })
    }
}

/// A set of altitudes that shows faults.
#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct SetEntry {
    /// How it is judged, and which faults.
    what: &'static str,
    /// The altitudes.
    altitudes_ft: Vec<i32>,
    /// Faults that no altitude up to the ceiling shows.
    never: Vec<FaultEntry>,
}

/// What a fault does.
#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct EffectEntry {
    #[serde(flatten)]
    fault: FaultEntry,
    /// The lowest altitude that shows it; `null` if none does.
    first_shown_ft: Option<i32>,
    /// The lowest altitude where it is beyond the tolerance; `null` if there is none.
    first_beyond_tolerance_ft: Option<i32>,
    /// The largest error.
    largest_error_ft: i32,
    /// At how many steps no altitude is sent.
    steps_without_altitude: usize,
}

/// The shortest sets of test altitudes.
#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct ProofEntry {
    /// The highest altitude of the aircraft.
    ceiling_ft: i32,
    /// The wires that change up to there.
    wires_in_use: Vec<&'static str>,
    /// Compared exactly.
    exact: SetEntry,
    /// The same with two wires swapped or shorted.
    exact_with_pairs: SetEntry,
    /// Judged by the tolerance.
    by_tolerance: SetEntry,
    /// Every fault of one wire.
    faults: Vec<EffectEntry>,
    /// What is taken for granted.
    notes: [&'static str; 2],
}

fn every(faults: &[Fault]) -> String {
    faults.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")
}

/// What a list of test altitudes would miss.
#[derive(Clone, Debug)]
pub struct Misses {
    altitudes_ft: Vec<i32>,
    ceiling: Ceiling,
    exactly: Vec<Missed>,
    by_tolerance: Vec<Missed>,
    pairs: Vec<Missed>,
}

impl Misses {
    /// Of these altitudes, in an aircraft that reaches the ceiling.
    pub fn new(altitudes_ft: Vec<i32>, ceiling: Ceiling) -> Self {
        Self {
            exactly: missed(Fault::singles(), Judged::Exactly, &altitudes_ft),
            by_tolerance: missed(Fault::singles(), Judged::ByTolerance, &altitudes_ft),
            pairs: missed(Fault::pairs(), Judged::Exactly, &altitudes_ft),
            altitudes_ft,
            ceiling,
        }
    }

    fn sets(&self) -> [(&'static str, &'static str, &[Missed]); 3] {
        [
            ("exact", "compared exactly, one wire open or grounded", &self.exactly),
            ("by_tolerance", "judged by the 125 ft tolerance, one wire open or grounded", &self.by_tolerance),
            ("exact_pairs", "compared exactly, two wires swapped or shorted", &self.pairs),
        ]
    }

    /// Whether the aircraft gets where the fault shows, or would if any altitude showed it.
    fn reached(&self, missed: &Missed) -> bool {
        missed.first_ft.is_none_or(|feet| feet <= self.ceiling.ft())
    }

    /// For people.
    pub fn text(&self) -> String {
        let altitudes: Vec<String> = self.altitudes_ft.iter().map(|feet| spaced((*feet).into())).collect();
        let mut out = folded("read at ", 8, &format!("{} ft", altitudes.join(", ")));
        for (_, what, rows) in self.sets() {
            let (here, above): (Vec<&Missed>, Vec<&Missed>) = rows.iter().partition(|row| self.reached(row));
            out += &folded("\n", 0, &format!("{what}:"));
            if here.is_empty() {
                out.push_str("  nothing is missed\n");
            }
            let mut by_altitude: BTreeMap<Option<i32>, Vec<Fault>> = BTreeMap::new();
            for row in here {
                by_altitude.entry(row.first_ft).or_default().push(row.fault);
            }
            for (first_ft, faults) in by_altitude {
                let lead = first_ft.map_or_else(
                    || "  missed, and no altitude shows: ".to_owned(),
                    |feet| format!("  missed, and {} is the lowest altitude that shows: ", ft(feet)),
                );
                out += &folded(&lead, 4, &every(&faults));
            }
            if !above.is_empty() {
                let lead = format!("  cannot show at or below {}: ", ft(self.ceiling.ft()));
                out += &folded(&lead, 4, &every(&above.iter().map(|row| row.fault).collect::<Vec<_>>()));
            }
        }
        out.push('\n');
        out += &self.altimeter_points();
        let highest_ft = self.altitudes_ft.iter().copied().max().unwrap_or(0);
        if let Some(remark) = self.ceiling.remark(highest_ft) {
            out += &folded("", 0, &remark);
        }
        out + &above_18000(self.ceiling.ft()) + &folded("", 0, MODEL)
    }

    /// What the points of the altimeter's own test would miss, up to the ceiling.
    fn altimeter_points(&self) -> String {
        let points: Vec<i32> =
            ALTIMETER_POINTS.iter().map(|(feet, _)| *feet).filter(|feet| *feet <= self.ceiling.ft()).collect();
        let [_, .., highest_ft] = points[..] else { return String::new() };
        let misses = |judged: Judged| {
            let faults: Vec<Fault> = missed(Fault::singles(), judged, &points)
                .into_iter()
                .map(|missed| missed.fault)
                .filter(|fault| Judged::Exactly.first(*fault, self.ceiling.ft()).is_some())
                .collect();
            if faults.is_empty() { "nothing".to_owned() } else { every(&faults) }
        };
        folded(
            "",
            0,
            &format!(
                "The points of the altimeter's own test do not prove the wires: up to {} all {} of them are multiples of 500 ft. A run \
                 through them misses, compared exactly: {}; by the {TOLERANCE_FT} ft tolerance: {} (14 CFR part 43, \
                 Appendix E, Table I).",
                ft(highest_ft),
                points.len(),
                misses(Judged::Exactly),
                misses(Judged::ByTolerance)
            ),
        )
    }

    /// For programs.
    pub fn json(&self) -> Value {
        let set = |(_, what, rows): &(&'static str, &'static str, &[Missed])| {
            let entry = |missed: &&Missed| MissedEntry { fault: missed.fault.into(), first_shown_ft: missed.first_ft };
            let (here, above): (Vec<&Missed>, Vec<&Missed>) = rows.iter().partition(|row| self.reached(row));
            MissesEntry {
                what,
                misses: here.iter().map(entry).collect(),
                only_above_ceiling: above.iter().map(entry).collect(),
            }
        };
        let [exact, by_tolerance, exact_pairs] = self.sets().each_ref().map(set);
        json!(MissesOfSetEntry {
            altitudes_ft: self.altitudes_ft.clone(),
            ceiling_ft: self.ceiling.ft(),
            ceiling_given: matches!(self.ceiling, Ceiling::Given(_)),
            exact,
            by_tolerance,
            exact_pairs,
            notes: [MODEL, ADDITION],
        })
    }
}

/// A fault that is missed.
#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct MissedEntry {
    #[serde(flatten)]
    fault: FaultEntry,
    /// The lowest altitude that shows it; `null` if none does.
    first_shown_ft: Option<i32>,
}

/// The faults that test altitudes miss.
#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct MissesEntry {
    /// How it is judged, and which faults.
    what: &'static str,
    /// Those that show at another altitude below the ceiling, or at none at all.
    misses: Vec<MissedEntry>,
    /// Those that show only above it.
    only_above_ceiling: Vec<MissedEntry>,
}

/// What test altitudes miss.
#[derive(Serialize)]
#[cfg_attr(feature = "cli", derive(JsonSchema))]
pub struct MissesOfSetEntry {
    /// The test altitudes.
    altitudes_ft: Vec<i32>,
    /// The highest altitude of the aircraft.
    ceiling_ft: i32,
    /// Whether that was given; else it is the highest test altitude.
    ceiling_given: bool,
    /// Compared exactly.
    exact: MissesEntry,
    /// Judged by the tolerance.
    by_tolerance: MissesEntry,
    /// Two wires swapped or shorted, compared exactly.
    exact_pairs: MissesEntry,
    /// What is taken for granted.
    notes: [&'static str; 2],
}
