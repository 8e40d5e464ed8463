//! Count checks: what went out against what came back, of everything that is counted.
//!
//! The rows are worked out from the state by themselves and not from the ledger's lines, so that each can prove the other.

use std::collections::BTreeMap;

use model::FastenerState;
use serde::{Deserialize, Serialize};

use super::settings::{book_in_force_since, has_left_end};
use crate::Visit;
use crate::names::{BookByKey, length_class};
use crate::visit::{HappeningEnd, SettingStanding, ToggleState, VisitFastener, is_in_hole};

/// What is counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum LedgerCountKind {
    /// Fasteners of one length class: out of their holes, back in.
    Fasteners,
    /// Fasteners that are renewed each time: tightened or run in, of which new.
    Renewals,
    /// Fixings run in for which the book has no figure: counted, given or answered for.
    Figures,
    /// Fasteners that two devices disagree about: reported, settled.
    Claims,
    /// Parts: off, on again.
    Parts,
    /// Conditions with something to undo: made, undone.
    Conditions,
    /// Openings uncovered: caps or parts wanted, there.
    Openings,
    /// Caps of an opening: in, out.
    Caps,
    /// Things put in: in, out.
    PutIns,
    /// Settings of the book: stood otherwise than they should at the end, stand right now.
    Settings,
    /// Copies of a piece: out of their place, back.
    Pieces,
    /// Happenings: reported, dealt with.
    Happenings,
    /// Waits: begun, over.
    Waits,
    /// Findings: reported, answered.
    Findings,
    /// A count by hand: expected, counted.
    ByHand,
    /// What does not fit: reported, matching (never any).
    Strange,
}

/// One count.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct LedgerCountRow {
    /// What is counted.
    pub kind: LedgerCountKind,
    /// Of which: the length class, the opening's key, the piece's key, the words of a count by hand; empty where there is
    /// one row of the kind.
    pub of: String,
    /// Out, in, reported or expected.
    pub out: u32,
    /// Back, out, ended or counted.
    pub back: u32,
}

impl LedgerCountRow {
    /// Whether the count closes.
    #[must_use]
    pub const fn agrees(&self) -> bool {
        self.out == self.back
    }
}

type CountTally = BTreeMap<(LedgerCountKind, String), (u32, u32)>;

/// All counts with anything in them, by kind and name.
pub(super) fn count_rows(visit: &Visit, names: &BookByKey<'_>) -> Vec<LedgerCountRow> {
    let mut rows = CountTally::new();
    count_fasteners(visit, names, &mut rows);
    count_places(visit, names, &mut rows);
    count_settings(visit, names, &mut rows);
    count_things(visit, &mut rows);
    count_reports(visit, &mut rows);
    let row = |((kind, of), (out, back))| LedgerCountRow { kind, of, out, back };
    rows.into_iter().map(row).collect()
}

fn add_count(rows: &mut CountTally, kind: LedgerCountKind, of: &str, out: u32, back: u32) {
    if out > 0 || back > 0 {
        let row = rows.entry((kind, of.to_owned())).or_default();
        *row = (row.0.saturating_add(out), row.1.saturating_add(back));
    }
}

fn count_fasteners(visit: &Visit, names: &BookByKey<'_>, rows: &mut CountTally) {
    for (fixing, hole, f) in visit.fasteners.iter() {
        let known = names.fixing_with_hole(fixing, hole);
        if names.is_strange(known) {
            add_count(rows, LedgerCountKind::Strange, "", 1, 0);
            continue;
        }
        if f.is_undecided() {
            add_count(rows, LedgerCountKind::Claims, "", 1, 0);
        }
        let was_out = f.off.is_some() || !is_in_hole(f.state);
        add_count(
            rows,
            LedgerCountKind::Fasteners,
            &known.map_or_else(|| fixing.to_owned(), length_class),
            was_out.into(),
            (was_out && f.is_in()).into(),
        );
        if known.is_some_and(|k| k.one_time) && is_back_in(f) {
            add_count(rows, LedgerCountKind::Renewals, "", 1, (!f.spent).into());
        }
    }
    for fixing in names.book_fixings().iter().filter(|f| f.is_figure_missing()) {
        let is_slack = |f: &VisitFastener| fixing.slackened && f.state == FastenerState::Freed;
        if visit.fasteners.of_fixing(&fixing.key).any(|(_, f)| is_back_in(f) || is_slack(f)) {
            let said = visit.figures.word_on(&fixing.key).is_some();
            add_count(rows, LedgerCountKind::Figures, "", 1, said.into());
        }
    }
}

const fn is_back_in(f: &VisitFastener) -> bool {
    matches!(f.state, FastenerState::FingerTight | FastenerState::Tight | FastenerState::Checked)
}

fn count_places(visit: &Visit, names: &BookByKey<'_>, rows: &mut CountTally) {
    for (key, part) in &visit.parts {
        let known = !names.is_strange(names.part(key));
        count_toggle(
            rows,
            if known { LedgerCountKind::Parts } else { LedgerCountKind::Strange },
            part,
            known,
        );
    }
    for (key, condition) in &visit.conditions {
        match names.condition(key) {
            Some(known) if known.restore.is_some() => {
                count_toggle(rows, LedgerCountKind::Conditions, condition, true)
            }
            Some(_) => {}
            None if names.book.is_none() => count_toggle(rows, LedgerCountKind::Conditions, condition, true),
            None => count_toggle(rows, LedgerCountKind::Strange, condition, false),
        }
    }
    for (key, caps) in &visit.openings {
        let is_strange = names.is_strange(names.opening(key));
        if is_strange {
            add_count(rows, LedgerCountKind::Strange, "", caps.since.is_some().into(), 0);
        } else {
            add_count(rows, LedgerCountKind::Caps, key, caps.put, caps.taken);
        }
    }
    for opening in names.book_openings().iter().filter(|o| o.cap.is_some()) {
        if names.parts_uncovering(&opening.key).any(|p| visit.is_part_off(&p.key)) {
            let wanted = u32::from(opening.count);
            let there = visit.caps_in(&opening.key).min(wanted);
            add_count(rows, LedgerCountKind::Openings, &opening.key, wanted, there);
        }
    }
}

fn count_settings(visit: &Visit, names: &BookByKey<'_>, rows: &mut CountTally) {
    let Some(book) = names.book else { return };
    for standing in SettingStanding::of_book(visit, book) {
        let is_begun = standing.since.is_some() || book_in_force_since(visit).is_some();
        if !standing.is_known() {
            add_count(rows, LedgerCountKind::Strange, "", 1, 0);
        } else if is_begun && has_left_end(&standing, visit.settings.get(&standing.setting.key)) {
            add_count(rows, LedgerCountKind::Settings, "", 1, standing.is_at_end().into());
        }
    }
    for _ in visit.settings.keys().filter(|key| names.setting(key).is_none()) {
        add_count(rows, LedgerCountKind::Strange, "", 1, 0);
    }
}

fn count_toggle(rows: &mut CountTally, kind: LedgerCountKind, made: &ToggleState, known: bool) {
    if known {
        let was = made.now || made.made.is_some();
        add_count(rows, kind, "", was.into(), (was && !made.now).into());
    } else {
        add_count(rows, kind, "", 1, 0);
    }
}

fn count_things(visit: &Visit, rows: &mut CountTally) {
    for put_in in visit.put_ins.values() {
        let (all, left) = (u32::from(put_in.count), u32::from(put_in.left));
        add_count(rows, LedgerCountKind::PutIns, "", all, all - left.min(all));
    }
    for (key, pieces) in &visit.pieces {
        add_count(rows, LedgerCountKind::Pieces, key, pieces.out, pieces.back);
    }
}

fn count_reports(visit: &Visit, rows: &mut CountTally) {
    for happening in visit.happenings.values() {
        let ended = matches!(happening.end, Some(HappeningEnd::DealtWith { .. }));
        add_count(rows, LedgerCountKind::Happenings, "", 1, ended.into());
    }
    for wait in visit.waits.values() {
        add_count(rows, LedgerCountKind::Waits, "", 1, wait.over.is_some().into());
    }
    for finding in visit.findings.values() {
        add_count(rows, LedgerCountKind::Findings, "", 1, finding.is_answered().into());
    }
    for (what, by_hand) in &visit.counts {
        add_count(rows, LedgerCountKind::ByHand, what, by_hand.expected, by_hand.counted);
    }
    for _ in &visit.strange {
        add_count(rows, LedgerCountKind::Strange, "", 1, 0);
    }
}
