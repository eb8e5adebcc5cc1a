//! Makes random numbers that one seed repeats in every version of the program.

use rand_pcg::Pcg64;
use rand_pcg::rand_core::Rng;

/// Random numbers with a stream that stays: `rand_pcg` holds its outputs to published vectors, so a seed gives the same
/// capture with every version of the crate.
#[derive(Clone, Debug)]
pub(crate) struct Random(Pcg64);

impl Random {
    pub(crate) fn new(seed: u64, stream: u128) -> Self {
        Self(Pcg64::new(seed.into(), stream))
    }

    /// A number from `least` to `most`, each as likely (to one part in 2^64 / range).
    pub(crate) fn between(&mut self, least: u64, most: u64) -> u64 {
        let range = u128::from(most.saturating_sub(least)) + 1;
        least + ((u128::from(self.0.next_u64()) * range) >> 64) as u64
    }

    /// From 0 up to but not 1.
    pub(crate) fn part(&mut self) -> f64 {
        (self.0.next_u64() >> 11) as f64 / (1u64 << 53) as f64
    }
}
