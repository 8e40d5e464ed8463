//! What was read, seen, noted; breaks, second looks, accepted lines.

use crate::visit::{AcceptedLine, SecondLook, VisitNote, VisitPicture, VisitReading, WorkPause};
use crate::{ContentDigest, EventId, EventPlace, EventStamp, MeasuredReading, Visit};

pub(super) fn note_reading(visit: &mut Visit, reading: &MeasuredReading, at: &EventPlace, stamp: EventStamp) {
    visit.readings.push(VisitReading { reading: reading.clone(), at: at.clone(), stamp });
}

pub(super) fn note_picture(
    visit: &mut Visit,
    picture: &ContentDigest,
    original: &ContentDigest,
    at: &EventPlace,
    stamp: EventStamp,
) {
    let (picture, original) = (picture.clone(), original.clone());
    visit.pictures.push(VisitPicture { picture, original, at: at.clone(), stamp });
}

pub(super) fn note_words(visit: &mut Visit, words: &str, at: &EventPlace, stamp: EventStamp) {
    visit.notes.push(VisitNote { words: words.to_owned(), at: at.clone(), stamp });
}

pub(super) fn pause_work(visit: &mut Visit, words: &str, at: &EventPlace, stamp: EventStamp) {
    let (words, at) = (words.to_owned(), at.clone());
    let before = visit.works.clone();
    visit.pauses.push(WorkPause { words, at, stamp, resumed: None, before });
}

pub(super) fn resume_work(visit: &mut Visit, stamp: EventStamp) {
    let resting = visit.pauses.iter_mut().filter(|p| p.resumed.is_none());
    resting.for_each(|p| p.resumed = Some(stamp.clone()));
}

pub(super) fn note_second_look(visit: &mut Visit, event: &EventId, method: &str, stamp: EventStamp) {
    visit.looked.push(SecondLook { event: event.clone(), method: method.to_owned(), stamp });
}

pub(super) fn accept_line(visit: &mut Visit, line: &str, reason: &str, name: &str, stamp: EventStamp) {
    let (reason, name) = (reason.to_owned(), name.to_owned());
    visit.overrides.insert(line.to_owned(), AcceptedLine { reason, name, stamp });
}
