//! The plan's JSON, version [`super::PLAN_FORMAT`]: one list of steps from the present world to the goal.
//!
//! A plan in memory keeps strip, work and refit apart; here they are one list, in which each step names its `stretch`. What
//! follows from other fields (`holes`, `stacks`, `begins`, `lasts`, `records`) stands beside each step for whoever reads
//! one step alone; it may be left out of a plan to be read, and where it does not agree the judge says so ([`Plan::amiss`]).

use serde::{Deserialize, Serialize};

use super::{
    CourseMoves, CourseOutcome, DutyLine, JobPhase, Kit, MixUpLine, Plan, PlanInputs, Readiness, SlotLine,
    StackLine, StackPieceShape, Step, StepAction, StepKind, StepName, StepSequence, WayIn,
};
use crate::{Caution, PieceKind, PieceLink, SettingChange, SlotAddress, SolverOutcome};

/// Seconds by which `begins` and `lasts` may differ from what the steps add up to.
const ROUNDING_S: f64 = 1e-3;

/// A plan as its JSON has it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PlanDocument {
    format: String,
    book: String,
    book_title: String,
    store_title: String,
    currency: String,
    asked: PlanInputs,
    /// How good the order is, the whole of it: finish in seconds and the price of the moves.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    outcome: Option<SolverOutcome>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    moves: Option<CourseMoves>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    least_moves: Option<u32>,
    way_in: WayIn,
    duties: Vec<DutyLine>,
    stacks: Vec<StackDocument>,
    kit: Kit,
    steps: Vec<StepDocument>,
    slots: Vec<SlotLine>,
    mix_ups: Vec<MixUpLine>,
    readiness: Readiness,
}

/// A stack as its JSON has it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
struct StackDocument {
    id: String,
    pieces: Vec<StackPieceDocument>,
    hold: Vec<String>,
    words: String,
}

/// A piece of a stack, with its kind and both of its links.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
struct StackPieceDocument {
    piece: String,
    kind: PieceKind,
    toward_fastener: Option<PieceLink>,
    toward_hand: Option<PieceLink>,
}

/// A step as its JSON has it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StepDocument {
    number: u32,
    /// The lasting name.
    #[serde(default)]
    name: StepName,
    /// `strip`, `work` or `refit`.
    stretch: JobPhase,
    kind: StepKind,
    station: String,
    text: String,
    part: Option<String>,
    fixings: Vec<String>,
    /// `fixing/hole`, in the order in which they are first worked.
    #[serde(default)]
    holes: Option<Vec<String>>,
    condition: Option<String>,
    opening: Option<String>,
    task: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    extra: Option<String>,
    /// The settings that it changes.
    #[serde(default)]
    sets: Vec<SettingChange>,
    /// Seconds from the start of the plan to the start of its set-up, or of the wait.
    #[serde(default)]
    begins: Option<f64>,
    /// Seconds that it lasts: set-up, work and waiting.
    #[serde(default)]
    lasts: Option<f64>,
    setup_s: f64,
    work_s: f64,
    wait_s: f64,
    /// Who does it.
    #[serde(default = "mechanic_alone")]
    by: Vec<StepHand>,
    /// What is written down when it is done.
    #[serde(default)]
    records: Option<Vec<StepRecord>>,
    actions: Vec<StepAction>,
    /// Ids of the stacks in use, in order of first use.
    #[serde(default)]
    stacks: Option<Vec<String>>,
    slot: Option<SlotAddress>,
    cautions: Vec<Caution>,
}

/// Who lends a hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum StepHand {
    Mechanic,
    Helper,
}

/// What a step writes down.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum StepRecord {
    /// A measured value.
    Reading,
    /// What was seen.
    Finding,
}

impl From<Plan> for PlanDocument {
    fn from(plan: Plan) -> Self {
        let mut clock_s = 0.0;
        let mut steps = Vec::new();
        for (stretch, sequence) in
            [(JobPhase::Strip, plan.strip), (JobPhase::Work, plan.work), (JobPhase::Refit, plan.refit)]
        {
            for step in sequence.steps {
                let lasts_s = step.total_s();
                steps.push(StepDocument::of_step(step, stretch, clock_s, &plan.duties));
                clock_s += lasts_s;
            }
        }
        let (outcome, moves, least_moves) = plan.course.map_or((None, None, None), |course| {
            (Some(course.outcome), Some(course.moves), Some(course.least_moves))
        });
        Self {
            format: plan.format,
            book: plan.book,
            book_title: plan.book_title,
            store_title: plan.store_title,
            currency: plan.currency,
            asked: plan.asked,
            outcome,
            moves,
            least_moves,
            way_in: plan.way_in,
            duties: plan.duties,
            stacks: plan.stacks.into_iter().map(StackDocument::of_line).collect(),
            kit: plan.kit,
            steps,
            slots: plan.slots,
            mix_ups: plan.mix_ups,
            readiness: plan.readiness,
        }
    }
}

impl From<PlanDocument> for Plan {
    fn from(document: PlanDocument) -> Self {
        let mut stretches = [Vec::new(), Vec::new(), Vec::new()];
        let mut amiss = Vec::new();
        let (mut clock_s, mut reached) = (0.0, JobPhase::Strip);
        for told in &document.steps {
            if told.stretch < reached {
                amiss.push(format!("step {}: its stretch is over where it stands", told.number));
            }
            reached = reached.max(told.stretch);
            let step = told.to_step();
            amiss.extend(told.fields_amiss(&step, clock_s, &document.duties));
            clock_s += step.total_s();
            stretches[told.stretch as usize].push(step);
        }
        let [strip, work, refit] = stretches.map(StepSequence::of_steps);
        let course = match (document.outcome, document.moves, document.least_moves) {
            (Some(outcome), Some(moves), Some(least_moves)) => {
                Some(CourseOutcome { outcome, moves, least_moves })
            }
            (None, None, None) => None,
            _ => {
                amiss.push(String::from("`outcome`, `moves` and `least_moves` stand together or not at all"));
                None
            }
        };
        Self {
            format: document.format,
            book: document.book,
            book_title: document.book_title,
            store_title: document.store_title,
            currency: document.currency,
            asked: document.asked,
            way_in: document.way_in,
            duties: document.duties,
            stacks: document.stacks.into_iter().map(StackDocument::into_line).collect(),
            kit: document.kit,
            strip,
            work,
            refit,
            course,
            slots: document.slots,
            mix_ups: document.mix_ups,
            readiness: document.readiness,
            amiss,
        }
    }
}

impl StackDocument {
    fn of_line(line: StackLine) -> Self {
        let piece = |(piece, shape): (String, StackPieceShape)| StackPieceDocument {
            piece,
            kind: shape.kind,
            toward_fastener: shape.toward_fastener,
            toward_hand: shape.toward_hand,
        };
        let pieces = line.pieces.into_iter().zip(line.shapes).map(piece).collect();
        Self { id: line.id, pieces, hold: line.hold, words: line.words }
    }

    fn into_line(self) -> StackLine {
        let shape = |p: &StackPieceDocument| StackPieceShape {
            kind: p.kind,
            toward_fastener: p.toward_fastener,
            toward_hand: p.toward_hand,
        };
        let shapes = self.pieces.iter().map(shape).collect();
        let pieces = self.pieces.into_iter().map(|p| p.piece).collect();
        StackLine { id: self.id, pieces, shapes, hold: self.hold, words: self.words }
    }
}

impl StepDocument {
    fn of_step(step: Step, stretch: JobPhase, begins_s: f64, duties: &[DutyLine]) -> Self {
        Self {
            number: step.number,
            stretch,
            kind: step.kind,
            holes: Some(holes_of_step(&step, duties)),
            begins: Some(begins_s),
            lasts: Some(step.total_s()),
            by: hands_of_step(step.helper),
            records: Some(records_of_kind(step.kind)),
            stacks: Some(stacks_of_step(&step)),
            name: step.name,
            station: step.station,
            text: step.text,
            part: step.part,
            fixings: step.fixings,
            condition: step.condition,
            opening: step.opening,
            task: step.task,
            extra: step.extra,
            sets: step.sets,
            setup_s: step.setup_s,
            work_s: step.work_s,
            wait_s: step.wait_s,
            actions: step.actions,
            slot: step.slot,
            cautions: step.cautions,
        }
    }

    fn to_step(&self) -> Step {
        let told = self.clone();
        Step {
            number: told.number,
            name: told.name,
            kind: told.kind,
            station: told.station,
            text: told.text,
            part: told.part,
            fixings: told.fixings,
            condition: told.condition,
            opening: told.opening,
            task: told.task,
            extra: told.extra,
            actions: told.actions,
            slot: told.slot,
            setup_s: told.setup_s,
            work_s: told.work_s,
            wait_s: told.wait_s,
            cautions: told.cautions,
            helper: told.by.contains(&StepHand::Helper),
            sets: told.sets,
        }
    }

    /// The fields that do not agree with the others, each with its step.
    fn fields_amiss(&self, step: &Step, begins_s: f64, duties: &[DutyLine]) -> Vec<String> {
        let near = |told: Option<f64>, own: f64| told.is_none_or(|told| (told - own).abs() <= ROUNDING_S);
        let records = records_of_kind(step.kind);
        let agrees = [
            ("begins", near(self.begins, begins_s)),
            ("lasts", near(self.lasts, step.total_s())),
            ("by", self.by == hands_of_step(step.helper)),
            ("records", self.records.as_ref().is_none_or(|told| *told == records)),
            ("holes", self.holes.as_ref().is_none_or(|told| *told == holes_of_step(step, duties))),
            ("stacks", self.stacks.as_ref().is_none_or(|told| *told == stacks_of_step(step))),
        ];
        let told =
            |(field, _)| format!("step {}: `{field}` does not agree with the rest of the plan", step.number);
        agrees.into_iter().filter(|(_, agrees)| !agrees).map(told).collect()
    }
}

fn mechanic_alone() -> Vec<StepHand> {
    hands_of_step(false)
}

fn hands_of_step(helper: bool) -> Vec<StepHand> {
    if helper { vec![StepHand::Mechanic, StepHand::Helper] } else { vec![StepHand::Mechanic] }
}

fn records_of_kind(kind: StepKind) -> Vec<StepRecord> {
    match kind {
        StepKind::Measure => vec![StepRecord::Reading],
        StepKind::Inspect => vec![StepRecord::Finding],
        _ => Vec::new(),
    }
}

fn stacks_of_step(step: &Step) -> Vec<String> {
    first_of_each(step.actions.iter().filter_map(|action| action.stack.clone()))
}

/// `fixing/hole` of all actions; a duty that the plan does not have is left to the judge.
fn holes_of_step(step: &Step, duties: &[DutyLine]) -> Vec<String> {
    let of_action = |action: &StepAction| {
        let fixing = duties.get(action.duty).map(|duty| duty.fixing.clone()).unwrap_or_default();
        action.holes.iter().map(move |hole| format!("{fixing}/{hole}")).collect::<Vec<_>>()
    };
    first_of_each(step.actions.iter().flat_map(of_action))
}

fn first_of_each(all: impl Iterator<Item = String>) -> Vec<String> {
    let mut seen = std::collections::BTreeSet::new();
    all.filter(|one| seen.insert(one.clone())).collect()
}
