//! Kits
pub mod cover;
mod invented;
mod local;
mod part;
mod prices;
pub mod reduce;
mod relaxed;
mod state;

use effort::{Budget, Seed};

use crate::search::{Answer, Search};
use crate::tree::{Local as _, take_turns};
use cover::Cover;
pub use invented::Invented;
use local::{Local, Named};
use reduce::components;

/// The effort where none is given
const SIZED_EFFORT: u64 = 3_000;
const FIRST_STEPS: u64 = 500;
const LOCAL_FRACTION: f64 = 0.3;

/// Best kit
#[must_use]
pub fn solve(cover: &Cover, budget: &Budget, seed: Seed) -> Answer {
    let mut search = Search::new(budget, SIZED_EFFORT, seed);
    let mut small = cover.clone();
    search.upper = cover.above_all();
    if !reduce::reduce(&mut small, &mut search) {
        let bound = search.upper;
        return search.answer(bound);
    }
    let mut value = small.fixed;
    let mut bound = small.fixed;
    let mut chosen = small.taken.clone();
    for part in components(&small) {
        search.best = None;
        search.upper = part.cover.above_all();
        let part_bound = component(&part.cover, &mut search);
        let Some(best) = search.best.take() else { 
            // no kit found in this component
            search.upper = u64::MAX;
            return search.answer(0);
        };
        chosen.extend(best.iter().map(|i| part.items[*i as usize]));
        value += search.upper;
        bound += part_bound.min(search.upper);
    }
    search.best = Some(chosen);
    search.upper = value;
    search.answer(bound)
}

fn component(cover: &Cover, search: &mut Search) -> u64 {
    let Some(root) = part::root(cover, search) else { return search.upper };
    let local = Local::new(&root.cover, search);
    let mut named = Named { local, names: root.names.clone(), taken: root.taken.clone() };
    named.improve(search, FIRST_STEPS);
    take_turns(root, &mut named, LOCAL_FRACTION, search)
}
