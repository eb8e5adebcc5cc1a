//! `decode --out-dir`: a folder of tables, one for each message, whatever it is cut by and however often it is written.

use crate::program::{Folder, GOOD, command, run, run_with, schema};
use crate::random::Random;
use serde_json::{Map, Value};
use squitterlab::frame::Frame;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io::Write as _;
use std::path::Path;
use std::process::Stdio;

/// Frames of every kind: those of the demo, and random ones in every format; with times in UTC, in seconds, and without.
fn mixed(count: u64) -> String {
    let good: Vec<String> = GOOD
        .iter()
        .flat_map(|file| fs::read_to_string(file).expect("a capture").lines().map(str::to_owned).collect::<Vec<_>>())
        .filter(|line| line.split_once(' ').is_some_and(|(_, frame)| frame.parse::<Frame>().is_ok()))
        .collect();
    let (mut random, mut lines) = (Random(5), vec!["# synthetic".to_owned()]);
    for at in 0..count {
        if at % 3 == 0 {
            let (time, frame) = good[at as usize / 3 % good.len()].split_once(' ').expect("a time");
            let seconds: f64 = time.parse().unwrap_or(0.0);
            lines.push(format!("{:.3} {frame}", 1_795_816_800.0 + seconds + (at / 3000 * 600) as f64));
            continue;
        }
        let short = at % 5 == 1;
        let bits =
            (u128::from(random.next()) << 64 | u128::from(random.next())) & (u128::MAX >> if short { 77 } else { 21 });
        let width = if short { 14 } else { 28 };
        let frame = format!("{:0width$X}", bits | u128::from(at % 32) << (width * 4 - 5));
        lines.push(if at % 2 == 0 { frame } else { format!("{}.5 {frame}", at / 8) });
    }
    lines.join("\n") + "\n"
}

/// Every file below a folder, with its path from there.
fn files(folder: &str) -> BTreeSet<String> {
    fn below(folder: &Path, root: &Path, found: &mut BTreeSet<String>) {
        for entry in fs::read_dir(folder).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                below(&path, root, found);
            } else {
                found.insert(path.strip_prefix(root).expect("below").to_string_lossy().into_owned());
            }
        }
    }
    let mut found = BTreeSet::new();
    below(Path::new(folder), Path::new(folder), &mut found);
    found
}

fn parts(folder: &str) -> BTreeSet<String> {
    files(folder).into_iter().filter(|file| !file.starts_with("_manifest")).collect()
}

/// The manifests, each in its published shape.
fn manifests(folder: &str) -> Vec<Value> {
    let names = files(folder).into_iter().filter(|file| file.starts_with("_manifest"));
    let read = |name: String| {
        let manifest: Value =
            serde_json::from_slice(&fs::read(format!("{folder}/{name}")).expect("a manifest")).expect("JSON");
        schema("manifest").validate(&manifest).unwrap_or_else(|error| panic!("{name}: {error}"));
        manifest
    };
    names.map(read).collect()
}

/// The fields of a line of comma-separated text.
fn cells(line: &str) -> Vec<String> {
    let (mut cells, mut cell, mut is_quoted) = (Vec::new(), String::new(), false);
    for c in line.chars() {
        match c {
            '"' => {
                // Two of them inside are one.
                if is_quoted || !cell.is_empty() {
                    cell.push('"');
                }
                is_quoted = !is_quoted;
            }
            ',' if !is_quoted => cells.push(std::mem::take(&mut cell)),
            c => cell.push(c),
        }
    }
    cells.push(cell);
    cells.iter().map(|cell| cell.strip_suffix('"').unwrap_or(cell).replace("\"\"", "\"")).collect()
}

type Row = BTreeMap<String, String>;

/// The rows of text tables, by line of the capture; with the name of the message.
fn rows(folder: &str) -> BTreeMap<u64, (String, Row)> {
    let mut all = BTreeMap::new();
    for part in parts(folder) {
        let message =
            part.strip_prefix("message=").and_then(|rest| rest.split('/').next()).expect("a message").to_owned();
        let text = fs::read_to_string(format!("{folder}/{part}")).expect("a part");
        let mut lines = text.lines();
        let names = cells(lines.next().expect("names"));
        for line in lines {
            let cells = cells(line);
            assert_eq!(cells.len(), names.len(), "{line}");
            let row: Row = names.iter().cloned().zip(cells).filter(|(_, cell)| !cell.is_empty()).collect();
            let line: u64 = row["line"].parse().expect("a line");
            assert!(all.insert(line, (message.clone(), row)).is_none(), "line {line} is there twice");
        }
    }
    all
}

fn shown(value: &Value) -> Option<String> {
    match value {
        Value::Null => None,
        Value::String(text) => Some(text.clone()).filter(|text| !text.is_empty()),
        other => Some(other.to_string()),
    }
}

fn same(cell: Option<&String>, value: &Value) -> bool {
    let expected = shown(value);
    cell == expected.as_ref() || cell.and_then(|cell| cell.parse().ok()) == value.as_f64() && value.is_number()
}

#[test]
fn the_tables_by_message_say_what_the_objects_say_and_keep_every_frame() {
    const COUNT: u64 = 12_000;
    let folder = Folder::new("tables_json");
    let (capture, out) = (folder.file("mixed.txt", mixed(COUNT)), folder.path("tables"));
    let decode = ["decode", &capture, "--format"];
    let objects = run(&[&decode[..], &["json"]].concat()).exits(0).objects();
    run(&[&decode[..], &["csv", "--out-dir", &out, "--column", "receiver=north"]].concat()).exits(0);
    let rows = rows(&out);
    assert_eq!((objects.len() as u64, rows.len() as u64), (COUNT, COUNT));
    let (mut codes, mut fields, mut moments) = (0, 0, 0);
    for object in &objects {
        let (message, row) = &rows[&object["line"].as_u64().expect("a line")];
        assert_eq!(object["message"], **message);
        assert_eq!(row["receiver"], "north");
        let empty = Map::new();
        for (name, code) in object["codes"].as_object().unwrap_or(&empty) {
            assert!(same(row.get(&format!("code_{name}")), code), "{name}: {code} {row:?}");
            codes += 1;
        }
        for (name, value) in object["fields"].as_object().unwrap_or(&empty) {
            if name.ends_with("_meaning") {
                continue;
            }
            let word = format!("{name}_word");
            let cell = row.get(name).or_else(|| row.get(&word).filter(|_| value.is_string()));
            assert!(same(cell, value), "{message}/{name}: {value} {row:?}");
            fields += 1;
        }
        let is_code = |name: &&String| name.starts_with("code_");
        assert_eq!(row.keys().filter(is_code).count(), object["codes"].as_object().map_or(0, Map::len), "{row:?}");
        for name in ["address", "address_confirmed", "parity", "frame", "position_refused"] {
            assert!(same(row.get(name), &object[name]), "{name}: {object} {row:?}");
        }
        for name in ["latitude_deg", "longitude_deg", "method"] {
            assert!(same(row.get(&format!("position_{name}")), &object["position"][name]), "{name}: {object}");
        }
        let registers = object["registers"].as_array().map(|all| {
            let names: Vec<&str> = all.iter().filter_map(|each| each["register"].as_str()).collect();
            serde_json::json!(names).to_string()
        });
        assert_eq!(row.get("registers"), registers.as_ref(), "{object}");
        let moment = row.get("time").map(|time| time.parse::<jiff::Timestamp>().expect("a time").as_microsecond());
        match object["time"].as_f64() {
            Some(time) if time >= 1e9 => {
                assert_eq!(moment, Some((time * 1e6).round() as i64), "{object}");
                assert_eq!(row.get("relative_time_s"), None);
                moments += 1;
            }
            time => {
                assert_eq!(moment, None);
                assert_eq!(row.get("relative_time_s").and_then(|cell| cell.parse().ok()), time);
            }
        }
        let state = object.get("contradiction").and_then(Value::as_object);
        assert_eq!(row.get("contradiction_field"), state.and_then(|state| state.keys().next()), "{object}");
    }
    assert!(codes > 8 * COUNT && fields > 3 * COUNT && moments > COUNT / 4, "{codes} {fields} {moments}");
    let messages: BTreeSet<&String> = rows.values().map(|(message, _)| message).collect();
    assert!(messages.len() > 20, "{messages:?}");
}

#[cfg(feature = "parquet")]
#[test]
fn parquet_by_message_has_the_cells_of_the_text_and_says_what_it_is() {
    use parquet::file::reader::{FileReader, SerializedFileReader};
    use parquet::record::Field;
    let folder = Folder::new("tables_parquet");
    let (capture, texts, tables) =
        (folder.file("mixed.txt", mixed(9_000)), folder.path("texts"), folder.path("tables"));
    let into = |form: &str, out: &str| {
        run(&["decode", &capture, "--format", form, "--out-dir", out, "--by", "message,hour"]).exits(0);
    };
    into("csv", &texts);
    into("parquet", &tables);
    let expected = rows(&texts);
    let of_text: BTreeSet<String> = parts(&texts).iter().map(|part| part.replace(".csv", ".parquet")).collect();
    assert_eq!(parts(&tables), of_text, "the same cuts");
    let mut values = 0;
    let mut lines = BTreeSet::new();
    for part in parts(&tables) {
        let file = fs::File::open(format!("{tables}/{part}")).expect("a part");
        let reader = SerializedFileReader::new(file).expect("Parquet");
        let noted: BTreeMap<String, String> = reader
            .metadata()
            .file_metadata()
            .key_value_metadata()
            .expect("notes")
            .iter()
            .map(|pair| (pair.key.clone(), pair.value.clone().unwrap_or_default()))
            .collect();
        assert_eq!((&*noted["schema"], &*noted["capture"]), ("table/1", &*capture));
        assert!(part.starts_with(&format!("message={}/hour=", noted["message"])), "{part}");
        let account: Value = serde_json::from_str(&noted["account"]).expect("JSON");
        assert_eq!(account["frames"], 9_000);
        for row in reader.get_row_iter(None).expect("rows") {
            let row = row.expect("a row");
            let line = row.get_column_iter().find_map(|(name, field)| match field {
                Field::Long(line) if name == "line" => Some(*line as u64),
                _ => None,
            });
            let line = line.expect("a line");
            assert!(lines.insert(line), "line {line} is there twice");
            for (name, field) in row.get_column_iter() {
                let cell = expected[&line].1.get(name);
                let is_same = match (field, cell) {
                    (Field::Null, None) => true,
                    // Text of nothing is an empty cell.
                    (Field::Str(text), None) => text.is_empty(),
                    (Field::Str(text), Some(cell)) => cell == text,
                    (Field::Bool(yes), Some(cell)) => *cell == yes.to_string(),
                    (Field::Int(number), Some(cell)) => *cell == number.to_string(),
                    (Field::Long(number), Some(cell)) => *cell == number.to_string(),
                    (Field::Double(number), Some(cell)) => cell.parse() == Ok(*number),
                    (Field::TimestampMicros(moment), Some(cell)) => {
                        cell.parse::<jiff::Timestamp>().expect("a time").as_microsecond() == *moment
                    }
                    (Field::ListInternal(list), Some(cell)) => {
                        let texts: Vec<String> = list.elements().iter().map(ToString::to_string).collect();
                        *cell == format!("[{}]", texts.join(","))
                    }
                    _ => false,
                };
                assert!(is_same, "{part}, line {line}, {name}: {field} {cell:?}");
                values += 1;
            }
        }
    }
    assert_eq!(lines.len(), expected.len());
    assert!(values > 300_000, "{values}");
}

#[test]
fn the_cuts_are_folders_that_engines_know() {
    let folder = Folder::new("tables_cuts");
    let frame = "8D40621D58C382D690C8AC2863A7";
    let text = format!("2026-11-27T23:59:59.5Z {frame}\n2026-11-28T00:00:00Z {frame}\n12.5 {frame}\n{frame}\n");
    let capture = folder.file("a capture, 1.txt", text);
    let cut = |by: &str| {
        let out = folder.path(&by.replace(',', "_"));
        run(&["decode", &capture, "--format", "csv", "--out-dir", &out, "--by", by]).exits(0);
        let folders: BTreeSet<String> =
            parts(&out).iter().map(|part| part.rsplit_once('/').expect("a folder").0.to_owned()).collect();
        folders.into_iter().collect::<Vec<_>>()
    };
    let under = |cuts: &[&str]| cuts.iter().map(|cut| format!("message=airborne_position{cut}")).collect::<Vec<_>>();
    assert_eq!(cut("message"), under(&[""]));
    let none = "__HIVE_DEFAULT_PARTITION__";
    assert_eq!(cut("message,date"), under(&["/date=2026-11-27", "/date=2026-11-28", &format!("/date={none}")]));
    assert_eq!(cut("message,hour"), under(&["/hour=2026-11-27_23", "/hour=2026-11-28_00", &format!("/hour={none}")]));
    let source = cut("message,source");
    assert!(source.len() == 1 && source[0].ends_with("a%20capture%2C%201.txt"), "{source:?}");
}

#[test]
fn writing_again_adds_what_is_new_and_nothing_twice() {
    let folder = Folder::new("tables_again");
    let (first, second) = (folder.file("first.txt", mixed(600)), folder.file("second.txt", mixed(900)));
    let out = folder.path("tables");
    let into = |captures: &[&str], more: &[&str]| {
        run(&[&["decode"][..], captures, &["--format", "csv", "--out-dir", &out], more].concat())
    };
    let count = || {
        let lines = |part: String| fs::read_to_string(format!("{out}/{part}")).expect("a part").lines().count() - 1;
        parts(&out).into_iter().map(lines).sum::<usize>()
    };
    into(&[&first], &[]).exits(0);
    let before = files(&out);
    into(&[&first], &[]).exits(0).complains_of(&["1 capture is in this data set already"]);
    assert_eq!((count(), files(&out)), (600, before));
    into(&[&first, &second], &[]).exits(0);
    assert_eq!(count(), 1500);
    // A capture that has grown comes in the place of what it was.
    fs::OpenOptions::new()
        .append(true)
        .open(&first)
        .and_then(|mut file| file.write_all(mixed(30).as_bytes()))
        .expect("it grows");
    into(&[&first, &second], &[]).exits(0).complains_of(&["1 capture is in this data set already"]);
    assert_eq!(count(), 1530);
    // The same under another name is not there twice.
    let copy = folder.file("copy.txt", fs::read(&second).expect("a capture"));
    into(&[&copy], &[]).exits(0).complains_of(&["left out", "second.txt"]);
    assert_eq!(count(), 1530);
    // Another way to decode it is a question, not an answer.
    into(&[&first], &["--column", "receiver=north"]).exits(2).complains_of(&[
        "already",
        "other options",
        "--column not given, now receiver=north",
        "--force",
    ]);
    into(&[&first], &["--column", "receiver=north", "--force"]).exits(0);
    assert_eq!(count(), 1530);
    // What cannot be read whole is not there at all, and everything else is.
    let cut = {
        let mut encoder = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
        encoder.write_all(mixed(4000).as_bytes()).expect("memory");
        let whole = encoder.finish().expect("memory");
        folder.file("cut.gz", &whole[..whole.len() / 2])
    };
    let third = folder.file("third.txt", mixed(90));
    into(&[&cut, &third], &[]).exits(2).complains_of(&["cut.gz", "nothing of it is in the data set"]);
    assert_eq!(count(), 1620);
    let accounts = manifests(&out);
    let frames: u64 = accounts.iter().filter_map(|manifest| manifest["account"]["frames"].as_u64()).sum();
    assert_eq!((accounts.len(), frames), (3, 1620));
    let listed: BTreeSet<String> = accounts
        .iter()
        .flat_map(|manifest| manifest["parts"].as_array().expect("parts").iter())
        .map(|part| part["path"].as_str().expect("a path").to_owned())
        .collect();
    assert_eq!(listed, parts(&out), "everything is listed, and nothing else is there");
}

/// Between the first file that gets its name and the manifest somebody pulls the plug: the next run takes away what is
/// there, and begins anew.
#[test]
fn an_attempt_that_did_not_come_to_its_end_leaves_nothing_behind() {
    let folder = Folder::new("tables_unfinished");
    let (capture, out) = (folder.file("a.txt", mixed(500)), folder.path("tables"));
    let into = || run(&["decode", &capture, "--format", "csv", "--out-dir", &out]).exits(0);
    into();
    let whole = files(&out);
    let manifest = whole.iter().find(|file| file.starts_with("_manifest")).expect("a manifest");
    let all: Vec<String> = parts(&out).into_iter().collect();
    for named in [1, all.len() / 2, all.len()] {
        fs::remove_file(format!("{out}/{manifest}")).expect("it goes");
        all[named..].iter().for_each(|part| fs::remove_file(format!("{out}/{part}")).expect("it goes"));
        // One that this run will not make: the files may have been cut otherwise then.
        let stray = "message=no_position/part-stray.csv";
        fs::create_dir_all(format!("{out}/message=no_position")).expect("a folder");
        fs::write(format!("{out}/{stray}"), "line\r\n1\r\n").expect("a file");
        let touched: Vec<&str> = all.iter().map(String::as_str).chain([stray]).collect();
        let note = format!("{out}/{}", manifest.replace(".json", ".unfinished.json"));
        fs::write(&note, serde_json::json!(touched).to_string()).expect("a note");
        into();
        assert_eq!(files(&out), whole, "{named} of {} files had their names", all.len());
    }
}

#[test]
fn several_processes_write_into_one_folder() {
    let folder = Folder::new("tables_processes");
    let out = folder.path("tables");
    let captures: Vec<String> = (1..=4).map(|at| folder.file(&format!("{at}.txt"), mixed(400 * at))).collect();
    let start = |capture: &String| {
        let mut command = command(&["decode", capture, "--format", "csv", "--out-dir", &out, "--by", "message,hour"]);
        command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null()).spawn().expect("it starts")
    };
    let running: Vec<_> = captures.iter().map(start).collect();
    for mut process in running {
        assert!(process.wait().expect("it ends").success());
    }
    // And one more from a pipe, twice: what has no name cannot be known again.
    for _ in 0..2 {
        run_with(&["decode", "-", "--format", "csv", "--out-dir", &out, "--by", "message,hour"], mixed(100).as_bytes())
            .exits(0);
    }
    let frames: u64 = manifests(&out).iter().filter_map(|manifest| manifest["account"]["frames"].as_u64()).sum();
    assert_eq!(frames, 400 + 800 + 1200 + 1600 + 100, "the second pipe says the same as the first");
    let lines = |part: String| fs::read_to_string(format!("{out}/{part}")).expect("a part").lines().count() as u64 - 1;
    assert_eq!(parts(&out).into_iter().map(lines).sum::<u64>(), frames);
}

#[test]
fn folders_and_patterns_are_the_files_that_they_stand_for() {
    let folder = Folder::new("tables_patterns");
    let frame = "8D40621D58C382D690C8AC2863A7\n";
    for name in ["north", "south", "north/deep", "_made"] {
        fs::create_dir_all(folder.path(name)).expect("a folder");
    }
    for name in ["north/1.txt", "north/2.txt", "north/deep/3.log", "south/1.txt", "north/.hidden", "_made/4.txt"] {
        folder.file(name, frame);
    }
    let named = |pattern: &str| {
        let said = run(&["decode", &folder.path(pattern), "--format", "json"]).exits(0);
        let root = folder.path("");
        let name = |object: &Value| object["file"].as_str().expect("a file").trim_start_matches(&root).to_owned();
        said.objects().iter().map(name).collect::<Vec<_>>()
    };
    assert_eq!(named(""), ["north/1.txt", "north/2.txt", "north/deep/3.log", "south/1.txt"]);
    assert_eq!(named("north"), ["north/1.txt", "north/2.txt", "north/deep/3.log"]);
    assert_eq!(named("*/1.txt"), ["north/1.txt", "south/1.txt"]);
    assert_eq!(named("north/?.t*"), ["north/1.txt", "north/2.txt"]);
    assert_eq!(named("n*h/*/*"), ["north/deep/3.log"]);
    run(&["decode", &folder.path("*.gz")]).exits(2).complains_of(&["no file fits this pattern"]);
    // What is written is not read again, where the folder of tables is below that of the captures.
    let out = folder.path("tables");
    for _ in 0..2 {
        run(&["decode", &folder.path(""), "--format", "csv", "--out-dir", &out]).exits(0);
        assert_eq!(manifests(&out).len(), 1, "the four captures are the same");
    }
}

/// A wide table may have constant columns too; a name that the table has, or that no engine would take, is refused.
#[test]
fn a_column_more_is_the_same_in_every_row_and_its_name_is_free() {
    let csv = |column: &str| run(&["decode", GOOD[1], "--format", "csv", "--column", column]);
    let out = csv("receiver=a \"b\", c").exits(0).out;
    assert!(out.lines().next().expect("names").ends_with(",receiver"));
    assert!(out.lines().count() > 100 && out.lines().skip(1).all(|line| line.ends_with(",\"a \"\"b\"\", c\"")));
    for taken in ["address=1", "nacp=2", "message=x"] {
        csv(taken).exits(2).complains_of(&["column", "of its own", "another name"]);
    }
    for bad in ["Receiver=1", "=1", "receiver", "a-b=1", "1a=2"] {
        csv(bad).exits(2).complains_of(&["receiver=north"]);
    }
}
