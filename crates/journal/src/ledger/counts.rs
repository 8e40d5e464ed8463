//! Count checks: what went out against what came back, of everything that is counted.
//!
//! The rows are worked out from the state by themselves and not from the ledger's lines, so that each can prove the other.

use std::collections::BTreeMap;

use model::FastenerState;
use serde::{Deserialize, Serialize};

use crate::Visit;
use crate::names::{Names, length_class};
use crate::visit::{Fastener, HappeningEnd, Made, is_in};

/// What is counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum CountKind {
    /// Fasteners of one length class: out of their holes, back in.
    Fasteners,
    /// Fasteners that are renewed each time: tightened or run in, of which new.
    Renewals,
    /// Fasteners that two devices differ about: told, settled.
    Claims,
    /// Parts: off, on again.
    Parts,
    /// Conditions with something to undo: brought about, undone.
    Conditions,
    /// Openings uncovered: caps or parts wanted, there.
    Openings,
    /// Caps of an opening: in, out.
    Caps,
    /// Things put in: in, out.
    PutIns,
    /// Copies of a piece: out of their place, back.
    Pieces,
    /// Happenings: told, dealt with.
    Happenings,
    /// Waits: begun, over.
    Waits,
    /// Findings: told, answered.
    Findings,
    /// A count by hand: expected, counted.
    ByHand,
    /// What does not fit: told, fitting (none ever does).
    Strange,
}

/// One count.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct CountRow {
    /// What is counted.
    pub kind: CountKind,
    /// Of which: the length class, the opening's key, the piece's key, the words of a count by hand; empty where there is
    /// one row of the kind.
    pub of: String,
    /// Out, in, told or expected.
    pub out: u32,
    /// Back, out, ended or counted.
    pub back: u32,
}

impl CountRow {
    /// Whether the count closes.
    #[must_use]
    pub const fn agrees(&self) -> bool {
        self.out == self.back
    }
}

type Rows = BTreeMap<(CountKind, String), (u32, u32)>;

/// All counts with anything in them, by kind and name.
pub(super) fn rows(visit: &Visit, names: &Names<'_>) -> Vec<CountRow> {
    let mut rows = Rows::new();
    fasteners(visit, names, &mut rows);
    places(visit, names, &mut rows);
    things(visit, &mut rows);
    told(visit, &mut rows);
    let row = |((kind, of), (out, back))| CountRow { kind, of, out, back };
    rows.into_iter().map(row).collect()
}

fn count(rows: &mut Rows, kind: CountKind, of: &str, out: u32, back: u32) {
    if out > 0 || back > 0 {
        let row = rows.entry((kind, of.to_owned())).or_default();
        *row = (row.0.saturating_add(out), row.1.saturating_add(back));
    }
}

fn fasteners(visit: &Visit, names: &Names<'_>, rows: &mut Rows) {
    for (fixing, hole, f) in visit.fasteners.iter() {
        let Some(known) = names.hole(fixing, hole) else {
            count(rows, CountKind::Strange, "", 1, 0);
            continue;
        };
        if f.is_undecided() {
            count(rows, CountKind::Claims, "", 1, 0);
        }
        let was_out = f.off.is_some() || !is_in(f.state);
        count(
            rows,
            CountKind::Fasteners,
            &length_class(known),
            was_out.into(),
            (was_out && f.is_in()).into(),
        );
        if known.one_time && is_refitted(f) {
            count(rows, CountKind::Renewals, "", 1, (!f.spent).into());
        }
    }
}

const fn is_refitted(f: &Fastener) -> bool {
    matches!(f.state, FastenerState::FingerTight | FastenerState::Tight | FastenerState::Checked)
}

fn places(visit: &Visit, names: &Names<'_>, rows: &mut Rows) {
    for (key, part) in &visit.parts {
        let known = names.part(key).is_some();
        made(rows, if known { CountKind::Parts } else { CountKind::Strange }, part, known);
    }
    for (key, condition) in &visit.conditions {
        match names.condition(key) {
            Some(known) if known.restore.is_some() => made(rows, CountKind::Conditions, condition, true),
            Some(_) => {}
            None => made(rows, CountKind::Strange, condition, false),
        }
    }
    for (key, caps) in &visit.openings {
        let kind = if names.opening(key).is_some() { CountKind::Caps } else { CountKind::Strange };
        match kind {
            CountKind::Caps => count(rows, kind, key, caps.put, caps.taken),
            _ => count(rows, kind, "", caps.since.is_some().into(), 0),
        }
    }
    for opening in names.book.openings.iter().filter(|o| o.cap.is_some()) {
        if names.uncovering(&opening.key).any(|p| visit.is_off(&p.key)) {
            let wanted = u32::from(opening.count);
            let there = visit.caps_in(&opening.key).min(wanted);
            count(rows, CountKind::Openings, &opening.key, wanted, there);
        }
    }
}

fn made(rows: &mut Rows, kind: CountKind, made: &Made, known: bool) {
    if known {
        let was = made.now || made.made.is_some();
        count(rows, kind, "", was.into(), (was && !made.now).into());
    } else {
        count(rows, kind, "", 1, 0);
    }
}

fn things(visit: &Visit, rows: &mut Rows) {
    for put_in in visit.put_ins.values() {
        let (all, left) = (u32::from(put_in.count), u32::from(put_in.left));
        count(rows, CountKind::PutIns, "", all, all - left.min(all));
    }
    for (key, pieces) in &visit.pieces {
        count(rows, CountKind::Pieces, key, pieces.out, pieces.back);
    }
}

fn told(visit: &Visit, rows: &mut Rows) {
    for happening in visit.happenings.values() {
        let ended = matches!(happening.end, Some(HappeningEnd::DealtWith { .. }));
        count(rows, CountKind::Happenings, "", 1, ended.into());
    }
    for wait in visit.waits.values() {
        count(rows, CountKind::Waits, "", 1, wait.over.is_some().into());
    }
    for finding in visit.findings.values() {
        count(rows, CountKind::Findings, "", 1, finding.is_answered().into());
    }
    for (what, by_hand) in &visit.counts {
        count(rows, CountKind::ByHand, what, by_hand.expected, by_hand.counted);
    }
    for _ in &visit.strange {
        count(rows, CountKind::Strange, "", 1, 0);
    }
}
