//! Checks of address, registration and identification.

use super::record::has_passing_address;
use super::{Check, Found, error, note, warning};
use crate::code::Identification;
use crate::frame::Address;
use crate::profile::mistake::{MISTAKES, PREFIX_LEFT_OFF, is_sample};
use crate::profile::{
    Form, Forms, IdentificationSource, Profile, RuleSet, SettingId, Stated, WrittenForm, state_of_registry,
};
use crate::registry::{
    Nationality, PRIVACY, TABLE, address_mistake, address_of_mark, block_next_to, block_of_address, mark_of_address,
    nationality_of_mark,
};

const ADDRESS: SettingId = SettingId::Address;
const REGISTRATION: SettingId = SettingId::Registration;
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
                    format!("{address} cannot be an aircraft's address; a blank or returned unit shows it"),
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
        name: "registration_has_mark",
        about: "the registration begins with a nationality mark",
        source: "FAA, forming an N-number; ICAO Annex 7 nationality marks (most from memory)",
        run: registration_has_mark,
    },
    Check {
        name: "address_of_state",
        about: "the address lies in the block of the State whose nationality mark the registration has",
        source: "ICAO Annex 10 Volume III, Table 9-1, and Annex 7 nationality marks (most rows of both from memory)",
        run: address_of_state,
    },
    Check {
        name: "identification_of_registration",
        about: "a fixed identification is the registration, in the form that the State of registry requires",
        source: "the rule set of the State of registry, or that of --rules; where no rule is held, both forms are named",
        run: identification_of_registration,
    },
    Check {
        name: "call_sign_form",
        about: "an identification that the crew enters is the registration, or has the operator's three letters and a number without zeros in front",
        source: "FAA list of typical faults: missing three-letter prefix; ICAO flight plan item 7 (leading zeros: common practice, no source)",
        run: call_sign_form,
    },
];

/// The address that belongs to the registration by arithmetic.
pub(in crate::profile) fn expected_address(profile: &Profile) -> Option<Address> {
    address_of_mark(&profile.registration.get()?.0).ok()
}

/// The address, unless it is blank.
fn address_in_use(profile: &Profile) -> Option<Address> {
    profile.address.get().copied().filter(|address| !matches!(address.bits(), 0 | 0xFF_FFFF))
}

/// The only address of a State that one slip turns into this one, in words that follow an advice. Where a slip could
/// have begun at many addresses of the State, it is named without any.
fn slipped(state: &Nationality, address: Address) -> String {
    let of_state = |slip: &'static address_mistake::AddressMistake| {
        let back = slip.back(address).into_iter();
        (slip, back.filter(|(to, _)| block_of_address(*to).is_some_and(|block| block.holder == state.state)).collect())
    };
    let (slip, from): (_, Vec<(Address, String)>) = match address_mistake::ADDRESS_MISTAKES
        .iter()
        .copied()
        .map(of_state)
        .find(|(_, from): &(_, Vec<_>)| !from.is_empty())
    {
        Some(found) => found,
        None => return String::new(),
    };
    match &from[..] {
        [(to, detail)] => format!("; was {to} meant, which is of {}: {detail}?", state.state),
        many => format!("; {} addresses of {} lead to it if {}", many.len(), state.state, slip.what),
    }
}

fn address_of_state(profile: &Profile, _: &RuleSet, found: &mut Vec<Found>) {
    // The arithmetic of United States marks says more.
    let (Some(address), None) = (address_in_use(profile), expected_address(profile)) else { return };
    let state = profile.registration.get().and_then(|mark| nationality_of_mark(&mark.0));
    let missing = format!("no block of the table held here has {address} ({TABLE})");
    match (block_of_address(address), state) {
        (Some(block), Some((row, mark))) if block.holder != row.state => found.push(warning(
            ADDRESS,
            format!(
                "{mark} is the nationality mark of {} ({}), but {address} is in the block of {} ({})",
                row.state,
                row.confirmed,
                block.holder,
                block.evidence(),
            ),
            format!("look the address up in the register of {}; it decides{}", row.state, slipped(row, address)),
        )),
        (None, Some((row, _))) if block_next_to(address).is_some_and(|block| block.holder == row.state) => {
            found.push(note(
                ADDRESS,
                format!("{missing}; it is next to that of {}, which may have grown", row.state),
                format!("look the address up in the register of {}; it decides", row.state),
            ));
        }
        (None, Some((row, _))) => found.push(warning(
            ADDRESS,
            missing,
            format!("look the address up in the register of {}; it decides{}", row.state, slipped(row, address)),
        )),
        (None, None) => {
            found.push(note(ADDRESS, missing, "look the address up in the State's register; it decides".to_owned()));
        }
        _ => {}
    }
}

fn registration_has_mark(profile: &Profile, _: &RuleSet, found: &mut Vec<Found>) {
    let Some(mark) = profile.registration.get() else { return };
    let with_n = format!("N{}", mark.0);
    let of_address = address_in_use(profile).and_then(mark_of_address);
    if !mark.0.starts_with('N') && of_address.as_deref() == Some(with_n.as_str()) {
        found.push(warning(
            REGISTRATION,
            format!("{} has no nationality mark; the address is that of {with_n} by arithmetic", mark.0),
            format!("write \"{with_n}\", as in the register and on the certificate"),
        ));
    } else if nationality_of_mark(&mark.0).is_none() {
        let with_n = match address_of_mark(&with_n) {
            Ok(_) => format!(", such as \"{with_n}\" in the United States"),
            Err(_) => String::new(),
        };
        found.push(note(
            REGISTRATION,
            format!("{} begins with no nationality mark that is held here (most from memory)", mark.0),
            format!("write the whole registration, nationality mark included{with_n}; if it is whole, leave it"),
        ));
    }
}

fn address_of_registration(profile: &Profile, rules: &RuleSet, found: &mut Vec<Found>) {
    let Some(mark) = profile.registration.get() else { return };
    let Some(address) = address_in_use(profile) else {
        // A mark that cannot be is told before its address is known.
        if let Err(why) = address_of_mark(&mark.0)
            && mark.0.strip_prefix('N').is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit()))
        {
            found.push(warning(
                REGISTRATION,
                format!("this cannot be a mark of the United States: {why}"),
                "compare with the certificate of registration".to_owned(),
            ));
        }
        return;
    };
    if has_passing_address(profile) {
        return;
    }
    match address_of_mark(&mark.0) {
        Ok(expected) if expected != address => {
            let slip = address_mistake::between(expected, address).into_iter().next();
            let block = block_of_address(address);
            let whose = match (mark_of_address(address), block) {
                (Some(other), _) => format!("; {address} would be {other}"),
                (None, Some(block)) if block.holder == "United States" => {
                    format!("; {address} is in the block of the United States, but of no mark")
                }
                (None, Some(block)) => {
                    format!("; {address} is in the block of {} ({})", block.holder, block.evidence())
                }
                (None, None) => format!("; no block of the table held here has {address} ({TABLE})"),
            };
            let reason = format!("the arithmetic gives {expected} for {}{whose}", mark.0);
            let enter = format!("enter {expected}, if the register says so too; it decides");
            match (slip, block) {
                (Some((slip, detail)), _) => {
                    found.push(warning(ADDRESS, format!("{reason}; likely {}: {detail}", slip.what), enter));
                }
                // Such an address is a fault only if nobody asked for it.
                (None, Some(block)) if block.holder == "United States" => {
                    let shown = profile.identification_source.get() == Some(&IdentificationSource::Fixed)
                        && rules.identification_forms(profile).is_some_and(|forms| {
                            forms
                                .all()
                                .iter()
                                .any(|form| Stated::Is(form.identification) == profile.aircraft_identification)
                        });
                    let shown = if shown { ", but the fixed identification gives the registration away" } else { "" };
                    let make = if mark_of_address(address).is_some() { warning } else { note };
                    found.push(make(
                        ADDRESS,
                        format!("{reason}. {PRIVACY}{shown}"),
                        format!("{enter}; for a temporary address, record both and the dates"),
                    ));
                }
                (None, _) => found.push(warning(ADDRESS, reason, enter)),
            }
        }
        Err(why)
            if address.bits() >> 20 == 0xA
                && nationality_of_mark(&mark.0).is_some_and(|(row, _)| row.state == "United States") =>
        {
            let other =
                mark_of_address(address).map_or_else(String::new, |mark| format!("; the address is that of {mark}"));
            found.push(warning(
                REGISTRATION,
                format!("the address is in the block of the United States, but {why}{other}"),
                "compare mark and address with the register".to_owned(),
            ));
        }
        _ => {}
    }
}

fn state(profile: &Profile) -> &'static str {
    state_of_registry(profile).unwrap_or("the State of registry")
}

fn rule(form: &Form<'_>) -> String {
    form.clause.map_or_else(String::new, |(clause, confirmed)| format!(" ({clause}; {confirmed})"))
}

/// What to enter, in words.
fn right_forms(forms: &Forms<'_>, state: &str) -> String {
    match forms {
        Forms::One(form) => format!("enter {}: {}{}", form.identification, form.form.words(), rule(form)),
        Forms::Two { home, abroad } => format!(
            "within {state} enter {}: {}{}; for flights abroad {}",
            home.identification,
            home.form.words(),
            rule(home),
            abroad.identification
        ),
        Forms::NotHeld { .. } => forms.words(state),
    }
}

fn identification_of_registration(profile: &Profile, rules: &RuleSet, found: &mut Vec<Found>) {
    let (Some(mark), Some(stated), Some(IdentificationSource::Fixed), Some(forms)) = (
        profile.registration.get(),
        profile.aircraft_identification.get(),
        profile.identification_source.get(),
        rules.identification_forms(profile),
    ) else {
        return;
    };
    let state = state(profile);
    match &forms {
        Forms::One(form) if form.identification == *stated => return,
        Forms::Two { home, abroad } if home.identification == *stated => {
            return found.push(note(
                IDENTIFICATION,
                format!("{stated} is fixed, in the form of flights within {state}{}", rule(home)),
                format!("enter {} for flights abroad", abroad.identification),
            ));
        }
        Forms::Two { abroad, .. } if abroad.identification == *stated => {
            return found.push(warning(
                IDENTIFICATION,
                format!("{stated} is fixed, in the form of flights abroad"),
                right_forms(&forms, state),
            ));
        }
        Forms::NotHeld { .. } if forms.all().iter().any(|form| form.identification == *stated) => {
            return found.push(note(
                IDENTIFICATION,
                format!("{stated} is fixed; {}", forms.words(state)),
                format!("compare with the AIP of {state}"),
            ));
        }
        _ => {}
    }
    let other_form =
        [WrittenForm::WithPrefix, WrittenForm::WithoutPrefix].into_iter().find(|other| other.of(mark) == Some(*stated));
    if other_form.is_none() && is_call_sign(&stated.to_string()) {
        found.push(warning(
            SettingId::IdentificationSource,
            format!("{stated} looks like a call sign, but is fixed: the crew cannot set that of the next flight"),
            format!(
                "write \"crew_entered\"; where the aircraft flies under its registration: {}",
                right_forms(&forms, state)
            ),
        ));
        return;
    }
    let why = likely(profile, &forms, *stated).unwrap_or_else(|| match other_form {
        Some(_) => format!("the nationality mark is handled in another way than {state} requires"),
        None => "it is not the registration".to_owned(),
    });
    found.push(warning(
        IDENTIFICATION,
        format!("{stated} is fixed, and differs from the registration {}: {why}", mark.0),
        format!("{}; unless the aircraft flies under a call sign", right_forms(&forms, state)),
    ));
}

/// The mistake that makes the stated identification of a right one.
fn likely(profile: &Profile, forms: &Forms<'_>, stated: Identification) -> Option<String> {
    forms.all().into_iter().find_map(|form| {
        let right = Profile {
            aircraft_identification: Stated::Is(form.identification),
            identification_source: Stated::Is(IdentificationSource::Fixed),
            ..profile.clone()
        };
        // Where there is no prefix, none can be left off.
        let possible = |cause: &str| form.form == WrittenForm::WithPrefix || cause != PREFIX_LEFT_OFF.cause;
        MISTAKES
            .iter()
            .filter(|mistake| mistake.settings.contains(&IDENTIFICATION) && possible(mistake.cause))
            .find_map(|mistake| {
                let (_, detail) = (mistake.candidates)(&right)
                    .into_iter()
                    .find(|(wrong, _)| wrong.aircraft_identification == Stated::Is(stated))?;
                Some(format!("{} ({detail})", mistake.what))
            })
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
    let forms = rules.identification_forms(profile);
    if let Some(forms) = &forms {
        if forms.all().iter().any(|form| form.identification == *stated) {
            return;
        }
        if let Some(why) = likely(profile, forms, *stated) {
            found.push(warning(
                IDENTIFICATION,
                format!("{stated} is neither the registration nor a call sign: {why}"),
                format!("{}; under a call sign, that of the flight plan", right_forms(forms, state(profile))),
            ));
            return;
        }
    }
    let text = stated.to_string();
    if is_sample(&text) {
        found.push(warning(
            IDENTIFICATION,
            format!("{text} is a sample text, not an identification"),
            "enter the call sign of the flight plan, or the registration in the State's form".to_owned(),
        ));
        return;
    }
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
    let registration = forms
        .filter(|_| letters == 0)
        .map_or_else(String::new, |forms| format!("; under the registration, {}", right_forms(&forms, state(profile))));
    let correction = match letters {
        3 => format!("enter {}{}, if the flight plan says so", &text[..3], text[3..].trim_start_matches('0')),
        _ => format!(
            "enter the operator's three letters and the number, letter for letter as in the flight plan{registration}"
        ),
    };
    found.push(warning(IDENTIFICATION, reason, correction));
}
