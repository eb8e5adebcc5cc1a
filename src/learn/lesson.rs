//! Seven lessons of one pattern: a question, a picture, the arithmetic both ways, an exercise, and a whole frame.
//!
//! A lesson is data: its words, and functions that compute every number. The aircraft is invented.

use crate::code::compact_position::{Grid, Position, Word};
use crate::code::{
    Altitude12, Bits, Code, Identification, Step, Version, Wire, Wires, Worked, bits_step, position_steps,
};
use crate::downlink::{Decoded, ExtendedSquitter, encode_meanings};
use crate::frame::{Frame, Span};
use crate::learn::exercise;
use crate::present::glossary;
use crate::present::text::folded;
use crate::present::worked;
use crate::track::Tracker;
use std::fmt::Write;

/// The arithmetic of a lesson, one way.
type Working = fn() -> Vec<Worked>;

/// One lesson.
#[derive(Clone, Copy, Debug)]
pub struct Lesson {
    /// Its name, and 1 to 7 in order.
    pub name: &'static str,
    /// The same in words.
    pub title: &'static str,
    /// What it answers.
    pub question: &'static str,
    /// The idea, a paragraph each.
    pub idea: &'static [&'static str],
    /// The terms that it uses first.
    pub terms: &'static [&'static str],
    /// A drawing of text.
    pub picture: fn() -> String,
    /// From meaning to bits.
    pub write: Working,
    /// From bits to meaning.
    pub read: Working,
    /// The kind of the exercise at its end.
    pub exercise: &'static str,
    /// Message and fields of its frame.
    frame: (&'static str, &'static [(&'static str, &'static str)]),
    /// The bits of the frame that it is about.
    pub bits: (u8, u8),
}

/// The position of the example, at an invented place.
const PLACE: Position = Position { latitude_deg: 44.5, longitude_deg: -103.25 };
const FEET: &str = "4500";
const IDENTIFICATION: (&str, &[(&str, &str)]) = (
    "aircraft_identification",
    &[("address", "A5C035"), ("aircraft_identification", "N47QX"), ("emitter_category", "A1")],
);
const POSITION: (&str, &[(&str, &str)]) = (
    "airborne_position",
    &[
        ("address", "A5C035"),
        ("type_code", "11"),
        ("pressure_altitude_ft", FEET),
        ("latitude_deg", "44.5"),
        ("longitude_deg", "-103.25"),
    ],
);
const VELOCITY: (&str, &[(&str, &str)]) = (
    "airborne_velocity",
    &[("address", "A5C035"), ("ground_speed_kt", "118"), ("track_deg", "271.5"), ("vertical_rate_fpm", "-320")],
);

/// All seven, in order.
pub const LESSONS: &[Lesson] = &[
    Lesson {
        name: "bits",
        title: "bits and hexadecimal",
        question: "How do 28 digits say 112 bits?",
        idea: &[
            "A receiver gives a frame as hexadecimal digits. Each digit is four bits with the weights 8, 4, 2 and 1; two digits are an octet.",
            "To read a field, write the digits as bits, take the bits of the field, and read them as one number.",
        ],
        terms: &["bit", "hexadecimal", "octet"],
        picture: digits,
        write: || {
            vec![Worked {
                title: "an octet".to_owned(),
                steps: vec![Step::new("8 x 16 + 13", "141").told("the octet 8D: D is 13"), bits_step(141, 8)],
            }]
        },
        read: || {
            vec![Worked {
                title: "its first five bits".to_owned(),
                steps: vec![
                    Step::new("10001", "17").told("the first five bits of 10001101"),
                    Step::new("1 x 16 + 0 x 8 + 0 x 4 + 0 x 2 + 1 x 1", "17")
                        .told("with the weights 16, 8, 4, 2 and 1"),
                ],
            }]
        },
        exercise: "hexadecimal_to_bits",
        frame: IDENTIFICATION,
        bits: (1, 8),
    },
    Lesson {
        name: "envelope",
        title: "the envelope",
        question: "What is the same in every extended squitter?",
        idea: &[
            "The first five bits say the format. In format 17 the capability, the address, 56 bits of message and 24 bits of parity follow.",
            "The first five bits of the message are the type code: they say which message the other 51 bits are.",
        ],
        terms: &["frame", "downlink format", "address", "type code", "1090ES"],
        picture: envelope,
        write: || {
            vec![Worked {
                title: "format and capability".to_owned(),
                steps: vec![
                    bits_step(17, 5),
                    bits_step(5, 3),
                    Step::new("17 x 8 + 5", "141").told("both in one octet"),
                    Step::note("in hexadecimal: 8D"),
                ],
            }]
        },
        read: || {
            let frame = IDENTIFICATION.0;
            let frame = made(frame, IDENTIFICATION.1);
            let field = |first, last| frame.field(Span::new(first, last));
            vec![Worked {
                title: "the fields of a frame".to_owned(),
                steps: vec![
                    Step::new(format!("{:05b}", field(1, 5)), field(1, 5).to_string()).told("frame bits 1-5, format"),
                    Step::new(format!("{:03b}", field(6, 8)), field(6, 8).to_string())
                        .told("frame bits 6-8, capability"),
                    Step::note(format!("frame bits 9-32, address: {:06X}", field(9, 32))),
                    Step::new(format!("{:05b}", field(33, 37)), field(33, 37).to_string())
                        .told("frame bits 33-37, type code"),
                ],
            }]
        },
        exercise: "read_format",
        frame: IDENTIFICATION,
        bits: (1, 37),
    },
    Lesson {
        name: "characters",
        title: "characters and identity",
        question: "How does a frame spell a name, and how the four digits of a code?",
        idea: &[
            "The identification is eight characters of six bits: 1 to 26 are A to Z, 48 to 57 the digits 0 to 9, 32 is the space that fills the end.",
            "A Mode A code is four octal digits, three bits each, and the twelve bits are interleaved in an order that is older than the messages.",
        ],
        terms: &["Mode A code"],
        picture: alphabet,
        write: || {
            let name: Option<Identification> = "N47QX".parse().ok();
            let mut all = vec![Worked {
                title: "N47QX as characters".to_owned(),
                steps: name.map(|name| name.steps_to("N47QX", Version::Two)).unwrap_or_default(),
            }];
            let fields = [("address", "A5C035"), ("mode_a_code", "1200")];
            all.extend(backwards("surveillance_identity_reply", &fields));
            all
        },
        read: || forwards(made(IDENTIFICATION.0, IDENTIFICATION.1), &["characters"]),
        exercise: "read_identification",
        frame: IDENTIFICATION,
        bits: (41, 88),
    },
    Lesson {
        name: "altitude",
        title: "altitude and its wires",
        question: "How do eleven wires say an altitude, and why does a broken one jump?",
        idea: &[
            "An encoder with wires grounds some of eleven lines. Their code is a grey code: from one step of 100 ft to the next a single wire changes, so that a reading between two steps is never far off.",
            "A unit with a finer source counts steps of 25 ft from -1000 ft instead, and says so with the Q bit.",
        ],
        terms: &["pressure altitude", "grey code", "Q bit"],
        picture: staircase,
        write: || {
            backwards("airborne_position", POSITION.1)
                .into_iter()
                .filter(|worked| worked.title == "pressure_altitude_ft")
                .collect()
        },
        read: || {
            let mut all = forwards(made(POSITION.0, POSITION.1), &["altitude"]);
            let grey = Altitude12::from_feet(4_500.0, 100);
            all.extend(
                grey.map(|code| Worked { title: "the 100-ft code".to_owned(), steps: code.steps(Version::Two) }),
            );
            all
        },
        exercise: "read_altitude",
        frame: POSITION,
        bits: (41, 52),
    },
    Lesson {
        name: "velocity",
        title: "velocity",
        question: "Why does a velocity message carry no track?",
        idea: &[
            "It carries two components, east-west and north-south, each as a direction bit and a number of knots. Speed and track follow from them by a right-angled triangle.",
            "Code 0 says no data, so 1 says zero: take one off every number of this message.",
        ],
        terms: &["NACv"],
        picture: components,
        write: || backwards(VELOCITY.0, VELOCITY.1),
        read: || {
            forwards(
                made(VELOCITY.0, VELOCITY.1),
                &["east_velocity_kt", "north_velocity_kt", "ground_speed_kt", "vertical_rate_fpm"],
            )
        },
        exercise: "read_velocity",
        frame: VELOCITY,
        bits: (46, 78),
    },
    Lesson {
        name: "position",
        title: "position",
        question: "How do two times 17 bits say a place to 5 m?",
        idea: &[
            "They do not: they say a place within a cell. The even grid has 60 latitude cells around the globe, the odd one 59, so the same place has another number in each, and the two numbers together say which cell it is.",
            "Cells of longitude grow fewer towards the poles, so that all are about as wide. How many there are is NL, and it changes at the transition latitudes: a pair that lies on both sides of one is of no use.",
        ],
        terms: &["CPR", "even and odd", "NL"],
        picture: bands,
        write: || {
            [false, true]
                .map(|odd| Worked {
                    title: format!("44.5, -103.25 in the {} format", if odd { "odd" } else { "even" }),
                    steps: position_steps::written(PLACE, odd, Grid::Airborne),
                })
                .into()
        },
        read: || {
            let [even, odd] = [false, true].map(|odd| Word::of(PLACE, odd, Grid::Airborne));
            vec![Worked { title: "the pair".to_owned(), steps: position_steps::pair(even, odd, Grid::Airborne, None) }]
        },
        exercise: "read_position",
        frame: POSITION,
        bits: (54, 88),
    },
    Lesson {
        name: "parity",
        title: "parity",
        question: "How does a receiver know that a frame is whole, and who sent a reply?",
        idea: &[
            "The last 24 bits are the remainder of a division without carries. The receiver divides again: what is left over, the overlay, is 0 in a whole squitter.",
            "A reply has its address combined with the parity: there the overlay is the address.",
        ],
        terms: &["parity", "xor", "overlay"],
        picture: register,
        write: || {
            let frame = made(IDENTIFICATION.0, IDENTIFICATION.1);
            vec![Worked { title: "the parity of the frame".to_owned(), steps: worked::parity_steps(&frame) }]
        },
        read: || {
            let reply = made("surveillance_altitude_reply", &[("address", "A5C035"), ("pressure_altitude_ft", FEET)]);
            forwards(reply, &["parity", "address"])
        },
        exercise: "set_parity",
        frame: IDENTIFICATION,
        bits: (89, 112),
    },
];

/// The lesson of a name or a number from 1.
///
/// ```
/// use squitterlab::learn::lesson::find;
/// assert_eq!(find("position").unwrap().name, find("6").unwrap().name);
/// ```
pub fn find(name: &str) -> Option<&'static Lesson> {
    let at = name.parse::<usize>().ok().and_then(|number| number.checked_sub(1));
    LESSONS
        .iter()
        .enumerate()
        .find(|(place, lesson)| lesson.name == name || Some(*place) == at)
        .map(|(_, lesson)| lesson)
}

/// The frame of a message with these meanings.
pub(crate) fn made(message: &str, fields: &[(&str, &str)]) -> Frame {
    let fields = fields.iter().map(|(field, value)| ((*field).to_owned(), (*value).to_owned())).collect();
    encode_meanings(message, &fields, Version::Two)
        .map_or_else(|_| Frame::from_pattern(0, 112), |encoded| encoded.frame)
}

fn backwards(message: &str, fields: &[(&str, &str)]) -> Vec<Worked> {
    let fields = fields.iter().map(|(field, value)| ((*field).to_owned(), (*value).to_owned())).collect();
    encode_meanings(message, &fields, Version::Two).map(|encoded| encoded.steps()).unwrap_or_default()
}

fn forwards(frame: Frame, titles: &[&str]) -> Vec<Worked> {
    let decoded = Decoded::new(frame);
    let observation = Tracker::new(None, Some(2)).observe(&decoded, None);
    worked::read(&decoded, &observation).into_iter().filter(|worked| titles.contains(&worked.title.as_str())).collect()
}

impl Lesson {
    /// The frame at its end.
    pub fn frame(&self) -> Frame {
        made(self.frame.0, self.frame.1)
    }

    /// The whole lesson as text.
    pub fn text(&self) -> String {
        let number = LESSONS.iter().position(|lesson| lesson.name == self.name).map_or(0, |at| at + 1);
        let mut out = format!("Lesson {number}: {}\n\n", self.title);
        out += &folded("", 0, self.question);
        for paragraph in self.idea {
            out.push('\n');
            out += &folded("", 0, paragraph);
        }
        out.push_str("\nTerms\n");
        for term in self.terms.iter().filter_map(|term| glossary::find(term)) {
            out += &folded(&format!("  {}: ", term.name), 4, term.about);
        }
        let _ = write!(out, "\nPicture\n{}", (self.picture)());
        for (title, work) in [("From meaning to bits", self.write), ("From bits to meaning", self.read)] {
            let _ = writeln!(out, "\n{title}");
            for worked in work() {
                let _ = writeln!(out, "  {}", worked.title);
                out += &worked::lines(4, &worked.steps);
            }
        }
        if let Some(exercise) = exercise::exercise(1, None, Some(self.exercise)) {
            out.push_str("\nTry it\n");
            exercise.text().lines().for_each(|line| {
                let _ = writeln!(out, "  {line}");
            });
            let _ = writeln!(out, "  squitterlab practice --kind {} --seed 1 --solution", self.exercise);
        }
        let frame = self.frame();
        let (first, last) = self.bits;
        let _ = writeln!(out, "\nIn a real frame (an invented aircraft)\n  {frame}");
        let bits: String = frame.bits().map(|bit| if bit { '1' } else { '0' }).collect();
        out += &folded(&format!("  frame bits {first}-{last}: "), 4, &bits[usize::from(first) - 1..usize::from(last)]);
        let _ = writeln!(out, "  squitterlab explain {frame} --steps");
        out
    }
}

fn digits() -> String {
    let mut out = String::new();
    for row in 0..4 {
        let cells: Vec<String> = (0..4).map(|column| row + 4 * column).map(|n| format!("{n:X} = {n:04b}")).collect();
        let _ = writeln!(out, "    {}", cells.join("    "));
    }
    out
}

fn envelope() -> String {
    let rows = ExtendedSquitter::TABLE.rows;
    let mut lines = [String::from("    |"), String::from("    |"), String::from("    |")];
    for row in rows {
        let (bits, width) = (row.span.to_string(), format!("{} bits", row.span.width()));
        let name = row.key.replace('_', " ");
        let column = name.len().max(bits.len()).max(width.len());
        for (line, cell) in lines.iter_mut().zip([bits, name, width]) {
            let _ = write!(line, " {cell:<column$} |");
        }
    }
    format!("{}\n", lines.join("\n"))
}

fn alphabet() -> String {
    let mut out = String::new();
    for row in ["ABCDEFGHI", "JKLMNOPQR", "STUVWXYZ ", "0123456789"] {
        let cell = |letter: char| {
            let code = letter.to_string().parse::<Identification>().map_or(0, |name| name.bits() >> 42);
            format!("{} {code:>2}", if letter == ' ' { '_' } else { letter })
        };
        let cells: Vec<String> = row.chars().map(cell).collect();
        let _ = writeln!(out, "    {}", cells.join("   "));
    }
    out.push_str("    _ is the space\n");
    out
}

fn staircase() -> String {
    let mut out = format!("    {:>7}   {}   changes\n", "feet", Wire::ALL.map(Wire::name).join(" "));
    for step in (0..=12).rev() {
        let feet = 4_000 + 100 * step;
        let (Ok(here), Ok(below)) = (Wires::from_feet(f64::from(feet)), Wires::from_feet(f64::from(feet - 100))) else {
            continue;
        };
        let tracks = Wire::ALL.map(|wire| if here.has(wire) { "##" } else { " ." });
        let changed = Wire::ALL.into_iter().find(|wire| here.has(*wire) != below.has(*wire)).map_or("", Wire::name);
        let _ = writeln!(out, "    {feet:>7}   {}   {changed}", tracks.join(" "));
    }
    out.push_str("    ## grounded; the last column is the wire that changes from the step below\n");
    out
}

fn components() -> String {
    let decoded = Decoded::new(made(VELOCITY.0, VELOCITY.1));
    let told = |wanted: &str| {
        let fields = decoded.fields(Version::Two);
        fields
            .iter()
            .find(|(name, _)| *name == wanted)
            .map_or_else(String::new, |(_, meaning)| meaning.text.to_string())
    };
    format!(
        "                north\n                  ^\n                  |  {}\n    west <--------+\n      {}\n    together: {}, track {}\n",
        told("north_velocity_kt"),
        told("east_velocity_kt"),
        told("ground_speed_kt"),
        told("track_deg")
    )
}

fn bands() -> String {
    let mut out = String::new();
    let [even, odd] = [false, true].map(|odd| Word::of(PLACE, odd, Grid::Airborne));
    let near = |word: Word| -> Vec<f64> {
        word.latitudes(Grid::Airborne)
            .into_iter()
            .map(|(latitude, _)| latitude)
            .filter(|latitude| (20.0..70.0).contains(latitude))
            .collect()
    };
    let (even, odd) = (near(even), near(odd));
    out.push_str("    latitudes that the even word alone may mean, and the odd one; they meet once\n");
    for (one, other) in even.iter().rev().zip(odd.iter().rev()) {
        let meet = if (one - other).abs() < 0.001 { "  <- here" } else { "" };
        let _ =
            writeln!(out, "    even {one:>9.4}    odd {other:>9.4}    {:>7.4} deg apart{meet}", (one - other).abs());
    }
    out
}

fn register() -> String {
    let frame = made(IDENTIFICATION.0, IDENTIFICATION.1);
    let mut out = String::from("    what one wrong bit leaves (the overlay), for the first bits of the message:\n");
    for bit in 33..=40 {
        let _ = writeln!(
            out,
            "    bit {bit}: {:06X} = {:024b}",
            frame.flipped(bit).overlay(),
            frame.flipped(bit).overlay()
        );
    }
    out.push_str("    no two bits leave the same, so one wrong bit can be found\n");
    out
}
