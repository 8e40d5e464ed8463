//! The course as a problem of order: units with their place and stacks, and what each asks of the world and changes there.

use model::plan::StepKind;
use model::progress::Progress;
use model::{ActWorld, Book, FastenerState, PartId, PartStanding};

use super::hanging;
use super::machine::{CompiledNeed, PackedWorld, WorldEvent, WorldMachine};
use super::work_units::{CourseJob, is_loosening_step, last_closing_node};
use crate::job::StepDraft;
use crate::node_order::{NodeOrderProblem, PrecedenceCircle};
use crate::scope::PlanScope;

/// What the search knows of a course.
#[derive(Debug, Clone)]
pub struct CourseProblem {
    /// Units, precedence and stacks; the stations' entering times.
    pub order: NodeOrderProblem,
    /// Settings, rules and ways.
    pub machine: WorldMachine,
    /// What each unit asks and changes, moment by moment.
    pub events: Vec<Vec<WorldEvent>>,
    /// Waits that end before each unit: positions in [`CourseProblem::waits`].
    pub waits_of: Vec<Vec<usize>>,
    /// All waits.
    pub waits: Vec<CourseWait>,
}

/// A wait that begins when the last of some units has ended; without a unit, at the start.
#[derive(Debug, Clone, PartialEq)]
pub struct CourseWait {
    /// The units.
    pub from: Vec<usize>,
    /// How long, s.
    pub wait_s: f64,
}

/// Where a course begins.
#[derive(Debug, Clone, PartialEq)]
pub struct CourseStart {
    /// The world.
    pub world: PackedWorld,
    /// Working position.
    pub station: u16,
    /// What is in hand, among the stacks of the problem.
    pub hand: u16,
}

impl CourseProblem {
    /// The problem of a job; `usable` holds, for each duty of the scope, the workings to choose from.
    ///
    /// # Errors
    /// [`PrecedenceCircle`] with the units that wait for each other.
    pub fn new(
        book: &Book,
        scope: &PlanScope,
        usable: &[Vec<u16>],
        course: &CourseJob,
    ) -> Result<Self, PrecedenceCircle> {
        let mut order = course.job.node_order_problem(book, scope, usable)?;
        let mut machine = WorldMachine::new(book);
        if let Some(goal) = &scope.goal {
            machine.goal = machine.compile_needs(&goal.needs);
        }
        let mut events = unit_events(book, scope, course, &machine);
        hanging::leave_nothing_hanging(book, scope, course, &mut machine, &mut events);
        let mut waits_of = vec![Vec::new(); course.job.nodes.len()];
        let mut waits = Vec::new();
        for lag in course.job.lags.iter().filter(|l| l.lag.wait_s > 0.0 && !l.lag.to.is_empty()) {
            lag.lag.to.iter().for_each(|n| waits_of[*n].push(waits.len()));
            waits.push(CourseWait { from: lag.lag.from.clone(), wait_s: lag.lag.wait_s });
        }
        // The order problem keeps its own waits for the bound; those from the start are left out of it.
        order.lags.retain(|lag| !lag.from.is_empty());
        Ok(Self { order, machine, events, waits_of, waits })
    }

    /// The number of units.
    #[must_use]
    pub fn unit_count(&self) -> usize {
        self.order.nodes.len()
    }

    /// The target behind all units and all ways: everything as it should be at the end.
    #[must_use]
    pub fn goal_target(&self) -> usize {
        self.unit_count() + self.machine.ways.len()
    }

    /// The world after a unit; nothing where it may not be done.
    #[must_use]
    pub fn after_unit(&self, world: PackedWorld, unit: usize) -> Option<PackedWorld> {
        self.events[unit].iter().try_fold(world, |world, event| self.machine.after_event(world, event))
    }

    /// What has to hold for a unit to begin, as far as one look at its start tells.
    pub fn needs_of_unit(&self, unit: usize) -> impl Iterator<Item = &CompiledNeed> {
        self.events[unit].iter().flat_map(|event| &event.needs)
    }
}

/// The world of a half-done job: settings as told, parts as their fasteners stand.
#[must_use]
pub fn world_of_progress(book: &Book, machine: &WorldMachine, progress: &Progress) -> PackedWorld {
    let mut world = machine.start_world(book);
    for (key, word) in &progress.settings {
        let Some(id) = book.setting_by_key(key) else { continue };
        if let Some(value) = book.setting(id).value_by_word(word) {
            world.set_value(id.index() as u8, value);
        }
    }
    for part in book.part_ids() {
        if let Some(thing) = machine.thing_of_part(part) {
            world.set_value(thing, standing_of_part(book, progress, part).index());
        }
    }
    world
}

fn standing_of_part(book: &Book, progress: &Progress, part: PartId) -> PartStanding {
    if progress.parts_off.contains(&book.part(part).key) {
        return PartStanding::Off;
    }
    let holds = |state: FastenerState| state == FastenerState::InPlace || state.is_done();
    let is_held = book.fixings_of(part).all(|id| {
        let fixing = book.fixing(id);
        fixing.holes.iter().all(|hole| holds(progress.fastener(&fixing.key, &hole.label).state))
    });
    if is_held { PartStanding::Held } else { PartStanding::Loose }
}

fn unit_events(
    book: &Book,
    scope: &PlanScope,
    course: &CourseJob,
    machine: &WorldMachine,
) -> Vec<Vec<WorldEvent>> {
    let compiler = EventCompiler { book, scope, machine };
    let mut events: Vec<Vec<WorldEvent>> = course
        .job
        .nodes
        .iter()
        .map(|steps| steps.iter().map(|draft| compiler.event_of_step(draft)).collect())
        .collect();
    for part in book.part_ids() {
        let Some(thing) = machine.thing_of_part(part) else { continue };
        let Some(node) = last_closing_node(&course.job, part) else { continue };
        let closes = |d: &StepDraft| {
            d.part == Some(part) && matches!(d.kind, StepKind::RunIn | StepKind::Tighten | StepKind::Refit)
        };
        if let Some(at) = course.job.nodes[node].iter().rposition(closes) {
            events[node][at].sets.push((thing, PartStanding::Held.index()));
        }
    }
    events
}

/// Compiles steps into events.
struct EventCompiler<'a> {
    book: &'a Book,
    scope: &'a PlanScope,
    machine: &'a WorldMachine,
}

impl EventCompiler<'_> {
    fn event_of_step(&self, draft: &StepDraft) -> WorldEvent {
        let mut event = WorldEvent {
            needs: self.machine.station_needs[draft.station.index()].clone(),
            ..WorldEvent::default()
        };
        for act in acts_of_step(self.book, self.scope, draft) {
            event.needs.extend(self.machine.compile_needs(&act.needs));
        }
        event.sets.extend(self.machine.compile_effects(&draft.sets));
        let thing = draft.part.and_then(|part| self.machine.thing_of_part(part));
        match (draft.kind, thing) {
            (StepKind::Undo, Some(thing)) => event.loosens = Some(thing),
            (StepKind::Remove, Some(thing)) => event.sets.push((thing, PartStanding::Off.index())),
            (StepKind::Refit, Some(thing)) => event.sets.push((thing, PartStanding::Loose.index())),
            _ => {}
        }
        event
    }
}

/// The settings that a step of a plan changes besides the standing of its part.
#[must_use]
pub fn sets_of_step(book: &Book, scope: &PlanScope, draft: &StepDraft) -> Vec<model::SettingEffect> {
    let is_rest = draft.kind == StepKind::Undo && !is_loosening_step(book, scope, draft);
    let acts = acts_of_step(book, scope, draft);
    // Undoing asks what taking off asks, and taking off sets what it sets.
    if is_rest { Vec::new() } else { acts.into_iter().flat_map(|act| act.sets.iter().copied()).collect() }
}

/// What a step asks of the world: what its place asks, and its acts.
pub(super) fn needs_of_step(book: &Book, scope: &PlanScope, draft: &StepDraft) -> Vec<model::WorldNeed> {
    let of_place = book.station(draft.station).needs.iter();
    let of_acts = acts_of_step(book, scope, draft).into_iter().flat_map(|act| &act.needs);
    of_place.chain(of_acts).copied().collect()
}

/// The acts of the book that a step does.
fn acts_of_step<'b>(book: &'b Book, scope: &PlanScope, draft: &StepDraft) -> Vec<&'b ActWorld> {
    let part = draft.part.map(|part| &book.part(part).world);
    let condition = draft.condition.map(|id| book.condition(id));
    match draft.kind {
        StepKind::Undo if is_loosening_step(book, scope, draft) => {
            draft.fixings.iter().map(|f| &book.fixing(*f).world.loosening).collect()
        }
        StepKind::Undo | StepKind::Remove => part.map(|part| &part.taking_off).into_iter().collect(),
        StepKind::Refit => part.map(|part| &part.setting_on).into_iter().collect(),
        StepKind::Tighten => draft.fixings.iter().map(|f| &book.fixing(*f).world.tightening).collect(),
        StepKind::Open | StepKind::Drain => condition.map(|c| &c.making).into_iter().collect(),
        StepKind::Fill | StepKind::Restore => condition.map(|c| &c.undoing).into_iter().collect(),
        StepKind::Renew | StepKind::Inspect | StepKind::Measure | StepKind::Reseal => {
            draft.task.map(|task| &book.task(task).world).into_iter().collect()
        }
        // What is not tightened is done once it is run in, so that running in asks what tightening would.
        StepKind::RunIn => {
            let untightened = draft.fixings.iter().map(|f| book.fixing(*f));
            let untightened = untightened.filter(|f| model::progress::passes_to_tighten(f) == 0);
            untightened.map(|f| &f.world.tightening).collect()
        }
        StepKind::Wait | StepKind::Cap | StepKind::Uncap | StepKind::Extra | StepKind::Set => Vec::new(),
    }
}
