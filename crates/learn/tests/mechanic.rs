//! A simulated mechanic strips invented engines 1, 3, 10 and 30 times: what is learned against what is true. Makes the tables of `docs/learning.md`.
//!
//! `TRAYWRIGHT_RENEW=1` writes the tables anew. Engines: 30, 60 and 100 parts, each with up to three parts that have to come off first, most of them near. Nothing here is taken
//! from the crate's own answers but what is measured. The chance of a wrong proposal is that of the rule, 1 in 10, at most; it came to less than 1 in 100.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use std::fmt::Write as _;

use learn::precedence::{LearnedOrder, learn_order};
use learn::visits::{EngineVisit, PartRemoval};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;

mod common;

/// Engines a row.
const ENGINES: u64 = 10;
const SIZES: [usize; 3] = [30, 60, 100];
const VISITS: [usize; 4] = [1, 3, 10, 30];

fn below(random: &mut Pcg64Mcg, end: usize) -> usize {
    (random.random::<f64>() * end as f64) as usize
}

/// What has to come off before each part, and all that follows from it.
struct TrueEngine {
    needs: Vec<Vec<usize>>,
    before: Vec<Vec<bool>>,
}

impl TrueEngine {
    fn invent(parts: usize, random: &mut Pcg64Mcg) -> Self {
        let mut needs = vec![Vec::new(); parts];
        let mut before = vec![vec![false; parts]; parts];
        for part in 1..parts {
            for _ in 0..[0, 1, 1, 2, 2, 3][below(random, 6)] {
                let reach = if random.random::<f64>() < 0.8 { 8 } else { parts };
                let need = part - 1 - below(random, reach.min(part));
                if !needs[part].contains(&need) {
                    needs[part].push(need);
                }
            }
            for need in needs[part].clone() {
                before[need][part] = true;
                before.iter_mut().for_each(|after| after[part] |= after[need]);
            }
        }
        Self { needs, before }
    }

    /// Pairs that do not follow from others.
    fn direct_pairs(&self) -> Vec<(usize, usize)> {
        let parts = self.needs.len();
        let follows = |a: usize, b: usize| (0..parts).any(|c| self.before[a][c] && self.before[c][b]);
        (0..parts * parts)
            .map(|at| (at / parts, at % parts))
            .filter(|(a, b)| self.before[*a][*b] && !follows(*a, *b))
            .collect()
    }

    /// The last order with a few neighbours exchanged that may be: one witness who repeats himself.
    fn repeat(&self, last: &[usize], random: &mut Pcg64Mcg) -> Vec<usize> {
        let mut order = last.to_vec();
        for _ in 0..order.len() / 3 {
            let at = 1 + below(random, order.len() - 1);
            if !self.before[order[at - 1]][order[at]] {
                order.swap(at - 1, at);
            }
        }
        order
    }

    /// An order that works. A mechanic of habit goes on, two times in three, with what the last part has uncovered.
    fn strip(&self, habit: bool, random: &mut Pcg64Mcg) -> Vec<usize> {
        let parts = self.needs.len();
        let mut off = vec![false; parts];
        let mut order: Vec<usize> = Vec::new();
        while order.len() < parts {
            let free: Vec<usize> = (0..parts)
                .filter(|part| !off[*part] && self.needs[*part].iter().all(|need| off[*need]))
                .collect();
            let uncovered: Vec<usize> = order.last().map_or_else(Vec::new, |last| {
                free.iter().copied().filter(|part| self.needs[*part].contains(last)).collect()
            });
            let from = if habit && !uncovered.is_empty() && random.random::<f64>() < 0.67 {
                &uncovered
            } else {
                &free
            };
            let next = from[below(random, from.len())];
            off[next] = true;
            order.push(next);
        }
        order
    }
}

/// Names whose order of letters says nothing of the order of work.
fn name_part(part: usize) -> String {
    format!("part-{:03}-{part}", part * 7919 % 1000)
}

fn number_of(name: &str) -> usize {
    name.rsplit('-').next().unwrap().parse().unwrap()
}

fn record_visit(at: usize, order: &[usize]) -> EngineVisit {
    let removal = |(place, part): (usize, &usize)| PartRemoval {
        part: name_part(*part),
        begin_s: place as f64 * 100.0,
        end_s: place as f64 * 100.0 + 90.0,
        pauses: Vec::new(),
    };
    EngineVisit { name: format!("visit {at}"), removals: order.iter().enumerate().map(removal).collect() }
}

/// Two neighbours ticked the wrong way round.
fn slip(order: &mut [usize], slip_share: f64, random: &mut Pcg64Mcg) {
    for at in 1..order.len() {
        if random.random::<f64>() < slip_share {
            order.swap(at - 1, at);
        }
    }
}

/// Sums over the engines of a row.
#[derive(Default)]
struct RowSums {
    true_direct: usize,
    proposed: usize,
    proposed_true: usize,
    found_direct: usize,
    candidates: usize,
    kept_true: usize,
    true_all: usize,
    signed: usize,
    signed_true: usize,
    pairs_broken: usize,
    orders_broken: usize,
}

fn share(part: usize, whole: usize) -> String {
    if whole == 0 { String::from("–") } else { format!("{:.1} %", 100.0 * part as f64 / whole as f64) }
}

fn add_engine(sums: &mut RowSums, engine: &TrueEngine, visits: &[EngineVisit], learned: &LearnedOrder) {
    let parts = engine.needs.len();
    let direct = engine.direct_pairs();
    let proposed: Vec<(usize, usize)> =
        learned.proposed.iter().map(|pair| (number_of(&pair.first), number_of(&pair.then))).collect();
    // What follows from the proposals counts as found.
    let mut reach = vec![vec![false; parts]; parts];
    for (a, b) in &proposed {
        reach[*a][*b] = true;
    }
    for middle in 0..parts {
        for a in 0..parts {
            for b in 0..parts {
                reach[a][b] |= reach[a][middle] && reach[middle][b];
            }
        }
    }
    sums.true_direct += direct.len();
    sums.proposed += proposed.len();
    sums.proposed_true += proposed.iter().filter(|(a, b)| engine.before[*a][*b]).count();
    sums.found_direct += direct.iter().filter(|(a, b)| reach[*a][*b]).count();
    sums.candidates += learned.all_candidates;
    let all_true = engine.before.iter().flatten().filter(|before| **before).count();
    sums.true_all += all_true;
    let mut place = vec![0; parts];
    for (at, part) in learned.safe_order.iter().enumerate() {
        place[number_of(part)] = at;
    }
    let broken = (0..parts * parts)
        .filter(|at| engine.before[at / parts][at % parts] && place[at / parts] > place[at % parts])
        .count();
    sums.kept_true += all_true - broken;
    sums.pairs_broken += broken;
    sums.orders_broken += usize::from(broken > 0);
    // The plain count beside it: pairs that no visit took the other way round.
    if visits.len() >= 10 {
        let places: Vec<Vec<usize>> = visits
            .iter()
            .map(|visit| {
                let mut place = vec![0; parts];
                visit.removals.iter().enumerate().for_each(|(at, r)| place[number_of(&r.part)] = at);
                place
            })
            .collect();
        let never_turned = |a: usize, b: usize| a != b && places.iter().all(|place| place[a] < place[b]);
        for at in 0..parts * parts {
            let (a, b) = (at / parts, at % parts);
            let counts = usize::from(never_turned(a, b));
            sums.signed += counts;
            sums.signed_true += counts * usize::from(engine.before[a][b]);
        }
    }
}

fn run_row(parts: usize, visits: usize, (manner, slip_share): (Manner, f64)) -> RowSums {
    let mut sums = RowSums::default();
    for seed in 0..ENGINES {
        let random = &mut Pcg64Mcg::seed_from_u64(seed * 1_000 + parts as u64);
        let engine = TrueEngine::invent(parts, random);
        let mut last = engine.strip(manner == Manner::Habit, random);
        let mut all = Vec::new();
        for at in 0..visits {
            let mut order = last.clone();
            slip(&mut order, slip_share, random);
            all.push(record_visit(at, &order));
            last = match manner {
                Manner::AnyOrder | Manner::Habit => engine.strip(manner == Manner::Habit, random),
                Manner::SameAgain => engine.repeat(&last, random),
            };
        }
        let learned = learn_order(&all, &[]).unwrap();
        assert_eq!(learned.safe_order.len(), parts, "every part is in the safe order");
        if slip_share == 0.0 {
            let all_agree = learned.unsettled.iter().all(|pair| pair.contradictions > 0);
            assert!(all_agree, "pairs that no visit contradicts close no circle");
        }
        add_engine(&mut sums, &engine, &all, &learned);
    }
    sums
}

/// How a mechanic chooses.
#[derive(Clone, Copy, PartialEq)]
enum Manner {
    /// Whatever is free.
    AnyOrder,
    /// Goes on, two times in three, with what the last part has uncovered.
    Habit,
    /// Does it as the last time, but for a few neighbours.
    SameAgain,
}

const WAYS: [(&str, (Manner, f64)); 5] = [
    ("any order", (Manner::AnyOrder, 0.0)),
    ("habit", (Manner::Habit, 0.0)),
    ("same again", (Manner::SameAgain, 0.0)),
    ("any order, 2 % slips", (Manner::AnyOrder, 0.02)),
    ("habit, 2 % slips", (Manner::Habit, 0.02)),
];

fn write_table() -> String {
    let mut out = String::from(
        "| mechanic | parts | visits | proposed | of these true | of the true found | candidates true | never turned round, true | safe orders that break a precedence | pairs broken |\n|---|---|---|---|---|---|---|---|---|---|\n",
    );
    for (name, way) in WAYS {
        for parts in SIZES {
            for visits in VISITS {
                let sums = run_row(parts, visits, way);
                check_row(&sums, visits, way);
                let _infallible = writeln!(
                    out,
                    "| {name} | {parts} | {visits} | {:.1} | {} | {} | {} | {} | {} | {} |",
                    sums.proposed as f64 / ENGINES as f64,
                    share(sums.proposed_true, sums.proposed),
                    share(sums.found_direct, sums.true_direct),
                    share(sums.true_all, sums.candidates),
                    share(sums.signed_true, sums.signed),
                    share(sums.orders_broken, ENGINES as usize),
                    share(sums.pairs_broken, sums.true_all),
                );
            }
        }
    }
    out
}

/// What the page promises of every row.
fn check_row(sums: &RowSums, visits: usize, (manner, slip_share): (Manner, f64)) {
    if slip_share == 0.0 {
        assert_eq!(sums.pairs_broken, 0, "without slips a safe order breaks nothing");
    }
    if manner != Manner::SameAgain {
        let wrong = sums.proposed - sums.proposed_true;
        assert!(100 * wrong <= sums.proposed, "{wrong} of {} proposals are wrong", sums.proposed);
        if visits == 30 {
            assert!(2 * sums.found_direct > sums.true_direct, "half of the precedences are found");
        }
    }
    if visits <= 3 {
        assert_eq!(sums.proposed, 0, "three visits prove nothing");
    }
}

#[test]
fn the_table_of_the_page_is_what_is_measured() {
    common::compare_table("orders", &write_table());
}

/// Visits that take off only what they need: what is merged from them is still safe, and candidates that close a circle are told.
#[test]
fn visits_of_some_parts_only_are_merged_safely() {
    for seed in 0..60 {
        let random = &mut Pcg64Mcg::seed_from_u64(9_000 + seed);
        let engine = TrueEngine::invent(40, random);
        let visits: Vec<EngineVisit> = (0..6)
            .map(|at| {
                let targets: Vec<usize> = (0..3).map(|_| below(random, 40)).collect();
                let is_in_way = |part: &usize| {
                    targets.iter().any(|target| target == part || engine.before[*part][*target])
                };
                let order: Vec<usize> = engine.strip(false, random).into_iter().filter(is_in_way).collect();
                record_visit(at, &order)
            })
            .collect();
        let learned = learn_order(&visits, &[]).unwrap();
        let order: Vec<usize> = learned.safe_order.iter().map(|part| number_of(part)).collect();
        for (at, part) in order.iter().enumerate() {
            for later in &order[at + 1..] {
                assert!(!engine.before[*later][*part], "seed {seed}: {later} has to come off before {part}");
            }
        }
    }
}
