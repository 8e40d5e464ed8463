//! All open visits of one mechanic on one calendar: what next, when is each done, who stands against whom.
//!
//! # Question
//! One mechanic has two vehicles in pieces, waits for parts and for coolant to cool, is called to the telephone and has promised a date. What is done next, over all vehicles?
//! When is each finished, and how sure is that? Who wants the lift at the same time, and what is the cheapest way out?
//!
//! # Model
//! Visits `v` with items `i` of work still to do. An item has an estimate `e_i`, its links (an item before it, a wait between by the wall clock, a longest time between),
//! whose hands it needs, whether it may be set aside at closing time, and when its part is here. A visit holds things of which there are few (lift,
//! trestles, a tool that stays on) from the start of one item to the end of another. `s_i` is the start, `t_i = e_i F` the time by the learned factor:
//!
//! ```text
//! minimise  first  excess of longest times          Σ max(0, s_j − end_i − g_ij)
//!           then   weighted lateness                Σ w_v max(0, F_v − promise_v), with now in place of the promise of who goes first
//!           then   sum of finishes                  Σ F_v − now            with F_v the last end of visit v
//! with      one item at a time in the mechanic's hands, and the turning time between two vehicles
//!           work in shop hours; set aside at closing only what may be; two pairs of hands only while there are two
//!           s_j ≥ end_i + wait_ij,   s_i ≥ part date,   holders never over their count
//! ```
//!
//! # Method
//! The engine of [`schedule`] searches orders of all items ([`schedule::search_lists`]); the decoder here lays an order onto shop hours (the `decode` module). Up to eight items every order is
//! tried. Bounds: the `bound` module. Dates: the order played with drawn times, whose common factor is learned from what was finished
//! ([`times::factor`]). Clashes: each way out is a calendar of its own ([`BenchClash`]). An independent check of any answer is `judge::visits`.
//!
//! # Worked example
//! Two vehicles, shop hours 8 to 16. A: seal 1 h, cure 12 h, close 1 h. B: 4 h of work. Turning takes 6 min. A's seal 8:00 to 9:00, B from 9:06 to 13:06, A closes
//! 8:00 to 9:00 the next morning. B first would have A cure from 13:06 and close at the same hour the next day, so that the sum of finishes is smaller by 1 h 6 min: B 8:00 to 12:00.
//!
//! # Limits
//! One mechanic; a second pair of hands works only beside the mechanic's. Interruptions are in the times. Civil time without a change of clocks. Longest times are repaired and not
//! searched for, as in `schedule`. **The prior of the factor and the stated spreads are assumptions until a journal provides better ones.**
//!
//! # Sources
//! Kolisch, Serial and parallel resource-constrained project scheduling methods revisited, EJOR 90 (1996) 320-333, for decoding; Stork, Stochastic resource-constrained project scheduling
//! (2001), for policies under drawn times; Smith, Various optimizers for single-stage production, Naval Research Logistics Quarterly 3 (1956) 59-66, for the
//! shortest work first in the bound (all from memory).

mod bound;
mod clash;
mod decode;
mod first_lists;
mod hands;
mod hold;
pub mod hours;
mod lanes;
mod make;
mod net;
mod pause;
mod reserve;
mod simulate;
mod table;
mod visits;
mod words;

pub use bound::MAX_VISITS_ORDERED;
pub use clash::{BenchClash, ClashWay, MAX_CLASHES_WEIGHED, WeighedWay};
pub use lanes::{CalendarLane, LaneKind, LaneSegment, draw_lanes};
pub use make::{
    BenchCalendar, BenchExcess, BenchLine, CalendarSettings, MIN_GAIN_S, VisitFinish, make_bench_calendar,
    play_bench_calendar, remake_bench_calendar,
};
pub use pause::{BenchPause, PauseAnswer, WorthStarting, find_worth_starting, follow_pause};
pub use reserve::{Reservation, ReservationClash, ReservationTable, ReservedKind};
pub use simulate::{FinishDates, MAX_CALENDAR_SAMPLES};
pub use table::{MAX_TABLE_COLUMNS, MIN_TABLE_COLUMNS, MomentNames, format_bench_calendar};
pub use visits::{
    BenchHolder, BenchItem, BenchQuestion, CalendarFault, HeldStretch, HolderKind, ItemHands, ItemLink,
    ItemPace, MAX_BENCH_ITEMS, MAX_HOLDERS, MAX_ITEM_S, MAX_OPEN_VISITS, MAX_VISIT_WEIGHT, OpenVisit,
    PartDate, RollWork,
};
pub use words::name_moment;
