//! Invented kits for tests and measurements: a few pieces are asked for everywhere, most of them seldom.
//!
//! Piece `k` is drawn with a chance in proportion to `1 / (k + 1)` (Zipf's law); a step has 1 to 4 stacks of 1 to 4
//! pieces, all equally likely; a piece weighs 20 to 400, a stack costs 0 to the most expensive that is requested.

use effort::RandomSeed;
use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::{Rng, SeedableRng};

use super::kit_cover::{KitCover, KitRow, RowAlternative};

/// What to invent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct InventedKit {
    /// Number of pieces.
    pub pieces: usize,
    /// Number of steps.
    pub steps: usize,
    /// Fewest and most stacks of a step.
    pub stacks: (u64, u64),
    /// Fewest and most draws of a piece for a stack.
    pub draws: (u64, u64),
    /// What the dearest stack costs.
    pub dearest: u64,
}

impl InventedKit {
    /// Steps with 1 to 4 stacks of 1 to 4 pieces, without costs of stacks.
    #[must_use]
    pub const fn with_usual_stacks(pieces: usize, steps: usize) -> Self {
        Self { pieces, steps, stacks: (1, 4), draws: (1, 4), dearest: 0 }
    }

    /// The cover; the same for the same seed.
    #[must_use]
    pub fn invent_cover(&self, seed: RandomSeed) -> KitCover {
        let mut dice = InventedKitDice::new(self.pieces, seed);
        let weights = (0..self.pieces).map(|_| dice.draw_within((20, 400))).collect();
        let rows = (0..self.steps).map(|_| self.invent_row(&mut dice)).collect();
        KitCover::new(weights, rows)
    }

    fn invent_row(&self, dice: &mut InventedKitDice) -> KitRow {
        let stacks = dice.draw_within(self.stacks);
        KitRow::new((0..stacks).map(|_| self.invent_stack(dice)).collect())
    }

    fn invent_stack(&self, dice: &mut InventedKitDice) -> RowAlternative {
        let draws = dice.draw_within(self.draws);
        let mut items: Vec<u32> = (0..draws).map(|_| dice.draw_piece()).collect();
        items.sort_unstable();
        items.dedup();
        RowAlternative { cost: dice.draw_within((0, self.dearest)), items }
    }
}

/// Numbers within limits, and pieces by Zipf's law.
struct InventedKitDice {
    random: Pcg64Mcg,
    shares: Vec<u64>,
}

impl InventedKitDice {
    fn new(pieces: usize, seed: RandomSeed) -> Self {
        let share = |sum: &mut u64, k: usize| {
            *sum += 1_000_000 / (k as u64 + 1);
            Some(*sum)
        };
        Self { random: Pcg64Mcg::seed_from_u64(seed.0), shares: (0..pieces).scan(0, share).collect() }
    }

    fn draw_within(&mut self, (least, most): (u64, u64)) -> u64 {
        least + ((u64::from(self.random.next_u32()) * (most - least + 1)) >> 32)
    }

    fn draw_piece(&mut self) -> u32 {
        let sum = self.shares.last().copied().unwrap_or(1);
        let at = self.draw_within((0, sum - 1));
        self.shares.partition_point(|share| *share <= at) as u32
    }
}
