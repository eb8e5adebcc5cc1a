//! What to capture: for a setting the receptions that show it, and for a whole install the captures that prove the most.

use super::verdict::Place;
use crate::onair::{When, longest_interval_s};

/// The share of frames that a plan reckons to receive (tool default; a poor place on an apron).
pub const RECEPTION: f64 = 0.5;
/// How sure a plan is that at least one frame comes through (tool default).
pub const SURE: f64 = 0.99;

/// A reception that shows a setting.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// In which state.
    pub when: When,
    /// The message's name.
    pub message: &'static str,
    /// The same for people.
    pub title: &'static str,
    /// How long to listen; none where it comes only when asked for.
    pub seconds: Option<f64>,
    /// What calls it forth, where it is no squitter.
    pub asked_by: Option<&'static str>,
}

impl std::fmt::Display for Way {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match (self.seconds, self.asked_by) {
            (Some(seconds), _) => write!(f, "{}, {seconds} s: {}", self.when.words(), self.title),
            (None, Some(asked_by)) => write!(f, "two replies to {asked_by}"),
            (None, None) => f.write_str(self.title),
        }
    }
}

/// How long to listen for a message, that at least one comes through.
pub fn listen_s(interval_s: f64) -> f64 {
    let frames = ((1.0 - SURE).ln() / (1.0 - RECEPTION).ln()).ceil();
    (interval_s * frames).ceil()
}

/// The receptions that show a field in one of these places, the quickest first.
pub(super) fn ways(places: &[&Place<'_>]) -> Vec<Way> {
    let mut ways: Vec<Way> = Vec::new();
    // A message without a position shows the same, but nobody waits for a position source to fail.
    for emission in places.iter().map(|place| place.frame).filter(|emission| emission.table.message != "no_position") {
        let way = Way {
            when: emission.when,
            message: emission.table.message,
            title: emission.table.title,
            seconds: longest_interval_s(emission).map(listen_s),
            asked_by: emission.asked_by,
        };
        let same = |known: &&mut Way| {
            known.message == way.message
                && known.asked_by == way.asked_by
                && (known.when == way.when || way.asked_by.is_some())
        };
        match ways.iter_mut().find(same) {
            Some(known) if known.when != way.when => known.when = When::Both,
            Some(_) => {}
            None => ways.push(way),
        }
    }
    ways.sort_by(|a, b| a.seconds.unwrap_or(f64::INFINITY).total_cmp(&b.seconds.unwrap_or(f64::INFINITY)));
    ways.truncate(3);
    ways
}
