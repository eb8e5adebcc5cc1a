//! `profile show` and `profile set`: a setting read and changed in words, and nothing else in the file with it.

use crate::program::{Folder, PROFILE, flat, profile_text, run};
use serde_json::{Value, json};
use squitterlab::profile::{Profile, SETTINGS, Setting, SettingId, with_value};

/// A value that the setting can have, as a person types it.
fn sample(setting: &Setting) -> &'static str {
    const TYPED: [&str; 14] = [
        "N47QX",
        "A5C035",
        "26 ft 11 in",
        "145 kt",
        "2550 lb",
        "0.6 m left",
        "yes",
        "1200",
        "1",
        "100",
        "2026-03-31",
        "1,0 1,7 2,0",
        "A1",
        "parallel",
    ];
    let options = setting.options.iter().map(|choice| choice.word);
    options.chain(TYPED).find(|typed| setting.with_typed(&Profile::default(), typed).is_ok()).expect("a sample")
}

/// A profile in which every setting is stated.
fn full() -> Profile {
    SETTINGS
        .iter()
        .fold(Profile::default(), |profile, setting| setting.with_typed(&profile, sample(setting)).expect("a sample"))
}

fn without(root: &mut Value, pointer: &str) {
    let (group, key) = pointer.rsplit_once('/').expect("a pointer");
    root.pointer_mut(group).and_then(Value::as_object_mut).expect("a group").remove(key);
}

/// The comment of each line, and the key that it is beside.
fn beside(text: &str) -> Vec<(String, String)> {
    text.lines()
        .filter_map(|line| line.split_once("// of "))
        // Behind what was one line and is now several, the comment is at its end.
        .filter(|(line, _)| !line.trim().starts_with('}'))
        .map(|(line, comment)| (line.split('"').nth(1).unwrap_or(line.trim()).to_owned(), comment.trim().to_owned()))
        .collect()
}

#[test]
fn every_setting_is_changed_in_every_layout_and_nothing_else_is() {
    let full = full();
    for setting in SETTINGS {
        let value = setting.value(&full);
        let mut lacking = full.json();
        without(&mut lacking, setting.pointer);
        let mut open = full.json();
        *open.pointer_mut(setting.pointer).expect("it is there") = Value::Null;
        let (group, _) = setting.pointer.rsplit_once('/').expect("a pointer");
        let mut no_group = full.json();
        if !group.is_empty() {
            *no_group.pointer_mut(group).expect("a group") = Value::Null;
        }
        for before in [full.json(), lacking, open, no_group, json!({}), full_group(setting.pointer)] {
            let pretty = format!("{before:#}\n");
            let commented: String = pretty
                .lines()
                .map(|line| match line.split('"').nth(1).filter(|_| line.contains("\": ")) {
                    Some(key) => format!("{line} // of {key}\n"),
                    None => format!("{line}\n"),
                })
                .collect();
            for text in [before.to_string(), pretty.clone(), commented.clone(), commented.replace('\n', "\r\n")] {
                let old = Profile::read(&text);
                assert!(!old.has_errors(), "{text}");
                let new = match with_value(&text, setting.id, &value) {
                    Ok(new) => new,
                    // A measure over several lines with a comment in it is refused and not lost.
                    Err(refused) => {
                        assert!(refused.reason.contains("a comment is inside the value"), "{refused}");
                        assert!(text.contains("//") && (value.is_object() || value.is_array()), "{text}");
                        continue;
                    }
                };
                let read = Profile::read(&new);
                assert!(!read.has_errors(), "{new}");
                assert_eq!(read.profile, setting.with_typed(&old.profile, sample(setting)).expect("a sample"), "{new}");
                assert_eq!(text.contains("\r\n"), new.contains("\r\n"));
                assert!(!new.replace("\r\n", "").contains('\r'));
                for (key, comment) in beside(&new) {
                    assert_eq!(key, comment, "a comment has left its line:\n{new}");
                }
                assert_eq!(text.matches("// of ").count(), new.matches("// of ").count(), "{new}");
                // And what is open can be made open again.
                let again = with_value(&new, setting.id, &Value::Null).expect("it can be opened");
                let open = Profile::read(&again).profile;
                assert_eq!(open, (setting.opened)(&open), "{again}");
            }
        }
    }
}

/// Only the group of a setting, empty.
fn full_group(pointer: &str) -> Value {
    let (group, _) = pointer.rsplit_once('/').expect("a pointer");
    group.split('/').skip(1).collect::<Vec<_>>().into_iter().rev().fold(json!({}), |inner, key| json!({ key: inner }))
}

#[test]
fn a_comment_is_never_lost_wherever_it_is() {
    const SAID: &str = "/* mine */";
    let text = std::fs::read_to_string(PROFILE).expect("the demo profile");
    let (mut kept, mut refused) = (0, 0);
    // A comment in every place where one may be.
    for (at, _) in text.char_indices() {
        let with = format!("{}{SAID}{}", &text[..at], &text[at..]);
        if Profile::read(&with).has_errors() || !Profile::read(&with).has_comments {
            continue;
        }
        for id in [SETTINGS[0].id, squitterlab::profile::SettingId::Length, squitterlab::profile::SettingId::Kind] {
            let setting = id.setting();
            let profile = setting.with_typed(&Profile::read(&with).profile, sample(setting)).expect("a sample");
            match with_value(&with, id, &setting.value(&profile)) {
                Ok(new) => {
                    assert_eq!(new.matches(SAID).count(), 1, "{new}");
                    assert_eq!(Profile::read(&new).profile, profile);
                    kept += 1;
                }
                Err(_) => refused += 1,
            }
        }
    }
    assert!(kept > 500 && refused > 0, "{kept} kept, {refused} refused");
}

#[test]
fn several_settings_are_set_by_name_id_and_pointer_as_they_were_measured() {
    let folder = Folder::new("set_several");
    let text = profile_text(&[("\"length\": {\"ft\": 27.2},", "\"length\": {\"ft\": 27.2}, // by tape, twice")]);
    let file = folder.file("mine.json", &text);
    let set = |visual_flight: &str| {
        let length = ["Aircraft length", "26 ft 11 in", "width", "10.9m"];
        let others = ["/transponder/antenna", "two antennas (diversity)", "mops_version", "DO-260B"];
        let last = ["utc_synchronised", "no", visual_flight, "null"];
        run(&[&["profile", "set", &file][..], &length, &others, &last].concat())
    };
    // The plain name has a comma and a word more.
    let said = set("vfr code");
    assert_eq!(said.status, 2, "{said:?}");
    assert!(said.err.contains("did you mean vfr_mode_a_code"), "{}", said.err);
    assert_eq!(std::fs::read_to_string(&file).expect("text"), text, "nothing was changed");
    let said = set("vfr_mode_a_code").exits(0);
    let new = std::fs::read_to_string(&file).expect("text");
    assert!(new.contains("\"length\": {\"ft\": 26, \"in\": 11}, // by tape, twice"), "{new}");
    assert!(new.contains("\"width\": {\"m\": 10.9}") && new.contains("\"vfr_mode_a_code\": null"), "{new}");
    let changed: Vec<(&str, &str)> = text.lines().zip(new.lines()).filter(|(old, new)| old != new).collect();
    assert_eq!(changed.len(), 4, "{changed:?}");
    let out = flat(&said.out);
    for words in [
        "Aircraft length: 26 ft 11 in (8.20 m) (before: 27.2 ft (8.29 m))",
        "Transponder antennas: two antennas (diversity) (before: one antenna)",
        "size 8.20 m by 10.90 m: code 1 (0001)",
        "still to be filled in (before: 1200)",
    ] {
        assert!(out.contains(words), "{words:?} is not in {}", said.out);
    }
    assert_eq!(folder.names(), ["mine.json"], "nothing is left beside");
}

#[test]
fn what_follows_from_a_change_is_said_and_not_changed_behind_ones_back() {
    let folder = Folder::new("set_follows");
    let file = folder.file("mine.json", profile_text(&[]));
    let said = run(&["profile", "set", &file, "registration", "n12345"]).exits(0);
    // N12345 = A061D9: FAA registry (published check of the address arithmetic in vectors/published).
    let out = flat(&said.out);
    assert!(out.contains("24-bit aircraft address: A061D9 follows"), "{out}");
    assert!(out.contains("profile set") && out.contains("address A061D9"), "{out}");
    assert!(out.contains("Aircraft identification: N12345 follows"), "{out}");
    assert!(out.contains("warning: /aircraft/address"), "{out}");
    assert_eq!(
        Profile::read(&std::fs::read_to_string(&file).expect("text")).profile.address.get().map(ToString::to_string),
        Some("A5C035".to_owned())
    );
    let said = run(&["profile", "set", &file, "kind", "aeroplane", "maximum_take_off_weight", "20000 lb"]).exits(0);
    assert!(flat(&said.out).contains("Emitter category: A2 follows"), "{}", said.out);
}

#[test]
fn a_refused_value_says_where_why_and_what_to_type_and_changes_nothing() {
    let folder = Folder::new("set_refused");
    let file = folder.file("mine.json", profile_text(&[]));
    let before = std::fs::read(&file).expect("the profile");
    for (name, value, words) in [
        ("length", "27.2", &["Aircraft length", "no unit", "27.2 m or 27.2 ft"][..]),
        ("antenna", "dual", &["Transponder antennas", "single (one antenna)", "diversity (two antennas"]),
        ("nic", "12", &["Position integrity (NIC)", "whole number from 0 to 11"]),
        ("mops_version", "DO-160", &["Version of the standard", "2 (DO-260B, ED-102A)"]),
        ("utc_synchronised", "perhaps", &["Positions timed to UTC", "yes or no"]),
        ("vfr_mode_a_code", "1280", &["Mode A code", "four digits 0 to 7"]),
        ("address", "51340065", &["24-bit aircraft address", "octal form", "A5C035"]),
        ("aircraft_identification", "N-47QX", &["Aircraft identification", "N47QX"]),
        ("antenna_from_centre_line", "2 ft", &["side", "left", "right"]),
        ("antenna_from_nose", "0 m", &["no code says 0 m", "not_known (not known)"]),
        ("altitude_resolution", "50", &["Altitude source, step", "25", "100"]),
        ("transponder/antena", "single", &["is not a setting", "did you mean antenna"]),
    ] {
        let said = run(&["profile", "set", &file, name, value]).exits(2);
        said.complains_of(words);
        let own = flat(&said.err);
        assert!(!own.contains('{') && !own.contains("quotes"), "words of a file: {own}");
        assert_eq!(std::fs::read(&file).expect("the profile"), before, "{name}");
    }
    run(&["profile", "set", &file, "length"]).exits(2);
    run(&["profile", "set", &file, "length", "8 m", "width"]).exits(2).complains_of(&["\"width\" has no value"]);
    run(&["profile", "set", "-", "length", "8 m"]).exits(2).complains_of(&["standard input"]);
    let broken = folder.file("broken.json", "{\"aircraft\": {");
    run(&["profile", "set", &broken, "length", "8 m"]).exits(2).complains_of(&["broken.json:1:", "never closed"]);
}

#[test]
fn show_reads_every_setting_in_words_and_one_with_its_choices() {
    let all = run(&["profile", "show", PROFILE]).exits(0).out;
    for words in ["Aircraft length", "27.2 ft (8.29 m)", "one antenna", "grey code on wires"] {
        assert!(all.contains(words), "{words:?} is not in {all}");
    }
    for setting in SETTINGS {
        for name in [setting.name, setting.id.id(), setting.pointer] {
            let one = flat(&run(&["profile", "show", PROFILE, name]).exits(0).out);
            assert!(one.starts_with(setting.name), "{one}");
            for choice in setting.options {
                assert!(one.contains(choice.words), "{one}");
            }
        }
    }
    let one = run(&["profile", "show", PROFILE, "length", "--format", "json"]).exits(0).object();
    assert_eq!((one["id"].as_str(), &one["value"]), (Some("length"), &json!({"ft": 27.2})));
    let folder = Folder::new("show_faulty");
    let file = folder.file("mine.json", "{\"aircraft\": {\"length\": 27.2, \"width\": null}}");
    let said = flat(&run(&["profile", "show", &file]).exits(0).out);
    assert!(said.contains("refused: a bare 27.2 has no unit") && said.contains("still to be filled in"), "{said}");
    run(&["profile", "show", &file, "lenth"]).exits(2).complains_of(&["did you mean length"]);
}

/// Of two changes at once both are made: the second reads what the first has written.
#[test]
#[cfg(unix)]
fn two_that_change_a_file_at_once_lose_nothing() {
    let folder = Folder::new("set_at_once");
    for round in 0..4 {
        let file = folder.file(&format!("{round}.json"), profile_text(&[]));
        let changes = [("length", "5 m"), ("width", "6 m"), ("max_airspeed", "99 kt"), ("notes", "changed")];
        let changes: Vec<_> = changes.into_iter().filter(|(name, _)| SettingId::named(name).is_some()).collect();
        assert!(changes.len() >= 3, "{changes:?}");
        std::thread::scope(|scope| {
            for (name, value) in &changes {
                let file = &file;
                scope.spawn(move || run(&["profile", "set", file, name, value]).exits(0));
            }
        });
        let profile = Profile::read(&std::fs::read_to_string(&file).expect("the file")).profile;
        for (name, value) in changes {
            let setting = SettingId::named(name).expect("a setting").setting();
            let wanted = setting.with_typed(&Profile::default(), value).expect("a value");
            assert_eq!(setting.value(&profile), setting.value(&wanted), "{name}, round {round}");
        }
    }
}

/// What is in no row of `show`, such as a misspelt name, is said beside them; what was wrong stays said when something else
/// is set.
#[test]
fn what_a_file_has_besides_its_settings_is_not_passed_over() {
    let folder = Folder::new("show_besides");
    let text = "{\"aircraft\": {\"registration\": \"N47QX\"}, \"recievers\": {\"es_1090_in\": true}, \"zzz\": 5}";
    let file = folder.file("own.json", text);
    for format in ["text", "json"] {
        let said = run(&["profile", "show", &file, "--format", format]).exits(1);
        assert!(said.err.contains("recievers") && said.err.contains("zzz"), "{}", said.err);
    }
    let said = run(&["profile", "set", &file, "notes", "one"]).exits(0);
    assert!(said.err.contains("recievers") && said.err.contains("still is"), "{}", said.err);
    run(&["profile", "show", PROFILE]).exits(0);
}

/// A file that is write-protected is not replaced behind its owner's back.
#[test]
#[cfg(unix)]
fn a_protected_file_is_not_changed() {
    use std::os::unix::fs::PermissionsExt;
    let folder = Folder::new("set_protected");
    let file = folder.file("own.json", profile_text(&[]));
    std::fs::set_permissions(&file, std::fs::Permissions::from_mode(0o444)).expect("rights");
    let said = run(&["profile", "set", &file, "length", "5 m"]).exits(2);
    assert!(said.err.contains("write-protected"), "{}", said.err);
    assert_eq!(std::fs::read_to_string(&file).expect("the file"), profile_text(&[]));
}
