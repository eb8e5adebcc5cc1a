//! Reads captures on all cores: frames that say nothing about a fleet are dropped where they are read, and the few
//! others are observed one after the other, so the answer does not depend on how many cores there are.

use super::fleet::{Fleet, Kept, identification};
use super::judge::ByIdentification;
use super::observe::HeardAddresses;
use crate::capture::{Accounting, BLOCK, Clock, End, Source, TextBlock, blocks, ordered_pool};
use crate::downlink::{Parity, sender};
use crate::frame::Address;
use std::ops::ControlFlow;
use std::sync::{Arc, Mutex, PoisonError};

impl Fleet {
    /// Observes every frame of these captures, in order. `each` is called with every block, the last of a source included.
    ///
    /// ```
    /// use squitterlab::{Fleet, capture::{Clock, Source}, profile::rule_set};
    /// let mut fleet = Fleet::new(Vec::new(), rule_set("none").unwrap());
    /// let demo = vec![Source::from("vectors/demo/good_air.txt")];
    /// fleet.read_sources(demo, &Clock::default(), 2, |_, _| {});
    /// assert!(fleet.accounting().frames > 0);
    /// ```
    pub fn read_sources(
        &mut self,
        sources: Vec<Source>,
        clock: &Clock,
        threads: usize,
        mut each: impl FnMut(&TextBlock, &Accounting),
    ) {
        let names: Vec<String> = sources.iter().map(Source::name).collect();
        let prefilter_of = {
            let (clock, files) = (clock.clone(), self.files.len());
            move |fleet: &Self| Arc::new(Prefilter::of(fleet, &clock, files))
        };
        let newest = Arc::new(Mutex::new(prefilter_of(self)));
        let shared = Arc::clone(&newest);
        let sifter = move || {
            let shared = Arc::clone(&shared);
            move |block: TextBlock| {
                let prefilter = Arc::clone(&shared.lock().unwrap_or_else(PoisonError::into_inner));
                let sifted = prefilter.sift(&block, 0);
                (block, sifted, prefilter)
            }
        };
        let publish =
            |prefilter: &Arc<Prefilter>| *newest.lock().unwrap_or_else(PoisonError::into_inner) = Arc::clone(prefilter);
        self.threads = threads;
        let (mut current, mut keeps_all) = (None, true);
        for (block, sifted, prefilter) in ordered_pool(threads, blocks(sources, BLOCK, false), sifter) {
            if current.replace(block.source) != Some(block.source) {
                self.begin(&names[block.source]);
            }
            self.account(&sifted.accounting);
            self.parity_invalid += sifted.parity_invalid;
            let (mut kept, mut followed, mut from) = (sifted.kept, prefilter.followed, 0);
            loop {
                // A frame has shown another address to follow: what was sifted without it is sifted again.
                if followed != self.by_address.len() {
                    let wider = prefilter_of(self);
                    publish(&wider);
                    followed = wider.followed;
                    kept = wider.sift(&block, from).kept;
                }
                let shows_another = |at: &&usize| {
                    self.suspect(kept.addresses[**at], &kept.frames[**at].frame);
                    self.by_address.len() != followed
                };
                let end = kept.named.iter().find(shows_another).map_or(kept.frames.len(), |at| *at);
                self.keep(&kept.addresses[..end], &kept.frames[..end]);
                match kept.frames.get(end) {
                    Some(next) => from = next.line(),
                    None => break,
                }
            }
            if keeps_all && self.first_are_past {
                keeps_all = false;
                publish(&prefilter_of(self));
            }
            if let Some(End::Broken(error)) = &block.end {
                self.unread.push(error.to_string());
            }
            each(&block, &sifted.accounting);
        }
    }
}

/// Lets through every frame that can say something of a fleet, and hardly any other.
#[derive(Debug)]
struct Prefilter {
    /// A bit for the last 16 bits of each address: few enough to stay at hand.
    addresses: Vec<u64>,
    identifications: Arc<ByIdentification>,
    in_clear: Arc<HeardAddresses>,
    /// How many addresses the fleet followed when this was made.
    followed: usize,
    /// Whether the fleet still keeps the frames of any aircraft.
    keeps_all: bool,
    clock: Clock,
    /// How many files were read before these sources.
    files: usize,
}

/// What a prefilter leaves of a block.
struct Sifted {
    accounting: Accounting,
    /// Frames whose parity does not hold.
    parity_invalid: u64,
    kept: SiftedFrames,
}

/// The frames that are left.
#[derive(Default)]
struct SiftedFrames {
    frames: Vec<Kept>,
    /// Whose they are.
    addresses: Vec<Address>,
    /// Which of them say the identification of an install.
    named: Vec<usize>,
}

impl Prefilter {
    fn of(fleet: &Fleet, clock: &Clock, files: usize) -> Self {
        let mut addresses = vec![0; 1 << 10];
        for address in fleet.by_address.keys() {
            let (word, bit) = Self::place(*address);
            addresses[word] |= bit;
        }
        Self {
            addresses,
            identifications: Arc::clone(&fleet.by_identification),
            in_clear: Arc::clone(&fleet.in_clear),
            followed: fleet.by_address.len(),
            keeps_all: !fleet.first_are_past,
            clock: clock.clone(),
            files,
        }
    }

    fn place(address: Address) -> (usize, u64) {
        let low = address.bits() & 0xFFFF;
        ((low >> 6) as usize, 1 << (low & 63))
    }

    /// `from` is the first line whose frames are wanted; the others are accounted for.
    fn sift(&self, block: &TextBlock, from: u64) -> Sifted {
        let (mut kept, mut parity_invalid) = (SiftedFrames::default(), 0);
        let accounting = block.read(&self.clock, |record| {
            match sender(&record.frame) {
                (Parity::Invalid, _) => parity_invalid += 1,
                (parity, Some(address)) => {
                    self.in_clear.note(&record.frame, parity, address);
                    let (word, bit) = Self::place(address);
                    let is_named = identification(&record.frame)
                        .is_some_and(|characters| self.identifications.of(characters).next().is_some());
                    let is_kept = self.keeps_all || is_named || self.addresses[word] & bit != 0;
                    // Format 18 is sent by anything but this aircraft's transponder, under whatever address.
                    if is_kept && record.frame.downlink_format() != 18 && record.line >= from {
                        if is_named {
                            kept.named.push(kept.frames.len());
                        }
                        kept.frames.push(Kept::new(&record, self.files + block.source));
                        kept.addresses.push(address);
                    }
                }
                _ => {}
            }
            ControlFlow::Continue(())
        });
        Sifted { accounting, parity_invalid, kept }
    }
}
