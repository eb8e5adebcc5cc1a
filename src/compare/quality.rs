//! Quality over the capture: every category compared with what the install states and what a regulator requires.

use super::evidence::{Evidence, Run, Seen, Series, join, note};
use super::report::{Fate, Finding, SettingVerdict};
use super::tally::Heard;
use super::verdict::Judge;
use crate::code::{Bits, Version, integrity_of_version_0, navigation_integrity};
use crate::message::Message;
use crate::onair::Rule;
use crate::profile::{Binds, Confirmed, Floor, Profile, RuleSet, SettingId, Severity};
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

/// How often and how long a category was below a bound.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Below {
    /// In a row.
    pub run: Run,
    /// Where first.
    pub first: Option<Evidence>,
}

impl Below {
    fn take(&mut self, below: bool, evidence: &Evidence) {
        self.run = self.run.then(Run::one(below, evidence.time));
        if below {
            Evidence::note(&mut self.first, evidence);
        }
    }
}

/// A category over time.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Values {
    /// Each value with its evidence.
    pub values: Seen<u8>,
    /// Against what the install states.
    pub wanted: Below,
    /// Against the regulator's floor.
    pub floor: Below,
    /// Its course, where there are times.
    pub course: Series,
}

impl Values {
    fn take(&mut self, value: u8, bounds: Bounds, evidence: &Evidence) {
        note(&mut self.values, value, evidence);
        if let Some(wanted) = bounds.wanted {
            self.wanted.take(value < wanted, evidence);
        }
        if let Some(floor) = bounds.floor {
            self.floor.take(value < floor, evidence);
        }
        if let Some(time) = evidence.time {
            self.course.take(time, value.into());
        }
    }
}

/// The supplements that NIC on the surface hangs on: A and C of the surface status.
const SUPPLEMENTS: [(u8, u8); 4] = [(0, 0), (0, 1), (1, 0), (1, 1)];

/// What was seen of every category.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Quality {
    /// All but NIC, in the order of [`Measure::ALL`]; the first stays empty.
    plain: [Values; 6],
    /// NIC in the air, which supplement B decides within the message.
    nic_airborne: Values,
    /// NIC on the surface, under each pair of supplements that the status may have.
    nic_surface: [Values; 4],
    /// The pairs that were heard.
    supplements: Seen<(u8, u8)>,
}

impl Quality {
    pub(super) fn take(&mut self, heard: &Heard<'_>) {
        let Some(message) = &heard.message else { return };
        let evidence = &heard.evidence;
        let mut put = |measure: Measure, value: u64| {
            self.plain[measure as usize].take(value as u8, heard.bounds[measure as usize], evidence);
        };
        match message {
            Message::OperationalStatusAirborne(m) => {
                put(Measure::Nacp, m.nacp.bits());
                put(Measure::Sil, m.sil.bits());
                put(Measure::Sda, m.sda.bits());
                put(Measure::Gva, m.gva.bits());
            }
            Message::OperationalStatusAirborneVersion3(m) => {
                put(Measure::Nacp, m.nacp.bits());
                put(Measure::Sil, m.sil.bits());
                put(Measure::Sda, m.sda.bits());
                put(Measure::Gva, m.gva.bits());
            }
            Message::OperationalStatusSurfaceVersion3(m) => {
                put(Measure::Nacp, m.nacp.bits());
                put(Measure::Sil, m.sil.bits());
                put(Measure::Sda, m.sda.bits());
                note(
                    &mut self.supplements,
                    (m.nic_supplement_a.bits() as u8, m.nic_supplement_c.bits() as u8),
                    evidence,
                );
            }
            Message::OperationalStatusSurface(m) => {
                put(Measure::Nacp, m.nacp.bits());
                put(Measure::Nacv, m.nacv.bits());
                put(Measure::Sil, m.sil.bits());
                put(Measure::Sda, m.sda.bits());
                note(
                    &mut self.supplements,
                    (m.nic_supplement_a.bits() as u8, m.nic_supplement_c.bits() as u8),
                    evidence,
                );
            }
            Message::TargetState(m) => {
                put(Measure::Nacp, m.nacp.bits());
                put(Measure::Sil, m.sil.bits());
            }
            Message::AirborneVelocityGround(m) => put(Measure::Nacv, m.nacv.bits()),
            Message::AirborneVelocityAir(m) => put(Measure::Nacv, m.nacv.bits()),
            Message::AirbornePosition(m) => {
                let b = Some(m.antenna_or_nic_supplement_b.bits() as u8);
                match heard.version {
                    Version::Two | Version::Three => {
                        if let Some((nic, _)) = navigation_integrity(m.type_code.number(), None, b, None, Version::Two)
                        {
                            self.nic_airborne.take(nic, heard.bounds[Measure::Nic as usize], evidence);
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
                put(Measure::Nacp, m.nacp.bits());
                put(Measure::Sil, m.sil.bits());
                note(&mut self.supplements, (m.nic_supplement_a.bits() as u8, 0), evidence);
            }
            Message::OperationalStatusSurfaceVersion1(m) => {
                put(Measure::Nacp, m.nacp.bits());
                put(Measure::Sil, m.sil.bits());
                note(&mut self.supplements, (m.nic_supplement_a.bits() as u8, 0), evidence);
            }
            Message::TargetStateVersion1(m) => {
                put(Measure::Nacp, m.nacp.bits());
                put(Measure::Sil, m.sil.bits());
            }
            Message::SurfacePosition(m) => {
                for (at, (a, c)) in SUPPLEMENTS.into_iter().enumerate() {
                    let nic = navigation_integrity(m.type_code.number(), Some(a), None, Some(c), Version::Two);
                    // The surface has no code for 1 to 5: they go out as 0, which shows nothing of them.
                    let wanted = heard.bounds[Measure::Nic as usize].wanted;
                    let has_no_code = wanted.is_some_and(|wanted| (1..=5).contains(&wanted));
                    if let Some((nic, _)) = nic.filter(|(nic, _)| *nic > 0 || !has_no_code) {
                        self.nic_surface[at].take(nic, heard.bounds[Measure::Nic as usize], evidence);
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
                self.nic_airborne.take(nic, bounds, &heard.evidence);
            }
            return;
        }
        for (at, (a, _)) in SUPPLEMENTS.into_iter().enumerate() {
            if let Some((nic, _)) = navigation_integrity(type_code, Some(a), None, None, version) {
                self.nic_surface[at].take(nic, bounds, &heard.evidence);
            }
        }
    }

    /// A category over the capture. A supplement that changed, or was not heard, decides nothing.
    pub fn values(&self, measure: Measure) -> Values {
        if measure != Measure::Nic {
            return self.plain[measure as usize].clone();
        }
        let mut values = self.nic_airborne.clone();
        let mut heard = self.supplements.keys();
        let surface = match (heard.next(), heard.next()) {
            (Some(only), None) => SUPPLEMENTS.iter().position(|pair| pair == only).map(|at| &self.nic_surface[at]),
            // Where every pair says the same, none is needed.
            _ => self.nic_surface.iter().find(|one| self.nic_surface.iter().all(|other| other.values == one.values)),
        };
        if let Some(surface) = surface {
            join(&mut values.values, &surface.values);
            values.course.add(&surface.course);
            for (mine, theirs) in [(&mut values.wanted, &surface.wanted), (&mut values.floor, &surface.floor)] {
                mine.run = mine.run.beside(theirs.run);
                Evidence::join(&mut mine.first, theirs.first.as_ref());
            }
        }
        values
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

/// From so many frames over so many seconds on, a constant value says something of the install (tool defaults): a position
/// source needs about that long to settle.
const TELLING_FRAMES: u64 = 10;
const TELLING_S: f64 = 60.0;

/// How low quality ran: share, longest run, when first.
fn told(below: &Below, than: &str) -> String {
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
        let long = run.longest.seconds().is_some_and(|seconds| seconds >= TELLING_S);
        text += if long && run.total >= TELLING_FRAMES {
            "; constant in this capture: the install's value, or a source that never got better"
        } else {
            "; constant, but in too few frames or too short a time to tell the install's value from a source that is starting"
        };
    } else if run.is_at_the_start() {
        text += "; only at the start of the capture";
    }
    text
}

/// Notes on quality that was met, and was lower at times.
pub(super) fn dips(settings: &[SettingVerdict], measured: &[Measured]) -> Vec<Finding> {
    let met = settings
        .iter()
        .filter(|setting| setting.fate == Fate::Agrees && matches!(setting.rule, Rule::AtLeast | Rule::MayDrop));
    met.filter_map(|setting| {
        let evidence: Vec<Evidence> =
            setting.observed.iter().filter(|seen| !seen.agrees).map(|seen| seen.evidence).collect();
        let what = match measured.iter().find(|measured| measured.measure.setting() == setting.setting) {
            Some(measured) if measured.seen.wanted.run.bad > 0 => told(&measured.seen.wanted, &setting.expected_text),
            _ => {
                let all: u64 = setting.observed.iter().map(|seen| seen.evidence.frames).sum();
                let bad: u64 = evidence.iter().map(|evidence| evidence.frames).sum();
                format!("{:.1} % of {all} frames other than {}", bad as f64 * 100.0 / all as f64, setting.expected_text)
            }
        };
        (!evidence.is_empty()).then(|| {
            Finding::new(Severity::Note, "quality_dips", Some(setting.setting), what).because(
                "the sky view, interference, or the start of the position source",
                "none from this alone; check whether it is there in every flight",
                setting.rule.key(),
                evidence,
            )
        })
    })
    .collect()
}

/// What was seen, compared with a regulator's minimum values, as far as they bind this aircraft.
pub(super) fn floors(judge: &Judge<'_>, measured: &[Measured]) -> Vec<Finding> {
    judge.floors().iter().filter_map(|floor| below_floor(judge, floor, measured)).collect()
}

fn below_floor(judge: &Judge<'_>, floor: &Floor, measured: &[Measured]) -> Option<Finding> {
    let least = u64::from(floor.at_least);
    let measured = measured.iter().find(|measured| measured.measure.setting() == floor.setting);
    let (best, what, evidence, constant) = match measured {
        Some(measured) => {
            let below = &measured.seen.floor;
            let best = *measured.seen.values.keys().max()?;
            (u64::from(best), told(below, &least.to_string()), below.first?, below.run.is_constant())
        }
        None if Measure::ALL.iter().any(|measure| measure.setting() == floor.setting) => return None,
        None => {
            let (best, evidence) =
                judge.of(floor.setting).flat_map(|place| judge.codes(place)).max_by_key(|(code, _)| *code)?;
            if best >= least {
                return None;
            }
            let count = evidence.frames;
            (best, format!("{count} {}", if count == 1 { "frame" } else { "frames" }), evidence, true)
        }
    };
    if !judge.quality_counts() {
        return None;
    }
    let seen = if constant { format!("the best value seen is {best}: {what}") } else { what };
    let what = format!("{} requires {least} or more; {seen}", judge.rules.title);
    let unseen = if floor.is_confirmed() { "" } else { "; this number is from memory" };
    // Whether the rule binds this aircraft may depend on a weight or a speed that is not stated.
    let binds = judge.rules.binds(&judge.install.profile) == Binds::Yes;
    let severity = if constant && floor.is_confirmed() && binds { Severity::Warning } else { Severity::Note };
    let (likely, correction) = if constant {
        ("the install's own value, or the position source", "compare with the rule itself, and with the approval data")
    } else {
        (
            "the sky view, interference, or the start of the position source; people in the United States programme \
             treat 1 to 2 % as a nuisance (press reports of 2017)",
            "check whether it is there in every flight, and at the same place or attitude",
        )
    };
    Some(Finding::new(severity, "below_floor", Some(floor.setting), what).because(
        likely,
        correction,
        &format!("{} ({}{unseen})", floor.clause, judge.rules.date),
        vec![evidence],
    ))
}
