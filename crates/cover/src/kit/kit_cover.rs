//! The kit's indexed form for the solver: items with one weight each, rows, the alternatives of each row, and caps.

use super::prices::merged_prices;

/// One way to satisfy a row: all of its items, at a cost.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct RowAlternative {
    /// What the row costs when it is satisfied this way.
    pub cost: u64,
    /// Positions in [`KitCover::weights`], rising, each once.
    pub items: Vec<u32>,
}

/// One thing that has to be done: by one of its alternatives, cheapest first.
#[derive(Debug, Clone, PartialEq)]
pub struct KitRow {
    /// At least one, rising.
    pub alternatives: Vec<RowAlternative>,
    /// What the relaxation lets the row pay toward each of its items, by rising item; empty before the first ascent.
    pub price_cost: Vec<(u32, f64)>,
}

impl KitRow {
    /// A row with its alternatives in order.
    #[must_use]
    pub fn new(mut alternatives: Vec<RowAlternative>) -> Self {
        alternatives.sort();
        alternatives.dedup();
        Self { alternatives, price_cost: Vec::new() }
    }

    /// The cost of the row with a kit; `None` where the kit does not satisfy it.
    #[must_use]
    pub fn cost(&self, kit: &[bool]) -> Option<u64> {
        self.alternatives.iter().find(|a| kit_holds(kit, &a.items)).map(|a| a.cost)
    }

    /// Whether all alternatives cost nothing, so that only satisfying it counts.
    #[must_use]
    pub fn is_free(&self) -> bool {
        self.alternatives.iter().all(|a| a.cost == 0)
    }

    /// Its items, rising, each once.
    #[must_use]
    pub fn items(&self) -> Vec<u32> {
        let mut items: Vec<u32> = self.alternatives.iter().flat_map(|a| a.items.iter().copied()).collect();
        items.sort_unstable();
        items.dedup();
        items
    }

    /// Takes over the prices of a row that has become this one.
    pub fn add_prices(&mut self, price_cost: &[(u32, f64)]) {
        self.price_cost = merged_prices(&self.price_cost, price_cost);
    }
}

/// Whether a kit has all items of a list.
#[must_use]
pub fn kit_holds(kit: &[bool], items: &[u32]) -> bool {
    items.iter().all(|i| kit[*i as usize])
}

/// A limit on the sum of some amount over the items chosen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AmountLimit {
    /// Amount of each item.
    pub amounts: Vec<u64>,
    /// The most that the kit may have.
    pub most: u64,
}

/// Choose items so that each row has an alternative wholly among them, at the least weight and cost together.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct KitCover {
    /// Weight of each item.
    pub weights: Vec<u64>,
    /// Rows.
    pub rows: Vec<KitRow>,
    /// Limits on the kit as a whole.
    pub caps: Vec<AmountLimit>,
    /// Weight and cost that every answer has: of what reductions have taken already.
    pub fixed: u64,
    /// Items that reductions have taken, in the order taken; they are in no row any more.
    pub taken: Vec<u32>,
}

impl KitCover {
    /// A cover from weights and rows, without caps.
    #[must_use]
    pub const fn new(weights: Vec<u64>, rows: Vec<KitRow>) -> Self {
        Self { weights, rows, caps: Vec::new(), fixed: 0, taken: Vec::new() }
    }

    /// Weight and cost of a kit; `None` where it leaves a row unsatisfied or breaks a cap.
    #[must_use]
    pub fn value(&self, kit: &[bool]) -> Option<u64> {
        if self.caps.iter().any(|cap| sum_amounts(&cap.amounts, kit) > cap.most) {
            return None;
        }
        let costs: Option<u64> = self.rows.iter().map(|r| r.cost(kit)).sum();
        Some(self.fixed + sum_amounts(&self.weights, kit) + costs?)
    }

    /// A kit without items.
    #[must_use]
    pub fn empty_kit(&self) -> Vec<bool> {
        vec![false; self.weights.len()]
    }

    /// What every kit costs less than: all items, and the dearest alternative of each row.
    #[must_use]
    pub fn above_all(&self) -> u64 {
        let dearest = |r: &KitRow| r.alternatives.iter().map(|a| a.cost).max().unwrap_or(0);
        1 + self.fixed + self.weights.iter().sum::<u64>() + self.rows.iter().map(dearest).sum::<u64>()
    }

    /// Whether the items of a list that are not in another, both rising, weigh no more than that; never where one of them
    /// counts in a cap.
    #[must_use]
    pub fn is_light_beyond(&self, items: &[u32], others: &[u32], most: u64) -> bool {
        let mut left = Some(most);
        items_beyond(items, others).all(|item| {
            let is_capped = self.caps.iter().any(|cap| cap.amounts[item as usize] > 0);
            left = left.and_then(|left| left.checked_sub(self.weights[item as usize])).filter(|_| !is_capped);
            left.is_some()
        })
    }

    /// Whether an item may replace another: no heavier, and using no more of any cap.
    #[must_use]
    pub fn is_no_heavier(&self, q: u32, p: u32) -> bool {
        let (q, p) = (q as usize, p as usize);
        self.weights[q] <= self.weights[p] && self.caps.iter().all(|cap| cap.amounts[q] <= cap.amounts[p])
    }

    /// Takes items: their weight is paid, and they go out of all alternatives; false where a cap does not allow it.
    #[must_use]
    pub fn take_items(&mut self, items: &[bool]) -> bool {
        self.fixed += sum_amounts(&self.weights, items);
        self.taken.extend((0..items.len() as u32).filter(|i| items[*i as usize]));
        for alternative in self.rows.iter_mut().flat_map(|r| &mut r.alternatives) {
            alternative.items.retain(|i| !items[*i as usize]);
        }
        for row in &mut self.rows {
            row.price_cost.retain(|(i, _)| !items[*i as usize]);
            row.alternatives.sort();
            row.alternatives.dedup();
        }
        let mut fits = true;
        for cap in &mut self.caps {
            let amount = sum_amounts(&cap.amounts, items);
            fits &= amount <= cap.most;
            cap.most = cap.most.saturating_sub(amount);
        }
        fits
    }

    /// Drops every alternative that holds one of some items.
    pub fn bar_items(&mut self, items: &[bool]) {
        for row in &mut self.rows {
            row.alternatives.retain(|a| !a.items.iter().any(|i| items[*i as usize]));
            row.price_cost.retain(|(i, _)| !items[*i as usize]);
        }
    }

    /// Where each item is used: for every item the rows and alternatives that hold it.
    #[must_use]
    pub fn item_places(&self) -> Vec<Vec<(usize, usize)>> {
        let mut places = vec![Vec::new(); self.weights.len()];
        for (r, row) in self.rows.iter().enumerate() {
            for (a, alternative) in row.alternatives.iter().enumerate() {
                for item in &alternative.items {
                    places[*item as usize].push((r, a));
                }
            }
        }
        places
    }

    /// Items in all alternatives together.
    #[must_use]
    pub fn entries(&self) -> usize {
        self.rows.iter().flat_map(|r| &r.alternatives).map(|a| 1 + a.items.len()).sum()
    }
}

/// Sum of amounts over the items of a kit.
#[must_use]
pub fn sum_amounts(amounts: &[u64], kit: &[bool]) -> u64 {
    kit.iter().zip(amounts).filter(|(has, _)| **has).map(|(_, amount)| amount).sum()
}

/// Items of one rising list that are not in another.
pub fn items_beyond<'a>(items: &'a [u32], others: &'a [u32]) -> impl Iterator<Item = u32> + 'a {
    let mut rest = others.iter().copied().peekable();
    items.iter().copied().filter(move |item| {
        while rest.next_if(|other| other < item).is_some() {}
        rest.peek() != Some(item)
    })
}
