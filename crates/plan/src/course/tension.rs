//! A belt before its tension: a tensioner gets its figure while the belt that it tensions is on.
//!
//! Common practice, no single source; the book overrules. A tensioner that tells of its tightening keeps what it tells, and a belt that a
//! condition or its own acts hold slack is not tensioned by these fasteners: its tensioner is turned back and pinned.

use model::{Book, FixingId, Need, PartId, PartKind};

use crate::scope::PlanScope;

/// The belts of a scope that a fixing of a tensioner tensions.
pub(super) fn belts_of_tensioner(book: &Book, scope: &PlanScope, fixing: FixingId) -> Vec<PartId> {
    let fixing = book.fixing(fixing);
    let own = fixing.part;
    if book.part(own).kind != Some(PartKind::Tensioner) || !fixing.world.tightening.is_untold() {
        return Vec::new();
    }
    let belts = parts_of_kind(book, scope, PartKind::Belt);
    belts.into_iter().filter(|b| tensions(book, scope, own, *b) && !is_held_slack(book, *b)).collect()
}

fn parts_of_kind(book: &Book, scope: &PlanScope, kind: PartKind) -> Vec<PartId> {
    let all = scope.parts.iter().map(|(id, _)| *id);
    all.filter(|id| book.part(*id).kind == Some(kind)).collect()
}

/// Whether a tensioner is a belt's: one comes off before the other, or there is only one of each.
fn tensions(book: &Book, scope: &PlanScope, tensioner: PartId, belt: PartId) -> bool {
    let (belt_needs, own_needs) = (&book.part(belt).needs, &book.part(tensioner).needs);
    let count = |kind: PartKind| parts_of_kind(book, scope, kind).len();
    belt_needs.contains(&Need::Off(tensioner))
        || own_needs.contains(&Need::Off(belt))
        || (count(PartKind::Belt) == 1 && count(PartKind::Tensioner) == 1)
}

/// Whether a tensioner in the way is a belt's.
pub(crate) fn has_tensioner(book: &Book, scope: &PlanScope, belt: PartId) -> bool {
    parts_of_kind(book, scope, PartKind::Tensioner).into_iter().any(|t| tensions(book, scope, t, belt))
}

/// Whether the book tells what holds a belt slack.
fn is_held_slack(book: &Book, belt: PartId) -> bool {
    let part = book.part(belt);
    let has_condition = part.needs.iter().any(|need| matches!(need, Need::Condition(_)));
    has_condition || !part.world.taking_off.is_untold() || !part.world.setting_on.is_untold()
}
