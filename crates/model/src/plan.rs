//! The plan: what `traywright plan --json` prints and `traywright judge` reads, version [`PLAN_FORMAT`].
//!
//! Everything is named by the keys of book and store, so a plan can be read beside them and judged from them alone.
//! Fields end in their unit. Lists are in the order of the work or sorted by key; the same inputs give the same bytes.

mod document;
mod kit;
mod readiness;

pub use document::{PlanDocument, StepDocument};
pub use kit::{DoubtedDuty, InsteadStack, Kit, KitDoubt, KitLine, RoomCounts};
pub use readiness::{
    CapLine, Coverage, Gap, LookAnswer, LookLine, MissingFigureLine, NotAtHandLine, OpenKind, OpenLine,
    Readiness, ReadinessVerdict, ReadinessVerdicts, RescueLine, ShoppingLine, SupplyLine,
};

use crate::{
    Act, Caution, Drive, FastenerKind, HoleOrderOrigin, KeepPlace, MixUpKind, Piece, PieceKind, PieceLink,
    ReachVerdict, SettingChange, SlotAddress, SolverOutcome,
};
use serde::{Deserialize, Serialize};

/// The name and version of the plan's shape; the version rises when a field changes its meaning or goes.
pub const PLAN_FORMAT: &str = "traywright-plan/2";

/// What the kit is chosen for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum KitObjective {
    /// Least to buy, then least to carry.
    LeastToBuy,
    /// Least to carry.
    LeastToCarry,
    /// Quickest work.
    Quickest,
    /// The fewest pieces with which the acts take hardly longer than they can: see
    /// [`crate::rules::KIT_TIME_SLACK_FRACTION`].
    Balanced,
}

/// The inputs; with the same book and store they give the same plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PlanInputs {
    /// Letter that starts this vehicle's slots.
    pub vehicle: String,
    /// Task keys, sorted.
    pub tasks: Vec<String>,
    /// What the kit is chosen for.
    pub objective: KitObjective,
    /// Seed of all random choices.
    pub seed: u64,
    /// Threads.
    pub threads: u16,
    /// How much work the search may do, as seconds of an ordinary computer; what suits the size of the job where nothing is
    /// said. The same number gives the same plan on every machine.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seconds: Option<f64>,
    /// When the search is stopped by the clock, s; the plan then may be another on another machine.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stop_after_s: Option<f64>,
    /// Key of the goal that it leads to, where that is not the whole job.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub goal: Option<String>,
}

/// A plan; its JSON is mapped in one module, `document`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(from = "PlanDocument", into = "PlanDocument")]
pub struct Plan {
    /// [`PLAN_FORMAT`].
    pub format: String,
    /// Key of the book.
    pub book: String,
    /// Title of the book.
    pub book_title: String,
    /// Title of the store.
    pub store_title: String,
    /// Three-letter currency of all prices.
    pub currency: String,
    /// What was asked.
    pub asked: PlanInputs,
    /// What has to come off and to hold.
    pub way_in: WayIn,
    /// Every act on every fixing in the way, with its stack or without one.
    pub duties: Vec<DutyLine>,
    /// The stacks that the duties use.
    pub stacks: Vec<StackLine>,
    /// What has to lie on the cart.
    pub kit: Kit,
    /// Strip order.
    pub strip: StepSequence,
    /// The tasks' own work, between strip and refit.
    pub work: StepSequence,
    /// Refit order.
    pub refit: StepSequence,
    /// How good the order of all three together is, where the book tells of settings and they are planned as one.
    pub course: Option<CourseOutcome>,
    /// Where every fastener goes while it is off.
    pub slots: Vec<SlotLine>,
    /// Pairs of fixings that do harm when mixed up, or may, worst first.
    pub mix_ups: Vec<MixUpLine>,
    /// Go or no-go.
    pub readiness: Readiness,
    /// What a file that the plan was read from says that does not agree with the rest of it; nothing in a plan just made.
    pub amiss: Vec<String>,
}

/// A number of moves of one kind, and the least that any order of the same work has.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct MoveCount {
    /// How many the plan has.
    pub count: u32,
    /// No order has fewer.
    pub bound: u32,
}

/// Changes of place, moves of the lift and changes of tool.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct CourseMoves {
    /// Changes of working position.
    pub place: MoveCount,
    /// Moves of the lift.
    pub lift: MoveCount,
    /// Pieces taken up or put down.
    pub tools: MoveCount,
}

/// How good the order of strip, work and refit is, planned as one course.
#[derive(Debug, Clone, PartialEq)]
pub struct CourseOutcome {
    /// Finish in seconds with [`times::MOVE_PRICE_S`] for each move of place and lift, and the bound on any order.
    pub outcome: SolverOutcome,
    /// The moves, each told apart.
    pub moves: CourseMoves,
    /// The least changes of place and moves of the lift together.
    pub least_moves: u32,
}

/// Why something is in the way in.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(tag = "kind", content = "key", rename_all = "kebab-case")]
pub enum WayInReason {
    /// A task needs it.
    Task(String),
    /// Another part that cannot come off until this one has.
    Part(String),
    /// A condition cannot be made before.
    Condition(String),
}

/// A part that comes off.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PartOff {
    /// Part key.
    pub part: String,
    /// Way taken, where the part has ways.
    pub way: Option<String>,
    /// What forces it, sorted.
    pub because: Vec<WayInReason>,
}

/// A condition that has to be made.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ConditionMade {
    /// Condition key.
    pub condition: String,
    /// What forces it, sorted.
    pub because: Vec<WayInReason>,
}

/// The least set of parts and conditions for the tasks.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct WayIn {
    /// Parts, sorted by key.
    pub parts: Vec<PartOff>,
    /// Conditions, sorted by key.
    pub conditions: Vec<ConditionMade>,
    /// Hands-on seconds off and on again, and how sure it is that no way in costs less.
    pub outcome: SolverOutcome,
    /// Tasks not requested whose way is open anyway, sorted by key.
    pub also_open: Vec<String>,
}

/// One act on the holes of a fixing through one access.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DutyLine {
    /// Fixing key.
    pub fixing: String,
    /// Position of the access in the fixing.
    pub access: u16,
    /// The act.
    pub act: Act,
    /// Position of the tightening stage.
    pub stage: Option<u8>,
    /// Torque of the act, N·m.
    pub torque_n_m: Option<f64>,
    /// Stack id; `None` is a gap, or what is not known.
    pub stack: Option<String>,
    /// What is known about whether it can be done.
    pub sure: ReachVerdict,
    /// The figures that are assumed or not known, in words, where it is not proven.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rests_on: Vec<String>,
    /// Time for all its holes, s.
    pub seconds: f64,
    /// What to set the torque tool to, N·m.
    pub setting_n_m: Option<f64>,
    /// Force of the hand, N.
    pub force_n: Option<f64>,
    /// Where the order of the holes is from, where the act tightens.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hole_order: Option<HoleOrderOrigin>,
}

/// What a piece of a stack is and how it is joined.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StackPieceShape {
    /// What a person calls it.
    pub kind: PieceKind,
    /// Link on the fastener's side.
    pub toward_fastener: Option<PieceLink>,
    /// Link on the hand's side.
    pub toward_hand: Option<PieceLink>,
}

impl From<&Piece> for StackPieceShape {
    fn from(piece: &Piece) -> Self {
        Self { kind: piece.kind, toward_fastener: piece.toward_fastener, toward_hand: piece.toward_hand }
    }
}

/// A stack in use.
#[derive(Debug, Clone, PartialEq)]
pub struct StackLine {
    /// `S1`, `S2`, …
    pub id: String,
    /// Piece keys from the fastener to the hand; empty for the bare hand.
    pub pieces: Vec<String>,
    /// What each of the pieces is, in the same order.
    pub shapes: Vec<StackPieceShape>,
    /// Piece keys that hold the other side.
    pub hold: Vec<String>,
    /// One line of words.
    pub words: String,
}

units::worded! {
    /// Kind of a step.
    pub enum StepKind {
        /// Isolate or disconnect something, set and lock something.
        Open = "open",
        /// Drain a fluid.
        Drain = "drain",
        /// Wait for something.
        Wait = "wait",
        /// Undo a fixing.
        Undo = "undo",
        /// Lift a part off.
        Remove = "remove",
        /// Cap an opening.
        Cap = "cap",
        /// A task's own work.
        Renew = "renew",
        /// A task's own work.
        Inspect = "inspect",
        /// A task's own work.
        Measure = "measure",
        /// A task's own work.
        Reseal = "reseal",
        /// Take a cap away.
        Uncap = "uncap",
        /// Set a part in place.
        Refit = "refit",
        /// Start and run in the fasteners of a fixing.
        RunIn = "run-in" / "run in",
        /// Tighten a joint.
        Tighten = "tighten",
        /// Fill a fluid.
        Fill = "fill",
        /// Undo a condition at refit.
        Restore = "restore",
        /// A step that a happening requires.
        Extra = "extra",
        /// Bring a setting of the vehicle to another value.
        Set = "set",
    }
}

/// One act of a step, with the holes in the order of the work.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StepAction {
    /// Position in [`Plan::duties`].
    pub duty: usize,
    /// Hole labels in order.
    pub holes: Vec<String>,
    /// Stack id; `None` is a gap.
    pub stack: Option<String>,
    /// The figure, as the book writes it.
    pub figure: Option<String>,
}

/// The lasting name of a step: the same in every plan of a visit for as long as the step is to be done, so that a printed
/// card stays true. Words and keys joined by dots: `undo.top-cover-bolts`, `remove.top-cover`.
#[derive(Debug, Clone, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct StepName(pub String);

impl core::fmt::Display for StepName {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str(&self.0)
    }
}

impl StepName {
    /// The name as text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// One line of the plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Number, counted through strip, work and refit from 1; another plan numbers anew.
    pub number: u32,
    /// Lasting name.
    pub name: StepName,
    /// Kind.
    pub kind: StepKind,
    /// Station key.
    pub station: String,
    /// One sentence in the imperative.
    pub text: String,
    /// Part key.
    pub part: Option<String>,
    /// Fixing keys (several for a joint tightened as one).
    pub fixings: Vec<String>,
    /// Condition key.
    pub condition: Option<String>,
    /// Opening key.
    pub opening: Option<String>,
    /// Task key.
    pub task: Option<String>,
    /// Key of the extra step that it does, see [`crate::progress::ExtraStep`].
    pub extra: Option<String>,
    /// Acts, in order; a joint's acts go stage by stage round the pattern.
    pub actions: Vec<StepAction>,
    /// Slot where its fasteners go or come from.
    pub slot: Option<SlotAddress>,
    /// Station change, swaps and fetches before it, s.
    pub setup_s: f64,
    /// Hands-on time, s.
    pub work_s: f64,
    /// Time to wait before it can start, if nothing else is done meanwhile, s.
    pub wait_s: f64,
    /// Cautions before it.
    pub cautions: Vec<Caution>,
    /// Needs a second pair of hands.
    pub helper: bool,
    /// The settings that it changes, where the book tells of any.
    pub sets: Vec<SettingChange>,
}

units::worded! {
    /// One of the three sequences of a plan, in the order of the job.
    pub enum JobPhase {
        /// Everything in the way comes off.
        Strip = "strip",
        /// The tasks' own work.
        Work = "work",
        /// Everything goes back on.
        Refit = "refit",
    }
}

/// Steps in order, with their sums.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct StepSequence {
    /// Steps.
    pub steps: Vec<Step>,
    /// Sum of set-ups, s.
    pub setup_s: f64,
    /// Sum of work, s.
    pub work_s: f64,
    /// Sum of waits, s.
    pub wait_s: f64,
}

impl Step {
    /// Set-up, work and waiting, s.
    #[must_use]
    pub fn total_s(&self) -> f64 {
        self.setup_s + self.work_s + self.wait_s
    }
}

impl StepSequence {
    /// Steps in order, summed.
    #[must_use]
    pub fn of_steps(steps: Vec<Step>) -> Self {
        let setup_s = steps.iter().map(|s| s.setup_s).sum();
        let work_s = steps.iter().map(|s| s.work_s).sum();
        let wait_s = steps.iter().map(|s| s.wait_s).sum();
        Self { steps, setup_s, work_s, wait_s }
    }

    /// Set-ups, work and waiting of all steps, s.
    #[must_use]
    pub fn total_s(&self) -> f64 {
        self.setup_s + self.work_s + self.wait_s
    }
}

impl Plan {
    /// The three sequences, in the order of the job.
    #[must_use]
    pub const fn sequences(&self) -> [(JobPhase, &StepSequence); 3] {
        [(JobPhase::Strip, &self.strip), (JobPhase::Work, &self.work), (JobPhase::Refit, &self.refit)]
    }

    /// All steps in the order of the job.
    pub fn all_steps(&self) -> impl Iterator<Item = &Step> {
        self.sequences().into_iter().flat_map(|(_, sequence)| &sequence.steps)
    }

    /// Set-ups, work and waiting of strip, work and refit, s.
    #[must_use]
    pub fn total_s(&self) -> f64 {
        self.strip.total_s() + self.work.total_s() + self.refit.total_s()
    }
}

/// Where the fasteners of one fixing go.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SlotLine {
    /// Fixing key.
    pub fixing: String,
    /// The address; `scrap` where they are renewed.
    pub slot: SlotAddress,
    /// How it is kept.
    pub keep: KeepPlace,
    /// Number of fasteners.
    pub count: u16,
    /// Renewed at refit; the old ones are kept apart until hand-over.
    pub renewed: bool,
    /// Kind of fastener.
    pub kind: FastenerKind,
    /// Thread, length and class as a person writes them: "M6 × 25, 8.8".
    pub size: String,
    /// What the tool takes hold of.
    pub drive: Drive,
}

/// A pair of fixings that do harm when mixed up, or may.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct MixUpLine {
    /// The fixing whose fastener is put in the wrong hole.
    pub fastener_of: String,
    /// The fixing whose hole it is put in.
    pub hole_of: String,
    /// What happens, in one sentence with figures.
    pub words: String,
    /// What happens, the worst of it.
    pub consequence: MixUpKind,
    /// Whether both were kept apart in slots that do not touch.
    pub kept_apart: bool,
}
