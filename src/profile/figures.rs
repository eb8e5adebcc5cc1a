//! The figures of a transponder test that no frame can show, with their published limits: one list for the card, the sheet,
//! the form, and the judgement of what a person read.

use super::{Antenna, Fault, Profile};

/// Where the limits are from: eCFR issue of 24 August 2026 (a public copy that names its issue).
pub const FIGURES_SOURCE: &str = "limits: 14 CFR part 43 appendix F (page seen); elsewhere the State's own";

/// A figure of the test set, with its published limits.
#[derive(Clone, Copy, Debug)]
pub struct Figure {
    /// Its name in programs.
    pub id: &'static str,
    /// What is measured.
    pub name: &'static str,
    /// Its limits in words.
    pub limits: &'static str,
    /// The paragraph.
    pub clause: &'static str,
    /// What is given for it.
    pub gives: Gives,
    /// Whether it is of installs with two antennas only.
    pub of_two_antennas: bool,
}

/// What a person gives for a figure, and its limits.
#[derive(Clone, Copy, Debug)]
pub enum Gives {
    /// A number in a unit.
    Number {
        /// The unit.
        unit: &'static str,
        /// What every class of unit admits.
        every: (f64, f64),
        /// What at least one class admits.
        some: (f64, f64),
        /// Which classes that is.
        classes: &'static str,
    },
    /// A power, in watts or in decibels above one.
    Power,
    /// A number that goes with another figure: at most this far from it.
    Near {
        /// The unit.
        unit: &'static str,
        /// What every class admits.
        every: (f64, f64),
        /// The other figure.
        of: &'static str,
        /// How far at most.
        by: f64,
    },
    /// Yes or no; which of them is right.
    YesNo(bool),
    /// A text that has to be that of another figure, if there is one.
    Same(Option<&'static str>),
    /// A number for which no limit is published.
    Recorded {
        /// The unit.
        unit: &'static str,
    },
}

const fn figure(
    id: &'static str,
    name: &'static str,
    limits: &'static str,
    clause: &'static str,
    gives: Gives,
) -> Figure {
    Figure { id, name, limits, clause, gives, of_two_antennas: false }
}

/// A number with the same limits for every class.
const fn within(unit: &'static str, least: f64, most: f64) -> Gives {
    Gives::Number { unit, every: (least, most), some: (least, most), classes: "" }
}

/// The figures, in the order of the appendix.
pub const FIGURES: &[Figure] = &[
    figure(
        "reply_frequency",
        "reply frequency",
        "1090 ± 3 MHz (classes 1B, 2B, 3B), ± 1 MHz (others)",
        "(a)",
        Gives::Number { unit: "MHz", every: (1089.0, 1091.0), some: (1087.0, 1093.0), classes: "1B, 2B, 3B" },
    ),
    figure(
        "suppression_equal",
        "side-lobe suppression, P2 = P1",
        "replies to at most 1 %",
        "(b)",
        within("%", 0.0, 1.0),
    ),
    figure(
        "suppression_9_db",
        "side-lobe suppression, P2 9 dB below P1",
        "replies to at least 90 %",
        "(b)",
        within("%", 90.0, 100.0),
    ),
    figure("sensitivity_a", "sensitivity, Mode A", "-73 ± 4 dBm", "(c)", within("dBm", -77.0, -69.0)),
    figure(
        "sensitivity_c",
        "sensitivity, Mode C",
        "-73 ± 4 dBm, within 1 dB of Mode A",
        "(c)",
        Gives::Near { unit: "dBm", every: (-77.0, -69.0), of: "sensitivity_a", by: 1.0 },
    ),
    figure("sensitivity_s", "sensitivity, Mode S", "-74 ± 3 dBm", "(c)", within("dBm", -77.0, -71.0)),
    figure("power", "power", "at least 70 W or 125 W by class, at most 500 W", "(d)", Gives::Power),
    Figure {
        of_two_antennas: true,
        ..figure("isolation", "isolation of two antennas", "at least 20 dB", "(e)", within("dB", 20.0, f64::INFINITY))
    },
    figure("replies_to_own", "replies to its own address", "yes", "(f)", Gives::YesNo(true)),
    figure("replies_to_others", "replies to at least two other addresses", "no", "(f)", Gives::YesNo(false)),
    figure("mode_c_altitude", "altitude, Mode C (ft)", "as in format 4", "(g)", Gives::Same(None)),
    figure("format_4_altitude", "altitude, format 4 (ft)", "as in Mode C", "(g)", Gives::Same(Some("mode_c_altitude"))),
    figure("mode_a_code", "code, Mode A", "as in format 5", "(g)", Gives::Same(None)),
    figure("format_5_code", "code, format 5", "as in Mode A", "(g)", Gives::Same(Some("mode_a_code"))),
    figure(
        "replies_to_all_call",
        "answers all-calls (format 11; 1.6 µs P4) with address and capability",
        "yes",
        "(h)",
        Gives::YesNo(true),
    ),
    figure("replies_to_short_p4", "answers the all-call with 0.8 µs P4", "no", "(i)", Gives::YesNo(false)),
    figure(
        "squitter_spacing",
        "spacing of acquisition squitters",
        "about once a second; no limit in numbers",
        "(j)",
        Gives::Recorded { unit: "s" },
    ),
];

/// What is to be said of a figure that was read.
#[derive(Clone, Debug, PartialEq)]
pub enum Judged {
    /// Within the limits of every class.
    Within,
    /// Within the limits of some classes only; of which.
    OfSomeClasses(&'static str),
    /// Outside the limits; in words.
    Outside(String),
    /// Recorded: there is no published limit in numbers, or what it goes with was not read.
    Recorded,
}

impl Judged {
    /// The word in JSON.
    pub const fn key(&self) -> &'static str {
        match self {
            Self::Within => "within",
            Self::OfSomeClasses(_) => "within_for_some_classes",
            Self::Outside(_) => "outside",
            Self::Recorded => "recorded",
        }
    }
}

/// The limits of power: watts, and decibels above one watt, as the appendix gives both.
const POWER_W: (f64, f64, f64) = (70.0, 125.0, 500.0);
const POWER_DBW: (f64, f64, f64) = (18.5, 21.0, 27.0);

impl Figure {
    /// Whether this install has it.
    pub fn applies(&self, profile: &Profile) -> bool {
        !self.of_two_antennas || profile.antenna.get() != Some(&Antenna::Single)
    }

    /// What to give, in words.
    pub fn given(&self) -> &'static str {
        match self.gives {
            Gives::Number { unit, .. } | Gives::Near { unit, .. } | Gives::Recorded { unit } => unit,
            Gives::Power => "W or dBW",
            Gives::YesNo(_) => "yes or no",
            Gives::Same(_) => "digits",
        }
    }

    /// Judges what was read, by the published limits only; `other` gives what was read of another figure.
    ///
    /// # Errors
    /// [`Fault`] for what cannot have been read.
    pub fn judge(&self, typed: &str, other: impl Fn(&str) -> Option<String>) -> Result<Judged, Fault> {
        let outside = || Judged::Outside(format!("{} is required {}", self.limits, self.clause));
        let typed = typed.trim();
        match self.gives {
            Gives::Number { unit, every, some, classes } => {
                let number = number(typed, &[unit])?.0;
                Ok(if between(number, every) {
                    Judged::Within
                } else if between(number, some) {
                    Judged::OfSomeClasses(classes)
                } else {
                    outside()
                })
            }
            Gives::Power => {
                let (number, unit) = number(typed, &["W", "dBW"])?;
                let (some, every, most) = if unit == "dBW" { POWER_DBW } else { POWER_W };
                Ok(if between(number, (every, most)) {
                    Judged::Within
                } else if between(number, (some, most)) {
                    Judged::OfSomeClasses("with the lower limit of 70 W")
                } else {
                    outside()
                })
            }
            Gives::Near { unit, every, of, by } => {
                let own = number(typed, &[unit])?.0;
                let other = other(of).and_then(|other| number(&other, &[unit]).ok());
                let far = other.is_some_and(|(other, _)| (own - other).abs() > by + 1e-9);
                Ok(if between(own, every) && !far { Judged::Within } else { outside() })
            }
            Gives::YesNo(right) => {
                let said = match typed.to_lowercase().as_str() {
                    "yes" | "y" => true,
                    "no" | "n" => false,
                    _ => return Err(Fault::new(format!("{typed:?} is neither yes nor no"), "write yes or no")),
                };
                Ok(if said == right { Judged::Within } else { outside() })
            }
            Gives::Same(of) => {
                let digits = |text: &str| text.chars().filter(char::is_ascii_digit).collect::<String>();
                if digits(typed).is_empty() {
                    return Err(Fault::new(format!("{typed:?} has no digits"), "write the digits that are shown"));
                }
                let below = |text: &str| text.trim_start().starts_with('-');
                let other = of.and_then(other);
                Ok(match other {
                    None => Judged::Recorded,
                    Some(other) if digits(&other) == digits(typed) && below(&other) == below(typed) => Judged::Within,
                    Some(_) => outside(),
                })
            }
            Gives::Recorded { unit } => number(typed, &[unit]).map(|_| Judged::Recorded),
        }
    }
}

fn between(number: f64, (least, most): (f64, f64)) -> bool {
    least <= number && number <= most
}

/// A number with one of these units behind it, or with none: then it is in the first.
fn number<'u>(typed: &str, units: &[&'u str]) -> Result<(f64, &'u str), Fault> {
    let plain = typed.replace(['−', '–'], "-").replace(',', ".");
    let end = plain.find(|c: char| !matches!(c, '0'..='9' | '+' | '-' | '.')).unwrap_or(plain.len());
    let (digits, unit) = (plain[..end].trim(), plain[end..].trim());
    let known = units.iter().copied().find(|known| unit.eq_ignore_ascii_case(known));
    let unit = if unit.is_empty() { units.first().copied() } else { known };
    let read = digits.parse().ok().filter(|number: &f64| number.is_finite());
    read.zip(unit).ok_or_else(|| {
        Fault::new(
            format!("{typed:?} is not a number in {}", units.join(" or ")),
            format!("write a number and {}", units.join(" or ")),
        )
    })
}
