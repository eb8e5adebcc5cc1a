//! One or many installs, and what a capture shows of them: frames go to those whose aircraft they are.

use super::install::Install;
use super::judge::{self, ByIdentification, Case, Dips};
use super::observe::{Bounds, Evidence, Heard, InClear, Tally, bounds};
use super::report::Report;
use crate::capture::{Accounting, Record};
use crate::code::{Bits, RegisterNumber};
use crate::downlink::{Decoded, Parity};
use crate::frame::Address;
use crate::message::Message;
use crate::profile::{IdentificationSource, RuleSet};
use crate::registry::slip;
use crate::track::{Observation, Tracker};
use foldhash::fast::FixedState;
use std::collections::{BTreeMap, HashMap};
use std::sync::Arc;

/// How many other addresses are followed for one profile.
const MOST_SUSPECTS: usize = 64;

/// This many frames of any aircraft are kept, the first ones: an address may turn out to be an install's wrong one, and is
/// then judged from its first frame on.
const MOST_KEPT: usize = 1 << 18;

/// One or many installs, and what a capture shows of them.
#[derive(Debug)]
pub struct Fleet {
    installs: Vec<Install>,
    rules: RuleSet,
    dips: Dips,
    /// What each install's quality is compared with.
    bounds: Vec<[Bounds; 6]>,
    /// Which installs an address may belong to, rightly or by a known mistake.
    pub(super) by_address: HashMap<Address, Vec<usize>, FixedState>,
    pub(super) by_identification: Arc<ByIdentification>,
    /// Who was heard in the clear, of the fleet or not.
    pub(super) in_clear: Arc<InClear>,
    /// For every install, what was observed under each address.
    tallies: Vec<BTreeMap<Address, Box<Tally>>>,
    /// Follows the aircraft of the fleet, and no other.
    tracker: Tracker,
    /// The first frames of all aircraft, each with its file.
    kept: Vec<(Address, usize, Record)>,
    /// Whether there was no room for some.
    pub(super) kept_full: bool,
    files: Vec<Arc<str>>,
    accounting: Accounting,
    /// What could not be read, or not to its end, and why.
    pub(super) unread: Vec<String>,
    pub(super) parity_invalid: u64,
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
                let mistaken = install.mistaken_identifications().filter(|_| fixed).map(|wrong| (wrong, false));
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
        let bounds = installs.iter().map(|install| bounds(&install.profile, rules)).collect();
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
        self.files.push(file.into());
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
        (0..self.installs.len()).map(|at| judge::report(&self.case(at)))
    }

    /// Everything that is known of one install.
    fn case(&self, at: usize) -> Case<'_> {
        Case {
            install: &self.installs[at],
            heard: &self.tallies[at],
            fleet: &self.installs,
            by_address: &self.by_address,
            by_identification: &self.by_identification,
            in_clear: &self.in_clear,
            rules: &self.rules,
            dips: self.dips,
            files: &self.files,
            accounting: &self.accounting,
            not_read_whole: &self.unread,
            parity_invalid: self.parity_invalid,
        }
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
                decoded = decoded.with_register(RegisterNumber::new(number));
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
