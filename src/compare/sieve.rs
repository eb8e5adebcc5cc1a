//! Captures read on all cores: frames that say nothing of a fleet are sifted out where they are read, and the few that do
//! are taken in one after the other, so the answer does not hang on how many cores there are.

use super::fleet::Fleet;
use super::judge::ByIdentification;
use super::observe::InClear;
use crate::capture::{Accounting, BLOCK, Block, Clock, End, Record, Source, blocks, in_order};
use crate::downlink::{Parity, sender};
use crate::frame::Address;
use std::ops::ControlFlow;
use std::sync::{Arc, Mutex, PoisonError};

impl Fleet {
    /// Takes in every frame of these captures, in order. `each` is told of every block, the last of a source included.
    pub fn hear(
        &mut self,
        sources: Vec<Source>,
        clock: &Clock,
        threads: usize,
        mut each: impl FnMut(&Block, &Accounting),
    ) {
        let names: Vec<String> = sources.iter().map(Source::name).collect();
        let sieve = Arc::new(Mutex::new(Arc::new(Sieve::of(self, clock))));
        let shared = Arc::clone(&sieve);
        let sifter = move || {
            let shared = Arc::clone(&shared);
            move |block: Block| {
                let sieve = Arc::clone(&shared.lock().unwrap_or_else(PoisonError::into_inner));
                let sifted = sieve.sift(&block);
                (block, sifted, sieve.followed)
            }
        };
        let mut current = None;
        let mut keeps_all = true;
        for (block, sifted, mut followed) in in_order(threads, blocks(sources, BLOCK, false), sifter) {
            if current.replace(block.source) != Some(block.source) {
                self.begin(&names[block.source]);
            }
            self.account(&sifted.accounting);
            self.parity_invalid += sifted.parity_invalid;
            let (mut kept, mut last) = (sifted.kept.into_iter(), 0);
            loop {
                // A frame has shown another address to follow: what was sifted without it is sifted again.
                if followed != self.by_address.len() || keeps_all && self.kept_full {
                    keeps_all = false;
                    let wider = Arc::new(Sieve::of(self, clock));
                    followed = wider.followed;
                    kept = wider.sift(&block).kept.into_iter();
                    *sieve.lock().unwrap_or_else(PoisonError::into_inner) = wider;
                }
                match kept.next() {
                    None => break,
                    Some(record) if record.line <= last => {}
                    Some(record) => {
                        last = record.line;
                        self.observe(&record);
                    }
                }
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
struct Sieve {
    /// A bit for the last 16 bits of each address: few enough to stay at hand.
    addresses: Vec<u64>,
    identifications: Arc<ByIdentification>,
    in_clear: Arc<InClear>,
    /// How many addresses the fleet followed when this was made.
    followed: usize,
    /// Whether the fleet still keeps the frames of any aircraft.
    keeps_all: bool,
    clock: Clock,
}

/// What a sieve leaves of a block.
struct Sifted {
    accounting: Accounting,
    /// Frames whose parity does not hold.
    parity_invalid: u64,
    kept: Vec<Record>,
}

/// Type codes 1 to 4 in format 17.
fn identification(record: &Record) -> Option<u64> {
    let field = record.frame.message_field();
    (record.frame.downlink_format() == 17 && matches!(field >> 51, 1..=4)).then_some(field & 0xFFFF_FFFF_FFFF)
}

impl Sieve {
    fn of(fleet: &Fleet, clock: &Clock) -> Self {
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
            keeps_all: !fleet.kept_full,
            clock: clock.clone(),
        }
    }

    fn place(address: Address) -> (usize, u64) {
        let low = address.bits() & 0xFFFF;
        ((low >> 6) as usize, 1 << (low & 63))
    }

    fn keeps(&self, address: Address, record: &Record) -> bool {
        let (word, bit) = Self::place(address);
        self.keeps_all
            || self.addresses[word] & bit != 0
            || identification(record).is_some_and(|characters| self.identifications.contains_key(&characters))
    }

    fn sift(&self, block: &Block) -> Sifted {
        let (mut kept, mut parity_invalid) = (Vec::new(), 0);
        let accounting = block.read(&self.clock, |record| {
            match sender(&record.frame) {
                (Parity::Invalid, _) => parity_invalid += 1,
                (parity, Some(address)) => {
                    self.in_clear.note(&record.frame, parity, address);
                    if self.keeps(address, &record) {
                        kept.push(record);
                    }
                }
                _ => {}
            }
            ControlFlow::Continue(())
        });
        Sifted { accounting, parity_invalid, kept }
    }
}
