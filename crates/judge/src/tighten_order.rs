//! Order of tightening across fixings: what the book wants tightened after other fixings is, and what waits for a part that goes on later
//! may be tightened after that part is in place.

use crate::FoundViolations;
use crate::case::{PlanCase, step_place};
use crate::replay::touches_of_action;
use model::plan::Step;
use model::{Act, FixingId, Need, PartId};
use std::collections::{BTreeMap, BTreeSet};

/// The first and the last step that tightens a fixing, by position among all steps of the plan.
fn tightening_spans<'a>(case: &PlanCase<'a>) -> BTreeMap<FixingId, (usize, usize, &'a str, &'a Step)> {
    let mut spans = BTreeMap::new();
    let steps = case
        .sequences()
        .into_iter()
        .flat_map(|(name, sequence)| sequence.steps.iter().map(move |s| (name, s)));
    for (at, (name, step)) in steps.enumerate() {
        let touches = step.actions.iter().flat_map(|action| touches_of_action(case, action));
        let tightened: BTreeSet<FixingId> =
            touches.filter(|touch| touch.act == Act::Tighten).map(|touch| touch.fixing).collect();
        for fixing in tightened {
            spans
                .entry(fixing)
                .and_modify(|span: &mut (usize, usize, _, _)| span.1 = at)
                .or_insert((at, at, name, step));
        }
    }
    spans
}

/// J636: a fixing is tightened before one that it comes after has its figure.
pub(crate) fn judge_tightening_order(case: &PlanCase, found: &mut FoundViolations) {
    let spans = tightening_spans(case);
    for (id, (first, _, name, step)) in &spans {
        let fixing = case.book.fixing(*id);
        for earlier in &fixing.world.tighten_after {
            if spans.get(earlier).is_some_and(|(_, last, ..)| last >= first) {
                let words = format!(
                    "`{}` is tightened before `{}` has its figure",
                    fixing.key,
                    case.book.fixing(*earlier).key
                );
                found.add("J636", step_place(name, step), words);
            }
        }
    }
}

/// Whether a fixing comes after one of a part that is set in place with or behind another part, so that its own part cannot be finished first.
pub(crate) fn is_tightened_behind(case: &PlanCase, fixing: FixingId, part: PartId) -> bool {
    let mut seen = BTreeSet::from([fixing]);
    let mut open = vec![fixing];
    while let Some(id) = open.pop() {
        for earlier in &case.book.fixing(id).world.tighten_after {
            let own = case.book.fixing(*earlier).part;
            let is_other = own != case.book.fixing(fixing).part && case.off.contains_key(&own);
            if is_other && comes_off_before(case, own, part) {
                return true;
            }
            if seen.insert(*earlier) {
                open.push(*earlier);
            }
        }
    }
    false
}

/// Whether a part is another, or has to be off before the other comes off: it is then set in place after it.
fn comes_off_before(case: &PlanCase, part: PartId, other: PartId) -> bool {
    let mut seen = BTreeSet::from([other]);
    let mut open = vec![other];
    while let Some(now) = open.pop() {
        if now == part {
            return true;
        }
        let way = case.off.get(&now).copied().flatten();
        for need in case.needs_of_part(now, way) {
            if let Need::Off(next) = need
                && seen.insert(next)
            {
                open.push(next);
            }
        }
    }
    false
}
