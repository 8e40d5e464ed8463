//! Tightening: is every joint run in first, and tightened stage by stage over all its holes?
//!
//! Fixings of one part with the same joint name are one joint. A fixing without a joint name and without a stated pattern is
//! judged station by station, because its holes may be tightened from several positions one after another.

use crate::FoundViolations;
use crate::case::{PlanCase, step_place};
use crate::replay::{touches_of_action, wanted_stages};
use model::plan::Step;
use model::{Act, FixingId, PatternRule, StationId};
use std::collections::BTreeMap;

/// What counts as one joint.
type JointIdentity = (usize, String, Option<StationId>);

/// One fastener's turn: its step as a message names it, and the pass.
struct ReplayedTurn {
    at: String,
    pass: usize,
}

/// J610 stages and passes, J616 run-in before tightening.
pub(crate) fn judge_tightening(case: &PlanCase, found: &mut FoundViolations) {
    let mut done: BTreeMap<(FixingId, u16), Vec<u8>> = BTreeMap::new();
    let mut joints: BTreeMap<JointIdentity, Vec<ReplayedTurn>> = BTreeMap::new();
    for (at, step) in case.plan.refit.steps.iter().enumerate() {
        for action in &step.actions {
            let Some(duty) = case.duty_of_action(action) else { continue };
            let station = case.station_of_duty(&duty);
            for touch in touches_of_action(case, action).into_iter().filter(|t| t.act == Act::Tighten) {
                let stages = done.entry((touch.fixing, touch.hole)).or_default();
                let passes = duty.fixing.tightening.stages.len();
                let stage = touch.stage.unwrap_or_default();
                let pass = if stages.len() >= passes {
                    closing_pass_number(case, touch.fixing)
                } else {
                    usize::from(stage)
                };
                stages.push(stage);
                let turn = ReplayedTurn { at: step_place("refit", step), pass };
                joints.entry(joint_of_fixing(case, touch.fixing, station)).or_default().push(turn);
            }
        }
        judge_run_in_first(case, at, step, found);
    }
    for turns in joints.values() {
        let early = turns.windows(2).find(|w| w[1].pass < w[0].pass);
        if let Some(early) = early {
            found.add(
                "J610",
                early[1].at.clone(),
                "a stage starts before the whole joint has been through the previous one",
            );
        }
    }
    judge_stages_of_holes(case, &done, found);
}

/// The pass number of the closing pass: one after the last stage of the fixing with most stages.
fn closing_pass_number(case: &PlanCase, id: FixingId) -> usize {
    joint_members(case, id).map(|f| case.book.fixing(f).tightening.stages.len()).max().unwrap_or_default()
}

/// The fixings of a fixing's joint.
fn joint_members<'c>(case: &'c PlanCase, id: FixingId) -> impl Iterator<Item = FixingId> + 'c {
    let it = case.book.fixing(id);
    let same = move |f: &FixingId| *f == id || (it.joint.is_some() && case.book.fixing(*f).joint == it.joint);
    case.book.fixings_of(it.part).filter(same)
}

fn joint_of_fixing(case: &PlanCase, id: FixingId, station: StationId) -> JointIdentity {
    let it = case.book.fixing(id);
    match &it.joint {
        Some(name) => (it.part.index(), format!("joint {name}"), None),
        None => {
            let by_station = it.tightening.pattern == PatternRule::Auto;
            (it.part.index(), format!("fixing {}", it.key), by_station.then_some(station))
        }
    }
}

fn judge_run_in_first(case: &PlanCase, at: usize, step: &Step, found: &mut FoundViolations) {
    for action in &step.actions {
        let Some(duty) = case.duty_of_action(action).filter(|d| d.line.act == Act::Tighten) else { continue };
        for member in joint_members(case, duty.id) {
            let late = case.plan.refit.steps.iter().skip(at + 1);
            let mut late = late.flat_map(|s| &s.actions).filter_map(|a| case.duty_of_action(a));
            if late.any(|d| d.id == member && d.line.act == Act::RunIn) {
                let words = format!("tightened before `{}` is run in", case.book.fixing(member).key);
                found.add("J616", step_place("refit", step), words);
            }
        }
    }
}

/// Stages by their numbers from 1; "none" where there are none.
fn join_stage_numbers(stages: &[u8]) -> String {
    if stages.is_empty() {
        return String::from("none");
    }
    stages.iter().map(|stage| (u16::from(*stage) + 1).to_string()).collect::<Vec<_>>().join(", ")
}

fn judge_stages_of_holes(
    case: &PlanCase,
    done: &BTreeMap<(FixingId, u16), Vec<u8>>,
    found: &mut FoundViolations,
) {
    for fixing in case.fixings_off() {
        let it = case.book.fixing(fixing);
        let wanted = wanted_stages(it);
        for (at, hole) in it.holes.iter().enumerate() {
            let stages = done.get(&(fixing, at as u16)).map_or(&[][..], |s| s);
            if stages != wanted {
                let (done, wanted) = (join_stage_numbers(stages), join_stage_numbers(&wanted));
                let words = format!("hole {} of `{}`: stages {done}, not {wanted}", hole.label, it.key);
                found.add("J610", "refit", words);
            }
        }
    }
}
