//! Invented kits: seconds until the smallest one is proven, and the gap where it is not.
//!
//! `cargo run --release -p cover --example kits`
#![expect(clippy::print_stdout, reason = "a measurement")]

use std::time::Instant;

use cover::kit::{self, InventedKit};
use effort::{RandomSeed, SolverBudget};

fn main() {
    println!("| pieces | steps | dearest stack | seed | kit costs | bound | gap | seconds |");
    println!("| --- | --- | --- | --- | --- | --- | --- | --- |");
    for (pieces, steps) in [(200, 800), (400, 2000)] {
        let usual = InventedKit::with_usual_stacks(pieces, steps);
        for seed in 1..=5 {
            line(usual, seed);
            line(InventedKit { dearest: 300, ..usual }, seed);
        }
    }
}

fn line(invented: InventedKit, seed: u64) {
    let cover = invented.invent_cover(RandomSeed(seed));
    let start = Instant::now();
    let solved = kit::solve_kit_cover(&cover, &SolverBudget::sized(), RandomSeed(1));
    let seconds = start.elapsed().as_secs_f64();
    let gap = 100.0 * (solved.value - solved.bound) as f64 / solved.value as f64;
    let (value, bound, InventedKit { pieces, steps, dearest, .. }) = (solved.value, solved.bound, invented);
    println!("| {pieces} | {steps} | {dearest} | {seed} | {value} | {bound} | {gap:.2} % | {seconds:.2} |");
}
