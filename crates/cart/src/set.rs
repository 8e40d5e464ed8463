//! Sets of tools as a few machine words, so that meeting, joining and counting take an instruction or two a word.

/// A set of tools numbered below `64 * W`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct ToolBits<const W: usize>([u64; W]);

impl<const W: usize> ToolBits<W> {
    pub(crate) const EMPTY: Self = Self([0; W]);

    pub(crate) fn of_tools(tools: &[u16]) -> Self {
        let mut set = Self::EMPTY;
        for tool in tools {
            set.0[usize::from(*tool) / 64] |= 1 << (tool % 64);
        }
        set
    }

    fn zip_words(self, other: Self, join: impl Fn(u64, u64) -> u64) -> Self {
        Self(core::array::from_fn(|w| join(self.0[w], other.0[w])))
    }

    /// Tools in both.
    pub(crate) fn and(self, other: Self) -> Self {
        self.zip_words(other, |a, b| a & b)
    }

    /// Tools in either.
    pub(crate) fn or(self, other: Self) -> Self {
        self.zip_words(other, |a, b| a | b)
    }

    /// Tools in this one alone.
    pub(crate) fn and_not(self, other: Self) -> Self {
        self.zip_words(other, |a, b| a & !b)
    }

    pub(crate) fn count(self) -> u32 {
        self.0.iter().map(|w| w.count_ones()).sum()
    }

    pub(crate) fn is_empty(self) -> bool {
        self.0.iter().all(|w| *w == 0)
    }
}
