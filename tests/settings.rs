//! The list of settings, and that nothing else in the source names one by its pointer.

use squitterlab::profile::{Profile, SETTINGS, SettingId};
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
        let holds = |pointer: &str| ['"', '\'', '`'].iter().any(|quote| line.contains(&format!("{quote}{pointer}{quote}")));
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
        assert!(open.pointer(setting.pointer).is_some_and(serde_json::Value::is_null), "{}", setting.pointer);
    }
}
