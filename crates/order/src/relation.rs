//! A relation between nodes as a bit matrix.

/// A relation between numbered nodes, one row of bits a node.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct NodeRelation {
    words: usize,
    bits: Vec<u64>,
}

impl NodeRelation {
    pub(crate) fn with_no_pairs(count: usize) -> Self {
        let words = count.div_ceil(64);
        Self { words, bits: vec![0; words * count] }
    }

    pub(crate) fn has(&self, a: usize, b: usize) -> bool {
        self.bits[a * self.words + b / 64] >> (b % 64) & 1 == 1
    }

    pub(crate) fn add_pair(&mut self, a: usize, b: usize) {
        self.bits[a * self.words + b / 64] |= 1 << (b % 64);
    }

    /// Words of a row.
    pub(crate) fn word_count(&self) -> usize {
        self.words
    }

    pub(crate) fn row(&self, a: usize) -> &[u64] {
        &self.bits[a * self.words..(a + 1) * self.words]
    }

    /// Adds all that `b` is related to, to the row of `a`.
    pub(crate) fn join_rows(&mut self, a: usize, b: usize) {
        for word in 0..self.words {
            self.bits[a * self.words + word] |= self.bits[b * self.words + word];
        }
    }

    /// The nodes that `a` is related to, rising.
    pub(crate) fn related_nodes(&self, a: usize) -> impl Iterator<Item = usize> + '_ {
        set_bits(self.row(a))
    }

    /// Whether the rows of `a` here and of `b` there have a node in common.
    pub(crate) fn shares_node(&self, a: usize, other: &Self, b: usize) -> bool {
        self.row(a).iter().zip(other.row(b)).any(|(x, y)| x & y != 0)
    }
}

/// The numbers of the bits that are set, rising.
pub(crate) fn set_bits(row: &[u64]) -> impl Iterator<Item = usize> + '_ {
    row.iter().enumerate().flat_map(|(at, word)| {
        let mut rest = *word;
        std::iter::from_fn(move || {
            let bit = rest.trailing_zeros() as usize;
            rest &= rest.checked_sub(1)?;
            Some(at * 64 + bit)
        })
    })
}
