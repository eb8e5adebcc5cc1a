//! The judge against faults that leave every other setting right: each is planted in flights of invented installs, in a
//! share of the frames that can carry it, and has to be found as the rules of judgement say. Where the frame's bits are
//! comes from the layouts of the standards, as `fact_tables` holds them, not from the library's tables.

use crate::random::Random;
use crate::{installs, long_run};
use squitterlab::capture::Record;
use squitterlab::compare::{Fleet, Install, Report, SettingStatus, Verdict};
use squitterlab::frame::{Frame, Span};
use squitterlab::onair::{FlightPath, Rehearsal};
use squitterlab::profile::{Profile, Severity, rule_set};
use std::ops::RangeInclusive;

/// Frames of a flight, with their times in seconds.
type Timed = Vec<(f64, Frame)>;

const PROFILE: &str = include_str!("../vectors/demo/profile.json");

/// The demo install.
fn demo() -> Profile {
    Profile::read(PROFILE).profile
}

/// An install that states this too, each as JSON.
fn with(profile: &Profile, stated: &[(&str, &str)]) -> Profile {
    let mut object = profile.json();
    for (pointer, value) in stated {
        let place = object.pointer_mut(pointer).unwrap_or_else(|| panic!("{pointer}"));
        *place = serde_json::from_str(value).expect("JSON");
    }
    let reading = Profile::read(&object.to_string());
    assert!(!reading.has_errors(), "{:?}", reading.problems);
    reading.profile
}

/// A flight from apron to apron, interrogated twice a second, of which two frames in three come through.
fn flight(profile: &Profile, seed: u64) -> Timed {
    let path = FlightPath::demo();
    let end = path.duration_ms();
    let random = &mut Random(seed);
    let rehearsal = Rehearsal::new(profile.clone(), path, seed).expect("a rehearsal").interrogated(2.0);
    let sent = rehearsal.take_while(|sent| sent.time_ms < end).map(|sent| (sent.time_s(), sent.frame));
    sent.filter(|_| !random.next().is_multiple_of(3)).collect()
}

fn judged(profile: &Profile, frames: &[(f64, Frame)], timed: bool) -> Report {
    let install = Install::new("invented", profile.clone()).expect("an install");
    let mut fleet = Fleet::new(vec![install], rule_set("none").expect("rules"));
    fleet.begin("capture");
    for (at, (time, frame)) in frames.iter().enumerate() {
        fleet.observe(&Record { line: at as u64 + 1, time: timed.then_some(*time), frame: *frame });
    }
    fleet.reports().next().expect("a report")
}

/// The frame with other bits in these places, the parity made right again.
fn patched(frame: Frame, patches: &[(u8, u8, u64)]) -> Frame {
    let (length, overlay) = (frame.length(), frame.overlay());
    let pattern = patches.iter().fold(frame.pattern(), |pattern, (first, last, code)| {
        let mask = Span::new(*first, *last).mask(length);
        pattern & !mask | u128::from(*code) << (length - last) & mask
    });
    Frame::from_pattern(pattern, length).with_overlay(overlay)
}

/// The type code of a squitter; 99 of anything else.
fn type_code(frame: &Frame) -> u64 {
    if frame.downlink_format() == 17 { frame.field(Span::new(33, 37)) } else { 99 }
}

fn is_airborne_position(frame: &Frame) -> bool {
    (9..=18).contains(&type_code(frame))
}

fn is_status(frame: &Frame, subtype: u64) -> bool {
    type_code(frame) == 31 && frame.field(Span::new(38, 40)) == subtype
}

/// What a planted fault has to become.
#[derive(Clone, Copy, PartialEq)]
enum Kind {
    /// An error however rare.
    Always,
    /// A quality category: an error but where it is a rare and short dip.
    Quality,
    /// Something that is missing: an error where it is never or mostly so, at least a warning where it is often so.
    Missing,
    /// Judged by how long it lasts, so only planted in all frames.
    Lasting,
}

struct Fault {
    name: &'static str,
    kind: Kind,
    /// The setting that differs, or nothing.
    setting: &'static str,
    /// Versions of units that can have it.
    versions: RangeInclusive<u64>,
    /// What the install has to state for it, as JSON.
    needs: &'static [(&'static str, &'static str)],
    /// The frame as the faulty unit sends it; `None` if it cannot carry the fault.
    plant: fn(Frame) -> Option<Frame>,
}

const FAULTS: &[Fault] = &[
    Fault {
        name: "no position",
        kind: Kind::Missing,
        setting: "/position_source/nic",
        versions: 0..=2,
        needs: &[],
        // Type code 0, no position; the altitude stays.
        plant: |f| is_airborne_position(&f).then(|| patched(f, &[(33, 37, 0), (54, 54, 0), (55, 88, 0)])),
    },
    Fault {
        name: "no pressure altitude in squitters",
        kind: Kind::Missing,
        setting: "/transponder/altitude_source/kind",
        versions: 0..=2,
        needs: &[],
        plant: |f| is_airborne_position(&f).then(|| patched(f, &[(41, 52, 0)])),
    },
    Fault {
        name: "no pressure altitude in replies",
        kind: Kind::Missing,
        setting: "/transponder/altitude_source/kind",
        versions: 0..=2,
        needs: &[],
        // A reply from the ground may have none: vertical status 1, flight status 1 and 3 (and 4, 5 in either state).
        plant: |f| {
            let airborne = match f.downlink_format() {
                0 | 16 => f.field(Span::new(6, 6)) == 0,
                4 | 20 => matches!(f.field(Span::new(6, 8)), 0 | 2),
                _ => false,
            };
            airborne.then(|| patched(f, &[(20, 32, 0)]))
        },
    },
    Fault {
        name: "geometric height in the place of pressure altitude",
        kind: Kind::Missing,
        setting: "/transponder/altitude_source/kind",
        versions: 0..=2,
        needs: &[],
        plant: |f| is_airborne_position(&f).then(|| patched(f, &[(33, 37, 20)])),
    },
    Fault {
        name: "NACp 13, reserved",
        kind: Kind::Quality,
        setting: "/position_source/nacp",
        versions: 2..=2,
        needs: &[("/position_source/nacp", "9")],
        plant: |f| is_status(&f, 0).then(|| patched(f, &[(77, 80, 13)])),
    },
    Fault {
        name: "NACp 5",
        kind: Kind::Quality,
        setting: "/position_source/nacp",
        versions: 1..=2,
        needs: &[("/position_source/nacp", "9")],
        plant: |f| is_status(&f, 0).then(|| patched(f, &[(77, 80, 5)])),
    },
    Fault {
        name: "GVA 3, reserved",
        kind: Kind::Quality,
        setting: "/position_source/gva",
        versions: 2..=2,
        needs: &[("/position_source/gva", "2")],
        plant: |f| is_status(&f, 0).then(|| patched(f, &[(81, 82, 3)])),
    },
    Fault {
        name: "GVA 2 where the install has 1",
        kind: Kind::Always,
        setting: "/position_source/gva",
        versions: 2..=2,
        needs: &[("/position_source/gva", "1")],
        plant: |f| is_status(&f, 0).then(|| patched(f, &[(81, 82, 2)])),
    },
    Fault {
        name: "NACv 7, reserved",
        kind: Kind::Quality,
        setting: "/position_source/nacv",
        versions: 1..=2,
        needs: &[("/position_source/nacv", "2"), ("/transponder/sends/air_referenced_velocity", "false")],
        plant: |f| (type_code(&f) == 19).then(|| patched(f, &[(43, 45, 7)])),
    },
    Fault {
        name: "NACv 4 where the install has 2",
        kind: Kind::Always,
        setting: "/position_source/nacv",
        versions: 1..=2,
        needs: &[("/position_source/nacv", "2"), ("/transponder/sends/air_referenced_velocity", "false")],
        plant: |f| (type_code(&f) == 19).then(|| patched(f, &[(43, 45, 4)])),
    },
    Fault {
        name: "SIL 0",
        kind: Kind::Quality,
        setting: "/position_source/sil",
        versions: 1..=2,
        needs: &[("/position_source/sil", "3")],
        plant: |f| is_status(&f, 0).then(|| patched(f, &[(83, 84, 0)])),
    },
    Fault {
        name: "SIL 3 where the install has 1",
        kind: Kind::Always,
        setting: "/position_source/sil",
        versions: 1..=2,
        needs: &[("/position_source/sil", "1")],
        plant: |f| is_status(&f, 0).then(|| patched(f, &[(83, 84, 3)])),
    },
    Fault {
        name: "SDA 3 where the install has 2",
        kind: Kind::Always,
        setting: "/transponder/system_design_assurance",
        versions: 2..=2,
        needs: &[("/transponder/system_design_assurance", "2")],
        plant: |f| is_status(&f, 1).then(|| patched(f, &[(63, 64, 3)])),
    },
    Fault {
        name: "SIL per sample",
        kind: Kind::Always,
        setting: "/position_source/sil_supplement",
        versions: 2..=2,
        needs: &[("/position_source/sil_supplement", "\"per_hour\"")],
        plant: |f| is_status(&f, 0).then(|| patched(f, &[(87, 87, 1)])),
    },
    Fault {
        name: "collision avoidance claimed by an install without",
        kind: Kind::Always,
        setting: "/transponder/acas",
        versions: 2..=2,
        needs: &[("/transponder/acas", "\"none\"")],
        plant: |f| is_status(&f, 0).then(|| patched(f, &[(43, 43, 1)])),
    },
    Fault {
        name: "UTC claimed by an install without",
        kind: Kind::Always,
        setting: "/position_source/utc_synchronised",
        versions: 0..=2,
        needs: &[("/position_source/utc_synchronised", "false")],
        plant: |f| is_airborne_position(&f).then(|| patched(f, &[(53, 53, 1)])),
    },
    Fault {
        name: "capability on the ground in flight",
        kind: Kind::Lasting,
        setting: "/transponder/air_ground/kind",
        versions: 0..=2,
        needs: &[],
        plant: |f| {
            let airborne = is_airborne_position(&f) || type_code(&f) == 19 || is_status(&f, 0);
            airborne.then(|| patched(f, &[(6, 8, 4)]))
        },
    },
    Fault {
        name: "7700 without an emergency",
        kind: Kind::Lasting,
        setting: "",
        versions: 2..=2,
        needs: &[],
        // 7700 is A4 A2 A1 and B4 B2 B1 set, C and D clear: C1 A1 C2 A2 C4 A4 X B1 D1 B2 D2 B4 D4.
        plant: |f| match (f.downlink_format(), type_code(&f)) {
            (5, _) => Some(patched(f, &[(20, 32, 0b0_1010_1010_1010)])),
            (_, 28) => Some(patched(f, &[(41, 43, 0), (44, 56, 0b0_1010_1010_1010)])),
            _ => None,
        },
    },
    Fault {
        name: "ident without an end",
        kind: Kind::Lasting,
        setting: "",
        versions: 0..=2,
        needs: &[],
        plant: |f| is_airborne_position(&f).then(|| patched(f, &[(38, 39, 3)])),
    },
];

#[track_caller]
fn most_serious(report: &Report) -> Option<Severity> {
    report.findings.iter().map(|finding| finding.severity).min()
}

/// Plants a fault at every share, with times and without, and holds the report against the rules; whether enough frames can
/// carry it.
fn is_found(fault: &Fault, profile: &Profile, seed: u64) -> bool {
    for per_cent in [100, 98, 20, 1] {
        if fault.kind == Kind::Lasting && per_cent < 98 {
            continue;
        }
        let random = &mut Random(seed * 1000 + per_cent);
        let mut planted = 0_u32;
        let mut could = 0_u32;
        let frames: Timed = flight(profile, seed)
            .into_iter()
            .map(|(time, frame)| match (fault.plant)(frame) {
                Some(wrong) => {
                    could += 1;
                    let now = random.next() % 100 < per_cent;
                    planted += u32::from(now);
                    (time, if now { wrong } else { frame })
                }
                None => (time, frame),
            })
            .collect();
        if could < 20 {
            return false;
        }
        for timed in [true, false] {
            let report = judged(profile, &frames, timed);
            let about = format!(
                "{} in {planted} of {could} frames, timed {timed}: {}, {:#?}\n{}",
                fault.name,
                report.first_line(),
                report.findings,
                profile.json()
            );
            let error = most_serious(&report) == Some(Severity::Error);
            let differs = report.verdict == Verdict::Differs;
            assert_eq!(error, differs, "{about}");
            let wanted = match (fault.kind, per_cent) {
                (_, 98..) => timed || fault.kind != Kind::Lasting || fault.setting.is_empty() == differs,
                (Kind::Always | Kind::Quality, 20) => true,
                (Kind::Always, _) => planted > 0,
                _ => {
                    // Rare or partial: told at least as a note, and never as an error of the whole install.
                    let told = planted == 0 || most_serious(&report).is_some();
                    assert!(told, "{about}");
                    continue;
                }
            };
            if fault.kind == Kind::Lasting && !timed {
                // Without times nobody knows how long it lasts, and that is said.
                assert!(differs || report.not_judged.iter().any(|check| check.reason == "no_times"), "{about}");
                continue;
            }
            if wanted {
                assert!(differs, "{about}");
                let setting = report.settings.iter().find(|setting| setting.setting.pointer() == fault.setting);
                assert!(setting.is_none_or(|setting| setting.status == SettingStatus::Differs), "{about}");
            }
        }
    }
    true
}

#[test]
fn nothing_that_is_missing_or_claimed_passes_in_silence() {
    for (number, fault) in FAULTS.iter().enumerate() {
        assert!(is_found(fault, &with(&demo(), fault.needs), 7 + number as u64), "{}: too few frames", fault.name);
    }
}

/// The same in installs of every kind and of versions 0, 1 and 2.
#[test]
fn nothing_passes_in_silence_in_any_install() {
    let random = &mut Random(0x0073_696C_656E);
    let mut planted = vec![[0_u32; 3]; FAULTS.len()];
    for round in 0..long_run::cases(27) {
        let version = u64::from(round % 3);
        let install = installs::complete(random);
        for (number, fault) in FAULTS.iter().enumerate() {
            // A third of the faults in each install.
            if !fault.versions.contains(&version) || !(number + round as usize / 3).is_multiple_of(3) {
                continue;
            }
            let always = [
                ("/transponder/mops_version", version.to_string()),
                ("/transponder/mode_s_level", "2".to_owned()),
                ("/transponder/air_ground/kind", "\"automatic\"".to_owned()),
            ];
            let always = always.iter().map(|(pointer, value)| (*pointer, value.as_str()));
            let stated: Vec<(&str, &str)> = always.chain(fault.needs.iter().copied()).collect();
            let found = is_found(fault, &with(&install, &stated), random.next() % 1000);
            planted[number][version as usize] += u32::from(found);
        }
    }
    for (fault, planted) in FAULTS.iter().zip(&planted) {
        println!(
            "{:52} version 0: {:4}, version 1: {:4}, version 2: {:4}",
            fault.name, planted[0], planted[1], planted[2]
        );
        assert!(planted.iter().sum::<u32>() > 0, "{} was never planted", fault.name);
    }
}

#[test]
fn a_good_flight_has_no_fault_and_every_setting_has_a_status() {
    for seed in 0..4 {
        let profile = demo();
        let report = judged(&profile, &flight(&profile, seed), true);
        assert!(most_serious(&report).is_none_or(|severity| severity == Severity::Note), "{:#?}", report.findings);
        assert_eq!(report.settings.len(), squitterlab::profile::SETTINGS.len());
        assert_eq!(report.verdict, Verdict::Agrees, "{} {:?}", report.first_line(), report.not_judged);
    }
}

#[test]
fn what_is_not_filled_in_is_never_agreement() {
    let whole: serde_json::Value = serde_json::from_str(PROFILE).expect("JSON");
    let frames = flight(&demo(), 3);
    for setting in squitterlab::profile::SETTINGS.iter().filter(|setting| setting.pointer != "/aircraft/address") {
        let mut blank = whole.clone();
        let Some(place) = blank.pointer_mut(setting.pointer) else { continue };
        *place = serde_json::Value::Null;
        let profile = Profile::read(&blank.to_string()).profile;
        let report = judged(&profile, &frames, true);
        let status = report.settings.iter().find(|one| one.setting == setting.id).expect("a status");
        assert_eq!(status.status, SettingStatus::NotFilledIn, "{}", setting.pointer);
        assert_eq!(report.verdict, Verdict::Incomplete, "{}: {}", setting.pointer, report.first_line());
        assert_eq!(report.summary.not_filled_in, 1, "{}", setting.pointer);
    }
}

#[test]
fn nothing_is_proved_by_nothing_or_by_one_frame() {
    let profile = demo();
    let none = judged(&profile, &[], true);
    assert_eq!((none.verdict, none.summary.proved), (Verdict::Incomplete, 0));
    assert!(none.not_judged.iter().any(|check| check.reason == "not_heard"), "{:?}", none.not_judged);
    for (time, frame) in flight(&profile, 1).into_iter().step_by(97) {
        let report = judged(&profile, &[(time, frame)], true);
        assert_eq!(report.summary.proved, 0, "{frame}: {}", report.first_line());
        assert_ne!(report.verdict, Verdict::Agrees, "{frame}");
    }
}

#[test]
fn the_order_of_equal_times_and_where_a_wrong_address_says_its_name_change_nothing() {
    let profile = demo();
    let mut wrong = profile.clone();
    wrong.address = squitterlab::profile::Stated::Is(squitterlab::frame::Address::new(0xA5_C053));
    let frames = flight(&wrong, 5);
    let (names, others): (Timed, Timed) =
        frames.into_iter().partition(|(_, frame)| (1..=4).contains(&type_code(frame)));
    assert!(names.len() > 4);
    let first: Timed = names.iter().copied().map(|(_, frame)| (0.0, frame)).chain(others.iter().copied()).collect();
    let end = others.last().expect("frames").0;
    let last: Timed = others.iter().copied().chain(names.iter().map(|(_, frame)| (end, *frame))).collect();
    let [first, last] = [first, last].map(|frames| judged(&profile, &frames, true));
    let setting_statuses =
        |report: &Report| report.settings.iter().map(|one| (one.setting, one.status)).collect::<Vec<_>>();
    assert_eq!(setting_statuses(&first), setting_statuses(&last));
    assert_eq!(first.capture.of_this_aircraft, last.capture.of_this_aircraft);
    assert!(first.summary.proved > 20, "{}", first.first_line());
}

/// Eight characters of six bits (Annex 10 volume IV, table of the character codes: A to Z from 1, space 32, digits from 48).
fn characters(text: &str) -> u64 {
    format!("{text:<8}").bytes().fold(0, |codes, letter| codes << 6 | u64::from(letter & 0x3F))
}

/// What a crew may leave in the identification: whatever is expected, some texts are nobody's.
#[test]
fn what_no_crew_enters_is_told_by_its_name() {
    let random = &mut Random(0x6372_6577);
    // The registration without its prefix, for marks that have one; and texts of menus.
    let never = [
        (characters(""), "identification_blank"),
        (0, "identification_blank"),
        (characters("0"), "identification_blank"),
        (characters("00000000"), "identification_blank"),
        // Code 27 is no character, and nothing goes on after a space.
        (characters("QXF12") | 0b01_1011, "identification_malformed"),
        (characters("QX 12"), "identification_malformed"),
        (characters("TEST"), "sample_identification"),
        (characters("N12345"), "sample_identification"),
    ];
    let mut tried = 0;
    while tried < long_run::cases(6) {
        let profile = with(
            &installs::complete(random),
            &[("/aircraft/identification_source", "\"crew_entered\""), ("/transponder/mops_version", "2")],
        );
        let mark = profile.registration.get().map(|mark| mark.0.clone()).expect("a mark");
        let stated = profile.aircraft_identification.get().expect("stated").to_string();
        let without_prefix = mark.split_once('-').map(|(_, behind)| (characters(behind), "prefix_left_off"));
        // Squitters of type codes 1 to 4, and replies with register 2,0: both have the text in bits 41 to 88.
        let names = |frame: &Frame| {
            let register = matches!(frame.downlink_format(), 20 | 21) && frame.field(Span::new(33, 40)) == 0x20;
            register || (1..=4).contains(&type_code(frame))
        };
        let frames = flight(&profile, tried.into());
        if frames.iter().filter(|(_, frame)| names(frame)).count() < 20 {
            continue;
        }
        tried += 1;
        let told = |frames: &Timed| {
            let report = judged(&profile, frames, true);
            let about = |finding: &&squitterlab::compare::Finding| {
                never.iter().chain(&without_prefix).any(|(_, cause)| finding.cause == *cause)
            };
            report.findings.iter().filter(about).map(|finding| (finding.cause, finding.severity)).collect::<Vec<_>>()
        };
        let all = |frames: &Timed| format!("{:#?}\n{}", judged(&profile, frames, true).findings, profile.json());
        assert_eq!(told(&frames), [], "{stated}");
        // Another flight's text is as good as the stated one.
        let entered = |text: u64, which: &dyn Fn(f64) -> bool| -> Timed {
            let patch = |(time, frame): &(f64, Frame)| {
                let now = names(frame) && which(*time);
                (*time, if now { patched(*frame, &[(41, 88, text)]) } else { *frame })
            };
            frames.iter().map(patch).collect()
        };
        assert_eq!(told(&entered(characters("QXF1234"), &|_| true)), [], "{stated}");
        for (text, cause) in never.iter().chain(&without_prefix).filter(|(text, _)| *text != characters(&stated)) {
            let blank = *cause == "identification_blank";
            let whole = if blank { Severity::Error } else { Severity::Warning };
            let always = entered(*text, &|_| true);
            assert_eq!(told(&always), [(*cause, whole)], "{text:012X} of {mark}, always: {}", all(&always));
            // Before the crew has entered anything it may be blank for a while.
            let a_while = if blank { Severity::Note } else { Severity::Warning };
            assert_eq!(
                told(&entered(*text, &|time| time < 120.0)),
                [(*cause, a_while)],
                "{text:012X} of {mark}, at first"
            );
        }
    }
}

/// Version 0 has no operational status: where many were to be expected and none came, that is the version.
#[test]
fn a_unit_that_sends_no_operational_status_is_of_version_0() {
    let random = &mut Random(0x0076_6572);
    let software = |report: &Report| {
        let all = report.findings.iter().filter(|finding| finding.cause == "software_version");
        all.map(|finding| (finding.severity, finding.what.contains("is of version 0"))).collect::<Vec<_>>()
    };
    for (seed, version) in (0..long_run::cases(4)).flat_map(|seed| [(seed, "1"), (seed, "2")]) {
        let profile = with(&installs::complete(random), &[("/transponder/mops_version", version)]);
        let frames = flight(&profile, seed.into());
        let without: Timed = frames.iter().copied().filter(|(_, frame)| type_code(frame) != 31).collect();
        if !without.iter().any(|(_, frame)| is_airborne_position(frame)) || without.len() == frames.len() {
            continue;
        }
        assert_eq!(software(&judged(&profile, &frames, true)), [], "version {version}");
        let report = judged(&profile, &without, true);
        assert_eq!(software(&report), [(Severity::Error, true)], "version {version}: {:#?}", report.findings);
        assert_eq!(report.verdict, Verdict::Differs);
        // A few seconds are too few to conclude anything from.
        let start = without.first().expect("a frame").0;
        let short: Timed = without.iter().copied().filter(|(time, _)| *time < start + 20.0).collect();
        assert_eq!(software(&judged(&profile, &short, true)), [], "version {version}, 20 s");
        // Who states version 0 expects none.
        let stated = with(&profile, &[("/transponder/mops_version", "0")]);
        assert_eq!(software(&judged(&stated, &without, true)), []);
    }
}

/// Speed against state: a unit that stands where it says it flies, or runs where it says it is parked, has its air/ground
/// input wrong; a helicopter hovers, and a take-off roll is fast for a while.
#[test]
fn a_state_that_the_speed_refutes_is_told_by_how_long() {
    let stated = |category: &str, kind: &str| {
        let stated = [("/aircraft/emitter_category", category), ("/transponder/air_ground/kind", kind)];
        with(&demo(), &stated)
    };
    let told = |profile: &Profile, frames: &Timed, timed: bool| {
        let report = judged(profile, frames, timed);
        let causes = ["air_ground_inverted", "air_ground_not_wired"];
        let findings = report.findings.iter().filter(|finding| causes.contains(&finding.cause));
        findings.map(|finding| (finding.cause, finding.severity)).collect::<Vec<_>>()
    };
    // DO-260B table of airborne velocity, subtype 1: east-west in bits 46 to 56, north-south in 57 to 67, 1 kt a step above 1.
    let velocity = |frame: &Frame| type_code(frame) == 19 && frame.field(Span::new(38, 40)) == 1;
    let slow = |frame: Frame| patched(frame, &[(46, 46, 0), (47, 56, 16), (57, 57, 0), (58, 67, 1)]);
    // Movement (ME bits 6 to 12): 110 is 105 to 110 kt.
    let surface = |frame: &Frame| (5..=8).contains(&type_code(frame));
    let fast = |frame: Frame| patched(frame, &[(38, 44, 110)]);
    let changed =
        |frames: &Timed, which: &dyn Fn(&Frame) -> bool, change: &dyn Fn(Frame) -> Frame, seconds: f64| -> Timed {
            let first = frames.iter().find(|(_, frame)| which(frame)).expect("such a frame").0;
            let during = |time: f64| (first..first + seconds).contains(&time);
            let patch = |(time, frame): &(f64, Frame)| {
                (*time, if which(frame) && during(*time) { change(*frame) } else { *frame })
            };
            frames.iter().map(patch).collect()
        };
    for seed in 1..=2 {
        let aeroplane = stated("\"A1\"", "\"switch\"");
        let frames = flight(&aeroplane, seed);
        assert_eq!(told(&aeroplane, &frames, true), []);
        let airborne = |seconds| changed(&frames, &velocity, &slow, seconds);
        assert_eq!(told(&aeroplane, &airborne(25.0), true), [], "for 25 s");
        assert_eq!(told(&aeroplane, &airborne(60.0), true), [("air_ground_not_wired", Severity::Error)], "for 60 s");
        assert_eq!(told(&aeroplane, &airborne(60.0), false), [], "nobody knows for how long");
        for category in ["\"A7\"", "\"B2\"", "\"B3\"", "\"B4\""] {
            let hovers = stated(category, "\"switch\"");
            assert_eq!(told(&hovers, &airborne(60.0), true), [], "{category}");
        }
        let without = stated("\"A1\"", "\"none\"");
        assert_eq!(told(&without, &airborne(60.0), true), [], "without an input it says airborne always");

        let on_ground = |seconds| changed(&frames, &surface, &fast, seconds);
        assert_eq!(told(&aeroplane, &on_ground(20.0), true), [("air_ground_inverted", Severity::Note)], "a roll");
        let report = judged(&aeroplane, &on_ground(20.0), true);
        let what = &report.findings.iter().find(|finding| finding.cause == "air_ground_inverted").expect("told").what;
        let all = frames.iter().filter(|(_, frame)| surface(frame)).count();
        assert!(what.contains(&format!(" of {all} frames, longest unbroken run ")), "{what}");
        let report = judged(&aeroplane, &changed(&frames, &surface, &fast, 0.1), true);
        let what = &report.findings.iter().find(|finding| finding.cause == "air_ground_inverted").expect("told").what;
        assert!(what.ends_with(", 1 frame"), "{what}");
        assert_eq!(told(&aeroplane, &on_ground(60.0), true), [("air_ground_inverted", Severity::Error)], "for 60 s");
        assert_eq!(told(&aeroplane, &on_ground(20.0), false), [("air_ground_inverted", Severity::Warning)], "untimed");
        // Both: a short roll is no longer one where it stands in the air.
        let both = changed(&on_ground(20.0), &velocity, &slow, 60.0);
        assert_eq!(told(&aeroplane, &both, true), [("air_ground_inverted", Severity::Error)]);
        let report = judged(&aeroplane, &both, true);
        let finding = report.findings.iter().find(|finding| finding.cause == "air_ground_inverted").expect("told");
        assert_eq!(finding.evidence.len(), 2, "a frame of each: {finding:#?}");
        assert!(finding.what.contains("surface messages above") && finding.what.contains("airborne messages below"));
        assert_eq!(report.verdict, Verdict::Differs);
    }
}

/// Of an emergency code the aircraft status has the word, and its silence is an error; that of the alert bits, which follow
/// the code by themselves, a warning.
#[test]
fn who_does_not_announce_an_emergency_decides_how_serious_it_is() {
    let plant = FAULTS.iter().find(|fault| fault.name == "7700 without an emergency").expect("a fault").plant;
    let profile = demo();
    let told = |state: u64| {
        let patch = |(time, frame): (f64, Frame)| {
            let frame = plant(frame).unwrap_or(frame);
            (time, if type_code(&frame) == 28 { patched(frame, &[(41, 43, state)]) } else { frame })
        };
        let report = judged(&profile, &flight(&profile, 4).into_iter().map(patch).collect::<Timed>(), true);
        let told = report.findings.iter().filter(|finding| finding.cause == "emergency_contradiction");
        told.map(|finding| (finding.severity, finding.what.clone())).collect::<Vec<_>>()
    };
    let by_status = "the emergency state of the aircraft status does not say so";
    // The bits are silent too, and are told in the same finding.
    let silent = told(0);
    assert!(
        matches!(&silent[..], [(Severity::Error, what)] if what.contains(by_status) && what.contains("; ")),
        "{silent:#?}"
    );
    let announced = told(1);
    assert!(!announced.is_empty(), "the bits are silent");
    for (severity, what) in announced {
        assert!(severity == Severity::Warning && !what.contains(by_status), "{what}");
    }
}
