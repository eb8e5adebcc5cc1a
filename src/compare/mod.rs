//! Compares captured frames with installs: every setting's fate, with evidence, cause and correction.

mod agreement;
mod altitude;
mod change;
mod coherence;
mod diagnosis;
mod evidence;
mod intervals;
mod judge;
mod motion;
mod near;
mod observe;
mod path;
mod plan;
mod quality;
mod report;
mod settings;
mod sieve;
mod tally;
mod verdict;

pub use agreement::Agreement;
pub use altitude::Altitudes;
pub use change::{Change, ChangedSetting, change};
pub use coherence::{Coherence, SLOW_KT, SLOW_S, Transition};
pub use evidence::{Evidence, Extent, Run, SILENCE_S, Series, Streak, Watched};
pub use intervals::{Element, Gaps, Intervals, KINDS, Kind, Reception};
pub use judge::limits::Dips;
pub use motion::{Difference, Motion};
pub use near::NearAddress;
pub use path::{Path, Point};
pub use plan::{Plan, PlannedCapture, RECEPTION, SURE, Way, plan};
pub use quality::{Bounds, Carrier, Measure, Measured, Values};
pub use report::{
    Alternative, Fate, Finding, NotJudged, Report, SeenValue, SettingVerdict, Summary, Verdict, in_words,
};
pub use tally::{Expected, Tally};

use crate::capture::{Accounting, Record};
use crate::code::{Bits, CodeError, Identification, Version};
use crate::downlink::{Decoded, Parity};
use crate::frame::Address;
use crate::message::Message;
use crate::onair::{Emission, Flight, emissions, version_of};
use crate::profile::mistake::{IDENTIFICATION_BLANK, MISTAKES, Mistake, SAMPLE_IDENTIFICATION};
use crate::profile::{IdentificationSource, Profile, RuleSet, SettingId, Stated};
use crate::registry::slip;
use crate::track::{Observation, Tracker};
use foldhash::fast::FixedState;
use near::InClear;
use std::collections::{BTreeMap, HashMap};
use std::sync::Arc;
use tally::Heard;

/// How many other addresses are followed for one profile.
const MOST_SUSPECTS: usize = 64;

/// This many frames of any aircraft are kept, the first ones: an address may turn out to be an install's wrong one, and is
/// then judged from its first frame on.
const MOST_KEPT: usize = 1 << 18;

/// An install, with the frames that it is expected to send.
#[derive(Clone, Debug)]
pub struct Install {
    /// Its name: the file.
    pub name: String,
    /// The settings.
    pub profile: Profile,
    /// The address.
    pub address: Address,
    /// The version whose layouts it sends.
    pub version: Version,
    /// Frames of a healthy flight, with the bits that the install decides.
    pub expected: Vec<Expected>,
}

impl Install {
    /// Prepares an install for comparison.
    ///
    /// # Errors
    /// [`CodeError`] where the profile cannot be put on the air: no address, another version, a setting without code.
    pub fn new(name: &str, profile: Profile) -> Result<Self, CodeError> {
        // What cannot be shown cannot be compared either.
        emissions(&profile, Flight::Unknown)?;
        let expected = expected(&profile)?;
        let address = profile.address.get().copied().unwrap_or(Address::new(0));
        let version = Version::from_number(version_of(&profile)).unwrap_or(Version::Two);
        Ok(Self { name: name.to_owned(), profile, address, version, expected })
    }

    /// Ones where a frame's bits speak against the install, or against one setting of it: in every decided field whose
    /// code does not agree.
    pub fn differing_bits(&self, decoded: &Decoded, setting: Option<SettingId>) -> u128 {
        let Some(at) = tally::matching(&self.expected, decoded, decoded.squitter()) else { return 0 };
        let length = decoded.frame.length();
        self.expected[at]
            .emission
            .decisions
            .iter()
            .filter(|decision| setting.is_none_or(|setting| decision.settings.contains(&setting)))
            .filter(|decision| decision.applies.is_none_or(|applies| applies(&decoded.frame)))
            .map(|decision| (decision, decoded.frame.field(decision.span)))
            .filter(|(decision, code)| !decision.agrees(*code))
            .fold(0, |bits, (decision, code)| bits | u128::from(code ^ decision.code) << (length - decision.span.last))
    }
}

/// The frames of a healthy flight. What the profile leaves open is looked for too, as if it were set as usual: it is judged
/// by nothing, and shown.
fn expected(profile: &Profile) -> Result<Vec<Expected>, CodeError> {
    let sent = emissions(profile, Flight::Healthy)?;
    let all = emissions(&profile.filled_as_usual(), Flight::Healthy).unwrap_or_else(|_| sent.clone());
    let same = |a: &Emission, b: &Emission| a.table == b.table && a.when == b.when && a.asked_by == b.asked_by;
    let stated = |id: SettingId| matches!((id.setting().words)(profile), Stated::Is(_));
    let is_sent = |emission: &Emission| sent.iter().any(|other| same(other, emission));
    Ok(all
        .into_iter()
        .map(|emission| (is_sent(&emission), emission))
        .map(|(sent, emission)| Expected::new(emission, sent, stated))
        .collect())
}

/// Which installs a fixed identification belongs to: rightly, or (false) by an entry error.
type ByIdentification = HashMap<u64, Vec<(usize, bool)>, FixedState>;

/// One or many installs, and what a capture shows of them.
#[derive(Debug)]
pub struct Fleet {
    installs: Vec<Install>,
    rules: RuleSet,
    dips: Dips,
    /// What each install's quality is compared with.
    bounds: Vec<[Bounds; 6]>,
    /// Which installs an address may belong to, rightly or by a known mistake.
    by_address: HashMap<Address, Vec<usize>, FixedState>,
    by_identification: Arc<ByIdentification>,
    /// Who was heard in the clear, of the fleet or not.
    in_clear: Arc<InClear>,
    /// For every install, what was observed under each address.
    tallies: Vec<BTreeMap<Address, Box<Tally>>>,
    /// Follows the aircraft of the fleet, and no other.
    tracker: Tracker,
    /// The first frames of all aircraft, each with its file.
    kept: Vec<(Address, usize, Record)>,
    /// Whether there was no room for some.
    kept_full: bool,
    files: Vec<String>,
    accounting: Accounting,
    /// What could not be read, or not to its end, and why.
    unread: Vec<String>,
    parity_invalid: u64,
}

impl Fleet {
    /// A fleet, ready for captures, whose quality is compared with a regulator's minimum values too.
    pub fn new(installs: Vec<Install>, rules: &RuleSet) -> Self {
        let mut by_address: HashMap<Address, Vec<usize>, FixedState> = HashMap::default();
        let mut by_identification: ByIdentification = HashMap::default();
        for (at, install) in installs.iter().enumerate() {
            by_address.entry(install.address).or_default().push(at);
            if let Some(identification) = install.profile.aircraft_identification.get() {
                // A crew enters another text for another flight, and one flight's text may be another aircraft's next day:
                // then, unless it is the registration, the address must be a slip of the right one.
                let own_mark = install
                    .profile
                    .registration
                    .get()
                    .is_some_and(|mark| mark.0.replace('-', "").eq_ignore_ascii_case(&identification.to_string()));
                let source = install.profile.identification_source.get();
                let fixed = own_mark || source == Some(&IdentificationSource::Fixed);
                let mistaken = mistaken_identifications(&install.profile).filter(|_| fixed).map(|wrong| (wrong, false));
                for (text, rightly) in std::iter::once((*identification, fixed)).chain(mistaken) {
                    let installs = by_identification.entry(text.bits()).or_default();
                    // Two mistakes may lead to one text.
                    if installs.last().is_none_or(|(last, _)| *last != at) {
                        installs.push((at, rightly));
                    }
                }
            }
        }
        let tallies = vec![BTreeMap::new(); installs.len()];
        let bounds = installs.iter().map(|install| quality::bounds(&install.profile, rules)).collect();
        Self {
            installs,
            rules: rules.clone(),
            dips: Dips::default(),
            bounds,
            by_address,
            by_identification: Arc::new(by_identification),
            in_clear: Arc::new(InClear::new()),
            tallies,
            tracker: Tracker::new(None, None),
            kept: Vec::new(),
            kept_full: false,
            files: Vec::new(),
            accounting: Accounting::default(),
            unread: Vec::new(),
            parity_invalid: 0,
        }
    }

    /// Says how rare and short low quality must be to be a dip.
    #[must_use]
    pub fn with_dips(mut self, dips: Dips) -> Self {
        self.dips = dips;
        self
    }

    /// Says which file the next frames come from.
    pub fn begin(&mut self, file: &str) {
        self.files.push(file.to_owned());
    }

    /// Adds the account of a file's lines.
    pub fn account(&mut self, accounting: &Accounting) {
        self.accounting.add(accounting);
    }

    /// Takes in one frame.
    pub fn observe(&mut self, record: &Record) {
        let decoded = Decoded::new(record.frame);
        if decoded.parity() == Parity::Invalid {
            self.parity_invalid += 1;
            return;
        }
        // Format 18 is sent by anything but this aircraft's transponder, under whatever address.
        if record.frame.downlink_format() == 18 {
            return;
        }
        // An all-call reply to an interrogator has only seven free bits of overlay, so it speaks for a known address,
        // but not for a new one.
        let Some(address) = decoded.address() else { return };
        self.in_clear.note(&record.frame, decoded.parity(), address);
        let message = decoded.squitter();
        self.suspect(&decoded, message.as_ref(), address);
        let file = self.files.len().saturating_sub(1);
        if self.kept.len() < MOST_KEPT {
            self.kept.push((address, file, *record));
        } else {
            self.kept_full = true;
        }
        let Some(installs) = self.by_address.get(&address) else { return };
        let frame = Followed::new(decoded, message, address, file, record);
        let seen = self.tracker.observe(&frame.decoded, record.time);
        for at in installs {
            frame.put(&self.installs[*at], &mut self.tallies[*at], &seen, &self.bounds[*at]);
        }
    }

    /// Whether a frame sends an install's identification under another address; from then on that is followed for the
    /// install. Where the identification is only what an entry error makes of the right one, the address must be so too,
    /// and no other profile's.
    fn suspect(&mut self, decoded: &Decoded, message: Option<&Message>, address: Address) {
        let Some(Message::AircraftIdentification(message)) = message else { return };
        let Some(installs) = self.by_identification.get(&message.characters.bits()) else { return };
        if !decoded.proves_address() {
            return;
        }
        let known = self.by_address.get(&address).map_or(&[][..], Vec::as_slice);
        let slipped = |at: usize| !slip::between(self.installs[at].address, address).is_empty();
        let followed: Vec<usize> = installs
            .iter()
            .filter(|(at, _)| !known.contains(at) && self.tallies[*at].len() < MOST_SUSPECTS)
            .filter(|(at, rightly)| *rightly || known.is_empty() && slipped(*at))
            .map(|(at, _)| *at)
            .collect();
        if !followed.is_empty() {
            self.catch_up(address, &followed);
            self.by_address.entry(address).or_default().extend(followed);
        }
    }

    /// Takes in, for these installs, what was kept of an address that is followed for them from now on. Aircraft are
    /// independent of one another, so the answer is that of having followed it from the start.
    fn catch_up(&mut self, address: Address, installs: &[usize]) {
        // What follows the address already has its frames; a follower of its own reads them again.
        let mut again = self.by_address.contains_key(&address).then(|| Tracker::new(None, None));
        for (_, file, record) in self.kept.iter().filter(|(of, ..)| *of == address) {
            let decoded = Decoded::new(record.frame);
            let frame = Followed::new(decoded, decoded.squitter(), address, *file, record);
            let seen = again.as_mut().unwrap_or(&mut self.tracker).observe(&frame.decoded, record.time);
            for at in installs {
                frame.put(&self.installs[*at], &mut self.tallies[*at], &seen, &self.bounds[*at]);
            }
        }
    }

    /// What the captures say of every install, in the order given; each is made when it is asked for.
    pub fn reports(&self) -> impl ExactSizeIterator<Item = Report> {
        (0..self.installs.len()).map(|at| verdict::report(self, at))
    }

    /// The installs, in the order given.
    pub fn installs(&self) -> &[Install] {
        &self.installs
    }

    /// Frames of any aircraft whose parity does not hold.
    pub fn parity_invalid(&self) -> u64 {
        self.parity_invalid
    }

    /// What could not be read, or not to its end, and why.
    pub fn unread(&self) -> &[String] {
        &self.unread
    }

    /// The account of all lines.
    pub fn accounting(&self) -> &Accounting {
        &self.accounting
    }
}

/// A frame of an address that is followed.
struct Followed {
    decoded: Decoded,
    message: Option<Message>,
    address: Address,
    evidence: Evidence,
}

impl Followed {
    fn new(mut decoded: Decoded, message: Option<Message>, address: Address, file: usize, record: &Record) -> Self {
        if let (20 | 21, Some(payload)) = (record.frame.downlink_format(), decoded.payload) {
            let number = (payload.bits >> 48) as u8;
            if matches!(number, 0x10 | 0x20) {
                decoded = decoded.with_register(crate::code::RegisterNumber::new(number));
            }
        }
        let evidence = Evidence { frames: 1, file, line: record.line, time: record.time, frame: record.frame };
        Self { decoded, message, address, evidence }
    }

    fn put(
        &self,
        install: &Install,
        tallies: &mut BTreeMap<Address, Box<Tally>>,
        seen: &Observation,
        bounds: &[Bounds; 6],
    ) {
        // Boxed, since a map makes room for several at once, and nearly every install is heard under one address.
        let tally = tallies.entry(self.address).or_insert_with(|| Box::new(Tally::new(&install.expected)));
        let (decoded, message, evidence) = (&self.decoded, self.message, self.evidence);
        tally.observe(install, &Heard { decoded, message, evidence, seen, bounds, version: install.version });
    }
}

/// Identifications that an entry error makes of the right one. Blank and sample texts are anybody's.
fn mistaken_identifications(profile: &Profile) -> impl Iterator<Item = Identification> {
    let own = |mistake: &&Mistake| {
        mistake.settings.contains(&SettingId::AircraftIdentification)
            && mistake.cause != SAMPLE_IDENTIFICATION.cause
            && mistake.cause != IDENTIFICATION_BLANK.cause
    };
    let candidates = MISTAKES.iter().filter(own).flat_map(|mistake| (mistake.candidates)(profile));
    candidates.filter_map(|(wrong, _)| wrong.aircraft_identification.get().copied())
}

/// Addresses that a known mistake makes of the right one, each with the mistake's number.
fn mistaken_addresses(profile: &Profile) -> impl Iterator<Item = (usize, Address)> {
    MISTAKES.iter().enumerate().filter(|(_, mistake)| mistake.settings.contains(&SettingId::Address)).flat_map(
        |(at, mistake)| {
            let candidates = (mistake.candidates)(profile);
            candidates.into_iter().filter_map(move |(wrong, _)| Some((at, *wrong.address.get()?)))
        },
    )
}
