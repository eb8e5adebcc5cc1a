//! What a user of the library counts on: few crates without the program's features, rooms that touch neither files nor
//! threads, and functions with an example that runs.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

fn sources(room: &str) -> Vec<PathBuf> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("src").join(room);
    if path.is_file() {
        return vec![path];
    }
    let entries = fs::read_dir(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let mut all: Vec<PathBuf> = entries
        .flat_map(|entry| sources(&format!("{room}/{}", entry.expect("an entry").file_name().display())))
        .collect();
    all.retain(|file| file.extension().is_some_and(|extension| extension == "rs"));
    all.sort();
    all
}

#[test]
fn without_features_the_library_needs_few_crates() {
    let output = Command::new(env!("CARGO"))
        .args(["tree", "--offline", "--no-default-features", "--edges", "normal,build", "--prefix", "none"])
        .args(["--format", "{p}", "--manifest-path"])
        .arg(Path::new(env!("CARGO_MANIFEST_DIR")).join("Cargo.toml"))
        .output()
        .expect("cargo");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let text = String::from_utf8(output.stdout).expect("text");
    let crates: BTreeSet<&str> = text.lines().filter_map(|line| line.split(' ').next()).collect();
    assert!(crates.contains("squitterlab") && crates.contains("serde_json"), "{crates:?}");
    assert!(!crates.contains("clap") && !crates.contains("rayon"), "{crates:?}");
    // The library itself is not one that it needs.
    assert!(crates.len() <= 25 + 1, "{}: {crates:?}", crates.len());
}

#[test]
fn the_rooms_from_frame_to_profile_touch_neither_files_nor_threads() {
    let mut seen = 0;
    for room in ["frame", "code", "message", "register", "downlink", "track", "registry", "profile", "capture/line.rs"]
    {
        for file in sources(room) {
            let text = fs::read_to_string(&file).expect("a source");
            seen += 1;
            // Tests in the file may.
            let text = text.split("#[cfg(test)]").next().unwrap_or_default();
            for word in ["std::fs", "fs::", "std::thread", "thread::", "IsTerminal", "println!", "stdout", "stderr"] {
                let at = text.lines().position(|line| {
                    let line = line.trim_start();
                    !line.starts_with("//") && line.contains(word)
                });
                assert!(at.is_none(), "{}:{}: {word}", file.display(), at.unwrap_or_default() + 1);
            }
        }
    }
    assert!(seen > 100, "{seen}");
}

/// The public functions of a file, and whether each has an example.
fn functions(text: &str) -> Vec<(String, bool)> {
    let (mut example, mut all) = (false, Vec::new());
    for line in text.lines().map(str::trim_start) {
        if line.starts_with("///") || line.starts_with("#[") {
            example |= line.starts_with("/// ```");
            continue;
        }
        let rest = ["pub fn ", "pub const fn "].iter().find_map(|start| line.strip_prefix(start));
        if let Some(rest) = rest {
            let name = rest.split(['(', '<']).next().unwrap_or_default();
            all.push((name.to_owned(), example));
        }
        example = false;
    }
    all
}

/// How many functions of a room have no example yet: fewer from change to change, and none in the rooms that are done.
const WITHOUT: &[(&str, usize)] = &[("frame", 0), ("message", 0), ("register", 0), ("downlink", 0), ("code", 128)];

#[test]
fn public_functions_have_an_example() {
    for (room, most) in WITHOUT {
        let mut all = Vec::new();
        for file in sources(room) {
            let text = fs::read_to_string(&file).expect("a source");
            let name = file.file_name().expect("a name").display().to_string();
            all.extend(
                functions(&text).into_iter().map(|(function, example)| (format!("{name}: {function}"), example)),
            );
        }
        assert!(!all.is_empty(), "{room} has no public function");
        let without: Vec<&String> = all.iter().filter(|(_, example)| !example).map(|(name, _)| name).collect();
        assert!(without.len() <= *most, "{room}: {} of {} have no example: {without:#?}", without.len(), all.len());
    }
}
