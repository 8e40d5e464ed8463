//! Kits: the pieces that have to lie on the cart, so that every step has a stack wholly among them.
//!
//! **Question.** Pieces have weights `w_i`; step `r` can be done by any of its stacks, stack `a` costs `c_ra` and needs all
//! pieces in it. Choose pieces at the least sum of their weights and, for each step, of the cheapest stack among them.
//! With stacks of one piece and no costs this is the set cover; in general it is a cover of *and*s under *or*s. Caps may
//! limit sums over the pieces.
//!
//! **Method.** Exact reductions ([`reduce_kit_cover`]); components; for each the Lagrangian relaxation of the strong integer program
//! (`relaxed`), raised by the volume method, with fixing; a local search (`local`); clauses, solved as a set cover, for a
//! bound of another kind (`hitting`); and branch and bound whose parts repeat reduction, ascent and fixing (`part`).
//! [`plain`] tries every kit, to compare.
//!
//! **Range.** Sums of weights and costs up to 10¹⁵; beyond, the rounding of the bound gives away more than it gains. With
//! caps the pieces that count in one are reduced with care, and the cover is not cut into components.
//!
//! **Worked example.** Two bolts, sockets A and B fit either, C fits the second only, each turned by ratchet R: rows
//! {A,R}|{B,R} and {A,R}|{B,R}|{C,R}. The second row contains the first's alternatives and is dropped; R is forced; A
//! dominates B. The kit is {A, R}, proven without a search.
//!
//! **Sources.** The strong form, reductions and reduced-cost fixing are common knowledge of integer programming (as for
//! facility location); see `relaxed`, `hitting` and `volume` for what is not.

mod clause;
mod hitting;
mod invented;
pub mod kit_cover;
mod local;
mod part;
pub mod plain;
mod prices;
mod reduce;
mod relaxed;
mod state;

use effort::{RandomSeed, SolverBudget};

use crate::search::{CoverAnswer, CoverSearch};
use crate::tree::{LocalImprover as _, TreeSubproblem as _, take_turns};
use hitting::HittingSetBound;
pub use invented::InventedKit;
use kit_cover::{KitCover, kit_holds};
use local::{KitLocalSearch, NamedKitSearch};
use reduce::split_components;

/// The effort where none is given, in millions of entries visited: two to three seconds on a small machine of 2026.
const SIZED_EFFORT: u64 = 300;
/// Steps of the local search before anything else.
const FIRST_STEPS: u64 = 500;
/// Work for clauses before the tree.
const FIRST_CLAUSES_VISITS: u64 = 80 << 20;
/// Share of the work that goes to local search while the tree is open.
const LOCAL_FRACTION: f64 = 0.3;

/// The best kit found with the budget; the same for the same cover, effort and seed.
///
/// Where no kit satisfies all rows within the caps the standing says so and nothing is chosen.
#[must_use]
pub fn solve_kit_cover(cover: &KitCover, budget: &SolverBudget, seed: RandomSeed) -> CoverAnswer {
    let mut search = CoverSearch::new(budget, SIZED_EFFORT, seed);
    search.upper = cover.above_all();
    let mut small = cover.clone();
    if !reduce::apply_reductions(&mut small, &mut search) {
        let bound = search.upper;
        return search.into_answer(bound);
    }
    let (mut value, mut bound, mut chosen) = (small.fixed, small.fixed, small.taken.clone());
    for part in split_components(&small) {
        search.best = None;
        search.base = value;
        search.upper = part.cover.above_all();
        let reached = search_component(&part.cover, &mut search).min(search.upper);
        let Some(best) = search.best.take() else { return search.into_answer(reached) };
        chosen.extend(best.iter().map(|i| part.items[*i as usize]));
        value += search.upper;
        bound += reached;
    }
    let (used, least) = trim_kit(cover, &chosen).unwrap_or((chosen, value));
    search.best = Some(used);
    search.upper = least;
    search.into_answer(bound)
}

/// The items that the cheapest alternatives inside a kit use, and their value: without this, weightless
/// items would be included for no reason, and what a reduction has dropped may be cheaper than what replaces it.
fn trim_kit(cover: &KitCover, chosen: &[u32]) -> Option<(Vec<u32>, u64)> {
    let mut kit = cover.empty_kit();
    chosen.iter().for_each(|i| kit[*i as usize] = true);
    let mut used = cover.empty_kit();
    for row in &cover.rows {
        let best = row.alternatives.iter().find(|a| kit_holds(&kit, &a.items))?;
        best.items.iter().for_each(|i| used[*i as usize] = true);
    }
    let value = cover.value(&used)?;
    Some(((0..used.len() as u32).filter(|i| used[*i as usize]).collect(), value))
}

/// Applies the exact reductions; false where no kit satisfies all rows within the caps.
#[must_use]
pub fn reduce_kit_cover(cover: &mut KitCover) -> bool {
    reduce::apply_reductions(
        cover,
        &mut CoverSearch::new(&SolverBudget::sized(), SIZED_EFFORT, RandomSeed(0)),
    )
}

/// Searches one component below the finite value that a search has; returns the bound on anything better.
fn search_component(cover: &KitCover, search: &mut CoverSearch) -> u64 {
    let Some(root) = part::kit_root(cover, search) else { return search.upper };
    let local = KitLocalSearch::new(&root.cover, search);
    let mut named = NamedKitSearch { local, names: root.names.clone(), taken: root.taken.clone() };
    named.local.offer_kit(&named.names, &named.taken, search);
    named.improve_answer(search, FIRST_STEPS);
    let mut hitting = HittingSetBound::new(&root, root.bound());
    hitting.raise_bound(search, FIRST_CLAUSES_VISITS);
    if hitting.bound >= search.upper {
        return search.upper;
    }
    take_turns(root, &mut named, LOCAL_FRACTION, search).max(hitting.bound).min(search.upper)
}
