//! Next best purchase: over several books, what to get first so that the most jobs open up.
//!
//! Specifications are merged as on one sheet. Then the purchase that opens the most fixings, given earlier purchases,
//! comes next; a fixing becomes workable once all its gaps are closed. Ties go to more gaps closed, then to the words.
//! Greedy: each step is the best next one, the whole order need not be the best for a given sum of money. What two
//! purchases open together, where one alone would not, is found by examining every pair ([`find_purchase_pairs`]).

use std::collections::{BTreeMap, BTreeSet};

use cover::next_best as enumerated;
use model::plan::{Readiness, ShoppingLine};
use model::{ObtainKind, PieceSpec};
use serde::Serialize;

use crate::readiness::merge_specs;

/// One thing to get, and what it opens once everything before it was got.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NextPurchase {
    /// Specification in one line.
    pub words: String,
    /// The specification, where it is a piece of a stack.
    pub spec: Option<PieceSpec>,
    /// How to obtain it.
    pub how: ObtainKind,
    /// Fixings that it opens as (book key, fixing key), sorted.
    pub unlocks: Vec<(String, String)>,
}

/// Two things to get together.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PurchasePair {
    /// Specifications in one line each, as in `NextPurchase::wanted_piece_words`.
    pub words: [String; 2],
    /// Fixings that the two open, by themselves or together, as (book key, fixing key), sorted.
    pub unlocks: Vec<(String, String)>,
    /// How many of these neither opens alone.
    pub only_together: usize,
}

/// A gap as (position of the sheet, position on the sheet).
type GapPosition = (usize, usize);
/// A fixing as (book key, fixing key).
type BookFixingKey<'a> = (&'a str, &'a str);

struct PurchaseOffer {
    purchase: NextPurchase,
    closes: Vec<GapPosition>,
}

/// What to get, best first, over the sheets of several books.
#[must_use]
pub fn rank_next_purchases(sheets: &[(&str, &Readiness)]) -> Vec<NextPurchase> {
    let mut offers = collect_offers(sheets);
    let mut left = gaps_by_fixing(sheets);
    let mut taken = Vec::new();
    while !offers.is_empty() {
        let gains: Vec<(usize, usize)> = offers.iter().map(|o| offer_gain(o, &left, sheets)).collect();
        let rank = |a: &usize, b: &usize| {
            gains[*b].cmp(&gains[*a]).then_with(|| offers[*a].purchase.words.cmp(&offers[*b].purchase.words))
        };
        let Some(best) = (0..offers.len()).min_by(rank) else { break };
        let mut offer = offers.remove(best);
        offer.purchase.unlocks = close_gaps(&offer, &mut left, sheets);
        taken.push(offer.purchase);
    }
    taken
}

/// Every pair of things to get that opens more than either of the two, best first.
#[must_use]
pub fn find_purchase_pairs(sheets: &[(&str, &Readiness)]) -> Vec<PurchasePair> {
    let offers = collect_offers(sheets);
    let gaps = gaps_by_fixing(sheets);
    let closing = |gap: &GapPosition| offers.iter().position(|o| o.closes.contains(gap)).map(|at| at as u32);
    // A fixing with a gap that nothing closes stays unworkable; otherwise the job needs one offer for each of its gaps.
    let way = |gaps: &BTreeSet<GapPosition>| gaps.iter().map(closing).collect::<Option<Vec<u32>>>();
    let jobs = gaps.values().map(|gaps| enumerated::NextBestJob { ways: way(gaps).into_iter().collect() });
    let names: Vec<&BookFixingKey<'_>> = gaps.keys().collect();
    let found = enumerated::rank_purchases(&vec![0; offers.len()], &[jobs.collect()]);
    let opened = |offer: u32| found.singles.iter().find(|s| s.offers == [offer]).map_or(0, |s| s.opens.len());
    let pair = |purchase: &enumerated::OfferPurchase| {
        let [a, b] = purchase.offers[..] else { return None };
        let words = |offer: u32| offers[offer as usize].purchase.words.clone();
        let owned = |(_, job): &(usize, usize)| (names[*job].0.to_owned(), names[*job].1.to_owned());
        Some(PurchasePair {
            words: [words(a), words(b)],
            unlocks: purchase.opens.iter().map(owned).collect(),
            only_together: purchase.opens.len().saturating_sub(opened(a) + opened(b)),
        })
    };
    found.pairs.iter().filter_map(pair).collect()
}

fn fixing_of_gap<'a>(
    sheets: &[(&'a str, &'a Readiness)],
    (sheet, gap): GapPosition,
) -> Option<BookFixingKey<'a>> {
    let (book, readiness) = sheets.get(sheet)?;
    Some((book, readiness.gaps.get(gap)?.fixing.as_str()))
}

fn gaps_by_fixing<'a>(
    sheets: &[(&'a str, &'a Readiness)],
) -> BTreeMap<BookFixingKey<'a>, BTreeSet<GapPosition>> {
    let mut all: BTreeMap<BookFixingKey<'a>, BTreeSet<GapPosition>> = BTreeMap::new();
    for (at, (book, readiness)) in sheets.iter().enumerate() {
        for (position, gap) in readiness.gaps.iter().enumerate() {
            all.entry((book, gap.fixing.as_str())).or_default().insert((at, position));
        }
    }
    all
}

/// Lines with a specification merged; the others merged where words and way of getting agree.
fn collect_offers(sheets: &[(&str, &Readiness)]) -> Vec<PurchaseOffer> {
    let lines: Vec<(usize, &ShoppingLine)> =
        sheets.iter().enumerate().flat_map(|(at, (_, r))| r.shopping.iter().map(move |l| (at, l))).collect();
    let specified: Vec<(&PieceSpec, &(usize, &ShoppingLine))> =
        lines.iter().filter_map(|line| Some((line.1.spec.as_ref()?, line))).collect();
    let specs: Vec<&PieceSpec> = specified.iter().map(|(spec, _)| *spec).collect();
    let offer = |(spec, served): (PieceSpec, Vec<usize>)| {
        let closed = served.iter().map(|at| specified[*at].1);
        let closes = closed.flat_map(|(sheet, line)| line.closes.iter().map(|gap| (*sheet, *gap))).collect();
        let purchase =
            NextPurchase { words: spec.words.clone(), how: spec.how, spec: Some(spec), unlocks: Vec::new() };
        PurchaseOffer { purchase, closes }
    };
    let mut all: Vec<PurchaseOffer> = merge_specs(&specs).into_iter().map(offer).collect();
    let named: BTreeSet<(&str, ObtainKind)> =
        lines.iter().filter(|(_, l)| l.spec.is_none()).map(|(_, l)| (l.words.as_str(), l.how)).collect();
    all.extend(named.into_iter().map(|(words, how)| PurchaseOffer {
        purchase: NextPurchase { words: words.to_owned(), spec: None, how, unlocks: Vec::new() },
        closes: Vec::new(),
    }));
    all
}

/// Fixings opened and gaps closed.
fn offer_gain(
    offer: &PurchaseOffer,
    left: &BTreeMap<BookFixingKey<'_>, BTreeSet<GapPosition>>,
    sheets: &[(&str, &Readiness)],
) -> (usize, usize) {
    let jobs: BTreeSet<BookFixingKey<'_>> =
        offer.closes.iter().filter_map(|g| fixing_of_gap(sheets, *g)).collect();
    let open = jobs.iter().filter_map(|j| left.get(j));
    let opened =
        open.clone().filter(|gaps| !gaps.is_empty() && gaps.iter().all(|g| offer.closes.contains(g)));
    let closed = open.clone().flatten().filter(|g| offer.closes.contains(g));
    (opened.count(), closed.count())
}

/// Closes the gaps of an offer and returns the fixings that open by it.
fn close_gaps<'a>(
    offer: &PurchaseOffer,
    left: &mut BTreeMap<BookFixingKey<'a>, BTreeSet<GapPosition>>,
    sheets: &[(&'a str, &'a Readiness)],
) -> Vec<(String, String)> {
    let mut opened = BTreeSet::new();
    for gap in &offer.closes {
        let Some(job) = fixing_of_gap(sheets, *gap) else { continue };
        let Some(gaps) = left.get_mut(&job) else { continue };
        if gaps.remove(gap) && gaps.is_empty() {
            opened.insert((job.0.to_owned(), job.1.to_owned()));
        }
    }
    opened.into_iter().collect()
}
