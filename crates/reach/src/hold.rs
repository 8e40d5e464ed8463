//! Rule 13: duties whose other side has to be held, by a second stack out of the same store.
//!
//! Both sides are searched apart and every pair that the store can serve at once is a working. A pair is dominated
//! only by a pair of the same two grips and the same two handles, in the same roles or swapped, for every pair needs
//! one of each; so pairs are compared within such families alone.

use crate::answer::{bare_hand, is_part_of, order, undominated};
use crate::fast::{Hit, forced, hits};
use crate::index::Index;
use crate::rules::strength;
use crate::search::Group;
use crate::site::{Site, Work};
use crate::times::cost_s;
use model::rules::MAX_BETWEEN;
use model::{PieceId, Working};
use std::collections::BTreeMap;

/// A stack that holds the other side.
struct Held {
    /// Ids counted from 1; 0 behind the last.
    ids: [u32; MAX_BETWEEN + 2],
    count: usize,
    grip: usize,
    handle: usize,
}

impl Held {
    fn pieces(&self) -> Vec<PieceId> {
        self.ids[..self.count].iter().map(|id| PieceId::new(*id as usize - 1)).collect()
    }
}

/// Every non-dominated pair of a working and a holding stack.
pub(crate) fn with_hold(
    index: &Index,
    (site, groups): (&Site, &[Group]),
    (other, held): (&Site, &[Group]),
    work: &Work,
) -> Vec<Working> {
    let hits = hits(index, site, work, groups);
    let held = holding(index, other, held, work);
    if !site.bare_hand() && !other.bare_hand() {
        return pairs(index, site, &hits, &held);
    }
    // The bare hand on either side is rare and leaves few pairs: all are compared with all.
    let bare_hold = other.bare_hand().then(Vec::new);
    let holds: Vec<Vec<PieceId>> = bare_hold.into_iter().chain(held.iter().map(Held::pieces)).collect();
    let mut all = Vec::new();
    for hold in &holds {
        all.extend(site.bare_hand().then(|| bare_hand(work, hold)));
        let together = hits.iter().filter(|h| at_hand(index, h, hold));
        all.extend(together.map(|h| h.working(index, site, hold)));
        if hold.is_empty() {
            // Whatever else holds the other side only adds pieces.
            break;
        }
    }
    undominated(all)
}

/// Rules 9 and 10 of the holding side.
fn holding(index: &Index, other: &Site, groups: &[Group], work: &Work) -> Vec<Held> {
    let mut held = Vec::new();
    for group in groups.iter().filter(|g| forced(other, work, index.bodies[g.handle].piece).is_some()) {
        let strong = group.chains.iter().filter(|f| strength::short_n_m(f.capacity, work.torque) <= 0.0);
        held.extend(strong.map(|found| {
            let (ids, count) = crate::fast::ids_of(index, group, found);
            Held { ids, count, grip: group.grip, handle: group.handle }
        }));
    }
    held
}

/// Whether anything holds the other side.
pub(crate) fn can_hold(index: &Index, other: &Site, groups: &[Group], work: &Work) -> bool {
    other.bare_hand() || !holding(index, other, groups, work).is_empty()
}

/// Some stacks that hold the other side, shortest first.
pub(crate) fn holds(
    index: &Index,
    other: &Site,
    groups: &[Group],
    work: &Work,
    most: usize,
) -> Vec<Vec<PieceId>> {
    let mut holds: Vec<Vec<PieceId>> = holding(index, other, groups, work).iter().map(Held::pieces).collect();
    holds.sort_by_key(Vec::len);
    holds.truncate(most);
    holds
}

/// Whether both use no piece more often than it is at hand.
fn at_hand(index: &Index, hit: &Hit, hold: &[PieceId]) -> bool {
    let pieces = hit.pieces();
    let all = || pieces.iter().chain(hold);
    all().all(|id| all().filter(|o| *o == id).count() <= owned(index, *id))
}

fn owned(index: &Index, id: PieceId) -> usize {
    index.bodies.binary_search_by_key(&id, |b| b.id).map_or(0, |at| index.bodies[at].at_hand)
}

/// A pair before it is written out.
struct Pair {
    cost_s: f64,
    hit: usize,
    held: usize,
    all: [u32; 2 * (MAX_BETWEEN + 2)],
    count: usize,
}

fn pairs(index: &Index, site: &Site, hits: &[Hit], held: &[Held]) -> Vec<Working> {
    let mut families: BTreeMap<[usize; 4], Vec<Pair>> = BTreeMap::new();
    for (at, hit) in hits.iter().enumerate() {
        for (of, hold) in held.iter().enumerate() {
            let Some(pair) = pair(index, (at, hit), (of, hold)) else { continue };
            let (g, h) = (hit.group.grip, hit.group.handle);
            let family = [g.min(hold.grip), g.max(hold.grip), h.min(hold.handle), h.max(hold.handle)];
            families.entry(family).or_default().push(pair);
        }
    }
    let kept = families.into_values().flat_map(|family| least(family, hits, held));
    let mut workings: Vec<Working> =
        kept.map(|p| hits[p.hit].working(index, site, &held[p.held].pieces())).collect();
    workings.sort_by(order);
    workings
}

/// The pair, if the store can serve both at once.
fn pair(index: &Index, (at, hit): (usize, &Hit), (of, hold): (usize, &Held)) -> Option<Pair> {
    let count = hit.count + hold.count;
    let mut all = [0; 2 * (MAX_BETWEEN + 2)];
    all[..hit.count].copy_from_slice(&hit.ids[..hit.count]);
    all[hit.count..count].copy_from_slice(&hold.ids[..hold.count]);
    all[..count].sort_unstable();
    let served = all[..count]
        .chunk_by(|a, b| a == b)
        .all(|same| same.len() == 1 || same.len() <= owned(index, PieceId::new(same[0] as usize - 1)));
    served.then(|| Pair { cost_s: cost_s(hit.ends.time_s, count), hit: at, held: of, all, count })
}

/// The pairs of a family that no other of it dominates.
fn least(mut family: Vec<Pair>, hits: &[Hit], held: &[Held]) -> Vec<Pair> {
    family.sort_by(|a, b| {
        a.cost_s
            .total_cmp(&b.cost_s)
            .then_with(|| a.count.cmp(&b.count))
            .then_with(|| hits[a.hit].ids.cmp(&hits[b.hit].ids))
            .then_with(|| held[a.held].ids.cmp(&held[b.held].ids))
    });
    let mut kept: Vec<Pair> = Vec::new();
    for pair in family {
        if !kept.iter().any(|k| is_part_of(&k.all[..k.count], &pair.all[..pair.count])) {
            kept.push(pair);
        }
    }
    kept
}
