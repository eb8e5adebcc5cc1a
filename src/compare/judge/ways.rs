//! Lists the ways to see a setting: which message, in which state, and how long to listen.

use super::{Place, Way};
use crate::message::NoPosition;
use crate::onair::{Emission, Stream, When, longest_interval_s};

/// The share of frames that a plan assumes to be received (tool default; a poor place on an apron).
pub const RECEPTION: f64 = 0.5;
/// How sure a plan is that at least one frame comes through (tool default).
pub const SURE: f64 = 0.99;

/// How long to listen for a message, that at least one comes through.
pub fn listen_s(interval_s: f64) -> f64 {
    let frames = ((1.0 - SURE).ln() / (1.0 - RECEPTION).ln()).ceil();
    (interval_s * frames).ceil()
}

/// The receptions that show a field in one of these places, the quickest first.
pub fn ways(places: &[&Place<'_>]) -> Vec<Way> {
    let mut ways: Vec<Way> = Vec::new();
    // A message without a position shows the same, but nobody waits for a position source to fail.
    let shown = || places.iter().map(|place| place.frame).filter(|emission| emission.table != NoPosition::TABLE);
    // Whether acquisition squitters go out on the ground, and how often, no source held settles: another squitter is surer.
    let acquisition = |emission: &Emission| Stream::of(emission) == Some(Stream::Acquisition);
    let surer = shown().any(|emission| emission.reply_to.is_none() && !acquisition(emission));
    for emission in shown().filter(|emission| !(surer && acquisition(emission))) {
        let way = Way {
            when: emission.when,
            message: emission.table.message,
            title: emission.table.title,
            seconds: longest_interval_s(emission).map(listen_s),
            reply_to: emission.reply_to,
        };
        let same = |known: &&mut Way| {
            known.message == way.message
                && known.reply_to == way.reply_to
                && (known.when == way.when || way.reply_to.is_some())
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
