//! Counts that add up in order however a capture is cut: frames that showed one value, unbroken runs, a number over
//! time.

use crate::frame::Frame;
use crate::track::seconds_between;

/// Longer than this without an observation, and nothing is said of the time between (tool default).
pub const SILENCE_S: f64 = 15.0;

/// Frames that showed one thing, and the first of them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Evidence {
    /// How many frames.
    pub frames: u64,
    /// Which file, from 0.
    pub file: usize,
    /// Which line, from 1.
    pub line: u64,
    /// Seconds, where the line has a time.
    pub time: Option<f64>,
    /// The frame.
    pub frame: Frame,
}

impl Evidence {
    /// Adds frames that showed the same; the first of them all stays the example.
    pub fn add(&mut self, other: &Self) {
        let first = if (other.file, other.line) < (self.file, self.line) { *other } else { *self };
        *self = Self { frames: self.frames + other.frames, ..first };
    }

    /// Adds to what may be the first evidence of its kind.
    pub fn note(into: &mut Option<Self>, evidence: &Self) {
        match into {
            Some(known) => known.add(evidence),
            None => *into = Some(*evidence),
        }
    }

    /// The same, with evidence that may be none.
    pub fn join(into: &mut Option<Self>, later: Option<&Self>) {
        if let Some(later) = later {
            Self::note(into, later);
        }
    }
}

/// Evidence by what was seen, in the order of what was seen. Nearly always there is one thing only, so it takes no more
/// room than that.
#[derive(Clone, Debug, PartialEq)]
pub struct Seen<K>(Vec<(K, Evidence)>);

impl<K> Default for Seen<K> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

/// At most this many different values are kept of one thing, however long a capture is: those with the smallest codes, so that
/// parts add up to the same.
pub const MOST_VALUES: usize = 256;

impl<K: Ord> Seen<K> {
    /// Nothing yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds evidence of one thing.
    pub fn note(&mut self, key: K, evidence: &Evidence) {
        match self.place(&key) {
            Ok(at) => self.0[at].1.add(evidence),
            Err(at) => {
                self.0.reserve_exact(1);
                self.0.insert(at, (key, *evidence));
                self.0.truncate(MOST_VALUES);
            }
        }
    }

    /// Adds the evidence of another part.
    pub fn join(&mut self, later: &Self)
    where
        K: Clone,
    {
        for (key, evidence) in later {
            self.note(key.clone(), evidence);
        }
    }

    fn place(&self, key: &K) -> Result<usize, usize> {
        self.0.binary_search_by(|(known, _)| known.cmp(key))
    }

    /// The evidence of one thing.
    pub fn get(&self, key: &K) -> Option<&Evidence> {
        self.place(key).ok().map(|at| &self.0[at].1)
    }

    /// Whether it was seen.
    pub fn contains_key(&self, key: &K) -> bool {
        self.place(key).is_ok()
    }

    /// What was seen.
    pub fn keys(&self) -> impl DoubleEndedIterator<Item = &K> + Clone {
        self.0.iter().map(|(key, _)| key)
    }

    /// The evidence of each.
    pub fn values(&self) -> impl Iterator<Item = &Evidence> {
        self.0.iter().map(|(_, evidence)| evidence)
    }

    /// Each with its evidence.
    pub fn iter(&self) -> impl DoubleEndedIterator<Item = (&K, &Evidence)> {
        self.0.iter().map(|(key, evidence)| (key, evidence))
    }

    /// Keeps what meets a condition.
    pub fn retain(&mut self, mut wanted: impl FnMut(&K, &Evidence) -> bool) {
        self.0.retain(|(key, evidence)| wanted(key, evidence));
    }

    /// How many things were seen.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether nothing was seen.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

impl<K> IntoIterator for Seen<K> {
    type Item = (K, Evidence);
    type IntoIter = std::vec::IntoIter<(K, Evidence)>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.into_iter()
    }
}

impl<'a, K> IntoIterator for &'a Seen<K> {
    type Item = &'a (K, Evidence);
    type IntoIter = std::slice::Iter<'a, (K, Evidence)>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.iter()
    }
}

/// An unbroken row of observations.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Streak {
    /// How many observations.
    pub frames: u64,
    /// When it began and ended, in seconds, where there are times.
    pub span: Option<(f64, f64)>,
}

impl Streak {
    /// How long it was.
    pub fn seconds(&self) -> Option<f64> {
        self.span.map(|(from, to)| to - from)
    }

    fn then(self, next: Self) -> Self {
        let span = match (self.span, next.span) {
            (Some((from, _)), Some((_, to))) => Some((from, to)),
            (span, None) | (None, span) => span,
        };
        Self { frames: self.frames + next.frames, span }
    }

    /// The longer one; the first of equals.
    fn longer(self, other: Self) -> Self {
        let length = |streak: &Self| (streak.seconds().unwrap_or(0.0), streak.frames);
        if length(&other).partial_cmp(&length(&self)) == Some(std::cmp::Ordering::Greater) { other } else { self }
    }
}

/// How long something stayed bad: a run that can be joined to the run of the next part. A silence ends a row.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Run {
    /// Observations.
    pub total: u64,
    /// Bad ones.
    pub bad: u64,
    /// The longest unbroken row of bad ones.
    pub longest: Streak,
    head: Streak,
    tail: Streak,
    /// Whether all of it is one row.
    whole: bool,
    /// The first and the last time.
    times: Option<(f64, f64)>,
}

impl Run {
    /// One observation.
    pub fn one(bad: bool, time: Option<f64>) -> Self {
        let span = time.map(|time| (time, time));
        let streak = if bad { Streak { frames: 1, span } } else { Streak::default() };
        Self { total: 1, bad: u64::from(bad), longest: streak, head: streak, tail: streak, whole: bad, times: span }
    }

    /// This run, then one observation.
    #[inline]
    pub fn observe(&mut self, bad: bool, time: Option<f64>) {
        if bad || self.total == 0 {
            *self = self.then(Self::one(bad, time));
            return;
        }
        // Nearly all are good: that ends a row, and leaves the longest as it was.
        self.total += 1;
        (self.tail, self.whole) = (Streak::default(), false);
        if let Some(time) = time {
            self.times = Some((self.times.map_or(time, |(first, _)| first), time));
        }
    }

    /// This run, then another.
    #[must_use]
    pub fn then(self, next: Self) -> Self {
        if self.total == 0 || next.total == 0 {
            return if self.total == 0 { next } else { self };
        }
        let joined = match (self.times, next.times) {
            (Some((_, before)), Some((after, _))) => follows(before, after),
            _ => true,
        };
        let across = if joined { self.tail.then(next.head) } else { Streak::default() };
        Self {
            total: self.total + next.total,
            bad: self.bad + next.bad,
            longest: self.longest.longer(across).longer(next.longest),
            head: if self.whole && joined { self.head.then(next.head) } else { self.head },
            tail: if next.whole && joined { self.tail.then(next.tail) } else { next.tail },
            whole: self.whole && next.whole && joined,
            times: match (self.times, next.times) {
                (Some((first, _)), Some((_, last))) => Some((first, last)),
                (times, None) | (None, times) => times,
            },
        }
    }

    /// The two added up where neither comes before the other: rows are not joined.
    #[must_use]
    pub fn beside(self, other: Self) -> Self {
        if self.total == 0 || other.total == 0 {
            return self.then(other);
        }
        let (total, bad) = (self.total + other.total, self.bad + other.bad);
        Self { total, bad, longest: self.longest.longer(other.longest), ..self }
    }

    /// Bad ones of a hundred.
    pub fn per_cent(&self) -> f64 {
        if self.total == 0 { 0.0 } else { self.bad as f64 * 100.0 / self.total as f64 }
    }

    /// From the first to the last observation, in seconds.
    pub fn seconds(&self) -> Option<f64> {
        self.times.map(|(first, last)| last - first)
    }

    /// Whether every observation was bad.
    pub fn is_constant(&self) -> bool {
        self.total > 0 && self.bad == self.total
    }

    /// Whether the bad ones are those that the capture began with.
    pub fn is_at_the_start(&self) -> bool {
        self.bad > 0 && self.bad == self.head.frames && !self.is_constant()
    }
}

/// How often, how long and where first something was bad.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Watched {
    /// In a row.
    pub run: Run,
    /// The bad ones.
    pub first: Option<Evidence>,
}

impl Watched {
    pub fn observe(&mut self, bad: bool, evidence: &Evidence) {
        self.run.observe(bad, evidence.time);
        if bad {
            Evidence::note(&mut self.first, evidence);
        }
    }
}

/// Whether an observation comes soon after another. Several receivers may be a little out of order.
pub fn follows(before: f64, after: f64) -> bool {
    (-1.0..=SILENCE_S).contains(&seconds_between(before, after))
}

/// The least and the most of a number in a stretch of time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extent {
    /// How many observations.
    pub frames: u64,
    /// The least.
    pub least: f64,
    /// The most.
    pub most: f64,
}

/// What several observations of one stretch of time add up to, in whatever order.
pub trait Merge: Copy {
    /// Adds another part.
    fn merge(&mut self, other: &Self);
}

impl Extent {
    /// One observation.
    pub const fn of(number: f64) -> Self {
        Self { frames: 1, least: number, most: number }
    }
}

impl Merge for Extent {
    fn merge(&mut self, other: &Self) {
        self.frames += other.frames;
        self.least = self.least.min(other.least);
        self.most = self.most.max(other.most);
    }
}

/// Bits that were one in at least one observation, and in all.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ones {
    /// In at least one.
    pub ever: u16,
    /// In all.
    pub always: u16,
}

impl Merge for Ones {
    fn merge(&mut self, other: &Self) {
        self.ever |= other.ever;
        self.always &= other.always;
    }
}

/// Counts of several kinds.
impl<const N: usize> Merge for [u32; N] {
    fn merge(&mut self, other: &Self) {
        self.iter_mut().zip(other).for_each(|(count, more)| *count += more);
    }
}

/// The course of something over time: at most [`Series::MOST_BINS`] stretches, each a power of two of seconds long and
/// laid out from time 0, so that parts add up to the same whatever the cut.
#[derive(Clone, Debug, PartialEq)]
pub struct Series<T = Extent> {
    /// How long a stretch is, in seconds.
    pub width_s: f64,
    /// What was seen in each stretch, by its number from time 0, in order.
    pub bins: Vec<(i64, T)>,
}

impl<T> Default for Series<T> {
    fn default() -> Self {
        Self { width_s: 1.0, bins: Vec::new() }
    }
}

impl<T: Merge> Series<T> {
    /// How many stretches are kept.
    pub const MOST_BINS: i64 = 256;

    /// Adds one observation.
    pub fn observe(&mut self, time: f64, one: T) {
        let at = (time / self.width_s).floor() as i64;
        self.put(at, &one);
        self.coarsen();
    }

    /// Adds another part.
    pub fn add(&mut self, later: &Self) {
        while self.width_s < later.width_s {
            self.double();
        }
        let factor = (self.width_s / later.width_s) as i64;
        for (at, extent) in &later.bins {
            self.put(at.div_euclid(factor), extent);
        }
        self.coarsen();
    }

    fn put(&mut self, at: i64, one: &T) {
        // Nearly always it is the last one again.
        let place = match self.bins.last() {
            Some((last, _)) if *last == at => Ok(self.bins.len() - 1),
            _ => self.bins.binary_search_by_key(&at, |(at, _)| *at),
        };
        match place {
            Ok(place) => self.bins[place].1.merge(one),
            Err(place) => self.bins.insert(place, (at, *one)),
        }
    }

    fn coarsen(&mut self) {
        while let (Some((first, _)), Some((last, _))) = (self.bins.first(), self.bins.last()) {
            if last.saturating_sub(*first) < Self::MOST_BINS {
                break;
            }
            self.double();
        }
    }

    fn double(&mut self) {
        self.width_s *= 2.0;
        for (at, extent) in std::mem::take(&mut self.bins) {
            self.put(at.div_euclid(2), &extent);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn runs_and_series_add_up_however_they_are_cut() {
        let observations: Vec<(f64, bool)> =
            (0..60).map(|at| (f64::from(at) * 3.7 + if at > 30 { 40.0 } else { 0.0 }, at * at % 7 < 4)).collect();
        let run = |part: &[(f64, bool)]| {
            part.iter().fold(Run::default(), |run, (time, bad)| run.then(Run::one(*bad, Some(*time))))
        };
        let series = |part: &[(f64, bool)]| {
            let mut series = Series::default();
            for (time, bad) in part {
                series.observe(*time * 9.0, Extent::of(if *bad { *time } else { -1.0 }));
            }
            series
        };
        let (whole, course) = (run(&observations), series(&observations));
        assert!(course.width_s > 1.0 && whole.longest.frames > 1);
        for a in 0..observations.len() {
            for b in a..observations.len() {
                let (x, y, z) = (&observations[..a], &observations[a..b], &observations[b..]);
                assert_eq!(run(x).then(run(y)).then(run(z)), whole);
                assert_eq!(run(x).then(run(y).then(run(z))), whole);
                let mut one_by_one = run(x);
                observations[a..].iter().for_each(|(time, bad)| one_by_one.observe(*bad, Some(*time)));
                assert_eq!(one_by_one, whole);
                let mut joined = series(x);
                let mut end = series(y);
                end.add(&series(z));
                joined.add(&end);
                assert_eq!(joined, course);
            }
        }
    }

    #[test]
    fn a_silence_ends_a_row() {
        let run = [0.0, 1.0, 2.0, 60.0, 61.0]
            .into_iter()
            .fold(Run::default(), |run, time| run.then(Run::one(true, Some(time))));
        assert_eq!((run.bad, run.longest.frames, run.longest.seconds()), (5, 3, Some(2.0)));
        assert!(run.is_constant());
    }
}
