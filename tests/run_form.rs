//! `altitude --form` and `--run`: the altitude run as a form, judged by tolerance first.

use crate::program::{Folder, flat, run, run_with};
use squitterlab::code::Wires;
use squitterlab::present::run_form::{Run, form, rows};
use squitterlab::profile::wiring::{ALTIMETER_POINTS, Fault, Judged, missed};

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
    ] {
        let text = format!("# a form\n{row}\n");
        let said = run_with(&["altitude", "--run", "-"], text.as_bytes()).exits(2);
        said.complains_of(words);
        said.complains_of(&["-:2:"]);
    }
    run_with(&["altitude", "--run", "-"], b"# nothing\n").exits(2).complains_of(&["no row in it"]);
}
