//! One file per command: its arguments, whose comments are the help, and one function that calls `app`.

pub mod book;
pub mod cart;
pub mod demo;
pub mod driver;
pub mod finish;
pub mod friction;
pub mod journal;
pub mod judge;
pub mod kit;
pub mod large_book;
pub mod mixup;
pub mod next_best;
pub mod pattern;
pub mod plan;
pub mod preload;
pub mod print;
pub mod reach;
pub mod serve;
pub mod shell;
pub mod store;
pub mod strip_margin;
pub mod torque;
pub mod visit;
pub mod why;
pub mod worth;
pub mod wrench;
