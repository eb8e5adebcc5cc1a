//! Charts of a comparison, each with its numbers in a table beside it.

use super::field::{capital, plain};
use super::wide;
use crate::code::spaced;
use crate::compare::{Below, Course, Intervals, OverTime, Point, Quality, Report, WireOverTime};
use crate::onair::When;
use crate::present::drawing::drawing;
use crate::present::sheet::workings;
use crate::present::text::counted;
use crate::profile::Profile;
use crate::profile::wiring::{AltitudeReading, TOLERANCE_FT};
use maud::{Markup, PreEscaped, html};
use std::fmt::Write;

/// A drawing area: ranges in the units of the data, size in drawing units, with room for labels left and below.
struct Plot {
    x: (f64, f64),
    y: (f64, f64),
    width: f64,
    height: f64,
}

const LEFT: f64 = 56.0;
const BELOW: f64 = 22.0;
const EDGE: f64 = 12.0;

/// To a tenth of a drawing unit, which no eye sees.
fn tenth(number: f64) -> f64 {
    (number * 10.0).round() / 10.0
}

/// A step of 1, 2 or 5 times a power of ten, so that a range has at most about `most` of them.
fn step(range: f64, most: f64) -> f64 {
    let rough = (range / most).max(1e-9);
    let power = 10f64.powf(rough.log10().floor());
    [1.0, 2.0, 5.0, 10.0].map(|times| times * power).into_iter().find(|step| *step >= rough).unwrap_or(rough)
}

fn ticks((from, to): (f64, f64), most: f64, least_step: f64) -> Vec<f64> {
    let step = step(to - from, most).max(least_step);
    let (first, last) = ((from / step).ceil() as i64, (to / step).floor() as i64);
    (first..=last.min(first + 40)).map(|at| at as f64 * step).collect()
}

fn label(number: f64) -> String {
    if number.fract() == 0.0 { spaced(number as i64) } else { format!("{}", (number * 1000.0).round() / 1000.0) }
}

impl Plot {
    fn px(&self, x: f64) -> f64 {
        tenth(LEFT + (x - self.x.0) / (self.x.1 - self.x.0).max(1e-9) * (self.width - LEFT - EDGE))
    }
    fn py(&self, y: f64) -> f64 {
        tenth(self.height - BELOW - (y - self.y.0) / (self.y.1 - self.y.0).max(1e-9) * (self.height - BELOW - EDGE))
    }
    /// The chart: grid and labels, then what is drawn on it.
    fn draw(&self, title: &str, unit: &str, most: (f64, f64), inside: &Markup) -> Markup {
        html! {
            figure { figcaption { (title) }
            svg.chart viewBox=(format!("0 0 {} {}", self.width, self.height)) role="img" aria-label=(title) xmlns="http://www.w3.org/2000/svg" {
                @for x in ticks(self.x, most.0, 0.0) {
                    line.grid x1=(self.px(x)) x2=(self.px(x)) y1=(EDGE) y2=(self.height - BELOW) {}
                    text.middle x=(self.px(x)) y=(self.height - 7.0) { (label(x)) }
                }
                @for y in ticks(self.y, most.1, 1.0) {
                    line.grid x1=(LEFT) x2=(self.width - EDGE) y1=(self.py(y)) y2=(self.py(y)) {}
                    text.end x=(LEFT - 6.0) y=(self.py(y) + 4.0) { (label(y)) }
                }
                text x="6" y=(self.height - 7.0) { (unit) }
                (inside)
            }
            }
        }
    }
    fn rectangle(&self, class: &str, x: (f64, f64), y: (f64, f64)) -> Markup {
        let (left, top) = (self.px(x.0), self.py(y.1));
        html! { rect class=(class) x=(left) y=(top) width=(tenth((self.px(x.1) - left).max(1.0))) height=(tenth((self.py(y.0) - top).max(2.0))) {} }
    }
}

/// Every chart that the report has numbers for.
pub fn charts(profile: &Profile, report: &Report) -> Markup {
    html! {
        @if report.capture.times.is_none() { p { "The captures have no times, so nothing can be drawn over time." } }
        @else { (over_time(report)) }
        (intervals(report))
        div.side-by-side {
            div { (antenna(profile)) }
            div { (track(report)) (altitudes(report)) }
        }
        (in_numbers(report))
    }
}

fn span(report: &Report) -> (f64, f64) {
    let (from, to) = report.capture.times.unwrap_or((0.0, 1.0));
    (from, to.max(from + 1.0))
}

/// A lane of the figure over time: what it is called, how high it is, and what is drawn in it.
struct Lane<'a> {
    title: String,
    height: f64,
    drawn: Drawn<'a>,
}

impl<'a> Lane<'a> {
    fn new(title: &str, height: f64, drawn: Drawn<'a>) -> Self {
        Self { title: title.to_owned(), height, drawn }
    }
}

enum Drawn<'a> {
    AirOrGround(Vec<(f64, f64, When)>),
    Altitude(&'a Course, (f64, f64)),
    Wire(&'a WireOverTime),
    Quality(&'a Quality, f64),
    /// The frames, the most of a stretch, and how many a stretch has by the standard.
    Frames(&'a Intervals, f64, Option<f64>),
}

impl Drawn<'_> {
    /// The least and the most of its scale.
    fn scale(&self) -> (f64, f64) {
        match self {
            Self::AirOrGround(_) | Self::Wire(_) => (0.0, 1.0),
            Self::Altitude(_, scale) => *scale,
            Self::Quality(_, most) | Self::Frames(_, most, _) => (0.0, *most),
        }
    }

    /// Boxes: from and to in time, and low and high on the scale.
    fn boxes(&self) -> Vec<(f64, f64, f64, f64)> {
        let of_course = |course: &Course| {
            course.bins.iter().map(|(from, low, high, _)| (*from, from + course.width_s, *low, *high)).collect()
        };
        match self {
            Self::AirOrGround(_) => Vec::new(),
            Self::Altitude(course, _) => of_course(course),
            Self::Quality(one, _) => of_course(&one.course),
            Self::Wire(one) => {
                let grounded = one.grounded.iter().map(|(from, to)| (*from, *to, 0.0, 1.0));
                grounded.chain(one.both.iter().map(|(from, to)| (*from, *to, 0.0, 0.45))).collect()
            }
            Self::Frames(one, ..) => {
                let OverTime { width_s, bins } = &one.over_time;
                bins.iter().map(|(from, count)| (*from, from + width_s, 0.0, f64::from(*count))).collect()
            }
        }
    }
}

/// The room for names at the left of a figure, and how wide it is.
const NAMES: f64 = 240.0;
const WIDTH: f64 = 960.0;

/// What is drawn over time, from the aircraft's state down to the frames of each kind.
fn lanes(report: &Report, times: (f64, f64)) -> Vec<Lane<'_>> {
    let mut lanes = Vec::new();
    let changes = &report.air_ground.timeline;
    let ends = changes.iter().skip(1).map(|change| change.time).chain([Some(times.1)]);
    let stretches: Vec<(f64, f64, When)> =
        changes.iter().zip(ends).filter_map(|(change, end)| Some((change.time?, end?, change.to))).collect();
    if !stretches.is_empty() {
        lanes.push(Lane::new("Air or ground", 22.0, Drawn::AirOrGround(stretches)));
    }
    let altitudes = &report.altitudes;
    if let (Some((low, high)), false) = (altitudes.pressure_altitude_ft, altitudes.course.bins.is_empty()) {
        let (low, high) = (f64::from(low), f64::from(high).max(f64::from(low) + 100.0));
        lanes.push(Lane::new("Pressure altitude, ft", 56.0, Drawn::Altitude(&altitudes.course, (low, high))));
    }
    for wire in &altitudes.wires {
        lanes.push(Lane::new(&format!("wire {}", wire.wire), 9.0, Drawn::Wire(wire)));
    }
    for one in report.quality.iter().filter(|one| !one.course.bins.is_empty()) {
        let most = one.values.keys().copied().chain(bounds(one).into_iter().map(|(_, bound)| bound)).max().unwrap_or(1);
        lanes.push(Lane::new(&named(one), 32.0, Drawn::Quality(one, f64::from(most.max(1)))));
    }
    for one in report.intervals.iter().filter(|one| !one.over_time.bins.is_empty()) {
        let most = one.over_time.bins.iter().map(|(_, count)| *count).max().unwrap_or(1);
        let by_standard = window(report, one).map(|(least, most)| one.over_time.width_s / f64::midpoint(least, most));
        let most = f64::from(most).max(by_standard.unwrap_or_default());
        lanes.push(Lane::new(&kind_of(one), 13.0, Drawn::Frames(one, most, by_standard.filter(|count| *count >= 1.0))));
    }
    lanes
}

/// A category with what is stated and required of it.
fn named(one: &Quality) -> String {
    match bounds(one)[..] {
        [(_, stated), (_, required)] if stated == required => format!("{}, stated and required {stated}", one.measure),
        ref bounds => {
            bounds.iter().fold(one.measure.to_owned(), |name, (words, bound)| format!("{name}, {words} {bound}"))
        }
    }
}

/// What the install states and what the rules require of a category.
fn bounds(one: &Quality) -> Vec<(&'static str, u8)> {
    let all = [("stated", &one.below_stated), ("required", &one.below_floor)];
    all.into_iter().filter_map(|(words, below)| Some((words, below.as_ref()?.bound))).collect()
}

/// The shortest and the longest interval of the standard.
fn window(report: &Report, kind: &Intervals) -> Option<(f64, f64)> {
    let element = report.elements.iter().find(|one| (one.message, one.when) == (kind.message, kind.when));
    element.map(|element| element.window_s)
}

/// Everything over time in one figure with one axis.
fn over_time(report: &Report) -> Markup {
    let times = span(report);
    let x = |time: f64| {
        tenth(NAMES + (time.clamp(times.0, times.1) - times.0) / (times.1 - times.0) * (WIDTH - NAMES - EDGE))
    };
    let lanes = lanes(report, times);
    if lanes.is_empty() {
        return html! {};
    }
    let between = |lane: &Lane<'_>| if matches!(lane.drawn, Drawn::Wire(_)) { 3.0 } else { 8.0 };
    let height = EDGE + lanes.iter().map(|lane| lane.height + between(lane)).sum::<f64>() + 34.0;
    let mut top = EDGE;
    let title = "The capture over time";
    html! {
        figure.over-time {
            figcaption { (title) ": air or ground, altitude with its wires, quality, and the frames of each kind" }
            (wide(title, &html! { svg.chart viewBox=(format!("0 0 {WIDTH} {height}")) role="img" aria-label=(title) xmlns="http://www.w3.org/2000/svg" {
                @for time in ticks(times, 8.0, 0.0) {
                    line.grid x1=(x(time)) x2=(x(time)) y1=(EDGE) y2=(height - 30.0) {}
                    text.middle x=(x(time)) y=(height - 16.0) { (label(time)) }
                }
                text.middle x=(f64::midpoint(NAMES, WIDTH)) y=(height - 2.0) { "time in the capture, s" }
                @for lane in &lanes {
                    @let bottom = top + lane.height;
                    @let (least, most) = lane.drawn.scale();
                    @let y = |value: f64| tenth(bottom - (value - least) / (most - least) * lane.height);
                    text.small[lane.height < 10.0] x="4" y=(top + lane.height / 2.0 + 4.0) { (lane.title) }
                    line.grid x1=(NAMES) x2=(WIDTH - EDGE) y1=(bottom) y2=(bottom) {}
                    @match &lane.drawn {
                        Drawn::Altitude(..) | Drawn::Quality(..) => {
                            line.axis x1=(NAMES) x2=(NAMES) y1=(top) y2=(bottom) {}
                            text.end x=(NAMES - 5.0) y=(top + 9.0) { (label(most)) }
                            text.end x=(NAMES - 5.0) y=(bottom) { (label(least)) }
                        }
                        Drawn::Frames(one, ..) => { text.end.small x=(NAMES - 5.0) y=(bottom - 2.0) { (spaced(one.frames as i64)) } }
                        Drawn::AirOrGround(stretches) => { @for (from, to, state) in stretches {
                            rect class=(if *state == When::Airborne { "body" } else { "band" }) x=(x(*from)) y=(top) width=(tenth((x(*to) - x(*from)).max(1.0))) height=(lane.height) {}
                            @if x(*to) - x(*from) > 80.0 { text x=(x(*from) + 5.0) y=(top + 15.0) { (state.words()) } }
                        } }
                        Drawn::Wire(_) => {}
                    }
                    // A value that stays has to be seen too.
                    @let thick = if matches!(lane.drawn, Drawn::Altitude(..) | Drawn::Quality(..)) { 2.0 } else { 0.0 };
                    path.dot d=(outline(lane.drawn.boxes().into_iter().map(|(from, to, low, high)| (x(from), x(to), y(high) - thick, y(low) + thick)))) {}
                    @if let Drawn::Quality(one, _) = lane.drawn { @for (_, bound) in bounds(one) {
                        line.stated x1=(NAMES) x2=(WIDTH - EDGE) y1=(y(f64::from(bound))) y2=(y(f64::from(bound))) {}
                    } }
                    @if let Drawn::Frames(_, _, Some(count)) = lane.drawn { line.stated x1=(NAMES) x2=(WIDTH - EDGE) y1=(y(count)) y2=(y(count)) {} }
                    @let () = { top = bottom + between(lane); };
                }
            } }))
            p.small { "A dashed line is what is stated or required; at the frames, what the standard sends, beside how many came."
                @if !report.altitudes.wires.is_empty() { " A wire is drawn where it was grounded, half as high where it was both grounded and open within one stretch." } }
        }
    }
}

/// Boxes as one outline: a drawing of thousands of elements is slow.
fn outline(boxes: impl Iterator<Item = (f64, f64, f64, f64)>) -> String {
    let mut outline = String::new();
    for (left, right, top, bottom) in boxes {
        let width = tenth((right - left).max(1.0));
        let _ = write!(outline, "M{left} {}h{width}v{}h-{width}z", tenth(top), tenth((bottom - top).max(1.0)));
    }
    outline
}

/// The numbers behind the charts.
fn in_numbers(report: &Report) -> Markup {
    html! {
        (quality(report))
        (intervals_in_numbers(report))
        (air_and_ground(report))
    }
}

fn quality(report: &Report) -> Markup {
    let drawn = &report.quality;
    html! {
        @if !drawn.is_empty() {
            (wide("Quality categories in numbers", &html! {
                table {
                    caption { "Quality categories in numbers" }
                    thead { tr {
                        th scope="col" { "category" } th scope="col" { "install states" } th scope="col" { "minimum required" }
                        th scope="col" { "values seen (frames)" } th scope="col" { "below the install's" } th scope="col" { "longest so" }
                    } }
                    tbody { @for one in drawn {
                        tr {
                            th scope="row" { (one.measure) }
                            td { (bound(one.below_stated.as_ref())) }
                            td { (bound(one.below_floor.as_ref())) }
                            td { @for (value, frames) in &one.values { (value) " (" (frames) ") " } }
                            @match &one.below_stated {
                                Some(Below { stretch, .. }) => {
                                    td { (format!("{:.1} %", stretch.per_cent)) }
                                    td { (stretch.longest_frames) " frames" @if let Some(seconds) = stretch.longest_seconds { ", " (format!("{seconds:.1} s")) } }
                                }
                                None => { td { "\u{2013}" } td { "\u{2013}" } }
                            }
                        }
                    } }
                }
            }))
        }
    }
}

fn bound(below: Option<&Below>) -> String {
    below.map_or_else(|| "\u{2013}".to_owned(), |below| below.bound.to_string())
}

fn kind_of(kind: &Intervals) -> String {
    format!("{}, {}", plain(kind.message), kind.when.words())
}

/// The intervals of every message in one plot, one row per message, as multiples of the longest that the standard gives, since a
/// frame that was not received doubles the interval, two treble it.
fn intervals(report: &Report) -> Markup {
    const ROW: f64 = 30.0;
    const MOST: u32 = 8;
    const RIGHT: f64 = 190.0;
    let kinds: Vec<(&Intervals, f64)> = report
        .intervals
        .iter()
        .filter(|kind| kind.gaps.count() > 0)
        .filter_map(|kind| Some((kind, kind.longest_s.filter(|longest| *longest > 0.0)?)))
        .collect();
    if kinds.is_empty() {
        return html! {};
    }
    let end = f64::from(MOST) + 0.5;
    let x = |times: f64| tenth(NAMES + times.min(end) / end * (WIDTH - NAMES - RIGHT));
    let share =
        |when: When| report.reception.iter().find(|received| received.when == when).map(|received| received.share);
    let height = EDGE + kinds.len() as f64 * ROW + 34.0;
    let title = "Update intervals";
    html! {
        figure.intervals {
            figcaption { (title) ": in multiples of the standard's longest interval" }
            (wide(title, &html! { svg.chart viewBox=(format!("0 0 {WIDTH} {height}")) role="img" aria-label=(title) xmlns="http://www.w3.org/2000/svg" {
                @for times in 0..=MOST {
                    line.grid x1=(x(times.into())) x2=(x(times.into())) y1=(EDGE) y2=(height - 30.0) {}
                    text.middle x=(x(times.into())) y=(height - 16.0) { (times) @if times == MOST { "+" } }
                }
                text.middle x=(f64::midpoint(NAMES, WIDTH - RIGHT)) y=(height - 2.0) { "1: no frame missed; 2: one missed; 3: two missed" }
                @for (at, (kind, longest)) in kinds.iter().enumerate() {
                    @let middle = EDGE + (at as f64 + 0.5) * ROW;
                    @let most = f64::from(kind.gaps.0.iter().map(|(_, count)| *count).max().unwrap_or(1));
                    text x="4" y=(middle + 4.0) { (kind_of(kind)) }
                    @if let Some((least, window)) = window(report, kind) {
                        // Of several frames missed the windows grow into one another.
                        @for times in 1..=MOST {
                            @let missed = f64::from(times);
                            @let (from, to) = ((least * missed / longest).max(if times == 1 { 0.0 } else { window * (missed - 1.0) / longest }), window * missed / longest);
                            rect.window.missed[times > 1] x=(x(from)) y=(middle - 11.0) width=(tenth((x(to) - x(from)).max(2.0))) height="22" {}
                        }
                    }
                    @for (from, count) in &kind.gaps.0 {
                        circle.dot cx=(x((from + 0.05) / longest)) cy=(middle) r=(tenth(2.0 + 7.0 * (f64::from(*count) / most).sqrt())) {}
                    }
                    @let all = kind.gaps.count();
                    @let in_time = all - kind.gaps.from(*longest);
                    text.end x=(WIDTH - 6.0) y=(middle + 4.0) { (in_time) " of " (all) " in time"
                        @if let Some(share) = share(kind.when) { "; about " (format!("{:.0}", all as f64 * share)) " at " (format!("{:.0} %", share * 100.0)) } }
                }
            } }))
            @for received in &report.reception {
                p.small { strong { (capital(received.when.words())) ": about " (format!("{:.0} %", received.share * 100.0)) " of the frames were received" }
                    " (by " (plain(received.by)) ", over " (format!("{:.0} s", received.covered_s)) ")"
                    @if received.share < 0.9 { ". A frame that is missing doubles the interval, two treble it, so that the dots lie on the multiples: that is the reception, not the unit" } "." }
            }
            p.small { "The first band is the standard's window with every frame received, the paler ones after it with one, two and more frames missed; the size of a dot is how many intervals were of that length. On the right: how many were in time, and how many would be with that share received (mean rates: handbook; limits from memory)." }
        }
    }
}

fn intervals_in_numbers(report: &Report) -> Markup {
    let kinds: Vec<&Intervals> = report.intervals.iter().filter(|kind| kind.gaps.count() > 0).collect();
    html! {
        @if !kinds.is_empty() {
            (wide("Update intervals in numbers", &html! {
                table {
                    caption { "Update intervals in numbers" }
                    thead { tr {
                        th scope="col" { "message" } th.number scope="col" { "frames" } th.number scope="col" { "gaps" } th.number scope="col" { "half below" }
                        th.number scope="col" { "95 % below" } th.number scope="col" { "longest of the standard" } th.number scope="col" { "gaps beyond it" } th.number scope="col" { "silences" }
                    } }
                    tbody { @for kind in &kinds {
                        @let gaps = &kind.gaps;
                        tr {
                            th scope="row" { (kind_of(kind)) }
                            td.number { (kind.frames) } td.number { (gaps.count()) }
                            td.number { (format!("{:.1} s", gaps.percentile(50))) } td.number { (format!("{:.1} s", gaps.percentile(95))) }
                            td.number { @match kind.longest_s { Some(limit) => { (limit) " s" } None => { "\u{2013}" } } }
                            td.number { @match kind.longest_s { Some(limit) => { (gaps.from(limit)) } None => { "\u{2013}" } } }
                            td.number { (kind.silences) }
                        }
                    } }
                }
            }))
        }
    }
}

/// At most this many changes between air and ground are listed.
const MOST_CHANGES: usize = 12;

fn air_and_ground(report: &Report) -> Markup {
    let seen = &report.air_ground;
    let changes = &seen.timeline;
    html! {
        @if !changes.is_empty() {
            (wide("Air and ground in numbers", &html! {
                table {
                    caption { "Air and ground in numbers" }
                    thead { tr { th scope="col" { "time" } th scope="col" { "state" } th scope="col" { "first said by" } th scope="col" { "frame" } } }
                    tbody { @for change in changes.iter().take(MOST_CHANGES) {
                        tr {
                            th scope="row" { @match change.time { Some(time) => { (format!("{time:.3} s")) } None => { "no time" } } }
                            td { (change.to.words()) } td { (change.by) } td.frame { (change.frame) }
                        }
                    }
                    @if changes.len() > MOST_CHANGES { tr { td colspan="4" { "and " (changes.len() - MOST_CHANGES) " more changes" } } } }
                }
            }))
            p { (counted(seen.airborne_messages, "airborne message")) " and " (counted(seen.surface_messages, "surface message")) "; envelope and message contradicted each other in " (seen.contradictory.bad) " of " (seen.contradictory.frames) " frames." }
        }
    }
}

fn altitudes(report: &Report) -> Markup {
    let seen = &report.altitudes;
    let all: Vec<(f64, f64)> =
        seen.geometric_minus_pressure_ft.iter().map(|(feet, count)| (f64::from(*feet), *count as f64)).collect();
    let ends = all.first().zip(all.last());
    html! {
        @if seen.pressure_altitude_ft.is_some() || !all.is_empty() {
            h3 { "Altitude" }
            @if let Some((low, high)) = seen.pressure_altitude_ft { p { "Pressure altitude from " (spaced(low.into())) " to " (spaced(high.into())) " ft"
                @for (codes, words) in [(seen.grey_codes, "grey code"), (seen.quarter_codes, "25-ft code")] { @if codes > 0 { "; " (counted(codes, &format!("different {words}"))) } } "." } }
            @if let Some(((least, _), (most, _))) = ends {
                @let plot = Plot { x: (least - 50.0, most + 50.0), y: (0.0, all.iter().map(|(_, count)| *count).fold(1.0, f64::max)), width: 560.0, height: 150.0 };
                (plot.draw("Geometric minus pressure altitude", "ft", (10.0, 3.0), &html! {
                    @for (feet, count) in &all { (plot.rectangle("dot", (feet - 10.0, feet + 10.0), (0.0, *count))) }
                }))
            }
        }
    }
}

/// Metres east and north of a place, near it.
fn local_m(from: &Point, point: &Point) -> (f64, f64) {
    const DEGREE_M: f64 = 60.0 * 1852.0;
    let east = (point.longitude_deg - from.longitude_deg + 540.0).rem_euclid(360.0) - 180.0;
    let north = point.latitude_deg - from.latitude_deg;
    (east * DEGREE_M * from.latitude_deg.to_radians().cos(), north * DEGREE_M)
}

fn track(report: &Report) -> Markup {
    let points = &report.path;
    let Some(first) = points.first() else { return html! {} };
    let placed: Vec<(f64, f64, bool)> = points
        .iter()
        .map(|point| {
            let (east, north) = local_m(first, point);
            (east, north, point.when == When::OnGround)
        })
        .collect();
    // One scale both ways; the frame is as high as the track asks for.
    let ends = |of: fn(&(f64, f64, bool)) -> f64| {
        let (least, most) =
            placed.iter().map(of).fold((0.0f64, 0.0f64), |(least, most), at| (least.min(at), most.max(at)));
        (f64::midpoint(least, most), (most - least).max(100.0) * 0.55)
    };
    let ((east, half_east), (north, half_north)) = (ends(|point| point.0), ends(|point| point.1));
    let width = 560.0;
    let height = ((width - LEFT - EDGE) * half_north / half_east + BELOW + EDGE).clamp(170.0, 400.0);
    let half_north = half_north.max(half_east * (height - BELOW - EDGE) / (width - LEFT - EDGE));
    let half_east = half_north * (width - LEFT - EDGE) / (height - BELOW - EDGE);
    let plot =
        Plot { x: (east - half_east, east + half_east), y: (north - half_north, north + half_north), width, height };
    html! {
        h3 { "Ground track" }
        p { "Metres east and north of the first position, from even and odd frames close in time. Filled dots: in the air. Rings: on the ground." }
        (plot.draw("Ground track", "m", (6.0, 4.0), &html! {
            @for (east, north, on_ground) in &placed {
                @if *on_ground { circle.other cx=(plot.px(*east)) cy=(plot.py(*north)) r="4" {} } @else { circle.dot cx=(plot.px(*east)) cy=(plot.py(*north)) r="3" {} }
            }
            text x=(plot.px(0.0) + 8.0) y=(plot.py(0.0) - 6.0) { "first" }
            text.end x=(width - EDGE - 4.0) y=(EDGE + 14.0) { "north \u{2191}" }
        }))
    }
}

/// Reported less set altitude over the altitude that was set, with the tolerance of the correspondence test.
pub fn correspondence(readings: &[AltitudeReading]) -> Markup {
    let set = readings.iter().map(|reading| f64::from(reading.set_ft));
    let (least, most) = set.fold((f64::MAX, f64::MIN), |(least, most), feet| (least.min(feet), most.max(feet)));
    let tolerance = f64::from(TOLERANCE_FT);
    let differences = || readings.iter().filter_map(|reading| Some((reading, f64::from(reading.difference_ft()?))));
    let reach = differences().map(|(_, feet)| feet.abs()).fold(2.0 * tolerance, f64::max) * 1.1;
    let plot = Plot { x: (least - 200.0, most + 200.0), y: (-reach, reach), width: 720.0, height: 260.0 };
    let title = "Reported less set altitude";
    html! {
        (plot.draw(title, "ft", (8.0, 8.0), &html! {
            (plot.rectangle("band", plot.x, (-tolerance, tolerance)))
            @for (reading, feet) in differences() {
                @let (x, y) = (plot.px(reading.set_ft.into()), plot.py(feet));
                @if reading.within_tolerance() { circle.dot cx=(x) cy=(y) r="4" {} } @else { circle.hit cx=(x) cy=(y) r="6" {} }
            }
        }))
        p.small { "The band is \u{b1}" (TOLERANCE_FT) " ft. Small dots are within it, large ones outside." }
        (wide("Readings in numbers", &html! {
            table {
                caption { "Readings" }
                thead { tr {
                    th.number scope="col" { "set" } th.number scope="col" { "reported" } th.number scope="col" { "difference" }
                    th scope="col" { "exact" } th scope="col" { "within " (TOLERANCE_FT) " ft" }
                } }
                tbody { @for reading in readings {
                    tr {
                        th.number scope="row" { (spaced(reading.set_ft.into())) " ft" }
                        td.number { @match reading.reported_ft { Some(feet) => { (spaced(feet.into())) " ft" } None => { "no altitude" } } }
                        td.number { @match reading.difference_ft() { Some(feet) => { (feet) " ft" } None => { "\u{2013}" } } }
                        td { @if reading.exact() { "\u{2713} yes" } @else { "\u{2260} no" } }
                        td { @if reading.within_tolerance() { "\u{2713} yes" } @else { "\u{2260} no" } }
                    }
                } }
            }
        }))
    }
}

/// The aircraft from above with its position antenna, and how the codes follow from the measures; empty if the size
/// is not stated.
pub fn antenna(profile: &Profile) -> Markup {
    let Ok(svg) = drawing(profile) else { return html! {} };
    html! {
        h3 { "Size and position antenna" }
        // The drawing holds numbers and the mark, whose letters and digits need no escape.
        div.drawing { (PreEscaped(svg)) }
        ul { @for line in workings(profile) { li { (line) } } }
    }
}
