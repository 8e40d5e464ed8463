//! The standing of each step, derived from the state alone: which is done, which is under way, which is next.
//!
//! A step is never ticked off by its number. It is done when what it requires is the case: its holes have the marks, its part is
//! off, its caps are in. So a plan that was made anew finds the work that is done, whatever its steps are called there, and
//! work done out of order counts. What a plan asks to undo again after it was refitted is open until it is undone again:
//! only what came off since the plan came into force counts as undone and refitted by it. How a step that brings a setting of
//! the vehicle to a value is told from another one that brings it there again is in `settings`.

mod passes;
mod settings;
mod standing;

use model::plan::{Plan, Step};
use model::{Book, plan};
use serde::{Deserialize, Serialize};

use crate::names::BookByKey;
use crate::{FastenerKey, Visit};

pub use standing::wait_title;
pub(crate) use standing::{StepRulesContext, is_extra_of};

/// The standing of a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum StepStanding {
    /// Nothing of it is done.
    Open,
    /// Some of it is done.
    UnderWay,
    /// All of it is done.
    Done,
}

/// One act that is left to be done on a fastener.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct RemainingStepAct {
    /// Which fastener.
    pub fastener: FastenerKey,
    /// The act.
    pub act: model::Act,
    /// The pass of tightening that it completes, counted from 1.
    pub pass: Option<u8>,
}

/// The standing of one step of the plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PlanStepView {
    /// Number in this plan.
    pub number: u32,
    /// Its state.
    pub standing: StepStanding,
    /// What is left to be done on its fasteners, in the order of the work.
    pub left: Vec<RemainingStepAct>,
    /// Acts on fasteners in all.
    pub acts: u32,
    /// What is left of set-up, work and wait, s.
    pub left_s: f64,
}

impl PlanStepView {
    /// Fasteners with something left, each once, in the order of the work.
    #[must_use]
    pub fn remaining_fasteners(&self) -> Vec<&FastenerKey> {
        let mut seen = std::collections::BTreeSet::new();
        self.left.iter().map(|l| &l.fastener).filter(|f| seen.insert(*f)).collect()
    }
}

/// The standing of the whole plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PlanStepsView {
    /// Every step, in the order of strip, work and refit.
    pub steps: Vec<PlanStepView>,
    /// Position of the first step that is not done; `None`: all is done.
    pub next: Option<usize>,
    /// Steps done.
    pub done: usize,
    /// What is left of set-up, work and wait, s.
    pub left_s: f64,
    /// Set-up, work and wait of the whole plan, s.
    pub all_s: f64,
}

impl PlanStepsView {
    /// The standing of every step of the plan.
    #[must_use]
    pub fn of_plan(visit: &Visit, book: &Book, plan: &Plan) -> Self {
        let names = BookByKey::new(Some(book));
        let scene = StepRulesContext::new(visit, &names, plan);
        let all: Vec<&Step> = steps_of(plan).collect();
        let mut views: Vec<PlanStepView> = all.iter().map(|step| scene.view_step(step)).collect();
        close_passed_waits(&all, &mut views);
        let left_s = views.iter().map(|v| v.left_s).sum();
        let all_s = all.iter().map(|s| s.total_s()).sum();
        let next = views.iter().position(|v| v.standing != StepStanding::Done);
        let done = views.iter().filter(|v| v.standing == StepStanding::Done).count();
        Self { steps: views, next, done, left_s, all_s }
    }

    /// A step by its number in this plan.
    #[must_use]
    pub fn step_numbered(&self, number: u32) -> Option<&PlanStepView> {
        self.steps.iter().find(|s| s.number == number)
    }

    /// The next steps that are not done, from the next on.
    pub fn steps_ahead(&self) -> impl Iterator<Item = &PlanStepView> {
        self.steps.iter().filter(|s| s.standing != StepStanding::Done)
    }

    /// How much of the plan's time is behind, 0 to 1; 1 for a plan without time.
    #[must_use]
    pub fn done_fraction(&self) -> f64 {
        if self.all_s > 0.0 { (1.0 - self.left_s / self.all_s).clamp(0.0, 1.0) } else { 1.0 }
    }
}

/// All steps of a plan in order.
pub fn steps_of(plan: &Plan) -> impl Iterator<Item = &Step> {
    [&plan.strip, &plan.work, &plan.refit].into_iter().flat_map(|s| s.steps.iter())
}

/// A wait is over at the latest when the step that it held back has begun.
fn close_passed_waits(steps: &[&Step], views: &mut [PlanStepView]) {
    for at in (0..steps.len().saturating_sub(1)).rev() {
        let begun = views[at + 1].standing != StepStanding::Open;
        if steps[at].kind == plan::StepKind::Wait && begun {
            views[at].standing = StepStanding::Done;
            views[at].left_s = 0.0;
        }
    }
}
