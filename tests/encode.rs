//! `encode`: the way back from codes, for every pattern there is, and frames out of meanings.

use crate::program::{Folder, flat, run, run_with};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;
use serde_json::{Value, json};
use squitterlab::frame::Frame;

/// "The 1090 Megahertz Riddle", 2nd edition (revised), ch. 3, 3.5.
const IDENTIFICATION: &str = "8D4840D6202CC371C32CE0576098";

fn lines(all: impl IntoIterator<Item = String>) -> String {
    all.into_iter().flat_map(|line| [line, "\n".to_owned()]).collect()
}

fn there_and_back(text: &str, arguments: &[&str]) {
    let decoded = run_with(&[&["decode", "-", "--format", "json"], arguments].concat(), text.as_bytes()).exits(0);
    // The codes alone are enough.
    let codes = lines(decoded.objects().iter().map(|object| json!({"codes": object["codes"]}).to_string()));
    let encoded = run_with(&["encode"], codes.as_bytes()).exits(0);
    for (at, (before, after)) in text.lines().zip(encoded.out.lines()).enumerate() {
        assert_eq!(before, after, "line {}", at + 1);
    }
    assert_eq!(text.lines().count(), encoded.out.lines().count());
}

/// Frames of every format and both lengths, of every type code, and from everywhere.
fn patterns() -> String {
    let mut runner = TestRunner::deterministic();
    let mut text = String::new();
    let mut push = |pattern: u128, bits: u8| text += &lines([Frame::from_pattern(pattern, bits).to_string()]);
    for format in 0..32u128 {
        for _ in 0..12 {
            let any = any::<u128>().new_tree(&mut runner).expect("a value").current();
            push(format << 51 | (any & ((1 << 51) - 1)), 56);
            push(format << 107 | (any & ((1 << 107) - 1)), 112);
        }
    }
    for first in 0..=255u128 {
        for _ in 0..4 {
            let any = any::<u128>().new_tree(&mut runner).expect("a value").current();
            for format in [17, 18] {
                let rest = any & ((1 << 107) - 1) & !(0xFF << 72);
                push(format << 107 | rest | first << 72, 112);
            }
        }
    }
    text
}

#[test]
fn codes_give_every_frame_back() {
    there_and_back(&patterns(), &[]);
    for arguments in [["--version-in-force", "0"], ["--version-in-force", "2"], ["--version-in-force", "5"]] {
        there_and_back(&patterns(), &arguments);
    }
    for register in ["1,0", "1,7", "2,0", "5,0", "F,F"] {
        there_and_back(&patterns(), &["--register", register]);
    }
}

#[test]
fn the_demo_captures_come_back_frame_by_frame() {
    for name in ["good_ground", "good_air", "faulty", "wrong_address"] {
        let said = run(&["decode", &format!("vectors/demo/{name}.txt"), "--format", "json"]).exits(0);
        let frames = lines(said.objects().iter().map(|object| object["frame"].as_str().expect("text").to_owned()));
        assert_eq!(run_with(&["encode", "-"], said.out.as_bytes()).exits(0).out, frames, "{name}");
        // Two files that an editor of Windows marked, joined.
        let joined = format!("\u{FEFF}{}", said.out.replace('\n', "\r\n")).repeat(2);
        assert_eq!(run_with(&["encode", "-"], joined.as_bytes()).exits(0).out, frames.repeat(2), "{name}");
    }
}

/// The codes of the published frame, with one put otherwise or taken away.
fn codes(key: &str, value: Option<Value>) -> String {
    let said = run(&["decode", "--frame", IDENTIFICATION, "--format", "json"]).exits(0);
    let mut codes = said.object()["codes"].clone();
    let map = codes.as_object_mut().expect("an object");
    match value {
        Some(value) => map.insert(key.to_owned(), value),
        None => map.remove(key),
    };
    json!({ "codes": codes }).to_string()
}

#[test]
fn bad_codes_are_refused_with_line_key_and_range() {
    for (line, words) in [
        ("hello".to_owned(), &["not valid JSON in column 1", "without quotation marks"][..]),
        ("{}".to_owned(), &["codes"]),
        ("{\"codes\": []}".to_owned(), &["codes"]),
        ("{\"codes\": {}}".to_owned(), &["fit no message"]),
        (codes("capability", Some(json!(8))), &["capability is 8", "0 to 7"]),
        (codes("capability", Some(json!(5.5))), &["capability is 5.5", "0 to 7"]),
        (codes("capability", Some(json!(-1))), &["capability is -1"]),
        (codes("capability", Some(json!("5"))), &["capability is \"5\""]),
        (codes("category", None), &["aircraft identification", "+category"]),
        (codes("categry", Some(json!(0))), &["aircraft identification", "-categry"]),
        (codes("type_code", Some(json!(11))), &["aircraft identification", "airborne position"]),
    ] {
        let said = run_with(&["encode"], format!("# a comment\n\n{line}\n").as_bytes()).exits(2);
        assert_eq!(said.out, "\n", "{line}");
        said.complains_of(&[&["-:3:"][..], words].concat());
    }
}

#[test]
fn good_lines_beside_bad_ones_are_encoded_and_the_status_is_2() {
    let good = codes("capability", Some(json!(5)));
    let said = run_with(&["encode"], format!("{good}\nbad\n{good}\n").as_bytes()).exits(2);
    // Frames stay beside the lines that they were made from.
    assert_eq!(said.out, format!("{IDENTIFICATION}\n\n{IDENTIFICATION}\n"));
    said.complains_of(&["-:2:"]);
}

#[test]
fn a_key_given_twice_is_refused_with_its_name() {
    let good = codes("capability", Some(json!(5)));
    let inside = good["{\"codes\":{".len()..good.len() - 2].to_owned();
    let first = inside.split(',').next().expect("a code").to_owned();
    for (line, name) in [
        (format!("{{\"codes\":{{{inside},\"capability\":5}}}}"), "capability"),
        (format!("{{\"codes\":{{{inside},{first}}}}}"), first.split('"').nth(1).expect("a name")),
        (format!("{{\"codes\":{{}},\"codes\":{{{inside}}}}}"), "codes"),
    ] {
        let said = run_with(&["encode"], format!("{line}\n").as_bytes()).exits(2);
        assert_eq!(said.out, "\n", "{line}");
        said.complains_of(&["-:1:", &format!("\"{name}\" is given twice")]);
    }
    // What stands beside the codes is not looked at.
    let line = format!("{{\"x\":1,\"codes\":{{{inside}}},\"x\":{{\"y\":2,\"y\":3}}}}\n");
    assert_eq!(run_with(&["encode"], line.as_bytes()).exits(0).out, format!("{IDENTIFICATION}\n"));
}

#[test]
fn a_line_that_is_too_long_is_refused_and_the_next_is_read() {
    let good = codes("capability", Some(json!(5)));
    // The longest line of a capture is the longest here.
    for (length, is_refused) in [(65_536, false), (65_537, true), (5_000_000, true)] {
        let long = format!("{good}{}", " ".repeat(length - good.len()));
        for end in ["\n", ""] {
            let said =
                run_with(&["encode"], format!("{good}\n{long}{end}").as_bytes()).exits(if is_refused { 2 } else { 0 });
            let second = if is_refused { "" } else { IDENTIFICATION };
            assert_eq!(said.out, format!("{IDENTIFICATION}\n{second}\n"), "{length}");
            if is_refused {
                said.complains_of(&["-:2:", "longer than 65536 bytes"]);
            }
        }
        let said = run_with(&["encode"], format!("{long}\n{good}\n").as_bytes());
        assert_eq!(said.out.lines().nth(1), Some(IDENTIFICATION));
    }
    // A comment may be as long as it likes.
    let comment = format!("#{}\n{good}\n", "x".repeat(100_000));
    assert_eq!(run_with(&["encode"], comment.as_bytes()).exits(0).out, format!("{IDENTIFICATION}\n"));
}

#[test]
fn frames_are_never_made_without_the_caution() {
    let good = codes("capability", Some(json!(5)));
    let lines = format!("{good}\n{good}\n");
    let fields = ["address=4840D6", "aircraft_identification=KLM1023"];
    for said in [run_with(&["encode"], lines.as_bytes()), encode("aircraft_identification", &fields)] {
        assert_eq!(said.err.matches("CAUTION").count(), 1, "{}", said.err);
        said.complains_of(&["Never radiate"]);
    }
    assert_eq!(run(&["encode"]).exits(0).err, "");
}

/// What is asked, and what is said of it on standard error. Steps: ICAO Doc 9871 draft, pages 64, 143, 227, 251 and 252;
/// handbook, ADS-B part, chapters 3 to 5; movement: as `tests/exhaustive.rs`.
#[test]
fn what_is_rounded_is_said_and_refused_where_exactness_is_asked() {
    for (message, fields, notes) in [
        (
            "airborne_position",
            &["pressure_altitude_ft=4510"][..],
            &["pressure altitude 4510 ft is sent as 4500 ft: steps of 25 ft"][..],
        ),
        (
            "airborne_position",
            &["pressure_altitude_ft=60040"],
            &["pressure altitude 60040 ft is sent as 60000 ft: steps of 100 ft"],
        ),
        (
            "airborne_position",
            &["latitude_deg=52.2572", "longitude_deg=3.91937"],
            &[
                "latitude 52.2572 deg is sent as 52.257202 deg: steps of 0.000046 deg",
                "longitude 3.91937 deg is sent as 3.919373 deg",
            ],
        ),
        (
            "airborne_velocity",
            &["vertical_rate_fpm=-333"],
            &["vertical rate -333 ft/min is sent as -320 ft/min: steps of 64 ft/min"],
        ),
        (
            "airborne_velocity",
            &["geometric_minus_pressure_ft=30"],
            &["geometric minus pressure 30 ft is sent as 25 ft: steps of 25 ft"],
        ),
        (
            "airborne_velocity",
            &["airspeed_kt=50.6", "heading_deg=359.9"],
            &[
                "airspeed 50.6 kt is sent as 51 kt: steps of 1 kt",
                "heading 359.9 deg is sent as 0 deg: steps of 0.351562 deg",
            ],
        ),
        (
            "airborne_velocity",
            &["ground_speed_kt=118", "track_deg=271.5"],
            &["ground speed 118 kt is sent as 118.04 kt", "track 271.5 deg is sent as 271.4564 deg"],
        ),
        (
            "airborne_velocity",
            &["ground_speed_kt=0", "track_deg=90"],
            &["track 90 deg is not sent: none, the speed is zero"],
        ),
        ("surface_position", &["ground_speed_kt=12.3"], &["ground speed 12.3 kt is sent as 12 kt: steps of 0.5 kt"]),
        ("surface_position", &["ground_speed_kt=176"], &["ground speed 176 kt is sent as 175 kt: more than 175 kt"]),
        // The last codes stand for all that is beyond: ICAO Doc 9871 draft, page 227; 60 m from memory.
        (
            "surface_position",
            &["ground_speed_kt=99999"],
            &["ground speed 99999 kt is sent as 175 kt: more than 175 kt"],
        ),
        (
            "operational_status",
            &["antenna_offset_lateral_m=-9"],
            &["antenna offset lateral -9 m is sent as -6 m: up to 6 m left"],
        ),
        (
            "operational_status",
            &["antenna_offset_longitudinal_m=100"],
            &["antenna offset longitudinal 100 m is sent as 60 m"],
        ),
        (
            "operational_status",
            &["antenna_offset_lateral_m=-3"],
            &["antenna offset lateral -3 m is sent as -4 m: steps of 2 m"],
        ),
        (
            "register_5_0",
            &["roll_deg=-9.7", "mode_a_code=6322"],
            &["roll -9.7 deg is sent as -9.667969 deg: steps of 0.175781 deg"],
        ),
    ] {
        let fields = [&["address=A5C035"], fields].concat();
        let said = encode(message, &fields).exits(0);
        assert_eq!(said.out.lines().count(), 1);
        let found: Vec<_> = said.err.lines().filter_map(|line| line.strip_prefix("squitterlab: ")).collect();
        assert_eq!(found.len(), notes.len(), "{found:?}");
        for (found, note) in found.iter().zip(notes) {
            assert!(found.starts_with(note), "{found}");
        }
        let set: Vec<&str> = fields.iter().flat_map(|field| ["--set", field]).collect();
        let refused = run(&[&["encode", "--exact", "--message", message], &set[..]].concat()).exits(2);
        assert_eq!(refused.out, "");
        refused.complains_of(&[notes[0], "--exact"]);
    }
    let exact = ["--set", "address=A5C035", "--set", "pressure_altitude_ft=4500", "--set", "surveillance_status=0"];
    let said = run(&[&["encode", "--exact", "--message", "airborne_position"], &exact[..]].concat()).exits(0);
    assert!(!said.err.contains("squitterlab: "), "{}", said.err);
}

#[test]
fn what_is_beyond_the_scale_is_refused_with_the_range() {
    for (message, fields, words) in [
        (
            "airborne_velocity",
            &["ground_speed_kt=99999", "track_deg=271.5"][..],
            "ground_speed_kt: 99999 is outside 0 to 408",
        ),
        (
            "airborne_velocity",
            &["vertical_rate_fpm=40000"],
            "vertical_rate_fpm: 40000 is outside -32576 to 32576 ft/min",
        ),
        ("airborne_velocity", &["vertical_rate_fpm=-32650"], "-32650 is outside -32576 to 32576 ft/min"),
        ("airborne_velocity", &["geometric_minus_pressure_ft=4000"], "4000 is outside -3125 to 3125 ft"),
        ("airborne_velocity", &["airspeed_kt=5000"], "airspeed_kt: 5000 is outside 0 to 4084 kt"),
        ("airborne_velocity", &["east_velocity_kt=-5000"], "-5000 is outside -4084 to 4084 kt"),
        ("airborne_position", &["geometric_height_ft=4500"], "says nothing of it"),
        ("airborne_velocity", &["heading_deg=10", "heading_valid=false"], "sets the same bits"),
        ("airborne_position", &["pressure_altitude_ft=4500", "altitude=5000"], "sets the same bits"),
    ] {
        let said = encode(message, &[&["address=A5C035"], fields].concat()).exits(2);
        assert_eq!(said.out, "", "{fields:?}");
        said.complains_of(&[words]);
    }
}

#[test]
fn input_that_cannot_be_read_is_named() {
    run(&["encode", "no_such_file.json"]).exits(2).complains_of(&["no_such_file.json"]);
    run(&["encode", "tests"]).exits(2).complains_of(&["tests:"]);
    run(&["encode"]).exits(0);
    let folder = Folder::new("encode_file");
    let file = folder.file("codes.json", codes("capability", Some(json!(5))));
    assert_eq!(run(&["encode", &file]).exits(0).out, format!("{IDENTIFICATION}\n"));
}

fn encode(message: &str, fields: &[&str]) -> crate::program::Said {
    let set: Vec<&str> = fields.iter().flat_map(|field| ["--set", field]).collect();
    run(&[&["encode", "--message", message], &set[..]].concat())
}

/// Encodes meanings, and reads them again.
fn again(message: &str, fields: &[&str]) -> Value {
    let frame = encode(message, fields).exits(0).out;
    run(&["decode", "--frame", frame.trim(), "--version-in-force", "2", "--format", "json"]).exits(0).object()
}

#[test]
fn the_published_identification_can_be_made_from_its_meanings() {
    // Handbook, ch. 3, 3.5: capability 5, address 4840D6, type code 4, category 0, KLM1023.
    let fields = ["address=4840D6", "aircraft_identification=KLM1023", "emitter_category=A0"];
    assert_eq!(encode("aircraft_identification", &fields).exits(0).out, format!("{IDENTIFICATION}\n"));
}

#[test]
fn meanings_are_read_again_as_they_were_written() {
    let object = again("airborne_position", &["address=40621D", "pressure_altitude_ft=38000"]);
    assert_eq!((&object["address"], &object["fields"]["pressure_altitude_ft"]), (&json!("40621D"), &json!(38_000)));
    let object = again("airborne_velocity", &["address=40621D", "airspeed_kt=375", "heading_deg=243.98"]);
    assert_eq!(object["fields"]["airspeed_kt"], 375);
    let object = again("surveillance_identity_reply", &["address=40621D", "mode_a_code=7700"]);
    assert_eq!((&object["address"], &object["fields"]["mode_a_code"]), (&json!("40621D"), &json!("7700")));
    let object = again("operational_status", &["address=40621D", "nacp=9", "length_width_code=1"]);
    assert_eq!((&object["fields"]["nacp"], &object["fields"]["subtype"]), (&json!(9), &json!(1)));
    let object = again("aircraft_status", &["address=40621D", "emergency_state=general_emergency"]);
    assert_eq!(object["codes"]["emergency_state"], 1);
}

#[test]
fn speeds_beyond_1021_kt_take_the_subtypes_that_can_say_them() {
    // Subtypes 2 and 4 count 4 kt, beyond 1022 kt: ICAO Doc 9871 draft, pages 251, 252 and 261.
    let object = again("airborne_velocity", &["address=40621D", "ground_speed_kt=2000", "track_deg=10"]);
    assert_eq!(object["fields"]["subtype"], 2, "{object}");
    assert!((object["fields"]["ground_speed_kt"].as_f64().expect("knots") - 2000.0).abs() < 4.0, "{object}");
    let object = again("airborne_velocity", &["address=40621D", "airspeed_kt=1100", "heading_deg=10"]);
    assert_eq!((&object["fields"]["subtype"], &object["fields"]["airspeed_kt"]), (&json!(4), &json!(1100)));
}

#[test]
fn a_surface_message_says_that_it_is_on_the_ground() {
    let object = again("surface_position", &["address=40621D", "ground_speed_kt=12", "track_deg=90"]);
    // Capability 4 is level 2 or above, on the ground: handbook, ADS-B part, chapter 1.
    assert_eq!(object["fields"]["capability"], 4, "{object}");
}

#[test]
fn unknown_messages_and_fields_are_refused_with_those_there_are() {
    encode("nonsense", &[]).exits(2).complains_of(&["\"nonsense\"", "aircraft_identification", "operational_status"]);
    let said = encode("aircraft_identification", &["address=40621D", "emiter_category=A1"]).exits(2);
    said.complains_of(&["\"emiter_category\"", "emitter_category"]);
    encode("aircraft_identification", &["address=40621D", "nacp=9"]).exits(2).complains_of(&["no field \"nacp\""]);
}

#[test]
fn every_message_name_that_decode_prints_for_a_squitter_can_be_encoded() {
    for message in [
        "aircraft_identification",
        "surface_position",
        "airborne_position",
        "airborne_velocity",
        "aircraft_status",
        "acas_resolution_advisory",
        "target_state_and_status",
        "operational_status",
        "test",
        "surface_system_status",
        "no_position",
        "reserved",
        "all_call_reply",
        "short_air_air_surveillance",
        "long_air_air_surveillance",
        "surveillance_altitude_reply",
        "comm_b_altitude_reply",
        "comm_b_identity_reply",
    ] {
        assert_eq!(again(message, &["address=40621D"])["message"], message);
    }
}

#[test]
fn values_without_a_code_are_refused_with_what_would_do() {
    for (message, field, words) in [
        ("aircraft_identification", "aircraft_identification=n47qx", "A to Z"),
        ("aircraft_identification", "aircraft_identification=N47QXYZZZ", "at most 8"),
        ("aircraft_identification", "emitter_category=F1", "A0 to A7"),
        ("airborne_position", "pressure_altitude_ft=500000", "-1000 to 126700"),
        ("airborne_position", "pressure_altitude_ft=high", "not a number"),
        ("surveillance_identity_reply", "mode_a_code=7800", "0 to 7"),
        ("operational_status", "nacp=99", "below_3_m"),
        ("aircraft_status", "emergency_state=9", "no_emergency"),
        ("all_call_reply", "capability=9", "level_1"),
    ] {
        let said = encode(message, &["address=40621D", field]).exits(2);
        assert_eq!(said.out, "");
        let name = field.split('=').next().expect("a name");
        assert!(flat(&said.err).contains(name), "{}", said.err);
        said.complains_of(&[words]);
    }
}

#[test]
fn without_an_address_there_is_no_frame() {
    for message in ["aircraft_identification", "surveillance_identity_reply", "all_call_reply"] {
        encode(message, &[]).exits(2).complains_of(&["address is missing"]);
        encode(message, &["address=XYZ"]).exits(2).complains_of(&["six hexadecimal digits"]);
    }
    encode("aircraft_identification", &["address=A5C035", "address=A5C036"]).exits(2).complains_of(&["twice"]);
    encode("aircraft_identification", &["address"]).exits(2).complains_of(&["FIELD=VALUE"]);
    run(&["encode", "--set", "a=b"]).exits(2).complains_of(&["--message"]);
}
