//! `explain`: every bit with its field, the arithmetic to follow by hand, and the reference.

use crate::program::{command, finish, flat, run};
use crate::terminal::Terminal;
use serde_json::Value;
use squitterlab::downlink::repair::{Repair, repairs};
use squitterlab::downlink::{Decoded, Parity, encode_codes};
use squitterlab::frame::Frame;
use squitterlab::present::reference::{self, tables};
use squitterlab::present::ruler::explanation;
use squitterlab::present::text::at_width;
use squitterlab::track::Tracker;

/// "The 1090 Megahertz Riddle", 2nd edition (revised), ch. 5, 5.3.
const EVEN: &str = "8D40621D58C382D690C8AC2863A7";
const ODD: &str = "8D40621D58C386435CC412692AD6";
/// The same, ch. 6: a pair on the surface.
const SURFACE_EVEN: &str = "8C4841753AAB238733C8CD4020B1";
const SURFACE_ODD: &str = "8C4841753A8A35323FAEBDAC702D";
/// The same, ch. 7, message A.
const OVER_GROUND: &str = "8D485020994409940838175B284F";
/// The same, ch. 13, 13.3.
const IDENTITY: &str = "2A00516D492B80";
/// The same, ch. 11, 11.3.
const REPLY: &str = "A0001838CA380031440000F24177";

fn explain(arguments: &[&str]) -> String {
    run(&[&["explain"], arguments].concat()).exits(0).out
}

/// The characters behind this word at the start of each line of the ruler, without gaps.
fn ruler(text: &str, word: &str) -> String {
    let lines = text.lines().filter(|line| line.split_whitespace().next() == Some(word));
    let cells = lines.filter_map(|line| line.strip_prefix(word)).collect::<String>();
    cells.chars().filter(|c| !c.is_whitespace()).collect()
}

#[test]
fn the_ruler_shows_every_bit_once_and_every_field_has_its_letter() {
    for frame in [EVEN, OVER_GROUND, IDENTITY, REPLY] {
        let text = explain(&[frame]);
        let bits = ruler(&text, "bits");
        assert_eq!(bits.len(), frame.len() * 4);
        let digits: Vec<u32> = frame.chars().map(|c| c.to_digit(16).expect("a digit")).collect();
        let bit = |digit: u32, place: u32| if digit >> place & 1 == 1 { '1' } else { '0' };
        let expected: String = digits.iter().flat_map(|digit| [3, 2, 1, 0].map(|place| bit(*digit, place))).collect();
        assert_eq!(bits, expected);
        assert_eq!(ruler(&text, "hex"), frame);
        let letters: Vec<char> = ruler(&text, "field").chars().collect();
        assert_eq!(letters.len(), bits.len());
        // Each letter is one unbroken run, and the table below names its bits.
        let mut runs: Vec<(char, usize, usize)> = Vec::new();
        for (at, letter) in letters.iter().enumerate() {
            match runs.last_mut() {
                Some(run) if run.0 == *letter => run.2 = at + 1,
                _ => runs.push((*letter, at + 1, at + 1)),
            }
        }
        for (letter, first, last) in runs {
            let span = if first == last { first.to_string() } else { format!("{first}-{last}") };
            let named = text.lines().any(|line| {
                let mut words = line.split_whitespace();
                words.next() == Some(&letter.to_string()) && words.next() == Some(&span)
            });
            assert!(named, "{letter} {span} is not in the table of {frame}");
        }
    }
}

#[test]
fn the_steps_are_those_of_the_handbook() {
    let steps = flat(&explain(&[EVEN, "--steps"]));
    // 5.5: 110000111000, Q = 1, 1560, 38000 ft.
    for words in ["110000111000", "= 1560", "25 ft x 1560 - 1000 ft = 38000 ft", "overlay 000000"] {
        assert!(steps.contains(words), "{words:?} is not in {steps}");
    }
    // 5.3: 93000 and 51372 in cells of 2^17; the handbook's latitude is among the candidates.
    assert!(steps.contains("93000 / 131072") && steps.contains("51372 / 131072"), "{steps}");
    assert!(steps.contains("52.25720 (36)"), "36 longitude zones: {steps}");
    // 13.3: A 000, B 011, C 101, D 110.
    let steps = flat(&explain(&[IDENTITY, "--steps"]));
    for words in ["A4 A2 A1 = 000 = 0", "B4 B2 B1 = 011 = 3", "C4 C2 C1 = 101 = 5", "D4 D2 D1 = 110 = 6"] {
        assert!(steps.contains(words), "{words:?} is not in {steps}");
    }
    // 11.3: the remainder of the data is CE2CA7, the address 3C6DD0.
    let steps = flat(&explain(&[REPLY, "--steps"]));
    assert!(steps.contains("F24177, exclusive-or remainder CE2CA7 = overlay 3C6DD0"), "{steps}");
    assert!(!explain(&[EVEN]).contains("steps:"));
}

#[test]
fn the_steps_of_positions_are_those_of_the_handbook() {
    // Handbook, ADS-B part, chapter 3: j = 8, 36 zones, m = 0.
    let steps = flat(&explain(&[ODD, EVEN, "--steps"]));
    for words in [
        "j = floor((59 x 93000 - 60 x 74158) / 131072 + 1/2) = 8",
        "even latitude = 360 / 60 x (8 mod 60 + 93000 / 131072) = 52.257202 deg",
        "odd latitude = 360 / 59 x (8 mod 59 + 74158 / 131072) = 52.265780 deg",
        "both latitudes have 36 longitude zones",
        "m = floor((51372 x 35 - 50194 x 36) / 131072 + 1/2) = 0",
        "= 3.919373 deg",
    ] {
        assert!(steps.contains(words), "{words:?} is not in {steps}");
    }
    // The same alone, reference 52.258, 3.918: j = 8, m = 0.
    let steps = flat(&explain(&[EVEN, "--steps", "--reference", "52.258,3.918"]));
    for words in ["+ 1/2) = 8 latitude = 360 / 60 x (8 +", "+ 1/2) = 0 longitude = 360 / 36 x (0 +", "= 3.919373 deg"] {
        assert!(steps.contains(words), "{words:?} is not in {steps}");
    }
    // Chapter 4: j = 34, m = 1, north 52.32060707, south -37.67939293, longitude 4.73473467.
    let steps = flat(&explain(&[SURFACE_EVEN, SURFACE_ODD, "--steps", "--reference", "51.990,4.375"]));
    for words in [
        "+ 1/2) = 34",
        "+ 1/2) = 1",
        "= 52.320607 deg",
        "or in the south: 52.320607 - 90 = -37.679393 deg",
        "4.734735 deg",
    ] {
        assert!(steps.contains(words), "{words:?} is not in {steps}");
    }
    // Without a reference the arithmetic ends where four places are left.
    assert!(explain(&[SURFACE_EVEN, SURFACE_ODD]).contains("a surface pair fits four places"));
}

#[test]
fn what_the_bits_say_in_another_version_is_told() {
    let text = flat(&explain(&[EVEN, "--version-in-force", "2"]));
    assert!(text.contains("in another version of the standard the same bits would say version 0: single_antenna: no"));
    assert!(text.contains("version 1: single_antenna: no"), "{text}");
    // An identification says the same in every version.
    let same = explain(&["8D4840D6202CC371C32CE0576098", "--version-in-force", "2"]);
    assert!(!same.contains("another version"), "{same}");
}

/// A target state is laid out in its own way in each version that is held; in one that is not held its bits stay whole,
/// and come back out of the codes.
#[test]
fn a_version_without_a_source_leaves_a_target_state_raw() {
    const TARGET: &str = "8DA05629EA04085CBF3F8C000000";
    for version in ["4", "7"] {
        let json: Value =
            serde_json::from_str(&explain(&[TARGET, "--version-in-force", version, "--format", "json"])).expect("JSON");
        assert_eq!(json["message"], "target_state_and_status");
        let codes: Vec<_> = json["codes"].as_object().expect("codes").keys().map(String::as_str).collect();
        assert!(codes.contains(&"data_6_32") && codes.contains(&"data_33_56"), "{codes:?}");
        assert!(json["fields"].get("selected_altitude_ft").is_none() && json["fields"].get("nacp").is_none(), "{json}");
        assert_eq!(encode_codes(json["codes"].as_object().expect("codes")), TARGET.parse().map_err(|_| unreachable!()));
        let text = flat(&explain(&[TARGET, "--version-in-force", version]));
        assert!(text.contains(&format!("version {version} is not supported")), "{text}");
        assert!(!text.contains("version 2"), "{text}");
    }
    let json: Value = serde_json::from_str(&explain(&[TARGET, "--format", "json"])).expect("JSON");
    assert!(json["codes"].get("selected_altitude").is_some(), "while it is unknown its own bits decide: {json}");
    // What a version decides within one layout stands as received.
    let text = flat(&explain(&["8DA05629E1C00000000000000000", "--version-in-force", "4"]));
    assert!(text.contains("as received") && !text.contains("version 2:"), "{text}");
}

/// Beside a field that only memory supports it says so, wholly or in part, and beside a field of a page it does not.
#[test]
fn what_is_from_memory_says_so_beside_the_field() {
    let target = flat(&explain(&["8DA05629EA04085CBF3F8C000000", "--version-in-force", "2"]));
    assert!(target.contains("Source integrity level (place and meaning from memory)"), "{target}");
    assert!(target.contains("Accuracy of position (partly from memory)"), "{target}");
    assert!(!target.contains("Selected altitude (p"), "{target}");
    // The height of type codes 20 to 22: its twelve bits stand beside the feet.
    let height = flat(&explain(&["8D40621DA0C382D690C8AC000000"]));
    assert!(height.contains("38 000 ft, 25-ft code; coding from memory, 12 bits 110000111000"), "{height}");
}

#[test]
fn no_line_is_longer_than_a_terminal() {
    let frames = [EVEN, ODD, SURFACE_EVEN, OVER_GROUND, IDENTITY, REPLY, "A80006ACF9363D3BBF9CE98F1E1D"];
    let mut texts: Vec<String> = frames.iter().map(|frame| explain(&[frame, "--steps"])).collect();
    for name in ["all", "", "type_codes", "movement", "categories", "altitude"] {
        texts.push(explain(&["--list", name]));
    }
    texts.push(explain(&["--term"]));
    for text in texts {
        for line in text.lines() {
            assert!(line.chars().count() <= 100, "{line}");
        }
    }
}

#[test]
fn the_reference_is_json_on_request_and_whole() {
    let json: Value = serde_json::from_str(&explain(&["--list", "--format", "json"])).expect("JSON");
    let messages = json["messages"].as_array().expect("messages");
    assert_eq!(messages.len(), tables().len());
    for (message, table) in messages.iter().zip(tables()) {
        assert_eq!(message["message"], table.message);
        let rows = message["rows"].as_array().expect("rows");
        assert_eq!(rows.len(), table.rows.len());
        let mut next = 1;
        for row in rows {
            assert_eq!(row["bits"][0], next, "{row}");
            next = row["bits"][1].as_u64().expect("a bit") + 1;
            for source in row["sources"].as_array().expect("sources") {
                assert!(source["document"].is_string(), "{row}");
            }
            assert!(!row["sources"].as_array().expect("sources").is_empty(), "{row}");
        }
        assert_eq!(next, u64::from(table.bits) + 1);
    }
    // Codes: emergency state 5 of type code 28 (Doc 9871 draft, page 172), and movement 2 by version.
    let codes = |message: &str, key: &str| {
        let table = messages.iter().find(|table| table["message"] == message).expect("the message");
        let row =
            table["rows"].as_array().expect("rows").iter().find(|row| row["key"] == key).expect("the row").clone();
        row["codes"].as_array().expect("codes").clone()
    };
    let state = codes("aircraft_status", "emergency_state");
    assert!(
        state
            .iter()
            .any(|line| line["codes"] == serde_json::json!([5, 5]) && line["meaning"] == "unlawful interference")
    );
    let movement = codes("surface_position", "movement");
    assert!(
        movement
            .iter()
            .any(|line| line["codes"] == serde_json::json!([2, 2]) && line["versions"] == serde_json::json!([2, 3]))
    );
}

#[test]
fn squares_of_negative_numbers_are_written_as_such() {
    // -8^2 is -64 to whoever follows by hand; the square of -8 is (-8)^2.
    let steps = flat(&explain(&[OVER_GROUND, "--steps", "--version-in-force", "2"]));
    assert!(steps.contains("159.2") && steps.contains("182.88"), "ch. 7, 7.1 and 7.2: {steps}");
    assert!(!steps.contains("-8^2") && !steps.contains("-159^2"), "{steps}");
    // The same chapter: 9 and 160 in the components, west and south.
    for words in ["direction bit 1 = west (9 - 1) x 1 = 8 kt, so -8 kt", "south (160 - 1) x 1 = 159 kt, so -159 kt"] {
        assert!(steps.contains(words), "{words:?} is not in {steps}");
    }
}

#[test]
fn json_is_that_of_decode() {
    for frame in [EVEN, OVER_GROUND, IDENTITY, REPLY] {
        let explained: Value = serde_json::from_str(&explain(&[frame, "--format", "json"])).expect("JSON");
        assert_eq!(explained, run(&["decode", "--frame", frame, "--format", "json"]).exits(0).object());
    }
}

#[test]
fn several_frames_follow_one_another() {
    let text = explain(&[EVEN, IDENTITY]);
    let first = text.find(EVEN).expect("the first");
    assert!(text.find(IDENTITY).expect("the second") > first);
    assert!(explain(&["8D40 621D 58C3 82D6 90C8 AC28 63A7"]).starts_with(EVEN));
}

#[test]
fn bad_parity_is_data_and_said() {
    // Handbook, ch. 10, 10.2: remainder 16.
    let text = explain(&["8D4CA251204994B1C36E60A5343D"]);
    assert!(text.contains("INVALID") && text.contains("000010"), "{text}");
}

#[test]
fn bad_frames_are_refused_with_the_reason() {
    for (frame, words) in [("8D40", "4 hexadecimal digits"), ("xyz", "character 1 is 'x'")] {
        let said = run(&["explain", frame]).exits(2);
        assert_eq!(said.out, "");
        said.complains_of(&[words]);
    }
    run(&["explain"]).exits(2).complains_of(&["<HEX>"]);
    run(&["explain", EVEN, "--register", "2,0"]).exits(0).complains_of(&["formats 20 and 21"]);
}

#[test]
fn the_list_has_every_message_and_source() {
    let list = explain(&["--list", "all"]);
    let index = explain(&["--list"]);
    assert!(index.lines().count() < 200, "an index");
    for message in [
        "aircraft_identification",
        "surface_position",
        "airborne_position",
        "airborne_velocity",
        "aircraft_status",
        "acas_resolution_advisory",
        "target_state_and_status",
        "operational_status",
        "test",
        "surface_system_status",
        "tis_b_coarse_position",
        "tis_b_management",
        "no_position",
        "reserved",
        "all_call_reply",
        "surveillance_altitude_reply",
        "surveillance_identity_reply",
        "comm_b_altitude_reply",
        "comm_b_identity_reply",
        "short_air_air_surveillance",
        "long_air_air_surveillance",
        "comm_d",
        "military",
        "unassigned",
    ] {
        assert!(list.contains(&format!("({message}, ")), "{message}");
        assert!(index.contains(message), "{message}");
        assert!(explain(&["--list", message]).contains(&format!("({message}, ")), "{message}");
    }
    // Tables that many messages share follow once, at the end.
    let (list, shared) = list.split_once("\ntype codes: ").expect("shared tables");
    assert!(shared.contains("ground speed on the surface") && shared.contains("documents behind the marks"));
    let rows = list.lines().filter(|line| line.starts_with("  ") && line.as_bytes()[2].is_ascii_digit()).count();
    assert!(rows > 200, "{rows}");
    assert_eq!(list.matches("          source: ").count(), rows, "every row has its source");
}

#[test]
fn every_one_or_two_flipped_bits_of_a_squitter_are_found_and_nothing_else() {
    let sent: Frame = EVEN.parse().expect("a frame");
    let flip = |bits: &[u8]| {
        Frame::from_pattern(bits.iter().fold(sent.pattern(), |pattern, bit| pattern ^ 1 << (112 - bit)), 112)
    };
    for first in 1..=112 {
        let found = repairs(&flip(&[first]));
        assert_eq!(found, [Repair { bits: vec![first], frame: sent }], "bit {first}");
        for second in (first + 1..=112).step_by(7) {
            let found = repairs(&flip(&[first, second]));
            // With two bits of the format flipped, one flip can lead to another format in clear: none is nearer here.
            assert_eq!(found, [Repair { bits: vec![first, second], frame: sent }], "bits {first} and {second}");
        }
    }
    assert_eq!(repairs(&sent), []);
}

#[test]
fn an_all_call_reply_can_have_several_explanations_that_without_an_interrogator_first() {
    // Handbook, ch. 12: an acquisition squitter.
    let sent: Frame = "5D406FDB0D62DD".parse().expect("a frame");
    for bit in 1..=56 {
        let damaged = Frame::from_pattern(sent.pattern() ^ 1 << (56 - bit), 56);
        let found = repairs(&damaged);
        if (50..=56).contains(&bit) && found.is_empty() {
            // It can pass for one to an interrogator, so there is nothing to explain.
            assert!(matches!(Decoded::new(damaged).parity(), Parity::Interrogator(_)), "bit {bit}");
            continue;
        }
        assert_eq!(found[0], Repair { bits: vec![bit], frame: sent }, "bit {bit}");
        assert!(found.iter().all(|repair| repair.bits.len() == 1));
    }
}

/// Handbook, Mode S part, chapter 4: first octet 30 of format 16, then the bits of register 3,0 without the threat. The
/// frame is put together here: bits 9, 10, 15 and 23, and the address 4840D6.
#[test]
fn a_coordination_reply_is_spelled_out() {
    let advisory = [9, 10, 15, 23].map(|bit| 1u128 << (56 - bit)).iter().sum::<u128>();
    let pattern = 16u128 << 107 | (0x30 << 48 | advisory) << 24;
    let frame = squitterlab::frame::Frame::from_pattern(pattern, 112).with_overlay(0x48_40D6).to_string();
    let json: Value = serde_json::from_str(&explain(&[&frame, "--format", "json"])).expect("JSON");
    assert_eq!(json["message"], "long_air_air_surveillance");
    assert_eq!(json["fields"]["resolution_advisory"], "one threat: corrective, upward sense, positive");
    assert_eq!(json["fields"]["complements"], "do not pass below");
    // Another first octet is a register that nobody names here.
    let other = squitterlab::frame::Frame::from_pattern(16 << 107 | 0x20 << 72, 112).to_string();
    let json: Value = serde_json::from_str(&explain(&[&other, "--format", "json"])).expect("JSON");
    assert!(json["fields"].get("resolution_advisory").is_none(), "{json}");
}

#[test]
fn a_repair_is_shown_as_a_guess_and_only_on_request() {
    let damaged = "8D40621D58C382D690C8EC2862A7";
    assert!(!explain(&[damaged]).contains("repair"));
    let text = flat(&explain(&[damaged, "--repair"]));
    for words in ["a guess, not a finding", EVEN, "bit 82 (message bit 50) was sent as 0, received as 1", "bit 104"] {
        assert!(text.contains(words), "{words:?} is not in {text}");
    }
    let json: Value = serde_json::from_str(&explain(&[damaged, "--repair", "--format", "json"])).expect("JSON");
    assert_eq!(json["repair"]["guess"], true);
    assert_eq!(json["repair"]["explanations"][0]["flipped_bits"], serde_json::json!([82, 104]));
    assert_eq!(json["repair"]["explanations"][0]["frame"], EVEN);
    assert_eq!(json["parity"], "invalid", "the frame itself stays as it was heard");
    assert!(flat(&explain(&[EVEN, "--repair"])).contains("nothing to explain"));
    assert!(flat(&explain(&[REPLY, "--repair"])).contains("carries the address"));
    // What judges captures does not guess: nothing in those rooms names the module that repairs.
    let mut rooms: Vec<std::path::PathBuf> = ["src/compare", "src/track", "src/onair"].map(Into::into).into();
    while let Some(room) = rooms.pop() {
        for entry in std::fs::read_dir(&room).expect("a room") {
            let path = entry.expect("a file").path();
            if path.is_dir() {
                rooms.push(path);
                continue;
            }
            let text = std::fs::read_to_string(&path).expect("text");
            let guess = ["repair::", "repairs(", "Repair"].iter().find(|name| text.contains(**name));
            assert_eq!(guess, None, "{}", path.display());
        }
    }
}

#[test]
fn the_reference_is_read_piece_by_piece() {
    let one = explain(&["--list", "airborne_position"]);
    assert!(one.contains("9-20") && !one.contains("(airborne_velocity, "), "{one}");
    // Each shared table of the index is there, and says something that its source says.
    for (name, words) in [
        // Handbook, ADS-B part, chapter 7: type code 11 with both supplements is NIC 9, below 75 m.
        ("type_codes", "NIC supplement A 1, B 1: NIC 9, radius below 75 m"),
        ("registers", "register 4,0"),
        ("movement", "175 kt"),
        ("categories", "A1"),
        // Doc 9871 draft, page 224: 15 m and 23 m.
        ("sizes", "up to 15 m long and 23 m wide"),
        ("nacp", "30 m"),
        ("nacv", "below 10 m/s"),
        ("sil", "at most 1e-7"),
        ("sda", "major"),
        ("gva", "at most 45 m"),
        // Doc 9871 draft, page 172.
        ("emergency_states", "unlawful interference"),
        ("sources", "Doc 9871"),
        // Handbook, ADS-B part, chapter 1: two a second.
        ("intervals", "in the air: 0.4 to 0.6 s"),
        ("poster", "airborne velocity over the ground"),
    ] {
        assert!(explain(&["--list"]).contains(&format!("\n  {name} ")), "{name} is in the index");
        let text = flat(&explain(&["--list", name]));
        assert!(text.contains(words), "{name}: {text}");
    }
    // Every bit of every message is on the poster, each field in one piece, reserved ones as points.
    let poster = explain(&["--list", "poster"]);
    let flat_poster = flat(&poster);
    for table in tables().into_iter().filter(|table| table.bits == 56) {
        let found = flat_poster.split(' ').zip(flat_poster.split(' ').skip(1)).any(|(bits, title)| {
            table.title.starts_with(title)
                && bits.len() == 56
                && table.rows.iter().all(|row| {
                    let own = &bits[usize::from(row.span.first) - 1..usize::from(row.span.last)];
                    let first = own.as_bytes()[0];
                    own.bytes().all(|bit| bit == first) && (first == b'.') == row.is_reserved()
                })
        });
        assert!(found, "{}", table.title);
    }
    let found = explain(&["--list", "supplement"]);
    assert!(found.contains("nic_supplement_a") && found.contains("(airborne_position)"), "{found}");
    assert!(found.split_once("\nsources\n").is_some_and(|(_, sources)| sources.contains("Doc 9871")), "{found}");
    // Whatever is found as text is found as JSON.
    for name in ["all", "movement", "type_codes", "sources", "airborne position", "Airborne_Position", "supplement"] {
        run(&["explain", "--list", name]).exits(0);
        let json = run(&["explain", "--list", name, "--format", "json"]).exits(0).object();
        assert!(json.as_object().is_some_and(|json| !json.is_empty()), "{name}");
    }
    run(&["explain", "--list", "no such thing"]).exits(2).complains_of(&["explain --list shows what there is"]);
    let json: Value =
        serde_json::from_str(&explain(&["--list", "airborne_position", "--format", "json"])).expect("JSON");
    assert!(json["messages"].as_array().expect("messages").iter().all(|one| one["message"] == "airborne_position"));
}

#[test]
fn terms_are_two_sentences() {
    use squitterlab::present::glossary::TERMS;
    for term in TERMS {
        let said = explain(&["--term", term.name]);
        assert!(flat(&said).contains(term.about), "{said}");
        let ends = term.about.matches(". ").count() + usize::from(term.about.ends_with('.'));
        assert_eq!(ends, 2, "{}", term.about);
        for also in term.also {
            assert_eq!(explain(&["--term", also]), said);
        }
    }
    let names: Vec<String> = TERMS.iter().map(|term| term.name.to_lowercase()).collect();
    assert!(names.is_sorted(), "{names:?}");
    run(&["explain", "--term", "supp"]).exits(2).complains_of(&["did you mean NIC supplement?"]);
    run(&["explain", "--term", "zzz"]).exits(2).complains_of(&["explain --term lists all"]);
}

/// On a narrow terminal every line fits and says the same words; elsewhere nothing changes.
#[test]
fn what_is_explained_fits_the_terminal() {
    let here = std::env::current_dir().expect("a folder");
    for arguments in [&["explain", EVEN][..], &["explain", "--list", "airborne_velocity"], &["explain", "--term"]] {
        let piped = run(arguments).exits(0).out;
        assert!(piped.lines().any(|line| line.chars().count() > 80), "nothing to fold: {arguments:?}");
        let (status, shown) = Terminal::start(arguments, &here).ends();
        assert_eq!(status, 0);
        assert_eq!(flat(&shown), flat(&piped), "{arguments:?}");
        for line in shown.lines() {
            assert!(line.trim_end().chars().count() <= 80, "{line:?} of {arguments:?}");
        }
    }
    for width in (40..=120).step_by(5) {
        for text in [at_width(width, reference::text), at_width(width, reference::index)] {
            for line in text.lines() {
                // A long name, or the address of a document, is one word.
                let is_word = line.split_whitespace().any(|word| word.len() > 28);
                assert!(line.chars().count() <= width.min(100) || is_word, "{width}: {line:?}");
            }
        }
        for frame in [EVEN, SURFACE_EVEN, OVER_GROUND, IDENTITY, REPLY] {
            let decoded = Decoded::new(frame.parse().expect("a frame"));
            let observation = Tracker::new(None, None).observe(&decoded, None);
            let text = at_width(width, || explanation(&decoded, &observation, true));
            for line in text.lines() {
                assert!(line.chars().count() <= width.min(100), "{width}: {line:?}");
            }
        }
    }
}

/// Colour where it is wanted: the bits of neighbours differ in it, and without the orders the words are the same.
#[test]
fn an_explanation_is_coloured_on_request_only() {
    const ESCAPE: char = '\u{1B}';
    let plain = |text: &str| {
        text.split(ESCAPE)
            .enumerate()
            .map(|(at, piece)| if at == 0 { piece } else { piece.split_once('m').expect("an order").1 })
            .collect::<String>()
    };
    for frame in [EVEN, OVER_GROUND, IDENTITY, REPLY, "8D4CA251204994B1C36E60A5343D", "8DA05629EA04085CBF3F8C000000"] {
        let arguments = ["explain", frame, "--steps", "--version-in-force", "2"];
        let piped = run(&arguments).exits(0).out;
        assert!(!piped.contains(ESCAPE), "never in a pipe");
        let always = [&arguments[..], &["--color", "always"]].concat();
        let coloured = run(&always).exits(0).out;
        assert_eq!(plain(&coloured), piped);
        let silent = finish(command(&always).env("NO_COLOR", "1"), b"").exits(0).out;
        assert_eq!(silent, piped, "NO_COLOR wins");
        // What one letter marks has one colour, and the next letter another.
        for line in coloured.lines().filter(|line| line.starts_with("field   ")) {
            let pieces = line.split(ESCAPE).skip(1).filter_map(|piece| piece.split_once('m'));
            let marked: Vec<(&str, char)> =
                pieces.filter_map(|(order, text)| Some((order, text.trim().chars().next()?))).collect();
            assert!(!marked.is_empty(), "{line:?}");
            for pair in marked.windows(2) {
                assert_eq!(pair[0].0 == pair[1].0, pair[0].1 == pair[1].1, "{line:?}");
            }
        }
    }
    let doubtful = run(&["explain", "8D4CA251204994B1C36E60A5343D", "--color", "always"]).exits(0).out;
    assert!(doubtful.contains("\u{1B}[31mINVALID"), "{doubtful:?}");
}

/// Wherever a value is told whose place or meaning only memory supports, it says so: beside the field, beside what is taken
/// together, in the steps both ways, in the reference.
#[test]
fn what_is_from_memory_says_so_wherever_it_is_told() {
    // Register 5,3 is from memory as a whole (src/register/air_referenced_state.rs).
    let set = |field: &str| format!("{field}=12");
    let made = run(&[
        "encode",
        "--message",
        "register_5_3",
        "--set",
        "address=A5C035",
        "--set",
        &set("magnetic_heading_deg"),
        "--set",
        &set("indicated_airspeed_kt"),
        "--steps",
    ])
    .exits(0)
    .out;
    let frame = made.lines().next().expect("a frame");
    let words = "place and meaning from memory";
    assert!(flat(&made).contains(&format!("steps: magnetic_heading_deg {words}")), "{made}");
    assert!(!flat(&made).contains(&format!("steps: parity {words}")), "{made}");
    let told = flat(&explain(&[frame, "--register", "5,3", "--steps"]));
    for words in [
        format!("Magnetic heading, 90/512 degree a step ({words})"),
        format!("steps: magnetic_heading_deg {words}"),
        format!("indicated_airspeed_kt: 12 kt ({words})"),
    ] {
        assert!(told.contains(&words), "{words:?} is not in {told}");
    }
    let listed = flat(&explain(&["--list", "register_5_3"]));
    for words in [format!("Magnetic heading, 90/512 degree a step ({words})"), format!("Indicated airspeed ({words})")]
    {
        assert!(listed.contains(&words), "{words:?} is not in {listed}");
    }
    // Nothing of an identification is.
    assert!(!explain(&["8D4840D6202CC371C32CE0576098", "--steps"]).contains("memory"));
    assert!(!explain(&["--list", "register_5_0"]).contains("(partly from memory)"));
    // Every row and every derived meaning, by the marks of their sources.
    for table in tables() {
        let text = flat(&reference::named(table.title).expect("its text"));
        for row in table.rows.iter().filter(|row| row.source.split_whitespace().any(|mark| mark == "memory")) {
            let is_all = row.source.split_whitespace().all(|mark| mark == "memory");
            let words = if is_all { words } else { "partly from memory" };
            assert!(
                text.contains(&flat(&format!("{}: {} ({words})", row.key, row.about)))
                    || text.contains(&flat(&format!("]: {} ({words})", row.about))),
                "{}: {}",
                table.title,
                row.key
            );
        }
    }
}

#[test]
fn a_frame_is_found_in_the_line_that_has_it() {
    let bare = run(&["explain", "8D4840D6202CC371C32CE0576098"]).exits(0);
    for line in
        ["*8D4840D6202CC371C32CE0576098;", "12.5 8D4840D6202CC371C32CE0576098", "8D4840D6 202CC371C32C E0576098"]
    {
        assert_eq!(run(&["explain", line]).exits(0).out, bare.out, "{line}");
    }
    let said = run(&["explain", "*8D4840D6;"]).exits(2);
    assert!(said.err.contains("digits 0-9 and A-F"), "{}", said.err);
}
