//! Assembly: turns book, store and request into the plan's sequences, duties and stacks.

use model::plan::{DutyLine, PlanInputs, StackLine, StepKind, StepSequence};
use model::{Book, Duty, Stack, Store, TaskId};

use crate::job::SequenceJob;
use crate::joints::ScopeIndex;
use crate::kit::{self, KitAnswer};
use crate::node_order::{self, NodeOrderAnswer};
use crate::scope::{self, PlanScope};
use crate::steps::StepWriter;
use crate::way_in::{self, WayInAnswer, WayInError};
use crate::{coverage, refit, sold_wishes, strip, work};
use effort::{RandomSeed, SolverBudget, SolverWatch};

/// Why there is no plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PlanError {
    /// No task was requested.
    NoTask,
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
            Self::UnknownTask { key } => write!(f, "the book has no task `{key}`"),
            Self::WayIn(error) => error.fmt(f),
            Self::Misfit { words } => f.write_str(words),
            Self::NoAccess { fixing, hole } => {
                write!(
                    f,
                    "no access reaches hole {hole} of `{fixing}` on the way taken; add one to the book or take another way"
                )
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
    let no_access = |n: scope::HoleWithoutAccess| PlanError::NoAccess {
        fixing: book.fixing(n.fixing).key.clone(),
        hole: book.fixing(n.fixing).holes[usize::from(n.hole)].label.clone(),
    };
    let scope = PlanScope::new(book, tasks, found.parts.clone(), found.conditions.clone(), reached);
    let mut scope = scope.map_err(no_access)?;
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
    let (way_in, scope) = find_plan_scope(book, store, asked, budget.watch)?;
    let kit = kit::choose_kit(book, store, &scope, asked.objective, &SolverBudget::watched(budget.watch));
    let inside = |d: &scope::ScopedDuty| kit.workings_inside(d).map(|at| at as u16).collect::<Vec<_>>();
    let usable: Vec<Vec<u16>> = scope.duties.iter().map(inside).collect();
    let settings =
        node_order::NodeOrderSettings { seed: RandomSeed(asked.seed), threads: asked.threads.into() };
    let sequences = plan_sequences(book, &scope, &usable, budget, settings)?;
    let (mut writer, [strip, work, refit]) = sequences;
    let duties = duty_lines(book, &scope, &writer);
    let stacks = writer.stack_lines(store);
    let picked = core::mem::take(&mut writer.picked);
    Ok(PlanCore { way_in, scope, kit, picked, duties, stacks, strip, work, refit })
}

/// The three sequences of a scope, with one usable working chosen for each duty, and the writer that records the choice.
///
/// # Errors
/// [`PlanError::Circle`] where steps wait for each other, which a checked book rules out.
pub fn plan_sequences<'a>(
    book: &'a Book,
    scope: &'a PlanScope,
    usable: &[Vec<u16>],
    budget: &SolverBudget,
    settings: node_order::NodeOrderSettings,
) -> Result<(StepWriter<'a>, [StepSequence; 3]), PlanError> {
    let index = ScopeIndex::new(book, scope);
    let mut writer = StepWriter::new(book, scope);
    let jobs = [
        (strip::strip_job(book, scope, &index), "planning the strip order"),
        (work::work_job(book, &scope.tasks), "planning the work order of the tasks"),
        (refit::refit_job(book, scope, &index), "planning the refit order"),
    ];
    let mut written = Vec::new();
    for (at, (job, doing)) in jobs.iter().enumerate() {
        let settings =
            node_order::NodeOrderSettings { seed: RandomSeed(settings.seed.0 ^ at as u64), ..settings };
        let (problem, solved) = solve_sequence(book, scope, usable, job, doing, budget, settings)?;
        writer.pick_workings(job, &problem, &solved);
        written.push(writer.write_sequence(job, &solved));
    }
    let mut written = written.into_iter();
    let mut next = || written.next().expect("a sequence for each of the three jobs");
    let (mut strip, work, refit) = (next(), next(), next());
    add_part_cautions(book, scope, &mut strip);
    Ok((writer, [strip, work, refit]))
}

fn solve_sequence(
    book: &Book,
    scope: &PlanScope,
    usable: &[Vec<u16>],
    job: &SequenceJob,
    doing: &str,
    budget: &SolverBudget,
    settings: node_order::NodeOrderSettings,
) -> Result<(node_order::NodeOrderProblem, NodeOrderAnswer), PlanError> {
    let named = |circle: node_order::PrecedenceCircle| PlanError::Circle {
        steps: circle.0.iter().filter_map(|n| job.nodes[*n].last()).map(|d| d.text.clone()).collect(),
    };
    let problem = job.node_order_problem(book, scope, usable).map_err(named)?;
    let solved = node_order::solve_node_order(&problem, doing, budget, settings);
    Ok((problem, solved))
}

/// Puts a part's cautions before the first step on it.
pub(crate) fn add_part_cautions(book: &Book, scope: &PlanScope, strip: &mut StepSequence) {
    for (id, _) in &scope.parts {
        let part = book.part(*id);
        let on_part = |s: &&mut model::plan::Step| {
            matches!(s.kind, StepKind::Undo | StepKind::Remove) && s.part.as_ref() == Some(&part.key)
        };
        if let Some(step) = strip.steps.iter_mut().find(on_part) {
            step.cautions.extend(part.cautions.iter().cloned());
        }
    }
}

fn duty_lines(book: &Book, scope: &PlanScope, writer: &StepWriter) -> Vec<DutyLine> {
    let line = |(duty, picked): (&scope::ScopedDuty, &Option<u16>)| {
        let fixing = book.fixing(duty.duty.fixing);
        let working = picked.map(|w| &duty.workings[usize::from(w)]);
        DutyLine {
            fixing: fixing.key.clone(),
            access: duty.duty.access,
            act: duty.duty.act,
            stage: duty.duty.stage,
            torque_n_m: duty.duty.torque(fixing).map(units::Torque::as_n_m),
            stack: working.and_then(|w| writer.stack_id_of(&w.stack)),
            sure: duty.verdict,
            rests_on: coverage::doubts_of_duty(book, duty),
            seconds: working.map_or(0.0, |w| duty.seconds_each(book, w) * duty.holes.len() as f64),
            setting_n_m: working.and_then(|w| w.setting).map(units::Torque::as_n_m),
            force_n: working.and_then(|w| w.force).map(units::Force::as_n),
            hole_order: (duty.duty.act == model::Act::Tighten).then(|| book.hole_order_of(duty.duty.fixing)),
        }
    };
    scope.duties.iter().zip(&writer.picked).map(line).collect()
}
