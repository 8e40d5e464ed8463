//! The outcome of a solver as a type: no card can print "best" when it was merely found.

use serde::{Deserialize, Serialize};

/// How sure an answer is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SolverStanding {
    /// Proven best.
    Proven,
    /// Best found; the bound says how far from best it can be.
    Found,
    /// Stopped before it was done; best found so far.
    Stopped,
    /// Impossible as asked; the best that leaves something out.
    Impossible,
}

/// What the value of an answer counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum OutcomeUnit {
    /// Seconds.
    Seconds,
    /// Cents.
    Cents,
    /// Pieces to carry or to buy.
    Pieces,
    /// Changes of what lies on the cart.
    Switches,
    /// Whole steps of time, however long the problem takes them to be.
    Time,
}

/// The value of an answer, the bound on any answer, and how it was reached.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SolverOutcome {
    /// How sure it is.
    pub standing: SolverStanding,
    /// Value of the answer, in the unit of the objective (smaller is better).
    pub value: f64,
    /// No answer is below this.
    pub bound: f64,
    /// What the value counts.
    pub unit: OutcomeUnit,
    /// Work done, in the solver's own count, so that a run can be repeated.
    pub effort: u64,
}

impl SolverOutcome {
    /// Gap between value and bound as a fraction of the value; 0 when proven.
    #[must_use]
    pub fn gap_fraction(&self) -> f64 {
        if self.value <= self.bound || self.value <= 0.0 {
            return 0.0;
        }
        (self.value - self.bound) / self.value
    }
}
