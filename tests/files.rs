//! Every command that reads a file, and every one that writes one: what a file can be and what can go wrong with it, over
//! all of them. Evidence is never written over, nothing is left half written, and every reader has a longest input.

use crate::program::{Folder, GOOD, PROFILE, Said, commands, finish, flat, profile_text, run};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const READINGS: &str = "vectors/demo/altitude_run.txt";

const FORM: &str = "vectors/demo/readback.txt";

/// Each way to have a file written: what it is made from first, then the option, then the rest. `OUT` is the file.
const WRITERS: &[(&str, &[&str], &[&str])] = &[
    // The command, the files that it reads, all arguments.
    ("profile new", &[], &["profile", "new", "--registration", "N47QX", "--out", "OUT"]),
    ("profile sheet", &[PROFILE], &["profile", "sheet", PROFILE, "--record", "OUT"]),
    ("profile sheet", &[PROFILE], &["profile", "sheet", PROFILE, "--drawing", "OUT"]),
    ("profile from-capture", &[GOOD[1]], &["profile", "from-capture", GOOD[1], "--address", "A5C035", "--out", "OUT"]),
    ("readback", &[PROFILE, FORM], &["readback", PROFILE, FORM, "--record", "OUT"]),
    ("watch", &[PROFILE, GOOD[1]], &["watch", PROFILE, GOOD[1], "--ends-after", "1", "--record", "OUT"]),
    ("onair", &[PROFILE], &["onair", PROFILE, "--record", "OUT"]),
    ("altitude", &[READINGS], &["altitude", "--readings", READINGS, "--record", "OUT"]),
    ("profile identity", &[PROFILE], &["profile", "identity", "N48QX", PROFILE, "--record", "OUT"]),
    ("rehearse", &[PROFILE], &["rehearse", PROFILE, "--for", "5", "--out", "OUT"]),
    ("decode", &[GOOD[1]], &["decode", GOOD[1], "--out", "OUT"]),
    ("decode", &[GOOD[1]], &["decode", GOOD[1], "--format", "json", "--out", "OUT"]),
    ("decode", &[GOOD[1]], &["decode", GOOD[1], "--format", "csv", "--out", "OUT"]),
    ("decode", &[GOOD[1]], &["decode", GOOD[1], "--format", "parquet", "--out", "OUT"]),
    ("compare", &[PROFILE, GOOD[1]], &["compare", PROFILE, "--capture", GOOD[1], "--record", "OUT"]),
];

/// A profile to be made of answers, none of which is one.
const NEVER_MADE: &str = concat!(env!("CARGO_TARGET_TMPDIR"), "/never_made.json");

/// Each way to have a file read. `IN` is the file; whether it may go on for ever.
const READERS: &[(&str, bool, &[&str])] = &[
    ("profile check", false, &["profile", "check", "IN"]),
    ("profile check", false, &["profile", "check", PROFILE, "--rules", "IN"]),
    ("profile sheet", false, &["profile", "sheet", "IN"]),
    ("profile sheet", false, &["profile", "sheet", PROFILE, "--rules", "IN"]),
    ("onair", false, &["onair", "IN"]),
    ("onair", false, &["onair", PROFILE, "--situation", "IN"]),
    ("rehearse", false, &["rehearse", "IN", "--for", "1"]),
    ("rehearse", false, &["rehearse", PROFILE, "--situation", "IN", "--for", "1"]),
    ("compare", false, &["compare", "IN", "--capture", GOOD[1]]),
    ("compare", false, &["compare", PROFILE, "--rules", "IN", "--capture", GOOD[1]]),
    ("compare", true, &["compare", PROFILE, "--capture", "IN"]),
    ("compare", true, &["compare", PROFILE, "--before", "IN", "--capture", GOOD[1]]),
    ("compare", true, &["compare", PROFILE, "--series", "IN", GOOD[1]]),
    ("altitude", false, &["altitude", "--readings", "IN"]),
    ("altitude", false, &["altitude", "--run", "IN"]),
    ("profile show", false, &["profile", "show", "IN"]),
    ("profile ask", false, &["profile", "ask", NEVER_MADE, "--answers", "IN"]),
    ("profile from-capture", true, &["profile", "from-capture", "IN"]),
    ("profile from-capture", false, &["profile", "from-capture", GOOD[1], "--merge", "IN"]),
    ("readback", false, &["readback", "IN", FORM]),
    ("readback", false, &["readback", PROFILE, "IN"]),
    ("watch", false, &["watch", "IN", GOOD[1], "--ends-after", "1"]),
    ("watch", false, &["watch", PROFILE, GOOD[1], "--ends-after", "1", "--rules", "IN"]),
    ("watch", true, &["watch", PROFILE, "IN", "--ends-after", "1"]),
    ("page", false, &["page", "--profile", "IN"]),
    ("encode", true, &["encode", "IN"]),
    ("decode", true, &["decode", "IN"]),
];

fn with<'a>(arguments: &[&'a str], place: &str, file: &'a str) -> Vec<&'a str> {
    arguments.iter().map(|argument| if *argument == place { file } else { argument }).collect()
}

/// Runs under a shell's limits or with its preparations; `$0` is the program's path.
fn shell(line: &str, arguments: &[&str]) -> Said {
    finish(&mut shell_command(line, arguments), b"")
}

fn shell_command(line: &str, arguments: &[&str]) -> Command {
    let mut shell = Command::new("sh");
    shell.args(["-c", line, env!("CARGO_BIN_EXE_squitterlab")]).args(arguments).current_dir(env!("CARGO_MANIFEST_DIR"));
    shell
}

/// Every option of every command whose value is a file, as help lists them.
fn options_for_files() -> Vec<(String, String)> {
    let mut found = Vec::new();
    for name in commands(&[]) {
        let all: Vec<String> = match name.as_str() {
            "profile" => commands(&["profile"]).iter().map(|inner| format!("profile {inner}")).collect(),
            _ => vec![name],
        };
        for command in all {
            let words: Vec<&str> = command.split(' ').collect();
            let help = run(&[&words[..], &["--help"]].concat()).exits(0).out;
            for line in help.lines().map(str::trim) {
                let is_file =
                    ["<FILE", "<NAME|FILE", "[FILE]", "<PROFILE", "[PROFILE]"].iter().any(|mark| line.contains(mark));
                if let (true, Some(option)) = (is_file, line.split([' ', '=']).find(|word| word.starts_with("--"))) {
                    found.push((command.clone(), option.to_owned()));
                }
            }
        }
    }
    found
}

/// Files of a page, which does not end by itself: `page.rs` and `bad_input.json` have them.
const FOLLOWED: &[(&str, &str)] = &[("page", "--watch"), ("page", "--rules")];

#[test]
fn no_command_that_reads_or_writes_is_left_out() {
    let options = options_for_files();
    assert!(options.len() >= 15, "{options:?}");
    for (command, option) in options {
        if FOLLOWED.contains(&(&command, &option)) {
            continue;
        }
        let tried = |(name, arguments): (&str, &[&str])| name == command && arguments.contains(&&*option);
        assert!(
            WRITERS.iter().any(|(name, _, arguments)| tried((name, arguments)))
                || READERS.iter().any(|(name, _, arguments)| tried((name, arguments))),
            "{command} {option}"
        );
    }
}

#[test]
fn a_file_is_written_whole_and_never_over_another() {
    for (at, (name, _, arguments)) in WRITERS.iter().enumerate() {
        let folder = Folder::new(&format!("files_written_{at}"));
        let out = folder.path("out");
        let arguments = with(arguments, "OUT", &out);
        let first = run(&arguments);
        assert!(first.status < 2, "{name}: {first:?}");
        assert_eq!(folder.names(), ["out"], "{name}");
        assert!(std::fs::metadata(&out).expect("a file").len() > 100, "{name}");
        std::fs::write(&out, "mine").expect("a file");
        run(&arguments).exits(2).complains_of(&["there already", "--force"]);
        assert_eq!(std::fs::read(&out).expect("a file"), b"mine", "{name}");
        let forced = run(&[&arguments[..], &["--force"]].concat());
        assert_eq!(forced.status, first.status, "{name}: {forced:?}");
        assert!(std::fs::metadata(&out).expect("a file").len() > 100, "{name}");
        assert_eq!(folder.names(), ["out"], "{name}");
        // A name as long as a name can be.
        let long = folder.path(&"x".repeat(255));
        let said = run(&with(arguments.as_slice(), &out, &long));
        assert_eq!(said.status, first.status, "{name}: {said:?}");
        let longer = folder.path(&"x".repeat(256));
        run(&with(arguments.as_slice(), &out, &longer)).exits(2).complains_of(&["xxx"]);
        assert_eq!(folder.names().len(), 2, "{name}");
    }
}

#[cfg(unix)]
#[test]
fn what_is_read_is_never_written_over() {
    for (at, (name, inputs, arguments)) in WRITERS.iter().enumerate() {
        for (which, input) in inputs.iter().enumerate() {
            let folder = Folder::new(&format!("files_own_{at}_{which}"));
            let before = std::fs::read(input).expect("the input");
            let (own, link, hard) = (folder.file("own", &before), folder.path("link"), folder.path("hard"));
            std::os::unix::fs::symlink(&own, &link).expect("a link");
            std::fs::hard_link(&own, &hard).expect("a link");
            for out in [own.clone(), link, hard, folder.path("./own")] {
                let arguments = with(&with(arguments, input, &own), "OUT", &out)
                    .into_iter()
                    .chain(["--force"])
                    .map(str::to_owned)
                    .collect::<Vec<_>>();
                let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
                run(&arguments).exits(2).complains_of(&["this file is read", "choose another name"]);
                assert_eq!(std::fs::read(&own).expect("the input"), before, "{name} {out}");
                assert_eq!(folder.names(), ["hard", "link", "own"], "{name}");
            }
        }
    }
    // Standard input that is a file, too.
    let folder = Folder::new("files_own_standard_input");
    let before = std::fs::read(GOOD[1]).expect("a capture");
    let own = folder.file("own", &before);
    let said = shell("exec \"$0\" decode - --out \"$1\" --force < \"$1\"", &[&own]).exits(2);
    said.complains_of(&["this file is read"]);
    assert_eq!(std::fs::read(&own).expect("the input"), before);
}

#[test]
fn two_results_are_not_written_to_one_file() {
    let folder = Folder::new("files_two_results");
    let (out, other) = (folder.path("out"), folder.file("there", "mine"));
    for force in [&[][..], &["--force"]] {
        let arguments = [&["profile", "sheet", PROFILE, "--drawing", &out, "--record", &out], force].concat();
        run(&arguments).exits(2).complains_of(&["two results"]);
        assert_eq!(folder.names(), ["there"]);
    }
    for (drawing, record) in [(&out, &other), (&other, &out)] {
        let said = run(&["profile", "sheet", PROFILE, "--drawing", drawing, "--record", record]).exits(2);
        said.complains_of(&["there already"]);
        assert_eq!(folder.names(), ["there"], "neither is written where one cannot be");
    }
}

#[test]
fn of_many_writers_of_one_file_one_succeeds() {
    for (at, (name, _, arguments)) in WRITERS.iter().enumerate() {
        let folder = Folder::new(&format!("files_many_{at}"));
        let out = folder.path("out");
        let arguments = with(arguments, "OUT", &out);
        let start = || {
            let mut command = crate::program::command(&arguments);
            command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::piped()).spawn().expect("it starts")
        };
        let running: Vec<_> = (0..5).map(|_| start()).collect();
        let ended: Vec<_> = running.into_iter().map(|child| child.wait_with_output().expect("it ends")).collect();
        let succeeded = ended.iter().filter(|output| output.status.code().is_some_and(|code| code < 2)).count();
        assert_eq!(succeeded, 1, "{name}: {ended:?}");
        for output in ended.iter().filter(|output| output.status.code() == Some(2)) {
            let said = String::from_utf8_lossy(&output.stderr);
            assert!(said.contains("there already") || said.contains("meanwhile"), "{name}: {said}");
        }
        assert_eq!(folder.names(), ["out"], "{name}");
    }
}

#[cfg(unix)]
#[test]
fn a_link_that_waits_for_the_unfinished_file_is_not_followed_and_who_may_read_stays() {
    use std::os::unix::fs::PermissionsExt;
    for (at, (name, _, arguments)) in WRITERS.iter().enumerate() {
        let folder = Folder::new(&format!("files_link_{at}"));
        let (out, victim) = (folder.path("out"), folder.file("victim", "mine"));
        let arguments = with(arguments, "OUT", &out);
        let line = format!("ln -s '{victim}' \"{}.out.$$.part\"; exec \"$0\" \"$@\"", folder.path(""));
        let said = shell(&line, &arguments);
        assert!(said.status < 2, "{name}: {said:?}");
        assert_eq!(std::fs::read(&victim).expect("the victim"), b"mine", "{name}");
        assert!(std::fs::symlink_metadata(&out).expect("a file").is_file(), "{name}");
        // A file that only its owner may read stays so.
        std::fs::set_permissions(&out, std::fs::Permissions::from_mode(0o600)).expect("a mode");
        let said = run(&[&arguments[..], &["--force"]].concat());
        assert!(said.status < 2, "{name}: {said:?}");
        assert_eq!(std::fs::metadata(&out).expect("a file").permissions().mode() & 0o7777, 0o600, "{name}");
    }
}

#[cfg(unix)]
#[test]
fn where_nothing_can_be_written_nothing_is_left_and_the_answer_is_told_all_the_same() {
    for (at, (name, _, arguments)) in WRITERS.iter().enumerate() {
        let folder = Folder::new(&format!("files_full_{at}"));
        let out = folder.path("out");
        let told = run(&with(arguments, "OUT", &out)).out;
        std::fs::remove_file(&out).expect("it goes");
        // A file may have no octet: what a full disk is, without having to fill one.
        let said = shell("ulimit -f 0; exec \"$0\" \"$@\"", &with(arguments, "OUT", &out)).exits(2);
        assert!(said.err.contains("out: not written: "), "{name}: {}", said.err);
        assert_eq!(said.out, told, "{name}: what is shown is shown whether or not it can be kept");
        assert_eq!(folder.names(), Vec::<String>::new(), "{name}");
        // A folder that is not there, a folder as the file, a file as the folder.
        let file = folder.file("file", "");
        for bad in [folder.path("no/out"), folder.path(""), format!("{file}/out")] {
            let said = run(&with(arguments, "OUT", &bad)).exits(2);
            assert!(said.err.contains(bad.trim_end_matches('/')), "{name} {bad}: {}", said.err);
        }
        assert_eq!(folder.names(), ["file"], "{name}");
    }
}

/// A small disk, where this machine lets one be made.
#[cfg(target_os = "linux")]
#[test]
fn a_disk_that_fills_up_is_told_and_nothing_is_left() {
    let folder = Folder::new("files_small_disk");
    let disk = folder.path("disk");
    std::fs::create_dir(&disk).expect("a folder");
    let is_mounted = Command::new("mount")
        .args(["-t", "tmpfs", "-o", "size=64k", "tmpfs", &disk])
        .stderr(Stdio::null())
        .status()
        .is_ok_and(|status| status.success());
    if !is_mounted {
        eprintln!("not tested: this machine lets no small disk be made");
        return;
    }
    let mut said = Vec::new();
    let out = format!("{disk}/out");
    for arguments in [
        &["rehearse", PROFILE, "--for", "600", "--out", &out][..],
        &["decode", "vectors/demo/faulty.txt", "--format", "json", "--out", &out],
        &["onair", PROFILE, "--record", &out],
        &["compare", PROFILE, "--capture", "vectors/demo/faulty.txt", "--record", &out],
    ] {
        let names = |disk: &str| std::fs::read_dir(disk).expect("a disk").count();
        let ended = run(arguments);
        said.push((arguments.join(" "), ended.status, ended.err, names(&disk)));
    }
    let unmounted = Command::new("umount").arg(&disk).status().expect("umount");
    assert!(unmounted.success());
    for (what, status, err, left) in said {
        assert_eq!((status, left), (2, 0), "{what}: {err}");
        assert!(err.contains("No space left"), "{what}: {err}");
    }
}

#[cfg(target_os = "linux")]
#[test]
fn whatever_stops_a_writer_leaves_nothing_and_what_is_ignored_stays_ignored() {
    let folder = Folder::new("files_stopped");
    let out = folder.path("out");
    let writers: [&[&str]; 5] = [
        &["rehearse", PROFILE, "--for", "1000000000", "--out", &out],
        &["decode", "-", "--out", &out],
        &["decode", "-", "--format", "json", "--out", &out],
        &["decode", "-", "--format", "parquet", "--out", &out],
        &["compare", PROFILE, "--capture", "-", "--record", &out],
    ];
    let start = |line: &str, arguments: &[&str]| {
        let mut child = shell_command(line, arguments)
            .stdin(Stdio::piped())
            .stdout(Stdio::null())
            .stderr(Stdio::piped())
            .spawn()
            .expect("it starts");
        let input = child.stdin.take().expect("a pipe");
        // Until the unfinished file is there.
        let started = Instant::now();
        while folder.names().is_empty() {
            assert!(started.elapsed() < Duration::from_secs(30), "{arguments:?} writes nothing");
            std::thread::sleep(Duration::from_millis(5));
        }
        std::thread::sleep(Duration::from_millis(50));
        (child, input)
    };
    let kill = |signal: &str, process: u32| {
        let sent = Command::new("kill").args([signal, &process.to_string()]).status().expect("kill");
        assert!(sent.success());
    };
    for arguments in writers {
        for signal in ["-INT", "-TERM", "-HUP"] {
            let (child, input) = start("exec \"$0\" \"$@\"", arguments);
            kill(signal, child.id());
            let output = child.wait_with_output().expect("it ends");
            let said = String::from_utf8_lossy(&output.stderr).into_owned();
            assert_eq!(output.status.code(), Some(2), "{arguments:?} {signal}: {said}");
            assert!(said.contains("stopped ") && said.contains("no file was left behind"), "{arguments:?} {said}");
            assert_eq!(folder.names(), Vec::<String>::new(), "{arguments:?} {signal}");
            drop(input);
        }
        // Killed, it can clean up nothing; but no file has its final name.
        let (mut child, input) = start("exec \"$0\" \"$@\"", arguments);
        kill("-KILL", child.id());
        child.wait().expect("it ends");
        drop(input);
        let left = folder.names();
        assert!(!left.contains(&"out".to_owned()), "{left:?}");
        for name in left {
            std::fs::remove_file(folder.path(&name)).expect("it goes");
        }
    }
    // As under nohup: a hang-up is not for this program, the rest is.
    let (child, input) = start("trap '' HUP; exec \"$0\" \"$@\"", writers[2]);
    kill("-HUP", child.id());
    std::thread::sleep(Duration::from_millis(300));
    drop(input);
    let output = child.wait_with_output().expect("it ends");
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    assert_eq!(folder.names(), ["out"]);
}

/// Without standard input, output or error the status is the same.
#[cfg(unix)]
#[test]
fn closed_streams_change_no_status() {
    let folder = Folder::new("files_closed");
    for (name, _, arguments) in WRITERS {
        let out = folder.path("out");
        let arguments = with(arguments, "OUT", &out);
        let whole = run(&arguments).status;
        for closed in ["<&-", ">&-", "2>&-", "<&- >&- 2>&-"] {
            std::fs::remove_file(&out).expect("a file");
            let said = shell(&format!("exec \"$0\" \"$@\" {closed}"), &arguments);
            assert_eq!(said.status, whole, "{name} {closed}: {said:?}");
            assert_eq!(folder.names(), ["out"], "{name} {closed}");
        }
        std::fs::remove_file(&out).expect("a file");
    }
}

/// Names of files that cannot be read as what they are given for, with what must be said of each.
fn bad_files(folder: &Folder) -> Vec<(String, &'static str)> {
    let path = |name: &str, content: &[u8]| folder.file(name, content);
    let mut all = vec![
        (folder.path("not_there"), "No such file"),
        (folder.path(&"x".repeat(300)), "File name too long"),
        (folder.path("file/in_a_file"), "Not a directory"),
        (path("utf16", b"\xFF\xFE{\0}\0"), "UTF-16"),
        (path("latin", b"{\"notes\": \"\xE9\"}"), "UTF-8"),
    ];
    path("file", b"");
    #[cfg(unix)]
    {
        let link = |name: &str, target: &str| {
            std::os::unix::fs::symlink(target, folder.path(name)).expect("a link");
            folder.path(name)
        };
        all.push((link("loop", "loop"), "symbolic links"));
        all.push((link("dangling", "nowhere"), "No such file"));
    }
    all
}

/// The demo's file of the kind that is read here.
fn kind_of_file(arguments: &[&str]) -> Vec<u8> {
    let demo = |name: &str| std::fs::read(name).expect("a file of the demo");
    let at = arguments.iter().position(|argument| *argument == "IN").expect("a file is read");
    match (arguments[0], arguments[at - 1]) {
        (_, "--rules") => demo("src/profile/rules/europe.json"),
        (_, "--situation") => demo("vectors/demo/situation.json"),
        (_, "--readings") => demo(READINGS),
        (_, "--run") => run(&["altitude", "--form", "2000"]).exits(0).out.into_bytes(),
        (_, "--answers") => b"later\n\nlater\n".to_vec(),
        ("readback", before) if before == PROFILE => demo(FORM),
        ("encode", _) => run(&["decode", GOOD[1], "--format", "json"]).exits(0).out.into_bytes(),
        ("compare" | "watch", before) if before == PROFILE || before.starts_with("--") && before != "--profile" => {
            demo(GOOD[1])
        }
        ("decode", _) | ("profile", "from-capture") => demo(GOOD[1]),
        _ => demo(PROFILE),
    }
}

/// An editor of Windows may put a mark of the byte order first and end lines in its own way: neither says anything.
#[test]
fn what_an_editor_of_windows_saves_reads_the_same_for_every_reader() {
    let folder = Folder::new("files_windows");
    let file = folder.path("same");
    for (name, _, arguments) in READERS {
        // It goes on until it is stopped; tests/page.rs starts it with such a profile.
        if *name == "page" {
            continue;
        }
        let plain = kind_of_file(arguments);
        let read = |content: &[u8]| {
            std::fs::write(&file, content).expect("a file");
            run(&with(arguments, "IN", &file))
        };
        let text = String::from_utf8(plain.clone()).expect("UTF-8");
        let (first, windows) = (read(&plain), read(format!("\u{FEFF}{}", text.replace('\n', "\r\n")).as_bytes()));
        // A draft is of one aircraft: what was read is told all the same.
        let told = first.err.contains("2 aircraft were heard");
        assert!(first.status < 2 || told, "{arguments:?}: {first:?}");
        // What is filled in keeps the form of the file.
        let out = windows.out.trim_start_matches('\u{FEFF}').replace('\r', "");
        assert_eq!((windows.status, out, windows.err), (first.status, first.out, first.err), "{arguments:?}");
        // A fault in the first line is in the same column.
        let (first, marked) = (read(b"{\"x\": ?}\n"), read(b"\xEF\xBB\xBF{\"x\": ?}\n"));
        assert_eq!((marked.status, marked.out, marked.err), (first.status, first.out, first.err), "{arguments:?}");
    }
}

#[test]
fn what_cannot_be_read_is_named_with_the_reason_by_every_reader() {
    let folder = Folder::new("files_bad");
    let files = bad_files(&folder);
    for (name, is_stream, arguments) in READERS {
        for (file, why) in &files {
            // A byte that is no text spoils only its line of a capture.
            if *is_stream && *why == "UTF-8" || *name == "encode" && why.starts_with("UTF") {
                continue;
            }
            let said = run(&with(arguments, "IN", file));
            // A profile with a fault is an answer, a file that cannot be read is none.
            assert_eq!(said.status, 2, "{name} {file}: {said:?}");
            assert!(
                flat(&said.err).contains(why)
                    || why.starts_with("No such") && said.err.contains("there is no rule set"),
                "{name} {arguments:?} {file}: {}",
                said.err
            );
            assert!(said.err.contains(file.as_str()), "{name} {file}: {}", said.err);
        }
        // A folder is a fleet to `compare`, and nothing to all others.
        let said = run(&with(arguments, "IN", &folder.path("")));
        assert_eq!(said.status, 2, "{name}: {said:?}");
    }
}

#[cfg(unix)]
#[test]
fn every_reader_of_a_small_file_has_a_longest_input() {
    for (name, is_stream, arguments) in READERS {
        if *is_stream {
            continue;
        }
        let started = Instant::now();
        let said = shell("ulimit -v 2000000; exec \"$0\" \"$@\"", &with(arguments, "IN", "/dev/zero")).exits(2);
        assert!(said.err.contains("/dev/zero") && said.err.contains("MB"), "{name}: {}", said.err);
        assert!(started.elapsed() < Duration::from_secs(20), "{name}: {:?}", started.elapsed());
    }
}

/// The time for a text that is twice as long is about twice as long, and never four times.
#[cfg(unix)]
#[test]
fn no_reader_of_a_small_file_takes_time_by_the_square() {
    let folder = Folder::new("files_square");
    let most = 3_500_000;
    let fill = |begin: &str, piece: &dyn Fn(usize) -> String, end: &str| {
        let mut text = begin.to_owned();
        let mut at = 0;
        while text.len() < most {
            text += &piece(at);
            at += 1;
        }
        text + end
    };
    let texts = [
        ("many keys", fill("{", &|at| format!("\"k{at}\": 1,"), "\"z\": 1}")),
        ("one key again and again", fill("{", &|_| "\"k\": 1,".to_owned(), "\"z\": 1}")),
        ("keys in a group", fill("{\"aircraft\": {", &|at| format!("\"k{at}\": 1,"), "\"z\": 1}}")),
        ("a long list", fill("{\"flight\": [", &|_| "1,".to_owned(), "1]}")),
        ("many points", fill("{\"flight\": [", &|at| format!("{{\"time_s\": {at}, \"airborne\": true}},"), "{}]}")),
        ("open comments", fill("", &|_| "/* ".to_owned(), "")),
        ("open brackets", fill("", &|_| "[".to_owned(), "")),
        ("quotation marks", fill("", &|_| "\"".to_owned(), "")),
        ("lines", fill("", &|_| "\n".to_owned(), "")),
        ("a long line", fill("", &|_| "x".to_owned(), "")),
        ("bad readings", fill("", &|_| "x,y\n".to_owned(), "")),
        ("good readings", fill("", &|at| format!("{}, {}\n", at % 500 * 100, at % 500 * 100), "")),
        ("commas", fill("", &|_| ",".to_owned(), "")),
        ("digits", fill("{\"notes\": ", &|_| "9".to_owned(), "}")),
        ("rules", fill("{\"vfr_mode_a_codes\": [", &|_| "{\"code\": \"1200\"},".to_owned(), "{}]}")),
    ];
    for (what, text) in &texts {
        let file = folder.file("in", text);
        for (name, is_stream, arguments) in READERS {
            if *is_stream || *name == "page" {
                continue;
            }
            let started = Instant::now();
            let said = shell("ulimit -v 3000000; exec \"$0\" \"$@\"", &with(arguments, "IN", &file));
            assert!(said.status <= 2 && !said.err.contains("panicked"), "{name} of {what}: {}", said.err);
            let length = said.err.len() + said.out.len();
            assert!(said.status == 0 || length < 300_000, "{name} of {what}: {length} octets");
            assert!(started.elapsed() < Duration::from_secs(20), "{name} of {what}: {:?}", started.elapsed());
        }
    }
}

#[test]
fn the_same_input_twice_is_said() {
    let folder = Folder::new("files_twice");
    let capture = folder.file("a.txt", std::fs::read(GOOD[1]).expect("a capture"));
    let again = folder.path("./a.txt");
    let hard = folder.path("b.txt");
    std::fs::hard_link(&capture, &hard).expect("a link");
    for other in [&capture, &again, &hard] {
        for arguments in [
            &["decode", &capture, other][..],
            &["compare", PROFILE, "--capture", &capture, other],
            &["profile", "from-capture", &capture, other],
            &["compare", PROFILE, "--before", &capture, "--capture", other],
        ] {
            run(arguments).exits(2).complains_of(&["would count twice", "leave one out"]);
        }
    }
    for arguments in [
        &["decode", "-", "-"][..],
        &["compare", "-", "--capture", "-"],
        &["compare", PROFILE, "--capture", "-", "-"],
        &["compare", PROFILE, "--before", "-", "--capture", "-"],
        &["watch", "-", "-"],
        &["page", "--profile", "-", "--watch", "-"],
        &["readback", "-", "-"],
        &["profile", "from-capture", "-", "--merge", "-"],
        &["profile", "check", "-", "-"],
        &["onair", "-", "--situation", "-"],
        &["rehearse", "-", "--situation", "-"],
    ] {
        let said = crate::program::run_with(arguments, profile_text(&[]).as_bytes()).exits(2);
        said.complains_of(&["standard input is given twice"]);
    }
    run(&["compare", PROFILE, PROFILE, "--capture", GOOD[1]]).exits(2).complains_of(&["given twice", "leave one out"]);
    let folder = Path::new("vectors/demo/fleet");
    let one = std::fs::read_dir(folder).expect("a fleet").next().expect("a profile").expect("a profile").path();
    let one = one.to_str().expect("a path");
    run(&["compare", "vectors/demo/fleet", one, "--capture", GOOD[1]]).exits(2).complains_of(&["given twice"]);
}

#[cfg(target_os = "linux")]
#[test]
fn names_of_files_need_not_be_text_and_give_no_orders_to_a_terminal() {
    use std::os::unix::ffi::OsStrExt;
    let folder = Folder::new("files_names");
    let orders = |text: &str| text.chars().any(|c| c.is_control() && c != '\n' && c != '\t' || c == '\u{202E}');
    for name in [&b"a\xFF.txt"[..], b"a\x1B[2J\x07.txt", "a\u{202E}\u{9B}.txt".as_bytes()] {
        let path = Path::new(&folder.path("")).join(std::ffi::OsStr::from_bytes(name));
        for (command, is_stream, arguments) in READERS {
            if *command == "page" {
                continue;
            }
            for content in [Some(&b"x\x1B]0;y\x07\n"[..]), Some(b"{\"\x1B[2J\": 1}"), Some(b""), None] {
                let _ = std::fs::remove_file(&path);
                if let Some(content) = content {
                    std::fs::write(&path, content).expect("a file");
                }
                let mut program = Command::new(env!("CARGO_BIN_EXE_squitterlab"));
                for argument in *arguments {
                    program.arg(if *argument == "IN" { path.as_os_str() } else { argument.as_ref() });
                }
                let said = finish(program.current_dir(env!("CARGO_MANIFEST_DIR")), b"");
                assert!(!orders(&said.out) && !orders(&said.err), "{arguments:?}: {said:?}");
                assert!(!said.err.contains("invalid UTF-8"), "{arguments:?}: {said:?}");
                assert!(content.is_some() || said.status == 2, "{arguments:?}: {said:?}");
                assert!(
                    said.status == 2 || *is_stream || ["profile check", "profile ask"].contains(command),
                    "{arguments:?}: {said:?}"
                );
            }
        }
        // The same where there is something to tell.
        std::fs::write(&path, b"8D4840D6202CC371C32CE0576098\n").expect("a file");
        for form in ["text", "json"] {
            let mut program = Command::new(env!("CARGO_BIN_EXE_squitterlab"));
            let said = finish(program.arg("decode").arg(&path).args(["--format", form]), b"");
            assert!(said.status == 0 && said.out.contains("4840D6"), "{form}: {said:?}");
            assert!(!orders(&said.out) && !orders(&said.err), "{form}: {said:?}");
        }
    }
    // Nor do arguments.
    for order in ["\u{1b}[2J", "\u{1b}]0;x\u{7}", "\u{202e}x", "\u{9b}2J"] {
        for arguments in [
            &["address", order][..],
            &["address", "N47QX", "--expected", order],
            &["altitude", order],
            &["altitude", "--code", order],
            &["altitude", "--wires", order],
            &["explain", order],
            &["decode", "--frame", order],
            &["encode", "--message", order],
            &["encode", "--message", "aircraft_identification", "--set", order],
            &["encode", "--message", "aircraft_identification", "--set", &format!("{order}=1")],
            &["onair", PROFILE, "--only", order],
            &["onair", PROFILE, "--setting", order],
            &["profile", "new", "--registration", order],
            &["profile", "where", order],
            &["profile", "check", PROFILE, "--rules", order],
            &["rehearse", PROFILE, "--mistake", order],
            &["compare", PROFILE, "--capture", GOOD[1], "--dips", order],
            &["guide", order],
            &["learn", order],
            &["practice", "--kind", order],
            &["practice", "--kind", "read_altitude", "--seed", "7", "--answer", order],
            &["explain", "--term", order],
            &["explain", "--list", order],
            &[order],
        ] {
            for colour in ["never", "auto"] {
                let said = run(&[arguments, &["--color", colour]].concat());
                assert!(!orders(&said.out) && !orders(&said.err), "{arguments:?}: {said:?}");
                assert!(said.status == 2 || ["address", "practice"].contains(&arguments[0]), "{arguments:?}: {said:?}");
            }
        }
    }
}

/// Where the system gives no more threads, fewer do the work; where it gives none, one does all.
#[cfg(target_os = "linux")]
#[test]
fn without_threads_the_work_is_done_all_the_same() {
    let folder = Folder::new("files_threads");
    let capture = folder.file("many.txt", std::fs::read_to_string(GOOD[1]).expect("a capture").repeat(500));
    for arguments in [
        &["decode", &capture, "--format", "json", "--threads", "64"][..],
        &["decode", &capture, "--format", "parquet", "--threads", "64"],
        &["compare", PROFILE, "--capture", &capture, "--threads", "64"],
        &["rehearse", PROFILE, "--for", "20"],
        &["rehearse", PROFILE, "--for", "20", "--other-aircraft", "50"],
    ] {
        let ended = |mut command: Command| {
            let output =
                command.current_dir(env!("CARGO_MANIFEST_DIR")).stdin(Stdio::null()).output().expect("it runs");
            (output.status.code(), output.stdout, String::from_utf8_lossy(&output.stderr).into_owned())
        };
        let whole = ended(crate::program::command(arguments));
        // What a thread reserves decides how many there can be: some, one, none.
        for each_mb in [500, 1200, 2900, 5000] {
            let line = format!("ulimit -v 3000000; RUST_MIN_STACK={each_mb}000000 exec \"$0\" \"$@\"");
            let limited = ended(shell_command(&line, arguments));
            assert!(limited == whole, "{arguments:?} with {each_mb} MB a thread: {:?} {}", limited.0, limited.2);
        }
    }
}

/// Standard output that may not grow further, or is full, is said like any other failure of writing.
#[cfg(unix)]
#[test]
fn standard_output_that_takes_nothing_is_said_by_every_command() {
    let folder = Folder::new("files_standard_output");
    let out = folder.file("out", "");
    let printing: [&[&str]; 13] = [
        &["--help"],
        &["--version"],
        &["compare", "--help"],
        &["guide", "technician"],
        &["manual"],
        &["completions", "bash"],
        &["learn", "1"],
        &["explain", "--list", "all"],
        &["onair", PROFILE],
        &["rehearse", PROFILE, "--for", "60"],
        &["profile", "sheet", PROFILE],
        &["compare", PROFILE, "--plan"],
        &["address", "N47QX"],
    ];
    for arguments in printing {
        for (line, why) in [
            (format!("ulimit -f 0; exec \"$0\" \"$@\" >{out}"), "too large"),
            ("exec \"$0\" \"$@\" >/dev/full".to_owned(), "No space left"),
        ] {
            let said = shell(&line, arguments).exits(2);
            assert!(said.err.contains(why), "{arguments:?}: {}", said.err);
        }
    }
}
