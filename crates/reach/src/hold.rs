//! Rule 13: duties whose other side has to be held, by a second stack out of the same store.
//!
//! Both sides are searched apart and every pair that the store can serve at once is a working. A pair is dominated
//! only by a pair of the same two grips and the same two handles, in the same roles or swapped, for every pair needs
//! one of each; so pairs are compared within such families alone.

use crate::answer::{bare_hand_working, compare_workings, drop_dominated, is_part_of};
use crate::duty_times::working_cost_s;
use crate::fast::{ChainHit, allowed_force, find_hits};
use crate::index::PieceIndex;
use crate::rules::strength;
use crate::search::ChainGroup;
use crate::site::{ReachSite, ReachWork};
use model::rules::MAX_BETWEEN;
use model::{PieceId, WorkingStack};
use std::collections::BTreeMap;

/// A stack that holds the other side.
struct HoldingStack {
    /// Ids counted from 1; 0 behind the last.
    ids: [u32; MAX_BETWEEN + 2],
    count: usize,
    grip: usize,
    handle: usize,
}

impl HoldingStack {
    fn piece_ids(&self) -> Vec<PieceId> {
        self.ids[..self.count].iter().map(|id| PieceId::new(*id as usize - 1)).collect()
    }
}

/// Every non-dominated pair of a working and a holding stack.
pub(crate) fn workings_with_hold(
    index: &PieceIndex,
    (site, groups): (&ReachSite, &[ChainGroup]),
    (other, held): (&ReachSite, &[ChainGroup]),
    work: &ReachWork,
) -> Vec<WorkingStack> {
    let hits = find_hits(index, site, work, groups);
    let held = holding_stacks(index, other, held, work);
    if !site.takes_bare_hand() && !other.takes_bare_hand() {
        return undominated_pairs(index, site, &hits, &held);
    }
    // The bare hand on either side is rare and leaves few pairs: all are compared with all.
    let bare_hold = other.takes_bare_hand().then(Vec::new);
    let holds: Vec<Vec<PieceId>> =
        bare_hold.into_iter().chain(held.iter().map(HoldingStack::piece_ids)).collect();
    let mut all = Vec::new();
    for hold in &holds {
        all.extend(site.takes_bare_hand().then(|| bare_hand_working(work, hold)));
        let together = hits.iter().filter(|h| is_pair_at_hand(index, h, hold));
        all.extend(together.map(|h| h.written_working(index, site, hold)));
        if hold.is_empty() {
            // Whatever else holds the other side only adds pieces.
            break;
        }
    }
    drop_dominated(all)
}

/// Rules 9 and 10 of the holding side.
fn holding_stacks(
    index: &PieceIndex,
    other: &ReachSite,
    groups: &[ChainGroup],
    work: &ReachWork,
) -> Vec<HoldingStack> {
    let mut held = Vec::new();
    for group in groups.iter().filter(|g| allowed_force(other, work, index.bodies[g.handle].piece).is_some())
    {
        let strong =
            group.chains.iter().filter(|f| strength::strength_short_n_m(f.capacity, work.torque) <= 0.0);
        held.extend(strong.map(|found| {
            let (ids, count) = crate::fast::ids_of_chain(index, group, found);
            HoldingStack { ids, count, grip: group.grip, handle: group.handle }
        }));
    }
    held
}

/// Whether anything holds the other side.
pub(crate) fn can_hold_side(
    index: &PieceIndex,
    other: &ReachSite,
    groups: &[ChainGroup],
    work: &ReachWork,
) -> bool {
    other.takes_bare_hand() || !holding_stacks(index, other, groups, work).is_empty()
}

/// Some stacks that hold the other side, shortest first.
pub(crate) fn shortest_holding_stacks(
    index: &PieceIndex,
    other: &ReachSite,
    groups: &[ChainGroup],
    work: &ReachWork,
    most: usize,
) -> Vec<Vec<PieceId>> {
    let mut holds: Vec<Vec<PieceId>> =
        holding_stacks(index, other, groups, work).iter().map(HoldingStack::piece_ids).collect();
    holds.sort_by_key(Vec::len);
    holds.truncate(most);
    holds
}

/// Whether both use no piece more often than it is at hand.
fn is_pair_at_hand(index: &PieceIndex, hit: &ChainHit, hold: &[PieceId]) -> bool {
    let pieces = hit.piece_ids();
    let all = || pieces.iter().chain(hold);
    all().all(|id| all().filter(|o| *o == id).count() <= count_at_hand(index, *id))
}

fn count_at_hand(index: &PieceIndex, id: PieceId) -> usize {
    index.bodies.binary_search_by_key(&id, |b| b.id).map_or(0, |at| index.bodies[at].at_hand)
}

/// A pair before it is written out.
struct HoldPair {
    cost_s: f64,
    hit: usize,
    held: usize,
    all: [u32; 2 * (MAX_BETWEEN + 2)],
    count: usize,
}

fn undominated_pairs(
    index: &PieceIndex,
    site: &ReachSite,
    hits: &[ChainHit],
    held: &[HoldingStack],
) -> Vec<WorkingStack> {
    let mut families: BTreeMap<[usize; 4], Vec<HoldPair>> = BTreeMap::new();
    for (at, hit) in hits.iter().enumerate() {
        for (of, hold) in held.iter().enumerate() {
            let Some(pair) = pair_stacks(index, (at, hit), (of, hold)) else { continue };
            let (g, h) = (hit.group.grip, hit.group.handle);
            let family = [g.min(hold.grip), g.max(hold.grip), h.min(hold.handle), h.max(hold.handle)];
            families.entry(family).or_default().push(pair);
        }
    }
    let kept = families.into_values().flat_map(|family| drop_dominated_pairs(family, hits, held));
    let mut workings: Vec<WorkingStack> =
        kept.map(|p| hits[p.hit].written_working(index, site, &held[p.held].piece_ids())).collect();
    workings.sort_by(compare_workings);
    workings
}

/// The pair, if the store can serve both at once.
fn pair_stacks(
    index: &PieceIndex,
    (at, hit): (usize, &ChainHit),
    (of, hold): (usize, &HoldingStack),
) -> Option<HoldPair> {
    let count = hit.count + hold.count;
    let mut all = [0; 2 * (MAX_BETWEEN + 2)];
    all[..hit.count].copy_from_slice(&hit.ids[..hit.count]);
    all[hit.count..count].copy_from_slice(&hold.ids[..hold.count]);
    all[..count].sort_unstable();
    let served = all[..count].chunk_by(|a, b| a == b).all(|same| {
        same.len() == 1 || same.len() <= count_at_hand(index, PieceId::new(same[0] as usize - 1))
    });
    served.then(|| HoldPair { cost_s: working_cost_s(hit.ends.time_s, count), hit: at, held: of, all, count })
}

/// The pairs of a family that no other of it dominates.
fn drop_dominated_pairs(
    mut family: Vec<HoldPair>,
    hits: &[ChainHit],
    held: &[HoldingStack],
) -> Vec<HoldPair> {
    family.sort_by(|a, b| {
        a.cost_s
            .total_cmp(&b.cost_s)
            .then_with(|| a.count.cmp(&b.count))
            .then_with(|| hits[a.hit].ids.cmp(&hits[b.hit].ids))
            .then_with(|| held[a.held].ids.cmp(&held[b.held].ids))
    });
    let mut kept: Vec<HoldPair> = Vec::new();
    for pair in family {
        if !kept.iter().any(|k| is_part_of(&k.all[..k.count], &pair.all[..pair.count])) {
            kept.push(pair);
        }
    }
    kept
}
