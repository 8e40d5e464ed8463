//! Larger problems: the kit of a large book, invented kits, and what is too hard to prove.

use cover::kit::kit_cover::{KitCover, KitRow, RowAlternative};
use cover::kit::{self, InventedKit};
use effort::{RandomSeed, SolverBudget, SolverEffort, SolverStanding};

/// A small fixed generator, so that the case is the same everywhere.
struct Lcg(u64);

impl Lcg {
    fn below(&mut self, n: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % n
    }
}

const SIZES: u64 = 60;
const SQUARES: u64 = 3;
/// Shallow and deep, mm.
const SOCKETS_MM: [u64; 2] = [25, 55];
/// Extensions of each square, mm.
const EXTENSIONS_MM: [u64; 7] = [30, 50, 75, 100, 150, 200, 250];
const HANDLES: u64 = 8;

/// The number of a piece: sockets by size, square and depth, then extensions, then handles.
fn socket(size: u64, square: u64, depth: u64) -> u32 {
    ((size * SQUARES + square) * 2 + depth) as u32
}
fn extension(square: u64, at: u64) -> u32 {
    (SIZES * SQUARES * 2 + square * 7 + at) as u32
}
fn handle(square: u64, at: u64) -> u32 {
    (SIZES * SQUARES * 2 + SQUARES * 7 + square * HANDLES + at) as u32
}

/// Extensions to put between, none to two, each once, with their length together.
fn between() -> Vec<(Vec<u64>, u64)> {
    let n = EXTENSIONS_MM.len() as u64;
    let mm = |i: u64| EXTENSIONS_MM[i as usize];
    let mut all = vec![(vec![], 0)];
    all.extend((0..n).map(|i| (vec![i], mm(i))));
    all.extend((0..n).flat_map(|i| (0..i).map(move |j| (vec![j, i], mm(i) + mm(j)))));
    all
}

/// Stacks as reach makes them: a socket of the size, extensions that reach out of the hole and still fit in the headroom,
/// and one of the handles that suit the act.
fn row(random: &mut Lcg, timed: bool) -> KitRow {
    let (size, act) = (random.below(SIZES), random.below(4));
    let (depth_mm, room_mm) = (random.below(200), 90 + random.below(120));
    let first_square = random.below(SQUARES);
    let squares = first_square..SQUARES.min(first_square + 2);
    let mut alternatives = Vec::new();
    for (square, deep) in squares.flat_map(|s| [(s, 0), (s, 1)]) {
        for (extensions, mm) in between() {
            let length_mm = SOCKETS_MM[deep as usize] + mm;
            if length_mm < depth_mm || length_mm > depth_mm + room_mm {
                continue;
            }
            for h in [act * 2, act * 2 + 1] {
                let mut items: Vec<u32> = extensions.iter().map(|e| extension(square, *e)).collect();
                items.extend([socket(size, square, deep), handle(square, h)]);
                items.sort_unstable();
                let slow = 1 + h % 2 + extensions.len() as u64;
                let cost = if timed { 4_000 * slow + 50 * mm } else { 0 };
                alternatives.push(RowAlternative { cost, items });
            }
        }
    }
    KitRow::new(alternatives)
}

fn cover(rows: u64, timed: bool) -> KitCover {
    let mut random = Lcg(7);
    let all: Vec<KitRow> =
        (0..rows).map(|_| row(&mut random, timed)).filter(|r| !r.alternatives.is_empty()).collect();
    let stacks: usize = all.iter().map(|r| r.alternatives.len()).sum();
    assert!(all.len() > 1100 && stacks > 30 * all.len(), "{} rows, {stacks} stacks", all.len());
    let items = handle(SQUARES - 1, HANDLES - 1) + 1;
    KitCover::new(vec![if timed { 5_400 } else { 1 }; items as usize], all)
}

/// Stacks without any structure, which no real store has: the hardest case.
fn scrambled(rows: u64) -> KitCover {
    let mut random = Lcg(11);
    let mut alternative = || {
        let mut items: Vec<u32> = (0..3).map(|_| random.below(400) as u32).collect();
        items.sort_unstable();
        items.dedup();
        RowAlternative { cost: 0, items }
    };
    let rows = (0..rows).map(|_| KitRow::new((0..40).map(|_| alternative()).collect())).collect();
    KitCover::new(vec![1; 400], rows)
}

fn check(cover: &KitCover, budget: &SolverBudget, greatest_gap_fraction: f64) -> cover::CoverAnswer {
    let solved = kit::solve_kit_cover(cover, budget, RandomSeed(1));
    let mut kit = cover.empty_kit();
    solved.chosen.iter().for_each(|i| kit[*i as usize] = true);
    assert_eq!(cover.value(&kit), Some(solved.value));
    let gap = (solved.value - solved.bound) as f64 / solved.value as f64;
    assert!(gap <= greatest_gap_fraction, "{} against {}", solved.value, solved.bound);
    solved
}

#[test]
fn the_smallest_kit_of_a_large_book_is_proven() {
    check(&cover(1200, false), &SolverBudget::sized(), 0.0);
}

#[test]
fn the_quickest_kit_of_a_large_book_is_proven() {
    check(&cover(1200, true), &SolverBudget::sized(), 0.0);
}

#[test]
fn invented_kits_are_proven() {
    for (pieces, steps) in [(60, 150), (200, 800), (400, 2000)] {
        let invented = InventedKit::with_usual_stacks(pieces, steps);
        check(&invented.invent_cover(RandomSeed(1)), &SolverBudget::sized(), 0.0);
        check(
            &InventedKit { dearest: 300, ..invented }.invent_cover(RandomSeed(2)),
            &SolverBudget::sized(),
            0.0,
        );
    }
}

#[test]
fn a_case_too_hard_to_prove_ends_with_a_bound_and_says_so_and_comes_out_again() {
    let cover = scrambled(400);
    let few = SolverBudget { effort: SolverEffort::Tries(60), ..SolverBudget::sized() };
    let solved = check(&cover, &few, 1.0);
    assert_eq!(solved.standing, SolverStanding::Found);
    // One stack of three pieces is the least that any row asks for; 180 of the 400 pieces are easily enough.
    assert!((3..solved.value).contains(&solved.bound) && solved.value < 180, "{solved:?}");
    assert_eq!(solved, check(&cover, &few, 1.0));
}
