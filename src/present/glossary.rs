//! The terms of the trade, each in two sentences: the one list that reference and lessons open.

/// A term, other ways to write it, and what it means.
#[derive(Clone, Copy, Debug)]
pub struct Term {
    /// As the standards write it.
    pub name: &'static str,
    /// Other ways to ask for it.
    pub also: &'static [&'static str],
    /// Two sentences.
    pub about: &'static str,
}

const fn term(name: &'static str, also: &'static [&'static str], about: &'static str) -> Term {
    Term { name, also, about }
}

/// All of them, in the order of the alphabet.
pub const TERMS: &[Term] = &[
    term(
        "1090ES",
        &["extended squitter", "ADS-B"],
        "Extended squitter on 1090 MHz: the 112-bit messages that a transponder sends by itself, without being asked. They carry identification, position, velocity and status for anyone who listens.",
    ),
    term(
        "ACAS",
        &["TCAS"],
        "Airborne collision avoidance system: it interrogates the transponders nearby and tells the crew to climb or descend. Its advisories go out in a message of their own and in register 3,0.",
    ),
    term(
        "address",
        &["aircraft address", "ICAO address"],
        "The 24 bits that name an aircraft on the air, written as six hexadecimal digits. The State of registry gives them out, and no two aircraft have the same.",
    ),
    term(
        "bit",
        &["bits"],
        "One yes or no; in a frame it lasts one microsecond. Bits are counted from 1, the first on the air.",
    ),
    term(
        "capability",
        &[],
        "Three bits of formats 11 and 17 that say what the transponder can do and where it is: 4 on the ground, 5 airborne, both of level 2 or above. 0 is a simple one of level 1, and 7 says that a request or an alert is on.",
    ),
    term(
        "Comm-B",
        &["register"],
        "A reply with 56 bits out of one of the transponder's 255 registers, sent when a ground station asks for it. The frame does not say which register it is, so whoever did not ask has to infer it.",
    ),
    term(
        "CPR",
        &["compact position reporting"],
        "Compact position reporting: a position in 17 bits each way, as a place within one of many cells. An even and an odd frame, or a reference nearby, say which cell it is.",
    ),
    term(
        "downlink format",
        &["DF"],
        "The first five bits of every frame: they say what kind of frame it is and how long. 17 is the extended squitter of a transponder, 11 an all-call reply, 4 and 5 answers to surveillance.",
    ),
    term(
        "emitter category",
        &["category"],
        "What sort of aircraft or object it is, as a letter and a number: A1 is light, below 15 500 lb. The letter is in the type code, 4 for A down to 1 for D, and the number in the three bits after it.",
    ),
    term(
        "even and odd",
        &["cpr format", "even", "odd"],
        "The two grids of compact positions: 60 latitude cells in the even one, 59 in the odd one. Frames alternate between them, and the two together leave one place on the globe.",
    ),
    term("frame", &[], "All the bits of one transmission: 56 or 112. The last 24 are parity."),
    term(
        "geometric height",
        &["HAE", "GNSS height"],
        "Height above the ellipsoid, as a satellite receiver measures it. It differs from pressure altitude with the weather, and the velocity message carries the difference.",
    ),
    term(
        "grey code",
        &["gray code", "Gillham"],
        "A code in which only one bit changes from one step to the next, so that a reading between two steps is wrong by one step at most. Altitude encoders with wires speak it, in steps of 100 ft.",
    ),
    term(
        "GVA",
        &[],
        "Geometric vertical accuracy: the 95 % bound of the error of the geometric height, as a code of 0 to 3. It is in the airborne operational status of version 2.",
    ),
    term(
        "hexadecimal",
        &["hex"],
        "Numbers to the base 16: the digits 0 to 9, then A to F for 10 to 15. One digit is four bits, so a frame of 112 bits has 28 digits.",
    ),
    term(
        "Mode A code",
        &["squawk"],
        "Four digits of 0 to 7 that the crew sets, such as 1200. The twelve bits go out interleaved, C1 A1 C2 A2 C4 A4 X B1 D1 B2 D2 B4 D4.",
    ),
    term(
        "NACp",
        &[],
        "Navigation accuracy category for position: the 95 % bound of the position error, as a code of 0 to 11. It is in the operational status and in the target state.",
    ),
    term(
        "NACv",
        &[],
        "Navigation accuracy category for velocity: the bound of the error of the velocity, as a code of 0 to 4. It is in the velocity message itself.",
    ),
    term(
        "NIC",
        &["navigation integrity category"],
        "Navigation integrity category: the radius within which the position is contained, as a code of 0 to 11. It is not a field: it follows from the type code of the position and the NIC supplements.",
    ),
    term(
        "NIC supplement",
        &["supplement"],
        "One bit that tells two radii of one type code apart. A and C are in the operational status, B in the airborne position.",
    ),
    term(
        "NL",
        &["longitude zones", "transition latitude"],
        "The number of longitude zones at a latitude: 59 at the equator, fewer towards the poles, 1 beyond 87 degrees. The latitudes where it changes are the transition latitudes.",
    ),
    term(
        "NUCp",
        &[],
        "Navigation uncertainty category for position, the word of version 0 for what NIC and NACp say later. It follows from the type code alone.",
    ),
    term("octet", &["byte"], "Eight bits, two hexadecimal digits. A frame has 7 or 14 of them."),
    term(
        "overlay",
        &["address parity", "AP"],
        "What is combined with the parity by exclusive or before it is sent: nothing in a squitter, the address in a reply. A receiver divides again and finds the overlay.",
    ),
    term(
        "parity",
        &["CRC", "checksum"],
        "The last 24 bits of a frame: the remainder of a division of all the bits before. If a bit was received wrongly the division leaves another remainder.",
    ),
    term(
        "pressure altitude",
        &[],
        "Altitude above the surface where the standard atmosphere has 1013.25 hPa. It is what every transponder sends, whatever the altimeter is set to.",
    ),
    term(
        "Q bit",
        &["Q"],
        "The bit of an altitude code that says how it counts: 1 for steps of 25 ft, 0 for steps of 100 ft in grey code. It is bit 8 of the twelve.",
    ),
    term(
        "SDA",
        &[],
        "System design assurance: how likely a fault in the equipment goes out as wrong data, as a code of 0 to 3. The weakest link from the position source to the transmitter counts.",
    ),
    term(
        "SIL",
        &[],
        "Source integrity level: how likely the position lies outside its radius of containment without a warning, as a code of 0 to 3. It comes from the position source's own papers.",
    ),
    term(
        "squitter",
        &[],
        "A frame that a transponder sends by itself, at intervals that vary a little so that two aircraft do not collide again and again. The short one is an all-call reply, the extended one carries a message.",
    ),
    term(
        "transponder",
        &[],
        "The unit in the aircraft that answers radar stations and sends squitters by itself. Its installer sets the address and much else of what it sends.",
    ),
    term(
        "two's complement",
        &[],
        "The way to write negative numbers in which the first bit counts negatively: of 10 bits it stands for -512. A number whose first bit is 1 is therefore the plain number minus 1024.",
    ),
    term(
        "type code",
        &["TC"],
        "The first five bits of the message in an extended squitter: 1 to 4 identification, 5 to 8 surface position, 9 to 18 and 20 to 22 airborne position, 19 velocity. In positions it also says the radius of containment.",
    ),
    term(
        "version",
        &["MOPS version"],
        "Which edition of the 1090ES standard the unit follows: 0, 1, 2 or 3. Some bits mean different things in each, and the operational status says which one it is.",
    ),
    term(
        "xor",
        &["exclusive or"],
        "Adding two bits without a carry: equal bits give 0, different ones give 1. Doing it twice with the same bits gives back what was there before.",
    ),
];

/// The term of this name, or of another way to write it.
///
/// ```
/// use squitterlab::present::glossary::find;
/// assert_eq!(find("nic").unwrap().name, "NIC");
/// assert_eq!(find("squawk").unwrap().name, "Mode A code");
/// assert!(find("zzz").is_none());
/// ```
pub fn find(word: &str) -> Option<&'static Term> {
    let same = |name: &&str| name.eq_ignore_ascii_case(word.trim());
    TERMS.iter().find(|term| same(&term.name) || term.also.iter().any(same))
}

/// The terms whose name has the word in it.
pub fn like(word: &str) -> Vec<&'static str> {
    let word = word.trim().to_lowercase();
    let has = |name: &&str| name.to_lowercase().contains(&word);
    TERMS.iter().filter(|term| has(&term.name) || term.also.iter().any(&has)).map(|term| term.name).collect()
}
