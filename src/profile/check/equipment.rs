//! Checks of transponder, altitude, air and ground, position source and receivers.

use super::{Check, Found, error, note, ordinary_codes, warning};
use crate::profile::category::is_close;
use crate::profile::{
    Acas, ActiveMeans, AirGroundKind, AltitudeSourceKind, Antenna, DirectionKind, North, Profile, RuleSet, SettingId,
    SilPer, Stated, applies, kind_of_aircraft, state_of_registry,
};

pub(super) const CHECKS: &[Check] = &[
    Check {
        name: "version_known",
        about: "a source is held for the version, and rules still accept it",
        source: "ICAO Doc 9871 (versions 0 to 2); 14 CFR 91.225 as amended admits later units",
        run: |profile, _, found| match profile.mops_version.get().map(|version| version.0) {
            Some(version @ 3..) => found.push(warning(
                SettingId::MopsVersion,
                format!("of version {version} only the fields that public text names can be shown and compared"),
                "state the version that the unit's data plate and manual give".to_owned(),
            )),
            Some(version @ 0..=1) => found.push(warning(
                SettingId::MopsVersion,
                format!("version {version} is an old software load; present rules require 2 or later"),
                "look for the service bulletin that brings version 2".to_owned(),
            )),
            _ => {}
        },
    },
    Check {
        name: "level_sends_squitter",
        about: "a level 1 transponder has no extended squitter",
        source: "handbook, ADS-B part, chapter 1 (capability); from memory that squitter needs level 2",
        run: |profile, _, found| {
            if profile.mode_s_level.get().is_some_and(|level| level.0 == 1) {
                found.push(warning(
                    SettingId::ModeSLevel,
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
        run: |profile, _, found| {
            let kind = profile.altitude_source_kind.get();
            let step = profile.altitude_resolution.get().map(|step| step.0);
            match (kind, step) {
                (Some(AltitudeSourceKind::Parallel), Some(25)) => found.push(error(
                    SettingId::AltitudeResolution,
                    "grey code on wires counts 100 ft; 25 ft would announce a precision that is not there".to_owned(),
                    "write 100, or the kind of source that is really wired".to_owned(),
                )),
                (Some(kind), Some(100)) if *kind != AltitudeSourceKind::Parallel => found.push(warning(
                    SettingId::AltitudeResolution,
                    "a source that is not on grey-code wires is usually better than 100 ft".to_owned(),
                    "look the resolution up in the source's data; where it is better than 100 ft, 25 ft is required"
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
        run: |profile, _, found| {
            if profile.altitude_source_kind.get() == Some(&AltitudeSourceKind::Parallel)
                && profile.altitude_cross_checked.get() == Some(&true)
            {
                found.push(warning(
                    SettingId::AltitudeCrossChecked,
                    "a grey-code source is said to be cross-checked; that needs a second source and a comparator"
                        .to_owned(),
                    "write false unless both are fitted".to_owned(),
                ));
            }
        },
    },
    Check {
        name: "vfr_code_harmless",
        about: "the preset Mode A code raises no alarm, and is one of the State of registry for this kind of aircraft",
        source: "AIM 4-1-20; SERA.13005; emergency codes of ICAO; the rule set",
        run: vfr_code_harmless,
    },
    Check {
        name: "ground_known",
        about: "the unit knows the ground, and a switch says what it means",
        source: "ICAO Annex 10 Volume IV (surface formats need an air/ground input, from memory)",
        run: |profile, _, found| match profile.air_ground_kind.get() {
            Some(AirGroundKind::None) => found.push(warning(
                SettingId::AirGroundKind,
                "without an air/ground input no surface messages go out: size and antenna offset are never on the air"
                    .to_owned(),
                "wire the switch, or let the unit find it out where it can".to_owned(),
            )),
            Some(AirGroundKind::Switch) if profile.air_ground_active == Stated::<ActiveMeans>::NotStated => {
                found.push(warning(
                    SettingId::AirGroundActive,
                    "a switch is wired, but not what its active state means".to_owned(),
                    "write \"on_ground\" or \"airborne\", and try both states".to_owned(),
                ));
            }
            Some(AirGroundKind::Automatic)
                if profile
                    .emitter_category
                    .get()
                    .is_some_and(|category| matches!(category.to_string().as_str(), "A7" | "B2")) =>
            {
                found.push(warning(
                    SettingId::AirGroundKind,
                    "an aircraft that hovers or drifts flies below any speed threshold: an automatic rule would report it on the ground"
                        .to_owned(),
                    "wire a switch, or see the manual for how the unit finds the state of such an aircraft".to_owned(),
                ));
            }
            _ => {}
        },
    },
    Check {
        name: "active_means_suits",
        about: "what an active switch means is stated of a switch only",
        source: "the profile's own form",
        run: |profile, _, found| {
            const ACTIVE_MEANS: SettingId = SettingId::AirGroundActive;
            if profile.air_ground_active.get().is_some() && !applies(profile, ACTIVE_MEANS) {
                found.push(warning(
                    ACTIVE_MEANS,
                    "what an active switch means is stated, but no switch is".to_owned(),
                    "take it out, or write \"switch\" as the kind".to_owned(),
                ));
            }
        },
    },
    Check {
        name: "acas_suits",
        about: "collision avoidance is claimed where an aircraft has it, with what it needs",
        source: "common practice, no source; carriage above 5700 kg and the need of two antennas: from memory",
        run: |profile, _, found| {
            let category = profile.emitter_category.get().map(ToString::to_string);
            let acas = profile.acas.get();
            if acas == Some(&Acas::Resolution) && category.as_deref() == Some("A1") {
                found.push(warning(
                    SettingId::Acas,
                    "a light aircraft seldom has a collision avoidance that gives resolution advisories".to_owned(),
                    "compare with the equipment list; a traffic display does not count".to_owned(),
                ));
            }
            if acas == Some(&Acas::None) && matches!(category.as_deref(), Some("A3" | "A4" | "A5")) {
                found.push(warning(
                    SettingId::Acas,
                    "an aircraft of this weight usually carries collision avoidance".to_owned(),
                    "compare with the equipment list".to_owned(),
                ));
            }
            if acas == Some(&Acas::Resolution) && profile.antenna.get() == Some(&Antenna::Single) {
                found.push(warning(
                    SettingId::Antenna,
                    "collision avoidance with resolution advisories works with a transponder of two antennas"
                        .to_owned(),
                    "compare antennas and collision avoidance with the drawing".to_owned(),
                ));
            }
        },
    },
    Check {
        name: "diversity_suits",
        about: "heavy or fast aircraft have two antennas, and gliders and the like one",
        source: "EASA AMC1 ACNS.D.ELS.065: above 5700 kg or 250 kt maximum cruise true airspeed; of gliders: common practice, no source",
        run: |profile, _, found| {
            let category = profile.emitter_category.get().map(ToString::to_string);
            let weight = profile.maximum_take_off_weight.get().and_then(|weight| weight.number_in("kg"));
            // Close to a limit, either side may be right.
            let heavy = match weight {
                Some(kilograms) => kilograms > 5700.0 && !is_close(kilograms, 5700.0),
                None => matches!(category.as_deref(), Some("A2" | "A3" | "A4" | "A5")),
            };
            let fast = profile.maximum_cruise_true_airspeed.get().is_some_and(|speed| {
                let knots = speed.in_knots();
                knots > 250.0 && !is_close(knots, 250.0)
            });
            match profile.antenna.get() {
                Some(Antenna::Single) if heavy || fast => found.push(warning(
                    SettingId::Antenna,
                    format!("one antenna on an aircraft {}", if heavy { "above 5700 kg" } else { "above 250 kt" }),
                    "compare with the drawing: Europe requires two there".to_owned(),
                )),
                Some(Antenna::Diversity) if matches!(category.as_deref(), Some("B1" | "B2" | "B3" | "B4")) => {
                    found.push(warning(
                        SettingId::Antenna,
                        format!("two antennas are rare in category {}", category.unwrap_or_default()),
                        "count the transponder antennas; write \"single\" if there is one".to_owned(),
                    ));
                }
                _ => {}
            }
        },
    },
    Check {
        name: "receivers_declared",
        about: "a receiver that is carried is declared; a wrong claim goes unnoticed either way",
        source: "14 CFR 91.227(d)(13); the ground serves only what is declared: FAA list of typical faults; that only the United States serve traffic: common practice, no source",
        run: |profile, _, found| {
            // Traffic from the ground, and the UAT link, are of the United States.
            let served = state_of_registry(profile).is_none_or(|state| state == "United States");
            for (pointer, declared, name) in [
                (SettingId::Es1090In, profile.es_1090_in.get(), "1090ES"),
                (SettingId::UatIn, profile.uat_in.get().filter(|_| served), "UAT"),
            ] {
                if declared == Some(&false) {
                    let lost = if served {
                        ": if one is carried, the ground serves it no traffic, and nothing on board shows that"
                    } else {
                        ""
                    };
                    found.push(note(
                        pointer,
                        format!("no {name} receiver is declared{lost}"),
                        "compare with the equipment list; declare a receiver only where one is carried".to_owned(),
                    ));
                }
            }
        },
    },
    Check {
        name: "time_mark_wired",
        about: "positions are said to be timed to UTC only where the time mark is wired",
        source: "study of aircraft in the United States (arXiv 2008.06352): about 1 % said so, and were out of step",
        run: |profile, _, found| {
            if profile.utc_synchronised.get() == Some(&true) {
                found.push(warning(
                    SettingId::UtcSynchronised,
                    "positions are said to be timed to UTC, which few installs are".to_owned(),
                    "write false unless the time mark of the position source is wired to the transponder".to_owned(),
                ));
            }
        },
    },
    Check {
        name: "direction_reference",
        about: "a ground track counts from true north",
        source: "common practice, no source: a track out of satellite navigation counts from true north",
        run: |profile, _, found| {
            if profile.surface_direction.get() == Some(&DirectionKind::Track)
                && profile.surface_direction_reference.get() == Some(&North::Magnetic)
            {
                found.push(warning(
                    SettingId::SurfaceDirectionReference,
                    "a track that counts from magnetic north is unusual: was a magnetic heading wired as track?"
                        .to_owned(),
                    "write \"true\" for a track, or \"heading\" where a compass is wired".to_owned(),
                ));
            }
        },
    },
    Check {
        name: "registers_served",
        about: "the data link report names the registers that every install serves",
        source: "EU 1207/2011 Annex II A, and CS ACNS.D.ELS.015: 1,0, 1,7 and the identification",
        run: |profile, _, found| {
            let Some(registers) = profile.data_link_registers.get() else { return };
            let stated: Vec<String> = registers.0.iter().map(ToString::to_string).collect();
            let missing: Vec<&str> =
                ["1,0", "1,7", "2,0"].into_iter().filter(|wanted| !stated.iter().any(|own| own == wanted)).collect();
            if !missing.is_empty() {
                found.push(warning(
                    SettingId::DataLinkRegisters,
                    match &missing[..] {
                        [one] => format!("register {one} is missing from the list"),
                        [first @ .., last] => {
                            format!("registers {} and {last} are missing from the list", first.join(", "))
                        }
                        [] => String::new(),
                    },
                    "add what the unit serves: every elementary surveillance serves them".to_owned(),
                ));
            }
        },
    },
    Check {
        name: "quality_hangs_together",
        about: "integrity, accuracy and assurance do not contradict each other",
        source: "handbook, ADS-B part, chapter 7; AC 20-165B 3.3.3.7.3 as reported (NACv); EASA AMC1 ACNS.D.ADSB.020 (SDA) and .085 (GVA); per hour: from memory",
        run: |profile, _, found| {
            // Nothing is claimed: as it should be of a source without approval.
            let nothing_claimed = profile.sil.get().is_some_and(|sil| sil.0 == 0)
                && profile.system_design_assurance.get().is_some_and(|sda| sda.0 == 0)
                && [
                    profile.nic.get().map(|number| number.0),
                    profile.nacp.get().map(|number| number.0),
                    profile.nacv.get().map(|number| number.0),
                ]
                .into_iter()
                .flatten()
                .all(|number| number == 0);
            if nothing_claimed {
                return found.push(note(
                    SettingId::Sil,
                    "every quality value says unknown, as of a position source without approval".to_owned(),
                    "compare with the approval data; Europe has a standard change for light aircraft with such a source (CS-SC005a)"
                        .to_owned(),
                ));
            }
            let nic = profile.nic.get().map(|number| number.0);
            let nacp = profile.nacp.get().map(|number| number.0);
            let sil = profile.sil.get().map(|number| number.0);
            if nic == Some(0) && nacp.is_some_and(|nacp| nacp > 0) {
                found.push(warning(
                    SettingId::Nic,
                    "accuracy without integrity: the data protocol may not carry it".to_owned(),
                    "check protocol and pairing of position source and transponder".to_owned(),
                ));
            }
            if sil == Some(0) && nic.is_some_and(|nic| nic > 0) {
                found.push(warning(
                    SettingId::Sil,
                    "integrity is sent, but the source integrity level says unknown".to_owned(),
                    "take SIL from the approval data of the position source".to_owned(),
                ));
            }
            if profile.system_design_assurance.get().is_some_and(|sda| sda.0 == 0) && sil.is_some_and(|sil| sil > 0) {
                found.push(warning(
                    SettingId::SystemDesignAssurance,
                    "design assurance unknown beside a claimed source integrity".to_owned(),
                    "2 may be used where approved units are connected directly; otherwise the weakest link decides"
                        .to_owned(),
                ));
            }
            if profile.nacv.get().is_some_and(|nacv| nacv.0 == 0) {
                found.push(warning(
                    SettingId::Nacv,
                    "NACv 0 says that the accuracy of velocity is unknown".to_owned(),
                    "enter 1 or 2, with the basis in the source's approval".to_owned(),
                ));
            }
            if nacp == Some(0) {
                found.push(warning(
                    SettingId::Nacp,
                    "NACp 0 says that the accuracy of position is unknown".to_owned(),
                    "take it from the approval data of the position source; check its data protocol".to_owned(),
                ));
            }
            if profile.gva.get().is_some_and(|gva| gva.0 == 0) && nacp.is_some_and(|nacp| nacp >= 9) {
                found.push(note(
                    SettingId::Gva,
                    "GVA 0 says that the accuracy of height is unknown, beside a good position".to_owned(),
                    "enter 2 or 1 where the source has a qualified figure; without one 0 is right".to_owned(),
                ));
            }
            if profile.sil_supplement.get() == Some(&SilPer::Sample) {
                found.push(warning(
                    SettingId::SilSupplement,
                    "satellite navigation counts integrity per flight hour".to_owned(),
                    "write \"per_hour\", unless the approval data of the source say per sample".to_owned(),
                ));
            }
            if profile.system_design_assurance.get().is_some_and(|sda| sda.0 == 1) && sil == Some(3)
                || profile.system_design_assurance.get().is_some_and(|sda| sda.0 == 3)
            {
                found.push(warning(
                    SettingId::SystemDesignAssurance,
                    "the weakest unit of the chain decides the design assurance; beside SIL 3 it is 2 in most approvals".to_owned(),
                    "enter 2 where approved units are connected directly, or what the analysis of the chain says".to_owned(),
                ));
            }
            if profile.nacv.get().is_some_and(|nacv| nacv.0 >= 3) {
                found.push(warning(
                    SettingId::Nacv,
                    "NACv 3 and 4 are not to be claimed unless demonstrated".to_owned(),
                    "enter 1 or 2, with the basis in the source's approval".to_owned(),
                ));
            }
        },
    },
];

fn vfr_code_harmless(profile: &Profile, rules: &RuleSet, found: &mut Vec<Found>) {
    const CODE: SettingId = SettingId::VfrModeACode;
    let Some(code) = profile.vfr_mode_a_code.get().map(ToString::to_string) else { return };
    let known = if rules.governs(profile) { &rules.vfr_mode_a_codes[..] } else { &[] };
    let row = known.iter().find(|rule| rule.code == code);
    let right = rules.vfr_mode_a_code_of(profile).filter(|_| !known.is_empty());
    if matches!(code.as_str(), "7500" | "7600" | "7700") {
        found.push(error(
            CODE,
            format!("{code} is an emergency code"),
            "enter the conspicuity code of the State of operation, such as 1200 or 7000".to_owned(),
        ));
        return;
    }
    if row.is_none() && (code.starts_with("77") || code.starts_with("76") || code == "0000") {
        let why = match code.as_str() {
            "7777" => "is for military interceptors, and no civil aircraft may use it (AIM 4-1-20)",
            "0000" => "is not used for visual flight, and raises an alarm in some States",
            _ => "raises an alarm in some States",
        };
        found.push(warning(
            CODE,
            format!("{code} {why}"),
            "enter the conspicuity code of the State of operation, such as 1200 or 7000".to_owned(),
        ));
        return;
    }
    if known.is_empty() || right.is_some_and(|right| right.code == code) {
        return;
    }
    let elsewhere = "unless the State of operation is another";
    let enter = match right {
        Some(right) => format!("enter {}, {elsewhere}", right.code),
        None => format!("enter the one for this kind of aircraft: {}", ordinary_codes(rules).join(", ")),
    };
    let kind = kind_of_aircraft(profile);
    match row {
        None => found.push(warning(
            CODE,
            format!(
                "{code} is not a code for visual flight that is held for {}: {}",
                rules.title,
                ordinary_codes(rules).join(", ")
            ),
            enter,
        )),
        Some(row) if row.occasion.is_some() => found.push(note(
            CODE,
            format!("{} ({}; {}; {})", row.words(), rules.title, row.clause, row.confirmed),
            format!("for ordinary flights {enter}"),
        )),
        Some(row) if !row.kinds.is_empty() && kind.is_some_and(|kind| !row.is_for(kind)) => found.push(warning(
            CODE,
            format!("{code} is for another kind of aircraft ({}; {}; {})", rules.title, row.clause, row.confirmed),
            enter,
        )),
        // The code of every kind, where this kind has one of its own.
        Some(row) if row.kinds.is_empty() => {
            if let Some(right) = right {
                found.push(note(
                    CODE,
                    format!("{code} is preset, and {} ({}; {})", right.words(), right.clause, right.confirmed),
                    enter,
                ));
            }
        }
        Some(_) => {}
    }
}
