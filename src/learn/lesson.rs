//! Seven lessons of one pattern: a question, a picture, the arithmetic both ways, an exercise, and whole frames.
//!
//! A lesson is data: its words, and functions that compute every number. The aircraft is invented.

use crate::code::compact_position::{Grid, Position, Word};
use crate::code::{
    Altitude12, Bits, Code, EmitterCategory, Identification, RegisterNumber, Step, Version, Wire, Wires, Worked,
    bits_step, position_steps,
};
use crate::downlink::{
    AllCall, Decoded, ExtendedSquitter, SurveillanceAltitude, SurveillanceIdentity, encode_meanings,
};
use crate::frame::{Frame, Span};
use crate::learn::exercise;
use crate::present::text::{folded, line, row, width};
use crate::present::{glossary, ruler, worked};
use crate::register;
use crate::track::{Tracker, VersionInForce};
use std::fmt::Write;

/// The arithmetic of a lesson, one way.
type Working = fn() -> Vec<Worked>;

/// A frame that a lesson shows, and the bits of it that the lesson is about.
#[derive(Clone, Copy, Debug)]
pub struct Real {
    message: &'static str,
    fields: &'static [(&'static str, &'static str)],
    /// The bits.
    pub bits: Span,
}

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
    /// The frames at its end; the first is that of the picture.
    pub frames: &'static [Real],
}

/// A field of a frame, as a lesson names it.
#[derive(Clone, Debug)]
pub struct Part {
    /// Its frame bits.
    pub span: Span,
    /// Its name.
    pub key: &'static str,
    /// The bits themselves.
    pub bits: String,
    /// What it is, and what it says here.
    pub words: String,
}

/// The position of the example, at an invented place; and a place nearby.
const PLACE: Position = Position { latitude_deg: 44.5, longitude_deg: -103.25 };
const NEARBY: Position = Position { latitude_deg: 44.6, longitude_deg: -103.0 };
const FEET: &str = "4500";
const AIRCRAFT: (&str, &str) = ("address", "A5C035");

const fn real(message: &'static str, fields: &'static [(&'static str, &'static str)], first: u8, last: u8) -> Real {
    Real { message, fields, bits: Span::new(first, last) }
}

const fn about(first: u8, last: u8, real: Real) -> Real {
    Real { bits: Span::new(first, last), ..real }
}

const IDENTIFICATION: Real = real(
    "aircraft_identification",
    &[AIRCRAFT, ("aircraft_identification", "N47QX"), ("emitter_category", "A1")],
    33,
    88,
);
const POSITION: Real = real(
    "airborne_position",
    &[
        AIRCRAFT,
        ("type_code", "11"),
        ("pressure_altitude_ft", FEET),
        ("latitude_deg", "44.5"),
        ("longitude_deg", "-103.25"),
    ],
    33,
    88,
);
const SURFACE: Real = real(
    "surface_position",
    &[
        AIRCRAFT,
        ("type_code", "7"),
        ("ground_speed_kt", "12"),
        ("track_deg", "270"),
        ("latitude_deg", "44.5"),
        ("longitude_deg", "-103.25"),
    ],
    33,
    88,
);
const VELOCITY: Real = real(
    "airborne_velocity",
    &[AIRCRAFT, ("ground_speed_kt", "118"), ("track_deg", "271.5"), ("vertical_rate_fpm", "-320")],
    33,
    88,
);
const ALL_CALL: Real = real("all_call_reply", &[AIRCRAFT, ("capability", "level_2_or_above_on_ground")], 1, 56);
const ALTITUDE_REPLY: Real = real("surveillance_altitude_reply", &[AIRCRAFT, ("pressure_altitude_ft", FEET)], 20, 32);
const IDENTITY_REPLY: Real = real("surveillance_identity_reply", &[AIRCRAFT, ("mode_a_code", "1200")], 20, 32);
const REGISTER_REPLY: Real = real(
    "register_5_0",
    &[
        AIRCRAFT,
        ("pressure_altitude_ft", FEET),
        ("roll_deg", "-20"),
        ("track_deg", "95"),
        ("ground_speed_kt", "118"),
        ("true_airspeed_kt", "116"),
    ],
    33,
    88,
);

/// All seven, in order.
pub const LESSONS: &[Lesson] = &[
    Lesson {
        name: "bits",
        title: "bits and hexadecimal",
        question: "How do 28 digits say 112 bits?",
        idea: &[
            "A receiver writes a frame down in hexadecimal digits. Each digit is four bits with the weights 8, 4, 2 and 1; two digits are an octet. A long frame has 112 bits and 28 digits, a short one 56 bits and 14 digits.",
            "Bits are counted from 1, the first on the air. Digit n holds the bits 4n - 3 to 4n, and octet n the bits 8n - 7 to 8n: bit 33 is the first bit of digit 9 and of octet 5.",
            "To read a field, write its digits as bits, take the bits of the field, and read them as one number: the last bit is worth 1, and each bit before it twice as much as the one after it.",
            "To write a number as bits, go through the weights from the greatest: where the weight fits into what is left, write 1 and take it off; where it does not fit, write 0. Zeros at the start belong to the field.",
        ],
        terms: &["bit", "frame", "hexadecimal", "octet"],
        picture: digits,
        write: || vec![Worked { title: "141 as an octet".to_owned(), steps: taken_apart(141, 8) }],
        read: || {
            let frame = IDENTIFICATION.frame();
            vec![Worked {
                title: "frame bits 33-37 of the frame below".to_owned(),
                steps: vec![
                    Step::note(format!("digits 9 and 10, octet 5: {}", &frame.to_string()[8..10])),
                    bits_step(frame.field(Span::new(33, 40)), 8),
                    Step::note("the field is the first five of these eight bits"),
                    weighed(frame.field(Span::new(33, 37)), 5),
                ],
            }]
        },
        exercise: "hexadecimal_to_bits",
        frames: &[about(33, 40, IDENTIFICATION)],
    },
    Lesson {
        name: "envelope",
        title: "the envelope",
        question: "What is where in a frame, before one knows what it says?",
        idea: &[
            "The first five bits of every frame are the downlink format. It says how long the frame is (formats below 16 have 56 bits, the others 112) and what follows.",
            "Format 17 is the extended squitter, which a transponder sends without being asked: capability, address, a message of 56 bits, and 24 bits of parity. Format 18 is laid out in the same way and comes from a device that is not a transponder; its control field is in the place of the capability.",
            "Format 11 is the all-call reply: capability, address, parity. Formats 4 and 5 answer a radar station with the altitude or the identity, and have no address of their own: it is in the parity (lesson 7). Formats 20 and 21 are the same with a register of 56 bits before the parity.",
            "The first five bits of a message are the type code: they say what the other 51 bits are. 1 to 4 is the identification, 5 to 8 a position on the ground, 9 to 18 a position in the air, 19 the velocity, 31 the operational status (explain --list intervals says how often each goes out). Message bits have numbers of their own: message bit 1 is frame bit 33.",
        ],
        terms: &[
            "transponder",
            "downlink format",
            "1090ES",
            "squitter",
            "capability",
            "address",
            "parity",
            "type code",
            "Comm-B",
        ],
        picture: envelope,
        write: || {
            let frame = IDENTIFICATION.frame();
            vec![
                Worked {
                    title: "the first octet: format 17, capability 5".to_owned(),
                    steps: vec![
                        bits_step(17, 5),
                        bits_step(5, 3),
                        octet_step(&frame, Span::new(1, 8)),
                        Step::note("the six digits of the address follow as they are"),
                    ],
                },
                Worked {
                    title: "the first octet of the message: type code 4, and 1 after it".to_owned(),
                    steps: vec![bits_step(4, 5), bits_step(1, 3), octet_step(&frame, Span::new(33, 40))],
                },
            ]
        },
        read: || {
            let (squitter, reply) = (IDENTIFICATION.frame(), IDENTITY_REPLY.frame());
            let octet = |frame: Frame| {
                let first = frame.field(Span::new(1, 8));
                Step::new(format!("{first:08b}"), first.to_string())
                    .explained(format!("the first octet, {first:02X}, as bits"))
            };
            let format = |frame: Frame| {
                let format = frame.field(Span::new(1, 5));
                Step::new(format!("{format:05b}"), format.to_string()).explained("frame bits 1-5, downlink format")
            };
            let type_code = squitter.field(Span::new(33, 37));
            vec![
                Worked {
                    title: format!("{squitter}"),
                    steps: vec![
                        octet(squitter),
                        format(squitter),
                        Step::note("17: an extended squitter, so bits 9-32 are the address, digits 3 to 8"),
                        Step::note(format!("address: {:06X}", squitter.field(Span::new(9, 32)))),
                        Step::new(format!("{type_code:05b}"), type_code.to_string())
                            .explained("frame bits 33-37, type code"),
                        Step::note("4: an identification"),
                    ],
                },
                Worked {
                    title: format!("{reply}"),
                    steps: vec![
                        octet(reply),
                        format(reply),
                        Step::note("5: a reply with the identity; 56 bits, and no address of its own"),
                    ],
                },
            ]
        },
        exercise: "read_format",
        frames: &[about(1, 37, IDENTIFICATION), ALL_CALL],
    },
    Lesson {
        name: "characters",
        title: "characters and identity",
        question: "How does a frame spell a name, and how the four digits of a code?",
        idea: &[
            "The identification is eight characters of six bits: 1 to 26 are A to Z, 48 to 57 the digits 0 to 9, and 32 is the space that fills the end.",
            "The emitter category is said in two fields. The type code is the letter, 4 for A, 3 for B, 2 for C and 1 for D, and the three bits after it are the number.",
            "A Mode A code is four octal digits, A, B, C and D, of three bits each: 4, 2 and 1. In a reply the twelve bits are interleaved, C1 A1 C2 A2 C4 A4 X B1 D1 B2 D2 B4 D4, in an order that is older than the messages; X is 0. To read it, collect A4 A2 A1 for the first digit, and so on.",
        ],
        terms: &["emitter category", "Mode A code"],
        picture: alphabet,
        write: || {
            let name: Option<Identification> = "N47QX".parse().ok();
            let mut all = vec![Worked {
                title: "N47QX as characters".to_owned(),
                steps: name.map(|name| name.steps_to("N47QX", Version::Two)).unwrap_or_default(),
            }];
            if let Ok(category) = "A1".parse::<EmitterCategory>() {
                all.push(Worked {
                    title: "category A1".to_owned(),
                    steps: vec![
                        bits_step(category.type_code().into(), 5).explained("A is type code 4, in 5 bits"),
                        bits_step(category.number().into(), 3).explained("the number, in 3 bits"),
                    ],
                });
            }
            all.extend(named("the code 1200 in a reply", IDENTITY_REPLY.backwards(&["mode_a_code"])));
            all
        },
        read: || {
            let mut all = named("the characters of the first frame below", IDENTIFICATION.forwards(&["characters"]));
            all.extend(named("the code of the reply below", IDENTITY_REPLY.forwards(&["mode_a"])));
            all
        },
        exercise: "read_identification",
        frames: &[IDENTIFICATION, IDENTITY_REPLY],
    },
    Lesson {
        name: "altitude",
        title: "altitude and its wires",
        question: "How do eleven wires say an altitude, and why does a broken one jump?",
        idea: &[
            "Frames carry the pressure altitude in one of two ways, and the Q bit says which. Q = 1: the other eleven bits count steps of 25 ft from -1000 ft. Q = 0: the bits are those of eleven wires.",
            "An encoder with wires grounds some of eleven lines, and a grounded line is a 1. Their code is a grey code: from one step of 100 ft to the next a single wire changes, so that a reading between two steps is never far off. D, A and B count five-hundreds; C1, C2 and C4 the hundreds within them, forwards in an even five-hundred and backwards in an odd one.",
            "A squitter has twelve bits, C1 A1 C2 A2 C4 A4 B1 Q B2 D2 B4 D4. A reply has thirteen: M, which is 0 for feet, is between A4 and B1. Twelve zeros are \"no data\".",
            "A wire that is open, or grounded all the time, turns the altitude into that of another pattern. To find it, write down the wires of the right altitude and those of the altitude that is shown: the one that differs is the wire.",
        ],
        terms: &["pressure altitude", "Q bit", "grey code", "xor"],
        picture: staircase,
        write: || {
            named(&format!("{FEET} ft in a squitter, and on wires"), POSITION.backwards(&["pressure_altitude_ft"]))
        },
        read: || {
            let mut all = named("a squitter with Q = 1", POSITION.forwards(&["altitude"]));
            if let Ok(code) = Altitude12::from_feet(4_500.0, 100) {
                all.push(Worked { title: "a squitter with Q = 0".to_owned(), steps: code.steps(Version::Two) });
            }
            all.extend(named("the reply below, with M", ALTITUDE_REPLY.forwards(&["altitude"])));
            all
        },
        exercise: "read_altitude",
        frames: &[about(33, 52, POSITION), ALTITUDE_REPLY],
    },
    Lesson {
        name: "velocity",
        title: "velocity",
        question: "Why does a velocity message carry no track?",
        idea: &[
            "It carries two components, east-west and north-south, each as a direction bit and a number of knots. The speed is the root of the sum of their squares. The track is the angle from north: the arctangent of east over north, and 180 degrees more where north is negative; a negative angle gets 360 more. That is what atan2(east, north) stands for.",
            "In this message code 0 says \"no data\", so code 1 says zero: take one off every number of it. The vertical rate counts 64 ft/min, the difference of geometric height and pressure altitude 25 ft.",
            "Subtypes 1 and 2 are over the ground; in subtype 2 each step is 4 kt. Subtypes 3 and 4 have heading and airspeed in the same places: the heading counts 360/1024 degrees.",
            "On the ground there is no velocity message: the position carries speed and track. The seven bits of movement follow a table whose steps grow with the speed (explain --list movement has it), and the track counts 360/128 degrees.",
        ],
        terms: &["NACv", "geometric height"],
        picture: components,
        write: || {
            let mut all = VELOCITY.backwards(&["ground_speed_kt", "vertical_rate_fpm"]);
            all.extend(SURFACE.backwards(&["ground_speed_kt", "track_deg"]).into_iter().map(on_the_ground));
            all
        },
        read: || {
            let mut all =
                VELOCITY.forwards(&["east_velocity_kt", "north_velocity_kt", "ground_speed_kt", "vertical_rate_fpm"]);
            all.extend(SURFACE.forwards(&["movement", "track"]).into_iter().map(on_the_ground));
            all
        },
        exercise: "read_velocity",
        frames: &[VELOCITY, about(33, 52, SURFACE)],
    },
    Lesson {
        name: "position",
        title: "position",
        question: "How do two times 17 bits say a place to 5 m?",
        idea: &[
            "They do not: they say a place within a cell. This is compact position reporting, CPR. The even grid has 60 latitude cells around the globe and the odd one 59, so the same place has another number in each, and the two numbers together say which cell it is. Frame bit 54 says which grid a frame is in: 0 even, 1 odd.",
            "Cells of longitude grow fewer towards the poles, so that all are about as wide. Their number is NL; it changes at the transition latitudes, and a pair of frames on both sides of one cannot be used.",
            "In the formulas, floor is the whole number at or below: floor(-12.4) is -13. And a mod b is what is left after taking whole b's off, from 0 up: -15 mod 22 is 7. A latitude of 270 or more is in the south: take 360 off. A longitude of 180 or more is in the west: take 360 off it too.",
            "One frame is enough where a place nearby is known: within half a cell of it there is one answer only. On the ground the cells are a quarter as large, so that a pair leaves two latitudes and four longitudes, and a place nearby chooses among them.",
        ],
        terms: &["CPR", "even and odd", "NL"],
        picture: bands,
        write: || {
            [false, true]
                .map(|odd| Worked {
                    title: format!("44.5, -103.25 in the {} grid", if odd { "odd" } else { "even" }),
                    steps: position_steps::written(PLACE, odd, Grid::Airborne),
                })
                .into()
        },
        read: || {
            let [even, odd] = [false, true].map(|odd| Word::of(PLACE, odd, Grid::Airborne));
            let ground = [false, true].map(|odd| Word::of(PLACE, odd, Grid::Surface));
            vec![
                Worked {
                    title: "a pair in the air".to_owned(),
                    steps: position_steps::pair(even, odd, Grid::Airborne, None),
                },
                Worked {
                    title: "one frame, and a place nearby".to_owned(),
                    steps: position_steps::near(even, Grid::Airborne, NEARBY),
                },
                Worked {
                    title: "a pair on the ground, and a place nearby".to_owned(),
                    steps: position_steps::pair(ground[0], ground[1], Grid::Surface, Some(NEARBY)),
                },
            ]
        },
        exercise: "read_position",
        frames: &[POSITION, about(54, 88, SURFACE)],
    },
    Lesson {
        name: "parity",
        title: "parity, and what no field says",
        question: "How does a receiver know that a frame is whole, who sent a reply, and what is in it?",
        idea: &[
            "The last 24 bits are the remainder of a division without carries, where taking off is exclusive or. The receiver divides again and combines what comes out with the 24 bits that it received: what is left over, the overlay, is 0 in a whole squitter.",
            "One wrong bit leaves an overlay that no other wrong bit leaves, so it can be found: the last bit before the parity leaves FFF409, and each bit before it one shift more.",
            "A transponder that answers a radar combines its address with the parity: there the overlay is the address. In an all-call reply the overlay is the code of the radar that asked, 0 if none did.",
            "A reply of format 20 or 21 carries a register and does not say which. Register 2,0 begins with 00100000 and goes on with eight characters of six bits. In 4,0, 5,0 and 6,0 a status bit is before each value; where it is 0 the bits of the value are 0 too. A register whose rules the bits break is ruled out (explain --list register_5_0 has the layout of one).",
            "An install that was set up wrongly shows in the same way: combine the frame that is sent with the one that should be, find the field of the bits that are left, and ask which slip makes the one value of the other. Most settings are in the operational status (explain --list operational_status has its layout).",
        ],
        terms: &["overlay"],
        picture: register_of_one_bit,
        write: || {
            let frame = IDENTIFICATION.frame();
            vec![
                Worked { title: "the fields put together".to_owned(), steps: put_together(frame) },
                Worked { title: "the parity of the frame".to_owned(), steps: worked::parity_steps(&frame) },
                Worked { title: "the whole frame".to_owned(), steps: vec![Step::note(frame.to_string())] },
            ]
        },
        read: || {
            let mut all = ALTITUDE_REPLY.forwards(&["parity", "address"]);
            let damaged = ALL_CALL.frame().flipped(WRONG_BIT);
            all.push(Worked {
                title: format!("the wrong bit of {damaged}, whose overlay is {:06X}", damaged.overlay()),
                steps: wrong_bit(damaged, WRONG_BIT),
            });
            all.push(Worked {
                title: "the register of the reply below".to_owned(),
                steps: told_apart(&Decoded::new(REGISTER_REPLY.frame())),
            });
            all
        },
        exercise: "set_parity",
        frames: &[about(1, 112, IDENTIFICATION), about(1, 56, ALTITUDE_REPLY), REGISTER_REPLY],
    },
];

/// The bit that is received wrongly in the example.
const WRONG_BIT: u8 = 27;

/// The registers that lessons and exercises tell apart.
pub(super) const TOLD_APART: [RegisterNumber; 4] =
    [RegisterNumber::new(0x20), RegisterNumber::new(0x40), RegisterNumber::new(0x50), RegisterNumber::new(0x60)];

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

/// A number taken apart into the weights of its bits, from the greatest.
fn taken_apart(number: u64, width: u8) -> Vec<Step> {
    let (mut left, mut steps) = (number, Vec::new());
    for at in 1..=width {
        let weight = 1 << (width - at);
        if left >= weight {
            steps.push(
                Step::new(format!("{left} - {weight}"), (left - weight).to_string())
                    .explained(format!("{weight} fits into {left}, so bit {at} is 1")),
            );
            left -= weight;
        } else {
            steps.push(Step::note(format!("{weight} does not fit into {left}, so bit {at} is 0")));
        }
    }
    steps.push(bits_step(number, width));
    steps.push(Step::note(format!("the digits: {:0digits$X}", number, digits = usize::from(width.div_ceil(4)))));
    steps
}

/// Bits with their weights.
fn weighed(code: u64, width: u8) -> Step {
    let terms = (0..width).rev().map(|at| format!("{} x {}", code >> at & 1, 1 << at));
    Step::new(terms.collect::<Vec<_>>().join(" + "), code.to_string())
        .explained(format!("{code:0width$b} with its weights", width = usize::from(width)))
}

/// One thing that is worked out, under another title.
fn named(title: &str, all: Vec<Worked>) -> Vec<Worked> {
    all.into_iter().map(|worked| Worked { title: title.to_owned(), ..worked }).collect()
}

/// The name of a field in words, without its unit.
fn plainly(worked: Worked) -> Worked {
    let name = &worked.title;
    let bare = ["_kt", "_ft", "_fpm", "_deg"].iter().find_map(|unit| name.strip_suffix(unit)).unwrap_or(name);
    Worked { title: bare.replace('_', " "), ..worked }
}

fn on_the_ground(worked: Worked) -> Worked {
    Worked { title: format!("{}, on the ground", worked.title), ..worked }
}

/// Every field of a frame as bits, up to the parity, and the digits that they make.
fn put_together(frame: Frame) -> Vec<Step> {
    let data = frame.length() - 24;
    let rows = Decoded::new(frame).rows().into_iter().filter(|placed| placed.span.last <= data);
    let mut steps: Vec<Step> = rows
        .map(|placed| {
            let (name, width) = (placed.key.replace('_', " "), placed.span.width());
            let place = format!("{name}, frame bits {}", placed.span);
            if width > 17 {
                let digits = usize::from(width.div_ceil(4));
                return Step::note(format!("{place}: {:0digits$X}, digits as they are", placed.code));
            }
            bits_step(placed.code, width).explained(place)
        })
        .collect();
    steps.push(Step::note(format!("in hexadecimal: {}", &frame.to_string()[..usize::from(data / 4)])));
    steps
}

/// From the last bit before the parity to a wrong one: what each of them leaves.
pub(super) fn wrong_bit(damaged: Frame, bit: u8) -> Vec<Step> {
    let (length, last) = (damaged.length(), damaged.length() - 24);
    let left = |at| Frame::from_pattern(0, length).flipped(at).overlay();
    let mut steps = vec![Step::note(format!(
        "what is left over if a bit is wrong, from bit {last}, the last before the parity, to bit 1: one shift to the \
         left each; where a one falls out, exclusive-or FFF409"
    ))];
    steps.extend((bit..=last).rev().map(|at| Step::note(format!("  bit {at}: {:06X}", left(at)))));
    steps.push(Step::note(format!("that is the overlay of this frame: bit {bit} is wrong")));
    steps.push(Step::note(format!("the frame as it was sent: {}", damaged.flipped(bit))));
    steps
}

/// What speaks for and against each register that a reply may carry.
pub(super) fn told_apart(decoded: &Decoded) -> Vec<Step> {
    let mut steps = vec![Step::note(format!("the 56 bits: {:014X}", decoded.frame.message_field()))];
    for number in TOLD_APART {
        let Some(opinion) = decoded.with_register(number).opinion() else { continue };
        let (words, why) =
            if opinion.obeys { ("it can be", &opinion.supports) } else { ("it is not", &opinion.against) };
        steps.push(Step::note(format!("{words} register {number}: {}", why.join("; "))));
    }
    steps
}

impl Real {
    /// The frame.
    pub fn frame(&self) -> Frame {
        made(self.message, self.fields)
    }

    /// The frame as what it is.
    fn decoded(&self) -> Decoded {
        let decoded = Decoded::new(self.frame());
        let register = register::TABLES.iter().find(|(_, table)| table.message == self.message);
        register.map_or(decoded, |(number, _)| decoded.with_register(*number))
    }

    /// The fields that the lesson is about.
    pub fn parts(&self) -> Vec<Part> {
        let decoded = self.decoded();
        let version = VersionInForce::Known(Version::Two);
        decoded
            .rows()
            .into_iter()
            .filter(|placed| placed.span.first <= self.bits.last && self.bits.first <= placed.span.last)
            .map(|placed| Part {
                span: placed.span,
                key: placed.key,
                bits: ruler::bit_text(&decoded.frame, placed.span),
                words: format!("{}; here {}", placed.row.about, ruler::meaning_of(&placed, version)),
            })
            .collect()
    }

    fn backwards(&self, titles: &[&str]) -> Vec<Worked> {
        let fields = self.fields.iter().map(|(field, value)| ((*field).to_owned(), (*value).to_owned())).collect();
        let all = encode_meanings(self.message, &fields, Version::Two).map(|encoded| encoded.steps());
        all.unwrap_or_default()
            .into_iter()
            .filter(|worked| titles.contains(&worked.title.as_str()))
            .map(plainly)
            .collect()
    }

    fn forwards(&self, titles: &[&str]) -> Vec<Worked> {
        let decoded = self.decoded();
        let observation = Tracker::new(None, Some(2)).observe(&decoded, None);
        let all = worked::read(&decoded, &observation);
        all.into_iter().filter(|worked| titles.contains(&worked.title.as_str())).map(plainly).collect()
    }
}

impl Lesson {
    /// 1 to 7.
    pub fn number(&self) -> usize {
        LESSONS.iter().position(|lesson| lesson.name == self.name).map_or(0, |at| at + 1)
    }

    /// The frame of its picture.
    pub fn frame(&self) -> Frame {
        self.frames.first().map_or_else(|| Frame::from_pattern(0, 112), Real::frame)
    }

    /// What is printed above its frames.
    pub fn frames_title(&self) -> &'static str {
        if self.frames.len() == 1 {
            "In a real frame (invented aircraft)"
        } else {
            "In real frames (invented aircraft)"
        }
    }

    /// The whole lesson as text.
    pub fn text(&self) -> String {
        let mut out = line(0, &format!("Lesson {}: {}", self.number(), self.title));
        out.push('\n');
        out += &folded("", 0, self.question);
        for paragraph in self.idea {
            out.push('\n');
            out += &folded("", 0, paragraph);
        }
        out.push_str("\nTerms\n");
        for term in self.terms.iter().filter_map(|term| glossary::find(term)) {
            out += &folded(&format!("  {}: ", term.name), 4, term.about);
        }
        out.push_str("\nPicture\n");
        out.extend((self.picture)().lines().map(|line| row(4, line)));
        for (title, work) in [("From meaning to bits", self.write), ("From bits to meaning", self.read)] {
            let _ = writeln!(out, "\n{title}");
            for worked in work() {
                out += &line(4, &format!("  {}", worked.title));
                out += &worked::lines(4, &worked.steps);
            }
        }
        let _ = writeln!(out, "\n{}", self.frames_title());
        for real in self.frames {
            let frame = real.frame();
            let _ = writeln!(out, "  {frame}");
            for part in real.parts() {
                let lead = if width() < 60 {
                    format!("  {} {} ", part.span, part.bits)
                } else {
                    format!("  {:<7} {:<17} ", part.span.to_string(), part.bits)
                };
                out += &folded(&lead, 12, &format!("{}: {}", part.key, part.words));
            }
            out += &line(4, &format!("  squitterlab explain {frame} --steps"));
        }
        if let Some(exercise) = exercise::exercise(1, None, Some(self.exercise)) {
            out.push_str("\nTry it\n");
            out += &exercise.text();
            out += &line(4, &format!("  squitterlab practice --kind {} --seed 1", self.exercise));
            out += &line(4, &format!("  squitterlab practice --level {}", self.number()));
        }
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
    let tables = [ExtendedSquitter::TABLE, AllCall::TABLE, SurveillanceAltitude::TABLE, SurveillanceIdentity::TABLE];
    let mut out = String::new();
    for table in tables {
        let _ = writeln!(out, "    {} ({})", table.title, table.applies);
        for row in table.rows {
            let bits = format!("{} bits", row.span.width()).replace("1 bits", "1 bit");
            let _ = writeln!(out, "      {:<8}  {bits:<7}  {}", row.span.to_string(), row.key.replace('_', " "));
        }
    }
    out
}

fn alphabet() -> String {
    let mut out = String::new();
    for row in ["ABCDEFGHI", "JKLMNOPQR", "STUVWXYZ ", "0123456789"] {
        let cell = |letter: char| {
            let code = letter.to_string().parse::<Identification>().map_or(0, |name| name.bits() >> 42);
            format!("{} {code:<2}", if letter == ' ' { '_' } else { letter })
        };
        let cells: Vec<String> = row.chars().map(cell).collect();
        let _ = writeln!(out, "    {}", cells.join("   ").trim_end());
    }
    out.push_str("    _ is the space\n");
    out
}

fn staircase() -> String {
    let spread = |each: &dyn Fn(&Wire) -> String| Wire::ALL.iter().map(each).collect::<Vec<_>>().join(" ");
    let mut out = String::new();
    // The letter of a wire stands above its number.
    for (at, lead, end) in [(0, "", ""), (1, "feet", "  changes")] {
        let _ = writeln!(out, "  {lead:>6}  {}{end}", spread(&|wire| wire.name()[at..=at].to_owned()));
    }
    for step in (0..=12).rev() {
        let feet = 4_000 + 100 * step;
        let (Ok(here), Ok(below)) = (Wires::from_feet(f64::from(feet)), Wires::from_feet(f64::from(feet - 100))) else {
            continue;
        };
        let tracks = spread(&|wire| if here.has(*wire) { "#" } else { "." }.to_owned());
        let changed = Wire::ALL.into_iter().find(|wire| here.has(*wire) != below.has(*wire)).map_or("", Wire::name);
        let _ = writeln!(out, "  {feet:>6}  {tracks}  {changed}");
    }
    out.push_str("  # is grounded; the last column is the wire that changes from the step below\n");
    out
}

/// Eight bits of a frame as two hexadecimal digits.
fn octet_step(frame: &Frame, span: Span) -> Step {
    let octet = frame.field(span);
    Step::new(format!("bits {octet:08b}"), format!("{octet:02X}")).explained("in hexadecimal")
}

fn components() -> String {
    let decoded = VELOCITY.decoded();
    let fields = decoded.fields(Version::Two);
    let told = |wanted: &str| {
        let found = fields.iter().find(|(name, _)| *name == wanted);
        found.map_or_else(String::new, |(_, meaning)| meaning.text.to_string())
    };
    format!(
        "           north\n             ^\n             |  {}\n    west <---+\n      {}\n    together: {}, track {}\n",
        told("north_velocity_kt"),
        told("east_velocity_kt"),
        told("ground_speed_kt"),
        told("track_deg")
    )
}

fn bands() -> String {
    let [even, odd] = [false, true].map(|odd| Word::of(PLACE, odd, Grid::Airborne));
    let near = |word: Word| -> Vec<f64> {
        let latitudes = word.latitudes(Grid::Airborne).into_iter().map(|(latitude, _)| latitude);
        latitudes.filter(|latitude| (20.0..70.0).contains(latitude)).collect()
    };
    let (even, odd) = (near(even), near(odd));
    let mut out = "  latitudes that the even word alone may mean, and the odd one; they meet once\n".to_owned();
    for (one, other) in even.iter().rev().zip(odd.iter().rev()) {
        let meet = if (one - other).abs() < 0.001 { "  <- here" } else { "" };
        let _ = writeln!(out, "  even {one:.4}  odd {other:.4}  {:.4} deg apart{meet}", (one - other).abs());
    }
    out
}

fn register_of_one_bit() -> String {
    let frame = IDENTIFICATION.frame();
    let mut out = "  what one wrong bit leaves (the overlay), for the first bits of the message:\n".to_owned();
    for bit in 33..=40 {
        let left = frame.flipped(bit).overlay();
        let _ = writeln!(out, "  bit {bit}: {left:06X}  {left:024b}");
    }
    out.push_str("  no two bits leave the same, so one wrong bit can be found\n");
    out
}
