//! What to capture: for a setting the receptions that show it, and for a whole install the captures that prove the most.

use super::Install;
use super::judge::limits::Dips;
use super::report::{Fate, SettingVerdict};
use super::settings::fates;
use super::tally::Tally;
use super::verdict::{Judge, Place};
use crate::frame::Address;
use crate::message::NoPosition;
use crate::onair::{Emission, Stream, When, longest_interval_s};
use crate::profile::stops::{Condition, stops};
use crate::profile::{AirGroundKind, RuleSet, SettingId};

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
    let shown = || places.iter().map(|place| place.frame).filter(|emission| emission.table != NoPosition::TABLE);
    // Whether acquisition squitters go out on the ground, and how often, no source held settles: another squitter is surer.
    let acquisition = |emission: &Emission| Stream::of(emission) == Some(Stream::Acquisition);
    let surer = shown().any(|emission| emission.asked_by.is_none() && !acquisition(emission));
    for emission in shown().filter(|emission| !(surer && acquisition(emission))) {
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

/// One capture of a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct PlannedCapture {
    /// In the air or on the ground.
    pub when: When,
    /// Whether somebody has to interrogate.
    pub interrogated: bool,
    /// How long at least; of replies so many as are wanted, two of each kind.
    pub seconds: f64,
    /// What has to come through.
    pub ways: Vec<Way>,
    /// Every setting that it proves.
    pub proves: Vec<SettingId>,
    /// Those of them that no capture before it proves.
    pub adds: Vec<SettingId>,
    /// What must be so before it begins.
    pub stops: Vec<&'static str>,
}

/// The captures that together prove the most of an install.
#[derive(Clone, Debug)]
pub struct Plan {
    /// The profile's name.
    pub profile: String,
    /// The address.
    pub address: Address,
    /// The captures, the safer ones first.
    pub captures: Vec<PlannedCapture>,
    /// How many settings can be proved by receiving.
    pub provable: usize,
    /// Settings that only show when the crew uses them.
    pub when_used: Vec<SettingId>,
    /// Settings that receiving cannot prove, each with the reason.
    pub never: Vec<(SettingId, String)>,
}

/// Plans captures for an install.
pub fn plan(install: &Install) -> Plan {
    let nothing = Tally::new(&install.expected);
    let none = RuleSet::default();
    let judge = Judge::new(install, &nothing, &none, Dips::default());
    let settings = fates(&judge);
    let mut open: Vec<SettingId> = Vec::new();
    let mut never = Vec::new();
    let mut when_used = Vec::new();
    for setting in &settings {
        match setting.fate {
            Fate::NotOnAir => never.push((setting.setting, setting.remark.clone().unwrap_or_default())),
            // Nothing is expected of them.
            Fate::NotFilledIn | Fate::NotStated => {}
            _ if !setting.counts() => when_used.push(setting.setting),
            _ => open.push(setting.setting),
        }
    }
    let provable = open.len();
    // The safer ones first, so that those behind them have less to prove.
    let kinds = [(When::OnGround, false), (When::Airborne, false), (When::OnGround, true), (When::Airborne, true)];
    let mut captures = Vec::new();
    for (when, interrogated) in kinds {
        let planned = planned(&judge, &settings, &open, when, interrogated);
        open.retain(|setting| !planned.adds.contains(setting));
        if !planned.adds.is_empty() {
            captures.push(planned);
        }
    }
    Plan { profile: install.name.clone(), address: install.address, captures, provable, when_used, never }
}

fn planned(
    judge: &Judge<'_>,
    settings: &[SettingVerdict],
    open: &[SettingId],
    when: When,
    interrogated: bool,
) -> PlannedCapture {
    let (mut kept, mut proves, mut adds) = (Vec::<Way>::new(), Vec::new(), Vec::new());
    for setting in settings.iter().filter(|setting| setting.fate == Fate::NotSeen && setting.counts()) {
        let places: Vec<&Place<'_>> = judge
            .of(setting.setting)
            .filter(|place| place.frame.when == when || place.frame.when == When::Both)
            .filter(|place| place.frame.asked_by.is_some() == interrogated)
            .collect();
        let Some(quickest) = ways(&places).into_iter().next() else { continue };
        proves.push(setting.setting);
        if open.contains(&setting.setting) {
            adds.push(setting.setting);
            if !kept.contains(&quickest) {
                kept.push(quickest);
            }
        }
    }
    let seconds = kept.iter().filter_map(|way| way.seconds).fold(0.0, f64::max);
    // A unit whose input nobody stated may have none.
    let input = judge.install.profile.air_ground_kind.get();
    let conditions: Vec<Condition> = [
        (when == When::Airborne, Condition::Airborne),
        (matches!(input, None | Some(AirGroundKind::None)), Condition::WithoutGroundInput),
        (interrogated, Condition::Interrogated),
    ]
    .into_iter()
    .filter_map(|(so, condition)| so.then_some(condition))
    .collect();
    PlannedCapture { when, interrogated, seconds, ways: kept, proves, adds, stops: stops(&conditions) }
}
