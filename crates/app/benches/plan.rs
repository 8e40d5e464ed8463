//! Whole plans: the demo's two books, and a generated book of 1,500 fasteners with a store of 400 pieces.
#![expect(clippy::unwrap_used, reason = "a benchmark stops at what it did not expect")]

use app::ask::{self, PlanRequest, SilentObserver};
use app::model::plan::KitObjective;
use app::model::{Book, Store};
use std::path::Path;

fn main() {
    divan::main();
}

fn plan(book: &Book, store: &Store) -> usize {
    let request = PlanRequest {
        vehicle: String::from("A"),
        tasks: Vec::new(),
        objective: KitObjective::LeastToCarry,
        seconds: None,
        stop_after_s: None,
        seed: 1,
        threads: 2,
    };
    ask::make_judged_plan(book, store, &request, &SilentObserver).unwrap().plan.strip.steps.len()
}

#[divan::bench(args = ["tern-24", "curlew-30"], sample_count = 5)]
fn demo(bencher: divan::Bencher, name: &str) {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo");
    let book = app::load::load_book(&demo.join("books").join(name)).unwrap();
    let store = app::load::load_store(&demo.join("store")).unwrap();
    bencher.bench_local(|| plan(&book, &store));
}

#[divan::bench(sample_count = 3)]
fn generated(bencher: divan::Bencher) {
    let (book, store) = generate::generate_book_and_store(1, 400, 1500, 400);
    let book = book::read_book(&[(String::from("book.toml"), book.into_bytes())]).book.unwrap();
    let store = tools::read_store(&[(String::from("store.toml"), store.into_bytes())]).store.unwrap();
    bencher.bench_local(|| plan(&book, &store));
}
