//! The one large button of a sheet: what pressing it writes, or what prevents it.

use std::collections::{BTreeMap, BTreeSet};

use model::Book;
use model::plan::{Plan, Step, StepKind};
use record::{Refusal, RefusalReason, StepStanding, Visit, VisitBody, VisitCommand, decide};

use super::EventButton;
use super::done_step::{self, is_old_and_out};
use super::fold::FoldedSteps;

/// The steps of a sheet as they are written: what the fold does in one tap, and what is left of it where it does not hold.
pub(super) struct SheetButton<'p> {
    /// The steps that the button stands for.
    pub(super) steps: FoldedSteps<'p>,
    /// Its words and events; `None` where there is nothing left, or something prevents it.
    pub(super) tick: Option<EventButton>,
    /// What prevents it.
    pub(super) against: Option<String>,
}

/// What the main button writes, with new fasteners where the book requires them; or what prevents it. Where a step is done,
/// the second look that its dangerous fasteners are owed.
pub(super) fn main_button<'p>(
    book: &Book,
    plan: &Plan,
    visit: &Visit,
    folded: &FoldedSteps<'p>,
    standing: StepStanding,
) -> SheetButton<'p> {
    let first = folded.first();
    let alone = FoldedSteps::alone(first);
    if standing == StepStanding::Done {
        let looks = done_step::second_look_bodies(book, plan, first, visit);
        let tick = (!looks.is_empty()).then(|| EventButton::new(book, looks));
        return SheetButton { steps: alone, tick, against: None };
    }
    let mut bodies = match step_bodies(book, plan, visit, first) {
        Ok(bodies) => bodies,
        Err(refusal) => {
            return SheetButton { steps: alone, tick: None, against: Some(shorten_refusal(&refusal)) };
        }
    };
    // What follows in the same tap, as far as nothing stands against it.
    let mut then = visit.clone();
    record::apply_pretended_events(&mut then, &bodies);
    let mut count = 1;
    for step in &folded.in_order()[1..] {
        let Ok(more) = step_bodies(book, plan, &then, step) else { break };
        record::apply_pretended_events(&mut then, &more);
        bodies.extend(more);
        count += 1;
    }
    let steps = folded.first_of(count);
    let all = done_step::fasteners_of_step(plan, steps.lead()).len();
    SheetButton { steps, tick: Some(EventButton::of_rest(book, bodies, all)), against: None }
}

/// What a step writes by itself.
fn step_bodies(book: &Book, plan: &Plan, visit: &Visit, step: &Step) -> Result<Vec<VisitBody>, Refusal> {
    let mut bodies = Vec::new();
    let mut then = visit.clone();
    if step.kind == StepKind::RunIn {
        for (fixing, holes) in holes_to_renew(book, plan, step, visit) {
            if let Ok(new) = decide(&then, book, plan, VisitCommand::Renew { fixing, holes }) {
                record::apply_pretended_events(&mut then, &new);
                bodies.extend(new);
            }
        }
    }
    bodies.extend(decide(&then, book, plan, VisitCommand::Tick { step: step.number })?);
    Ok(bodies)
}

/// The holes of a step whose fasteners are renewed each time and are not yet new, by fixing: those of this step alone.
fn holes_to_renew(
    book: &Book,
    plan: &Plan,
    step: &Step,
    visit: &Visit,
) -> BTreeMap<String, BTreeSet<String>> {
    let mut all: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for (fixing, hole) in done_step::fasteners_of_step(plan, step) {
        let is_one_time = book.fixing_by_key(fixing).is_some_and(|id| book.fixing(id).one_time);
        if is_one_time && visit.fasteners.get(fixing, hole).is_some_and(is_old_and_out) {
            all.entry(fixing.to_owned()).or_default().insert(hole.to_owned());
        }
    }
    all
}

/// What prevents it: the first of each group that closes the same way, and how many more there are; the ledger
/// lists all.
fn shorten_refusal(refusal: &Refusal) -> String {
    let mut told: Vec<(&RefusalReason, usize)> = Vec::new();
    for against in &refusal.against {
        match told.iter_mut().find(|(first, _)| first.closes == against.closes) {
            Some((_, more)) => *more += 1,
            None => told.push((against, 0)),
        }
    }
    let line = |(first, more): &(&RefusalReason, usize)| match more {
        0 => format!("{}: {}", first.what, first.closes),
        more => format!("{}, and {more} more: {}", first.what, first.closes),
    };
    told.iter().map(line).collect::<Vec<_>>().join("; ")
}
