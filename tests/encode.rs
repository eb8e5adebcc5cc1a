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
        ("hello".to_owned(), &["no JSON"][..]),
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
        assert_eq!(said.out, "", "{line}");
        said.complains_of(&[&["-:3:"][..], words].concat());
    }
}

#[test]
fn good_lines_beside_bad_ones_are_encoded_and_the_status_is_2() {
    let good = codes("capability", Some(json!(5)));
    let said = run_with(&["encode"], format!("{good}\nbad\n{good}\n").as_bytes()).exits(2);
    assert_eq!(said.out, format!("{IDENTIFICATION}\n{IDENTIFICATION}\n"));
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
