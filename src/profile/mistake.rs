//! The mistakes that installers make, as data: each turns a right profile into the wrong profiles that it leads to.
//!
//! A mistake is a profile too. The same table explains a capture (which wrong profile would have sent these bits?)
//! and makes practice captures.

use super::{
    AirGroundKind, Antenna, FromCentreLine, FromNose, IdentificationSource, Length, Profile, Speed, Stated, StepFt,
    Whole,
};
use crate::code::{EmitterCategory, Identification};
use crate::registry::slip::{self, Slip};

/// A mistake: its name, what it touches, and the wrong profiles that it leads to.
#[derive(Clone, Copy, Debug)]
pub struct Mistake {
    /// The fixed identifier.
    pub cause: &'static str,
    /// JSON pointers of the settings that it changes.
    pub settings: &'static [&'static str],
    /// What happened, in a sentence.
    pub what: &'static str,
    /// What to do.
    pub correction: &'static str,
    /// Where it is known from.
    pub source: &'static str,
    /// The wrong profiles, likeliest first, each with its detail.
    pub candidates: fn(&Profile) -> Vec<Candidate>,
}

/// A wrong profile, and what exactly went wrong in it.
pub type Candidate = (Profile, String);

const PRACTICE: &str = "common practice, no source";
const ONE_ADDRESS: &str = "ICAO rule, as summarised publicly: one aircraft, one address, also after a unit is moved";
const IDENTIFICATION: &[&str] = &["/aircraft/aircraft_identification"];
const ADDRESS: &[&str] = &["/aircraft/address"];
const SIZE: &[&str] = &["/aircraft/length", "/aircraft/width"];
const OFFSET: &[&str] =
    &["/position_source/antenna_offset/from_nose", "/position_source/antenna_offset/from_centre_line"];
const RECEIVERS: &[&str] = &["/receivers/es_1090_in", "/receivers/uat_in"];

/// Every mistake that is known, in order of how much each explains alone.
pub const MISTAKES: &[Mistake] = &[
    Mistake {
        cause: "prefix_left_off",
        settings: IDENTIFICATION,
        what: "the registration was entered without its national prefix",
        correction: "enter the identification in the form that the State of registry wants, prefix included",
        source: "FAA list of typical faults: missing prefix",
        candidates: |profile| identifications(profile, without_prefix),
    },
    Mistake {
        cause: "look_alike",
        settings: IDENTIFICATION,
        what: "a letter and a digit that look alike were confused",
        correction: "enter the identification again, letter for letter from the certificate",
        source: "IFATCA paper 2012-92: B8 G6 I1 O0 S5 Z2",
        candidates: |profile| identifications(profile, look_alikes),
    },
    Mistake {
        cause: "sample_identification",
        settings: IDENTIFICATION,
        what: "a sample text was left in the identification",
        correction: "enter the aircraft's own identification",
        source: PRACTICE,
        candidates: |profile| {
            identifications(profile, |_| {
                [
                    "TEST", "TEST1234", "12345678", "ABCDEFGH", "AAAAAAAA", "XXXXXXXX", "00000000", "11111111",
                    "N12345", "NONE",
                ]
                .map(|text| (text.to_owned(), format!("{text} is a sample")))
                .to_vec()
            })
        },
    },
    of_address(&slip::BLANK, |profile| addresses(profile, &slip::BLANK)),
    of_address(&slip::OCTAL_AS_HEXADECIMAL, |profile| addresses(profile, &slip::OCTAL_AS_HEXADECIMAL)),
    of_address(&slip::OCTAL_AS_DECIMAL, |profile| addresses(profile, &slip::OCTAL_AS_DECIMAL)),
    of_address(&slip::DIGITS_TRANSPOSED, |profile| addresses(profile, &slip::DIGITS_TRANSPOSED)),
    of_address(&slip::ONE_BIT, |profile| addresses(profile, &slip::ONE_BIT)),
    of_address(&slip::ONE_DIGIT, |profile| addresses(profile, &slip::ONE_DIGIT)),
    of_address(&slip::COMPLEMENTED, |profile| addresses(profile, &slip::COMPLEMENTED)),
    of_address(&slip::MIRRORED, |profile| addresses(profile, &slip::MIRRORED)),
    of_address(&slip::NIBBLES_SWAPPED, |profile| addresses(profile, &slip::NIBBLES_SWAPPED)),
    of_address(&slip::OF_ANOTHER_MARK, |profile| addresses(profile, &slip::OF_ANOTHER_MARK)),
    Mistake {
        cause: "feet_as_metres",
        settings: SIZE,
        what: "a size in feet was entered as metres",
        correction: "enter the size in metres",
        source: PRACTICE,
        candidates: |profile| {
            sizes(profile, |length| length.number_in("ft").map(Length::metres), "feet entered as metres")
        },
    },
    Mistake {
        cause: "metres_as_feet",
        settings: SIZE,
        what: "a size in metres was entered as feet",
        correction: "enter the size in the unit that the menu asks for",
        source: PRACTICE,
        candidates: |profile| {
            sizes(profile, |length| Some(Length::metres(length.in_metres() * 0.3048)), "metres entered as feet")
        },
    },
    Mistake {
        cause: "length_width_swapped",
        settings: SIZE,
        what: "length and width changed places",
        correction: "enter length over all and span, each in its place",
        source: "common practice, no source",
        candidates: |profile| {
            changed(profile, "length and width changed places", |wrong| {
                std::mem::swap(&mut wrong.length, &mut wrong.width);
            })
        },
    },
    Mistake {
        cause: "size_not_set",
        settings: SIZE,
        what: "the size was never set",
        correction: "measure the aircraft and enter its size",
        source: "code 0 is \"no data\" in version 2: ICAO Doc 9871 draft, page 224",
        candidates: |profile| {
            changed(profile, "the code says \"no data\"", |wrong| {
                wrong.length = Stated::Is(Length::metres(0.0));
                wrong.width = Stated::Is(Length::metres(0.0));
            })
        },
    },
    Mistake {
        cause: "offset_wrong_side",
        settings: OFFSET,
        what: "the antenna was entered on the other side of the centre line",
        correction: "left and right are seen from the pilot's seat; enter the side again",
        source: "1 is right: ICAO Doc 9871 draft, page 227",
        candidates: |profile| {
            let other = match profile.antenna_from_centre_line.get() {
                Some(FromCentreLine::Left(length)) => FromCentreLine::Right(*length),
                Some(FromCentreLine::Right(length)) => FromCentreLine::Left(*length),
                _ => return Vec::new(),
            };
            changed(profile, "the other side of the centre line", |wrong| {
                wrong.antenna_from_centre_line = Stated::Is(other);
            })
        },
    },
    Mistake {
        cause: "offset_not_set",
        settings: OFFSET,
        what: "the antenna offset was never set; \"no data\" is another code than zero",
        correction: "measure from the nose aft and from the centre line, and enter both",
        source: "ICAO Doc 9871 draft, page 227",
        candidates: |profile| {
            let mut candidates = changed(profile, "both distances say \"no data\"", |wrong| {
                wrong.antenna_from_centre_line = Stated::Is(FromCentreLine::NotKnown);
                wrong.antenna_from_nose = Stated::Is(FromNose::NotKnown);
            });
            candidates.extend(changed(profile, "the distance from the centre line says \"no data\"", |wrong| {
                wrong.antenna_from_centre_line = Stated::Is(FromCentreLine::NotKnown);
            }));
            candidates.extend(changed(profile, "the distance from the nose says \"no data\"", |wrong| {
                wrong.antenna_from_nose = Stated::Is(FromNose::NotKnown);
            }));
            candidates
        },
    },
    Mistake {
        cause: "offset_unit",
        settings: OFFSET,
        what: "an antenna distance was entered in the other unit",
        correction: "enter the distances in metres",
        source: PRACTICE,
        candidates: |profile| {
            let feet = |length: Length| length.number_in("ft").map(Length::metres);
            let metres = |length: Length| Some(Length::metres(length.in_metres() * 0.3048));
            let mut candidates = offsets(profile, feet, "feet entered as metres");
            candidates.extend(offsets(profile, metres, "metres entered as feet"));
            candidates
        },
    },
    Mistake {
        cause: "in_capability_missing",
        settings: RECEIVERS,
        what: "a receiver is carried, and the unit says that it is not: the ground serves no traffic for this aircraft",
        correction: "declare the receivers that are really carried",
        source: "14 CFR 91.227(d): whether a receiver is fitted",
        candidates: |profile| receivers(profile, false),
    },
    Mistake {
        cause: "in_capability_excess",
        settings: RECEIVERS,
        what: "the unit claims a receiver that is not carried",
        correction: "declare the receivers that are really carried",
        source: "14 CFR 91.227(d): whether a receiver is fitted",
        candidates: |profile| receivers(profile, true),
    },
    Mistake {
        cause: "antenna_flag",
        settings: &["/transponder/antenna"],
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
    },
    Mistake {
        cause: "quality_left_at_zero",
        settings: &[
            "/position_source/sil",
            "/transponder/system_design_assurance",
            "/position_source/nacv",
            "/position_source/gva",
            "/position_source/nacp",
        ],
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
    },
    Mistake {
        cause: "integrity_not_passed",
        settings: &["/position_source/nic"],
        what: "the position source's integrity does not reach the unit: accuracy is there, integrity is not",
        correction: "check protocol, label set and approved pairing of position source and unit",
        source: "press report of 2017: about 1200 aircraft with poor position quality",
        candidates: |profile| changed(profile, "NIC is 0", |wrong| wrong.nic = Stated::Is(Whole(0))),
    },
    Mistake {
        cause: "software_version",
        settings: &["/transponder/mops_version"],
        what: "the unit runs another software load",
        correction: "look for the service bulletin, and load the version that the install was approved with",
        source: "press report of 2017: version mismatch is a main cause of poor quality",
        candidates: |profile| {
            let stated = profile.mops_version.get().map_or(2, |version| version.0);
            (0..8)
                .filter(|version| *version != stated)
                .flat_map(|version| {
                    changed(profile, &format!("version {version}"), |wrong| {
                        wrong.mops_version = Stated::Is(Whole(version));
                    })
                })
                .collect()
        },
    },
    Mistake {
        cause: "air_ground_not_wired",
        settings: &["/transponder/air_ground/kind"],
        what: "the unit has no working air/ground input",
        correction: "wire or declare the air/ground input, and prove both states",
        source: "press report of 2017: air/ground is the largest class of faults",
        candidates: |profile| {
            changed(profile, "the capability says \"ground or air\"", |wrong| {
                wrong.air_ground_kind = Stated::Is(AirGroundKind::None);
            })
        },
    },
    Mistake {
        cause: "altitude_resolution",
        settings: &["/transponder/altitude_source/resolution_ft"],
        what: "altitude goes out in the other step than the source has",
        correction: "set the kind of altitude source that is wired",
        source: "EASA AMC1 ACNS.D.ELS.015",
        candidates: |profile| {
            let other = if profile.altitude_resolution.get() == Some(&StepFt(25)) { 100 } else { 25 };
            changed(profile, &format!("{other}-ft steps"), |wrong| {
                wrong.altitude_resolution = Stated::Is(StepFt(other));
            })
        },
    },
    Mistake {
        cause: "airspeed_class",
        settings: &["/aircraft/maximum_cruise_true_airspeed"],
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
    },
    Mistake {
        cause: "category_wrong",
        settings: &["/aircraft/emitter_category"],
        what: "another emitter category was chosen",
        correction: "choose the category of the certified weight, or of the kind of aircraft where it has one",
        source: "press report: about 550 United States aircraft in 2016",
        candidates: |profile| {
            let stated = profile.emitter_category.get().copied();
            (1..=4)
                .rev()
                .flat_map(|set| (0..8).map(move |number| (set, number)))
                .filter_map(|(set, number)| EmitterCategory::new(set, crate::code::Bits::from_bits(number)))
                .filter(|category| Some(*category) != stated)
                .flat_map(|category| {
                    let words = category.words(crate::code::Version::Two);
                    changed(profile, &format!("{category}, {words}"), |wrong| {
                        wrong.emitter_category = Stated::Is(category);
                    })
                })
                .collect()
        },
    },
];

/// The mistake with this identifier.
pub fn mistake(cause: &str) -> Option<&'static Mistake> {
    MISTAKES.iter().find(|mistake| mistake.cause == cause)
}

fn changed(profile: &Profile, detail: &str, with: impl FnOnce(&mut Profile)) -> Vec<Candidate> {
    let mut wrong = profile.clone();
    with(&mut wrong);
    if wrong == *profile { Vec::new() } else { vec![(wrong, detail.to_owned())] }
}

const fn of_address(slip: &Slip, candidates: fn(&Profile) -> Vec<Candidate>) -> Mistake {
    Mistake {
        cause: slip.name,
        settings: ADDRESS,
        what: slip.what,
        correction: slip.correction,
        source: slip.source,
        candidates,
    }
}

fn addresses(profile: &Profile, slip: &Slip) -> Vec<Candidate> {
    let Some(right) = profile.address.get() else { return Vec::new() };
    slip.of(*right)
        .into_iter()
        .map(|(address, detail)| {
            let mut candidate = profile.clone();
            candidate.address = Stated::Is(address);
            (candidate, detail)
        })
        .collect()
}

fn identifications(profile: &Profile, wrong: impl Fn(&str) -> Vec<(String, String)>) -> Vec<Candidate> {
    let Some(right) = profile.aircraft_identification.get() else { return Vec::new() };
    if profile.identification_source.get() == Some(&IdentificationSource::CrewEntered) {
        return Vec::new();
    }
    wrong(&right.to_string())
        .into_iter()
        .filter_map(|(text, detail)| Some((text.parse::<Identification>().ok()?, detail)))
        .filter(|(text, _)| text != right)
        .map(|(text, detail)| {
            let mut candidate = profile.clone();
            candidate.aircraft_identification = Stated::Is(text);
            (candidate, detail)
        })
        .collect()
}

/// National prefixes have one or two symbols.
fn without_prefix(identification: &str) -> Vec<(String, String)> {
    (1..=2)
        .filter(|length| {
            identification.len() > length + 1
                && identification[..*length].starts_with(|c: char| c.is_ascii_alphabetic())
        })
        .map(|length| (identification[length..].to_owned(), format!("{} was left off", &identification[..length])))
        .collect()
}

fn look_alikes(identification: &str) -> Vec<(String, String)> {
    const ALIKE: [(char, char); 6] = [('B', '8'), ('G', '6'), ('I', '1'), ('O', '0'), ('S', '5'), ('Z', '2')];
    let other = |c: char| ALIKE.iter().find_map(|(a, b)| if c == *a { Some(*b) } else { (c == *b).then_some(*a) });
    let symbols: Vec<char> = identification.chars().collect();
    let places: Vec<usize> = (0..symbols.len()).filter(|at| other(symbols[*at]).is_some()).collect();
    (1..1usize << places.len())
        .map(|chosen| {
            let mut wrong = symbols.clone();
            let mut detail = Vec::new();
            for (_, at) in places.iter().enumerate().filter(|(place, _)| chosen >> place & 1 == 1) {
                if let Some(alike) = other(symbols[*at]) {
                    wrong[*at] = alike;
                    detail.push(format!("{alike} for {} at place {}", symbols[*at], at + 1));
                }
            }
            (wrong.into_iter().collect(), detail.join(", "))
        })
        .collect()
}

fn sizes(profile: &Profile, wrong: impl Fn(Length) -> Option<Length>, detail: &str) -> Vec<Candidate> {
    let (length, width) = (profile.length.get().copied(), profile.width.get().copied());
    let (wrong_length, wrong_width) = (length.and_then(&wrong), width.and_then(&wrong));
    let mut candidates = Vec::new();
    for (which, length, width) in [
        ("length and width", wrong_length, wrong_width),
        ("length", wrong_length, width),
        ("width", length, wrong_width),
    ] {
        if let (Some(length), Some(width)) = (length, width) {
            candidates.extend(changed(profile, &format!("{which}: {detail}"), |wrong| {
                (wrong.length, wrong.width) = (Stated::Is(length), Stated::Is(width));
            }));
        }
    }
    candidates
}

fn offsets(profile: &Profile, wrong: impl Fn(Length) -> Option<Length>, detail: &str) -> Vec<Candidate> {
    let nose = match profile.antenna_from_nose.get() {
        Some(FromNose::Measured(length)) => wrong(*length).map(FromNose::Measured),
        _ => None,
    };
    let across = profile.antenna_from_centre_line.get().and_then(|offset| offset.with_length(&wrong));
    let mut candidates = Vec::new();
    if let (Some(nose), Some(across)) = (nose, across) {
        candidates.extend(changed(profile, &format!("both distances: {detail}"), |wrong| {
            wrong.antenna_from_nose = Stated::Is(nose);
            wrong.antenna_from_centre_line = Stated::Is(across);
        }));
    }
    if let Some(nose) = nose {
        candidates.extend(changed(profile, &format!("from the nose: {detail}"), |wrong| {
            wrong.antenna_from_nose = Stated::Is(nose);
        }));
    }
    if let Some(across) = across {
        candidates.extend(changed(profile, &format!("from the centre line: {detail}"), |wrong| {
            wrong.antenna_from_centre_line = Stated::Is(across);
        }));
    }
    candidates
}

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

/// What is said of a difference that no mistake of the table explains.
pub const UNEXPLAINED: Mistake = Mistake {
    cause: "value_differs",
    settings: &[],
    what: "the value on the air is not the one of the profile",
    correction: "compare the profile and the unit's set-up page with the source of the value",
    source: PRACTICE,
    candidates: |_| Vec::new(),
};

/// Said of an identification that no entry error explains: most likely the one of an earlier flight.
pub const STALE_IDENTIFICATION: Mistake = Mistake {
    cause: "stale_identification",
    settings: IDENTIFICATION,
    what: "the identification is another one altogether, as after an earlier flight or owner",
    correction: "enter the identification again, switch the unit off and on, and look again",
    source: PRACTICE,
    candidates: |_| Vec::new(),
};

/// Said where identification and category, or more, are another aircraft's.
pub const UNIT_MOVED: Mistake = Mistake {
    cause: "unit_moved",
    settings: &["/aircraft/address", "/aircraft/aircraft_identification", "/aircraft/emitter_category"],
    what: "several settings are another aircraft's: the unit may have been moved, or not set up after a repair",
    correction: "go through every setting of the unit, not only the address",
    source: ONE_ADDRESS,
    candidates: |_| Vec::new(),
};

/// Said where surface messages move as only a flying aircraft does.
pub const AIR_GROUND_INVERTED: Mistake = Mistake {
    cause: "air_ground_inverted",
    settings: &["/transponder/air_ground/active_means"],
    what: "the air/ground input has the wrong polarity: surface messages go out in flight",
    correction: "set what the active input means, and prove both states",
    source: "tool default: a surface message above 100 kt is not taxiing",
    candidates: |_| Vec::new(),
};

/// Said where a grey code is one that no altitude has.
pub const ALTITUDE_WIRE: Mistake = Mistake {
    cause: "altitude_wire",
    settings: &["/transponder/altitude_source/kind"],
    what: "the altitude code is one that no altitude has: a wire of the C group is open or grounded",
    correction: "check the wires C1, C2 and C4 one by one, then every wire against an altitude run",
    source: "own arithmetic: an open or grounded C1 or C4, or an open C2, makes codes that are illegal",
    candidates: |_| Vec::new(),
};

/// Causes that are not looked for among wrong profiles, but judged from what was seen.
pub const JUDGED: [Mistake; 5] = [STALE_IDENTIFICATION, UNIT_MOVED, AIR_GROUND_INVERTED, ALTITUDE_WIRE, UNEXPLAINED];
