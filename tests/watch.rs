//! `watch`: whatever the lines and however they come, the end is that of `compare`; steps are ticked off by what was seen,
//! and what is told does not depend on the pieces.

use crate::installs::{complete, one_in, partly_stated, pick};
use crate::long_run::cases;
use crate::program::{Folder, GOOD, PROFILE, command, flat, profile, run, run_with};
use crate::random::Random;
use crate::terminal::Terminal;
use squitterlab::capture::{Clock, read_lines};
use squitterlab::compare::{Dips, Fleet, Install, Report, Watch, WatchError, WatchEvent, What};
use squitterlab::onair::{FlightPath, Rehearsal};
use squitterlab::profile::{Profile, RuleSet, rule_set};
use std::io::Write;
use std::ops::ControlFlow;
use std::path::Path;
use std::process::Stdio;

/// Lines of a rehearsed flight of an install, some lost, some that are no frames, times there or not.
fn lines(random: &mut Random, install: &Profile, seed: u64) -> Vec<u8> {
    let rehearsal = Rehearsal::new(install.clone(), FlightPath::demo(), seed).expect("a rehearsal").interrogated(1.0);
    let timed = !one_in(random, 4);
    let (from, seconds) = (random.next() % 600_000, 10_000 + random.next() % 80_000);
    let mut text = Vec::new();
    if one_in(random, 5) {
        text.extend(b"\xEF\xBB\xBF");
    }
    for sent in rehearsal.skip_while(|sent| sent.time_ms < from).take_while(|sent| sent.time_ms < from + seconds) {
        if one_in(random, 5) {
            continue;
        }
        if one_in(random, 40) {
            text.extend(*pick(
                random,
                &[&b"# a comment\n"[..], b"\xEF\xBB\xBF# joined\n", b"\n", b"no frame\r\n", b"\xFF\xFE\x00\n", b"  \n"],
            ));
        }
        if one_in(random, 300) {
            text.extend(vec![b'A'; 65_000 + (random.next() % 2000) as usize]);
            text.push(b'\n');
        }
        if one_in(random, 60) {
            text.extend(b"\xEF\xBB\xBF");
        }
        let end = if one_in(random, 9) { "\r\n" } else { "\n" };
        let line =
            if timed { format!("{:.3} {}{end}", sent.time_s(), sent.frame) } else { format!("{}{end}", sent.frame) };
        text.extend(line.bytes());
    }
    if one_in(random, 2) {
        text.pop();
    }
    text
}

fn compared(install: &Install, rules: &RuleSet, text: &[u8]) -> Report {
    let mut fleet = Fleet::new(vec![install.clone()], rules);
    fleet.begin("lines");
    let mut records = Vec::new();
    let accounting = read_lines(text.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(text), 1, |record| {
        records.push(record);
        ControlFlow::Continue(())
    });
    fleet.account(&accounting);
    for record in &records {
        fleet.observe(record);
    }
    fleet.reports().next().expect("a report")
}

/// Follows the text in pieces of these lengths; gives the end and all that happened.
fn watched(
    install: &Install,
    rules: &RuleSet,
    text: &[u8],
    mut length: impl FnMut() -> usize,
) -> (Report, Vec<WatchEvent>) {
    let mut watch = Watch::new(install.clone(), rules, Dips::default(), Clock::default(), "lines");
    let (mut rest, mut events) = (text, Vec::new());
    while !rest.is_empty() {
        let (piece, after) = rest.split_at(length().clamp(1, rest.len()));
        rest = after;
        watch.feed(piece).expect("text");
        events.extend(watch.events());
    }
    watch.finish();
    events.extend(watch.events());
    (watch.report().clone(), events)
}

fn json(report: &Report) -> String {
    serde_json::to_string(report).expect("a report")
}

#[test]
fn the_end_is_that_of_a_comparison_however_the_lines_come() {
    let mut random = Random(0x3A7C);
    let mut verdicts = std::collections::BTreeMap::<_, usize>::new();
    for round in 0..u64::from(cases(24)) {
        let install = complete(&mut random);
        // Every second is compared with another profile than the one that is on the air.
        let stated = match round % 4 {
            0 => install.clone(),
            1 => partly_stated(&mut random, &install),
            _ => Profile { address: install.address, ..complete(&mut random) },
        };
        let text = lines(&mut random, &install, round);
        let rules = rule_set(if round % 3 == 0 { "united_states" } else { "none" }).expect("rules");
        let prepared = Install::new("mine.json", stated).expect("an install");
        let wanted = compared(&prepared, rules, &text);
        *verdicts.entry(wanted.verdict.key()).or_default() += 1;
        let (whole, events) = watched(&prepared, rules, &text, || usize::MAX);
        assert_eq!(json(&whole), json(&wanted), "round {round}");
        for most in [1, 3000] {
            let (cut, same) = watched(&prepared, rules, &text, || 1 + random.next() as usize % most);
            assert_eq!(json(&cut), json(&wanted), "round {round}, pieces of {most}");
            assert_eq!(same, events, "round {round}, pieces of {most}");
        }
        // What was ever told and not taken back is in the end.
        let mut standing: Vec<&str> = Vec::new();
        for event in &events {
            match &event.what {
                What::Fault(fault) => standing.push(fault.cause),
                What::NoLonger(fault) => {
                    let at = standing.iter().position(|known| *known == fault.cause).expect("it was told before");
                    standing.remove(at);
                }
                _ => {}
            }
        }
        let mut found: Vec<&str> = wanted
            .findings
            .iter()
            .filter(|finding| finding.severity != squitterlab::profile::Severity::Note)
            .map(|finding| finding.cause)
            .collect();
        standing.sort_unstable();
        found.sort_unstable();
        assert_eq!(standing, found, "round {round}");
    }
    assert!(verdicts.len() > 1, "{verdicts:?}");
}

#[test]
fn the_steps_are_those_of_the_plan_and_ticked_off_as_they_are_proved() {
    let install = Install::new("demo", profile(&[])).expect("an install");
    let mut watch = Watch::new(install.clone(), &RuleSet::default(), Dips::default(), Clock::default(), "-");
    let plan = squitterlab::compare::plan(&install);
    let state = watch.state();
    assert_eq!(state.steps.len(), plan.captures.len());
    for (step, capture) in state.steps.iter().zip(&plan.captures) {
        assert_eq!(step.settings.iter().map(|setting| setting.setting).collect::<Vec<_>>(), capture.adds);
        assert_eq!(step.stops, capture.stops);
        assert!(!step.complete && !step.missing.is_empty(), "{step:?}");
        // What is missing is waited for as long as the plan says, and every setting waits for something.
        for missing in &step.missing {
            let way = capture.ways.iter().find(|way| way.title == missing.what || way.reply_to.is_some());
            assert_eq!(missing.seconds_more, way.expect("a way").seconds, "{missing:?}");
        }
        assert_eq!(step.missing.iter().map(|missing| missing.settings.len()).sum::<usize>(), capture.adds.len());
    }
    for (at, file) in GOOD.iter().enumerate() {
        watch.feed(&std::fs::read(file).expect("a capture")).expect("text");
        watch.pause();
        let complete: Vec<bool> = watch.state().steps.iter().map(|step| step.complete).collect();
        assert_eq!(complete[..=at], vec![true; at + 1], "{:?}", watch.state());
        assert!(watch.state().last.is_some() && watch.state().now.is_some());
    }
    assert!(watch.state().steps[1].missing.is_empty());
}

#[test]
fn what_does_not_come_is_overdue_after_its_time_and_not_before() {
    let install = Install::new("demo", profile(&[])).expect("an install");
    let mut watch = Watch::new(install, &RuleSet::default(), Dips::default(), Clock::default(), "-");
    let ground = std::fs::read_to_string(GOOD[0]).expect("a capture");
    // Everything but operational status (type code 31).
    let is_status =
        |line: &&str| line.split_whitespace().last().is_some_and(|frame| frame.len() == 28 && frame[8..10] == *"F9");
    let without: Vec<&str> = ground.lines().filter(|line| !is_status(line)).collect();
    assert!(without.len() < ground.lines().count());
    watch.feed((without.join("\n") + "\n").as_bytes()).expect("text");
    watch.finish();
    let overdue: Vec<WatchEvent> = watch.events().collect();
    let begin = overdue.iter().find_map(|event| match &event.what {
        What::Waits { step: 1, missing } => {
            missing.iter().find(|missing| missing.what.contains("operational status")).cloned()
        }
        _ => None,
    });
    let wait = begin.expect("it waits for the status").seconds_more.expect("seconds");
    let late = overdue.iter().find_map(|event| match &event.what {
        What::Waits { missing, .. }
            if missing.iter().any(|missing| missing.is_overdue() && missing.what.contains("operational status")) =>
        {
            event.time
        }
        _ => None,
    });
    let first = overdue
        .iter()
        .find_map(|event| matches!(event.what, What::Heard { .. }).then_some(event.time?))
        .expect("a time");
    let late = late.expect("it is overdue") - first;
    assert!(late >= wait - 1.0 && late < wait + 15.0, "{late} of {wait}");
    let step = &watch.state().steps[0];
    assert!(!step.complete && step.missing.iter().any(squitterlab::compare::Awaited::is_overdue), "{step:?}");
}

#[test]
fn what_cannot_be_followed_is_refused() {
    let install = Install::new("demo", profile(&[])).expect("an install");
    let feed = |text: &[u8]| {
        Watch::new(install.clone(), &RuleSet::default(), Dips::default(), Clock::default(), "-").feed(text)
    };
    assert_eq!(feed(b"\xFF\xFE8\0"), Err(WatchError::Utf16));
    assert_eq!(feed(b"\x1F\x8B\x08\0"), Err(WatchError::Compressed));
    assert_eq!(feed(b"\x28\xB5\x2F\xFD"), Err(WatchError::Compressed));
    assert_eq!(feed(b""), Ok(()));
}

#[test]
fn the_command_ends_as_compare_does() {
    let folder = Folder::new("watch_command");
    for file in ["vectors/demo/faulty.txt", GOOD[0], GOOD[1], "vectors/demo/altitude_run.txt"] {
        let text = std::fs::read(file).expect("a file");
        for more in [&[][..], &["--complete"], &["--rules", "united_states"]] {
            let compared = run_with(&[&["compare", PROFILE, "--capture", "-"], more].concat(), &text);
            let watched = run_with(&[&["watch", PROFILE], more].concat(), &text);
            assert_eq!(watched.status, compared.status, "{file} {more:?}: {}", watched.err);
            assert!(watched.out.ends_with(&format!("\n{}", compared.out)), "{file} {more:?}: {}", watched.out);
            let compared =
                run_with(&[&["compare", PROFILE, "--capture", "-", "--format", "json"], more].concat(), &text);
            let watched = run_with(&[&["watch", PROFILE, "--format", "json"], more].concat(), &text);
            assert_eq!(watched.out.lines().last(), compared.out.lines().last(), "{file} {more:?}");
            // Every other line is an event of the published shape.
            let schema: serde_json::Value =
                serde_json::from_str(&run(&["watch", "--schema"]).exits(0).out).expect("JSON");
            let schema = jsonschema::validator_for(&schema).expect("a schema");
            for event in watched.objects().iter().rev().skip(1) {
                assert!(schema.is_valid(event), "{event}");
            }
        }
    }
    // The same from a file that stands still, with its record.
    let record = folder.path("record.html");
    let said = run(&["watch", PROFILE, GOOD[1], "--ends-after", "1", "--record", &record]).exits(0);
    assert!(said.out.contains("is complete: go to standby"), "{}", said.out);
    let page = std::fs::read_to_string(&record).expect("the record");
    let digest = squitterlab::capture::sha256(&std::fs::read(GOOD[1]).expect("a capture"));
    assert!(page.contains(&digest), "the record has the digest of what was read");
    for line in said.out.lines().take_while(|line| !line.contains("settings proved")) {
        assert!(line.chars().count() <= 80, "{line}");
    }
}

#[cfg(unix)]
#[test]
fn a_growing_file_is_followed_and_an_interruption_gives_the_verdict() {
    let folder = Folder::new("watch_growing");
    let all = std::fs::read_to_string("vectors/demo/faulty.txt").expect("a capture");
    // The first forty lines are of the ground.
    let (first, rest) = all.split_at(all.match_indices('\n').nth(39).expect("forty lines").0 + 1);
    let (file, record) = (folder.file("live.txt", first), folder.path("record.html"));
    let mut terminal = Terminal::start(
        &["watch", &std::fs::canonicalize(PROFILE).expect("a path").display().to_string(), &file, "--record", &record],
        Path::new(&folder.path(".")),
    );
    terminal.wait_for(&["ON THE GROUND"]);
    terminal.wait_for(&["verdict so far: differs"]);
    std::fs::OpenOptions::new().append(true).open(&file).expect("a file").write_all(rest.as_bytes()).expect("more");
    terminal.wait_for(&["IN THE AIR"]);
    terminal.interrupt();
    let (status, shown) = terminal.ends();
    assert_eq!(status, 1, "{shown}");
    let said = run_with(&["compare", PROFILE, "--capture", "-"], all.as_bytes()).exits(1);
    let line = said.out.lines().next().expect("a line");
    assert!(flat(&shown).contains(&flat(line)), "{line}: {shown}");
    assert!(std::fs::read_to_string(&record).expect("the record").contains("live.txt"));
    // In a pipe the same.
    let mut child = command(&["watch", PROFILE])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("it starts");
    let mut input = child.stdin.take().expect("a pipe");
    input.write_all(all.as_bytes()).expect("it reads");
    input.flush().expect("it reads");
    let out = child.stdout.as_mut().expect("a pipe");
    // Until it has told of the fault of the size.
    let mut told = Vec::new();
    while !String::from_utf8_lossy(&told).contains("feet_as_metres") {
        let mut room = [0; 4096];
        let got = std::io::Read::read(out, &mut room).expect("it tells");
        assert!(got > 0);
        told.extend(&room[..got]);
    }
    let sent = std::process::Command::new("kill").args(["-INT", &child.id().to_string()]).status().expect("kill");
    assert!(sent.success());
    let output = child.wait_with_output().expect("it ends");
    assert_eq!(output.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&output.stdout).contains("verdict: differs"));
    drop(input);
}

#[test]
fn seven_installs_of_seven_states_are_watched_at_a_terminal() {
    let folder = Folder::new("watch_terminal");
    for (seed, (mark, profile)) in crate::ask::seven_installs().into_iter().enumerate() {
        let file = folder.file(&format!("{mark}.json"), profile.json().to_string());
        let rehearsal =
            Rehearsal::new(profile, FlightPath::demo(), seed as u64).expect("a rehearsal").interrogated(1.0);
        let sent = rehearsal.take_while(|sent| sent.time_ms < 400_000);
        let lines: Vec<String> = sent.map(|sent| format!("{:.3} {}", sent.time_s(), sent.frame)).collect();
        let text = lines.join("\n") + "\n";
        let capture = folder.file(&format!("{mark}.txt"), text);
        let mut terminal =
            Terminal::start(&["watch", &file, &capture, "--ends-after", "1"], Path::new(&folder.path(".")));
        terminal.wait_for(&["STOP  Couple the unit directly"]);
        terminal.wait_for(&[": IN THE AIR"]);
        let (status, shown) = terminal.ends();
        let said = run(&["compare", &file, "--capture", &capture]);
        assert_eq!(status, said.status, "{mark}: {shown}");
        let line = said.out.lines().next().expect("a line");
        assert!(flat(&shown).contains(&flat(line)), "{mark}: {line}: {shown}");
        assert!(shown.contains("[x] 1. "), "{mark}: {shown}");
    }
}
