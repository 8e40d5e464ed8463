//! The whole trade-off between buying, carrying and time: every kit worth that no other beats in all three.
//!
//! **Question.** Which `(price, load, time)` can be had such that none of the three can be less without another being more?
//!
//! **Method.** Zones of what price and load may still be, at first without limit. Solve one: the least time within it, and
//! among kits with that time little price and load. The point found leaves two zones of it, one below its price and one
//! below its load. Zones inside others go; the best of a zone that lies inside a solved one is known without solving where
//! that one's best lies in it, or where that one has no kit. A zone without a kit is done. (The ε-constraint method, common
//! knowledge of multi-objective optimisation.)
//!
//! **Worked example.** One bolt: an owned spanner, 60 s; a ratchet and a socket to buy at 30, 20 s. Points (30, 2, 20) and
//! (0, 1, 60): the first from the open zone, the second from "below price 30"; "below load 2" gives the same one.
//!
//! **Range.** Points are proven where each is marked as proven; where the effort ended first, a point may be beaten by one not
//! found. More than the asked number of points are not looked for, and the answer says so.

use effort::{RandomSeed, SolverBudget, SolverStanding};

use crate::choice::{KitLimits, KitProblem, KitWorth, PricedPiece, choose_by_weights};

/// One kit of the trade-off.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TradeOffPoint {
    /// Pieces, rising.
    pub pieces: Vec<u32>,
    /// What the kit is worth.
    pub worth: KitWorth,
    /// Whether it is proven that no kit with no more price and load is quicker.
    pub standing: SolverStanding,
    /// No kit within the zone that it was found in takes less time.
    pub bound_time: u64,
}

/// The trade-off.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TradeOffFrontier {
    /// Points, by rising price, then load.
    pub points: Vec<TradeOffPoint>,
    /// Whether every zone was looked at and proven, so that no point is missing.
    pub is_whole: bool,
}

/// Upper limits of a zone: price and load below or at these.
type FrontierZone = (u64, u64);

/// What is known of zones: the best point of each that was solved, `None` where it holds no kit.
type KnownZones = Vec<(FrontierZone, Option<KitWorth>)>;

/// The trade-off of a problem, of at most `most_points` points; each is given the budget's effort.
#[must_use]
pub fn find_frontier(
    problem: &KitProblem,
    most_points: usize,
    budget: &SolverBudget,
    seed: RandomSeed,
) -> TradeOffFrontier {
    let all = |amount: fn(&PricedPiece) -> u64| problem.pieces.iter().map(amount).sum::<u64>();
    let mut zones = vec![(all(|p| p.price), all(|p| p.load))];
    let mut known = KnownZones::new();
    let mut found = TradeOffFrontier { points: Vec::new(), is_whole: true };
    while let Some(zone) = take_largest(&mut zones) {
        let share = found.points.len() as f64 / most_points.max(1) as f64;
        budget.watch.report_progress("kits that nothing beats", share);
        let best = match recall_zone(&known, zone) {
            Some(best) => best,
            None if found.points.len() >= most_points || budget.watch.should_stop() => {
                found.is_whole = false;
                break;
            }
            None => solve_zone(problem, zone, &mut found, budget, seed),
        };
        known.push((zone, best));
        if let Some(point) = best {
            zones.extend(point.price.checked_sub(1).map(|below| (below, zone.1)));
            zones.extend(point.load.checked_sub(1).map(|below| (zone.0, below)));
        }
    }
    found.points = unbeaten_points(found.points);
    found
}

/// Takes the largest zone and all that lie within it.
fn take_largest(zones: &mut Vec<FrontierZone>) -> Option<FrontierZone> {
    let zone = zones.iter().copied().max()?;
    zones.retain(|other| other.0 > zone.0 || other.1 > zone.1);
    Some(zone)
}

/// The best point of a zone, if an enclosing zone already determines it.
fn recall_zone(known: &KnownZones, zone: FrontierZone) -> Option<Option<KitWorth>> {
    let is_inside = |point: &KitWorth| point.price <= zone.0 && point.load <= zone.1;
    let tells = |(other, best): &&(FrontierZone, Option<KitWorth>)| {
        zone.0 <= other.0 && zone.1 <= other.1 && best.as_ref().is_none_or(is_inside)
    };
    known.iter().find(tells).map(|(_, best)| *best)
}

/// Solves a zone and adds its point.
fn solve_zone(
    problem: &KitProblem,
    zone: FrontierZone,
    found: &mut TradeOffFrontier,
    budget: &SolverBudget,
    seed: RandomSeed,
) -> Option<KitWorth> {
    let weights = KitWorth { price: 1, load: 1, time: zone.0 + zone.1 + 1 };
    let limits = KitLimits { price: Some(zone.0), load: Some(zone.1) };
    match choose_by_weights(problem, &weights, &limits, budget, seed) {
        Ok(choice) => {
            let stage = &choice.stages[0];
            found.is_whole &= stage.standing == SolverStanding::Proven;
            found.points.push(TradeOffPoint {
                pieces: choice.pieces,
                worth: choice.worth,
                standing: stage.standing,
                bound_time: (stage.bound / weights.time).min(choice.worth.time),
            });
            Some(choice.worth)
        }
        Err(standing) => {
            found.is_whole &= standing == SolverStanding::Impossible;
            None
        }
    }
}

/// Points that no other beats, each worth once, by rising price.
fn unbeaten_points(mut points: Vec<TradeOffPoint>) -> Vec<TradeOffPoint> {
    points.sort_by_key(|p| p.worth);
    points.dedup_by_key(|p| p.worth);
    let worths: Vec<KitWorth> = points.iter().map(|p| p.worth).collect();
    points.retain(|p| !worths.iter().any(|other| *other != p.worth && other.is_within(&p.worth)));
    points
}
