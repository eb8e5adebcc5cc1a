//! Mistakes in what is fitted and how it is declared: receivers, antennas, quality, version, air/ground, altitude, speed.

use super::{Candidate, Mistake, Often, PRACTICE, changed};
use crate::profile::{
    Acas, AirGroundKind, AltitudeSourceKind, Antenna, Profile, SettingId, SilPer, Speed, StandardVersion, Stated,
    StepFt, Whole,
};

const RECEIVERS: &[SettingId] = &[SettingId::Es1090In, SettingId::UatIn];

/// A receiver that is carried is not declared.
pub const IN_CAPABILITY_MISSING: Mistake = Mistake {
    cause: "in_capability_missing",
    often: Often::Common,
    settings: RECEIVERS,
    what: "a receiver is carried, and the unit says that it is not: the ground serves no traffic for this aircraft",
    correction: "declare the receivers that are really carried",
    source: "14 CFR 91.227(d): whether a receiver is fitted",
    candidates: |profile| receivers(profile, false),
};

/// A receiver that is not carried is declared.
pub const IN_CAPABILITY_EXCESS: Mistake = Mistake {
    cause: "in_capability_excess",
    often: Often::Common,
    settings: RECEIVERS,
    what: "the unit claims a receiver that is not carried",
    correction: "declare the receivers that are really carried",
    source: "14 CFR 91.227(d): whether a receiver is fitted",
    candidates: |profile| receivers(profile, true),
};

/// One antenna for two, or two for one.
pub const ANTENNA_FLAG: Mistake = Mistake {
    cause: "antenna_flag",
    often: Often::Common,
    settings: &[SettingId::Antenna],
    what: "the antenna flag says one antenna for two, or two for one",
    correction: "set the flag as the aircraft's drawing shows",
    source: PRACTICE,
    candidates: |profile| {
        let other = match profile.antenna.get() {
            Some(Antenna::Single) => Antenna::Diversity,
            Some(Antenna::Diversity) => Antenna::Single,
            None => return Vec::new(),
        };
        changed(profile, "the other setting", |wrong| wrong.antenna = Stated::Is(other))
    },
};

/// A quality value at zero.
pub const QUALITY_LEFT_AT_ZERO: Mistake = Mistake {
    cause: "quality_left_at_zero",
    often: Often::Common,
    settings: &[SettingId::Sil, SettingId::SystemDesignAssurance, SettingId::Nacv, SettingId::Gva, SettingId::Nacp],
    what: "a quality value was left at zero, which means \"unknown\"",
    correction: "take the value from the approval data of the position source and the unit",
    source: "press report of 2017: uncertified sources at SIL 0",
    candidates: |profile| {
        type Named = (&'static str, fn(&mut Profile));
        let each: [Named; 5] = [
            ("SIL", |wrong| wrong.sil = Stated::Is(Whole(0))),
            ("SDA", |wrong| wrong.system_design_assurance = Stated::Is(Whole(0))),
            ("NACv", |wrong| wrong.nacv = Stated::Is(Whole(0))),
            ("GVA", |wrong| wrong.gva = Stated::Is(Whole(0))),
            ("NACp", |wrong| wrong.nacp = Stated::Is(Whole(0))),
        ];
        each.into_iter().flat_map(|(name, with)| changed(profile, &format!("{name} is 0"), with)).collect()
    },
};

/// Accuracy without integrity.
pub const INTEGRITY_NOT_PASSED: Mistake = Mistake {
    cause: "integrity_not_passed",
    often: Often::Counted(
        "not counted by itself; poor position quality from whatever cause: about 1200 United States aircraft in autumn 2016 (press report of 2017)",
    ),
    settings: &[SettingId::Nic],
    what: "the position source's integrity does not reach the unit: accuracy is there, integrity is not",
    correction: "check protocol, label set and approved pairing of position source and unit",
    source: "press report of 2017: about 1200 aircraft with poor position quality",
    candidates: |profile| changed(profile, "NIC is 0", |wrong| wrong.nic = Stated::Is(Whole(0))),
};

/// Another version of the standard.
pub const SOFTWARE_VERSION: Mistake = Mistake {
    cause: "software_version",
    often: Often::Common,
    settings: &[SettingId::MopsVersion],
    what: "the unit runs another software load",
    correction: "look for the service bulletin, and load the version that the install was approved with",
    source: "press report of 2017: version mismatch is a main cause of poor quality",
    candidates: |profile| {
        let stated = profile.mops_version.get().map_or(2, |version| version.0);
        (0..8)
            .filter(|version| *version != stated)
            .flat_map(|version| {
                changed(profile, &format!("version {version}"), |wrong| {
                    wrong.mops_version = Stated::Is(StandardVersion(version));
                })
            })
            .collect()
    },
};

/// No air/ground input.
pub const AIR_GROUND_NOT_WIRED: Mistake = Mistake {
    cause: "air_ground_not_wired",
    often: Often::Counted(
        "not counted by itself; airborne messages on the surface, from whatever cause, were the largest class: about 2500 United States aircraft in autumn 2016 (press report of 2017)",
    ),
    settings: &[SettingId::AirGroundKind],
    what: "the unit has no working air/ground input",
    correction: "wire or declare the air/ground input, and prove both states",
    source: "press report of 2017: air/ground is the largest class of faults",
    candidates: |profile| {
        changed(profile, "the capability says \"ground or air\"", |wrong| {
            wrong.air_ground_kind = Stated::Is(AirGroundKind::None);
        })
    },
};

/// The other altitude step.
pub const ALTITUDE_RESOLUTION: Mistake = Mistake {
    cause: "altitude_resolution",
    often: Often::Seldom,
    settings: &[SettingId::AltitudeResolution],
    what: "altitude goes out in the other step than the source has",
    correction: "set the kind of altitude source that is wired",
    source: "EASA AMC1 ACNS.D.ELS.015",
    candidates: |profile| {
        let other = if profile.altitude_resolution.get() == Some(&StepFt(25)) { 100 } else { 25 };
        changed(profile, &format!("{other}-ft steps"), |wrong| {
            wrong.altitude_resolution = Stated::Is(StepFt(other));
        })
    },
};

/// Another airspeed class.
pub const AIRSPEED_CLASS: Mistake = Mistake {
    cause: "airspeed_class",
    often: Often::Common,
    settings: &[SettingId::MaximumCruiseTrueAirspeed],
    what: "the airspeed class is not that of the aircraft's cruise",
    correction: "enter the maximum cruise true airspeed of the flight manual, in the unit that the menu asks for",
    source: PRACTICE,
    candidates: |profile| {
        [50.0, 100.0, 200.0, 400.0, 800.0, 1500.0]
            .into_iter()
            .flat_map(|knots| {
                changed(profile, &format!("a class that holds {knots} kt"), |wrong| {
                    wrong.maximum_cruise_true_airspeed = Stated::Is(Speed::knots(knots));
                })
            })
            .collect()
    },
};

/// The cross-check bit of the altitude is wrong.
pub const CROSS_CHECK_FLAG: Mistake = Mistake {
    cause: "cross_check_flag",
    often: Often::Common,
    settings: &[SettingId::AltitudeSourceKind, SettingId::AltitudeCrossChecked],
    what: "the unit says of grey-code wires that they are cross-checked, or of a checked source that it is not",
    correction: "set the kind of altitude source that is wired, and whether a second source checks it",
    source: "EASA AMC1 ACNS.D.ADSB.080: an input of wires that nothing checks sends 0",
    candidates: |profile| {
        let parallel = profile.altitude_source_kind.get() == Some(&AltitudeSourceKind::Parallel);
        match profile.altitude_cross_checked.get() {
            Some(checked) if parallel => changed(profile, "the other state of the bit", |wrong| {
                wrong.altitude_cross_checked = Stated::Is(!checked);
            }),
            _ if profile.altitude_source_kind.get().is_some() => changed(profile, "as from wires unchecked", |wrong| {
                wrong.altitude_source_kind = Stated::Is(AltitudeSourceKind::Parallel);
                wrong.altitude_cross_checked = Stated::Is(false);
            }),
            _ => Vec::new(),
        }
    },
};

/// The integrity level counts by the wrong thing.
pub const SIL_SUPPLEMENT: Mistake = Mistake {
    cause: "sil_supplement_wrong",
    often: Often::Seldom,
    settings: &[SettingId::SilSupplement],
    what: "the unit says that the integrity level counts by the other of flight hour and sample",
    correction: "take the supplement from the approval data of the position source",
    source: PRACTICE,
    candidates: |profile| {
        let other = match profile.sil_supplement.get() {
            Some(SilPer::Hour) => SilPer::Sample,
            Some(SilPer::Sample) => SilPer::Hour,
            None => return Vec::new(),
        };
        changed(profile, "the other supplement", |wrong| wrong.sil_supplement = Stated::Is(other))
    },
};

/// Collision avoidance claimed or denied.
pub const ACAS_FLAG: Mistake = Mistake {
    cause: "acas_flag",
    often: Often::Seldom,
    settings: &[SettingId::Acas],
    what: "the unit claims collision avoidance that is not on board, or denies what is",
    correction: "set the flag as the equipment list says",
    source: PRACTICE,
    candidates: |profile| {
        let Some(stated) = profile.acas.get().copied() else { return Vec::new() };
        [(Acas::Resolution, "resolution advisories"), (Acas::None, "none"), (Acas::AdvisoriesOnly, "advisories only")]
            .into_iter()
            // Advisories alone are told from none by nothing but replies in which the value may drop.
            .filter(|(acas, _)| *acas != stated && [*acas, stated].contains(&Acas::Resolution))
            .flat_map(|(acas, detail)| changed(profile, detail, |wrong| wrong.acas = Stated::Is(acas)))
            .collect()
    },
};

fn receivers(profile: &Profile, claimed: bool) -> Vec<Candidate> {
    let es = profile.es_1090_in.get().is_some_and(|carried| *carried != claimed);
    let uat = profile.uat_in.get().is_some_and(|carried| *carried != claimed);
    let mut candidates = Vec::new();
    for (detail, wrong_es, wrong_uat) in
        [("both receivers", true, true), ("the 1090ES receiver", true, false), ("the UAT receiver", false, true)]
    {
        if wrong_es <= es && wrong_uat <= uat {
            candidates.extend(changed(profile, detail, |wrong| {
                if wrong_es {
                    wrong.es_1090_in = Stated::Is(claimed);
                }
                if wrong_uat {
                    wrong.uat_in = Stated::Is(claimed);
                }
            }));
        }
    }
    candidates
}
