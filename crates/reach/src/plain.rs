//! The plain search: every chain of pieces at hand, the rules checked at the end, the dominated ones taken away.
//!
//! Slow and obvious. It shares the rules with the fast search but none of its shortcuts, and tests compare the two.
//! Nothing is pruned: a chain is built piece by piece wherever links fit, and only then checked for whether it works.

use crate::answer::{are_at_hand, drop_dominated, pieces_of, working_of_stack};
use crate::chain::{self, is_chain};
use crate::rules::bends::MAX_CHAIN;
use crate::rules::style::StackRole;
use crate::site::{ReachSite, ReachWork};
use model::{Book, Duty, PieceId, Store, WorkingStack};

/// Every non-dominated working of each duty, cheapest first, in the order of the duties.
#[must_use]
pub fn find_reach_plainly(book: &Book, store: &Store, duties: &[Duty]) -> Vec<Vec<WorkingStack>> {
    let chains = all_chains(store);
    duties.iter().map(|duty| workings_of_duty(book, store, &chains, *duty)).collect()
}

fn workings_of_duty(book: &Book, store: &Store, chains: &[Vec<PieceId>], duty: Duty) -> Vec<WorkingStack> {
    let (Some(site), Some(work)) = (ReachSite::of_duty(book, duty), ReachWork::of_duty(book, duty)) else {
        return Vec::new();
    };
    let bare = Vec::from_iter(site.takes_bare_hand().then(Vec::new));
    let works: Vec<&Vec<PieceId>> = bare
        .iter()
        .chain(chains)
        .filter(|c| working_of_stack(store, &site, &work, c, &[]).is_some())
        .collect();
    let Some(other) = ReachSite::of_hold(book, duty) else {
        return drop_dominated(
            works.iter().filter_map(|c| working_of_stack(store, &site, &work, c, &[])).collect(),
        );
    };
    let holds = holding_chains(store, &other, &work, chains);
    let mut both = Vec::new();
    for ids in works {
        for hold in holds.iter().filter(|hold| are_at_hand(store, ids, hold)) {
            both.extend(working_of_stack(store, &site, &work, ids, hold));
        }
    }
    drop_dominated(both)
}

/// The chains that hold the other side; one of no pieces where the bare hand does.
fn holding_chains(
    store: &Store,
    site: &ReachSite,
    work: &ReachWork,
    chains: &[Vec<PieceId>],
) -> Vec<Vec<PieceId>> {
    let bare = site.takes_bare_hand().then(Vec::new);
    let held = chains.iter().filter(|ids| {
        let audit = chain::audit_chain(site, work, StackRole::Hold, &pieces_of(store, ids));
        audit.is_some_and(|a| a.all_rules_hold())
    });
    bare.into_iter().chain(held.cloned()).collect()
}

/// Every chain that the links of the pieces at hand allow, by piece ids.
fn all_chains(store: &Store) -> Vec<Vec<PieceId>> {
    let mut chains = Vec::new();
    for first in store.piece_ids().filter(|id| store.piece(*id).grip.is_some()) {
        extend_chain(store, &mut vec![first], &mut chains);
    }
    chains
}

fn extend_chain(store: &Store, ids: &mut Vec<PieceId>, chains: &mut Vec<Vec<PieceId>>) {
    if !are_at_hand(store, ids, &[]) {
        return;
    }
    if is_chain(&pieces_of(store, ids)) {
        chains.push(ids.clone());
    }
    let end = ids.last().and_then(|id| store.piece(*id).toward_hand);
    if ids.len() == MAX_CHAIN || end.is_none() {
        return;
    }
    for next in store.piece_ids().filter(|id| store.piece(*id).toward_fastener == end) {
        ids.push(next);
        extend_chain(store, ids, chains);
        ids.pop();
    }
}
