//! The emitter category that follows from the kind of aircraft and its maximum take-off weight.

use super::{AircraftKind, Quantity, Weight};
use crate::code::EmitterCategory;

/// Where the limits of weight are from.
pub const CATEGORY_SOURCE: &str = "ICAO Doc 9871 draft, page 250 (pounds); handbook, ADS-B part, chapter 2 (kilograms)";

/// Upper limits in pounds and their category. A weight exactly on the limit belongs to the lighter one, but for the
/// first, which the page prints as "less than".
const LIMITS_LB: [(f64, &str); 3] = [(15_500.0, "A1"), (75_000.0, "A2"), (300_000.0, "A3")];

/// The kind of aircraft that a category says; of aeroplanes, the ordinary one.
pub fn kind_of(category: EmitterCategory) -> Option<AircraftKind> {
    Some(match category.to_string().as_str() {
        "A1" | "A2" | "A3" | "A5" => AircraftKind::Aeroplane,
        "A4" => AircraftKind::HighVortex,
        "A6" => AircraftKind::HighPerformance,
        "A7" => AircraftKind::Rotorcraft,
        "B1" => AircraftKind::Glider,
        "B2" => AircraftKind::LighterThanAir,
        "B3" => AircraftKind::Parachutist,
        "B4" => AircraftKind::Ultralight,
        "B6" => AircraftKind::Unmanned,
        "B7" => AircraftKind::Space,
        _ => return None,
    })
}

/// A category and what led to it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DerivedCategory {
    /// The category.
    pub category: EmitterCategory,
    /// Why, in a sentence.
    pub why: String,
}

/// Whether a number is so close to a limit that rounding, or a look at another paper, may put it on the other side.
pub(super) fn is_close(number: f64, limit: f64) -> bool {
    (number - limit).abs() <= limit * CLOSE
}

/// Half a per cent: a tool default.
const CLOSE: f64 = 0.005;

/// The categories on both sides of the limit that a weight is close to.
pub(super) fn beside_limit(weight: Weight) -> Option<[&'static str; 2]> {
    let names = LIMITS_LB.iter().map(|(_, name)| *name).chain(["A5"]);
    let names: Vec<&str> = names.collect();
    let at = LIMITS_LB.iter().position(|(limit, _)| is_close(weight.in_pounds(), *limit))?;
    Some([names[at], names[at + 1]])
}

/// The emitter category of an aircraft. Its kind beats its weight; only aeroplanes go by weight.
///
/// `None` if the weight is needed and not known, or the kind is not known.
///
/// ```
/// use squitterlab::profile::{AircraftKind, Weight, category_of};
/// let weight = |text: &str| Weight::typed(text).ok();
/// let light = category_of(Some(AircraftKind::Aeroplane), weight("2550lb")).unwrap();
/// assert_eq!(light.category.to_string(), "A1");
/// let helicopter = category_of(Some(AircraftKind::Rotorcraft), weight("20000lb")).unwrap();
/// assert_eq!(helicopter.category.to_string(), "A7");
/// ```
pub fn category_of(kind: Option<AircraftKind>, weight: Option<Weight>) -> Option<DerivedCategory> {
    let kind = kind?;
    let by_kind = match kind {
        AircraftKind::Aeroplane => {
            let weight = weight?;
            let pounds = weight.in_pounds();
            let category = LIMITS_LB
                .into_iter()
                .find(|(limit, name)| pounds < *limit || pounds <= *limit && *name != "A1")
                .map_or("A5", |(_, name)| name);
            let category: EmitterCategory = category.parse().ok()?;
            let words = category.words(crate::code::Version::Two);
            let mut why = format!("an aeroplane of {} is {words}", weight.words());
            if beside_limit(weight).is_some() {
                why += "; it is close to a limit, so look up the certified figure again";
            }
            return Some(DerivedCategory { category, why });
        }
        AircraftKind::HighVortex => "A4",
        AircraftKind::HighPerformance => "A6",
        AircraftKind::Rotorcraft => "A7",
        AircraftKind::Glider => "B1",
        AircraftKind::LighterThanAir => "B2",
        AircraftKind::Parachutist => "B3",
        AircraftKind::Ultralight => "B4",
        AircraftKind::Unmanned => "B6",
        AircraftKind::Space => "B7",
    };
    let why = format!("the category of {} is {by_kind}, whatever the weight", kind.words());
    Some(DerivedCategory { category: by_kind.parse().ok()?, why })
}
