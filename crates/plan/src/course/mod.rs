//! Course: strip, work and refit as one order of work through a world that changes, safe at every moment.
//!
//! # Question
//! In what order is everything undone, done and put back, and when is the lift moved, the beam hung, the pin put in, so that no rule of
//! the book is broken at any moment and the least time goes into waits, walking, lifting and changing tools?
//!
//! # Model
//! A unit is a piece of work that is not torn apart: a part undone and lifted off, a part set in place and tightened, a joint, a
//! condition, a task ([`work_units`]). A world is the value of every setting and the standing of every part that a rule or a need names
//! ([`machine`]). A unit has a place and asks values of the world when it begins; it changes some. Between units ways of the settings
//! are taken, each with its own place, needs and seconds.
//!
//! ```text
//! minimise  finish + MOVE_PRICE_S · (changes of place + moves of the lift)
//! over all orders of the units and all ways between, such that needs hold when they are asked, rules hold at every moment,
//! waits are waited, and every setting ends at a value that is right at the end
//! ```
//!
//! # Method
//! Passages between units are shortest paths through the world and kept ([`passage`]). The fewest moves are searched for over all
//! states ([`exact`]), which proves them, or proves that there is no order, where the course is small; else a beam gives the first course
//! ([`beam`]). It is bettered by cooling ([`improve`]), and what was opened is closed in the same stay
//! where that costs nothing ([`settle`]). Where nothing leads to the end, [`dead_end`] says which rule stands against it.
//!
//! # Worked example
//! A mounting may come off only while a beam carries. From above, on the ground, the beam is hung; below, at chest height, its bolt is
//! undone: two moves of the lift and two changes of place, and two more to take the beam off again.
//!
//! # Limits
//! At most [`machine::MAX_WORLD_THINGS`] settings and parts that rules or needs name. The number of places and moves is proven only
//! where the search of all states ends; else the bounds count what the precedence forces.
//!
//! # Sources
//! Named in each module. Settings with values and ways are the state variables of classical planning.

pub mod beam;
pub mod dead_end;
pub mod exact;
mod fastener_order;
mod hanging;
pub mod improve;
pub mod keep;
pub mod machine;
pub mod operators;
pub mod outcome;
pub mod passage;
pub mod problem;
pub mod settle;
pub(crate) mod tension;
mod tighten_order;
pub mod tour;
pub mod work_units;
mod world_order;
pub mod write;

use effort::{RandomSeed, SolverBudget, SolverEffort, SolverWatch};
use model::plan::Step;
use model::{Book, ConditionId, SolverStanding};

use self::work_units::CourseJob;
use crate::assemble::PlanError;
use crate::job::SequenceJob;
use crate::node_order::{CheapestFollowers, PrecedenceCircle};
use crate::scope::PlanScope;
use crate::steps::MechanicPosition;
use dead_end::DeadEnd;
use exact::{ExactEnd, MovePrices};
use improve::{CooledCourse, CourseCooling, WALKS};
use machine::PackedWorld;
use operators::CourseOperators;
use problem::{CourseProblem, CourseStart};

/// Tries of a walk in one round: a number for each unit, within limits, whatever the rounds.
const TRIES_PER_UNIT: u64 = 140;
const MIN_TRIES: u64 = 1_500;
const MAX_TRIES: u64 = 50_000;
/// Rounds where nobody asks for more or fewer.
pub const USUAL_ROUNDS: u32 = 5;
/// Tries of a walk where an order is kept.
const KEPT_TRIES_PER_UNIT: u64 = 100;
const MAX_KEPT_TRIES: u64 = 12_000;
/// Temperature at the start of the first round: about a change of place (assumption, from trials).
const HOT_S: f64 = 60.0;
/// The temperature that a round starts from, as a share of that of the round before, and the least of all rounds.
const ROUND_COOLER_FRACTION: f64 = 0.7;
const LEAST_HOT_S: f64 = 8.0;
/// Separates the dice of the walks (the golden ratio's fraction in 64 bits).
const APART: u64 = 0x9e37_79b9_7f4a_7c15;

/// The seed of the dice and the number of threads, which changes the wait and never the answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CourseSettings {
    /// Start of the dice.
    pub seed: RandomSeed,
    /// Threads; at least one works.
    pub threads: usize,
    /// The changes that are tried.
    pub operators: CourseOperators,
}

/// A course, the problem that it solves, and what is proven of it.
pub struct SolvedCourse {
    /// The problem.
    pub problem: CourseProblem,
    /// Where it begins.
    pub start: CourseStart,
    /// Targets in order: units, and ways behind them that are taken early.
    pub course: Vec<u16>,
    /// The fewest moves of all orders, where the search of all states ended.
    pub fewest_moves: Option<u32>,
    /// Whether it was stopped before its end.
    pub standing: SolverStanding,
    /// Tries made.
    pub tries: u64,
}

/// What a course is planned from.
pub struct CourseRequest<'a> {
    /// The book.
    pub book: &'a Book,
    /// What is in the way in.
    pub scope: &'a PlanScope,
    /// For each duty of the scope the workings to choose from.
    pub usable: &'a [Vec<u16>],
    /// Where the mechanic is.
    pub here: MechanicPosition,
    /// Conditions made that hold only after some seconds.
    pub holds_in_s: &'a [(ConditionId, f64)],
    /// Dice and threads.
    pub settings: CourseSettings,
    /// The steps of the plan that is made anew; empty for a new plan.
    pub kept: &'a [&'a Step],
}

/// Plans the jobs of strip, work and refit as one course; `world` is nothing for a visit that begins.
///
/// # Errors
/// [`PlanError::Circle`] where units wait for each other; [`PlanError::NoOrder`] where no order keeps the rules.
pub fn solve_course(
    request: &CourseRequest<'_>,
    jobs: [SequenceJob; 3],
    world: impl FnOnce(&machine::WorldMachine) -> PackedWorld,
    budget: &SolverBudget<'_>,
) -> Result<(CourseJob, SolvedCourse), PlanError> {
    let job = work_units::course_job(request.book, request.scope, jobs, request.holds_in_s);
    let named = |circle: PrecedenceCircle| PlanError::Circle {
        steps: circle.0.iter().filter_map(|n| job.job.nodes[*n].last()).map(|d| d.text.clone()).collect(),
    };
    let mut problem = CourseProblem::new(request.book, request.scope, request.usable, &job).map_err(named)?;
    let hand = problem.order.intern_hand(request.here.hand.clone());
    let start =
        CourseStart { world: world(&problem.machine), station: request.here.station.index() as u16, hand };
    let kept = keep::kept_course(request.book, &problem, &start, &job, request.kept);
    let (found, fewest_moves) = match &kept {
        Some(course) => {
            let cooling = cooling_for(&problem, true, request.settings, budget);
            let threads = request.settings.threads;
            let walks = CoolWalks { problem: &problem, start: &start, threads, budget };
            (walks.cool_round(course.clone(), cooling, 0.0), None)
        }
        None => search_course(&problem, &start, request.settings, budget)
            .map_err(|end| end.explain(request.book, &job, &problem, &start, budget.watch))?,
    };
    let standing = if budget.watch.should_stop() { SolverStanding::Stopped } else { SolverStanding::Found };
    let course = settle::return_settings_early(&problem, &start, found.course);
    Ok((job, SolvedCourse { problem, start, course, fewest_moves, standing, tries: found.tries }))
}

/// How hot and how long a walk cools; an order that is kept changes only where that saves much.
fn cooling_for(
    problem: &CourseProblem,
    is_kept: bool,
    settings: CourseSettings,
    budget: &SolverBudget<'_>,
) -> CourseCooling {
    let unit_count = problem.unit_count() as u64;
    let sized = if is_kept {
        (unit_count * KEPT_TRIES_PER_UNIT).min(MAX_KEPT_TRIES)
    } else {
        (unit_count * TRIES_PER_UNIT).clamp(MIN_TRIES, MAX_TRIES)
    };
    let hot_s = (!is_kept).then_some(HOT_S);
    CourseCooling {
        hot_s,
        least_gain_s: keep::KEEP_ORDER_S,
        tries: budget.effort.tries_or_sized(sized),
        seed: settings.seed.0,
        operators: settings.operators,
    }
}

/// A course that can be walked, and the fewest moves where they are proven.
///
/// # Errors
/// [`DeadEnd`] where nothing leads to the end.
fn first_course(
    problem: &CourseProblem,
    start: &CourseStart,
    watch: &dyn SolverWatch,
) -> Result<(Vec<u16>, Option<u32>), DeadEnd> {
    watch.report_progress("looking for a safe order", 0.0);
    match exact::find_fewest_moves(problem, start, MovePrices { place: 1, lift: 1 }, watch) {
        ExactEnd::Least(moves, course) => Ok((course, Some(moves))),
        ExactEnd::Impossible(done) => Err(DeadEnd { done, is_proven: true }),
        ExactEnd::GivenUp => {
            let mut tour = tour::CourseTour::new(problem, start);
            let course = beam::find_first_course(problem, &mut tour, watch);
            course.map(|course| (course, None)).map_err(|done| DeadEnd { done, is_proven: false })
        }
    }
}

/// A course of a problem, searched for from nothing, and the fewest moves where they are proven.
///
/// # Errors
/// [`DeadEnd`] where nothing leads to the end.
pub fn search_course(
    problem: &CourseProblem,
    start: &CourseStart,
    settings: CourseSettings,
    budget: &SolverBudget<'_>,
) -> Result<(CooledCourse, Option<u32>), DeadEnd> {
    let (first, fewest_moves) = first_course(problem, start, budget.watch)?;
    let cooling = cooling_for(problem, false, settings, budget);
    let walks = CoolWalks { problem, start, threads: settings.threads, budget };
    Ok((walks.cool_rounds(first, cooling), fewest_moves))
}

/// Walks of one problem.
struct CoolWalks<'a> {
    problem: &'a CourseProblem,
    start: &'a CourseStart,
    threads: usize,
    budget: &'a SolverBudget<'a>,
}

impl CoolWalks<'_> {
    /// Rounds of walks, each from the best so far and a little cooler, so that more rounds begin like fewer.
    fn cool_rounds(&self, first: Vec<u16>, cooling: CourseCooling) -> CooledCourse {
        let rounds = match self.budget.effort {
            SolverEffort::Sized => USUAL_ROUNDS,
            effort => effort.rounds(),
        };
        let mut best = CooledCourse { course: first, value_s: f64::INFINITY, tries: 0 };
        let mut hot_s = cooling.hot_s;
        for round in 0..rounds {
            if round > 0 && self.budget.watch.should_stop() {
                break;
            }
            let seed = cooling.seed ^ APART.rotate_left(17).wrapping_mul(u64::from(round));
            let done_fraction = f64::from(round) / f64::from(rounds);
            let found =
                self.cool_round(best.course.clone(), CourseCooling { hot_s, seed, ..cooling }, done_fraction);
            let tries = best.tries + found.tries;
            best = if found.value_s < best.value_s { found } else { best };
            best.tries = tries;
            hot_s = hot_s.map(|hot_s| (hot_s * ROUND_COOLER_FRACTION).max(LEAST_HOT_S));
        }
        best
    }

    /// The best of [`WALKS`] walks, each by its own dice.
    fn cool_round(&self, first: Vec<u16>, cooling: CourseCooling, done_fraction: f64) -> CooledCourse {
        let followers = CheapestFollowers::new(&self.problem.order);
        let walk = |number: usize, watch: &dyn SolverWatch| {
            let seed = cooling.seed ^ APART.wrapping_mul(number as u64);
            let cooling = CourseCooling { seed, ..cooling };
            improve::improve_course(self.problem, self.start, &followers, first.clone(), cooling, watch)
        };
        let stopped = core::sync::atomic::AtomicBool::new(false);
        let mut found: Vec<Option<CooledCourse>> = Vec::new();
        let threads = self.threads.clamp(1, WALKS);
        for turn in (0..WALKS).step_by(threads) {
            self.budget.watch.report_progress("planning the order of work", done_fraction);
            let flag = improve::StopFlag(&stopped);
            let (walk, flag) = (&walk, &flag);
            let mut of_turn: Vec<Option<CooledCourse>> = std::thread::scope(|scope| {
                let others: Vec<_> = (turn + 1..(turn + threads).min(WALKS))
                    .map(|number| scope.spawn(move || walk(number, flag)))
                    .collect();
                let own = walk(turn, &improve::TellingWatch { watch: self.budget.watch, stopped: &stopped });
                let joined = others.into_iter().map(|other| match other.join() {
                    Ok(found) => found,
                    Err(panic) => std::panic::resume_unwind(panic),
                });
                core::iter::once(own).chain(joined).collect()
            });
            found.append(&mut of_turn);
        }
        let tries = found.iter().flatten().map(|walk| walk.tries).sum();
        let best = found.into_iter().flatten().min_by(|a, b| a.value_s.total_cmp(&b.value_s));
        let best = best.unwrap_or(CooledCourse { course: first, value_s: f64::INFINITY, tries: 0 });
        CooledCourse { tries, ..best }
    }
}
