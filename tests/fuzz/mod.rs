//! What the fuzzer has kept, tried again: octets that reached other code than those before them, and those that once broke
//! something.

mod cases;

use cases::CASES;
use std::fs;
use std::path::Path;

#[test]
fn what_the_fuzzer_kept_breaks_nothing() {
    for (name, case) in CASES {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz/corpus").join(name);
        let entries = fs::read_dir(&folder).unwrap_or_else(|error| panic!("{}: {error}", folder.display()));
        let mut files: Vec<_> = entries.map(|entry| entry.expect("an entry").path()).collect();
        files.sort();
        assert!(files.len() > 10, "{name}: {} files", files.len());
        for file in files {
            println!("{}", file.display());
            case(&fs::read(&file).expect("a file"));
        }
    }
}
