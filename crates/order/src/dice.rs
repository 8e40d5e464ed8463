//! Random numbers by the seed alone.

use rand::Rng;
use rand::SeedableRng;
use rand_pcg::Pcg64Mcg;

/// A stream of random numbers.
#[derive(Debug, Clone)]
pub(crate) struct OrderDice(Pcg64Mcg);

impl OrderDice {
    /// The stream of a worker in a round.
    pub(crate) fn new(seed: u64, worker: u64, round: u64) -> Self {
        let mixed = seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ worker.wrapping_mul(0xD1B5_4A32_D192_ED03);
        Self(Pcg64Mcg::seed_from_u64(mixed.wrapping_add(round.wrapping_mul(0x8CB9_2BA7_2F3D_8DD7))))
    }

    /// 64 random bits.
    pub(crate) fn next_bits(&mut self) -> u64 {
        self.0.next_u64()
    }

    /// A number below `count`, which is at least 1.
    pub(crate) fn below(&mut self, count: usize) -> usize {
        (((self.0.next_u64() >> 32) * count as u64) >> 32) as usize
    }

    /// A number above 0 and at most 1.
    pub(crate) fn next_share(&mut self) -> f64 {
        ((self.0.next_u64() >> 11) + 1) as f64 / (1_u64 << 53) as f64
    }
}
