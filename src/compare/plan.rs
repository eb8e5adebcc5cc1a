//! Plans what to capture: the captures that prove the most of an install.

use super::install::Install;
use super::judge::{Dips, Judge, Place, setting_statuses, ways};
use super::observe::Tally;
use super::report::{SettingStatus, SettingVerdict, Way};
use crate::frame::Address;
use crate::onair::When;
use crate::profile::stops::{Condition, stops};
use crate::profile::{AirGroundKind, RuleSet, SettingId};

/// One capture of a plan.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct PlannedCapture {
    /// In the air or on the ground.
    pub when: When,
    /// Whether somebody has to interrogate.
    pub interrogated: bool,
    /// How long at least; of replies as many as are wanted, two of each kind.
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
#[non_exhaustive]
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
///
/// ```
/// use squitterlab::{Install, Profile, compare::plan, profile::SettingId};
/// let profile = Profile::read(r#"{"aircraft": {"address": "A5C035", "emitter_category": "A1"}}"#).profile;
/// let plan = plan(&Install::new("own", profile).unwrap());
/// assert!(plan.captures.iter().any(|capture| capture.proves.contains(&SettingId::EmitterCategory)));
/// ```
pub fn plan(install: &Install) -> Plan {
    let expected = install.expected();
    let nothing = Tally::new(&expected);
    let none = RuleSet::default();
    let judge = Judge::new(install, &expected, &nothing, &none, Dips::default());
    let settings = setting_statuses(&judge);
    let mut open: Vec<SettingId> = Vec::new();
    let mut never = Vec::new();
    let mut when_used = Vec::new();
    for setting in &settings {
        match setting.status {
            SettingStatus::NotOnAir => never.push((setting.setting, setting.remark.clone().unwrap_or_default())),
            // Nothing is expected of them.
            SettingStatus::NotFilledIn | SettingStatus::NotStated => {}
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
    for setting in settings.iter().filter(|setting| setting.status == SettingStatus::NotSeen && setting.counts()) {
        let places: Vec<&Place<'_>> = judge
            .of(setting.setting)
            .filter(|place| place.frame.when == when || place.frame.when == When::Both)
            .filter(|place| place.frame.reply_to.is_some() == interrogated)
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
