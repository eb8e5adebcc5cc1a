//! The entry errors of the trade, setting by setting (the sheet of facts on the trade, section 1): each is caught at its own
//! question, where it is made, or it is said why no desk can catch it.

use crate::program::profile_text;
use squitterlab::code::{Bits, LengthWidth};
use squitterlab::profile::{Answer, Profile, Questions, SettingId as S, Severity, category_of, check, rule_set};

/// One row: what the setting is, and what is typed wrong at which question with the words that tell it.
struct Row {
    number: usize,
    about: &'static str,
    /// Answers that were given before, for the install in which the slip is made.
    install: &'static [(S, &'static str)],
    slips: &'static [(S, &'static str, &'static [&'static str])],
    /// What of the row no desk can catch, and why.
    cannot: &'static str,
}

const JET: &[(S, &str)] = &[
    (S::Kind, "aeroplane"),
    (S::MaximumTakeOffWeight, "60000 lb"),
    (S::EmitterCategory, "A2"),
    (S::Length, "28 m"),
    (S::Width, "26 m"),
    (S::AntennaFromNose, "8 ft"),
    (S::MaximumCruiseTrueAirspeed, "450 kt"),
    (S::Antenna, "diversity"),
];

const ROWS: &[Row] = &[
    Row {
        number: 1,
        about: "24-bit aircraft address",
        install: &[],
        slips: &[
            (S::Address, "000000", &["blank or returned unit", "A5C035"]),
            (S::Address, "FFFFFF", &["blank or returned unit"]),
            (S::Address, "51340065", &["octal form", "A5C035"]),
            (S::Address, "10862645", &["decimal form", "A5C035"]),
            (S::Address, "513400", &["typed as hexadecimal", "A5C035"]),
            (S::Address, "A5C034", &["address bit 24 is inverted"]),
            (S::Address, "A5C053", &["digits 5 and 6 changed places"]),
            (S::Address, "A5C0C5", &["digit 5 is wrong"]),
            (S::Address, "5A3FCA", &["every bit is inverted"]),
            (S::Address, "AC03A5", &["reverse order"]),
            (S::Address, "35C0A5", &["changed places"]),
            (S::Address, "C0A535", &["pairs of digits changed places"]),
            (S::Address, "A5CO35", &["letter O was typed for the digit 0", "A5C035"]),
            (S::Address, "A5C03S", &["letter S was typed for the digit 5", "A5C035"]),
            (S::Address, "5C035", &["exactly six hexadecimal digits", "A5C035"]),
            (S::Address, "A061D9", &["A061D9 would be N12345", "A5C035"]),
            (S::Address, "3C6589", &["Germany"]),
        ],
        cannot: "the second unit and the beacon are other boxes; `profile identity` lists them",
    },
    Row {
        number: 2,
        about: "aircraft identification",
        install: &[(S::IdentificationSource, "fixed")],
        slips: &[
            (S::AircraftIdentification, "47QX", &["N was left off", "N47QX"]),
            (S::AircraftIdentification, "N-47QX", &["without hyphen", "N47QX"]),
            (S::AircraftIdentification, "N 47QX", &["space", "N47QX"]),
            (S::AircraftIdentification, "N47QX12345", &["N47QX"]),
            (S::AircraftIdentification, "TEST", &["sample"]),
            (S::AircraftIdentification, "KL1023", &["differs from the registration"]),
        ],
        cannot: "a blank one is an open question here and cannot be typed",
    },
    Row {
        number: 3,
        about: "who enters the identification",
        install: &[(S::IdentificationSource, "fixed")],
        slips: &[(S::AircraftIdentification, "KLM1023", &["looks like a call sign"])],
        cannot: "what the unit falls back to at power-up shows only after a power cycle",
    },
    Row {
        number: 4,
        about: "emitter category",
        install: &[(S::Kind, "aeroplane"), (S::MaximumTakeOffWeight, "2550 lb")],
        slips: &[
            (S::EmitterCategory, "A2", &["A2 is entered", "enter A1"]),
            (S::EmitterCategory, "A0", &["no information"]),
            (S::EmitterCategory, "B1", &["enter A1"]),
            (S::EmitterCategory, "B5", &["reserved"]),
            (S::MaximumTakeOffWeight, "0 lb", &["not a valid weight"]),
            (S::MaximumTakeOffWeight, "2 lb", &["very light"]),
            (S::MaximumTakeOffWeight, "1.157 kg", &["were tonnes typed as kg?"]),
            (S::MaximumTakeOffWeight, "2550", &["no unit"]),
        ],
        cannot: "pounds typed as kilograms within one category change nothing on the air",
    },
    Row {
        number: 5,
        about: "length and width",
        install: &[],
        slips: &[
            (S::Length, "27.2 m", &["were feet typed as metres?"]),
            (S::Length, "323 ft", &["were inches typed as feet?"]),
            (S::Length, "820 m", &["were centimetres typed as metres?"]),
            (S::Length, "8290 cm", &["were millimetres typed as centimetres?"]),
            (S::Length, "0 m", &["0 is not a valid size"]),
            (S::Length, "27.2", &["no unit"]),
            (S::Width, "11 ft", &["were metres typed as feet?"]),
            (S::Width, "430 ft", &["were inches typed as feet?"]),
            (S::Width, "3 m", &["outside"]),
        ],
        cannot: "a fuselage measured without its propeller is a plausible length",
    },
    Row {
        number: 6,
        about: "code of visual flight",
        install: &[],
        slips: &[
            (S::VfrModeACode, "7700", &["emergency code"]),
            (S::VfrModeACode, "7777", &["military interceptors"]),
            (S::VfrModeACode, "7615", &["alarm"]),
            (S::VfrModeACode, "7000", &["not a code for visual flight"]),
            (S::VfrModeACode, "1280", &["four digits 0 to 7"]),
        ],
        cannot: "",
    },
    Row {
        number: 7,
        about: "privacy or temporary address",
        install: &[],
        slips: &[(S::AddressKind, "privacy", &["not the lasting one", "first and the last day"])],
        cannot: "an old address that was not restored is a right address in its time: its days are on record",
    },
    Row {
        number: 8,
        about: "position source, protocol, pairing",
        install: &[],
        slips: &[],
        cannot: "what is really wired shows in the quality that is sent; the pairing approval is on record",
    },
    Row {
        number: 9,
        about: "source integrity level",
        install: &[],
        slips: &[
            (S::Sil, "0", &["integrity level says unknown"]),
            (S::Sil, "2", &["below the 3 that"]),
            (S::SilSupplement, "per_sample", &["per flight hour"]),
        ],
        cannot: "a 3 without a basis looks as a 3 with one: the approval data decide",
    },
    Row {
        number: 10,
        about: "system design assurance",
        install: &[],
        slips: &[
            (S::SystemDesignAssurance, "0", &["design assurance unknown"]),
            (S::SystemDesignAssurance, "1", &["weakest unit"]),
            (S::SystemDesignAssurance, "3", &["weakest unit"]),
        ],
        cannot: "",
    },
    Row {
        number: 11,
        about: "velocity accuracy",
        install: &[],
        slips: &[
            (S::Nacv, "0", &["is unknown"]),
            (S::Nacv, "3", &["unless demonstrated"]),
            (S::Nacv, "4", &["unless demonstrated"]),
        ],
        cannot: "",
    },
    Row {
        number: 12,
        about: "position accuracy and integrity",
        install: &[],
        slips: &[
            (S::Nic, "0", &["accuracy without integrity"]),
            (S::Nacp, "0", &["is unknown"]),
            (S::Nacp, "7", &["below the 8 that"]),
        ],
        cannot: "what the source really sends needs a capture",
    },
    Row {
        number: 13,
        about: "antenna across",
        install: &[],
        slips: &[
            (S::AntennaFromCentreLine, "2 ft", &["needs its side"]),
            (S::AntennaFromCentreLine, "left 24 in", &[]),
            (S::AntennaFromCentreLine, "left 7.6 m", &["beyond the wing tip", "were feet typed as metres?"]),
            (S::AntennaFromCentreLine, "right 24 ft", &["beyond the wing tip", "were inches typed as feet?"]),
        ],
        cannot: "left for right is plausible: the drawing of the sheet shows it",
    },
    Row {
        number: 14,
        about: "antenna aft of the nose",
        install: &[],
        slips: &[
            (S::AntennaFromNose, "0 m", &["no code says 0 m"]),
            (S::AntennaFromNose, "-1 m", &["cannot be -1 m"]),
            (S::AntennaFromNose, "10.2 m", &["behind an aircraft", "were feet typed as metres?"]),
            (S::AntennaFromNose, "122 ft", &["behind an aircraft", "were inches typed as feet?"]),
            (S::AntennaFromNose, "310 m", &["behind an aircraft", "were centimetres typed as metres?"]),
            (S::AntennaFromNose, "3100 cm", &["behind an aircraft", "were millimetres typed as centimetres?"]),
            (S::AntennaFromNose, "7.9 m", &["at the tail"]),
            (S::AntennaFromNose, "0.3 m", &["at the very nose"]),
        ],
        cannot: "a distance from the datum in the middle of the cabin is plausible",
    },
    Row {
        number: 15,
        about: "reference of the geometric height",
        install: &[],
        slips: &[(S::GeometricHeight, "mean_sea_level", &["above mean sea level"])],
        cannot: "what the source really sends needs a capture",
    },
    Row {
        number: 16,
        about: "vertical accuracy",
        install: &[],
        slips: &[(S::Gva, "0", &["accuracy of height is unknown"])],
        cannot: "",
    },
    Row {
        number: 17,
        about: "time mark",
        install: &[],
        slips: &[(S::UtcSynchronised, "yes", &["timed to UTC", "time mark"])],
        cannot: "",
    },
    Row {
        number: 18,
        about: "direction on the ground",
        install: &[],
        slips: &[(S::SurfaceDirectionReference, "magnetic", &["magnetic heading wired as track"])],
        cannot: "",
    },
    Row {
        number: 19,
        about: "altitude source",
        install: &[],
        slips: &[
            (S::AltitudeResolution, "25", &["grey code on wires counts 100 ft"]),
            (S::AltitudeResolution, "50", &["25 or 100"]),
        ],
        cannot: "a wrong protocol shows as altitudes that are missing",
    },
    Row {
        number: 20,
        about: "barometric integrity",
        install: &[],
        slips: &[(S::AltitudeCrossChecked, "yes", &["second source and a comparator"])],
        cannot: "",
    },
    Row {
        number: 21,
        about: "code lines",
        install: &[],
        slips: &[],
        cannot: "wires are no entry: the altitude run finds them",
    },
    Row {
        number: 22,
        about: "altitude trim",
        install: &[],
        slips: &[],
        cannot: "no setting of the profile: it is for the altimeter and encoder test",
    },
    Row { number: 23, about: "display, dimming", install: &[], slips: &[], cannot: "never on the air" },
    Row {
        number: 24,
        about: "selected altitude, pressure setting",
        install: &[],
        slips: &[],
        cannot: "decided by the flight, not by the install",
    },
    Row {
        number: 25,
        about: "air/ground input",
        install: &[],
        slips: &[(S::AirGroundKind, "none", &["no surface messages go out"])],
        cannot: "an inverted switch is plausible either way: both states have to be seen",
    },
    Row {
        number: 26,
        about: "automatic air/ground rule",
        install: &[(S::AirGroundKind, "automatic")],
        slips: &[(S::AirborneAbove, "10 kt", &["taxi"]), (S::AirborneAbove, "150 kt", &["on the ground in the air"])],
        cannot: "the stall speed of the aircraft is not in the profile",
    },
    Row {
        number: 27,
        about: "cruise speed class",
        install: &[],
        slips: &[
            (S::MaximumCruiseTrueAirspeed, "0 kt", &["not a valid airspeed"]),
            (S::MaximumCruiseTrueAirspeed, "900 kt", &["outside the"]),
            (S::MaximumCruiseTrueAirspeed, "145", &["145 kt or 145 mph"]),
            (S::MaximumCruiseTrueAirspeed, "150 kt", &["within half a per cent of a step at 150 kt"]),
        ],
        cannot: "knots for miles an hour within one class change nothing on the air",
    },
    Row {
        number: 28,
        about: "surface rate",
        install: &[],
        slips: &[],
        cannot: "no setting of the profile: the unit decides by movement",
    },
    Row {
        number: 29,
        about: "receivers",
        install: &[],
        slips: &[
            (S::Es1090In, "no", &["no 1090ES receiver is declared"]),
            (S::UatIn, "no", &["no UAT receiver is declared"]),
        ],
        cannot: "a receiver claimed and not carried looks like one that is",
    },
    Row {
        number: 30,
        about: "collision avoidance",
        install: &[],
        slips: &[(S::Acas, "resolution", &["seldom has a collision avoidance"])],
        cannot: "",
    },
    Row {
        number: 31,
        about: "antennas",
        install: JET,
        slips: &[(S::Antenna, "single", &["one antenna on an aircraft above 5700 kg"])],
        cannot: "two claimed on a light aircraft are possible: the drawing decides",
    },
    Row {
        number: 32,
        about: "transmit power",
        install: &[],
        slips: &[],
        cannot: "the data plate and the test set decide: 70 W is no matter of plausibility",
    },
    Row {
        number: 33,
        about: "version of the standard",
        install: &[],
        slips: &[
            (S::MopsVersion, "DO-260", &["old software load"]),
            (S::MopsVersion, "1", &["old software load"]),
            (S::MopsVersion, "DO-160", &["DO-260B"]),
        ],
        cannot: "",
    },
    Row {
        number: 34,
        about: "data link capability",
        install: &[],
        slips: &[
            (S::DataLinkRegisters, "1,0 1,7", &["register 2,0 is missing"]),
            (S::DataLinkRegisters, "none", &["1,0, 1,7 and 2,0 are missing"]),
            (S::ModeSLevel, "1", &["no extended squitter"]),
        ],
        cannot: "",
    },
    Row {
        number: 35,
        about: "emergency and ident",
        install: &[],
        slips: &[],
        cannot: "functions, not settings, and never tried by radiating",
    },
    Row {
        number: 36,
        about: "second transmitter",
        install: &[],
        slips: &[(S::SecondTransponder, "yes", &["profile of each unit"])],
        cannot: "two units that differ show in captures of each",
    },
    Row { number: 37, about: "beacon", install: &[], slips: &[], cannot: "another box: `profile identity` lists it" },
    Row { number: 38, about: "display-only items", install: &[], slips: &[], cannot: "never on the air" },
];

/// What is said at the question of a setting when this is typed.
fn said(questions: &mut Questions, setting: S, typed: &str) -> String {
    assert!(questions.go_to(setting), "{setting} is not asked");
    let problems = match questions.answer(typed) {
        Err(fault) => return format!("{}; {}", fault.reason, fault.correction),
        Ok(Answer::Doubtful(problems)) => problems,
        Ok(Answer::Taken { notes, .. }) => notes,
        Ok(other) => panic!("{setting} {typed}: {other:?}"),
    };
    let said: Vec<String> =
        problems.into_iter().map(|problem| format!("{}; {}", problem.reason, problem.correction)).collect();
    said.join("\n")
}

#[test]
fn each_entry_error_of_the_trade_is_caught_at_its_question_or_it_is_said_why_not() {
    let text = profile_text(&[]);
    let mut slips = 0;
    let mut wrong = Vec::new();
    for (at, row) in ROWS.iter().enumerate() {
        assert_eq!(row.number, at + 1, "no row of the sheet is left out");
        assert!(!row.slips.is_empty() || !row.cannot.is_empty(), "{}", row.about);
        let mut install = Questions::new(&text, true).expect("the demo profile");
        for (setting, typed) in row.install {
            said(&mut install, *setting, typed);
            install.confirm();
        }
        for (setting, typed, words) in row.slips {
            let mut questions = install.clone();
            let said = said(&mut questions, *setting, typed);
            let lacking: Vec<_> = words.iter().filter(|word| !said.contains(*word)).collect();
            // What is right is not doubted.
            if !lacking.is_empty() || said.is_empty() != words.is_empty() {
                wrong.push(format!(
                    "row {} ({}), {setting} {typed}: {lacking:?} not in {said:?}",
                    row.number, row.about
                ));
            }
            slips += 1;
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(slips > 80, "{slips} slips");
    assert_eq!(ROWS.len(), 38, "the sheet has 38 rows");
}

/// The problems of an aircraft with this kind, weight and category.
fn category_problems(weight: &str, category: &str) -> Vec<(Severity, String)> {
    let text = format!(
        "{{\"aircraft\": {{\"kind\": \"aeroplane\", \"maximum_take_off_weight\": {weight}, \"emitter_category\": \"{category}\"}}}}"
    );
    let problems = check(&Profile::read(&text), rule_set("none").expect("a set"));
    problems
        .into_iter()
        .filter(|problem| problem.rule == "category_of_aircraft")
        .map(|problem| (problem.severity, problem.reason))
        .collect()
}

#[test]
fn a_weight_within_half_a_per_cent_of_a_limit_faults_neither_category_and_is_told() {
    // Limits in pounds: ICAO Doc 9871 draft, page 250.
    let limits = [(15_500.0, "A1", "A2"), (75_000.0, "A2", "A3"), (300_000.0, "A3", "A5")];
    for (limit, below, above) in limits {
        for thousandths in -20_i32..=20 {
            let pounds: f64 = limit * (1.0 + f64::from(thousandths) / 1000.0);
            for (unit, size) in [("lb", 1.0), ("kg", 0.453_592_37)] {
                let weight = format!("{{\"{unit}\": {}}}", pounds * size);
                let derived = category_of(
                    Some(squitterlab::profile::AircraftKind::Aeroplane),
                    squitterlab::profile::Weight::typed(&format!("{} {unit}", pounds * size)).ok(),
                )
                .expect("a category")
                .category
                .to_string();
                for category in [below, above] {
                    let problems = category_problems(&weight, category);
                    let close = thousandths.abs() < 5;
                    let right = derived == category;
                    match (right, close) {
                        (true, _) => assert!(problems.is_empty(), "{weight} {category}: {problems:?}"),
                        (false, true) => {
                            assert_eq!(problems.len(), 1);
                            assert_eq!(problems[0].0, Severity::Note, "{weight} {category}: {problems:?}");
                            assert!(problems[0].1.contains("within half a per cent"));
                        }
                        // Exactly half a per cent may fall on either side of the arithmetic.
                        (false, false) if thousandths.abs() == 5 => {}
                        (false, false) => assert_eq!(problems[0].0, Severity::Error, "{weight} {category}"),
                    }
                }
            }
        }
    }
    // A weight in the wrong unit names the unit: 12 500 kg are 27 558 lb.
    let problems = category_problems("{\"lb\": 12500}", "A2");
    assert!(problems[0].1.contains("were kilograms typed as pounds?"), "{problems:?}");
}

#[test]
fn a_measure_close_to_a_step_of_its_code_is_told_and_never_faulted() {
    let code = |length: f64, width: f64| LengthWidth::from_metres(length, width).expect("a size").bits();
    let close = |text: &str, pointer: &str| {
        let problems = check(&Profile::read(text), rule_set("none").expect("a set"));
        let of = problems.iter().filter(|problem| problem.rule == "close_to_a_step");
        assert!(of.clone().all(|problem| problem.severity == Severity::Note));
        of.filter(|problem| problem.pointer == pointer).count()
    };
    let mut told = 0;
    for centimetres in (400..9000).step_by(1) {
        let length = f64::from(centimetres) / 100.0;
        let text = format!("{{\"aircraft\": {{\"length\": {{\"m\": {length}}}, \"width\": {{\"m\": 5}}}}}}");
        let said = close(&text, "/aircraft/length");
        // Whatever changes the code within a hair is told.
        if code(length * 0.997, 5.0) != code(length * 1.003, 5.0) {
            assert_eq!(said, 1, "{length} m");
            told += 1;
        }
        if code(length * 0.99, 5.0) == code(length * 1.01, 5.0) && length < 85.0 {
            assert_eq!(said, 0, "{length} m");
        }
    }
    assert!(told > 100, "{told}");
    for centimetres in 1..6000 {
        let metres = f64::from(centimetres) / 100.0;
        let text = format!(
            "{{\"aircraft\": {{\"length\": {{\"m\": 70}}}}, \"position_source\": {{\"antenna_offset\": {{\"from_nose\": {{\"m\": {metres}}}}}}}}}"
        );
        let said = close(&text, "/position_source/antenna_offset/from_nose");
        let steps = |metres: f64| (metres / 2.0).ceil() as u32;
        if steps(metres * 0.996) != steps(metres * 1.004) {
            assert_eq!(said, 1, "{metres} m");
        }
        if steps(metres * 0.994) == steps(metres * 1.006) {
            assert_eq!(said, 0, "{metres} m");
        }
    }
}
