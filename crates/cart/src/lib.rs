//! Job sequencing and tool switching on a cart of limited places.
//!
//! # Question
//! The cart has `C` places, each job needs some tools, all at once. In which order are the jobs done, and what lies on the cart
//! at each, so that after the first full loading the fewest tools have to be put on?
//!
//! # Nomenclature
//! `C` places; `T(j)` tools of job `j`; a *load* is one tool put on; *switches* are the loads after the first full loading, so
//! `switches = loads − min(C, tools in use)`.
//!
//! # Method
//! * For one order, keeping the tool needed soonest is best ([`soonest`], the textbook rule); the same count can be
//!   computed without looking ahead by packing intervals ([`fewest_switches`]), which lets orders share their beginnings.
//! * Jobs that need nothing beyond another job's tools ride along with it.
//! * Orders are found by annealing, several coolings shared out among the threads.
//! * No order beats [`switch_bound`]; for up to 16 jobs a search over all beginnings, less those made needless by others, proves
//!   the answer or improves it.
//!
//! # Assumptions and range
//! Every tool takes one place and costs the same to put on; all tools of a job are on the cart together; up to
//! [`MAX_TOOLS`] tools. For pieces of other sizes and seconds on a fixed order see [`mod@load`].
//!
//! # Worked example
//! Two places, jobs {1}, {2}, {3}, {1, 2}. In the given order: 2 switches. With the last job first nothing comes twice: 3 loads less
//! the 2 of the first loading, 1 switch, which no order can beat, as there are 3 tools.
//!
//! # Sources
//! Named in each module's lecture; the problem: C. S. Tang, E. V. Denardo, Operations Research 36 (1988) 767-777; the state of
//! the art: D. Calmels, "The job sequencing and tool switching problem: state-of-the-art literature review, classification, and
//! trends", International Journal of Production Research 57 (2019) 5005-5025 (from memory).

mod anneal;
mod bound;
mod chain;
mod contained;
mod exact;
mod flow;
mod jobs;
pub mod load;
pub mod plain;
mod precedence;
mod set;
mod solve;
pub mod soonest;
mod stretch;
mod tape;

pub use bound::switch_bound;
pub use jobs::{CartJobs, CartJobsError, MAX_TOOLS};
pub use load::{CartLoadError, CartLoading, LoadPiece, load_cart};
pub use solve::{CartSequence, solve_cart_order};
pub use tape::fewest_switches;
