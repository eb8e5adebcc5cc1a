//! Marks, addresses, blocks, notations, slips; and `address` as a person sees it.

use crate::program;
use crate::random::Random;
use serde_json::Value;
use squitterlab::frame::Address;
use squitterlab::profile::Profile;
use squitterlab::profile::mistake::mistake;
use squitterlab::registry::{
    BLOCKS, MARKS, MarkError, Notation, RESERVES, address_mistake, address_of_mark, block_next_to, block_of_address,
    look_up, mark_of_address, nationalities, read_address, readings,
};

/// List of first marks with the FAA's octal codes, a posting of 2008.
const PUBLISHED_OCTAL: [(&str, &str); 10] = [
    ("N1", "50000001"),
    ("N1A", "50000002"),
    ("N1AA", "50000003"),
    ("N1AB", "50000004"),
    ("N1AZ", "50000032"),
    ("N1B", "50000033"),
    ("N1BA", "50000034"),
    ("N1ZZ", "50001131"),
    ("N10", "50001132"),
    ("N10A", "50001133"),
];
/// Own arithmetic; the values of N905NA and N99999 are from memory too.
const COMPUTED: [(&str, u32); 11] = [
    ("N100", 0xA004B3),
    ("N1000", 0xA0070C),
    ("N10000", 0xA00725),
    ("N1000Z", 0xA00724),
    ("N100ZZ", 0xA0070B),
    ("N2", 0xA18D50),
    ("N905NA", 0xAC82EC),
    ("N99ZZ", 0xADD2A1),
    ("N999ZZ", 0xADF669),
    ("N9999Z", 0xADF7BD),
    ("N99999", 0xADF7C7),
];

fn run(arguments: &[&str]) -> crate::program::Said {
    crate::program::run(&[&["address"], arguments].concat())
}

fn text(arguments: &[&str], status: i32) -> String {
    let said = run(arguments).exits(status);
    assert_eq!(said.err, "");
    said.out
}

fn json(arguments: &[&str], status: i32) -> Vec<Value> {
    let arguments: Vec<&str> = arguments.iter().copied().chain(["--format", "json"]).collect();
    text(&arguments, status).lines().map(|line| serde_json::from_str(line).unwrap()).collect()
}

fn address(bits: u32) -> Address {
    Address::new(bits)
}

/// Every mark that the rules of the written form allow, spelled out by the rules alone, in the order of the tree.
fn every_mark() -> Vec<String> {
    fn letters(mark: &str, most: usize, out: &mut Vec<String>) {
        out.push(mark.to_owned());
        if most > 0 {
            for letter in ('A'..='Z').filter(|letter| !"IO".contains(*letter)) {
                letters(&format!("{mark}{letter}"), most - 1, out);
            }
        }
    }
    fn digits(mark: &str, out: &mut Vec<String>) {
        let places = mark.len() - 1;
        letters(mark, [0, 2, 2, 2, 1, 0][places], out);
        if places < 5 {
            for digit in '0'..='9' {
                digits(&format!("{mark}{digit}"), out);
            }
        }
    }
    let mut out = Vec::new();
    for first in 1..=9 {
        digits(&format!("N{first}"), &mut out);
    }
    out
}

#[test]
fn every_mark_has_one_address_and_back_and_no_other_address_has_a_mark() {
    let marks = every_mark();
    assert_eq!(marks.len(), 915_399);
    assert_eq!(marks.len(), MARKS as usize);
    for (at, mark) in marks.iter().enumerate() {
        let address = address(0xA00001 + at as u32);
        assert_eq!(address_of_mark(mark), Ok(address), "{mark}");
        assert_eq!(mark_of_address(address).as_ref(), Some(mark));
    }
    let with_mark = (0..1 << 24).filter(|bits| mark_of_address(address(*bits)).is_some()).count();
    assert_eq!(with_mark, marks.len());
}

#[test]
fn published_pairs_hold() {
    for (mark, octal) in PUBLISHED_OCTAL {
        assert_eq!(format!("{:08o}", address_of_mark(mark).unwrap().bits()), octal, "{mark}");
        assert_eq!(read_address(octal).unwrap().address, address_of_mark(mark).unwrap());
    }
    for (mark, bits) in COMPUTED {
        assert_eq!(address_of_mark(mark), Ok(address(bits)), "{mark}");
    }
}

#[test]
fn a_wrong_mark_is_told_by_the_rule_that_it_breaks() {
    let broken = |mark: &str| address_of_mark(mark).unwrap_err();
    assert!(matches!(broken("47QX"), MarkError::Prefix { .. }));
    assert!(matches!(broken("N"), MarkError::Length { found: 0, .. }));
    assert!(matches!(broken("N123456"), MarkError::Length { found: 6, .. }));
    assert!(matches!(broken("N012"), MarkError::First { .. }));
    assert!(matches!(broken("NAB"), MarkError::First { .. }));
    for letter in ['I', 'O'] {
        assert!(matches!(broken(&format!("N1{letter}")), MarkError::Symbol { found, .. } if found == letter));
    }
    for mark in ["N1A1", "N1234AB", "N123ABC", "N12ABC", "N1AB2", "N1ABC"] {
        let wanted = if mark.len() > 6 {
            matches!(broken(mark), MarkError::Length { .. })
        } else {
            matches!(broken(mark), MarkError::Letters { .. })
        };
        assert!(wanted, "{mark}: {}", broken(mark));
    }
}

#[test]
fn the_blocks_are_whole_aligned_and_apart() {
    assert_eq!(BLOCKS.len(), 190);
    assert_eq!(BLOCKS.iter().filter(|block| block.holder.starts_with("ICAO")).count(), 3);
    for block in BLOCKS {
        let bits: String = block.prefix.chars().filter(|c| *c != ' ').collect();
        assert_eq!(bits.len(), usize::from(block.prefix_bits), "{}", block.holder);
        assert!([4, 6, 9, 12, 14].contains(&block.prefix_bits), "{}", block.holder);
        let first = u32::from_str_radix(&bits, 2).unwrap() << (24 - block.prefix_bits);
        assert_eq!(block.first.bits(), first, "{}", block.holder);
        assert_eq!(block.last.bits(), first + block.size() - 1, "{}", block.holder);
        assert!(block.prefix.split(' ').rev().skip(1).all(|group| group.len() == 4), "{}", block.holder);
    }
    for pair in BLOCKS.windows(2) {
        assert!(pair[0].last < pair[1].first, "{} and {}", pair[0].holder, pair[1].holder);
    }
    let mut holders: Vec<&str> = BLOCKS.iter().map(|block| block.holder).collect();
    holders.sort_unstable();
    holders.dedup();
    assert_eq!(holders.len(), 190, "no holder twice");
}

#[test]
fn rows_of_the_page_that_was_seen_are_marked_and_the_others_are_not() {
    let seen: Vec<&str> = BLOCKS.iter().filter(|block| block.confirmed()).map(|block| block.holder).collect();
    assert_eq!(
        seen,
        [
            "Angola",
            "Algeria",
            "Antigua and Barbuda",
            "Russian Federation",
            "United Kingdom",
            "Albania",
            "Armenia",
            "Afghanistan",
            "United States",
            "Argentina"
        ]
    );
}

#[test]
fn the_block_of_every_address_is_the_row_that_has_it() {
    // From the prefixes alone, by brute force over every 14-bit prefix: no block is smaller.
    for prefix in 0..1u32 << 14 {
        let text = format!("{prefix:014b}");
        let row = BLOCKS.iter().find(|block| text.starts_with(&block.prefix.replace(' ', "")));
        for bits in [prefix << 10, prefix << 10 | 0x3FF] {
            assert_eq!(block_of_address(address(bits)), row, "{bits:06X}");
        }
    }
    assert_eq!(block_of_address(address(0xA5C035)).unwrap().holder, "United States");
    assert_eq!(block_of_address(address(0x4840D6)).unwrap().holder, "Netherlands");
    // A published answer calls this one unallocated.
    assert_eq!(block_of_address(address(0x22DD82)), None);
    for reserve in RESERVES {
        let bits = reserve.prefix.replace(' ', "");
        let first = u32::from_str_radix(&bits, 2).unwrap() << (24 - bits.len());
        assert_eq!((reserve.first.bits(), reserve.last.bits()), (first, first | ((1 << (24 - bits.len())) - 1)));
    }
}

#[test]
fn every_notation_of_an_address_reads_back() {
    for bits in (0..1u32 << 24).step_by(4099).chain([0, 1, 0xFFFFFF]) {
        let said = [
            (Notation::Hexadecimal, format!("{bits:06x}")),
            (Notation::Octal, format!("{bits:08o}")),
            (Notation::Binary, format!("{bits:024b}")),
            (Notation::Decimal, bits.to_string()),
        ];
        for (notation, digits) in said {
            let read = read_address(&format!("{}:{digits}", notation.word())).unwrap();
            assert_eq!((read.notation, read.address.bits()), (notation, bits));
            // Numbers of less than seven digits are no address without their notation.
            if notation != Notation::Decimal || digits.len() > 6 {
                let all = readings(&digits).unwrap();
                assert!(all.iter().any(|read| (read.notation, read.address.bits()) == (notation, bits)), "{digits}");
                assert_eq!(read_address(&digits).is_ok(), all.len() == 1, "{digits}");
            }
        }
    }
    assert_eq!(read_address("1010 0101 1100 0000 0011 0101").unwrap().address.bits(), 0xA5C035);
    assert_eq!(read_address("hex:a5c035").unwrap().address.bits(), 0xA5C035);
    assert_eq!(read_address("0xa5c035").unwrap().address.bits(), 0xA5C035);
    // From memory: the notations of AC82EC.
    for text in ["AC82EC", "53101354", "11305708", "101011001000001011101100"] {
        assert_eq!(read_address(text).unwrap().address.bits(), 0xAC82EC, "{text}");
    }
}

#[test]
fn nothing_that_is_typed_makes_it_panic() {
    for text in [
        "",
        " ",
        ":",
        "N",
        "Ñ1",
        "NÑ",
        "N\u{0}",
        "ß",
        "octal:",
        "octal:8",
        "0x",
        "0xN1",
        "binary:2",
        "mark:A5C035",
        "decimal:99999999999999999999",
        "77777777",
        "99999999",
        "FFFFFFFFFFFFFFFFFFFFFF",
        "N1\u{301}",
    ] {
        if let Ok(read) = read_address(text) {
            assert_eq!(text, "77777777", "{read:?}");
        }
    }
}

#[test]
fn every_slip_leads_back_to_where_it_came_from() {
    let rights = [0xA5C035, 0xA00001, 0xADF7C7, 0x4840D6, 0x780001, 0xC0FFEE];
    for right in rights.map(address) {
        for slip in address_mistake::ADDRESS_MISTAKES {
            for (wrong, _) in slip.of(right) {
                assert_ne!(wrong, right);
                let found = address_mistake::between(right, wrong);
                assert!(found.iter().any(|(other, _)| other.name == slip.name), "{} {right} {wrong}", slip.name);
                if !["address_blank", "address_of_another_mark"].contains(&slip.name) {
                    assert!(slip.back(wrong).iter().any(|(back, _)| *back == right), "{} {right} {wrong}", slip.name);
                }
            }
        }
    }
}

#[test]
fn the_mistakes_of_profiles_are_the_same_slips() {
    let profile = Profile::read(r#"{"aircraft": {"address": "A5C035"}}"#).profile;
    for slip in address_mistake::ADDRESS_MISTAKES {
        let mistake = mistake(slip.name).unwrap();
        let wrong: Vec<Address> =
            (mistake.candidates)(&profile).iter().map(|(wrong, _)| *wrong.address.get().unwrap()).collect();
        let same: Vec<Address> = slip.of(address(0xA5C035)).into_iter().map(|(wrong, _)| wrong).collect();
        assert!(!same.is_empty());
        assert_eq!(wrong, same, "{}", slip.name);
    }
}

#[test]
fn the_slips_are_what_they_say() {
    let first = |slip: &address_mistake::AddressMistake| slip.of(address(0xA5C035)).first().unwrap().0.to_string();
    // Octal 51340065.
    assert_eq!(first(&address_mistake::OCTAL_AS_HEXADECIMAL), "513400");
    assert_eq!(first(&address_mistake::OCTAL_AS_DECIMAL), format!("{:06X}", 51_340_065 % (1 << 24)));
    assert_eq!(first(&address_mistake::COMPLEMENTED), "5A3FCA");
    assert_eq!(first(&address_mistake::MIRRORED), "AC03A5");
    assert_eq!(first(&address_mistake::NIBBLES_SWAPPED), "5A0C53");
    assert_eq!(first(&address_mistake::DIGITS_TRANSPOSED), "5AC035");
    assert_eq!(first(&address_mistake::ONE_BIT), "25C035");
    assert_eq!(address_mistake::ONE_BIT.of(address(0xA5C035)).len(), 24);
    assert_eq!(address_mistake::ONE_DIGIT.of(address(0xA5C035)).len(), 90);
}

#[test]
fn the_octal_form_of_a_united_states_address_never_fits_as_decimal_and_leaves_the_block_as_hexadecimal() {
    for bits in (0xA00001..=0xADF7C7).step_by(37) {
        let octal = format!("{bits:o}");
        assert_eq!(format!("{:X}", octal.parse::<u32>().unwrap()).len(), 7, "trade sheet: always seven digits");
        let typed = u32::from_str_radix(&octal[..6], 16).unwrap();
        assert!((0x500000..=0x53FFFF).contains(&typed));
        assert!(
            address_mistake::between(address(bits), address(typed))
                .iter()
                .any(|(slip, _)| slip.name == "address_octal_as_hex")
        );
        let hexadecimal = format!("{:X}", octal.parse::<u32>().unwrap());
        match readings(&hexadecimal) {
            Err(unreadable) => assert_eq!(unreadable.meant[0].address.bits(), bits),
            Ok(all) => {
                let numbers = [Notation::Octal, Notation::Decimal];
                assert!(all.iter().all(|one| numbers.contains(&one.notation)), "seven digits without a letter");
            }
        }
    }
}

#[test]
fn a_person_sees_every_notation_and_that_the_register_decides() {
    let seen = text(&["n47qx"], 0);
    for wanted in [
        "mark         N47QX",
        "United States: A00000 to AFFFFF, prefix 1010",
        "hexadecimal  A5C035",
        "octal        51340065",
        "binary       1010 0101 1100 0000 0011 0101",
        "by block     1010 01011100000000110101",
        "decimal      10862645",
        "The State's register decides",
    ] {
        assert!(seen.contains(wanted), "{wanted}\n{seen}");
    }
}

#[test]
fn expected_and_seen_are_explained() {
    let seen = text(&["A5C053", "--registration", "N47QX"], 1);
    assert!(seen.contains("A5C035 (N47QX, United States): differs"), "{seen}");
    assert!(seen.contains("address_digits_transposed"), "{seen}");
    assert!(text(&["A5C035", "--expected", "N47QX"], 0).contains(": agrees"));
    let far = json(&["4840D6", "--expected", "A5C035"], 1);
    assert_eq!(far[0]["expected"]["verdict"], "differs");
    assert_eq!(far[0]["expected"]["likely"], Value::Array(Vec::new()));
    run(&["A5C035", "--expected", "N0"]).exits(2).complains_of(&["--expected", "1 to 9"]);
}

#[test]
fn json_is_one_object_an_argument() {
    let objects = json(&["N47QX", "N1O", "FFFFFF", "22DD82"], 1);
    assert_eq!(objects.len(), 4);
    assert_eq!(objects[0]["address"], "A5C035");
    assert_eq!(objects[0]["state"]["holder"], "United States");
    assert_eq!(objects[0]["state"]["confirmed"], "page seen");
    assert!(objects[0].get("error").is_none());
    assert_eq!(objects[1]["may_be"][0]["mark"], "N10");
    assert!(objects[1]["error"].as_str().unwrap().contains("without I and O"));
    assert_eq!(objects[2]["error"], "unusable as an address");
    assert!(objects[3]["state"].is_null());
    assert!(objects[3]["notes"][0].as_str().unwrap().contains("Africa"));
}

#[test]
fn a_wrong_form_is_refused_with_what_may_be_meant() {
    assert!(text(&["2FAF081"], 1).contains("A00001 (N1, United States)"));
    assert!(text(&["47QX"], 1).contains("A5C035 (N47QX, United States)"));
    assert!(text(&["N47-QX"], 1).contains("A5C035 (N47QX, United States)"));
    assert!(text(&["5C035"], 1).contains("05C035"));
    assert!(text(&["5A3FCA", "--expected", "N47QX"], 1).contains("address_complemented"));
    assert!(text(&["decimal:51340065"], 1).contains("A5C035"));
    assert!(text(&["D-EABC"], 1).contains("State's register"));
    run(&[]).exits(2).complains_of(&["required"]);
}

#[test]
fn the_help_ends_with_an_example() {
    let help = text(&["--help"], 0);
    assert!(help.trim_end().ends_with("squitterlab address A5C053 --expected N47QX"), "{help}");
}

/// Addresses of a block, at random.
fn addresses_of(holder: &str, count: usize, random: &mut Random) -> Vec<Address> {
    let block = BLOCKS.iter().find(|block| block.holder == holder).unwrap();
    (0..count).map(|_| address(block.first.bits() + random.next() as u32 % block.size())).collect()
}

/// The States whose addresses are tried, each with a mark of its own.
const STATES: [(&str, &str); 5] = [
    ("United States", ""),
    ("New Zealand", "ZK-QXV"),
    ("Canada", "C-GQXV"),
    ("Germany", "D-EXQV"),
    ("Russian Federation", "RA-12345"),
];

/// A mark that the address may have.
fn mark_for(address: Address, mark: &str) -> String {
    if mark.is_empty() { mark_of_address(address).unwrap_or_else(|| "N47QX".to_owned()) } else { mark.to_owned() }
}

#[test]
fn digits_are_octal_or_decimal_as_the_registration_says_and_never_a_guess() {
    let mut random = Random(0x0C7A1);
    for (state, mark) in STATES {
        let (mut unsettled, mut settled) = (0, 0);
        for right in addresses_of(state, 4000, &mut random) {
            let mark = mark_for(right, mark);
            let bits = right.bits();
            for digits in [format!("{bits:08o}"), format!("{bits:o}"), bits.to_string()] {
                for registration in [None, Some(&mark)] {
                    let line = registration.map_or_else(String::new, |mark| format!("\"registration\": \"{mark}\", "));
                    let text = format!("{{\"aircraft\": {{{line}\"address\": \"{digits}\"}}}}");
                    let reading = Profile::read(&text);
                    let problem =
                        reading.problems.iter().find(|problem| problem.pointer == "/aircraft/address").unwrap();
                    let written = problem.correction.split_once("write \"").map(|(_, rest)| &rest[..6]);
                    if let Some(written) = written {
                        assert_eq!(written, right.to_string(), "{digits} of {registration:?}: {}", problem.correction);
                        settled += 1;
                    } else {
                        unsettled += 1;
                        // What it may be is said all the same.
                        assert!(problem.correction.contains(&right.to_string()), "{digits}: {}", problem.correction);
                    }
                    // A mark by arithmetic, or a block, settles it.
                    let by_mark = mark_of_address(right).is_some() || state != "United States";
                    assert!(registration.is_none() || !by_mark || written.is_some(), "{digits} of {registration:?}");
                }
            }
        }
        assert!(settled > 10_000, "{state}: {settled} settled, {unsettled} not");
        assert!(unsettled > 200, "{state}: {settled} settled, {unsettled} not");
    }
}

#[test]
fn a_number_in_the_command_line_is_read_as_what_is_expected() {
    // Decimal of A46660, which is N3829W by the FAA's tree; octal would be 23F84A.
    let seen = text(&["10774112", "--expected", "N3829W"], 0);
    assert!(seen.contains("read as      decimal, as is expected; octal would be 23F84A"), "{seen}");
    assert!(seen.contains("A46660 (N3829W, United States): agrees"), "{seen}");
    assert!(!seen.contains("may be"), "{seen}");
    let seen = text(&["10774112"], 1);
    for words in ["octal or decimal", "23F84A (no block of the table held here)", "A46660 (N3829W, United States)"] {
        assert!(program::flat(&seen).contains(words), "{words}: {seen}");
    }
    let object = &json(&["10774112"], 1)[0];
    assert_eq!(object["readings"].as_array().unwrap().len(), 2);
    assert!(object.get("address").is_none(), "nothing is settled: {object}");
    // Decimal of C80000; the block of New Zealand decides.
    assert_eq!(json(&["13107200", "--expected", "ZK-QXV"], 0)[0]["address"], "C80000");
    let neither = &json(&["10774112", "--expected", "N47QX"], 1)[0];
    assert!(neither["readings"].as_array().unwrap().iter().all(|one| one["expected"]["verdict"] == "differs"));
    run(&["A5C035", "--expected", "10774112"]).exits(2).complains_of(&["octal or decimal"]);

    let mut random = Random(0xDEC1);
    for (state, mark) in STATES {
        for right in addresses_of(state, 2000, &mut random) {
            let mark = mark_for(right, mark);
            let Ok(expected) = squitterlab::present::address::Expected::read(&mark) else { continue };
            if state == "United States" && mark_of_address(right).is_none() {
                continue;
            }
            for digits in [format!("{:08o}", right.bits()), right.bits().to_string()] {
                let all = readings(&digits).unwrap();
                let read = squitterlab::present::address::reading(&all, Some(&expected));
                assert_eq!(read.map(|read| read.address), Some(right), "{digits} of {mark}");
            }
        }
    }
}

#[test]
fn the_mark_of_another_state_is_compared_with_its_block() {
    let flat = |arguments: &[&str], status| program::flat(&text(arguments, status));
    assert!(flat(&["400123", "--expected", "G-QXVY"], 0).contains("agrees, the address is in the block of that State"));
    assert!(flat(&["A5C035", "--expected", "g-qxvy"], 1).contains("in the block of United States (page seen)"));
    assert!(flat(&["4D2450", "--expected", "9H-QXV"], 1).contains("cannot tell, no block"));
}

#[test]
fn an_address_in_no_block_is_said_to_be_next_to_one_and_no_other_aircraft_is_named() {
    // States' facts, section 17.3: inside the aligned block of twice the size, four times for Qatar.
    for (bits, holder) in
        [(0x4D2450, "Malta"), (0x500450, "San Marino"), (0x06AFFF, "Qatar"), (0x0CA400, "Antigua and Barbuda")]
    {
        assert_eq!(block_next_to(address(bits)).map(|block| block.holder), Some(holder), "{bits:06X}");
    }
    for bits in (0..1u32 << 24).step_by(509) {
        let found = look_up(address(bits));
        let beside = found.next_to;
        assert!(beside.is_none() || found.block.is_none(), "{bits:06X}");
        if let Some(block) = beside {
            let factor = if block.holder == "Qatar" { 4 } else { 2 };
            assert_eq!(bits / (block.size() * factor), block.first.bits() / (block.size() * factor), "{bits:06X}");
        }
        let said = found.notes.join(" ");
        for word in said.split(|c: char| !c.is_ascii_alphanumeric()) {
            let named = word.len() == 6 && u32::from_str_radix(word, 16).is_ok();
            assert!(!named || ["A00001", "ADF7C7"].contains(&word), "{bits:06X}: {said}");
        }
    }
    let seen = program::flat(&text(&["4D2450"], 0));
    assert!(seen.contains("none in the table held here; next to the block of Malta: 4D2000 to 4D23FF"), "{seen}");
    assert!(seen.contains("most rows from memory") && !seen.contains("may be 0A24B2"), "{seen}");
    assert!(!seen.contains("0A24B2"), "the bits in reverse are nobody's guess: {seen}");
}

#[test]
fn a_slip_is_named_only_where_it_leads_to_the_state_of_the_registration() {
    let mut random = Random(0xB10C);
    for row in nationalities().iter().filter(|row| row.state != "United States") {
        let mark = format!("{}-QXV", row.marks[0]);
        for _ in 0..40 {
            let typed = address(random.next() as u32 & 0xFF_FFFF);
            let text = format!("{{\"aircraft\": {{\"registration\": \"{mark}\", \"address\": \"{typed}\"}}}}");
            let reading = Profile::read(&text);
            let none = squitterlab::profile::rule_set("none").unwrap();
            let problems = squitterlab::profile::check(&reading, none);
            let said = problems.iter().filter(|problem| problem.pointer == "/aircraft/address");
            for problem in said {
                let words = format!("{} {}", problem.reason, problem.correction);
                assert!(words.contains("decides"), "the register decides: {words}");
                assert_ne!(problem.severity, squitterlab::profile::Severity::Error, "{words}");
                for word in words.split(|c: char| !c.is_ascii_alphanumeric()).filter(|word| word.len() == 6) {
                    let Ok(bits) = u32::from_str_radix(word, 16) else { continue };
                    let of_state = block_of_address(address(bits)).is_some_and(|block| block.holder == row.state);
                    // An address of the State that is typed is in order, and nothing is said of it.
                    assert!(word == typed.to_string() || of_state || word == "decide", "{mark}: {words}");
                }
            }
        }
    }
}
