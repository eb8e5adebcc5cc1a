//! The diagnosis as a matrix: every mistake, planted in a spread of invented profiles, encoded, captured with noise, and
//! looked for. And good captures, in which nothing is to be found.
//!
//! `SQUITTERLAB_FULL=1` plants every candidate of every mistake; `SQUITTERLAB_TEST_TIMES=67` runs 10 000 good captures.

use crate::random::Random;
use crate::{installs, long_run};
use serde_json::Value;
use squitterlab::capture::{Line, Record, read_line};
use squitterlab::code::{Altitude12, Bits, LengthWidth, Wires};
use squitterlab::compare::{Finding, Fleet, Install, NotJudged, Report, SettingStatus, Verdict};
use squitterlab::frame::{Address, Frame, Span};
use squitterlab::onair::{Flight, FlightPath, Installation, Rehearsal, Situation, emissions};
use squitterlab::profile::mistake::{MISTAKES, Mistake, UNEXPLAINED};
use squitterlab::profile::wiring::Fault;
use squitterlab::profile::{
    ActiveMeans, AirGroundKind, AltitudeSourceKind, IdentificationSource, Length, Profile, RuleSet, SETTINGS, Setting,
    SettingId, Severity, StandardVersion, Stated, StepFt, rule_set, state_of_registry,
};
use squitterlab::registry::nationalities;
use std::collections::{BTreeMap, BTreeSet};

/// How many copies of each frame go out before losses: a reply counts when two come through.
const COPIES: usize = 5;

fn full() -> bool {
    std::env::var_os("SQUITTERLAB_FULL").is_some()
}

fn pick<'a, T>(random: &mut Random, all: &'a [T]) -> &'a T {
    &all[random.next() as usize % all.len()]
}

/// An invented install. Marks and addresses belong together by the arithmetic only where it is known to it.
fn invented(random: &mut Random) -> Profile {
    let (mark, identification, address) = *pick(
        random,
        &[
            ("N47QX", "N47QX", "A5C035"),
            ("N808GZ", "N808GZ", "AB0C88"),
            ("G-OBIS", "GOBIS", "405B16"),
            ("D-EZOI", "DEZOI", "3D2E41"),
            ("F-GSIB", "FGSIB", "393A52"),
            ("HB-ZIO", "HBZIO", "4B1A37"),
            ("N5S", "N5S", "A67B2C"),
        ],
    );
    let category = *pick(random, &["A1", "A2", "A3", "A7", "B1"]);
    let metres = |random: &mut Random, least: f64, most: f64| {
        let tenths = ((most - least) * 10.0) as u64;
        least + (random.next() % tenths) as f64 / 10.0
    };
    // Every third is only a little too long for the smaller code.
    let length = match (random.next() % 3, category) {
        (0, "A3") => *pick(random, &[25.6, 35.9, 46.0, 55.8]),
        (0, _) => *pick(random, &[15.4, 16.0, 17.1]),
        (_, "A3") => metres(random, 25.0, 60.0),
        _ => metres(random, 6.0, 20.0),
    };
    let width = if category == "A3" { metres(random, 25.0, 60.0) } else { metres(random, 8.0, 22.0) };
    let nose = metres(random, 0.5, length - 0.2);
    let across = ["{\"side\": \"left\", \"m\": 1.4}", "{\"side\": \"right\", \"m\": 3.2}", "{\"m\": 0}"];
    let text = format!(
        r#"{{"aircraft": {{"registration": "{mark}", "address": "{address}",
            "aircraft_identification": "{identification}", "identification_source": "fixed",
            "emitter_category": "{category}", "length": {{"m": {length}}}, "width": {{"m": {width}}},
            "maximum_cruise_true_airspeed": {{"kt": {speed}}}}},
          "transponder": {{"mops_version": 2, "mode_s_level": 2, "antenna": "{antenna}", "vfr_mode_a_code": "7000",
            "altitude_source": {{"kind": "{source}", "resolution_ft": {step}, "cross_checked": false}},
            "air_ground": {{"kind": "automatic"}}, "acas": "{acas}", "system_design_assurance": {sda},
            "sends": {{"target_state": {target}, "air_referenced_velocity": false}},
            "data_link": {{"registers": ["1,0", "1,7", "2,0"], "si_codes": true}}}},
          "position_source": {{"nic": {nic}, "nacp": {nacp}, "nacv": {nacv}, "gva": {gva}, "sil": {sil},
            "sil_supplement": "per_hour",
            "antenna_offset": {{"from_nose": {{"m": {nose}}}, "from_centre_line": {across}}},
            "surface_direction": {{"kind": "track", "reference": "true"}}, "utc_synchronised": false}},
          "receivers": {{"es_1090_in": {es}, "uat_in": {uat}}}}}"#,
        speed = pick(random, &[70, 145, 250, 460]),
        antenna = pick(random, &["single", "diversity"]),
        source = pick(random, &["parallel", "serial"]),
        step = pick(random, &[25, 100]),
        acas = pick(random, &["none", "resolution"]),
        sda = pick(random, &[2, 3]),
        target = pick(random, &[true, false]),
        nic = pick(random, &[7, 8, 9]),
        nacp = pick(random, &[8, 9, 10]),
        nacv = pick(random, &[1, 2]),
        gva = pick(random, &[1, 2]),
        sil = pick(random, &[2, 3]),
        across = pick(random, &across),
        es = pick(random, &[true, false]),
        uat = pick(random, &[true, false]),
    );
    let reading = Profile::read(&text);
    assert!(!reading.has_errors(), "{:?}", reading.problems);
    reading.profile
}

fn situations(random: &mut Random) -> [Situation; 2] {
    let place = |random: &mut Random| {
        let degrees = |random: &mut Random, most: i64| (random.next() as i64 % (most * 1000)) as f64 / 1000.0;
        (degrees(random, 80), degrees(random, 179))
    };
    let (latitude, longitude) = place(random);
    let in_the_air = format!(
        r#"{{"airborne": true, "latitude_deg": {latitude}, "longitude_deg": {longitude},
            "pressure_altitude_ft": {}, "geometric_minus_pressure_ft": {}, "ground_speed_kt": {}, "track_deg": {},
            "vertical_rate_fpm": {}, "mode_a_code": "7000"}}"#,
        500 + random.next() % 30_000,
        random.next() as i64 % 500,
        60 + random.next() % 400,
        random.next() % 360,
        random.next() as i64 % 3000,
    );
    let on_ground = format!(
        r#"{{"airborne": false, "latitude_deg": {latitude}, "longitude_deg": {longitude}, "ground_speed_kt": {},
            "pressure_altitude_ft": 300, "track_deg": {}, "mode_a_code": "7000"}}"#,
        random.next() % 30,
        random.next() % 360,
    );
    [in_the_air, on_ground].map(|text| Situation::read(&text).expect("a situation"))
}

/// Every frame that a profile sends in these situations. Of another version only the number is sent.
fn sent(profile: &Profile, situations: &[Situation]) -> Option<Vec<Frame>> {
    let mut made = profile.clone();
    let version = profile.mops_version.get().map_or(2, |version| version.0);
    made.mops_version = Stated::Is(StandardVersion(2));
    let mut all = Vec::new();
    for situation in situations {
        all.extend(emissions(&made, Flight::Situation(situation)).ok()?.iter().map(|emission| emission.frame));
    }
    for frame in &mut all {
        if frame.downlink_format() == 17 && frame.field(Span::new(33, 37)) == 31 {
            let mask = Span::new(73, 75).mask(frame.length());
            let pattern = frame.pattern() & !mask | u128::from(version) << (frame.length() - 75);
            *frame = Frame::from_pattern(pattern, frame.length()).with_overlay(0);
        }
    }
    Some(all)
}

/// A captured text with what captures have: losses, other aircraft, bad parity, lines that are none. Beside it the frames
/// of this aircraft that came through.
fn captured(random: &mut Random, frames: &[Frame], others: &[Frame]) -> (String, BTreeSet<Frame>) {
    let mut lines = vec!["# synthetic: made from an invented profile, never received".to_owned()];
    let mut heard: BTreeMap<Frame, usize> = BTreeMap::new();
    for _ in 0..COPIES {
        for frame in frames {
            match random.next() % 10 {
                // Lost.
                0..=2 => {}
                // Damaged: one to three bits inverted.
                3 => {
                    let length = u64::from(frame.length());
                    let damaged = (0..=random.next() % 3)
                        .fold(frame.pattern(), |pattern, _| pattern ^ 1 << (random.next() % length));
                    lines.push(format!("{}", Frame::from_pattern(damaged, frame.length())));
                }
                _ => {
                    lines.push(format!("{frame}"));
                    *heard.entry(*frame).or_default() += 1;
                }
            }
            match random.next() % 12 {
                0 => lines.push("no frame in this line".to_owned()),
                1 => lines.push(format!("{:014X}", random.next() & 0xFF_FFFF_FFFF_FFFF)),
                2 => lines.push(format!("{:016X}{:012X}", random.next(), random.next() & 0xFFFF_FFFF_FFFF)),
                3 | 4 => lines.push(format!("{}", pick(random, others))),
                _ => {}
            }
        }
    }
    let counts = |frame: &Frame, times: usize| times >= 2 || matches!(frame.downlink_format(), 11 | 17);
    (
        lines.join("\n"),
        heard.into_iter().filter(|(frame, times)| counts(frame, *times)).map(|(frame, _)| frame).collect(),
    )
}

fn compare(profile: &Profile, text: &str) -> Report {
    compare_with(profile, rule_set("none").expect("rules"), text)
}

fn compare_with(profile: &Profile, rules: &RuleSet, text: &str) -> Report {
    let install = Install::new("invented", profile.clone()).expect("an install");
    let mut fleet = Fleet::new(vec![install], rules);
    fleet.begin("capture");
    for (at, line) in text.lines().enumerate() {
        if let Line::Frame { time, frame, .. } = read_line(line.as_bytes()) {
            fleet.observe(&Record { line: at as u64 + 1, time, frame });
        }
    }
    fleet.reports().next().expect("one report")
}

fn others(random: &mut Random, situations: &[Situation]) -> Vec<Frame> {
    let mut all = Vec::new();
    for number in 1..=3 {
        let mut other = invented(random);
        other.address = Stated::Is(Address::new(0x70_0000 + number));
        other.aircraft_identification = Stated::Is(format!("INV{number}").parse().expect("an identification"));
        all.extend(sent(&other, situations).expect("frames"));
    }
    all
}

/// What the diagnosis made of a planted mistake.
#[derive(Clone, Copy, Default)]
struct Row {
    planted: u32,
    alike: u32,
    /// First, of those that can be told from every other cause.
    apart_first: u32,
    first: u32,
    among_three: u32,
    said_alike: u32,
    missed: u32,
}

/// The planted cause's place among the causes told for it, from 1, and whether it is said to be like the first.
fn place(findings: &[Finding], cause: &str) -> Option<(usize, bool)> {
    let errors = findings.iter().filter(|finding| finding.severity == Severity::Error);
    errors
        .filter_map(|finding| {
            if finding.cause == cause {
                return Some((1, true));
            }
            let at = finding.alternatives.iter().position(|other| other.cause == cause)?;
            Some((at + 2, finding.alternatives[at].indistinguishable))
        })
        .min()
}

#[test]
fn every_mistake_planted_in_a_spread_of_profiles_is_found() {
    let random = &mut Random(0x6D61_7472_6978);
    let profiles = if full() { 24 } else { 8 };
    let most = if full() { usize::MAX } else { 4 };
    let mut rows: BTreeMap<usize, Row> = BTreeMap::new();
    let mut failures: Vec<String> = Vec::new();
    for number in 0..profiles {
        let mut profile = invented(random);
        if number % 8 == 0 {
            // A flight's text, of an operator that nobody is.
            profile.aircraft_identification = Stated::Is("QXF1234".parse().expect("an identification"));
        }
        let situations = situations(random);
        let others = others(random, &situations);
        let good: BTreeSet<Frame> = sent(&profile, &situations).expect("frames").into_iter().collect();
        // What every wrong profile sends, to know which look alike.
        let candidates: Vec<(usize, &Mistake, String, Vec<Frame>)> = MISTAKES
            .iter()
            .enumerate()
            .flat_map(|(at, mistake)| (mistake.candidates)(&profile).into_iter().map(move |c| (at, mistake, c)))
            .filter_map(|(at, mistake, (wrong, detail))| Some((at, mistake, detail, sent(&wrong, &situations)?)))
            .collect();
        let sets: Vec<BTreeSet<Frame>> = candidates.iter().map(|c| c.3.iter().copied().collect()).collect();
        let mut of_each: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for (at, candidate) in candidates.iter().enumerate() {
            of_each.entry(candidate.0).or_default().push(at);
        }
        for (mistake, mut all) in of_each {
            while all.len() > most {
                all.remove(random.next() as usize % all.len());
            }
            for at in all {
                let (_, planted, detail, frames) = &candidates[at];
                let (text, heard) = captured(random, frames, &others);
                // What shows nothing on the air, or in what came through, cannot be found.
                if heard.iter().all(|frame| good.contains(frame)) {
                    continue;
                }
                let row = rows.entry(mistake).or_default();
                row.planted += 1;
                let alike = candidates
                    .iter()
                    .zip(&sets)
                    .any(|(other, set)| other.1.cause != planted.cause && heard.iter().all(|f| set.contains(f)));
                row.alike += u32::from(alike);
                let report = compare(&profile, &text);
                let found = place(&report.findings, planted.cause);
                row.first += u32::from(found.is_some_and(|(place, _)| place == 1));
                row.apart_first += u32::from(!alike && found.is_some_and(|(place, _)| place == 1));
                row.among_three += u32::from(found.is_some_and(|(place, _)| place <= 3));
                row.said_alike += u32::from(alike && found.is_some_and(|(place, said)| place == 1 || said));
                let told = found.is_some_and(|(place, said)| if alike { place == 1 || said } else { place <= 3 });
                if !told {
                    row.missed += 1;
                    let causes: Vec<String> = report
                        .findings
                        .iter()
                        .filter(|finding| finding.severity == Severity::Error)
                        .map(|f| {
                            format!("{} {:?}", f.cause, f.alternatives.iter().map(|a| a.cause).collect::<Vec<_>>())
                        })
                        .collect();
                    failures.push(format!("{} ({detail}), alike {alike}: {causes:?}", planted.cause));
                }
            }
        }
    }
    println!(
        "{:<26} {:>7} {:>6} {:>6} {:>6} {:>6} {:>6}",
        "cause", "planted", "alike", "first", "in 3", "said", "missed"
    );
    let mut sum = Row::default();
    for (at, row) in &rows {
        println!(
            "{:<26} {:>7} {:>6} {:>6} {:>6} {:>6} {:>6}",
            MISTAKES[*at].cause, row.planted, row.alike, row.first, row.among_three, row.said_alike, row.missed
        );
        sum.planted += row.planted;
        sum.alike += row.alike;
        sum.first += row.first;
        sum.apart_first += row.apart_first;
        sum.among_three += row.among_three;
        sum.said_alike += row.said_alike;
        sum.missed += row.missed;
    }
    println!(
        "{:<26} {:>7} {:>6} {:>6} {:>6} {:>6} {:>6}",
        "all", sum.planted, sum.alike, sum.first, sum.among_three, sum.said_alike, sum.missed
    );
    let unseen: Vec<&str> = MISTAKES
        .iter()
        .enumerate()
        .filter(|(at, _)| !rows.contains_key(at))
        .map(|(_, mistake)| mistake.cause)
        .collect();
    assert!(unseen.is_empty(), "never planted: {unseen:?}");
    assert!(sum.missed == 0, "{} of {}: {failures:#?}", sum.missed, sum.planted);
    let apart = sum.planted - sum.alike;
    println!(
        "told apart from every other cause: {apart}, first {}; alike in everything heard: {}, said so {}",
        sum.apart_first, sum.alike, sum.said_alike
    );
    assert!(sum.apart_first * 100 >= apart * 95, "{} of {apart} first", sum.apart_first);
}

#[test]
fn installs_are_invented_with_every_choice_of_every_setting() {
    let random = &mut Random(0x6B69_6E64);
    let mut seen: BTreeMap<&str, BTreeSet<String>> = BTreeMap::new();
    let (mut sizes, mut states) = (BTreeSet::new(), BTreeSet::new());
    for _ in 0..1500 {
        let install = installs::complete(random);
        for setting in SETTINGS {
            let value = install.json().pointer(setting.pointer).expect("stated").to_string();
            seen.entry(setting.pointer).or_default().insert(value);
        }
        let metres = |length: Option<&Length>| length.map(|length| length.in_metres()).expect("a length");
        let (length, width) = (metres(install.length.get()), metres(install.width.get()));
        sizes.insert(LengthWidth::from_metres(length, width).expect("a size").bits());
        states.extend(state_of_registry(&install));
    }
    for setting in SETTINGS {
        let count = seen[setting.pointer].len();
        match installs::listed_choices(setting) {
            Some(choices) => assert!(count >= choices.len(), "{}: {:?}", setting.pointer, seen[setting.pointer]),
            None => assert!(count >= 100, "{}: {:?}", setting.pointer, seen[setting.pointer]),
        }
    }
    assert_eq!(sizes.len(), 15);
    assert_eq!(states.len(), nationalities().len());
}

/// What a flight without a fault decides: a position and an altitude are there, and an emergency has its code.
fn healthy(random: &mut Random, airborne: bool, code: &str) -> Situation {
    loop {
        let situation = installs::situation(random, airborne, Some(code));
        let whole = situation.latitude_deg.is_some() && situation.pressure_altitude_ft.is_some();
        if whole && !matches!(situation.emergency_state, 1 | 4 | 5) {
            return situation;
        }
    }
}

/// An install of any kind, all of it stated or not, and what its aircraft and others send.
#[test]
fn good_captures_of_every_kind_of_install_have_no_error_in_them() {
    let random = &mut Random(0x676F_6F64);
    let captures = long_run::cases(150);
    let (mut states, mut wrong) = (BTreeSet::new(), Vec::new());
    for number in 0..captures {
        let install = installs::complete(random);
        states.extend(state_of_registry(&install));
        let stated =
            if installs::one_in(random, 4) { installs::partly_stated(random, &install) } else { install.clone() };
        let code = installs::code_of(&install);
        let situations = [true, false].map(|airborne| healthy(random, airborne, &code));
        let mut others = Vec::new();
        for number in 1..=3 {
            let mut other = installs::complete(random);
            // Kept for future use, so that no State has given one to an aircraft.
            other.address = Stated::Is(Address::new(0xD0_0000 + number));
            other.aircraft_identification = Stated::Is(format!("INV{number}").parse().expect("an identification"));
            others.extend(sent(&other, &situations).expect("frames"));
        }
        let frames = sent(&install, &situations).expect("frames");
        let (text, heard) = captured(random, &frames, &others);
        let report = compare_with(&stated, installs::rules_of(&stated), &text);
        let told = warned(&report);
        if report.verdict == Verdict::Differs || !told.is_empty() {
            wrong.push(format!("capture {number}: {told:?} {}", stated.json()));
        }
        let clear = heard.iter().any(|frame| matches!(frame.downlink_format(), 11 | 17));
        assert_eq!(report.heard_as.is_some(), clear, "capture {number}");
    }
    assert!(wrong.is_empty(), "{} of {captures}: {:#?}", wrong.len(), &wrong[..wrong.len().min(5)]);
    assert!(states.len() > 40, "{states:?}");
    println!("{captures} good captures of every kind of install, no error and no warning; {} States", states.len());
}

/// Two mistakes in one setting.
#[test]
fn two_mistakes_in_one_setting_are_told_together() {
    let random = &mut Random(0x0070_6169_7273);
    for (first, second) in [("prefix_left_off", "look_alike"), ("look_alike", "separator_entered")] {
        let mut told = 0;
        let mut planted = 0;
        while planted < 4 {
            let profile = invented(random);
            let situations = situations(random);
            let wrong = |cause: &str, profile: &Profile| {
                let mistake = MISTAKES.iter().find(|mistake| mistake.cause == cause).expect("a mistake");
                (mistake.candidates)(profile).into_iter().next().map(|(wrong, _)| wrong)
            };
            let Some(twice) = wrong(first, &profile).and_then(|once| wrong(second, &once)) else { continue };
            planted += 1;
            let frames = sent(&twice, &situations).expect("frames");
            let others = others(random, &situations);
            let report = compare(&profile, &captured(random, &frames, &others).0);
            let errors: Vec<&Finding> = report.findings.iter().filter(|f| f.severity == Severity::Error).collect();
            assert_eq!(errors.len(), 1, "{first} and {second}: {errors:?}");
            let causes = [Some(errors[0].cause), errors[0].and_cause];
            told += u32::from(causes == [Some(first), Some(second)]);
        }
        assert!(told >= 3, "{first} and {second}: {told} of {planted}");
    }
}

/// Two mistakes of different settings in one install: each is named, whatever the other does to the frames.
#[test]
fn two_mistakes_in_different_settings_are_both_named() {
    let random = &mut Random(0x7477_6F6F);
    let (mut planted, mut named, mut nameless, mut not_named) = (0, 0, 0, Vec::new());
    while planted < if full() { 10_000 } else { 600 } {
        let profile = invented(random);
        let situations = situations(random);
        let others = others(random, &situations);
        let wrong = |random: &mut Random, profile: &Profile| {
            let mistake = pick(random, MISTAKES);
            let all = (mistake.candidates)(profile);
            (!all.is_empty()).then(|| (mistake, pick(random, &all).clone()))
        };
        let Some((first, (once, how))) = wrong(random, &profile) else { continue };
        let Some((second, (twice, detail))) = wrong(random, &once) else { continue };
        // What the second alone does to the install as it should be.
        let alone = (second.candidates)(&profile).into_iter().find(|(_, other)| *other == detail);
        let changed = |wrong: &Profile, before: &Profile| -> BTreeSet<&str> {
            let differs = |setting: &&Setting| setting.value(wrong) != setting.value(before);
            SETTINGS.iter().filter(differs).map(|setting| setting.pointer).collect()
        };
        let Some((alone, _)) = alone else { continue };
        if !changed(&once, &profile).is_disjoint(&changed(&twice, &once)) {
            continue;
        }
        let of = |profile: &Profile| sent(profile, &situations).map(|all| all.into_iter().collect::<BTreeSet<Frame>>());
        let (Some(frames), Some(once), Some(alone)) = (sent(&twice, &situations), of(&once), of(&alone)) else {
            continue;
        };
        let (text, heard) = captured(random, &frames, &others);
        // One of them does not show in what came through.
        if heard.iter().all(|frame| once.contains(frame)) || heard.iter().all(|frame| alone.contains(frame)) {
            continue;
        }
        let report = compare(&profile, &text);
        let touched = changed(&twice, &profile);
        if ["/aircraft/address", "/aircraft/aircraft_identification"].iter().all(|name| touched.contains(name))
            && report.heard_as.is_none()
        {
            // Neither name is right: it may be any other aircraft, and nothing is said of it but that it may be this one.
            assert_eq!((report.verdict, report.findings.len()), (Verdict::Incomplete, 0), "{:#?}", report.findings);
            nameless += 1;
            continue;
        }
        // Nothing is expected of fields in a layout of which no source is held.
        if twice.mops_version.get().is_some_and(|version| version.0 > 2) {
            continue;
        }
        planted += 1;
        let is_named = |cause: &str| {
            report.findings.iter().any(|finding| finding.and_cause == Some(cause))
                || place(&report.findings, cause).is_some_and(|(place, alike)| place <= 3 || alike)
        };
        if is_named(first.cause) && is_named(second.cause) {
            named += 1;
        } else {
            let told: Vec<&str> = report.findings.iter().map(|finding| finding.cause).collect();
            not_named.push(format!("{} ({how}) and {} ({detail}): {told:?}", first.cause, second.cause));
        }
    }
    println!(
        "two mistakes in one install: both named in {named} of {planted}; {nameless} under another name altogether"
    );
    assert!(named * 100 >= planted * 97, "both named in {named} of {planted}: {not_named:#?}");
}

/// Typing errors of an identification, each with the cause that a technician is sent after. The texts are invented.
#[test]
fn each_typing_error_of_an_identification_has_its_name() {
    let random = &mut Random(0x0074_7970_6564);
    let table = [
        ("N47QX", "0N47QX", "identification_leading_zeros"),
        ("N47QX", "000N47QX", "identification_leading_zeros"),
        ("N47QX", "N47Q", "identification_cut"),
        ("N47QX", "N4", "identification_cut"),
        ("N47QX", "N74QX", "identification_symbols_transposed"),
        ("N47QX", "N57QX", "identification_symbol_wrong"),
        ("N47QX", "NN47QX", "identification_symbol_too_many"),
        ("N47QX", "N47QX0", "identification_symbol_too_many"),
        ("N47QX", "N47X", "identification_symbol_missing"),
        ("N47QX", "47QX", "prefix_left_off"),
        ("N47QX", "N470X", "identification_symbol_wrong"),
        ("N40QX", "N4OQX", "look_alike"),
        ("QXF1234", "1234", "operator_code_missing"),
        ("QXF1234", "QX1234", "identification_symbol_missing"),
        ("QXF1234", "ZB1234", "operator_code_of_two"),
        ("QXF1234", "Q81234", "operator_code_of_two"),
        ("QXF1234", "QXF123", "identification_cut"),
        ("QXF123", "QXF0123", "identification_padded"),
        ("DEQXF", "D-EQXF", "separator_entered"),
        ("DEQXF", "TEST", "sample_identification"),
        ("DEQXF", "GXYZW", "stale_identification"),
    ];
    for (stated, seen, cause) in table {
        let mut profile = invented(random);
        profile.aircraft_identification = Stated::Is(stated.parse().expect("an identification"));
        profile.identification_source = Stated::Is(IdentificationSource::Fixed);
        let situations = situations(random);
        let frames = sent(&profile, &situations).expect("frames");
        // What the wire carries, hyphen and all: six bits a character.
        let codes = seen.bytes().chain(std::iter::repeat(b' ')).take(8);
        let characters = codes.fold(0u64, |bits, c| bits << 6 | u64::from(c & 0x3F));
        let wrong: Vec<Frame> = frames
            .iter()
            .map(|frame| {
                let is_text = frame.downlink_format() == 17 && (1..=4).contains(&frame.field(Span::new(33, 37)))
                    || matches!(frame.downlink_format(), 20 | 21) && frame.field(Span::new(33, 40)) == 0x20;
                if !is_text {
                    return *frame;
                }
                let mask = u128::from(u64::MAX >> 16) << 24;
                Frame::from_pattern(frame.pattern() & !mask | u128::from(characters) << 24, 112)
                    .with_overlay(frame.overlay())
            })
            .collect();
        let others = others(random, &situations);
        let report = compare(&profile, &captured(random, &wrong, &others).0);
        let errors: Vec<&Finding> = report.findings.iter().filter(|f| f.severity == Severity::Error).collect();
        assert_eq!(errors.len(), 1, "{stated} {seen}: {errors:?}");
        assert_eq!(errors[0].cause, cause, "{stated} {seen}: {:?}", errors[0]);
        assert_ne!(errors[0].correction, "", "{stated} {seen}");
        // Another name for the same is told as one that these frames cannot tell apart.
        if (stated, seen) == ("QXF1234", "QX1234") {
            let other = errors[0].alternatives.iter().find(|other| other.cause == "operator_code_of_two");
            assert!(other.is_some_and(|other| other.indistinguishable), "{:?}", errors[0]);
        }
    }
}

/// An identification of nobody's, and with it another category: another aircraft's unit.
#[test]
fn what_no_entry_error_explains_is_stale_or_another_aircrafts() {
    let random = &mut Random(0x0073_7461_6C65);
    for _ in 0..4 {
        let profile = invented(random);
        let situations = situations(random);
        let others = others(random, &situations);
        let mut wrong = profile.clone();
        wrong.aircraft_identification = Stated::Is("QXR881".parse().expect("an identification"));
        let first = |wrong: &Profile, random: &mut Random| {
            let frames = sent(wrong, &situations).expect("frames");
            let report = compare(&profile, &captured(random, &frames, &others).0);
            report.findings.first().map(|finding| finding.cause)
        };
        assert_eq!(first(&wrong, random), Some("stale_identification"));
        wrong.emitter_category = Stated::Is("A5".parse().expect("a category"));
        assert_eq!(first(&wrong, random), Some("unit_moved"));
    }
}

/// A yes or no that some mistake is known to turn round has a cause whichever way round it is wrong.
#[test]
fn what_is_yes_or_no_has_a_cause_both_ways() {
    let random = &mut Random(0x6368_6F69_6365);
    let (mut told, mut unexplained) = (BTreeSet::new(), BTreeSet::new());
    for _ in 0..if full() { 100 } else { 20 } {
        let profile = invented(random);
        let situations = situations(random);
        let good: BTreeSet<Frame> = sent(&profile, &situations).expect("frames").into_iter().collect();
        for setting in SETTINGS.iter().filter(|s| MISTAKES.iter().any(|mistake| mistake.settings.contains(&s.id))) {
            let mut object = profile.json();
            let Some(stated) = object.pointer(setting.pointer).and_then(Value::as_bool) else { continue };
            *object.pointer_mut(setting.pointer).expect("it is there") = (!stated).into();
            let reading = Profile::read(&object.to_string());
            let frames = sent(&reading.profile, &situations).filter(|_| !reading.has_errors()).unwrap_or_default();
            if frames.iter().all(|frame| good.contains(frame)) {
                continue;
            }
            let lines: Vec<String> = frames.iter().chain(&frames).map(ToString::to_string).collect();
            let report = compare(&profile, &lines.join("\n"));
            let errors = report.findings.iter().filter(|finding| finding.severity == Severity::Error);
            let causes: Vec<&str> = errors.map(|finding| finding.cause).collect();
            if causes.is_empty() || causes.contains(&UNEXPLAINED.cause) {
                unexplained.insert(format!("{} {stated} sent as {}: {causes:?}", setting.pointer, !stated));
            }
            told.insert((setting.pointer, stated));
        }
    }
    assert!(told.len() >= 5, "{told:?}");
    assert_eq!(unexplained, BTreeSet::new());
}

// Timed captures -----------------------------------------------------------------------------------------------------

/// A quarter of an hour of a installation, seen on a receiver that loses so many of a hundred frames.
fn flown(installation: Installation, path: &FlightPath, loss: u64, seed: u64) -> String {
    let random = &mut Random(seed);
    let rehearsal = Rehearsal::new(installation, path.clone(), seed).expect("a rehearsal").interrogated(2.0);
    let mut lines = vec!["# synthetic: made from an invented profile, never received".to_owned()];
    for sent in rehearsal.take_while(|sent| sent.time_ms < path.duration_ms().max(600_000)) {
        if random.next() % 100 >= loss {
            lines.push(format!("{:.3} {}", sent.time_s(), sent.frame));
        }
        if random.next().is_multiple_of(40) {
            lines.push(format!("{:.3} {:014X}", sent.time_s(), random.next() & 0xFF_FFFF_FFFF_FFFF));
        }
    }
    lines.join("\n")
}

fn warned(report: &Report) -> Vec<(&'static str, String)> {
    let told = report.findings.iter().filter(|finding| finding.severity != Severity::Note);
    told.map(|finding| (finding.cause, format!("{}; {}", finding.what, finding.likely_cause))).collect()
}

#[test]
fn flights_of_good_installs_raise_no_warning() {
    let random = &mut Random(0x666C_6F77);
    let flights = long_run::cases(16);
    let note = |wrong: &mut Vec<String>, report: &Report, good: bool, stated: &Profile| {
        let open: Vec<SettingId> = report
            .settings
            .iter()
            .filter(|one| one.status != SettingStatus::Agrees && one.counts())
            .map(|one| one.setting)
            .collect();
        if !good || !warned(report).is_empty() {
            wrong.push(format!("{:?}, not proved {open:?}: {}", warned(report), stated.json()));
        }
    };
    let mut wrong = Vec::new();
    for number in 0..flights {
        let profile = installs::complete(random);
        let loss = random.next() % 60;
        let text = flown(profile.clone().into(), &FlightPath::demo_of(&profile), loss, (number + 1).into());
        let report = compare_with(&profile, installs::rules_of(&profile), &text);
        // A rule may ask for what a unit without extended squitters has no message for.
        let lacks = |check: &NotJudged| {
            check.needed && check.check == "minimum" && profile.mode_s_level.get().is_some_and(|level| level.0 == 1)
        };
        let complete = report.verdict == Verdict::Agrees || report.not_judged.iter().any(lacks);
        note(&mut wrong, &report, complete && report.verdict != Verdict::Differs, &profile);
        // What came through is reckoned within a tenth of what did.
        for received in &report.reception {
            let right = (100 - loss) as f64 / 100.0;
            assert!((received.share - right).abs() < 0.1, "flight {number}: {received:?}, {loss} % lost");
        }
        // The same capture held against what was stated only in part.
        let stated = installs::partly_stated(random, &profile);
        let report = compare_with(&stated, installs::rules_of(&stated), &text);
        note(&mut wrong, &report, report.verdict != Verdict::Differs, &stated);
    }
    assert!(wrong.is_empty(), "{} of {flights}: {:#?}", wrong.len(), &wrong[..wrong.len().min(5)]);
    println!("{flights} flights of good installs, no error and no warning");
}

#[test]
fn faults_that_only_a_flight_shows_are_found() {
    let random = &mut Random(0x666C_7973);
    let mut errors = 0;
    for (cause, wires) in [("air_ground_inverted", false), ("altitude_wire", true)] {
        for choice in 0..3 {
            let mut profile = invented(random);
            if wires {
                profile.altitude_resolution = Stated::Is(StepFt(100));
                profile.altitude_source_kind = Stated::Is(AltitudeSourceKind::Parallel);
            } else {
                profile.emitter_category = Stated::Is("A1".parse().expect("a category"));
                profile.air_ground_kind = Stated::Is(AirGroundKind::Switch);
                profile.air_ground_active = Stated::Is(ActiveMeans::OnGround);
            }
            // An input can be inverted in one way only.
            let way = if wires { choice } else { 0 };
            let (installation, planted) =
                Installation::from(profile.clone()).with_mistake(cause, way).expect("a planted mistake");
            let report = compare(&profile, &flown(installation, &FlightPath::demo(), 20, choice + 1));
            let warned = warned(&report);
            assert_eq!(warned.first().map(|(cause, _)| *cause), Some(cause), "{}: {warned:?}", planted.detail);
            if wires {
                // The planted fault, or one that these codes cannot tell from it.
                let first = report.findings.iter().find(|finding| finding.cause == cause).expect("the finding");
                // A code that means no altitude is an error; a climb that jumps may be the pilot's.
                let illegal = first.what.contains("codes that mean no altitude");
                assert!(illegal || first.severity == Severity::Warning, "{first:?}");
                assert!(!first.what.contains("0 kinds") && !first.what.contains("in 0 frames"), "{first:?}");
                assert!(!first.what.is_empty());
                errors += u32::from(first.severity == Severity::Error);
                let alike = first.alternatives.iter().any(|other| other.detail.starts_with(&planted.detail));
                assert!(first.likely_cause.contains(&planted.detail) || alike, "{}: {first:?}", planted.detail);
            }
        }
    }
    assert!(errors > 0, "a wire that is lost makes codes of no altitude");
}

/// A wire that is not needed below 2800 ft: the reading is right on the ground and runs backwards in the climb.
#[test]
fn a_wire_that_only_a_climb_needs_is_found_by_the_vertical_rate() {
    let random = &mut Random(0x0063_6C69_6D62);
    let mut profile = invented(random);
    profile.altitude_resolution = Stated::Is(StepFt(100));
    let open = Fault::Open("A4".parse().expect("a wire"));
    let mut lines = Vec::new();
    for step in 0..1600 {
        let seconds = f64::from(step) * 0.5;
        let feet = 500.0 + seconds * 10.0;
        let text = format!(
            r#"{{"airborne": true, "latitude_deg": 12.5, "longitude_deg": 30.25, "pressure_altitude_ft": {feet}, "ground_speed_kt": 110, "track_deg": 90, "vertical_rate_fpm": 600}}"#
        );
        let situation = Situation::read(&text).expect("a situation");
        let frames = emissions(&profile, Flight::Situation(&situation)).expect("frames");
        let status = step % 10 == 0;
        for frame in frames.iter().map(|emission| emission.frame) {
            let wanted = match frame.field(Span::new(33, 37)) {
                9..=19 => frame.downlink_format() == 17,
                31 => status && frame.downlink_format() == 17,
                _ => false,
            };
            if !wanted {
                continue;
            }
            let wires = Wires::from_squitter(Altitude12::from_bits(frame.field(Span::new(41, 52))));
            let code = wires.filter(|_| frame.field(Span::new(33, 37)) < 19).map(|wires| open.seen(wires).squitter());
            let frame = code.map_or(frame, |code| {
                let mask = Span::new(41, 52).mask(112);
                let pattern = frame.pattern() & !mask | u128::from(code.bits()) << (112 - 52);
                Frame::from_pattern(pattern, 112).with_overlay(0)
            });
            lines.push(format!("{seconds:.3} {frame}"));
        }
    }
    let report = compare(&profile, &lines.join("\n"));
    let found = report.findings.iter().find(|finding| finding.cause == "altitude_wire").expect("the fault of the wire");
    assert!(found.likely_cause.contains("A4 open"), "{found:?}");
}
