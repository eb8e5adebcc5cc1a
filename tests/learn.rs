//! Exercises and lessons: of every kind and seed a right answer is right in every form, and a near miss is wrong with the
//! right reason; every number of a lesson is calculated again by the calculator of `steps.rs`.

use crate::long_run::cases;
use crate::steps::check;
use squitterlab::downlink::Decoded;
use squitterlab::learn::exercise::sheet_text;
use squitterlab::learn::{Answer, Exercise, Judged, KINDS, LESSONS, exercise, sheet};
use squitterlab::present::glossary;
use squitterlab::present::text::at_width;
use std::collections::BTreeSet;
use std::f64::consts::PI;

/// This many seeds of each kind.
const SEEDS: u32 = 1_000;

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
            // Metres for feet and so on: 0.3048 m, 1852 m an hour, both by definition.
            let others: &[(&str, f64, &[&str])] = match *unit {
                "ft" => &[("m", 0.3048, &["in m; give it in ft", "give it in ft, not in m"])],
                "kt" => &[("km/h", 1.852, &["in km/h; give it in kt", "give it in kt, not in km/h"])],
                "ft/min" => &[("m/s", 0.3048 / 60.0, &["in m/s; give it in ft/min", "give it in ft/min, not in m/s"])],
                "deg" => &[("rad", PI / 180.0, &["in rad; give it in deg", "give it in deg, not in rad"])],
                _ => &[],
            };
            for (other, factor, words) in others.iter().filter(|_| value.abs() > 100.0) {
                all.push((format!("{:.4}", value * factor), words));
                all.push((format!("{value} {other}"), words));
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
            all.push((digits[1..].to_owned(), &["; the answer has"]));
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
        Answer::Word(word) => {
            let longer: &[&str] = if word.len() == 1 { &["the one letter"] } else { &["characters; the answer has"] };
            let mut all: Vec<(String, &'static [&'static str])> = vec![(format!("{word}Q"), longer)];
            for (at, letter) in word.char_indices().filter(|(_, letter)| letter.is_ascii_alphanumeric()) {
                // The next one of its kind; one further than the last is the first.
                let next = match letter {
                    '9' | '7' => '0',
                    'z' => 'a',
                    'Z' => 'A',
                    other => char::from(other as u8 + 1),
                };
                all.push((format!("{}{next}{}", &word[..at], &word[at + 1..]), &["is not right"]));
            }
            all
        }
    }
}

fn tried(exercise: &Exercise) {
    let (answer, task) = (&exercise.answer, &exercise.task);
    for form in answer.forms().into_iter().chain([answer.shown()]) {
        assert_eq!(exercise.judge(&form), Judged::Right, "{form:?}: {task} {answer:?}");
    }
    assert!(!exercise.hints.is_empty(), "{task}");
    assert!(!exercise.solution.is_empty(), "{task}");
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
        for seed in 0..u64::from(cases(40).max(SEEDS)) {
            let Some(exercise) = exercise(seed, Some(kind.level), Some(kind.name)) else {
                panic!("seed {seed} makes no {}", kind.name)
            };
            assert_eq!((exercise.level, exercise.kind), (kind.level, kind.name));
            tried(&exercise);
            with_slips += u32::from(!exercise.slips.is_empty());
            tasks.insert(format!("{}{:?}", exercise.task, exercise.given));
        }
        assert!(tasks.len() > 100, "{}: {} tasks", kind.name, tasks.len());
        assert!(with_slips > SEEDS / 2, "{}: {with_slips} with slips", kind.name);
    }
    let levels: BTreeSet<u8> = KINDS.iter().map(|kind| kind.level).collect();
    assert_eq!(levels, (1..=7).collect());
}

#[test]
fn a_seed_repeats_and_no_two_sheets_are_equal() {
    let mut seen = BTreeSet::new();
    for seed in 0..u64::from(cases(30)) {
        for level in std::iter::once(None).chain((1..=7).map(Some)) {
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
    for seed in 0..u64::from(cases(40)) {
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
        for part in ["Terms", "Picture", "From meaning to bits", "From bits to meaning", "Try it", "In "] {
            assert!(text.contains(&format!("\n{part}")), "{}: {part}", lesson.name);
        }
        let kind = KINDS.iter().find(|kind| kind.name == lesson.exercise).expect("a kind");
        assert_eq!(usize::from(kind.level), at + 1, "{}", lesson.name);
        for real in lesson.frames {
            let decoded = Decoded::new(real.frame());
            assert!(["valid", "overlaid"].contains(&decoded.parity().key()), "{}", real.frame());
            let address = decoded.address().map(|address| address.to_string());
            assert_eq!(address.as_deref(), Some("A5C035"), "the invented aircraft");
        }
    }
}

/// A word of the glossary is explained in the first lesson that uses it, wherever in the lesson that is.
#[test]
fn a_term_is_explained_where_it_is_first_used() {
    // Words that say something else too: odd numbers of five-hundreds, bits of any kind, a wire's name, a version of words.
    let plain = ["odd", "even", "q", "version", "supplement", "gray code", "hae", "ap"];
    let mut explained: BTreeSet<&str> = BTreeSet::new();
    let mut too_early = BTreeSet::new();
    for lesson in LESSONS {
        explained.extend(lesson.terms.iter().copied());
        let mut text = format!(" {} {} {} ", lesson.title, lesson.question, lesson.idea.join(" "));
        for worked in (lesson.write)().iter().chain(&(lesson.read)()) {
            text.extend([&worked.title, " "]);
            text.extend(worked.steps.iter().map(|step| format!("{step} ")));
        }
        let made = KINDS.iter().filter(|kind| usize::from(kind.level) == lesson.number());
        for exercise in made.filter_map(|kind| exercise(1, None, Some(kind.name))) {
            text.extend([&exercise.task, " ", &exercise.hints.join(" "), " "]);
        }
        let text = text.to_lowercase();
        let words: Vec<&str> = text.split(|c: char| !c.is_alphanumeric() && c != '\'').collect();
        for term in glossary::TERMS {
            for name in std::iter::once(&term.name).chain(term.also) {
                let name = name.to_lowercase();
                let parts: Vec<&str> = name.split(|c: char| !c.is_alphanumeric() && c != '\'').collect();
                let is_used = words.windows(parts.len()).any(|window| window == parts);
                if is_used && !plain.contains(&name.as_str()) && !explained.contains(&term.name) {
                    too_early.insert(format!("{}: {} ({name})", lesson.name, term.name));
                }
            }
        }
    }
    assert_eq!(too_early, BTreeSet::new());
}

/// A student meets every kind of frame that the lessons are about, each field of it in its place.
#[test]
fn the_lessons_take_apart_a_frame_of_every_kind() {
    let mut kinds = BTreeSet::new();
    for lesson in LESSONS {
        let text = lesson.text();
        for real in lesson.frames {
            let frame = real.frame();
            let bits: String = frame.bits().map(|bit| if bit { '1' } else { '0' }).collect();
            let mut next = None;
            for part in real.parts() {
                let (first, last) = (usize::from(part.span.first), usize::from(part.span.last));
                assert!(next.is_none_or(|next| next == first), "{}: {} follows", lesson.name, part.key);
                next = Some(last + 1);
                let own = &bits[first - 1..last];
                let is_same = part.bits == own
                    || part.bits.strip_suffix('h').and_then(|digits| u64::from_str_radix(digits, 16).ok())
                        == u64::from_str_radix(own, 2).ok();
                assert!(is_same, "{}: {own} is shown as {}", part.key, part.bits);
                assert!(text.contains(part.key), "{}", part.key);
                kinds.insert((
                    frame.downlink_format(),
                    if frame.downlink_format() == 17 { own_type(&frame) } else { 0 },
                ));
            }
        }
    }
    // Identification, position on the ground and in the air, velocity; all-call, altitude, identity, Comm-B.
    assert_eq!(
        kinds.into_iter().collect::<Vec<_>>(),
        [(4, 0), (5, 0), (11, 0), (17, 4), (17, 7), (17, 11), (17, 19), (20, 0)]
    );
}

fn own_type(frame: &squitterlab::frame::Frame) -> u64 {
    frame.field(squitterlab::frame::Span::new(33, 37))
}

/// The remainder by long division, bit by bit (Annex 10 IV, 3.1.2.3.3): x^24 is FFF409 here.
fn remainder(pattern: u128, length: u8) -> u32 {
    let mut left = 0u32;
    for bit in (0..length).rev() {
        let out = left >> 23 & 1;
        left = (left << 1 | (pattern >> bit & 1) as u32) & 0xFF_FFFF;
        if out == 1 {
            left ^= 0xFF_F409;
        }
    }
    left
}

/// Feet of the eleven wires in the order A1 A2 A4 B1 B2 B4 C1 C2 C4 D2 D4 (Annex 10 IV, appendix to chapter 3).
fn feet_of(wires: [bool; 11]) -> Option<i32> {
    let [a1, a2, a4, b1, b2, b4, c1, c2, c4, d2, d4] = wires;
    let straight = |bits: &[bool]| {
        let mut above = false;
        bits.iter().fold(0, |n, bit| {
            above ^= *bit;
            n << 1 | i32::from(above)
        })
    };
    let fives = straight(&[d2, d4, a1, a2, a4, b1, b2, b4]);
    let hundreds = match straight(&[c1, c2, c4]) {
        n @ 1..=4 => n,
        7 => 5,
        _ => return None,
    };
    Some(fives * 500 - 1_300 + 100 * if fives % 2 == 1 { 6 - hundreds } else { hundreds })
}

/// What is drawn is so, by arithmetic of the test's own.
#[test]
fn the_pictures_say_what_is_so() {
    let picture = |name: &str| (LESSONS.iter().find(|lesson| lesson.name == name).expect("a lesson").picture)();
    for cell in picture("bits").split("  ").map(str::trim).filter(|cell| !cell.is_empty()) {
        let (digit, bits) = cell.split_once(" = ").expect("a digit and its bits");
        assert_eq!(u8::from_str_radix(digit, 16), u8::from_str_radix(bits, 2), "{cell}");
    }
    let mut ends = Vec::new();
    for line in picture("envelope").lines() {
        let words: Vec<&str> = line.split_whitespace().collect();
        let Some((first, last)) = words.first().and_then(|span| span.split_once('-')) else { continue };
        let (Ok(first), Ok(last)) = (first.parse::<u32>(), last.parse::<u32>()) else { continue };
        assert_eq!(words[1].parse(), Ok(last - first + 1), "{line}");
        assert!(first == 1 || ends.last() == Some(&(first - 1)), "{line}");
        ends.push(last);
    }
    assert_eq!(ends.iter().filter(|last| [56, 112].contains(*last)).count(), 4, "{ends:?}");
    for cell in picture("characters").lines().take(4).flat_map(|line| line.split("  ")).map(str::trim) {
        let Some((letter, code)) = cell.split_once(' ') else { continue };
        let expected = match letter.chars().next().expect("a letter") {
            '_' => 32,
            c @ '0'..='9' => c as u32,
            c => c as u32 - 'A' as u32 + 1,
        };
        assert_eq!(code.parse(), Ok(expected), "{cell}");
    }
    let stairs = picture("altitude");
    let mut rows: Vec<[bool; 11]> = Vec::new();
    for line in stairs.lines().filter(|line| line.contains(" #") && line.contains('.')) {
        let words: Vec<&str> = line.split_whitespace().collect();
        let Ok(feet) = words[0].parse::<i32>() else { continue };
        let wires: [bool; 11] = std::array::from_fn(|at| words[at + 1] == "#");
        assert_eq!(feet_of(wires), Some(feet), "{line}");
        rows.push(wires);
    }
    assert_eq!(rows.len(), 13, "{stairs}");
    for pair in rows.windows(2) {
        assert_eq!(pair[0].iter().zip(&pair[1]).filter(|(a, b)| a != b).count(), 1, "{stairs}");
    }
    // 118 kt at 271.5 deg, each component a whole number.
    let drawn = picture("velocity");
    let (east, north) = ((118.0 * 271.5f64.to_radians().sin()).round(), (118.0 * 271.5f64.to_radians().cos()).round());
    for words in [
        format!("= {} kt", -east),
        format!("= {north} kt"),
        format!("{:.2} kt", f64::hypot(east, north)),
        format!("track {:.2} deg", east.atan2(north).to_degrees() + 360.0),
    ] {
        assert!(drawn.contains(&words), "{words} is not in {drawn}");
    }
    // Even cells are 6 degrees high, odd ones 360/59; both words hold 44.5 (handbook, ADS-B part, chapter 3).
    let mut meet = 0;
    for line in picture("position").lines().filter(|line| line.contains("deg apart")) {
        let numbers: Vec<f64> = line.split_whitespace().filter_map(|word| word.parse().ok()).collect();
        let (even, odd) = (360.0 / 60.0, 360.0 / 59.0);
        let place = |cell: f64| 44.5 / cell - (44.5f64 / cell).floor();
        let is_in = |latitude: f64, cell: f64| {
            ((latitude / cell - place(cell)) - (latitude / cell - place(cell)).round()).abs() < 1e-4
        };
        assert!(is_in(numbers[0], even) && is_in(numbers[1], odd), "{line}");
        assert!((numbers[2] - (numbers[0] - numbers[1]).abs()).abs() < 2e-4, "{line}");
        meet += usize::from(line.contains("<- here"));
    }
    assert_eq!(meet, 1);
    let mut overlays = BTreeSet::new();
    for line in picture("parity").lines().filter(|line| line.trim_start().starts_with("bit ")) {
        let words: Vec<&str> = line.split_whitespace().collect();
        let bit: u8 = words[1].trim_end_matches(':').parse().expect("a bit");
        let left = u32::from_str_radix(words[2], 16).expect("digits");
        assert_eq!(left, remainder(1 << (112 - bit), 112), "{line}");
        assert_eq!(u32::from_str_radix(words[3], 2), Ok(left), "{line}");
        overlays.insert(left);
    }
    assert_eq!(overlays.len(), 8);
}

/// Rows of tables within the steps, and lines that only say something, are so too.
#[test]
fn what_the_steps_say_beside_their_sums_is_so() {
    let mut found = [0; 4];
    for lesson in LESSONS {
        for worked in (lesson.write)().into_iter().chain((lesson.read)()) {
            let rows: Vec<String> = worked.steps.iter().map(ToString::to_string).collect();
            for row in &rows {
                if let Some((bit, left)) = row.strip_prefix("  bit ").and_then(|row| row.split_once(": ")) {
                    let bit: u8 = bit.parse().expect("a bit");
                    assert_eq!(u32::from_str_radix(left, 16), Ok(remainder(1 << (56 - bit), 56)), "{row}");
                    found[0] += 1;
                }
                if let Some(zone) = row.strip_prefix("  zone ") {
                    let numbers: Vec<f64> = zone
                        .split(|c: char| !c.is_ascii_digit() && !".-".contains(c))
                        .filter_map(|word| word.parse().ok())
                        .collect();
                    assert!((numbers[3] - (numbers[1] - numbers[2]).abs()).abs() < 2e-6, "{row}");
                    found[1] += 1;
                }
                if let Some((_, bits)) = row.split_once("Q = 1 goes between the seventh and the eighth bit: ") {
                    let bits = bits.replace(' ', "");
                    let n = u32::from_str_radix(&(bits[..7].to_owned() + &bits[8..]), 2).expect("bits");
                    assert_eq!((25 * n - 1_000, &bits[7..8]), (4_500, "1"), "{row}");
                    found[2] += 1;
                }
            }
            if worked.title == "the fields put together" {
                // Bits and digits one after another are the frame.
                let mut bits = String::new();
                for row in &rows[..rows.len() - 1] {
                    let (_, said) = row.split_once(": ").expect("a field");
                    match said.split_once(", digits") {
                        Some((digits, _)) => {
                            bits.extend(digits.chars().map(|c| format!("{:04b}", c.to_digit(16).expect("a digit"))));
                        }
                        None => bits += said.rsplit(" = ").next().expect("bits"),
                    }
                }
                let digits = rows.last().and_then(|row| row.strip_prefix("in hexadecimal: ")).expect("digits");
                assert_eq!(u128::from_str_radix(&bits, 2), u128::from_str_radix(digits, 16), "{rows:?}");
                assert_eq!(bits.len(), 88);
                found[3] += 1;
            }
        }
    }
    assert!(found.iter().all(|count| *count > 0), "{found:?}");
}

/// Lessons, exercises, solutions and sheets fit a terminal of any width from 40 columns.
#[test]
fn what_is_taught_fits_a_narrow_terminal() {
    for width in (40..=100).step_by(4) {
        let mut texts: Vec<String> = LESSONS.iter().map(|lesson| at_width(width, || lesson.text())).collect();
        for kind in KINDS {
            let made = exercise(3, None, Some(kind.name)).expect("an exercise");
            texts.push(at_width(width, || made.text()));
            texts.push(at_width(width, || made.solved()));
        }
        texts.push(at_width(width, || sheet_text(7, Some(1), None, 10)));
        for line in texts.iter().flat_map(|text| text.lines()) {
            assert!(line.chars().count() <= width, "{width}: {line:?}");
        }
    }
}
