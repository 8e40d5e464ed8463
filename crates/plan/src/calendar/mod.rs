//! Calendar: from a finished plan to a finish date, and what can be done while something cures.
//!
//! # Question
//! One mechanic works shop hours and is interrupted; sealant cures, engines cool, parts arrive on a day. When does each step fall, what is
//! done during each wait, which chain of steps, waits and arrivals fixes the end, and how sure is the date?
//!
//! # Model
//! The units of the plan's course (see [`crate::course::work_units`]) with their stacks, and where the book tells of settings the ways between them, in the
//! plan's order; a node takes its work and its set-up from whatever was done before it. A
//! node may start when all that goes before it has ended, every wait behind those ends is over *by the wall clock* (glue cures at night),
//! and what it needs has arrived. Work goes on in shop hours only and is set aside at closing time.
//!
//! | symbol | is |
//! |---|---|
//! | `w_i` | work and set-up of node `i` in the plan, s |
//! | `f` | share of the day lost to interruptions: all work takes `1/(1 − f)` of its time |
//! | `F_i = exp(σ z_i + σ₀ z₀)` | factor on `w_i` in one sample; `z` standard normal, `z₀` the same for all nodes of the sample |
//! | `p` | chance that one fastener will not come out: [`times::sum::break_out_probability`] of its break-loose factor |
//!
//! # Method
//! **Policy.** Whenever the mechanic is free he takes the first node of a priority list that may start; if none may, he waits for the first that will.
//! The list is the plan's own order, or the one that [`schedule`] finds for the working time with waits and arrivals, whichever ends sooner
//! by the policy. A longest gap is kept by holding its early end back, as far as possible; what remains too long is reported.
//!
//! **Spread.** The same policy is played through with sampled times ([`spread`]): set-ups follow the order that comes about. Sample `k` draws the same
//! numbers whatever the list, so two lists, or a helper more, are compared on the same luck.
//!
//! **Critical path.** Back from the last node: it began when the one before it in the mechanic's hands ended, when a wait was over, or when
//! something arrived; and so on to the start.
//!
//! # Worked example
//! One day of 8 h; seal 1 h, cure 12 h, close 1 h, another job of 4 h. Seal 8 to 9, the other 9 to 13, nothing till closing time; the cure is over at 21:00, so close is
//! 8 to 9 the next morning. In working time alone the cure would have taken a day and a half.
//!
//! # Limits
//! **The spreads are assumptions until a journal provides better ones.** The shared factor is drawn as normal. Civil time without
//! a change of clocks. An optional helper takes no time of his own; steps that need one are listed.
//!
//! # Sources
//! Kolisch (1996) for serial and parallel schedule generation; Stork, Stochastic resource-constrained project scheduling (2001) for priority
//! policies; common random numbers: Law, Simulation Modeling and Analysis (all from memory).

mod calendar_lines;
mod dispatch;
mod net;
mod shop_hours;
pub mod spread;

use effort::{RandomSeed, SolverBudget};
use model::plan::Plan;
use model::{Book, Store};
use serde::{Deserialize, Serialize};
use times::SharedFactor;

use crate::assemble::PlanError;

pub use shop_hours::{DAY_S, ShopHours};
pub use spread::FinishSpread;

/// Something that has still to arrive: it holds back every step that needs it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Arrival {
    /// Part key (held back: setting it in place), task key, or the name of a supply.
    pub what: String,
    /// When it is there, in seconds from midnight of the first day.
    pub at_s: f64,
}

/// A part whose fixings have to be tight within a time after it is set in place (the open time of a sealant).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct OpenTimeLimit {
    /// Part key.
    pub part: String,
    /// The longest time from the end of setting it in place to the start of its last tightening.
    pub most_s: f64,
}

/// The request for a calendar.
#[derive(Debug, Clone, PartialEq)]
pub struct CalendarRequest {
    /// Shop hours and the start.
    pub shop: ShopHours,
    /// What has still to arrive.
    pub arrivals: Vec<Arrival>,
    /// Longest gaps.
    pub gaps: Vec<OpenTimeLimit>,
    /// Whether a second pair of hands is there when it is wanted.
    pub helper: HelperAvailability,
    /// The factor that all work shares, beside the interruptions of the shop hours.
    pub shared: SharedFactor,
    /// Number of samples of the spread.
    pub samples: u32,
    /// Seed of the samples and of the search.
    pub seed: RandomSeed,
}

/// Whether there is a helper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum HelperAvailability {
    /// On call.
    OnCall,
    /// None.
    None,
}

/// One node of the plan on the calendar; times in seconds from midnight of the first day, by the wall clock.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CalendarLine {
    /// Numbers of the plan's steps in it.
    pub steps: Vec<u32>,
    /// What is done, in words.
    pub text: String,
    /// Start.
    pub start_s: f64,
    /// End.
    pub end_s: f64,
    /// Hands-on time with set-up and interruptions.
    pub work_s: f64,
    /// Working time by which it can start later without delaying the finish, in the same order.
    pub slack_s: f64,
    /// Needs a second pair of hands.
    pub helper: bool,
}

/// Why a line starts when it does.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", content = "of", rename_all = "kebab-case")]
pub enum LineStartReason {
    /// The work begins.
    Start,
    /// The mechanic has just ended the line of that position.
    Hands(usize),
    /// A wait behind the end of the line of that position is over; its words.
    Wait(usize, String),
    /// Something has arrived.
    Arrival(String),
    /// It is held back so that a gap does not get too long.
    HeldBack,
}

/// A wait, and what is done meanwhile.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Meanwhile {
    /// What is waited for.
    pub title: String,
    /// When it begins.
    pub from_s: f64,
    /// When it is over.
    pub until_s: f64,
    /// Positions of the lines that fall into it.
    pub lines: Vec<usize>,
    /// Shop hours within it in which nothing can be done.
    pub idle_s: f64,
}

/// A gap that stays too long.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct OpenTimeExceeded {
    /// Part key.
    pub part: String,
    /// By how much, by the wall clock.
    pub by_s: f64,
}

/// A plan on the calendar.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Calendar {
    /// Lines in the order of the work.
    pub lines: Vec<CalendarLine>,
    /// Positions of the lines that fix the finish, first to last, with why each starts when it does.
    pub critical: Vec<(usize, LineStartReason)>,
    /// Waits in the order in which they begin.
    pub waits: Vec<Meanwhile>,
    /// Gaps that could not be kept.
    pub too_long: Vec<OpenTimeExceeded>,
    /// Finish with every step at its planned time.
    pub finish_s: f64,
    /// Finish by simulation.
    pub spread: FinishSpread,
    /// Texts of the lines that need a second pair of hands where there is none.
    pub without_helper: Vec<String>,
    /// Whether the plan's own order was kept (else the order for waits and arrivals was the better one).
    pub plan_order: bool,
    /// What was assumed, in words.
    pub assumptions: Vec<String>,
}

/// Lays a plan onto the calendar.
///
/// # Errors
/// [`PlanError::Misfit`] where plan, book and store do not belong together or nothing needs what is to arrive.
pub fn make_calendar(
    book: &Book,
    store: &Store,
    plan: &Plan,
    asked: &CalendarRequest,
    budget: &SolverBudget,
) -> Result<Calendar, PlanError> {
    let net = net::CalendarNet::new(book, store, plan, asked)?;
    let plan_order = net.plan_order(book, plan);
    let other = net.search_order(&plan_order, asked, budget);
    let (by_plan, by_search) = (
        dispatch::play_held_back(&net, asked, &plan_order),
        other.map(|list| (dispatch::play_held_back(&net, asked, &list), list)),
    );
    let (kept, list, is_plan) = match by_search {
        Some((held, list)) if held.rank() < by_plan.rank() => (held, list, false),
        _ => (by_plan, plan_order, true),
    };
    let spread = spread::simulate_spread(&net, asked, &list, &kept.releases_s, budget);
    Ok(calendar_lines::write_calendar(&net, asked, kept, spread, is_plan))
}
