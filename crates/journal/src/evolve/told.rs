//! What an event tells: happenings and their end, findings, readings, pictures, notes, breaks, overrides.

use model::FastenerState;

use super::unknown;
use crate::visit::{
    Answer, Claim, Finding, Happening, HappeningEnd, Looked, Note, Override, Pause, Picture, Taken,
};
use crate::{Body, EventId, HappeningKind, Stamp, Visit};

pub(super) fn happenings(visit: &mut Visit, body: &Body, stamp: Stamp) {
    match body {
        Body::Happened { what, at, words } => {
            if let (Some(fixing), Some(hole), Some(to)) = (&at.fixing, &at.hole, leaves(*what)) {
                let claim = Claim { to, stage: None, slot: None, stamp: stamp.clone() };
                visit.fasteners.entry(fixing, hole, &stamp).say(claim);
            }
            let (at, words) = (at.clone(), words.clone());
            let happening = Happening { what: *what, at, words, stamp: stamp.clone(), end: None };
            visit.happenings.insert(stamp.event, happening);
        }
        Body::DealtWith { happening, how } => {
            let end = HappeningEnd::DealtWith { how: how.clone(), stamp: stamp.clone() };
            ended(visit, happening, end, stamp);
        }
        Body::GivenUp { happening, searched, name } => {
            let (searched, name) = (searched.clone(), name.clone());
            let end = HappeningEnd::GivenUp { searched, name, stamp: stamp.clone() };
            ended(visit, happening, end, stamp);
        }
        Body::Found { words, price_from_cents, price_to_cents, if_left, at } => {
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
        Body::Answered { finding, word, by } => match visit.findings.get_mut(finding) {
            Some(known) => known.answer = Some(Answer { word: *word, by: by.clone(), stamp }),
            None => unknown(visit, "an answer to a finding that nobody told of", finding, stamp),
        },
        _ => {}
    }
}

/// How a happening leaves the fastener that it happened to; `None`: as it was.
fn leaves(what: HappeningKind) -> Option<FastenerState> {
    match what {
        HappeningKind::Broken => Some(FastenerState::Broken),
        HappeningKind::Lost => Some(FastenerState::Missing),
        HappeningKind::ThreadCameOut => Some(FastenerState::Off),
        HappeningKind::Seized
        | HappeningKind::Rounded
        | HappeningKind::Extra
        | HappeningKind::WrongPart
        | HappeningKind::PartMissing
        | HappeningKind::FoundLikeThis => None,
    }
}

/// Dealing with a happening outweighs giving it up; otherwise the first end stands.
fn ended(visit: &mut Visit, happening: &EventId, end: HappeningEnd, stamp: Stamp) {
    let Some(known) = visit.happenings.get_mut(happening) else {
        return unknown(visit, "something is dealt with that did not happen", happening, stamp);
    };
    let found_after_all = matches!(end, HappeningEnd::DealtWith { .. })
        && matches!(known.end, Some(HappeningEnd::GivenUp { .. }));
    if known.end.is_none() || found_after_all {
        known.end = Some(end);
    }
}

pub(super) fn told(visit: &mut Visit, body: &Body, stamp: Stamp) {
    match body {
        Body::Read { reading, at } => {
            visit.readings.push(Taken { reading: reading.clone(), at: at.clone(), stamp });
        }
        Body::Pictured { picture, original, at } => {
            let (picture, original) = (picture.clone(), original.clone());
            visit.pictures.push(Picture { picture, original, at: at.clone(), stamp });
        }
        Body::Noted { words, at } => {
            visit.notes.push(Note { words: words.clone(), at: at.clone(), stamp });
        }
        _ => {}
    }
}

pub(super) fn breaks(visit: &mut Visit, body: &Body, stamp: Stamp) {
    match body {
        Body::Paused { words, at } => {
            let (words, at) = (words.clone(), at.clone());
            let before = visit.works.clone();
            visit.pauses.push(Pause { words, at, stamp, resumed: None, before });
        }
        Body::Resumed => {
            let resting = visit.pauses.iter_mut().filter(|p| p.resumed.is_none());
            resting.for_each(|p| p.resumed = Some(stamp.clone()));
        }
        Body::LookedAgain { event, method } => {
            visit.looked.push(Looked { event: event.clone(), method: method.clone(), stamp });
        }
        Body::Overridden { line, reason, name } => {
            let (reason, name) = (reason.clone(), name.clone());
            visit.overrides.insert(line.clone(), Override { reason, name, stamp });
        }
        _ => {}
    }
}
