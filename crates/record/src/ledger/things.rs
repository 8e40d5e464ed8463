//! Lines about things put in, pieces, happenings, waits, findings, counts, and what does not fit.

use super::{LedgerDraft, LedgerLineKind};
use crate::visit::{AcceptedLine, HappeningEnd, VisitHappening};
use crate::{EventId, EventPlace, PutInKind, VisitHappeningKind};

pub(super) fn open_thing_lines(desk: &mut LedgerDraft<'_>) {
    open_put_in_lines(desk);
    open_piece_lines(desk);
    open_happening_lines(desk);
    open_wait_lines(desk);
    open_finding_lines(desk);
    open_approved_lines(desk);
    open_count_lines(desk);
    open_strange_lines(desk);
}

fn open_put_in_lines(desk: &mut LedgerDraft<'_>) {
    let visit = desk.visit;
    for (event, put_in) in visit.put_ins.iter().filter(|(_, p)| p.left > 0) {
        let (one, many) = put_in_words(put_in.what);
        let thing = if put_in.count == 1 { one } else { many };
        let words = if put_in.words.is_empty() { String::new() } else { format!(", {}", put_in.words) };
        let what = format!("{} of {} {thing} still in{words}", put_in.left, put_in.count);
        let closes = "take it out and count it".to_owned();
        desk.open_line(
            LedgerLineKind::PutIn,
            &[event.as_str()],
            put_in.at.clone(),
            (what, closes),
            &put_in.stamp,
        );
    }
}

fn open_piece_lines(desk: &mut LedgerDraft<'_>) {
    let visit = desk.visit;
    for (key, pieces) in &visit.pieces {
        let Some(since) = &pieces.since else { continue };
        if pieces.cart > 0 {
            let words = (format!("{key}: {} on the cart", pieces.cart), "put it back in its place".into());
            desk.open_line(LedgerLineKind::PieceOut, &[key], EventPlace::default(), words, since);
        }
        for (whom, count) in &pieces.lent {
            let words = (format!("{key}: {count} lent to {whom}"), "get it back and put it away".into());
            desk.open_line(LedgerLineKind::PieceLent, &[key, whom], EventPlace::default(), words, since);
        }
    }
}

fn open_happening_lines(desk: &mut LedgerDraft<'_>) {
    let visit = desk.visit;
    for (event, happening) in &visit.happenings {
        if !matches!(happening.end, Some(HappeningEnd::DealtWith { .. })) {
            open_happening_line(desk, event, happening);
        }
    }
}

/// What was given up stays on the ledger, accepted by who answers for it.
fn open_happening_line(desk: &mut LedgerDraft<'_>, event: &EventId, happening: &VisitHappening) {
    let kind = if happening.what == VisitHappeningKind::Lost {
        LedgerLineKind::Lost
    } else {
        LedgerLineKind::Happening
    };
    let told = if happening.words.is_empty() { String::new() } else { format!(": {}", happening.words) };
    let what = format!("{}{}{told}", happening_words(happening.what), place_words(desk, &happening.at));
    let words = (what, happening_closes(happening.what).to_owned());
    let line = desk.open_line(kind, &[event.as_str()], happening.at.clone(), words, &happening.stamp);
    if let Some(HappeningEnd::GivenUp { searched, name, stamp }) = &happening.end {
        let (reason, name) = (format!("not found; searched: {searched}"), name.clone());
        line.accepted = Some(AcceptedLine { reason, name, stamp: stamp.clone() });
    }
}

/// ", cover bolts 3".
fn place_words(desk: &LedgerDraft<'_>, at: &EventPlace) -> String {
    let fixing = at.fixing.as_ref().map(|key| desk.names.fixing(key).map_or(key, |f| &f.title).clone());
    let part = at.part.as_ref().map(|key| desk.names.part(key).map_or(key, |p| &p.title).clone());
    let opening = at.opening.as_ref().map(|key| desk.names.opening(key).map_or(key, |o| &o.title).clone());
    let hole = at.hole.as_ref().map_or_else(String::new, |h| format!(" {h}"));
    fixing.map(|f| format!("{f}{hole}")).or(opening).or(part).map_or_else(String::new, |p| format!(", {p}"))
}

fn open_wait_lines(desk: &mut LedgerDraft<'_>) {
    let visit = desk.visit;
    for (event, wait) in visit.waits.iter().filter(|(_, w)| w.over.is_none()) {
        let words = (format!("waiting for {}", wait.waiting.what), "record when it is over".into());
        let line =
            desk.open_line(LedgerLineKind::Wait, &[event.as_str()], wait.at.clone(), words, &wait.stamp);
        line.ends_ms = wait.ends_ms;
    }
}

fn open_finding_lines(desk: &mut LedgerDraft<'_>) {
    let visit = desk.visit;
    for (event, finding) in visit.findings.iter().filter(|(_, f)| !f.is_answered()) {
        let since = finding.answer.as_ref().map_or(&finding.stamp, |a| &a.stamp);
        let asked =
            if finding.answer.is_some() { "the owner wants to talk" } else { "the owner has not answered" };
        let words = (format!("{}: {asked}", finding.words), "get the owner's yes or no".into());
        desk.open_line(LedgerLineKind::Finding, &[event.as_str()], finding.at.clone(), words, since);
    }
}

/// What the owner wants done and nobody has done yet.
fn open_approved_lines(desk: &mut LedgerDraft<'_>) {
    let visit = desk.visit;
    for (event, finding) in visit.findings.iter().filter(|(_, f)| f.is_approved()) {
        if visit.is_finding_done(finding) {
            continue;
        }
        let since = finding.answer.as_ref().map_or(&finding.stamp, |a| &a.stamp);
        let words = (format!("{}: the owner wants it done", finding.words), "do it and record how".into());
        desk.open_line(LedgerLineKind::Approved, &[event.as_str()], finding.at.clone(), words, since);
    }
}

fn open_count_lines(desk: &mut LedgerDraft<'_>) {
    let visit = desk.visit;
    for (what, count) in visit.counts.iter().filter(|(_, c)| c.counted != c.expected) {
        let words = (
            format!("{what}: {} counted, {} expected", count.counted, count.expected),
            "find the difference and count again".into(),
        );
        desk.open_line(LedgerLineKind::Count, &[what], EventPlace::default(), words, &count.stamp);
    }
}

fn open_strange_lines(desk: &mut LedgerDraft<'_>) {
    let visit = desk.visit;
    for strange in &visit.strange {
        let names = ["event", strange.stamp.event.as_str()];
        let words = (strange.words.clone(), "look at it, then accept this line or undo the event".into());
        desk.open_line(LedgerLineKind::Strange, &names, EventPlace::default(), words, &strange.stamp);
    }
}

/// The noun for one and for several.
const fn put_in_words(what: PutInKind) -> (&'static str, &'static str) {
    match what {
        PutInKind::Plug => ("plug", "plugs"),
        PutInKind::Rag => ("rag", "rags"),
        PutInKind::Tape => ("piece of tape", "pieces of tape"),
        PutInKind::TetheredTool => ("tool on a tether", "tools on tethers"),
        PutInKind::LockingPin => ("locking pin", "locking pins"),
        PutInKind::Other => ("thing", "things"),
    }
}

const fn happening_words(what: VisitHappeningKind) -> &'static str {
    match what {
        VisitHappeningKind::Seized => "seized",
        VisitHappeningKind::Rounded => "rounded off",
        VisitHappeningKind::Broken => "broken",
        VisitHappeningKind::ThreadCameOut => "the thread came out",
        VisitHappeningKind::Extra => "part not in the book",
        VisitHappeningKind::WrongPart => "wrong part",
        VisitHappeningKind::PartMissing => "part missing",
        VisitHappeningKind::Lost => "lost",
        VisitHappeningKind::FoundLikeThis => "found like this",
    }
}

const fn happening_closes(what: VisitHappeningKind) -> &'static str {
    match what {
        VisitHappeningKind::Seized | VisitHappeningKind::Rounded => "get it out and record how",
        VisitHappeningKind::Broken => "get the remains out and record how",
        VisitHappeningKind::ThreadCameOut => "repair the thread and record how",
        VisitHappeningKind::Extra => "record what was done with it",
        VisitHappeningKind::WrongPart => "get the right one",
        VisitHappeningKind::PartMissing => "get it",
        VisitHappeningKind::Lost => "find it, or search and record who takes responsibility for going on",
        VisitHappeningKind::FoundLikeThis => "record what was done about it",
    }
}
