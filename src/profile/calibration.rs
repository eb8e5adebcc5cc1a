//! Judges altitude readings before any wire is blamed: what a calibration error or hysteresis can give needs no fault.

use super::wiring::AltitudeReading;

/// A calibration error changes by at most one foot in this many (own choice: a whole step takes 1000 ft of altitude,
/// where a faulty wire makes neighbouring steps jump).
const GENTLE: i64 = 10;
/// A step of the grey code reaches this far to either side.
const HALF_STEP_FT: i64 = 50;

/// Two readings between which a calibration error would have to change faster than any does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Jump {
    /// The lower one.
    pub below: AltitudeReading,
    /// The higher one.
    pub above: AltitudeReading,
}

/// Two readings that no calibration error gives; `None` if one explains every reading that reports an altitude.
///
/// A reading leaves room for errors of one step, and errors close in altitude are close to each other. Going up and
/// coming down are judged apart, since hysteresis lies between them.
pub(super) fn jump(readings: &[AltitudeReading]) -> Option<Jump> {
    let (mut up, mut down): (Vec<AltitudeReading>, Vec<AltitudeReading>) = (Vec::new(), Vec::new());
    let mut rising = readings.windows(2).find(|two| two[0].set_ft != two[1].set_ft).is_none_or(goes_up);
    for (at, reading) in readings.iter().enumerate() {
        if at > 0 && readings[at - 1].set_ft != reading.set_ft {
            rising = goes_up(&readings[at - 1..=at]);
        }
        if rising { &mut up } else { &mut down }.push(*reading);
    }
    [up, down].into_iter().find_map(one_way)
}

fn goes_up(two: &[AltitudeReading]) -> bool {
    two[0].set_ft < two[1].set_ft
}

/// A bound of the error, in a common measure, and the reading that sets it.
type Bound = Option<(i64, AltitudeReading)>;

/// One pass: the tightest bounds that the readings below set to the error, each loosened with the altitude between.
fn one_way(mut readings: Vec<AltitudeReading>) -> Option<Jump> {
    readings.sort_by_key(|reading| reading.set_ft);
    let (mut least, mut most): (Bound, Bound) = (None, None);
    for above in readings {
        let Some(error) = above.difference_ft().map(i64::from) else { continue };
        let feet = i64::from(above.set_ft);
        let (low, high) = (GENTLE * (error - HALF_STEP_FT), GENTLE * (error + HALF_STEP_FT));
        for (breaks, below) in [
            most.map(|(bound, below)| (low - feet > bound, below)),
            least.map(|(bound, below)| (high + feet < bound, below)),
        ]
        .into_iter()
        .flatten()
        {
            if breaks {
                return Some(Jump { below, above });
            }
        }
        if most.is_none_or(|(bound, _)| high - feet < bound) {
            most = Some((high - feet, above));
        }
        if least.is_none_or(|(bound, _)| low + feet > bound) {
            least = Some((low + feet, above));
        }
    }
    None
}

/// Where readings are off.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Spread {
    /// Every reading.
    Throughout,
    /// Every reading from the lowest of them up.
    FromThereUp,
    /// Every reading up to the highest of them.
    UpToThere,
    /// Some readings among others.
    Among,
}

/// The readings that are too high, or those that are too low.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Offset {
    /// Too high, not too low.
    pub high: bool,
    /// The smallest error, in feet, without its sign.
    pub least_ft: i32,
    /// The largest error.
    pub most_ft: i32,
    /// How many readings.
    pub readings: usize,
    /// The lowest altitude that is read so.
    pub lowest_ft: i32,
    /// The highest.
    pub highest_ft: i32,
    /// Where.
    pub spread: Spread,
}

/// How readings are off, the low ones first.
pub fn offsets(readings: &[AltitudeReading]) -> Vec<Offset> {
    // In whole steps where there are steps: 4040 ft is read as 4000 ft by a perfect encoder.
    let steps = finer(readings).is_none();
    let error = |reading: &AltitudeReading| match (reading.reported_ft, reading.nearest_step_ft()) {
        (Some(reported), Some(step)) if steps => reported - step,
        _ => reading.difference_ft().unwrap_or(0),
    };
    let mut offsets = Vec::new();
    for high in [false, true] {
        let off = |reading: &AltitudeReading| if high { error(reading) > 0 } else { error(reading) < 0 };
        let such = || readings.iter().filter(|reading| off(reading));
        let altitudes = || such().map(|reading| reading.set_ft);
        let (Some(lowest_ft), Some(highest_ft)) = (altitudes().min(), altitudes().max()) else { continue };
        let every = |within: &dyn Fn(i32) -> bool| readings.iter().all(|one| off(one) || !within(one.set_ft));
        let spread = if such().count() == readings.len() {
            Spread::Throughout
        } else if every(&|feet| feet >= lowest_ft) {
            Spread::FromThereUp
        } else if every(&|feet| feet <= highest_ft) {
            Spread::UpToThere
        } else {
            Spread::Among
        };
        let errors = || such().map(|reading| error(reading).abs());
        let (least_ft, most_ft) = (errors().min().unwrap_or(0), errors().max().unwrap_or(0));
        offsets.push(Offset { high, least_ft, most_ft, readings: such().count(), lowest_ft, highest_ft, spread });
    }
    offsets
}

/// The lowest altitude that was read more than once with different results: no wire does that.
pub fn differs_with_itself(readings: &[AltitudeReading]) -> Option<i32> {
    let mut sorted: Vec<(i32, Option<i32>)> =
        readings.iter().map(|reading| (reading.set_ft, reading.reported_ft)).collect();
    sorted.sort_unstable();
    sorted.windows(2).find(|two| two[0].0 == two[1].0 && two[0].1 != two[1].1).map(|two| two[0].0)
}

/// The first reading that reports no whole hundred of feet, which no grey code can.
pub fn finer(readings: &[AltitudeReading]) -> Option<AltitudeReading> {
    readings.iter().copied().find(|reading| reading.reported_ft.is_some_and(|feet| feet % 100 != 0))
}
