//! Compact position reporting (CPR): encodes a position as a place within a cell of one of two grids, and finds the
//! position again.
//!
//! Sources: ICAO Doc 9871 draft, pages 55, 59 and 235 to 238; Annex 10 Volume III, Appendix to Chapter 5; handbook,
//! ADS-B part, chapters 3 and 4. Latitudes and longitudes are degrees, north and east positive.

use super::{CodeError, finite};

/// Latitudes where the number of longitude zones falls from N to N - 1, for N = 59 down to 2:
/// (180 / pi) acos(sqrt((1 - cos(pi / 30)) / (1 - cos(2 pi / N)))), to the last digit of a binary64.
/// The last is 87 by rule; 87 itself still has two zones (Doc 9871 draft, page 235).
const TRANSITIONS_DEG: [f64; 58] = [
    10.470471299968775,    // 59
    14.828174368687508,    // 58
    18.186263570714181,    // 57
    21.029394926029344,    // 56
    23.545044865571402,    // 55
    25.829247070588554,    // 54
    27.938987101219166,    // 53
    29.91135685731838,     // 52
    31.77209707681102,     // 51
    33.539934362985456,    // 50
    35.228995977964466,    // 49
    36.85025107593547,     // 48
    38.412418924123045,    // 47
    39.92256684333892,     // 46
    41.386518322602825,    // 45
    42.809140122435664,    // 44
    44.19454951419314,     // 43
    45.54626722660254,     // 42
    46.867332524987674,    // 41
    48.160391280966533,    // 40
    49.42776439255704,     // 39
    50.67150165553846,     // 38
    51.89342469168786,     // 37
    53.09516152796016,     // 36
    54.27817472272919,     // 35
    55.4437844449506,      // 34
    56.593_187_562_059_35, // 33
    57.72747353866127,     // 32
    58.84763776148471,     // 31
    59.954592766940465,    // 30
    61.04917774246363,     // 29
    62.132166592103424,    // 28
    63.20427479381938,     // 27
    64.2661652256745,      // 26
    65.31845309682099,     // 25
    66.36171008382628,     // 24
    67.39646774084676,     // 23
    68.4232202208334,      // 22
    69.44242631144031,     // 21
    70.454_510_749_876_08, // 20
    71.4598647302899,      // 19
    72.45884544728952,     // 18
    73.4517744166787,      // 17
    74.43893415725142,     // 16
    75.42056256653363,     // 15
    76.39684390794473,     // 14
    77.36789461328192,     // 13
    78.333_740_829_227_52, // 12
    79.29428225456931,     // 11
    80.24923213280516,     // 10
    81.19801349271951,     // 9
    82.13956980510609,     // 8
    83.07199444719816,     // 7
    83.991_735_629_805_66, // 6
    84.89166190702088,     // 5
    85.75541620944419,     // 4
    86.53536997512101,     // 3
    87.0,                  // 2
];

/// Which cells: 360 degrees in the air, 90 on the surface; and into how many steps a word divides one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Grid {
    /// Airborne positions: about 5 m.
    Airborne,
    /// Surface positions: four times finer, so unambiguous only within a quarter of the globe.
    Surface,
    /// Airborne positions in 12 bits, as TIS-B sends them coarsely: about 160 m.
    Coarse,
}

impl Grid {
    const fn base_deg(self) -> f64 {
        match self {
            Self::Airborne | Self::Coarse => 360.0,
            Self::Surface => 90.0,
        }
    }

    /// Steps of a cell that a word tells apart (12 bits: Doc 9871 draft, page 237).
    ///
    /// ```
    /// use squitterlab::cpr::Grid;
    /// assert_eq!((Grid::Airborne.steps(), Grid::Coarse.steps()), (1 << 17, 1 << 12));
    /// ```
    pub const fn steps(self) -> u32 {
        match self {
            Self::Airborne | Self::Surface => 1 << 17,
            Self::Coarse => 1 << 12,
        }
    }

    fn place(self, bits: u32) -> f64 {
        f64::from(bits) / f64::from(self.steps())
    }

    /// How far from the reference a position may lie for the local decoding to be right, in nautical miles (Annex 10 III).
    ///
    /// ```
    /// use squitterlab::cpr::Grid;
    /// assert_eq!((Grid::Airborne.reach_nm(), Grid::Surface.reach_nm()), (180.0, 45.0));
    /// ```
    pub const fn reach_nm(self) -> f64 {
        match self {
            Self::Airborne | Self::Coarse => 180.0,
            Self::Surface => 45.0,
        }
    }
}

/// A position in degrees, north and east positive.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Position {
    /// Latitude, -90 to 90.
    pub latitude_deg: f64,
    /// Longitude, from -180 up to but not 180.
    pub longitude_deg: f64,
}

impl Position {
    /// Great-circle distance in nautical miles, on a sphere of 60 NM a degree.
    ///
    /// ```
    /// use squitterlab::cpr::Position;
    /// let here = Position { latitude_deg: 47.0, longitude_deg: 11.0 };
    /// let north = Position { latitude_deg: 48.0, longitude_deg: 11.0 };
    /// assert!((here.distance_nm(north) - 60.0).abs() < 1e-9);
    /// ```
    pub fn distance_nm(self, other: Self) -> f64 {
        let (a, b) = (self.latitude_deg.to_radians(), other.latitude_deg.to_radians());
        let turn = (self.longitude_deg - other.longitude_deg).to_radians();
        let half = ((a - b) / 2.0).sin().powi(2) + a.cos() * b.cos() * (turn / 2.0).sin().powi(2);
        2.0 * half.sqrt().min(1.0).asin().to_degrees() * 60.0
    }

    /// Whether the other position lies no farther away than this many nautical miles.
    ///
    /// ```
    /// use squitterlab::cpr::Position;
    /// let here = Position { latitude_deg: 47.0, longitude_deg: 11.0 };
    /// let north = Position { latitude_deg: 48.0, longitude_deg: 11.0 };
    /// assert!(here.is_within_nm(north, 61.0) && !here.is_within_nm(north, 59.0));
    /// ```
    pub fn is_within_nm(self, other: Self, most_nm: f64) -> bool {
        // Along the edges is never shorter than straight, and mostly decides without a sine.
        let north = (self.latitude_deg - other.latitude_deg).abs();
        let east = wrapped(self.longitude_deg - other.longitude_deg).abs();
        (north + east) * 60.0 <= most_nm || north * 60.0 <= most_nm && self.distance_nm(other) <= most_nm
    }
}

/// One word on the air: the grid's format and 17 bits each way, 12 in a coarse one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Word {
    /// Odd (true) or even format.
    pub odd: bool,
    /// The latitude's place in its cell.
    pub latitude: u32,
    /// The longitude's place in its cell.
    pub longitude: u32,
}

/// Why a pair gives no position.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum PairError {
    /// Both words are of one format.
    #[error("the pair needs one even and one odd word")]
    SameFormat,
    /// The two latitudes lie in zones with different numbers of longitude cells.
    #[error("the two latitudes lie on different sides of a zone transition; wait for another pair")]
    ZonesDiffer,
    /// No latitude of the globe fits both words.
    #[error("no latitude fits both words; one of them is not this aircraft's, or is damaged")]
    Impossible,
    /// A surface pair fits four places.
    #[error("a surface pair fits four places; a reference position within 45 NM decides")]
    ReferenceNeeded,
}

/// The number of longitude zones at a latitude, 59 at the equator down to 1 beyond 87 degrees.
///
/// ```
/// use squitterlab::code::compact_position::zones;
/// assert_eq!((zones(0.0), zones(-87.0), zones(87.0000001)), (59, 2, 1));
/// ```
pub fn zones(latitude_deg: f64) -> u8 {
    let latitude = latitude_deg.abs();
    if latitude <= 87.0 {
        // The other transitions are irrational: no grid latitude equals one.
        59 - TRANSITIONS_DEG[..57].partition_point(|edge| *edge <= latitude) as u8
    } else {
        1
    }
}

/// The latitudes between which there are as many longitude zones as at this one, from the equator outwards.
///
/// ```
/// use squitterlab::code::compact_position::zone_limits;
/// let (from, to) = zone_limits(-44.5);
/// assert!((44.19454..44.19455).contains(&from) && (45.54626..45.54627).contains(&to));
/// ```
pub fn zone_limits(latitude_deg: f64) -> (f64, f64) {
    let at = usize::from(59 - zones(latitude_deg));
    (if at == 0 { 0.0 } else { TRANSITIONS_DEG[at - 1] }, TRANSITIONS_DEG.get(at).copied().unwrap_or(90.0))
}

/// Cells around the globe in latitude: 60 even, 59 odd.
const fn latitude_cells(odd: bool) -> i64 {
    60 - odd as i64
}

fn longitude_cells(latitude_deg: f64, odd: bool) -> i64 {
    (i64::from(zones(latitude_deg)) - i64::from(odd)).max(1)
}

/// The same direction from -180 up to 180 degrees.
pub(super) fn wrapped(longitude_deg: f64) -> f64 {
    (longitude_deg + 180.0).rem_euclid(360.0) - 180.0
}

impl Word {
    /// The word that sends a position.
    ///
    /// ```
    /// use squitterlab::cpr::{Grid, Position, Word};
    /// let north_pole = Position { latitude_deg: 90.0, longitude_deg: 10.0 };
    /// let odd = Word::encode(north_pole, true, Grid::Airborne).unwrap();
    /// assert_eq!((odd.latitude, odd.longitude), (98304, 3641));
    /// let beyond = Position { latitude_deg: 123.0, longitude_deg: 10.0 };
    /// assert!(Word::encode(beyond, true, Grid::Airborne).is_err());
    /// ```
    ///
    /// # Errors
    /// [`CodeError::OutOfRange`] for a latitude beyond a pole, [`CodeError::NotANumber`] for infinities and "not a number".
    pub fn encode(position: Position, odd: bool, grid: Grid) -> Result<Self, CodeError> {
        let (latitude, _) = (finite(position.latitude_deg)?, finite(position.longitude_deg)?);
        if latitude.abs() > 90.0 {
            return Err(CodeError::out_of_range(latitude, -90, 90, " deg"));
        }
        Ok(Self::of(position, odd, grid))
    }

    /// The same of a position that is known to be on the globe.
    pub(crate) fn of(position: Position, odd: bool, grid: Grid) -> Self {
        // Surface words are the low 17 of 19 bits.
        let steps = match grid {
            Grid::Airborne | Grid::Coarse => f64::from(grid.steps()),
            Grid::Surface => f64::from(4 * grid.steps()),
        };
        let place = |degrees: f64, cells: f64| {
            let cell = degrees * cells / 360.0;
            ((cell - cell.floor()) * steps + 0.5).floor()
        };
        let cells = latitude_cells(odd) as f64;
        let latitude = place(position.latitude_deg, cells);
        // The latitude that a receiver will get decides the zone, so that both sides agree.
        let received = 360.0 / cells * (latitude / steps + (position.latitude_deg * cells / 360.0).floor());
        let longitude = place(position.longitude_deg, longitude_cells(received, odd) as f64);
        let low = |place: f64| place as u32 & (grid.steps() - 1);
        Self { odd, latitude: low(latitude), longitude: low(longitude) }
    }

    /// The position of this word nearest to a reference; right within [`Grid::reach_nm`] of it.
    ///
    /// ```
    /// use squitterlab::cpr::{Grid, Position, Word};
    /// let aircraft = Position { latitude_deg: 47.26, longitude_deg: 11.34 };
    /// let receiver = Position { latitude_deg: 48.35, longitude_deg: 11.79 };
    /// let word = Word::encode(aircraft, false, Grid::Airborne).unwrap();
    /// assert!(word.local(receiver, Grid::Airborne).distance_nm(aircraft) < 0.01);
    /// ```
    pub fn local(self, reference: Position, grid: Grid) -> Position {
        let nearest = |reference: f64, cell: f64, place: f64| {
            // One floor, not the standard's two: on the edge of a cell the two can disagree by a whole cell.
            let zone = (reference / cell - place + 0.5).floor();
            cell * (zone + place)
        };
        let cell = grid.base_deg() / latitude_cells(self.odd) as f64;
        let latitude_deg = nearest(reference.latitude_deg, cell, grid.place(self.latitude));
        let cell = grid.base_deg() / longitude_cells(latitude_deg, self.odd) as f64;
        let longitude_deg = nearest(reference.longitude_deg, cell, grid.place(self.longitude));
        Position { latitude_deg, longitude_deg: wrapped(longitude_deg) }
    }

    /// Every latitude that this word alone may mean, south to north, each with the number of longitude cells there.
    ///
    /// ```
    /// use squitterlab::cpr::{Grid, Position, Word};
    /// let aircraft = Position { latitude_deg: 47.26, longitude_deg: 11.34 };
    /// let word = Word::encode(aircraft, false, Grid::Airborne).unwrap();
    /// // One in each of the 30 zones of six degrees from pole to pole.
    /// let latitudes = word.latitudes(Grid::Airborne);
    /// assert_eq!(latitudes.len(), 30);
    /// assert!(latitudes.iter().any(|(latitude, _)| (latitude - 47.26).abs() < 0.0001));
    /// ```
    pub fn latitudes(self, grid: Grid) -> Vec<(f64, u8)> {
        let cell = grid.base_deg() / latitude_cells(self.odd) as f64;
        let most = (90.0 / cell).ceil() as i64;
        (-most..=most)
            .map(|zone| cell * (zone as f64 + grid.place(self.latitude)))
            .filter(|latitude| latitude.abs() <= 90.0)
            .map(|latitude| (latitude, longitude_cells(latitude, self.odd) as u8))
            .collect()
    }
}

/// The arithmetic of a pair, kept for showing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pair {
    /// The latitude zone index j.
    pub latitude_zone: i64,
    /// The longitude zone index m.
    pub longitude_zone: i64,
    /// The number of longitude zones at the solution.
    pub zones: u8,
    /// The solution, at the newest word.
    pub position: Position,
}

/// The position of an even and an odd word, at the newest of the two.
///
/// In the air the pair decides alone. On the surface it fits four places, and `reference` (the site, or a position of
/// this aircraft) picks the nearest; the hemisphere is chosen before the zones are compared.
///
/// ```
/// use squitterlab::cpr::{Grid, Position, Word, global};
/// let here = Position { latitude_deg: 47.26, longitude_deg: 11.34 };
/// let [even, odd] = [false, true].map(|odd| Word::encode(here, odd, Grid::Airborne).unwrap());
/// assert!(global(even, odd, Grid::Airborne, None).unwrap().position.distance_nm(here) < 0.01);
/// assert!(global(even, even, Grid::Airborne, None).is_err());
/// ```
///
/// # Errors
/// [`PairError`] where the words do not give one position.
pub fn global(older: Word, newest: Word, grid: Grid, reference: Option<Position>) -> Result<Pair, PairError> {
    if older.odd == newest.odd {
        return Err(PairError::SameFormat);
    }
    let (even, odd) = if newest.odd { (older, newest) } else { (newest, older) };
    let (y0, y1) = (i64::from(even.latitude), i64::from(odd.latitude));
    let (x0, x1) = (i64::from(even.longitude), i64::from(odd.longitude));
    let steps = i64::from(grid.steps());
    let latitude_zone = (59 * y0 - 60 * y1 + steps / 2).div_euclid(steps);
    let latitude = |word: Word| {
        let cells = latitude_cells(word.odd);
        grid.base_deg() / cells as f64 * (latitude_zone.rem_euclid(cells) as f64 + grid.place(word.latitude))
    };
    let (mut older_latitude, mut latitude_deg) = (latitude(older), latitude(newest));
    match (grid, reference) {
        (Grid::Airborne | Grid::Coarse, _) => {
            for latitude in [&mut older_latitude, &mut latitude_deg] {
                if *latitude >= 270.0 {
                    *latitude -= 360.0;
                }
            }
        }
        (Grid::Surface, None) => return Err(PairError::ReferenceNeeded),
        (Grid::Surface, Some(reference)) => {
            let south = latitude_deg - 90.0;
            if (south - reference.latitude_deg).abs() < (latitude_deg - reference.latitude_deg).abs() {
                latitude_deg = south;
                older_latitude -= 90.0;
            }
        }
    }
    if latitude_deg.abs() > 90.0 || older_latitude.abs() > 90.0 {
        return Err(PairError::Impossible);
    }
    let zones = zones(latitude_deg);
    if zones != self::zones(older_latitude) {
        return Err(PairError::ZonesDiffer);
    }
    let count = i64::from(zones);
    let longitude_zone = (x0 * (count - 1) - x1 * count + steps / 2).div_euclid(steps);
    let cells = (count - i64::from(newest.odd)).max(1);
    let cell = grid.base_deg() / cells as f64;
    let first = cell * (longitude_zone.rem_euclid(cells) as f64 + grid.place(newest.longitude));
    let longitude_deg = match (grid, reference) {
        (Grid::Surface, Some(reference)) => {
            let away = |longitude: f64| wrapped(longitude - reference.longitude_deg).abs();
            [0.0, 90.0, 180.0, 270.0]
                .map(|quarter| wrapped(first + quarter))
                .into_iter()
                .min_by(|a, b| away(*a).total_cmp(&away(*b)))
                .unwrap_or(first)
        }
        _ => wrapped(first),
    };
    Ok(Pair { latitude_zone, longitude_zone, zones, position: Position { latitude_deg, longitude_deg } })
}
