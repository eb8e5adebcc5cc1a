//! Judges pressure altitudes by their codes: wires of the grey code, the step of the source, and geometric height
//! beside it.

use super::limits::ENOUGH_FRAMES;
use super::{Alternative, Finding, Judge};
use crate::code::{Altitude12, Bits, GREY_CODE_BOTTOM_FT, Wires};
use crate::compare::observe::{Altitudes, Evidence};
use crate::profile::Severity;
use crate::profile::mistake::{ALTITUDE_RESOLUTION, ALTITUDE_WIRE, GEOMETRIC_DIFFERENCE};
use crate::profile::wiring::Fault;
use std::collections::BTreeMap;

/// The highest altitude that wires are tried at (own choice: above it only jets fly, whose source does not use grey code).
const TOP_FT: i32 = 62_000;
/// This many different altitudes show the step (own arithmetic: a quarter to the power of it is the chance of an accident).
const ENOUGH_STEPS: usize = 12;
/// A difference that stays while the altitude changes by this much is looked at (tool default).
const CLIMB_FT: i32 = 5000;
/// Geoid heights lie between these (EASA AMC1 ACNS.D.ADSB.085: -85 to +106 m).
const GEOID_FT: std::ops::RangeInclusive<i32> = -279..=348;
/// This many velocities make a difference that is missing a finding (tool default).
const ENOUGH_VELOCITIES: u64 = 100;

/// What the altitude codes say.
pub fn findings(judge: &Judge<'_>) -> Vec<Finding> {
    wires(judge).into_iter().chain(step(judge)).chain(geometric(judge)).collect()
}

/// Which fault of the wires sends exactly such codes, and makes a climb of the jumps.
fn wires(judge: &Judge<'_>) -> Option<Finding> {
    let seen = &judge.tally.altitudes;
    let illegal = seen.grey.iter().filter(|(code, _)| Altitude12::from_bits(**code).feet().is_none());
    let illegal: Vec<Evidence> = illegal.map(|(_, evidence)| *evidence).collect();
    if illegal.is_empty() && seen.jumps.len() + seen.moves.len() < 2 {
        return None;
    }
    let mut fits: Vec<(usize, Fault)> =
        Fault::singles().chain(Fault::pairs()).map(|fault| (explained(seen, fault), fault)).collect();
    let right = explained(seen, Fault::None);
    // Stable: a single wire stays before two.
    fits.sort_by_key(|(explained, _)| std::cmp::Reverse(*explained));
    let best = fits.first().map_or(0, |(explained, _)| *explained);
    let equal: Vec<Fault> = fits.iter().filter(|(explained, _)| *explained == best).map(|(_, fault)| *fault).collect();
    let all = seen.grey.len() + seen.jumps.len() + seen.moves.len();
    // What no fault of a wire makes better is told as motion, not as a wire.
    if illegal.is_empty() && (best <= right || best * 10 < all * 9) {
        return None;
    }
    let frames: u64 = illegal.iter().map(|evidence| evidence.frames).sum();
    let mut what = Vec::new();
    if frames > 0 {
        what.push(format!("altitude codes that mean no altitude, in {frames} frames"));
    }
    if !seen.jumps.is_empty() {
        what.push(format!("{} kinds of jumps that no climb explains", seen.jumps.len()));
    }
    if !seen.moves.is_empty() {
        what.push(format!("{} kinds of readings that do not fit the vertical rate", seen.moves.len()));
    }
    let evidence = illegal.into_iter().chain(seen.jumps.values().copied()).chain(seen.moves.values().copied());
    let severity = if frames >= ENOUGH_FRAMES { Severity::Error } else { Severity::Warning };
    let finding = judge.finding(severity, &ALTITUDE_WIRE, what.join("; "), evidence);
    let mut finding = finding.refuting(ALTITUDE_WIRE.settings);
    if let Some(first) = equal.first().filter(|_| best > right) {
        finding.likely_cause = format!(
            "{}: {first} explains {best} of {all} codes and climbs ({right} without a fault)",
            ALTITUDE_WIRE.what
        );
        finding.alternatives = equal[1..]
            .iter()
            .take(4)
            .map(|fault| Alternative { cause: ALTITUDE_WIRE.cause, detail: fault.to_string(), indistinguishable: true })
            .collect();
    }
    Some(finding)
}

/// How many of the codes a fault can send, and of the jumps that it makes of a steady climb.
fn explained(seen: &Altitudes, fault: Fault) -> usize {
    let mut from: BTreeMap<u64, Vec<i32>> = BTreeMap::new();
    for feet in (GREY_CODE_BOTTOM_FT..=TOP_FT).step_by(100) {
        if let Ok(wires) = Wires::from_feet(f64::from(feet)) {
            from.entry(fault.seen(wires).squitter().bits()).or_default().push(feet);
        }
    }
    let codes = seen.grey.keys().filter(|code| from.contains_key(code)).count();
    let near = |(a, b): &&(u64, u64)| {
        let (Some(a), Some(b)) = (from.get(a), from.get(b)) else { return false };
        a.iter().any(|a| b.iter().any(|b| (a - b).abs() <= 300))
    };
    let climbs = |(a, b, hundreds): &&(u64, u64, i32)| {
        let (Some(a), Some(b)) = (from.get(a), from.get(b)) else { return false };
        a.iter().any(|a| b.iter().any(|b| (b - a - hundreds * 100).abs() <= 250 + hundreds.abs() * 20))
    };
    codes + seen.jumps.keys().filter(near).count() + seen.moves.keys().filter(climbs).count()
}

/// A source of 100-ft steps that is announced as one of 25 ft.
fn step(judge: &Judge<'_>) -> Option<Finding> {
    let seen = &judge.tally.altitudes;
    let whole = seen.quarters.iter().all(|feet| feet % 100 == 0);
    if !whole || seen.quarters.len() < ENOUGH_STEPS {
        return None;
    }
    let what = format!(
        "the 25-ft code, but all {} altitudes in it are whole hundreds: a source of 100-ft steps, announced as one of \
         25 ft",
        seen.quarters.len()
    );
    Some(judge.finding(Severity::Warning, &ALTITUDE_RESOLUTION, what, seen.quarter))
}

/// Geometric minus pressure altitude: absent, or the same at every altitude.
fn geometric(judge: &Judge<'_>) -> Option<Finding> {
    let seen = &judge.tally.altitudes;
    let said: u64 = seen.differences.values().sum();
    let what = if said == 0 && seen.without_difference >= ENOUGH_VELOCITIES {
        format!(
            "none of {} velocities gives the difference of geometric height and pressure altitude",
            seen.without_difference
        )
    } else {
        let (low, high) = seen.range_ft?;
        let (least, most) = (*seen.differences.keys().next()?, *seen.differences.keys().last()?);
        if said < ENOUGH_VELOCITIES || high - low < CLIMB_FT || most - least > 50 {
            return None;
        }
        let geoid = if GEOID_FT.contains(&least) && GEOID_FT.contains(&most) {
            "; it lies in the range of geoid heights, as where height above sea level is taken for height above the \
             ellipsoid, but the air of the day can make it too"
        } else {
            "; a value that is stuck, or the air of the day"
        };
        format!(
            "geometric minus pressure altitude stays at {least} to {most} ft in {said} velocities from {low} to {high} \
             ft of altitude{geoid}"
        )
    };
    Some(judge.finding(Severity::Note, &GEOMETRIC_DIFFERENCE, what, seen.velocity))
}
