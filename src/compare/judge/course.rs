//! Turns what was gathered over the capture into the numbers of a report.

use super::quality::Measured;
use crate::code::{Altitude12, Bits, Wire, Wires};
use crate::compare::install::Expected;
use crate::compare::observe::{self, Ones, Run, Watched};
use crate::compare::report::{
    AirGround, Altitudes, Below, Course, Gaps, Intervals, Motion, OverTime, Point, Quality, Stretch, Transition,
    WireOverTime,
};
use crate::onair::{SquitterKind, Stream, When, longest_interval_s};
use crate::track::state;

impl From<&Run> for Stretch {
    fn from(run: &Run) -> Self {
        Self {
            frames: run.total,
            bad: run.bad,
            per_cent: run.per_cent(),
            longest_frames: run.longest.frames,
            longest_seconds: run.longest.seconds(),
            from: run.longest.span.map(|(from, _)| from),
        }
    }
}

impl From<&observe::Series> for Course {
    fn from(series: &observe::Series) -> Self {
        let bin = |(at, extent): &(i64, observe::Extent)| {
            (*at as f64 * series.width_s, extent.least, extent.most, extent.frames)
        };
        Self { width_s: series.width_s, bins: series.bins.iter().map(bin).collect() }
    }
}

const fn when(state: state::AirGround) -> When {
    match state {
        state::AirGround::Airborne => When::Airborne,
        state::AirGround::OnGround => When::OnGround,
    }
}

pub fn quality(measured: &Measured) -> Quality {
    let below = |bound: Option<u8>, watched: &Watched| {
        bound.map(|bound| Below {
            stretch: (&watched.run).into(),
            bound,
            clause: None,
            confirmed: None,
            first_line: watched.first.map(|first| first.line),
        })
    };
    let floor = below(measured.bounds.floor, &measured.seen.floor).map(|below| Below {
        clause: measured.required_by.as_ref().map(|(clause, _)| clause.clone()),
        confirmed: measured.required_by.as_ref().map(|(_, confirmed)| confirmed.to_string()),
        ..below
    });
    Quality {
        measure: measured.measure.name(),
        setting: measured.measure.setting(),
        values: measured.seen.seen.iter().map(|(value, seen)| (*value, seen.frames)).collect(),
        below_stated: below(measured.bounds.wanted, &measured.seen.wanted),
        below_floor: floor,
        course: (&measured.seen.course).into(),
    }
}

pub fn air_ground(seen: &observe::AirGroundConsistency) -> AirGround {
    let transition = |change: &observe::Transition| Transition {
        to: when(change.to),
        by: change.by,
        time: change.evidence.time,
        line: change.evidence.line,
        frame: change.evidence.frame,
    };
    AirGround {
        airborne_messages: seen.airborne,
        surface_messages: seen.on_ground,
        timeline: seen.first.iter().chain(&seen.transitions).map(transition).collect(),
        contradictory: (&seen.contradictory).into(),
        slow_airborne: (&seen.slow_in_the_air).into(),
        fast_on_ground: (&seen.fast_on_surface).into(),
    }
}

pub fn intervals(expected: &[Expected], seen: &observe::Intervals) -> Vec<Intervals> {
    let longest = |kind: SquitterKind| {
        let emissions = expected.iter().map(|expected| &expected.emission);
        let of_kind = emissions.filter(|emission| {
            Stream::of(emission) == Some(kind.stream) && (emission.when == kind.when || emission.when == When::Both)
        });
        of_kind.into_iter().find_map(longest_interval_s)
    };
    seen.kinds()
        .filter(|(_, gaps)| gaps.frames > 0)
        .map(|(kind, gaps)| Intervals {
            message: kind.message(),
            when: kind.when,
            frames: gaps.frames,
            copies: gaps.copies,
            silences: gaps.silences,
            covered_s: gaps.covered_s(),
            longest_s: longest(kind),
            gaps: Gaps(gaps.by_length().collect()),
            over_time: over_time(kind, seen),
        })
        .collect()
}

fn over_time(kind: SquitterKind, seen: &observe::Intervals) -> OverTime {
    let course = &seen.course;
    let Some(place) = SquitterKind::ALL.iter().position(|known| *known == kind) else { return OverTime::default() };
    let counts = course.bins.iter().map(|(at, counts)| (*at as f64 * course.width_s, counts[place]));
    OverTime { width_s: course.width_s, bins: counts.filter(|(_, count)| *count > 0).collect() }
}

/// Each wire with the stretches in which it was grounded, those that follow one another joined.
fn wires(course: &observe::Series<Ones>) -> Vec<WireOverTime> {
    let stretches = |is: &dyn Fn(&Ones) -> bool| {
        let mut joined: Vec<(f64, f64)> = Vec::new();
        for (at, _) in course.bins.iter().filter(|(_, ones)| is(ones)) {
            let (from, to) = (*at as f64 * course.width_s, (at + 1) as f64 * course.width_s);
            match joined.last_mut() {
                Some((_, end)) if *end >= from => *end = to,
                _ => joined.push((from, to)),
            }
        }
        joined
    };
    let of = |wire: Wire| {
        let is_one =
            |bits: u16| Wires::from_squitter(Altitude12::from_bits(bits.into())).is_some_and(|wires| wires.has(wire));
        WireOverTime {
            wire: wire.name(),
            grounded: stretches(&|ones| is_one(ones.always)),
            both: stretches(&|ones| is_one(ones.ever) && !is_one(ones.always)),
        }
    };
    if course.bins.is_empty() { Vec::new() } else { Wire::ALL.into_iter().map(of).collect() }
}

pub fn motion(seen: &observe::Motion) -> Vec<Motion> {
    let comparisons = seen.comparisons().into_iter().filter(|(.., difference)| difference.run.total > 0);
    comparisons
        .map(|(comparison, unit, difference)| Motion {
            comparison,
            unit,
            beyond_noise: (&difference.run).into(),
            largest: difference.largest,
            noise: difference.noise,
        })
        .collect()
}

pub fn path(seen: &observe::GroundTrack) -> Vec<Point> {
    let point = |point: &observe::TrackPoint| Point {
        time: point.time,
        latitude_deg: point.position.latitude_deg,
        longitude_deg: point.position.longitude_deg,
        when: if point.on_ground { When::OnGround } else { When::Airborne },
    };
    seen.points().map(point).collect()
}

pub fn altitudes(seen: &observe::Altitudes) -> Altitudes {
    Altitudes {
        pressure_altitude_ft: seen.range_ft,
        course: (&seen.course).into(),
        wires: wires(&seen.wires),
        grey_codes: seen.grey.len(),
        quarter_codes: seen.quarters.len(),
        geometric_minus_pressure_ft: seen.differences.clone(),
    }
}
