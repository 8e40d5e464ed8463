//! Speed of the fast search on a whole book, and of the plain one on a sample of the same duties.

#[expect(dead_code, reason = "the tests use more of these builders")]
#[path = "../tests/all/common.rs"]
mod common;
#[path = "../tests/all/workload.rs"]
mod workload;

use divan::Bencher;
use model::{Duty, duties_of_book};
use reach::{ReachOptions, find_reach};

/// Every so many duties are given to the plain search.
const SAMPLE: usize = 100;

fn main() {
    divan::main();
}

fn sample(all: &[Duty]) -> Vec<Duty> {
    all.iter().step_by(SAMPLE).copied().collect()
}

#[divan::bench(args = [1, 2], sample_count = 10)]
fn whole_book(bencher: Bencher, threads: u16) {
    let (book, store) = (workload::large_book(1, 280), workload::large_store());
    let all = duties_of_book(&book);
    bencher.bench(|| find_reach(&book, &store, &all, ReachOptions { threads }));
}

#[divan::bench(sample_count = 10)]
fn sample_fast(bencher: Bencher) {
    let (book, store) = (workload::large_book(1, 280), workload::large_store());
    let some = sample(&duties_of_book(&book));
    bencher.bench(|| find_reach(&book, &store, &some, ReachOptions { threads: 1 }));
}

#[divan::bench(sample_count = 1, sample_size = 1)]
fn sample_plain(bencher: Bencher) {
    let (book, store) = (workload::large_book(1, 280), workload::large_store());
    let some = sample(&duties_of_book(&book));
    bencher.bench(|| reach::plain::find_reach_plainly(&book, &store, &some));
}
