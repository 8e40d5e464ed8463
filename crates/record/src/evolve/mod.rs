//! What an event does to the state: writes down what it says, whatever it says, and never fails.
//!
//! Order and taking back are not decided here: [`crate::History`] folds this over the events that stand, in their order.

mod reports;

use reports::{evolve_breaks, evolve_happenings, evolve_reports};

use crate::visit::{
    ClosedWork, FastenerClaim, HandCount, MAX_RECENT_EVENTS, PlanInForce, StrangeEvent, TaskStanding,
    ThingPutIn, ToggleState, VisitClosing, VisitStart, VisitWait, WorkKind,
};
use crate::{Event, EventBody, EventId, EventStamp, StepMark, Visit};

/// Most closed pieces of work that are kept for looking at again after a break.
pub const MAX_LOOK_BACK: usize = 3;

/// Applies one event that stands.
pub fn evolve(visit: &mut Visit, event: &Event) {
    let stamp = EventStamp::of_event(event);
    if !matches!(event.body, EventBody::Undone { .. }) {
        let recent = visit.recent.entry(event.order.device.clone()).or_default();
        recent.push(stamp.clone());
        if recent.len() > MAX_RECENT_EVENTS {
            recent.remove(0);
        }
    }
    match &event.body {
        EventBody::Opened { .. }
        | EventBody::Planned { .. }
        | EventBody::Closed { .. }
        | EventBody::Undone { .. } => {
            evolve_frame(visit, &event.body, stamp);
        }
        EventBody::Marked { .. } | EventBody::Renewed { .. } | EventBody::Settled { .. } => {
            evolve_fasteners(visit, &event.body, stamp);
        }
        EventBody::PartOff { .. }
        | EventBody::PartOn { .. }
        | EventBody::Established { .. }
        | EventBody::Restored { .. }
        | EventBody::Capped { .. }
        | EventBody::Uncapped { .. }
        | EventBody::Task { .. }
        | EventBody::Extra { .. } => evolve_places(visit, &event.body, stamp),
        EventBody::PutIn { .. }
        | EventBody::TakenOut { .. }
        | EventBody::Piece { .. }
        | EventBody::WaitBegan { .. }
        | EventBody::WaitOver { .. }
        | EventBody::Counted { .. } => evolve_counted(visit, &event.body, stamp),
        EventBody::Happened { .. }
        | EventBody::DealtWith { .. }
        | EventBody::GivenUp { .. }
        | EventBody::Found { .. }
        | EventBody::Answered { .. } => evolve_happenings(visit, &event.body, stamp),
        EventBody::Read { .. } | EventBody::Pictured { .. } | EventBody::Noted { .. } => {
            evolve_reports(visit, &event.body, stamp)
        }
        EventBody::Paused { .. }
        | EventBody::Resumed
        | EventBody::LookedAgain { .. }
        | EventBody::Overridden { .. } => {
            evolve_breaks(visit, &event.body, stamp);
        }
    }
}

fn evolve_frame(visit: &mut Visit, body: &EventBody, stamp: EventStamp) {
    match body {
        EventBody::Opened { vehicle, name, odometer, book, store, plan } => {
            let opened = VisitStart {
                vehicle: vehicle.clone(),
                name: name.clone(),
                odometer: odometer.clone(),
                book: book.clone(),
                store: store.clone(),
                stamp: stamp.clone(),
            };
            if visit.opened.as_ref().is_some_and(|o| !is_same_start(o, &opened)) {
                note_strange(
                    visit,
                    "the visit was begun twice, with different words; the first stands".into(),
                    stamp,
                );
            } else if visit.opened.is_none() {
                let first = PlanInForce { plan: plan.clone(), why: String::new(), stamp };
                visit.planned.get_or_insert(first);
                visit.opened = Some(opened);
            }
        }
        EventBody::Planned { plan, why } => {
            visit.planned = Some(PlanInForce { plan: plan.clone(), why: why.clone(), stamp });
        }
        EventBody::Closed { name } => {
            visit.closed.get_or_insert(VisitClosing { name: name.clone(), stamp });
        }
        _ => {}
    }
}

fn is_same_start(a: &VisitStart, b: &VisitStart) -> bool {
    (&a.vehicle, &a.name, &a.odometer, &a.book, &a.store)
        == (&b.vehicle, &b.name, &b.odometer, &b.book, &b.store)
}

fn evolve_fasteners(visit: &mut Visit, body: &EventBody, stamp: EventStamp) {
    match body {
        EventBody::Marked { fixing, holes, to, slot, stage } => {
            for was in holes {
                let claim =
                    FastenerClaim { to: *to, stage: *stage, slot: slot.clone(), stamp: stamp.clone() };
                visit.fasteners.entry(fixing, &was.hole, &stamp).apply_mark(was.from, claim);
            }
            let holes = holes.iter().map(|w| w.hole.clone());
            note_work(visit, WorkKind::Marked(*to), fixing, holes, stamp);
        }
        EventBody::Renewed { fixing, holes } => {
            for hole in holes {
                visit.fasteners.entry(fixing, hole, &stamp).apply_renewal(&stamp);
            }
            note_work(visit, WorkKind::Renewed, fixing, holes.iter().cloned(), stamp);
        }
        EventBody::Settled { fastener, to } => {
            let claim = FastenerClaim { to: *to, stage: None, slot: None, stamp: stamp.clone() };
            visit.fasteners.entry(&fastener.fixing, &fastener.hole, &stamp).apply_settling(claim);
        }
        _ => {}
    }
}

fn evolve_places(visit: &mut Visit, body: &EventBody, stamp: EventStamp) {
    let none = core::iter::empty;
    match body {
        EventBody::PartOff { part } => {
            ToggleState::record_change(&mut visit.parts, part, true, &stamp);
            note_work(visit, WorkKind::PartOff, part, none(), stamp);
        }
        EventBody::PartOn { part } => {
            ToggleState::record_change(&mut visit.parts, part, false, &stamp);
            note_work(visit, WorkKind::PartOn, part, none(), stamp);
        }
        EventBody::Established { condition } => {
            ToggleState::record_change(&mut visit.conditions, condition, true, &stamp);
            note_work(visit, WorkKind::Established, condition, none(), stamp);
        }
        EventBody::Restored { condition } => {
            ToggleState::record_change(&mut visit.conditions, condition, false, &stamp);
            note_work(visit, WorkKind::Restored, condition, none(), stamp);
        }
        EventBody::Capped { opening, count } => {
            visit.openings.entry(opening.clone()).or_default().put_caps_in(*count, &stamp);
            note_work(visit, WorkKind::Capped, opening, none(), stamp);
        }
        EventBody::Uncapped { opening, count } => {
            let over = visit.openings.entry(opening.clone()).or_default().take_caps_out(*count, &stamp);
            if over > 0 {
                let words = format!("{over} more caps came out of “{opening}” than were in");
                note_strange(visit, words, stamp.clone());
            }
            note_work(visit, WorkKind::Uncapped, opening, none(), stamp);
        }
        EventBody::Task { task, work, to } => {
            let job = TaskStanding { work: Some(*work), to: *to, stamp: stamp.clone() };
            visit.tasks.insert(task.clone(), job);
            note_done(visit, task, *to, stamp);
        }
        EventBody::Extra { step, to } => {
            visit.extras.insert(step.clone(), TaskStanding { work: None, to: *to, stamp: stamp.clone() });
            note_done(visit, step, *to, stamp);
        }
        _ => {}
    }
}

fn note_done(visit: &mut Visit, key: &str, to: StepMark, stamp: EventStamp) {
    if to == StepMark::Done {
        note_work(visit, WorkKind::Done, key, core::iter::empty(), stamp);
    }
}

fn evolve_counted(visit: &mut Visit, body: &EventBody, stamp: EventStamp) {
    match body {
        EventBody::PutIn { what, words, count, at } => {
            let (words, at) = (words.clone(), at.clone());
            let put_in =
                ThingPutIn { what: *what, words, count: *count, left: *count, at, stamp: stamp.clone() };
            visit.put_ins.insert(stamp.event, put_in);
        }
        EventBody::TakenOut { put_in, count } => {
            match visit.put_ins.get_mut(put_in).map(|p| p.take_out(*count)) {
                Some(0) => note_work(visit, WorkKind::TakenOut, put_in.as_str(), core::iter::empty(), stamp),
                Some(over) => note_strange(visit, format!("{over} more came out than were put in"), stamp),
                None => note_unknown(visit, "something was taken out that nobody put in", put_in, stamp),
            }
        }
        EventBody::Piece { piece, count, to } => {
            let over = visit.pieces.entry(piece.clone()).or_default().move_copies(*count, to, &stamp);
            if over > 0 {
                note_strange(visit, format!("{over} more of “{piece}” came back than were out"), stamp);
            }
        }
        EventBody::WaitBegan { waiting, at } => {
            visit.waits.insert(stamp.event.clone(), VisitWait::new(waiting, at, &stamp));
        }
        EventBody::WaitOver { wait } => match visit.waits.get_mut(wait) {
            Some(known) => _ = known.over.get_or_insert(stamp),
            None => note_unknown(visit, "a wait is over that nobody began", wait, stamp),
        },
        EventBody::Counted { what, expected, counted } => {
            let count = HandCount { expected: *expected, counted: *counted, stamp };
            visit.counts.insert(what.clone(), count);
        }
        _ => {}
    }
}

fn note_strange(visit: &mut Visit, words: String, stamp: EventStamp) {
    visit.strange.push(StrangeEvent { words, stamp });
}

fn note_unknown(visit: &mut Visit, what: &str, event: &EventId, stamp: EventStamp) {
    note_strange(visit, format!("{what} (event {event})"), stamp);
}

/// Notes a closed piece of work; marks of one fixing to one state, one after the other, grow together.
fn note_work(
    visit: &mut Visit,
    deed: WorkKind,
    key: &str,
    holes: impl Iterator<Item = String>,
    stamp: EventStamp,
) {
    if let Some(last) = visit.works.first_mut().filter(|w| w.deed == deed && w.key == key) {
        last.holes.extend(holes);
        last.stamp = stamp;
        return;
    }
    let work = ClosedWork { deed, key: key.to_owned(), holes: holes.collect(), stamp };
    visit.works.insert(0, work);
    visit.works.truncate(MAX_LOOK_BACK);
}
