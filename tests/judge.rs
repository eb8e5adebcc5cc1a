//! The judge against faults that leave every other setting right: each is planted in flights of invented installs, in a
//! share of the frames that can carry it, and has to be found as the rules of judgement say. Where the frame's bits are
//! comes from the layouts of the standards, as `fact_tables` holds them, not from the library's tables.

use crate::random::Random;
use squitterlab::capture::Record;
use squitterlab::compare::{Fate, Fleet, Install, Report, Verdict};
use squitterlab::frame::{Frame, Span};
use squitterlab::onair::{FlightPath, Rehearsal};
use squitterlab::profile::{Profile, Severity, rule_set};

/// Frames of a flight, with their times in seconds.
type Timed = Vec<(f64, Frame)>;

const PROFILE: &str = include_str!("../vectors/demo/profile.json");

/// The demo install with pieces of its text replaced.
fn install(pieces: &[(&str, &str)]) -> Profile {
    let mut text = PROFILE.to_owned();
    for (from, to) in pieces {
        assert!(text.contains(from), "{from}");
        text = text.replace(from, to);
    }
    Profile::read(&text).profile
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
    /// Pieces of the demo profile that are replaced first.
    pieces: &'static [(&'static str, &'static str)],
    /// The frame as the faulty unit sends it; none where it cannot carry the fault.
    plant: fn(Frame) -> Option<Frame>,
}

const FAULTS: &[Fault] = &[
    Fault {
        name: "no position",
        kind: Kind::Missing,
        setting: "/position_source/nic",
        pieces: &[],
        // Type code 0, no position; the altitude stays.
        plant: |f| is_airborne_position(&f).then(|| patched(f, &[(33, 37, 0), (54, 54, 0), (55, 88, 0)])),
    },
    Fault {
        name: "no pressure altitude in squitters",
        kind: Kind::Missing,
        setting: "/transponder/altitude_source/kind",
        pieces: &[],
        plant: |f| is_airborne_position(&f).then(|| patched(f, &[(41, 52, 0)])),
    },
    Fault {
        name: "no pressure altitude in replies",
        kind: Kind::Missing,
        setting: "/transponder/altitude_source/kind",
        pieces: &[],
        plant: |f| matches!(f.downlink_format(), 0 | 4 | 20).then(|| patched(f, &[(20, 32, 0)])),
    },
    Fault {
        name: "geometric height in the place of pressure altitude",
        kind: Kind::Missing,
        setting: "/transponder/altitude_source/kind",
        pieces: &[],
        plant: |f| is_airborne_position(&f).then(|| patched(f, &[(33, 37, 20)])),
    },
    Fault {
        name: "NACp 13, reserved",
        kind: Kind::Quality,
        setting: "/position_source/nacp",
        pieces: &[],
        plant: |f| is_status(&f, 0).then(|| patched(f, &[(77, 80, 13)])),
    },
    Fault {
        name: "NACp 5",
        kind: Kind::Quality,
        setting: "/position_source/nacp",
        pieces: &[],
        plant: |f| is_status(&f, 0).then(|| patched(f, &[(77, 80, 5)])),
    },
    Fault {
        name: "GVA 3, reserved",
        kind: Kind::Quality,
        setting: "/position_source/gva",
        pieces: &[],
        plant: |f| is_status(&f, 0).then(|| patched(f, &[(81, 82, 3)])),
    },
    Fault {
        name: "GVA 2 where the install has 1",
        kind: Kind::Always,
        setting: "/position_source/gva",
        pieces: &[("\"gva\": 2", "\"gva\": 1")],
        plant: |f| is_status(&f, 0).then(|| patched(f, &[(81, 82, 2)])),
    },
    Fault {
        name: "NACv 7, reserved",
        kind: Kind::Quality,
        setting: "/position_source/nacv",
        pieces: &[],
        plant: |f| (type_code(&f) == 19).then(|| patched(f, &[(43, 45, 7)])),
    },
    Fault {
        name: "NACv 4 where the install has 2",
        kind: Kind::Always,
        setting: "/position_source/nacv",
        pieces: &[],
        plant: |f| (type_code(&f) == 19).then(|| patched(f, &[(43, 45, 4)])),
    },
    Fault {
        name: "SIL 0",
        kind: Kind::Quality,
        setting: "/position_source/sil",
        pieces: &[],
        plant: |f| is_status(&f, 0).then(|| patched(f, &[(83, 84, 0)])),
    },
    Fault {
        name: "SIL 3 where the install has 1",
        kind: Kind::Always,
        setting: "/position_source/sil",
        pieces: &[("\"sil\": 3", "\"sil\": 1")],
        plant: |f| is_status(&f, 0).then(|| patched(f, &[(83, 84, 3)])),
    },
    Fault {
        name: "SDA 3 where the install has 2",
        kind: Kind::Always,
        setting: "/transponder/system_design_assurance",
        pieces: &[],
        plant: |f| is_status(&f, 1).then(|| patched(f, &[(63, 64, 3)])),
    },
    Fault {
        name: "SIL per sample",
        kind: Kind::Always,
        setting: "/position_source/sil_supplement",
        pieces: &[],
        plant: |f| is_status(&f, 0).then(|| patched(f, &[(87, 87, 1)])),
    },
    Fault {
        name: "collision avoidance claimed by an install without",
        kind: Kind::Always,
        setting: "/transponder/acas",
        pieces: &[],
        plant: |f| is_status(&f, 0).then(|| patched(f, &[(43, 43, 1)])),
    },
    Fault {
        name: "UTC claimed by an install without",
        kind: Kind::Always,
        setting: "/position_source/utc_synchronised",
        pieces: &[],
        plant: |f| is_airborne_position(&f).then(|| patched(f, &[(53, 53, 1)])),
    },
    Fault {
        name: "capability on the ground in flight",
        kind: Kind::Lasting,
        setting: "/transponder/air_ground/kind",
        pieces: &[],
        plant: |f| {
            let airborne = is_airborne_position(&f) || type_code(&f) == 19 || is_status(&f, 0);
            airborne.then(|| patched(f, &[(6, 8, 4)]))
        },
    },
    Fault {
        name: "7700 without an emergency",
        kind: Kind::Lasting,
        setting: "",
        pieces: &[],
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
        pieces: &[],
        plant: |f| is_airborne_position(&f).then(|| patched(f, &[(38, 39, 3)])),
    },
];

#[track_caller]
fn gravest(report: &Report) -> Option<Severity> {
    report.findings.iter().map(|finding| finding.severity).min()
}

#[test]
fn nothing_that_is_missing_or_claimed_passes_in_silence() {
    for (number, fault) in FAULTS.iter().enumerate() {
        let profile = install(fault.pieces);
        for per_cent in [100, 98, 20, 1] {
            if fault.kind == Kind::Lasting && per_cent < 98 {
                continue;
            }
            let random = &mut Random(number as u64 * 1000 + per_cent);
            let mut planted = 0_u32;
            let mut could = 0_u32;
            let frames: Timed = flight(&profile, 7 + number as u64)
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
            assert!(could >= 20, "{}: only {could} frames can carry it", fault.name);
            for timed in [true, false] {
                let report = judged(&profile, &frames, timed);
                let about = format!(
                    "{} in {planted} of {could} frames, timed {timed}: {}, {:#?}",
                    fault.name,
                    report.first_line(),
                    report.findings
                );
                let error = gravest(&report) == Some(Severity::Error);
                let differs = report.verdict == Verdict::Differs;
                assert_eq!(error, differs, "{about}");
                let wanted = match (fault.kind, per_cent) {
                    (_, 98..) => timed || fault.kind != Kind::Lasting || fault.setting.is_empty() == differs,
                    (Kind::Always | Kind::Quality, 20) => true,
                    (Kind::Always, _) => planted > 0,
                    _ => {
                        // Rare or partial: told at least as a note, and never as an error of the whole install.
                        let told = planted == 0 || gravest(&report).is_some();
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
                    assert!(setting.is_none_or(|setting| setting.fate == Fate::Differs), "{about}");
                }
            }
        }
    }
}

#[test]
fn a_good_flight_has_no_fault_and_every_setting_has_a_status() {
    for seed in 0..4 {
        let profile = install(&[]);
        let report = judged(&profile, &flight(&profile, seed), true);
        assert!(gravest(&report).is_none_or(|severity| severity == Severity::Note), "{:#?}", report.findings);
        assert_eq!(report.settings.len(), squitterlab::profile::SETTINGS.len());
        assert_eq!(report.verdict, Verdict::Agrees, "{} {:?}", report.first_line(), report.not_judged);
    }
}

#[test]
fn what_is_not_filled_in_is_never_agreement() {
    let whole: serde_json::Value = serde_json::from_str(PROFILE).expect("JSON");
    let frames = flight(&install(&[]), 3);
    for setting in squitterlab::profile::SETTINGS.iter().filter(|setting| setting.pointer != "/aircraft/address") {
        let mut blank = whole.clone();
        let Some(place) = blank.pointer_mut(setting.pointer) else { continue };
        *place = serde_json::Value::Null;
        let profile = Profile::read(&blank.to_string()).profile;
        let report = judged(&profile, &frames, true);
        let status = report.settings.iter().find(|one| one.setting == setting.id).expect("a status");
        assert_eq!(status.fate, Fate::NotFilledIn, "{}", setting.pointer);
        assert_eq!(report.verdict, Verdict::Incomplete, "{}: {}", setting.pointer, report.first_line());
        assert_eq!(report.summary.not_filled_in, 1, "{}", setting.pointer);
    }
}

#[test]
fn nothing_is_proved_by_nothing_or_by_one_frame() {
    let profile = install(&[]);
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
    let profile = install(&[]);
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
    let fates = |report: &Report| report.settings.iter().map(|one| (one.setting, one.fate)).collect::<Vec<_>>();
    assert_eq!(fates(&first), fates(&last));
    assert_eq!(first.capture.of_this_aircraft, last.capture.of_this_aircraft);
    assert!(first.summary.proved > 20, "{}", first.first_line());
}
