//! The side of the search that proves: bound and beam, a share of the first worker's tries.
//!
//! First some narrow beams on the prices of the assignment, which is enough where the precedence is dense; then the
//! ascent; then beams on what it found, each twice as wide as the last, as far as the credit goes.

use crate::ascent::PriceAscent;
use crate::assign::AssignmentBound;
use crate::beam::{BeamInputs, run_beam};
use crate::guide::PriceGuide;
use crate::net::SequencingNet;
use crate::work::TryCounter;

/// Width of the first beam.
const FIRST_WIDTH: usize = 64;
/// Beams up to this width come before the ascent.
const MAX_WIDTH_BEFORE_ASCENT: usize = 1024;
/// Share of the first worker's tries that may be spent here.
const PERCENT: u64 = 30;

/// The state of the proving side.
#[derive(Debug)]
pub(crate) struct ProofFront {
    guide: PriceGuide,
    ascent: PriceAscent,
    width: usize,
    /// What the next beam will take, in tries.
    dear: u64,
    /// What may be spent, in tries.
    credit: u64,
    pub(crate) bound: i64,
}

impl ProofFront {
    pub(crate) fn new(net: &SequencingNet, assigned: &AssignmentBound) -> Self {
        Self {
            guide: PriceGuide::of_prices(assigned),
            ascent: PriceAscent::new(net, assigned),
            width: FIRST_WIDTH,
            dear: 0,
            credit: 0,
            bound: assigned.bound,
        }
    }

    /// Spends its share of a round; gives an order below the limit if one was found. The bound may have risen.
    pub(crate) fn advance_proof(
        &mut self,
        net: &SequencingNet,
        mut limit: i64,
        work: &mut TryCounter,
    ) -> Option<Vec<u32>> {
        self.credit += work.tries_left() * PERCENT / 100;
        let mut found = None;
        while self.bound < limit && !work.is_stopped() {
            let from = work.tries_spent();
            if self.width > MAX_WIDTH_BEFORE_ASCENT && !self.ascent.ended {
                if PriceAscent::tries_per_walk(net) > self.credit.min(work.tries_left()) {
                    break;
                }
                self.climb_prices(net, limit, work);
            } else if self.dear > self.credit.min(work.tries_left()) {
                break;
            } else if let Some(order) = self.run_next_beam(net, limit, work) {
                limit = net.order_value(&order);
                found = Some(order);
            }
            self.credit = self.credit.saturating_sub(work.tries_spent() - from);
        }
        found
    }

    /// The prices of the best bound.
    pub(crate) fn best_guide(&self) -> &PriceGuide {
        self.ascent.best_guide().filter(|guide| guide.bound() > self.guide.bound()).unwrap_or(&self.guide)
    }

    fn climb_prices(&mut self, net: &SequencingNet, limit: i64, work: &mut TryCounter) {
        self.ascent.take_walk(net, limit);
        work.spend_tries(PriceAscent::tries_per_walk(net));
        if let Some(guide) = self.ascent.best_guide() {
            self.bound = self.bound.max(guide.bound()).min(limit);
            if self.ascent.ended {
                self.guide = guide.clone();
                (self.width, self.dear) = (FIRST_WIDTH, 0);
            }
        }
    }

    fn run_next_beam(&mut self, net: &SequencingNet, limit: i64, work: &mut TryCounter) -> Option<Vec<u32>> {
        let from = work.tries_spent();
        let got = run_beam(BeamInputs { net, guide: &self.guide }, self.width, limit, work);
        if got.complete {
            self.bound = got.order.as_ref().map_or(limit, |order| net.order_value(order));
        }
        // A beam that ran out of its round is run again when more can be spent on it.
        if work.tries_left() > 0 {
            self.width *= 2;
        }
        self.dear = (work.tries_spent() - from) * 2;
        got.order
    }
}
