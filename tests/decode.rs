//! `decode`: published frames with their published values, the JSON that programs rely on, positions, and versions.

use crate::program::{Folder, Said, run, run_with};
use serde_json::{Value, json};
use squitterlab::frame::{Address, Frame};
use std::process::Command;

// All from "The 1090 Megahertz Riddle", J. Sun, 2nd edition (revised), TU Delft OPEN Publishing, doi 10.34641/mg.11.
/// Ch. 3, 3.5 and ch. 4, 4.3.
const IDENTIFICATION: &str = "8D4840D6202CC371C32CE0576098";
/// Ch. 5, 5.3.
const EVEN: &str = "8D40621D58C382D690C8AC2863A7";
const ODD: &str = "8D40621D58C386435CC412692AD6";
/// Ch. 6, 6.4.
const SURFACE_EVEN: &str = "8C4841753AAB238733C8CD4020B1";
const SURFACE_ODD: &str = "8C4841753A8A35323FAEBDAC702D";
/// Ch. 7, messages A and B.
const OVER_GROUND: &str = "8D485020994409940838175B284F";
const THROUGH_AIR: &str = "8DA05F219B06B6AF189400CBC33F";

/// An all-call reply from a public question (aviation.stackexchange.com, Q. 43844).
const ALL_CALL: &str = "5D406FDB0D62DD";

fn decode(text: &str, arguments: &[&str]) -> Vec<Value> {
    run_with(&[&["decode", "-", "--format", "json"], arguments].concat(), text.as_bytes()).exits(0).objects()
}

fn one(frame: &str, arguments: &[&str]) -> Value {
    run(&[&["decode", "--frame", frame, "--format", "json"], arguments].concat()).exits(0).object()
}

/// Whether a number of the JSON is the published one, to the places that were published.
#[track_caller]
fn close(found: &Value, published: f64, within: f64) {
    assert!((found.as_f64().expect("a number") - published).abs() <= within, "{found}, published {published}");
}

#[test]
fn the_published_identification_reads_as_published() {
    let object = one(IDENTIFICATION, &[]);
    assert_eq!(object["downlink_format"], 17);
    assert_eq!(object["address"], "4840D6");
    assert_eq!(object["parity"], "valid");
    assert_eq!(object["message"], "aircraft_identification");
    assert_eq!(object["fields"]["type_code"], 4);
    assert_eq!(object["fields"]["aircraft_identification"], "KLM1023");
    assert_eq!(object["fields"]["emitter_category"], "A0");
    assert_eq!(object["codes"]["category"], 0);
    // Characters 11 12 13 49 48 50 51 32 of six bits each.
    let characters = [11, 12, 13, 49, 48, 50, 51, 32].iter().fold(0u64, |all, code| all << 6 | code);
    assert_eq!(object["codes"]["characters"], characters);
}

#[test]
fn the_published_airborne_pair_reads_as_published() {
    let objects = decode(&format!("0 {ODD}\n1 {EVEN}\n"), &[]);
    let (odd, even) = (&objects[0], &objects[1]);
    for (object, format, latitude, longitude) in [(even, "even", 93_000, 51_372), (odd, "odd", 74_158, 50_194)] {
        assert_eq!(object["message"], "airborne_position");
        assert_eq!(object["fields"]["type_code"], 11);
        assert_eq!(object["fields"]["pressure_altitude_ft"], 38_000);
        assert_eq!(object["fields"]["cpr_format"], format);
        assert_eq!(object["fields"]["cpr_latitude"], latitude);
        assert_eq!(object["fields"]["cpr_longitude"], longitude);
    }
    assert_eq!(odd.get("position"), None, "one frame alone has no position");
    // 5.3: the even frame is the newest; 52.2572021484375, 3.91937255859375.
    assert_eq!(even["position"]["method"], "global");
    close(&even["position"]["latitude_deg"], 52.257_202_148, 1e-6);
    close(&even["position"]["longitude_deg"], 3.919_372_558, 1e-6);
    // 5.4: the same from the even frame alone and a reference.
    let local = one(EVEN, &["--reference", "52.258,3.918"]);
    assert_eq!(local["position"]["method"], "local");
    close(&local["position"]["latitude_deg"], 52.257_202_148, 1e-6);
    close(&local["position"]["longitude_deg"], 3.919_372_558, 1e-6);
}

#[test]
fn the_published_surface_pair_reads_as_published() {
    let objects = decode(&format!("0 {SURFACE_EVEN}\n1 {SURFACE_ODD}\n"), &["--reference", "51.99,4.375"]);
    let odd = &objects[1];
    assert_eq!(odd["message"], "surface_position");
    assert_eq!(odd["fields"]["type_code"], 7);
    // 6.4: the odd frame is the newest; 52.320607, 4.734735.
    assert_eq!(odd["position"]["method"], "global");
    close(&odd["position"]["latitude_deg"], 52.320_607, 1e-6);
    close(&odd["position"]["longitude_deg"], 4.734_735, 1e-6);
    // Surface pairs fit several places on the globe.
    let without = decode(&format!("0 {SURFACE_EVEN}\n1 {SURFACE_ODD}\n"), &[]);
    assert!(without.iter().all(|object| object.get("position").is_none()), "{without:?}");
}

#[test]
fn the_published_velocities_read_as_published() {
    let ground = &one(OVER_GROUND, &["--version-in-force", "2"])["fields"];
    assert_eq!(ground["subtype"], 1);
    close(&ground["ground_speed_kt"], 159.2, 0.05);
    close(&ground["track_deg"], 182.88, 0.005);
    assert_eq!(ground["vertical_rate_fpm"], -832);
    assert_eq!(ground["vertical_rate_source"], "gnss");
    assert_eq!(ground["geometric_minus_pressure_ft"], 550);
    let air = &one(THROUGH_AIR, &["--version-in-force", "2"])["fields"];
    assert_eq!(air["subtype"], 3);
    close(&air["heading_deg"], 243.98, 0.005);
    assert_eq!(air["airspeed_kt"], 375);
    assert_eq!(air["airspeed_kind"], "true");
    assert_eq!(air["vertical_rate_fpm"], -2304);
    assert_eq!(air["geometric_minus_pressure_ft"], Value::Null);
}

#[test]
fn the_published_replies_read_as_published() {
    // Ch. 11, 11.3: address recovery.
    assert_eq!(one("A0001838CA380031440000F24177", &[])["address"], "3C6DD0");
    // Ch. 13, 13.2 and 13.3.
    let altitude = one("2000171806A983", &[]);
    assert_eq!(altitude["message"], "surveillance_altitude_reply");
    assert_eq!(altitude["fields"]["pressure_altitude_ft"], 36_000);
    let identity = one("2A00516D492B80", &[]);
    assert_eq!(identity["message"], "surveillance_identity_reply");
    assert_eq!(identity["fields"]["mode_a_code"], "0356");
    // Ch. 16, 16.2: register 1,7 (5,2 is in its list of bits and in the exercise box).
    let usage = one("A0000638FA81C10000000081A92F", &["--register", "1,7"]);
    assert_eq!(usage["register"], "1,7");
    let served: Vec<&String> = usage["fields"]
        .as_object()
        .expect("an object")
        .iter()
        .filter(|(key, value)| key.starts_with("register_") && **value == json!(true))
        .map(|(key, _)| key)
        .collect();
    let published = ["0_5", "0_6", "0_7", "0_8", "0_9", "2_0", "4_0", "5_0", "5_1", "5_2", "6_0"];
    assert_eq!(served, published.map(|register| format!("register_{register}")).iter().collect::<Vec<_>>());
}

#[test]
fn parity_says_what_the_last_24_bits_say() {
    // Ch. 10, 10.2: remainders 0 and 16.
    assert_eq!(one("8D406B902015A678D4D220AA4BDA", &[])["parity"], "valid");
    let damaged = one("8D4CA251204994B1C36E60A5343D", &[]);
    assert_eq!(damaged["parity"], "invalid");
    assert_eq!(damaged["codes"]["parity_overlay"], 16);
    let reply = one("2A00516D492B80", &[]);
    assert_eq!(reply["parity"], "overlaid");
    assert_eq!((&reply["address_recovered"], &reply["address_confirmed"]), (&json!(true), &json!(false)));
}

#[test]
fn an_all_call_reply_names_its_interrogator() {
    let plain: Frame = ALL_CALL.parse().expect("a frame");
    let with = |overlay: u32| one(&plain.with_overlay(overlay).to_string(), &[]);
    assert_eq!(with(0)["parity"], "valid");
    // Layout of the interrogator code: interface of this program; overlays 1-15 II, 17-79 SI (from memory).
    for (overlay, kind, code) in
        [(1, "II", 1), (5, "II", 5), (15, "II", 15), (17, "SI", 1), (22, "SI", 6), (79, "SI", 63)]
    {
        let object = with(overlay);
        assert_eq!(object["parity"], "interrogator", "{overlay}");
        assert_eq!(object["interrogator_code"], json!({"kind": kind, "code": code}), "{overlay}");
        assert_eq!(object["address"], "406FDB");
    }
    for overlay in [16, 80, 0x100, 0xFF_FFFF] {
        let object = with(overlay);
        assert_eq!(object["parity"], "invalid", "{overlay}");
        assert_eq!(object.get("interrogator_code"), None);
    }
}

#[test]
fn a_reply_is_confirmed_once_its_address_was_heard_in_clear() {
    let address: Frame = ALL_CALL.parse().expect("a frame");
    let reply: Frame = "20000000000000".parse().expect("a frame");
    let reply = reply.with_overlay(0x40_6FDB);
    let invalid = address.with_overlay(0xFF_FFFF);
    let text = format!("{reply}\n{invalid}\n{reply}\n{address}\n{reply}\n");
    let objects = decode(&text, &[]);
    let confirmed: Vec<&Value> = [0, 2, 4].iter().map(|at| &objects[*at]["address_confirmed"]).collect();
    assert_eq!(confirmed, [false, false, true], "a damaged frame confirms nothing");
    assert!([0, 2, 4].iter().all(|at| objects[*at]["address"] == "406FDB"));
}

#[test]
fn every_object_has_the_keys_that_programs_rely_on() {
    let said = run(&["decode", "vectors/demo/good_air.txt", "--format", "json"]).exits(0);
    for object in said.objects() {
        assert_eq!(object["file"], "vectors/demo/good_air.txt");
        assert!(object["line"].as_u64().is_some_and(|line| line > 3) && object["time"].is_f64());
        let frame = object["frame"].as_str().expect("text");
        assert!(frame.bytes().all(|b| b.is_ascii_digit() || (b'A'..=b'F').contains(&b)));
        assert_eq!(object["codes"]["downlink_format"], object["downlink_format"]);
        assert!(object["fields"].is_object() && object["message"].is_string() && object["parity"].is_string());
        assert_eq!(object["address"].as_str().map(str::len), Some(6));
    }
    said.complains_of(&["157 lines = 152 frames + 3 comments + 2 skipped"]);
    let codes = &one("8DA5C035F81020060049B02147D0", &[])["codes"];
    let reserved: Vec<&String> =
        codes.as_object().expect("an object").keys().filter(|key| key.contains("reserved")).collect();
    assert!(!reserved.is_empty());
    for key in reserved {
        let bits: Vec<u8> =
            key.strip_prefix("reserved_").expect(key).split('_').map(|bit| bit.parse().expect(key)).collect();
        assert!(bits.len() == 2 && bits[0] <= bits[1], "{key}");
    }
}

/// The names of messages by type code and subtype are those of the standards' formats; the list is the interface's.
#[test]
fn every_message_has_its_name() {
    let squitter =
        |first: u8| format!("{}", Frame::from_pattern(17 << 107 | 0xABCDEF << 80 | u128::from(first) << 72, 112));
    for (type_code, subtype, message) in [
        (0, 0, "no_position"),
        (1, 0, "aircraft_identification"),
        (4, 0, "aircraft_identification"),
        (5, 0, "surface_position"),
        (8, 0, "surface_position"),
        (9, 0, "airborne_position"),
        (18, 0, "airborne_position"),
        (19, 1, "airborne_velocity"),
        (19, 4, "airborne_velocity"),
        (20, 0, "airborne_position"),
        (22, 0, "airborne_position"),
        (23, 0, "test"),
        (24, 1, "surface_system_status"),
        (25, 0, "reserved"),
        (28, 1, "aircraft_status"),
        (28, 2, "acas_resolution_advisory"),
        (31, 0, "operational_status"),
        (31, 1, "operational_status"),
    ] {
        let object = one(&squitter(type_code << 3 | subtype), &[]);
        assert_eq!(object["message"], message, "type code {type_code}, subtype {subtype}");
    }
    let format = |format: u128, bits: u8| format!("{}", Frame::from_pattern(format << (bits - 5), bits));
    for (number, bits, message) in [
        (0, 56, "short_air_air_surveillance"),
        (4, 56, "surveillance_altitude_reply"),
        (5, 56, "surveillance_identity_reply"),
        (11, 56, "all_call_reply"),
        (16, 112, "long_air_air_surveillance"),
        (19, 112, "military"),
        (20, 112, "comm_b_altitude_reply"),
        (21, 112, "comm_b_identity_reply"),
        (24, 112, "comm_d"),
        (31, 112, "comm_d"),
        (1, 56, "unassigned"),
        (22, 112, "unassigned"),
    ] {
        assert_eq!(one(&format(number, bits), &[])["message"], message, "format {number}");
    }
}

#[test]
fn timed_positions_pair_within_10_s_and_never_beyond() {
    let method = |first: f64, second: f64| {
        let objects = decode(&format!("{first} {ODD}\n{second} {EVEN}\n"), &[]);
        objects[1].get("position").map(|position| position["method"].clone())
    };
    // Doc 9871 draft, page 59; handbook, ch. 5, 5.3: received within 10 s.
    assert_eq!(method(100.0, 110.0), Some(json!("global")));
    assert_eq!(method(100.0, 110.01), None);
    assert_eq!(method(100.0, 99.0), None, "time does not run backwards");
}

#[test]
fn untimed_positions_pair_only_when_they_follow_one_another() {
    let method = |text: &str| decode(text, &[]).last().expect("a frame").get("position").map(|p| p["method"].clone());
    assert_eq!(method(&format!("{ODD}\n{EVEN}\n")), Some(json!("global_untimed")));
    // Another aircraft, and other messages of the same aircraft, do not come between position frames.
    assert_eq!(method(&format!("{ODD}\n{IDENTIFICATION}\n{EVEN}\n")), Some(json!("global_untimed")));
    // A frame with a time and one without are no pair.
    assert_eq!(method(&format!("5 {ODD}\n{EVEN}\n")), None);
    // odd, even, even: the second even frame follows an even one.
    assert_eq!(method(&format!("{ODD}\n{EVEN}\n{EVEN}\n")), None);
}

#[test]
fn damaged_positions_pair_with_nothing() {
    let damaged = format!("{}{}", &EVEN[..27], "6");
    let objects = decode(&format!("0 {ODD}\n1 {damaged}\n"), &[]);
    assert_eq!(objects[1]["parity"], "invalid");
    assert_eq!(objects[1].get("position"), None);
}

#[test]
fn until_a_version_is_known_every_reading_is_shown() {
    let object = one(EVEN, &[]);
    // Bit 8 of the message is an antenna flag in versions 0 and 1, a NIC supplement in version 2.
    assert_eq!(object["by_version"]["0"]["single_antenna"], false);
    assert_eq!(object["by_version"]["2"]["nic_supplement_b"], 0);
    assert_eq!(object["fields"].get("nic_supplement_b"), None);
    assert_eq!(object["fields"].get("single_antenna"), None);
    let known = one(EVEN, &["--version-in-force", "2"]);
    assert_eq!(known["fields"]["nic_supplement_b"], 0);
    assert_eq!(known.get("by_version"), None);
    // An operational status of the aircraft itself says which it is; one of another aircraft does not.
    let version = |address: u32| {
        let status: Frame = "8DA5C035F81020060049B02147D0".parse().expect("a frame");
        let pattern = status.pattern() >> 24 & !(0xFF_FFFF << 56) | u128::from(address) << 56;
        let status = Frame::from_pattern(pattern << 24, 112).with_overlay(0);
        let objects = decode(&format!("{status}\n{EVEN}\n"), &[]);
        assert_eq!(objects[0]["address"], Address::new(address).to_string());
        assert_eq!(objects[0]["parity"], "valid");
        objects[1].get("by_version").is_none()
    };
    assert!(version(0x40_621D));
    assert!(!version(0x40_621E));
}

#[test]
fn version_0_is_concluded_from_30_s_of_positions_without_a_status_and_only_with_times() {
    let known = |text: &str| decode(text, &[]).last().expect("a frame").get("by_version").is_none();
    assert!(!known(&format!("0 {EVEN}\n29.9 {EVEN}\n")));
    assert!(known(&format!("0 {EVEN}\n30 {EVEN}\n")));
    assert!(!known(&format!("{EVEN}\n{EVEN}\n")), "without times nothing is concluded");
    let last = decode(&format!("0 {EVEN}\n30 {EVEN}\n"), &[]).pop().expect("a frame");
    assert_eq!(last["fields"]["single_antenna"], false);
}

#[test]
fn a_version_above_3_leaves_raw_codes_and_says_that_it_is_not_supported() {
    for version in ["4", "5", "6", "7"] {
        let object = one(OVER_GROUND, &["--version-in-force", version]);
        let note = object["note"].as_str().expect("a note");
        assert!(note.contains(&format!("version {version} is not supported")), "{object}");
        assert_eq!(object["codes"]["nacv"], 0);
        assert_eq!(object["fields"].get("nacv"), None);
        assert_eq!(object.get("by_version"), None);
    }
    run(&["decode", "--frame", EVEN, "--version-in-force", "8"]).exits(2).complains_of(&["0 to 7"]);
}

/// What public text states of version 3 is read as version 3, what it shares with version 2 is shown, and a note says so.
#[test]
fn version_3_is_read_as_far_as_it_is_known() {
    let object = one(OVER_GROUND, &["--version-in-force", "3"]);
    assert!(object["note"].as_str().expect("a note").starts_with("version 3: "), "{object}");
    assert_eq!(object["fields"]["nacv"], 0);
    assert_eq!(object.get("by_version"), None);
    // The aircraft says itself that it follows version 3.
    let status = |subtype: u64, bits: u64| {
        let message = 31 << 51 | subtype << 48 | 3 << 13 | bits;
        let pattern = (17 << 3 | 5) << 104 | 0x4840D6_u128 << 80 | u128::from(message) << 24;
        Frame::from_pattern(pattern, 112).with_overlay(0)
    };
    // Transmit power 2 (ME 17-18), detect and avoid 1 (ME 23-24), reply rate limiting (ME 29), NACp 8 (ME 45-48).
    let airborne = one(&status(0, 2 << 38 | 1 << 32 | 1 << 27 | 8 << 8).to_string(), &[]);
    assert_eq!(airborne["fields"]["version"], 3);
    assert_eq!(airborne["fields"]["transmit_power_meaning"], "at_least_125_w");
    assert_eq!(airborne["fields"]["detect_and_avoid_meaning"], "with_resolution_advisories");
    assert_eq!(airborne["fields"]["reply_rate_limiting"], true);
    assert_eq!(airborne["fields"]["nacp"], 8);
    assert_eq!(airborne["fields"].get("trajectory_change"), None);
    let surface = one(&status(1, 1 << 16).to_string(), &[]);
    assert_eq!(surface["fields"]["antenna_offset_longitudinal_m"], 1);
    assert_eq!(surface["fields"].get("nacv"), None, "what may differ is raw");
    assert_eq!(surface["codes"]["data_17_19"], 0);
}

/// States 2, 6 and 7 say different things in the versions, so each is said while the version is not known.
#[test]
fn an_emergency_state_is_read_by_version() {
    let medical = "8D4840D6E1500000000000000000";
    let object = one(medical, &[]);
    assert_eq!(object["fields"].get("emergency_state"), None, "{object}");
    for (version, meaning) in [("0", "medical"), ("1", "medical"), ("2", "medical"), ("3", "unmanned_lost_link")] {
        assert_eq!(object["by_version"][version]["emergency_state"], 2);
        assert_eq!(object["by_version"][version]["emergency_state_meaning"], meaning);
        let known = one(medical, &["--version-in-force", version]);
        assert_eq!(known["fields"]["emergency_state_meaning"], meaning);
    }
    for (state, alike) in [(0, true), (1, true), (2, false), (3, true), (4, true), (5, true), (6, false), (7, false)] {
        let pattern = (17 << 3 | 5) << 104 | 0x4840D6_u128 << 80 | (28 << 51 | 1 << 48 | state << 45) << 24;
        let object = one(&Frame::from_pattern(pattern, 112).with_overlay(0).to_string(), &[]);
        assert_eq!(object["fields"].get("emergency_state").is_some(), alike, "{state}");
    }
    let text = run(&["decode", "--frame", medical]).exits(0).out;
    assert!(text.contains("if version 3: emergency_state: 2, unmanned aircraft, lost link"), "{text}");
}

/// "More than the field can say" is a number and says so; "no data" is null. In JSON and in tables.
#[test]
fn past_the_end_of_a_scale_is_told_apart_from_no_data() {
    let frame = |subtype: u64, bits: u64| {
        let pattern = (17 << 3 | 5) << 104 | 0x4840D6_u128 << 80 | u128::from(19 << 51 | subtype << 48 | bits) << 24;
        Frame::from_pattern(pattern, 112).with_overlay(0).to_string()
    };
    let cases = [
        ("vertical_rate_fpm", 1, 10, 511, json!(32608)),
        ("geometric_minus_pressure_ft", 1, 0, 127, json!(3137.5)),
        ("east_velocity_kt", 1, 32, 1023, json!(1021.5)),
        ("north_velocity_kt", 2, 21, 1023, json!(4086)),
        ("airspeed_kt", 3, 21, 1023, json!(1021.5)),
    ];
    for (field, subtype, shift, last, end) in cases {
        let beyond = format!("{field}_beyond");
        let csv = |code: u64| {
            let frame = frame(subtype, code << shift);
            let text = run(&["decode", "--frame", &frame, "--format", "csv"]).exits(0).out;
            let (names, values) = text.split_once("\r\n").expect("two lines");
            let cell = |name: &str| {
                let at = names.split(',').position(|column| column == name).unwrap_or_else(|| panic!("no {name}"));
                values.trim_end().split(',').nth(at).expect("a cell").to_owned()
            };
            (cell(field), cell(&beyond))
        };
        let said = |code: u64| one(&frame(subtype, code << shift), &[])["fields"].clone();
        assert_eq!((&said(0)[field], said(0).get(&beyond)), (&Value::Null, None), "{field}");
        assert_eq!(csv(0), (String::new(), String::new()));
        for code in [1, 2, last - 1] {
            assert!(said(code)[field].is_number() && said(code).get(&beyond).is_none(), "{field} {code}");
            assert!(csv(code).0.parse::<f64>().is_ok() && csv(code).1.is_empty(), "{field} {code}");
        }
        assert_eq!((&said(last)[field], &said(last)[&beyond]), (&end, &json!(true)), "{field}");
        assert_eq!(csv(last).0.parse::<f64>().ok(), end.as_f64());
        assert_eq!(csv(last).1, "true");
    }
    // Ground speed and track follow from the components: more than they say, and from one of them no direction.
    let object = one(&frame(1, 1023 << 32 | 1 << 21), &[]);
    assert_eq!(object["fields"]["ground_speed_kt"], 1021.5);
    assert_eq!(object["fields"]["ground_speed_kt_beyond"], true);
    assert_eq!(object["fields"]["track_deg"], Value::Null);
    // Movement.
    let pattern = (17 << 3 | 4) << 104 | 0x4840D6_u128 << 80 | (7 << 51 | 124 << 44) << 24;
    let object = one(&Frame::from_pattern(pattern, 112).with_overlay(0).to_string(), &[]);
    assert_eq!(object["fields"]["ground_speed_kt"], 175.0);
    assert_eq!(object["fields"]["ground_speed_kt_beyond"], true);
}

#[test]
fn frames_given_by_hand_may_have_spaces_and_are_refused_with_the_reason() {
    assert_eq!(one("8D40 621D 58C3 82D6 90C8 AC28 63A7", &[])["frame"], EVEN);
    for (frame, words) in [
        ("8D40621D58C382D690C8AC2863", "26 hexadecimal digits"),
        ("8D40621D58C382D690C8AC2863AG", "character 28 is 'G'"),
        ("", "0 hexadecimal digits"),
    ] {
        let said = run(&["decode", "--frame", frame]).exits(2);
        assert_eq!(said.out, "");
        said.complains_of(
            &[words, "14 (56 bits) or 28 (112 bits)"].map(|all| if frame.ends_with('G') { words } else { all }),
        );
    }
}

#[test]
fn bad_references_and_registers_are_refused_with_an_example() {
    for reference in ["52", "95,3", "52,181", "a,b", "52;3", "NaN,3"] {
        run(&["decode", "--frame", EVEN, "--reference", reference]).exits(2).complains_of(&["44.5,-103.25"]);
    }
    for register in ["9", "2.0", "G,0", "20"] {
        run(&["decode", "--frame", EVEN, "--register", register]).exits(2).complains_of(&["such as 2,0"]);
    }
    let south = one(EVEN, &["--reference", "-33.9,-151.2"]);
    assert_eq!(south["position"]["method"], "local");
}

fn out(folder: &Folder, input: &str, more: &[&str]) -> (String, Said) {
    let path = folder.path("out.json");
    let said = run(&[&["decode", input, "--format", "json", "--out", &path], more].concat());
    (path, said)
}

#[test]
fn an_output_file_is_written_whole_and_not_over_another() {
    let folder = Folder::new("decode_out");
    let input = folder.file("in.txt", format!("{EVEN}\n{ODD}\n"));
    let (path, said) = out(&folder, &input, &[]);
    assert_eq!(said.exits(0).out, "");
    assert_eq!(std::fs::read_to_string(&path).expect("the file").lines().count(), 2);
    std::fs::write(&path, "mine").expect("the file");
    let (_, said) = out(&folder, &input, &[]);
    said.exits(2).complains_of(&["there already", "--force"]);
    assert_eq!(std::fs::read_to_string(&path).expect("the file"), "mine");
    let (_, said) = out(&folder, &input, &["--force"]);
    said.exits(0);
    assert_eq!(std::fs::read_to_string(&path).expect("the file").lines().count(), 2);
    assert_eq!(folder.names(), ["in.txt", "out.json"], "nothing is left beside it");
}

#[cfg(unix)]
#[test]
fn a_device_is_written_into_and_a_link_stays_a_link() {
    let folder = Folder::new("decode_out_devices");
    let input = folder.file("in.txt", format!("{EVEN}\n{ODD}\n"));
    let pipe = folder.path("out.json");
    assert!(Command::new("mkfifo").arg(&pipe).status().expect("mkfifo").success());
    let reading = std::thread::spawn({
        let pipe = pipe.clone();
        move || std::fs::read_to_string(pipe).expect("the pipe")
    });
    // Nothing is overwritten, so nothing has to be forced; and with --force it is not replaced either.
    run(&["decode", &input, "--format", "json", "--out", &pipe, "--force"]).exits(0);
    assert_eq!(reading.join().expect("the reader").lines().count(), 2);
    assert!(!std::fs::metadata(&pipe).expect("the pipe").is_file());

    let (target, link) = (folder.file("target.json", "old"), folder.path("link.json"));
    std::os::unix::fs::symlink(&target, &link).expect("a link");
    run(&["decode", &input, "--format", "json", "--out", &link]).exits(2).complains_of(&["there already", "--force"]);
    run(&["decode", &input, "--format", "json", "--out", &link, "--force"]).exits(0);
    assert!(std::fs::symlink_metadata(&link).expect("the link").is_symlink());
    assert_eq!(std::fs::read_to_string(&target).expect("the file").lines().count(), 2);
    run(&["decode", &input, "--out", &folder.path("."), "--force"]).exits(2).complains_of(&["a folder"]);
    run(&["decode", &input, "--out", &folder.path("new/")]).exits(2).complains_of(&["new/: a folder"]);

    let (nowhere, dangling) = (folder.path("nowhere.json"), folder.path("dangling.json"));
    std::os::unix::fs::symlink(&nowhere, &dangling).expect("a link");
    run(&["decode", &input, "--out", &dangling])
        .exits(2)
        .complains_of(&["dangling.json: a link that leads to nothing"]);
    let names = ["dangling.json", "in.txt", "link.json", "out.json", "target.json"];
    assert_eq!(folder.names(), names, "nothing is left beside them");
}

/// A shell that writes to a file writes on where the program left off.
#[cfg(target_os = "linux")]
#[test]
fn standard_output_by_its_name_is_written_into() {
    let folder = Folder::new("decode_out_standard");
    let (input, log) = (folder.file("in.txt", format!("{EVEN}\n")), folder.file("log", "before\n"));
    let mut file = std::fs::OpenOptions::new().append(true).open(&log).expect("the log");
    let done = crate::program::command(&["decode", &input, "--format", "json", "--out", "/dev/stdout"])
        .stdout(file.try_clone().expect("a handle"))
        .status();
    assert!(done.expect("it runs").success());
    std::io::Write::write_all(&mut file, b"after\n").expect("the log");
    let log = std::fs::read_to_string(log).expect("the log");
    assert!(log.starts_with("before\n{") && log.ends_with("}\nafter\n"), "{log}");
}

#[test]
fn an_output_file_of_input_that_cannot_be_read_does_not_come_to_be() {
    let folder = Folder::new("decode_out_fails");
    let (_, said) = out(&folder, &folder.path("not_there.txt"), &[]);
    said.exits(2).complains_of(&["not_there.txt"]);
    assert_eq!(folder.names(), Vec::<String>::new());
    let said = run(&["decode", "--frame", EVEN, "--out", &folder.path("no/folder/x.json")]).exits(2);
    said.complains_of(&["no/folder/x.json"]);
}

#[test]
fn text_is_for_people() {
    let said = run(&["decode", "--frame", OVER_GROUND, "--version-in-force", "2"]).exits(0);
    let flat = crate::program::flat(&said.out);
    for words in ["airborne velocity", "address 485020, parity valid", "vertical_rate_fpm: -832 ft/min"] {
        assert!(flat.contains(words), "{words:?} is not in {flat}");
    }
    let said = run(&["decode", "--frame", "8D4CA251204994B1C36E60A5343D"]).exits(0);
    assert!(said.out.contains("INVALID"), "{}", said.out);
}
