//! Work with waits, releases and a helper: resource-constrained project scheduling.
//!
//! # Question
//! When is each piece of work done, so that all is over soonest, if the one mechanic can do one thing at a time, some steps need
//! a second pair of hands, sealant has to skin over and parts have yet to arrive? What is done while something cures, which
//! chain of steps and waits fixes the end, and how much room has the rest?
//!
//! # Model
//! Jobs `j` with a duration `d_j`, a release `r_j` and a demand `u_jk` of each resource `k`, of which `R_k` are there at any time
//! (at most [`MAX_RESOURCES`], each below 32,768). Times are whole units; the caller decides what a unit is. `s_j` is the start:
//!
//! ```text
//! minimise  max over j of s_j + d_j
//! with      s_j ≥ r_j
//!           s_j ≥ s_i + d_i + l_ij      for every lag (waits; 0 for a plain precedence)
//!           s_j ≤ s_i + d_i + g_ij      for every gap (longest allowed, as between sealant and assembly)
//!           Σ over the jobs running at t of u_jk ≤ R_k      for every t and k
//! ```
//!
//! # Method
//! A list of the jobs in an order that respects the lags is decoded by *serial schedule generation*: each job in turn starts as
//! early as lags, release and resources let it. Some list decodes to an optimum. *Justification* moves all jobs as far right
//! as they go, latest first, then left again, earliest first; the end never gets later and often earlier. A population of lists is
//! crossed, mostly so that a busy stretch of one parent survives, each child is justified, and small changes are annealed round the
//! best (the `search` module). Few jobs are tried in every order ([`plain`]). [`bound`] holds the longest chain and the energy of
//! every window of time; a bound that meets the value is the proof.
//!
//! Gaps make even feasibility hard (Bartusch, Möhring and Radermacher 1988), so they are not searched for but *repaired*: the early end
//! of a gap is held back until the late one is near enough, and what cannot be repaired is reported with its excess ([`gaps`]).
//!
//! # Worked example
//! One mechanic; seal 10, cure 30, close 5 after the cure, and two other jobs of 12 each. Seal first, both others while it cures
//! (10 to 34), close at 40: over at 45 = 10 + 30 + 5, the longest chain, so proven. In the order others, seal, close it is 69.
//!
//! # Limits
//! One mode a job, resources that come back, no job is interrupted. Shop hours are not in here: a schedule is found in working
//! time and laid onto the calendar after, since justification would be wrong on broken time. Where time is broken, or something else
//! than the end is wanted, the caller brings a decoder of its own and has its lists searched by the same islands ([`lists`]).
//!
//! # Sources
//! Kolisch, Serial and parallel resource-constrained project scheduling methods revisited, EJOR 90 (1996) 320-333. Valls,
//! Ballestín and Quintanilla, Justification and RCPSP: a technique that pays, EJOR 165 (2005) 375-386; A hybrid genetic algorithm
//! for the RCPSP, EJOR 185 (2008) 495-508 (the peak crossover). Hartmann, A competitive genetic algorithm for resource-constrained
//! project scheduling, Naval Research Logistics 45 (1998) 733-750 (crossing of lists). Bartusch, Möhring and Radermacher,
//! Scheduling project networks with resource constraints and time windows, Ann. Oper. Res. 16 (1988) 201-240. Klein and Scholl,
//! Computing lower bounds by destructive improvement, EJOR 112 (1999) 322-346 (all from memory).

pub mod bound;
mod decode;
mod dice;
pub mod explain;
pub mod gaps;
pub mod lists;
pub mod plain;
mod problem;
mod search;
mod solve;
mod timeline;

pub use decode::{ScheduleDecoder, decode_list};
pub use lists::{FoundList, search_lists};
pub use problem::{MAX_RESOURCES, MaxTimeLag, ScheduleError, ScheduleJob, ScheduleLag, ScheduleProblem};
pub use search::{LIST_RANK_NUMBERS, ListRank, ListWeigher};
pub use solve::{ScheduleSolution, solve_schedule};
