//! Large captures: the same answer however the work is spread, an account of every line, tables, and damage.

// A capture is made in memory here; the benches write theirs to a file.
#[allow(dead_code)]
#[path = "../benches/traffic/mod.rs"]
mod traffic;

use crate::program::{Folder, PROFILE, Said, command, finish, run, run_with};
use flate2::{Compression, write::GzEncoder};
use ruzstd::encoding::{CompressionLevel, compress_to_vec};
use serde_json::Value;
use squitterlab::capture::{End, Source, blocks};
use std::collections::BTreeMap;
use std::fs;
use std::io::Write;
use std::process::Stdio;

const LINES: u64 = 30_000;

/// Invented traffic with everything in between that is no frame: several blocks of it.
fn capture() -> Vec<u8> {
    let mut text = Vec::new();
    for at in 0..LINES {
        match at % 1000 {
            0 => text.extend_from_slice(b"# a comment\n\nreceiver restarted\r\n"),
            500 => text.extend_from_slice(&[b"A".repeat(70_000), b"\n8D4840D6202CC371C32CE05760\n".to_vec()].concat()),
            _ => {}
        }
        let time = if at % 3 == 0 { String::new() } else { format!("{}.{:03} ", at / 300, at % 1000) };
        writeln!(text, "{time}{}", traffic::frame(at, 50)).expect("memory");
    }
    text
}

#[test]
fn the_account_is_that_of_the_lines() {
    let said = run_with(&["compare", PROFILE, "--capture", "-", "--format", "json"], &capture());
    let account = &said.object()["capture"];
    let thousands = LINES / 1000;
    assert_eq!(account["frames"], LINES);
    assert_eq!(account["comments"], 2 * thousands);
    let expected = serde_json::json!({"no_frame": thousands, "too_long": thousands, "wrong_length": thousands});
    assert_eq!(account["skipped"], expected);
    assert_eq!(account["lines"], LINES + 5 * thousands);
}

#[test]
fn any_number_of_threads_says_the_same_byte_for_byte() {
    let folder = Folder::new("threads");
    let wrong = fs::read("vectors/demo/wrong_address.txt").expect("the demo capture");
    // The wrong address comes to light between blocks that others have begun to read.
    let files = [folder.file("a.txt", capture()), folder.file("b.txt", [capture(), wrong, capture()].concat())];
    let decode =
        |format, threads| run(&["decode", &files[0], &files[1], "--format", format, "--threads", threads]).exits(0);
    let compare = |threads| {
        run(&["compare", PROFILE, "--capture", &files[0], &files[1], "--format", "json", "--threads", threads]).exits(1)
    };
    for format in ["json", "csv"] {
        let one = decode(format, "1");
        assert!(one.out.lines().count() as u64 > 2 * LINES);
        for threads in ["2", "5"] {
            let many = decode(format, threads);
            assert!(one.out == many.out && one.err == many.err, "{format} on {threads} threads");
        }
    }
    #[cfg(feature = "parquet")]
    {
        let table = |threads| {
            let out = folder.path(threads);
            run(&["decode", &files[0], &files[1], "--format", "parquet", "--threads", threads, "--out", &out]).exits(0);
            fs::read(out).expect("the table")
        };
        let one = table("1");
        assert!(one == table("2") && one == table("5"), "parquet");
    }
    let one = compare("1");
    assert_eq!(one.object()["heard_as"], "A5C035");
    for threads in ["2", "5"] {
        assert_eq!(one.out, compare(threads).out, "{threads} threads");
    }
}

/// The cells of a line, those in quotation marks as they are.
fn cells(line: &str) -> Vec<&str> {
    let (mut cells, mut start, mut is_quoted) = (Vec::new(), 0, false);
    for (at, c) in line.char_indices() {
        match c {
            '"' => is_quoted = !is_quoted,
            ',' if !is_quoted => {
                cells.push(&line[start..at]);
                start = at + 1;
            }
            _ => {}
        }
    }
    cells.push(&line[start..]);
    cells
}

/// The cells of a table with their names.
fn rows(said: &Said) -> Vec<BTreeMap<String, String>> {
    let mut lines = said.out.lines();
    let names: Vec<&str> = lines.next().expect("a line of names").split(',').collect();
    let row = |line: &str| {
        let cells = cells(line);
        assert_eq!(cells.len(), names.len(), "{line}");
        names.iter().map(ToString::to_string).zip(cells.iter().map(ToString::to_string)).collect()
    };
    lines.map(row).collect()
}

#[test]
fn a_row_of_the_table_says_what_the_object_says() {
    let capture = capture();
    let objects = run_with(&["decode", "-", "--format", "json"], &capture).objects();
    let rows = rows(&run_with(&["decode", "-", "--format", "csv"], &capture));
    assert_eq!(rows.len(), objects.len());
    let shown = |value: &Value| match value {
        Value::Null => String::new(),
        Value::String(text) => text.clone(),
        other => other.to_string(),
    };
    let mut compared = 0;
    for (row, object) in rows.iter().zip(&objects) {
        for (name, value) in object["fields"].as_object().expect("fields") {
            if let Some(cell) = row.get(name) {
                compared += 1;
                let same = *cell == shown(value) || cell.parse::<f64>().ok() == value.as_f64() && value.is_number();
                assert!(same, "{name}: {cell} {value}");
            } else {
                assert!(name.ends_with("_meaning"), "{name} has no column");
            }
        }
        for name in ["line", "frame", "address", "parity", "message", "downlink_format"] {
            assert_eq!(row[name], shown(&object[name]), "{name}");
        }
        assert_eq!(row["position_method"], shown(&object["position"]["method"]));
    }
    assert!(compared > 100_000);
}

#[cfg(feature = "parquet")]
#[test]
fn the_parquet_table_has_the_cells_of_the_other_and_says_where_it_comes_from() {
    use parquet::file::reader::{FileReader, SerializedFileReader};
    use parquet::record::Field;
    use sha2::{Digest, Sha256};
    let folder = Folder::new("parquet");
    let file = folder.file("capture.txt", [capture(), capture(), capture()].concat());
    let table = folder.path("table.parquet");
    run(&["decode", &file, "--format", "parquet", "--out", &table]).exits(0);
    let expected = rows(&run(&["decode", &file, "--format", "csv"]).exits(0));
    let reader = SerializedFileReader::new(fs::File::open(&table).expect("the table")).expect("Parquet");
    let metadata = reader.metadata().file_metadata();
    assert!(metadata.created_by().expect("a program").starts_with("squitterlab "));
    let noted = |key: &str| {
        let pair = metadata.key_value_metadata().expect("metadata").iter().find(|pair| pair.key == key);
        pair.and_then(|pair| pair.value.clone()).unwrap_or_else(|| panic!("no {key}"))
    };
    assert_eq!(noted("schema"), "table/1");
    assert!(noted("program").starts_with("squitterlab "));
    let sources: Value = serde_json::from_str(&noted("sources")).expect("JSON");
    assert_eq!(sources.as_array().map(Vec::len), Some(1));
    let source = &sources[0];
    let digest = Sha256::digest(fs::read(&file).expect("the capture"));
    assert_eq!(source["sha256"], hex::encode(digest));
    assert_eq!((source["file"].as_str(), source["frames"].as_u64()), (Some(file.as_str()), Some(3 * LINES)));
    assert_eq!(reader.num_row_groups(), 1);
    for group in reader.metadata().row_groups() {
        let columns = group.columns();
        let named = |name| columns.iter().find(|column| column.column_descr().name() == name).expect("a column");
        for name in ["relative_time_s", "line", "address"] {
            assert!(named(name).statistics().is_some_and(|known| known.min_bytes_opt().is_some()), "{name}");
            assert!(
                named(name).column_index_offset().is_some() && named(name).offset_index_offset().is_some(),
                "{name}"
            );
        }
        assert!(named("address").bloom_filter_offset().is_some());
    }
    let mut count = 0;
    for (row, expected) in reader.get_row_iter(None).expect("rows").zip(&expected) {
        count += 1;
        for (name, field) in row.expect("a row").get_column_iter() {
            let cell = &expected[name];
            let same = match field {
                Field::Null => cell.is_empty(),
                Field::Bool(yes) => *cell == yes.to_string(),
                Field::Long(number) => *cell == number.to_string(),
                Field::Double(number) => cell.parse() == Ok(*number),
                Field::Str(text) => cell.trim_matches('"') == text,
                // With quotation marks around it, and a comma inside.
                Field::ListInternal(list) => {
                    assert_eq!(name, "registers");
                    let all = list.elements().iter().map(|element| match element {
                        Field::Str(text) => format!("{text:?}").replace('"', "\"\""),
                        other => panic!("{other}"),
                    });
                    *cell == format!("\"[{}]\"", all.collect::<Vec<_>>().join(","))
                }
                _ => false,
            };
            assert!(same, "{name}: {field} {cell}");
        }
    }
    assert_eq!(count, 3 * LINES);
}

#[test]
fn damage_is_said_counted_and_leaves_no_file() {
    let plain = capture();
    let mut encoder = GzEncoder::new(Vec::new(), Compression::fast());
    encoder.write_all(&plain).expect("memory");
    let packed = [
        ("gzip", encoder.finish().expect("memory")),
        ("zstd", compress_to_vec(plain.as_slice(), CompressionLevel::Fastest)),
    ];
    let folder = Folder::new("damage");
    let out = folder.path("out.json");
    for (format, packed) in packed {
        let middle = packed.len() / 2;
        let mut corrupt = packed.clone();
        corrupt[middle..middle + 64].fill(0xA5);
        for (name, bytes) in [("cut", &packed[..middle]), ("corrupt", &corrupt[..])] {
            let file = folder.file(name, bytes);
            let said = run(&["decode", &file, "--format", "json", "--out", &out]).exits(2);
            said.complains_of(&["reading stopped after line", format, " lines = "]);
            assert!(!folder.names().iter().any(|name| name.contains("out")), "{:?}", folder.names());
            // What was read is judged, and the status says that it was not all.
            let said = run(&["compare", PROFILE, "--capture", &file, "--format", "json"]).exits(2);
            let account = &said.object()["capture"];
            assert!(account["frames"].as_u64().is_some_and(|frames| frames > 1000 && frames < LINES), "{account}");
            let cut_short = account["not_read_whole"][0].as_str().expect("why");
            assert!(cut_short.contains("reading stopped after line"), "{account}");
            let said = run(&["compare", PROFILE, "--capture", &file]).exits(2);
            assert!(said.out.contains("not read whole: "), "{}", said.out);
        }
    }
}

#[test]
fn one_unreadable_file_among_many_is_named_and_the_others_are_read() {
    let folder = Folder::new("among_many");
    let (good, more) = (folder.file("good.txt", capture()), folder.file("more.txt", capture()));
    let said = run(&["compare", PROFILE, "--capture", &good, "no_such_file.txt", &more, "--format", "json"]).exits(2);
    assert_eq!(said.object()["capture"]["frames"], 2 * LINES);
    said.complains_of(&["no_such_file.txt: cannot be opened"]);
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_an_error() {
    let folder = Folder::new("full_disk");
    let file = folder.file("capture.txt", capture());
    for format in ["text", "json", "csv"] {
        let full = fs::OpenOptions::new().write(true).open("/dev/full").expect("the device that is always full");
        let mut child = command(&["decode", &file, "--format", format])
            .stdout(full)
            .stderr(Stdio::piped())
            .stdin(Stdio::null())
            .spawn()
            .expect("it starts");
        let mut said = String::new();
        std::io::Read::read_to_string(&mut child.stderr.take().expect("a pipe"), &mut said).expect("text");
        assert_eq!(child.wait().expect("it ends").code(), Some(2), "{format}");
        assert!(said.contains("No space left"), "{said}");
    }
}

#[test]
fn a_file_that_grows_or_shrinks_while_it_is_read_is_told_apart_from_a_whole_one() {
    let folder = Folder::new("grows");
    let end = |change: fn(&str)| {
        let file = folder.file("capture.txt", capture());
        let mut reading = blocks(vec![Source::from(file.as_str())], 1 << 15, false);
        assert!(reading.next().expect("a block").end.is_none());
        change(&file);
        reading.last().expect("the last block").end.expect("its end")
    };
    assert!(matches!(end(|_| {}), End::Whole));
    let grown = end(|file| {
        let mut file = fs::OpenOptions::new().append(true).open(file).expect("the capture");
        file.write_all(b"8D4840D6202CC371C32CE0576098\n").expect("a line");
    });
    assert!(matches!(grown, End::Grown(before, after) if after == before + 29));
    let cut = end(|file| {
        fs::OpenOptions::new().write(true).open(file).and_then(|file| file.set_len(300_000)).expect("cut");
    });
    assert!(matches!(cut, End::Broken(error) if error.to_string().contains("became shorter")));
}

#[cfg(target_os = "linux")]
#[test]
fn whoever_stops_it_is_told_what_was_done_and_finds_no_half_file() {
    let folder = Folder::new("stopped");
    let out = folder.path("out.json");
    let mut child = command(&["decode", "-", "--format", "json", "--out", &out])
        .stdin(Stdio::piped())
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .expect("it starts");
    let mut input = child.stdin.take().expect("a pipe");
    input.write_all(&capture()).expect("it reads");
    input.flush().expect("it reads");
    std::thread::sleep(std::time::Duration::from_millis(500));
    assert!(folder.names().iter().any(|name| name.contains("out.json")), "{:?}", folder.names());
    let stopped = finish(std::process::Command::new("kill").args(["-INT", &child.id().to_string()]), b"");
    assert_eq!(stopped.status, 0, "{stopped:?}");
    let output = child.wait_with_output().expect("it ends");
    assert_eq!(output.status.code(), Some(2));
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(said.contains("stopped after ") && said.contains("no file was left behind"), "{said}");
    assert!(folder.names().is_empty(), "{:?}", folder.names());
    drop(input);
}
