//! Exercises and lessons: of every kind and seed a right answer is right in every form, and a near miss is wrong with the
//! right reason; every number of a lesson is calculated again by the calculator of `steps.rs`.

use crate::long_run::cases;
use crate::steps::check;
use squitterlab::downlink::Decoded;
use squitterlab::learn::{Answer, Exercise, Judged, KINDS, LESSONS, exercise, sheet};
use squitterlab::present::glossary;
use std::collections::BTreeSet;

/// `SQUITTERLAB_TEST_TIMES=25` tries a thousand seeds of each kind.
const SEEDS: u32 = 40;

fn reason(exercise: &Exercise, answer: &str) -> String {
    match exercise.judge(answer) {
        Judged::Right => panic!("{answer:?} is taken for right: {} {:?}", exercise.task, exercise.answer),
        Judged::Wrong(why) => why,
    }
}

/// What differs from the answer by one bit, by its sign or by its unit, with words that the reason must have, if it is no
/// slip that has a reason of its own.
fn near_misses(answer: &Answer) -> Vec<(String, &'static [&'static str])> {
    match answer {
        Answer::Bits { code, width } => {
            let width_of = usize::from(*width);
            let mut all: Vec<(String, &'static [&'static str])> = (0..*width)
                .map(|at| (format!("{:0width_of$b}", code ^ 1 << at), &["is the other way round"][..]))
                .collect();
            all.push((format!("{code:0width_of$b}0"), &["bits; the field has"]));
            all.push((format!("{code:b}x"), &["0 and 1"]));
            all
        }
        Answer::Number { value, unit, .. } => {
            let mut all: Vec<(String, &'static [&'static str])> = Vec::new();
            if value.abs() > 1.0 {
                all.push(((-value).to_string(), &["sign"]));
                all.push(((value * 3.0).to_string(), &["too "]));
            }
            all.push((format!("{value} furlongs"), if unit.is_empty() { &["no unit"] } else { &["give it in"] }));
            if *unit == "ft" && value.abs() > 100.0 {
                all.push((format!("{:.1}", value * 0.3048), &["in m; give it in ft"]));
                all.push((format!("{value} m"), &["give it in ft, not in m"]));
            }
            all.push(("forty".to_owned(), &["write a number"]));
            all
        }
        Answer::Place { latitude_deg: y, longitude_deg: x } => vec![
            (format!("{:.4}, {x:.4}", -y), &["wrong sign: north"]),
            (format!("{y:.4}, {:.4}", -x), &["wrong sign: east"]),
            (format!("{x:.4}, {y:.4}"), &["the other way round"]),
            (format!("{y:.4}"), &["write latitude and longitude"]),
        ],
        Answer::Hex { digits } => {
            let flipped = |at: usize| {
                let digit = u32::from_str_radix(&digits[at..=at], 16).expect("a digit") ^ 1;
                format!("{}{digit:X}{}", &digits[..at], &digits[at + 1..])
            };
            let mut all: Vec<(String, &'static [&'static str])> =
                (0..digits.len()).map(|at| (flipped(at), &["not right in digit"][..])).collect();
            all.push((digits[1..].to_owned(), &["digits; the answer has"]));
            all
        }
        Answer::Frame(frame) => (6..=112)
            .map(|bit| {
                (
                    frame.flipped(bit).to_string(),
                    if bit > 88 { &["the parity is not"][..] } else { &["are not right"][..] },
                )
            })
            .collect(),
        Answer::Word(word) => vec![(format!("{word}Q"), &["characters; the answer has"])],
    }
}

fn tried(exercise: &Exercise) {
    let (answer, task) = (&exercise.answer, &exercise.task);
    for form in answer.forms().into_iter().chain([answer.shown()]) {
        assert_eq!(exercise.judge(&form), Judged::Right, "{form:?}: {task} {answer:?}");
    }
    assert!(!exercise.hints.is_empty(), "{task}");
    for (slip, why) in &exercise.slips {
        assert_eq!(&reason(exercise, &slip.shown()), why, "{task}");
    }
    for (miss, words) in near_misses(answer) {
        if answer.is_said_by(&miss) {
            // A symmetric value is its own mirror image.
            continue;
        }
        let why = reason(exercise, &miss);
        let is_slip = exercise.slips.iter().any(|(_, known)| *known == why);
        assert!(is_slip || words.iter().any(|words| why.contains(words)), "{miss:?}: {why}; {task}");
    }
    assert_eq!(reason(exercise, ""), "nothing was written");
    check(&exercise.solution, task);
}

#[test]
fn every_kind_judges_its_answers() {
    for kind in KINDS {
        let mut tasks = BTreeSet::new();
        let mut with_slips = 0;
        for seed in 0..u64::from(cases(SEEDS)) {
            let Some(exercise) = exercise(seed, Some(kind.level), Some(kind.name)) else {
                panic!("seed {seed} makes no {}", kind.name)
            };
            assert_eq!((exercise.level, exercise.kind), (kind.level, kind.name));
            tried(&exercise);
            with_slips += u32::from(!exercise.slips.is_empty());
            tasks.insert(format!("{}{:?}", exercise.task, exercise.given));
        }
        assert!(tasks.len() > SEEDS as usize / 4, "{}: {} tasks", kind.name, tasks.len());
        assert!(with_slips > SEEDS / 2, "{}: {with_slips} with slips", kind.name);
    }
    let levels: BTreeSet<u8> = KINDS.iter().map(|kind| kind.level).collect();
    assert_eq!(levels, (1..=7).collect());
}

#[test]
fn a_seed_repeats_and_no_two_sheets_are_equal() {
    let mut seen = BTreeSet::new();
    for seed in 0..u64::from(cases(30)) {
        for level in [None, Some(1), Some(3), Some(4)] {
            let text = |exercises: &[Exercise]| exercises.iter().map(Exercise::text).collect::<String>();
            let one = sheet(seed, level, None, 10);
            assert_eq!(one.len(), 10);
            assert_eq!(text(&one), text(&sheet(seed, level, None, 10)));
            assert!(seen.insert((level, text(&one))), "seed {seed} repeats another sheet");
        }
    }
}

/// The frames of the exercises decode to what is asked (a second look, by the JSON that other tests compare with the facts).
#[test]
fn the_frames_of_reading_exercises_say_their_answers() {
    for seed in 0..u64::from(cases(SEEDS)) {
        for (kind, field) in [
            ("read_identification", "aircraft_identification"),
            ("read_code", "mode_a_code"),
            ("read_altitude", "pressure_altitude_ft"),
            ("read_vertical_rate", "vertical_rate_fpm"),
        ] {
            let exercise = exercise(seed, None, Some(kind)).expect("an exercise");
            let decoded = Decoded::new(exercise.given[0].parse().expect("a frame"));
            let fields = decoded.fields(squitterlab::Version::Two);
            let meaning = fields.iter().find(|(name, _)| *name == field).map(|(_, meaning)| meaning.value.to_string());
            assert_eq!(exercise.judge(&meaning.expect("the field")), Judged::Right, "{kind} {seed}");
        }
    }
}

#[test]
fn the_lessons_are_computed_and_their_terms_are_in_the_glossary() {
    let mut terms = BTreeSet::new();
    assert_eq!(LESSONS.len(), 7);
    for (at, lesson) in LESSONS.iter().enumerate() {
        for work in [lesson.write, lesson.read] {
            let all = work();
            assert!(!all.is_empty(), "{}", lesson.name);
            check(&all, lesson.name);
        }
        for term in lesson.terms {
            assert!(glossary::find(term).is_some_and(|found| found.name == *term), "{term}");
            assert!(terms.insert(term), "{term} is opened where it is first used");
        }
        let text = lesson.text();
        for part in ["Terms", "Picture", "From meaning to bits", "From bits to meaning", "Try it", "In a real frame"] {
            assert!(text.contains(&format!("\n{part}")), "{}: {part}", lesson.name);
        }
        assert!(text.lines().all(|line| line.chars().count() <= 100), "{text}");
        let kind = KINDS.iter().find(|kind| kind.name == lesson.exercise).expect("a kind");
        assert_eq!(usize::from(kind.level), at + 1, "{}", lesson.name);
        let decoded = Decoded::new(lesson.frame());
        assert_eq!(decoded.parity().key(), "valid");
        assert_eq!(
            decoded.address().map(|address| address.to_string()).as_deref(),
            Some("A5C035"),
            "the invented aircraft"
        );
    }
}

/// What is drawn is what the tables say: one wire changes in each step, and the two grids meet once.
#[test]
fn the_pictures_say_what_is_so() {
    let picture = |name: &str| (LESSONS.iter().find(|lesson| lesson.name == name).expect("a lesson").picture)();
    let stairs = picture("altitude");
    let rows: Vec<Vec<bool>> = stairs
        .lines()
        .skip(1)
        .filter(|line| line.trim_start().starts_with(|c: char| c.is_ascii_digit()))
        .map(|line| line.split_whitespace().skip(1).take(11).map(|cell| cell == "##").collect())
        .collect();
    assert_eq!(rows.len(), 13);
    for pair in rows.windows(2) {
        assert_eq!(pair[0].iter().zip(&pair[1]).filter(|(a, b)| a != b).count(), 1, "{stairs}");
    }
    assert_eq!(picture("position").matches("<- here").count(), 1);
    let overlays: BTreeSet<String> =
        picture("parity").lines().filter_map(|line| line.split(": ").nth(1).map(str::to_owned)).collect();
    assert_eq!(overlays.len(), 8);
}
