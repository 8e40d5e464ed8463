//! Answers: workings with their figures, their order, and domination.

use crate::chain::{ChainAudit, list_bends_taken};
use crate::rules::style::StackRole;
use crate::site::{ReachSite, ReachWork};
use crate::{chain, duty_times};
use core::cmp::Ordering;
use model::{Book, Duty, HandleStyle, Piece, PieceId, Stack, Store, WorkingStack};
use units::{Duration, Length};

/// The pieces of some ids.
pub(crate) fn pieces_of<'s>(store: &'s Store, ids: &[PieceId]) -> Vec<&'s Piece> {
    ids.iter().map(|id| store.piece(*id)).collect()
}

/// The bare hand's working, with what holds the other side.
pub(crate) fn bare_hand_working(work: &ReachWork, hold: &[PieceId]) -> WorkingStack {
    let time_s = duty_times::time_by_hand_s(work);
    WorkingStack {
        stack: Stack { pieces: Vec::new(), bends: Vec::new(), hold: hold.to_vec() },
        time: Duration::from_s(time_s),
        cost: Duration::from_s(duty_times::working_cost_s(time_s, hold.len())),
        top: Length::ZERO,
        force: None,
        setting: None,
        joint_error_fraction: 0.0,
    }
}

/// The working of a chain that all rules allow.
pub(crate) fn working_of_chain(
    site: &ReachSite,
    work: &ReachWork,
    audit: &ChainAudit,
    (chain, ids): (&[&Piece], &[PieceId]),
    hold: &[PieceId],
) -> WorkingStack {
    let bends = audit.taken.iter().flatten().filter(|t| t.angle.as_deg() > 0.0).count() as i32;
    debug_assert!(bends == 0 || bends == site.count_true_bends());
    let wobbling = chain.iter().filter(|p| duty_times::is_wobbly(p)).count();
    let time_s = duty_times::time_with_tool_s(work, audit.motion, bends)
        + duty_times::steadying_time_s(work, wobbling);
    let by_hand = chain
        .last()
        .and_then(|p| p.handle)
        .is_some_and(|h| !matches!(h.style, HandleStyle::Power | HandleStyle::Squeeze));
    WorkingStack {
        stack: Stack { pieces: ids.to_vec(), bends: list_bends_taken(&audit.taken), hold: hold.to_vec() },
        time: Duration::from_s(time_s),
        cost: Duration::from_s(duty_times::working_cost_s(time_s, ids.len() + hold.len())),
        top: Length::from_mm(audit.top_mm),
        force: audit.force.filter(|_| by_hand),
        setting: audit.setting,
        joint_error_fraction: audit.joint_error_fraction,
    }
}

/// The working of a stack by ids, if all rules allow it on the working side.
pub(crate) fn working_of_stack(
    store: &Store,
    site: &ReachSite,
    work: &ReachWork,
    ids: &[PieceId],
    hold: &[PieceId],
) -> Option<WorkingStack> {
    if ids.is_empty() {
        return site.takes_bare_hand().then(|| bare_hand_working(work, hold));
    }
    let chain = pieces_of(store, ids);
    let audit = chain::audit_chain(site, work, StackRole::Work, &chain)?;
    audit.all_rules_hold().then(|| working_of_chain(site, work, &audit, (&chain, ids), hold))
}

/// The working of one stack in a duty, if all rules allow it on both sides and the pieces are at hand together.
///
/// For the same stack at several readings of a book; the search asks all stacks at once.
#[must_use]
pub fn work_with_stack(book: &Book, store: &Store, duty: Duty, stack: &Stack) -> Option<WorkingStack> {
    let site = ReachSite::of_duty(book, duty)?;
    let work = ReachWork::of_duty(book, duty)?;
    if !are_at_hand(store, &stack.pieces, &stack.hold) {
        return None;
    }
    if let Some(other) = ReachSite::of_hold(book, duty) {
        let holds = if stack.hold.is_empty() {
            other.takes_bare_hand()
        } else {
            let audit = chain::audit_chain(&other, &work, StackRole::Hold, &pieces_of(store, &stack.hold));
            audit.is_some_and(|audit| audit.all_rules_hold())
        };
        if !holds {
            return None;
        }
    }
    working_of_stack(store, &site, &work, &stack.pieces, &stack.hold)
}

/// Cheapest first; then fewer pieces, then by piece ids.
pub(crate) fn compare_workings(a: &WorkingStack, b: &WorkingStack) -> Ordering {
    let count = |w: &WorkingStack| w.stack.pieces.len() + w.stack.hold.len();
    a.cost
        .as_s()
        .total_cmp(&b.cost.as_s())
        .then_with(|| count(a).cmp(&count(b)))
        .then_with(|| a.stack.pieces.cmp(&b.stack.pieces))
        .then_with(|| a.stack.hold.cmp(&b.stack.hold))
}

/// Whether every piece of `part` is also in `whole`, as often; both sorted.
pub(crate) fn is_part_of<T: Ord>(part: &[T], whole: &[T]) -> bool {
    let mut rest = whole.iter();
    part.iter().all(|p| rest.by_ref().any(|w| w == p))
}

/// Takes away what is dominated; the rest is cheapest first, then fewer pieces, then by piece ids.
#[must_use]
pub fn drop_dominated(workings: Vec<WorkingStack>) -> Vec<WorkingStack> {
    let anywhere = workings.into_iter().map(|working| (working, 0)).collect();
    drop_dominated_in_rooms(anywhere).into_iter().map(|(working, _)| working).collect()
}

/// As [`drop_dominated`], of stacks with the rooms that they hold in, a bit each: one goes only where another of its pieces holds wherever it
/// does.
#[must_use]
pub fn drop_dominated_in_rooms(mut workings: Vec<(WorkingStack, u64)>) -> Vec<(WorkingStack, u64)> {
    workings.sort_by(|(a, _), (b, _)| compare_workings(a, b));
    let mut kept: Vec<(Vec<PieceId>, (WorkingStack, u64))> = Vec::new();
    for (working, rooms) in workings {
        let pieces = working.stack.all_pieces();
        // All that cost no more, or as much and come first, have been looked at before.
        let is_better = |(fewer, (_, held)): &(Vec<PieceId>, (WorkingStack, u64))| {
            rooms & !held == 0 && is_part_of(fewer, &pieces)
        };
        if !kept.iter().any(is_better) {
            kept.push((pieces, (working, rooms)));
        }
    }
    kept.into_iter().map(|(_, kept)| kept).collect()
}

/// Whether both lists together use no piece more often than it is at hand.
pub(crate) fn are_at_hand(store: &Store, ids: &[PieceId], hold: &[PieceId]) -> bool {
    let all = || ids.iter().chain(hold);
    all().all(|id| all().filter(|other| *other == id).count() <= usize::from(store.piece(*id).at_hand()))
}
