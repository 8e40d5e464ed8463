//! From nodes in order to numbered steps: set-up, work and wait of each, as anyone can work them out again.
//!
//! A course starts with the bare hand, at the first station, and with no part in mind, and runs on through its three stretches. Step by step, waits left
//! out:
//!
//! * **Station.** If the step's station differs from that of the step before, its entering time.
//! * **Attention.** If the step has a part and the step before had another or none, [`times::ATTENTION_S`].
//! * **Swaps.** For each of its actions in turn that has a stack: from the stack in hand to the action's by the rule of
//!   [`model::rules`], counter-hold pieces included; it is then in hand. A gap changes nothing; nor does a step without actions.
//!
//! These three make `setup_s`. `work_s` is the fixed time of the step (lift, place, establish, restore, task work, way of a setting,
//! [`times::CAP_S`] a cap) plus, for each action with a stack, the time of one fastener times its holes.
//!
//! The clock of the course runs through set-ups, work and waits. A wait is a step of its own, of kind `wait`, with
//! `wait_s` and nothing else, at the station of the step before (the first station at the start), just before the step
//! that could not start; no other step has `wait_s`.

use std::collections::BTreeMap;

use model::plan::{JobPhase, StackLine, Step, StepAction, StepKind, StepName, StepSequence};
use model::{Book, ConditionId, PieceId, SettingChange, SettingEffect, Stack, StationId, Store};
use units::Duration;

use crate::course::write::{CourseLine, CourseLineWork};
use crate::job::{DutyRun, SequenceJob, StepDraft};
use crate::node_order::{hand_swap_s, swapped_pieces};
use crate::scope::PlanScope;
use crate::work;

/// Waits shorter than this are rounding.
const NO_WAIT_S: f64 = 1.0e-6;

/// Writes the three stretches of a course; keeps the numbers of steps and the ids of stacks.
pub struct StepWriter<'a> {
    book: &'a Book,
    scope: &'a PlanScope,
    /// Position of the working taken for each duty of the scope.
    pub picked: Vec<Option<u16>>,
    stacks: Vec<&'a Stack>,
    ids: BTreeMap<(Vec<PieceId>, Vec<PieceId>), usize>,
    number: u32,
    clock_s: f64,
    holds_at_s: BTreeMap<ConditionId, f64>,
    tools_moved: u32,
}

/// Where the mechanic is, and what he has in mind and in hand.
#[derive(Debug, Clone, PartialEq)]
pub struct MechanicPosition {
    /// Working position.
    pub station: StationId,
    /// Part in mind.
    pub part: Option<model::PartId>,
    /// Pieces in hand, sorted.
    pub hand: Vec<PieceId>,
    /// Whether the working position was already worked at.
    pub entered: bool,
}

impl MechanicPosition {
    /// The start of a course: the first station, no part in mind, the bare hand.
    #[must_use]
    pub const fn at_start() -> Self {
        Self { station: StationId::new(0), part: None, hand: Vec::new(), entered: false }
    }
}

impl<'a> StepWriter<'a> {
    /// A writer at the start of a plan.
    #[must_use]
    pub fn new(book: &'a Book, scope: &'a PlanScope) -> Self {
        Self {
            book,
            scope,
            picked: vec![None; scope.duties.len()],
            stacks: Vec::new(),
            ids: BTreeMap::new(),
            number: 0,
            clock_s: 0.0,
            holds_at_s: BTreeMap::new(),
            tools_moved: 0,
        }
    }

    /// Takes the workings of the choice of each node of a job.
    pub fn pick_choices(
        &mut self,
        job: &SequenceJob,
        problem: &crate::node_order::NodeOrderProblem,
        choices: &[Option<usize>],
    ) {
        for (node, steps) in job.nodes.iter().enumerate() {
            let Some(choice) = choices[node].map(|c| &problem.nodes[node].choices[c]) else {
                continue;
            };
            for (duty, working) in crate::job::duties_of_node(steps).into_iter().zip(&choice.workings) {
                self.picked[duty] = *working;
            }
        }
    }

    /// Notes that a condition holds only after a number of seconds from the start.
    pub fn holds_in(&mut self, condition: ConditionId, left_s: f64) {
        self.holds_at_s.insert(condition, left_s);
    }

    /// The steps of a course in its three stretches; see [`crate::course::write`].
    pub fn write_course(
        &mut self,
        job: &SequenceJob,
        lines: &[CourseLine],
        mut here: MechanicPosition,
    ) -> [StepSequence; 3] {
        let mut ends_s = vec![0.0; job.nodes.len()];
        let mut stretches: BTreeMap<JobPhase, Vec<Step>> = BTreeMap::new();
        for line in lines {
            let mut steps = Vec::new();
            match &line.what {
                CourseLineWork::Way(draft) => {
                    let station = if line.is_anywhere { here.station } else { draft.station };
                    steps.push(self.write_step(&StepDraft { station, ..draft.clone() }, &mut here));
                }
                CourseLineWork::Unit(node) => {
                    steps.extend(self.wait_step(job, *node, &ends_s, &here));
                    for draft in &job.nodes[*node] {
                        steps.push(self.write_step(draft, &mut here));
                    }
                    ends_s[*node] = self.clock_s;
                }
            }
            stretches.entry(line.stretch).or_default().append(&mut steps);
        }
        let mut sequence =
            |phase: JobPhase| StepSequence::of_steps(stretches.remove(&phase).unwrap_or_default());
        [sequence(JobPhase::Strip), sequence(JobPhase::Work), sequence(JobPhase::Refit)]
    }

    /// Pieces taken up and put down so far.
    #[must_use]
    pub const fn tools_moved(&self) -> u32 {
        self.tools_moved
    }

    fn wait_step(
        &mut self,
        job: &SequenceJob,
        node: usize,
        ends_s: &[f64],
        here: &MechanicPosition,
    ) -> Option<Step> {
        let lags = job.lags.iter().filter(|l| l.lag.to.contains(&node)).map(|l| {
            let from_s = l.lag.from.iter().map(|f| ends_s[*f]).fold(0.0, f64::max);
            (from_s + l.lag.wait_s, l.title.as_str(), l.condition)
        });
        let task = job.nodes[node].first().and_then(|d| d.task);
        let needed = task.into_iter().flat_map(|t| work::task_conditions(self.book, t));
        let held = needed.filter_map(|c| {
            Some((*self.holds_at_s.get(&c)?, self.book.condition(c).title.as_str(), Some(c)))
        });
        let (ready_s, title, condition) = lags.chain(held).max_by(|a, b| a.0.total_cmp(&b.0))?;
        let wait_s = ready_s - self.clock_s;
        if wait_s <= NO_WAIT_S {
            return None;
        }
        let text = format!("Wait {}: {title}.", Duration::from_s(wait_s).spoken_text());
        let mut draft = StepDraft::new(StepKind::Wait, here.station, text);
        draft.condition = condition;
        self.clock_s += wait_s;
        Some(Step { wait_s, ..self.bare_step(&draft) })
    }

    fn write_step(&mut self, draft: &StepDraft, here: &mut MechanicPosition) -> Step {
        let mut step = self.bare_step(draft);
        if draft.station != here.station {
            step.setup_s += self.book.station(draft.station).enter_s();
        }
        if draft.station != here.station || !here.entered {
            step.cautions.splice(0..0, self.book.station(draft.station).cautions.iter().cloned());
        }
        if draft.part.is_some() && draft.part != here.part {
            step.setup_s += times::ATTENTION_S;
        }
        (here.station, here.part, here.entered) = (draft.station, draft.part, true);
        step.work_s = draft.fixed_s;
        for run in &draft.runs {
            let action = self.write_action(run, here, &mut step);
            step.actions.push(action);
        }
        self.clock_s += step.setup_s + step.work_s;
        self.note_hold_up(draft);
        step
    }

    fn note_hold_up(&mut self, draft: &StepDraft) {
        if let (Some(condition), StepKind::Open | StepKind::Drain) = (draft.condition, draft.kind) {
            let hold_up_s = self.book.condition(condition).hold_up.as_s();
            self.holds_at_s.insert(condition, self.clock_s + hold_up_s);
        }
    }

    fn write_action(&mut self, run: &DutyRun, here: &mut MechanicPosition, step: &mut Step) -> StepAction {
        let duty = &self.scope.duties[run.duty];
        let fixing = self.book.fixing(duty.duty.fixing);
        let label = |h: &u16| fixing.holes[usize::from(*h)].label.clone();
        let mut action = StepAction {
            duty: run.duty,
            holes: run.holes.iter().map(label).collect(),
            stack: None,
            figure: run.figure.clone(),
        };
        if let Some(working) = self.picked[run.duty].map(|w| &duty.workings[usize::from(w)]) {
            let pieces = working.stack.all_pieces();
            step.setup_s += hand_swap_s(&here.hand, &pieces);
            self.tools_moved += swapped_pieces(&here.hand, &pieces);
            step.work_s += duty.seconds_each(self.book, working) * run.holes.len() as f64;
            here.hand = pieces;
            action.stack = Some(self.stack_id(&working.stack));
        }
        action
    }

    /// `S1`, `S2`, … in order of first use.
    fn stack_id(&mut self, stack: &'a Stack) -> String {
        let next = self.stacks.len();
        let at = *self.ids.entry((stack.pieces.clone(), stack.hold.clone())).or_insert(next);
        if at == next {
            self.stacks.push(stack);
        }
        format!("S{}", at + 1)
    }

    /// The id of a stack that a step uses.
    #[must_use]
    pub fn stack_id_of(&self, stack: &Stack) -> Option<String> {
        self.ids.get(&(stack.pieces.clone(), stack.hold.clone())).map(|at| format!("S{}", at + 1))
    }

    /// The stacks in use, in order of first use.
    #[must_use]
    pub fn stack_lines(&self, store: &Store) -> Vec<StackLine> {
        let line = |(at, stack): (usize, &&Stack)| stack_line(store, stack, format!("S{}", at + 1));
        self.stacks.iter().enumerate().map(line).collect()
    }

    fn bare_step(&mut self, draft: &StepDraft) -> Step {
        let book = self.book;
        self.number += 1;
        let mut fixings: Vec<String> = draft.fixings.iter().map(|f| book.fixing(*f).key.clone()).collect();
        fixings.sort();
        Step {
            number: self.number,
            name: StepName::default(),
            kind: draft.kind,
            station: book.station(draft.station).key.clone(),
            text: draft.text.clone(),
            part: draft.part.map(|p| book.part(p).key.clone()),
            fixings,
            condition: draft.condition.map(|c| book.condition(c).key.clone()),
            opening: draft.opening.map(|o| book.opening(o).key.clone()),
            task: draft.task.map(|t| book.task(t).key.clone()),
            extra: draft.extra.clone(),
            actions: Vec::new(),
            slot: None,
            setup_s: 0.0,
            work_s: 0.0,
            wait_s: 0.0,
            cautions: draft.cautions.clone(),
            helper: draft.helper,
            sets: draft.sets.iter().map(|set| setting_change(book, *set)).collect(),
        }
    }
}

/// A stack as the plan shows it.
#[must_use]
pub(crate) fn stack_line(store: &Store, stack: &Stack, id: String) -> StackLine {
    let key = |p: &PieceId| store.piece(*p).key.clone();
    StackLine {
        id,
        pieces: stack.pieces.iter().map(key).collect(),
        shapes: stack.pieces.iter().map(|p| store.piece(*p).into()).collect(),
        hold: stack.hold.iter().map(key).collect(),
        words: reach::describe_stack(store, stack),
    }
}

/// A setting's new value, by key and word.
fn setting_change(book: &Book, set: SettingEffect) -> SettingChange {
    let setting = book.setting(set.setting);
    SettingChange { setting: setting.key.clone(), value: setting.word(set.value).into() }
}
