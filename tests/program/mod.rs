//! Runs the built program as a user does: arguments, standard input, files; and reads what it says.
// Every test file uses its own part of this.
#![allow(dead_code)]

use serde_json::Value;
use squitterlab::onair::{Flight, Situation, emissions};
use squitterlab::profile::Profile;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::io::Write;
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

/// The invented install of the demo.
pub const PROFILE: &str = "vectors/demo/profile.json";
/// What its flight does.
pub const SITUATION: &str = "vectors/demo/situation.json";
/// Its captures: parked, and in the air.
pub const GOOD: [&str; 2] = ["vectors/demo/good_ground.txt", "vectors/demo/good_air.txt"];

/// What the program said.
#[derive(Debug)]
pub struct Said {
    /// What it was asked.
    arguments: Vec<String>,
    /// Exit status.
    pub status: i32,
    /// Standard output.
    pub out: String,
    /// Standard error.
    pub err: String,
}

impl Said {
    /// Standard output as JSON, one object a line; each has the published shape, where its command has one.
    pub fn objects(&self) -> Vec<Value> {
        let objects = self.out.lines().map(|line| serde_json::from_str(line).unwrap_or_else(|e| panic!("{e}: {line}")));
        let objects: Vec<Value> = objects.collect();
        if let Some(name) = schema_of(&self.arguments) {
            for object in &objects {
                // What is watched ends with the comparison of all of it.
                let ends = object["schema"].as_str().is_some_and(|schema| schema.starts_with("comparison/"));
                let name = if ends { "comparison" } else { name };
                if let Err(error) = schema(name).validate(object) {
                    panic!("{name}.schema.json: {error} at {}\n{object}", error.instance_path());
                }
            }
        }
        objects
    }

    /// Standard output as one JSON object.
    pub fn object(&self) -> Value {
        let mut objects = self.objects();
        assert_eq!(objects.len(), 1, "{self:?}");
        objects.remove(0)
    }

    /// Checks the exit status; says everything where it is another.
    #[track_caller]
    pub fn exits(self, status: i32) -> Self {
        assert_eq!(self.status, status, "{self:#?}");
        self
    }

    /// Checks that standard error says all of these.
    #[track_caller]
    pub fn complains_of(&self, words: &[&str]) {
        // Long lines are folded.
        let flat = flat(&self.err);
        for word in words {
            assert!(flat.contains(word), "{word:?} is not in: {}", self.err);
        }
    }
}

/// The published schema of what a command prints with these arguments.
fn schema_of(arguments: &[String]) -> Option<&'static str> {
    let has = |option: &str| arguments.iter().any(|argument| argument == option);
    let (command, inner) = (arguments.first()?.as_str(), arguments.get(1).map_or("", String::as_str));
    if has("--schema") || !has("json") && !has("--format=json") {
        return None;
    }
    match (command, inner) {
        ("decode", _) => Some("frame"),
        ("onair", _) => Some("emission"),
        ("address", _) => Some("address"),
        ("altitude", _) => Some("altitude"),
        ("profile", "check") => Some("problem"),
        ("profile", "from-capture") if !has("--merge") => Some("draft"),
        ("compare", _) if has("--series") => Some("series"),
        ("compare", _) if !has("--plan") && !has("--list-causes") => Some("comparison"),
        ("readback", _) if !has("--form") => Some("readback"),
        ("watch", _) => Some("watch"),
        _ => None,
    }
}

/// A published schema, read once.
pub fn schema(name: &str) -> Arc<jsonschema::Validator> {
    static READ: Mutex<BTreeMap<String, Arc<jsonschema::Validator>>> = Mutex::new(BTreeMap::new());
    let mut read = READ.lock().unwrap_or_else(PoisonError::into_inner);
    let validator = read.entry(name.to_owned()).or_insert_with(|| {
        let text = std::fs::read_to_string(format!("vectors/schema/{name}.schema.json")).expect("a schema");
        let schema = serde_json::from_str(&text).expect("JSON");
        Arc::new(jsonschema::validator_for(&schema).expect("a sound schema"))
    });
    Arc::clone(validator)
}

/// Text without its folds.
pub fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The program, ready to be run: the one that was built with the tests, or the one that `SQUITTERLAB_PROGRAM` names.
pub fn command(arguments: &[&str]) -> Command {
    let built = || env!("CARGO_BIN_EXE_squitterlab").into();
    let mut command = Command::new(std::env::var_os("SQUITTERLAB_PROGRAM").unwrap_or_else(built));
    command.args(arguments).current_dir(env!("CARGO_MANIFEST_DIR")).env_remove("NO_COLOR");
    command
}

/// Runs the program with nothing on its standard input.
pub fn run(arguments: &[&str]) -> Said {
    run_with(arguments, b"")
}

/// The names of the commands that a help text lists, without `help` itself.
pub fn commands(of: &[&str]) -> Vec<String> {
    let help = run(&[of, &["--help"]].concat()).exits(0).out;
    let listed = help.lines().skip_while(|line| *line != "Commands:").skip(1).take_while(|line| !line.is_empty());
    let names =
        listed.filter_map(|line| line.strip_prefix("  ").filter(|line| !line.starts_with(' '))?.split(' ').next());
    names.filter(|name| *name != "help").map(ToOwned::to_owned).collect()
}

/// Runs the program with this on its standard input.
pub fn run_with(arguments: &[&str], input: &[u8]) -> Said {
    finish(&mut command(arguments), input)
}

/// Runs a prepared program.
pub fn finish(command: &mut Command, input: &[u8]) -> Said {
    let mut child =
        command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().expect("it starts");
    let mut stdin = child.stdin.take().expect("a pipe");
    let input = input.to_vec();
    // A thread of its own, so that neither side waits for the other; a program may leave its input unread.
    let writer = std::thread::spawn(move || drop(stdin.write_all(&input)));
    let output = child.wait_with_output().expect("it ends");
    writer.join().expect("the input is written");
    Said {
        arguments: command.get_args().map(|argument| argument.to_string_lossy().into_owned()).collect(),
        status: output.status.code().expect("an exit status"),
        out: String::from_utf8(output.stdout).expect("text"),
        err: String::from_utf8(output.stderr).expect("text"),
    }
}

/// A program that is given its lines one after the other.
pub struct Pipe(Child);

impl Pipe {
    pub fn start(arguments: &[&str]) -> Self {
        let mut command = command(arguments);
        command.stdin(Stdio::piped()).stdout(Stdio::null()).stderr(Stdio::null());
        Self(command.spawn().expect("it starts"))
    }

    pub fn say(&mut self, line: &str) {
        let input = self.0.stdin.as_mut().expect("a pipe");
        input.write_all(line.as_bytes()).and_then(|()| input.flush()).expect("it reads");
    }

    /// Waits for what the program does although its pipe stays open.
    #[track_caller]
    pub fn until(&mut self, is_so: impl Fn() -> bool) {
        let started = Instant::now();
        while !is_so() {
            assert!(self.0.try_wait().expect("a process").is_none(), "it has ended by itself");
            assert!(started.elapsed() < Duration::from_secs(20), "it does not come to that");
            std::thread::sleep(Duration::from_millis(10));
        }
    }

    pub fn interrupt(mut self) {
        assert!(self.0.try_wait().expect("a process").is_none(), "it has ended by itself");
        self.0.kill().and_then(|()| self.0.wait()).expect("a process");
    }
}

/// A folder of one test; it goes when the test ends.
pub struct Folder(PathBuf);

impl Folder {
    /// A folder with a name that no other test has.
    pub fn new(name: &str) -> Self {
        let path = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(format!("{name}_{}", std::process::id()));
        std::fs::create_dir_all(&path).expect("a folder");
        Self(path)
    }

    /// The path of a file in it.
    pub fn path(&self, name: &str) -> String {
        self.0.join(name).to_str().expect("a path in UTF-8").to_owned()
    }

    /// Writes a file, and gives its path.
    pub fn file(&self, name: &str, bytes: impl AsRef<[u8]>) -> String {
        let path = self.path(name);
        std::fs::write(&path, bytes).expect("a file");
        path
    }

    /// The names of all files in it, hidden ones too.
    pub fn names(&self) -> Vec<String> {
        let entry = |entry: std::io::Result<std::fs::DirEntry>| entry.expect("an entry").file_name();
        let mut names: Vec<String> =
            std::fs::read_dir(&self.0).expect("a folder").map(|e| entry(e).to_string_lossy().into_owned()).collect();
        names.sort();
        names
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

/// The text of the demo profile, with pieces replaced; each piece must be there.
pub fn profile_text(pieces: &[(&str, &str)]) -> String {
    let mut text = std::fs::read_to_string(PROFILE).expect("the demo profile");
    for (old, new) in pieces {
        assert_eq!(text.matches(old).count(), 1, "{old:?} stands once in the demo profile");
        text = text.replace(old, new);
    }
    text
}

/// The demo profile, with pieces of its text replaced.
pub fn profile(pieces: &[(&str, &str)]) -> Profile {
    let reading = Profile::read(&profile_text(pieces));
    assert!(!reading.has_errors(), "{:?}", reading.problems);
    reading.profile
}

/// The demo situation in the air.
pub fn in_the_air() -> Situation {
    Situation::read(&std::fs::read_to_string(SITUATION).expect("the demo situation")).expect("a situation")
}

/// The demo aircraft, parked on an invented spot.
pub fn parked() -> Situation {
    let text = r#"{"airborne": false, "latitude_deg": 44.5, "longitude_deg": -103.25, "ground_speed_kt": 0,
        "track_deg": 90, "mode_a_code": "1200"}"#;
    Situation::read(text).expect("a situation")
}

/// Captured text, without times: every frame that the install sends in these situations, each so many times.
pub fn capture(profile: &Profile, situations: &[&Situation], times: usize) -> String {
    let mut text = "# synthetic: made from an install profile, never received\n".to_owned();
    for situation in situations {
        let frames = emissions(profile, Flight::Situation(situation)).expect("frames");
        for _ in 0..times {
            for frame in &frames {
                writeln!(text, "{}", frame.frame).expect("text");
            }
        }
    }
    text
}
