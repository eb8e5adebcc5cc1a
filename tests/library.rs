//! What a user of the library counts on: few crates without the program's features, rooms that touch neither files nor
//! threads, and functions with an example that runs.

#[path = "library/door.rs"]
mod door;

use door::{Function, Library};
use std::collections::BTreeSet;
use std::fs;
use std::path::{Component, Path, PathBuf};
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

/// Every function that a user of these sources can reach.
fn reached(read: &dyn Fn(&str) -> Option<String>) -> Vec<Function> {
    let mut all = Library::new(read).functions();
    all.sort();
    all
}

#[test]
fn everything_that_can_be_reached_has_an_example_that_runs() {
    let all = reached(&|file| fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("src").join(file)).ok());
    let without: Vec<&str> =
        all.iter().filter(|function| !function.has_example).map(|function| function.name.as_str()).collect();
    assert!(without.is_empty(), "{} of {} have no example: {without:#?}", without.len(), all.len());
    // What is no part of the promise is a whole module or a whole list of names: a single function is not hidden.
    let hidden: Vec<&Function> = all.iter().filter(|function| function.is_hidden).collect();
    assert!(hidden.is_empty(), "{hidden:?}");
    // One of each kind: a function, a method of a type whose file is private, one of a trait, one that a macro makes, and
    // one that is shown through two lists.
    for known in [
        "frame/parity.rs: parity_of",
        "code/altitude.rs: Altitude12::feet",
        "code/mod.rs: Code::meaning",
        "code/table.rs: a macro's from_bits",
        "compare/report/before_after.rs: change",
        "compare/prefilter.rs: Fleet::read_sources",
    ] {
        assert!(all.iter().any(|function| function.name == known), "{known} was not found");
    }
    assert!(all.len() > 350, "{}", all.len());
}

#[test]
fn a_function_is_found_wherever_it_is_and_only_where_it_can_be_reached() {
    let files = [
        (
            "lib.rs",
            "pub mod open; mod shut; pub use shut::{Shown, shown, deep as deeper}; #[doc(hidden)] pub mod left_out;
             pub mod inline { pub fn in_inline() {} } #[cfg(test)] mod tests { pub fn in_tests() {} }",
        ),
        (
            "open/mod.rs",
            "mod below; pub use below::Below; pub(crate) use below::Kept;
             pub trait Act { /// ```
             /// ```
             fn act(); fn idle(); } trait Quiet { fn quiet(); }
             macro_rules! made { ($n:ident) => { impl $n { /// ```
             /// ```
             pub fn with() {} pub const fn without() {} pub(crate) fn kept() {} fn own() {} } }; }
             made! { Made }
             impl Made { pub fn of_made() {} }
             #[cfg(feature = \"no\")] pub fn in_feature() {}
             pub(crate) fn for_us() {}",
        ),
        (
            "open/below.rs",
            "pub struct Below; pub struct Kept; pub struct Private;
             impl Below { pub fn below() {} #[doc(hidden)] pub fn alone() {} fn own() {} }
             impl Kept { pub fn kept() {} } impl Private { pub fn private() {} } pub fn not_shown() {}",
        ),
        (
            "shut.rs",
            "mod far; pub use far::{Far, deep}; pub struct Shown; pub struct Shut; pub fn shown() {} pub fn shut() {}
             impl Shown { pub fn method() {} } impl Shut { pub fn method() {} }",
        ),
        ("shut/far.rs", "pub struct Far; impl Far { pub fn far() {} } pub fn deep() {} pub fn deepest() {}"),
        ("left_out.rs", "pub struct Out; impl Out { pub fn out() {} } pub fn out() {}"),
    ];
    let all = reached(&|file| files.iter().find(|(name, _)| *name == file).map(|(_, text)| (*text).to_owned()));
    let names = |wanted: fn(&Function) -> bool| -> Vec<&str> {
        all.iter().filter(|function| wanted(function)).map(|function| function.name.as_str()).collect()
    };
    assert_eq!(names(|function| function.has_example), ["open/mod.rs: Act::act", "open/mod.rs: a macro's with"]);
    assert_eq!(names(|function| function.is_hidden), ["open/below.rs: Below::alone"]);
    assert_eq!(
        names(|function| !function.has_example && !function.is_hidden),
        [
            "lib.rs: in_inline",
            "open/below.rs: Below::below",
            "open/mod.rs: Act::idle",
            "open/mod.rs: Made::of_made",
            "open/mod.rs: a macro's without",
            "open/mod.rs: in_feature",
            "shut.rs: Shown::method",
            "shut.rs: shown",
            "shut/far.rs: deep",
        ]
    );
}

/// Files of the package, as cargo lists them.
fn packaged() -> BTreeSet<String> {
    let output = Command::new(env!("CARGO"))
        .args(["package", "--list", "--offline", "--allow-dirty", "--manifest-path"])
        .arg(Path::new(env!("CARGO_MANIFEST_DIR")).join("Cargo.toml"))
        .output()
        .expect("cargo");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).expect("text").lines().map(str::to_owned).collect()
}

#[test]
fn the_package_holds_what_a_user_needs_and_no_more() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let files = packaged();
    let made_by_cargo = [".cargo_vcs_info.json", "Cargo.lock", "Cargo.toml", "Cargo.toml.orig"];
    let mut octets = 0;
    for file in files.iter().filter(|file| !made_by_cargo.contains(&file.as_str())) {
        let is_known = ["src/", "vectors/demo/", "vectors/schema/"].iter().any(|start| file.starts_with(start));
        assert!(is_known || ["LICENSE", "README.md"].contains(&file.as_str()), "{file} is no user's");
        let length = fs::metadata(root.join(file)).unwrap_or_else(|error| panic!("{file}: {error}")).len();
        assert!(length <= 300_000, "{file} has {length} octets");
        octets += length;
    }
    assert!(octets <= 4_000_000, "{octets}");
    for needed in ["LICENSE", "README.md", "src/lib.rs", "src/main.rs", "src/CHANGELOG.md", "vectors/demo/profile.json"]
    {
        assert!(files.contains(needed), "{needed} is left out");
    }
    // Every source, and every file that a source takes in.
    let mut taken = 0;
    for file in sources(".") {
        let text = fs::read_to_string(&file).expect("a source");
        let beside = file.parent().expect("a folder");
        let others = text.split("include_str!(\"").skip(1).filter_map(|rest| rest.split('"').next());
        for path in others.map(|other| beside.join(other)).chain([file.clone()]) {
            let mut name = PathBuf::new();
            for part in path.strip_prefix(root).expect("a file of the repository").components() {
                if part == Component::ParentDir {
                    assert!(name.pop(), "{}", path.display());
                } else {
                    name.push(part);
                }
            }
            let name = name.display().to_string();
            assert!(files.contains(&name), "{name} is left out");
            taken += 1;
        }
    }
    assert!(taken > 300, "{taken}");
}

#[test]
fn the_opening_page_has_a_whole_program_of_at_most_thirty_lines() {
    let text = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("src/lib.rs")).expect("the library");
    let page: Vec<&str> = text.lines().map_while(|line| line.strip_prefix("//!")).map(str::trim_start).collect();
    let page = page.join("\n");
    let program = page.split("```").find(|block| block.contains("fn main()")).expect("a program");
    let lines = program.lines().filter(|line| !line.is_empty()).count();
    assert!(lines <= 30, "{lines} lines");
    for part in ["Squitter::new", ".decode()", "Tracker::new", "Fleet::new"] {
        assert!(program.contains(part), "{part} is not shown");
    }
}

#[test]
fn an_error_gives_the_one_that_it_wraps() {
    use squitterlab::capture::Source;
    use squitterlab::code::table::{TableError, Wanted};
    use squitterlab::message::AirbornePosition;
    use squitterlab::onair::EmissionError;
    use squitterlab::profile::{StandardVersion, Stated};
    use squitterlab::{Install, Profile, Version};
    use std::error::Error;
    use std::ops::ControlFlow;

    let unread = Source::from("no such file.txt").read(|_| ControlFlow::Continue(())).expect_err("no file");
    let system = unread.source().and_then(Error::source).expect("what the system said");
    assert!(system.is::<std::io::Error>(), "{system}");

    let fields = [("pressure_altitude_ft".to_owned(), "high".to_owned())].into();
    let wanted = Wanted { fields: &fields, version: Version::Two };
    let refused = AirbornePosition::TABLE.encode(&wanted).expect_err("no altitude");
    assert!(matches!(refused, TableError::Field { .. }) && refused.source().is_some(), "{refused}");

    assert_eq!(Install::new("own", Profile::default()).expect_err("no address"), EmissionError::NoAddress);
    let mut profile = Profile::read(r#"{"aircraft": {"address": "A5C035"}}"#).profile;
    profile.mops_version = Stated::Is(StandardVersion(4));
    assert_eq!(Install::new("own", profile).expect_err("no source"), EmissionError::VersionNotHeld(4));
}
