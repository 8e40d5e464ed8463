//! Marks, renewals and settled contradictions of single fasteners.

use std::collections::BTreeSet;

use model::FastenerState;

use super::note_work;
use crate::visit::{FastenerClaim, WorkKind};
use crate::{EventStamp, FastenerKey, MarkedHole, Visit};

pub(super) fn mark_holes(
    visit: &mut Visit,
    fixing: &str,
    holes: &[MarkedHole],
    to: FastenerState,
    slot: &Option<String>,
    stage: Option<u8>,
    stamp: EventStamp,
) {
    let (to, stage) = visit.figures.admit_mark(fixing, to, stage);
    for was in holes {
        let claim = FastenerClaim { to, stage, slot: slot.clone(), stamp: stamp.clone() };
        visit.fasteners.entry(fixing, &was.hole, &stamp).apply_mark(was.from, claim);
    }
    let holes = holes.iter().map(|w| w.hole.clone());
    note_work(visit, WorkKind::Marked(to), fixing, holes, stamp);
}

pub(super) fn renew_holes(visit: &mut Visit, fixing: &str, holes: &BTreeSet<String>, stamp: EventStamp) {
    for hole in holes {
        visit.fasteners.entry(fixing, hole, &stamp).apply_renewal(&stamp);
    }
    note_work(visit, WorkKind::Renewed, fixing, holes.iter().cloned(), stamp);
}

pub(super) fn settle_fastener(
    visit: &mut Visit,
    fastener: &FastenerKey,
    to: FastenerState,
    stamp: EventStamp,
) {
    let (to, stage) = visit.figures.admit_mark(&fastener.fixing, to, None);
    let claim = FastenerClaim { to, stage, slot: None, stamp: stamp.clone() };
    visit.fasteners.entry(&fastener.fixing, &fastener.hole, &stamp).apply_settling(claim);
}
