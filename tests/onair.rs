//! `onair`: the frames of an install, which bits it decides, and the way of those frames back through the program.

use crate::installs::{self, pick};
use crate::program::{Folder, PROFILE, SITUATION, capture, in_the_air, profile, profile_text, run, run_with};
use crate::random::Random;
use crate::{long_run, program};
use serde_json::{Value, json};
use squitterlab::code::Version;
use squitterlab::downlink::Decoded;
use squitterlab::frame::{Frame, Span};
use squitterlab::onair::{Decision, Emission, Flight, Installation, Situation, When, emissions as emissions_of};
use squitterlab::present;
use squitterlab::profile::{AirGroundKind, Profile, Stated, check, rule_set};

fn emissions(arguments: &[&str]) -> Vec<Value> {
    run(&[&["onair", PROFILE, "--format", "json"], arguments].concat()).exits(0).objects()
}

fn number(digits: &Value) -> u128 {
    u128::from_str_radix(digits.as_str().expect("digits"), 16).expect("hexadecimal")
}

/// Runs `onair` on the demo profile with pieces replaced.
fn onair_of(name: &str, pieces: &[(&str, &str)], arguments: &[&str]) -> crate::program::Said {
    let folder = Folder::new(&format!("onair_{name}"));
    let file = folder.file("profile.json", profile_text(pieces));
    run(&[&["onair", &file], arguments].concat())
}

fn with_situation(name: &str, situation: &str) -> crate::program::Said {
    let folder = Folder::new(&format!("situation_{name}"));
    let file = folder.file("situation.json", situation);
    run(&["onair", PROFILE, "--format", "json", "--situation", &file])
}

#[test]
fn every_object_has_the_keys_that_programs_rely_on() {
    let objects = emissions(&[]);
    assert!(objects.len() > 10);
    for object in &objects {
        assert!(object["message"].is_string());
        assert!(["airborne", "on_ground", "both"].contains(&object["when"].as_str().expect("text")), "{object}");
        let length = object["frame"].as_str().expect("text").len();
        assert!([14, 28].contains(&length));
        assert_eq!(object["decided"].as_str().expect("text").len(), length);
        for setting in object["settings"].as_array().expect("a list") {
            assert!(setting["settings"][0].as_str().expect("text").starts_with('/'));
            assert!(setting["field"].is_string() && setting["meaning"].is_string() && setting["code"].is_u64());
        }
    }
}

#[test]
fn the_decided_bits_are_those_of_the_settings_and_the_codes_stand_there() {
    for arguments in [&[][..], &["--situation", SITUATION]] {
        for object in emissions(arguments) {
            let bits = object["frame"].as_str().expect("text").len() as u64 * 4;
            let frame = number(&object["frame"]);
            let mut union = 0;
            for setting in object["settings"].as_array().expect("a list") {
                let (first, last) =
                    (setting["bits"][0].as_u64().expect("bit"), setting["bits"][1].as_u64().expect("bit"));
                assert!(1 <= first && first <= last && last <= bits - 24, "parity is never decided: {setting}");
                let mask = ((1u128 << (last - first + 1)) - 1) << (bits - last);
                assert_eq!(union & mask, 0, "no bit has two settings: {object}");
                union |= mask;
                assert_eq!((frame & mask) >> (bits - last), u128::from(setting["code"].as_u64().expect("code")));
            }
            assert_eq!(number(&object["decided"]), union, "{object}");
            let in_parity = [0, 4, 5, 16, 20, 21].contains(&(frame >> (bits - 5)));
            assert_eq!(object.get("address_decided"), in_parity.then_some(&json!(true)), "{object}");
        }
    }
}

/// Any install, whole or partly stated, and any flight, or none.
fn any_install(random: &mut Random, with: impl FnOnce(&mut Profile)) -> (Profile, Option<Situation>) {
    let mut install = installs::complete(random);
    with(&mut install);
    if installs::one_in(random, 3) {
        install = installs::partly_stated(random, &install);
    }
    let code = *pick(random, &[None, Some("1200"), Some("7000"), Some("4621")]);
    let airborne = installs::one_in(random, 2);
    let situation = (!installs::one_in(random, 3)).then(|| installs::situation(random, airborne, code));
    (install, situation)
}

fn flight(situation: Option<&Situation>) -> Flight<'_> {
    situation.map_or(Flight::Unknown, Flight::Situation)
}

/// Fields that are made for people and programs out of a bit or two, and that decoding does not name.
const NOT_DECODED: [&str; 1] = ["altitude_step_ft"];

/// Holds one printed line of a frame, in JSON and in text, against the frame's own bits.
fn holds(printed: &Value, decision: &Decision, emission: &Emission, text: &str) {
    let frame: &Frame = &emission.frame;
    let bit = |at: usize| printed["bits"][at].as_u64().expect("a bit") as u8;
    let code = frame.field(Span::new(bit(0), bit(1)));
    assert_eq!(printed["code"].as_u64(), Some(code), "{printed} is not in {frame}");
    let field = printed["field"].as_str().expect("text");
    let decoded = Decoded::new(*frame);
    let decoded = match emission.reply_to.and_then(|asked| asked.strip_prefix("an interrogation for register ")) {
        Some(number) => decoded.with_register(number.parse().expect("a register")),
        None => decoded,
    };
    match decoded.fields(Version::Two).into_iter().find(|(name, _)| *name == field) {
        Some((_, meaning)) => {
            let value = Value::from(meaning.value);
            assert_eq!(printed["value"], value, "{field} of {frame}");
        }
        None if field == "address" => {
            assert_eq!(printed["value"], json!(decoded.address().expect("an address").to_string()));
        }
        // A bit whose name depends on the version goes by the name of its row.
        None => match decoded.rows().into_iter().find(|placed| placed.key == field) {
            Some(placed) => assert_eq!((placed.code, placed.span), (code, decision.span), "{field} of {frame}"),
            None => assert!(NOT_DECODED.contains(&field), "{field} of {frame} ({})", decoded.title()),
        },
    }
    // The text: bits of the frame, their digits, and the field with its meaning.
    let line = text.lines().find(|line| line.get(4..12).is_some_and(|span| span.trim() == decision.span.to_string()));
    let line = line.unwrap_or_else(|| panic!("no line for bits {} in: {text}", decision.span));
    let digits = line.get(28..).and_then(|rest| rest.split_whitespace().next()).expect("digits");
    let read = match digits.strip_suffix('h') {
        Some(hexadecimal) => u64::from_str_radix(hexadecimal, 16),
        None => u64::from_str_radix(digits, 2),
    };
    assert_eq!(read.ok(), Some(code), "{line}");
    let meaning = (decision.meaning)(code, Version::Two);
    assert!(
        program::flat(text).contains(&format!("{field}: {}", program::flat(&meaning.words().to_string()))),
        "{text}"
    );
}

#[test]
fn every_printed_code_and_meaning_is_that_of_the_bits_of_its_frame() {
    let random = &mut Random(0x6F6E_6169_7231);
    let mut presets = 0;
    for _ in 0..long_run::cases(200) {
        let (install, situation) = any_install(random, |_| {});
        for emission in emissions_of(&install, flight(situation.as_ref())).expect("frames") {
            let printed = present::json::emission(&emission);
            let text = present::text::emissions(std::slice::from_ref(&emission), &[]);
            let decided = printed["settings"].as_array().expect("a list");
            let used = printed["when_used"].as_array().map_or(&[][..], Vec::as_slice);
            assert_eq!((decided.len(), used.len()), (emission.decisions.len(), emission.used.len()));
            let decisions = emission.decisions.iter().chain(&emission.used);
            for (printed, decision) in decided.iter().chain(used).zip(decisions) {
                holds(printed, decision, &emission, &text);
            }
            // Beside the code in the frame stands the preset, where that is another.
            for used in used.iter().filter(|used| used["field"] == "mode_a_code") {
                let preset = install.vfr_mode_a_code.get().expect("a preset").to_string();
                if used["value"] == json!(preset) {
                    assert!(used.get("preset").is_none() && text.contains("this is the preset"), "{used}");
                } else {
                    presets += 1;
                    assert!(situation.is_some(), "without a situation the preset is in the frame: {used}");
                    assert_eq!(used["preset"], json!(preset));
                    assert!(program::flat(&text).contains(&format!("the crew decides; preset {preset})")), "{text}");
                }
            }
        }
    }
    assert!(presets > 20, "{presets}");
}

#[test]
fn a_unit_without_an_air_ground_input_has_one_state_and_what_is_not_settled_is_said() {
    let random = &mut Random(0x6F6E_6169_7232);
    let mut said = 0;
    for _ in 0..long_run::cases(100) {
        let (mut install, situation) = any_install(random, |_| {});
        install.air_ground_kind = Stated::Is(AirGroundKind::None);
        let frames = emissions_of(&install, flight(situation.as_ref())).expect("frames");
        let flown = |flight: &Situation| if flight.airborne { When::Airborne } else { When::OnGround };
        let state = situation.as_ref().map_or(When::Both, flown);
        for (at, emission) in frames.iter().enumerate() {
            assert_eq!(emission.when, state, "{emission:?}");
            let frame = &emission.frame;
            let three = frame.field(Span::new(6, 8));
            match frame.downlink_format() {
                // Level 1; or either (handbook, ADS-B part, chapter 1).
                11 | 17 => assert!([0, 6].contains(&three), "{frame}"),
                format => {
                    // Vertical status is one bit; flight status 5 is an ident, which leaves the state open.
                    let (first, last) = if format == 0 { (6, 6) } else { (6, 8) };
                    let ident = format != 0 && three == 5;
                    let mask = Span::new(first, last).mask(frame.length());
                    assert_eq!(emission.decided() & mask, 0, "{emission:?}");
                    assert_eq!(emission.unsettled.is_some(), !ident, "{emission:?}");
                    if let Some(unsettled) = emission.unsettled {
                        said += 1;
                        assert!(present::json::emission(emission)["not_settled"].is_string());
                        let text = present::text::emissions(std::slice::from_ref(emission), &[]);
                        assert!(program::flat(&text).contains(unsettled), "{text}");
                    }
                }
            }
            // Each question has one answer.
            let same = |other: &&Emission| {
                (other.reply_to, other.table.message) == (emission.reply_to, emission.table.message)
            };
            assert!(emission.reply_to.is_none() || frames[at + 1..].iter().find(same).is_none(), "{emission:?}");
            assert_ne!(emission.table.message, "surface_position");
        }
    }
    assert!(said > 100, "{said}");
    // With an input, all is settled.
    let settled = emissions_of(&profile(&[]), Flight::Unknown).expect("frames");
    assert!(settled.iter().all(|emission| emission.unsettled.is_none()));
}

#[test]
fn only_a_switch_is_asked_what_its_active_state_means() {
    let pointer = "/transponder/air_ground/active_means";
    let whole = r#"{"kind": "switch", "active_means": "on_ground"}"#;
    for (air_ground, asked) in [
        (r#"{"kind": "switch"}"#, true),
        (r#"{"kind": null, "active_means": null}"#, true),
        (r#"{"kind": "automatic"}"#, false),
        (r#"{"kind": "automatic", "active_means": null}"#, false),
        (r#"{"kind": "none"}"#, false),
        (r#"{"kind": "none", "active_means": null}"#, false),
    ] {
        let reading = Profile::read(&profile_text(&[(whole, air_ground)]));
        let problems = check(&reading, rule_set("none").expect("rules"));
        assert_eq!(problems.iter().any(|problem| problem.pointer == pointer), asked, "{air_ground}: {problems:?}");
    }
    // And only a switch can be wired or set the wrong way round.
    for kind in [AirGroundKind::Switch, AirGroundKind::Automatic, AirGroundKind::None] {
        let mut install = profile(&[]);
        install.air_ground_kind = Stated::Is(kind);
        let planted = Installation::from(install).with_mistake("air_ground_inverted", 0);
        assert_eq!(planted.is_ok(), kind == AirGroundKind::Switch, "{kind:?}");
    }
}

#[test]
fn frames_come_in_order_of_format_type_code_subtype_and_state() {
    for arguments in [&[][..], &["--situation", SITUATION]] {
        let objects = emissions(arguments);
        let keys: Vec<_> = objects
            .iter()
            .map(|object| {
                let digits = object["frame"].as_str().expect("text");
                let frame = number(&object["frame"]);
                let format = frame >> (digits.len() * 4 - 5);
                // Short frames have no message field.
                let message = if digits.len() == 28 { frame >> 72 & 0xFF } else { 0 };
                let state = ["airborne", "on_ground", "both"].iter().position(|when| object["when"] == *when);
                (format, message >> 3, message & 7, state)
            })
            .collect();
        assert!(keys.is_sorted(), "{keys:?}");
    }
}

#[test]
fn the_example_of_the_interface_stands_in_it() {
    let objects = emissions(&[]);
    let status = objects.iter().find(|o| o["message"] == "operational_status" && o["when"] == "on_ground");
    let settings = status.expect("a status on the ground")["settings"].as_array().expect("a list");
    let size = settings.iter().find(|setting| setting["field"] == "length_width_code").expect("the size");
    assert_eq!(size["settings"], json!(["/aircraft/length", "/aircraft/width"]));
    assert_eq!(size["bits"], json!([53, 56]));
    assert_eq!(size["code"], 1);
    assert_eq!(size["meaning"], "up to 15 m long and 23 m wide");
}

#[test]
fn without_a_situation_both_states_are_there_and_with_one_only_its_own() {
    let states = |arguments: &[&str]| {
        let mut states: Vec<String> =
            emissions(arguments).iter().map(|object| object["when"].as_str().expect("text").to_owned()).collect();
        states.sort();
        states.dedup();
        states
    };
    assert_eq!(states(&[]), ["airborne", "on_ground"]);
    assert_eq!(states(&["--situation", SITUATION]), ["airborne"]);
    let ground = with_situation("ground", r#"{"airborne": false, "ground_speed_kt": 12, "track_deg": 90}"#).exits(0);
    assert!(ground.objects().iter().all(|object| object["when"] == "on_ground"));
    // Without a position its type code is 0.
    assert!(emissions(&[]).iter().any(|object| object["message"] == "no_position"));
    assert!(emissions(&[]).iter().all(|object| object["message"] != "airborne_position"));
}

#[test]
fn hex_is_the_same_frames_ready_for_decode() {
    for arguments in [&[][..], &["--situation", SITUATION]] {
        let said = run(&[&["onair", PROFILE, "--format", "hex"], arguments].concat()).exits(0);
        said.complains_of(&["Never radiate"]);
        let objects = emissions(arguments);
        let frames: Vec<&str> = said.out.lines().collect();
        assert_eq!(frames, objects.iter().map(|o| o["frame"].as_str().expect("text")).collect::<Vec<_>>());
        let decoded = run_with(&["decode", "-", "--format", "json"], said.out.as_bytes()).exits(0).objects();
        assert_eq!(decoded.len(), objects.len());
        for (decoded, object) in decoded.iter().zip(&objects) {
            assert_eq!(decoded["message"], object["message"]);
            assert_eq!(decoded["address"], "A5C035");
            assert!(["valid", "overlaid"].contains(&decoded["parity"].as_str().expect("text")), "{decoded}");
        }
    }
}

#[test]
fn the_situation_is_what_decode_reads() {
    let text = run(&["onair", PROFILE, "--situation", SITUATION, "--format", "hex"]).exits(0).out;
    let decoded =
        run_with(&["decode", "-", "--format", "json", "--version-in-force", "2"], text.as_bytes()).exits(0).objects();
    let of = |message: &str| decoded.iter().filter(move |o| o["message"] == message).collect::<Vec<_>>();
    for position in of("airborne_position") {
        assert_eq!(position["fields"]["pressure_altitude_ft"], 4500);
    }
    let place = &of("airborne_position")[1]["position"];
    assert_eq!(place["method"], "global_untimed");
    // A cell of the airborne grid is 6 deg / 2^17 high, and about 1.4 times that wide here.
    assert!((place["latitude_deg"].as_f64().expect("degrees") - 44.5).abs() < 5e-5, "{place}");
    assert!((place["longitude_deg"].as_f64().expect("degrees") + 103.25).abs() < 7e-5, "{place}");
    let velocity = &of("airborne_velocity")[0]["fields"];
    // Components are whole knots.
    assert!((velocity["ground_speed_kt"].as_f64().expect("knots") - 118.0).abs() < 1.0, "{velocity}");
    assert!((velocity["track_deg"].as_f64().expect("degrees") - 271.5).abs() < 0.5, "{velocity}");
    assert_eq!(velocity["vertical_rate_fpm"], -320);
    assert_eq!(velocity["geometric_minus_pressure_ft"], 150);
    assert_eq!(of("aircraft_status")[0]["fields"]["mode_a_code"], "1200");
    assert_eq!(of("surveillance_identity_reply")[0]["fields"]["mode_a_code"], "1200");
}

#[test]
fn what_goes_on_the_air_is_what_compare_agrees_with() {
    let text = capture(&profile(&[]), &[&in_the_air(), &crate::program::parked()], 2);
    let said = run_with(&["compare", PROFILE, "--capture", "-", "--format", "json"], text.as_bytes()).exits(0);
    let object = said.object();
    assert_eq!((&object["verdict"], &object["findings"]), (&json!("agrees"), &json!([])));
}

#[test]
fn versions_of_which_nothing_is_known_are_refused_and_of_version_3_it_is_said_what_is_not_known() {
    let of = |version: &str| {
        let piece = ("\"mops_version\": 2", format!("\"mops_version\": {version}"));
        onair_of(&format!("version_{version}"), &[(piece.0, &piece.1)], &["--format", "hex"])
    };
    for version in ["4", "7"] {
        let said = of(version).exits(2);
        assert_eq!(said.out, "");
        said.complains_of(&["/transponder/mops_version", version, "write 0 to 3"]);
    }
    for version in ["0", "1", "3"] {
        let said = of(version).exits(0);
        assert!(said.out.lines().count() > 10, "{}", said.out);
        assert_eq!(said.err.contains("not known"), version == "3", "{}", said.err);
    }
}

#[test]
fn without_an_address_there_is_no_frame() {
    for (name, pieces) in
        [("left_out", ("\"address\": \"A5C035\",", "")), ("null", ("\"address\": \"A5C035\"", "\"address\": null"))]
    {
        let said = onair_of(name, &[pieces], &[]).exits(2);
        assert_eq!(said.out, "");
        said.complains_of(&["/aircraft/address"]);
    }
}

#[test]
fn a_profile_with_errors_is_refused_with_each_of_them() {
    let said = onair_of("errors", &[("{\"ft\": 27.2}", "27.2"), ("\"nic\": 8", "\"nic\": 99")], &[]).exits(2);
    assert_eq!(said.out, "");
    said.complains_of(&["/aircraft/length", "/position_source/nic", "correct them first"]);
    run(&["onair", "no_such_file.json"]).exits(2).complains_of(&["no_such_file.json"]);
    run(&["onair", "tests"]).exits(2).complains_of(&["tests:"]);
}

#[test]
fn what_is_not_stated_is_not_decided() {
    let said = onair_of(
        "not_stated",
        &[("\"emitter_category\": \"A1\",", ""), ("\"nacp\": 9", "\"nacp\": null")],
        &["--format", "json"],
    );
    let objects = said.exits(0).objects();
    let fields: Vec<&str> = objects
        .iter()
        .flat_map(|object| object["settings"].as_array().expect("a list"))
        .map(|setting| setting["field"].as_str().expect("text"))
        .collect();
    assert!(fields.contains(&"aircraft_identification") && fields.contains(&"sil"));
    assert!(!fields.contains(&"emitter_category") && !fields.contains(&"nacp"));
}

#[test]
fn without_an_air_ground_input_no_surface_message_goes_out() {
    let piece = ("{\"kind\": \"switch\", \"active_means\": \"on_ground\"}", "{\"kind\": \"none\"}");
    let objects = onair_of("no_input", &[piece], &["--format", "json"]).exits(0).objects();
    assert!(objects.iter().all(|object| object["message"] != "surface_position"));
    let settings: Vec<&Value> = objects.iter().flat_map(|o| o["settings"].as_array().expect("a list")).collect();
    assert!(settings.iter().all(|setting| setting["field"] != "length_width_code"));
    // Capability 6, either on the ground or airborne: handbook, ADS-B part, chapter 1.
    assert!(settings.iter().filter(|setting| setting["field"] == "capability").all(|setting| setting["code"] == 6));
}

#[test]
fn bad_situations_are_refused_with_the_field_and_what_is_wanted() {
    for (name, situation, words) in [
        ("empty", "{}", &["airborne"][..]),
        ("type", r#"{"airborne": "yes"}"#, &[":1:14: ", "true or false"]),
        ("latitude", r#"{"airborne": true, "latitude_deg": 97, "longitude_deg": 3}"#, &["latitude_deg", "-90 to 90"]),
        ("half", r#"{"airborne": true, "latitude_deg": 44}"#, &["longitude_deg", "both or neither"]),
        ("unknown", r#"{"airborne": true, "latitud_deg": 44}"#, &["latitud_deg", "latitude_deg"]),
        ("twice", r#"{"airborne": true, "airborne": false}"#, &["airborne"]),
        ("code", r#"{"airborne": true, "mode_a_code": "1288"}"#, &["mode_a_code", "1288", "0 to 7"]),
        ("emergency", r#"{"airborne": true, "emergency_state": 8}"#, &["emergency_state", "0 to 7"]),
        ("altitude", r#"{"airborne": true, "pressure_altitude_ft": 200000}"#, &["pressure_altitude_ft", "126700"]),
        ("rate", r#"{"airborne": true, "vertical_rate_fpm": -99999}"#, &["vertical_rate_fpm", "40000"]),
        ("broken", r#"{"airborne": true,"#, &[":1:1: ", "never closed"]),
        ("list", "[true]", &[":1:1: ", "is not an object"]),
    ] {
        let said = with_situation(&format!("bad_{name}"), situation).exits(2);
        assert_eq!(said.out, "", "{name}");
        said.complains_of(words);
    }
    run(&["onair", PROFILE, "--situation", "no_such_file.json"]).exits(2).complains_of(&["no_such_file.json"]);
}

#[test]
fn complaints_about_a_situation_speak_to_people() {
    for (name, situation) in [
        ("list", "[true]"),
        ("emergency", r#"{"airborne": true, "emergency_state": 1000}"#),
        ("code", r#"{"airborne": true, "mode_a_code": 1200}"#),
    ] {
        let said = with_situation(&format!("words_{name}"), situation).exits(2);
        for jargon in ["struct", "u8", "invalid type: integer"] {
            assert!(!said.err.contains(jargon), "{}", said.err);
        }
    }
}

#[test]
fn a_situation_is_an_object_also_where_a_list_would_fit() {
    let list = "[true, 44.5, -103.25, 4500, 150, 118, 271.5, -320, \"1200\", false, 0]";
    with_situation("full_list", list).exits(2);
}

#[test]
fn text_begins_with_the_caution_and_says_which_setting_decides_what() {
    let said = run(&["onair", PROFILE]).exits(0);
    assert!(said.out.starts_with("CAUTION"), "{}", said.out);
    let flat = crate::program::flat(&said.out);
    assert!(
        flat.contains("length_width_code: up to 15 m long and 23 m wide <- Aircraft length; Aircraft width (span)")
    );
    assert!(flat.contains("Air/ground switch, active state: never sent"), "{flat}");
    run(&["onair", PROFILE, "--format", "xml"]).exits(2).complains_of(&["text, json, hex"]);
}
