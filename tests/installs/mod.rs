//! Invented installs of every kind: every choice of every setting, and every State that a registration mark names.
//!
//! The marks and addresses are drawn at random within what a State has; none was looked up in a register.
// Every test file uses its own part of this.
#![allow(dead_code)]

use crate::random::Random;
use serde_json::{Map, Value, json};
use squitterlab::code::{Bits, LengthWidth, Version};
use squitterlab::frame::Address;
use squitterlab::onair::Situation;
use squitterlab::profile::{Floor, Length, Profile, RuleSet, SETTINGS, Setting, rule_set, rule_set_of_state};
use squitterlab::registry::{BLOCKS, address_of_mark, nationalities};

/// One of them.
pub fn pick<'a, T>(random: &mut Random, all: &'a [T]) -> &'a T {
    &all[random.next() as usize % all.len()]
}

/// Once in so many times.
pub fn one_in(random: &mut Random, times: u64) -> bool {
    random.next().is_multiple_of(times)
}

/// A number from `least` up to but not `most`, in thousandths.
pub fn between(random: &mut Random, least: f64, most: f64) -> f64 {
    let steps = ((most - least) * 1000.0) as u64;
    (least * 1000.0).round() / 1000.0 + (random.next() % steps.max(1)) as f64 / 1000.0
}

/// An install with every setting stated, whose quality is what the rules of its State of registry require or better.
pub fn complete(random: &mut Random) -> Profile {
    let mut object = aircraft(random);
    for setting in SETTINGS {
        if object.pointer(setting.pointer).is_none() {
            let value = any(random, setting);
            put(&mut object, setting.pointer, value);
        }
    }
    let rules = rules_of(&read(&object));
    for Floor { setting, at_least, .. } in &rules.floors {
        let number = object.pointer_mut(setting.pointer()).expect("a setting");
        if number.as_u64().is_some_and(|number| number < u64::from(*at_least)) {
            *number = json!(at_least);
        }
    }
    if let Some(rule) = rules.vfr_mode_a_code_of(&read(&object)) {
        put(&mut object, "/transponder/vfr_mode_a_code", json!(rule.code));
    }
    read(&object)
}

/// The rules that an install is checked against where nobody names any.
pub fn rules_of(profile: &Profile) -> &'static RuleSet {
    rule_set_of_state(profile).map_or_else(|| rule_set("none").expect("rules"), |(rules, _)| rules)
}

/// The same install as somebody writes it down who does not state everything: a third of the settings left out or null.
pub fn partly_stated(random: &mut Random, profile: &Profile) -> Profile {
    let mut object = json!({});
    let whole = profile.json();
    for setting in SETTINGS {
        let value = whole.pointer(setting.pointer).expect("stated").clone();
        // Without the address there is no frame; and without the word that there is no air/ground input, it is a fault
        // that airborne messages go out on the ground.
        let needed = setting.pointer == "/aircraft/address" || value == json!("none");
        match random.next() % 6 {
            0 if !needed => {}
            1 if !needed => put(&mut object, setting.pointer, Value::Null),
            _ => put(&mut object, setting.pointer, value),
        }
    }
    read(&object)
}

fn read(object: &Value) -> Profile {
    let reading = Profile::read(&object.to_string());
    assert!(!reading.has_errors(), "{object}: {:?}", reading.problems);
    reading.profile
}

fn put(object: &mut Value, pointer: &str, value: Value) {
    let mut node = object;
    for key in pointer.split('/').skip(1) {
        if !node.is_object() {
            *node = Value::Object(Map::new());
        }
        node = node.as_object_mut().expect("an object").entry(key).or_insert(Value::Null);
    }
    *node = value;
}

/// Whose aircraft it is, and how large: what several settings say together.
fn aircraft(random: &mut Random) -> Value {
    let letters = |random: &mut Random, count: usize| {
        (0..count).map(|_| char::from(b'A' + (random.next() % 26) as u8)).collect::<String>()
    };
    let row = pick(random, nationalities());
    let prefix = pick(random, &row.marks).clone();
    let mark = if prefix == "N" {
        format!("N{}QX", 1 + random.next() % 999)
    } else {
        format!("{prefix}-{}", letters(random, 3))
    };
    let address = match BLOCKS.iter().find(|block| block.holder == row.state) {
        _ if prefix == "N" => address_of_mark(&mark).expect("an address"),
        Some(block) => {
            let number = block.first.bits() + (random.next() % u64::from(block.size())) as u32;
            Address::new(number)
        }
        None => Address::new(0x10_0000 + (random.next() % 0xC0_0000) as u32),
    };
    let of_the_state = json!({"aircraft": {"registration": mark, "address": address.to_string()}});
    let of_the_state = read(&of_the_state);
    let forms = rules_of(&of_the_state).identification_forms(&of_the_state).expect("a form");
    let own = pick(random, &forms.all()).identification.to_string();
    let (source, identification) = match random.next() % 3 {
        0 => ("crew_entered", format!("QX{}{}", letters(random, 1), 1 + random.next() % 9999)),
        1 => ("crew_entered", own),
        _ => ("fixed", own),
    };
    let size = LengthWidth::from_bits(1 + random.next() % 15);
    let (most_long, most_wide) = size.bounds_m(Version::Two).expect("bounds");
    // Some are just as large as the code says, some larger than the largest.
    let within = |random: &mut Random, most: f64| match random.next() % 4 {
        0 => most,
        1 if size.bits() == 15 => most + 8.0,
        _ => between(random, most - 4.0, most),
    };
    let (long, wide) = (within(random, most_long), within(random, most_wide));
    let nose = match random.next() % 6 {
        0 => json!("applied_by_sensor"),
        1 => json!("not_known"),
        _ => length(random, long.min(90.0) * 0.9),
    };
    json!({"aircraft": {
        "registration": mark, "address": address.to_string(), "aircraft_identification": identification,
        "identification_source": source, "length": exactly(random, long), "width": exactly(random, wide)},
        "position_source": {"antenna_offset": {"from_nose": nose}}})
}

/// A length in any unit.
fn exactly(random: &mut Random, metres: f64) -> Value {
    let unit = *pick(random, &["m", "m", "ft", "in", "cm", "mm"]);
    json!({unit: Length::typed(&format!("{metres}m")).ok().and_then(|length| length.number_in(unit)).expect("a unit")})
}

/// More than nothing, up to so many metres.
fn length(random: &mut Random, most: f64) -> Value {
    let metres = between(random, 0.1, most.max(0.2));
    exactly(random, metres)
}

/// Everything that a setting can be; none where the choices are too many to be listed, and are drawn.
pub fn listed_choices(setting: &Setting) -> Option<Vec<Value>> {
    const DRAWN: [&str; 7] = [
        "/aircraft/registration",
        "/aircraft/address",
        "/aircraft/aircraft_identification",
        "/aircraft/length",
        "/aircraft/width",
        "/transponder/data_link/registers",
        "/position_source/antenna_offset/from_nose",
    ];
    (!DRAWN.contains(&setting.pointer)).then(|| choices(setting))
}

fn choices(setting: &Setting) -> Vec<Value> {
    let schema = (setting.schema)();
    // Frames of version 2 only can be made.
    if setting.pointer == "/transponder/mops_version" {
        return vec![json!(2)];
    }
    // Without it a unit of level 1 says its address in the clear to nobody, and a reply alone proves nothing.
    if setting.pointer == "/transponder/acquisition_squitter" {
        return vec![json!(true)];
    }
    if let Some(words) = schema["enum"].as_array() {
        return words.clone();
    }
    match schema["type"].as_str() {
        Some("boolean") => vec![json!(true), json!(false)],
        Some("integer") => {
            let bound = |name: &str| schema[name].as_u64().expect("a bound");
            (bound("minimum")..=bound("maximum")).map(|number| json!(number)).collect()
        }
        Some("string") if schema["format"] == "date" => vec![json!("2026-03-31")],
        Some("string") if schema["pattern"].is_null() => vec![json!("invented")],
        _ => listed(setting.pointer),
    }
}

fn listed(pointer: &str) -> Vec<Value> {
    match pointer {
        "/aircraft/emitter_category" => {
            let of_set = |set: char| (0..8).map(move |number| json!(format!("{set}{number}")));
            ['A', 'B', 'C', 'D'].into_iter().flat_map(of_set).collect()
        }
        "/aircraft/maximum_take_off_weight" => {
            vec![json!({"lb": 1320}), json!({"kg": 1157}), json!({"lb": 15500}), json!({"kg": 79000})]
        }
        "/aircraft/maximum_cruise_true_airspeed" => vec![
            json!({"kt": 0.5}),
            json!({"kt": 75}),
            json!({"mph": 167}),
            json!({"km_h": 268}),
            json!({"kt": 300}),
            json!({"kt": 480}),
            json!({"kt": 1100}),
            json!({"kt": 1500}),
        ],
        "/transponder/vfr_mode_a_code" => {
            ["1200", "7000", "2000", "1000", "0022", "0000"].map(|code| json!(code)).into()
        }
        "/position_source/antenna_offset/from_centre_line" => vec![
            json!("not_known"),
            json!({"m": 0}),
            json!({"side": "left", "m": 0.4}),
            json!({"side": "left", "ft": 9.0}),
            json!({"side": "left", "m": 5.9}),
            json!({"side": "right", "in": 20}),
            json!({"side": "right", "m": 4.0}),
            json!({"side": "right", "m": 7.5}),
        ],
        "/transponder/air_ground/airborne_above" => vec![json!({"kt": 40}), json!({"kt": 100})],
        _ => panic!("say here what {pointer} can be"),
    }
}

fn any(random: &mut Random, setting: &Setting) -> Value {
    if setting.pointer == "/transponder/data_link/registers" {
        return registers(random);
    }
    pick(random, &choices(setting)).clone()
}

/// None, the usual ones, or any set of these.
fn registers(random: &mut Random) -> Value {
    const SOME: [&str; 14] =
        ["0,5", "0,6", "0,7", "0,8", "0,9", "0,A", "1,0", "1,7", "2,0", "3,0", "4,0", "4,4", "5,0", "6,0"];
    match random.next() % 4 {
        0 => json!([]),
        1 => json!(["1,0", "1,7", "2,0", "4,0", "5,0", "6,0"]),
        _ => {
            let drawn = random.next();
            let served = SOME.into_iter().enumerate().filter(|(at, _)| drawn >> at & 1 == 1);
            served.map(|(_, number)| json!(number)).collect()
        }
    }
}

/// What a flight does at one moment, of what any flight can do.
pub fn situation(random: &mut Random, airborne: bool, mode_a_code: Option<&str>) -> Situation {
    let mut object = json!({"airborne": airborne});
    let mut say = |name: &str, value: Value| object[name] = value;
    // One in eight has no position, one in eight no altitude, and so on.
    if !one_in(random, 8) {
        say("latitude_deg", json!(between(random, -80.0, 80.0)));
        say("longitude_deg", json!(between(random, -179.0, 179.0)));
    }
    if !one_in(random, 8) {
        let most = if airborne { 62_000.0 } else { 9000.0 };
        say("pressure_altitude_ft", json!(between(random, -900.0, most).round()));
    }
    if !one_in(random, 8) {
        say("ground_speed_kt", json!(if airborne { between(random, 60.0, 620.0) } else { between(random, 0.0, 30.0) }));
        say("track_deg", json!(between(random, 0.0, 360.0)));
    }
    if airborne && !one_in(random, 8) {
        say("vertical_rate_fpm", json!(between(random, -6000.0, 6000.0)));
        say("geometric_minus_pressure_ft", json!(between(random, -900.0, 900.0)));
    }
    if let Some(code) = mode_a_code {
        say("mode_a_code", json!(code));
    }
    say("ident", json!(one_in(random, 6)));
    say("emergency_state", json!(if one_in(random, 8) { random.next() % 8 } else { 0 }));
    Situation::read(&object.to_string()).expect("a situation")
}

/// The code that the crew of an install flies with where nobody gave it one.
pub fn code_of(profile: &Profile) -> String {
    profile.vfr_mode_a_code.get().map_or_else(|| "2000".to_owned(), ToString::to_string)
}
