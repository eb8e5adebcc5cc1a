//! The arithmetic of compact positions, a line a step, so that it can be done again by hand.
//!
//! Sources: as in [`compact_position`](super::compact_position).

use super::compact_position::{Grid, Pair, Position, Word, global, zones};

fn place(bits: u32, grid: Grid) -> f64 {
    f64::from(bits) / f64::from(grid.steps())
}

const fn base_deg(grid: Grid) -> u16 {
    match grid {
        Grid::Airborne | Grid::Coarse => 360,
        Grid::Surface => 90,
    }
}

const fn cells(word: Word) -> u16 {
    60 - word.odd as u16
}

const fn format_of(word: Word) -> &'static str {
    if word.odd { "odd" } else { "even" }
}

/// The place in the cell, and every latitude that one frame alone may mean.
pub fn alone(word: Word, grid: Grid) -> Vec<String> {
    let (base, count, steps) = (base_deg(grid), cells(word), grid.steps());
    let candidates = word.latitudes(grid);
    let mut lines = vec![
        format!(
            "{} format: a latitude cell is {base} / {count} = {:.6} deg",
            format_of(word),
            f64::from(base) / f64::from(count)
        ),
        format!("place in the cell: latitude {} / {steps} = {:.9}", word.latitude, place(word.latitude, grid)),
        format!("place in the cell: longitude {} / {steps} = {:.9}", word.longitude, place(word.longitude, grid)),
        format!(
            "one frame alone fits {} latitudes, south to north, with n longitude cells (n) each:",
            candidates.len()
        ),
    ];
    for row in candidates.chunks(5) {
        let row: Vec<_> = row.iter().map(|(latitude, cells)| format!("{latitude:>10.5} ({cells:>2})")).collect();
        lines.push(format!("  {}", row.join("  ")));
    }
    lines.push(format!(
        "at each of them the longitudes are {base} / n x (m + {:.9}) for m = 0 to n - 1{}",
        place(word.longitude, grid),
        if grid == Grid::Surface { ", and 90, 180 and 270 deg more" } else { "" }
    ));
    lines.push("a frame of the other format, or a reference position, decides among them".to_owned());
    lines
}

/// One frame near a reference.
pub fn near(word: Word, grid: Grid, reference: Position) -> Vec<String> {
    let (base, count) = (f64::from(base_deg(grid)), cells(word));
    let cell = base / f64::from(count);
    let found = word.local(reference, grid);
    let zones = zones(found.latitude_deg);
    let n = (i16::from(zones) - i16::from(word.odd)).max(1);
    let width = base / f64::from(n);
    let zone = |reference: f64, cell: f64, place: f64| (reference / cell - place + 0.5).floor();
    let (j, m) = (
        zone(reference.latitude_deg, cell, place(word.latitude, grid)),
        zone(reference.longitude_deg, width, place(word.longitude, grid)),
    );
    vec![
        format!(
            "{} format near latitude {:.6}, longitude {:.6}: a latitude cell is {base} / {count} = {cell:.6} deg",
            format_of(word),
            reference.latitude_deg,
            reference.longitude_deg
        ),
        format!("j = floor({:.6} / {cell:.6} - {:.9} + 1/2) = {j}", reference.latitude_deg, place(word.latitude, grid)),
        format!("latitude = {cell:.6} x ({j} + {:.9}) = {:.6} deg", place(word.latitude, grid), found.latitude_deg),
        format!(
            "{zones} longitude zones there: n = max({zones} - {}, 1) = {n} cells of {base} / {n} = {width:.6} deg",
            u8::from(word.odd)
        ),
        format!(
            "m = floor({:.6} / {width:.6} - {:.9} + 1/2) = {m}",
            reference.longitude_deg,
            place(word.longitude, grid)
        ),
        format!(
            "longitude = {width:.6} x ({m} + {:.9}) = {:.6} deg{}",
            place(word.longitude, grid),
            width * (m + place(word.longitude, grid)),
            wrapped(width * (m + place(word.longitude, grid)), found.longitude_deg)
        ),
    ]
}

fn wrapped(degrees: f64, found: f64) -> String {
    if (degrees - found).abs() < 1e-9 { String::new() } else { format!(", which is {found:.6} deg") }
}

/// An even and an odd frame; the arithmetic as far as it leads.
pub fn pair(older: Word, newest: Word, grid: Grid, reference: Option<Position>) -> Vec<String> {
    let (even, odd) = if newest.odd { (older, newest) } else { (newest, older) };
    let (base, steps) = (f64::from(base_deg(grid)), grid.steps());
    let mut lines = vec![
        format!("even word: latitude {}, longitude {}", even.latitude, even.longitude),
        format!(
            "odd word: latitude {}, longitude {}; the {} one is the newest",
            odd.latitude,
            odd.longitude,
            format_of(newest)
        ),
    ];
    let Pair { latitude_zone: j, longitude_zone: m, zones, position } = match global(older, newest, grid, reference) {
        Ok(pair) => pair,
        Err(error) => {
            lines.push(error.to_string());
            return lines;
        }
    };
    lines.push(format!("j = floor((59 x {} - 60 x {}) / {steps} + 1/2) = {j}", even.latitude, odd.latitude));
    for word in [even, odd] {
        let count = i64::from(cells(word));
        let first = base / count as f64 * (j.rem_euclid(count) as f64 + place(word.latitude, grid));
        let rest = match grid {
            Grid::Airborne | Grid::Coarse if first >= 270.0 => {
                format!("; 270 or more, so minus 360: {:.6} deg", first - 360.0)
            }
            Grid::Airborne | Grid::Coarse => String::new(),
            Grid::Surface => format!(" in the north, or {:.6} deg in the south", first - 90.0),
        };
        lines.push(format!(
            "{} latitude = {base} / {count} x ({j} mod {count} + {} / {steps}) = {first:.6} deg{rest}",
            format_of(word),
            word.latitude
        ));
    }
    if let (Grid::Surface, Some(reference)) = (grid, reference) {
        lines.push(format!("nearest to latitude {:.6} is {:.6} deg", reference.latitude_deg, position.latitude_deg));
    }
    let (count, newest_odd) = (i64::from(zones), u8::from(newest.odd));
    let n = (count - i64::from(newest_odd)).max(1);
    lines.push(format!("both latitudes have {zones} longitude zones"));
    lines.push(format!(
        "m = floor(({} x {} - {} x {zones}) / {steps} + 1/2) = {m}",
        even.longitude,
        count - 1,
        odd.longitude
    ));
    let first = base / n as f64 * (m.rem_euclid(n) as f64 + place(newest.longitude, grid));
    lines.push(format!("the newest is {}: n = max({zones} - {newest_odd}, 1) = {n} cells", format_of(newest)));
    lines.push(format!(
        "longitude = {base} / {n} x ({m} mod {n} + {} / {steps}) = {first:.6} deg{}",
        newest.longitude,
        match grid {
            Grid::Airborne | Grid::Coarse => wrapped(first, position.longitude_deg),
            Grid::Surface => String::from(", or 90, 180 or 270 deg more"),
        }
    ));
    if let (Grid::Surface, Some(reference)) = (grid, reference) {
        lines.push(format!("nearest to longitude {:.6} is {:.6} deg", reference.longitude_deg, position.longitude_deg));
    }
    lines
}
