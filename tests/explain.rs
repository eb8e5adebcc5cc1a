//! `explain`: every bit with its field, the arithmetic to follow by hand, and the reference.

mod program;

use program::{flat, run};
use serde_json::Value;
use squitterlab::downlink::repair::{Repair, repairs};
use squitterlab::downlink::{Decoded, Parity};
use squitterlab::frame::Frame;

/// "The 1090 Megahertz Riddle", 2nd edition (revised), ch. 5, 5.3.
const EVEN: &str = "8D40621D58C382D690C8AC2863A7";
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
    // 11.3: the rest of the data is CE2CA7, the address 3C6DD0.
    let steps = flat(&explain(&[REPLY, "--steps"]));
    assert!(steps.contains("F24177, exclusive-or rest CE2CA7 = overlay 3C6DD0"), "{steps}");
    assert!(!explain(&[EVEN]).contains("steps:"));
}

#[test]
fn squares_of_negative_numbers_are_written_as_such() {
    // -8^2 is -64 to whoever follows by hand; the square of -8 is (-8)^2.
    let steps = flat(&explain(&[OVER_GROUND, "--steps", "--version-in-force", "2"]));
    assert!(steps.contains("159.2") && steps.contains("182.88"), "ch. 7, 7.1 and 7.2: {steps}");
    assert!(!steps.contains("-8^2") && !steps.contains("-159^2"), "{steps}");
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
    let list = explain(&["--list"]);
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
    }
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
    // What judges captures does not guess: a damaged frame is counted, and nothing else.
    for file in ["src/compare", "src/track", "src/onair"] {
        for entry in std::fs::read_dir(file).expect("a room") {
            let text = std::fs::read_to_string(entry.expect("a file").path()).expect("text");
            assert!(!text.contains("repair"), "{file}");
        }
    }
}
