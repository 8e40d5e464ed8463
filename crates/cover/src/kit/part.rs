//! A subproblem of the kit's tree: the cover that is left, its prices kept with its rows, and what was taken.

use super::kit_cover::KitCover;
use super::local::KitLocalSearch;
use super::reduce::{apply_reductions, compact_cover};
use super::relaxed::{KitRelaxation, RelaxationLayout};
use crate::search::{CoverSearch, whole_bound};
use crate::tree;
use crate::volume::VolumeAscent;

/// Steps of the volume method at the root, and in a part below it.
const ROOT_STEPS: u32 = 1200;
const PART_STEPS: u32 = 39;
/// Factor of the first step at the root and in a part.
const ROOT_FACTOR: f64 = 0.1;
const PART_FACTOR: f64 = 0.3;
/// Steps between two kits built at the prices.
const BUILD_EVERY: u32 = 40;
/// Rounds of ascent and reduction in one part, while each takes away a tenth of the entries.
const MAX_KIT_ROUNDS: u32 = 3;
const WORTH_A_ROUND_FRACTION: f64 = 0.8;

/// What is left to decide, and what was decided on the way.
#[derive(Debug, Clone)]
pub struct KitSubproblem {
    /// What is left; its fixed value is that of all that was taken.
    pub cover: KitCover,
    /// Numbers of its items in the whole.
    pub names: Vec<u32>,
    /// Items of the whole taken on the way.
    pub taken: Vec<u32>,
    cap_price_cost: Vec<f64>,
    mean_share: Vec<f64>,
    bound: u64,
    steps: u32,
}

/// The root after its ascent; `None` where the best answer is proven already.
pub fn kit_root(cover: &KitCover, search: &mut CoverSearch) -> Option<KitSubproblem> {
    let part = KitSubproblem {
        cover: cover.clone(),
        names: (0..cover.weights.len() as u32).collect(),
        taken: Vec::new(),
        cap_price_cost: vec![0.0; cover.caps.len()],
        mean_share: Vec::new(),
        bound: 0,
        steps: ROOT_STEPS,
    };
    let mut root = tree::TreeSubproblem::tightened(part, search)?;
    root.steps = PART_STEPS;
    Some(root)
}

impl KitSubproblem {
    /// The part after the exact reductions; `None` where it has no kit.
    fn after_reductions(mut self, search: &mut CoverSearch) -> Option<Self> {
        apply_reductions(&mut self.cover, search).then(|| self.renumber_items())
    }

    /// Numbers the items anew and notes what was taken.
    fn renumber_items(mut self) -> Self {
        self.taken.extend(self.cover.taken.drain(..).map(|i| self.names[i as usize]));
        let fixed = self.cover.fixed;
        let small = compact_cover(&self.cover);
        self.names = small.items.iter().map(|i| self.names[*i as usize]).collect();
        let mean = |i: &u32| self.mean_share.get(*i as usize).copied().unwrap_or(0.0);
        self.mean_share = small.items.iter().map(mean).collect();
        self.cover = small.cover;
        self.cover.fixed = fixed;
        self
    }

    /// Raises the bound and fixes what it allows; `None` where the part is done; true if anything was fixed.
    fn raise_and_fix(&mut self, search: &mut CoverSearch) -> Option<bool> {
        let layout = RelaxationLayout::of_cover(&self.cover);
        let is_root = self.steps == ROOT_STEPS;
        let mut prices = layout.first_prices(&self.cover);
        let pairs = layout.items.len();
        prices[pairs..].copy_from_slice(&self.cap_price_cost);
        let mut volume = VolumeAscent::from_centre(prices, if is_root { ROOT_FACTOR } else { PART_FACTOR });
        let mut relaxed = KitRelaxation::default();
        let mut trial = Vec::new();
        let mut local = None;
        for step in 0..self.steps {
            let target = search.upper.saturating_sub(self.cover.fixed) as f64;
            if search.is_over() || !volume.next_trial(target, &mut trial) {
                break;
            }
            let bound = relaxed.evaluate_bound(&self.cover, &layout, &trial);
            let newest = volume.take_evaluation(&trial, bound, &relaxed.slope_share);
            self.update_mean(&relaxed, newest);
            search.spend_visits(layout.entries());
            if step % BUILD_EVERY == BUILD_EVERY - 1 {
                let mean = &self.mean_share;
                let local = local.get_or_insert_with(|| KitLocalSearch::new(&self.cover, search));
                local.restart_from(&relaxed, |i| mean[i as usize] > 0.6, search);
                local.offer_kit(&self.names, &self.taken, search);
            }
            if self.bound_reached(volume.bound_cost) >= search.upper {
                return None;
            }
        }
        self.bound = self.bound.max(self.bound_reached(volume.bound_cost));
        let bound = relaxed.evaluate_bound(&self.cover, &layout, &volume.centre_cost);
        layout.keep_prices(&mut self.cover, &volume.centre_cost);
        self.cap_price_cost = volume.centre_cost[pairs..].to_vec();
        relaxed.fix_items(&mut self.cover, &layout, bound, search.upper)
    }

    fn bound_reached(&self, bound_cost: f64) -> u64 {
        self.cover.fixed.saturating_add(whole_bound(bound_cost))
    }

    /// Mixes the newest relaxed answer into the mean.
    fn update_mean(&mut self, relaxed: &KitRelaxation, newest_fraction: f64) {
        self.mean_share.resize(relaxed.rest_cost.len(), 0.0);
        for (mean, rest) in self.mean_share.iter_mut().zip(&relaxed.rest_cost) {
            let now = if *rest < 0.0 { newest_fraction } else { 0.0 };
            *mean = (1.0 - newest_fraction) * *mean + now;
        }
    }

    /// The item to decide next: the mean says least about it, and it weighs most.
    fn undecided_item(&self) -> usize {
        let worth = |i: usize| {
            let mean = self.mean_share.get(i).copied().unwrap_or(0.0).clamp(0.0, 1.0);
            (mean.min(1.0 - mean) + 0.01) * (self.cover.weights[i] as f64 + 1.0)
        };
        let all = (0..self.cover.weights.len()).map(|i| (worth(i), i));
        all.max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1))).map_or(0, |(_, i)| i)
    }

    /// Whether nothing is left to decide; then the answer is offered.
    fn is_decided(&self, search: &mut CoverSearch) -> bool {
        let decided = self.cover.rows.is_empty();
        if decided {
            search.offer_answer(&self.taken, self.cover.fixed);
        }
        decided
    }
}

impl tree::TreeSubproblem for KitSubproblem {
    fn tightened(mut self, search: &mut CoverSearch) -> Option<Self> {
        for _ in 0..MAX_KIT_ROUNDS {
            self = self.after_reductions(search)?;
            if self.is_decided(search) {
                return None;
            }
            let before = self.cover.entries();
            let changed = self.raise_and_fix(search)?;
            if search.is_over() {
                return Some(self);
            }
            let worth = self.cover.entries() as f64 <= WORTH_A_ROUND_FRACTION * before as f64;
            if !changed || !worth {
                break;
            }
        }
        self = self.after_reductions(search)?;
        if self.is_decided(search) { None } else { Some(self) }
    }

    fn bound(&self) -> u64 {
        self.bound.max(self.cover.fixed)
    }

    fn split_in_two(self) -> [Self; 2] {
        let mut only = self.cover.empty_kit();
        only[self.undecided_item()] = true;
        let mut with = self.clone();
        // A cap that this breaks leaves the kit without room: the next reduction or the caps' prices show it.
        if !with.cover.take_items(&only) {
            with.bound = u64::MAX;
        }
        let mut without = self;
        without.cover.bar_items(&only);
        [with, without]
    }
}
