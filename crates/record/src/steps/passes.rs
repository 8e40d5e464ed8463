//! Which pass of tightening each act of a plan completes.
//!
//! A plan tightens stage by stage and may close with one more turn at the last torque. The first time that a plan comes to a
//! hole with a stage, it completes the pass of that stage; a further time, and the last of all for that hole, completes all.

use std::collections::{BTreeMap, BTreeSet};

use model::Act;
use model::plan::Plan;

use crate::names::{BookByKey, passes_of_fixing};

/// Step number, position of the action, hole label → the pass that is done by then, counted from 1.
pub(super) type PassTargets<'a> = BTreeMap<(u32, usize, &'a str), u8>;

pub(super) fn find_pass_targets<'a>(plan: &'a Plan, names: &BookByKey<'_>) -> PassTargets<'a> {
    let mut targets = PassTargets::new();
    let mut seen: BTreeSet<(&str, &str, u8)> = BTreeSet::new();
    let mut last: BTreeMap<(&str, &str), (u32, usize, u8)> = BTreeMap::new();
    for step in super::steps_of(plan) {
        for (at, action) in step.actions.iter().enumerate() {
            let Some(duty) = plan.duties.get(action.duty).filter(|d| d.act == Act::Tighten) else { continue };
            let all = names.fixing(&duty.fixing).map_or(u8::MAX, passes_of_fixing);
            let stage = duty.stage.unwrap_or_default();
            for hole in &action.holes {
                let is_first = seen.insert((&duty.fixing, hole, stage));
                let pass = if is_first { stage.saturating_add(1).min(all) } else { all };
                targets.insert((step.number, at, hole), pass);
                last.insert((&duty.fixing, hole), (step.number, at, all));
            }
        }
    }
    for ((_, hole), (number, at, all)) in last {
        targets.insert((number, at, hole), all);
    }
    targets
}
