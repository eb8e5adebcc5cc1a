//! The exit status, and what is said on standard error, do not depend on who reads the results: each command is run twice,
//! read whole, and with a standard output that nobody reads.

use crate::program::{Folder, GOOD, PROFILE, command, commands, run, run_with};
use std::io::Write;
use std::process::{Child, Stdio};
use std::time::{Duration, Instant};

/// Runs with a pipe whose reading end is closed before the program starts; gives the status and standard error.
fn unread(arguments: &[&str], input: &[u8]) -> (i32, String) {
    let (reader, writer) = std::io::pipe().expect("a pipe");
    drop(reader);
    let mut command = command(arguments);
    let mut child = command.stdin(Stdio::piped()).stdout(writer).stderr(Stdio::piped()).spawn().expect("it starts");
    let mut stdin = child.stdin.take().expect("a pipe");
    let input = input.to_vec();
    let writing = std::thread::spawn(move || drop(stdin.write_all(&input)));
    let output = child.wait_with_output().expect("it ends");
    writing.join().expect("the input is written");
    (output.status.code().expect("an exit status"), String::from_utf8(output.stderr).expect("text"))
}

#[test]
fn every_command_ends_with_the_same_status_when_nobody_reads() {
    let folder = Folder::new("unread");
    let errors = folder.file("errors.json", crate::program::profile_text(&[("\"sil\": 3", "\"sil\": 9")]));
    let broken = folder.file("broken.json", "{");
    let noise = folder.file("noise.txt", "no frame\n");
    let whole = std::fs::read("vectors/demo/faulty.txt").expect("a capture");
    let gz = folder.path("cut.gz");
    let mut packed = gzip(&whole);
    packed.truncate(packed.len() / 2);
    std::fs::write(&gz, packed).expect("a file");
    let json = run(&["decode", GOOD[1], "--format", "json"]).exits(0).out;
    let half = json.replacen("\"codes\"", "\"cods\"", 1);
    let decoded = folder.file("decoded.json", &half);
    let faulty = "vectors/demo/faulty.txt";
    let run_altitudes = "vectors/demo/altitude_run.txt";
    let cases: &[(i32, &[&str])] = &[
        (0, &["profile", "new", "--registration", "N47QX"]),
        (2, &["profile", "new", "--registration", "N0QX"]),
        (0, &["profile", "check", PROFILE]),
        (1, &["profile", "check", &errors]),
        (1, &["profile", "check", &errors, PROFILE, "--format", "json"]),
        (2, &["profile", "check", PROFILE, "no_such_file.json"]),
        (0, &["profile", "check", "--list-rules"]),
        (0, &["profile", "schema"]),
        (0, &["profile", "sheet", PROFILE]),
        (0, &["profile", "where"]),
        (0, &["profile", "show", PROFILE]),
        (0, &["profile", "identity", "N47QX", PROFILE]),
        (2, &["profile", "set", PROFILE, "no_such_setting", "3"]),
        (2, &["profile", "ask", PROFILE, "--answers", "not_there.txt"]),
        (2, &["profile", "sheet", &errors]),
        (0, &["profile", "from-capture", GOOD[1], "--address", "A5C035"]),
        (1, &["profile", "from-capture", faulty, "--merge", PROFILE]),
        (2, &["profile", "from-capture", faulty]),
        (0, &["readback", PROFILE, "--form"]),
        (1, &["readback", PROFILE, "vectors/demo/readback.txt"]),
        (2, &["readback", PROFILE, &noise]),
        (0, &["watch", PROFILE, GOOD[1], "--ends-after", "1"]),
        (1, &["watch", PROFILE, faulty, "--ends-after", "1"]),
        (2, &["watch", PROFILE, &noise, "--ends-after", "1"]),
        (0, &["onair", PROFILE]),
        (0, &["onair", PROFILE, "--format", "json"]),
        (2, &["onair", &broken]),
        (0, &["encode", "--message", "aircraft_identification", "--set", "address=A5C035"]),
        (2, &["encode", &decoded]),
        (2, &["encode", "no_such_file"]),
        (0, &["decode", faulty]),
        (0, &["decode", faulty, "--format", "json"]),
        (0, &["decode", faulty, "--format", "csv"]),
        (0, &["decode", faulty, GOOD[0], "--format", "parquet"]),
        (2, &["decode", faulty, &gz, "--format", "json"]),
        (0, &["decode", "--schema"]),
        (2, &["decode", "no_such_file", faulty]),
        (0, &["explain", "8D4840D6202CC371C32CE0576098", "--steps"]),
        (2, &["explain", "8D48"]),
        (0, &["explain", "--list"]),
        (0, &["compare", PROFILE, "--capture", GOOD[0], GOOD[1]]),
        (1, &["compare", PROFILE, "--capture", faulty]),
        (1, &["compare", PROFILE, "--capture", faulty, "--format", "json"]),
        (1, &["compare", PROFILE, "--complete", "--capture", GOOD[0]]),
        (2, &["compare", PROFILE, "--capture", &noise]),
        (2, &["compare", PROFILE, "--capture", faulty, &gz]),
        (1, &["compare", "vectors/demo/fleet", "--details", "--capture", "vectors/demo/fleet.txt"]),
        (0, &["compare", PROFILE, "--plan"]),
        (0, &["compare", "--list-causes"]),
        (0, &["rehearse", PROFILE, "--for", "5"]),
        (0, &["rehearse", PROFILE, "--practice", "3", "--answer"]),
        (2, &["rehearse", PROFILE, "--mistake", "no_such_mistake"]),
        (0, &["address", "N47QX"]),
        (1, &["address", "N47QX", "A5C053", "--expected", "N47QX"]),
        (0, &["altitude", "14800"]),
        (1, &["altitude", "--readings", run_altitudes, "--ceiling", "15000"]),
        (0, &["altitude", "--prove", "15000"]),
        (0, &["encode", "--message", "airborne_velocity", "--set", "address=A5C035", "--steps"]),
        (0, &["explain", "--term", "NIC"]),
        (0, &["explain", "--list", "airborne_position"]),
        (0, &["learn"]),
        (0, &["learn", "position"]),
        (0, &["practice", "--seed", "7"]),
        (0, &["practice", "--sheet", "--seed", "7"]),
        (2, &["practice", "--kind", "no_such_kind"]),
        (0, &["guide"]),
        (0, &["guide", "technician"]),
        (0, &["guide", "--list"]),
        (2, &["guide", "technician", "cookery"]),
        (0, &["completions", "bash"]),
        (0, &["manual"]),
    ];
    for (status, arguments) in cases {
        let read = command(arguments).stdin(Stdio::null()).output().expect("it runs");
        let said = String::from_utf8(read.stderr).expect("text");
        assert_eq!(read.status.code(), Some(*status), "{arguments:?}: {said}");
        let (unread, err) = unread(arguments, b"");
        assert_eq!(unread, *status, "{arguments:?}: {err}");
        assert_eq!(err, said, "{arguments:?}");
    }
    // None is left out. The page serves until it is stopped.
    for (of, leading) in [(&[][..], 0), (&["profile"], 1)] {
        for name in commands(of) {
            let tried = cases.iter().any(|(_, arguments)| arguments.get(leading) == Some(&&*name));
            assert!(tried || name == "page", "{name} is not tried");
        }
    }
    // And from standard input.
    let (half, bad) = (half.as_bytes(), b"A5C0".as_slice());
    for (status, arguments, input) in [
        (2, &["encode"][..], half),
        (1, &["compare", PROFILE, "--capture", "-"], &whole),
        (1, &["watch", PROFILE], &whole),
        (2, &["watch", PROFILE], bad),
        (0, &["profile", "from-capture", "-", "--address", "A5C035"], &whole),
        (2, &["compare", PROFILE, "--capture", "-"], bad),
        (0, &["decode"], &whole),
        (2, &["profile", "check", "-"], b"\xFF\xFE{\0"),
    ] {
        let read = run_with(arguments, input).exits(status);
        let (status, err) = unread(arguments, input);
        assert_eq!(status, read.status, "{arguments:?}: {err}");
    }
}

fn gzip(bytes: &[u8]) -> Vec<u8> {
    let mut encoder = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
    encoder.write_all(bytes).expect("memory");
    encoder.finish().expect("memory")
}

/// Waits for a program that would go on for ever if it did not see that nobody reads.
fn ends(mut child: Child, what: &str) -> i32 {
    let started = Instant::now();
    loop {
        if let Some(status) = child.try_wait().expect("a child") {
            return status.code().expect("an exit status");
        }
        if started.elapsed() > Duration::from_mins(1) {
            child.kill().expect("it is ours");
            panic!("{what} goes on although nobody reads");
        }
        std::thread::sleep(Duration::from_millis(20));
    }
}

#[test]
fn what_has_no_end_is_given_up_when_nobody_reads() {
    let closed = || {
        let (reader, writer) = std::io::pipe().expect("a pipe");
        drop(reader);
        writer
    };
    let rehearsal = command(&["rehearse", PROFILE, "--for", "1000000000"])
        .stdin(Stdio::null())
        .stdout(closed())
        .stderr(Stdio::null())
        .spawn()
        .expect("it starts");
    assert_eq!(ends(rehearsal, "rehearse"), 0);
    let line = run(&["decode", GOOD[1], "--format", "json"]).exits(0).out.lines().next().expect("a line").to_owned();
    let frame = "8D4840D6202CC371C32CE0576098";
    for (arguments, line) in
        [(&["decode"][..], frame), (&["decode", "-", "--format", "csv"], frame), (&["encode"], &line)]
    {
        let mut child =
            command(arguments).stdin(Stdio::piped()).stdout(closed()).stderr(Stdio::null()).spawn().expect("it starts");
        let mut stdin = child.stdin.take().expect("a pipe");
        let block = format!("{line}\n").repeat(1000);
        // Lines without end, until the program closes its input.
        let writing = std::thread::spawn(move || while stdin.write_all(block.as_bytes()).is_ok() {});
        assert_eq!(ends(child, arguments[0]), 0);
        writing.join().expect("the writer ends");
    }
}
