//! `altitude --form` and `--run`: the altitude run as a form, judged by tolerance first.

use crate::program::{Folder, flat, run, run_with};
use squitterlab::code::Wires;
use squitterlab::present::run_form::{Run, form, rows};
use squitterlab::profile::wiring::{ALTIMETER_POINTS, Fault, Judged, TableOne, missed};

/// The form, each row filled in by this.
fn filled(ceiling_ft: i32, read: impl Fn(bool, i32) -> String) -> String {
    form(ceiling_ft)
        .lines()
        .map(|line| match line.split_once('|').filter(|_| !line.starts_with('#')) {
            None => format!("{line}\n"),
            Some((point, _)) => {
                let mut words = point.split_whitespace();
                let up = words.next() == Some("up");
                let feet: i32 = words.next().and_then(|feet| feet.parse().ok()).expect("feet");
                format!("{point}| {}\n", read(up, feet))
            }
        })
        .collect()
}

fn same(feet: i32) -> String {
    format!("{feet}, {feet}, {feet}, {feet}")
}

#[test]
fn a_form_has_every_point_up_and_down_and_proves_every_wire_that_can_be() {
    for ceiling in [3000, 10_000, 15_000, 18_000, 25_000, 41_000] {
        let text = form(ceiling);
        assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
        let rows = rows(&text).expect("a form");
        for up in [true, false] {
            let set: Vec<i32> = rows.iter().filter(|row| row.up == up).map(|row| row.set_ft).collect();
            assert!(if up { set.is_sorted() } else { set.iter().rev().is_sorted() });
            // 14 CFR part 43, Appendix E, Table I.
            for (feet, _) in ALTIMETER_POINTS.iter().filter(|(feet, _)| *feet <= ceiling) {
                assert!(set.contains(feet), "{feet} of {ceiling}");
            }
            assert!(set.iter().all(|feet| *feet <= ceiling));
            let lacking = missed(Fault::singles(), Judged::Exactly, &set);
            assert!(
                lacking.iter().all(|missed| missed.first_ft.is_none_or(|feet| feet > ceiling)),
                "{ceiling}: {lacking:?}"
            );
        }
        assert!(flat(&text.replace("# ", "")).contains("a hangar is not a shield"), "{text}");
        // An empty form says that nothing was read, and blames nobody.
        let run = Run::new(rows, None);
        assert!(!run.differs() && run.compared == 0 && run.open == run.rows.len());
    }
    // Own arithmetic of the sheet of facts (states, section 13) for the points of Table I, without what no altitude up to
    // the ceiling shows: A1 open below 14 750 ft, and by tolerance C2 grounded.
    for ceiling in [14_000, 25_000] {
        let said = flat(&form(ceiling).replace("# ", ""));
        assert!(said.contains("by the 125 ft tolerance: C1 open, C1 grounded, C4 open, C4 grounded;"), "{said}");
        assert!(said.contains("compared exactly: C1 open, C2 grounded, C4 open."), "{said}");
    }
}

#[test]
fn a_good_run_is_good_and_a_fault_of_each_kind_is_named() {
    let folder = Folder::new("run_form");
    let judged = |text: &str| {
        let file = folder.file("run.txt", text);
        run(&["altitude", "--run", &file, "--ceiling", "15000"])
    };
    let good = judged(&filled(15_000, |_, feet| same(feet))).exits(0);
    let said = flat(&good.out);
    assert!(said.contains("all within 2."), "{said}");
    assert!(said.contains("no fault shows") && said.contains("at most 0 ft between up and down"), "{said}");
    assert!(said.contains("Every row is filled in."), "{said}");
    // The tolerance, on both sides of its edge.
    for (off, status) in [(125, 0), (-125, 0), (126, 1), (-126, 1)] {
        let text = filled(15_000, |_, feet| format!("{feet}, , {0}, {0}", feet + if feet == 4000 { off } else { 0 }));
        let said = judged(&text).exits(status);
        assert_eq!(flat(&said.out).contains(&format!("Mode S {off:+} ft")), status == 1, "{}", said.out);
    }
    // The altimeter's own tolerance: 35 ft at 4000 ft (Table I).
    for (off, status) in [(35, 0), (36, 1)] {
        let text = filled(15_000, |_, feet| {
            let read = feet + if feet == 4000 { off } else { 0 };
            format!("{read}, {feet}, {feet}, {feet}")
        });
        assert_eq!(flat(&judged(&text).exits(status).out).contains("beyond its 35 ft"), status == 1);
    }
    // Mode S with 25-ft steps beside Mode C with hundreds is right; another hundred is not.
    let quarter = |feet: i32| (feet + 25, feet);
    let text = filled(15_000, |_, feet| format!("{feet}, {1}, {0}, {0}", quarter(feet).0, quarter(feet).1));
    judged(&text).exits(0);
    let text = filled(15_000, |_, feet| format!("{feet}, {}, {feet}, {feet}", feet + 100));
    assert!(flat(&judged(&text).exits(1).out).contains("Mode C 4100 ft, Mode S 4000 ft"));
    let text = filled(15_000, |up, feet| format!("{feet}, {0}, {0}, {0}", if up { feet } else { feet + 100 }));
    assert!(flat(&judged(&text).exits(0).out).contains("at most 100 ft between up and down"));
    let text = filled(15_000, |_, feet| format!("{feet}, {feet}, -, -"));
    assert!(flat(&judged(&text).exits(1).out).contains("Mode S sends no altitude"));
    // A wire that is open: A4, as one line of the code forced and decoded again.
    let open_a4 = |feet: i32| {
        let wires = Wires::from_feet(f64::from(feet)).expect("a code");
        let names: Vec<String> =
            wires.active().map(|wire| wire.name().to_owned()).filter(|name| name != "A4").collect();
        names.join(" ").parse::<Wires>().ok().and_then(Wires::feet).map_or("-".to_owned(), |feet| feet.to_string())
    };
    let text = filled(15_000, |_, feet| format!("{feet}, {0}, {0}, {0}", open_a4(feet)));
    assert!(flat(&judged(&text).exits(1).out).contains("Most likely: A4 open"), "{}", judged(&text).out);
}

#[test]
fn a_half_filled_form_resumes_and_a_bad_row_is_named_with_its_line() {
    let half = filled(15_000, |up, feet| if up { same(feet) } else { String::new() });
    let said = flat(&run_with(&["altitude", "--run", "-"], half.as_bytes()).exits(0).out);
    assert!(said.contains("rows are not filled in; go on in the same file."), "{said}");
    for (row, words) in [
        ("sideways 4000 | 4000", &["neither up nor down"][..]),
        ("up 4000 4000, 4000", &["has no |"]),
        ("up four | 4000", &["altitude that was set"]),
        ("up 4000 | 4000, four", &["\"four\""]),
        ("up 4000 | 1, 2, 3, 4, 5", &["5 values"]),
        ("up 14800 | 14,800, 14800", &["\"14,800\"", "thousands comma", "write 14800"]),
        ("up 4000 | -, 4000", &["the altimeter", "what the altimeter shows"]),
        ("up 4000 | 4000, 999999", &["Mode C", "outside -1200 to 126700"]),
    ] {
        let text = format!("# a form\n{row}\n");
        let said = run_with(&["altitude", "--run", "-"], text.as_bytes()).exits(2);
        said.complains_of(words);
        said.complains_of(&["-:2:"]);
    }
    run_with(&["altitude", "--run", "-"], b"# nothing\n").exits(2).complains_of(&["no row in it"]);
}

/// What is said of a run, and its exit status.
fn judged(text: &str, options: &[&str], status: i32) -> String {
    let arguments = [&["altitude", "--run", "-"][..], options].concat();
    flat(&run_with(&arguments, text.as_bytes()).exits(status).out)
}

/// Table I gives its tolerances at points; what it says of an altitude between them is only what both neighbours say.
#[test]
fn an_altimeter_between_the_points_of_its_table_is_passed_failed_or_said_not_to_be_judged() {
    for two in ALTIMETER_POINTS.windows(2) {
        let [below, above] = [two[0], two[1]];
        assert!(below.1 <= above.1, "tolerances grow with altitude");
        assert_eq!(TableOne::at(above.0), TableOne::Point(above.1));
        let set = above.0 - 1;
        assert_eq!(TableOne::at(set), TableOne::Between(below, above));
        for off in [0, below.1, below.1 + 1, above.1, above.1 + 1, 7900] {
            for off in [off, -off] {
                let read = set + off;
                let Ok(rows) = rows(&format!("up {set} | {read}, , {read}, {read}\n")) else { continue };
                let run = Run::new(rows, None);
                assert_eq!(run.differs() || run.leaves_unjudged(), off.abs() > below.1, "{set} {off}");
                let said = flat(&run.text());
                let words = match off.abs() {
                    off if off > above.1 => "it is beyond even the",
                    off if off > below.1 => "is not judged: Table I has no row for",
                    _ => "within the tolerance of the rows on both sides",
                };
                assert!(said.contains(words) && !said.contains("nothing beyond its tolerance"), "{set} {off}: {said}");
            }
        }
    }
    let said = judged("up 1100 | 9000,9000,9000,9000\n", &[], 1);
    assert!(said.contains("it is beyond even the 25 ft of the next row above, 1500 ft"), "{said}");
    assert!(said.contains("against the altimeter, which is itself beyond its tolerance"), "{said}");
    // Outside the table, and above what the aircraft may be taken to.
    let said = judged("up 0 | 0,0,0,0\nup 100000 | 1,1,1,1\n", &["--ceiling", "3000"], 1);
    for words in [
        "-99999 ft is not judged: Table I has no row for 100 000 ft",
        "50 000 ft (280 ft), is the last",
        "Not judged: 1 reading",
        "The run goes up to 100 000 ft, above the ceiling of 3000 ft",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
    assert!(judged("up -1100 | -1100, -1100\n", &[], 1).contains("-1000 ft (20 ft), is the first"));
    // A space may group digits.
    assert!(judged("up 14 800 | 14 800, 14 800, 14 800, 14 800\n", &[], 0).contains("14 800 ft up (line 1)"));
}

#[test]
fn what_is_blank_is_never_within_a_tolerance() {
    // Without the altimeter nothing is compared, unless no altimeter within its tolerance could be that far away.
    for way in ["up", "down"] {
        let said = judged(&format!("{way} 1100 | , 1100, 1100, 1100\n"), &[], 1);
        assert!(said.contains("Mode C is not judged: the altimeter was not read"), "{said}");
        assert!(said.contains("2. The altimeter against what was set (Table I) it was read at no point"), "{said}");
        assert!(said.contains("Read in no row, and not judged: the altimeter."), "{said}");
    }
    let edge = |feet: i32| judged(&format!("up 1100 | , {feet}\n"), &[], 1);
    assert!(edge(1100 + 125 + 25).contains("0 of 0 readings"), "{}", edge(1250));
    assert!(edge(1100 + 125 + 26).contains("0 of 1 readings"), "{}", edge(1251));
    // Rows twice, and one of them blank.
    let said = judged("up 1000 | 1000, 1000\nup 1000 | 9000\ndown 1000 |\n", &[], 1);
    assert!(said.contains("1000 ft up (line 2): +8000 ft, beyond its 20 ft"), "{said}");
    assert!(said.contains("3 of 3 rows are not filled in"), "{said}");
    assert!(said.contains("Read in no row, and not judged: Mode S, squitter."), "{said}");
    assert!(said.contains("no row has two of them"), "{said}");
    // One output that sends an altitude beside one that sends none.
    assert!(judged("up 1000 | 1000, -, 1000, 1000\n", &[], 1).contains("Mode C none, Mode S 1000 ft"));
}
