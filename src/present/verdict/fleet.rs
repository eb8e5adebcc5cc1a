//! The comparison of a fleet as text: one row per aircraft with its faults, then what is out of place in the fleet as a whole.

use super::near;
use crate::compare::{Install, NearAddress, Report, SettingStatus, Summary, Verdict};
use crate::frame::Address;
use crate::present::text::{cautions, folded};
use crate::profile::Severity;
use std::collections::BTreeMap;
use std::fmt::Write;

/// What is shown of one aircraft of a fleet.
#[derive(Clone, Debug)]
pub struct Row {
    /// The registration mark, or nothing if it is not stated.
    pub aircraft: String,
    /// The profile's name.
    pub profile: String,
    /// The address of the profile.
    pub address: Address,
    /// The address under which it was heard, if it was.
    pub heard_as: Option<Address>,
    /// Where it was not heard: why.
    pub not_heard: Option<&'static str>,
    /// Its frames.
    pub frames: u64,
    /// The verdict.
    pub verdict: Verdict,
    /// The numbers of its first line.
    pub summary: Summary,
    /// Its faults, the most serious first.
    pub faults: Vec<Fault>,
    /// What is wrong or doubtful in the profile itself, a line each.
    pub doubts: Vec<String>,
    /// What would complete it: settings not filled in or not seen, and checks not made.
    pub open: String,
    /// Where it was not heard: addresses that its own may have become.
    pub near: Vec<NearAddress>,
}

/// A fault in two lines: what was expected and seen, then why and what to do.
#[derive(Clone, Debug)]
pub struct Fault {
    /// The fixed identifiers of its causes.
    pub causes: Vec<&'static str>,
    /// How serious it is.
    pub severity: Severity,
    /// The setting.
    pub setting: String,
    /// What was expected, and what was seen.
    pub what: String,
    /// The likely cause.
    pub likely: String,
    /// What to do.
    pub correction: String,
}

impl Row {
    /// The row of one report.
    pub fn new(install: &Install, report: &Report) -> Self {
        let findings = report.findings.iter().filter(|finding| finding.severity != Severity::Note);
        let faults = findings.map(|finding| Fault {
            causes: std::iter::once(finding.cause).chain(finding.and_cause).collect(),
            severity: finding.severity,
            setting: finding.setting.map_or_else(String::new, |setting| setting.pointer().to_owned()),
            what: finding.what.clone(),
            likely: finding.likely_cause.clone(),
            correction: finding.correction.clone(),
        });
        let open =
            report.settings.iter().filter(|setting| setting.counts()).filter_map(|setting| match setting.status {
                SettingStatus::NotFilledIn => Some(format!("{} not filled in", setting.setting)),
                SettingStatus::NotSeen => Some(format!("{} not seen", setting.setting)),
                _ => None,
            });
        let unmade = report.not_judged.iter().filter(|check| check.needed).map(|check| check.words.clone());
        Self {
            aircraft: install.profile.registration.get().map_or_else(String::new, |mark| mark.0.clone()),
            profile: report.profile.clone(),
            address: report.address,
            heard_as: report.heard_as,
            not_heard: report.not_heard,
            frames: report.capture.of_this_aircraft,
            verdict: report.verdict,
            summary: report.summary,
            faults: faults.collect(),
            doubts: report
                .profile_doubts
                .iter()
                .map(|doubt| {
                    format!("{} ({}): {}; {}", doubt.setting, doubt.severity.word(), doubt.reason, doubt.correction)
                })
                .collect(),
            open: shortened(open.chain(unmade)),
            near: report.near.clone(),
        }
    }

    /// What it is called.
    pub fn name(&self) -> &str {
        if self.aircraft.is_empty() { &self.profile } else { &self.aircraft }
    }
}

/// Longer names begin a line of their own.
const WIDEST_NAME: usize = 16;

/// Which rows of a fleet are shown, and how.
#[derive(Clone, Copy, Debug, Default)]
pub struct Shown {
    /// Only the rows with this verdict.
    pub only: Option<Verdict>,
    /// Name the aircraft that were not heard, and do not only count them.
    pub unheard: bool,
}

/// For an aircraft that is incomplete, this many open points are named.
const MOST_OPEN: usize = 3;

/// The first points of a list, and how many more there are.
fn shortened(mut all: impl Iterator<Item = String>) -> String {
    let first = all.by_ref().take(MOST_OPEN).collect::<Vec<_>>().join("; ");
    match all.count() {
        0 => first,
        more => format!("{first}; and {more} more"),
    }
}

/// The table of a fleet: those that differ first, the most serious first. `account` says what became of the lines of the
/// captures.
pub fn table(rows: &[Row], account: &str, shown: Shown) -> String {
    let mut out = format!("{}\n{}\n\n", first_line(rows), counts(rows));
    let mut told = most_serious_first(rows);
    told.retain(|row| row.heard_as.is_some() && shown.only.is_none_or(|only| row.verdict == only));
    let width = told.iter().map(|row| row.name().chars().count()).filter(|width| *width <= WIDEST_NAME).max();
    let width = width.unwrap_or(0).max("aircraft".len());
    if !told.is_empty() {
        let _ = writeln!(out, "{:width$}  address  heard as   frames  verdict      proved", "aircraft");
    }
    for row in &told {
        out += &line(row, width);
    }
    out += &out_of_place(rows, shown);
    out.push('\n');
    out += &folded("capture: ", 9, account);
    out += "--details prints every comparison in full, --format json one object per aircraft\n";
    out += &cautions();
    out
}

/// The first line of every output of a fleet.
pub fn first_line(rows: &[Row]) -> String {
    let summary = rows.iter().fold(Summary::default(), |sum, row| sum.and(row.summary));
    format!("{}; verdict: {}", summary.words(), worst(rows).key())
}

/// How many aircraft came to what.
pub fn counts(rows: &[Row]) -> String {
    let heard = || rows.iter().filter(|row| row.heard_as.is_some());
    let count = |verdict: Verdict| heard().filter(|row| row.verdict == verdict).count();
    format!(
        "{} profiles: {} agree, {} differ, {} incomplete, {} not heard",
        rows.len(),
        count(Verdict::Agrees),
        count(Verdict::Differs),
        count(Verdict::Incomplete),
        rows.len() - heard().count()
    )
}

/// The rows to act on first, first; among equals the order of the profiles stays.
pub fn most_serious_first(rows: &[Row]) -> Vec<&Row> {
    let mut told: Vec<&Row> = rows.iter().collect();
    told.sort_by_key(|row| {
        let place = [Verdict::Differs, Verdict::Incomplete, Verdict::Agrees].iter().position(|v| *v == row.verdict);
        (row.heard_as.is_none(), place, std::cmp::Reverse(row.summary.faults), std::cmp::Reverse(row.summary.warnings))
    });
    told
}

/// The worst aircraft decides; one that was not heard is incomplete.
pub fn worst(rows: &[Row]) -> Verdict {
    let any = |verdict: Verdict| rows.iter().any(|row| row.verdict == verdict);
    if any(Verdict::Differs) {
        Verdict::Differs
    } else if any(Verdict::Incomplete) || rows.iter().any(|row| row.heard_as.is_none()) {
        Verdict::Incomplete
    } else {
        Verdict::Agrees
    }
}

fn line(row: &Row, width: usize) -> String {
    let (above, name) = match row.name() {
        long if long.chars().count() > width => (format!("{long}\n"), ""),
        name => (String::new(), name),
    };
    let heard_as = row.heard_as.map_or_else(|| "-".to_owned(), |address| address.to_string());
    let proved = format!("{} of {}", row.summary.proved, row.summary.of);
    let mut out = format!(
        "{above}{name:width$}  {}   {heard_as:8} {:>8}  {:10}  {proved:>8}\n",
        row.address,
        row.frames,
        row.verdict.key()
    );
    for fault in &row.faults {
        let lead = format!("  {:<8}", fault.severity.word());
        out += &folded(&lead, 10, &format!("{} ({}): {}", fault.setting, fault.causes.join(", "), fault.what));
        out += &folded("          ", 10, &format!("{}; {}", fault.likely, fault.correction));
    }
    for doubt in &row.doubts {
        out += &folded("  profile ", 10, doubt);
    }
    if row.verdict == Verdict::Incomplete {
        out += &folded("  open    ", 10, &row.open);
    }
    out
}

/// What the fleet shows beyond its aircraft: who is under a wrong address, who was not heard, who shares an address.
fn out_of_place(rows: &[Row], shown: Shown) -> String {
    let mut out = String::new();
    let mut section = |title: &str, lines: Vec<String>| {
        if !lines.is_empty() {
            let _ = write!(out, "\n{title}\n{}", lines.concat());
        }
    };
    let elsewhere = rows.iter().filter_map(|row| Some((row, row.heard_as.filter(|address| *address != row.address)?)));
    section(
        "heard under a wrong address; otherwise like the profile, or with its identification",
        elsewhere
            .map(|(row, address)| {
                let of = rows.iter().find(|other| other.address == address);
                let of = of.map_or_else(String::new, |other| format!(", the address of {}", other.name()));
                folded(&format!("  {}: ", row.name()), 6, &format!("{address} instead of {}{of}", row.address))
            })
            .collect(),
    );
    let unheard: Vec<&Row> = rows.iter().filter(|row| row.heard_as.is_none()).collect();
    let names: Vec<&str> = unheard.iter().map(|row| row.name()).collect();
    let told = match (names.len(), shown.unheard) {
        (0, _) => Vec::new(),
        (_, true) => vec![folded("  ", 2, &names.join(", "))],
        (count, false) => vec![format!("  {count} of {}; --list-unheard names them\n", rows.len())],
    };
    section("not heard", told);
    let close = unheard.iter().filter(|row| !row.near.is_empty());
    section(
        "not heard, but an address near its own was, which belongs to no profile",
        close.map(|row| folded(&format!("  {} ({}): ", row.name(), row.address), 6, &near(&row.near))).collect(),
    );
    let mut sharing: BTreeMap<Address, Vec<&str>> = BTreeMap::new();
    for row in rows {
        sharing.entry(row.address).or_default().push(&row.profile);
    }
    sharing.retain(|_, profiles| profiles.len() > 1);
    section(
        "the same address in several profiles: an address belongs to one aircraft",
        sharing.iter().map(|(address, profiles)| folded(&format!("  {address}: "), 6, &profiles.join(", "))).collect(),
    );
    out
}
