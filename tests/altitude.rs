//! Grey code, wires, faults; and `altitude` as a person sees it.

use serde_json::Value;
use squitterlab::code::{Altitude12, Altitude13, Bits, Code, ModeA, Version, Wire, Wires};
use squitterlab::present::altitude::{Ceiling, Misses, diagnosis_text};
use squitterlab::profile::stops::ALTITUDE_RUN;
use squitterlab::profile::wiring::{
    ALTIMETER_POINTS, AltitudeReading, Explanation, Fault, Judged, Needs, altitudes, diagnose, effect, missed,
    proving_set, readings, whole_feet,
};
use std::collections::HashMap;

/// The four octal digits and the thirteen bits of a reply: rows of the fact sheet, whose digits follow from the published
/// rows above, or from own computation where none is printed.
const DIGITS: [(i32, &str, u64); 12] = [
    (-1200, "0040", 0x0100),
    (-900, "0030", 0x1400),
    (0, "0620", 0x040A),
    (100, "0630", 0x140A),
    (1200, "0310", 0x1028),
    (6000, "4420", 0x0482),
    (14_800, "3040", 0x0B00),
    (20_000, "7720", 0x0EAA),
    (30_800, "1044", 0x0901),
    (62_800, "0046", 0x0105),
    (100_000, "5722", 0x0CAE),
    (126_700, "0042", 0x0104),
];

fn run_with(arguments: &[&str], input: &str) -> crate::program::Said {
    crate::program::run_with(&[&["altitude"], arguments].concat(), input.as_bytes())
}

fn text(arguments: &[&str], status: i32) -> String {
    run_with(arguments, "").exits(status).out
}

fn complaint(arguments: &[&str], input: &str) -> String {
    let said = run_with(arguments, input).exits(2);
    assert_eq!(said.out, "");
    said.err
}

fn json(arguments: &[&str], status: i32) -> Value {
    let arguments: Vec<&str> = arguments.iter().copied().chain(["--format", "json"]).collect();
    serde_json::from_str(&text(&arguments, status)).unwrap()
}

fn wires(feet: i32) -> Wires {
    Wires::from_feet(f64::from(feet)).unwrap()
}

fn wire(name: &str) -> Wire {
    name.parse().unwrap()
}

fn in_table_order(wires: Wires) -> String {
    let state = |name: &str| if wires.has(wire(name)) { '1' } else { '0' };
    ["D2", "D4", "A1", "A2", "A4", "B1", "B2", "B4", "C1", "C2", "C4"].map(state).into_iter().collect()
}

/// Every row of `vectors/published/` that has feet and the states of D1 D2 D4 A1 A2 A4 B1 B2 B4 C1 C2 C4; each file names
/// its source.
fn published_rows() -> Vec<(i32, String)> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/vectors/published");
    let mut rows = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let file: Value = serde_json::from_str(&std::fs::read_to_string(entry.unwrap().path()).unwrap()).unwrap();
        for check in file["checks"].as_array().unwrap().iter().filter(|check| check["kind"] == "grey_code") {
            for row in check["expect"]["wires"].as_array().into_iter().flatten() {
                rows.push((row[0].as_i64().unwrap() as i32, row[1].as_str().unwrap().to_owned()));
            }
        }
    }
    rows
}

#[test]
fn published_rows_hold_both_ways() {
    let rows = published_rows();
    assert!(rows.len() > 70, "{}", rows.len());
    for (feet, bits) in rows {
        assert_eq!(format!("0{}", in_table_order(wires(feet))), bits, "{feet}");
        let names = ["D1", "D2", "D4", "A1", "A2", "A4", "B1", "B2", "B4", "C1", "C2", "C4"];
        let grounded: Vec<&str> =
            names.into_iter().zip(bits.chars()).filter(|(_, bit)| *bit == '1').map(|(n, _)| n).collect();
        assert_eq!(grounded.join(" ").parse::<Wires>().unwrap().feet(), Some(feet));
    }
    for (feet, digits, reply) in DIGITS {
        assert_eq!(wires(feet).mode_c().to_string(), digits, "{feet}");
        assert_eq!(wires(feet).reply().bits(), reply, "{feet}");
        assert_eq!(Wires::from_mode_c(digits.parse().unwrap()).unwrap().feet(), Some(feet));
        assert_eq!(Altitude13::from_bits(reply).feet(), Some(feet));
    }
}

#[test]
fn every_step_goes_both_ways_changes_one_wire_and_no_other_code_is_an_altitude() {
    let mut known = HashMap::new();
    let mut before: Option<Wires> = None;
    for feet in (-1200..=126_700).step_by(100) {
        let now = wires(feet);
        assert_eq!(now.feet(), Some(feet));
        assert_eq!(now.fault(), None);
        if let Some(before) = before {
            assert_eq!(Wire::ALL.into_iter().filter(|wire| now.has(*wire) != before.has(*wire)).count(), 1, "{feet}");
        }
        if feet >= -1000 {
            assert_eq!(Altitude12::from_feet(f64::from(feet), 100).unwrap(), now.squitter());
        }
        known.insert(now.squitter().bits(), feet);
        before = Some(now);
    }
    assert_eq!(known.len(), 1280);
    for bits in 0..1 << 12 {
        let code = Altitude12::from_bits(bits);
        let Some(wires) = Wires::from_squitter(code) else {
            assert!(code.is_quarter());
            continue;
        };
        assert_eq!(wires.feet(), known.get(&bits).copied(), "{bits:03X}");
        assert_eq!(wires.fault().is_none(), wires.feet().is_some(), "{bits:03X}");
        assert_eq!(Wires::from_mode_c(wires.mode_c()), Ok(wires));
        assert_eq!(wires.to_string().parse(), Ok(wires));
    }
}

#[test]
fn every_mode_c_code_shows_its_wires_or_d1() {
    for bits in 0..1 << 13 {
        let code = ModeA::from_bits(bits);
        let d1 = code.digits()[3] & 1 == 1;
        match Wires::from_mode_c(code) {
            Ok(wires) => {
                assert!(!d1);
                assert_eq!(wires.mode_c().to_string(), code.to_string(), "X does not count");
            }
            Err(_) => assert!(d1),
        }
    }
}

#[test]
fn the_ends_of_the_code_are_refused_and_half_a_step_goes_up() {
    assert_eq!(wires(149).feet(), Some(100));
    assert_eq!(wires(150).feet(), Some(200));
    assert_eq!(wires(-1250).feet(), Some(-1200));
    assert!(Wires::from_feet(-1251.0).is_err());
    assert_eq!(wires(126_749).feet(), Some(126_700));
    assert!(Wires::from_feet(126_750.0).is_err());
    assert!(Wires::from_feet(f64::NAN).is_err());
    assert!(Wires::from_feet(f64::INFINITY).is_err());
}

#[test]
fn first_altitude_of_every_wire_from_the_lowest_up() {
    let first = |name: &str| (-1000..=126_700).step_by(100).find(|feet| wires(*feet).has(wire(name)));
    for (name, feet) in [
        ("C2", -1000),
        ("C1", -900),
        ("B4", -700),
        ("C4", -400),
        ("B2", -200),
        ("B1", 800),
        ("A4", 2800),
        ("A2", 6800),
        ("A1", 14_800),
        ("D4", 30_800),
        ("D2", 62_800),
    ] {
        assert_eq!(first(name), Some(feet), "{name}");
    }
}

/// The trade sheet's own arithmetic, up to 15 000 ft: first altitude beyond 125 ft or without altitude, largest error.
#[test]
fn single_faults_do_what_the_trade_sheet_computed() {
    let check = |fault: Fault, first: Option<i32>, largest: i32| {
        assert_eq!(Judged::ByTolerance.first(fault, 15_000), first, "{fault}");
        assert_eq!(effect(fault, 15_000).0, largest, "{fault}");
    };
    for (name, first, largest) in [
        ("A1", 14_900, 500),
        ("A2", 6900, 15_900),
        ("A4", 2900, 7900),
        ("B1", 900, 3900),
        ("B2", 0, 1900),
        ("B4", 0, 900),
    ] {
        check(Fault::Open(wire(name)), Some(first), largest);
    }
    for (name, first, largest) in
        [("B2", 1900, 1900), ("B4", 400, 900), ("A1", 0, 29_500), ("A2", 0, 13_500), ("A4", 0, 7900), ("B1", 0, 3900)]
    {
        check(Fault::Grounded(wire(name)), Some(first), largest);
    }
    assert_eq!(effect(Fault::Open(wire("A1")), 18_000).0, 6500);
    for fault in ["C1", "C4"].map(wire).into_iter().flat_map(|wire| [Fault::Open(wire), Fault::Grounded(wire)]) {
        let (largest, none) = effect(fault, 15_000);
        assert_eq!(largest, 100);
        assert!((30..=60).contains(&none), "20 to 40 % of 151 steps: {fault} {none}");
    }
    assert_eq!(effect(Fault::Open(wire("C2")), 15_000), (100, 31));
    let silent = Fault::Grounded(wire("C2"));
    check(silent, None, 100);
    assert_eq!(effect(silent, 126_700), (100, 0));
}

#[test]
fn whole_thousands_miss_three_faults_however_they_are_compared() {
    let thousands: Vec<i32> = (0..=15_000).step_by(1000).collect();
    let in_use = || Fault::singles().filter(|fault| !fault.wires().iter().any(|wire| wire.name().starts_with('D')));
    let faults: Vec<String> =
        missed(in_use(), Judged::Exactly, &thousands).iter().map(|missed| missed.fault.to_string()).collect();
    assert_eq!(faults, ["C1 open", "C2 grounded", "C4 open"]);
    let seen = text(
        &["--would-miss", "0,1000,2000,3000,4000,5000,6000,7000,8000,9000,10000,11000,12000,13000,14000,15000"],
        0,
    );
    assert!(seen.contains("missed, and 200 ft is the lowest altitude that shows: C2 grounded"), "{seen}");
    assert!(seen.contains("missed, and no altitude shows: C2 grounded"), "by the tolerance: {seen}");
}

/// By brute force, without the search.
fn shows_all(faults: impl Iterator<Item = Fault>, judged: Judged, altitudes: &[i32]) -> bool {
    missed(faults, judged, altitudes).iter().all(|missed| missed.first_ft.is_none_or(|feet| feet > 15_000))
}

#[test]
fn the_proving_sets_of_the_trade_sheet_are_found_and_are_shortest() {
    let all = || Fault::singles().chain(Fault::pairs());
    let singles = proving_set(Fault::singles(), Judged::Exactly, 15_000);
    assert_eq!(singles.altitudes_ft, [4100, 14_800]);
    assert_eq!(singles.never, [Fault::Open(wire("D2")), Fault::Open(wire("D4"))]);
    let pairs = proving_set(all(), Judged::Exactly, 15_000);
    assert_eq!(pairs.altitudes_ft.len(), 4);
    assert!(shows_all(all(), Judged::Exactly, &pairs.altitudes_ft));
    assert!(shows_all(all(), Judged::Exactly, &[100, 3600, 7100, 14_800]), "the sheet's");
    assert!(!shows_all(all(), Judged::Exactly, &[100, 3600, 14_800]));
    let tolerance = proving_set(Fault::singles(), Judged::ByTolerance, 15_000);
    assert_eq!(tolerance.altitudes_ft, [200, 3700, 15_000]);
    assert!(tolerance.never.contains(&Fault::Grounded(wire("C2"))));
    // No shorter set, by brute force.
    let steps: Vec<i32> = (0..=15_000).step_by(100).collect();
    for (at, a) in steps.iter().enumerate() {
        assert!(!shows_all(Fault::singles(), Judged::Exactly, &[*a]));
        for b in &steps[at..] {
            assert!(!shows_all(
                Fault::singles().filter(|fault| *fault != Fault::Grounded(wire("C2"))),
                Judged::ByTolerance,
                &[*a, *b]
            ));
        }
    }
}

#[test]
fn proving_sets_of_every_ceiling_show_all_that_can_be_shown() {
    for ceiling in (0..=126_700).step_by(4900).chain([126_700]) {
        for (judged, with_pairs) in [(Judged::Exactly, false), (Judged::Exactly, true), (Judged::ByTolerance, false)] {
            let faults = || Fault::singles().chain(Fault::pairs().filter(|_| with_pairs));
            let set = proving_set(faults(), judged, ceiling);
            for fault in faults() {
                let shown = set.altitudes_ft.iter().any(|feet| judged.shows(fault, *feet));
                assert_eq!(shown, !set.never.contains(&fault), "{ceiling} {fault}");
                assert_eq!(judged.first(fault, ceiling).is_none(), set.never.contains(&fault), "{ceiling} {fault}");
            }
            assert!(set.altitudes_ft.iter().all(|feet| (0..=ceiling).contains(feet)));
            assert!(set.altitudes_ft.len() <= 5, "{ceiling}: {:?}", set.altitudes_ft);
        }
    }
}

fn run_of(planted: Explanation, altitudes: &[i32]) -> Vec<AltitudeReading> {
    altitudes.iter().map(|feet| AltitudeReading { line: 1, set_ft: *feet, reported_ft: planted.reads(*feet) }).collect()
}

#[test]
fn every_planted_fault_is_told_or_is_among_those_that_cannot_be() {
    let short = [0, 500, 1000, 2900, 7000, 10_000];
    let long = [-1000, 0, 100, 700, 1900, 3600, 4100, 7100, 14_800, 15_000];
    for planted in Explanation::all() {
        for altitudes in [&short[..], &long[..], &[4100, 14_800]] {
            let found = diagnose(&run_of(planted, altitudes), 15_000);
            let is =
                |fit: &squitterlab::profile::wiring::Fit| fit.explanation == planted || fit.alike.contains(&planted);
            let at = found.fits.iter().position(is).unwrap();
            assert!(at < found.equal, "{planted}");
            assert!(found.fits[..found.equal].iter().all(|fit| fit.readings == altitudes.len()));
            assert!(found.fits[found.equal..].iter().all(|fit| fit.readings < altitudes.len()));
            // What cannot be told apart has a next altitude, and it tells some of them apart.
            assert_eq!(found.next.is_some(), found.equal > 1, "{planted}");
            if let Some(next) = &found.next {
                assert!(next.would_report.len() > 1);
                assert!(
                    next.would_report[&planted.reads(next.set_ft)].iter().any(|one| found.fits[at].explanation == *one)
                );
            }
        }
    }
}

#[test]
fn reading_where_it_says_comes_to_an_end_at_the_planted_fault() {
    for planted in Explanation::all() {
        let mut read = run_of(planted, &[0]);
        let mut rounds = 0;
        let last = loop {
            let found = diagnose(&read, 15_000);
            let Some(next) = found.next else { break found };
            read.extend(run_of(planted, &[next.set_ft]));
            rounds += 1;
            assert!(rounds < 12, "{planted}");
        };
        assert_eq!(last.equal, 1, "{planted}");
        assert!(last.fits[0].explanation == planted || last.fits[0].alike.contains(&planted), "{planted}");
        for alike in &last.fits[0].alike {
            assert!(
                (-1000..=15_000).step_by(100).all(|feet| alike.reads(feet) == last.fits[0].explanation.reads(feet))
            );
        }
    }
}

#[test]
fn a_typing_error_among_many_readings_does_not_hide_the_fault() {
    let planted = Explanation { fault: Fault::Open(wire("A4")), encoder_ft: 0 };
    let mut read = run_of(planted, &(0..=15_000).step_by(100).collect::<Vec<_>>());
    read[20].reported_ft = Some(9900);
    let found = diagnose(&read, 15_000);
    assert_eq!((found.equal, found.fits[0].explanation, found.fits[0].readings), (1, planted, 150));
}

#[test]
fn readings_are_read_with_frames_and_refused_line_by_line() {
    // A published frame: airborne position, 38 000 ft.
    let read = readings("# run\n\n 38000 , 8D40621D58C382D690C8AC2863A7\n0, none\n-1000,-\n14800, 14700\n").unwrap();
    let reported: Vec<_> = read.iter().map(|reading| (reading.line, reading.set_ft, reading.reported_ft)).collect();
    assert_eq!(reported, [(3, 38_000, Some(38_000)), (4, 0, None), (5, -1000, None), (6, 14_800, Some(14_700))]);
    assert!(!read[3].exact() && read[3].within_tolerance());
    assert!(!read[1].exact() && !read[1].within_tolerance());
    let bad =
        readings("0\nfoo, 1\n1, 1'000\n200000, 0\n0, 8D4840D6202CC371C32CE0576098\n0, 8D40621D58C382D690C8AC2863A8")
            .unwrap_err();
    assert_eq!(bad.iter().map(|bad| bad.line).collect::<Vec<_>>(), [1, 2, 3, 4, 5, 6]);
    assert!(bad[0].reason.contains("no comma"));
    // A frame that begins with three digits is not the end of a thousand.
    let frame = "020A0000000000";
    assert!(readings(&format!("38,{frame}\n38000,{frame}")).is_ok());
    assert!(bad[4].reason.contains("carries no pressure altitude"));
    assert!(bad[5].reason.contains("parity"));
    assert!(readings("# nothing").unwrap_err()[0].reason.contains("no reading"));
}

#[test]
fn a_person_sees_wires_codes_and_digits() {
    let seen = text(&["14800"], 0);
    for wanted in [
        "grounded     A1 A2 C4",
        "not grounded A4 B1 B2 B4 C1 C2 D2 D4",
        "Mode C       3040",
        "squitter     580h",
        "reply        0B00h",
        "25-ft code   14 800 ft",
    ] {
        assert!(seen.contains(wanted), "{wanted}\n{seen}");
    }
    assert!(text(&["-1200"], 0).contains("encoders begin at -1000 ft"));
    assert!(text(&["50200"], 0).contains("the 25-ft code ends at 50 175 ft"));
    assert!(!text(&["50175"], 0).contains("ends at"));
}

#[test]
fn every_way_of_writing_a_code_gives_the_same_altitude() {
    for feet in (-1000..=126_700).step_by(1300) {
        let wires = wires(feet);
        let squitter = format!("squitter:{:03x}", wires.squitter().bits());
        let reply = format!("reply:{:04X}", wires.reply().bits());
        let mode_c = format!("mode-c:{}", wires.mode_c());
        for code in [squitter, reply, mode_c] {
            assert_eq!(json(&["--code", &code], 0)["altitude_ft"], feet, "{code}");
        }
        let object = json(&["--wires", &wires.to_string()], 0);
        assert_eq!(object["altitude_ft"], feet);
        assert_eq!(object["grey_code"]["mode_c"], wires.mode_c().to_string());
    }
    assert_eq!(json(&["--code", "squitter:C38"], 0)["altitude_ft"], 38_000);
    assert_eq!(json(&["--code", "reply:1838"], 0)["altitude_ft"], 38_000);
    assert_eq!(json(&["--code", "C38"], 0)["quarter_code"]["reply"], "1838");
    assert_eq!(json(&["--code", "1838"], 0)["given"], "reply:1838");
}

#[test]
fn codes_without_altitude_say_why() {
    for (code, why) in [
        ("mode-c:0000", "no wire is grounded"),
        ("mode-c:0050", "C1 and C4 without C2"),
        ("mode-c:0070", "together"),
        ("mode-c:0600", "none of C1, C2, C4"),
        ("mode-c:0621", "D1"),
        ("reply:0040", "metric"),
    ] {
        assert!(text(&["--code", code], 1).contains(why), "{code}");
    }
    assert!(text(&["--wires", "C1,c4"], 1).contains("C1 and C4 without C2"));
    assert_eq!(Altitude13::from_bits(0x40).meaning(Version::Two).value, squitterlab::code::Value::Null);
}

#[test]
fn bad_input_is_refused_with_what_to_write() {
    for (arguments, wanted) in [
        (&["--code", "0620"][..], "reply:0620"),
        (&["--code", "squitter:1838"], "squitter:C38"),
        (&["--code", "reply:2000"], "up to 1FFF"),
        (&["--code", "mode-c:0820"], "0 to 7"),
        (&["--code", "ac:0620"], "squitter:, reply: or mode-c:"),
        (&["--wires", "D1"], "D1 is not used"),
        (&["--wires", "E1"], "A1, A2"),
        (&["high"], "not a number"),
        (&["126750"], "126700"),
        (&["NaN"], "not a number"),
        (&["--prove", "15,000"], "no thousands comma"),
        (&["--prove", "130000"], "126700"),
        (&["14,800"], "without a comma"),
        (&["--would-miss", "a"], "whole number"),
        (&["--would-miss", "1,000"], "write 1000, or"),
        (&["--would-miss", "0,14,800"], "\"14,800\" looks like one altitude with a thousands comma"),
        (&["--would-miss", "0,130000"], "126700"),
        (&["1000", "--code", "C38"], "cannot be used with"),
        (&["--readings", "no/such/file"], "cannot be read"),
        (&["--readings", "-"], "no reading"),
        (&[], "required"),
    ] {
        let said = complaint(arguments, "");
        assert!(said.contains(wanted), "{arguments:?}: {said}");
    }
    assert!(complaint(&["--readings", "-"], "0, 0\n5 5\n").contains("-:2:"));
}

#[test]
fn readings_on_the_command_line() {
    let demo = concat!(env!("CARGO_MANIFEST_DIR"), "/vectors/demo/altitude_run.txt");
    let object = json(&["--readings", demo], 1);
    assert_eq!(object["verdict"], "told", "{object}");
    assert_eq!(object["explanations"][0]["fault"], "open");
    assert_eq!(object["explanations"][0]["wires"][0], "A4");
    let seen = text(&["--readings", demo], 1);
    assert!(seen.contains("most likely: A4 open"), "{seen}");
    let counts = "within the 125 ft tolerance: 4 of 9 readings\nexactly right: 4 of 9 readings";
    assert!(seen.contains(counts), "{seen}");
    let good = run_with(&["--readings", "-"], "0, 0\n500, 500\n");
    let good = good.exits(0).out;
    assert!(good.contains("Within tolerance, and every reading is exactly right: no fault shows."), "{good}");
    assert!(good.contains("next altitude to read: "), "{good}");
    // Within the tolerance and not exact: the two are told apart.
    let near = run_with(&["--readings", "-"], "200, 300\n");
    let near = near.exits(1).out;
    let counts = "within the 125 ft tolerance: 1 of 1 readings\nexactly right: 0 of 1 readings";
    assert!(near.contains(counts), "{near}");
}

#[test]
fn proving_on_the_command_line_is_an_addition() {
    let seen = text(&["--prove", "15000"], 0);
    for wanted in ["4100 ft, 14 800 ft", "200 ft, 3700 ft, 15 000 ft", "addition to the required correspondence test"] {
        assert!(seen.contains(wanted), "{wanted}\n{seen}");
    }
    let object = json(&["--prove", "15000"], 0);
    assert_eq!(object["exact"]["altitudes_ft"], serde_json::json!([4100, 14800]));
    assert_eq!(object["wires_in_use"].as_array().unwrap().len(), 9);
    let help = text(&["--help"], 0);
    assert!(help.trim_end().ends_with("squitterlab altitude --would-miss 0,1000,2000,5000,10000,15000"), "{help}");
}

// Tolerance and calibration first, wires only if the readings need them ------------------------------------------------

/// What a person reads, without the cautions.
fn said(readings: &[AltitudeReading], ceiling_ft: i32) -> String {
    diagnosis_text(readings, &diagnose(readings, ceiling_ft), Ceiling::Given(ceiling_ft))
}

/// Whether a wire is named, or a fault of one.
fn names_a_wire(text: &str) -> bool {
    let faults = ["open", "grounded", "swapped", "shorted"];
    text.split(|one: char| !one.is_alphanumeric())
        .any(|word| faults.contains(&word) || word.len() == 2 && word.parse::<Wire>().is_ok())
}

fn read_as(pairs: &[(i32, i32)]) -> Vec<AltitudeReading> {
    let reading = |(at, (set, reported)): (usize, &(i32, i32))| AltitudeReading {
        line: at + 1,
        set_ft: *set,
        reported_ft: Some(*reported),
    };
    pairs.iter().enumerate().map(reading).collect()
}

#[test]
fn runs_of_healthy_encoders_are_within_tolerance_and_no_wire_is_named() {
    let mut high: Vec<(i32, i32)> = (0..=15).map(|step| (1000 * step, 1000 * step + 100)).collect();
    for (set, reported) in &mut high[..3] {
        *reported = *set;
    }
    for (pairs, wanted) in [
        (&high[..], "Within tolerance: one step (100 ft) high from 3000 ft up. Calibration or hysteresis"),
        (&[(0, 0), (1000, 1100), (2000, 2100), (3000, 3100)], "one step (100 ft) high from 1000 ft up"),
        (&[(0, -100), (1000, 900), (2000, 1900)], "one step (100 ft) low throughout"),
        (
            &[(0, -100), (1000, 1000), (2000, 2100)],
            "one step (100 ft) low up to 0 ft, one step (100 ft) high from 2000",
        ),
        (&[(0, 0), (5000, 5000), (9000, 9000), (5000, 5100), (0, 0)], "At 5000 ft the same altitude was read with"),
        (&[(0, 25), (1000, 975), (2000, 2050), (3000, 3125)], "Not a grey-code source: line 1 reports 25 ft"),
        (&[(0, 0), (1000, 1150)], "Out of tolerance: 150 ft high from 1000 ft up. Not a grey-code source: line 2"),
    ] {
        let seen = said(&read_as(pairs), 15_000);
        let joined = seen.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(joined.contains(wanted), "{wanted}\n{seen}");
        assert!(!names_a_wire(&seen), "{seen}");
    }
}

/// A generator that needs nothing: the multiplier and the increment are Knuth's (from memory); any would do.
struct Draw(u64);

impl Draw {
    fn below(&mut self, end: i32) -> i32 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) % end as u64) as i32
    }
}

/// Drifts of many shapes: constant, growing, bent, with hysteresis; read up and down at any altitude.
#[test]
fn no_drift_within_tolerance_names_a_wire() {
    let mut draw = Draw(1);
    let (mut drifted, mut exact) = (0, 0);
    for round in 0..600 {
        let (begin, end, bend) = (draw.below(200) - 100, draw.below(200) - 100, draw.below(80) - 40);
        let hysteresis = draw.below(75);
        let top = 3000 + 100 * draw.below(90);
        let spacing = [1000, 500, 700, 100, 1030][round % 5];
        let error = |feet: i32| {
            let part = f64::from(feet) / f64::from(top);
            f64::from(begin) + f64::from(end - begin) * part + f64::from(bend) * (part * 6.0).sin()
        };
        let up: Vec<i32> = (0..=top).step_by(spacing).collect();
        let down: Vec<i32> = if round % 2 == 0 { Vec::new() } else { up.iter().rev().skip(1).copied().collect() };
        let shown = |feet: i32, more: i32| AltitudeReading {
            line: 1,
            set_ft: feet,
            reported_ft: Some(((f64::from(feet) + error(feet) + f64::from(more)) / 100.0).round() as i32 * 100),
        };
        let read: Vec<AltitudeReading> =
            up.iter().map(|feet| shown(*feet, 0)).chain(down.iter().map(|feet| shown(*feet, hysteresis))).collect();
        if !read.iter().all(AltitudeReading::within_tolerance) {
            continue;
        }
        // The search takes its time: its answer is tried in a part, the judgement in all.
        let needs = diagnose(&read, 0).needs;
        match needs {
            Needs::Calibration => drifted += 1,
            Needs::Nothing => exact += 1,
            _ => panic!("{begin} to {end}, {bend}, {hysteresis}, up to {top} by {spacing}: {needs:?}"),
        }
        if round % 50 == 0 {
            let seen = said(&read, top);
            assert!(!names_a_wire(&seen), "{seen}");
        }
    }
    assert!(drifted > 100 && exact > 0, "{drifted} {exact}");
}

#[test]
fn whole_thousands_a_step_off_are_calibration_whatever_the_pattern() {
    for pattern in 0..3_i32.pow(6) {
        let read: Vec<(i32, i32)> =
            (0..6).map(|at| (1000 * at, 1000 * at + 100 * (pattern / 3_i32.pow(at as u32) % 3 - 1))).collect();
        let needs = diagnose(&read_as(&read), 0).needs;
        assert!(matches!(needs, Needs::Calibration | Needs::Nothing), "{read:?}: {needs:?}");
    }
}

#[test]
fn every_wire_fault_beyond_the_tolerance_is_named_and_so_is_one_that_only_jumps() {
    let every: Vec<i32> = (-1000..=15_000).step_by(100).collect();
    let runs: [&[i32]; 4] =
        [&every, &[0, 1000, 2000, 2700, 3000, 4000, 5000, 7000, 10_000], &[100, 3600, 7100, 14_800], &[4100, 14_800]];
    let mut jumps = Vec::new();
    for fault in Fault::singles().chain(Fault::pairs()) {
        let planted = Explanation { fault, encoder_ft: 0 };
        for altitudes in runs {
            let read = run_of(planted, altitudes);
            let found = diagnose(&read, 15_000);
            if read.iter().all(AltitudeReading::exact) {
                assert_eq!(found.needs, Needs::Nothing, "{fault}");
                continue;
            }
            if read.iter().all(AltitudeReading::within_tolerance) {
                // Of a few readings in tolerance only such a jump needs a wire that no calibration makes.
                assert!(
                    !matches!(found.needs, Needs::Nothing | Needs::NotGreyCode(..) | Needs::Wires(None)),
                    "{fault}"
                );
                if altitudes == every {
                    assert!(matches!(found.needs, Needs::Wires(Some(_))), "{fault}");
                    jumps.push(fault);
                }
            } else {
                assert!(matches!(found.needs, Needs::Wires(_)), "{fault} {:?}", found.needs);
            }
            let tied = &found.fits[..found.equal];
            assert!(tied.iter().any(|fit| fit.explanation == planted || fit.alike.contains(&planted)), "{fault}");
            let seen = said(&read, 15_000);
            if tied.len() == 1 && matches!(found.needs, Needs::Wires(_)) {
                assert!(seen.contains(&format!("most likely: {}", tied[0].explanation)), "{seen}");
            }
        }
    }
    // The one that is never beyond the tolerance (the trade sheet's own arithmetic).
    assert_eq!(jumps, [Fault::Grounded(wire("C2"))]);
}

#[test]
fn nothing_above_the_highest_reading_is_suggested_without_a_ceiling() {
    for planted in Explanation::all() {
        for altitudes in [&[0][..], &[0, 1000, 2000], &[-1000, -500], &[500, 12_500]] {
            let read = run_of(planted, altitudes);
            let ceiling = Ceiling::new(None, altitudes.iter().copied());
            let found = diagnose(&read, ceiling.ft());
            let highest = altitudes.iter().max().unwrap();
            let next =
                found.next.as_ref().map(|next| next.set_ft).into_iter().chain(found.unseen.next.map(|next| next.0));
            assert!(next.into_iter().all(|feet| feet <= *highest), "{planted}");
        }
    }
    let asked = "Give --ceiling FEET: the highest altitude that the altimeter and the static system may be taken to.";
    let joined = |text: String| text.split_whitespace().collect::<Vec<_>>().join(" ");
    for (arguments, input) in [(&["--readings", "-"][..], "0, 0\n500, 500\n"), (&["--would-miss", "0,500"], "")] {
        let without = joined(run_with(arguments, input).exits(0).out);
        assert!(without.contains(asked), "{without}");
        let with = joined(run_with(&[arguments, &["--ceiling", "15000"]].concat(), input).exits(0).out);
        assert!(!with.contains(asked), "{with}");
    }
    // Readings above the ceiling were made, which is said; a plan above it is refused.
    let above = "The run goes up to 500 ft, above the ceiling of 400 ft";
    for format in ["text", "json"] {
        let readings = ["--readings", "-", "--ceiling", "400", "--format", format];
        let said = joined(run_with(&readings, "0, 0\n500, 500\n").exits(0).out);
        assert!(said.contains(above), "{said}");
    }
    let refused = complaint(&["--would-miss", "0,500", "--ceiling", "400"], "");
    assert!(refused.contains("500 ft is above the ceiling of 400 ft"), "{refused}");
}

#[test]
fn long_lists_are_cut_at_five_with_a_count() {
    // A run that nothing explains: dozens of equal fits, and as many answers of the next altitude.
    let read = read_as(&[(4000, 5000), (8000, 1000), (12_000, 12_000)]);
    let found = diagnose(&read, 15_000);
    let seen = said(&read, 15_000);
    assert!(found.equal > 10 && found.next.as_ref().unwrap().would_report.len() > 10);
    assert!(seen.contains(&format!("  and {} more\n", found.equal - 5)), "{seen}");
    let more = found.next.unwrap().would_report.len() - 5;
    assert!(seen.contains(&format!("  and {more} more altitudes\n")), "{seen}");
    assert!(seen.lines().count() < 45, "{seen}");
}

/// The fact sheet's own arithmetic (18 single faults, points of 14 CFR part 43, Appendix E, Table I).
#[test]
fn what_the_points_of_the_altimeter_miss_is_said_beside_any_list() {
    assert!(ALTIMETER_POINTS.iter().all(|(feet, _)| feet % 500 == 0));
    for (ceiling, exactly, by_tolerance) in [
        (
            15_000,
            "A1 open, C1 open, C2 grounded, C4 open",
            "A1 open, C1 open, C1 grounded, C2 grounded, C4 open, C4 grounded",
        ),
        (25_000, "C1 open, C2 grounded, C4 open", "C1 open, C1 grounded, C2 grounded, C4 open, C4 grounded"),
    ] {
        let seen = Misses::new(vec![0], Ceiling::Given(ceiling)).text();
        let joined = seen.split_whitespace().collect::<Vec<_>>().join(" ");
        let wanted = format!("misses, compared exactly: {exactly}; by the 125 ft tolerance: {by_tolerance} (14 CFR");
        assert!(joined.contains(&wanted), "{wanted}\n{joined}");
    }
}

#[test]
fn a_thousands_comma_is_never_two_altitudes() {
    for thousands in 1..=125 {
        for rest in [0, 5, 50, 100, 500, 999] {
            let (feet, number) = (1000 * thousands + rest, format!("{thousands},{rest:03}"));
            let ambiguous = thousands < 100 || rest < 100;
            for list in [number.clone(), format!("0,{number}"), format!("{number},20000"), format!("-{number}")] {
                let found = altitudes(&list);
                assert_eq!(found.is_err(), ambiguous, "{list}: {found:?}");
                if let Err(why) = found {
                    assert!(why.contains(&format!("write {feet}")), "{list}: {why}");
                }
            }
            assert_eq!(readings(&number).is_err(), ambiguous, "{number}");
            assert_eq!(altitudes(&format!("{thousands}, {}", rest.max(100))), Ok(vec![thousands, rest.max(100)]));
            for written in [format!("{thousands} {rest:03}"), format!("{thousands} {rest:03} ft"), format!("{feet}ft")]
            {
                assert_eq!(whole_feet(&written), Ok(feet), "{written}");
            }
        }
    }
    for wrong in ["", "-", "ft", "1 00", "1000 000", "01", "000", "1.5", "1,5", "1_000", "+5", "\u{661}", "1  000"] {
        assert!(whole_feet(wrong).is_err_and(|why| why.contains("whole number")), "{wrong:?}");
    }
    // A whole number that no code says is called too large or too small, and not something else.
    for wrong in ["126750", "99999999", "99999999999", "-1251", "-99999999999"] {
        let why = whole_feet(wrong).expect_err(wrong);
        assert!(why.contains("is outside -1200 to 126700 ft") && !why.contains("whole"), "{why}");
    }
    // What the program prints can be given back.
    assert_eq!(altitudes("100 ft, 900 ft, 7100 ft, 14 800 ft"), Ok(vec![100, 900, 7100, 14_800]));
    assert_eq!(altitudes("100,900,7100,14800"), Ok(vec![100, 900, 7100, 14_800]));
    assert_eq!(altitudes("-1000,0"), Ok(vec![-1000, 0]));
}

/// Paragraphs that begin with STOP, each on one line.
fn stops(text: &str) -> Vec<String> {
    let mut stops: Vec<String> = Vec::new();
    let mut within = false;
    for line in text.lines() {
        let begins = line.trim_start().starts_with("STOP ");
        if begins {
            stops.push(line.trim_start()["STOP ".len()..].trim().to_owned());
        } else if within && line.starts_with("      ") {
            let stop = stops.last_mut().unwrap();
            stop.push(' ');
            stop.push_str(line.trim());
        }
        within = begins || within && line.starts_with("      ");
    }
    stops
}

#[test]
fn every_altitude_command_says_what_must_be_so_before_a_run() {
    let wanted = squitterlab::profile::stops::stops(ALTITUDE_RUN);
    let all = wanted.join(" ");
    for words in ["shield", "air traffic control", "standby between", "7776", "7500", "7600", "7700", "7777", "static"]
    {
        assert!(all.contains(words), "{words}");
    }
    for arguments in [
        &["14800"][..],
        &["100", "200"],
        &["--code", "mode-c:0620"],
        &["--wires", "A1 A2 C4"],
        &["--prove", "15000"],
        &["--would-miss", "0,1000"],
        &["--readings", "-"],
    ] {
        let input = "0, 0\n500, 500\n";
        let said = run_with(arguments, input).exits(0);
        assert_eq!(stops(&said.out), wanted, "{arguments:?}");
        assert!(said.out.contains("CAUTION  This is an addition to the required correspondence test"));
        let said = run_with(&[arguments, &["--format", "json"]].concat(), input).exits(0);
        assert_eq!(stops(&said.err), wanted, "{arguments:?}");
        assert!(said.out.lines().all(|line| serde_json::from_str::<Value>(line).is_ok()), "{}", said.out);
    }
}
