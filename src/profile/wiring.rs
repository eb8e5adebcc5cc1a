//! Models the wiring between an altitude encoder and the transponder: what a fault of a wire makes of an altitude,
//! which fault explains readings, and which altitudes prove the wires.
//!
//! The model, own arithmetic: the encoder grounds wires; an open wire is never active, a grounded one always; two that
//! are swapped carry each other's state; two that are shorted are both active as soon as one is. A combination that is
//! not an altitude gives no reading. Units differ in what they send then: nothing, or no altitude.

use super::calibration::{Jump, finer, jump};
use super::json_spans::{message, quoted};
use crate::code::{Altitude12, Altitude13, Bits, GREY_CODE_BOTTOM_FT, GREY_CODE_TOP_FT, Wire, Wires};
use crate::frame::{Frame, Span};
use crate::written::written_lines;
use std::collections::BTreeMap;
use std::fmt;

/// The tolerance of the correspondence test in feet (14 CFR 91.217; part 43, Appendix E(c)).
pub const TOLERANCE_FT: i32 = 125;

/// The points of the altimeter's own test, with the tolerance there, both in feet (14 CFR part 43, Appendix E, Table I).
pub const ALTIMETER_POINTS: [(i32, i32); 23] = [
    (-1000, 20),
    (0, 20),
    (500, 20),
    (1000, 20),
    (1500, 25),
    (2000, 30),
    (3000, 30),
    (4000, 35),
    (6000, 40),
    (8000, 60),
    (10_000, 80),
    (12_000, 90),
    (14_000, 100),
    (16_000, 110),
    (18_000, 120),
    (20_000, 130),
    (22_000, 140),
    (25_000, 155),
    (30_000, 180),
    (35_000, 205),
    (40_000, 230),
    (45_000, 255),
    (50_000, 280),
];

/// What Table I says of the altimeter at an altitude. A point is an altitude with its tolerance there, both in feet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TableOne {
    /// It is a point of the table, with this tolerance.
    Point(i32),
    /// Nothing: it lies between these two points.
    Between((i32, i32), (i32, i32)),
    /// Nothing: it lies outside the table, whose nearest point, the first or the last, is this.
    Outside((i32, i32)),
}

impl TableOne {
    /// Of an altitude.
    ///
    /// ```
    /// use squitterlab::profile::wiring::TableOne;
    /// assert_eq!(TableOne::at(1500), TableOne::Point(25));
    /// assert_eq!(TableOne::at(1100), TableOne::Between((1000, 20), (1500, 25)));
    /// assert_eq!(TableOne::at(50_100), TableOne::Outside((50_000, 280)));
    /// ```
    pub fn at(feet: i32) -> Self {
        let above = ALTIMETER_POINTS.iter().position(|(point, _)| *point >= feet);
        match above.map(|above| (above.checked_sub(1), ALTIMETER_POINTS[above])) {
            Some((_, (point, tolerance))) if point == feet => Self::Point(tolerance),
            Some((Some(below), above)) => Self::Between(ALTIMETER_POINTS[below], above),
            Some((None, first)) => Self::Outside(first),
            None => Self::Outside(ALTIMETER_POINTS[ALTIMETER_POINTS.len() - 1]),
        }
    }

    /// More than this is too much without any doubt: tolerances grow with altitude, so it is the next point's above.
    pub const fn surely_ft(self) -> Option<i32> {
        match self {
            Self::Point(tolerance) | Self::Between(_, (_, tolerance)) => Some(tolerance),
            Self::Outside(_) => None,
        }
    }
}

/// The lowest altitude that an encoder sends.
const LOWEST_FT: i32 = -1000;

/// What may be wrong with the wires.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Fault {
    /// Nothing.
    None,
    /// Open: never active.
    Open(Wire),
    /// Grounded: always active.
    Grounded(Wire),
    /// Each at the other's place.
    Swapped(Wire, Wire),
    /// Connected with each other.
    Shorted(Wire, Wire),
}

impl Fault {
    /// Every wire open, and every wire grounded.
    pub fn singles() -> impl Iterator<Item = Self> {
        Wire::ALL.into_iter().flat_map(|wire| [Self::Open(wire), Self::Grounded(wire)])
    }

    /// Every two wires swapped, and every two shorted.
    pub fn pairs() -> impl Iterator<Item = Self> {
        let pairs = || {
            Wire::ALL
                .into_iter()
                .enumerate()
                .flat_map(|(at, a)| Wire::ALL.into_iter().skip(at + 1).map(move |b| (a, b)))
        };
        pairs().map(|(a, b)| Self::Swapped(a, b)).chain(pairs().map(|(a, b)| Self::Shorted(a, b)))
    }

    /// What the transponder finds on its pins.
    pub fn seen(self, wires: Wires) -> Wires {
        match self {
            Self::None => wires,
            Self::Open(wire) => wires.with(wire, false),
            Self::Grounded(wire) => wires.with(wire, true),
            Self::Swapped(a, b) => wires.with(a, wires.has(b)).with(b, wires.has(a)),
            Self::Shorted(a, b) => {
                let either = wires.has(a) || wires.has(b);
                wires.with(a, either).with(b, either)
            }
        }
    }

    /// A fixed word for programs.
    pub const fn key(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::Open(_) => "open",
            Self::Grounded(_) => "grounded",
            Self::Swapped(..) => "swapped",
            Self::Shorted(..) => "shorted",
        }
    }

    /// The wires that it is about.
    pub fn wires(self) -> Vec<Wire> {
        match self {
            Self::None => Vec::new(),
            Self::Open(wire) | Self::Grounded(wire) => vec![wire],
            Self::Swapped(a, b) | Self::Shorted(a, b) => vec![a, b],
        }
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::None => write!(f, "no fault"),
            Self::Open(wire) => write!(f, "{wire} open"),
            Self::Grounded(wire) => write!(f, "{wire} grounded"),
            Self::Swapped(a, b) => write!(f, "{a} and {b} swapped"),
            Self::Shorted(a, b) => write!(f, "{a} and {b} shorted together"),
        }
    }
}

/// A fault together with an error of the encoder in whole steps.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Explanation {
    /// What is wrong with the wires.
    pub fault: Fault,
    /// What the encoder adds, in feet.
    pub encoder_ft: i32,
}

impl Explanation {
    /// Every fault with every error of the encoder, the simpler before the others.
    pub fn all() -> Vec<Self> {
        let faults: Vec<Fault> = [Fault::None].into_iter().chain(Fault::singles()).chain(Fault::pairs()).collect();
        let with = |encoder_ft| faults.iter().map(move |fault| Self { fault: *fault, encoder_ft });
        with(0).chain(with(-100)).chain(with(100)).collect()
    }

    /// What would be reported at a true altitude; none for no altitude.
    pub fn reads(self, feet: i32) -> Option<i32> {
        let wires = Wires::from_feet(f64::from(feet) + f64::from(self.encoder_ft)).ok()?;
        self.fault.seen(wires).feet()
    }
}

impl fmt::Display for Explanation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (self.fault, self.encoder_ft) {
            (fault, 0) => write!(f, "{fault}"),
            (Fault::None, feet) => write!(f, "encoder {feet:+} ft"),
            (fault, feet) => write!(f, "{fault}, and encoder {feet:+} ft"),
        }
    }
}

/// One reading: the altitude that was set, and what was reported.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct AltitudeReading {
    /// Line in the file, from 1.
    pub line: usize,
    /// The altitude that was set.
    pub set_ft: i32,
    /// What was reported; none for no altitude.
    pub reported_ft: Option<i32>,
}

impl AltitudeReading {
    /// Reported less set.
    pub fn difference_ft(&self) -> Option<i32> {
        self.reported_ft.map(|reported| reported - self.set_ft)
    }

    /// The 100-ft step nearest to the altitude that was set: what a healthy grey-code source reports.
    pub fn nearest_step_ft(&self) -> Option<i32> {
        Explanation { fault: Fault::None, encoder_ft: 0 }.reads(self.set_ft)
    }

    /// Whether it is exactly the 100-ft step nearest to the altitude that was set.
    pub fn exact(&self) -> bool {
        self.reported_ft.is_some() && self.reported_ft == self.nearest_step_ft()
    }

    /// Whether it is within the tolerance of the correspondence test.
    pub fn within_tolerance(&self) -> bool {
        self.difference_ft().is_some_and(|difference| difference.abs() <= TOLERANCE_FT)
    }
}

/// A line that is not a reading.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{line}: {reason}")]
pub struct BadReading {
    /// Line in the file, from 1.
    pub line: usize,
    /// Why, and what to write.
    pub reason: String,
}

/// More than any run has.
pub(crate) const MOST_READINGS: usize = 10_000;

/// Reads `set, reported` a line, in feet. Reported may be `-` or `none` for no altitude, or a captured frame that carries
/// an altitude. Blank lines and lines that begin with `#` do not count.
///
/// # Errors
/// Every line that is not a reading; or one for the whole text if there is none in it.
pub fn readings(text: &str) -> Result<Vec<AltitudeReading>, Vec<BadReading>> {
    let mut readings = Vec::new();
    let mut bad = Vec::new();
    for (line, content) in written_lines(text) {
        if readings.len() == MOST_READINGS {
            let reason = format!("more than {MOST_READINGS} readings; give those of one run");
            bad.push(BadReading { line, reason });
            break;
        }
        match reading(content) {
            Ok((set_ft, reported_ft)) => readings.push(AltitudeReading { line, set_ft, reported_ft }),
            Err(reason) => bad.push(BadReading { line, reason: message(reason) }),
        }
    }
    if readings.is_empty() && bad.is_empty() {
        let reason = "no reading in it; write SET, REPORTED in feet, a line each, such as 14800, 14800".to_owned();
        bad.push(BadReading { line: 1, reason });
    }
    if bad.is_empty() { Ok(readings) } else { Err(bad) }
}

fn reading(content: &str) -> Result<(i32, Option<i32>), String> {
    let (set, reported) = content
        .split_once(',')
        .ok_or_else(|| format!("{content:?} has no comma; write SET, REPORTED in feet, such as 14800, 14800"))?;
    if let Some(number) = thousands_comma(content) {
        return Err(format!(
            "{number:?} looks like one number with a thousands comma; write {} (SET, REPORTED have a comma and a space \
             between them)",
            number.replace(',', "")
        ));
    }
    let (set, reported) = (set.trim(), reported.trim());
    let set_ft = whole_feet(set).map_err(|why| format!("the altitude that was set: {why}"))?;
    if reported == "-" || reported.eq_ignore_ascii_case("none") {
        return Ok((set_ft, None));
    }
    if matches!(reported.len(), 14 | 28)
        && let Ok(frame) = reported.parse::<Frame>()
    {
        return Ok((set_ft, altitude_of(frame)?));
    }
    Ok((set_ft, Some(whole_feet(reported).map_err(|why| format!("the altitude that was reported: {why}"))?)))
}

/// Reads whole feet as people write them: `14800`, `14 800`, `14 800 ft`. No code says an altitude beyond those of the
/// 100-ft code.
///
/// # Errors
/// What is wrong, and what to write.
pub fn whole_feet(text: &str) -> Result<i32, String> {
    let bare = text.trim();
    let bare = bare.strip_suffix("ft").unwrap_or(bare).trim_end();
    let (sign, digits) = bare.strip_prefix('-').map_or((1, bare), |digits| (-1, digits));
    let mut groups = digits.split(' ');
    let first = groups.next().unwrap_or_default();
    let (mut whole, mut grouped) = (first.to_owned(), false);
    let mut regular = !first.is_empty();
    for group in groups {
        grouped = true;
        regular &= group.len() == 3;
        whole += group;
    }
    regular &= !grouped || first.len() <= 3;
    regular &= whole.bytes().all(|digit| digit.is_ascii_digit()) && (whole == "0" || !whole.starts_with('0'));
    if !regular {
        return Err(format!(
            "{} is not a whole number of feet; write it like 14800 (no thousands comma, no fraction)",
            quoted(text)
        ));
    }
    let feet = whole.parse::<i32>().ok().map(|feet| sign * feet);
    feet.filter(|feet| Wires::from_feet(f64::from(*feet)).is_ok()).ok_or_else(|| {
        format!(
            "{} is outside {GREY_CODE_BOTTOM_FT} to {GREY_CODE_TOP_FT} ft, where the 100-ft code reaches; check its digits",
            quoted(text)
        )
    })
}

/// Reads a list of altitudes with commas between them.
///
/// # Errors
/// What is wrong, and what to write; a number with a thousands comma is never taken for two altitudes.
pub fn altitudes(text: &str) -> Result<Vec<i32>, String> {
    if let Some(number) = thousands_comma(text) {
        return Err(format!(
            "{number:?} looks like one altitude with a thousands comma; write {}, or for two altitudes put a space after \
             the comma",
            number.replace(',', "")
        ));
    }
    text.split(',').map(whole_feet).collect()
}

/// What was most likely written as one number: a comma with three digits close behind it, and before it one or two digits
/// other than 0, or behind it a number that would begin with 0.
pub(crate) fn thousands_comma(text: &str) -> Option<&str> {
    let digits = |text: &str| text.bytes().take_while(u8::is_ascii_digit).count();
    text.match_indices(',').find_map(|(at, _)| {
        let before = text[..at].bytes().rev().take_while(u8::is_ascii_digit).count();
        let (head, tail) = (&text[at - before..at], &text[at + 1..]);
        // Not the beginning of a frame.
        let three = digits(tail) == 3 && !tail[3..].starts_with(|next: char| next.is_alphanumeric());
        let likely = three && !head.is_empty() && ((before < 3 && head != "0") || tail.starts_with('0'));
        likely.then(|| &text[at - before..at + 4])
    })
}

/// The pressure altitude that a frame carries.
fn altitude_of(frame: Frame) -> Result<Option<i32>, String> {
    let instead = "give another frame of the same moment, or the altitude in feet";
    match frame.downlink_format() {
        0 | 4 | 16 | 20 => match Altitude13::from_bits(frame.field(Span::new(20, 32))).without_metric_bit() {
            Some(code) => Ok(code.feet()),
            None => {
                Err(format!("the altitude of {frame} is metric, and no confirmed source gives its unit; {instead}"))
            }
        },
        17 | 18 if frame.overlay() != 0 => Err(format!(
            "the parity of {frame} does not hold, so bits of it are wrong; copy it again from the capture, or {instead}"
        )),
        17 | 18 if matches!(frame.field(Span::new(33, 37)), 9..=18) => {
            Ok(Altitude12::from_bits(frame.field(Span::new(41, 52))).feet())
        }
        _ => Err(format!(
            "{frame} carries no pressure altitude; formats 0, 4, 16, 20 and airborne positions do: {instead}"
        )),
    }
}

/// An explanation with all that no altitude up to the ceiling tells from it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fit {
    /// The simplest of them.
    pub explanation: Explanation,
    /// The others.
    pub alike: Vec<Explanation>,
    /// How many readings are exactly what it would give.
    pub readings: usize,
}

/// What readings need to be explained.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Needs {
    /// Nothing: every reading is exactly right.
    Nothing,
    /// A calibration error or hysteresis.
    Calibration,
    /// No wires: this reading is not a whole hundred of feet, so the source sends no grey code.
    NotGreyCode(AltitudeReading),
    /// A fault of the wires; with two readings that no calibration error gives, if there are such two.
    Wires(Option<Jump>),
}

/// Faults of wires that would give the same readings, but show somewhere up to the ceiling.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Unseen {
    /// How many.
    pub faults: usize,
    /// The altitude where most of them show, and how many do.
    pub next: Option<(i32, usize)>,
}

/// What readings say of the wires.
#[derive(Clone, Debug)]
pub struct Diagnosis {
    /// What the readings need: the wires are to be thought of only if it is a fault of theirs.
    pub needs: Needs,
    /// If no wire is needed: what remains unseen.
    pub unseen: Unseen,
    /// Explanations, the best fit first.
    pub fits: Vec<Fit>,
    /// How many of them fit equally well, and best.
    pub equal: usize,
    /// Where more than one fits best: what tells some of them apart.
    pub next: Option<Next>,
}

/// The next altitude to read, and what it would report.
#[derive(Clone, Debug)]
pub struct Next {
    /// The altitude to set.
    pub set_ft: i32,
    /// The explanations by what each would give there; `None` means no altitude.
    pub would_report: BTreeMap<Option<i32>, Vec<Explanation>>,
}

/// Which faults explain readings, in an aircraft that reaches `ceiling_ft`.
///
/// ```
/// use squitterlab::profile::wiring::{diagnose, readings};
/// let read = readings("1000, 1000\n2900, 2000\n7100, 4900\n14800, 14800").unwrap();
/// assert!(diagnose(&read, 15_000).fits.len() > 1);
/// ```
pub fn diagnose(readings: &[AltitudeReading], ceiling_ft: i32) -> Diagnosis {
    let altitudes = next_altitudes(readings, ceiling_ft);
    let mut fits: Vec<(Fit, Vec<Option<i32>>)> = Vec::new();
    let mut known: BTreeMap<Vec<Option<i32>>, usize> = BTreeMap::new();
    for explanation in Explanation::all() {
        let reads: Vec<Option<i32>> = altitudes.iter().map(|feet| explanation.reads(*feet)).collect();
        if let Some(at) = known.get(&reads) {
            fits[*at].0.alike.push(explanation);
            continue;
        }
        let equal = readings.iter().filter(|reading| explanation.reads(reading.set_ft) == reading.reported_ft).count();
        known.insert(reads.clone(), fits.len());
        fits.push((Fit { explanation, alike: Vec::new(), readings: equal }, reads));
    }
    // Stable: among equals the simpler stays first.
    fits.sort_by_key(|(fit, _)| std::cmp::Reverse(fit.readings));
    let best = fits.first().map_or(0, |(fit, _)| fit.readings);
    let equal = fits.iter().take_while(|(fit, _)| fit.readings == best).count();
    let needs = needs(readings, &fits[..equal].iter().map(|(fit, _)| fit).collect::<Vec<_>>());
    let mut next = None;
    if equal > 1 {
        let mut least = equal;
        for (at, feet) in altitudes.iter().enumerate() {
            let mut groups: BTreeMap<Option<i32>, Vec<Explanation>> = BTreeMap::new();
            for (fit, reads) in &fits[..equal] {
                groups.entry(reads[at]).or_default().push(fit.explanation);
            }
            let largest = groups.values().map(Vec::len).max().unwrap_or(equal);
            if largest < least {
                least = largest;
                next = Some(Next { set_ft: *feet, would_report: groups });
            }
        }
    }
    let unseen = unseen(readings, needs, &altitudes);
    Diagnosis { needs, unseen, fits: fits.into_iter().map(|(fit, _)| fit).collect(), equal, next }
}

/// Whether readings need a fault of the wires, or less. `best` are the explanations that agree with most readings.
fn needs(readings: &[AltitudeReading], best: &[&Fit]) -> Needs {
    if let Some(reading) = finer(readings) {
        return Needs::NotGreyCode(reading);
    }
    if readings.iter().all(AltitudeReading::exact) {
        return Needs::Nothing;
    }
    let jump = jump(readings);
    let gentle = jump.is_none() && readings.iter().all(|reading| reading.reported_ft.is_some());
    if readings.iter().all(AltitudeReading::within_tolerance) {
        return if gentle { Needs::Calibration } else { Needs::Wires(jump) };
    }
    // Beyond the tolerance a fault of the wires that explains everything comes first.
    let whole = best.first().filter(|fit| fit.readings == readings.len());
    let wires = whole.is_some_and(|fit| fit.explanation.fault != Fault::None);
    if gentle && !wires { Needs::Calibration } else { Needs::Wires(jump) }
}

/// The faults that readings which need no wire do not exclude.
fn unseen(readings: &[AltitudeReading], needs: Needs, altitudes: &[i32]) -> Unseen {
    let calibration = match needs {
        Needs::Nothing => false,
        Needs::Calibration => true,
        Needs::NotGreyCode(_) | Needs::Wires(_) => return Unseen::default(),
    };
    let shows = |explanation: &Explanation, feet: i32| {
        let would = AltitudeReading { line: 0, set_ft: feet, reported_ft: explanation.reads(feet) };
        // Where calibration is off already, only what it cannot give tells a wire from it.
        if calibration { !would.within_tolerance() } else { !would.exact() }
    };
    let mut possible: Vec<Explanation> = Explanation::all()
        .into_iter()
        .filter(|one| one.fault != Fault::None && (calibration || one.encoder_ft == 0))
        .filter(|one| readings.iter().all(|reading| one.reads(reading.set_ft) == reading.reported_ft))
        .collect();
    possible.retain(|one| altitudes.iter().any(|feet| shows(one, *feet)));
    let mut next: Option<(i32, usize)> = None;
    for feet in altitudes {
        let count = possible.iter().filter(|one| shows(one, *feet)).count();
        if count > next.map_or(0, |(_, most)| most) {
            next = Some((*feet, count));
        }
    }
    Unseen { faults: possible.len(), next }
}

/// Altitudes that can be read next, those that were read included so that nothing seen is thought alike.
fn next_altitudes(readings: &[AltitudeReading], ceiling_ft: i32) -> Vec<i32> {
    let below = (LOWEST_FT..=ceiling_ft.min(-1)).rev().filter(|feet| feet % 100 == 0);
    let mut altitudes: Vec<i32> = steps(ceiling_ft).chain(below).collect();
    altitudes
        .extend(readings.iter().map(|reading| reading.set_ft).filter(|feet| *feet > ceiling_ft || *feet < LOWEST_FT));
    altitudes
}

fn steps(ceiling_ft: i32) -> impl Iterator<Item = i32> {
    (0..=ceiling_ft.min(GREY_CODE_TOP_FT)).step_by(100)
}

/// How readings are judged: the two are never mixed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Judged {
    /// Any difference, and no altitude, shows a fault.
    Exactly,
    /// More than 125 ft of difference, and no altitude, shows a fault.
    ByTolerance,
}

impl Judged {
    /// Whether a fault shows at an altitude.
    pub fn shows(self, fault: Fault, feet: i32) -> bool {
        match (Explanation { fault, encoder_ft: 0 }).reads(feet) {
            None => true,
            Some(read) => match self {
                Self::Exactly => Some(read) != Explanation { fault: Fault::None, encoder_ft: 0 }.reads(feet),
                Self::ByTolerance => (read - feet).abs() > TOLERANCE_FT,
            },
        }
    }

    /// The lowest altitude from sea level up where a fault shows.
    pub fn first(self, fault: Fault, ceiling_ft: i32) -> Option<i32> {
        steps(ceiling_ft).find(|feet| self.shows(fault, *feet))
    }
}

/// The largest error that a fault makes from sea level to the ceiling, in feet, and how many steps give no altitude.
pub fn effect(fault: Fault, ceiling_ft: i32) -> (i32, usize) {
    let with = Explanation { fault, encoder_ft: 0 };
    steps(ceiling_ft).fold((0, 0), |(most, none), feet| match with.reads(feet) {
        None => (most, none + 1),
        Some(read) => (most.max((read - feet).abs()), none),
    })
}

/// The shortest set of altitudes in which faults show.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ProvingSet {
    /// The altitudes, lowest first.
    pub altitudes_ft: Vec<i32>,
    /// Faults that no altitude up to the ceiling shows.
    pub never: Vec<Fault>,
}

/// The shortest set of altitudes, from sea level to the ceiling, in which every one of these faults shows that can.
pub fn proving_set(faults: impl Iterator<Item = Fault>, judged: Judged, ceiling_ft: i32) -> ProvingSet {
    let faults: Vec<Fault> = faults.take(Mask::FAULTS).collect();
    let mut every = Mask::default();
    let mut candidates: Vec<(i32, Mask)> = Vec::new();
    for feet in steps(ceiling_ft) {
        let mut mask = Mask::default();
        for (at, _) in faults.iter().enumerate().filter(|(_, fault)| judged.shows(**fault, feet)) {
            mask.set(at);
            every.set(at);
        }
        candidates.push((feet, mask));
    }
    let never: Vec<Fault> =
        faults.iter().enumerate().filter(|(at, _)| !every.has(*at)).map(|(_, fault)| *fault).collect();
    // An altitude that shows no more than another one is not needed.
    let needed: Vec<(i32, Mask)> = candidates
        .iter()
        .enumerate()
        .filter(|(at, (_, mask))| {
            !candidates
                .iter()
                .enumerate()
                .any(|(other, (_, more))| mask.without(*more) == Mask::default() && (mask != more || other < *at))
        })
        .map(|(_, candidate)| *candidate)
        .collect();
    let search = Search { candidates: &needed, apart: &told_apart(&faults, &never) };
    let mut chosen = Vec::new();
    // Every fault shows somewhere, so as many altitudes as faults are enough at the latest.
    for most in 0..=faults.len() {
        if search.cover(every, most, &mut chosen) {
            break;
        }
    }
    chosen.sort_unstable();
    ProvingSet { altitudes_ft: chosen, never }
}

/// The wires that have to be seen in both states and told from each other; `None` if not every two have to be.
fn told_apart(faults: &[Fault], never: &[Fault]) -> Vec<Wire> {
    let shown = |fault: Fault| faults.contains(&fault) && !never.contains(&fault);
    let used: Vec<Wire> =
        Wire::ALL.into_iter().filter(|wire| shown(Fault::Open(*wire)) && shown(Fault::Grounded(*wire))).collect();
    let two = |a: Wire, b: Wire| shown(Fault::Swapped(a, b)) || shown(Fault::Shorted(a, b));
    let all = used.iter().enumerate().all(|(at, a)| used[at + 1..].iter().all(|b| two(*a, *b)));
    if all { used } else { Vec::new() }
}

/// A set of faults.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
struct Mask([u64; 3]);

impl Mask {
    /// How many it can hold: 22 of one wire and 110 of two fit.
    const FAULTS: usize = 192;

    fn set(&mut self, fault: usize) {
        if let Some(word) = self.0.get_mut(fault / 64) {
            *word |= 1 << (fault % 64);
        }
    }

    fn has(self, fault: usize) -> bool {
        self.0.get(fault / 64).is_some_and(|word| word >> (fault % 64) & 1 == 1)
    }

    fn without(self, other: Self) -> Self {
        Self([self.0[0] & !other.0[0], self.0[1] & !other.0[1], self.0[2] & !other.0[2]])
    }

    fn count(self) -> u32 {
        self.0.iter().map(|word| word.count_ones()).sum()
    }
}

struct Search<'a> {
    candidates: &'a [(i32, Mask)],
    apart: &'a [Wire],
}

impl Search<'_> {
    /// Shows all of the `open` faults with at most `more` altitudes, beginning with the fault that fewest altitudes show.
    fn cover(&self, open: Mask, more: usize, chosen: &mut Vec<i32>) -> bool {
        if open == Mask::default() {
            return true;
        }
        let shown = |mask: Mask| (open.count() - open.without(mask).count()) as usize;
        let most = self.candidates.iter().map(|(_, mask)| shown(*mask)).max().unwrap_or(0);
        if most * more < open.count() as usize || !self.can_part(more, chosen) {
            return false;
        }
        let shown_by = |fault: usize| self.candidates.iter().filter(move |(_, mask)| mask.has(fault));
        let hardest = (0..Mask::FAULTS).filter(|fault| open.has(*fault)).min_by_key(|fault| shown_by(*fault).count());
        for (feet, mask) in hardest.into_iter().flat_map(shown_by) {
            chosen.push(*feet);
            if self.cover(open.without(*mask), more - 1, chosen) {
                return true;
            }
            chosen.pop();
        }
        false
    }

    /// Whether `more` altitudes can still part the wires: each doubles the histories that a wire can have, and none may
    /// be always active, or never.
    fn can_part(&self, more: usize, chosen: &[i32]) -> bool {
        let mut histories: BTreeMap<Vec<bool>, usize> = BTreeMap::new();
        let codes: Vec<Wires> = chosen.iter().filter_map(|feet| Wires::from_feet(f64::from(*feet)).ok()).collect();
        for wire in self.apart {
            *histories.entry(codes.iter().map(|code| code.has(*wire)).collect()).or_default() += 1;
        }
        let room = 1usize << more.min(Wire::ALL.len());
        histories.iter().all(|(history, wires)| {
            let same = usize::from(!history.contains(&true)) + usize::from(!history.contains(&false));
            *wires + same <= room
        })
    }
}

/// What a list of altitudes would not show.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Missed {
    /// The fault.
    pub fault: Fault,
    /// The lowest altitude from sea level up to the top of the code that would show it.
    pub first_ft: Option<i32>,
}

/// Which of these faults a list of altitudes does not show, with the altitude that would.
pub fn missed(faults: impl Iterator<Item = Fault>, judged: Judged, altitudes_ft: &[i32]) -> Vec<Missed> {
    faults
        .filter(|fault| !altitudes_ft.iter().any(|feet| judged.shows(*fault, *feet)))
        .map(|fault| Missed { fault, first_ft: judged.first(fault, GREY_CODE_TOP_FT) })
        .collect()
}
