//! Slips of people who write JSON by hand: each is said in their words, with its place and what to do. The text of the demo
//! profile is damaged at every place; whether the result is still JSON is asked of `serde_json`, an independent reader.

use crate::program::{Folder, PROFILE, run, run_with};
use serde_json::Value;
use squitterlab::onair::{FlightPath, Situation};
use squitterlab::profile::{Lines, Node, NodeKind, Profile, RuleSet, check, rule_set};

/// Words of readers of JSON and of programming languages, which nobody at an aircraft has to know.
const PARSER_WORDS: &[&str] = &[
    "EOF",
    "expected",
    "token",
    "pars",
    "control character",
    "u0000",
    "trailing",
    "invalid",
    "at line",
    "identifier",
    "syntax",
    "f64",
    "u8",
    "string",
    "struct",
    "variant",
    "missing field",
    "unknown field",
    "sequence",
];

#[track_caller]
fn in_peoples_words(words: &str, of: &str) {
    for word in PARSER_WORDS {
        // A text that is repeated may hold any word.
        let said: String = words.split('"').step_by(2).collect();
        assert!(!said.contains(word), "{word:?} in {words:?} of {of}");
    }
}

/// Line and column are those of a character of the text, or of its end.
fn is_inside(text: &str, line: usize, column: usize) -> bool {
    text.split('\n').nth(line.wrapping_sub(1)).is_some_and(|text| (1..=text.chars().count() + 1).contains(&column))
}

fn same(node: &Node, value: &Value) -> bool {
    match (&node.kind, value) {
        (NodeKind::Null, Value::Null) => true,
        (NodeKind::Bool(yes), Value::Bool(also)) => yes == also,
        (NodeKind::Number(number), Value::Number(also)) => also.as_f64() == Some(*number),
        (NodeKind::Text(text), Value::String(also)) => text == also,
        (NodeKind::List(items), Value::Array(also)) => {
            items.len() == also.len() && items.iter().zip(also).all(|(item, also)| same(item, also))
        }
        // Of a repeated key the other reader keeps the last.
        (NodeKind::Object(members), Value::Object(also)) => {
            members.iter().all(|member| also.contains_key(&member.key))
                && also.iter().all(|(key, value)| node.member(key).is_some_and(|member| same(&member.node, value)))
        }
        _ => false,
    }
}

/// Reads a damaged text: the same answer as the other reader, and for a slip people's words at a place inside.
fn judge(text: &str) -> bool {
    // RFC 8259 section 8.1: a reader may ignore a mark of the byte order; the other one does not.
    let unmarked = text.strip_prefix('\u{FEFF}').unwrap_or(text);
    match (Node::parse(text), serde_json::from_str::<Value>(unmarked)) {
        (Ok(node), Ok(value)) => assert!(same(&node, &value), "{text}"),
        (Ok(_), Err(error)) => panic!("taken, but {error}: {text}"),
        (Err(slip), Ok(_)) => panic!("refused, {slip:?}: {text}"),
        (Err(slip), Err(_)) => {
            assert!(is_inside(text, slip.line, slip.column), "{slip:?}: {text}");
            assert!(!slip.reason.is_empty() && !slip.correction.is_empty(), "{slip:?}");
            in_peoples_words(&slip.reason, text);
            in_peoples_words(&slip.correction, text);
            return true;
        }
    }
    false
}

/// What a finger may hit.
const TYPED: &str = "\"'{}[]:,;.=-+/#\\ \n\t\r0159aNez_“”’\u{A0}\u{FEFF}é\0";

#[test]
fn every_place_of_a_profile_damaged_is_said_in_peoples_words() {
    let text = std::fs::read_to_string(PROFILE).expect("the demo profile");
    // Indents say nothing and are half of the text.
    let text = text.lines().map(str::trim_start).collect::<Vec<_>>().join("\n");
    let places: Vec<usize> = text.char_indices().map(|(at, _)| at).chain([text.len()]).collect();
    let mut slips = 0;
    for (number, &at) in places.iter().enumerate() {
        let next = places.get(number + 1).copied().unwrap_or(at);
        let (before, after) = text.split_at(at);
        // Cut off here, and one character left out.
        slips += u32::from(judge(before)) + u32::from(judge(&format!("{before}{}", &text[next..])));
        // Two neighbours changed places.
        if let Some(&second) = places.get(number + 2) {
            slips +=
                u32::from(judge(&format!("{before}{}{}{}", &text[next..second], &text[at..next], &text[second..])));
        }
        for typed in TYPED.chars() {
            slips += u32::from(judge(&format!("{before}{typed}{after}")));
            slips += u32::from(judge(&format!("{before}{typed}{}", &text[next..])));
        }
    }
    assert!(slips > 10_000, "{slips} slips");
}

#[test]
fn the_checks_of_a_damaged_profile_point_into_its_text() {
    let text = std::fs::read_to_string(PROFILE).expect("the demo profile");
    let rules = rule_set("united_states").expect("a rule set");
    let places: Vec<usize> = text.char_indices().map(|(at, _)| at).collect();
    for &at in &places {
        for typed in ["", "x", "7", "\""] {
            let next = at + text[at..].chars().next().map_or(0, char::len_utf8);
            let damaged = format!("{}{typed}{}", &text[..at], &text[next..]);
            for problem in check(&Profile::read(&damaged), rules) {
                assert!(
                    problem.line == 0 || is_inside(&damaged, problem.line, problem.column),
                    "{problem:?}: {damaged}"
                );
                assert!(!problem.reason.is_empty() && !problem.correction.is_empty(), "{problem:?}");
                if problem.rule == "json" || problem.rule == "form" {
                    in_peoples_words(&problem.reason, &damaged);
                    in_peoples_words(&problem.correction, &damaged);
                }
            }
        }
    }
}

#[test]
fn each_common_slip_is_named_with_its_place_and_correction() {
    for (text, (line, column), words) in [
        ("", (1, 1), "nothing"),
        (" \n\n", (1, 1), "nothing"),
        ("{\"a\": 1,}", (1, 9), "remove the comma before this }"),
        ("{\"a\": 1,\n}", (2, 1), "remove the comma before this }, at the end of line 1"),
        ("{\"a\": [1, 2,]}", (1, 13), "remove the comma before this ]"),
        ("{\n\"a\": \"N47QX,\n\"b\": 2}", (2, 6), "write the missing \""),
        ("{\"a: 1}", (1, 2), "write the missing \""),
        ("{\"a\": N47QX\"}", (1, 7), "write \"N47QX\""),
        ("{\n// note\n\"a\": 1}", (2, 1), "comments are not allowed"),
        ("{\"a\": 1 /* note */}", (1, 9), "\"notes\""),
        ("{\"a\": 1} # note", (1, 10), "comments are not allowed"),
        ("{'a': 1}", (1, 2), "write \" instead"),
        ("{\"a\": 'x'}", (1, 7), "write \" instead"),
        ("{“a”: 1}", (1, 2), "typographic"),
        ("{\"a\": “x”}", (1, 7), "typographic"),
        ("{a: 1}", (1, 2), "write \"a\""),
        ("{\"a\": single}", (1, 7), "write \"single\""),
        ("{\"a\": 1\n \"b\": 2}", (1, 8), "write a comma here"),
        ("{\"a\": [1 2]}", (1, 9), "write a comma here"),
        ("{\"a\" 1}", (1, 5), "write a colon"),
        ("{\"a\" = 1}", (1, 6), "write a colon instead"),
        ("{\"a\": }", (1, 7), "write the value"),
        ("{\"a\": , \"b\": 2}", (1, 7), "write the value"),
        ("{\"a\"}", (1, 5), "write a colon and the value"),
        ("{\"a\": {\"b\": 1}", (1, 1), "write the missing }"),
        ("{\"a\": [1, 2}", (1, 12), "write ] before it"),
        ("{\"a\": 1]", (1, 8), "does not fit the { of line 1"),
        ("{\"a\": 1}}", (1, 9), "remove this }"),
        ("{\"a\": 1}\n{\"a\": 2}", (2, 1), "put all into one object"),
        ("{\"a\": 1},", (1, 9), "remove this comma"),
        ("{\"a\": 1,, \"b\": 2}", (1, 9), "remove this comma"),
        ("{\"a\": NaN}", (1, 7), "null"),
        ("{\"a\": -Infinity}", (1, 7), "null"),
        ("{\"a\": 0123}", (1, 7), "write \"0123\" with quotation marks if it is a code"),
        ("{\"a\": +5}", (1, 7), "remove the plus sign"),
        ("{\"a\": .5}", (1, 7), "write 0 before the point"),
        ("{\"a\": 5.}", (1, 7), "write 5"),
        ("{\"a\": 27,2}", (1, 10), "a point instead of the comma"),
        ("{\"a\": 27ft}", (1, 7), "a unit is a key of its own"),
        ("{\"a\": 1e999}", (1, 7), "too large"),
        ("{\"a\": \"x\ty\"}", (1, 9), "write a space"),
        ("{\"a\": \"C:\\temp\\d\"}", (1, 15), "two backslashes"),
        ("{\"a\": True}", (1, 7), "write true in small letters"),
        ("{\"a\": None}", (1, 7), "write null"),
        ("{\"a\": yes}", (1, 7), "write true"),
        ("{\"a\":\u{A0}1}", (1, 6), "write an ordinary space"),
        ("{\"é\": \"ü\", b: 1}", (1, 12), "write \"b\""),
    ] {
        let slip = Node::parse(text).expect_err(text);
        assert_eq!((slip.line, slip.column), (line, column), "{text}: {slip:?}");
        assert!(format!("{}; {}", slip.reason, slip.correction).contains(words), "{text}: {slip:?}");
        assert!(judge(text), "{text}");
    }
    let deep = "[".repeat(100_000);
    assert!(Node::parse(&deep).expect_err("too deep").reason.contains("nested too deeply"));
    let deep = format!("{}1{}", "{\"a\":".repeat(40), "}".repeat(40));
    assert!(Node::parse(&deep).expect_err("too deep").reason.contains("nested too deeply"));
}

#[test]
fn situations_flights_and_rules_are_refused_in_the_same_words() {
    let flight = |point: &str| format!("{{\"flight\": [\n{{\"time_s\": 0, \"airborne\": false}},\n{point}]}}");
    let situation = |text: &str| Situation::read(text).expect_err(text).to_string();
    let path = |text: &str| FlightPath::read(text).expect_err(text).to_string();
    let rules = |text: &str| RuleSet::read(text).expect_err(text).to_string();
    let own = |floor: &str| {
        format!("{{\"name\": \"a\", \"title\": \"a\", \"date\": \"a\", \"source\": \"a\",\n\"floors\": [{floor}]}}")
    };
    for (said, words) in [
        (situation("{\"airborne\": true,}"), "1:19: not valid JSON: a comma is followed by }"),
        (situation("{}"), "1:1: /airborne: \"airborne\" is missing; add \"airborne\": write true or false"),
        (
            situation("{\"airborne\": \"yes\"}"),
            "1:14: /airborne: the text \"yes\" is not true or false; write true or false",
        ),
        (
            situation("{\"airborne\": true,\n\"latitude_deg\": \"44\", \"longitude_deg\": 3}"),
            "2:17: /latitude_deg: the text \"44\" is not a number; write 44 without quotation marks",
        ),
        (situation("{\"airborne\": true, \"latitude\": 44}"), "did you mean \"latitude_deg\"?"),
        (situation("{\"airborne\": true, \"xyz\": 44}"), "write one of: airborne, latitude_deg"),
        (
            situation("{\"airborne\": true, \"airborne\": true}"),
            "1:20: /airborne: the key \"airborne\" is here a second time",
        ),
        (situation("{\"airborne\": true, \"mode_a_code\": 1200}"), "write \"1200\" in quotation marks"),
        (situation("{\"airborne\": true, \"mode_a_code\": \"1288\"}"), "\"1288\" is not a Mode A code"),
        (situation("{\"airborne\": true, \"emergency_state\": 1.5}"), "1.5 is not a whole number"),
        (situation("[true]"), "1:1: a list is not an object; write an object such as {\"airborne\":true}"),
        (path(&flight("{\"time_s\": 5}")), "3:1: /flight/1/airborne: \"airborne\" is missing"),
        (
            path(&flight("{\"time_s\": \"5\", \"airborne\": true}")),
            "3:12: /flight/1/time_s: the text \"5\" is not a number; write 5 without",
        ),
        (path(&flight("{\"time_s\": 5, \"airborne\": true, \"quality\": {\"nacpp\": 3}}")), "did you mean \"nacp\"?"),
        (
            path(&flight("{\"time_s\": 5, \"airborne\": true, \"quality\": {\"nacp\": 12}}")),
            "12 is out of range; write a whole number from 0 to 11",
        ),
        (path(&flight("{\"time_s\": 0, \"airborne\": true}")), "2:1: /flight/0: point 1: the next point is not later"),
        (path("{\"flight\": []}"), "the list is empty; write at least 1"),
        (path("{\"flight\": {}}"), "an object is not a list"),
        (path("{\"flight\": [{\"time_s\": 0, \"airborne\": false}], \"name\": 1}"), "\"name\" is not known here"),
        (rules("{\"name\": \"a\",}"), "not valid JSON: a comma is followed by }"),
        (rules("{\"name\": \"a\"}"), "1:1: /title: \"title\" is missing; add \"title\""),
        (rules(&own("{\"setting\": \"/position_source/nick\"}")), "did you mean \"/position_source/nic\"?"),
        (
            rules(&own(
                "{\"setting\": \"/position_source/nic\", \"at_least\": 7, \"claus\": \"a\", \"confirmed\": \"page seen\"}",
            )),
            "the key \"claus\" is not known here; did you mean \"clause\"?",
        ),
        (
            rules(&own(
                "{\"setting\": \"/position_source/nic\", \"at_least\": \"7\", \"clause\": \"a\", \"confirmed\": \"page seen\"}",
            )),
            "2:60: /floors/0/at_least: the text \"7\" is not a whole number; write 7 without quotation marks",
        ),
        (
            rules(&own(
                "{\"setting\": \"/position_source/nic\", \"at_least\": 7, \"clause\": \"a\", \"confirmed\": \"seen\"}",
            )),
            "\"seen\" is not one of the choices",
        ),
    ] {
        assert!(said.contains(words), "{said}");
        in_peoples_words(&said, &said);
    }
}

#[test]
fn every_value_of_a_situation_and_a_flight_is_refused_in_peoples_words_where_it_does_not_fit() {
    let texts = ["vectors/demo/situation.json", "vectors/demo/flight.json"]
        .map(|file| std::fs::read_to_string(file).expect(file));
    let fixed = r#"{"airborne": true, "latitude_deg": 44.5, "longitude_deg": -103.25, "pressure_altitude_ft": 4500,
        "geometric_minus_pressure_ft": 150, "ground_speed_kt": 118, "track_deg": 271.5, "vertical_rate_fpm": -320,
        "mode_a_code": "1200", "ident": false, "emergency_state": 0}"#;
    for text in texts.iter().map(String::as_str).chain([fixed]) {
        FlightPath::read(text).unwrap_or_else(|error| panic!("{error}: {text}"));
        let whole: Value = serde_json::from_str(text).expect("JSON");
        let mut pointers = Vec::new();
        every_pointer(&whole, String::new(), &mut pointers);
        for pointer in pointers {
            for odd in ["null", "true", "\"word\"", "\"12\"", "-1", "1e9", "0.5", "[]", "{}", "[1]", "{\"x\": 1}"] {
                let mut damaged = whole.clone();
                *damaged.pointer_mut(&pointer).expect("a value") = serde_json::from_str(odd).expect("JSON");
                let damaged = format!("{damaged:#}");
                if let Err(error) = FlightPath::read(&damaged) {
                    assert!(is_inside(&damaged, error.line, error.column), "{error:?}: {damaged}");
                    assert!(!error.correction.is_empty(), "{error:?}");
                    assert!(!error.reason.contains("form of its schema"), "{error:?}: {damaged}");
                    in_peoples_words(&error.to_string(), &damaged);
                }
            }
        }
    }
    // The schema and the type know the same keys.
    let known = format!("{:?}", Situation::default()).matches(": ").count();
    assert_eq!(serde_json::from_str::<Value>(fixed).expect("JSON").as_object().expect("an object").len(), known);
}

fn every_pointer(value: &Value, at: String, all: &mut Vec<String>) {
    match value {
        Value::Object(inside) => {
            inside.iter().for_each(|(key, value)| every_pointer(value, format!("{at}/{key}"), all));
        }
        Value::Array(inside) => {
            inside.iter().enumerate().for_each(|(key, value)| every_pointer(value, format!("{at}/{key}"), all));
        }
        _ => {}
    }
    all.push(at);
}

#[test]
fn places_are_counted_in_characters_and_lines() {
    let text = "é\nüber 😀 x\r\n\n".repeat(200) + "end";
    let lines = Lines::new(&text);
    for (at, _) in text.char_indices().chain([(text.len(), ' ')]) {
        let before = &text[..at];
        let line = before.matches('\n').count() + 1;
        let column = before.rsplit('\n').next().map_or(0, |last| last.chars().count()) + 1;
        assert_eq!(lines.place(at), (line, column), "{at}");
    }
}

#[test]
fn a_profile_of_nothing_but_faults_is_read_in_time_and_its_report_is_short() {
    let folder = Folder::new("slips_many");
    let keys = |name: &dyn Fn(usize) -> String| {
        (0..80_000).map(|n| format!("\"{}\": 1", name(n))).collect::<Vec<_>>().join(", ")
    };
    for (name, text) in [
        ("unknown.json", keys(&|n| format!("unknown_{n}"))),
        ("same.json", keys(&|_| "length".to_owned())),
        ("umlauts.json", keys(&|n| format!("länge_{n}"))),
        ("long.json", format!("\"{}\": 1", "x".repeat(1_000_000))),
    ] {
        let file = folder.file(name, format!("{{\"aircraft\": {{{text}}}}}"));
        let started = std::time::Instant::now();
        let said = run(&["profile", "check", &file]).exits(1);
        // The square of the problems took half a minute.
        assert!(started.elapsed().as_secs() < 10, "{name}: {:?}", started.elapsed());
        assert!(said.out.len() < 100_000, "{name}: {} octets", said.out.len());
        if name != "long.json" {
            assert!(crate::program::flat(&said.out).contains("more from here on"), "{name}: {}", said.out);
        }
    }
}

#[test]
fn unreadable_json_is_compared_with_no_rules_and_says_where_it_is_wrong() {
    let said =
        run_with(&["profile", "check", "-"], b"{\n  \"aircraft\": {\n    \"registration\": \"N47QX\",\n  }\n}\n")
            .exits(1);
    assert!(said.out.starts_with("-:4:3: error: the whole file: not valid JSON: "), "{}", said.out);
    assert!(
        crate::program::flat(&said.out).contains("remove the comma before this }, at the end of line 3"),
        "{}",
        said.out
    );
    assert!(!said.out.contains("no set is") && !said.out.contains("rules"), "{}", said.out);
    run_with(&["onair", "-"], b"{").exits(2).complains_of(&["this { is never closed"]);
}

#[test]
fn what_gives_orders_to_a_terminal_is_shown_and_not_sent() {
    let folder = Folder::new("slips_orders");
    let odd = "\u{1B}[2J\u{1B}]0;x\u{7}\u{202E}\u{9B}";
    let json = serde_json::to_string(odd).expect("JSON");
    let key = folder.file("key.json", format!("{{\"aircraft\": {{{json}: 1}}}}"));
    let mut notes: Value = serde_json::from_str(&crate::program::profile_text(&[])).expect("JSON");
    notes["notes"] = odd.into();
    let notes = folder.file("notes.json", notes.to_string());
    for arguments in [
        &["profile", "check", &key][..],
        &["profile", "check", &key, "--format", "json"],
        &["profile", "sheet", &notes],
        &["profile", "sheet", &notes, "--format", "json"],
        &["onair", &key],
        &["address", odd],
        &["address", odd, "--format", "json"],
        &["profile", "new", "--registration", odd],
        &["rehearse", PROFILE, "--mistake", odd],
        &["compare", PROFILE, "--capture", odd],
        &["decode", odd],
    ] {
        let said = run(arguments);
        for text in [&said.out, &said.err] {
            let bad = text.chars().find(|c| c.is_control() && *c != '\n' || *c == '\u{202E}');
            assert_eq!(bad, None, "{arguments:?}: {text:?}");
        }
        if arguments.contains(&"json") {
            assert!(!said.objects().is_empty());
        }
    }
}
