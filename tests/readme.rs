//! Every command in README.md and in the guide is run, and every printed output in them is what the program prints.
//!
//! `UPDATE_README=1 cargo test --test commands readme` writes the outputs anew; read the difference before it is committed.

use crate::program::Folder;
use squitterlab::guide::CHAPTERS;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Commands of the README that would run this very test.
const SET_UP: &[&str] = &["bash tests/run"];

struct Step {
    command: String,
    /// First line of the output, and the line after its last.
    output: std::ops::Range<usize>,
}

fn steps(lines: &[&str]) -> Vec<Step> {
    let mut steps: Vec<Step> = Vec::new();
    let mut inside = false;
    for (at, line) in lines.iter().enumerate() {
        if line.starts_with("```") {
            inside = *line == "```console";
        } else if let (true, Some(command)) = (inside, line.strip_prefix("$ ")) {
            steps.push(Step { command: command.to_owned(), output: at + 1..at + 1 });
        } else if let (true, Some(step)) = (inside, steps.last_mut()) {
            step.output.end = at + 1;
        }
    }
    steps
}

/// What a command prints in this folder.
fn printed(command: &str, folder: &Folder) -> Vec<String> {
    let binary = Path::new(env!("CARGO_BIN_EXE_squitterlab"));
    let command = command.replace("cargo run --release --", "squitterlab");
    let path = format!("{}:{}", binary.parent().unwrap().display(), std::env::var("PATH").unwrap());
    let ran = Command::new("sh")
        .args(["-c", &format!("{{ {command}; }} 2>&1")])
        .current_dir(folder.path(""))
        .env("PATH", path)
        .output()
        .unwrap();
    String::from_utf8(ran.stdout).unwrap().lines().map(|line| line.trim_end().to_owned()).collect()
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// README and the chapters of the guide.
fn files() -> Vec<PathBuf> {
    let chapters = CHAPTERS.iter().map(|chapter| root().join("src/guide").join(chapter.name).with_extension("md"));
    std::iter::once(root().join("README.md")).chain(chapters).collect()
}

#[test]
fn every_command_prints_what_readme_and_guide_say() {
    let update = std::env::var_os("UPDATE_README").is_some();
    let mut wrong = Vec::new();
    let mut commands = 0;
    for file in files() {
        // Each file is followed by itself, from its first command to its last: what a command needs was made before.
        let folder = Folder::new(&format!("follow_{}", file.file_stem().unwrap().display()));
        std::os::unix::fs::symlink(root().join("vectors"), folder.path("vectors")).unwrap();
        let text = std::fs::read_to_string(&file).unwrap();
        let lines: Vec<&str> = text.lines().collect();
        let mut renewed: Vec<String> = Vec::new();
        let mut copied = 0;
        for step in steps(&lines).iter().filter(|step| !SET_UP.contains(&step.command.as_str())) {
            commands += 1;
            let real = printed(&step.command, &folder);
            let written = &lines[step.output.clone()];
            if written != real {
                let first = real.iter().zip(written).position(|(real, written)| real != written);
                let at = first.unwrap_or(real.len().min(written.len()));
                wrong.push(format!(
                    "{}:{}: $ {}\n  written  {:?}\n  printed  {:?}",
                    file.display(),
                    step.output.start + at + 1,
                    step.command,
                    written.get(at),
                    real.get(at)
                ));
            }
            renewed.extend(lines[copied..step.output.start].iter().map(ToString::to_string));
            renewed.extend(real);
            copied = step.output.end;
        }
        renewed.extend(lines[copied..].iter().map(ToString::to_string));
        if update {
            std::fs::write(&file, renewed.join("\n") + "\n").unwrap();
        }
    }
    assert!(commands > 30, "README and guide show commands");
    let renew = "UPDATE_README=1 cargo test --test commands readme";
    assert!(update || wrong.is_empty(), "{}\nif what is printed is right: {renew}", wrong.join("\n"));
}

#[test]
fn the_readme_is_short() {
    let readme = std::fs::read_to_string(root().join("README.md")).unwrap();
    assert!(readme.len() <= 9 * 1024, "README.md has {} bytes; what is longer belongs in the guide", readme.len());
}

#[test]
fn the_first_commands_set_up_and_run_the_main_job_and_the_tests() {
    let text = std::fs::read_to_string(root().join("README.md")).unwrap();
    let lines: Vec<&str> = text.lines().collect();
    let commands: Vec<String> = steps(&lines).into_iter().map(|step| step.command).collect();
    assert!(commands[0].starts_with("cargo run --release -- compare vectors/demo/"), "{}", commands[0]);
    assert_eq!(commands[1], "bash tests/run");
    let ci = std::fs::read_to_string(root().join(".ci/run")).unwrap();
    assert!(ci.contains("bash tests/run"), "what CI runs is the README's test command");
}
