//! Which part has to come off before which, from the orders that visits took.
//!
//! **Question.** An order that was seen is one that works; it does not say what of it was needed. What may be said after 1, 3, 10, 30 visits?
//!
//! **Candidates.** A pair `a` before `b` is a candidate as long as fewer than [`MIN_CONTRADICTIONS`] visits took them the other way round and nobody has freed it. Its first
//! contradiction is kept as a possible slip of the finger. The *safe order* keeps all candidates.
//!
//! **Why the safe order is safe.** Lay the visits' orders one behind the other and take each part at its first place: call that the *merged order*. If every visit's order
//! worked and took off what stands before each of its parts, so does the merged order, and no candidate that has to hold contradicts it. Pairs that agree with it are added
//! first and never close a circle; a pair that would close one is refused and told as unsettled. Slips of recording can break this; the share is in `docs/learning.md`.
//!
//! **Proposals.** A candidate is proposed as a precedence when [`crate::pairing_test`] says that chance is out of the question, over all pairs together by the rule of Benjamini and
//! Hochberg. With one contradiction the visit is left out and the chance counted as many times as there are visits. What follows from other proposals is left out.

use std::collections::{BTreeMap, BTreeSet};

use crate::order_graph::OrderGraph;
use crate::pairing_test::{chance_of_always_first, count_believed};
use crate::visits::{EngineVisit, HistoryFault, MAX_PARTS, MAX_VISITS};

/// Visits the other way round that end a candidate.
pub const MIN_CONTRADICTIONS: usize = 2;
/// Share of proposals that may be wrong on average, if visits are independent.
pub const WRONG_PROPOSALS_SHARE: f64 = 0.1;

/// One part before another, with the visits behind it.
#[derive(Debug, Clone, PartialEq)]
pub struct OrderedPair {
    /// Comes off first.
    pub first: String,
    /// Comes off after it.
    pub then: String,
    /// Visits in which both came off.
    pub visits: usize,
    /// Of these, the other way round: 0 or 1.
    pub contradictions: usize,
    /// Chance that it is chance, by [`crate::pairing_test`], both directions counted.
    pub chance_probability: f64,
}

/// What visits say about the order of an engine's parts.
#[derive(Debug, Clone, PartialEq)]
pub struct LearnedOrder {
    /// An order that keeps every candidate.
    pub safe_order: Vec<String>,
    /// All candidates that do not follow from others.
    pub candidates: Vec<OrderedPair>,
    /// Candidates before what follows from others was left out.
    pub all_candidates: usize,
    /// Pairs proposed as precedences; what follows from others left out.
    pub proposed: Vec<OrderedPair>,
    /// Pairs of which two visits or a person say that either may come first.
    pub free_pairs: usize,
    /// Candidates that contradict each other in a circle and were left out of the safe order: to be looked at.
    pub unsettled: Vec<OrderedPair>,
}

/// A pair by the numbers of its parts.
#[derive(Debug, Clone, Copy, PartialEq)]
struct SeenPair {
    first: usize,
    then: usize,
    visits: usize,
    contradictions: usize,
    agrees_with_merged: bool,
    chance_probability: f64,
}

/// Places of the parts in all visits.
struct SeenOrders {
    parts: Vec<String>,
    /// By part, then by visit: the place as a share of that visit's order.
    place_share: Vec<BTreeMap<usize, f64>>,
    /// By part: its place in the merged order.
    merged: Vec<usize>,
}

/// What the visits say; `freed` are pairs of which a person said that either may come first.
///
/// # Errors
/// When there are too many visits or parts, or a part came off twice in one visit.
pub fn learn_order(visits: &[EngineVisit], freed: &[(String, String)]) -> Result<LearnedOrder, HistoryFault> {
    let orders = SeenOrders::of_visits(visits)?;
    let is_freed = |a: &str, b: &str| freed.iter().any(|(x, y)| (x == a && y == b) || (x == b && y == a));
    let (mut candidates, mut free_pairs) = (Vec::new(), 0);
    for a in 0..orders.parts.len() {
        for b in a + 1..orders.parts.len() {
            match orders.compare_parts(a, b) {
                PairFinding::NeverTogether => {}
                PairFinding::EitherWay => free_pairs += 1,
                PairFinding::Candidate(_) if is_freed(&orders.parts[a], &orders.parts[b]) => free_pairs += 1,
                PairFinding::Candidate(pair) => candidates.push(pair),
            }
        }
    }
    let tests = candidates.len() + free_pairs;
    let (graph, refused) = fill_graph(orders.parts.len(), &mut candidates);
    let safe_order = graph.order_parts(&orders.merged);
    let by_place: BTreeMap<(usize, usize), SeenPair> =
        candidates.iter().map(|pair| ((pair.first, pair.then), *pair)).collect();
    let reduced = graph.reduce_pairs();
    let named = |pair: &SeenPair| orders.name_pair(pair);
    let proposed = propose_pairs(orders.parts.len(), &candidates, tests);
    Ok(LearnedOrder {
        safe_order: safe_order.into_iter().map(|part| orders.parts[part].clone()).collect(),
        candidates: reduced.iter().filter_map(|place| by_place.get(place)).map(named).collect(),
        all_candidates: candidates.len(),
        proposed: proposed.iter().map(named).collect(),
        free_pairs,
        unsettled: refused.iter().map(named).collect(),
    })
}

/// The candidates that fit together, surest first, and those that close a circle.
fn fill_graph(parts: usize, candidates: &mut [SeenPair]) -> (OrderGraph, Vec<SeenPair>) {
    candidates.sort_by_key(|pair| {
        (pair.contradictions, !pair.agrees_with_merged, usize::MAX - pair.visits, pair.first, pair.then)
    });
    let mut graph = OrderGraph::of_parts(parts);
    let refused = candidates.iter().filter(|pair| !graph.add_pair(pair.first, pair.then)).copied().collect();
    (graph, refused)
}

/// The candidates that chance does not explain, without what follows from others.
fn propose_pairs(parts: usize, candidates: &[SeenPair], tests: usize) -> Vec<SeenPair> {
    let mut by_chance = candidates.to_vec();
    by_chance.sort_by(|a, b| {
        let by_name = (a.first, a.then).cmp(&(b.first, b.then));
        a.chance_probability.total_cmp(&b.chance_probability).then(by_name)
    });
    let chances: Vec<f64> = by_chance.iter().map(|pair| pair.chance_probability).collect();
    by_chance.truncate(count_believed(&chances, tests, WRONG_PROPOSALS_SHARE));
    let mut graph = OrderGraph::of_parts(parts);
    by_chance.retain(|pair| graph.add_pair(pair.first, pair.then));
    let kept: BTreeSet<(usize, usize)> = graph.reduce_pairs().into_iter().collect();
    by_chance.retain(|pair| kept.contains(&(pair.first, pair.then)));
    by_chance.sort_by_key(|pair| (pair.first, pair.then));
    by_chance
}

/// What the visits say of two parts.
enum PairFinding {
    NeverTogether,
    EitherWay,
    Candidate(SeenPair),
}

impl SeenOrders {
    fn of_visits(visits: &[EngineVisit]) -> Result<Self, HistoryFault> {
        if visits.len() > MAX_VISITS {
            return Err(HistoryFault::TooMany { what: "visits", count: visits.len(), limit: MAX_VISITS });
        }
        let names: BTreeSet<&str> =
            visits.iter().flat_map(|visit| &visit.removals).map(|removal| removal.part.as_str()).collect();
        if names.len() > MAX_PARTS {
            return Err(HistoryFault::TooMany { what: "parts", count: names.len(), limit: MAX_PARTS });
        }
        let numbers: BTreeMap<&str, usize> = names.iter().enumerate().map(|(at, name)| (*name, at)).collect();
        let mut place_share = vec![BTreeMap::new(); names.len()];
        let mut merged = vec![usize::MAX; names.len()];
        let mut next = 0;
        for (at, visit) in visits.iter().enumerate() {
            for (place, removal) in visit.removals.iter().enumerate() {
                let part = numbers[removal.part.as_str()];
                let share = (place + 1) as f64 / (visit.removals.len() + 1) as f64;
                if place_share[part].insert(at, share).is_some() {
                    let (visit, part) = (visit.name.clone(), removal.part.clone());
                    return Err(HistoryFault::PartTwice { visit, part });
                }
                if merged[part] == usize::MAX {
                    merged[part] = next;
                    next += 1;
                }
            }
        }
        Ok(Self { parts: names.into_iter().map(str::to_owned).collect(), place_share, merged })
    }

    /// Compares two parts over the visits in which both came off.
    fn compare_parts(&self, a: usize, b: usize) -> PairFinding {
        let together: Vec<(f64, f64)> = self.place_share[a]
            .iter()
            .filter_map(|(visit, share)| Some((*share, *self.place_share[b].get(visit)?)))
            .collect();
        let a_first = together.iter().filter(|(a, b)| a < b).count();
        let b_first = together.len() - a_first;
        if together.is_empty() {
            return PairFinding::NeverTogether;
        }
        let contradictions = a_first.min(b_first);
        if contradictions >= MIN_CONTRADICTIONS {
            return PairFinding::EitherWay;
        }
        let merged_a_first = self.merged[a] < self.merged[b];
        let is_a_first = a_first > b_first || (a_first == b_first && merged_a_first);
        let (first, then) = if is_a_first { (a, b) } else { (b, a) };
        let turned = together.iter().map(|(a, b)| if is_a_first { (*a, *b) } else { (*b, *a) });
        let (kept_first, kept_then): (Vec<f64>, Vec<f64>) =
            turned.filter(|(first, then)| first < then).unzip();
        let left_out = if contradictions == 0 { 1.0 } else { together.len() as f64 };
        // Twice, because the direction was chosen by looking.
        let chance = 2.0 * left_out * chance_of_always_first(&kept_first, &kept_then);
        PairFinding::Candidate(SeenPair {
            first,
            then,
            visits: together.len(),
            contradictions,
            agrees_with_merged: is_a_first == merged_a_first,
            chance_probability: chance.min(1.0),
        })
    }

    fn name_pair(&self, pair: &SeenPair) -> OrderedPair {
        OrderedPair {
            first: self.parts[pair.first].clone(),
            then: self.parts[pair.then].clone(),
            visits: pair.visits,
            contradictions: pair.contradictions,
            chance_probability: pair.chance_probability,
        }
    }
}
