//! Checks of address, registration and identification.

use super::record::has_passing_address;
use super::{Check, Found, error, warning};
use crate::code::Identification;
use crate::profile::mistake::MISTAKES;
use crate::profile::{IdentificationSource, Profile, RuleSet, SettingId, Stated, WrittenForm};
use crate::registry::{address_of_mark, block_of_address, look_up, mark_of_address, nationality_of_mark, slip};

const ADDRESS: SettingId = SettingId::Address;
const IDENTIFICATION: SettingId = SettingId::AircraftIdentification;

pub(super) const CHECKS: &[Check] = &[
    Check {
        name: "address_in_use",
        about: "the address is neither all zeros nor all ones",
        source: "ICAO Annex 10 Volume III, Part I, chapter 9 (zeros: page seen; ones: from memory)",
        run: |profile, _, found| {
            if let Some(address) = profile.address.get()
                && matches!(address.bits(), 0 | 0xFF_FFFF)
            {
                found.push(error(
                    ADDRESS,
                    format!("{address} is no aircraft's address; a blank or returned unit shows it"),
                    match expected_address(profile) {
                        Some(expected) => format!("enter {expected}, if the State of registry's register says so too"),
                        None => "enter the address that the State of registry assigned".to_owned(),
                    },
                ));
            }
        },
    },
    Check {
        name: "address_of_registration",
        about: "a United States mark and the address belong together; where not, the slip that explains it is named",
        source: "FAA marks and addresses; arithmetic, the register decides",
        run: address_of_registration,
    },
    Check {
        name: "address_of_state",
        about: "the address lies in the block of the State whose nationality mark the registration has",
        source: "ICAO Annex 10 Volume III, Table 9-1, and Annex 7 nationality marks (most rows of both from memory)",
        run: |profile, _, found| {
            let Some(address) = profile.address.get().filter(|address| !matches!(address.bits(), 0 | 0xFF_FFFF)) else {
                return;
            };
            let state = profile.registration.get().and_then(|mark| nationality_of_mark(&mark.0));
            // The arithmetic of United States marks says more.
            if expected_address(profile).is_some() {
                return;
            }
            match (block_of_address(*address), state) {
                (Some(block), Some((row, mark))) if block.holder != row.state => found.push(warning(
                    ADDRESS,
                    format!(
                        "{mark} is the nationality mark of {} ({}), but {address} lies in the block of {} ({})",
                        row.state,
                        row.confirmed,
                        block.holder,
                        block.evidence(),
                    ),
                    format!("look the address up in the register of {}; it decides{}", row.state, meant(*address)),
                )),
                (None, _) => found.push(warning(
                    ADDRESS,
                    format!("no State's block of the table holds {address}"),
                    format!("look the address up in the register; it decides{}", meant(*address)),
                )),
                _ => {}
            }
        },
    },
    Check {
        name: "identification_of_registration",
        about: "a fixed identification is the registration, in the form that the State of registry wants",
        source: "ICAO flight plan item 7, or the form of the rule set (--rules)",
        run: identification_of_registration,
    },
    Check {
        name: "call_sign_form",
        about: "a call sign has the operator's three letters, and a number without zeros in front",
        source: "FAA list of typical faults: missing three-letter prefix; ICAO flight plan item 7 (leading zeros: common practice, no source)",
        run: call_sign_form,
    },
];

/// The address that belongs to the registration by arithmetic.
pub(super) fn expected_address(profile: &Profile) -> Option<crate::frame::Address> {
    address_of_mark(&profile.registration.get()?.0).ok()
}

/// What may have been meant by an address, in words that follow an advice.
fn meant(address: crate::frame::Address) -> String {
    look_up(address).meant.first().map_or_else(String::new, |meant| {
        let owner = mark_of_address(meant.address).map_or_else(String::new, |mark| format!(" ({mark})"));
        format!("; was {}{owner} meant: {}?", meant.address, meant.detail)
    })
}

fn address_of_registration(profile: &Profile, _: &RuleSet, found: &mut Vec<Found>) {
    let (Some(mark), Some(address)) = (profile.registration.get(), profile.address.get()) else { return };
    if matches!(address.bits(), 0 | 0xFF_FFFF) || has_passing_address(profile) {
        return;
    }
    match address_of_mark(&mark.0) {
        Ok(expected) if expected != *address => {
            let owner =
                mark_of_address(*address).map_or_else(String::new, |other| format!("; {address} would be {other}"));
            let slip = slip::between(expected, *address).into_iter().next();
            let why = slip.map_or_else(String::new, |(slip, detail)| format!("; likely {}: {detail}", slip.what));
            found.push(warning(
                ADDRESS,
                format!("the arithmetic gives {expected} for {}{owner}{why}", mark.0),
                format!("enter {expected}, if the register says so too; it decides"),
            ));
        }
        Err(why)
            if address.bits() >> 20 == 0xA
                && nationality_of_mark(&mark.0).is_none_or(|(row, _)| row.state == "United States") =>
        {
            let other =
                mark_of_address(*address).map_or_else(String::new, |mark| format!("; the address is that of {mark}"));
            found.push(warning(
                SettingId::Registration,
                format!("the address is of the United States' block, but {why}{other}"),
                "compare mark and address with the register".to_owned(),
            ));
        }
        _ => {}
    }
}

fn identification_of_registration(profile: &Profile, rules: &RuleSet, found: &mut Vec<Found>) {
    let (Some(mark), Some(stated), Some(IdentificationSource::Fixed)) =
        (profile.registration.get(), profile.aircraft_identification.get(), profile.identification_source.get())
    else {
        return;
    };
    let rules = rules.for_forms_of(profile);
    let Some(expected) = rules.identification_of(mark).filter(|expected| expected != stated) else { return };
    let form = rules.identification.as_ref().map_or(WrittenForm::WithPrefix, |rule| rule.form);
    let clause = rules
        .identification
        .as_ref()
        .map_or_else(String::new, |rule| format!(" ({}; {})", rule.clause, rule.confirmed));
    let other_form =
        [WrittenForm::WithPrefix, WrittenForm::WithoutPrefix].into_iter().find(|other| other.of(mark) == Some(*stated));
    if other_form.is_none() && is_call_sign(&stated.to_string()) {
        found.push(warning(
            SettingId::IdentificationSource,
            format!("{stated} looks like a call sign, but is fixed: the crew cannot set that of the next flight"),
            format!("write \"crew_entered\", or enter {expected} where the aircraft flies under its registration"),
        ));
        return;
    }
    let why = likely(profile, expected, *stated).unwrap_or_else(|| match other_form {
        Some(_) => "the nationality mark is handled in another way than this State wants".to_owned(),
        None => "it is not the registration".to_owned(),
    });
    found.push(warning(
        IDENTIFICATION,
        format!("{stated} is fixed, and differs from the registration {}: {why}", mark.0),
        format!("enter {expected}: {}{clause}; unless the aircraft flies under a call sign", form.words()),
    ));
}

/// The mistake that makes the stated identification of the right one.
fn likely(profile: &Profile, right: Identification, stated: Identification) -> Option<String> {
    let right = Profile { aircraft_identification: Stated::Is(right), ..profile.clone() };
    MISTAKES.iter().filter(|mistake| mistake.settings.contains(&IDENTIFICATION)).find_map(|mistake| {
        let (_, detail) = (mistake.candidates)(&right)
            .into_iter()
            .find(|(wrong, _)| wrong.aircraft_identification == Stated::Is(stated))?;
        Some(format!("{} ({detail})", mistake.what))
    })
}

/// Three letters, then a digit.
fn is_call_sign(text: &str) -> bool {
    let letters = text.bytes().take_while(u8::is_ascii_uppercase).count();
    letters == 3 && text.as_bytes().get(3).is_some_and(u8::is_ascii_digit)
}

fn call_sign_form(profile: &Profile, rules: &RuleSet, found: &mut Vec<Found>) {
    let (Some(stated), Some(IdentificationSource::CrewEntered)) =
        (profile.aircraft_identification.get(), profile.identification_source.get())
    else {
        return;
    };
    let rules = rules.for_forms_of(profile);
    if profile.registration.get().and_then(|mark| rules.identification_of(mark)) == Some(*stated) {
        return;
    }
    let text = stated.to_string();
    let letters = text.bytes().take_while(u8::is_ascii_uppercase).count();
    let digits = text[letters..].bytes().take_while(u8::is_ascii_digit).count();
    let reason = match letters {
        0 => format!("{text} has no operator's letters in front"),
        2 if digits > 0 && letters + digits >= text.len() - 1 => {
            format!("{text} looks like the two-letter designator of tickets and timetables")
        }
        3 if text[3..].starts_with('0') => format!("{text} has a zero in front of its number"),
        _ => return,
    };
    let correction = match letters {
        3 => format!("enter {}{}, if the flight plan says so", &text[..3], text[3..].trim_start_matches('0')),
        _ => "enter the operator's three letters and the number, letter for letter as in the flight plan".to_owned(),
    };
    found.push(warning(IDENTIFICATION, reason, correction));
}
