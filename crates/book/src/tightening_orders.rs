//! The fixings that others are tightened after: keys of the whole book, which are known once all parts are read.

use std::collections::BTreeMap;

use fields::{NameIndex, ReadingDesk};
use model::{Book, FixingId, PartId};

use crate::fixing::place_names;
use crate::reader::BookSpots;
use crate::tables;

/// What one fixing says, with the row of the part that describes it.
pub(crate) struct TighteningOrder {
    pub(crate) row: usize,
    /// Key as it is described, before a copy's label stands behind it; empty where it was not told.
    pub(crate) described_key: String,
    pub(crate) after: Vec<String>,
}

/// The copies of one described fixing, each with its part.
type FixingCopies = Vec<(PartId, FixingId)>;

/// Puts keys to positions. One that there is not is reported (B130). The key of a fixing of a part that is there several times means
/// that of each; within such a part, its own.
pub(crate) fn resolve_tightening_orders(
    book: &mut Book,
    spots: &BookSpots,
    orders: &[TighteningOrder],
    keys: &NameIndex,
    desk: &ReadingDesk<'_>,
) {
    let mut described: BTreeMap<&str, (usize, FixingCopies)> = BTreeMap::new();
    for (at, order) in orders.iter().enumerate() {
        let is_copied = keys.position(&order.described_key).is_none() && !order.described_key.is_empty();
        if is_copied {
            let copies = described.entry(&order.described_key).or_insert((order.row, Vec::new()));
            copies.1.push((book.fixings[at].part, FixingId::new(at)));
        }
    }
    for (at, order) in orders.iter().enumerate().filter(|(_, order)| !order.after.is_empty()) {
        let own = book.fixings[at].part;
        let mut after = Vec::new();
        let mut others = Vec::new();
        for name in place_names(order.after.clone(), spots.fixings[at].key("tighten_after")) {
            match described.get(name.value.as_str()) {
                Some((row, copies)) => {
                    let is_meant = |part: PartId| *row != order.row || part == own;
                    after.extend(copies.iter().filter(|(part, _)| is_meant(*part)).map(|(_, id)| *id));
                }
                None => others.push(name),
            }
        }
        let found = desk.resolve_names(&tables::FIXINGS, keys, &others);
        after.extend(found.into_iter().map(|(at, _)| FixingId::new(at)));
        book.fixings[at].world.tighten_after = after;
    }
}
