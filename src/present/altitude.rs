//! Altitude codes, wires, and what readings say of them; for people and for programs.

use super::text::folded;
use crate::code::{
    Altitude12, Altitude13, AltitudePattern, Bits, CodeError, GREY_CODE_TOP_FT, Wire, Wires, number, spaced,
};
use crate::profile::wiring::{
    Diagnosis, Explanation, Fault, Fit, Judged, Missed, ProvingSet, Reading, TOLERANCE_FT, WITHOUT_D_FT, effect,
    missed, proving_set,
};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::fmt::Write;

/// Said with everything that judges wires.
pub const ADDITION: &str = "This is an addition to the required correspondence test, never a replacement: that one \
                            wants enough points from sea level to the maximum operating altitude (14 CFR part 43, \
                            Appendix E(c), from memory).";
/// What the answers rest on.
pub const MODEL: &str = "Model: a line is active where it is grounded (common practice, no source); units differ in \
                         what they send for a combination that is no altitude. Own arithmetic on the published code \
                         table.";

/// Equal explanations that are shown to people.
const SHOWN: usize = 8;

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
    /// [`CodeError`] where it is no number, or outside the codes.
    pub fn of_feet(given: &str) -> Result<Self, CodeError> {
        let feet = number(given)?;
        let wires = Wires::from_feet(feet)?;
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
                line(&mut out, "grey code", &format!("{} ft, and 50 ft to either side", spaced(feet.into())));
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
        let grey = self.wires.map(|wires| {
            let active: Vec<&str> = wires.active().map(Wire::name).collect();
            let mut object = json!({"altitude_ft": wires.feet(), "grounded": active,
                "mode_c": wires.mode_c().to_string()});
            put_patterns(&mut object, wires.squitter());
            object
        });
        let quarter = self.quarter.map(|code| {
            let mut object = json!({"altitude_ft": code.feet()});
            put_patterns(&mut object, code);
            object
        });
        let feet = self.feet.map(|feet| if feet.fract() == 0.0 { json!(feet as i64) } else { json!(feet) });
        json!({"given": self.given, "altitude_ft": feet, "grey_code": grey, "quarter_code": quarter,
            "notes": self.notes})
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

fn put_patterns(object: &mut Value, code: Altitude12) {
    let reply = code.with_metric_bit();
    object["squitter"] = json!(format!("{:03X}", code.bits()));
    object["squitter_bits"] = json!(format!("{:012b}", code.bits()));
    object["reply"] = json!(format!("{:04X}", reply.bits()));
    object["reply_bits"] = json!(format!("{:013b}", reply.bits()));
}

fn feet_or_none(feet: Option<i32>) -> String {
    feet.map_or_else(|| "no altitude".to_owned(), |feet| format!("{} ft", spaced(feet.into())))
}

fn listed<T: ToString>(items: &[T]) -> String {
    let mut words: Vec<String> = items.iter().take(SHOWN).map(ToString::to_string).collect();
    if items.len() > SHOWN {
        words.push(format!("and {} more", items.len() - SHOWN));
    }
    words.join("; ")
}

fn fit_words(fit: &Fit, of: usize) -> String {
    let alike =
        if fit.alike.is_empty() { String::new() } else { format!("; nothing tells it from: {}", listed(&fit.alike)) };
    format!("{} ({} of {of} readings{alike})", fit.explanation, fit.readings)
}

/// What readings say, for people.
pub fn diagnosis_text(readings: &[Reading], diagnosis: &Diagnosis, ceiling_ft: i32) -> String {
    let mut out = "      set ft  reported ft  difference  exactly  within 125 ft\n".to_owned();
    let yes = |yes: bool| if yes { "yes" } else { "NO" };
    for reading in readings {
        let reported = reading.reported_ft.map_or_else(|| "none".to_owned(), |feet| feet.to_string());
        let difference = reading.difference_ft().map_or_else(|| "-".to_owned(), |feet| format!("{feet:+}"));
        let _ = writeln!(
            out,
            "  {:>10}  {reported:>11}  {difference:>10}  {:>7}  {:>13}",
            reading.set_ft,
            yes(reading.exact()),
            yes(reading.within_tolerance())
        );
    }
    let of = readings.len();
    let exact = readings.iter().filter(|reading| reading.exact()).count();
    let within = readings.iter().filter(|reading| reading.within_tolerance()).count();
    let _ = writeln!(out, "\nexactly: {exact} of {of} right");
    let _ = writeln!(out, "by the {TOLERANCE_FT} ft tolerance: {within} of {of} right");
    let (best, others) = diagnosis.fits.split_at(diagnosis.equal.min(diagnosis.fits.len()));
    let complete = best.first().is_some_and(|fit| fit.readings == of);
    out.push('\n');
    if !complete {
        out += &folded("", 0, "No single fault of the model explains every reading; the best fits follow.");
    }
    match best {
        [only] => out += &folded("most likely: ", 4, &fit_words(only, of)),
        several => {
            out += &folded(
                "cannot tell: ",
                4,
                &format!(
                    "{}{} explanations fit equally well (the simplest first)",
                    if exact == of { "every reading is right, and " } else { "" },
                    several.len()
                ),
            );
            for fit in several.iter().take(SHOWN) {
                out += &folded("  ", 6, &fit_words(fit, of));
            }
            if several.len() > SHOWN {
                let _ = writeln!(out, "  and {} more", several.len() - SHOWN);
            }
        }
    }
    if let Some(next) = &diagnosis.next {
        out += &folded("next altitude to read: ", 4, &format!("{} ft, which would report", spaced(next.set_ft.into())));
        for (read, explanations) in &next.would_report {
            out += &folded(&format!("  {}: ", feet_or_none(*read)), 6, &listed(explanations));
        }
    }
    if best.len() == 1 && !others.is_empty() {
        out.push_str("the next best\n");
        for fit in others.iter().take(3) {
            out += &folded("  ", 6, &fit_words(fit, of));
        }
    }
    out += &folded(
        "",
        0,
        &format!(
            "Searched up to {} ft (--ceiling): one wire open or grounded, two swapped or shorted, each with an encoder \
             error of -100, 0 or +100 ft; ranked by readings that agree exactly, not by the tolerance.",
            spaced(ceiling_ft.into())
        ),
    );
    out + &closing()
}

fn explanation_json(explanation: Explanation) -> Value {
    json!({"fault": explanation.fault.key(), "wires": names(explanation.fault), "encoder_ft": explanation.encoder_ft})
}

fn names(fault: Fault) -> Vec<&'static str> {
    fault.wires().into_iter().map(Wire::name).collect()
}

fn fault_json(fault: Fault) -> Value {
    json!({"fault": fault.key(), "wires": names(fault)})
}

/// What readings say, for programs.
pub fn diagnosis_json(readings: &[Reading], diagnosis: &Diagnosis, ceiling_ft: i32) -> Value {
    let rows: Vec<Value> = readings
        .iter()
        .map(|reading| {
            json!({"line": reading.line, "set_ft": reading.set_ft, "reported_ft": reading.reported_ft,
                "difference_ft": reading.difference_ft(), "exact": reading.exact(),
                "within_tolerance": reading.within_tolerance()})
        })
        .collect();
    let explained = |explanations: &[Explanation]| -> Vec<Value> {
        explanations.iter().map(|explanation| explanation_json(*explanation)).collect()
    };
    let best: Vec<Value> = diagnosis
        .fits
        .iter()
        .take(diagnosis.equal)
        .map(|fit| {
            let mut object = explanation_json(fit.explanation);
            object["readings"] = json!(fit.readings);
            object["alike"] = json!(explained(&fit.alike));
            object
        })
        .collect();
    let next = diagnosis.next.as_ref().map(|next| {
        let would: Vec<Value> = next
            .would_report
            .iter()
            .map(|(read, explanations)| json!({"reported_ft": read, "explanations": explained(explanations)}))
            .collect();
        json!({"set_ft": next.set_ft, "would_report": would})
    });
    json!({"readings": rows, "tolerance_ft": TOLERANCE_FT, "ceiling_ft": ceiling_ft,
        "verdict": if diagnosis.equal == 1 { "told" } else { "cannot_tell" },
        "explanations": best, "next": next, "notes": [MODEL, ADDITION]})
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
                out += &folded("  no altitude up to there shows: ", 4, &every(&set.never));
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
        out + &closing()
    }

    /// For programs.
    pub fn json(&self) -> Value {
        let mut object = json!({"ceiling_ft": self.ceiling_ft,
            "wires_in_use": in_use(self.ceiling_ft).into_iter().map(Wire::name).collect::<Vec<_>>()});
        for (key, what, set) in self.sets() {
            object[key] = json!({"what": what, "altitudes_ft": set.altitudes_ft,
                "never": set.never.iter().copied().map(fault_json).collect::<Vec<_>>()});
        }
        let rows: Vec<Value> = Fault::singles()
            .map(|fault| {
                let (largest, none) = effect(fault, self.ceiling_ft);
                let mut row = fault_json(fault);
                row["first_shown_ft"] = json!(Judged::Exactly.first(fault, self.ceiling_ft));
                row["first_beyond_tolerance_ft"] = json!(Judged::ByTolerance.first(fault, self.ceiling_ft));
                row["largest_error_ft"] = json!(largest);
                row["steps_without_altitude"] = json!(none);
                row
            })
            .collect();
        object["faults"] = json!(rows);
        object["notes"] = json!([MODEL, ADDITION]);
        object
    }
}

fn every(faults: &[Fault]) -> String {
    faults.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")
}

/// What a list of test altitudes would miss.
#[derive(Clone, Debug)]
pub struct Misses {
    altitudes_ft: Vec<i32>,
    ceiling_ft: i32,
    exactly: Vec<Missed>,
    by_tolerance: Vec<Missed>,
    pairs: Vec<Missed>,
}

impl Misses {
    /// Of these altitudes, in an aircraft that reaches `ceiling_ft`.
    pub fn new(altitudes_ft: Vec<i32>, ceiling_ft: i32) -> Self {
        Self {
            exactly: missed(Fault::singles(), Judged::Exactly, &altitudes_ft),
            by_tolerance: missed(Fault::singles(), Judged::ByTolerance, &altitudes_ft),
            pairs: missed(Fault::pairs(), Judged::Exactly, &altitudes_ft),
            altitudes_ft,
            ceiling_ft,
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
        missed.first_ft.is_none_or(|feet| feet <= self.ceiling_ft)
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
                let would = first_ft.map_or_else(
                    || "no altitude would show".to_owned(),
                    |feet| format!("{} ft would show first", spaced(feet.into())),
                );
                out += &folded(&format!("  missed, {would}: "), 4, &every(&faults));
            }
            if !above.is_empty() {
                let lead = format!("  shows only above {} ft: ", spaced(self.ceiling_ft.into()));
                out += &folded(&lead, 4, &every(&above.iter().map(|row| row.fault).collect::<Vec<_>>()));
            }
        }
        out.push('\n');
        out + &closing()
    }

    /// For programs.
    pub fn json(&self) -> Value {
        let mut object = json!({"altitudes_ft": self.altitudes_ft, "ceiling_ft": self.ceiling_ft});
        for (key, what, rows) in self.sets() {
            let row = |missed: &&Missed| {
                let mut row = fault_json(missed.fault);
                row["first_shown_ft"] = json!(missed.first_ft);
                row
            };
            let (here, above): (Vec<&Missed>, Vec<&Missed>) = rows.iter().partition(|row| self.reached(row));
            object[key] = json!({"what": what, "misses": here.iter().map(row).collect::<Vec<_>>(),
                "only_above_ceiling": above.iter().map(row).collect::<Vec<_>>()});
        }
        object["notes"] = json!([MODEL, ADDITION]);
        object
    }
}

fn closing() -> String {
    let mut out = folded("", 0, MODEL);
    out += &folded("CAUTION  ", 9, ADDITION);
    out
}

/// The ceiling where none is given: where D wires begin, or as high as was read.
pub fn usual_ceiling(altitudes_ft: impl Iterator<Item = i32>) -> i32 {
    altitudes_ft.fold(WITHOUT_D_FT, i32::max)
}
