//! Reasons and claims: why something is in the way in, what is open besides, and what a claim of *proven* is worth.
//!
//! What the plan gives as the reason for a part or a condition has to need it, and all that needs it has to be named. Where the ways in of a book are few,
//! all of them are tried: none may cost less than the one taken. A claim that the judge cannot prove is no fault, but is told, see
//! [`crate::list_unjudged_claims`].
//!
//! **Cost of a way in.** Hands-on seconds off and on: lift and place of each part; making and undoing of each condition; for each fastener that is
//! turned `2·APPLY_S + TAKE_S + HAND_START_S + 2·turns·`[`times::TURN_S`]` + stages·(APPLY_S + READ_S)`, for each other one `2·SQUEEZE_S`.

use crate::case::PlanCase;
use crate::{FoundViolations, UnjudgedClaim, same_figure, show_figure};
use model::plan::{Plan, WayInReason};
use model::{
    Book, ConditionId, Fixing, Need, OutcomeUnit, PartId, SolverOutcome, SolverStanding, Store, TaskId,
};
use std::collections::{BTreeMap, BTreeSet};

/// Most choices of ways that are all tried.
const MAX_WAYS_TRIED: u32 = 4096;

/// What is off and made on a way in.
type InTheWay = (BTreeSet<PartId>, BTreeSet<ConditionId>);

/// J205 more is in the way than the tasks need, J206 reasons, J207 tasks that are open besides, J208 the cost and its claim, J507 the claim of the kit.
pub(crate) fn judge_reasons(case: &PlanCase, found: &mut FoundViolations) {
    judge_because(case, found);
    judge_also_open(case, found);
    judge_idle_lines(case, found);
    let way_in = &case.plan.way_in.outcome;
    judge_outcome(way_in, OutcomeUnit::Seconds, "J208", "way in", found);
    let cost_s = cost_of_way_in(case.book, &(case.off.keys().copied().collect(), case.conditions.clone()));
    if !same_figure(cost_s, way_in.value) {
        let (right, said) = (show_figure(cost_s), show_figure(way_in.value));
        found.add("J208", "way in", format!("costs {right} s, the plan says {said} s"));
    }
    if let Some(least_s) = least_cost_s(case).filter(|least_s| {
        way_in.standing == SolverStanding::Proven && *least_s < cost_s && !same_figure(*least_s, cost_s)
    }) {
        let least = show_figure(least_s);
        found.add("J208", "way in", format!("is called the least, and another costs {least} s"));
    }
    let unit = case.plan.kit.outcome.unit;
    judge_outcome(&case.plan.kit.outcome, unit, "J507", "kit", found);
}

/// A bound is never above the value, and *proven* means that they meet.
pub(crate) fn judge_outcome(
    outcome: &SolverOutcome,
    unit: OutcomeUnit,
    code: &'static str,
    place: &str,
    found: &mut FoundViolations,
) {
    let (value, bound) = (outcome.value, outcome.bound);
    let meets = same_figure(value, bound);
    if outcome.unit != unit {
        found.add(code, place, "the outcome is in another unit");
    }
    if bound > value && !meets {
        found.add(
            code,
            place,
            format!("the bound {} is above the value {}", show_figure(bound), show_figure(value)),
        );
    }
    if outcome.standing == SolverStanding::Proven && !meets {
        let words = format!("says proven at {}, and its bound is {}", show_figure(value), show_figure(bound));
        found.add(code, place, words);
    }
}

/// What needs a part or a condition on the way taken, sorted.
fn reasons_for(case: &PlanCase, need: Need) -> Vec<WayInReason> {
    let book = case.book;
    let tasks = case.tasks.iter().map(|id| book.task(*id)).filter(|task| task.needs.contains(&need));
    let parts = case.off.iter().filter(|(id, way)| case.needs_of_part(**id, **way).any(|one| one == need));
    let conditions = case.conditions.iter().map(|id| book.condition(*id));
    let tasks = tasks.map(|task| WayInReason::Task(task.key.clone()));
    let parts = parts.map(|(id, _)| WayInReason::Part(book.part(*id).key.clone()));
    let conditions = conditions.filter(|made| made.needs.contains(&need));
    let conditions = conditions.map(|made| WayInReason::Condition(made.key.clone()));
    tasks.chain(parts).chain(conditions).collect::<BTreeSet<_>>().into_iter().collect()
}

fn judge_because(case: &PlanCase, found: &mut FoundViolations) {
    let parts =
        case.plan.way_in.parts.iter().filter_map(|line| {
            Some((&line.part, Need::Off(case.book.part_by_key(&line.part)?), &line.because))
        });
    let conditions = case.plan.way_in.conditions.iter().filter_map(|line| {
        let id = crate::case::condition_by_key(case.book, &line.condition)?;
        Some((&line.condition, Need::Condition(id), &line.because))
    });
    for (key, need, said) in parts.chain(conditions) {
        let wanted = reasons_for(case, need);
        if wanted.is_empty() {
            found.add("J205", "way in", format!("nothing needs `{key}`"));
        }
        if *said != wanted {
            let words = format!(
                "`{key}` is needed by {}, the plan says {}",
                reason_words(&wanted),
                reason_words(said)
            );
            found.add("J206", "way in", words);
        }
    }
}

fn reason_words(reasons: &[WayInReason]) -> String {
    let word = |reason: &WayInReason| match reason {
        WayInReason::Task(key) => format!("task `{key}`"),
        WayInReason::Part(key) => format!("part `{key}`"),
        WayInReason::Condition(key) => format!("condition `{key}`"),
    };
    if reasons.is_empty() {
        return String::from("nothing");
    }
    reasons.iter().map(word).collect::<Vec<_>>().join(", ")
}

fn judge_also_open(case: &PlanCase, found: &mut FoundViolations) {
    let is_open = |id: &TaskId| {
        case.book.task(*id).needs.iter().all(|need| match need {
            Need::Off(part) => case.off.contains_key(part),
            Need::Condition(condition) => case.conditions.contains(condition),
        })
    };
    let tasks = (0..case.book.tasks.len()).map(TaskId::new).filter(|id| !case.tasks.contains(id));
    let wanted: BTreeSet<&str> = tasks.filter(is_open).map(|id| case.book.task(id).key.as_str()).collect();
    let said: BTreeSet<&str> = case.plan.way_in.also_open.iter().map(String::as_str).collect();
    for key in wanted.symmetric_difference(&said) {
        let words = if wanted.contains(key) {
            "is open besides, and not told"
        } else {
            "is told as open besides, and is not"
        };
        found.add("J207", "way in", format!("task `{key}` {words}"));
    }
}

/// What is listed and used by nothing.
fn judge_idle_lines(case: &PlanCase, found: &mut FoundViolations) {
    let used: BTreeSet<&str> = case.plan.duties.iter().filter_map(|duty| duty.stack.as_deref()).collect();
    for line in case.plan.stacks.iter().filter(|line| !used.contains(line.id.as_str())) {
        found.add("J105", format!("stack {}", line.id), "no duty uses it");
    }
}

fn cost_of_way_in(book: &Book, (parts, conditions): &InTheWay) -> f64 {
    let of_part = |id: &PartId| {
        let fixings: f64 = book.fixings_of(*id).map(|fixing| cost_of_fixing(book.fixing(fixing))).sum();
        book.part(*id).lift_s() + book.part(*id).place_s() + fixings
    };
    let of_condition = |id: &ConditionId| {
        let it = book.condition(*id);
        it.establish_time.as_s() + it.restore_time.as_s()
    };
    parts.iter().map(of_part).sum::<f64>() + conditions.iter().map(of_condition).sum::<f64>()
}

fn cost_of_fixing(fixing: &Fixing) -> f64 {
    let each_s = if fixing.drive.is_turned() {
        let stages = fixing.tightening.stages.len() as f64;
        2.0 * times::APPLY_S
            + times::TAKE_S
            + times::HAND_START_S
            + 2.0 * fixing.turns_to_free() * times::TURN_S
            + stages * (times::APPLY_S + times::READ_S)
    } else {
        2.0 * times::SQUEEZE_S
    };
    each_s * fixing.holes.len() as f64
}

/// The least that any choice of ways costs; `None` where there are too many to try.
fn least_cost_s(case: &PlanCase) -> Option<f64> {
    let book = case.book;
    let with_ways: Vec<PartId> = book.part_ids().filter(|id| book.part(*id).ways.len() > 1).collect();
    let counts = with_ways.iter().map(|id| u32::try_from(book.part(*id).ways.len()).ok());
    let choices = counts.clone().try_fold(1_u32, |product, count| product.checked_mul(count?))?;
    if choices > MAX_WAYS_TRIED {
        return None;
    }
    let counts: Vec<u32> = counts.flatten().collect();
    let cost = |mut choice: u32| {
        let mut taken: BTreeMap<PartId, u16> = BTreeMap::new();
        for (part, count) in with_ways.iter().zip(&counts) {
            taken.insert(*part, (choice % count) as u16);
            choice /= count;
        }
        way_in_by(case, &taken).map(|inside| cost_of_way_in(book, &inside))
    };
    (0..choices).filter_map(cost).min_by(f64::total_cmp)
}

/// All that the tasks need by a choice of ways; `None` where something would have to come off before itself.
fn way_in_by(case: &PlanCase, taken: &BTreeMap<PartId, u16>) -> Option<InTheWay> {
    let book = case.book;
    let mut inside: InTheWay = (BTreeSet::new(), BTreeSet::new());
    let mut needs: BTreeMap<Need, Vec<Need>> = BTreeMap::new();
    let mut open: Vec<Need> = case.tasks.iter().flat_map(|id| book.task(*id).needs.clone()).collect();
    while let Some(need) = open.pop() {
        if needs.contains_key(&need) {
            continue;
        }
        let own: Vec<Need> = match need {
            Need::Off(part) => {
                inside.0.insert(part);
                let way = taken.get(&part).copied().or((!book.part(part).ways.is_empty()).then_some(0));
                case.needs_of_part(part, way).collect()
            }
            Need::Condition(condition) => {
                inside.1.insert(condition);
                book.condition(condition).needs.clone()
            }
        };
        open.extend(&own);
        needs.insert(need, own);
    }
    // What needs nothing that is left can go; where something stays, it goes round in a circle.
    let mut left = needs.len();
    loop {
        let done: Vec<Need> = needs
            .iter()
            .filter(|(_, own)| own.iter().all(|one| !needs.contains_key(one)))
            .map(|(need, _)| *need)
            .collect();
        done.iter().for_each(|need| _ = needs.remove(need));
        if needs.len() == left {
            break;
        }
        left = needs.len();
    }
    needs.is_empty().then_some(inside)
}

/// What a plan claims and the judge cannot work out again: that no other plan is better.
pub(crate) fn find_unjudged_claims(book: &Book, store: &Store, plan: &Plan) -> Vec<UnjudgedClaim> {
    let mut unheard = FoundViolations::default();
    let case = crate::names::read_plan_names(book, store, plan, &mut unheard);
    let mut claims = Vec::new();
    let mut claim = |place: &'static str, outcome: &SolverOutcome, least: &str| {
        let said = match outcome.standing {
            SolverStanding::Proven => format!("is called proven: {least}"),
            _ if outcome.bound > 0.0 => {
                let gap = outcome.value - outcome.bound;
                format!("has the bound {} (gap {}): {least}", show_figure(outcome.bound), show_figure(gap))
            }
            _ => return,
        };
        claims.push(UnjudgedClaim { place, words: said });
    };
    let is_tried = plan.way_in.outcome.standing == SolverStanding::Proven && least_cost_s(&case).is_some();
    if !is_tried {
        claim("way in", &plan.way_in.outcome, "that no other way in costs less was not tried");
    }
    claim("kit", &plan.kit.outcome, "that no other kit is better was not tried");
    if let Some(course) = &plan.course {
        claim("course", &course.outcome, "that no other order is sooner done was not tried");
        let moves = course.moves;
        let least = format!(
            "no order is said to have fewer than {} changes of place, {} moves of the lift, {} changes of tool, {} of place and lift together: not tried",
            moves.place.bound, moves.lift.bound, moves.tools.bound, course.least_moves
        );
        claims.push(UnjudgedClaim { place: "course", words: least });
    }
    claims
}
