//! Openings: each is uncovered by one part, and a hole lies over an opening that is open by then.
//!
//! Why: what is dropped into an intake port is the visit's worst hour. Caps and holding tools are planned from these.

use super::{RuleSubject, rule};
use faults::FaultRule;
use model::{Book, Need, OpeningId, PartId};
use std::collections::{BTreeMap, BTreeSet};

rule! { B210 "more parts uncover it than there are openings",
why "Each opening lies under one part; with more parts than openings, caps are called for where nothing is open.",
bad "uncovers   = [\"intake-ports\"] # as `cover` does already",
help "keep it with the part whose removal lays it open, or give the right `count` of openings." }
rule! { B211 "opening that nothing uncovers",
why "An opening that no part lays open never gets its cap.",
bad "[[opening]]\nkey   = \"intake-ports\"\ntitle = \"intake ports\"",
help "add it to `uncovers` of the part that lies over it, or remove it." }
rule! { B212 "over an opening that is still closed",
why "A fastener can only drop into what is open while it is worked; otherwise a holding tool is called for needlessly.",
bad "drop_over = [\"intake-ports\"] # uncovered by a part that needs `cover` off",
help "add the part that uncovers the opening to what must be off first, or take `drop_over` out." }

pub(super) const RULES: &[FaultRule] = &[B210, B211, B212];

pub(super) fn check_openings(subject: &RuleSubject<'_>) {
    let by = uncovering_parts(subject.book);
    b210_twice(subject, &by);
    for (index, (opening, spot)) in subject.book.openings.iter().zip(&subject.spots.openings).enumerate() {
        if !by.contains_key(&OpeningId::new(index)) {
            let message = format!("no part uncovers `{}`", opening.key);
            subject.bag.push(super::rule_warning(&B211, message, spot.key("key").span, "stays covered"));
        }
    }
    b212_still_closed(subject, &by);
}

fn uncovering_parts(book: &Book) -> BTreeMap<OpeningId, Vec<PartId>> {
    let mut by: BTreeMap<OpeningId, Vec<PartId>> = BTreeMap::new();
    for id in book.part_ids() {
        book.part(id).uncovers.iter().for_each(|opening| by.entry(*opening).or_default().push(id));
    }
    by
}

fn b210_twice(subject: &RuleSubject<'_>, by: &BTreeMap<OpeningId, Vec<PartId>>) {
    for (opening, parts) in by.iter().filter(|(o, p)| p.len() > usize::from(subject.book.opening(**o).count))
    {
        let book = subject.book;
        let (key, count) = (&book.opening(*opening).key, book.opening(*opening).count);
        let last = parts[parts.len() - 1];
        let index = book.part(last).uncovers.iter().position(|o| o == opening).unwrap_or(0);
        let span = subject.spots.parts[last.index()].key("uncovers").item(index).span;
        let message = format!("{} parts uncover `{key}`, which has a count of {count}", parts.len());
        let keys: Vec<&str> = parts.iter().map(|p| book.part(*p).key.as_str()).collect();
        let first = subject.spots.openings[opening.index()].span;
        let fault = super::rule_warning(&B210, message, span, "one part too many");
        subject.bag.push(fault.note(first, format!("uncovered by {}", keys.join(", "))));
    }
}

/// An opening may be open if some other part uncovers it that does not itself wait for the part that is worked on.
fn b212_still_closed(subject: &RuleSubject<'_>, by: &BTreeMap<OpeningId, Vec<PartId>>) {
    let waiting = PartDependents::new(subject.book);
    let mut left_count = MAX_PART_LOOKUPS;
    let mut after: Option<(PartId, BTreeSet<PartId>)> = None;
    for (fixing, access, spot) in subject.accesses() {
        for (index, opening) in access.drop_over.iter().enumerate() {
            let Some(parts) = by.get(opening) else { continue };
            // Fixings are in the order of their parts, so that one set at a time is enough.
            let (_, later) = match after.take().filter(|(part, _)| *part == fixing.part) {
                Some(known) => after.insert(known),
                None => {
                    after.insert((fixing.part, waiting.part_and_dependents(fixing.part, &mut left_count)))
                }
            };
            let Some(left) = left_count.checked_sub(parts.len()) else { return };
            left_count = left;
            if parts.iter().all(|part| later.contains(part)) {
                let key = &subject.book.opening(*opening).key;
                let message = format!("`{key}` is still covered while `{}` is being undone", fixing.key);
                let span = spot.key("drop_over").item(index).span;
                subject.bag.push(super::rule_warning(&B212, message, span, "not open yet"));
            }
        }
    }
}

/// Parts that B212 may look at in one book, so that no text can make it hang; far beyond any engine.
const MAX_PART_LOOKUPS: usize = 5_000_000;

/// For each part, the parts that need it off on every way.
struct PartDependents(Vec<Vec<PartId>>);

impl PartDependents {
    fn new(book: &Book) -> Self {
        let mut waiting = vec![Vec::new(); book.parts.len()];
        for id in book.part_ids() {
            for need in &book.part(id).needs {
                if let Need::Off(first) = need {
                    waiting[first.index()].push(id);
                }
            }
        }
        Self(waiting)
    }

    /// The part and all that cannot come off before it, as far as the steps go.
    fn part_and_dependents(&self, part: PartId, left_count: &mut usize) -> BTreeSet<PartId> {
        let mut seen = BTreeSet::from([part]);
        let mut open = vec![part];
        while let Some(id) = open.pop() {
            *left_count = left_count.saturating_sub(1);
            if *left_count == 0 {
                break;
            }
            open.extend(self.0[id.index()].iter().filter(|later| seen.insert(**later)));
        }
        seen
    }
}
