//! What happened off the plan and how it ended; findings and the owner's decision on them.

use model::FastenerState;

use super::note_unknown;
use crate::visit::{FastenerClaim, Finding, FindingEnd, HappeningEnd, OwnerAnswer, ToldRisk, VisitHappening};
use crate::{EventId, EventPlace, EventStamp, OwnerWord, Visit, VisitBody, VisitHappeningKind};

pub(super) fn note_happening(
    visit: &mut Visit,
    what: VisitHappeningKind,
    at: &EventPlace,
    words: &str,
    stamp: EventStamp,
) {
    if let (Some(fixing), Some(hole), Some(to)) = (&at.fixing, &at.hole, state_left_by(what)) {
        let claim = FastenerClaim { to, stage: None, slot: None, stamp: stamp.clone() };
        visit.fasteners.entry(fixing, hole, &stamp).apply_word(claim);
    }
    let (at, words) = (at.clone(), words.to_owned());
    let happening = VisitHappening { what, at, words, stamp: stamp.clone(), end: None };
    visit.happenings.insert(stamp.event, happening);
}

pub(super) fn deal_with(visit: &mut Visit, happening: &EventId, how: &str, stamp: EventStamp) {
    let end = HappeningEnd::DealtWith { how: how.to_owned(), stamp: stamp.clone() };
    end_happening(visit, happening, end, stamp);
}

pub(super) fn give_up(visit: &mut Visit, happening: &EventId, searched: &str, name: &str, stamp: EventStamp) {
    let (searched, name) = (searched.to_owned(), name.to_owned());
    let end = HappeningEnd::GivenUp { searched, name, stamp: stamp.clone() };
    end_happening(visit, happening, end, stamp);
}

/// Keeps a finding; another kind of body is none.
pub(super) fn note_finding(visit: &mut Visit, body: &VisitBody, stamp: EventStamp) {
    let VisitBody::Found { words, price_from_cents, price_to_cents, if_left, task, at } = body else {
        return;
    };
    let finding = Finding {
        words: words.clone(),
        price_from_cents: *price_from_cents,
        price_to_cents: *price_to_cents,
        if_left: if_left.clone(),
        task: task.clone(),
        at: at.clone(),
        stamp: stamp.clone(),
        answer: None,
        done: None,
    };
    visit.findings.insert(stamp.event, finding);
}

/// What was found is put right.
pub(super) fn close_finding(visit: &mut Visit, finding: &EventId, how: &str, stamp: EventStamp) {
    match visit.findings.get_mut(finding) {
        Some(known) => known.done = Some(FindingEnd { how: how.to_owned(), stamp }),
        None => note_unknown(visit, "an end of an unknown finding", finding, stamp),
    }
}

/// Keeps what may turn up; another kind of body is no risk.
pub(super) fn note_risk(visit: &mut Visit, body: &VisitBody, stamp: EventStamp) {
    let VisitBody::RiskTold { words, chance_percent, price_from_cents, price_to_cents } = body else {
        return;
    };
    visit.risks.push(ToldRisk {
        words: words.clone(),
        chance_percent: *chance_percent,
        price_from_cents: *price_from_cents,
        price_to_cents: *price_to_cents,
        stamp,
    });
}

pub(super) fn answer_finding(
    visit: &mut Visit,
    finding: &EventId,
    word: OwnerWord,
    by: &str,
    stamp: EventStamp,
) {
    match visit.findings.get_mut(finding) {
        Some(known) => known.answer = Some(OwnerAnswer { word, by: by.to_owned(), stamp }),
        None => note_unknown(visit, "an answer to an unknown finding", finding, stamp),
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

/// Dealing with a happening overrides giving it up; otherwise the first outcome is kept.
fn end_happening(visit: &mut Visit, happening: &EventId, end: HappeningEnd, stamp: EventStamp) {
    let Some(known) = visit.happenings.get_mut(happening) else {
        return note_unknown(visit, "an unknown happening was dealt with", happening, stamp);
    };
    let found_after_all = matches!(end, HappeningEnd::DealtWith { .. })
        && matches!(known.end, Some(HappeningEnd::GivenUp { .. }));
    if known.end.is_none() || found_after_all {
        known.end = Some(end);
    }
}
