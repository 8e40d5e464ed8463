//! Who stands in a relation to whom, as rows of bits.

/// A relation between numbered nodes, one row of bits a node.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Relation {
    words: usize,
    bits: Vec<u64>,
}

impl Relation {
    pub(crate) fn none(count: usize) -> Self {
        let words = count.div_ceil(64);
        Self { words, bits: vec![0; words * count] }
    }

    pub(crate) fn has(&self, a: usize, b: usize) -> bool {
        self.bits[a * self.words + b / 64] >> (b % 64) & 1 == 1
    }

    pub(crate) fn add(&mut self, a: usize, b: usize) {
        self.bits[a * self.words + b / 64] |= 1 << (b % 64);
    }

    /// Words of a row.
    pub(crate) fn words(&self) -> usize {
        self.words
    }

    pub(crate) fn row(&self, a: usize) -> &[u64] {
        &self.bits[a * self.words..(a + 1) * self.words]
    }

    /// Adds all that `b` is related to, to the row of `a`.
    pub(crate) fn join(&mut self, a: usize, b: usize) {
        for word in 0..self.words {
            self.bits[a * self.words + word] |= self.bits[b * self.words + word];
        }
    }

    /// The nodes that `a` is related to, rising.
    pub(crate) fn of(&self, a: usize) -> impl Iterator<Item = usize> + '_ {
        members(self.row(a))
    }

    /// Whether the rows of `a` here and of `b` there have a node in common.
    pub(crate) fn meets(&self, a: usize, other: &Self, b: usize) -> bool {
        self.row(a).iter().zip(other.row(b)).any(|(x, y)| x & y != 0)
    }
}

/// The numbers of the bits that are set, rising.
pub(crate) fn members(row: &[u64]) -> impl Iterator<Item = usize> + '_ {
    row.iter().enumerate().flat_map(|(at, word)| {
        let mut rest = *word;
        std::iter::from_fn(move || {
            let bit = rest.trailing_zeros() as usize;
            rest &= rest.checked_sub(1)?;
            Some(at * 64 + bit)
        })
    })
}
