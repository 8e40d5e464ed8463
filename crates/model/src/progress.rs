//! Progress: how far a half-done job is, and what happened on the way that the plan did not know, as plain data.
//!
//! Everything is named by the keys and labels of the book, and nothing needs the plan that was followed: a state read from a
//! journal, typed in or made up is enough to plan the rest. A fastener that is not listed is in place and untouched, a part
//! that is not listed was never off, a condition that is not listed does not hold.
//!
//! [`Progress::do_step`] and [`Progress::do_act`] record what a finished step or act leaves behind, so that the
//! journal and the planner agree. Both record what they are given and check nothing.

use std::collections::{BTreeMap, BTreeSet};

use crate::plan::{Plan, Step, StepAction, StepKind};
use crate::{Act, Book, FastenerState, Fixing, HoldsBack};
use serde::{Deserialize, Serialize};

/// One fastener: its state, and how many passes of tightening it has been through (the closing pass counts).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Serialize, Deserialize)]
pub struct FastenerProgress {
    /// Where it is.
    pub state: FastenerState,
    /// Passes done, in the order of the stages, then the closing pass.
    #[serde(default)]
    pub passes: u8,
}

/// Time of a wait that has begun and is not over: a hold-up of a condition, or a wait of a part at refit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BegunWait {
    /// Condition key, for a hold-up.
    pub condition: Option<String>,
    /// Part key, for a wait at refit.
    pub part: Option<String>,
    /// Position in [`crate::Part::refit_waits`], for a wait at refit.
    pub wait: u16,
    /// What is left of it, s.
    pub left_s: f64,
}

/// A point of the job that an extra step has to come after or before.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Default, Serialize, Deserialize)]
#[serde(tag = "kind", content = "key", rename_all = "kebab-case")]
pub enum JobPoint {
    /// At any time.
    #[default]
    Any,
    /// The first fastener of the fixing is freed.
    Undo(String),
    /// The part is lifted off.
    PartOff(String),
    /// The part is set in place.
    PartOn(String),
    /// The first fastener of the fixing is run in.
    RunIn(String),
    /// The first fastener of the fixing is tightened.
    Tighten(String),
    /// The task is done.
    Task(String),
    /// Another extra step is done.
    Extra(String),
    /// The refit begins.
    Refit,
}

/// A step that the book does not know: asked for by a happening or by the mechanic.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ExtraStep {
    /// Name, unique in the progress.
    pub key: String,
    /// One sentence in the imperative.
    pub text: String,
    /// Part that it is about; gives the station.
    pub part: Option<String>,
    /// Fixing that it is about.
    pub fixing: Option<String>,
    /// Hole labels.
    pub holes: Vec<String>,
    /// Hands-on time, s.
    pub work_s: f64,
    /// Wait after it before what comes after may start (penetrant, glue), s; once it is done, what is left of that.
    pub hold_up_s: f64,
    /// Comes after this.
    pub after: JobPoint,
    /// Comes before this.
    pub before: JobPoint,
    /// Brings its holes' fasteners out: they count as missing once it is done, and a new one is run in at refit.
    pub brings_out: bool,
    /// Needs a second pair of hands.
    pub helper: bool,
    /// Whether it is done.
    pub done: bool,
}

units::worded! {
    /// What kind of thing happened that the plan did not know.
    pub enum HappeningKind {
        /// A fastener will not break loose.
        Seized = "seized",
        /// Its head or drive is rounded off.
        Rounded = "rounded" / "rounded off",
        /// It broke; the rest is in the hole.
        Broken = "broken",
        /// The thread of the hole came out with it, or was stripped.
        ThreadCameOut = "thread-came-out" / "thread came out",
        /// Something in the way that the book does not have: a bracket, a clamp, an added loom.
        ExtraPart = "extra-part" / "extra part",
        /// A new part does not fit or is the wrong one.
        WrongPart = "wrong-part" / "wrong part",
        /// A part that has to be in hand is not there.
        PartMissing = "part-missing" / "part missing",
        /// A fastener is lost.
        Lost = "lost",
        /// Something fell into or behind the engine and has to be found.
        Dropped = "dropped",
        /// A fastener was missing when the work came to it.
        MissingWhenFound = "missing-when-found" / "missing when found",
        /// Found in another state than the book says: loose, another fastener, a repaired thread.
        FoundLikeThis = "found-like-this" / "found like this",
        /// The work was broken off; look again at what was closed last.
        Interrupted = "interrupted",
    }
}

impl HappeningKind {
    /// The state that it leaves its fasteners in; `None`: as they are.
    #[must_use]
    pub const fn state_left(self) -> Option<FastenerState> {
        match self {
            Self::Broken => Some(FastenerState::Broken),
            Self::ThreadCameOut => Some(FastenerState::Off),
            Self::Lost | Self::MissingWhenFound => Some(FastenerState::Missing),
            Self::Seized
            | Self::Rounded
            | Self::ExtraPart
            | Self::WrongPart
            | Self::PartMissing
            | Self::Dropped
            | Self::FoundLikeThis
            | Self::Interrupted => None,
        }
    }
}

/// Something that happened off the plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Happening {
    /// Name, unique in the job; the keys of its extra steps start with it.
    pub key: String,
    /// Kind.
    pub kind: HappeningKind,
    /// Fixing key.
    pub fixing: Option<String>,
    /// Hole labels; empty means all holes of the fixing that it can have happened to.
    pub holes: Vec<String>,
    /// Part key.
    pub part: Option<String>,
    /// The mechanic's own words.
    pub note: String,
    /// What to do about it; empty: the usual steps for its kind.
    pub extra: Vec<ExtraStep>,
}

/// The state of a half-done job.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Progress {
    /// Parts that are off now.
    pub parts_off: BTreeSet<String>,
    /// Parts that were off and are set in place again.
    pub parts_back: BTreeSet<String>,
    /// Conditions that were made and not undone.
    pub conditions: BTreeSet<String>,
    /// Conditions that were made and are undone again.
    pub conditions_undone: BTreeSet<String>,
    /// Fasteners that are not in place and untouched: fixing key, then hole label.
    pub fasteners: BTreeMap<String, BTreeMap<String, FastenerProgress>>,
    /// Openings that are capped now.
    pub capped: BTreeSet<String>,
    /// Openings whose caps were taken off again.
    pub uncapped: BTreeSet<String>,
    /// Tasks that are done.
    pub tasks_done: BTreeSet<String>,
    /// Waits that have begun and are not over.
    pub running: Vec<BegunWait>,
    /// Steps that the book does not know, done or not.
    pub extra: Vec<ExtraStep>,
    /// Station where the mechanic is; `None`: the first.
    pub station: Option<String>,
    /// Pieces in hand, by key.
    pub in_hand: Vec<String>,
    /// Values that settings have now, by key and word; the others have the book's value at the start.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub settings: BTreeMap<String, String>,
}

/// What was back in its place and is to be taken up again for another goal: it counts as untouched from then on.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct TakenUpAgain {
    /// Part keys.
    pub parts: BTreeSet<String>,
    /// Fixing keys.
    pub fixings: BTreeSet<String>,
    /// Opening keys.
    pub openings: BTreeSet<String>,
    /// Condition keys.
    pub conditions: BTreeSet<String>,
}

impl TakenUpAgain {
    /// Whether nothing is taken up again.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.parts.is_empty() && self.conditions.is_empty()
    }
}

impl Progress {
    /// One fastener.
    #[must_use]
    pub fn fastener(&self, fixing: &str, hole: &str) -> FastenerProgress {
        self.fasteners.get(fixing).and_then(|holes| holes.get(hole)).copied().unwrap_or_default()
    }

    /// Takes what is back in its place as untouched; a fastener that is run in and no more stands as loosened.
    pub fn take_up_again(&mut self, again: &TakenUpAgain) {
        self.parts_back.retain(|key| !again.parts.contains(key));
        self.uncapped.retain(|key| !again.openings.contains(key));
        self.conditions_undone.retain(|key| !again.conditions.contains(key));
        for fixing in &again.fixings {
            let Some(holes) = self.fasteners.get_mut(fixing) else { continue };
            holes.retain(|_, fastener| !fastener.state.is_done());
            for fastener in holes.values_mut().filter(|f| f.state == FastenerState::FingerTight) {
                *fastener = FastenerProgress { state: FastenerState::Freed, passes: 0 };
            }
        }
    }

    /// Puts one fastener into a state.
    pub fn set_fastener(&mut self, fixing: &str, hole: &str, fastener: FastenerProgress) {
        self.fasteners.entry(fixing.into()).or_default().insert(hole.into(), fastener);
    }

    /// Passes of tightening that every fastener of the given fixings has been through: the stage reached of a joint.
    #[must_use]
    pub fn stage_reached(&self, fixings: &[&Fixing]) -> u8 {
        let passes = fixings.iter().flat_map(|f| f.holes.iter().map(|h| self.passes_done(f, &h.label)));
        passes.min().unwrap_or_default()
    }

    /// Passes of tightening that a fastener has been through; all of them where it is tight.
    #[must_use]
    pub fn passes_done(&self, fixing: &Fixing, hole: &str) -> u8 {
        let fastener = self.fastener(&fixing.key, hole);
        if fastener.state.is_done() { passes_to_tighten(fixing) } else { fastener.passes }
    }

    /// Writes down one act on one fastener.
    pub fn do_act(&mut self, fixing: &Fixing, hole: &str, act: Act) {
        let mut fastener = self.fastener(&fixing.key, hole);
        fastener = match act {
            Act::Free if fixing.stays_when_freed() => {
                FastenerProgress { state: FastenerState::Freed, passes: 0 }
            }
            Act::Free | Act::RunOut => FastenerProgress { state: FastenerState::Off, passes: 0 },
            Act::RunIn => FastenerProgress { state: state_after_run_in(fixing), passes: 0 },
            Act::Tighten => {
                fastener.passes = fastener.passes.saturating_add(1);
                let through = fastener.passes >= passes_to_tighten(fixing);
                let state = if through { FastenerState::Tight } else { FastenerState::FingerTight };
                FastenerProgress { state, ..fastener }
            }
        };
        self.set_fastener(&fixing.key, hole, fastener);
    }

    /// Writes down an action of a plan's step, hole by hole; what names nothing of the book is passed over.
    pub fn do_action(&mut self, book: &Book, plan: &Plan, action: &StepAction) {
        let Some(duty) = plan.duties.get(action.duty) else { return };
        let Some(id) = book.fixing_by_key(&duty.fixing) else { return };
        for hole in &action.holes {
            self.do_act(book.fixing(id), hole, duty.act);
        }
        if let Some(stack) = plan.stacks.iter().find(|s| Some(&s.id) == action.stack.as_ref()) {
            self.in_hand = stack.pieces.iter().chain(&stack.hold).cloned().collect();
        }
    }

    /// Writes down a whole step of a plan, the time that it took included.
    pub fn do_step(&mut self, book: &Book, plan: &Plan, step: &Step) {
        self.let_time_pass(step.total_s());
        if step.kind == StepKind::Wait {
            return;
        }
        self.station = Some(step.station.clone());
        for action in &step.actions {
            self.do_action(book, plan, action);
        }
        match step.kind {
            StepKind::Open | StepKind::Drain => self.make_condition(book, step),
            StepKind::Fill | StepKind::Restore => self.undo_condition(step),
            StepKind::Remove => move_key(step.part.as_ref(), &mut self.parts_back, &mut self.parts_off),
            StepKind::Refit => move_key(step.part.as_ref(), &mut self.parts_off, &mut self.parts_back),
            StepKind::Cap => move_key(step.opening.as_ref(), &mut self.uncapped, &mut self.capped),
            StepKind::Uncap => move_key(step.opening.as_ref(), &mut self.capped, &mut self.uncapped),
            StepKind::Renew | StepKind::Inspect | StepKind::Measure | StepKind::Reseal => {
                self.tasks_done.extend(step.task.clone());
            }
            StepKind::Extra => self.do_extra(step.extra.as_deref().unwrap_or_default()),
            StepKind::Wait | StepKind::Undo | StepKind::RunIn | StepKind::Tighten | StepKind::Set => {}
        }
        let sets = step.sets.iter().map(|set| (set.setting.clone(), set.value.clone()));
        self.settings.extend(sets);
        self.begin_waits(book, step);
    }

    /// Lets time go by: what is left of the running waits grows less.
    pub fn let_time_pass(&mut self, gone_s: f64) {
        self.running.iter_mut().for_each(|r| r.left_s -= gone_s);
        self.running.retain(|r| r.left_s > 0.0);
        let begun = self.extra.iter_mut().filter(|e| e.done);
        begun.for_each(|e| e.hold_up_s = (e.hold_up_s - gone_s).max(0.0));
    }

    /// Writes down an extra step.
    pub fn do_extra(&mut self, key: &str) {
        let Some(extra) = self.extra.iter_mut().find(|e| e.key == key) else { return };
        extra.done = true;
        let (fixing, holes, out) = (extra.fixing.clone(), extra.holes.clone(), extra.brings_out);
        let Some(fixing) = fixing.filter(|_| out) else { return };
        for hole in holes {
            self.set_fastener(&fixing, &hole, FastenerProgress { state: FastenerState::Missing, passes: 0 });
        }
    }

    fn make_condition(&mut self, book: &Book, step: &Step) {
        let Some(condition) = book.conditions.iter().find(|c| Some(&c.key) == step.condition.as_ref()) else {
            return;
        };
        self.conditions_undone.remove(&condition.key);
        self.conditions.insert(condition.key.clone());
        let left_s = condition.hold_up.as_s();
        if left_s > 0.0 {
            let of = Some(condition.key.clone());
            self.running.push(BegunWait { condition: of, part: None, wait: 0, left_s });
        }
    }

    fn undo_condition(&mut self, step: &Step) {
        if let Some(key) = &step.condition {
            self.conditions.remove(key);
            self.conditions_undone.insert(key.clone());
            self.running.retain(|r| r.condition.as_ref() != Some(key));
        }
    }

    /// A part's waits start when it is set in place; waits that follow its last step restart with each of its steps.
    fn begin_waits(&mut self, book: &Book, step: &Step) {
        let is_on = matches!(step.kind, StepKind::Refit | StepKind::RunIn | StepKind::Tighten);
        let Some(part) = step.part.as_ref().filter(|_| is_on) else { return };
        let Some(id) = book.part_by_key(part) else { return };
        for (at, wait) in book.part(id).refit_waits.iter().enumerate() {
            if wait.holds_back == HoldsBack::Tightening && step.kind != StepKind::Refit {
                continue;
            }
            let at = at as u16;
            self.running.retain(|r| r.part.as_ref() != Some(part) || r.wait != at);
            let left_s = wait.time.as_s();
            self.running.push(BegunWait { condition: None, part: Some(part.clone()), wait: at, left_s });
        }
    }
}

/// A fastener with nothing to tighten is done once it is run in.
fn state_after_run_in(fixing: &Fixing) -> FastenerState {
    if passes_to_tighten(fixing) == 0 { FastenerState::Tight } else { FastenerState::FingerTight }
}

fn move_key(key: Option<&String>, from: &mut BTreeSet<String>, to: &mut BTreeSet<String>) {
    if let Some(key) = key {
        from.remove(key);
        to.insert(key.clone());
    }
}

/// Passes of tightening that each fastener of a fixing goes through, the closing pass included; one where the figure is
/// missing, so that running in alone makes no thread tight.
#[must_use]
pub fn passes_to_tighten(fixing: &Fixing) -> u8 {
    if !fixing.drive.is_turned() {
        return 0;
    }
    let stages = &fixing.tightening.stages;
    let torque = stages.iter().any(|s| s.target.torque().is_some());
    let closing = u8::from(fixing.tightening.closing_pass && torque);
    let own = if fixing.is_figure_missing() { stages.len().max(1) } else { stages.len() };
    u8::try_from(own).unwrap_or(u8::MAX).saturating_add(closing)
}
