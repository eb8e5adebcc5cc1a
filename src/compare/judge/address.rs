//! Judges addresses: under which address the aircraft was received, whose a wrong address is, which addresses are near,
//! and who else sends the same identification.

use super::{Case, Finding, Judge, NearAddress};
use crate::code::Bits;
use crate::compare::install::Install;
use crate::compare::observe::Tally;
use crate::frame::Address;
use crate::profile::Severity;
use crate::profile::mistake::{
    ADDRESS_OF_ANOTHER_MARK, SECOND_TRANSPONDER, STALE_IDENTIFICATION, UNEXPLAINED, UNIT_MOVED,
};
use crate::registry::address_mistake::ADDRESS_MISTAKES;
use crate::registry::mark_of_address;
use std::collections::{BTreeMap, HashSet};

/// At most this many near addresses are named for one profile.
const MOST_NEAR: usize = 4;

/// The right address where it was heard in the clear, else the address that most likely is this aircraft's; with its frames.
pub fn heard_as<'a>(case: &Case<'a>) -> Option<(Address, &'a Tally)> {
    let own = case.install.address;
    if let Some(tally) = case.heard.get(&own).filter(|tally| tally.in_clear > 0) {
        return Some((own, tally));
    }
    let known: BTreeMap<Address, usize> =
        case.install.mistaken_addresses().map(|(at, address)| (address, at)).collect();
    let others = case.heard.iter().filter(|(address, tally)| **address != own && tally.in_clear > 0);
    others
        .max_by_key(|(address, tally)| (known.contains_key(address), tally.in_clear))
        .map(|(address, tally)| (*address, tally))
}

/// Why nothing could be tied to an install.
pub fn why_not_heard(case: &Case<'_>) -> &'static str {
    let accounting = case.accounting;
    if accounting.frames == 0 && !case.not_read_whole.is_empty() {
        "the capture could not be read"
    } else if accounting.lines() == 0 {
        "the capture is empty"
    } else if accounting.frames == 0 {
        "the capture has no frame"
    } else {
        "no valid frame in the capture carries the address or the identification of a profile that was given"
    }
}

/// What an install is called, and where its profile is.
fn named(install: &Install) -> String {
    let mark = install.profile.registration.get().map(|mark| mark.0.clone());
    format!("{}, whose profile is {}", mark.as_deref().unwrap_or("another aircraft"), install.name)
}

/// An identification that is another profile's is not a typing error, however little the two differ.
pub fn name_owner_of_text(case: &Case<'_>, tally: &Tally, findings: &mut [Finding]) {
    let stated = case.install.profile.aircraft_identification.get().map(|text| text.bits());
    let seen = tally.identifications.keys().filter(|text| Some(**text) != stated);
    let Some(owner) = seen.copied().find_map(|text| case.owner_of_text(text)) else { return };
    let about = |finding: &&mut Finding| {
        finding.severity == Severity::Error
            && finding.setting.is_some_and(|setting| STALE_IDENTIFICATION.settings.contains(&setting))
            && finding.cause != UNIT_MOVED.cause
    };
    for finding in findings.iter_mut().filter(about) {
        finding.cause = STALE_IDENTIFICATION.cause;
        finding.and_cause = None;
        finding.likely_cause = format!("{} (it is the identification of {})", STALE_IDENTIFICATION.what, named(owner));
        STALE_IDENTIFICATION.correction.clone_into(&mut finding.correction);
    }
}

/// Says whose a wrong address is, where no entry error explains it: another profile's, or another mark's.
pub fn name_owner(case: &Case<'_>, seen: Address, findings: &mut [Finding]) {
    if seen == case.install.address {
        return;
    }
    let owner = case.owner(seen).map(|install| format!("it is the address of {}", named(install)));
    let mark = || mark_of_address(seen).map(|mark| format!("by arithmetic it is the address of {mark}"));
    let Some(detail) = owner.or_else(mark) else { return };
    let address = ADDRESS_OF_ANOTHER_MARK.settings;
    let about = |finding: &&mut Finding| finding.setting.is_some_and(|setting| address.contains(&setting));
    for finding in findings.iter_mut().filter(about) {
        if finding.cause == UNEXPLAINED.cause {
            finding.cause = ADDRESS_OF_ANOTHER_MARK.cause;
            finding.likely_cause = format!("{} ({detail})", ADDRESS_OF_ANOTHER_MARK.what);
            ADDRESS_OF_ANOTHER_MARK.correction.clone_into(&mut finding.correction);
        } else if finding.severity == Severity::Error {
            finding.likely_cause = format!("{}; {detail}", finding.likely_cause);
        }
    }
}

/// The same identification under another address, while the right address is heard too.
pub fn others(case: &Case<'_>, judge: &Judge<'_>, heard_as: Option<Address>) -> Vec<Finding> {
    let others = case.heard.iter().filter(|(address, tally)| Some(**address) != heard_as && tally.in_clear > 0);
    others
        .map(|(address, tally)| {
            let what = format!(
                "address {address} sends the same identification, or what an entry error makes of it ({} frames)",
                tally.in_clear
            );
            let evidence = tally.identifications.values().next().copied();
            judge.finding(Severity::Warning, &SECOND_TRANSPONDER, what, evidence)
        })
        .collect()
}

/// The addresses heard in the clear that a slip makes of the install's own, then those with two digits off; none that belongs
/// to another profile.
pub fn near(case: &Case<'_>) -> Vec<NearAddress> {
    let own = case.install.address;
    let slips = ADDRESS_MISTAKES.iter().flat_map(|slip| {
        slip.of(own).into_iter().map(|(address, detail)| (address, format!("{}: {detail}", slip.name)))
    });
    let mut named = HashSet::from([own]);
    slips
        .chain(two_digits_off(own).map(|address| (address, "two digits differ".to_owned())))
        .filter(|(address, _)| {
            case.in_clear.contains(*address) && case.owner(*address).is_none() && named.insert(*address)
        })
        .map(|(address, how)| NearAddress { address, how })
        .take(MOST_NEAR)
        .collect()
}

fn two_digits_off(own: Address) -> impl Iterator<Item = Address> {
    let pairs = (0..6).flat_map(|a| (a + 1..6).map(move |b| (a, b)));
    pairs.flat_map(move |(a, b)| {
        let changes = (1..16).flat_map(|x| (1..16).map(move |y| (x, y)));
        changes.map(move |(x, y)| Address::new(own.bits() ^ x << (4 * a) ^ y << (4 * b)))
    })
}
