//! `practice`: one exercise, an answer with its reason, a conversation, and a sheet for a class.

use crate::program::{flat, run, run_with};
use squitterlab::learn::{KINDS, exercise};

#[test]
fn an_answer_is_judged_with_the_reason() {
    for kind in KINDS {
        let made = exercise(7, None, Some(kind.name)).expect("an exercise");
        let ask = |answer: &str| run(&["practice", "--kind", kind.name, "--seed", "7", "--answer", answer]);
        let right = ask(&made.answer.shown()).exits(0).out;
        assert!(right.ends_with("right\n"), "{right}");
        if let Some((slip, why)) = made.slips.first() {
            let said = flat(&ask(&slip.shown()).exits(1).out);
            assert!(said.contains(&format!("not yet: {}", flat(why))), "{said}");
        }
        let solved = run(&["practice", "--kind", kind.name, "--seed", "7", "--solution"]).exits(0).out;
        assert!(solved.contains(&format!("answer: {}", made.answer.shown())), "{solved}");
    }
    run(&["practice", "--kind", "read_altitude", "--level", "2"]).exits(2).complains_of(&["is not of level 2"]);
    run(&["practice", "--level", "8"]).exits(2).complains_of(&["8"]);
    run(&["practice", "--kind", "no_such_kind"]).exits(2).complains_of(&["no_such_kind"]);
}

#[test]
fn what_is_no_answer_is_said_in_short() {
    let ask = |kind: &str, answer: &str| {
        let said = run(&["practice", "--kind", kind, "--seed", "7", "--answer", answer]).exits(1).out;
        let (_, why) = said.rsplit_once("not yet: ").expect("a reason");
        flat(why)
    };
    let altitude = |answer: &str| ask("read_altitude", answer);
    assert_eq!(altitude("1e400 ft"), "\"1e400 ft\" is not a number that can be judged; write it in plain digits");
    assert_eq!(altitude("1.2.3"), "\"1.2.3\" is not a number that can be judged; write it in plain digits");
    assert_eq!(altitude("high"), "write a number");
    assert_eq!(altitude("38000 ft 999"), "write one number and its unit, ft; there is more in \"38000 ft 999\"");
    assert_eq!(altitude("38000 furlongs"), "give it in ft, not in furlongs");
    assert_eq!(altitude(&format!("38000 {}", "x".repeat(200))), format!("give it in ft, not in {}", "x".repeat(20)));
    assert_eq!(
        altitude(&format!("38000 ft {}", "9".repeat(100_000))),
        "100009 characters are too many; write the answer alone, in at most 1000"
    );
    let right = exercise(7, None, Some("read_altitude")).expect("an exercise").answer.shown();
    let (feet, _) = right.split_once(' ').expect("a unit");
    run(&["practice", "--kind", "read_altitude", "--seed", "7", "--answer", &format!("{feet}e0 ft")]).exits(0);
}

#[test]
fn a_conversation_counts_hints_and_tries() {
    let answer = |seed: u64| exercise(seed, Some(4), Some("read_altitude")).expect("an exercise").answer.shown();
    let arguments = ["practice", "--kind", "read_altitude", "--seed", "7"];
    let said = run_with(&arguments, format!("{}\nhint\n{}\nquit\n", answer(7), answer(8)).as_bytes()).exits(0).out;
    assert!(said.contains("\n4 points\n") && said.contains("\n3 points\n"), "the hint costs one: {said}");
    assert!(said.ends_with("2 of 3 exercises right, 7 points\n"), "{said}");
    let said = run_with(&arguments, format!("1 ft\n{}\n", answer(7)).as_bytes()).exits(0).out;
    assert!(said.contains("not yet: ") && said.contains("\n3 points\n"), "a second try costs one: {said}");
    let said = run_with(&arguments, b"show\nnext\n").exits(0).out;
    assert!(
        said.contains(&format!("answer: {}", answer(7))) && said.ends_with("0 of 3 exercises right, 0 points\n"),
        "{said}"
    );
    let said = run_with(&arguments, format!("\u{FEFF}hint\r\n{}\r\n", answer(7)).as_bytes()).exits(0).out;
    assert!(said.contains("\n3 points\n"), "as an editor of Windows saves the answers: {said}");
    let said = run_with(&arguments, b"skip\nquit\n").exits(0).out;
    assert!(!said.contains("not yet") && said.ends_with("0 of 2 exercises right, 0 points\n"), "{said}");
    let said = run_with(&arguments, b"hint\n\xFF\xFE\n");
    said.exits(2).complains_of(&["-:2: this line is not UTF-8 text; save the file as UTF-8"]);
    assert!(run_with(&arguments, b"").exits(0).out.ends_with("0 of 1 exercise right, 0 points\n"));
}

#[test]
fn a_sheet_has_its_solutions_behind_it() {
    let sheet =
        |seed: &str| run(&["practice", "--sheet", "--level", "3", "--count", "10", "--seed", seed]).exits(0).out;
    let one = sheet("7");
    let (exercises, solutions) = one.split_once(" cut here ").expect("a line to cut");
    for number in 1..=10 {
        assert!(exercises.contains(&format!("\n{number}. ")) && solutions.contains(&format!("\n{number}. answer: ")));
    }
    assert!(!exercises.contains("answer: "), "{exercises}");
    assert_eq!(exercises.matches("All aircraft in these exercises are invented.").count(), 1, "{exercises}");
    assert_eq!(one, sheet("7"));
    assert_ne!(one, sheet("8"));
}
