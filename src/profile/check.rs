//! What a profile is checked against: rules with a name and a source, each a few lines.

use super::{
    Acas, ActiveMeans, AirGroundKind, AltitudeSourceKind, FromNose, IdentificationSource, Problem, Profile, Reading,
    RuleSet, SETTINGS, Severity, Stated,
};
use crate::registry::{address_of_mark, mark_of_address};

/// A rule of a profile check.
#[derive(Clone, Copy, Debug)]
pub struct Check {
    /// Its name.
    pub name: &'static str,
    /// What it looks at.
    pub about: &'static str,
    /// Where it comes from.
    pub source: &'static str,
    run: fn(&Profile, &mut Vec<Found>),
}

/// What a rule found: how grave, where, why, what to do.
type Found = (Severity, &'static str, String, String);

use Severity::{Error, Warning};

/// Every rule, in the order in which a profile is looked at.
pub const CHECKS: &[Check] = &[
    Check {
        name: "address_in_use",
        about: "the address is neither all zeros nor all ones",
        source: "ICAO Annex 10 Volume III, Part I, chapter 9 (zeros: page seen; ones: from memory)",
        run: |profile, found| {
            if let Some(address) = profile.address.get()
                && matches!(address.bits(), 0 | 0xFF_FFFF)
            {
                found.push((
                    Error,
                    "/aircraft/address",
                    format!("{address} is no aircraft's address; a blank or returned unit shows it"),
                    "enter the address that the State of registry assigned".to_owned(),
                ));
            }
        },
    },
    Check {
        name: "address_of_registration",
        about: "a United States mark and the address belong together",
        source: "FAA marks and addresses; arithmetic, the register decides",
        run: |profile, found| {
            let (Some(mark), Some(address)) = (profile.registration.get(), profile.address.get()) else { return };
            let us_block = address.bits() >> 20 == 0xA;
            match (address_of_mark(&mark.0), us_block) {
                (Ok(expected), _) if expected != *address => {
                    let owner = mark_of_address(*address)
                        .map_or_else(String::new, |other| format!("; {address} would be {other}"));
                    found.push((
                        Warning,
                        "/aircraft/address",
                        format!("the arithmetic gives {expected} for {}{owner}", mark.0),
                        "look the address up in the register; it decides".to_owned(),
                    ));
                }
                (Err(error), true) => found.push((
                    Warning,
                    "/aircraft/registration",
                    format!("the address is of the United States' block, but {error}"),
                    "compare mark and address with the register".to_owned(),
                )),
                _ => {}
            }
        },
    },
    Check {
        name: "identification_of_registration",
        about: "a fixed identification is the registration, written without hyphen",
        source: "ICAO flight plan item 7, or the registration in the State's form; a warning, since some States drop the prefix",
        run: |profile, found| {
            let (Some(mark), Some(identification), Some(IdentificationSource::Fixed)) = (
                profile.registration.get(),
                profile.aircraft_identification.get(),
                profile.identification_source.get(),
            ) else {
                return;
            };
            let expected = mark.0.replace('-', "");
            if identification.to_string() != expected {
                found.push((
                    Warning,
                    "/aircraft/aircraft_identification",
                    format!("{identification} is fixed, and differs from the registration {}", mark.0),
                    format!(
                        "enter {expected}, unless the State wants another form or the aircraft flies under a call sign"
                    ),
                ));
            }
        },
    },
    Check {
        name: "category_tells",
        about: "the emitter category says something, and a number that is assigned",
        source: "ICAO Doc 9871 draft, page 250; handbook, chapter 2",
        run: |profile, found| {
            let Some(category) = profile.emitter_category.get() else { return };
            match category.words(crate::code::Version::Two) {
                "reserved" => found.push((
                    Error,
                    "/aircraft/emitter_category",
                    format!("{category} is reserved"),
                    "choose the category of the aircraft's weight, or of its kind where it has one".to_owned(),
                )),
                "no category information" => found.push((
                    Warning,
                    "/aircraft/emitter_category",
                    format!("{category} means \"no information\", not \"light\""),
                    "choose A1 below 15 500 lb, A2 to 75 000 lb, A3 to 300 000 lb, A7 for rotorcraft, B1 for gliders"
                        .to_owned(),
                )),
                _ => {}
            }
        },
    },
    Check {
        name: "size_plausible",
        about: "length and width suit the category, in the unit that they are given in",
        source: "common practice, no source; tool default: a light aircraft, rotorcraft or glider is at most 30 m either way",
        run: |profile, found| {
            let light = profile
                .emitter_category
                .get()
                .is_some_and(|category| matches!(category.to_string().as_str(), "A1" | "A7" | "B1" | "B4"));
            for (pointer, length) in
                [("/aircraft/length", profile.length.get()), ("/aircraft/width", profile.width.get())]
            {
                let Some(length) = length else { continue };
                if length.in_metres() == 0.0 {
                    found.push((Error, pointer, "0 is no size".to_owned(), "measure the aircraft".to_owned()));
                } else if light && length.in_metres() > 30.0 {
                    found.push((
                        Warning,
                        pointer,
                        format!("{:.1} m is large for this category", length.in_metres()),
                        "check that feet were not written as metres".to_owned(),
                    ));
                } else if length.in_metres() < 3.0 {
                    found.push((
                        Warning,
                        pointer,
                        format!("{:.1} m is small for an aircraft", length.in_metres()),
                        "check that metres were not written as feet".to_owned(),
                    ));
                }
            }
        },
    },
    Check {
        name: "cruise_speed_plausible",
        about: "the maximum cruise true airspeed suits the category",
        source: "common practice, no source; tool default: 20 to 350 kt for light aircraft",
        run: |profile, found| {
            let Some(knots) = profile.maximum_cruise_true_airspeed.get().map(|speed| speed.in_knots()) else { return };
            let light = profile.emitter_category.get().is_some_and(|category| category.to_string() == "A1");
            if knots == 0.0 {
                found.push((
                    Error,
                    "/aircraft/maximum_cruise_true_airspeed",
                    "0 is no airspeed".to_owned(),
                    "take the cruise true airspeed from the flight manual, or leave the setting out".to_owned(),
                ));
            } else if light && !(20.0..=350.0).contains(&knots) {
                found.push((
                    Warning,
                    "/aircraft/maximum_cruise_true_airspeed",
                    format!("{knots:.0} kt does not look like a light aircraft's cruise"),
                    "check the unit; the setting is the cruise true airspeed, not a never-exceed speed".to_owned(),
                ));
            }
        },
    },
    Check {
        name: "version_known",
        about: "a source is held for the version, and rules still accept it",
        source: "ICAO Doc 9871 (versions 0 to 2); 14 CFR 91.225 as amended admits later units",
        run: |profile, found| match profile.mops_version.get().map(|version| version.0) {
            Some(version @ 3..) => found.push((
                Warning,
                "/transponder/mops_version",
                format!("no source is held for version {version}: its frames cannot be shown or compared"),
                "state the version that the unit's data plate and manual give".to_owned(),
            )),
            Some(version @ 0..=1) => found.push((
                Warning,
                "/transponder/mops_version",
                format!("version {version} is an old software load; present rules want 2 or later"),
                "look for the service bulletin that brings version 2".to_owned(),
            )),
            _ => {}
        },
    },
    Check {
        name: "level_sends_squitter",
        about: "a level 1 transponder has no extended squitter",
        source: "handbook, ADS-B part, chapter 1 (capability); from memory that squitter needs level 2",
        run: |profile, found| {
            if profile.mode_s_level.get().is_some_and(|level| level.0 == 1) {
                found.push((
                    Warning,
                    "/transponder/mode_s_level",
                    "a level 1 transponder answers surveillance only and sends no extended squitter".to_owned(),
                    "check the level on the data plate".to_owned(),
                ));
            }
        },
    },
    Check {
        name: "wires_count_hundreds",
        about: "grey code on wires counts 100 ft",
        source: "ICAO Annex 10, grey code of the pressure altitude; EASA AMC1 ACNS.D.ELS.015",
        run: |profile, found| {
            let kind = profile.altitude_source_kind.get();
            let step = profile.altitude_resolution.get().map(|step| step.0);
            match (kind, step) {
                (Some(AltitudeSourceKind::Parallel), Some(25)) => found.push((
                    Error,
                    "/transponder/altitude_source/resolution_ft",
                    "grey code on wires counts 100 ft; 25 ft would announce a precision that is not there".to_owned(),
                    "write 100, or the kind of source that is really wired".to_owned(),
                )),
                (Some(kind), Some(100)) if *kind != AltitudeSourceKind::Parallel => found.push((
                    Warning,
                    "/transponder/altitude_source/resolution_ft",
                    "a source that is not on grey-code wires is usually better than 100 ft".to_owned(),
                    "look the resolution up in the source's data; 25 ft is wanted where it is better than 100 ft"
                        .to_owned(),
                )),
                _ => {}
            }
        },
    },
    Check {
        name: "cross_check_claimed",
        about: "a cross-check of grey-code wires is claimed only where there is one",
        source: "EASA AMC1 ACNS.D.ADSB.080",
        run: |profile, found| {
            if profile.altitude_source_kind.get() == Some(&AltitudeSourceKind::Parallel)
                && profile.altitude_cross_checked.get() == Some(&true)
            {
                found.push((
                    Warning,
                    "/transponder/altitude_source/cross_checked",
                    "a grey-code source is said to be cross-checked; that needs a second source and a comparator"
                        .to_owned(),
                    "write false unless both are fitted".to_owned(),
                ));
            }
        },
    },
    Check {
        name: "vfr_code_harmless",
        about: "the preset Mode A code is none that rings bells",
        source: "AIM 4-1-20; SERA.13005; emergency codes of ICAO",
        run: |profile, found| {
            let Some(code) = profile.vfr_mode_a_code.get().map(ToString::to_string) else { return };
            if matches!(code.as_str(), "7500" | "7600" | "7700") {
                found.push((
                    Error,
                    "/transponder/vfr_mode_a_code",
                    format!("{code} is an emergency code"),
                    "enter the conspicuity code of the State of operation, such as 1200 or 7000".to_owned(),
                ));
            } else if code.starts_with("77") || code.starts_with("76") || code == "0000" {
                found.push((
                    Warning,
                    "/transponder/vfr_mode_a_code",
                    format!("{code} raises an alarm in some States"),
                    "enter the conspicuity code of the State of operation, such as 1200 or 7000".to_owned(),
                ));
            }
        },
    },
    Check {
        name: "ground_known",
        about: "the unit knows the ground, and a switch says what it means",
        source: "ICAO Annex 10 Volume IV (surface formats need an air/ground input, from memory)",
        run: |profile, found| match profile.air_ground_kind.get() {
            Some(AirGroundKind::None) => found.push((
                Warning,
                "/transponder/air_ground/kind",
                "without an air/ground input no surface messages go out: size and antenna offset are never on the air"
                    .to_owned(),
                "wire the switch, or let the unit find it out where it can".to_owned(),
            )),
            Some(AirGroundKind::Switch) if profile.air_ground_active == Stated::<ActiveMeans>::NotStated => {
                found.push((
                    Warning,
                    "/transponder/air_ground/active_means",
                    "a switch is wired, but not what its active state means".to_owned(),
                    "write \"on_ground\" or \"airborne\", and try both states".to_owned(),
                ));
            }
            _ => {}
        },
    },
    Check {
        name: "acas_suits",
        about: "collision avoidance is claimed only where an aircraft usually has it",
        source: "common practice, no source",
        run: |profile, found| {
            if profile.acas.get() == Some(&Acas::Resolution)
                && profile.emitter_category.get().is_some_and(|category| category.to_string() == "A1")
            {
                found.push((
                    Warning,
                    "/transponder/acas",
                    "a light aircraft seldom has a collision avoidance that gives resolution advisories".to_owned(),
                    "compare with the equipment list".to_owned(),
                ));
            }
        },
    },
    Check {
        name: "quality_hangs_together",
        about: "integrity, accuracy and assurance do not contradict each other",
        source: "handbook, ADS-B part, chapter 7; AC 20-165B 3.3.3.7.3 as reported (NACv)",
        run: |profile, found| {
            let nic = profile.nic.get().map(|number| number.0);
            let nacp = profile.nacp.get().map(|number| number.0);
            let sil = profile.sil.get().map(|number| number.0);
            if nic == Some(0) && nacp.is_some_and(|nacp| nacp > 0) {
                found.push((
                    Warning,
                    "/position_source/nic",
                    "accuracy without integrity: the data protocol may not carry it".to_owned(),
                    "check protocol and pairing of position source and transponder".to_owned(),
                ));
            }
            if sil == Some(0) && nic.is_some_and(|nic| nic > 0) {
                found.push((
                    Warning,
                    "/position_source/sil",
                    "integrity is sent, but the source integrity level says unknown".to_owned(),
                    "take SIL from the approval data of the position source".to_owned(),
                ));
            }
            if profile.system_design_assurance.get().is_some_and(|sda| sda.0 == 0) && sil.is_some_and(|sil| sil > 0) {
                found.push((
                    Warning,
                    "/transponder/system_design_assurance",
                    "design assurance unknown beside a claimed source integrity".to_owned(),
                    "2 may be used where approved units are connected directly; otherwise the weakest link decides"
                        .to_owned(),
                ));
            }
            if profile.nacv.get().is_some_and(|nacv| nacv.0 >= 3) {
                found.push((
                    Warning,
                    "/position_source/nacv",
                    "NACv 3 and 4 are not to be claimed unless demonstrated".to_owned(),
                    "enter 1 or 2, with the basis in the source's approval".to_owned(),
                ));
            }
        },
    },
    Check {
        name: "antenna_on_the_aircraft",
        about: "the position antenna stands within the aircraft",
        source: "ICAO Doc 9871 draft, page 227: from the nose aft, and from the centre line",
        run: |profile, found| {
            if let (Some(FromNose::Measured(back)), Some(length)) =
                (profile.antenna_from_nose.get(), profile.length.get())
                && back.in_metres() > length.in_metres()
            {
                found.push((
                    Error,
                    "/position_source/antenna_offset/from_nose",
                    format!(
                        "{:.2} m from the nose is behind an aircraft of {:.2} m",
                        back.in_metres(),
                        length.in_metres()
                    ),
                    "measure from the nose, and check both units".to_owned(),
                ));
            }
            if let (Some(across), Some(width)) =
                (profile.antenna_from_centre_line.get().and_then(|offset| offset.metres()), profile.width.get())
                && across.abs() > width.in_metres() / 2.0
            {
                found.push((
                    Error,
                    "/position_source/antenna_offset/from_centre_line",
                    format!("{:.2} m from the centre line is beyond the wing tip", across.abs()),
                    "measure from the centre line, and check both units".to_owned(),
                ));
            }
        },
    },
];

/// Checks a profile that was read: faults of reading, every rule, a regulator's floors, and what is not stated.
///
/// Errors and warnings come first, in the order of the file, then notes.
pub fn check(reading: &Reading, rules: &RuleSet) -> Vec<Problem> {
    let profile = &reading.profile;
    let mut problems = reading.problems.clone();
    let mut add = |severity, pointer: &str, reason, correction, rule| {
        let (line, column) = reading.place(pointer);
        problems.push(Problem { severity, pointer: pointer.to_owned(), line, column, reason, correction, rule });
    };
    for check in CHECKS {
        let mut found = Vec::new();
        (check.run)(profile, &mut found);
        for (severity, pointer, reason, correction) in found {
            add(severity, pointer, reason, correction, check.name);
        }
    }
    for floor in &rules.floors {
        if let Some(stated) = floor.stated(profile)
            && stated < floor.at_least
        {
            let severity = if floor.is_confirmed() { Error } else { Severity::Note };
            let unseen =
                if floor.is_confirmed() { "" } else { "; this number is from memory and fails nothing by itself" };
            add(
                severity,
                &floor.setting,
                format!(
                    "{stated} is below the {} that {} wants ({}{unseen})",
                    floor.at_least, rules.title, floor.clause
                ),
                "compare with the rule itself, and with the approval data of the equipment".to_owned(),
                "floor",
            );
        }
    }
    let mut refused: Vec<String> = reading.problems.iter().map(|problem| problem.pointer.clone()).collect();
    refused.extend(reading.meant.iter().cloned());
    let covered = |pointer: &str| refused.iter().any(|refused| pointer.starts_with(refused.as_str()));
    if !reading.problems.iter().any(|problem| problem.rule == "json") {
        for setting in SETTINGS.iter().filter(|setting| setting.pointer != "/notes" && !covered(setting.pointer)) {
            let (reason, correction) = match (setting.words)(profile) {
                Stated::Is(_) => continue,
                Stated::ToBeFilledIn => ("still to be filled in", "fill it in"),
                Stated::NotStated => {
                    ("not stated: nothing is shown or expected of it", "state it, if the install has it")
                }
            };
            add(Severity::Note, setting.pointer, reason.to_owned(), correction.to_owned(), "stated");
        }
    }
    problems
        .sort_by_key(|problem| (problem.severity == Severity::Note, problem.line == 0, problem.line, problem.column));
    problems
}
