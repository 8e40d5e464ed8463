//! The kit's indexed form: items to carry, rows to satisfy, and the alternatives of each row.

/// One way to satisfy a row: all of its items, at a cost.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Alternative {
    /// What the row costs when it is satisfied this way.
    pub cost: u64,
    /// Positions in [`Cover::weights`], rising, each once.
    pub items: Vec<u32>,
}

/// One thing that has to be done: by one of its alternatives, cheapest first.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Row {
    /// At least one.
    pub alternatives: Vec<Alternative>,
}

impl Row {
    /// A row with its alternatives in order.
    #[must_use]
    pub fn new(mut alternatives: Vec<Alternative>) -> Self {
        alternatives.sort();
        alternatives.dedup();
        Self { alternatives }
    }

    /// The cost of the row with a kit; `None` where the kit does not satisfy it.
    #[must_use]
    pub fn cost(&self, kit: &[bool]) -> Option<u64> {
        self.alternatives.iter().find(|a| holds(kit, &a.items)).map(|a| a.cost)
    }

    /// Whether a kit satisfies the row.
    #[must_use]
    pub fn is_satisfied(&self, kit: &[bool]) -> bool {
        self.alternatives.iter().any(|a| holds(kit, &a.items))
    }

    /// Whether all alternatives cost nothing, so that only satisfying it counts.
    #[must_use]
    pub fn is_free(&self) -> bool {
        self.alternatives.iter().all(|a| a.cost == 0)
    }
}

/// Whether a kit has all items of a list.
#[must_use]
pub fn holds(kit: &[bool], items: &[u32]) -> bool {
    items.iter().all(|i| kit[*i as usize])
}

/// Choose items so that each row has an alternative wholly among them, at the least weight and cost together.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Cover {
    /// Weight of each item, above 0.
    pub weights: Vec<u64>,
    /// Rows.
    pub rows: Vec<Row>,
    /// Weight and cost that every answer has: of what reductions have taken already.
    pub fixed: u64,
    /// Items that reductions have taken, in the order taken; they stand in no row any more.
    pub taken: Vec<u32>,
}

impl Cover {
    /// A cover from weights and rows.
    #[must_use]
    pub const fn new(weights: Vec<u64>, rows: Vec<Row>) -> Self {
        Self { weights, rows, fixed: 0, taken: Vec::new() }
    }

    /// Weight and cost of a kit; `None` where it leaves a row unsatisfied.
    #[must_use]
    pub fn value(&self, kit: &[bool]) -> Option<u64> {
        let costs: Option<u64> = self.rows.iter().map(|r| r.cost(kit)).sum();
        Some(self.fixed + self.weight(kit) + costs?)
    }

    /// Weight of a kit alone.
    #[must_use]
    pub fn weight(&self, kit: &[bool]) -> u64 {
        kit.iter().zip(&self.weights).filter(|(has, _)| **has).map(|(_, w)| w).sum()
    }

    /// A kit without items.
    #[must_use]
    pub fn empty_kit(&self) -> Vec<bool> {
        vec![false; self.weights.len()]
    }

    /// Weight of the items of a list that are not in another, both rising.
    #[must_use]
    pub fn weight_beyond(&self, items: &[u32], others: &[u32]) -> u64 {
        beyond(items, others).map(|i| self.weights[i as usize]).sum()
    }

    /// Where each item stands: for every item the rows and alternatives that hold it.
    #[must_use]
    pub fn places(&self) -> Vec<Vec<(usize, usize)>> {
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
}

/// Items of one rising list that are not in another.
pub fn beyond<'a>(items: &'a [u32], others: &'a [u32]) -> impl Iterator<Item = u32> + 'a {
    let mut rest = others.iter().copied().peekable();
    items.iter().copied().filter(move |item| {
        while rest.next_if(|other| other < item).is_some() {}
        rest.peek() != Some(item)
    })
}

/// Whether all items of one rising list stand in another.
#[must_use]
pub fn is_within(items: &[u32], others: &[u32]) -> bool {
    items.len() <= others.len() && beyond(items, others).next().is_none()
}
