//! Openings: each is uncovered by one part, and a hole lies over an opening that is open by then.
//!
//! Why: what is dropped into an intake port is the visit's worst hour. Caps and holding tools are planned from these.

use super::{Subject, rule};
use faults::Rule;
use model::{Book, Need, OpeningId, PartId};
use std::collections::{BTreeMap, BTreeSet};

rule! { B210 "uncovered by more parts than there are openings",
why "Each opening lies under one part; with more parts than openings, caps are asked for where nothing is open.",
bad "uncovers   = [\"intake-ports\"] # as `cover` does already",
help "keep it with the part whose removal lays it open, or give the right `count` of openings." }
rule! { B211 "opening that nothing uncovers",
why "An opening that no part lays open never gets its cap.",
bad "[[opening]]\nkey   = \"intake-ports\"\ntitle = \"intake ports\"",
help "add it to `uncovers` of the part that lies over it, or take it out." }
rule! { B212 "over an opening that is still closed",
why "A fastener can only drop into what is open while it is worked; otherwise a holding tool is asked for in vain.",
bad "drop_over = [\"intake-ports\"] # uncovered by a part that needs `cover` off",
help "add the part that uncovers the opening to what must be off first, or take `drop_over` out." }

pub(super) const RULES: &[Rule] = &[B210, B211, B212];

pub(super) fn check(subject: &Subject<'_>) {
    let by = uncovering(subject.book);
    b210_twice(subject, &by);
    for (index, (opening, spot)) in subject.book.openings.iter().zip(&subject.spots.openings).enumerate() {
        if !by.contains_key(&OpeningId::new(index)) {
            let message = format!("no part uncovers `{}`", opening.key);
            subject.bag.push(super::warning(&B211, message, spot.key("key").span, "stays covered"));
        }
    }
    b212_still_closed(subject, &by);
}

fn uncovering(book: &Book) -> BTreeMap<OpeningId, Vec<PartId>> {
    let mut by: BTreeMap<OpeningId, Vec<PartId>> = BTreeMap::new();
    for id in book.part_ids() {
        book.part(id).uncovers.iter().for_each(|opening| by.entry(*opening).or_default().push(id));
    }
    by
}

fn b210_twice(subject: &Subject<'_>, by: &BTreeMap<OpeningId, Vec<PartId>>) {
    for (opening, parts) in by.iter().filter(|(o, p)| p.len() > usize::from(subject.book.opening(**o).count))
    {
        let book = subject.book;
        let (key, count) = (&book.opening(*opening).key, book.opening(*opening).count);
        let last = parts[parts.len() - 1];
        let index = book.part(last).uncovers.iter().position(|o| o == opening).unwrap_or(0);
        let span = subject.spots.parts[last.index()].key("uncovers").item(index).span;
        let message = format!("{} parts uncover `{key}`, of which there is {count}", parts.len());
        let keys: Vec<&str> = parts.iter().map(|p| book.part(*p).key.as_str()).collect();
        let first = subject.spots.openings[opening.index()].span;
        let fault = super::warning(&B210, message, span, "one part too many");
        subject.bag.push(fault.note(first, format!("uncovered by {}", keys.join(", "))));
    }
}

/// An opening may be open if some other part uncovers it that does not itself wait for the part that is worked on. The part
/// itself counts as open: a fastener left in it falls as it is lifted.
fn b212_still_closed(subject: &Subject<'_>, by: &BTreeMap<OpeningId, Vec<PartId>>) {
    let mut after: BTreeMap<PartId, BTreeSet<PartId>> = BTreeMap::new();
    for (fixing, access, spot) in subject.accesses() {
        for (index, opening) in access.drop_over.iter().enumerate() {
            let Some(parts) = by.get(opening) else { continue };
            let waits = |p: &PartId| {
                *p == fixing.part
                    || after
                        .entry(*p)
                        .or_insert_with(|| needed_first(subject.book, *p))
                        .contains(&fixing.part)
            };
            if parts.iter().all(waits) {
                let key = &subject.book.opening(*opening).key;
                let message = format!("`{key}` is still covered when `{}` is worked", fixing.key);
                let span = spot.key("drop_over").item(index).span;
                subject.bag.push(super::warning(&B212, message, span, "not open yet"));
            }
        }
    }
}

/// All parts that are off, on every way, before a part comes off.
fn needed_first(book: &Book, part: PartId) -> BTreeSet<PartId> {
    let mut seen = BTreeSet::new();
    let mut left = vec![part];
    while let Some(id) = left.pop() {
        for need in &book.part(id).needs {
            if let Need::Off(first) = need
                && seen.insert(*first)
            {
                left.push(*first);
            }
        }
    }
    seen
}
