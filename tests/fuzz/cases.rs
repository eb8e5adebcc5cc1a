//! What holds whatever is read: any octets go in, and a broken promise is a panic. The fuzzer looks for octets that break
//! one; the tests replay what it has kept. Times and files apart, nothing in here is random.
// Each program of the fuzzer tries one of them.
#![allow(dead_code)]

use parquet::file::reader::SerializedFileReader;
use parquet::record::{Field, Row, reader::RowIter};
use serde::de::{self, Deserializer, MapAccess, SeqAccess, Visitor};
use serde_json::{Map, Value, json};
use squitterlab::capture::{Accounting, Line, read_from, read_line};
use squitterlab::compare::{Fleet, Install, Report, Verdict, plan, readback};
use squitterlab::downlink::{Decoded, encode_codes};
use squitterlab::frame::Frame;
use squitterlab::onair::{Flight, FlightPath, Rehearsal, Situation, emissions};
use squitterlab::present::json::{Place, write_frame};
use squitterlab::present::sheet::Sheet;
use squitterlab::present::table::{Batch, Columns, Tabulator, csv, parquet as written};
use squitterlab::profile::{Profile, RuleSet, Severity, check, rule_set};
use squitterlab::track::Tracker;
use std::collections::BTreeSet;
use std::fmt;
use std::io::Read;
use std::ops::ControlFlow;
use std::sync::Arc;

/// A case: its name, which is its folder under `corpus`, and what holds.
pub type Case = (&'static str, fn(&[u8]));

/// All of them.
pub const CASES: &[Case] =
    &[("line", line), ("profile", profile), ("capture", capture), ("files", files), ("page", page), ("table", table)];

/// A line of a capture, and these octets as a frame: to JSON, and back to the bits.
pub fn line(octets: &[u8]) {
    let mut tracker = Tracker::new(None, None);
    for text in octets.split(|octet| *octet == b'\n') {
        if let Line::Frame { frame, time, .. } = read_line(text) {
            comes_back(frame, time, &mut tracker);
        }
    }
    for length in [7, 14] {
        for piece in octets.chunks_exact(length).take(16) {
            let digits = piece.iter().map(|octet| format!("{octet:02X}")).collect::<Vec<_>>().concat();
            if let Ok(frame) = digits.parse() {
                comes_back(frame, None, &mut tracker);
            }
        }
    }
}

/// JSON in which no object has a key twice.
struct Once;

impl<'de> de::Deserialize<'de> for Once {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        from.deserialize_any(Self)
    }
}

impl<'de> Visitor<'de> for Once {
    type Value = Self;

    fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str("JSON")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self, A::Error> {
        let mut keys = BTreeSet::new();
        while let Some((key, Self)) = map.next_entry::<String, Self>()? {
            if !keys.insert(key.clone()) {
                return Err(de::Error::custom(format!("{key} stands twice")));
            }
        }
        Ok(self)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Self, A::Error> {
        while let Some(Self) = list.next_element()? {}
        Ok(self)
    }

    fn visit_unit<E>(self) -> Result<Self, E> {
        Ok(self)
    }

    fn visit_bool<E>(self, _: bool) -> Result<Self, E> {
        Ok(self)
    }

    fn visit_u64<E>(self, _: u64) -> Result<Self, E> {
        Ok(self)
    }

    fn visit_i64<E>(self, _: i64) -> Result<Self, E> {
        Ok(self)
    }

    fn visit_f64<E>(self, _: f64) -> Result<Self, E> {
        Ok(self)
    }

    fn visit_str<E>(self, _: &str) -> Result<Self, E> {
        Ok(self)
    }
}

/// What JSON says, and that another parser reads it, with no key twice.
fn read_twice(text: &[u8]) -> Map<String, Value> {
    let object: Map<String, Value> = serde_json::from_slice(text).expect("JSON");
    serde_json::from_slice::<Once>(text).expect("no key twice");
    let text = std::str::from_utf8(text).expect("UTF-8");
    let other = jzon::parse(text).expect("JSON for another parser too");
    assert!(same(&Value::Object(object.clone()), &other), "two parsers read one text: {text}");
    object
}

/// Whether two parsers have read the same. Decimals are compared as numbers: each has a form of its own.
fn same(one: &Value, other: &jzon::JsonValue) -> bool {
    match one {
        Value::Null => other.is_null(),
        Value::Bool(yes) => other.as_bool() == Some(*yes),
        Value::String(text) => other.as_str() == Some(text),
        Value::Number(number) => {
            let (one, other) = (number.as_f64(), other.as_f64());
            one.zip(other).is_some_and(|(one, other)| (one - other).abs() <= one.abs() * 1e-12)
        }
        Value::Array(all) => {
            all.len() == other.len() && all.iter().zip(other.members()).all(|(one, other)| same(one, other))
        }
        Value::Object(all) => {
            all.len() == other.len()
                && all.iter().all(|(key, one)| other.has_key(key) && same(one, &other[key.as_str()]))
        }
    }
}

/// A frame through its JSON, back to the same bits.
fn comes_back(frame: Frame, time: Option<f64>, tracker: &mut Tracker) {
    let decoded = Decoded::new(frame);
    let observation = tracker.observe(&decoded, time);
    let (place, mut text) = (Place { file: Some("-"), line: 1, time }, Vec::new());
    write_frame(&place, &observation.version.read(decoded), &observation, &mut text);
    let object = read_twice(&text);
    assert_eq!(object["frame"].as_str(), Some(&*frame.to_string()));
    let codes = object["codes"].as_object().expect("codes");
    assert_eq!(encode_codes(codes).ok(), Some(frame), "{codes:?}");
}

/// The text of a profile: checked, put on the air, written as a sheet, and read again.
pub fn profile(octets: &[u8]) {
    let Ok(text) = std::str::from_utf8(octets) else { return };
    let reading = Profile::read(text);
    for rules in ["none", "united_states", "europe"].iter().filter_map(|name| rule_set(name)) {
        for problem in check(&reading, rules) {
            assert!(!problem.reason.is_empty() && !problem.correction.is_empty(), "{problem:?}");
            let lines = text.lines().count().max(1);
            assert!(problem.line <= lines + 1, "{problem:?} in {lines} lines");
        }
    }
    if reading.is_unreadable() {
        assert!(reading.problems.iter().any(|problem| problem.severity == Severity::Error));
        return;
    }
    let profile = &reading.profile;
    let again = Profile::read(&profile.json().to_string());
    assert_eq!(&again.profile, profile, "what is written is read again: {:?}", again.problems);
    let sheet = Sheet::new("-", profile, reading.problems.clone(), rule_set("none").expect("rules"), "");
    read_twice(sheet.json().to_string().as_bytes());
    assert!(!sheet.text().is_empty());
    let Ok(frames) = emissions(profile, Flight::Unknown) else { return };
    let mut tracker = Tracker::new(None, None);
    for emission in &frames {
        comes_back(emission.frame, None, &mut tracker);
    }
    let Ok(install) = Install::new("-", profile.clone()) else { return };
    let expected = install.expected();
    for emission in &emissions(profile, Flight::Healthy).expect("an install can be put on the air") {
        let differing = expected.differing_bits(&Decoded::new(emission.frame), None);
        assert_eq!(differing, 0, "what an install sends agrees with it: {}", emission.frame);
    }
    assert_eq!(plan(&install).address, install.address());
    let lines = readback::lines(&install);
    assert!(!lines.is_empty());
    let form = readback::form(&install, &readback::Readings::new(), &[]);
    assert!(readback::read_form(&install, &form).expect("a form of ours is read").is_empty());
}

/// Pieces as a slow pipe gives them.
struct Pieces {
    octets: Vec<u8>,
    at: usize,
    longest: usize,
}

impl Read for Pieces {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        let rest = &self.octets[self.at..];
        let taken = rest.len().min(into.len()).min(self.longest.max(1));
        into[..taken].copy_from_slice(&rest[..taken]);
        self.at += taken;
        Ok(taken)
    }
}

/// The demo's fleet, which is invented.
fn fleet(which: u8) -> Vec<Install> {
    let all = [
        include_str!("../../vectors/demo/profile.json"),
        r#"{"aircraft": {"address": "A5C035"}}"#,
        r#"{"aircraft": {"address": "A5C036", "registration": "N47QX"}, "transponder": {"mops_version": 1}}"#,
    ];
    let installs = all.iter().enumerate().filter(|(at, _)| which >> at & 1 == 1 || *at == 0);
    installs
        .map(|(at, text)| Install::new(&format!("{at}.json"), Profile::read(text).profile).expect("sound"))
        .collect()
}

/// What these octets say of a fleet, read in pieces and cut into files at the ends of these lines.
fn compared(
    installs: &[Install],
    rules: &RuleSet,
    files: &[&[u8]],
    longest: usize,
    threads: usize,
) -> (Vec<Report>, Accounting) {
    let mut fleet = Fleet::new(installs.to_vec(), rules);
    for octets in files {
        fleet.begin("-");
        let pieces = Pieces { octets: octets.to_vec(), at: 0, longest };
        let read = read_from("-", Box::new(pieces), |record| {
            fleet.observe(&record);
            ControlFlow::Continue(())
        });
        fleet.account(&read.unwrap_or_else(|error| error.accounting));
    }
    (fleet.reports_on(threads).collect(), fleet.accounting().clone())
}

/// Without what names files and lines.
fn without_places(value: &mut Value) {
    match value {
        Value::Object(all) => {
            for key in ["file", "files", "line", "first_line", "last_line"] {
                all.shift_remove(key);
            }
            all.values_mut().for_each(without_places);
        }
        Value::Array(all) => all.iter_mut().for_each(without_places),
        // Sentences have places too: here all files are called "-".
        Value::String(words) => {
            while let Some(at) = words.find("-:") {
                let digits = words[at + 2..].bytes().take_while(u8::is_ascii_digit).count();
                words.replace_range(at..at + 2 + digits, "");
            }
        }
        _ => {}
    }
}

/// The octets of a capture, after one that chooses the fleet and one that chooses the cut.
pub fn capture(octets: &[u8]) {
    let [which, cut, octets @ ..] = octets else { return };
    let installs = fleet(*which);
    let rules = rule_set(["none", "united_states", "europe"][usize::from(which >> 6) % 3]).expect("rules");
    let (reports, accounting) = compared(&installs, rules, &[octets], usize::MAX, 1);
    let is_packed = octets.starts_with(&[0x1F, 0x8B]) || octets.starts_with(&[0x28, 0xB5, 0x2F, 0xFD]);
    if !is_packed && !octets.starts_with(&[0xFF, 0xFE]) && !octets.starts_with(&[0xFE, 0xFF]) {
        let whole = octets.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(octets);
        let breaks = whole.split(|octet| *octet == b'\n').count() as u64 - 1;
        let lines = breaks + u64::from(!whole.is_empty() && !whole.ends_with(b"\n"));
        assert_eq!(accounting.lines(), lines, "every line is counted once");
    }
    assert_eq!(reports.len(), installs.len());
    for report in &reports {
        is_sound(report);
    }
    let texts: Vec<String> = reports.iter().map(|report| json!(report).to_string()).collect();
    for text in &texts {
        read_twice(text.as_bytes());
    }
    let again = |files: &[&[u8]], longest, threads| -> Vec<Value> {
        compared(&installs, rules, files, longest, threads).0.iter().map(|report| json!(report)).collect()
    };
    let same: Vec<Value> = reports.iter().map(|report| json!(report)).collect();
    assert_eq!(again(&[octets], usize::from(*cut), 4), same, "in pieces, on four threads");
    // Cut into two files at the end of a line; times run on, so nothing but the places may differ.
    if is_packed {
        return;
    }
    let at = octets.len() * usize::from(*cut) / 256;
    let Some(end) = octets[at..].iter().position(|octet| *octet == b'\n') else { return };
    let (first, second) = octets.split_at(at + end + 1);
    let marks: [&[u8]; 5] = [&[0x1F, 0x8B], &[0x28, 0xB5, 0x2F, 0xFD], &[0xFF, 0xFE], &[0xFE, 0xFF], b"\xEF\xBB\xBF"];
    if marks.iter().any(|mark| first.starts_with(mark) || second.starts_with(mark)) || second.is_empty() {
        return;
    }
    let (mut cut, mut whole) = (again(&[first, second], usize::MAX, 1), same);
    cut.iter_mut().chain(&mut whole).for_each(without_places);
    assert_eq!(cut, whole, "cut into two files");
}

/// What is true of every report.
fn is_sound(report: &Report) {
    let setting_statuses = report.settings.len();
    assert!(
        report.summary.proved <= report.summary.of && report.summary.of <= setting_statuses,
        "{:?}",
        report.summary
    );
    let errors = report.findings.iter().filter(|finding| finding.severity.word() == "error").count();
    match report.verdict {
        Verdict::Agrees => {
            assert_eq!(errors, 0);
            assert!(report.heard_as.is_some(), "nobody agrees who was not heard");
            assert_eq!(report.summary.not_seen + report.summary.not_filled_in, 0, "{:?}", report.summary);
        }
        Verdict::Differs => assert!(errors > 0, "what differs is told as an error"),
        Verdict::Incomplete => assert_eq!(errors, 0),
    }
    assert_eq!(report.heard_as.is_none(), report.not_heard.is_some(), "either heard, or why not");
    for finding in &report.findings {
        assert!(!finding.what.is_empty(), "{finding:?}");
    }
}

/// Situations, flights, rules and readings, by the first octet.
pub fn files(octets: &[u8]) {
    let [which, octets @ ..] = octets else { return };
    let Ok(text) = std::str::from_utf8(octets) else { return };
    let demo = || Profile::read(include_str!("../../vectors/demo/profile.json")).profile;
    let fly = |path: FlightPath| {
        let mut tracker = Tracker::new(None, None);
        if let Ok(rehearsal) = Rehearsal::new(demo(), path, 1) {
            rehearsal.take_while(|sent| sent.time_ms < 2_000).take(200).for_each(|sent| {
                comes_back(sent.frame, Some(sent.time_s()), &mut tracker);
            });
        }
    };
    match which % 4 {
        0 => {
            if let Ok(situation) = Situation::read(text) {
                for emission in emissions(&demo(), Flight::Situation(&situation)).into_iter().flatten() {
                    comes_back(emission.frame, None, &mut Tracker::new(None, None));
                }
                fly(FlightPath::fixed(situation));
            }
        }
        1 => {
            if let Ok(path) = FlightPath::read(text) {
                fly(path);
            }
        }
        2 => {
            if let Ok(rules) = RuleSet::read(text) {
                drop(check(&Profile::read(&demo().json().to_string()), &rules));
            }
        }
        _ => {
            let install = Install::new("-", demo()).expect("sound");
            if let Ok(readings) = readback::read_form(&install, text) {
                let report = readback::read_back(&install, &readings);
                read_twice(json!(report).to_string().as_bytes());
                assert!(!report.first_line().is_empty());
                // What was read is still in a form written anew.
                let form = readback::form(&install, &readings, &[]);
                assert_eq!(readback::read_form(&install, &form).ok(), Some(readings));
            }
        }
    }
}

/// Questions to the page: a line that names one, then what is sent.
pub fn page(octets: &[u8]) {
    let end = octets.iter().position(|octet| *octet == b'\n').unwrap_or(octets.len());
    let (path, body) = (String::from_utf8_lossy(&octets[..end]), octets.get(end + 1..).unwrap_or_default());
    // What no path may have, a browser sends as its number.
    let written = |octet: u8| match octet {
        b'"' | b'#' | b'<' | b'>' | b'\\' | b'^' | b'`' | b'{' | b'|' | b'}' => format!("%{octet:02X}"),
        _ if octet.is_ascii_graphic() => char::from(octet).to_string(),
        _ => format!("%{octet:02X}"),
    };
    let path = path.bytes().map(written).collect::<Vec<_>>().concat();
    let (status, answer) = asked(&path, body);
    assert!((200..500).contains(&status), "{path}: {status} {answer}");
    // More than 65,534 octets of path are refused by the status alone.
    if status == 414 && path.len() > 65_000 {
        return;
    }
    if status >= 400 {
        let said = read_twice(answer.as_bytes());
        assert!(said["error"].as_str().is_some_and(|why| !why.is_empty()), "{path}: {answer}");
    }
}

/// The page's answer, from one that runs in this process for as long as it does.
fn asked(path: &str, body: &[u8]) -> (u16, String) {
    use squitterlab::page::Server;
    use std::io::Write;
    use std::net::TcpStream;
    use std::sync::OnceLock;
    static LINK: OnceLock<String> = OnceLock::new();
    let link = LINK.get_or_init(|| {
        let server = Server::new(0, None).expect("a port");
        let link = server.link();
        std::thread::spawn(|| server.run());
        link
    });
    let (host, secret) = link.strip_prefix("http://").and_then(|rest| rest.split_once('/')).expect("a link");
    let mut stream = TcpStream::connect(host).expect("a connection");
    let head = format!(
        "POST /{secret}{path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\nContent-Type: application/json\r\n\
         Content-Length: {}\r\n\r\n",
        body.len()
    );
    stream.write_all(head.as_bytes()).expect("sent");
    // A refusal may come before all was sent.
    let _ = stream.write_all(body);
    let mut answer = Vec::new();
    let _ = stream.read_to_end(&mut answer);
    let answer = String::from_utf8(answer).expect("UTF-8");
    let (head, body) = answer.split_once("\r\n\r\n").expect("a head");
    (head[9..12].parse().expect("a status"), body.to_owned())
}

/// The lines of a capture, after an octet that says how many rows are a group, as tables: the one for all messages, and the
/// one of each message in it. What a reader of Parquet finds is what CSV says, cell by cell.
pub fn table(octets: &[u8]) {
    let [rows, octets @ ..] = octets else { return };
    let mut tracker = Tracker::new(None, None);
    let mut seen = Vec::new();
    for (line, text) in (1..).zip(octets.split(|octet| *octet == b'\n')).take(200) {
        if let Line::Frame { frame, time, .. } = read_line(text) {
            let decoded = Decoded::new(frame);
            let observation = tracker.observe(&decoded, time);
            let place = Place { file: Some("night, \"north\".txt"), line, time };
            seen.push((place, observation.version.read(decoded), observation));
        }
    }
    let messages: BTreeSet<&str> = seen.iter().map(|(_, decoded, _)| decoded.message()).collect();
    let tables = messages.into_iter().map(|message| (Some(message), Columns::of_message(message, None)));
    for (message, columns) in tables.chain([(None, Columns::new(None))]) {
        let columns = Arc::new(columns.with_constant("receiver", "a, \"b\"").expect("a new name"));
        let mut tabulator = Tabulator::new(Arc::clone(&columns));
        let of_message = |decoded: &Decoded| message.is_none_or(|message| decoded.message() == message);
        let mut batches = vec![Batch::new(Arc::clone(&columns))];
        for (place, decoded, observation) in seen.iter().filter(|(_, decoded, _)| of_message(decoded)) {
            tabulator.push(place, decoded, observation);
            if tabulator.rows() > usize::from(*rows) {
                batches.push(tabulator.take());
            }
        }
        batches.push(tabulator.take());
        let mut text = csv::names(&columns).into_bytes();
        let mut table = written::Writer::new(Vec::new(), Arc::clone(&columns), 1).expect("memory");
        for batch in &batches {
            csv::rows(batch, &mut text);
            table.push(batch).expect("memory");
            table.end_group().expect("memory");
        }
        let mut lines = read_csv(std::str::from_utf8(&text).expect("UTF-8")).into_iter();
        let names = lines.next().expect("names");
        let table = SerializedFileReader::new(bytes::Bytes::from(table.close().expect("memory"))).expect("a table");
        let rows: Vec<Row> = RowIter::from_file_into(Box::new(table)).map(|row| row.expect("a row")).collect();
        assert_eq!(rows.len(), lines.len(), "{message:?}");
        for (row, cells) in rows.iter().zip(lines) {
            assert_eq!(row.len(), names.len());
            for ((name, field), (column, cell)) in row.get_column_iter().zip(names.iter().zip(&cells)) {
                assert_eq!(name, column);
                assert!(says(field, cell), "{message:?}, {name}: {field:?} is not {cell:?}");
            }
        }
    }
}

/// Whether a cell of CSV says what a cell of Parquet does. Times are as far apart as their forms: only whether there is one.
fn says(field: &Field, cell: &str) -> bool {
    match field {
        Field::Null => cell.is_empty(),
        Field::Bool(yes) => cell.parse() == Ok(*yes),
        Field::Int(number) => cell.parse() == Ok(*number),
        Field::Long(number) => cell.parse() == Ok(*number),
        Field::Double(number) => cell.parse() == Ok(*number),
        Field::Str(text) => text == cell,
        Field::TimestampMicros(_) => !cell.is_empty(),
        Field::ListInternal(list) => {
            let words = list.elements().iter().map(|element| match element {
                Field::Str(text) => text.as_str(),
                other => panic!("{other:?} in a list of texts"),
            });
            serde_json::from_str(cell).ok() == Some(json!(words.collect::<Vec<_>>()))
        }
        other => panic!("no table has {other:?}"),
    }
}

/// The rows of comma-separated values (RFC 4180).
fn read_csv(text: &str) -> Vec<Vec<String>> {
    let (mut rows, mut row, mut cell, mut is_quoted) = (Vec::new(), Vec::new(), String::new(), false);
    let mut characters = text.chars().peekable();
    while let Some(character) = characters.next() {
        match character {
            '"' if is_quoted && characters.next_if_eq(&'"').is_some() => cell.push('"'),
            '"' => is_quoted = !is_quoted,
            ',' if !is_quoted => row.push(std::mem::take(&mut cell)),
            '\r' if !is_quoted => {}
            '\n' if !is_quoted => {
                row.push(std::mem::take(&mut cell));
                rows.push(std::mem::take(&mut row));
            }
            other => cell.push(other),
        }
    }
    assert!(row.is_empty() && cell.is_empty() && !is_quoted, "the last row is whole");
    rows
}
