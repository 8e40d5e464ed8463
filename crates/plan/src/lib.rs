//! Way in, kit, order, slots, refit and readiness: from what is wanted to a plan that can be trusted.
//!
//! # Question
//! Given a book, the mechanic's own store and the tasks of this visit: what comes off and in what order, with which
//! stack is every fastener freed, run and tightened, what lies on the cart, what is missing, where does every fastener go
//! while it is off, and in what order does everything go back?
//!
//! # Model
//! Each module is one question with its own lecture; the answer of one is the next one's problem.
//!
//! | module | question | proven? |
//! |---|---|---|
//! | [`way_in`] | the least hands-on seconds of parts and conditions for the tasks (AND/OR precedence) | yes |
//! | [`worth`] | which further tasks are worth adding to the visit, and how sure that is | yes, or with a gap |
//! | [`scope`] | which duties follow, each hole through one access; what can do each | – |
//! | [`kit`] | the best set of pieces with a stack for every duty inside it | yes, or with a gap |
//! | [`strip`], [`work`], [`refit`] | which nodes there are and what goes before what | – |
//! | [`node_order`] | what it costs to go from one node to the next, and what no order goes below | – |
//! | [`course`] | one order of all of them, safe at every moment, with the ways between settings | moves of small ones, else with a gap |
//! | [`mod@cart`] | what lies on a cart of few places when, and the walks for the rest | with a gap |
//! | [`steps`] | the numbered steps with `setup_s`, `work_s`, `wait_s` | can be worked out again |
//!
//! # Symbols
//! `c(i)` seconds of an item off and on, `π` an order, `h` the stack in hand, `t(c)` seconds inside a node with choice `c`,
//! `L` a wait; all times in seconds.
//!
//! # What the numbers of a step count
//! The rules are in [`steps`]; in short, the course starts with the bare hand, at the first station, with no part in mind, runs on
//! from strip through work to refit, and
//!
//! ```text
//! setup_s = enter(station) if the station differs from the step before
//!         + ATTENTION_S    if the step has a part and the step before had another or none
//!         + Σ over its actions with a stack of swap(in hand, stack)     (PICK_S a piece taken up, PUT_S a piece put down)
//! work_s  = lift | place | establish | restore | task work | way of a setting | CAP_S · caps
//!         + Σ over its actions with a stack of working time / holes of the access · holes of the action
//! wait_s  = on `wait` steps alone; `wait` steps are skipped by the rules of setup_s
//! ```
//!
//! Steps without a stack (parts, conditions, caps, gaps, tasks) leave what is in hand as it is; bare-hand acts put it down.
//! The station of a step is the access's, else the way's, else the part's. A hold-up counts from the end of the
//! establishing step; a step that needs it starts, set-up included, no earlier. Way in costs: [`way_in::estimate`].
//!
//! # Worked example
//! One cover, two bolts (10 mm), a clip; lift 5 s, place 8 s; ratchet and socket. Unclip: attention 3 s, work 3.6 s. Undo:
//! two pieces picked, 8 s, and the acts. Take off: 5 s of work, no set-up, the ratchet is still in hand.
//!
//! # Limits
//! Times are the assumptions of [`model::rules`]. One mechanic; a second pair of hands is a flag. The maker's service
//! data always win. Nothing here reads a clock: see [`effort`].
//!
//! # Sources
//! Named in each module's lecture.

pub mod assemble;
pub mod calendar;
pub mod cart_layout;
pub mod course;
pub mod coverage;
pub mod goal;
pub mod happening;
pub mod hours;
pub mod job;
pub mod joints;
pub mod kit;
pub mod looks;
mod make;
pub mod mix_up;
pub mod next_best;
pub mod node_order;
pub mod possible_rooms;
pub mod readiness;
pub mod refit;
pub mod remake;
pub mod scope;
pub mod slots;
mod sold_wishes;
mod step_names;
pub mod steps;
pub mod strip;
pub mod way_in;
pub mod words;
pub mod work;
pub mod worth;

pub use assemble::PlanError;
pub use goal::plan_for_goal;
pub use make::make_plan;
pub use remake::remake_plan;
