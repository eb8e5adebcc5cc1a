//! `rehearse`: an install flown through a flight, as a capture.

use crate::program::{PROFILE, in_the_air, parked, profile, run, run_with};
use crate::random::Random;
use crate::{installs, long_run, program};
use squitterlab::capture::Record;
use squitterlab::code::compact_position::Grid;
use squitterlab::code::{Bits, ModeA, RegisterNumber};
use squitterlab::compare::{Fleet, Install, Report, SettingStatus, Verdict, plan};
use squitterlab::downlink::Decoded;
use squitterlab::frame::Span;
use squitterlab::message::Message;
use squitterlab::onair::{
    CaptureWriter, FlightPath, FlightPoint, QualityOverride, ReceptionModel, Rehearsal, Sent, Situation, Stream,
    Traffic, Why,
};
use squitterlab::profile::{AirGroundKind, Profile, Registers, SettingId, Severity, Stated};
use std::collections::{BTreeMap, BTreeSet};

const HOUR_MS: u64 = 3_600_000;

fn until(rehearsal: &Rehearsal, end_ms: u64) -> Vec<Sent> {
    rehearsal.clone().take_while(|sent| sent.time_ms < end_ms).collect()
}

/// A line of the standard's table: what, when, and its window in milliseconds.
type Line = (Stream, &'static str, (u32, u32));

/// Intervals of the standard's table that were kept, each by the line of the table that set it.
fn kept(sent: &[Sent]) -> BTreeMap<Line, Vec<u64>> {
    let mut last: BTreeMap<Stream, (u64, &'static str)> = BTreeMap::new();
    let mut kept: BTreeMap<_, Vec<u64>> = BTreeMap::new();
    for frame in sent {
        let Why::Scheduled(line) = frame.why else { continue };
        if let Some((before, when)) = last.insert(line.stream, (frame.time_ms, line.when))
            && when == line.when
        {
            kept.entry((line.stream, line.when, line.window_ms)).or_default().push(frame.time_ms - before);
        }
    }
    kept
}

#[test]
fn every_interval_of_an_hour_is_in_its_window_and_every_one_is_as_likely() {
    let sends = r#""target_state": false"#;
    for (situation, lines) in [(in_the_air(), 7), (parked(), 5)] {
        let path = FlightPath::fixed(situation);
        let install = profile(&[(sends, r#""target_state": true"#)]);
        let kept = kept(&until(&Rehearsal::new(install, path, 5).expect("a rehearsal"), HOUR_MS));
        assert_eq!(kept.len(), lines, "{:?}", kept.keys());
        for ((stream, when, (least, most)), mut intervals) in kept {
            let (least, most) = (u64::from(least), u64::from(most));
            assert!(intervals.iter().all(|ms| (least..=most).contains(ms)), "{stream:?} {when}");
            // Kolmogorov and Smirnov: less than one in a thousand right ones is above 1.95 / sqrt(n); whole
            // milliseconds add one step of the window.
            intervals.sort_unstable();
            let count = intervals.len() as f64;
            let range = (most - least + 1) as f64;
            let farthest = intervals.iter().enumerate().fold(0.0_f64, |farthest, (at, ms)| {
                let wanted = (ms - least) as f64 / range;
                farthest.max((wanted - at as f64 / count).abs())
            });
            assert!(farthest < 1.95 / count.sqrt() + 1.0 / range, "{stream:?} {when}: {farthest} of {count}");
        }
    }
}

#[test]
fn every_position_of_the_flight_is_within_a_step_of_where_the_antenna_is() {
    let rehearsal = Rehearsal::new(profile(&[]), FlightPath::demo(), 2).expect("a rehearsal");
    let flight = FlightPath::demo();
    let mut seen = BTreeMap::new();
    let mut last_odd = None;
    for sent in until(&rehearsal, flight.duration_ms()) {
        let (word, grid, base) = match Decoded::new(sent.frame).squitter() {
            Some(Message::AirbornePosition(m)) => (m.word(), Grid::Airborne, 360.0),
            Some(Message::SurfacePosition(m)) => (m.word(), Grid::Surface, 90.0),
            _ => continue,
        };
        *seen.entry(sent.message).or_insert(0) += 1;
        assert_ne!(last_odd.replace(word.odd), Some(word.odd), "even and odd take turns");
        let there = rehearsal.motion(sent.time_ms).position.expect("a position");
        // The antenna is within the aircraft.
        let aircraft = flight.motion(sent.time_ms).position.expect("a position");
        assert!(there.distance_nm(aircraft) * 1852.0 < 6.0);
        let read = word.local(there, grid);
        let steps = f64::from(1 << 17);
        let latitude_step = base / (60.0 - f64::from(word.odd)) / steps;
        let cells = f64::from(squitterlab::code::compact_position::zones(read.latitude_deg)) - f64::from(word.odd);
        let longitude_step = base / cells / steps;
        assert!((read.latitude_deg - there.latitude_deg).abs() <= latitude_step, "{sent:?}");
        assert!((read.longitude_deg - there.longitude_deg).abs() <= longitude_step, "{sent:?}");
    }
    assert!(seen["airborne_position"] > 600 && seen["surface_position"] > 150, "{seen:?}");
}

/// The most of these in any 60 s.
fn most_in_a_minute(times: &[u64]) -> usize {
    (0..times.len())
        .map(|at| times[at..].iter().take_while(|time| **time < times[at] + 60_000).count())
        .max()
        .unwrap_or(0)
}

#[test]
fn changes_are_sent_faster_and_the_limits_hold_in_the_worst_minute() {
    // An emergency all along, while quality and Mode A code change every 30 s.
    let point = |at: u64| FlightPoint {
        time_ms: at * 30_000,
        situation: Situation {
            emergency_state: 1,
            mode_a_code: Some(if at.is_multiple_of(2) { "7700" } else { "1200" }.to_owned()),
            ..in_the_air()
        },
        quality: QualityOverride { nacp: Some(8 + (at % 2) as u8), ..QualityOverride::default() },
    };
    let path = FlightPath::new((0..20).map(point).collect()).expect("a flight");
    for target_state in ["false", "true"] {
        let sends = format!("\"target_state\": {target_state}");
        let install = profile(&[(r#""target_state": false"#, &sends)]);
        let sent = until(&Rehearsal::new(install, path.clone(), 9).expect("a rehearsal"), 600_000);
        let times = |keep: fn(Stream) -> bool| {
            let kept = |sent: &&Sent| matches!(sent.why, Why::Scheduled(line) if keep(line.stream));
            sent.iter().filter(kept).map(|sent| sent.time_ms).collect::<Vec<_>>()
        };
        assert!(most_in_a_minute(&times(Stream::is_status)) <= 120);
        assert!(most_in_a_minute(&times(|stream| stream != Stream::Acquisition)) <= 372);
        // The emergency keeps its own rhythm, whatever the others want.
        let emergency = times(|stream| stream == Stream::AircraftStatus);
        assert!(emergency.windows(2).all(|pair| (700..=900).contains(&(pair[1] - pair[0]))), "{emergency:?}");
    }
}

#[test]
fn replies_of_every_format_give_the_address() {
    let install = profile(&[(
        r#""acas": "none""#,
        r#""acas": "resolution", "data_link": {"registers": ["1,0", "1,7", "2,0", "5,0"]}"#,
    )]);
    let rehearsal = Rehearsal::new(install, FlightPath::demo(), 1).expect("a rehearsal").interrogated(20.0);
    let mut formats = BTreeSet::new();
    let mut times = BTreeSet::new();
    for sent in until(&rehearsal, 400_000) {
        assert!(times.insert(sent.time_ms), "two frames at {}", sent.time_ms);
        let format = sent.frame.downlink_format();
        let overlay = sent.frame.overlay();
        match (format, sent.why) {
            (0 | 4 | 5 | 16 | 20 | 21, Why::Asked(_)) => assert_eq!(overlay, 0xA5_C035, "{sent:?}"),
            (11, Why::Asked(_)) => assert_eq!(overlay, 5),
            (11 | 17, Why::Scheduled(_)) => assert_eq!(overlay, 0),
            _ => panic!("{sent:?}"),
        }
        formats.insert(format);
    }
    assert_eq!(formats.into_iter().collect::<Vec<_>>(), [0, 4, 5, 11, 16, 17, 20, 21]);
}

/// What a capture of a rehearsal says of an install.
fn judged(install: &Profile, rehearsal: &Rehearsal, end_ms: u64) -> Report {
    let mut fleet =
        Fleet::new(vec![Install::new("install", install.clone()).expect("an install")], installs::rules_of(install));
    fleet.begin("rehearsal");
    for (line, sent) in until(rehearsal, end_ms).iter().enumerate() {
        fleet.observe(&Record { line: line as u64 + 1, time: Some(sent.time_s()), frame: sent.frame });
    }
    fleet.reports().next().expect("one report")
}

/// Parked at a place, then straight north of it at 118 kt.
fn parked_then_aloft(code: &str, off_ms: u64, end_ms: u64) -> FlightPath {
    let degrees = 118.0 / 3_600_000.0 / 60.0 * (end_ms - off_ms) as f64;
    let point = |time_ms: u64, airborne: bool, north: f64| FlightPoint {
        time_ms,
        situation: Situation {
            airborne,
            latitude_deg: Some(44.5 + north),
            longitude_deg: Some(-103.25),
            pressure_altitude_ft: Some(3200.0),
            geometric_minus_pressure_ft: Some(150.0),
            mode_a_code: Some(code.to_owned()),
            ..Situation::default()
        },
        quality: QualityOverride::default(),
    };
    let parked = [point(0, false, 0.0), point(off_ms.saturating_sub(1000), false, 0.0)];
    let aloft = [point(off_ms, true, 0.0), point(end_ms, true, degrees)];
    let points = parked.into_iter().filter(|point| off_ms > 0 && point.time_ms < off_ms).chain(aloft);
    FlightPath::new(points.collect()).expect("a flight")
}

fn faults(report: &Report) -> Vec<(&'static str, &str)> {
    let told = report.findings.iter().filter(|finding| finding.severity != Severity::Note);
    told.map(|finding| (finding.cause, finding.what.as_str())).collect()
}

#[test]
fn good_installs_of_every_kind_differ_in_nothing_and_every_setting_is_proved() {
    let random = &mut Random(47);
    let mut wrong = Vec::new();
    for number in 0..long_run::cases(250) {
        let install = installs::complete(random);
        let path = parked_then_aloft(&installs::code_of(&install), 45_000, 80_000);
        let rehearsal = Rehearsal::new(install.clone(), path, number.into()).expect("a rehearsal").interrogated(8.0);
        let report = judged(&install, &rehearsal, 80_000);
        let open: Vec<SettingId> = report
            .settings
            .iter()
            .filter(|setting| setting.counts() && setting.status != SettingStatus::Agrees)
            .map(|setting| setting.setting)
            .collect();
        // What can be proved is what a plan promises.
        let planned = plan(&Install::new("install", install.clone()).expect("an install"));
        let promised: usize = planned.captures.iter().map(|capture| capture.adds.len()).sum();
        let counts = [report.summary.proved, report.summary.of, promised];
        let agree = counts.iter().all(|count| *count == planned.provable);
        if !faults(&report).is_empty() || !open.is_empty() || !agree {
            let (faults, provable) = (faults(&report), planned.provable);
            wrong.push(format!("{faults:?} {open:?} {counts:?} of {provable}: {}", install.json()));
        }
    }
    assert!(wrong.is_empty(), "{} wrong: {:#?}", wrong.len(), &wrong[..wrong.len().min(5)]);
}

#[test]
fn a_common_usage_register_that_looks_like_another_register_is_told_from_it() {
    // The first bits of 1,7 may be those of the number of 1,0 (0,8 alone) or of 2,0 (0,7 alone), or none.
    let some = ["0,7", "0,8", "1,0", "1,7", "2,0", "4,0", "5,0"];
    let mut install = profile(&[]);
    for bits in 0..1 << some.len() {
        let served = some.iter().enumerate().filter(|(at, _)| bits >> at & 1 == 1);
        let served: Vec<RegisterNumber> = served.map(|(_, number)| number.parse().expect("a register")).collect();
        install.data_link_registers = Stated::Is(Registers(served.clone()));
        install.data_link_si_codes = Stated::Is(true);
        let path = parked_then_aloft("1200", 0, 30_000);
        let rehearsal = Rehearsal::new(install.clone(), path, bits).expect("a rehearsal").interrogated(8.0);
        let report = judged(&install, &rehearsal, 30_000);
        assert_eq!(faults(&report), [], "{served:?}");
        let registers = report.settings.iter().find(|one| one.setting == SettingId::DataLinkRegisters);
        let fate = registers.expect("the setting").status;
        assert!(matches!(fate, SettingStatus::Agrees | SettingStatus::NotOnAir), "{served:?}: {fate:?}");
    }
}

#[test]
fn without_an_air_ground_input_an_install_is_judged_by_what_it_sends() {
    let random = &mut Random(0x6E6F_6E65);
    for number in 0..long_run::cases(12) {
        let mut install = installs::complete(random);
        install.air_ground_kind = Stated::Is(AirGroundKind::None);
        let code = installs::code_of(&install);
        let still = Situation { pressure_altitude_ft: Some(3200.0), mode_a_code: Some(code.clone()), ..parked() };
        let aloft = parked_then_aloft(&code, 0, 120_000);
        for path in [FlightPath::demo_of(&install), FlightPath::fixed(still), aloft] {
            let end_ms = path.duration_ms().max(120_000);
            let rehearsal =
                Rehearsal::new(install.clone(), path, number.into()).expect("a rehearsal").interrogated(5.0);
            let surface = until(&rehearsal, end_ms).into_iter().find(|sent| sent.message == "surface_position");
            assert!(surface.is_none(), "{surface:?}");
            let report = judged(&install, &rehearsal, end_ms);
            assert_eq!(faults(&report), [], "{}", install.json());
            assert_ne!(report.verdict, Verdict::Differs, "{}", install.json());
        }
    }
}

#[test]
fn the_built_in_flight_is_flown_with_the_installs_own_code() {
    let codes = |profile: &Profile| -> BTreeSet<String> {
        let rehearsal = Rehearsal::new(profile.clone(), FlightPath::demo_of(profile), 3).expect("a rehearsal");
        let said = until(&rehearsal.interrogated(5.0), 400_000).into_iter().filter_map(|sent| {
            let code = match (sent.frame.downlink_format(), Decoded::new(sent.frame).squitter()) {
                (_, Some(Message::AircraftStatus(message))) => message.mode_a,
                (5 | 21, _) => ModeA::from_bits(sent.frame.field(Span::new(20, 32))),
                _ => return None,
            };
            Some(code.to_string())
        });
        said.collect()
    };
    let both = |code: &str| BTreeSet::from([code.to_owned(), "4621".to_owned()]);
    let of = |preset: &str| {
        let text = program::profile_text(&[]).replace(r#""registration": "N47QX""#, r#""registration": "D-EXQV""#);
        let text = text.replace("A5C035", "3D2E41").replace(r#""vfr_mode_a_code": "1200","#, preset);
        let reading = Profile::read(&text);
        assert!(!reading.has_errors(), "{:?}", reading.problems);
        reading.profile
    };
    // The preset; else the code of the State (Germany: 7000, SERA.13005).
    assert_eq!(codes(&of(r#""vfr_mode_a_code": "2000","#)), both("2000"));
    assert_eq!(codes(&of("")), both("7000"));
    assert_eq!(codes(&profile(&[])), both("1200"));
    // A situation is flown as it is written.
    let written = Situation { mode_a_code: Some("1234".to_owned()), ..in_the_air() };
    let rehearsal = Rehearsal::new(of(r#""vfr_mode_a_code": "2000","#), FlightPath::fixed(written), 3);
    let said = until(&rehearsal.expect("a rehearsal"), 60_000).into_iter().find_map(|sent| {
        let Some(Message::AircraftStatus(message)) = Decoded::new(sent.frame).squitter() else { return None };
        Some(message.mode_a.to_string())
    });
    assert_eq!(said.as_deref(), Some("1234"));
}

/// A minute of the demo with so many invented aircraft beside it, from where it taxies to where it flies.
fn busy(others: u32) -> Vec<Rehearsal> {
    let points = [(0, parked()), (20_000, in_the_air()), (40_000, in_the_air())];
    let points = points.map(|(time_ms, situation)| FlightPoint {
        time_ms,
        situation: Situation { latitude_deg: Some(44.5), longitude_deg: Some(-103.25), ..situation },
        quality: QualityOverride::default(),
    });
    let path = FlightPath::new(points.to_vec()).expect("a flight");
    Rehearsal::with_others(profile(&[]), path, 6, others).expect("rehearsals")
}

#[test]
fn many_aircraft_are_written_the_same_by_any_number_of_threads_and_as_one_by_one() {
    let noise = ReceptionModel { loss: 0.1, bit_errors: 0.001, garbage: 0.02 };
    let text = |threads: usize, reception: ReceptionModel| -> Vec<u8> {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
        let recording = CaptureWriter::new(Traffic::new(busy(300)), reception, 6, 60_000);
        pool.install(|| recording.flatten().flatten().collect())
    };
    for reception in [ReceptionModel::default(), noise] {
        let alone = text(1, reception);
        for threads in [2, 5] {
            assert!(text(threads, reception) == alone, "{threads} threads write something else");
        }
    }
    let mut frames: Vec<_> = busy(300)
        .iter()
        .enumerate()
        .flat_map(|(aircraft, one)| {
            until(one, 60_000).into_iter().map(move |sent| (sent.time_ms, aircraft, sent.frame))
        })
        .collect();
    frames.sort_by_key(|(time_ms, aircraft, _)| (*time_ms, *aircraft));
    assert!(frames.len() > 50_000, "{}", frames.len());
    let lines: Vec<String> =
        frames.iter().map(|(ms, _, frame)| format!("{}.{:03} {frame}\n", ms / 1000, ms % 1000)).collect();
    assert!(text(2, ReceptionModel::default()) == lines.concat().as_bytes(), "not as one by one");
}

/// What is made of a slice is held until it is written: its size is the memory that a rehearsal takes.
#[test]
fn the_slices_of_a_recording_are_of_one_size_for_any_number_of_aircraft() {
    let a_second = |others: u32| until(&busy(others)[0], 60_000).len() as u64 * u64::from(others + 1) / 60;
    for others in [0, 30, 300] {
        let slice = Traffic::new(busy(others)).slice_ms();
        let frames = slice * a_second(others) / 1000;
        assert!((20_000..=300_000).contains(&frames), "{others}: {slice} ms, {frames} frames");
    }
}

#[test]
fn slices_of_any_length_give_the_same_lines_and_a_longer_recording_begins_as_a_shorter_one() {
    let frames = |ends: &[u64]| {
        let mut traffic = Traffic::new(busy(40));
        let each =
            |end: &u64| traffic.until(*end, |_, frames| frames.iter().map(|sent| (sent.time_ms, sent.frame)).collect());
        ends.iter().flat_map(each).collect::<Vec<Vec<_>>>().concat()
    };
    let whole = frames(&[60_000]);
    assert_eq!(frames(&[1, 2, 2, 700, 60_000]), whole);
    assert_eq!(frames(&[31_999]), whole[..whole.partition_point(|(time_ms, _)| *time_ms < 31_999)]);
}

#[test]
fn invented_aircraft_differ_from_one_another() {
    let mut seen = (BTreeSet::new(), BTreeSet::new(), BTreeSet::new(), BTreeSet::new(), BTreeSet::new());
    for one in &busy(200)[1..] {
        for sent in until(one, 50_000) {
            let address = sent.frame.field(Span::new(9, 32));
            seen.0.insert(address);
            seen.1.insert(sent.frame.field(Span::new(6, 8)));
            match Decoded::new(sent.frame).squitter() {
                Some(Message::AircraftIdentification(message)) => {
                    seen.2.insert(message.bits() >> 48);
                    seen.3.insert((address, message.bits() & 0xFFFF_FFFF_FFFF));
                }
                Some(Message::AirbornePosition(message)) if sent.time_ms > 45_000 => {
                    seen.4.insert((message.cpr_format, message.cpr_latitude, message.cpr_longitude));
                }
                _ => {}
            }
        }
    }
    assert_eq!(seen.0.len(), 200);
    // Level 1, on the ground, airborne, either.
    assert_eq!(seen.1.into_iter().collect::<Vec<_>>(), [0, 4, 5, 6]);
    assert!(seen.2.len() > 5, "categories: {:?}", seen.2);
    let identifications: BTreeSet<_> = seen.3.iter().map(|(_, identification)| identification).collect();
    assert!(seen.3.len() > 150 && identifications.len() == seen.3.len(), "each keeps one of its own");
    assert!(seen.4.len() > 300, "places: {}", seen.4.len());
}

// The command line --------------------------------------------------------------------------------------------------

#[test]
fn the_demo_compared_with_its_profile_proves_every_setting() {
    let rehearsed = run(&["rehearse", PROFILE, "--interrogated"]).exits(0);
    assert!(
        rehearsed.out.starts_with("# synthetic: made from an install profile, never received"),
        "{}",
        rehearsed.out
    );
    rehearsed.complains_of(&["Never radiate"]);
    let compared =
        run_with(&["compare", PROFILE, "--capture", "-", "--format", "json"], rehearsed.out.as_bytes()).exits(0);
    assert_eq!(compared.object()["verdict"], "agrees", "{}", compared.out);
}

#[test]
fn a_planted_mistake_is_what_compare_names_or_cannot_tell_from_it() {
    let mut planted = 0;
    for mistake in squitterlab::profile::mistake::MISTAKES {
        let rehearsed = run(&["rehearse", PROFILE, "--interrogated", "--mistake", mistake.cause]);
        if rehearsed.status == 2 {
            rehearsed.complains_of(&["cannot be planted"]);
            continue;
        }
        planted += 1;
        let compared =
            run_with(&["compare", PROFILE, "--capture", "-", "--format", "json"], rehearsed.out.as_bytes()).exits(1);
        let first = compared.object()["findings"][0].clone();
        let alike = first["alternatives"].as_array().expect("a list");
        let alike = alike.iter().any(|other| other["cause"] == mistake.cause && other["indistinguishable"] == true);
        assert!(first["cause"] == mistake.cause || alike, "{}: {first:#}", mistake.cause);
    }
    assert!(planted > 25, "{planted}");
}

#[test]
fn the_same_seed_gives_the_same_bytes_and_another_does_not() {
    let noisy = ["--for", "60", "--other-aircraft", "70", "--loss", "10", "--bit-errors", "0.1", "--garbage", "2"];
    let with = |seed: &str| run(&[&["rehearse", PROFILE, "--seed", seed], &noisy[..]].concat()).exits(0).out;
    assert_eq!(with("3"), with("3"));
    let frames = |text: &str| text.lines().filter(|line| !line.starts_with('#')).map(str::to_owned).collect::<Vec<_>>();
    assert_ne!(frames(&with("3")), frames(&with("4")));
}

#[test]
fn a_practice_capture_keeps_its_answer_to_itself() {
    let capture = run(&["rehearse", PROFILE, "--practice", "4", "--for", "120"]).exits(0);
    assert!(!capture.out.contains("planted") && !capture.err.contains("planted"), "{}", capture.out);
    let answer = run(&["rehearse", PROFILE, "--practice", "4", "--answer"]).exits(0);
    assert!(answer.out.contains("correction: "), "{}", answer.out);
}

#[test]
fn what_cannot_be_rehearsed_is_refused_with_the_reason() {
    run(&["rehearse", PROFILE, "--mistake", "gremlins"]).exits(2).complains_of(&["gremlins", "--list-causes"]);
    let folder = crate::program::Folder::new("rehearse");
    let backwards =
        folder.file("back.json", r#"{"flight": [{"time_s": 0, "airborne": true}, {"time_s": 0, "airborne": true}]}"#);
    run(&["rehearse", PROFILE, "--situation", &backwards]).exits(2).complains_of(&["point 1", "order"]);
    let jump = folder.file(
        "jump.json",
        r#"{"flight": [{"time_s": 0, "airborne": true, "latitude_deg": 0, "longitude_deg": 0},
            {"time_s": 1, "airborne": true, "latitude_deg": 9, "longitude_deg": 0}]}"#,
    );
    run(&["rehearse", PROFILE, "--situation", &jump]).exits(2).complains_of(&["kt", "more time"]);
}

#[test]
fn the_schema_of_flights_has_the_situation_in_every_point() {
    let schema = |name: &str| -> serde_json::Value {
        let file = format!("{}/vectors/schema/{name}.schema.json", env!("CARGO_MANIFEST_DIR"));
        serde_json::from_str(&std::fs::read_to_string(file).expect("a schema")).expect("JSON")
    };
    let mut point = schema("flight")["properties"]["flight"]["items"]["properties"].clone();
    let point = point.as_object_mut().expect("an object");
    assert!(point.remove("time_s").is_some() && point.remove("quality").is_some());
    assert_eq!(serde_json::Value::from(point.clone()), schema("situation")["properties"]);
}
