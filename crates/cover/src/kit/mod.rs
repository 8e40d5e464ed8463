//! Kits: the pieces that have to lie on the cart, so that every step has a stack wholly among them.
//!
//! **Question.** Pieces have weights `w_i`; step `r` can be done by any of its stacks, stack `a` costs `c_ra` and needs all
//! pieces in it. Choose pieces at the least sum of their weights and, for each step, of the cheapest stack among them.
//! With stacks of one piece and no costs this is the set cover; in general it is a cover of *and*s under *or*s. Caps may
//! limit sums over the pieces.
//!
//! **Method.** Exact reductions ([`reduced`]); components; for each the Lagrangian relaxation of the strong integer program
//! (`relaxed`), raised by the volume method, with fixing; a local search (`local`); clauses, solved as a set cover, for a
//! bound of another kind (`hitting`); and branch and bound whose parts repeat reduction, ascent and fixing (`part`).
//! [`plain`] tries every kit, to compare.
//!
//! **Range.** Sums of weights and costs up to 10¹⁵; beyond, the rounding of the bound gives away more than it gains. With
//! caps the pieces that count in one are reduced with care, and the cover is not cut into components.
//!
//! **Worked example.** Two bolts, sockets A and B fit either, C fits the second only, each turned by ratchet R: rows
//! {A,R}|{B,R} and {A,R}|{B,R}|{C,R}. The second contains the first's alternatives and goes; R is forced; A stands in for
//! B. The kit is {A, R}, proven without a search.
//!
//! **Sources.** The strong form, reductions and reduced-cost fixing are common knowledge of integer programming (as for
//! facility location); see `relaxed`, `hitting` and `volume` for what is not.

mod clause;
pub mod cover;
mod hitting;
mod invented;
mod local;
mod part;
pub mod plain;
mod prices;
mod reduce;
mod relaxed;
mod state;

use effort::{Budget, Seed};

use crate::search::{Answer, Search};
use crate::tree::{Local as _, Part as _, take_turns};
use cover::{Cover, holds};
use hitting::Hitting;
pub use invented::Invented;
use local::{Local, Named};
use reduce::components;

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
pub fn solve(cover: &Cover, budget: &Budget, seed: Seed) -> Answer {
    let mut search = Search::new(budget, SIZED_EFFORT, seed);
    search.upper = cover.above_all();
    let mut small = cover.clone();
    if !reduce::reduce(&mut small, &mut search) {
        let bound = search.upper;
        return search.answer(bound);
    }
    let (mut value, mut bound, mut chosen) = (small.fixed, small.fixed, small.taken.clone());
    for part in components(&small) {
        search.best = None;
        search.base = value;
        search.upper = part.cover.above_all();
        let reached = component(&part.cover, &mut search).min(search.upper);
        let Some(best) = search.best.take() else { return search.answer(reached) };
        chosen.extend(best.iter().map(|i| part.items[*i as usize]));
        value += search.upper;
        bound += reached;
    }
    let (used, least) = trimmed(cover, &chosen).unwrap_or((chosen, value));
    search.best = Some(used);
    search.upper = least;
    search.answer(bound)
}

/// The items that the cheapest alternatives inside a kit use, and their value: what weighs nothing comes along unasked
/// else, and what a reduction has dropped may be cheaper than what stands for it.
fn trimmed(cover: &Cover, chosen: &[u32]) -> Option<(Vec<u32>, u64)> {
    let mut kit = cover.empty_kit();
    chosen.iter().for_each(|i| kit[*i as usize] = true);
    let mut used = cover.empty_kit();
    for row in &cover.rows {
        let best = row.alternatives.iter().find(|a| holds(&kit, &a.items))?;
        best.items.iter().for_each(|i| used[*i as usize] = true);
    }
    let value = cover.value(&used)?;
    Some(((0..used.len() as u32).filter(|i| used[*i as usize]).collect(), value))
}

/// Applies the exact reductions; false where no kit satisfies all rows within the caps.
#[must_use]
pub fn reduced(cover: &mut Cover) -> bool {
    reduce::reduce(cover, &mut Search::new(&Budget::sized(), SIZED_EFFORT, Seed(0)))
}

/// Searches one component below the finite value that a search has; returns the bound on anything better.
fn component(cover: &Cover, search: &mut Search) -> u64 {
    let Some(root) = part::root(cover, search) else { return search.upper };
    let local = Local::new(&root.cover, search);
    let mut named = Named { local, names: root.names.clone(), taken: root.taken.clone() };
    named.local.offer(&named.names, &named.taken, search);
    named.improve(search, FIRST_STEPS);
    let mut hitting = Hitting::new(&root, root.bound());
    hitting.raise(search, FIRST_CLAUSES_VISITS);
    if hitting.bound >= search.upper {
        return search.upper;
    }
    take_turns(root, &mut named, LOCAL_FRACTION, search).max(hitting.bound).min(search.upper)
}
