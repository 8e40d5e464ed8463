//! Second copies: where two standing stacks save more swapping than a further copy costs to fetch.
//!
//! A fixing worked by itself is freed with one stack and run out with the next, run in with one and tightened with
//! another. Each such change from stack `a` to `b` takes [`PICK_S`] for each piece new and [`PUT_S`] for each piece gone.
//! If both are kept joined, a change is one pick and one put; every piece used by both is then needed twice.
//! *Rule:* with `n` changes between `a` and `b` over the scope (one for each fixing and access) and `k` copies to add, the
//! copies are taken where `n · (change − pick − put) > k · (pick + put)`, the best pair first, as long as copies are at
//! hand. Only the quickest kit asks for them; the others carry as little as they can. (Assumption: fixings are worked one
//! after another.)

use std::collections::BTreeMap;

use model::{PieceId, Store};
use times::{PICK_S, PUT_S};

use super::KitAnswer;
use crate::scope::PlanScope;

/// The two stacks of a change, the lower first.
type StackPair = (Vec<PieceId>, Vec<PieceId>);

/// Adds second copies to a kit.
pub fn add_spare_copies(store: &Store, scope: &PlanScope, answer: &mut KitAnswer) {
    let changes = count_stack_changes(scope, answer);
    while let Some(copies) = best_copies(store, answer, &changes) {
        for piece in copies {
            if let Ok(at) = answer.pieces.binary_search_by_key(&piece, |(p, _)| *p) {
                answer.pieces[at].1 += 1;
            }
        }
    }
}

/// How often the quickest stacks of two duties that follow each other on a fixing change.
fn count_stack_changes(scope: &PlanScope, answer: &KitAnswer) -> BTreeMap<StackPair, u32> {
    let mut changes: BTreeMap<StackPair, u32> = BTreeMap::new();
    for (at, two) in scope.duties.windows(2).enumerate() {
        let same = two[0].duty.fixing == two[1].duty.fixing && two[0].duty.access == two[1].duty.access;
        let (Some(a), Some(b)) = (answer.best[at], answer.best[at + 1]) else { continue };
        let (a, b) = (two[0].workings[a].stack.all_pieces(), two[1].workings[b].stack.all_pieces());
        if same && a != b && !a.is_empty() && !b.is_empty() {
            let pair = if a < b { (a, b) } else { (b, a) };
            *changes.entry(pair).or_default() += 1;
        }
    }
    changes
}

/// The copies to add for the pair that gains most; `None` where no pair gains.
fn best_copies(
    store: &Store,
    answer: &KitAnswer,
    changes: &BTreeMap<StackPair, u32>,
) -> Option<Vec<PieceId>> {
    let gains = changes.iter().filter_map(|(pair, n)| {
        let copies = pieces_short(answer, pair);
        let free = copies.iter().all(|p| answer.count(*p) < store.piece(*p).at_hand());
        let gain_s = f64::from(*n) * saved_s(pair) - copies.len() as f64 * (PICK_S + PUT_S);
        (!copies.is_empty() && free && gain_s > 0.0).then_some((gain_s, copies))
    });
    gains.max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1))).map(|(_, copies)| copies)
}

/// Pieces of which the kit has too few for both stacks to stay joined, each once.
fn pieces_short(answer: &KitAnswer, (a, b): &StackPair) -> Vec<PieceId> {
    let mut pieces: Vec<PieceId> = a.iter().filter(|p| b.contains(p)).copied().collect();
    pieces.dedup();
    let uses = |p: PieceId| a.iter().chain(b).filter(|q| **q == p).count();
    pieces.retain(|p| usize::from(answer.count(*p)) < uses(*p));
    pieces
}

/// What a change saves when both stacks are kept joined.
fn saved_s((a, b): &StackPair) -> f64 {
    let only = |a: &[PieceId], b: &[PieceId]| a.iter().filter(|p| !b.contains(p)).count() as f64;
    // There and back again on average: half of the changes go each way.
    let change_s = (only(b, a) + only(a, b)) * f64::midpoint(PICK_S, PUT_S);
    change_s - (PICK_S + PUT_S)
}
