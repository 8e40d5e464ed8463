//! Exact reductions: each makes a cover smaller and leaves at least one best answer in it.
//!
//! | file | rule |
//! |---|---|
//! | `contained` | an alternative that costs no less than another with the missing items bought on top goes |
//! | `merged` | rows with the same alternatives become one, their costs added |
//! | `forced` | an item in every alternative of a row is taken |
//! | `implied` | a row that is satisfied whenever another is goes |
//! | `dominated` | an item that another can replace everywhere goes |
//! | `components` | rows that share no item are solved apart |

mod components;
mod contained;
mod dominated;
mod forced;
mod implied;
mod merged;

use super::kit_cover::KitCover;
use crate::search::CoverSearch;
pub use components::{compact_cover, split_components};

/// Applies all rules until none changes anything; false where no kit satisfies all rows within the caps.
#[must_use]
pub fn apply_reductions(cover: &mut KitCover, search: &mut CoverSearch) -> bool {
    loop {
        search.spend_visits(4 * cover.entries());
        contained::drop_contained(cover);
        let before = (cover.rows.len(), cover.taken.len());
        let merged = merged::merge_equal_rows(cover);
        if !forced::take_forced_items(cover) {
            return false;
        }
        let took = (cover.rows.len(), cover.taken.len()) != before;
        let implied = implied::drop_implied(cover, search);
        if !(merged | took | implied | dominated::drop_dominated_items(cover)) {
            return true;
        }
    }
}
