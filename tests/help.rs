//! What `--help` prints: every example in it can be copied into a shell and run, and none is wrapped on a narrow terminal.

use crate::program::{Folder, GOOD, PROFILE, command, commands, run};
use std::process::Command;

/// Every command, and those below it.
fn every_command() -> Vec<Vec<String>> {
    let mut all = Vec::new();
    for name in commands(&[]) {
        let below = commands(&[&name]);
        if below.is_empty() {
            all.push(vec![name]);
        } else {
            all.extend(below.into_iter().map(|below| vec![name.clone(), below]));
        }
    }
    all
}

/// The examples of a help text, each with the lines that it goes on in.
fn examples(help: &str) -> Vec<String> {
    let mut examples: Vec<String> = Vec::new();
    let mut goes_on = false;
    for line in help.lines() {
        let begins = line.starts_with("  squitterlab ") || line.starts_with("  zcat ");
        let one = line.strip_prefix("Example: ");
        if let Some(last) = examples.last_mut().filter(|_| goes_on) {
            last.push('\n');
            last.push_str(line);
        } else if begins || one.is_some() {
            examples.push(one.unwrap_or(line).to_owned());
        } else {
            continue;
        }
        assert!(line.chars().count() <= 80, "a terminal of 80 columns breaks: {line}");
        goes_on = line.ends_with('\\');
    }
    examples
}

#[test]
fn every_example_of_every_help_runs_as_it_is_printed() {
    let here = env!("CARGO_MANIFEST_DIR");
    let binary = std::path::Path::new(env!("CARGO_BIN_EXE_squitterlab")).parent().expect("a folder");
    let path = format!("{}:{}", binary.display(), std::env::var("PATH").expect("a path"));
    let mut ran = 0;
    for names in every_command() {
        let names: Vec<&str> = names.iter().map(String::as_str).collect();
        let help = run(&[&names[..], &["--help"]].concat()).exits(0).out;
        let examples = examples(&help);
        assert!(!examples.is_empty(), "{names:?} shows no example:\n{help}");
        let folder = Folder::new(&format!("help_{}", names.join("_")));
        std::os::unix::fs::symlink(format!("{here}/vectors"), folder.path("vectors")).expect("a link");
        let whole = std::fs::read(format!("{here}/{}", GOOD[1])).expect("a capture");
        folder.file("capture.txt", &whole);
        folder.file("night.txt", &whole);
        assert!(Command::new("gzip").arg(folder.path("night.txt")).status().expect("gzip").success());
        for example in examples {
            // The page serves until it is stopped.
            if names == ["page"] {
                continue;
            }
            // A broken line would be a command that is not there (127) or a usage error (2); a comparison may find faults.
            let said = Command::new("bash")
                .args(["-o", "pipefail", "-e", "-c", &example])
                .env("PATH", &path)
                .current_dir(folder.path("."))
                .output()
                .expect("a shell");
            let status = said.status.code();
            let err = String::from_utf8_lossy(&said.stderr);
            assert!(matches!(status, Some(0 | 1)), "{example}: {status:?}: {err}");
            assert!(!err.contains("not found") && !err.contains("Usage:"), "{example}: {err}");
            ran += 1;
        }
    }
    assert!(ran > 25, "{ran} examples");
}

#[test]
fn examples_are_not_wrapped_on_a_narrow_terminal() {
    for names in every_command() {
        let names: Vec<&str> = names.iter().map(String::as_str).collect();
        let help = |columns: &str| {
            let mut command = command(&[&names[..], &["--help"]].concat());
            examples(&crate::program::finish(command.env("COLUMNS", columns), b"").exits(0).out)
        };
        assert_eq!(help("80"), help("200"), "{names:?}");
    }
}

#[test]
fn colour_is_the_last_and_shortest_of_the_options() {
    for names in every_command() {
        let names: Vec<&str> = names.iter().map(String::as_str).collect();
        let help = run(&[&names[..], &["--help"]].concat()).exits(0).out;
        let listed = help.lines().take_while(|line| !line.starts_with("Example"));
        let options: Vec<&str> =
            listed.map(str::trim_start).filter(|line| line.starts_with("--") || line.starts_with("-h")).collect();
        let at = options.iter().position(|line| line.starts_with("--color")).expect("it is there");
        assert_eq!(at + 2, options.len(), "{names:?}: {options:?}");
    }
}

#[test]
fn a_mark_may_be_typed_in_small_letters() {
    let large = run(&["profile", "new", "--registration", "N47QX"]).exits(0);
    for typed in ["n47qx", "n47Qx", " N47QX "] {
        assert_eq!(run(&["profile", "new", "--registration", typed]).exits(0).out, large.out, "{typed}");
    }
    let german = run(&["profile", "new", "--registration", "d-eabc"]).exits(0).out;
    assert_eq!(german, run(&["profile", "new", "--registration", "D-EABC"]).exits(0).out);
    run(&["profile", "check", PROFILE]).exits(0);
}

#[test]
fn every_command_has_a_manual_page_with_all_its_options() {
    let listed = run(&["manual", "--list"]).exits(0).out;
    let listed: Vec<Vec<String>> =
        listed.lines().map(|line| line.split(' ').map(ToOwned::to_owned).collect()).collect();
    for command in every_command() {
        assert!(listed.contains(&command), "{command:?} is not in {listed:?}");
    }
    assert!(listed.len() > every_command().len(), "commands with commands of their own are in the list too");
    for command in listed {
        let words: Vec<&str> = command.iter().map(String::as_str).collect();
        let page = run(&[&["manual"], &words[..]].concat()).exits(0).out.replace("\\-", "-");
        assert!(page.contains(&format!("squitterlab-{}", command.join("-"))), "{command:?}: {page}");
        let help = run(&[&words[..], &["--help"]].concat()).exits(0).out;
        let options = help
            .lines()
            .filter_map(|line| line.trim_start().strip_prefix('-')?.split(' ').find(|word| word.starts_with('-')));
        for option in options.map(|option| format!("--{}", option.trim_start_matches('-'))) {
            assert!(page.contains(option.trim_end_matches(['[', '.'])), "{command:?} {option}: {page}");
        }
    }
}
