//! What a search has found and spent: the best answer so far, the work done, and when to end.

use effort::{OutcomeUnit, RandomSeed, SolverBudget, SolverOutcome, SolverStanding};
use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::{Rng, SeedableRng};

/// Visits of one entry of a problem that make one unit of effort.
const VISITS_PER_EFFORT: u64 = 1 << 20;
/// Visits between two looks at the watch.
const VISITS_PER_LOOK: u64 = 1 << 16;

/// An answer, how good it is and how sure that is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CoverAnswer {
    /// Columns or pieces chosen, rising.
    pub chosen: Vec<u32>,
    /// What they cost, in the problem's own unit.
    pub value: u64,
    /// No answer costs less.
    pub bound: u64,
    /// How sure it is.
    pub standing: SolverStanding,
    /// Work done, in millions of entries visited.
    pub effort: u64,
}

impl CoverAnswer {
    /// The answer's worth as the type that all solvers give; `unit` says what the value counts.
    #[must_use]
    pub fn to_outcome(&self, unit: OutcomeUnit) -> SolverOutcome {
        let (value, bound) = (self.value as f64, self.bound as f64);
        SolverOutcome { standing: self.standing, value, bound, unit, effort: self.effort }
    }
}

/// A running search.
pub struct CoverSearch<'b> {
    /// Value of the best answer so far; anything at or above it is of no interest.
    pub upper: u64,
    /// The best answer so far; `None` until one is found.
    pub best: Option<Vec<u32>>,
    /// The source of all random choices.
    pub random: Pcg64Mcg,
    /// Ended by the watch.
    pub stopped: bool,
    budget: SolverBudget<'b>,
    most_visits: u64,
    visits: u64,
    next_look: u64,
    is_child: bool,
    /// What is decided in addition to the problem at hand; used only in progress reports.
    pub base: u64,
}

impl<'b> CoverSearch<'b> {
    /// Nothing found and nothing spent; `sized` is the effort that suits the problem.
    #[must_use]
    pub fn new(budget: &SolverBudget<'b>, sized: u64, seed: RandomSeed) -> Self {
        Self {
            upper: u64::MAX,
            best: None,
            random: Pcg64Mcg::seed_from_u64(seed.0),
            stopped: false,
            budget: *budget,
            most_visits: budget.effort.tries_or_sized(sized).saturating_mul(VISITS_PER_EFFORT),
            visits: 0,
            next_look: 0,
            is_child: false,
            base: 0,
        }
    }

    /// A search within this one, for another problem, that may spend so much of what this one has left.
    #[must_use]
    pub fn child_search(&self, most_visits: u64) -> Self {
        Self {
            upper: u64::MAX,
            best: None,
            random: self.random.clone(),
            stopped: self.stopped,
            budget: self.budget,
            most_visits: most_visits.min(self.most_visits.saturating_sub(self.visits)),
            visits: 0,
            next_look: 0,
            is_child: true,
            base: 0,
        }
    }

    /// Takes in what a child has spent.
    pub fn join_child(&mut self, child: &Self) {
        self.visits += child.visits;
        self.stopped |= child.stopped;
        self.random = child.random.clone();
    }

    /// Counts work.
    pub const fn spend_visits(&mut self, visits: usize) {
        self.visits += visits as u64;
    }

    /// Work so far, in visits.
    #[must_use]
    pub const fn visits(&self) -> u64 {
        self.visits
    }

    /// Work so far, in units of effort, begun ones included.
    #[must_use]
    pub const fn effort_spent(&self) -> u64 {
        self.visits.div_ceil(VISITS_PER_EFFORT)
    }

    /// Whether to end now: the effort is spent, or the watch says so.
    pub fn is_over(&mut self) -> bool {
        if !self.stopped && self.visits >= self.next_look {
            self.next_look = self.visits + VISITS_PER_LOOK;
            self.stopped = self.budget.watch.should_stop();
        }
        self.stopped || self.visits >= self.most_visits
    }

    /// Keeps an answer if it is better than the best so far.
    pub fn offer_answer(&mut self, chosen: &[u32], value: u64) -> bool {
        if value >= self.upper {
            return false;
        }
        self.upper = value;
        self.best = Some(chosen.to_vec());
        if !self.is_child {
            self.budget.watch.report_progress(&format!("best {}", self.base + value), 0.0);
        }
        true
    }

    /// A number below `n`, which is above 0.
    pub fn below(&mut self, n: usize) -> usize {
        // The high half of a product of two 32-bit numbers; the bias is below 2⁻²⁰ for the sizes at hand.
        ((u64::from(self.random.next_u32()) * n as u64) >> 32) as usize
    }

    /// The answer as the search leaves it; `bound` is what it has proven.
    #[must_use]
    pub fn into_answer(self, bound: u64) -> CoverAnswer {
        let bound = bound.min(self.upper);
        let effort = self.effort_spent();
        let standing = match (&self.best, bound == self.upper, self.stopped) {
            (None, true, _) => SolverStanding::Impossible,
            (Some(_), true, _) => SolverStanding::Proven,
            (_, false, true) => SolverStanding::Stopped,
            (_, false, false) => SolverStanding::Found,
        };
        let mut chosen = self.best.unwrap_or_default();
        chosen.sort_unstable();
        CoverAnswer { chosen, value: self.upper, bound, standing, effort }
    }
}

/// The least whole number that is no less than a bound from rounded sums; a millionth is given away for rounding.
#[must_use]
pub fn whole_bound(bound_cost: f64) -> u64 {
    if !bound_cost.is_finite() || bound_cost <= 0.0 {
        return 0;
    }
    let safe = bound_cost - 1e-6 - bound_cost * 1e-11;
    safe.ceil().max(0.0) as u64
}
