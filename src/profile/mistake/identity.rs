//! Mistakes in what an aircraft is called: address, identification, emitter category.

use super::{Candidate, Mistake, Often, PRACTICE, changed};
use crate::code::{Bits, EmitterCategory, Identification, Version};
use crate::profile::{IdentificationSource, Profile, SettingId, Stated};
use crate::registry::address_mistake::{self, AddressMistake};
use crate::registry::nationality_of_mark;

const IDENTIFICATION: &[SettingId] = &[SettingId::AircraftIdentification];
const ADDRESS: &[SettingId] = &[SettingId::Address];

/// The national prefix is missing.
pub const PREFIX_LEFT_OFF: Mistake = Mistake {
    cause: "prefix_left_off",
    // 31 324 flights of December 2017 had an identification unlike the plan, most of them under call signs: no count of
    // this cause.
    often: Often::Counted(
        "one of the three commonest entry errors (FAA Safety Briefing of 2019); not counted by itself",
    ),
    settings: IDENTIFICATION,
    what: "the registration was entered without its national prefix",
    correction: "enter the identification in the form that the State of registry requires, prefix included",
    source: "FAA list of typical faults: missing prefix",
    candidates: |profile| identifications(profile, without_prefix),
};

/// A look-alike letter or digit.
pub const LOOK_ALIKE: Mistake = Mistake {
    cause: "look_alike",
    often: Often::Common,
    settings: IDENTIFICATION,
    what: "a letter and a digit that look alike were confused",
    correction: "enter the identification again, letter for letter from the certificate",
    source: "IFATCA paper 2012-92: B8 G6 I1 O0 S5 Z2",
    candidates: |profile| identifications(profile, look_alikes),
};

/// A sample text was left in the identification.
pub const SAMPLE_IDENTIFICATION: Mistake = Mistake {
    cause: "sample_identification",
    often: Often::Seldom,
    settings: IDENTIFICATION,
    what: "a sample text was left in the identification",
    correction: "enter the aircraft's own identification",
    source: PRACTICE,
    candidates: |profile| {
        identifications(profile, |_| SAMPLES.map(|text| (text.to_owned(), format!("{text} is a sample"))).to_vec())
    },
};

/// Texts of menus and manuals, from memory.
const SAMPLES: [&str; 10] =
    ["TEST", "TEST1234", "12345678", "ABCDEFGH", "AAAAAAAA", "XXXXXXXX", "00000000", "11111111", "N12345", "NONE"];

/// Whether an identification is a sample text.
pub(crate) fn is_sample(text: &str) -> bool {
    SAMPLES.contains(&text)
}

/// The emitter category was never chosen.
pub const CATEGORY_NOT_SET: Mistake = Mistake {
    cause: "category_not_set",
    often: Often::Common,
    settings: &[SettingId::EmitterCategory],
    what: "the emitter category was never chosen: the unit sends \"no information\"",
    correction: "choose the category of the certified weight, or of the kind of aircraft where it has one",
    source: PRACTICE,
    candidates: |profile| {
        let none =
            EmitterCategory::new(4, Bits::from_bits(0)).filter(|none| profile.emitter_category.get() != Some(none));
        none.into_iter()
            .flat_map(|none| changed(profile, "A0", |wrong| wrong.emitter_category = Stated::Is(none)))
            .collect()
    },
};

/// Another emitter category.
pub const CATEGORY_WRONG: Mistake = Mistake {
    cause: "category_wrong",
    often: Often::Counted("about 550 United States aircraft in autumn 2016 (press report of 2017)"),
    settings: &[SettingId::EmitterCategory],
    what: "another emitter category was chosen",
    correction: "choose the category of the certified weight, or of the kind of aircraft where it has one",
    source: "press report: about 550 United States aircraft in 2016",
    candidates: |profile| {
        let stated = profile.emitter_category.get().copied();
        (1..=4)
            .rev()
            .flat_map(|set| (0..8).map(move |number| (set, number)))
            .filter_map(|(set, number)| EmitterCategory::new(set, Bits::from_bits(number)))
            .filter(|category| Some(*category) != stated && category.to_string() != "A0")
            .flat_map(|category| {
                let words = category.words(Version::Two);
                changed(profile, &format!("{category}, {words}"), |wrong| {
                    wrong.emitter_category = Stated::Is(category);
                })
            })
            .collect()
    },
};

/// A hyphen or a space stands inside.
pub const SEPARATOR_ENTERED: Mistake = Mistake {
    cause: "separator_entered",
    often: Often::Common,
    settings: IDENTIFICATION,
    what: "a hyphen or a space was entered inside the identification",
    correction: "enter the letters and digits only, one after the other",
    source: "ICAO Annex 10 alphabet: no hyphen, and spaces only after the text (facts of the handbook, chapter 2)",
    candidates: |profile| {
        with_text(profile, |text| {
            let sign = |sign: char, name: &'static str| {
                (1..=2.min(text.len().saturating_sub(1))).filter_map(move |at| {
                    let wrong = characters(&format!("{}{sign}{}", &text[..at], &text[at..]))?;
                    Some((wrong, format!("a {name} after place {at}")))
                })
            };
            sign('-', "hyphen").chain(sign(' ', "space")).collect()
        })
    },
};

/// Filled up with something else than spaces behind it.
pub const IDENTIFICATION_PADDED: Mistake = Mistake {
    cause: "identification_padded",
    often: Often::Seldom,
    settings: IDENTIFICATION,
    what: "the identification was filled up with zeros, or with spaces before it",
    correction: "enter it from the first place on, with nothing but spaces after it",
    source: PRACTICE,
    candidates: |profile| {
        with_text(profile, |text| {
            let length = text.len();
            let digits = text.find(|c: char| c.is_ascii_digit());
            let mut texts = vec![(format!("{text:>8}"), "spaces before it".to_owned())];
            if let Some(at) = digits.filter(|at| *at > 0) {
                let zeros = |count: usize| format!("{}{}{}", &text[..at], "0".repeat(count), &text[at..]);
                texts.extend((1..=8 - length.min(8)).map(|count| (zeros(count), format!("{count} zeros inside"))));
            }
            texts.push((format!("{text:0<8}"), "zeros after it".to_owned()));
            texts.push((format!(" {text}"), "a space before it".to_owned()));
            texts.into_iter().filter_map(|(text, detail)| Some((characters(&text)?, detail))).collect()
        })
    },
};

/// Zeros before the text, to fill a field of fixed length.
pub const LEADING_ZEROS: Mistake = Mistake {
    cause: "identification_leading_zeros",
    often: Often::Common,
    settings: IDENTIFICATION,
    what: "zeros were entered before the identification",
    correction: "enter the identification without zeros before it",
    source: PRACTICE,
    candidates: |profile| {
        identifications(profile, |text| {
            let most = 8 - text.len().min(8);
            (1..=most)
                .map(|count| (format!("{}{text}", "0".repeat(count)), format!("{count} zeros before it")))
                .collect()
        })
    },
};

/// A flight's number without the operator's code.
pub const OPERATOR_CODE_MISSING: Mistake = Mistake {
    cause: "operator_code_missing",
    often: Often::Common,
    settings: IDENTIFICATION,
    what: "the number of the flight was entered without the three letters of the operator",
    correction: "enter the operator's three letters and the number, as in the flight plan",
    source: PRACTICE,
    candidates: |profile| {
        identifications(profile, |text| match operator_and_number(text) {
            Some((operator, number)) => vec![(number.to_owned(), format!("{operator} was left off"))],
            None => Vec::new(),
        })
    },
};

/// A flight's number behind two letters of tickets, not the operator's three.
pub const OPERATOR_CODE_OF_TWO: Mistake = Mistake {
    cause: "operator_code_of_two",
    often: Often::Common,
    settings: IDENTIFICATION,
    what: "the number of the flight was entered after a code of two symbols, as tickets have it",
    correction: "enter the operator's three letters and the number, as in the flight plan",
    source: PRACTICE,
    candidates: |profile| {
        identifications(profile, |text| {
            let Some((operator, number)) = operator_and_number(text) else { return Vec::new() };
            let symbols = || ('A'..='Z').chain('0'..='9');
            // The likeliest has the first two of the three letters; which two an operator has cannot be computed.
            let own = operator[..2].to_owned();
            let others = symbols().flat_map(|a| symbols().map(move |b| format!("{a}{b}"))).filter(|code| *code != own);
            let others = others.filter(|code| code.contains(|c: char| c.is_ascii_alphabetic()));
            std::iter::once(own.clone())
                .chain(others)
                .map(|code| (format!("{code}{number}"), format!("{code} in the place of {operator}")))
                .collect()
        })
    },
};

/// The end is missing.
pub const IDENTIFICATION_CUT: Mistake = Mistake {
    cause: "identification_cut",
    often: Often::Common,
    settings: IDENTIFICATION,
    what: "the end of the identification is missing",
    correction: "enter the whole identification, and read it back from the unit",
    source: PRACTICE,
    candidates: |profile| {
        identifications(profile, |text| {
            (1..text.len())
                .rev()
                .map(|kept| (text[..kept].to_owned(), format!("{} is missing", &text[kept..])))
                .collect()
        })
    },
};

/// Two symbols in each other's place.
pub const SYMBOLS_TRANSPOSED: Mistake = Mistake {
    cause: "identification_symbols_transposed",
    often: Often::Common,
    settings: IDENTIFICATION,
    what: "two symbols of the identification changed places",
    correction: "enter the identification again, symbol for symbol from the certificate",
    source: PRACTICE,
    candidates: |profile| {
        identifications(profile, |text| {
            let places = (1..text.len()).flat_map(|apart| (0..text.len() - apart).map(move |a| (a, a + apart)));
            places
                .map(|(a, b)| {
                    let mut symbols: Vec<char> = text.chars().collect();
                    symbols.swap(a, b);
                    (symbols.into_iter().collect(), format!("places {} and {} were exchanged", a + 1, b + 1))
                })
                .collect()
        })
    },
};

/// One symbol too many: one that was pressed twice, or another one.
pub const SYMBOL_TOO_MANY: Mistake = Mistake {
    cause: "identification_symbol_too_many",
    often: Often::Common,
    settings: IDENTIFICATION,
    what: "the identification has one symbol too many",
    correction: "enter the identification again, symbol for symbol from the certificate",
    source: PRACTICE,
    candidates: |profile| {
        identifications(profile, |text| {
            if text.len() >= 8 {
                return Vec::new();
            }
            let with = |at: usize, symbol: char| format!("{}{symbol}{}", &text[..at], &text[at..]);
            let doubled = text
                .char_indices()
                .map(|(at, symbol)| (with(at, symbol), format!("{symbol} at place {} twice", at + 1)));
            let added = (0..=text.len()).flat_map(|at| {
                symbols().map(move |symbol| (with(at, symbol), format!("{symbol} more, at place {}", at + 1)))
            });
            doubled.chain(added).collect()
        })
    },
};

/// One symbol is another.
pub const SYMBOL_WRONG: Mistake = Mistake {
    cause: "identification_symbol_wrong",
    often: Often::Common,
    settings: IDENTIFICATION,
    what: "one symbol of the identification is wrong",
    correction: "enter the identification again, symbol for symbol from the certificate",
    source: PRACTICE,
    candidates: |profile| {
        identifications(profile, |text| {
            let right: Vec<char> = text.chars().collect();
            let places = (0..right.len()).flat_map(|at| symbols().map(move |symbol| (at, symbol)));
            places
                .map(|(at, symbol)| {
                    let mut symbols = right.clone();
                    let was = std::mem::replace(&mut symbols[at], symbol);
                    (symbols.into_iter().collect(), format!("{symbol} for {was} at place {}", at + 1))
                })
                .collect()
        })
    },
};

/// One symbol in the middle was left out.
pub const SYMBOL_MISSING: Mistake = Mistake {
    cause: "identification_symbol_missing",
    often: Often::Common,
    settings: IDENTIFICATION,
    what: "one symbol of the identification was left out",
    correction: "enter the identification again, symbol for symbol from the certificate",
    source: PRACTICE,
    candidates: |profile| {
        identifications(profile, |text| {
            let without = |at: usize| format!("{}{}", &text[..at], &text[at + 1..]);
            (0..text.len()).map(|at| (without(at), format!("place {} was left out", at + 1))).collect()
        })
    },
};

fn symbols() -> impl Iterator<Item = char> {
    ('0'..='9').chain('A'..='Z')
}

/// The three letters of an operator, and the number of the flight with what may follow it.
fn operator_and_number(text: &str) -> Option<(&str, &str)> {
    let (operator, number) = text.split_at_checked(3)?;
    let is_flight =
        operator.bytes().all(|b| b.is_ascii_uppercase()) && number.starts_with(|c: char| c.is_ascii_digit());
    is_flight.then_some((operator, number))
}

/// Nothing was entered.
pub const IDENTIFICATION_BLANK: Mistake = Mistake {
    cause: "identification_blank",
    often: Often::Seldom,
    settings: IDENTIFICATION,
    what: "the identification was never entered",
    correction: "enter the aircraft's own identification",
    source: "FAA list of typical faults: missing identification",
    candidates: |profile| {
        with_text(profile, |_| {
            let spaces = characters("        ").into_iter().map(|blank| (blank, "only spaces".to_owned()));
            spaces.chain([(Identification::from_bits(0), "the code says \"not available\"".to_owned())]).collect()
        })
    },
};

/// See [`address_mistake::BLANK`].
pub const ADDRESS_BLANK: Mistake =
    of_address(&address_mistake::BLANK, Often::Common, |profile| addresses(profile, &address_mistake::BLANK));
/// See [`address_mistake::OCTAL_AS_HEXADECIMAL`].
pub const ADDRESS_OCTAL_AS_HEX: Mistake =
    of_address(&address_mistake::OCTAL_AS_HEXADECIMAL, Often::Common, |profile| {
        addresses(profile, &address_mistake::OCTAL_AS_HEXADECIMAL)
    });
/// See [`address_mistake::OCTAL_AS_DECIMAL`].
pub const ADDRESS_OCTAL_AS_DECIMAL: Mistake =
    of_address(&address_mistake::OCTAL_AS_DECIMAL, Often::Common, |profile| {
        addresses(profile, &address_mistake::OCTAL_AS_DECIMAL)
    });
/// See [`address_mistake::DIGITS_TRANSPOSED`].
pub const ADDRESS_DIGITS_TRANSPOSED: Mistake =
    of_address(&address_mistake::DIGITS_TRANSPOSED, Often::Common, |profile| {
        addresses(profile, &address_mistake::DIGITS_TRANSPOSED)
    });
/// See [`address_mistake::ONE_BIT`].
pub const ADDRESS_ONE_BIT: Mistake =
    of_address(&address_mistake::ONE_BIT, Often::Common, |profile| addresses(profile, &address_mistake::ONE_BIT));
/// See [`address_mistake::ONE_DIGIT`].
pub const ADDRESS_ONE_DIGIT: Mistake =
    of_address(&address_mistake::ONE_DIGIT, Often::Common, |profile| addresses(profile, &address_mistake::ONE_DIGIT));
/// See [`address_mistake::COMPLEMENTED`].
pub const ADDRESS_COMPLEMENTED: Mistake = of_address(&address_mistake::COMPLEMENTED, Often::Seldom, |profile| {
    addresses(profile, &address_mistake::COMPLEMENTED)
});
/// See [`address_mistake::MIRRORED`].
pub const ADDRESS_MIRRORED: Mistake =
    of_address(&address_mistake::MIRRORED, Often::Seldom, |profile| addresses(profile, &address_mistake::MIRRORED));
/// See [`address_mistake::NIBBLES_SWAPPED`].
pub const ADDRESS_NIBBLES_SWAPPED: Mistake = of_address(&address_mistake::NIBBLES_SWAPPED, Often::Seldom, |profile| {
    addresses(profile, &address_mistake::NIBBLES_SWAPPED)
});

/// See [`address_mistake::OCTETS_SWAPPED`].
pub const ADDRESS_OCTETS_SWAPPED: Mistake = of_address(&address_mistake::OCTETS_SWAPPED, Often::Seldom, |profile| {
    addresses(profile, &address_mistake::OCTETS_SWAPPED)
});
/// See [`address_mistake::OF_ANOTHER_MARK`].
pub const ADDRESS_OF_ANOTHER_MARK: Mistake = of_address(&address_mistake::OF_ANOTHER_MARK, Often::Common, |profile| {
    addresses(profile, &address_mistake::OF_ANOTHER_MARK)
});

const fn of_address(slip: &AddressMistake, often: Often, candidates: fn(&Profile) -> Vec<Candidate>) -> Mistake {
    Mistake {
        cause: slip.name,
        often,
        settings: ADDRESS,
        what: slip.what,
        correction: slip.correction,
        source: slip.source,
        candidates,
    }
}

fn addresses(profile: &Profile, slip: &AddressMistake) -> Vec<Candidate> {
    let Some(right) = profile.address.get() else { return Vec::new() };
    slip.of(*right)
        .into_iter()
        .map(|(address, detail)| {
            let mut candidate = profile.clone();
            candidate.address = Stated::Is(address);
            (candidate, detail)
        })
        .collect()
}

/// Profiles with another identification, where the aircraft has a fixed one.
fn with_text(profile: &Profile, wrong: impl Fn(&str) -> Vec<(Identification, String)>) -> Vec<Candidate> {
    let Some(right) = profile.aircraft_identification.get() else { return Vec::new() };
    if profile.identification_source.get() == Some(&IdentificationSource::CrewEntered) {
        return Vec::new();
    }
    let others = wrong(&right.to_string()).into_iter().filter(|(text, _)| text != right);
    others
        .map(|(text, detail)| {
            let mut candidate = profile.clone();
            candidate.aircraft_identification = Stated::Is(text);
            (candidate, detail)
        })
        .collect()
}

/// The same from texts that can be entered.
pub(super) fn identifications(profile: &Profile, wrong: impl Fn(&str) -> Vec<(String, String)>) -> Vec<Candidate> {
    with_text(profile, |text| {
        wrong(text).into_iter().filter_map(|(text, detail)| Some((text.parse().ok()?, detail))).collect()
    })
}

/// Eight characters as a unit would send them, a hyphen included, which no standard gives a code: its low six bits.
fn characters(text: &str) -> Option<Identification> {
    if text.chars().count() > 8 || !text.is_ascii() {
        return None;
    }
    let codes = text.bytes().chain(std::iter::repeat(b' ')).take(8);
    Some(Identification::from_bits(codes.fold(0, |bits, c| bits << 6 | u64::from(c & 0x3F))))
}

/// Without one or two letters, or without a nationality mark, some of which begin with a digit.
fn without_prefix(identification: &str) -> Vec<(String, String)> {
    let letters = if identification.starts_with(|c: char| c.is_ascii_alphabetic()) { 2 } else { 0 };
    let nationality =
        nationality_of_mark(identification).map(|(_, mark)| mark.len()).filter(|length| *length > letters);
    (1..=letters)
        .chain(nationality)
        .filter(|length| identification.len() > length + 1)
        .map(|length| (identification[length..].to_owned(), format!("{} was left off", &identification[..length])))
        .collect()
}

fn look_alikes(identification: &str) -> Vec<(String, String)> {
    const ALIKE: [(char, char); 6] = [('B', '8'), ('G', '6'), ('I', '1'), ('O', '0'), ('S', '5'), ('Z', '2')];
    let other = |c: char| ALIKE.iter().find_map(|(a, b)| if c == *a { Some(*b) } else { (c == *b).then_some(*a) });
    let symbols: Vec<char> = identification.chars().collect();
    let places: Vec<usize> = (0..symbols.len()).filter(|at| other(symbols[*at]).is_some()).collect();
    (1..1usize << places.len())
        .map(|chosen| {
            let mut wrong = symbols.clone();
            let mut detail = Vec::new();
            for (_, at) in places.iter().enumerate().filter(|(place, _)| chosen >> place & 1 == 1) {
                if let Some(alike) = other(symbols[*at]) {
                    wrong[*at] = alike;
                    detail.push(format!("{alike} for {} at place {}", symbols[*at], at + 1));
                }
            }
            (wrong.into_iter().collect(), detail.join(", "))
        })
        .collect()
}
