//! What visits teach about an engine, as proposals with the number of visits behind each.
//!
//! **Question.** The same engine comes in again and again. What of its order was needed and what was habit, how much room is round a fixing, how long does
//! an act take, what breaks? A visit is one witness; this crate says what several witnesses agree on, and how far that carries.
//!
//! | question | module |
//! |---|---|
//! | what was seen | [`visits`] |
//! | which part has to come off before which | [`precedence`], its sets in [`order_graph`], its test in [`pairing_test`] |
//! | how much room is round a fixing | [`room`] |
//! | how long does an act take | [`act_times`] |
//! | what frees, what is dropped where, what breaks | [`counts`] |
//!
//! **Nothing here changes a book.** Answers are proposals; a person adopts or frees them. How good they are, by number of visits, is in `docs/learning.md`, made by
//! `tests/mechanic.rs`.
//!
//! Pure: histories in, proposals out.

pub mod act_times;
pub mod counts;
pub mod order_graph;
pub mod pairing_test;
pub mod precedence;
pub mod room;
pub mod visits;
