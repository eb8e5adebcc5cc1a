//! Captured text of every kind, good and bad: what becomes of each line, and how long the reading goes on.

use crate::program::{Folder, GOOD, PROFILE, Said, command, flat, run, run_with};
use crate::random::Random;
use flate2::Compression;
use flate2::write::GzEncoder;
use ruzstd::encoding::{CompressionLevel, compress_to_vec};
use serde_json::{Value, json};
use squitterlab::capture::{Line, read_from, read_line, read_lines};
use std::fmt::Write as _;
use std::io::{BufRead, BufReader, Write};
use std::ops::ControlFlow;
use std::process::Stdio;

/// "The 1090 Megahertz Riddle", 2nd edition (revised), ch. 3, 3.5: an aircraft identification.
const FRAME: &str = "8D4840D6202CC371C32CE0576098";

fn gzip(bytes: &[u8]) -> Vec<u8> {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::default());
    encoder.write_all(bytes).expect("memory");
    encoder.finish().expect("memory")
}

fn zstd(bytes: &[u8]) -> Vec<u8> {
    compress_to_vec(bytes, CompressionLevel::Fastest)
}

/// Decodes this as standard input, in JSON.
fn decode(input: &[u8]) -> Said {
    run_with(&["decode", "-", "--format", "json"], input)
}

/// The account that `compare` gives of this text; no frame of it belongs to the profile.
fn account(input: &[u8]) -> Value {
    let said = run_with(&["compare", PROFILE, "--capture", "-", "--format", "json"], input).exits(2);
    let account = said.object()["capture"].clone();
    let number = |key: &str| account[key].as_u64().expect("a number");
    let skipped: u64 = account["skipped"].as_object().expect("an object").values().filter_map(Value::as_u64).sum();
    assert_eq!(number("lines"), number("frames") + number("comments") + skipped, "{account}");
    account
}

#[track_caller]
fn skipped(line: impl AsRef<[u8]>, reason: &str) {
    let line = line.as_ref();
    let found = account(line);
    assert_eq!(found["skipped"], json!({reason: 1}), "{}", String::from_utf8_lossy(line));
    assert_eq!(found["frames"], 0, "{}", String::from_utf8_lossy(line));
}

#[track_caller]
fn read_as(line: &str, frame: &str, time: Option<f64>) {
    let object = decode(line.as_bytes()).exits(0).object();
    assert_eq!(object["frame"], frame, "{line}");
    assert_eq!(object.get("time").and_then(Value::as_f64), time, "{line}");
}

#[test]
fn every_line_is_a_frame_a_comment_or_skipped_with_a_reason() {
    skipped("receiver restarted", "no_frame");
    skipped("8D4840D6202CC371C32CE05760", "wrong_length");
    skipped("8D4840D6202CC371C32CE057609800", "wrong_length");
    skipped("8D4840D6202CC371C32CE057609G", "not_hexadecimal");
    skipped(format!("{FRAME} {FRAME}"), "several_frames");
    skipped(format!("{FRAME} 5D406FDB0D62DD"), "several_frames");
    skipped("{\"frame\": 5}", "bad_json");
    skipped("{\"frame\": \"8D48", "bad_json");
    skipped("{}", "bad_json");
    skipped("{\"frame\": \"8D48\"}", "wrong_length");
    skipped(format!("{{\"frame\": \"{FRAME}\", \"time\": \"2026-01-01\"}}"), "bad_time");
    skipped(format!("{{\"frame\": \"{FRAME}\", \"time\": true}}"), "bad_time");
    for twice in ["\"frame\": 5", "\"time\": 1, \"time\": 1", "\"time\": 1, \"x\": {}, \"time\": null"] {
        skipped(format!("{{\"frame\": \"{FRAME}\", {twice}}}"), "key_twice");
    }
    skipped([0, 0, 0], "not_text");
    skipped([b"A".repeat(10_000_000), b"\n".to_vec()].concat(), "too_long");
}

#[test]
fn blank_lines_and_lines_that_begin_with_a_number_sign_are_comments() {
    let found = account(format!("# a comment with {FRAME}\n\n   \n#\n").as_bytes());
    assert_eq!(found["comments"], 4);
    assert_eq!((found["lines"].as_u64(), found["frames"].as_u64()), (Some(4), Some(0)));
}

#[test]
fn a_long_comment_is_a_comment() {
    let long = ["# ".to_owned(), "x".repeat(100_000), "\n".to_owned(), " ".repeat(100_000), "\n".to_owned()].concat();
    let found = account(long.as_bytes());
    assert_eq!(found["comments"], 2, "{found}");
}

#[test]
fn reading_goes_on_behind_a_long_line() {
    let text = [b"A".repeat(10_000_000), format!("\n{FRAME}\n").into_bytes()].concat();
    let object = decode(&text).exits(0).object();
    assert_eq!((object["line"].as_u64(), object["frame"].as_str()), (Some(2), Some(FRAME)));
}

#[test]
fn the_frame_of_a_line_is_its_only_run_of_the_right_length() {
    read_as(FRAME, FRAME, None);
    read_as(&FRAME.to_lowercase(), FRAME, None);
    read_as(&format!("<frame>{FRAME}</frame>"), FRAME, None);
    read_as(&format!("north mast | {FRAME} | strong"), FRAME, None);
    read_as(&format!("{{\"frame\": \"{FRAME}\", \"time\": 7.5, \"level\": -3}}"), FRAME, Some(7.5));
    // All-decimal frames: alone they are frames, before another they are its time.
    read_as("28000000000000", "28000000000000", None);
    read_as(&format!("12345678901 {FRAME}"), FRAME, Some(12_345_678_901.0));
    read_as(&format!("12345678901.5 {FRAME}"), FRAME, Some(12_345_678_901.5));
    // What no number of seconds is, such as milliseconds since 1970, is no time, a time of day without its day or zone and
    // a decimal comma neither; each is counted.
    for before in ["12345678901234", "1714557600123.5", "2024-05-01T10:11:40.0", "10:11:40.0", "12,345"] {
        read_as(&format!("{before} {FRAME}"), FRAME, None);
        let line = format!("{before} {FRAME}");
        assert!(matches!(read_line(line.as_bytes()), Line::Frame { unclear: true, .. }), "{before}");
    }
}

#[test]
fn a_time_is_seconds_or_iso_8601_with_its_zone() {
    // 2026-01-01 00:00 UTC is 20 454 days after 1970-01-01: 56 years with 14 leap days.
    let midnight = 20_454.0 * 86_400.0;
    read_as(&format!("0.25,{FRAME}"), FRAME, Some(0.25));
    read_as(&format!("2026-01-01T00:00:00Z {FRAME}"), FRAME, Some(midnight));
    read_as(&format!("2026-01-01 00:00:00+01:00 {FRAME}"), FRAME, Some(midnight - 3600.0));
    read_as(&format!("{{\"frame\": \"{FRAME}\", \"time\": \"2026-01-01T00:00:00Z\"}}"), FRAME, Some(midnight));
    // Without a zone nobody knows when it was.
    read_as(&format!("2026-01-01T00:00:00 {FRAME}"), FRAME, None);
}

/// The quick ways of reading a line say what the slow one says of the same line with blanks around it, whatever stands
/// before the frame; and a number is the float nearest to it, as the standard library reads it.
#[test]
fn however_a_number_is_written_its_line_says_the_same_in_every_way_of_reading() {
    let mut random = Random(20);
    let mut pick = |of: &str| {
        let at = random.next() as usize % of.len();
        of[at..=at].to_owned()
    };
    let (mut timed, mut untimed) = (0, 0);
    for at in 0..40_000 {
        let symbols = if at % 4 == 0 { "0123456789.-, :" } else { "0123456789." };
        let length = 1 + at % 19;
        let before: String = (0..length).map(|_| pick(symbols)).collect();
        let frame = if at % 3 == 0 { "5D406FDB0D62DD" } else { FRAME };
        let line = format!("{before}{}{frame}", pick(" ,"));
        let read = |text: &str| {
            let mut found = Vec::new();
            let accounting = read_lines(text.as_bytes(), 1, |record| {
                found.push((record.time, record.frame));
                ControlFlow::Continue(())
            });
            (found, accounting.frames, accounting.time_not_understood, accounting.lines())
        };
        let quick = read(&format!("{line}\n"));
        assert_eq!(quick, read(&format!(" {line} \n")), "{line}");
        assert_eq!(quick, read(&line), "{line}");
        if let (Ok(number), [(time, _)]) = (before.parse::<f64>(), &quick.0[..])
            && !before.trim_start_matches('-').starts_with('.')
            && !before.ends_with('.')
        {
            assert_eq!(*time, Some(number).filter(|number| number.abs() < 1e11), "{line}");
            timed += usize::from(time.is_some());
        } else {
            untimed += 1;
        }
    }
    assert!(timed > 5_000 && untimed > 5_000, "{timed} {untimed}");
}

#[test]
fn windows_text_with_a_mark_at_its_start_reads_as_any() {
    let text = format!("\u{FEFF}{FRAME}\r\n\r\n# comment\r\n1.5 {FRAME}\r\n");
    let said = decode(text.as_bytes()).exits(0);
    assert_eq!(said.objects().len(), 2);
    said.complains_of(&["4 lines = 2 frames + 2 comments + 0 skipped"]);
    // Where such files were joined, the mark of the second stands before a later line.
    let joined =
        format!("{text}\u{FEFF}2.5 {FRAME}\r\n\u{FEFF}# {FRAME}\r\n\u{FEFF}\r\n\u{FEFF}{{\"frame\": \"{FRAME}\"}}\n");
    let said = decode(joined.as_bytes()).exits(0);
    let times: Vec<Value> = said.objects().iter().map(|object| object["time"].clone()).collect();
    assert_eq!(times, [json!(null), json!(1.5), json!(2.5), json!(null)]);
    said.complains_of(&["8 lines = 4 frames + 4 comments + 0 skipped"]);
}

#[test]
fn utf_16_is_refused_with_what_to_do() {
    for little in [true, false] {
        let unit = |unit: u16| if little { unit.to_le_bytes() } else { unit.to_be_bytes() };
        let text: Vec<u8> = format!("\u{FEFF}{FRAME}\n").encode_utf16().flat_map(unit).collect();
        let said = decode(&text).exits(2);
        assert_eq!(said.out, "");
        said.complains_of(&["UTF-16", "save it as UTF-8"]);
    }
}

#[test]
fn an_octet_that_no_text_has_spoils_only_its_own_line() {
    let text = [b"\0\0\n\xff\xfa\n".as_slice(), FRAME.as_bytes()].concat();
    let said = decode(&text).exits(0);
    assert_eq!(said.object()["line"], 3);
    said.complains_of(&["3 lines = 1 frame + 0 comments + 2 skipped", "not text"]);
}

#[test]
fn an_empty_capture_is_no_error_to_decode_and_one_to_compare() {
    let said = decode(b"").exits(0);
    assert_eq!(said.out, "");
    said.complains_of(&["0 lines = 0 frames + 0 comments + 0 skipped"]);
    let said = run_with(&["compare", PROFILE, "--capture", "-"], b"").exits(2);
    assert!(said.out.starts_with("0 of "), "{}", said.out);
    said.complains_of(&["the capture is empty"]);
    run_with(&["compare", PROFILE, "--capture", "-"], b"nothing\n").exits(2).complains_of(&["has no frame"]);
    run_with(&["compare", PROFILE, "--capture", "-"], FRAME.as_bytes()).exits(2).complains_of(&["no valid frame"]);
}

#[test]
fn files_that_cannot_be_read_are_named() {
    let said = run(&["decode", "no_such_file.txt", "--format", "json"]).exits(2);
    said.complains_of(&["no_such_file.txt"]);
    // A folder is refused in the same words by everything that reads a file, on every system.
    for arguments in [
        &["compare", PROFILE, "--capture", "tests"][..],
        &["profile", "check", "tests"],
        &["onair", PROFILE, "--situation", "tests"],
        &["readback", PROFILE, "tests"],
        &["altitude", "--run", "tests"],
    ] {
        let words = ["tests:", "this is a folder (a directory); name a file in it"];
        run(arguments).exits(2).complains_of(&words);
    }
    // What can be read is read all the same.
    let said = run(&["decode", "no_such_file.txt", "vectors/demo/good_air.txt", "--format", "json"]).exits(2);
    assert_eq!(said.objects().len(), 152);
}

#[test]
fn compressed_captures_are_read_as_plain_ones_whatever_their_names() {
    let folder = Folder::new("compressed");
    let plain = std::fs::read("vectors/demo/good_air.txt").expect("the demo capture");
    let frames = |said: &Said| said.objects().iter().map(|o| o["frame"].clone()).collect::<Vec<_>>();
    let expected = frames(&decode(&plain).exits(0));
    assert_eq!(expected.len(), 152);
    for (name, packed) in [("air.gz", gzip(&plain)), ("air.zst", zstd(&plain)), ("air.txt", zstd(&plain))] {
        let file = folder.file(name, &packed);
        assert_eq!(frames(&run(&["decode", &file, "--format", "json"]).exits(0)), expected, "{name}");
        assert_eq!(frames(&decode(&packed).exits(0)), expected, "{name} as standard input");
    }
}

#[test]
fn compressed_files_that_were_joined_are_read_to_their_end() {
    let one = format!("{FRAME}\n");
    for (name, pack) in [("gzip", gzip as fn(&[u8]) -> Vec<u8>), ("zstd", zstd)] {
        let joined = [pack(one.as_bytes()), pack(one.repeat(2).as_bytes())].concat();
        let said = decode(&joined).exits(0);
        assert_eq!(said.objects().len(), 3, "{name}: {}", said.err);
    }
}

/// RFC 8878, 3.1.2: skippable frames have a magic number of their own, sixteen of them, and a length.
#[test]
fn zstd_frames_that_hold_no_text_are_skipped_wherever_they_are() {
    let (first, second) = (zstd(format!("{FRAME}\n").as_bytes()), zstd(format!("1.5 {FRAME}\n").as_bytes()));
    for kind in 0x50..=0x5F_u8 {
        for length in [0_u32, 1, 4, 70_000] {
            let none = [&[kind, 0x2A, 0x4D, 0x18], &length.to_le_bytes()[..], &vec![kind; length as usize]].concat();
            for (pieces, frames) in [
                (&[&none][..], 0),
                (&[&none, &none], 0),
                (&[&none, &first, &second], 2),
                (&[&first, &none, &none, &second], 2),
                (&[&first, &second, &none], 2),
            ] {
                let packed: Vec<u8> = pieces.iter().flat_map(|piece| piece.iter().copied()).collect();
                let mut read = 0;
                let end = read_from("skippable", Box::new(std::io::Cursor::new(packed)), |_| {
                    read += 1;
                    ControlFlow::Continue(())
                });
                let accounting = end.unwrap_or_else(|error| panic!("{kind:02X} {length}: {error}"));
                assert_eq!((read, accounting.lines()), (frames, frames), "{kind:02X} {length}");
            }
            for cut in [5, 7, none.len() - 1].into_iter().filter(|cut| *cut < none.len()) {
                let packed = [&first[..], &none[..cut]].concat();
                let end = read_from("cut", Box::new(std::io::Cursor::new(packed)), |_| ControlFlow::Continue(()));
                assert!(end.is_err(), "{kind:02X} {length} cut after {cut}");
            }
        }
    }
}

#[test]
fn members_without_number_take_no_more_memory_than_one() {
    let line = format!("{FRAME}\n");
    for (name, one) in [("gzip", gzip(line.as_bytes())), ("zstd", zstd(line.as_bytes()))] {
        let joined = one.repeat(30_000);
        let mut read = 0;
        let end = read_from(name, Box::new(std::io::Cursor::new(joined)), |_| {
            read += 1;
            ControlFlow::Continue(())
        });
        assert!(end.is_ok(), "{name}");
        assert_eq!(read, 30_000, "{name}");
    }
}

#[test]
fn what_is_behind_compressed_data_is_told_from_data_that_ends_early() {
    let line = format!("{FRAME}\n");
    for (name, pack) in [("gzip", gzip as fn(&[u8]) -> Vec<u8>), ("zstd", zstd)] {
        let one = pack(line.as_bytes());
        for behind in [&b"x"[..], b"xy", b"hello", b"hello, hello, hello", &[0; 3], &[0; 600]] {
            let said = decode(&[&one[..], behind].concat()).exits(2);
            assert_eq!(said.objects().len(), 1, "{name}");
            said.complains_of(&["after line 1", "followed by something else"]);
        }
        for cut in 5..one.len() {
            let said = decode(&one[..cut]).exits(2);
            assert!(!said.err.contains("panicked"), "{name} {cut}: {}", said.err);
        }
    }
}

#[test]
fn compressed_nothing_is_nothing() {
    decode(&gzip(b"")).exits(0).complains_of(&["0 lines = 0 frames"]);
    decode(&zstd(b"")).exits(0).complains_of(&["0 lines = 0 frames"]);
}

#[test]
fn a_compressed_capture_that_breaks_off_gives_what_it_has_and_exits_with_2() {
    let mut plain = String::new();
    for second in 0..20_000 {
        writeln!(plain, "{second}.5 {FRAME}").expect("text");
    }
    let packed = gzip(plain.as_bytes());
    let said = decode(&packed[..packed.len() / 2]).exits(2);
    let read = said.objects().len();
    assert!((1_000..20_000).contains(&read), "{read}");
    said.complains_of(&["reading stopped after line", &format!("= {read} frames")]);
}

#[test]
fn broken_compression_is_said_in_plain_words() {
    let packed = zstd(format!("{FRAME}\n").repeat(100).as_bytes());
    let said = decode(&packed[..packed.len() - 8]).exits(2);
    said.complains_of(&["reading stopped"]);
    for jargon in ["BlockContentReadError", "UnexpectedEof", "kind:"] {
        assert!(!said.err.contains(jargon), "{}", flat(&said.err));
    }
    decode(b"\x1f\x8b\x08 nothing of this is gzip").exits(2).complains_of(&["gzip"]);
}

#[test]
fn one_wrong_bit_in_compressed_text_never_passes_for_the_text() {
    let plain = format!("{FRAME}\n12.5 {FRAME}\n").repeat(1_000);
    for (format, packed) in [("gzip", gzip(plain.as_bytes())), ("zstd", zstd(plain.as_bytes()))] {
        // The headers can say the same in several ways.
        for at in (20..packed.len()).step_by(packed.len() / 50) {
            let mut damaged = packed.clone();
            damaged[at] ^= 1 << (at % 8);
            let mut read = Vec::new();
            let end = read_from("damaged", Box::new(std::io::Cursor::new(damaged)), |record| {
                read.push(record);
                ControlFlow::Continue(())
            });
            assert!(end.is_err(), "{format}: octet {at} of {}, {} frames", packed.len(), read.len());
        }
    }
}

#[test]
fn a_reader_that_has_had_enough_is_no_error() {
    let folder = Folder::new("first_line");
    let file = folder.file("many.txt", format!("{FRAME}\n").repeat(20_000));
    for arguments in [vec!["decode", file.as_str()], vec!["explain", "--list"], vec!["onair", PROFILE]] {
        let mut child = command(&arguments)
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("it starts");
        let mut first = String::new();
        // The pipe closes when its reader goes at the end of this statement.
        BufReader::new(child.stdout.take().expect("a pipe")).read_line(&mut first).expect("a line");
        let output = child.wait_with_output().expect("it ends");
        assert!(!first.is_empty());
        assert_eq!(output.status.code(), Some(0), "{arguments:?}");
        let err = String::from_utf8_lossy(&output.stderr);
        assert!(!err.contains("panicked") && !err.to_lowercase().contains("pipe"), "{err}");
    }
}

/// One moment in every form that `--time-format` and `--zone` take, written down by hand: 2024-05-01 10:00:00.25 UTC is
/// 1714557600.25 s after 1970 (computed with `date`), and 36 000.25 s into its day.
#[test]
fn one_moment_is_read_in_every_form() {
    let moment = 1_714_557_600.25;
    for (written, options, wanted) in [
        ("1714557600.25", &[][..], moment),
        ("1714557600.25", &["--time-format", "seconds"], moment),
        ("1714557600250", &["--time-format", "milliseconds"], moment),
        ("1714557600250.0", &["--time-format", "milliseconds"], moment),
        ("1714557600250000", &["--time-format", "microseconds"], moment),
        ("1714557600250000000", &["--time-format", "nanoseconds"], moment),
        ("2024-05-01T10:00:00.25Z", &[], moment),
        ("2024-05-01T12:00:00.25+02:00", &["--time-format", "iso"], moment),
        ("2024-05-01T10:00:00.25", &["--zone", "UTC"], moment),
        ("2024-05-01 10:00:00.25", &["--zone", "UTC"], moment),
        ("2024-05-01 12:00:00.25", &["--zone", "+02:00"], moment),
        ("2024-05-01 04:30:00.25", &["--zone", "-05:30"], moment),
        ("2024-05-01T10:00:00.25Z", &["--zone", "+09:00"], moment),
        ("10:00:00.25", &["--time-format", "time-of-day"], 36_000.25),
        ("10:00:00.25Z", &["--time-format", "time-of-day"], 36_000.25),
    ] {
        let lines = [format!("{written} {FRAME}\n"), format!("{{\"time\": \"{written}\", \"frame\": \"{FRAME}\"}}\n")];
        for line in lines {
            let arguments = [&["decode", "-", "--format", "json"][..], options].concat();
            let said = run_with(&arguments, line.as_bytes()).exits(0);
            assert_eq!(said.object()["time"], wanted, "{line} {options:?}");
        }
    }
    // What is not in the form is no time, and is counted.
    for (written, options) in [
        ("1714557600250", &[][..]),
        ("2024-05-01T10:00:00.25", &[]),
        ("10:00:00.25", &[]),
        ("1714557600.25", &["--time-format", "iso"]),
        ("2024-05-01T10:00:00.25Z", &["--time-format", "milliseconds"]),
        ("25:00:00", &["--time-format", "time-of-day"]),
    ] {
        let line = format!("{written} {FRAME}\n");
        let arguments = [&["compare", PROFILE, "--capture", "-", "--format", "json"][..], options].concat();
        let account = run_with(&arguments, line.as_bytes()).exits(2).object()["capture"].clone();
        assert_eq!(
            (&account["untimed"], &account["time_not_understood"]),
            (&1.into(), &1.into()),
            "{line} {options:?}"
        );
    }
    for (zone, words) in
        [("+2", "+HH:MM"), ("+24:00", "+HH:MM"), ("-01:75", "+HH:MM"), ("Nowhere/Land", "Europe/Berlin")]
    {
        run_with(&["decode", "-", &format!("--zone={zone}")], b"").exits(2).complains_of(&[words]);
    }
}

/// Clocks of central Europe go from 02:00 to 03:00 on 29 March 2026, and from 03:00 to 02:00 on 25 October (the last
/// Sundays of both months). Seconds computed with `date`.
#[test]
fn a_time_that_a_change_of_clocks_leaves_out_or_makes_twice_is_not_understood() {
    use squitterlab::capture::{Clock, Line, TimeForm, read_line_by};
    let zone = jiff::tz::TimeZone::posix("CET-1CEST,M3.5.0,M10.5.0/3").expect("a zone");
    let clock = Clock { form: TimeForm::Iso, zone: Some(zone) };
    for (written, wanted) in [
        ("2026-03-29 01:59:59", Some(1_774_745_999.0)),
        ("2026-03-29 02:00:00", None),
        ("2026-03-29 02:30:00", None),
        ("2026-03-29 03:00:00", Some(1_774_746_000.0)),
        ("2026-10-25 01:59:59", Some(1_792_886_399.0)),
        ("2026-10-25 02:00:00", None),
        ("2026-10-25 02:30:00", None),
        ("2026-10-25 02:30:00+02:00", Some(1_792_888_200.0)),
        ("2026-10-25 03:00:00", Some(1_792_893_600.0)),
    ] {
        let Line::Frame { time, unclear, .. } = read_line_by(format!("{written} {FRAME}").as_bytes(), &clock) else {
            panic!("{written}");
        };
        assert_eq!((time, unclear), (wanted, wanted.is_none()), "{written}");
    }
}

#[test]
fn a_clock_that_begins_again_is_said_and_nothing_is_judged_across_it() {
    let good = GOOD.map(|file| std::fs::read_to_string(file).expect("the demo")).concat();
    let once = run_with(&["compare", PROFILE, "--capture", "-", "--format", "json"], good.as_bytes()).exits(0).object();
    let no_restart = |report: &serde_json::Value| {
        report["not_judged"].as_array().expect("a list").iter().all(|check| check["reason"] != "clock_restarted")
    };
    assert!(no_restart(&once));
    // The same again: the clock goes back once.
    let twice = format!("{good}{good}");
    let said =
        run_with(&["compare", PROFILE, "--capture", "-", "--format", "json"], twice.as_bytes()).exits(0).object();
    assert!(!no_restart(&said), "{}", said["not_judged"]);
    assert_eq!(
        (&said["verdict"], &said["faults"], &said["warnings"]),
        (&once["verdict"], &once["faults"], &once["warnings"])
    );
    // Of several files, the one with the frame after the restart is named.
    let [first, second] = GOOD;
    let said = run(&["compare", PROFILE, "--capture", second, "--capture", first]).exits(0);
    assert!(flat(&said.out).contains(&format!("first at {first}:")), "{}", said.out);
}
