//! The comparison of a fleet as text: one row per aircraft, then what is out of place in the fleet as a whole.

use super::near;
use crate::compare::{Install, NearAddress, Report, Verdict};
use crate::frame::Address;
use crate::present::text::{cautions, folded};
use crate::profile::Severity;
use std::collections::BTreeMap;
use std::fmt::Write;

/// What is told of one aircraft of a fleet.
#[derive(Clone, Debug)]
pub struct Row {
    /// The registration mark, or nothing where it is not stated.
    pub aircraft: String,
    /// The profile's name.
    pub profile: String,
    /// The address of the profile.
    pub address: Address,
    /// The address under which it was heard, if it was.
    pub heard_as: Option<Address>,
    /// Its frames.
    pub frames: u64,
    /// The verdict.
    pub verdict: Verdict,
    /// How many settings were proved, and how many can be.
    pub proved: (usize, usize),
    /// The causes of its faults, the most serious first.
    pub faults: Vec<&'static str>,
    /// Where it was not heard: addresses that its own may have become.
    pub near: Vec<NearAddress>,
}

impl Row {
    /// The row of one report.
    pub fn new(install: &Install, report: &Report) -> Self {
        let findings = report.findings.iter().filter(|finding| finding.severity != Severity::Note);
        let mut faults = Vec::new();
        for cause in findings.flat_map(|finding| std::iter::once(finding.cause).chain(finding.and_cause)) {
            if !faults.contains(&cause) {
                faults.push(cause);
            }
        }
        Self {
            aircraft: install.profile.registration.get().map_or_else(String::new, |mark| mark.0.clone()),
            profile: report.profile.clone(),
            address: report.address,
            heard_as: report.heard_as,
            frames: report.of_this_aircraft,
            verdict: report.verdict,
            proved: report.proved(),
            faults,
            near: report.near.clone(),
        }
    }

    /// What it is called.
    fn name(&self) -> &str {
        if self.aircraft.is_empty() { &self.profile } else { &self.aircraft }
    }
}

/// Longer names begin a line of their own.
const WIDEST_NAME: usize = 16;

/// The table of a fleet. `account` says what became of the lines of the captures.
pub fn table(rows: &[Row], account: &str) -> String {
    let heard: Vec<&Row> = rows.iter().filter(|row| row.heard_as.is_some()).collect();
    let count = |verdict: Verdict| heard.iter().filter(|row| row.verdict == verdict).count();
    let (agree, differ, incomplete) = (count(Verdict::Agrees), count(Verdict::Differs), count(Verdict::Incomplete));
    let (proved, provable) = rows.iter().fold((0, 0), |(a, b), row| (a + row.proved.0, b + row.proved.1));
    let whole = match (differ, agree == rows.len()) {
        (0, true) => Verdict::Agrees,
        (0, false) => Verdict::Incomplete,
        _ => Verdict::Differs,
    };
    let mut out = format!("{proved} of {provable} settings proved; verdict: {}\n", whole.key());
    let _ = writeln!(
        out,
        "{} profiles: {agree} agree, {differ} differ, {incomplete} incomplete, {} not heard\n",
        rows.len(),
        rows.len() - heard.len()
    );
    let width = rows.iter().map(|row| row.name().chars().count()).filter(|width| *width <= WIDEST_NAME).max();
    let width = width.unwrap_or(0).max("aircraft".len());
    let _ = writeln!(
        out,
        "{:width$}  address  heard as   frames  verdict      proved  faults, the most serious first",
        "aircraft"
    );
    for row in rows {
        out += &line(row, width);
    }
    out += &out_of_place(rows);
    out.push('\n');
    out += &folded("capture: ", 9, account);
    out += "--details prints every comparison in full, --format json one object per aircraft\n";
    out += &cautions();
    out
}

fn line(row: &Row, width: usize) -> String {
    let (above, name) = match row.name() {
        long if long.chars().count() > width => (format!("{long}\n"), ""),
        name => (String::new(), name),
    };
    let (heard_as, verdict) = match row.heard_as {
        None => ("-".to_owned(), "not heard"),
        Some(address) => (address.to_string(), row.verdict.key()),
    };
    let proved = format!("{} of {}", row.proved.0, row.proved.1);
    let lead = format!("{name:width$}  {}   {heard_as:8} {:>8}  {verdict:10}  {proved:>8}  ", row.address, row.frames);
    above + &folded(&lead, lead.chars().count(), &row.faults.join(", "))
}

/// What the fleet shows beyond its aircraft: who is under a wrong address, who was not heard, who shares an address.
fn out_of_place(rows: &[Row]) -> String {
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
    section("not heard", if names.is_empty() { Vec::new() } else { vec![folded("  ", 2, &names.join(", "))] });
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
