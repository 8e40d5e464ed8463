//! Betters an order that is good already: annealing that begins cool, so that what is good stays.

use model::{Outcome, Standing};
use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::SeedableRng;
use units::math;

use super::bound::bound_s;
use super::chain::evaluate;
use super::moves::{Dice, Followers, draw};
use super::problem::Problem;
use super::solve::Solved;
use super::tour::Tour;
use effort::{Budget, Seed};

/// Temperature at the start and at the end: about a tool picked up, and well below one (assumption).
const WARM_S: f64 = 4.0;
const COLD_S: f64 = 0.25;
/// Tries between two looks at watch and temperature.
const LOOK_EVERY: u64 = 256;

/// The best order found from a given one on, which has to respect the precedence; never a worse one.
#[must_use]
pub fn improve(problem: &Problem, order: &[usize], tries: u64, budget: &Budget, seed: Seed) -> Solved {
    let given = order.to_vec();
    let (found, done, stopped) = search(problem, given.clone(), tries, budget, seed);
    let (found_at, given_at) = (evaluate(problem, &found), evaluate(problem, &given));
    let (order, best) =
        if found_at.total_s() < given_at.total_s() { (found, found_at) } else { (given, given_at) };
    let value = best.total_s();
    let bound = bound_s(problem).min(value);
    let standing = match (value - bound <= 1.0e-6, stopped) {
        (true, _) => Standing::Proven,
        (false, false) => Standing::Found,
        (false, true) => Standing::Stopped,
    };
    let outcome = Outcome { standing, value, bound, unit: "seconds".into(), effort: done };
    Solved { order, choices: best.choices, outcome }
}

/// The best order by the search's own measure, tries made, and whether it was stopped.
fn search(
    problem: &Problem,
    order: Vec<usize>,
    most: u64,
    budget: &Budget,
    seed: Seed,
) -> (Vec<usize>, u64, bool) {
    if order.len() < 3 {
        return (order, 0, false);
    }
    let mut best = (order.clone(), f64::INFINITY);
    let mut tour = Tour::new(problem, order);
    best.1 = tour.cost_s();
    let followers = Followers::new(problem);
    let mut dice = Dice(Pcg64Mcg::seed_from_u64(seed.0));
    let mut heat_s = WARM_S;
    for tries in 0..most {
        if tries.is_multiple_of(LOOK_EVERY) {
            heat_s = WARM_S * math::pow(COLD_S / WARM_S, tries as f64 / most as f64);
            if budget.watch.stop() {
                return (best.0, tries, true);
            }
        }
        let Some(cuts) = draw(&tour, &followers, &mut dice).filter(|c| tour.may(*c)) else { continue };
        let limit_s = -heat_s * math::ln(dice.share());
        if tour.try_exchange(cuts, limit_s).is_some() {
            tour.take();
            if tour.cost_s() < best.1 - 1.0e-9 {
                best.0.clone_from(&tour.order);
                best.1 = tour.cost_s();
            }
        }
    }
    (best.0, most, false)
}
