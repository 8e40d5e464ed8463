//! Sequential ordering: the cheapest order of all nodes under precedence.
//!
//! # Question
//! `n` nodes are to be done one after the other. Going from `i` to `j` costs `c[i][j]`, which need not be what the way back
//! costs, and some nodes come before others. Which order costs least? It is the asymmetric travelling salesman's path
//! with precedence, the *sequential ordering problem*.
//!
//! # Symbols
//! * `c[i][j]`: cost of passing from `i` to `j`, a whole number in whatever unit the caller counts.
//! * `i ≺ j`: `i` is done before `j`, closed transitively.
//! * `u[i]`, `v[j]`: prices of leaving and entering, with `u[i] + v[j] ≤ c[i][j]`; their sum is a lower bound.
//! * `c[i][j] − u[i] − v[j]`: the reduced cost, what a passage costs beyond the bound.
//!
//! # Method
//! 1. The passages that no order can hold are left out; the assignment problem on the others gives bound and prices.
//! 2. A beam over (nodes done, last node), guided by reduced cost and doubled in width from run to run, proves the best
//!    where nothing was cut away. Dense precedence is solved there.
//! 3. Where that is not enough, prices on nodes over walks through the places that each may take raise the bound and
//!    give the beam a better guide.
//! 4. Between beams each worker anneals by exchanges of neighbouring segments, which keep all directions, so that a try
//!    costs a few sums. Where the precedence is tight, ruin and recreate and beams over some loosened stretches, of the
//!    best order or of a fresh one, take turns with it. Where it is loose, good orders are merged (what two of them
//!    share stays together), and chains of up to seven exchanged passages hop from one order that none of them improves to
//!    the next. Where the way back costs the same too, segments are turned round and hopping is all that is done.
//! 5. Rounds double up to a limit; after each the workers' bests are compared. Nothing depends on the clock unless stopped.
//!
//! # Assumptions and range
//! At most [`MAX_NODES`] nodes and costs up to [`MAX_COST`]; the triangle inequality is not assumed. Times at which a
//! node may start, and costs that depend on more than the pair, are outside this crate.
//!
//! # Worked example
//! Three nodes, `2 ≺ 1`, and going `0→1` costs 4, `0→2` 5, `1→0` 9, `1→2` 1, `2→0` 8, `2→1` 7. The orders that respect the
//! precedence are 0 2 1 (5 + 7 = 12), 2 0 1 (8 + 4 = 12) and 2 1 0 (7 + 9 = 16): the best costs 12.
//!
//! ```
//! use effort::{SolverBudget, RandomSeed, SolverStanding};
//! let problem = order::SequencingProblem::new(3, vec![0, 4, 5, 9, 0, 1, 8, 7, 0], &[(2, 1)])?;
//! let settings = order::SequencingSettings { seed: RandomSeed(1), threads: 1, start: None };
//! let solved = order::solve_sequencing(&problem, &settings, SolverBudget::sized());
//! assert_eq!((solved.value, solved.bound, solved.standing), (12, 12, SolverStanding::Proven));
//! # Ok::<(), order::SequencingError>(())
//! ```
//!
//! # Sources
//! 1. L. F. Escudero, "An inexact algorithm for the sequential ordering problem", European Journal of Operational
//!    Research 37 (1988) 236–249: the problem. From memory.
//! 2. L. M. Gambardella, M. Dorigo, "An ant colony system hybridized with a new local search for the sequential ordering
//!    problem", INFORMS Journal on Computing 12 (2000) 237–255: the exchange of segments that keeps directions. Abstract read.
//! 3. R. Skinderowicz, "An improved ant colony system for the sequential ordering problem", Computers & Operations
//!    Research 86 (2017) 1–17, arXiv 1705.01076: annealing over that exchange. Abstract read.
//! 4. J. Christiaens, G. Vanden Berghe, "Slack induction by string removals for vehicle routing problems",
//!    Transportation Science 54 (2020) 417–433: ruin and recreate by neighbouring stretches. From memory.
//! 5. W. Cook, P. Seymour, "Tour merging via branch-decomposition", INFORMS Journal on Computing 15 (2003) 233–248. From memory.
//! 6. L. Libralesso and others, "Tree search for the sequential ordering problem", ECAI 2020, arXiv 1911.12427: beams of
//!    growing width with prefix dominance. Abstract read.

mod anneal;
mod ascent;
mod assign;
mod beam;
mod chain;
mod descend;
mod dice;
mod followers;
mod front;
mod greedy;
mod guide;
mod hop;
mod iterate;
mod loosen;
mod merge;
mod net;
pub mod plain;
mod problem;
mod recreate;
mod relation;
mod search;
mod solve;
mod tour;
mod work;

pub use problem::{MAX_COST, MAX_NODES, SequencingError, SequencingProblem};
pub use solve::{SequencingSettings, SequencingSolution, solve_sequencing, solve_sequencing_reporting};
