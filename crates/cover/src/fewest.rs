//! The fewest pieces with which all steps together take no longer than is allowed.
//!
//! **Question.** A kit of few pieces is slow, a kit of all pieces is quick. Between them: how few pieces are enough for a time?
//!
//! **Method.** Weights of the load grow until a kit is beyond the time. Let `L` be the load of a kit and `T` its time. From a kit
//! within the time and a smaller one beyond it, the weighing `ΔT·L + ΔL·T` that values both alike is minimised; the kit found
//! takes the place of the one on its side, until none is better than the two: the edge of the hull that crosses the allowed time
//! (Eisner and Severance 1976, from memory). With `V` a bound of that weighing, no kit within the time has less load than `(V − ΔL·T_most)/ΔT`. Kits off the hull
//! may lie between; they are asked for one by one, at most [`MAX_ASKED`], each as the quickest kit of a smaller load.
//!
//! **Worked example.** (3 pieces, 100 s), (4, 40 s), (6, 10 s), at most 50 s: the edge from (6, 10) to (3, 100) values 270; (4, 40)
//! is worth 240, lies within and takes the place of (6, 10). On the edge to (3, 100), 60·L + T, nothing is below 280, so
//! `L ≥ (280 − 50)/60`, which is 4 whole pieces: proven.
//!
//! **Range.** Loads are whole numbers. The time of the kit is the least found for its load, and not proven.

use effort::{RandomSeed, SolverBudget, SolverStanding};

use crate::choice::{KitChoice, KitLimits, KitProblem, KitWorth, choose_by_weights};
use crate::search::CoverAnswer;

/// Kits off the hull that are asked for at most.
pub const MAX_ASKED: u32 = 4;
/// Weighings on the way to the edge at most; a hull of a hundred corners is crossed in fewer.
const MAX_WEIGHINGS: u32 = 60;

/// The kit of least load whose time is at most a time, or one that is proven to be no more than a gap above it; `None` where some step has no stack, or no kit is quick enough.
#[must_use]
pub fn choose_fewest_within_time(
    problem: &KitProblem,
    most_time: u64,
    enough_gap: u64,
    budget: &SolverBudget,
    seed: RandomSeed,
) -> Option<KitChoice> {
    let within = quickest_kit(problem).filter(|kit| kit.1.time <= most_time)?;
    let mut hunt = FewestHunt { most_time, enough_gap, within, least_load: 0, effort: 0 };
    if let Some(beyond) = hunt.find_beyond(problem, budget, seed) {
        hunt.walk_hull(problem, beyond, budget, seed);
    }
    hunt.ask_below(problem, budget, seed);
    Some(hunt.into_choice())
}

/// The pieces of each step's quickest stack.
fn quickest_kit(problem: &KitProblem) -> Option<(Vec<u32>, KitWorth)> {
    let all: Vec<u32> = (0..problem.pieces.len() as u32).collect();
    let mut pieces = Vec::new();
    for (step, stack) in problem.steps.iter().zip(problem.quickest_stacks(&all)) {
        pieces.extend(&step[stack?].pieces);
    }
    pieces.sort_unstable();
    pieces.dedup();
    let worth = problem.kit_worth(&pieces)?;
    Some((pieces, worth))
}

struct FewestHunt {
    most_time: u64,
    /// No more is looked for once the kit's load is proven to be this little above the least.
    enough_gap: u64,
    /// The best kit so far, which is quick enough.
    within: (Vec<u32>, KitWorth),
    /// No kit that is quick enough has less load.
    least_load: u64,
    effort: u64,
}

impl FewestHunt {
    /// Whether the kit is good enough.
    const fn is_enough(&self) -> bool {
        self.within.1.load <= self.least_load + self.enough_gap
    }

    /// Solves one weighing and notes the kit that is found if it is quick enough and better; its worth, and its value.
    fn weigh(
        &mut self,
        problem: &KitProblem,
        weights: KitWorth,
        budget: &SolverBudget,
        seed: RandomSeed,
    ) -> Option<KitWorth> {
        let found = choose_by_weights(problem, &weights, &KitLimits::default(), budget, seed).ok()?;
        self.effort += found.stages[0].effort;
        let spare = found.stages[0].bound.saturating_sub(weights.time.saturating_mul(self.most_time));
        self.least_load = self.least_load.max(spare.div_ceil(weights.load.max(1)));
        let better = (found.worth.load, found.worth.time) < (self.within.1.load, self.within.1.time);
        if better && found.worth.time <= self.most_time {
            self.within = (found.pieces, found.worth);
        }
        Some(found.worth)
    }

    /// A kit beyond the allowed time; `None` where the kit within it is proven, or none is found.
    ///
    /// Small weights on the load are solved quickly, so they grow from a third of the time to spare for each piece (assumption; the demo books end near it).
    fn find_beyond(
        &mut self,
        problem: &KitProblem,
        budget: &SolverBudget,
        seed: RandomSeed,
    ) -> Option<KitWorth> {
        let mut load = ((self.most_time - self.within.1.time) / 3).max(1);
        for _ in 0..MAX_WEIGHINGS {
            let found = self.weigh(problem, KitWorth { price: 0, load, time: 1 }, budget, seed)?;
            if found.time > self.most_time {
                return Some(found);
            }
            if self.is_enough() || load > self.most_time {
                return None;
            }
            load = load.saturating_mul(2);
        }
        None
    }

    /// Finds the edge of the hull that crosses the allowed time.
    fn walk_hull(
        &mut self,
        problem: &KitProblem,
        mut beyond: KitWorth,
        budget: &SolverBudget,
        seed: RandomSeed,
    ) {
        for _ in 0..MAX_WEIGHINGS {
            let near = self.within.1;
            if self.is_enough() || near.load <= beyond.load || beyond.time <= near.time {
                return;
            }
            let weights = KitWorth { price: 0, load: beyond.time - near.time, time: near.load - beyond.load };
            let value_of = |worth: &KitWorth| weights.load * worth.load + weights.time * worth.time;
            let Some(found) = self.weigh(problem, weights, budget, seed) else { return };
            if value_of(&found) >= value_of(&near) {
                return;
            }
            if found.time > self.most_time {
                beyond = found;
            }
        }
    }

    /// Asks for the quickest kit of one piece less, as long as one is quick enough.
    fn ask_below(&mut self, problem: &KitProblem, budget: &SolverBudget, seed: RandomSeed) {
        for _ in 0..MAX_ASKED {
            let load = self.within.1.load;
            if self.is_enough() || budget.watch.should_stop() {
                return;
            }
            let weights = KitWorth { price: 0, load: 1, time: load + 1 };
            let limits = KitLimits { price: None, load: Some(load - 1) };
            match choose_by_weights(problem, &weights, &limits, budget, seed) {
                Ok(found) if found.worth.time <= self.most_time => {
                    self.effort += found.stages[0].effort;
                    self.within = (found.pieces, found.worth);
                }
                Ok(found) => {
                    self.effort += found.stages[0].effort;
                    if found.stages[0].bound > weights.time.saturating_mul(self.most_time) + load {
                        self.least_load = load;
                    }
                    return;
                }
                Err(SolverStanding::Impossible) => {
                    self.least_load = load;
                    return;
                }
                Err(_) => return,
            }
        }
    }

    fn into_choice(self) -> KitChoice {
        let (pieces, worth) = self.within;
        let bound = self.least_load.min(worth.load);
        let standing = if bound == worth.load { SolverStanding::Proven } else { SolverStanding::Found };
        let stage =
            CoverAnswer { chosen: pieces.clone(), value: worth.load, bound, standing, effort: self.effort };
        KitChoice { pieces, worth, stages: vec![stage] }
    }
}
