//! Many short lists of numbers in one piece of memory.

/// Lists of numbers, each a slice of one vector.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NumberLists {
    starts: Vec<u32>,
    items: Vec<u32>,
}

impl Default for NumberLists {
    fn default() -> Self {
        Self { starts: vec![0], items: Vec::new() }
    }
}

impl NumberLists {
    /// Lists one after another.
    pub fn from_lists<I: IntoIterator<Item = u32>>(lists: impl IntoIterator<Item = I>) -> Self {
        let mut all = Self::default();
        lists.into_iter().for_each(|list| all.push(list));
        all
    }

    /// Adds a list at the end.
    pub fn push(&mut self, list: impl IntoIterator<Item = u32>) {
        self.items.extend(list);
        self.starts.push(self.items.len() as u32);
    }

    /// Number of lists.
    #[must_use]
    pub const fn len(&self) -> usize {
        self.starts.len() - 1
    }

    /// Whether there is no list.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Numbers in all lists together.
    #[must_use]
    pub const fn entry_count(&self) -> usize {
        self.items.len()
    }

    /// One list.
    #[must_use]
    pub fn get(&self, at: usize) -> &[u32] {
        &self.items[self.starts[at] as usize..self.starts[at + 1] as usize]
    }

    /// All lists in order.
    pub fn iter(&self) -> impl Iterator<Item = &[u32]> {
        (0..self.len()).map(|at| self.get(at))
    }

    /// For each number below `n` the lists that hold it, rising.
    #[must_use]
    pub fn transposed(&self, n: usize) -> Self {
        let mut starts = vec![0_u32; n + 1];
        for item in &self.items {
            starts[*item as usize + 1] += 1;
        }
        for at in 0..n {
            starts[at + 1] += starts[at];
        }
        let mut next = starts.clone();
        let mut items = vec![0; self.items.len()];
        for (at, list) in self.iter().enumerate() {
            for item in list {
                let place = &mut next[*item as usize];
                items[*place as usize] = at as u32;
                *place += 1;
            }
        }
        Self { starts, items }
    }
}

/// Whether all numbers of one rising list are in another.
#[must_use]
pub fn is_rising_subset(items: &[u32], others: &[u32]) -> bool {
    if items.len() > others.len() {
        return false;
    }
    let mut rest = others.iter();
    items.iter().all(|item| rest.by_ref().find(|other| *other >= item) == Some(item))
}

/// A fingerprint: the bits of a list's part are among the bits of the whole.
#[must_use]
pub fn fingerprint_of(items: &[u32]) -> u64 {
    items.iter().fold(0, |bits, item| bits | 1 << (item % 64))
}
