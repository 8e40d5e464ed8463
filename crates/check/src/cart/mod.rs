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

use crate::{Found, Violation};

/// Keys and how often each.
pub(crate) type Count = BTreeMap<String, u32>;

/// Every rule that the loading breaks; empty for one that can be trusted. The plan is taken as it stands.
#[must_use]
pub fn judge_cart(store: &Store, plan: &Plan, load: &CartLoad) -> Vec<Violation> {
    let mut found = Found::default();
    let job = Job::new(store, plan);
    names(&job, load, &mut found);
    replay::judge(&job, load, &mut found);
    list(&job, load, &mut found);
    standing::judge(&job, load, &mut found);
    found.0
}

/// Store and plan, and what each step needs.
pub(crate) struct Job<'a> {
    pub store: &'a Store,
    pub plan: &'a Plan,
    /// Number and needs of every step, in order; pieces that live on the cart left out.
    pub steps: Vec<(u32, Count)>,
}

impl<'a> Job<'a> {
    fn new(store: &'a Store, plan: &'a Plan) -> Self {
        let mut job = Self { store, plan, steps: Vec::new() };
        for sequence in [&plan.strip, &plan.work, &plan.refit] {
            for step in &sequence.steps {
                let needs = job.needs(step);
                job.steps.push((step.number, needs));
            }
        }
        job
    }

    pub fn piece(&self, key: &str) -> Option<&'a Piece> {
        self.store.pieces.iter().find(|p| p.key == key)
    }

    /// The pieces of a stack of the plan, those that hold the other side included.
    pub fn stack(&self, id: &str) -> Count {
        let line = self.plan.stacks.iter().find(|s| s.id == id);
        count(line.into_iter().flat_map(|l| l.pieces.iter().chain(&l.hold)))
    }

    fn needs(&self, step: &Step) -> Count {
        let mut needs = Count::new();
        for id in step.actions.iter().filter_map(|a| a.stack.as_ref()) {
            for (key, times) in self.stack(id) {
                let known = needs.entry(key).or_insert(0);
                *known = times.max(*known);
            }
        }
        needs.retain(|key, _| self.piece(key).is_none_or(|p| p.place.cabinet != ON_CART));
        needs
    }
}

/// How often each key is named.
pub(crate) fn count<'k>(keys: impl IntoIterator<Item = &'k String>) -> Count {
    let mut all = Count::new();
    for key in keys {
        *all.entry(key.clone()).or_insert(0) += 1;
    }
    all
}

fn names(job: &Job, load: &CartLoad, found: &mut Found) {
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
    for (key, _) in count(named) {
        if job.piece(&key).is_none() {
            found.add("J001", "pieces", format!("the store has no piece `{key}`"));
        }
    }
}

/// The list of pieces against the steps and the stages.
fn list(job: &Job, load: &CartLoad, found: &mut Found) {
    let brought = count(load.stages.iter().flat_map(|s| &s.trips).flat_map(|t| &t.bring));
    let mut most = Count::new();
    for (key, times) in job.steps.iter().flat_map(|(_, needs)| needs) {
        let known = most.entry(key.clone()).or_insert(0);
        *known = (*known).max(*times);
    }
    let listed: BTreeMap<&String, u32> = load.pieces.iter().map(|p| (&p.piece, u32::from(p.count))).collect();
    if listed.len() != load.pieces.len() || !listed.into_iter().eq(most.iter().map(|(k, n)| (k, *n))) {
        found.add("J008", "pieces", "the list is not that of the pieces that the steps need");
    }
    for line in &load.pieces {
        let steps = job.steps.iter().filter(|(_, needs)| needs.contains_key(&line.piece)).count();
        let times = brought.get(&line.piece).copied().unwrap_or(0);
        let known = job.piece(&line.piece);
        let is_right = steps == line.steps as usize
            && times == line.brought
            && known.is_none_or(|p| p.title == line.title && p.place == line.place);
        if !is_right {
            let words = format!(
                "needed by {steps} steps and brought {times} times, or told otherwise than the store does"
            );
            found.add("J008", format!("piece {}", line.piece), words);
        }
    }
}
