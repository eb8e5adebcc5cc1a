//! Gathers every quality category over the capture, beside what the install states and what a regulator requires.

use super::evidence::{Evidence, Extent, Seen, Series, Watched};
use super::tally::ObservedFrame;
use crate::code::{Bits, Version, integrity_of_version_0, navigation_integrity};
use crate::message::Message;
use crate::onair::{SquitterKind, Stream, When};
use crate::profile::{Profile, RuleSet, SettingId};

/// A quality category.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum QualityMeasure {
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

impl QualityMeasure {
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

    /// Whether the standard reserves this code, so that it means no quality.
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

/// What a category is compared with.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Bounds {
    /// What the install states.
    pub wanted: Option<u8>,
    /// What the regulator requires.
    pub floor: Option<u8>,
}

/// The bounds of every category, in the order of [`QualityMeasure::ALL`].
pub fn bounds(profile: &Profile, rules: &RuleSet) -> [Bounds; 6] {
    QualityMeasure::ALL.map(|measure| Bounds {
        wanted: measure.stated(profile),
        floor: rules
            .floors_for(profile)
            .iter()
            .find(|floor| floor.setting == measure.setting())
            .map(|floor| floor.at_least),
    })
}

/// Who carries a category: each is judged by itself.
const fn kind(stream: Stream, when: When) -> SquitterKind {
    SquitterKind { stream, when }
}
const STATUS_AIRBORNE: SquitterKind = kind(Stream::OperationalStatus, When::Airborne);
const STATUS_SURFACE: SquitterKind = kind(Stream::OperationalStatus, When::OnGround);
const TARGET_STATE: SquitterKind = kind(Stream::TargetState, When::Airborne);
const VELOCITY: SquitterKind = kind(Stream::Velocity, When::Airborne);
const POSITION_AIRBORNE: SquitterKind = kind(Stream::Position, When::Airborne);
const POSITION_SURFACE: SquitterKind = kind(Stream::Position, When::OnGround);

/// A category over time.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Values {
    /// Each value with its evidence.
    pub seen: Seen<u8>,
    /// Against what the install states: watched for less, and for codes that are reserved.
    pub wanted: Watched,
    /// Against the regulator's minimum.
    pub floor: Watched,
    /// Its course, where there are times.
    pub course: Series,
}

impl Values {
    /// `counts` is false while the source has no position: what it says of quality then is not judged.
    fn observe(&mut self, measure: QualityMeasure, value: u8, bounds: Bounds, counts: bool, evidence: &Evidence) {
        self.seen.note(value, evidence);
        let below = |bound: u8| value < bound || measure.is_reserved(value);
        if let Some(wanted) = bounds.wanted.filter(|_| counts) {
            self.wanted.observe(below(wanted), evidence);
        }
        if let Some(floor) = bounds.floor.filter(|_| counts) {
            self.floor.observe(below(floor), evidence);
        }
        if let Some(time) = evidence.time {
            self.course.observe(time, Extent::of(value.into()));
        }
    }

    fn add(&mut self, other: &Self) {
        self.seen.join(&other.seen);
        self.course.add(&other.course);
        for (mine, theirs) in [(&mut self.wanted, &other.wanted), (&mut self.floor, &other.floor)] {
            mine.run = mine.run.beside(theirs.run);
            Evidence::join(&mut mine.first, theirs.first.as_ref());
        }
    }
}

/// The supplements that NIC on the surface depends on: A and C of the surface status.
const SUPPLEMENTS: [(u8, u8); 4] = [(0, 0), (0, 1), (1, 0), (1, 1)];

/// What was seen of every category.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Quality {
    /// What is a number of its own in a message, and NIC in the air, which supplement B decides within the message.
    plain: Vec<((QualityMeasure, SquitterKind), Values)>,
    /// NIC on the surface, under each pair of supplements that the status may have.
    nic_surface: [Values; 4],
    /// Whether the last position message had no position.
    without_position: bool,
    /// The pairs that were heard.
    supplements: Seen<(u8, u8)>,
}

/// What was seen of one category in one kind; there are few, and each is large.
fn of(plain: &mut Vec<((QualityMeasure, SquitterKind), Values)>, which: (QualityMeasure, SquitterKind)) -> &mut Values {
    let at = plain.binary_search_by(|(known, _)| known.cmp(&which)).unwrap_or_else(|at| {
        plain.reserve_exact(1);
        plain.insert(at, (which, Values::default()));
        at
    });
    &mut plain[at].1
}

impl Quality {
    pub fn observe(&mut self, heard: &ObservedFrame<'_>) {
        let Some(message) = &heard.message else { return };
        let evidence = &heard.evidence;
        match message {
            Message::NoPosition(_) => self.without_position = true,
            Message::AirbornePosition(_) | Message::SurfacePosition(_) => self.without_position = false,
            _ => {}
        }
        let counts = !self.without_position;
        let mut put = |measure: QualityMeasure, carrier: SquitterKind, value: u64| {
            let values = of(&mut self.plain, (measure, carrier));
            values.observe(measure, value as u8, heard.bounds[measure as usize], counts, evidence);
        };
        match message {
            Message::OperationalStatusAirborne(m) => {
                let by = STATUS_AIRBORNE;
                put(QualityMeasure::Nacp, by, m.nacp.bits());
                put(QualityMeasure::Sil, by, m.sil.bits());
                put(QualityMeasure::Sda, by, m.sda.bits());
                put(QualityMeasure::Gva, by, m.gva.bits());
            }
            Message::OperationalStatusAirborneVersion3(m) => {
                put(QualityMeasure::Nacp, STATUS_AIRBORNE, m.nacp.bits());
                put(QualityMeasure::Sil, STATUS_AIRBORNE, m.sil.bits());
                put(QualityMeasure::Sda, STATUS_AIRBORNE, m.sda.bits());
                put(QualityMeasure::Gva, STATUS_AIRBORNE, m.gva.bits());
            }
            Message::OperationalStatusSurfaceVersion3(m) => {
                put(QualityMeasure::Nacp, STATUS_SURFACE, m.nacp.bits());
                put(QualityMeasure::Sil, STATUS_SURFACE, m.sil.bits());
                put(QualityMeasure::Sda, STATUS_SURFACE, m.sda.bits());
                self.supplements.note((m.nic_supplement_a.bits() as u8, m.nic_supplement_c.bits() as u8), evidence);
            }
            Message::OperationalStatusSurface(m) => {
                let by = STATUS_SURFACE;
                put(QualityMeasure::Nacp, by, m.nacp.bits());
                put(QualityMeasure::Nacv, by, m.nacv.bits());
                put(QualityMeasure::Sil, by, m.sil.bits());
                put(QualityMeasure::Sda, by, m.sda.bits());
                self.supplements.note((m.nic_supplement_a.bits() as u8, m.nic_supplement_c.bits() as u8), evidence);
            }
            Message::TargetState(m) => {
                put(QualityMeasure::Nacp, TARGET_STATE, m.nacp.bits());
                put(QualityMeasure::Sil, TARGET_STATE, m.sil.bits());
            }
            Message::AirborneVelocityGround(m) => put(QualityMeasure::Nacv, VELOCITY, m.nacv.bits()),
            Message::AirborneVelocityAir(m) => put(QualityMeasure::Nacv, VELOCITY, m.nacv.bits()),
            Message::AirbornePosition(m) => {
                let b = Some(m.antenna_or_nic_supplement_b.bits() as u8);
                match heard.version {
                    Version::Two | Version::Three => {
                        if let Some((nic, _)) = navigation_integrity(m.type_code.number(), None, b, None, Version::Two)
                        {
                            put(QualityMeasure::Nic, POSITION_AIRBORNE, nic.into());
                        }
                    }
                    older => self.observe_older(m.type_code.number(), older, heard),
                }
            }
            Message::SurfacePosition(m) if matches!(heard.version, Version::Zero | Version::One) => {
                // Before version 2 the surface has no code for 1 to 7.
                let stated = heard.bounds[QualityMeasure::Nic as usize].wanted;
                if m.type_code.number() != 8 || stated == Some(0) {
                    self.observe_older(m.type_code.number(), heard.version, heard);
                }
            }
            Message::OperationalStatusAirborneVersion1(m) => {
                put(QualityMeasure::Nacp, STATUS_AIRBORNE, m.nacp.bits());
                put(QualityMeasure::Sil, STATUS_AIRBORNE, m.sil.bits());
                self.supplements.note((m.nic_supplement_a.bits() as u8, 0), evidence);
            }
            Message::OperationalStatusSurfaceVersion1(m) => {
                put(QualityMeasure::Nacp, STATUS_SURFACE, m.nacp.bits());
                put(QualityMeasure::Sil, STATUS_SURFACE, m.sil.bits());
                self.supplements.note((m.nic_supplement_a.bits() as u8, 0), evidence);
            }
            Message::TargetStateVersion1(m) => {
                put(QualityMeasure::Nacp, TARGET_STATE, m.nacp.bits());
                put(QualityMeasure::Sil, TARGET_STATE, m.sil.bits());
            }
            Message::SurfacePosition(m) => {
                for (at, (a, c)) in SUPPLEMENTS.into_iter().enumerate() {
                    let nic = navigation_integrity(m.type_code.number(), Some(a), None, Some(c), Version::Two);
                    // The surface has no code for 1 to 5: they go out as 0, which shows nothing of them.
                    let bounds = heard.bounds[QualityMeasure::Nic as usize];
                    let has_no_code = bounds.wanted.is_some_and(|wanted| (1..=5).contains(&wanted));
                    if let Some((nic, _)) = nic.filter(|(nic, _)| *nic > 0 || !has_no_code) {
                        self.nic_surface[at].observe(QualityMeasure::Nic, nic, bounds, true, evidence);
                    }
                }
            }
            _ => {}
        }
    }

    /// NIC before version 2: in version 1 the one supplement is in the status; version 0 has none, and the best NIC that its
    /// type code stands for counts.
    fn observe_older(&mut self, type_code: u8, version: Version, heard: &ObservedFrame<'_>) {
        let bounds = heard.bounds[QualityMeasure::Nic as usize];
        if version == Version::Zero {
            if let Some(nic) = integrity_of_version_0(type_code) {
                let airborne = of(&mut self.plain, (QualityMeasure::Nic, POSITION_AIRBORNE));
                airborne.observe(QualityMeasure::Nic, nic, bounds, true, &heard.evidence);
            }
            return;
        }
        for (at, (a, _)) in SUPPLEMENTS.into_iter().enumerate() {
            if let Some((nic, _)) = navigation_integrity(type_code, Some(a), None, None, version) {
                self.nic_surface[at].observe(QualityMeasure::Nic, nic, bounds, true, &heard.evidence);
            }
        }
    }

    /// A category over the capture, all its carriers together.
    pub fn values(&self, measure: QualityMeasure) -> Values {
        self.by_carrier(measure).fold(Values::default(), |mut all, (_, values)| {
            all.add(values);
            all
        })
    }

    /// A category in each message that carries it.
    pub fn by_carrier(&self, measure: QualityMeasure) -> impl Iterator<Item = (SquitterKind, &Values)> {
        let plain = self.plain.iter().filter(move |((of, _), _)| *of == measure);
        let surface = self.on_surface().filter(|_| measure == QualityMeasure::Nic);
        plain.map(|((_, carrier), values)| (*carrier, values)).chain(surface.map(|one| (POSITION_SURFACE, one)))
    }

    /// NIC on the surface. A supplement that changed, or was not heard, decides nothing.
    fn on_surface(&self) -> Option<&Values> {
        let mut heard = self.supplements.keys();
        let one = match (heard.next(), heard.next()) {
            (Some(only), None) => SUPPLEMENTS.iter().position(|pair| pair == only).map(|at| &self.nic_surface[at]),
            // Where every pair says the same, none is needed.
            _ => self.nic_surface.iter().find(|one| self.nic_surface.iter().all(|other| other.seen == one.seen)),
        };
        one.filter(|one| !one.seen.is_empty())
    }
}
