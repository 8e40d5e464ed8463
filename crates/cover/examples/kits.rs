//! Invented kits: seconds until the smallest one is proven, and the gap where it is not.
//!
//! `cargo run --release -p cover --example kits`
#![expect(clippy::print_stdout, reason = "a measurement")]

use std::time::Instant;

use cover::kit::{self, Invented};
use effort::{Budget, Seed};

fn main() {
    println!("| pieces | steps | seed | kit costs | bound | gap | seconds |");
    println!("| --- | --- | --- | --- | --- | --- | --- |");
    for (pieces, steps) in [(200, 800), (400, 2000)] {
        for seed in 1..=5 {
            let cover = Invented { dearest: 300, ..Invented::usual(pieces, steps) }.cover(Seed(seed));
            let start = Instant::now();
            let solved = kit::solve(&cover, &Budget::sized(), Seed(1));
            let seconds = start.elapsed().as_secs_f64();
            let gap = 100.0 * (solved.value - solved.bound) as f64 / solved.value as f64;
            let (value, bound) = (solved.value, solved.bound);
            println!("| {pieces} | {steps} | {seed} | {value} | {bound} | {gap:.2} % | {seconds:.2} |");
        }
    }
}
