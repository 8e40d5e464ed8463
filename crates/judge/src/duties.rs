//! Duties: is every hole of every fixing in the way worked through one open access, by all acts that it needs?

use crate::case::{DutyFacts, PlanCase};
use crate::{FoundViolations, figure_or_none, same_figure};
use model::{Act, Fixing, FixingId, StageTarget, rules};
use std::collections::{BTreeMap, BTreeSet};

/// J301 holes, J302 acts, J303 open accesses, J304 torques, J305 doubles, J306 fixings that stay on.
pub(crate) fn judge_duties(case: &PlanCase, found: &mut FoundViolations) {
    let mut seen = BTreeSet::new();
    for (at, duty) in case.duties.iter().enumerate() {
        let Some(duty) = duty else { continue };
        let place = format!("duty {at}");
        judge_one_duty(case, duty, &place, found);
        if !seen.insert((duty.id, duty.line.access, duty.line.act, duty.line.stage)) {
            found.add("J305", place, "the duty is listed twice");
        }
    }
    for fixing in case.fixings_off() {
        judge_holes_of_fixing(case, fixing, found);
    }
}

fn judge_one_duty(case: &PlanCase, duty: &DutyFacts, place: &str, found: &mut FoundViolations) {
    let key = &duty.fixing.key;
    match case.off.get(&duty.fixing.part) {
        None => found.add("J306", place, format!("fixing `{key}` belongs to a part that is not removed")),
        Some(way) if duty.access.way.is_some() && duty.access.way != *way => {
            found.add(
                "J303",
                place,
                format!("access {} of `{key}` is not open on the way taken", duty.line.access),
            );
        }
        Some(_) => {}
    }
    if !acts_of_fixing(duty.fixing).contains(&(duty.line.act, duty.line.stage)) {
        found.add("J302", place, format!("`{key}` has no act {}", duty.line.act));
    }
    let torque_n_m = duty_torque_n_m(duty);
    let agrees = match (torque_n_m, duty.line.torque_n_m) {
        (None, None) => true,
        (Some(a), Some(b)) => same_figure(a, b),
        _ => false,
    };
    if !agrees {
        let words = format!(
            "torque, N·m: {} by the book, {} in the plan",
            figure_or_none(torque_n_m),
            figure_or_none(duty.line.torque_n_m)
        );
        found.add("J304", place, words);
    }
}

/// The acts that a fastener of a fixing goes through.
fn acts_of_fixing(fixing: &Fixing) -> BTreeSet<(Act, Option<u8>)> {
    let mut acts = BTreeSet::from([(Act::Free, None), (Act::RunIn, None)]);
    if fixing.drive.is_turned() {
        if fixing.slackened {
            acts.remove(&(Act::RunIn, None));
        } else {
            acts.insert((Act::RunOut, None));
        }
        acts.extend((0..fixing.tightening.stages.len()).map(|s| (Act::Tighten, Some(s as u8))));
    }
    acts
}

/// The greatest tightening torque: the largest stage, or the end of an angle stage.
pub(crate) fn greatest_torque_n_m(fixing: &Fixing) -> Option<f64> {
    let mut most_n_m: Option<f64> = None;
    let mut angle = false;
    for stage in &fixing.tightening.stages {
        match stage.target {
            StageTarget::Torque(t) => most_n_m = Some(most_n_m.map_or(t.as_n_m(), |m| m.max(t.as_n_m()))),
            StageTarget::Angle(_) => angle = true,
            StageTarget::Seat | StageTarget::ByFeel | StageTarget::Loosen | StageTarget::NotKnown => {}
        }
    }
    let most_n_m = most_n_m?;
    let end_n_m = fixing.tightening.end_torque.map(units::Torque::as_n_m);
    let ratio = if angle { rules::ANGLE_STAGE_TORQUE_RATIO } else { 1.0 };
    Some(most_n_m.max(end_n_m.unwrap_or(most_n_m * ratio)))
}

/// The torque that an act takes.
pub(crate) fn duty_torque_n_m(duty: &DutyFacts) -> Option<f64> {
    let fixing = duty.fixing;
    if !fixing.drive.is_turned() {
        return None;
    }
    let reckoned_n_m = fixing.reckoned_torque.map(units::Torque::as_n_m);
    let most_n_m = greatest_torque_n_m(fixing).or(reckoned_n_m);
    match duty.line.act {
        Act::Free => {
            let history: f64 = fixing.history.iter().map(|(_, f)| f).product();
            most_n_m.map(|t| t * rules::BREAK_LOOSE_RATIO * history)
        }
        Act::RunOut | Act::RunIn => most_n_m.map(|t| t * rules::RUN_TORQUE_RATIO),
        Act::Tighten => match tightening_target(duty)? {
            StageTarget::Torque(t) => Some(t.as_n_m()),
            StageTarget::Angle(_) | StageTarget::Loosen => most_n_m,
            StageTarget::Seat | StageTarget::ByFeel | StageTarget::NotKnown => None,
        },
    }
}

/// What a tightening duty aims at.
pub(crate) fn tightening_target(duty: &DutyFacts) -> Option<StageTarget> {
    let stage = duty.line.stage.filter(|_| duty.line.act == Act::Tighten)?;
    duty.fixing.tightening.stages.get(usize::from(stage)).map(|s| s.target)
}

/// The holes that each act is done to.
type HolesByAct<'a> = BTreeMap<(Act, Option<u8>), &'a BTreeSet<u16>>;

fn judge_holes_of_fixing(case: &PlanCase, id: FixingId, found: &mut FoundViolations) {
    let fixing = case.book.fixing(id);
    let place = format!("fixing `{}`", fixing.key);
    let mut by_access: BTreeMap<u16, HolesByAct> = BTreeMap::new();
    for (duty, holes) in case.duties.iter().zip(&case.holes) {
        if let Some(duty) = duty.filter(|d| d.id == id) {
            by_access.entry(duty.line.access).or_default().insert((duty.line.act, duty.line.stage), holes);
            let beyond = holes.iter().filter(|h| !duty.access.holes.contains(h));
            for hole in beyond.filter_map(|h| fixing.holes.get(usize::from(*h))) {
                let words = format!("access {} does not serve hole {}", duty.line.access, hole.label);
                found.add("J301", place.clone(), words);
            }
        }
    }
    let wanted = acts_of_fixing(fixing);
    let mut times = vec![0_u32; fixing.holes.len()];
    for (access, by_act) in &by_access {
        for (act, _) in wanted.iter().filter(|a| !by_act.contains_key(a)) {
            found.add("J302", place.clone(), format!("no duty to {act} through access {access}"));
        }
        let first = by_act.get(&(Act::Free, None));
        let uneven = by_act.values().any(|holes| first.is_some_and(|f| f != holes));
        if uneven {
            found.add(
                "J301",
                place.clone(),
                format!("the acts through access {access} are done to different holes"),
            );
        }
        let union: BTreeSet<u16> = by_act.values().flat_map(|h| h.iter().copied()).collect();
        union.iter().for_each(|h| times[usize::from(*h)] += 1);
    }
    for (hole, _) in fixing.holes.iter().zip(&times).filter(|(_, n)| **n != 1) {
        found.add(
            "J301",
            place.clone(),
            format!("hole {} is not worked through exactly one access", hole.label),
        );
    }
}
