//! What the acts of a step ask of the world, and what they do to it.
//!
//! | step | asks |
//! |---|---|
//! | undo | the fixing's `loosening` to break loose; where it tells nothing of it, and to run out, the part's `taking_off` |
//! | remove, refit | the part's `taking_off`, `setting_on` |
//! | tighten | `tightening` of each fixing; of one that has nothing to tighten, with its running in |
//! | open, drain; fill, restore | the condition's `making`; `undoing` |
//! | a task's own work | the task's `doing` |
//!
//! Undoing a fixing asks what taking its part off asks, and sets nothing of it: that happens when the part comes off.

use super::values::ReplayedWorld;
use crate::FoundViolations;
use crate::case::PlanCase;
use crate::replay::{touches_of_action, wanted_stages};
use model::plan::{Step, StepKind};
use model::progress::Progress;
use model::{Act, ActWorld, FixingId, PartStanding, SettingEffect, WorldNeed};
use std::collections::BTreeSet;

/// What one text of the book asks of a step, and what it says that the step sets.
pub(super) struct AskedNeeds<'a> {
    /// Whose text it is: "station `arch`".
    pub asker: String,
    pub needs: &'a [WorldNeed],
    pub sets: &'a [SettingEffect],
}

impl<'a> AskedNeeds<'a> {
    fn of_act(asker: String, act: &'a ActWorld) -> Self {
        Self { asker, needs: &act.needs, sets: &act.sets }
    }
}

/// All texts that a step has to keep, its station's first; none for a wait or a change of a setting.
pub(super) fn needs_of_step<'a>(case: &PlanCase<'a>, step: &Step) -> Vec<AskedNeeds<'a>> {
    let mut asked = Vec::new();
    if let Some(station) = case.book.stations.iter().find(|s| s.key == step.station) {
        let asker = format!("station `{}`", station.key);
        asked.push(AskedNeeds { asker, needs: &station.needs, sets: &[] });
    }
    let part = || case.part_of_step(step).map(|id| case.book.part(id));
    let condition = || case.condition_of_step(step).map(|id| case.book.condition(id));
    let text = match step.kind {
        StepKind::Remove => {
            part().map(|p| AskedNeeds::of_act(format!("taking off `{}`", p.key), &p.world.taking_off))
        }
        StepKind::Refit => {
            part().map(|p| AskedNeeds::of_act(format!("setting on `{}`", p.key), &p.world.setting_on))
        }
        StepKind::Open | StepKind::Drain => {
            condition().map(|c| AskedNeeds::of_act(format!("making `{}`", c.key), &c.making))
        }
        StepKind::Fill | StepKind::Restore => {
            condition().map(|c| AskedNeeds::of_act(format!("undoing `{}`", c.key), &c.undoing))
        }
        StepKind::Renew | StepKind::Inspect | StepKind::Measure | StepKind::Reseal => {
            let task = step.task.as_ref().and_then(|key| case.book.task_by_key(key));
            task.map(|id| case.book.task(id))
                .map(|t| AskedNeeds::of_act(format!("doing `{}`", t.key), &t.world))
        }
        StepKind::Undo | StepKind::RunIn | StepKind::Tighten => {
            asked.extend(needs_of_fixings(case, step));
            None
        }
        StepKind::Wait | StepKind::Cap | StepKind::Uncap | StepKind::Extra | StepKind::Set => None,
    };
    asked.extend(text);
    asked
}

/// The acts that a step does to each fixing, once each.
fn acts_of_step(case: &PlanCase, step: &Step) -> BTreeSet<(FixingId, Act)> {
    let duties = step.actions.iter().filter_map(|action| case.duty_of_action(action));
    duties.map(|duty| (duty.id, duty.line.act)).collect()
}

fn needs_of_fixings<'a>(case: &PlanCase<'a>, step: &Step) -> Vec<AskedNeeds<'a>> {
    let mut asked = Vec::new();
    let mut taken_off = BTreeSet::new();
    let acts = acts_of_step(case, step);
    for (id, act) in &acts {
        let fixing = case.book.fixing(*id);
        let world = &fixing.world;
        let tightens = match act {
            Act::Free if !world.loosening.is_untold() => {
                asked.push(AskedNeeds::of_act(format!("breaking `{}` loose", fixing.key), &world.loosening));
                false
            }
            Act::Free | Act::RunOut => {
                if taken_off.insert(fixing.part) {
                    let part = case.book.part(fixing.part);
                    let (asker, act) = (format!("taking off `{}`", part.key), &part.world.taking_off);
                    asked.push(AskedNeeds { sets: &[], ..AskedNeeds::of_act(asker, act) });
                }
                false
            }
            Act::RunIn => wanted_stages(fixing).is_empty(),
            Act::Tighten => true,
        };
        if tightens {
            asked.push(AskedNeeds::of_act(format!("tightening `{}`", fixing.key), &world.tightening));
        }
    }
    asked
}

/// J630: a fixing that tells of its loosening is broken loose in a step of its own, and run out in a later one.
pub(super) fn judge_loosening_alone(case: &PlanCase, step: &Step, at: &str, found: &mut FoundViolations) {
    let acts = acts_of_step(case, step);
    for (id, _) in acts.iter().filter(|(_, act)| *act == Act::Free) {
        let fixing = case.book.fixing(*id);
        if !fixing.world.loosening.is_untold() && acts.contains(&(*id, Act::RunOut)) {
            let words = format!("`{}` is broken loose and run out in one step", fixing.key);
            found.add("J630", at, words);
        }
    }
}

/// What a step does to parts and fasteners.
pub(super) fn take_effect(case: &PlanCase, step: &Step, world: &mut ReplayedWorld) {
    for touch in step.actions.iter().flat_map(|action| touches_of_action(case, action)) {
        world.touch_fastener(touch);
    }
    match (step.kind, case.part_of_step(step)) {
        (StepKind::Remove, Some(part)) => world.move_part(part, PartStanding::Off),
        (StepKind::Refit, Some(part)) => world.move_part(part, PartStanding::Held),
        _ => {}
    }
}

/// An extra step of a rest that brings its fasteners out.
pub(super) fn bring_out_extra(case: &PlanCase, progress: &Progress, step: &Step, world: &mut ReplayedWorld) {
    let extra = progress.extra.iter().find(|extra| Some(&extra.key) == step.extra.as_ref());
    let Some(extra) = extra.filter(|e| e.brings_out && step.kind == StepKind::Extra) else { return };
    let Some(id) = extra.fixing.as_ref().and_then(|key| case.book.fixing_by_key(key)) else { return };
    for (at, hole) in case.book.fixing(id).holes.iter().enumerate() {
        if extra.holes.contains(&hole.label) {
            world.bring_out(id, at as u16);
        }
    }
}
