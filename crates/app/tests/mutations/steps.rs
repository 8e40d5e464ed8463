//! Steps: their order through strip, work and refit, the world, tightening, cautions and helpers, sums.

use crate::bending::{
    PlanMutation, act_of, action, bent, drop_step, fixing_of, move_behind, sequences, step, step_of,
};
use model::plan::{Plan, StepKind};
use model::{Act, Caution, HoleOrderOrigin, PatternRule, SettingKind, SignalWord, WorldRuleKind, WorldThing};

/// Shifts the first step of a kind to the front of its sequence.
fn to_front(p: &mut Plan, kind: StepKind) -> Option<()> {
    for steps in sequences(p) {
        if let Some(at) = steps.iter().position(|step| step.kind == kind) {
            let moved = steps.remove(at);
            steps.insert(0, moved);
            return Some(());
        }
    }
    None
}

pub const STRIP: &[PlanMutation] = &[
    bent("a part is never lifted off", "J601", |_, _, p| {
        drop_step(p, |step| step.kind == StepKind::Remove).map(|_| ())
    }),
    bent("a part is lifted off twice", "J601", |_, _, p| {
        let again = step_of(p, StepKind::Remove)?.clone();
        Some(p.strip.steps.push(again))
    }),
    bent("a part is lifted off with a bolt still in", "J602", |_, _, p| {
        move_behind(p, |a| a.kind == StepKind::Undo, |a, b| b.kind == StepKind::Remove && a.part == b.part)
    }),
    bent("work begins before what it needs is made", "J603", |_, _, p| {
        let made = drop_step(p, |step| step.kind == StepKind::Open)?;
        Some(p.strip.steps.push(made))
    }),
    bent("an opening is never capped", "J604", |_, _, p| {
        drop_step(p, |step| step.kind == StepKind::Cap).map(|_| ())
    }),
    bent("an opening stands open over the next step", "J604", |_, _, p| {
        move_behind(p, |a| a.kind == StepKind::Cap, |_, b| b.kind == StepKind::Undo)
    }),
    bent("a fastener is run out before it is broken loose", "J605", |_, _, p| {
        let steps = &mut p.strip.steps;
        Some(steps.iter_mut().find(|step| step.actions.len() > 1)?.actions.reverse())
    }),
    bent("the fasteners of a fixing are never undone", "J605", |_, _, p| {
        drop_step(p, |step| step.kind == StepKind::Undo).map(|_| ())
    }),
    bent("a fixing is undone twice", "J605", |_, _, p| {
        let again = step_of(p, StepKind::Undo)?.clone();
        Some(p.strip.steps.push(again))
    }),
    bent("the battery is never disconnected", "J606", |_, _, p| {
        drop_step(p, |step| step.kind == StepKind::Open).map(|_| ())
    }),
    bent("a fluid is never drained", "J606", |_, _, p| {
        drop_step(p, |step| step.kind == StepKind::Drain).map(|_| ())
    }),
    bent("a tightening in the middle of the strip", "J615", |_, _, p| {
        let tighten = step_of(p, StepKind::Tighten)?.clone();
        Some(p.strip.steps.push(tighten))
    }),
];

pub const REFIT: &[PlanMutation] = &[
    bent("a part is left on the bench", "J607", |_, _, p| {
        drop_step(p, |step| step.kind == StepKind::Refit).map(|_| ())
    }),
    bent("a part goes on twice", "J607", |_, _, p| {
        let again = step_of(p, StepKind::Refit)?.clone();
        Some(p.refit.steps.push(again))
    }),
    bent("the last part goes on first", "J607", |_, _, p| {
        let at = p.refit.steps.iter().rposition(|step| step.kind == StepKind::Refit)?;
        let last = p.refit.steps.remove(at);
        Some(p.refit.steps.insert(0, last))
    }),
    bent("a cap is left in the engine", "J608", |_, _, p| {
        drop_step(p, |step| step.kind == StepKind::Uncap).map(|_| ())
    }),
    bent("a part covers an opening with its cap in", "J608", |_, _, p| {
        move_behind(p, |a| a.kind == StepKind::Uncap, |a, b| b.kind == StepKind::Refit && a.part == b.part)
    }),
    bent("a fixing is never run in", "J609", |_, _, p| {
        drop_step(p, |step| step.kind == StepKind::RunIn).map(|_| ())
    }),
    bent("a fixing is run in before its part is in place", "J609", |_, _, p| to_front(p, StepKind::RunIn)),
    bent("a bolt is left out when a fixing is run in", "J609", |_, _, p| {
        let duties = p.duties.clone();
        let run_in = p
            .refit
            .steps
            .iter_mut()
            .flat_map(|step| &mut step.actions)
            .find(|action| duties[action.duty].act == Act::RunIn && action.holes.len() > 1)?;
        Some(_ = run_in.holes.pop())
    }),
    bent("a joint is never tightened", "J610", |_, _, p| {
        drop_step(p, |step| step.kind == StepKind::Tighten).map(|_| ())
    }),
    bent("one bolt of a joint is left finger-tight", "J610", |_, _, p| {
        let duties = p.duties.clone();
        let tighten = p
            .refit
            .steps
            .iter_mut()
            .flat_map(|step| &mut step.actions)
            .find(|action| duties[action.duty].act == Act::Tighten && action.holes.len() > 1)?;
        Some(_ = tighten.holes.pop())
    }),
    bent("the first pass of a joint is left out", "J610", |_, _, p| {
        let step = step(p, |step| step.kind == StepKind::Tighten && step.actions.len() > 1)?;
        Some(_ = step.actions.remove(0))
    }),
    bent("the last pass of a joint is left out", "J610", |_, _, p| {
        let step = step(p, |step| step.kind == StepKind::Tighten && step.actions.len() > 1)?;
        Some(_ = step.actions.pop())
    }),
    bent("the second pass comes before the first", "J610", |_, _, p| {
        let stages: Vec<_> = p.duties.iter().map(|duty| duty.stage).collect();
        let has_passes = |step: &model::plan::Step| {
            let stage = |action: &model::plan::StepAction| stages[action.duty];
            step.kind == StepKind::Tighten
                && step.actions.first().map(stage) != step.actions.last().map(stage)
        };
        Some(step(p, has_passes)?.actions.reverse())
    }),
    bent("a joint is tightened once more than the book says", "J610", |_, _, p| {
        let step = step_of(p, StepKind::Tighten)?;
        let again = step.actions.last()?.clone();
        Some(step.actions.push(again))
    }),
    bent("bolts are taken to the last pass one by one", "J610", |_, _, p| {
        let many = |step: &model::plan::Step| {
            step.kind == StepKind::Tighten && step.actions.len() == 2 && step.actions[0].holes.len() > 1
        };
        let step = step(p, many)?;
        let one_by_one = step.actions[0].holes.clone().into_iter().flat_map(|hole| {
            step.actions.iter().map(move |action| (hole.clone(), action.clone())).collect::<Vec<_>>()
        });
        let single = one_by_one.map(|(hole, action)| model::plan::StepAction { holes: vec![hole], ..action });
        Some(step.actions = single.collect())
    }),
    bent("the battery is never connected again", "J611", |_, _, p| {
        drop_step(p, |step| step.kind == StepKind::Restore).map(|_| ())
    }),
    bent("a fluid is never filled in again", "J611", |_, _, p| {
        drop_step(p, |step| step.kind == StepKind::Fill).map(|_| ())
    }),
    bent("a condition is undone at the start of the refit", "J611", |_, _, p| {
        let at = p.refit.steps.iter().rposition(|step| step.kind == StepKind::Restore)?;
        let last = p.refit.steps.remove(at);
        Some(p.refit.steps.insert(0, last))
    }),
    bent("a step takes another stack than its duty", "J612", |_, _, p| {
        let other = p.stacks.last()?.id.clone();
        let found = action(p, |_, _, action| action.stack.as_ref().is_some_and(|id| *id != other))?;
        Some(found.stack = Some(other))
    }),
    bent("a task's work is never done", "J613", |_, _, p| {
        drop_step(p, |step| step.task.is_some()).map(|_| ())
    }),
    bent("a task's work is done twice", "J613", |_, _, p| {
        let again = step(p, |step| step.task.is_some())?.clone();
        Some(p.work.steps.push(again))
    }),
    bent("a wait is left out", "J614", |_, _, p| {
        drop_step(p, |step| step.kind == StepKind::Wait).map(|_| ())
    }),
    bent("a wait is too short", "J614", |_, _, p| Some(step_of(p, StepKind::Wait)?.wait_s *= 0.5)),
    bent("an undoing in the middle of the refit", "J615", |_, _, p| {
        let undo = step_of(p, StepKind::Undo)?.clone();
        Some(p.refit.steps.push(undo))
    }),
    bent("a joint is tightened before another fixing of it is run in", "J616", |b, _, p| {
        let joint = |key: &String| b.fixing_by_key(key).and_then(|id| b.fixing(id).joint.clone());
        let at = p.refit.steps.iter().position(|step| {
            step.kind == StepKind::RunIn && step.fixings.first().is_some_and(|key| joint(key).is_some())
        })?;
        let run_in = p.refit.steps.remove(at);
        Some(p.refit.steps.push(run_in))
    }),
    bent("a step names another part than it works on", "J617", |_, _, p| {
        let part = p.way_in.parts.last()?.part.clone();
        let own = |step: &model::plan::Step| step.kind == StepKind::Undo && step.part.as_ref() != Some(&part);
        Some(step(p, own)?.part = Some(part.clone()))
    }),
    bent("a step names no fixing", "J617", |_, _, p| Some(step_of(p, StepKind::Tighten)?.fixings.clear())),
    bent("a step names a fixing that it does nothing to", "J617", |_, _, p| {
        let other = p.duties.last()?.fixing.clone();
        Some(step_of(p, StepKind::RunIn)?.fixings.push(other))
    }),
    bent("a fixing is undone from another place", "J618", |b, _, p| {
        let step = step_of(p, StepKind::Undo)?;
        let other = b.stations.iter().find(|station| station.key != step.station)?;
        Some(step.station.clone_from(&other.key))
    }),
    bent("a part is lifted off from another place", "J618", |b, _, p| {
        let step = step_of(p, StepKind::Remove)?;
        let other = b.stations.iter().find(|station| station.key != step.station)?;
        Some(step.station.clone_from(&other.key))
    }),
    bent("a condition is made from another place", "J618", |b, _, p| {
        let step = step_of(p, StepKind::Open)?;
        let other = b.stations.iter().find(|station| station.key != step.station)?;
        Some(step.station.clone_from(&other.key))
    }),
];

pub const ORDERS: &[PlanMutation] = &[
    bent("the maker's sequence is left for the order of the labels", "J619", |b, _, p| {
        let made = |plan: &Plan, _: &model::plan::Step, action: &model::plan::StepAction| {
            let given = |f: &model::Fixing| matches!(f.tightening.pattern, PatternRule::Given(_));
            let mut sorted = action.holes.clone();
            sorted.sort_by(|a, b| (a.len(), a).cmp(&(b.len(), b)));
            let is_given = fixing_of(b, plan, action).is_some_and(given);
            act_of(plan, action) == Act::Tighten && is_given && sorted != action.holes
        };
        Some(action(p, made)?.holes.sort_by(|a, b| (a.len(), a).cmp(&(b.len(), b))))
    }),
    bent("a pattern is gone round hole by hole", "J619", |b, _, p| {
        let crossed = |plan: &Plan, _: &model::plan::Step, action: &model::plan::StepAction| {
            let of = plan.duties[action.duty].hole_order;
            act_of(plan, action) == Act::Tighten
                && of == Some(HoleOrderOrigin::Positions)
                && action.holes.len() > 3
                && fixing_of(b, plan, action).is_some_and(|f| f.joint.is_none())
        };
        let found = action(p, crossed)?;
        Some(found.holes.swap(1, 2))
    }),
    bent("the second pass goes round another way than the first", "J619", |_, _, p| {
        let step = step(p, |step| {
            step.kind == StepKind::Tighten && step.actions.len() == 2 && step.actions[1].holes.len() > 3
        })?;
        Some(step.actions[1].holes.reverse())
    }),
    bent("a joint is released in the order of its tightening", "J619", |_, _, p| {
        let with_order = |plan: &Plan, step: &model::plan::Step, action: &model::plan::StepAction| {
            let key = &plan.duties[action.duty].fixing;
            let ordered = plan
                .duties
                .iter()
                .any(|duty| duty.fixing == *key && duty.hole_order.is_some_and(HoleOrderOrigin::has_order));
            step.kind == StepKind::Undo && ordered && action.holes.len() > 3
        };
        Some(action(p, with_order)?.holes.reverse())
    }),
];

pub const WORLDS: &[PlanMutation] = &[
    bent("the plan tells of no course", "J620", |_, _, p| Some(p.course = None)),
    bent("the lift is never raised", "J621", |b, _, p| {
        let lift = b.settings.iter().find(|setting| setting.kind == SettingKind::Lift)?.key.clone();
        let raises = |step: &model::plan::Step| step.sets.iter().any(|set| set.setting == lift);
        drop_step(p, raises).map(|_| ())
    }),
    bent("nothing carries the engine while its mounting is off", "J622", |b, _, p| {
        let of_support =
            |key: &String| b.setting_by_key(key).is_some_and(|id| b.setting(id).kind == SettingKind::Support);
        let mut dropped = None;
        for steps in sequences(p) {
            let before = steps.len();
            steps.retain(|step| !step.sets.first().is_some_and(|set| of_support(&set.setting)));
            dropped = dropped.or_else(|| (steps.len() < before).then_some(()));
        }
        dropped
    }),
    bent("the lift moves while it must stay still", "J623", |b, _, p| {
        let rule = b.rules.iter().find(|rule| matches!(rule.kind, WorldRuleKind::StaysStill(_)))?;
        let while_it = rule.during.first()?;
        let WorldThing::Setting(id) = while_it.thing else { return None };
        let setting = b.setting(id);
        let begins = |step: &model::plan::Step| {
            let value = step.sets.iter().find(|set| set.setting == setting.key);
            let value = value.and_then(|set| setting.value_by_word(&set.value));
            value.is_some_and(|value| while_it.values & (1 << value) != 0)
        };
        let lift = b.settings.iter().find(|setting| setting.kind == SettingKind::Lift)?.key.clone();
        for steps in sequences(p) {
            let Some(from) = steps.iter().position(begins) else { continue };
            let is_lift = |step: &model::plan::Step| step.sets.iter().any(|set| set.setting == lift);
            let to = from + 1 + steps[from + 1..].iter().position(is_lift)?;
            let moved = steps.remove(to);
            steps.insert(from + 1, moved);
            return Some(());
        }
        None
    }),
    bent("a setting is brought to another value than its words say", "J624", |b, _, p| {
        let step = step(p, |step| step.kind == StepKind::Set)?;
        let set = step.sets.first_mut()?;
        let setting = b.setting(b.setting_by_key(&set.setting)?);
        set.value = setting.values.iter().find(|value| **value != set.value)?.clone();
        Some(())
    }),
    bent("an act changes a setting and does not tell it", "J624", |_, _, p| {
        Some(step(p, |step| step.kind != StepKind::Set && !step.sets.is_empty())?.sets.clear())
    }),
    bent("a change of a setting tells nothing", "J624", |_, _, p| {
        Some(step(p, |step| step.kind == StepKind::Set)?.sets.clear())
    }),
    bent("the vehicle is left on the lift", "J625", |b, _, p| {
        let lift = b.settings.iter().find(|setting| setting.kind == SettingKind::Lift)?.key.clone();
        let at = p.refit.steps.iter().rposition(|step| step.sets.iter().any(|set| set.setting == lift))?;
        Some(_ = p.refit.steps.remove(at))
    }),
    bent("fewer changes of place than the steps show", "J628", |_, _, p| {
        Some(p.course.as_mut()?.moves.place.count -= 1)
    }),
    bent("fewer moves of the lift than the steps show", "J628", |_, _, p| {
        Some(p.course.as_mut()?.moves.lift.count -= 1)
    }),
    bent("fewer changes of tool than the steps show", "J628", |_, _, p| {
        Some(p.course.as_mut()?.moves.tools.count -= 1)
    }),
    bent("an earlier finish than the steps add up to", "J628", |_, _, p| {
        Some(p.course.as_mut()?.outcome.value -= 60.0)
    }),
    bent("a bound on the finish above the finish", "J629", |_, _, p| {
        let outcome = &mut p.course.as_mut()?.outcome;
        Some(outcome.bound = outcome.value + 60.0)
    }),
    bent("a least number of moves above what the plan has", "J629", |_, _, p| {
        let course = p.course.as_mut()?;
        Some(course.least_moves = course.moves.place.count + course.moves.lift.count + 1)
    }),
    bent("what is to be broken loose early is run out with it", "J630", |b, _, p| {
        let told =
            |key: &String| b.fixing_by_key(key).is_some_and(|id| !b.fixing(id).world.loosening.is_untold());
        let own = |step: &model::plan::Step| step.kind == StepKind::Undo && step.fixings.iter().any(told);
        let first = p.strip.steps.iter().position(own)?;
        let fixings = p.strip.steps[first].fixings.clone();
        let second = p
            .strip
            .steps
            .iter()
            .skip(first + 1)
            .position(|step| step.kind == StepKind::Undo && step.fixings == fixings)?;
        let rest = p.strip.steps.remove(first + 1 + second);
        Some(p.strip.steps[first].actions.extend(rest.actions))
    }),
    bent("a plug comes off last", "J631", |b, _, p| {
        let kind = |key: &String| b.fixing_by_key(key).map(|id| b.fixing(id).kind);
        move_behind(
            p,
            |a| {
                a.kind == StepKind::Undo
                    && a.fixings.first().and_then(kind) == Some(model::FastenerKind::Connector)
            },
            |a, b| {
                b.kind == StepKind::Undo
                    && a.part == b.part
                    && b.fixings.first().and_then(kind) != Some(model::FastenerKind::Connector)
            },
        )
    }),
    bent("a plug goes on first", "J632", |b, _, p| {
        let is_plug = |key: &String| {
            b.fixing_by_key(key).is_some_and(|id| b.fixing(id).kind == model::FastenerKind::Connector)
        };
        move_behind(
            p,
            |a| a.kind == StepKind::Tighten,
            |a, b| b.kind == StepKind::RunIn && a.part == b.part && b.fixings.first().is_some_and(is_plug),
        )
    }),
];

pub const CAUTIONS: &[PlanMutation] = &[
    bent("a caution is dropped", "J641", |_, _, p| {
        Some(_ = step(p, |step| !step.cautions.is_empty() && step.kind != StepKind::Set)?.cautions.pop())
    }),
    bent("the cautions of a place are dropped", "J641", |b, _, p| {
        let of_place = |step: &model::plan::Step| {
            b.stations.iter().any(|station| {
                station.key == step.station && station.cautions.iter().any(|one| step.cautions.contains(one))
            })
        };
        Some(step(p, of_place)?.cautions.clear())
    }),
    bent("a caution of a part is told one step later", "J641", |b, _, p| {
        let of_part = |one: &Caution| b.parts.iter().any(|part| part.cautions.contains(one));
        let at = p.strip.steps.iter().position(|step| step.cautions.iter().any(of_part))?;
        let moved = core::mem::take(&mut p.strip.steps[at].cautions);
        Some(p.strip.steps.get_mut(at + 1)?.cautions.extend(moved))
    }),
    bent("DANGER made NOTICE", "J641", |_, _, p| {
        let is_danger = |one: &Caution| one.word == SignalWord::Danger;
        let step = step(p, |step| step.kind != StepKind::Set && step.cautions.iter().any(is_danger))?;
        Some(step.cautions.iter_mut().find(|one| is_danger(one))?.word = SignalWord::Notice)
    }),
    bent("a caution reworded", "J641", |_, _, p| {
        Some(
            step(p, |step| !step.cautions.is_empty() && step.kind != StepKind::Set)?.cautions[0]
                .text
                .push_str(" Or not."),
        )
    }),
    bent("a caution of a task is dropped", "J641", |_, _, p| {
        Some(step(p, |step| step.task.is_some() && !step.cautions.is_empty())?.cautions.clear())
    }),
    bent("a caution before setting a part in place is dropped", "J641", |_, _, p| {
        Some(step(p, |step| step.kind == StepKind::Refit && !step.cautions.is_empty())?.cautions.clear())
    }),
    bent("a caution of a change of a setting is dropped", "J624", |b, _, p| {
        let of_way = |one: &Caution| {
            b.settings.iter().flat_map(|setting| &setting.ways).any(|way| way.cautions.contains(one))
        };
        let own = |step: &model::plan::Step| step.kind == StepKind::Set && step.cautions.iter().any(of_way);
        Some(step(p, own)?.cautions.clear())
    }),
    bent("a caution that the book does not have", "J642", |_, _, p| {
        let text = String::from("Hot: keep away.");
        Some(step_of(p, StepKind::RunIn)?.cautions.push(Caution { word: SignalWord::Caution, text }))
    }),
    bent("a caution of another step", "J642", |_, _, p| {
        let other = step(p, |step| !step.cautions.is_empty())?.cautions.clone();
        Some(step(p, |step| step.cautions.is_empty())?.cautions = other)
    }),
    bent("a second pair of hands is not asked for", "J643", |_, _, p| {
        Some(step(p, |step| step.kind == StepKind::Remove && step.helper)?.helper = false)
    }),
    bent("a second pair of hands is not asked for at the refit", "J643", |_, _, p| {
        Some(step(p, |step| step.kind == StepKind::Refit && step.helper)?.helper = false)
    }),
    bent("a second pair of hands that nothing needs", "J643", |_, _, p| {
        Some(step(p, |step| step.kind == StepKind::Tighten)?.helper = true)
    }),
];

pub const SUMS: &[PlanMutation] = &[
    bent("a total that the steps do not add up to", "J651", |_, _, p| Some(p.strip.work_s += 60.0)),
    bent("a number out of turn", "J652", |_, _, p| Some(p.refit.steps.first_mut()?.number += 1)),
    bent("a set-up that takes no time", "J653", |_, _, p| {
        Some(step(p, |step| step.setup_s > 0.0)?.setup_s = 0.0)
    }),
    bent("work that takes half its time", "J654", |_, _, p| {
        Some(step(p, |step| step.kind == StepKind::Tighten && step.work_s > 0.0)?.work_s *= 0.5)
    }),
    bent("work while waiting", "J655", |_, _, p| Some(step_of(p, StepKind::Wait)?.work_s = 60.0)),
    bent("a wait inside a step", "J655", |_, _, p| Some(step_of(p, StepKind::Remove)?.wait_s = 60.0)),
    bent("a figure doubled", "J701", |_, _, p| {
        let with_figure = |_: &Plan, _: &model::plan::Step, action: &model::plan::StepAction| {
            action.figure.as_ref().is_some_and(|figure| figure.ends_with("N·m"))
        };
        Some(action(p, with_figure)?.figure = Some("900 N·m".into()))
    }),
    bent("a figure left out", "J701", |_, _, p| {
        Some(action(p, |_, _, action| action.figure.is_some())?.figure = None)
    }),
    bent("a figure to run in by", "J701", |_, _, p| {
        let is_run_in = |plan: &Plan, _: &model::plan::Step, action: &model::plan::StepAction| {
            act_of(plan, action) == Act::RunIn
        };
        Some(action(p, is_run_in)?.figure = Some("9 N·m".into()))
    }),
];
