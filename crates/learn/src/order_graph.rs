//! A growing set of pairs without a circle, with everything that follows from them.
//!
//! Pairs are added one by one; a pair that would close a circle is refused. The closure is kept up to date in words of 64 bits (Warshall's rule for one
//! new pair, from memory), so that a hundred parts with all their pairs take milliseconds.

/// Pairs over parts that are numbered from 0.
#[derive(Debug, Clone)]
pub struct OrderGraph {
    /// What comes after each part, directly or not.
    after: Vec<Vec<u64>>,
    pairs: Vec<(usize, usize)>,
}

impl OrderGraph {
    /// No pairs over a number of parts.
    #[must_use]
    pub fn of_parts(count: usize) -> Self {
        let words = count.div_ceil(64);
        Self { after: vec![vec![0; words]; count], pairs: Vec::new() }
    }

    /// Whether the one comes before the other, directly or not.
    #[must_use]
    pub fn is_before(&self, first: usize, then: usize) -> bool {
        self.after
            .get(first)
            .is_some_and(|set| set.get(then / 64).is_some_and(|word| word >> (then % 64) & 1 == 1))
    }

    /// Adds a pair; false where it would close a circle or a part is not there.
    pub fn add_pair(&mut self, first: usize, then: usize) -> bool {
        let count = self.after.len();
        if first == then || first >= count || then >= count || self.is_before(then, first) {
            return false;
        }
        self.pairs.push((first, then));
        if self.is_before(first, then) {
            return true;
        }
        let mut gained = self.after[then].clone();
        gained[then / 64] |= 1 << (then % 64);
        for part in 0..count {
            if part == first || self.is_before(part, first) {
                self.after[part].iter_mut().zip(&gained).for_each(|(word, more)| *word |= more);
            }
        }
        true
    }

    /// The pairs that do not follow from the others.
    #[must_use]
    pub fn reduce_pairs(&self) -> Vec<(usize, usize)> {
        let follows = |first: usize, then: usize| {
            (0..self.after.len()).any(|middle| self.is_before(first, middle) && self.is_before(middle, then))
        };
        let mut kept: Vec<(usize, usize)> =
            self.pairs.iter().copied().filter(|(first, then)| !follows(*first, *then)).collect();
        kept.sort_unstable();
        kept.dedup();
        kept
    }

    /// An order that keeps all pairs; of several that may come next, the first by `rank`.
    #[must_use]
    pub fn order_parts(&self, rank: &[usize]) -> Vec<usize> {
        let count = self.after.len();
        let mut placed = vec![false; count];
        let mut order = Vec::with_capacity(count);
        while order.len() < count {
            let is_free = |part: &usize| {
                !placed[*part] && (0..count).all(|other| placed[other] || !self.is_before(other, *part))
            };
            // Without a circle there is always one.
            let Some(next) = (0..count).filter(is_free).min_by_key(|part| rank.get(*part).copied()) else {
                break;
            };
            placed[next] = true;
            order.push(next);
        }
        order
    }
}
