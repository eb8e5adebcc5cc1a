//! Quality over the capture: every category compared with what the install states and what a regulator requires.

use super::evidence::{Evidence, Run, Seen, Series, Watched, join, note};
use super::judge::limits::{self, Dips};
use super::report::{Fate, Finding, SeenValue, SettingVerdict};
use super::tally::Heard;
use super::verdict::{Judge, Said, excess};
use crate::code::{Bits, Version, integrity_of_version_0, navigation_integrity};
use crate::message::Message;
use crate::onair::{Emission, Rule, When};
use crate::profile::mistake::{BELOW_MINIMUM, QUALITY_DIPS, QUALITY_EXCESS};
use crate::profile::{Binds, Confirmed, Floor, Profile, RuleSet, SettingId, Severity};
use std::collections::BTreeMap;
use std::fmt::Write;

/// A quality category.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Measure {
    /// Navigation integrity category.
    Nic,
    /// Accuracy of position.
    Nacp,
    /// Accuracy of velocity.
    Nacv,
    /// Source integrity level.
    Sil,
    /// System design assurance.
    Sda,
    /// Geometric vertical accuracy.
    Gva,
}

impl Measure {
    /// All of them.
    pub const ALL: [Self; 6] = [Self::Nic, Self::Nacp, Self::Nacv, Self::Sil, Self::Sda, Self::Gva];

    /// The setting that states it.
    pub const fn setting(self) -> SettingId {
        match self {
            Self::Nic => SettingId::Nic,
            Self::Nacp => SettingId::Nacp,
            Self::Nacv => SettingId::Nacv,
            Self::Sil => SettingId::Sil,
            Self::Sda => SettingId::SystemDesignAssurance,
            Self::Gva => SettingId::Gva,
        }
    }

    /// The standard's name for it.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Nic => "NIC",
            Self::Nacp => "NACp",
            Self::Nacv => "NACv",
            Self::Sil => "SIL",
            Self::Sda => "SDA",
            Self::Gva => "GVA",
        }
    }

    /// Whether the standard reserves this code, so that no quality stands behind it.
    pub const fn is_reserved(self, value: u8) -> bool {
        match self {
            Self::Nacp => value > 11,
            Self::Nacv => value > 4,
            Self::Gva => value > 2,
            Self::Nic | Self::Sil | Self::Sda => false,
        }
    }

    /// The category that a setting states.
    pub fn of(setting: SettingId) -> Option<Self> {
        Self::ALL.into_iter().find(|measure| measure.setting() == setting)
    }

    /// What an install states of it.
    pub fn stated(self, profile: &Profile) -> Option<u8> {
        match self {
            Self::Nic => profile.nic.get().map(|number| number.0),
            Self::Nacp => profile.nacp.get().map(|number| number.0),
            Self::Nacv => profile.nacv.get().map(|number| number.0),
            Self::Sil => profile.sil.get().map(|number| number.0),
            Self::Sda => profile.system_design_assurance.get().map(|number| number.0),
            Self::Gva => profile.gva.get().map(|number| number.0),
        }
    }
}

/// What a category is held against.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Bounds {
    /// What the install states.
    pub wanted: Option<u8>,
    /// What the regulator wants.
    pub floor: Option<u8>,
}

/// The bounds of every category, in the order of [`Measure::ALL`].
pub fn bounds(profile: &Profile, rules: &RuleSet) -> [Bounds; 6] {
    Measure::ALL.map(|measure| Bounds {
        wanted: measure.stated(profile),
        floor: rules
            .floors_for(profile)
            .iter()
            .find(|floor| floor.setting == measure.setting())
            .map(|floor| floor.at_least),
    })
}

/// Which message carries a category: each is judged by itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Carrier {
    /// Operational status in the air.
    StatusAirborne,
    /// Operational status on the ground.
    StatusSurface,
    /// Target state.
    TargetState,
    /// Airborne velocity.
    Velocity,
    /// Airborne position.
    PositionAirborne,
    /// Surface position.
    PositionSurface,
}

impl Carrier {
    /// The message, for people.
    pub const fn words(self) -> &'static str {
        match self {
            Self::StatusAirborne => "operational status in the air",
            Self::StatusSurface => "operational status on the ground",
            Self::TargetState => "target state",
            Self::Velocity => "airborne velocity",
            Self::PositionAirborne => "airborne position",
            Self::PositionSurface => "surface position",
        }
    }

    /// The carrier that an expected frame is.
    pub fn of(emission: &Emission) -> Option<Self> {
        Some(match (emission.table.message, emission.when) {
            ("operational_status", When::OnGround) => Self::StatusSurface,
            ("operational_status", _) => Self::StatusAirborne,
            ("target_state_and_status", _) => Self::TargetState,
            ("airborne_velocity", _) => Self::Velocity,
            ("airborne_position", _) => Self::PositionAirborne,
            ("surface_position", _) => Self::PositionSurface,
            _ => return None,
        })
    }
}

/// A category over time.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Values {
    /// Each value with its evidence.
    pub values: Seen<u8>,
    /// Against what the install states: watched for less, and for codes that are reserved.
    pub wanted: Watched,
    /// Against the regulator's minimum.
    pub floor: Watched,
    /// Its course, where there are times.
    pub course: Series,
}

impl Values {
    /// `counts` is false while the source has no position: what it says of quality then is not judged.
    fn take(&mut self, measure: Measure, value: u8, bounds: Bounds, counts: bool, evidence: &Evidence) {
        note(&mut self.values, value, evidence);
        let below = |bound: u8| value < bound || measure.is_reserved(value);
        if let Some(wanted) = bounds.wanted.filter(|_| counts) {
            self.wanted.take(below(wanted), evidence);
        }
        if let Some(floor) = bounds.floor.filter(|_| counts) {
            self.floor.take(below(floor), evidence);
        }
        if let Some(time) = evidence.time {
            self.course.take(time, value.into());
        }
    }

    fn add(&mut self, other: &Self) {
        join(&mut self.values, &other.values);
        self.course.add(&other.course);
        for (mine, theirs) in [(&mut self.wanted, &other.wanted), (&mut self.floor, &other.floor)] {
            mine.run = mine.run.beside(theirs.run);
            Evidence::join(&mut mine.first, theirs.first.as_ref());
        }
    }
}

/// The supplements that NIC on the surface hangs on: A and C of the surface status.
const SUPPLEMENTS: [(u8, u8); 4] = [(0, 0), (0, 1), (1, 0), (1, 1)];

/// What was seen of every category.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Quality {
    /// What is a number of its own in a message, and NIC in the air, which supplement B decides within the message.
    plain: BTreeMap<(Measure, Carrier), Values>,
    /// NIC on the surface, under each pair of supplements that the status may have.
    nic_surface: [Values; 4],
    /// Whether the last position message had no position.
    without_position: bool,
    /// The pairs that were heard.
    supplements: Seen<(u8, u8)>,
}

impl Quality {
    pub(super) fn take(&mut self, heard: &Heard<'_>) {
        let Some(message) = &heard.message else { return };
        let evidence = &heard.evidence;
        match message {
            Message::NoPosition(_) => self.without_position = true,
            Message::AirbornePosition(_) | Message::SurfacePosition(_) => self.without_position = false,
            _ => {}
        }
        let counts = !self.without_position;
        let mut put = |measure: Measure, carrier: Carrier, value: u64| {
            let values = self.plain.entry((measure, carrier)).or_default();
            values.take(measure, value as u8, heard.bounds[measure as usize], counts, evidence);
        };
        match message {
            Message::OperationalStatusAirborne(m) => {
                let by = Carrier::StatusAirborne;
                put(Measure::Nacp, by, m.nacp.bits());
                put(Measure::Sil, by, m.sil.bits());
                put(Measure::Sda, by, m.sda.bits());
                put(Measure::Gva, by, m.gva.bits());
            }
            Message::OperationalStatusAirborneVersion3(m) => {
                put(Measure::Nacp, Carrier::StatusAirborne, m.nacp.bits());
                put(Measure::Sil, Carrier::StatusAirborne, m.sil.bits());
                put(Measure::Sda, Carrier::StatusAirborne, m.sda.bits());
                put(Measure::Gva, Carrier::StatusAirborne, m.gva.bits());
            }
            Message::OperationalStatusSurfaceVersion3(m) => {
                put(Measure::Nacp, Carrier::StatusSurface, m.nacp.bits());
                put(Measure::Sil, Carrier::StatusSurface, m.sil.bits());
                put(Measure::Sda, Carrier::StatusSurface, m.sda.bits());
                note(
                    &mut self.supplements,
                    (m.nic_supplement_a.bits() as u8, m.nic_supplement_c.bits() as u8),
                    evidence,
                );
            }
            Message::OperationalStatusSurface(m) => {
                let by = Carrier::StatusSurface;
                put(Measure::Nacp, by, m.nacp.bits());
                put(Measure::Nacv, by, m.nacv.bits());
                put(Measure::Sil, by, m.sil.bits());
                put(Measure::Sda, by, m.sda.bits());
                note(
                    &mut self.supplements,
                    (m.nic_supplement_a.bits() as u8, m.nic_supplement_c.bits() as u8),
                    evidence,
                );
            }
            Message::TargetState(m) => {
                put(Measure::Nacp, Carrier::TargetState, m.nacp.bits());
                put(Measure::Sil, Carrier::TargetState, m.sil.bits());
            }
            Message::AirborneVelocityGround(m) => put(Measure::Nacv, Carrier::Velocity, m.nacv.bits()),
            Message::AirborneVelocityAir(m) => put(Measure::Nacv, Carrier::Velocity, m.nacv.bits()),
            Message::AirbornePosition(m) => {
                let b = Some(m.antenna_or_nic_supplement_b.bits() as u8);
                match heard.version {
                    Version::Two | Version::Three => {
                        if let Some((nic, _)) = navigation_integrity(m.type_code.number(), None, b, None, Version::Two)
                        {
                            put(Measure::Nic, Carrier::PositionAirborne, nic.into());
                        }
                    }
                    older => self.take_older(m.type_code.number(), older, heard),
                }
            }
            Message::SurfacePosition(m) if matches!(heard.version, Version::Zero | Version::One) => {
                // Before version 2 the surface has no code for 1 to 7.
                let stated = heard.bounds[Measure::Nic as usize].wanted;
                if m.type_code.number() != 8 || stated == Some(0) {
                    self.take_older(m.type_code.number(), heard.version, heard);
                }
            }
            Message::OperationalStatusAirborneVersion1(m) => {
                put(Measure::Nacp, Carrier::StatusAirborne, m.nacp.bits());
                put(Measure::Sil, Carrier::StatusAirborne, m.sil.bits());
                note(&mut self.supplements, (m.nic_supplement_a.bits() as u8, 0), evidence);
            }
            Message::OperationalStatusSurfaceVersion1(m) => {
                put(Measure::Nacp, Carrier::StatusSurface, m.nacp.bits());
                put(Measure::Sil, Carrier::StatusSurface, m.sil.bits());
                note(&mut self.supplements, (m.nic_supplement_a.bits() as u8, 0), evidence);
            }
            Message::TargetStateVersion1(m) => {
                put(Measure::Nacp, Carrier::TargetState, m.nacp.bits());
                put(Measure::Sil, Carrier::TargetState, m.sil.bits());
            }
            Message::SurfacePosition(m) => {
                for (at, (a, c)) in SUPPLEMENTS.into_iter().enumerate() {
                    let nic = navigation_integrity(m.type_code.number(), Some(a), None, Some(c), Version::Two);
                    // The surface has no code for 1 to 5: they go out as 0, which shows nothing of them.
                    let bounds = heard.bounds[Measure::Nic as usize];
                    let has_no_code = bounds.wanted.is_some_and(|wanted| (1..=5).contains(&wanted));
                    if let Some((nic, _)) = nic.filter(|(nic, _)| *nic > 0 || !has_no_code) {
                        self.nic_surface[at].take(Measure::Nic, nic, bounds, true, evidence);
                    }
                }
            }
            _ => {}
        }
    }

    /// NIC before version 2: in version 1 the one supplement is in the status; version 0 has none, and the best NIC that its
    /// type code stands for counts.
    fn take_older(&mut self, type_code: u8, version: Version, heard: &Heard<'_>) {
        let bounds = heard.bounds[Measure::Nic as usize];
        if version == Version::Zero {
            if let Some(nic) = integrity_of_version_0(type_code) {
                let airborne = self.plain.entry((Measure::Nic, Carrier::PositionAirborne)).or_default();
                airborne.take(Measure::Nic, nic, bounds, true, &heard.evidence);
            }
            return;
        }
        for (at, (a, _)) in SUPPLEMENTS.into_iter().enumerate() {
            if let Some((nic, _)) = navigation_integrity(type_code, Some(a), None, None, version) {
                self.nic_surface[at].take(Measure::Nic, nic, bounds, true, &heard.evidence);
            }
        }
    }

    /// A category over the capture, all its carriers together.
    pub fn values(&self, measure: Measure) -> Values {
        self.by_carrier(measure).fold(Values::default(), |mut all, (_, values)| {
            all.add(values);
            all
        })
    }

    /// A category in each message that carries it.
    pub fn by_carrier(&self, measure: Measure) -> impl Iterator<Item = (Carrier, &Values)> {
        let plain = self.plain.iter().filter(move |((of, _), _)| *of == measure);
        let surface = self.on_surface().filter(|_| measure == Measure::Nic);
        plain.map(|((_, carrier), values)| (*carrier, values)).chain(surface.map(|one| (Carrier::PositionSurface, one)))
    }

    /// NIC on the surface. A supplement that changed, or was not heard, decides nothing.
    fn on_surface(&self) -> Option<&Values> {
        let mut heard = self.supplements.keys();
        let one = match (heard.next(), heard.next()) {
            (Some(only), None) => SUPPLEMENTS.iter().position(|pair| pair == only).map(|at| &self.nic_surface[at]),
            // Where every pair says the same, none is needed.
            _ => self.nic_surface.iter().find(|one| self.nic_surface.iter().all(|other| other.values == one.values)),
        };
        one.filter(|one| !one.values.is_empty())
    }
}

/// What a category says of its setting: low quality is a dip only while it is rare and short.
pub(super) fn said(low: &Run, dips: &Dips) -> Said {
    if low.total == 0 {
        Said::Nothing
    } else if low.bad == 0 {
        Said::Right
    } else if low.bad < low.total && dips.allow(low) {
        Said::RightWithDips
    } else {
        Said::Wrong
    }
}

/// One category over the capture, with what it is compared with.
#[derive(Clone, Debug)]
pub struct Measured {
    /// Which.
    pub measure: Measure,
    /// What it is compared with.
    pub bounds: Bounds,
    /// The rule behind the regulator's minimum, if there is one: its clause, and whether a page confirmed it.
    pub required_by: Option<(String, Confirmed)>,
    /// What was seen.
    pub seen: Values,
}

/// The categories that were seen in the version that is judged.
pub(super) fn measured(judge: &Judge<'_>) -> Vec<Measured> {
    if !judge.version_known {
        return Vec::new();
    }
    let measured = |(at, measure): (usize, Measure)| {
        let seen = judge.tally.quality.values(measure);
        let floor = judge.floors().iter().find(|floor| floor.setting == measure.setting());
        let required_by = floor.map(|floor| (floor.clause.clone(), floor.confirmed));
        (!seen.values.is_empty()).then(|| Measured { measure, bounds: judge.bounds[at], required_by, seen })
    };
    Measure::ALL.into_iter().enumerate().filter_map(measured).collect()
}

/// How low quality ran: share, longest run, when first.
fn told(below: &Watched, than: &str) -> String {
    let run = &below.run;
    let frames = if run.total == 1 { "frame" } else { "frames" };
    let mut text = format!("{} of {} {frames} below {than} ({:.1} %)", run.bad, run.total, run.per_cent());
    let _ = write!(text, ", longest run {}", run.longest.frames);
    text += if run.longest.frames == 1 { " frame" } else { " frames" };
    if let Some(seconds) = run.longest.seconds() {
        let _ = write!(text, " in {seconds:.1} s");
    }
    if let Some(time) = below.first.and_then(|first| first.time) {
        let _ = write!(text, ", first at {time:.1} s");
    }
    if run.is_constant() {
        let long = run.longest.seconds().is_some_and(|seconds| seconds >= limits::MINIMUM_BROKEN_S);
        text += if long && run.total >= limits::ENOUGH_FRAMES {
            "; constant in this capture: the install's value, or a source that never got better"
        } else {
            "; constant, but in too few frames or too short a time to tell the install's value from a source that is starting"
        };
    } else if run.is_at_the_start() {
        text += "; only at the start of the capture";
    }
    text
}

/// Notes on what was met and was lower or absent at times, and warnings of claims above what the install states.
pub(super) fn dips(judge: &Judge<'_>, settings: &[SettingVerdict], measured: &[Measured]) -> Vec<Finding> {
    let mut findings = Vec::new();
    for setting in settings.iter().filter(|setting| setting.fate == Fate::Agrees) {
        let low = |seen: &&SeenValue| !seen.agrees;
        let evidence: Vec<Evidence> = setting.observed.iter().filter(low).map(|seen| seen.evidence).collect();
        if evidence.is_empty() || !matches!(setting.rule, Rule::Quality | Rule::State) {
            continue;
        }
        let what = match measured.iter().find(|measured| measured.measure.setting() == setting.setting) {
            Some(measured) if measured.seen.wanted.run.bad > 0 => {
                format!("{}; {}", told(&measured.seen.wanted, &setting.expected_text), judge.dips.words())
            }
            Some(_) => continue,
            None => {
                let all: u64 = setting.observed.iter().map(|seen| seen.evidence.frames).sum();
                let bad: u64 = evidence.iter().map(|evidence| evidence.frames).sum();
                format!("{:.1} % of {all} frames other than {}", bad as f64 * 100.0 / all as f64, setting.expected_text)
            }
        };
        let mut finding = Finding::of(Severity::Note, &QUALITY_DIPS, what, evidence);
        finding.setting = Some(setting.setting);
        findings.push(finding);
    }
    findings.extend(measured.iter().filter_map(|measured| claimed(measured, settings)));
    findings
}

/// A claim above what the install states that is no error by itself: NACv.
fn claimed(measured: &Measured, settings: &[SettingVerdict]) -> Option<Finding> {
    let wanted = measured.bounds.wanted.filter(|_| measured.measure == Measure::Nacv)?;
    let above = |value: u8| value > wanted && !measured.measure.is_reserved(value) && !excess(measured.measure, value);
    let (value, evidence) = measured.seen.values.iter().rev().find(|(value, _)| above(**value))?;
    let setting = settings.iter().find(|setting| setting.setting == measured.measure.setting())?;
    let what = format!("expected {}, seen {value} in {} frames", setting.expected_text, evidence.frames);
    let mut finding = Finding::of(Severity::Warning, &QUALITY_EXCESS, what, vec![*evidence]);
    finding.setting = Some(setting.setting);
    Some(finding)
}

/// What was seen, compared with a regulator's minimum values, as far as they bind this aircraft.
pub(super) fn floors(judge: &Judge<'_>, measured: &[Measured]) -> Vec<Finding> {
    judge.floors().iter().filter_map(|floor| below_floor(judge, floor, measured)).collect()
}

fn below_floor(judge: &Judge<'_>, floor: &Floor, measured: &[Measured]) -> Option<Finding> {
    if !judge.quality_counts() {
        return None;
    }
    let least = floor.at_least;
    let title = &judge.rules.title;
    let (what, evidence, grave) = match measured.iter().find(|m| m.measure.setting() == floor.setting) {
        Some(measured) => {
            let below = &measured.seen.floor;
            let best = measured.seen.values.keys().filter(|value| !measured.measure.is_reserved(**value)).max();
            let best = best
                .map_or_else(|| "no valid value was seen".to_owned(), |best| format!("the best value seen is {best}"));
            let what = format!("{title} requires {least} or more; {best}: {}", told(below, &least.to_string()));
            let constant = below.run.is_constant();
            let grave = if constant && limits::lasting(&below.run, judge.tally.times) {
                Severity::Error
            } else if !constant && (judge.dips.allow(&below.run) || below.run.is_at_the_start()) {
                Severity::Note
            } else {
                Severity::Warning
            };
            (what, below.first?, grave)
        }
        None if Measure::of(floor.setting).is_some() => return None,
        None => {
            let (best, evidence) =
                judge.anywhere(floor.setting).flat_map(|place| judge.codes(place)).max_by_key(|(code, _)| *code)?;
            if best >= u64::from(least) {
                return None;
            }
            (format!("{title} requires {least} or more; the best value seen is {best}"), evidence, Severity::Error)
        }
    };
    let unseen = if floor.is_confirmed() { "" } else { "; this number is from memory" };
    // Whether the rule binds this aircraft may depend on a weight or a speed that is not stated.
    let binds = judge.rules.binds(&judge.install.profile) == Binds::Yes;
    let severity = if floor.is_confirmed() && binds { grave } else { Severity::Note };
    let mut finding = Finding::of(severity, &BELOW_MINIMUM, what, vec![evidence]);
    finding.setting = Some(floor.setting);
    finding.rule = format!("{} ({}{unseen}); {}", floor.clause, judge.rules.date, limits::LASTING_WORDS);
    Some(finding)
}
