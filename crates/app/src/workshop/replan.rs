//! Planning the rest anew, in the background: from where the work really is, without undoing anything.
//!
//! The workshop hands out a [`Replan`] that holds all it needs, so that nobody waits at the bench while it runs. What comes
//! out is judged, and taken in only where the visit has not gone on meanwhile in a way that makes it stale: then the next
//! one is made. A first plan is there at once; the same asked again at leisure ([`at_leisure`]) may find an order that saves more.

use archive::EventArchive;
use effort::{SolverBudget, SolverEffort, UnwatchedSolver};
use model::FastenerState;
use model::plan::Plan;
use model::progress::{FastenerProgress, Progress, TakenUpAgain};
use model::{Book, Store};
use plan::goal::{GoalPlan, GoalRequest};
use plan::slots::{CompartmentsInUse, lay_slots_beside};
use plan::{happening::take_in, plan_for_goal, remake_plan};
use record::{Visit, VisitBody, VisitId};

use super::{Workshop, WorkshopError, bundle, now_ms};

/// All that planning the rest needs.
pub struct RestPlanInput {
    visit: VisitId,
    book: Book,
    store: Store,
    plan: Plan,
    state: Visit,
    events: u64,
    why: String,
    in_use: CompartmentsInUse,
}

/// The rest, planned anew and judged.
pub struct RemadePlan {
    visit: VisitId,
    plan: Plan,
    events: u64,
    why: String,
    saves_s: f64,
    again: TakenUpAgain,
}

impl RemadePlan {
    /// The visit that it is for.
    pub(super) const fn visit(&self) -> &VisitId {
        &self.visit
    }

    /// The plan.
    #[must_use]
    pub const fn plan(&self) -> &Plan {
        &self.plan
    }

    /// What was back in its place and is taken up again.
    #[must_use]
    pub const fn again(&self) -> &TakenUpAgain {
        &self.again
    }

    /// Seconds saved against the plan that it replaces; negative where there is now more to do.
    #[must_use]
    pub const fn saves_s(&self) -> f64 {
        self.saves_s
    }
}

/// Tries of each walk when nobody waits for the answer: some seconds (assumption).
const TRIES_AT_LEISURE: u64 = 200_000;

/// What planning the rest may spend when nobody waits for it.
#[must_use]
pub const fn leisure_budget() -> SolverBudget<'static> {
    SolverBudget { effort: SolverEffort::Tries(TRIES_AT_LEISURE), watch: &UnwatchedSolver }
}

impl RestPlanInput {
    /// Texts that a visit does not work from yet, with where it stands and why it is planned.
    pub(super) fn from_texts(
        (visit, book, store, plan): (VisitId, Book, Store, Plan),
        (state, events, why): (Visit, u64, String),
    ) -> Self {
        Self { visit, book, store, plan, state, events, why, in_use: CompartmentsInUse::new() }
    }

    /// Plans the rest.
    ///
    /// # Errors
    /// [`WorkshopError::Rest`] with why there is no plan, or with what the judge found in it.
    pub fn plan_rest(self, budget: SolverBudget<'_>) -> Result<RemadePlan, WorkshopError> {
        let progress = self.progress_so_far();
        let plan = remake_plan(&self.book, &self.store, &self.plan, &progress, &[], budget)
            .map_err(|error| WorkshopError::Rest(error.to_string()))?;
        self.judged_rest(GoalPlan { plan, again: TakenUpAgain::default() }, &progress)
    }

    /// Plans the way from here to another goal: a task more or fewer, a state of the book, or the whole job again.
    ///
    /// # Errors
    /// As [`RestPlanInput::plan_rest`].
    pub(super) fn plan_to_goal(
        self,
        request: &GoalRequest,
        budget: SolverBudget<'_>,
    ) -> Result<RemadePlan, WorkshopError> {
        let mut progress = self.progress_so_far();
        let mut made = plan_for_goal(&self.book, &self.store, &self.plan, &progress, request, budget)
            .map_err(|error| WorkshopError::Rest(error.to_string()))?;
        lay_slots_beside((&self.book, &self.store), &mut made.plan, &self.plan.slots, &self.in_use);
        progress.take_up_again(&made.again);
        self.judged_rest(made, &progress)
    }

    /// The tasks that the plan in force is for, those that are done included.
    #[must_use]
    pub(super) fn tasks_asked(&self) -> &[String] {
        &self.plan.asked.tasks
    }

    fn judged_rest(self, made: GoalPlan, progress: &Progress) -> Result<RemadePlan, WorkshopError> {
        let GoalPlan { plan, again } = made;
        let found = judge::judge_rest(&self.book, &self.store, &plan, progress);
        if let Some(first) = found.first() {
            let words = format!("the judge rejects the plan for the rest: {} {}", first.place, first.words);
            return Err(WorkshopError::Rest(words));
        }
        let saves_s = self.plan.total_s() - plan.total_s();
        Ok(RemadePlan { visit: self.visit, plan, events: self.events, why: self.why, saves_s, again })
    }

    /// Where the work is, with the usual steps of what happened.
    fn progress_so_far(&self) -> Progress {
        let now = now_ms();
        let happenings = self.state.happenings_for_planning();
        let mut progress = take_in(&self.book, &self.state.planning_progress(&self.book, now), &happenings);
        self.state.settle_progress(&self.book, &mut progress, now);
        adjust_for_way_out(&self.book, &mut progress);
        progress
    }
}

/// A fastener that was run back in while its part is on the way out: with the part off it lies in its hole as in a slot,
/// with the part on it is loose in its place. Only where the part was refitted does it count towards the refit.
fn adjust_for_way_out(book: &Book, progress: &mut Progress) {
    for (key, holes) in &mut progress.fasteners {
        let Some(id) = book.fixing_by_key(key) else { continue };
        let part = &book.part(book.fixing(id).part).key;
        if progress.parts_back.contains(part) {
            continue;
        }
        let off = progress.parts_off.contains(part);
        let is_slackened = book.fixing(id).slackened;
        for fastener in holes.values_mut() {
            let state = match fastener.state {
                FastenerState::FingerTight | FastenerState::Tight | FastenerState::Checked
                    if off && is_slackened =>
                {
                    FastenerState::Freed
                }
                FastenerState::FingerTight | FastenerState::Tight | FastenerState::Checked if off => {
                    FastenerState::Off
                }
                FastenerState::FingerTight => FastenerState::Freed,
                FastenerState::Tight | FastenerState::Checked => FastenerState::InPlace,
                other => other,
            };
            *fastener = FastenerProgress { state, passes: 0 };
        }
    }
}

impl Workshop {
    /// All that planning the rest of a visit needs.
    ///
    /// # Errors
    /// [`WorkshopError::NoVisit`], [`WorkshopError::Missing`] without a plan, or what cannot be read.
    pub fn prepare_replan(&mut self, visit: &VisitId, why: &str) -> Result<RestPlanInput, WorkshopError> {
        let live = self.visit(visit)?;
        let (book, store, plan) = live.require_planned_texts()?;
        Ok(RestPlanInput {
            visit: visit.clone(),
            book: book.clone(),
            store: store.clone(),
            plan: plan.clone(),
            state: live.state().clone(),
            events: live.history().event_count(),
            why: why.to_owned(),
            in_use: CompartmentsInUse::new(),
        })
    }

    /// All that planning a visit to another goal needs: the compartments of the other open visits besides.
    ///
    /// # Errors
    /// As [`Workshop::prepare_replan`].
    pub fn prepare_goal_change(
        &mut self,
        visit: &VisitId,
        why: &str,
    ) -> Result<RestPlanInput, WorkshopError> {
        let in_use = self.compartments_in_use(Some(visit))?;
        Ok(RestPlanInput { in_use, ..self.prepare_replan(visit, why)? })
    }

    /// Works by the remade plan from now on; `false` when the visit has gone on meanwhile and it has to be made again.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] when the disk refuses.
    pub fn adopt_plan(&mut self, remade: &RemadePlan) -> Result<bool, WorkshopError> {
        if !self.is_as_planned(remade)? {
            return Ok(false);
        }
        self.put_plan_in_force(remade)?;
        Ok(true)
    }

    /// Whether a visit stands as it did when it was planned.
    pub(super) fn is_as_planned(&mut self, remade: &RemadePlan) -> Result<bool, WorkshopError> {
        Ok(self.visit(&remade.visit)?.history().event_count() == remade.events)
    }

    /// Keeps a plan and says that the visit works by it.
    pub(super) fn put_plan_in_force(&mut self, remade: &RemadePlan) -> Result<(), WorkshopError> {
        let plan = self.archive.put_document(&bundle::plan_document(&remade.plan))?;
        let device = self.device.clone();
        self.carry_out_command(
            &remade.visit,
            &device,
            &VisitBody::Planned { plan, why: remade.why.clone(), again: remade.again.clone() }.into(),
        )?;
        Ok(())
    }
}
