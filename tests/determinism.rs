//! The same bytes for any number of threads, language, time zone, terminal, colour setting, working folder; from a file, a
//! pipe or compressed; read by a pipe or a file; today and tomorrow.

use crate::program::{Folder, GOOD, PROFILE, SITUATION, command, commands, run};
use std::io::Write;
use std::process::{Command, Stdio};

/// Every command, with what takes long left short; `OUT` is a file that is made.
const COMMANDS: &[&[&str]] = &[
    &["profile", "new", "--registration", "N47QX", "--kind", "aeroplane", "--maximum-take-off-weight", "2550lb"],
    &["profile", "check", PROFILE, "--rules", "united_states"],
    &["profile", "check", PROFILE, "--format", "json"],
    &["profile", "check", "--list-rules"],
    &["profile", "schema"],
    &["profile", "sheet", PROFILE],
    &["profile", "sheet", PROFILE, "--record", "OUT"],
    &["profile", "sheet", PROFILE, "--drawing", "OUT"],
    &["profile", "where"],
    &["profile", "show", PROFILE],
    &["profile", "identity", "N47QX", PROFILE],
    &["profile", "identity", "N47QX", PROFILE, "--record", "OUT"],
    &["profile", "sheet", PROFILE, "--card"],
    &["profile", "from-capture", GOOD[1], "--address", "A5C035", "--out", "OUT"],
    &["readback", PROFILE, "--form"],
    &["readback", PROFILE, "vectors/demo/readback.txt", "--record", "OUT"],
    &["watch", PROFILE, "vectors/demo/faulty.txt", "--ends-after", "1", "--record", "OUT"],
    &["onair", PROFILE],
    &["onair", PROFILE, "--situation", SITUATION, "--format", "json"],
    &["onair", PROFILE, "--record", "OUT"],
    &["encode", "--message", "aircraft_identification", "--set", "address=A5C035"],
    &["decode", GOOD[1]],
    &["decode", GOOD[1], "--format", "json"],
    &["decode", GOOD[1], "--format", "csv"],
    &["decode", GOOD[1], "--format", "parquet", "--out", "OUT"],
    &["decode", "--schema"],
    &["onair", "--schema"],
    &["explain", "8DA5C0355826852F727E44BE557D", "--steps"],
    &["explain", "--list"],
    &["compare", PROFILE, "--capture", "vectors/demo/faulty.txt"],
    &["compare", PROFILE, "--capture", "vectors/demo/faulty.txt", "--format", "json"],
    &["compare", PROFILE, "--capture", "vectors/demo/faulty.txt", "--record", "OUT"],
    &["compare", PROFILE, "--before", "vectors/demo/faulty.txt", "--capture", GOOD[1]],
    &["compare", "vectors/demo/fleet", "--capture", "vectors/demo/fleet.txt", "--details"],
    &["compare", PROFILE, "--plan"],
    &["compare", "--list-causes"],
    &["rehearse", PROFILE, "--for", "30", "--other-aircraft", "5", "--loss", "3", "--bit-errors", "0.1"],
    &["rehearse", PROFILE, "--practice", "7", "--for", "30"],
    &["rehearse", PROFILE, "--practice", "7", "--answer"],
    &["address", "N47QX", "A5C053", "--expected", "N47QX"],
    &["altitude", "14800"],
    &["altitude", "--readings", "vectors/demo/altitude_run.txt"],
    &["altitude", "--readings", "vectors/demo/altitude_run.txt", "--record", "OUT"],
    &["altitude", "--prove", "15000"],
    &[
        "encode",
        "--message",
        "airborne_velocity",
        "--set",
        "address=A5C035",
        "--set",
        "ground_speed_kt=118",
        "--set",
        "track_deg=271.5",
        "--steps",
    ],
    &["learn", "position"],
    &["practice", "--sheet", "--seed", "7"],
    &["practice", "--seed", "7", "--solution"],
    &["guide", "technician"],
    &["completions", "bash"],
    &["manual"],
];

/// Everything that a run gives: status, both streams, the file.
type Given = (Option<i32>, Vec<u8>, Vec<u8>, Option<Vec<u8>>);

fn given(arguments: &[&str], folder: &Folder, prepare: impl FnOnce(&mut Command)) -> Given {
    let out = folder.path("out");
    let _ = std::fs::remove_file(&out);
    let arguments: Vec<&str> = arguments.iter().map(|each| if *each == "OUT" { &out } else { *each }).collect();
    let mut program = command(&arguments);
    // Records say when they were made.
    program.env("SOURCE_DATE_EPOCH", "1750000000").stdin(Stdio::null());
    prepare(&mut program);
    let output = program.output().expect("it runs");
    (output.status.code(), output.stdout, output.stderr, std::fs::read(&out).ok())
}

#[test]
fn every_command_says_the_same_bytes_wherever_it_runs() {
    let folder = Folder::new("determinism_where");
    for arguments in COMMANDS {
        let first = given(arguments, &folder, |_| {});
        assert!(first.0.is_some_and(|code| code < 2), "{arguments:?}: {}", String::from_utf8_lossy(&first.2));
        assert_eq!(first.3.is_some(), arguments.contains(&"OUT"), "{arguments:?}");
        let same = |what: &str, other: &Given| {
            assert!(*other == first, "{arguments:?} says something else {what}");
        };
        same("the second time", &given(arguments, &folder, |_| {}));
        for (variable, values) in [
            ("LC_ALL", &["C", "de_DE.UTF-8", "tr_TR.UTF-8", "nonsense"][..]),
            ("LANG", &["ar_EG.UTF-8"]),
            ("TZ", &["America/St_Johns", "Pacific/Kiritimati", "nonsense"]),
            ("COLUMNS", &["20", "300"]),
            ("TERM", &["dumb", "xterm-256color"]),
            ("NO_COLOR", &["1"]),
            ("CLICOLOR", &["1"]),
            ("RAYON_NUM_THREADS", &["1", "7"]),
            ("RUST_BACKTRACE", &["full"]),
            ("HOME", &["/nowhere"]),
        ] {
            for value in values {
                same(
                    &format!("with {variable}={value}"),
                    &given(arguments, &folder, |program| {
                        program.env(variable, value);
                    }),
                );
            }
        }
        same(
            "without surroundings",
            &given(arguments, &folder, |program| {
                program.env_clear().env("SOURCE_DATE_EPOCH", "1750000000");
            }),
        );
        if ["decode", "compare"].contains(&arguments[0]) && !arguments.contains(&"--list-causes") {
            for threads in ["1", "2", "5", "64"] {
                let more = [arguments, &["--threads", threads][..]].concat();
                same(&format!("on {threads} threads"), &given(&more, &folder, |_| {}));
            }
        }
        // To a file as to a pipe.
        let (file, path) = (std::fs::File::create(folder.path("standard")).expect("a file"), folder.path("standard"));
        let to_file = given(arguments, &folder, |program| {
            program.stdout(file);
        });
        let status = std::fs::read(path).expect("a file");
        assert!(status == first.1 && to_file.0 == first.0 && to_file.3 == first.3, "{arguments:?} to a file");
    }
}

#[test]
fn every_command_is_here() {
    for (of, leading) in [(&[][..], 0), (&["profile"], 1)] {
        for name in commands(of) {
            let tried = COMMANDS.iter().any(|arguments| arguments.get(leading) == Some(&&*name));
            // The page serves until it is stopped, and has tests of its own; so have those that change a file.
            assert!(tried || ["page", "ask", "set"].contains(&&*name), "{name} is not tried");
        }
    }
}

#[test]
fn a_capture_says_the_same_whichever_way_it_comes() {
    let folder = Folder::new("determinism_way");
    let plain = std::fs::read("vectors/demo/faulty.txt").expect("a capture");
    let mut encoder = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::best());
    encoder.write_all(&plain).expect("memory");
    let gzip = encoder.finish().expect("memory");
    let zstd = ruzstd::encoding::compress_to_vec(plain.as_slice(), ruzstd::encoding::CompressionLevel::Fastest);
    // One name, so that it is not what differs.
    let file = folder.path("capture");
    for arguments in [
        &["decode", "IN", "--format", "json"][..],
        &["decode", "IN"],
        &["decode", "IN", "--format", "csv"],
        &["compare", PROFILE, "--capture", "IN", "--format", "json"],
    ] {
        let of_file = |octets: &[u8]| {
            std::fs::write(&file, octets).expect("a file");
            let arguments: Vec<&str> = arguments.iter().map(|each| if *each == "IN" { &file } else { *each }).collect();
            let said = run(&arguments);
            (said.status, said.out, said.err)
        };
        let first = of_file(&plain);
        assert_eq!(of_file(&gzip), first, "{arguments:?} of gzip");
        assert_eq!(of_file(&zstd), first, "{arguments:?} of zstd");
        // Standard input has another name and no other difference, in pieces of any size.
        let arguments: Vec<&str> = arguments.iter().map(|each| if *each == "IN" { "-" } else { *each }).collect();
        let renamed = |text: &str| text.replace(&format!("\"{file}\""), "\"-\"").replace(&file, "-");
        for piece in [7, 4096, plain.len()] {
            for octets in [&plain, &gzip, &zstd] {
                let mut child = command(&arguments)
                    .stdin(Stdio::piped())
                    .stdout(Stdio::piped())
                    .stderr(Stdio::piped())
                    .spawn()
                    .expect("it starts");
                let (mut input, octets) = (child.stdin.take().expect("a pipe"), octets.clone());
                let writing =
                    std::thread::spawn(move || octets.chunks(piece).all(|piece| input.write_all(piece).is_ok()));
                let output = child.wait_with_output().expect("it ends");
                assert!(writing.join().expect("it is written"));
                assert_eq!(output.status.code(), Some(first.0));
                let out = String::from_utf8_lossy(&output.stdout);
                assert!(out == renamed(&first.1), "{arguments:?} in pieces of {piece}");
            }
        }
    }
}

#[test]
fn a_date_that_cannot_be_used_is_an_error_and_no_record_is_written() {
    let folder = Folder::new("determinism_date");
    for arguments in [
        &["profile", "sheet", PROFILE][..],
        &["profile", "sheet", PROFILE, "--card"],
        &["profile", "identity", "N48QX", PROFILE],
        &["onair", PROFILE],
        &["compare", PROFILE, "--capture", GOOD[0]],
        &["compare", PROFILE, "--series", GOOD[0], GOOD[1]],
        &["watch", PROFILE, GOOD[0], "--ends-after", "1"],
        &["readback", PROFILE, "vectors/demo/readback.txt"],
        &["altitude", "--readings", "vectors/demo/altitude_run.txt"],
    ] {
        let arguments = [arguments, &["--record", "OUT"]].concat();
        for wrong in ["", "yesterday", "1e9", "1750000000.5", "99999999999999999999", "9223372036854775807"] {
            let (status, out, said, record) = given(&arguments, &folder, |program| {
                program.env("SOURCE_DATE_EPOCH", wrong);
            });
            let said = String::from_utf8_lossy(&said);
            assert_eq!(status, Some(2), "{arguments:?} {wrong}: {said}");
            assert!(record.is_none_or(|record| record.is_empty()) && out.is_empty(), "{arguments:?} {wrong}: {said}");
            for words in ["SOURCE_DATE_EPOCH", &format!("{wrong:?}"), "seconds since 1970", "or unset it"] {
                assert!(said.contains(words), "{words}: {said}");
            }
        }
        // Before 1970 is a date too, if an unlikely one; and without a record it is not asked for.
        let (_, _, said, record) = given(&arguments, &folder, |program| {
            program.env("SOURCE_DATE_EPOCH", "-1");
        });
        let said = String::from_utf8_lossy(&said);
        assert!(record.is_some_and(|record| !record.is_empty()) && !said.contains("SOURCE_DATE_EPOCH"), "{said}");
    }
}
