//! Random numbers by the seed alone.

use rand::{Rng, SeedableRng};
use rand_pcg::Pcg64Mcg;

/// A stream of random numbers.
#[derive(Debug, Clone)]
pub(crate) struct ScheduleDice(Pcg64Mcg);

impl ScheduleDice {
    /// The stream of one island.
    pub(crate) fn new(seed: u64, island: u64) -> Self {
        let mixed = seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ island.wrapping_mul(0xD1B5_4A32_D192_ED03);
        Self(Pcg64Mcg::seed_from_u64(mixed))
    }

    /// A number below `count`, which is at least 1.
    pub(crate) fn below(&mut self, count: usize) -> usize {
        ((u128::from(self.0.next_u64()) * count as u128) >> 64) as usize
    }
}
