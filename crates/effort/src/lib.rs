//! What a solver may spend and how sure its answer is; every solver takes the one and gives the other.

mod budget;
mod outcome;

pub use budget::{RandomSeed, SolverBudget, SolverEffort, SolverWatch, UnwatchedSolver};
pub use outcome::{OutcomeUnit, SolverOutcome, SolverStanding};
