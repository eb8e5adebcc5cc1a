//! Compact position reporting against exact arithmetic.
//!
//! The oracle follows the published equations (Doc 9871 draft, pages 55, 59 and 235 to 238; handbook, ADS-B part,
//! chapters 3 and 4) in rational numbers, which round nowhere, and takes the zone transitions from the closed formula
//! at 320 bits. The library's floating point is held to it, and both are held to the position that was sent.

use crate::random::Random;
use astro_float::{BigFloat, Consts, RoundingMode};
use num_bigint::BigInt;
use num_rational::Ratio;
use squitterlab::code::Version;
use squitterlab::code::compact_position::{Grid, Pair, PairError, Position, Word, global, zones};
use squitterlab::downlink::{Decoded, encode_meanings};
use squitterlab::message::position::Carries;
use squitterlab::message::{Message, TisBCoarsePosition};
use std::collections::BTreeMap;
use std::sync::LazyLock;

type Exact = Ratio<BigInt>;

fn whole(number: i64) -> Exact {
    Exact::from_integer(BigInt::from(number))
}

/// The number that a binary64 is, without any rounding.
fn exact(number: f64) -> Exact {
    assert!(number.is_finite());
    let bits = number.to_bits();
    let (exponent, fraction) = ((bits >> 52 & 0x7FF) as i32, bits & ((1 << 52) - 1));
    let (mantissa, power) = if exponent == 0 { (fraction, -1074) } else { (fraction | 1 << 52, exponent - 1075) };
    let size = BigInt::from(mantissa);
    let size =
        if power >= 0 { Exact::from_integer(size << power) } else { Exact::new(size, BigInt::from(1) << -power) };
    if number.is_sign_negative() { -size } else { size }
}

/// The binary64 nearest to an exact number of degrees, to well below its last digit.
fn nearest(number: &Exact) -> f64 {
    let scaled: BigInt = (number * Exact::from_integer(BigInt::from(1) << 64)).floor().to_integer();
    i128::try_from(scaled).expect("degrees") as f64 / 2_f64.powi(64)
}

fn floor(number: &Exact) -> BigInt {
    number.floor().to_integer()
}

fn small(number: &BigInt) -> i64 {
    i64::try_from(number).expect("a small number")
}

/// x - y floor(x / y), never negative.
fn modulo(x: &Exact, y: &Exact) -> Exact {
    x - y * (x / y).floor()
}

fn size(number: &Exact) -> Exact {
    if *number < whole(0) { -number } else { number.clone() }
}

fn half() -> Exact {
    Exact::new(BigInt::from(1), BigInt::from(2))
}

// ---- zone transitions

const PRECISION: usize = 320;

/// The transition from N zones to N - 1: (180 / pi) acos(sqrt((1 - cos(pi / 30)) / (1 - cos(2 pi / N)))).
fn transition(zones: u32, constants: &mut Consts) -> BigFloat {
    let round = RoundingMode::ToEven;
    let number = |n: u32| BigFloat::from_u32(n, PRECISION);
    let pi = constants.pi(PRECISION, round);
    let one_minus_cosine = |angle: BigFloat, constants: &mut Consts| {
        number(1).sub(&angle.cos(PRECISION, round, constants), PRECISION, round)
    };
    let above = one_minus_cosine(pi.div(&number(30), PRECISION, round), constants);
    let turn = pi.mul(&number(2), PRECISION, round).div(&number(zones), PRECISION, round);
    let below = one_minus_cosine(turn, constants);
    let angle = above.div(&below, PRECISION, round).sqrt(PRECISION, round).acos(PRECISION, round, constants);
    angle.mul(&number(180), PRECISION, round).div(&pi, PRECISION, round)
}

/// The value of a long float as a fraction.
fn fraction(number: &BigFloat) -> Exact {
    let (words, _, sign, exponent, _) = number.as_raw_parts().expect("a number");
    let mantissa = words.iter().rev().fold(BigInt::from(0), |all, word| (all << 64) + BigInt::from(*word));
    let power = exponent - 64 * words.len() as i32;
    let size = if power >= 0 {
        Exact::from_integer(mantissa << power)
    } else {
        Exact::new(mantissa, BigInt::from(1) << -power)
    };
    if sign.is_negative() { -size } else { size }
}

/// The transitions from 59, 58, … 3 zones down, in that order; 87 degrees, from 2 to 1, is a rule of its own.
static TRANSITIONS: LazyLock<Vec<(u8, Exact)>> = LazyLock::new(|| {
    let mut constants = Consts::new().expect("room for constants");
    (3..=59).rev().map(|zones| (zones as u8, fraction(&transition(zones, &mut constants)))).collect()
});

/// The number of longitude zones, exactly.
fn exact_zones(latitude: &Exact) -> u8 {
    let latitude = size(latitude);
    if latitude > whole(87) {
        return 1;
    }
    // The edge itself is irrational, but a latitude as close as the edge's own error would prove nothing.
    let blur = Exact::new(BigInt::from(1), BigInt::from(1) << 200);
    let past = TRANSITIONS.partition_point(|(_, edge)| {
        assert!(size(&(edge - &latitude)) > blur, "too close to an edge to tell");
        *edge < latitude
    });
    59 - past as u8
}

#[test]
fn transitions_are_those_of_the_formula() {
    assert_eq!(TRANSITIONS.len(), 57);
    for (count, edge) in TRANSITIONS.iter() {
        let middle = nearest(edge);
        // One step of a binary64 to each side is clear of the edge.
        for (latitude, wanted) in [(middle.next_down(), *count), (middle.next_up(), count - 1)] {
            assert!((exact(latitude) < *edge) == (wanted == *count), "{latitude} is on the wrong side of {count}");
            assert_eq!(zones(latitude), wanted, "{latitude}");
            assert_eq!(zones(-latitude), wanted, "-{latitude}");
            assert_eq!(exact_zones(&exact(latitude)), wanted, "{latitude}");
        }
    }
    // The formula's own last transition is 87 degrees, where the rule says that two zones still hold.
    let mut constants = Consts::new().expect("room for constants");
    let last = fraction(&transition(2, &mut constants)) - whole(87);
    assert!(size(&last) < Exact::new(BigInt::from(1), BigInt::from(1) << 250));
    for south in [1.0, -1.0] {
        let at =
            [0.0, 87_f64.next_down(), 87.0, 87_f64.next_up(), 89.999, 90.0].map(|latitude| zones(south * latitude));
        assert_eq!(at, [59, 2, 2, 1, 1, 1]);
    }
}

/// The closed formula of page 235 itself, not its inverse: floor(2 pi / acos(1 - (1 - cos(pi / 30)) / cos^2(latitude))).
#[test]
fn zones_are_those_of_the_closed_formula() {
    let round = RoundingMode::ToEven;
    let mut constants = Consts::new().expect("room for constants");
    let number = |n: f64| BigFloat::from_f64(n, PRECISION);
    let pi = constants.pi(PRECISION, round);
    let radian = pi.div(&number(180.0), PRECISION, round);
    let part = number(1.0).sub(
        &pi.div(&number(30.0), PRECISION, round).cos(PRECISION, round, &mut constants),
        PRECISION,
        round,
    );
    let mut random = Random(0x2035);
    let mut met = std::collections::BTreeSet::new();
    for _ in 0..600 {
        let latitude = random.between(-86.999, 86.999);
        let cosine = number(latitude).mul(&radian, PRECISION, round).cos(PRECISION, round, &mut constants);
        let inner = part.div(&cosine.mul(&cosine, PRECISION, round), PRECISION, round);
        let angle = number(1.0).sub(&inner, PRECISION, round).acos(PRECISION, round, &mut constants);
        let count = pi.mul(&number(2.0), PRECISION, round).div(&angle, PRECISION, round);
        assert_eq!(i64::from(zones(latitude)), small(&floor(&fraction(&count))), "{latitude}");
        met.insert(zones(latitude));
    }
    assert!(met.len() > 45, "only {met:?} were met");
}

/// Latitudes that a word can mean, next to every transition on both sides: the ones where rounding could matter.
#[test]
fn every_grid_latitude_next_to_a_transition_has_its_zones() {
    let mut tried = 0;
    for (count, edge) in TRANSITIONS.iter() {
        for cells in [60, 59] {
            for (base, steps) in [(360, 1_i64 << 17), (90, 1 << 17), (360, 1 << 19)] {
                let step = Exact::new(BigInt::from(base), BigInt::from(cells * steps));
                let below = small(&floor(&(edge / &step)));
                for (n, wanted) in
                    [(below - 1, *count), (below, *count), (below + 1, count - 1), (below + 2, count - 1)]
                {
                    let latitude = &step * whole(n);
                    assert_eq!(exact_zones(&latitude), wanted);
                    assert_eq!(zones(nearest(&latitude)), wanted, "{n} of {cells} cells near {count}");
                    // As a receiver computes it, cell and place apart.
                    let cell = base as f64 / cells as f64;
                    let received = cell * ((n / steps) as f64 + (n % steps) as f64 / steps as f64);
                    assert_eq!(zones(received), wanted, "{n} of {cells} cells near {count}");
                    assert_eq!(zones(-received), wanted, "{n} of {cells} cells near {count}");
                    tried += 1;
                }
            }
        }
    }
    assert_eq!(tried, 57 * 2 * 3 * 4);
}

// ---- the published equations, exactly

const CELL: i64 = 1 << 17;

/// Nb of the publications: 17 bits, 12 for TIS-B coarsely (Doc 9871 draft, page 237).
fn cell(grid: Grid) -> i64 {
    if grid == Grid::Coarse { 4096 } else { CELL }
}

fn base(grid: Grid) -> i64 {
    match grid {
        Grid::Airborne | Grid::Coarse => 360,
        Grid::Surface => 90,
    }
}

fn longitude_cells(latitude: &Exact, odd: bool) -> i64 {
    (i64::from(exact_zones(latitude)) - i64::from(odd)).max(1)
}

/// A word, and how far the nearer of its two roundings was from the middle between two steps.
fn encode(latitude: &Exact, longitude: &Exact, odd: bool, grid: Grid) -> (Word, Exact) {
    let steps = match grid {
        Grid::Airborne => whole(1 << 17),
        Grid::Coarse => whole(1 << 12),
        Grid::Surface => whole(1 << 19),
    };
    let place = |degrees: &Exact, cell: &Exact| &steps * modulo(degrees, cell) / cell;
    let tie = |place: &Exact| size(&(place - place.floor() - half()));
    let cell = whole(360) / whole(60 - i64::from(odd));
    let y = place(latitude, &cell);
    let rounded = (&y + half()).floor();
    let received = &cell * (&rounded / &steps + (latitude / &cell).floor());
    let cell = whole(360) / whole(longitude_cells(&received, odd));
    let x = place(longitude, &cell);
    let low = |place: &Exact| small(&(floor(&(place + half())) % BigInt::from(self::cell(grid)))) as u32;
    (Word { odd, latitude: low(&y), longitude: low(&x) }, tie(&y).min(tie(&x)))
}

fn place(bits: u32, grid: Grid) -> Exact {
    Exact::new(BigInt::from(bits), BigInt::from(cell(grid)))
}

fn wrapped(longitude: &Exact) -> Exact {
    modulo(&(longitude + whole(180)), &whole(360)) - whole(180)
}

fn local(word: Word, reference: (&Exact, &Exact), grid: Grid) -> (Exact, Exact) {
    let near = |reference: &Exact, cell: &Exact, place: Exact| {
        let zone = (reference / cell).floor() + (half() + modulo(reference, cell) / cell - &place).floor();
        cell * (zone + place)
    };
    let latitude =
        near(reference.0, &(whole(base(grid)) / whole(60 - i64::from(word.odd))), place(word.latitude, grid));
    let cell = whole(base(grid)) / whole(longitude_cells(&latitude, word.odd));
    let longitude = near(reference.1, &cell, place(word.longitude, grid));
    (latitude, wrapped(&longitude))
}

/// Zone indices, zones, latitude and longitude at the newest word, or why there is none.
type Solved = Result<(i64, i64, u8, Exact, Exact), PairError>;

fn solve(older: Word, newest: Word, grid: Grid, site: Option<(&Exact, &Exact)>) -> Solved {
    let (even, odd) = if newest.odd { (older, newest) } else { (newest, older) };
    let j = (whole(59) * place(even.latitude, grid) - whole(60) * place(odd.latitude, grid) + half()).floor();
    let latitude = |word: Word| {
        let cells = whole(60 - i64::from(word.odd));
        whole(base(grid)) / &cells * (modulo(&j, &cells) + place(word.latitude, grid))
    };
    let mut both = [latitude(older), latitude(newest)];
    match (grid, site) {
        (Grid::Airborne | Grid::Coarse, _) => {
            for latitude in &mut both {
                if *latitude >= whole(270) {
                    *latitude -= whole(360);
                }
            }
        }
        (Grid::Surface, None) => return Err(PairError::ReferenceNeeded),
        // North, or 90 degrees further south: whichever is nearer to the site, for the pair as a whole.
        (Grid::Surface, Some((site, _))) => {
            let south = &both[1] - whole(90);
            if size(&(south - site)) < size(&(&both[1] - site)) {
                both = both.map(|latitude| latitude - whole(90));
            }
        }
    }
    if both.iter().any(|latitude| size(latitude) > whole(90)) {
        return Err(PairError::Impossible);
    }
    let [count, other] = [&both[1], &both[0]].map(exact_zones);
    if count != other {
        return Err(PairError::ZonesDiffer);
    }
    let nl = whole(count.into());
    let m = (place(even.longitude, grid) * (&nl - whole(1)) - place(odd.longitude, grid) * &nl + half()).floor();
    let cells = whole((i64::from(count) - i64::from(newest.odd)).max(1));
    let first = whole(base(grid)) / &cells * (modulo(&m, &cells) + place(newest.longitude, grid));
    let longitude = match (grid, site) {
        (Grid::Surface, Some((_, site))) => (0..4)
            .map(|quarter| wrapped(&(&first + whole(90 * quarter))))
            .min_by_key(|longitude| size(&wrapped(&(longitude - site))))
            .expect("four of them"),
        _ => wrapped(&first),
    };
    let [_, latitude] = both;
    Ok((small(&j.to_integer()), small(&m.to_integer()), count, latitude, longitude))
}

// ---- positions to try

impl Random {
    fn between(&mut self, least: f64, most: f64) -> f64 {
        least + (most - least) * (self.next() >> 11) as f64 / 2_f64.powi(53)
    }

    fn word(&mut self, odd: bool) -> Word {
        let bits = self.next();
        Word { odd, latitude: (bits & 0x1_FFFF) as u32, longitude: (bits >> 32 & 0x1_FFFF) as u32 }
    }
}

/// Latitudes where something changes: equator, poles, 87, zone transitions, cell edges, and tiny steps beside them.
fn edge_latitudes() -> Vec<f64> {
    let mut all = vec![0.0, 90.0, 87.0, 89.99, 45.0, 5e-324, 1e-300, 1e-20, 1e-12];
    all.extend(TRANSITIONS.iter().map(|(_, edge)| nearest(edge)));
    all.extend((1..=15).map(|cell| f64::from(cell) * 6.0));
    all.extend((1..=14).map(|cell| f64::from(cell) * 360.0 / 59.0));
    let beside = [0.0, 1e-9, -1e-9, 2e-6, -2e-6, 2e-5, -2e-5, 5e-5, -5e-5];
    let all = all.iter().flat_map(|latitude| beside.map(|little| latitude + little));
    all.filter(|latitude| latitude.abs() <= 90.0).flat_map(|latitude| [latitude, -latitude]).collect()
}

fn edge_longitudes() -> Vec<f64> {
    let mut all =
        vec![0.0, -0.0, -5e-324, -1e-20, -1e-12, 1e-12, 180.0, -180.0, 180_f64.next_down(), 90.0, -90.0, 120.0];
    all.extend([179.999_999, -179.999_999, 179.9986, -179.9986]);
    for cells in [1, 2, 3, 35, 36, 58, 59] {
        all.extend(
            [1, cells / 2]
                .map(|cell| f64::from(cell) * 360.0 / f64::from(cells))
                .map(|at| if at > 180.0 { at - 360.0 } else { at }),
        );
    }
    all.iter()
        .flat_map(|longitude| [*longitude, longitude - 1e-9])
        .filter(|longitude| longitude.abs() <= 180.0)
        .collect()
}

/// Edge positions, then random ones all over the globe.
fn positions(random: &mut Random, count: usize) -> Vec<Position> {
    let longitudes = edge_longitudes();
    let mut all: Vec<Position> = edge_latitudes()
        .into_iter()
        .enumerate()
        .flat_map(|(n, latitude_deg)| {
            let longitudes = [0, 1, 2].map(|more| longitudes[(7 * n + 11 * more) % longitudes.len()]);
            longitudes.map(|longitude_deg| Position { latitude_deg, longitude_deg })
        })
        .collect();
    all.extend((0..count).map(|_| Position {
        // Even over the degrees of latitude, so the poles, where zones are few, get more than their area's share.
        latitude_deg: random.between(-90.0, 90.0),
        longitude_deg: random.between(-180.0, 180.0),
    }));
    all
}

fn turn_between(a: f64, b: f64) -> f64 {
    let turn = (a - b).rem_euclid(360.0);
    turn.min(360.0 - turn)
}

/// The decoded position agrees with the exact one, and lies where a position may lie.
fn agrees(found: Position, exact: &(Exact, Exact), what: &dyn std::fmt::Debug) {
    let (latitude, longitude) = (nearest(&exact.0), nearest(&exact.1));
    assert!((found.latitude_deg - latitude).abs() < 1e-10, "{what:?}: latitude {} for {latitude}", found.latitude_deg);
    assert!(
        turn_between(found.longitude_deg, longitude) < 1e-10,
        "{what:?}: longitude {} for {longitude}",
        found.longitude_deg
    );
    assert!((-180.0..180.0).contains(&found.longitude_deg), "{what:?}: longitude {}", found.longitude_deg);
}

/// The decoded position is the one that was sent, to half a step of the grid each way (and the blur of binary64).
fn is_where_it_was(found: Position, sent: Position, odd: bool, grid: Grid) {
    let step = base(grid) as f64 / cell(grid) as f64;
    let latitude_step = step / f64::from(60 - u8::from(odd));
    let longitude_step = step / longitude_cells(&exact(found.latitude_deg), odd) as f64;
    let away = (found.latitude_deg - sent.latitude_deg).abs();
    assert!(away <= latitude_step * 0.5 + 1e-9, "{sent:?} comes back {away} degrees of latitude away");
    let away = turn_between(found.longitude_deg, sent.longitude_deg);
    assert!(away <= longitude_step * 0.5 + 1e-9, "{sent:?} comes back {away} degrees of longitude away");
}

const GRIDS: [Grid; 3] = [Grid::Airborne, Grid::Surface, Grid::Coarse];

// ---- the tests

/// Fixed words at the poles and at 87 degrees, own computation from the published equations.
#[test]
fn poles_and_87_degrees_have_their_words() {
    for (latitude, odd, y, x) in [
        (90, false, 0, 3641),
        (90, true, 98304, 3641),
        (-90, false, 0, 3641),
        (-90, true, 32768, 3641),
        (87, false, 65536, 7282),
    ] {
        let wanted = Word { odd, latitude: y, longitude: x };
        assert_eq!(encode(&whole(latitude), &whole(10), odd, Grid::Airborne).0, wanted, "{latitude}");
        let position = Position { latitude_deg: latitude as f64, longitude_deg: 10.0 };
        assert_eq!(Word::encode(position, odd, Grid::Airborne).unwrap(), wanted, "{latitude}");
    }
}

#[test]
fn words_are_those_of_exact_arithmetic() {
    let (mut same, mut tied) = (0, 0);
    for position in positions(&mut Random(0xE2C0DE), 12_000) {
        let (latitude, longitude) = (exact(position.latitude_deg), exact(position.longitude_deg));
        for grid in GRIDS {
            for odd in [false, true] {
                let (wanted, tie) = encode(&latitude, &longitude, odd, grid);
                let found = Word::encode(position, odd, grid).unwrap();
                assert!(found.latitude.max(found.longitude) < cell(grid) as u32);
                if found == wanted {
                    same += 1;
                } else {
                    // Only where the exact value lies in the middle of two steps may binary64 take the other one.
                    assert!(
                        tie < Exact::new(BigInt::from(1), BigInt::from(1 << 20)),
                        "{position:?} {odd} {grid:?}: {found:?} for {wanted:?}"
                    );
                    let apart = |a: u32, b: u32| a.abs_diff(b).min(cell(grid) as u32 - a.abs_diff(b));
                    assert!(
                        apart(found.latitude, wanted.latitude) <= 1 && apart(found.longitude, wanted.longitude) <= 1
                    );
                    tied += 1;
                }
            }
        }
    }
    assert!(same > 50_000 && tied * 1000 < same, "{same} words are the same, {tied} are ties");
}

/// Half steps of the even grid are binary fractions, so there even ties are exact: they go up.
#[test]
fn exact_half_steps_go_up() {
    let mut random = Random(0x71E5);
    for _ in 0..3000 {
        let step = (random.next() % (15 << 17)) as i64 - (15 << 17) / 2;
        let latitude = exact((2 * step + 1) as f64) * whole(3) / whole(CELL);
        let latitude_deg = nearest(&latitude);
        assert_eq!(exact(latitude_deg), latitude, "a binary fraction");
        let found = Word::encode(Position { latitude_deg, longitude_deg: 0.0 }, false, Grid::Airborne).unwrap();
        assert_eq!(i64::from(found.latitude), (step + 1).rem_euclid(CELL), "{latitude_deg}");
    }
}

#[test]
fn airborne_pairs_give_the_position_back() {
    let (mut solved, mut refused) = (0, 0);
    for sent in positions(&mut Random(0xA17), 6000) {
        let [even, odd] = [false, true].map(|odd| Word::encode(sent, odd, Grid::Airborne).unwrap());
        for (older, newest) in [(even, odd), (odd, even)] {
            let found = global(older, newest, Grid::Airborne, None);
            same_solution(&found, &solve(older, newest, Grid::Airborne, None), &sent);
            match found {
                Ok(pair) => {
                    is_where_it_was(pair.position, sent, newest.odd, Grid::Airborne);
                    solved += 1;
                }
                // The two grids round to different sides of a transition: only there is a pair of one position refused.
                Err(error) => {
                    assert_eq!(error, PairError::ZonesDiffer, "{sent:?}");
                    let near = TRANSITIONS.iter().map(|(_, edge)| nearest(edge)).chain([87.0]);
                    assert!(near.into_iter().any(|edge| (edge - sent.latitude_deg.abs()).abs() < 5e-5), "{sent:?}");
                    refused += 1;
                }
            }
        }
    }
    assert!(solved > 14_000 && refused > 50, "{solved} pairs solved, {refused} refused");
}

fn same_solution(found: &Result<Pair, PairError>, wanted: &Solved, what: &dyn std::fmt::Debug) {
    match (found, wanted) {
        (Ok(pair), Ok((j, m, count, latitude, longitude))) => {
            assert_eq!((pair.latitude_zone, pair.longitude_zone, pair.zones), (*j, *m, *count), "{what:?}");
            agrees(pair.position, &(latitude.clone(), longitude.clone()), what);
        }
        (Err(found), Err(wanted)) => assert_eq!(found, wanted, "{what:?}"),
        _ => panic!("{what:?}: found {found:?}, exactly {wanted:?}"),
    }
}

/// A place within `reach_deg` of another.
fn nearby(random: &mut Random, of: Position, reach_deg: f64) -> Position {
    let latitude_deg = (of.latitude_deg + random.between(-reach_deg, reach_deg)).clamp(-90.0, 90.0);
    let widened = (reach_deg / latitude_deg.to_radians().cos().max(0.05)).min(40.0);
    let longitude_deg = of.longitude_deg + random.between(-widened, widened);
    Position { latitude_deg, longitude_deg: (longitude_deg + 180.0).rem_euclid(360.0) - 180.0 }
}

#[test]
fn surface_pairs_give_the_position_back() {
    let mut random = Random(0x5F);
    let mut quadrants = BTreeMap::new();
    let mut refused = 0;
    for sent in positions(&mut Random(0x5E), 6000) {
        // The two published solutions are R and R - 90 with R below 90, so 90 itself is out of their reach.
        if sent.latitude_deg > 90.0 - 2e-5 {
            continue;
        }
        let site = nearby(&mut random, sent, 0.4);
        let (latitude, longitude) = (exact(site.latitude_deg), exact(site.longitude_deg));
        let [even, odd] = [false, true].map(|odd| Word::encode(sent, odd, Grid::Surface).unwrap());
        for (older, newest) in [(even, odd), (odd, even)] {
            let found = global(older, newest, Grid::Surface, Some(site));
            same_solution(&found, &solve(older, newest, Grid::Surface, Some((&latitude, &longitude))), &(sent, site));
            match found {
                Ok(pair) => {
                    is_where_it_was(pair.position, sent, newest.odd, Grid::Surface);
                    *quadrants.entry((sent.latitude_deg < 0.0, sent.longitude_deg < 0.0)).or_insert(0) += 1;
                }
                Err(error) => {
                    assert_eq!(error, PairError::ZonesDiffer, "{sent:?}");
                    // Beside a transition, or where one word rounds to the equator and the other to just south of it.
                    let near = TRANSITIONS.iter().map(|(_, edge)| nearest(edge)).chain([0.0, 87.0]);
                    assert!(near.into_iter().any(|edge| (edge - sent.latitude_deg.abs()).abs() < 2e-5), "{sent:?}");
                    refused += 1;
                }
            }
        }
    }
    assert!(quadrants.len() == 4 && quadrants.values().all(|count| *count > 2000), "{quadrants:?}");
    assert!(refused > 10, "{refused} refused");
}

/// The same pair, seen from each of its eight places, gives that place.
#[test]
fn a_surface_pair_fits_the_site_that_it_is_given() {
    let mut random = Random(0x8);
    for _ in 0..500 {
        let north = Position { latitude_deg: random.between(5.0, 80.0), longitude_deg: random.between(-180.0, 180.0) };
        for quarter in 0..4 {
            for south in [false, true] {
                let site = Position {
                    latitude_deg: north.latitude_deg - if south { 90.0 } else { 0.0 },
                    longitude_deg: (north.longitude_deg + 90.0 * f64::from(quarter) + 180.0).rem_euclid(360.0) - 180.0,
                };
                let [even, odd] = [false, true].map(|odd| Word::encode(site, odd, Grid::Surface).unwrap());
                let Ok(pair) = global(even, odd, Grid::Surface, Some(site)) else { continue };
                is_where_it_was(pair.position, site, true, Grid::Surface);
                assert!(pair.position.distance_nm(site) < 0.01, "{site:?}: {:?}", pair.position);
            }
        }
    }
}

#[test]
fn one_word_and_a_reference_give_the_position_back() {
    let mut random = Random(0x10CA1);
    for sent in positions(&mut Random(0x10C), 5000) {
        for grid in GRIDS {
            // Well inside half a cell of latitude; half a cell of longitude is wider at every latitude below 87.
            let reach = grid.reach_nm() / 60.0 * 0.9;
            let latitude_deg = sent.latitude_deg + random.between(-reach, reach);
            let reference = Position {
                latitude_deg: if latitude_deg.abs() > 90.0 {
                    2.0 * sent.latitude_deg - latitude_deg
                } else {
                    latitude_deg
                },
                longitude_deg: sent.longitude_deg + random.between(-reach, reach),
            };
            let longitude = exact(reference.longitude_deg);
            for odd in [false, true] {
                let word = Word::encode(sent, odd, grid).unwrap();
                let found = word.local(reference, grid);
                agrees(
                    found,
                    &local(word, (&exact(reference.latitude_deg), &longitude), grid),
                    &(sent, reference, grid),
                );
                is_where_it_was(found, sent, odd, grid);
            }
        }
    }
}

/// References that people type: whole degrees, and cell edges themselves. Where the reference lies on the edge of a
/// cell, the cell and the place in it must come from the same division.
#[test]
fn a_reference_on_the_edge_of_a_cell_gives_the_position_back() {
    let mut random = Random(0xED6E);
    let mut wrong = Vec::new();
    let mut tried = 0;
    for latitude in (-90_i32..=90).step_by(3) {
        for longitude in (-180..180).step_by(3) {
            let reference = Position { latitude_deg: f64::from(latitude), longitude_deg: f64::from(longitude) };
            let sent = nearby(&mut random, reference, 0.2);
            for grid in GRIDS {
                for odd in [false, true] {
                    let found = Word::encode(sent, odd, grid).unwrap().local(reference, grid);
                    tried += 1;
                    if found.distance_nm(sent) > if grid == Grid::Coarse { 0.2 } else { 0.1 } {
                        let line = format!("{sent:?}, odd {odd}, {grid:?}, reference {reference:?}: {found:?}");
                        wrong.push((latitude.abs(), line));
                    }
                }
            }
        }
    }
    wrong.sort();
    let first: Vec<_> = wrong.iter().take(6).map(|(_, line)| line.as_str()).collect();
    assert!(wrong.is_empty(), "{} of {tried} are wrong, such as\n{}", wrong.len(), first.join("\n"));
}

/// A word of 17 bits as one of this grid.
fn cut(word: Word, grid: Grid) -> Word {
    let low = |place: u32| place % cell(grid) as u32;
    Word { latitude: low(word.latitude), longitude: low(word.longitude), ..word }
}

/// Words that no aircraft sent: whatever they give, it is what the equations give, and a place on the globe.
#[test]
fn any_two_words_are_solved_or_refused_as_the_equations_say() {
    let mut random = Random(0xA1177);
    let mut counts = BTreeMap::new();
    for _ in 0..15_000 {
        let (even, odd) = (random.word(false), random.word(true));
        let (older, newest) = if random.next() & 1 == 0 { (even, odd) } else { (odd, even) };
        let site = Position { latitude_deg: random.between(-90.0, 90.0), longitude_deg: random.between(-180.0, 180.0) };
        let (latitude, longitude) = (exact(site.latitude_deg), exact(site.longitude_deg));
        for (grid, reference) in [(Grid::Airborne, None), (Grid::Surface, Some(site)), (Grid::Coarse, None)] {
            let (older, newest) = (cut(older, grid), cut(newest, grid));
            let found = global(older, newest, grid, reference);
            let wanted = solve(older, newest, grid, reference.map(|_| (&latitude, &longitude)));
            same_solution(&found, &wanted, &(older, newest, grid, site));
            let kind = match found {
                Ok(pair) => {
                    assert!(pair.position.latitude_deg.abs() <= 90.0, "{pair:?}");
                    "solved".to_owned()
                }
                Err(error) => format!("{error:?}"),
            };
            *counts.entry((format!("{grid:?}"), kind)).or_insert(0) += 1;
        }
    }
    for (grid, kind) in [
        ("Airborne", "solved"),
        ("Airborne", "ZonesDiffer"),
        ("Airborne", "Impossible"),
        ("Coarse", "solved"),
        ("Coarse", "ZonesDiffer"),
        ("Surface", "solved"),
        ("Surface", "ZonesDiffer"),
    ] {
        let count = counts.get(&(grid.to_owned(), kind.to_owned()));
        assert!(count.is_some_and(|count| *count > 20), "{grid} {kind}: {counts:?}");
    }
}

#[test]
fn pairs_that_cannot_be_solved_say_why() {
    let mut random = Random(0x5A3E);
    for _ in 0..100 {
        for odd in [false, true] {
            let (one, other) = (random.word(odd), random.word(odd));
            for grid in GRIDS {
                assert_eq!(global(one, other, grid, None), Err(PairError::SameFormat));
            }
            assert_eq!(global(one, random.word(!odd), Grid::Surface, None), Err(PairError::ReferenceNeeded));
        }
    }
}

/// Where the two words of one position lie on different sides of a transition, both orders are refused.
#[test]
fn pairs_across_a_transition_are_refused() {
    let mut refused = 0;
    for (count, edge) in TRANSITIONS.iter() {
        for at in -40..=40 {
            for south in [1.0, -1.0] {
                let latitude_deg = south * (nearest(edge) + f64::from(at) * 1e-6);
                let position = Position { latitude_deg, longitude_deg: f64::from(*count) };
                let words = [false, true].map(|odd| Word::encode(position, odd, Grid::Airborne).unwrap());
                // The latitudes that a receiver gets, exactly.
                let received = [0, 1].map(|odd: i64| {
                    let cell = whole(360) / whole(60 - odd);
                    let latitude = exact(latitude_deg);
                    let place = (modulo(&latitude, &cell) / &cell * whole(CELL) + half()).floor();
                    &cell * (place / whole(CELL) + (&latitude / &cell).floor())
                });
                let differ = exact_zones(&received[0]) != exact_zones(&received[1]);
                for (older, newest) in [(words[0], words[1]), (words[1], words[0])] {
                    let found = global(older, newest, Grid::Airborne, None);
                    assert_eq!(found == Err(PairError::ZonesDiffer), differ, "{latitude_deg}: {found:?}");
                }
                refused += u32::from(differ);
            }
        }
    }
    assert!(refused > 500, "{refused}");
}

#[test]
fn a_word_alone_names_every_latitude_that_it_may_mean() {
    for sent in positions(&mut Random(0x1A7), 600).into_iter().step_by(20) {
        for grid in GRIDS {
            for odd in [false, true] {
                let word = Word::encode(sent, odd, grid).unwrap();
                let all = word.latitudes(grid);
                assert!(all.windows(2).all(|pair| pair[0].0 < pair[1].0), "south to north");
                let cell = base(grid) as f64 / f64::from(60 - u8::from(odd));
                let count = 180.0 / cell;
                assert!((all.len() as f64 - count).abs() <= 1.0, "{} of {count}", all.len());
                for (latitude, cells) in &all {
                    assert_eq!(i64::from(*cells), longitude_cells(&exact(*latitude), odd), "{latitude}");
                    let steps = self::cell(grid) as f64;
                    let place = (latitude / cell).rem_euclid(1.0) * steps;
                    let off = (place - f64::from(word.latitude)).rem_euclid(steps);
                    assert!(off.min(steps - off) < 1e-4, "{latitude} is not where the word says");
                }
                let step = cell / self::cell(grid) as f64;
                let near = all.iter().any(|(latitude, _)| (latitude - sent.latitude_deg).abs() <= step * 0.5 + 1e-9);
                assert!(near, "{sent:?} is not among them");
            }
        }
    }
}

/// From degrees to a frame and back, by the names that people use.
#[test]
fn messages_carry_their_position() {
    let mut random = Random(0x3E55A6E);
    for (name, grid) in [
        ("airborne_position", Grid::Airborne),
        ("surface_position", Grid::Surface),
        ("tis_b_coarse_position", Grid::Coarse),
    ] {
        for sent in positions(&mut random, 300) {
            for (format, odd) in [("even", false), ("odd", true)] {
                let fields = [
                    ("address", "ABCDEF".to_owned()),
                    ("cpr_format", format.to_owned()),
                    ("latitude_deg", sent.latitude_deg.to_string()),
                    ("longitude_deg", sent.longitude_deg.to_string()),
                ];
                let fields = fields.map(|(field, value)| (field.to_owned(), value)).into();
                let frame = encode_meanings(name, &fields, Version::Two).expect("a frame").frame;
                let decoded = Decoded::new(frame);
                let word = match (decoded.squitter(), grid) {
                    (Some(Message::AirbornePosition(message)), Grid::Airborne) => message.word(),
                    (Some(Message::SurfacePosition(message)), Grid::Surface) => message.word(),
                    (None, Grid::Coarse) => TisBCoarsePosition::from_bits(frame.message_field()).word(),
                    other => panic!("{other:?}"),
                };
                assert_eq!(decoded.message(), name);
                assert_eq!(word, Word::encode(sent, odd, grid).unwrap(), "{sent:?}");
            }
        }
    }
}

#[test]
fn distances_are_great_circles() {
    let at = |latitude_deg, longitude_deg| Position { latitude_deg, longitude_deg };
    // A minute of a great circle is a nautical mile.
    for (one, other, miles) in [
        (at(0.0, 0.0), at(0.0, 0.0), 0.0),
        (at(0.0, 179.5), at(0.0, -179.5), 60.0),
        (at(52.0, 4.0), at(53.0, 4.0), 60.0),
        (at(-0.5, 10.0), at(0.5, 10.0), 60.0),
        (at(90.0, 0.0), at(89.0, 77.0), 60.0),
        (at(0.0, 0.0), at(0.0, 90.0), 5400.0),
        (at(90.0, 0.0), at(-90.0, 0.0), 10_800.0),
        (at(60.0, 0.0), at(60.0, 180.0), 3600.0),
    ] {
        for (one, other) in [(one, other), (other, one)] {
            assert!((one.distance_nm(other) - miles).abs() < 1e-6, "{one:?} to {other:?}: {}", one.distance_nm(other));
        }
    }
}
