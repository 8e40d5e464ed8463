//! Whole random problems: generated books and stores are planned and the judge finds nothing.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use app::ask::{self, PlanRequest, SilentObserver};
use app::model::Fixing;
use app::model::plan::KitObjective;

#[path = "../../../tests/long.rs"]
mod long;

fn check(seed: u64, parts: usize, fasteners: usize) {
    let (book, store) = generate::generate_book_and_store(seed, parts, fasteners, 300);
    let book = book::read_book(&[(String::from("book.toml"), book.into_bytes())]).book.unwrap();
    let store = tools::read_store(&[(String::from("store.toml"), store.into_bytes())]).store.unwrap();
    let objective =
        [KitObjective::LeastToCarry, KitObjective::Quickest, KitObjective::LeastToBuy][seed as usize % 3];
    let request = PlanRequest {
        vehicle: String::from("G"),
        tasks: Vec::new(),
        objective,
        seconds: Some(1.0),
        stop_after_s: None,
        seed,
        threads: 2,
    };
    let answer = ask::make_judged_plan(&book, &store, &request, &SilentObserver)
        .unwrap_or_else(|e| panic!("seed {seed}: {e}"));
    let words: Vec<String> =
        answer.violations.iter().take(5).map(|v| format!("{} {}: {}", v.code, v.place, v.words)).collect();
    assert!(words.is_empty(), "seed {seed}: {} violations\n{}", answer.violations.len(), words.join("\n"));
    assert_eq!(answer.plan.slots.iter().map(|s| usize::from(s.count)).sum::<usize>(), {
        let off: Vec<&str> = answer.plan.way_in.parts.iter().map(|p| p.part.as_str()).collect();
        let held = |f: &&Fixing| off.contains(&book.part(f.part).key.as_str());
        book.fixings.iter().filter(held).map(|f| f.holes.len()).sum::<usize>()
    });
}

#[test]
fn plans_of_small_generated_books_hold() {
    for seed in 0..u64::from(long::choose_count("plans", 12, 120)) {
        let size = seed as usize % 12;
        check(seed, 20 + 5 * size, 60 + 15 * size);
    }
}

#[test]
fn a_plan_of_a_large_generated_book_holds() {
    check(99, 400, 1500);
}
