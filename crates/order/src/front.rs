//! The side of the search that proves: bound and beam, a share of the first worker's tries.
//!
//! First some narrow beams on the prices of the assignment, which is enough where the precedence is dense; then the
//! ascent; then beams on what it found, each twice as wide as the last, as far as the credit goes.

use crate::ascent::Ascent;
use crate::assign::Assigned;
use crate::beam::{Ground, run};
use crate::guide::Guide;
use crate::net::Net;
use crate::work::Work;

/// Width of the first beam.
const FIRST_WIDTH: usize = 64;
/// Beams up to this width come before the ascent.
const WIDTH_BEFORE_ASCENT: usize = 1024;
/// Share of the first worker's tries that may be spent here.
const PERCENT: u64 = 30;

/// Where the proving side stands.
#[derive(Debug)]
pub(crate) struct Front {
    guide: Guide,
    ascent: Ascent,
    width: usize,
    /// What the next beam will take, in tries.
    dear: u64,
    /// What may be spent, in tries.
    credit: u64,
    pub(crate) bound: i64,
}

impl Front {
    pub(crate) fn new(net: &Net, assigned: &Assigned) -> Self {
        Self {
            guide: Guide::of_prices(assigned),
            ascent: Ascent::new(net, assigned),
            width: FIRST_WIDTH,
            dear: 0,
            credit: 0,
            bound: assigned.bound,
        }
    }

    /// Spends its share of a round; gives an order below the limit if one was found. The bound may have risen.
    pub(crate) fn advance(&mut self, net: &Net, mut limit: i64, work: &mut Work) -> Option<Vec<u32>> {
        self.credit += work.left() * PERCENT / 100;
        let mut found = None;
        while self.bound < limit && !work.stopped() {
            let from = work.spent();
            if self.width > WIDTH_BEFORE_ASCENT && !self.ascent.ended {
                if Ascent::tries(net) > self.credit.min(work.left()) {
                    break;
                }
                self.climb(net, limit, work);
            } else if self.dear > self.credit.min(work.left()) {
                break;
            } else if let Some(order) = self.beam(net, limit, work) {
                limit = net.value(&order);
                found = Some(order);
            }
            self.credit = self.credit.saturating_sub(work.spent() - from);
        }
        found
    }

    /// The prices of the best bound.
    pub(crate) fn best_guide(&self) -> &Guide {
        self.ascent.guide().filter(|guide| guide.bound() > self.guide.bound()).unwrap_or(&self.guide)
    }

    fn climb(&mut self, net: &Net, limit: i64, work: &mut Work) {
        self.ascent.walk(net, limit);
        work.spend(Ascent::tries(net));
        if let Some(guide) = self.ascent.guide() {
            self.bound = self.bound.max(guide.bound()).min(limit);
            if self.ascent.ended {
                self.guide = guide.clone();
                (self.width, self.dear) = (FIRST_WIDTH, 0);
            }
        }
    }

    fn beam(&mut self, net: &Net, limit: i64, work: &mut Work) -> Option<Vec<u32>> {
        let from = work.spent();
        let got = run(Ground { net, guide: &self.guide }, self.width, limit, work);
        if got.complete {
            self.bound = got.order.as_ref().map_or(limit, |order| net.value(order));
        }
        // A beam that ran out of its round is run again when more can be spent on it.
        if work.left() > 0 {
            self.width *= 2;
        }
        self.dear = (work.spent() - from) * 2;
        got.order
    }
}
