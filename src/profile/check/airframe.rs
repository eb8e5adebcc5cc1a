//! Checks of category, size, speed, and where the antenna stands.

use super::{Check, Found, error, note, warning};
use crate::code::{Bits, LengthWidth, Version};
use crate::profile::category::{beside_limit, is_close};
use crate::profile::{
    AircraftKind, FromCentreLine, FromNose, Length, Profile, Quantity, RuleSet, SettingId, Weight, category_of,
    kind_of_aircraft,
};

const LENGTH: SettingId = SettingId::Length;
const WIDTH: SettingId = SettingId::Width;
const CATEGORY: SettingId = SettingId::EmitterCategory;
const SPEED: SettingId = SettingId::MaximumCruiseTrueAirspeed;
const NOSE: SettingId = SettingId::AntennaFromNose;
const CENTRE_LINE: SettingId = SettingId::AntennaFromCentreLine;

/// What most aircraft of a category measure. A doubt begins outside of it, and no more than a doubt.
struct Usual {
    category: &'static str,
    length_m: (f64, f64),
    width_m: (f64, f64),
    cruise_kt: (f64, f64),
    /// The greatest length for its width.
    slender: f64,
}

/// Tool defaults: common practice, no source.
const USUAL: &[Usual] = &[
    Usual { category: "A1", length_m: (4.0, 20.0), width_m: (4.0, 26.0), cruise_kt: (20.0, 450.0), slender: 1.15 },
    Usual { category: "A2", length_m: (8.0, 36.0), width_m: (8.0, 38.0), cruise_kt: (80.0, 650.0), slender: 1.9 },
    Usual { category: "A3", length_m: (18.0, 65.0), width_m: (18.0, 65.0), cruise_kt: (150.0, 700.0), slender: 1.9 },
    Usual { category: "A4", length_m: (35.0, 65.0), width_m: (30.0, 65.0), cruise_kt: (250.0, 700.0), slender: 1.9 },
    Usual { category: "A5", length_m: (30.0, 90.0), width_m: (28.0, 100.0), cruise_kt: (250.0, 700.0), slender: 1.9 },
    Usual { category: "A6", length_m: (8.0, 30.0), width_m: (5.0, 25.0), cruise_kt: (400.0, 1600.0), slender: 3.0 },
    Usual { category: "A7", length_m: (3.0, 42.0), width_m: (1.0, 42.0), cruise_kt: (20.0, 220.0), slender: 20.0 },
    Usual { category: "B1", length_m: (4.0, 16.0), width_m: (8.0, 36.0), cruise_kt: (20.0, 200.0), slender: 0.9 },
    Usual { category: "B4", length_m: (1.0, 12.0), width_m: (3.0, 16.0), cruise_kt: (10.0, 150.0), slender: 1.15 },
];

pub(super) const CHECKS: &[Check] = &[
    Check {
        name: "category_tells",
        about: "the emitter category says something, and a number that is assigned",
        source: "ICAO Doc 9871 draft, page 250; handbook, chapter 2",
        run: |profile, _, found| {
            let Some(category) = profile.emitter_category.get().copied() else { return };
            match category.words(crate::code::Version::Two) {
                "reserved" => found.push(error(
                    CATEGORY,
                    format!("{category} is reserved"),
                    "choose the category of the aircraft's weight, or of its kind where it has one".to_owned(),
                )),
                "no category information" => found.push(warning(
                    CATEGORY,
                    format!("{category} means \"no information\", not \"light\""),
                    "choose A1 below 15 500 lb, A2 to 75 000 lb, A3 to 300 000 lb, A7 for rotorcraft, B1 for gliders"
                        .to_owned(),
                )),
                _ => {}
            }
        },
    },
    Check {
        name: "category_of_aircraft",
        about: "the emitter category is that of the kind of aircraft, else of its maximum take-off weight",
        source: crate::profile::CATEGORY_SOURCE,
        run: |profile, _, found| {
            let derived = category_of(profile.kind.get().copied(), profile.maximum_take_off_weight.get().copied());
            let (Some(category), Some(derived)) = (profile.emitter_category.get(), derived) else { return };
            if *category == derived.category {
                return;
            }
            let weight = profile.maximum_take_off_weight.get().copied();
            let aeroplane = profile.kind.get() == Some(&AircraftKind::Aeroplane);
            let beside = weight.filter(|_| aeroplane).and_then(beside_limit);
            if beside.is_some_and(|both| both.contains(&category.to_string().as_str())) {
                return found.push(note(
                    CATEGORY,
                    format!(
                        "{category} is entered, and the weight is within half a per cent of its limit: {}",
                        derived.why
                    ),
                    "compare with the certified figure: either category may be right".to_owned(),
                ));
            }
            // The same number in the other unit.
            let other = weight.filter(|_| aeroplane).and_then(|weight| {
                let other = weight.with_number_in(if weight.measure().unit == "kg" { "lb" } else { "kg" })?;
                let then = category_of(profile.kind.get().copied(), Some(other))?;
                (then.category == *category).then_some((weight, other))
            });
            let name = |weight: Weight| if weight.measure().unit == "kg" { "kilograms" } else { "pounds" };
            let slip = other.map_or_else(String::new, |(weight, other)| {
                format!("; {} would be {category}: were {} typed as {}?", other.words(), name(other), name(weight))
            });
            found.push(error(
                CATEGORY,
                format!("{category} is entered, but {}{slip}", derived.why),
                format!(
                    "enter {}, or correct kind or weight; is the weight in the unit of its source?",
                    derived.category
                ),
            ));
        },
    },
    Check {
        name: "weight_plausible",
        about: "the maximum take-off weight is one that such an aircraft may have",
        source: "common practice, no source; tool defaults for each kind",
        run: weight_plausible,
    },
    Check {
        name: "size_plausible",
        about: "length and width suit the category and each other, in the unit that they are given in",
        source: "common practice, no source; tool defaults for each category",
        run: size_plausible,
    },
    Check {
        name: "cruise_speed_plausible",
        about: "the maximum cruise true airspeed suits the category",
        source: "common practice, no source; tool defaults for each category; A6 is more than 400 kt (ICAO Doc 9871 draft, page 250)",
        run: |profile, _, found| {
            let Some(speed) = profile.maximum_cruise_true_airspeed.get() else { return };
            let knots = speed.in_knots();
            if knots == 0.0 {
                found.push(error(
                    SPEED,
                    "0 is not a valid airspeed".to_owned(),
                    "take the cruise true airspeed from the flight manual, or leave the setting out".to_owned(),
                ));
            } else if let Some(usual) = usual(profile)
                && !(usual.cruise_kt.0..=usual.cruise_kt.1).contains(&knots)
            {
                found.push(warning(
                    SPEED,
                    format!(
                        "{} is outside the {} to {} kt of most aircraft of category {}",
                        speed.words(),
                        usual.cruise_kt.0,
                        usual.cruise_kt.1,
                        usual.category
                    ),
                    "check unit and category; the setting is the cruise true airspeed, not a never-exceed speed"
                        .to_owned(),
                ));
            }
        },
    },
    Check {
        name: "close_to_a_step",
        about: "a measure within half a per cent of a step of its code is named, and never faulted",
        source: "the tables of the codes: ICAO Doc 9871 draft, pages 224 and 227; classes of airspeed from memory; half a per cent: a tool default",
        run: close_to_a_step,
    },
    Check {
        name: "antenna_on_the_aircraft",
        about: "the position antenna stands within the aircraft, and was measured from nose and centre line",
        source: "ICAO Doc 9871 draft, page 227: from the nose aft, and from the centre line; what is usual: common practice, no source",
        run: antenna_on_the_aircraft,
    },
];

fn usual(profile: &Profile) -> Option<&'static Usual> {
    let category = profile.emitter_category.get()?.to_string();
    USUAL.iter().find(|usual| usual.category == category)
}

/// Units of a length that get confused, each with the ones that may have been meant, the likeliest first.
const CONFUSED: [(&str, &[&str]); 5] = [
    ("m", &["ft", "cm", "in", "mm"]),
    ("ft", &["m", "in", "cm"]),
    ("in", &["ft", "cm", "m"]),
    ("cm", &["mm", "in", "m", "ft"]),
    ("mm", &["cm", "in", "m", "ft"]),
];

/// The same number with the unit that may have been meant, where it then lies within bounds.
fn in_other_unit(length: Length, (least, most): (f64, f64)) -> Option<Length> {
    let (_, meant) = CONFUSED.iter().find(|(unit, _)| *unit == length.measure().unit)?;
    meant
        .iter()
        .filter_map(|unit| length.with_number_in(unit))
        .find(|other| (least..=most).contains(&other.in_metres()))
}

/// What to do about a length that fits in another unit only.
fn other_unit(length: Length, bounds: (f64, f64)) -> Option<(String, String)> {
    let other = in_other_unit(length, bounds)?;
    let (given, meant) = (length.measure().unit, other.measure().unit);
    let names = |unit| match unit {
        "ft" => "feet",
        "m" => "metres",
        "in" => "inches",
        "cm" => "centimetres",
        "mm" => "millimetres",
        other => other,
    };
    Some((
        format!("; {} would fit: were {} typed as {}?", other.words(), names(meant), names(given)),
        format!("write \"{}\" if so", other.measure().as_measured()),
    ))
}

fn weight_plausible(profile: &Profile, _: &RuleSet, found: &mut Vec<Found>) {
    const WEIGHT: SettingId = SettingId::MaximumTakeOffWeight;
    let Some(weight) = profile.maximum_take_off_weight.get() else { return };
    let pounds = weight.in_pounds();
    // Tool defaults: common practice, no source.
    let kind = kind_of_aircraft(profile);
    let least = match kind {
        Some(AircraftKind::Aeroplane | AircraftKind::Rotorcraft | AircraftKind::Space) => 200.0,
        Some(AircraftKind::HighVortex) => 75_000.0,
        Some(AircraftKind::HighPerformance) => 1500.0,
        Some(AircraftKind::Glider) => 150.0,
        Some(AircraftKind::LighterThanAir | AircraftKind::Parachutist | AircraftKind::Ultralight) | None => 50.0,
        Some(AircraftKind::Unmanned) => 0.25,
    };
    let from = "take the certified maximum from the type certificate data, and check unit and digits".to_owned();
    if pounds == 0.0 {
        found.push(error(WEIGHT, "0 is not a valid weight".to_owned(), from));
    } else if pounds < least {
        let kind = kind.map_or_else(|| "any".to_owned(), |kind| kind.words());
        let thousands = weight.measure().number * 1000.0;
        let unit = weight.measure().unit;
        let fits = (least..1_500_000.0).contains(&(pounds * 1000.0));
        let meant = if unit == "kg" { "tonnes" } else { "thousands of pounds" };
        let slip =
            if fits { format!("; {thousands} {unit} would fit: were {meant} typed as {unit}?") } else { String::new() };
        found.push(warning(
            WEIGHT,
            format!("{} is very light for this kind of aircraft ({kind}){slip}", weight.words()),
            from,
        ));
    } else if pounds > 1_500_000.0 {
        found.push(warning(WEIGHT, format!("{} is heavier than any aircraft", weight.words()), from));
    }
}

fn size_plausible(profile: &Profile, _: &RuleSet, found: &mut Vec<Found>) {
    let (length, width) = (profile.length.get().copied(), profile.width.get().copied());
    let usual = usual(profile);
    let before = found.len();
    if let (Some(length), Some(width), Some(usual)) = (length, width, usual) {
        let fits = |length: Length, width: Length| {
            within(length, usual.length_m)
                && within(width, usual.width_m)
                && length.in_metres() <= usual.slender * width.in_metres()
        };
        // One changed place explains both.
        if !fits(length, width) && fits(width, length) {
            found.push(warning(
                LENGTH,
                format!(
                    "{} long and {} wide does not look like category {}; the other way round it does",
                    length.words(),
                    width.words(),
                    usual.category
                ),
                format!(
                    "length and width look swapped: write length \"{}\" and width \"{}\" if so",
                    width.measure().as_measured(),
                    length.measure().as_measured()
                ),
            ));
            return;
        }
    }
    for (pointer, measured) in [(LENGTH, length), (WIDTH, width)] {
        let Some(measured) = measured else { continue };
        if measured.in_metres() == 0.0 {
            found.push(error(pointer, "0 is not a valid size".to_owned(), "measure the aircraft".to_owned()));
            continue;
        }
        let bounds = match (usual, pointer) {
            (Some(usual), LENGTH) => usual.length_m,
            (Some(usual), _) => usual.width_m,
            (None, _) => (1.0, 100.0),
        };
        if !within(measured, bounds) {
            let which = usual.map_or_else(
                || "most aircraft".to_owned(),
                |usual| format!("most aircraft of category {}", usual.category),
            );
            let (slip, correction) = other_unit(measured, bounds)
                .unwrap_or_else(|| (String::new(), "measure again; check unit and category".to_owned()));
            found.push(warning(
                pointer,
                format!("{} is outside the {} to {} m of {which}{slip}", measured.words(), bounds.0, bounds.1),
                correction,
            ));
        }
    }
    if let (Some(length), Some(width), Some(usual)) = (length, width, usual)
        && found.len() == before
        && length.in_metres() > usual.slender * width.in_metres()
    {
        let slips = [(LENGTH, length, usual.length_m), (WIDTH, width, usual.width_m)]
            .into_iter()
            .filter_map(|(pointer, measured, bounds)| Some((pointer, other_unit(measured, bounds)?)));
        let (pointer, (slip, correction)) = slips.into_iter().next().unwrap_or((
            LENGTH,
            (String::new(), "measure both again; width is the whole span, and length is over all".to_owned()),
        ));
        found.push(warning(
            pointer,
            format!(
                "{} long is slender for {} wide in category {}{slip}",
                length.words(),
                width.words(),
                usual.category
            ),
            correction,
        ));
    }
}

/// Steps at which a length or a width alone changes the size code, in metres.
const LENGTH_STEPS_M: [f64; 8] = [15.0, 25.0, 35.0, 45.0, 55.0, 65.0, 75.0, 85.0];
/// Classes of airspeed, in knots.
const SPEED_STEPS_KT: [f64; 5] = [75.0, 150.0, 300.0, 600.0, 1200.0];

fn close_to_a_step(profile: &Profile, _: &RuleSet, found: &mut Vec<Found>) {
    let mut say = |setting, stated: String, step: Option<(f64, &str)>| {
        if let Some((step, unit)) = step {
            found.push(note(
                setting,
                format!("{stated} is within half a per cent of a step at {step} {unit}: on its other side the code is another"),
                "measure or look it up once more, to the last digit".to_owned(),
            ));
        }
    };
    let of = |steps: &[f64], number: f64| steps.iter().copied().find(|step| is_close(number, *step));
    // A width changes the code at the bounds of the codes of its length.
    let widths: Vec<f64> = (1..16)
        .filter_map(|code| LengthWidth::from_bits(code).bounds_m(Version::Two))
        .map(|(_, width)| width)
        .collect();
    if let Some(length) = profile.length.get() {
        say(LENGTH, length.words(), of(&LENGTH_STEPS_M, length.in_metres()).map(|step| (step, "m")));
    }
    if let (Some(width), Some(length)) = (profile.width.get(), profile.length.get()) {
        let code = |width: f64| LengthWidth::from_metres(length.in_metres(), width).map(Bits::bits).ok();
        let step = of(&widths, width.in_metres()).filter(|step| code(step * 1.001) != code(*step));
        say(WIDTH, width.words(), step.map(|step| (step, "m")));
    }
    if let Some(speed) = profile.maximum_cruise_true_airspeed.get() {
        say(SPEED, speed.words(), of(&SPEED_STEPS_KT, speed.in_knots()).map(|step| (step, "kt")));
    }
    if let Some(FromNose::Measured(back)) = profile.antenna_from_nose.get() {
        let steps: Vec<f64> = (1..=30).map(|step| f64::from(step) * 2.0).collect();
        say(NOSE, back.words(), of(&steps, back.in_metres()).map(|step| (step, "m")));
    }
    if let Some(across) = profile.antenna_from_centre_line.get() {
        let metres = across.metres().map_or(0.0, f64::abs);
        say(CENTRE_LINE, across.words(), of(&[2.0, 4.0], metres).map(|step| (step, "m")));
    }
}

fn within(length: Length, (least, most): (f64, f64)) -> bool {
    (least..=most).contains(&length.in_metres())
}

fn antenna_on_the_aircraft(profile: &Profile, _: &RuleSet, found: &mut Vec<Found>) {
    if let (Some(FromNose::Measured(back)), Some(length)) = (profile.antenna_from_nose.get(), profile.length.get()) {
        let (metres, whole) = (back.in_metres(), length.in_metres());
        if metres > whole {
            let (slip, correction) = other_unit(*back, (0.0, whole))
                .unwrap_or_else(|| (String::new(), "measure from the nose aft, and check both units".to_owned()));
            found.push(error(
                NOSE,
                format!("{metres:.2} m from the nose is behind an aircraft of {whole:.2} m{slip}"),
                correction,
            ));
        } else if metres > 0.85 * whole {
            let (slip, correction) = other_unit(*back, (0.5, 0.85 * whole)).unwrap_or_else(|| {
                (
                    String::new(),
                    "measure from the nose aft, not from the tail; a tail or fin antenna may be there".to_owned(),
                )
            });
            found.push(note(
                NOSE,
                format!("{metres:.2} m from the nose is at the tail of an aircraft of {whole:.2} m{slip}"),
                correction,
            ));
        } else if metres < 0.5 {
            found.push(warning(
                NOSE,
                format!("{metres:.2} m is at the very nose of an aircraft of {whole:.2} m"),
                "measure from the tip of the nose aft, not from the centre of the aircraft or from its datum"
                    .to_owned(),
            ));
        }
    }
    let Some(stated) = profile.antenna_from_centre_line.get().copied() else { return };
    let (FromCentreLine::Left(across) | FromCentreLine::Right(across)) = stated else { return };
    if let Some(width) = profile.width.get() {
        let (metres, half) = (across.in_metres(), width.in_metres() / 2.0);
        let bounds = (0.0, half / 2.0);
        let meant = stated.with_length(|across| in_other_unit(across, bounds));
        let (slip, correction) = match (other_unit(across, bounds), meant) {
            (Some((slip, _)), Some(meant)) => (slip, format!("write \"{}\" if so", meant.as_typed())),
            _ => (String::new(), "measure from the centre line, and check both units".to_owned()),
        };
        if metres > half {
            found.push(error(
                CENTRE_LINE,
                format!("{metres:.2} m from the centre line is beyond the wing tip{slip}"),
                correction,
            ));
        } else if metres > half / 2.0 {
            found.push(warning(
                CENTRE_LINE,
                format!("{metres:.2} m from the centre line is far out on a wing of {half:.2} m{slip}"),
                correction,
            ));
        }
    }
}
