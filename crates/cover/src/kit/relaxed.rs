//! The Lagrangian relaxation of a kit: every row pays toward the items that it uses.
//!
//! **Question.** What must every kit cost at least? In the strong form of the integer program, with `x_i` for item `i` in the
//! kit and `y_ra` for row `r` done by alternative `a`: least `Σ w_i x_i + Σ c_ra y_ra`, where `Σ_a y_ra = 1` for every row
//! and `x_i ≥ Σ_{a ∋ i} y_ra` for every row *and item*.
//!
//! **Method.** With a price `p_ri ≥ 0` on each of the latter and `q_k ≥ 0` on each cap `Σ b_ki x_i ≤ B_k`,
//!
//! `L(p, q) = Σ_r min_a (c_ra + Σ_{i ∈ a} p_ri) + Σ_i min(0, ρ_i) − Σ_k q_k B_k`, `ρ_i = w_i + Σ_k q_k b_ki − Σ_r p_ri`,
//!
//! is a bound: `ρ_i` is what is left of the item's weight after all rows have paid. From the same figures: a kit with item
//! `i` costs at least `L + max(0, ρ_i)`; one without it at least `L + max(0, −ρ_i)` and, for each row, what its best
//! alternative without the item costs more; one that uses an alternative at least `L` and what that costs more than the
//! row's best, and `max(0, ρ_i)` of its items. Where that reaches the best value, the item is barred or taken, or the
//! alternative dropped.
//!
//! **Worked example.** Rows {A,R}|{B,R} and {C,R} with weights of 1 and prices ½ each for R, 1 for the others: the rows
//! give 1½ each, no `ρ` is below 0, `L = 3`: the kit {A, C, R} is proven.
//!
//! **Range.** Any prices bound; caps are scaled by their greatest amount so that all slopes are of one size.

// symbol: costs = of alternatives, in the unit of the weights
// symbol: cap_shares = by item, and the most, as shares of the cap's greatest amount

use super::kit_cover::KitCover;
use super::prices::price_of_item;
use crate::lists::NumberLists;
use crate::search::whole_bound;

/// A cover laid out for evaluation: a *pair* is a row with one of its items.
#[derive(Debug, Clone, Default)]
pub struct RelaxationLayout {
    /// Item of each pair.
    pub items: Vec<u32>,
    /// Pairs of each row: from the figure at the row to that at the next.
    pub starts: Vec<u32>,
    /// Alternatives of each row: likewise.
    firsts: Vec<u32>,
    /// Cost of each alternative.
    costs: Vec<f64>,
    /// Pairs of each alternative.
    pairs: NumberLists,
    /// Amounts in caps by item, as shares of the cap's greatest amount; and the most, likewise.
    cap_shares: Vec<(Vec<f64>, f64)>,
}

impl RelaxationLayout {
    /// Lays out a cover.
    #[must_use]
    pub fn of_cover(cover: &KitCover) -> Self {
        let mut layout = Self { starts: vec![0], firsts: vec![0], ..Self::default() };
        for row in &cover.rows {
            let items = row.items();
            let start = layout.items.len();
            for alternative in &row.alternatives {
                let pair = |i: &u32| (start + items.partition_point(|item| item < i)) as u32;
                layout.costs.push(alternative.cost as f64);
                layout.pairs.push(alternative.items.iter().map(pair));
            }
            layout.items.extend(items);
            layout.starts.push(layout.items.len() as u32);
            layout.firsts.push(layout.costs.len() as u32);
        }
        for cap in &cover.caps {
            let greatest = cap.amounts.iter().copied().max().unwrap_or(0).max(1) as f64;
            let shares = cap.amounts.iter().map(|amount| *amount as f64 / greatest).collect();
            layout.cap_shares.push((shares, cap.most as f64 / greatest));
        }
        layout
    }

    /// Entries that one evaluation visits.
    #[must_use]
    pub const fn entries(&self) -> usize {
        2 * self.items.len() + self.costs.len() + self.pairs.entry_count()
    }

    /// Prices to begin with: those that the rows kept, or the item's weight shared out among its rows; caps free.
    #[must_use]
    pub fn first_prices(&self, cover: &KitCover) -> Vec<f64> {
        let mut rows_of = vec![0_u32; cover.weights.len()];
        self.items.iter().for_each(|i| rows_of[*i as usize] += 1);
        let share = |i: u32| cover.weights[i as usize] as f64 / f64::from(rows_of[i as usize].max(1));
        let mut prices = Vec::with_capacity(self.items.len() + self.cap_shares.len());
        for (r, row) in cover.rows.iter().enumerate() {
            let kept = |i: &u32| {
                if row.price_cost.is_empty() { share(*i) } else { price_of_item(&row.price_cost, *i) }
            };
            prices.extend(self.items_of_row(r).iter().map(kept));
        }
        prices.extend(self.cap_shares.iter().map(|_| 0.0));
        prices
    }

    /// Leaves prices with the rows.
    pub fn keep_prices(&self, cover: &mut KitCover, price_cost: &[f64]) {
        for (r, row) in cover.rows.iter_mut().enumerate() {
            let start = self.starts[r] as usize;
            let items = self.items_of_row(r).iter().copied();
            row.price_cost = items.zip(price_cost[start..].iter().copied()).collect();
        }
    }

    fn items_of_row(&self, row: usize) -> &[u32] {
        &self.items[self.starts[row] as usize..self.starts[row + 1] as usize]
    }

    fn alternatives_of(&self, row: usize) -> core::ops::Range<usize> {
        self.firsts[row] as usize..self.firsts[row + 1] as usize
    }
}

/// Room for one evaluation.
#[derive(Debug, Clone, Default)]
pub struct KitRelaxation {
    /// What is left of each item's weight, `ρ`.
    pub rest_cost: Vec<f64>,
    /// What each alternative costs at the prices.
    pub priced_cost: Vec<f64>,
    /// The cheapest alternative of each row.
    pub cheapest: Vec<u32>,
    /// How much each relaxed row is violated, pairs first, then caps.
    pub slope_share: Vec<f64>,
}

impl KitRelaxation {
    /// The bound at given prices.
    pub fn evaluate_bound(&mut self, cover: &KitCover, layout: &RelaxationLayout, price_cost: &[f64]) -> f64 {
        self.update_rests(cover, layout, price_cost);
        let caps = layout.cap_shares.iter().zip(&price_cost[layout.items.len()..]);
        let mut bound = -caps.map(|((_, most), price)| most * price).sum::<f64>();
        bound += self.rest_cost.iter().map(|rest| rest.min(0.0)).sum::<f64>();
        self.slope_share.clear();
        let chosen = layout.items.iter().map(|i| if self.rest_cost[*i as usize] < 0.0 { -1.0 } else { 0.0 });
        self.slope_share.extend(chosen);
        self.priced_cost.clear();
        self.cheapest.clear();
        for row in 0..cover.rows.len() {
            let mut least = (f64::INFINITY, 0);
            for at in layout.alternatives_of(row) {
                let paid: f64 = layout.pairs.get(at).iter().map(|p| price_cost[*p as usize]).sum();
                let cost = layout.costs[at] + paid;
                self.priced_cost.push(cost);
                if cost < least.0 {
                    least = (cost, at);
                }
            }
            bound += least.0;
            self.cheapest.push(least.1 as u32);
            layout.pairs.get(least.1).iter().for_each(|p| self.slope_share[*p as usize] += 1.0);
        }
        self.cap_slopes(layout);
        bound
    }

    fn update_rests(&mut self, cover: &KitCover, layout: &RelaxationLayout, price_cost: &[f64]) {
        self.rest_cost.clear();
        self.rest_cost.extend(cover.weights.iter().map(|w| *w as f64));
        for ((shares, _), price) in layout.cap_shares.iter().zip(&price_cost[layout.items.len()..]) {
            self.rest_cost.iter_mut().zip(shares).for_each(|(rest, share)| *rest += share * price);
        }
        for (item, price) in layout.items.iter().zip(price_cost) {
            self.rest_cost[*item as usize] -= price;
        }
    }

    fn cap_slopes(&mut self, layout: &RelaxationLayout) {
        for (shares, most) in &layout.cap_shares {
            let chosen = shares.iter().zip(&self.rest_cost).filter(|(_, rest)| **rest < 0.0);
            self.slope_share.push(chosen.map(|(share, _)| share).sum::<f64>() - most);
        }
    }

    /// Bars, takes and drops in a cover what the evaluation decides; false where a cap does not allow it.
    #[must_use]
    pub fn fix_items(
        &self,
        cover: &mut KitCover,
        layout: &RelaxationLayout,
        bound_cost: f64,
        upper: u64,
    ) -> Option<bool> {
        let fixed = cover.fixed;
        let reaches = |more_cost: f64| fixed.saturating_add(whole_bound(bound_cost + more_cost)) >= upper;
        let stands = self.costs_without_items(cover, layout);
        let rest = |i: &u32| self.rest_cost[*i as usize].max(0.0);
        let mut changed = false;
        for (r, row) in cover.rows.iter_mut().enumerate() {
            let least = self.priced_cost[self.cheapest[r] as usize];
            let mut at = layout.alternatives_of(r);
            row.alternatives.retain(|a| {
                let more = at.next().map_or(0.0, |at| self.priced_cost[at] - least);
                let goes = reaches(more + a.items.iter().map(rest).sum::<f64>());
                changed |= goes;
                !goes
            });
        }
        let without = |i: usize| stands[i] + (-self.rest_cost[i]).max(0.0);
        let needed: Vec<bool> = (0..stands.len()).map(|i| without(i) > 0.0 && reaches(without(i))).collect();
        let barred: Vec<bool> = self.rest_cost.iter().map(|rest| *rest > 0.0 && reaches(*rest)).collect();
        cover.bar_items(&barred);
        if needed.contains(&true) {
            return cover.take_items(&needed).then_some(true);
        }
        Some(changed)
    }

    /// For each item, how much more the rows would cost without it.
    fn costs_without_items(&self, cover: &KitCover, layout: &RelaxationLayout) -> Vec<f64> {
        let mut stands = vec![0.0; cover.weights.len()];
        for (r, row) in cover.rows.iter().enumerate() {
            let all = layout.alternatives_of(r);
            let best = self.cheapest[r] as usize;
            for item in &row.alternatives[best - all.start].items {
                let others = row.alternatives.iter().zip(&self.priced_cost[all.clone()]);
                let others = others.filter(|(a, _)| a.items.binary_search(item).is_err());
                let next = others.map(|(_, cost)| *cost).fold(f64::INFINITY, f64::min);
                stands[*item as usize] += next - self.priced_cost[best];
            }
        }
        stands
    }
}
