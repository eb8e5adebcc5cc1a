//! Compares one or many installs with captures: each frame goes to the installs whose aircraft sent it.

use super::install::{Expected, ExpectedFrames, Install};
use super::judge::{self, ByIdentification, Case, Dips};
use super::observe::{Bounds, Evidence, HeardAddresses, ObservedFrame, Tally, bounds};
use super::report::Report;
#[cfg(feature = "lab")]
use crate::capture::share;
use crate::capture::{Accounting, Record, read_lines};
use crate::code::{Bits, RegisterNumber, Version};
use crate::downlink::{Decoded, Parity, sender};
use crate::frame::{Address, Frame};
use crate::profile::{IdentificationSource, RuleSet};
use crate::registry::address_mistake;
use crate::track::Follower;
use foldhash::fast::FixedState;
use std::collections::{BTreeMap, HashMap};
use std::ops::{ControlFlow, Range};
use std::sync::{Arc, OnceLock};

/// How many other addresses are followed for one profile.
const MOST_SUSPECTS: usize = 64;

/// This many frames of any aircraft are kept, the first ones: an address may turn out to be an install's wrong one, and is
/// then judged from its first frame on.
const MOST_FIRST: usize = 1 << 18;

/// Frames wait until there are about this many of each aircraft: fewer take less room than what they show.
const FRAMES_OF_EACH: usize = 128;
/// At least this many wait, so that sharing the work is worth its while.
const LEAST_WAITING: usize = 1 << 12;
/// And at most this many, which take 32 MiB.
const MOST_WAITING: usize = 1 << 20;

/// The frames that an install is expected to send are kept for fleets up to this size, and else made when they are needed.
const MOST_EXPECTED: usize = 1_000;

/// Each thread makes this many reports at once.
const REPORTS_AT_ONCE: usize = 16;

/// What was heard under each address that may be an install's. Boxed, since a map makes room for several at once, and
/// nearly every install is heard under one.
type HeardAs = BTreeMap<Address, Box<Followed>>;

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
    pub(super) in_clear: Arc<HeardAddresses>,
    /// For every install, the addresses that are followed for it, its own first.
    followed: Vec<Vec<Address>>,
    /// For every install, what was heard under each of them.
    heard: Vec<HeardAs>,
    /// What each install is expected to send, unless they are too many.
    expected: Vec<OnceLock<Arc<ExpectedFrames>>>,
    /// Frames that were kept: the first ones of any aircraft, then those of followed ones that wait.
    frames: Vec<Kept>,
    /// Whose they are.
    addresses: Vec<Address>,
    /// How many of them are first ones, which stay.
    first_frames: usize,
    /// Whether there was no room for more.
    pub(super) first_are_past: bool,
    /// From this many of the frames everything was gathered.
    gathered: usize,
    /// How many threads share the work.
    pub(super) threads: usize,
    pub(super) files: Vec<Arc<str>>,
    accounting: Accounting,
    /// What could not be read, or not to its end, and why.
    pub(super) unread: Vec<String>,
    pub(super) parity_invalid: u64,
}

impl Fleet {
    /// A fleet, ready for captures, whose quality is compared with a regulator's minimum values too.
    ///
    /// ```
    /// use squitterlab::{Fleet, Install, Profile, profile::rule_set};
    /// let profile = Profile::read(r#"{"aircraft": {"address": "A5C035"}}"#).profile;
    /// let fleet = Fleet::new(vec![Install::new("own", profile).unwrap()], rule_set("none").unwrap());
    /// // Without a capture nothing is seen.
    /// assert!(fleet.reports().all(|report| report.heard_as.is_none()));
    /// ```
    pub fn new(installs: Vec<Install>, rules: &RuleSet) -> Self {
        let mut by_address: HashMap<Address, Vec<usize>, FixedState> = HashMap::default();
        let mut by_identification = Vec::new();
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
                by_identification.push((identification.bits(), at as u32, fixed));
                if fixed {
                    let mistaken = install.mistaken_identifications();
                    by_identification.extend(mistaken.map(|wrong| (wrong.bits(), at as u32, false)));
                }
            }
        }
        let followed = installs.iter().map(|install| vec![install.address]).collect();
        let heard = vec![BTreeMap::new(); installs.len()];
        let expected = if installs.len() > MOST_EXPECTED { Vec::new() } else { vec![OnceLock::new(); installs.len()] };
        let bounds = installs.iter().map(|install| bounds(&install.profile, rules)).collect();
        Self {
            installs,
            rules: rules.clone(),
            dips: Dips::default(),
            bounds,
            by_address,
            by_identification: Arc::new(ByIdentification::new(by_identification)),
            in_clear: Arc::new(HeardAddresses::new()),
            followed,
            heard,
            expected,
            frames: Vec::new(),
            addresses: Vec::new(),
            first_frames: 0,
            first_are_past: false,
            gathered: 0,
            threads: 1,
            files: Vec::new(),
            accounting: Accounting::default(),
            unread: Vec::new(),
            parity_invalid: 0,
        }
    }

    /// Says how rare and short low quality must be to be a dip.
    ///
    /// ```
    /// use squitterlab::{Fleet, compare::Dips, profile::rule_set};
    /// let fleet = Fleet::new(Vec::new(), rule_set("none").unwrap()).with_dips(Dips { per_cent: 2.0, seconds: 10.0 });
    /// assert_eq!(fleet.reports().len(), 0);
    /// ```
    #[must_use]
    pub fn with_dips(mut self, dips: Dips) -> Self {
        self.dips = dips;
        self
    }

    /// Observes every frame of captured text; `name` is its file in the evidence.
    ///
    /// ```
    /// use squitterlab::compare::SettingStatus;
    /// use squitterlab::onair::{Flight, emissions};
    /// use squitterlab::profile::{SettingId, rule_set};
    /// use squitterlab::{Fleet, Install, Profile};
    /// let profile = Profile::read(r#"{"aircraft": {"address": "A5C035", "emitter_category": "A1"}}"#).profile;
    /// // What the unit sends, as a receiver writes it down.
    /// let sent = emissions(&profile, Flight::Healthy).unwrap();
    /// let text: String = sent.iter().map(|emission| format!("{}\n", emission.frame)).collect();
    /// let mut fleet = Fleet::new(vec![Install::new("own", profile).unwrap()], rule_set("none").unwrap());
    /// fleet.read("night.txt", text.as_bytes());
    /// let report = fleet.reports().next().unwrap();
    /// let category = report.settings.iter().find(|setting| setting.setting == SettingId::EmitterCategory).unwrap();
    /// assert_eq!(category.status, SettingStatus::Agrees);
    /// ```
    pub fn read(&mut self, name: &str, text: &[u8]) {
        self.begin(name);
        let accounting = read_lines(text, 1, |record| {
            self.observe(&record);
            ControlFlow::Continue(())
        });
        self.account(&accounting);
    }

    /// Says which file the next frames come from.
    ///
    /// ```
    /// use squitterlab::{Fleet, capture, profile::rule_set};
    /// use std::ops::ControlFlow;
    /// let mut fleet = Fleet::new(Vec::new(), rule_set("none").unwrap());
    /// fleet.begin("night.txt");
    /// let accounting = capture::read_lines(b"8D4840D6202CC371C32CE0576098\n", 1, |record| {
    ///     fleet.observe(&record);
    ///     ControlFlow::Continue(())
    /// });
    /// fleet.account(&accounting);
    /// assert_eq!(fleet.accounting().frames, 1);
    /// ```
    pub fn begin(&mut self, file: &str) {
        self.files.push(file.into());
    }

    /// Adds the account of a file's lines.
    ///
    /// ```
    /// use squitterlab::{Fleet, capture::Accounting, profile::rule_set};
    /// let mut fleet = Fleet::new(Vec::new(), rule_set("none").unwrap());
    /// fleet.account(&Accounting { frames: 3, ..Accounting::default() });
    /// assert_eq!(fleet.accounting().lines(), 3);
    /// ```
    pub fn account(&mut self, accounting: &Accounting) {
        self.accounting.add(accounting);
    }

    /// Observes one frame.
    ///
    /// ```
    /// use squitterlab::{Fleet, capture::Record, profile::rule_set};
    /// let mut fleet = Fleet::new(Vec::new(), rule_set("none").unwrap());
    /// fleet.begin("night.txt");
    /// // The last digit is wrong.
    /// let frame = "8D4840D6202CC371C32CE0576099".parse().unwrap();
    /// fleet.observe(&Record { line: 1, time: Some(12.5), frame });
    /// assert_eq!(fleet.parity_invalid(), 1);
    /// ```
    pub fn observe(&mut self, record: &Record) {
        match sender(&record.frame) {
            (Parity::Invalid, _) => self.parity_invalid += 1,
            (parity, Some(address)) => {
                self.in_clear.note(&record.frame, parity, address);
                // Format 18 is sent by anything but this aircraft's transponder, under whatever address.
                if record.frame.downlink_format() != 18 {
                    self.suspect(address, &record.frame);
                    self.keep(&[address], &[Kept::new(record, self.files.len().saturating_sub(1))]);
                }
            }
            _ => {}
        }
    }

    /// Observes frames whose parity is not wrong. An all-call reply to an interrogator has only seven free bits of overlay,
    /// so it speaks for a known address, but not for a new one.
    pub(super) fn keep(&mut self, addresses: &[Address], frames: &[Kept]) {
        let first = (MOST_FIRST - self.first_frames).min(frames.len());
        self.first_frames += first;
        self.first_are_past |= first < frames.len();
        self.addresses.extend_from_slice(&addresses[..first]);
        self.frames.extend_from_slice(&frames[..first]);
        for (address, frame) in addresses[first..].iter().zip(&frames[first..]) {
            if self.by_address.contains_key(address) {
                self.addresses.push(*address);
                self.frames.push(*frame);
            }
        }
        let enough = (FRAMES_OF_EACH * self.by_address.len()).clamp(LEAST_WAITING, MOST_WAITING);
        if self.frames.len() - self.gathered >= enough {
            self.gather();
        }
    }

    /// Whether a frame sends an install's identification under another address; from then on that is followed for the
    /// install. Where the identification is only what an entry error makes of the right one, the address must be so too,
    /// and no other profile's.
    pub(super) fn suspect(&mut self, address: Address, frame: &Frame) {
        let Some(text) = identification(frame) else { return };
        let installs = self.by_identification.of(text);
        if installs.clone().next().is_none() || !Decoded::new(*frame).proves_address() {
            return;
        }
        let known = self.by_address.get(&address).map_or(&[][..], Vec::as_slice);
        let slipped = |at: usize| !address_mistake::between(self.installs[at].address, address).is_empty();
        let suspecting: Vec<usize> = installs
            .filter(|(at, _)| !known.contains(at) && self.followed[*at].len() <= MOST_SUSPECTS)
            .filter(|(at, rightly)| *rightly || known.is_empty() && slipped(*at))
            .map(|(at, _)| at)
            .collect();
        if suspecting.is_empty() {
            return;
        }
        // Aircraft are independent of one another, so having gathered its first frames late is the same as having
        // followed it from the start. What waits goes to those that followed it before, wherever the waiting began.
        self.gather();
        let first = self.order(0..self.frames.len(), |other| other == address);
        for at in suspecting {
            let mut heard = std::mem::take(&mut self.heard[at]);
            self.add(at, address, self.of(address, &first), &mut heard, 1);
            self.heard[at] = heard;
            self.followed[at].push(address);
            self.by_address.entry(address).or_default().push(at);
        }
    }

    /// Adds what the waiting frames show to what is known of their aircraft, each of which is worked on while what is
    /// known of it is at hand.
    pub(super) fn gather(&mut self) {
        let waiting = self.waiting();
        let mut heard = std::mem::take(&mut self.heard);
        let all: Vec<_> = heard.iter_mut().enumerate().filter(|(at, _)| self.waits(*at, &waiting)).collect();
        let threads_of_each = if all.len() > 1 { 1 } else { self.threads };
        share(self.threads, all, |(at, heard)| self.add_waiting(at, &waiting, heard, threads_of_each));
        self.heard = heard;
        self.frames.truncate(self.first_frames);
        self.addresses.truncate(self.first_frames);
        self.gathered = self.frames.len();
    }

    /// The frames that nothing was gathered from yet.
    fn waiting(&self) -> ByAddress {
        self.order(self.gathered..self.frames.len(), |address| self.by_address.contains_key(&address))
    }

    /// Those of one address.
    fn of<'a>(&self, address: Address, some: &'a ByAddress) -> &'a [u32] {
        let of = |at: &u32| self.addresses[*at as usize];
        let from = some.0.partition_point(|at| of(at) < address);
        let others = &some.0[from..];
        &others[..others.partition_point(|at| of(at) == address)]
    }

    /// Some of the frames, aircraft by aircraft.
    fn order(&self, which: Range<usize>, wanted: impl Fn(Address) -> bool) -> ByAddress {
        let mut all: Vec<u32> = which.filter(|at| wanted(self.addresses[*at])).map(|at| at as u32).collect();
        all.sort_unstable_by_key(|at| (self.addresses[*at as usize], *at));
        ByAddress(all)
    }

    /// Whether frames of an install wait.
    fn waits(&self, at: usize, waiting: &ByAddress) -> bool {
        self.followed[at].iter().any(|address| !self.of(*address, waiting).is_empty())
    }

    /// Adds what the waiting frames show of one install.
    fn add_waiting(&self, at: usize, waiting: &ByAddress, heard: &mut HeardAs, threads: usize) {
        for address in &self.followed[at] {
            self.add(at, *address, self.of(*address, waiting), heard, threads);
        }
    }

    /// Adds what these frames of one address show of one install.
    fn add(&self, at: usize, address: Address, frames: &[u32], heard: &mut HeardAs, threads: usize) {
        if frames.is_empty() {
            return;
        }
        let expected = &self.expected(at);
        let wanted = Wanted { expected, bounds: &self.bounds[at], version: self.installs[at].version };
        let followed = heard.entry(address).or_insert_with(|| Box::new(Followed::new(expected)));
        followed.observe(frames.iter().map(|at| &self.frames[*at as usize]), &wanted, threads);
    }

    /// What an install is expected to send. Those of a small fleet are kept, those of a large one would take too much room.
    fn expected(&self, at: usize) -> Arc<ExpectedFrames> {
        let make = || Arc::new(self.installs[at].expected());
        self.expected.get(at).map_or_else(make, |kept| Arc::clone(kept.get_or_init(make)))
    }

    /// What the captures say of every install, in the order given; each is made when the iterator reaches it.
    ///
    /// ```
    /// use squitterlab::{Fleet, Install, Profile, compare::Verdict, profile::rule_set};
    /// let profile = Profile::read(r#"{"aircraft": {"address": "A5C035", "emitter_category": "A1"}}"#).profile;
    /// let fleet = Fleet::new(vec![Install::new("own", profile).unwrap()], rule_set("none").unwrap());
    /// let report = fleet.reports().next().unwrap();
    /// assert_eq!((report.verdict, report.summary.not_seen), (Verdict::Incomplete, 2));
    /// ```
    pub fn reports(&self) -> impl ExactSizeIterator<Item = Report> {
        let waiting = self.waiting();
        (0..self.installs.len()).map(move |at| self.report(at, &waiting))
    }

    /// The same, made on several threads some time before the iterator reaches them.
    ///
    /// ```
    /// use squitterlab::{Fleet, Install, Profile, profile::rule_set};
    /// let profile = Profile::read(r#"{"aircraft": {"address": "A5C035"}}"#).profile;
    /// let installs = vec![Install::new("own", profile).unwrap(); 3];
    /// let fleet = Fleet::new(installs, rule_set("none").unwrap());
    /// assert_eq!(fleet.reports_on(2).count(), 3);
    /// ```
    pub fn reports_on(&self, threads: usize) -> impl Iterator<Item = Report> {
        let waiting = self.waiting();
        let mut next = 0;
        let some = move || {
            let mut reports = vec![None; (self.installs.len() - next).min(REPORTS_AT_ONCE * threads.max(1))];
            share(threads, reports.iter_mut().zip(next..).collect(), |(report, at)| {
                *report = Some(self.report(at, &waiting));
            });
            next += reports.len();
            Some(reports).filter(|reports| !reports.is_empty())
        };
        std::iter::from_fn(some).flatten().flatten()
    }

    fn report(&self, at: usize, waiting: &ByAddress) -> Report {
        let mut heard = self.heard[at].clone();
        self.add_waiting(at, waiting, &mut heard, 1);
        let heard = heard.into_iter().map(|(address, followed)| (address, followed.tally)).collect();
        judge::report(&self.case(at, &self.expected(at), &heard))
    }

    /// What the captures say of the install at this place.
    pub(super) fn report_of(&self, at: usize) -> Report {
        self.report(at, &self.waiting())
    }

    /// What was observed of an install's own address, as far as it was gathered.
    pub(super) fn tally(&self, at: usize) -> Option<&Tally> {
        self.heard[at].get(&self.installs[at].address).map(|followed| &followed.tally)
    }

    /// Everything that is known of one install.
    fn case<'a>(&'a self, at: usize, expected: &'a [Expected], heard: &'a BTreeMap<Address, Tally>) -> Case<'a> {
        Case {
            install: &self.installs[at],
            expected,
            heard,
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
    pub(crate) fn installs(&self) -> &[Install] {
        &self.installs
    }

    /// Frames of any aircraft whose parity does not hold.
    ///
    /// ```
    /// use squitterlab::{Fleet, profile::rule_set};
    /// let mut fleet = Fleet::new(Vec::new(), rule_set("none").unwrap());
    /// fleet.read("night.txt", b"8D4840D6202CC371C32CE0576099\n");
    /// assert_eq!(fleet.parity_invalid(), 1);
    /// ```
    pub fn parity_invalid(&self) -> u64 {
        self.parity_invalid
    }

    /// What could not be read, or not to its end, and why.
    pub(crate) fn unread(&self) -> &[String] {
        &self.unread
    }

    /// The account of all lines.
    ///
    /// ```
    /// use squitterlab::{Fleet, profile::rule_set};
    /// let mut fleet = Fleet::new(Vec::new(), rule_set("none").unwrap());
    /// fleet.read("night.txt", b"# ours\n8D4840D6202CC371C32CE0576098\n");
    /// assert_eq!((fleet.accounting().frames, fleet.accounting().comments), (1, 1));
    /// ```
    pub fn accounting(&self) -> &Accounting {
        &self.accounting
    }
}

/// A frame that is kept, in little room: a large fleet's are a million.
#[derive(Clone, Copy, Debug)]
pub(super) struct Kept {
    pub(super) frame: Frame,
    /// Not a number where the line has no time.
    time: f64,
    /// The file and, in the lower forty bits, the line.
    place: u64,
}

impl Kept {
    pub(super) fn new(record: &Record, file: usize) -> Self {
        let place = (file as u64) << 40 | record.line & ((1 << 40) - 1);
        Self { frame: record.frame, time: record.time.unwrap_or(f64::NAN), place }
    }

    /// The line, from 1.
    pub(super) fn line(&self) -> u64 {
        self.place & ((1 << 40) - 1)
    }

    /// The frame with its tables; a reply whose payload begins with the number of a register is read as that one.
    fn decoded(&self) -> Decoded {
        let decoded = Decoded::new(self.frame);
        if let (20 | 21, Some(payload)) = (self.frame.downlink_format(), decoded.payload) {
            let number = (payload.bits >> 48) as u8;
            if matches!(number, 0x10 | 0x20) {
                return decoded.with_register(RegisterNumber::new(number));
            }
        }
        decoded
    }

    fn evidence(&self) -> Evidence {
        let time = Some(self.time).filter(|time| !time.is_nan());
        Evidence { frames: 1, file: (self.place >> 40) as usize, line: self.line(), time, frame: self.frame }
    }
}

/// Numbers of frames, in the order of their addresses, and then of the frames.
struct ByAddress(Vec<u32>);

/// What one address showed of one install.
#[derive(Clone, Debug)]
struct Followed {
    follower: Follower,
    tally: Tally,
}

impl Followed {
    fn new(expected: &[Expected]) -> Self {
        Self { follower: Follower::default(), tally: Tally::new(expected) }
    }

    /// Observes frames of the address. One aircraft is followed in order, but two threads may each gather one half of what
    /// its frames show.
    fn observe<'a>(
        &mut self,
        frames: impl Iterator<Item = &'a Kept> + Clone + Send,
        install: &Wanted<'_>,
        threads: usize,
    ) {
        let Wanted { expected, bounds, version } = *install;
        let (mut tracked, mut single) = self.tally.halves();
        let follower = &mut self.follower;
        let mut follow = |heard: &ObservedFrame<'_>| {
            let seen = follower.observe(heard.decoded, heard.message.as_ref(), heard.evidence.time);
            tracked.observe(heard, &seen);
        };
        let mut read = |heard: &ObservedFrame<'_>| single.observe(expected, heard);
        let each = |frame: &Kept, take: &mut dyn FnMut(&ObservedFrame<'_>)| {
            let decoded = frame.decoded();
            let (message, evidence) = (decoded.squitter(), frame.evidence());
            take(&ObservedFrame { decoded: &decoded, message, evidence, bounds, version });
        };
        if threads <= 1 {
            frames.for_each(|frame| {
                each(frame, &mut |heard| {
                    follow(heard);
                    read(heard);
                });
            });
            return;
        }
        let (again, each) = (frames.clone(), &each);
        let halves: [Box<dyn FnOnce() + Send>; 2] = [
            Box::new(|| frames.for_each(|frame| each(frame, &mut follow))),
            Box::new(|| again.for_each(|frame| each(frame, &mut read))),
        ];
        share(threads, halves.into(), |half| half());
    }
}

/// What the frames of one install are compared with.
#[derive(Clone, Copy)]
struct Wanted<'a> {
    expected: &'a [Expected],
    bounds: &'a [Bounds; 6],
    version: Version,
}

/// The characters of an identification squitter: type codes 1 to 4 in format 17.
pub(super) fn identification(frame: &Frame) -> Option<u64> {
    let field = frame.message_field();
    (frame.downlink_format() == 17 && matches!(field >> 51, 1..=4)).then_some(field & 0xFFFF_FFFF_FFFF)
}

/// The library alone has no threads.
#[cfg(not(feature = "lab"))]
fn share<T>(_: usize, all: Vec<T>, work: impl Fn(T)) {
    all.into_iter().for_each(work);
}
