//! What an event does to the state: writes down what it says, whatever it says, and never fails.
//!
//! Order and taking back are not decided here: [`crate::History`] folds this over the events that stand, in their order.

mod told;

use told::{breaks, happenings, told};

use crate::visit::{
    Claim, Closing, Deed, HandCount, Job, Made, Opened, Planned, PutIn, RECENT, Strange, Wait, Work,
};
use crate::{Body, Event, EventId, Stamp, StepTo, Visit};

/// Most closed pieces of work that are kept for looking at again after a break.
pub const LOOK_BACK: usize = 3;

/// Applies one event that stands.
pub fn evolve(visit: &mut Visit, event: &Event) {
    let stamp = Stamp::of(event);
    if !matches!(event.body, Body::Undone { .. }) {
        let recent = visit.recent.entry(event.order.device.clone()).or_default();
        recent.push(stamp.clone());
        if recent.len() > RECENT {
            recent.remove(0);
        }
    }
    match &event.body {
        Body::Opened { .. } | Body::Planned { .. } | Body::Closed { .. } | Body::Undone { .. } => {
            frame(visit, &event.body, stamp);
        }
        Body::Marked { .. } | Body::Renewed { .. } | Body::Settled { .. } => {
            fasteners(visit, &event.body, stamp);
        }
        Body::PartOff { .. }
        | Body::PartOn { .. }
        | Body::Established { .. }
        | Body::Restored { .. }
        | Body::Capped { .. }
        | Body::Uncapped { .. }
        | Body::Task { .. }
        | Body::Extra { .. } => places(visit, &event.body, stamp),
        Body::PutIn { .. }
        | Body::TakenOut { .. }
        | Body::Piece { .. }
        | Body::WaitBegan { .. }
        | Body::WaitOver { .. }
        | Body::Counted { .. } => counted(visit, &event.body, stamp),
        Body::Happened { .. }
        | Body::DealtWith { .. }
        | Body::GivenUp { .. }
        | Body::Found { .. }
        | Body::Answered { .. } => happenings(visit, &event.body, stamp),
        Body::Read { .. } | Body::Pictured { .. } | Body::Noted { .. } => told(visit, &event.body, stamp),
        Body::Paused { .. } | Body::Resumed | Body::LookedAgain { .. } | Body::Overridden { .. } => {
            breaks(visit, &event.body, stamp);
        }
    }
}

fn frame(visit: &mut Visit, body: &Body, stamp: Stamp) {
    match body {
        Body::Opened { vehicle, name, odometer, book, store, plan } => {
            let opened = Opened {
                vehicle: vehicle.clone(),
                name: name.clone(),
                odometer: odometer.clone(),
                book: book.clone(),
                store: store.clone(),
                stamp: stamp.clone(),
            };
            if visit.opened.as_ref().is_some_and(|o| !same_opening(o, &opened)) {
                strange(
                    visit,
                    "the visit was begun twice, with different words; the first stands".into(),
                    stamp,
                );
            } else if visit.opened.is_none() {
                let first = Planned { plan: plan.clone(), why: String::new(), stamp };
                visit.planned.get_or_insert(first);
                visit.opened = Some(opened);
            }
        }
        Body::Planned { plan, why } => {
            visit.planned = Some(Planned { plan: plan.clone(), why: why.clone(), stamp });
        }
        Body::Closed { name } => {
            visit.closed.get_or_insert(Closing { name: name.clone(), stamp });
        }
        _ => {}
    }
}

fn same_opening(a: &Opened, b: &Opened) -> bool {
    (&a.vehicle, &a.name, &a.odometer, &a.book, &a.store)
        == (&b.vehicle, &b.name, &b.odometer, &b.book, &b.store)
}

fn fasteners(visit: &mut Visit, body: &Body, stamp: Stamp) {
    match body {
        Body::Marked { fixing, holes, to, slot, stage } => {
            for was in holes {
                let claim = Claim { to: *to, stage: *stage, slot: slot.clone(), stamp: stamp.clone() };
                visit.fasteners.entry(fixing, &was.hole, &stamp).mark(was.from, claim);
            }
            let holes = holes.iter().map(|w| w.hole.clone());
            worked(visit, Deed::Marked(*to), fixing, holes, stamp);
        }
        Body::Renewed { fixing, holes } => {
            for hole in holes {
                visit.fasteners.entry(fixing, hole, &stamp).renew(&stamp);
            }
            worked(visit, Deed::Renewed, fixing, holes.iter().cloned(), stamp);
        }
        Body::Settled { fastener, to } => {
            let claim = Claim { to: *to, stage: None, slot: None, stamp: stamp.clone() };
            visit.fasteners.entry(&fastener.fixing, &fastener.hole, &stamp).settle(claim);
        }
        _ => {}
    }
}

fn places(visit: &mut Visit, body: &Body, stamp: Stamp) {
    let none = core::iter::empty;
    match body {
        Body::PartOff { part } => {
            Made::tell(&mut visit.parts, part, true, &stamp);
            worked(visit, Deed::PartOff, part, none(), stamp);
        }
        Body::PartOn { part } => {
            Made::tell(&mut visit.parts, part, false, &stamp);
            worked(visit, Deed::PartOn, part, none(), stamp);
        }
        Body::Established { condition } => {
            Made::tell(&mut visit.conditions, condition, true, &stamp);
            worked(visit, Deed::Established, condition, none(), stamp);
        }
        Body::Restored { condition } => {
            Made::tell(&mut visit.conditions, condition, false, &stamp);
            worked(visit, Deed::Restored, condition, none(), stamp);
        }
        Body::Capped { opening, count } => {
            visit.openings.entry(opening.clone()).or_default().cap(*count, &stamp);
            worked(visit, Deed::Capped, opening, none(), stamp);
        }
        Body::Uncapped { opening, count } => {
            let over = visit.openings.entry(opening.clone()).or_default().uncap(*count, &stamp);
            if over > 0 {
                let words = format!("{over} more caps came out of “{opening}” than were in");
                strange(visit, words, stamp.clone());
            }
            worked(visit, Deed::Uncapped, opening, none(), stamp);
        }
        Body::Task { task, work, to } => {
            let job = Job { work: Some(*work), to: *to, stamp: stamp.clone() };
            visit.tasks.insert(task.clone(), job);
            done(visit, task, *to, stamp);
        }
        Body::Extra { step, to } => {
            visit.extras.insert(step.clone(), Job { work: None, to: *to, stamp: stamp.clone() });
            done(visit, step, *to, stamp);
        }
        _ => {}
    }
}

fn done(visit: &mut Visit, key: &str, to: StepTo, stamp: Stamp) {
    if to == StepTo::Done {
        worked(visit, Deed::Done, key, core::iter::empty(), stamp);
    }
}

fn counted(visit: &mut Visit, body: &Body, stamp: Stamp) {
    match body {
        Body::PutIn { what, words, count, at } => {
            let (words, at) = (words.clone(), at.clone());
            let put_in = PutIn { what: *what, words, count: *count, left: *count, at, stamp: stamp.clone() };
            visit.put_ins.insert(stamp.event, put_in);
        }
        Body::TakenOut { put_in, count } => match visit.put_ins.get_mut(put_in).map(|p| p.take(*count)) {
            Some(0) => worked(visit, Deed::TakenOut, put_in.as_str(), core::iter::empty(), stamp),
            Some(over) => strange(visit, format!("{over} more came out than were put in"), stamp),
            None => unknown(visit, "something was taken out that nobody put in", put_in, stamp),
        },
        Body::Piece { piece, count, to } => {
            let over = visit.pieces.entry(piece.clone()).or_default().go(*count, to, &stamp);
            if over > 0 {
                strange(visit, format!("{over} more of “{piece}” came back than were out"), stamp);
            }
        }
        Body::WaitBegan { waiting, at } => {
            visit.waits.insert(stamp.event.clone(), Wait::began(waiting, at, &stamp));
        }
        Body::WaitOver { wait } => match visit.waits.get_mut(wait) {
            Some(known) => _ = known.over.get_or_insert(stamp),
            None => unknown(visit, "a wait is over that nobody began", wait, stamp),
        },
        Body::Counted { what, expected, counted } => {
            let count = HandCount { expected: *expected, counted: *counted, stamp };
            visit.counts.insert(what.clone(), count);
        }
        _ => {}
    }
}

fn strange(visit: &mut Visit, words: String, stamp: Stamp) {
    visit.strange.push(Strange { words, stamp });
}

fn unknown(visit: &mut Visit, what: &str, event: &EventId, stamp: Stamp) {
    strange(visit, format!("{what} (event {event})"), stamp);
}

/// Notes a closed piece of work; marks of one fixing to one state, one after the other, grow together.
fn worked(visit: &mut Visit, deed: Deed, key: &str, holes: impl Iterator<Item = String>, stamp: Stamp) {
    if let Some(last) = visit.works.first_mut().filter(|w| w.deed == deed && w.key == key) {
        last.holes.extend(holes);
        last.stamp = stamp;
        return;
    }
    let work = Work { deed, key: key.to_owned(), holes: holes.collect(), stamp };
    visit.works.insert(0, work);
    visit.works.truncate(LOOK_BACK);
}
