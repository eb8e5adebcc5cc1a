//! Runs every check of `vectors/published`: what publications print, held against the library.
//!
//! The files are found by listing the directory, so a new file runs by being there. A check of an unknown kind, a
//! check without its source or its confirmed mark, an identifier used twice and a file without content all fail.

use serde::Deserialize;
use serde_json::{Map, Value};
use squitterlab::code::compact_position::{Grid, Pair, Position, Word, global, zones};
use squitterlab::code::table::{Row, Table, TableError, Wanted};
use squitterlab::code::{
    Altitude12, Bits, CodeError, Identification, LengthWidth, Meaning, Movement, RadiusOfContainment, RegisterNumber,
    Version, navigation_integrity, vertical_protection_limit,
};
use squitterlab::downlink::{Decoded, FORMATS, InterrogatorCode, Parity, encode_codes};
use squitterlab::frame::{Address, Frame, Span, parity_of};
use squitterlab::message::position::Carries;
use squitterlab::message::{AirbornePosition, Message, SurfacePosition, ground_station};
use squitterlab::onair::{Condition, Stream, interval_of};
use squitterlab::profile::{Forms, Profile, rule_set};
use squitterlab::register;
use squitterlab::registry::{BLOCKS, address_of_mark, mark_of_address};
use squitterlab::track::{Method, Tracker};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// A name and what went wrong, or nothing.
type Outcome = Result<(), String>;

macro_rules! ensure {
    ($holds:expr, $($what:tt)+) => {
        let holds: bool = $holds;
        if !holds {
            return Err(format!($($what)+));
        }
    };
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    #[serde(rename = "$schema")]
    schema: String,
    source: Source,
    notes: Vec<String>,
    checks: Vec<Value>,
    #[serde(default)]
    awaiting: Vec<Awaiting>,
}

#[derive(Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct Source {
    title: String,
    edition: String,
    section: String,
    publisher: String,
    licence: String,
    address: String,
}

#[derive(Clone, Copy, Deserialize, PartialEq)]
enum Confirmed {
    #[serde(rename = "page seen")]
    PageSeen,
    #[serde(rename = "from memory")]
    FromMemory,
    #[serde(rename = "own computation")]
    OwnComputation,
}

/// What every check says of itself, apart from its kind.
#[derive(Deserialize)]
struct About {
    id: String,
    section: String,
    address: Option<String>,
    confirmed: Confirmed,
    remark: Option<String>,
}

/// Something that the library cannot be asked yet: kept in form, and counted.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Awaiting {
    id: String,
    subject: String,
    section: String,
    address: Option<String>,
    #[serde(default)]
    frames: Vec<String>,
    expect: Value,
    /// Why the library cannot be asked.
    reason: String,
    confirmed: Confirmed,
    remark: Option<String>,
}

#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Format {
    Even,
    Odd,
}

#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Cells {
    Airborne,
    Surface,
}

impl From<Cells> for Grid {
    fn from(cells: Cells) -> Self {
        match cells {
            Cells::Airborne => Self::Airborne,
            Cells::Surface => Self::Surface,
        }
    }
}

#[derive(Clone, Copy, Default, Deserialize, PartialEq)]
#[serde(rename_all = "snake_case")]
enum Direction {
    #[default]
    Decode,
    Encode,
    Both,
}

#[derive(Clone, Copy, Deserialize, PartialEq)]
#[serde(rename_all = "snake_case")]
enum Closed {
    Left,
    Right,
}

#[derive(Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
enum Check {
    /// One frame and what it says.
    Frame { frame: String, register: Option<String>, version: Option<u8>, expect: FrameSays },
    /// Raw codes of a message and the fields that follow, one way or both.
    Values {
        message: String,
        #[serde(default)]
        given: BTreeMap<String, u64>,
        version: Option<u8>,
        #[serde(default)]
        direction: Direction,
        expect: Vec<ValueRow>,
    },
    /// Which bits of a message are which rows; fields without keys only start and end where rows do.
    Layout {
        message: String,
        #[serde(default)]
        given: BTreeMap<String, u64>,
        expect: Vec<Place>,
    },
    /// Downlink formats, their lengths, and the table that reads them.
    Formats { expect: Vec<FormatRow> },
    /// Which message a type code and subtype are.
    Messages { version: Option<u8>, expect: Vec<MessageRow> },
    /// The generator polynomial of the parity.
    Generator { expect: Polynomial },
    /// The parity of data.
    Parity { data: String, expect: ParitySays },
    /// Overlays of all-call replies: overlay, kind, code.
    InterrogatorCodes { expect: Vec<(u32, Option<String>, Option<u8>)> },
    /// A position out of an even and an odd frame.
    Pair { grid: Cells, even: String, odd: String, newest: Format, reference: Option<(f64, f64)>, expect: PositionSays },
    /// A position out of one frame and a reference.
    Lone { grid: Cells, frame: String, reference: (f64, f64), expect: PositionSays },
    /// Position words: latitude, longitude, format, grid, latitude word, longitude word.
    Words { expect: Vec<(f64, f64, Format, Cells, u32, u32)> },
    /// Longitude zones at latitudes.
    Zones { expect: Vec<(f64, u8)> },
    /// Where the zones fall from one number to the next: zones on the equator's side, latitude.
    Transitions { within_deg: f64, expect: Vec<(u8, f64)> },
    /// The six-bit alphabet.
    Characters { expect: Alphabet },
    /// Identifications and their bits.
    Identifications { expect: Vec<IdentificationRow> },
    /// The 100-ft code on its wires.
    GreyCode { expect: GreyCode },
    /// The ranges of the movement field.
    Movement { versions: Vec<u8>, closed: Closed, expect: MovementRanges },
    /// The boxes of length and width.
    LengthWidth { version: u8, expect: Boxes },
    /// Type code, supplements, NIC and radius.
    Integrity { version: u8, expect: Vec<IntegrityRow> },
    /// Bits of register 1,7 and the registers that they stand for.
    RegistersInUse { expect: Vec<(u8, String)> },
    /// The register that a Comm-B reply most likely carries, and what speaks against others.
    LikeliestRegister { frame: String, expect: Likeliest },
    /// Registers and what they are called.
    RegisterNames { expect: Vec<(String, String)> },
    /// An address with a register number laid over it, which is told from an unknown address.
    DataParity { expect: DataParity },
    /// How long the words of a pair on the surface hold.
    SurfacePairLimits { expect: SurfacePairLimits },
    /// Registration marks of the United States, their addresses, and the base that those are written in.
    Marks { expect: Vec<(String, String, u32)> },
    /// Holders of address blocks, first and last address.
    AddressBlocks { expect: Vec<(String, String, String)> },
    /// How often squitters go out.
    Intervals { expect: Vec<Rhythm> },
    /// What a rule set requires.
    Rules { rule_set: String, expect: AskedFor },
    /// Type code, NIC, and the vertical protection limit in metres that goes with them.
    VerticalLimits { version: u8, expect: Vec<(u8, u8, f64)> },
    /// What makes bits a register: fixed bits, and status bits whose zero demands that their fields are zero.
    RegisterRules { register: String, expect: RegisterRules },
}

/// One kind of squitter, what is the case, and the interval: as a mean rate, a mean and how far it goes either way, its
/// ends, or only what it may be at most.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Rhythm {
    squitter: String,
    now: Vec<String>,
    mean_hz: Option<f64>,
    mean_s: Option<f64>,
    either_way_s: Option<f64>,
    from_s: Option<f64>,
    to_s: Option<f64>,
    at_most_s: Option<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct AskedFor {
    /// Settings and the least that they may be.
    #[serde(default)]
    floors: Vec<(String, u8)>,
    /// Settings that must be there.
    #[serde(default)]
    required: Vec<String>,
    /// Registration marks as aircraft identifications.
    #[serde(default)]
    identifications: Vec<(String, String)>,
    vfr_mode_a_code: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RegisterRules {
    /// First and last bit, and what they are.
    #[serde(default)]
    fixed: Vec<(u8, u8, String)>,
    /// First and last bit, and what they never are.
    #[serde(default)]
    never: Vec<(u8, u8, String)>,
    /// Status bit, first and last bit of its field.
    #[serde(default)]
    status: Vec<(u8, u8, u8)>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Likeliest {
    register: String,
    against: Vec<(String, String)>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct DataParity {
    address: String,
    register: String,
    modified_address: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SurfacePairLimits {
    slow_s: f64,
    fast_s: f64,
    fast_above_kt: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FrameSays {
    downlink_format: Option<u8>,
    message: Option<String>,
    address: Option<String>,
    proves_address: Option<bool>,
    parity: Option<String>,
    overlay: Option<String>,
    message_field: Option<String>,
    parity_field: Option<String>,
    #[serde(default)]
    codes: BTreeMap<String, u64>,
    #[serde(default)]
    fields: Map<String, Value>,
    #[serde(default)]
    bits: Vec<(String, String)>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ValueRow {
    #[serde(default)]
    given: BTreeMap<String, u64>,
    codes: BTreeMap<String, u64>,
    fields: Map<String, Value>,
}

/// What a field must say; a bare JSON value stands for `value` alone, `{}` for being there.
#[derive(Default, Deserialize)]
#[serde(deny_unknown_fields)]
struct Expected {
    #[serde(default, deserialize_with = "present")]
    value: Option<Value>,
    within: Option<f64>,
    name: Option<String>,
    #[serde(default)]
    says: Vec<String>,
    /// Words that it does not say.
    #[serde(default)]
    silent_on: Vec<String>,
    /// Whether it is the last code of a scale, which also holds everything past it.
    beyond: Option<bool>,
    #[serde(default)]
    absent: bool,
}

/// Keeps a written `null` apart from no value at all.
fn present<'de, D: serde::Deserializer<'de>>(from: D) -> Result<Option<Value>, D::Error> {
    Value::deserialize(from).map(Some)
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Place {
    first: u8,
    last: u8,
    keys: Option<Vec<String>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FormatRow {
    downlink_format: u8,
    length_bits: u8,
    envelope: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MessageRow {
    type_codes: (u8, u8),
    subtypes: Option<(u8, u8)>,
    message: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Polynomial {
    exponents: Vec<u32>,
    binary: Option<String>,
    hexadecimal: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ParitySays {
    parity: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PositionSays {
    latitude_zone: Option<i64>,
    longitude_zone: Option<i64>,
    zones: Option<u8>,
    latitude_deg: f64,
    longitude_deg: Option<f64>,
    within_deg: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Alphabet {
    map: Vec<(char, u8)>,
    unassigned: Vec<u8>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct IdentificationRow {
    text: String,
    bits: String,
    characters: Option<Vec<u8>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct GreyCode {
    /// Feet and D1 D2 D4 A1 A2 A4 B1 B2 B4 C1 C2 C4.
    #[serde(default)]
    wires: Vec<(i32, String)>,
    /// Which wires are on all over a range, or never.
    #[serde(default)]
    on: Vec<WiresOn>,
    /// The first hundred feet, from -1000 upward, that turn a wire on.
    #[serde(default)]
    first_on: Vec<(i32, String)>,
    /// Altitudes that have no code.
    #[serde(default)]
    none: Vec<i32>,
    /// C1 C2 C4 patterns that mean no altitude.
    #[serde(default)]
    unused_c: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WiresOn {
    from_ft: i32,
    to_ft: i32,
    wires: Vec<String>,
    #[serde(default)]
    never: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MovementRanges {
    no_data: Vec<u8>,
    stopped_below_kt: Option<f64>,
    stopped_at_kt: Option<f64>,
    ranges: Vec<MovementRange>,
    top: MovementTop,
    reserved: Vec<u8>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MovementRange {
    first: u8,
    last: u8,
    from_kt: f64,
    to_kt: f64,
    step_kt: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MovementTop {
    code: u8,
    from_kt: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Boxes {
    /// Code and upper bounds of length and width in metres; none where the code says nothing.
    #[serde(default)]
    bounds: Vec<(u8, Option<f64>, Option<f64>)>,
    /// Length, width, and the code that they take.
    #[serde(default)]
    sizes: Vec<(f64, f64, u8)>,
}

/// Type code, three supplements, NIC, radius of containment.
type IntegrityRow = (u8, Option<u8>, Option<u8>, Option<u8>, u8, Option<Radius>);

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
enum Radius {
    #[serde(rename = "m")]
    Metres(f64),
    #[serde(rename = "nm")]
    NauticalMiles(f64),
}

const METRES_PER_NM: f64 = 1852.0;

fn directory(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("vectors").join(name)
}

/// Every file of the directory with its text, in order of the names.
fn files() -> Vec<(String, String)> {
    let mut files: Vec<_> = std::fs::read_dir(directory("published"))
        .expect("vectors/published is there")
        .map(|entry| {
            let path = entry.expect("a directory entry").path();
            let name = path.file_name().expect("a name").to_string_lossy().into_owned();
            let text = std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{name}: {error}"));
            (name, text)
        })
        .collect();
    files.sort();
    assert!(!files.is_empty(), "vectors/published holds no file");
    files
}

fn parsed() -> Vec<(String, File)> {
    let parse = |(name, text): (String, String)| {
        let file = serde_json::from_str(&text).unwrap_or_else(|error| panic!("{name}: {error}"));
        (name, file)
    };
    files().into_iter().map(parse).collect()
}

/// The check's own part, after what all kinds have in common is taken off; keys that are left over are an error.
fn kind_of(check: &Value) -> Result<Check, String> {
    let mut own = check.as_object().ok_or("a check is an object")?.clone();
    for key in ["id", "section", "address", "confirmed", "remark"] {
        own.remove(key);
    }
    let kind: Check = serde_json::from_value(Value::Object(own.clone())).map_err(|error| error.to_string())?;
    // A tagged enumeration lets unknown keys through, so they are looked for here.
    let known: &[&str] = match &kind {
        Check::Frame { .. } => &["frame", "register", "version"],
        Check::Values { .. } => &["message", "given", "version", "direction"],
        Check::Layout { .. } => &["message", "given"],
        Check::Parity { .. } => &["data"],
        Check::Pair { .. } => &["grid", "even", "odd", "newest", "reference"],
        Check::Lone { .. } => &["grid", "frame", "reference"],
        Check::Transitions { .. } => &["within_deg"],
        Check::Movement { .. } => &["versions", "closed"],
        Check::LengthWidth { .. } | Check::Integrity { .. } | Check::Messages { .. } | Check::VerticalLimits { .. } => {
            &["version"]
        }
        Check::LikeliestRegister { .. } => &["frame"],
        Check::Rules { .. } => &["rule_set"],
        Check::RegisterRules { .. } => &["register"],
        _ => &[],
    };
    match own.keys().find(|key| !known.contains(&key.as_str()) && *key != "kind" && *key != "expect") {
        Some(key) => Err(format!("unknown key {key:?}")),
        None => Ok(kind),
    }
}

#[test]
fn every_check_of_every_file_holds() {
    let (mut held, mut awaiting, mut failed) = ([0; 3], 0, Vec::new());
    for (name, file) in parsed() {
        for check in &file.checks {
            let id = check.get("id").and_then(Value::as_str).unwrap_or("a check without id");
            match kind_of(check).and_then(|kind| run(&kind)) {
                Ok(()) => held[confirmed_of(check) as usize] += 1,
                Err(error) => failed.push(format!("{name}: {id}: {error}")),
            }
        }
        awaiting += file.awaiting.len();
    }
    let [seen, memory, own] = held;
    println!(
        "published checks that hold: {seen} of a page that was seen, {memory} from memory; own computation: {own}"
    );
    println!("{} do not hold; {awaiting} wait, since the library cannot be asked", failed.len());
    assert!(failed.is_empty(), "{}", failed.join("\n"));
    // What is from memory shows only that code and sheet agree, so that most of what is called published must be printed.
    assert!(seen + memory >= 300 && 10 * seen >= 9 * (seen + memory), "{seen} seen, {memory} from memory");
    let said = format!("{seen} are values seen on a published page, {memory} are from memory and {own} are our own");
    let guide: Vec<&str> = include_str!("../src/guide/sources.md").split_whitespace().collect();
    assert!(guide.join(" ").contains(&said), "the chapter on sources has other counts than: {said}");
}

fn confirmed_of(check: &Value) -> Confirmed {
    serde_json::from_value(check["confirmed"].clone()).unwrap_or_else(|error| panic!("{}: {error}", check["id"]))
}

/// Why a check or an entry that waits may not carry its mark in this file, or nothing.
fn wrongly_marked(source: &Source, address: Option<&str>, confirmed: Confirmed) -> Option<String> {
    let seen_nowhere = source.address.starts_with("none");
    // A page that somebody can open: on the web, or of a work that is named with its page.
    let page = [address, Some(source.address.as_str())].into_iter().flatten().any(|text| text.starts_with("http"));
    // Our own values never appear under somebody else's name.
    let ours = (confirmed == Confirmed::OwnComputation) == (source.title == "Own computation");
    match confirmed {
        _ if !ours => Some("the mark and the source disagree on whose values these are".to_owned()),
        Confirmed::PageSeen if seen_nowhere => Some("the source says that no page was seen".to_owned()),
        Confirmed::PageSeen if !page => {
            Some("the page was seen, but neither the check nor its source says where".to_owned())
        }
        _ => None,
    }
}

/// Whether something is expected at all: an empty list or object expects nothing, whatever is around it.
fn expects(value: &Value) -> bool {
    match value {
        Value::Null => false,
        Value::Array(parts) => parts.iter().any(expects),
        Value::Object(parts) => parts.values().any(expects),
        Value::String(text) => !text.trim().is_empty(),
        Value::Bool(_) | Value::Number(_) => true,
    }
}

/// A mark that is promoted, a place that is taken away, an expectation that is emptied: each is noticed.
#[test]
fn marks_and_waiting_entries_cannot_be_bent() {
    let (mut promoted, mut unplaced, mut emptied) = (0, 0, 0);
    for (name, file) in parsed() {
        let checks = file.checks.iter().map(|check| (check["address"].as_str(), confirmed_of(check)));
        for (address, confirmed) in
            checks.chain(file.awaiting.iter().map(|entry| (entry.address.as_deref(), entry.confirmed)))
        {
            assert_eq!(wrongly_marked(&file.source, address, confirmed), None, "{name}");
            if file.source.address.starts_with("none") {
                assert!(wrongly_marked(&file.source, address, Confirmed::PageSeen).is_some(), "{name}: promoted");
                promoted += 1;
            }
            if confirmed == Confirmed::PageSeen {
                let nowhere = Source { address: "a desk".to_owned(), ..file.source.clone() };
                assert!(wrongly_marked(&nowhere, None, confirmed).is_some(), "{name}: no place");
                unplaced += 1;
            }
            let other =
                if confirmed == Confirmed::OwnComputation { Confirmed::FromMemory } else { Confirmed::OwnComputation };
            assert!(wrongly_marked(&file.source, address, other).is_some(), "{name}: another's values");
        }
        for entry in &file.awaiting {
            let mut empty = entry.expect.clone();
            let mut paths = Vec::new();
            leaves(&empty, &mut vec![], &mut paths);
            for path in paths {
                if let Some(leaf) = empty.pointer_mut(&format!("/{}", path.join("/"))) {
                    *leaf = Value::Null;
                }
            }
            assert!(!expects(&empty) && !expects(&Value::Array(vec![])), "{name}: {}: emptied", entry.id);
            emptied += 1;
        }
    }
    assert!(promoted > 20 && unplaced > 100 && emptied > 0, "{promoted} {unplaced} {emptied}");
}

#[test]
fn every_file_names_its_source_and_every_check_its_place() {
    let mut ids = BTreeSet::new();
    for (name, file) in parsed() {
        assert!(Path::new(&name).extension().is_some_and(|extension| extension == "json"), "{name}");
        assert_eq!(file.schema, "../schema/vectors.schema.json", "{name}");
        let s = &file.source;
        for (key, text) in [
            ("title", &s.title),
            ("edition", &s.edition),
            ("section", &s.section),
            ("publisher", &s.publisher),
            ("licence", &s.licence),
            ("address", &s.address),
        ] {
            assert!(!text.trim().is_empty(), "{name}: source without {key}");
        }
        assert!(!file.notes.is_empty(), "{name}: no notes");
        assert!(!file.checks.is_empty() || !file.awaiting.is_empty(), "{name}: empty");
        let own = file.checks.iter().map(|check| {
            let about: About = serde_json::from_value(check.clone()).unwrap_or_else(|error| panic!("{name}: {error}"));
            // An expectation of nothing would hold whatever the library did.
            let expect = check.get("expect").unwrap_or(&Value::Null);
            let empty = expect.as_array().is_some_and(Vec::is_empty) || expect.as_object().is_some_and(Map::is_empty);
            assert!(!expect.is_null() && !empty, "{name}: {}: expects nothing", about.id);
            (about.id, about.section, about.address, about.confirmed, about.remark)
        });
        let waiting = file.awaiting.iter().map(|check| {
            assert!(!check.subject.trim().is_empty(), "{name}: {}: no subject", check.id);
            assert!(expects(&check.expect), "{name}: {}: expects nothing", check.id);
            assert!(!check.reason.trim().is_empty(), "{name}: {}: waits without a reason", check.id);
            for frame in &check.frames {
                assert!(Frame::from_hex(frame).is_ok(), "{name}: {}: {frame}", check.id);
            }
            (check.id.clone(), check.section.clone(), check.address.clone(), check.confirmed, check.remark.clone())
        });
        for (id, section, address, confirmed, remark) in own.chain(waiting) {
            assert!(id.bytes().all(|b| matches!(b, b'a'..=b'z' | b'0'..=b'9' | b'-')), "{name}: {id:?}");
            assert!(!section.trim().is_empty(), "{name}: {id}: no section");
            assert!(address.as_ref().is_none_or(|text| text.starts_with("http")), "{name}: {id}: address");
            assert!(remark.is_none_or(|text| !text.trim().is_empty()), "{name}: {id}: empty remark");
            let wrong = wrongly_marked(&file.source, address.as_deref(), confirmed);
            assert!(wrong.is_none(), "{name}: {id}: {}", wrong.unwrap_or_default());
            assert!(ids.insert(id.clone()), "{name}: {id} is used twice");
        }
    }
}

fn run(check: &Check) -> Outcome {
    match check {
        Check::Frame { frame, register, version, expect } => frame_says(frame, register.as_deref(), *version, expect),
        Check::Values { message, given, version, direction, expect } => {
            values(message, given, *version, *direction, expect)
        }
        Check::Layout { message, given, expect } => layout(message, given, expect),
        Check::Formats { expect } => all(expect, format_row),
        Check::Messages { version, expect } => {
            let version = version.map(version_of).transpose()?;
            all(expect, |row| message_row(version, row))
        }
        Check::Generator { expect } => generator(expect),
        Check::Parity { data, expect } => {
            let found = format!("{:06X}", parity_of(&octets(data)?));
            equal("parity", &found, &expect.parity)
        }
        Check::InterrogatorCodes { expect } => all(expect, interrogator_code),
        Check::Pair { grid, even, odd, newest, reference, expect } => {
            pair((*grid).into(), even, odd, *newest, reference.map(position), expect)
        }
        Check::Lone { grid, frame, reference, expect } => {
            let found = word(frame, (*grid).into())?.local(position(*reference), (*grid).into());
            ensure!(
                expect.latitude_zone.is_none() && expect.longitude_zone.is_none() && expect.zones.is_none(),
                "no zones"
            );
            position_says(found, expect)
        }
        Check::Words { expect } => all(expect, |(latitude, longitude, format, grid, y, x)| {
            let odd = matches!(format, Format::Odd);
            let found = Word::encode(position((*latitude, *longitude)), odd, (*grid).into()).unwrap();
            equal("word", &(found.odd, found.latitude, found.longitude), &(odd, *y, *x))
        }),
        Check::Zones { expect } => all(expect, |(latitude, count)| equal("zones", &zones(*latitude), count)),
        Check::Transitions { within_deg, expect } => all(expect, |(count, latitude)| {
            for south in [1.0, -1.0] {
                equal("zones below", &zones(south * (latitude - within_deg)), count)?;
                equal("zones above", &zones(south * (latitude + within_deg)), &(count - 1))?;
            }
            Ok(())
        }),
        Check::Characters { expect } => characters(expect),
        Check::Identifications { expect } => all(expect, identification),
        Check::GreyCode { expect } => grey_code(expect),
        Check::Movement { versions, closed, expect } => all(versions, |number| movement(*number, *closed, expect)),
        Check::LengthWidth { version, expect } => length_width(version_of(*version)?, expect),
        Check::Integrity { version, expect } => {
            let version = version_of(*version)?;
            all(expect, |row| integrity(version, row))
        }
        Check::RegistersInUse { expect } => all(expect, |(bit, number)| {
            let number = number.parse().map_err(|error| format!("{error}"))?;
            equal("bit", &register::usage_bit(number), &Some(*bit))
        }),
        Check::LikeliestRegister { frame, expect } => likeliest_register(frame, expect),
        Check::RegisterNames { expect } => all(expect, register_name),
        Check::DataParity { expect } => data_parity(expect),
        Check::SurfacePairLimits { expect } => surface_pair_limits(expect),
        Check::Marks { expect } => all(expect, mark),
        Check::Intervals { expect } => all(expect, interval),
        Check::Rules { rule_set, expect } => rules(rule_set, expect),
        Check::VerticalLimits { version, expect } => {
            let version = version_of(*version)?;
            all(expect, |(type_code, nic, metres)| {
                let found = vertical_protection_limit(*type_code, *nic, version);
                equal("limit", &found, &format!(", vertical protection limit below {metres} m").as_str())
            })
        }
        Check::RegisterRules { register, expect } => register_rules(register, expect),
        Check::AddressBlocks { expect } => all(expect, |(holder, first, last)| {
            let block = BLOCKS.iter().find(|block| block.holder == holder).ok_or_else(|| format!("no {holder}"))?;
            equal(holder, &(block.first.to_string(), block.last.to_string()), &(first.clone(), last.clone()))
        }),
    }
}

fn interval(row: &Rhythm) -> Outcome {
    let stream = match row.squitter.as_str() {
        "acquisition" => Stream::Acquisition,
        "airborne_position" | "surface_position" => Stream::Position,
        "airborne_velocity" => Stream::Velocity,
        "aircraft_identification" => Stream::Identification,
        "aircraft_status" => Stream::AircraftStatus,
        "operational_status" => Stream::OperationalStatus,
        "target_state_and_status" => Stream::TargetState,
        other => return Err(format!("no squitter {other:?}")),
    };
    let mut now = Condition::default();
    for word in &row.now {
        match word.as_str() {
            "airborne" => now.airborne = true,
            "on_ground_moving" => now.moving = true,
            "on_ground_still" => {}
            "emergency" => now.emergency = true,
            "mode_a_changed" => now.mode_a_changed = true,
            "quality_changed" => now.quality_changed = true,
            "target_state" => now.target_state = true,
            other => return Err(format!("no condition {other:?}")),
        }
    }
    let found = interval_of(stream, &now).ok_or("nothing goes out")?;
    let seconds = |milliseconds: u32| f64::from(milliseconds) / 1000.0;
    let (from, to) = (seconds(found.window_ms.0), seconds(found.window_ms.1));
    let mut asked = 0;
    let mut same = |what: &str, found: f64, expected: Option<f64>| {
        let Some(expected) = expected else { return Ok(()) };
        asked += 1;
        ensure!((found - expected).abs() < 1e-9, "{what}: found {found}, expected {expected}");
        Ok(())
    };
    same("mean rate", 2.0 / (from + to), row.mean_hz)?;
    same("mean", f64::midpoint(from, to), row.mean_s)?;
    same("either way", (to - from) / 2.0, row.either_way_s)?;
    same("shortest", from, row.from_s)?;
    same("longest", to, row.to_s)?;
    if let Some(most) = row.at_most_s {
        asked += 1;
        ensure!(to <= most, "longest: found {to} s, more than {most} s");
    }
    ensure!(asked > 0, "expects nothing");
    Ok(())
}

fn rules(name: &str, expect: &AskedFor) -> Outcome {
    let set = rule_set(name).ok_or_else(|| format!("no rule set {name:?}"))?;
    let AskedFor { floors, required, identifications, vfr_mode_a_code } = expect;
    let asked = floors.len() + required.len() + identifications.len() + usize::from(vfr_mode_a_code.is_some());
    ensure!(asked > 0, "expects nothing");
    for (setting, least) in floors {
        let floor = set.floors.iter().find(|floor| floor.setting.pointer() == setting);
        equal(setting, &floor.map(|floor| floor.at_least), &Some(*least))?;
    }
    for setting in required {
        ensure!(set.required.iter().any(|required| required.setting.pointer() == setting), "{setting} is not required");
    }
    for (mark, identification) in identifications {
        let profile = Profile::read(&serde_json::json!({"aircraft": {"registration": mark}}).to_string()).profile;
        let form = match set.identification_forms(&profile).ok_or_else(|| format!("{mark}: no form"))? {
            Forms::One(form) | Forms::Two { home: form, .. } | Forms::NotHeld { with_prefix: form, .. } => form,
        };
        let found = Some(form.identification.to_string());
        equal(mark, &found.as_ref(), &Some(identification))?;
    }
    if let Some(code) = vfr_mode_a_code {
        let usual = set.vfr_mode_a_codes.iter().find(|rule| rule.kinds.is_empty() && rule.occasion.is_none());
        equal("Mode A code", &usual.map(|rule| &rule.code), &Some(code))?;
    }
    Ok(())
}

/// Bits that keep all the rules obey, and each broken rule is enough not to.
fn register_rules(register: &str, expect: &RegisterRules) -> Outcome {
    let number: RegisterNumber = register.parse().map_err(|error| format!("{error}"))?;
    let obeys = |bits: u128| register::inference::obeys(number, bits as u64).ok_or("the register is not divided");
    let code = |bits: &str| u128::from_str_radix(bits, 2).map_err(|error| error.to_string());
    let with = |pattern: u128, first: u8, last: u8, code: u128| {
        pattern & !Span::new(first, last).mask(56) | code << (56 - last)
    };
    let RegisterRules { fixed, never, status } = expect;
    let spans = fixed.iter().chain(never).map(|(first, last, _)| (first, last));
    for (first, last) in spans.chain(status.iter().map(|(_, first, last)| (first, last))) {
        ensure!((1..=56).contains(first) && first <= last && *last <= 56, "no bits {first}-{last}");
    }
    ensure!(fixed.len() + never.len() + status.len() > 0, "expects nothing");
    let mut kept = register::table(number, 0).map_or(0, |table| table.template);
    if register == "2,0" {
        // Eight spaces.
        kept = with(kept, 9, 56, 0x0820_8208_2082_0820_u128 & ((1 << 48) - 1));
    }
    for (first, last, bits) in fixed {
        kept = with(kept, *first, *last, code(bits)?);
    }
    ensure!(obeys(kept)?, "bits that keep the rules are refused");
    for (first, last, bits) in fixed {
        let width = usize::from(last - first) + 1;
        ensure!(bits.len() == width, "bits {first}-{last} are {width}, not {}", bits.len());
        for bit in *first..=*last {
            ensure!(!obeys(kept ^ Span::new(bit, bit).mask(56))?, "bit {bit} may be another");
        }
    }
    for (first, last, bits) in never {
        ensure!(!obeys(with(kept, *first, *last, code(bits)?))?, "bits {first}-{last} may be {bits}");
    }
    for (status, first, last) in status {
        ensure!(kept & Span::new(*status, *status).mask(56) == 0, "status bit {status} is fixed");
        for bit in *first..=*last {
            let broken = kept | Span::new(bit, bit).mask(56);
            ensure!(!obeys(broken)?, "bit {bit} may be 1 though status bit {status} is 0");
            ensure!(obeys(broken | Span::new(*status, *status).mask(56))?, "bit {bit} may not be 1 with its status");
        }
        // A field goes no further than the source says.
        let beside = [first.checked_sub(1), last.checked_add(1)].into_iter().flatten();
        for bit in beside.filter(|bit| (1..=56).contains(bit) && bit != status) {
            let others = kept | Span::new(bit, bit).mask(56);
            let own = expect.status.iter().any(|(own, from, to)| own == &bit || (*from..=*to).contains(&bit));
            let set = fixed.iter().any(|(from, to, _)| (*from..=*to).contains(&bit));
            ensure!(own || set || obeys(others)?, "bit {bit}, beside the field, may not be 1");
        }
    }
    Ok(())
}

fn likeliest_register(digits: &str, expect: &Likeliest) -> Outcome {
    let decoded = Decoded::new(Frame::from_hex(digits).map_err(|error| error.to_string())?);
    let possible = decoded.possible_registers().ok_or("not a Comm-B reply")?;
    let first = possible.first().ok_or("no register fits")?;
    equal("likeliest register", &first.register.to_string(), &expect.register)?;
    all(&expect.against, |(register, words)| {
        let other = possible.iter().find(|opinion| opinion.register.to_string() == *register);
        let against = &other.ok_or_else(|| format!("{register} is not weighed"))?.against;
        ensure!(against.iter().any(|reason| reason.contains(words.as_str())), "{register}: {against:?}");
        Ok(())
    })
}

/// The words of the name stand in the title of the table, in whatever order.
fn register_name((register, name): &(String, String)) -> Outcome {
    let number: RegisterNumber = register.parse().map_err(|error| format!("{error}"))?;
    // A squitter's register has the squitter's own tables, which its type code tells apart.
    let type_code: u64 = match register.as_str() {
        "0,5" => 11,
        "0,6" => 7,
        "0,8" => 4,
        "0,9" => 19 << 3 | 1,
        _ => 0,
    };
    let bits = if type_code > 31 { type_code << 48 } else { type_code << 51 };
    let table = register::table(number, bits).ok_or_else(|| format!("{register} is not divided"))?;
    for word in name.split(' ').filter(|word| *word != "and") {
        ensure!(table.title.contains(word), "{register}: {:?} does not say {word:?}", table.title);
    }
    Ok(())
}

fn squitter(address: Address, message: u64) -> Frame {
    let pattern = (17 << 3 | 5) << 104 | u128::from(address.bits()) << 80 | u128::from(message) << 24;
    Frame::from_pattern(pattern, 112).with_overlay(0)
}

fn data_parity(expect: &DataParity) -> Outcome {
    let address = |digits: &str| Address::from_hex(digits).map_err(|error| error.to_string());
    let mut tracker = Tracker::new(None, None);
    let reply =
        Decoded::new(Frame::from_pattern(20 << 107, 112).with_overlay(address(&expect.modified_address)?.bits()));
    ensure!(tracker.observe(&reply, None).possible_data_overlay.is_none(), "found though nobody was heard");
    tracker.observe(&Decoded::new(squitter(address(&expect.address)?, 4 << 51)), None);
    let seen = tracker.observe(&reply, None);
    ensure!(!seen.address_confirmed, "the modified address passes for an aircraft's");
    let overlay = seen.possible_data_overlay.ok_or("no overlay found")?;
    equal("register", &overlay.register.to_string(), &expect.register)
}

fn surface_pair_limits(expect: &SurfacePairLimits) -> Outcome {
    let here = Position { latitude_deg: 44.5, longitude_deg: -103.25 };
    let pairs = |knots: f64, seconds: f64| -> Result<bool, String> {
        let mut tracker = Tracker::new(Some(here), None);
        let mut method = None;
        for (odd, time) in [(false, 0.0), (true, seconds)] {
            let movement = Movement::from_knots(knots, Version::Zero).map_err(|error| error.to_string())?;
            let message = SurfacePosition { movement, ..SurfacePosition::from_bits(7 << 51 | u64::from(odd) << 34) };
            let message = message.with_word(Word::encode(here, odd, Grid::Surface).unwrap());
            let frame = Decoded::new(squitter(Address::new(0xA5_C035), message));
            method = tracker.observe(&frame, Some(time)).position.map(|(_, method)| method);
        }
        Ok(method == Some(Method::Global))
    };
    let little = 0.01;
    for (knots, limit) in
        [(expect.fast_above_kt - little, expect.slow_s), (expect.fast_above_kt + little, expect.fast_s)]
    {
        ensure!(pairs(knots, limit)?, "{knots} kt: no pair after {limit} s");
        ensure!(!pairs(knots, limit + little)?, "{knots} kt: a pair after more than {limit} s");
    }
    Ok(())
}

fn mark((mark, digits, base): &(String, String, u32)) -> Outcome {
    let found = address_of_mark(mark).map_err(|error| error.to_string())?;
    equal(mark, &Some(found.bits()), &u32::from_str_radix(digits, *base).ok())?;
    // Some published ends are of no other mark, so the way back is asked too.
    equal(digits, &mark_of_address(found).as_deref(), &Some(mark.as_str()))
}

/// Every row holds, and there is one.
fn all<T>(rows: &[T], holds: impl Fn(&T) -> Outcome) -> Outcome {
    ensure!(!rows.is_empty(), "no rows");
    rows.iter().enumerate().try_for_each(|(at, row)| holds(row).map_err(|error| format!("row {}: {error}", at + 1)))
}

fn equal<T: PartialEq + std::fmt::Debug>(what: &str, found: &T, expected: &T) -> Outcome {
    ensure!(found == expected, "{what}: found {found:?}, expected {expected:?}");
    Ok(())
}

fn octets(digits: &str) -> Result<Vec<u8>, String> {
    hex::decode(digits).map_err(|error| error.to_string())
}

fn version_of(number: u8) -> Result<Version, String> {
    Version::from_number(number).ok_or_else(|| format!("no source is held for version {number}"))
}

/// One version, or all of them where the check names none.
fn versions(number: Option<u8>) -> Result<Vec<Version>, String> {
    number.map_or_else(|| Ok(Version::ALL.to_vec()), |number| Ok(vec![version_of(number)?]))
}

fn position((latitude_deg, longitude_deg): (f64, f64)) -> Position {
    Position { latitude_deg, longitude_deg }
}

fn field_says(fields: &[(&'static str, Meaning)], name: &str, expected: &Value) -> Outcome {
    let expected = match expected {
        Value::Object(_) => serde_json::from_value(expected.clone()).map_err(|error| format!("{name}: {error}"))?,
        bare => Expected { value: Some(bare.clone()), ..Expected::default() },
    };
    let found: Vec<_> = fields.iter().filter(|(field, _)| *field == name).map(|(_, meaning)| meaning).collect();
    if expected.absent {
        ensure!(found.is_empty(), "{name}: found {:?}, expected none", found[0].value);
        return Ok(());
    }
    let [meaning] = found[..] else { return Err(format!("{name}: {} fields of that name", found.len())) };
    if let Some(value) = &expected.value {
        let found: Value = meaning.value.into();
        let same = match (found.as_f64(), value.as_f64()) {
            (Some(found), Some(wanted)) => (found - wanted).abs() <= expected.within.unwrap_or(0.0),
            _ => found == *value,
        };
        ensure!(same, "{name}: found {found}, expected {value}");
    }
    if let Some(word) = &expected.name {
        equal(name, &meaning.name, &Some(word.as_str()))?;
    }
    if let Some(beyond) = expected.beyond {
        equal(&format!("{name} past the end of its scale"), &meaning.beyond, &beyond)?;
    }
    for words in &expected.silent_on {
        ensure!(!meaning.text.to_string().contains(words.as_str()), "{name}: {:?} says {words:?}", meaning.text);
    }
    for words in &expected.says {
        ensure!(meaning.text.to_string().contains(words.as_str()), "{name}: {:?} does not say {words:?}", meaning.text);
    }
    Ok(())
}

fn frame_says(digits: &str, register: Option<&str>, version: Option<u8>, expect: &FrameSays) -> Outcome {
    let frame = Frame::from_hex(digits).map_err(|error| error.to_string())?;
    let mut decoded = Decoded::new(frame);
    if let Some(register) = register {
        decoded = decoded.with_register(register.parse().map_err(|error| format!("{error}"))?);
    }
    equal("hexadecimal again", &frame.to_string().as_str(), &digits)?;
    // Whatever was published, its codes alone give the frame again.
    let codes = decoded.rows().iter().map(|placed| (placed.row.key.to_owned(), placed.code.into())).collect();
    let again = encode_codes(&codes).map_err(|error| error.to_string())?;
    equal("frame out of its codes", &again, &frame)?;
    let mut asked = 0;
    let mut same = |what: &str, found: String, expected: Option<&String>| {
        asked += usize::from(expected.is_some());
        expected.map_or(Ok(()), |expected| equal(what, &found, expected))
    };
    same("message", decoded.message().to_owned(), expect.message.as_ref())?;
    same("address", decoded.address().map_or("none".to_owned(), |a| a.to_string()), expect.address.as_ref())?;
    let parity = match decoded.parity() {
        Parity::Valid => "valid",
        Parity::Invalid => "invalid",
        Parity::Interrogator(_) => "interrogator",
        Parity::Overlaid => "overlaid",
    };
    same("parity", parity.to_owned(), expect.parity.as_ref())?;
    same("overlay", format!("{:06X}", frame.overlay()), expect.overlay.as_ref())?;
    same("message field", format!("{:014X}", frame.message_field()), expect.message_field.as_ref())?;
    same("parity field", format!("{:06X}", frame.parity_field()), expect.parity_field.as_ref())?;
    if let Some(format) = expect.downlink_format {
        asked += 1;
        equal("downlink format", &frame.downlink_format(), &format)?;
    }
    if let Some(proves) = expect.proves_address {
        asked += 1;
        equal("proves its address", &decoded.proves_address(), &proves)?;
    }
    let rows = decoded.rows();
    for (key, code) in &expect.codes {
        asked += 1;
        let found = rows.iter().find(|placed| placed.row.key == key).map(|placed| placed.code);
        equal(key, &found, &Some(*code))?;
    }
    for version in versions(version)? {
        let fields = decoded.fields(version);
        for (name, expected) in &expect.fields {
            asked += 1;
            field_says(&fields, name, expected).map_err(|error| format!("version {}: {error}", version.number()))?;
        }
    }
    for (span, bits) in &expect.bits {
        asked += 1;
        let (first, last) = span.split_once('-').ok_or("bits are FIRST-LAST")?;
        let span = Span::new(first.parse().map_err(|_| "first bit")?, last.parse().map_err(|_| "last bit")?);
        ensure!(0 < span.first && span.first <= span.last && span.last <= frame.length(), "no bits {span:?}");
        let found = format!("{:0width$b}", frame.field(span), width = usize::from(span.width()));
        equal(&format!("bits {span}"), &found, bits)?;
    }
    ensure!(asked > 0, "expects nothing");
    Ok(())
}

/// The table of this name whose template, with the given codes put in, still is that message.
fn table_of(message: &str, given: &BTreeMap<String, u64>) -> Result<(&'static Table, u128), String> {
    let registers = register::TABLES.iter().map(|(_, table)| *table);
    let mut wrong = format!("no message {message:?}");
    for table in Message::TABLES
        .iter()
        .copied()
        .chain(ground_station::TABLES)
        .chain(FORMATS)
        .chain(registers)
        .filter(|t| t.message == message)
    {
        match with_codes(table, table.template, given) {
            Ok(pattern) if itself(table, pattern) => return Ok((table, pattern)),
            Ok(_) => wrong = format!("the given codes make another message than {message}"),
            Err(error) => wrong = error,
        }
    }
    Err(wrong)
}

fn with_codes(table: &Table, mut pattern: u128, codes: &BTreeMap<String, u64>) -> Result<u128, String> {
    for (key, code) in codes {
        let row = row(table, key)?;
        ensure_fits(row, *code)?;
        pattern = table.with_code(row, pattern, *code);
    }
    Ok(pattern)
}

fn row(table: &'_ Table, key: &str) -> Result<&'static Row, String> {
    table.rows.iter().find(|row| row.key == key).ok_or_else(|| format!("{} has no row {key:?}", table.title))
}

fn ensure_fits(row: &Row, code: u64) -> Outcome {
    ensure!(code < 1 << row.span.width(), "{}: {code} does not fit {} bits", row.key, row.span.width());
    Ok(())
}

/// Whether the pattern is read by this table.
fn itself(table: &'static Table, pattern: u128) -> bool {
    if FORMATS.contains(&table) {
        Decoded::new(Frame::from_pattern(pattern, table.bits)).envelope() == table
    } else {
        !Message::TABLES.contains(&table) || Message::decode(pattern as u64).table() == table
    }
}

fn values(
    message: &str,
    given: &BTreeMap<String, u64>,
    version: Option<u8>,
    direction: Direction,
    rows: &[ValueRow],
) -> Outcome {
    let versions = versions(version)?;
    all(rows, |row| {
        ensure!(!row.codes.is_empty() && !row.fields.is_empty(), "a row without codes or fields");
        let mut around = given.clone();
        around.extend(row.given.clone());
        let mut full = around.clone();
        full.extend(row.codes.clone());
        let (table, pattern) = table_of(message, &full)?;
        for version in &versions {
            if direction != Direction::Encode {
                let fields = table.fields(pattern, *version);
                for (name, expected) in &row.fields {
                    field_says(&fields, name, expected).map_err(|e| format!("version {}: {e}", version.number()))?;
                }
            }
            if direction != Direction::Decode {
                encodes(table, &around, row, *version).map_err(|e| format!("version {}: {e}", version.number()))?;
            }
        }
        Ok(())
    })
}

/// The wanted fields give the codes of the row.
fn encodes(table: &Table, around: &BTreeMap<String, u64>, row: &ValueRow, version: Version) -> Outcome {
    let mut wanted: BTreeMap<String, String> =
        around.iter().map(|(key, code)| (key.clone(), code.to_string())).collect();
    for (name, expected) in &row.fields {
        let value = match expected {
            Value::Object(parts) if parts.contains_key("absent") => continue,
            Value::Object(parts) => parts.get("value").ok_or_else(|| format!("{name}: no value to encode"))?,
            bare => bare,
        };
        wanted.insert(name.clone(), value.as_str().map_or_else(|| value.to_string(), str::to_owned));
    }
    let wanted_in = Wanted { fields: &wanted, version };
    let pattern = match table.encode(&wanted_in) {
        // Beyond the scale there is a code too; who wants it asks for the code, not for a number that it does not say.
        Err(TableError::Field { error: CodeError::OutOfRange { .. }, field }) => {
            let others =
                wanted.iter().filter(|(name, _)| **name != field).map(|(name, said)| (name.clone(), said.clone()));
            let before =
                table.encode(&Wanted { fields: &others.collect(), version }).map_err(|error| error.to_string())?;
            let derived = table.derived.iter().find(|derived| derived.field == field);
            let write = derived.and_then(|derived| derived.write).ok_or_else(|| format!("{field} is out of range"))?;
            write(&wanted_in, before).map_err(|error| error.to_string())?
        }
        made => made.map_err(|error| error.to_string())?,
    };
    for (key, code) in &row.codes {
        let place = self::row(table, key)?;
        equal(&format!("{key} out of {wanted:?}"), &table.code(place, pattern), code)?;
    }
    Ok(())
}

fn layout(message: &str, given: &BTreeMap<String, u64>, places: &[Place]) -> Outcome {
    let (table, _) = table_of(message, given)?;
    all(places, |place| {
        let inside: Vec<_> =
            table.rows.iter().filter(|row| row.span.first >= place.first && row.span.last <= place.last).collect();
        let spans = (inside.first().map(|row| row.span.first), inside.last().map(|row| row.span.last));
        let what = format!("bits {} to {} of {}", place.first, place.last, table.title);
        equal(&what, &spans, &(Some(place.first), Some(place.last)))?;
        if let Some(keys) = &place.keys {
            let found: Vec<_> = inside.iter().map(|row| row.key.to_owned()).collect();
            equal(&what, &found, keys)?;
        }
        Ok(())
    })
}

fn format_row(row: &FormatRow) -> Outcome {
    // Format 24 is told by two bits; the others are the first five.
    let pattern = u128::from(row.downlink_format) << (row.length_bits - 5);
    let frame = Frame::from_pattern(pattern, row.length_bits);
    equal("length", &frame.length(), &row.length_bits)?;
    equal("format", &frame.downlink_format(), &row.downlink_format)?;
    equal("table", &Decoded::new(frame).envelope().message, &row.envelope.as_str())?;
    // The same format at the other length is none of the assigned ones.
    let other = if row.length_bits == 56 { 112 } else { 56 };
    let frame = Frame::from_pattern(u128::from(row.downlink_format) << (other - 5), other);
    equal("table at the other length", &Decoded::new(frame).envelope().message, &"unassigned")
}

fn message_row(version: Option<Version>, row: &MessageRow) -> Outcome {
    let (least, most) = row.subtypes.unwrap_or((0, 7));
    for type_code in row.type_codes.0..=row.type_codes.1 {
        for subtype in least..=most {
            let bits = u64::from(type_code) << 51 | u64::from(subtype) << 48;
            let found = Message::decode_in(bits, version).table().message;
            equal(&format!("type code {type_code}, subtype {subtype}"), &found, &row.message.as_str())?;
        }
    }
    Ok(())
}

fn generator(expect: &Polynomial) -> Outcome {
    let sum: u32 = expect.exponents.iter().map(|exponent| 1 << exponent).sum();
    // A lone last bit leaves the generator without its highest term.
    equal("generator", &(1 << 24 | parity_of(&[1])), &sum)?;
    if let Some(binary) = &expect.binary {
        equal("binary", &format!("{sum:b}"), binary)?;
    }
    if let Some(hexadecimal) = &expect.hexadecimal {
        equal("hexadecimal", &format!("{sum:X}"), hexadecimal)?;
    }
    Ok(())
}

fn interrogator_code((overlay, kind, code): &(u32, Option<String>, Option<u8>)) -> Outcome {
    let found = InterrogatorCode::from_overlay(*overlay);
    equal("kind", &found.map(InterrogatorCode::kind), &kind.as_deref())?;
    equal("code", &found.map(InterrogatorCode::code), code)?;
    let reply = Frame::short([0x5D, 0, 0, 0, 0, 0, 0]).with_overlay(*overlay);
    let parity = match (overlay, found) {
        (0, _) => Parity::Valid,
        (_, Some(code)) => Parity::Interrogator(code),
        (_, None) => Parity::Invalid,
    };
    equal("parity", &Decoded::new(reply).parity(), &parity)
}

fn word(digits: &str, grid: Grid) -> Result<Word, String> {
    let frame = Frame::from_hex(digits).map_err(|error| error.to_string())?;
    match (Decoded::new(frame).squitter(), grid) {
        (Some(Message::AirbornePosition(message)), Grid::Airborne) => Ok(AirbornePosition::word(&message)),
        (Some(Message::SurfacePosition(message)), Grid::Surface) => Ok(SurfacePosition::word(&message)),
        _ => Err(format!("{digits} carries no position of this grid")),
    }
}

fn pair(
    grid: Grid,
    even: &str,
    odd: &str,
    newest: Format,
    reference: Option<Position>,
    expect: &PositionSays,
) -> Outcome {
    let (even, odd) = (word(even, grid)?, word(odd, grid)?);
    let (older, newest) = match newest {
        Format::Even => (odd, even),
        Format::Odd => (even, odd),
    };
    let found: Pair = global(older, newest, grid, reference).map_err(|error| error.to_string())?;
    for (what, found, expected) in [
        ("latitude zone", found.latitude_zone, expect.latitude_zone),
        ("longitude zone", found.longitude_zone, expect.longitude_zone),
        ("zones", found.zones.into(), expect.zones.map(i64::from)),
    ] {
        if let Some(expected) = expected {
            equal(what, &found, &expected)?;
        }
    }
    position_says(found.position, expect)
}

fn position_says(found: Position, expect: &PositionSays) -> Outcome {
    let near = |what: &str, found: f64, expected: f64| {
        ensure!((found - expected).abs() <= expect.within_deg, "{what}: found {found}, expected {expected}");
        Ok(())
    };
    near("latitude", found.latitude_deg, expect.latitude_deg)?;
    expect.longitude_deg.map_or(Ok(()), |longitude| near("longitude", found.longitude_deg, longitude))
}

fn characters(expect: &Alphabet) -> Outcome {
    let codes: BTreeSet<_> =
        expect.map.iter().map(|(_, code)| *code).chain(expect.unassigned.iter().copied()).collect();
    equal("codes told", &codes, &(0..64).collect())?;
    for (character, code) in &expect.map {
        // In front, so that a space is not taken for padding.
        let text = format!("{character}ZZZZZZZ");
        let bits: Identification = text.parse().map_err(|error| format!("{error}"))?;
        equal("code", &bits.characters()[0], code)?;
        equal("text", &bits.to_string(), &text)?;
    }
    for code in &expect.unassigned {
        let bits = Identification::from_bits(u64::from(*code) << 42 | 0x1A);
        ensure!(!bits.is_well_formed(), "code {code} is taken for a character");
        ensure!(bits.to_string().starts_with('?'), "code {code} is shown as {bits}");
    }
    Ok(())
}

fn identification(row: &IdentificationRow) -> Outcome {
    let code: Identification = row.text.parse().map_err(|error| format!("{error}"))?;
    equal("bits", &format!("{:012X}", code.bits()), &row.bits)?;
    if let Some(characters) = &row.characters {
        equal("characters", &code.characters().to_vec(), characters)?;
    }
    let bits = u64::from_str_radix(&row.bits, 16).map_err(|error| error.to_string())?;
    equal("text", &Identification::from_bits(bits).to_string(), &row.text)
}

/// Wires in the order of the tables, and their places from the low end of the squitter's twelve bits
/// C1 A1 C2 A2 C4 A4 B1 Q B2 D2 B4 D4. D1 has no place of its own: it stands where Q does.
const WIRES: [(&str, u16); 12] = [
    ("D1", 4),
    ("D2", 2),
    ("D4", 0),
    ("A1", 10),
    ("A2", 8),
    ("A4", 6),
    ("B1", 5),
    ("B2", 3),
    ("B4", 1),
    ("C1", 11),
    ("C2", 9),
    ("C4", 7),
];

fn wires(code: Altitude12) -> String {
    WIRES.iter().map(|(_, place)| if code.bits() >> place & 1 == 1 { '1' } else { '0' }).collect()
}

fn is_on(code: Altitude12, name: &str) -> Result<bool, String> {
    let (_, place) = WIRES.iter().find(|(wire, _)| *wire == name).ok_or_else(|| format!("no wire {name:?}"))?;
    Ok(code.bits() >> place & 1 == 1)
}

fn grey(feet: i32) -> Result<Altitude12, String> {
    Altitude12::from_feet(f64::from(feet), 100).map_err(|error| error.to_string())
}

/// The least altitude that may be sent; the code table starts lower.
const LEAST_FT: i32 = -1000;

fn grey_code(expect: &GreyCode) -> Outcome {
    let told = [expect.wires.len(), expect.on.len(), expect.first_on.len(), expect.none.len(), expect.unused_c.len()];
    ensure!(told.iter().sum::<usize>() > 0, "expects nothing");
    for (feet, on) in &expect.wires {
        ensure!(on.len() == 12 && on.bytes().all(|b| b == b'0' || b == b'1'), "{on:?} is not twelve wires");
        let bits = WIRES.iter().zip(on.bytes()).fold(0, |bits, ((_, place), on)| bits | u64::from(on == b'1') << place);
        equal("feet", &Altitude12::from_bits(bits).feet(), &Some(*feet))?;
        if *feet >= LEAST_FT {
            equal(&format!("wires of {feet} ft"), &wires(grey(*feet)?), on)?;
        } else {
            ensure!(grey(*feet).is_err(), "{feet} ft is below what may be sent");
        }
    }
    for range in &expect.on {
        for feet in (range.from_ft..=range.to_ft).step_by(100) {
            for (names, wanted) in [(&range.wires, true), (&range.never, false)] {
                for name in names {
                    let code = grey(feet)?;
                    equal(&format!("{name} at {feet} ft"), &is_on(code, name)?, &wanted)?;
                }
            }
            if range.wires.is_empty() && range.never.is_empty() {
                for name in ["D1", "D2", "D4"] {
                    equal(&format!("{name} at {feet} ft"), &is_on(grey(feet)?, name)?, &false)?;
                }
            }
        }
    }
    for (feet, name) in &expect.first_on {
        let mut first = None;
        for at in (LEAST_FT..=126_700).step_by(100) {
            if is_on(grey(at)?, name)? {
                first = Some(at);
                break;
            }
        }
        equal(&format!("first {name}"), &first, &Some(*feet))?;
    }
    for feet in &expect.none {
        ensure!(grey(*feet).is_err(), "{feet} ft has a code");
    }
    for c in &expect.unused_c {
        ensure!(c.len() == 3, "{c:?} is not three wires");
        for others in 0..1u64 << 8 {
            let d = ["D2", "D4", "A1", "A2", "A4", "B1", "B2", "B4"].into_iter().enumerate();
            let c = ["C1", "C2", "C4"].into_iter().zip(c.bytes()).map(|(name, on)| (name, on == b'1'));
            let on: Vec<_> = d.map(|(at, name)| (name, others >> at & 1 == 1)).chain(c).collect();
            let bits = WIRES.iter().filter(|(name, _)| on.contains(&(*name, true))).map(|(_, place)| 1 << place).sum();
            equal(&format!("code {bits:03X}"), &Altitude12::from_bits(bits).feet(), &None)?;
        }
    }
    Ok(())
}

fn movement(number: u8, closed: Closed, expect: &MovementRanges) -> Outcome {
    let version = version_of(number)?;
    let code =
        |knots: f64| Movement::from_knots(knots, version).map(|code| code.bits() as u8).map_err(|e| e.to_string());
    let edges = |code: u8| Movement::from_bits(code.into()).knots(version);
    let mut told: Vec<u8> = expect.no_data.iter().chain(&expect.reserved).copied().collect();
    for code in &told {
        equal(&format!("code {code}"), &edges(*code), &None)?;
    }
    told.extend([1, expect.top.code]);
    match (expect.stopped_below_kt, expect.stopped_at_kt) {
        (Some(below), None) => {
            equal("stopped", &(code(0.0)?, code(below * 0.99)?), &(1, 1))?;
            equal("stopped", &edges(1), &Some((0.0, below)))?;
        }
        (None, Some(at)) => {
            equal("stopped", &(code(at)?, code(at + 0.001)?), &(1, 2))?;
            equal("stopped", &edges(1), &Some((at, at)))?;
        }
        _ => return Err("say when the aircraft is stopped".to_owned()),
    }
    for range in &expect.ranges {
        ensure!(1 < range.first && range.first <= range.last && range.last < 127, "no range of codes");
        told.extend(range.first..=range.last);
        let steps = f64::from(range.last - range.first + 1);
        ensure!((range.from_kt + steps * range.step_kt - range.to_kt).abs() < 1e-9, "the steps do not fill the range");
        for (at, n) in (range.first..=range.last).enumerate() {
            let (low, high) = edges(n).ok_or_else(|| format!("code {n} has no range"))?;
            let wanted = range.from_kt + at as f64 * range.step_kt;
            let near = (low - wanted).abs() < 1e-9 && (high - wanted - range.step_kt).abs() < 1e-9;
            ensure!(near, "code {n}: found {low} to {high} kt, expected {wanted} kt and {} kt more", range.step_kt);
            let little = range.step_kt / 1000.0;
            equal("code just above the lower edge", &code(low + little)?, &n)?;
            equal("code just below the upper edge", &code(high - little)?, &n)?;
        }
        // The range's own ends are given as the standard prints them, so they are exact.
        let (inside, outside) = match closed {
            Closed::Left => ((range.from_kt, range.first), (range.to_kt, range.last + 1)),
            Closed::Right => ((range.to_kt, range.last), (range.from_kt, range.first - 1)),
        };
        equal("code at the closed end", &code(inside.0)?, &inside.1)?;
        equal("code at the open end", &code(outside.0)?, &outside.1)?;
    }
    equal("top", &edges(expect.top.code), &Some((expect.top.from_kt, f64::INFINITY)))?;
    equal("top", &code(expect.top.from_kt + 0.001)?, &expect.top.code)?;
    equal("far beyond", &code(1000.0)?, &expect.top.code)?;
    told.sort_unstable();
    equal("codes told", &told, &(0..=127).collect())
}

fn length_width(version: Version, expect: &Boxes) -> Outcome {
    ensure!(!expect.bounds.is_empty() || !expect.sizes.is_empty(), "expects nothing");
    for (code, length, width) in &expect.bounds {
        let found = LengthWidth::from_bits((*code).into()).bounds_m(version);
        equal(&format!("bounds of code {code}"), &found, &length.zip(*width))?;
        // The words of the field say the same bounds.
        let (table, pattern) = table_of("operational_status", &BTreeMap::from([("subtype".to_owned(), 1)]))?;
        let place = row(table, "length_width")?;
        if table.version == Some(version) {
            let text =
                (place.meaning)(table.code(place, table.with_code(place, pattern, (*code).into())), version).text;
            let says =
                length.zip(*width).map_or("no data".to_owned(), |(l, w)| format!("up to {l} m long and {w} m wide"));
            ensure!(text.to_string().starts_with(&says), "code {code}: {text:?} does not say {says:?}");
        }
    }
    for (length, width, code) in &expect.sizes {
        let found = LengthWidth::from_metres(*length, *width).map_err(|error| error.to_string())?;
        equal(&format!("{length} m by {width} m"), &found.bits(), &(*code).into())?;
    }
    Ok(())
}

fn integrity(version: Version, (type_code, a, b, c, nic, radius): &IntegrityRow) -> Outcome {
    let (found, found_radius) =
        navigation_integrity(*type_code, *a, *b, *c, version).ok_or_else(|| format!("type code {type_code}: none"))?;
    equal(&format!("NIC of type code {type_code}"), &found, nic)?;
    let metres = radius.as_ref().map(|radius| match radius {
        Radius::Metres(metres) => *metres,
        Radius::NauticalMiles(miles) => miles * METRES_PER_NM,
    });
    match (found_radius, metres) {
        (RadiusOfContainment::Unknown, None) => Ok(()),
        (RadiusOfContainment::Below(found), Some(metres)) if (found - metres).abs() < 1e-6 => Ok(()),
        (found, wanted) => Err(format!("radius of type code {type_code}: found {found:?}, expected {wanted:?} m")),
    }
}

/// A check that is altered must fail: the runner itself is held to that.
#[test]
fn altered_checks_fail() {
    let mut altered = 0;
    for (name, file) in parsed() {
        for check in &file.checks {
            for wrong in alterations(check) {
                let held = kind_of(&wrong).and_then(|kind| run(&kind)).is_ok();
                assert!(!held, "{name}: holds though altered: {wrong}");
                altered += 1;
            }
        }
    }
    assert!(altered > 1000, "only {altered} alterations were made");
}

/// The check with one thing that it claims changed, for each claim. What a row only starts from is left alone:
/// another input may well give the same answer.
fn alterations(check: &Value) -> Vec<Value> {
    let kind = check["kind"].as_str().unwrap_or_default();
    let encodes = check["direction"] == "encode";
    let mut all = Vec::new();
    let mut paths = Vec::new();
    leaves(&check["expect"], &mut vec![], &mut paths);
    for path in paths {
        let parts: Vec<_> = path.iter().map(String::as_str).collect();
        let claim = match (kind, parts.as_slice()) {
            (_, [.., "within" | "within_deg" | "from_ft" | "to_ft"]) | ("grey_code", ["none" | "unused_c", ..]) => {
                false
            }
            ("values", [_, part, ..]) => *part == if encodes { "codes" } else { "fields" },
            ("frame", ["bits", _, place]) | ("likeliest_register", ["against", _, place]) | ("marks", [_, place]) => {
                *place == "1"
            }
            ("layout", [row, "first" | "last"]) => check["expect"].pointer(&format!("/{row}/keys")).is_some(),
            ("formats", [_, part]) => *part != "downlink_format",
            ("messages", [_, part, ..]) => *part == "message",
            ("interrogator_codes" | "zones" | "address_blocks" | "register_names", [_, place]) => *place != "0",
            ("data_parity", [part]) => *part == "register",
            ("words", [_, place]) => matches!(*place, "4" | "5"),
            ("length_width", ["sizes", _, place])
            | ("vertical_limits", [_, place])
            | ("register_rules", ["fixed" | "never", _, place]) => *place == "2",
            ("rules", ["floors" | "identifications", _, place]) => *place == "1",
            ("intervals", [_, part, ..]) => !matches!(*part, "squitter" | "now" | "at_most_s"),
            ("integrity", [_, place, ..]) => !matches!(*place, "1" | "2" | "3"),
            _ => true,
        };
        let mut wrong = check.clone();
        let Some(leaf) = wrong["expect"].pointer_mut(&format!("/{}", path.join("/"))).filter(|_| claim) else {
            continue;
        };
        *leaf = match &*leaf {
            // A space is in the words of every value that has more than one of them.
            Value::String(_) if parts.contains(&"silent_on") => Value::from(" "),
            Value::Null if matches!(kind, "values" | "frame") => Value::from(1),
            Value::Bool(yes) => Value::Bool(!yes),
            Value::Number(number) => match number.as_i64() {
                Some(number) => Value::from(number + 1),
                None => Value::from(number.as_f64().unwrap_or_default() + 1.0),
            },
            Value::String(text) => {
                let end = text.char_indices().next_back().map_or(0, |(at, _)| at);
                let other = if text.ends_with('0') { '1' } else { '0' };
                Value::String(format!("{}{other}", &text[..end]))
            }
            _ => continue,
        };
        all.push(wrong);
    }
    all
}

fn leaves(value: &Value, path: &mut Vec<String>, all: &mut Vec<Vec<String>>) {
    let children: Vec<(String, &Value)> = match value {
        Value::Object(map) => map.iter().map(|(key, value)| (key.clone(), value)).collect(),
        Value::Array(list) => list.iter().enumerate().map(|(at, value)| (at.to_string(), value)).collect(),
        _ => return all.push(path.clone()),
    };
    for (part, child) in children {
        path.push(part);
        leaves(child, path, all);
        path.pop();
    }
}

/// The schema describes the files, and knows exactly the kinds that run.
#[test]
fn files_follow_the_schema() {
    let text = std::fs::read_to_string(directory("schema").join("vectors.schema.json")).expect("the schema is there");
    let schema: Value = serde_json::from_str(&text).expect("the schema is JSON");
    for (name, text) in files() {
        let file: Value = serde_json::from_str(&text).expect("JSON");
        follows(&schema, &schema, &file, "").unwrap_or_else(|error| panic!("{name}: {error}"));
        let mut wrong = file.clone();
        wrong["unknown"] = Value::Bool(true);
        assert!(follows(&schema, &schema, &wrong, "").is_err(), "{name}: an unknown key passes");
        for at in 0..file["checks"].as_array().map_or(0, Vec::len) {
            for key in ["id", "section", "confirmed", "expect", "kind"] {
                let mut wrong = file["checks"][at].clone();
                wrong.as_object_mut().expect("a check").remove(key);
                assert!(follows(&schema, &schema["$defs"]["check"], &wrong, "").is_err(), "{name}: {wrong}");
            }
            let mut wrong = file["checks"][at].clone();
            wrong["unknown"] = Value::Bool(true);
            assert!(follows(&schema, &schema["$defs"]["check"], &wrong, "").is_err(), "{name}: {wrong}");
        }
    }
    let kinds = |value: &Value| -> BTreeSet<String> {
        let kinds = value["$defs"]["check"]["oneOf"].as_array().expect("the kinds").iter();
        kinds.map(|kind| kind["properties"]["kind"]["const"].as_str().expect("a kind").to_owned()).collect()
    };
    let used: BTreeSet<String> = parsed()
        .iter()
        .flat_map(|(_, file)| file.checks.iter().map(|check| check["kind"].as_str().expect("a kind").to_owned()))
        .collect();
    assert_eq!(kinds(&schema), used, "kinds of the schema, and kinds of the files");
}

/// As much of JSON Schema as the schema uses; a keyword that is not known here fails, so that none is passed over.
fn follows(root: &Value, schema: &Value, value: &Value, at: &str) -> Outcome {
    let keywords = schema.as_object().ok_or_else(|| format!("{at}: not a schema"))?;
    let parts = |key: &str| keywords[key].as_array().map(Vec::as_slice).unwrap_or_default();
    for (keyword, wanted) in keywords {
        let holds = match keyword.as_str() {
            "$schema" | "$id" | "title" | "description" | "$defs" => true,
            "$ref" => {
                let pointer = wanted.as_str().and_then(|text| text.strip_prefix('#')).ok_or("a reference")?;
                let target = root.pointer(pointer).ok_or_else(|| format!("{pointer} is not there"))?;
                follows(root, target, value, at)?;
                true
            }
            "type" => {
                let found = match value {
                    Value::Null => "null",
                    Value::Bool(_) => "boolean",
                    Value::Number(number) if number.is_u64() || number.is_i64() => "integer",
                    Value::Number(_) => "number",
                    Value::String(_) => "string",
                    Value::Array(_) => "array",
                    Value::Object(_) => "object",
                };
                let names: Vec<_> = wanted.as_array().map_or(vec![wanted], |all| all.iter().collect());
                names.iter().any(|name| *name == found || (*name == "number" && found == "integer"))
            }
            "const" => value == wanted,
            "enum" => parts("enum").contains(value),
            "pattern" => {
                // Only classes of characters and counts are used, which a full match over few forms covers.
                let text = value.as_str().unwrap_or_default();
                match wanted.as_str().unwrap_or_default() {
                    "^[a-z0-9-]+$" => {
                        !text.is_empty() && text.bytes().all(|b| matches!(b, b'a'..=b'z' | b'0'..=b'9' | b'-'))
                    }
                    "^([0-9A-F]{14}|[0-9A-F]{28})$" => {
                        Frame::from_hex(text).is_ok_and(|frame| frame.to_string() == text)
                    }
                    "^[0-9A-F]+$" => !text.is_empty() && text.bytes().all(|b| matches!(b, b'0'..=b'9' | b'A'..=b'F')),
                    "^[01]+$" => !text.is_empty() && text.bytes().all(|b| matches!(b, b'0' | b'1')),
                    "^http" => text.starts_with("http"),
                    "^[0-9A-F],[0-9A-F]$" => text.len() == 3 && text.as_bytes()[1] == b',',
                    other => return Err(format!("pattern {other:?} is not known")),
                }
            }
            "minLength" => {
                value.as_str().is_none_or(|text| text.chars().count() as u64 >= wanted.as_u64().unwrap_or(0))
            }
            "minimum" => value.as_f64().is_none_or(|number| Some(number) >= wanted.as_f64()),
            "maximum" => value.as_f64().is_none_or(|number| Some(number) <= wanted.as_f64()),
            "minItems" => value.as_array().is_none_or(|all| all.len() as u64 >= wanted.as_u64().unwrap_or(0)),
            "maxItems" => value.as_array().is_none_or(|all| all.len() as u64 <= wanted.as_u64().unwrap_or(0)),
            "minProperties" => value.as_object().is_none_or(|all| all.len() as u64 >= wanted.as_u64().unwrap_or(0)),
            "prefixItems" => {
                for (n, (item, schema)) in value.as_array().into_iter().flatten().zip(parts("prefixItems")).enumerate()
                {
                    follows(root, schema, item, &format!("{at}/{n}"))?;
                }
                true
            }
            "items" => {
                let skip = keywords.get("prefixItems").and_then(Value::as_array).map_or(0, Vec::len);
                for (n, item) in value.as_array().into_iter().flatten().enumerate().skip(skip) {
                    follows(root, wanted, item, &format!("{at}/{n}"))?;
                }
                true
            }
            "required" => {
                let missing =
                    |key: &&Value| value.as_object().is_some_and(|all| !all.contains_key(key.as_str().unwrap_or("")));
                match parts("required").iter().find(missing) {
                    Some(key) => return Err(format!("{at}: {key} is missing")),
                    None => true,
                }
            }
            "properties" => {
                for (key, schema) in wanted.as_object().into_iter().flatten() {
                    if let Some(inside) = value.get(key) {
                        follows(root, schema, inside, &format!("{at}/{key}"))?;
                    }
                }
                true
            }
            "additionalProperties" => {
                let known = keywords.get("properties").and_then(Value::as_object);
                for (key, inside) in value.as_object().into_iter().flatten() {
                    if known.is_some_and(|known| known.contains_key(key)) {
                        continue;
                    }
                    match wanted {
                        Value::Bool(false) => return Err(format!("{at}: unknown key {key:?}")),
                        schema => follows(root, schema, inside, &format!("{at}/{key}"))?,
                    }
                }
                true
            }
            "oneOf" => {
                let (mut fits, mut errors) = (0, Vec::new());
                for schema in parts("oneOf") {
                    match follows(root, schema, value, at) {
                        Ok(()) => fits += 1,
                        Err(error) => errors.push(error),
                    }
                }
                if fits != 1 {
                    return Err(format!("{at}: {fits} of the choices fit: {}", errors.join("; ")));
                }
                true
            }
            other => return Err(format!("{at}: the keyword {other:?} is not known")),
        };
        if !holds {
            return Err(format!("{at}: {keyword} {wanted} does not hold for {value}"));
        }
    }
    Ok(())
}
