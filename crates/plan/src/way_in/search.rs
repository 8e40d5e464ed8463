//! Branch and bound over the ways of the parts in the closure.

// symbol: best = seconds of the best way in and its ways
// symbol: ways = seconds and position of each way
// symbol: added = seconds that each way adds

use model::{OutcomeUnit, SolverOutcome, SolverStanding};

use super::state::{WayInItems, WaysTaken};
use effort::SolverBudget;

/// Closures looked at before the best found is taken for good, where no effort is given.
const SIZED_TRIES: u64 = 50_000;
/// Costs nearer than this are the same.
const SAME_S: f64 = 1.0e-9;

/// The ways of the best closure found.
pub(super) struct WayInFound {
    pub(super) ways: WaysTaken,
    pub(super) outcome: SolverOutcome,
}

struct WayInSearch<'a> {
    items: &'a WayInItems,
    wanted: &'a [usize],
    budget: &'a SolverBudget<'a>,
    tries: u64,
    most: u64,
    stopped: bool,
    best: Option<(f64, WaysTaken)>,
    /// Least bound among the branches that were left unseen.
    left_s: f64,
}

pub(super) fn search_ways(items: &WayInItems, wanted: &[usize], budget: &SolverBudget) -> Option<WayInFound> {
    let mut search = WayInSearch {
        items,
        wanted,
        budget,
        tries: 0,
        most: budget.effort.tries_or_sized(SIZED_TRIES),
        stopped: false,
        best: None,
        left_s: f64::INFINITY,
    };
    search.start_with_first_ways();
    search.branch_ways(vec![None; items.ways.len()]);
    let (value_s, ways) = search.best?;
    let bound_s = value_s.min(search.left_s);
    let standing = match (bound_s < value_s - SAME_S, search.stopped) {
        (false, _) => SolverStanding::Proven,
        (true, false) => SolverStanding::Found,
        (true, true) => SolverStanding::Stopped,
    };
    let outcome = SolverOutcome {
        standing,
        value: value_s,
        bound: bound_s,
        unit: OutcomeUnit::Seconds,
        effort: search.tries,
    };
    Some(WayInFound { ways, outcome })
}

/// A part whose way is to be taken, with what each way adds, cheapest first.
struct WayChoice {
    part: usize,
    ways: Vec<(f64, u16)>,
}

impl WayInSearch<'_> {
    /// A first answer: everything that can come off comes off in rounds, each part by the first way that is then open.
    fn start_with_first_ways(&mut self) {
        let ways = first_ways(self.items);
        let mut inside = vec![false; self.items.needs.len()];
        let cost_s = self.items.pull_in(&mut inside, self.wanted, &ways);
        let is_open = |p: &usize| inside[*p] && ways[*p].is_none() && !self.items.ways[*p].is_empty();
        if !(0..ways.len()).any(|p| is_open(&p)) && !self.items.has_circle(&inside, &ways) {
            self.best = Some((cost_s, ways));
        }
    }

    fn branch_ways(&mut self, ways: WaysTaken) {
        let mut inside = vec![false; self.items.needs.len()];
        let cost_s = self.items.pull_in(&mut inside, self.wanted, &ways);
        self.tries += 1;
        if self.items.has_circle(&inside, &ways) {
            return;
        }
        let Some(choice) = self.hardest_choice(&inside, &ways) else {
            return self.keep_better(cost_s, ways);
        };
        for (added_s, way) in &choice.ways {
            let bound_s = cost_s + added_s;
            if self.is_beaten(bound_s) {
                break;
            }
            if self.is_over() {
                self.left_s = self.left_s.min(bound_s);
                break;
            }
            let mut next = ways.clone();
            next[choice.part] = Some(*way);
            self.branch_ways(next);
        }
    }

    fn keep_better(&mut self, cost_s: f64, ways: WaysTaken) {
        if !self.is_beaten(cost_s) {
            self.best = Some((cost_s, ways));
        }
    }

    fn is_beaten(&self, bound_s: f64) -> bool {
        self.best.as_ref().is_some_and(|(best_s, _)| bound_s >= best_s - SAME_S)
    }

    fn is_over(&mut self) -> bool {
        self.stopped |= self.tries.is_multiple_of(64) && self.budget.watch.should_stop();
        self.best.is_some() && (self.stopped || self.tries >= self.most)
    }

    /// The part in the closure, its way open, whose cheapest way adds the most.
    fn hardest_choice(&self, inside: &[bool], ways: &WaysTaken) -> Option<WayChoice> {
        let open =
            (0..ways.len()).filter(|p| inside[*p] && ways[*p].is_none() && !self.items.ways[*p].is_empty());
        let mut best: Option<WayChoice> = None;
        for part in open {
            let choice = self.choice_for_part(part, inside, ways);
            let more = |b: &WayChoice| choice.ways[0].0 > b.ways[0].0 + SAME_S;
            if best.as_ref().is_none_or(more) {
                best = Some(choice);
            }
        }
        best
    }

    fn choice_for_part(&self, part: usize, inside: &[bool], ways: &WaysTaken) -> WayChoice {
        let adds = |needs: &[usize]| self.items.pull_in(&mut inside.to_vec(), needs, ways);
        let mut added: Vec<(f64, u16)> =
            self.items.ways[part].iter().map(|w| (adds(&w.needs), w.way)).collect();
        added.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        WayChoice { part, ways: added }
    }
}

/// Ways free of circles for everything that can come off at all.
fn first_ways(items: &WayInItems) -> WaysTaken {
    let mut ways: WaysTaken = vec![None; items.ways.len()];
    let mut done = vec![false; items.needs.len()];
    loop {
        let mut moved = false;
        for item in 0..items.needs.len() {
            if done[item] || !items.needs[item].iter().all(|n| done[*n]) {
                continue;
            }
            let open = items.ways.get(item).filter(|w| !w.is_empty());
            if let Some(open) = open {
                let Some(way) = open.iter().find(|w| w.needs.iter().all(|n| done[*n])) else { continue };
                ways[item] = Some(way.way);
            }
            done[item] = true;
            moved = true;
        }
        if !moved {
            return ways;
        }
    }
}
