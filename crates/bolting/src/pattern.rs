//! Tightening order: which hole comes after which.
//!
//! **Question.** In what order do the bolts of a joint go tight, so that it closes evenly?
//!
//! **Criss-cross**, for rings: holes are numbered clockwise from the top and taken as opposite pairs; each next pair lies
//! as far as possible from all pairs done, the first clockwise one when several do. For 16 bolts that is the printed
//! 1-9 5-13 3-11 7-15 2-10 4-12 6-14 8-16. An odd ring has no opposite holes: each next hole lies as far as possible from all holes done, and
//! of several such the one farthest from the last. **From the centre**, for long or filled fields: shells outwards from the middle, and inside a shell always to the
//! hole farthest from the one just done. **Given**: the maker's sequence, checked to name each hole once.
//!
//! **Auto** takes criss-cross when the holes form a ring (the nearest at least 0.7 of the farthest from the middle, no gap
//! above 150°; assumptions), else from the centre.
//!
//! **Worked example.** Eight bolts: 1-5 3-7 2-6 4-8. **Release** goes the other way round.
//!
//! **Sources.** MIL-HDBK-60, 5.7 and figure 4; EN 1090-2, 8.3 (from the stiffest part towards the free edges); the order
//! for long heads is common practice, no single source.

use core::f64::consts::PI;
use core::fmt;

use units::math;

/// Holes nearer to the middle than this share of the farthest are no ring (assumption).
const RING_FRACTION: f64 = 0.7;
/// A ring has no gap above this (assumption).
const RING_GAP_DEG: f64 = 150.0;
/// Distances this close count as one shell (assumption: drawing accuracy).
const SHELL_MM: f64 = 0.5;

/// The place of a hole on the part's face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HolePosition {
    /// Rightward.
    pub x_mm: f64,
    /// Upward.
    pub y_mm: f64,
}

/// The rule that orders the holes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum HolePattern {
    /// Chosen from the places.
    Auto,
    /// Opposite pairs, then the pairs between.
    CrissCross,
    /// From the centre outwards.
    Spiral,
    /// A given sequence of hole indices.
    Given(Vec<usize>),
}

/// A given sequence that does not name each hole once.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PatternError {
    /// An index beyond the last hole.
    NoSuchHole {
        /// The index.
        index: usize,
    },
    /// A hole named twice.
    Repeated {
        /// The index.
        index: usize,
    },
    /// A hole left out.
    Missing {
        /// The index.
        index: usize,
    },
}

impl fmt::Display for PatternError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoSuchHole { index } => {
                write!(f, "the sequence names hole {}, which does not exist", index + 1)
            }
            Self::Repeated { index } => write!(f, "the sequence names hole {} twice", index + 1),
            Self::Missing { index } => write!(f, "the sequence leaves out hole {}", index + 1),
        }
    }
}

impl core::error::Error for PatternError {}

/// The order of tightening, as indices into `places`; each hole exactly once.
///
/// # Errors
/// [`PatternError`] when a given sequence repeats, misses or invents a hole.
pub fn tightening_order(places: &[HolePosition], pattern: &HolePattern) -> Result<Vec<usize>, PatternError> {
    match pattern {
        HolePattern::Given(order) => check_sequence(order, places.len()),
        HolePattern::CrissCross => Ok(criss_cross_order(places)),
        HolePattern::Spiral => Ok(outward_order(places)),
        HolePattern::Auto if is_ring(places) => Ok(criss_cross_order(places)),
        HolePattern::Auto => Ok(outward_order(places)),
    }
}

/// The order of release: the order of tightening backwards.
///
/// # Errors
/// As [`tightening_order`].
pub fn release_order(places: &[HolePosition], pattern: &HolePattern) -> Result<Vec<usize>, PatternError> {
    let mut order = tightening_order(places, pattern)?;
    order.reverse();
    Ok(order)
}

/// Hole by hole round the joint, clockwise from the top: the order of a closing pass.
#[must_use]
pub fn ring_order(places: &[HolePosition]) -> Vec<usize> {
    let centre = centre_of_holes(places);
    let mut ring: Vec<(f64, usize)> =
        places.iter().enumerate().map(|(i, p)| (clockwise_deg(*p, centre), i)).collect();
    ring.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    ring.into_iter().map(|(_, i)| i).collect()
}

/// Whether holes lie like a ring round their middle.
#[must_use]
pub fn is_ring(places: &[HolePosition]) -> bool {
    if places.len() < 3 {
        return false;
    }
    let centre = centre_of_holes(places);
    let far: Vec<f64> = places.iter().map(|p| distance_mm(*p, centre)).collect();
    let most_mm = far.iter().copied().fold(0.0, f64::max);
    let least_mm = far.iter().copied().fold(f64::INFINITY, f64::min);
    let mut turns: Vec<f64> = places.iter().map(|p| clockwise_deg(*p, centre)).collect();
    turns.sort_by(f64::total_cmp);
    let wrap = turns.first().zip(turns.last()).map_or(360.0, |(first, last)| first + 360.0 - last);
    let gap = turns.windows(2).map(|w| w[1] - w[0]).fold(wrap, f64::max);
    least_mm > 0.0 && least_mm >= RING_FRACTION * most_mm && gap <= RING_GAP_DEG
}

fn check_sequence(order: &[usize], count: usize) -> Result<Vec<usize>, PatternError> {
    let mut seen = vec![false; count];
    for &index in order {
        match seen.get_mut(index) {
            None => return Err(PatternError::NoSuchHole { index }),
            Some(true) => return Err(PatternError::Repeated { index }),
            Some(mark) => *mark = true,
        }
    }
    seen.iter()
        .position(|s| !s)
        .map_or_else(|| Ok(order.to_vec()), |index| Err(PatternError::Missing { index }))
}

/// Middle of the box that holds all holes.
fn centre_of_holes(places: &[HolePosition]) -> HolePosition {
    let middle = |of: fn(&HolePosition) -> f64| {
        let (low, high) = places
            .iter()
            .map(of)
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)));
        f64::midpoint(low, high)
    };
    HolePosition { x_mm: middle(|p| p.x_mm), y_mm: middle(|p| p.y_mm) }
}

fn distance_mm(a: HolePosition, b: HolePosition) -> f64 {
    math::hypot(a.x_mm - b.x_mm, a.y_mm - b.y_mm)
}

/// Clockwise angle from the top, 0 up to 360.
fn clockwise_deg(place: HolePosition, centre: HolePosition) -> f64 {
    let deg = math::atan2(place.x_mm - centre.x_mm, place.y_mm - centre.y_mm) * 180.0 / PI;
    // Positions meant to lie on one line differ in the last digits; a hair left of the top is still the top.
    if deg < -1.0e-6 { deg + 360.0 } else { deg.max(0.0) }
}

fn criss_cross_order(places: &[HolePosition]) -> Vec<usize> {
    let ring = ring_order(places);
    ring_positions(ring.len()).into_iter().map(|position| ring[position]).collect()
}

/// Positions round a ring of `count` holes in their order of tightening.
fn ring_positions(count: usize) -> Vec<usize> {
    if count % 2 == 1 {
        return farthest_first(count);
    }
    let half = count / 2;
    spread_pairs(half).into_iter().flat_map(|pair| [pair, pair + half]).collect()
}

/// Positions of an odd ring: each as far as possible from all before it, then from the last, then the first clockwise.
fn farthest_first(count: usize) -> Vec<usize> {
    let apart = |a: usize, b: usize| a.abs_diff(b).min(count - a.abs_diff(b));
    let mut order: Vec<usize> = Vec::with_capacity(count);
    while order.len() < count {
        let gap = |k: usize| order.iter().map(|done| apart(k, *done)).min().unwrap_or(count);
        let from_last = |k: usize| order.last().map_or(0, |last| apart(k, *last));
        let left = (0..count).filter(|k| !order.contains(k));
        let next = left.max_by_key(|&k| (gap(k), from_last(k), core::cmp::Reverse(k))).unwrap_or(0);
        order.push(next);
    }
    order
}

/// Pairs `0..half` so that each lies farthest from all before it; the pairs themselves close to a ring.
fn spread_pairs(half: usize) -> Vec<usize> {
    let mut gap = vec![usize::MAX; half];
    let mut order = Vec::with_capacity(half);
    while order.len() < half {
        let next = (0..half).max_by_key(|&k| (gap[k], core::cmp::Reverse(k))).unwrap_or(0);
        order.push(next);
        for (k, nearest) in gap.iter_mut().enumerate() {
            let apart = k.abs_diff(next);
            *nearest = (*nearest).min(apart.min(half - apart));
        }
    }
    order
}

fn outward_order(places: &[HolePosition]) -> Vec<usize> {
    let centre = centre_of_holes(places);
    let mut left: Vec<usize> = (0..places.len()).collect();
    let mut order: Vec<usize> = Vec::with_capacity(places.len());
    while let Some(nearest_mm) = left.iter().map(|&i| distance_mm(places[i], centre)).min_by(f64::total_cmp) {
        let in_shell = |i: usize| {
            let mm = distance_mm(places[i], centre);
            mm <= nearest_mm + SHELL_MM || mm.is_nan()
        };
        let (mut shell, rest): (Vec<usize>, Vec<usize>) = left.iter().partition(|&&i| in_shell(i));
        left = rest;
        while !shell.is_empty() {
            let at = farthest_in_shell(places, &shell, order.last().copied());
            order.push(shell.remove(at));
        }
    }
    order
}

/// The position in the shell of the hole farthest from the last one; the first of several, and of all when none is done.
fn farthest_in_shell(places: &[HolePosition], shell: &[usize], last: Option<usize>) -> usize {
    let Some(last) = last else { return 0 };
    let away = |i: usize| distance_mm(places[i], places[last]);
    let mut best = 0;
    for at in 1..shell.len() {
        if away(shell[at]) > away(shell[best]) + 1.0e-9 {
            best = at;
        }
    }
    best
}
