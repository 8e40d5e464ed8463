//! How a visit begins, what it works from, and how it ends.

use std::collections::BTreeSet;

use model::FastenerState;
use model::progress::TakenUpAgain;

use super::{figures, note_strange};
use crate::visit::{PlanInForce, TextsInForce, VisitClosing, VisitStart, WentOnWhileOpen};
use crate::{ContentDigest, EventStamp, StreamRef, Visit};

pub(super) fn open_visit(
    visit: &mut Visit,
    vehicle: &Option<StreamRef>,
    letter: &str,
    name: &str,
    odometer: &Option<String>,
    stamp: EventStamp,
) {
    let opened = VisitStart {
        vehicle: vehicle.clone(),
        letter: letter.to_owned(),
        name: name.to_owned(),
        odometer: odometer.clone(),
        stamp: stamp.clone(),
    };
    match &visit.opened {
        None => visit.opened = Some(opened),
        Some(first) if is_same_start(first, &opened) => {}
        Some(_) => {
            let words = "the visit was opened twice with different data; the first opening is kept".into();
            note_strange(visit, words, stamp);
        }
    }
}

fn is_same_start(a: &VisitStart, b: &VisitStart) -> bool {
    (&a.vehicle, &a.letter, &a.name, &a.odometer) == (&b.vehicle, &b.letter, &b.name, &b.odometer)
}

/// Without a book nothing new is known of figures: what the one before lacks stays missing.
pub(super) fn base_on(
    visit: &mut Visit,
    book: &Option<ContentDigest>,
    store: &Option<ContentDigest>,
    figures_missing: &BTreeSet<String>,
    stamp: EventStamp,
) {
    if book.is_some() {
        figures::note_missing_figures(visit, figures_missing, &stamp);
    }
    visit.based_on = Some(TextsInForce { book: book.clone(), store: store.clone(), stamp });
}

/// The plan before it is kept by name, for the day when the new one cannot be read.
pub(super) fn put_plan_in_force(
    visit: &mut Visit,
    (plan, why): (&ContentDigest, &str),
    again: &TakenUpAgain,
    stamp: EventStamp,
) {
    take_up_again(visit, again);
    let plan = PlanInForce { plan: plan.clone(), why: why.to_owned(), stamp };
    visit.earlier_plans.extend(visit.planned.replace(plan));
}

/// What is back in its place counts as untouched; a fastener that is not done there stays as it is.
fn take_up_again(visit: &mut Visit, again: &TakenUpAgain) {
    visit.parts.retain(|key, part| part.now || !again.parts.contains(key));
    visit.conditions.retain(|key, condition| condition.now || !again.conditions.contains(key));
    visit.openings.retain(|key, caps| caps.inside > 0 || !again.openings.contains(key));
    for fixing in &again.fixings {
        for fastener in visit.fasteners.of_fixing_mut(fixing).filter(|fastener| fastener.state.is_done()) {
            fastener.state = FastenerState::InPlace;
        }
    }
}

/// Notes who went on while questions stood open; the first word stays.
pub(super) fn go_on_while_open(visit: &mut Visit, open: &[String], name: &str, stamp: EventStamp) {
    let word = WentOnWhileOpen { open: open.to_vec(), name: name.to_owned(), stamp };
    visit.went_on.get_or_insert(word);
}

/// Notes that a line of the lists before the start is at hand, or is not after all.
pub(super) fn gather(visit: &mut Visit, what: &str, is_at_hand: bool) {
    if is_at_hand {
        visit.gathered.insert(what.to_owned());
    } else {
        visit.gathered.remove(what);
    }
}

pub(super) fn close_visit(visit: &mut Visit, name: &str, stamp: EventStamp) {
    visit.closed.get_or_insert(VisitClosing { name: name.to_owned(), stamp });
}
