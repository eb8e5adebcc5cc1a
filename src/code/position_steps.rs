//! Shows the arithmetic of compact positions step by step, both ways, so that it can be done again by hand.
//!
//! Sources: as in [`compact_position`](super::compact_position). Angles in formulas are degrees.

use super::compact_position::{Grid, Pair, PairError, Position, Word, global, wrapped as turned, zone_limits, zones};
use super::worked::{Step, bits, decimals};

fn place(bits: u32, grid: Grid) -> f64 {
    f64::from(bits) / f64::from(grid.steps())
}

const fn base_deg(grid: Grid) -> u16 {
    match grid {
        Grid::Airborne | Grid::Coarse => 360,
        Grid::Surface => 90,
    }
}

const fn cells(odd: bool) -> u16 {
    60 - odd as u16
}

const fn format_of(odd: bool) -> &'static str {
    if odd { "odd" } else { "even" }
}

/// Longitude cells of a format with this many zones.
fn longitude_cells(zones: u8, odd: bool) -> i64 {
    (i64::from(zones) - i64::from(odd)).max(1)
}

/// Degrees with six places.
fn deg(degrees: f64) -> String {
    format!("{degrees:.6} deg")
}

/// How many longitude zones there are at a latitude: the formula, and the latitudes where the number changes.
///
/// ```
/// let steps = squitterlab::code::position_steps::zone_count(44.5);
/// assert_eq!(steps[1].to_string(), "NL = floor(42.7761) = 42");
/// ```
pub fn zone_count(latitude_deg: f64) -> Vec<Step> {
    let found = zones(latitude_deg);
    let (from, to) = zone_limits(latitude_deg);
    if latitude_deg.abs() > 87.0 {
        return vec![Step::new("", "1").explained("beyond 87 deg there is one longitude zone, by rule").of("NL")];
    }
    let edge = 1.0 - 6f64.to_radians().cos();
    let shown = format!("{:.6}", latitude_deg.abs());
    // The formula of what is printed: whoever follows it has no more digits.
    let cosine = shown.parse().unwrap_or(latitude_deg.abs()).to_radians().cos();
    let turn = (1.0 - edge / (cosine * cosine)).clamp(-1.0, 1.0).acos().to_degrees();
    let text = format!("{:.4}", 360.0 / turn);
    let mut steps = vec![
        Step::new(format!("360 / arccos(1 - (1 - cos(6)) / cos({shown})^2)"), text.as_str())
            .explained("longitude zones at this latitude"),
    ];
    let whole = text.split('.').next().and_then(|whole| whole.parse().ok()) == Some(found);
    steps.push(if whole {
        Step::new(format!("floor({text})"), found.to_string()).of("NL")
    } else {
        Step::new("", found.to_string()).explained("so close to a transition latitude the table below decides").of("NL")
    });
    steps.push(Step::note(format!(
        "the transition latitudes on both sides: {found} zones from {} to {} north or south{}",
        deg(from),
        deg(to),
        if found == 2 { " (87 itself by rule)" } else { "" }
    )));
    steps
}

/// Steps of a whole cell: on the surface words are the low 17 of 19 bits.
const fn fine(grid: Grid) -> i64 {
    match grid {
        Grid::Airborne | Grid::Coarse => grid.steps() as i64,
        Grid::Surface => 4 * grid.steps() as i64,
    }
}

/// The cell of a coordinate, and the steps in it that are sent.
fn counted(degrees: f64, cells: i64, grid: Grid) -> (f64, f64) {
    let exact = degrees * cells as f64 / 360.0;
    (exact.floor(), ((exact - exact.floor()) * fine(grid) as f64 + 0.5).floor())
}

/// From a coordinate to its word.
fn axis(name: &str, degrees: f64, cells: i64, code: u32, grid: Grid) -> Vec<Step> {
    let (zone, sent) = counted(degrees, cells, grid);
    let exact = degrees * cells as f64 / 360.0;
    let in_cells = format!("{} x {cells} / 360", decimals(degrees, 9));
    let (fine, steps) = (fine(grid), grid.steps());
    let mut lines = vec![
        Step::new(format!("floor({in_cells})"), decimals(zone, 0))
            .explained(format!("{name}: the cell, counted from 0 deg")),
        Step::new(format!("{in_cells} - ({zone})"), format!("{:.9}", exact - zone)).explained("the place in the cell"),
        Step::new(format!("floor(({in_cells} - ({zone})) x {fine} + 1/2)"), decimals(sent, 0))
            .explained(if grid == Grid::Surface { "in steps of 19 bits" } else { "the word" }),
    ];
    if sent as i64 != i64::from(code) {
        lines.push(Step::new(format!("{sent} mod {steps}"), code.to_string()).explained(if sent as i64 == fine {
            "the end of a cell is the start of the next"
        } else {
            "only the low 17 bits are sent, so a word fits four places in the cell"
        }));
    }
    lines.push(bits(code.into(), steps.trailing_zeros() as u8));
    lines
}

/// From a position to the words of one format.
///
/// ```
/// use squitterlab::{code::position_steps, cpr::{Grid, Position}};
/// let place = Position { latitude_deg: 44.5, longitude_deg: -103.25 };
/// let steps = position_steps::written(place, false, Grid::Airborne);
/// assert!(steps.iter().any(|step| step.result == "54613"));
/// ```
pub fn written(position: Position, odd: bool, grid: Grid) -> Vec<Step> {
    let word = Word::of(position, odd, grid);
    let count = i64::from(cells(odd));
    let mut lines = latitude_written(position, odd, grid);
    let (zone, sent) = counted(position.latitude_deg, count, grid);
    let received = 360.0 / count as f64 * (zone + sent / fine(grid) as f64);
    lines.push(
        Step::new(format!("360 / {count} x ({zone} + {sent} / {})", fine(grid)), deg(received))
            .explained("the latitude that a receiver gets; it decides the longitude zones, so that both sides agree"),
    );
    lines.extend(zone_count(received));
    let zones = zones(received);
    let n = longitude_cells(zones, odd);
    lines.push(
        Step::new(format!("max({zones} - {}, 1)", u8::from(odd)), n.to_string())
            .explained(format!("longitude cells in the {} format", format_of(odd)))
            .of("n"),
    );
    lines.extend(axis("longitude", position.longitude_deg, n, word.longitude, grid));
    lines
}

/// From a latitude to its word in one format.
pub(crate) fn latitude_written(position: Position, odd: bool, grid: Grid) -> Vec<Step> {
    let (word, count) = (Word::of(position, odd, grid), i64::from(cells(odd)));
    let mut lines = vec![
        Step::new(format!("360 / {count}"), deg(360.0 / count as f64))
            .explained(format!("{} format: {count} latitude cells around the globe, each of", format_of(odd))),
    ];
    lines.extend(axis("latitude", position.latitude_deg, count, word.latitude, grid));
    lines
}

/// The place in the cell, and every latitude that one frame alone may mean.
///
/// ```
/// use squitterlab::{code::position_steps, cpr::{Grid, Position, Word}};
/// let place = Position { latitude_deg: 44.5, longitude_deg: -103.25 };
/// let [even, odd] = [false, true].map(|odd| Word::encode(place, odd, Grid::Airborne).unwrap());
/// assert!(position_steps::alone(even, Grid::Airborne)[0].to_string().starts_with("even format"));
/// assert!(position_steps::alone(odd, Grid::Airborne)[0].to_string().starts_with("odd format"));
/// ```
pub fn alone(word: Word, grid: Grid) -> Vec<Step> {
    let (base, count, steps) = (base_deg(grid), cells(word.odd), grid.steps());
    let candidates = word.latitudes(grid);
    let quarters = if grid == Grid::Surface { 4 } else { 1 };
    let places: usize = candidates.iter().map(|(_, cells)| usize::from(*cells) * quarters).sum();
    let mut lines = vec![
        Step::new(format!("{base} / {count}"), deg(f64::from(base) / f64::from(count)))
            .explained(format!("{} format: a latitude cell is", format_of(word.odd))),
        Step::new(format!("{} / {steps}", word.latitude), format!("{:.9}", place(word.latitude, grid)))
            .explained("place in the cell, latitude"),
        Step::new(format!("{} / {steps}", word.longitude), format!("{:.9}", place(word.longitude, grid)))
            .explained("place in the cell, longitude"),
        Step::note(format!(
            "one frame alone fits {} latitudes, south to north, with n longitude cells (n) each:",
            candidates.len()
        )),
    ];
    for row in candidates.chunks(5) {
        let row: Vec<_> = row.iter().map(|(latitude, cells)| format!("{latitude:>10.5} ({cells:>2})")).collect();
        lines.push(Step::note(format!("  {}", row.join("  "))));
    }
    lines.push(Step::note(format!(
        "at each of them the longitudes are {base} / n x (m + {:.9}) for m = 0 to n - 1{}",
        place(word.longitude, grid),
        if grid == Grid::Surface { ", and 90, 180 and 270 deg more" } else { "" }
    )));
    lines.push(Step::note(format!(
        "that is {places} places on the globe; a frame of the other format, or a reference position, decides among them"
    )));
    lines
}

/// One frame near a reference.
///
/// ```
/// use squitterlab::{code::position_steps, cpr::{Grid, Position, Word}};
/// let place = Position { latitude_deg: 44.5, longitude_deg: -103.25 };
/// let [even, _] = [false, true].map(|odd| Word::encode(place, odd, Grid::Airborne).unwrap());
/// assert!(position_steps::near(even, Grid::Airborne, place).iter().any(|step| step.formula == "j"));
/// ```
pub fn near(word: Word, grid: Grid, reference: Position) -> Vec<Step> {
    let (base, count) = (f64::from(base_deg(grid)), cells(word.odd));
    let cell = base / f64::from(count);
    let found = word.local(reference, grid);
    let n = longitude_cells(zones(found.latitude_deg), word.odd);
    let width = base / n as f64;
    let zone = |reference: f64, cell: f64, place: f64| (reference / cell - place + 0.5).floor();
    let (y, x) = (place(word.latitude, grid), place(word.longitude, grid));
    let (j, m) = (zone(reference.latitude_deg, cell, y), zone(reference.longitude_deg, width, x));
    let mut lines = vec![
        Step::new(format!("{base} / {count}"), deg(cell)).explained(format!(
            "{} format near latitude {:.6}, longitude {:.6}: a latitude cell is",
            format_of(word.odd),
            reference.latitude_deg,
            reference.longitude_deg
        )),
        Step::new(format!("floor({:.6} x {count} / {base} - {y:.9} + 1/2)", reference.latitude_deg), j.to_string())
            .explained("the cell that puts the place nearest to the reference")
            .of("j"),
        Step::new(format!("{base} / {count} x ({j} + {y:.9})"), deg(found.latitude_deg)).of("latitude"),
    ];
    lines.extend(zone_count(found.latitude_deg));
    let zones = zones(found.latitude_deg);
    lines.push(Step::new(format!("max({zones} - {}, 1)", u8::from(word.odd)), format!("{n} longitude cells")).of("n"));
    lines.push(
        Step::new(format!("floor({:.6} x {n} / {base} - {x:.9} + 1/2)", reference.longitude_deg), m.to_string())
            .of("m"),
    );
    let first = width * (m + x);
    lines.push(Step::new(format!("{base} / {n} x ({m} + {x:.9})"), deg(first)).of("longitude"));
    lines.extend(wrapped(first, found.longitude_deg));
    lines
}

/// The same longitude from -180 to 180, if it is not yet.
fn wrapped(degrees: f64, found: f64) -> Option<Step> {
    let turn = ((found - degrees) / 360.0).round() * 360.0;
    let sign = if turn < 0.0 { '-' } else { '+' };
    (turn != 0.0).then(|| {
        Step::new(format!("{degrees:.6} {sign} {}", turn.abs()), deg(found)).explained("the same between -180 and 180")
    })
}

/// The zone index of the words, and the latitude of each format there.
struct Latitudes {
    j: i64,
    even: f64,
    odd: f64,
}

impl Latitudes {
    fn of(even: Word, odd: Word, grid: Grid) -> Self {
        let steps = i64::from(grid.steps());
        let j = (59 * i64::from(even.latitude) - 60 * i64::from(odd.latitude) + steps / 2).div_euclid(steps);
        let [even, odd] = [even, odd].map(|word| Self::at(word, j, grid));
        Self { j, even, odd }
    }

    /// The latitude of a word in a zone.
    fn at(word: Word, zone: i64, grid: Grid) -> f64 {
        let count = i64::from(cells(word.odd));
        f64::from(base_deg(grid)) / count as f64 * (zone.rem_euclid(count) as f64 + place(word.latitude, grid))
    }
}

/// Why two frames leave one latitude: in the zones beside the right one the two words do not meet.
fn meeting(even: Word, odd: Word, grid: Grid, j: i64) -> Vec<Step> {
    let base = f64::from(base_deg(grid));
    let mut lines = vec![
        Step::new(format!("{base} / 59 - {base} / 60"), deg(base / 59.0 - base / 60.0))
            .explained("why one place is left: from zone to zone the odd latitude runs ahead of the even one by"),
        Step::note("so the two meet in one zone only; in this one and the two beside it:"),
    ];
    for zone in j - 1..=j + 1 {
        let [even, odd] = [even, odd].map(|word| Latitudes::at(word, zone, grid));
        lines.push(Step::note(format!(
            "  zone {zone:>3}: even {even:>11.6}, odd {odd:>11.6}, {:.6} deg apart",
            (odd - even).abs()
        )));
    }
    lines
}

/// An even and an odd frame; the arithmetic as far as it leads.
///
/// ```
/// use squitterlab::{code::position_steps, cpr::{Grid, Position, Word}};
/// let place = Position { latitude_deg: 44.5, longitude_deg: -103.25 };
/// let [even, odd] = [false, true].map(|odd| Word::encode(place, odd, Grid::Airborne).unwrap());
/// assert!(position_steps::pair(even, odd, Grid::Airborne, None).iter().any(|step| step.formula == "m"));
/// ```
pub fn pair(older: Word, newest: Word, grid: Grid, reference: Option<Position>) -> Vec<Step> {
    let (even, odd) = if newest.odd { (older, newest) } else { (newest, older) };
    let (base, steps) = (f64::from(base_deg(grid)), grid.steps());
    let mut lines = vec![
        Step::note(format!("even word: latitude {}, longitude {}", even.latitude, even.longitude)),
        Step::note(format!(
            "odd word: latitude {}, longitude {}; the {} one is the newest",
            odd.latitude,
            odd.longitude,
            format_of(newest.odd)
        )),
    ];
    let solved = global(older, newest, grid, reference);
    if older.odd == newest.odd {
        lines.extend(solved.err().map(|error| Step::note(error.to_string())));
        return lines;
    }
    let latitudes = Latitudes::of(even, odd, grid);
    let j = latitudes.j;
    lines.push(
        Step::new(format!("floor((59 x {} - 60 x {}) / {steps} + 1/2)", even.latitude, odd.latitude), j.to_string())
            .explained("the latitude zone")
            .of("j"),
    );
    for (word, first) in [(even, latitudes.even), (odd, latitudes.odd)] {
        let (count, name) = (cells(word.odd), format_of(word.odd));
        lines.push(
            Step::new(format!("{base} / {count} x ({j} mod {count} + {} / {steps})", word.latitude), deg(first))
                .of(format!("{name} latitude")),
        );
        if grid == Grid::Surface {
            lines.push(Step::new(format!("{first:.6} - 90"), deg(first - 90.0)).explained("or in the south"));
        } else if first >= 270.0 {
            lines.push(Step::new(format!("{first:.6} - 360"), deg(first - 360.0)).explained("270 or more is south"));
        }
    }
    if !matches!(solved, Err(PairError::Impossible)) {
        lines.extend(meeting(even, odd, grid, j));
    }
    match solved {
        Ok(found) => lines.extend(longitude(even, odd, newest, grid, reference, found)),
        Err(error) => {
            lines.push(Step::note(error.to_string()));
            if error == PairError::ZonesDiffer {
                lines.extend(straddled(even, odd, newest, grid, reference, &latitudes));
            }
        }
    }
    lines
}

/// The longitude zone index of a number of zones.
fn longitude_zone(even: Word, odd: Word, zones: u8, grid: Grid) -> i64 {
    let (count, steps) = (i64::from(zones), i64::from(grid.steps()));
    (i64::from(even.longitude) * (count - 1) - i64::from(odd.longitude) * count + steps / 2).div_euclid(steps)
}

/// From the latitude of a pair to its longitude.
fn longitude(even: Word, odd: Word, newest: Word, grid: Grid, reference: Option<Position>, found: Pair) -> Vec<Step> {
    let Pair { longitude_zone: m, zones, position, .. } = found;
    let (base, steps) = (f64::from(base_deg(grid)), grid.steps());
    let surface = reference.filter(|_| grid == Grid::Surface);
    let mut lines = Vec::new();
    if let Some(reference) = surface {
        let south = position.latitude_deg < 0.0;
        let other = if south { position.latitude_deg + 90.0 } else { position.latitude_deg - 90.0 };
        let away = |latitude: f64| (latitude - reference.latitude_deg).abs();
        lines.push(Step::note(format!(
            "two latitudes fit; the reference at {:.6} deg is {:.6} deg from {:.6} and {:.6} deg from {other:.6}: the \
             nearer one is {:.6} deg",
            reference.latitude_deg,
            away(position.latitude_deg),
            position.latitude_deg,
            away(other),
            position.latitude_deg
        )));
    }
    lines.extend(zone_count(position.latitude_deg));
    lines.push(Step::note(format!("both latitudes have {zones} longitude zones")));
    lines.push(
        Step::new(
            format!(
                "floor(({} x {} - {} x {zones}) / {steps} + 1/2)",
                even.longitude,
                i64::from(zones) - 1,
                odd.longitude
            ),
            m.to_string(),
        )
        .explained("the longitude zone")
        .of("m"),
    );
    let n = longitude_cells(zones, newest.odd);
    lines.push(
        Step::new(format!("max({zones} - {}, 1)", u8::from(newest.odd)), format!("{n} cells"))
            .explained(format!("the newest is {}", format_of(newest.odd)))
            .of("n"),
    );
    let first = base / n as f64 * (m.rem_euclid(n) as f64 + place(newest.longitude, grid));
    lines.push(
        Step::new(format!("{base} / {n} x ({m} mod {n} + {} / {steps})", newest.longitude), deg(first)).of("longitude"),
    );
    let Some(reference) = surface else {
        lines.extend(wrapped(first, position.longitude_deg));
        return lines;
    };
    lines.push(Step::note(format!(
        "four longitudes fit, 90 deg apart; how far each is from the reference at {:.6} deg:",
        reference.longitude_deg
    )));
    for quarter in [0.0, 90.0, 180.0, 270.0] {
        let longitude = turned(first + quarter);
        lines.push(Step::note(format!(
            "  {longitude:>11.6}, {:>10.6} deg away",
            turned(longitude - reference.longitude_deg).abs()
        )));
    }
    lines.push(Step::note(format!("the nearest is {:.6} deg", position.longitude_deg)));
    lines
}

/// What goes wrong where the two latitudes have different numbers of longitude zones.
fn straddled(
    even: Word,
    odd: Word,
    newest: Word,
    grid: Grid,
    reference: Option<Position>,
    latitudes: &Latitudes,
) -> Vec<Step> {
    let south = match (grid, reference) {
        (Grid::Surface, Some(reference)) => {
            let north = if newest.odd { latitudes.odd } else { latitudes.even };
            let south = (north - 90.0 - reference.latitude_deg).abs() < (north - reference.latitude_deg).abs();
            if south { 90.0 } else { 0.0 }
        }
        _ if latitudes.even >= 270.0 => 360.0,
        _ => 0.0,
    };
    let mut lines = Vec::new();
    let mut wrong = Vec::new();
    for (word, latitude) in [(even, latitudes.even - south), (odd, latitudes.odd - south)] {
        let zones = zones(latitude);
        lines.push(Step::note(format!("the {} latitude is {latitude:.6} deg", format_of(word.odd))));
        lines.extend(zone_count(latitude));
        let (m, n) = (longitude_zone(even, odd, zones, grid), longitude_cells(zones, newest.odd));
        let base = f64::from(base_deg(grid));
        wrong.push((zones, turned(base / n as f64 * (m.rem_euclid(n) as f64 + place(newest.longitude, grid)))));
    }
    if let [(one, first), (other, second)] = wrong[..] {
        lines.push(Step::note(format!(
            "each longitude word was made with the number of its own latitude, so the pair has no common one: {one} zones would \
             give longitude {first:.6}, and {other} would give {second:.6} deg; take neither, and wait for two frames on one side"
        )));
    }
    lines
}
