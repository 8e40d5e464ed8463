//! Lines about things put in, pieces, happenings, waits, findings, counts, and what does not fit.

use super::places::count_words;
use super::{Desk, LineKind};
use crate::visit::{Happening, HappeningEnd, Override};
use crate::{At, EventId, HappeningKind, PutInKind};

pub(super) fn open(desk: &mut Desk<'_>) {
    put_ins(desk);
    pieces(desk);
    happenings(desk);
    waits(desk);
    findings(desk);
    counts(desk);
    strange(desk);
}

fn put_ins(desk: &mut Desk<'_>) {
    let visit = desk.visit;
    for (event, put_in) in visit.put_ins.iter().filter(|(_, p)| p.left > 0) {
        let thing = put_in_words(put_in.what);
        let words = if put_in.words.is_empty() { String::new() } else { format!(", {}", put_in.words) };
        let what = format!("{} in of {}{words}", count_words(put_in.left.into(), thing), put_in.count);
        let closes = "take it out and count it".to_owned();
        desk.open(LineKind::PutIn, &[event.as_str()], put_in.at.clone(), (what, closes), &put_in.stamp);
    }
}

fn pieces(desk: &mut Desk<'_>) {
    let visit = desk.visit;
    for (key, pieces) in &visit.pieces {
        let Some(since) = &pieces.since else { continue };
        if pieces.cart > 0 {
            let words = (format!("{key}: {} on the cart", pieces.cart), "put it back in its place".into());
            desk.open(LineKind::PieceOut, &[key], At::default(), words, since);
        }
        for (whom, count) in &pieces.lent {
            let words = (format!("{key}: {count} lent to {whom}"), "get it back into its place".into());
            desk.open(LineKind::PieceLent, &[key, whom], At::default(), words, since);
        }
    }
}

fn happenings(desk: &mut Desk<'_>) {
    let visit = desk.visit;
    for (event, happening) in &visit.happenings {
        if !matches!(happening.end, Some(HappeningEnd::DealtWith { .. })) {
            happening_line(desk, event, happening);
        }
    }
}

/// What was given up stays on the ledger, accepted by who answers for it.
fn happening_line(desk: &mut Desk<'_>, event: &EventId, happening: &Happening) {
    let kind = if happening.what == HappeningKind::Lost { LineKind::Lost } else { LineKind::Happening };
    let told = if happening.words.is_empty() { String::new() } else { format!(": {}", happening.words) };
    let what = format!("{}{}{told}", happening_words(happening.what), place_words(desk, &happening.at));
    let words = (what, happening_closes(happening.what).to_owned());
    let line = desk.open(kind, &[event.as_str()], happening.at.clone(), words, &happening.stamp);
    if let Some(HappeningEnd::GivenUp { searched, name, stamp }) = &happening.end {
        let (reason, name) = (format!("not found; searched: {searched}"), name.clone());
        line.accepted = Some(Override { reason, name, stamp: stamp.clone() });
    }
}

/// ", cover bolts 3".
fn place_words(desk: &Desk<'_>, at: &At) -> String {
    let fixing = at.fixing.as_ref().map(|key| desk.names.fixing(key).map_or(key, |f| &f.title).clone());
    let part = at.part.as_ref().map(|key| desk.names.part(key).map_or(key, |p| &p.title).clone());
    let opening = at.opening.as_ref().map(|key| desk.names.opening(key).map_or(key, |o| &o.title).clone());
    let hole = at.hole.as_ref().map_or_else(String::new, |h| format!(" {h}"));
    fixing.map(|f| format!("{f}{hole}")).or(opening).or(part).map_or_else(String::new, |p| format!(", {p}"))
}

fn waits(desk: &mut Desk<'_>) {
    let visit = desk.visit;
    for (event, wait) in visit.waits.iter().filter(|(_, w)| w.over.is_none()) {
        let words = (format!("waiting for {}", wait.waiting.what), "say so when it is over".into());
        let line = desk.open(LineKind::Wait, &[event.as_str()], wait.at.clone(), words, &wait.stamp);
        line.ends_ms = wait.ends_ms;
    }
}

fn findings(desk: &mut Desk<'_>) {
    let visit = desk.visit;
    for (event, finding) in visit.findings.iter().filter(|(_, f)| !f.is_answered()) {
        let since = finding.answer.as_ref().map_or(&finding.stamp, |a| &a.stamp);
        let asked =
            if finding.answer.is_some() { "the owner wants to talk" } else { "the owner has not answered" };
        let words = (format!("{}: {asked}", finding.words), "get the owner's yes or no".into());
        desk.open(LineKind::Finding, &[event.as_str()], finding.at.clone(), words, since);
    }
}

fn counts(desk: &mut Desk<'_>) {
    let visit = desk.visit;
    for (what, count) in visit.counts.iter().filter(|(_, c)| c.counted != c.expected) {
        let words = (
            format!("{what}: {} counted, {} expected", count.counted, count.expected),
            "find the difference and count again".into(),
        );
        desk.open(LineKind::Count, &[what], At::default(), words, &count.stamp);
    }
}

fn strange(desk: &mut Desk<'_>) {
    let visit = desk.visit;
    for strange in &visit.strange {
        let names = ["event", strange.stamp.event.as_str()];
        let words = (strange.words.clone(), "look at it, then accept it or take it back".into());
        desk.open(LineKind::Strange, &names, At::default(), words, &strange.stamp);
    }
}

const fn put_in_words(what: PutInKind) -> &'static str {
    match what {
        PutInKind::Plug => "plug",
        PutInKind::Rag => "rag",
        PutInKind::Tape => "piece of tape",
        PutInKind::TetheredTool => "tool on a tether",
        PutInKind::LockingPin => "locking pin",
        PutInKind::Other => "thing",
    }
}

const fn happening_words(what: HappeningKind) -> &'static str {
    match what {
        HappeningKind::Seized => "seized",
        HappeningKind::Rounded => "rounded off",
        HappeningKind::Broken => "broken",
        HappeningKind::ThreadCameOut => "the thread came out",
        HappeningKind::Extra => "not in the book",
        HappeningKind::WrongPart => "wrong part",
        HappeningKind::PartMissing => "part missing",
        HappeningKind::Lost => "lost",
        HappeningKind::FoundLikeThis => "found like this",
    }
}

const fn happening_closes(what: HappeningKind) -> &'static str {
    match what {
        HappeningKind::Seized | HappeningKind::Rounded => "get it out, and say how",
        HappeningKind::Broken => "bring the rest out, and say how",
        HappeningKind::ThreadCameOut => "repair the thread, and say how",
        HappeningKind::Extra => "say what became of it",
        HappeningKind::WrongPart => "get the right one",
        HappeningKind::PartMissing => "get it",
        HappeningKind::Lost => "find it, or search and say who answers for going on",
        HappeningKind::FoundLikeThis => "say what was done about it",
    }
}
