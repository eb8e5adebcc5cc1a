//! What the program is built from is written down, with the reason for each, and nothing else is built in.

use std::collections::{BTreeMap, BTreeSet};

/// The names of the dependencies in a section of Cargo.toml, and in those of single systems.
fn named(section: &str) -> BTreeSet<String> {
    let manifest = std::fs::read_to_string("Cargo.toml").expect("the manifest");
    let mut is_inside = false;
    let mut names = BTreeSet::new();
    for line in manifest.lines() {
        if let Some(head) = line.strip_prefix('[') {
            let head = head.trim_end_matches(']');
            is_inside = head == section || head.starts_with("target.") && head.ends_with(&format!(".{section}"));
        } else if let (true, Some((name, _))) = (is_inside, line.split_once(" = ")) {
            names.insert(name.to_owned());
        }
    }
    names
}

/// The rows of the table under a heading of DEVELOPERS.md: name and reason.
fn written(heading: &str) -> BTreeMap<String, String> {
    let text = std::fs::read_to_string("DEVELOPERS.md").expect("the contributors' page");
    let (_, section) = text.split_once(&format!("\n{heading}\n")).expect("the section");
    let section = section.split("\n#").next().expect("a section");
    let rows = section.lines().filter_map(|line| line.strip_prefix("| `")?.strip_suffix(" |")?.split_once("` | "));
    rows.map(|(name, why)| (name.to_owned(), why.to_owned())).collect()
}

#[test]
fn every_dependency_says_why_it_is_there_and_none_else_is_named() {
    for (section, heading) in
        [("dependencies", "### What the program is built from"), ("dev-dependencies", "### What only the tests use")]
    {
        let (named, written) = (named(section), written(heading));
        assert!(named.len() > 5, "{section}: {named:?}");
        assert_eq!(named, written.keys().cloned().collect(), "{section}");
        for (name, why) in &written {
            assert!(why.split(' ').count() >= 3, "{name} says no reason: {why}");
        }
    }
}

#[test]
fn every_package_comes_from_the_registry_with_its_checksum() {
    let lock = std::fs::read_to_string("Cargo.lock").expect("the lock file");
    let packages: Vec<&str> = lock.split("[[package]]").skip(1).collect();
    assert!(packages.len() > 100, "{}", packages.len());
    for package in packages.iter().filter(|package| !package.contains("name = \"squitterlab\"")) {
        let is_from = package.contains("source = \"registry+https://github.com/rust-lang/crates.io-index\"");
        assert!(is_from && package.contains("checksum = \""), "{package}");
    }
}
