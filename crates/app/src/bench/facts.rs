//! What stands beside the work of a step: what changes the work of the hand, and what is looked up.

use model::plan::{DutyLine, Plan, Step};
use model::{Act, Book, HoleOrderOrigin};

/// What changes the work of the hand: new fasteners, a tip.
pub(super) fn duty_facts(book: &Book, plan: &Plan, duty: Option<(usize, &DutyLine)>) -> Vec<String> {
    let mut facts = Vec::new();
    let Some((_, line)) = duty else { return facts };
    if plan.slots.iter().any(|s| s.fixing == line.fixing && s.renewed) {
        facts.push(String::from("renewed each time: fit new ones"));
    }
    let fixing = book.fixing_by_key(&line.fixing).map(|id| book.fixing(id));
    let is_strip = matches!(line.act, Act::Free | Act::RunOut);
    let tip = |part: &model::Part| if is_strip { part.tip.clone() } else { part.refit_tip.clone() };
    facts.extend(fixing.and_then(|f| tip(book.part(f.part))));
    facts
}

/// What is looked up: the order of the holes, where the figure comes from, the size.
pub(super) fn duty_notes(
    book: &Book,
    plan: &Plan,
    step: &Step,
    duty: Option<(usize, &DutyLine)>,
) -> Vec<String> {
    let mut notes = Vec::new();
    let Some((index, line)) = duty else { return notes };
    if line.act == Act::Tighten {
        let order = step.actions.iter().find(|a| a.duty == index).filter(|a| a.holes.len() > 1);
        let ids = step.fixings.iter().filter_map(|key| book.fixing_by_key(key));
        let fixings: Vec<&model::Fixing> = ids.map(|id| book.fixing(id)).collect();
        let origin = HoleOrderOrigin::of_fixings(&fixings);
        notes.extend(order.map(|a| match origin {
            HoleOrderOrigin::Unrelated | HoleOrderOrigin::NotKnown => origin.words().to_owned(),
            HoleOrderOrigin::MakersSequence | HoleOrderOrigin::Positions => {
                format!("in the order {}; {}", a.holes.join(" "), origin.words())
            }
        }));
        let fixing = book.fixing_by_key(&line.fixing).map(|id| book.fixing(id));
        let source = fixing.map(|f| f.tightening.source.as_str()).filter(|source| !source.is_empty());
        notes.extend(source.map(|source| format!("source: {source}")));
    }
    notes.extend(plan.slots.iter().find(|s| s.fixing == line.fixing).map(|s| s.size.clone()));
    notes
}
