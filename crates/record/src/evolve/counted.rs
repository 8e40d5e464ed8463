//! Things put in and taken out, pieces, waits, counts by hand.

use super::{note_strange, note_unknown, note_work};
use crate::visit::{HandCount, ThingPutIn, VisitWait, WorkKind};
use crate::{EventId, EventPlace, EventStamp, ExpectedWait, PieceDestination, PutInKind, Visit};

pub(super) fn put_in(
    visit: &mut Visit,
    what: PutInKind,
    words: &str,
    count: u16,
    at: &EventPlace,
    stamp: EventStamp,
) {
    let (words, at) = (words.to_owned(), at.clone());
    let put_in = ThingPutIn { what, words, count, left: count, at, stamp: stamp.clone() };
    visit.put_ins.insert(stamp.event, put_in);
}

pub(super) fn take_out(visit: &mut Visit, put_in: &EventId, count: u16, stamp: EventStamp) {
    match visit.put_ins.get_mut(put_in).map(|p| p.take_out(count)) {
        Some(0) => note_work(visit, WorkKind::TakenOut, put_in.as_str(), core::iter::empty(), stamp),
        Some(over) => note_strange(visit, format!("{over} more came out than were put in"), stamp),
        None => note_unknown(visit, "something was taken out that was never put in", put_in, stamp),
    }
}

pub(super) fn move_piece(
    visit: &mut Visit,
    piece: &str,
    count: u16,
    to: &PieceDestination,
    stamp: EventStamp,
) {
    let over = visit.pieces.entry(piece.to_owned()).or_default().move_copies(count, to, &stamp);
    if over > 0 {
        note_strange(visit, format!("“{piece}”: {over} more came back than were out"), stamp);
    }
}

pub(super) fn begin_wait(visit: &mut Visit, waiting: &ExpectedWait, at: &EventPlace, stamp: EventStamp) {
    visit.waits.insert(stamp.event.clone(), VisitWait::new(waiting, at, &stamp));
}

pub(super) fn end_wait(visit: &mut Visit, wait: &EventId, stamp: EventStamp) {
    match visit.waits.get_mut(wait) {
        Some(known) => _ = known.over.get_or_insert(stamp),
        None => note_unknown(visit, "a wait ended that was never started", wait, stamp),
    }
}

pub(super) fn note_hand_count(visit: &mut Visit, what: &str, expected: u32, counted: u32, stamp: EventStamp) {
    visit.counts.insert(what.to_owned(), HandCount { expected, counted, stamp });
}
