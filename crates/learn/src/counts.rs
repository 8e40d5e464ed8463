//! What frees a fastener, what is dropped where, what breaks: counts with how far they carry.
//!
//! **Rule.** `k` hits in `n` tries give a share and its interval after Clopper and Pearson (1934, from memory): the lower end is the share at which `k` or more hits
//! would come in one case of twenty, the upper end that at which `k` or fewer would; together 90 %. It never holds less than it promises. Below [`MIN_TRIES`] tries
//! a count is called *few*: it is shown as a count and never as a share alone.
//!
//! symbol: p = a share

use std::collections::{BTreeMap, BTreeSet};

use crate::visits::HistoryFault;

/// Tries below which a count is few.
pub const MIN_TRIES: u32 = 5;
/// Tries of one count, at most.
pub const MAX_TRIES: u32 = 100_000;
/// Chance left out on each side of the interval.
const SIDE_PROBABILITY: f64 = 0.05;
/// Halvings of the search for an end.
const HALVINGS: usize = 60;

/// Something that was tried or could have happened, and whether it did.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SeenTry {
    /// What is counted apart: a class of fastener and a means, a place, a fixing.
    pub subject: String,
    /// Whether it worked, was dropped, broke.
    pub hit: bool,
}

/// A count with its interval.
#[derive(Debug, Clone, PartialEq)]
pub struct CountedShare {
    /// What was counted.
    pub subject: String,
    /// Hits.
    pub hits: u32,
    /// Tries.
    pub tries: u32,
    /// Lower end of the share.
    pub low_share: f64,
    /// Upper end of the share.
    pub high_share: f64,
    /// Whether there are too few tries to speak of a share.
    pub is_few: bool,
}

/// Counts by subject, those with the most certain hits first: by lower end, then name. Of each, the first [`MAX_TRIES`] count.
#[must_use]
pub fn count_tries(tries: &[SeenTry]) -> Vec<CountedShare> {
    let mut counts: BTreeMap<&str, (u32, u32)> = BTreeMap::new();
    for each in tries {
        let count = counts.entry(&each.subject).or_default();
        if count.1 < MAX_TRIES {
            *count = (count.0 + u32::from(each.hit), count.1 + 1);
        }
    }
    let mut shares: Vec<CountedShare> = counts
        .into_iter()
        .filter_map(|(subject, (hits, tries))| share_of_count(subject, hits, tries).ok())
        .collect();
    sort_shares(&mut shares);
    shares
}

/// Something that went wrong on a visit: a thing dropped at a place, a fastener of a fixing broken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SeenMishap {
    /// The visit.
    pub visit: String,
    /// The place, the fixing.
    pub subject: String,
}

/// In how many of all visits it happened, by subject; several on one visit count once
/// (an assumption: what happens twice in a visit has one cause).
///
/// # Errors
/// When mishaps are from more visits than there were.
pub fn count_visits_with(mishaps: &[SeenMishap], visits: u32) -> Result<Vec<CountedShare>, HistoryFault> {
    let mut by_subject: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    for each in mishaps {
        by_subject.entry(&each.subject).or_default().insert(&each.visit);
    }
    let share = |(subject, hits): (&str, BTreeSet<&str>)| {
        share_of_count(subject, u32::try_from(hits.len()).unwrap_or(u32::MAX), visits)
    };
    let mut shares = by_subject.into_iter().map(share).collect::<Result<Vec<_>, _>>()?;
    sort_shares(&mut shares);
    Ok(shares)
}

/// Those with the most certain hits first.
fn sort_shares(shares: &mut [CountedShare]) {
    shares.sort_by(|a, b| b.low_share.total_cmp(&a.low_share).then_with(|| a.subject.cmp(&b.subject)));
}

/// The share of a count.
///
/// # Errors
/// When there are no tries, more hits than tries, or too many.
pub fn share_of_count(subject: &str, hits: u32, tries: u32) -> Result<CountedShare, HistoryFault> {
    if tries == 0 || hits > tries {
        return Err(HistoryFault::CountUnusable { hits, tries });
    }
    if tries > MAX_TRIES {
        return Err(HistoryFault::TooMany {
            what: "tries",
            count: tries as usize,
            limit: MAX_TRIES as usize,
        });
    }
    let low_share =
        if hits == 0 { 0.0 } else { find_share(|p| 1.0 - at_most_probability(hits - 1, tries, p)) };
    let high_share = if hits == tries {
        1.0
    } else {
        // The other way round it is the lower end of what did not happen.
        1.0 - find_share(|p| 1.0 - at_most_probability(tries - hits - 1, tries, p))
    };
    let subject = subject.to_owned();
    Ok(CountedShare { subject, hits, tries, low_share, high_share, is_few: tries < MIN_TRIES })
}

/// Where a rising chance reaches [`SIDE_PROBABILITY`].
fn find_share(chance: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..HALVINGS {
        let middle = (low + high) / 2.0;
        if chance(middle) < SIDE_PROBABILITY { low = middle } else { high = middle }
    }
    (low + high) / 2.0
}

/// Chance of at most `hits` in `tries` at a share `p`, summed in logarithms so that large counts do not vanish.
fn at_most_probability(hits: u32, tries: u32, p: f64) -> f64 {
    use units::math::{exp, ln};
    if p <= 0.0 {
        return 1.0;
    }
    if p >= 1.0 {
        return f64::from(u8::from(hits >= tries));
    }
    let mut term = f64::from(tries) * ln(1.0 - p);
    let mut sum = exp(term);
    for k in 1..=hits {
        term += ln(f64::from(tries - k + 1) / f64::from(k)) + ln(p / (1.0 - p));
        sum += exp(term);
    }
    sum.min(1.0)
}
