//! Exact reductions: each makes a cover smaller and leaves at least one best answer in it.
//!
//! | file | rule |
//! |---|---|
//! | `contained` | an alternative that costs no less than another with the missing items bought on top goes |
//! | `merged` | rows with the same alternatives become one, their costs added |
//! | `forced` | an item in every alternative of a row is taken |
//! | `implied` | a row that is satisfied whenever another is goes |
//! | `dominated` | an item that another can stand in for everywhere goes |
//! | `components` | rows that share no item are solved apart |

mod components;
mod contained;
mod dominated;
mod forced;
mod implied;
mod merged;

use super::cover::Cover;
pub use components::{Component, components};

/// Applies all rules until none changes anything.
pub fn reduce(cover: &mut Cover) {
    loop {
        contained::reduce(cover);
        let changed =
            [merged::reduce(cover), forced::reduce(cover), implied::reduce(cover), dominated::reduce(cover)];
        if !changed.contains(&true) {
            return;
        }
    }
}
