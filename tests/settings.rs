//! The list of settings, and that nothing else in the source names one by its pointer.

use squitterlab::profile::{Fault, Length, Profile, Quantity, SETTINGS, SettingId, Work};
use std::fs;
use std::path::{Path, PathBuf};

/// Every file of the source with one of these endings.
fn sources(endings: &[&str]) -> Vec<PathBuf> {
    fn walk(folder: &Path, endings: &[&str], found: &mut Vec<PathBuf>) {
        for entry in fs::read_dir(folder).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                walk(&path, endings, found);
            } else if path.extension().is_some_and(|end| endings.iter().any(|ending| end == *ending)) {
                found.push(path);
            }
        }
    }
    let mut found = Vec::new();
    walk(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), endings, &mut found);
    assert!(found.len() > 50, "the source was not found");
    found
}

/// Lines of code that hold a pointer in quotes. Documentation may show one.
fn typed_pointers(text: &str) -> Vec<(usize, &'static str)> {
    let code = text.lines().enumerate().filter(|(_, line)| !line.trim_start().starts_with("//"));
    code.flat_map(|(at, line)| {
        let holds =
            |pointer: &str| ['"', '\'', '`'].iter().any(|quote| line.contains(&format!("{quote}{pointer}{quote}")));
        SETTINGS.iter().map(|setting| setting.pointer).filter(move |pointer| holds(pointer)).map(move |p| (at + 1, p))
    })
    .collect()
}

#[test]
fn a_pointer_is_typed_once_in_the_source() {
    let mut declared = Vec::new();
    for file in sources(&["rs", "js", "html"]) {
        let text = fs::read_to_string(&file).expect("text");
        for (line, pointer) in typed_pointers(&text) {
            assert!(
                file.ends_with("profile/settings.rs"),
                "{}:{line}: {pointer} is typed here; name the setting by its SettingId",
                file.display()
            );
            declared.push(pointer);
        }
    }
    // The search finds what there is: each pointer once, in the list itself.
    assert_eq!(declared, SETTINGS.iter().map(|setting| setting.pointer).collect::<Vec<_>>());
}

#[test]
fn every_setting_has_a_name_and_is_found_by_each_of_its_names() {
    assert_eq!(SETTINGS.len(), SettingId::ALL.len());
    for (setting, id) in SETTINGS.iter().zip(SettingId::ALL) {
        assert_eq!(setting.id, *id);
        let words = setting.name.split_whitespace().count();
        assert!((1..=6).contains(&words), "{:?} is not a plain name of at most six words", setting.name);
        for name in [id.id(), setting.name, setting.pointer, &setting.name.to_uppercase()] {
            assert_eq!(SettingId::named(name), Some(*id), "{name}");
        }
        assert_eq!(SettingId::at(setting.pointer), Some(*id));
    }
    assert_eq!(SettingId::named("no such setting"), None);
}

#[test]
fn every_setting_is_read_from_its_own_place_and_written_back_to_it() {
    let open = Profile::to_be_filled_in().json();
    for setting in SETTINGS {
        let is_open = open.pointer(setting.pointer).is_some_and(serde_json::Value::is_null);
        assert_eq!(is_open, setting.in_new_profile, "{}", setting.pointer);
    }
}

fn length(text: &str) -> Result<Length, Fault> {
    Length::typed(text)
}

#[test]
fn a_length_is_read_as_a_tape_and_a_person_write_it() {
    let metres = |feet: f64, inches: f64| feet * 0.3048 + inches * 0.0254;
    let written = [
        ("26ft 11in", metres(26.0, 11.0)),
        ("26'11\"", metres(26.0, 11.0)),
        ("26' 11\"", metres(26.0, 11.0)),
        ("26'-11\"", metres(26.0, 11.0)),
        ("26\u{2032}11\u{2033}", metres(26.0, 11.0)),
        ("26FT11IN", metres(26.0, 11.0)),
        ("26 feet 11 inches", metres(26.0, 11.0)),
        ("26 ft 11-1/2 in", metres(26.0, 11.5)),
        ("26 ft 11 1/2 in", metres(26.0, 11.5)),
        ("26 ft 1/2 in", metres(26.0, 0.5)),
        ("323 in", metres(0.0, 323.0)),
        ("26 feet", metres(26.0, 0.0)),
        ("27.2ft", metres(27.2, 0.0)),
        ("8.20 m", 8.2),
        ("820 cm", 8.2),
        ("8200mm", 8.2),
    ];
    for (text, wanted) in written {
        let read = length(text).unwrap_or_else(|fault| panic!("{text}: {fault:?}"));
        assert!((read.in_metres() - wanted).abs() < 1e-9, "{text}: {}", read.in_metres());
        // The same in quotes in a profile, and its own JSON reads back to what was measured.
        let profile = |value: &str| Profile::read(&format!("{{\"aircraft\": {{\"length\": {value}}}}}"));
        let quoted = profile(&serde_json::Value::from(text).to_string());
        assert_eq!(quoted.problems, [], "{text}");
        let again = profile(&quoted.profile.json()["aircraft"]["length"].to_string());
        assert_eq!(again.profile, quoted.profile, "{text}");
    }
    for feet in 0..40 {
        for inches in 0..12 {
            let object = format!("{{\"aircraft\": {{\"length\": {{\"ft\": {feet}, \"in\": {inches}}}}}}}");
            let read = Profile::read(&object);
            assert_eq!(read.problems, []);
            let length = *read.profile.length.get().expect("a length");
            assert!((length.in_metres() - metres(feet.into(), inches.into())).abs() < 1e-9);
            assert!(length.words().starts_with(&format!("{feet} ft {inches} in (")), "{}", length.words());
            assert_eq!(read.profile.json()["aircraft"]["length"], serde_json::json!({"ft": feet, "in": inches}));
        }
    }
}

#[test]
fn a_length_that_may_mean_two_things_is_refused_with_a_word() {
    for (text, word) in [
        ("8,20m", "comma"),
        ("8,20 m", "comma"),
        ("1,000 ft", "comma"),
        ("26ft13in", "less than 12"),
        ("26.5ft 6in", "whole"),
        ("27.2", "no unit"),
        ("-3 m", "0 or more"),
        ("3 furlongs", "not a unit"),
        ("11in 26ft", "is not a length"),
        ("", "is not a length"),
        ("ft", "is not a length"),
        ("145 kt", "not a unit"),
    ] {
        let fault = length(text).expect_err(text);
        assert!(format!("{} {}", fault.reason, fault.correction).contains(word), "{text}: {fault:?}");
    }
}

#[test]
fn values_are_read_in_words_that_a_person_uses() {
    let written = r#"{
        // What the data plate and the papers print.
        "aircraft": {"maximum_take_off_weight": "2450 lb", "maximum_cruise_true_airspeed": "145 kt",
                     "length": "26ft 11in", "identification_source": "crew entered"},
        "transponder": {"mops_version": "DO-260B", "antenna": "Single", "altitude_source": {"kind": "built-in",
                        "resolution_ft": "25 ft", "cross_checked": "yes"}, "data_link": {"registers": ["BDS 1,0", "2,0"]}},
        "position_source": {"nic": "8", "antenna_offset": {"from_nose": "10 ft 2 in", "from_centre_line": "0.6 m left"}},
        "receivers": {"es_1090_in": "No", "uat_in": "yes"} /* from the equipment list */
    }"#;
    let plain = r#"{
        "aircraft": {"maximum_take_off_weight": {"lb": 2450}, "maximum_cruise_true_airspeed": {"kt": 145},
                     "length": {"ft": 26, "in": 11}, "identification_source": "crew_entered"},
        "transponder": {"mops_version": 2, "antenna": "single", "altitude_source": {"kind": "built_in",
                        "resolution_ft": 25, "cross_checked": true}, "data_link": {"registers": ["1,0", "2,0"]}},
        "position_source": {"nic": 8, "antenna_offset": {"from_nose": {"ft": 10, "in": 2},
                            "from_centre_line": {"side": "left", "m": 0.6}}},
        "receivers": {"es_1090_in": false, "uat_in": true}
    }"#;
    let (written, plain) = (Profile::read(written), Profile::read(plain));
    assert_eq!((&written.problems, &plain.problems), (&vec![], &vec![]));
    assert_eq!(written.profile, plain.profile);
    assert!(written.has_comments && !plain.has_comments);
    // The data plate's names: DO-260 to DO-260B are versions 0 to 2 (handbook, ADS-B part, chapter 1), DO-260C is 3.
    for (name, version) in
        [("DO-260", 0), ("DO-260A", 1), ("DO-260B", 2), ("do 260b", 2), ("ED-102A", 2), ("DO-260C", 3)]
    {
        let read = Profile::read(&format!("{{\"transponder\": {{\"mops_version\": \"{name}\"}}}}"));
        assert_eq!(read.profile.mops_version.get().map(|version| version.0), Some(version), "{name}");
    }
    for bad in ["\"DO-261\"", "4", "\"maybe\"", "2.5"] {
        let read = Profile::read(&format!("{{\"transponder\": {{\"mops_version\": {bad}}}}}"));
        assert!(read.problems[0].correction.contains("DO-260B"), "{bad}: {:?}", read.problems);
    }
}

#[test]
fn comments_leave_every_other_thing_in_its_place() {
    let text =
        "{ // a comment with \"quotes\" and { braces\n  \"aircraft\": { /* two\n lines */ \"length\": 27.2 }\n}\n";
    let read = Profile::read(text);
    assert!(read.has_comments);
    let [problem] = &read.problems[..] else { panic!("{:?}", read.problems) };
    let place = text.lines().position(|line| line.contains("27.2")).expect("the line") + 1;
    assert_eq!((problem.line, problem.pointer.as_str()), (place, SettingId::Length.pointer()));
    // What looks like a comment inside a text is text.
    let notes = Profile::read(r#"{"notes": "see https://example.org /* not a comment */ \" // nor this"}"#);
    assert!(!notes.has_comments);
    assert!(notes.profile.notes.get().is_some_and(|notes| notes.0.ends_with("// nor this")));
    assert!(Profile::read("{ /* never ended").has_errors());
}

#[test]
fn the_example_of_the_developers_document_is_in_the_source() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let text = fs::read_to_string(root.join("DEVELOPERS.md")).expect("the document");
    let section = text.split("### Example: a setting").nth(1).and_then(|rest| rest.split("\n## ").next()).expect("it");
    let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let mut blocks = 0;
    // Text and code in turn: the last file named in a text is the one that the code is in.
    let parts: Vec<&str> = section.split("```").collect();
    for pair in parts.chunks(2) {
        let [before, code] = pair else { continue };
        let file = before.rsplit('`').find(|piece| piece.starts_with("src/")).expect("a file is named");
        let source = fs::read_to_string(root.join(file)).unwrap_or_else(|error| panic!("{file}: {error}"));
        let code = words(code.strip_prefix("rust").expect("Rust"));
        assert!(words(&source).contains(&code), "{file} has no such lines: {code}");
        blocks += 1;
    }
    assert_eq!(blocks, 4);
}

/// The rules of judgement, said once more: quality may dip, a state comes and goes, a preset is used or not, and all else
/// is equal (our own rules; whoever changes one changes it here too).
#[test]
fn each_row_is_judged_by_the_rule_of_its_settings() {
    use squitterlab::onair::{Rule, TRANSMISSIONS};
    let quality = ["/position_source/nic", "/position_source/nacp", "/position_source/nacv", "/position_source/gva"];
    let claims = ["/position_source/sil", "/transponder/system_design_assurance"];
    // Register 1,7 says what has been loaded lately, and 1,0 what is there.
    let comes_and_goes = ["/position_source/utc_synchronised", "/transponder/acas", "/transponder/data_link/registers"];
    let mut rows = 0;
    for transmission in TRANSMISSIONS {
        for (_, part) in transmission.parts() {
            let pointers: Vec<&str> = part.settings.iter().map(|setting| setting.pointer()).collect();
            let any = |of: &[&str]| pointers.iter().any(|pointer| of.contains(pointer));
            let right = match part.rule {
                Rule::Quality => any(&quality) || any(&claims),
                Rule::State => any(&comes_and_goes),
                Rule::WhenUsed => any(&["/transponder/vfr_mode_a_code"]),
                Rule::Equal => !any(&quality) && !any(&claims) && !any(&["/transponder/vfr_mode_a_code"]),
            };
            assert!(right, "{}: {pointers:?} by {:?}", transmission.name, part.rule);
            let is_there = transmission.name != "COMMON_USAGE" && any(&["/transponder/data_link/registers"]);
            assert!(part.rule != Rule::Equal || !any(&comes_and_goes) || is_there, "{}", transmission.name);
            rows += 1;
        }
    }
    assert!(rows > 100, "{rows} rows");
}

/// What a profile leaves open is looked for as if it were set as usual, so every setting with a place on the air has a usual
/// value; without one it would be told as not seen while it is there.
#[test]
fn every_setting_with_a_place_on_the_air_has_a_usual_value() {
    use squitterlab::onair::TRANSMISSIONS;
    use squitterlab::profile::Stated;
    let usual = Profile::default().filled_as_usual();
    let mut on_air = 0;
    for setting in SETTINGS {
        let has_place = TRANSMISSIONS.iter().any(|transmission| transmission.places(setting.id).next().is_some());
        let stated = matches!(setting.stated(&usual), Stated::Is(_));
        // Without an address there is no install to compare.
        let stated = stated || setting.id == SettingId::Address;
        assert!(stated || !has_place, "src/profile/usual.json has no value for {}", setting.pointer);
        on_air += usize::from(has_place);
    }
    assert!(on_air > 25, "{on_air}");
}

/// A blank makes a verdict incomplete, so what no frame can show is not left blank in a new profile.
#[test]
fn what_is_only_for_the_record_is_in_no_new_profile() {
    let of_record = SETTINGS.iter().filter(|setting| setting.taken_from == Work::Record);
    let names: Vec<&str> = of_record.clone().map(|setting| setting.name).collect();
    assert!(names.contains(&"Notes") && names.contains(&"Checked by"), "{names:?}");
    for setting in of_record {
        assert!(setting.optional && !setting.in_new_profile, "{}", setting.name);
    }
}
