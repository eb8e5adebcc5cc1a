//! Every command in README.md is run, and every printed output in it is what the program prints.
//!
//! `UPDATE_README=1 cargo test --test readme` writes the outputs anew; read the difference before it is committed.

use std::path::Path;
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

fn printed(command: &str) -> Vec<String> {
    let binary = Path::new(env!("CARGO_BIN_EXE_squitterlab"));
    let command = command.replace("cargo run --release --", "squitterlab");
    let path = format!("{}:{}", binary.parent().unwrap().display(), std::env::var("PATH").unwrap());
    let ran = Command::new("sh")
        .args(["-c", &format!("{{ {command}; }} 2>&1")])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env("PATH", path)
        .output()
        .unwrap();
    String::from_utf8(ran.stdout).unwrap().lines().map(|line| line.trim_end().to_owned()).collect()
}

#[test]
fn every_command_prints_what_the_readme_says() {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md");
    let text = std::fs::read_to_string(&file).unwrap();
    let lines: Vec<&str> = text.lines().collect();
    let steps = steps(&lines);
    assert!(steps.len() > 8, "the README shows commands");
    let update = std::env::var_os("UPDATE_README").is_some();
    let mut renewed: Vec<String> = Vec::new();
    let mut copied = 0;
    for step in &steps {
        if SET_UP.contains(&step.command.as_str()) {
            assert!(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/run").is_file());
            continue;
        }
        let real = printed(&step.command);
        if update {
            renewed.extend(lines[copied..step.output.start].iter().map(ToString::to_string));
            renewed.extend(real);
            copied = step.output.end;
        } else {
            assert_eq!(lines[step.output.clone()], real, "\n$ {}", step.command);
        }
    }
    if update {
        renewed.extend(lines[copied..].iter().map(ToString::to_string));
        std::fs::write(&file, renewed.join("\n") + "\n").unwrap();
    }
}

#[test]
fn the_first_commands_set_up_and_run_the_main_job_and_the_tests() {
    let text = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md")).unwrap();
    let lines: Vec<&str> = text.lines().collect();
    let commands: Vec<String> = steps(&lines).into_iter().map(|step| step.command).collect();
    assert!(commands[0].starts_with("cargo run --release -- compare vectors/demo/"), "{}", commands[0]);
    assert_eq!(commands[1], "bash tests/run");
    let ci = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(".ci/run")).unwrap();
    assert!(ci.contains("bash tests/run"), "what CI runs is the README's test command");
}
