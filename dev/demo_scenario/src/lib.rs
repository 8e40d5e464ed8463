//! The scenario of `traywright demo`: both invented buses planned with one store, and one visit worked to its middle.
//!
//! It follows a story and decides nothing about a job: books and store come from the folder `demo`, all else from the use cases of
//! `app`, which another front end would call in the same way. It is apart from the use cases so that no invented name, nut or
//! telephone call lies among them; the tests of `app` begin from the same half-way visit.

mod books;
mod half_way;

pub use books::{next_best_text, plan_demo_books};
pub use half_way::begin_half_way_visit;
