//! Remake: the plan for the rest of a half-done job.
//!
//! # Question
//! Some of the work is done, some steps are done by half, and things happened that the plan did not know. What is still to be done,
//! in what order, with the stacks and slots that are already in use?
//!
//! # Model
//! Nothing already in use at the bench is chosen again: way in, accesses, stacks, kit and slots stay. The three jobs of the scope
//! (see [`crate::strip`], [`crate::work`], [`crate::refit`]) are drawn up whole; then
//!
//! * what is done is taken out, hole by hole and pass by pass, and what went before a node that is gone goes before what followed it;
//! * extra steps come in as nodes of their own between the points that they name; a fastener that an extra step brings out is not undone by the
//!   ordinary step as well;
//! * waits that have begun count from now on;
//! * an opening that is open without its cap is capped before anything else.
//!
//! The world is as its settings and fasteners stand, the mechanic where he is, with what he has in hand. The old order of what is left is a
//! good order already and stays, unless another saves five minutes ([`crate::course::keep`]).
//!
//! # Times
//! As in [`crate::steps`], but for the start: the course starts at the station and with the pieces of the progress. An extra step has its own seconds. Steps are numbered from 1 again.
//!
//! # Limits
//! **A part that is off but not in the plan's way in, or a fixing of such a part, is reported as a misfit: make a new plan with its tasks.** A cap left on
//! under a part that is back stays in the plan as a cap to take off.
//!
//! # Worked example
//! A cover with four bolts, two of them out, the third seized: left are penetrant, wait, shock, the undoing of the third and the fourth, the
//! cover off, the task, the cover on, four bolts run in and tightened. Three steps of the old plan are gone, three extra are in.

mod extra;
pub(crate) mod known;
pub(crate) mod rest;
pub(crate) mod start;

use model::plan::{Plan, Step, StepAction, StepSequence};
use model::progress::{Happening, Progress};
use model::{Book, Caution, SignalWord, Store};

use crate::assemble::{self, PlanError};
use crate::course::machine::WorldMachine;
use crate::course::operators::CourseOperators;
use crate::course::problem::world_of_progress;
use crate::course::work_units::jobs_of_scope;
use crate::course::{CourseRequest, CourseSettings};
use crate::goal::reach_state::{self, GoalReach};
use crate::happening;
use crate::job::SequenceJob;
use crate::joints::ScopeIndex;
use crate::steps::StepWriter;
use crate::{make, step_names};
use effort::{RandomSeed, SolverBudget};

use known::KnownProgress;

/// The plan for what is left, after some happenings have been taken in ([`happening::take_in`] gives the progress that it is for).
///
/// # Errors
/// [`PlanError::Misfit`] where plan, book, store and progress name unlike things; [`PlanError::Circle`] where extra steps wait for each
/// other.
pub fn remake_plan(
    book: &Book,
    store: &Store,
    plan: &Plan,
    progress: &Progress,
    happenings: &[Happening],
    budget: SolverBudget,
) -> Result<Plan, PlanError> {
    let progress = happening::take_in(book, progress, happenings);
    let known = KnownProgress::read_progress(book, store, plan, &progress)?;
    remake_from_base(book, plan, &known, &progress, &budget)
}

/// The plan for what is left of a scope, which may lead to a state of the book only.
pub(crate) fn remake_from_base(
    book: &Book,
    plan: &Plan,
    known: &KnownProgress,
    progress: &Progress,
    budget: &SolverBudget<'_>,
) -> Result<Plan, PlanError> {
    let index = ScopeIndex::new(book, &known.scope);
    let read = known.scope.goal.as_ref().map(|_| reach_state::with_hanging_set_there(book, progress));
    let progress = read.as_ref().unwrap_or(progress);
    let made = |urgency: ExtraUrgency, reach: GoalReach| {
        let jobs = jobs_left(book, known, &index, progress, urgency);
        let jobs = match &known.scope.goal {
            Some(goal) => reach_state::keep_for_state(book, progress, goal, reach, jobs),
            None => jobs,
        };
        remake_course(book, plan, known, jobs, progress, budget)
    };
    // What nobody can get at as the vehicle stands is done as soon as the work leads there.
    let in_turn = |reach: GoalReach| match made(ExtraUrgency::First, reach) {
        Err(PlanError::NoOrder { .. }) => made(ExtraUrgency::WhenReached, reach),
        made => made,
    };
    if known.scope.goal.is_none() {
        return in_turn(GoalReach::All);
    }
    let found = GoalReach::ALL.into_iter().map(in_turn);
    let mut last = Err(PlanError::NoTask);
    for made in found {
        last = made;
        if !matches!(last, Err(PlanError::NoOrder { .. })) {
            break;
        }
    }
    last
}

/// When extra steps are done that name no point of the job.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum ExtraUrgency {
    /// Before all that was planned.
    First,
    /// When the work leads to their place.
    WhenReached,
}

/// The rest of a course, from the world as it stands.
fn remake_course(
    book: &Book,
    plan: &Plan,
    known: &KnownProgress,
    jobs: [SequenceJob; 3],
    progress: &Progress,
    budget: &SolverBudget,
) -> Result<Plan, PlanError> {
    let scope = &known.scope;
    let mut writer = StepWriter::new(book, scope);
    for (condition, left_s) in &known.holds_in_s {
        writer.holds_in(*condition, *left_s);
    }
    let usable: Vec<Vec<u16>> = scope.duties.iter().map(|d| (0..d.workings.len() as u16).collect()).collect();
    let kept: Vec<&Step> = plan.all_steps().collect();
    let request = CourseRequest {
        book,
        scope,
        usable: &usable,
        here: known.here.clone(),
        holds_in_s: &known.holds_in_s,
        settings: CourseSettings {
            seed: RandomSeed(plan.asked.seed),
            threads: 1,
            operators: CourseOperators::default(),
        },
        kept: &kept,
    };
    let world = |machine: &WorldMachine| world_of_progress(book, machine, progress);
    let (mut sequences, outcome) = assemble::plan_course(&request, jobs, world, &mut writer, budget)?;
    warn_of_broken_rules(book, progress, &mut sequences);
    Ok(Plan { course: Some(outcome), ..assemble_rest(plan, known, sequences) })
}

/// Says before the first step which rule of the book is broken as things stand.
fn warn_of_broken_rules(book: &Book, progress: &Progress, sequences: &mut [StepSequence; 3]) {
    let machine = WorldMachine::new(book);
    let world = world_of_progress(book, &machine, progress);
    let warning = |at: usize| Caution {
        word: SignalWord::Danger,
        text: format!(
            "This does not hold as things stand: {}. Put it right before anything else.",
            book.rules[at].title
        ),
    };
    let warnings: Vec<Caution> = machine.broken_rules(world).map(warning).collect();
    if let Some(first) = sequences.iter_mut().flat_map(|s| &mut s.steps).next() {
        first.cautions.splice(0..0, warnings);
    }
}

/// What is left of the three jobs, extra steps included.
fn jobs_left(
    book: &Book,
    known: &KnownProgress,
    index: &ScopeIndex,
    progress: &Progress,
    urgency: ExtraUrgency,
) -> [SequenceJob; 3] {
    let scope = &known.scope;
    let whole = jobs_of_scope(book, scope, index);
    let waits = [start::hold_up_waits(book, progress), Vec::new(), start::refit_waits(book, scope, progress)];
    let mut left = whole.into_iter().zip(waits).map(|(job, waits)| {
        let rest = rest::rest_of_job(book, scope, progress, job);
        start::count_waits_from_now(rest, &waits)
    });
    let mut next = || left.next().unwrap_or_default();
    let mut jobs = [next(), next(), next()];
    extra::add_extra_steps(book, known, progress, urgency == ExtraUrgency::First, &mut jobs);
    rest::put_caps_first(&mut jobs[0]);
    jobs
}

/// The old plan with new sequences: stacks keep their ids, and each duty's seconds are those of the holes that are left to it.
fn assemble_rest(old: &Plan, known: &KnownProgress, [strip, work, refit]: [StepSequence; 3]) -> Plan {
    let mut plan = Plan { strip, work, refit, ..old.clone() };
    let stack_of = |action: &StepAction| old.duties.get(action.duty).and_then(|d| d.stack.clone());
    for step in steps_mut(&mut plan) {
        step.actions.iter_mut().for_each(|a| a.stack = stack_of(a));
    }
    // A later remake reads the time of one hole back from all that its access still serves.
    let by_access = known::holes_by_access(&plan);
    let left = |line: &model::plan::DutyLine| {
        by_access.get(&(line.fixing.as_str(), line.access)).map_or(0, |h| h.len())
    };
    let left: Vec<usize> = plan.duties.iter().map(left).collect();
    for (line, (duty, left)) in plan.duties.iter_mut().zip(known.scope.duties.iter().zip(left)) {
        line.seconds = line.seconds / duty.holes.len().max(1) as f64 * left as f64;
    }
    make::address_steps(&mut plan);
    step_names::name_steps(&mut plan, Some(old));
    plan
}

fn steps_mut(plan: &mut Plan) -> impl Iterator<Item = &mut Step> {
    plan.strip.steps.iter_mut().chain(&mut plan.work.steps).chain(&mut plan.refit.steps)
}
