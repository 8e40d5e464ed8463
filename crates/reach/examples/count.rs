//! Counts.
#[path = "../tests/all/common.rs"]
mod common;
#[path = "../tests/all/workload.rs"]
mod workload;
fn main() {
    let (book, store) = (workload::large_book(1, 280), workload::large_store());
    let all = model::duties(&book);
    let t = std::time::Instant::now();
    let r = reach::reach(&book, &store, &all, reach::Options { threads: 2 });
    let el = t.elapsed();
    let n: usize = r.iter().map(|r| r.workings.len()).sum();
    let held: usize = r
        .iter()
        .filter(|r| book.fixing(r.duty.fixing).accesses[0].counter_hold.is_some())
        .map(|r| r.workings.len())
        .sum();
    let gaps = r.iter().filter(|r| r.workings.is_empty()).count();
    let max = r.iter().map(|r| r.workings.len()).max();
    println!(
        "{} fasteners {} duties {} pieces; {n} workings, {held} held, {gaps} gaps, max {max:?}; {el:?}",
        book.fastener_count(),
        all.len(),
        store.pieces.len()
    );
    let hist = |lo: usize, hi: usize| r.iter().filter(|r| (lo..hi).contains(&r.workings.len())).count();
    println!(
        "1-10 {} 10-100 {} 100-1000 {} 1000-10000 {} more {}",
        hist(1, 10),
        hist(10, 100),
        hist(100, 1000),
        hist(1000, 10000),
        hist(10000, usize::MAX)
    );
}
