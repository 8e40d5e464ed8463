//! What the kind of a part says of the order of the refit, where the book tells nothing: common practice, no single source.

use crate::case::PlanCase;
use model::{Condition, ConditionKind, FixingId, Need, PartId, PartKind};

/// Whether a fixing of a tensioner is tightened only with a belt on: its only one, or one that comes off before or after it. A belt
/// that a condition or its own acts hold slack is tensioned otherwise, and a fixing that tells of its tightening keeps what it tells.
pub(crate) fn is_tension_on(case: &PlanCase, fixing: FixingId, belt: PartId) -> bool {
    let fixing = case.book.fixing(fixing);
    let it = case.book.part(belt);
    let kinds =
        (case.book.part(fixing.part).kind, it.kind) == (Some(PartKind::Tensioner), Some(PartKind::Belt));
    if !kinds || !fixing.world.tightening.is_untold() || !case.off.contains_key(&belt) {
        return false;
    }
    let is_held_slack = it.needs.iter().any(|need| matches!(need, Need::Condition(_)))
        || !(it.world.taking_off.is_untold() && it.world.setting_on.is_untold());
    is_tensioner_of(case, fixing.part, belt) && !is_held_slack
}

/// Whether a part that comes off is the tensioner of a belt: one of them comes off before the other, or there is one of each.
pub(crate) fn is_tensioner_of(case: &PlanCase, part: PartId, belt: PartId) -> bool {
    let (own, it) = (case.book.part(part), case.book.part(belt));
    let count = |kind: PartKind| case.off.keys().filter(|id| case.book.part(**id).kind == Some(kind)).count();
    let is_only = count(PartKind::Belt) == 1 && count(PartKind::Tensioner) == 1;
    let stand_together = it.needs.contains(&Need::Off(part)) || own.needs.contains(&Need::Off(belt));
    own.kind == Some(PartKind::Tensioner) && (is_only || stand_together)
}

/// Whether a part closes what was drained: a drain that came off for it, which is tight before anything is filled.
pub(crate) fn closes_drain(case: &PlanCase, condition: &Condition, part: PartId) -> bool {
    condition.kind == ConditionKind::Drained
        && condition.needs.contains(&Need::Off(part))
        && case.book.part(part).kind == Some(PartKind::Drain)
}
