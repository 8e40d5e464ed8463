//! What bounds a search and what makes it repeatable: effort, a word to stop, and a seed.
//!
//! Nothing here reads a clock. A time limit is kept by whoever calls: its [`Watch::stop`] says when the time is up, and
//! the answer then says so by [`crate::Standing::Stopped`]. With the same seed and effort, and no stop, the same answer
//! comes out on every machine.

/// How the outside follows a search and ends it.
pub trait SolverWatch {
    /// Whether to stop now with the best found so far; asked every few hundred tries.
    fn should_stop(&self) -> bool {
        false
    }
    /// Receives now and then the current activity and the fraction completed.
    fn report_progress(&self, _doing: &str, _done_fraction: f64) {}
}

/// A watch that never stops the search and ignores progress.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct UnwatchedSolver;

impl SolverWatch for UnwatchedSolver {}

/// The seed of all random choices.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RandomSeed(pub u64);

/// How hard to try.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SolverEffort {
    /// As much as suits the size of the problem.
    Sized,
    /// That many tries, in the solver's own count.
    Tries(u64),
    /// As much as suits the size of the problem, that many times: each round goes on from the best of those before, so that
    /// more rounds begin like fewer and are never worse.
    Rounds(u32),
}

impl SolverEffort {
    /// The number of tries, where `sized` is what suits the problem.
    #[must_use]
    pub const fn tries_or_sized(self, sized: u64) -> u64 {
        match self {
            Self::Sized | Self::Rounds(_) => sized,
            Self::Tries(tries) => tries,
        }
    }

    /// The number of rounds; one unless several are asked for.
    #[must_use]
    pub const fn rounds(self) -> u32 {
        match self {
            Self::Rounds(rounds) if rounds > 1 => rounds,
            Self::Sized | Self::Tries(_) | Self::Rounds(_) => 1,
        }
    }
}

/// What a search may spend.
#[derive(Clone, Copy)]
pub struct SolverBudget<'w> {
    /// How hard to try.
    pub effort: SolverEffort,
    /// Who follows and stops it.
    pub watch: &'w dyn SolverWatch,
}

impl SolverBudget<'static> {
    /// The effort that suits the problem, with nobody watching.
    #[must_use]
    pub const fn sized() -> Self {
        Self { effort: SolverEffort::Sized, watch: &UnwatchedSolver }
    }
}

impl<'w> SolverBudget<'w> {
    /// The effort that suits the problem, watched.
    #[must_use]
    pub const fn watched(watch: &'w dyn SolverWatch) -> Self {
        Self { effort: SolverEffort::Sized, watch }
    }
}
