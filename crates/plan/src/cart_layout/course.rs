//! Builds several loadings of the cart over all steps and keeps the one with the least walking and handling.

// symbol: power = exponent of an item's seconds, a plain number

use std::collections::BTreeSet;

use cart::{LoadPiece, load_cart};
use effort::SolverBudget;
use model::cart::{CabinetWalk, HANDLE_S};
use model::{OutcomeUnit, SolverOutcome, SolverStanding};
use units::math;

use super::needs::StepPieceNeeds;

/// Shares of a walk's time charged to each piece, tried in turn (assumption).
const SHARES: [f64; 2] = [1.0, 0.2];

/// Powers of an item's seconds by which its next use seems nearer, tried in turn; 0 is by next use alone (assumption).
const WEIGHTS: [f64; 6] = [0.0, 0.3, 0.6, 1.0, 1.4, 2.0];

/// The problem as the courses see it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct CartLoadingCase<'a> {
    needs: &'a [Vec<u16>],
    cabinet_of: &'a [usize],
    walks_s: Vec<f64>,
    places: usize,
    /// Steps that need each item, rising.
    uses: Vec<Vec<usize>>,
}

impl<'a> CartLoadingCase<'a> {
    pub(super) fn new(needs: &'a StepPieceNeeds, walks: &[CabinetWalk], places: u16) -> Self {
        let mut uses = vec![Vec::new(); needs.items.len()];
        for (at, items) in needs.of_step.iter().enumerate() {
            items.iter().for_each(|i| uses[usize::from(*i)].push(at));
        }
        Self {
            uses,
            needs: &needs.of_step,
            cabinet_of: &needs.cabinet_of,
            walks_s: walks.iter().map(|w| w.seconds).collect(),
            places: usize::from(places),
        }
    }

    /// The step at which an item is needed next, from a step on.
    fn next_use(&self, item: u16, from: usize) -> Option<usize> {
        let uses = &self.uses[usize::from(item)];
        uses.get(uses.partition_point(|u| *u < from)).copied()
    }

    fn item_cabinet(&self, item: u16) -> usize {
        self.cabinet_of[usize::from(item)]
    }

    /// Pieces with the seconds that each pays where it pays a share of its walk.
    fn paying_pieces(&self, share: f64) -> Vec<LoadPiece> {
        let piece = |c: &usize| LoadPiece { places: 1, fetch_s: HANDLE_S + share * self.walks_s[*c] };
        self.cabinet_of.iter().map(piece).collect()
    }
}

/// Items on the cart during each step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct CartCourse {
    pub carts: Vec<BTreeSet<u16>>,
}

impl CartCourse {
    /// The best of all ways.
    pub(super) fn find_best(case: &CartLoadingCase, budget: &SolverBudget) -> Self {
        let alone = SHARES.iter().filter_map(|share| Self::load_alone(case, *share, budget));
        let all = WEIGHTS.iter().map(|power| Self::load_soonest(case, *power)).chain(alone);
        let weighed = all.map(|c| c.with_walks_merged(case)).map(|c| (c.cost_s(case), c));
        let best = weighed.min_by(|a, b| a.0.total_cmp(&b.0));
        best.map_or_else(|| Self { carts: Vec::new() }, |(_, course)| course)
    }

    /// Every item pays handling and a share of its walk.
    fn load_alone(case: &CartLoadingCase, share: f64, budget: &SolverBudget) -> Option<Self> {
        let places = u32::try_from(case.places).unwrap_or(u32::MAX);
        let loading = load_cart(case.needs, &case.paying_pieces(share), places, budget).ok()?;
        Some(Self { carts: loading.carts.into_iter().map(|c| c.into_iter().collect()).collect() })
    }

    /// When a walk has to be made, the cart is filled with the pieces needed soonest, out of those on it
    /// and those that walk can bring; pieces costly to fetch are treated as needed sooner.
    fn load_soonest(case: &CartLoadingCase, power: f64) -> Self {
        let mut cart: BTreeSet<u16> = BTreeSet::new();
        let mut carts = Vec::with_capacity(case.needs.len());
        for (at, needs) in case.needs.iter().enumerate() {
            let missing = needs.iter().filter(|i| !cart.contains(i));
            let walked: BTreeSet<usize> = missing.map(|i| case.item_cabinet(*i)).collect();
            if !walked.is_empty() {
                cart = fill_cart(case, at, &cart, &walked, power);
            }
            carts.push(cart.clone());
        }
        Self { carts }.without_unused(case)
    }

    /// Removes pieces that are not used before they would be fetched again.
    fn without_unused(mut self, case: &CartLoadingCase) -> Self {
        for at in (0..self.carts.len()).rev() {
            let next = self.carts.get(at + 1).cloned().unwrap_or_default();
            self.carts[at].retain(|i| next.contains(i) || case.needs[at].binary_search(i).is_ok());
        }
        self
    }

    /// Drops a walk where all that it brings fits on the cart from the walk before to the same cabinet.
    fn with_walks_merged(mut self, case: &CartLoadingCase) -> Self {
        let mut last: Vec<Option<usize>> = vec![None; case.walks_s.len()];
        for at in 0..self.carts.len() {
            for (cabinet, last) in last.iter_mut().enumerate() {
                let bring: Vec<u16> =
                    self.items_brought(at).filter(|i| case.item_cabinet(*i) == cabinet).collect();
                if bring.is_empty() {
                    continue;
                }
                let earlier = last.filter(|from| self.fits_from(case, *from, at, &bring));
                match earlier {
                    Some(from) => self.carts[from..at].iter_mut().for_each(|c| c.extend(&bring)),
                    None => *last = Some(at),
                }
            }
        }
        self
    }

    fn fits_from(&self, case: &CartLoadingCase, from: usize, to: usize, bring: &[u16]) -> bool {
        self.carts[from..to].iter().all(|cart| {
            let more = bring.iter().filter(|i| !cart.contains(i)).count();
            cart.len() + more <= case.places
        })
    }

    /// Items brought before a step.
    pub(super) fn items_brought(&self, at: usize) -> impl Iterator<Item = u16> {
        let before = at.checked_sub(1).map(|b| &self.carts[b]);
        self.carts[at].iter().copied().filter(move |i| before.is_none_or(|b| !b.contains(i)))
    }

    /// Cabinets walked to before a step.
    pub(super) fn cabinets_walked(&self, case: &CartLoadingCase, at: usize) -> BTreeSet<usize> {
        self.items_brought(at).map(|i| case.item_cabinet(i)).collect()
    }

    pub(super) fn count_walks(&self, case: &CartLoadingCase) -> usize {
        (0..self.carts.len()).map(|at| self.cabinets_walked(case, at).len()).sum()
    }

    pub(super) fn count_brought(&self) -> usize {
        (0..self.carts.len()).map(|at| self.items_brought(at).count()).sum()
    }

    /// Walks and handling before a step.
    pub(super) fn cost_at_s(&self, case: &CartLoadingCase, at: usize) -> f64 {
        let walks_s: f64 = self.cabinets_walked(case, at).into_iter().map(|c| case.walks_s[c]).sum();
        walks_s + self.items_brought(at).count() as f64 * HANDLE_S
    }

    pub(super) fn cost_s(&self, case: &CartLoadingCase) -> f64 {
        (0..self.carts.len()).map(|at| self.cost_at_s(case, at)).sum()
    }

    /// The seconds, and how sure it is that no loading takes less.
    pub(super) fn outcome(&self, case: &CartLoadingCase, budget: &SolverBudget) -> SolverOutcome {
        let value = self.cost_s(case);
        let bound = loading_bound_s(case, budget).min(value);
        let is_proven = value - bound <= 1.0e-6;
        let standing = if is_proven { SolverStanding::Proven } else { SolverStanding::Found };
        let bound = if is_proven { value } else { bound };
        SolverOutcome {
            standing,
            value,
            bound,
            unit: OutcomeUnit::Seconds,
            effort: (WEIGHTS.len() + SHARES.len()) as u64,
        }
    }
}

/// The cart for a step: what it needs, then what is needed soonest of what is there or in the cabinets walked to.
fn fill_cart(
    case: &CartLoadingCase,
    at: usize,
    cart: &BTreeSet<u16>,
    walked: &BTreeSet<usize>,
    power: f64,
) -> BTreeSet<u16> {
    let all = 0..case.cabinet_of.len() as u16;
    let can = all.filter(|i| cart.contains(i) || walked.contains(&case.item_cabinet(*i)));
    let far = |item: u16| {
        let next = case.next_use(item, at)? - at;
        let dear = math::pow(HANDLE_S + case.walks_s[case.item_cabinet(item)], power);
        Some((next as f64 / dear, item))
    };
    let mut by_use: Vec<(f64, u16)> = can.filter_map(far).collect();
    by_use.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let mut filled: BTreeSet<u16> = case.needs[at].iter().copied().collect();
    for (_, item) in by_use {
        if filled.len() < case.places {
            filled.insert(item);
        }
    }
    filled
}

/// Seconds that no loading can avoid: for each cabinet its fewest walks, and the fewest items brought.
fn loading_bound_s(case: &CartLoadingCase, budget: &SolverBudget) -> f64 {
    let walks_s: f64 =
        case.walks_s.iter().enumerate().map(|(c, walk_s)| *walk_s * fewest_walks(case, c) as f64).sum();
    let places = u32::try_from(case.places).unwrap_or(u32::MAX);
    let handling_s =
        load_cart(case.needs, &case.paying_pieces(0.0), places, budget).map_or(0.0, |l| l.outcome.bound);
    walks_s + handling_s
}

/// The fewest walks to one cabinet: blocks of steps, each as long as what they need of it fits beside all other needs.
fn fewest_walks(case: &CartLoadingCase, cabinet: usize) -> usize {
    let mut walks = 0;
    // For each step of the block, the items of the cabinet that lie there until their last use in it, and the other needs.
    let mut block: Vec<(BTreeSet<u16>, usize)> = Vec::new();
    for needs in case.needs {
        let is_ours = |i: &&u16| case.item_cabinet(**i) == cabinet;
        let (ours, others): (BTreeSet<u16>, BTreeSet<u16>) = needs.iter().partition(is_ours);
        let fits =
            |(lies, beside): &(BTreeSet<u16>, usize)| lies.union(&ours).count() + beside <= case.places;
        if walks > 0 && block.iter().all(fits) {
            block.iter_mut().for_each(|(lies, _)| lies.extend(&ours));
        } else if ours.is_empty() {
            continue;
        } else {
            walks += 1;
            block.clear();
        }
        block.push((ours, others.len()));
    }
    walks
}
