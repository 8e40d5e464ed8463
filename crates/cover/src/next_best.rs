//! Next best purchases: which piece, then which pair, opens the most jobs over several problems.
//!
//! **Question.** Each job needs one of several sets of offers to be got (a job that is open already needs none). Which one
//! offer opens the most jobs by itself, and which two together?
//!
//! **Method.** By exact enumeration: for every job the offers that open it alone and the pairs that open it together are
//! counted. A pair opens what either of the two opens and what only both do. Ties go to the lower price, then to the
//! earlier offer.
//!
//! **Worked example.** Jobs that need {a}, {b, c} and {b} or {c}: alone `b` and `c` open one each, as does `a`; together `b` and
//! `c` open two, and `a` with `b` two as well; the cheaper pair comes first.
//!
//! **Range.** Sets of three or more offers open nothing here; the caller repeats the question after a purchase.

use std::collections::BTreeMap;

/// A job of one problem, with the sets of offers that would open it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct NextBestJob {
    /// Sets of offers, each of which is enough; an empty set says that the job is open already.
    pub ways: Vec<Vec<u32>>,
}

/// What to get, and what it opens.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OfferPurchase {
    /// One offer, or two.
    pub offers: Vec<u32>,
    /// What they cost together.
    pub price: u64,
    /// Jobs opened, as (problem, job), rising.
    pub opens: Vec<(usize, usize)>,
}

/// Single offers and pairs, each list best first.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct RankedPurchases {
    /// Single offers that open a job.
    pub singles: Vec<OfferPurchase>,
    /// Pairs that open more than either of the two does alone.
    pub pairs: Vec<OfferPurchase>,
}

/// What to get next, over problems given as their jobs; `prices` gives the price of each offer.
#[must_use]
pub fn rank_purchases(prices: &[u64], problems: &[Vec<NextBestJob>]) -> RankedPurchases {
    let mut alone: BTreeMap<u32, Vec<(usize, usize)>> = BTreeMap::new();
    let mut together: BTreeMap<(u32, u32), Vec<(usize, usize)>> = BTreeMap::new();
    for (problem, jobs) in problems.iter().enumerate() {
        for (job, ways) in jobs.iter().enumerate() {
            count_openings(&minimal_ways(ways), (problem, job), &mut alone, &mut together);
        }
    }
    let single = |(offer, opens): (&u32, &Vec<(usize, usize)>)| OfferPurchase {
        offers: vec![*offer],
        price: offer_price(prices, *offer),
        opens: opens.clone(),
    };
    let pair = |((a, b), opens): (&(u32, u32), &Vec<(usize, usize)>)| {
        let of = |offer: &u32| alone.get(offer).into_iter().flatten().copied();
        let mut opens: Vec<(usize, usize)> = opens.iter().copied().chain(of(a)).chain(of(b)).collect();
        opens.sort_unstable();
        opens.dedup();
        OfferPurchase {
            offers: vec![*a, *b],
            price: offer_price(prices, *a) + offer_price(prices, *b),
            opens,
        }
    };
    RankedPurchases {
        singles: rank_by_openings(alone.iter().map(single).collect()),
        pairs: rank_by_openings(worthwhile_pairs(&alone, &together).iter().map(pair).collect()),
    }
}

fn offer_price(prices: &[u64], offer: u32) -> u64 {
    prices.get(offer as usize).copied().unwrap_or(0)
}

/// Sorted ways without those that contain another; nothing for a job that is open already.
fn minimal_ways(job: &NextBestJob) -> Vec<Vec<u32>> {
    let mut ways = job.ways.clone();
    for way in &mut ways {
        way.sort_unstable();
        way.dedup();
    }
    ways.sort_by(|a, b| (a.len(), a).cmp(&(b.len(), b)));
    ways.dedup();
    if ways.first().is_some_and(Vec::is_empty) {
        return Vec::new();
    }
    let mut kept: Vec<Vec<u32>> = Vec::new();
    for way in ways {
        if !kept.iter().any(|k| k.iter().all(|offer| way.contains(offer))) {
            kept.push(way);
        }
    }
    kept
}

fn count_openings(
    ways: &[Vec<u32>],
    at: (usize, usize),
    alone: &mut BTreeMap<u32, Vec<(usize, usize)>>,
    together: &mut BTreeMap<(u32, u32), Vec<(usize, usize)>>,
) {
    for way in ways {
        match way.as_slice() {
            [offer] => alone.entry(*offer).or_default().push(at),
            [a, b] => together.entry((*a, *b)).or_default().push(at),
            _ => {}
        }
    }
}

/// All pairs worth a look: those that open a job only together, and those whose two open different jobs.
fn worthwhile_pairs(
    alone: &BTreeMap<u32, Vec<(usize, usize)>>,
    together: &BTreeMap<(u32, u32), Vec<(usize, usize)>>,
) -> BTreeMap<(u32, u32), Vec<(usize, usize)>> {
    let mut all = together.clone();
    let offers: Vec<u32> = alone.keys().copied().collect();
    for (at, a) in offers.iter().enumerate() {
        for b in &offers[at + 1..] {
            let differ = |x: u32, y: u32| alone[&x].iter().any(|job| !alone[&y].contains(job));
            if differ(*a, *b) && differ(*b, *a) {
                all.entry((*a, *b)).or_default();
            }
        }
    }
    all
}

/// Most jobs first, then the lower price, then the earlier offers.
fn rank_by_openings(mut all: Vec<OfferPurchase>) -> Vec<OfferPurchase> {
    all.sort_by(|a, b| {
        let key = |p: &OfferPurchase| (core::cmp::Reverse(p.opens.len()), p.price);
        key(a).cmp(&key(b)).then_with(|| a.offers.cmp(&b.offers))
    });
    all
}
