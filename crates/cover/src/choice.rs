//! The kit in the user's words: pieces with a price and a load, steps with stacks that take time, and what matters most.
//!
//! **Question.** Which pieces, where owned ones cost nothing to buy? Least to buy, least to carry or least time, one after
//! another, or all three weighed into one.
//!
//! **Method.** A weighing is one cover. For aims in order, the first is solved alone; then, with `M` above what the second
//! can be at the most in a best kit so far, `M` times the first plus the second, and so on: among kits that are best in
//! the first the second decides.
//!
//! **Worked example.** Two kits of 3 pieces each at 40 and 50 s, and one of 4 at 10 s. Carry then time: first 3 pieces; then with
//! `M = 51` the values are 193, 203 and 214, so the first of them.
//!
//! **Range.** `M` times the first aim is kept below 10¹⁵, so that bounds stay exact; where it is not, the later aims
//! are not optimised and are reported as found.

use effort::{RandomSeed, SolverBudget, SolverStanding};

use crate::kit;
use crate::kit::kit_cover::{AmountLimit, KitCover, KitRow, RowAlternative};
use crate::search::CoverAnswer;

/// Greatest value whose bound is exact.
const MAX_EXACT_VALUE: u64 = 1_000_000_000_000_000;

/// A piece that can be in the kit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct PricedPiece {
    /// What it costs to buy, 0 where it is owned.
    pub price: u64,
    /// What it adds to carry: 1 to count pieces, or its mass.
    pub load: u64,
}

/// Pieces that do a step together, and how long that takes.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct TimedStack {
    /// Time of the step with this stack.
    pub time: u64,
    /// Pieces by position.
    pub pieces: Vec<u32>,
}

/// What can be in a kit, and for each step the stacks that can do it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct KitProblem {
    /// Pieces.
    pub pieces: Vec<PricedPiece>,
    /// Steps, each with the stacks that can do it.
    pub steps: Vec<Vec<TimedStack>>,
}

/// One thing to have little of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum KitAim {
    /// Money for pieces that are not owned.
    Price,
    /// Number or mass of pieces.
    Load,
    /// Time of all steps.
    Time,
}

/// Amounts of price, load and time: the totals of a kit, or weights.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct KitWorth {
    /// Money.
    pub price: u64,
    /// Number or mass.
    pub load: u64,
    /// Time.
    pub time: u64,
}

impl KitWorth {
    /// One of the three.
    #[must_use]
    pub const fn amount_of(&self, aim: KitAim) -> u64 {
        match aim {
            KitAim::Price => self.price,
            KitAim::Load => self.load,
            KitAim::Time => self.time,
        }
    }

    /// One aim alone, as weights.
    #[must_use]
    pub const fn only_aim(aim: KitAim) -> Self {
        Self { price: 0, load: 0, time: 0 }.plus_aim(aim, 1)
    }

    /// With more of one aim.
    #[must_use]
    pub const fn plus_aim(mut self, aim: KitAim, more: u64) -> Self {
        match aim {
            KitAim::Price => self.price += more,
            KitAim::Load => self.load += more,
            KitAim::Time => self.time += more,
        }
        self
    }

    /// Whether it is no more than another in every respect.
    #[must_use]
    pub const fn is_within(&self, other: &Self) -> bool {
        self.price <= other.price && self.load <= other.load && self.time <= other.time
    }

    const fn scaled_by(self, factor: u64) -> Self {
        Self {
            price: self.price.saturating_mul(factor),
            load: self.load.saturating_mul(factor),
            time: self.time.saturating_mul(factor),
        }
    }
}

/// Maximum money and load that a kit may have.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct KitLimits {
    /// Maximum money, if it is limited.
    pub price: Option<u64>,
    /// Maximum load, if it is limited.
    pub load: Option<u64>,
}

/// A kit, what it is worth, and how sure each aim is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KitChoice {
    /// Pieces, rising.
    pub pieces: Vec<u32>,
    /// What the kit is worth.
    pub worth: KitWorth,
    /// For each aim in order its value, bound and standing, given the values of those before it.
    pub stages: Vec<CoverAnswer>,
}

impl KitProblem {
    /// What a kit is worth; `None` where a step has no stack inside it.
    #[must_use]
    pub fn kit_worth(&self, pieces: &[u32]) -> Option<KitWorth> {
        let has = self.mark_pieces(pieces);
        let time = |step: &Vec<TimedStack>| step.iter().filter(|s| is_inside(&has, s)).map(|s| s.time).min();
        let kit = || self.pieces.iter().zip(&has).filter(|(_, has)| **has).map(|(piece, _)| piece);
        Some(KitWorth {
            price: kit().map(|p| p.price).sum(),
            load: kit().map(|p| p.load).sum(),
            time: self.steps.iter().map(time).sum::<Option<u64>>()?,
        })
    }

    /// For each step the position of the quickest stack inside a kit.
    #[must_use]
    pub fn quickest_stacks(&self, pieces: &[u32]) -> Vec<Option<usize>> {
        let has = self.mark_pieces(pieces);
        let quickest = |step: &Vec<TimedStack>| {
            let inside = (0..step.len()).filter(|at| is_inside(&has, &step[*at]));
            inside.min_by_key(|at| (step[*at].time, *at))
        };
        self.steps.iter().map(quickest).collect()
    }

    /// The cover of a weighing within limits.
    #[must_use]
    pub fn build_cover(&self, weights: &KitWorth, limits: &KitLimits) -> KitCover {
        let weight = |p: &PricedPiece| p.price * weights.price + p.load * weights.load;
        let alternative = |s: &TimedStack| {
            let mut items = s.pieces.clone();
            items.sort_unstable();
            items.dedup();
            RowAlternative { cost: s.time * weights.time, items }
        };
        let row = |step: &Vec<TimedStack>| KitRow::new(step.iter().map(alternative).collect());
        let mut cover =
            KitCover::new(self.pieces.iter().map(weight).collect(), self.steps.iter().map(row).collect());
        let prices = |p: &PricedPiece| p.price;
        let loads = |p: &PricedPiece| p.load;
        let cap = |most: u64, amount: fn(&PricedPiece) -> u64| AmountLimit {
            amounts: self.pieces.iter().map(amount).collect(),
            most,
        };
        cover.caps.extend(limits.price.map(|most| cap(most, prices)));
        cover.caps.extend(limits.load.map(|most| cap(most, loads)));
        cover
    }

    fn mark_pieces(&self, pieces: &[u32]) -> Vec<bool> {
        let mut has = vec![false; self.pieces.len()];
        for piece in pieces {
            if let Some(has) = has.get_mut(*piece as usize) {
                *has = true;
            }
        }
        has
    }
}

fn is_inside(has: &[bool], stack: &TimedStack) -> bool {
    stack.pieces.iter().all(|p| has.get(*p as usize) == Some(&true))
}

/// The best kit by one weighing of price, load and time.
///
/// # Errors
///
/// [`SolverStanding::Impossible`] where no kit does every step within the limits; another standing where none was found before
/// the effort ended.
pub fn choose_by_weights(
    problem: &KitProblem,
    weights: &KitWorth,
    limits: &KitLimits,
    budget: &SolverBudget,
    seed: RandomSeed,
) -> Result<KitChoice, SolverStanding> {
    let answer = kit::solve_kit_cover(&problem.build_cover(weights, limits), budget, seed);
    if answer.standing == SolverStanding::Impossible {
        return Err(answer.standing);
    }
    let worth = problem.kit_worth(&answer.chosen).ok_or(answer.standing)?;
    let fits = |most: Option<u64>, value: u64| most.is_none_or(|most| value <= most);
    let holds = fits(limits.price, worth.price) && fits(limits.load, worth.load);
    if !holds {
        return Err(answer.standing);
    }
    Ok(KitChoice { pieces: answer.chosen.clone(), worth, stages: vec![answer] })
}

/// The best kit by aims in order; `None` where some step has no stack.
#[must_use]
pub fn choose_in_order(
    problem: &KitProblem,
    aims: &[KitAim],
    budget: &SolverBudget,
    seed: RandomSeed,
) -> Option<KitChoice> {
    let (first, rest) = aims.split_first()?;
    let mut weights = KitWorth::only_aim(*first);
    let mut best = choose_by_weights(problem, &weights, &KitLimits::default(), budget, seed).ok()?;
    let mut sum = best.stages[0].value;
    for aim in rest {
        let room = best.worth.amount_of(*aim) + 1;
        let wide = weights.scaled_by(room).plus_aim(*aim, 1);
        let next =
            sum.checked_mul(room).and_then(|all| all.checked_add(room)).filter(|all| *all <= MAX_EXACT_VALUE);
        let solved =
            next.and_then(|_| choose_by_weights(problem, &wide, &KitLimits::default(), budget, seed).ok());
        let Some(solved) = solved else {
            best.stages.push(unsearched_stage(best.worth.amount_of(*aim), &best));
            continue;
        };
        best = better_with_stage(best, solved, *aim, sum * room, aims);
        weights = wide;
        sum = aims.iter().map(|a| weights.amount_of(*a) * best.worth.amount_of(*a)).sum();
    }
    Some(best)
}

/// The better of two kits, with the stages of the first and one more for an aim.
fn better_with_stage(
    mut best: KitChoice,
    solved: KitChoice,
    aim: KitAim,
    before: u64,
    aims: &[KitAim],
) -> KitChoice {
    let key = |c: &KitChoice| aims.iter().map(|a| c.worth.amount_of(*a)).collect::<Vec<u64>>();
    let mut stage = solved.stages[0].clone();
    stage.bound = stage.bound.saturating_sub(before);
    if key(&solved) <= key(&best) {
        best.pieces = solved.pieces;
        best.worth = solved.worth;
    }
    stage.value = best.worth.amount_of(aim);
    stage.bound = stage.bound.min(stage.value);
    stage.standing = match (stage.bound == stage.value, stage.standing) {
        (true, _) => SolverStanding::Proven,
        (false, SolverStanding::Stopped) => SolverStanding::Stopped,
        (false, _) => SolverStanding::Found,
    };
    for (stage, aim) in best.stages.iter_mut().zip(aims) {
        stage.value = best.worth.amount_of(*aim);
        if stage.value == stage.bound {
            stage.standing = SolverStanding::Proven;
        }
    }
    best.stages.push(stage);
    best
}

/// An aim that was not looked at.
fn unsearched_stage(value: u64, best: &KitChoice) -> CoverAnswer {
    CoverAnswer { chosen: best.pieces.clone(), value, bound: 0, standing: SolverStanding::Found, effort: 0 }
}
