//! Tests of the journal on a small invented engine: what the bench says, what the ledger shows, and the laws of replay.

mod bench;
mod canon;
mod commands;
mod common;
mod conflicts;
mod counts;
mod figures;
mod golden;
mod golden_book;
mod golden_workshop;
mod heads;
mod kept;
mod laws;
mod ledger;
mod no_book;
mod settings;
mod steps;
mod streams;
