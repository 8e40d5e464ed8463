//! Assembly: turns book, store and request into the plan's sequences, duties and stacks.

use model::plan::{CourseOutcome, DutyLine, PlanInputs, StackLine, Step, StepKind, StepSequence};
use model::{Book, Duty, GOAL_TO_ROLL, Stack, Store, TaskId};

use crate::course::machine::{PackedWorld, WorldMachine};
use crate::course::operators::CourseOperators;
use crate::course::work_units::jobs_of_scope;
use crate::course::{self, CourseRequest, CourseSettings};
use crate::job::SequenceJob;
use crate::joints::ScopeIndex;
use crate::kit::{self, KitAnswer};
use crate::node_order::best_stack_choices;
use crate::scope::{self, PlanScope};
use crate::steps::{MechanicPosition, StepWriter};
use crate::way_in::{self, WayInAnswer, WayInError};
use crate::{coverage, sold_wishes};
use effort::{RandomSeed, SolverBudget, SolverWatch};

/// Why there is no plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PlanError {
    /// No task was requested.
    NoTask,
    /// Neither the book nor the trade has a goal of that key.
    UnknownGoal {
        /// The key as requested.
        key: String,
    },
    /// The book has no task of that key.
    UnknownTask {
        /// The key as requested.
        key: String,
    },
    /// No choice of ways opens the way.
    WayIn(WayInError),
    /// A hole has no access on the way taken.
    NoAccess {
        /// Fixing key.
        fixing: String,
        /// Hole label.
        hole: String,
    },
    /// Plan, book, store and progress do not belong together.
    Misfit {
        /// What does not fit.
        words: String,
    },
    /// No order of the steps keeps the rules of the book.
    NoOrder {
        /// Rules without which there would be an order.
        rules: Vec<String>,
        /// Steps that nothing leads to, with what they ask.
        steps: Vec<String>,
        /// Whether all orders were gone through; else none was found.
        is_proven: bool,
    },
    /// Steps wait for each other in a circle.
    Circle {
        /// The steps that can never start.
        steps: Vec<String>,
    },
}

impl core::fmt::Display for PlanError {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::NoTask => f.write_str("no task was given"),
            Self::UnknownGoal { key } => {
                write!(
                    f,
                    "the book has no goal `{key}`; `{GOAL_TO_ROLL}` is always known, and `[[goal]]` in the book tells others"
                )
            }
            Self::UnknownTask { key } => write!(f, "the book has no task `{key}`"),
            Self::WayIn(error) => error.fmt(f),
            Self::Misfit { words } => f.write_str(words),
            Self::NoAccess { fixing, hole } => {
                write!(
                    f,
                    "no access reaches hole {hole} of `{fixing}` on the way taken; add one to the book or take another way"
                )
            }
            Self::NoOrder { rules, steps, is_proven } => {
                let found = if *is_proven {
                    "no order of the work is safe"
                } else {
                    "no safe order of the work was found"
                };
                f.write_str(found)?;
                if !rules.is_empty() {
                    write!(f, "; what stands against it: {}", rules.join(", and "))?;
                }
                write!(f, "; what cannot be reached: {}", steps.join("; "))
            }
            Self::Circle { steps } => write!(
                f,
                "these steps wait for each other in a circle, so none of them can start: {}",
                steps.join("; ")
            ),
        }
    }
}

impl core::error::Error for PlanError {}

impl PlanError {
    /// A hole that no access serves on the way taken.
    pub(crate) fn no_access(book: &Book, without: scope::HoleWithoutAccess) -> Self {
        let fixing = book.fixing(without.fixing);
        let hole = fixing.holes[usize::from(without.hole)].label.clone();
        Self::NoAccess { fixing: fixing.key.clone(), hole }
    }
}

/// Everything of a plan that follows from way in, kit and order.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanCore {
    /// The way in.
    pub way_in: WayInAnswer,
    /// Duties with their stacks.
    pub scope: PlanScope,
    /// The kit.
    pub kit: KitAnswer,
    /// Position of the working taken for each duty of the scope; `None` is a gap.
    pub picked: Vec<Option<u16>>,
    /// Duties as the plan shows them.
    pub duties: Vec<DutyLine>,
    /// Stacks as the plan shows them.
    pub stacks: Vec<StackLine>,
    /// Strip order.
    pub strip: StepSequence,
    /// The tasks' own work.
    pub work: StepSequence,
    /// Refit order.
    pub refit: StepSequence,
    /// How good the three are together.
    pub course: CourseOutcome,
}

impl PlanCore {
    /// The stack of each duty of the scope.
    #[must_use]
    pub fn stacks_used(&self) -> Vec<Option<&Stack>> {
        let pairs = self.scope.duties.iter().zip(&self.picked);
        pairs.map(|(duty, picked)| picked.map(|w| &duty.workings[usize::from(w)].stack)).collect()
    }
}

/// The tasks of some keys, rising, each once.
///
/// # Errors
/// [`PlanError::NoTask`] and [`PlanError::UnknownTask`].
pub fn tasks_by_keys(book: &Book, keys: &[String]) -> Result<Vec<TaskId>, PlanError> {
    let known =
        |key: &String| book.task_by_key(key).ok_or_else(|| PlanError::UnknownTask { key: key.clone() });
    let mut ids = keys.iter().map(known).collect::<Result<Vec<_>, _>>()?;
    ids.sort_unstable();
    ids.dedup();
    if ids.is_empty() { Err(PlanError::NoTask) } else { Ok(ids) }
}

/// The scope of the requested tasks, with every stack that can do each duty.
///
/// # Errors
/// As [`crate::make_plan`].
pub fn find_plan_scope(
    book: &Book,
    store: &Store,
    asked: &PlanInputs,
    watch: &dyn SolverWatch,
) -> Result<(WayInAnswer, PlanScope), PlanError> {
    let tasks = tasks_by_keys(book, &asked.tasks)?;
    watch.report_progress("finding the way in", 0.0);
    let found =
        way_in::find_least_way_in(book, &tasks, &SolverBudget::watched(watch)).map_err(PlanError::WayIn)?;
    let duties: Vec<Duty> = scope::candidate_duties(book, &found.parts);
    watch.report_progress("looking for stacks", 0.0);
    let reached = coverage::find_reach_under_doubt(book, store, &duties, asked.threads);
    let scope = PlanScope::new(book, tasks, found.parts.clone(), found.conditions.clone(), reached);
    let mut scope = scope.map_err(|hole| PlanError::no_access(book, hole))?;
    let budget = SolverBudget::watched(watch);
    sold_wishes::wish_for_sold_pieces(book, store, &mut scope.duties, asked.threads, &budget);
    Ok((found, scope))
}

/// Way in, kit and the three sequences; the budget's effort is that of each sequence's order.
///
/// # Errors
/// As [`crate::make_plan`].
pub fn make_plan_core(
    book: &Book,
    store: &Store,
    asked: &PlanInputs,
    budget: &SolverBudget,
) -> Result<PlanCore, PlanError> {
    let (way_in, mut scope) = find_plan_scope(book, store, asked, budget.watch)?;
    let kit = kit::choose_kit(book, store, &scope, asked.objective, &SolverBudget::watched(budget.watch));
    let inside =
        |d: &scope::ScopedDuty| kit.workings_to_plan(d).into_iter().map(|at| at as u16).collect::<Vec<_>>();
    let usable: Vec<Vec<u16>> = scope.duties.iter().map(inside).collect();
    let settings = CourseSettings {
        seed: RandomSeed(asked.seed),
        threads: asked.threads.into(),
        operators: CourseOperators::default(),
    };
    let (mut writer, [strip, work, refit], course) = plan_sequences(book, &scope, &usable, budget, settings)?;
    let duties = duty_lines(book, &scope, &writer);
    let stacks = writer.stack_lines(store);
    let picked = core::mem::take(&mut writer.picked);
    let steps: Vec<&Step> = [&strip, &work, &refit].into_iter().flat_map(|s| &s.steps).collect();
    scope.ways_taken = course::write::ways_taken(book, &steps);
    Ok(PlanCore { way_in, scope, kit, picked, duties, stacks, strip, work, refit, course })
}

/// The sequences of a visit from its start, how good they are together, and the writer that records the stacks chosen.
///
/// # Errors
/// As [`course::solve_course`].
pub fn plan_sequences<'a>(
    book: &'a Book,
    scope: &'a PlanScope,
    usable: &[Vec<u16>],
    budget: &SolverBudget,
    settings: CourseSettings,
) -> Result<(StepWriter<'a>, [StepSequence; 3], CourseOutcome), PlanError> {
    let index = ScopeIndex::new(book, scope);
    let here = MechanicPosition::at_start();
    let request = CourseRequest { book, scope, usable, here, holds_in_s: &[], settings, kept: &[] };
    let jobs = jobs_of_scope(book, scope, &index);
    let world = |machine: &WorldMachine| machine.start_world(book);
    let mut writer = StepWriter::new(book, scope);
    let (sequences, outcome) = plan_course(&request, jobs, world, &mut writer, budget)?;
    Ok((writer, sequences, outcome))
}

/// The three stretches of a course and how good it is; `writer` keeps the stacks that it takes.
///
/// # Errors
/// As [`course::solve_course`].
pub(crate) fn plan_course(
    request: &CourseRequest<'_>,
    jobs: [SequenceJob; 3],
    world: impl FnOnce(&WorldMachine) -> PackedWorld,
    writer: &mut StepWriter<'_>,
    budget: &SolverBudget,
) -> Result<([StepSequence; 3], CourseOutcome), PlanError> {
    let (job, solved) = course::solve_course(request, jobs, world, budget)?;
    let order: Vec<usize> =
        solved.course.iter().map(|t| usize::from(*t)).filter(|t| *t < solved.problem.unit_count()).collect();
    let choices = best_stack_choices(&solved.problem.order, &order, solved.start.hand);
    writer.pick_choices(&job.job, &solved.problem.order, &choices);
    let lines = course::write::course_lines(request.book, &job, &solved);
    let mut sequences = writer.write_course(&job.job, &lines, request.here.clone());
    add_part_cautions(request.book, request.scope, &mut sequences[0]);
    let steps: Vec<&Step> = sequences.iter().flat_map(|s| &s.steps).collect();
    let outcome =
        course::outcome::course_outcome(request.book, &solved, &steps, writer.tools_moved(), budget.watch);
    Ok((sequences, outcome))
}

/// Puts a part's cautions before the first step on it.
pub(crate) fn add_part_cautions(book: &Book, scope: &PlanScope, strip: &mut StepSequence) {
    for (id, _) in &scope.parts {
        let part = book.part(*id);
        let on_part = |s: &&mut Step| {
            matches!(s.kind, StepKind::Undo | StepKind::Remove) && s.part.as_ref() == Some(&part.key)
        };
        if let Some(step) = strip.steps.iter_mut().find(on_part) {
            step.cautions.extend(part.cautions.iter().cloned());
        }
    }
}

fn duty_lines(book: &Book, scope: &PlanScope, writer: &StepWriter) -> Vec<DutyLine> {
    let line = |(duty, picked): (&scope::ScopedDuty, &Option<u16>)| {
        let working = picked.map(|w| &duty.workings[usize::from(w)]);
        duty_line(book, duty, working, working.and_then(|w| writer.stack_id_of(&w.stack)))
    };
    scope.duties.iter().zip(&writer.picked).map(line).collect()
}

/// A duty as the plan shows it, with the working that does it and the id of its stack.
pub(crate) fn duty_line(
    book: &Book,
    duty: &scope::ScopedDuty,
    working: Option<&model::WorkingStack>,
    stack: Option<String>,
) -> DutyLine {
    let fixing = book.fixing(duty.duty.fixing);
    DutyLine {
        fixing: fixing.key.clone(),
        access: duty.duty.access,
        act: duty.duty.act,
        stage: duty.duty.stage,
        torque_n_m: duty.duty.torque(fixing).map(units::Torque::as_n_m),
        stack,
        sure: duty.verdict,
        rests_on: coverage::doubts_of_duty(book, duty),
        seconds: working.map_or(0.0, |w| duty.seconds_each(book, w) * duty.holes.len() as f64),
        setting_n_m: working.and_then(|w| w.setting).map(units::Torque::as_n_m),
        force_n: working.and_then(|w| w.force).map(units::Force::as_n),
        hole_order: (duty.duty.act == model::Act::Tighten).then(|| book.hole_order_of(duty.duty.fixing)),
    }
}
