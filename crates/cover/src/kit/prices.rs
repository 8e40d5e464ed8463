//! What the rows pay toward their items: kept with the rows, so that a reduced problem starts where its whole ended.

/// The sums of two lists of prices, each by rising item.
#[must_use]
pub fn merged_prices(a_cost: &[(u32, f64)], b_cost: &[(u32, f64)]) -> Vec<(u32, f64)> {
    let mut all: Vec<(u32, f64)> = a_cost.iter().chain(b_cost).copied().collect();
    all.sort_by_key(|(item, _)| *item);
    all.dedup_by(|next, kept| {
        let same = next.0 == kept.0;
        if same {
            kept.1 += next.1;
        }
        same
    });
    all
}

/// The price of one item in a list by rising item; 0 where it has none.
#[must_use]
pub fn price_of_item(list_cost: &[(u32, f64)], item: u32) -> f64 {
    list_cost.binary_search_by_key(&item, |(i, _)| *i).map_or(0.0, |at| list_cost[at].1)
}
