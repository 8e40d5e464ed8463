//! What an event tells: happenings and their end, findings, readings, pictures, notes, breaks, overrides.

use model::FastenerState;

use super::note_unknown;
use crate::visit::{
    AcceptedLine, FastenerClaim, Finding, HappeningEnd, OwnerAnswer, SecondLook, VisitHappening, VisitNote,
    VisitPicture, VisitReading, WorkPause,
};
use crate::{EventBody, EventId, EventStamp, Visit, VisitHappeningKind};

pub(super) fn evolve_happenings(visit: &mut Visit, body: &EventBody, stamp: EventStamp) {
    match body {
        EventBody::Happened { what, at, words } => {
            if let (Some(fixing), Some(hole), Some(to)) = (&at.fixing, &at.hole, state_left_by(*what)) {
                let claim = FastenerClaim { to, stage: None, slot: None, stamp: stamp.clone() };
                visit.fasteners.entry(fixing, hole, &stamp).apply_word(claim);
            }
            let (at, words) = (at.clone(), words.clone());
            let happening = VisitHappening { what: *what, at, words, stamp: stamp.clone(), end: None };
            visit.happenings.insert(stamp.event, happening);
        }
        EventBody::DealtWith { happening, how } => {
            let end = HappeningEnd::DealtWith { how: how.clone(), stamp: stamp.clone() };
            end_happening(visit, happening, end, stamp);
        }
        EventBody::GivenUp { happening, searched, name } => {
            let (searched, name) = (searched.clone(), name.clone());
            let end = HappeningEnd::GivenUp { searched, name, stamp: stamp.clone() };
            end_happening(visit, happening, end, stamp);
        }
        EventBody::Found { words, price_from_cents, price_to_cents, if_left, at } => {
            let finding = Finding {
                words: words.clone(),
                price_from_cents: *price_from_cents,
                price_to_cents: *price_to_cents,
                if_left: if_left.clone(),
                at: at.clone(),
                stamp: stamp.clone(),
                answer: None,
            };
            visit.findings.insert(stamp.event, finding);
        }
        EventBody::Answered { finding, word, by } => match visit.findings.get_mut(finding) {
            Some(known) => known.answer = Some(OwnerAnswer { word: *word, by: by.clone(), stamp }),
            None => note_unknown(visit, "an answer to a finding that nobody told of", finding, stamp),
        },
        _ => {}
    }
}

/// How a happening leaves the fastener that it happened to; `None`: as it was.
fn state_left_by(what: VisitHappeningKind) -> Option<FastenerState> {
    match what {
        VisitHappeningKind::Broken => Some(FastenerState::Broken),
        VisitHappeningKind::Lost => Some(FastenerState::Missing),
        VisitHappeningKind::ThreadCameOut => Some(FastenerState::Off),
        VisitHappeningKind::Seized
        | VisitHappeningKind::Rounded
        | VisitHappeningKind::Extra
        | VisitHappeningKind::WrongPart
        | VisitHappeningKind::PartMissing
        | VisitHappeningKind::FoundLikeThis => None,
    }
}

/// Dealing with a happening outweighs giving it up; otherwise the first end stands.
fn end_happening(visit: &mut Visit, happening: &EventId, end: HappeningEnd, stamp: EventStamp) {
    let Some(known) = visit.happenings.get_mut(happening) else {
        return note_unknown(visit, "something is dealt with that did not happen", happening, stamp);
    };
    let found_after_all = matches!(end, HappeningEnd::DealtWith { .. })
        && matches!(known.end, Some(HappeningEnd::GivenUp { .. }));
    if known.end.is_none() || found_after_all {
        known.end = Some(end);
    }
}

pub(super) fn evolve_reports(visit: &mut Visit, body: &EventBody, stamp: EventStamp) {
    match body {
        EventBody::Read { reading, at } => {
            visit.readings.push(VisitReading { reading: reading.clone(), at: at.clone(), stamp });
        }
        EventBody::Pictured { picture, original, at } => {
            let (picture, original) = (picture.clone(), original.clone());
            visit.pictures.push(VisitPicture { picture, original, at: at.clone(), stamp });
        }
        EventBody::Noted { words, at } => {
            visit.notes.push(VisitNote { words: words.clone(), at: at.clone(), stamp });
        }
        _ => {}
    }
}

pub(super) fn evolve_breaks(visit: &mut Visit, body: &EventBody, stamp: EventStamp) {
    match body {
        EventBody::Paused { words, at } => {
            let (words, at) = (words.clone(), at.clone());
            let before = visit.works.clone();
            visit.pauses.push(WorkPause { words, at, stamp, resumed: None, before });
        }
        EventBody::Resumed => {
            let resting = visit.pauses.iter_mut().filter(|p| p.resumed.is_none());
            resting.for_each(|p| p.resumed = Some(stamp.clone()));
        }
        EventBody::LookedAgain { event, method } => {
            visit.looked.push(SecondLook { event: event.clone(), method: method.clone(), stamp });
        }
        EventBody::Overridden { line, reason, name } => {
            let (reason, name) = (reason.clone(), name.clone());
            visit.overrides.insert(line.clone(), AcceptedLine { reason, name, stamp });
        }
        _ => {}
    }
}
