//! Worked arithmetic, drawn: parity, position, altitude code, identity code.

use super::wide;
use crate::code::compact_position::{Grid, PairError, Position, Word, global, zones};
use crate::code::{Altitude12, Bits, Code, CodeError, ModeA, Version, Wire, Wires, spaced};
use crate::frame::Frame;
use crate::present::worked::parity_steps;
use maud::{Markup, html};

/// The division that makes the parity, octet by octet.
pub fn parity(frame: &Frame) -> Markup {
    let octets = frame.octets();
    let data = &octets[..octets.len() - 3];
    let steps = parity_steps(frame);
    let (rule, rows) = steps.split_at(2);
    let after = rows.last().cloned().unwrap_or_default();
    html! {
        p.frame { (frame) }
        @for line in rule { p { (line) } }
        (wide("The remainder after each octet", &html! {
            table {
                caption { "The remainder after each octet" }
                thead { tr { th scope="col" { "octet" } th scope="col" { "bits" } th scope="col" { "hexadecimal" } th scope="col" { "remainder of 24 bits" } } }
                tbody {
                    @for (at, octet) in data.iter().enumerate() {
                        tr {
                            th scope="row" { (at + 1) }
                            td.bits { (format!("{octet:08b}")) }
                            td.bits { (format!("{octet:02X}")) }
                            td.bits { (format!("{:06X}", crate::frame::parity_of(&data[..=at]))) }
                        }
                    }
                }
            }
        }))
        p { strong { (after) } }
        p.soft {
            "Overlay 0: the frame is whole, if its format carries plain parity. In a reply the overlay is the address. "
            "One flipped bit anywhere changes the remainder in a way that no other single bit does."
        }
    }
}

/// A digit's bits among the thirteen, and the way from digits to bits.
pub fn identity(code: ModeA) -> Markup {
    const NAMES: [&str; 13] = ["C1", "A1", "C2", "A2", "C4", "A4", "X", "B1", "D1", "B2", "D2", "B4", "D4"];
    let bits = code.bits();
    let bit = |at: usize| bits >> (12 - at) & 1;
    let digit = |name: &str| "ABCD".find(&name[..1]).filter(|_| name != "X");
    html! {
        p { "Mode A code " strong { (code.meaning(Version::Two).text) } }
        (wide("The four digits", &html! {
            table {
                caption { "Each octal digit is three bits, weights 4, 2 and 1" }
                thead { tr { th scope="col" { "digit" } th scope="col" { "value" } th scope="col" { "weight 4" } th scope="col" { "weight 2" } th scope="col" { "weight 1" } } }
                tbody {
                    @for (at, (letter, value)) in "ABCD".chars().zip(code.digits()).enumerate() {
                        tr {
                            th scope="row" { span class=(format!("key f{at}")) { (letter) } }
                            td.bits { (value) }
                            @for weight in [4u8, 2, 1] {
                                td.bits { span.soft { (letter) (weight) " = " } (u8::from(value & weight != 0)) }
                            }
                        }
                    }
                }
            }
        }))
        (wide("The thirteen bits on the air", &html! {
            table {
                caption { "On the air they are interleaved; the X bit is sent as 0" }
                tbody {
                    tr { th scope="row" { "frame bit" } @for at in 20..=32 { td.bits { (at) } } }
                    tr { th scope="row" { "name" } @for name in NAMES { td.bits { span class=(digit(name).map_or_else(|| "key".to_owned(), |at| format!("key f{at}"))) { (name) } } } }
                    tr { th scope="row" { "bit" } @for at in 0..13 { td.bits { strong { (bit(at)) } } } }
                }
            }
        }))
        ol.steps { @for line in code.steps(Version::Two) { li { (line) } } }
    }
}

/// The grey code around an altitude: in each step of 100 ft exactly one wire changes.
///
/// # Errors
/// [`CodeError`] outside the codes.
pub fn altitude(feet: f64) -> Result<Markup, CodeError> {
    let here = Wires::from_feet(feet)?;
    let centre = here.feet().unwrap_or_default();
    let rows: Vec<(i32, Wires)> = (-4..=4)
        .rev()
        .map(|step| centre + step * 100)
        .filter_map(|feet| Some((feet, Wires::from_feet(feet.into()).ok()?)))
        .collect();
    let changed =
        |at: usize, wire: Wire| rows.get(at + 1).is_some_and(|below| below.1.has(wire) != rows[at].1.has(wire));
    let quarter = Altitude12::from_feet(feet, 25).ok().filter(|code| code.is_quarter());
    Ok(html! {
        p { "Nearest step of 100 ft: " strong { (spaced(centre.into())) " ft" } "; wires grounded: " strong { (here) } "; Mode C " (here.mode_c()) }
        (wide("Wires around this altitude", &html! {
            table.wires {
                caption { "One wire changes in every step of 100 ft: the one marked \u{2195}" }
                thead { tr { th scope="col" { "altitude" } @for wire in Wire::ALL { th scope="col" { (wire) } } th scope="col" { "changes" } } }
                tbody {
                    @for (at, (feet, wires)) in rows.iter().enumerate() {
                        tr.here[*feet == centre] {
                            th scope="row" { (spaced((*feet).into())) " ft" @if *feet == centre { " \u{25c0}" } }
                            @for wire in Wire::ALL {
                                td.bits.lit[wires.has(wire)].turned[changed(at, wire)] {
                                    (u8::from(wires.has(wire))) @if changed(at, wire) { "\u{2195}" }
                                }
                            }
                            td { @for wire in Wire::ALL.into_iter().filter(|wire| changed(at, *wire)) { (wire) " " } }
                        }
                    }
                }
            }
        }))
        h2 { "As twelve bits of a squitter" }
        p.bits.mono { (format!("{:012b}", here.squitter().bits())) span.soft { " = " (Wires::bit_names().join(" ")) } }
        ol.steps { @for line in here.squitter().steps(Version::Two) { li { (line) } } }
        @if let Some(code) = quarter {
            h2 { "The same in steps of 25 ft (Q is 1)" }
            p.mono { (format!("{:012b}", code.bits())) }
            ol.steps { @for line in code.steps(Version::Two) { li { (line) } } }
        }
    })
}

/// Every place that one word alone may mean.
fn candidates(word: Word, grid: Grid) -> Vec<Position> {
    let base = if grid == Grid::Surface { 90.0 } else { 360.0 };
    let mut all = Vec::new();
    for (latitude_deg, cells) in word.latitudes(grid) {
        let cell = base / f64::from(cells);
        let around = (360.0 / cell).round() as i32;
        for at in 0..around {
            let longitude = cell * (f64::from(at) + f64::from(word.longitude) / f64::from(1 << 17));
            all.push(Position { latitude_deg, longitude_deg: (longitude + 180.0).rem_euclid(360.0) - 180.0 });
        }
    }
    all
}

/// A map grid: degrees to drawing units, with its lines.
struct Map {
    west: f64,
    north: f64,
    span_deg: (f64, f64),
    size: (f64, f64),
}

impl Map {
    fn x(&self, longitude: f64) -> f64 {
        ((longitude - self.west) / self.span_deg.0 * self.size.0 * 10.0).round() / 10.0
    }
    fn y(&self, latitude: f64) -> f64 {
        ((self.north - latitude) / self.span_deg.1 * self.size.1 * 10.0).round() / 10.0
    }
    fn holds(&self, place: &Position) -> bool {
        (self.west..=self.west + self.span_deg.0).contains(&place.longitude_deg)
            && (self.north - self.span_deg.1..=self.north).contains(&place.latitude_deg)
    }
    fn grid(&self, step: f64) -> Markup {
        let lines = |from: f64, to: f64| {
            let first = (from / step).ceil() as i32;
            let last = (to / step).floor() as i32;
            (first..=last).map(|at| f64::from(at) * step).collect::<Vec<_>>()
        };
        html! {
            @for longitude in lines(self.west, self.west + self.span_deg.0) {
                line.grid x1=(self.x(longitude)) x2=(self.x(longitude)) y1="0" y2=(self.size.1) {}
                text x=(self.x(longitude) + 2.0) y=(self.size.1 - 3.0) { (longitude) "\u{b0}" }
            }
            @for latitude in lines(self.north - self.span_deg.1, self.north) {
                line.grid x1="0" x2=(self.size.0) y1=(self.y(latitude)) y2=(self.y(latitude)) {}
                @if self.y(latitude) < self.size.1 - 16.0 { text x="2" y=(self.y(latitude) - 2.0) { (latitude) "\u{b0}" } }
            }
        }
    }
    /// The latitudes of both words as lines, and along the solution the longitudes: few enough to be seen one by one.
    fn bands(
        &self,
        label: &str,
        (even, even_places): (Word, &[Position]),
        (odd, odd_places): (Word, &[Position]),
        grid: Grid,
        solution: Option<Position>,
    ) -> Markup {
        let beside = |place: &&Position| {
            solution.is_some_and(|solution| (place.latitude_deg - solution.latitude_deg).abs() < 0.01)
        };
        html! {
            svg.chart viewBox=(format!("0 0 {} {}", self.size.0, self.size.1)) role="img" aria-label=(label) xmlns="http://www.w3.org/2000/svg" {
                (self.grid(30.0))
                @for (class, word) in [("series", even), ("stated", odd)] {
                    @for (latitude, _) in word.latitudes(grid) {
                        line class=(class) x1="0" x2=(self.size.0) y1=(self.y(latitude)) y2=(self.y(latitude)) {}
                    }
                }
                @for place in even_places.iter().filter(beside) { circle.dot cx=(self.x(place.longitude_deg)) cy=(self.y(place.latitude_deg)) r="2.6" {} }
                @for place in odd_places.iter().filter(beside) { circle.other cx=(self.x(place.longitude_deg)) cy=(self.y(place.latitude_deg)) r="5" {} }
                @if let Some(place) = solution {
                    circle.hit cx=(self.x(place.longitude_deg)) cy=(self.y(place.latitude_deg)) r="6" {}
                    text x=(self.x(place.longitude_deg) + 10.0) y=(self.y(place.latitude_deg) - 8.0) { "solution" }
                }
            }
        }
    }
    fn draw(&self, step: f64, label: &str, even: &[Position], odd: &[Position], solution: Option<Position>) -> Markup {
        html! {
            svg.chart viewBox=(format!("0 0 {} {}", self.size.0, self.size.1)) role="img" aria-label=(label) xmlns="http://www.w3.org/2000/svg" {
                (self.grid(step))
                @for place in even.iter().filter(|place| self.holds(place)) { circle.dot cx=(self.x(place.longitude_deg)) cy=(self.y(place.latitude_deg)) r="2.2" {} }
                @for place in odd.iter().filter(|place| self.holds(place)) { circle.other cx=(self.x(place.longitude_deg)) cy=(self.y(place.latitude_deg)) r="4" {} }
                @if let Some(place) = solution {
                    circle.hit cx=(self.x(place.longitude_deg)) cy=(self.y(place.latitude_deg)) r="5" {}
                    text x=(self.x(place.longitude_deg) + 8.0) y=(self.y(place.latitude_deg) - 6.0) { "solution" }
                }
            }
        }
    }
}

/// A pair of position words: the candidates of each alone, and the pair's solution.
pub fn position(even: Word, odd: Word, grid: Grid, reference: Option<Position>) -> Markup {
    let solved = global(even, odd, grid, reference);
    let (even_places, odd_places) = (candidates(even, grid), candidates(odd, grid));
    let world = Map { west: -180.0, north: 90.0, span_deg: (360.0, 180.0), size: (960.0, 480.0) };
    let solution = solved.as_ref().ok().map(|pair| pair.position);
    let close = solution.map(|place| Map {
        west: (place.longitude_deg - 10.0).floor(),
        north: (place.latitude_deg + 6.0).ceil(),
        span_deg: (21.0, 13.0),
        size: (960.0, 594.0),
    });
    let base = if grid == Grid::Surface { 90 } else { 360 };
    html! {
        (wide("The two words", &html! {
            table {
                caption { "Two words of 17 bits each way" }
                thead { tr { th scope="col" { "format" } th scope="col" { "latitude word" } th scope="col" { "longitude word" } th scope="col" { "latitude cell" } th scope="col" { "places that it may mean alone" } } }
                tbody {
                    @for (name, word, places, count) in [("even", even, &even_places, 60), ("odd", odd, &odd_places, 59)] {
                        tr {
                            th scope="row" { (name) }
                            td.bits { (format!("{:017b}", word.latitude)) " = " (word.latitude) }
                            td.bits { (format!("{:017b}", word.longitude)) " = " (word.longitude) }
                            td { (base) "\u{b0} / " (count) " = " (format!("{:.4}", f64::from(base) / f64::from(count))) "\u{b0}" }
                            td.number { (places.len()) }
                        }
                    }
                }
            }
        }))
        p {
            "Lines: the latitudes that each word alone may mean, the even one's solid, the odd one's dashed. Along the latitude of the solution, dots and rings: the longitudes. "
            @if grid == Grid::Surface { "On the surface the words meet at two latitudes and at four longitudes of each: the place nearest to the reference is taken." }
            @else { "The words meet in one place only." }
        }
        (world.bands("World with the latitudes of both words", (even, &even_places), (odd, &odd_places), grid, solution))
        @if let (Some(map), Some(place)) = (close, solution) {
            h2 { "Around the solution" }
            (map.draw(1.0, "The same around the solution", &even_places, &odd_places, Some(place)))
        }
        h2 { "The pair's arithmetic" }
        @match &solved {
            Ok(pair) => {
                @let (y0, y1, x0, x1) = (even.latitude, odd.latitude, even.longitude, odd.longitude);
                @let nl = pair.zones;
                @let cells = (i32::from(nl) - 1).max(1);
                ol.steps {
                    li { "latitude zone index j = floor((59 \u{d7} " (y0) " \u{2212} 60 \u{d7} " (y1) ") / 131072 + 1/2) = " (pair.latitude_zone) }
                    li { "latitude of the odd word = " (base) "/59 \u{d7} (j mod 59 + " (y1) "/131072) = " (format!("{:.6}", pair.position.latitude_deg)) "\u{b0}" @if pair.position.latitude_deg < 0.0 { " (after taking it south)" } }
                    li { "longitude zones there: NL = " (nl) " (from the table of transition latitudes; both words lie in this band)" }
                    li { "longitude zone index m = floor((" (x0) " \u{d7} " (i32::from(nl) - 1) " \u{2212} " (x1) " \u{d7} " (nl) ") / 131072 + 1/2) = " (pair.longitude_zone) }
                    li { "longitude of the odd word = " (base) "/" (cells) " \u{d7} (m mod " (cells) " + " (x1) "/131072) = " (format!("{:.6}", pair.position.longitude_deg)) "\u{b0}" }
                    @if grid == Grid::Surface { li { "a surface pair fits four longitudes at each of two latitudes; the place nearest to the reference is taken" } }
                }
                p { strong { "Position " (format!("{:.6}, {:.6}", pair.position.latitude_deg, pair.position.longitude_deg)) } ", at the odd word, taken as the newest." }
            }
            Err(PairError::ZonesDiffer) => {
                p { strong { (PairError::ZonesDiffer) } ": NL changes at the transition latitudes." }
            }
            Err(error) => { p { strong { (error) } } }
        }
        @if let Some(place) = solution {
            p.soft { "NL at this latitude is " (zones(place.latitude_deg)) ": " (zones(place.latitude_deg)) " cells of longitude in the even format, one fewer in the odd." }
        }
    }
}
