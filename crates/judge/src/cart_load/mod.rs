//! Judges the loading of a cart: replays it stage by stage, from store, plan and loading alone.
//!
//! **Question.** Does every step find its pieces on the cart, never more of them than it has places, and do walks, counts and
//! seconds agree with what is done?
//!
//! **Codes.** J001 names, J002 a step lacks a piece, J003 places, J004 zones, J005 walks, J006 seconds, J007 stages,
//! J008 the list of pieces, J009 standing stacks.

mod replay;
mod standing;

use std::collections::BTreeMap;

use model::cart::{CART_FORMAT, CartLoad, ON_CART};
use model::plan::{Plan, Step};
use model::{Piece, Store};

use crate::{FoundViolations, Violation};

/// Keys and how often each.
pub(crate) type KeyCounts = BTreeMap<String, u32>;

/// Every rule that the loading breaks; empty for a valid one. The plan itself is not judged.
#[must_use]
pub fn judge_cart(store: &Store, plan: &Plan, load: &CartLoad) -> Vec<Violation> {
    let mut found = FoundViolations::default();
    let job = LoadingCase::new(store, plan);
    judge_cart_names(&job, load, &mut found);
    replay::judge_cart_stages(&job, load, &mut found);
    judge_piece_list(&job, load, &mut found);
    standing::judge_standing_stacks(&job, load, &mut found);
    found.0
}

/// Store and plan, and what each step needs.
pub(crate) struct LoadingCase<'a> {
    pub store: &'a Store,
    pub plan: &'a Plan,
    /// Number and needs of every step, in order; pieces that live on the cart left out.
    pub steps: Vec<(u32, KeyCounts)>,
}

impl<'a> LoadingCase<'a> {
    fn new(store: &'a Store, plan: &'a Plan) -> Self {
        let mut job = Self { store, plan, steps: Vec::new() };
        for sequence in [&plan.strip, &plan.work, &plan.refit] {
            for step in &sequence.steps {
                let needs = job.needs_of_step(step);
                job.steps.push((step.number, needs));
            }
        }
        job
    }

    pub fn piece_by_key(&self, key: &str) -> Option<&'a Piece> {
        self.store.pieces.iter().find(|p| p.key == key)
    }

    /// The pieces of a stack of the plan, those that hold the other side included.
    pub fn pieces_of_stack(&self, id: &str) -> KeyCounts {
        let line = self.plan.stacks.iter().find(|s| s.id == id);
        count_keys(line.into_iter().flat_map(|l| l.pieces.iter().chain(&l.hold)))
    }

    fn needs_of_step(&self, step: &Step) -> KeyCounts {
        let mut needs = KeyCounts::new();
        for id in step.actions.iter().filter_map(|a| a.stack.as_ref()) {
            for (key, times) in self.pieces_of_stack(id) {
                let known = needs.entry(key).or_insert(0);
                *known = times.max(*known);
            }
        }
        needs.retain(|key, _| self.piece_by_key(key).is_none_or(|p| p.place.cabinet != ON_CART));
        needs
    }
}

/// How often each key is named.
pub(crate) fn count_keys<'k>(keys: impl IntoIterator<Item = &'k String>) -> KeyCounts {
    let mut all = KeyCounts::new();
    for key in keys {
        *all.entry(key.clone()).or_insert(0) += 1;
    }
    all
}

fn judge_cart_names(job: &LoadingCase, load: &CartLoad, found: &mut FoundViolations) {
    let same = load.format == CART_FORMAT
        && load.book == job.plan.book
        && load.store_title == job.store.title
        && load.currency == job.plan.currency;
    if !same {
        found.add("J001", "heading", "format, book, store or currency are not those of the plan");
    }
    let stages = load.stages.iter();
    let named = stages
        .flat_map(|s| s.now.iter().chain(&s.next).chain(&s.back))
        .chain(load.pieces.iter().map(|p| &p.piece));
    for (key, _) in count_keys(named) {
        if job.piece_by_key(&key).is_none() {
            found.add("J001", "pieces", format!("the store has no piece `{key}`"));
        }
    }
}

/// The list of pieces against the steps and the stages.
fn judge_piece_list(job: &LoadingCase, load: &CartLoad, found: &mut FoundViolations) {
    let brought = count_keys(load.stages.iter().flat_map(|s| &s.trips).flat_map(|t| &t.bring));
    let mut most = KeyCounts::new();
    for (key, times) in job.steps.iter().flat_map(|(_, needs)| needs) {
        let known = most.entry(key.clone()).or_insert(0);
        *known = (*known).max(*times);
    }
    let listed: BTreeMap<&String, u32> = load.pieces.iter().map(|p| (&p.piece, u32::from(p.count))).collect();
    if listed.len() != load.pieces.len() || !listed.into_iter().eq(most.iter().map(|(k, n)| (k, *n))) {
        found.add("J008", "pieces", "the list differs from the pieces that the steps need");
    }
    for line in &load.pieces {
        let steps = job.steps.iter().filter(|(_, needs)| needs.contains_key(&line.piece)).count();
        let times = brought.get(&line.piece).copied().unwrap_or(0);
        let known = job.piece_by_key(&line.piece);
        let is_right = steps == line.steps as usize
            && times == line.brought
            && known.is_none_or(|p| p.title == line.title && p.place == line.place);
        if !is_right {
            let words = format!(
                "needed by {steps} steps and brought {times} times, or title or place differs from the store"
            );
            found.add("J008", format!("piece {}", line.piece), words);
        }
    }
}
